//! Texts, files and left-overs that mean harm, or might as well.

use super::{LANE, done, folder, refused, run};
use std::path::Path;

/// Every character that steers a terminal or turns text, as a string in a scenario may write them.
const STEERING: &str = "\u{1b}[31m\u{2028}\u{85}\u{1b}]0;x\u{7}\u{9b}2J\u{7f}\u{8}\u{202e}\u{2066}\u{2069}";

fn is_hidden(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn only_line_breaks(text: &str, about: &str) {
    let found: Vec<char> = text.chars().filter(|c| is_hidden(*c) && *c != '\n').collect();
    assert!(found.is_empty(), "{about}: {found:?} in\n{}", text.escape_debug());
}

#[test]
fn verif_no_text_steers_the_terminal() {
    let folder = folder();
    let at = folder.path();
    let start = LANE.find(" title: \"").unwrap() + 8;
    let end = start + 1 + LANE[start + 1..].find('"').unwrap() + 1;
    let text = format!("{}{}{}", &LANE[..start], ron::to_string(STEERING).unwrap(), &LANE[end..]);
    std::fs::write(at.join("steering.ron"), text).unwrap();
    let commands: [&[&str]; 9] = [
        &["pass", "steering.ron"],
        &["check", "steering.ron"],
        &["settings", "steering.ron"],
        &["compare", "steering.ron", "--set", "left.air.cap=8"],
        &["sweep", "steering.ron", "--over", "throughput=90,100"],
        &["pass", "steering.ron", "--format", "json"],
        &["pass", "steering.ron", "--format", "csv"],
        &["pass", "steering.ron", "--svg", "-"],
        &["sheet", "steering.ron"],
    ];
    for command in commands {
        let out = done(at, command);
        only_line_breaks(&out, &command.join(" "));
        // It is shown, not dropped, wherever the title is.
        if !["sheet", "compare"].contains(&command[0])
            && !command.contains(&"csv")
            && !command.contains(&"sweep")
        {
            assert!(out.contains("1b") && out.contains("202e"), "{command:?}: {out}");
        }
    }
    let json: serde_json::Value =
        serde_json::from_str(&done(at, &["pass", "steering.ron", "--format", "json"])).unwrap();
    assert_eq!(json["scenario"]["title"].as_str(), Some(STEERING));
    // In what is refused too: paths, options, values, and lines of the file.
    std::fs::write(at.join("torn.ron"), format!("(\n    title: \"{STEERING}\", nonsense: 1,\n)\n")).unwrap();
    for arguments in [
        vec!["pass".to_owned(), format!("no{STEERING}file.ron")],
        vec!["pass".to_owned(), "torn.ron".to_owned()],
        vec![
            "pass".to_owned(),
            "lane.ron".to_owned(),
            "--set".to_owned(),
            format!("left.air.cap={STEERING}"),
        ],
        vec!["pass".to_owned(), "lane.ron".to_owned(), format!("--{STEERING}")],
        vec!["pass".to_owned(), "lane.ron".to_owned(), "--format".to_owned(), STEERING.to_owned()],
    ] {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let ran = run(at, &arguments);
        assert_eq!(ran.code, 2, "{arguments:?}");
        only_line_breaks(&ran.err, &arguments.join(" "));
        assert!(!ran.err.is_empty() && ran.out.is_empty());
    }
}

#[test]
fn verif_what_is_no_scenario_is_told_what_it_is() {
    let folder = folder();
    let at = folder.path();
    let shipped = |name: &str| {
        let text =
            std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name));
        let own = name.rsplit('/').next().unwrap();
        std::fs::write(at.join(own), text.unwrap()).unwrap();
        own.to_owned()
    };
    let lesson = shipped("lessons/2-stop-pin.ron");
    let foam = shipped("foam-station.ron");
    let machine = shipped("harbour-machine.ron");
    let vehicles = shipped("harbour-vehicles.ron");
    done(at, &["sheet", "lane.ron", "-o", "sheet.html"]);
    done(at, &["pass", "lane.ron", "--format", "json", "-o", "pass.json"]);
    done(at, &["sweep", "lane.ron", "--over", "throughput=90,100", "-o", "rows.csv"]);
    for (file, is, command) in [
        (lesson.as_str(), "this is a lesson, not a scenario", "brusharm lesson 2-stop-pin.ron"),
        (&foam, "this is a foam file, not a scenario", "brusharm foam foam-station.ron"),
        (&machine, "this is a file with a machine, not a scenario", "machine: File("),
        (&vehicles, "this is a file with vehicles, not a scenario", "vehicles: [File("),
        ("sheet.html", "this is a web page, not a scenario", "browser"),
        ("pass.json", "this is a result in JSON, not a scenario", "--add pass.json"),
        ("rows.csv", "this is the rows of a sweep, not a scenario", "--add rows.csv"),
    ] {
        for command_given in ["pass", "check", "settings"] {
            let told = refused(at, &[command_given, file]);
            assert!(told.contains(is) && told.contains(command), "{told}");
        }
    }
    let told = refused(at, &["lesson", "lane.ron"]);
    assert!(
        told.contains("this is a scenario, not a lesson") && told.contains("brusharm pass lane.ron"),
        "{told}"
    );
    assert!(refused(at, &["sheet", "lane.ron", "--add", "lane.ron"]).contains("this is a scenario, not"));
}

