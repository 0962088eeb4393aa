//! The smallest set of field steps that meets every criterion over the fleet and the throughputs asked for, past the marginal band where any does.
//!
//! Trade order (common practice, no source): restore the standard (bearings plumb, middle pin, regulators in range) → air → bearing → pin, one side
//! only → foam → where allowed, counterweight → damper → line gap. Regulators that stand apart are evened first. The search ([`super::search`]) is exact: a later kind of step is used only when no set of earlier ones does, then the fewest steps
//! count, then the margin left at the tightest criterion or, where asked, how often the set meets every criterion when things spread.
//!
//! What may be turned: the cap-end regulator of each unit within its standard range; the lower bearing of each unit up to
//! [`RecommendPlan::bearing_within_m`] from plumb; the stop pin of **one** side, one hole in; foam, as up to [`RecommendPlan::foam_steps`] field
//! steps less friction on both brushes. Nothing is turned outside its range, and never both pins in. A regulator that stands at nothing is
//! taken as not in use and left alone.

mod chance;
mod context;

use super::point::{PointResult, evaluate};
use super::search::Progress;
use super::table::{Cell, Column, Table};
use super::worst::Worst;
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::error::{Diagnostics, Refusal};
use crate::scenario::Scenario;
use crate::scenario::setting::{Group, Setting, Standard};
pub use chance::{ByChance, Chance, Choose};
use context::{PassCache, SearchContext, between, cases, turns};
pub use context::{Tried, TriedSet, exhaustive};
use rayon::prelude::*;

/// What may be done and over what it must hold.
#[derive(Debug, Clone, PartialEq)]
pub struct RecommendPlan {
    /// Vehicles it must hold for.
    pub vehicles: Vec<String>,
    /// Throughputs it must hold for, as written; as the scenario stands when empty.
    pub throughputs: Vec<String>,
    /// Kinds of steps allowed, of [`Group::Air`], [`Group::Bearing`], [`Group::Pin`], [`Group::Foam`], [`Group::Weight`], [`Group::Damper`] and
    /// [`Group::Line`] (the gap).
    pub groups: Vec<Group>,
    /// Farthest a lower bearing is taken from plumb, m.
    pub bearing_within_m: f64,
    /// Most field steps of friction taken off by foam.
    pub foam_steps: i32,
    /// Most field steps that a counterweight, a damper or the line gap is moved, where they may be.
    pub other_steps: i32,
    /// Most field steps in all; no bound when none.
    pub most_steps: Option<u32>,
    /// Passes in which the answer is let spread as the scenario says; 0 = not at all.
    pub chance_passes: u64,
    /// What decides among the smallest step sets (by chance: also those of up to two steps more).
    pub choose: Choose,
}

/// What an answer has to reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Aim {
    /// Past the marginal band at every criterion.
    Pass,
    /// Inside every limit.
    Meet,
}

impl RecommendPlan {
    /// Everything allowed, over the fleet mix of a scenario at its own throughput, with what its `recommend` part lets move besides: bearings to an
    /// eighth of an inch, which the trade calls a big move.
    pub fn of(scenario: &Scenario) -> RecommendPlan {
        RecommendPlan {
            vehicles: scenario.fleet_mix().into_iter().map(|(name, _)| name.to_owned()).collect(),
            throughputs: Vec::new(),
            groups: [Group::Air, Group::Bearing, Group::Pin, Group::Foam]
                .into_iter()
                .chain(scenario.file().recommend.may.iter().map(|may| may.group()))
                .collect(),
            bearing_within_m: 0.003_175,
            foam_steps: 2,
            other_steps: 2,
            most_steps: None,
            chance_passes: 100,
            choose: Choose::Margin,
        }
    }
}

/// One setting moved.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Move {
    /// Path of the setting.
    pub path: String,
    /// What it is.
    pub label: String,
    /// What it stood at as found, as written.
    pub from: String,
    /// What to set it to, as written.
    pub to: String,
    /// Field steps from the standard; 0 when it is only restored.
    pub steps: i32,
}

/// What a kind of step does to one measure at its worst.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// The measure.
    pub measure: Measure,
    /// Worst value before, SI.
    pub before: Option<f64>,
    /// Worst value after, SI.
    pub after: Option<f64>,
    /// Change of margin, as a share of what the limit's size is.
    pub margin: f64,
    /// How much worse it is on the other side of the edge it stands on, SI, before and after; none where it is on none.
    pub edges: [Option<f64>; 2],
}

