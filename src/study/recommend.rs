//! The smallest set of field steps that meets every criterion over the fleet and the throughputs asked for.
//!
//! Trade order (common practice, no source): restore the standard (bearings plumb, middle pin, regulators in range) → air → bearing → pin, one side
//! only → foam. The search ([`super::search`]) is exact: a later kind of step is used only when no set of earlier ones does, then the fewest steps
//! count, then the room left at the tightest criterion.
//!
//! What may be turned: the cap-end regulator of each unit within its standard range; the lower bearing of each unit up to
//! [`RecommendPlan::bearing_within_m`] from plumb; the stop pin of **one** side, one hole in; foam, as up to [`RecommendPlan::foam_steps`] field
//! steps less friction on both brushes. Nothing is turned outside its range, and never both pins in. A regulator that stands at nothing is
//! taken as not in use and left alone.

use super::measure::Measure;
use super::point::{PointResult, evaluate, reason};
use super::search::{Candidate, Found, Judged, Knob, Search};
use super::table::{Cell, Column, Table};
use super::worst::Worst;
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::scenario::setting::{Group, Setting, Standard};
use rayon::prelude::*;

/// What may be done and over what it must hold.
#[derive(Debug, Clone, PartialEq)]
pub struct RecommendPlan {
    /// Vehicles it must hold for.
    pub vehicles: Vec<String>,
    /// Throughputs it must hold for, as written; as the scenario stands when empty.
    pub throughputs: Vec<String>,
    /// Kinds of steps allowed, of [`Group::Air`], [`Group::Bearing`], [`Group::Pin`], [`Group::Foam`].
    pub groups: Vec<Group>,
    /// Farthest a lower bearing is taken from plumb, m.
    pub bearing_within_m: f64,
    /// Most field steps of friction taken off by foam.
    pub foam_steps: i32,
}

