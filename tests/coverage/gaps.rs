//! Gaps of known ends.
//!
//! Box with half width b, brush centre at y = c > b. The flat nose is seen only until it reaches the brush centre: a point of it at y is
//! touched from x_c − √(R² − (c − y)²) to x_c, so for √(R² − (c − y)²)/v. It has W wipes where (c − y)² ≤ R² − (W v 2π/Nω)²: the gap on
//! the nose ends at y = c − √(R² − (W v 2π/Nω)²). The tail, seen from x_c on, is its mirror image. Points of the sides all have 2√(R² − d²)/v.

use crate::rig::*;
use brusharm::arm::Side;
use brusharm::coverage::{CoverageSettings, Outcome};
use brusharm::vehicle::Zone;

/// How near the ends of gaps come, m: they are found to a micrometre; the worst here is 1e-11 m.
const REACHED_M: f64 = 1e-6;

const HALF_WIDTH_M: f64 = 0.4;
/// How far the left and the right brush centre stand out, m.
const OUT_M: [f64; 2] = [0.85, 0.75];

/// Time in contact that `wipes` take, times v: how far the vehicle travels meanwhile, m.
fn travel_m(wipes: f64) -> f64 {
    wipes / wipe_rate_per_s() * SPEED_M_S
}

/// y at which a brush that far out just gives so many wipes on nose and tail, m from the centreline.
fn edge_m(out_m: f64, wipes: f64) -> f64 {
    out_m - (RADIUS_M * RADIUS_M - travel_m(wipes).powi(2)).sqrt()
}

fn narrow(wipes: f64) -> (Outcome, CoverageSettings) {
    let settings = CoverageSettings { washed_wipes: wipes, ..fine() };
    let units = vec![locked(Side::Left, 0.0, OUT_M[0]), locked(Side::Right, 3.0, OUT_M[1])];
    (solve(&pass(units, &plain_box(HALF_WIDTH_M)), &settings), settings)
}

#[test]
fn verif_gap_ends_at_nose_and_tail_to_the_millimetre() {
    let wipes = 12.0;
    let (outcome, _) = narrow(wipes);
    // 12 wipes take 1.0472 s, in which the vehicle travels 0.20944 m: √(0.36 − 0.043865) = 0.562259 m.
    close(travel_m(wipes), 0.209_44, 1e-5, "travel");
    let [left, right] = OUT_M.map(|out| edge_m(out, wipes));
    close(left, 0.287_741, 1e-6, "left edge");
    assert_eq!(outcome.gaps.len(), 2, "{:?}", outcome.gaps);
    // Arclength is y on the left half of the nose and −y on its right half; on the tail it runs back from 2b + L = half the perimeter.
    let nose = outcome.gaps.iter().find(|g| g.zone == Zone::Nose).expect("a gap on the nose");
    close(nose.start_m, -right, REACHED_M, "start on the nose");
    close(nose.end_m, left, REACHED_M, "end on the nose");
    let half = LENGTH_M + 2.0 * HALF_WIDTH_M;
    let tail = outcome.gaps.iter().find(|g| g.zone == Zone::Tail).expect("a gap on the tail");
    close(tail.start_m, half - left, REACHED_M, "start on the tail");
    close(tail.end_m, half + right, REACHED_M, "end on the tail");
    for (gap, name) in [(nose, Zone::Nose), (tail, Zone::Tail)] {
        close(gap.length_m(), left + right, 2.0 * REACHED_M, "length");
        close(zone(&outcome, name).longest_gap_m.expect("a gap"), left + right, 2.0 * REACHED_M, "longest");
        let washed = zone(&outcome, name).washed_fraction.expect("judged");
        close(washed, 1.0 - (left + right) / 0.8, 2.0 * REACHED_M / 0.8, "washed share");
        assert_eq!((gap.z_low_m, gap.z_high_m, gap.lowest_ratio), (0.3, 1.2, 0.0));
        // Short by: 1 in the strip that nobody touches, and from there 1 − √(R² − u²)/travel up to the edge; ∫√(R² − u²) du in closed form.
        let area = |u: f64| 0.5 * (u * (0.36 - u * u).sqrt() + 0.36 * (u / 0.6).asin());
        let part = |out: f64, edge: f64| edge - (area(0.6) - area(out - edge)) / travel_m(wipes);
        let short = (part(OUT_M[0], left) + part(OUT_M[1], right)) / (left + right);
        assert!(short > 0.5 && short < 1.0);
        close(gap.short_by, short, 5e-5, "short by");
    }
    for side in [Zone::LeftSide, Zone::RightSide] {
        assert_eq!(zone(&outcome, side).longest_gap_m.unwrap_or(0.0), 0.0);
        close(zone(&outcome, side).washed_fraction.expect("judged"), 1.0, 1e-3, "washed side");
    }
}

