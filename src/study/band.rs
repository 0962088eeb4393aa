//! How one measure spreads over the values of a setting: between which values most passes lie when things spread as the scenario says.
//!
//! At every value of the axis the same draws are taken (the first vector of each block of [`super::spread`], so that two neighbouring values differ
//! by the setting alone), and quantiles of the measure over them make a band. The share of passes that meets the limit, with its interval, is
//! told by [`super::spread`] at one value; the band shows how it goes with the setting.

use super::axis::{Axis, AxisValue};
use super::indices::quantile;
use super::point::PointResult;
use super::spread::{Drawn, SpreadError};
use super::stream::{StreamError, Workers, in_order};
use super::table::{Cell, Column, Table};
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::scenario::Scenario;

/// Shares of the passes that stay below the low end, the middle and the high end of the band.
pub const BAND_SHARES: [f64; 3] = [0.05, 0.5, 0.95];

/// How much to compute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BandPlan {
    /// Passes drawn at each value.
    pub draws: u64,
    /// Seed of the draws.
    pub seed: u64,
}

impl Default for BandPlan {
    fn default() -> BandPlan {
        BandPlan { draws: 60, seed: 1 }
    }
}

/// The band at one value of the axis.
#[derive(Debug, Clone, PartialEq)]
pub struct BandPoint {
    /// The value of the axis.
    pub at: AxisValue,
    /// What 5, 50 and 95 % of the passes with a value stay below, SI; none when no pass has one.
    pub quantiles: Option<[f64; 3]>,
    /// Passes in which the measure has a value.
    pub values: u64,
    /// Passes without one, those that could not be computed among them.
    pub without: u64,
    /// Passes that miss the limit of the measure, those that could not be computed among them; none when nothing judges it.
    pub missed: Option<u64>,
}

/// A band over an axis.
#[derive(Debug, Clone, PartialEq)]
pub struct BandOver {
    /// The measure.
    pub measure: Measure,
    /// The plan.
    pub plan: BandPlan,
    /// Names of what spreads.
    pub factors: Vec<String>,
    /// Path of the setting.
    pub path: String,
    /// One for each value of the axis that was finished, in its order.
    pub points: Vec<BandPoint>,
    /// Values of the axis.
    pub of: u64,
}

/// Computes the band of a measure over an axis with a list of values. `tell` hears how many of how many passes are done; once `stop` says so, it ends
/// with the values that are whole.
///
/// # Errors
/// [`SpreadError`] when nothing spreads, the spread part makes no sense or a value of the axis does not hold.
pub fn band_over(
    scenario: &Scenario,
    axis: &Axis,
    measure: Measure,
    plan: &BandPlan,
    workers: Workers,
    stop: &dyn Fn() -> bool,
    mut tell: impl FnMut(u64, u64),
) -> Result<BandOver, SpreadError> {
    let values: Vec<AxisValue> = (0..axis.count().unwrap_or(0)).filter_map(|i| axis.value(i)).collect();
    let drawn = values
        .iter()
        .map(|value| Drawn::new(&scenario.with(&[(axis.path(), value.text.as_str())])?))
        .collect::<Result<Vec<Drawn>, SpreadError>>()?;
    let factors = drawn.first().map_or(&[][..], Drawn::factors);
    let mut band = BandOver {
        measure,
        plan: *plan,
        factors: factors.iter().map(|factor| factor.name.clone()).collect(),
        path: axis.path().to_owned(),
        points: Vec::with_capacity(values.len()),
        of: values.len() as u64,
    };
    let draws = plan.draws.max(1);
    let all = draws * values.len() as u64;
    let work = |row: u64| {
        let drawn = &drawn[(row / draws) as usize];
        drawn.evaluate(&drawn.draw(plan.seed, row % draws))
    };
    let mut gathered: Vec<PointResult> = Vec::new();
    let sink = |row: u64, result: PointResult| {
        gathered.push(result);
        if gathered.len() as u64 == draws {
            let at = values[(row / draws) as usize].clone();
            band.points.push(point(at, measure, &gathered));
            gathered.clear();
        }
        tell(row + 1, all);
        if stop() { Err(Stopped) } else { Ok(()) }
    };
    match in_order(0..all, workers, work, sink) {
        Ok(()) | Err(StreamError::Sink(Stopped)) => Ok(band),
        Err(StreamError::Threads(reason)) => Err(SpreadError::Threads(reason)),
    }
}

/// Why it ended early.
#[derive(Debug)]
struct Stopped;

fn point(at: AxisValue, measure: Measure, results: &[PointResult]) -> BandPoint {
    let mut values: Vec<f64> = results.iter().filter_map(|result| result.value(measure)).collect();
    values.sort_by(f64::total_cmp);
    let judged =
        results.iter().any(|result| result.reading(measure).is_some_and(|reading| reading.verdict.is_some()));
    let misses = |result: &&PointResult| {
        result.reading(measure).is_none_or(|reading| reading.verdict == Some(Verdict::Fail))
    };
    BandPoint {
        at,
        quantiles: (!values.is_empty()).then(|| BAND_SHARES.map(|share| quantile(&values, share))),
        values: values.len() as u64,
        without: (results.len() - values.len()) as u64,
        missed: judged.then(|| results.iter().filter(misses).count() as u64),
    }
}

