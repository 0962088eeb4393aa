//! Foam files and the foam part of a scenario: what is read, what is refused, what the friction does to a pass.

use brusharm::arm::Side;
use brusharm::coverage::measure;
use brusharm::foam::regime::Regime;
use brusharm::foam::{Station, demo};
use brusharm::pass;
use brusharm::scenario::Scenario;
use brusharm::scenario::foam::FoamFile;
use brusharm::scenario::source_map::set_value;
use std::fmt::Write;

const FOAM: &str = include_str!("../scenarios/foam-station.ron");
const SCENARIO: &str = include_str!("../scenarios/ferry-foam.ron");
/// Paths with their new values.
type Edits = &'static [(&'static str, &'static str)];

const STATED: &str = include_str!("../scenarios/ferry-return.ron");

fn edited(source: &str, edits: &[(&str, &str)]) -> String {
    edits.iter().fold(source.to_owned(), |text, (path, value)| {
        set_value(&text, path, value).unwrap_or_else(|error| panic!("{path}: {error}"))
    })
}

fn station(edits: &[(&str, &str)]) -> Station {
    FoamFile::read("foam-station.ron", &edited(FOAM, edits)).unwrap_or_else(|e| panic!("{e}")).1
}

fn scenario(source: &str) -> Scenario {
    Scenario::read_alone(source, "ferry-foam.ron").unwrap_or_else(|e| panic!("{e}"))
}

/// Same to the last digits, by the printed form with numbers cut to 12 places.
fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

#[test]
fn verif_the_shipped_file_is_the_demo_station() {
    let (read, made) = (station(&[]), demo());
    let (a, b) = (read.evaluate().unwrap(), made.evaluate().unwrap());
    assert_eq!(read.dilution.tips.len(), made.dilution.tips.len());
    assert_eq!(read.dilution.fitted_tip, made.dilution.fitted_tip);
    for (x, y) in [
        (a.dilution.ratio.unwrap(), b.dilution.ratio.unwrap()),
        (a.dilution.water_flow_m3_s, b.dilution.water_flow_m3_s),
        (a.balance.tee_pa, b.balance.tee_pa),
        (a.balance.air_flow_kg_s, b.balance.air_flow_kg_s),
        (a.balance.expansion_ratio.unwrap(), b.balance.expansion_ratio.unwrap()),
        (a.film.friction, b.film.friction),
        (a.consumption.cost_per_day, b.consumption.cost_per_day),
        (a.tank.container_lasts_days.unwrap(), b.tank.container_lasts_days.unwrap()),
    ] {
        assert!(x > 0.0 && close(x, y), "{x} {y}");
    }
    assert_eq!(a.notes, b.notes);
}

#[test]
fn verif_every_unit_is_read_as_written() {
    // The same station in other units of the trade gives the same numbers.
    let other = station(&[
        ("foam.lift", "\"0.6 m\""),
        ("foam.metering_bore", "\"0.0276 in\""),
        ("foam.concentrate.viscosity", "\"0.008 Pa s\""),
        ("foam.outlets.hose_bore", "\"12.7 mm\""),
        ("foam.pump.drop", "(pressure: \"15 kPa\", flow: \"0.05 L/s\")"),
        ("line.conveyor_speed", "\"0.175 m/s\""),
        ("foam.prices.concentrate", "(amount: 840, per: \"200 L\")"),
    ]);
    let (a, b) = (other.evaluate().unwrap(), station(&[]).evaluate().unwrap());
    assert!(close(a.dilution.ratio.unwrap(), b.dilution.ratio.unwrap()));
    assert!(close(a.balance.tee_pa, b.balance.tee_pa));
    assert!(close(a.consumption.cost_per_vehicle, b.consumption.cost_per_vehicle));
}

