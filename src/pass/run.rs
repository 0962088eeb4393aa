//! Runs a pass: integrates each unit (or both together when their brushes can meet) and locates every switch.
//!
//! Within a step modes are fixed; after each accepted step the switching functions are checked, the first sign change is found on the
//! dense output, the step is taken again to exactly there, the switch applied, and the run goes on.

use super::integrator::{DormandPrince, dense_part, dense_value};
use super::motion::{
    FOLLOWS_RATE_PER_S, FOLLOWS_STRAIN, Forces, Modes, Motion, UnitDynamics, VehiclePlan, state,
};
use super::pair::{OtherBrush, brushes_can_meet, other_brushes};
use super::record::{DenseStep, EnergyAudit, UnitRecord};
use super::start::{
    Switch, alongside_state, alongside_time_s, initial_modes, rest_state, switches, touch_time_s,
};
use super::switching::{Fired, TRIGGERS, Trigger, apply, holds};
use super::{Numerics, PassError, PassSetup, Record, contact::SpanRoom};
use crate::arm::{ChamberName, Following};
use rayon::prelude::*;
use state::{COUNT, MOTION, OMEGA, P_CAP, P_ROD, PHI};

/// Steps after which a run is given up.
const STEP_LIMIT: usize = 200_000;
/// The arm counts as settled within this angle of rest, rad.
const SETTLED_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// How long after the next touch a late arm is still followed, s.
const LATE_S: f64 = 30.0;

/// A chamber may begin to follow its source when it is this near to where it would then stand, Pa.
const FOLLOWS_GAP_PA: f64 = 20.0;

/// The units integrated together: one, or both when their brushes can meet.
struct System<'a> {
    units: Vec<UnitDynamics<'a>>,
    modes: Vec<Modes>,
    forces: Vec<Forces>,
    room: SpanRoom,
    evaluations: usize,
}

impl System<'_> {
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
                &mut self.room,
                &mut dy[range],
            );
        }
    }

    fn other_brushes(&self, y: &[f64]) -> Option<[OtherBrush; 2]> {
        let [a, b] = self.units.as_slice() else { return None };
        other_brushes([a, b], [&y[..COUNT], &y[COUNT..]])
    }
}

/// Computes a pass.
pub fn run(setup: &PassSetup) -> Result<Record, PassError> {
    if setup.units.is_empty() || setup.measured >= setup.train.len() {
        return Err(PassError::Empty);
    }
    let groups: Vec<Vec<usize>> = if setup.units.len() == 2 && brushes_can_meet(&setup.units) {
        vec![vec![0, 1]]
    } else {
        (0..setup.units.len()).map(|i| vec![i]).collect()
    };
    let mut units: Vec<Option<UnitRecord>> = vec![None; setup.units.len()];
    // Units that cannot meet run side by side; each is computed the same way whatever the number of threads.
    let records: Vec<Result<Vec<UnitRecord>, PassError>> =
        groups.par_iter().map(|group| run_group(setup, group)).collect();
    for (group, records) in groups.iter().zip(records) {
        for (index, record) in group.iter().zip(records?) {
            units[*index] = Some(record);
        }
    }
    let units: Vec<UnitRecord> = units.into_iter().flatten().collect();
    let start_s = units.iter().map(UnitRecord::start_s).fold(f64::INFINITY, f64::min);
    let end_s = units.iter().map(UnitRecord::end_s).fold(f64::NEG_INFINITY, f64::max);
    Ok(Record { units, conveyor_speed_m_s: setup.conveyor_speed_m_s, start_s, end_s })
}

