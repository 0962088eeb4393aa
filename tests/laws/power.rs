//! Power at one instant, over bands, yaw, lean and a moving arm.

use crate::common::machine::{setup, solve};
use brusharm::geometry::Vec2;
use brusharm::pass::PassSetup;
use brusharm::pass::contact::{SpanScratch, surface_point};
use brusharm::pass::motion::{UnitDynamics, state};
use brusharm::vehicle::fleet;

fn leaning_setup() -> PassSetup {
    let mut setup = setup(&fleet::sedan(), 120.0);
    for unit in &mut setup.units {
        unit.bearings.lower.toward_wall_m = 0.004;
        unit.bearings.lower.downstream_m = -0.002;
    }
    for vehicle in &mut setup.train {
        vehicle.lateral_offset_m = 0.05;
        vehicle.yaw_rad = 0.02;
    }
    setup
}

/// Times and arm states along a pass at which the brush presses on the measured vehicle.
fn scattered(dynamics: &UnitDynamics<'_>) -> Vec<(f64, [f64; state::COUNT])> {
    let mut found = Vec::new();
    for i in 0..4000_u32 {
        let turn = f64::from(i);
        let t = 0.01 * turn;
        let mut y = [0.0; state::COUNT];
        y[state::PHI] = 1.35 + 0.25 * (0.37 * turn).sin();
        y[state::OMEGA] = 0.5 * (1.7 * turn).cos();
        let (c, v) = dynamics.brush_motion(&y);
        let (sum, _) = dynamics.contact(t, c, v, y[state::OMEGA], &mut SpanScratch::default());
        if sum.normal_sum_n_per_m > 1.0 && sum.indentation_m < 0.5 {
            found.push((t, y));
        }
    }
    assert!(found.len() > 300, "{} places touch", found.len());
    found
}

/// Conveyor and spindle give what the contact takes and the arm gets: v·F_x − M ω = absorbed + τ φ̇.
#[test]
fn verif_power_in_is_absorbed_or_moves_the_arm() {
    let setup = leaning_setup();
    for index in [0, 1] {
        let dynamics = setup.dynamics(index);
        let mut scratch = SpanScratch::default();
        let mut largest: f64 = 0.0;
        for (t, y) in scattered(&dynamics) {
            let (c, v) = dynamics.brush_motion(&y);
            let omega = y[state::OMEGA];
            let (sum, conveyor_w) = dynamics.contact(t, c, v, omega, &mut scratch);
            assert!((conveyor_w - sum.force_n_per_m().x * setup.conveyor_speed_m_s).abs() < 1e-10);
            let spindle_w = -sum.moment_n() * dynamics.law.spin_rad_s;
            let arm = c - dynamics.model.pivot_m;
            let torque = arm.perp(&sum.force_n_per_m()) + sum.moment_n();
            let off = conveyor_w + spindle_w - sum.absorbed_w_per_m - torque * omega;
            assert!(off.abs() < 1e-9 * (spindle_w.abs() + 1.0), "{off} W at {t} s");
            largest = largest.max(spindle_w);
        }
        assert!(largest > 100.0, "{largest} W");
    }
}

