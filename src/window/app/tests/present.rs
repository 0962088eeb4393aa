//! The presentation view: banner, two set-ups, steps that play by themselves, guesses, the card at the end.

use super::*;
use crate::drawing::close_up::CloseUp;
use crate::window::app::guess::Guess;
use crate::window::app::present::{CHASE_SPEED, Chosen};

const FAULTS: &str = include_str!("../../../../scenarios/lessons/7-find-the-fault.ron");

fn lesson(text: &str) -> Command {
    Command::Lesson(Arc::new(Lesson::read(text, "lesson.ron").expect("good")))
}

fn act(action: Action) -> Command {
    Command::Act(action)
}

fn did(bench: &Bench) -> String {
    bench.app.banner().expect("a banner").did()
}

#[test]
fn verif_the_banner_says_what_was_turned_and_what_the_measure_did() {
    let mut bench = Bench::new(&[]);
    bench.run(act(Action::Present));
    let banner = bench.app.banner().expect("a banner");
    assert_eq!((banner.turned.as_str(), banner.chosen), ("as in the file", Chosen::Decides));
    assert!(!banner.values.contains('→') && bench.app.close_up().is_none());
    let before = bench.value(MeasureName::TailGap.whole());
    bench.run(set("both.bearings.lower_offset", "1/8 in"));
    let after = bench.value(MeasureName::TailGap.whole());
    let banner = bench.app.banner().expect("a banner");
    assert_eq!(banner.turned, "lower bearing off plumb +1/8 in");
    assert_eq!((banner.measure, banner.chosen), (MeasureName::TailGap.whole(), Chosen::ChangedMost));
    // The numbers are those of the two passes, to the tenth of an inch.
    let inches = |m: f64| crate::drawing::words::rounded(m / 0.0254, 1);
    assert_eq!(did(&bench), format!("gap on the tail {} → {} in, better", inches(before), inches(after)));
    assert_eq!(banner.names, "file → now");
    let Some(CloseUp::Bearings { before_m, now_m, .. }) = bench.app.close_up() else { panic!("bearings") };
    assert!((now_m[1] - before_m[1] - 0.003175).abs() < 1e-12 && now_m[0] == before_m[0]);
    // In other units, and of a measure that is chosen.
    bench.run(act(Action::Units));
    let si = bench.app.banner().expect("a banner");
    assert!(si.turned.ends_with("+3.2 mm") && si.values.ends_with(" mm"), "{si:?}");
    bench.run(act(Action::Units));
    bench.run(Command::PresentMeasure(Some(MeasureName::ChaseDelay.of(Side::Left))));
    assert!(did(&bench).starts_with("chase delay, left "), "{}", did(&bench));
    bench.run(Command::PresentMeasure(None));
    // The wrong way is worse, with the true minus sign.
    bench.run(set("both.bearings.lower_offset", "-1/8 in"));
    assert!(bench.app.banner().is_some_and(|b| b.turned == "lower bearing off plumb −1/8 in"));
    assert!(did(&bench).ends_with(", worse"), "{}", did(&bench));
    // A verdict that turns is told before anything else.
    let recovers = MeasureName::RecoveryMargin.of(Side::Left);
    let verdict = |bench: &Bench| recovers.read(&bench.app.shown().expect("solved").outcome).verdict;
    bench.run(Command::ResetAll);
    let before = verdict(&bench);
    bench.run(set("both.air.cap", "9 psi"));
    bench.run(set("left.stop_pin.hole", "3"));
    assert_ne!(verdict(&bench), before);
    let banner = bench.app.banner().expect("a banner");
    assert_eq!((banner.measure, banner.chosen), (recovers, Chosen::VerdictTurned));
    bench.run(act(Action::Close));
    assert!(!bench.app.present.on, "Escape leaves it");
}

