//! Dilution, film, cost and errors of the foam station against their own laws.

use approx::assert_relative_eq;
use brusharm::fluid::ATMOSPHERE_PA;
use brusharm::fluid::liquid::{WATER_20C, bore_area_m2};
use brusharm::foam::demo;
use brusharm::foam::dilution::{Dilution, DilutionConditions, Draw, Injector, Strainer, share_of_ratio};
use brusharm::foam::dilution_study::{
    Caught, DilutionChange, FlowFinding, TimedVolume, check_field_tests, choose_tip, dilution_effects,
};
use brusharm::foam::film::FrictionInput;
use brusharm::foam::foam_maker::{FoamBalance, FoamSettings};
use brusharm::foam::station::{Station, StationNote};
const PSI: f64 = 6_894.757_293_168_361;

fn at(station: &Station, liquid_psi: f64, air_psi: f64) -> FoamBalance {
    let settings = FoamSettings {
        liquid_pressure_pa: liquid_psi * PSI,
        air_pressure_pa: air_psi * PSI,
        needle_step: station.settings.needle_step,
    };
    station.maker.balance(&settings).expect("inside the documented range")
}

// ---- dilution ----------------------------------------------------------------------------------------------------------

#[test]
fn verif_dilution_balances_its_own_equations() {
    let station = demo();
    let result = station.dilution.solve(&station.conditions).expect("in range");
    assert!(result.concentrate_flow_m3_s > 1e-7);
    assert_relative_eq!(
        result.solution_flow_m3_s,
        result.water_flow_m3_s + result.concentrate_flow_m3_s,
        max_relative = 1e-14
    );
    let ratio = result.ratio.expect("draws");
    assert_relative_eq!(result.concentrate_share, share_of_ratio(ratio), max_relative = 1e-12);
    // Tip: orifice and laminar drops add up to the suction less lift and check valve.
    let d = &station.dilution;
    let (q, bore) = (result.concentrate_flow_m3_s, d.fitted_bore_m());
    let mu = d.concentrate.viscosity_pa_s;
    let poiseuille = |d_m: f64, l_m: f64| 128.0 * mu * l_m * q / (std::f64::consts::PI * d_m.powi(4));
    let mouth =
        0.5 * d.concentrate.density_kg_m3 * (q / (d.tip_discharge_coefficient * bore_area_m2(bore))).powi(2);
    let drops =
        mouth + poiseuille(bore, d.tip_length_m) + poiseuille(d.suction_hose_bore_m, d.suction_hose_length_m);
    let drive = -result.throat_pa
        - d.concentrate.density_kg_m3 * 9.806_65 * station.conditions.lift_m
        - d.check_valve_pa;
    assert_relative_eq!(drops, drive, max_relative = 1e-10);
}

#[test]
fn verif_measured_ratio_beats_computed() {
    let mut station = demo();
    let plain = station.dilution.clone();
    let conditions = station.conditions;
    station.dilution.tips[2].measured_ratio = Some(120.0);
    station.dilution.tips[4].measured_ratio = Some(48.0);
    let d = &station.dilution;
    let ratio = |d: &Dilution, bore: f64, c: &DilutionConditions| {
        d.solve_with_bore(c, bore).expect("in range").ratio.expect("draws")
    };
    assert_relative_eq!(ratio(d, 0.60e-3, &conditions), 120.0, max_relative = 1e-12);
    assert_relative_eq!(ratio(d, 0.80e-3, &conditions), 48.0, max_relative = 1e-12);
    // Between two measured tips the correction lies between theirs; the ratio, between their ratios.
    let factor = |bore: f64| ratio(&plain, bore, &conditions) / ratio(d, bore, &conditions);
    let (a, m, b) = (factor(0.60e-3), factor(0.70e-3), factor(0.80e-3));
    assert!((m - a) * (b - m) > 0.0, "{a} {m} {b}");
    assert_relative_eq!(m, (a * b).sqrt(), max_relative = 1e-12);
    // Beyond the last the correction holds.
    assert_relative_eq!(factor(1.20e-3), b, max_relative = 1e-12);
    // A measured ratio still moves with the conditions, by as much as the model says.
    let mut low = conditions;
    low.lift_m += 1.0;
    let moved = ratio(d, 0.60e-3, &low) / 120.0;
    assert!(moved > 1.01);
    assert_relative_eq!(
        moved,
        ratio(&plain, 0.60e-3, &low) / ratio(&plain, 0.60e-3, &conditions),
        max_relative = 1e-12
    );
}

