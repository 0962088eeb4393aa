//! What the search of [`super::recommend`] walks on: cases, what may be turned, and a cache of the passes already computed.

mod exhaustive;

pub use exhaustive::{Tried, TriedSet, exhaustive};

use super::{Aim, Answer, Effect, Move, RecommendPlan, Step};
use crate::coverage::measure::Measure;
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::scenario::setting::{Group, Setting, Standard};
use crate::study::point::{PointResult, reason};
use crate::study::search::{Candidate, Found, Knob, Progress, Search};
use crate::study::worst::Worst;
use rayon::prelude::*;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// The set-up on one vehicle at one throughput.
#[derive(Debug, Clone)]
pub(super) struct Case {
    pub name: String,
    pub scenario: Scenario,
}

/// The order the trade goes about it (common practice, no source).
const ORDER: [Group; 7] =
    [Group::Air, Group::Bearing, Group::Pin, Group::Foam, Group::Weight, Group::Damper, Group::Line];

/// A setting that may be turned.
pub(super) struct Turn {
    setting: Setting,
    group: Group,
    knob: Knob,
    /// SI value at no steps.
    zero_si: f64,
    step_si: f64,
}

/// Every vehicle at every throughput.
pub(super) fn cases(
    scenario: &Scenario,
    vehicles: &[String],
    throughputs: &[String],
) -> Result<Vec<Case>, Diagnostics> {
    let mut cases = Vec::new();
    for vehicle in vehicles {
        let on = if vehicles.len() == 1 && vehicle == scenario.measured_vehicle() {
            scenario.clone()
        } else {
            scenario.for_vehicle(vehicle)?
        };
        if throughputs.is_empty() {
            cases.push(Case { name: vehicle.clone(), scenario: on.clone() });
        }
        for throughput in throughputs {
            let scenario = on.with(&[("line.throughput", throughput)])?;
            cases.push(Case { name: format!("{vehicle} at {throughput}"), scenario });
        }
    }
    Ok(cases)
}

/// Cases half-way between the throughputs.
pub(super) fn between(scenario: &Scenario, plan: &RecommendPlan) -> Result<Vec<Case>, Diagnostics> {
    let Ok(setting) = scenario.setting("line.throughput") else { return Ok(Vec::new()) };
    let numbers: Vec<f64> = plan.throughputs.iter().filter_map(|text| setting.number(text).ok()).collect();
    let mut middles: Vec<String> = Vec::new();
    for pair in numbers.windows(2) {
        let middle = 0.5 * (pair[0] + pair[1]);
        let Ok(text) = setting.text_of(scenario, middle) else { continue };
        // What is asked for is seen already.
        if !numbers.contains(&middle) && !middles.contains(&text) {
            middles.push(text);
        }
    }
    if middles.is_empty() { Ok(Vec::new()) } else { cases(scenario, &plan.vehicles, &middles) }
}

/// What may be turned from the standard, in trade order, left before right.
pub(super) fn turns(restored: &Scenario, plan: &RecommendPlan) -> Vec<Turn> {
    let settings = restored.settings();
    let two_sided = settings.iter().any(|s| s.sides.len() == 2);
    let mut turns = Vec::new();
    for (stage, group) in ORDER.into_iter().enumerate() {
        if !plan.groups.contains(&group) {
            continue;
        }
        for setting in &settings {
            let field = setting.path.split_once('.').map_or("", |(_, field)| field);
            let sides = match group {
                Group::Foam if two_sided => 2,
                Group::Line => setting.sides.len(),
                _ => 1,
            };
            let is_wanted = match group {
                Group::Air => field == "air.cap",
                Group::Bearing => field == "bearings.lower_offset",
                Group::Pin => field == "stop_pin.hole",
                Group::Foam => field == "brush.friction",
                Group::Line => setting.path == "line.gap",
                _ => setting.group == group,
            };
            if !is_wanted || setting.sides.len() != sides {
                continue;
            }
            let (Some(zero_si), Some(step_si)) = (setting.value_si(restored), setting.step_si()) else {
                continue;
            };
            let (low_si, high_si) = setting.range_si();
            let (low_si, high_si) = match (group, &setting.standard) {
                (Group::Air, Some(Standard::Within(low, high))) => {
                    match (setting.number(low), setting.number(high)) {
                        (Ok(low), Ok(high)) if zero_si != 0.0 => (low, high),
                        _ => continue,
                    }
                }
                (Group::Bearing, _) => {
                    (low_si.max(-plan.bearing_within_m), high_si.min(plan.bearing_within_m))
                }
                (Group::Pin, _) => (zero_si, high_si.min(zero_si + 1.0)),
                (Group::Foam, _) => (low_si.max(zero_si - f64::from(plan.foam_steps) * step_si), zero_si),
                _ => {
                    let reach_si = f64::from(plan.other_steps) * step_si;
                    (low_si.max(zero_si - reach_si), high_si.min(zero_si + reach_si))
                }
            };
            // Steps that stay inside, to the last few digits.
            let steps = |margin: f64| (margin / step_si + 1e-6).floor().clamp(0.0, 1000.0) as i32;
            turns.push(Turn {
                group,
                knob: Knob {
                    name: setting.path.clone(),
                    stage: stage + 1,
                    low: -steps(zero_si - low_si),
                    high: steps(high_si - zero_si),
                },
                setting: setting.clone(),
                zero_si,
                step_si,
            });
        }
    }
    turns
}

