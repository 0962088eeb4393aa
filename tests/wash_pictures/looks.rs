//! What is drawn of a car, a bay and a brush, and what a difference looks like.

use crate::demo::{pins, solve, solve_vehicle};
use crate::{item, leave};
use brusharm::coverage::{EventName, Solved};
use brusharm::drawing::frame::Travel;
use brusharm::drawing::palette::Hue;
use brusharm::drawing::plan_view::{
    PlanOptions, PlanScene, View, fit_frame, ground_from_unit, plan_view, unit_contact,
};
use brusharm::drawing::unrolled::{
    Against, MapQuantity, UnrolledOptions, comparable, difference_map, full_scale,
};
use brusharm::drawing::words::round_up;
use brusharm::drawing::{DisplayList, Frame, HatchKind, Item, Pos, Rect, Role, Shape};
use brusharm::geometry::Vec2;
use brusharm::pass::instant;
use brusharm::units::UnitSystem;
use brusharm::vehicle::fleet;

fn scene(solved: &Solved, t_s: f64) -> PlanScene<'_> {
    PlanScene { solved, t_s }
}

fn options(width: f64, height: f64) -> PlanOptions {
    PlanOptions { stop_pins: pins(), ..PlanOptions::new(width, height, UnitSystem::Us) }
}

fn every<'a>(list: &'a DisplayList, visit: &mut dyn FnMut(&'a Item)) {
    list.items.iter().for_each(|item| item.walk(visit));
}

fn frame_of(solved: &Solved, t_s: f64, options: &PlanOptions) -> Frame {
    fit_frame(View::Whole, &solved.setup, &solved.record, t_s, options.ground_area(), Travel::Right)
}

/// A point of the page in the frame of the measured vehicle.
fn on_vehicle(solved: &Solved, t_s: f64, frame: &Frame, at: Pos) -> Vec2 {
    let setup = &solved.setup;
    let member = &setup.train[setup.measured];
    let pose = setup.pose(member, setup.nose_at_zero_s(setup.measured), brusharm::arm::Side::Left);
    let [x, y] = frame.ground_from_page(at);
    pose.vehicle_from_unit(Vec2::new(x, y), t_s)
}

/// What is drawn of a car lies inside the outlines that are computed: nothing of the picture reaches farther than the model does.
#[test]
fn verif_glass_lamps_and_wheels_stay_inside_the_outline() {
    for spec in fleet::library() {
        let solved = solve_vehicle(&spec, 120.0, 0.0);
        let t_s = 0.5 * (solved.record.start_s + solved.record.end_s);
        let options = options(1280.0, 800.0);
        let frame = frame_of(&solved, t_s, &options);
        let list = plan_view(&scene(&solved, t_s), &[], &options);
        let vehicle = &solved.setup.train[solved.setup.measured].shape.real;
        let (mut glass, mut lamps, mut wheels) = (0, 0, 0);
        let Shape::Group { items, .. } = &item(&list, "vehicle").shape else { panic!("a group") };
        for part in items {
            let Shape::Polygon { points, fill, .. } = &part.shape else { continue };
            let Some(paint) = fill.paint else { continue };
            let kind = match paint.hue {
                Hue::Role(Role::Glass) => &mut glass,
                Hue::Role(Role::Paper) => &mut lamps,
                Hue::Role(Role::Shade) if paint.opacity > 0.3 => &mut wheels,
                _ => continue,
            };
            *kind += 1;
            for at in points {
                let p = on_vehicle(&solved, t_s, &frame, *at);
                // A fifth of a page unit for what was left out of the points.
                let outlines = vehicle.bands.iter().filter_map(|band| band.body());
                let off_m = outlines
                    .map(|outline| {
                        if outline.chain.contains(p) {
                            0.0
                        } else {
                            (outline.chain.nearest(p).point - p).norm()
                        }
                    })
                    .fold(f64::INFINITY, f64::min);
                assert!(off_m * frame.scale_per_m < 0.4, "{}: {p:?} is {off_m} m out", spec.name);
            }
        }
        assert_eq!((glass, lamps, wheels), (1, 2, 4), "{}", spec.name);
        leave(&format!("looks-{}", spec.name.replace(' ', "-")), &list);
    }
}