#[test]
fn verif_bucket_flow_is_reproduced() {
    let mut station = demo();
    let clean = station.dilution.solve(&station.conditions).expect("in range").water_flow_m3_s;
    let found = 0.8 * clean;
    station.dilution.strainer =
        Strainer::BucketFlow { flow_m3_s: found, supply_pressure_pa: station.conditions.supply_pressure_pa };
    let result = station.dilution.solve(&station.conditions).expect("in range");
    assert_relative_eq!(result.water_flow_m3_s, found, max_relative = 1e-12);
    assert!(result.strainer_drop_pa > 0.2 * station.conditions.supply_pressure_pa);
    // More than the injector passes with no strainer at all is refused in words.
    station.dilution.strainer = Strainer::BucketFlow {
        flow_m3_s: 1.5 * clean,
        supply_pressure_pa: station.conditions.supply_pressure_pa,
    };
    let error = station.dilution.solve(&station.conditions).expect_err("too much");
    assert_eq!(error.field(), "strainer.flow_m3_s");
    assert!(error.to_string().contains("worn throat"), "{error}");
}

#[test]
fn verif_injector_reading_equals_its_bores() {
    let station = demo();
    let by_bores = station.dilution.solve(&station.conditions).expect("in range");
    let mut read = station.clone();
    read.dilution.injector = Injector::Reading {
        water_flow_m3_s: by_bores.water_flow_m3_s,
        inlet_pressure_pa: by_bores.injector_inlet_pa,
        suction_pa: -by_bores.throat_pa,
    };
    let mut conditions = station.conditions;
    for supply in [45.0, 30.0, 60.0] {
        conditions.supply_pressure_pa = supply * PSI;
        let a = station.dilution.solve(&conditions).expect("in range");
        let b = read.dilution.solve(&conditions).expect("in range");
        assert_relative_eq!(a.water_flow_m3_s, b.water_flow_m3_s, max_relative = 1e-12);
        assert_relative_eq!(a.concentrate_flow_m3_s, b.concentrate_flow_m3_s, max_relative = 1e-9);
    }
}

#[test]
fn verif_suction_limits() {
    let station = demo();
    let mut c = station.conditions;
    // Lift: 7 m of concentrate is about 72 kPa, more than this throat pulls.
    c.lift_m = 7.0;
    let high = station.dilution.solve(&c).expect("in range");
    assert_eq!(high.draw, Draw::LiftTooHigh);
    assert_eq!(high.concentrate_flow_m3_s.to_bits(), 0.0_f64.to_bits());
    // Back pressure: suction lost.
    c = station.conditions;
    c.outlet_pressure_pa = 0.8 * c.supply_pressure_pa;
    assert_eq!(station.dilution.solve(&c).expect("in range").draw, Draw::SuctionLost);
    // No water.
    c = station.conditions;
    c.supply_pressure_pa = 0.0;
    let none = station.dilution.solve(&c).expect("in range");
    assert_eq!(none.draw, Draw::NoWater);
    assert_eq!(none.water_flow_m3_s.to_bits(), 0.0_f64.to_bits());
    // The throat never pulls more than the water's own vapour allows, and flow and throat join there without a jump.
    let mut last = 0.0;
    let mut boiled = false;
    for i in 1..=200 {
        c.supply_pressure_pa = 1e4 * f64::from(i);
        let r = station.dilution.solve(&c).expect("in range");
        assert!(r.throat_pa > -ATMOSPHERE_PA);
        assert!(r.water_flow_m3_s > last && r.water_flow_m3_s - last < 5e-5);
        last = r.water_flow_m3_s;
        boiled |= r.throat_boils;
    }
    assert!(boiled);
}

/// From inlet to throat the water keeps to Bernoulli with the nozzle's loss, boiling or not.
#[test]
fn verif_nozzle_balance_boiling_or_not() {
    let station = demo();
    let Injector::Bores { inlet_bore_m, throat_bore_m, nozzle_coefficient, .. } = station.dilution.injector
    else {
        panic!("the demo gives bores");
    };
    let mut seen = [false; 2];
    for supply in [20.0, 45.0, 90.0, 200.0] {
        let c = DilutionConditions::clean(supply * PSI, 0.0);
        let r = station.dilution.solve(&c).expect("in range");
        seen[usize::from(r.throat_boils)] = true;
        let speed = |bore: f64| r.water_flow_m3_s / bore_area_m2(bore);
        let drop = 0.5
            * WATER_20C.density_kg_m3
            * ((speed(throat_bore_m) / nozzle_coefficient).powi(2) - speed(inlet_bore_m).powi(2));
        assert_relative_eq!(r.injector_inlet_pa - r.throat_pa, drop, max_relative = 1e-12);
    }
    assert_eq!(seen, [true; 2]);
}

