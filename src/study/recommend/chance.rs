//! How likely an answer meets every criterion when things spread, and the choice by it among step sets about as small.
//!
//! Of exactly as many steps there is mostly one set that does, as both sides are alike; so sets of up to [`crate::study::search::Search::RUNNER_UP_STEPS`] more, of the same
//! kinds of steps, are compared with it.
//!
//! Sets are compared on the same draws, draw for draw, so that what differs between them is the sets and not luck. The draws go round the cases in
//! turn, each as often as the others. Of sets that meet every criterion equally often the one with the fewest steps is taken, then the most margin.

use super::context::{Case, PassCache, SearchContext};
use super::{Aim, Answer};
use crate::error::Diagnostics;
use crate::study::interval::Share;
use crate::study::search::{Candidate, Progress};
use crate::study::spread::{Drawn, SpreadError};
use rayon::prelude::*;

/// Confidence of the interval.
const CONFIDENCE: f64 = 0.95;
/// Seed of the draws.
const SEED: u64 = 1;
/// Most sets let spread: those with the most margin.
const MOST_COMPARED: usize = 64;

/// What decides among the smallest step sets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choose {
    /// Margin at the tightest criterion.
    Margin,
    /// How often every criterion is met when things spread.
    Chance,
}

/// How likely an answer meets every criterion when things spread as the scenario says.
#[derive(Debug, Clone, PartialEq)]
pub struct Chance {
    /// Share of the passes that meet every criterion, with its interval; a pass that cannot be computed does not.
    pub all_met: Share,
    /// Confidence of the interval.
    pub confidence: f64,
    /// Seed of the draws.
    pub seed: u64,
    /// The cases it was drawn round, in turn: the tightest alone, or all where the set was chosen by chance.
    pub cases: Vec<String>,
}

/// How a set was chosen by chance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ByChance {
    /// Step sets that do with the fewest steps, or up to two more.
    pub sets: u64,
    /// Those of them that were let spread.
    pub compared: u64,
    /// Passes of the next likeliest that meet every criterion; none when there is no other.
    pub next_hits: Option<u64>,
}

/// A set chosen by chance.
pub(super) struct Likeliest {
    pub best: Candidate,
    pub next: Option<Candidate>,
    pub how: ByChance,
    pub chance: Option<Chance>,
}

/// Draws round some cases in turn, with some settings changed.
struct Draws(Vec<Drawn>);

impl Draws {
    /// None without a spread part.
    fn new<'c>(
        cases: impl IntoIterator<Item = &'c Case>,
        changes: &[(String, String)],
    ) -> Result<Option<Draws>, Diagnostics> {
        let mut list = Vec::new();
        for case in cases {
            match Drawn::new(&case.scenario.with(changes)?) {
                Ok(drawn) => list.push(drawn),
                Err(SpreadError::Scenario(diagnostics)) => return Err(diagnostics),
                Err(_) => return Ok(None),
            }
        }
        Ok((!list.is_empty()).then_some(Draws(list)))
    }

    /// How many of so many passes meet every criterion.
    fn hits(&self, passes: u64) -> u64 {
        let meets = |j: &u64| {
            let drawn = &self.0[(*j % self.0.len() as u64) as usize];
            drawn.evaluate(&drawn.draw(SEED, *j)).meets_all()
        };
        (0..passes).into_par_iter().filter(meets).count() as u64
    }
}

fn told<'c>(hits: u64, passes: u64, cases: impl IntoIterator<Item = &'c Case>) -> Option<Chance> {
    let all_met = Share::wilson(hits, passes, CONFIDENCE)?;
    let cases = cases.into_iter().map(|case| case.name.clone()).collect();
    Some(Chance { all_met, confidence: CONFIDENCE, seed: SEED, cases })
}

/// How likely an answer meets every criterion, drawn round its tightest case.
pub(super) fn chance(cases: &[Case], answer: &Answer, passes: u64) -> Result<Option<Chance>, Diagnostics> {
    let Some(case) = answer.checked.tightest().1.and_then(|(_, case)| cases.get(case)) else {
        return Ok(None);
    };
    let draws = Draws::new([case], &answer.changes)?;
    Ok(draws.and_then(|draws| told(draws.hits(passes), passes, [case])))
}

/// Of all step sets about as small as the best by margin, the one that meets every criterion most often. None when stopped on the context.
pub(super) fn likeliest(
    context: &SearchContext<'_>,
    cache: &PassCache<'_>,
    (best, aim): (&Candidate, Aim),
    passes: u64,
    tell: &mut impl FnMut(Progress),
) -> Result<Option<Likeliest>, Diagnostics> {
    let mut rivals = context.about_as_small(cache, best, aim);
    let sets = rivals.len() as u64;
    rivals.sort_by(|a, b| b.margin.total_cmp(&a.margin).then_with(|| a.preferred(b)));
    rivals.truncate(MOST_COMPARED);
    rivals.sort_by(Candidate::preferred);
    let most = rivals.len() as u64;
    let mut counted: Vec<(u64, Candidate)> = Vec::with_capacity(rivals.len());
    for (judged, rival) in (1..).zip(rivals) {
        if (context.stop)() {
            return Ok(None);
        }
        let Some(draws) = Draws::new(context.cases, &context.all_changes(&rival.steps))? else {
            return Ok(None);
        };
        counted.push((draws.hits(passes), rival));
        tell(Progress { judged, most, looks: judged * passes });
    }
    if (context.stop)() {
        return Ok(None);
    }
    // Stable: of equals the one preferred.
    counted.sort_by_key(|(hits, _)| std::cmp::Reverse(*hits));
    let compared = counted.len() as u64;
    let mut counted = counted.into_iter();
    let Some((hits, best)) = counted.next() else { return Ok(None) };
    let next = counted.next();
    Ok(Some(Likeliest {
        best,
        how: ByChance { sets, compared, next_hits: next.as_ref().map(|(hits, _)| *hits) },
        next: next.map(|(_, candidate)| candidate),
        chance: told(hits, passes, context.cases),
    }))
}
