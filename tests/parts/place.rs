//! Where things stand and when: stop pin, yaw, train, start and next nose, in closed form.

use super::contact::{box_spec, past_a_box};
use crate::common::machine::unit;
use brusharm::arm::{BearingOffsets, Side, StopPin, UnitModel, VehicleEnd};
use brusharm::geometry::Vec2;
use brusharm::pass::contact::SpanScratch;
use brusharm::pass::motion::{Modes, Motion, state};
use brusharm::pass::{PassSetup, Pose, rest_angle_rad, run};
use brusharm::scenario::Scenario;

fn one_unit() -> Scenario {
    let path = format!("{}/scenarios/one-unit.ron", env!("CARGO_MANIFEST_DIR"));
    Scenario::read_alone(&std::fs::read_to_string(&path).expect("the scenario"), &path).expect("good")
}

/// Hole → seat: the brush centre stands 22, 16 and 10 in off the centreline where the arm just touches the bumper, so cos φ = (55 − d)/90.5. One hole in is
/// six inches further in, at the seat to the digit and at rest nearly (the bumper gives a little more); the rest is where the bumper's force balances.
#[test]
fn verif_one_hole_in_is_one_spacing_in() {
    let mut before: Option<(f64, f64)> = None;
    for (hole, inches) in [("1", 22.0), ("2", 16.0), ("3", 10.0)] {
        let setup = one_unit().with(&[("left.stop_pin.hole", hole)]).expect("a hole").setup();
        let unit = &setup.units[0];
        let seat = unit.inboard_stop.seat_rad;
        assert!((seat - ((55.0 - inches) / 90.5_f64).acos()).abs() < 1e-12, "hole {hole}: {seat}");
        assert!((unit.brush_center_m(seat).y - inches * 0.0254).abs() < 1e-12);
        let rest = rest_angle_rad(unit).expect("a rest");
        let (own, standing) = balance(&setup, rest);
        assert!(own > 10.0 && standing.abs() < 1e-9 * own, "{own} {standing}");
        let center_y = unit.brush_center_m(rest).y;
        assert!(center_y < inches * 0.0254 && center_y > inches * 0.0254 - 0.05, "{center_y}");
        if let Some((seat_before, center_before)) = before {
            assert!(seat < seat_before);
            assert!((center_before - center_y - 0.1524).abs() < 0.01, "{center_before} {center_y}");
        }
        before = Some((seat, center_y));
    }
}

/// Torque of the inboard stop and all that stands against it at rest (no vehicle near).
fn balance(setup: &PassSetup, phi: f64) -> (f64, f64) {
    let mut alone = setup.dynamics(0);
    alone.vehicles.clear();
    let f = standing(&alone, phi, 0.0);
    (f.budget.inboard_stop_n_m, f.applied_n_m)
}

fn standing(
    dynamics: &brusharm::pass::motion::UnitDynamics<'_>,
    phi: f64,
    t: f64,
) -> brusharm::pass::motion::Forces {
    use brusharm::pass::motion::{StopMode, compression_m};
    let model = dynamics.model;
    let mode = |x: f64| if x > 0.0 { StopMode::Pressed } else { StopMode::Clear };
    let mut y = super::at(phi, 0.0);
    let mut modes = Modes {
        inboard: mode(compression_m(&model.inboard_stop, phi, -1.0)),
        outboard: mode(compression_m(&model.outboard_stop, phi, 1.0)),
        ..super::modes(Motion::Stick)
    };
    if let Some(cylinder) = &model.cylinder {
        (modes.cap_on, modes.rod_on) = (cylinder.cap.line.initial, cylinder.rod.line.initial);
        for (k, line, on) in [
            (state::P_CAP, &cylinder.cap.line, modes.cap_on),
            (state::P_ROD, &cylinder.rod.line, modes.rod_on),
        ] {
            y[k] = line.rest_pressure_pa(on, model.atmosphere_pa).unwrap_or(model.atmosphere_pa);
        }
    }
    dynamics.evaluate(t, &y, &modes, None, &mut SpanScratch::default(), &mut [0.0; state::COUNT])
}

/// Holes count from 1, outermost first; none before the first or after the last; the middle one of three is 2, of four the lower middle.
#[test]
fn verif_holes_by_hand() {
    let pin = |hole| StopPin { seat_rad: vec![1.3, 1.2, 1.1], hole };
    let seats: Vec<Option<f64>> = (0..=4).map(|hole| pin(hole).seat()).collect();
    assert_eq!(seats, [None, Some(1.3), Some(1.2), Some(1.1), None]);
    assert_eq!(pin(1).middle_hole(), 2);
    assert_eq!(StopPin { seat_rad: vec![1.4, 1.3, 1.2, 1.1], hole: 1 }.middle_hole(), 2);
}