/// Pressure is drawn where it acts: outside the outline that is pressed, as far out as it is high.
#[test]
fn verif_pressure_stands_outside_the_outline_in_its_own_colours() {
    let solved = solve(120.0, 0.0);
    let t_s = solved.outcome.units[0].time_of(EventName::Mirror).unwrap_or(20.0) + 2.0;
    let options = options(1280.0, 800.0);
    let frame = frame_of(&solved, t_s, &options);
    let list = plan_view(&scene(&solved, t_s), &[], &options);
    let vehicle = &solved.setup.train[solved.setup.measured].shape.real;
    let mut seen = 0;
    every(&list, &mut |ribbon| {
        let measured = format!("pressure:{}:", solved.setup.measured);
        let Some(band) = ribbon.key.as_deref().and_then(|key| key.strip_prefix(&measured)) else { return };
        let chain = &vehicle.bands[band.parse::<usize>().expect("a band")].outlines[0].chain;
        let Shape::Group { items, .. } = &ribbon.shape else { panic!("a group") };
        for part in items {
            let Shape::Polygon { points, fill, .. } = &part.shape else { continue };
            assert!(fill.paint.is_some_and(|paint| matches!(paint.hue, Hue::Pressure(_))));
            for at in points {
                assert!(!chain.contains(on_vehicle(&solved, t_s, &frame, *at)), "{at:?}");
                seen += 1;
            }
        }
    });
    let pressed = instant(&solved.setup, &solved.record, t_s);
    let runs: usize =
        pressed.iter().enumerate().map(|(i, at)| unit_contact(&solved.setup, i, at).runs.len()).sum();
    assert!(runs > 0 && seen > 20, "{runs} runs, {seen} points");
}

/// A free strip's tip lags behind its root against the spin, and a strip that meets the body ends on it.
#[test]
fn verif_strips_trail_against_the_spin_and_lie_on_what_they_press() {
    let solved = solve(120.0, 0.0);
    let t_s = solved.outcome.units[0].time_of(EventName::TailCorner).unwrap();
    let options = options(1280.0, 800.0);
    let frame = frame_of(&solved, t_s, &options);
    let list = plan_view(&scene(&solved, t_s), &[], &options);
    let at = instant(&solved.setup, &solved.record, t_s)[0];
    let model = &solved.setup.units[0];
    let centre = ground_from_unit(at.side, at.brush_m);
    let Shape::Group { items, .. } = &item(&list, "brush:left").shape else { panic!("a group") };
    let (mut free, mut laid) = (0, 0);
    for strip in items {
        let Shape::Polyline { points, closed: false, .. } = &strip.shape else { continue };
        let from_centre = |p: Pos| {
            let [x, y] = frame.ground_from_page(p);
            Vec2::new(x, y) - centre
        };
        let (root, tip) = (from_centre(points[0]), from_centre(points[points.len() - 1]));
        assert!((root.norm() - model.brush.hub_radius_m).abs() < 1e-6);
        // Nothing is longer than a strip is.
        let long: f64 = points.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>() / frame.scale_per_m;
        assert!(long < 1.12 * (model.brush.radius_m - model.brush.hub_radius_m), "{long}");
        if (tip.norm() - model.brush.radius_m).abs() < 1e-6 {
            let lag = root.x * tip.y - root.y * tip.x;
            assert!(lag * model.spin_rad_s() < 0.0, "{lag}");
            free += 1;
        } else {
            assert!(tip.norm() < model.brush.radius_m + 0.02);
            laid += 1;
        }
    }
    assert_eq!(free + laid, 3 * model.brush.strips as usize);
    assert!(free > 10 && laid > 2, "{free} {laid}");
}

/// Without looks nothing of a car but its outlines is drawn: one switch for pictures that must stay small.
#[test]
fn verif_looks_are_one_switch() {
    let solved = solve(120.0, 0.0);
    let mut plain = options(720.0, 450.0);
    let full = plan_view(&scene(&solved, 20.0), &[], &plain);
    plain.show.looks = false;
    let bare = plan_view(&scene(&solved, 20.0), &[], &plain);
    let count = |list: &DisplayList| {
        let (mut all, mut looks) = (0, 0);
        every(list, &mut |item| {
            all += 1;
            if let Shape::Polygon { fill, .. } = &item.shape
                && let Some(Hue::Role(Role::Glass | Role::Floor | Role::Shade)) =
                    fill.paint.map(|paint| paint.hue)
            {
                looks += 1;
            }
        });
        (all, looks)
    };
    let ((all, looks), (few, none)) = (count(&full), count(&bare));
    assert!(looks > 8 && none == 0 && few < all, "{all} {looks} {few} {none}");
    let size = |list: &DisplayList| brusharm::drawing::svg::svg(list, brusharm::drawing::Theme::Light).len();
    let (large, small) = (size(&full), size(&bare));
    assert!(large < 2 * small + 20_000, "{large} {small}");
}

