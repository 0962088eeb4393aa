//! Switches: stick and slip, stops, valves, the cable, and the errors of machines that cannot work.

use crate::common::machine::{plain_spec, setup, unit};
use crate::common::{FINE, bare_unit, far_stop, let_go};
use brusharm::arm::{
    BumperStop, ChamberName, Counterweight, Side, Strut, UnitModel, ValveConnection, VehicleEnd,
};
use brusharm::geometry::Vec2;
use brusharm::pass::contact::SpanScratch;
use brusharm::pass::motion::{Motion, StopMode, UnitDynamics, state};
use brusharm::pass::{JamCause, Numerics, PassError, PassSetup, UnitRecord, rest_angle_rad, run};
use brusharm::vehicle::fleet;

/// All through a pass the modes say what is so: a stuck arm stands still under less than breakaway, a moving one moves its way, a clear stop
/// is not touched, a pressed one pushes, a taut cable pulls.
#[test]
fn verif_modes_say_what_is_so() {
    let mut seen = [0_usize; 6];
    for (spec, throughput) in [(fleet::sedan(), 60.0), (fleet::pickup(), 140.0), (fleet::large_suv(), 100.0)]
    {
        let setup = setup(&spec, throughput);
        let record = run(&setup).expect("runs");
        for (index, unit) in record.units.iter().enumerate() {
            let dynamics = setup.dynamics(index);
            let mut scratch = SpanScratch::default();
            for (i, step) in unit.steps.iter().enumerate() {
                for x in [0.02, 0.37, 0.71, 0.98] {
                    let t = step.start_s + x * step.length_s;
                    let at = unit.state_in_step(i, t);
                    let mut dy = [0.0; state::COUNT];
                    let f = dynamics.evaluate(t, &at.y, &at.modes, None, &mut scratch, &mut dy);
                    let (omega, modes) = (at.omega_rad_s(), at.modes);
                    let place = format!("{} {} unit, {t} s: {modes:?} {f:?}", spec.name, unit.side.name());
                    match modes.motion {
                        Motion::Stick => {
                            assert!(omega == 0.0 && f.applied_n_m.abs() <= f.breakaway_n_m + 1e-6, "{place}");
                            seen[0] += 1;
                        }
                        moving => {
                            assert!(omega * moving.sign() > -1e-6, "{omega} rad/s, {place}");
                            assert!(f.budget.friction_n_m * omega <= 0.0, "{place}");
                            seen[1] += 1;
                        }
                    }
                    for (mode, x_m, raw_n) in [
                        (modes.inboard, f.inboard_x_m, f.inboard_raw_n),
                        (modes.outboard, f.outboard_x_m, f.outboard_raw_n),
                    ] {
                        match mode {
                            StopMode::Clear => assert!(x_m < 1e-6, "{place}"),
                            StopMode::Pressed => assert!(raw_n > -0.02, "{place}"),
                            StopMode::Released => assert!(raw_n < 0.02 && x_m > -1e-6, "{place}"),
                        }
                        seen[2 + mode as usize] += 1;
                    }
                    assert!(modes.slack || f.tension_n > -1e-3, "{place}");
                    seen[5] += usize::from(f.tension_n > 1.0);
                }
            }
        }
    }
    assert!(seen.iter().all(|n| *n > 20), "{seen:?}");
}

