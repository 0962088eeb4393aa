//! `brusharm calibrate`: makes the model this machine.

use super::Run;
use super::common::{Common, Loaded, OutputArguments};
use super::input::read_text;
use super::kind::{FileKind, expect};
use super::options::measure_named;
use super::pass::to_json;
use super::problem::Problem;
use super::study_common::{asked, threads_problem};
use crate::calibrate::{ADVICE_DRAWS, OfWord, ReadingsText, advise, calibrate, known, written};
use crate::coverage::measure::Measure;
use crate::report::{CALIBRATE_SCHEMA, advice_document, advice_text, calibrate_document, calibrate_text};
use crate::study::stream::{Workers, with_threads};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Forms of the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum CalibrateFormat {
    /// For people
    Text,
    /// For programs: SI, null where there is nothing
    Json,
}

/// Fit the model to readings of the machine, and say what they tell
///
/// A spring scale, a tape, a stopwatch or phone and a gauge turn a template into this machine. READINGS is a text file of what was read, in trade
/// units: pulls of the arm, timed or filmed swings, push-back, gaps and levels, a weighed counterweight, the gauge, the strip left unwashed on a tail.
/// The answer says whether the model explains the readings, what was learned and how well, what stays open, and which reading does not fit.
/// With -o the scenario is written with the fitted values, where each comes from, and how far all may be off: «brusharm pass NEW --interval» then
/// predicts with intervals. Swing or spin the machine only with everybody clear of its whole path.
#[derive(Debug, Args)]
pub(crate) struct CalibrateArguments {
    #[command(flatten)]
    common: Common,

    /// File of readings; may be left out with --advise
    #[arg(value_name = "READINGS", required_unless_present = "advise")]
    readings: Option<PathBuf>,

    /// Say which test to make next: which takes most of the uncertainty of this measure, such as tail_gap, for each minute
    #[arg(long, value_name = "MEASURE")]
    advise: Option<String>,

    /// Write the scenario with the fitted values to this file; its comments stay
    #[arg(short, long, value_name = "NEW")]
    output: Option<PathBuf>,

    /// Replace the output file if it exists; files that were read are never written over
    #[arg(long)]
    overwrite: bool,

    /// Form of the answer
    #[arg(long, value_enum, default_value_t = CalibrateFormat::Text)]
    format: CalibrateFormat,

    /// Threads; 0 = one for each core
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    threads: usize,
}

impl Run for CalibrateArguments {
    fn run(&self) -> Result<u8, Problem> {
        let mut loaded = self.common.load()?;
        let measure = self.advise.as_deref().map(|key| measure_named("--advise", key)).transpose()?;
        let Some(path) = &self.readings else { return self.advise_blank(&loaded, measure) };
        let name = path.display().to_string();
        let text = read_text(path, &name)?;
        expect(&[FileKind::Readings], &text, &name)?;
        let readings = ReadingsText::read(&text, &name)?;
        loaded.inputs.push(path.clone());
        let screen = OutputArguments { output: None, overwrite: false }.result(&loaded)?;
        let new = OutputArguments { output: self.output.clone(), overwrite: self.overwrite };
        let target = new.output.as_ref().map(|path| new.target(path, &loaded)).transpose()?;
        let found = self.with_threads(|| calibrate(&loaded.scenario, &readings))??;
        let list = &readings.file.readings;
        if let Some(target) = &target {
            let file = path.file_name().map_or(name.clone(), |f| f.to_string_lossy().into_owned());
            let note = format!(
                "{} of {file}",
                crate::units::counted(found.rows.len() as u64, "value read", "values read")
            );
            target.write(written(&found, list, &note)?.as_bytes())?;
        }
        if target.as_ref().is_some_and(super::output::Target::is_stdout) {
            return Ok(super::exit::DONE);
        }
        let advice = match (measure, found.uncertainty()) {
            (Some(measure), Some(known)) => {
                let of = readings.file.of;
                Some(self.with_threads(|| advise(&found.scenario, &known, of, measure, ADVICE_DRAWS))??)
            }
            _ => None,
        };
        let units = self.common.unit_system();
        let answer = match self.format {
            CalibrateFormat::Text => {
                let mut text = calibrate_text(&found, list, units, screen.ink());
                if let Some(advice) = &advice {
                    text.push('\n');
                    text.push_str(&advice_text(advice, units, screen.ink()));
                }
                text
            }
            CalibrateFormat::Json => {
                let mut asked = asked(&self.common, &loaded);
                asked["readings"] = name.into();
                let mut document = calibrate_document(loaded.title(), asked, &found, list);
                if let Some(advice) = &advice {
                    document["advice"] = advice_document(advice);
                }
                to_json(&document)?
            }
        };
        screen.deliver(&answer)?;
        Ok(super::exit::DONE)
    }
}

impl CalibrateArguments {
    fn with_threads<T: Send>(&self, work: impl FnOnce() -> T + Send) -> Result<T, Problem> {
        with_threads(Workers::new(self.threads), work)
            .map_err(|error| threads_problem(self.threads, &error.to_string()))
    }

    /// Advice before anything was read.
    fn advise_blank(&self, loaded: &Loaded, measure: Option<Measure>) -> Result<u8, Problem> {
        let screen =
            OutputArguments { output: self.output.clone(), overwrite: self.overwrite }.result(loaded)?;
        let Some(measure) = measure else { return Ok(super::exit::DONE) };
        let (base, uncertainty, _) = known(&loaded.scenario)?;
        let of = OfWord::of(&loaded.scenario);
        let advice = self.with_threads(|| advise(&base, &uncertainty, of, measure, ADVICE_DRAWS))??;
        let answer = match self.format {
            CalibrateFormat::Text => advice_text(&advice, self.common.unit_system(), screen.ink()),
            CalibrateFormat::Json => to_json(&serde_json::json!({
                "schema": CALIBRATE_SCHEMA,
                "brusharm": env!("CARGO_PKG_VERSION"),
                "title": loaded.title(),
                "asked": asked(&self.common, loaded),
                "advice": advice_document(&advice),
            }))?,
        };
        screen.deliver(&answer)?;
        Ok(super::exit::DONE)
    }
}
