//! The desk: studies of what is set, reached in few clicks, beside the sliders; nothing moves from under the pointer.

use crate::bench::{Bench, harness};
use brusharm::coverage::MeasureName;
use brusharm::report::measure_value;
use brusharm::units::UnitSystem;
use brusharm::window::app::command::{Command, Effect};
use brusharm::window::app::desk::{DeskCommand, Page, Run, StudyKind};
use brusharm::window::keys::Action;
use egui::{Key, pos2};
use egui_kittest::Harness;

fn spot(harness: &Harness<'_, Bench>, name: &str) -> egui::Rect {
    let spots = &harness.state().memory.spots;
    let [x, y, w, h] = *spots.get(name).unwrap_or_else(|| panic!("no «{name}» in {:?}", spots.keys()));
    egui::Rect::from_min_size(pos2(x, y), egui::vec2(w, h))
}

/// A hand that counts its clicks. It can only click what is on the screen.
struct Hand<'h> {
    harness: Harness<'h, Bench>,
    clicks: u32,
}

impl Hand<'_> {
    fn new<'h>(bench: Bench, width: f32, height: f32) -> Hand<'h> {
        Hand { harness: harness(bench, width, height), clicks: 0 }
    }

    fn click(&mut self, name: &str) {
        let place = spot(&self.harness, name);
        let screen = self.harness.ctx.content_rect();
        assert!(screen.contains_rect(place), "{name} is not on the screen: {place:?}");
        self.click_at(place.center());
    }

    fn click_at(&mut self, at: egui::Pos2) {
        self.harness.hover_at(at);
        self.harness.run_steps(2);
        self.harness.drag_at(at);
        self.harness.run_steps(1);
        self.harness.drop_at(at);
        self.harness.run_steps(5);
        self.clicks += 1;
    }

    fn bench(&self) -> &Bench {
        self.harness.state()
    }
}

/// Wherever a hand presses «+» or «−» or pulls a slider, it stays there when the setting differs from the file for the first time.
#[test]
fn verif_nothing_moves_from_under_the_pointer_at_a_first_step() {
    for (width, height) in [(1024.0, 700.0), (1280.0, 800.0), (1920.0, 1080.0)] {
        let mut hand = Hand::new(Bench::new(), width, height);
        let places = |hand: &Hand<'_>| -> Vec<(String, [f32; 4])> {
            let held = ["more:", "less:", "slider:", "value:", "choice:"];
            let spots = hand.bench().memory.spots.iter();
            let spots = spots.filter(|(name, _)| held.iter().any(|start| name.starts_with(start)));
            spots.map(|(name, at)| (name.clone(), *at)).collect()
        };
        let before = places(&hand);
        assert!(before.len() > 40, "{}", before.len());
        for path in ["both.bearings.lower_offset", "both.stop_pin.hole", "both.air.cap"] {
            let name = format!("more:{path}");
            hand.click(&name);
            assert!(!hand.bench().app.edits().is_empty());
            let file = spot(&hand.harness, &format!("file:{path}"));
            assert!(spot(&hand.harness, "settings").contains_rect(file), "the way back is there: {file:?}");
            assert_eq!(places(&hand), before, "{path} at {width}×{height}");
            // The second click at the same place hits the same button.
            let edits = hand.bench().app.edits().clone();
            hand.click(&name);
            let further = hand.bench().app.edits() != &edits || hand.bench().app.refused().is_some();
            assert!(further, "{path}: the second click missed");
            hand.harness.state_mut().run(Command::ResetAll);
            hand.harness.run_steps(3);
        }
    }
}

