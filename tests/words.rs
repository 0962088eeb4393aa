//! What people read, on every scenario and in both unit systems: true minus signs, no «1 points», no line over 80 columns, and texts that agree with
//! what is measured. The commands are run as people run them.

use brusharm::coverage::MeasureName;
use brusharm::coverage::{CoverageSettings, Verdict, explain, measure};
use brusharm::pass;
use brusharm::report::{Ink, SweepChart, SweepPicture, nudge_text};
use brusharm::scenario::Scenario;
use brusharm::sentences::why;
use brusharm::study::effect::without_effect;
use brusharm::study::nudge::nudge;
use brusharm::study::spread::{SpreadPlan, spread};
use brusharm::study::stream::Workers;
use brusharm::study::summary::Summary;
use brusharm::study::sweep::{Sweep, SweepPlan};
use brusharm::study::table::Row;
use brusharm::units::UnitSystem;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Widest line that people are given.
const WIDEST: usize = 80;

fn scenarios() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

/// Every scenario that is whole: a file with a train.
fn files() -> Vec<String> {
    let mut found: Vec<String> = std::fs::read_dir(scenarios())
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .filter(|path| std::fs::read_to_string(path).expect("a text").contains("\n    train: ["))
        .map(|path| path.file_name().expect("a name").to_string_lossy().into_owned())
        .collect();
    found.sort();
    assert!(found.len() > 5, "{found:?}");
    found
}