/// No label lies over bearings, stop pins, cylinders or weights, nor over another label, in pictures from a phone's to a projector's.
#[test]
fn verif_labels_keep_off_the_machine() {
    let mut seen = 0;
    for (throughput, lower_m) in [(120.0, 0.0), (100.0, 0.003175)] {
        let solved = solve(throughput, lower_m);
        for (width, height) in
            [(400.0, 220.0), (496.0, 330.0), (580.0, 380.0), (980.0, 560.0), (1900.0, 900.0)]
        {
            for unit in &solved.outcome.units {
                for event in &unit.events {
                    let mut options = options(width, height);
                    options.show.clock = false;
                    let list = plan_view(&scene(&solved, event.time_s), &[], &options);
                    let mut solid: Vec<(String, Rect)> = Vec::new();
                    every(&list, &mut |item| {
                        let Some(key) = &item.key else { return };
                        if !["pivot:", "stop-pin:", "cylinder:"].iter().any(|part| key.starts_with(part)) {
                            return;
                        }
                        item.walk(&mut |inner| {
                            // Boxes of slanted bars would hold more than the bar: small parts only.
                            if let Shape::Circle { centre, radius, .. } = &inner.shape {
                                let r = *radius;
                                solid.push((
                                    key.clone(),
                                    Rect::new(centre.x - r, centre.y - r, 2.0 * r, 2.0 * r),
                                ));
                            }
                        });
                    });
                    assert!(solid.len() >= 8);
                    let area = options.ground_area();
                    for text in list.texts() {
                        let own = text.bounds();
                        if !area.contains(own.centre()) || text.text == "travel" || text.text.ends_with(" ft")
                        {
                            continue;
                        }
                        for (key, rect) in &solid {
                            let name = format!(
                                "«{}» over {key} at {width} × {height}, {}",
                                text.text,
                                event.name.name()
                            );
                            assert!(!own.inset(1.0).overlaps(rect), "{name}");
                        }
                        seen += 1;
                    }
                }
            }
        }
    }
    assert!(seen > 500, "{seen}");
}

/// Every cell of the difference has the step of the difference of its two values, read from the stations themselves; a pass against itself is plain.
#[test]
fn verif_a_difference_is_what_the_stations_differ_by() {
    let (now, before) = (solve(120.0, 0.003175), solve(120.0, 0.0));
    let mut options = UnrolledOptions::new(1280.0, 400.0, UnitSystem::Si);
    options.cursor = false;
    options.quantity = MapQuantity::ContactTime;
    assert!(comparable(&now, &before));
    let against = |solved| Against { name: "A", role: Role::SetupA, solved };
    let tones = |list: &DisplayList| {
        let mut found: Vec<(Rect, f64, Option<HatchKind>)> = Vec::new();
        every(list, &mut |item| {
            if item.key.as_deref().is_some_and(|key| key.starts_with("band:")) {
                item.walk(&mut |cell| {
                    if let Shape::Polygon { points, fill, .. } = &cell.shape
                        && let Some(Hue::Difference(share)) = fill.paint.map(|paint| paint.hue)
                    {
                        let rect = Rect::around(points).expect("corners");
                        found.push((rect, share, fill.hatch.map(|hatch| hatch.kind)));
                    }
                });
            }
        });
        found
    };
    assert!(tones(&difference_map(&scene(&now, 0.0), &against(&now), &options).list).is_empty());
    let map = difference_map(&scene(&now, 0.0), &against(&before), &options);
    leave("difference", &map.list);
    let half = round_up(0.25 * full_scale(&scene(&now, 0.0), options.quantity, options.units));
    let found = tones(&map.list);
    let value = |solved: &Solved, band: usize, station: usize| {
        let station = &solved.outcome.coverage.bands[band].stations[station];
        options.quantity.value(station, options.units).unwrap_or(0.0)
    };
    let says = |list: &DisplayList, words: &str| list.texts().iter().any(|text| text.text == words);
    assert!(
        says(&map.list, "gap of A")
            && says(&map.list, "now − A: contact time, s")
            && !says(&map.list, "not touched")
    );
    let (mut less, mut more) = (0, 0);
    for (rect, share, hatch) in &found {
        let spot = map.spot_at(rect.centre()).expect("on the map");
        let by = value(&now, spot.band, spot.station) - value(&before, spot.band, spot.station);
        assert!((share - (by / half).clamp(-1.0, 1.0)).abs() <= 0.5 / 8.0 + 1e-9, "{share} {by} {half}");
        let kind = if *share < 0.0 { HatchKind::Level } else { HatchKind::Upright };
        assert!(*share != 0.0 && *hatch == Some(kind));
        if *share < 0.0 { less += 1 } else { more += 1 }
    }
    assert!(less > 0 && more > 0, "{less} {more}");
    // Another vehicle has its spots elsewhere: there the map itself is drawn.
    let other = solve_vehicle(&fleet::pickup(), 120.0, 0.0);
    assert!(!comparable(&now, &other));
    assert!(tones(&difference_map(&scene(&now, 0.0), &against(&other), &options).list).is_empty());
}
