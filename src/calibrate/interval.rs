//! Predictions with intervals: the engine run on machines drawn from what is known of this one.
//!
//! The gap on a tail is jagged, so that no slope carries an error through: every draw is a pass. Draws are from ChaCha8, one stream for each, and so the
//! same for any number of threads. Where a scenario was calibrated, its covariance is drawn from; else what is assumed of a machine nobody measured.
//! How vehicles sit is not in it: that is what a spread is for.

use super::parameter::{machine_at_si, parameters};
use crate::coverage::Verdict;
use crate::coverage::measure::{self, Measure};
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::scenario::calibration::{OffBy, Uncertainty};
use crate::scenario::spread::standing;
use crate::study::indices::quantile;
use crate::study::interval::Share;
use crate::study::point::{PointResult, evaluate};
use rand::{SeedableRng, rngs::ChaCha8Rng};
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Draws when nobody says how many.
pub const DRAWS: u32 = 100;
/// Fewest draws of which an interval is told.
pub const FEWEST: u32 = 60;

/// What drawn machines do for one measure.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureInterval {
    /// The measure.
    pub measure: Measure,
    /// Its value on the machine as the scenario has it, SI.
    pub value: Option<f64>,
    /// Values at 2.5, 50 and 97.5 % of the draws that have one, SI.
    pub quantiles: Option<[f64; 3]>,
    /// Mean over the draws that have one, SI: the prediction that is off least in the square.
    pub mean: Option<f64>,
    /// Draws that have a value.
    pub values: usize,
    /// Chance to meet the limit, with its own interval; none when it is not judged.
    pub met: Option<Share>,
}

/// What drawn machines do.
#[derive(Debug, Clone, PartialEq)]
pub struct Intervals {
    /// Where the uncertainty comes from; empty when it is assumed.
    pub note: String,
    /// Whether the scenario was calibrated.
    pub calibrated: bool,
    /// Draws.
    pub draws: u32,
    /// Draws whose pass could not be computed.
    pub failed: usize,
    /// Why the first of them could not.
    pub reason: Option<String>,
    /// Every measure that has a value or is judged.
    pub measures: Vec<MeasureInterval>,
    /// Chance that every criterion is met.
    pub all_met: Option<Share>,
}

/// How far the settings may be off, and the scenario in which they can be set: by its calibration, else as assumed of a machine that nobody measured.
///
/// # Errors
/// [`Diagnostics`] of the scenario.
pub fn known(scenario: &Scenario) -> Result<(Scenario, Uncertainty, bool), Diagnostics> {
    if let Some(uncertainty) = scenario.uncertainty()? {
        return Ok((scenario.clone(), uncertainty, true));
    }
    let sides: Vec<_> = scenario.unit_models().iter().map(|u| u.side).collect();
    let base = scenario.with_found(&sides)?;
    let mut list = Vec::new();
    match sides.as_slice() {
        [_, _] => {
            // Both units alike where they are; what differs is off on each by itself.
            list = parameters(&base, "both")?.fitted;
            for side in &sides {
                let own = parameters(&base, side.name())?.fitted;
                let rest = |path: &str| path.split_once('.').map(|(_, rest)| rest.to_owned());
                list.extend(own.into_iter().filter(|p| {
                    let both = format!("both.{}", rest(&p.path).unwrap_or_default());
                    base.setting(&both).ok().is_none_or(|s| s.value_si(&base).is_none())
                }));
            }
        }
        [side] => list = parameters(&base, side.name())?.fitted,
        _ => {}
    }
    let count = list.len();
    let of = list.into_iter().map(|p| (p.path, p.by, p.sd)).collect();
    let none: Vec<Vec<f64>> = (1..count).map(|i| vec![0.0; i]).collect();
    let uncertainty = Uncertainty::new("", of, &none).unwrap_or_default();
    Ok((base, uncertainty, false))
}

/// Machines drawn from what is known of one.
pub(super) struct Draws<'a> {
    base: &'a Scenario,
    uncertainty: &'a Uncertainty,
    /// Number of the parameter, path and value in SI: where the sides were set apart after the calibration, both are off alike.
    stands: Vec<(usize, String, f64)>,
    seed: u64,
}

