//! Energy: what goes in is dissipated or stored.

use crate::common::machine::{plain_spec, setup};
use brusharm::arm::{Side, UnitModel};
use brusharm::pass::contact::SpanScratch;
use brusharm::pass::motion::state;
use brusharm::pass::{EnergyAudit, PassSetup, run};
use brusharm::vehicle::fleet;

/// Whole passes of every vehicle of the demo fleet at three throughputs: the audit of each unit closes to 1e-6 of the work done. Every
/// entry that must not be zero is not.
#[test]
fn verif_audit_of_whole_passes_closes() {
    let mut specs = fleet::library();
    specs.push(plain_spec(1));
    let mut worst: f64 = 0.0;
    for spec in &specs {
        for throughput in [60.0, 100.0, 140.0] {
            let record = run(&setup(spec, throughput)).expect("runs");
            for unit in &record.units {
                let audit = &unit.audit;
                let residual = audit.residual_fraction().expect("work was done");
                let place = format!("{} at {throughput}/h, {} unit", spec.name, unit.side.name());
                assert!(residual.abs() < 1e-6, "{place}: {residual:e}");
                assert!(audit.spindle_j > 1000.0 && audit.turnover_j > 1000.0, "{place}: {audit:?}");
                assert!(audit.conveyor_j.abs() > 10.0 && audit.air_j.abs() > 1e-4, "{place}: {audit:?}");
                assert!(audit.contact_j > 1000.0 && audit.friction_j > 5.0, "{place}: {audit:?}");
                assert!(
                    audit.damper_j > 1.0 && audit.stop_j > 5.0 && audit.stored_j.abs() > 1e-4,
                    "{place}: {audit:?}"
                );
                worst = worst.max(residual.abs());
            }
            let total = record.audit();
            assert!(total.residual_fraction().expect("work").abs() < 1e-6);
            let sum: f64 = record.units.iter().map(|u| u.audit.spindle_j).sum();
            assert!((total.spindle_j - sum).abs() < 1e-9 * sum);
        }
    }
    assert!(worst > 1e-12, "a residual of exactly nothing means nothing was measured");
}

/// Work and losses by the definition: power of each cause at Gauss points of the recorded steps.
fn by_quadrature(setup: &PassSetup, index: usize) -> (EnergyAudit, EnergyAudit) {
    let record = run(setup).expect("runs");
    let unit = &record.units[index];
    let dynamics = setup.dynamics(index);
    let mut scratch = SpanScratch::default();
    let mut sum = EnergyAudit::default();
    let half = 0.6_f64.sqrt();
    for (i, step) in unit.steps.iter().enumerate() {
        for (x, weight) in [(-half, 5.0 / 18.0), (0.0, 4.0 / 9.0), (half, 5.0 / 18.0)] {
            let t = step.start_s + step.length_s * 0.5 * (1.0 + x);
            let at = unit.state_in_step(i, t);
            let mut dy = [0.0; state::COUNT];
            let forces = dynamics.evaluate(t, &at.y, &at.modes, None, &mut scratch, &mut dy);
            let (w, omega) = (weight * step.length_s, at.omega_rad_s());
            // Conveyor: force on the brush · vehicle velocity; spindle: against the rubbing moment.
            sum.conveyor_j += w * forces.contact_n[0] * setup.conveyor_speed_m_s;
            sum.spindle_j -= w * forces.spindle_moment_n_m * dynamics.law.spin_rad_s;
            sum.air_j += w * forces.budget.air_n_m * omega;
            sum.friction_j -= w * forces.budget.friction_n_m * omega;
            sum.damper_j -= w * forces.budget.damper_n_m * omega;
            // Contact: what conveyor and spindle give and the arm does not get.
            let arm_w = (forces.budget.push_n_m + forces.budget.rub_n_m) * omega;
            sum.contact_j += w
                * (forces.contact_n[0] * setup.conveyor_speed_m_s
                    - (forces.spindle_moment_n_m - forces.budget.air_drag_n_m) * dynamics.law.spin_rad_s
                    - arm_w);
            sum.air_drag_j -= w * forces.budget.air_drag_n_m * (dynamics.law.spin_rad_s + omega);
        }
    }
    (sum, unit.audit)
}

/// The entries of the audit are those integrals, not bookkeeping that happens to close.
#[test]
fn verif_audit_entries_are_integrals_of_power() {
    for (spec, index) in [(fleet::sedan(), 0), (fleet::pickup(), 1)] {
        let (direct, audit) = by_quadrature(&setup(&spec, 100.0), index);
        let scale = audit.turnover_j;
        for (what, a, b) in [
            ("conveyor", direct.conveyor_j, audit.conveyor_j),
            ("spindle", direct.spindle_j, audit.spindle_j),
            ("air", direct.air_j, audit.air_j),
            ("contact", direct.contact_j, audit.contact_j),
            ("friction", direct.friction_j, audit.friction_j),
            ("damper", direct.damper_j, audit.damper_j),
            ("stirred air", direct.air_drag_j, audit.air_drag_j),
        ] {
            assert!((a - b).abs() < 1e-5 * scale && b != 0.0, "{what}: {a} against {b} J");
        }
    }
}

/// Turning friction and loss off leaves nothing to dissipate: a free swing on spring, gas, counterweight and lean keeps its energy over
/// many swings.
#[test]
fn verif_lossless_swing_keeps_its_energy() {
    let mut unit = lossless();
    unit.pivot = Default::default();
    let dynamics_energy = |t: f64, record: &brusharm::pass::UnitRecord| {
        let d = brusharm::pass::motion::UnitDynamics::alone(&unit);
        d.stored_j(&record.state_at(t).y)
    };
    let record = crate::common::let_go(&unit, 1.45, 0.0, 60.0);
    let at_start = dynamics_energy(0.0, &record);
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for i in 0..=600 {
        let now = dynamics_energy(0.1 * f64::from(i), &record);
        (least, most) = (least.min(now), most.max(now));
    }
    let exchanged = 0.5 * 324.0 * 0.2_f64.powi(2);
    assert!(most - least < 1e-6 * exchanged, "{least} to {most} J");
    assert!((at_start - most).abs() < 1e-6 * exchanged);
    let turns = record.steps.windows(2).filter(|w| w[0].modes.motion != w[1].modes.motion).count();
    assert!(turns > 10, "it swung only {turns} times");
}

/// The invented unit without any loss: no friction, dampers only as gas springs, no air, elastic stops.
fn lossless() -> UnitModel {
    let mut unit = crate::common::machine::unit(Side::Left);
    unit.cylinder = None;
    unit.brush.air_drag_n_m_s2 = 0.0;
    for damper in &mut unit.dampers {
        damper.out_stroke = Default::default();
        damper.in_stroke = Default::default();
    }
    for stop in [&mut unit.inboard_stop, &mut unit.outboard_stop] {
        stop.damping_n_s_per_m = 0.0;
    }
    unit
}
