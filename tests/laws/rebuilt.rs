//! The motion as it was rebuilt from the page of laws, by another integrator with rays in place of closed forms (`tests/rebuild`): the engine keeps to it, all along.

use brusharm::pass::run;
use brusharm::scenario::Scenario;

/// How far the engine may be off, deg: what `tests/rebuild` allows.
const OFF_DEG: f64 = 0.03;

/// Holds a scenario against the rows that are kept of it.
fn holds(name: &str, rows: &str) {
    let path = format!("{}/scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the scenario");
    let record = run(&Scenario::read_alone(&text, &path).expect("good").setup()).expect("runs");
    let (mut compared, mut turned_deg) = (0, 0.0_f64);
    for row in rows.lines().filter(|line| !line.starts_with('#')) {
        let mut values = row.split(',').map(|value| value.parse::<f64>().expect("a number"));
        let t_s = values.next().expect("a time");
        let mut units = 0;
        for (unit, phi_rad) in record.units.iter().zip(values) {
            units += 1;
            if t_s < unit.start_s() || t_s > unit.end_s() {
                continue;
            }
            let own_rad = unit.state_at(t_s).phi_rad();
            let off_deg = (own_rad - phi_rad).to_degrees();
            assert!(off_deg.abs() < OFF_DEG, "{name}, {} unit, {t_s} s: {off_deg} deg", unit.side.name());
            turned_deg = turned_deg.max((phi_rad - unit.rest_phi_rad).to_degrees().abs());
            compared += 1;
        }
        assert_eq!(units, record.units.len(), "{name}");
    }
    assert!(compared > 300 && turned_deg > 15.0, "{name}: {compared} {turned_deg}");
}

/// One arm, first in line: every part, from rest to the next nose.
#[test]
fn verif_one_unit_moves_as_rebuilt() {
    holds("one-unit", include_str!("data/rebuilt-one-unit.csv"));
}

/// Both arms behind another vehicle, the right one mirrored.
#[test]
fn verif_a_pair_moves_as_rebuilt() {
    holds("ferry-return", include_str!("data/rebuilt-ferry-return.csv"));
}

/// Brushes that press on each other.
#[test]
fn verif_opposite_brushes_move_as_rebuilt() {
    holds("opposite-pair", include_str!("data/rebuilt-opposite-pair.csv"));
}

/// Valves that follow the vehicle, and brushes that meet behind its tail.
#[test]
fn verif_a_scheduled_pair_moves_as_rebuilt() {
    holds("air-drop", include_str!("data/rebuilt-air-drop.csv"));
}
