//! Stops, the hub, and the way back to rest, from closed forms of the arm alone.

use crate::common::{bare_unit, far_stop, spring_between_stops};
use crate::rig::*;
use brusharm::arm::{BearingOffsets, BumperStop, PivotFriction, Side, UnitModel};
use brusharm::coverage::{Criteria, EventName, measure};
use brusharm::pass::motion::StopMode;
use brusharm::vehicle::VehicleSpec;
use std::f64::consts::FRAC_PI_2;

/// As a share: what the integrator leaves (1e-6 a step).
const REACHED: f64 = 1e-5;

/// How near the time of settling comes to the closed form, s.
const SETTLED_WITHIN_S: f64 = 2e-3;

const MASS_KG: f64 = 60.0;
const CG_M: f64 = 1.5;

fn spring_stop(seat_rad: f64, linear_n_per_m: f64) -> BumperStop {
    BumperStop { radius_m: 0.5, linear_n_per_m, full_compression_m: 0.3, ..far_stop(seat_rad) }
}

fn rounded() -> VehicleSpec {
    body(&[Tier { z_m: [0.3, 1.2], half_width_m: 0.8, setback_m: 0.0 }], 0.25)
}

/// Lower bearing toward the wall: gravity pulls inboard by M g r s sin φ, s = Δ/√(Δ² + span²).
fn leaning(unit: &mut UnitModel, offset_m: f64) -> f64 {
    unit.body.mass_kg = MASS_KG;
    unit.body.cg_radius_m = CG_M;
    unit.bearings.lower = BearingOffsets { toward_wall_m: offset_m, downstream_m: 0.0 };
    MASS_KG * 9.80665 * CG_M * offset_m / offset_m.hypot(unit.bearings.span_m)
}

/// At rest the pull of the lean and the bumper balance: k x r_s = M g r s sin(90° − x/r_s). Friction then holds the arm there for good.
#[test]
fn verif_stop_compression_at_rest() {
    let mut unit = locked(Side::Left, 0.0, 1.1);
    let pull = leaning(&mut unit, 0.004);
    unit.inboard_stop = spring_stop(FRAC_PI_2, 4000.0);
    let outcome = solve(&pass(vec![unit], &rounded()), &fine());
    let mut x = pull / 2000.0;
    for _ in 0..50 {
        x = pull * (x / 0.5).cos() / 2000.0;
    }
    assert!(x > 2e-3, "{x}");
    let unit = timing(&outcome, Side::Left);
    near(unit.stop_peak_compression_m.expect("pressed"), x, 1e-6, "compression");
    // Pressed all the time: met as soon as it is looked for, when the tail passes.
    assert_eq!(unit.time_of(EventName::Bumper), unit.time_of(EventName::TailPasses));
}

#[test]
fn verif_stops_that_are_not_met() {
    // Leaning out, the arm rests on its outboard stop, clear of the bumper by a degree.
    let mut unit = locked(Side::Left, 0.0, 1.1);
    unit.inboard_stop.seat_rad = FRAC_PI_2 - 0.02;
    unit.outboard_stop = spring_stop(FRAC_PI_2, 4000.0);
    assert!(leaning(&mut unit, -0.004) < 0.0);
    let outcome = solve(&pass(vec![unit], &rounded()), &fine());
    let unit = timing(&outcome, Side::Left);
    assert!(unit.outboard_stop_met);
    assert_eq!((unit.stop_peak_compression_m, unit.time_of(EventName::Bumper)), (None, None));
    let free = solve(&pass(vec![locked(Side::Left, 0.0, 1.1)], &rounded()), &fine());
    assert!(!timing(&free, Side::Left).outboard_stop_met);
}

/// Met counts from the first touch to the next nose: the record of a locked arm, its outboard stop pressed by hand for a while.
#[test]
fn verif_when_the_outboard_stop_counts_as_met() {
    let setup = pass(vec![locked(Side::Left, 0.0, 1.1)], &rounded());
    let (record, outcome) = solve_with(&setup, &fine(), &Criteria::default());
    let plain = timing(&outcome, Side::Left);
    let at = |name| plain.time_of(name).expect("happens");
    let (first, tail, next) = (at(EventName::FirstTouch), at(EventName::TailPasses), at(EventName::NextNose));
    for (from, to, met) in [
        (f64::NEG_INFINITY, first - 0.1, false),
        (first + 1.0, tail - 1.0, true),
        (tail + 1.0, next - 1.0, true),
        (next + 0.1, f64::INFINITY, false),
    ] {
        let mut pressed = record.clone();
        for step in &mut pressed.units[0].steps {
            if step.start_s >= from && step.start_s + step.length_s <= to {
                step.modes.outboard = StopMode::Pressed;
            }
        }
        let outcome = measure(&setup, &pressed, &fine(), &Criteria::default());
        assert_eq!(timing(&outcome, Side::Left).outboard_stop_met, met, "pressed from {from} to {to} s");
    }
}

