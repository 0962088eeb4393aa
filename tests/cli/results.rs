//! What the commands print.

use super::{brusharm, done, folder, run};
use serde_json::Value;

#[test]
fn regress_pass_for_people() {
    let folder = folder();
    let text = done(folder.path(), &["pass", "lane.ron"]);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    insta::assert_snapshot!("pass", text);
    // SI says the same with other units.
    let si = done(folder.path(), &["pass", "lane.ron", "--units", "si"]);
    assert!(si.lines().all(|line| line.chars().count() <= 80), "{si}");
    assert!(si.contains(" mm") && !si.contains(" lbf") && text.contains(" lbf") && !text.contains(" mm"));
    let verdicts = |text: &str| -> Vec<String> {
        text.lines()
            .filter_map(|l| l.rsplit("  ").next().map(str::trim))
            .map(str::to_owned)
            .filter(|w| w == "fail")
            .collect()
    };
    assert_eq!(verdicts(&text), verdicts(&si));
}

#[test]
fn regress_settings_and_help_for_people() {
    let folder = folder();
    insta::assert_snapshot!("settings", done(folder.path(), &["settings", "lane.ron"]));
    insta::assert_snapshot!("help_pass", done(folder.path(), &["pass", "--help"]));
    let whole = done(folder.path(), &["--help"]);
    for caution in
        ["Lock out and tag out", "Bleed the air", "Block the arm", "pinch points", "eye protection"]
    {
        assert!(whole.contains(caution), "{caution}");
    }
    assert!(whole.contains("does not certify") && whole.contains("maker's manual"), "{whole}");
    for command in ["pass", "check", "settings"] {
        assert!(whole.contains(&format!("\n  {command}")));
        // The whole list is one step away and named in one line.
        let help = done(folder.path(), &[command, "--help"]);
        assert!(help.contains("Lock out, bleed and block") && help.contains("brusharm --help"), "{help}");
    }
}

#[test]
fn verif_pass_as_json_and_csv_tell_the_same_numbers() {
    let folder = folder();
    let json: Value =
        serde_json::from_str(&done(folder.path(), &["pass", "lane.ron", "--format", "json"])).unwrap();
    assert_eq!(json["schema"], "brusharm/pass/1");
    assert_eq!(json["throughput_per_h"], 100.0);
    assert_eq!(json["scenario"]["file"], "lane.ron");
    assert_eq!(json["zones"].as_array().unwrap().len(), 4);
    assert!(json["verdicts"].as_array().unwrap().len() > 10);
    // The settings in force come along, with SI values.
    let settings = json["settings"].as_array().unwrap();
    let hole = settings.iter().find(|s| s["path"] == "left.stop_pin.hole").unwrap();
    assert_eq!((hole["value_si"].as_f64(), hole["step_si"].as_f64()), (Some(2.0), Some(1.0)));

    let text = done(folder.path(), &["pass", "lane.ron", "--format", "csv"]);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert!(rows.len() > 50);
    let value = |quantity: &str, about: &str| {
        rows.iter().find(|r| &r[0] == quantity && &r[1] == about).unwrap()[2].parse::<f64>().ok()
    };
    for (i, zone) in ["nose", "left_side", "tail", "right_side"].iter().enumerate() {
        assert_eq!(json["zones"][i]["zone"], *zone);
        let rubbing = value("rubbing_work", zone);
        assert_eq!(rubbing, json["zones"][i]["rubbing_work_j_m2"].as_f64());
        assert!(rubbing.unwrap() > 1.0);
    }
}

#[test]
fn verif_the_same_bits_every_time() {
    let folder = folder();
    let arguments = ["pass", "lane.ron", "--format", "json", "--series", "1 s"];
    let first = done(folder.path(), &arguments);
    assert!(first.len() > 10_000);
    assert_eq!(first, done(folder.path(), &arguments));
}

