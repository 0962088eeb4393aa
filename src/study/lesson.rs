//! What a lesson comes to: every step's pass and the pinned ones, the instant, and the texts with their numbers.
//!
//! Keys of a placeholder: every measure of [`measure`](mod@crate::coverage::measure) (`tail_gap`), every setting by its path (`left.air.cap`, shown as written),
//! `verdict`, `deciding`, `line_speed`, `0` to hold a number against, `friction_left` (what the pass used, stated or from the foam), of a foam
//! station `foam.regime`, `foam.ratio` (parts of water to one), `foam.expansion` (foam over solution), and at the instant shown `now.time`, `now.vehicle_position`, and for each unit
//! `now.swing_left` (angle), `now.inboard_speed_left` (of the brush centre, positive inward), `now.press_left` (push of the strips),
//! `now.reach_left` (brush centre from the lane centreline, positive on its own side), `now.phase_left` and the torques `now.lean_left`,
//! `now.counterweight_left`, `now.air_left`, `now.damper_left`, `now.stop_left`, `now.friction_left`, `now.push_left`, `now.rub_left`
//! (positive outward). The instant of a pinned set-up is the one at which the vehicle is at the same place.

use super::hidden_fault::{hidden, name_of};
use crate::arm::Side;
use crate::coverage::measure::Measure;
use crate::coverage::{Solved, explain, headline};
use crate::error::{Diagnostics, Refusal, nearest};
use crate::pass::{self, Record};
use crate::scenario::Scenario;
use crate::scenario::lesson::template::{Amount, Piece, Placeholder, Template, Term};
use crate::scenario::lesson::{InstantFile, Lesson, PinSlot, StepFile};
use crate::scenario::setting::{Reading, TypedChange};
use crate::units::contact::{pressure_text, rounded};
use crate::units::{
    AngleDim, Dimension, DimensionInfo, ForceDim, FractionDim, LengthDim, PressureDim, SpeedDim, TimeDim,
    TorqueDim, UnitSystem, format,
};

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
        InstantFile::Telling => solved.telling_instant_s(),
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

