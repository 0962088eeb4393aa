//! Where a run starts.
//!
//! With no vehicle ahead of the measured one, an arm starts from **rest**: torques in balance with no vehicle near. Behind another vehicle it
//! starts **alongside**: half of the first vehicle of the train has gone by and the arm rides its side in balance, valves as its nose left
//! them. What the nose of that vehicle did has died away by then and so it would only cost time.

use super::PassError;
use super::contact::SpanScratch;
use super::motion::{Modes, Motion, StopMode, UnitDynamics, VehiclePlan, compression_m, state};
use crate::arm::{ChamberName, UnitModel, ValveConnection, VehicleEnd};
use state::{COUNT, P_CAP, P_ROD, PHI};

/// A valve switch at a known time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Switch {
    pub at_s: f64,
    pub unit: usize,
    pub chamber: ChamberName,
    pub to: ValveConnection,
}

/// Bisections of an angle of balance.
const BISECTIONS: u32 = 80;

/// Rest of a unit with no vehicle near: swing angle and full state.
pub(super) fn rest_state(unit: &UnitDynamics<'_>, modes: &mut Modes) -> Result<[f64; COUNT], PassError> {
    let model = unit.model;
    let mut y = [0.0; COUNT];
    (y[P_CAP], y[P_ROD]) = initial_pressures_pa(model, modes);
    let alone = UnitDynamics { vehicles: Vec::new(), ..unit.clone() };
    let mut applied = applied_torque(&alone, modes, 0.0);
    let (low, high) = swing_range(model);
    let n = 512;
    let at = |i: u32| low + (high - low) * f64::from(i) / f64::from(n);
    let (mut a, mut fa) = (low, applied(low, &mut y));
    let mut bracket = None;
    for i in 1..=n {
        let b = at(i);
        let fb = applied(b, &mut y);
        if fa > 0.0 && fb <= 0.0 {
            bracket = Some((a, b));
            break;
        }
        (a, fa) = (b, fb);
    }
    let Some((mut a, mut b)) = bracket else { return Err(PassError::NoRest { side: model.side }) };
    for _ in 0..BISECTIONS {
        let mid = 0.5 * (a + b);
        if applied(mid, &mut y) > 0.0 { a = mid } else { b = mid }
    }
    y[PHI] = 0.5 * (a + b);
    set_stops(model, y[PHI], modes);
    modes.motion = Motion::Stick;
    Ok(y)
}

/// When half of the first vehicle has gone by a brush at its rest, s.
pub(super) fn alongside_time_s(unit: &UnitDynamics<'_>, rest_phi_rad: f64) -> f64 {
    let pose = &unit.vehicles[0].pose;
    pose.nose_time_s(unit.model.brush_center_m(rest_phi_rad).x + 0.5 * pose.length_m)
}

/// Balance against the vehicle that stands before the brush at `t_s`, with the valves as `switches` (in time order) have left them. Of several
/// balances the outermost: the others lie within the vehicle. `None` when there is none, or when the arm does not reach out of the vehicle; a
/// run from the first touch then shows why.
pub(super) fn alongside_state(
    unit: &UnitDynamics<'_>,
    switches: &[Switch],
    t_s: f64,
    modes: &mut Modes,
) -> Option<[f64; COUNT]> {
    let model = unit.model;
    let mut y = [0.0; COUNT];
    (y[P_CAP], y[P_ROD]) = initial_pressures_pa(model, modes);
    if let Some(cylinder) = &model.cylinder {
        for switch in switches.iter().take_while(|s| s.at_s <= t_s) {
            let (line, pressure_pa, on) = match switch.chamber {
                ChamberName::Cap => (&cylinder.cap.line, &mut y[P_CAP], &mut modes.cap_on),
                ChamberName::Rod => (&cylinder.rod.line, &mut y[P_ROD], &mut modes.rod_on),
            };
            *on = switch.to;
            // A chamber that is shut in keeps what it has.
            *pressure_pa = line.rest_pressure_pa(switch.to, model.atmosphere_pa).unwrap_or(*pressure_pa);
        }
    }
    let mut applied = applied_torque(unit, modes, t_s);
    let (low, high) = swing_range(model);
    let n = 128;
    let at = |i: u32| high - (high - low) * f64::from(i) / f64::from(n);
    let is_within = |phi| unit.vehicles.iter().any(|v| v.holds(model.brush_center_m(phi), t_s));
    if applied(high, &mut y) > 0.0 {
        return None;
    }
    let inner = (1..=n).find(|&i| applied(at(i), &mut y) > 0.0 || is_within(at(i)))?;
    if is_within(at(inner)) {
        return None;
    }
    let (mut a, mut b) = (at(inner), at(inner - 1));
    for _ in 0..BISECTIONS {
        let mid = 0.5 * (a + b);
        if applied(mid, &mut y) > 0.0 {
            a = mid
        } else {
            b = mid
        }
        if b - a < 1e-12 {
            break;
        }
    }
    drop(applied);
    y[PHI] = 0.5 * (a + b);
    set_stops(model, y[PHI], modes);
    modes.motion = Motion::Stick;
    Some(y)
}

