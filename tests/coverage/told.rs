//! What is told of a spot and of an instant: when a spot was touched, how far from it the strips stayed, which phase a brush is in and how the race
//! behind the tail ends. Past a locked arm all of it is geometry; for an arm that swings it is read off the motion again, finely.

use crate::common::machine;
use crate::rig::*;
use brusharm::arm::Side;
use brusharm::coverage::{
    CoverageSettings, Criteria, Outcome, Phase, TouchAnswer, explain, key_instant, touch_answer,
};
use brusharm::geometry::Vec2;
use brusharm::pass::{PassSetup, Record, run};
use brusharm::sentences::{touched, why};
use brusharm::units::UnitSystem;

const HALF_WIDTH_M: f64 = 0.9;
const D_M: f64 = 0.45;

fn beside(side: Side) -> (PassSetup, Record, Outcome, CoverageSettings) {
    let setup = pass(vec![locked(side, 0.5, HALF_WIDTH_M + D_M)], &plain_box(HALF_WIDTH_M));
    let (record, outcome) = solve_with(&setup, &finest(), &Criteria::default());
    (setup, record, outcome, finest())
}

/// What is said of the station nearest to `s_m`, and that station's arclength.
fn asked(case: &(PassSetup, Record, Outcome, CoverageSettings), s_m: f64) -> (TouchAnswer, Vec2) {
    let (setup, record, outcome, settings) = case;
    let stations = &outcome.coverage.bands[0].stations;
    let index = (0..stations.len())
        .min_by(|a, b| (stations[*a].s_m - s_m).abs().total_cmp(&(stations[*b].s_m - s_m).abs()))
        .expect("stations");
    let answer = touch_answer(setup, record, outcome, settings, (0, index));
    (answer.expect("there is such a spot"), stations[index].point_m)
}

/// A spot of the side is touched from half a chord before it stands beside the spindle, and pressed hardest there.
#[test]
fn verif_a_touched_spot_tells_when() {
    for side in Side::BOTH {
        let case = beside(side);
        let (answer, point) =
            asked(&case, if side == Side::Left { 2.9 } else { case.2.coverage.bands[0].perimeter_m - 2.9 });
        let beside_s = (0.5 - point.x) / SPEED_M_S;
        let chord_s = (RADIUS_M * RADIUS_M - D_M * D_M).sqrt() / SPEED_M_S;
        let TouchAnswer::Touched { by, first_s, peak_s, .. } = &answer else { panic!("{answer:?}") };
        assert_eq!(*by, side);
        close(*first_s, beside_s - chord_s, 1e-6, "first touch");
        close(*peak_s, beside_s, 0.03, "highest pressure");
        assert_eq!(answer.instant_s(), *peak_s);
        // 24 strips at 3 rad/s over 3.9686 s: 45 wipes.
        let want = format!("washed: 45 wipes in 3.97 s of contact, hardest by the {} brush", side.name());
        assert_eq!(touched(&answer, UnitSystem::Si), want);
        let (setup, record, outcome, settings) = &case;
        let asked_more = CoverageSettings { washed_wipes: 60.0, ..*settings };
        let index = outcome.coverage.bands[0].stations.iter().position(|s| s.point_m == point).expect("it");
        let answer = touch_answer(setup, record, outcome, &asked_more, (0, index)).expect("spot");
        // 45.478 of 60, rounded down.
        assert_eq!(
            touched(&answer, UnitSystem::Si),
            "touched, not washed: 45 wipes in 3.97 s of contact, 75 % of what is asked"
        );
        assert_eq!(touch_answer(setup, record, outcome, settings, (1, 0)), None);
    }
}

