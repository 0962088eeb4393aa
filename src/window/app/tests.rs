use std::sync::Arc;

use super::command::{Column, Command, Effect, Sides};
use super::compare::{Change, table};
use super::solved::{Answer, Request, solve};
use super::*;
use crate::coverage::MeasureName;
use crate::coverage::measure::Measure;
use crate::drawing::unrolled::Spot;
use crate::scenario::lesson::Lesson;
use crate::window::app::dump::{Spots, dump};
use crate::window::app::timing::Timing;
use crate::window::keys::Action;
use crate::window::pins::Slot;
use crate::window::playback::ClockKind;
use crate::window::playback::Command as T;
use crate::window::solver::Solved;
use crate::window::solver::Solver;

const LANE: &str = include_str!("../../../scenarios/ferry-return.ron");
const LESSON: &str = include_str!("../../../scenarios/lessons/1-eighth-inch.ron");

fn lane() -> Scenario {
    Scenario::read_alone(LANE, "lane.ron").expect("the demo scenario is good")
}

/// An app with a solver that is asked by hand, so that a test decides when answers come.
pub(crate) struct Bench {
    pub(crate) app: App,
    solver: Solver<Request, Result<Answer, String>>,
    bell: std::sync::mpsc::Receiver<()>,
}

impl Bench {
    pub(crate) fn new(set: &[(&str, &str)]) -> Bench {
        let set: Vec<(String, String)> =
            set.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())).collect();
        let made = App::new("lane.ron".into(), lane(), &set, UnitSystem::Us, Theme::Light);
        let (app, effects) = made.expect("the settings hold");
        let (rang, bell) = std::sync::mpsc::channel();
        let ready = move || {
            // The test may be over already.
            let _ = rang.send(());
        };
        let solver = Solver::start(solve, ready).expect("a thread");
        let mut bench = Bench { app, solver, bell };
        bench.ask(effects);
        bench.wait();
        bench
    }

    /// Carries out a command without waiting for what it asks for.
    pub(crate) fn start(&mut self, command: Command) -> Vec<Effect> {
        let effects = self.app.command(command);
        self.ask(effects)
    }

    /// Carries out a command and waits until everything it asks for is shown.
    pub(crate) fn run(&mut self, command: Command) -> Vec<Effect> {
        let rest = self.start(command);
        self.wait();
        rest
    }

    fn ask(&mut self, effects: Vec<Effect>) -> Vec<Effect> {
        let mut rest = Vec::new();
        for effect in effects {
            match effect {
                Effect::Solve(request) => {
                    let generation = self.solver.submit(*request);
                    self.app.submitted(generation);
                }
                other => rest.push(other),
            }
        }
        rest
    }

    pub(crate) fn wait(&mut self) {
        while self.solver.busy() {
            if let Some(solved) = self.solver.poll() {
                let effects = self.app.command(Command::Solved(Box::new(solved)));
                self.ask(effects);
            } else {
                self.bell.recv().expect("the solver runs");
            }
        }
    }

    pub(crate) fn value(&self, measure: Measure) -> f64 {
        measure.read(&self.app.shown().expect("solved").outcome).value.expect("measured")
    }
}

fn set(path: &str, text: &str) -> Command {
    Command::Set(path.to_owned(), text.to_owned())
}

fn drag(path: &str, text: &str) -> Command {
    Command::Drag(path.to_owned(), text.to_owned())
}

#[test]
fn verif_a_change_is_solved_and_only_then_shown() {
    let mut bench = Bench::new(&[]);
    let before = Arc::clone(bench.app.shown().expect("solved"));
    bench.start(set("both.air.cap", "9 psi"));
    assert!(bench.app.solving());
    assert_eq!(bench.app.edits().len(), 2, "a pair is two edits");
    assert!(Arc::ptr_eq(bench.app.shown().expect("still the old one"), &before));
    bench.wait();
    let shown = bench.app.shown().expect("solved");
    assert!(!bench.app.solving() && !Arc::ptr_eq(shown, &before));
    assert_eq!(shown.edits, *bench.app.edits(), "the picture is of what is set");
    assert_eq!(
        shown
            .scenario
            .setting("left.air.cap")
            .expect("there")
            .read(&shown.scenario)
            .map(|r| edits::reading_text(&r)),
        Some("9 psi".into())
    );
}