#[test]
fn verif_series_come_when_asked_for() {
    let folder = folder();
    let arguments = ["pass", "lane.ron", "--format", "json", "--series", "0.5 s"];
    let json: Value = serde_json::from_str(&done(folder.path(), &arguments)).unwrap();
    let series = json["series"].as_array().unwrap();
    assert_eq!(series.len(), 2);
    let times = series[0]["time_s"].as_array().unwrap();
    assert!(times.len() > 50 && times[1].as_f64().unwrap() - times[0].as_f64().unwrap() == 0.5);
    for key in ["swing_rad", "cap_pressure_pa", "contact_force_n", "spindle_power_w", "inboard_stop_n"] {
        assert_eq!(
            series[1][key].as_array().unwrap().len(),
            series[1]["time_s"].as_array().unwrap().len(),
            "{key}"
        );
    }
    assert!(json["units"][0]["events"].as_array().unwrap().len() == 10);
}

/// Changing a setting on the command line changes the result the way the trade expects, and the report says what was changed.
#[test]
fn verif_set_changes_the_run_and_is_said() {
    let folder = folder();
    let work = |set: &[&str]| -> f64 {
        let mut arguments = vec!["pass", "lane.ron", "--format", "json"];
        for text in set {
            arguments.extend(["--set", text]);
        }
        let json: Value = serde_json::from_str(&done(folder.path(), &arguments)).unwrap();
        assert_eq!(json["scenario"]["set"].as_array().unwrap().len(), set.len());
        json["zones"][1]["rubbing_work_j_m2"].as_f64().unwrap()
    };
    let plumb = work(&[]);
    let heavier = work(&["both.bearings.lower_offset=1/8 in"]);
    let lighter = work(&["both.bearings.lower_offset=-1/8 in"]);
    assert!(heavier > 1.02 * plumb && lighter < 0.98 * plumb, "{lighter} {plumb} {heavier}");

    let arguments =
        ["pass", "lane.ron", "--set", "line.throughput = 120 veh/h", "--set", "left.stop_pin.hole=3"];
    let text = done(folder.path(), &arguments);
    assert!(text.contains("Set for this run: line.throughput = 120 veh/h"), "{text}");
    assert!(text.contains("Set for this run: left.stop_pin.hole = 3") && text.contains("120 veh/h,"));
}

#[test]
fn verif_check_resolves_the_machine() {
    let folder = folder();
    let text = done(folder.path(), &["check", "lane.ron"]);
    assert!(text.starts_with("The scenario is sound.\n"));
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    for word in [
        "arm tube",
        "Inertia about the pivot",
        "K0, N/(m^(p+1) rad)",
        "Cable: length at rest",
        "supply C",
        "Outline of sedan",
    ] {
        assert!(text.contains(word), "{word}");
    }
    let us = done(folder.path(), &["check", "lane.ron", "--units", "us"]);
    assert!(us.contains("lb ft2") && !text.contains("lb ft2"));

    let read =
        |arguments: &[&str]| -> Value { serde_json::from_str(&done(folder.path(), arguments)).unwrap() };
    let plain = read(&["check", "lane.ron", "--format", "json"]);
    assert_eq!(plain["schema"], "brusharm/machine/1");
    let outline = &plain["vehicles"][0]["bands"][0]["outlines"][0];
    assert!(outline["pieces"].as_array().unwrap().len() > 8 && outline.get("points").is_none());
    let parts = plain["units"][0]["body"]["parts"].as_array().unwrap();
    let sum: f64 = parts.iter().map(|p| p["inertia_about_pivot_kg_m2"].as_f64().unwrap()).sum();
    assert!((sum / plain["units"][0]["body"]["inertia_kg_m2"].as_f64().unwrap() - 1.0).abs() < 1e-12);
    assert_eq!(plain["units"][1]["stop_pin"]["seats_rad"].as_array().unwrap().len(), 3);
    let points = read(&["check", "lane.ron", "--format", "json", "--points"]);
    assert!(points["vehicles"][0]["bands"][0]["outlines"][0]["points"].as_array().unwrap().len() > 20);
    // The text form lists them too.
    assert!(done(folder.path(), &["check", "lane.ron", "--points"]).contains("Points: (0, 0)"));
}

