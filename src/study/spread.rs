//! Monte Carlo: how likely each criterion is met when things spread, and what matters most.
//!
//! The factors come from the scenario ([`crate::scenario::spread`]). Case `j` draws two independent vectors of all factors, `a` and `b`, from ChaCha8
//! with stream `j` of the seed, and computes `a`, `b` and, for each factor `i`, `a` with factor `i` from `b` (a Saltelli block, [`super::indices`]).
//! The `a` and `b` passes are independent draws: the shares of those that meet each criterion have Wilson intervals ([`super::interval`]). A
//! pass that cannot be computed is counted, takes no part in the shares, and its whole block is left out of the indices.

use super::indices::{Indices, NoIndices, Resampling, estimate};
use super::interval::Share;
use super::point::{PointResult, evaluate, reason};
use super::stream::{StreamError, Workers, in_order};
use super::table::{Cell, Column, Table};
use crate::coverage::Verdict;
use crate::coverage::measure::{self, Measure};
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::scenario::spread::{Factor, Moves, SizeWord};
use rand::{SeedableRng, rngs::ChaCha8Rng};
use rayon::prelude::*;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// How much to compute and how sure to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadPlan {
    /// Number of blocks; each takes as many passes as there are factors, and two more.
    pub blocks: u64,
    /// Confidence of every interval, between 0 and 1.
    pub confidence: f64,
    /// Seed of the draws.
    pub seed: u64,
    /// Bootstrap samples for the intervals of the indices.
    pub resamples: usize,
    /// Half-width of a share's interval up to which it counts as settled.
    pub share_within: f64,
    /// Half-width of a total index' interval up to which the ranking counts as settled.
    pub index_within: f64,
}

impl Default for SpreadPlan {
    fn default() -> Self {
        SpreadPlan {
            blocks: 256,
            confidence: 0.95,
            seed: 1,
            resamples: 500,
            share_within: 0.05,
            index_within: 0.1,
        }
    }
}

/// One measure over all draws.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureSpread {
    /// The measure.
    pub measure: Measure,
    /// Share of the judged passes that meet its limit; none when no pass is judged by it.
    pub met: Option<Share>,
    /// Passes (of `a` and `b`) in which it has a value.
    pub values: usize,
    /// Those of them that stand on an edge.
    pub on_edge: u64,
    /// Mean of the values, SI.
    pub mean: Option<f64>,
    /// Standard deviation of the values, SI.
    pub sd: Option<f64>,
    /// Values that 5, 50 and 95 % of the passes stay below, SI.
    pub quantiles: Option<[f64; 3]>,
    /// What matters.
    pub indices: Result<Indices, NoIndices>,
}

/// What a study of chance came to.
#[derive(Debug, Clone, PartialEq)]
pub struct SpreadResult {
    /// The plan.
    pub plan: SpreadPlan,
    /// Names of the factors.
    pub factors: Vec<String>,
    /// The vehicles that were drawn from, with their shares; one with all of it where the vehicle does not spread.
    pub vehicles: Vec<(String, f64)>,
    /// Passes computed or tried.
    pub passes: u64,
    /// Passes that could not be computed.
    pub failed: u64,
    /// Why, with how often; at most 20.
    pub reasons: Vec<(String, u64)>,
    /// Share of passes that meet every criterion.
    pub all_met: Option<Share>,
    /// Every measure that has a value in some pass.
    pub measures: Vec<MeasureSpread>,
}

impl SpreadResult {
    /// One measure.
    pub fn of(&self, measure: Measure) -> Option<&MeasureSpread> {
        self.measures.iter().find(|m| m.measure == measure)
    }

