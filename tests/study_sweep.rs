//! Sweeps of the demo scenario.

use brusharm::arm::Side;
use brusharm::calibrate::{ALL_MET, PointIntervals, interval_columns, intervals};
use brusharm::coverage::MeasureName;
use brusharm::coverage::Verdict;
use brusharm::scenario::Scenario;
use brusharm::study::point::evaluate;
use brusharm::study::stream::Workers;
use brusharm::study::summary::Summary;
use brusharm::study::sweep::highest::RESOLUTION_PER_H;
use brusharm::study::sweep::{Sweep, SweepPlan};
use brusharm::study::table::{Cell, Row};
use brusharm::vehicle::FeatureKind;

fn demo() -> Scenario {
    Scenario::read_alone(include_str!("../scenarios/ferry-return.ron"), "ferry-return.ron").unwrap()
}

fn sweep(over: &[&str]) -> Sweep {
    let plan = SweepPlan { over: over.iter().map(|s| (*s).to_owned()).collect(), ..SweepPlan::default() };
    Sweep::new(&[("demo".to_owned(), demo())], &plan).unwrap()
}

fn rows(sweep: &Sweep, threads: usize) -> Vec<Row> {
    let mut rows = Vec::new();
    let sink = |row, _| {
        rows.push(row);
        Ok::<(), ()>(())
    };
    sweep.run(0..sweep.design().rows(), Workers::new(threads), sink).unwrap();
    rows
}

/// Beside each point stand the intervals of the pass there, of the same machines drawn.
#[test]
fn verif_intervals_of_a_sweep_are_those_of_its_passes() {
    let gap = MeasureName::TailGap.whole();
    let over = ["throughput=120,140"];
    let bare = sweep(&over);
    let told = sweep(&over).beside(Box::new(PointIntervals::new(8, 1, vec![gap])));
    assert_ne!(bare.fingerprint(), told.fingerprint());
    let (bare_rows, told_rows) = (rows(&bare, 2), rows(&told, 2));
    let [from, to, chance] = interval_columns(gap);
    assert_eq!(from, "tail_gap_from_m");
    let at =
        |name: &str| told.columns().iter().position(|c| c.name == name).unwrap_or_else(|| panic!("{name}"));
    assert_eq!(at("reason"), told.columns().len() - 1);
    for (i, throughput) in ["120 veh/h", "140 veh/h"].into_iter().enumerate() {
        let scenario = demo().with(&[("line.throughput", throughput)]).unwrap();
        let found = intervals(&scenario, 8, 1).unwrap();
        let line = found.measures.iter().find(|line| line.measure == gap).unwrap();
        let [low, _, high] = line.quantiles.unwrap();
        let cell = |name: &str| told_rows[i][at(name)].as_number();
        assert_eq!((cell(&from), cell(&to)), (Some(low), Some(high)));
        assert_eq!(cell(&chance), line.met.as_ref().map(|met| met.share));
        assert_eq!(cell(ALL_MET), found.all_met.as_ref().map(|met| met.share));
        assert!(high > 0.01, "{high}");
        // All else is as it was.
        let mut rest = told_rows[i].clone();
        rest.drain(at(&from)..at("reason"));
        assert_eq!(rest, bare_rows[i]);
    }
}

#[test]
fn verif_rows_are_the_same_for_any_number_of_threads() {
    let sweep = sweep(&[
        "throughput=80..120:20",
        "both.bearings.lower_offset=-1/8in,1/8in",
        "vehicle=sedan,high-roof van",
    ]);
    assert_eq!(sweep.design().rows(), 12);
    let one = rows(&sweep, 1);
    for threads in [2, 3, 7] {
        assert!(rows(&sweep, threads) == one, "{threads} threads");
    }
    let gap = sweep.columns().iter().position(|c| c.name == "tail_gap_m").unwrap();
    let gaps: Vec<f64> = one.iter().filter_map(|row| row[gap].as_number()).collect();
    assert_eq!(gaps.len(), 12);
    assert!(gaps.iter().any(|g| *g > 0.01), "{gaps:?}");
}

#[test]
fn verif_failing_points_of_every_kind_are_rows_with_their_reasons() {
    // A vehicle too far off the track is refused by the scenario before any pass; a heavy arm whose brush grabs and turns inboard at the nose jams
    // during the pass; the same with little friction is computed.
    let heavy = demo()
        .with(&[("left.counterweight.mass", "500 lb"), ("left.brush.spin_sense", "InboardAtNose")])
        .unwrap();
    let plan = SweepPlan {
        over: [
            "vehicle=sedan,high-roof van",
            "vehicle.lateral_offset=0 in,18 in",
            "left.brush.friction=0.1,2",
        ]
        .map(str::to_owned)
        .to_vec(),
        ..SweepPlan::default()
    };
    let sweep = Sweep::new(&[("demo".to_owned(), heavy)], &plan).unwrap();
    let rows = rows(&sweep, 2);
    let at = |name: &str| sweep.columns().iter().position(|c| c.name == name).unwrap();
    let (reason, verdict) = (at("reason"), at("verdict"));
    let said = |row: &Row| row[reason].as_text().map(str::to_owned);
    let reasons: Vec<String> = rows.iter().filter_map(said).collect();
    let of = |words: &str| reasons.iter().filter(|reason| reason.contains(words)).count();
    assert_eq!((of("does not fit the lane"), of("jams the left brush") > 0), (4, true), "{reasons:#?}");
    assert!(reasons.len() < rows.len(), "{reasons:#?}");
    for row in &rows {
        let numbers = row[4..reason].iter().filter(|cell| **cell != Cell::Missing).count();
        assert_eq!(said(row).is_none(), numbers > 0);
        assert_eq!(said(row).is_none(), row[verdict] != Cell::Missing);
    }
    let order: Vec<_> = rows.iter().map(|row| row[0].clone()).collect();
    assert_eq!(order, (0..8).map(Cell::Count).collect::<Vec<_>>());
}