impl<'a> Draws<'a> {
    /// Around a scenario as it stands.
    pub fn new(
        base: &'a Scenario,
        uncertainty: &'a Uncertainty,
        seed: u64,
    ) -> Result<Draws<'a>, Diagnostics> {
        let mut stands = Vec::new();
        for (k, (path, _, _)) in uncertainty.parameters.iter().enumerate() {
            let setting = base.setting(path).map_err(|diagnostic| *diagnostic)?;
            stands.extend(standing(base, &setting).into_iter().map(|(path, value)| (k, path, value)));
        }
        Ok(Draws { base, uncertainty, stands, seed })
    }

    /// How many of so many draws there can be: machines that a calibration lists are as many as it lists.
    pub fn at_most(&self, draws: u32) -> u32 {
        let listed = u32::try_from(self.uncertainty.draws.len()).unwrap_or(u32::MAX);
        if listed > 0 { draws.min(listed) } else { draws }
    }

    /// Machine number `draw`. `None` where such a machine cannot be.
    pub fn machine(&self, draw: u32) -> Option<Scenario> {
        let all = &self.uncertainty.parameters;
        let deviations = if self.uncertainty.draws.is_empty() {
            let mut rng = ChaCha8Rng::seed_from_u64(self.seed);
            rng.set_stream(u64::from(draw));
            let normal: Vec<f64> = all.iter().map(|_| StandardNormal.sample(&mut rng)).collect();
            self.uncertainty.deviations(&normal)
        } else {
            self.uncertainty.draws.get(draw as usize)?.clone()
        };
        let changes: Vec<(&str, OffBy, f64, f64)> = self
            .stands
            .iter()
            .map(|(k, path, value)| (path.as_str(), all[*k].1, *value, deviations[*k]))
            .collect();
        machine_at_si(self.base, &changes)
    }
}

/// Runs the pass of a scenario on drawn machines.
///
/// # Errors
/// [`Diagnostics`] of the scenario.
pub fn intervals(scenario: &Scenario, draws: u32, seed: u64) -> Result<Intervals, Diagnostics> {
    let (base, uncertainty, calibrated) = known(scenario)?;
    let drawn = Draws::new(&base, &uncertainty, seed)?;
    let draws = drawn.at_most(draws);
    let here = evaluate(scenario);
    let points: Vec<PointResult> = (0..draws)
        .into_par_iter()
        .map(|draw| match drawn.machine(draw) {
            Some(machine) => evaluate(&machine),
            None => PointResult::failed("no such machine can be built"),
        })
        .collect();
    let failed = points.iter().filter(|p| p.reason().is_some()).count();
    let reason = points.iter().find_map(|p| p.reason().map(str::to_owned));
    let share = |met: usize| Share::wilson(met as u64, u64::from(draws), 0.95);
    let measures = measure::ALL
        .into_iter()
        .filter_map(|measure| {
            let value = here.value(measure);
            let mut values: Vec<f64> = points.iter().filter_map(|p| p.value(measure)).collect();
            values.sort_by(f64::total_cmp);
            let judged = here.reading(measure).is_some_and(|r| r.verdict.is_some());
            // A pass that could not be computed meets nothing.
            let met = points
                .iter()
                .filter(|p| {
                    p.reading(measure).and_then(|r| r.verdict).is_some_and(|verdict| verdict != Verdict::Fail)
                })
                .count();
            if values.is_empty() && !judged {
                return None;
            }
            let quantiles =
                (!values.is_empty()).then(|| [0.025, 0.5, 0.975].map(|share| quantile(&values, share)));
            let mean = (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64);
            let met = if judged { share(met) } else { None };
            Some(MeasureInterval { measure, value, quantiles, mean, values: values.len(), met })
        })
        .collect();
    let all_met =
        if here.verdict().is_some() { share(points.iter().filter(|p| p.meets_all()).count()) } else { None };
    Ok(Intervals { note: uncertainty.note, calibrated, draws, failed, reason, measures, all_met })
}
