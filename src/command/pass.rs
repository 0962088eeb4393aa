//! `brusharm pass`: one vehicle past the brushes.

use super::common::{Common, Computed, Loaded, OutputArguments};
use super::instant;
use super::output::Target;
use super::problem::{Problem, refusal};
use super::{Run, exit};
use crate::coverage::Verdict;
use crate::drawing::Theme;
use crate::drawing::picture::{PictureOptions, pass_picture};
use crate::drawing::svg::svg;
use crate::report::PassReport;
use crate::units::{Time, UnitError};
use crate::visible::visible_json;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

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

    /// With --format json: add time series of each unit at this step, such as 0.05 (seconds) or "50 ms"
    #[arg(long, value_name = "STEP", allow_hyphen_values = true)]
    series: Option<String>,

    /// Also draw the pass: plan view at an instant and unrolled map of what was washed; - draws on standard output in place of the text
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,

    /// With --svg: the instant of the plan view, an event («tail corner», «right lost the tail») or a time («41.5 s»); the one that
    /// tells most when not given
    #[arg(long, value_name = "EVENT|TIME", requires = "svg", allow_hyphen_values = true)]
    at: Option<String>,

    /// End with code 3 when a criterion fails
    #[arg(long)]
    strict: bool,
}

impl Run for PassArguments {
    fn run(&self) -> Result<u8, Problem> {
        let step_s = self.series_step_s()?;
        let loaded = self.common.load()?;
        let destination = self.output.result(&loaded)?;
        let drawing = self.svg.as_ref().map(|path| self.output.target(path, &loaded)).transpose()?;
        self.check_one_each(drawing.as_ref())?;
        let computed = loaded.compute()?;
        let report = loaded.report(&computed);
        if let Some(target) = &drawing {
            target.write(self.draw(&loaded, &computed)?.as_bytes())?;
        }
        let text = match self.format {
            PassFormat::Text => report.text(self.common.unit_system(), destination.ink()),
            PassFormat::Json => json(&report, step_s)?,
            PassFormat::Csv => report.csv(),
        };
        // A drawing on standard output stands there alone.
        if !(self.output.output.is_none() && drawing.is_some_and(|target| target.is_stdout())) {
            destination.deliver(&text)?;
        }
        let failed = computed.outcome.verdicts.iter().any(|line| line.verdict == Verdict::Fail);
        Ok(if self.strict && failed { exit::CRITERION_FAILED } else { exit::DONE })
    }
}

impl PassArguments {
    /// Result and drawing may not go to the same place.
    fn check_one_each(&self, drawing: Option<&Target>) -> Result<(), Problem> {
        match (&self.output.output, &self.svg) {
            (Some(result), Some(picture)) if drawing.is_some() && result == picture => Err(Problem::option(
                "--svg",
                refusal(
                    "the drawing and the result cannot go to the same place",
                    &picture.display().to_string(),
                    "two different files",
                    "name another file for one of them",
                ),
            )),
            _ => Ok(()),
        }
    }

    /// The picture of the pass at the instant asked for, or at the one that tells most.
    fn draw(&self, loaded: &Loaded, computed: &Computed) -> Result<String, Problem> {
        let (setup, record, outcome) = (&computed.setup, &computed.record, &computed.outcome);
        let mut options = PictureOptions::new(self.common.unit_system());
        options.t_s = self.at.as_ref().map(|text| instant::read(text, outcome, record)).transpose()?;
        options.name = loaded.title().to_owned();
        for (path, value) in &loaded.set {
            options.name.push_str(&format!(", {path} = {value}"));
        }
        options.stop_pins = setup.units.iter().map(|u| loaded.scenario.stop_pin(u.side)).collect();
        let list = pass_picture(setup, record, outcome, &computed.coverage, &[], &options);
        Ok(svg(&list, Theme::Light))
    }

    fn series_step_s(&self) -> Result<Option<f64>, Problem> {
        let Some(text) = &self.series else { return Ok(None) };
        if self.format != PassFormat::Json {
            let advice = "add --format json, or leave --series out";
            return Err(Problem::option(
                "--series",
                refusal("time series come with the JSON form only", text, "--format json", advice),
            ));
        }
        // A number alone is in seconds, as what is typed elsewhere is in the unit of its step.
        let step = match Time::parse(text) {
            Err(UnitError::BareNumber { .. }) => Time::parse(&format!("{text} s")),
            step => step,
        };
        Ok(Some(step.map_err(|error| Problem::option("--series", error.refusal()))?.si()))
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
    Ok(visible_json(&text).into_owned() + "\n")
}