#[test]
fn verif_a_brush_pressed_to_its_hub_is_computed_and_fails() {
    // Twenty times the counterweight: the strips are used up and the hub meets the mirror, but the arm still gives way. The law of the hub covers
    // that, so the pass has numbers: they fail, by name.
    let heavy = demo().with(&[("left.counterweight.mass", "500 lb")]).unwrap();
    let setup = heavy.setup();
    let record = brusharm::pass::run(&setup).unwrap();
    let audit = record.audit();
    assert!(audit.work_in_j() > 100.0 && audit.residual_fraction().unwrap().abs() < 1e-5, "{audit:?}");
    let result = evaluate(&heavy);
    assert_eq!((result.reason(), result.verdict()), (None, Some(Verdict::Fail)));
    let reading = |measure| *result.reading(measure).unwrap();
    let hub = reading(MeasureName::HubClearance.of(Side::Left));
    assert_eq!(hub.verdict, Some(Verdict::Fail));
    // Past the hub by centimetres, far from flat on the spindle, which would be a jam.
    assert!(hub.value.unwrap() < -0.01 && hub.value.unwrap() > -0.1, "{hub:?}");
    let mirror = reading(MeasureName::FeatureForce.on(FeatureKind::Mirror, Side::Left));
    assert!(mirror.value.unwrap() > 10.0 * mirror.limit.unwrap(), "{mirror:?}");
    // The hub decides, and the other side stays as it was.
    assert_eq!(result.deciding().unwrap().0, MeasureName::HubClearance.of(Side::Left));
    assert!(result.value(MeasureName::HubClearance.of(Side::Right)).unwrap() > 0.05);
}

#[test]
fn verif_the_highest_throughput_passes_and_the_next_does_not() {
    let per_h = |rate: f64| format!("{rate:.1} veh/h");
    let verdict = |rate: &str| evaluate(&demo().with(&[("throughput", rate)]).unwrap()).verdict();
    let sweep = sweep(&["throughput=60..180:40"]);
    let mut summary = Summary::new(sweep.design().axes(), sweep.columns(), 4, MeasureName::TailGap.whole());
    rows(&sweep, 0).iter().for_each(|row| summary.add(row));
    let highest = sweep.highest_throughput(&summary).unwrap();
    let mut edges = 0;
    for (found, worst) in [(&highest.passes, Verdict::Pass), (&highest.meets, Verdict::Marginal)] {
        let fine = |rate: f64| verdict(&per_h(3600.0 * rate)).is_some_and(|v| v <= worst);
        let Some(at) = found.throughput_per_s else {
            // Then the lowest of the sweep does not do.
            assert!(!fine(60.0 / 3600.0));
            continue;
        };
        assert!(fine(at), "{found:?}");
        if let Some(beyond) = &found.beyond {
            assert!(!fine(beyond.throughput_per_s), "{found:?}");
            let apart = 3600.0 * (beyond.throughput_per_s - at);
            assert!(apart > 0.0 && apart < RESOLUTION_PER_H * 1.000_001, "{apart}");
            assert_eq!(beyond.point.verdict(), verdict(&per_h(3600.0 * beyond.throughput_per_s)));
            edges += 1;
        }
    }
    assert!(highest.meets.throughput_per_s >= highest.passes.throughput_per_s);
    assert!(edges > 0, "nothing to find here: {highest:?}");
}

/// From where the lowest swept throughput does not pass there is none; what passes again past it is told, not counted.
#[test]
fn verif_what_passes_again_is_told_and_not_counted() {
    let sweep = sweep(&["throughput=20..140:40"]);
    let mut summary = Summary::new(sweep.design().axes(), sweep.columns(), 4, MeasureName::TailGap.whole());
    let rows = rows(&sweep, 0);
    rows.iter().for_each(|row| summary.add(row));
    let passes = sweep.highest_throughput(&summary).unwrap().passes;
    let fine = |rate: f64| {
        let rate = format!("{rate} veh/h");
        evaluate(&demo().with(&[("throughput", &rate)]).unwrap()).verdict() == Some(Verdict::Pass)
    };
    assert!(!fine(20.0));
    assert_eq!(passes.throughput_per_s, None);
    let beyond = passes.beyond.expect("the lowest of the sweep");
    assert!((3600.0 * beyond.throughput_per_s - 20.0).abs() < 1e-9, "{beyond:?}");
    let again: Vec<f64> = [60.0, 100.0, 140.0].into_iter().filter(|rate| fine(*rate)).collect();
    assert!(!again.is_empty());
    let told: Vec<f64> = passes.again_per_s.iter().map(|rate| (3600.0 * rate).round()).collect();
    assert_eq!(told, again);
}

#[test]
fn verif_there_is_no_highest_throughput_of_a_sweep_over_something_else() {
    let refusal = sweep(&["both.bearings.lower_offset=-1/8in,1/8in"]).throughput_axis().unwrap_err();
    assert!(refusal.problem.contains("not over throughput"), "{refusal:?}");
}
