//! The table of settings: read, write, step, grid, rewrite.

use super::{SHIPPED, read, shipped};
use brusharm::scenario::Scenario;
use brusharm::scenario::setting::{Group, Reading, Setting, SettingKind, Standard};
use std::collections::BTreeSet;

fn value(scenario: &Scenario, path: &str) -> String {
    scenario.setting(path).unwrap().read(scenario).unwrap().to_string()
}

/// Some other value of a setting.
fn another(setting: &Setting, scenario: &Scenario) -> Option<String> {
    match &setting.kind {
        SettingKind::Choice(words) => {
            let now = setting.read(scenario)?.to_string();
            words.iter().find(|word| **word != now).cloned()
        }
        _ => [1, -1].into_iter().find_map(|n| setting.step(scenario, n)).map(|changes| changes[0].1.clone()),
    }
}

#[test]
fn verif_every_setting_goes_there_and_back() {
    let mut seen = BTreeSet::new();
    let mut moved = 0;
    for name in SHIPPED {
        let scenario = shipped(name);
        for setting in scenario.settings() {
            seen.insert(setting.path.clone());
            assert!(!setting.label.is_empty() && !setting.label.contains('#'), "{}", setting.path);
            // Writing what stands there changes nothing.
            let now = setting.read(&scenario).unwrap();
            if let Reading::Value(now) = &now {
                let same = scenario.with(&[(&setting.path, &now.text)]).unwrap();
                assert_eq!(same.setup(), scenario.setup(), "{name} {}", setting.path);
                assert_eq!(setting.read(&same).unwrap(), Reading::Value(now.clone()));
            }
            let Some(other) = another(&setting, &scenario) else { continue };
            let changed = match scenario.with(&[(&setting.path, &other)]) {
                Ok(changed) => changed,
                // Another vehicle or hole may not fit the machine, and says so.
                Err(errors) => {
                    assert!(errors.0.iter().all(|error| !error.advice.is_empty()), "{errors}");
                    continue;
                }
            };
            moved += 1;
            let after = setting.read(&changed).unwrap();
            assert_eq!(after.to_string(), other, "{name} {}", setting.path);
            assert_ne!(changed.setup(), scenario.setup(), "{name} {}", setting.path);
            // In SI, the same; and the text written out comes to the same again.
            let si = setting.value_si(&changed).unwrap();
            let by_si = scenario.with_si(&[(&setting.path, si)]).unwrap();
            assert!((setting.value_si(&by_si).unwrap() - si).abs() <= 1e-12 * si.abs(), "{}", setting.path);
            let text = changed.text().unwrap();
            let again =
                read(&text, name).unwrap_or_else(|errors| panic!("{name} {}: {errors}", setting.path));
            assert_eq!(again.setup(), changed.setup(), "{name} {}", setting.path);
            // And back.
            if let Reading::Value(now) = now {
                let back = changed.with(&[(&setting.path, &now.text)]).unwrap();
                assert_eq!(back.setup(), scenario.setup(), "{name} {}", setting.path);
            }
        }
    }
    assert!(moved > 150, "{moved} settings moved");
    for path in [
        "line.throughput",
        "line.conveyor_speed",
        "line.gap",
        "line.air_temperature",
        "vehicle.name",
        "vehicle.lateral_offset",
        "vehicle.yaw",
        "left.bearings.lower_offset",
        "left.bearings.upper_offset",
        "left.bearings.lower_along",
        "left.bearings.upper_along",
        "left.bearings.lower_gap",
        "left.stop_pin.hole",
        "left.air.cap",
        "left.air.rod",
        "left.air.schedule[0].at",
        "left.air.schedule[3].delay",
        "left.counterweight.mass",
        "left.dampers[0].out_stroke",
        "left.dampers[0].in_stroke",
        "left.brush.spin",
        "left.brush.spin_sense",
        "left.brush.friction",
        "left.brush.media.mass",
        "left.brush.worn",
    ] {
        for path in [path.to_owned(), path.replace("left.", "right."), path.replace("left.", "both.")] {
            assert!(seen.contains(&path), "{path}");
        }
    }
}