fn run_group(setup: &PassSetup, group: &[usize]) -> Result<Vec<UnitRecord>, PassError> {
    let units: Vec<UnitDynamics<'_>> = group.iter().map(|&i| setup.dynamics(i)).collect();
    let mut modes: Vec<Modes> = units.iter().map(|u| initial_modes(u.model)).collect();
    let mut states = Vec::new();
    let mut plan_switches = Vec::new();
    let (mut first_touch_s, mut alongside_s, mut end_s) = (f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY);
    let mut next_touch = Vec::new();
    for (i, unit) in units.iter().enumerate() {
        let state = rest_state(unit, &mut modes[i])?;
        plan_switches.extend(switches(i, unit));
        let reach_x = unit.model.pivot_m.x + unit.model.body.length_m + unit.law.radius_m + 0.1;
        let measured = &unit.vehicles[setup.measured];
        next_touch.push(touch_time_s(unit, &unit.vehicles[setup.measured + 1], state[PHI]));
        first_touch_s = first_touch_s.min(touch_time_s(unit, &unit.vehicles[0], state[PHI]));
        alongside_s = alongside_s.min(alongside_time_s(unit, state[PHI]));
        end_s = end_s.max(measured.pose.nose_time_s(reach_x + measured.pose.length_m));
        end_s = end_s.max(next_touch[i]);
        states.push(state);
    }
    let rest: Vec<f64> = states.iter().map(|state| state[PHI]).collect();
    plan_switches.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let first_switch_s = plan_switches.first().map_or(f64::INFINITY, |s| s.at_s);
    let mut start_s = first_touch_s.min(first_switch_s) - 0.5;
    if setup.measured > 0
        && let Some((balances, balance_modes)) = alongside(&units, &plan_switches, alongside_s, &modes)
    {
        start_s = alongside_s;
        plan_switches.retain(|s| s.at_s > start_s);
        (states, modes) = (balances, balance_modes);
    }
    let y0 = states.concat();

    let mut run = Run::new(&setup.numerics, units, modes, &y0, start_s);
    run.switches = plan_switches;
    run.go(end_s)?;

    let mut records = run.finish(&rest, &next_touch);
    // An arm that has not settled when the next vehicle comes is followed on, as if that vehicle were late, to say by how much it is late.
    if records.iter().any(|r| r.settled_s.is_none()) {
        let late_s = records.iter().map(|r| r.next_touch_s).fold(f64::INFINITY, f64::min);
        let ghost = follow_late(setup, &run, &records, late_s)?;
        for (record, settled) in records.iter_mut().zip(ghost) {
            record.settled_s = record.settled_s.or(settled);
        }
    }
    Ok(records)
}

/// Every unit in balance beside the first vehicle; `None` when one of them cannot be.
fn alongside(
    units: &[UnitDynamics<'_>],
    switches: &[Switch],
    at_s: f64,
    modes: &[Modes],
) -> Option<(Vec<[f64; COUNT]>, Vec<Modes>)> {
    let mut modes = modes.to_vec();
    let mut states = Vec::new();
    for (i, (unit, modes)) in units.iter().zip(&mut modes).enumerate() {
        let own: Vec<Switch> = switches.iter().filter(|s| s.unit == i).copied().collect();
        states.push(alongside_state(unit, &own, at_s, modes)?);
    }
    Some((states, modes))
}

fn follow_late(
    setup: &PassSetup,
    run: &Run<'_>,
    records: &[UnitRecord],
    from_s: f64,
) -> Result<Vec<Option<f64>>, PassError> {
    let mut units = run.system.units.clone();
    let mut y = vec![0.0; records.len() * COUNT];
    let mut modes = Vec::new();
    for (i, (unit, record)) in units.iter_mut().zip(records).enumerate() {
        unit.vehicles.truncate(setup.measured + 1);
        let at = record.state_at(from_s);
        y[i * COUNT..(i + 1) * COUNT].copy_from_slice(&at.y);
        modes.push(at.modes);
    }
    let mut ghost = Run::new(&setup.numerics, units, modes, &y, from_s);
    ghost.switches = run
        .all_switches
        .iter()
        .filter(|s| s.at_s > from_s && run.is_of_measured_or_earlier(setup, s))
        .copied()
        .collect();
    ghost.go(from_s + LATE_S)?;
    let rest: Vec<f64> = records.iter().map(|r| r.rest_phi_rad).collect();
    let end = vec![from_s + LATE_S; records.len()];
    Ok(ghost.finish(&rest, &end).into_iter().map(|r| r.settled_s).collect())
}

/// A run in progress.
pub(super) struct Run<'a> {
    system: System<'a>,
    dp: DormandPrince,
    scale: Vec<f64>,
    t: f64,
    h: f64,
    longest_s: f64,
    pub(super) switches: Vec<Switch>,
    all_switches: Vec<Switch>,
    steps: Vec<Vec<DenseStep>>,
    stored_start: Vec<f64>,
    cable_j: Vec<f64>,
    fired: Vec<Fired>,
    /// Error of the last step kept, and whether one was tried in vain since.
    last_error: f64,
    rejected: bool,
}