    /// The judged measure that is met least often; of equals the one with the widest spread of opinion is no better, so the first.
    pub fn telling(&self) -> Option<Measure> {
        self.measures
            .iter()
            .filter_map(|m| Some((m.measure, m.met?.share)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(measure, _)| measure)
    }

    /// Whether every share is settled to the plan's half-width.
    pub fn shares_settled(&self) -> bool {
        let shares = self.measures.iter().filter_map(|m| m.met.as_ref()).chain(&self.all_met);
        let mut count = 0;
        let settled =
            shares.inspect(|_| count += 1).all(|share| share.half_width() <= self.plan.share_within);
        settled && count > 0
    }

    /// The widest half-width of a total index of a measure; none without indices.
    pub fn widest_index(&self, measure: Measure) -> Option<f64> {
        let indices = self.of(measure)?.indices.as_ref().ok()?;
        indices.inputs.iter().map(|i| i.total.half_width()).max_by(f64::total_cmp)
    }

    /// Whether the ranking of a measure is settled to the plan's half-width.
    pub fn ranking_settled(&self, measure: Measure) -> bool {
        self.widest_index(measure).is_some_and(|width| width <= self.plan.index_within)
    }
}

/// Why there is no result.
#[derive(Debug, thiserror::Error)]
pub enum SpreadError {
    /// The scenario says nothing about what spreads.
    #[error(
        "the scenario has no spread part; add one with some factors, or with fleet: true where it has a fleet"
    )]
    NothingSpreads,
    /// The spread part or a vehicle of the fleet makes no sense.
    #[error("{0}")]
    Scenario(#[from] Diagnostics),
    /// The threads could not be started.
    #[error("the worker threads could not be started: {0}; ask for fewer with --threads")]
    Threads(String),
}

/// A scenario ready to be drawn from.
#[derive(Debug)]
pub struct Drawn {
    factors: Vec<Factor>,
    base: Scenario,
    /// One for each vehicle of the fleet, when the vehicle is drawn.
    vehicles: Vec<Scenario>,
}

impl Drawn {
    /// Reads what spreads.
    ///
    /// # Errors
    /// [`SpreadError`] when nothing spreads or it makes no sense.
    pub fn new(scenario: &Scenario) -> Result<Drawn, SpreadError> {
        let factors = scenario.spread()?;
        if factors.is_empty() {
            return Err(SpreadError::NothingSpreads);
        }
        let names = factors.iter().find_map(|f| match &f.moves {
            Moves::Vehicle(names) => Some(names.clone()),
            _ => None,
        });
        let vehicles = names
            .unwrap_or_default()
            .iter()
            .map(|name| scenario.for_vehicle(name))
            .collect::<Result<_, _>>()?;
        Ok(Drawn { factors, base: scenario.clone(), vehicles })
    }

    /// The factors.
    pub fn factors(&self) -> &[Factor] {
        &self.factors
    }

    /// Both vectors of a block.
    fn draws(&self, seed: u64, block: u64) -> [Vec<f64>; 2] {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(block);
        let mut vector = || self.factors.iter().map(|f| f.draw.draw(&mut rng)).collect::<Vec<f64>>();
        [vector(), vector()]
    }

    /// The first vector of a block: independent from block to block.
    pub fn draw(&self, seed: u64, block: u64) -> Vec<f64> {
        let [first, _] = self.draws(seed, block);
        first
    }

    /// Computes the pass for one vector of draws.
    pub fn evaluate(&self, draws: &[f64]) -> PointResult {
        let computed = catch_unwind(AssertUnwindSafe(|| match self.scenario(draws) {
            Ok(scenario) => evaluate(&scenario),
            Err(diagnostics) => PointResult::failed(&reason(&diagnostics)),
        }));
        computed.unwrap_or_else(|_| PointResult::failed("the program failed at this point: please report it"))
    }

    fn scenario(&self, draws: &[f64]) -> Result<Scenario, Diagnostics> {
        let mut base = &self.base;
        let mut changes: Vec<(&str, f64)> = Vec::new();
        let mut size = [1.0; 3];
        for (factor, x) in self.factors.iter().zip(draws) {
            match &factor.moves {
                Moves::Vehicle(_) => base = self.vehicles.get(*x as usize).unwrap_or(base),
                Moves::Size(word) => {
                    size[match word {
                        SizeWord::Length => 0,
                        SizeWord::Width => 1,
                        SizeWord::Height => 2,
                    }] += x;
                }
                Moves::By(places) => {
                    changes.extend(places.iter().map(|(path, now)| (path.as_str(), now + x)))
                }
                Moves::To(path) => changes.push((path, *x)),
            }
        }
        let changed = if changes.is_empty() { base.clone() } else { base.with_si(&changes)? };
        if size == [1.0; 3] { Ok(changed) } else { changed.with_measured_size(size[0], size[1], size[2]) }
    }
}

