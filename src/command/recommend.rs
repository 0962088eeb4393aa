//! `brusharm recommend`: the smallest set of field steps that meets every criterion.

use super::Run;
use super::common::{Common, Loaded, OutputArguments};
use super::interrupt;
use super::options::{IntervalOption, StrictOption, VehiclesOption};
use super::problem::{Problem, refusal};
use super::study_common::{StudyArguments, StudyFormat, asked, throughputs, vehicles_named};
use crate::calibrate::Intervals;
use crate::report::rows::{RowFormat, table_text};
use crate::report::{intervals_beside_text, intervals_document, recommend_document, recommend_text};
use crate::scenario::MayWord;
use crate::scenario::setting::Group;
use crate::study::recommend::{Choose, RecommendPlan, recommend_until};
use crate::study::search::Progress;
use crate::units::Length;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use clap::{Args, ValueEnum};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::path::PathBuf;

/// Reads one word of what may be moved besides.
fn may_words() -> impl TypedValueParser<Value = MayWord> {
    let words = MayWord::ALL.map(|may| PossibleValue::new(may.word()).help(may.meaning()));
    PossibleValuesParser::new(words).try_map(|text| MayWord::from_word(&text).ok_or("no such word"))
}

/// What decides among the smallest step sets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum By {
    /// The room left at the tightest criterion
    Room,
    /// How often every criterion is met when things spread as the scenario says, among sets of up to two steps more too: a hundred passes each
    Chance,
}

/// Find the smallest set of field steps that meets every criterion
///
/// In trade order: restore the standard (both regulators alike), then air, then bearings, then the stop pin of one side, then foam. The answer stands
/// past the marginal band where anything in range does, and ends with how likely it holds when things spread. A later kind of step is used only when
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

    /// What decides among the smallest step sets
    #[arg(long, value_enum, default_value_t = By::Room)]
    by: By,

    /// What may be moved besides air, bearings, pin and foam, in this order: weight, damper, gap. Adds to what the scenario's «recommend» part lists
    #[arg(long, value_name = "KINDS", value_parser = may_words(), value_delimiter = ',')]
    may: Vec<MayWord>,

    /// Write the scenario with the recommended settings to this file
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,

    #[command(flatten)]
    interval: IntervalOption,

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
        plan.groups.extend(self.may.iter().map(|may| may.group()));
        plan.choose = match self.by {
            By::Room => Choose::Margin,
            By::Chance => Choose::Chance,
        };
        let spinner = if std::io::stderr().is_terminal() {
            ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr_with_hz(5)).with_style(
                ProgressStyle::with_template("{msg}, {elapsed}, at most {eta} left")
                    .unwrap_or_else(|_| ProgressStyle::default_spinner()),
            )
        } else {
            ProgressBar::hidden()
        };
        let tell = |at: Progress| {
            spinner.set_length(at.most);
            spinner.set_position(at.judged);
            spinner.set_message(format!(
                "{} of at most {} step sets looked at, {} passes",
                at.judged, at.most, at.looks
            ));
        };
        self.interval.check()?;
        if self.interval.is_asked() && self.study.format == StudyFormat::Csv {
            let refused = refusal(
                "intervals come with the text and the JSON form",
                "",
                "--format text or --format json",
                "add --format json",
            );
            return Err(Problem::option("--interval", refused));
        }
        interrupt::listen()?;
        let result = self
            .study
            .in_parallel(|| recommend_until(&loaded.scenario, &plan, &interrupt::is_asked, tell))?;
        spinner.finish_and_clear();
        let result = result?;
        let beside = self.intervals(&loaded, result.best.as_ref().map(|best| best.changes.as_slice()))?;
        let units = self.common.unit_system();
        let text = match self.study.format {
            StudyFormat::Text => {
                let mut text = recommend_text(&result, loaded.title(), units, destination.ink());
                if !beside.is_empty() {
                    text.push_str("\nA: as it stands\n");
                    if beside.len() > 1 {
                        text.push_str("B: as recommended\n");
                    }
                    text.push_str(&intervals_beside_text(&beside, units, destination.ink()));
                }
                text
            }
            StudyFormat::Json => {
                let mut document = recommend_document(loaded.title(), &asked(&self.common, &loaded), &result);
                if !beside.is_empty() {
                    // As it stands, then as recommended.
                    document["intervals"] = beside.iter().map(intervals_document).collect();
                }
                super::pass::to_json(&document)?
            }
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
        let failed = result.best.is_none() && !result.nothing_to_do;
        Ok(interrupt::code(result.is_interrupted).unwrap_or(self.strict.code(failed)))
    }
}

impl RecommendArguments {
    /// Intervals of the scenario's own pass as it stands and as recommended, if asked: the same machines drawn for both.
    fn intervals(
        &self,
        loaded: &Loaded,
        changes: Option<&[(String, String)]>,
    ) -> Result<Vec<Intervals>, Problem> {
        let mut all: Vec<Intervals> = self.interval.of(&loaded.scenario)?.into_iter().collect();
        if let Some(changes) = changes {
            all.extend(self.interval.of(&loaded.scenario.with(changes)?)?);
        }
        Ok(all)
    }
}
