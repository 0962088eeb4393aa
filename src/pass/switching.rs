//! What switches in a unit during a run: stick and slip, the stops, the counterweight line, chambers that begin to lag.
//!
//! Each switch has a function that is positive while the mode holds; the run finds where it changes sign.

use super::motion::{FOLLOWS_STRAIN, Forces, Modes, Motion, StopMode, UnitDynamics, state};
use state::{OMEGA, PHI, SLACK, SLACK_RATE};

/// A switch found within a step, and how far into it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fired {
    pub unit: usize,
    pub trigger: Trigger,
    pub at_s: f64,
}

/// What can switch in a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Trigger {
    Motion,
    Inboard,
    InboardClear,
    Outboard,
    OutboardClear,
    Cable,
    CapLags,
    RodLags,
}
pub(super) const TRIGGERS: [Trigger; 8] = [
    Trigger::Motion,
    Trigger::Inboard,
    Trigger::InboardClear,
    Trigger::Outboard,
    Trigger::OutboardClear,
    Trigger::Cable,
    Trigger::CapLags,
    Trigger::RodLags,
];

/// Switching function: positive = the mode holds.
pub(super) fn holds(trigger: Trigger, y: &[f64], modes: &Modes, f: &Forces) -> f64 {
    let stop = |mode: StopMode, x: f64, raw: f64| match mode {
        StopMode::Clear => -x,
        StopMode::Pressed => raw,
        StopMode::Released => -raw,
    };
    let clear = |mode: StopMode, x: f64| if mode == StopMode::Released { x } else { 1.0 };
    match trigger {
        Trigger::Motion => match modes.motion {
            Motion::Stick => f.breakaway_n_m - f.applied_n_m.abs(),
            motion => y[OMEGA] * motion.sign(),
        },
        Trigger::Inboard => stop(modes.inboard, f.inboard_x_m, f.inboard_raw_n),
        Trigger::Outboard => stop(modes.outboard, f.outboard_x_m, f.outboard_raw_n),
        Trigger::InboardClear => clear(modes.inboard, f.inboard_x_m),
        Trigger::OutboardClear => clear(modes.outboard, f.outboard_x_m),
        Trigger::CapLags if modes.cap_follows => f.cap.map_or(-1.0, |c| FOLLOWS_STRAIN - c.strain),
        Trigger::RodLags if modes.rod_follows => f.rod.map_or(-1.0, |c| FOLLOWS_STRAIN - c.strain),
        Trigger::CapLags | Trigger::RodLags => 1.0,
        Trigger::Cable => {
            if modes.slack {
                y[SLACK]
            } else {
                f.tension_n
            }
        }
    }
}

/// Applies a switch; returns the energy a tightening cable takes, J.
pub(super) fn apply(
    trigger: Trigger,
    unit: &UnitDynamics<'_>,
    y: &mut [f64],
    modes: &mut Modes,
    f: &Forces,
) -> f64 {
    let next = |mode: StopMode| match mode {
        StopMode::Clear | StopMode::Released => StopMode::Pressed,
        StopMode::Pressed => StopMode::Released,
    };
    match trigger {
        Trigger::Motion => {
            y[OMEGA] = 0.0;
            modes.motion = if modes.motion == Motion::Stick || f.applied_n_m.abs() > f.breakaway_n_m {
                if f.applied_n_m > 0.0 { Motion::Out } else { Motion::In }
            } else {
                Motion::Stick
            };
        }
        Trigger::Inboard => modes.inboard = next(modes.inboard),
        Trigger::Outboard => modes.outboard = next(modes.outboard),
        Trigger::InboardClear => modes.inboard = StopMode::Clear,
        Trigger::OutboardClear => modes.outboard = StopMode::Clear,
        Trigger::CapLags => modes.cap_follows = false,
        Trigger::RodLags => modes.rod_follows = false,
        Trigger::Cable => {
            if modes.slack {
                modes.slack = false;
                return tighten(unit, y, modes);
            }
            modes.slack = true;
        }
    }
    0.0
}

/// The slack is used up: weight and arm share their momentum along the line, without rebound. A stuck arm that the catch cannot free keeps still.
fn tighten(unit: &UnitDynamics<'_>, y: &mut [f64], modes: &mut Modes) -> f64 {
    let Some(weight) = &unit.model.counterweight else { return 0.0 };
    y[SLACK] = 0.0;
    let lever = weight.travel_ratio * weight.strut.at(y[PHI]).d1_m;
    let (inertia, mass, omega) = (unit.model.body.inertia_kg_m2, weight.mass_kg, y[OMEGA]);
    let rise = lever * omega + y[SLACK_RATE];
    let before = 0.5 * inertia * omega * omega + 0.5 * mass * rise * rise;
    let after_omega = (inertia * omega + mass * lever * rise) / (inertia + mass * lever * lever);
    y[SLACK_RATE] = 0.0;
    y[OMEGA] = after_omega;
    modes.motion = match after_omega {
        w if w > 0.0 => Motion::Out,
        w if w < 0.0 => Motion::In,
        _ => modes.motion,
    };
    before - 0.5 * (inertia + mass * lever * lever) * after_omega * after_omega
}