/// Counted on real clicks: a pin by one hole, what it does, the sheet in hand; the throughput at which the tail fails.
#[test]
fn verif_few_clicks_lead_to_the_sheet_and_to_where_the_tail_fails() {
    for (width, height) in [(1024.0, 700.0), (1280.0, 800.0), (1920.0, 1080.0)] {
        let mut hand = Hand::new(Bench::new(), width, height);
        let before = hand.bench().app.shown().expect("solved").outcome.clone();
        hand.click("more:both.stop_pin.hole");
        let app = &hand.bench().app;
        assert_eq!(app.edits().get("left.stop_pin.hole").map(String::as_str), Some("3"));
        assert!(app.shown().expect("solved").outcome != before, "what it does is shown");
        hand.click("button:sheet");
        assert!(matches!(hand.bench().asked.last(), Some(Effect::MakeSheet(_))));
        assert!(hand.clicks <= 4, "{} clicks to the sheet", hand.clicks);

        let mut hand = Hand::new(Bench::new(), width, height);
        hand.click("button:desk");
        let said = hand.bench().app.desk_said();
        assert!(said[0].starts_with("Gap on the tail fails from 1"), "{said:?}");
        assert!(said[1].starts_with("Highest throughput that still passes: "), "{said:?}");
        assert!(hand.clicks <= 3, "{} clicks to where the tail fails", hand.clicks);
        let desk = spot(&hand.harness, "desk");
        let plot = spot(&hand.harness, "desk:plot");
        assert!(
            desk.contains_rect(plot) && plot.width() > 300.0 && plot.height() > 120.0,
            "{plot:?} in {desk:?}"
        );
    }
}

/// The curve is of the set-up but for its throughput: a click on it sets that and nothing is run again; another setting runs it again.
#[test]
fn verif_a_click_on_the_curve_sets_the_throughput() {
    let mut hand = Hand::new(Bench::new(), 1280.0, 800.0);
    hand.harness.key_press(Key::E);
    hand.harness.run_steps(5);
    let found = |hand: &Hand<'_>| hand.bench().app.desk.curve.found.clone().expect("a curve").0;
    let first = found(&hand);
    let plot = spot(&hand.harness, "desk:plot");
    let at = pos2(plot.left() + 0.5 * plot.width(), plot.center().y);
    hand.click_at(at);
    let now = hand.bench().app.now(MeasureName::TailGap.whole()).expect("a number");
    let [low, high] = first.ends_per_s;
    assert!((now[0] - 0.5 * (low + high)).abs() < 2.0 / 3600.0, "{now:?} of {low} to {high}");
    assert!(hand.bench().app.edits().contains_key("line.throughput"));
    assert!(std::sync::Arc::ptr_eq(&first, &found(&hand)), "the curve stays");
    assert!(!hand.bench().app.is_stale(StudyKind::Curve));
    hand.harness.state_mut().run(Command::Step("both.air.cap".into(), 1));
    hand.harness.run_steps(4);
    assert!(!std::sync::Arc::ptr_eq(&first, &found(&hand)), "it follows what is set");
    assert!(!hand.bench().app.is_stale(StudyKind::Curve));
    hand.harness.key_press(Key::Escape);
    hand.harness.run_steps(3);
    assert!(!hand.bench().app.desk.open);
}

/// A step of the table is taken where it stands, and its row stays there, so that it can be taken again.
#[test]
fn verif_a_step_is_taken_from_the_table_and_its_row_stays() {
    let mut hand = Hand::new(Bench::new(), 1280.0, 800.0);
    hand.harness.state_mut().run(Command::Desk(DeskCommand::Page(Page::Steps)));
    hand.harness.run_steps(5);
    let (nudge, _) = hand.bench().app.desk.steps.found.clone().expect("a table");
    let line = nudge.lines.iter().find(|line| line.path == "both.air.cap").expect("air");
    let foretold = line.at(1).and_then(|turned| turned.worst.value(nudge.measure)).expect("a number");
    let name = "desk:up:both.air.cap";
    let place = spot(&hand.harness, name);
    hand.click(name);
    let app = &hand.bench().app;
    assert_eq!(app.edits().get("left.air.cap").map(String::as_str), Some("8 psi"));
    let shown = nudge.measure.read(&app.shown().expect("solved").outcome).value;
    assert_eq!(shown, Some(foretold), "it does what the table said");
    assert!(!app.is_stale(StudyKind::Steps), "and the table is of the new set-up");
    assert_eq!(spot(&hand.harness, name).left_center(), place.left_center());
    hand.click(name);
    assert_eq!(hand.bench().app.edits().get("left.air.cap").map(String::as_str), Some("9 psi"));
}