/// Runs the study. `tell` hears after each block how many are done.
///
/// # Errors
/// [`SpreadError`].
pub fn spread(
    scenario: &Scenario,
    plan: &SpreadPlan,
    workers: Workers,
    tell: impl FnMut(u64),
) -> Result<SpreadResult, SpreadError> {
    spread_until(scenario, plan, workers, &|| false, tell)
}

/// The same, ended early with the blocks so far once `stop` says so: the plan of the result then has as many blocks as were done.
///
/// # Errors
/// [`SpreadError`].
pub fn spread_until(
    scenario: &Scenario,
    plan: &SpreadPlan,
    workers: Workers,
    stop: &dyn Fn() -> bool,
    mut tell: impl FnMut(u64),
) -> Result<SpreadResult, SpreadError> {
    let mut done = 0;
    let drawn = Drawn::new(scenario)?;
    let k = drawn.factors.len();
    let mut gathered = Gathered::new(k);
    let work = |block| {
        let [a, b] = drawn.draws(plan.seed, block);
        let mut results = vec![drawn.evaluate(&a), drawn.evaluate(&b)];
        results.extend((0..k).map(|i| {
            let mut mixed = a.clone();
            mixed[i] = b[i];
            drawn.evaluate(&mixed)
        }));
        results
    };
    let sink = |block: u64, results: Vec<PointResult>| {
        gathered.add(&results);
        done = block + 1;
        tell(done);
        if stop() { Err(Stopped) } else { Ok(()) }
    };
    match in_order(0..plan.blocks, workers, work, sink) {
        Ok(()) => {}
        Err(StreamError::Threads(reason)) => return Err(SpreadError::Threads(reason)),
        Err(StreamError::Sink(Stopped)) => {}
    }
    let vehicles = if drawn.vehicles.is_empty() {
        vec![(scenario.measured_vehicle().to_owned(), 1.0)]
    } else {
        scenario.fleet_mix().into_iter().map(|(name, share)| (name.to_owned(), share)).collect()
    };
    let names = drawn.factors.iter().map(|f| f.name.clone()).collect();
    Ok(gathered.result(&SpreadPlan { blocks: done, ..*plan }, names, vehicles))
}

/// Why the blocks ended early.
#[derive(Debug)]
struct Stopped;

/// Values of all blocks as they come in.
struct Gathered {
    width: usize,
    passes: u64,
    failed: u64,
    reasons: Vec<(String, u64)>,
    /// For each measure, the blocks one after another.
    values: Vec<Vec<Option<f64>>>,
    /// For each measure: judged passes of `a` and `b`, and those that meet the limit.
    met: Vec<(u64, u64)>,
    /// For each measure: passes of `a` and `b` where it stands on an edge.
    on_edge: Vec<u64>,
    all: (u64, u64),
}

impl Gathered {
    fn new(k: usize) -> Gathered {
        Gathered {
            width: k + 2,
            passes: 0,
            failed: 0,
            reasons: Vec::new(),
            values: vec![Vec::new(); measure::COUNT],
            met: vec![(0, 0); measure::COUNT],
            on_edge: vec![0; measure::COUNT],
            all: (0, 0),
        }
    }

    fn add(&mut self, block: &[PointResult]) {
        for (place, result) in block.iter().enumerate() {
            self.passes += 1;
            if let Some(reason) = result.reason() {
                self.failed += 1;
                let kind = reason.split(" at t = ").next().unwrap_or(reason);
                match self.reasons.iter().position(|(known, _)| known == kind) {
                    Some(at) => self.reasons[at].1 += 1,
                    None if self.reasons.len() < 20 => self.reasons.push((kind.to_owned(), 1)),
                    None => {}
                }
            }
            for (m, values) in measure::ALL.into_iter().zip(&mut self.values) {
                values.push(result.value(m));
            }
            if place >= 2 || result.reason().is_some() {
                continue;
            }
            for ((_, reading), on_edge) in result.readings().zip(&mut self.on_edge) {
                *on_edge += u64::from(reading.edge.is_some());
            }
            for ((_, reading), (judged, met)) in result.readings().zip(&mut self.met) {
                if let Some(verdict) = reading.verdict {
                    *judged += 1;
                    *met += u64::from(verdict != Verdict::Fail);
                }
            }
            if let Some(verdict) = result.verdict() {
                self.all.0 += 1;
                self.all.1 += u64::from(verdict != Verdict::Fail);
            }
        }
    }

