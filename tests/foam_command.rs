//! `brusharm foam` as a person runs it.

use assert_cmd::Command;

fn brusharm(arguments: &[&str]) -> (String, String, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_brusharm"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("NO_COLOR", "1")
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr), output.status.code().unwrap())
}

fn told(arguments: &[&str]) -> String {
    let (out, err, code) = brusharm(arguments);
    assert_eq!((err.as_str(), code), ("", 0));
    out
}

const FILE: &str = "scenarios/foam-station.ron";

#[test]
fn regress_text_for_people() {
    let us = told(&["foam", FILE]);
    let si = told(&["foam", FILE, "--units", "si"]);
    for text in [&us, &si] {
        let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 80, "{widest}");
        for said in
            ["engineering estimate", "safety data sheet", "maker's manual", "shut the water", "certify"]
        {
            assert!(text.contains(said), "{said}");
        }
    }
    insta::assert_snapshot!("foam_us", us);
    insta::assert_snapshot!("foam_si", si);
}

#[test]
fn regress_find_the_fault() {
    insta::assert_snapshot!(
        "foam_watery",
        told(&["foam", FILE, "--seen", "watery", "--reading", "tee=17 psi"])
    );
    insta::assert_snapshot!(
        "foam_fading",
        told(&[
            "foam",
            FILE,
            "--seen",
            "colour-fading",
            "--reading",
            "water-flow=2.58 gpm",
            "--reading",
            "suction=20.6 inHg"
        ])
    );
    for seen in ["spits", "dry", "no-draw"] {
        let text = told(&["foam", FILE, "--seen", seen]);
        assert!(text.contains("in the order to check") && text.contains("Mind first"), "{seen}");
    }
}

#[test]
fn regress_field_tests() {
    let weak_draw = told(&[
        "foam",
        FILE,
        "--target",
        "60:1",
        "--draw-down",
        "3 fl oz in 60 s",
        "--bucket",
        "2.6 gal in 60 s",
    ]);
    let part =
        &weak_draw[weak_draw.find("FIELD TESTS").unwrap()..weak_draw.find("\nBefore anything").unwrap()];
    insta::assert_snapshot!("foam_field_tests", part);
    let weak_water = told(&["foam", FILE, "--bucket", "1.2 gal in 60 s", "--bucket-caught", "water"]);
    assert!(weak_water.contains("water flow is weak: strainer"), "{weak_water}");
}

#[test]
fn verif_what_stops_the_work_is_said() {
    let said =
        told(&["foam", FILE, "--set", "foam.air_regulator=5 psi", "--set", "foam.liquid_regulator=80 psi"]);
    assert!(said.contains("Air cannot enter"), "{said}");
    let said =
        told(&["foam", FILE, "--set", "foam.liquid_regulator=2 psi", "--set", "foam.air_regulator=60 psi"]);
    assert!(said.contains("Liquid held back"), "{said}");
    let said = told(&["foam", FILE, "--set", "foam.supply_pressure=2 psi", "--set", "foam.lift=6 ft"]);
    assert!(said.contains("does not reach the lift"), "{said}");
    let said = told(&["foam", FILE, "--set", "foam.supply_pressure=0 psi"]);
    assert!(said.contains("No water flows"), "{said}");
    let said = told(&["foam", FILE, "--set", "foam.suction_leak=99.9 %"]);
    assert!(said.contains("too weak to hold its air"), "{said}");
}