#[test]
fn verif_both_sets_the_pair_and_says_when_it_differs() {
    let scenario = shipped("ferry-return.ron");
    let both = scenario.with(&[("both.bearings.lower_offset", "1/8 in")]).unwrap();
    assert_eq!(value(&both, "left.bearings.lower_offset"), "1/8 in");
    assert_eq!(value(&both, "right.bearings.lower_offset"), "1/8 in");
    assert_eq!(value(&both, "both.bearings.lower_offset"), "1/8 in");
    let one = both.with(&[("right.bearings.lower_offset", "-1/16 in")]).unwrap();
    assert_eq!(value(&one, "both.bearings.lower_offset"), "left 1/8 in, right -1/16 in");
    let setting = one.setting("both.bearings.lower_offset").unwrap();
    assert_eq!(setting.value_si(&one), None);
    // A step moves each side by one step.
    let stepped = one.with(&setting.step(&one, 1).unwrap()).unwrap();
    assert_eq!(value(&stepped, "both.bearings.lower_offset"), "left 3/16 in, right 0 in");
    assert!((one.unit_models()[1].bearings.lower.toward_wall_m + 0.0254 / 16.0).abs() < 1e-15);
}

#[test]
fn verif_steps_are_what_a_technician_does() {
    let scenario = shipped("ferry-return.ron");
    for (path, step, after) in [
        ("throughput", "1 veh/h", "141 veh/h"),
        ("left.bearings.lower_offset", "1/16 in", "1/16 in"),
        ("left.stop_pin.hole", "1", "3"),
        ("left.air.cap", "1 psi", "8 psi"),
        ("left.brush.spin", "5 rpm", "95 rpm"),
        ("left.counterweight.mass", "1 lb", "13 lb"),
        ("left.brush.friction", "0.05", "0.45"),
        ("left.brush.media.mass", "1 lb", "45 lb"),
        ("left.brush.worn", "1/2 in", "1/2 in"),
        ("vehicle.lateral_offset", "1 in", "1 in"),
    ] {
        let setting = scenario.setting(path).unwrap();
        assert_eq!(setting.step_text(), step, "{path}");
        assert_eq!(setting.step(&scenario, 1).unwrap()[0].1, after, "{path}");
    }
    let bearing = scenario.setting("left.bearings.lower_offset").unwrap();
    let texts: Vec<String> =
        [-3, -2, -1, 0, 2, 3, 16].iter().map(|n| bearing.step(&scenario, *n).unwrap()[0].1.clone()).collect();
    assert_eq!(texts, ["-3/16 in", "-1/8 in", "-1/16 in", "0 in", "1/8 in", "3/16 in", "1 in"]);
    assert_eq!(bearing.step(&scenario, 33), None, "2 in is the limit");
    assert_eq!(scenario.setting("left.stop_pin.hole").unwrap().step(&scenario, 2), None);
    assert_eq!(scenario.setting("left.brush.spin_sense").unwrap().step(&scenario, 1), None);
}

#[test]
fn verif_grids_run_from_end_to_end() {
    let scenario = shipped("ferry-return.ron");
    let grid = |path: &str, low: &str, high: &str, step: Option<&str>| {
        scenario.setting(path).unwrap().grid(low, high, step)
    };
    assert_eq!(
        grid("both.bearings.lower_offset", "-1/8 in", "1/8 in", None).unwrap(),
        ["-1/8 in", "-1/16 in", "0 in", "1/16 in", "1/8 in"]
    );
    let throughput = grid("throughput", "60", "140", Some("5")).unwrap();
    assert_eq!(throughput.len(), 17);
    assert_eq!((throughput[0].as_str(), throughput[16].as_str()), ("60 veh/h", "140 veh/h"));
    assert_eq!(grid("left.stop_pin.hole", "1", "3", None).unwrap(), ["1", "2", "3"]);
    assert_eq!(grid("left.brush.spin_sense", "OutboardAtNose", "InboardAtNose", None).unwrap().len(), 2);
    for (low, high, step) in
        [("140", "60", "5"), ("60", "140", "0"), ("60", "140", "-1"), ("60", "4000", "5")]
    {
        let refusal = grid("throughput", low, high, Some(step)).unwrap_err();
        assert!(!refusal.allowed.is_empty() && !refusal.advice.is_empty(), "{refusal}");
    }
    for text in throughput {
        scenario.with(&[("throughput", &text)]).unwrap();
    }
}