/// Keys of an instant without `now.` and the side; a torque names its causes as in the budget.
const NOW: [(&str, Now); 13] = [
    ("swing", Now::Swing),
    ("inboard_speed", Now::InboardSpeed),
    ("press", Now::Press),
    ("reach", Now::Reach),
    ("phase", Now::Phase),
    ("lean", Now::Torque("bearing lean")),
    ("counterweight", Now::Torque("counterweight")),
    ("air", Now::Torque("air")),
    ("damper", Now::Torque("damper")),
    ("stop", Now::Torque("bumper stop")),
    ("friction", Now::Torque("pivot friction")),
    ("push", Now::Torque("strip push")),
    ("rub", Now::Torque("strip rub")),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Now {
    Swing,
    InboardSpeed,
    Press,
    Reach,
    Phase,
    Torque(&'static str),
}

/// What a key means.
enum Key {
    Friction(Side),
    Foam(FoamKey),
    Measure(Measure),
    Setting(String),
    Verdict,
    Deciding,
    LineSpeed,
    Time,
    VehiclePosition,
    Now(Now, Side),
    Zero,
}

/// What a foam station comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum FoamKey {
    Regime,
    Ratio,
    Expansion,
}

impl FoamKey {
    /// The number; none for a word, or when nothing flows.
    fn number(self, scenario: &Scenario) -> Option<f64> {
        let result = scenario.foam_result()?;
        match self {
            FoamKey::Regime => None,
            FoamKey::Ratio => result.dilution.ratio,
            FoamKey::Expansion => result.balance.expansion_ratio,
        }
    }
}

/// Keys of the foam station.
const FOAM: [(&str, FoamKey); 3] = [
    ("foam.regime", FoamKey::Regime),
    ("foam.ratio", FoamKey::Ratio),
    ("foam.expansion", FoamKey::Expansion),
];

fn key(scenario: &Scenario, text: &str) -> Option<Key> {
    let foam = FOAM.into_iter().find(|(name, _)| *name == text).map(|(_, key)| key);
    if let Some(foam) = foam.filter(|_| scenario.foam_result().is_some()) {
        return Some(Key::Foam(foam));
    }
    let of_unit = |side: &Side| scenario.unit_models().iter().any(|unit| unit.side == *side);
    if let Some(word) = text.strip_prefix("friction_")
        && let Some(side) = Side::BOTH.into_iter().find(|side| side.name() == word).filter(of_unit)
    {
        return Some(Key::Friction(side));
    }
    let known = match text {
        "verdict" => Some(Key::Verdict),
        "deciding" => Some(Key::Deciding),
        "line_speed" => Some(Key::LineSpeed),
        "0" => Some(Key::Zero),
        "now.time" => Some(Key::Time),
        "now.vehicle_position" => Some(Key::VehiclePosition),
        _ => None,
    };
    known
        .or_else(|| {
            let (stem, side) = text.strip_prefix("now.")?.rsplit_once('_')?;
            let side = Side::BOTH.into_iter().find(|s| s.name() == side)?;
            let (_, now) = NOW.into_iter().find(|(name, _)| *name == stem)?;
            scenario.unit_models().iter().any(|u| u.side == side).then_some(Key::Now(now, side))
        })
        .or_else(|| Measure::from_key(text).map(Key::Measure))
        .or_else(|| scenario.setting(text).ok().map(|setting| Key::Setting(setting.path)))
}

fn unknown(scenario: &Scenario, step: &StepFile, term: &Term) -> Option<Refusal> {
    if let Some(slot) = term.pin
        && !step.pins.iter().any(|pin| pin.slot == slot)
    {
        return Some(Refusal {
            problem: format!("nothing is pinned as {} in this step", slot.letter()),
            given: format!("{}.{}", slot.letter(), term.key),
            allowed: "the pins of this step".to_owned(),
            advice: "pin a set-up there, or leave the letter out".to_owned(),
        });
    }
    if key(scenario, &term.key).is_some() {
        return None;
    }
    let mut keys: Vec<String> = crate::coverage::measure::ALL.into_iter().map(Measure::key).collect();
    keys.extend(scenario.settings().into_iter().map(|setting| setting.path));
    for side in Side::BOTH {
        keys.extend(NOW.iter().map(|(name, _)| format!("now.{name}_{}", side.name())));
    }
    keys.extend(FOAM.iter().map(|(name, _)| (*name).to_owned()));
    keys.extend(Side::BOTH.map(|side| format!("friction_{}", side.name())));
    keys.extend(["verdict", "deciding", "line_speed", "now.time", "now.vehicle_position"].map(str::to_owned));
    let likely = nearest(&term.key, keys.iter().map(String::as_str));
    Some(Refusal {
        problem: "nothing can be computed under this key".to_owned(),
        given: term.key.clone(),
        allowed: "keys of the studies, paths of settings, verdict, deciding, line_speed, now.…".to_owned(),
        advice: match likely {
            Some(likely) => format!("write {likely} if that is what you mean"),
            None => "«brusharm settings» lists the paths of settings".to_owned(),
        },
    })
}

/// A difference or comparison needs numbers of one kind.
fn unfit(scenario: &Scenario, what: &Placeholder) -> Option<Refusal> {
    // Zero is of any kind.
    let terms = what.terms().into_iter().filter(|t| t.key != "0");
    let kinds: Vec<Option<&'static str>> =
        terms.map(|t| dimension(scenario, &t.key).map(DimensionInfo::name)).collect();
    let alone = matches!(what, Placeholder::Value(amount) if amount.minus.is_none());
    if alone || (kinds.iter().all(Option::is_some) && kinds.windows(2).all(|w| w[0] == w[1])) {
        return None;
    }
    Some(Refusal {
        problem: "these cannot be taken from or held against each other".to_owned(),
        allowed: "numbers of the same kind".to_owned(),
        advice: "use the same key of two set-ups".to_owned(),
        ..Refusal::default()
    })
}

fn dimension(scenario: &Scenario, text: &str) -> Option<&'static DimensionInfo> {
    match key(scenario, text)? {
        Key::Measure(measure) => Some(measure.info()),
        Key::Setting(path) => scenario.setting(&path).ok()?.info(),
        Key::LineSpeed | Key::Now(Now::InboardSpeed, _) => Some(SpeedDim::INFO),
        Key::Time => Some(TimeDim::INFO),
        Key::VehiclePosition | Key::Now(Now::Reach, _) => Some(LengthDim::INFO),
        Key::Now(Now::Swing, _) => Some(AngleDim::INFO),
        Key::Now(Now::Press, _) => Some(ForceDim::INFO),
        Key::Now(Now::Torque(_), _) => Some(TorqueDim::INFO),
        // A share of the push that rubs; a ratio is a number of the same kind.
        Key::Friction(_) | Key::Foam(FoamKey::Ratio | FoamKey::Expansion) => Some(FractionDim::INFO),
        Key::Foam(FoamKey::Regime) | Key::Verdict | Key::Deciding | Key::Zero | Key::Now(Now::Phase, _) => {
            None
        }
    }
}

fn fill(template: &Template, now: &Shown<'_>, pins: &[(PinSlot, Shown<'_>)], units: UnitSystem) -> String {
    let mut text = String::new();
    let of = |term: &Term| match term.pin {
        None => Some(*now),
        Some(slot) => pins.iter().find(|(s, _)| *s == slot).map(|(_, shown)| *shown),
    };
    let amount = |amount: &Amount| -> Option<f64> {
        let first = value(&of(&amount.term)?, &amount.term.key)?;
        match &amount.minus {
            None => Some(first),
            Some(minus) => Some(first - value(&of(minus)?, &minus.key)?),
        }
    };
    for piece in &template.pieces {
        let Piece::Placeholder { what, .. } = piece else {
            if let Piece::Text(plain) = piece {
                text.push_str(plain);
            }
            continue;
        };
        let filled = match what {
            Placeholder::Value(wanted) if wanted.minus.is_none() => {
                of(&wanted.term).and_then(|shown| written(&shown, &wanted.term.key, units))
            }
            Placeholder::Value(wanted) => {
                amount(wanted).and_then(|number| number_text(now.scenario, &wanted.term.key, number, units))
            }
            Placeholder::Word { left, greater, right, yes, no } => match (amount(left), amount(right)) {
                (Some(a), Some(b)) if (*greater && a > b) || (!*greater && a < b) => Some(yes.clone()),
                (Some(_), Some(_)) => Some(no.clone()),
                _ => None,
            },
        };
        text.push_str(filled.as_deref().unwrap_or("none"));
    }
    text
}

