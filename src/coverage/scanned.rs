//! What a pass came to, read off again by going through it instant by instant: every millisecond, from nearest points of the outlines and the angle of the arm alone.

use super::timing::{EventName, UnitTiming};
use super::{CoverageSettings, Criteria, Outcome, Phase, TouchAnswer, explain, measure, touch_answer};
use crate::arm::Side;
use crate::arm::UnitModel;
use crate::pass::motion::{StopMode, VehiclePlan, compression_m, state::PHI};
use crate::pass::{PassSetup, Record, UnitRecord, run};
use crate::scenario::Scenario;
use crate::vehicle::{FeatureKind, Zone};

const STEP_S: f64 = 1e-3;

/// A demo file with words of it replaced.
fn changed(text: &str, changes: &[(&str, &str)]) -> PassSetup {
    let mut text = text.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    Scenario::read_alone(&text, "changed.ron").unwrap_or_else(|errors| panic!("{errors}")).setup()
}

const ONE: &str = include_str!("../../scenarios/one-unit.ron");
const FAST: (&str, &str) = ("throughput: \"100 veh/h\"", "throughput: \"140 veh/h\"");

/// What is there at one instant.
struct Instant {
    t_s: f64,
    /// Deepest press, negative while the rim is away, m, and the zone nearest then.
    press_m: f64,
    zone: Zone,
    /// The same on mirrors alone.
    mirror_m: f64,
    /// How far the tail plane is past the brush centre, m.
    tail_past_m: f64,
}

fn press(plan: &VehiclePlan<'_>, model: &UnitModel, phi_rad: f64, t_s: f64) -> Instant {
    let c = model.brush_center_m(phi_rad);
    let (mut press_m, mut zone, mut mirror_m) = (f64::NEG_INFINITY, Zone::Nose, f64::NEG_INFINITY);
    for part in &plan.bands {
        let local = plan.pose.vehicle_from_unit(c + part.shift_m, t_s);
        for outline in &part.band.outlines {
            for (piece, tag) in outline.chain.pieces().iter().zip(&outline.tags) {
                let own = model.brush.radius_m - piece.nearest(local).distance_m;
                if own > press_m {
                    (press_m, zone) = (own, tag.zone);
                }
                if tag.feature.is_some_and(|f| plan.vehicle.features[f].kind == FeatureKind::Mirror) {
                    mirror_m = mirror_m.max(own);
                }
            }
        }
    }
    let tail_x_m = plan.pose.speed_m_s * (t_s - plan.pose.nose_at_zero_s) - plan.pose.length_m;
    Instant { t_s, press_m, zone, mirror_m, tail_past_m: tail_x_m - c.x }
}

fn scan(plan: &VehiclePlan<'_>, model: &UnitModel, run: &UnitRecord) -> Vec<Instant> {
    let reach_m = model.body.length_m + 2.0 * model.brush.radius_m;
    let from_s = plan.pose.nose_time_s(model.pivot_m.x - reach_m).max(run.start_s());
    let to_s = plan.pose.nose_time_s(model.pivot_m.x + reach_m + plan.pose.length_m).min(run.end_s());
    let count = ((to_s - from_s) / STEP_S) as usize;
    (0..count)
        .map(|k| from_s + STEP_S * k as f64)
        .map(|t| press(plan, model, run.state_at(t).phi_rad(), t))
        .collect()
}

/// The first instant from one on at which something holds.
fn first(all: &[Instant], from_s: f64, holds: impl Fn(&Instant) -> bool) -> Option<f64> {
    all.iter().find(|i| i.t_s >= from_s && holds(i)).map(|i| i.t_s)
}

#[track_caller]
fn at(timing: &UnitTiming, name: EventName, want: Option<f64>, what: &str) {
    let got = timing.time_of(name);
    let near = match (got, want) {
        // As late as a step later, or as early as the instant before.
        (Some(got), Some(want)) => (got - want).abs() < 1.5 * STEP_S,
        (got, want) => got.is_none() && want.is_none(),
    };
    assert!(near, "{what}, {}: {got:?}, scanned {want:?}", name.name());
}

