//! Damper, gas, counterweight, seal friction: all on struts whose lever can be seen at a glance.

use super::{at, forces, integral, modes, moving};
use crate::common::{bare_unit, crossing_s, far_stop, let_go};
use brusharm::arm::{
    AirCylinder, BumperStop, Chamber, ChamberLine, Counterweight, Damper, GasCharge, Regulator,
    STANDARD_GRAVITY_M_S2, StrokeDamping, Strut, UnitModel, ValveConnection,
};
use brusharm::geometry::Vec2;
use brusharm::pass::motion::{Motion, state};
use std::f64::consts::FRAC_PI_2;

/// At φ = 90° the arm lies along the lane: its anchor stands at (r, 0), the frame's at (r, −d) or (r, +d), so ℓ = d and ℓ′ = ±r.
fn strut(r: f64, d: f64) -> Strut {
    Strut { frame_anchor_m: Vec2::new(r, -d), arm_along_m: r, arm_across_m: 0.0 }
}

fn damped(r: f64, d: f64) -> UnitModel {
    let mut unit = bare_unit(80.0);
    unit.dampers = vec![Damper {
        strut: strut(r, d),
        out_stroke: StrokeDamping { linear_n_s_per_m: 100.0, quadratic_n_s2_per_m2: 40.0 },
        in_stroke: StrokeDamping { linear_n_s_per_m: 10.0, quadratic_n_s2_per_m2: 6.0 },
        gas: None,
    }];
    unit
}

/// r = 0.5 m, 2 rad/s: the rod runs at 1 m/s. Out: (100 + 40) N, 70 N m against the arm; in: (10 + 6) N, 8 N m. At 4 rad/s, 2 m/s: (100 + 80) 2 = 360 N,
/// 180 N m; in (10 + 12) 2 = 44 N, 22 N m. The stroke is the arm's, not the rod's: a rod that shortens while the arm swings out changes nothing.
#[test]
fn verif_damper_strokes_by_hand() {
    for d in [0.7, -0.7] {
        let unit = damped(0.5, d);
        for (omega, torque) in [(2.0, -70.0), (-2.0, 8.0), (4.0, -180.0), (-4.0, 22.0)] {
            let (f, dy) = forces(&unit, &moving(omega), &at(FRAC_PI_2, omega));
            assert!((f.budget.damper_n_m - torque).abs() < 1e-10, "{omega}: {}", f.budget.damper_n_m);
            assert!((dy[state::D_DAMPER] + torque * omega).abs() < 1e-9);
            assert!((f.alpha_rad_s2 - torque / 80.0).abs() < 1e-12);
        }
    }
}

/// With nothing but a linear damper I dω = −c₁ ℓ′² dφ: the rate falls by (c₁/I) ∫ℓ′² dφ. With nothing but the quadratic one
/// dω/ω = −(c₂/I) |ℓ′|³ dφ. Both strokes, at four angles.
#[test]
fn verif_damped_swing_in_closed_form() {
    let lever = |strut: &Strut, phi: f64| strut.at(phi).d1_m.abs();
    for (rate, linear, quadratic) in [(0.9, 100.0, 40.0), (-0.9, 10.0, 6.0)] {
        for only_linear in [true, false] {
            let mut unit = damped(0.5, 0.7);
            let Damper { out_stroke, in_stroke, .. } = &mut unit.dampers[0];
            for stroke in [out_stroke, in_stroke] {
                if only_linear { stroke.quadratic_n_s2_per_m2 = 0.0 } else { stroke.linear_n_s_per_m = 0.0 }
            }
            let strut = unit.dampers[0].strut;
            let record = let_go(&unit, FRAC_PI_2, rate, 0.5);
            for t in [0.1, 0.2, 0.35, 0.5] {
                let now = record.state_at(t);
                let (from, to) = (FRAC_PI_2, now.phi_rad());
                let expected = if only_linear {
                    rate - linear / 80.0 * integral(from, to, |phi| lever(&strut, phi).powi(2))
                } else {
                    let lost = integral(from, to, |phi| lever(&strut, phi).powi(3)).abs();
                    rate * (-quadratic / 80.0 * lost).exp()
                };
                let off = now.omega_rad_s() - expected;
                assert!(off.abs() < 1e-9 && (rate - expected).abs() > 1e-4, "{rate} at {t}: {off:e}");
            }
        }
    }
}

