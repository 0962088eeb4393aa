//! Numbers that people act on: gaps by zone, overlap, rest and settling, and what is marginal. They must not flatter and must not jump.

use brusharm::arm::Side;
use brusharm::coverage::{Criteria, MeasureName, Outcome, Verdict, VerdictLine, ZoneSummary, measure};
use brusharm::pass::motion::state;
use brusharm::pass::{PassSetup, Record, run};
use brusharm::scenario::Scenario;
use brusharm::vehicle::Zone;

const INCH: f64 = 0.0254;

fn demo() -> Scenario {
    let text = include_str!("../scenarios/ferry-return.ron");
    Scenario::read_alone(text, "ferry-return.ron").expect("the demo is good")
}

fn solved(scenario: &Scenario, changes: &[(&str, &str)]) -> (PassSetup, Record, Outcome) {
    let changed = scenario.with(changes).expect("changes within range");
    let setup = changed.setup();
    let record = run(&setup).expect("the pass runs");
    let outcome = measure(&setup, &record, &changed.coverage_settings(), &changed.criteria());
    (setup, record, outcome)
}

fn zone(outcome: &Outcome, zone: Zone) -> &ZoneSummary {
    outcome.zones.iter().find(|z| z.zone == zone).expect("every zone is summed up")
}

fn line(outcome: &Outcome, criterion: MeasureName) -> &VerdictLine {
    outcome.verdicts.iter().find(|l| l.criterion == criterion).expect("judged")
}

/// A brush alone leaves the far half of the tail and the whole far side: one gap runs over both, and each counts what lies in it.
#[test]
fn verif_a_gap_over_two_zones_counts_in_each() {
    let text =
        include_str!("../scenarios/one-unit.ron").replace("tail_washed: \"45 %\"", "tail_gap: \"12 in\"");
    let alone = Scenario::read_alone(&text, "one-unit.ron").expect("good");
    let (setup, _, outcome) = solved(&alone, &[]);
    let tail = zone(&outcome, Zone::Tail);
    let washed = tail.washed_fraction.expect("judged");
    assert!((0.3..0.7).contains(&washed), "{washed}");
    // The least tail of any band, less what is washed of the most washed one: no gap is shorter than half a metre.
    let gap_m = tail.longest_gap_m.expect("judged");
    assert!(gap_m > 0.5, "{washed} of the tail is washed, and the gap on it is {gap_m} m");
    assert_eq!(line(&outcome, MeasureName::TailGap).verdict, Verdict::Fail);
    assert_eq!(MeasureName::TailGap.whole().read(&outcome).value, Some(gap_m));
    // The far side is never touched: its gap is as long as the side, at every height.
    let vehicle = &setup.train[setup.measured].shape.real;
    let side = outcome.coverage.bands.iter().filter(|b| {
        let of_side = |s: &&brusharm::coverage::Station| s.zone == Zone::RightSide;
        b.stations.iter().filter(of_side).all(|s| s.judged)
    });
    let length = |band: usize| vehicle.bands[band].body().expect("a body").zone_length_m(Zone::RightSide);
    let longest = side.map(|b| length(b.band)).fold(0.0, f64::max);
    let found = zone(&outcome, Zone::RightSide).longest_gap_m.expect("judged");
    assert!(longest > 2.0 && (found - longest).abs() < 1e-9, "{found} m of a side of {longest} m");
    // Every part lies within the gap, and together they are all of it.
    for gap in &outcome.gaps {
        let sum: f64 = gap.parts_m.iter().sum();
        assert!(sum <= gap.length_m() + 1e-9 && sum > gap.length_m() - 1e-9, "{gap:?}");
    }
}

/// Without spin and with little friction the brushes never get to the tail: the gap on it is the tail, and a nudge cannot make it better
/// by losing it.
#[test]
fn verif_an_untouched_zone_has_a_gap_as_long_as_itself() {
    let slack = [("both.brush.spin", "0 rpm"), ("both.brush.friction", "0.1")];
    let (setup, _, outcome) = solved(&demo(), &slack);
    let tail = zone(&outcome, Zone::Tail);
    assert_eq!(tail.washed_fraction, Some(0.0));
    let vehicle = &setup.train[setup.measured].shape.real;
    let judged = outcome
        .coverage
        .bands
        .iter()
        .filter(|b| b.stations.iter().filter(|s| s.zone == Zone::Tail).all(|s| s.judged));
    let longest = judged
        .map(|b| vehicle.bands[b.band].body().expect("a body").zone_length_m(Zone::Tail))
        .fold(0.0, f64::max);
    let gap_m = tail.longest_gap_m.expect("judged");
    assert!(longest > 1.0 && (gap_m - longest).abs() < 1e-9, "{gap_m} m of a tail of {longest} m");
    assert_eq!(line(&outcome, MeasureName::TailGap).verdict, Verdict::Fail);
}