/// Highest compression of each meeting with the bumper stop that begins between two instants, m, with its beginning; what the next vehicle disturbs is left out.
fn meetings(model: &UnitModel, run: &UnitRecord, from_s: f64) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    let mut within = false;
    let until_s = run.left_alone.last().map_or(run.end_s(), |s| s.start_s + s.length_s);
    for k in 0..((until_s - from_s) / STEP_S) as usize {
        let t = from_s + STEP_S * k as f64;
        let phi = if t < run.next_touch_s {
            run.state_at(t).phi_rad()
        } else {
            let step = run.left_alone.iter().find(|s| t < s.start_s + s.length_s).expect("followed");
            step.value_at(PHI, t.max(step.start_s))
        };
        let pressed_m = compression_m(&model.inboard_stop, phi, -1.0);
        if pressed_m <= 0.0 {
            within = false;
        } else if within {
            let last = found.len() - 1;
            found[last].1 = found[last].1.max(pressed_m);
        } else if t < run.next_touch_s {
            found.push((t, pressed_m));
            within = true;
        }
    }
    found
}

/// Longest time off the vehicle between two instants, s.
fn longest_off_s(all: &[Instant], from_s: f64, until_s: f64) -> f64 {
    let (mut longest, mut off_s) = (0.0_f64, 0.0);
    for instant in all.iter().filter(|i| i.t_s >= from_s && i.t_s <= until_s) {
        off_s = if instant.press_m > 0.0 { 0.0 } else { off_s + STEP_S };
        longest = longest.max(off_s);
    }
    longest
}

/// Which of these came up in a unit's pass: off the front, late at the stop, a chase, no chase, back without a tail corner before, outboard stop, a blow in progress as the
/// next one comes, a meeting with a mirror.
type Seen = [usize; 8];