/// Common practice, no source: about 30–40 psi liquid with about 20 psi air makes a solid wet foam; no air, a thin stream;
/// liquid fallen well under 30 psi, the air takes over and it spits.
#[test]
fn verif_common_practice_comes_out_of_the_file() {
    let at = |liquid: &str, air: &str| {
        let station = station(&[("foam.liquid_regulator", liquid), ("foam.air_regulator", air)]);
        station.evaluate().unwrap()
    };
    for liquid in ["\"30 psi\"", "\"35 psi\"", "\"40 psi\""] {
        let result = at(liquid, "\"20 psi\"");
        assert_eq!(result.balance.regime, Regime::Good, "{liquid}");
        assert!(result.notes.is_empty(), "{:?}", result.notes);
    }
    let thin = at("\"40 psi\"", "\"0 psi\"");
    assert_eq!(thin.balance.regime, Regime::LiquidOnly);
    assert_eq!(thin.balance.air_flow_kg_s, 0.0);
    assert!(thin.balance.liquid_flow_m3_s > 0.0);
    // As the liquid falls the air only gains, up to spitting.
    let falling: Vec<_> =
        (0..=15).map(|i| at(&format!("\"{} psi\"", 40 - 2 * i), "\"20 psi\"").balance).collect();
    assert!(falling.windows(2).all(|pair| pair[0].regime <= pair[1].regime));
    assert!(falling.windows(2).all(|pair| pair[0].expansion_ratio < pair[1].expansion_ratio));
    assert_eq!(falling.last().unwrap().regime, Regime::Pulsing);
}

#[test]
fn verif_water_concentrate_and_air_are_kept() {
    for edits in [&[][..], &[("foam.air_regulator", "\"28 psi\"")], &[("foam.strainer_blockage", "\"80 %\"")]]
    {
        let station = station(edits);
        let r = station.evaluate().unwrap();
        let d = &r.dilution;
        assert!(close(d.water_flow_m3_s + d.concentrate_flow_m3_s, d.solution_flow_m3_s));
        assert!(close(d.concentrate_share * d.solution_flow_m3_s, d.concentrate_flow_m3_s));
        let b = &r.balance;
        let e = b.expansion_ratio.unwrap();
        assert!(b.air_free_m3_s > 0.0);
        assert!(close(e * b.liquid_flow_m3_s, b.liquid_flow_m3_s + b.air_free_m3_s));
        // What enters leaves: foam of this density carries solution and air away.
        let out = b.foam_density_kg_m3.unwrap() * (b.liquid_flow_m3_s + b.air_free_m3_s);
        let solution = station.maker.liquid_density_kg_m3 * b.liquid_flow_m3_s;
        assert!(close(out, solution + b.air_flow_kg_s), "{out}");
        let c = &r.consumption;
        assert!(close(c.water_per_vehicle_m3 + c.concentrate_per_vehicle_m3, r.film.liquid_m3));
        assert!(close(c.vehicles_per_day, 900.0));
        assert!(close(c.concentrate_per_day_m3, 900.0 * c.concentrate_per_vehicle_m3));
    }
}

#[test]
fn verif_the_foam_sets_the_friction_of_brushes_that_state_none() {
    let foam = scenario(SCENARIO);
    let friction = foam.foam_result().unwrap().film.friction;
    assert!((0.2..0.55).contains(&friction), "{friction}");
    assert_eq!(foam.unit_models().len(), 2);
    for unit in foam.unit_models() {
        assert_eq!(unit.brush.friction, friction);
        assert!(foam.foam_sets_friction(unit.side));
    }
    // Stated outright: the foam part changes nothing at all.
    let part = SCENARIO
        .find("    foam: (")
        .map(|a| &SCENARIO[a..SCENARIO.find("    criteria: (").unwrap()])
        .unwrap();
    let with_foam = STATED.replacen("    criteria: (", &format!("{part}    criteria: ("), 1);
    let (plain, both) = (scenario(STATED), scenario(&with_foam));
    assert!(both.foam_result().is_some() && !both.foam_sets_friction(Side::Left));
    assert_eq!(plain.setup(), both.setup());
    let bad = both.with(&[("foam.air_regulator", "0 psi")]).unwrap();
    assert_eq!(plain.setup(), bad.setup());
    assert!(bad.foam_result().unwrap().film.friction > both.foam_result().unwrap().film.friction);
    // One brush states it, the other takes the foam's.
    let one = scenario(&edited(SCENARIO, &[("left.brush.friction", "0.4")]));
    assert_eq!(one.unit_models()[0].brush.friction, 0.4);
    assert_eq!(one.unit_models()[1].brush.friction, friction);
}

