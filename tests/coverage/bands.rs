//! Two bands of different outline and height, and the lean that carries the brush sideways with height.

use crate::rig::*;
use brusharm::arm::{BearingOffsets, Side, UnitModel};
use brusharm::geometry::Vec2;
use brusharm::vehicle::Zone;

/// As a share; see the side.
const REACHED: f64 = 2e-5;

const TOP_M: f64 = 1.0;

fn tiers(upper_half_width_m: f64) -> [Tier; 2] {
    [
        Tier { z_m: [0.3, 0.7], half_width_m: 0.9, setback_m: 0.0 },
        Tier { z_m: [0.7, 1.2], half_width_m: upper_half_width_m, setback_m: 0.0 },
    ]
}

fn unit(side: Side, x_m: f64) -> UnitModel {
    let mut unit = locked(side, x_m, 1.25);
    unit.brush.z_high_m = TOP_M;
    unit
}

/// Chord time, ∫ p dt and the spindle's moment per height at distance d, the whole chord on the body.
fn flat(d: f64) -> [f64; 3] {
    let (r, k, a) = (RADIUS_M, stiffness(), (d / RADIUS_M).acos());
    let w = (r * r - d * d).sqrt();
    let push = 2.0 * k * (r * a.sin() - d * a);
    [2.0 * w / SPEED_M_S, push / SPEED_M_S, push * (FRICTION * d + LEAD_M)]
}

/// The most that the spindle gives, N m, to bands of some height each at a distance d: not with the whole chord on them, but while an end of the body
/// cuts off the strips whose push, leading though it does, still turns the spindle on. Sum by the middle rule, the cut moved in steps.
fn most_moment(bands: &[(f64, f64)]) -> f64 {
    let beyond = |cut_m: f64| -> f64 {
        let one = |&(height, d): &(f64, f64)| {
            let w = (RADIUS_M * RADIUS_M - d * d).sqrt();
            let (from, n) = (-cut_m.min(w), 4000);
            let du = (w - from) / f64::from(n);
            let strip = |i: i32| {
                let u = from + (f64::from(i) + 0.5) * du;
                let rho = d.hypot(u);
                (RADIUS_M - rho) * d * d / rho.powi(3) * (FRICTION * d + LEAD_M + u)
            };
            height * stiffness() * du * (0..n).map(strip).sum::<f64>()
        };
        bands.iter().map(one).sum()
    };
    (0..=600).map(|mm| beyond(0.001 * f64::from(mm))).fold(0.0, f64::max)
}

/// Lower body at d = 0.35 over 0.4 m, upper one at d = 0.45 of which the media reach 0.3 m: area, means, force and power weigh by height.
#[test]
fn verif_bands_weigh_by_the_height_the_media_cover() {
    for side in Side::BOTH {
        let setup = pass(vec![unit(side, 0.0)], &body(&tiers(0.8), 0.0));
        let outcome = solve(&setup, &finest());
        assert!(compare_stations(&setup, &outcome, REACHED, |unit, _| Post::of(unit)) > 700);
        let bands = &outcome.coverage.bands;
        assert_eq!(bands.len(), 2);
        assert_eq!((bands[0].z_low_m, bands[0].z_high_m), (0.3, 0.7));
        assert_eq!((bands[1].z_low_m, bands[1].z_high_m), (0.7, TOP_M));
        let heights = [0.4, 0.3];
        let at = [flat(0.35), flat(0.45)];
        let sum = |k: usize| heights[0] * at[0][k] + heights[1] * at[1][k];
        let name = if side == Side::Left { Zone::LeftSide } else { Zone::RightSide };
        let z = zone(&outcome, name);
        near(z.judged_m2, LENGTH_M * 0.7, 1e-9, "judged area");
        near(z.wipes.expect("judged"), sum(0) / 0.7 * wipe_rate_per_s(), REACHED, "mean wipes");
        near(z.mean_pressure_pa.expect("touched"), sum(1) / sum(0), REACHED, "mean pressure");
        near(z.peak_pressure_pa.expect("touched"), stiffness() * 0.25 / 0.35, REACHED, "highest pressure");
        let work = |k: usize, d: f64| RUBS * FRICTION * (SPIN_RAD_S * d - SPEED_M_S) * at[k][1] * heights[k];
        near(
            z.rubbing_work_j_m2.expect("judged"),
            (work(0, 0.35) + work(1, 0.45)) / 0.7,
            REACHED,
            "mean work",
        );
        let timing = timing(&outcome, side);
        let most = most_moment(&[(heights[0], 0.35), (heights[1], 0.45)]);
        assert!(most > 1.002 * sum(2) && most < 1.02 * sum(2), "{most}, {} with the whole chord", sum(2));
        near(timing.spindle_peak_power_w, most * SPIN_RAD_S, 1e-5, "spindle power");
        close(timing.deepest_press_m, 0.25, 1e-9, "deepest press");
    }
}