#[test]
fn verif_a_fresh_solve_is_the_same_as_a_pass_run_alone() {
    let bench = Bench::new(&[("both.bearings.lower_offset", "1/8 in")]);
    let changed = lane().with(&[("both.bearings.lower_offset", "1/8 in")]).expect("holds");
    let setup = changed.setup();
    let record = crate::pass::run(&setup).expect("runs");
    let outcome =
        crate::coverage::measure(&setup, &record, &changed.coverage_settings(), &changed.criteria());
    assert_eq!(bench.app.shown().expect("solved").outcome, outcome);
    assert!(!outcome.verdicts.is_empty());
}

#[test]
fn verif_values_as_in_the_file_are_no_edits() {
    let mut bench = Bench::new(&[]);
    bench.run(set("left.air.cap", "8 psi"));
    assert!(bench.app.differs("left.air.cap") && bench.app.differs("both.air.cap"));
    assert!(!bench.app.differs("right.air.cap"));
    bench.run(set("left.air.cap", "7.0 psi"));
    assert!(bench.app.edits().is_empty(), "{:?}", bench.app.edits());
    assert_eq!(bench.app.in_file("left.air.cap").as_deref(), Some("7 psi"));
}

#[test]
fn verif_a_drag_is_one_entry_and_undo_and_redo_solve_again() {
    let mut bench = Bench::new(&[]);
    let gap = bench.value(MeasureName::TailGap.whole());
    for text in ["8 psi", "9 psi", "10 psi"] {
        bench.start(drag("both.air.cap", text));
    }
    bench.start(Command::Settle);
    bench.wait();
    let dragged = bench.value(MeasureName::TailGap.whole());
    assert!(dragged < gap, "more air closes the gap: {dragged} {gap}");
    bench.run(Command::Act(Action::Undo));
    assert!(bench.app.edits().is_empty());
    assert_eq!(bench.value(MeasureName::TailGap.whole()), gap, "the same set-up, the same bits");
    bench.run(Command::Act(Action::Redo));
    assert_eq!(bench.value(MeasureName::TailGap.whole()), dragged);
}

#[test]
fn verif_what_does_not_hold_is_refused_and_changes_nothing() {
    let mut bench = Bench::new(&[]);
    let shown = Arc::clone(bench.app.shown().expect("solved"));
    for (path, text, part) in [
        ("left.air.cap", "900 psi", "range"),
        ("left.air.cap", "7", "unit"),
        ("left.nothing", "1 in", "no such setting"),
        ("left.stop_pin.hole", "4", "1 to 3"),
    ] {
        bench.run(set(path, text));
        let refused = bench.app.refused().expect("refused");
        assert_eq!(refused.path, path);
        assert!(refused.text.contains(part), "{}", refused.text);
        assert!(bench.app.edits().is_empty());
        assert!(Arc::ptr_eq(bench.app.shown().expect("kept"), &shown));
    }
    bench.run(set("left.air.cap", "8 psi"));
    assert!(bench.app.refused().is_none());
}

