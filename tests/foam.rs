//! The foam station against outside references and the trade's common practice, and the foam maker's own laws.
//!
//! Outside values stand with their sources in `validation/data/foam.json`.

#[path = "common/residual.rs"]
#[macro_use]
mod residual;

use approx::assert_relative_eq;
use brusharm::fluid::liquid::{
    WATER_20C, bore_area_m2, hagen_poiseuille_flow_m3_s, orifice_flow_m3_s, pipe_reynolds,
};
use brusharm::fluid::{ATMOSPHERE_PA, R_AIR_J_KG_K, iso6358_mass_flow_kg_s};
use brusharm::foam::demo;
use brusharm::foam::dilution::{
    DilutionConditions, Draw, Injector, Strainer, ratio_of_share, share_of_ratio, venturi_throat_pa,
};
use brusharm::foam::foam_maker::{FoamBalance, FoamMaker, FoamSettings, air_per_liquid, expansion_ratio};
use brusharm::foam::regime::Regime;
use brusharm::foam::regime_map::{Knob, PressureRange, knob_effects, regime_map, regime_margins};
use brusharm::foam::station::{Station, StationNote};
use serde_json::Value;

const PSI: f64 = 6_894.757_293_168_361;
const IN: f64 = 0.0254;
const GPM: f64 = 3.785_411_784e-3 / 60.0;
const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;

fn data() -> Value {
    serde_json::from_str(include_str!("validation/data/foam.json")).expect("the data file is JSON")
}

fn num(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no number «{key}» in {value}"))
}

fn rows(value: &Value, key: &str) -> Vec<Value> {
    let rows = value[key].as_array().unwrap_or_else(|| panic!("no rows «{key}»")).clone();
    assert!(rows.len() >= 5, "too few rows in «{key}»");
    rows
}

fn at(station: &Station, liquid_psi: f64, air_psi: f64) -> FoamBalance {
    let settings = FoamSettings {
        liquid_pressure_pa: liquid_psi * PSI,
        air_pressure_pa: air_psi * PSI,
        needle_step: station.settings.needle_step,
    };
    station.maker.balance(&settings).expect("inside the documented range")
}

// ---- outside references ----------------------------------------------------------------------------------------------

/// Orifice equation on CoolProp water (source line 1 of the data file); NFPA 291's constant to 4 in 10 000.
#[test]
fn val_orifice_flows() {
    let data = data();
    held!((num(&data["water_20c"], "density_kg_m3") / WATER_20C.density_kg_m3 - 1.0).abs(), 1e-12);
    held!((num(&data["water_20c"], "viscosity_pa_s") / WATER_20C.viscosity_pa_s - 1.0).abs(), 1e-12);
    for row in rows(&data, "orifice") {
        let bore_m = num(&row, "bore_in") * IN;
        let q =
            orifice_flow_m3_s(0.61, bore_area_m2(bore_m), num(&row, "psi") * PSI, WATER_20C.density_kg_m3);
        assert!(q > 1e-7);
        held!((q / num(&row, "flow_m3_s") - 1.0).abs(), 1e-10);
        held!((q / GPM / num(&row, "gpm") - 1.0).abs(), 1e-10);
        held!((q / GPM / num(&row, "nfpa_gpm") - 1.0).abs(), 4e-4);
        let reynolds = pipe_reynolds(q, bore_m, WATER_20C.density_kg_m3, WATER_20C.viscosity_pa_s);
        held!((reynolds / 0.61 / num(&row, "jet_reynolds") - 1.0).abs(), 1e-9);
    }
}

