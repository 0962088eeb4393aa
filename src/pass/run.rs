//! Runs a pass: integrates each unit (or both together when their brushes can meet) and locates every switch.
//!
//! Within a step modes are fixed; after each accepted step the switching functions are checked, the first sign change is found on the
//! dense output, the step is taken again to exactly there, the switch applied, and the run goes on.

use super::integrator::{DormandPrince, dense_value};
use super::motion::{
    FOLLOWS_RATE_PER_S, FOLLOWS_STRAIN, Forces, Modes, Motion, StopMode, UnitDynamics, VehiclePlan,
    compression_m, other_brushes, state,
};
use super::record::{DenseStep, EnergyAudit, UnitRecord};
use super::{Numerics, PassError, PassSetup, Record, contact::SpanRoom};
use crate::arm::{ChamberName, Following, UnitModel, ValveConnection, VehicleEnd};
use crate::geometry::Vec2;
use rayon::prelude::*;
use state::{COUNT, MOTION, OMEGA, P_CAP, P_ROD, PHI, SLACK, SLACK_RATE};

/// Steps after which a run is given up.
const STEP_LIMIT: usize = 200_000;
/// The arm counts as settled within this angle of rest, rad.
const SETTLED_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// How long after the next touch a late arm is still followed, s.
const LATE_S: f64 = 30.0;

/// A chamber may begin to follow its source when it is this near to where it would then stand, Pa.
const FOLLOWS_GAP_PA: f64 = 20.0;

/// A valve switch at a known time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Switch {
    at_s: f64,
    unit: usize,
    chamber: ChamberName,
    to: ValveConnection,
}

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

    fn other_brushes(&self, y: &[f64]) -> Option<[super::motion::OtherBrush; 2]> {
        let [a, b] = self.units.as_slice() else { return None };
        other_brushes([a, b], [&y[..COUNT], &y[COUNT..]])
    }
}

/// A switch found within a step, and how far into it.
#[derive(Debug, Clone, Copy)]
struct Fired {
    unit: usize,
    trigger: Trigger,
    at_s: f64,
}

/// What can switch in a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trigger {
    Motion,
    Inboard,
    InboardClear,
    Outboard,
    OutboardClear,
    Cable,
    CapLags,
    RodLags,
}
const TRIGGERS: [Trigger; 8] = [
    Trigger::Motion,
    Trigger::Inboard,
    Trigger::InboardClear,
    Trigger::Outboard,
    Trigger::OutboardClear,
    Trigger::Cable,
    Trigger::CapLags,
    Trigger::RodLags,
];

/// Switching function: positive = the mode holds.
fn holds(trigger: Trigger, y: &[f64], modes: &Modes, f: &Forces) -> f64 {
    let stop = |mode: StopMode, x: f64, raw: f64| match mode {
        StopMode::Clear => -x,
        StopMode::Pressed => raw,
        StopMode::Released => -raw,
    };
    let clear = |mode: StopMode, x: f64| if mode == StopMode::Released { x } else { 1.0 };
    match trigger {
        Trigger::Motion => match modes.motion {
            Motion::Stick => f.breakaway_n_m - f.applied_n_m.abs(),
            motion => y[OMEGA] * motion.sign(),
        },
        Trigger::Inboard => stop(modes.inboard, f.inboard_x_m, f.inboard_raw_n),
        Trigger::Outboard => stop(modes.outboard, f.outboard_x_m, f.outboard_raw_n),
        Trigger::InboardClear => clear(modes.inboard, f.inboard_x_m),
        Trigger::OutboardClear => clear(modes.outboard, f.outboard_x_m),
        Trigger::CapLags if modes.cap_follows => f.cap.map_or(-1.0, |c| FOLLOWS_STRAIN - c.strain),
        Trigger::RodLags if modes.rod_follows => f.rod.map_or(-1.0, |c| FOLLOWS_STRAIN - c.strain),
        Trigger::CapLags | Trigger::RodLags => 1.0,
        Trigger::Cable => {
            if modes.slack {
                y[SLACK]
            } else {
                f.tension_n
            }
        }
    }
}

