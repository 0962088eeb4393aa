//! The set-up sheet: what is on it and in which order, that hostile text stays text, that the same input gives the same page, and that
//! its numbers (tolerances, pulls, the recorded pass) are those of the model.

use brusharm::coverage::*;
use brusharm::report::sheet::*;
use brusharm::scenario::Scenario;
use brusharm::study::tolerance::{Turn, Walk, reach, tolerances};
use brusharm::units::UnitSystem;

const DEMO: &str = include_str!("../scenarios/ferry-return.ron");
const HOSTILE: &str = "</script><script>window.broken=1</script><img src=x onerror='x'>\"'&amp;<!--\u{202e}abc\u{2066} ]]>\u{2028}";

struct Solved {
    scenario: Scenario,
    pass: brusharm::coverage::Solved,
}

impl std::ops::Deref for Solved {
    type Target = brusharm::coverage::Solved;

    fn deref(&self) -> &brusharm::coverage::Solved {
        &self.pass
    }
}

impl Solved {
    fn of(scenario: Scenario) -> Solved {
        let pass = scenario.solve().unwrap();
        Solved { scenario, pass }
    }

    fn demo(changes: &[(&str, &str)]) -> Solved {
        let scenario = Scenario::read_alone(DEMO, "demo.ron").unwrap();
        Solved::of(scenario.with(changes).unwrap())
    }

    fn solved(&self) -> SolvedScenario<'_> {
        SolvedScenario { scenario: &self.scenario, pass: &self.pass, file: "demo.ron" }
    }
}

fn request<'a>(language: Language, found: Option<&'a Solved>, left: &'a Solved) -> SheetRequest<'a> {
    SheetRequest {
        language,
        units: UnitSystem::Us,
        found: found.map(Solved::solved),
        left: left.solved(),
        tolerances: &[],
        date: "",
        who: "",
        set: &[],
        additions: Vec::new(),
    }
}

fn page(request: &SheetRequest<'_>) -> String {
    html(&sheet(request)).unwrap()
}

/// As found: the left lower bearing off plumb, air low, the left pin one hole in, a heavy weight.
fn found() -> Solved {
    Solved::demo(&[
        ("left.bearings.lower_offset", "-1/8 in"),
        ("both.air.cap", "4 psi"),
        ("left.stop_pin.hole", "3"),
        ("left.counterweight.mass", "28 lb"),
        ("both.brush.friction", "0.30"),
    ])
}

#[test]
fn verif_the_page_holds_everything_in_order() {
    let (found, left) = (found(), Solved::demo(&[]));
    for language in Language::ALL {
        let words = language.words();
        let text = page(&request(language, Some(&found), &left));
        assert!(text.starts_with("<!DOCTYPE html>") && text.ends_with("</html>"));
        assert!(text.len() < 1_000_000, "{}", text.len());
        assert!(text.contains(&format!("<html lang=\"{}\">", language.code())));
        // Cautions stand before anything that could be done.
        let place = |id: &str| text.find(&format!("id=\"{id}\"")).unwrap_or_else(|| panic!("no {id}"));
        let order = [
            "cautions",
            "local-procedure",
            "pictures",
            "replay",
            "criteria",
            "settings",
            "steps",
            "check",
            "sign-done",
        ];
        assert!(order.windows(2).all(|pair| place(pair[0]) < place(pair[1])), "{}", language.code());
        let plain = text.replace("&amp;", "&");
        for (caution, _) in &words.cautions {
            assert!(plain.contains(caution), "{caution}");
        }
        for (citation, _) in &words.citations {
            assert!(plain.contains(citation), "{citation}");
        }
        assert!(
            plain.contains("29 CFR 1910.147")
                && plain.contains(words.predicts)
                && plain.contains(words.limits)
        );
        // Nothing of it asks for anything from outside.
        for outside in ["http:", "https:", "<link", "<iframe", "url(", "@import"] {
            assert!(!text.contains(outside), "{outside}");
        }
    }
    let spanish = page(&request(Language::Spanish, Some(&found), &left));
    for english in ["Before a hand", "Done when", "toward the", "As left", "nose washed", "first touch"] {
        assert!(!spanish.contains(english), "{english}");
    }
}

