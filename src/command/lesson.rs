//! `brusharm lesson`: a lesson as text.

use super::common::{Common, Units};
use super::input::read_text;
use super::kind::{FileKind, expect};
use super::output::{ink, print};
use super::problem::{Problem, refusal};
use super::{Run, exit};
use crate::drawing::Weight;
use crate::drawing::text_width::wrap;
use crate::scenario::Scenario;
use crate::scenario::lesson::{Lesson, StepFile};
use crate::scenario::setting::TypedChange;
use crate::study::lesson::{StepResult, evaluate};
use crate::units::{Dimension, TimeDim, UnitSystem, format};
use clap::Args;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Print a lesson as text, with its numbers computed
///
/// Each step with its set-up, the instant it shows, what is said, the question and the answer. «brusharm view --lesson FILE» shows it.
#[derive(Debug, Args)]
pub(crate) struct LessonArguments {
    /// Lesson file
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// Units of the numbers: us when not given
    #[arg(long, value_enum, value_name = "SYSTEM")]
    units: Option<Units>,
}

/// A lesson that was read, and where its scenario is.
#[derive(Debug)]
pub(crate) struct LoadedLesson {
    /// The lesson.
    pub lesson: Lesson,
    /// Its scenario's file.
    pub scenario_path: PathBuf,
}

/// Reads a lesson and finds its scenario: beside it or one folder up.
pub(crate) fn load_lesson(path: &Path) -> Result<LoadedLesson, Problem> {
    let name = path.display().to_string();
    let text = read_text(path, &name)?;
    expect(&[FileKind::Lesson], &text, &name)?;
    let lesson = Lesson::read(&text, &name)?;
    let Some(scenario_path) = lesson.scenario_beside(path) else {
        let given = lesson.file.scenario.clone();
        let refusal = refusal(
            "a lesson names a scenario beside it or one folder up",
            &given,
            "name.ron or ../name.ron",
            "move the scenario there, or correct the name",
        );
        return Err(crate::error::Diagnostics::from(lesson.diagnostic("scenario", refusal)).into());
    };
    Ok(LoadedLesson { lesson, scenario_path })
}

impl Run for LessonArguments {
    fn run(&self) -> Result<u8, Problem> {
        let LoadedLesson { lesson, scenario_path } = load_lesson(&self.file)?;
        let common = Common { file: scenario_path, set: Vec::new(), units: self.units };
        let loaded = common.load()?;
        let units = self.units.map_or(UnitSystem::Us, UnitSystem::from);
        let results = evaluate(&lesson, &loaded.scenario, units)?;
        print(&text(&lesson, &loaded.scenario, &results, units), ink())?;
        Ok(exit::DONE)
    }
}

fn text(lesson: &Lesson, scenario: &Scenario, results: &[StepResult], units: UnitSystem) -> String {
    let mut out = String::new();
    let file = &lesson.file;
    let _ = writeln!(out, "{}", file.title);
    paragraph(&mut out, "", &file.note);
    for (index, (step, result)) in file.steps.iter().zip(results).enumerate() {
        let texts = &result.texts;
        let _ = writeln!(out, "\n{}. {}", index + 1, texts.heading);
        let _ = writeln!(out, "   set-up: {} ({})", changes(scenario, &step.set), result.headline);
        for pin in &step.pins {
            let name = texts.pins.iter().find(|(slot, _)| *slot == pin.slot).map_or("", |(_, name)| name);
            let _ = writeln!(out, "   {}: {name} ({})", pin.slot.letter(), changes(scenario, &pin.set));
        }
        let _ = writeln!(out, "   shown at {}", instant(step, result, units));
        paragraph(&mut out, "   ", &texts.caption);
        paragraph(&mut out, "   Q: ", &texts.question);
        paragraph(&mut out, "   A: ", &texts.answer);
    }
    out
}

fn instant(_: &StepFile, result: &StepResult, units: UnitSystem) -> String {
    format(TimeDim::INFO, result.t_s, units)
}

fn changes(scenario: &Scenario, set: &[(String, String)]) -> String {
    if set.is_empty() {
        return "as in the scenario".to_owned();
    }
    // The lesson was evaluated with these: they can be taken.
    let taken = scenario.stepped(set).unwrap_or_default();
    taken.iter().map(TypedChange::said).collect::<Vec<_>>().join(", ")
}

/// A text in lines of about a hundred letters, the first with a lead.
fn paragraph(out: &mut String, lead: &str, text: &str) {
    if text.is_empty() {
        return;
    }
    let lines = wrap(text, 1.0, Weight::Regular, 52.0);
    for (index, line) in lines.iter().enumerate() {
        let blank = " ".repeat(lead.chars().count());
        let _ = writeln!(out, "{}{line}", if index == 0 { lead } else { &blank });
    }
}
