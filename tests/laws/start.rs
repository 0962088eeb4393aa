//! Where a run starts: beside the first vehicle of the train, half of it gone by.

use super::common::machine::{setup, solve};
use brusharm::scenario::Scenario;
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
                // Where a reach ends is a length along the perimeter: the worst is 0.97 mm, and the overlap may be next to nothing.
                let least = if x.key().contains("overlap") { 1.1e-3 } else { 1.2e-4 };
                assert!(off <= (0.012 * y_value.abs()).max(least), "{place}");
                compared += usize::from(off > 0.0);
            }
        }
    }
    assert!(compared > 50, "{compared}");
}

/// The demo's events come at the same instants behind one more vehicle in front, to less than a video frame could show: whatever the arms did
/// before the start has died away.
#[test]
fn verif_one_more_vehicle_in_front_moves_no_event() {
    let mut compared = 0;
    for name in ["ferry-return", "as-found", "air-drop", "opposite-pair"] {
        let path = format!("{}/scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("the demo");
        let one = Scenario::read_alone(&text, &path).expect("good").setup();
        let mut two = one.clone();
        two.train.insert(0, one.train[0].clone());
        two.measured += 1;
        let ((first, a), (_, b)) = (solve(&one), solve(&two));
        assert!(one.measured > 0 && first.start_s < -1.0, "{name}: {}", first.start_s);
        for (x, y) in a.units.iter().zip(&b.units) {
            assert_eq!(x.events.len(), y.events.len(), "{name}");
            for (event, other) in x.events.iter().zip(&y.events) {
                assert_eq!(event.name, other.name, "{name}");
                let off = (event.time_s - other.time_s).abs();
                assert!(off < 5e-4, "{name}: {:?} at {} or {}", event.name, event.time_s, other.time_s);
                compared += usize::from(off > 0.0);
            }
        }
    }
    assert!(compared > 30, "{compared}");
}
