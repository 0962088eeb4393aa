//! Same input, same bits: repeated runs, and any number of threads. (Debug and release builds are compared by the snapshots and frozen numbers
//! of the other tests, which hold in both.)

use brusharm::coverage::{Outcome, measure};
use brusharm::pass::{Record, run};
use brusharm::scenario::Scenario;

fn compute(scenario: &Scenario) -> (Record, Outcome) {
    let setup = scenario.setup();
    let record = run(&setup).expect("it runs");
    let outcome = measure(&setup, &record, &scenario.coverage_settings(), &scenario.criteria());
    (record, outcome)
}

/// Every number of a record, as bits.
fn bits(record: &Record) -> Vec<u64> {
    let mut list = Vec::new();
    for unit in &record.units {
        for step in &unit.steps {
            list.push(step.start_s.to_bits());
            list.extend(step.coefficients.iter().flatten().map(|c| c.to_bits()));
        }
    }
    list
}

#[test]
fn verif_same_bits_again_and_with_any_number_of_threads() {
    let text = include_str!("../scenarios/ferry-return.ron");
    let demo = Scenario::read_alone(text, "ferry-return.ron").expect("the demo is good");
    let (record, outcome) = compute(&demo);
    let first = bits(&record);
    assert!(first.len() > 10_000 && record.audit().turnover_j > 100.0);
    for threads in [1, 2, 5] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        let (again, again_outcome) = pool.install(|| compute(&demo));
        assert!(bits(&again) == first, "{threads} threads gave other bits");
        assert_eq!(again_outcome, outcome);
    }
}

#[test]
fn verif_opposite_brushes_that_touch_give_the_same_bits() {
    let text = include_str!("../scenarios/opposite-pair.ron");
    let pair = Scenario::read_alone(text, "opposite-pair.ron").expect("it is good");
    let (one, two) = (compute(&pair).0, compute(&pair).0);
    assert!(one.audit().brushes_j.abs() > 0.0, "the brushes never touch");
    assert!(bits(&one) == bits(&two));
}
