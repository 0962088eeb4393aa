//! `brusharm pass`: one vehicle past the brushes.

use super::common::{Common, OutputArguments};
use super::problem::{Problem, refusal};
use super::{Run, exit};
use crate::coverage::Verdict;
use crate::report::PassReport;
use crate::units::Time;
use clap::{Args, ValueEnum};

/// Forms of the result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PassFormat {
    /// For people
    Text,
    /// For programs: every number, SI, null where there is none
    Json,
    /// For a spreadsheet: one number a row, SI, empty where there is none
    Csv,
}

/// Run a vehicle past the brushes and say what they did to it
///
/// The verdict comes first, then what was washed, gaps in words, timing, what the arms did, and loads on mirrors and plates. Every
/// number of the JSON and CSV forms is SI; what does not exist is null or empty, never 0.
#[derive(Debug, Args)]
pub(crate) struct PassArguments {
    #[command(flatten)]
    common: Common,

    #[command(flatten)]
    output: OutputArguments,

    /// Form of the result
    #[arg(long, value_enum, default_value_t = PassFormat::Text)]
    format: PassFormat,

    /// With --format json: add time series of each unit at this step, such as "0.05 s"
    #[arg(long, value_name = "STEP", allow_hyphen_values = true)]
    series: Option<String>,

    /// End with code 3 when a criterion fails
    #[arg(long)]
    strict: bool,
}

impl Run for PassArguments {
    fn run(&self) -> Result<u8, Problem> {
        let step_s = self.series_step_s()?;
        let loaded = self.common.load()?;
        let destination = self.output.result(&loaded)?;
        let computed = loaded.compute()?;
        let report = loaded.report(&computed);
        let text = match self.format {
            PassFormat::Text => report.text(self.common.unit_system(), destination.ink()),
            PassFormat::Json => json(&report, step_s)?,
            PassFormat::Csv => report.csv(),
        };
        destination.deliver(&text)?;
        let failed = computed.outcome.verdicts.iter().any(|line| line.verdict == Verdict::Fail);
        Ok(if self.strict && failed { exit::CRITERION_FAILED } else { exit::DONE })
    }
}

impl PassArguments {
    fn series_step_s(&self) -> Result<Option<f64>, Problem> {
        let Some(text) = &self.series else { return Ok(None) };
        if self.format != PassFormat::Json {
            let advice = "add --format json, or leave --series out";
            return Err(Problem::option(
                "--series",
                refusal("time series come with the JSON form only", text, "--format json", advice),
            ));
        }
        let step = Time::parse(text).map_err(|error| Problem::option("--series", error.refusal()))?;
        Ok(Some(step.si()))
    }
}

/// The pass as JSON, ending in a line break.
fn json(report: &PassReport<'_>, step_s: Option<f64>) -> Result<String, Problem> {
    let mut document = report.document();
    if let Some(step_s) = step_s {
        let series = report.series(step_s).map_err(|error| {
            let step = format!("{step_s} s");
            Problem::option(
                "--series",
                refusal(&error.to_string(), &step, "", "give a step such as \"0.05 s\""),
            )
        })?;
        document.series = Some(series);
    }
    to_json(&document)
}

/// A document as indented JSON, ending in a line break.
pub(crate) fn to_json(document: &impl serde::Serialize) -> Result<String, Problem> {
    let text = serde_json::to_string_pretty(document)
        .map_err(|error| Problem::writing("the JSON document", &std::io::Error::other(error)))?;
    Ok(text + "\n")
}