impl<'a> Run<'a> {
    pub(super) fn new(
        numerics: &Numerics,
        units: Vec<UnitDynamics<'a>>,
        modes: Vec<Modes>,
        y0: &[f64],
        start_s: f64,
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
        dp.before.copy_from_slice(y0);
        let stored_start =
            units.iter().enumerate().map(|(i, u)| u.stored_j(&y0[i * COUNT..(i + 1) * COUNT])).collect();
        Run {
            dp,
            scale,
            t: start_s,
            h: 1e-3,
            longest_s: numerics.longest_step_s,
            switches: Vec::new(),
            all_switches: Vec::new(),
            steps: vec![Vec::new(); n],
            stored_start,
            cable_j: vec![0.0; n],
            fired: Vec::new(),
            last_error: 1e-4,
            rejected: false,
            system: System {
                forces: vec![Forces::default(); n],
                units,
                modes,
                room: SpanRoom::default(),
                evaluations: 0,
            },
        }
    }

    fn is_of_measured_or_earlier(&self, setup: &PassSetup, switch: &Switch) -> bool {
        let unit = &self.system.units[switch.unit];
        let mut earlier = unit.clone();
        earlier.vehicles.truncate(setup.measured + 1);
        switches(switch.unit, &earlier).iter().any(|s| s.at_s == switch.at_s)
    }

    fn side(&self) -> crate::arm::Side {
        self.system.units[0].model.side
    }

    /// Integrates to `end_s`.
    pub(super) fn go(&mut self, end_s: f64) -> Result<(), PassError> {
        self.all_switches = self.switches.clone();
        let mut pending = std::mem::take(&mut self.switches).into_iter().peekable();
        self.restart();
        let mut taken = 0_usize;
        let mut zero_progress = 0_u32;
        while self.t < end_s {
            while let Some(switch) = pending.next_if(|s| s.at_s <= self.t) {
                let modes = &mut self.system.modes[switch.unit];
                match switch.chamber {
                    ChamberName::Cap => (modes.cap_on, modes.cap_follows) = (switch.to, false),
                    ChamberName::Rod => (modes.rod_on, modes.rod_follows) = (switch.to, false),
                }
                self.restart();
            }
            let stop_at = pending.peek().map_or(end_s, |s| s.at_s.min(end_s));
            let room_s = stop_at - self.t;
            let mut h = self.h.min(self.longest_s).min(room_s);
            // Do not leave a crumb of a step before a switch.
            if room_s - h < 0.05 * h {
                h = room_s;
            }
            taken += 1;
            if taken > STEP_LIMIT {
                return Err(PassError::TooManySteps { side: self.side(), time_s: self.t, limit: STEP_LIMIT });
            }
            self.try_step(h);
            let error = self.dp.error(h, &self.scale);
            if !error.is_finite() && h < 1e-9 {
                return Err(PassError::NotFinite { side: self.side(), time_s: self.t });
            }
            if (error > 1.0 || error.is_nan()) && h > 1e-9 {
                self.h = h * if error.is_finite() { (0.9 * error.powf(-0.2)).clamp(0.1, 0.9) } else { 0.1 };
                self.rejected = true;
                continue;
            }
            self.find_triggers(h, zero_progress > 8);
            let first_s = self.fired.iter().map(|f| f.at_s).fold(f64::INFINITY, f64::min);
            if self.fired.is_empty() {
                self.keep(h, 1.0, if h == room_s { stop_at } else { self.t + h });
                zero_progress = 0;
                let grow = self.growth(error);
                // A step cut short to end at a switch says little about the next one.
                self.h = if h < self.h { self.h.max(h * grow).min(self.h * 2.0) } else { h * grow };
            } else {
                if first_s > 0.0 {
                    self.keep(h, first_s / h, self.t + first_s);
                }
                zero_progress = if first_s > 1e-10 { 0 } else { zero_progress + 1 };
                // Units that switch at the same instant (like ones, opposite each other) switch together.
                for k in 0..self.fired.len() {
                    if self.fired[k].at_s == first_s {
                        self.switch_over(self.fired[k]);
                    }
                }
                self.restart();
                self.h = self.h.min(0.05);
            }
            self.check_jam()?;
        }
        Ok(())
    }

