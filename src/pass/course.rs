//! The course of the units that a run integrates: one alone, or two whose brushes can meet.
//!
//! Brushes act on each other only where their reaches overlap, |c₁ − c₂| < R₁ + R₂. While they are clear, each unit takes its own steps and
//! knows nothing of the other; where they come within reach both go on from that instant together, until they are clear again. That changes
//! nothing but the work: a step of one arm is not cut to what the other one does.
//!
//! That two brushes kept clear is certain, not sampled: over a stretch of time a centre moves by no more than ℓ Σ|cᵢ| of the dense output of
//! φ (each term of it changes by at most its coefficient), and a stretch that this does not clear is halved.

use super::integrator::dense_value;
use super::motion::{UnitDynamics, state};
use super::pair::spacing_m;
use super::record::DenseStep;
use super::start::Switch;
use super::stepper::{Progress, Stepper};
use super::{Numerics, PassError};
use crate::geometry::Vec2;
use state::PHI;

/// How far two brushes run apart between two looks whether they met, s: what is run in vain when they did.
const WINDOW_S: f64 = 20.0;
/// Brushes are let go apart when they are clear by this much, m.
const CLEAR_M: f64 = 0.05;
/// How sharply the instant is found at which two brushes meet, s.
const SHARP_S: f64 = 1e-6;

/// Runs units from `start_s` to `end_s`; the switches are in order of time, those not after the start are not looked at.
pub(super) fn course(
    numerics: &Numerics,
    units: &[UnitDynamics<'_>],
    start: Vec<Progress>,
    switches: &[Switch],
    start_s: f64,
    end_s: f64,
) -> Result<Vec<Progress>, PassError> {
    let (mut t, mut at) = (start_s, start);
    while t < end_s {
        if let [a, b] = units
            && are_clear([a, b], [at[0].y[PHI], at[1].y[PHI]])
        {
            (t, at) = apart(numerics, [a, b], at, switches, t, end_s)?;
        } else {
            let mut together = Stepper::new(numerics, units, at, switches.iter().copied(), t);
            together.go(end_s, |run| match units {
                [a, b] => are_clear([a, b], [run.state(0)[PHI], run.state(1)[PHI]]),
                _ => false,
            })?;
            t = together.time_s();
            at = together.into_progress();
        }
    }
    Ok(at)
}

/// Runs two units each by itself until their brushes meet, or to the end; until when, and where they are then.
fn apart(
    numerics: &Numerics,
    pair: [&UnitDynamics<'_>; 2],
    mut at: Vec<Progress>,
    switches: &[Switch],
    from_s: f64,
    end_s: f64,
) -> Result<(f64, Vec<Progress>), PassError> {
    let alone = |i: usize, at: Vec<Progress>| {
        let own = switches.iter().filter(|s| s.unit == i).map(|s| Switch { unit: 0, ..*s });
        Stepper::new(numerics, std::slice::from_ref(pair[i]), at, own, from_s)
    };
    let at_second = at.split_off(1);
    let (mut first, mut second) = (alone(0, at), alone(1, at_second));
    let mut seen_s = from_s;
    loop {
        let until_s = (seen_s + WINDOW_S).min(end_s);
        let window = |run: &mut Stepper<'_, '_>| run.go(end_s, |run| run.time_s() >= until_s);
        let outcomes = rayon::join(|| window(&mut first), || window(&mut second));
        let known_s = first.time_s().min(second.time_s());
        if let Some(meet_s) = first_meeting_s(pair, [first.steps(0), second.steps(0)], seen_s, known_s) {
            let back = [first, second].into_iter().flat_map(|run| run.back_to(meet_s));
            return Ok((meet_s, back.collect()));
        }
        // What stops one of them later than they met does not count; else the earlier fault does.
        match outcomes {
            (Err(a), Err(_)) if first.time_s() <= second.time_s() => return Err(a),
            (Ok(()), Ok(())) => {}
            (_, Err(error)) | (Err(error), _) => return Err(error),
        }
        if known_s >= end_s {
            let both = [first, second].into_iter().flat_map(Stepper::into_progress);
            return Ok((end_s, both.collect()));
        }
        seen_s = known_s;
    }
}

/// Whether two brushes at these swing angles are clear enough to be run apart.
fn are_clear(pair: [&UnitDynamics<'_>; 2], phi_rad: [f64; 2]) -> bool {
    let models = pair.map(|unit| unit.model);
    spacing_m(models, [0, 1].map(|i| models[i].brush_center_m(phi_rad[i]))) > CLEAR_M
}

/// The instant between two times from which on two brushes, run apart, can no longer be told to be clear, s; `None` when they kept clear.
fn first_meeting_s(
    pair: [&UnitDynamics<'_>; 2],
    steps: [&[DenseStep]; 2],
    from_s: f64,
    to_s: f64,
) -> Option<f64> {
    let mut index = steps.map(|steps| steps.partition_point(|s| s.start_s <= from_s).saturating_sub(1));
    let mut at_s = from_s;
    while at_s < to_s {
        let next = |k: usize| steps[k].get(index[k] + 1).map_or(to_s, |step| step.start_s);
        let ends = [next(0), next(1)];
        let until_s = ends[0].min(ends[1]).min(to_s);
        let swings = [Swing::new(pair[0], &steps[0][index[0]]), Swing::new(pair[1], &steps[1][index[1]])];
        if let Some(meet_s) = meet_within(&swings, at_s, until_s) {
            return Some(meet_s);
        }
        for k in 0..2 {
            if ends[k] <= until_s {
                index[k] += 1;
            }
        }
        at_s = until_s;
    }
    None
}

/// A brush during one step.
struct Swing<'s> {
    unit: &'s UnitDynamics<'s>,
    step: &'s DenseStep,
    /// Its centre moves no faster, m/s.
    fastest_m_s: f64,
}

impl<'s> Swing<'s> {
    fn new(unit: &'s UnitDynamics<'s>, step: &'s DenseStep) -> Self {
        let change_rad: f64 = step.coefficients[PHI][1..].iter().map(|c| c.abs()).sum();
        Swing { unit, step, fastest_m_s: unit.model.body.length_m * change_rad / step.length_s }
    }

    fn center_m(&self, t: f64) -> Vec2 {
        let x = (t - self.step.start_s) / self.step.length_s;
        self.unit.model.brush_center_m(dense_value(&self.step.coefficients[PHI], x))
    }
}

fn meet_within(swings: &[Swing<'_>; 2], from_s: f64, to_s: f64) -> Option<f64> {
    let middle_s = 0.5 * (from_s + to_s);
    let swings_ref = swings.each_ref();
    let room_m = spacing_m(swings_ref.map(|s| s.unit.model), swings_ref.map(|s| s.center_m(middle_s)));
    let travel_m = 0.5 * (to_s - from_s) * (swings[0].fastest_m_s + swings[1].fastest_m_s);
    if room_m > travel_m {
        return None;
    }
    if to_s - from_s < SHARP_S {
        return Some(from_s);
    }
    meet_within(swings, from_s, middle_s).or_else(|| meet_within(swings, middle_s, to_s))
}