/// The gap widens by the closed form with what is asked.
#[test]
fn verif_gap_ends_follow_what_is_asked() {
    for wipes in [4.0, 16.0, 20.0] {
        let (outcome, _) = narrow(wipes);
        let nose = outcome.gaps.iter().find(|g| g.zone == Zone::Nose).expect("a gap on the nose");
        close(nose.end_m, edge_m(OUT_M[0], wipes), REACHED_M, "end on the nose");
        close(nose.start_m, -edge_m(OUT_M[1], wipes), REACHED_M, "start on the nose");
    }
}

/// A side short of what is asked: 2√(R² − d²)/v on every point of it. The gap is the side (and what of nose and tail has less).
#[test]
fn verif_how_far_short_a_side_is() {
    let wipes = 60.0;
    let (outcome, settings) = narrow(wipes);
    let ratio = |d: f64| 2.0 * (0.36 - d * d).sqrt() / travel_m(wipes);
    let [left, right] = OUT_M.map(|out| ratio(out - HALF_WIDTH_M));
    assert!(left > 0.7 && left < 0.8 && right < 1.0, "{left} {right}");
    for (s, want) in [(1.5, left), (8.0, right)] {
        close(station(&outcome, 0, s).washed_ratio(&settings), want, 0.005, "ratio of a side");
    }
    // Nowhere on the box is more: one gap all round, nothing touched in its middle.
    let total: f64 = outcome.gaps.iter().map(brusharm::coverage::Gap::length_m).sum();
    close(total, outcome.coverage.bands[0].perimeter_m, 1e-9, "all of it");
    let lowest = outcome.gaps.iter().map(|g| g.lowest_ratio).fold(1.0, f64::min);
    assert_eq!(lowest, 0.0);
    for z in &outcome.zones {
        assert_eq!(z.washed_fraction, Some(0.0));
    }
    // Short by, over the whole perimeter: sides 1 − ratio over L, nose and tail as above.
    let area = |u: f64| 0.5 * (u * (0.36 - u * u).sqrt() + 0.36 * (u / 0.6).asin());
    let end = |out: f64| (area(0.6) - area(out - HALF_WIDTH_M)) / travel_m(wipes);
    let done = LENGTH_M * (left + right) + 2.0 * (end(OUT_M[0]) + end(OUT_M[1]));
    let short: f64 = outcome.gaps.iter().map(|g| g.short_by * g.length_m()).sum();
    close(short / total, 1.0 - done / total, 2e-5, "short by");
}

