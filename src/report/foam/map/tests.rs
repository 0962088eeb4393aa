use super::*;
use crate::foam::demo;
use crate::foam::regime_map::regime_margins;

#[test]
fn verif_boundaries_of_the_map_are_the_margins() {
    let station = demo();
    let range = PressureRange { from_pa: 0.0, to_pa: 60.0 * super::super::PRESSURE_STEP_PA, count: CELLS };
    let map = regime_map(&station.maker, &station.settings, range, range).unwrap();
    // Column 80 of 0 to 60 psi stands at 40 psi, where the demo is set.
    let runs = column(&station.maker, &map, 80);
    assert!((map.liquid_pa[80] - station.settings.liquid_pressure_pa).abs() < 1e-6);
    let margins = regime_margins(&station.maker, &station.settings).unwrap();
    let mut compared = 0;
    for margin in margins.iter().filter(|m| m.knob == Knob::AirPressure && m.neighbour.is_some()) {
        let boundary = if margin.change > 0.0 {
            runs.iter().find(|run| run.0 == Regime::Good).map(|run| run.2)
        } else {
            runs.iter().find(|run| run.0 == Regime::Good).map(|run| run.1)
        };
        assert!((boundary.unwrap() - margin.boundary).abs() < 1.0, "{boundary:?} {margin:?}");
        compared += 1;
    }
    assert_eq!(compared, 2);
    // Runs follow one another from the bottom of the map to its top, each regime once, in rising say of the air.
    assert_eq!(runs[0].1, 0.0);
    assert_eq!(runs.last().unwrap().2, map.air_pa[CELLS - 1]);
    assert!(runs.windows(2).all(|pair| pair[0].2 == pair[1].1 && pair[0].0 < pair[1].0));
    assert!(runs.len() >= 4);
}

#[test]
fn verif_no_two_regimes_share_a_hatch() {
    let fills: Vec<Option<(HatchKind, f64)>> =
        Regime::ALL[1..].iter().map(|r| fill(*r).hatch.map(|h| (h.kind, h.spacing))).collect();
    for (i, a) in fills.iter().enumerate() {
        assert!(fills[..i].iter().all(|b| a.map(|h| h.0) != b.map(|h| h.0)), "{a:?}");
    }
}