/// Applies a switch; returns the energy a tightening cable takes, J.
fn apply(trigger: Trigger, unit: &UnitDynamics<'_>, y: &mut [f64], modes: &mut Modes, f: &Forces) -> f64 {
    let next = |mode: StopMode| match mode {
        StopMode::Clear | StopMode::Released => StopMode::Pressed,
        StopMode::Pressed => StopMode::Released,
    };
    match trigger {
        Trigger::Motion => {
            y[OMEGA] = 0.0;
            modes.motion = if modes.motion == Motion::Stick || f.applied_n_m.abs() > f.breakaway_n_m {
                if f.applied_n_m > 0.0 { Motion::Out } else { Motion::In }
            } else {
                Motion::Stick
            };
        }
        Trigger::Inboard => modes.inboard = next(modes.inboard),
        Trigger::Outboard => modes.outboard = next(modes.outboard),
        Trigger::InboardClear => modes.inboard = StopMode::Clear,
        Trigger::OutboardClear => modes.outboard = StopMode::Clear,
        Trigger::CapLags => modes.cap_follows = false,
        Trigger::RodLags => modes.rod_follows = false,
        Trigger::Cable => {
            if modes.slack {
                modes.slack = false;
                return tighten(unit, y, modes);
            }
            modes.slack = true;
        }
    }
    0.0
}

