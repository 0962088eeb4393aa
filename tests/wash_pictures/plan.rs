//! The plan view.

use crate::demo::{pins, solve, solve_vehicle};
use crate::{assert_legible, item, keys, leave};
use brusharm::arm::Side;
use brusharm::coverage::{EventName, Solved};
use brusharm::drawing::frame::Travel;
use brusharm::drawing::plan_view::{
    Ghost, PerimeterState, PlanOptions, PlanScene, View, fit_frame, perimeter_state, plan_view,
    reference_band, unit_contact,
};
use brusharm::drawing::svg::svg;
use brusharm::drawing::{Rect, Role, Shape, Theme};
use brusharm::pass::instant;
use brusharm::units::UnitSystem;
use brusharm::vehicle::fleet;

fn scene(solved: &Solved, t_s: f64) -> PlanScene<'_> {
    PlanScene { solved, t_s }
}

fn options(width: f64, height: f64, units: UnitSystem) -> PlanOptions {
    PlanOptions { stop_pins: pins(), ..PlanOptions::new(width, height, units) }
}

#[test]
fn verif_plan_view_is_legible_at_every_event_and_size() {
    let mut texts = 0;
    for (spec, lower_m) in
        [(fleet::sedan(), 0.003175), (fleet::high_roof_van(), 0.0), (fleet::crossover(), 0.0)]
    {
        let solved = solve_vehicle(&spec, 120.0, lower_m);
        for (size, (width, height)) in [
            (12.0, (1280.0, 800.0)),
            (16.0, (1920.0, 1080.0)),
            (11.0, (900.0, 560.0)),
            (24.0, (1920.0, 1080.0)),
        ] {
            for unit in &solved.outcome.units {
                for event in &unit.events {
                    let mut options = options(width, height, UnitSystem::Us);
                    options.text_size = size;
                    options.show.forces = true;
                    let name = format!("{} {} {} {width}", spec.name, unit.side.name(), event.name.name());
                    let list = plan_view(&scene(&solved, event.time_s), &[], &options);
                    texts += assert_legible(&name, &list);
                    if size == 16.0 && event.name == EventName::BackOnTail && unit.side == Side::Left {
                        leave(&format!("plan-{}", spec.name.replace(' ', "-")), &list);
                    }
                }
            }
        }
    }
    assert!(texts > 2000, "{texts}");
}

#[test]
fn verif_views_hold_what_they_are_named_for() {
    let solved = solve(100.0, 0.0);
    let page = Rect::new(0.0, 0.0, 1000.0, 600.0);
    for travel in [Travel::Right, Travel::Up, Travel::Left] {
        let frame = fit_frame(View::Whole, &solved.setup, &solved.record, 20.0, page, travel);
        for unit in &solved.setup.units {
            for phi in [1.1, 1.5] {
                let c = unit.brush_center_m(phi);
                for p in [unit.pivot_m, c] {
                    assert!(page.contains(frame.page_from_ground([p.x, unit.side.y_sign() * p.y])));
                }
            }
        }
        let frame = fit_frame(View::Brush(Side::Right), &solved.setup, &solved.record, 20.0, page, travel);
        let at = instant(&solved.setup, &solved.record, 20.0)[1];
        let centre = frame.page_from_ground([at.brush_m.x, -at.brush_m.y]);
        assert!(centre.distance(page.centre()) < 1e-6);
        let frame = fit_frame(View::Vehicle, &solved.setup, &solved.record, 20.0, page, travel);
        let nose = solved.setup.conveyor_speed_m_s * 20.0;
        assert!(page.contains(frame.page_from_ground([nose, 0.0])));
        assert!(page.contains(frame.page_from_ground([nose - 4.8, 0.0])));
    }
}

