//! Lesson files: a row of steps, each a set-up, an instant, what to show, and what to say about it.
//!
//! A lesson names a scenario beside it or one folder up. Every step starts from that scenario and changes settings by their paths; set-ups
//! may be pinned as A, B and C to be compared. Captions hold no results: they hold placeholders (see [`template`]) that are computed.

pub mod template;

use super::diagnostic::RonText;
use crate::arm::Side;
use crate::coverage::EventName;
use crate::error::{DiagnosticKind, Diagnostics, Refusal};
use crate::units::{Fraction, Length, Time};
use serde::Deserialize;
use std::path::{Path, PathBuf};
use template::{Template, TemplateFault};

/// A lesson as written.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LessonFile {
    /// Version of the form; 1.
    pub schema: u32,
    /// Title.
    pub title: String,
    /// What the lesson is for, in a sentence or two.
    #[serde(default)]
    pub note: String,
    /// File name of the scenario, beside the lesson or one folder up (`../ferry-return.ron`).
    pub scenario: String,
    /// The steps; at least one.
    pub steps: Vec<StepFile>,
}

/// A step of a lesson.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepFile {
    /// Short heading.
    pub heading: String,
    /// Settings changed from the scenario: path and value.
    #[serde(default)]
    pub set: Vec<(String, String)>,
    /// A fault that none of the settings shows: what the class is to find. The answer names it.
    #[serde(default)]
    pub fault: Option<HiddenFaultFile>,
    /// Set-ups pinned beside it, each changed from the scenario, not from the step.
    #[serde(default)]
    pub pins: Vec<PinFile>,
    /// The instant shown.
    #[serde(default)]
    pub at: InstantFile,
    /// What is brought to the front.
    #[serde(default)]
    pub show: Vec<ShowWord>,
    /// The unit whose torques and chamber pressures are shown.
    #[serde(default)]
    pub unit: SideWord,
    /// What is said; with placeholders.
    pub caption: String,
    /// A question for the class; with placeholders.
    #[serde(default)]
    pub question: String,
    /// Its answer; with placeholders.
    #[serde(default)]
    pub answer: String,
}

/// A fault hidden in a step.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HiddenFaultFile {
    /// Key of the cause, as «brusharm fault --list» shows it.
    pub cause: String,
    /// Where it is.
    pub on: OnWord,
    /// How bad it is: the share of the range of its cause; half of it when not given.
    #[serde(default)]
    pub how_bad: Option<Fraction>,
}

/// Where a hidden fault is, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum OnWord {
    /// On the left.
    Left,
    /// On the right.
    Right,
    /// On both sides.
    Both,
    /// Of the line or the whole.
    Line,
}

/// A set-up pinned beside a step.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PinFile {
    /// Which place.
    pub slot: PinSlot,
    /// What it is called; with placeholders.
    pub label: String,
    /// Settings changed from the scenario: path and value.
    #[serde(default)]
    pub set: Vec<(String, String)>,
}

/// A place for a pinned set-up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub enum PinSlot {
    /// A.
    A,
    /// B.
    B,
    /// C.
    C,
}

impl PinSlot {
    /// Its letter.
    pub const fn letter(self) -> &'static str {
        match self {
            PinSlot::A => "A",
            PinSlot::B => "B",
            PinSlot::C => "C",
        }
    }

    /// The place with this letter.
    pub fn of(letter: &str) -> Option<PinSlot> {
        [PinSlot::A, PinSlot::B, PinSlot::C].into_iter().find(|slot| slot.letter() == letter)
    }
}

/// A side as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum SideWord {
    /// Left of travel.
    #[default]
    Left,
    /// Right of travel.
    Right,
}

impl SideWord {
    /// The side meant.
    pub const fn side(self) -> Side {
        match self {
            SideWord::Left => Side::Left,
            SideWord::Right => Side::Right,
        }
    }
}

/// How an event of a unit is written: by its name in [`EventName`].
#[derive(Deserialize)]
#[serde(remote = "EventName")]
enum EventWord {
    FirstTouch,
    NoseCorner,
    Mirror,
    TailCorner,
    TailPasses,
    BackOnTail,
    LostTail,
    Bumper,
    Settled,
    NextNose,
}