/// Dilution arithmetic by definition, and NFPA 11's «3 percent = 97 parts water to 3 parts concentrate».
#[test]
fn val_dilution_arithmetic() {
    for row in rows(&data(), "dilution") {
        let ratio = num(&row, "water_parts");
        held!((share_of_ratio(ratio) * 100.0 / num(&row, "concentrate_percent") - 1.0).abs(), 1e-12);
        held!((ratio_of_share(share_of_ratio(ratio)) / ratio - 1.0).abs(), 1e-12);
        held!((128.0 / ratio / num(&row, "oz_per_gal_water") - 1.0).abs(), 1e-12);
    }
    held!((ratio_of_share(0.03) / (97.0 / 3.0) - 1.0).abs(), 1e-12);
}

/// Venturi throat by Bernoulli: at 2 gpm through 0.5 → 0.12 in on 40 psig the throat stands at +18.4 psig, no suction; it
/// reaches atmosphere at 2.723 gpm.
#[test]
fn val_venturi_suction_limit() {
    let row = &data()["venturi"];
    let (inlet, throat) = (num(row, "inlet_bore_in") * IN, num(row, "throat_bore_in") * IN);
    let supply = num(row, "inlet_psi") * PSI;
    let pa = venturi_throat_pa(supply, num(row, "flow_gpm") * GPM, inlet, throat);
    assert!(pa > 0.0);
    // The reference's water is 998.2 kg/m³, ours 998.33: the drop from inlet to throat goes with the density.
    let lighter = num(row, "reference_density_kg_m3") / WATER_20C.density_kg_m3;
    let drop_psi = num(row, "inlet_psi") - num(row, "throat_psi");
    held!(((supply - pa) / PSI * lighter / drop_psi - 1.0).abs(), 1e-8);
    let zero = venturi_throat_pa(supply, num(row, "flow_for_zero_gauge_gpm") * GPM, inlet, throat);
    held!(((supply - zero) / PSI * lighter / num(row, "inlet_psi") - 1.0).abs(), 1e-8);

    // The whole model says the same: a back pressure that holds the flow at 2 gpm loses the suction, with this throat.
    let mut station = demo();
    station.dilution.strainer = Strainer::Loss { bore_m: 0.05, loss_coefficient: 0.0 };
    station.dilution.injector = Injector::Bores {
        inlet_bore_m: inlet,
        throat_bore_m: throat,
        nozzle_coefficient: 1.0,
        recovery: 0.4,
    };
    let mut conditions = DilutionConditions::clean(supply, 0.0);
    let throat_at = |back_pa: f64, conditions: &mut DilutionConditions| {
        conditions.outlet_pressure_pa = back_pa;
        station.dilution.solve(conditions).expect("in range")
    };
    let (mut low, mut high) = (0.0, supply);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if throat_at(middle, &mut conditions).water_flow_m3_s > 2.0 * GPM {
            low = middle
        } else {
            high = middle
        }
    }
    let held = throat_at(high, &mut conditions);
    held!((held.throat_pa / pa - 1.0).abs(), 1e-6);
    assert_eq!(held.draw, Draw::SuctionLost);
    assert_eq!(held.ratio, None);
}

/// Laminar tip limit by Hagen–Poiseuille at 10 cP (the 1 cP figure of the source is outside the law).
#[test]
fn val_laminar_tip_limit() {
    let row = &data()["hagen_poiseuille"];
    let (d, l, mu) = (num(row, "bore_in") * IN, num(row, "length_in") * IN, num(row, "viscosity_pa_s"));
    let q = hagen_poiseuille_flow_m3_s(d, l, num(row, "psi") * PSI, mu);
    assert!(q > 1e-8);
    held!((q * 6e7 / num(row, "ml_min") - 1.0).abs(), 1e-12);
    assert!(pipe_reynolds(q, d, 998.3, mu) < 100.0);
}

