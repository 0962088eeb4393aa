//! A locked arm beside a flat side: everything is constant along it.
//!
//! The brush centre stands d from the side; the vehicle travels at v. A point is touched over the chord 2w, w = √(R² − d²), so for 2w/v. At
//! u from the foot of the normal ρ = √(d² + u²) and the pressure is K (R − ρ) d/ρ², at the foot K (R − d)/d. Since ∫ d/ρ² du = atan(u/d)
//! and ∫ d/ρ du = d asinh(u/d), ∫ p dt = (2K/v)(R atan(w/d) − d asinh(w/d)). Tips pass the side at ω d downstream at the left brush when
//! it drives outboard at the nose; the side itself runs at v, so they slide at ω d − v; with the other sense at ω d + v.

use crate::rig::*;
use brusharm::arm::{Side, SpinSense};
use brusharm::coverage::{CoverageSettings, Outcome, Station};
use brusharm::vehicle::{FeatureKind, FeaturePlace, FeatureSide, Zone};

/// How near measuring comes at the fine setting, as a share: the worst is 7e-6, most of it from the sum of 200 parts it is held to.
const REACHED: f64 = 2e-5;

const HALF_WIDTH_M: f64 = 0.9;
const D_M: f64 = 0.45;

fn chord_half_m() -> f64 {
    (RADIUS_M * RADIUS_M - D_M * D_M).sqrt()
}

fn pressure_time_pa_s() -> f64 {
    let w = chord_half_m();
    2.0 * stiffness() / SPEED_M_S * (w - D_M * (w / D_M).atan())
}

fn beside(sense: SpinSense, side: Side, settings: &CoverageSettings) -> Outcome {
    let mut unit = locked(side, 0.0, HALF_WIDTH_M + D_M);
    unit.brush.spin_sense = sense;
    solve(&pass(vec![unit], &plain_box(HALF_WIDTH_M)), settings)
}

/// Zone and arclength of the middle of a side: half width, then half the length, from the nose centre counterclockwise; mirrored on the right.
fn own(side: Side, outcome: &Outcome) -> (Zone, f64) {
    let s = HALF_WIDTH_M + 0.5 * LENGTH_M;
    match side {
        Side::Left => (Zone::LeftSide, s),
        Side::Right => (Zone::RightSide, outcome.coverage.bands[0].perimeter_m - s),
    }
}

#[test]
fn verif_contact_time_and_wipes_beside_a_flat_side() {
    for settings in [finest(), CoverageSettings::default()] {
        for side in Side::BOTH {
            let outcome = beside(SpinSense::OutboardAtNose, side, &settings);
            let (zone_name, s) = own(side, &outcome);
            let time = 2.0 * chord_half_m() / SPEED_M_S;
            assert!((time - 3.968_627).abs() < 1e-6, "√(0.6² − 0.45²) = 0.396863 m over 0.1 m/s");
            let there = station(&outcome, 0, s);
            near(there.contact_s(), time, REACHED, "contact time");
            near(there.wipes(), time * 24.0 * 3.0 / std::f64::consts::TAU, REACHED, "wipes");
            near(
                zone(&outcome, zone_name).wipes.expect("judged"),
                time * wipe_rate_per_s(),
                REACHED,
                "mean wipes",
            );
            // Nothing on the far side, nor by the brush that is not there.
            assert_eq!(there.cells[1 - side.index()].contact_s, 0.0);
            let other = if side == Side::Left { Zone::RightSide } else { Zone::LeftSide };
            assert_eq!(zone(&outcome, other).wipes, Some(0.0));
            assert_eq!(zone(&outcome, other).peak_pressure_pa, None);
            assert_eq!(zone(&outcome, other).mean_pressure_pa, None);
        }
    }
}

#[test]
fn verif_pressure_at_the_foot_and_its_mean() {
    for side in Side::BOTH {
        let outcome = beside(SpinSense::OutboardAtNose, side, &finest());
        let (zone_name, s) = own(side, &outcome);
        let there = station(&outcome, 0, s);
        let foot = stiffness() * (RADIUS_M - D_M) / D_M;
        assert!(foot > 100.0, "{foot} Pa");
        near(there.peak_pa(), foot, REACHED, "pressure at the foot");
        near(zone(&outcome, zone_name).peak_pressure_pa.expect("touched"), foot, REACHED, "highest pressure");
        let mean = pressure_time_pa_s() / (2.0 * chord_half_m() / SPEED_M_S);
        near(there.mean_pressure_pa().expect("touched"), mean, REACHED, "mean pressure");
        near(zone(&outcome, zone_name).mean_pressure_pa.expect("touched"), mean, REACHED, "mean of the side");
        near(there.cells[side.index()].pressure_time_pa_s, pressure_time_pa_s(), REACHED, "∫ p dt");
        // The highest pressure is there when the point is beside the spindle: nose at its distance behind the nose.
        let peak_s = there.cells[side.index()].peak_s.expect("touched");
        close(peak_s, 0.5 * LENGTH_M / SPEED_M_S, 0.03, "when");
    }
}

