//! Which vehicles are looked at, and what a brush beside one takes.

use super::*;
use crate::pass::Numerics;
use crate::scenario::Scenario;

fn setup() -> crate::pass::PassSetup {
    let text = include_str!("../../../scenarios/opposite-pair.ron");
    let mut setup = Scenario::read_alone(text, "opposite-pair.ron").expect("good").setup();
    setup.numerics = Numerics::default();
    setup
}

/// The circle round a vehicle that holds all its points: a brush that overlaps it may touch, one clear of it by more than the room for the
/// lean may not, up- and downstream; and what a brush cannot touch is not looked at: no index of its pieces is made.
#[test]
fn verif_a_vehicle_out_of_reach_is_not_looked_at() {
    let setup = setup();
    let unit = setup.dynamics(0);
    let plan = &unit.vehicles[0];
    let (radius_m, t_s) = (unit.law.radius_m, 3.0);
    let middle_x = plan.pose.nose_x_m(t_s) - 0.5 * plan.pose.length_m;
    let half_diagonal_m = plan.vehicle.bounds().max.y.hypot(0.5 * plan.vehicle.length_m);
    assert!(plan.reach_m > 0.5 * plan.vehicle.length_m && plan.reach_m <= half_diagonal_m + 1e-9);
    for sense in [-1.0, 1.0] {
        let at = |clear_m: f64| Vec2::new(middle_x + sense * (plan.reach_m + radius_m + clear_m), 2.0);
        assert!(plan.may_touch(at(-1e-6), radius_m, t_s) && plan.may_touch(at(0.099), radius_m, t_s));
        assert!(!plan.may_touch(at(0.101), radius_m, t_s));
        let mut room = SpanRoom::default();
        let (sum, conveyor_w) = unit.contact(t_s, at(3.0 * plan.reach_m), Vec2::zeros(), 0.0, &mut room);
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
    let mut room = SpanRoom::default();
    let (sum, _) = unit.contact(t_s, c, Vec2::new(plan.pose.speed_m_s, 0.0), 0.0, &mut room);
    assert!(plan.bands.iter().all(|band| (band.height_m - 1.0).abs() > 0.05));
    let spindle_w = -(sum.push_moment_n + sum.friction_moment_n) * unit.law.spin_rad_s;
    assert!((sum.absorbed_w_per_m / spindle_w - 1.0).abs() < 1e-9, "{spindle_w} {sum:?}");
    assert!(sum.rubbing_w_per_m > 1.0 && sum.absorbed_w_per_m > sum.rubbing_w_per_m, "{sum:?}");
    // All strips slide at the tip speed or less: at most that times μ and the sum of the pushes.
    let most_w = unit.law.friction * sum.normal_sum_n_per_m * unit.law.spin_rad_s.abs() * unit.law.radius_m;
    assert!(sum.rubbing_w_per_m < most_w && sum.rubbing_w_per_m > 0.35 * most_w, "{most_w}");
}