/// A zone that nothing reaches far enough to be judged has no gap, which is not a gap of no length.
#[test]
fn verif_a_zone_with_nothing_judged_has_no_gap_to_tell() {
    let (setup, record, _) = solved(&demo(), &[]);
    let settings =
        brusharm::coverage::CoverageSettings { judged_depth_m: -1.0, ..demo().coverage_settings() };
    let outcome = measure(&setup, &record, &settings, &demo().criteria());
    for summary in &outcome.zones {
        assert_eq!((summary.washed_fraction, summary.longest_gap_m), (None, None), "{summary:?}");
    }
    assert_eq!(line(&outcome, MeasureName::TailGap).verdict, Verdict::Fail);
    // Where all that is judged is washed, the gap is 0.
    let (_, _, slow) = solved(&demo(), &[("line.throughput", "40 veh/h")]);
    assert_eq!(zone(&slow, Zone::LeftSide).longest_gap_m, Some(0.0));
    assert_eq!(MeasureName::TailGap.whole().read(&slow).value, zone(&slow, Zone::Tail).longest_gap_m);
}

/// Two brushes that lean on each other rest where they stand, and they settle there: foam, which friction holds, and cloth, whose strips run along with each other and
/// resist like a thick oil what little they slide, so that the arms still creep toward their rest for minutes.
#[test]
fn verif_brushes_that_lean_on_each_other_settle() {
    let foam = include_str!("../scenarios/ferry-return.ron").replace(
        "media: Limp(mass: \"44 lb\")",
        "media: Stiff(push_back: (depth: \"6 in\", force: \"14 lbf\", height: \"48 in\"), measured_at: \"90 rpm\", mass: \"55 lb\")",
    );
    let near = [("right.position", "8 in"), ("line.throughput", "40 veh/h")];
    for (scenario, within_rad) in
        [(Scenario::read_alone(&foam, "foam.ron").expect("good"), 0.01), (demo(), 0.03)]
    {
        let (setup, record, outcome) = solved(&scenario, &near);
        let single = brusharm::pass::rest_angle_rad(&setup.units[0]).expect("rests");
        for (unit, timing) in record.units.iter().zip(&outcome.units) {
            let last = unit.left_alone.last().expect("followed on");
            let stands = last.value_at(state::PHI, last.start_s + last.length_s);
            assert!(stands > single + 0.01, "pushed off its bumper: {stands} {single}");
            assert!((unit.rest_phi_rad - stands).abs() < within_rad, "{} {stands}", unit.rest_phi_rad);
            let margin = timing.recovery_margin_s.expect("settles");
            assert!(margin > 1.0, "{margin}");
        }
        // At 100 vehicles an hour it is a number as well, whatever its verdict.
        let (_, _, fast) = solved(&scenario, &[near[0], ("line.throughput", "100 veh/h")]);
        assert!(fast.units.iter().all(|u| u.recovery_margin_s.is_some()));
    }
}

/// A locked arm stands still: it has settled.
#[test]
fn verif_a_locked_arm_has_settled() {
    let (mut setup, ..) = solved(&demo(), &[("vehicle.name", "city hatch")]);
    for unit in &mut setup.units {
        unit.pivot.coulomb_n_m = 1e5;
        unit.pivot.breakaway_n_m = 1e5;
    }
    let record = run(&setup).expect("runs");
    for unit in &record.units {
        assert!(unit.steps.iter().all(|s| s.modes.motion == brusharm::pass::motion::Motion::Stick));
        let settled_s = unit.settled_s.expect("it stands");
        assert!((settled_s - unit.start_s()).abs() < 1e-9, "{settled_s}");
    }
}

