//! `brusharm spread`: how likely each criterion is met when things spread, and what matters.

use super::Run;
use super::common::{Common, OutputArguments};
use super::interrupt;
use super::options::{OfOption, StrictOption};
use super::output::complain;
use super::problem::{Problem, refusal};
use super::study_common::{StudyArguments, StudyFormat, asked, threads_problem};
use super::sweep::progress;
use crate::report::rows::{RowFormat, table_text};
use crate::report::{spread_document, spread_text};
use crate::study::spread::{SpreadError, SpreadPlan, spread_until};
use clap::Args;

/// Say how likely each criterion is met when things spread, and what matters most
///
/// What spreads, and how, stands in the scenario's «spread» part: how vehicles sit, their sizes, the fleet mix, how well settings are held, friction,
/// push-back. The ranking shown is for the measure asked about, else for the criterion met least often. Shares have intervals at the confidence asked for; the ranking is by variance, with its sampling error.
#[derive(Debug, Args)]
pub(crate) struct SpreadArguments {
    #[command(flatten)]
    common: Common,

    /// Blocks; each takes as many passes as there are factors, and two more
    #[arg(long, value_name = "NUMBER", default_value_t = 256)]
    blocks: u64,

    /// Confidence of every interval, in per cent
    #[arg(long, value_name = "PERCENT", default_value_t = 95.0)]
    confidence: f64,

    /// Seed of the draws: the same seed gives the same numbers
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    seed: u64,

    #[command(flatten)]
    of: OfOption,

    #[command(flatten)]
    strict: StrictOption,

    #[command(flatten)]
    study: StudyArguments,

    #[command(flatten)]
    output: OutputArguments,
}

impl Run for SpreadArguments {
    fn run(&self) -> Result<u8, Problem> {
        let loaded = self.common.load()?;
        let destination = self.output.result(&loaded)?;
        let measure = self.of.measure()?;
        let wrong = |option: &str, given: String, allowed: &str| {
            Err(Problem::option(
                option,
                refusal("this is out of range", &given, allowed, "choose a value in the range"),
            ))
        };
        if !(2..=1_000_000).contains(&self.blocks) {
            return wrong("--blocks", self.blocks.to_string(), "2 to 1000000");
        }
        if !(self.confidence >= 50.0 && self.confidence < 100.0) {
            return wrong("--confidence", self.confidence.to_string(), "50 to under 100 per cent");
        }
        let plan = SpreadPlan {
            blocks: self.blocks,
            confidence: self.confidence / 100.0,
            seed: self.seed,
            ..SpreadPlan::default()
        };
        let bar = progress(self.blocks, 0);
        interrupt::listen()?;
        let tell = |done| bar.set_position(done);
        let workers = self.study.workers();
        let result = spread_until(&loaded.scenario, &plan, workers, &interrupt::is_asked, tell);
        bar.finish_and_clear();
        let result = result.map_err(|error| match error {
            SpreadError::Scenario(diagnostics) => Problem::from(diagnostics),
            SpreadError::Threads(reason) => threads_problem(self.study.threads, &reason),
            SpreadError::NothingSpreads => {
                let advice = "add for example spread: (factors: [(setting: \"vehicle.lateral_offset\", by: Normal(sd: \"1 in\", within: \"3 in\"))])";
                Problem::file(&loaded.name, refusal("the scenario has no spread part", "", "a spread part", advice))
            }
        })?;
        let is_interrupted = result.plan.blocks < plan.blocks;
        if is_interrupted {
            complain(&format!("interrupted after {} of {} blocks", result.plan.blocks, plan.blocks));
        }
        let text = match self.study.format {
            StudyFormat::Text => {
                spread_text(&result, loaded.title(), measure, self.common.unit_system(), destination.ink())
            }
            StudyFormat::Json => super::pass::to_json(&spread_document(
                loaded.title(),
                &asked(&self.common, &loaded),
                &result,
            ))?,
            StudyFormat::Csv => table_text(&result.table(), RowFormat::Csv),
        };
        destination.deliver(&text)?;
        // A pass that could not be computed meets nothing.
        let failed = result.failed > 0 || result.all_met.is_some_and(|share| share.share < 1.0);
        Ok(interrupt::code(is_interrupted).unwrap_or(self.strict.code(failed)))
    }
}