/// Preload 80 N, 200 N/m, reference 0.1 m longer than the strut stands: 100 N push, 50 N m with r = 0.5; shorter than it stands by 0.1 m: 60 N.
#[test]
fn verif_gas_preload_and_rate_by_hand() {
    let mut unit = bare_unit(80.0);
    for (reference_m, torque) in [(0.8, 50.0), (0.7, 40.0), (0.6, 30.0)] {
        let gas = Some(GasCharge { preload_n: 80.0, rate_n_per_m: 200.0, reference_m });
        let still = StrokeDamping::default();
        unit.dampers = vec![Damper { strut: strut(0.5, 0.7), out_stroke: still, in_stroke: still, gas }];
        let (f, _) = forces(&unit, &moving(1.0), &at(FRAC_PI_2, 1.0));
        assert!((f.budget.gas_n_m - torque).abs() < 1e-11, "{}", f.budget.gas_n_m);
        // What it pushes is what its energy loses along the way.
        let energy = |phi: f64| unit.dampers[0].energy_j(&unit.dampers[0].strut.at(phi));
        let slope = (energy(FRAC_PI_2 + 1e-5) - energy(FRAC_PI_2 - 1e-5)) / 2e-5;
        assert!((slope + torque).abs() < 1e-6, "{slope}");
    }
}

fn weighted(travel_ratio: f64) -> UnitModel {
    let mut unit = bare_unit(80.0);
    unit.counterweight = Some(Counterweight { mass_kg: 20.0, travel_ratio, strut: strut(0.5, 0.7) });
    unit
}

/// Part line: the weight rises by k for each metre of cable, so it pulls with k m g and adds m (k ℓ′)². 20 kg at k = ½ over 0.5 m: 49.03325 N m
/// inward, 1.25 kg m²; at k = 2 four times the torque and sixteen times the inertia.
#[test]
fn verif_part_line_by_hand() {
    for (k, torque, inertia) in [(0.5, 49.03325, 1.25), (1.0, 98.0665, 5.0), (2.0, 196.133, 20.0)] {
        let unit = weighted(k);
        let (stuck, _) = forces(&unit, &modes(Motion::Stick), &at(FRAC_PI_2, 0.0));
        assert!((stuck.applied_n_m + torque).abs() < 1e-10, "{}", stuck.applied_n_m);
        // Let go: no ℓ″ φ̇² yet.
        let (free, _) = forces(&unit, &modes(Motion::In), &at(FRAC_PI_2, 0.0));
        assert!((free.alpha_rad_s2 + torque / (80.0 + inertia)).abs() < 1e-12);
        let tension = 20.0 * (STANDARD_GRAVITY_M_S2 + k * 0.5 * free.alpha_rad_s2);
        assert!((free.tension_n - tension).abs() < 1e-10);
        assert!((free.budget.counterweight_n_m + k * 0.5 * tension).abs() < 1e-10);
        // Swinging at 1 rad/s the cable's own curve costs k ℓ″ φ̇² more; at φ = 1.2 it has some.
        let bent = unit.counterweight.expect("fitted").strut.at(1.2);
        let (swinging, _) = forces(&unit, &moving(1.0), &at(1.2, 1.0));
        let lever = k * bent.d1_m;
        let pull = lever * 20.0 * (STANDARD_GRAVITY_M_S2 + k * bent.d2_m);
        let expected = -pull / (80.0 + 20.0 * lever * lever);
        assert!((swinging.alpha_rad_s2 - expected).abs() < 1e-12 && bent.d2_m.abs() > 0.1, "{bent:?}");
    }
}

/// Slack: the arm feels nothing of the weight, the weight falls with g, and the slack e = y − kℓ grows by ë = −g − k(ℓ′φ̈ + ℓ″φ̇²).
#[test]
fn verif_slack_weight_falls_freely() {
    for k in [0.5, 2.0] {
        let mut unit = weighted(k);
        unit.pivot.viscous_n_m_s = 16.0;
        let slack = brusharm::pass::motion::Modes { slack: true, ..moving(1.0) };
        let mut y = at(1.2, 1.0);
        (y[state::SLACK], y[state::SLACK_RATE]) = (0.02, -0.3);
        let (f, dy) = forces(&unit, &slack, &y);
        assert!((f.alpha_rad_s2 + 16.0 / 80.0).abs() < 1e-12 && f.budget.counterweight_n_m == 0.0);
        let s = unit.counterweight.expect("fitted").strut.at(1.2);
        let expected = -STANDARD_GRAVITY_M_S2 - k * (s.d1_m * f.alpha_rad_s2 + s.d2_m);
        assert!((dy[state::SLACK_RATE] - expected).abs() < 1e-12 && dy[state::SLACK] == -0.3);
        assert!(s.d2_m.abs() > 0.1);
    }
}