#[test]
fn verif_worse_foam_grabs_more_in_the_pass() {
    let base = scenario(SCENARIO);
    let run = |scenario: &Scenario| {
        let setup = scenario.setup();
        let record = pass::run(&setup).unwrap();
        let outcome = measure(&setup, &record, &scenario.coverage_settings(), &scenario.criteria());
        let side = outcome.zones.iter().find(|z| z.zone == brusharm::vehicle::Zone::LeftSide).unwrap();
        (setup.units[0].brush.friction, side.rubbing_work_j_m2.unwrap())
    };
    // Less concentrate, less air, less of both: friction and rubbing on the side only rise.
    let mut seen = vec![run(&base)];
    for changes in [
        &[("foam.metering_bore", "0.50 mm")][..],
        &[("foam.metering_bore", "0.50 mm"), ("foam.air_regulator", "12 psi")],
        &[("foam.metering_bore", "0.40 mm"), ("foam.air_regulator", "0 psi")],
        &[
            ("foam.metering_bore", "0.40 mm"),
            ("foam.air_regulator", "0 psi"),
            ("foam.liquid_line.blockage", "80 %"),
        ],
    ] {
        seen.push(run(&base.with(changes).unwrap()));
    }
    for pair in seen.windows(2) {
        assert!(pair[1].0 > pair[0].0 + 1e-3, "{seen:?}");
        assert!(pair[1].1 > pair[0].1, "{seen:?}");
    }
    assert!(seen[0].1 > 0.0);
}

#[test]
fn verif_friction_follows_the_throughput() {
    let base = scenario(SCENARIO);
    let at = |text: &str| base.with(&[("line.throughput", text)]).unwrap();
    let slow = at("60 veh/h");
    let fast = at("160 veh/h");
    let film = |s: &Scenario| s.foam_result().unwrap().film;
    assert!(film(&slow).film_m > film(&base).film_m && film(&base).film_m > film(&fast).film_m);
    assert!(film(&slow).friction < film(&base).friction && film(&base).friction < film(&fast).friction);
    let duty = fast.foam_station().unwrap().duty;
    assert!(close(duty.vehicles_per_h, 160.0) && close(duty.conveyor_m_s, fast.conveyor_speed_m_s()));
}

#[test]
fn verif_settings_of_the_foam() {
    let base = scenario(SCENARIO);
    let bore = base.setting("foam.metering_bore").unwrap();
    assert_eq!(bore.step(&base, 1).unwrap(), [("foam.metering_bore".to_owned(), "0.80 mm".to_owned())]);
    assert_eq!(bore.step(&base, -3).unwrap()[0].1, "0.40 mm");
    assert_eq!(bore.step(&base, -4), None);
    assert_eq!(bore.value_si(&base), Some(3.0));
    // The same bore in another unit.
    let wider = base.with(&[("foam.metering_bore", "0.0315 in")]).unwrap();
    assert_eq!(wider.foam_station().unwrap().dilution.fitted_tip, 4);
    assert!(wider.text().unwrap().contains("metering_bore: \"0.80 mm\""));
    for (path, step) in
        [("foam.liquid_regulator", "41 psi"), ("foam.air_regulator", "21 psi"), ("foam.needle_valve", "12")]
    {
        let setting = base.setting(path).unwrap();
        assert!(setting.in_field, "{path}");
        assert_eq!(setting.step(&base, 1).unwrap()[0].1, step);
    }
    // Adjusted, the file reads back the same.
    let changed = base
        .with(&[
            ("foam.liquid_regulator", "35 psi"),
            ("foam.needle_valve", "9"),
            ("foam.outlets.blockage", "25 %"),
        ])
        .unwrap();
    let again = scenario(&changed.text().unwrap());
    assert_eq!(again.foam_station(), changed.foam_station());
    assert_eq!(again.foam_station().unwrap().maker.outlets.blocked, 0.25);
    // Nothing to adjust for the pass where the friction is stated outright.
    let stated =
        scenario(&edited(SCENARIO, &[("left.brush.friction", "0.4"), ("right.brush.friction", "0.4")]));
    assert!(!stated.setting("foam.air_regulator").unwrap().in_field);
    // The needle valve's own end is the model's to know: the caret stands under the change.
    let refused = base.with(&[("foam.needle_valve", "30")]).unwrap_err().to_string();
    assert!(refused.contains("foam.needle_valve = 30") && refused.contains("0 to 24"), "{refused}");
    let refused = base.with(&[("left.brush.friction", "0.4")]).unwrap_err().to_string();
    assert!(refused.contains("the foam station sets the friction"), "{refused}");
}

