//! Any number of set-ups on the same vehicles: every number, the differences from the first, the verdicts that change.

use super::point::{PointResult, evaluate, reason};
use super::table::{Cell, Column, Table};
use crate::coverage::Verdict;
use crate::coverage::measure::{self, Measure, Reading};
use crate::scenario::Scenario;
use rayon::prelude::*;

/// A set-up with its name.
#[derive(Debug, Clone)]
pub struct SetUp {
    /// The name it goes by.
    pub name: String,
    /// The scenario.
    pub scenario: Scenario,
}

/// All set-ups on one vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparedVehicle {
    /// The vehicle.
    pub vehicle: String,
    /// One result for each set-up.
    pub results: Vec<PointResult>,
}

/// A comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Names of the set-ups; the first is the one the others are compared with.
    pub names: Vec<String>,
    /// One for each vehicle.
    pub vehicles: Vec<ComparedVehicle>,
}

/// One measure over all set-ups.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparedMeasure {
    /// The measure.
    pub measure: Measure,
    /// One for each set-up; none when the pass could not be computed.
    pub readings: Vec<Option<Reading>>,
}

impl ComparedMeasure {
    /// Difference of a set-up from the first, SI.
    pub fn difference(&self, setup: usize) -> Option<f64> {
        let value = |i: usize| self.readings.get(i)?.as_ref()?.value;
        Some(value(setup)? - value(0)?)
    }

    /// Verdicts of the first set-up and of this one, when both are judged and differ.
    pub fn turned(&self, setup: usize) -> Option<(Verdict, Verdict)> {
        let verdict = |i: usize| self.readings.get(i)?.as_ref()?.verdict;
        let (before, after) = (verdict(0)?, verdict(setup)?);
        (before != after).then_some((before, after))
    }
}

/// Compares set-ups. Without `vehicles`, each set-up is taken on its own measured vehicle.
pub fn compare(setups: &[SetUp], vehicles: &[String]) -> Comparison {
    let jobs: Vec<(Option<&str>, usize)> = if vehicles.is_empty() {
        (0..setups.len()).map(|i| (None, i)).collect()
    } else {
        vehicles.iter().flat_map(|v| (0..setups.len()).map(move |i| (Some(v.as_str()), i))).collect()
    };
    let mut results: Vec<PointResult> = jobs
        .par_iter()
        .map(|(vehicle, i)| {
            let scenario = &setups[*i].scenario;
            match vehicle.map(|name| scenario.for_vehicle(name)) {
                None => evaluate(scenario),
                Some(Ok(scenario)) => evaluate(&scenario),
                Some(Err(diagnostics)) => PointResult::failed(&reason(&diagnostics)),
            }
        })
        .collect();
    let named =
        |vehicle: &str, results: Vec<PointResult>| ComparedVehicle { vehicle: vehicle.to_owned(), results };
    let vehicles = if vehicles.is_empty() {
        let mut own: Vec<&str> = setups.iter().map(|s| s.scenario.measured_vehicle()).collect();
        own.dedup();
        vec![named(&own.join(", "), results)]
    } else {
        let mut list = Vec::with_capacity(vehicles.len());
        for vehicle in vehicles {
            let rest = results.split_off(setups.len().min(results.len()));
            list.push(named(vehicle, std::mem::replace(&mut results, rest)));
        }
        list
    };
    Comparison { names: setups.iter().map(|s| s.name.clone()).collect(), vehicles }
}

impl ComparedVehicle {
    /// Every measure that some set-up has a value or a limit for, in order.
    pub fn measures(&self) -> Vec<ComparedMeasure> {
        measure::ALL
            .into_iter()
            .map(|m| ComparedMeasure {
                measure: m,
                readings: self.results.iter().map(|r| r.reading(m).copied()).collect(),
            })
            .filter(|m| m.readings.iter().flatten().any(|r| r.value.is_some() || r.limit.is_some()))
            .collect()
    }
}

impl Comparison {
    /// The table for machines: a row for each vehicle and set-up with every number of a point, SI.
    pub fn table(&self) -> Table {
        let mut columns = vec![Column::count("setup_number"), Column::text("setup"), Column::text("vehicle")];
        columns.extend(PointResult::columns());
        let mut rows = Vec::new();
        for vehicle in &self.vehicles {
            for (i, (name, result)) in self.names.iter().zip(&vehicle.results).enumerate() {
                let mut row = vec![Cell::Count(i as u64 + 1), Cell::text(name), Cell::text(&vehicle.vehicle)];
                row.extend(result.cells());
                rows.push(row);
            }
        }
        Table { columns, rows }
    }
}
