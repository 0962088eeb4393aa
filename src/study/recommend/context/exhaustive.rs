//! Every step set tried, and nothing clever: a check of the search.

use super::super::{RecommendPlan, standard_changes};
use super::{SearchContext, cases, turns};
use crate::coverage::measure::Measure;
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::study::point::evaluate;
use crate::study::search::{Candidate, Search, is_more_of};
use crate::study::worst::Worst;
use rayon::prelude::*;

/// One step set of [`exhaustive`].
#[derive(Debug, Clone, PartialEq)]
pub struct TriedSet {
    /// Every setting that ends up elsewhere than as found: path and value as written.
    pub changes: Vec<(String, String)>,
    /// Field steps from the standard.
    pub total_steps: u32,
    /// Margin at the tightest criterion at the worst.
    pub margin: f64,
    /// That criterion's measure and its case; none when a pass cannot be computed.
    pub tightest: Option<(Measure, usize)>,
}

/// What trying every step set gives, for checks.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The best answer.
    pub best: Option<TriedSet>,
    /// The next best that is not the best with more on top, within as many more steps as [`Search::RUNNER_UP_STEPS`].
    pub runner_up: Option<TriedSet>,
    /// The one with the most margin.
    pub nearest: TriedSet,
    /// Whether a set would do with the criterion of the nearest one's tightest measure set aside.
    pub would_do_without_it: bool,
    /// Step sets tried.
    pub sets: u64,
}

/// Tries every step set in every case with full passes, and nothing clever: a check of the search. The order of preference is the same.
///
/// # Errors
/// [`Diagnostics`] when a vehicle or a throughput is not allowed.
pub fn exhaustive(scenario: &Scenario, plan: &RecommendPlan) -> Result<Tried, Diagnostics> {
    let cases = cases(scenario, &plan.vehicles, &plan.throughputs)?;
    let standard = standard_changes(scenario);
    let turns = turns(&scenario.with(&standard)?, plan);
    let as_found = Worst::of(&[]);
    let context = SearchContext {
        scenario,
        standard: &standard,
        turns: &turns,
        cases: &cases,
        between: &[],
        as_found: &as_found,
        most_steps: plan.most_steps.unwrap_or(u32::MAX),
        marginal_share: scenario.criteria().marginal_share,
        stop: &|| false,
        run: &evaluate,
    };
    let mut sets: Vec<Vec<i32>> = vec![Vec::new()];
    for turn in &turns {
        let longer = |set: &Vec<i32>| -> Vec<Vec<i32>> {
            (turn.knob.low..=turn.knob.high).map(|n| set.iter().copied().chain([n]).collect()).collect()
        };
        sets = sets.iter().flat_map(longer).collect();
    }
    let total = |steps: &[i32]| steps.iter().map(|n| n.unsigned_abs()).sum::<u32>();
    sets.retain(|steps| context.allowed(steps) && total(steps) <= context.most_steps);
    let mut tried: Vec<(Candidate, Worst)> = sets
        .into_par_iter()
        .map(|steps| {
            let worst = context.worst(&cases, &context.all_changes(&steps));
            let stage = turns.iter().zip(&steps).filter(|(_, n)| **n != 0).map(|(t, _)| t.knob.stage).max();
            (Candidate { stage: stage.unwrap_or(0), margin: worst.tightest().0, steps }, worst)
        })
        .collect();
    // Past the marginal band where anything reaches there.
    let past_band = |worst: &Worst| worst.margin_past_band(context.marginal_share);
    if tried.iter().any(|(_, worst)| past_band(worst) >= 0.0) {
        for (candidate, worst) in &mut tried {
            candidate.margin = past_band(worst);
        }
    }
    tried.sort_by(|(a, _), (b, _)| a.preferred(b));
    let told = |(candidate, worst): &(Candidate, Worst)| TriedSet {
        changes: context.all_changes(&candidate.steps),
        total_steps: candidate.total(),
        margin: worst.tightest().0,
        tightest: worst.tightest().1,
    };
    let mut answers = tried.iter().filter(|(candidate, _)| candidate.margin >= 0.0);
    let best = answers.next();
    let runner_up = best.filter(|(best, _)| best.stage > 0).and_then(|(best, _)| {
        answers.find(|(other, _)| {
            other.total() <= best.total() + Search::RUNNER_UP_STEPS && !is_more_of(&other.steps, &best.steps)
        })
    });
    let nearest = tried.iter().reduce(|a, b| if b.0.margin > a.0.margin { b } else { a });
    let nearest = nearest.map(told).unwrap_or(TriedSet {
        changes: Vec::new(),
        total_steps: 0,
        margin: f64::NEG_INFINITY,
        tightest: None,
    });
    let aside = nearest.tightest.map(|(measure, _)| measure.name);
    let would_do_without_it =
        tried.iter().any(|(_, worst)| worst.tightest_of(|m| Some(m.name) != aside).0 >= 0.0);
    Ok(Tried {
        best: best.map(told),
        runner_up: runner_up.map(told),
        nearest,
        would_do_without_it,
        sets: tried.len() as u64,
    })
}
