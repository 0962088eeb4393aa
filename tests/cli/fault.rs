//! What is wrong with a brush, as people and programs ask: on a machine with one unit, which has few causes to run.

use super::{done, refused};
use serde_json::Value;
use std::path::Path;
use tempfile::TempDir;

fn one_unit() -> TempDir {
    let folder = TempDir::new().expect("a folder");
    let scenarios = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    for name in ["one-unit.ron", "as-found.ron"] {
        std::fs::copy(scenarios.join(name), folder.path().join(name)).expect("a copy");
    }
    folder
}

#[test]
fn verif_an_answer_says_the_next_check_and_its_cautions_and_goes_on_the_sheet() {
    let folder = one_unit();
    let seen = ["fault", "one-unit.ron", "--seen", "bounces:left", "--seen", "stop-deep:left"];
    let text = done(folder.path(), &seen);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert!(text.starts_with("Most likely: left: "), "{text}");
    for part in
        ["Next check (", "Lock out and tag out", "common practice, no source", "maker's manual", "Then:"]
    {
        assert!(text.split_whitespace().collect::<Vec<_>>().join(" ").contains(part), "{part}\n{text}");
    }
    let json = done(folder.path(), &[&seen[..], &["--format", "json"]].concat());
    let document: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(document["schema"], "brusharm/fault/1");
    let rows = document["rows"].as_array().expect("rows");
    let all: f64 = rows.iter().map(|row| row["belief"].as_f64().expect("a share")).sum();
    assert!((all - 1.0).abs() < 1e-9, "{all}");
    assert_eq!(rows[0]["causes"][0]["cause"], "bumper-gone");
    assert!(document["checks"][0]["bits_per_min"].as_f64().expect("bits") > 0.0);
    std::fs::write(folder.path().join("fault.json"), &json).expect("a file");
    let sheet = done(folder.path(), &["sheet", "one-unit.ron", "--add", "fault.json"]);
    assert!(sheet.contains("What is wrong with the brush") && sheet.contains("Next check: "));
    // What a check showed settles it.
    let checked = [&seen[..], &["--checked", "bumper=left,torn", "--format", "json"]].concat();
    let after: Value = serde_json::from_str(&done(folder.path(), &checked)).expect("JSON");
    assert!(after["rows"][0]["belief"].as_f64() > rows[0]["belief"].as_f64());
}

#[test]
fn verif_nothing_told_names_no_fault() {
    let folder = one_unit();
    let text = done(folder.path(), &["fault", "one-unit.ron"]);
    assert!(text.starts_with("Nothing is seen and nothing was read: there is no fault to name."), "{text}");
    let json = done(folder.path(), &["fault", "one-unit.ron", "--format", "json"]);
    let document: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(document["rows"].as_array().map(Vec::len), Some(0));
}

#[test]
fn verif_the_lists_need_no_file_and_hold_what_can_be_said() {
    let folder = one_unit();
    let text = done(folder.path(), &["fault", "--list"]);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let json: Value =
        serde_json::from_str(&done(folder.path(), &["fault", "--list", "--format", "json"])).expect("JSON");
    for list in ["signs", "readings", "checks", "causes"] {
        let rows = json[list].as_array().expect(list);
        assert!(rows.len() > 10, "{list}");
        for row in rows {
            assert!(text.contains(row["name"].as_str().expect("a name")), "{row}");
        }
    }
}

#[test]
fn verif_what_cannot_be_is_refused_with_what_can() {
    let folder = one_unit();
    let refuse = |more: &[&str]| refused(folder.path(), &[&["fault", "one-unit.ron"][..], more].concat());
    let text = refuse(&["--seen", "tail-mised:left"]);
    assert!(text.contains("tail-missed") && text.contains("--seen"), "{text}");
    assert!(refuse(&["--seen", "bounces:right"]).contains("left"));
    assert!(refuse(&["--seen", "gradual:left"]).contains("of no side"));
    assert!(refuse(&["--seen", "bounces:left", "--fine", "bounces:left"]).contains("to be fine"));
    assert!(refuse(&["--reading", "gauge=5 psi"]).contains("gauge:left"));
    assert!(refuse(&["--reading", "gauge:left=5 lb"]).contains("psi"));
    assert!(refuse(&["--weight", "tight=many"]).contains("0 to 1000"));
    assert!(refuse(&["--checked", "gauge=perhaps"]).contains("found"));
    assert!(refused(folder.path(), &["fault"]).contains("--list"));
}

