//! What is said of a machine from readings of it: known machines found again, intervals that hold, what cannot be told, readings that do not fit.

use super::demo_machine::{SMOOTH, STATIC, WEIGHED, demo, exact, fitted, readings};
use brusharm::calibrate::{
    Calibration, LeftOpen, OfWord, ReadingFile, ReadingsText, advise, calibrate, friction_sum_n_m, intervals,
    known, set_values, would_read, written,
};
use brusharm::coverage::MeasureName;
use brusharm::report::sheet::Language;
use brusharm::report::{Ink, calibrate_text, form_html};
use brusharm::scenario::Scenario;
use brusharm::study::point::evaluate;
use brusharm::units::UnitSystem;
use std::sync::LazyLock;

#[test]
fn verif_readings_of_the_template_itself_leave_it_where_it_is() {
    let found = fitted(&demo(), &exact(&format!("{SMOOTH}{WEIGHED}")));
    assert!(found.judged.chi2 < 1e-3, "{}", found.judged.chi2);
    assert!(found.judged.misfit_chance > 0.999 && found.out_of_line.is_empty());
    for (p, x) in found.parameters.iter().zip(&found.least) {
        assert!(x.abs() < 0.02, "{}: {x}", p.path);
    }
    // What is measured is known better than before, and what nothing sees is as it was.
    let left = |path: &str| {
        let k = found.parameters.iter().position(|p| p.path == path).unwrap_or_else(|| panic!("{path}"));
        found.left(k).expect("not at a bound")
    };
    for path in ["both.found.friction", "both.dampers[0].out_stroke", "both.counterweight.mass"] {
        assert!(left(path) < 0.8, "{path}: {}", left(path));
    }
}

#[test]
fn verif_without_a_force_the_common_scale_is_named_and_one_weighing_tells_it() {
    let timed = r#"
        Film(from: "65 in", air: Off, frames_per_second: 30, marks: [("55 in", 40), ("25 in", 75)]),
        Level(top_leans_downstream: ["0 deg"]),
    "#;
    let found = fitted(&demo(), &exact(timed));
    assert!(found.open.contains(&LeftOpen::CommonScale), "{:?}", found.open);
    let found = fitted(&demo(), &exact(&format!("{timed}{WEIGHED}")));
    assert!(!found.open.contains(&LeftOpen::CommonScale), "{:?}", found.open);
}