#[cfg(unix)]
#[test]
fn verif_a_pipe_or_a_device_does_not_hold_the_command() {
    let folder = folder();
    let at = folder.path();
    let made = std::process::Command::new("mkfifo").arg(at.join("pipe.ron")).status().unwrap();
    assert!(made.success());
    for name in ["pipe.ron", "/dev/zero", "/dev/null"] {
        for command in ["pass", "lesson", "foam"] {
            assert!(refused(at, &[command, name]).contains("a pipe or a device"), "{command} {name}");
        }
    }
    let made = std::process::Command::new("mkfifo").arg(at.join("rows.csv.part")).status().unwrap();
    assert!(made.success());
    refused(at, &["sweep", "lane.ron", "--over", "throughput=90,100", "-o", "rows.csv"]);
}

#[cfg(unix)]
#[test]
fn verif_what_a_killed_run_left_is_removed_and_what_lives_is_not() {
    let folder = folder();
    let at = folder.path();
    let temporary = || {
        let names = std::fs::read_dir(at).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
        names.filter(|name| name.ends_with(".tmp")).collect::<Vec<_>>()
    };
    // The system kills the run at its first byte past half a kilobyte.
    let program = assert_cmd::cargo::cargo_bin("brusharm");
    let killed = std::process::Command::new("sh")
        .current_dir(at)
        .args(["-c", "ulimit -c 0; ulimit -f 1; exec \"$0\" pass lane.ron --format json -o result.json"])
        .arg(&program)
        .output()
        .unwrap();
    assert_eq!(killed.status.code(), None, "it ended by itself: {killed:?}");
    assert_eq!(temporary().len(), 1);
    assert!(!at.join("result.json").exists());
    // One that a living run holds, and names that are not ours.
    let held = std::fs::File::create(at.join(".brusharm-aB3dE6.tmp")).unwrap();
    held.lock().unwrap();
    for name in [".brusharm-notes.tmp", "mine.tmp"] {
        std::fs::write(at.join(name), "mine").unwrap();
    }
    done(at, &["pass", "lane.ron", "--format", "json", "-o", "result.json"]);
    let mut left = temporary();
    left.sort();
    assert_eq!(left, [".brusharm-aB3dE6.tmp", ".brusharm-notes.tmp", "mine.tmp"]);
    drop(held);
    done(at, &["pass", "lane.ron", "-o", "result.txt"]);
    assert_eq!(temporary().len(), 2);
}