/// Torque on the arm is Σ (p − P) × F over contact points, each height about the leaning axis where the axis is at that height: strips
/// and rubbing summed point by point along every span.
#[test]
fn verif_torque_is_the_sum_of_moments_of_contact_points() {
    let setup = leaning_setup();
    for index in [0, 1] {
        let dynamics = setup.dynamics(index);
        let mut scratch = SpanScratch::default();
        let mut checked = 0;
        for (t, y) in scattered(&dynamics).into_iter().step_by(7) {
            let (c, v) = dynamics.brush_motion(&y);
            let omega = y[state::OMEGA];
            let law =
                brusharm::pass::contact::ContactLaw { hub_stiffness: 0.0, ..dynamics.law.turned(omega) };
            let (mut torque, mut scale) = (0.0, 0.0);
            for plan in &dynamics.vehicles {
                let velocity = plan.pose.vehicle_from_unit_dir(v - Vec2::new(plan.pose.speed_m_s, 0.0));
                for band in &plan.bands {
                    // The lean carries axis and brush alike.
                    let pivot = dynamics.model.pivot_m + band.shift_m;
                    let local = plan.pose.vehicle_from_unit(c + band.shift_m, t);
                    for span in band.near().find_spans(&band.band.outlines, local, &mut scratch) {
                        let piece = &band.band.outlines[span.outline].chain.pieces()[span.piece];
                        let n = 400;
                        let ds = (span.to_m - span.from_m) / f64::from(n);
                        for k in 0..n {
                            let s = span.from_m + (f64::from(k) + 0.5) * ds;
                            let at = surface_point(&law, piece, s, local, velocity);
                            let p = piece.point_at(s);
                            let normal = at.pressure_pa * ds * band.height_m;
                            let (along, way) = (piece.tangent_at(s), at.tip_m_s.signum());
                            let turn = |force: Vec2, place: Vec2| {
                                let force = plan.pose.unit_from_vehicle_dir(force);
                                (plan.pose.unit_from_vehicle(place, t) - pivot).perp(&force)
                            };
                            // The push toward the arriving tips of the place, against which the tips move.
                            torque += turn(piece.normal_at(s) * normal, p - along * (way * law.lead_m));
                            torque += turn(-along * (law.friction * normal * way), p);
                            scale += normal * 2.0;
                        }
                    }
                }
            }
            let (sum, _) = dynamics.contact(t, c, v, omega, &mut scratch);
            let arm = c - dynamics.model.pivot_m;
            let engine = arm.perp(&sum.force_n_per_m()) + sum.moment_n();
            if sum.indentation_m < 0.43 {
                assert!((engine - torque).abs() < 2e-4 * scale, "{engine} against {torque} N m at {t} s");
                checked += 1;
            }
        }
        assert!(checked > 40, "{checked}");
    }
}

/// The torque budget adds up to I φ̈ (with the counterweight's own inertia inside its entry).
#[test]
fn verif_budget_adds_up_to_the_acceleration() {
    let setup = leaning_setup();
    let record = brusharm::pass::run(&setup).expect("runs");
    let mut moving = 0;
    for (index, unit) in record.units.iter().enumerate() {
        let dynamics = setup.dynamics(index);
        let mut scratch = SpanScratch::default();
        for (i, step) in unit.steps.iter().enumerate() {
            for share in [0.25, 0.5, 0.75] {
                let t = step.start_s + share * step.length_s;
                let at = unit.state_in_step(i, t);
                let mut dy = [0.0; state::COUNT];
                let f = dynamics.evaluate(t, &at.y, &at.modes, None, &mut scratch, &mut dy);
                let inertia = dynamics.model.body.inertia_kg_m2;
                let off = f.budget.total_n_m() - inertia * f.alpha_rad_s2;
                let size: f64 = f.budget.causes().iter().map(|(_, torque)| torque.abs()).sum();
                if at.modes.motion != brusharm::pass::motion::Motion::Stick {
                    assert!(off.abs() < 1e-11 * size, "{off} N m of {size}");
                    moving += 1;
                } else {
                    assert_eq!(f.alpha_rad_s2, 0.0);
                }
            }
        }
    }
    assert!(moving > 1000, "{moving}");
}

/// The highest spindle power of a pass is that of a fine reading of the same motion, whose samples lie closer than the looks of the measuring.
#[test]
fn verif_the_highest_spindle_power_is_found() {
    use brusharm::coverage::EventName;
    use brusharm::pass::series;
    let mut compared = 0;
    for spec in [fleet::sedan(), fleet::crossover(), fleet::pickup()] {
        for throughput in [60.0, 100.0, 140.0] {
            let setup = setup(&spec, throughput);
            let (record, outcome) = solve(&setup);
            for (index, unit) in outcome.units.iter().enumerate() {
                let [from, to] =
                    [EventName::FirstTouch, EventName::LostTail].map(|e| unit.time_of(e).expect("touched"));
                let series = series(&setup, &record, 0.005);
                let samples = series.time_s.iter().zip(&series.units[index].samples);
                let while_touched = samples.filter(|(t, _)| **t >= from && **t <= to);
                let highest = while_touched.map(|(_, s)| s.spindle_power_w.abs()).fold(0.0, f64::max);
                let off = unit.spindle_peak_power_w / highest - 1.0;
                assert!(
                    highest > 10.0 && off.abs() < 2e-3,
                    "{} at {throughput}/h: {highest} W, off by {off:e}",
                    spec.name
                );
                compared += 1;
            }
        }
    }
    assert_eq!(compared, 18);
}
