//! Panels: every control has a name, buttons and keys do what they say, nothing lies over anything else.

use crate::bench::{Bench, harness};
use brusharm::drawing::Theme;
use brusharm::units::UnitSystem;
use brusharm::window::app::command::{Column, Command, Dialog, Effect};
use brusharm::window::pins::Slot;
use brusharm::window::playback::ClockKind;
use egui::{Key, Modifiers, pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

fn spot(harness: &Harness<'_, Bench>, name: &str) -> egui::Rect {
    let spots = &harness.state().memory.spots;
    let [x, y, w, h] = *spots.get(name).unwrap_or_else(|| panic!("no «{name}» in {:?}", spots.keys()));
    egui::Rect::from_min_size(pos2(x, y), egui::vec2(w, h))
}

fn drag(harness: &mut Harness<'_, Bench>, from: egui::Pos2, to: egui::Pos2) {
    harness.hover_at(from);
    harness.run_steps(2);
    harness.drag_at(from);
    harness.run_steps(2);
    for step in 1..=4 {
        harness.hover_at(from + (to - from) * (step as f32 / 4.0));
        harness.run_steps(2);
    }
    harness.drop_at(to);
    harness.run_steps(3);
}

fn click(harness: &mut Harness<'_, Bench>, at: egui::Pos2) {
    harness.hover_at(at);
    harness.run_steps(2);
    harness.drag_at(at);
    harness.run_steps(1);
    harness.drop_at(at);
    harness.run_steps(4);
}

#[test]
fn verif_field_step_buttons_and_undo_work_by_their_names() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    harness.get_by_label("more: both.air.cap").click();
    harness.run_steps(4);
    assert_eq!(harness.state().app.edits().get("left.air.cap").map(String::as_str), Some("8 psi"));
    let shown = harness.state().app.shown().expect("solved");
    assert_eq!(shown.edits, *harness.state().app.edits());
    harness.get_by_label("undo").click();
    harness.run_steps(4);
    assert!(harness.state().app.edits().is_empty());
    harness.get_by_label("redo").click();
    harness.run_steps(4);
    assert_eq!(harness.state().app.edits().len(), 2);
    // What differs can be put back by the button that shows the file's value.
    harness.get_by_label("file: 7 psi").click();
    harness.run_steps(4);
    assert!(harness.state().app.edits().is_empty());
}

#[test]
fn verif_panels_keep_their_sizes_while_it_plays() {
    for large in [false, true] {
        let mut bench = Bench::new();
        bench.app.views.large = large;
        let mut harness = harness(bench, 1280.0, 800.0);
        harness.run_steps(10);
        let sizes = |harness: &Harness<'_, Bench>| {
            ["settings", "column", "map", "plan"].map(|name| spot(harness, name))
        };
        let before = sizes(&harness);
        harness.run_steps(60);
        assert_eq!(sizes(&harness), before, "large type: {large}");
    }
}

#[test]
fn verif_a_slider_is_dragged_in_field_steps_and_is_one_undo() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    let slider = spot(&harness, "slider:both.bearings.lower_offset");
    let middle = slider.center();
    drag(&mut harness, middle, pos2(slider.right() - 4.0, middle.y));
    let text = harness.state().app.edits().get("left.bearings.lower_offset").expect("dragged").clone();
    assert!(text.ends_with("in") && !text.starts_with('-'), "{text}");
    assert_eq!(harness.state().app.undo_label(), Some("both.bearings.lower_offset"));
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(3);
    assert!(harness.state().app.edits().is_empty() && harness.state().app.undo_label().is_none());
}

#[test]
fn verif_a_drag_goes_on_while_what_differs_appears() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    let slider = spot(&harness, "slider:both.bearings.lower_offset");
    let middle = slider.center();
    // From nothing changed through the first change, which brings up the list of what differs, to the end of the slider.
    drag(&mut harness, middle, pos2(slider.left() + 4.0, middle.y));
    let text = harness.state().app.edits().get("left.bearings.lower_offset").expect("dragged").clone();
    assert!(text == "-1 in" || text == "-15/16 in", "{text}");
    // Its line takes it back.
    let undo = spot(&harness, "undo:both.bearings.lower_offset").center();
    click(&mut harness, undo);
    assert!(harness.state().app.edits().is_empty());
    assert!(!harness.state().memory.spots.contains_key("undo:both.bearings.lower_offset"));
}

#[test]
fn verif_a_setting_is_looked_for_by_keys_and_a_part_is_clicked() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::F);
    harness.run_steps(3);
    harness.event(egui::Event::Text("damper".into()));
    harness.run_steps(4);
    assert_eq!(harness.state().app.views.search, "damper");
    assert!(harness.query_by_label("more: both.dampers[0].out_stroke").is_some());
    assert!(harness.query_by_label("more: both.air.cap").is_none());
    let clear = spot(&harness, "search clear").center();
    click(&mut harness, clear);
    assert!(harness.query_by_label("more: both.air.cap").is_some());
    let holes = spot(&harness, "part:stop-pin").center();
    click(&mut harness, holes);
    assert_eq!(harness.state().app.chosen(), Some("both.stop_pin.hole"));
}