/// One brush alone: the other side is one gap from where it ends on the nose to where it ends on the tail, across the nose centre.
#[test]
fn verif_gap_of_a_side_without_a_unit() {
    let wipes = 12.0;
    let settings = CoverageSettings { washed_wipes: wipes, ..fine() };
    let setup = pass(vec![locked(Side::Left, 0.0, OUT_M[0])], &plain_box(HALF_WIDTH_M));
    let outcome = solve(&setup, &settings);
    let edge = edge_m(OUT_M[0], wipes);
    let half = LENGTH_M + 2.0 * HALF_WIDTH_M;
    let total: f64 = outcome.gaps.iter().map(brusharm::coverage::Gap::length_m).sum();
    close(total, half + 2.0 * edge, 2.0 * REACHED_M, "length");
    let (start, end) = outcome
        .gaps
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), g| (a.min(g.start_m), b.max(g.end_m)));
    close(
        start,
        half - edge - 2.0 * half,
        REACHED_M,
        "start behind the tail's centre, counted from the nose",
    );
    close(end, edge, REACHED_M, "end");
    for name in [Zone::Nose, Zone::Tail] {
        let washed = zone(&outcome, name).washed_fraction.expect("judged");
        close(washed, (HALF_WIDTH_M - edge) / (2.0 * HALF_WIDTH_M), 2.0 * REACHED_M, "washed share");
    }
}

/// A brush out of reach: everything judged is missed, whole.
#[test]
fn verif_untouched_vehicle_is_all_gap() {
    let outcome = solve(&pass(vec![locked(Side::Left, 0.0, 3.0)], &plain_box(HALF_WIDTH_M)), &fine());
    let total: f64 = outcome.gaps.iter().map(brusharm::coverage::Gap::length_m).sum();
    close(total, 9.6, 1e-9, "all of the perimeter");
    for gap in &outcome.gaps {
        close(gap.short_by, 1.0, 1e-12, "all of it missing");
        assert_eq!(gap.lowest_ratio, 0.0);
    }
    for (name, area) in [(Zone::Nose, 0.8), (Zone::LeftSide, 4.0), (Zone::Tail, 0.8), (Zone::RightSide, 4.0)]
    {
        let z = zone(&outcome, name);
        close(z.judged_m2, area * BOX_HEIGHT_M, 1e-9, "judged area");
        assert_eq!(z.washed_fraction, Some(0.0));
        assert_eq!((z.mean_pressure_pa, z.peak_pressure_pa, z.rubbing_work_j_m2), (None, None, Some(0.0)));
    }
    let unit = timing(&outcome, Side::Left);
    assert_eq!((unit.chase_delay_s, unit.peak_indentation_m, unit.spindle_peak_power_w), (None, 0.0, 0.0));
    assert!(!unit.hub_struck && outcome.feature_loads.is_empty());
}

/// Of both brushes together a point may be washed that neither washes alone. Half width 0.35, brushes 0.55 and 0.50 out: asked what takes
/// 1.9 s, the left one alone ends at y = 0.0857 and the right one at −0.0357; in between both together give at least that.
#[test]
fn verif_two_brushes_add_up_at_the_centre() {
    let wipes = 1.9 * wipe_rate_per_s();
    let settings = CoverageSettings { washed_wipes: wipes, ..fine() };
    let units = || [locked(Side::Left, 0.0, 0.55), locked(Side::Right, 3.0, 0.50)];
    let both = solve(&pass(units().to_vec(), &plain_box(0.35)), &settings);
    assert!(both.gaps.is_empty(), "{:?}", both.gaps);
    let t = |out: f64| (0.36 - out * out).sqrt() / SPEED_M_S;
    for s in [0.0, LENGTH_M + 0.7] {
        let there = station(&both, 0, s);
        near(there.wipes(), (t(0.55) + t(0.50)) * wipe_rate_per_s(), 0.02, "wipes at the centre");
        let by = |side| there.washed_ratio_by(side, &settings);
        assert!(by(Side::Left) < 1.0 && by(Side::Right) < 1.0 && there.washed_ratio(&settings) > 1.0);
    }
    let left_alone = solve(&pass(vec![units()[0].clone()], &plain_box(0.35)), &settings);
    let end = left_alone.gaps.iter().map(|g| g.end_m).fold(f64::NEG_INFINITY, f64::max);
    close(end, 0.55 - (0.36_f64 - 0.38 * 0.38).sqrt(), REACHED_M, "end of the left one alone");
}

