//! `brusharm pass`: one vehicle past the brushes.

use super::Run;
use super::common::{Common, Computed, Loaded, OutputArguments};
use super::instant;
use super::options::{IntervalOption, StrictOption, SvgOption, deliver_beside};
use super::problem::{Problem, refusal};
use crate::calibrate::Intervals;
use crate::coverage::Verdict;
use crate::drawing::Theme;
use crate::drawing::picture::{PictureOptions, pass_picture};
use crate::drawing::svg::svg;
use crate::report::{PassReport, intervals_document, intervals_text};
use crate::study::effect::without_effect;
use crate::units::{Time, UnitError};
use crate::visible::visible_json;
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

    /// With --format json: add time series of each unit at this step, such as 0.05 (seconds) or "50 ms"
    #[arg(long, value_name = "STEP", allow_hyphen_values = true)]
    series: Option<String>,

    #[command(flatten)]
    drawing: SvgOption,

    /// With --svg: the instant of the plan view, an event («tail corner», «right lost the tail») or a time («41.5 s»); the one that
    /// tells most when not given
    #[arg(long, value_name = "EVENT|TIME", requires = "svg", allow_hyphen_values = true)]
    at: Option<String>,

    #[command(flatten)]
    interval: IntervalOption,

    #[command(flatten)]
    strict: StrictOption,
}

impl Run for PassArguments {
    fn run(&self) -> Result<u8, Problem> {
        let step_s = self.series_step_s()?;
        let loaded = self.common.load()?;
        let destination = self.output.result(&loaded)?;
        let drawing = self.drawing.target(&self.output, &loaded.inputs)?;
        self.interval.check()?;
        if self.interval.is_asked() && self.format == PassFormat::Csv {
            return Err(Problem::option(
                "--interval",
                refusal(
                    "intervals come with the text and the JSON form",
                    "",
                    "--format text or --format json",
                    "add --format json",
                ),
            ));
        }
        let computed = loaded.compute()?;
        let report = loaded.report(&computed);
        if let Some(target) = &drawing {
            target.write(self.draw(&loaded, &computed)?.as_bytes())?;
        }
        let text = match self.format {
            PassFormat::Text => {
                let set = self.said_settings(&loaded, &computed)?;
                let units = self.common.unit_system();
                let mut text = PassReport { set: &set, ..report }.text(units, destination.ink());
                if let Some(found) = self.interval.of(&loaded.scenario)? {
                    text.push_str(&intervals_text(&found, units, destination.ink()));
                }
                text
            }
            PassFormat::Json => json(&report, step_s, self.interval.of(&loaded.scenario)?.as_ref())?,
            PassFormat::Csv => report.csv(),
        };
        deliver_beside(drawing.as_ref(), &self.output, &destination, &text)?;
        let failed = computed.solved.outcome.verdicts.iter().any(|line| line.verdict == Verdict::Fail);
        Ok(self.strict.code(failed))
    }
}

impl PassArguments {
    /// The settings changed for this run, each that has no effect with a word about it.
    fn said_settings(&self, loaded: &Loaded, computed: &Computed) -> Result<Vec<(String, String)>, Problem> {
        let mut said = loaded.set.clone();
        if said.is_empty() {
            return Ok(said);
        }
        let base = Common { set: Vec::new(), ..self.common.clone() }.load()?;
        let (setup, outcome) = (&computed.solved.setup, &computed.solved.outcome);
        for found in without_effect(&base.scenario, &loaded.set, &loaded.scenario, setup, outcome) {
            let why = found.why.map_or_else(String::new, |why| format!(": {why}"));
            if let Some((_, value)) = said.get_mut(found.index) {
                value.push_str(&format!(" (has no effect here{why})"));
            }
        }
        Ok(said)
    }

    /// The picture of the pass at the instant asked for, or at the one that tells most.
    fn draw(&self, loaded: &Loaded, computed: &Computed) -> Result<String, Problem> {
        let solved = &computed.solved;
        let mut options = PictureOptions::new(self.common.unit_system());
        options.t_s =
            self.at.as_ref().map(|text| instant::read(text, &solved.outcome, &solved.record)).transpose()?;
        options.name = loaded.title().to_owned();
        for (path, value) in &loaded.set {
            options.name.push_str(&format!(", {path} = {value}"));
        }
        options.stop_pins = solved.setup.units.iter().map(|u| loaded.scenario.stop_pin(u.side)).collect();
        let list = pass_picture(solved, &[], &options);
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
fn json(
    report: &PassReport<'_>,
    step_s: Option<f64>,
    intervals: Option<&Intervals>,
) -> Result<String, Problem> {
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
    let Some(intervals) = intervals else { return to_json(&document) };
    let mut document = serde_json::to_value(&document)
        .map_err(|error| Problem::writing("the JSON document", &std::io::Error::other(error)))?;
    document["intervals"] = intervals_document(intervals);
    to_json(&document)
}

/// A document as indented JSON, ending in a line break.
pub(crate) fn to_json(document: &impl serde::Serialize) -> Result<String, Problem> {
    let text = serde_json::to_string_pretty(document)
        .map_err(|error| Problem::writing("the JSON document", &std::io::Error::other(error)))?;
    Ok(visible_json(&text).into_owned() + "\n")
}
