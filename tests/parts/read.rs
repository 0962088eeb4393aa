//! What is read back from a run: steps and states, audits, series against the parts they are made of, and whether two brushes can meet.

use crate::common::{bare_unit, far_stop, machine};
use crate::modes;
use brusharm::arm::{Side, UnitModel, ValveConnection};
use brusharm::geometry::Vec2;
use brusharm::pass::motion::{Motion, StopMode, state};
use brusharm::pass::{
    Clock, DenseStep, EnergyAudit, PassError, UnitRecord, brushes_can_meet, instant, run, series,
};
use std::f64::consts::FRAC_PI_2;

fn near(got: f64, want: f64, allowed: f64, what: &str) {
    assert!((got - want).abs() <= allowed, "{what}: {got}, not {want}");
}

/// Every entry of an audit is in the sum it belongs to, once: with entries that are different powers of two.
#[test]
fn verif_sums_of_an_audit() {
    let audit = EnergyAudit {
        conveyor_j: 1.0,
        spindle_j: 2.0,
        air_j: 4.0,
        contact_j: 8.0,
        friction_j: 16.0,
        damper_j: 32.0,
        stop_j: 64.0,
        brushes_j: 128.0,
        cable_j: 256.0,
        air_drag_j: 1024.0,
        stored_j: 512.0,
        turnover_j: 2048.0,
    };
    assert_eq!(audit.work_in_j(), 7.0);
    assert_eq!(audit.dissipated_j(), 1528.0);
    assert_eq!(audit.residual_j(), 7.0 - 1528.0 - 512.0);
    assert_eq!(audit.residual_fraction(), Some((7.0 - 1528.0 - 512.0) / 2048.0));
    assert_eq!(EnergyAudit { turnover_j: 0.0, ..audit }.residual_fraction(), None);
    let mut twice = audit;
    twice.add(&audit);
    let doubled = EnergyAudit {
        conveyor_j: 2.0,
        spindle_j: 4.0,
        air_j: 8.0,
        contact_j: 16.0,
        friction_j: 32.0,
        damper_j: 64.0,
        stop_j: 128.0,
        brushes_j: 256.0,
        cable_j: 512.0,
        air_drag_j: 2048.0,
        stored_j: 1024.0,
        turnover_j: 4096.0,
    };
    assert_eq!(twice, doubled);
}

/// Three steps of a straight motion, 1 to 2, 2 to 2.5 and 2.5 to 4 s: which holds an instant, and what the arm does there. A border belongs to the step
/// that begins there; before and after the run are its ends.
#[test]
fn verif_steps_of_a_record_by_hand() {
    let step = |start_s: f64, length_s: f64, from: f64, to: f64, motion: Motion| {
        let mut coefficients = [[0.0; 5]; state::MOTION];
        coefficients[state::PHI] = [from, to - from, 0.0, 0.0, 0.0];
        coefficients[state::OMEGA] = [10.0 * from, 10.0 * (to - from), 0.0, 0.0, 0.0];
        DenseStep { start_s, length_s, coefficients, modes: modes(motion) }
    };
    let record = UnitRecord {
        side: Side::Left,
        steps: vec![
            step(1.0, 1.0, 0.1, 0.2, Motion::Out),
            step(2.0, 0.5, 0.2, 0.1, Motion::In),
            step(2.5, 1.5, 0.1, 0.4, Motion::Out),
        ],
        rest_phi_rad: 0.0,
        next_touch_s: 9.0,
        left_alone: Vec::new(),
        stands_phi_rad: None,
        settled_s: None,
        settled_latest_s: None,
        audit: EnergyAudit::default(),
        evaluations: 0,
    };
    assert_eq!((record.start_s(), record.end_s()), (1.0, 4.0));
    for (t_s, index, phi, motion) in [
        (0.0, 0, 0.1, Motion::Out),
        (1.0, 0, 0.1, Motion::Out),
        (1.75, 0, 0.175, Motion::Out),
        (2.0, 1, 0.2, Motion::In),
        (2.25, 1, 0.15, Motion::In),
        (2.5, 2, 0.1, Motion::Out),
        (3.0, 2, 0.2, Motion::Out),
        (4.0, 2, 0.4, Motion::Out),
        (7.0, 2, 0.4, Motion::Out),
    ] {
        assert_eq!(record.step_index(t_s), index, "{t_s}");
        let at = record.state_at(t_s);
        near(at.phi_rad(), phi, 1e-12, "angle");
        near(at.omega_rad_s(), 10.0 * phi, 1e-12, "rate");
        assert_eq!(at.modes.motion, motion, "{t_s}");
        near(record.steps[index].value_at(state::PHI, t_s), phi, 1e-12, "value");
        near(record.state_in_step(index, t_s).phi_rad(), phi, 1e-12, "state in its step");
    }
    let none = UnitRecord { steps: Vec::new(), ..record };
    assert_eq!((none.start_s(), none.end_s()), (0.0, 0.0));
}

