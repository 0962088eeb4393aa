//! Two arms run apart while their brushes are clear come to what they come to when run together all along.

use brusharm::pass::run;
use brusharm::scenario::Scenario;

/// Work between the brushes of the opposite pair, J, both arms as one system from start to end:
/// frozen from the engine as it was before it ran arms apart, at this tolerance, because the engine of today cannot be told to.
const TOGETHER_J: f64 = 0.388_768_218_431_394_9;

#[test]
fn regress_brushes_that_meet_do_the_same_work_as_when_run_together_all_along() {
    let text = include_str!("../../scenarios/opposite-pair.ron");
    let mut setup = Scenario::read_alone(text, "opposite-pair.ron").expect("good").setup();
    setup.numerics.tolerance = 1e-10;
    let record = run(&setup).expect("runs");
    let audit = record.audit();
    assert!((audit.brushes_j / TOGETHER_J - 1.0).abs() < 1e-5, "{}", audit.brushes_j);
    let residual = audit.residual_fraction().expect("work was done");
    assert!(residual.abs() < 1e-9, "{residual:e}");
    // One after the other without a gap, also where they were taken back to the instant at which they met.
    for unit in &record.units {
        let gaps = unit.steps.windows(2).map(|p| (p[1].start_s - p[0].start_s - p[0].length_s).abs());
        assert!(gaps.fold(0.0, f64::max) < 1e-9 && unit.steps.len() > 100);
    }
}