#[test]
fn verif_settings_list_every_promised_path() {
    let folder = folder();
    let text = done(folder.path(), &["settings", "lane.ron", "--format", "json"]);
    let json: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["schema"], "brusharm/settings/1");
    let list = json["settings"].as_array().unwrap();
    let mut promised = vec!["line.throughput".to_owned()];
    for side in ["left", "right", "both"] {
        let paths = ["bearings.lower_offset", "stop_pin.hole", "brush.spin_sense", "brush.friction"];
        promised.extend(paths.iter().map(|path| format!("{side}.{path}")));
    }
    let csv = done(folder.path(), &["settings", "lane.ron", "--format", "csv"]);
    let people = done(folder.path(), &["settings", "lane.ron"]);
    for path in promised {
        assert!(list.iter().any(|s| s["path"] == path.as_str()), "{path}");
        assert!(csv.lines().any(|line| line.starts_with(&format!("{path},"))), "{path}");
        assert!(people.contains(&format!("\n{path} = ")), "{path}");
    }
    let rate = list.iter().find(|s| s["path"] == "line.throughput").unwrap();
    assert_eq!((rate["value"].as_str(), rate["step"].as_str()), (Some("100 veh/h"), Some("1 veh/h")));
    // A choice has no step and no range of numbers: null, not 0.
    let sense = list.iter().find(|s| s["path"] == "left.brush.spin_sense").unwrap();
    assert!(sense["step"].is_null() && sense["low_si"].is_null() && sense["choices"].is_array());
    // A pair that differs has no one value.
    let set = ["settings", "lane.ron", "--format", "json", "--set", "left.stop_pin.hole=3"];
    let json: Value = serde_json::from_str(&done(folder.path(), &set)).unwrap();
    let pair =
        json["settings"].as_array().unwrap().iter().find(|s| s["path"] == "both.stop_pin.hole").unwrap();
    assert!(pair["value"].is_null() && pair["value_si"].is_null());
}

/// The verdict is in the output; the exit code tells it only when asked.
#[test]
fn verif_exit_codes() {
    let folder = folder();
    let at = folder.path();
    // A limit that nothing meets, and one that everything meets.
    let with = |name: &str, criteria: &str| {
        let start = super::LANE.find("    criteria: (").unwrap();
        let text = format!("{}    criteria: ({criteria}),\n)\n", &super::LANE[..start]);
        std::fs::write(at.join(name), text).unwrap();
    };
    with("hard.ron", "recovery_margin: \"60 s\"");
    with("easy.ron", "spindle_power: \"90 hp\"");
    with("none.ron", "");
    let ran = run(at, &["pass", "hard.ron"]);
    assert!(ran.code == 0 && ran.out.starts_with("Fails: recovery margin, left is "), "{}", ran.out);
    let strict = run(at, &["pass", "hard.ron", "--strict"]);
    assert_eq!((strict.code, strict.err.as_str()), (3, ""));
    assert_eq!(strict.out, ran.out);
    let easy = run(at, &["pass", "easy.ron", "--strict"]);
    assert!(easy.code == 0 && easy.out.starts_with("Passes."), "{}", easy.out);
    assert_eq!(run(at, &["pass", "none.ron", "--strict"]).code, 0);
    // Usage.
    for arguments in [&[][..], &["pass"], &["wash", "lane.ron"], &["pass", "lane.ron", "--format", "xml"]] {
        let ran = run(at, arguments);
        assert!(ran.code == 2 && ran.out.is_empty() && !ran.err.is_empty(), "{arguments:?}");
    }
    assert_eq!(done(at, &["--version"]), format!("brusharm {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn verif_no_escape_codes_off_a_terminal() {
    let folder = folder();
    for (key, value) in [("NO_COLOR", "1"), ("TERM", "xterm-256color")] {
        let output = brusharm(folder.path()).args(["pass", "lane.ron"]).env(key, value).output().unwrap();
        assert!(output.status.success() && output.stdout.len() > 1000);
        assert!(!output.stdout.contains(&0x1b), "{key}");
    }
}