/// An instant as written.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
pub enum InstantFile {
    /// The instant that tells most: where the longest gap of the tail begins.
    #[default]
    Telling,
    /// The start of the pass.
    Start,
    /// When something happens to a unit.
    Event(SideWord, #[serde(deserialize_with = "EventWord::deserialize")] EventName),
    /// Some time after (or, negative, before) something happens to a unit.
    After(SideWord, #[serde(deserialize_with = "EventWord::deserialize")] EventName, Time),
    /// A time; 0 = the measured nose crosses lane x = 0.
    Time(Time),
    /// Lane x of the measured vehicle's nose.
    Position(Length),
}

/// Something that a step brings to the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum ShowWord {
    /// Torque bars and the sentence.
    Why,
    /// The unrolled map.
    Map,
    /// The stacked strips.
    Strips,
    /// The difference table of the pinned set-ups.
    Compare,
    /// Every criterion with its number and limit.
    Limits,
    /// Force and friction arrows in the plan view.
    Forces,
    /// The plan view follows the vehicle.
    Follow,
    /// The plan view is near the left brush.
    LeftBrush,
    /// The plan view is near the right brush.
    RightBrush,
}

/// A lesson that was read, with its text for errors.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// As written.
    pub file: LessonFile,
    name: String,
    source: String,
}

/// A caption, question, answer or label of a step, by its path in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Path in the file: `steps[2].caption`.
    pub path: String,
    /// Its pieces.
    pub template: Template,
}

impl Lesson {
    /// Reads a lesson. `file_name` is the name shown in errors. Settings and keys are checked later, against a scenario.
    ///
    /// # Errors
    /// [`Diagnostics`] when it is no lesson, or a placeholder is not well formed.
    pub fn read(text: &str, file_name: &str) -> Result<Lesson, Diagnostics> {
        super::load::check_size(file_name, text)?;
        let ron = RonText::new(file_name, text);
        let file: LessonFile = ron.read()?;
        let lesson = Lesson { file, name: file_name.to_owned(), source: ron.source().to_owned() };
        let mut found = Diagnostics::default();
        if lesson.file.schema != 1 {
            found.push(ron.makes_no_sense("schema", "this version of the form is not known", "1", "write 1"));
        }
        if lesson.file.steps.is_empty() {
            found.push(ron.makes_no_sense(
                "steps",
                "a lesson needs at least one step",
                "one step or more",
                "add a step",
            ));
        }
        for (index, step) in lesson.file.steps.iter().enumerate() {
            if step.question.is_empty() != step.answer.is_empty() {
                found.push(ron.makes_no_sense(
                    &format!("steps[{index}]"),
                    "a question and an answer go together",
                    "both or neither",
                    "write the one that is missing",
                ));
            }
            for (place, pin) in step.pins.iter().enumerate() {
                if step.pins[..place].iter().any(|before| before.slot == pin.slot) {
                    found.push(ron.makes_no_sense(
                        &format!("steps[{index}].pins[{place}].slot"),
                        "this place is taken already",
                        "each of A, B and C once",
                        "choose another place",
                    ));
                }
            }
            for (path, text) in texts(index, step) {
                if let Err(fault) = Template::read(text) {
                    found.push(lesson.fault(&path, &fault));
                }
            }
        }
        found.into_result()?;
        Ok(lesson)
    }

    /// The name shown in errors.
    pub fn file_name(&self) -> &str {
        &self.name
    }

    /// The file of its scenario, for a lesson that stands in `lesson`: beside it or one folder up. `None` when it names another place.
    pub fn scenario_beside(&self, lesson: &Path) -> Option<PathBuf> {
        let name = self.file.scenario.as_str();
        let folder = lesson.parent().unwrap_or(Path::new(""));
        let plain = |name: &str| !name.is_empty() && !name.contains(['/', '\\']) && name != "..";
        match name.strip_prefix("../") {
            Some(up) if plain(up) => Some(match folder.file_name() {
                Some(_) => folder.parent().unwrap_or(Path::new("")).join(up),
                None => folder.join("..").join(up),
            }),
            None if plain(name) => Some(folder.join(name)),
            _ => None,
        }
    }

    /// Everything that is said in a step.
    pub fn said(&self, index: usize) -> Vec<Said> {
        let Some(step) = self.file.steps.get(index) else { return Vec::new() };
        texts(index, step)
            .into_iter()
            .filter_map(|(path, text)| Some(Said { path, template: Template::read(text).ok()? }))
            .collect()
    }

