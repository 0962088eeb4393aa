//! What is seen: scales that stay, the difference from A, places that a change keeps and undo brings back, and small windows in which nothing is lost.

use crate::bench::{Bench, harness};
use brusharm::drawing::unrolled::MapQuantity;
use brusharm::window::app::command::{Column, Command, Front};
use brusharm::window::pins::Slot;
use brusharm::window::playback::Command as T;
use egui_kittest::Harness;

fn set(path: &str, text: &str) -> Command {
    Command::Set(path.into(), text.into())
}

fn scales(bench: &Bench) -> Vec<f64> {
    let maps = MapQuantity::ALL.map(|quantity| bench.app.map_scale(quantity));
    maps.into_iter().chain([bench.app.pressure_scale_pa()]).map(|scale| scale.expect("solved")).collect()
}

#[test]
fn verif_colours_mean_the_same_numbers_before_and_after_a_change() {
    let mut bench = Bench::new();
    let before = scales(&bench);
    bench.run(Command::Pin(Slot::A));
    bench.run(set("line.throughput", "60 veh/h"));
    assert_eq!(scales(&bench), before, "held");
    bench.run(Command::HoldScales(false));
    let followed = scales(&bench);
    assert_ne!(followed, before, "let go, they follow what is shown");
    bench.run(Command::HoldScales(true));
    bench.run(set("line.throughput", "140 veh/h"));
    assert_eq!(scales(&bench), followed, "held where they were");
    // The legend says the number that is held.
    let mut window = harness(bench, 1280.0, 800.0);
    window.run_steps(3);
    let says = |window: &Harness<'_, Bench>, title: &str| {
        let lists = &window.state().memory.lists;
        let list = lists.iter().find(|(_, list)| list.title.starts_with(title)).expect("drawn");
        list.1.texts().iter().map(|text| text.text.clone()).collect::<Vec<_>>()
    };
    let most = format!("{:.0}+", followed[0]);
    assert!(says(&window, "Unrolled map").contains(&most), "{most}");
}

#[test]
fn verif_the_difference_from_a_is_there_once_something_differs() {
    let mut bench = Bench::new();
    bench.run(Command::FromA(true));
    assert!(bench.app.map_against().is_none(), "nothing is pinned");
    bench.run(Command::Pin(Slot::A));
    assert!(bench.app.map_against().is_none(), "nothing differs");
    bench.run(set("both.bearings.lower_offset", "1/8 in"));
    assert!(bench.app.map_against().is_some());
    let mut window = harness(bench, 1280.0, 800.0);
    window.run_steps(3);
    let titles: Vec<_> = window.state().memory.lists.iter().map(|(_, list)| list.title.clone()).collect();
    assert!(titles.contains(&"Unrolled map: wipes, now − A".to_owned()), "{titles:?}");
}

#[test]
fn verif_a_drag_keeps_the_vehicle_and_undo_brings_its_place_back() {
    let mut bench = Bench::new();
    bench.run(Command::Time(T::GoToTime(12.0)));
    let place = bench.app.playback.position_m();
    for throughput in ["120 veh/h", "100 veh/h", "80 veh/h"] {
        bench.run(Command::Drag("line.throughput".into(), throughput.into()));
        assert!((bench.app.playback.position_m() - place).abs() < 1e-9, "by time, and yet at the same place");
    }
    bench.run(Command::Settle);
    bench.run(Command::Time(T::GoToTime(30.0)));
    let later = bench.app.playback.position_m();
    bench.run(set("both.bearings.lower_offset", "1/8 in"));
    bench.run(Command::Time(T::Start));
    bench.run(Command::Act(brusharm::window::keys::Action::Undo));
    assert!((bench.app.playback.position_m() - later).abs() < 1e-9);
    bench.run(Command::Act(brusharm::window::keys::Action::Undo));
    assert!((bench.app.playback.position_m() - place).abs() < 1e-9);
    assert!(bench.app.edits().is_empty());
    bench.run(Command::Act(brusharm::window::keys::Action::Redo));
    assert!((bench.app.playback.position_m() - place).abs() < 1e-9);
}