/// A cell of the map sets both of its settings, as one change.
#[test]
fn verif_a_cell_of_the_map_is_loaded() {
    let mut hand = Hand::new(Bench::new(), 1280.0, 800.0);
    let bench = hand.harness.state_mut();
    bench.run(Command::Desk(DeskCommand::Page(Page::Map)));
    bench.run(Command::Desk(DeskCommand::Values(0, "100,140,160".into())));
    bench.run(Command::Desk(DeskCommand::Values(1, "-1/16in,0in,1/16in".into())));
    hand.harness.run_steps(3);
    assert!(matches!(hand.bench().app.desk.run(StudyKind::Map), Run::Idle), "it waits to be asked for");
    hand.click("desk:run:map");
    let (found, _) = hand.bench().app.desk.map.found.clone().expect("a map");
    assert_eq!((found.rows.len(), found.of), (9, 9));
    hand.click("desk:cell:2 0");
    let edits = hand.bench().app.edits().clone();
    assert_eq!(edits.get("line.throughput").map(String::as_str), Some("160 veh/h"));
    assert_eq!(edits.get("right.bearings.lower_offset").map(String::as_str), Some("-1/16in"));
    assert!(!hand.bench().app.is_stale(StudyKind::Map) || hand.bench().app.desk.map.found.is_some());
    hand.harness.state_mut().run(Command::Act(Action::Undo));
    assert!(hand.bench().app.edits().is_empty(), "one undo");
    // Too many passes are refused with the reason, and nothing runs.
    let bench = hand.harness.state_mut();
    bench.run(Command::Desk(DeskCommand::Values(0, "50..200:1".into())));
    bench.run(Command::Desk(DeskCommand::Run(StudyKind::Map)));
    let Run::Failed(why, _) = bench.app.desk.run(StudyKind::Map) else { panic!("it must be refused") };
    assert!(why.contains("453 passes are too many"), "{why}");
    bench.run(Command::Desk(DeskCommand::Values(0, "fast".into())));
    bench.run(Command::Desk(DeskCommand::Run(StudyKind::Map)));
    let Run::Failed(why, _) = bench.app.desk.run(StudyKind::Map) else { panic!("it must be refused") };
    assert!(why.contains("line.throughput"), "{why}");
}

/// The copied command, run by a shell, computes the pass that is shown.
#[test]
#[cfg(unix)]
fn verif_the_copied_command_computes_what_is_shown() {
    let mut bench = Bench::new();
    bench.run(Command::Set("both.bearings.lower_offset".into(), "1/8 in".into()));
    bench.run(Command::Set("left.stop_pin.hole".into(), "3".into()));
    bench.run(Command::Act(Action::CopyCommand));
    let Some(Effect::Copy(text)) = bench.asked.last() else { panic!("nothing was copied") };
    let line = text.replacen("brusharm", env!("CARGO_BIN_EXE_brusharm"), 1);
    let out = std::process::Command::new("sh").args(["-c", &line]).output().expect("a shell");
    let printed = String::from_utf8(out.stdout).expect("text");
    assert!(out.status.success(), "{text}: {}", String::from_utf8_lossy(&out.stderr));
    let pass = bench.app.shown().expect("solved");
    for measure in [MeasureName::TailGap.whole(), MeasureName::TailWashed.whole()] {
        let value = measure_value(measure, measure.read(&pass.outcome).value, UnitSystem::Us);
        let label = measure.label();
        let row = printed.lines().find(|row| row.to_lowercase().starts_with(&label));
        let row = row.unwrap_or_else(|| panic!("no «{label}» in {printed}"));
        assert!(row.contains(&value), "{row}: {value}");
    }
    bench.run(Command::Desk(DeskCommand::Page(Page::Throughput)));
    bench.run(Command::Desk(DeskCommand::Copy));
    let Some(Effect::Copy(text)) = bench.asked.last() else { panic!("nothing was copied") };
    assert!(
        text.contains(" sweep ")
            && text.contains("--over line.throughput=")
            && text.contains("--of tail_gap"),
        "{text}"
    );
}

/// What is shown is written beside the scenario: the picture as SVG, the rows as CSV with a line of names and one for each point.
#[test]
fn verif_picture_and_table_of_a_page_are_saved() {
    let mut hand = Hand::new(Bench::new(), 1280.0, 800.0);
    hand.click("button:desk");
    hand.click("desk:save picture");
    let Some(Effect::Export { added, ending: "svg", text }) = hand.bench().asked.last() else {
        panic!("no picture")
    };
    assert!(added == "throughput" && text.contains("</svg>") && text.contains("now"));
    hand.click("desk:save table");
    let Some(Effect::Export { ending: "csv", text, .. }) = hand.bench().asked.last() else {
        panic!("no table")
    };
    let (curve, _) = hand.bench().app.desk.curve.found.clone().expect("a curve");
    assert_eq!(text.lines().count() as u64, 1 + curve.swept.of);
    assert!(text.starts_with("row,line.throughput_veh_per_h,"), "{}", text.lines().next().unwrap_or(""));
}