/// A free arm that the vehicle pushes aside and that the lean drives back onto an undamped bumper: energy is kept from the moment the vehicle
/// lets go of it, so ½ I φ̇² − M g r s cos φ there is ½ k x² − M g r s cos(seat − x/r_s) at the deepest compression.
#[test]
fn verif_stop_peak_from_the_energy_at_leaving() {
    let seat = 1.12;
    let mut unit = bare_unit(200.0);
    unit.body.length_m = 2.3;
    unit.brush.hub_radius_m = 0.05;
    let pull = leaning(&mut unit, 0.012);
    unit.inboard_stop = spring_stop(seat, 4000.0);
    unit.outboard_stop = spring_stop(2.2, 4000.0);
    let (record, outcome) = solve_with(&pass(vec![unit], &rounded()), &fine(), &Criteria::default());
    let timing = timing(&outcome, Side::Left);
    let lost = timing.time_of(EventName::LostTail).expect("touched");
    let at = record.units[0].state_at(lost);
    assert!(at.phi_rad() > seat + 0.05, "well clear of the bumper: {}", at.phi_rad());
    let energy = 0.5 * 200.0 * at.omega_rad_s().powi(2) - pull * at.phi_rad().cos();
    let left = |x: f64| energy - 2000.0 * x * x + pull * (seat - x / 0.5).cos();
    let (mut a, mut b) = (0.0, 0.3);
    assert!(left(a) > 0.0 && left(b) < 0.0);
    for _ in 0..60 {
        let mid = 0.5 * (a + b);
        if left(mid) > 0.0 { a = mid } else { b = mid }
    }
    assert!(a > 0.01, "{a}");
    near(timing.stop_peak_compression_m.expect("met"), a, REACHED, "highest compression");
    let bumper = timing.time_of(EventName::Bumper).expect("met");
    assert!(bumper > lost, "after the tail is lost: {bumper} {lost}");
    close(record.units[0].state_at(bumper).phi_rad(), seat, 1e-6, "where the bumper is met");
    assert!(!timing.outboard_stop_met);
}

/// A linear spring and a heavy viscous pivot bring the arm back without overshoot: φ − φ_rest = A e^(−λ₁t) + B e^(−λ₂t) from where the vehicle
/// let go, λ = c/2I ∓ √(c²/4I² − k/I). Settled lies where that falls from a half to a quarter of a degree: how that half degree is meant is a
/// matter of definition, that it is meant is not.
#[test]
fn verif_recovery_of_an_arm_that_creeps_back() {
    let (inertia, spring, damping, rest) = (200.0, 160.0, 500.0, 1.12);
    for viscous in [damping, 1.3 * damping] {
        let mut unit = bare_unit(inertia);
        unit.body.mass_kg = 0.0;
        unit.body.length_m = 2.3;
        unit.brush.hub_radius_m = 0.05;
        unit.pivot = PivotFriction { coulomb_n_m: 0.0, breakaway_n_m: 0.0, viscous_n_m_s: viscous };
        spring_between_stops(&mut unit, spring, rest);
        let mut setup = pass(vec![unit], &rounded());
        setup.gap_m = 6.0;
        let (record, outcome) = solve_with(&setup, &fine(), &Criteria::default());
        let timing = timing(&outcome, Side::Left);
        let lost = timing.time_of(EventName::LostTail).expect("touched");
        let at = record.units[0].state_at(lost);
        let (off, rate) = (at.phi_rad() - rest, at.omega_rad_s());
        let middle = 0.5 * viscous / inertia;
        let root = (middle * middle - spring / inertia).sqrt();
        let (slow, fast) = (middle - root, middle + root);
        let a = (rate + fast * off) / (fast - slow);
        let swing = |t: f64| a * (-slow * t).exp() + (off - a) * (-fast * t).exp();
        let under = |degrees: f64| {
            let (mut from, mut to) = (0.0, 60.0);
            for _ in 0..60 {
                let mid = 0.5 * (from + to);
                if swing(mid).abs() > degrees.to_radians() { from = mid } else { to = mid }
            }
            to
        };
        assert!(off > 2.5_f64.to_radians() && swing(60.0).abs() < 0.1_f64.to_radians());
        let settled = timing.time_of(EventName::Settled).expect("settles");
        let (half, quarter) = (under(0.5) - SETTLED_WITHIN_S, under(0.25) + SETTLED_WITHIN_S);
        assert!(
            half > 1.0 && (half..quarter).contains(&(settled - lost)),
            "{half} {quarter} {}",
            settled - lost
        );
        // The brush at rest stands at (L sin φ, 1.4 − L cos φ); the corner's o is 0.25 m in, the next vehicle 10 m behind.
        let (x_c, y_c) = (2.3 * rest.sin(), 1.4 - 2.3 * rest.cos());
        assert!(y_c < 0.55, "it meets the flat of the nose: {y_c}");
        let next = (x_c - RADIUS_M + LENGTH_M + 6.0) / SPEED_M_S;
        close(timing.time_of(EventName::NextNose).expect("comes"), next, 1e-6, "next nose");
        close(timing.recovery_margin_s.expect("settles"), next - settled, 1e-6, "recovery margin");
    }
}

/// Hub of 0.3 m passing 0.25 m from the side: struck, 50 mm too deep; at 0.35 m clear by 50 mm. At the foot the hub adds its own stiffness.
#[test]
fn verif_hub_clearance() {
    for (d, clearance) in [(0.25, -0.05), (0.35, 0.05), (0.301, 0.001), (0.299, -0.001)] {
        for side in Side::BOTH {
            let mut unit = locked(side, 0.0, 0.8 + d);
            unit.brush.hub_radius_m = 0.3;
            let outcome = solve(&pass(vec![unit], &rounded()), &fine());
            let timing = timing(&outcome, side);
            close(timing.hub_clearance_m, clearance, 1e-9, "clearance");
            close(timing.peak_indentation_m, RADIUS_M - d, 1e-9, "deepest press");
            assert_eq!(timing.hub_struck, clearance < 0.0);
            let foot = (stiffness() * (RADIUS_M - d) + 2.0e5 * (0.3_f64 - d).max(0.0)) / d;
            let s = 0.8 - (4.0 - std::f64::consts::PI) / 2.0 * 0.25 + 2.0;
            let s = if side == Side::Left { s } else { outcome.coverage.bands[0].perimeter_m - s };
            near(station(&outcome, 0, s).peak_pa(), foot, 0.01, "pressure at the foot");
        }
    }
}