/// What a command prints; it must end well.
fn said(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_brusharm"))
        .args(arguments)
        .current_dir(scenarios())
        .env("NO_COLOR", "1")
        .output()
        .expect("the program");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// A hyphen that stands for a minus: before a digit, with nothing, a blank, a bracket or a sign before it, or in an exponent.
fn hyphen_for_minus(line: &str) -> bool {
    let c: Vec<char> = line.chars().collect();
    (0..c.len()).filter(|&i| c[i] == '-' && c.get(i + 1).is_some_and(char::is_ascii_digit)).any(|i| {
        let before = |n: usize| i.checked_sub(n).map(|at| c[at]);
        match (before(2), before(1)) {
            (_, None) => true,
            (Some(digit), Some('e' | 'E')) => digit.is_ascii_digit(),
            (_, Some(last)) => last.is_whitespace() || "([{=<>≤≥±:;,«.+".contains(last),
        }
    })
}

/// Nouns that a text counts.
const MANY: &[&str] = &[
    "points", "passes", "blocks", "factors", "steps", "criteria", "gaps", "vehicles", "rows", "sets",
    "holes", "days", "strips", "wipes",
];

fn one_of_many(text: &str) -> Option<String> {
    let words: Vec<&str> =
        text.split_whitespace().map(|w| w.trim_matches(['(', ')', ',', ';', '.', ':'])).collect();
    words.windows(2).find(|pair| pair[0] == "1" && MANY.contains(&pair[1])).map(|pair| pair.join(" "))
}

/// Every rule of the house for a text.
fn read_aloud(what: &[&str], text: &str) {
    assert!(text.lines().count() > 2, "{what:?}: {text}");
    for line in text.lines() {
        assert!(line.chars().count() <= WIDEST, "{what:?}: {} columns: «{line}»", line.chars().count());
        assert!(!hyphen_for_minus(line), "{what:?}: a hyphen for a minus: «{line}»");
    }
    assert_eq!(one_of_many(text), None, "{what:?}: {text}");
}

#[test]
fn verif_the_rules_catch_what_they_are_for() {
    for bad in ["-4 ft", "gap -1/8 in", "(-20 deg", "a=-1", "5e-9 m", "60..-3"] {
        assert!(hyphen_for_minus(bad), "{bad}");
    }
    for good in ["−4 ft", "1-1/2 in", "2026-11-28", "set-up 3", "- 3 gaps", "lane-2"] {
        assert!(!hyphen_for_minus(good), "{good}");
    }
    assert_eq!(one_of_many("tail (1 points); 2 points"), Some("1 points".to_owned()));
    assert_eq!(one_of_many("11 points, 1 point"), None);
}

/// Runs a command on every scenario in both systems.
fn on_all(more: &[&str]) {
    for file in files() {
        for units in ["us", "si"] {
            let mut arguments = vec![more[0], file.as_str()];
            arguments.extend(&more[1..]);
            arguments.extend(["--units", units]);
            read_aloud(&arguments, &said(&arguments));
        }
    }
}

#[test]
fn verif_passes_read_well() {
    on_all(&["pass"]);
    on_all(&["pass", "--set", "vehicle.lateral_offset=-1 in"]);
}

#[test]
fn verif_checks_and_settings_read_well() {
    on_all(&["check"]);
    on_all(&["settings"]);
}

#[test]
fn verif_foam_reads_well() {
    for file in ["foam-station.ron", "ferry-foam.ron"] {
        for units in ["us", "si"] {
            for more in
                [&[][..], &["--seen", "watery"], &["--seen", "colour-fading", "--reading", "ratio=90:1"]]
            {
                let mut arguments = vec!["foam", file, "--units", units];
                arguments.extend(more);
                read_aloud(&arguments, &said(&arguments));
            }
        }
    }
}

#[test]
fn verif_lessons_read_well() {
    let mut count = 0;
    for entry in std::fs::read_dir(scenarios().join("lessons")).expect("lessons") {
        let path = entry.expect("an entry").path();
        let name = path.to_string_lossy();
        for units in ["us", "si"] {
            let arguments = ["lesson", &name, "--units", units];
            read_aloud(&arguments, &said(&arguments));
            count += 1;
        }
    }
    assert!(count >= 12);
}

#[test]
fn verif_nudges_read_well() {
    for (file, units) in [("one-unit.ron", "us"), ("opposite-pair.ron", "si"), ("air-drop.ron", "us")] {
        let arguments = ["nudge", file, "--units", units];
        read_aloud(&arguments, &said(&arguments));
    }
}

#[test]
fn verif_comparisons_sweeps_spreads_and_recommendations_read_well() {
    let offset = "vehicle.lateral_offset=-1 in";
    for units in ["us", "si"] {
        for arguments in [
            &["compare", "ferry-return.ron", "--set", "both.bearings.lower_offset=-1/8 in", "--set", offset]
                [..],
            &["sweep", "one-unit.ron", "--over", "left.bearings.lower_offset=-1/8in..0in:1/8in"],
            &[
                "sweep",
                "one-unit.ron",
                "--over",
                "throughput=80,100",
                "--over",
                "left.bearings.lower_offset=-1/8in,0in",
            ],
            &["sweep", "one-unit.ron", "--over", "throughput=80"],
            &["spread", "ferry-return.ron", "--blocks", "2"],
            &["recommend", "one-unit.ron"],
            &["recommend", "as-found.ron", "--most-steps", "1"],
        ] {
            let all: Vec<&str> = arguments.iter().copied().chain(["--units", units]).collect();
            read_aloud(&all, &said(&all));
        }
    }
}

const COMMANDS: &[&str] = &[
    "pass",
    "foam",
    "check",
    "settings",
    "compare",
    "nudge",
    "sweep",
    "spread",
    "recommend",
    "calibrate",
    "fault",
    "sheet",
    "lesson",
];

#[test]
fn verif_helps_read_well_and_say_the_cautions_in_a_line() {
    read_aloud(&["--help"], &said(&["--help"]));
    for command in COMMANDS {
        let help = said(&[command, "--help"]);
        read_aloud(&[command, "--help"], &help);
        let cautions: Vec<&str> = help.lines().filter(|line| line.contains("brusharm --help")).collect();
        assert_eq!(cautions.len(), 1, "{command}: {help}");
        assert!(cautions[0].starts_with("Lock out, bleed and block"), "{command}: {cautions:?}");
        assert!(!help.contains("pinch points"), "{command}: the whole list belongs under brusharm --help");
    }
}

/// The same option reads the same on every command that has it.
#[test]
fn verif_options_of_a_name_read_the_same_everywhere() {
    for (option, least) in [("--of", 3), ("--vehicles", 3), ("--strict", 6), ("--svg", 4)] {
        let mut texts: Vec<String> = Vec::new();
        for command in COMMANDS {
            let help = said(&[command, "--help"]);
            let mut lines = help.lines().skip_while(|line| line.split_whitespace().next() != Some(option));
            if lines.next().is_none() {
                continue;
            }
            texts.push(
                lines.take_while(|line| !line.trim().is_empty()).map(str::trim).collect::<Vec<_>>().join(" "),
            );
        }
        assert!(texts.len() >= least, "{option}: {texts:?}");
        assert!(texts.iter().all(|text| *text == texts[0] && !text.is_empty()), "{option}: {texts:#?}");
    }
}

fn demo(changes: &[(&str, &str)]) -> Scenario {
    let scenario =
        Scenario::read_alone(include_str!("../scenarios/ferry-return.ron"), "ferry-return.ron").unwrap();
    if changes.is_empty() { scenario } else { scenario.with(changes).unwrap() }
}

/// The sentence behind a tail says that the strips come over its middle when, and only when, they are measured there.
#[test]
fn verif_why_agrees_with_the_overlap_measured() {
    let (mut reached, mut missed) = (0, 0);
    for changes in [
        &[][..],
        &[("throughput", "140 veh/h")],
        &[("throughput", "120 veh/h"), ("both.air.cap", "4 psi")],
        &[("both.brush.spin_sense", "InboardAtNose")],
        &[("both.bearings.lower_offset", "1/8 in")],
    ] {
        let scenario = demo(changes);
        let setup = scenario.setup();
        let record = pass::run(&setup).unwrap();
        let settings = CoverageSettings { station_m: 0.004, ..scenario.coverage_settings() };
        let outcome = measure(&setup, &record, &settings, &scenario.criteria());
        for (unit, run) in record.units.iter().enumerate() {
            let side = setup.units[unit].side;
            let past = outcome.coverage.bands.iter().flat_map(|band| {
                let touched = band.stations.iter().filter(|s| s.cells[side.index()].first_s.is_some());
                let past_m = touched.map(|s| side.y_sign() * (s.s_m - 0.5 * band.perimeter_m));
                past_m.filter(|past_m| past_m.abs() < 0.25 * band.perimeter_m).collect::<Vec<f64>>()
            });
            let past_m = past.fold(f64::NEG_INFINITY, f64::max);
            // Stations of a few millimetres cannot tell nearer than that.
            if past_m.abs() < 0.004 {
                continue;
            }
            let steps = 400;
            for step in 0..steps {
                let t = run.start_s() + (run.end_s() - run.start_s()) * f64::from(step) / f64::from(steps);
                let sentence = why(&explain(&setup, &record, t)[unit], UnitSystem::Us);
                let over = ["come over", "lie over", "were over"].iter().any(|s| sentence.contains(s));
                let short = ["short of", "no nearer"].iter().any(|s| sentence.contains(s));
                if !over && !short {
                    continue;
                }
                assert_eq!(
                    over,
                    past_m > 0.0,
                    "{changes:?}, {side:?} at {t:.2} s, past {past_m} m: {sentence}"
                );
                (reached, missed) = (reached + usize::from(over), missed + usize::from(short));
            }
        }
    }
    assert!(reached > 5 && missed > 5, "{reached} {missed}");
}

#[test]
fn verif_a_setting_without_effect_is_said_to_have_none() {
    let base = demo(&[]);
    let changes: Vec<(String, String)> =
        [("left.air.rod", "3 psi"), ("left.air.cap", "8 psi"), ("line.throughput", "140 veh/h")]
            .map(|(path, value)| (path.to_owned(), value.to_owned()))
            .into();
    let changed = base.with(&changes).unwrap();
    let setup = changed.setup();
    let record = pass::run(&setup).unwrap();
    let outcome = measure(&setup, &record, &changed.coverage_settings(), &changed.criteria());
    let found = without_effect(&base, &changes, &changed, &setup, &outcome);
    assert_eq!(found.iter().map(|n| n.index).collect::<Vec<_>>(), [0, 2], "{found:?}");
    assert!(found.iter().all(|n| n.why.is_some()), "{found:?}");

    let text =
        said(&["pass", "ferry-return.ron", "--set", "left.air.rod=3 psi", "--set", "left.air.cap=8 psi"]);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains("left.air.rod = 3 psi (has no effect here: the rod end is never connected"),
        "{text}"
    );
    assert!(text.contains("left.air.cap = 8 psi") && !text.contains("8 psi (has no effect"), "{text}");

    let cases = [("sedan".to_owned(), base)];
    let table = nudge(&cases, Some(MeasureName::TailGap.whole())).unwrap();
    for line in &table.lines {
        assert_eq!(line.has_no_effect(), line.path.ends_with(".air.rod"), "{}", line.path);
    }
    let text = nudge_text(&table, "a title", UnitSystem::Us, Ink::Plain);
    assert!(text.contains("No effect here on any number:") && text.contains("rod end is never"), "{text}");

    let text =
        said(&["sweep", "one-unit.ron", "--over", "left.air.rod=0,3psi", "--over", "throughput=80,100"]);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("left.air.rod has no effect here: the rod end is never"), "{text}");
    assert!(!text.contains("throughput has no effect"), "{text}");
}

