//! The presentation view as it is painted: letters that the back row reads, a map that is seen, nothing cut and nothing printed over.

use crate::bench::{Bench, harness};
use brusharm::drawing::Theme;
use brusharm::scenario::lesson::Lesson;
use brusharm::units::UnitSystem;
use brusharm::window::app::command::Command;
use brusharm::window::app::guess::Guess;
use brusharm::window::keys::Action;
use brusharm::window::pins::Slot;
use egui::{Key, Rect, Shape};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::sync::Arc;

const SIZES: [(f32, f32); 3] = [(1920.0, 1080.0), (1280.0, 800.0), (1024.0, 700.0)];
const FOAM: &str = include_str!("../../scenarios/ferry-foam.ron");
const LESSONS: [&str; 7] = [
    include_str!("../../scenarios/lessons/1-eighth-inch.ron"),
    include_str!("../../scenarios/lessons/2-stop-pin.ron"),
    include_str!("../../scenarios/lessons/3-air-first.ron"),
    include_str!("../../scenarios/lessons/4-spin-sense.ron"),
    include_str!("../../scenarios/lessons/5-throughput.ron"),
    include_str!("../../scenarios/lessons/6-foam-and-friction.ron"),
    include_str!("../../scenarios/lessons/7-find-the-fault.ron"),
];

fn spot(harness: &Harness<'_, Bench>, name: &str) -> Rect {
    let spots = &harness.state().memory.spots;
    let [x, y, w, h] = *spots.get(name).unwrap_or_else(|| panic!("no «{name}» in {:?}", spots.keys()));
    Rect::from_min_size(egui::pos2(x, y), egui::vec2(w, h))
}

/// Size and box of every text that was painted, by egui's own layout.
fn painted(harness: &Harness<'_, Bench>) -> Vec<(String, f32, Rect, Rect)> {
    fn look(shape: &Shape, clip: Rect, found: &mut Vec<(String, f32, Rect, Rect)>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| look(shape, clip, found)),
            Shape::Text(text) if !text.galley.text().trim().is_empty() => {
                let sizes = text.galley.job.sections.iter().map(|section| section.format.font_id.size);
                let size = sizes.fold(f32::INFINITY, f32::min);
                found.push((text.galley.text().to_owned(), size, text.visual_bounding_rect(), clip));
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    harness.output().shapes.iter().for_each(|own| look(&own.shape, own.clip_rect, &mut found));
    found
}

/// What must hold of every picture of the presentation view at this size of the window.
fn check(harness: &Harness<'_, Bench>, (width, height): (f32, f32), what: &str) {
    let least = 28.0 * height / 1080.0;
    let texts = painted(harness);
    assert!(texts.len() > 8, "{what}: {texts:?}");
    for (text, size, place, clip) in &texts {
        assert!(*size >= least - 1e-3, "{what} at {width}×{height}: «{text}» is {size}, not {least}");
        assert!(
            clip.expand(1.0).contains_rect(*place),
            "{what} at {width}×{height}: «{text}» is cut: {place:?} {clip:?}"
        );
    }
    // What the window says of itself for tests from outside is the same.
    let own = &harness.state().app.present.letters;
    assert!(own.cut.is_empty() && own.smallest >= least - 1e-3, "{what}: {own:?}");
}

fn turned() -> Bench {
    let mut bench = Bench::new();
    bench.run(Command::Set("both.bearings.lower_offset".into(), "1/8 in".into()));
    bench.run(Command::Act(Action::Present));
    bench
}

#[test]
fn verif_the_back_row_reads_every_letter_and_sees_the_map() {
    for size in SIZES {
        for (si, dark, two) in [(false, false, false), (true, true, false), (false, true, true)] {
            let mut bench = turned();
            if si {
                bench.app.units = UnitSystem::Si;
            }
            if dark {
                bench.app.theme = Theme::Dark;
            }
            bench.app.present.two_plans = two;
            let mut harness = harness(bench, size.0, size.1);
            let what = format!("si {si}, dark {dark}, two plans {two}");
            check(&harness, size, &what);
            let map = spot(&harness, "present:map");
            assert!(map.height() >= 0.2 * size.1 - 0.6, "{what}: {map:?} at {size:?}");
            assert!(map.width() > 0.25 * size.0 && size.1 < 1080.0 || map.height() >= 200.0);
            // While it plays, and at other instants.
            for share in [0.1, 0.5, 0.9] {
                let app = &mut harness.state_mut().app;
                let [start, end] = app.playback.clock_range();
                let at = start + share * (end - start);
                app.command(Command::Time(brusharm::window::playback::Command::Scrub(at)));
                harness.run_steps(3);
                check(&harness, size, &format!("{what} at {share} of the clock"));
            }
        }
    }
}

/// Every measure under two plan views, and the keys in front: whatever is chosen stays whole.
#[test]
fn verif_long_measures_and_the_keys_are_whole() {
    for size in SIZES {
        let mut bench = turned();
        bench.app.present.two_plans = true;
        let mut harness = harness(bench, size.0, size.1);
        for measure in brusharm::coverage::measure::ALL {
            harness.state_mut().run(Command::PresentMeasure(Some(measure)));
            harness.run_steps(2);
            check(&harness, size, &measure.key());
        }
        harness.key_press(Key::Questionmark);
        harness.run_steps(5);
        let help = spot(&harness, "help");
        let screen = Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(size.0, size.1));
        assert!(screen.expand(1.0).contains_rect(help), "{help:?} at {size:?}");
    }
}