/// Exponent 2: the foot has K₂ (R − d)²/d, and every station agrees with the quadrature of the same law.
#[test]
fn verif_pressure_of_another_exponent() {
    let mut unit = locked(Side::Left, 0.0, HALF_WIDTH_M + D_M);
    unit.brush.exponent = 2.0;
    let k = unit.brush.stiffness();
    let setup = pass(vec![unit], &plain_box(HALF_WIDTH_M));
    let outcome = solve(&setup, &finest());
    let there = station(&outcome, 0, HALF_WIDTH_M + 0.5 * LENGTH_M);
    near(there.peak_pa(), k * 0.15 * 0.15 / D_M, REACHED, "pressure at the foot");
    let touched =
        compare_stations(&setup, &outcome, REACHED, |unit, _| Post { stiffness: k, ..Post::of(unit) });
    assert!(touched > 300);
}

#[test]
fn verif_rubbing_counts_the_travel_in_both_spin_senses() {
    let tip = SPIN_RAD_S * D_M;
    for (sense, slide) in
        [(SpinSense::OutboardAtNose, tip - SPEED_M_S), (SpinSense::InboardAtNose, tip + SPEED_M_S)]
    {
        for side in Side::BOTH {
            let outcome = beside(sense, side, &finest());
            let (zone_name, s) = own(side, &outcome);
            let work = RUBS * FRICTION * slide * pressure_time_pa_s();
            assert!(work > 10.0);
            near(station(&outcome, 0, s).work_j_m2(), work, REACHED, "rubbing work");
            near(
                zone(&outcome, zone_name).rubbing_work_j_m2.expect("judged"),
                work,
                REACHED,
                "work of the side",
            );
            // All stations together: the power of the full chord, 0.7 × 2 μ H |slide| K (R sin a − d a), while the side goes by.
            let a = (D_M / RADIUS_M).acos();
            let power_w =
                2.0 * RUBS * FRICTION * BOX_HEIGHT_M * slide * stiffness() * (RADIUS_M * a.sin() - D_M * a);
            let band = &outcome.coverage.bands[0];
            let on_side = band.stations.iter().filter(|s| s.zone == zone_name);
            let sum: f64 = on_side.map(|s| s.work_j_m2() * band.station_m * band.height_m()).sum();
            near(sum, power_w * LENGTH_M / SPEED_M_S, REACHED, "all stations of the side");
        }
    }
}

/// Without spin the travel alone rubs.
#[test]
fn verif_a_stopped_brush_rubs_by_the_travel_and_wipes_nothing() {
    let mut unit = locked(Side::Left, 0.0, HALF_WIDTH_M + D_M);
    unit.brush.spin_rad_s = 0.0;
    let outcome = solve(&pass(vec![unit], &plain_box(HALF_WIDTH_M)), &finest());
    let there = station(&outcome, 0, HALF_WIDTH_M + 0.5 * LENGTH_M);
    // K₀ without the stiffening of the spin.
    let work = RUBS * FRICTION * SPEED_M_S * pressure_time_pa_s() / 1.25;
    near(there.work_j_m2(), work, REACHED, "work");
    assert_eq!(there.wipes(), 0.0);
    assert!(there.contact_s() > 3.9);
    assert_eq!(zone(&outcome, Zone::LeftSide).washed_fraction, Some(0.0));
}

/// Box with sharp corners, both brushes: nose, sides and tail, station by station.
#[test]
fn verif_every_station_of_a_box() {
    let mut right = locked(Side::Right, 3.0, HALF_WIDTH_M + 0.3);
    right.brush.friction = 0.5;
    let setup = pass(vec![locked(Side::Left, 0.0, HALF_WIDTH_M + D_M), right], &plain_box(HALF_WIDTH_M));
    let outcome = solve(&setup, &finest());
    assert!(compare_stations(&setup, &outcome, REACHED, |unit, _| Post::of(unit)) > 800);
    // The corners of the box where they belong: nose centre, left, tail centre, right.
    for (s, x, y) in [
        (0.45, 0.0, 0.45),
        (1.9, -1.0, 0.9),
        (5.35, -4.0, 0.45),
        (6.25, -4.0, -0.45),
        (8.7, -2.0, -0.9),
        (11.15, 0.0, -0.45),
    ] {
        let there = station(&outcome, 0, s).point_m;
        assert!((there.x - x).hypot(there.y - y) < 0.01, "{there:?} at {s}");
    }
    close(outcome.coverage.bands[0].perimeter_m, 2.0 * (4.0 + 1.8), 1e-9, "perimeter");
}