#[test]
fn verif_every_term_of_the_program_is_translated() {
    let left = Solved::demo(&[]);
    let mut terms: Vec<String> = left.scenario.settings().iter().map(|s| s.label.clone()).collect();
    terms.extend(left.outcome.verdicts.iter().map(|l| l.criterion.row().label.to_owned()));
    terms.extend(left.outcome.units.iter().flat_map(|u| &u.events).map(|e| e.name.name().to_owned()));
    assert!(terms.len() > 60);
    for language in [Language::Spanish, Language::French] {
        for term in &terms {
            assert_ne!(language.words().counted_term(term), *term, "{} has no word for it", language.code());
        }
    }
}

#[test]
fn verif_hostile_text_stays_text() {
    let quoted = ron::to_string(HOSTILE).unwrap();
    let mut text = DEMO.to_owned();
    for field in ["title", "note", "site", "machine", "technician"] {
        let start = text.find(&format!(" {field}: \"")).unwrap() + field.len() + 3;
        let end = start + 1 + text[start + 1..].find('"').unwrap() + 1;
        text.replace_range(start..end, &quoted);
    }
    let left = Solved::of(Scenario::read_alone(&text, "hostile.ron").unwrap());
    let set = vec![(HOSTILE.to_owned(), HOSTILE.to_owned())];
    let mut asked = request(Language::English, None, &left);
    (asked.date, asked.who, asked.set) = (HOSTILE, HOSTILE, &set);
    asked.left.file = HOSTILE;
    let page = page(&asked);
    // The record and the script of the sheet itself, and no other; no picture element; no comment left open.
    assert_eq!(page.matches("<script").count(), 2);
    assert_eq!(page.matches("</script").count(), 2);
    assert!(!page.contains("<img") && !page.contains("<!--"));
    assert!(page.contains("&lt;/script&gt;&lt;script&gt;window.broken=1"));
    let start = page.find("id=\"record\">").unwrap() + 12;
    let end = start + page[start..].find("</script>").unwrap();
    let record: serde_json::Value = serde_json::from_str(&page[start..end]).unwrap();
    assert!(record["main"]["frames"].as_u64().unwrap() > 100);
}

#[test]
fn verif_json_cannot_end_its_element() {
    let text = json_for_html(&HOSTILE).unwrap();
    assert!(!text.contains(['<', '>', '&', '\u{2028}']));
    assert_eq!(serde_json::from_str::<String>(&text).unwrap(), HOSTILE);
}

#[test]
fn verif_the_same_input_gives_the_same_page() {
    let (found, left) = (found(), Solved::demo(&[]));
    let again = (crate::found(), Solved::demo(&[]));
    let first = page(&request(Language::English, Some(&found), &left));
    let second = page(&request(Language::English, Some(&again.0), &again.1));
    assert!(first == second, "two pages of the same input differ");
    // The day is on it only when given; else there is a blank.
    assert!(first.contains("id=\"date\""));
    let mut dated = request(Language::English, Some(&found), &left);
    dated.date = "2026-03-09";
    let dated = page(&dated);
    assert!(dated.contains("2026-03-09") && !dated.contains("id=\"date\""));
}

#[test]
fn verif_steps_follow_the_trade_order() {
    let (found, left) =
        (found(), Solved::demo(&[("both.air.cap", "8 psi"), ("right.bearings.lower_offset", "1/16 in")]));
    let sheet = sheet(&request(Language::English, Some(&found), &left));
    let groups: Vec<Group> = sheet.steps.iter().map(|s| s.group).collect();
    assert!(groups.is_sorted(), "{groups:?}");
    let count = |group| groups.iter().filter(|g| **g == group).count();
    // Left bearing back to plumb, pin back to the middle, air back into its range; then the right bearing, the foam, the weight.
    assert_eq!(
        (count(Group::Standard), count(Group::Bearing), count(Group::Foam), count(Group::Other)),
        (3, 1, 1, 1),
        "{groups:?}"
    );
    let bearing = sheet.steps.iter().find(|s| s.what.contains("lower bearing, left unit")).unwrap();
    assert!(bearing.what.contains("1/8 in (3.2 mm) toward the wall"), "{}", bearing.what);
    assert!(
        bearing.how.contains("both adjusting screws")
            && bearing.done.contains("keeper")
            && bearing.done.contains("other bearing still stands plumb")
    );
    // Toward the wall the gap between frame and block gets smaller.
    assert!(bearing.done.contains("−1/8 in"), "{}", bearing.done);
    let pin = sheet.steps.iter().find(|s| s.what.starts_with("Stop pin")).unwrap();
    assert!(pin.what.contains("from hole 3 to hole 2") && !pin.how.contains("crowd"));
    for step in &sheet.steps {
        assert!(!step.done.is_empty() && !step.lock.is_empty(), "{}", step.what);
    }
}