fn check(setup: &PassSetup, record: &Record, outcome: &Outcome, unit: usize, seen: &mut Seen, what: &str) {
    let (model, run, timing) = (&setup.units[unit], &record.units[unit], &outcome.units[unit]);
    let plan = setup.plan(setup.measured, model);
    let all = scan(&plan, model, run);
    let on = |i: &Instant| i.press_m > 0.0;
    let touch = first(&all, f64::NEG_INFINITY, on);
    let lost = all.iter().rposition(on).map(|i| all[i].t_s + STEP_S);
    let nose = touch.and_then(|t| first(&all, t, |i| on(i) && i.zone == Zone::LeftSide));
    let corner = nose.and_then(|t| first(&all, t, |i| on(i) && i.zone == Zone::Tail));
    let passes = first(&all, f64::NEG_INFINITY, |i| i.tail_past_m >= 0.0);
    let back = passes.and_then(|t| first(&all, t, |i| on(i) && i.zone == Zone::Tail));
    let mirror = first(&all, f64::NEG_INFINITY, |i| i.mirror_m > 0.0);
    at(timing, EventName::FirstTouch, touch, what);
    at(timing, EventName::LostTail, lost, what);
    at(timing, EventName::NoseCorner, nose, what);
    at(timing, EventName::TailCorner, corner, what);
    at(timing, EventName::TailPasses, passes, what);
    let before = corner.zip(passes).is_some_and(|(corner, passes)| corner < passes);
    at(timing, EventName::BackOnTail, back, what);
    at(timing, EventName::Mirror, mirror, what);
    at(timing, EventName::NextNose, Some(run.next_touch_s), what);
    for event in &timing.events {
        let nose_x_m = record.conveyor_speed_m_s * event.time_s;
        assert!((event.vehicle_position_m - nose_x_m).abs() < 1e-9, "{what}: {event:?}");
    }
    assert!(timing.events.is_sorted_by(|a, b| a.time_s <= b.time_s), "{what}");
    match (timing.chase_delay_s, passes.zip(back)) {
        (Some(got), Some((a, b))) => assert!((got - (b - a)).abs() < 2.5 * STEP_S, "{what}: {got} {a} {b}"),
        (got, want) => assert!(got.is_none() && want.is_none(), "{what}: {got:?} {want:?}"),
    }

    let follow_s = passes.or(touch).unwrap_or(run.start_s());
    let blows = meetings(model, run, follow_s);
    at(timing, EventName::Bumper, blows.first().map(|b| b.0), what);
    let most_m = blows.iter().map(|b| b.1).reduce(f64::max);
    match (timing.stop_peak_compression_m, most_m) {
        (Some(got), Some(want)) => assert!((got - want).abs() < 2e-5 + 1e-3 * want, "{what}: {got} {want}"),
        (got, want) => assert!(got.is_none() && want.is_none(), "{what}: {got:?} {want:?}"),
    }
    let from_s = touch.unwrap_or(run.next_touch_s).min(follow_s);
    let outboard_m = |t: f64| compression_m(&model.outboard_stop, run.state_at(t).phi_rad(), 1.0);
    let met = (0..((run.next_touch_s - from_s) / STEP_S) as usize)
        .any(|k| outboard_m(from_s + STEP_S * k as f64) > 0.0);
    assert_eq!(timing.outboard_stop_met, met, "{what}: outboard stop");

    let deepest_m = all.iter().map(|i| i.press_m).fold(0.0, f64::max);
    assert!((timing.peak_indentation_m - deepest_m).abs() < 1e-4, "{what}: {deepest_m}");
    let strips_m = model.brush.radius_m - model.brush.hub_radius_m;
    assert!((timing.hub_clearance_m - (strips_m - deepest_m)).abs() < 1e-4, "{what}");
    assert_eq!(timing.hub_struck, deepest_m > strips_m, "{what}");

    let third_s = first(&all, f64::NEG_INFINITY, |i| i.tail_past_m + 2.0 / 3.0 * plan.pose.length_m >= 0.0);
    let off_s = touch.zip(third_s).map_or(0.0, |(a, b)| longest_off_s(&all, a, b));
    assert!((timing.off_front_s - off_s).abs() < 3.0 * STEP_S, "{what}: off {} {off_s}", timing.off_front_s);

    let late = blows.iter().any(|b| b.0 < run.next_touch_s)
        && run.steps.iter().any(|s| {
            s.start_s < run.next_touch_s
                && s.start_s + s.length_s >= run.next_touch_s
                && s.modes.inboard == StopMode::Pressed
        });
    for (count, is) in seen.iter_mut().zip([
        off_s > 0.02,
        timing.recovery_margin_s.is_some_and(|s| s < 0.0),
        timing.chase_delay_s.is_some_and(|s| s > 0.05),
        back.is_none() && passes.is_some(),
        before,
        met,
        late,
        mirror.is_some(),
    ]) {
        *count += usize::from(is);
    }
}

/// Instants of a wrap-around, what the stops take, how deep strips press and how long they are off the front: as scanned, on machines that do it well, late, bounce and lose it.
#[test]
fn verif_timing_is_as_scanned() {
    let light = ("mass: \"26 lb\"", "mass: \"5 lb\"");
    let weak = ("cap: \"7 psi\"", "cap: \"3 psi\"");
    let none = ("mass: \"26 lb\"", "mass: \"0.1 lb\"");
    let no_air = ("cap: \"7 psi\"", "cap: \"0 psi\"");
    let strong = ("cap: \"7 psi\"", "cap: \"25 psi\"");
    let free = (
        "out_stroke: \"3 lbf s/in\", in_stroke: \"0.2 lbf s/in\"",
        "out_stroke: \"0 lbf s/in\", in_stroke: \"9 lbf s/in\"",
    );
    let near = ("angle: \"100 deg\"", "angle: \"84 deg\"");
    let van = ("train: [\"sedan\"]", "train: [\"high-roof van\"]");
    let lean = ("upper_offset: \"0 in\"", "upper_offset: \"1/4 in\"");
    let mut seen = Seen::default();
    for (what, changes) in [
        ("as it is", &[][..]),
        ("weak", &[FAST, light, weak]),
        ("strong, near the wall", &[strong, near]),
        ("thrown off", &[FAST, light, weak, free]),
        ("van, leaning", &[van, lean, FAST]),
        ("nothing pulls", &[FAST, none, no_air]),
    ] {
        let setup = changed(ONE, changes);
        let record = run(&setup).expect("runs");
        let settings = CoverageSettings::default();
        let outcome = measure(&setup, &record, &settings, &Criteria::default());
        check(&setup, &record, &outcome, 0, &mut seen, what);
    }
    assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
}