/// Each case: what is changed in a good file, and so what must be refused; the texts are in the snapshot.
#[test]
fn regress_bad_foam_files() {
    let cases: &[(&str, &[(&str, &str)])] = &[
        ("pressure without a unit", &[("foam.air_regulator", "20")]),
        ("pressure in pounds", &[("foam.air_regulator", "\"20 lb\"")]),
        ("regulator above the model", &[("foam.liquid_regulator", "\"400 psi\"")]),
        ("negative regulator", &[("foam.air_regulator", "\"-2 psi\"")]),
        ("not a number", &[("foam.needle_valve", "NaN")]),
        ("needle past its end", &[("foam.needle_valve", "25")]),
        ("tip not in the list", &[("foam.metering_bore", "\"0.75 mm\"")]),
        ("no tips", &[("foam.suction.bores", "[]")]),
        ("tips out of order", &[("foam.suction.bores", "[\"0.70 mm\", \"0.60 mm\"]")]),
        ("tip too wide", &[("foam.suction.bores", "[\"0.70 mm\", \"20 mm\"]")]),
        (
            "measured without conditions",
            &[("foam.suction.measured", "[(bore: \"0.70 mm\", ratio: \"64:1\")]")],
        ),
        (
            "measured twice",
            &[
                ("foam.suction.measured_under", "(supply_pressure: \"45 psi\", lift: \"600 mm\")"),
                (
                    "foam.suction.measured",
                    "[(bore: \"0.70 mm\", ratio: \"64:1\"), (bore: \"0.70 mm\", ratio: \"66:1\")]",
                ),
            ],
        ),
        (
            "measured where nothing is drawn",
            &[
                ("foam.suction.measured_under", "(supply_pressure: \"1 psi\", lift: \"3 m\")"),
                ("foam.suction.measured", "[(bore: \"0.70 mm\", ratio: \"64:1\")]"),
            ],
        ),
        ("ratio upside down", &[("foam.target_ratio", "\"0:60\"")]),
        ("strainer shut", &[("foam.strainer_blockage", "\"100 %\"")]),
        ("blockage as a count", &[("foam.strainer_blockage", "\"50\"")]),
        ("throat wider than the inlet", &[("foam.injector.throat_bore", "\"14 mm\"")]),
        ("all recovered", &[("foam.injector.recovery", "0.9"), ("foam.injector.throat_bore", "\"12.5 mm\"")]),
        (
            "bucket above the bare injector",
            &[("foam.strainer", "BucketFlow(flow: \"9 gpm\", supply_pressure: \"45 psi\")")],
        ),
        ("unknown injector", &[("foam.injector", "Venturi(throat_bore: \"2.8 mm\")")]),
        ("drop at no flow", &[("foam.pump.drop", "(pressure: \"30 kPa\", flow: \"0 L/min\")")]),
        ("price for nothing", &[("foam.prices.concentrate", "(amount: 4.2, per: \"0 L\")")]),
        ("no outlets", &[("foam.outlets.count", "0")]),
        ("half an outlet", &[("foam.outlets.count", "1.5")]),
        ("regimes out of order", &[("foam.regimes", "(touch: 2.8, firm: 2, dry: 20, ripple: \"1.5 psi\")")]),
        ("wet above dry", &[("foam.film.wet_friction", "0.6")]),
        (
            "needle table falls",
            &[(
                "foam.air.needle.measured",
                "[(step: 2, conductance: \"0.4 dm3/(s bar)\"), (step: 4, conductance: \"0.3 dm3/(s bar)\")]",
            )],
        ),
        ("pull test without press", &[("foam.friction", "PullTest(pull: \"2 lbf\", press: \"0 lbf\")")]),
        ("friction out of any pull", &[("foam.friction", "PullTest(pull: \"9 lbf\", press: \"3 lbf\")")]),
        (
            "reference at idle",
            &[(
                "foam.friction",
                "SpindleCurrent(reference_friction: 0.3, reference_amperes: 2, now_amperes: 3, idle_amperes: 2)",
            )],
        ),
        ("throughput out of range", &[("line.throughput", "\"900 veh/h\"")]),
        ("conveyor speed out of range", &[("line.conveyor_speed", "\"3 m/s\"")]),
        ("day too long", &[("foam.duty.hours_per_day", "\"30 h\"")]),
        ("unknown field", &[("foam.air_regulater", "\"20 psi\"")]),
        ("another format", &[("schema", "2")]),
        (
            "several parts at once",
            &[("foam.lift", "\"60 ft\""), ("foam.tank.volume", "\"0 L\""), ("foam.outlets.bore", "\"3 in\"")],
        ),
    ];
    let mut said = String::new();
    for (name, edits) in cases {
        match FoamFile::read("station.ron", &edited(FOAM, edits)) {
            Ok(_) => panic!("{name}: accepted"),
            Err(refused) => writeln!(said, "## {name}\n{refused}\n").unwrap(),
        }
    }
    assert!(cases.len() >= 30);
    insta::assert_snapshot!("bad_foam_files", said);
}

