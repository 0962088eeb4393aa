//! Where a run starts: beside the first vehicle of the train, half of it gone by.

use super::common::machine::{setup, solve};
use brusharm::vehicle::fleet;

/// What went before dies away: behind one vehicle, met half way along its side, the numbers are those behind four, as far as a train has
/// settled numbers at all (beyond 100 vehicles/h on this machine an arm meets the next nose still swinging, and each train differs).
#[test]
fn verif_one_vehicle_ahead_stands_for_a_train() {
    let mut compared = 0;
    for spec in [fleet::sedan(), fleet::crossover(), fleet::pickup()] {
        for throughput in [60.0, 80.0, 100.0] {
            let one = setup(&spec, throughput);
            let mut four = one.clone();
            for _ in 0..3 {
                four.train.insert(0, one.train[0].clone());
            }
            four.measured = 4;
            let ((_, a), (_, b)) = (solve(&one), solve(&four));
            for (x, y) in a.verdicts.iter().zip(&b.verdicts) {
                let (Some(x_value), Some(y_value)) = (x.value, y.value) else {
                    assert_eq!(x.value.is_some(), y.value.is_some());
                    continue;
                };
                let off = (x_value - y_value).abs();
                let place = format!("{} at {throughput}/h, {}: {x_value} then {y_value}", spec.name, x.key());
                assert!(off <= 0.012 * y_value.abs().max(0.01), "{place}");
                compared += usize::from(off > 0.0);
            }
        }
    }
    assert!(compared > 50, "{compared}");
}