/// The overlap at the nose moves with the place of the vehicle, without jumps, and alike when it is mirrored.
fn sweep_of_pose(setting: &str, unit: &str, values: &[f64], most_per_step_m: f64) {
    let demo = demo();
    let mut last: Option<(f64, [f64; 2])> = None;
    let mut span = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values {
        let (_, _, out) = solved(&demo, &[(setting, &format!("{value} {unit}"))]);
        let now = [out.overlap.nose_m.expect("two brushes"), out.overlap.tail_m.expect("two brushes")];
        if let Some((before, at)) = last {
            for (end, (a, b)) in ["nose", "tail"].iter().zip(at.iter().zip(now)) {
                let step = (b - a).abs();
                assert!(
                    step <= most_per_step_m,
                    "{end}: {:.2} mm from {before} to {value} {unit}: {a} {b}",
                    1000.0 * step
                );
            }
        }
        span = (span.0.min(now[0]), span.1.max(now[0]));
        last = Some((*value, now));
    }
    assert!(span.1 - span.0 > 1e-4, "it moves at all: {span:?}");
}

#[test]
fn verif_overlap_is_continuous_in_the_lateral_offset() {
    let values: Vec<f64> = (-30..=30).map(|i| f64::from(i) * 0.1).collect();
    // Three times the step itself, and half a millimetre.
    sweep_of_pose("vehicle.lateral_offset", "in", &values, 3.0 * 0.1 * INCH + 5e-4);
}

#[test]
fn verif_overlap_is_continuous_in_the_yaw() {
    let values: Vec<f64> = (-20..=20).map(|i| f64::from(i) * 0.1).collect();
    // A tenth of a degree moves the corners of the sedan by 4.2 mm.
    sweep_of_pose("vehicle.yaw", "deg", &values, 3.0 * 0.0042 + 5e-4);
}

#[test]
fn verif_overlap_keeps_the_plate_apart() {
    let (_, _, out) = solved(&demo(), &[]);
    let (nose, plate) = (out.overlap.nose_m.expect("two"), out.overlap.front_plate_m.expect("a plate"));
    assert!(plate > 0.0 && nose > 0.0 && (nose - plate).abs() > 1e-3, "{nose} {plate}");
    let hood = [("vehicle.lateral_offset", "3 in")];
    let wall = [("vehicle.lateral_offset", "-3 in")];
    let ((_, _, a), (_, _, b)) = (solved(&demo(), &hood), solved(&demo(), &wall));
    // The units are staggered, not mirror images; the machine is symmetric enough for a tenth of an inch.
    assert!((a.overlap.nose_m.expect("two") - b.overlap.nose_m.expect("two")).abs() < 0.5 * INCH);
}

/// The recovery margin moves smoothly with the gap between vehicles, bounce or no bounce.
#[test]
fn verif_a_quarter_inch_of_line_gap_moves_the_recovery_margin_little() {
    let demo = demo();
    let margin = |gap_in: f64| {
        let gap = format!("{gap_in} in");
        let (_, _, out) = solved(&demo, &[("line.throughput", "140 veh/h"), ("line.gap", &gap)]);
        [0, 1].map(|i| out.units[i].recovery_margin_s.expect("settles"))
    };
    let mut before = margin(48.0);
    let (first, mut edges) = (before, 0);
    for k in 1..=48 {
        let gap_in = 48.0 + 0.25 * f64::from(k);
        let now = margin(gap_in);
        for (a, b) in before.iter().zip(now) {
            assert!((b - a).abs() < 0.1, "{a} s to {b} s at {gap_in} in");
        }
        edges += usize::from(now[0] > before[0]);
        before = now;
    }
    assert!(before[0] > first[0] + 0.5, "{first:?} {before:?}");
    assert!(edges > 40, "a wider gap gives more time nearly everywhere: {edges}");
}

#[test]
fn verif_a_little_air_moves_the_recovery_margin_little() {
    let demo = demo();
    let margin = |psi: f64| {
        let air = format!("{psi} psi");
        let (_, _, out) = solved(&demo, &[("line.throughput", "140 veh/h"), ("both.air.cap", &air)]);
        out.units[0].recovery_margin_s.expect("settles")
    };
    let mut before = margin(4.0);
    let first = before;
    for k in 1..=60 {
        let psi = 4.0 + 0.1 * f64::from(k);
        let now = margin(psi);
        assert!((now - before).abs() < 0.1, "{before} s to {now} s at {psi} psi");
        before = now;
    }
    assert!((before - first).abs() > 0.1, "{first} {before}");
}