/// A number of a set-up, SI.
fn value(shown: &Shown<'_>, text: &str) -> Option<f64> {
    let number = match key(shown.scenario, text)? {
        Key::Measure(measure) => measure.read(&shown.solved.outcome).value,
        Key::Setting(path) => shown.scenario.setting(&path).ok()?.value_si(shown.scenario),
        Key::Zero => Some(0.0),
        Key::Friction(side) => {
            shown.solved.setup.units.iter().find(|u| u.side == side).map(|u| u.brush.friction)
        }
        Key::Foam(foam) => foam.number(shown.scenario),
        Key::LineSpeed => Some(shown.solved.setup.conveyor_speed_m_s),
        Key::Time => Some(shown.t_s),
        Key::VehiclePosition => Some(shown.t_s * shown.solved.record.conveyor_speed_m_s),
        Key::Now(now, side) => {
            let at = pass::instant(&shown.solved.setup, &shown.solved.record, shown.t_s)
                .into_iter()
                .find(|u| u.side == side)?;
            match now {
                Now::Swing => Some(at.phi_rad),
                Now::InboardSpeed => Some(-at.brush_m_s.y),
                Now::Press => Some(at.press_force_n),
                Now::Reach => Some(at.brush_m.y),
                Now::Phase => None,
                Now::Torque(cause) => {
                    at.budget.causes().into_iter().find(|(name, _)| *name == cause).map(|(_, t)| t)
                }
            }
        }
        Key::Verdict | Key::Deciding => None,
    };
    number.filter(|v| v.is_finite())
}

/// A value of a set-up in words.
fn written(shown: &Shown<'_>, text: &str, units: UnitSystem) -> Option<String> {
    match key(shown.scenario, text)? {
        Key::Setting(path) => match shown.scenario.setting(&path).ok()?.read(shown.scenario)? {
            Reading::Value(value) => Some(value.text),
            Reading::Differs { left, right } => Some(format!("{} left, {} right", left.text, right.text)),
        },
        Key::Verdict => Some(headline(&shown.solved.outcome.verdicts)?.0.name().to_owned()),
        Key::Deciding => Some(headline(&shown.solved.outcome.verdicts)?.1.label()),
        Key::Now(Now::Phase, side) => explain(&shown.solved.setup, &shown.solved.record, shown.t_s)
            .into_iter()
            .find(|e| e.side == side)
            .map(|e| e.phase.name().to_owned()),
        Key::Foam(FoamKey::Regime) => {
            shown.scenario.foam_result().map(|result| result.balance.regime.name().to_owned())
        }
        _ => number_text(shown.scenario, text, value(shown, text)?, units),
    }
}

/// A number under a key in words.
fn number_text(scenario: &Scenario, text: &str, number: f64, units: UnitSystem) -> Option<String> {
    match key(scenario, text)? {
        Key::Friction(_) => Some(rounded(number, 2)),
        Key::Foam(FoamKey::Ratio) => Some(format!("{}:1", rounded(number, 0))),
        Key::Foam(FoamKey::Expansion) => Some(format!("{}:1", rounded(number, 1))),
        _ => Some(quantity_text(dimension(scenario, text)?, is_contact_pressure(text), number, units)),
    }
}

fn is_contact_pressure(text: &str) -> bool {
    Measure::from_key(text).is_some_and(|m| m.row().is_contact_pressure)
}

/// A measure in the terms of the job: shares in percent, contact pressures in their own small unit.
pub fn measure_text(measure: Measure, value: f64, units: UnitSystem) -> String {
    quantity_text(measure.info(), measure.row().is_contact_pressure, value, units)
}

fn quantity_text(info: &'static DimensionInfo, contact: bool, value: f64, units: UnitSystem) -> String {
    if std::ptr::eq(info, FractionDim::INFO) {
        return format!("{} %", rounded(100.0 * value, 1));
    }
    if std::ptr::eq(info, PressureDim::INFO) && contact {
        return pressure_text(value, units);
    }
    // A caption does not need thousandths of an inch.
    if std::ptr::eq(info, LengthDim::INFO) && units == UnitSystem::Us && value.abs() < 0.9144 {
        return format!("{} in", rounded(value / 0.0254, 1));
    }
    // Areas as people write them, like those of the contact pressures.
    format(info, value, units).replace("ft2", "ft²").replace("m2", "m²")
}
