//! The causes: what each changes of the model and how far, how common it is, with what circumstances it comes, what may stand behind it and how that is told.
//!
//! Ranges are chosen so that half of one is what somebody calls for; nothing of a row says what is seen, that is computed. Weights, circumstances and repairs are
//! common practice without a source.

mod air;
mod arm;
mod brush;
mod line;
mod stop;

use super::check::CheckName;
use super::sign::Circumstance;
use crate::arm::{Side, SpinSense, UnitModel};
use crate::pass::{PassSetup, hand_torque_n_m, rest_angle_rad};
use crate::scenario::Scenario;
use crate::units::DimensionInfo;
use std::sync::LazyLock;

/// Settings to change: path and value, SI.
pub type Settings = Vec<(&'static str, f64)>;

/// What a cause changes. How bad it is runs from 0 (nothing) to 1 (the end of its range). `None` where the machine has no such part.
#[derive(Debug, Clone, Copy)]
pub enum Change {
    /// Settings of a unit, by their paths below it.
    Unit(fn(&UnitModel, f64) -> Option<Settings>),
    /// The spin sense of a unit, the other way round.
    Reverse,
    /// What no setting of a unit says.
    Model(fn(&mut UnitModel, f64) -> Option<()>),
    /// Settings of the line or the vehicle; +1 for left, −1 for right where the cause has a side.
    Line(fn(&Scenario, f64, f64) -> Option<Settings>),
    /// What no setting of the line says.
    Pass(fn(&mut PassSetup, f64) -> Option<()>),
    /// The widest vehicle that the lane takes in place of the measured one.
    Widest,
}

/// How bad a cause is, in its own terms, read from the changed machine.
#[derive(Debug, Clone, Copy)]
pub struct Amount {
    /// What it is.
    pub label: &'static str,
    /// Its dimension.
    pub info: &'static DimensionInfo,
    /// Reads it, SI; the number is that of the unit in the set-up.
    pub read: fn(&PassSetup, usize) -> Option<f64>,
}

/// One thing that may stand behind a cause.
#[derive(Debug, Clone, Copy)]
pub struct Behind {
    /// What it is.
    pub what: &'static str,
    /// The check that shows it.
    pub check: CheckName,
    /// What that check finds.
    pub finding: &'static str,
    /// What to do about it.
    pub repair: &'static str,
}

/// A cause.
#[derive(Debug, Clone, Copy)]
pub struct Cause {
    /// Stable key.
    pub key: &'static str,
    /// Plain words.
    pub name: &'static str,
    /// Whether it is of one unit or side, or of the line.
    pub sided: bool,
    /// How common it is at one unit, or at the line, relative to the others: two units have it twice as often.
    pub weight: f64,
    /// Of what one unit has, the share that the other has at the same time.
    pub both: f64,
    /// Whether it is there or not: no range.
    pub whole: bool,
    /// What it comes with.
    pub comes: &'static [Circumstance],
    /// What it changes.
    pub change: Change,
    /// How bad it is in its own terms.
    pub amount: Option<Amount>,
    /// What may stand behind it, most common first; the model cannot tell these apart, the checks can.
    pub behind: &'static [Behind],
}

impl Cause {
    /// The cause with this key.
    pub fn named(key: &str) -> Option<usize> {
        CAUSES.iter().position(|cause| cause.key == key)
    }
}

/// Torque that the arm is pulled inboard with half way out, air on, friction left out, N m; `None` where it has no rest or is pulled outboard.
pub fn inward_n_m(unit: &UnitModel) -> Option<f64> {
    let mut still = unit.clone();
    still.brush.spin_rad_s = 0.0;
    let phi = 0.5 * (rest_angle_rad(&still).ok()? + still.outboard_stop.seat_rad);
    let hand = |outward| hand_torque_n_m(&still, phi, 0.0, outward, false, true);
    Some(0.5 * (hand(true) + hand(false))).filter(|torque| *torque > 0.0)
}

fn at(setup: &PassSetup, unit: usize) -> Option<&UnitModel> {
    setup.units.get(unit)
}

const fn amount(
    label: &'static str,
    info: &'static DimensionInfo,
    read: fn(&PassSetup, usize) -> Option<f64>,
) -> Option<Amount> {
    Some(Amount { label, info, read })
}

const fn behind(what: &'static str, check: CheckName, finding: &'static str, repair: &'static str) -> Behind {
    Behind { what, check, finding, repair }
}

/// A cause of one unit with a range, one in four on both sides.
const fn unit(
    key: &'static str,
    name: &'static str,
    weight: f64,
    comes: &'static [Circumstance],
    change: Change,
    amount: Option<Amount>,
    behind: &'static [Behind],
) -> Cause {
    Cause { key, name, sided: true, weight, both: 0.35, whole: false, comes, change, amount, behind }
}

impl Cause {
    const fn whole(mut self) -> Cause {
        self.whole = true;
        self
    }

    const fn both(mut self, share: f64) -> Cause {
        self.both = share;
        self
    }

    const fn of_line(mut self) -> Cause {
        self.sided = false;
        self
    }
}

/// Every cause: air, arm, stops, brush, line.
pub static CAUSES: LazyLock<Vec<Cause>> =
    LazyLock::new(|| [air::ROWS, arm::ROWS, stop::ROWS, brush::ROWS, line::ROWS].concat());

/// The other spin sense, as written in a file.
pub(super) fn reversed(unit: &UnitModel) -> &'static str {
    match unit.brush.spin_sense {
        SpinSense::OutboardAtNose => "InboardAtNose",
        SpinSense::InboardAtNose => "OutboardAtNose",
    }
}

/// Where a cause of the vehicle points: +1 for left.
pub(super) fn toward(side: Option<Side>) -> f64 {
    side.map_or(0.0, Side::y_sign)
}
