//! The smallest set of whole steps that does in every case: an exact search in stages.
//!
//! Knobs are turned in whole steps from their standard, each within its range, each belonging to a stage. Answers are ordered by
//!
//! 1. the last stage they need: a later stage is used only when no answer without it exists,
//! 2. the total number of steps,
//! 3. the margin they leave at the tightest criterion of the hardest case, more first,
//! 4. the order in which step sets are listed.
//!
//! One look costs one pass: a step set in one case. The margin of a step set is the least over the cases, so each look gives an upper bound, and a set
//! whose bound is below nothing is out after its first failing case. The search saves looks in three ways, none of which can change what it finds:
//!
//! - step sets come in the order of 1 and 2, and the first size with an answer is the last one looked at (but for a runner-up);
//! - within a size the sets with the highest bounds are looked at next, until the best are known in every case: the others cannot beat them;
//! - the case likeliest to fail goes first: the one in which the sets with a step less came off worst, then those that threw out most lately.
//!
//! Without an answer the same is done over all sets for the nearest miss. Looks are made in batches of a fixed size, on as many threads as there
//! are, and read in order: neither the findings nor the number of looks depends on the number of threads.

mod open;

use open::{Open, Place};
use rayon::prelude::*;
use std::cmp::{Ordering, Reverse};
use std::collections::{BinaryHeap, HashMap};

/// Something that can be turned in whole steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Knob {
    /// Its name.
    pub name: String,
    /// Its stage; 1 comes first.
    pub stage: usize,
    /// Most steps down, 0 or negative.
    pub low: i32,
    /// Most steps up, 0 or positive.
    pub high: i32,
}

impl Knob {
    fn reach(&self) -> u32 {
        self.low.unsigned_abs().max(self.high.unsigned_abs())
    }
}

/// A step set with its margin.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Steps of each knob.
    pub steps: Vec<i32>,
    /// Last stage used; 0 for no steps.
    pub stage: usize,
    /// Margin at the tightest criterion over all cases: 0 or more meets them all.
    pub margin: f64,
}

impl Candidate {
    /// Total number of steps.
    pub fn total(&self) -> u32 {
        total(&self.steps)
    }

    /// Order of preference of answers.
    pub fn preferred(&self, other: &Candidate) -> Ordering {
        (self.stage, self.total())
            .cmp(&(other.stage, other.total()))
            .then(other.margin.total_cmp(&self.margin))
            .then_with(|| self.steps.cmp(&other.steps))
    }
}

/// What a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The best answer, if there is one.
    pub best: Option<Candidate>,
    /// The next best answer that is not the best one with more on top, among those of up to [`Search::RUNNER_UP_STEPS`] more steps.
    pub runner_up: Option<Candidate>,
    /// Without an answer: the step set with the most margin.
    pub nearest: Option<Candidate>,
    /// Step sets looked at.
    pub judged: u64,
    /// Looks: a step set in one case each.
    pub looks: u64,
    /// Whether it ended before all was known: what it holds is the best so far.
    pub is_interrupted: bool,
}

/// How far a search is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Step sets looked at.
    pub judged: u64,
    /// Step sets there are at the most.
    pub most: u64,
    /// Looks.
    pub looks: u64,
}

fn total(steps: &[i32]) -> u32 {
    steps.iter().map(|n| n.unsigned_abs()).sum()
}

/// A search.
#[derive(Clone)]
pub struct Search<'k> {
    knobs: &'k [Knob],
    cases: usize,
    most_steps: u32,
    answers_only: bool,
    stop: Option<&'k (dyn Fn() -> bool + Sync)>,
}

/// What a search keeps while it goes on.
struct Walk<'w, L> {
    look: &'w L,
    /// Where each step set came off worst: what to try first on the sets with one step more.
    worst_of: HashMap<Vec<i32>, (f64, usize)>,
    /// How often each case threw a set out, the latest counting most.
    threw_out: Vec<f64>,
    /// Margin of each case at no steps.
    at_standard: Vec<f64>,
    judged: u64,
    looks: u64,
}

impl<'k> Search<'k> {
    /// How many more steps than the best answer a runner-up may take.
    pub const RUNNER_UP_STEPS: u32 = 2;

