//! An outcome for tests of what is made of outcomes, and the tests of verdicts.

use super::verdict::{Verdict, VerdictLine, judge};
use super::{
    Coverage, Criteria, FeatureLoad, MeasureName, Outcome, Overlap, SpindlePower, UnitTiming, ZoneSummary,
};
use crate::arm::Side;
use crate::geometry::Vec2;
use crate::pass::EnergyAudit;
use crate::vehicle::{FeatureKind, Zone};

/// An outcome in which no two numbers are alike.
pub(super) fn invented() -> Outcome {
    let zone = |zone: Zone, k: f64| ZoneSummary {
        zone,
        judged_m2: k,
        washed_fraction: Some(0.90 + 0.01 * k),
        mean_pressure_pa: Some(10.0 + k),
        peak_pressure_pa: Some(20.0 + k),
        rubbing_work_j_m2: Some(30.0 + k),
        wipes: Some(40.0 + k),
        longest_gap_m: Some(0.1 + 0.01 * k),
    };
    let unit = |side: Side, k: f64| UnitTiming {
        side,
        events: Vec::new(),
        chase_delay_s: Some(1.0 + k),
        recovery_margin_s: Some(3.0 + k),
        recovery_edge_s: None,
        stop_peak_compression_m: Some(0.01 + 0.001 * k),
        spindle_peak_power_w: 100.0 + k,
        spindle_peak: SpindlePower { rubbing_w: 30.0 + k, flexing_w: 50.0, air_w: 20.0 },
        hub_struck: false,
        peak_indentation_m: 0.10 + 0.01 * k,
        hub_clearance_m: 0.20 + 0.01 * k,
        outboard_stop_met: false,
        off_front_s: 0.0,
    };
    let load = |feature: &str, kind: FeatureKind, side: Side, k: f64, limit_n: Option<f64>| FeatureLoad {
        feature: feature.to_owned(),
        kind,
        index: 0,
        side,
        peak_force_n: 50.0 + k,
        peak_s: k,
        peak_vector_n: Vec2::zeros(),
        impulse_n_s: 70.0 + k,
        blow: None,
        limit_n,
        verdict: limit_n.map(|_| Verdict::Pass),
    };
    Outcome {
        coverage: Coverage { bands: Vec::new() },
        zones: [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide]
            .into_iter()
            .zip([1.0, 2.0, 3.0, 4.0])
            .map(|(name, k)| zone(name, k))
            .collect(),
        gaps: Vec::new(),
        overlap: Overlap { nose_m: Some(0.15), tail_m: Some(0.16), front_plate_m: None, rear_plate_m: None },
        units: vec![unit(Side::Left, 1.0), unit(Side::Right, 2.0)],
        feature_loads: vec![
            load("left mirror", FeatureKind::Mirror, Side::Left, 1.0, Some(60.0)),
            load("antenna", FeatureKind::Antenna, Side::Right, 2.0, Some(55.0)),
            load("front plate", FeatureKind::Plate, Side::Right, 3.0, None),
        ],
        audit: EnergyAudit::default(),
        verdicts: Vec::new(),
    }
}

/// The line of a criterion and a side alone judged, if it is.
fn alone(outcome: &Outcome, name: MeasureName, side: Option<Side>, limit: f64) -> Option<VerdictLine> {
    let criteria = Criteria { marginal_share: 0.1, ..Criteria::default() }.with(name, limit);
    judge(outcome, &criteria).into_iter().find(|line| line.criterion == name && line.side == side)
}