/// The upper body is washed less than the lower one: between the two numbers of wipes only the upper one is a gap, at its heights.
#[test]
fn verif_a_gap_is_of_one_band() {
    let setup = pass(vec![unit(Side::Left, 0.0), unit(Side::Right, 3.0)], &body(&tiers(0.8), 0.0));
    let wipes = 0.5 * (flat(0.35)[0] + flat(0.45)[0]) * wipe_rate_per_s();
    let outcome = solve(&setup, &brusharm::coverage::CoverageSettings { washed_wipes: wipes, ..finest() });
    for name in [Zone::LeftSide, Zone::RightSide] {
        let washed = zone(&outcome, name).washed_fraction.expect("judged");
        close(washed, 0.4 / 0.7, 0.01, "washed share of a side");
    }
    assert!(
        outcome
            .gaps
            .iter()
            .any(|g| g.band == 1 && g.length_m() > 4.0 && (g.z_low_m, g.z_high_m) == (0.7, 1.0))
    );
}

/// Upper bearing out by a tenth of the span: the brush leans out by 0.1 m per metre of height. At the middle of the lower band, 0.5 m, half a
/// metre under the pivot, it stands 50 mm farther in; at the middle of what the media cover of the upper band, 0.85 m, 15 mm.
#[test]
fn verif_lean_moves_the_brush_by_the_height_of_the_bands_middle() {
    for side in Side::BOTH {
        let mut unit = unit(side, 0.0);
        unit.pivot_height_m = 1.0;
        unit.bearings.upper = BearingOffsets { toward_wall_m: 0.1 * unit.bearings.span_m, downstream_m: 0.0 };
        let setup = pass(vec![unit], &body(&tiers(0.9), 0.0));
        let outcome = solve(&setup, &finest());
        for (band, d) in [(0, 0.35 - 0.05), (1, 0.35 - 0.015)] {
            let s = if side == Side::Left { 2.9 } else { outcome.coverage.bands[band].perimeter_m - 2.9 };
            let there = station(&outcome, band, s);
            near(there.contact_s(), flat(d)[0], REACHED, "contact time");
            near(there.peak_pa(), stiffness() * (RADIUS_M - d) / d, REACHED, "pressure at the foot");
        }
        close(timing(&outcome, side).deepest_press_m, RADIUS_M - 0.30, 1e-9, "deepest press");
        let most = most_moment(&[(0.4, 0.30), (0.3, 0.335)]);
        near(timing(&outcome, side).spindle_peak_power_w, most * SPIN_RAD_S, 1e-5, "spindle power");
        let shifted = |unit: &UnitModel, z: f64| {
            let post = Post::of(unit);
            let out = if unit.side == Side::Left { 1.0 } else { -1.0 };
            Post { c: post.c + Vec2::new(0.0, out * 0.1 * (z - 1.0)), ..post }
        };
        assert!(compare_stations(&setup, &outcome, REACHED, shifted) > 700);
    }
}

/// Along the lane: the lean carries the brush upstream below the pivot when the top leans downstream, and the lower band is met earlier.
#[test]
fn verif_lean_along_the_lane() {
    let mut unit = unit(Side::Right, 0.0);
    unit.pivot_height_m = 1.0;
    unit.bearings.upper = BearingOffsets { toward_wall_m: 0.0, downstream_m: 0.1 * unit.bearings.span_m };
    let setup = pass(vec![unit], &body(&tiers(0.9), 0.0));
    let outcome = solve(&setup, &finest());
    let shifted = |unit: &UnitModel, z: f64| {
        let post = Post::of(unit);
        Post { c: post.c + Vec2::new(0.1 * (z - 1.0), 0.0), ..post }
    };
    assert!(compare_stations(&setup, &outcome, REACHED, shifted) > 700);
    let w = (0.36_f64 - 0.35 * 0.35).sqrt();
    let first = timing(&outcome, Side::Right).time_of(brusharm::coverage::EventName::FirstTouch);
    close(first.expect("touched"), (-0.05 - w) / SPEED_M_S, 1e-6, "first touch, by the lower band");
}
