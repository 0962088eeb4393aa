//! Runs a pass: every unit from its start past the measured vehicle until the next one comes.

use super::motion::{Modes, Motion, UnitDynamics, state};
use super::pair::{brushes_can_meet, spacing_m};
use super::record::{DenseStep, UnitRecord};
use super::settle::{Stretch, settle};
use super::start::{
    Switch, alongside_state, alongside_time_s, initial_modes, rest_state, switches, switches_for,
    touch_time_s,
};
use super::stepper::Progress;
use super::units::integrate_units;
use super::{Numerics, PassError, PassSetup, Record};
use rayon::prelude::*;
use state::{COUNT, MOTION, PHI};

/// How long a late arm is still followed, s.
const LATE_S: f64 = 30.0;
/// An arm that friction has held for this long stands still, s.
const STILL_S: f64 = 2.0;
/// How long two brushes that lean on each other are given to come to rest, s.
const LEAN_S: f64 = 60.0;
/// Brushes that rest clear of each other by this much do not meet when both swing in, m.
const SWING_ROOM_M: f64 = 0.3;

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
    for (unit, modes) in units.iter().zip(&mut modes) {
        states.push(rest_state(unit, modes)?);
    }
    lean(&setup.numerics, &units, &mut states, &mut modes)?;
    for (i, (unit, state)) in units.iter().zip(&states).enumerate() {
        plan_switches.extend(switches(i, unit));
        let reach_x = unit.model.pivot_m.x + unit.model.body.length_m + unit.law.radius_m + 0.1;
        let measured = &unit.vehicles[setup.measured];
        next_touch.push(touch_time_s(unit, &unit.vehicles[setup.measured + 1], state[PHI]));
        first_touch_s = first_touch_s.min(touch_time_s(unit, &unit.vehicles[0], state[PHI]));
        alongside_s = alongside_s.min(alongside_time_s(unit, state[PHI]));
        end_s = end_s.max(measured.pose.nose_time_s(reach_x + measured.pose.length_m));
        end_s = end_s.max(next_touch[i]);
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
    let ends = integrate_units(&setup.numerics, &units, start, &plan_switches, start_s, end_s)?;

    let mut records = records(&units, ends, &rest, &next_touch);
    follow(setup, units, &mut records)?;
    Ok(records)
}

/// Where each arm stands with no vehicle near, rad: in its own balance, or, where two brushes lean on each other, where both have come to
/// stand.
///
/// # Errors
/// One result a unit: [`PassError::NoRest`] when its torques never change sign, and for a leaning pair whatever ends its run.
pub fn rest_angles_rad(setup: &PassSetup) -> Vec<Result<f64, PassError>> {
    let units: Vec<UnitDynamics<'_>> = (0..setup.units.len()).map(|i| setup.dynamics(i)).collect();
    let mut modes: Vec<Modes> = units.iter().map(|unit| initial_modes(unit.model)).collect();
    let alone: Vec<_> = units.iter().zip(&mut modes).map(|(unit, modes)| rest_state(unit, modes)).collect();
    if units.len() == 2
        && brushes_can_meet(&setup.units)
        && let [Ok(a), Ok(b)] = alone[..]
    {
        let mut states = [a, b];
        return match lean(&setup.numerics, &units, &mut states, &mut modes) {
            Ok(()) => states.iter().map(|y| Ok(y[PHI])).collect(),
            Err(error) => vec![Err(error.clone()), Err(error)],
        };
    }
    alone.into_iter().map(|state| state.map(|y| y[PHI])).collect()
}