#[test]
fn verif_tip_choice() {
    let station = demo();
    for target in [40.0, 64.0, 128.0] {
        let choice = choose_tip(&station.dilution, &station.conditions, target).expect("in range");
        let exact = choice.exact_bore_m.expect("in the list's reach");
        let met = station
            .dilution
            .solve_with_bore(&station.conditions, exact)
            .expect("in range")
            .ratio
            .expect("draws");
        assert_relative_eq!(met, target, max_relative = 1e-9);
        let best = &choice.options[choice.best.expect("some tip draws")];
        let off = |ratio: f64| (ratio / target).ln().abs();
        for option in &choice.options {
            assert!(off(option.ratio.expect("draws")) >= off(best.ratio.expect("draws")));
        }
        assert!((best.bore_m - exact).abs() < 0.11e-3);
    }
}

#[test]
fn verif_effects_of_one_change() {
    let station = demo();
    let changes = [
        DilutionChange::TipDown,
        DilutionChange::TipUp,
        DilutionChange::StrainerBlocked(0.9),
        DilutionChange::TipBlocked(0.5),
        DilutionChange::Lift(1.0),
        DilutionChange::Viscosity(4.0),
        DilutionChange::Supply(-10.0 * PSI),
    ];
    let effects = dilution_effects(&station.dilution, &station.conditions, &changes).expect("in range");
    let factor: Vec<f64> = effects.iter().map(|e| e.ratio_factor.expect("draws")).collect();
    assert_eq!(factor.len(), 7);
    assert!(factor[0] > 1.2 && factor[1] < 0.85, "tips {factor:?}");
    // A blocked strainer and a low supply slow the water; suction falls faster than water, so the mix weakens.
    for i in [2, 3, 4, 5, 6] {
        assert!(factor[i] > 1.001, "change {i}: {}", factor[i]);
    }
    assert!(
        effects[2].after.water_flow_m3_s < 0.9 * station.evaluate().expect("ok").dilution.water_flow_m3_s
    );
}

/// Viscosity hardly matters to a thin-plate tip at high Reynolds number, and rules a long thin one.
#[test]
fn verif_viscosity_and_reynolds() {
    let mut station = demo();
    station.dilution.tip_length_m = 0.0;
    station.dilution.suction_hose_bore_m = 0.05;
    station.dilution.concentrate.viscosity_pa_s = 4e-4;
    let mut thick = station.conditions;
    thick.viscosity_factor = 2.0;
    let thin = station.dilution.solve_with_bore(&station.conditions, 1.2e-3).expect("in range");
    assert!(thin.tip_reynolds > 1e4);
    let after = station.dilution.solve_with_bore(&thick, 1.2e-3).expect("in range");
    assert_relative_eq!(thin.concentrate_flow_m3_s, after.concentrate_flow_m3_s, max_relative = 1e-4);

    station.dilution.tip_length_m = 0.02;
    station.dilution.concentrate.viscosity_pa_s = 0.2;
    let syrup = station.dilution.solve_with_bore(&station.conditions, 0.6e-3).expect("in range");
    let syrupier = station.dilution.solve_with_bore(&thick, 0.6e-3).expect("in range");
    assert_relative_eq!(
        syrup.concentrate_flow_m3_s / syrupier.concentrate_flow_m3_s,
        2.0,
        max_relative = 0.02
    );
}

