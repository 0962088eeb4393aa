//! A lesson as a person reads it without a window: each step with its set-up, the instant, what is said, the question and the answer.

use super::TEXT_WIDTH;
use super::words::wrap;
use crate::scenario::Scenario;
use crate::scenario::lesson::{Lesson, StepFile};
use crate::scenario::setting::TypedChange;
use crate::study::lesson::StepResult;
use crate::units::{Dimension, TimeDim, UnitSystem, format};

/// Blanks before what belongs to a step.
const INSET: usize = 3;

/// The lesson as text.
pub fn lesson_text(
    lesson: &Lesson,
    scenario: &Scenario,
    results: &[StepResult],
    units: UnitSystem,
) -> String {
    let file = &lesson.file;
    let mut out = wrap(&file.title, TEXT_WIDTH, 0);
    if !file.note.trim().is_empty() {
        out.push_str(&wrap(&file.note, TEXT_WIDTH, 0));
    }
    for (index, (step, result)) in file.steps.iter().zip(results).enumerate() {
        let texts = &result.texts;
        out.push('\n');
        out.push_str(&wrap(&format!("{}. {}", index + 1, texts.heading), TEXT_WIDTH, INSET));
        led(
            &mut out,
            "",
            &format!("set-up: {}{} ({})", changes(scenario, &step.set), hides(step), result.headline),
        );
        for pin in &step.pins {
            let name = texts.pins.iter().find(|(slot, _)| *slot == pin.slot).map_or("", |(_, name)| name);
            led(
                &mut out,
                &format!("{}: ", pin.slot.letter()),
                &format!("{name} ({})", changes(scenario, &pin.set)),
            );
        }
        led(&mut out, "", &format!("shown at {}", format(TimeDim::INFO, result.t_s, units)));
        led(&mut out, "", &texts.caption);
        led(&mut out, "Q: ", &texts.question);
        led(&mut out, "A: ", &texts.answer);
    }
    out
}

/// That a step hides something, and no more.
fn hides(step: &StepFile) -> &'static str {
    if step.fault.is_some() { ", and something that no setting shows" } else { "" }
}

fn changes(scenario: &Scenario, set: &[(String, String)]) -> String {
    if set.is_empty() {
        return "as in the scenario".to_owned();
    }
    // The lesson was evaluated with these: they can be taken.
    let taken = scenario.stepped(set).unwrap_or_default();
    taken.iter().map(TypedChange::said).collect::<Vec<_>>().join(", ")
}

/// A paragraph of a step, the first line with a lead that the others stand in by.
fn led(out: &mut String, lead: &str, text: &str) {
    if text.trim().is_empty() {
        return;
    }
    let inset = INSET + lead.chars().count();
    for (index, line) in wrap(text, TEXT_WIDTH - inset, 0).lines().enumerate() {
        let lead = if index == 0 { lead } else { "" };
        out.push_str(&format!("{}{lead}{line}\n", " ".repeat(inset - lead.chars().count())));
    }
}