#[test]
fn verif_check_names_what_differs_between_the_sides_and_why() {
    let folder = one_unit();
    let text = done(folder.path(), &["check", "as-found.ron"]);
    assert!(text.contains("does not say why") && text.contains("left 5 psi, right 9 psi"), "{text}");
    let json: Value =
        serde_json::from_str(&done(folder.path(), &["check", "as-found.ron", "--format", "json"]))
            .expect("JSON");
    let of = |json: &Value| {
        let list = json["uneven"].as_array().expect("a list").clone();
        list.into_iter().find(|own| own["setting"] == "air.cap").expect("the air")
    };
    let sheet = done(folder.path(), &["sheet", "as-found.ron"]);
    assert!(sheet.contains("Left and right differ") && sheet.contains("the scenario does not explain"));
    assert_eq!((&of(&json)["left"], &of(&json)["why"]), (&Value::from("5 psi"), &Value::Null));
    let path = folder.path().join("as-found.ron");
    let file = std::fs::read_to_string(&path).expect("a text");
    let told = "schema: 1,\n    uneven: [(setting: \"air.cap\", why: \"the left bearing drags\")],";
    std::fs::write(&path, file.replacen("schema: 1,", told, 1)).expect("a file");
    let text = done(folder.path(), &["check", "as-found.ron"]);
    assert!(text.contains("differ on purpose") && text.contains("the left bearing drags"), "{text}");
    std::fs::write(&path, file.replacen("schema: 1,", &told.replace("air.cap", "air.cup"), 1))
        .expect("a file");
    assert!(refused(folder.path(), &["check", "as-found.ron"]).contains("no setting of both sides"));
}

#[test]
fn verif_weights_in_the_file_are_those_of_the_command() {
    let folder = one_unit();
    let path = folder.path().join("one-unit.ron");
    let file = std::fs::read_to_string(&path).expect("a text");
    let with = |weights: &str| {
        let told = format!("schema: 1,\n    fault: (weights: [{weights}]),");
        std::fs::write(&path, file.replacen("schema: 1,", &told, 1)).expect("a file");
    };
    let beliefs = |more: &[&str]| {
        let seen = ["fault", "one-unit.ron", "--seen", "tail-missed:left", "--format", "json"];
        let json = done(folder.path(), &[&seen[..], more].concat());
        let document: Value = serde_json::from_str(&json).expect("JSON");
        let rows = document["rows"].as_array().expect("rows").clone();
        let causes = rows.iter().flat_map(|row| row["causes"].as_array().expect("causes").clone());
        let belief = |c: Value| (c["cause"].to_string(), c["belief"].as_f64().expect("a share"));
        let mut list: Vec<(String, f64)> = causes.map(belief).collect();
        list.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        list
    };
    let (table, asked) = (beliefs(&[]), beliefs(&["--weight", "air-weak=0", "--weight", "line-fast=90"]));
    with("(cause: \"air-weak\", weight: 0), (cause: \"line-fast\", weight: 90)");
    let (in_file, back) = (beliefs(&[]), beliefs(&["--weight", "air-weak=5", "--weight", "line-fast=3"]));
    assert_eq!(asked, in_file);
    let of = |list: &[(String, f64)], cause: &str| {
        list.iter().find(|(own, _)| own == &format!("\"{cause}\"")).map_or(0.0, |(_, share)| *share)
    };
    assert!(of(&table, "line-fast") > 0.0 && of(&in_file, "line-fast") > 2.0 * of(&table, "line-fast"));
    assert!(of(&table, "air-weak") > 0.0 && of(&in_file, "air-weak") < 1e-12);
    // The command goes before the file, also where that leaves a cause out.
    assert!(of(&back, "air-weak") > 0.0 && of(&back, "line-fast") < of(&in_file, "line-fast"));
    with("(cause: \"air-week\", weight: 2)");
    let text = refused(folder.path(), &["fault", "one-unit.ron", "--seen", "tail-missed:left"]);
    assert!(text.contains("air-weak") && text.contains("one-unit.ron:") && text.contains("^"), "{text}");
    with("(cause: \"air-weak\", weight: -2)");
    let text = refused(folder.path(), &["fault", "one-unit.ron", "--seen", "tail-missed:left"]);
    assert!(text.contains("0 to 1000"), "{text}");
}