/// The schedule: each valve switches when nose or tail is at its mark (plus delay), for every vehicle, to the instant; what should have
/// switched before the run begins beside the first vehicle has.
#[test]
fn verif_valves_follow_the_vehicle() {
    // Two ahead: the run begins beside the first, so that every switch of the second is in it.
    let mut setup = setup(&plain_spec(1), 100.0);
    setup.train.insert(0, setup.train[0].clone());
    setup.measured = 2;
    let record = run(&setup).expect("runs");
    let (mut checked, mut before) = (0, 0);
    for (index, unit) in record.units.iter().enumerate() {
        let model = &setup.units[index];
        let cylinder = model.cylinder.as_ref().expect("fitted");
        let mut earlier = Vec::new();
        for vehicle in 0..=setup.measured + 1 {
            for step in &cylinder.schedule {
                let behind = if step.end == VehicleEnd::Tail { 4.8 } else { 0.0 };
                let at_s = setup.nose_at_zero_s(vehicle)
                    + (model.pivot_m.x + step.at_m + behind) / setup.conveyor_speed_m_s
                    + step.delay_s;
                if at_s > unit.end_s() - 1e-3 {
                    continue;
                }
                let valve = |t: f64| {
                    let modes = unit.state_at(t).modes;
                    if step.chamber == ChamberName::Cap { modes.cap_on } else { modes.rod_on }
                };
                if at_s < unit.start_s() {
                    earlier.push((at_s, step));
                    continue;
                }
                assert_ne!(valve(at_s - 1e-9), step.to, "already switched at {at_s}");
                assert_eq!(valve(at_s + 1e-9), step.to, "not switched at {at_s}");
                checked += 1;
            }
        }
        for chamber in [ChamberName::Cap, ChamberName::Rod] {
            let last =
                earlier.iter().filter(|(_, s)| s.chamber == chamber).max_by(|a, b| a.0.total_cmp(&b.0));
            let Some((at_s, step)) = last else { continue };
            let modes = unit.state_at(unit.start_s()).modes;
            let valve = if chamber == ChamberName::Cap { modes.cap_on } else { modes.rod_on };
            assert_eq!(valve, step.to, "not switched before the start, at {at_s}");
            before += 1;
        }
        // Pressures answer: the cap end is fed while the nose passes and empty again when the side does.
        let cap = |t: f64| unit.state_at(t).y[state::P_CAP] - model.atmosphere_pa;
        let fed_s = (model.pivot_m.x + 2.5) / setup.conveyor_speed_m_s;
        assert!(cap(fed_s) > 0.9 * cylinder.cap.line.regulator.set_gauge_pa, "{}", cap(fed_s));
        // Half a metre after the second step of the nose has let it out.
        let empty_s =
            setup.nose_at_zero_s(setup.measured) + (model.pivot_m.x + 2.6 + 0.5) / setup.conveyor_speed_m_s;
        assert!(cap(empty_s).abs() < 1000.0, "{}", cap(empty_s));
    }
    assert!(checked >= 14 && before >= 2, "{checked} and {before}");
}

/// A heavy weight on an arm that is flung against a hard outboard stop: the cable goes slack, the weight flies free, is caught.
fn flung() -> (UnitModel, UnitRecord) {
    let mut unit = bare_unit(324.0);
    unit.counterweight = Some(Counterweight {
        mass_kg: 60.0,
        travel_ratio: 1.0,
        strut: Strut { frame_anchor_m: Vec2::new(0.15, -0.75), arm_along_m: 0.4, arm_across_m: 0.0 },
    });
    unit.outboard_stop = BumperStop {
        seat_rad: 1.5,
        radius_m: 0.5,
        linear_n_per_m: 4e5,
        cubic_n_per_m3: 0.0,
        damping_n_s_per_m: 400.0,
        full_compression_m: 1.0,
        rigid_n_per_m: 0.0,
    };
    unit.inboard_stop = BumperStop { seat_rad: 1.1, ..unit.outboard_stop };
    unit.pivot.coulomb_n_m = 4.0;
    unit.pivot.breakaway_n_m = 4.0;
    let record = let_go(&unit, 1.3, 3.5, 30.0);
    (unit, record)
}