/// At its limit a number has no margin; what is no number does not pass.
#[test]
fn verif_the_edge_of_a_limit_is_marginal() {
    for (value, verdict) in [
        (0.9, Verdict::Fail),
        (1.0, Verdict::Marginal),
        (1.05, Verdict::Marginal),
        (1.09, Verdict::Marginal),
        (1.11, Verdict::Pass),
        (f64::NAN, Verdict::Fail),
        (f64::INFINITY, Verdict::Fail),
        (f64::NEG_INFINITY, Verdict::Fail),
    ] {
        assert_eq!(Verdict::at_least(value, 1.0, 0.1), verdict, "at least {value}");
        assert_eq!(Verdict::at_most(2.0 - value, 1.0, 0.1), verdict, "at most {}", 2.0 - value);
    }
    assert_eq!(Verdict::at_most(0.0, 0.0, 0.1), Verdict::Marginal);
    assert_eq!(Verdict::at_least(1.0, 1.0, 0.0), Verdict::Marginal);
    assert_eq!(Verdict::at_least(2.0, 1.0, f64::NAN), Verdict::Marginal);
}

/// A hub that clears by a hair is marginal, though its limit is zero; so is a margin just over a limit of zero.
#[test]
fn verif_a_limit_of_zero_has_a_marginal_band() {
    let (_, _, outcome) = solved(&demo(), &[("right.position", "8 in"), ("line.throughput", "40 veh/h")]);
    let hub = line(&outcome, MeasureName::HubClearance);
    let clearance_m = hub.value.expect("a number");
    let strip_m = clearance_m + outcome.units[0].peak_indentation_m;
    assert!(clearance_m > 0.0 && clearance_m < 0.1 * strip_m, "{clearance_m} of {strip_m}");
    assert_eq!(hub.verdict, Verdict::Marginal);
    let (setup, record, plain) = solved(&demo(), &[]);
    assert_eq!(line(&plain, MeasureName::HubClearance).verdict, Verdict::Pass);
    // A margin on no edge, with a limit just below it, and with one of zero far below it.
    assert_eq!(plain.units[0].recovery_edge_s, None);
    let margin = plain.units[0].recovery_margin_s.expect("settles");
    let judged = |limit: f64| {
        let criteria =
            Criteria { marginal_share: 0.1, ..Criteria::default() }.with(MeasureName::RecoveryMargin, limit);
        let outcome = measure(&setup, &record, &demo().coverage_settings(), &criteria);
        line(&outcome, MeasureName::RecoveryMargin).verdict
    };
    assert_eq!(judged(0.99 * margin), Verdict::Marginal);
    assert_eq!((judged(0.0), judged(1.01 * margin)), (Verdict::Pass, Verdict::Fail));
    // Against a limit of zero a margin is marginal within the share of a second, an overlap within that of 50 mm.
    let overlap_m = plain.overlap.nose_m.expect("a pair");
    for (name, value, size) in
        [(MeasureName::RecoveryMargin, margin, 1.0), (MeasureName::NoseOverlap, overlap_m, 0.05)]
    {
        assert!(value > 0.0, "{name:?}");
        for (of_band, want) in [(1.001, Verdict::Marginal), (0.999, Verdict::Pass)] {
            let criteria = Criteria { marginal_share: of_band * value / size, ..Criteria::default() };
            let criteria = criteria.with(name, 0.0);
            let outcome = measure(&setup, &record, &demo().coverage_settings(), &criteria);
            assert_eq!(line(&outcome, name).verdict, want, "{name:?} {value}");
        }
    }
}

/// A margin on an edge is never a plain pass when the other side of the edge fails.
#[test]
fn verif_a_margin_on_an_edge_is_marginal_at_best() {
    let demo = demo();
    let mut edges = 0;
    for k in 0..16 {
        let throughput = format!("{} veh/h", 106.0 + 0.5 * f64::from(k));
        let (setup, record, out) = solved(&demo, &[("line.throughput", &throughput)]);
        let Some(edge_s) = out.units[0].recovery_edge_s else { continue };
        let margin = out.units[0].recovery_margin_s.expect("settles");
        assert!(edge_s > 0.0 && edge_s < 2.0, "{edge_s}");
        edges += 1;
        let judged = |limit: f64| {
            let criteria = Criteria { marginal_share: 1e-6, ..Criteria::default() }
                .with(MeasureName::RecoveryMargin, limit);
            let outcome = measure(&setup, &record, &demo.coverage_settings(), &criteria);
            let line = line(&outcome, MeasureName::RecoveryMargin).clone();
            assert_eq!((line.edge, line.side), (Some(edge_s), Some(Side::Left)));
            line.verdict
        };
        assert_eq!(judged(margin - 0.99 * edge_s), Verdict::Marginal);
        assert_eq!(judged(margin - 1.01 * edge_s), Verdict::Pass);
    }
    assert!(edges > 2, "some of these bounces are neither one thing nor the other: {edges}");
}