/// Wipes at the edge of what is asked: a side with a thousandth more than asked is washed whole, with a thousandth less not at all.
#[test]
fn verif_washed_at_the_edge_of_wipes() {
    let wipes = 2.0 * chord_half_m() / SPEED_M_S * wipe_rate_per_s();
    for (asked, washed) in [(wipes * (1.0 - 2.0 * REACHED), 1.0), (wipes * (1.0 + 2.0 * REACHED), 0.0)] {
        let settings = CoverageSettings { washed_wipes: asked, ..finest() };
        let outcome = beside(SpinSense::OutboardAtNose, Side::Left, &settings);
        close(zone(&outcome, Zone::LeftSide).washed_fraction.expect("judged"), washed, 0.02, "washed share");
        near(station(&outcome, 0, 2.9).washed_ratio(&settings), wipes / asked, REACHED, "ratio");
    }
}

/// Wipes *and* work: equal wipes on both sides, work in the ratio of the friction. Between the two, one side is washed; neither when wipes
/// fail, however much work there is.
#[test]
fn verif_both_wipes_and_work_must_reach() {
    let mut right = locked(Side::Right, 3.0, HALF_WIDTH_M + D_M);
    right.brush.friction = 2.0 * FRICTION;
    let setup = pass(vec![locked(Side::Left, 0.0, HALF_WIDTH_M + D_M), right], &plain_box(HALF_WIDTH_M));
    let wipes = 2.0 * chord_half_m() / SPEED_M_S * wipe_rate_per_s();
    let work = RUBS * FRICTION * (SPIN_RAD_S * D_M - SPEED_M_S) * pressure_time_pa_s();
    let edge = 2.0 * REACHED;
    for (asked_wipes, asked_work, want) in [
        (0.5 * wipes, None, [1.0, 1.0]),
        (0.5 * wipes, Some(work * (1.0 - edge)), [1.0, 1.0]),
        (0.5 * wipes, Some(work * (1.0 + edge)), [0.0, 1.0]),
        (0.5 * wipes, Some(2.0 * work * (1.0 - edge)), [0.0, 1.0]),
        (0.5 * wipes, Some(2.0 * work * (1.0 + edge)), [0.0, 0.0]),
        (wipes * (1.0 + edge), Some(0.1 * work), [0.0, 0.0]),
        (wipes * (1.0 - edge), Some(1.5 * work), [0.0, 1.0]),
    ] {
        let settings =
            CoverageSettings { washed_wipes: asked_wipes, washed_work_j_m2: asked_work, ..finest() };
        let outcome = solve(&setup, &settings);
        for (name, washed) in [(Zone::LeftSide, want[0]), (Zone::RightSide, want[1])] {
            let got = zone(&outcome, name).washed_fraction.expect("judged");
            close(got, washed, 0.02, &format!("{name} of {asked_wipes} wipes and {asked_work:?} J/m²"));
        }
        let there = station(&outcome, 0, 2.9);
        let by_wipes = wipes / asked_wipes;
        let want = asked_work.map_or(by_wipes, |asked| by_wipes.min(work / asked));
        near(there.washed_ratio(&settings), want, REACHED, "the lesser of both");
        near(there.washed_ratio_by(Side::Left, &settings), want, REACHED, "by the left brush alone");
        assert_eq!(there.washed_ratio_by(Side::Right, &settings), 0.0);
    }
}

/// Half way through the touch half of it is done, on a side where it comes evenly.
#[test]
fn verif_half_of_the_washing_at_half_time() {
    let settings = finest();
    let outcome = beside(SpinSense::OutboardAtNose, Side::Left, &settings);
    let there = station(&outcome, 0, HALF_WIDTH_M + 0.5 * LENGTH_M);
    let (middle, half) = (0.5 * LENGTH_M / SPEED_M_S, chord_half_m() / SPEED_M_S);
    let whole = there.washed_ratio(&settings);
    assert!(whole > 1.0);
    for (t, share) in
        [(middle - half - 0.1, 0.0), (middle, 0.5), (middle + 0.5 * half, 0.75), (middle + half + 0.1, 1.0)]
    {
        close(there.washed_ratio_at(t, &settings) / whole, share, 0.02, "share of the washing done");
    }
    close(there.last_s().expect("touched"), middle + half, 0.05, "last touch");
}

