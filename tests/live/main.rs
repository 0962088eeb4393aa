//! The live tool, asked natively: what a page shows is what the commands say.

mod fault;
mod form;
mod sheet;

use brusharm::live::{Live, PageRequest, STAMP, page_html, stamp_of};
use brusharm::report::sheet::Language;
use brusharm::scenario::Scenario;
use brusharm::units::UnitSystem;
use serde_json::{Value, json};
use std::process::Command;

const NAME: &str = "ferry-return.ron";

fn text_of(name: &str) -> String {
    std::fs::read_to_string(format!("{}/scenarios/{name}", env!("CARGO_MANIFEST_DIR"))).expect("a scenario")
}

/// A live tool with the demo open.
fn open() -> Live {
    let mut live = Live::default();
    assert_eq!(ask(&mut live, json!({"do": "open", "name": NAME, "text": text_of(NAME)})), json!([]));
    live
}

fn answer(live: &mut Live, question: Value) -> Value {
    serde_json::from_str(&live.ask(&question.to_string())).expect("JSON")
}

fn ask(live: &mut Live, question: Value) -> Value {
    let mut said = answer(live, question);
    assert!(said["refused"].is_null(), "{said}");
    said["ok"].take()
}

fn refused(live: &mut Live, question: Value) -> String {
    let said = answer(live, question);
    said["refused"].as_str().unwrap_or_else(|| panic!("not refused: {said}")).to_owned()
}