/// Everything the search walks on.
pub(super) struct SearchContext<'w> {
    pub scenario: &'w Scenario,
    /// What restores the standard.
    pub standard: &'w [(String, String)],
    pub turns: &'w [Turn],
    pub cases: &'w [Case],
    /// Cases half-way between the throughputs.
    pub between: &'w [Case],
    pub as_found: &'w Worst,
    pub most_steps: u32,
    /// Share of a limit within which a number is marginal.
    pub marginal_share: f64,
    /// Whether the search is to end early.
    pub stop: &'w (dyn Fn() -> bool + Sync),
    /// Computes the pass of a scenario.
    pub run: &'w (dyn Fn(&Scenario) -> PointResult + Sync),
}

impl SearchContext<'_> {
    /// Never both pins in.
    fn allowed(&self, steps: &[i32]) -> bool {
        let pins_in =
            self.turns.iter().zip(steps).filter(|(turn, n)| turn.group == Group::Pin && **n > 0).count();
        pins_in < 2
    }

    /// The steps up to and including a group alone; none of them without a group.
    fn upto(&self, steps: &[i32], group: Option<Group>) -> Vec<i32> {
        let kept = |turn: &Turn| group.is_some_and(|group| turn.group <= group);
        self.turns.iter().zip(steps).map(|(turn, n)| if kept(turn) { *n } else { 0 }).collect()
    }

    /// The changes of a step set: the standard, then the steps. What they put back to where it was found is no change.
    pub fn all_changes(&self, steps: &[i32]) -> Vec<(String, String)> {
        let mut changes = self.standard.to_vec();
        for (turn, n) in self.turns.iter().zip(steps).filter(|(_, n)| **n != 0) {
            let Ok(text) = turn.setting.text_of(self.scenario, turn.si(*n)) else { continue };
            changes.retain(|(path, _)| *path != turn.setting.path);
            if self.steps_as_found(turn) != Some(*n) {
                changes.push((turn.setting.path.clone(), text));
            }
        }
        changes
    }

    /// Steps from the standard at which a setting was found; none when that is no whole number within its range.
    fn steps_as_found(&self, turn: &Turn) -> Option<i32> {
        let found_si = turn.setting.value_si(self.scenario)?;
        (turn.knob.low..=turn.knob.high).find(|n| (turn.si(*n) - found_si).abs() <= 1e-9 * turn.step_si)
    }

    /// The step set that is the set-up as found; none when no steps from the standard lead there.
    fn as_found_steps(&self) -> Option<Vec<i32>> {
        let steps: Vec<i32> =
            self.turns.iter().map(|turn| self.steps_as_found(turn)).collect::<Option<_>>()?;
        self.all_changes(&steps).is_empty().then_some(steps)
    }

    /// Every step set of the same kinds that reaches the aim in every case with at most [`Search::RUNNER_UP_STEPS`] more steps than this one.
    pub fn about_as_small(&self, cache: &PassCache<'_>, best: &Candidate, aim: Aim) -> Vec<Candidate> {
        let knobs = self.knobs();
        let search = Search::new(&knobs, self.cases.len());
        let most = (best.total() + Search::RUNNER_UP_STEPS).min(self.most_steps);
        let mut sets: Vec<Vec<i32>> =
            (best.total()..=most).flat_map(|total| search.sets(best.stage, total)).collect();
        sets.retain(|steps| self.allowed(steps));
        let judged = |steps: Vec<i32>| {
            let mut margin = f64::INFINITY;
            for case in 0..self.cases.len() {
                if (self.stop)() {
                    return None;
                }
                margin = margin.min(cache.margin(&steps, case, aim, |_| true));
                if margin < 0.0 {
                    return None;
                }
            }
            Some(Candidate { steps, stage: best.stage, margin })
        };
        sets.into_par_iter().filter_map(judged).collect()
    }

    fn knobs(&self) -> Vec<Knob> {
        self.turns.iter().map(|turn| turn.knob.clone()).collect()
    }

    /// The search, with passes out of the cache where it has them.
    pub fn search(&self, cache: &PassCache<'_>, aim: Aim, tell: &mut impl FnMut(Progress)) -> Found {
        let knobs = self.knobs();
        let search = Search::new(&knobs, self.cases.len()).at_most(self.most_steps).until(self.stop);
        // What only just misses the band is looked for among the answers to the wider aim.
        let search = if aim == Aim::Pass { search.answers_only() } else { search };
        let look = |steps: &[i32], case| cache.margin(steps, case, aim, |_| true);
        search.run(|steps| self.allowed(steps), look, tell)
    }

    /// Step sets there are, those that are not allowed included.
    pub fn most_sets(&self) -> u64 {
        Search::new(&self.knobs(), self.cases.len()).most_sets()
    }

    /// Whether something would do if the criterion of a measure were set aside.
    pub fn would_do_without(
        &self,
        cache: &PassCache<'_>,
        measure: Measure,
        tell: &mut impl FnMut(Progress),
    ) -> bool {
        let knobs = self.knobs();
        Search::new(&knobs, self.cases.len()).at_most(self.most_steps).until(self.stop).any(
            |steps| self.allowed(steps),
            |steps, case| cache.margin(steps, case, Aim::Meet, |m| m.name != measure.name),
            tell,
        )
    }

    fn worst(&self, cases: &[Case], changes: &[(String, String)]) -> Worst {
        let results: Vec<PointResult> =
            cases.par_iter().map(|case| self.with(&case.scenario, changes)).collect();
        Worst::of(&results)
    }

    fn with(&self, scenario: &Scenario, changes: &[(String, String)]) -> PointResult {
        if changes.is_empty() {
            return (self.run)(scenario);
        }
        match scenario.with(changes) {
            Ok(changed) => (self.run)(&changed),
            Err(diagnostics) => PointResult::failed(&reason(&diagnostics)),
        }
    }

    /// The step set told, with the full passes of every case; what is in the cache is not computed again.
    pub fn answer(&self, cache: &PassCache<'_>, steps: &[i32]) -> Answer {
        let changes = self.all_changes(steps);
        let checked = cache.worst(steps);
        let restored: Vec<Move> = self.standard.iter().map(|(path, to)| self.one_move(path, to, 0)).collect();
        let mut kinds = vec![(None, restored)];
        for group in ORDER {
            let moves = self.turns.iter().zip(steps).filter(|(turn, n)| turn.group == group && **n != 0);
            let moves = moves.filter_map(|(turn, n)| {
                let to = turn.setting.text_of(self.scenario, turn.si(*n)).ok()?;
                Some(self.one_move(&turn.setting.path, &to, *n))
            });
            kinds.push((Some(group), moves.collect()));
        }
        kinds.retain(|(_, moves)| !moves.is_empty());
        let last = kinds.len().saturating_sub(1);
        let mut told: Vec<Step> = Vec::new();
        for (i, (group, moves)) in kinds.into_iter().enumerate() {
            let worst = if i == last { checked.clone() } else { cache.worst(&self.upto(steps, group)) };
            let (buys, costs) = effects(told.last().map_or(self.as_found, |step| &step.worst), &worst);
            told.push(Step { group, moves, worst, buys, costs });
        }
        Answer {
            total_steps: steps.iter().map(|n| n.unsigned_abs()).sum(),
            steps: told,
            between: (!self.between.is_empty()).then(|| self.worst(self.between, &changes)),
            checked,
            changes,
        }
    }

    fn one_move(&self, path: &str, to: &str, steps: i32) -> Move {
        let setting = self.scenario.setting(path).ok();
        Move {
            path: path.to_owned(),
            label: setting.as_ref().map_or_else(String::new, |s| s.label.clone()),
            from: setting.and_then(|s| s.read(self.scenario)).map_or_else(String::new, |r| r.to_string()),
            to: to.to_owned(),
            steps,
        }
    }
}