/// The records of units that have come to their end.
pub(super) fn records(
    units: &[UnitDynamics<'_>],
    ends: Vec<Progress>,
    rest: &[f64],
    next_touch: &[f64],
) -> Vec<UnitRecord> {
    let ends = units.iter().zip(ends).zip(rest.iter().zip(next_touch));
    ends.map(|((unit, end), (rest, next_touch))| end.into_record(unit, *rest, *next_touch)).collect()
}

/// Lets two brushes that would rest in each other come to where both stand.
fn lean(
    numerics: &Numerics,
    units: &[UnitDynamics<'_>],
    states: &mut [[f64; COUNT]],
    modes: &mut [Modes],
) -> Result<(), PassError> {
    if rest_spacing_m(units, states.iter().map(|y| y[PHI])) >= 0.0 {
        return Ok(());
    }
    let alone: Vec<UnitDynamics<'_>> =
        units.iter().map(|unit| UnitDynamics { vehicles: Vec::new(), ..unit.clone() }).collect();
    let start = alone
        .iter()
        .zip(states.iter().zip(modes.iter()))
        .map(|(unit, (y, modes))| Progress::new(unit, *y, *modes))
        .collect();
    let ends = until_still(numerics, &alone, start, &[], 0.0, LEAN_S)?;
    for ((y, modes), end) in states.iter_mut().zip(modes).zip(ends) {
        *y = end.y;
        y[MOTION..].fill(0.0);
        *modes = end.modes;
    }
    Ok(())
}

/// Room between two brushes at these swing angles, m; infinite for a single one.
fn rest_spacing_m(units: &[UnitDynamics<'_>], mut phi_rad: impl Iterator<Item = f64>) -> f64 {
    match (units, phi_rad.next(), phi_rad.next()) {
        ([a, b], Some(phi_a), Some(phi_b)) => {
            spacing_m([a.model, b.model], [a.model.brush_center_m(phi_a), b.model.brush_center_m(phi_b)])
        }
        _ => f64::INFINITY,
    }
}

/// Runs units until friction has held all of them for a while, at most for `longest_s`.
fn until_still(
    numerics: &Numerics,
    units: &[UnitDynamics<'_>],
    start: Vec<Progress>,
    to_come: &[Switch],
    from_s: f64,
    longest_s: f64,
) -> Result<Vec<Progress>, PassError> {
    let (mut t, mut at) = (from_s, start);
    loop {
        let until_s = t + STILL_S;
        at = integrate_units(numerics, units, at, to_come, t, until_s)?;
        if at.iter().all(|unit| held_since(&unit.steps, t)) || until_s >= from_s + longest_s {
            return Ok(at);
        }
        t = until_s;
    }
}

/// Whether friction holds an arm in every step that ends after `t_s`.
fn held_since(steps: &[DenseStep], t_s: f64) -> bool {
    let after = |s: &&DenseStep| s.start_s + s.length_s > t_s;
    steps.iter().rev().take_while(after).all(|s| s.modes.motion == Motion::Stick)
}

/// Follows every unit on as if the vehicle after the measured one were late, and notes when it settles.
fn follow(
    setup: &PassSetup,
    mut units: Vec<UnitDynamics<'_>>,
    records: &mut [UnitRecord],
) -> Result<(), PassError> {
    // Up to where the next vehicle does anything: it touches, or it switches a valve.
    let mut from_s: Vec<f64> = records.iter().map(|r| r.next_touch_s).collect();
    let mut to_come = Vec::new();
    for (i, (unit, from_s)) in units.iter_mut().zip(&mut from_s).enumerate() {
        let switched = switches_for(i, unit.model, &unit.vehicles[setup.measured + 1]);
        *from_s = switched.iter().map(|s| s.at_s).fold(*from_s, f64::min).max(records[i].start_s());
        unit.vehicles.truncate(setup.measured + 1);
        to_come.extend(switches(i, unit));
    }
    to_come.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let meet = records.iter().any(|r| r.audit.brushes_j != 0.0)
        || rest_spacing_m(&units, records.iter().map(|r| r.rest_phi_rad)) < SWING_ROOM_M;
    let begin = |i: usize, t: f64| {
        let at = records[i].state_at(t);
        Progress::new(&units[i], at.y, at.modes)
    };
    let ends = if meet && units.len() == 2 {
        from_s = vec![from_s.iter().copied().fold(f64::INFINITY, f64::min); 2];
        let start = (0..2).map(|i| begin(i, from_s[i])).collect();
        until_still(&setup.numerics, &units, start, &to_come, from_s[0], LATE_S)?
    } else {
        let mut ends = Vec::with_capacity(units.len());
        for (i, unit) in units.iter().enumerate() {
            let own: Vec<Switch> =
                to_come.iter().filter(|s| s.unit == i).map(|s| Switch { unit: 0, ..*s }).collect();
            let start = vec![begin(i, from_s[i])];
            let unit = std::slice::from_ref(unit);
            ends.extend(until_still(&setup.numerics, unit, start, &own, from_s[i], LATE_S)?);
        }
        ends
    };
    for ((record, end), from_s) in records.iter_mut().zip(ends).zip(from_s) {
        record.left_alone = end.steps;
        note_settled(record, from_s);
    }
    Ok(())
}

/// An arm that goes no farther than this in all the time that it is left alone creeps, rad: 1°, at the brush a millimetre a second.
const CREEP_RAD: f64 = 0.0175;

/// Notes where an arm stands and when it has settled, from its run up to `from_s` and what follows when it is left alone.
pub(super) fn note_settled(record: &mut UnitRecord, from_s: f64) {
    let own = record.steps.iter().filter(|s| s.start_s < from_s);
    let run: Vec<Stretch<'_>> = own
        .map(|step| Stretch { step, until_s: (step.start_s + step.length_s).min(from_s) })
        .chain(record.left_alone.iter().map(|step| Stretch { step, until_s: step.start_s + step.length_s }))
        .collect();
    let Some(last) = run.last() else { return };
    let held = last.step.modes.motion == Motion::Stick;
    let stands = held.then(|| last.step.value_at(PHI, last.until_s));
    let ends = record.left_alone.iter().map(|step| step.value_at(PHI, step.start_s + step.length_s));
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), phi| (a.min(phi), b.max(phi)));
    // Brushes that lean on each other can creep on, now the one, now the other held: to everyone who looks such an arm stands where the next vehicle
    // finds it. Another that nothing holds goes toward its balance.
    let found = run.iter().position(|stretch| stretch.until_s >= from_s).map_or(&run[..], |i| &run[..=i]);
    let settled = match (stands, found.last()) {
        (None, Some(there)) if high - low < CREEP_RAD => {
            settle(found, there.step.value_at(PHI, there.until_s))
        }
        _ => settle(&run, stands.unwrap_or(record.rest_phi_rad)),
    };
    record.stands_phi_rad = stands;
    record.settled_s = settled.map(|s| s.at_s);
    record.settled_latest_s = settled.and_then(|s| s.at_latest_s);
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

#[cfg(test)]
mod tests {
    use super::super::record::EnergyAudit;
    use super::*;
    use crate::arm::Side;
    use crate::scenario::Scenario;

    const BASE_RAD: f64 = 1.0;

    /// A straight piece of the swing, in degrees over a base, held or not.
    fn line(start_s: f64, length_s: f64, from_deg: f64, to_deg: f64, motion: Motion) -> DenseStep {
        let mut coefficients = [[0.0; 5]; MOTION];
        coefficients[PHI] =
            [BASE_RAD + from_deg.to_radians(), (to_deg - from_deg).to_radians(), 0.0, 0.0, 0.0];
        DenseStep { start_s, length_s, coefficients, modes: Modes::clear(motion) }
    }

    fn record(steps: Vec<DenseStep>, left_alone: Vec<DenseStep>, rest_deg: f64) -> UnitRecord {
        UnitRecord {
            side: Side::Left,
            steps,
            rest_phi_rad: BASE_RAD + rest_deg.to_radians(),
            next_touch_s: 3.0,
            left_alone,
            stands_phi_rad: None,
            settled_s: None,
            settled_latest_s: None,
            audit: EnergyAudit::default(),
            evaluations: 0,
        }
    }

    /// Held is an arm that friction holds in every step that ends after an instant.
    #[test]
    fn verif_held_since_an_instant() {
        let steps = [
            line(0.0, 1.0, 2.0, 0.0, Motion::In),
            line(1.0, 1.0, 0.0, 0.0, Motion::Stick),
            line(2.0, 1.0, 0.0, 0.0, Motion::Stick),
        ];
        for (t_s, held) in [(0.5, false), (0.999, false), (1.0, true), (2.5, true), (9.0, true)] {
            assert_eq!(held_since(&steps, t_s), held, "{t_s}");
        }
        assert!(!held_since(&[steps[1].clone(), line(2.0, 1.0, 0.0, 1.0, Motion::Out)], 1.5));
    }

    /// An arm comes straight down from 2° in 2 s. Held there it has settled at 1.625 s, whatever the next vehicle does to it from 3 s on; left alone and hardly
    /// creeping it is judged where the next vehicle finds it; creeping on, against its balance.
    #[test]
    fn verif_where_an_arm_stands_and_when_it_has_settled() {
        use Motion::{In, Out, Stick};
        let comes = || vec![line(0.0, 2.0, 2.0, 0.0, In), line(2.0, 2.0, 0.0, 0.0, Stick)];
        let noted = |mut record: UnitRecord| {
            note_settled(&mut record, 3.0);
            (record.stands_phi_rad.map(|phi| (phi - BASE_RAD).to_degrees()), record.settled_s)
        };
        let near = |got: Option<f64>, want: f64| (got.expect("a number") - want).abs() < 1e-9;
        let (stands, settled) = noted(record(comes(), vec![line(3.0, 2.0, 0.0, 0.0, Stick)], 9.0));
        assert!(near(stands, 0.0) && near(settled, 1.625), "{stands:?} {settled:?}");
        // What begins when the next vehicle comes is none of it.
        let mut disturbed = vec![line(0.0, 2.0, 2.0, 0.0, In), line(2.0, 1.0, 0.0, 0.0, Stick)];
        disturbed.push(line(3.0, 1.0, 5.0, 30.0, Out));
        let (stands, settled) = noted(record(disturbed, vec![line(3.0, 2.0, 0.0, 0.0, Stick)], 9.0));
        assert!(near(stands, 0.0) && near(settled, 1.625), "{stands:?} {settled:?}");
        // It creeps on by half a degree in 20 s: judged at 3 s, though it rests 9° off.
        let slow = || vec![line(3.0, 10.0, 0.0, 0.25, Out), line(13.0, 10.0, 0.25, 0.5, Out)];
        let (stands, settled) = noted(record(comes(), slow(), 9.0));
        assert!(stands.is_none() && near(settled, 1.625), "{stands:?} {settled:?}");
        // By 1.5° in the second half: it comes to its balance 2° off, under ½° … ¼° from 13 + (1.5 − L)/0.15 s on, in the mean 20.5 s.
        let fast = || vec![line(3.0, 10.0, 0.0, 0.5, Out), line(13.0, 10.0, 0.5, 2.0, Out)];
        let (stands, settled) = noted(record(comes(), fast(), 2.0));
        assert!(stands.is_none() && near(settled, 20.5), "{stands:?} {settled:?}");
        assert_eq!(noted(record(comes(), fast(), 9.0)), (None, None));
        // Nothing to read.
        assert_eq!(noted(record(Vec::new(), Vec::new(), 0.0)), (None, None));
    }

    /// An arm is followed from where the next vehicle first does anything to it, a touch or a valve, from the state it had then, while friction still moves it or for
    /// half a minute; a pair that leans on each other goes on together.
    #[test]
    fn verif_an_arm_is_followed_from_where_the_next_vehicle_comes() {
        let mut pairs_met = 0;
        for name in ["ferry-return", "one-unit", "air-drop", "opposite-pair"] {
            let path = format!("{}/scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
            let text = std::fs::read_to_string(&path).expect("the demo");
            let setup = Scenario::read_alone(&text, &path).expect("good").setup();
            let record = run(&setup).expect("runs");
            let from_s: Vec<f64> = (0..setup.units.len())
                .map(|i| {
                    let unit = setup.dynamics(i);
                    let next = &unit.vehicles[setup.measured + 1];
                    let valves = switches_for(0, unit.model, next);
                    let touch_s = record.units[i].next_touch_s;
                    valves.iter().map(|s| s.at_s).fold(touch_s, f64::min)
                })
                .collect();
            let met = record.units.iter().any(|unit| unit.audit.brushes_j != 0.0);
            let together = from_s.iter().copied().fold(f64::INFINITY, f64::min);
            for (unit, from_s) in record.units.iter().zip(from_s) {
                let first = &unit.left_alone[0];
                // Brushes that rest near each other are followed together though they did not meet.
                let alone = !met && (first.start_s - from_s).abs() < 1e-9;
                let want = if alone { from_s } else { together };
                assert!((first.start_s - want).abs() < 1e-9, "{name}: {} {want}", first.start_s);
                let state = unit.state_at(want);
                for k in 0..MOTION {
                    let off = first.value_at(k, want) - state.y[k];
                    assert!(off.abs() <= 1e-9 * (1.0 + state.y[k].abs()), "{name}: {k} {off}");
                }
                let last = &unit.left_alone[unit.left_alone.len() - 1];
                let until_s = last.start_s + last.length_s;
                assert!(until_s >= want + STILL_S - 1e-9 && until_s <= want + LATE_S + STILL_S);
                if until_s < want + LATE_S - 1e-6 {
                    assert!(held_since(&unit.left_alone, until_s - STILL_S + 1e-9), "{name}");
                }
            }
            pairs_met += usize::from(met);
        }
        assert!(pairs_met > 0);
    }

    /// Arms whose brushes stay clear of each other settle as each does alone: the same steps when left alone, to the last, under its own valves, and from the same instant on.
    #[test]
    fn verif_arms_that_stay_clear_settle_as_each_alone() {
        let mut apart = 0;
        for (name, text) in [
            ("air-drop", include_str!("../../scenarios/air-drop.ron")),
            ("ferry-return", include_str!("../../scenarios/ferry-return.ron")),
            ("fleet-day", include_str!("../../scenarios/fleet-day.ron")),
        ] {
            let scenario = Scenario::read_alone(text, name).expect("good");
            let far = ("right.position".to_owned(), "90 in".to_owned());
            let setup = scenario.with(&[far]).expect("good").setup();
            let both = run(&setup).expect("runs");
            for (index, own) in both.units.iter().enumerate() {
                let alone = PassSetup { units: vec![setup.units[index].clone()], ..setup.clone() };
                let alone = run(&alone).expect("runs").units.remove(0);
                assert_eq!(own.audit.brushes_j, 0.0, "{name}");
                assert_eq!(own.left_alone.len(), alone.left_alone.len(), "{name} {index}");
                for (a, b) in own.left_alone.iter().zip(&alone.left_alone) {
                    assert!((a.start_s - b.start_s).abs() < 1e-9 && (a.length_s - b.length_s).abs() < 1e-9);
                    assert_eq!((a.modes.cap_on, a.modes.rod_on), (b.modes.cap_on, b.modes.rod_on));
                    apart += 1;
                }
                assert_eq!(
                    (own.settled_s, own.stands_phi_rad),
                    (alone.settled_s, alone.stands_phi_rad),
                    "{name}"
                );
            }
        }
        assert!(apart > 20, "{apart}");
    }
}
