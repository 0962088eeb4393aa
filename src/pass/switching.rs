//! What switches in a unit during a run: stick and slip, the stops, the counterweight line, chambers that begin to lag.
//!
//! Each switch has a function that is positive while the mode holds; the run finds where it changes sign.

use super::motion::{Forces, Modes, Motion, QUASI_STEADY_STRAIN, StopMode, UnitDynamics, state};
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
        Trigger::CapLags if modes.cap_quasi_steady => f.cap.map_or(-1.0, |c| QUASI_STEADY_STRAIN - c.strain),
        Trigger::RodLags if modes.rod_quasi_steady => f.rod.map_or(-1.0, |c| QUASI_STEADY_STRAIN - c.strain),
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
        Trigger::CapLags => modes.cap_quasi_steady = false,
        Trigger::RodLags => modes.rod_quasi_steady = false,
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arm::{Counterweight, QuasiSteady, Strut, UnitModel};
    use crate::geometry::Vec2;
    use crate::scenario::Scenario;

    const STILL: Modes = Modes::clear(Motion::Stick);

    /// An arm of 100 kg m² with a weight of 25 kg on a line whose end on the arm, 0.4 m out, stands at a right angle 0.3 m from the anchor: 0.5 m of line that
    /// grows by −0.3 · 0.4/0.5 = −0.24 m a radian, doubled by a pulley.
    fn hung() -> UnitModel {
        let text = include_str!("../../scenarios/opposite-pair.ron");
        let mut unit = Scenario::read_alone(text, "opposite-pair.ron").expect("good").setup().units.remove(0);
        unit.body.inertia_kg_m2 = 100.0;
        let strut = Strut { frame_anchor_m: Vec2::new(0.0, 0.3), arm_along_m: 0.4, arm_across_m: 0.0 };
        unit.counterweight = Some(Counterweight { mass_kg: 25.0, travel_ratio: 2.0, strut });
        unit
    }

    /// The catch by hand: both share their momentum along the line, and what is lost is half of the reduced mass, 1/(1/m + l²/I), times the square of the
    /// speed at which the slack was closing. Which way the arm then swings is its mode; one at rest keeps its own.
    #[test]
    fn verif_a_line_that_tightens_by_hand() {
        let unit = hung();
        let dynamics = UnitDynamics::alone(&unit);
        let lever = -0.48;
        let reduced_kg = 1.0 / (1.0 / 25.0 + lever * lever / 100.0);
        for (omega, closing, motion) in [
            (-1.0, 0.3, Motion::In),
            (-1.0, -2.0, Motion::In),
            (0.5, -0.7, Motion::Out),
            (0.0, -2.0, Motion::Out),
            (0.0, 2.0, Motion::In),
            (0.0, 0.0, Motion::Stick),
        ] {
            let mut y = [0.0; state::COUNT];
            (y[PHI], y[OMEGA]) = (std::f64::consts::FRAC_PI_2, omega);
            (y[SLACK], y[SLACK_RATE]) = (-1e-9, closing);
            let mut modes = Modes { slack: true, ..STILL };
            let lost_j = apply(Trigger::Cable, &dynamics, &mut y, &mut modes, &Forces::default());
            let after =
                (100.0 * omega + 25.0 * lever * (lever * omega + closing)) / (100.0 + 25.0 * lever * lever);
            assert!((y[OMEGA] - after).abs() < 1e-12, "{omega} {closing}: {}", y[OMEGA]);
            assert!((lost_j - 0.5 * reduced_kg * closing * closing).abs() < 1e-9, "{lost_j}");
            assert_eq!((y[SLACK], y[SLACK_RATE], modes.slack, modes.motion), (0.0, 0.0, false, motion));
        }
        // A taut line goes slack and nothing is lost.
        let (mut y, mut modes) = ([0.3; state::COUNT], STILL);
        assert_eq!(apply(Trigger::Cable, &dynamics, &mut y, &mut modes, &Forces::default()), 0.0);
        assert!(modes.slack && y == [0.3; state::COUNT]);
        let none = UnitModel { counterweight: None, ..unit.clone() };
        let dynamics = UnitDynamics::alone(&none);
        assert_eq!(apply(Trigger::Cable, &dynamics, &mut y, &mut modes, &Forces::default()), 0.0);
    }

    /// What holds a mode, and by how much: friction up to breakaway, motion in its sense, a stop until it is met and, met, while it pushes, a line while it
    /// is taut or, slack, while it hangs, a chamber while its strain is small.
    #[test]
    fn verif_what_holds_a_mode() {
        let forces = Forces {
            applied_n_m: -7.0,
            breakaway_n_m: 10.0,
            tension_n: 5.0,
            inboard_raw_n: 3.0,
            outboard_raw_n: 4.0,
            inboard_x_m: 0.1,
            outboard_x_m: 0.2,
            ..Forces::default()
        };
        let mut y = [0.0; state::COUNT];
        (y[OMEGA], y[SLACK]) = (0.6, 0.8);
        let of = |trigger: Trigger, modes: Modes| holds(trigger, &y, &modes, &forces);
        assert_eq!(of(Trigger::Motion, STILL), 3.0);
        assert_eq!(of(Trigger::Motion, Modes { motion: Motion::Out, ..STILL }), 0.6);
        assert_eq!(of(Trigger::Motion, Modes { motion: Motion::In, ..STILL }), -0.6);
        for (mode, own, other) in
            [(StopMode::Clear, -0.1, -0.2), (StopMode::Pressed, 3.0, 4.0), (StopMode::Released, -3.0, -4.0)]
        {
            assert_eq!(of(Trigger::Inboard, Modes { inboard: mode, ..STILL }), own);
            assert_eq!(of(Trigger::Outboard, Modes { outboard: mode, ..STILL }), other);
            let released = mode == StopMode::Released;
            let clear = if released { (0.1, 0.2) } else { (1.0, 1.0) };
            assert_eq!(of(Trigger::InboardClear, Modes { inboard: mode, ..STILL }), clear.0);
            assert_eq!(of(Trigger::OutboardClear, Modes { outboard: mode, ..STILL }), clear.1);
        }
        assert_eq!(of(Trigger::Cable, STILL), 5.0);
        assert_eq!(of(Trigger::Cable, Modes { slack: true, ..STILL }), 0.8);
        for (trigger, modes) in [
            (Trigger::CapLags, Modes { cap_quasi_steady: true, ..STILL }),
            (Trigger::RodLags, Modes { rod_quasi_steady: true, ..STILL }),
        ] {
            assert_eq!((of(trigger, STILL), of(trigger, modes)), (1.0, -1.0));
            let near = QuasiSteady { pressure_pa: 1e5, strain: 0.002, rate_per_s: 20.0 };
            let mut forces = forces;
            if trigger == Trigger::CapLags {
                forces.cap = Some(near)
            } else {
                forces.rod = Some(near)
            }
            assert!((holds(trigger, &y, &modes, &forces) - 0.0025).abs() < 1e-15);
        }
        assert_eq!(TRIGGERS.len(), 8);
    }

    /// What follows a switch: an arm let go swings the way it is pushed, one that turns goes on only if more than friction pushes it, a stop that is met presses, one
    /// that lets go is released until it is clear.
    #[test]
    fn verif_what_follows_a_switch() {
        let unit = hung();
        let dynamics = UnitDynamics::alone(&unit);
        let after = |trigger: Trigger, mut modes: Modes, applied_n_m: f64| {
            let forces = Forces { applied_n_m, breakaway_n_m: 10.0, ..Forces::default() };
            let mut y = [0.3; state::COUNT];
            assert_eq!(apply(trigger, &dynamics, &mut y, &mut modes, &forces), 0.0);
            assert_eq!(y[OMEGA], if trigger == Trigger::Motion { 0.0 } else { 0.3 });
            modes
        };
        let swings =
            |motion: Motion, applied: f64| after(Trigger::Motion, Modes { motion, ..STILL }, applied).motion;
        assert_eq!((swings(Motion::Stick, 10.1), swings(Motion::Stick, -10.1)), (Motion::Out, Motion::In));
        assert_eq!((swings(Motion::Stick, 10.0), swings(Motion::Stick, -10.0)), (Motion::Out, Motion::In));
        for motion in [Motion::Out, Motion::In] {
            assert_eq!((swings(motion, 10.1), swings(motion, -10.1)), (Motion::Out, Motion::In));
            assert_eq!((swings(motion, 10.0), swings(motion, -10.0)), (Motion::Stick, Motion::Stick));
        }
        use StopMode::{Clear, Pressed, Released};
        for (before, next) in [(Clear, Pressed), (Pressed, Released), (Released, Pressed)] {
            let (own, other) = (Modes { inboard: before, ..STILL }, Modes { outboard: before, ..STILL });
            assert_eq!(after(Trigger::Inboard, own, 0.0), Modes { inboard: next, ..STILL });
            assert_eq!(after(Trigger::Outboard, other, 0.0), Modes { outboard: next, ..STILL });
            assert_eq!(after(Trigger::InboardClear, own, 0.0), STILL);
            assert_eq!(after(Trigger::OutboardClear, other, 0.0), STILL);
        }
        let both = Modes { cap_quasi_steady: true, rod_quasi_steady: true, ..STILL };
        assert_eq!(after(Trigger::CapLags, both, 0.0), Modes { cap_quasi_steady: false, ..both });
        assert_eq!(after(Trigger::RodLags, both, 0.0), Modes { rod_quasi_steady: false, ..both });
    }
}
