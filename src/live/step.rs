//! A step of a lesson: its set-up, its instant, and what is said, computed.

use super::setup::{Bench, Changes, Refused};
use crate::error::Diagnostics;
use crate::scenario::setting::TypedChange;
use crate::study::lesson::{Shown, instant_s, no_event, same_place_s, texts};
use crate::units::{UnitSystem, minus_signs};
use serde::Serialize;

/// A step, computed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Step {
    /// From 0.
    index: usize,
    count: usize,
    title: String,
    note: String,
    heading: String,
    caption: String,
    question: String,
    answer: String,
    set: Changes,
    t_s: f64,
    pins: Vec<Pin>,
}

/// A set-up pinned beside a step.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Pin {
    letter: &'static str,
    name: String,
    set: Changes,
}

/// Computes a step; one past the last is the last.
pub(super) fn step(bench: &mut Bench, index: usize, units: UnitSystem) -> Result<Step, Refused> {
    let Some(lesson) = bench.lesson.clone() else {
        return Err(Refused("this page holds no lesson".to_owned()));
    };
    let count = lesson.file.steps.len();
    let index = index.min(count.saturating_sub(1));
    let Some(step) = lesson.file.steps.get(index) else {
        return Err(Refused("this lesson has no steps".to_owned()));
    };
    bench.look(Some(index));
    let taken = |bench: &Bench, set: &[(String, String)]| -> Result<Changes, Refused> {
        let taken = bench.base.stepped(set).map_err(|refused| refused.to_string())?;
        Ok(bench.merged(&Changes::new(), taken.iter().map(TypedChange::pair).collect())?)
    };
    let set = taken(bench, &step.set)?;
    let own = bench.setup(&set)?;
    let mut pinned = Vec::with_capacity(step.pins.len());
    for pin in &step.pins {
        let set = taken(bench, &pin.set)?;
        pinned.push((pin.slot, bench.beside(&set)?));
    }
    let t_s = instant_s(step, &own.solved).ok_or_else(|| {
        Diagnostics::from(lesson.diagnostic(&format!("steps[{index}].at"), no_event())).to_string()
    })?;
    let shown = Shown { scenario: &own.scenario, solved: &own.solved, t_s };
    let pins: Vec<_> = pinned
        .iter()
        .map(|(slot, setup)| {
            let t_s = same_place_s(&shown, &setup.solved.record);
            (*slot, Shown { scenario: &setup.scenario, solved: &setup.solved, t_s })
        })
        .collect();
    let said = texts(&lesson, index, &shown, &pins, units);
    let name =
        |slot| minus_signs(said.pins.iter().find(|(own, _)| *own == slot).map_or("", |(_, name)| name));
    Ok(Step {
        index,
        count,
        title: lesson.file.title.trim().to_owned(),
        note: lesson.file.note.trim().to_owned(),
        pins: pinned
            .iter()
            .map(|(slot, setup)| Pin { letter: slot.letter(), name: name(*slot), set: setup.changes.clone() })
            .collect(),
        heading: minus_signs(&said.heading),
        caption: minus_signs(&said.caption),
        question: minus_signs(&said.question),
        answer: minus_signs(&said.answer),
        set,
        t_s,
    })
}
