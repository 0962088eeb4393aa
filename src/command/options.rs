//! Options that mean the same on every command that has them: one name, one meaning, one help text.

use super::common::{Destination, OutputArguments};
use super::exit;
use super::output::Target;
use super::problem::{Problem, refusal};
use crate::calibrate::{FEWEST, Intervals, intervals};
use crate::coverage::measure::{ALL, Measure};
use crate::report::sheet::Language;
use crate::scenario::Scenario;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Which measure an answer is about.
#[derive(Debug, Args)]
pub(crate) struct OfOption {
    /// Measure that the answer is about, such as tail_gap; the one that decides when not said
    #[arg(long, value_name = "MEASURE")]
    of: Option<String>,
}

impl OfOption {
    /// The measure; none when not said.
    pub fn measure(&self) -> Result<Option<Measure>, Problem> {
        self.of.as_deref().map(|key| measure_named("--of", key)).transpose()
    }
}

/// Which vehicles an answer must hold for.
#[derive(Debug, Args)]
pub(crate) struct VehiclesOption {
    /// Vehicles, each number at its worst over them: names separated by commas, fleet, or all. When not said the scenario's own vehicle, for
    /// «recommend» the fleet
    #[arg(long, value_name = "NAMES")]
    pub vehicles: Option<String>,
}

/// Languages of sheet and page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Lang {
    /// English
    En,
    /// Spanish
    Es,
    /// French
    Fr,
}

/// In which language a sheet or a page speaks.
#[derive(Debug, Args)]
pub(crate) struct LangOption {
    /// Language of the words of sheet or page; what the scenario says stays as it is
    #[arg(long, value_enum, default_value_t = Lang::En)]
    lang: Lang,
}

impl LangOption {
    /// The language.
    pub fn language(&self) -> Language {
        match self.lang {
            Lang::En => Language::English,
            Lang::Es => Language::Spanish,
            Lang::Fr => Language::French,
        }
    }
}

/// Whether a failed criterion shows in the exit code.
#[derive(Debug, Args)]
pub(crate) struct StrictOption {
    /// End with code 3 when a criterion fails: of the pass, of any set-up, point or draw that was asked for, or of what is recommended
    #[arg(long)]
    strict: bool,
}

impl StrictOption {
    /// The exit code of a command that did its work.
    pub fn code(&self, failed: bool) -> u8 {
        if self.strict && failed { exit::CRITERION_FAILED } else { exit::DONE }
    }
}

/// Where the drawing goes.
#[derive(Debug, Args)]
pub(crate) struct SvgOption {
    /// Also draw the result to this SVG file; - draws on standard output in place of the text
    #[arg(long, alias = "chart", value_name = "FILE")]
    pub svg: Option<PathBuf>,
}

impl SvgOption {
    /// Where the drawing goes, checked before any work is done: never to where the result goes.
    pub fn target(&self, output: &OutputArguments, inputs: &[PathBuf]) -> Result<Option<Target>, Problem> {
        let Some(path) = &self.svg else { return Ok(None) };
        if output.output.as_ref() == Some(path) {
            return Err(Problem::option(
                "--svg",
                refusal(
                    "the drawing and the result cannot go to the same place",
                    &path.display().to_string(),
                    "two different files",
                    "name another file for one of them",
                ),
            ));
        }
        Target::new(path, output.overwrite, inputs).map(Some)
    }
}

/// Delivers a result, but not beside a drawing on standard output: that stands there alone.
pub(crate) fn deliver_beside(
    drawing: Option<&Target>,
    output: &OutputArguments,
    destination: &Destination,
    text: &str,
) -> Result<(), Problem> {
    if output.output.is_none() && drawing.is_some_and(Target::is_stdout) {
        return Ok(());
    }
    destination.deliver(text)
}

/// A measure by its key.
pub(crate) fn measure_named(option: &str, key: &str) -> Result<Measure, Problem> {
    Measure::from_key(key.trim()).ok_or_else(|| {
        let keys: Vec<String> = ALL.into_iter().map(Measure::key).collect();
        let advice = match crate::error::nearest(key, keys.iter().map(String::as_str)) {
            Some(likely) => format!("write {likely} if that is what you mean"),
            None => "choose from these".to_owned(),
        };
        Problem::option(option, refusal("there is no such measure", key, &keys.join(", "), &advice))
    })
}

/// Seed of the machines drawn: the same ones for every set-up and point.
pub(crate) const SEED: u64 = 1;

/// Intervals from machines drawn.
#[derive(Debug, Args)]
pub(crate) struct IntervalOption {
    /// Also run the pass on so many machines drawn from the calibration of the scenario, or from what is assumed of one nobody measured, and say
    /// between what each number lies with 95 % and how likely each criterion is met; 100 draws when no number is given
    #[arg(long, value_name = "DRAWS", num_args = 0..=1, require_equals = true, default_missing_value = "100")]
    interval: Option<u32>,
}

impl IntervalOption {
    /// Whether they were asked for.
    pub fn is_asked(&self) -> bool {
        self.interval.is_some()
    }

    /// Refuses numbers of draws that tell no interval.
    pub fn check(&self) -> Result<(), Problem> {
        match self.interval {
            Some(draws) if !(FEWEST..=100_000).contains(&draws) => Err(Problem::option(
                "--interval",
                refusal(
                    "this number of draws tells no interval",
                    &draws.to_string(),
                    "60 to 100000",
                    "leave the number out for 100 draws",
                ),
            )),
            _ => Ok(()),
        }
    }

    /// How many machines are drawn, if asked.
    pub fn draws(&self) -> Option<u32> {
        self.interval
    }

    /// Between what each number of a scenario's pass lies, if asked. Scenarios of one machine are drawn alike, so that their intervals compare.
    pub fn of(&self, scenario: &Scenario) -> Result<Option<Intervals>, Problem> {
        Ok(self.interval.map(|draws| intervals(scenario, draws, SEED)).transpose()?)
    }
}