/// Field tests made up from the model with one element worse must name that side and no other.
#[test]
fn verif_field_tests_name_the_weak_side() {
    let station = demo();
    let run = |change: &dyn Fn(&mut DilutionConditions)| {
        let mut actual = station.conditions;
        change(&mut actual);
        let r = station.dilution.solve(&actual).expect("in range");
        let time_s = 60.0;
        check_field_tests(
            &station.dilution,
            &station.conditions,
            64.0,
            Some(TimedVolume { volume_m3: r.concentrate_flow_m3_s * time_s, time_s }),
            Some((TimedVolume { volume_m3: r.solution_flow_m3_s * time_s, time_s }, Caught::Solution)),
            0.1,
        )
        .map(|check| (check, r))
        .expect("in range")
    };
    let (clean, r) = run(&|_| {});
    assert_eq!((clean.water, clean.draw), (FlowFinding::Agrees, FlowFinding::Agrees));
    assert_relative_eq!(clean.measured_ratio.expect("both"), r.ratio.expect("draws"), max_relative = 1e-9);
    assert_relative_eq!(
        clean.against_target.expect("both"),
        r.ratio.expect("draws") / 64.0,
        max_relative = 1e-9
    );
    let (strainer, _) = run(&|c| c.strainer_blocked = 0.9);
    assert_eq!((strainer.water, strainer.draw), (FlowFinding::Weak, FlowFinding::Agrees));
    let (tip, _) = run(&|c| c.tip_blocked = 0.5);
    assert_eq!((tip.water, tip.draw), (FlowFinding::Agrees, FlowFinding::Weak));
    let (leak, _) = run(&|c| c.suction_leak = 1.0);
    assert_eq!((leak.water, leak.draw, leak.measured_ratio), (FlowFinding::Agrees, FlowFinding::Weak, None));
    let (both, _) = run(&|c| {
        c.supply_pressure_pa *= 0.6;
        c.tip_blocked = 0.6;
    });
    assert_eq!((both.water, both.draw), (FlowFinding::Weak, FlowFinding::Weak));
    let (wide, _) = run(&|c| c.tip_bore_factor = 1.5);
    assert_eq!((wide.water, wide.draw), (FlowFinding::Agrees, FlowFinding::Strong));
}

// ---- film, friction, cost ----------------------------------------------------------------------------------------------

#[test]
fn verif_measured_friction_replaces_the_estimate() {
    let mut station = demo();
    let estimate = station.evaluate().expect("in range").film;
    assert!(estimate.is_estimate);
    assert_eq!(estimate.friction.to_bits(), estimate.estimated_friction.to_bits());
    for (input, expected) in [
        (FrictionInput::Coefficient(0.41), 0.41),
        (FrictionInput::PullTest { pull_n: 9.0, press_n: 30.0 }, 0.3),
        (
            FrictionInput::SpindleCurrent {
                reference_friction: 0.3,
                reference_a: 4.0,
                now_a: 5.0,
                idle_a: 2.0,
            },
            0.45,
        ),
    ] {
        station.friction = input;
        let film = station.evaluate().expect("in range").film;
        assert!(!film.is_estimate);
        assert_relative_eq!(film.friction, expected, max_relative = 1e-12);
        assert_eq!(film.estimated_friction.to_bits(), estimate.estimated_friction.to_bits());
    }
    station.friction = FrictionInput::PullTest { pull_n: 90.0, press_n: 30.0 };
    assert_eq!(station.evaluate().expect_err("a friction of 3").field(), "friction");
}

/// What is kept: all of the foam's share once it stands, the stream's share without air, less when the mix holds no air, less
/// again when it spits, nothing when the liquid is held back.
#[test]
fn verif_what_is_kept() {
    let station = demo();
    let (film, limits) = (station.film, station.maker.limits);
    let kept = |liquid: f64, air: f64, share: f64| film.kept(&at(&station, liquid, air), &limits, share);
    assert_relative_eq!(kept(40.0, 20.0, 0.02), film.foam_kept, max_relative = 1e-12);
    assert_relative_eq!(kept(40.0, 0.0, 0.02), film.stream_kept, max_relative = 1e-12);
    let half_held = 0.5 * (film.stream_kept + film.foam_kept);
    assert_relative_eq!(kept(40.0, 20.0, 0.5 * film.foaming_share), half_held, max_relative = 1e-12);
    assert_relative_eq!(kept(12.0, 20.0, 0.02), film.foam_kept * film.spit_landing, max_relative = 1e-12);
    assert_eq!(kept(0.0, 20.0, 0.02).to_bits(), 0.0_f64.to_bits());
    let wet = kept(40.0, 10.0, 0.02);
    assert!(wet > film.stream_kept + 0.01 && wet < film.foam_kept - 0.01);
}

