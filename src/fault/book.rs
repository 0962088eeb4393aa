//! Every cause run over how bad it may be, on this machine.

use super::alike;
use super::answered::pull;
use super::cause::{CAUSES, Cause, Change};
use super::hypothesis::{Hypothesis, Level};
use super::observe::{Measured, View, ViewName};
use super::place::Place;
use super::reading::READINGS;
use super::sign::{Circumstance, Seen, Sign, grades, signs};
use super::weights::weights;
use super::wrong::{self, Wrong};
use crate::arm::Side;
use crate::coverage::measure;
use crate::coverage::{CoverageSettings, Solved, Verdict};
use crate::error::Diagnostics;
use crate::pass::{PassError, PassSetup};
use crate::scenario::Scenario;
use rayon::prelude::*;
use std::sync::atomic::{AtomicU64, Ordering};
use thiserror::Error;

/// Why there is no book.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BookError {
    /// The machine as it should be cannot be computed.
    #[error("the machine as it should be cannot be computed: {0}")]
    Healthy(#[from] PassError),
    /// The scenario weighs a cause that does not exist, or with what is no weight.
    #[error("{0}")]
    Weights(#[from] Diagnostics),
}

/// What every cause does on this machine.
#[derive(Debug, Clone)]
pub struct Book {
    scenario: Scenario,
    sides: Vec<Side>,
    views: Vec<View>,
    should: Vec<[f64; 2]>,
    /// How common every cause is, in the order of the table.
    weights: Vec<f64>,
    healthy_seen: Seen,
    /// Every sign that this machine can show.
    pub signs: Vec<Sign>,
    /// The machine as it should be.
    pub healthy: Level,
    /// Every cause at every place, and that nothing is broken, which stands first.
    pub hypotheses: Vec<Hypothesis>,
    /// For each of them the first of those that nothing that is seen tells apart from it.
    pub rows: Vec<usize>,
}

/// How bad the causes are tried.
const SEVERITIES: [f64; 3] = [0.35, MIDDLE, 1.0];
/// The middle one of them.
pub(super) const MIDDLE: f64 = 0.65;
/// A busy day runs so much faster than planned, and a slow line so much slower.
const BUSY: f64 = 1.07;
const SLOW: f64 = 0.6;
/// Tolerance of the path: signs and amounts stay within a hundredth of those at a hundredth of it, for an eighth less of work.
const TOLERANCE: f64 = 1e-4;
/// How common it is that nothing is broken.
const AS_SET: f64 = 2.0;

/// What is run: every cause so bad, in the order of the table, the mildest first.
pub(super) fn jobs() -> Vec<(usize, f64)> {
    let of = |(cause, row): (usize, &Cause)| {
        let list: &[f64] = if row.whole { &[1.0] } else { &SEVERITIES };
        list.iter().map(move |severity| (cause, *severity)).collect::<Vec<_>>()
    };
    CAUSES.iter().enumerate().flat_map(of).collect()
}

impl Book {
    /// The machine as it should be, without any cause run: to look at one cause alone ([`Book::level`]).
    ///
    /// # Errors
    /// [`BookError`] when the machine as it should be cannot be computed, or when the scenario weighs what is no cause.
    pub fn sound(scenario: &Scenario) -> Result<Book, BookError> {
        let sides: Vec<Side> = scenario.unit_models().iter().map(|u| u.side).collect();
        let set = |pa: Option<f64>| pa.unwrap_or(0.0);
        let should = scenario
            .unit_models()
            .iter()
            .map(|u| {
                let of = |cap: bool| {
                    u.cylinder.as_ref().map(|c| if cap { c.cap } else { c.rod }.line.regulator.set_gauge_pa)
                };
                [set(of(true)), set(of(false))]
            })
            .collect();
        let mut book = Book {
            signs: signs(&sides),
            sides,
            views: Vec::new(),
            should,
            weights: weights(scenario)?,
            healthy_seen: [None, None, None, None],
            scenario: scenario.clone(),
            healthy: Level {
                severity: 0.0,
                amount: None,
                grades: Vec::new(),
                readings: Vec::new(),
                measures: Vec::new(),
            },
            hypotheses: Vec::new(),
            rows: Vec::new(),
        };
        book.look_at_healthy()?;
        Ok(book)
    }

    /// Runs every cause. `tell` hears how many of how many runs are done.
    ///
    /// # Errors
    /// [`BookError`] when the machine as it should be cannot be computed, or when the scenario weighs what is no cause.
    pub fn new(scenario: &Scenario, tell: &(dyn Fn(u64, u64) + Sync)) -> Result<Book, BookError> {
        let book = Book::sound(scenario)?;
        let jobs = jobs();
        let done = AtomicU64::new(0);
        let total = jobs.len() as u64;
        let levels: Vec<Vec<(Place, Level)>> = jobs
            .par_iter()
            .map(|&(cause, severity)| {
                let levels = book.levels(cause, severity);
                tell(done.fetch_add(1, Ordering::Relaxed) + 1, total);
                levels
            })
            .collect();
        Ok(book.filled(jobs.into_iter().map(|(cause, _)| cause).zip(levels)))
    }

    /// The book with what was run of its causes, the mildest of each first.
    pub(super) fn filled(mut self, run: impl IntoIterator<Item = (usize, Vec<(Place, Level)>)>) -> Book {
        let mut hypotheses: Vec<Hypothesis> = Vec::new();
        for index in 0..CAUSES.len() {
            let of = |(place, share)| Hypothesis {
                cause: Some(index),
                place,
                share,
                levels: Vec::new(),
                pull: None,
            };
            hypotheses.extend(self.places(index).into_iter().map(of));
        }
        for (cause, levels) in run {
            for (place, level) in levels {
                let of = |h: &&mut Hypothesis| h.cause == Some(cause) && h.place == place;
                if let Some(hypothesis) = hypotheses.iter_mut().find(of) {
                    hypothesis.levels.push(level);
                }
            }
        }
        hypotheses.retain(|h| !h.levels.is_empty());
        for hypothesis in &mut hypotheses {
            let middle = &hypothesis.levels[hypothesis.levels.len() / 2];
            hypothesis.pull = pull(middle, &self.healthy, hypothesis.place);
        }
        let as_set = Hypothesis {
            cause: None,
            place: Place::Line,
            share: AS_SET,
            levels: vec![self.healthy.clone()],
            pull: None,
        };
        hypotheses.insert(0, as_set);
        self.hypotheses = hypotheses;
        self.rows = alike::rows(&self.signs, &self.hypotheses);
        self
    }

    /// How common a cause is on this site.
    pub fn weight(&self, cause: usize) -> f64 {
        self.weights[cause]
    }

    /// Sides that have a unit.
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The scenario.
    pub fn scenario(&self) -> &Scenario {
        &self.scenario
    }

    /// The passes that a machine is looked at in.
    pub fn views(&self) -> &[View] {
        &self.views
    }

    /// Place of a sign in the lists of grades; several where the side was not said.
    pub fn places_of(&self, sign: Sign) -> impl Iterator<Item = usize> {
        let fits = move |own: &Sign| own.row == sign.row && (sign.side.is_none() || own.side == sign.side);
        self.signs.iter().enumerate().filter(move |(_, own)| fits(own)).map(|(index, _)| index)
    }

    /// Rows of the table of signs that this machine can show.
    pub fn sign_rows(&self) -> impl Iterator<Item = usize> {
        let of =
            |(at, sign): (usize, &Sign)| (at == 0 || self.signs[at - 1].row != sign.row).then_some(sign.row);
        self.signs.iter().enumerate().filter_map(of)
    }

    /// Grade of a sign at a level: the highest where the side was not said.
    pub fn grade(&self, level: &Level, sign: Sign) -> f64 {
        self.places_of(sign).map(|index| level.grades[index]).fold(0.0, f64::max)
    }

    /// What causes that are there together show, each so bad; `None` where the machine cannot be in that state.
    pub fn level(&self, wrong: &Wrong) -> Option<Level> {
        let mut looks = self.views.iter().map(|view| self.look(wrong, view));
        let planned = looks.next()?;
        let mut seen: Seen = [planned.0.clone(), None, None, None];
        for (at, look) in looks.enumerate() {
            seen[at + 1] = look.0;
        }
        self.level_of(wrong, &seen, planned.1.as_ref())
    }

    /// A cause, so bad, at every place where it can be. Brushes that never touch do nothing to each other: what both sides show at once, but for the planned pass,
    /// then is what each shows alone, side by side.
    pub(super) fn levels(&self, cause: usize, severity: f64) -> Vec<(Place, Level)> {
        let mut alone: Vec<Seen> = Vec::new();
        let mut list = Vec::new();
        for (place, _) in self.places(cause) {
            let wrong = [(cause, place, severity)];
            let mut seen: Seen = [None, None, None, None];
            let mut planned = None;
            for (at, view) in self.views.iter().enumerate() {
                let beside = match (place, alone.as_slice(), &self.healthy_seen[at]) {
                    (Place::Both, [left, right], Some(healthy)) if at > 0 => left[at]
                        .as_ref()
                        .zip(right[at].as_ref())
                        .and_then(|(l, r)| Measured::beside(l, r, healthy)),
                    _ => None,
                };
                seen[at] = match beside {
                    Some(measured) => Some(measured),
                    None => {
                        let (measured, solved) = self.look(&wrong, view);
                        if at == 0 {
                            planned = solved;
                        }
                        measured
                    }
                };
            }
            list.extend(self.level_of(&wrong, &seen, planned.as_ref()).map(|level| (place, level)));
            alone.push(seen);
        }
        list
    }

    /// One pass of the machine with what is wrong, and what is seen of it.
    fn look(&self, wrong: &Wrong, view: &View) -> (Option<Measured>, Option<Solved>) {
        match self.setup(wrong, view).map(|setup| self.solve(setup)) {
            Some(Ok(solved)) => (Some(Measured::of(&solved, &self.should)), Some(solved)),
            Some(Err(PassError::Jammed { side, .. })) => (Some(Measured::jammed(side)), None),
            _ => (None, None),
        }
    }

    fn level_of(&self, wrong: &Wrong, seen: &Seen, planned: Option<&Solved>) -> Option<Level> {
        // A machine that cannot be set up or does not rest is none that somebody calls about.
        seen[0].as_ref()?;
        let mut comes: Vec<Circumstance> = Vec::new();
        wrong.iter().for_each(|(cause, _, _)| comes.extend(CAUSES[*cause].comes));
        let (cause, place, severity) = *wrong.first()?;
        let unit = self.scenario.unit_models().iter().position(|u| place.holds(u.side)).unwrap_or(0);
        let amount = planned.and_then(|solved| (CAUSES[cause].amount?.read)(&solved.setup, unit));
        Some(Level {
            severity,
            amount,
            grades: grades(&self.sides, seen, &self.healthy_seen, &comes),
            readings: readings(planned),
            measures: measures(planned),
        })
    }

    /// How bad nothing wrong is in the terms of a cause, SI.
    pub fn healthy_amount(&self, cause: usize, place: Place) -> Option<f64> {
        let unit = self.scenario.unit_models().iter().position(|u| place.holds(u.side)).unwrap_or(0);
        (CAUSES[cause].amount?.read)(&self.scenario.setup(), unit)
    }

    /// Where a cause can be on this machine, with the share of its weight that is of each place: each unit has a whole one, but for what both have at once.
    pub fn places(&self, cause: usize) -> Vec<(Place, f64)> {
        let cause = &CAUSES[cause];
        if !cause.sided {
            return vec![(Place::Line, 1.0)];
        }
        let of_vehicle = matches!(cause.change, Change::Line(_));
        let sides: &[Side] = if of_vehicle { &Side::BOTH } else { &self.sides };
        if sides.len() < 2 {
            return sides.iter().map(|side| (Place::On(*side), 1.0)).collect();
        }
        let mut list: Vec<(Place, f64)> =
            sides.iter().map(|side| (Place::On(*side), 1.0 - cause.both)).collect();
        if cause.both > 0.0 {
            list.push((Place::Both, cause.both));
        }
        list
    }

    fn look_at_healthy(&mut self) -> Result<(), BookError> {
        let own = self.scenario.measured_vehicle().to_owned();
        let view = |name, vehicle: &str, speed| View { name, vehicle: vehicle.to_owned(), speed };
        self.views = vec![
            view(ViewName::Planned, &own, 1.0),
            view(ViewName::Slow, &own, SLOW),
            view(ViewName::Busy, &own, BUSY),
        ];
        let mut solved: Vec<Option<Solved>> = Vec::new();
        for view in &self.views {
            let result = self.setup(&[], view).map(|setup| self.solve(setup));
            match result {
                Some(Ok(of)) => solved.push(Some(of)),
                Some(Err(error)) if view.name == ViewName::Planned => return Err(error.into()),
                _ => solved.push(None),
            }
        }
        for vehicle in wrong::wider(&self.scenario) {
            let as_planned = view(ViewName::Wide, &vehicle, 1.0);
            let Some(Ok(of)) = self.setup(&[], &as_planned).map(|setup| self.solve(setup)) else { continue };
            // Where the machine fails such a vehicle as planned, it is looked at on a slow line.
            let fails = of.outcome.verdicts.iter().any(|line| line.verdict == Verdict::Fail);
            let slow = view(ViewName::Wide, &vehicle, SLOW);
            match self.setup(&[], &slow).filter(|_| fails).map(|setup| self.solve(setup)) {
                Some(Ok(of)) => {
                    self.views.push(slow);
                    solved.push(Some(of));
                }
                _ => {
                    self.views.push(as_planned);
                    solved.push(Some(of));
                }
            }
            break;
        }
        for (at, of) in solved.iter().enumerate() {
            self.healthy_seen[at] = of.as_ref().map(|of| Measured::of(of, &self.should));
        }
        let planned = solved.into_iter().next().flatten();
        self.healthy.grades =
            grades(&self.sides, &self.healthy_seen, &self.healthy_seen, &[Circumstance::NewVehicles]);
        self.healthy.readings = readings(planned.as_ref());
        self.healthy.measures = measures(planned.as_ref());
        Ok(())
    }

    fn solve(&self, mut setup: PassSetup) -> Result<Solved, PassError> {
        // Signs are not read to the inch: a coarser path, stations and looks serve.
        setup.numerics.tolerance = setup.numerics.tolerance.max(TOLERANCE);
        let own = self.scenario.coverage_settings();
        let settings =
            CoverageSettings { station_m: own.station_m.max(0.04), look_m: own.look_m.max(0.1), ..own };
        Solved::new(setup, settings, &self.scenario.criteria())
    }

    /// The set-up of the machine with what is wrong, in a view; `None` where the machine has no such part or cannot be set so.
    pub fn setup(&self, wrong: &Wrong, view: &View) -> Option<PassSetup> {
        // What comes on busy days is not there on a slow line.
        let busy = |cause: usize| CAUSES[cause].comes.contains(&Circumstance::BusyDays);
        let here: Vec<(usize, Place, f64)> = wrong
            .iter()
            .copied()
            .filter(|(cause, ..)| view.name != ViewName::Slow || !busy(*cause))
            .collect();
        let mut scenario = wrong::set(&self.scenario, &here)?;
        let speed = scenario.conveyor_speed_m_s() * view.speed;
        if view.name == ViewName::Wide {
            scenario = scenario.for_vehicle(&view.vehicle).ok()?;
        }
        let mut setup = scenario.setup();
        setup.conveyor_speed_m_s = speed;
        wrong::change(&mut setup, &here)?;
        Some(setup)
    }
}

fn readings(planned: Option<&Solved>) -> Vec<[Option<f64>; 2]> {
    READINGS
        .iter()
        .map(|row| {
            Side::BOTH.map(|side| {
                let solved = planned?;
                let own = solved.setup.units.iter().find(|u| u.side == side);
                let unit = if row.sided { own } else { solved.setup.units.first() };
                (row.read)(solved, unit?)
            })
        })
        .collect()
}

fn measures(planned: Option<&Solved>) -> Vec<Option<f64>> {
    planned
        .map_or_else(Vec::new, |solved| measure::ALL.iter().map(|m| m.read(&solved.outcome).value).collect())
}