#[test]
fn verif_field_steps_move_by_what_a_technician_can_do() {
    let mut bench = Bench::new(&[]);
    bench.run(Command::Step("both.bearings.lower_offset".into(), 1));
    assert_eq!(bench.app.edits().get("left.bearings.lower_offset").map(String::as_str), Some("1/16 in"));
    bench.run(Command::Step("left.stop_pin.hole".into(), 1));
    assert_eq!(bench.app.edits().get("left.stop_pin.hole").map(String::as_str), Some("3"));
    bench.run(Command::Step("left.stop_pin.hole".into(), 1));
    assert!(bench.app.refused().is_some_and(|r| r.text.contains("1 to 3")));
    bench.run(Command::Reset("both.bearings.lower_offset".into()));
    assert_eq!(bench.app.edits().len(), 1);
    // A choice moves to the next word.
    bench.run(Command::Step("both.brush.spin_sense".into(), 1));
    assert_eq!(bench.app.edits().get("left.brush.spin_sense").map(String::as_str), Some("InboardAtNose"));
    bench.run(Command::Reset("both.brush.spin_sense".into()));
    // By the keys: the chosen setting.
    bench.run(Command::Choose("both.air.cap".into()));
    bench.run(Command::Act(Action::FieldStepUp));
    assert_eq!(bench.app.edits().get("right.air.cap").map(String::as_str), Some("8 psi"));
    bench.run(Command::ResetAll);
    assert!(bench.app.edits().is_empty());
}

#[test]
fn verif_settings_come_in_the_order_of_the_trade() {
    let bench = Bench::new(&[]);
    let settings = bench.app.settings();
    assert!(settings.len() > 15);
    let first: Vec<&str> = settings.iter().take_while(|s| s.first).map(|s| s.path.as_str()).collect();
    assert_eq!(
        first,
        [
            "both.air.cap",
            "both.bearings.lower_offset",
            "both.stop_pin.hole",
            "both.counterweight.mass",
            "line.throughput"
        ]
    );
    let rest = &settings[first.len()..];
    let groups: Vec<_> = rest.iter().filter(|s| s.in_field).map(|s| s.group).collect();
    assert!(rest.iter().skip(groups.len()).all(|s| !s.in_field) && rest.iter().all(|s| !s.first));
    assert!(groups.windows(2).all(|w| w[0] <= w[1]));
    let first: Vec<&str> = {
        let mut names: Vec<&str> = groups.iter().map(|g| g.name()).collect();
        names.dedup();
        names
    };
    assert_eq!(first[..3], ["air", "bearing", "damper"], "the pin and the weight are turned first");
    assert!(settings.iter().all(|s| !s.path.starts_with("left.") && !s.path.starts_with("right.")));
    assert_eq!(bench.app.sides(), Sides::ALL.to_vec());
}

#[test]
fn verif_pins_are_frozen_and_compared_with_what_is_set() {
    let mut bench = Bench::new(&[]);
    bench.run(Command::Pin(Slot::A));
    bench.run(set("both.bearings.lower_offset", "-1/8 in"));
    bench.run(Command::Pin(Slot::B));
    assert_eq!(
        bench.app.pins.get(Slot::B).map(|pin| pin.name.as_str()),
        Some("lower bearing off plumb -1/8 in")
    );
    bench.run(set("both.bearings.lower_offset", "1/8 in"));
    let table = table(&bench.app);
    let heads: Vec<&str> = table.heads.iter().map(|h| h.name.as_str()).collect();
    assert_eq!(heads, ["A", "B", "now"]);
    let gap = table.rows.iter().find(|row| row.measure == MeasureName::TailGap.whole()).expect("a gap");
    assert!(gap.differs);
    let ways: Vec<Change> = gap.changes.iter().map(|(change, _)| *change).collect();
    assert_eq!(ways, [Change::None, Change::Worse, Change::Better]);
    let (a, b) = (bench.app.pins.get(Slot::A), bench.app.pins.get(Slot::B));
    let gap_of = |pin: Option<&crate::window::pins::Pin<SolvedPass>>| {
        MeasureName::TailGap.whole().read(&pin.expect("pinned").record.outcome).value.expect("measured")
    };
    assert!(gap_of(b) > gap_of(a) && gap_of(a) > bench.value(MeasureName::TailGap.whole()));
    // The same set-up pinned again is let go.
    bench.run(Command::Pin(Slot::C));
    bench.run(Command::Pin(Slot::C));
    assert!(bench.app.pins.get(Slot::C).is_none());
    bench.run(Command::Act(Action::UnpinAll));
    assert!(bench.app.pins.is_empty());
}

