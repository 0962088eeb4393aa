//! Integrates the units of a run: one alone, or two whose brushes can meet.
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
pub(super) fn integrate_units(
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

#[cfg(test)]
mod tests {
    use super::super::motion::{Modes, Motion};
    use super::super::{PassSetup, run};
    use super::*;
    use crate::scenario::Scenario;

    fn opposite_pair() -> PassSetup {
        let text = include_str!("../../scenarios/opposite-pair.ron");
        Scenario::read_alone(text, "opposite-pair.ron").expect("good").setup()
    }

    /// Steps of an arm that swings evenly from `phi_rad` at `rate_rad_s`, from `start_s` on.
    fn even(start_s: f64, lengths_s: &[f64], phi_rad: f64, rate_rad_s: f64) -> Vec<DenseStep> {
        let modes = Modes::clear(Motion::In);
        let mut at_s = start_s;
        let step = |length_s: &f64| {
            let mut coefficients = [[0.0; 5]; state::MOTION];
            coefficients[PHI][..2]
                .copy_from_slice(&[phi_rad + rate_rad_s * (at_s - start_s), rate_rad_s * length_s]);
            let step = DenseStep { start_s: at_s, length_s: *length_s, coefficients, modes };
            at_s += length_s;
            step
        };
        lengths_s.iter().map(step).collect()
    }

    /// Two arms that swing in evenly, with steps of their own: the instant is found at which their brushes meet, to a microsecond, whatever the
    /// steps; and none where they keep clear, however near they come.
    #[test]
    fn verif_the_instant_of_meeting_is_found() {
        let setup = opposite_pair();
        let units = [setup.dynamics(0), setup.dynamics(1)];
        let pair = [&units[0], &units[1]];
        let models = pair.map(|unit| unit.model);
        let from_s = 40.0;
        let room_m = |phi: [f64; 2]| spacing_m(models, [0, 1].map(|i| models[i].brush_center_m(phi[i])));
        // By bisection on the angle that both have: clear at the wide end.
        let (mut wide, mut narrow) = (1.5, 0.6);
        assert!(room_m([wide; 2]) > 0.0 && room_m([narrow; 2]) < 0.0);
        for _ in 0..60 {
            let middle = 0.5 * (wide + narrow);
            if room_m([middle; 2]) > 0.0 { wide = middle } else { narrow = middle }
        }
        let rate = -0.02;
        let phi_0 = wide + 0.03;
        let meets_s = from_s + (phi_0 - wide) / -rate;
        let own = [
            even(from_s, &[0.3, 0.5, 0.2, 0.9, 1.3], phi_0, rate),
            even(from_s, &[0.7, 0.05, 0.05, 1.4, 1.0], phi_0, rate),
        ];
        let steps = [&own[0][..], &own[1][..]];
        let found_s = first_meeting_s(pair, steps, from_s, from_s + 3.0).expect("they meet");
        assert!((found_s - meets_s).abs() < 2.0 * SHARP_S, "{found_s} {meets_s}");
        // From within a step, and ended before: nothing.
        assert!(first_meeting_s(pair, steps, from_s + 1.1, from_s + 3.0).is_some());
        assert_eq!(first_meeting_s(pair, steps, from_s, meets_s - 1e-4), None);
        // One stands, the other goes to and fro before it, clear by 2 mm where it is nearest.
        let stands = even(from_s, &[3.0], wide, 0.0);
        let mut comes = even(from_s, &[1.0], wide + 0.3, 0.0);
        let reach_rad = 0.002 / models[0].body.length_m;
        comes[0].coefficients[PHI] = [wide + 0.3, 0.0, -4.0 * (0.3 - 2.0 * reach_rad), 0.0, 0.0];
        let nearest = room_m([comes[0].value_at(PHI, from_s + 0.5), wide]);
        assert!(nearest > 1e-4 && nearest < 5e-3, "{nearest}");
        assert_eq!(first_meeting_s(pair, [&comes, &stands], from_s, from_s + 1.0), None);
    }

    /// Arms whose brushes came clear of each other take their own steps again: while they lean on each other all steps are common, after it few
    /// ends of steps are. Before they first meet each takes the very steps it takes without the other.
    #[test]
    fn verif_arms_that_are_clear_take_their_own_steps() {
        let mut setup = opposite_pair();
        // Both sides are alike but for this; alike they take the same steps by themselves.
        setup.train.iter_mut().for_each(|vehicle| vehicle.lateral_offset_m += 0.03);
        let both = run(&setup).expect("runs");
        let units = [setup.dynamics(0), setup.dynamics(1)];
        let models = [0, 1].map(|i| units[i].model);
        let (mut common, mut own) = ([0, 0], [0, 0]);
        let mut met = false;
        for step in &both.units[0].steps {
            let at_s = step.start_s;
            let phi = [0, 1].map(|i| both.units[i].state_at(at_s).phi_rad());
            let room_m = spacing_m(models, [0, 1].map(|i| models[i].brush_center_m(phi[i])));
            met |= room_m < 0.0;
            let other = &both.units[1].steps[both.units[1].step_index(at_s)];
            let counts = if other.start_s == at_s { &mut common } else { &mut own };
            counts[0] += usize::from(room_m < 0.0);
            counts[1] += usize::from(met && room_m > 2.0 * CLEAR_M);
        }
        assert!(common[0] > 20 && own[0] == 0, "{common:?} {own:?}");
        assert!(own[1] > 20 && common[1] * 4 < own[1], "{common:?} {own:?}");
    }

    /// Run together all along, every step cut to what either arm does, a pair whose brushes meet does the same work and goes the same way, to the
    /// tolerance.
    #[test]
    fn verif_running_apart_changes_no_work() {
        let mut setup = opposite_pair();
        // Both sides are alike but for this.
        setup.train.iter_mut().for_each(|vehicle| vehicle.lateral_offset_m += 0.03);
        setup.numerics.tolerance = 1e-9;
        let record = run(&setup).expect("runs");
        let units = [setup.dynamics(0), setup.dynamics(1)];
        let start_s = record.units[0].start_s();
        let end_s = record.units[0].end_s();
        let start = units.iter().zip(&record.units).map(|(unit, own)| {
            let at = own.state_at(start_s);
            let mut y = [0.0; state::COUNT];
            y[..state::MOTION].copy_from_slice(&at.y[..state::MOTION]);
            Progress::new(unit, y, at.modes)
        });
        let mut together = Stepper::new(&setup.numerics, &units, start.collect(), [].into_iter(), start_s);
        together.go(end_s, |_| false).expect("runs");
        let ends = together.into_progress();
        let steps = |units: &[usize]| units.iter().sum::<usize>();
        let [alone, common] = [
            steps(&[0, 1].map(|i| record.units[i].steps.len())),
            steps(&[0, 1].map(|i| ends[i].steps.len())),
        ];
        assert!(common > alone + 20, "{common} steps together, {alone} apart");
        for (end, own) in ends.iter().zip(&record.units) {
            for t in (0..200).map(|k| start_s + (end_s - start_s) * f64::from(k) / 200.0) {
                let step = end.steps.partition_point(|s| s.start_s <= t).saturating_sub(1);
                let off_rad = end.steps[step].value_at(PHI, t) - own.state_at(t).phi_rad();
                assert!(off_rad.abs() < 5e-5, "{off_rad} rad at {t} s");
            }
            for (work, of, want) in [
                ("between the brushes", end.y[state::D_BRUSHES], own.audit.brushes_j),
                ("of the spindle", end.y[state::W_SPINDLE], own.audit.spindle_j),
                ("at the stops", end.y[state::D_STOP], own.audit.stop_j),
            ] {
                assert!(
                    want.abs() > 0.05 && (of / want - 1.0).abs() < 1e-4,
                    "{work}: {of} together, {want} apart, J"
                );
            }
        }
    }
}
