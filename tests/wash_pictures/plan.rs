//! The plan view.

use crate::demo::{pins, solve};
use crate::leave;
use brusharm::coverage::EventName;
use brusharm::drawing::Role;
use brusharm::drawing::plan_view::{Ghost, PlanOptions, PlanScene, plan_view};
use brusharm::units::UnitSystem;

#[test]
fn look() {
    let solved = solve(120.0, 0.0);
    let a = solve(120.0, 0.003175);
    for u in &solved.outcome.units {
        for e in &u.events {
            eprintln!("{} {} {:.2}", u.side.name(), e.name.name(), e.time_s);
        }
    }
    for g in solved.outcome.gaps.iter().take(6) {
        eprintln!("{g:?}");
    }
    for (i, (name, side)) in [
        (EventName::FirstTouch, 0),
        (EventName::NoseCorner, 0),
        (EventName::TailCorner, 1),
        (EventName::LostTail, 0),
        (EventName::LostTail, 1),
        (EventName::Settled, 0),
    ]
    .into_iter()
    .enumerate()
    {
        let t_s = solved.outcome.units[side].time_of(name).unwrap() + if i == 0 { 1.2 } else { 0.0 };
        let scene = PlanScene {
            setup: &solved.setup,
            record: &solved.record,
            outcome: &solved.outcome,
            settings: &solved.settings,
            t_s,
        };
        let mut options = PlanOptions::new(1280.0, 800.0, UnitSystem::Us);
        options.stop_pins = pins();
        options.show.forces = i == 1;
        let ghosts = [Ghost { name: "A", role: Role::SetupA, setup: &a.setup, record: &a.record }];
        let list = plan_view(&scene, if i == 3 { &ghosts } else { &[] }, &options);
        leave(&format!("plan-{i}"), &list);
        let map = brusharm::drawing::unrolled::unrolled_map(
            &scene,
            &brusharm::drawing::unrolled::UnrolledOptions::new(1280.0, 400.0, UnitSystem::Us),
        );
        leave(&format!("map-{i}"), &map.list);
    }
}