#[test]
fn verif_a_sign_in_front_is_a_step_and_said() {
    let folder = folder();
    let at = folder.path();
    let value = |set: &[&str], path: &str| -> (String, String) {
        let mut arguments = vec!["settings", "lane.ron", "--format", "json"];
        set.iter().for_each(|text| arguments.extend(["--set", text]));
        let ran = run(at, &arguments);
        assert_eq!(ran.code, 0, "{set:?}: {}", ran.err);
        let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        let all = json["settings"].as_array().unwrap();
        let found = all.iter().find(|s| s["path"] == path).unwrap();
        (found["value"].as_str().unwrap().to_owned(), ran.err)
    };
    let hole = "left.stop_pin.hole";
    for typed in ["left.stop_pin.hole=+1", "left.stop_pin.hole+=1"] {
        let (now, said) = value(&[typed], hole);
        assert_eq!((now.as_str(), said.as_str()), ("3", "left.stop_pin.hole: 2 → 3 (one step up)\n"));
    }
    let (now, said) = value(&["left.stop_pin.hole=-1"], hole);
    assert_eq!((now.as_str(), said.as_str()), ("1", "left.stop_pin.hole: 2 → 1 (one step down)\n"));
    assert_eq!(
        value(&["left.stop_pin.hole=1", "left.stop_pin.hole=+1", "left.stop_pin.hole=+1"], hole).0,
        "3"
    );
    let cap = "left.air.cap";
    let before = value(&[], cap).0;
    assert_eq!(before, "7 psi");
    for typed in ["left.air.cap=-1 psi", "left.air.cap=−1 psi", "left.air.cap-=1", "left.air.cap=-1"] {
        let (now, said) = value(&[typed], cap);
        assert_eq!((now.as_str(), said.as_str()), ("6 psi", "left.air.cap: 7 psi → 6 psi (one step down)\n"));
    }
    // Where values below zero exist a minus is the value, said by no step; += and -= are steps there too.
    let lower = "left.bearings.lower_offset";
    assert_eq!(value(&["left.bearings.lower_offset=-1/8in"], lower), ("-1/8in".to_owned(), String::new()));
    let twice = ["left.bearings.lower_offset=1/8 in", "left.bearings.lower_offset-=1/16 in"];
    let (now, said) = value(&twice, lower);
    assert_eq!(now, "1/16 in");
    assert!(said.contains("1/8 in → 1/16 in (one step down)"), "{said}");
    // What could mean either is refused with both ways to write it; what leaves the range, and an axis, too.
    let told = refused(at, &["pass", "lane.ron", "--set", "left.bearings.lower_offset=+1/8 in"]);
    assert!(
        told.contains("left.bearings.lower_offset=1/8 in")
            && told.contains("left.bearings.lower_offset+=1/8 in"),
        "{told}"
    );
    assert!(
        refused(at, &["pass", "lane.ron", "--set", "left.stop_pin.hole=+2"]).contains("leaves the range")
    );
    assert!(refused(at, &["sweep", "lane.ron", "--over", "left.stop_pin.hole=+1,+2"]).contains("not steps"));
    let compared = done(at, &["compare", "lane.ron", "--set", "left.stop_pin.hole=+1"]);
    assert!(compared.contains("left.stop_pin.hole: 2 → 3 (one step up)"), "{compared}");
}

#[test]
fn verif_a_series_takes_a_number_alone_in_seconds() {
    let folder = folder();
    let series =
        |step: &str| done(folder.path(), &["pass", "lane.ron", "--format", "json", "--series", step]);
    assert_eq!(series("0.5"), series("0.5 s"));
    assert_eq!(series("0.5"), series("500 ms"));
}

#[test]
fn verif_ten_thousand_mistakes_are_counted() {
    let folder = folder();
    let at = folder.path();
    let wrong = "\"nobody\", ".repeat(10_000);
    let start = LANE.find("    train: [").unwrap() + 12;
    let text = format!("{}{wrong}{}", &LANE[..start], &LANE[start..]);
    std::fs::write(at.join("wrong.ron"), text).unwrap();
    let told = refused(at, &["pass", "wrong.ron"]);
    assert!(told.matches("error: ").count() <= 20 && told.len() < 40_000, "{}", told.len());
}

