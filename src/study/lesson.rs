//! What a lesson comes to: every step's pass and the pinned ones, the instant, and the texts with their numbers.
//!
//! Keys of a placeholder: every measure of [`measure`](mod@crate::coverage::measure) (`tail_gap`), every setting by its path (`left.air.cap`, shown as written),
//! `verdict`, `deciding`, `line_speed`, `0` to hold a number against, `friction_left` (what the pass used, stated or from the foam), of a foam
//! station `foam.regime`, `foam.ratio` (parts of water to one), `foam.expansion` (foam over solution), and at the instant shown `now.time`, `now.vehicle_position`, and for each unit
//! `now.swing_left` (angle), `now.inboard_speed_left` (of the brush centre, positive inward), `now.press_left` (push of the strips),
//! `now.reach_left` (brush centre from the lane centreline, positive on its own side), `now.phase_left` and the torques `now.lean_left`,
//! `now.counterweight_left`, `now.air_left`, `now.damper_left`, `now.stop_left`, `now.friction_left`, `now.push_left`, `now.rub_left`
//! (positive outward). The instant of a pinned set-up is the one at which the vehicle is at the same place.

mod terms;

pub use terms::measure_text;

use super::hidden_fault::{hidden, name_of};
use crate::arm::Side;
use crate::coverage::{Solved, headline};
use crate::error::{Diagnostics, Refusal};
use crate::pass::Record;
use crate::scenario::Scenario;
use crate::scenario::lesson::{InstantFile, Lesson, PinSlot, StepFile};
use crate::scenario::setting::TypedChange;
use crate::units::UnitSystem;
use terms::{fill, unfit, unknown};

/// A solved set-up at an instant, as far as a lesson looks at it.
#[derive(Debug, Clone, Copy)]
pub struct Shown<'a> {
    /// The scenario with the step's changes.
    pub scenario: &'a Scenario,
    /// Its solved pass.
    pub solved: &'a Solved,
    /// The instant, s.
    pub t_s: f64,
}

/// The texts of a step, with their numbers.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StepTexts {
    /// Heading.
    pub heading: String,
    /// Caption.
    pub caption: String,
    /// Question; may be empty.
    pub question: String,
    /// Answer; may be empty.
    pub answer: String,
    /// What the pinned set-ups are called.
    pub pins: Vec<(PinSlot, String)>,
}

/// The scenario of a step, or of a pin, with its changes.
///
/// # Errors
/// [`Diagnostics`] with the caret under the change in the lesson.
pub fn changed(
    lesson: &Lesson,
    scenario: &Scenario,
    path: &str,
    set: &[(String, String)],
) -> Result<Scenario, Diagnostics> {
    let made = scenario
        .stepped(set)
        .and_then(|taken| scenario.with(&taken.iter().map(TypedChange::pair).collect::<Vec<_>>()));
    made.map_err(|refused| {
        let mut found = Diagnostics::default();
        for diagnostic in refused.0 {
            // A change that is refused by itself is named by the diagnostic's field.
            let at = set.iter().position(|(setting, _)| *setting == diagnostic.field);
            let place = at.map_or_else(|| path.to_owned(), |index| format!("{path}[{index}]"));
            let refusal = Refusal {
                problem: diagnostic.problem,
                given: diagnostic.given,
                allowed: diagnostic.allowed,
                advice: diagnostic.advice,
            };
            found.push(lesson.diagnostic(&place, refusal));
        }
        found
    })
}

/// The scenarios of a step: its own and those of its pins.
pub type StepScenarios = (Scenario, Vec<(PinSlot, Scenario)>);

/// Makes the scenarios of a step.
///
/// # Errors
/// As [`changed`].
pub fn step_scenarios(
    lesson: &Lesson,
    scenario: &Scenario,
    index: usize,
) -> Result<StepScenarios, Diagnostics> {
    let Some(step) = lesson.file.steps.get(index) else { return Ok((scenario.clone(), Vec::new())) };
    let own = changed(lesson, scenario, &format!("steps[{index}].set"), &step.set)?;
    let own = with_fault_of(lesson, &own, index)?;
    let mut pins = Vec::with_capacity(step.pins.len());
    for (place, pin) in step.pins.iter().enumerate() {
        let path = format!("steps[{index}].pins[{place}].set");
        pins.push((pin.slot, changed(lesson, scenario, &path, &pin.set)?));
    }
    Ok((own, pins))
}

/// The scenario with what a step hides, whatever is set in it.
///
/// # Errors
/// [`Diagnostics`] with the caret under the fault in the lesson.
pub fn with_fault_of(lesson: &Lesson, scenario: &Scenario, index: usize) -> Result<Scenario, Diagnostics> {
    let Some(fault) = lesson.file.steps.get(index).and_then(|step| step.fault.as_ref()) else {
        return Ok(scenario.clone());
    };
    hidden(scenario, fault).map_err(|(field, told)| {
        Diagnostics::from(lesson.diagnostic(&format!("steps[{index}].fault.{field}"), told))
    })
}

/// Checks a lesson against its scenario: every change applies, every placeholder is known, every pin it names is pinned.
///
/// # Errors
/// [`Diagnostics`] with the caret under what is wrong in the lesson.
pub fn check(lesson: &Lesson, scenario: &Scenario) -> Result<(), Diagnostics> {
    let mut found = Diagnostics::default();
    for (index, step) in lesson.file.steps.iter().enumerate() {
        if let Err(refused) = step_scenarios(lesson, scenario, index) {
            refused.0.into_iter().for_each(|diagnostic| found.push(diagnostic));
        }
        for said in lesson.said(index) {
            for (written, what) in said.template.placeholders() {
                for term in what.terms() {
                    if let Some(refusal) = unknown(scenario, step, term) {
                        found.push(lesson.diagnostic_in(&said.path, written, refusal));
                    }
                }
                if let Some(refusal) = unfit(scenario, what) {
                    found.push(lesson.diagnostic_in(&said.path, written, refusal));
                }
            }
        }
    }
    found.into_result()
}