/// The same two brushes, asked what takes 2.2 s: where one of them just reaches, 0.45 m in from the other, that other gives √(0.36 − 0.2025)/v =
/// 1.984 s, 0.902 of it. Everything there is touched: the least of a gap lies inside it and is not nothing.
#[test]
fn verif_the_lowest_ratio_in_a_gap() {
    let settings = CoverageSettings { washed_wipes: 2.2 * wipe_rate_per_s(), ..fine() };
    let units = vec![locked(Side::Left, 0.0, 0.55), locked(Side::Right, 3.0, 0.50)];
    let outcome = solve(&pass(units, &plain_box(0.35)), &settings);
    let nose: Vec<_> = outcome.gaps.iter().filter(|g| g.zone == Zone::Nose).collect();
    assert_eq!(nose.len(), 2, "{nose:?}");
    for gap in nose {
        // The least is found, not the least station told.
        close(gap.lowest_ratio, (0.36_f64 - 0.2025).sqrt() / (2.2 * SPEED_M_S), 1e-5, "lowest ratio");
        assert!(gap.short_by > 0.0 && gap.short_by < 1.0 - gap.lowest_ratio, "{gap:?}");
    }
}

/// A body set back by 0.5 m above a longer one of the same width: what of its nose and tail lies deeper than 0.25 m inside the outline of the
/// other (|y| < b − 0.25) is not judged; neither its area nor its gap counts.
#[test]
fn verif_surfaces_far_behind_are_not_judged() {
    let tier = |z_m, setback_m| Tier { z_m, half_width_m: HALF_WIDTH_M, setback_m };
    let spec = body(&[tier([0.3, 0.7], 0.0), tier([0.7, 1.2], 0.5)], 0.0);
    let units = vec![locked(Side::Left, 0.0, OUT_M[0]), locked(Side::Right, 3.0, OUT_M[1])];
    let setup = pass(units, &spec);
    let settings = CoverageSettings { washed_wipes: 12.0, ..fine() };
    let outcome = solve(&setup, &settings);
    // On the upper nose 2 × 0.25 m are judged.
    let one = 1e-9;
    close(zone(&outcome, Zone::Nose).judged_m2, 0.8 * 0.4 + 0.5 * 0.5, one, "judged nose");
    close(zone(&outcome, Zone::Tail).judged_m2, 0.8 * 0.4 + 0.5 * 0.5, one, "judged tail");
    close(zone(&outcome, Zone::LeftSide).judged_m2, 4.0 * 0.4 + 3.0 * 0.5, 1e-9, "judged side");
    let upper: Vec<_> = outcome.gaps.iter().filter(|g| g.band == 1).collect();
    let [left, right] = OUT_M.map(|out| edge_m(out, 12.0));
    // Judged and short of wipes: from |y| = 0.15 to the edge of each brush, on nose and tail.
    assert_eq!(upper.len(), 4, "{upper:?}");
    let total: f64 = upper.iter().map(|g| g.length_m()).sum();
    close(total, 2.0 * (left - 0.15 + right - 0.15), 1e-5, "judged gaps");
    let end = upper.iter().filter(|g| g.zone == Zone::Nose).map(|g| g.end_m).find(|e| *e > 0.0 && *e < 1.0);
    close(end.expect("on the left half of the nose"), left, REACHED_M, "its end");
    // The longest gap of the nose is that of the lower body.
    close(zone(&outcome, Zone::Nose).longest_gap_m.expect("a gap"), left + right, 2.0 * REACHED_M, "longest");
    // With a depth that takes in everything there is one gap across each.
    let all = solve(&setup, &CoverageSettings { judged_depth_m: 0.6, ..settings });
    close(zone(&all, Zone::Nose).judged_m2, 0.8 * 0.9, 1e-9, "judged nose");
    assert_eq!(all.gaps.iter().filter(|g| g.band == 1).count(), 2);
}
