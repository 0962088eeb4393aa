//! The unrolled map.

use crate::demo::{solve, solve_vehicle};
use crate::{assert_legible, item, keys, leave};
use brusharm::coverage::{EventName, Solved, TouchAnswer, touch_answer};
use brusharm::drawing::plan_view::PlanScene;
use brusharm::drawing::svg::svg;
use brusharm::drawing::unrolled::{MapQuantity, UnrolledOptions, unrolled_map};
use brusharm::drawing::{Theme, pos};
use brusharm::sentences::touched;
use brusharm::units::UnitSystem;
use brusharm::vehicle::{Zone, fleet};

fn scene(solved: &Solved, t_s: f64) -> PlanScene<'_> {
    PlanScene { solved, t_s }
}

#[test]
fn verif_every_gap_is_drawn_once_and_the_map_is_legible() {
    for spec in fleet::library() {
        let solved = solve_vehicle(&spec, 120.0, 0.0);
        let t_s = solved.outcome.units[0].time_of(EventName::BackOnTail).unwrap_or(20.0);
        for (width, height, size) in [(1280.0, 400.0, 12.0), (900.0, 320.0, 11.0), (1920.0, 520.0, 20.0)] {
            for quantity in MapQuantity::ALL {
                let mut options = UnrolledOptions::new(width, height, UnitSystem::Us);
                (options.quantity, options.text_size) = (quantity, size);
                let map = unrolled_map(&scene(&solved, t_s), &options);
                let name = format!("{} {} {width}", spec.name, quantity.name());
                assert!(assert_legible(&name, &map.list) > 15);
                let gaps = keys(&map.list).iter().filter(|k| k.starts_with("gap:")).count();
                assert_eq!(gaps, solved.outcome.gaps.len(), "{name}");
                if width == 1280.0 && quantity == MapQuantity::Wipes {
                    leave(&format!("map-{}", spec.name.replace(' ', "-")), &map.list);
                }
                if spec.name == "sedan" && width == 1280.0 {
                    leave(&format!("map-{}", quantity.name().replace(' ', "-")), &map.list);
                }
            }
        }
    }
}

#[test]
fn verif_spots_and_places_are_inverse() {
    let solved = solve(120.0, 0.0);
    let map = unrolled_map(&scene(&solved, 20.0), &UnrolledOptions::new(1280.0, 400.0, UnitSystem::Si));
    let mut seen = 0;
    for (band, unrolled) in solved.outcome.coverage.bands.iter().enumerate() {
        for (index, station) in unrolled.stations.iter().enumerate().step_by(7) {
            let at = map.page_at(band, station.s_m).unwrap();
            let spot = map.spot_at(at).unwrap();
            assert_eq!((spot.band, spot.station), (band, index));
            seen += 1;
        }
    }
    assert!(seen > 300);
    assert!(map.spot_at(pos(2.0, 2.0)).is_none());
    // Nose, left side, tail, right side from left to right.
    let middle = |zone: Zone| {
        let band = &solved.outcome.coverage.bands[0];
        let places =
            band.stations.iter().filter(|s| s.zone == zone).map(|s| map.page_at(0, s.s_m).unwrap().x);
        let places: Vec<f64> = places.collect();
        places.iter().sum::<f64>() / places.len() as f64
    };
    let order = [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide].map(middle);
    assert!(order.windows(2).all(|pair| pair[0] < pair[1]), "{order:?}");
}

#[test]
fn verif_the_cursor_brackets_the_stations_touched_now() {
    let solved = solve(120.0, 0.0);
    let t_s = solved.outcome.units[1].time_of(EventName::TailCorner).unwrap() - 2.0;
    let map = unrolled_map(&scene(&solved, t_s), &UnrolledOptions::new(1280.0, 400.0, UnitSystem::Us));
    item(&map.list, "now:right");
    let late = unrolled_map(
        &scene(&solved, solved.record.end_s),
        &UnrolledOptions::new(1280.0, 400.0, UnitSystem::Us),
    );
    assert!(!keys(&late.list).iter().any(|k| k.starts_with("now:")));
}

#[test]
fn verif_the_asked_wipes_stand_on_the_scale() {
    let solved = solve(120.0, 0.0);
    let mut options = UnrolledOptions::new(1280.0, 400.0, UnitSystem::Us);
    let map = unrolled_map(&scene(&solved, 20.0), &options);
    assert!(map.list.texts().iter().any(|t| t.text == "asked 9"));
    assert!(map.full_scale > 9.0);
    options.quantity = MapQuantity::PeakPressure;
    let map = unrolled_map(&scene(&solved, 20.0), &options);
    assert!(!map.list.texts().iter().any(|t| t.text.starts_with("asked")));
}

#[test]
fn verif_a_click_says_when_or_why_not() {
    let solved = solve(140.0, -0.003175);
    let answer = |band: usize, station: usize| {
        touch_answer(&solved.setup, &solved.record, &solved.outcome, &solved.settings, (band, station))
            .unwrap()
    };
    // The middle of the tail was never touched at this speed and lean.
    let band = 0;
    let middle = solved.outcome.coverage.bands[band].stations.len() / 2;
    let told = answer(band, middle);
    let text = touched(&told, UnitSystem::Us);
    let TouchAnswer::Never { by, nearest_s, short_m, .. } = told else {
        panic!("the middle of the tail is touched: {text}");
    };
    assert!(text.starts_with(&format!("never reached: the {} brush was ", by.name())), "{text}");
    assert!(short_m > 0.0 && short_m < 1.0);
    // No instant of a fine walk is nearer.
    let spot = solved.outcome.coverage.bands[band].stations[middle].point_m;
    let gap = |unit: usize, t: f64| {
        let model = &solved.setup.units[unit];
        let pose = solved.setup.plan(solved.setup.measured, model).pose;
        let c = model.brush_center_m(solved.record.units[unit].state_at(t).phi_rad());
        let z = 0.5
            * (solved.outcome.coverage.bands[band].z_low_m + solved.outcome.coverage.bands[band].z_high_m);
        let mut p = spot;
        p.y *= model.side.y_sign();
        (pose.unit_from_vehicle(p, t) - c - model.lean_shift_m(z)).norm() - model.brush.radius_m
    };
    let unit = by.index();
    assert!((gap(unit, nearest_s) - short_m).abs() < 1e-9);
    for other in 0..2 {
        let run = &solved.record.units[other];
        for k in 0..4000 {
            let t = run.start_s() + (run.end_s() - run.start_s()) * f64::from(k) / 4000.0;
            assert!(gap(other, t) > short_m - 1e-9);
        }
    }
    // A spot on the left side was touched, first before hardest.
    let station =
        solved.outcome.coverage.bands[band].stations.iter().position(|s| s.zone == Zone::LeftSide).unwrap()
            + 60;
    let told = answer(band, station);
    let text = touched(&told, UnitSystem::Si);
    let TouchAnswer::Touched { first_s, peak_s, .. } = told else { panic!("the side is touched") };
    assert!(first_s <= peak_s && text.starts_with("washed: "), "{text}");
}

/// Frozen so that a change of the picture is seen and looked at.
#[test]
fn regress_unrolled_map_svg() {
    let solved = solve(120.0, 0.0);
    let t_s = solved.outcome.units[0].time_of(EventName::BackOnTail).unwrap();
    let map = unrolled_map(&scene(&solved, t_s), &UnrolledOptions::new(720.0, 300.0, UnitSystem::Si));
    insta::assert_snapshot!("unrolled_map_light", svg(&map.list, Theme::Light));
}