#[test]
fn verif_standards_and_trade_order() {
    let scenario = shipped("ferry-return.ron");
    let standard = |path: &str| scenario.setting(path).unwrap().standard;
    assert_eq!(standard("left.bearings.lower_offset"), Some(Standard::Value("0 in".to_owned())));
    assert_eq!(standard("left.stop_pin.hole"), Some(Standard::Value("2".to_owned())));
    assert_eq!(standard("left.air.cap"), Some(Standard::Within("5 psi", "10 psi")));
    assert_eq!(standard("left.counterweight.mass"), None);
    let mut groups = [Group::Foam, Group::Pin, Group::Bearing, Group::Air];
    groups.sort();
    assert_eq!(groups, [Group::Air, Group::Bearing, Group::Pin, Group::Foam]);
    for setting in scenario.settings() {
        let friction = setting.path.ends_with("friction");
        assert!(!friction || !setting.in_field, "{}", setting.path);
    }
}

#[test]
fn verif_rewriting_keeps_comments_and_layout() {
    let scenario = shipped("ferry-return.ron");
    let text = super::shipped_text("ferry-return.ron");
    let new = scenario
        .rewrite(&[
            ("left.bearings.lower_offset", "1/8 in"),
            ("right.stop_pin.hole", "3"),
            ("throughput", "120 veh/h"),
            ("left.bearings.lower_along", "1/16 in"),
        ])
        .unwrap();
    let comments = |text: &str| {
        text.lines().filter_map(|line| line.split_once("//").map(|(_, c)| c.to_owned())).collect::<Vec<_>>()
    };
    assert_eq!(comments(&text), comments(&new));
    assert!(comments(&text).len() > 15);
    // One line more: the field that was not there.
    let old: Vec<&str> = text.lines().collect();
    let added: Vec<&str> = new.lines().filter(|line| !old.contains(line)).collect();
    assert_eq!(added.len(), 4, "{added:#?}");
    assert!(added.iter().any(|line| line.trim() == "lower_along: \"1/16 in\","), "{added:#?}");
    assert_eq!(new.lines().count(), old.len() + 1);
}

#[test]
fn verif_a_missing_struct_is_written_too() {
    let text = super::shipped_text("one-unit.ron");
    let start = text.find("        bearings: (").unwrap();
    let end = start + text[start..].find("),\n").unwrap() + 3;
    let without = format!("{}{}", &text[..start], &text[end..]);
    let scenario = Scenario::read_alone(&without, "plumb.ron").unwrap();
    assert_eq!(value(&scenario, "left.bearings.lower_offset"), "0 in");
    let new = scenario.rewrite(&[("left.bearings.lower_offset", "1/8 in")]).unwrap();
    assert!(new.contains("        bearings: (lower_offset: \"1/8 in\"),"), "{new}");
    let again = Scenario::read_alone(&new, "again.ron").unwrap();
    assert_eq!(value(&again, "left.bearings.lower_offset"), "1/8 in");
    // The measured vehicle's entry grows from a name to fields.
    let new = scenario.rewrite(&[("vehicle.lateral_offset", "2 in"), ("vehicle.yaw", "1 deg")]).unwrap();
    assert!(
        new.contains("train: [(vehicle: \"sedan\", lateral_offset: \"2 in\", yaw: \"1 deg\")],"),
        "{new}"
    );
    assert!(Scenario::read_alone(&new, "again.ron").unwrap().setup().train[0].yaw_rad > 0.01);
}

#[test]
fn verif_wrong_settings_are_told_precisely() {
    let scenario = shipped("ferry-return.ron");
    let mut said = String::new();
    for (path, text) in [
        ("left.bearing.lower_offset", "1/8 in"),
        ("left.lower_offset", "1/8 in"),
        ("trouhgput", "100 veh/h"),
        ("", ""),
        ("line.conveyor_speed", "30 ft/min"),
        ("left.bearings.lower_gap", "2 in"),
        ("left.bearings.lower_offset", "1/8"),
        ("left.bearings.lower_offset", "1/8 psi"),
        ("left.bearings.lower_offset", "3 in"),
        ("both.bearings.lower_offset", "-2 in"),
        ("left.stop_pin.hole", "4"),
        ("left.stop_pin.hole", "two"),
        ("left.stop_pin.hole", "2.5"),
        ("left.brush.spin_sense", "Outboard"),
        ("left.brush.friction", "-0.1"),
        ("left.dampers[1].out_stroke", "1 lbf s/in"),
        ("throughput", "1000 veh/h"),
        ("vehicle.name", "sedn"),
        ("vehicle.lateral_offset", "30 in"),
        ("vehicle.yaw", "NaN deg"),
        ("left.air.cap", "14.7 psia"),
    ] {
        match scenario.with(&[(path, text)]) {
            Ok(_) => said.push_str(&format!("# {path} = {text}\nfine\n\n")),
            Err(errors) => said.push_str(&format!("# {path} = {text}\n{errors}\n\n")),
        }
    }
    // Two wrong settings are both told.
    let two = scenario.with(&[("left.air.cap", "7"), ("right.air.cap", "lots")]).unwrap_err();
    assert_eq!(two.0.len(), 2);
    let one_unit = shipped("one-unit.ron");
    for path in ["right.air.cap", "both.air.cap"] {
        said.push_str(&format!(
            "# {path} of one unit\n{}\n\n",
            one_unit.with(&[(path, "5 psi")]).unwrap_err()
        ));
    }
    insta::assert_snapshot!("wrong_settings", said);
}

