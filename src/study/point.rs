//! One design point: what a pass came to, as the fixed list of [`measure`](mod@crate::coverage::measure).
//!
//! A point that cannot be computed is a result too: it carries its reason and no numbers.
//!
//! Columns of a point, in order: `verdict` (pass, marginal, fail; missing when the point failed to compute), `deciding` (key of the measure that
//! decides), `deciding_room` (its margin as a share of its limit, of what a washed share may lose, or of the strips before the
//! hub; once the hub is struck a number so large that it only says so), every measure of [`measure::ALL`] in SI, how much worse each that stands on an edge is on its
//! other side (`recovery_margin_left_edge_s`; missing when it is on none), the verdict of each measure that a scenario can limit (`tail_gap_verdict`), and `reason` (why there are no numbers).

use super::table::{Cell, Column, Row};
use crate::coverage::measure::{self, Measure, Reading};
use crate::coverage::{self, Outcome, Verdict};
use crate::error::Diagnostics;
use crate::pass;
use crate::scenario::Scenario;

/// Computes the pass of a scenario.
pub fn evaluate(scenario: &Scenario) -> PointResult {
    let setup = scenario.setup();
    match pass::run(&setup) {
        Ok(record) => PointResult::of(&coverage::measure(
            &setup,
            &record,
            &scenario.coverage_settings(),
            &scenario.criteria(),
        )),
        Err(error) => PointResult::failed(&error.to_string()),
    }
}

/// Computes the pass of a scenario with some settings changed: path and value as written.
pub fn evaluate_with<P: AsRef<str>, V: AsRef<str>>(scenario: &Scenario, changes: &[(P, V)]) -> PointResult {
    match scenario.with(changes) {
        Ok(changed) => evaluate(&changed),
        Err(diagnostics) => PointResult::failed(&reason(&diagnostics)),
    }
}

/// Why a scenario was refused, in one line: the first diagnostic without its place.
pub fn reason(diagnostics: &Diagnostics) -> String {
    let Some(first) = diagnostics.0.first() else { return "the scenario was refused".to_owned() };
    let mut text = if first.field.is_empty() {
        first.problem.clone()
    } else {
        format!("{}: {}", first.field, first.problem)
    };
    for (label, part) in [("given", &first.given), ("allowed", &first.allowed)] {
        if !part.is_empty() {
            text = format!("{text}; {label}: {part}");
        }
    }
    text
}

/// What one point came to.
#[derive(Debug, Clone, PartialEq)]
pub struct PointResult {
    /// One reading for each of [`measure::ALL`]; empty when the point failed.
    readings: Vec<Reading>,
    reason: Option<String>,
}

impl PointResult {
    /// The readings of an outcome.
    pub fn of(outcome: &Outcome) -> PointResult {
        PointResult { readings: measure::ALL.iter().map(|m| m.read(outcome)).collect(), reason: None }
    }

    /// A point that could not be computed, and why. The reason is kept to one line.
    pub fn failed(reason: &str) -> PointResult {
        let one_line = reason.split_whitespace().collect::<Vec<_>>().join(" ");
        let reason = if one_line.is_empty() { "no reason given".to_owned() } else { one_line };
        PointResult { readings: Vec::new(), reason: Some(reason) }
    }

    /// Readings by hand, one for each of [`measure::ALL`], for points that are not passes.
    pub fn from_readings(readings: Vec<Reading>) -> Option<PointResult> {
        (readings.len() == measure::COUNT).then_some(PointResult { readings, reason: None })
    }

    /// Why there are no numbers; none when there are.
    pub fn reason(&self) -> Option<&str> {
        self.reason.as_deref()
    }

    /// One measure; none when the point failed.
    pub fn reading(&self, measure: Measure) -> Option<&Reading> {
        self.readings.get(measure.index())
    }

    /// The value of one measure, SI.
    pub fn value(&self, measure: Measure) -> Option<f64> {
        self.reading(measure)?.value
    }

    /// Every measure with its reading, in order; none when the point failed.
    pub fn readings(&self) -> impl Iterator<Item = (Measure, &Reading)> {
        measure::ALL.into_iter().zip(&self.readings)
    }

    /// Worst verdict of all judged measures; none when the point failed or nothing is judged.
    pub fn verdict(&self) -> Option<Verdict> {
        self.readings.iter().filter_map(|r| r.verdict).max()
    }

    /// Whether it was computed and every judged measure is inside its limit.
    pub fn meets_all(&self) -> bool {
        self.reason.is_none() && self.verdict() != Some(Verdict::Fail)
    }

