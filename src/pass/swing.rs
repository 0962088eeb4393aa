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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arm::PivotFriction;
    use crate::scenario::Scenario;

    /// A hand carries what holds the arm and the friction of the way it goes: both ways differ by twice the friction, moving or to set it moving; faster by the viscous part; and the mean
    /// of both ways is nothing where the arm rests, inward of there it pulls in, outward out. Air that pulls in must be carried too.
    #[test]
    fn verif_what_a_hand_must_put_on_an_arm() {
        let text = include_str!("../../scenarios/one-unit.ron");
        let unit = Scenario::read_alone(text, "one-unit.ron").expect("good").setup().units.remove(0);
        let mut bare = unit.clone();
        (bare.cylinder, bare.dampers) = (None, Vec::new());
        bare.pivot = PivotFriction { coulomb_n_m: 3.0, breakaway_n_m: 4.5, viscous_n_m_s: 20.0 };
        for phi in [1.3, 1.4, 1.5] {
            let hand = |omega: f64, outward: bool, from_rest: bool| {
                hand_torque_n_m(&bare, phi, omega, outward, from_rest, false)
            };
            let (out, inward) = (hand(1e-9, true, false), hand(-1e-9, false, false));
            assert!((out - inward - 6.0).abs() < 1e-4, "{out} {inward}");
            let (to_out, to_in) = (hand(0.0, true, true), hand(0.0, false, true));
            assert!((to_out - to_in - 9.0).abs() < 1e-4, "{to_out} {to_in}");
            assert!((to_out + to_in - out - inward).abs() < 1e-4);
            let smooth =
                UnitModel { pivot: PivotFriction { viscous_n_m_s: 0.0, ..bare.pivot }, ..bare.clone() };
            for (omega, outward) in [(0.5, true), (-0.5, false)] {
                let more =
                    hand(omega, outward, false) - hand_torque_n_m(&smooth, phi, omega, outward, false, false);
                assert!((more - 20.0 * omega).abs() < 1e-9, "{more}");
            }
        }
        let rest = rest_angle_rad(&unit).expect("it rests");
        let mean = |unit: &UnitModel, phi: f64, air_on: bool| {
            let way = |omega: f64| hand_torque_n_m(unit, phi, omega, omega > 0.0, false, air_on);
            0.5 * (way(1e-9) + way(-1e-9))
        };
        assert!(mean(&unit, rest, true).abs() < 1e-3, "{}", mean(&unit, rest, true));
        assert!(mean(&unit, rest - 0.02, true) < -0.1 && mean(&unit, rest + 0.02, true) > 0.1);
        assert!(mean(&unit, rest + 0.5, true) > mean(&unit, rest + 0.5, false) + 5.0);
    }
}