/// A clock of positions runs at conveyor speed.
#[test]
fn verif_clocks() {
    assert_eq!((Clock::Time.reading(3.0, 0.25), Clock::Time.time_s(3.0, 0.25)), (3.0, 3.0));
    assert_eq!(Clock::VehiclePosition.reading(3.0, 0.25), 0.75);
    assert_eq!(Clock::VehiclePosition.time_s(0.75, 0.25), 3.0);
}

/// A series is read at even steps and at the end; each sample is what its parts come to: stops that push by their own law, a line that carries the weight of
/// what hangs on it, a brush at the end of its arm that moves as it does, gauge pressures over the open air.
#[test]
fn verif_a_series_is_what_its_parts_come_to() {
    let setup = machine::setup(&machine::plain_spec(1), 60.0);
    let record = run(&setup).expect("runs");
    let read = series(&setup, &record, 0.05);
    let span_s = record.end_s - record.start_s;
    assert_eq!(read.time_s.len(), (span_s / 0.05).ceil() as usize + 1);
    assert_eq!((read.time_s[0], read.time_s[read.time_s.len() - 1]), (record.start_s, record.end_s));
    near(read.time_s[7] - read.time_s[0], 0.35, 1e-12, "seven steps");
    for (t, x) in read.time_s.iter().zip(&read.vehicle_position_m) {
        near(*x, t * setup.conveyor_speed_m_s, 1e-12, "position");
    }
    // No finer than a millisecond.
    let coarse = series(&setup, &record, 0.5);
    assert_eq!(coarse.units.len(), 2);
    let (mut pressed, mut pushed, mut hung, mut swung) = (0, 0, 0, 0);
    for ((unit, model), run) in read.units.iter().zip(&setup.units).zip(&record.units) {
        assert_eq!((unit.side, unit.samples.len()), (model.side, read.time_s.len()));
        for (sample, t_s) in unit.samples.iter().zip(&read.time_s) {
            assert_eq!(sample.side, model.side);
            assert_eq!(sample.t_s, t_s.clamp(run.start_s(), run.end_s()));
            assert_eq!(sample.ended, *t_s > run.end_s());
            near((sample.brush_m - model.brush_center_m(sample.phi_rad)).norm(), 0.0, 1e-12, "brush");
            let turned =
                model.brush_center_m(sample.phi_rad + 1e-6) - model.brush_center_m(sample.phi_rad - 1e-6);
            near((sample.brush_m_s - turned * (sample.omega_rad_s / 2e-6)).norm(), 0.0, 1e-8, "its velocity");
            for (stop, sense, force, mode) in [
                (&model.inboard_stop, -1.0, sample.inboard_stop_n, sample.modes.inboard),
                (&model.outboard_stop, 1.0, sample.outboard_stop_n, sample.modes.outboard),
            ] {
                let x = sense * (sample.phi_rad - stop.seat_rad) * stop.radius_m;
                if sense < 0.0 {
                    near(sample.inboard_stop_m, x, 1e-12, "compression");
                }
                if mode == StopMode::Pressed {
                    let rate = sense * sample.omega_rad_s * stop.radius_m;
                    near(force, stop.raw_force_n(x, rate).max(0.0), 1e-6 * force.max(1.0), "stop");
                    pressed += usize::from(force > 1.0);
                } else {
                    assert_eq!(force, 0.0);
                }
            }
            if sample.modes.motion == Motion::Stick {
                assert_eq!((sample.omega_rad_s, sample.alpha_rad_s2), (0.0, 0.0));
                near(sample.tension_n.expect("a counterweight"), 22.0 * 9.80665, 1e-6, "what hangs");
                hung += 1;
            } else {
                swung += 1;
            }
            let cylinder = model.cylinder.as_ref().expect("a cylinder");
            if sample.modes.cap_quasi_steady && sample.modes.cap_on == ValveConnection::Exhaust {
                near(
                    sample.cap_gauge_pa.expect("a cylinder"),
                    0.0,
                    0.0045 * 101_325.0,
                    "cap at the open air",
                );
            }
            assert!(sample.rod_gauge_pa.expect("a cylinder") > -1e5 && cylinder.stroke_m > 0.0);
            assert!(sample.press_m >= 0.0 && (sample.press_m > 0.0) == (sample.press_force_n > 0.0));
            assert!(sample.press_force_n + 1e-9 >= 0.7 * sample.contact_n.norm());
            pushed += usize::from(sample.press_force_n > 1.0);
        }
    }
    assert!(pressed > 10 && pushed > 100 && hung > 10 && swung > 100, "{pressed} {pushed} {hung} {swung}");
    // One instant is the same as in the series; past the run of a unit its last values stay.
    let k = read.time_s.len() / 2;
    for (one, unit) in instant(&setup, &record, read.time_s[k]).iter().zip(&read.units) {
        assert_eq!(*one, unit.samples[k]);
    }
    let late = instant(&setup, &record, record.end_s + 5.0);
    for (sample, run) in late.iter().zip(&record.units) {
        assert_eq!((sample.t_s, sample.ended), (run.end_s(), record.end_s > run.end_s()));
        assert_eq!(sample.phi_rad, run.state_at(run.end_s()).phi_rad());
    }
    assert_eq!(instant(&setup, &record, record.start_s - 5.0)[0].t_s, record.units[0].start_s());
    // Without a cylinder and a counterweight there is nothing to tell of them.
    let mut bare = machine::setup(&machine::plain_spec(1), 60.0);
    bare.units.truncate(1);
    (bare.units[0].cylinder, bare.units[0].counterweight) = (None, None);
    bare.units[0].bearings.lower.toward_wall_m = 0.01;
    if let Ok(record) = run(&bare) {
        let sample = instant(&bare, &record, 0.0)[0];
        assert_eq!((sample.cap_gauge_pa, sample.rod_gauge_pa, sample.tension_n), (None, None, None));
    }
    // A set-up without a unit, or without the vehicle that is to be measured, is none.
    let mut empty = machine::setup(&machine::plain_spec(1), 60.0);
    empty.measured = empty.train.len();
    assert!(matches!(run(&empty), Err(PassError::Empty)));
    empty.measured = 0;
    empty.units.clear();
    assert!(matches!(run(&empty), Err(PassError::Empty)));
}