/// What is recommended is set with one press, and one undo takes it back; then it is of what is set no more.
#[test]
fn verif_what_is_recommended_is_set() {
    let mut hand = Hand::new(Bench::new(), 1280.0, 800.0);
    let bench = hand.harness.state_mut();
    bench.run(Command::Set("both.bearings.lower_offset".into(), "-1/4 in".into()));
    bench.run(Command::Desk(DeskCommand::Page(Page::Advice)));
    bench.run(Command::Desk(DeskCommand::Fleet(false)));
    hand.harness.run_steps(3);
    hand.click("desk:run:advice");
    let (found, _) = hand.bench().app.desk.advice.found.clone().expect("an answer");
    let said = hand.bench().app.desk_said();
    assert!(said.iter().any(|text| text.starts_with("Recommended: ")), "{said:?}");
    let changes = found.best.as_ref().expect("an answer").changes.clone();
    assert!(!changes.is_empty());
    hand.click("desk:apply");
    let app = &hand.bench().app;
    for (path, text) in &changes {
        let setting = app.scenario().setting(path).expect("there");
        let now = setting.value_si(app.scenario()).expect("a number");
        assert!((now - setting.number(text).expect("a number")).abs() < 1e-9, "{path} is not {text}");
    }
    assert!(app.advised().is_none(), "it was for the set-up before");
    hand.harness.state_mut().run(Command::Act(Action::Undo));
    let edits = hand.bench().app.edits();
    assert_eq!(edits.get("left.bearings.lower_offset").map(String::as_str), Some("-1/4 in"));
}

/// Every page, at every size, in both themes: its tabs, buttons and picture lie inside the desk and off one another.
#[test]
fn verif_the_pages_of_the_desk_keep_their_room() {
    for (width, height, si) in [(1024.0, 700.0, false), (1280.0, 800.0, true), (1920.0, 1080.0, false)] {
        let mut bench = Bench::new();
        if si {
            bench.app.units = UnitSystem::Si;
        }
        bench.run(Command::Desk(DeskCommand::Over("100,150".into())));
        bench.run(Command::Desk(DeskCommand::Values(0, "100,150".into())));
        bench.run(Command::Desk(DeskCommand::Values(1, "0in,1/16in".into())));
        let mut hand = Hand::new(bench, width, height);
        let mut size = None;
        for page in Page::ALL {
            let bench = hand.harness.state_mut();
            bench.run(Command::Desk(DeskCommand::Page(page)));
            if page == Page::Map {
                bench.run(Command::Desk(DeskCommand::Run(StudyKind::Map)));
            }
            hand.harness.run_steps(5);
            let desk = spot(&hand.harness, "desk");
            assert!(hand.harness.ctx.content_rect().expand(0.6).contains_rect(desk));
            hand.harness.run_steps(12);
            let later = spot(&hand.harness, "desk");
            assert_eq!(later, desk, "{page:?} grows from frame to frame at {width}×{height}");
            assert_eq!(*size.get_or_insert(desk), desk, "{page:?} is of another size at {width}×{height}");
            let parts: Vec<(String, egui::Rect)> = hand
                .bench()
                .memory
                .spots
                .keys()
                .filter(|name| name.starts_with("desk:"))
                .map(|name| (name.clone(), spot(&hand.harness, name)))
                .collect();
            assert!(parts.len() >= 8, "{parts:?}");
            for (i, (name, place)) in parts.iter().enumerate() {
                assert!(desk.expand(0.6).contains_rect(*place), "{name} {place:?} leaves {desk:?}, {page:?}");
                for (other, there) in &parts[..i] {
                    let inside = ["desk:plot", "desk:cell"]
                        .iter()
                        .any(|s| name.starts_with(s) || other.starts_with(s));
                    let shared = place.intersect(*there);
                    let over = shared.width() > 1.0 && shared.height() > 1.0;
                    assert!(inside || !over, "{name} over {other}, {page:?} at {width}×{height}");
                }
            }
            for (_, list) in &hand.bench().memory.lists {
                assert!(list.texts().iter().all(|text| text.size >= 11.0));
            }
        }
    }
}