#[test]
fn verif_it_opens_where_the_tail_decides() {
    let bench = Bench::new();
    let pass = bench.app.shown().expect("solved");
    assert!((bench.app.t_s() - pass.key_instant_s()).abs() < 1e-9);
    assert_eq!(pass.deciding_instant_s(), pass.key_instant_s());
    // Strips pressed to their hub decide where they are pressed most: read here at every instant of the pass.
    let mut bench = Bench::new();
    bench.run(set("both.counterweight.mass", "60 lb"));
    let pass = bench.app.shown().expect("solved");
    let (verdict, line) = brusharm::coverage::headline(&pass.outcome.verdicts).expect("criteria");
    assert!(verdict != brusharm::coverage::Verdict::Pass && line.label().starts_with("clearance to the hub"));
    let unit = pass.setup.units.iter().position(|unit| Some(unit.side) == line.side).expect("of a side");
    let press_m = |t_s: f64| brusharm::pass::instant(&pass.setup, &pass.record, t_s)[unit].press_m;
    let count = 4000;
    let most = (0..=count)
        .map(|i| {
            pass.record.start_s + (pass.record.end_s - pass.record.start_s) * f64::from(i) / f64::from(count)
        })
        .map(press_m)
        .fold(0.0, f64::max);
    let told = press_m(pass.deciding_instant_s());
    assert!(most > 0.1 && told > most - 0.01, "{told} {most} m");
    assert!(brusharm::coverage::tail_tells(&pass.outcome));
}

fn has(window: &Harness<'_, Bench>, name: &str) -> bool {
    window.state().memory.spots.contains_key(name)
}

fn spot(window: &Harness<'_, Bench>, name: &str) -> egui::Rect {
    let [x, y, w, h] = window.state().memory.spots[name];
    egui::Rect::from_min_size(egui::pos2(x, y), egui::vec2(w, h))
}

fn click(window: &mut Harness<'_, Bench>, name: &str) {
    let at = spot(window, name).center();
    window.hover_at(at);
    window.run_steps(2);
    window.drag_at(at);
    window.run_steps(1);
    window.drop_at(at);
    window.run_steps(4);
}

/// At every size each of plan view, map, settings and column is there or one press away, and what can be pressed lies in the window.
#[test]
fn verif_nothing_is_lost_in_a_small_window() {
    for (width, height) in [(1280.0, 800.0), (1024.0, 700.0), (800.0, 600.0), (640.0, 400.0)] {
        let mut window = harness(Bench::new(), width, height);
        window.run_steps(3);
        let size = format!("{width} × {height}");
        let inside = |window: &Harness<'_, Bench>| {
            for name in ["button:open", "button:? keys", "pin:A", "button:map", "button:play", "timeline"] {
                let rect = spot(window, name);
                let whole = rect.left() >= 0.0
                    && rect.top() >= 0.0
                    && rect.right() <= width + 1.0
                    && rect.bottom() <= height + 1.0;
                assert!(whole, "{name} at {size}: {rect:?}");
            }
        };
        inside(&window);
        if !has(&window, "map") {
            click(&mut window, "button:map");
            assert!(has(&window, "map") && !has(&window, "plan"), "{size}");
            assert!(spot(&window, "map area").height() > 12.0, "{size}: {:?}", spot(&window, "map area"));
            inside(&window);
            click(&mut window, "tab:plan");
        }
        assert!(has(&window, "plan") && spot(&window, "plan").height() > 80.0, "{size}");
        if !has(&window, "column") {
            click(&mut window, "tab:closer");
            assert!(has(&window, "column") && !has(&window, "settings"), "{size}");
            for column in Column::ALL {
                assert!(has(&window, &format!("column:{}", column.name())), "{size}");
            }
            click(&mut window, "tab:settings");
        }
        assert!(has(&window, "settings"), "{size}");
    }
}

/// What a small window has squeezed has its size again in the large one.
#[test]
fn verif_the_map_returns_after_a_resize() {
    let mut window = harness(Bench::new(), 1280.0, 800.0);
    window.run_steps(3);
    let whole = ["map", "settings", "column"].map(|name| spot(&window, name));
    for (width, height) in [(800.0, 600.0), (640.0, 400.0), (1024.0, 700.0)] {
        window.set_size(egui::vec2(width, height));
        window.run_steps(4);
        window.state_mut().run(Command::Front(Front::Map));
        window.run_steps(2);
    }
    window.set_size(egui::vec2(1280.0, 800.0));
    window.run_steps(4);
    assert_eq!(["map", "settings", "column"].map(|name| spot(&window, name)), whole);
}

#[test]
fn verif_the_full_screen_button_shows_its_state() {
    use egui_kittest::kittest::{NodeT, Queryable};
    let mut window = harness(Bench::with_lesson(), 1280.0, 800.0);
    for on in [true, false] {
        click(&mut window, "lesson:full screen");
        assert_eq!(window.state().app.views.full_screen, on);
        let button = window.get_by_label("full screen");
        let toggled = button.accesskit_node().toggled();
        assert_eq!(toggled == Some(egui::accesskit::Toggled::True), on, "{toggled:?}");
    }
}