#[test]
fn regress_bad_foam_in_scenarios() {
    let cases: [(&str, &str, Edits); 4] = [
        ("neither", SCENARIO, &[("foam.sets_friction", "false")]),
        ("both", SCENARIO, &[("foam.sets_friction", "true"), ("right.brush.friction", "0.3")]),
        ("a foam field out of range", SCENARIO, &[("foam.air_regulator", "\"999 psi\"")]),
        ("a tip not in the list", SCENARIO, &[("foam.metering_bore", "\"2 mm\"")]),
    ];
    let mut said = String::new();
    for (name, source, edits) in cases {
        let refused = Scenario::read_alone(&edited(source, edits), "ferry.ron").unwrap_err();
        writeln!(said, "## {name}\n{refused}\n").unwrap();
    }
    let states = |line: &&str| line.trim_start().starts_with("friction: 0.40");
    assert_eq!(STATED.lines().filter(states).count(), 2);
    let bare = STATED.lines().filter(|line| !states(line)).collect::<Vec<_>>().join("\n");
    writeln!(said, "## no foam and no friction\n{}\n", Scenario::read_alone(&bare, "ferry.ron").unwrap_err())
        .unwrap();
    let changed = scenario(SCENARIO).with(&[("foam.metering_bore", "2 mm")]).unwrap_err();
    writeln!(said, "## changed to a tip not in the list\n{changed}\n").unwrap();
    let changed = scenario(STATED).with(&[("foam.air_regulator", "20 psi")]).unwrap_err();
    writeln!(said, "## a setting of a foam station that is not there\n{changed}\n").unwrap();
    insta::assert_snapshot!("bad_foam_in_scenarios", said);
}

#[test]
fn verif_changed_settings_of_a_foam_file() {
    let changes = [("foam.liquid_regulator", "30 psi"), ("line.throughput", "60 veh/h")];
    let (_, station) = FoamFile::read_with("f.ron", FOAM, &changes).unwrap();
    assert!((station.settings.liquid_pressure_pa - 206_842.7).abs() < 0.1);
    assert_eq!(station.duty.vehicles_per_h, 60.0);
    // Fields that the file leaves out are added.
    let (_, station) = FoamFile::read_with("f.ron", FOAM, &[("foam.outlets.blockage", "30 %")]).unwrap();
    assert_eq!(station.maker.outlets.blocked, 0.3);
    let mut said = String::new();
    for (path, value) in [
        ("foam.liquid_regulater", "30 psi"),
        ("foam.liquid_regulator", "30 bananas"),
        ("foam.needle_valve", "99"),
        ("left.brush.friction", "0.3"),
    ] {
        let refused = FoamFile::read_with("f.ron", FOAM, &[(path, value)]).unwrap_err();
        writeln!(said, "## {path}={value}\n{refused}\n").unwrap();
    }
    insta::assert_snapshot!("bad_foam_settings", said);
}

/// Damaged files are refused or read; none panics or hangs.
#[test]
fn verif_no_damage_to_a_foam_file_panics() {
    use rand::{RngExt, SeedableRng};
    let mut random = rand::rngs::ChaCha8Rng::seed_from_u64(6);
    let bytes: Vec<char> = FOAM.chars().collect();
    let ink: Vec<char> = "()[]{}:,\"-.0123456789eE%aNinf \n'µ".chars().collect();
    let (mut read, mut refused) = (0, 0);
    for _ in 0..1500 {
        let mut text = bytes.clone();
        for _ in 0..random.random_range(1..4) {
            let at = random.random_range(0..text.len());
            match random.random_range(0..3) {
                0 => {
                    text.remove(at);
                }
                1 => text[at] = ink[random.random_range(0..ink.len())],
                _ => text.insert(at, ink[random.random_range(0..ink.len())]),
            }
        }
        let text: String = text.into_iter().collect();
        match FoamFile::read("damaged.ron", &text) {
            Ok((_, station)) => {
                read += 1;
                assert!(station.evaluate().unwrap().film.friction.is_finite());
            }
            Err(found) => {
                refused += 1;
                assert!(!found.0.is_empty() && found.to_string().starts_with("error: "));
            }
        }
    }
    assert!(read > 100 && refused > 100, "{read} {refused}");
}