/// Texts of any kind in every place of a scenario that takes one: no output is steered, no cell of a table of rows is a formula, and what
/// is a document reads back.
#[test]
fn verif_random_texts_harm_no_output() {
    use rand::rngs::ChaCha8Rng;
    use rand::{RngExt, SeedableRng};
    const HARM: &[&str] = &[
        "=",
        "+",
        "-",
        "@",
        "\t",
        "\r",
        "\n",
        "\u{1b}[2J",
        "\u{9b}",
        "\u{202e}",
        "\u{2066}",
        "\u{2028}",
        "\u{7}",
        "\"",
        "'",
        ",",
        ";",
        "<script>",
        "</style>",
        "&lt;",
        "]]>",
        "{",
        "}",
        "\\",
        "%",
        "\u{0}",
        "\u{feff}",
        "\u{fffd}",
        "é",
        "輪",
        "👁",
        "cmd|' /C calc'!A0",
        "a",
        "B7",
    ];
    let commands: &[&[&str]] = &[
        &["pass", "odd.ron"],
        &["check", "odd.ron"],
        &["sweep", "odd.ron", "--over", "vehicle=all", "--format", "csv"],
        &["pass", "odd.ron", "--format", "json"],
        &["pass", "odd.ron", "--format", "csv"],
        &["settings", "odd.ron"],
        &["compare", "odd.ron", "--set", "left.air.cap=8"],
        &["check", "odd.ron", "--format", "json"],
        &["pass", "odd.ron", "--svg", "-"],
        &["compare", "odd.ron", "--set", "left.air.cap=8", "--format", "json"],
        &["sheet", "odd.ron"],
        &["sweep", "odd.ron", "--over", "throughput=90,100"],
    ];
    let folder = folder();
    let at = folder.path();
    let mut random = ChaCha8Rng::seed_from_u64(812);
    for turn in 0..24 {
        let mut text = |least: usize| -> String {
            (0..random.random_range(least..7)).map(|_| HARM[random.random_range(0..HARM.len())]).collect()
        };
        let mut lane = LANE.to_owned();
        for field in [
            "title: ",
            "note: ",
            "site: ",
            "machine: ",
            "technician: ",
            "Rod(name: ",
            "                name: ",
        ] {
            let start = lane.find(&format!("{field}\"")).unwrap() + field.len();
            let end = start + 1 + lane[start + 1..].find('"').unwrap() + 1;
            lane.replace_range(start..end, &ron::to_string(&text(0)).unwrap());
        }
        // A vehicle of such a name, which the lane measures; control characters are refused in names.
        let vehicles = include_str!("../../scenarios/harbour-vehicles.ron");
        let own = &vehicles[vehicles.find("        Own(").unwrap()..vehicles.rfind("    ],").unwrap()];
        let mut name = || ron::to_string(&text(1).replace(char::is_control, "=")).unwrap();
        let (name, plate) = (name(), name());
        let own = own.replace("\"luggage shuttle\"", &name).replace("\"rear plate\"", &plate);
        lane = lane.replace("        Demo(\"city hatch\"),\n", &own);
        lane = lane.replace("[\"sedan\", \"sedan\"]", &format!("[\"sedan\", {name}]"));
        std::fs::write(at.join("odd.ron"), &lane).unwrap();
        let command = commands[turn % commands.len()];
        let ran = run(at, command);
        only_line_breaks(&ran.out, &command.join(" "));
        only_line_breaks(&ran.err, &command.join(" "));
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{command:?}\n{lane}\n{}", ran.err);
        if command.contains(&"json") {
            serde_json::from_str::<serde_json::Value>(&ran.out).unwrap();
        }
        if command.contains(&"csv") {
            let mut reader =
                csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(ran.out.as_bytes());
            for row in reader.records() {
                for cell in &row.unwrap() {
                    let formula = cell.starts_with(['=', '+', '-', '@']) && cell.parse::<f64>().is_err();
                    assert!(!formula, "{cell:?}");
                }
            }
        }
        if command[0] == "sheet" || command.contains(&"--svg") {
            let plain = done(at, &[&[command[0], "lane.ron"], &command[2..]].concat());
            for mark in ["<script", "</script", "</style"] {
                assert_eq!(ran.out.matches(mark).count(), plain.matches(mark).count(), "{mark} {command:?}");
            }
        }
    }
}
