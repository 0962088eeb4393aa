//! The desk's state: what a study is of, what is stale, what is stopped.

use super::*;
use crate::window::app::desk::ask::{StudyAnswer, StudyAsked, study};
use crate::window::app::desk::{DeskCommand, Page, Run, StudyKind};

fn act(action: Action) -> Command {
    Command::Act(action)
}

fn desk(command: DeskCommand) -> Command {
    Command::Desk(command)
}

/// What is asked of the background.
fn asked(effects: Vec<Effect>) -> StudyAsked {
    let study = effects.into_iter().find_map(|effect| match effect {
        Effect::Study(asked) => Some(*asked),
        _ => None,
    });
    study.expect("a study")
}

fn run(bench: &mut Bench, kind: StudyKind) -> StudyAsked {
    asked(bench.app.command(desk(DeskCommand::Run(kind))))
}

fn back(bench: &mut Bench, asked: StudyAsked, answer: Result<StudyAnswer, String>) {
    bench.run(desk(DeskCommand::Studied(Box::new(asked), answer)));
}

#[test]
fn verif_an_answer_belongs_to_what_was_asked_last() {
    let mut bench = Bench::new(&[]);
    bench.run(desk(DeskCommand::Page(Page::Throughput)));
    bench.run(desk(DeskCommand::Over("100,150".into())));
    assert!(bench.app.lags(StudyKind::Curve));
    let first = run(&mut bench, StudyKind::Curve);
    assert!(!bench.app.lags(StudyKind::Curve), "it is under way");
    // Another throughput is no reason to ask again, another pressure is.
    bench.run(set("line.throughput", "120 veh/h"));
    assert!(!bench.app.lags(StudyKind::Curve));
    bench.run(set("both.air.cap", "8 psi"));
    assert!(bench.app.lags(StudyKind::Curve));
    let second = run(&mut bench, StudyKind::Curve);
    assert!(first.job.is_stopped() && !second.job.is_stopped(), "the older one is ended");
    let late = study(&first, &|| {});
    back(&mut bench, first, late);
    assert!(bench.app.desk.curve.found.is_none(), "an answer to something older");
    let answer = study(&second, &|| {});
    assert_eq!(second.job.progress(), (2, 2));
    back(&mut bench, second, answer);
    let (curve, _) = bench.app.desk.curve.found.clone().expect("a curve");
    assert_eq!(curve.swept.rows.len(), 2);
    assert!(!bench.app.is_stale(StudyKind::Curve) && !bench.app.lags(StudyKind::Curve));
    bench.run(act(Action::Undo));
    assert!(bench.app.is_stale(StudyKind::Curve), "it is of 8 psi");
    // The file read again: what was found is of no more use.
    let file = std::path::PathBuf::from("lane.ron");
    bench.run(Command::Reloaded { path: file, read: Ok(Box::new(lane())), other: false });
    assert!(bench.app.desk.curve.found.is_none());
    assert_eq!(bench.app.desk.over, "100,150", "what was typed stays");
}

/// The edge of the measure is that of the passes about it: just under it the limit is kept, at it not.
#[test]
fn verif_where_the_tail_fails_is_where_passes_begin_to_fail() {
    let mut bench = Bench::new(&[]);
    bench.run(desk(DeskCommand::Over("120..180:20".into())));
    let one = run(&mut bench, StudyKind::Curve);
    let answer = study(&one, &|| {});
    back(&mut bench, one, answer);
    let (curve, _) = bench.app.desk.curve.found.clone().expect("a curve");
    let meets = &curve.of_measure.as_ref().expect("the scenario limits it").meets;
    let beyond = meets.beyond.as_ref().expect("it fails somewhere").throughput_per_s;
    let kept = meets.throughput_per_s.expect("it is kept somewhere");
    assert!(3600.0 * (beyond - kept) < 0.100_1, "{kept} {beyond}");
    let measure = MeasureName::TailGap.whole();
    let verdict = |per_s: f64| {
        let at = lane().with(&[("line.throughput", format!("{:.1} veh/h", 3600.0 * per_s))]).expect("holds");
        crate::study::point::evaluate(&at).reading(measure).and_then(|reading| reading.verdict)
    };
    assert_eq!(verdict(beyond), Some(crate::coverage::Verdict::Fail));
    assert!(verdict(kept).is_some_and(|verdict| verdict != crate::coverage::Verdict::Fail));
    let said = bench.app.desk_said();
    let rate = crate::units::format(
        <crate::units::ThroughputDim as crate::units::Dimension>::INFO,
        beyond,
        UnitSystem::Us,
    );
    assert!(said[0].contains(&format!("fails from {rate} on")), "{said:?}");
}