impl BandOver {
    /// The table for machines: a row for each value of the axis, SI.
    pub fn table(&self) -> Table {
        let mut columns = vec![
            Column::text("setting"),
            Column::text("value"),
            Column::text("measure"),
            Column::text("unit"),
        ];
        columns.extend(["p05", "p50", "p95"].map(Column::number));
        columns.extend(["passes", "without_value", "missed"].map(Column::count));
        let rows = self.points.iter().map(|point| {
            let mut row = vec![
                Cell::text(&self.path),
                Cell::text(&point.at.text),
                Cell::text(&self.measure.key()),
                Cell::text(self.measure.info().si_unit),
            ];
            row.extend((0..3).map(|i| Cell::number(point.quantiles.map(|q| q[i]))));
            row.extend([Cell::Count(point.values + point.without), Cell::Count(point.without)]);
            row.push(point.missed.map_or(Cell::Missing, Cell::Count));
            row
        });
        Table { rows: rows.collect(), columns }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::MeasureName;
    use crate::study::sweep::setting_axis;

    const LANE: &str = include_str!("../../scenarios/ferry-return.ron");

    /// The band is that of the passes drawn one by one, whatever the number of threads, and a stop leaves whole values.
    #[test]
    fn verif_the_band_is_the_quantiles_of_its_draws() {
        let lane = Scenario::read_alone(LANE, "lane.ron").expect("good");
        let measure = MeasureName::TailGap.whole();
        let axis = setting_axis(&lane, "line.throughput", "100,150").expect("an axis");
        let plan = BandPlan { draws: 5, seed: 7 };
        let of = |workers| {
            band_over(&lane, &axis, measure, &plan, Workers::new(workers), &|| false, |_, _| {})
                .expect("it spreads")
        };
        let band = of(1);
        assert_eq!(band, of(3));
        assert_eq!((band.points.len(), band.of), (2, 2));
        for point in &band.points {
            let at = lane.with(&[("line.throughput", point.at.text.as_str())]).expect("it holds");
            let drawn = Drawn::new(&at).expect("it spreads");
            let mut own: Vec<f64> = (0..plan.draws)
                .filter_map(|block| drawn.evaluate(&drawn.draw(plan.seed, block)).value(measure))
                .collect();
            own.sort_by(f64::total_cmp);
            assert_eq!(point.values, 5);
            // Of five values the 5 % quantile lies a fifth of the way from the lowest to the next.
            let low = own[0] + 0.2 * (own[1] - own[0]);
            let [p05, p50, p95] = point.quantiles.expect("values");
            assert!((p05 - low).abs() < 1e-12 && p50 == own[2] && p95 <= own[4] && p05 <= p50);
            // The demo asks for a gap of a foot at most.
            let missed = own.iter().filter(|gap_m| **gap_m > 0.3048).count() as u64;
            assert_eq!((point.missed, point.without), (Some(missed), 0));
        }
        assert!(
            band.points[1].quantiles > band.points[0].quantiles,
            "faster leaves more of the tail: {band:?}"
        );
        let seen = std::cell::Cell::new(0);
        let stopped =
            band_over(&lane, &axis, measure, &plan, Workers::new(1), &|| seen.get() >= 7, |done, all| {
                assert_eq!(all, 10);
                seen.set(done);
            });
        let stopped = stopped.expect("it spreads");
        assert_eq!((stopped.points.len(), stopped.of), (1, 2));
        assert_eq!(stopped.points[0], band.points[0]);
        assert_eq!(band.table().rows.len(), 2);
        // Far too fast some miss it; of a measure that nothing limits none is counted.
        let fast = setting_axis(&lane, "line.throughput", "190").expect("an axis");
        let missed = |measure| {
            let band = band_over(&lane, &fast, measure, &plan, Workers::new(1), &|| false, |_, _| {});
            band.expect("it spreads").points[0].missed
        };
        assert!(missed(measure) > Some(2), "{:?}", missed(measure));
        assert_eq!(missed(MeasureName::TailOverlap.whole()), None);
    }

    #[test]
    fn verif_nothing_spreads_is_said() {
        let one = include_str!("../../scenarios/one-unit.ron");
        let lane = Scenario::read_alone(one, "one.ron").expect("good");
        let axis = setting_axis(&lane, "line.throughput", "100").expect("an axis");
        let (measure, plan) = (MeasureName::TailGap.whole(), BandPlan::default());
        let none = band_over(&lane, &axis, measure, &plan, Workers::new(1), &|| false, |_, _| {});
        assert!(matches!(none, Err(SpreadError::NothingSpreads)));
    }
}
