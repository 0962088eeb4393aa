//! Causes run one at a time: the answer is that of the command, and what is not finished says so.

use super::{NAME, ask, open, program, refused};
use brusharm::fault::check::CHECKS;
use brusharm::fault::{Book, SIGNS, Steps, check_said, findings};
use brusharm::scenario::Scenario;
use serde_json::{Value, json};

/// A small machine: one unit, so that the whole book takes a few seconds.
const SMALL: &str = "one-unit.ron";

fn open_small() -> brusharm::live::Live {
    let mut live = brusharm::live::Live::default();
    ask(&mut live, json!({"do": "open", "name": SMALL, "text": super::text_of(SMALL)}));
    live
}

/// Runs until so many runs are done, or all.
fn run(live: &mut brusharm::live::Live, most: u64) -> Value {
    loop {
        let told = ask(live, json!({"do": "fault_step"}));
        if told["done"] == told["of"] || told["done"].as_u64() >= Some(most) {
            return told;
        }
    }
}

#[test]
fn verif_step_by_step_the_book_is_that_of_all_at_once() {
    let scenario = Scenario::read_alone(&super::text_of(SMALL), SMALL).expect("a scenario");
    let mut steps = Steps::new(&scenario).expect("a book");
    let (mut middles, mut ends) = (0, 0);
    let mut last = f64::INFINITY;
    while !steps.is_whole() {
        let ((before, _), (tried, _)) = (steps.runs(), steps.causes());
        steps.one_more();
        assert_eq!(steps.runs().0, before + 1);
        // Every cause once before any twice, common ones first.
        if steps.causes().0 > tried {
            assert_eq!(ends, 0, "a new cause after others were run twice");
            middles += 1;
        } else {
            ends += 1;
        }
        if let Some(hypothesis) = steps.book().hypotheses.last().filter(|_| ends == 0) {
            let newest = hypothesis.cause.map_or(f64::INFINITY, |cause| steps.book().weight(cause));
            last = last.min(newest);
        }
    }
    assert!(middles > 30 && ends > 30 && last < 2.0, "{middles} {ends} {last}");
    let (whole, stepped) = (Book::new(&scenario, &|_, _| {}).expect("a book"), steps.book());
    assert_eq!(whole.rows, stepped.rows);
    assert_eq!(whole.hypotheses.len(), stepped.hypotheses.len());
    for (a, b) in whole.hypotheses.iter().zip(&stepped.hypotheses) {
        assert_eq!((a.cause, a.place, &a.levels, a.pull), (b.cause, b.place, &b.levels, b.pull));
    }
    steps.one_more();
    assert_eq!(steps.runs().0, steps.runs().1);
    // What a check may show is read back as it is written.
    let mut read = 0;
    for check in &CHECKS {
        for (finding, place) in findings(&whole, check.name) {
            let at = if place.name() == "line" { "found" } else { place.name() };
            let text = format!("{}={at},{finding}", check.key);
            let answered = check_said(&whole, &text).unwrap_or_else(|refused| panic!("{text}: {refused}"));
            assert_eq!(answered.found, Some((finding, place)));
            read += 1;
        }
    }
    assert!(read > 40, "{read}");
}