/// A spot that no strip reached is told by the instant at which the rim came nearest, over the whole run, with the brush where the lean has it at that height.
#[test]
fn verif_a_spot_out_of_reach_is_as_scanned() {
    let leaning =
        [FAST, ("lower_offset: \"0 in\"", "lower_offset: \"-1/2 in\""), ("cap: \"7 psi\"", "cap: \"3 psi\"")];
    let setup = changed(ONE, &leaning);
    let record = run(&setup).expect("runs");
    let settings = CoverageSettings::default();
    let outcome = measure(&setup, &record, &settings, &Criteria::default());
    let (model, own) = (&setup.units[0], &record.units[0]);
    let plan = setup.plan(setup.measured, model);
    let (mut never, mut touched) = (0, 0);
    for (index, band) in outcome.coverage.bands.iter().enumerate() {
        let z_m = 0.5 * (band.z_low_m + band.z_high_m);
        // The axis leans as the bearings do: linear in height, nothing at the middle between them.
        let shift = model.lean_shift_m(z_m);
        assert!(shift.norm() > 1e-6);
        for (station, spot) in band.stations.iter().enumerate().step_by(23) {
            let answer =
                touch_answer(&setup, &record, &outcome, &settings, (index, station)).expect("an answer");
            let gap_m = |t: f64| {
                let c = model.brush_center_m(own.state_at(t).phi_rad()) + shift;
                (plan.pose.unit_from_vehicle(spot.point_m, t) - c).norm() - model.brush.radius_m
            };
            match answer {
                TouchAnswer::Never { nearest_s, short_m, .. } => {
                    let count = 4000;
                    let length_s = own.end_s() - own.start_s();
                    let least_m = (0..=count)
                        .map(|k| gap_m(own.start_s() + length_s * f64::from(k) / f64::from(count)))
                        .fold(f64::INFINITY, f64::min);
                    assert!(short_m <= least_m + 1e-9 && short_m > least_m - 1e-3, "{short_m} {least_m}");
                    assert!((gap_m(nearest_s) - short_m).abs() < 1e-12);
                    // On either side it is farther, unless the run ends there.
                    for t in [nearest_s - 0.02, nearest_s + 0.02] {
                        let is_out = t < own.start_s() || t > own.end_s();
                        assert!(is_out || gap_m(t) > short_m, "{nearest_s} {t}");
                    }
                    never += 1;
                }
                TouchAnswer::Touched { first_s, peak_s, wipes, contact_s, washed_ratio, .. } => {
                    assert!(gap_m(first_s).abs() < 2e-3 || gap_m(first_s) < 0.0, "{first_s}");
                    assert!(peak_s >= first_s && contact_s > 0.0 && wipes > 0.0);
                    assert!((wipes / contact_s / model.brush.wipe_rate_per_s() - 1.0).abs() < 1e-9);
                    assert!((washed_ratio - wipes / settings.washed_wipes).abs() < 1e-9);
                    touched += 1;
                }
            }
        }
    }
    assert!(never > 40 && touched > 20, "{never} {touched}");
}

const PAIR: &str = include_str!("../../scenarios/ferry-return.ron");

