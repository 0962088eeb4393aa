//! Brush on a box: band height, lean shift, spin, and brush on brush, from the flat closed forms.

use super::modes;
use crate::common::bare_unit;
use crate::common::machine::pair;
use brusharm::arm::{BearingOffsets, Brush, Media, PushBack, SpinSense, UnitModel};
use brusharm::geometry::Vec2;
use brusharm::pass::contact::SpanScratch;
use brusharm::pass::motion::{Motion, UnitDynamics, state};
use brusharm::pass::{Numerics, PassSetup, TrainVehicle, brush_to_brush};
use brusharm::vehicle::{BodySpec, VehicleSpec};
use std::f64::consts::{FRAC_PI_2, TAU};

const SPEED_M_S: f64 = 0.2;

/// A sharp box 4 m long and 1.8 m wide between two heights.
pub(super) fn box_spec(z_low_m: f64, z_high_m: f64) -> VehicleSpec {
    VehicleSpec {
        name: "box".to_owned(),
        class: "box".to_owned(),
        note: "Invented.".to_owned(),
        length_m: 4.0,
        width_m: 1.8,
        height_m: z_high_m,
        body: vec![BodySpec {
            z_low_m,
            z_high_m,
            nose_setback_m: 0.0,
            tail_setback_m: 0.0,
            width_m: 1.8,
            nose_sweep_m: 0.0,
            nose_corner_radius_m: 0.0,
            tail_sweep_m: 0.0,
            tail_corner_radius_m: 0.0,
            side_barrel_m: 0.0,
        }],
        features: Vec::new(),
    }
}

/// One unit, one box, nothing near before or behind.
pub(super) fn past_a_box(unit: UnitModel, spec: &VehicleSpec) -> PassSetup {
    PassSetup {
        units: vec![unit],
        train: vec![TrainVehicle { shape: pair(spec), lateral_offset_m: 0.0, yaw_rad: 0.0 }],
        measured: 0,
        gap_m: 60.0,
        conveyor_speed_m_s: SPEED_M_S,
        numerics: Numerics::default(),
    }
}

/// A 2 m arm pivoted at (0, 1.4) with its brush (R = 0.6 m) at a height y above the centreline.
fn angle_for(y_m: f64) -> f64 {
    ((1.4 - y_m) / 2.0).acos()
}

fn touch(dynamics: &UnitDynamics<'_>, phi: f64, t: f64) -> brusharm::pass::contact::ContactSum {
    let mut y = [0.0; state::COUNT];
    y[state::PHI] = phi;
    let (c, v) = dynamics.brush_motion(&y);
    dynamics.contact(t, c, v, 0.0, &mut SpanScratch::default()).0
}

/// Flat closed form of the push at distance d, K = 1.
fn flat(radius: f64, d: f64) -> f64 {
    let a = (d / radius).acos();
    2.0 * (radius * a.sin() - d * a)
}

/// How far before the place it points at a stiff strip of 0.6 m pushes, m: 0.32 R.
const LEAD_M: f64 = 0.192;

/// The lean carries the brush centre by Δ/span × (z − z_pivot), z the middle of what the media covers of the band: on the flat nose the first touch comes
/// at (c_x + shift_x − R)/v, on the flat side the press is R − (c_y + shift_y − half width).
#[test]
fn verif_lean_shift_moves_the_touch_by_its_own_length() {
    let mut unit = bare_unit(80.0);
    unit.bearings.lower = BearingOffsets { downstream_m: 0.010, toward_wall_m: -0.006 };
    unit.bearings.upper = BearingOffsets { downstream_m: 0.002, toward_wall_m: 0.003 };
    // Pivot height 1 m, span 0.6096 m, media from 0.2 to 1.4 m.
    let lean = Vec2::new((0.002 - 0.010) / 0.6096, (0.003 + 0.006) / 0.6096);
    let mut times = Vec::new();
    for (z_low, z_high, middle) in [(0.3, 0.5, 0.4), (1.2, 1.6, 1.3), (0.1, 0.9, 0.55), (0.9, 1.1, 1.0)] {
        let setup = past_a_box(unit.clone(), &box_spec(z_low, z_high));
        let dynamics = setup.dynamics(0);
        let shift = lean * (middle - 1.0);
        let phi = angle_for(0.2);
        let center_x = 2.0 * phi.sin();
        let (mut a, mut b) = (0.0, (center_x - 0.3) / SPEED_M_S);
        assert!(
            touch(&dynamics, phi, a).indentation_m == 0.0 && touch(&dynamics, phi, b).indentation_m > 0.0
        );
        while b - a > 1e-11 {
            let mid = 0.5 * (a + b);
            if touch(&dynamics, phi, mid).indentation_m > 0.0 { b = mid } else { a = mid }
        }
        let expected = (center_x + shift.x - 0.6) / SPEED_M_S;
        assert!((b - expected).abs() < 1e-9, "{middle}: {b} s, not {expected}");
        times.push(b);
        let alongside = (2.0 * angle_for(1.3).sin() + 2.0) / SPEED_M_S;
        let press = touch(&dynamics, angle_for(1.3), alongside).indentation_m;
        assert!((press - (0.6 - (1.3 + shift.y - 0.9))).abs() < 1e-12, "{middle}: {press}");
    }
    assert!((times[0] - times[1]).abs() > 0.01, "{times:?}");
}