    /// Looks made at once. Fixed, so that the same looks are made on any number of threads.
    const BATCH: usize = 16;

    /// A search over these knobs for a step set that does in this many cases (at least one).
    pub fn new(knobs: &'k [Knob], cases: usize) -> Search<'k> {
        Search { knobs, cases: cases.max(1), most_steps: u32::MAX, answers_only: false, stop: None }
    }

    /// The same search over step sets of so many steps at the most.
    pub fn at_most(mut self, steps: u32) -> Search<'k> {
        self.most_steps = steps;
        self
    }

    /// The same search without looking for the nearest miss when there is no answer.
    pub fn answers_only(mut self) -> Search<'k> {
        self.answers_only = true;
        self
    }

    /// The same search, which ends early once `stop` says so.
    pub fn until(mut self, stop: &'k (dyn Fn() -> bool + Sync)) -> Search<'k> {
        self.stop = Some(stop);
        self
    }

    fn is_stopped(&self) -> bool {
        self.stop.is_some_and(|stop| stop())
    }

    /// The stages that have knobs, in order.
    fn stages(&self) -> Vec<usize> {
        let mut stages: Vec<usize> =
            self.knobs.iter().filter(|k| k.low < 0 || k.high > 0).map(|k| k.stage).collect();
        stages.sort_unstable();
        stages.dedup();
        stages
    }

    /// Every stage with every number of steps, in the order of preference.
    fn sizes(&self) -> Vec<(usize, u32)> {
        let mut sizes = vec![(0, 0)];
        for stage in self.stages() {
            sizes.extend((1..=self.most_steps(stage)).map(|total| (stage, total)));
        }
        sizes
    }

    /// Every step set of a stage with this many steps that uses the stage: knobs of the stage and earlier ones, at least one of the stage itself.
    pub fn sets(&self, stage: usize, total: u32) -> Vec<Vec<i32>> {
        let mut list = Vec::new();
        self.fill(stage, total, &mut vec![0; self.knobs.len()], 0, &mut list);
        list.retain(|steps| self.stage_of(steps) == stage);
        list
    }

    fn fill(&self, stage: usize, rest: u32, steps: &mut Vec<i32>, at: usize, list: &mut Vec<Vec<i32>>) {
        let Some(knob) = self.knobs.get(at) else {
            if rest == 0 {
                list.push(steps.clone());
            }
            return;
        };
        // What later knobs can still take.
        let reach: u32 = self.knobs[at..].iter().filter(|k| k.stage <= stage).map(Knob::reach).sum();
        if rest > reach {
            return;
        }
        if knob.stage > stage {
            return self.fill(stage, rest, steps, at + 1, list);
        }
        for n in knob.low..=knob.high {
            if n.unsigned_abs() <= rest {
                steps[at] = n;
                self.fill(stage, rest - n.unsigned_abs(), steps, at + 1, list);
            }
        }
        steps[at] = 0;
    }

    /// Last stage of a step set; 0 for no steps.
    pub fn stage_of(&self, steps: &[i32]) -> usize {
        self.knobs.iter().zip(steps).filter(|(_, n)| **n != 0).map(|(k, _)| k.stage).max().unwrap_or(0)
    }

    fn most_steps(&self, stage: usize) -> u32 {
        let reach: u32 = self.knobs.iter().filter(|k| k.stage <= stage).map(Knob::reach).sum();
        reach.min(self.most_steps)
    }

    /// Step sets there are, those that are not allowed included.
    pub fn most_sets(&self) -> u64 {
        let of = |knob: &Knob| u64::from(knob.low.abs_diff(knob.high)) + 1;
        self.knobs.iter().map(of).fold(1, u64::saturating_mul)
    }

    /// Searches. `allowed` leaves step sets out; `look` gives the margin of a step set in one case (0 or more meets every criterion, −∞ when it cannot be
    /// told) and runs on several threads at once; `tell` hears how far it is, after each batch.
    pub fn run(
        &self,
        allowed: impl Fn(&[i32]) -> bool,
        look: impl Fn(&[i32], usize) -> f64 + Sync,
        mut tell: impl FnMut(Progress),
    ) -> Found {
        let mut walk = Walk::new(&look, self.cases);
        let mut found =
            Found { best: None, runner_up: None, nearest: None, judged: 0, looks: 0, is_interrupted: false };
        let mut missed: Vec<Open> = Vec::new();
        for (stage, size) in self.sizes() {
            let most = found.best.as_ref().map_or(u32::MAX, |best| best.total() + Self::RUNNER_UP_STEPS);
            if size > most {
                continue;
            }
            let mut open = self.open(stage, size, &allowed, found.best.as_ref());
            // The best and, in the same size, its runner-up; later only the runner-up.
            let keep = if found.best.is_none() { 2 } else { 1 };
            let kept = self.settle(&mut walk, &mut open, keep, 0.0, &mut tell);
            if self.is_stopped() {
                found.is_interrupted = true;
                missed.append(&mut open);
                break;
            }
            let mut answers = kept.into_iter().map(|i| open[i].candidate());
            if found.best.is_none() {
                found.best = answers.next();
            }
            if found.best.is_none() {
                missed.append(&mut open);
                continue;
            }
            found.runner_up = answers.next();
            // Nothing to do needs no runner-up.
            if found.runner_up.is_some() || found.best.as_ref().is_some_and(|best| best.stage == 0) {
                break;
            }
        }
        if found.is_interrupted && found.best.is_none() {
            let known = || missed.iter().filter(|open| open.is_done()).map(Open::candidate);
            found.best = known().filter(|c| c.margin >= 0.0).min_by(Candidate::preferred);
            if found.best.is_none() {
                found.nearest = known().reduce(|a, b| if b.margin > a.margin { b } else { a });
            }
        } else if found.best.is_none() && !self.answers_only {
            let kept = self.settle(&mut walk, &mut missed, 1, f64::NEG_INFINITY, &mut tell);
            found.nearest = kept.first().map(|i| missed[*i].candidate());
            if self.is_stopped() && found.nearest.is_none() {
                found.is_interrupted = true;
                let known = missed.iter().filter(|open| open.is_done()).map(Open::candidate);
                found.nearest = known.reduce(|a, b| if b.margin > a.margin { b } else { a });
            }
        }
        found.judged = walk.judged;
        found.looks = walk.looks;
        found
    }

    /// Whether any step set does.
    pub fn any(
        &self,
        allowed: impl Fn(&[i32]) -> bool,
        look: impl Fn(&[i32], usize) -> f64 + Sync,
        mut tell: impl FnMut(Progress),
    ) -> bool {
        let mut walk = Walk::new(&look, self.cases);
        self.sizes().into_iter().any(|(stage, size)| {
            let mut open = self.open(stage, size, &allowed, None);
            !self.settle(&mut walk, &mut open, 1, 0.0, &mut tell).is_empty()
        })
    }

    /// The step sets of a size, none looked at yet; without those that are an answer with more on top.
    fn open(
        &self,
        stage: usize,
        size: u32,
        allowed: impl Fn(&[i32]) -> bool,
        best: Option<&Candidate>,
    ) -> Vec<Open> {
        let sets = if stage == 0 { vec![vec![0; self.knobs.len()]] } else { self.sets(stage, size) };
        sets.into_iter()
            .filter(|steps| allowed(steps) && best.is_none_or(|best| !is_more_of(steps, &best.steps)))
            .map(|steps| Open {
                steps,
                stage,
                bound: f64::INFINITY,
                worst: usize::MAX,
                seen: vec![false; self.cases],
            })
            .collect()
    }

    /// Looks until the `keep` best of these are known in every case, and gives their places, best first. Those under `least` are left alone.
    fn settle<L: Fn(&[i32], usize) -> f64 + Sync>(
        &self,
        walk: &mut Walk<'_, L>,
        open: &mut [Open],
        keep: usize,
        least: f64,
        tell: &mut impl FnMut(Progress),
    ) -> Vec<usize> {
        let mut kept = Vec::new();
        let place = |open: &[Open], i: usize| Place(open[i].bound, Reverse(i));
        let mut queue: BinaryHeap<Place> =
            (0..open.len()).map(|i| place(open, i)).filter(|Place(bound, _)| *bound >= least).collect();
        while kept.len() < keep && !self.is_stopped() {
            // The next ones in the queue that are not known yet, up to a known one.
            let mut batch: Vec<usize> = Vec::new();
            while let Some(&Place(_, Reverse(i))) = queue.peek()
                && batch.len() < Self::BATCH
            {
                if open[i].is_done() {
                    if !batch.is_empty() {
                        break;
                    }
                    kept.push(i);
                    if kept.len() == keep {
                        return kept;
                    }
                } else {
                    batch.push(i);
                }
                queue.pop();
            }
            if batch.is_empty() {
                return kept;
            }
            // A few sets left are looked at in several cases at once. No steps at all are looked at in every case, to learn which are hard.
            let each = Self::BATCH / batch.len();
            let looks: Vec<(usize, usize)> = batch
                .iter()
                .flat_map(|&i| {
                    let each = if open[i].stage == 0 { self.cases } else { each };
                    walk.next_cases(&open[i], self.knobs, each).into_iter().map(move |case| (i, case))
                })
                .collect();
            let margins: Vec<f64> =
                looks.par_iter().map(|&(i, case)| (walk.look)(&open[i].steps, case)).collect();
            walk.learn(open, &looks, &margins);
            for &i in &batch {
                if open[i].bound >= least {
                    queue.push(place(open, i));
                }
            }
            tell(Progress { judged: walk.judged, most: self.most_sets(), looks: walk.looks });
        }
        kept
    }
}