#[test]
fn verif_use_and_cost_add_up() {
    let station = demo();
    let r = station.evaluate().expect("in range");
    let c = r.consumption;
    assert!(c.concentrate_per_vehicle_m3 > 1e-6);
    assert_relative_eq!(
        c.concentrate_per_vehicle_m3 + c.water_per_vehicle_m3,
        r.film.liquid_m3,
        max_relative = 1e-12
    );
    assert_relative_eq!(c.vehicles_per_day, 900.0, max_relative = 1e-12);
    let cost = c.concentrate_per_day_m3 * 4200.0 + c.water_per_day_m3 * 4.5;
    assert_relative_eq!(c.cost_per_day, cost, max_relative = 1e-12);
    let days = r.tank.container_lasts_days.expect("used");
    assert_relative_eq!(days * c.concentrate_per_day_m3, station.tank.container_m3, max_relative = 1e-12);
    assert!(r.tank.sustained && r.tank.empties_after_s.is_none());
    assert!(r.notes.is_empty(), "{:?}", r.notes);
}

#[test]
fn verif_tank_that_cannot_keep_up() {
    let mut station = demo();
    station.conditions.strainer_blocked = 0.97;
    let r = station.evaluate().expect("in range");
    assert!(!r.tank.sustained);
    let lasts = r.tank.empties_after_s.expect("runs dry");
    let short = r.tank.demand_m3_s - r.tank.supply_m3_s;
    assert_relative_eq!(lasts * short, station.tank.volume_m3, max_relative = 1e-12);
    assert!(r.notes.iter().any(|n| matches!(n, StationNote::TankRunsDry(_))));
    assert!(r.notes.iter().any(|n| n.to_string().contains("does not keep up")));
}

/// A weak mix, and a starved mixer, end in more friction.
#[test]
fn verif_weak_foam_grabs() {
    let station = demo();
    let good = station.evaluate().expect("in range").film.friction;
    assert!(good > station.film.wet_friction && good < station.film.dry_friction);
    let mut weak = station.clone();
    weak.dilution.fitted_tip = 0;
    assert!(weak.evaluate().expect("in range").film.friction > good + 0.005);
    let mut starved = station.clone();
    starved.settings.liquid_pressure_pa = 12.0 * PSI;
    assert!(starved.evaluate().expect("in range").film.friction > good + 0.02);
    let mut no_air = station;
    no_air.settings.air_pressure_pa = 0.0;
    assert!(no_air.evaluate().expect("in range").film.friction > good + 0.01);
}

#[test]
fn verif_same_input_same_bits() {
    let text = |s: &Station| format!("{:?}", s.evaluate().expect("in range"));
    let station = demo();
    assert_eq!(text(&station), text(&station.clone()));
}

// ---- errors ------------------------------------------------------------------------------------------------------------

#[test]
fn verif_errors_name_the_field() {
    type Spoil = fn(&mut Station);
    let cases: [(&str, Spoil); 14] = [
        ("conditions.supply_pressure_pa", |s| s.conditions.supply_pressure_pa = -1.0),
        ("conditions.lift_m", |s| s.conditions.lift_m = 12.0),
        ("dilution.tips", |s| s.dilution.tips.clear()),
        ("dilution.tips[3].bore_m", |s| s.dilution.tips[3].bore_m = 0.1e-3),
        ("dilution.fitted_tip", |s| s.dilution.fitted_tip = 8),
        ("dilution.injector.throat_bore_m", |s| s.conditions.throat_bore_factor = 3.0),
        ("settings.liquid_pressure_pa", |s| s.settings.liquid_pressure_pa = 2e6),
        ("settings.air_pressure_pa", |s| s.settings.air_pressure_pa = f64::NAN),
        ("settings.needle_step", |s| s.settings.needle_step = 25.0),
        ("maker.outlets.count", |s| s.maker.outlets.count = 0),
        ("maker.air.needle.measured[1]", |s| s.maker.air.needle.measured = vec![(2.0, 1e-9), (1.0, 2e-9)]),
        ("maker.limits.firm", |s| s.maker.limits.firm = 1.0),
        ("film.dry_friction", |s| s.film.dry_friction = 0.1),
        ("duty.vehicles_per_h", |s| s.duty.vehicles_per_h = 0.0),
    ];
    for (field, spoil) in cases {
        let mut station = demo();
        if field.contains("throat") {
            station.dilution.injector = Injector::Bores {
                inlet_bore_m: 8e-3,
                throat_bore_m: 2.8e-3,
                nozzle_coefficient: 0.97,
                recovery: 0.2,
            };
        }
        station.evaluate().expect("sound before it is spoilt");
        spoil(&mut station);
        let error = station.evaluate().expect_err(field);
        assert_eq!(error.field(), field, "{error}");
        assert!(error.to_string().contains("; "), "no advice: {error}");
    }
}