/// Expansion at atmosphere and in the line (NFPA 11 definition, Boyle), gas fraction and foam density.
#[test]
fn val_expansion_by_boyle() {
    let data = data();
    let row = &data["foam"];
    let (liquid, air) = (num(row, "liquid_gpm") * GPM, num(row, "air_cfm") * CFM);
    let open = expansion_ratio(liquid, air, ATMOSPHERE_PA);
    let line = expansion_ratio(liquid, air, ATMOSPHERE_PA + num(row, "line_psi") * PSI);
    assert!(line > 1.0 && open > line);
    held!((open / num(row, "expansion_atm") - 1.0).abs(), 1e-6);
    held!((line / num(row, "expansion_line") - 1.0).abs(), 1e-6);
    held!(((1.0 - 1.0 / open) / num(row, "gas_fraction") - 1.0).abs(), 1e-6);
    held!((num(row, "reference_density_kg_m3") / open / num(row, "density_kg_m3") - 1.0).abs(), 1e-6);
    for row in rows(&data, "foam_for_expansion") {
        let cfm_per_gpm = air_per_liquid(num(&row, "expansion")) * GPM / CFM;
        assert!(cfm_per_gpm > 0.1);
        held!((cfm_per_gpm / num(&row, "air_cfm_per_gpm") - 1.0).abs(), 1e-6);
    }
}

/// ISO 6358 flows (data file), and the same law as the foam maker uses it: air alone through the needle valve.
#[test]
fn val_iso6358_through_the_needle() {
    for row in rows(&data(), "iso6358") {
        let (c, b, p1, p2, t1) = (
            num(&row, "c_m3_s_pa"),
            num(&row, "b"),
            num(&row, "p1_pa"),
            num(&row, "p2_pa"),
            num(&row, "t1_k"),
        );
        let expected = num(&row, "flow_kg_s");
        assert!(expected > 1e-4);
        held!((iso6358_mass_flow_kg_s(c, b, p1, p2, t1) / expected - 1.0).abs(), 1e-12);
        // Outlets so wide that the tee is at atmosphere: what enters is the reference's flow into 101 325 Pa.
        if (p2 - ATMOSPHERE_PA).abs() < 1e-6 {
            let mut maker = demo().maker;
            maker.air.check_valve_pa = 0.0;
            maker.air.temperature_k = t1;
            maker.air.needle.full_open_conductance_m3_s_pa = c;
            maker.air.needle.critical_ratio = b;
            maker.outlets.count = 500;
            maker.outlets.bore_m = 0.05;
            maker.outlets.hose_bore_m = 0.1;
            let settings =
                FoamSettings { liquid_pressure_pa: 0.0, air_pressure_pa: p1 - p2, needle_step: 24.0 };
            let balance = maker.balance(&settings).expect("in range");
            held!((balance.air_flow_kg_s / expected - 1.0).abs(), 1e-6);
            assert_eq!(balance.regime, Regime::AirLocked);
        }
    }
}

/// «About 30–40 psi liquid with about 20 psi air makes a solid wet foam; no air, a thin stream; liquid fallen well under
/// 30 psi, the air takes over and it spits»: common practice, no source. It comes out of flows alone.
#[test]
fn verif_common_practice_balance() {
    let station = demo();
    for (liquid, air) in [(30.0, 20.0), (35.0, 20.0), (40.0, 20.0), (35.0, 18.0), (40.0, 22.0)] {
        let balance = at(&station, liquid, air);
        assert_eq!(balance.regime, Regime::Good, "{liquid}/{air}: {balance:?}");
        assert!(balance.liquid_flow_m3_s > 0.5 * GPM);
    }
    for liquid in [30.0, 35.0, 40.0] {
        let balance = at(&station, liquid, 0.0);
        assert_eq!(balance.regime, Regime::LiquidOnly);
        assert_eq!(balance.expansion_ratio.map(f64::to_bits), Some(1.0_f64.to_bits()));
    }
    for liquid in [20.0, 15.0, 10.0] {
        let balance = at(&station, liquid, 20.0);
        assert_eq!(balance.regime, Regime::Pulsing, "{liquid}: {balance:?}");
        assert!(balance.liquid_flow_m3_s < 0.6 * at(&station, 40.0, 20.0).liquid_flow_m3_s);
        assert!(balance.air_flow_kg_s > at(&station, 40.0, 20.0).air_flow_kg_s);
    }
}