#[test]
fn verif_pinned_set_ups_share_the_clock() {
    let mut bench = Bench::new(&[]);
    bench.run(Command::Pin(Slot::A));
    bench.run(set("line.throughput", "60 veh/h"));
    bench.run(Command::Time(T::Clock(ClockKind::Position)));
    bench.run(Command::Time(T::GoToTime(20.0)));
    let slow = bench.app.shown().expect("solved").setup.conveyor_speed_m_s;
    let pin = Arc::clone(&bench.app.pins.get(Slot::A).expect("pinned").record);
    let fast = pin.setup.conveyor_speed_m_s;
    assert!((fast / slow - 140.0 / 60.0).abs() < 1e-9);
    assert!((bench.app.pin_time_s(&pin) - 20.0 * slow / fast).abs() < 1e-9);
    // A change keeps the place of the vehicle.
    let nose = bench.app.playback.clock();
    bench.run(set("line.throughput", "80 veh/h"));
    assert!((bench.app.playback.clock() - nose).abs() < 1e-9);
}

#[test]
fn verif_events_are_marks_and_a_click_on_the_map_goes_to_its_moment() {
    let mut bench = Bench::new(&[("both.bearings.lower_offset", "-1/8 in")]);
    let names: Vec<String> = bench.app.playback.marks().iter().map(|m| m.name.clone()).collect();
    assert!(
        names.iter().any(|n| n == "left: tail passes brush")
            && names.iter().any(|n| n == "right: first touch")
    );
    let pass = Arc::clone(bench.app.shown().expect("solved"));
    let bands = &pass.outcome.coverage.bands;
    let find = |touched: bool| {
        bands.iter().enumerate().find_map(|(band, b)| {
            let hit = |s: &crate::coverage::Station| s.judged && (s.contact_s() > 0.0) == touched;
            b.stations.iter().position(hit).map(|station| Spot {
                band,
                station,
                s_m: b.stations[station].s_m,
            })
        })
    };
    let touched = find(true).expect("something was touched");
    bench.run(Command::Spot(touched));
    let cell = &bands[touched.band].stations[touched.station].cells;
    let moments: Vec<f64> = cell.iter().filter_map(|c| c.peak_s).collect();
    assert!(moments.iter().any(|t| (t - bench.app.t_s()).abs() < 1e-9));
    assert!(bench.app.spot().is_some_and(|text| text.contains("washed")));
    if let Some(missed) = find(false) {
        bench.run(Command::Spot(missed));
        assert!(bench.app.spot().is_some_and(|text| text.contains("never reached")));
    }
}

#[test]
fn verif_a_bad_file_leaves_the_last_good_pass_and_a_good_one_keeps_what_was_set() {
    let mut bench = Bench::new(&[]);
    bench.run(set("both.air.cap", "9 psi"));
    let shown = Arc::clone(bench.app.shown().expect("solved"));
    let read = |text: &str| Scenario::read_alone(text, "lane.ron").map(Box::new);
    let bad = read(&LANE.replace("gap: \"6 ft\"", "gap: \"6\""));
    bench.run(Command::Reloaded { path: "lane.ron".into(), read: bad, other: false });
    let trouble = bench.app.file_trouble().expect("told").to_owned();
    assert!(trouble.contains('^') && trouble.contains("needs its unit"), "{trouble}");
    assert!(Arc::ptr_eq(bench.app.shown().expect("kept"), &shown));
    let good = read(&LANE.replace("throughput: \"140 veh/h\"", "throughput: \"60 veh/h\""));
    bench.run(Command::Reloaded { path: "lane.ron".into(), read: good, other: false });
    assert!(bench.app.file_trouble().is_none());
    assert_eq!(bench.app.edits().get("left.air.cap").map(String::as_str), Some("9 psi"));
    let now = bench.app.shown().expect("solved");
    assert!(now.setup.conveyor_speed_m_s < shown.setup.conveyor_speed_m_s);
    // Another file leaves nothing of the old one.
    bench.run(Command::Pin(Slot::A));
    let other = read(LANE);
    bench.run(Command::Reloaded { path: "other.ron".into(), read: other, other: true });
    assert!(bench.app.edits().is_empty() && bench.app.pins.is_empty());
    assert_eq!(bench.app.path(), Path::new("other.ron"));
}

