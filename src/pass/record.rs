//! What a pass leaves behind: the motion of each unit as dense output, its switches and its energy audit.

use super::integrator::dense_value;
use super::motion::{Modes, state};
use crate::arm::Side;

/// One integrator step with its dense output; modes do not change inside it.
#[derive(Debug, Clone, PartialEq)]
pub struct DenseStep {
    /// Start, s.
    pub start_s: f64,
    /// Length, s.
    pub length_s: f64,
    /// Coefficients of φ, φ̇, both pressures, slack, slack rate.
    pub coefficients: [[f64; 5]; state::MOTION],
    /// Modes during the step.
    pub modes: Modes,
}

impl DenseStep {
    /// Component of the motion (as in [`state`]) at `t_s`, clamped to the step.
    pub fn value_at(&self, component: usize, t_s: f64) -> f64 {
        dense_value(&self.coefficients[component], ((t_s - self.start_s) / self.length_s).clamp(0.0, 1.0))
    }
}

/// The moving state of a unit at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MotionState {
    /// φ, φ̇, both chamber pressures (Pa absolute), slack, slack rate, indexed by [`state`].
    pub y: [f64; state::COUNT],
    /// Modes at that instant.
    pub modes: Modes,
}

impl MotionState {
    /// Swing angle, rad.
    pub fn phi_rad(&self) -> f64 {
        self.y[state::PHI]
    }

    /// Swing rate, rad/s, positive outward.
    pub fn omega_rad_s(&self) -> f64 {
        self.y[state::OMEGA]
    }
}

/// Work, losses and stored energy of one unit over the whole run, J.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct EnergyAudit {
    /// Work of the conveyor on the brush.
    pub conveyor_j: f64,
    /// Work of the spindle motor.
    pub spindle_j: f64,
    /// Work of the air in the cylinder (negative when the arm compresses it).
    pub air_j: f64,
    /// Taken by contact with vehicles: rubbing and strip flexing.
    pub contact_j: f64,
    /// Taken by pivot and seal friction.
    pub friction_j: f64,
    /// Taken by dampers.
    pub damper_j: f64,
    /// Taken by the stops.
    pub stop_j: f64,
    /// Taken by the contact of the brushes with each other.
    pub brushes_j: f64,
    /// Taken by the air that the turning strips stir.
    pub air_drag_j: f64,
    /// Taken when a slack counterweight cable comes tight.
    pub cable_j: f64,
    /// Change of stored energy, end less start.
    pub stored_j: f64,
    /// Sum of the magnitudes of work in: what the residual is measured against.
    pub turnover_j: f64,
}

impl EnergyAudit {
    /// Work in, J.
    pub fn work_in_j(&self) -> f64 {
        self.conveyor_j + self.spindle_j + self.air_j
    }

    /// Dissipated, J.
    pub fn dissipated_j(&self) -> f64 {
        self.contact_j
            + self.friction_j
            + self.damper_j
            + self.stop_j
            + self.brushes_j
            + self.air_drag_j
            + self.cable_j
    }

    /// Work in − dissipated − stored, J.
    pub fn residual_j(&self) -> f64 {
        self.work_in_j() - self.dissipated_j() - self.stored_j
    }

    /// Residual over the work done; `None` when no work was done.
    pub fn residual_fraction(&self) -> Option<f64> {
        (self.turnover_j > 0.0).then(|| self.residual_j() / self.turnover_j)
    }

    /// Adds another unit's audit.
    pub fn add(&mut self, other: &EnergyAudit) {
        self.conveyor_j += other.conveyor_j;
        self.spindle_j += other.spindle_j;
        self.air_j += other.air_j;
        self.contact_j += other.contact_j;
        self.friction_j += other.friction_j;
        self.damper_j += other.damper_j;
        self.stop_j += other.stop_j;
        self.brushes_j += other.brushes_j;
        self.air_drag_j += other.air_drag_j;
        self.cable_j += other.cable_j;
        self.stored_j += other.stored_j;
        self.turnover_j += other.turnover_j;
    }
}

/// The run of one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitRecord {
    /// Which unit.
    pub side: Side,
    /// Steps in time order, without gaps.
    pub steps: Vec<DenseStep>,
    /// Swing angle at rest with no vehicle near, rad: torques in balance, or, of two brushes that lean on each other, where both come to
    /// stand when let go from there.
    pub rest_phi_rad: f64,
    /// When the next vehicle's nose would touch the brush at rest, s.
    pub next_touch_s: f64,
    /// The arm followed on from the first effect of the next vehicle as if that vehicle were late, until it stands still; empty when not followed.
    pub left_alone: Vec<DenseStep>,
    /// Swing angle at which the arm, left alone, really comes to stand, rad: friction may hold it off balance. `None` when it did not within
    /// the time looked at.
    pub stands_phi_rad: Option<f64>,
    /// When the arm, left alone by the next vehicle, has settled: within half a degree of where it comes to stand, for good. The mean over the
    /// angles from a quarter to half a degree of the last instant at which it is farther off, so that a bounce counts by its height. `None`
    /// when it did not within the time looked at. May lie after [`Self::next_touch_s`].
    pub settled_s: Option<f64>,
    /// The number is on an edge: when it has settled if its last bounce counts in full, s. Only where a bounce turns between a quarter and half
    /// a degree.
    pub settled_latest_s: Option<f64>,
    /// Energy audit.
    pub audit: EnergyAudit,
    /// Evaluations of the equation of motion.
    pub evaluations: usize,
}

impl UnitRecord {
    /// First instant recorded, s.
    pub fn start_s(&self) -> f64 {
        self.steps.first().map_or(0.0, |s| s.start_s)
    }

    /// Last instant recorded, s.
    pub fn end_s(&self) -> f64 {
        self.steps.last().map_or(0.0, |s| s.start_s + s.length_s)
    }

    /// Index of the step that holds `t_s` (clamped to the run).
    pub fn step_index(&self, t_s: f64) -> usize {
        self.steps.partition_point(|s| s.start_s <= t_s).saturating_sub(1)
    }

    /// State at `t_s` (clamped to the run).
    pub fn state_at(&self, t_s: f64) -> MotionState {
        self.state_in_step(self.step_index(t_s), t_s)
    }

    /// State at `t_s` in the step with the given index.
    pub fn state_in_step(&self, index: usize, t_s: f64) -> MotionState {
        let step = &self.steps[index];
        let x = ((t_s - step.start_s) / step.length_s).clamp(0.0, 1.0);
        let mut y = [0.0; state::COUNT];
        for (value, c) in y.iter_mut().zip(&step.coefficients) {
            *value = dense_value(c, x);
        }
        MotionState { y, modes: step.modes }
    }
}

/// A whole pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Units in the order of the set-up.
    pub units: Vec<UnitRecord>,
    /// Conveyor speed, m/s.
    pub conveyor_speed_m_s: f64,
    /// First instant recorded, s. The measured vehicle's nose crosses lane x = 0 at t = 0.
    pub start_s: f64,
    /// Last instant recorded, s.
    pub end_s: f64,
}

impl Record {
    /// Energy audit of all units together.
    pub fn audit(&self) -> EnergyAudit {
        let mut sum = EnergyAudit::default();
        for unit in &self.units {
            sum.add(&unit.audit);
        }
        sum
    }
}