/// Why 20 psi of air enters against 40 psi of liquid: the restrictor takes the liquid down to a tee under 20 psi. Without
/// that drop the air stays out.
#[test]
fn verif_where_the_pressure_drops() {
    let station = demo();
    let good = at(&station, 40.0, 20.0);
    assert!(good.tee_pa < 20.0 * PSI && good.tee_pa > 10.0 * PSI, "{} psi", good.tee_pa / PSI);
    let lost_before_tee = 40.0 * PSI - good.tee_pa;
    assert!(lost_before_tee > 0.5 * 40.0 * PSI);

    let mut open = station.clone();
    open.maker.liquid.restrictor_bore_m = 0.012;
    open.maker.liquid.line_bore_m = 0.02;
    open.maker.liquid.regulator_droop_pa_s_m3 = 0.0;
    open.maker.liquid.pump_droop_pa_s_m3 = 0.0;
    let flooded = at(&open, 40.0, 20.0);
    assert!(flooded.air_cannot_enter);
    assert_eq!(flooded.regime, Regime::LiquidOnly);
    assert!(flooded.tee_pa > 20.0 * PSI);
    open.settings.liquid_pressure_pa = 40.0 * PSI;
    let result = open.evaluate().expect("in range");
    assert!(
        result.notes.iter().any(|n| matches!(n, StationNote::AirCannotEnter { .. })),
        "{:?}",
        result.notes
    );
}

// ---- laws of the foam maker --------------------------------------------------------------------------------------------

/// Volume integral of the outlet law by Simpson's rule, independent of the closed form inside.
fn outlet_side_kg_s(maker: &FoamMaker, balance: &FoamBalance) -> f64 {
    let gas = balance.air_flow_kg_s * R_AIR_J_KG_K * maker.air.temperature_k;
    let f = |p: f64| 1.0 / (balance.liquid_flow_m3_s + gas / p);
    let n = 2000;
    let h = balance.tee_pa / f64::from(n);
    let mut sum = f(ATMOSPHERE_PA) + f(ATMOSPHERE_PA + balance.tee_pa);
    for i in 1..n {
        sum += f(ATMOSPHERE_PA + h * f64::from(i)) * if i % 2 == 1 { 4.0 } else { 2.0 };
    }
    let area = maker.outlets.effective_area_m2();
    2.0 * area * area * sum * h / 3.0
}

#[test]
fn verif_what_enters_the_tee_leaves_it() {
    let station = demo();
    for (liquid, air) in [(40.0, 20.0), (40.0, 5.0), (30.0, 30.0), (12.0, 20.0), (80.0, 60.0), (6.0, 40.0)] {
        let balance = at(&station, liquid, air);
        let enters = balance.liquid_flow_m3_s * station.maker.liquid_density_kg_m3 + balance.air_flow_kg_s;
        assert!(enters > 1e-3);
        assert_relative_eq!(outlet_side_kg_s(&station.maker, &balance), enters, max_relative = 1e-8);
        // The density at atmosphere times the volume is the same mass.
        let volume = balance.liquid_flow_m3_s + balance.air_free_m3_s;
        assert_relative_eq!(
            balance.foam_density_kg_m3.expect("flows") * volume,
            enters,
            max_relative = 1e-12
        );
        // Boyle: air volume times absolute pressure is the same in the tee and outside.
        let tee = balance.air_tee_m3_s * (balance.tee_pa + ATMOSPHERE_PA);
        assert_relative_eq!(tee, balance.air_free_m3_s * ATMOSPHERE_PA, max_relative = 1e-12);
        let e = balance.expansion_ratio.expect("flows");
        assert_relative_eq!(balance.gas_fraction.expect("flows"), 1.0 - 1.0 / e, max_relative = 1e-12);
    }
}