#[test]
fn verif_a_value_is_typed_with_its_unit_and_a_bad_one_is_told_at_its_place() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    let mut type_value = |text: &str| {
        let place = spot(&harness, "value:both.air.cap").center();
        click(&mut harness, place);
        harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        harness.run_steps(1);
        harness.event(egui::Event::Text(text.into()));
        harness.run_steps(2);
        harness.key_press(Key::Enter);
        harness.run_steps(4);
        let app = &harness.state().app;
        (app.edits().clone(), app.refused().map(|refused| refused.text.clone()))
    };
    let (edits, refused) = type_value("55 kPa");
    assert_eq!(edits.get("right.air.cap").map(String::as_str), Some("55 kPa"));
    assert!(refused.is_none());
    let (edits, refused) = type_value("9");
    assert_eq!(edits.get("right.air.cap").map(String::as_str), Some("55 kPa"), "nothing changed");
    assert!(refused.is_some_and(|text| text.contains("unit")));
}

#[test]
fn verif_scrubbing_in_the_clock_line_and_in_any_strip_moves_the_clock() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    let line = spot(&harness, "timeline");
    let x = |share: f32| line.left() + share * line.width();
    drag(&mut harness, pos2(x(0.3), line.bottom() - 3.0), pos2(x(0.5), line.bottom() - 3.0));
    let middle = harness.state().app.t_s();
    let [start, end] = harness.state().app.playback.clock_range();
    assert!((middle - 0.5 * (start + end)).abs() < 0.06 * (end - start), "{middle} in {start} to {end}");
    for strip in 0..4 {
        let area = spot(&harness, &format!("strip:{strip}"));
        drag(&mut harness, area.center(), pos2(area.left() + 0.25 * area.width(), area.center().y));
        let now = harness.state().app.t_s();
        let quarter = start + 0.25 * (end - start);
        assert!((now - quarter).abs() < 0.05 * (end - start), "strip {strip}: {now}, not {quarter}");
        let cursor = spot(&harness, "cursor").left();
        assert!((cursor - (area.left() + 0.25 * area.width())).abs() < 3.0, "the cursor follows");
    }
}

#[test]
fn verif_events_are_gone_to_by_keys_and_by_a_click() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    harness.key_press(Key::Home);
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowRight);
    harness.run_steps(2);
    let app = &harness.state().app;
    let first =
        app.playback.marks().iter().find(|mark| mark.time_s > app.playback.clock_range()[0]).expect("events");
    assert!((app.t_s() - first.time_s).abs() < 1e-9);
    let corner =
        app.playback.marks().iter().find(|m| m.name == "left: nose corner").expect("it turns").time_s;
    // The upper row of the clock line is the left unit.
    let line = spot(&harness, "timeline");
    let [start, end] = harness.state().app.playback.clock_range();
    let share = ((corner - start) / (end - start)) as f32;
    let at = pos2(line.left() + 46.0 + share * (line.width() - 60.0) + 2.0, line.top() + 4.0 + 9.6);
    click(&mut harness, at);
    assert!((harness.state().app.t_s() - corner).abs() < 1e-9, "{} {corner}", harness.state().app.t_s());
    // Marks that crowd have their names before them; a click on a name goes to its own mark.
    let (crowded, name) =
        (spot(&harness, "event:left: tail corner"), spot(&harness, "event name:left: tail corner"));
    assert!(name.right() < crowded.left(), "{name:?} {crowded:?}");
    click(&mut harness, name.center());
    let tail = harness.state().app.playback.marks().iter().find(|m| m.name == "left: tail corner");
    let tail_s = tail.expect("it turns").time_s;
    assert!((harness.state().app.t_s() - tail_s).abs() < 1e-9, "{} {tail_s}", harness.state().app.t_s());
}

#[test]
fn verif_pins_compare_and_let_go() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    harness.get_by_label("pin A").click();
    harness.run_steps(4);
    harness.get_by_label("more: both.bearings.lower_offset").click();
    harness.run_steps(4);
    harness.key_press(Key::Num2);
    harness.run_steps(4);
    let pins = &harness.state().app.pins;
    assert!(pins.get(Slot::A).is_some() && pins.get(Slot::B).is_some());
    harness.get_by_label("compare").click();
    harness.run_steps(4);
    assert_eq!(harness.state().app.views.column, Column::Compare);
    assert!(harness.query_by_label("gap on the tail").is_some());
    let better: Vec<_> = harness.query_all_by_label_contains("better").collect();
    assert!(!better.is_empty(), "an eighth of a psi or a sixteenth of an inch is seen in the table");
    drop(better);
    let go = spot(&harness, "slot:A").center();
    click(&mut harness, go);
    assert!(harness.state().app.pins.get(Slot::A).is_none());
}

