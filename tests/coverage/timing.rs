//! Event times from geometry alone, past a locked arm.
//!
//! Corners rounded with r, centres o at (−r, b − r) and (r − L, b − r) of the vehicle, the brush centre at x_c, d outside the side, so d + r
//! outside o. The brush touches a corner within R + r of its o; the deepest press passes the middle of a corner, where the zone changes,
//! when c stands on its diagonal, d + r ahead of o or behind it.

use crate::rig::*;
use brusharm::arm::Side;
use brusharm::coverage::{EventName, Outcome};
use brusharm::vehicle::{FeatureKind, FeaturePlace, FeatureSide, VehicleSpec};

/// How sharply events are found, s; they are exact to 1e-9.
const REACHED_S: f64 = 1e-6;

const R_CORNER_M: f64 = 0.25;

fn rounded() -> VehicleSpec {
    body(&[Tier { z_m: [0.3, 1.2], half_width_m: 0.9, setback_m: 0.0 }], R_CORNER_M)
}

#[track_caller]
fn event(outcome: &Outcome, side: Side, name: EventName, nose_x_m: f64) {
    let found = timing(outcome, side).events.iter().find(|e| e.name == name);
    let event = found.unwrap_or_else(|| panic!("no event «{}»", name.name()));
    close(event.time_s, nose_x_m / SPEED_M_S, REACHED_S, name.name());
    close(event.vehicle_position_m, nose_x_m, REACHED_S, name.name());
}

#[test]
fn verif_event_times_of_a_locked_arm() {
    for (side, x_c, d) in [(Side::Left, 0.0, 0.3), (Side::Right, 0.7, 0.3), (Side::Left, -0.4, 0.2)] {
        let outcome = solve(&pass(vec![locked(side, x_c, 0.9 + d)], &rounded()), &fine());
        let reach = ((RADIUS_M + R_CORNER_M).powi(2) - (d + R_CORNER_M).powi(2)).sqrt();
        let first = x_c + R_CORNER_M - reach;
        event(&outcome, side, EventName::FirstTouch, first);
        event(&outcome, side, EventName::NoseCorner, x_c - d);
        event(&outcome, side, EventName::TailPasses, LENGTH_M + x_c);
        event(&outcome, side, EventName::TailCorner, LENGTH_M + x_c + d);
        event(&outcome, side, EventName::BackOnTail, LENGTH_M + x_c + d);
        event(&outcome, side, EventName::LostTail, LENGTH_M + x_c - R_CORNER_M + reach);
        event(&outcome, side, EventName::NextNose, first + LENGTH_M + GAP_M);
        assert_eq!(timing(&outcome, side).time_of(EventName::Mirror), None);
        let times: Vec<f64> = timing(&outcome, side).events.iter().map(|e| e.time_s).collect();
        assert!(times.is_sorted());
        // An arm that does not swing meets the tail when the tail's corner has come round: the tail travels d.
        let delay = timing(&outcome, side).chase_delay_s.expect("back on the tail");
        close(delay, d / SPEED_M_S, 2.0 * REACHED_S, "chase delay");
    }
}

/// Off the front third between two bodies: a short one at the nose and a long one from 1.6 m behind it. The brush leaves the first √(R² − d²) past its end and
/// meets the second as much before its nose.
#[test]
fn verif_time_off_the_front_between_two_bodies() {
    let tier = |z_m: [f64; 2]| Tier { z_m, half_width_m: 0.9, setback_m: 0.0 };
    for (d, start_m) in [(0.3, 1.6), (0.4, 1.5)] {
        let mut spec = body(&[tier([0.3, 0.7]), tier([0.7, 1.2])], 0.0);
        spec.body[0].tail_setback_m = LENGTH_M - 0.4;
        spec.body[1].nose_setback_m = start_m;
        let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 0.9 + d)], &spec), &fine());
        let reach = (RADIUS_M.powi(2) - d * d).sqrt();
        let off_m = start_m - 0.4 - 2.0 * reach;
        assert!(off_m > 0.1);
        close(timing(&outcome, Side::Left).off_front_s, off_m / SPEED_M_S, 2.0 * REACHED_S, "off the front");
    }
    // Off from 0.4 m past the first body's end on, but only until a third of the vehicle has passed; wholly behind the third: not at all.
    for (first_m, start_m, off_m) in [(0.4, 2.0, LENGTH_M / 3.0 - 0.4), (1.5, 3.0, 0.0)] {
        let mut spec = body(&[tier([0.3, 0.7]), tier([0.7, 1.2])], 0.0);
        spec.body[0].tail_setback_m = LENGTH_M - first_m;
        spec.body[1].nose_setback_m = start_m;
        let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 1.2)], &spec), &fine());
        let reach = (RADIUS_M.powi(2) - 0.3 * 0.3).sqrt();
        let off_s = if off_m > 0.0 { (off_m - reach) / SPEED_M_S } else { 0.0 };
        close(timing(&outcome, Side::Left).off_front_s, off_s, 2.0 * REACHED_S, "until the third");
    }
    // One body is not left.
    let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 1.2)], &rounded()), &fine());
    assert_eq!(timing(&outcome, Side::Left).off_front_s, 0.0);
}

/// The same by default: events do not hang on how finely the rest is measured.
#[test]
fn verif_event_times_at_the_default_fineness() {
    let settings = brusharm::coverage::CoverageSettings::default();
    let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 1.2)], &rounded()), &settings);
    event(&outcome, Side::Left, EventName::NoseCorner, -0.3);
    event(&outcome, Side::Left, EventName::TailCorner, LENGTH_M + 0.3);
    close(timing(&outcome, Side::Left).chase_delay_s.expect("back"), 1.5, REACHED_S, "chase delay");
}