/// A vehicle is turned about its middle: the middle stays, the nose of 4.8 m goes 2.4 sin ψ to the left and 2.4 (1 − cos ψ) back.
#[test]
fn verif_yaw_turns_about_the_middle() {
    let (speed, yaw) = (0.25, 0.1_f64);
    let pose = Pose::new(-2.0, speed, 4.8, 0.07, yaw);
    let t = 6.0;
    assert!((pose.nose_x_m(t) - 2.0).abs() < 1e-15 && (pose.nose_time_s(2.0) - t).abs() < 1e-13);
    let stands = |x: f64, y: f64| pose.unit_from_vehicle(Vec2::new(x, y), t);
    assert!((stands(-2.4, 0.0) - Vec2::new(-0.4, 0.07)).norm() < 1e-14);
    let nose = Vec2::new(-0.4 + 2.4 * yaw.cos(), 0.07 + 2.4 * yaw.sin());
    assert!((stands(0.0, 0.0) - nose).norm() < 1e-14);
    let left_of_middle = Vec2::new(-0.4 - 0.9 * yaw.sin(), 0.07 + 0.9 * yaw.cos());
    assert!((stands(-2.4, 0.9) - left_of_middle).norm() < 1e-14);
    // What turns a point turns a direction.
    let turned = pose.unit_from_vehicle_dir(Vec2::new(1.0, 0.0));
    assert!((turned - Vec2::new(yaw.cos(), yaw.sin())).norm() < 1e-15);
    let back = pose.vehicle_from_unit_dir(turned);
    assert!((back - Vec2::new(1.0, 0.0)).norm() < 1e-15);
}

/// The invented machine with plumb bearings and no air, past a box.
fn plumb(vehicles: usize) -> PassSetup {
    let mut unit = unit(Side::Left);
    unit.cylinder = None;
    unit.bearings.lower = BearingOffsets::default();
    let mut setup = past_a_box(unit, &box_spec(0.0, 2.0));
    setup.gap_m = 2.0;
    setup.train = vec![setup.train[0].clone(); vehicles];
    setup.measured = vehicles - 1;
    setup
}

/// Noses of a train follow each other by (length + gap)/v, the measured one at 0. Yaw and offset are those of the lane for the left unit and the other way
/// round for the right one.
#[test]
fn verif_train_and_sides() {
    let mut setup = plumb(3);
    for (place, lengths) in [(0, -2.0), (1, -1.0), (2, 0.0), (3, 1.0)] {
        assert!((setup.nose_at_zero_s(place) - lengths * 6.0 / 0.2).abs() < 1e-12);
    }
    (setup.train[2].lateral_offset_m, setup.train[2].yaw_rad) = (0.05, 0.02);
    let pose = |side| setup.pose(&setup.train[2], 0.0, side);
    assert_eq!(pose(Side::Left), Pose::new(0.0, 0.2, 4.0, 0.05, 0.02));
    assert_eq!(pose(Side::Right), Pose::new(0.0, 0.2, 4.0, -0.05, -0.02));
}

/// First in line a run starts half a second before the flat nose comes within R of the brush at rest: at (c_x − R)/v; the next nose comes a train pitch later.
#[test]
fn verif_first_in_line_starts_at_rest() {
    let setup = plumb(1);
    let unit = &setup.units[0];
    let rest = rest_angle_rad(unit).expect("a rest");
    let touch_s = (unit.brush_center_m(rest).x - 0.6) / 0.2;
    let record = run(&setup).expect("runs");
    let run = &record.units[0];
    assert!((run.start_s() - (touch_s - 0.5)).abs() < 1e-6, "{} {touch_s}", run.start_s());
    assert!((run.next_touch_s - (touch_s + 6.0 / 0.2)).abs() < 1e-6, "{}", run.next_touch_s);
    let start = run.state_at(run.start_s());
    assert_eq!((start.phi_rad(), start.modes.motion), (rest, Motion::Stick));
    // The arm stands still until the nose comes.
    assert_eq!(run.state_at(touch_s).phi_rad(), rest);
    assert!(run.state_at(touch_s + 2.5).phi_rad() > rest + 0.01);
}

/// A valve step before the first touch starts the run half a second before itself.
#[test]
fn verif_first_valve_step_starts_the_run() {
    let mut setup = plumb(1);
    let mut cylinder = unit(Side::Left).cylinder.expect("fitted");
    cylinder.schedule.truncate(1);
    (cylinder.schedule[0].end, cylinder.schedule[0].at_m, cylinder.schedule[0].delay_s) =
        (VehicleEnd::Nose, -3.0, 0.0);
    setup.units[0].cylinder = Some(cylinder);
    let record = run(&setup).expect("runs");
    assert!((record.start_s - (-3.0 / 0.2 - 0.5)).abs() < 1e-9, "{}", record.start_s);
}

/// Behind another vehicle a run starts when half of the first one has gone by the brush at rest, in the outermost balance against it.
#[test]
fn verif_behind_another_it_starts_alongside() {
    for vehicles in [2, 3] {
        let setup = plumb(vehicles);
        let unit: &UnitModel = &setup.units[0];
        let rest = rest_angle_rad(unit).expect("a rest");
        let record = run(&setup).expect("runs");
        let run = &record.units[0];
        let half_gone = setup.nose_at_zero_s(0) + (unit.brush_center_m(rest).x + 2.0) / 0.2;
        assert!((run.start_s() - half_gone).abs() < 1e-9, "{} {half_gone}", run.start_s());
        let start = run.state_at(run.start_s());
        assert_eq!((start.omega_rad_s(), start.modes.motion), (0.0, Motion::Stick));
        let dynamics = setup.dynamics(0);
        let off = |phi: f64| standing(&dynamics, phi, half_gone).applied_n_m;
        assert!(off(start.phi_rad()).abs() < 1e-6, "{}", off(start.phi_rad()));
        assert!((1..40).all(|i| off(start.phi_rad() + 0.01 * f64::from(i)) < 0.0));
        assert!(off(start.phi_rad() - 0.001) > 0.0 && start.phi_rad() > rest + 0.1);
    }
}