/// A spot of the far side is never touched: the rim is nearest when the spot passes the spindle, and then as far off as the lane is wide between
/// them less the radius.
#[test]
fn verif_a_missed_spot_tells_by_how_much() {
    for side in Side::BOTH {
        let case = beside(side);
        let perimeter_m = case.2.coverage.bands[0].perimeter_m;
        let (answer, point) = asked(&case, if side == Side::Left { perimeter_m - 2.9 } else { 2.9 });
        let TouchAnswer::Never { by, nearest_s, short_m, .. } = &answer else { panic!("{answer:?}") };
        assert_eq!(*by, side);
        close(*nearest_s, (0.5 - point.x) / SPEED_M_S, 1e-4, "nearest");
        close(*short_m, 2.0 * HALF_WIDTH_M + D_M - RADIUS_M, 1e-9, "short");
        assert_eq!(answer.instant_s(), *nearest_s);
        // 2 · 0.9 + 0.45 − 0.6 m; beside the side nothing happens within a second.
        let want = format!("never reached: the {} brush was 1.650 m short at its nearest", side.name());
        assert_eq!(touched(&answer, UnitSystem::Si), want);
        // The middle of the nose is nearest at the first touch of nothing else: as it passes the spindle, 0.75 m off; the nose corner turns
        // when the spindle stands on its diagonal, D before.
        let (answer, _) = asked(&case, if side == Side::Left { perimeter_m - 0.3 } else { 0.3 });
        let TouchAnswer::Never { nearest_s, short_m, .. } = &answer else { panic!("{answer:?}") };
        close(*nearest_s, 0.5 / SPEED_M_S, 1e-4, "nearest to the nose");
        close(*short_m, HALF_WIDTH_M + D_M + 0.3 - RADIUS_M, 6e-3, "short of the nose");
    }
    // Of two brushes the nearer one is named.
    let units = vec![locked(Side::Left, 0.5, 1.35), locked(Side::Right, 0.5, 1.8)];
    let setup = pass(units, &plain_box(HALF_WIDTH_M));
    let (record, outcome) = solve_with(&setup, &finest(), &Criteria::default());
    let case = (setup, record, outcome, finest());
    let perimeter_m = case.2.coverage.bands[0].perimeter_m;
    for (s_m, nearest, short_m) in
        [(perimeter_m - 2.9, Side::Right, 0.3), (perimeter_m - 0.002, Side::Left, 0.75)]
    {
        let (answer, _) = asked(&case, s_m);
        let TouchAnswer::Never { by, short_m: got_m, .. } = &answer else { panic!("{answer:?}") };
        assert_eq!(*by, nearest);
        close(*got_m, short_m, 0.02, "short");
    }
}

/// With a tail that nothing reaches the key instant is when the last spot beside the gap is left; with nothing touched at all, half time.
#[test]
fn verif_the_key_instant_is_the_last_touch_beside_the_gap() {
    let (setup, record, outcome, settings) = beside(Side::Left);
    let gap = outcome.gaps.first().expect("the right side is not washed");
    let told_s = key_instant(&setup, &record, &outcome, &settings);
    // The gap begins on the tail where the strips no longer reach; the spot one station before it is left when the brush leaves it.
    let band = &outcome.coverage.bands[0];
    let before = &band.stations[band.station_at(gap.start_m - band.station_m)];
    close(told_s, before.last_s().expect("touched"), 1e-9, "last touch beside the gap");
    assert!(told_s > LENGTH_M / SPEED_M_S);
    let far = pass(vec![locked(Side::Left, 0.5, 2.6)], &plain_box(HALF_WIDTH_M));
    let (record, outcome) = solve_with(&far, &finest(), &Criteria::default());
    let told_s = key_instant(&far, &record, &outcome, &settings);
    // Nothing is touched: one gap all round, told when its middle (that of the tail) is nearest.
    close(told_s, (LENGTH_M + 0.5) / SPEED_M_S, 0.1, "nearest to the middle of the gap");
}

/// An arm that does not swing stands still where nothing touches it and rides the side between, pressed in by what the side stands within its reach.
#[test]
fn verif_phases_past_a_locked_arm() {
    for side in Side::BOTH {
        let (setup, record, ..) = beside(side);
        let said = |nose_x_m: f64| explain(&setup, &record, nose_x_m / SPEED_M_S).remove(0);
        let reach = (RADIUS_M * RADIUS_M - D_M * D_M).sqrt();
        // The sharp corner is the nearest point until the spindle stands beside it; both faces meet there.
        for (nose_x_m, phase) in [
            (0.5 - reach - 0.05, Phase::Stuck),
            (0.5 + 0.01, Phase::Side),
            (0.5 + 2.0, Phase::Side),
            (0.5 + LENGTH_M + reach + 0.05, Phase::Stuck),
        ] {
            let got = said(nose_x_m);
            assert_eq!((got.side, got.phase), (side, phase), "{nose_x_m}: {}", why(&got, UnitSystem::Si));
            close(got.instant.t_s, nose_x_m / SPEED_M_S, 1e-9, "instant");
        }
        let got = said(0.5 + 2.0);
        close(got.instant.press_m, RADIUS_M - D_M, 1e-9, "press");
        assert!(
            why(&got, UnitSystem::Si)
                .contains(&format!("The {} brush rides the side pressed in 150 mm", side.name()))
        );
    }
}

