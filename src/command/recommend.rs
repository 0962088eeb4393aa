//! `brusharm recommend`: the smallest set of field steps that meets every criterion.

use super::Run;
use super::common::{Common, OutputArguments};
use super::options::{StrictOption, VehiclesOption};
use super::problem::{Problem, refusal};
use super::study_common::{StudyArguments, StudyFormat, throughputs, vehicles_named};
use crate::report::rows::{RowFormat, table_text};
use crate::report::{recommend_document, recommend_text};
use crate::scenario::setting::Group;
use crate::study::recommend::{RecommendPlan, recommend};
use crate::study::search::Progress;
use crate::units::Length;
use clap::Args;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::path::PathBuf;

/// Find the smallest set of field steps that meets every criterion
///
/// In trade order: restore the standard, then air, then bearings, then the stop pin of one side, then foam. A later kind of step is used only when
/// no set of earlier ones does. Judged at the worst over the vehicles and throughputs asked for; checked again with full passes at the end.
#[derive(Debug, Args)]
pub(crate) struct RecommendArguments {
    #[command(flatten)]
    common: Common,

    #[command(flatten)]
    vehicles: VehiclesOption,

    #[command(flatten)]
    strict: StrictOption,

    /// Throughputs it must hold for, such as 60..140:20 or 100,120; the scenario's own when not said
    #[arg(long, value_name = "VALUES")]
    throughput: Option<String>,

    /// Farthest a lower bearing is taken from plumb
    #[arg(long, value_name = "LENGTH", default_value = "1/8 in")]
    bearing_within: String,

    /// Most field steps in all: fewer are searched sooner; no bound when not said
    #[arg(long, value_name = "NUMBER")]
    most_steps: Option<u32>,

    /// Leave foam out
    #[arg(long)]
    no_foam: bool,

    /// Write the scenario with the recommended settings to this file
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,

    #[command(flatten)]
    study: StudyArguments,

    #[command(flatten)]
    output: OutputArguments,
}

impl Run for RecommendArguments {
    fn run(&self) -> Result<u8, Problem> {
        let loaded = self.common.load()?;
        let destination = self.output.result(&loaded)?;
        let write = self.write.as_deref().map(|path| self.output.target(path, &loaded)).transpose()?;
        let within = Length::parse(&self.bearing_within)
            .map_err(|error| Problem::option("--bearing-within", error.refusal()))?;
        if within.si() < 0.0 {
            let advice = "give how far from plumb, either way";
            return Err(Problem::option(
                "--bearing-within",
                refusal("a distance is not negative", &self.bearing_within, "0 in and more", advice),
            ));
        }
        let mut plan = RecommendPlan::of(&loaded.scenario);
        plan.vehicles = vehicles_named(&loaded, self.vehicles.vehicles.as_deref().unwrap_or("fleet"))?;
        plan.bearing_within_m = within.si();
        if let Some(text) = &self.throughput {
            plan.throughputs = throughputs(&loaded, text)?;
        }
        plan.most_steps = self.most_steps;
        if self.no_foam {
            plan.groups.retain(|group| *group != Group::Foam);
        }
        let spinner = if std::io::stderr().is_terminal() {
            ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr_with_hz(5)).with_style(
                ProgressStyle::with_template("{msg} ({elapsed})")
                    .unwrap_or_else(|_| ProgressStyle::default_spinner()),
            )
        } else {
            ProgressBar::hidden()
        };
        let tell = |at: Progress| {
            spinner.set_message(format!(
                "{} of at most {} step sets looked at, {} passes",
                at.judged, at.most, at.looks
            ));
        };
        let result = self.study.in_parallel(|| recommend(&loaded.scenario, &plan, tell))?;
        spinner.finish_and_clear();
        let result = result?;
        let text = match self.study.format {
            StudyFormat::Text => {
                recommend_text(&result, loaded.title(), self.common.unit_system(), destination.ink())
            }
            StudyFormat::Json => super::pass::to_json(&recommend_document(loaded.title(), &result))?,
            StudyFormat::Csv => table_text(&result.table(), RowFormat::Csv),
        };
        destination.deliver(&text)?;
        if let Some(target) = write {
            let Some(best) = &result.best else {
                let advice = "look at what is in the way";
                return Err(Problem::option(
                    "--write",
                    refusal("there is nothing to write: no step set is recommended", "", "", advice),
                ));
            };
            target.write(loaded.scenario.rewrite(&best.changes)?.as_bytes())?;
        }
        Ok(self.strict.code(result.best.is_none() && !result.nothing_to_do))
    }
}