impl<'w, L> Walk<'w, L> {
    fn new(look: &'w L, cases: usize) -> Walk<'w, L> {
        Walk {
            look,
            worst_of: HashMap::new(),
            threw_out: vec![0.0; cases],
            at_standard: vec![0.0; cases],
            judged: 0,
            looks: 0,
        }
    }

    /// The cases of a set to look at next, those likeliest to fail first.
    fn next_cases(&self, open: &Open, knobs: &[Knob], count: usize) -> Vec<usize> {
        // Where the sets with one step less came off worst.
        let mut parents: Vec<(f64, usize)> = (0..knobs.len())
            .filter(|&k| open.steps[k] != 0)
            .filter_map(|k| {
                let mut less = open.steps.clone();
                less[k] -= less[k].signum();
                self.worst_of.get(&less).copied()
            })
            .collect();
        parents.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut others: Vec<usize> = (0..open.seen.len()).collect();
        others.sort_by(|&a, &b| {
            (self.threw_out[b].total_cmp(&self.threw_out[a]))
                .then(self.at_standard[a].total_cmp(&self.at_standard[b]))
        });
        let mut cases: Vec<usize> = Vec::new();
        for case in parents.into_iter().map(|(_, case)| case).chain(others) {
            if cases.len() < count && !open.seen[case] && !cases.contains(&case) {
                cases.push(case);
            }
        }
        cases
    }

    /// Takes in what a batch of looks showed, in their order.
    fn learn(&mut self, open: &mut [Open], looks: &[(usize, usize)], margins: &[f64]) {
        const FADES: f64 = 0.8;
        self.threw_out.iter_mut().for_each(|n| *n *= FADES);
        for (&(i, case), &margin) in looks.iter().zip(margins) {
            let set = &mut open[i];
            if !set.seen.contains(&true) {
                self.judged += 1;
            }
            self.looks += 1;
            set.take(case, margin);
            if margin < 0.0 {
                self.threw_out[case] += 1.0;
            }
            if set.stage == 0 {
                self.at_standard[case] = margin;
            }
        }
        for &(i, _) in looks {
            let set = &open[i];
            self.worst_of.insert(set.steps.clone(), (set.bound, set.worst));
        }
    }
}

/// Whether a step set is another with more on top: every knob turned there is turned here too, the same way and at least as far.
pub(super) fn is_more_of(steps: &[i32], less: &[i32]) -> bool {
    steps.iter().zip(less).all(|(n, m)| *m == 0 || (n.signum() == m.signum() && n.abs() >= m.abs()))
}

#[cfg(test)]
mod tests;