#[test]
fn verif_changes_are_cheap_and_thread_safe() {
    fn shared<T: Send + Sync>() {}
    shared::<Scenario>();
    let scenario = shipped("ferry-return.ron");
    let results: Vec<f64> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..4)
            .map(|i| {
                let scenario = &scenario;
                scope.spawn(move || {
                    let text = format!("{} veh/h", 60 + 20 * i);
                    scenario.with(&[("throughput", text)]).unwrap().conveyor_speed_m_s()
                })
            })
            .collect();
        handles.into_iter().map(|handle| handle.join().unwrap()).collect()
    });
    for (i, speed) in results.iter().enumerate() {
        let want = scenario.conveyor_speed_m_s() * (60.0 + 20.0 * i as f64) / 140.0;
        assert!((speed - want).abs() < 1e-15, "{speed} {want}");
    }
}

/// Both ends of every stated range are taken, or the row says what else limits the setting, and that is what refuses it.
#[test]
fn verif_both_ends_of_every_stated_range_are_taken_or_the_row_says_what_else_limits_it() {
    // What the refusal is about, by what the row says.
    const REFUSALS: [(&str, &[&str]); 5] = [
        ("the pivot leans", &["the pivot leans too far", "lower_gap is out of range"]),
        ("must fit line.lane_width", &["does not fit the lane", "does not get past", "does not reach"]),
        ("foam station is computed for", &["throughput is out of range"]),
        ("needle valve is full open", &["needle_valve is out of range"]),
        ("stands out from the hub", &["leaves no strips on the hub"]),
    ];
    let (mut ends, mut refused) = (0, Vec::new());
    let mut met = BTreeSet::new();
    for name in SHIPPED {
        let scenario = shipped(name);
        for setting in scenario.settings() {
            let also = setting.also_limited(&scenario);
            let (low, high) = setting.range_si();
            for end in [low, high] {
                ends += 1;
                let text = setting.text_of(&scenario, end).unwrap();
                let Err(errors) = scenario.with(&[(&setting.path, &text)]) else { continue };
                let problem = &errors.0[0].problem;
                let told = also.as_deref().and_then(|also| {
                    REFUSALS.iter().find(|(said, problems)| {
                        also.contains(said) && problems.iter().any(|known| problem.contains(known))
                    })
                });
                match told {
                    Some((said, _)) => {
                        met.insert(*said);
                    }
                    None => refused.push(format!("{name} {} = {text}: {problem} ({also:?})", setting.path)),
                }
            }
        }
    }
    assert!(ends > 500, "{ends}");
    assert!(refused.is_empty(), "{} of {ends}:\n{}", refused.len(), refused.join("\n"));
    // Each of the limits said is one that is met somewhere.
    assert_eq!(met.len(), REFUSALS.len(), "{met:?}");
}

