//! Readings: a number that an instrument gave, and what it would be under each cause.

use crate::arm::{Side, UnitModel};
use crate::coverage::{MeasureName, Solved};
use crate::elementary::Elementary;
use crate::pass::{hand_torque_n_m, rest_angle_rad};
use crate::units::{
    Dimension, DimensionInfo, ForceDim, FractionDim, LengthDim, MassDim, PowerDim, PressureDim, SpeedDim,
    SpinDim, TimeDim,
};

/// A kind of reading.
#[derive(Debug, Clone, Copy)]
pub struct ReadingRow {
    /// Stable key.
    pub key: &'static str,
    /// How it is taken.
    pub how: &'static str,
    /// Whether it is of a side.
    pub sided: bool,
    /// Its dimension.
    pub info: &'static DimensionInfo,
    /// One standard deviation, SI, and as a share of the reading: the greater counts.
    pub sigma: [f64; 2],
    /// What it would be; the unit is that of the side, the first where it is of none.
    pub read: fn(&Solved, &UnitModel) -> Option<f64>,
}

const fn row(
    key: &'static str,
    how: &'static str,
    info: &'static DimensionInfo,
    sigma: [f64; 2],
    read: fn(&Solved, &UnitModel) -> Option<f64>,
) -> ReadingRow {
    ReadingRow { key, how, sided: true, info, sigma, read }
}

impl ReadingRow {
    const fn of_line(mut self) -> ReadingRow {
        self.sided = false;
        self
    }
}

/// Pull at the spindle half way out, air on, spin off, N.
fn pull_n(unit: &UnitModel, outward: bool) -> Option<f64> {
    let mut still = unit.clone();
    still.brush.spin_rad_s = 0.0;
    let phi = 0.5 * (rest_angle_rad(&still).ok()? + still.outboard_stop.seat_rad);
    Some(hand_torque_n_m(&still, phi, 0.0, outward, false, true) / still.body.length_m)
}

fn measure(solved: &Solved, name: MeasureName, side: Side) -> Option<f64> {
    name.of(side).read(&solved.outcome).value
}

/// Every kind of reading.
pub static READINGS: [ReadingRow; 13] = [
    row(
        "gauge",
        "air at the cap end of the cylinder, arm still, second gauge",
        PressureDim::INFO,
        [2500.0, 0.04],
        |_, u| Some(u.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa),
    ),
    row(
        "pull-out",
        "pull at the spindle half way out, outward, slowly, air on, spin off",
        ForceDim::INFO,
        [1.5, 0.06],
        |_, u| pull_n(u, true),
    ),
    row("pull-in", "the same while the arm is let back in", ForceDim::INFO, [1.5, 0.06], |_, u| {
        pull_n(u, false)
    }),
    row("diameter", "across the spinning media", LengthDim::INFO, [0.02, 0.0], |_, u| {
        Some(2.0 * u.brush.radius_m)
    }),
    row("spin", "turns of the brush", SpinDim::INFO, [0.2, 0.02], |_, u| Some(u.brush.spin_rad_s)),
    row("weight", "the counterweight on a hanging scale", MassDim::INFO, [0.2, 0.02], |_, u| {
        Some(u.counterweight.as_ref()?.mass_kg)
    }),
    row(
        "off-plumb",
        "lower bearing off the upper across the lane, + toward the wall",
        LengthDim::INFO,
        [0.001, 0.0],
        |_, u| Some(u.bearings.lower.toward_wall_m - u.bearings.upper.toward_wall_m),
    ),
    row(
        "rest",
        "brush centre from the lane centreline, arm at rest",
        LengthDim::INFO,
        [0.02, 0.0],
        |_, u| {
            let mut still = u.clone();
            still.brush.spin_rad_s = 0.0;
            Some(u.pivot_m.y - u.body.length_m * rest_angle_rad(&still).ok()?.cosine())
        },
    ),
    row(
        "chase",
        "from the tail passing the spindle to the brush on it, phone film",
        TimeDim::INFO,
        [0.08, 0.1],
        |s, u| measure(s, MeasureName::ChaseDelay, u.side),
    ),
    row("power", "highest power of the spindle during a vehicle", PowerDim::INFO, [30.0, 0.1], |s, u| {
        measure(s, MeasureName::SpindlePower, u.side)
    }),
    row("friction", "wet drag of the media over the load on them", FractionDim::INFO, [0.02, 0.1], |_, u| {
        Some(u.brush.friction)
    }),
    row("gap", "longest strip left on the tail", LengthDim::INFO, [0.05, 0.1], |s, _| {
        MeasureName::TailGap.whole().read(&s.outcome).value
    })
    .of_line(),
    row("speed", "conveyor, stopwatch over a taped length", SpeedDim::INFO, [0.003, 0.03], |s, _| {
        Some(s.setup.conveyor_speed_m_s)
    })
    .of_line(),
];

/// The kind with this key.
pub fn reading_named(key: &str) -> Option<usize> {
    READINGS.iter().position(|row| row.key == key)
}

/// What an instrument gave.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingTold {
    /// Which of [`READINGS`].
    pub kind: usize,
    /// Of which unit.
    pub side: Option<Side>,
    /// What was read, SI.
    pub si: f64,
}

impl ReadingTold {
    /// Chance of this reading where it should be so much, relative to the most likely one: normal, but one in a thousand is anything.
    pub fn likelihood(&self, expected: Option<f64>) -> f64 {
        let Some(expected) = expected else { return 0.05 };
        let [least, share] = READINGS[self.kind].sigma;
        let sigma = least.max(share * expected.abs());
        let z = (self.si - expected) / sigma;
        (-0.5 * z * z).exponential().max(1e-3)
    }
}