/// What a brush is said to do is what is nearest to it of all vehicles, and how near it comes to the middle of the tail before and after an instant is the least of every
/// millisecond in which the tail is beside the arm.
#[test]
fn verif_what_a_brush_does_is_as_scanned() {
    let setup = changed(PAIR, &[("lower_offset: \"0 in\"", "lower_offset: \"1/8 in\"")]);
    let record = run(&setup).expect("runs");
    let (mut touching, mut near, mut reached) = ([0; 5], 0, 0);
    for k in 0..240 {
        let t_s = record.start_s + (record.end_s - record.start_s) * (f64::from(k) + 0.4) / 240.0;
        for (index, told) in explain(&setup, &record, t_s).iter().enumerate() {
            let (model, run) = (&setup.units[index], &record.units[index]);
            let plans = setup.dynamics(index).vehicles;
            let phi = run.state_at(t_s).phi_rad();
            let all: Vec<Instant> = plans.iter().map(|plan| press(plan, model, phi, t_s)).collect();
            let deepest = all.iter().max_by(|a, b| a.press_m.total_cmp(&b.press_m)).expect("a train");
            let on = match told.phase {
                Phase::Nose => Some(Zone::Nose),
                Phase::Side => Some(Zone::LeftSide),
                Phase::Tail => Some(Zone::Tail),
                Phase::FarSide => Some(Zone::RightSide),
                _ => None,
            };
            if deepest.press_m.abs() > 1e-6 {
                assert_eq!(on, (deepest.press_m > 0.0).then_some(deepest.zone), "{t_s} s, {:?}", told.phase);
            }
            touching[on.map_or(4, |zone| zone.index())] += 1;
            let measured = &all[setup.measured];
            assert!((told.race.tail_ahead_m - measured.tail_past_m).abs() < 1e-9, "{t_s} s");
            let Some(middle) = told.middle else { continue };
            near += 1;
            let plan = &plans[setup.measured];
            // The tips of the strips to the point of the outline half way round, at the height where that is least.
            let away_m = |t: f64| {
                let c = model.brush_center_m(run.state_at(t).phi_rad());
                let of = plan.bands.iter().filter(|part| !part.band.outlines[0].island).map(|part| {
                    let chain = &part.band.outlines[0].chain;
                    let point = chain.point_at(0.5 * chain.length_m());
                    (plan.pose.unit_from_vehicle(point, t) - c - part.shift_m).norm() - model.brush.radius_m
                });
                of.fold(f64::INFINITY, f64::min)
            };
            let across_m = model.body.length_m + model.brush.radius_m;
            let tail_s = |x_m: f64| plan.pose.nose_time_s(x_m + plan.pose.length_m);
            let from_s = tail_s(model.pivot_m.x - across_m).max(run.start_s());
            let to_s = tail_s(model.pivot_m.x + across_m).min(run.end_s());
            let (mut behind_m, mut ahead_m, mut reached_s) = (away_m(t_s), away_m(t_s), None);
            assert!((middle.now_m - ahead_m).abs() < 1e-9);
            for k in 0..((to_s - from_s) / 2e-3) as usize {
                let t = from_s + 2e-3 * k as f64;
                let m = away_m(t);
                let least = if t < t_s { &mut behind_m } else { &mut ahead_m };
                *least = least.min(m);
                if t >= t_s && m <= 0.0 && reached_s.is_none() {
                    reached_s = Some(t - t_s);
                }
            }
            assert!((middle.behind_m - behind_m).abs() < 3e-3, "{t_s} s: {middle:?} {behind_m}");
            assert!((middle.ahead_m - ahead_m).abs() < 3e-3, "{t_s} s: {middle:?} {ahead_m}");
            match (middle.reached_s, reached_s) {
                (Some(got), Some(want)) => {
                    assert!((got - want).abs() < 0.05, "{t_s} s: {got} {want}");
                    reached += 1;
                }
                // What only comes to the middle is seen or not.
                (got, want) => {
                    assert!(got.is_none() && (want.is_none() || ahead_m > -2e-3), "{got:?} {want:?}")
                }
            }
        }
    }
    assert!(
        [0, 1, 2, 4].iter().all(|k| touching[*k] > 2) && near > 10 && reached > 3,
        "{touching:?} {near} {reached}"
    );
}

