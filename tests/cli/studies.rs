//! Studies: what was asked stands in every document, numbers on an edge say so, Ctrl-C leaves what there is.

use super::{done, folder, run};
use serde_json::Value;
use std::path::Path;

/// A shipped scenario.
fn shipped(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name).display().to_string()
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

#[test]
fn verif_every_line_of_a_sweep_says_how_to_get_it_again() {
    let folder = folder();
    let file = "rows.jsonl";
    let arguments = ["sweep", "lane.ron", "--set", "left.air.cap=8", "--over", "throughput=80,100"];
    let printed = done(folder.path(), &[&arguments[..], &["--format", "json"]].concat());
    done(folder.path(), &[&arguments[..], &["-o", file]].concat());
    assert_eq!(std::fs::read_to_string(folder.path().join(file)).unwrap(), printed);
    assert_eq!(printed.lines().count(), 2);
    for line in printed.lines() {
        let row = json(line);
        let asked = &row["asked"];
        assert_eq!(asked["file"], "lane.ron");
        assert_eq!(asked["set"], serde_json::json!([{ "path": "left.air.cap", "value": "8 psi" }]));
        // From the line alone the same pass again.
        let throughput = format!("throughput={}", row["line.throughput_veh_per_h"]);
        let set = format!(
            "{}={}",
            asked["set"][0]["path"].as_str().unwrap(),
            asked["set"][0]["value"].as_str().unwrap()
        );
        let over = [
            "sweep",
            asked["file"].as_str().unwrap(),
            "--set",
            &set,
            "--over",
            &throughput,
            "--format",
            "json",
        ];
        let again = json(&done(folder.path(), &over));
        assert!(row["tail_gap_m"].is_number() && again["tail_gap_m"] == row["tail_gap_m"]);
    }
}

#[test]
fn verif_a_comparison_says_what_was_set_in_which_set_up() {
    let folder = folder();
    let text = done(
        folder.path(),
        &[
            "compare",
            "lane.ron",
            "--set",
            "left.air.cap=8; right.air.cap=9",
            "--set",
            "gap=6 ft",
            "--format",
            "json",
        ],
    );
    let document = json(&text);
    let expected = serde_json::json!([
        { "setup_number": 2, "path": "left.air.cap", "value": "8 psi" },
        { "setup_number": 2, "path": "right.air.cap", "value": "9 psi" },
        { "setup_number": 3, "path": "line.gap", "value": "6 ft" },
    ]);
    let set = &document["asked"]["set"];
    for (told, expected) in set.as_array().unwrap().iter().zip(expected.as_array().unwrap()) {
        assert_eq!((&told["setup_number"], &told["value"]), (&expected["setup_number"], &expected["value"]));
        assert!(expected["path"].as_str().unwrap().ends_with(told["path"].as_str().unwrap()), "{told}");
    }
    assert_eq!(set.as_array().unwrap().len(), 3);
    assert_eq!(document["rows"].as_array().unwrap().len(), 3);
}

/// Every field that holds a unit is called `unit`, in every document.
#[test]
fn verif_units_are_spelled_alike_in_every_document() {
    fn look(value: &Value, units: &mut u32) {
        match value {
            Value::Array(items) => items.iter().for_each(|item| look(item, units)),
            Value::Object(fields) => {
                for (name, field) in fields {
                    if field.is_string() && name.contains("unit") {
                        assert_eq!(name, "unit", "{field}");
                        *units += 1;
                    }
                    look(field, units);
                }
            }
            _ => {}
        }
    }
    let folder = folder();
    let demo = shipped("ferry-return.ron");
    let commands: [&[&str]; 4] = [
        &["pass", &demo, "--format", "json"],
        &["settings", &demo, "--format", "json"],
        &["spread", &demo, "--blocks", "2", "--format", "json"],
        &[
            "recommend",
            &demo,
            "--vehicles",
            "sedan",
            "--throughput",
            "110",
            "--most-steps",
            "1",
            "--format",
            "json",
        ],
    ];
    for command in commands {
        let mut units = 0;
        look(&json(&done(folder.path(), command)), &mut units);
        assert!(units > 5, "{command:?}: {units}");
    }
}