/// Seals that stick twice as hard as described are found in the pivot: the sum comes out right, and it is the sum that is told.
#[test]
fn verif_pivot_and_seals_are_told_as_their_sum() {
    let stiff = include_str!("../../scenarios/ferry-return.ron");
    let stiff = stiff.replacen(r#"seal_friction: "1 lbf""#, r#"seal_friction: "4 lbf""#, 1);
    let stiff = Scenario::read_alone(&stiff, "stiff.ron").unwrap_or_else(|errors| panic!("{errors}"));
    let mut text = readings(STATIC);
    for (i, values) in would_read(&stiff, &text).into_iter().enumerate() {
        set_values(&mut text.file.readings[i], &values.expect("an answer")).expect("numbers");
    }
    let found = fitted(&demo(), &text);
    let of = |scenario: &Scenario| friction_sum_n_m(&scenario.unit_models()[0]).expect("it rests");
    let (before, truth, after) = (of(&demo()), of(&stiff), of(&found.scenario));
    assert!(truth > before + 1.0, "{before} {truth}");
    // What was assumed holds it back a little.
    assert!((after - truth).abs() < 0.15 * (truth - before), "{before} {truth} {after}");
    let friction = found.parameters.iter().position(|p| p.path == "both.found.friction").expect("there");
    assert!(found.at[friction] > 0.3, "{}", found.at[friction]);
    assert!(found.judged.misfit_chance > 0.5 && found.out_of_line.is_empty());
    let said = calibrate_text(&found, &text.file.readings, UnitSystem::Si, Ink::Plain).replace('\n', " ");
    assert!(
        said.contains("cannot be told apart. Their sum is found") && said.contains("N m half way out"),
        "{said}"
    );
}

#[test]
fn verif_one_reading_far_off_is_named_and_left_out() {
    let mut text = exact(&format!("{SMOOTH}{WEIGHED}"));
    // The second pull out at 30 in, eight standard deviations too high.
    let ReadingFile::Pull { force, .. } = &mut text.file.readings[0] else { panic!("a pull") };
    let was = force[1].si();
    force[1] = brusharm::units::Force::from_si(was + 8.0 * 0.6);
    let found = fitted(&demo(), &text);
    let out: Vec<usize> = found.out_of_line.iter().map(|o| o.row).collect();
    assert_eq!(out, [1]);
    assert!(found.out_of_line[0].studentised > 5.0, "{}", found.out_of_line[0].studentised);
    assert!((found.out_of_line[0].expected_si - was).abs() < 0.3);
    // Newtons written down as pounds of force.
    let ReadingFile::Pull { force, .. } = &mut text.file.readings[4] else { panic!("a pull") };
    let newtons = force[0].si();
    force[0] = brusharm::units::Force::of(newtons, "lbf").expect("a force");
    let found = fitted(&demo(), &text);
    let like: Vec<&str> = found.out_of_line.iter().filter_map(|o| o.reads_like.as_deref()).collect();
    assert!(like.len() == 1 && like[0].ends_with(" N"), "{:?}", found.out_of_line);
}

/// «Would not move» at a force above what the template starts at pulls its breakaway up; at a force far below, it says nothing.
#[test]
fn verif_what_would_not_move_is_a_reading() {
    let start =
        |what: &str| format!(r#"Pull(way: StartOut, brush_center: "45 in", air: Off, {what}), {WEIGHED}"#);
    let told_n =
        would_read(&demo(), &readings(&start(r#"force: ["1 lbf"]"#)))[0].as_ref().expect("a force")[0];
    let at = |force_n: f64| {
        let found = fitted(&demo(), &readings(&start(&format!(r#"would_not_move: "{force_n:.4} N""#))));
        assert!(found.out_of_line.is_empty(), "{:?}", found.out_of_line);
        let k = found.parameters.iter().position(|p| p.path == "both.found.friction").expect("there");
        found.least[k]
    };
    assert!(told_n > 5.0, "{told_n}");
    let (low, high) = (at(told_n - 4.0), at(told_n + 1.0));
    assert!(low.abs() < 1e-3, "{low}");
    assert!(high > 0.2, "{high}");
}

#[test]
fn verif_the_scenario_written_keeps_its_comments_and_comes_to_the_same() {
    let scenario = demo();
    let mut text = exact(&format!("{SMOOTH}{WEIGHED}"));
    let ReadingFile::Weight { mass, .. } = text.file.readings.last_mut().expect("there") else {
        panic!("a weight")
    };
    mass[0] = brusharm::units::Mass::parse("12.4 lb").expect("a mass");
    let found = fitted(&scenario, &text);
    let new = written(&found, &text.file.readings, "21 values").expect("a text");
    let original = include_str!("../../scenarios/ferry-return.ron");
    for line in original.lines() {
        let Some((_, comment)) = line.split_once("//") else { continue };
        assert!(new.contains(comment), "lost: {comment}");
    }
    let again = Scenario::read_alone(&new, "new.ron").unwrap_or_else(|errors| panic!("{errors}\n{new}"));
    assert_eq!(again.setup(), found.scenario.setup());
    assert!(again.unit_models()[0].counterweight.as_ref().expect("a weight").mass_kg > 5.5);
    let uncertainty = again.uncertainty().expect("it reads").expect("it was calibrated");
    assert_eq!(uncertainty.parameters.len(), found.parameters.len());
    for (k, row) in uncertainty.factor.iter().enumerate() {
        let sd = row.iter().map(|v| v * v).sum::<f64>().sqrt();
        let expected = found.left(k).unwrap_or(0.0) * found.parameters[k].sd;
        assert!((sd / expected - 1.0).abs() < 1e-6, "{k}: {sd} {expected}");
    }
    assert!(new.contains("/* measured, fitted ±") || new.contains("/* measured ±"), "{new}");
    // Calibrated again, each value has one note, not two.
    let twice = fitted(&again, &text);
    let newer = written(&twice, &text.file.readings, "21 values").expect("a text");
    assert_eq!(newer.matches("assumed before").count(), new.matches("assumed before").count());
    assert!(Scenario::read_alone(&newer, "newer.ron").is_ok());
}

#[test]
fn verif_intervals_narrow_by_what_was_learned() {
    let scenario = demo();
    let before = intervals(&scenario, 60, 1).expect("intervals");
    assert!(!before.calibrated && before.failed < 6, "{:?}", before.reason);
    let text = exact(&format!("{SMOOTH}{WEIGHED}"));
    let found = fitted(&scenario, &text);
    let new = written(&found, &text.file.readings, "").expect("a text");
    let after =
        intervals(&Scenario::read_alone(&new, "new.ron").expect("it reads"), 60, 1).expect("intervals");
    assert!(after.calibrated);
    let width = |of: &brusharm::calibrate::Intervals| {
        let line = of.measures.iter().find(|m| m.measure == MeasureName::TailGap.whole()).expect("a gap");
        let [low, middle, high] = line.quantiles.expect("values");
        assert!(low < middle && middle < high && low >= 0.0);
        high - low
    };
    let (wide, narrow) = (width(&before), width(&after));
    eprintln!("tail gap: {:.0} mm wide before, {:.0} mm after", 1e3 * wide, 1e3 * narrow);
    assert!(narrow < 0.9 * wide && narrow > 0.001, "{wide} {narrow}");
    // The same again, to the bit.
    assert_eq!(intervals(&scenario, 60, 1).expect("intervals"), before);
}

/// Of three machines drawn the mean, by hand from where the three lie: their quantiles are linear between ranks, so q₀.₀₂₅ = 0.95 a + 0.05 b and
/// q₀.₉₇₅ = 0.05 b + 0.95 c of a ≤ b ≤ c. It is not their middle.
#[test]
fn verif_the_mean_of_machines_drawn_by_hand() {
    let all = intervals(&demo(), 3, 1).expect("intervals");
    let mut apart = 0;
    for line in all.measures.iter().filter(|line| line.values == 3) {
        let [low, middle, high] = line.quantiles.expect("three values");
        let [first, last] = [low, high].map(|q| (q - 0.05 * middle) / 0.95);
        let by_hand = (first + middle + last) / 3.0;
        let mean = line.mean.expect("three values");
        let size = first.abs().max(last.abs());
        assert!((mean - by_hand).abs() <= 1e-12 * size.max(1e-9), "{}: {mean} {by_hand}", line.measure.key());
        apart += u32::from((mean - middle).abs() > 1e-3 * size);
    }
    assert!(apart > 5, "{apart}");
}

#[test]
fn verif_mistakes_are_pointed_at() {
    let scenario = demo();
    let refused = |body: &str| -> String {
        let text = format!("(schema: 1, of: Both, readings: [{body}])");
        match ReadingsText::read(&text, "bad.ron").and_then(|text| calibrate(&scenario, &text).map(|_| ())) {
            Ok(()) => panic!("taken: {body}"),
            Err(errors) => {
                assert!(errors.0.iter().all(|e| !e.problem.is_empty()), "{errors}");
                errors.to_string()
            }
        }
    };
    let cases = [
        (r#"Weight(mass: ["26"])"#, "26"),
        (r#"Weight(mass: ["2600 lb"])"#, "0.1 lb to 500 lb"),
        (r#"Weight(mass: [])"#, "nothing was read here"),
        (r#"Wait(mass: ["26 lb"])"#, "Weight"),
        (r#"Pull(way: Out, brush_center: "14 ft", air: On, force: ["3 lbf"])"#, "does not reach"),
        (
            r#"Pull(way: Out, brush_center: "30 in", air: On, force: ["3 lbf"], by: "my scale")"#,
            "no instrument",
        ),
        (r#"Pull(way: StartIn, brush_center: "30 in", air: On, walk: "1 ft/s", force: ["3 lbf"])"#, "walk"),
        (r#"Strip(vehicle: "sedann", conveyor_speed: "30 ft/min", width: ["3 in"])"#, "sedan"),
        (r#"Film(from: "65 in", air: On, frames_per_second: 0, marks: [("30 in", 3)])"#, "frames_per_second"),
        ("", "readings"),
    ];
    for (body, says) in cases {
        let told = refused(body);
        assert!(told.contains(says) && told.contains("bad.ron:1"), "{body}\n{told}");
    }
    // Text that steers a terminal is shown, not passed on by name.
    let told =
        refused("Pull(way: Out, brush_center: \"30 in\", air: On, force: [\"3 lbf\"], by: \"\\u{1b}[2J\")");
    assert!(told.contains("no instrument"), "{told}");
}

/// The demo's readings, and the demo fitted to them: once for all tests.
fn demo_fit() -> &'static (ReadingsText, Calibration) {
    static FIT: LazyLock<(ReadingsText, Calibration)> = LazyLock::new(|| {
        let text = include_str!("../../scenarios/ferry-readings.ron");
        let text = ReadingsText::read(text, "ferry-readings.ron").unwrap_or_else(|errors| panic!("{errors}"));
        let found = fitted(&demo(), &text);
        (text, found)
    });
    &FIT
}

#[test]
fn verif_the_demo_readings_fit_the_demo() {
    let (text, found) = demo_fit();
    assert!(text.file.note.contains("nvented"));
    assert!(found.judged.misfit_chance > 0.05, "{}", found.judged.misfit_chance);
    assert!(found.out_of_line.is_empty(), "{:?}", found.out_of_line);
}

/// The strip on a tail tells most of the gap on it; a gauge tells little; advice is the same to the bit.
#[test]
fn verif_advice_is_of_what_tells_of_the_prediction() {
    let (base, uncertainty, calibrated) = known(&demo()).expect("the demo");
    assert!(!calibrated);
    let gap = MeasureName::TailGap.whole();
    let ask = || advise(&base, &uncertainty, OfWord::Both, gap, 80).expect("advice");
    let advice = ask();
    let (mean, sd) = advice.spread_si.expect("a gap");
    assert!(advice.draws > 70 && mean > 0.0 && sd > 0.01, "{advice:?}");
    let left = |key: &str| advice.worths.iter().find(|w| w.test.key == key).map(|w| w.left).expect("there");
    assert!(left("strip") < 0.6, "{}", left("strip"));
    assert!(left("gauge") > left("strip") && left("level") > left("strip"));
    assert!(advice.worths.iter().all(|w| (0.0..=1.0).contains(&w.left)));
    assert!(advice.worths.windows(2).all(|w| w[0].per_minute >= w[1].per_minute));
    let again = ask();
    assert_eq!(format!("{:?}", again.spread_si), format!("{:?}", advice.spread_si));
    let keys = |a: &brusharm::calibrate::Advice| a.worths.iter().map(|w| w.test.key).collect::<Vec<_>>();
    assert_eq!(keys(&again), keys(&advice));
    // The form has every one of them, in that order, in every language.
    for language in Language::ALL {
        let page = form_html(language, UnitSystem::Us, "A machine", &advice);
        assert_eq!(page.matches("<tr>").count(), advice.worths.len());
        assert!(page.contains("______") && page.contains(&format!("lang=\"{}\"", language.code())));
    }
}

/// The machine whose readings the demo's are said to be: somewhat unlike the template.
const BEHIND_THE_DEMO: [(&str, &str); 11] = [
    ("both.counterweight.mass", "12.3 lb"),
    ("both.found.arm_mass", "106 %"),
    ("both.found.friction", "2.6 lbf ft"),
    ("both.found.push", "130 %"),
    ("both.found.radius", "26-1/4 in"),
    ("both.found.seat_shift", "0.3 in"),
    ("both.brush.friction", "0.43"),
    ("both.brush.media.mass", "45.5 lb"),
    ("both.dampers[0].out_stroke", "4.6 lbf s/in"),
    ("both.bearings.lower_offset", "0.01 in"),
    ("both.air.cap", "7.2 psi"),
];

/// The demo's readings are what that machine shows, within the errors of the instruments and no nearer than they allow.
#[test]
fn verif_the_demo_readings_are_of_the_machine_behind_them() {
    let (text, found) = demo_fit();
    let machine = demo().with_found(&brusharm::arm::Side::BOTH).and_then(|m| m.with(&BEHIND_THE_DEMO));
    let machine = machine.unwrap_or_else(|errors| panic!("{errors}"));
    let told = would_read(&machine, text);
    let (mut worst, mut sum, mut all) = (0.0_f64, 0.0, 0.0);
    for (i, told) in told.iter().enumerate() {
        let told = told.as_ref().unwrap_or_else(|| panic!("reading {i} has no answer"));
        for (row, told) in found.rows.iter().filter(|row| row.reading == i).zip(told) {
            // A share of the instruments' shared errors counts too: a scale's gain, the motor's efficiency, the law of the media.
            let z = (row.value.si - told)
                / row.sigma.hypot(0.1 * told * f64::from(u8::from(!row.shared.is_empty())));
            eprintln!("{i} {}: machine {told:.5}, read {:.5}, {z:.2} sd", row.value.written, row.value.si);
            worst = worst.max(z.abs());
            sum += z * z;
            all += 1.0;
        }
    }
    assert!(worst < 3.0 && sum / all > 0.05, "{worst} {}", sum / all);
    // What the machine behind them does lies where the fitted one says, and the template did not.
    let gap = MeasureName::TailGap.whole();
    let truth = evaluate(&machine).value(gap).expect("a gap");
    let new = written(found, &text.file.readings, "").expect("a text");
    let new = Scenario::read_alone(&new, "new.ron").unwrap_or_else(|errors| panic!("{errors}"));
    let line = |scenario: &Scenario| {
        let all = intervals(scenario, 60, 1).expect("intervals");
        let line = all.measures.into_iter().find(|m| m.measure == gap).expect("a gap");
        (line.value.expect("a gap"), line.quantiles.expect("values"))
    };
    let ((before, wide), (after, narrow)) = (line(&demo()), line(&new));
    eprintln!("gap: machine {truth:.3} m; before {before:.3} {wide:.3?}; after {after:.3} {narrow:.3?}");
    assert!(narrow[0] <= truth && truth <= narrow[2], "{truth} {narrow:?}");
    assert!(narrow[2] - narrow[0] < 0.5 * (wide[2] - wide[0]) && narrow[2] > narrow[0]);
    assert!((after - truth).abs() < (before - truth).abs());
}

/// Where a strip was read, the machines that travel in the new file leave it, within its error and that of the draws. Were too few found, that is said.
#[test]
fn verif_machines_kept_leave_the_strip_that_was_read() {
    let strip = |inches: &str| {
        format!(r#"Strip(vehicle: "sedan", conveyor_speed: "{:.3} ft/min", width: [{inches}]),"#, {
            demo().conveyor_speed_m_s() / 0.3048 * 60.0
        })
    };
    let read_m = 8.0 * 0.0254;
    let text = readings(&format!("{WEIGHED}{}", strip(r#""7-3/4 in", "8-1/4 in", "8 in""#)));
    let found = fitted(&demo(), &text);
    assert_eq!((found.draws.len(), found.too_few_draws), (60, None));
    let new = written(&found, &text.file.readings, "").expect("a text");
    let new = Scenario::read_alone(&new, "new.ron").unwrap_or_else(|errors| panic!("{errors}"));
    let all = intervals(&new, 100, 5).expect("intervals");
    let gap = all.measures.iter().find(|m| m.measure == MeasureName::TailGap.whole()).expect("a gap");
    assert_eq!((all.draws, all.failed, gap.values), (60, 0, 60));
    let [low, middle, high] = gap.quantiles.expect("values");
    // 15 mm of the tape, three times read: 8.7 mm; each draw has an error of its own.
    assert!((middle - read_m).abs() < 0.006, "{low} {middle} {high}");
    // In the mean the errors drawn are nothing: as drawn by chance they would be 1.1 mm, and for every machine the same.
    let mean = gap.mean.expect("values");
    assert!((mean - read_m).abs() < 0.0015, "{mean}");
    assert!((0.02..0.06).contains(&(high - low)), "{low} {middle} {high}");
    let said = |few: Option<usize>| {
        let mut found = found.clone();
        found.too_few_draws = few;
        calibrate_text(&found, &text.file.readings, UnitSystem::Us, Ink::Plain)
    };
    assert!(!said(None).contains("may be off") && said(Some(12)).contains("(12 found)"));
    // Nothing measured, it lies anywhere.
    let before = intervals(&demo(), 60, 5).expect("intervals");
    let gap = before.measures.iter().find(|m| m.measure == MeasureName::TailGap.whole()).expect("a gap");
    let [low, _, high] = gap.quantiles.expect("values");
    assert!(high - low > 0.3, "{low} {high}");
}