/// The catch with a part line: the arm is flung on an elastic stop, the cable goes slack, the weight flies on a parabola in y = e + kℓ, and at the
/// catch I ω + m kℓ′ u, u = kℓ′ω + ė, goes on in both.
#[test]
fn verif_catch_with_a_part_line() {
    for k in [0.5, 2.0] {
        let mut unit = bare_unit(324.0);
        let strut = Strut { frame_anchor_m: Vec2::new(0.15, -0.75), arm_along_m: 0.4, arm_across_m: 0.0 };
        unit.counterweight = Some(Counterweight { mass_kg: 60.0, travel_ratio: k, strut });
        unit.outboard_stop = BumperStop {
            seat_rad: 1.5,
            radius_m: 0.5,
            linear_n_per_m: 4e5,
            full_compression_m: 1.0,
            ..far_stop(1.5)
        };
        unit.inboard_stop = BumperStop { seat_rad: 1.1, ..unit.outboard_stop };
        let record = let_go(&unit, 1.3, 3.5, 6.0);
        let mut catches = 0;
        for (i, pair) in record.steps.windows(2).enumerate() {
            if !pair[0].modes.slack || pair[1].modes.slack {
                continue;
            }
            let t = pair[1].start_s;
            let (before, after) = (record.state_in_step(i, t).y, record.state_in_step(i + 1, t).y);
            let lever = k * strut.at(before[state::PHI]).d1_m;
            let rise = lever * before[state::OMEGA] + before[state::SLACK_RATE];
            let expected =
                (324.0 * before[state::OMEGA] + 60.0 * lever * rise) / (324.0 + 60.0 * lever * lever);
            assert!((after[state::OMEGA] - expected).abs() < 1e-7, "{} {expected}", after[state::OMEGA]);
            assert!((before[state::OMEGA] - expected).abs() > 1e-4 && before[state::SLACK].abs() < 1e-7);
            assert!(after[state::SLACK] == 0.0 && after[state::SLACK_RATE] == 0.0);
            catches += 1;
        }
        assert!(catches >= 2, "k {k}: {catches}");
    }
}

/// A cylinder that only rubs: both ends open to the air.
fn with_seal(seal_friction_n: f64) -> UnitModel {
    let mut unit = bare_unit(80.0);
    let regulator = Regulator { set_gauge_pa: 0.0, relieving: true };
    let line = ChamberLine {
        regulator,
        supply_c_m3_s_pa: 1e-6,
        supply_b: 0.3,
        exhaust_c_m3_s_pa: 1e-6,
        exhaust_b: 0.3,
        initial: ValveConnection::Closed,
    };
    // Hardly any area and much room: the air does nothing.
    let chamber = Chamber { area_m2: 1e-9, dead_volume_m3: 1.0, line };
    unit.cylinder = Some(AirCylinder {
        strut: strut(0.5, 0.7),
        closed_length_m: 0.3,
        stroke_m: 1.0,
        cap: chamber,
        rod: chamber,
        seal_friction_n,
        polytropic_index: 1.0,
        temperature_k: 293.15,
        schedule: Vec::new(),
    });
    (unit.pivot.coulomb_n_m, unit.pivot.breakaway_n_m) = (4.0, 5.0);
    unit
}