/// Every criterion with its number, in the order of tables: those of a side that stand together go side by side.
#[test]
fn verif_what_is_judged_and_in_which_order() {
    use MeasureName::*;
    let mut criteria = Criteria::default();
    for name in MeasureName::ALL {
        criteria.set(name, 0.5);
    }
    let outcome = invented();
    let got: Vec<(String, f64)> =
        judge(&outcome, &criteria).iter().map(|line| (line.key(), line.value.expect("a number"))).collect();
    let wanted = [
        ("nose_washed", 0.91),
        ("nose_overlap", 0.15),
        ("side_washed.left", 0.92),
        ("side_pressure_low.left", 12.0),
        ("side_pressure_peak.left", 22.0),
        ("side_washed.right", 0.94),
        ("side_pressure_low.right", 14.0),
        ("side_pressure_peak.right", 24.0),
        ("tail_washed", 0.93),
        ("tail_gap", 0.13),
        ("feature_force.left_mirror", 51.0),
        ("feature_force.antenna_(right_brush)", 52.0),
        ("chase_delay.left", 2.0),
        ("recovery_margin.left", 4.0),
        ("stop_compression.left", 0.011),
        ("spindle_power.left", 101.0),
        ("hub_clearance.left", 0.21),
        ("chase_delay.right", 3.0),
        ("recovery_margin.right", 5.0),
        ("stop_compression.right", 0.012),
        ("spindle_power.right", 102.0),
        ("hub_clearance.right", 0.22),
    ];
    assert_eq!(got.len(), wanted.len(), "{got:?}");
    for ((key, value), (want_key, want)) in got.iter().zip(wanted) {
        assert!(key == want_key && (value - want).abs() < 1e-12, "{key} {value}, not {want_key} {want}");
    }
    let labels: Vec<String> = judge(&outcome, &criteria).iter().map(VerdictLine::label).collect();
    assert_eq!(
        [&*labels[0], &*labels[2], &*labels[10], &*labels[11]],
        ["nose washed", "side washed, left", "force on left mirror", "force on antenna (right brush)"]
    );
    // Without limits only the hub and what a vehicle may bear are judged, against 0 and against that.
    let unasked: Vec<(MeasureName, f64)> =
        judge(&outcome, &Criteria::default()).iter().map(|line| (line.criterion, line.limit)).collect();
    assert_eq!(
        unasked,
        [(FeatureForce, 60.0), (FeatureForce, 55.0), (HubClearance, 0.0), (HubClearance, 0.0)]
    );
    assert_eq!((HubClearance.si_unit(), TailWashed.si_unit()), ("m", ""));
    let criteria = criteria.with(TailGap, 0.4);
    assert_eq!((criteria.limit(TailGap), criteria.limit(SideWork)), (Some(0.4), None));
    assert_eq!((criteria.limit(FeatureForce), criteria.limit(HubClearance)), (None, Some(0.0)));
}