#[test]
fn verif_contact_drawn_is_the_contact_of_the_run() {
    let solved = solve(100.0, 0.0);
    let mut touched = 0;
    for k in 0..60 {
        let t = solved.record.start_s + f64::from(k) * 1.1;
        for (index, at) in instant(&solved.setup, &solved.record, t).iter().enumerate() {
            let contact = unit_contact(&solved.setup, index, at);
            let sum = contact.push_n + contact.friction_n;
            let own = brusharm::geometry::Vec2::new(at.contact_n.x, at.side.y_sign() * at.contact_n.y);
            assert!((sum - own).norm() < 1e-9 * (1.0 + own.norm()), "{t} {index}: {sum} {own}");
            assert_eq!(contact.runs.is_empty(), at.press_m <= 0.0);
            touched += usize::from(at.press_m > 0.0);
        }
    }
    assert!(touched > 40, "{touched}");
}

#[test]
fn verif_perimeter_goes_from_not_yet_to_washed_or_missed() {
    let solved = solve(120.0, 0.0);
    let start = scene(&solved, solved.record.start_s);
    let end = scene(&solved, solved.record.end_s);
    let bands = solved.outcome.coverage.bands.len();
    let count = |scene: &PlanScene<'_>, state: PerimeterState| {
        (0..bands).flat_map(|b| perimeter_state(scene, b)).filter(|s| *s == state).count()
    };
    assert_eq!(count(&start, PerimeterState::Washed), 0);
    assert_eq!(count(&start, PerimeterState::Missed), 0);
    assert_eq!(count(&end, PerimeterState::NotYet) + count(&end, PerimeterState::ToBeMissed), 0);
    let stations = || solved.outcome.coverage.bands.iter().flat_map(|b| &b.stations).filter(|s| s.judged);
    let washed = stations().filter(|s| s.washed_ratio(&solved.settings) >= 1.0).count();
    assert_eq!(count(&end, PerimeterState::Washed), washed);
    assert_eq!(count(&end, PerimeterState::Missed), stations().count() - washed);
    assert!(washed > 1000 && stations().count() > washed);
    // Nothing washed is ever unwashed again, and nothing is both.
    let mut last = 0;
    for k in 0..40 {
        let at = scene(&solved, f64::from(k) * 1.2);
        let now = count(&at, PerimeterState::Washed);
        assert!(now >= last);
        last = now;
    }
    assert!(reference_band(&end).is_some());
}

#[test]
fn verif_hover_texts_and_keys() {
    let solved = solve(120.0, 0.003175);
    let t_s = solved.outcome.units[0].time_of(EventName::TailCorner).unwrap();
    let list = plan_view(&scene(&solved, t_s), &[], &options(1280.0, 800.0, UnitSystem::Us));
    let tip = item(&list, "brush:left").tip.clone().unwrap();
    assert!(tip.starts_with("left brush: swing ") && tip.contains("°, press "), "{tip}");
    let lean = item(&list, "pivot:left").tip.clone().unwrap();
    assert!(lean.contains("lower bearing 1/8 in to the wall"), "{lean}");
    assert!(item(&list, "stop-pin:right").tip.clone().unwrap().contains("hole 2 of 3"));
    for key in [
        "arm:left",
        "cylinder:right",
        "damper:left",
        "counterweight:left",
        "stop:left:inboard",
        "scale-bar",
        "centreline",
    ] {
        item(&list, key);
    }
    // The brush is found under its own centre.
    let at = instant(&solved.setup, &solved.record, t_s)[0];
    let area = options(1280.0, 800.0, UnitSystem::Us).ground_area();
    let frame = fit_frame(View::Whole, &solved.setup, &solved.record, t_s, area, Travel::Right);
    let rim = frame.page_from_ground([at.brush_m.x, at.brush_m.y + 0.5]);
    assert_eq!(list.at(rim, 2.0).and_then(|i| i.key.clone()).as_deref(), Some("brush:left"));
}

