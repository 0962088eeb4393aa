//! One unit alone, with no vehicle: let go at an angle and watched. The swing tests of a real machine, and the closed forms the model is
//! checked against.

use super::contact::SpanScratch;
use super::motion::{Motion, UnitDynamics, state};
use super::run::{note_settled, records};
use super::start::{initial_modes, initial_pressures_pa, rest_state, set_stops};
use super::stepper::Progress;
use super::units::integrate_units;
use super::{Numerics, PassError, UnitRecord};
use crate::arm::UnitModel;
use state::{COUNT, OMEGA, P_CAP, P_ROD, PHI};

/// How a swing starts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingStart {
    /// Swing angle, rad.
    pub phi_rad: f64,
    /// Swing rate, rad/s, positive outward.
    pub omega_rad_s: f64,
    /// Chamber pressures (cap, rod), Pa absolute; `None` = at rest on what the valves connect first.
    pub pressures_pa: Option<(f64, f64)>,
}

/// Angle at which the arm rests with no vehicle near, found from the inboard end, rad.
///
/// # Errors
/// [`PassError::NoRest`] when the torque never changes sign.
pub fn rest_angle_rad(unit: &UnitModel) -> Result<f64, PassError> {
    let dynamics = UnitDynamics::alone(unit);
    let mut modes = initial_modes(unit);
    Ok(rest_state(&dynamics, &mut modes)?[PHI])
}

/// Lets the arm go at t = 0 and follows it for `duration_s`. The valve schedule does not run: the valves stay as they are first connected.
/// `rest_phi_rad` of the record is the start angle when the arm has no rest.
///
/// # Errors
/// As [`super::run`].
pub fn swing(
    unit: &UnitModel,
    start: &SwingStart,
    duration_s: f64,
    numerics: &Numerics,
) -> Result<UnitRecord, PassError> {
    let dynamics = UnitDynamics::alone(unit);
    let mut modes = initial_modes(unit);
    let mut y = [0.0; COUNT];
    (y[P_CAP], y[P_ROD]) = initial_pressures_pa(unit, &modes);
    if let Some((cap, rod)) = start.pressures_pa {
        y[P_CAP] = cap;
        y[P_ROD] = rod;
    }
    y[PHI] = start.phi_rad;
    y[OMEGA] = start.omega_rad_s;
    set_stops(unit, start.phi_rad, &mut modes);
    modes.motion = if start.omega_rad_s > 0.0 {
        Motion::Out
    } else if start.omega_rad_s < 0.0 {
        Motion::In
    } else {
        // Stick: let go at once if the torque is beyond breakaway.
        Motion::Stick
    };
    let rest = {
        let mut still = initial_modes(unit);
        rest_state(&dynamics, &mut still).map_or(start.phi_rad, |y| y[PHI])
    };
    let start = Progress::new(&dynamics, y, modes);
    let unit = std::slice::from_ref(&dynamics);
    let ends = integrate_units(numerics, unit, vec![start], &[], 0.0, duration_s)?;
    let mut record = records(unit, ends, &[rest], &[duration_s]).remove(0);
    note_settled(&mut record, duration_s);
    Ok(record)
}

/// Torque that a hand must put on a unit that stands alone to carry it on steadily at a swing rate, N m, positive outward: against all torques at that
/// angle and the friction of the way it goes. With `from_rest` it is what it takes to set the arm moving that way instead. The air is on with the
/// chambers at what the valves connect them to first, or off with both open.
pub fn hand_torque_n_m(
    unit: &UnitModel,
    phi_rad: f64,
    omega_rad_s: f64,
    outward: bool,
    from_rest: bool,
    air_on: bool,
) -> f64 {
    let dynamics = UnitDynamics::alone(unit);
    let mut modes = initial_modes(unit);
    let mut y = [0.0; COUNT];
    (y[P_CAP], y[P_ROD]) =
        if air_on { initial_pressures_pa(unit, &modes) } else { (unit.atmosphere_pa, unit.atmosphere_pa) };
    y[PHI] = phi_rad;
    y[OMEGA] = if from_rest { 0.0 } else { omega_rad_s };
    set_stops(unit, phi_rad, &mut modes);
    modes.motion = if from_rest {
        Motion::Stick
    } else if outward {
        Motion::Out
    } else {
        Motion::In
    };
    let mut dy = [0.0; COUNT];
    let forces = dynamics.evaluate(0.0, &y, &modes, None, &mut SpanScratch::default(), &mut dy);
    let sign = if outward { 1.0 } else { -1.0 };
    let friction_n_m = if from_rest {
        sign * forces.breakaway_n_m
    } else {
        // The budget holds viscous and Coulomb friction together; the viscous part stands in what is applied too.
        -unit.pivot.viscous_n_m_s * y[OMEGA] - forces.budget.friction_n_m
    };
    friction_n_m - forces.applied_n_m
}