/// Instants are found, not sampled: a spot that the strips only just reach is touched over a chord far shorter than the vehicle goes between two looks.
#[test]
fn verif_a_graze_between_two_looks_is_not_missed() {
    for (d, look_m) in [(0.59, 0.4), (0.5995, 0.2), (0.45, 0.7)] {
        for side in Side::BOTH {
            let settings = CoverageSettings { look_m, ..CoverageSettings::default() };
            let unit = locked(side, 0.13, HALF_WIDTH_M + d);
            let outcome = solve(&pass(vec![unit], &plain_box(HALF_WIDTH_M)), &settings);
            let chord = 2.0 * (RADIUS_M * RADIUS_M - d * d).sqrt();
            let zone_name = own(side, &outcome).0;
            let time = chord / SPEED_M_S;
            for s in outcome.coverage.bands[0].stations.iter().filter(|s| s.zone == zone_name) {
                near(s.contact_s(), time, 1e-6, "contact time");
                let cell = &s.cells[side.index()];
                let beside_s = (0.13 - s.point_m.x) / SPEED_M_S;
                close(cell.first_s.expect("touched"), beside_s - 0.5 * time, 1e-6, "first touch");
                close(cell.last_s.expect("touched"), beside_s + 0.5 * time, 1e-6, "last touch");
            }
            near(
                zone(&outcome, zone_name).wipes.expect("judged"),
                time * wipe_rate_per_s(),
                1e-5,
                "mean wipes",
            );
        }
    }
}

/// The hub has a law of its own: within R₀ of the spindle K_h (R₀ − ρ) is added. With w₀ = √(R₀² − d²) its part of ∫ p dt is
/// (2K_h/v)(w₀ − d atan(w₀/d)).
#[test]
fn verif_pressure_of_a_hub_that_is_struck() {
    let (d, hub, k_hub) = (0.04, 0.05, brusharm::arm::Brush::HUB_STIFFNESS);
    let settings = CoverageSettings { look_m: 0.001, ..CoverageSettings::default() };
    let outcome =
        solve(&pass(vec![locked(Side::Left, 0.0, HALF_WIDTH_M + d)], &plain_box(HALF_WIDTH_M)), &settings);
    let there = station(&outcome, 0, HALF_WIDTH_M + 0.5 * LENGTH_M);
    let part = |k: f64, radius: f64| {
        let w = (radius * radius - d * d).sqrt();
        2.0 * k / SPEED_M_S * (w - d * (w / d).atan())
    };
    let (strips, struck) = (part(stiffness(), RADIUS_M), part(k_hub, hub));
    assert!(struck > 0.01 * strips, "{struck} beside {strips}");
    near(there.cells[0].pressure_time_pa_s, strips + struck, REACHED, "∫ p dt");
    let foot = (stiffness() * (RADIUS_M - d) + k_hub * (hub - d)) / d;
    near(zone(&outcome, Zone::LeftSide).peak_pressure_pa.expect("touched"), foot, REACHED, "at the foot");
    assert!(timing(&outcome, Side::Left).hub_struck);
    close(timing(&outcome, Side::Left).hub_clearance_m, d - hub, 1e-9, "clearance");
}

/// A bump with sharp corners that stands out e hides the spindle from a spot b behind it once the spindle is more than d b/e ahead of the spot, d its distance from
/// the side; as far ahead of the bump, the same the other way round. Away from it the spot is touched over the whole chord.
#[test]
fn verif_a_bump_hides_what_stands_in_its_shadow() {
    let (d, e, length) = (0.4, 0.2, 0.15);
    let chord = (RADIUS_M * RADIUS_M - d * d).sqrt();
    let mut spec = plain_box(0.9);
    let place = FeaturePlace::Side { behind_nose_m: 1.5, length_m: length, reach_m: e, corner_radius_m: 0.0 };
    spec.features = vec![feature(FeatureKind::Mirror, FeatureSide::Both, [0.3, 1.2], place)];
    for side in Side::BOTH {
        let setup = pass(vec![locked(side, 0.5, 0.9 + d)], &spec);
        let outcome = solve(&setup, &finest());
        let band = &outcome.coverage.bands[0];
        let on_side = |s: &&Station| s.feature.is_none() && (s.point_m.y.abs() - 0.9).abs() < 1e-9;
        let own = |s: &&Station| (s.point_m.y > 0.0) == (side == Side::Left);
        let (mut shadowed, mut free) = (0, 0);
        for there in band.stations.iter().filter(on_side).filter(own) {
            let x = there.point_m.x;
            let (behind, ahead) = (-1.5 - length - x, x + 1.5);
            // The near corner of the bump is what hides.
            let gap = behind.max(ahead);
            if !(0.01..1.2).contains(&gap) {
                continue;
            }
            let seen = chord + chord.min(d * gap / e);
            close(there.contact_s(), seen / SPEED_M_S, 1e-6, &format!("contact time {gap} m off the bump"));
            *(if d * gap / e < chord { &mut shadowed } else { &mut free }) += 1;
        }
        assert!(shadowed > 30 && free > 100, "{shadowed} {free}");
    }
}
