//! Time series read back from a record, and the strips drawn from them.

use crate::demo::solve;
use crate::{assert_legible, keys, leave};
use brusharm::arm::Side;
use brusharm::drawing::Role;
use brusharm::drawing::strips::{
    PinnedSeries, StripOptions, StripQuantity, StripScene, pass_strips, time_at,
};
use brusharm::pass::motion::Motion;
use brusharm::pass::series::series_between;
use brusharm::pass::{Clock, series};
use brusharm::units::UnitSystem;

/// Newton's law for the swing: the torques by cause add up to I φ̈ (the weight's inertia is inside the cable's torque).
#[test]
fn verif_the_budget_adds_up_to_inertia_times_acceleration() {
    let solved = solve(100.0, 0.003175);
    let series = series(&solved.setup, &solved.record, 0.05);
    let mut moving = 0;
    for (unit, model) in series.units.iter().zip(&solved.setup.units) {
        for sample in &unit.samples {
            let sum = sample.budget.total_n_m();
            let inertia = model.body.inertia_kg_m2;
            assert!(
                (sum - inertia * sample.alpha_rad_s2).abs() < 1e-9 * (1.0 + inertia),
                "{}: {sum}",
                sample.t_s
            );
            moving += usize::from(sample.modes.motion != Motion::Stick && sample.alpha_rad_s2.abs() > 1e-3);
        }
    }
    assert!(moving > 500, "{moving}");
}

#[test]
fn verif_samples_are_the_dense_output_and_rates_are_its_slopes() {
    let solved = solve(100.0, 0.0);
    let found = series_between(&solved.setup, &solved.record, 5.0, 30.0, 0.005);
    assert_eq!(found.time_s.len(), 5001);
    let mut checked = 0;
    for unit in &found.units {
        for three in unit.samples.windows(3) {
            let slope = (three[2].phi_rad - three[0].phi_rad) / (three[2].t_s - three[0].t_s);
            assert!((slope - three[1].omega_rad_s).abs() < 2e-3, "{} {slope}", three[1].t_s);
            checked += usize::from(three[1].omega_rad_s.abs() > 0.02);
        }
    }
    assert!(checked > 200, "{checked}");
    let speed = solved.record.conveyor_speed_m_s;
    assert!((found.vehicle_position_m[100] - found.time_s[100] * speed).abs() < 1e-12);
    for clock in [Clock::Time, Clock::VehiclePosition] {
        assert!((clock.time_s(clock.reading(7.3, speed), speed) - 7.3).abs() < 1e-12);
    }
}

#[test]
fn verif_strips_are_legible_and_answer_a_drag() {
    let (solved, pinned) = (solve(100.0, 0.0), solve(140.0, 0.003175));
    let own = series(&solved.setup, &solved.record, 0.05);
    let other = series(&pinned.setup, &pinned.record, 0.05);
    let scene = StripScene {
        series: &own,
        outcome: &solved.outcome,
        conveyor_speed_m_s: solved.record.conveyor_speed_m_s,
    };
    let pins = [PinnedSeries {
        name: "A",
        role: Role::SetupA,
        series: &other,
        conveyor_speed_m_s: pinned.record.conveyor_speed_m_s,
    }];
    for (clock, units, detail) in
        [(Clock::Time, UnitSystem::Us, Side::Left), (Clock::VehiclePosition, UnitSystem::Si, Side::Right)]
    {
        for (width, height) in [(1280.0, 900.0), (1000.0, 760.0)] {
            let mut options = StripOptions::new(width, height, units);
            (options.clock, options.detail, options.cursor_s) = (clock, detail, Some(21.0));
            let chart = pass_strips(&scene, &pins, &options);
            assert!(assert_legible(&format!("strips {clock:?} {width}"), &chart.list) > 30);
            leave(&format!("strips-{clock:?}-{width}"), &chart.list);
            assert_eq!(chart.plots.len(), StripQuantity::ALL.len());
            let events = keys(&chart.list).iter().filter(|k| k.starts_with("event:")).count();
            let unit = solved.outcome.units.iter().find(|u| u.side == detail).unwrap();
            assert_eq!(events, unit.events.len());
            for plot in &chart.plots {
                let reading = clock.reading(21.0, scene.conveyor_speed_m_s);
                let at = brusharm::drawing::pos(plot.x.at(reading), plot.area.centre().y);
                let time = time_at(&chart, &scene, &options, at).unwrap();
                assert!((time - 21.0).abs() < 1e-9, "{clock:?}: {time}");
            }
        }
    }
}

/// After a unit's own run its values are marked as ended, and its lines stop.
#[test]
fn verif_a_unit_ends_with_its_own_run() {
    let solved = solve(120.0, 0.0);
    let found = series(&solved.setup, &solved.record, 0.05);
    let mut ended = 0;
    for (unit, run) in found.units.iter().zip(&solved.record.units) {
        for (sample, t) in unit.samples.iter().zip(&found.time_s) {
            assert_eq!(sample.ended, *t > run.end_s());
            assert!(sample.t_s <= run.end_s());
            ended += usize::from(sample.ended);
        }
    }
    assert!(ended > 0);
}
