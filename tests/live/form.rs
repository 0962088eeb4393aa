//! The field form on a page: its cards, what is said of a reading as it comes, and the file of readings.

use super::{NAME, ask, open, program, refused, text_of};
use brusharm::calibrate::{FAR, OfWord, ReadingsText, at_once, field_tests, simulated};
use brusharm::live::Live;
use brusharm::scenario::Scenario;
use rand::{SeedableRng, rngs::ChaCha8Rng};
use rand_distr::{Distribution, StandardNormal};
use serde_json::{Value, json};

/// Something of every card: the first value of each field that is not known before.
fn filled(form: &Value, value: &dyn Fn(&str, &Value) -> String) -> Vec<Value> {
    let mut readings = Vec::new();
    for card in form["cards"].as_array().expect("cards") {
        for (at, entry) in card["entries"].as_array().expect("entries").iter().enumerate() {
            let mut given = json!({});
            for field in entry["fields"].as_array().expect("fields") {
                let name = field["name"].as_str().expect("a name");
                let known = field["given"].as_str().expect("text");
                let count = field["count"].as_u64().expect("a number") as usize;
                let text = if known.is_empty() {
                    value(card["key"].as_str().expect("a key"), field)
                } else {
                    known.to_owned()
                };
                given[name] = json!(vec![text; count]);
            }
            readings.push(json!({"test": card["key"], "at": at, "given": given}));
        }
    }
    readings
}

/// A value that stands in any range.
fn some(_: &str, field: &Value) -> String {
    match field["name"].as_str().expect("a name") {
        "force" | "pull" => "3 lbf",
        "walk" => "2 ft/s",
        "time" | "delay" => "1.5 s",
        "marks" => "30",
        "upper" | "lower" => "1 in",
        "top_leans_downstream" => "0.1 deg",
        "mass" => "12 lb",
        "cap" => "7 psi",
        "diameter" => "53 in",
        "brush_center" => "20 in",
        "conveyor_speed" => "50 ft/min",
        "width" => "5 in",
        "power" => "0.5 hp",
        _ => "",
    }
    .to_owned()
}

#[test]
fn verif_the_form_has_every_test_in_the_order_asked_for_and_its_file_is_read_by_the_command() {
    let mut live = open();
    let scenario = Scenario::read_alone(&text_of(NAME), NAME).expect("a scenario");
    let tests = field_tests(&scenario, OfWord::Both);
    let order = json!(["weigh", "gaps", "strip"]);
    for lang in ["en", "es", "fr"] {
        let form = ask(&mut live, json!({"do": "form", "lang": lang, "form": {"order": order}}));
        let keys: Vec<&str> = form["cards"]
            .as_array()
            .expect("cards")
            .iter()
            .map(|c| c["key"].as_str().expect("a key"))
            .collect();
        assert_eq!(keys.len(), tests.len());
        assert_eq!(&keys[..3], ["weigh", "gaps", "strip"]);
        assert!(form["cards"].as_array().expect("cards").iter().all(|card| {
            let risky = ["push-back", "board power", "diameter", "strip", "chase"];
            card["moves"] == risky.contains(&card["key"].as_str().expect("a key"))
                && card["risk"].as_str().is_some_and(|risk| risk.len() > 20)
        }));
    }
    let form = ask(&mut live, json!({"do": "form", "units": "si"}));
    let readings = filled(&form, &some);
    let given = json!({
        "title": "A \"quarter\" hour", "readings": readings, "of": "Both",
        "instruments": [{"kind": "Scale", "resolution": "0.25 lbf", "shared": "2 %"}, {"kind": "Video", "resolution": "", "shared": ""}],
    });
    let file = ask(&mut live, json!({"do": "form_file", "form": given}));
    let file = file.as_str().expect("text");
    let read = ReadingsText::read(file, "x.ron").unwrap_or_else(|refused| panic!("{file}\n{refused}"));
    let all: usize = tests.iter().map(|test| test.readings.file.readings.len()).sum();
    assert_eq!((read.file.readings.len(), read.file.instruments.len()), (all, 1));
    assert_eq!(read.file.title, "A \"quarter\" hour");
    assert!(file.contains("by: \"spring scale\"") && !file.contains("by: \"phone\""), "{file}");
    // A few of them, as somebody with five minutes brings them: the command fits the machine to them.
    let few: Vec<Value> = readings
        .iter()
        .filter(|r| ["weigh", "gauge", "level"].contains(&r["test"].as_str().expect("a key")))
        .cloned()
        .collect();
    let file = ask(&mut live, json!({"do": "form_file", "form": {"readings": few}}));
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("brought.ron");
    std::fs::write(&path, file.as_str().expect("text")).expect("a file");
    let (printed, complained) = program(&["calibrate", NAME, &path.display().to_string()]);
    assert!(printed.contains("What was learned") && complained.is_empty(), "{printed}{complained}");
}

