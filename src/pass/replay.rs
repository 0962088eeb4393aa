//! A recorded pass looked at again: state and forces of each unit at any instant.
//!
//! The record holds the motion; forces follow from it by the same equation of motion that made it, so what is shown here is what the arm
//! felt. Nothing is integrated anew.

use super::contact::SpanRoom;
use super::motion::{Forces, OtherBrush, UnitDynamics, pair_contact, state::COUNT};
use super::{MotionState, PassSetup, Record};
use crate::arm::Side;

/// One unit at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instant {
    /// Which unit.
    pub side: Side,
    /// When, s.
    pub t_s: f64,
    /// State and modes.
    pub motion: MotionState,
    /// Forces and torques by cause.
    pub forces: Forces,
    /// Force of the inboard bumper stop on the arm, N, never negative.
    pub inboard_stop_n: f64,
    /// Force of the outboard stop on the arm, N, never negative.
    pub outboard_stop_n: f64,
}

/// Looks at a record.
#[derive(Debug, Clone)]
pub struct Replay<'a> {
    units: Vec<UnitDynamics<'a>>,
    record: &'a Record,
}

impl<'a> Replay<'a> {
    /// A replay of the record that [`super::run`] made of this set-up.
    pub fn new(setup: &'a PassSetup, record: &'a Record) -> Replay<'a> {
        Replay { units: (0..setup.units.len()).map(|i| setup.dynamics(i)).collect(), record }
    }

    /// Every unit at `t_s` (clamped to the run), in the order of the set-up.
    pub fn at(&self, t_s: f64) -> Vec<Instant> {
        let t_s = t_s.clamp(self.record.start_s, self.record.end_s);
        let states: Vec<MotionState> = self.record.units.iter().map(|u| u.state_at(t_s)).collect();
        let others: Option<[OtherBrush; 2]> = match (self.units.as_slice(), states.as_slice()) {
            ([a, b], [ya, yb]) => pair_contact([a, b], [&ya.y, &yb.y]),
            _ => None,
        };
        let mut room = SpanRoom::default();
        let mut dy = [0.0; COUNT];
        let mut instants = Vec::with_capacity(states.len());
        for (i, (unit, motion)) in self.units.iter().zip(states).enumerate() {
            let other = others.map(|o| o[i]);
            let forces = unit.evaluate(t_s, &motion.y, &motion.modes, other, &mut room, &mut dy);
            let model = unit.model;
            let stop = |torque: f64, radius: f64| torque.abs() / radius;
            instants.push(Instant {
                side: model.side,
                t_s,
                motion,
                forces,
                inboard_stop_n: stop(forces.budget.inboard_stop_n_m, model.inboard_stop.radius_m),
                outboard_stop_n: stop(forces.budget.outboard_stop_n_m, model.outboard_stop.radius_m),
            });
        }
        instants
    }
}