#[test]
fn verif_json_is_versioned_si_and_whole() {
    let text = told(&["foam", "scenarios/ferry-foam.ron", "--format", "json", "--seen", "dry"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["schema"], "brusharm/foam/1");
    assert_eq!(json["film"]["sets_brushes"], true);
    let number = |path: &str| json.pointer(path).and_then(serde_json::Value::as_f64).unwrap();
    assert!((number("/dilution/supply_pressure_pa") - 45.0 * 6894.757).abs() < 1.0);
    assert!((number("/balance/liquid_pressure_pa") - 40.0 * 6894.757).abs() < 1.0);
    let ratio = number("/dilution/water_flow_m3_s") / number("/dilution/concentrate_flow_m3_s");
    assert!((ratio / number("/dilution/ratio") - 1.0).abs() < 1e-12);
    assert_eq!(json["balance"]["regime"], "good");
    assert_eq!(json["field_tests"], serde_json::Value::Null);
    assert!(!json["fault"]["findings"].as_array().unwrap().is_empty());
    let margins = json["balance"]["margins"].as_array().unwrap();
    assert_eq!(margins.len(), 6);
    // A boundary that is not there is null, never 0.
    assert!(margins.iter().any(|m| m["next_regime"].is_null() && m["boundary"].is_null()));
    // Nothing drawn: no ratio.
    let text = told(&["foam", FILE, "--format", "json", "--set", "foam.supply_pressure=0 psi"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert!(json["dilution"]["ratio"].is_null() && json["dilution"]["draw"] == "no water");
}

#[test]
fn verif_csv_is_one_number_a_line() {
    let text = told(&["foam", FILE, "--format", "csv"]);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(reader.headers().unwrap(), vec!["section", "item", "quantity", "value", "unit"]);
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let tee =
        rows.iter().find(|row| &row[0] == "balance" && row[1].is_empty() && &row[2] == "tee_pa").unwrap();
    assert_eq!(&tee[4], "Pa");
    assert!((tee[3].parse::<f64>().unwrap() - 114_600.0).abs() < 500.0, "{tee:?}");
    assert!(rows.iter().any(|row| &row[1] == "knobs[1]" && &row[2] == "expansion_ratio"));
    assert!(rows.len() > 100);
}

#[test]
fn verif_map_names_regimes_and_the_present_point() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("map.svg");
    let file = path.to_str().unwrap();
    told(&["foam", FILE, "--svg", file]);
    let svg = std::fs::read_to_string(&path).unwrap();
    for said in [
        "Liquid regulator, psi",
        "Air regulator, psi",
        "liquid only",
        "wet",
        "good",
        "dry",
        "pulsing",
        "air-locked",
        "20:1",
    ] {
        assert!(svg.contains(&format!(">{said}<")), "{said}");
    }
    assert!(svg.contains("liquid 40.0 psi, air 20.0 psi"));
    // Not written over unless asked.
    let (_, err, code) = brusharm(&["foam", FILE, "--svg", file]);
    assert!(code == 2 && err.contains("--overwrite"), "{err}");
    told(&["foam", FILE, "--svg", file, "--overwrite", "--units", "si"]);
    assert!(std::fs::read_to_string(&path).unwrap().contains("Air regulator, kPa"));
    let out = told(&["foam", FILE, "--svg", "-"]);
    assert!(out.starts_with("<svg") || out.starts_with("<?xml"), "{}", &out[..40]);
}

#[test]
fn regress_bad_questions() {
    let mut said = String::new();
    for arguments in [
        &["foam", "scenarios/ferry-return.ron"][..],
        &["foam", FILE, "--target", "rich"],
        &["foam", FILE, "--target", "0.5:1"],
        &["foam", FILE, "--reading", "tee"],
        &["foam", FILE, "--reading", "te=17 psi"],
        &["foam", FILE, "--reading", "tee=17"],
        &["foam", FILE, "--reading", "tee=17 psi", "--reading", "tee=18 psi"],
        &["foam", FILE, "--reading", "tee=900 psi"],
        &["foam", FILE, "--draw-down", "8 fl oz"],
        &["foam", FILE, "--draw-down", "8 fl oz in 0.2 s"],
        &["foam", FILE, "--draw-down", "3 gal in 60 s", "--bucket", "2 gal in 60 s"],
        &["foam", FILE, "--set", "foam.air_regulator=20 in"],
    ] {
        let (out, err, code) = brusharm(arguments);
        assert_eq!((out.as_str(), code), ("", 2), "{arguments:?}");
        said.push_str(&format!("$ brusharm {}\n{err}\n", arguments.join(" ")));
    }
    insta::assert_snapshot!("foam_bad_questions", said);
}