#[test]
fn verif_outlet_law_limits() {
    let station = demo();
    let area = station.maker.outlets.effective_area_m2();
    let rho = station.maker.liquid_density_kg_m3;
    // Liquid alone: the orifice equation.
    let liquid = at(&station, 40.0, 0.0);
    assert_relative_eq!(
        liquid.liquid_flow_m3_s,
        area * (2.0 * liquid.tee_pa / rho).sqrt(),
        max_relative = 1e-12
    );
    assert_eq!(liquid.tee_pa.to_bits(), liquid.liquid_alone_tee_pa.to_bits());
    // Air alone: isothermal gas, G² = A² (p1² - p2²)/(R T).
    let air = at(&station, 0.0, 20.0);
    let p1 = air.tee_pa + ATMOSPHERE_PA;
    let rt = R_AIR_J_KG_K * station.maker.air.temperature_k;
    let expected = area * ((p1 * p1 - ATMOSPHERE_PA * ATMOSPHERE_PA) / rt).sqrt();
    assert!(expected > 1e-4);
    assert_relative_eq!(air.air_flow_kg_s, expected, max_relative = 1e-9);
    assert_eq!(air.expansion_ratio, None);
    assert!(air.regime == Regime::AirLocked);
    // Nothing set, nothing flows.
    let off = at(&station, 0.0, 0.0);
    assert_eq!(off.regime, Regime::Off);
    assert_eq!((off.gas_fraction, off.foam_density_kg_m3), (None, None));
}

/// Liquid at or under the tee pressure of the air alone stays out; just above it, some enters.
#[test]
fn verif_air_lock_threshold() {
    let station = demo();
    let lock_psi = (at(&station, 0.0, 60.0).air_alone_tee_pa + station.maker.liquid.check_valve_pa) / PSI;
    let held = at(&station, lock_psi - 0.01, 60.0);
    assert!(held.liquid_held_back);
    assert_eq!(held.regime, Regime::AirLocked);
    assert!(held.air_flow_kg_s > 0.0);
    let freed = at(&station, lock_psi + 0.01, 60.0);
    assert!(!freed.liquid_held_back && freed.liquid_flow_m3_s > 0.0);
    assert_eq!(freed.regime, Regime::Pulsing);
}

/// Plug pressure: the volume of air that enters equals the volume of liquid pushed out.
#[test]
fn verif_plug_pressure() {
    let station = demo();
    let balance = at(&station, 40.0, 20.0);
    let maker = &station.maker;
    let p = balance.plug_tee_pa;
    assert!(p > 5.0 * PSI && p < 20.0 * PSI);
    let air = iso6358_mass_flow_kg_s(
        maker.air.needle.conductance_m3_s_pa(station.settings.needle_step),
        maker.air.needle.critical_ratio,
        20.0 * PSI - maker.air.check_valve_pa + ATMOSPHERE_PA,
        p + ATMOSPHERE_PA,
        maker.air.temperature_k,
    );
    let volume = air * R_AIR_J_KG_K * maker.air.temperature_k / (p + ATMOSPHERE_PA);
    let pushed = maker.outlets.effective_area_m2() * (2.0 * p / maker.liquid_density_kg_m3).sqrt();
    assert_relative_eq!(volume, pushed, max_relative = 1e-9);
}

