//! Intervals at every point of a sweep: the same machines drawn at each.

use super::interval::{Intervals, intervals};
use crate::coverage::measure::Measure;
use crate::scenario::Scenario;
use crate::study::sweep::Beside;
use crate::study::table::{Cell, Column, Row};
use crate::units::column_name;

/// Column of the chance that all criteria are met.
pub const ALL_MET: &str = "all_met_chance";
/// Column of the draws whose pass could not be computed.
pub const FAILED: &str = "draws_not_computed";

/// Columns of one measure: from, to, and the chance to meet its limit.
pub fn interval_columns(measure: Measure) -> [String; 3] {
    let of = |what: &str| column_name(&format!("{}_{what}", measure.key()), measure.info().si_unit);
    [of("from"), of("to"), format!("{}_chance", measure.key())]
}

/// Intervals of some measures beside each point.
#[derive(Debug)]
pub struct PointIntervals {
    draws: u32,
    seed: u64,
    measures: Vec<Measure>,
}

impl PointIntervals {
    /// So many draws at each point.
    pub fn new(draws: u32, seed: u64, measures: Vec<Measure>) -> PointIntervals {
        PointIntervals { draws, seed, measures }
    }

    fn row(&self, found: &Intervals) -> Row {
        let mut cells = Vec::with_capacity(3 * self.measures.len() + 2);
        for measure in &self.measures {
            let line = found.measures.iter().find(|line| line.measure == *measure);
            let quantiles = line.and_then(|line| line.quantiles);
            cells.push(Cell::number(quantiles.map(|[low, _, _]| low)));
            cells.push(Cell::number(quantiles.map(|[_, _, high]| high)));
            cells.push(Cell::number(line.and_then(|line| line.met.as_ref()).map(|met| met.share)));
        }
        cells.push(Cell::number(found.all_met.as_ref().map(|met| met.share)));
        cells.push(Cell::Count(found.failed as u64));
        cells
    }
}

impl Beside for PointIntervals {
    fn columns(&self) -> Vec<Column> {
        let mut columns: Vec<Column> =
            self.measures.iter().flat_map(|m| interval_columns(*m)).map(Column::number).collect();
        columns.extend([Column::number(ALL_MET), Column::count(FAILED)]);
        columns
    }

    fn cells(&self, scenario: &Scenario) -> Row {
        match intervals(scenario, self.draws, self.seed) {
            Ok(found) => self.row(&found),
            // What is wrong with such a scenario the point itself says.
            Err(_) => vec![Cell::Missing; 3 * self.measures.len() + 2],
        }
    }

    fn fingerprint(&self) -> String {
        format!("{} machines drawn by seed {}", self.draws, self.seed)
    }
}
