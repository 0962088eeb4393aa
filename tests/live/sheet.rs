//! The live part of a sheet and the form of a page, as files: what is in them, and what is refused.

use super::{NAME, hostile, program, text_of};
use brusharm::live::{LiveSetup, LiveSheetRequest, PageRequest, live_sheet, page_html};
use brusharm::report::sheet::Language;
use brusharm::scenario::Scenario;
use brusharm::units::UnitSystem;
use serde_json::{Value, json};

fn record(html: &str) -> Value {
    let rest = html.split("id=\"live-record\">").nth(1).expect("a record");
    serde_json::from_str(rest.split("</script>").next().expect("its end")).expect("JSON")
}

#[test]
fn verif_a_live_part_holds_both_set_ups_and_one_engine_and_hides_on_paper() {
    let (text, scenario) = hostile();
    let set = [("left.stop_pin.hole".to_owned(), "3".to_owned())];
    let (left, found) =
        (LiveSetup { scenario: &scenario, set: &set }, LiveSetup { scenario: &scenario, set: &[] });
    let request = LiveSheetRequest {
        left,
        found: Some(found),
        engine_gz: b"not an engine <script>",
        language: Language::Spanish,
        units: UnitSystem::Si,
    };
    let part = live_sheet(&request).expect("a part");
    let record = record(&part.scripts);
    let setups = record["setups"].as_array().expect("set-ups");
    assert_eq!(setups.len(), 2);
    assert_eq!((&setups[0]["set"], &setups[1]["set"]), (&json!([["left.stop_pin.hole", "3"]]), &json!([])));
    assert!(setups.iter().all(|setup| setup["text"] == text.as_str() && setup["name"] == "lane.ron"));
    assert_ne!(setups[0]["label"], setups[1]["label"]);
    assert!(record["no_engine"].as_str().is_some_and(|text| text.contains("Este navegador")));
    assert_eq!(part.scripts.matches("<script").count(), 3, "record, engine, script");
    assert_eq!(part.scripts.matches("id=\"engine\"").count(), 1);
    assert!(!part.scripts.contains("some/where"), "a folder of this machine is in the sheet");
    let paper = part.style.split("@media print").nth(1).expect("a rule for paper");
    assert!(paper.contains("#live") && paper.contains("display: none"), "{paper}");
    assert!(part.section.contains("hidden") && part.script_sources.contains("'wasm-unsafe-eval'"));
    // A sheet without what was found has one.
    let alone = live_sheet(&LiveSheetRequest { found: None, ..request }).expect("a part");
    assert_eq!(self::record(&alone.scripts)["setups"].as_array().map(Vec::len), Some(1));
}

#[test]
fn verif_a_page_with_a_form_shows_films_and_one_without_does_not() {
    let scenario = Scenario::read_alone(&text_of(NAME), NAME).expect("a scenario");
    let request = PageRequest {
        scenario: &scenario,
        engine_gz: b"none",
        language: Language::English,
        units: UnitSystem::Us,
        set: &[],
        lesson: None,
        form: Some(&["weigh", "gaps"]),
    };
    let (with, without) = (
        page_html(&request).expect("a page"),
        page_html(&PageRequest { form: None, ..request }).expect("a page"),
    );
    assert_eq!(record(&with)["form"], json!(["weigh", "gaps"]));
    assert_eq!(record(&without)["form"], Value::Null);
    let policy =
        |page: &str| page.split("Content-Security-Policy").nth(1).expect("a policy")[..400].to_owned();
    assert!(policy(&with).contains("media-src blob:") && !policy(&without).contains("media-src"));
    assert!(policy(&with).contains("worker-src blob:") && policy(&without).contains("worker-src blob:"));
    assert!(with.contains("id=\"form-cards\"") && !without.contains("id=\"form-cards\""));
    assert!(with.len() > without.len() + 10_000, "the form is carried by every page");
}

#[test]
fn verif_what_needs_an_engine_says_how_to_get_it_and_what_makes_no_sense_is_refused() {
    for arguments in [
        &["sheet", NAME, "--live", "--engine", "nowhere.wasm"][..],
        &["page", NAME, "--form", "--engine", "nowhere.wasm"],
    ] {
        let (printed, told) = program(arguments);
        assert!(
            printed.is_empty() && told.contains("assets/web/build.sh") && told.contains("cannot be read"),
            "{told}"
        );
    }
    let (printed, told) = program(&["page", "lessons/1-eighth-inch.ron", "--form"]);
    assert!(printed.is_empty() && told.contains("a lesson takes no readings"), "{told}");
    let (printed, told) = program(&["sheet", NAME, "--live", "--blank"]);
    assert!(printed.is_empty() && told.contains("--blank"), "{told}");
    for command in ["page", "sheet"] {
        let (help, _) = program(&[command, "--help"]);
        assert!(
            help.contains("--engine") && help.contains(if command == "page" { "--form" } else { "--live" }),
            "{help}"
        );
    }
}