/// 0.58 m outside the side the brush has left the corner before its deepest press comes to the tail: √2 (d + r) > R + r.
#[test]
fn verif_no_chase_delay_when_the_tail_is_never_pressed() {
    let d = 0.58;
    let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 0.9 + d)], &rounded()), &fine());
    let unit = timing(&outcome, Side::Left);
    assert_eq!(unit.chase_delay_s, None);
    assert_eq!((unit.time_of(EventName::BackOnTail), unit.time_of(EventName::TailCorner)), (None, None));
    let reach = ((RADIUS_M + R_CORNER_M).powi(2) - (d + R_CORNER_M).powi(2)).sqrt();
    event(&outcome, Side::Left, EventName::LostTail, LENGTH_M - R_CORNER_M + reach);
    event(&outcome, Side::Left, EventName::TailPasses, LENGTH_M);
}

/// Where the brush is on the tail already when the tail passes, it has nothing to chase: an upper body that ends 0.35 m short of a lower one too
/// narrow to be touched. Its corner is rounded at L − 0.35 + d, 0.05 m before the tail passes, and left at L − 0.35 − r + √((R + r)² − (d + r)²),
/// 0.048 m after.
#[test]
fn verif_no_delay_where_the_brush_is_on_the_tail_already() {
    let tiers = [
        Tier { z_m: [0.3, 0.7], half_width_m: 0.55, setback_m: 0.0 },
        Tier { z_m: [0.7, 1.2], half_width_m: 0.9, setback_m: 0.35 },
    ];
    let d = 0.3;
    let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 0.9 + d)], &body(&tiers, R_CORNER_M)), &fine());
    let reach = ((RADIUS_M + R_CORNER_M).powi(2) - (d + R_CORNER_M).powi(2)).sqrt();
    event(&outcome, Side::Left, EventName::TailCorner, LENGTH_M - 0.05);
    event(&outcome, Side::Left, EventName::TailPasses, LENGTH_M);
    event(&outcome, Side::Left, EventName::BackOnTail, LENGTH_M);
    event(&outcome, Side::Left, EventName::LostTail, LENGTH_M - 0.35 - R_CORNER_M + reach);
    close(
        timing(&outcome, Side::Left).chase_delay_s.expect("on the tail"),
        0.0,
        2.0 * REACHED_S,
        "chase delay",
    );
}

/// The same with an upper body that ends 0.5 m short: its tail is pressed from L − 0.2 on and left at L − 0.102, before the tail passes. After
/// that nothing is pressed: there is no chase.
#[test]
fn verif_a_tail_left_before_the_tail_passes_is_no_chase() {
    let tiers = [
        Tier { z_m: [0.3, 0.7], half_width_m: 0.55, setback_m: 0.0 },
        Tier { z_m: [0.7, 1.2], half_width_m: 0.9, setback_m: 0.5 },
    ];
    let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 1.2)], &body(&tiers, R_CORNER_M)), &fine());
    event(&outcome, Side::Left, EventName::TailCorner, LENGTH_M - 0.2);
    event(&outcome, Side::Left, EventName::TailPasses, LENGTH_M);
    let unit = timing(&outcome, Side::Left);
    assert_eq!((unit.chase_delay_s, unit.time_of(EventName::BackOnTail)), (None, None));
}

/// A mirror that stands out e, its front a behind the nose: its front corner comes within R at √(R² − (d − e)²) ahead of the brush centre.
#[test]
fn verif_the_mirror_is_met_at_its_front_corner() {
    for (side, sides) in [(Side::Left, FeatureSide::Left), (Side::Right, FeatureSide::Right)] {
        let mut spec = rounded();
        let place = |a: f64| FeaturePlace::Side {
            behind_nose_m: a,
            length_m: 0.12,
            reach_m: 0.15,
            corner_radius_m: 0.0,
        };
        // Another feature stands before it: what is asked for is the mirror.
        spec.features = vec![
            feature(FeatureKind::Step, sides, [0.3, 0.5], place(0.8)),
            feature(FeatureKind::Mirror, sides, [0.8, 1.0], place(1.5)),
        ];
        let units = vec![locked(Side::Left, 0.2, 1.3), locked(Side::Right, 3.2, 1.3)];
        let x_c = if side == Side::Left { 0.2 } else { 3.2 };
        let outcome = solve(&pass(units, &spec), &fine());
        let ahead = (RADIUS_M * RADIUS_M - (0.4_f64 - 0.15).powi(2)).sqrt();
        event(&outcome, side, EventName::Mirror, x_c + 1.5 - ahead);
        let other = if side == Side::Left { Side::Right } else { Side::Left };
        assert_eq!(timing(&outcome, other).time_of(EventName::Mirror), None);
    }
}

/// An arm that never leaves its rest has settled at the latest when the vehicle has left it. With the next vehicle close behind, the record goes
/// on past the next nose: the margin ends there all the same.
#[test]
fn verif_an_arm_that_never_moves_is_settled() {
    for (gap_m, least_s) in [(GAP_M, 5.0), (1.0, 0.9)] {
        let mut setup = pass(vec![locked(Side::Left, 0.0, 1.2)], &rounded());
        setup.gap_m = gap_m;
        let outcome = solve(&setup, &fine());
        let unit = timing(&outcome, Side::Left);
        let [lost, next] =
            [EventName::LostTail, EventName::NextNose].map(|e| unit.time_of(e).expect("happens"));
        let margin = unit.recovery_margin_s.expect("an arm at rest is settled");
        assert!(margin >= next - lost && next - lost > least_s, "{margin} s, free for {} s", next - lost);
        close(margin, next - unit.time_of(EventName::Settled).expect("settled"), 1e-9, "recovery margin");
    }
}