impl RecommendPlan {
    /// Everything allowed, over the fleet mix of a scenario at its own throughput: bearings to an eighth of an inch, which the trade calls a big move.
    pub fn of(scenario: &Scenario) -> RecommendPlan {
        RecommendPlan {
            vehicles: scenario.fleet_mix().into_iter().map(|(name, _)| name.to_owned()).collect(),
            throughputs: Vec::new(),
            groups: vec![Group::Air, Group::Bearing, Group::Pin, Group::Foam],
            bearing_within_m: 0.003_175,
            foam_steps: 2,
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
    /// Change of room, as a share of the limit.
    pub room: f64,
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
    /// Judged measures that gain room, most first.
    pub buys: Vec<Effect>,
    /// Judged measures that lose room, most first.
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
}

/// The set-up on one vehicle at one throughput.
#[derive(Debug, Clone)]
struct Case {
    name: String,
    scenario: Scenario,
}

/// What the judge notes: the measure that decides and its case.
type Note = Option<(Measure, usize)>;

struct Turn {
    setting: Setting,
    group: Group,
    knob: Knob,
    /// SI value at no steps.
    zero_si: f64,
    step_si: f64,
}

/// Finds the recommendation. `tell` hears how many step sets have been looked at.
///
/// # Errors
/// [`Diagnostics`] when a vehicle or a throughput is not allowed.
pub fn recommend(
    scenario: &Scenario,
    plan: &RecommendPlan,
    mut tell: impl FnMut(u64),
) -> Result<Recommendation, Diagnostics> {
    let cases = cases(scenario, &plan.vehicles, &plan.throughputs)?;
    let between = between(scenario, plan)?;
    let results: Vec<PointResult> = cases.par_iter().map(|case| evaluate(&case.scenario)).collect();
    let as_found = Worst::of(&results);
    let mut recommendation = Recommendation {
        cases: cases.iter().map(|c| c.name.clone()).collect(),
        nothing_to_do: as_found.tightest().0 >= 0.0,
        as_found,
        best: None,
        runner_up: None,
        in_the_way: None,
        looked_at: 1,
    };
    if recommendation.nothing_to_do {
        return Ok(recommendation);
    }
    let standard = standard_changes(scenario);
    let restored = scenario.with(&standard)?;
    let turns = turns(&restored, plan);
    let way = Way { scenario, standard: &standard, turns: &turns, cases: &cases, between: &between };

    let found = way.search(&|_| true, &mut tell);
    recommendation.looked_at = found.judged;
    recommendation.best = found.best.as_ref().map(|best| way.answer(&best.steps));
    recommendation.runner_up = found.runner_up.as_ref().map(|next| way.answer(&next.steps));
    if let Some(nearest) = &found.nearest {
        let criterion = nearest.note;
        let without_it = criterion.map(|(measure, _)| {
            let same = |m: Measure| m.criterion() == measure.criterion();
            way.search(&|m| !same(m), &mut tell).best.is_some()
        });
        recommendation.in_the_way =
            Some(InTheWay { nearest: way.answer(&nearest.steps), criterion, without_it });
    }
    Ok(recommendation)
}

fn cases(scenario: &Scenario, vehicles: &[String], throughputs: &[String]) -> Result<Vec<Case>, Diagnostics> {
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
fn between(scenario: &Scenario, plan: &RecommendPlan) -> Result<Vec<Case>, Diagnostics> {
    let Ok(setting) = scenario.setting("line.throughput") else { return Ok(Vec::new()) };
    let numbers: Vec<f64> = plan.throughputs.iter().filter_map(|text| setting.number(text).ok()).collect();
    let middles: Vec<String> = numbers
        .windows(2)
        .filter_map(|pair| setting.text_of(scenario, 0.5 * (pair[0] + pair[1])).ok())
        .collect();
    if middles.is_empty() { Ok(Vec::new()) } else { cases(scenario, &plan.vehicles, &middles) }
}

/// What restores the standard: every setting of a unit that stands off it.
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
    changes
}

/// What may be turned from the standard, in trade order, left before right.
fn turns(restored: &Scenario, plan: &RecommendPlan) -> Vec<Turn> {
    let settings = restored.settings();
    let two_sided = settings.iter().any(|s| s.sides.len() == 2);
    let mut turns = Vec::new();
    for (stage, group) in [Group::Air, Group::Bearing, Group::Pin, Group::Foam].into_iter().enumerate() {
        if !plan.groups.contains(&group) {
            continue;
        }
        for setting in &settings {
            let field = setting.path.split_once('.').map_or("", |(_, field)| field);
            let sides = if group == Group::Foam && two_sided { 2 } else { 1 };
            let wanted = match group {
                Group::Air => "air.cap",
                Group::Bearing => "bearings.lower_offset",
                Group::Pin => "stop_pin.hole",
                _ => "brush.friction",
            };
            if field != wanted || setting.sides.len() != sides {
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
                _ => (low_si, high_si),
            };
            // Steps that stay inside, to the last few digits.
            let steps = |room: f64| (room / step_si + 1e-6).floor().clamp(0.0, 1000.0) as i32;
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
struct Way<'w> {
    scenario: &'w Scenario,
    standard: &'w [(String, String)],
    turns: &'w [Turn],
    cases: &'w [Case],
    between: &'w [Case],
}

impl Way<'_> {
    /// Never both pins in.
    fn allowed(&self, steps: &[i32]) -> bool {
        let pins_in =
            self.turns.iter().zip(steps).filter(|(turn, n)| turn.group == Group::Pin && **n > 0).count();
        pins_in < 2
    }

    /// The changes of a step set: the standard, then the steps up to and including a group.
    fn changes(&self, steps: &[i32], upto: Option<Group>) -> Vec<(String, String)> {
        let mut changes = self.standard.to_vec();
        for (turn, n) in self.turns.iter().zip(steps) {
            if *n != 0
                && upto.is_some_and(|upto| turn.group <= upto)
                && let Ok(text) = turn.setting.text_of(self.scenario, turn.si(*n))
            {
                changes.retain(|(path, _)| *path != turn.setting.path);
                changes.push((turn.setting.path.clone(), text));
            }
        }
        changes
    }

    fn search(&self, counts: &(dyn Fn(Measure) -> bool + Sync), tell: &mut impl FnMut(u64)) -> Found<Note> {
        let knobs: Vec<Knob> = self.turns.iter().map(|turn| turn.knob.clone()).collect();
        let order = self.hardest_first(counts);
        let judge = |steps: &[i32], floor: f64| {
            let changes = self.changes(steps, Some(Group::Foam));
            let mut room = f64::INFINITY;
            let mut note = None;
            for &case in &order {
                let result = with(&self.cases[case].scenario, &changes);
                let (this, measure) = tightest(&result, counts);
                if this < room || note.is_none() {
                    room = room.min(this);
                    note = measure.map(|m| (m, case));
                }
                // What fails already and cannot be the nearest miss any more needs no more passes.
                if room < floor.min(0.0) {
                    break;
                }
            }
            Judged { room, note }
        };
        Search::new(&knobs).run(|steps| self.allowed(steps), judge, tell)
    }

    /// Cases in the order in which they are looked at: those with the least room at the standard first, because they rule out the most.
    fn hardest_first(&self, counts: &(dyn Fn(Measure) -> bool + Sync)) -> Vec<usize> {
        let rooms: Vec<f64> = self
            .cases
            .par_iter()
            .map(|case| tightest(&with(&case.scenario, self.standard), counts).0)
            .collect();
        let mut order: Vec<usize> = (0..self.cases.len()).collect();
        order.sort_by(|a, b| rooms[*a].total_cmp(&rooms[*b]));
        order
    }

    fn worst(&self, cases: &[Case], changes: &[(String, String)]) -> Worst {
        let results: Vec<PointResult> = cases.par_iter().map(|case| with(&case.scenario, changes)).collect();
        Worst::of(&results)
    }

    /// The step set told and checked.
    fn answer(&self, steps: &[i32]) -> Answer {
        let mut told = Vec::new();
        let mut before = self.worst(self.cases, &[]);
        let mut tell = |group: Option<Group>, moves: Vec<Move>, told: &mut Vec<Step>| {
            if moves.is_empty() {
                return;
            }
            let worst = self.worst(self.cases, &self.changes(steps, group));
            let (buys, costs) = effects(&before, &worst);
            before = worst.clone();
            told.push(Step { group, moves, worst, buys, costs });
        };
        let restored = self.standard.iter().map(|(path, to)| self.one_move(path, to, 0));
        tell(None, restored.collect(), &mut told);
        for group in [Group::Air, Group::Bearing, Group::Pin, Group::Foam] {
            let moves = self.turns.iter().zip(steps).filter(|(turn, n)| turn.group == group && **n != 0);
            let moves = moves.filter_map(|(turn, n)| {
                let to = turn.setting.text_of(self.scenario, turn.si(*n)).ok()?;
                Some(self.one_move(&turn.setting.path, &to, *n))
            });
            tell(Some(group), moves.collect(), &mut told);
        }
        let changes = self.changes(steps, Some(Group::Foam));
        Answer {
            total_steps: steps.iter().map(|n| n.unsigned_abs()).sum(),
            steps: told,
            checked: self.worst(self.cases, &changes),
            between: (!self.between.is_empty()).then(|| self.worst(self.between, &changes)),
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

fn with(scenario: &Scenario, changes: &[(String, String)]) -> PointResult {
    if changes.is_empty() {
        return evaluate(scenario);
    }
    match scenario.with(changes) {
        Ok(changed) => evaluate(&changed),
        Err(diagnostics) => PointResult::failed(&reason(&diagnostics)),
    }
}

/// Room at the tightest judged measure that counts; −∞ for a pass that cannot be computed.
fn tightest(result: &PointResult, counts: &(dyn Fn(Measure) -> bool + Sync)) -> (f64, Option<Measure>) {
    if result.reason().is_some() {
        return (f64::NEG_INFINITY, None);
    }
    result
        .readings()
        .filter(|(measure, _)| counts(*measure))
        .filter_map(|(measure, reading)| Some((reading.room()?, measure)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map_or((f64::INFINITY, None), |(room, measure)| (room, Some(measure)))
}

/// Judged measures that gain and that lose room, most first; changes under a hundredth of the limit are left out.
fn effects(before: &Worst, after: &Worst) -> (Vec<Effect>, Vec<Effect>) {
    let mut effects: Vec<Effect> = before
        .readings()
        .filter_map(|(measure, before)| {
            let after = after.reading(measure)?;
            let room = after.reading.room()? - before.reading.room()?;
            Some(Effect { measure, before: before.reading.value, after: after.reading.value, room })
        })
        // The hub has no limit to take a share of.
        .filter(|e| e.room.abs() >= 0.01 && !matches!(e.measure, Measure::HubClearance(_)))
        .collect();
    effects.sort_by(|a, b| b.room.total_cmp(&a.room));
    let costs = effects.iter().rev().take_while(|e| e.room < 0.0).cloned().collect();
    effects.retain(|e| e.room > 0.0);
    (effects, costs)
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
            let (room, tightest) = answer.checked.tightest();
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
                    Cell::number(Some(room)),
                    Cell::text(&tightest.map_or_else(String::new, |(measure, _)| measure.key())),
                    Cell::text(tightest.and_then(|(_, case)| self.cases.get(case)).map_or("", |c| c)),
                ]);
            }
        }
        Table { columns, rows }
    }
}

/// Settings to change, and what they cost.
pub type CostedChanges = (Vec<(String, String)>, f64);

/// The candidate that an exhaustive look at every step set gives, for checks: same order of preference, no early stop.
pub fn exhaustive(scenario: &Scenario, plan: &RecommendPlan) -> Result<Option<CostedChanges>, Diagnostics> {
    let cases = cases(scenario, &plan.vehicles, &plan.throughputs)?;
    let standard = standard_changes(scenario);
    let turns = turns(&scenario.with(&standard)?, plan);
    let way = Way { scenario, standard: &standard, turns: &turns, cases: &cases, between: &[] };
    let mut sets: Vec<Vec<i32>> = vec![Vec::new()];
    for turn in &turns {
        sets = sets
            .iter()
            .flat_map(|set| {
                (turn.knob.low..=turn.knob.high).map(|n| set.iter().copied().chain([n]).collect())
            })
            .collect();
    }
    let mut answers: Vec<Candidate<()>> = sets
        .into_par_iter()
        .filter(|steps| way.allowed(steps))
        .filter_map(|steps| {
            let worst = way.worst(&cases, &way.changes(&steps, Some(Group::Foam)));
            let (room, _) = worst.tightest();
            let stage = turns.iter().zip(&steps).filter(|(_, n)| **n != 0).map(|(t, _)| t.knob.stage).max();
            (room >= 0.0).then(|| Candidate { stage: stage.unwrap_or(0), steps, room, note: () })
        })
        .collect();
    answers.sort_by(|a, b| {
        (a.stage, a.total())
            .cmp(&(b.stage, b.total()))
            .then(b.room.total_cmp(&a.room))
            .then(a.steps.cmp(&b.steps))
    });
    Ok(answers.first().map(|best| (way.changes(&best.steps, Some(Group::Foam)), best.room)))
}