#[test]
fn verif_a_set_up_changed_before_is_held_against_the_file() {
    let mut bench = Bench::new(&[("both.air.cap", "9 psi")]);
    assert!(bench.app.beside().0.is_none(), "the file was not solved yet");
    bench.run(act(Action::Present));
    let (before, after) = bench.app.beside();
    assert_eq!(before.expect("the file, solved").pass.scenario.setup(), lane().setup());
    assert_eq!(after.expect("shown").pass.edits.len(), 2);
    let Some(CloseUp::Gauge { words, before, now, .. }) = bench.app.close_up() else { panic!("a gauge") };
    assert_eq!(words, "7 → 9 psi");
    assert!((before / now - 7.0 / 9.0).abs() < 1e-9, "{before} {now}");
    bench.run(Command::ResetAll);
    bench.run(set("left.stop_pin.hole", "3"));
    assert_eq!(bench.app.close_up(), Some(CloseUp::Holes { count: 3, before: 2, now: 3 }));
    // Another text of the file is another file to hold against.
    let good = LANE.replace("throughput: \"140 veh/h\"", "throughput: \"120 veh/h\"");
    let read = Scenario::read_alone(&good, "lane.ron").map(Box::new);
    bench.run(Command::Reloaded { path: "lane.ron".into(), read, other: false });
    let before = bench.app.beside().0.expect("solved again");
    assert!((before.pass.setup.conveyor_speed_m_s - lane().setup().conveyor_speed_m_s).abs() > 1e-3);
    assert_eq!(bench.app.banner().expect("a banner").turned, "left: hole of the stop pin 2 → 3");
}

#[test]
fn verif_two_set_ups_stand_at_one_place_of_the_clock() {
    let mut bench = Bench::new(&[]);
    bench.run(Command::Pin(Slot::A));
    bench.run(set("line.throughput", "100 veh/h"));
    bench.run(act(Action::TwoPlans));
    assert!(bench.app.present.on && bench.app.present.two_plans, "the key opens the view");
    bench.run(Command::Time(T::Clock(ClockKind::Position)));
    bench.run(Command::Time(T::GoToTime(25.0)));
    let (Some(a), Some(now)) = bench.app.beside() else { panic!("two") };
    assert_eq!((a.name.as_str(), now.name.as_str()), ("A", "now"));
    let place = |own: &crate::window::app::present::Named| {
        bench.app.time_of_s(own) * own.pass.setup.conveyor_speed_m_s
    };
    assert!((place(&a) - place(&now)).abs() < 1e-9);
    bench.run(Command::Time(T::Clock(ClockKind::Time)));
    let (Some(a), Some(now)) = bench.app.beside() else { panic!("two") };
    assert!((bench.app.time_of_s(&a) - bench.app.time_of_s(&now)).abs() < 1e-9);
    // What is pinned as B is B; back at the file A and B are the two.
    bench.run(Command::Pin(Slot::B));
    assert_eq!(bench.app.banner().expect("a banner").names, "A → B");
    bench.run(Command::ResetAll);
    assert_eq!(bench.app.banner().expect("a banner").names, "A → B");
    bench.run(set("both.air.cap", "9 psi"));
    assert_eq!(bench.app.banner().expect("a banner").names, "A → now");
    bench.run(act(Action::TwoPlans));
    assert!(bench.app.present.on && !bench.app.present.two_plans);
}

#[test]
fn verif_a_step_plays_by_itself_and_rests_where_its_texts_speak_of() {
    let mut bench = Bench::new(&[]);
    bench.run(act(Action::Present));
    bench.run(lesson(LESSON));
    let stretch = bench.app.playback.stretch().expect("it plays");
    assert!(bench.app.playback.playing() && stretch.speed == CHASE_SPEED);
    let pass = Arc::clone(bench.app.shown().expect("solved"));
    let passes = |name| pass.outcome.units.iter().filter_map(move |u| u.time_of(name));
    let first = passes(crate::coverage::EventName::TailPasses).fold(f64::INFINITY, f64::min);
    assert!((stretch.from_s - first.min(pass.key_instant_s())).abs() < 1e-9);
    let shown_s = first.max(f64::MIN) + 0.8;
    bench.run(Command::Advance(1.0));
    assert!((bench.app.t_s() - stretch.from_s - 0.25).abs() < 1e-9);
    for _ in 0..400 {
        bench.run(Command::Advance(0.1));
    }
    let left = pass.outcome.units[0].time_of(crate::coverage::EventName::TailPasses).expect("passes");
    assert!(!bench.app.playback.playing() && (bench.app.t_s() - left - 0.8).abs() < 1e-9, "{shown_s}");
    assert_eq!(bench.app.playback.speed(), 1.0);
    // Outside the view it stands still.
    bench.run(act(Action::Present));
    bench.run(act(Action::LessonNext));
    assert!(!bench.app.playback.playing());
}