/// The slack is used up: weight and arm share their momentum along the line, without rebound. A stuck arm that the catch cannot free keeps still.
fn tighten(unit: &UnitDynamics<'_>, y: &mut [f64], modes: &mut Modes) -> f64 {
    let Some(weight) = &unit.model.counterweight else { return 0.0 };
    y[SLACK] = 0.0;
    let lever = weight.travel_ratio * weight.strut.at(y[PHI]).d1_m;
    let (inertia, mass, omega) = (unit.model.body.inertia_kg_m2, weight.mass_kg, y[OMEGA]);
    let rise = lever * omega + y[SLACK_RATE];
    let before = 0.5 * inertia * omega * omega + 0.5 * mass * rise * rise;
    let after_omega = (inertia * omega + mass * lever * rise) / (inertia + mass * lever * lever);
    y[SLACK_RATE] = 0.0;
    y[OMEGA] = after_omega;
    modes.motion = match after_omega {
        w if w > 0.0 => Motion::Out,
        w if w < 0.0 => Motion::In,
        _ => modes.motion,
    };
    before - 0.5 * (inertia + mass * lever * lever) * after_omega * after_omega
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

/// Whether the brushes of both units can come within reach of each other anywhere in their working ranges.
pub fn brushes_can_meet(units: &[UnitModel]) -> bool {
    let [a, b] = units else { return false };
    let reach = a.brush.radius_m + b.brush.radius_m;
    let range = |u: &UnitModel| {
        let give = |s: &crate::arm::BumperStop| (s.full_compression_m + 0.05) / s.radius_m;
        (u.inboard_stop.seat_rad - give(&u.inboard_stop), u.outboard_stop.seat_rad + give(&u.outboard_stop))
    };
    let ((a0, a1), (b0, b1)) = (range(a), range(b));
    let n = 64;
    let at = |lo: f64, hi: f64, i: i32| lo + (hi - lo) * f64::from(i) / f64::from(n);
    (0..=n).any(|i| {
        let ca = a.brush_center_m(at(a0, a1, i));
        (0..=n).any(|j| {
            let cb = b.brush_center_m(at(b0, b1, j));
            (ca - Vec2::new(cb.x, -cb.y)).norm() < reach + 0.05
        })
    })
}

/// Rest of a unit with no vehicle near: swing angle and full state.
pub(super) fn rest_state(unit: &UnitDynamics<'_>, modes: &mut Modes) -> Result<[f64; COUNT], PassError> {
    let model = unit.model;
    let mut y = [0.0; COUNT];
    y[P_CAP] = model.atmosphere_pa;
    y[P_ROD] = model.atmosphere_pa;
    if let Some(cylinder) = &model.cylinder {
        let rest = |line: &crate::arm::ChamberLine, on| {
            line.rest_pressure_pa(on, model.atmosphere_pa).unwrap_or(model.atmosphere_pa)
        };
        y[P_CAP] = rest(&cylinder.cap.line, modes.cap_on);
        y[P_ROD] = rest(&cylinder.rod.line, modes.rod_on);
    }
    let alone = UnitDynamics { vehicles: Vec::new(), ..unit.clone() };
    let mut room = SpanRoom::default();
    let mut dy = [0.0; COUNT];
    let mut applied = |phi: f64, y: &mut [f64; COUNT]| {
        y[PHI] = phi;
        let mut still = *modes;
        still.motion = Motion::Stick;
        still.slack = false;
        set_stops(model, phi, &mut still);
        alone.evaluate(0.0, y, &still, None, &mut room, &mut dy).applied_n_m
    };
    let give = |s: &crate::arm::BumperStop| 2.0 * s.full_compression_m / s.radius_m + 0.02;
    let low = model.inboard_stop.seat_rad - give(&model.inboard_stop);
    let high = model.outboard_stop.seat_rad + give(&model.outboard_stop);
    let n = 512;
    let at = |i: u32| low + (high - low) * f64::from(i) / f64::from(n);
    let (mut a, mut fa) = (low, applied(low, &mut y));
    let mut bracket = None;
    for i in 1..=n {
        let b = at(i);
        let fb = applied(b, &mut y);
        if fa > 0.0 && fb <= 0.0 {
            bracket = Some((a, b));
            break;
        }
        (a, fa) = (b, fb);
    }
    let Some((mut a, mut b)) = bracket else { return Err(PassError::NoRest { side: model.side }) };
    for _ in 0..80 {
        let mid = 0.5 * (a + b);
        if applied(mid, &mut y) > 0.0 { a = mid } else { b = mid }
    }
    y[PHI] = 0.5 * (a + b);
    set_stops(model, y[PHI], modes);
    modes.motion = Motion::Stick;
    Ok(y)
}

pub(super) fn set_stops(model: &UnitModel, phi: f64, modes: &mut Modes) {
    let mode = |x: f64| if x > 0.0 { StopMode::Pressed } else { StopMode::Clear };
    modes.inboard = mode(compression_m(&model.inboard_stop, phi, -1.0));
    modes.outboard = mode(compression_m(&model.outboard_stop, phi, 1.0));
}

pub(super) fn initial_modes(model: &UnitModel) -> Modes {
    let on = |pick: fn(&crate::arm::AirCylinder) -> ValveConnection| {
        model.cylinder.as_ref().map_or(ValveConnection::Closed, pick)
    };
    Modes {
        motion: Motion::Stick,
        inboard: StopMode::Clear,
        outboard: StopMode::Clear,
        slack: false,
        cap_on: on(|c| c.cap.line.initial),
        rod_on: on(|c| c.rod.line.initial),
        cap_follows: false,
        rod_follows: false,
    }
}

/// Valve switches of a unit for every vehicle of its plan, in time order.
fn switches(unit_index: usize, unit: &UnitDynamics<'_>) -> Vec<Switch> {
    let Some(cylinder) = &unit.model.cylinder else { return Vec::new() };
    let mut list = Vec::new();
    for plan in &unit.vehicles {
        for step in &cylinder.schedule {
            let behind = match step.end {
                VehicleEnd::Nose => 0.0,
                VehicleEnd::Tail => plan.pose.length_m,
            };
            let at_s = plan.pose.nose_time_s(unit.model.pivot_m.x + step.at_m + behind) + step.delay_s;
            list.push(Switch { at_s, unit: unit_index, chamber: step.chamber, to: step.to });
        }
    }
    list.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    list
}

/// Time at which a vehicle's nose end first comes within brush radius of a brush standing at `phi`, s.
fn touch_time_s(unit: &UnitDynamics<'_>, plan: &VehiclePlan<'_>, phi: f64) -> f64 {
    let c = unit.model.brush_center_m(phi);
    let radius = unit.law.radius_m;
    let gap = |t: f64| {
        let mut nearest = f64::INFINITY;
        for band in &plan.bands {
            let local = plan.pose.vehicle_from_unit(c + band.shift_m, t);
            for outline in &band.band.outlines {
                nearest = nearest.min(outline.chain.nearest(local).distance_m);
            }
        }
        nearest - radius
    };
    // March with the free distance: the vehicle cannot close it faster than the conveyor runs.
    let mut t = plan.pose.nose_time_s(c.x - radius - 1.0);
    let last = plan.pose.nose_time_s(c.x + plan.pose.length_m + radius + 1.0);
    while t < last {
        let free = gap(t);
        if free < 1e-9 {
            return t;
        }
        t += (free / plan.pose.speed_m_s).max(1e-9);
    }
    plan.pose.nose_time_s(c.x)
}

fn run_group(setup: &PassSetup, group: &[usize]) -> Result<Vec<UnitRecord>, PassError> {
    let units: Vec<UnitDynamics<'_>> = group.iter().map(|&i| setup.dynamics(i)).collect();
    let n = units.len();
    let mut modes: Vec<Modes> = units.iter().map(|u| initial_modes(u.model)).collect();
    let mut y0 = vec![0.0; n * COUNT];
    let mut rest = Vec::new();
    let mut plan_switches = Vec::new();
    let (mut start_s, mut end_s) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut next_touch = Vec::new();
    for (i, unit) in units.iter().enumerate() {
        let state = rest_state(unit, &mut modes[i])?;
        y0[i * COUNT..(i + 1) * COUNT].copy_from_slice(&state);
        rest.push(state[PHI]);
        plan_switches.extend(switches(i, unit));
        let reach_x = unit.model.pivot_m.x + unit.model.body.length_m + unit.law.radius_m + 0.1;
        let measured = &unit.vehicles[setup.measured];
        next_touch.push(touch_time_s(unit, &unit.vehicles[setup.measured + 1], state[PHI]));
        start_s = start_s.min(touch_time_s(unit, &unit.vehicles[0], state[PHI]) - 0.5);
        end_s = end_s.max(measured.pose.nose_time_s(reach_x + measured.pose.length_m));
        end_s = end_s.max(next_touch[i]);
    }
    plan_switches.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    if let Some(first) = plan_switches.first() {
        start_s = start_s.min(first.at_s - 0.5);
    }

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
            // φ, φ̇, two pressures (1 bar), slack, slack rate, then works (300 J).
            scale.extend([tol, tol, 1e5 * tol, 1e5 * tol, tol, tol]);
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
                continue;
            }
            self.find_triggers(h, zero_progress > 8);
            let first_s = self.fired.iter().map(|f| f.at_s).fold(f64::INFINITY, f64::min);
            if self.fired.is_empty() {
                self.keep(h, if h == room_s { stop_at } else { self.t + h });
                zero_progress = 0;
                let grow = if error > 0.0 { (0.9 * error.powf(-0.2)).clamp(0.2, 5.0) } else { 5.0 };
                // A step cut short to end at a switch says little about the next one.
                self.h = if h < self.h { self.h.max(h * grow).min(self.h * 2.0) } else { h * grow };
            } else {
                if first_s > 0.0 {
                    self.try_step(first_s);
                    self.keep(first_s, self.t + first_s);
                }
                zero_progress = if first_s > 1e-10 { 0 } else { zero_progress + 1 };
                // Units that switch at the same instant (like ones, opposite each other) switch together.
                for k in 0..self.fired.len() {
                    if self.fired[k].at_s == first_s {
                        self.switch_over(self.fired[k]);
                    }
                }
                self.restart();
                self.h = self.h.min(0.02);
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

    /// Records the step just tried and moves to its end.
    fn keep(&mut self, h: f64, end_s: f64) {
        for (i, steps) in self.steps.iter_mut().enumerate() {
            let mut coefficients = [[0.0; 5]; MOTION];
            for (k, c) in coefficients.iter_mut().enumerate() {
                *c = self.dp.dense(h, i * COUNT + k);
            }
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
            steps.push(DenseStep { start_s: self.t, length_s: h, coefficients, modes: self.system.modes[i] });
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

    /// Bisection for the sign change of a switching function on the dense output; returns the time from the start of the step, s.
    fn locate(&mut self, unit: usize, trigger: Trigger, h: f64, upper: f64) -> f64 {
        let n = self.system.units.len() * COUNT;
        // A turning swing and the stops show in the state alone; the rest needs the forces.
        let by_state = match trigger {
            Trigger::Motion => self.system.modes[unit].motion != Motion::Stick,
            Trigger::Inboard | Trigger::InboardClear | Trigger::Outboard | Trigger::OutboardClear => true,
            Trigger::Cable | Trigger::CapLags | Trigger::RodLags => false,
        };
        let dense: Vec<[f64; 5]> = (0..n).map(|i| self.dp.dense(h, i)).collect();
        let mut y = vec![0.0; n];
        let mut dy = vec![0.0; n];
        let (mut a, mut b) = (0.0, upper);
        // Down to a picosecond.
        while (b - a) * h > 1e-12 {
            let mid = 0.5 * (a + b);
            for (v, c) in y.iter_mut().zip(&dense) {
                *v = dense_value(c, mid);
            }
            let range = unit * COUNT..(unit + 1) * COUNT;
            if by_state {
                self.system.units[unit].look_at_stops(&y[range.clone()], &mut self.system.forces[unit]);
            } else {
                self.system.evaluate(self.t + mid * h, &y, &mut dy);
            }
            let value = holds(trigger, &y[range], &self.system.modes[unit], &self.system.forces[unit]);
            if value >= 0.0 {
                a = mid
            } else {
                b = mid
            }
            if b - a <= f64::EPSILON {
                break;
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
            record.settled_s = settled_s(unit, &record, next_touch[i]);
            records.push(record);
        }
        records
    }
}

/// The last instant before `until_s` at which the arm came within the settled angle of rest and stayed; `None` when it was not there at `until_s`.
fn settled_s(unit: &UnitDynamics<'_>, record: &UnitRecord, until_s: f64) -> Option<f64> {
    let _ = unit;
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