/// Of a pair, what is pressed of the vehicle as it rides: each load is of the feature that the brush of that side is on at its peak, its sense outward-in as that side presses; the
/// overlap at an end is, at the height where it is least, how far both come past its middle, station by station.
#[test]
fn verif_loads_and_overlaps_are_those_of_the_vehicle_as_it_rides() {
    let setup = changed(PAIR, &[]);
    let record = run(&setup).expect("runs");
    let settings = CoverageSettings::default();
    let outcome = measure(&setup, &record, &settings, &Criteria::default());
    let shape = &setup.train[setup.measured].shape;
    let mut sides = [0; 2];
    for load in &outcome.feature_loads {
        let unit = setup.units.iter().position(|unit| unit.side == load.side).expect("a unit");
        let model = &setup.units[unit];
        let plan = setup.plan(setup.measured, model);
        let c = model.brush_center_m(record.units[unit].state_at(load.peak_s).phi_rad());
        let mut nearest = (f64::INFINITY, crate::geometry::Vec2::zeros());
        for part in &plan.bands {
            let mut local = plan.pose.vehicle_from_unit(c + part.shift_m, load.peak_s);
            local.y *= model.side.y_sign();
            for outline in &shape.real.bands[part.index].outlines {
                for (piece, tag) in outline.chain.pieces().iter().zip(&outline.tags) {
                    if tag.feature == Some(load.index) {
                        let place = piece.nearest(local);
                        if place.distance_m < nearest.0 {
                            nearest = (place.distance_m, piece.point_at(place.s_m) - local);
                        }
                    }
                }
            }
        }
        assert!(nearest.0 < model.brush.radius_m, "{load:?}");
        assert_eq!(load.feature, shape.real.features[load.index].name);
        assert_eq!(load.kind, shape.real.features[load.index].kind);
        // The push goes from the spindle into the thing, friction aside.
        assert!(load.peak_vector_n.dot(&nearest.1) > 0.0, "{load:?} {nearest:?}");
        assert!((load.peak_vector_n.norm() - load.peak_force_n).abs() < 1e-9);
        let stands = matches!(load.kind, FeatureKind::Mirror | FeatureKind::Antenna);
        assert_eq!(load.blow.is_some(), stands && model.brush.blow(0.5, 0.05, 0.1).is_some(), "{load:?}");
        sides[usize::from(load.side == Side::Right)] += usize::from(load.kind == FeatureKind::Mirror);
    }
    assert!(sides.iter().all(|n| *n > 0), "{sides:?}");

    for (end, told) in [(Zone::Nose, outcome.overlap.nose_m), (Zone::Tail, outcome.overlap.tail_m)] {
        let mut least_m = f64::INFINITY;
        let foremost = |index: usize| {
            let bounds = shape.real.bands[index].body().expect("a body").chain.bounds();
            if end == Zone::Nose { bounds.max.x } else { -bounds.min.x }
        };
        let most_m =
            outcome.coverage.bands.iter().map(|b| foremost(b.band)).fold(f64::NEG_INFINITY, f64::max);
        for band in &outcome.coverage.bands {
            let bare = !shape.real.bands[band.band]
                .outlines
                .iter()
                .flat_map(|o| &o.tags)
                .any(|tag| tag.zone == end && tag.feature.is_some());
            if !bare || foremost(band.band) < most_m - settings.judged_depth_m {
                continue;
            }
            let whole_m = band.perimeter_m;
            // Round the vehicle from the nose by the left side to the tail at half way: past the middle of an end is to the side across.
            let past_m = |side: Side, s_m: f64| {
                let middle_m = if end == Zone::Nose { 0.0 } else { 0.5 * whole_m };
                let on_m = if side == Side::Left { s_m - middle_m } else { middle_m - s_m };
                let past_m = if end == Zone::Nose { -on_m } else { on_m };
                // What lies more than a quarter past it belongs to the other end.
                if past_m > 0.25 * whole_m {
                    past_m - whole_m
                } else if past_m < -0.75 * whole_m {
                    past_m + whole_m
                } else {
                    past_m
                }
            };
            let farthest = |side: Side| {
                let touched = band.stations.iter().filter(|s| s.cells[side.index()].first_s.is_some());
                touched.map(|s| past_m(side, s.s_m) + 0.5 * s.length_m).fold(f64::NEG_INFINITY, f64::max)
            };
            least_m = least_m.min(farthest(Side::Left) + farthest(Side::Right));
        }
        let told = told.expect("both touch");
        assert!((told - least_m).abs() < 2.0 * settings.station_m, "{end:?}: {told}, by stations {least_m}");
    }
}
