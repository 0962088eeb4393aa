//! Every kind of criterion at its edges: just past the limit, at it, just inside the marginal share and just outside.

use crate::rig::*;
use brusharm::arm::{BearingOffsets, Side, UnitModel};
use brusharm::coverage::measure::{ALL, Measure};
use brusharm::coverage::{
    CoverageSettings, Criteria, MeasureName, Outcome, UnitTiming, Verdict, VerdictLine, headline,
};
use brusharm::pass::PassSetup;
use brusharm::vehicle::{FeatureKind, FeaturePlace, FeatureSide, Zone};
use std::f64::consts::FRAC_PI_2;

const SHARE: f64 = 0.1;

/// Everything a criterion can ask about is there and not zero: brushes that overlap, a mirror on each side, gaps, a pressed bumper.
fn whole(washed_wipes: f64) -> (PassSetup, CoverageSettings) {
    let mut spec = body(&[Tier { z_m: [0.3, 1.2], half_width_m: 0.4, setback_m: 0.0 }], 0.1);
    let place = FeaturePlace::Side { behind_nose_m: 1.0, length_m: 0.1, reach_m: 0.06, corner_radius_m: 0.0 };
    spec.features = vec![feature(FeatureKind::Mirror, FeatureSide::Both, [0.8, 0.9], place)];
    let unit = |side, x, out| {
        let mut unit: UnitModel = locked(side, x, out);
        unit.body.mass_kg = 60.0;
        unit.bearings.lower = BearingOffsets { toward_wall_m: 0.004, downstream_m: 0.0 };
        unit.inboard_stop.seat_rad = FRAC_PI_2;
        unit
    };
    // Together they touch past the centre of the nose and leave a strip short of wipes beside it.
    let setup = pass(vec![unit(Side::Left, 0.0, 0.52), unit(Side::Right, 3.0, 0.56)], &spec);
    (setup, CoverageSettings { washed_wipes, ..fine() })
}

/// Wipes that leave part of nose and tail unwashed; the sides have more, but for what the mirrors shadow.
const WIPES: f64 = 26.0;
/// Wipes that leave what the mirrors shadow unwashed.
const SIDE_WIPES: f64 = 60.0;

fn judged(criteria: &Criteria, washed_wipes: f64) -> Outcome {
    let (setup, settings) = whole(washed_wipes);
    solve_with(&setup, &settings, criteria).1
}

fn line(outcome: &Outcome, name: MeasureName, side: Option<Side>) -> &VerdictLine {
    let mut found = outcome.verdicts.iter().filter(|l| l.criterion == name && l.side == side);
    let line = found.next().unwrap_or_else(|| panic!("{} is not judged", name.criterion_key()));
    assert!(found.next().is_none(), "{} is judged once", name.criterion_key());
    line
}

type Setter = fn(&mut Criteria, f64);

/// Value by another way than the verdict's, and how its limit is set.
fn kinds(outcome: &Outcome, at_sides: &Outcome) -> Vec<(MeasureName, Option<Side>, f64, Setter)> {
    let z = |name| zone(outcome, name);
    let mut kinds: Vec<(MeasureName, Option<Side>, f64, Setter)> = vec![
        (MeasureName::NoseWashed, None, z(Zone::Nose).washed_fraction.expect("judged"), |c, x| {
            c.set(MeasureName::NoseWashed, x);
        }),
        (MeasureName::TailWashed, None, z(Zone::Tail).washed_fraction.expect("judged"), |c, x| {
            c.set(MeasureName::TailWashed, x);
        }),
        (MeasureName::NoseOverlap, None, outcome.overlap.nose_m.expect("both"), |c, x| {
            c.set(MeasureName::NoseOverlap, x);
        }),
        (MeasureName::TailGap, None, z(Zone::Tail).longest_gap_m.expect("a gap"), |c, x| {
            c.set(MeasureName::TailGap, x);
        }),
    ];
    for (side, name) in [(Side::Left, Zone::LeftSide), (Side::Right, Zone::RightSide)] {
        let own = Some(side);
        let unit = timing(outcome, side);
        let load = outcome.feature_loads.iter().find(|l| l.side == side).expect("a load");
        kinds.extend::<[(MeasureName, Option<Side>, f64, Setter); 8]>([
            (MeasureName::SideWashed, own, zone(at_sides, name).washed_fraction.expect("judged"), |c, x| {
                c.set(MeasureName::SideWashed, x);
            }),
            (MeasureName::SidePressureMean, own, z(name).mean_pressure_pa.expect("touched"), |c, x| {
                c.set(MeasureName::SidePressureMean, x);
            }),
            (MeasureName::SidePressurePeak, own, z(name).peak_pressure_pa.expect("touched"), |c, x| {
                c.set(MeasureName::SidePressurePeak, x);
            }),
            (MeasureName::FeatureForce, own, load.peak_force_n, |c, x| {
                c.feature_limits_n = vec![(FeatureKind::Plate, 1e-9), (FeatureKind::Mirror, x)];
            }),
            (MeasureName::ChaseDelay, own, unit.chase_delay_s.expect("back"), |c, x| {
                c.set(MeasureName::ChaseDelay, x);
            }),
            (MeasureName::StopCompression, own, unit.stop_peak_compression_m.expect("met"), |c, x| {
                c.set(MeasureName::StopCompression, x);
            }),
            (MeasureName::SpindlePower, own, unit.spindle_peak_power_w, |c, x| {
                c.set(MeasureName::SpindlePower, x);
            }),
            (MeasureName::RecoveryMargin, own, unit.recovery_margin_s.expect("settled"), |c, x| {
                c.set(MeasureName::RecoveryMargin, x);
            }),
        ]);
    }
    kinds
}