#[test]
fn verif_a_reading_is_refused_as_its_file_is_and_one_that_is_far_off_is_told() {
    let mut live = open();
    let one = |test: &str, given: Value| json!({"do": "form_beside", "form": {"readings": [{"test": test, "at": 0, "given": given}]}});
    // Nothing read yet, or blanks.
    assert_eq!(ask(&mut live, one("weigh", json!({}))), json!([]));
    assert_eq!(ask(&mut live, one("weigh", json!({"mass": [" ", ""]}))), json!([]));
    let near = ask(&mut live, one("weigh", json!({"mass": ["12.2 lb"]})));
    assert_eq!((&near[0]["far"], &near[0]["field"]), (&json!(false), &json!("mass")));
    let far = ask(&mut live, one("weigh", json!({"mass": ["12.1 lb", "12 kg"]})));
    assert_eq!((&far[0]["far"], &far[1]["far"], &far[1]["place"]), (&json!(false), &json!(true), &json!(1)));
    assert!(far[1]["said"].as_str().is_some_and(|said| said.contains("12.0 lb would fit")), "{far}");
    // What the reader of the file says, word for word.
    for (test, given, says) in [
        ("weigh", json!({"mass": ["12 psi"]}), "a mass is wanted"),
        ("weigh", json!({"mass": ["twelve"]}), "twelve"),
        ("weigh", json!({"mass": ["9000 lb"]}), "out of range"),
        ("gaps", json!({"upper": ["1 in"]}), "lower"),
        ("rest", json!({"brush_center": ["30 ft"]}), "out of range"),
        ("pulls", json!({"brush_center": ["15 ft"], "force": ["2 lbf"]}), "does not reach"),
        ("strip", json!({"width": ["3 in"]}), "conveyor_speed"),
        ("filmed swing", json!({"from": ["60 in"], "frames_per_second": ["fast"], "marks": ["3"]}), "fast"),
    ] {
        let question = json!({"readings": [{"test": test, "at": 0, "given": given}]});
        let said = refused(&mut live, json!({"do": "form_beside", "form": question}));
        assert!(
            said.contains("error:") && said.contains("readings.ron") && said.contains(says),
            "{test}: {said}"
        );
    }
    let bad = json!({"readings": [{"test": "weigh", "at": 0, "given": {"mass": ["12 lb"]}}], "instruments": [{"kind": "Gauge", "resolution": "2 in"}]});
    assert!(
        refused(&mut live, json!({"do": "form_beside", "form": bad})).contains("instruments[0].resolution")
    );
    assert!(refused(&mut live, one("no such", json!({}))).contains("no test"));
    assert!(refused(&mut live, json!({"do": "form", "form": {"of": "Middle"}})).contains("Middle"));
    assert!(refused(&mut live, json!({"do": "form_file", "form": {}})).contains("at least one reading"));
}

/// Machines drawn from what is assumed and read with the errors of the instruments: how far each value is off, in its standard deviations, is then standard
/// normal, so that the mean of its square is 1 (Student 1908 for the mean of n squares: standard deviation √(2/n) where they are independent, which those of
/// one machine are not: a quarter of them are counted).
#[test]
fn verif_how_far_a_reading_is_off_is_a_standard_normal_number() {
    let mut live = Live::default();
    ask(&mut live, json!({"do": "open", "name": NAME, "text": text_of(NAME)}));
    let form = ask(&mut live, json!({"do": "form"}));
    let smooth = |r: &Value| {
        !["strip", "chase", "timed swing", "filmed swing", "push-back", "board power"]
            .contains(&r["test"].as_str().expect("a key"))
    };
    let readings: Vec<Value> = filled(&form, &some).into_iter().filter(smooth).collect();
    let file = ask(&mut live, json!({"do": "form_file", "form": {"readings": readings}}));
    let scenario = Scenario::read_alone(&text_of(NAME), NAME).expect("a scenario");
    let text = ReadingsText::read(file.as_str().expect("text"), "x.ron").expect("readings");
    let mut rng = ChaCha8Rng::seed_from_u64(11);
    let (mut sum, mut squares, mut count, mut far) = (0.0, 0.0, 0.0, 0);
    for _ in 0..60 {
        let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
        let Some(known) = simulated(&scenario, &text, &mut normal) else { continue };
        for value in at_once(&scenario, &known.readings).expect("readings that fit") {
            sum += value.off;
            squares += value.off * value.off;
            count += 1.0;
            far += usize::from(value.off.abs() > FAR);
            assert!(value.sd_si > 0.0 && value.expected_si.is_finite());
        }
    }
    let (mean, square): (f64, f64) = (sum / count, squares / count);
    let sd = (2.0 / (count / 4.0_f64)).sqrt();
    assert!(count > 900.0, "{count}");
    assert!(mean.abs() < 0.2 && (square - 1.0).abs() < 4.0 * sd, "{mean} {square} {sd} {count}");
    assert!((far as f64) < 0.02 * count, "{far} of {count}");
}