/// An arm that swings behind the tail: what is said of the middle of the tail, at every instant of the chase, is what the motion comes to. Read
/// again from the record every millisecond.
#[test]
fn verif_the_race_behind_the_tail_is_told_as_it_ends() {
    let mut seen = [0; 4];
    for (throughput, offset_m) in [(20.0, 0.0), (60.0, 0.0), (140.0, -0.06)] {
        let mut setup = machine::setup(&machine::plain_spec(1), throughput);
        setup.train.iter_mut().for_each(|vehicle| vehicle.lateral_offset_m = offset_m);
        let record = run(&setup).expect("runs");
        let vehicle = &setup.train[setup.measured];
        let length_m = vehicle.shape.real.length_m;
        let speed = setup.conveyor_speed_m_s;
        for (index, unit) in setup.units.iter().enumerate() {
            let run = &record.units[index];
            let sign = unit.side.y_sign();
            let band = &vehicle.shape.real.bands[0];
            let shift = unit.lean_shift_m(
                0.5 * (band.z_low_m.max(unit.brush.z_low_m) + band.z_high_m.min(unit.brush.z_high_m)),
            );
            // The middle of the tail on the lane, of a vehicle turned about its middle.
            let (sin, cos) = vehicle.yaw_rad.sin_cos();
            let tail = |t: f64| {
                Vec2::new(speed * t - 0.5 * length_m * (1.0 + cos), sign * (offset_m - 0.5 * length_m * sin))
            };
            let distance_m = |t: f64| {
                let c = unit.brush_center_m(run.state_at(t).phi_rad()) + shift;
                (c - tail(t)).norm() - unit.brush.radius_m
            };
            let passes_s = (unit.pivot_m.x + length_m) / speed;
            let at_tail_s = (unit.brush_center_m(run.rest_phi_rad).x + length_m) / speed;
            let window_s = (unit.body.length_m + unit.brush.radius_m) / speed;
            let (from_s, to_s) =
                ((passes_s - window_s).max(run.start_s()), (passes_s + window_s).min(run.end_s()));
            let dt = 1e-3;
            let times: Vec<f64> =
                (0..=((to_s - from_s) / dt) as usize).map(|i| from_s + dt * i as f64).collect();
            let away: Vec<f64> = times.iter().map(|t| distance_m(*t)).collect();
            for k in 0..100 {
                let t = at_tail_s + (0.02 * f64::from(k) - 0.2) / speed;
                let said = explain(&setup, &record, t).remove(index);
                if !matches!(said.phase, Phase::Chasing | Phase::Tail) {
                    continue;
                }
                let sentence = why(&said, UnitSystem::Si);
                let split = times.partition_point(|at| *at < t);
                let least = |part: &[f64]| part.iter().copied().fold(f64::INFINITY, f64::min);
                let (behind_m, ahead_m, now_m) =
                    (least(&away[..split]), least(&away[split..]), distance_m(t));
                let number = |before: &str, after: &str| -> f64 {
                    let text = &sentence[sentence.find(before).expect(before) + before.len()..];
                    text[..text.find(after).expect(after)].trim().parse().expect("a number")
                };
                let place = format!(
                    "{} brush at {t} s: {}; {now_m} {behind_m} {ahead_m}",
                    unit.side.name(),
                    sentence
                );
                if now_m <= 0.0 {
                    seen[0] += 1;
                    assert!(sentence.contains("its strips lie over the middle of the tail"), "{place}");
                } else if ahead_m < -1e-4 {
                    seen[1] += 1;
                    let first = split + away[split..].iter().position(|m| *m <= 0.0).expect("comes over");
                    let told_s = number("come over the middle of the tail in", "s.");
                    close(told_s, times[first] - t, 0.05, &place);
                } else if ahead_m > 1e-4 && behind_m <= -1e-4 {
                    seen[2] += 1;
                    assert!(sentence.contains("were over the middle of the tail"), "{place}");
                } else if ahead_m > 1e-3 && behind_m > ahead_m + 1e-3 {
                    seen[3] += 1;
                    close(number("its strips end", "mm short") / 1000.0, ahead_m, 1e-3, &place);
                } else if ahead_m > 1e-3 && behind_m < ahead_m - 1e-3 {
                    seen[3] += 1;
                    close(number("of the tail than", "mm") / 1000.0, behind_m, 1e-3, &place);
                }
            }
        }
    }
    assert!(seen.iter().all(|count| *count > 4), "{seen:?}");
}

/// On a rounded corner both faces are touched; the phase is that of the deeper press, which passes the middle of the corner when the spindle stands on its diagonal, D
/// ahead of the nose and D beside the side.
#[test]
fn verif_on_a_corner_the_deeper_press_tells_the_phase() {
    let d = 0.3;
    let rounded = body(&[Tier { z_m: [0.3, 1.2], half_width_m: HALF_WIDTH_M, setback_m: 0.0 }], 0.25);
    for side in Side::BOTH {
        let setup = pass(vec![locked(side, 0.5, HALF_WIDTH_M + d)], &rounded);
        let record = run(&setup).expect("runs");
        let phase = |nose_x_m: f64| explain(&setup, &record, nose_x_m / SPEED_M_S)[0].phase;
        for (past_m, nose, tail) in [(-0.03, Phase::Nose, Phase::Side), (0.03, Phase::Side, Phase::Tail)] {
            assert_eq!(phase(0.5 - d + past_m), nose, "{past_m}");
            assert_eq!(phase(0.5 + LENGTH_M + d + past_m), tail, "{past_m}");
        }
    }
}
