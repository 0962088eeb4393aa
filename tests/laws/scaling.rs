//! Laws of scale and place: what must not change the motion, and what must change a number in a known direction.

use crate::common::machine::{plain_spec, setup, solve};
use brusharm::arm::{Media, UnitModel};
use brusharm::pass::{PassSetup, run};
use brusharm::vehicle::fleet;

/// A unit standing further down the lane does the same, later by distance over speed.
#[test]
fn verif_moving_a_unit_along_the_lane_only_shifts_time() {
    let mut here = setup(&fleet::sedan(), 100.0);
    here.units.truncate(1);
    let mut there = here.clone();
    there.units[0].pivot_m.x += 5.0;
    let later = 5.0 / here.conveyor_speed_m_s;
    let (a, b) = (run(&here).expect("runs"), run(&there).expect("runs"));
    assert!((b.start_s - a.start_s - later).abs() < 1e-9);
    let mut travelled: f64 = 0.0;
    for i in 0..900 {
        let t = a.start_s + 0.1 * f64::from(i);
        let (x, y) = (a.units[0].state_at(t).phi_rad(), b.units[0].state_at(t + later).phi_rad());
        assert!((x - y).abs() < 1e-5, "{x} {y} at {t} s");
        travelled = travelled.max((x - a.units[0].rest_phi_rad).abs());
    }
    assert!(travelled > 0.2);
}

/// All masses, forces and stiffnesses times four: the same motion, every force and all work four times.
#[test]
fn verif_scaling_every_force_keeps_the_motion() {
    let mut light = setup(&fleet::sedan(), 100.0);
    for unit in &mut light.units {
        // Air does not scale with its pressure (the flow law sees pressure ratios to the atmosphere).
        unit.cylinder = None;
    }
    let mut heavy = light.clone();
    for unit in &mut heavy.units {
        scale_forces(unit, 4.0);
    }
    let ((a, a_out), (b, b_out)) = (solve(&light), solve(&heavy));
    for (x, y) in a.units.iter().zip(&b.units) {
        for i in 0..600 {
            let t = 0.1 * f64::from(i);
            let off = x.state_at(t).phi_rad() - y.state_at(t).phi_rad();
            assert!(off.abs() < 5e-5, "{off} rad at {t} s");
        }
        for (p, q) in [
            (x.audit.spindle_j, y.audit.spindle_j),
            (x.audit.contact_j, y.audit.contact_j),
            (x.audit.stop_j, y.audit.stop_j),
            (x.audit.damper_j, y.audit.damper_j),
        ] {
            assert!((q / p - 4.0).abs() < 1e-3 && p > 1.0, "{p} {q}");
        }
    }
    for (x, y) in a_out.feature_loads.iter().zip(&b_out.feature_loads) {
        assert!((y.peak_force_n / x.peak_force_n - 4.0).abs() < 0.02, "{} {}", x.feature, x.peak_force_n);
    }
    assert!(a_out.feature_loads.len() >= 4);
}

fn scale_forces(unit: &mut UnitModel, by: f64) {
    unit.body.mass_kg *= by;
    unit.body.inertia_kg_m2 *= by;
    unit.pivot.coulomb_n_m *= by;
    unit.pivot.breakaway_n_m *= by;
    unit.pivot.viscous_n_m_s *= by;
    let Media::Stiff { test, .. } = &mut unit.brush.media else {
        unreachable!("the machine of the tests has stiff media")
    };
    test.force_n *= by;
    unit.brush.air_drag_n_m_s2 *= by;
    if let Some(weight) = &mut unit.counterweight {
        weight.mass_kg *= by;
    }
    for damper in &mut unit.dampers {
        for stroke in [&mut damper.out_stroke, &mut damper.in_stroke] {
            stroke.linear_n_s_per_m *= by;
            stroke.quadratic_n_s2_per_m2 *= by;
        }
        if let Some(gas) = &mut damper.gas {
            gas.preload_n *= by;
            gas.rate_n_per_m *= by;
        }
    }
    for stop in [&mut unit.inboard_stop, &mut unit.outboard_stop] {
        stop.linear_n_per_m *= by;
        stop.cubic_n_per_m3 *= by;
        stop.damping_n_s_per_m *= by;
        stop.rigid_n_per_m *= by;
    }
}

/// Mean pressure on the left side, N force × lever balanced: with more inward torque the arm leans harder on the side.
fn side_pressure(change: impl Fn(&mut PassSetup)) -> f64 {
    let mut setup = setup(&plain_spec(1), 80.0);
    change(&mut setup);
    solve(&setup).1.zones[1].mean_pressure_pa.expect("the side is touched")
}

/// Lower bearing toward the wall: heavier on the side, step by step. (Gravity pulls the leaning arm inboard: a law of §3.)
#[test]
fn verif_bearing_offset_toward_the_wall_presses_harder() {
    let mut last = 0.0;
    for sixteenths in [-2, -1, 0, 1, 2] {
        let offset_m = f64::from(sixteenths) * 0.0254 / 16.0;
        let now = side_pressure(|s| {
            for unit in &mut s.units {
                unit.bearings.lower.toward_wall_m = offset_m;
            }
        });
        assert!(now > 1.02 * last, "{sixteenths}/16 in: {now} Pa after {last}");
        last = now;
    }
}

/// Heavier counterweight (which pulls inboard here) and more air at the rod end (which holds the arm in): harder; the reverse: lighter.
#[test]
fn verif_inward_torque_presses_harder() {
    let base = side_pressure(|_| {});
    let heavier = side_pressure(|s| {
        for unit in &mut s.units {
            unit.counterweight.as_mut().expect("fitted").mass_kg += 4.0;
        }
    });
    let more_air = side_pressure(|s| {
        for unit in &mut s.units {
            unit.cylinder.as_mut().expect("fitted").rod.line.regulator.set_gauge_pa += 2.0 * 6894.757;
        }
    });
    assert!(heavier > 1.05 * base && more_air > 1.03 * base, "{base} {heavier} {more_air}");
}

/// On a long plain side the arm is in balance: push × lever of the contact equals the inward torque.
#[test]
fn verif_side_contact_balances_the_arm() {
    let setup = setup(&plain_spec(1), 60.0);
    let record = run(&setup).expect("runs");
    let dynamics = setup.dynamics(0);
    // Half way along the measured vehicle's side.
    let pose = dynamics.vehicles[setup.measured].pose;
    let t = pose.nose_time_s(2.1 + 2.4);
    let at = record.units[0].state_at(t);
    let mut dy = [0.0; brusharm::pass::motion::state::COUNT];
    let f = dynamics.evaluate(t, &at.y, &at.modes, None, &mut Default::default(), &mut dy);
    let contact = f.budget.push_n_m + f.budget.rub_n_m;
    let rest = f.budget.total_n_m() - contact;
    assert!(contact > 50.0 && f.alpha_rad_s2.abs() < 1e-2, "{:?} {}", f.budget, f.alpha_rad_s2);
    assert!((contact + rest).abs() < 0.05 * contact, "{contact} against {rest} N m");
}

/// Faster conveyor: the brush catches the tail later along the vehicle, so both together reach less far round it.
#[test]
fn verif_tail_overlap_falls_with_throughput() {
    for spec in [fleet::sedan(), plain_spec(1)] {
        let mut last = f64::INFINITY;
        for throughput in [60.0, 80.0, 100.0, 120.0, 140.0] {
            let tail = solve(&setup(&spec, throughput)).1.overlap.tail_m.expect("both touch");
            assert!(tail < last, "{} at {throughput}/h: {tail} m after {last}", spec.name);
            last = tail;
        }
    }
}
