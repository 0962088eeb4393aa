//! `brusharm calibrate`: makes the model this machine.

use super::Run;
use super::common::{Common, OutputArguments};
use super::input::read_text;
use super::kind::{FileKind, expect};
use super::pass::to_json;
use super::problem::Problem;
use super::study_common::{asked, threads_problem};
use crate::calibrate::{ReadingsText, calibrate, written};
use crate::report::{calibrate_document, calibrate_text};
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

    /// File of readings
    #[arg(value_name = "READINGS")]
    readings: PathBuf,

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
        let name = self.readings.display().to_string();
        let text = read_text(&self.readings, &name)?;
        expect(&[FileKind::Readings], &text, &name)?;
        let readings = ReadingsText::read(&text, &name)?;
        loaded.inputs.push(self.readings.clone());
        let screen = OutputArguments { output: None, overwrite: false }.result(&loaded)?;
        let new = OutputArguments { output: self.output.clone(), overwrite: self.overwrite };
        let target = new.output.as_ref().map(|path| new.target(path, &loaded)).transpose()?;
        let found = with_threads(Workers::new(self.threads), || calibrate(&loaded.scenario, &readings))
            .map_err(|error| threads_problem(self.threads, &error.to_string()))??;
        let list = &readings.file.readings;
        if let Some(target) = &target {
            let file = self.readings.file_name().map_or(name.clone(), |f| f.to_string_lossy().into_owned());
            let note = format!(
                "{} of {file}",
                crate::units::counted(found.rows.len() as u64, "value read", "values read")
            );
            target.write(written(&found, list, &note)?.as_bytes())?;
        }
        if target.as_ref().is_some_and(super::output::Target::is_stdout) {
            return Ok(super::exit::DONE);
        }
        let answer = match self.format {
            CalibrateFormat::Text => calibrate_text(&found, list, self.common.unit_system(), screen.ink()),
            CalibrateFormat::Json => {
                let mut asked = asked(&self.common, &loaded);
                asked["readings"] = name.into();
                to_json(&calibrate_document(loaded.title(), asked, &found, list))?
            }
        };
        screen.deliver(&answer)?;
        Ok(super::exit::DONE)
    }
}