#[test]
fn verif_the_answer_is_that_of_the_command_and_an_unfinished_one_says_so() {
    let mut live = open_small();
    let told = json!({"seen": ["tail-missed:left", "gradual"], "fine": ["slams:left"], "readings": ["gauge:left=5 psi"]});
    let question = |what: &str, more: Value| {
        let mut question = told.clone();
        question["do"] = what.into();
        for (key, value) in more.as_object().expect("an object") {
            question[key] = value.clone();
        }
        question
    };
    let some = run(&mut live, 12);
    assert_eq!(some["done"], 12);
    let early = ask(&mut live, question("fault", json!({})));
    assert_eq!(early["progress"], some);
    assert_eq!(early["progress"]["whole"], false);
    assert!(early["pairs"].as_array().expect("a list").is_empty());
    let whole = run(&mut live, u64::MAX);
    assert_eq!((&whole["whole"], &whole["causes"]), (&json!(true), &whole["causes_of"]));
    let document = ask(&mut live, question("fault_document", json!({"checked": ["gauge=ok"]})));
    let arguments = [
        "fault",
        SMALL,
        "--seen",
        "tail-missed:left",
        "--seen",
        "gradual",
        "--fine",
        "slams:left",
        "--reading",
        "gauge:left=5 psi",
        "--checked",
        "gauge=ok",
        "--format",
        "json",
    ];
    let (printed, complained) = program(&arguments);
    let printed: Value = serde_json::from_str(&printed).unwrap_or_else(|_| panic!("{complained}"));
    assert!(printed["rows"].as_array().is_some_and(|rows| rows.len() > 20), "{printed}");
    assert_eq!(document, printed);
    // The words are those of the text, where it is English.
    let (text, _) = program(&arguments[..arguments.len() - 2]);
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = flat(&text);
    let said = ask(&mut live, question("fault", json!({"checked": ["gauge=ok"]})));
    let headline = flat(said["headline"].as_str().expect("text")).replace('\u{a0}', " ");
    assert!(text.contains(&headline), "{headline}\n{text}");
    let mut sentences = 0;
    for cause in said["rows"]
        .as_array()
        .expect("rows")
        .iter()
        .flat_map(|row| row["causes"].as_array().expect("causes"))
    {
        for sentence in cause["said"].as_array().expect("sentences") {
            let sentence = flat(&sentence.as_str().expect("text").replace('\u{a0}', " "));
            assert!(text.contains(&sentence), "«{sentence}» is not in\n{text}");
            sentences += 1;
        }
        for behind in cause["behind"].as_array().expect("a list") {
            let lower = text.to_lowercase();
            for key in ["what", "finding", "repair"] {
                let part = flat(behind[key].as_str().expect("text")).to_lowercase();
                assert!(lower.contains(&part), "«{part}»");
            }
        }
    }
    assert!(sentences > 5, "{sentences}");
    // Another set-up is another machine: nothing of it is run yet.
    let other = ask(&mut live, json!({"do": "fault_step", "set": [["left.stop_pin.hole", "1"]]}));
    assert_eq!(other["done"], 1);
}

#[test]
fn verif_what_can_be_told_is_all_there_in_every_language_and_refused_as_by_the_command() {
    let mut live = open();
    let english = ask(&mut live, json!({"do": "fault_list"}));
    for lang in ["en", "es", "fr"] {
        let list = ask(&mut live, json!({"do": "fault_list", "lang": lang}));
        let groups = list["groups"].as_array().expect("groups");
        let signs: Vec<&Value> =
            groups.iter().flat_map(|group| group["signs"].as_array().expect("signs")).collect();
        assert_eq!((groups.len(), signs.len()), (6, SIGNS.len()));
        assert!(groups.iter().all(|group| group["signs"].as_array().expect("signs").len() > 3), "{groups:?}");
        assert!(list["readings"].as_array().expect("readings").len() > 10);
        assert!(signs.iter().filter(|sign| sign["at"].as_array().expect("places").len() == 2).count() > 30);
        if lang != "en" {
            for (here, there) in signs.iter().zip(
                english["groups"]
                    .as_array()
                    .expect("groups")
                    .iter()
                    .flat_map(|g| g["signs"].as_array().expect("signs")),
            ) {
                assert_ne!(here["words"], there["words"], "{lang}");
            }
        }
    }
    assert_eq!(
        ask(&mut live, json!({"do": "fault_reading", "value": "gauge:left=35 kPa", "units": "us"})),
        "5.08 psi"
    );
    for (option, text) in [
        ("--reading", "gauge:left=5 bananas"),
        ("--reading", "gauge=5 psi"),
        ("--reading", "gauge:middle=5 psi"),
        ("--reading", "garage:left=5 psi"),
    ] {
        let said = refused(&mut live, json!({"do": "fault_reading", "value": text}));
        let (_, complained) = program(&["fault", NAME, option, text]);
        let parts = |text: &str| -> Vec<String> {
            text.lines()
                .filter(|line| !line.contains("-->") && !line.starts_with("field"))
                .map(|line| line.trim().to_owned())
                .collect()
        };
        assert_eq!(parts(&said), parts(&complained), "{said}\n{complained}");
    }
    let both = json!({"do": "fault", "seen": ["slams:left"], "fine": ["slams:left"]});
    assert!(refused(&mut live, both).contains("say one of both"));
    assert!(
        refused(&mut live, json!({"do": "fault", "seen": ["nothing-such"]})).contains("no sign of this name")
    );
}