/// The seal's friction works over its lever and is added to the Coulomb and to the breakaway torque alike: 30 N over 0.5 m adds 15 N m to 4 and to 5.
#[test]
fn verif_seal_friction_adds_to_coulomb_and_breakaway() {
    let unit = with_seal(30.0);
    for omega in [0.8, -0.8] {
        let (f, _) = forces(&unit, &moving(omega), &at(FRAC_PI_2, omega));
        let slowed = f.budget.friction_n_m * f64::signum(omega);
        assert!((slowed + 19.0).abs() < 1e-9, "{slowed}");
        assert!((f.breakaway_n_m - 20.0).abs() < 1e-12, "{}", f.breakaway_n_m);
    }
    // It runs out: ½ I ω² = τ_c |Δφ| + F_s |Δℓ|.
    for rate in [0.5, -0.5] {
        let record = let_go(&unit, FRAC_PI_2, rate, 10.0);
        let stopped = record.state_at(10.0);
        assert_eq!(stopped.modes.motion, Motion::Stick);
        let strut = &unit.cylinder.as_ref().expect("fitted").strut;
        let run = stopped.phi_rad() - FRAC_PI_2;
        let slid = strut.at(stopped.phi_rad()).length_m - strut.at(FRAC_PI_2).length_m;
        let taken = 4.0 * run.abs() + 30.0 * slid.abs();
        assert!((taken / (0.5 * 80.0 * 0.25) - 1.0).abs() < 1e-7, "{taken}");
        assert!(run * rate > 0.1);
    }
}

/// Put at rest, it stays just under breakaway and goes just over it, then against Coulomb alone: (20.02 − 19)/80 rad/s².
#[test]
fn verif_stick_lets_go_at_breakaway_with_the_seal() {
    for (torque, goes) in [(19.98, false), (20.02, true)] {
        let mut unit = with_seal(30.0);
        let gas = Some(GasCharge { preload_n: 2.0 * torque, rate_n_per_m: 0.0, reference_m: 0.7 });
        let still = StrokeDamping::default();
        unit.dampers = vec![Damper { strut: strut(0.5, 0.7), out_stroke: still, in_stroke: still, gas }];
        let record = let_go(&unit, FRAC_PI_2, 0.0, 0.1);
        let rate = record.state_at(0.02).omega_rad_s();
        assert_eq!(rate > 0.0, goes, "{torque}: {rate}");
        if goes {
            assert!((rate / (0.02 * (torque - 19.0) / 80.0) - 1.0).abs() < 1e-3, "{rate}");
        }
    }
}

/// Both stops push away from themselves with F r: 0.01 m at r = 0.5 m, 4 kN/m, 1e6 N/m³, 300 N s/m at 0.2 rad/s into it (0.1 m/s), full at 8 mm, 1e5 N/m
/// after that: 40 + 1 + 30 + 200 = 271 N, 135.5 N m. Going out of it at the same rate 211 N.
#[test]
fn verif_stops_push_by_hand() {
    use brusharm::pass::motion::StopMode;
    let stop = |seat_rad: f64| BumperStop {
        seat_rad,
        radius_m: 0.5,
        linear_n_per_m: 4e3,
        cubic_n_per_m3: 1e6,
        damping_n_s_per_m: 300.0,
        full_compression_m: 0.008,
        rigid_n_per_m: 1e5,
    };
    let mut unit = bare_unit(80.0);
    (unit.inboard_stop, unit.outboard_stop) = (stop(1.0), stop(1.5));
    for (phi, omega, torque) in
        [(0.98, -0.2, 135.5), (0.98, 0.2, 105.5), (1.52, 0.2, -135.5), (1.52, -0.2, -105.5)]
    {
        let inboard = phi < 1.2;
        let mut pressed = moving(omega);
        if inboard {
            pressed.inboard = StopMode::Pressed
        } else {
            pressed.outboard = StopMode::Pressed
        }
        let (f, _) = forces(&unit, &pressed, &at(phi, omega));
        let (own, other) = if inboard {
            (f.budget.inboard_stop_n_m, f.budget.outboard_stop_n_m)
        } else {
            (f.budget.outboard_stop_n_m, f.budget.inboard_stop_n_m)
        };
        assert!((own - torque).abs() < 1e-9 && other == 0.0, "{phi} {omega}: {own}");
    }
    // An outboard stop turns the arm and gives it back without damping.
    unit.inboard_stop = far_stop(-60.0);
    unit.outboard_stop.damping_n_s_per_m = 0.0;
    let record = let_go(&unit, 1.45, 0.3, 3.0);
    let turn = crossing_s(&record, 0.0, |t| record.state_at(t).omega_rad_s()).expect("it turns");
    let x = 0.5 * (record.state_at(turn).phi_rad() - 1.5);
    assert!((unit.outboard_stop.energy_j(x) / 3.6 - 1.0).abs() < 1e-8 && x > 0.008, "{x}");
    assert!((record.state_at(3.0).omega_rad_s() + 0.3).abs() < 1e-8);
}