/// Marginal is a tenth of the limit, of what the limit leaves to lose of a share, of 50 mm of overlap and a second of recovery where the limit is
/// smaller, of the strips over the hub: by hand, just inside and just outside.
#[test]
fn verif_how_wide_marginal_is() {
    use MeasureName::*;
    let left = Some(Side::Left);
    // Value of the invented outcome, limits that are just missed, just marginal, marginal to the end, just passed.
    for (name, side, [missed, met, narrow, wide]) in [
        // 0.91 of 1: a tenth of 1 − limit is left at (0.91 − 0.1)/0.9 = 0.9.
        (NoseWashed, None, [0.911, 0.91, 0.901, 0.899]),
        (SideWashed, left, [0.921, 0.92, 0.912, 0.911]),
        (TailWashed, None, [0.931, 0.93, 0.923, 0.922]),
        // 0.15 m: 0.15/1.1 = 0.1364.
        (NoseOverlap, None, [0.151, 0.15, 0.137, 0.136]),
        (SidePressureMean, left, [12.1, 12.0, 10.91, 10.90]),
        (SidePressurePeak, left, [21.9, 22.0, 24.4, 24.5]),
        (TailGap, None, [0.129, 0.13, 0.144, 0.145]),
        (ChaseDelay, left, [1.99, 2.0, 2.22, 2.23]),
        (RecoveryMargin, left, [4.01, 4.0, 3.64, 3.63]),
        (StopCompression, left, [0.010_9, 0.011, 0.012_2, 0.012_3]),
        (SpindlePower, left, [100.9, 101.0, 112.2, 112.3]),
    ] {
        let outcome = invented();
        for (limit, verdict) in [
            (missed, Verdict::Fail),
            (met, Verdict::Marginal),
            (narrow, Verdict::Marginal),
            (wide, Verdict::Pass),
        ] {
            let line = alone(&outcome, name, side, limit).expect("it is judged");
            // At a limit that a share of 0.91 just meets rounding decides.
            let at = (line.value.expect("a number") - limit).abs() < 1e-12;
            assert!(line.verdict == verdict || at, "{name:?} {limit}: {:?}", line.verdict);
        }
    }
    let verdict = |outcome: &Outcome, name: MeasureName, side: Option<Side>, limit: f64| {
        alone(outcome, name, side, limit).expect("it is judged").verdict
    };
    let mut outcome = invented();
    for (limit_m, value_m, want) in [
        (0.0, 0.004_9, Verdict::Marginal),
        (0.0, 0.005_1, Verdict::Pass),
        (-0.04, -0.035_1, Verdict::Marginal),
        (-0.04, -0.034_9, Verdict::Pass),
        (-0.2, -0.181, Verdict::Marginal),
        (-0.2, -0.179, Verdict::Pass),
        (-0.2, -0.201, Verdict::Fail),
    ] {
        outcome.overlap.nose_m = Some(value_m);
        assert_eq!(verdict(&outcome, NoseOverlap, None, limit_m), want, "{limit_m} {value_m}");
    }
    for (limit_s, value_s, want) in [
        (0.0, 0.09, Verdict::Marginal),
        (0.0, 0.11, Verdict::Pass),
        (0.5, 0.59, Verdict::Marginal),
        (0.5, 0.61, Verdict::Pass),
        (2.0, 2.19, Verdict::Marginal),
        (2.0, 2.21, Verdict::Pass),
    ] {
        outcome.units[0].recovery_margin_s = Some(value_s);
        assert_eq!(verdict(&outcome, RecoveryMargin, left, limit_s), want, "{limit_s} {value_s}");
    }
    // Strips of 0.32 m: 0.032 m over the hub are marginal.
    for (press_m, want) in [
        (0.289, Verdict::Marginal),
        (0.287, Verdict::Pass),
        (0.32, Verdict::Marginal),
        (0.321, Verdict::Fail),
    ] {
        (outcome.units[0].peak_indentation_m, outcome.units[0].hub_clearance_m) = (press_m, 0.32 - press_m);
        assert_eq!(verdict(&outcome, HubClearance, left, 0.0), want, "{press_m}");
    }
}

/// A margin on an edge, 0.7 s worse on its other side, is marginal at best if it would miss the limit there; and what does not exist fails, but for a
/// bumper that is not met: then there is nothing to judge.
#[test]
fn verif_edges_and_what_does_not_exist() {
    use MeasureName::*;
    let left = Some(Side::Left);
    let mut outcome = invented();
    outcome.units[0].recovery_edge_s = Some(0.7);
    for (limit, want) in [(3.2, Verdict::Pass), (3.31, Verdict::Marginal), (4.1, Verdict::Fail)] {
        let line = alone(&outcome, RecoveryMargin, left, limit).expect("judged");
        assert_eq!((line.verdict, line.edge), (want, Some(0.7)), "{limit}");
    }
    assert_eq!(alone(&outcome, ChaseDelay, left, 9.0).expect("judged").edge, None);
    assert_eq!(alone(&outcome, RecoveryMargin, Some(Side::Right), 1.0).expect("judged").edge, None);
    outcome.overlap.nose_m = None;
    outcome.units[0].chase_delay_s = None;
    outcome.units[0].recovery_margin_s = None;
    outcome.units[0].stop_peak_compression_m = None;
    outcome.zones[1].mean_pressure_pa = None;
    outcome.zones[2].washed_fraction = None;
    for (name, side) in [
        (NoseOverlap, None),
        (ChaseDelay, left),
        (RecoveryMargin, left),
        (SidePressureMean, left),
        (TailWashed, None),
    ] {
        let line = alone(&outcome, name, side, 0.5).expect("judged");
        assert_eq!((line.value, line.verdict, line.margin()), (None, Verdict::Fail, None), "{name:?}");
    }
    assert_eq!(alone(&outcome, StopCompression, left, 0.5), None);
    // A side without a unit is not judged.
    outcome.units.pop();
    assert_eq!(alone(&outcome, SideWashed, Some(Side::Right), 0.5), None);
    assert!(alone(&outcome, SideWashed, left, 0.5).is_some());
}