#[test]
fn verif_cable_goes_slack_and_is_caught() {
    let (unit, record) = flung();
    let weight = unit.counterweight.expect("fitted");
    let slack: Vec<_> = record.steps.iter().filter(|s| s.modes.slack).collect();
    let flights = record.steps.windows(2).filter(|w| !w[0].modes.slack && w[1].modes.slack).count();
    let catches = record.steps.windows(2).filter(|w| w[0].modes.slack && !w[1].modes.slack).count();
    assert!(flights >= 2 && catches == flights, "{flights} flights, {catches} catches");
    assert!(slack.len() > 10);
    // In flight the weight falls freely: y = slack + kℓ is a parabola of −g. Slack is never negative.
    let mut longest: f64 = 0.0;
    let mut begun: Option<(f64, f64, f64)> = None;
    let height = |t: f64, i: usize| {
        let y = record.state_in_step(i, t).y;
        let s = weight.strut.at(y[state::PHI]);
        (y[state::SLACK] + s.length_m, y[state::SLACK_RATE] + s.d1_m * y[state::OMEGA])
    };
    for (i, step) in record.steps.iter().enumerate() {
        if !step.modes.slack {
            begun = None;
            continue;
        }
        let (from_s, from_m, from_rate) = *begun.get_or_insert_with(|| {
            let (y, rate) = height(step.start_s, i);
            (step.start_s, y, rate)
        });
        for x in [0.0, 0.5, 1.0] {
            let t = step.start_s + x * step.length_s;
            let since = t - from_s;
            let free =
                from_m + from_rate * since - 0.5 * brusharm::arm::STANDARD_GRAVITY_M_S2 * since * since;
            assert!((height(t, i).0 - free).abs() < 1e-7, "{} against {free} m", height(t, i).0);
            assert!(record.state_in_step(i, t).y[state::SLACK] > -1e-9);
            longest = longest.max(since);
        }
    }
    assert!(longest > 0.05, "flight of {longest} s");
    // The catch: momentum along the line goes on, energy is lost, and the audit knows how much.
    let mut lost = 0.0;
    for (i, pair) in record.steps.windows(2).enumerate() {
        if pair[0].modes.slack && !pair[1].modes.slack {
            let t = pair[1].start_s;
            let (before, after) = (record.state_in_step(i, t).y, record.state_in_step(i + 1, t).y);
            let lever = weight.strut.at(before[state::PHI]).d1_m;
            let momentum = |y: &[f64; state::COUNT]| {
                324.0 * y[state::OMEGA] + 60.0 * lever * (lever * y[state::OMEGA] + y[state::SLACK_RATE])
            };
            assert!((momentum(&before) - momentum(&after)).abs() < 1e-6 * momentum(&before).abs().max(1.0));
            assert!(before[state::SLACK_RATE] < -0.01, "it is caught falling");
            let kinetic = |y: &[f64; state::COUNT]| {
                let rise = lever * y[state::OMEGA] + y[state::SLACK_RATE];
                0.5 * 324.0 * y[state::OMEGA] * y[state::OMEGA] + 30.0 * rise * rise
            };
            lost += kinetic(&before) - kinetic(&after);
        }
    }
    let audit = record.audit;
    assert!(lost > 1.0 && (audit.cable_j - lost).abs() < 1e-6 * lost, "{lost} {audit:?}");
    // Nothing works on the arm: it only loses what it started with.
    let start = 0.5 * 324.0 * 3.5 * 3.5;
    assert!(audit.residual_j().abs() < 1e-7 * start, "{audit:?}");
    assert!(audit.stop_j > 10.0 && audit.friction_j > 1.0);
}