#[test]
fn verif_every_criterion_at_its_edges() {
    use MeasureName::*;
    let plain = |wipes| judged(&Criteria { marginal_share: SHARE, ..Criteria::default() }, wipes);
    let kinds = kinds(&plain(WIPES), &plain(SIDE_WIPES));
    assert_eq!(kinds.len(), 20);
    for (name, side, value, set) in kinds {
        assert!(value > 1e-4, "{}: {value}", name.criterion_key());
        let least = matches!(
            name,
            NoseWashed | SideWashed | TailWashed | NoseOverlap | SidePressureMean | RecoveryMargin
        );
        let share = matches!(name, NoseWashed | SideWashed | TailWashed);
        // The limit at which the margin is just the marginal share: of the limit, and for a washed share of what the limit leaves to lose.
        let edge = match (least, share) {
            (_, true) => (value - SHARE) / (1.0 - SHARE),
            (true, _) => value / (1.0 + SHARE),
            (false, _) => value / (1.0 - SHARE),
        };
        let inward = if least { -1.0 } else { 1.0 };
        let tiny = 1e-7 * value;
        assert!(!share || value < 0.999, "{}: {value}", name.criterion_key());
        for (limit, want) in [
            (value - inward * tiny, Verdict::Fail),
            (value, Verdict::Marginal),
            (edge - inward * tiny, Verdict::Marginal),
            (edge + inward * tiny, Verdict::Pass),
        ] {
            let mut criteria = Criteria { marginal_share: SHARE, ..Criteria::default() };
            set(&mut criteria, limit);
            let wipes = if name == SideWashed { SIDE_WIPES } else { WIPES };
            let outcome = judged(&criteria, wipes);
            let line = line(&outcome, name, side);
            assert_eq!((line.value, line.limit), (Some(value), limit), "{}", name.criterion_key());
            assert_eq!(line.verdict, want, "{}: {value} against {limit}", name.criterion_key());
            let margin =
                if share { (value - limit) / (1.0 - limit) } else { inward * (limit - value) / limit };
            close(line.margin().expect("a number"), margin, 1e-9, name.criterion_key());
        }
    }
}

/// A number that does not exist fails; what is not asked for is not judged; a side without a unit is not judged.
#[test]
fn verif_what_does_not_exist_fails_and_what_is_not_asked_for_is_left_out() {
    let asked = Criteria { marginal_share: SHARE, ..Criteria::default() }
        .with(MeasureName::SideWashed, 0.5)
        .with(MeasureName::SidePressureMean, 1.0)
        .with(MeasureName::NoseOverlap, 0.1)
        .with(MeasureName::ChaseDelay, 100.0)
        .with(MeasureName::StopCompression, 0.01);
    let setup = pass(vec![locked(Side::Right, 0.0, 3.0)], &plain_box(0.4));
    let (_, outcome) = solve_with(&setup, &fine(), &asked);
    let own = Some(Side::Right);
    for (name, side, value, verdict) in [
        (MeasureName::NoseOverlap, None, None, Verdict::Fail),
        (MeasureName::SideWashed, own, Some(0.0), Verdict::Fail),
        (MeasureName::SidePressureMean, own, None, Verdict::Fail),
        (MeasureName::ChaseDelay, own, None, Verdict::Fail),
    ] {
        let line = line(&outcome, name, side);
        assert_eq!((line.value, line.verdict), (value, verdict), "{}", name.criterion_key());
    }
    let left =
        outcome.verdicts.iter().filter(|l| l.side == Some(Side::Left) || l.about.as_deref() == Some("left"));
    assert_eq!(left.count(), 0);
    let nothing = solve(&setup, &fine());
    let keys: Vec<String> = nothing.verdicts.iter().map(VerdictLine::key).collect();
    assert_eq!(keys, ["hub_clearance.right"], "the hub is judged always");
}

