//! What the canvases hold, frozen as SVG, and that no letter in them is too small.

use crate::bench::{Bench, harness};
use brusharm::drawing::list::MIN_TEXT_SIZE;
use brusharm::drawing::svg::svg;
use brusharm::drawing::{DisplayList, Theme};
use brusharm::window::app::command::{Column, Command};
use brusharm::window::pins::Slot;

fn lists(bench: Bench, width: f32, height: f32) -> (Vec<DisplayList>, Bench) {
    let mut harness = harness(bench, width, height);
    harness.run_steps(3);
    let lists = harness.state().memory.lists.iter().map(|(_, list)| (**list).clone()).collect();
    (lists, harness.into_state())
}

/// The first letters of a text's hash stand for a large picture; its texts stand in full.
fn summary(lists: &[DisplayList]) -> String {
    let mut out = String::new();
    for list in lists {
        let mut kinds = [0_usize; 3];
        for item in &list.items {
            item.walk(&mut |inner| match inner.shape {
                brusharm::drawing::Shape::Text(_) => kinds[0] += 1,
                brusharm::drawing::Shape::Group { .. } => kinds[1] += 1,
                _ => kinds[2] += 1,
            });
        }
        out += &format!(
            "# {} ({:.0} × {:.0})\n{} texts, {} others\n",
            list.title, list.width, list.height, kinds[0], kinds[2]
        );
        for text in list.texts() {
            out += &format!("  {}\n", text.text);
        }
    }
    out
}

/// Frozen because a change of layout or wording should be seen and meant.
#[test]
fn regress_the_texts_of_every_canvas() {
    let mut bench = Bench::new();
    bench.run(Command::Pin(Slot::A));
    bench.run(Command::Set("both.bearings.lower_offset".into(), "1/8 in".into()));
    let mut told = String::new();
    for column in [Column::Strips, Column::Why] {
        bench.run(Command::Column(column));
        let (shown, back) = lists(bench, 1280.0, 800.0);
        bench = back;
        told += &summary(&shown);
    }
    insta::with_settings!({snapshot_path => "../snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!("window_texts", told);
    });
}

/// Frozen because the bars of the lesson are what a class looks at.
#[test]
fn regress_the_bars_of_the_lesson_as_svg() {
    let mut bench = Bench::with_lesson();
    bench.run(Command::LessonStep(1));
    let (shown, _) = lists(bench, 1280.0, 800.0);
    let bars = shown.iter().find(|list| list.title.starts_with("Why: left brush")).expect("the bars");
    insta::with_settings!({snapshot_path => "../snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!("window_lesson_bars", svg(bars, Theme::Light));
    });
}

#[test]
fn verif_no_letter_is_under_eleven_points_and_every_list_has_its_words() {
    for (width, height) in [(1024.0, 700.0), (1280.0, 800.0), (1920.0, 1080.0)] {
        for column in Column::ALL {
            let mut bench = Bench::new();
            bench.run(Command::Column(column));
            let (shown, _) = lists(bench, width, height);
            assert!(shown.len() >= 3, "plan view, map and clock at least");
            for list in &shown {
                assert!(!list.title.is_empty());
                for text in list.texts() {
                    assert!(
                        text.size >= MIN_TEXT_SIZE && text.size >= 11.0,
                        "{} at {}",
                        text.text,
                        text.size
                    );
                }
            }
        }
    }
}

/// The pinned brush stands visibly apart from the current one: an eighth of an inch at the bearing is more than a hand's breadth at the brush.
#[test]
fn verif_an_eighth_of_an_inch_is_seen_in_the_plan_view() {
    let mut bench = Bench::with_lesson();
    bench.run(Command::LessonStep(3));
    let t_s = bench.app.t_s();
    let own = bench.app.shown().expect("solved").clone();
    let centre = |pass: &brusharm::window::app::solved::SolvedPass, t_s: f64| {
        brusharm::pass::instant(&pass.setup, &pass.record, t_s)[0].brush_m
    };
    let here = centre(&own, t_s);
    let mut apart = Vec::new();
    for (_, pin) in bench.app.pins.iter() {
        let there = centre(&pin.record, bench.app.pin_time_s(&pin.record));
        apart.push((there - here).norm());
    }
    assert_eq!(apart.len(), 2);
    assert!(apart.iter().all(|d| *d > 0.1), "{apart:?} m");
    let (shown, _) = lists(bench, 1280.0, 800.0);
    let plan = shown.iter().find(|list| list.title == "Plan view").expect("a plan view");
    assert!(plan.texts().iter().any(|t| t.text == "A") && plan.texts().iter().any(|t| t.text == "B"));
}
