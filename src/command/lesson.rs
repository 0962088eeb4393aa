//! `brusharm lesson`: a lesson as text.

use super::common::{Common, Units};
use super::input::read_text;
use super::kind::{FileKind, expect};
use super::output::{ink, print};
use super::problem::{Problem, refusal};
use super::{Run, exit};
use crate::report::lesson_text;
use crate::scenario::lesson::Lesson;
use crate::study::lesson::evaluate;
use crate::units::UnitSystem;
use clap::Args;
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
        print(&lesson_text(&lesson, &loaded.scenario, &results, units), ink())?;
        Ok(exit::DONE)
    }
}