#[test]
fn verif_saving_keeps_comments_and_writes_what_is_set() {
    let mut bench = Bench::new(&[]);
    bench.run(set("both.bearings.lower_offset", "1/8 in"));
    let effects = bench.run(Command::Save("new.ron".into()));
    let [Effect::Write { path, text }] = effects.as_slice() else { panic!("{effects:?}") };
    assert_eq!(path, Path::new("new.ron"));
    assert_eq!(LANE.matches("//").count(), text.matches("//").count());
    assert_eq!(text.matches("lower_offset: \"1/8 in\"").count(), 2);
    let again = Scenario::read_alone(text, "new.ron").expect("good");
    assert_eq!(again.setup(), bench.app.scenario().setup());
}

#[test]
fn verif_a_pass_that_cannot_be_computed_is_told_and_the_last_good_one_stays() {
    let mut bench = Bench::new(&[]);
    let shown = Arc::clone(bench.app.shown().expect("solved"));
    let generation = bench.solver.newest();
    let request = Request {
        scenario: bench.app.scenario().clone(),
        edits: bench.app.edits().clone(),
        step: None,
        reference: None,
        series: false,
    };
    let failed = Solved { generation, request, result: Ok(Err("the vehicle jams the left brush".into())) };
    bench.run(Command::Solved(Box::new(failed)));
    assert_eq!(bench.app.solve_trouble(), Some("the vehicle jams the left brush"));
    assert!(Arc::ptr_eq(bench.app.shown().expect("kept"), &shown));
    bench.run(set("both.air.cap", "8 psi"));
    assert!(bench.app.solve_trouble().is_none());
}

#[test]
fn verif_a_lesson_sets_up_its_steps_whole_and_gives_back_what_was_set() {
    let mut bench = Bench::new(&[("both.air.cap", "8 psi")]);
    let lesson = Arc::new(Lesson::read(LESSON, "lesson.ron").expect("good"));
    bench.run(Command::Lesson(Arc::clone(&lesson)));
    let run = bench.app.lesson().expect("open");
    assert_eq!(run.state.progress(), "1 of 5");
    assert!(run.texts.caption.contains("0 in") && !run.texts.caption.contains('{'), "{}", run.texts.caption);
    assert!(bench.app.edits().is_empty(), "a step starts from the scenario");
    // On: the second step has a pin, a question and its answer.
    let before = Arc::clone(bench.app.shown().expect("solved"));
    bench.start(Command::Act(Action::LessonNext));
    assert!(bench.app.pins.is_empty() && Arc::ptr_eq(bench.app.shown().expect("kept"), &before));
    assert_eq!(
        bench.app.lesson().map(|run| run.texts.heading.as_str()),
        Some("Plumb"),
        "nothing of two steps mixes"
    );
    // What is asked while a step is being set up is left out.
    bench.start(set("both.air.cap", "3 psi"));
    bench.wait();
    assert_eq!(bench.app.edits().len(), 2);
    assert_eq!(bench.app.pins.get(Slot::A).map(|pin| pin.name.as_str()), Some("plumb"));
    assert_eq!(bench.app.views.column, Column::Why);
    assert_eq!(bench.app.playback.kind(), ClockKind::Position);
    let pass = bench.app.shown().expect("solved");
    let tail = pass.outcome.units[0].time_of(crate::coverage::EventName::TailPasses).expect("passes");
    assert!((bench.app.t_s() - tail - 0.8).abs() < 1e-9);
    bench.run(Command::Act(Action::LessonNext));
    assert!(bench.app.lesson().is_some_and(|run| run.state.answer_shown() && run.state.at() == 1));
    let inches = bench.app.lesson().map(|run| run.texts.answer.clone()).expect("an answer");
    bench.run(Command::Act(Action::Units));
    let metres = bench.app.lesson().map(|run| run.texts.answer.clone()).expect("an answer");
    assert!(inches.contains(" in") && metres.contains(" mm"), "{inches} {metres}");
    bench.run(Command::LessonStep(3));
    assert_eq!(bench.app.pins.iter().count(), 2);
    bench.run(Command::CloseLesson);
    assert!(bench.app.lesson().is_none() && bench.app.pins.is_empty());
    assert_eq!(bench.app.edits().get("left.air.cap").map(String::as_str), Some("8 psi"));
}