/// Two arms of 2 m, one on each side, whose ranges end with both pointing straight across: the rims come within 50 mm of each other if the pivots stand no
/// farther apart than both arms, both radii and that. So where the stop that gives way outboard ends the range, and where one brush stands upstream.
#[test]
fn verif_brushes_that_can_meet_by_hand() {
    let unit = |side: Side, out_m: f64, along_m: f64, range: (f64, f64)| -> UnitModel {
        let mut unit = bare_unit(100.0);
        unit.side = side;
        unit.pivot_m = Vec2::new(along_m, out_m);
        // Straight across at φ = 0, straight downstream at a right angle; stops give full compression and 50 mm more.
        let give = 0.1;
        (unit.inboard_stop, unit.outboard_stop) = (far_stop(range.0 + give), far_stop(range.1 - give));
        unit
    };
    let across = unit(Side::Left, 1.0, 0.0, (0.0, 1.0)).brush_center_m(0.0);
    near(across.y, -1.0, 1e-12, "across");
    let reach = 2.0 + 0.6 + 0.025;
    for range in [(0.0, 1.0), (-1.0, 0.0)] {
        for (out_m, meet) in [(reach - 1e-4, true), (reach + 1e-4, false)] {
            let units = [unit(Side::Left, out_m, 0.0, range), unit(Side::Right, out_m, 0.0, range)];
            assert_eq!(brushes_can_meet(&units), meet, "{range:?} {out_m}");
            // What one stands nearer the other may stand farther; along the lane they pass each other.
            let units =
                [unit(Side::Left, out_m - 0.4, 0.0, range), unit(Side::Right, out_m + 0.4, 0.0, range)];
            assert_eq!(brushes_can_meet(&units), meet, "{range:?} {out_m}");
        }
    }
    let range = (0.0, FRAC_PI_2);
    let apart = [unit(Side::Left, 1.5, 0.0, range), unit(Side::Right, 1.5, 9.0, range)];
    assert!(!brushes_can_meet(&apart));
    // Both downstream, side by side.
    let locked = (FRAC_PI_2 - 1e-9, FRAC_PI_2);
    for (out_m, meet) in [(0.6249, true), (0.6251, false)] {
        assert_eq!(
            brushes_can_meet(&[unit(Side::Left, out_m, 0.0, locked), unit(Side::Right, out_m, 0.0, locked)]),
            meet
        );
    }
    assert!(!brushes_can_meet(&[unit(Side::Left, 0.1, 0.0, range)]));
    let [a, b] = [unit(Side::Left, 1.0, 0.0, range), unit(Side::Right, 1.0, 0.0, range)];
    assert!(!brushes_can_meet(&[a.clone(), b.clone(), a]));
}