#[test]
fn verif_columns_units_theme_help_and_dialogs() {
    let mut harness = harness(Bench::new(), 1280.0, 800.0);
    for (name, text) in
        [("why", "plan view"), ("limits", "tail washed"), ("over time", "strips over the clock")]
    {
        harness.get_by_label(name).click();
        harness.run_steps(4);
        assert!(harness.query_all_by_label_contains(text).next().is_some(), "{name}");
    }
    harness.get_by_label("SI").click();
    harness.run_steps(3);
    assert_eq!(harness.state().app.units, UnitSystem::Si);
    harness.get_by_label("dark").click();
    harness.run_steps(3);
    assert_eq!(harness.state().app.theme, Theme::Dark);
    assert!(matches!(harness.state().asked.last(), Some(Effect::Theme)));
    harness.key_press(Key::Questionmark);
    harness.run_steps(4);
    assert_eq!(harness.state().app.views.dialog, Dialog::Help);
    assert!(harness.query_by_label("pin as A, or let A go").is_some());
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert_eq!(harness.state().app.views.dialog, Dialog::None);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::S);
    harness.run_steps(4);
    harness.get_by_label("save").click();
    harness.run_steps(3);
    let Some(Effect::Write { path, text }) = harness.state().asked.last() else { panic!("nothing to write") };
    assert!(path.ends_with("ferry-return-changed.ron") && text.contains("schema: 1"));
    harness.key_press(Key::K);
    harness.run_steps(2);
    assert_eq!(harness.state().app.playback.kind(), ClockKind::Position);
}

#[test]
fn verif_a_lesson_is_stepped_by_buttons_and_keys() {
    let mut harness = harness(Bench::with_lesson(), 1280.0, 800.0);
    assert!(harness.query_by_label("Plumb").is_some());
    harness.get_by_label("next").click();
    harness.run_steps(4);
    assert!(harness.query_by_label("An eighth of an inch toward the wall").is_some());
    assert!(harness.query_all_by_label_contains("The tail is washed to").next().is_none(), "no answer yet");
    harness.get_by_label("answer").click();
    harness.run_steps(4);
    assert!(harness.query_all_by_label_contains("The tail is washed to").next().is_some());
    harness.key_press(Key::PageDown);
    harness.run_steps(4);
    assert!(harness.query_by_label("An eighth the other way").is_some());
    harness.key_press(Key::PageUp);
    harness.run_steps(4);
    harness.get_by_label("leave").click();
    harness.run_steps(4);
    assert!(harness.state().app.lesson().is_none());
    assert!(harness.query_by_label("more: both.air.cap").is_some(), "the settings are back");
}

/// Panels tile the window; rows, buttons and canvases stay inside it and off one another, at every size and in every column.
#[test]
fn verif_nothing_overlaps_or_is_cut_off() {
    for (width, height) in [(1024.0, 700.0), (1280.0, 800.0), (1920.0, 1080.0)] {
        for (lesson, si) in [(false, false), (false, true), (true, false)] {
            let mut bench = if lesson { Bench::with_lesson() } else { Bench::new() };
            if si {
                bench.app.units = UnitSystem::Si;
                bench.app.theme = Theme::Dark;
            }
            bench.run(Command::Map(true));
            let mut harness = harness(bench, width, height);
            for column in Column::ALL {
                harness.state_mut().run(Command::Column(column));
                harness.run_steps(3);
                let spots = harness.state().memory.spots.clone();
                let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(width, height));
                let rect = |[x, y, w, h]: [f32; 4]| egui::Rect::from_min_size(pos2(x, y), egui::vec2(w, h));
                let of = |starts: &[&str]| -> Vec<(String, egui::Rect)> {
                    spots
                        .iter()
                        .filter(|(name, _)| starts.iter().any(|s| name.starts_with(s)))
                        .map(|(name, at)| (name.clone(), rect(*at)))
                        .collect()
                };
                let areas = of(&["plan", "map", "strips", "timeline", "why:", "settings", "lesson"]);
                let buttons =
                    of(&["button:", "pin:", "column:", "clock:", "detail:", "sides:", "lesson:", "slot:"]);
                for list in [&areas, &buttons] {
                    for (i, (name, a)) in list.iter().enumerate() {
                        if !name.starts_with("map area") {
                            assert!(
                                screen.expand(0.6).contains_rect(*a),
                                "{name} {a:?} leaves {width}×{height}"
                            );
                        }
                        for (other, b) in &list[..i] {
                            let nested = ["map area", "lesson:"]
                                .iter()
                                .any(|n| name.starts_with(n) || other.starts_with(n));
                            let shared = a.intersect(*b);
                            let overlap = shared.width() > 1.0 && shared.height() > 1.0;
                            assert!(
                                nested || !overlap,
                                "{name} over {other} at {width}×{height}, {column:?}: {a:?} {b:?}"
                            );
                        }
                    }
                }
                let plan = spots.get("plan").map(|s| rect(*s)).expect("a plan view");
                assert!(plan.width() > 260.0 && plan.height() > 180.0, "{plan:?} at {width}×{height}");
            }
        }
    }
}