#[test]
fn verif_a_lesson_that_does_not_fit_is_told_with_its_place() {
    let mut bench = Bench::new(&[]);
    let wrong = LESSON.replace("{tail_washed}", "{tail_wash}");
    let lesson = Lesson::read(&wrong, "lesson.ron").expect("well formed");
    bench.run(Command::Lesson(Arc::new(lesson)));
    assert!(bench.app.lesson().is_none());
    let told = bench.app.told().expect("told");
    assert!(told.contains("{tail_wash}") && told.contains("^") && told.contains("tail_washed"), "{told}");
}

#[test]
fn verif_every_action_leaves_a_state_that_can_be_shown() {
    let mut bench = Bench::new(&[]);
    bench.app.set_page(Rect::new(0.0, 0.0, 600.0, 400.0));
    for shortcut in crate::window::keys::SHORTCUTS {
        bench.run(Command::Act(shortcut.action));
        let [low, high] = bench.app.playback.clock_range();
        assert!(bench.app.playback.clock() >= low && bench.app.playback.clock() <= high);
        assert!(bench.app.camera.frame().scale_per_m.is_finite());
        assert!(bench.app.shown().is_some());
    }
    assert!(bench.app.theme == Theme::Dark && bench.app.units == UnitSystem::Si);
}

#[test]
fn verif_only_what_a_hand_turns_asks_for_care() {
    let mut bench = Bench::new(&[]);
    assert!(!bench.app.touches_machine());
    bench.run(set("line.throughput", "120 veh/h"));
    bench.run(set("vehicle.lateral_offset", "2 in"));
    assert!(!bench.app.touches_machine(), "{:?}", bench.app.edits());
    bench.run(set("left.stop_pin.hole", "3"));
    assert!(bench.app.touches_machine());
    bench.run(Command::Reset("left.stop_pin.hole".to_owned()));
    assert!(!bench.app.touches_machine());
}

#[test]
fn verif_the_dump_has_one_key_a_line() {
    let mut bench = Bench::new(&[("left.air.cap", "8 psi")]);
    bench.run(Command::Pin(Slot::B));
    let spots = Spots::from([("timeline".to_owned(), [1.0, 2.0, 3.4, 4.0])]);
    let text = dump(&bench.app, &spots, &Timing::default());
    for line in [
        "  \"edit:left.air.cap\": \"8 psi\",",
        "  \"pins\": \"B\",",
        "  \"at:timeline\": \"1 2 3 4\",",
        "  \"solving\": false,",
    ] {
        assert!(text.lines().any(|l| l == line), "{line} in {text}");
    }
    assert_eq!(text, dump(&bench.app, &spots, &Timing::default()));
}

mod desk;
mod hand;
mod present;