    /// An error with its caret under a place of the file.
    pub fn diagnostic(&self, path: &str, refusal: Refusal) -> crate::error::Diagnostic {
        RonText::new(&self.name, &self.source).at(DiagnosticKind::Sense, path, refusal)
    }

    /// An error with its caret under a placeholder (or anything else) inside the text at `path`.
    pub fn diagnostic_in(&self, path: &str, part: &str, refusal: Refusal) -> crate::error::Diagnostic {
        let ron = RonText::new(&self.name, &self.source);
        let place = ron.map().find(path).ok().and_then(|place| {
            let at = self.source.get(place.inner.clone())?.find(part)?;
            Some(place.inner.start + at..place.inner.start + at + part.len())
        });
        match place {
            Some(range) => crate::error::Diagnostic::new(
                DiagnosticKind::Sense,
                &self.name,
                &self.source,
                Some(range),
                path,
                refusal,
            ),
            None => ron.at(DiagnosticKind::Sense, path, refusal),
        }
    }

    fn fault(&self, path: &str, fault: &TemplateFault) -> crate::error::Diagnostic {
        self.diagnostic_in(path, &fault.part, fault.refusal())
    }
}

/// Path and text of everything that is said in a step.
fn texts(index: usize, step: &StepFile) -> Vec<(String, &str)> {
    let at = |name: &str| format!("steps[{index}].{name}");
    let mut list = vec![
        (at("heading"), step.heading.as_str()),
        (at("caption"), step.caption.as_str()),
        (at("question"), step.question.as_str()),
        (at("answer"), step.answer.as_str()),
    ];
    for (place, pin) in step.pins.iter().enumerate() {
        list.push((at(&format!("pins[{place}].label")), pin.label.as_str()));
    }
    list.retain(|(_, text)| !text.is_empty());
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: &str = r#"(
    schema: 1,
    title: "Small",
    scenario: "../lane.ron",
    steps: [
        (heading: "One", caption: "The gap is {tail_gap}.", at: Event(Left, TailPasses)),
        (
            heading: "Two",
            set: [("left.air.cap", "8 psi")],
            pins: [(slot: A, label: "plumb")],
            show: [Compare, Forces],
            caption: "It grew by {tail_gap - A.tail_gap}.",
            question: "Why?",
            answer: "Air.",
        ),
    ],
)"#;

    #[test]
    fn verif_a_lesson_reads_and_lists_what_it_says() {
        let lesson = Lesson::read(SMALL, "small.ron").expect("a good lesson");
        assert_eq!(lesson.file.steps.len(), 2);
        assert_eq!(lesson.file.steps[0].at, InstantFile::Event(SideWord::Left, EventName::TailPasses));
        assert_eq!(lesson.file.steps[1].at, InstantFile::Telling);
        let paths: Vec<String> = lesson.said(1).into_iter().map(|said| said.path).collect();
        assert_eq!(
            paths,
            [
                "steps[1].heading",
                "steps[1].caption",
                "steps[1].question",
                "steps[1].answer",
                "steps[1].pins[0].label"
            ]
        );
    }

    #[test]
    fn verif_faults_point_at_the_placeholder() {
        let bad = SMALL.replace("{tail_gap - A.tail_gap}", "{tail gap}");
        let told = Lesson::read(&bad, "small.ron").expect_err("two words").to_string();
        assert!(told.contains("small.ron:12:") && told.contains("{tail gap}"), "{told}");
        let lone = SMALL.replace("question: \"Why?\",", "");
        let told = Lesson::read(&lone, "small.ron").expect_err("an answer without its question").to_string();
        assert!(told.contains("go together"), "{told}");
        let none = SMALL.replace("schema: 1", "schema: 2");
        assert!(Lesson::read(&none, "small.ron").is_err());
        let twice = SMALL.replace(
            "pins: [(slot: A, label: \"plumb\")]",
            "pins: [(slot: A, label: \"plumb\"), (slot: A, label: \"again\")]",
        );
        let told = Lesson::read(&twice, "small.ron").expect_err("A twice").to_string();
        assert!(told.contains("taken already"), "{told}");
    }
}