#[test]
fn verif_no_difference_no_steps() {
    let (found, left) = (Solved::demo(&[]), Solved::demo(&[]));
    let same = sheet(&request(Language::English, Some(&found), &left));
    assert!(same.steps.is_empty() && !same.settings.iter().any(SettingRow::changed));
    let text = html(&same).unwrap();
    assert!(text.contains("Both set-ups have the same settings"));
}

#[test]
fn verif_both_pins_inward_are_warned_of() {
    let (found, left) =
        (Solved::demo(&[("left.stop_pin.hole", "3")]), Solved::demo(&[("left.stop_pin.hole", "3")]));
    let calm = sheet(&request(Language::English, Some(&found), &left));
    assert!(calm.steps.is_empty());
    let crowded = Solved::demo(&[("both.stop_pin.hole", "3")]);
    let standard = Solved::demo(&[]);
    let warned = sheet(&request(Language::English, Some(&standard), &crowded));
    assert_eq!(warned.steps.len(), 1);
    assert!(
        warned.steps[0].what.contains("both units") && warned.steps[0].how.contains("crowd each other"),
        "{:?}",
        warned.steps
    );
}

#[test]
fn verif_tape_gaps_are_what_the_tape_reads() {
    // Set-up to leave written by tape: the step says the gap itself.
    let by_tape = DEMO.replacen(
        "upper_offset: \"0 in\",   // off plumb, positive = toward the wall\n            lower_offset: \"0 in\",",
        "upper_gap: \"2 in\",\n            lower_gap: \"1-15/16 in\",",
        1,
    );
    assert_ne!(by_tape, DEMO);
    let left = Solved::of(Scenario::read_alone(&by_tape, "tape.ron").unwrap());
    let found = Solved::demo(&[]);
    let sheet = sheet(&request(Language::English, Some(&found), &left));
    let step = sheet.steps.iter().find(|s| s.group == Group::Bearing).unwrap();
    assert!(
        step.what.contains("lower bearing, left unit, 1/16 in") && step.what.contains("toward the wall"),
        "{}",
        step.what
    );
    assert!(step.done.contains("reads 1-15/16 in"), "{}", step.done);
}

#[test]
fn verif_pull_is_statics_over_the_arm() {
    // Bearings off plumb and nothing else on the arm: F L = M g r s cos φ' ± friction, with the lean's sine s along the wall.
    let mut unit = Solved::demo(&[("left.bearings.lower_offset", "1/4 in")]).setup.units[0].clone();
    (unit.counterweight, unit.cylinder, unit.dampers) = (None, None, Vec::new());
    let phi = 75.0_f64.to_radians();
    let pull = Pull::at(&unit, phi);
    let (offset, span) = (0.25_f64 * 0.0254, unit.bearings.span_m);
    let sine = offset / offset.hypot(span);
    // The top leans inboard (−y); gravity turns the arm with M g r s · dĉ/dφ = −M g r s sin φ.
    let gravity_n_m = unit.body.mass_kg * 9.80665 * unit.body.cg_radius_m * sine * phi.sin();
    let length = unit.body.length_m;
    let out = (gravity_n_m + unit.pivot.coulomb_n_m) / length;
    let back = (gravity_n_m - unit.pivot.coulomb_n_m) / length;
    assert!(out > 5.0, "{out}");
    assert!((pull.out_n - out).abs() < 1e-9 * out, "{} {out}", pull.out_n);
    assert!((pull.back_n - back).abs() < 1e-9 * out, "{} {back}", pull.back_n);
    let from_centreline = unit.pivot_m.y - length * phi.cos();
    assert!((pull.from_centreline_m - from_centreline).abs() < 1e-12);
    // The stated angle is clear of both stops.
    let stated = Pull::stated_angle_rad(&unit);
    assert!(stated > unit.inboard_stop.seat_rad + 0.1 && stated < unit.outboard_stop.seat_rad);
}

