//! The checks: what each takes and how it is made safely. All of it is common practice without a source.

/// What must hold before a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Caution {
    /// Nothing moves and nobody reaches in.
    None,
    /// The machine runs: watched from outside its guard.
    Outside,
    /// The arm must be still and safe to touch.
    Still,
}

impl Caution {
    /// What to mind.
    pub fn text(self) -> &'static str {
        match self {
            Caution::None => "Nothing to touch: stay clear of the lane.",
            Caution::Outside => {
                "It runs: watch from outside the guard only, nobody in reach of arm, brush or conveyor."
            }
            Caution::Still => {
                "Lock out and tag out, bleed the air and prove zero, block the arm before a hand goes near it; unblock only to swing it by hand with everybody clear of its whole path."
            }
        }
    }
}

/// A check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "each is said in its row")]
pub enum CheckName {
    Gauge,
    GaugeRelease,
    GaugeWatch,
    SoapWater,
    Pull,
    SwingFree,
    Cable,
    Weigh,
    Damper,
    Level,
    Pin,
    Bumper,
    Diameter,
    MediaLook,
    SpinLook,
    SpinCount,
    FoamLook,
    Stopwatch,
    Track,
    Fleet,
    Stagger,
    ArmTape,
}

/// What is known of a check.
#[derive(Debug, Clone, Copy)]
pub struct CheckRow {
    /// Which.
    pub name: CheckName,
    /// Stable key.
    pub key: &'static str,
    /// What to do, in plain words.
    pub how: &'static str,
    /// What it takes.
    pub tool: &'static str,
    /// How long, minutes, both sides together; locking out comes to it.
    pub minutes: f64,
    /// What to mind.
    pub caution: Caution,
}

const fn row(
    name: CheckName,
    key: &'static str,
    how: &'static str,
    tool: &'static str,
    minutes: f64,
    caution: Caution,
) -> CheckRow {
    CheckRow { name, key, how, tool, minutes, caution }
}

use Caution::{None as Clear, Outside, Still};

/// Every check.
pub static CHECKS: [CheckRow; 22] = [
    row(
        CheckName::Gauge,
        "gauge",
        "read both regulators beside a second gauge, valve held open",
        "second gauge",
        1.0,
        Outside,
    ),
    row(
        CheckName::GaugeRelease,
        "gauge-release",
        "push the arm out and let it back, watch whether the gauge returns",
        "gauge",
        2.0,
        Still,
    ),
    row(
        CheckName::GaugeWatch,
        "gauge-watch",
        "watch the gauges of both ends of the cylinder against a passing vehicle",
        "gauges",
        2.0,
        Outside,
    ),
    row(
        CheckName::SoapWater,
        "soap-water",
        "soap water on hose and fittings; then shut the valve and watch the gauge fall",
        "soap water, gauge",
        4.0,
        Still,
    ),
    row(
        CheckName::Pull,
        "pull",
        "pull the arm out and let it back slowly, air on, spin off",
        "spring scale",
        3.0,
        Still,
    ),
    row(
        CheckName::SwingFree,
        "swing-free",
        "swing the arm by hand over its whole way, air off, then with the cylinder unpinned",
        "hand",
        4.0,
        Still,
    ),
    row(
        CheckName::Cable,
        "cable",
        "look along the cable, its sheave and the whole way of the weight",
        "eye",
        1.0,
        Still,
    ),
    row(CheckName::Weigh, "weigh", "weigh the counterweight", "hanging scale", 3.0, Still),
    row(
        CheckName::Damper,
        "damper",
        "push the arm out and in by hand and let go, feel which way it is held",
        "hand",
        1.5,
        Still,
    ),
    row(
        CheckName::Level,
        "level",
        "level at the pivot across and along the lane, tape at both screws",
        "level, tape",
        3.0,
        Still,
    ),
    row(CheckName::Pin, "pin", "look at the pin and tape the brush from the centreline", "tape", 1.0, Still),
    row(CheckName::Bumper, "bumper", "look at the bumper and press it", "eye, hand", 1.0, Still),
    row(
        CheckName::Diameter,
        "diameter",
        "tape across the media of the still brush, and hold it against the sheet",
        "tape",
        1.0,
        Still,
    ),
    row(CheckName::MediaLook, "media", "look over the media and lift a few strips", "eye, hand", 1.5, Still),
    row(CheckName::SpinLook, "spin-sense", "watch which way both brushes turn", "eye", 0.5, Outside),
    row(
        CheckName::SpinCount,
        "spin-count",
        "count the turns of a marked strip over a minute",
        "stopwatch",
        1.5,
        Outside,
    ),
    row(
        CheckName::FoamLook,
        "foam",
        "look at the foam on the vehicle before the brushes",
        "eye",
        1.0,
        Outside,
    ),
    row(
        CheckName::Stopwatch,
        "stopwatch",
        "time a vehicle over a taped length, and tape the room between two",
        "stopwatch, tape",
        2.0,
        Outside,
    ),
    row(
        CheckName::Track,
        "track",
        "watch where the wheels run, and whether vehicles ride turned",
        "eye, tape",
        2.0,
        Outside,
    ),
    row(CheckName::Fleet, "fleet", "note the vehicles that are complained of", "pencil", 0.5, Clear),
    row(CheckName::Stagger, "stagger", "tape the pivots along the lane", "tape", 2.0, Still),
    row(
        CheckName::ArmTape,
        "arm-tape",
        "tape bracket, arm and spindle on both sides and compare",
        "tape",
        5.0,
        Still,
    ),
];

/// What the pull scale can find: friction, too little that pulls the arm in, too much.
pub const PULLS: [&str; 3] = [
    "the scale reads far more out than in",
    "the scale reads low, out and back",
    "the scale reads high, out and back",
];

/// To lock out, bleed and block, and to give the machine back, minutes.
pub const LOCK_OUT_MIN: f64 = 3.0;

impl CheckRow {
    /// How long it takes with locking out, minutes.
    pub fn all_minutes(&self) -> f64 {
        self.minutes + if self.caution == Still { LOCK_OUT_MIN } else { 0.0 }
    }
}

impl CheckName {
    /// What is known of it.
    pub fn row(self) -> &'static CheckRow {
        &CHECKS[self as usize]
    }

    /// The check with this key.
    pub fn named(key: &str) -> Option<CheckName> {
        CHECKS.iter().find(|row| row.key == key).map(|row| row.name)
    }
}