/// One kind of step on the way, in trade order.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What kind: none for restoring the standard.
    pub group: Option<Group>,
    /// What is moved.
    pub moves: Vec<Move>,
    /// What the set-up comes to after it.
    pub worst: Worst,
    /// Judged measures that gain margin, most first.
    pub buys: Vec<Effect>,
    /// Judged measures that lose margin, most first.
    pub costs: Vec<Effect>,
}

/// A whole set of steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Field steps from the standard, in all.
    pub total_steps: u32,
    /// The steps in trade order.
    pub steps: Vec<Step>,
    /// Every setting that ends up elsewhere than as found: path and value as written.
    pub changes: Vec<(String, String)>,
    /// What it comes to, computed anew with full passes.
    pub checked: Worst,
    /// The same between the throughputs asked for; none when there is only one.
    pub between: Option<Worst>,
}

impl Answer {
    /// Whether the check with full passes agrees that every criterion is met, between the throughputs too.
    pub fn holds(&self) -> bool {
        let met = |worst: &Worst| worst.tightest().0 >= 0.0;
        met(&self.checked) && self.between.as_ref().is_none_or(met)
    }

    /// Its worst verdict, between the throughputs too; none when nothing is judged.
    pub fn verdict(&self) -> Option<Verdict> {
        self.checked.verdict().max(self.between.as_ref().and_then(Worst::verdict))
    }
}

/// Why nothing in range will do.
#[derive(Debug, Clone, PartialEq)]
pub struct InTheWay {
    /// The set of steps that comes nearest.
    pub nearest: Answer,
    /// The criterion in the way, at the nearest set, and the case; none when a pass cannot be computed.
    pub criterion: Option<(Measure, usize)>,
    /// Whether something would do if that criterion were set aside; none when not looked at.
    pub without_it: Option<bool>,
}

/// What is recommended.
#[derive(Debug, Clone, PartialEq)]
pub struct Recommendation {
    /// Names of the cases: vehicle and throughput.
    pub cases: Vec<String>,
    /// What the set-up comes to as found.
    pub as_found: Worst,
    /// Whether it meets every criterion as found; then there is nothing to do.
    pub nothing_to_do: bool,
    /// The best answer.
    pub best: Option<Answer>,
    /// The next best that is not the best with more on top.
    pub runner_up: Option<Answer>,
    /// When there is no answer.
    pub in_the_way: Option<InTheWay>,
    /// Step sets looked at.
    pub looked_at: u64,
    /// Passes it took to search them.
    pub passes: u64,
    /// Most field steps that were asked for.
    pub most_steps: Option<u32>,
    /// Step sets there are, those never allowed included.
    pub most_sets: u64,
    /// Whether it was ended early: what it holds is the best so far.
    pub is_interrupted: bool,
    /// How the best answer was chosen by chance; none where the margin chose it.
    pub by_chance: Option<ByChance>,
    /// How likely the best answer meets every criterion when things spread; none without an answer or a spread part.
    pub chance: Option<Chance>,
}

/// Finds the recommendation. `tell` hears how far the search is.
///
/// # Errors
/// [`Diagnostics`] when a vehicle or a throughput is not allowed.
pub fn recommend(
    scenario: &Scenario,
    plan: &RecommendPlan,
    tell: impl FnMut(Progress),
) -> Result<Recommendation, Diagnostics> {
    recommend_until(scenario, plan, &|| false, tell)
}

/// The same, ended early with the best so far once `stop` says so.
///
/// # Errors
/// [`Diagnostics`] when a vehicle or a throughput is not allowed, or the spread part makes no sense.
pub fn recommend_until(
    scenario: &Scenario,
    plan: &RecommendPlan,
    stop: &(dyn Fn() -> bool + Sync),
    tell: impl FnMut(Progress),
) -> Result<Recommendation, Diagnostics> {
    recommend_by(scenario, plan, stop, &evaluate, tell)
}

