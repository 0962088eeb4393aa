//! Two arms run apart while their brushes are clear, together while they are not: in one piece, and the energy closes.

use brusharm::pass::run;
use brusharm::scenario::Scenario;

#[test]
fn verif_brushes_that_meet_go_on_without_a_gap() {
    let text = include_str!("../../scenarios/opposite-pair.ron");
    let mut setup = Scenario::read_alone(text, "opposite-pair.ron").expect("good").setup();
    setup.numerics.tolerance = 1e-10;
    let record = run(&setup).expect("runs");
    let audit = record.audit();
    assert!(audit.brushes_j.abs() > 0.1, "{}", audit.brushes_j);
    let residual = audit.residual_fraction().expect("work was done");
    assert!(residual.abs() < 1e-9, "{residual:e}");
    // One after the other without a gap, also where they were taken back to the instant at which they met.
    for unit in &record.units {
        let gaps = unit.steps.windows(2).map(|p| (p[1].start_s - p[0].start_s - p[0].length_s).abs());
        assert!(gaps.fold(0.0, f64::max) < 1e-9 && unit.steps.len() > 100);
    }
}