    /// By what a step with this error may grow: proportional–integral control, which keeps steps from running into rejection time and again
    /// (Hairer, Nørsett & Wanner, Solving Ordinary Differential Equations II, 2nd ed., IV.2, eq. 2.43c and the constants of DOPRI5; from memory).
    fn growth(&mut self, error: f64) -> f64 {
        let error = error.max(1e-10);
        let grow = (0.9 * error.powf(-0.17) * self.last_error.powf(0.04)).clamp(0.2, 2.5);
        self.last_error = error.max(1e-4);
        if std::mem::take(&mut self.rejected) { grow.min(1.0) } else { grow }
    }

    /// Applies a switch at the start of the coming step.
    fn switch_over(&mut self, fired: Fired) {
        self.restart();
        let Fired { unit, trigger, .. } = fired;
        let forces = self.system.forces[unit];
        self.cable_j[unit] += apply(
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
        let mut kept = [[[0.0; 5]; MOTION]; 2];
        for (i, coefficients) in kept.iter_mut().take(self.steps.len()).enumerate() {
            for (k, c) in coefficients.iter_mut().enumerate() {
                let whole = self.dp.dense(h, i * COUNT + k);
                *c = if x < 1.0 { dense_part(&whole, x) } else { whole };
            }
        }
        if x < 1.0 {
            let system = &mut self.system;
            self.dp.cut(self.t, h, x, |t, y, dy| system.evaluate(t, y, dy));
        }
        for (i, (steps, mut coefficients)) in self.steps.iter_mut().zip(kept).enumerate() {
            // A chamber that follows its source has no slope of its own: its pressure is read off at both ends.
            let (modes, forces) = (&self.system.modes[i], &self.system.forces[i]);
            let chambers = [(P_CAP, modes.cap_follows, forces.cap), (P_ROD, modes.rod_follows, forces.rod)];
            for (k, follows, chamber) in chambers {
                if let Some(chamber) = chamber.filter(|_| follows) {
                    let before = coefficients[k][0];
                    coefficients[k] = [before, chamber.pressure_pa - before, 0.0, 0.0, 0.0];
                    self.dp.after[i * COUNT + k] = chamber.pressure_pa;
                }
            }
            steps.push(DenseStep {
                start_s: self.t,
                length_s: h * x,
                coefficients,
                modes: self.system.modes[i],
            });
        }
        self.dp.advance();
        self.t = end_s;
        self.let_chambers_follow();
    }

    /// A fast chamber that has come to where it would follow its source does so from here on.
    fn let_chambers_follow(&mut self) {
        let mut changed = false;
        for (i, modes) in self.system.modes.iter_mut().enumerate() {
            let forces = &self.system.forces[i];
            let ready = |chamber: Option<Following>, own_pa: f64| {
                chamber.is_some_and(|c| {
                    c.rate_per_s > FOLLOWS_RATE_PER_S
                        && c.strain < 0.7 * FOLLOWS_STRAIN
                        && (c.pressure_pa - own_pa).abs() < FOLLOWS_GAP_PA
                })
            };
            let y = &self.dp.before[i * COUNT..(i + 1) * COUNT];
            if !modes.cap_follows && ready(forces.cap, y[P_CAP]) {
                modes.cap_follows = true;
                changed = true;
            }
            if !modes.rod_follows && ready(forces.rod, y[P_ROD]) {
                modes.rod_follows = true;
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
    /// start of the step, s. False position (Illinois), with a least step that closes the bracket from its other side.
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
        let (mut a, mut b) = (0.0, upper);
        let (mut at_a, mut at_b) = (value(self, a), value(self, b));
        if at_a < 0.0 || at_b >= 0.0 {
            return if at_a < 0.0 { 0.0 } else { b * h };
        }
        let mut kept_a = 0;
        let mut kept_b = 0;
        while b - a > least {
            let secant = b - at_b * (b - a) / (at_b - at_a);
            // An end that has been kept for long is not believed: halve.
            let x = if kept_a > 3 || kept_b > 3 { 0.5 * (a + b) } else { secant };
            let x = x.clamp(a + 0.5 * least, b - 0.5 * least);
            let at_x = value(self, x);
            if at_x >= 0.0 {
                (a, at_a) = (x, at_x);
                (kept_a, kept_b) = (0, kept_b + 1);
                if kept_b > 1 {
                    at_b *= 0.5;
                }
            } else {
                (b, at_b) = (x, at_x);
                (kept_b, kept_a) = (0, kept_a + 1);
                if kept_a > 1 {
                    at_a *= 0.5;
                }
            }
        }
        a * h
    }

    fn check_jam(&self) -> Result<(), PassError> {
        for (unit, forces) in self.system.units.iter().zip(&self.system.forces) {
            if forces.deepest_m > unit.law.radius_m - 0.1 * unit.law.hub_radius_m {
                let plan = unit
                    .vehicles
                    .iter()
                    .min_by(|a, b| {
                        let off = |p: &VehiclePlan<'_>| {
                            (p.pose.nose_x_m(self.t) - 0.5 * p.pose.length_m - unit.model.pivot_m.x).abs()
                        };
                        off(a).total_cmp(&off(b))
                    })
                    .map_or(0.0, |p| p.pose.nose_x_m(self.t));
                return Err(PassError::Jammed { side: unit.model.side, time_s: self.t, nose_x_m: plan });
            }
        }
        Ok(())
    }

    /// Turns the run into records.
    pub(super) fn finish(&self, rest: &[f64], next_touch: &[f64]) -> Vec<UnitRecord> {
        let mut records = Vec::with_capacity(self.steps.len());
        for (i, steps) in self.steps.iter().enumerate() {
            let y = &self.dp.before[i * COUNT..(i + 1) * COUNT];
            let unit = &self.system.units[i];
            let audit = EnergyAudit {
                conveyor_j: y[state::W_CONVEYOR],
                spindle_j: y[state::W_SPINDLE],
                air_j: y[state::W_AIR],
                contact_j: y[state::D_CONTACT],
                friction_j: y[state::D_FRICTION],
                damper_j: y[state::D_DAMPER],
                stop_j: y[state::D_STOP],
                brushes_j: y[state::D_BRUSHES],
                cable_j: self.cable_j[i],
                stored_j: unit.stored_j(y) - self.stored_start[i],
                turnover_j: y[state::W_CONVEYOR].abs() + y[state::W_SPINDLE].abs() + y[state::W_AIR].abs(),
            };
            let mut record = UnitRecord {
                side: unit.model.side,
                steps: steps.clone(),
                rest_phi_rad: rest[i],
                next_touch_s: next_touch[i],
                settled_s: None,
                audit,
                evaluations: self.system.evaluations,
            };
            record.settled_s = settled_s(&record, next_touch[i]);
            records.push(record);
        }
        records
    }
}

/// The last instant before `until_s` at which the arm came within the settled angle of rest and stayed; `None` when it was not there at `until_s`.
fn settled_s(record: &UnitRecord, until_s: f64) -> Option<f64> {
    let off = |t: f64| (record.state_at(t).phi_rad() - record.rest_phi_rad).abs() - SETTLED_RAD;
    let until_s = until_s.min(record.end_s());
    if off(until_s) > 0.0 {
        return None;
    }
    // Back from the end to the last instant outside; steps are short against the swing, so a few looks per step suffice.
    let last = record.step_index(until_s);
    for index in (0..=last).rev() {
        let step = &record.steps[index];
        for k in (0..8).rev() {
            let t = step.start_s + step.length_s * f64::from(k) / 8.0;
            if t < until_s && off(t) > 0.0 {
                let (mut a, mut b) = (t, (t + step.length_s / 8.0).min(until_s));
                for _ in 0..60 {
                    let mid = 0.5 * (a + b);
                    if off(mid) > 0.0 { a = mid } else { b = mid }
                }
                return Some(b);
            }
        }
    }
    None
}
