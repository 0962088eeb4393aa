//! Steps one unit, or two together, and locates every switch.
//!
//! Within a step modes are fixed; after each accepted step the switching functions are checked, the first sign change is found on the
//! dense output, the step is cut there, the switch applied, and the run goes on.

mod jam;
mod pace;

use super::integrator::{DormandPrince, dense_part, dense_value};
use super::motion::{
    Forces, Modes, Motion, QUASI_STEADY_RATE_PER_S, QUASI_STEADY_STRAIN, UnitDynamics, state,
};
use super::mutual::other_brushes;
use super::pair::OtherBrush;
use super::record::{DenseStep, EnergyAudit, UnitRecord};
use super::search::last_held;
use super::start::Switch;
use super::switching::{Fired, TRIGGERS, Trigger, apply, holds};
use super::{Numerics, PassError, contact::SpanScratch};
use crate::arm::{ChamberName, QuasiSteady};
use pace::{Pace, length_s, next_s, shrinkage};
use state::{COUNT, MOTION, OMEGA, P_CAP, P_ROD};

/// Steps after which a run is given up.
const STEP_LIMIT: usize = 200_000;
/// A chamber may be taken as quasi-steady when it is this near to where it would then stand, Pa.
const QUASI_STEADY_GAP_PA: f64 = 20.0;
/// First step after a switch, s, at most.
const AFTER_SWITCH_S: f64 = 0.05;

/// How far one unit has come: where it stands and what it left behind.
#[derive(Debug, Clone)]
pub(super) struct Progress {
    pub y: [f64; COUNT],
    pub modes: Modes,
    pub steps: Vec<DenseStep>,
    /// Taken by a tightening cable so far, J.
    cable_j: f64,
    evaluations: usize,
    stored_start_j: f64,
    /// What the next step may be, s.
    h_s: f64,
}

impl Progress {
    /// A unit about to start.
    pub fn new(unit: &UnitDynamics<'_>, y: [f64; COUNT], modes: Modes) -> Self {
        Progress {
            y,
            modes,
            steps: Vec::new(),
            cable_j: 0.0,
            evaluations: 0,
            stored_start_j: unit.stored_j(&y),
            h_s: 0.01,
        }
    }

    /// The record of a unit that has come to its end; when it settled is left open.
    pub fn into_record(self, unit: &UnitDynamics<'_>, rest_phi_rad: f64, next_touch_s: f64) -> UnitRecord {
        let y = &self.y;
        let audit = EnergyAudit {
            conveyor_j: y[state::W_CONVEYOR],
            spindle_j: y[state::W_SPINDLE],
            air_j: y[state::W_AIR],
            contact_j: y[state::D_CONTACT],
            friction_j: y[state::D_FRICTION],
            damper_j: y[state::D_DAMPER],
            stop_j: y[state::D_STOP],
            brushes_j: y[state::D_BRUSHES],
            air_drag_j: y[state::D_AIR_DRAG],
            cable_j: self.cable_j,
            stored_j: unit.stored_j(y) - self.stored_start_j,
            turnover_j: y[state::W_CONVEYOR].abs() + y[state::W_SPINDLE].abs() + y[state::W_AIR].abs(),
        };
        UnitRecord {
            side: unit.model.side,
            steps: self.steps,
            rest_phi_rad,
            next_touch_s,
            left_alone: Vec::new(),
            stands_phi_rad: None,
            settled_s: None,
            settled_latest_s: None,
            audit,
            evaluations: self.evaluations,
        }
    }
}

/// Whether a chamber at a pressure may be taken as quasi-steady from here on: well within where it would have to stop.
fn may_be_quasi_steady(chamber: &QuasiSteady, own_pa: f64) -> bool {
    chamber.rate_per_s > QUASI_STEADY_RATE_PER_S
        && chamber.strain < 0.7 * QUASI_STEADY_STRAIN
        && (chamber.pressure_pa - own_pa).abs() < QUASI_STEADY_GAP_PA
}

/// What a step did besides the motion that is recorded: enough to go back into it.
#[derive(Debug, Clone)]
struct Aside {
    works: [[f64; 5]; COUNT - MOTION],
    /// As the step began, J.
    cable_j: f64,
}

/// The units integrated together: one, or both when their brushes can meet.
struct System<'u, 'a> {
    units: &'u [UnitDynamics<'a>],
    modes: Vec<Modes>,
    forces: Vec<Forces>,
    scratch: SpanScratch,
    evaluations: usize,
}

impl System<'_, '_> {
    fn evaluate(&mut self, t: f64, y: &[f64], dy: &mut [f64]) {
        self.evaluations += 1;
        let others = self.other_brushes(y);
        for (i, unit) in self.units.iter().enumerate() {
            let range = i * COUNT..(i + 1) * COUNT;
            self.forces[i] = unit.evaluate(
                t,
                &y[range.clone()],
                &self.modes[i],
                others.map(|o| o[i]),
                &mut self.scratch,
                &mut dy[range],
            );
        }
    }

