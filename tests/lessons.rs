//! Every lesson that is shipped is good: it fits its scenario, every number in it is computed, and its answers hold.

use brusharm::scenario::Scenario;
use brusharm::scenario::lesson::Lesson;
use brusharm::study::lesson::{StepResult, check, evaluate};
use brusharm::units::UnitSystem;
use std::path::{Path, PathBuf};

fn lessons() -> Vec<(PathBuf, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/lessons");
    let mut found: Vec<(PathBuf, String)> = std::fs::read_dir(folder)
        .expect("the folder of lessons")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .map(|path| (path.clone(), std::fs::read_to_string(path).expect("a text")))
        .collect();
    found.sort();
    found
}

fn read(path: &Path, text: &str) -> (Lesson, Scenario) {
    let name = path.file_name().expect("a name").to_string_lossy().into_owned();
    let lesson = Lesson::read(text, &name).unwrap_or_else(|e| panic!("{e}"));
    let scenario = lesson.scenario_beside(path).expect("beside or one folder up");
    let text = std::fs::read_to_string(&scenario).expect("its scenario");
    let scenario = Scenario::read_alone(&text, "scenario").unwrap_or_else(|e| panic!("{e}"));
    (lesson, scenario)
}

fn results(stem: &str, units: UnitSystem) -> Vec<StepResult> {
    let (path, text) = lessons()
        .into_iter()
        .find(|(path, _)| path.file_stem().is_some_and(|s| s.to_string_lossy().contains(stem)))
        .expect("the lesson");
    let (lesson, scenario) = read(&path, &text);
    evaluate(&lesson, &scenario, units).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn verif_every_shipped_lesson_fits_its_scenario_and_leaves_no_placeholder() {
    let all = lessons();
    assert!(all.len() >= 6, "{}", all.len());
    for (path, text) in all {
        let (lesson, scenario) = read(&path, &text);
        check(&lesson, &scenario).unwrap_or_else(|e| panic!("{e}"));
        for units in [UnitSystem::Us, UnitSystem::Si] {
            let steps = evaluate(&lesson, &scenario, units).unwrap_or_else(|e| panic!("{e}"));
            assert_eq!(steps.len(), lesson.file.steps.len());
            for (step, file) in steps.iter().zip(&lesson.file.steps) {
                let said =
                    [&step.texts.heading, &step.texts.caption, &step.texts.question, &step.texts.answer];
                for text in said {
                    assert!(
                        !text.contains(['{', '}']) && !text.contains("none"),
                        "{}: {text}",
                        path.display()
                    );
                }
                assert!(!step.texts.caption.is_empty() && step.t_s.is_finite());
                assert_eq!(step.texts.pins.len(), file.pins.len());
            }
        }
    }
}

/// Results are never typed: outside placeholders and settings a lesson holds no number.
#[test]
fn verif_no_result_is_typed_in_a_lesson() {
    for (path, text) in lessons() {
        let (lesson, _) = read(&path, &text);
        for index in 0..lesson.file.steps.len() {
            for said in lesson.said(index) {
                for piece in &said.template.pieces {
                    if let brusharm::scenario::lesson::template::Piece::Text(plain) = piece {
                        assert!(!plain.chars().any(|c| c.is_ascii_digit()), "{}: {plain}", path.display());
                    }
                }
            }
        }
    }
}

/// The numbers in a caption are those of the pass, found by another way: the report's own measure.
#[test]
fn verif_caption_numbers_are_those_of_the_pass() {
    let steps = results("eighth", UnitSystem::Us);
    let text = include_str!("../scenarios/ferry-return.ron");
    let lane = Scenario::read_alone(text, "lane").expect("good");
    let gap_in = |offset: &str| {
        let changed = lane.with(&[("both.bearings.lower_offset", offset)]).expect("holds");
        let setup = changed.setup();
        let record = brusharm::pass::run(&setup).expect("runs");
        let outcome =
            brusharm::coverage::measure(&setup, &record, &changed.coverage_settings(), &changed.criteria());
        let tail = outcome.gaps.iter().filter(|g| g.zone == brusharm::vehicle::Zone::Tail);
        tail.map(|g| g.length_m()).fold(0.0, f64::max) / 0.0254
    };
    let (less, plumb, more) = (gap_in("-1/8 in"), gap_in("0 in"), gap_in("1/8 in"));
    assert!(less > plumb && plumb > more, "{less} {plumb} {more}");
    assert!(steps[1].texts.answer.starts_with(&format!("{more:.1} in.")), "{}", steps[1].texts.answer);
    assert!(steps[1].texts.question.contains(&format!("{plumb:.1} in")), "{}", steps[1].texts.question);
    assert!(steps[2].texts.answer.contains(&format!("grew from {plumb:.1} in to {less:.1} in")));
}

/// What the class is told follows the machine: faster lines leave less time, less air a longer gap, one hole out less overlap,
/// one hole in less time.
/// What a step hides is in its pass, in no setting of it, and is told with the answer alone.
#[test]
fn verif_a_hidden_fault_is_told_with_the_answer_alone() {
    let steps = results("7-find", UnitSystem::Us);
    let hidden = [
        (1, "Hidden here: left: the arm runs tight."),
        (2, "Hidden here: both: the brush turns the wrong way."),
    ];
    for (index, told) in hidden {
        let texts = &steps[index].texts;
        assert!(texts.answer.ends_with(told), "{}", texts.answer);
        for text in [&texts.heading, &texts.caption, &texts.question] {
            assert!(!text.contains("tight") && !text.contains("wrong way"), "{text}");
        }
    }
    assert!(!steps[0].texts.answer.contains("Hidden"));
    assert_ne!(steps[0].headline, steps[2].headline);
    let (path, text) =
        lessons().into_iter().find(|(path, _)| path.ends_with("7-find-the-fault.ron")).unwrap();
    let (_, scenario) = read(&path, &text);
    for (from, to, told) in [
        ("cause: \"tight\"", "cause: \"tigt\"", "there is no such cause"),
        ("on: Left", "on: Line", "cannot have this fault there"),
        ("how_bad: \"60 %\"", "how_bad: \"160 %\"", "share of a range"),
    ] {
        let lesson = Lesson::read(&text.replacen(from, to, 1), "lesson.ron").unwrap();
        let refused = check(&lesson, &scenario).unwrap_err().to_string();
        assert!(refused.contains(told), "{refused}");
    }
}

#[test]
fn verif_the_lessons_say_what_the_machine_does() {
    let throughput = results("throughput", UnitSystem::Us);
    assert!(throughput[0].headline.starts_with("pass") && throughput[2].headline.starts_with("fail"));
    let spin = results("spin", UnitSystem::Us);
    assert!(spin[2].texts.answer.contains("come less far"), "{}", spin[2].texts.answer);
    let pin = results("stop-pin", UnitSystem::Us);
    let inches: Vec<f64> = pin[1].texts.answer.split(' ').filter_map(|word| word.parse().ok()).collect();
    assert!(inches.len() == 2 && inches[0] < inches[1] - 3.0, "{}", pin[1].texts.answer);
    assert!(pin[2].headline.starts_with("fail"), "{}", pin[2].headline);
    assert!(pin[2].texts.answer.contains("and it was"), "{}", pin[2].texts.answer);
}

/// The foam lesson turns the station, and what it says is the friction that the station's own model gives and a pass with that friction stated.
#[test]
fn verif_the_foam_lesson_follows_the_station() {
    let steps = results("foam", UnitSystem::Us);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/ferry-foam.ron");
    let text = std::fs::read_to_string(path).expect("the scenario");
    let base = Scenario::read_alone(&text, "ferry-foam.ron").expect("good");
    let gone =
        [("foam.air_regulator", "0 psi"), ("foam.metering_bore", "0.40 mm"), ("foam.tip_blockage", "60 %")];
    let sets: [&[(&str, &str)]; 4] = [&[], &[("foam.metering_bore", "1.20 mm")], &gone[..1], &gone];
    let mut frictions = Vec::new();
    for (step, set) in steps.iter().zip(sets) {
        let changed = base.with(set).expect("holds");
        let friction = changed.foam_result().expect("a station").film.friction;
        let said = format!("{friction:.2}");
        assert!(step.texts.caption.contains(&said), "{said}: {}", step.texts.caption);
        // The unchanged machine with that friction put into its brushes gives the same pass.
        let gap_in = |scenario: &Scenario, friction: f64| {
            let mut setup = scenario.setup();
            for unit in &mut setup.units {
                unit.brush.friction = friction;
            }
            let record = brusharm::pass::run(&setup).expect("runs");
            let outcome = brusharm::coverage::measure(
                &setup,
                &record,
                &scenario.coverage_settings(),
                &scenario.criteria(),
            );
            let tail = outcome.gaps.iter().filter(|g| g.zone == brusharm::vehicle::Zone::Tail);
            tail.map(|g| g.length_m()).fold(0.0, f64::max) / 0.0254
        };
        let own = changed.setup().units[0].brush.friction;
        assert_eq!((own, gap_in(&changed, own)), (friction, gap_in(&base, friction)));
        frictions.push((friction, gap_in(&changed, own)));
    }
    let [found, rich, no_air, no_foam] = frictions[..] else { panic!("four steps") };
    assert!(rich.0 < found.0 && found.0 < no_air.0 && no_air.0 < no_foam.0, "{frictions:?}");
    // The brush turns the way that drags it into the wrap: the more it rubs, the shorter the gap.
    assert!(rich.1 > found.1 && found.1 > no_air.1 && no_air.1 > no_foam.1, "{frictions:?}");
    assert!(steps[1].texts.caption.contains("falls") && steps[1].texts.answer.contains("less into the wrap"));
    assert!(steps[2].texts.answer.contains(&format!("{:.1} in instead of {:.1} in", no_air.1, found.1)));
    assert!(
        steps[2].texts.caption.contains("liquid only") && steps[0].texts.caption.contains("foam is good")
    );
    // Without a station the same keys are refused with the place in the lesson.
    let (lesson_path, lesson_text) = lessons().remove(5);
    let lesson = Lesson::read(&lesson_text, "foam.ron").expect("good");
    assert!(lesson_path.ends_with("6-foam-and-friction.ron"));
    let (_, plain) = read(&lessons()[0].0, &lessons()[0].1);
    let refused = check(&lesson, &plain).expect_err("no station").to_string();
    assert!(refused.contains("foam.ron:") && refused.contains("foam.regime"), "{refused}");
}

#[test]
fn verif_errors_of_a_lesson_point_into_its_text() {
    let (path, text) = lessons().remove(0);
    let cases = [
        ("{tail_washed}", "{tail_wash}", "nothing can be computed under this key"),
        ("{A.tail_gap}", "{C.tail_gap}", "nothing is pinned as C"),
        (
            "(\"both.bearings.lower_offset\", \"1/8 in\")",
            "(\"both.bearings.lower_offset\", \"1/8\")",
            "needs its unit",
        ),
        ("{A.tail_gap}", "{tail_gap - line.throughput}", "held against each other"),
    ];
    for (from, to, told) in cases {
        let bad = text.replacen(from, to, 1);
        assert_ne!(bad, text, "{from}");
        let lesson = Lesson::read(&bad, "bad.ron").unwrap_or_else(|e| panic!("{e}"));
        let (_, scenario) = read(&path, &text);
        let error = check(&lesson, &scenario).expect_err(to).to_string();
        assert!(error.contains(told) && error.contains("bad.ron:") && error.contains('^'), "{error}");
    }
}