/// The sign of a cell is the verdict on all criteria, as the text counts it, even where the measure shown meets its own.
#[test]
fn verif_the_signs_of_a_map_agree_with_the_text() {
    let base = demo(&[]);
    let plan = SweepPlan {
        over: vec!["throughput=100,160".to_owned(), "both.air.cap=7,8".to_owned()],
        ..SweepPlan::default()
    };
    let sweep = Sweep::new(&[("ferry-return.ron".to_owned(), base)], &plan).unwrap();
    let mut summary =
        Summary::new(sweep.design().axes(), sweep.columns(), 4, MeasureName::NoseOverlap.whole());
    let mut rows: Vec<Row> = Vec::new();
    sweep
        .run(0..4, Workers::new(1), |row, _| {
            summary.add(&row);
            rows.push(row);
            Ok::<(), std::convert::Infallible>(())
        })
        .unwrap();
    let counts = summary.counts;
    // The overlap at the nose passes everywhere; at 160 veh/h something else fails.
    assert!(summary.axes[0].places.iter().all(|place| place.worst == Some(Verdict::Pass)));
    assert!(counts.fail >= 1 && counts.pass >= 1, "{counts:?}");
    let picture = SweepPicture {
        title: "a title",
        summary: &summary,
        limit: None,
        units: UnitSystem::Us,
        text_size: 12.0,
    };
    let svg = brusharm::drawing::svg::svg(
        &picture.draw(SweepChart::HeatMap, 960.0, 600.0).unwrap().list,
        brusharm::drawing::Theme::Light,
    );
    let signs = |sign: &str| svg.matches(&format!(" {sign}</text>")).count() as u64;
    assert_eq!((signs("✓"), signs("✗")), (counts.pass, counts.fail), "{svg}");
    assert!(svg.contains("signs: all criteria") && svg.contains("misses a criterion"), "{svg}");
}