/// Fills in the texts of a step. What does not exist in a pass is «none».
pub fn texts(
    lesson: &Lesson,
    index: usize,
    now: &Shown<'_>,
    pins: &[(PinSlot, Shown<'_>)],
    units: UnitSystem,
) -> StepTexts {
    let mut texts = StepTexts::default();
    let Some(step) = lesson.file.steps.get(index) else { return texts };
    for said in lesson.said(index) {
        let filled = fill(&said.template, now, pins, units);
        match said.path.rsplit('.').next() {
            Some("heading") => texts.heading = filled,
            Some("caption") => texts.caption = filled,
            Some("question") => texts.question = filled,
            Some("answer") => texts.answer = filled,
            _ => {
                if let Some(pin) = step.pins.get(texts.pins.len()) {
                    texts.pins.push((pin.slot, filled));
                }
            }
        }
    }
    // What is hidden is told with the answer, not before.
    if let Some(name) = step.fault.as_ref().and_then(name_of) {
        let told = format!("Hidden here: {name}.");
        texts.answer = if texts.answer.trim().is_empty() { told } else { format!("{} {told}", texts.answer) };
    }
    texts
}

/// The instant of a step, s, held inside the record; `None` when its event does not happen in this pass.
pub fn instant_s(step: &StepFile, solved: &Solved) -> Option<f64> {
    let Solved { record, outcome, .. } = solved;
    let event = |side: Side, name| outcome.units.iter().find(|u| u.side == side)?.time_of(name);
    let t_s = match &step.at {
        InstantFile::Telling => solved.key_instant_s(),
        InstantFile::Start => record.start_s,
        InstantFile::Event(side, name) => event(side.side(), *name)?,
        InstantFile::After(side, name, by) => event(side.side(), *name)? + by.si(),
        InstantFile::Time(time) => time.si(),
        InstantFile::Position(x) => x.si() / record.conveyor_speed_m_s,
    };
    Some(t_s.clamp(record.start_s, record.end_s))
}

/// A whole step, computed.
#[derive(Debug, Clone, PartialEq)]
pub struct StepResult {
    /// Its texts.
    pub texts: StepTexts,
    /// The instant shown, s.
    pub t_s: f64,
    /// Verdict and the line that decides, of the step's own pass.
    pub headline: String,
}

/// Computes every step of a lesson without a window.
///
/// # Errors
/// [`Diagnostics`] when the lesson does not fit the scenario, or a pass of it cannot be computed.
pub fn evaluate(
    lesson: &Lesson,
    scenario: &Scenario,
    units: UnitSystem,
) -> Result<Vec<StepResult>, Diagnostics> {
    check(lesson, scenario)?;
    let mut results = Vec::with_capacity(lesson.file.steps.len());
    for (index, step) in lesson.file.steps.iter().enumerate() {
        let path = format!("steps[{index}].set");
        let (own, pins) = step_scenarios(lesson, scenario, index)?;
        let solve = |scenario: Scenario, path: &str| {
            let solved = scenario.solve().map_err(|error| {
                Diagnostics::from(lesson.diagnostic(
                    path,
                    Refusal {
                        problem: error.to_string(),
                        advice: "change the settings of this step".to_owned(),
                        ..Refusal::default()
                    },
                ))
            })?;
            Ok::<_, Diagnostics>((scenario, solved))
        };
        let own = solve(own, &path)?;
        let mut pinned = Vec::with_capacity(pins.len());
        for (place, (slot, scenario)) in pins.into_iter().enumerate() {
            pinned.push((slot, solve(scenario, &format!("steps[{index}].pins[{place}].set"))?));
        }
        let t_s = instant_s(step, &own.1)
            .ok_or_else(|| Diagnostics::from(lesson.diagnostic(&format!("steps[{index}].at"), no_event())))?;
        let shown = Shown::of(&own, t_s);
        let pins: Vec<(PinSlot, Shown<'_>)> = pinned
            .iter()
            .map(|(slot, pin)| (*slot, Shown::of(pin, same_place_s(&shown, &pin.1.record))))
            .collect();
        let texts = texts(lesson, index, &shown, &pins, units);
        let headline = headline(&own.1.outcome.verdicts).map_or_else(
            || "no criterion set".to_owned(),
            |(verdict, line)| format!("{}: {}", verdict.name(), line.label()),
        );
        results.push(StepResult { texts, t_s, headline });
    }
    Ok(results)
}

/// Why a step has no instant.
pub fn no_event() -> Refusal {
    Refusal {
        problem: "this does not happen in the pass of this step".to_owned(),
        allowed: "an event of the pass, a time, or a position of the vehicle".to_owned(),
        advice: "choose another instant; «brusharm pass» lists the events".to_owned(),
        ..Refusal::default()
    }
}

/// The time in another record at which the vehicle is at the same place, s.
pub fn same_place_s(now: &Shown<'_>, other: &Record) -> f64 {
    (now.t_s * now.solved.record.conveyor_speed_m_s / other.conveyor_speed_m_s)
        .clamp(other.start_s, other.end_s)
}

impl<'a> Shown<'a> {
    fn of(solved: &'a (Scenario, Solved), t_s: f64) -> Self {
        Shown { scenario: &solved.0, solved: &solved.1, t_s }
    }
}