impl Turn {
    fn si(&self, steps: i32) -> f64 {
        let value = self.zero_si + f64::from(steps) * self.step_si;
        // Whole steps from nothing are whole steps: plumb plus one is 1/16 in to the last digit.
        let whole = value / self.step_si;
        if (whole - whole.round()).abs() < 1e-9 { whole.round() * self.step_si } else { value }
    }
}

/// A pass by its exact set-up: step set and case.
type Key = (Vec<i32>, usize);

/// The passes computed so far. No pass is computed twice.
pub(super) struct PassCache<'w> {
    context: &'w SearchContext<'w>,
    entries: Mutex<HashMap<Key, Arc<PointResult>>>,
}

impl<'w> PassCache<'w> {
    pub fn new(context: &'w SearchContext<'w>) -> PassCache<'w> {
        PassCache { context, entries: Mutex::new(HashMap::new()) }
    }

    fn entries(&self) -> MutexGuard<'_, HashMap<Key, Arc<PointResult>>> {
        // An entry is written whole or not at all: a thread that panicked leaves nothing half done.
        self.entries.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Enters what is known of the set-up as found, where steps from the standard lead there; whether they do.
    pub fn enter_as_found(&self, results: Vec<PointResult>) -> bool {
        let Some(steps) = self.context.as_found_steps() else { return false };
        let key = |(case, result)| ((steps.clone(), case), Arc::new(result));
        self.entries().extend(results.into_iter().enumerate().map(key));
        true
    }

    /// The pass of a step set in a case.
    fn result(&self, steps: &[i32], case: usize) -> Arc<PointResult> {
        let key = (steps.to_vec(), case);
        if let Some(known) = self.entries().get(&key) {
            return known.clone();
        }
        let changes = self.context.all_changes(steps);
        let result = Arc::new(self.context.with(&self.context.cases[case].scenario, &changes));
        self.entries().insert(key, result.clone());
        result
    }

    /// A step set at its worst over the cases.
    fn worst(&self, steps: &[i32]) -> Worst {
        let results: Vec<Arc<PointResult>> =
            (0..self.context.cases.len()).into_par_iter().map(|case| self.result(steps, case)).collect();
        Worst::of(results.iter().map(Arc::as_ref))
    }

    /// Passes in the cache.
    pub fn passes(&self) -> u64 {
        self.entries().len() as u64
    }

    /// Margin at the tightest judged measure that counts; −∞ for a pass that cannot be computed, +∞ when nothing is judged.
    fn margin(&self, steps: &[i32], case: usize, aim: Aim, counts: impl Fn(Measure) -> bool) -> f64 {
        let result = self.result(steps, case);
        if result.reason().is_some() {
            return f64::NEG_INFINITY;
        }
        let margins =
            result.readings().filter(|(measure, _)| counts(*measure)).filter_map(|(_, r)| match aim {
                Aim::Pass => r.margin_past_band(self.context.marginal_share),
                Aim::Meet => r.margin(),
            });
        margins.fold(f64::INFINITY, f64::min)
    }
}

/// Judged measures that gain and that lose margin, most first; changes under a hundredth of the limit are left out.
fn effects(before: &Worst, after: &Worst) -> (Vec<Effect>, Vec<Effect>) {
    let mut effects: Vec<Effect> = before
        .readings()
        .filter_map(|(measure, before)| {
            let after = after.reading(measure)?;
            let margin = after.reading.margin()? - before.reading.margin()?;
            let edges = [before.reading.edge, after.reading.edge];
            Some(Effect { measure, before: before.reading.value, after: after.reading.value, margin, edges })
        })
        .filter(|e| e.margin.abs() >= 0.01)
        .collect();
    effects.sort_by(|a, b| b.margin.total_cmp(&a.margin));
    let costs = effects.iter().rev().take_while(|e| e.margin < 0.0).cloned().collect();
    effects.retain(|e| e.margin > 0.0);
    (effects, costs)
}