/// Pressures of both chambers at rest with the valves as they are, Pa absolute.
pub(super) fn initial_pressures_pa(model: &UnitModel, modes: &Modes) -> (f64, f64) {
    let atmosphere = model.atmosphere_pa;
    model.cylinder.as_ref().map_or((atmosphere, atmosphere), |cylinder| {
        let rest =
            |line: &crate::arm::ChamberLine, on| line.rest_pressure_pa(on, atmosphere).unwrap_or(atmosphere);
        (rest(&cylinder.cap.line, modes.cap_on), rest(&cylinder.rod.line, modes.rod_on))
    })
}

/// Torque that friction would have to hold, as a function of the swing angle of an arm that stands still.
fn applied_torque<'u, 'v>(
    unit: &'u UnitDynamics<'v>,
    modes: &Modes,
    t_s: f64,
) -> impl FnMut(f64, &mut [f64; COUNT]) -> f64 + use<'u, 'v> {
    let mut still = Modes { motion: Motion::Stick, slack: false, ..*modes };
    let mut scratch = SpanScratch::default();
    let mut dy = [0.0; COUNT];
    move |phi, y| {
        y[PHI] = phi;
        set_stops(unit.model, phi, &mut still);
        unit.evaluate(t_s, y, &still, None, &mut scratch, &mut dy).applied_n_m
    }
}

/// Every swing angle that bumpers, pressed to twice their full compression, leave open.
fn swing_range(model: &UnitModel) -> (f64, f64) {
    let give = |s: &crate::arm::BumperStop| 2.0 * s.full_compression_m / s.radius_m + 0.02;
    (
        model.inboard_stop.seat_rad - give(&model.inboard_stop),
        model.outboard_stop.seat_rad + give(&model.outboard_stop),
    )
}

pub(super) fn set_stops(model: &UnitModel, phi: f64, modes: &mut Modes) {
    let mode = |x: f64| if x > 0.0 { StopMode::Pressed } else { StopMode::Clear };
    modes.inboard = mode(compression_m(&model.inboard_stop, phi, -1.0));
    modes.outboard = mode(compression_m(&model.outboard_stop, phi, 1.0));
}

pub(super) fn initial_modes(model: &UnitModel) -> Modes {
    let on = |pick: fn(&crate::arm::AirCylinder) -> ValveConnection| {
        model.cylinder.as_ref().map_or(ValveConnection::Closed, pick)
    };
    Modes {
        cap_on: on(|c| c.cap.line.initial),
        rod_on: on(|c| c.rod.line.initial),
        ..Modes::clear(Motion::Stick)
    }
}

/// Valve switches of a unit for every vehicle of its plan, in time order.
pub(super) fn switches(unit_index: usize, unit: &UnitDynamics<'_>) -> Vec<Switch> {
    let mut list: Vec<Switch> =
        unit.vehicles.iter().flat_map(|plan| switches_for(unit_index, unit.model, plan)).collect();
    list.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    list
}

/// Valve switches of a unit for one vehicle, in the order of the schedule.
pub(super) fn switches_for(unit: usize, model: &UnitModel, plan: &VehiclePlan<'_>) -> Vec<Switch> {
    let Some(cylinder) = &model.cylinder else { return Vec::new() };
    let switch = |step: &crate::arm::ValveStep| {
        let behind = match step.end {
            VehicleEnd::Nose => 0.0,
            VehicleEnd::Tail => plan.pose.length_m,
        };
        let at_s = plan.pose.nose_time_s(model.pivot_m.x + step.at_m + behind) + step.delay_s;
        Switch { at_s, unit, chamber: step.chamber, to: step.to }
    };
    cylinder.schedule.iter().map(switch).collect()
}

/// Time at which a vehicle's nose end first comes within brush radius of a brush standing at `phi`, s.
pub(super) fn touch_time_s(unit: &UnitDynamics<'_>, plan: &VehiclePlan<'_>, phi: f64) -> f64 {
    let c = unit.model.brush_center_m(phi);
    let radius = unit.law.radius_m;
    let gap = |t: f64| {
        let mut nearest = f64::INFINITY;
        for band in &plan.bands {
            let local = plan.pose.vehicle_from_unit(c + band.shift_m, t);
            for outline in &band.band.outlines {
                nearest = nearest.min(outline.chain.nearest(local).distance_m);
            }
        }
        nearest - radius
    };
    // March with the free distance: the vehicle cannot close it faster than the conveyor runs.
    let mut t = plan.pose.nose_time_s(c.x - radius - 1.0);
    let last = plan.pose.nose_time_s(c.x + plan.pose.length_m + radius + 1.0);
    while t < last {
        let free = gap(t);
        if free < 1e-9 {
            return t;
        }
        t += (free / plan.pose.speed_m_s).max(1e-9);
    }
    plan.pose.nose_time_s(c.x)
}

#[cfg(test)]
mod tests {
    use super::super::{PassSetup, rest_angle_rad, rest_angles_rad, run};
    use super::*;
    use crate::arm::BumperStop;
    use crate::scenario::Scenario;

