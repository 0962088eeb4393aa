//! Which vehicles are looked at, and what a brush beside one takes.

use super::*;
use crate::elementary::Elementary;
use crate::pass::Numerics;
use crate::scenario::Scenario;

fn setup() -> crate::pass::PassSetup {
    let text = include_str!("../../../scenarios/opposite-pair.ron");
    let mut setup = Scenario::read_alone(text, "opposite-pair.ron").expect("good").setup();
    setup.numerics = Numerics::default();
    setup
}

/// The circle round a vehicle that holds all its points: a brush that overlaps it may touch, one clear of it by more than the scratch for the
/// lean may not, up- and downstream; and what a brush cannot touch is not looked at: no index of its pieces is made.
#[test]
fn verif_a_vehicle_out_of_reach_is_not_looked_at() {
    let setup = setup();
    let unit = setup.dynamics(0);
    let plan = &unit.vehicles[0];
    let (radius_m, t_s) = (unit.law.radius_m, 3.0);
    let middle_x = plan.pose.nose_x_m(t_s) - 0.5 * plan.pose.length_m;
    let half_diagonal_m = plan.vehicle.bounds().max.y.hypotenuse(0.5 * plan.vehicle.length_m);
    assert!(plan.reach_m > 0.5 * plan.vehicle.length_m && plan.reach_m <= half_diagonal_m + 1e-9);
    for sense in [-1.0, 1.0] {
        let at = |clear_m: f64| Vec2::new(middle_x + sense * (plan.reach_m + radius_m + clear_m), 2.0);
        assert!(plan.may_touch(at(-1e-6), radius_m, t_s) && plan.may_touch(at(0.099), radius_m, t_s));
        assert!(!plan.may_touch(at(0.101), radius_m, t_s));
        let mut scratch = SpanScratch::default();
        let (sum, conveyor_w) = unit.contact(t_s, at(3.0 * plan.reach_m), Vec2::zeros(), 0.0, &mut scratch);
        assert_eq!((sum.normal_sum_n_per_m, conveyor_w), (0.0, 0.0));
    }
    assert!(!plan.bands.is_empty() && plan.bands.iter().all(|band| band.near.get().is_none()));
}

/// A brush that keeps its place beside a vehicle does no work on it: the contact takes what the spindle gives, some of which rubs and the
/// rest flexes strips; each summed over the heights of the bands.
#[test]
fn verif_a_brush_that_keeps_beside_a_vehicle_takes_what_its_spindle_gives() {
    let setup = setup();
    let unit = setup.dynamics(0);
    let plan = &unit.vehicles[0];
    let t_s = 3.0;
    let middle = Vec2::new(plan.pose.nose_x_m(t_s) - 0.5 * plan.pose.length_m, 0.0);
    let c = middle + Vec2::new(0.0, plan.vehicle.bounds().max.y + 0.7 * unit.law.radius_m);
    let mut scratch = SpanScratch::default();
    let (sum, _) = unit.contact(t_s, c, Vec2::new(plan.pose.speed_m_s, 0.0), 0.0, &mut scratch);
    assert!(plan.bands.iter().all(|band| (band.height_m - 1.0).abs() > 0.05));
    let spindle_w = -(sum.push_moment_n + sum.friction_moment_n) * unit.law.spin_rad_s;
    assert!((sum.absorbed_w_per_m / spindle_w - 1.0).abs() < 1e-9, "{spindle_w} {sum:?}");
    assert!(sum.rubbing_w_per_m > 1.0 && sum.absorbed_w_per_m > sum.rubbing_w_per_m, "{sum:?}");
    // All strips slide at the tip speed or less: at most that times μ and the sum of the pushes.
    let most_w = unit.law.friction * sum.normal_sum_n_per_m * unit.law.spin_rad_s.abs() * unit.law.radius_m;
    assert!(sum.rubbing_w_per_m < most_w && sum.rubbing_w_per_m > 0.35 * most_w, "{most_w}");
}

/// What is stored by its slopes, by central differences: along the swing the torques that give it back (lean, weight, gas, stops), with its rate the momenta of arm and
/// weight, with the slack the weight itself and with its rate what the weight carries.
#[test]
fn verif_stored_energy_by_its_slopes() {
    let mut setup = setup();
    let mut checked = 0;
    for index in 0..setup.units.len() {
        // Both stops in reach, 2 mm and more pressed at one angle or another.
        let seat = setup.units[index].inboard_stop.seat_rad;
        setup.units[index].outboard_stop.seat_rad = seat + 0.5;
        let unit = setup.dynamics(index);
        let model = unit.model;
        let weight = model.counterweight.as_ref().expect("a weight");
        let at = |phi: f64, omega: f64, slack: f64, slack_rate: f64| {
            let mut y = [0.0; state::COUNT];
            (y[PHI], y[OMEGA], y[SLACK], y[SLACK_RATE]) = (phi, omega, slack, slack_rate);
            unit.stored_j(&y)
        };
        let near = |got: f64, want: f64, what: &str| {
            assert!((got - want).abs() < 2e-5 * (1.0 + want.abs()), "{what}: {got}, by hand {want}");
        };
        for phi in [seat - 0.01, seat + 0.05, seat + 0.3, seat + 0.51] {
            let h = 1e-5;
            let s = weight.strut.at(phi);
            let lever_m = weight.travel_ratio * s.d1_m;
            let stop = |stop: &BumperStop, sense: f64| {
                -sense * stop.elastic_n(compression_m(stop, phi, sense).max(0.0)) * stop.radius_m
            };
            let gas: f64 =
                model.dampers.iter().map(|d| d.gas_push_n(&d.strut.at(phi)) * d.strut.at(phi).d1_m).sum();
            let torque = model.lean_torque_n_m(phi) - lever_m * weight.tension_n(0.0)
                + gas
                + stop(&model.inboard_stop, -1.0)
                + stop(&model.outboard_stop, 1.0);
            near((at(phi + h, 0.0, 0.0, 0.0) - at(phi - h, 0.0, 0.0, 0.0)) / (2.0 * h), -torque, "swing");
            for (omega, slack_rate) in [(0.7, 0.0), (-0.4, 0.2), (0.0, -0.3)] {
                let rate = lever_m * omega + slack_rate;
                let by_rate =
                    (at(phi, omega + h, 0.01, slack_rate) - at(phi, omega - h, 0.01, slack_rate)) / (2.0 * h);
                near(by_rate, model.body.inertia_kg_m2 * omega + weight.mass_kg * rate * lever_m, "rate");
                let by_slack = (at(phi, omega, 0.02, slack_rate) - at(phi, omega, 0.01, slack_rate)) / 0.01;
                near(by_slack, weight.weight_n(), "slack");
                let by_slack_rate =
                    (at(phi, omega, 0.01, slack_rate + h) - at(phi, omega, 0.01, slack_rate - h)) / (2.0 * h);
                near(by_slack_rate, weight.mass_kg * rate, "rate of the slack");
                checked += 1;
            }
        }
    }
    assert!(checked == 24, "{checked}");
}
