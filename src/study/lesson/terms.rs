//! What stands in braces in the text of a lesson: which names there are, and what each says.

use super::Shown;
use crate::arm::Side;
use crate::coverage::measure::Measure;
use crate::coverage::{explain, headline};
use crate::error::{Refusal, nearest};
use crate::pass;
use crate::scenario::Scenario;
use crate::scenario::lesson::template::{Amount, Piece, Placeholder, Template, Term};
use crate::scenario::lesson::{PinSlot, StepFile};
use crate::scenario::setting::{Reading, SettingValue};
use crate::units::contact::{pressure_text, rounded};
use crate::units::job::JobWords;
use crate::units::{
    AngleDim, Dimension, DimensionInfo, ForceDim, FractionDim, LengthDim, PressureDim, SpeedDim, TimeDim,
    TorqueDim, UnitSystem, converted, format,
};

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

pub(super) fn unknown(scenario: &Scenario, step: &StepFile, term: &Term) -> Option<Refusal> {
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
pub(super) fn unfit(scenario: &Scenario, what: &Placeholder) -> Option<Refusal> {
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

pub(super) fn dimension(scenario: &Scenario, text: &str) -> Option<&'static DimensionInfo> {
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

pub(super) fn fill(
    template: &Template,
    now: &Shown<'_>,
    pins: &[(PinSlot, Shown<'_>)],
    units: UnitSystem,
) -> String {
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
pub(super) fn value(shown: &Shown<'_>, text: &str) -> Option<f64> {
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
pub(super) fn written(shown: &Shown<'_>, text: &str, units: UnitSystem) -> Option<String> {
    match key(shown.scenario, text)? {
        Key::Setting(path) => {
            let setting = shown.scenario.setting(&path).ok()?;
            let said = |value: &SettingValue| {
                let other = setting.info().and_then(|info| converted(info, &value.text, value.si, units));
                other.unwrap_or_else(|| value.text.clone())
            };
            Some(match setting.read(shown.scenario)? {
                Reading::Value(value) => said(&value),
                Reading::Differs { left, right } => format!("{} left, {} right", said(&left), said(&right)),
            })
        }
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
        _ => Some(match Measure::from_key(text) {
            Some(measure) => measure_text(measure, number, units),
            None => quantity_text(dimension(scenario, text)?, false, number, units),
        }),
    }
}

/// A measure in the terms of the job: shares in percent, contact pressures in their own small unit.
pub fn measure_text(measure: Measure, value: f64, units: UnitSystem) -> String {
    // One form for each measure, however large: its values are held against each other and against its limit.
    if std::ptr::eq(measure.info(), LengthDim::INFO) {
        return JobWords::new(units).length().with_unit(Some(value));
    }
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