#[test]
fn verif_ghosts_stand_at_the_same_vehicle_position_in_other_dashes() {
    let (solved, faster) = (solve(100.0, 0.0), solve(140.0, 0.0));
    let ghosts = [
        Ghost { name: "A", role: Role::SetupA, solved: &faster },
        Ghost { name: "B", role: Role::SetupB, solved: &solved },
    ];
    let t_s = solved.outcome.units[0].time_of(EventName::LostTail).unwrap();
    let options = options(1280.0, 800.0, UnitSystem::Si);
    let list = plan_view(&scene(&solved, t_s), &ghosts, &options);
    assert_legible("ghosts", &list);
    leave("plan-ghosts", &list);
    let circle = |key: &str| {
        let Shape::Group { items, .. } = &item(&list, key).shape else { panic!("{key}") };
        let Shape::Circle { centre, stroke, .. } = items[1].shape.clone() else { panic!("{key}") };
        (centre, stroke.unwrap().dash)
    };
    let frame =
        fit_frame(View::Whole, &solved.setup, &solved.record, t_s, options.ground_area(), Travel::Right);
    let position = t_s * solved.record.conveyor_speed_m_s;
    let at = instant(&faster.setup, &faster.record, position / faster.record.conveyor_speed_m_s)[0];
    let expected = frame.page_from_ground([at.brush_m.x, at.brush_m.y]);
    let (a, dash_a) = circle("ghost:A:left");
    let (b, dash_b) = circle("ghost:B:left");
    assert!(a.distance(expected) < 1e-6);
    assert!(a.distance(b) > 5.0, "140 and 100 vehicles/h differ behind the tail: {}", a.distance(b));
    assert_ne!(dash_a, dash_b);
}

#[test]
fn verif_a_missed_tail_is_drawn_and_measured_once_the_brushes_have_left() {
    let solved = solve(140.0, -0.003175);
    let list = plan_view(&scene(&solved, solved.record.end_s), &[], &options(1280.0, 800.0, UnitSystem::Us));
    assert!(keys(&list).iter().any(|k| k.starts_with("missed:")));
    let before = solved.outcome.units[0].time_of(EventName::NoseCorner).unwrap();
    let early = plan_view(&scene(&solved, before), &[], &options(1280.0, 800.0, UnitSystem::Us));
    assert!(!keys(&early).iter().any(|k| k.starts_with("missed:")));
    let mut promised = options(1280.0, 800.0, UnitSystem::Us);
    promised.show.missed_in_the_end = true;
    let early = plan_view(&scene(&solved, before), &[], &promised);
    assert!(keys(&early).iter().any(|k| k.starts_with("missed:")));
}

/// Frozen so that a change of the picture is seen and looked at.
#[test]
fn regress_plan_view_svg() {
    let solved = solve(120.0, 0.0);
    let t_s = solved.outcome.units[0].time_of(EventName::BackOnTail).unwrap();
    let list = plan_view(&scene(&solved, t_s), &[], &options(720.0, 450.0, UnitSystem::Si));
    let again = plan_view(&scene(&solved, t_s), &[], &options(720.0, 450.0, UnitSystem::Si));
    assert_eq!(list, again);
    insta::assert_snapshot!("plan_view_light", svg(&list, Theme::Light));
}

/// A plan too narrow for the place of the nose beside the arrow of travel tells the time alone; a wide one tells both. Neither runs into the arrow's word, nor
/// would in letters a fifth wider.
#[test]
fn verif_the_clock_keeps_clear_of_the_arrow_of_travel() {
    let solved = solve_vehicle(&fleet::sedan(), 120.0, 0.0);
    let t_s = solved.key_instant_s();
    for (width, place) in [(290.0, false), (1280.0, true)] {
        let list = plan_view(&scene(&solved, t_s), &[], &options(width, 260.0, UnitSystem::Us));
        let texts = list.texts();
        let of = |has: &dyn Fn(&str) -> bool| *texts.iter().find(|t| has(&t.text)).expect("there");
        let (clock, travel) =
            (of(&|t: &str| t.split(" · ").next().is_some_and(|t| t.ends_with(" s"))), of(&|t| t == "travel"));
        assert_eq!(clock.text.contains("nose at"), place, "{}", clock.text);
        assert!(clock.bounds().x + 1.2 * clock.bounds().width <= travel.bounds().x, "{width}");
    }
}