#[test]
fn verif_the_banner_has_capitals_of_forty_pixels_at_1080() {
    let harness = harness(turned(), 1920.0, 1080.0);
    let texts = painted(&harness);
    let of = |start: &str| texts.iter().find(|(text, ..)| text.starts_with(start)).expect("in the banner");
    for line in ["lower bearing off plumb +1/8 in", "gap on the tail 4.5 → 0.0 in, better"] {
        let (_, size, place, _) = of(line);
        // A capital is 2048 of 2816 units of the shipped font high.
        let capital = f64::from(*size) * brusharm::drawing::text_width::CAP_HEIGHT_EM;
        assert!((39.0..=41.0).contains(&capital), "{line}: {capital}");
        assert!(spot(&harness, "present:banner").contains_rect(*place));
    }
    let (banner, close_up) = (spot(&harness, "present:banner"), spot(&harness, "present:close-up"));
    assert!(banner.contains_rect(close_up) && close_up.right() > 0.97 * banner.right(), "in its corner");
}

#[test]
fn verif_settings_strips_and_pins_are_hidden_and_come_back() {
    let mut harness = harness(turned(), 1280.0, 800.0);
    let hidden = ["settings", "column", "strips", "timeline", "pin:A"];
    for name in hidden {
        assert!(!harness.state().memory.spots.contains_key(name), "{name}");
    }
    assert!(spot(&harness, "plan").height() > 0.5 * 800.0);
    harness.key_press(Key::Escape);
    harness.run_steps(4);
    for name in hidden {
        assert!(harness.state().memory.spots.contains_key(name) || name == "strips", "{name}");
    }
    harness.key_press(Key::P);
    harness.run_steps(4);
    assert!(harness.state().app.present.on);
    harness.get_by_label("leave").click();
    harness.run_steps(4);
    assert!(!harness.state().app.present.on);
}

