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

/// The most that the spindle gives, N m, and what rubs meanwhile, W, to bands of some height each at a distance d: not with the whole chord on them, but while an end of the body
/// cuts off the strips whose push, leading though it does, still turns the spindle on. Sum by the middle rule, the cut moved in steps.
fn most_moment(bands: &[(f64, f64)]) -> [f64; 2] {
    let beyond = |cut_m: f64| -> [f64; 2] {
        let one = |&(height, d): &(f64, f64)| {
            let w = (RADIUS_M * RADIUS_M - d * d).sqrt();
            let (from, n) = (-cut_m.min(w), 4000);
            let du = (w - from) / f64::from(n);
            let (mut push, mut moment) = (0.0, 0.0);
            for i in 0..n {
                let u = from + (f64::from(i) + 0.5) * du;
                let rho = d.hypot(u);
                let strip = (RADIUS_M - rho) * d * d / rho.powi(3);
                push += strip;
                moment += strip * (FRICTION * d + LEAD_M + u);
            }
            let slide = SPIN_RAD_S * d - SPEED_M_S;
            [moment, RUBS * FRICTION * push * slide].map(|sum| height * stiffness() * du * sum)
        };
        bands.iter().map(one).fold([0.0; 2], |a, b| [a[0] + b[0], a[1] + b[1]])
    };
    let cuts = (0..=600).map(|mm| beyond(0.001 * f64::from(mm)));
    cuts.max_by(|a, b| a[0].total_cmp(&b[0])).expect("cuts")
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
        let [most, rubs_w] = most_moment(&[(heights[0], 0.35), (heights[1], 0.45)]);
        assert!(most > 1.002 * sum(2) && most < 1.02 * sum(2), "{most}, {} with the whole chord", sum(2));
        near(timing.spindle_peak_power_w, most * SPIN_RAD_S, 1e-5, "spindle power");
        // What does not rub flexes strips; the test brush stirs no air.
        let peak = timing.spindle_peak;
        near(peak.rubbing_w, rubs_w, 1e-3, "rubbing");
        near(peak.flexing_w, most * SPIN_RAD_S - rubs_w, 1e-3, "flexing");
        assert_eq!(peak.air_w, 0.0);
        close(timing.peak_indentation_m, 0.25, 1e-9, "deepest press");
    }
}

/// With nothing in reach the spindle gives what stirs the air, D ω³; beside a side that much more.
#[test]
fn verif_stirred_air_is_told_apart() {
    let drag = 0.14;
    let mut windy = unit(Side::Left, 0.0);
    windy.brush.air_drag_n_m_s2 = drag;
    let told = |unit: &UnitModel| {
        let outcome = solve(&pass(vec![unit.clone()], &body(&tiers(0.8), 0.0)), &finest());
        timing(&outcome, Side::Left).spindle_peak
    };
    let (still, stirred) = (told(&unit(Side::Left, 0.0)), told(&windy));
    near(stirred.air_w, drag * SPIN_RAD_S.powi(3), 1e-9, "air");
    // The air presses the arm a hair farther onto its bumper.
    near(stirred.total_w() - stirred.air_w, still.total_w(), 2e-3, "strips");
    windy.pivot_m.y += 1.0;
    let free = told(&windy);
    assert_eq!((free.rubbing_w, free.flexing_w), (0.0, 0.0));
    near(free.total_w(), drag * SPIN_RAD_S.powi(3), 1e-9, "free in the air");
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
        close(timing(&outcome, side).peak_indentation_m, RADIUS_M - 0.30, 1e-9, "deepest press");
        let [most, _] = most_moment(&[(0.4, 0.30), (0.3, 0.335)]);
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
