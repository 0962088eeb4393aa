//! The composed page and the why picture.

use crate::demo::{pins, solve, solve_vehicle};
use crate::{assert_legible, item, keys, leave};
use brusharm::coverage::{EventName, Phase, explain};
use brusharm::drawing::picture::{PictureOptions, headline_text, key_instant, pass_picture};
use brusharm::drawing::why::{WhyOptions, why_picture};
use brusharm::sentences::why;
use brusharm::units::UnitSystem;
use brusharm::vehicle::fleet;

#[test]
fn verif_the_page_holds_every_criterion_with_number_and_limit() {
    for (spec, units, width) in [
        (fleet::sedan(), UnitSystem::Us, 1280.0),
        (fleet::pickup(), UnitSystem::Si, 1280.0),
        (fleet::minivan(), UnitSystem::Us, 800.0),
        (fleet::large_suv(), UnitSystem::Si, 1920.0),
    ] {
        let solved = solve_vehicle(&spec, 120.0, 0.0);
        let mut options = PictureOptions::new(units);
        (options.width, options.stop_pins, options.name) = (width, pins(), "ferry return".to_owned());
        let list = pass_picture(&solved, &[], &options);
        leave(&format!("page-{}", spec.name.replace(' ', "-")), &list);
        assert_legible(&spec.name, &list);
        let keys = keys(&list);
        assert!(solved.outcome.verdicts.len() > 15);
        for line in &solved.outcome.verdicts {
            assert!(keys.contains(&format!("criterion:{}", line.key())), "{}", line.key());
        }
        let gaps = keys.iter().filter(|k| k.starts_with("gap:")).count();
        assert_eq!(gaps, solved.outcome.gaps.len());
        let (_, headline) = headline_text(&solved.outcome, units).unwrap();
        assert_eq!(list.description, headline);
        item(&list, "headline");
        assert!(list.texts().iter().any(|t| t.text.contains("lock out and tag out")));
    }
}

#[test]
fn verif_the_key_instant_is_when_the_tail_is_being_lost() {
    let solved = solve(140.0, -0.003175);
    let t = key_instant(&solved.setup, &solved.record, &solved.outcome, &solved.settings);
    // One of the two brushes is at the tail or on its way there.
    let at_tail = |unit: &brusharm::coverage::UnitTiming| {
        let (passes, lost) =
            (unit.time_of(EventName::TailPasses).unwrap(), unit.time_of(EventName::LostTail).unwrap());
        t > passes && t <= lost + 0.1
    };
    let unit = solved.outcome.units.iter().position(at_tail).expect("a brush at the tail");
    let said = &explain(&solved.setup, &solved.record, t)[unit..];
    assert!(matches!(said[0].phase, Phase::Tail | Phase::Chasing), "{:?}", said[0].phase);
    let sentence = why(&said[0], UnitSystem::Us);
    assert!(sentence.starts_with("The tail leaves at "), "{sentence}");
    assert!(sentence.contains(" brush swings in at "), "{sentence}");
}

#[test]
fn verif_every_phase_of_a_pass_has_its_sentence() {
    let solved = solve(60.0, 0.0);
    let mut phases: Vec<Phase> = Vec::new();
    let mut t = solved.record.start_s;
    while t < solved.record.end_s {
        for said in explain(&solved.setup, &solved.record, t) {
            let sentence = why(&said, UnitSystem::Si);
            assert!(sentence.ends_with('.') && sentence.len() > 30, "{sentence}");
            assert!(!sentence.contains("NaN") && !sentence.contains('–'), "{sentence}");
            if !phases.contains(&said.phase) {
                phases.push(said.phase);
            }
        }
        t += 0.1;
    }
    for phase in [Phase::Waiting, Phase::Nose, Phase::Side, Phase::Tail] {
        assert!(phases.contains(&phase), "{phase:?} never came: {phases:?}");
    }
}

#[test]
fn verif_the_why_picture_shows_every_torque_that_acts_and_their_sum() {
    let solved = solve(120.0, 0.003175);
    for event in [EventName::FirstTouch, EventName::NoseCorner, EventName::TailCorner, EventName::Bumper] {
        let t = solved.outcome.units[0].time_of(event).unwrap() + 0.05;
        for said in explain(&solved.setup, &solved.record, t) {
            let list = why_picture(&said, &WhyOptions::new(420.0, 360.0, UnitSystem::Us));
            assert_legible(&format!("why {}", event.name()), &list);
            let texts: Vec<String> = list.texts().iter().map(|t| t.text.clone()).collect();
            for (name, torque) in said.instant.budget.causes() {
                let shown = texts.iter().any(|t| t == name);
                assert_eq!(shown, torque.abs() >= 0.05, "{name} {torque}");
            }
            assert!(texts.iter().any(|t| t == "sum"));
            if event == EventName::TailCorner && said.side == brusharm::arm::Side::Left {
                leave("why", &list);
            }
        }
    }
}