/// The hub: clear by less than nothing fails.
#[test]
fn verif_a_struck_hub_fails() {
    for (d, want) in [(0.35, Verdict::Pass), (0.25, Verdict::Fail)] {
        let mut unit = locked(Side::Left, 0.0, 0.8 + d);
        unit.brush.hub_radius_m = 0.3;
        unit.brush.radius_m = 0.7;
        let outcome = solve(&pass(vec![unit], &plain_box(0.8)), &fine());
        assert_eq!(line(&outcome, MeasureName::HubClearance, Some(Side::Left)).verdict, want);
    }
}

/// The headline is the worst verdict, and of equals the line with the least margin.
#[test]
fn verif_headline_is_the_worst() {
    let plain = judged(&Criteria { marginal_share: SHARE, ..Criteria::default() }, WIPES);
    let most = |value: fn(&UnitTiming) -> f64| plain.units.iter().map(value).fold(0.0, f64::max);
    let chase = most(|u| u.chase_delay_s.expect("back"));
    let stop = most(|u| u.stop_peak_compression_m.expect("met"));
    let power = most(|u| u.spindle_peak_power_w);
    for (chase_limit, stop_limit, want, criterion) in [
        (chase * 0.9, stop * 0.5, Verdict::Fail, MeasureName::StopCompression),
        (chase * 0.5, stop * 0.9, Verdict::Fail, MeasureName::ChaseDelay),
        (chase * 1.01, stop * 2.0, Verdict::Marginal, MeasureName::ChaseDelay),
        (chase * 3.0, stop * 1.3, Verdict::Pass, MeasureName::StopCompression),
    ] {
        let outcome = judged(
            &Criteria { marginal_share: SHARE, ..Criteria::default() }
                .with(MeasureName::ChaseDelay, chase_limit)
                .with(MeasureName::StopCompression, stop_limit)
                .with(MeasureName::SpindlePower, power * 10.0),
            WIPES,
        );
        // The clearance to the hub has no limit of a size to compare margin with.
        let lines: Vec<VerdictLine> =
            outcome.verdicts.into_iter().filter(|l| l.criterion != MeasureName::HubClearance).collect();
        let (verdict, line) = headline(&lines).expect("lines");
        assert_eq!((verdict, line.criterion), (want, criterion));
    }
}

/// Every measure reads the number that it is named for, of the side it is named for; only a margin stands on an edge.
#[test]
fn verif_every_measure_reads_its_own_number() {
    use MeasureName::*;
    let mut outcome = judged(&Criteria { marginal_share: SHARE, ..Criteria::default() }, WIPES);
    outcome.units[0].recovery_edge_s = Some(0.7);
    let z = |name| zone(&outcome, name);
    let mut wanted: Vec<(Measure, Option<f64>)> = vec![
        (NoseWashed.whole(), z(Zone::Nose).washed_fraction),
        (NoseOverlap.whole(), outcome.overlap.nose_m),
        (TailWashed.whole(), z(Zone::Tail).washed_fraction),
        (TailGap.whole(), z(Zone::Tail).longest_gap_m),
        (TailOverlap.whole(), outcome.overlap.tail_m),
    ];
    for (side, name) in [(Side::Left, Zone::LeftSide), (Side::Right, Zone::RightSide)] {
        let unit = timing(&outcome, side);
        let load = outcome.feature_loads.iter().find(|l| l.side == side).expect("a load");
        wanted.extend([
            (SideWashed.of(side), z(name).washed_fraction),
            (SidePressureMean.of(side), z(name).mean_pressure_pa),
            (SidePressurePeak.of(side), z(name).peak_pressure_pa),
            (SideWork.of(side), z(name).rubbing_work_j_m2),
            (FeatureForce.on(FeatureKind::Mirror, side), Some(load.peak_force_n)),
            (ChaseDelay.of(side), unit.chase_delay_s),
            (RecoveryMargin.of(side), unit.recovery_margin_s),
            (StopCompression.of(side), unit.stop_peak_compression_m),
            (SpindlePower.of(side), Some(unit.spindle_peak_power_w)),
            (HubClearance.of(side), Some(unit.hub_clearance_m)),
        ]);
    }
    for (measure, value) in &wanted {
        let reading = measure.read(&outcome);
        assert!(value.is_some_and(|v| v != 0.0), "{}: {value:?}", measure.key());
        assert_eq!(reading.value, *value, "{}", measure.key());
        let edge = (*measure == RecoveryMargin.of(Side::Left)).then_some(0.7);
        assert_eq!(reading.edge, edge, "{}", measure.key());
    }
    // Every other measure is a load on a kind of feature that this vehicle has not.
    let others = ALL.into_iter().filter(|m| wanted.iter().all(|(known, _)| known != m));
    for measure in others {
        assert_eq!((measure.name, measure.read(&outcome).value), (FeatureForce, None), "{}", measure.key());
    }
}
