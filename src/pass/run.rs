//! Runs a pass: every unit from its start past the measured vehicle until the next one comes.

use super::course::course;
use super::motion::{Modes, UnitDynamics, state};
use super::pair::brushes_can_meet;
use super::record::UnitRecord;
use super::start::{
    Switch, alongside_state, alongside_time_s, initial_modes, rest_state, switches, touch_time_s,
};
use super::stepper::Progress;
use super::{PassError, PassSetup, Record};
use rayon::prelude::*;
use state::{COUNT, PHI};

/// The arm counts as settled within this angle of rest, rad.
const SETTLED_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// How long after the next touch a late arm is still followed, s.
const LATE_S: f64 = 30.0;

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
    let start: Vec<Progress> = units
        .iter()
        .zip(states)
        .zip(modes)
        .map(|((unit, state), modes)| Progress::new(unit, state, modes))
        .collect();
    let ends = course(&setup.numerics, &units, start, &plan_switches, start_s, end_s)?;

    let mut records = records(&units, ends, &rest, &next_touch);
    // An arm that has not settled when the next vehicle comes is followed on, as if that vehicle were late, to say by how much it is late.
    if records.iter().any(|r| r.settled_s.is_none()) {
        let late_s = records.iter().map(|r| r.next_touch_s).fold(f64::INFINITY, f64::min);
        let late = follow_late(setup, units, &records, late_s)?;
        for (record, settled) in records.iter_mut().zip(late) {
            record.settled_s = record.settled_s.or(settled);
        }
    }
    Ok(records)
}

/// The records of units that have come to their end.
pub(super) fn records(
    units: &[UnitDynamics<'_>],
    ends: Vec<Progress>,
    rest: &[f64],
    next_touch: &[f64],
) -> Vec<UnitRecord> {
    let ends = units.iter().zip(ends).zip(rest.iter().zip(next_touch));
    ends.map(|((unit, end), (rest, next_touch))| {
        let mut record = end.into_record(unit, *rest, *next_touch);
        record.settled_s = settled_s(&record, *next_touch);
        record
    })
    .collect()
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

/// When each unit settles if the vehicle after the measured one does not come, s.
fn follow_late(
    setup: &PassSetup,
    mut units: Vec<UnitDynamics<'_>>,
    records: &[UnitRecord],
    from_s: f64,
) -> Result<Vec<Option<f64>>, PassError> {
    let (mut start, mut to_come) = (Vec::new(), Vec::new());
    for (i, (unit, record)) in units.iter_mut().zip(records).enumerate() {
        unit.vehicles.truncate(setup.measured + 1);
        let at = record.state_at(from_s);
        start.push(Progress::new(unit, at.y, at.modes));
        to_come.extend(switches(i, unit));
    }
    to_come.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let end_s = from_s + LATE_S;
    let ends = course(&setup.numerics, &units, start, &to_come, from_s, end_s)?;
    let rest: Vec<f64> = records.iter().map(|r| r.rest_phi_rad).collect();
    let late = self::records(&units, ends, &rest, &vec![end_s; records.len()]);
    Ok(late.into_iter().map(|record| record.settled_s).collect())
}

/// The last instant before `until_s` at which the arm came within the settled angle of rest and stayed, the start when it never left; `None` when
/// it was not there at `until_s`.
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
    Some(record.start_s())
}