#[test]
fn verif_a_class_guesses_before_the_answer_and_sees_a_card_at_the_end() {
    let mut bench = Bench::new(&[]);
    bench.run(lesson(LESSON));
    bench.run(act(Action::Present));
    // A presenter's keys: arrows, Home and End go through the steps.
    bench.run(act(Action::StepForward));
    assert_eq!(bench.app.lesson().map(|run| run.state.progress()).as_deref(), Some("2 of 5"));
    assert!(bench.app.answer_hidden() && bench.app.map_covered());
    assert_eq!(did(&bench), "gap on the tail 4.5 in → ?");
    assert!(!bench.app.playback.playing(), "nothing is shown before the guess");
    assert_eq!(bench.app.right_guess(), Some(Guess::Less));
    bench.run(Command::TakeGuess(Guess::More));
    bench.run(Command::TakeGuess(Guess::Less));
    bench.run(act(Action::StepForward));
    assert!(!bench.app.answer_hidden() && !bench.app.map_covered() && bench.app.playback.playing());
    assert_eq!(did(&bench), "gap on the tail 4.5 → 0.0 in, better");
    // A guess after the answer is none.
    bench.run(Command::TakeGuess(Guess::More));
    assert_eq!(bench.app.present.guess(1), Some(Guess::Less));
    bench.run(act(Action::StepForward));
    bench.run(Command::TakeGuess(Guess::Same));
    bench.run(act(Action::ToEnd));
    assert_eq!(bench.app.lesson().map(|run| run.state.at()), Some(4));
    assert!(!bench.app.map_covered(), "this step is about the map");
    bench.run(act(Action::LessonNext));
    assert!(!bench.app.present.recap, "first the answer");
    bench.run(act(Action::LessonNext));
    assert!(bench.app.present.recap);
    let card = bench.app.recap();
    assert_eq!(card.len(), 5);
    assert!(card[0].starts_with("1  Plumb: gap on the tail 4.5 in"), "{card:?}");
    assert!(card[1].ends_with("4.5 → 0.0 in; guessed less: right"), "{card:?}");
    assert!(card[2].ends_with("; guessed about the same: not so"), "{card:?}");
    assert!(card[3].ends_with("not shown"), "{card:?}");
    bench.run(act(Action::StepBack));
    assert!(!bench.app.present.recap);
    assert_eq!(bench.app.lesson().map(|run| run.state.at()), Some(4));
    bench.run(act(Action::ToStart));
    assert_eq!(bench.app.lesson().map(|run| run.state.at()), Some(0));
    bench.run(Command::CloseLesson);
    assert!(bench.app.recap().is_empty() && bench.app.present.guess(1).is_none());
}

#[test]
fn verif_a_question_about_no_measure_is_not_guessed_and_hides_nothing() {
    let mut bench = Bench::new(&[]);
    bench.run(act(Action::Present));
    bench.run(lesson(FAULTS));
    bench.run(act(Action::LessonNext));
    assert!(bench.app.lesson().is_some_and(|run| run.state.waits_for_answer()));
    assert!(!bench.app.answer_hidden() && bench.app.guessed_about().is_none());
    bench.run(Command::TakeGuess(Guess::More));
    assert!(bench.app.present.guess(1).is_none());
    // A pass with a fault in it is not the file as it is, though nothing was turned.
    let banner = bench.app.banner().expect("a banner");
    assert_eq!(
        (banner.turned.as_str(), banner.names.as_str()),
        ("nothing turned: a fault is hidden", "A → now")
    );
    assert!(bench.app.close_up().is_none());
}