/// With the cable taut all the time the weight is just inertia m(kℓ′)² and torque −kℓ′m(g + kℓ″φ̇²): compare with the same swing of an arm
/// whose weight is a gas spring of that force and whose inertia is added, for a small swing.
#[test]
fn verif_taut_cable_adds_its_inertia() {
    let strut = Strut { frame_anchor_m: Vec2::new(0.15, -0.75), arm_along_m: 0.4, arm_across_m: 0.0 };
    let period = |unit: &UnitModel| {
        let rest = rest_angle_rad(unit).expect("a rest");
        let record = let_go(unit, rest + 1e-4, 0.0, 20.0);
        let omega = |t: f64| record.state_at(t).omega_rad_s();
        let first = crate::common::crossing_s(&record, 0.05, omega).expect("turns");
        2.0 * first
    };
    let mut unit = bare_unit(100.0);
    unit.counterweight = Some(Counterweight { mass_kg: 25.0, travel_ratio: 2.0, strut });
    // An elastic inboard stop carries the weight's torque.
    unit.inboard_stop = BumperStop {
        seat_rad: 1.3,
        radius_m: 0.5,
        linear_n_per_m: 3e4,
        cubic_n_per_m3: 0.0,
        damping_n_s_per_m: 0.0,
        full_compression_m: 1.0,
        rigid_n_per_m: 0.0,
    };
    unit.outboard_stop = far_stop(1.9);
    let rest = rest_angle_rad(&unit).expect("a rest");
    let s = strut.at(rest);
    let inertia = 100.0 + 25.0 * (2.0 * s.d1_m).powi(2);
    // Stiffness: the stop's k r² plus the change of the weight's torque with angle, k m g ℓ″.
    let stiffness = 3e4 * 0.25 + 2.0 * 25.0 * brusharm::arm::STANDARD_GRAVITY_M_S2 * s.d2_m;
    let expected = std::f64::consts::TAU * (inertia / stiffness).sqrt();
    assert!((period(&unit) / expected - 1.0).abs() < 1e-5, "{} {expected}", period(&unit));
    assert!((inertia - 100.0).abs() > 10.0);
}

/// A brush spun against a stuck arm's vehicle: sticks and slips occur in a pass, and where the arm sticks it does not move by a bit.
#[test]
fn verif_stick_is_exact_within_a_pass() {
    let mut setup = setup(&plain_spec(1), 60.0);
    for unit in &mut setup.units {
        unit.pivot.coulomb_n_m = 12.0;
        unit.pivot.breakaway_n_m = 15.0;
    }
    let record = run(&setup).expect("runs");
    let (mut stuck, mut freed) = (0, 0);
    for unit in &record.units {
        for (i, step) in unit.steps.iter().enumerate() {
            if step.modes.motion == Motion::Stick {
                let phi = step.coefficients[state::PHI];
                assert_eq!(phi[1..], [0.0; 4], "{phi:?}");
                stuck += 1;
                freed += usize::from(unit.steps.get(i + 1).is_some_and(|n| n.modes.motion != Motion::Stick));
            }
        }
    }
    assert!(stuck > 30 && freed >= 4, "{stuck} stuck steps, {freed} times freed");
}

/// The error of a pass that must not run.
fn refused(setup: &PassSetup) -> PassError {
    match run(setup) {
        Ok(record) => panic!("it runs, {} steps", record.units[0].steps.len()),
        Err(error) => error,
    }
}

fn alone(mut setup: PassSetup) -> PassSetup {
    setup.units.truncate(1);
    setup
}

/// A vehicle too wide for the reach of the arm jams it: an error that says which unit, when and where.
#[test]
fn verif_jam_is_an_error() {
    let mut setup = alone(setup(&plain_spec(1), 60.0));
    setup.units[0].outboard_stop.seat_rad = 1.25;
    setup.units[0].outboard_stop.rigid_n_per_m = 1e8;
    let error = refused(&setup);
    let PassError::Jammed { side, time_s, nose_x_m, cause } = error else { panic!("{error}") };
    assert_eq!(side, Side::Left);
    assert_eq!(cause, JamCause::OutboardStop);
    assert!(time_s.is_finite() && nose_x_m > 0.0 && nose_x_m < 8.0, "{nose_x_m}");
    // The first vehicle of the train jams it as it comes: the run does not begin with a brush within the vehicle.
    let first_nose_s = (nose_x_m - setup.conveyor_speed_m_s * time_s) / -setup.conveyor_speed_m_s;
    assert!((first_nose_s - setup.nose_at_zero_s(0)).abs() < 1e-9, "{first_nose_s}");
    let text = error.to_string();
    assert!(text.contains("jams the left brush") && text.contains("the reach of the arm"), "{text}");
    // Where it happens is told in both systems, a time before the measured vehicle with a true minus.
    assert!(text.contains(" ft ") && text.contains(&format!(", {nose_x_m:.2} m):")), "{text}");
    let clock = format!("at {} s", brusharm::units::rounded(time_s, 2));
    assert!(text.contains(&clock) && !text.contains('-'), "{text}");
}