    fn demo(name: &str) -> PassSetup {
        let path = format!("{}/scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("the demo");
        Scenario::read_alone(&text, &path).expect("good").setup()
    }

    /// Twice the full compression over the radius, and 0.02 rad more, past either seat: by hand.
    #[test]
    fn verif_the_range_of_the_swing() {
        let mut model = demo("one-unit").units.remove(0);
        let stop = |seat_rad: f64, radius_m: f64, full_compression_m: f64| BumperStop {
            seat_rad,
            radius_m,
            full_compression_m,
            ..model.inboard_stop
        };
        (model.inboard_stop, model.outboard_stop) = (stop(0.7, 0.5, 0.03), stop(2.1, 0.4, 0.05));
        let (low, high) = swing_range(&model);
        assert!((low - (0.7 - 0.12 - 0.02)).abs() < 1e-12 && (high - (2.1 + 0.25 + 0.02)).abs() < 1e-12);
    }

    /// The valves start as the scenario says, each of its own chamber; torques in balance are those of an arm that stands, whatever it did before.
    #[test]
    fn verif_an_arm_starts_from_what_its_valves_say() {
        let setup = demo("ferry-return");
        for (index, model) in setup.units.iter().enumerate() {
            let mut model = model.clone();
            let connections = [ValveConnection::Supply, ValveConnection::Exhaust, ValveConnection::Closed];
            for cap in connections {
                for rod in connections {
                    let cylinder = model.cylinder.as_mut().expect("a cylinder");
                    (cylinder.cap.line.initial, cylinder.rod.line.initial) = (cap, rod);
                    let modes = initial_modes(&model);
                    assert_eq!((modes.cap_on, modes.rod_on), (cap, rod));
                }
            }
            let unit = setup.dynamics(index);
            let still = initial_modes(unit.model);
            let moving = Modes { motion: Motion::Out, slack: true, ..still };
            for phi in [0.9, 1.2, 1.5, 1.8] {
                let torque = |modes: &Modes| {
                    let mut y = [0.0; COUNT];
                    (y[P_CAP], y[P_ROD]) = initial_pressures_pa(unit.model, modes);
                    applied_torque(&unit, modes, 0.0)(phi, &mut y)
                };
                assert!(torque(&still) != 0.0);
                assert_eq!(torque(&moving), torque(&still), "{phi}");
            }
        }
    }

    /// At rest torques balance: inward of it they push outward, outward of it inward; a pair far apart rests as each does alone, and a run starts from there.
    #[test]
    fn verif_rest_is_where_torques_change_sign() {
        for name in ["ferry-return", "one-unit", "as-found", "air-drop"] {
            let setup = demo(name);
            let angles = rest_angles_rad(&setup);
            assert_eq!(angles.len(), setup.units.len());
            let record = run(&setup).expect("runs");
            for (index, angle) in angles.into_iter().enumerate() {
                let angle = angle.expect("it rests");
                let unit = setup.dynamics(index);
                let alone = UnitDynamics { vehicles: Vec::new(), ..unit.clone() };
                let modes = initial_modes(unit.model);
                let mut y = [0.0; COUNT];
                (y[P_CAP], y[P_ROD]) = initial_pressures_pa(unit.model, &modes);
                let mut torque = applied_torque(&alone, &modes, 0.0);
                assert!(torque(angle - 1e-7, &mut y) > 0.0 && torque(angle + 1e-7, &mut y) < 0.0, "{name}");
                // From the inboard end on it is the first.
                let (low, _) = swing_range(unit.model);
                assert!((0..50).all(|i| torque(low + (angle - low) * f64::from(i) / 50.0, &mut y) > 0.0));
                drop(torque);
                assert_eq!(rest_angle_rad(unit.model).expect("it rests"), angle, "{name}");
                assert_eq!(record.units[index].rest_phi_rad, angle, "{name}");
            }
        }
    }

    /// At the first touch the nearest point of the vehicle is just within the radius, and it was not before; an arm that stands clear of it is told when the nose
    /// stands beside it.
    #[test]
    fn verif_when_a_vehicle_first_touches() {
        let setup = demo("ferry-return");
        for index in 0..setup.units.len() {
            let unit = setup.dynamics(index);
            let radius_m = unit.law.radius_m;
            for plan in &unit.vehicles {
                let away = |phi: f64, t: f64| plan.away_m(unit.model.brush_center_m(phi), t);
                let rest = rest_angle_rad(unit.model).expect("it rests");
                for phi in [rest, rest + 0.2, rest + 0.5] {
                    let t = touch_time_s(&unit, plan, phi);
                    assert!((away(phi, t) - radius_m).abs() < 1e-8, "{index} {phi}: {}", away(phi, t));
                    assert!((1..400).all(|k| away(phi, t - 0.02 * f64::from(k)) > radius_m), "{index} {phi}");
                }
                let clear = rest + 1.6;
                let beside_s = plan.pose.nose_time_s(unit.model.brush_center_m(clear).x);
                if (0..2000).all(|k| away(clear, beside_s + 0.05 * f64::from(k) - 20.0) > radius_m) {
                    assert_eq!(touch_time_s(&unit, plan, clear), beside_s);
                }
            }
        }
    }
}