    fn other_brushes(&self, y: &[f64]) -> Option<[OtherBrush; 2]> {
        let [a, b] = self.units else { return None };
        other_brushes([a, b], [&y[..COUNT], &y[COUNT..]])
    }
}

/// A run in progress.
pub(super) struct Stepper<'u, 'a> {
    system: System<'u, 'a>,
    dp: DormandPrince,
    scale: Vec<f64>,
    t: f64,
    h: f64,
    longest_s: f64,
    /// Valve switches to come.
    pending: std::collections::VecDeque<Switch>,
    units: Vec<Progress>,
    /// For the steps taken here, the last of those of each unit.
    asides: Vec<Vec<Aside>>,
    fired: Vec<Fired>,
    pace: Pace,
    taken: usize,
    zero_progress: u32,
}

impl<'u, 'a> Stepper<'u, 'a> {
    /// Goes on from where the units have come at `t`; switches in order of time. One at `t` itself is made, again if need be.
    pub fn new(
        numerics: &Numerics,
        units: &'u [UnitDynamics<'a>],
        progress: Vec<Progress>,
        switches: impl Iterator<Item = Switch>,
        t: f64,
    ) -> Self {
        let n = units.len();
        let tol = numerics.tolerance;
        let mut scale = Vec::with_capacity(n * COUNT);
        for _ in 0..n {
            // φ, φ̇, two pressures (10 bar: 1 Pa at the usual tolerance turns the arm by less than 1e-6 rad/s in a second), slack, slack rate,
            // then works (300 J).
            scale.extend([tol, tol, 1e6 * tol, 1e6 * tol, tol, tol]);
            scale.extend([300.0 * tol; COUNT - MOTION]);
        }
        let mut dp = DormandPrince::new(n * COUNT);
        for (y, unit) in dp.before.chunks_exact_mut(COUNT).zip(&progress) {
            y.copy_from_slice(&unit.y);
        }
        let mut stepper = Stepper {
            dp,
            scale,
            t,
            h: progress.iter().map(|unit| unit.h_s).fold(f64::INFINITY, f64::min),
            longest_s: numerics.longest_step_s,
            pending: switches.filter(|s| s.at_s >= t).collect(),
            asides: vec![Vec::new(); n],
            fired: Vec::new(),
            pace: Pace::START,
            taken: 0,
            zero_progress: 0,
            system: System {
                forces: vec![Forces::default(); n],
                modes: progress.iter().map(|unit| unit.modes).collect(),
                units,
                scratch: SpanScratch::default(),
                evaluations: 0,
            },
            units: progress,
        };
        stepper.restart();
        stepper
    }

    /// How far it has come, s.
    pub const fn time_s(&self) -> f64 {
        self.t
    }

    /// The steps of one of its units.
    pub fn steps(&self, unit: usize) -> &[DenseStep] {
        &self.units[unit].steps
    }

    /// State of one of its units.
    pub fn state(&self, unit: usize) -> &[f64] {
        &self.dp.before[unit * COUNT..(unit + 1) * COUNT]
    }

    /// Where its units have come.
    pub fn into_progress(mut self) -> Vec<Progress> {
        for (i, unit) in self.units.iter_mut().enumerate() {
            unit.y.copy_from_slice(&self.dp.before[i * COUNT..(i + 1) * COUNT]);
            unit.modes = self.system.modes[i];
            unit.evaluations += self.system.evaluations;
            unit.h_s = self.h;
        }
        self.units
    }

    /// Where its units were at `t`, not before this run began; what came later is forgotten.
    pub fn back_to(mut self, t: f64) -> Vec<Progress> {
        let asides = std::mem::take(&mut self.asides);
        let mut units = self.into_progress();
        for (unit, asides) in units.iter_mut().zip(asides) {
            let earlier = unit.steps.len() - asides.len();
            let after = unit.steps[earlier..].partition_point(|step| step.start_s < t);
            let last = after.saturating_sub(1);
            unit.steps.truncate(earlier + last + 1);
            let (Some(mut step), Some(aside)) = (unit.steps.pop(), asides.get(last)) else { continue };
            let x = ((t - step.start_s) / step.length_s).clamp(0.0, 1.0);
            for (value, c) in unit.y.iter_mut().zip(step.coefficients.iter().chain(&aside.works)) {
                *value = dense_value(c, x);
            }
            (unit.modes, unit.cable_j) = (step.modes, aside.cable_j);
            unit.h_s = unit.h_s.min(AFTER_SWITCH_S);
            if x < 1.0 {
                step.length_s *= x;
                step.coefficients = step.coefficients.map(|c| dense_part(&c, x));
            }
            if x > 0.0 {
                unit.steps.push(step);
            }
        }
        units
    }

    fn side(&self) -> crate::arm::Side {
        self.system.units[0].model.side
    }

    /// Integrates until `enough` says so after a step, at most to `end_s`.
    pub fn go(&mut self, end_s: f64, enough: impl Fn(&Self) -> bool) -> Result<(), PassError> {
        while self.t < end_s && !enough(self) {
            while let Some(switch) = self.pending.pop_front_if(|s| s.at_s <= self.t) {
                let modes = &mut self.system.modes[switch.unit];
                match switch.chamber {
                    ChamberName::Cap => (modes.cap_on, modes.cap_quasi_steady) = (switch.to, false),
                    ChamberName::Rod => (modes.rod_on, modes.rod_quasi_steady) = (switch.to, false),
                }
                self.restart();
            }
            let stop_at = self.pending.front().map_or(end_s, |s| s.at_s.min(end_s));
            let room_s = stop_at - self.t;
            let h = length_s(self.h, self.longest_s, room_s);
            self.taken += 1;
            if self.taken > STEP_LIMIT {
                return Err(PassError::TooManySteps { side: self.side(), time_s: self.t, limit: STEP_LIMIT });
            }
            self.try_step(h);
            let error = self.dp.error(h, &self.scale);
            if !error.is_finite() && h < 1e-9 {
                return Err(PassError::NotFinite { side: self.side(), time_s: self.t });
            }
            if (error > 1.0 || error.is_nan()) && h > 1e-9 {
                self.h = h * shrinkage(error);
                self.pace.rejected = true;
                continue;
            }
            self.find_triggers(h, self.zero_progress > 8);
            let first_s = self.fired.iter().map(|f| f.at_s).fold(f64::INFINITY, f64::min);
            if self.fired.is_empty() {
                self.keep(h, 1.0, if h == room_s { stop_at } else { self.t + h });
                self.zero_progress = 0;
                let grow = self.pace.growth(error);
                self.h = next_s(h, self.h, grow);
            } else {
                if first_s > 0.0 {
                    self.keep(h, first_s / h, self.t + first_s);
                }
                self.zero_progress = if first_s > 1e-10 { 0 } else { self.zero_progress + 1 };
                // Units that switch at the same instant (like ones, opposite each other) switch together.
                for k in 0..self.fired.len() {
                    if self.fired[k].at_s == first_s {
                        self.switch_over(self.fired[k]);
                    }
                }
                self.restart();
                self.h = self.h.min(AFTER_SWITCH_S);
            }
            self.check_jam()?;
        }
        Ok(())
    }

    /// Applies a switch at the start of the coming step.
    fn switch_over(&mut self, fired: Fired) {
        self.restart();
        let Fired { unit, trigger, .. } = fired;
        let forces = self.system.forces[unit];
        self.units[unit].cable_j += apply(
            trigger,
            &self.system.units[unit],
            &mut self.dp.before[unit * COUNT..(unit + 1) * COUNT],
            &mut self.system.modes[unit],
            &forces,
        );
    }

    fn restart(&mut self) {
        let system = &mut self.system;
        self.dp.start(self.t, |t, y, dy| system.evaluate(t, y, dy));
    }

    fn try_step(&mut self, h: f64) {
        let system = &mut self.system;
        self.dp.step(self.t, h, |t, y, dy| system.evaluate(t, y, dy));
    }

    /// Records the step just tried up to the share `x` of its length and moves there.
    fn keep(&mut self, h: f64, x: f64, end_s: f64) {
        let part = |c: [f64; 5]| if x < 1.0 { dense_part(&c, x) } else { c };
        let mut kept = [[[0.0; 5]; COUNT]; 2];
        for (i, coefficients) in kept.iter_mut().take(self.units.len()).enumerate() {
            for (k, c) in coefficients.iter_mut().enumerate() {
                *c = part(self.dp.dense(h, i * COUNT + k));
            }
        }
        if x < 1.0 {
            let system = &mut self.system;
            self.dp.cut(self.t, h, x, |t, y, dy| system.evaluate(t, y, dy));
        }
        for (i, (unit, mut all)) in self.units.iter_mut().zip(kept).enumerate() {
            // A quasi-steady chamber has no slope of its own: its pressure is read off at both ends.
            let (modes, forces) = (&self.system.modes[i], &self.system.forces[i]);
            let chambers =
                [(P_CAP, modes.cap_quasi_steady, forces.cap), (P_ROD, modes.rod_quasi_steady, forces.rod)];
            for (k, is_quasi_steady, chamber) in chambers {
                if let Some(chamber) = chamber.filter(|_| is_quasi_steady) {
                    let before = all[k][0];
                    all[k] = [before, chamber.pressure_pa - before, 0.0, 0.0, 0.0];
                    self.dp.after[i * COUNT + k] = chamber.pressure_pa;
                }
            }
            let (mut coefficients, mut works) = ([[0.0; 5]; MOTION], [[0.0; 5]; COUNT - MOTION]);
            coefficients.copy_from_slice(&all[..MOTION]);
            works.copy_from_slice(&all[MOTION..]);
            unit.steps.push(DenseStep { start_s: self.t, length_s: h * x, coefficients, modes: *modes });
            self.asides[i].push(Aside { works, cable_j: unit.cable_j });
        }
        self.dp.advance();
        self.t = end_s;
        self.take_quasi_steady();
    }

    /// A fast chamber that has come to where it would stand as quasi-steady is so from here on.
    fn take_quasi_steady(&mut self) {
        let mut changed = false;
        for (i, modes) in self.system.modes.iter_mut().enumerate() {
            let forces = &self.system.forces[i];
            let ready = |chamber: Option<QuasiSteady>, own_pa: f64| {
                chamber.is_some_and(|c| may_be_quasi_steady(&c, own_pa))
            };
            let y = &self.dp.before[i * COUNT..(i + 1) * COUNT];
            if !modes.cap_quasi_steady && ready(forces.cap, y[P_CAP]) {
                modes.cap_quasi_steady = true;
                changed = true;
            }
            if !modes.rod_quasi_steady && ready(forces.rod, y[P_ROD]) {
                modes.rod_quasi_steady = true;
                changed = true;
            }
        }
        if changed {
            self.restart();
        }
    }

    /// Finds the switches within the step just tried, and when; none when told to ignore them.
    fn find_triggers(&mut self, h: f64, ignore: bool) {
        self.fired.clear();
        if ignore {
            return;
        }
        // Who switches is read before any of them is located, which overwrites the forces.
        for unit in 0..self.system.units.len() {
            let range = unit * COUNT..(unit + 1) * COUNT;
            let modes = self.system.modes[unit];
            for trigger in TRIGGERS {
                let end = holds(trigger, &self.dp.after[range.clone()], &modes, &self.system.forces[unit]);
                if end < 0.0 {
                    self.fired.push(Fired { unit, trigger, at_s: h });
                } else if trigger == Trigger::Motion && modes.motion != Motion::Stick {
                    // A swing that turns back and forth inside one step shows at neither end.
                    let c = self.dp.dense(h, unit * COUNT + OMEGA);
                    let turned = |x: &f64| dense_value(&c, *x) * modes.motion.sign() < -1e-12;
                    if let Some(x) = [0.25, 0.5, 0.75].into_iter().find(turned) {
                        self.fired.push(Fired { unit, trigger, at_s: h * x });
                    }
                }
            }
        }
        for k in 0..self.fired.len() {
            let Fired { unit, trigger, at_s } = self.fired[k];
            self.fired[k].at_s = self.locate(unit, trigger, h, at_s / h);
        }
    }

    /// Where a switching function changes sign on the dense output: the last instant found at which the mode still holds, as time from the
    /// start of the step, s.
    fn locate(&mut self, unit: usize, trigger: Trigger, h: f64, upper: f64) -> f64 {
        let count = self.system.units.len();
        // A turning swing and the stops show in the state alone; the rest needs the forces.
        let by_state = match trigger {
            Trigger::Motion => self.system.modes[unit].motion != Motion::Stick,
            Trigger::Inboard | Trigger::InboardClear | Trigger::Outboard | Trigger::OutboardClear => true,
            Trigger::Cable | Trigger::CapLags | Trigger::RodLags => false,
        };
        // How sharply, s: a picosecond where it costs nothing, a nanosecond where the forces are needed; when a chamber begins to lag is a
        // matter of convention.
        let sharp_s = match trigger {
            Trigger::CapLags | Trigger::RodLags => 1e-6,
            _ if by_state => 1e-12,
            _ => 1e-9,
        };
        let least = (sharp_s / h).max(f64::EPSILON);
        let mut y = vec![0.0; count * COUNT];
        let mut dy = vec![0.0; count * COUNT];
        let mut value = |run: &mut Self, x: f64| {
            for i in (0..count).flat_map(|u| u * COUNT..u * COUNT + MOTION) {
                y[i] = dense_value(&run.dp.dense(h, i), x);
            }
            let own = &y[unit * COUNT..(unit + 1) * COUNT];
            if by_state {
                run.system.units[unit].look_at_stops(own, &mut run.system.forces[unit]);
            } else {
                run.system.evaluate(run.t + x * h, &y, &mut dy);
            }
            holds(trigger, own, &run.system.modes[unit], &run.system.forces[unit])
        };
        last_held(|x| value(self, x), upper, least) * h
    }
}

#[cfg(test)]
mod tests;