/// The numbers of a fleet are those of its vehicles.
#[test]
fn verif_a_spread_over_a_fleet_draws_its_vehicles() {
    let text = include_str!("../scenarios/fleet-day.ron");
    let scenario = Scenario::read_alone(text, "fleet-day.ron").unwrap();
    let plan = SpreadPlan { blocks: 24, resamples: 50, ..SpreadPlan::default() };
    let result = spread(&scenario, &plan, Workers::new(0), |_| {}).unwrap();
    assert_eq!(result.vehicles.len(), scenario.fleet_mix().len());
    assert!((result.vehicles.iter().map(|(_, share)| share).sum::<f64>() - 1.0).abs() < 1e-9);
    let vehicle = result.factors.iter().position(|name| name == "vehicle").unwrap();
    // A van has more tail than a hatch: the vehicle explains most of the work on the side or of the gap, never nothing.
    let most = result
        .measures
        .iter()
        .filter_map(|m| m.indices.as_ref().ok())
        .map(|indices| indices.inputs[vehicle].total.value)
        .fold(0.0, f64::max);
    assert!(most > 0.5, "{most}");
    // Where there is no fleet none is drawn, and asking for one is an error.
    let alone = spread(&demo(&[]), &SpreadPlan { blocks: 2, ..plan }, Workers::new(0), |_| {}).unwrap();
    assert_eq!(alone.vehicles, [("sedan".to_owned(), 1.0)]);
    assert!(!alone.factors.contains(&"vehicle".to_owned()));
    let asked = include_str!("../scenarios/ferry-return.ron").replace("fleet: false,", "fleet: true, ");
    let refused = Scenario::read_alone(&asked, "asked.ron").unwrap_err().to_string();
    assert!(refused.contains("no fleet to draw a vehicle from"), "{refused}");
}

/// One unit for the pressures of the media in every text of a system.
#[test]
fn verif_contact_pressure_has_one_unit() {
    let criteria = "criteria: (\n        side_pressure_peak: \"0.04 psi\",";
    let text = include_str!("../scenarios/ferry-return.ron").replacen("criteria: (", criteria, 1);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("lane.ron");
    std::fs::write(&file, text).unwrap();
    let name = file.to_string_lossy();
    // 0.04 psi is 5.76 lbf/ft², shown to a tenth.
    for (units, unit) in [("us", "lbf/ft²"), ("si", "Pa")] {
        let page = said(&["sheet", &name, "--units", units]);
        let pass = said(&["pass", &name, "--units", units]);
        let check = said(&["check", &name, "--units", units]);
        for (what, text) in [("sheet", page), ("pass", pass), ("check", check)] {
            let limit = if units == "us" { "5.8" } else { "276" };
            let short = text.replace('\u{a0}', " ");
            let stated = short.contains(&format!("{limit} {unit}"))
                || short.lines().any(|l| l.contains(unit) && (l.contains("5.76") || l.contains("275.79")));
            assert!(stated, "{what} in {units}: no limit in {unit}");
        }
    }
}