/// The figure of the lean is where the refusal begins.
#[test]
fn verif_the_lean_a_row_states_is_where_it_is_refused() {
    let scenario = shipped("ferry-return.ron");
    let setting = scenario.setting("left.bearings.lower_offset").unwrap();
    let said = setting.also_limited(&scenario).unwrap();
    let most: f64 = said.split("leans up to ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    assert!(most > 0.5, "{said}");
    let at = |inches: f64| scenario.with(&[("left.bearings.lower_offset", format!("{inches} in"))]);
    // Two decimals are shown.
    assert!(at(most - 0.01).is_ok() && at(most + 0.01).is_err(), "{said}");
}

/// A number set as it is comes to the same machine as the same number written, and the text written then reads back to it.
#[test]
fn verif_numbers_set_as_they_are_come_to_the_same() {
    let demo = shipped("ferry-return.ron");
    let mut tried = 0;
    for setting in demo.settings() {
        let Some(now) = setting.value_si(&demo).filter(|_| setting.info().is_some()) else { continue };
        let (low, high) = setting.range_si();
        let there = if now == 0.0 { 1e-3 * (high - low) } else { 1.013 * now };
        let Ok(written) = demo.with_si(&[(&setting.path, there)]) else { continue };
        let exact = demo.with_exactly(&[(&setting.path, there)]).unwrap_or_else(|errors| panic!("{errors}"));
        let got = setting.value_si(&exact).expect("a number");
        assert!(got == there, "{}: {got} {there}", setting.path);
        let wrote = setting.value_si(&written).expect("a number");
        assert!((wrote - got).abs() < 1e-9 * (1.0 + got.abs()), "{}: {wrote} {got}", setting.path);
        let again = Scenario::read_alone(&exact.text().expect("a text"), "again.ron").unwrap();
        assert!(setting.value_si(&again) == Some(got), "{}", setting.path);
        tried += 1;
    }
    assert!(tried > 20, "{tried}");
    assert!(demo.with_exactly(&[("both.counterweight.mass", 1e6)]).is_err());
    assert!(demo.with_exactly(&[("both.no.such", 1.0)]).is_err());
}

/// What was found of a unit by measuring can be set where the file does not state it: softer media press by what is said, and what the machine says changes nothing; the other
/// unit stays as it is; the text that is saved holds it.
#[test]
fn verif_what_was_found_can_be_set_though_no_file_states_it() {
    let lane = shipped("ferry-return.ron");
    let push = |scenario: &Scenario| -> Vec<[f64; 2]> {
        let models = scenario.unit_models().iter();
        models.map(|model| [model.brush.rest_stiffness(), model.brush.spin_stiffness()]).collect()
    };
    let (before, same) = (push(&lane), lane.with(&[("both.found.push", "100 %")]).expect("it can be set"));
    for (own, was) in push(&same).iter().zip(&before) {
        assert!(was[0] + was[1] > 0.0 && own.iter().zip(was).all(|(a, b)| (a - b).abs() <= 1e-9 * b.abs()));
    }
    let soft = lane.with(&[("left.found.push", "80 %")]).expect("it can be set");
    let after = push(&soft);
    for (own, was) in after[0].iter().zip(before[0]) {
        assert!((own - 0.8 * was).abs() <= 1e-9 * was.abs(), "{own} of {was}");
    }
    assert_eq!(after[1], before[1]);
    let text = soft.text().expect("a text");
    let again = Scenario::read_alone(&text, "soft.ron").unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!((push(&again), value(&again, "left.found.push").as_str()), (after, "80 %"));
    // A step goes from what the machine says; what the machine does not say is refused as ever.
    let typed = lane.typed(&[("both.found.push".to_owned(), "-=10 %".to_owned())]).expect("a step");
    assert_eq!(typed[0].value, "90 %");
    let refused = lane.with(&[("both.found.mass", "80 %")]).expect_err("no such thing").to_string();
    assert!(refused.contains("there is no such setting"), "{refused}");
}

/// A minus belongs to a temperature, which has values below the zero of its scale; a plus could mean either; `-=` is a step.
#[test]
fn verif_a_minus_belongs_to_a_temperature() {
    let lane = shipped("ferry-return.ron");
    let typed = |text: &str| {
        let typed = lane.typed(&[("line.air_temperature".to_owned(), text.to_owned())]);
        typed.map(|changes| (changes[0].value.clone(), changes[0].stepped.is_some()))
    };
    assert_eq!(typed("-10 °F").expect("a value"), ("-10 °F".to_owned(), false));
    assert_eq!(typed("-=10 °F").expect("a step"), ("58 °F".to_owned(), true));
    assert!(typed("+10 °F").expect_err("two things").to_string().contains("a value or a step"));
    let cold = lane.with(&[("line.air_temperature", "-10 °F")]).expect("it holds");
    // (−10 + 459.67) × 5/9 K.
    let kelvin = cold.setting("line.air_temperature").unwrap().value_si(&cold).unwrap();
    assert!((kelvin - 449.67 * 5.0 / 9.0).abs() < 1e-9, "{kelvin}");
}