/// On the side of a box: everything in closed form. The push turns the arm with (L sin φ − ℓ) F, the rubbing with −(L cos φ + d) μ F, both times the height
/// that band and media share; the spindle gives (d μ + ℓ) F ω and the conveyor loses its share of it.
#[test]
fn verif_side_of_a_box_in_closed_form() {
    let phi = angle_for(1.25);
    let d = 1.25 - 0.9;
    let mut unit = bare_unit(80.0);
    unit.brush.stiffening_spin_rad_s = Some(4.7);
    // 9.4 rad/s is twice 4.7: five times as stiff.
    let rest = 42.0 / (1.2 * flat(0.6, 0.45));
    assert!((unit.brush.rest_stiffness() / rest - 1.0).abs() < 1e-12);
    let stiffness = 5.0 * rest;
    let push = flat(0.6, d);
    let t = (2.0 * phi.sin() + 2.0) / SPEED_M_S;
    for (z_low, z_high, height) in [(0.3, 0.5, 0.2), (0.1, 0.9, 0.7), (1.0, 2.0, 0.4), (0.0, 2.0, 1.2)] {
        for (sense, sign) in [(SpinSense::OutboardAtNose, 1.0), (SpinSense::InboardAtNose, -1.0)] {
            let mut unit = unit.clone();
            unit.brush.spin_sense = sense;
            let setup = past_a_box(unit, &box_spec(z_low, z_high));
            let dynamics = setup.dynamics(0);
            let mut y = super::at(phi, 0.0);
            let mut dy = [0.0; state::COUNT];
            let scratch = &mut SpanScratch::default();
            let f = dynamics.evaluate(t, &y, &modes(Motion::Stick), None, scratch, &mut dy);
            let (force, rub) = (stiffness * push * height, 0.35 * stiffness * push * height);
            let close = |got: f64, want: f64, what: &str| {
                assert!((got - want).abs() < 1e-11 * (1.0 + want.abs()), "{what}: {got}, not {want}");
                assert!(want.abs() > 1e-3, "{what}");
            };
            close(f.budget.push_n_m, 2.0 * phi.sin() * force - sign * LEAD_M * force, "push");
            close(f.budget.rub_n_m, -sign * rub * (2.0 * phi.cos() + d), "rub");
            close(f.normal_sum_n, force, "normal sum");
            close(f.contact_n[1], force, "force across");
            close(f.contact_n[0], -sign * rub, "force along");
            let moment = d * rub + LEAD_M * force;
            close(f.spindle_moment_n_m, -sign * moment, "moment");
            close(f.spindle_power_w, moment * 9.4, "spindle");
            close(dy[state::W_CONVEYOR], -sign * rub * SPEED_M_S, "conveyor");
            // In space the strips turn at the set spin + φ̇: so slowly inboard that they stand over the surface but for the travel, they rub the other way.
            y[state::OMEGA] = -sign * 9.4;
            let moving = super::moving(y[state::OMEGA]);
            let f = dynamics.evaluate(t, &y, &moving, None, scratch, &mut dy);
            let travel = 2.0 * phi.cos() * y[state::OMEGA] - SPEED_M_S;
            let way = -travel.signum();
            close(f.contact_n[0], way * rub, "along, strips standing still in space");
        }
    }
}