#[test]
fn verif_margins_stand_on_the_boundary() {
    let station = demo();
    let now = at(&station, 40.0, 20.0).regime;
    let margins = regime_margins(&station.maker, &station.settings).expect("in range");
    assert_eq!(margins.len(), 6);
    let mut crossed = 0;
    for margin in margins {
        let Some(neighbour) = margin.neighbour else { continue };
        crossed += 1;
        let value = margin.knob.value(&station.settings) + margin.change;
        assert_relative_eq!(value, margin.boundary, max_relative = 1e-12);
        let regime = |value: f64| {
            station.maker.balance(&margin.knob.with(&station.settings, value)).expect("in range").regime
        };
        let nudge = margin.change.signum() * 1e-6 * margin.boundary;
        assert_eq!(regime(margin.boundary + nudge), neighbour);
        assert_eq!(regime(margin.boundary - nudge), now);
        assert_eq!(neighbour > now, margin.towards_air);
        assert!(!margin.source.is_empty());
    }
    assert!(crossed >= 4, "only {crossed} boundaries found");
}

#[test]
fn verif_one_step_on_a_knob() {
    let station = demo();
    let effects = knob_effects(&station.maker, &station.settings, PSI, 1.0).expect("in range");
    assert_eq!(effects.len(), 6);
    for effect in &effects {
        let dryer = effect.expansion_change.expect("liquid flows");
        assert!(dryer.abs() > 1e-3);
        let up = effect.step > 0.0;
        assert_eq!(dryer > 0.0, if effect.knob == Knob::LiquidPressure { !up } else { up }, "{effect:?}");
    }
    // A needle already shut has no step down.
    let shut = FoamSettings { needle_step: 0.0, ..station.settings };
    assert_eq!(knob_effects(&station.maker, &shut, PSI, 1.0).expect("in range").len(), 5);
}

#[test]
fn verif_map_agrees_with_single_balances() {
    let station = demo();
    let range = PressureRange { from_pa: 0.0, to_pa: 50.0 * PSI, count: 11 };
    let map = regime_map(&station.maker, &station.settings, range, range).expect("in range");
    assert_eq!(map.cells.len(), 121);
    let mut seen = std::collections::BTreeSet::new();
    for (j, &air) in map.air_pa.iter().enumerate() {
        for (i, &liquid) in map.liquid_pa.iter().enumerate() {
            let cell = map.cell(i, j).expect("inside");
            let single = at(&station, liquid / PSI, air / PSI);
            assert_eq!(cell.regime, single.regime);
            seen.insert(cell.regime);
        }
    }
    assert_eq!(map.cell(11, 0), None);
    assert_eq!(seen.len(), Regime::ALL.len(), "not every regime on the map: {seen:?}");
}

/// A regulator can give no more than what stands before it: compressor and pump.
#[test]
fn verif_supplies_limit_the_regulators() {
    let mut station = demo();
    let (liquid, air) = (30.0, 15.0);
    let regulated = at(&station, liquid, air);
    station.maker.air.supply_pressure_pa = air * PSI;
    assert_eq!(at(&station, liquid, air + 10.0).tee_pa.to_bits(), regulated.tee_pa.to_bits());
    station.maker.liquid.pump_droop_pa_s_m3 = station.maker.liquid.regulator_droop_pa_s_m3;
    station.maker.liquid.pump_pressure_pa = liquid * PSI;
    let limited = at(&station, liquid + 10.0, air);
    assert_eq!(limited.liquid_flow_m3_s.to_bits(), regulated.liquid_flow_m3_s.to_bits());
    assert!(limited.liquid_flow_m3_s > 0.5 * GPM);
}

#[test]
fn verif_needle_table_beats_the_straight_line() {
    let mut maker = demo().maker;
    maker.air.needle.measured = vec![(4.0, 1e-9), (12.0, 9e-9), (20.0, 1.5e-8)];
    let needle = &maker.air.needle;
    assert_relative_eq!(needle.conductance_m3_s_pa(12.0), 9e-9, max_relative = 1e-12);
    assert_relative_eq!(needle.conductance_m3_s_pa(8.0), 5e-9, max_relative = 1e-12);
    assert_relative_eq!(needle.conductance_m3_s_pa(2.0), 5e-10, max_relative = 1e-12);
    assert_relative_eq!(needle.conductance_m3_s_pa(24.0), 1.5e-8, max_relative = 1e-12);
}