    fn result(self, plan: &SpreadPlan, factors: Vec<String>, vehicles: Vec<(String, f64)>) -> SpreadResult {
        let share = |(judged, met): (u64, u64)| Share::wilson(met, judged, plan.confidence);
        let resampling =
            Resampling { confidence: plan.confidence, resamples: plan.resamples, seed: plan.seed ^ 0x5eed };
        let measures: Vec<MeasureSpread> = measure::ALL
            .into_par_iter()
            .filter_map(|m| {
                let values = &self.values[m.index()];
                let met = share(self.met[m.index()]);
                // Independent draws only: a and b of each block.
                let mut own: Vec<f64> = values
                    .chunks(self.width)
                    .flat_map(|block| block.iter().take(2))
                    .filter_map(|v| *v)
                    .collect();
                if own.is_empty() && met.is_none() {
                    return None;
                }
                own.sort_by(f64::total_cmp);
                let n = own.len() as f64;
                let mean = (!own.is_empty()).then(|| own.iter().sum::<f64>() / n);
                let sd = mean
                    .filter(|_| own.len() > 1)
                    .map(|mean| (own.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt());
                Some(MeasureSpread {
                    measure: m,
                    met,
                    values: own.len(),
                    on_edge: self.on_edge[m.index()],
                    mean,
                    sd,
                    quantiles: (!own.is_empty())
                        .then(|| [0.05, 0.5, 0.95].map(|p| super::indices::quantile(&own, p))),
                    indices: estimate(values.chunks(self.width), &resampling),
                })
            })
            .collect();
        SpreadResult {
            plan: *plan,
            factors,
            vehicles,
            passes: self.passes,
            failed: self.failed,
            reasons: self.reasons,
            all_met: share(self.all),
            measures,
        }
    }
}

impl SpreadResult {
    /// The table for machines: a row for each measure and factor (first-order and total index with their intervals), with what belongs to
    /// the measure repeated in each.
    pub fn table(&self) -> Table {
        let mut columns = vec![Column::text("measure"), Column::text("unit"), Column::count("judged")];
        columns.extend(
            ["share_met", "share_low", "share_high", "mean", "sd", "p05", "p50", "p95"].map(Column::number),
        );
        columns.push(Column::count("on_edge"));
        columns.push(Column::text("factor"));
        columns.extend(
            ["first", "first_low", "first_high", "total", "total_low", "total_high"].map(Column::number),
        );
        columns.extend([
            Column::count("blocks_used"),
            Column::count("blocks_dropped"),
            Column::text("no_indices"),
        ]);
        let mut rows = Vec::new();
        for m in &self.measures {
            let share = |value: fn(&Share) -> f64| Cell::number(m.met.as_ref().map(value));
            let quantile = |i: usize| Cell::number(m.quantiles.map(|q| q[i]));
            let head = vec![
                Cell::text(&m.measure.key()),
                Cell::text(m.measure.info().si_unit),
                Cell::Count(m.met.map_or(0, |s| s.cases)),
                share(|s| s.share),
                share(|s| s.low),
                share(|s| s.high),
                Cell::number(m.mean),
                Cell::number(m.sd),
                quantile(0),
                quantile(1),
                quantile(2),
                Cell::Count(m.on_edge),
            ];
            match &m.indices {
                Ok(indices) => {
                    for (factor, input) in self.factors.iter().zip(&indices.inputs) {
                        let mut row = head.clone();
                        row.push(Cell::text(factor));
                        for e in [&input.first, &input.total] {
                            row.extend([e.value, e.low, e.high].map(|v| Cell::number(Some(v))));
                        }
                        row.extend([
                            Cell::Count(indices.blocks_used as u64),
                            Cell::Count(indices.blocks_dropped as u64),
                            Cell::Missing,
                        ]);
                        rows.push(row);
                    }
                }
                Err(why) => {
                    let mut row = head;
                    row.extend(std::iter::repeat_n(Cell::Missing, 9));
                    row.push(Cell::text(match why {
                        NoIndices::TooFewBlocks => "too few complete blocks",
                        NoIndices::NoVariance => "does not vary",
                    }));
                    rows.push(row);
                }
            }
        }
        Table { columns, rows }
    }
}