/// On the nose of a box the brush of the first sense is driven outboard: torque (L sin φ − d) μ F; the other sense the other way.
#[test]
fn verif_spin_sense_at_the_nose_in_closed_form() {
    let phi = angle_for(0.1);
    let d = 0.35;
    for (sense, sign) in [(SpinSense::OutboardAtNose, 1.0), (SpinSense::InboardAtNose, -1.0)] {
        let mut unit = bare_unit(80.0);
        unit.brush.spin_sense = sense;
        let stiffness = unit.brush.rest_stiffness();
        let setup = past_a_box(unit, &box_spec(0.0, 2.0));
        let dynamics = setup.dynamics(0);
        let t = (2.0 * phi.sin() - d) / SPEED_M_S;
        let mut dy = [0.0; state::COUNT];
        let y = super::at(phi, 0.0);
        let f = dynamics.evaluate(t, &y, &modes(Motion::Stick), None, &mut SpanScratch::default(), &mut dy);
        let push = stiffness * flat(0.6, d) * 1.2;
        let rub = 0.35 * push;
        let torque = sign * rub * (2.0 * phi.sin() - d);
        assert!((f.budget.rub_n_m - torque).abs() < 1e-10 && sign * torque > 1.0, "{}", f.budget.rub_n_m);
        // The nose pushes downstream: out, by L cos φ; the lead against the spin.
        let torque = 2.0 * phi.cos() * push - sign * LEAD_M * push;
        assert!((f.budget.push_n_m - torque).abs() < 1e-10 && torque > 1.0, "{}", f.budget.push_n_m);
    }
}

/// Strips pass a point N ω/2π times a second: 24 at 9.4 rad/s.
#[test]
fn verif_wipes_a_second() {
    let rate = bare_unit(80.0).brush.wipe_rate_per_s();
    assert!((rate - 24.0 * 9.4 / TAU).abs() < 1e-12 && rate > 30.0);
}

fn brush(radius_m: f64, force_n: f64, friction: f64, z_m: [f64; 2]) -> Brush {
    Brush {
        radius_m,
        friction,
        z_low_m: z_m[0],
        z_high_m: z_m[1],
        media: Media::stiff(PushBack { depth_m: 0.15, force_n, height_m: 1.2 }),
        ..bare_unit(80.0).brush
    }
}

/// Brush on brush, in closed form: mean of the two flat-board forces at the chord with half stiffness over the shared height, mean friction along the chord,
/// moments by the distance of each spindle from it.
#[test]
fn verif_brush_on_brush_in_closed_form() {
    let one = brush(0.6, 42.0, 0.3, [0.2, 1.4]);
    let two = brush(0.5, 60.0, 0.5, [0.5, 1.8]);
    // Along y, so that nothing hides in an axis; 0.9 m apart; d = 0.45 ± 0.11/1.8.
    let centers = [Vec2::new(0.3, -0.4), Vec2::new(0.3, 0.5)];
    let (d1, d2) = (0.45 + 0.11 / 1.8, 0.45 - 0.11 / 1.8);
    let push =
        0.5 * 0.9 * (0.5 * one.rest_stiffness() * flat(0.6, d1) + 0.5 * two.rest_stiffness() * flat(0.5, d2));
    // Line of centres +y, turned left −x. Slip: difference of speeds along −x, and both spins.
    for (velocities, spins, slips) in [
        ([0.0, 0.0], [9.0, 8.0], 1.0),
        ([0.0, 0.0], [-9.0, -8.0], -1.0),
        ([-6.0, 0.0], [3.0, -4.0], 1.0),
        ([0.0, -6.0], [3.0, -4.0], -1.0),
    ] {
        let speeds = velocities.map(|x| Vec2::new(x, 0.7));
        let [on_one, on_two] = brush_to_brush([&one, &two], centers, speeds, spins).expect("they overlap");
        let rub = 0.4 * push * slips;
        assert!((on_one.force_n - Vec2::new(rub, -push)).norm() < 1e-12 * push, "{:?}", on_one.force_n);
        assert!((on_two.force_n + on_one.force_n).norm() < 1e-12 * push);
        assert!((on_one.moment_n_m + d1 * rub).abs() < 1e-12 * push);
        assert!((on_two.moment_n_m + d2 * rub).abs() < 1e-12 * push && push > 1.0);
    }
    // Opposite spins that roll on each other at the chord do not rub.
    let roll = [8.0, -8.0 * d1 / d2];
    let [on_one, _] = brush_to_brush([&one, &two], centers, [Vec2::zeros(); 2], roll).expect("they overlap");
    assert!(on_one.force_n.x.abs() < 1e-9 && on_one.moment_n_m.abs() < 1e-9);
    let above = brush(0.5, 60.0, 0.5, [1.5, 1.8]);
    assert_eq!(brush_to_brush([&one, &above], centers, [Vec2::zeros(); 2], [9.0, 8.0]), None);
}

/// An arm along the lane points downstream: φ = 90°.
#[test]
fn verif_arm_direction() {
    let (dir, d_dir) = UnitModel::arm_direction(FRAC_PI_2);
    assert!((dir - Vec2::new(1.0, 0.0)).norm() < 1e-15 && (d_dir - Vec2::new(0.0, 1.0)).norm() < 1e-15);
    let (dir, d_dir) = UnitModel::arm_direction(0.0);
    assert_eq!((dir, d_dir), (Vec2::new(0.0, -1.0), Vec2::new(1.0, 0.0)));
}