#[test]
fn verif_a_study_that_is_stopped_keeps_what_it_has_and_says_so() {
    let mut bench = Bench::new(&[]);
    bench.run(desk(DeskCommand::Over("100..140:10".into())));
    let one = run(&mut bench, StudyKind::Curve);
    let job = Arc::clone(&one.job);
    let seen = std::sync::atomic::AtomicU64::new(0);
    let answer = study(&one, &|| {
        if seen.fetch_add(1, std::sync::atomic::Ordering::Relaxed) == 2 {
            job.stop();
        }
    });
    back(&mut bench, one, answer);
    let (curve, _) = bench.app.desk.curve.found.clone().expect("part of a curve");
    assert!(curve.swept.is_stopped() && curve.highest.is_none() && curve.of_measure.is_none());
    let said = bench.app.desk_said();
    let want = format!("Stopped after {} of 5 throughputs", curve.swept.rows.len());
    assert!(said[0].starts_with(&want), "{said:?}");
    assert!(!bench.app.lags(StudyKind::Curve), "it is not run again by itself");
    // A table that lacks steps would rank wrongly: there is none.
    let steps = run(&mut bench, StudyKind::Steps);
    bench.run(desk(DeskCommand::Stop(StudyKind::Steps)));
    let answer = study(&steps, &|| {});
    back(&mut bench, steps, answer);
    assert!(matches!(bench.app.desk.run(StudyKind::Steps), Run::Stopped(_)));
    assert!(bench.app.desk.steps.found.is_none() && !bench.app.lags(StudyKind::Steps));
}

/// The band holds the middle of its draws; it is told how many of them there are and where the first miss the limit.
#[test]
fn verif_the_band_of_what_spreads() {
    let mut bench = Bench::new(&[]);
    bench.run(desk(DeskCommand::Over("120,170".into())));
    let band = run(&mut bench, StudyKind::Band);
    let answer = study(&band, &|| {});
    assert_eq!(band.job.progress(), (120, 120));
    back(&mut bench, band, answer);
    let (band, _) = bench.app.desk.band.found.clone().expect("a band");
    let quantiles: Vec<[f64; 3]> = band.points.iter().filter_map(|point| point.quantiles).collect();
    assert!(quantiles.len() == 2 && quantiles.iter().all(|q| q[0] <= q[1] && q[1] <= q[2]));
    assert!(quantiles[1][2] > quantiles[1][0], "it has a width: {quantiles:?}");
    let said = bench.app.desk_said().join(" ");
    assert!(said.contains("90 % of 60 passes") && said.contains("10 things"), "{said}");
    assert!(said.contains("At 170 veh/h the first of them miss the limit"), "{said}");
}

#[test]
fn verif_the_foam_station_follows_what_is_set() {
    let mut bench = Bench::new(&[]);
    assert!(!bench.app.lags(StudyKind::Foam), "without a station there is nothing to run");
    let foam = include_str!("../../../../scenarios/ferry-foam.ron");
    let foam = Scenario::read_alone(foam, "foam.ron").expect("good");
    bench.run(Command::Reloaded { path: "foam.ron".into(), read: Ok(Box::new(foam)), other: true });
    let one = run(&mut bench, StudyKind::Foam);
    let answer = study(&one, &|| {});
    back(&mut bench, one, answer);
    let (found, _) = bench.app.desk.foam.found.clone().expect("the station");
    assert!(found.text.contains("expansion") && found.map.texts().len() > 20);
    let setting =
        bench.app.settings().into_iter().find(|s| s.path.starts_with("foam.") && s.step_si().is_some());
    bench.run(Command::Step(setting.expect("it can be turned").path, 1));
    assert!(bench.app.lags(StudyKind::Foam) && bench.app.is_stale(StudyKind::Foam));
}

/// A lesson may hide what is wrong: it has neither desk nor command.
#[test]
fn verif_a_lesson_has_no_desk() {
    let mut bench = Bench::new(&[]);
    bench.run(act(Action::Desk));
    assert!(bench.app.desk.open);
    bench.run(Command::Lesson(Arc::new(Lesson::read(LESSON, "lesson.ron").expect("good"))));
    assert!(!bench.app.desk.open);
    bench.run(act(Action::Desk));
    assert!(!bench.app.desk.open && bench.app.told().is_some_and(|told| told.contains("no desk")));
    assert!(bench.run(act(Action::CopyCommand)).is_empty());
}

/// The usual values of every setting make an axis that a sweep takes.
#[test]
fn verif_the_usual_values_of_every_setting_hold() {
    let lane = lane();
    let settings = crate::window::app::desk::map_settings(&lane);
    assert!(settings.len() > 40 && settings[0].path == "line.throughput");
    for setting in settings {
        for units in [UnitSystem::Us, UnitSystem::Si] {
            let values = crate::window::app::desk::usual_values(&lane, &setting, units);
            let axis = crate::study::sweep::setting_axis(&lane, &setting.path, &values);
            let axis = axis.unwrap_or_else(|refused| panic!("{}={values}: {refused}", setting.path));
            let count = axis.count();
            assert!(count.is_some_and(|count| (1..=24).contains(&count)), "{}={values}", setting.path);
            let trade = ["in", "ft", "psi", "lb", "lbf", "ft/min", "gpm", "°F"];
            assert!(units == UnitSystem::Us || !trade.contains(&axis.unit()), "{}={values}", setting.path);
        }
    }
}