/// The same with `run` in place of [`evaluate`]: computes the pass of a scenario, on several threads at once.
///
/// # Errors
/// As [`recommend_until`].
pub fn recommend_by(
    scenario: &Scenario,
    plan: &RecommendPlan,
    stop: &(dyn Fn() -> bool + Sync),
    run: &(dyn Fn(&Scenario) -> PointResult + Sync),
    mut tell: impl FnMut(Progress),
) -> Result<Recommendation, Diagnostics> {
    if plan.choose == Choose::Chance && scenario.spread()?.is_empty() {
        let refusal = Refusal {
            problem: "nothing can be chosen by chance: the scenario has no spread part".to_owned(),
            given: "no field spread".to_owned(),
            allowed: "a spread part that says what spreads, and how".to_owned(),
            advice: "add for example spread: (factors: [(setting: \"vehicle.lateral_offset\", by: Normal(sd: \"1 in\", within: \"3 in\"))])"
                .to_owned(),
        };
        return Err(scenario.diagnostic("spread", refusal).into());
    }
    let cases = cases(scenario, &plan.vehicles, &plan.throughputs)?;
    let between = between(scenario, plan)?;
    let results: Vec<PointResult> = cases.par_iter().map(|case| run(&case.scenario)).collect();
    let as_found = Worst::of(&results);
    let mut recommendation = Recommendation {
        cases: cases.iter().map(|c| c.name.clone()).collect(),
        nothing_to_do: as_found.verdict().is_none_or(|verdict| verdict == Verdict::Pass),
        as_found,
        best: None,
        runner_up: None,
        in_the_way: None,
        looked_at: 1,
        passes: results.len() as u64,
        most_steps: plan.most_steps,
        most_sets: 1,
        is_interrupted: false,
        by_chance: None,
        chance: None,
    };
    if recommendation.nothing_to_do {
        return Ok(recommendation);
    }
    let standard = standard_changes(scenario);
    let turns = turns(&scenario.with(&standard)?, plan);
    let context = SearchContext {
        scenario,
        standard: &standard,
        turns: &turns,
        cases: &cases,
        between: &between,
        as_found: &recommendation.as_found,
        most_steps: plan.most_steps.unwrap_or(u32::MAX),
        marginal_share: scenario.criteria().marginal_share,
        stop,
        run,
    };
    let cache = PassCache::new(&context);
    let seen = results.len() as u64;
    let is_in_cache = cache.enter_as_found(results);

    // Past the marginal band first; what only meets the limits is taken where nothing reaches past it.
    let mut aim = Aim::Pass;
    let mut found = context.search(&cache, aim, &mut tell);
    if found.best.is_none() && !found.is_interrupted {
        let passed_by = found.judged;
        // On the edge as found, and nothing better in range: then nothing is turned.
        if context.as_found.tightest().0 >= 0.0 {
            recommendation.nothing_to_do = true;
        } else {
            aim = Aim::Meet;
            found = context.search(&cache, aim, &mut tell);
            found.judged = found.judged.max(passed_by);
        }
    }
    if plan.choose == Choose::Chance
        && !found.is_interrupted
        && let Some(by_room) = &found.best
        && let Some(chosen) =
            chance::likeliest(&context, &cache, (by_room, aim), plan.chance_passes, &mut tell)?
    {
        recommendation.by_chance = Some(chosen.how);
        recommendation.chance = chosen.chance;
        found.runner_up = chosen.next.or(found.runner_up);
        found.best = Some(chosen.best);
    }
    let mut best = found.best.as_ref().map(|best| context.answer(&cache, &best.steps));
    let runner_up = found.runner_up.as_ref().map(|next| context.answer(&cache, &next.steps));
    let mut in_the_way = found.nearest.as_ref().map(|nearest| {
        let nearest = context.answer(&cache, &nearest.steps);
        let criterion = nearest.checked.tightest().1;
        let look = |(measure, _)| context.would_do_without(&cache, measure, &mut tell);
        let without_it = if stop() { None } else { criterion.map(look) };
        // Stopped on the way it may have said no too early.
        let without_it = if stop() { None } else { without_it };
        InTheWay { nearest, criterion, without_it }
    });
    // Ended early, the nearest to the band may still be inside every limit.
    if found.is_interrupted && in_the_way.as_ref().is_some_and(|way| way.nearest.holds()) {
        best = in_the_way.take().map(|way| way.nearest);
    }
    recommendation.looked_at = found.judged;
    // As found is in the cache where steps lead there.
    recommendation.passes = cache.passes() + if is_in_cache { 0 } else { seen };
    recommendation.most_sets = context.most_sets();
    recommendation.is_interrupted = found.is_interrupted || stop();
    if let Some(best) = best.as_ref().filter(|_| !stop() && recommendation.by_chance.is_none()) {
        recommendation.chance = chance::chance(&cases, best, plan.chance_passes)?;
    }
    recommendation.best = best;
    recommendation.runner_up = runner_up;
    recommendation.in_the_way = in_the_way;
    Ok(recommendation)
}