/// Where both arms jam, each run by itself, the one is named that jams first: the one that stands upstream.
#[test]
fn verif_of_two_jams_the_first_is_told() {
    for (downstream_m, first) in [([0.0, 1.0], Side::Left), ([1.0, 0.0], Side::Right)] {
        let mut setup = setup(&plain_spec(1), 60.0);
        let mut alone_s = Vec::new();
        setup.train.truncate(1);
        setup.measured = 0;
        setup.train.iter_mut().for_each(|vehicle| (vehicle.lateral_offset_m, vehicle.yaw_rad) = (0.0, 0.0));
        for (unit, x_m) in setup.units.iter_mut().zip(downstream_m) {
            unit.pivot_m.x = x_m;
            unit.brush.hub_radius_m = 0.16;
            unit.outboard_stop.seat_rad = 1.25;
            unit.outboard_stop.rigid_n_per_m = 1e8;
        }
        for unit in &setup.units {
            let PassError::Jammed { time_s, .. } =
                refused(&PassSetup { units: vec![unit.clone()], ..setup.clone() })
            else {
                panic!("jams alone")
            };
            alone_s.push(time_s);
        }
        let PassError::Jammed { side, time_s, .. } = refused(&setup) else { panic!("jams") };
        assert_eq!(side, first);
        assert!((time_s - alone_s[0].min(alone_s[1])).abs() < 1e-3, "{time_s} {alone_s:?}");
        // Both within one stretch that is run apart, or the first fault would end the run before the second.
        assert!(
            (alone_s[0] - alone_s[1]).abs() > 1.0 && (alone_s[0] - alone_s[1]).abs() < 15.0,
            "{alone_s:?}"
        );
    }
}

/// An arm with nothing to hold it anywhere has no rest.
#[test]
fn verif_no_rest_is_an_error() {
    let mut setup = alone(setup(&plain_spec(1), 60.0));
    setup.units[0].counterweight.as_mut().expect("fitted").mass_kg = 20_000.0;
    let error = refused(&setup);
    assert_eq!(error, PassError::NoRest { side: Side::Left });
    assert!(error.to_string().contains("does not come to rest"), "{error}");
}

/// Nothing to simulate, and absurd proportions: errors, not panics or endless runs.
#[test]
fn verif_other_errors() {
    let good = alone(setup(&plain_spec(1), 60.0));
    let none = PassSetup { units: Vec::new(), ..good.clone() };
    assert_eq!(refused(&none), PassError::Empty);
    let beyond = PassSetup { measured: good.train.len(), ..good.clone() };
    assert_eq!(refused(&beyond), PassError::Empty);
    let mut weightless = good.clone();
    weightless.units[0].body.inertia_kg_m2 = 1e-300;
    weightless.units[0].counterweight = None;
    weightless.units[0].bearings.lower.toward_wall_m = 0.01;
    let error = refused(&weightless);
    assert!(
        matches!(
            error,
            PassError::NotFinite { .. } | PassError::TooManySteps { .. } | PassError::Jammed { .. }
        ),
        "{error}"
    );
}

/// A swing that starts where it rests stays there.
#[test]
fn verif_rest_is_rest() {
    let unit = unit(Side::Left);
    let rest = rest_angle_rad(&unit).expect("a rest");
    let start = brusharm::pass::SwingStart { phi_rad: rest, omega_rad_s: 0.0, pressures_pa: None };
    for numerics in [FINE, Numerics::default()] {
        let record = brusharm::pass::swing(&unit, &start, 100.0, &numerics).expect("runs");
        assert_eq!(record.state_at(100.0).phi_rad(), rest);
    }
    let d = UnitDynamics::alone(&unit);
    assert!(d.vehicles.is_empty());
    assert_eq!(unit.cylinder.as_ref().map(|c| c.cap.line.initial), Some(ValveConnection::Exhaust));
}
