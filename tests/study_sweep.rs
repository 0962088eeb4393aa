//! Sweeps of the demo scenario.

use brusharm::scenario::Scenario;
use brusharm::study::stream::Workers;
use brusharm::study::sweep::{Sweep, SweepPlan};
use brusharm::study::table::{Cell, Row};

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
fn verif_a_failing_point_is_a_row_with_its_reason() {
    // A vehicle that sits too far off the track is refused by the scenario: a row with its reason.
    let sweep = sweep(&["vehicle.lateral_offset=0 in,6 in,18 in", "left.bearings.lower_offset=-1in,0in"]);
    let rows = rows(&sweep, 2);
    let reason = sweep.columns().iter().position(|c| c.name == "reason").unwrap();
    let verdict = sweep.columns().iter().position(|c| c.name == "verdict").unwrap();
    let failed: Vec<&Row> = rows.iter().filter(|row| row[reason] != Cell::Missing).collect();
    assert!(!failed.is_empty() && failed.len() < rows.len(), "{} of {}", failed.len(), rows.len());
    for row in failed {
        assert_eq!(row[verdict], Cell::Missing);
        assert!(row[reason].as_text().unwrap().len() > 10);
    }
    let order: Vec<_> = rows.iter().map(|row| row[0].clone()).collect();
    assert_eq!(order, (0..6).map(Cell::Count).collect::<Vec<_>>());
}