/// What restores the standard: every setting of a unit that stands off it, and regulators that stand apart evened to the middle.
pub fn standard_changes(scenario: &Scenario) -> Vec<(String, String)> {
    let mut changes = Vec::new();
    for setting in scenario.settings().into_iter().filter(|s| s.in_field && s.sides.len() == 1) {
        let (Some(now), Some(standard)) = (setting.value_si(scenario), &setting.standard) else { continue };
        let to = match standard {
            Standard::Value(text) => setting.number(text).ok(),
            Standard::Within(low, high) => match (setting.number(low), setting.number(high)) {
                // A regulator at nothing is not in use.
                (Ok(low), Ok(high)) if now != 0.0 => Some(now.clamp(low, high)),
                _ => None,
            },
        };
        if let Some(to) = to.filter(|to| (to - now).abs() > 1e-9 * to.abs().max(1e-6))
            && let Ok(text) = setting.text_of(scenario, to)
        {
            changes.push((setting.path.clone(), text));
        }
    }
    even_out(scenario, &mut changes);
    changes
}

/// Regulators of both sides in use that would stand apart: both to the whole field step nearest the middle.
fn even_out(scenario: &Scenario, changes: &mut Vec<(String, String)>) {
    const FIELD: &str = "air.cap";
    let pair = ["left", "right"].map(|side| scenario.setting(&format!("{side}.{FIELD}")).ok());
    let [Some(left), Some(right)] = pair else { return };
    let stands = |setting: &Setting, changes: &[(String, String)]| {
        let changed = changes.iter().find(|(path, _)| *path == setting.path);
        changed.map_or_else(|| setting.value_si(scenario), |(_, text)| setting.number(text).ok())
    };
    let (Some(a), Some(b), Some(step)) = (stands(&left, changes), stands(&right, changes), left.step_si())
    else {
        return;
    };
    if a == 0.0 || b == 0.0 || (a - b).abs() <= 1e-9 * a.abs().max(b.abs()) {
        return;
    }
    let middle = (0.5 * (a + b) / step).round() * step;
    for setting in [left, right] {
        changes.retain(|(path, _)| *path != setting.path);
        let now = setting.value_si(scenario);
        if now.is_none_or(|now| (now - middle).abs() > 1e-9 * middle.abs())
            && let Ok(text) = setting.text_of(scenario, middle)
        {
            changes.push((setting.path, text));
        }
    }
}

impl Recommendation {
    /// The table for machines: a row for each setting moved by the best answer, the runner-up or, without an answer, the nearest.
    pub fn table(&self) -> Table {
        let columns = vec![
            Column::text("answer"),
            Column::count("order"),
            Column::text("group"),
            Column::text("setting"),
            Column::text("from"),
            Column::text("to"),
            Column::number("steps"),
            Column::text("holds"),
            Column::number("least_room"),
            Column::text("tightest"),
            Column::text("tightest_case"),
        ];
        let nearest = self.in_the_way.as_ref().map(|way| &way.nearest);
        let answers =
            [("best", self.best.as_ref()), ("runner_up", self.runner_up.as_ref()), ("nearest", nearest)];
        let mut rows = Vec::new();
        for (name, answer) in answers.into_iter().filter_map(|(name, answer)| Some((name, answer?))) {
            let (margin, tightest) = answer.checked.tightest();
            let moves = answer.steps.iter().flat_map(|step| step.moves.iter().map(move |m| (step.group, m)));
            for ((group, m), order) in moves.zip(1..) {
                rows.push(vec![
                    Cell::text(name),
                    Cell::Count(order),
                    Cell::text(group.map_or("standard", Group::name)),
                    Cell::text(&m.path),
                    Cell::text(&m.from),
                    Cell::text(&m.to),
                    Cell::Number(f64::from(m.steps)),
                    Cell::text(if answer.holds() { "yes" } else { "no" }),
                    Cell::number(Some(margin)),
                    Cell::text(&tightest.map_or_else(String::new, |(measure, _)| measure.key())),
                    Cell::text(tightest.and_then(|(_, case)| self.cases.get(case)).map_or("", |c| c)),
                ]);
            }
        }
        Table { columns, rows }
    }
}