    /// The measure that decides: of those with the worst verdict, the one with the least margin; the first of equals.
    pub fn deciding(&self) -> Option<(Measure, &Reading)> {
        let worst = self.verdict()?;
        self.readings().filter(|(_, r)| r.verdict == Some(worst)).min_by(|(_, a), (_, b)| {
            a.margin().unwrap_or(f64::INFINITY).total_cmp(&b.margin().unwrap_or(f64::INFINITY))
        })
    }

    /// Columns of a point (see the top of this file).
    pub fn columns() -> Vec<Column> {
        let mut columns =
            vec![Column::text("verdict"), Column::text("deciding"), Column::number("deciding_room")];
        columns.extend(measure::ALL.into_iter().map(|m| Column::number(m.column())));
        columns.extend(measure::on_edges().map(|m| Column::number(m.edge_column())));
        columns.extend(judged().map(|m| Column::text(format!("{}_verdict", m.key()))));
        columns.push(Column::text("reason"));
        columns
    }

    /// The cells for [`PointResult::columns`].
    pub fn cells(&self) -> Row {
        let verdict = |v: Option<Verdict>| v.map_or(Cell::Missing, |v| Cell::Text(v.name().into()));
        let deciding = self.deciding();
        let mut row = vec![
            verdict(self.verdict()),
            deciding.map_or(Cell::Missing, |(m, _)| Cell::Text(m.key())),
            Cell::number(deciding.and_then(|(_, r)| r.margin())),
        ];
        row.extend(measure::ALL.into_iter().map(|m| Cell::number(self.value(m))));
        row.extend(measure::on_edges().map(|m| Cell::number(self.reading(m).and_then(|r| r.edge))));
        row.extend(judged().map(|m| verdict(self.reading(m).and_then(|r| r.verdict))));
        row.push(self.reason.as_deref().map_or(Cell::Missing, Cell::text));
        row
    }
}

fn judged() -> impl Iterator<Item = Measure> {
    measure::ALL.into_iter().filter(|m| m.is_judged())
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::coverage::MeasureName;

    /// A point with these measures and limits, everything else unjudged and without value.
    pub(crate) fn point(set: &[(Measure, Option<f64>, f64)]) -> PointResult {
        let empty =
            Reading { value: None, limit: None, verdict: None, at_least: false, edge: None, size: None };
        let mut readings = vec![empty; measure::COUNT];
        for (m, value, limit) in set {
            let at_least = m.name.at_least();
            let verdict = match value {
                None => Verdict::Fail,
                Some(v) if at_least => Verdict::at_least(*v, *limit, 0.1),
                Some(v) => Verdict::at_most(*v, *limit, 0.1),
            };
            readings[m.index()] = Reading {
                value: *value,
                limit: Some(*limit),
                verdict: Some(verdict),
                at_least,
                edge: None,
                size: Some(limit.abs()),
            };
        }
        PointResult::from_readings(readings).unwrap()
    }

    #[test]
    fn verif_the_worst_measure_decides() {
        let good = point(&[
            (MeasureName::TailGap.whole(), Some(0.05), 0.2),
            (MeasureName::NoseOverlap.whole(), Some(0.3), 0.1),
        ]);
        assert_eq!(good.verdict(), Some(Verdict::Pass));
        assert_eq!(good.deciding().unwrap().0, MeasureName::TailGap.whole());
        let bad = point(&[
            (MeasureName::TailGap.whole(), Some(0.3), 0.2),
            (MeasureName::NoseOverlap.whole(), None, 0.1),
        ]);
        assert_eq!(bad.deciding().unwrap().0, MeasureName::NoseOverlap.whole());
        assert!(good.meets_all() && !bad.meets_all());
        assert!(!PointResult::failed("x").meets_all());
    }

    #[test]
    fn verif_cells_fit_columns_and_a_failed_point_has_a_reason_and_no_numbers() {
        let columns = PointResult::columns();
        let good = point(&[(MeasureName::TailGap.whole(), Some(0.05), 0.2)]);
        let failed = PointResult::failed("the arm\n  does not rest");
        assert_eq!((good.cells().len(), failed.cells().len()), (columns.len(), columns.len()));
        let at = |name: &str| columns.iter().position(|c| c.name == name).unwrap();
        assert_eq!(good.cells()[at("tail_gap_m")], Cell::Number(0.05));
        assert_eq!(good.cells()[at("tail_gap_verdict")], Cell::Text("pass".into()));
        assert_eq!(good.cells()[at("reason")], Cell::Missing);
        let cells = failed.cells();
        assert_eq!(cells[at("reason")], Cell::Text("the arm does not rest".into()));
        assert!(cells[..columns.len() - 1].iter().all(|c| *c == Cell::Missing));
    }
}