#[test]
fn verif_tolerance_is_the_last_value_before_a_verdict_turns() {
    let left = Solved::demo(&[]);
    let setting = left.scenario.setting("left.bearings.lower_offset").unwrap();
    let walk = Walk::default();
    let step = setting.step_si().unwrap();
    let start = setting.value_si(&left.scenario).unwrap();
    let down = reach(&left.scenario, &setting, &left.outcome, -1.0, walk).unwrap();
    let Turn::Verdict(line) = &down.turn else { panic!("{down:?}") };
    let worse = |distance: f64| {
        let moved = left.scenario.with_si(&[("left.bearings.lower_offset", start - distance)]).unwrap();
        let moved = Solved::of(moved);
        moved.outcome.verdicts.iter().any(|after| {
            let before = left.outcome.verdicts.iter().find(|b| b.key() == after.key());
            after.verdict > before.map_or(Verdict::Pass, |b| b.verdict)
        })
    };
    assert!(down.distance_si > 0.0 && down.distance_si < 4.0 * step, "{down:?}");
    assert!(!worse(down.distance_si), "{} is not the last good value", down.distance_si);
    assert!(worse(down.distance_si + step / 16.0 * 1.001), "{} turns late", line.key());
    // A whole number is not halved.
    let pin = left.scenario.setting("left.stop_pin.hole").unwrap();
    for way in [-1.0, 1.0] {
        let reach = reach(&left.scenario, &pin, &left.outcome, way, walk).unwrap();
        assert_eq!(reach.distance_si.fract(), 0.0, "{reach:?}");
    }
}

#[test]
fn verif_tolerances_do_not_depend_on_threads() {
    // Near the end of what the demo can do, where one step turns a verdict.
    let left = Solved::demo(&[("line.throughput", "148 veh/h")]);
    let walk = Walk { steps: 1, halvings: 1 };
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| tolerances(&left.scenario, &left.outcome, walk))
    };
    let one = with(1);
    assert!(one.len() > 15, "{}", one.len());
    assert_eq!(one, with(3));
    // They stand on the sheet with the criterion that turns.
    let mut asked = request(Language::English, None, &left);
    asked.tolerances = &one;
    let sheet = sheet(&asked);
    let cells = sheet.settings.iter().flat_map(|r| r.sides.iter().flatten());
    assert!(cells.filter_map(|c| c.down.as_ref()?.turns.as_ref()).count() > 0);
}

#[test]
fn verif_the_recorded_pass_is_the_pass() {
    let left = Solved::demo(&[]);
    let replay = replay(&left.pass, |e| e.name().to_owned());
    let time = |k: usize| (replay.start_ms as f64 + k as f64 * replay.frame_ms) / 1e3;
    assert!(replay.frames > 300);
    for (unit, record) in replay.units.iter().zip(&left.record.units) {
        assert_eq!((unit.swing.len(), unit.force_n.len()), (replay.frames, replay.frames));
        let mut sum = 0;
        for (k, step) in unit.swing.iter().enumerate() {
            sum += step;
            let swing = record.state_at(time(k)).phi_rad();
            assert!((f64::from(sum) / 1e4 - swing).abs() <= 0.51e-4, "{} frame {k}", unit.side);
        }
        assert_eq!(unit.patches.split('|').count(), replay.frames);
        assert!(unit.patches.contains('_') || unit.patches.contains(':'));
    }
    // Every event of both units is in it.
    let events: usize = left.outcome.units.iter().map(|u| u.events.len()).sum();
    assert!(replay.events.len() + 1 >= events && !replay.events.is_empty());
    // A station is washed in the replay when it is washed in the outcome.
    let count = replay.washed_frame.len();
    let gap = left.outcome.gaps.first().unwrap();
    let band = left.outcome.coverage.bands.iter().find(|b| b.band == gap.band).unwrap();
    assert_eq!(band.stations.len(), count);
    let mut missed = 0;
    for (station, frame) in band.stations.iter().zip(&replay.washed_frame) {
        let washed = station.washed_ratio(&left.settings) >= 1.0;
        assert_eq!(*frame == -2, !station.judged);
        if station.judged {
            assert_eq!(*frame >= 0, washed, "at {} m", station.s_m);
            missed += usize::from(!washed);
        }
    }
    assert!(missed > 3, "the demo has a gap on its tail");
}
