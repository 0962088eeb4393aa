//! When a vehicle presses a brush to its hub, and what held the arm then.

use super::super::motion::{StopMode, TorqueBudget};
use super::super::{JamCause, PassError};
use super::Stepper;

/// An arm that stood at its outboard stop so short a time ago was held by it, s.
const LATELY_S: f64 = 1.0;

/// What holds an arm that a vehicle presses to the hub.
pub(super) fn jam_cause(budget: &TorqueBudget, is_at_outboard_stop: bool) -> JamCause {
    if is_at_outboard_stop || budget.outboard_stop_n_m < 0.0 {
        return JamCause::OutboardStop;
    }
    if budget.push_n_m <= 0.0 {
        return JamCause::Geometry;
    }
    if budget.total_n_m() > 0.0 {
        return JamCause::TooSlow;
    }
    match budget.causes().into_iter().min_by(|a, b| a.1.total_cmp(&b.1)) {
        Some((_, torque)) if torque == budget.rub_n_m => JamCause::Rubbing,
        Some((_, torque)) if torque == budget.friction_n_m => JamCause::PivotFriction,
        Some((name, _)) => JamCause::Other(name),
        None => JamCause::TooSlow,
    }
}

/// x of the nose of that vehicle whose middle is nearest to a pivot, of noses and lengths, m; 0 without one.
pub(super) fn nose_beside_m(noses: impl Iterator<Item = (f64, f64)>, pivot_x_m: f64) -> f64 {
    let off = |(nose_x_m, length_m): (f64, f64)| (nose_x_m - 0.5 * length_m - pivot_x_m).abs();
    noses.min_by(|a, b| off(*a).total_cmp(&off(*b))).map_or(0.0, |(nose_x_m, _)| nose_x_m)
}

impl Stepper<'_, '_> {
    /// Refuses to go on where a surface comes to within a tenth of the hub's radius of the spindle.
    pub(super) fn check_jam(&self) -> Result<(), PassError> {
        for (i, (unit, forces)) in self.system.units.iter().zip(&self.system.forces).enumerate() {
            if forces.indentation_m > unit.law.radius_m - 0.1 * unit.law.hub_radius_m {
                let noses = unit.vehicles.iter().map(|p| (p.pose.nose_x_m(self.t), p.pose.length_m));
                let nose_x_m = nose_beside_m(noses, unit.model.pivot_m.x);
                // A spindle already past the outline is pushed back off the stop that it was held by.
                let lately = self.steps(i).iter().rev().take_while(|step| step.start_s > self.t - LATELY_S);
                let at_stop = lately.into_iter().any(|step| step.modes.outboard == StopMode::Pressed);
                let cause = jam_cause(&forces.budget, at_stop);
                return Err(PassError::Jammed { side: unit.model.side, time_s: self.t, nose_x_m, cause });
            }
        }
        Ok(())
    }
}