/// The air drop at 160 vehicles/h: the left arm's last bounce turns just inside what counts as settled.
#[test]
fn verif_a_margin_on_an_edge_is_marked_wherever_it_is_shown() {
    let folder = folder();
    let file = shipped("air-drop.ron");
    let at = "throughput=110";
    let says = |arguments: &[&str], on_edge: bool| {
        let text = done(folder.path(), arguments);
        assert_eq!(text.contains('†') && text.contains("on an edge"), on_edge, "{arguments:?}\n{text}");
        text
    };
    let of = ["--of", "recovery_margin_left"];
    says(&[&["compare", &file, "--set", at][..]].concat(), true);
    says(&[&["sweep", &file, "--over", "throughput=80,110"][..], &of].concat(), true);
    says(&[&["sweep", &file, "--over", "throughput=80,100"][..], &of].concat(), false);
    says(&[&["nudge", &file, "--set", at][..], &of].concat(), true);
    let map = says(
        &[&["sweep", &file, "--over", "throughput=80,110", "--over", "gap=5 ft,6 ft", "--svg", "-"][..], &of]
            .concat(),
        true,
    );
    assert!(map.starts_with("<svg") || map.contains("<svg"), "{map}");
    // In machine forms: how much worse on the other side; nothing where there is no edge.
    let edge = "recovery_margin_left_edge_s";
    let rows = done(folder.path(), &["sweep", &file, "--over", "throughput=80,110", "--format", "json"]);
    let rows: Vec<Value> = rows.lines().map(json).collect();
    assert!(rows[0][edge].is_null() && rows[1][edge].as_f64().is_some_and(|edge| edge > 0.05), "{}", rows[1]);
    // A column of the margin never comes without that of its edge.
    let margin = ["--columns", "recovery_margin_left_s", "--format", "csv"];
    let csv = done(folder.path(), &[&["sweep", &file, "--over", "throughput=80,110"][..], &margin].concat());
    assert!(
        csv.starts_with(&format!("row,line.throughput_veh_per_h,recovery_margin_left_s,{edge},reason\n")),
        "{csv}"
    );
    let nudge =
        json(&done(folder.path(), &[&["nudge", &file, "--set", at, "--format", "json"][..], &of].concat()));
    assert!(nudge["rows"].as_array().unwrap().iter().any(|row| row[edge].is_number()));
}

/// Starts a command and sends it an interrupt once it has had time to listen; code, standard output, standard error.
#[cfg(unix)]
fn interrupted(folder: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    use std::process::{Command, Stdio};
    // Sooner than it listens, the interrupt ends it at once and it says nothing: then again, later.
    for wait_ms in [1_000, 3_000, 9_000, 27_000] {
        let child = Command::new(env!("CARGO_BIN_EXE_brusharm"))
            .current_dir(folder)
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait_ms));
        assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
        let output = child.wait_with_output().unwrap();
        if output.status.code().is_some() {
            let text = |bytes| String::from_utf8(bytes).unwrap();
            return (output.status.code(), text(output.stdout), text(output.stderr));
        }
    }
    panic!("{arguments:?} never listens");
}

#[cfg(unix)]
#[test]
fn verif_an_interrupted_study_tells_what_it_has() {
    let folder = folder();
    let demo = shipped("ferry-return.ron");
    // Hours of work each.
    let (code, out, err) =
        interrupted(folder.path(), &["recommend", &demo, "--vehicles", "all", "--throughput", "60..140:5"]);
    assert_eq!(code, Some(130), "{err}");
    assert!(out.contains("Interrupted: ") && out.contains("best so far"), "{out}");
    let (code, out, err) = interrupted(folder.path(), &["spread", &demo, "--blocks", "100000"]);
    assert_eq!(code, Some(130), "{err}");
    assert!(err.contains("interrupted after ") && err.contains(" of 100000 blocks"), "{err}");
    assert!(out.contains("Every criterion is met in "), "{out}");
    let (code, out, err) =
        interrupted(folder.path(), &["sweep", &demo, "--over", "throughput=60..140:0.001"]);
    assert_eq!(code, Some(130), "{err}");
    let kept: u64 =
        err.split("interrupted after ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    assert!(kept > 0 && kept < 80_001 && out.contains("Over throughput"), "{out}");
}

#[cfg(unix)]
#[test]
fn verif_an_interrupted_sheet_writes_nothing() {
    let folder = folder();
    let demo = shipped("ferry-return.ron");
    let arguments = ["sheet", &demo, "--set", "throughput=140", "--recommend", "-o", "sheet.html"];
    let (code, out, err) = interrupted(folder.path(), &arguments);
    assert_eq!((code, out.as_str()), (Some(130), ""), "{err}");
    assert!(err.contains("interrupted: no sheet is written"), "{err}");
    let left: Vec<_> =
        std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, ["lane.ron"]);
    assert_eq!(run(folder.path(), &["sheet", "lane.ron", "-o", "sheet.html"]).code, 0);
}