/// What the program prints, and what it complains of.
fn program(arguments: &[&str]) -> (String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_brusharm"))
        .args(arguments)
        .current_dir(format!("{}/scenarios", env!("CARGO_MANIFEST_DIR")))
        .env("NO_COLOR", "1")
        .output()
        .expect("the program runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
    (text(output.stdout), text(output.stderr))
}

#[test]
fn verif_text_and_document_are_those_of_the_command() {
    let mut live = open();
    let set = json!([["left.stop_pin.hole", "3"]]);
    let change = "left.stop_pin.hole=3";
    for units in ["us", "si"] {
        let text = ask(&mut live, json!({"do": "text", "set": set, "units": units}));
        let (printed, _) = program(&["pass", NAME, "--set", change, "--units", units]);
        assert_eq!(text.as_str(), Some(printed.as_str()));
    }
    let document = ask(&mut live, json!({"do": "document", "set": set}));
    let (printed, _) = program(&["pass", NAME, "--set", change, "--format", "json"]);
    let printed: Value = serde_json::from_str(&printed).expect("JSON");
    assert!(printed["verdicts"].as_array().is_some_and(|list| list.len() > 10), "{printed}");
    assert_eq!(document, printed);
}

#[test]
fn verif_a_refusal_is_that_of_the_command() {
    let mut live = open();
    for (path, value) in [("left.air.cap", "9 bananas"), ("line.throughput", "9000"), ("no.such", "1")] {
        let said = refused(&mut live, json!({"do": "put", "path": path, "value": value}));
        let (_, complained) = program(&["pass", NAME, "--set", &format!("{path}={value}")]);
        assert_eq!(said.trim_end(), complained.trim_end());
    }
    // One hole further than there are.
    let said = refused(&mut live, json!({"do": "turn", "path": "left.stop_pin.hole", "steps": 2}));
    assert!(said.contains("the value is out of range") && said.contains("1 to 3"), "{said}");
    // What nobody asks, and questions that are none.
    for wrong in
        [json!({"do": "dance"}), json!({"do": "show", "lang": "xx"}), json!({"unknown": 1}), json!([])]
    {
        assert!(!refused(&mut live, wrong.clone()).is_empty(), "{wrong}");
    }
    assert!(live.ask("{").contains("refused") && live.ask("").contains("refused"));
    assert!(refused(&mut Live::default(), json!({"do": "show"})).contains("no scenario is open"));
}

#[test]
fn verif_steps_there_and_back_leave_nothing_changed() {
    let mut live = open();
    let start = ask(&mut live, json!({"do": "show"}));
    let paths: Vec<String> = start["rows"]
        .as_array()
        .expect("rows")
        .iter()
        .flat_map(|row| row["cells"].as_array().expect("cells"))
        .filter(|cell| cell["down"] == true && cell["up"] == true)
        .map(|cell| cell["path"].as_str().expect("a path").to_owned())
        .collect();
    assert!(paths.len() > 25, "{paths:?}");
    // All of them at once, by a step where that fits, then back.
    let mut set = json!([]);
    let mut moved = Vec::new();
    for path in paths.iter().step_by(3) {
        let said = answer(&mut live, json!({"do": "turn", "set": set, "path": path, "steps": 1}));
        if said["refused"].is_null() {
            set = said["ok"]["set"].clone();
            moved.push(path);
        }
    }
    assert!(moved.len() > 8 && set.as_array().expect("a list").len() == moved.len(), "{set}");
    let changed = ask(&mut live, json!({"do": "show", "set": set}));
    assert_eq!(changed["changed"].as_array().expect("a list").len(), moved.len());
    assert_ne!(changed["lines"], start["lines"]);
    for path in moved {
        set = ask(&mut live, json!({"do": "turn", "set": set, "path": path, "steps": -1}))["set"].clone();
    }
    assert_eq!(set, json!([]));
}

#[test]
fn verif_an_answer_does_not_depend_on_what_was_asked_before() {
    let mut used = open();
    for hole in ["1", "3", "2"] {
        for cap in ["5 psi", "9 psi"] {
            ask(
                &mut used,
                json!({"do": "show", "set": [["left.stop_pin.hole", hole], ["right.air.cap", cap]]}),
            );
        }
    }
    for question in [
        json!({"do": "show", "set": [["left.stop_pin.hole", "3"]], "pinned": [], "units": "si", "lang": "fr"}),
        json!({"do": "pictures", "set": [["left.stop_pin.hole", "3"]], "pinned": [], "dark": true}),
        json!({"do": "frame", "set": [], "t_s": 12.5, "width": 900}),
    ] {
        assert_eq!(used.ask(&question.to_string()), open().ask(&question.to_string()), "{question}");
    }
}

#[test]
fn verif_a_pair_is_kept_as_its_two_sides_and_the_file_keeps_its_comments() {
    let mut live = open();
    let both = ask(&mut live, json!({"do": "put", "path": "both.air.cap", "value": "9"}))["set"].clone();
    assert_eq!(both, json!([["left.air.cap", "9 psi"], ["right.air.cap", "9 psi"]]));
    let file = ask(&mut live, json!({"do": "file", "set": both}));
    let (file, before) = (file.as_str().expect("text").to_owned(), text_of(NAME));
    let comments = |text: &str| text.lines().filter(|line| line.contains("//")).count();
    assert!(file != before && comments(&file) == comments(&before) && comments(&file) > 5);
    let read = Scenario::read_alone(&file, NAME).expect("a scenario");
    assert_eq!(
        read.setting("both.air.cap").expect("it is there").read(&read).expect("a value").to_string(),
        "9 psi"
    );
}

#[test]
fn verif_the_sheet_is_that_of_the_command_when_every_setting_was_walked() {
    let mut live = Live::default();
    let name = "one-unit.ron";
    ask(&mut live, json!({"do": "open", "name": name, "text": text_of(name)}));
    let set = json!([]);
    loop {
        let walked = ask(&mut live, json!({"do": "reach", "set": set}));
        if walked["done"] == walked["of"] {
            break;
        }
    }
    let sheet = ask(&mut live, json!({"do": "sheet", "set": set, "lang": "es"}));
    let (printed, _) = program(&["sheet", name, "--lang", "es"]);
    assert!(printed.len() > 50_000);
    assert!(sheet.as_str() == Some(printed.as_str()), "the sheets differ");
}

#[test]
fn verif_a_lesson_says_what_the_command_says() {
    for (lesson, scenario) in [
        ("1-eighth-inch.ron", NAME),
        ("6-foam-and-friction.ron", "ferry-foam.ron"),
        ("7-find-the-fault.ron", NAME),
    ] {
        let mut live = Live::default();
        let text = text_of(&format!("lessons/{lesson}"));
        ask(
            &mut live,
            json!({"do": "open", "name": scenario, "text": text_of(scenario), "lesson": text, "lesson_name": lesson}),
        );
        let (printed, _) = program(&["lesson", &format!("lessons/{lesson}")]);
        let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let printed = flat(&printed);
        let count =
            ask(&mut live, json!({"do": "step", "step": 0}))["count"].as_u64().expect("a count") as usize;
        assert!(count >= 3, "{lesson}");
        for index in 0..count {
            let step = ask(&mut live, json!({"do": "step", "step": index}));
            for part in ["heading", "caption", "question", "answer"] {
                let said = flat(step[part].as_str().expect("text"));
                assert!(printed.contains(&said), "{lesson}, step {index}: the command does not say «{said}»");
            }
            // What is hidden shows in the pass, not in the settings; what stands beside it hides nothing.
            let shown = ask(&mut live, json!({"do": "show", "step": index, "set": step["set"]}));
            let plain = ask(&mut live, json!({"do": "show", "set": step["set"]}));
            let hides = text.contains("fault:") && index > 0;
            assert_eq!(
                shown["now"] != plain["now"] || shown["lines"] != plain["lines"],
                hides,
                "{lesson}, step {index}"
            );
            assert_eq!(shown["rows"], plain["rows"]);
        }
    }
    assert!(refused(&mut open(), json!({"do": "step"})).contains("no lesson"));
}

/// The demo with a title that would break out of a page, in some folder: its text and what is read of it.
fn hostile() -> (String, Scenario) {
    let title = "title: \"</script><script>window.broken=1</script> ";
    let text = text_of(NAME).replacen("title: \"", title, 1);
    let scenario = Scenario::read_alone(&text, "some/where/lane.ron").expect("a scenario");
    (text, scenario)
}

#[test]
fn verif_a_page_holds_the_scenario_and_the_engine_and_no_markup_of_either() {
    let (text, scenario) = hostile();
    let set = [("left.stop_pin.hole".to_owned(), "3".to_owned())];
    let request = PageRequest {
        scenario: &scenario,
        engine_gz: b"not an engine <script>",
        language: Language::French,
        units: UnitSystem::Si,
        set: &set,
        lesson: None,
        form: None,
    };
    let page = page_html(&request).expect("a page");
    assert_eq!(page, page_html(&request).expect("a page"));
    assert_eq!(page.matches("<script").count(), 3, "record, engine, script");
    assert!(!page.contains("some/where"), "a folder of this machine is in the page");
    let record = page
        .split("id=\"live-record\">")
        .nth(1)
        .and_then(|rest| rest.split("</script>").next())
        .expect("a record");
    let record: Value = serde_json::from_str(record).expect("JSON");
    assert_eq!(record["text"].as_str(), Some(text.as_str()));
    assert_eq!(
        (&record["name"], &record["set"]),
        (&json!("lane.ron"), &json!([["left.stop_pin.hole", "3"]]))
    );
    assert_eq!(stamp_of(page.as_bytes()), None);
    assert!(STAMP.len() > 20);
}

#[test]
fn verif_a_program_without_an_engine_says_how_to_get_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let wrong = folder.path().join("wrong.wasm");
    std::fs::write(&wrong, b"\0asm\x01\0\0\0").expect("a file");
    let (page, told) = program(&["page", NAME, "--engine", &wrong.display().to_string()]);
    assert!(
        page.is_empty() && told.contains("no engine of a page") && told.contains("assets/web/build.sh"),
        "{told}"
    );
    let mut other = b"\0asm\x01\0\0\0\0\x18\x0ebrusharm.stamp".to_vec();
    other.extend(b"0.0.0 abc");
    std::fs::write(&wrong, other).expect("a file");
    let (page, told) = program(&["page", NAME, "--engine", &wrong.display().to_string()]);
    assert!(page.is_empty() && told.contains("of other sources") && told.contains("0.0.0 abc"), "{told}");
    let (page, told) = program(&["page", NAME, "--engine", "nowhere.wasm"]);
    assert!(
        page.is_empty() && told.contains("cannot be read") && told.contains("assets/web/build.sh"),
        "{told}"
    );
}