#[test]
fn verif_every_step_of_every_shipped_lesson_is_whole() {
    for (index, text) in LESSONS.into_iter().enumerate() {
        let lesson = Arc::new(Lesson::read(text, "lesson.ron").expect("good"));
        for size in SIZES {
            let foam = lesson.file.scenario.contains("ferry-foam");
            let mut bench = if foam { Bench::of(FOAM) } else { Bench::new() };
            bench.run(Command::Act(Action::Present));
            bench.run(Command::Lesson(Arc::clone(&lesson)));
            assert!(bench.app.lesson().is_some(), "{:?}", bench.app.told());
            let mut harness = harness(bench, size.0, size.1);
            for step in 0..lesson.file.steps.len() {
                harness.state_mut().run(Command::LessonStep(step));
                harness.run_steps(3);
                let what = format!("lesson {}, step {}", index + 1, step + 1);
                check(&harness, size, &what);
                if harness.state().app.lesson().is_some_and(|run| run.state.waits_for_answer()) {
                    harness.state_mut().run(Command::TakeGuess(Guess::More));
                    harness.state_mut().run(Command::Act(Action::LessonReveal));
                    harness.run_steps(3);
                    check(&harness, size, &format!("{what}, answered"));
                }
                let map = spot(&harness, "present:map");
                assert!(map.height() >= 0.2 * size.1 - 0.6, "{what}: {map:?} at {size:?}");
                let texts = &harness.state().app.lesson().expect("open").texts;
                let said: Vec<String> = painted(&harness).into_iter().map(|(text, ..)| text).collect();
                for text in [&texts.heading, &texts.caption, &texts.question, &texts.answer] {
                    assert!(
                        text.is_empty() || said.contains(text),
                        "{what} at {size:?}: «{text}» is not there"
                    );
                }
            }
            harness.state_mut().run(Command::Act(Action::LessonNext));
            harness.run_steps(3);
            assert!(harness.state().app.present.recap);
            check(&harness, size, &format!("lesson {}, the card", index + 1));
        }
    }
}

#[test]
fn verif_two_set_ups_have_one_scale_and_a_name_each() {
    let mut bench = Bench::new();
    bench.run(Command::Pin(Slot::A));
    bench.run(Command::Set("line.throughput".into(), "100 veh/h".into()));
    bench.run(Command::Act(Action::TwoPlans));
    let harness = harness(bench, 1920.0, 1080.0);
    let (a, now) = (spot(&harness, "present:plan before"), spot(&harness, "present:plan after"));
    assert_eq!(a.size(), now.size());
    assert!(a.right() < now.left());
    // The scale bars are as long as each other: same scale.
    let bars: Vec<f64> = harness
        .state()
        .memory
        .lists
        .iter()
        .filter_map(|(_, list)| {
            let item = list.items.iter().find(|item| item.key.as_deref() == Some("scale-bar"))?;
            let brusharm::drawing::Shape::Polyline { points, .. } = &item.shape else { return None };
            Some(points[2].x - points[1].x)
        })
        .collect();
    assert_eq!(bars.len(), 2);
    assert!((bars[0] - bars[1]).abs() < 1e-9 && bars[0] > 20.0, "{bars:?}");
    for (name, plan) in [("present:says A", a), ("present:says now", now)] {
        let says = spot(&harness, name);
        assert!(says.top() >= plan.bottom() - 1.0 && says.left() >= plan.left() - 1.0, "{name}");
    }
    let maps = (spot(&harness, "present:map of the other"), spot(&harness, "present:map"));
    assert!(maps.0.height() >= 200.0 && (maps.0.height() - maps.1.height()).abs() < 1.0);
}

#[test]
fn verif_a_guess_is_pressed_and_judged() {
    let mut bench = Bench::with_lesson();
    bench.run(Command::Act(Action::Present));
    bench.run(Command::Act(Action::LessonNext));
    let mut harness = harness(bench, 1280.0, 800.0);
    assert!(harness.state().memory.spots.contains_key("present:covered"), "the map would tell");
    harness.get_by_label("less").click();
    harness.run_steps(4);
    assert_eq!(harness.state().app.present.guess(1), Some(Guess::Less));
    assert!(harness.query_by_label("● less").is_some(), "a mark, not only a colour");
    harness.key_press(Key::ArrowRight);
    harness.run_steps(4);
    assert!(harness.query_by_label("Guessed: less. Right.").is_some());
    assert!(!harness.state().memory.spots.contains_key("present:covered"));
    harness.key_press(Key::ArrowRight);
    harness.run_steps(4);
    assert_eq!(harness.state().app.lesson().map(|run| run.state.at()), Some(2));
    harness.key_press(Key::Home);
    harness.run_steps(4);
    assert_eq!(harness.state().app.lesson().map(|run| run.state.at()), Some(0));
}
