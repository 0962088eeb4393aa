//! A sweep in brief, gathered row by row in flat memory: counts, envelopes of one measure over each axis, a map over the first two axes, some lines.
//!
//! An axis with any value of a range is cut into [`BINS`] equal stretches.

use super::axis::Axis;
use super::table::{Cell, Column};
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::coverage::table::Better;

/// Stretches that a continuous axis is cut into.
pub const BINS: usize = 24;
/// Most values of an axis that are kept apart.
pub const MOST_VALUES: u64 = 500;
/// Most lines kept for a chart of many axes.
const MOST_LINES: usize = 400;

/// How many points came out how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct Counts {
    /// Every judged measure inside its limit with margin.
    pub pass: u64,
    /// The worst is marginal.
    pub marginal: u64,
    /// At least one past its limit.
    pub fail: u64,
    /// Not judged by any limit.
    pub unjudged: u64,
    /// Could not be computed.
    pub not_computed: u64,
}

impl Counts {
    /// The worst verdict on all criteria; a point that could not be computed meets none of them. `None` where nothing is judged.
    pub fn worst(&self) -> Option<Verdict> {
        match self {
            Counts { fail, not_computed, .. } if fail + not_computed > 0 => Some(Verdict::Fail),
            Counts { marginal, .. } if *marginal > 0 => Some(Verdict::Marginal),
            Counts { pass, .. } if *pass > 0 => Some(Verdict::Pass),
            _ => None,
        }
    }

    /// All points.
    pub fn total(&self) -> u64 {
        self.pass + self.marginal + self.fail + self.unjudged + self.not_computed
    }

    fn add(&mut self, verdict: Option<Verdict>, computed: bool) {
        let count = match (computed, verdict) {
            (false, _) => &mut self.not_computed,
            (true, None) => &mut self.unjudged,
            (true, Some(Verdict::Pass)) => &mut self.pass,
            (true, Some(Verdict::Marginal)) => &mut self.marginal,
            (true, Some(Verdict::Fail)) => &mut self.fail,
        };
        *count += 1;
    }
}

/// What gathered at one place: a value of an axis or a pair of values.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Place {
    /// All verdicts together.
    pub counts: Counts,
    /// Lowest value of the measure, SI.
    pub low: Option<f64>,
    /// Highest value of the measure, SI.
    pub high: Option<f64>,
    /// Whether the lowest and the highest value stand on an edge.
    pub on_edge: [bool; 2],
    /// Worst verdict of the measure.
    pub worst: Option<Verdict>,
    /// Points where the measure has no value though the pass was computed.
    pub without: u64,
    /// Of all that the rows here say, but for the axis itself: alike at two places when and, but for a chance of 1 in 10¹⁹, only when the rows are.
    fingerprint: u64,
}

impl Place {
    /// Whether the worst value stands on an edge.
    pub fn worst_is_on_edge(&self, measure: Measure) -> bool {
        self.on_edge[usize::from(measure.better() != Better::More)]
    }

    /// The worst value of the measure: the lowest where more is better, else the highest.
    pub fn worst_value(&self, measure: Measure) -> Option<f64> {
        if measure.better() == Better::More { self.low } else { self.high }
    }
}

/// One axis of a summary.
#[derive(Debug, Clone, PartialEq)]
pub struct AxisSummary {
    /// Path of the setting.
    pub path: String,
    /// Unit of its numbers.
    pub unit: &'static str,
    /// Label of each value or stretch.
    pub labels: Vec<String>,
    /// Number of each value or middle of each stretch; none for words.
    pub numbers: Vec<Option<f64>>,
    /// What gathered at each.
    pub places: Vec<Place>,
    /// Why the setting may have no effect, where that is known beforehand.
    pub why: Option<&'static str>,
    /// Ends, when it is cut into stretches.
    stretch: Option<(f64, f64)>,
}

impl AxisSummary {
    /// Whether the rows at all its values say the same, bit for bit, with the same values of the other axes.
    pub fn has_no_effect(&self) -> bool {
        let mut places = self.places.iter();
        let Some(first) = places.next().filter(|place| self.places.len() > 1 && place.counts.total() > 0)
        else {
            return false;
        };
        places.all(|place| place.counts == first.counts && place.fingerprint == first.fingerprint)
    }

    fn new(axis: &Axis) -> AxisSummary {
        let (path, unit) = (axis.path().to_owned(), axis.unit());
        if let Some(count) = axis.count().filter(|n| *n <= MOST_VALUES) {
            let values: Vec<_> = (0..count).filter_map(|i| axis.value(i)).collect();
            return AxisSummary {
                path,
                unit,
                labels: values.iter().map(|v| v.text.clone()).collect(),
                numbers: values.iter().map(|v| v.number).collect(),
                places: vec![Place::default(); values.len()],
                why: None,
                stretch: None,
            };
        }
        let end = |u: f64| axis.at(u).and_then(|v| v.number).unwrap_or(0.0);
        let (low, high) = (end(0.0), end(1.0 - f64::EPSILON));
        let middle = |i: usize| low + (high - low) * (i as f64 + 0.5) / BINS as f64;
        AxisSummary {
            path,
            unit,
            labels: (0..BINS).map(|i| format!("{:.4} {unit}", middle(i)).trim_end().to_owned()).collect(),
            numbers: (0..BINS).map(|i| Some(middle(i))).collect(),
            places: vec![Place::default(); BINS],
            why: None,
            stretch: Some((low, high)),
        }
    }

    /// Name for people: the path and its unit.
    pub fn label(&self) -> String {
        let name = self.path.strip_prefix("line.").unwrap_or(&self.path).replace(['_', '.'], " ");
        if self.unit.is_empty() { name } else { format!("{name}, {}", self.unit) }
    }

    /// Whether all its values are numbers.
    pub fn is_numeric(&self) -> bool {
        self.numbers.iter().all(Option::is_some)
    }

    fn place_of(&self, cell: &Cell) -> Option<usize> {
        match (cell, self.stretch) {
            (cell, Some((low, high))) => {
                let share = (cell.as_number()? - low) / (high - low);
                Some(((share * BINS as f64) as usize).min(BINS - 1))
            }
            (Cell::Text(text), None) => self.labels.iter().position(|label| label == text),
            (cell, None) => {
                let number = cell.as_number()?;
                self.numbers.iter().position(|n| *n == Some(number))
            }
        }
    }
}

/// One point kept for a chart of many axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The cell of each axis.
    pub axes: Vec<Cell>,
    /// The value of the measure, SI.
    pub value: Option<f64>,
    /// Worst verdict of the point.
    pub verdict: Option<Verdict>,
}

/// A sweep in brief.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// The measure it is about.
    pub measure: Measure,
    /// All points.
    pub counts: Counts,
    /// Reasons why points could not be computed, with how often, in order of first appearance; at most 20.
    pub reasons: Vec<(String, u64)>,
    /// Which measures decide, with how often: most often first.
    pub deciding: Vec<(String, u64)>,
    /// One for each axis.
    pub axes: Vec<AxisSummary>,
    /// `[second][first]` over the first two axes with more than one value, and which they are.
    pub map: Option<([usize; 2], Vec<Vec<Place>>)>,
    /// Evenly thinned points.
    pub lines: Vec<Line>,
    /// Every so manyth point is kept as a line.
    every: u64,
    at: Columns,
}

#[derive(Debug, Clone, PartialEq)]
struct Columns {
    verdict: Option<usize>,
    deciding: Option<usize>,
    value: Option<usize>,
    value_verdict: Option<usize>,
    value_edge: Option<usize>,
    reason: Option<usize>,
}

impl Summary {
    /// A summary of rows with these columns: `row`, the axes in order, then results.
    pub fn new(axes: &[Axis], columns: &[Column], rows: u64, measure: Measure) -> Summary {
        let at = |name: &str| columns.iter().position(|c| c.name == name);
        let axes: Vec<AxisSummary> = axes.iter().map(AxisSummary::new).collect();
        let mut many = (0..axes.len()).filter(|i| axes[*i].places.len() > 1);
        let map = match (many.next(), many.next()) {
            (Some(a), Some(b)) => {
                let row = vec![Place::default(); axes[a].places.len()];
                Some(([a, b], vec![row; axes[b].places.len()]))
            }
            _ => None,
        };
        Summary {
            measure,
            counts: Counts::default(),
            reasons: Vec::new(),
            deciding: Vec::new(),
            axes,
            map,
            lines: Vec::new(),
            every: rows.div_ceil(MOST_LINES as u64).max(1),
            at: Columns {
                verdict: at("verdict"),
                deciding: at("deciding"),
                value: at(&measure.column()),
                value_edge: at(&measure.edge_column()),
                value_verdict: at(&format!("{}_verdict", measure.key())),
                reason: at("reason"),
            },
        }
    }

    /// Adds one row.
    pub fn add(&mut self, row: &[Cell]) {
        let cell = |at: Option<usize>| at.and_then(|i| row.get(i)).unwrap_or(&Cell::Missing);
        let verdict = |at| cell(at).as_text().and_then(verdict_named);
        let reason = cell(self.at.reason).as_text();
        let computed = reason.is_none();
        let whole = verdict(self.at.verdict);
        let value = cell(self.at.value).as_number();
        let of_value = verdict(self.at.value_verdict);
        let on_edge = cell(self.at.value_edge).as_number().is_some();
        let deciding = cell(self.at.deciding).as_text();

        self.counts.add(whole, computed);
        if let Some(reason) = reason {
            // What changes from point to point (times, places) would make every reason its own.
            let kind = reason.split(" at t = ").next().unwrap_or(reason);
            count_word(&mut self.reasons, kind, 20);
        }
        if let Some(deciding) = deciding {
            count_word(&mut self.deciding, deciding, usize::MAX);
            self.deciding.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        }
        let gather = |place: &mut Place| {
            place.counts.add(whole, computed);
            if let Some(v) = value {
                let [low, high] = &mut place.on_edge;
                take_end(&mut place.low, low, v, on_edge, |v, low| v < low);
                take_end(&mut place.high, high, v, on_edge, |v, high| v > high);
            } else if computed {
                place.without += 1;
            }
            place.worst = place.worst.max(of_value);
        };
        let mut places = Vec::with_capacity(self.axes.len());
        for (axis, cell) in self.axes.iter_mut().zip(row.iter().skip(1)) {
            let at = axis.place_of(cell);
            if let Some(place) = at.and_then(|at| axis.places.get_mut(at)) {
                gather(place);
                place.fingerprint = place.fingerprint.wrapping_add(fingerprint(row, places.len() + 1));
            }
            places.push(at);
        }
        if let Some(([a, b], map)) = &mut self.map
            && let (Some(Some(x)), Some(Some(y))) = (places.get(*a), places.get(*b))
            && let Some(place) = map.get_mut(*y).and_then(|row| row.get_mut(*x))
        {
            gather(place);
        }
        if (self.counts.total() - 1).is_multiple_of(self.every) && self.lines.len() < MOST_LINES {
            let axes = row.iter().skip(1).take(self.axes.len()).cloned().collect();
            self.lines.push(Line { axes, value, verdict: whole });
        }
    }
}

/// Takes a value as the end of a stretch where it lies beyond, with whether it stands on an edge.
fn take_end(end: &mut Option<f64>, on_edge: &mut bool, value: f64, is: bool, beyond: fn(f64, f64) -> bool) {
    match *end {
        Some(known) if known == value => *on_edge |= is,
        Some(known) if !beyond(value, known) => {}
        _ => (*end, *on_edge) = (Some(value), is),
    }
}

/// A number made from all cells of a row but its number and one more.
fn fingerprint(row: &[Cell], but: usize) -> u64 {
    use std::hash::{DefaultHasher, Hash, Hasher};
    let mut hasher = DefaultHasher::new();
    for (place, cell) in row.iter().enumerate().filter(|(place, _)| *place != 0 && *place != but) {
        place.hash(&mut hasher);
        match cell {
            Cell::Missing => {}
            Cell::Count(count) => count.hash(&mut hasher),
            Cell::Number(number) => number.to_bits().hash(&mut hasher),
            Cell::Text(text) => text.hash(&mut hasher),
        }
    }
    hasher.finish()
}

fn count_word(list: &mut Vec<(String, u64)>, word: &str, most: usize) {
    match list.iter().position(|(known, _)| known == word) {
        Some(at) => list[at].1 += 1,
        None if list.len() < most => list.push((word.to_owned(), 1)),
        None => {}
    }
}

/// The verdict with this name.
pub fn verdict_named(name: &str) -> Option<Verdict> {
    [Verdict::Pass, Verdict::Marginal, Verdict::Fail].into_iter().find(|v| v.name() == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::MeasureName;
    use crate::units::{Dimension, FractionDim, LengthDim};

    fn columns(axes: &[Axis]) -> Vec<Column> {
        let mut columns = vec![Column::count("row")];
        columns.extend(axes.iter().map(|a| a.column().clone()));
        columns.extend([
            Column::text("verdict"),
            Column::text("deciding"),
            Column::number("tail_gap_m"),
            Column::text("tail_gap_verdict"),
            Column::text("reason"),
        ]);
        columns
    }

    fn row(n: u64, a: f64, b: &str, gap: Option<f64>) -> Vec<Cell> {
        let verdict = gap.map_or(Cell::Missing, |g| Cell::Text(if g > 0.3 { "fail" } else { "pass" }.into()));
        vec![
            Cell::Count(n),
            Cell::Number(a),
            Cell::Text(b.into()),
            verdict.clone(),
            Cell::text(if gap.is_some() { "tail_gap" } else { "" }),
            Cell::number(gap),
            verdict,
            Cell::text(if gap.is_none() { "jams at t = 3 s" } else { "" }),
        ]
    }

    #[test]
    fn verif_rows_gather_at_their_places() {
        let axes = vec![
            Axis::quantity("line.throughput", "1,2", FractionDim::INFO, None).unwrap(),
            Axis::words("vehicle", ["x".to_owned(), "y".to_owned()]).unwrap(),
        ];
        let mut summary = Summary::new(&axes, &columns(&axes), 4, MeasureName::TailGap.whole());
        summary.add(&row(0, 1.0, "x", Some(0.1)));
        summary.add(&row(1, 1.0, "y", Some(0.4)));
        summary.add(&row(2, 2.0, "x", Some(0.2)));
        summary.add(&row(3, 2.0, "y", None));
        assert_eq!(summary.counts, Counts { pass: 2, fail: 1, not_computed: 1, ..Counts::default() });
        let first = &summary.axes[0].places[0];
        assert_eq!((first.low, first.high, first.worst), (Some(0.1), Some(0.4), Some(Verdict::Fail)));
        assert_eq!(first.worst_value(MeasureName::TailGap.whole()), Some(0.4));
        let (which, map) = summary.map.as_ref().unwrap();
        assert_eq!(*which, [0, 1]);
        assert_eq!((map[0][1].high, map[1][1].high, map[1][0].worst), (Some(0.2), None, Some(Verdict::Fail)));
        assert_eq!(summary.reasons, [("jams".to_owned(), 1)]);
        assert_eq!(summary.deciding, [("tail_gap".to_owned(), 3)]);
        assert_eq!(summary.lines.len(), 4);
    }

    #[test]
    fn verif_an_axis_without_effect_is_known_and_one_with_the_least_effect_is_not() {
        let axes = vec![
            Axis::quantity("line.throughput", "1,2", FractionDim::INFO, None).unwrap(),
            Axis::words("vehicle", ["x".to_owned(), "y".to_owned()]).unwrap(),
        ];
        let gather = |last: f64| {
            let mut summary = Summary::new(&axes, &columns(&axes), 4, MeasureName::TailGap.whole());
            for (n, (a, b, gap)) in
                [(1.0, "x", 0.1), (1.0, "y", 0.1), (2.0, "x", 0.2), (2.0, "y", last)].into_iter().enumerate()
            {
                summary.add(&row(n as u64, a, b, Some(gap)));
            }
            [summary.axes[0].has_no_effect(), summary.axes[1].has_no_effect()]
        };
        assert_eq!(gather(0.2), [false, true]);
        assert_eq!(gather(0.2_f64.next_up()), [false, false]);
    }

    #[test]
    fn verif_a_continuous_axis_is_cut_into_stretches_and_lines_are_thinned() {
        let axes = vec![Axis::quantity("o", "-1in..1in", LengthDim::INFO, None).unwrap()];
        let mut summary = Summary::new(&axes, &columns(&axes), 10_000, MeasureName::TailGap.whole());
        for n in 0..10_000 {
            let a = -1.0 + 2.0 * n as f64 / 10_000.0;
            let mut cells = row(n, a, "x", Some(a));
            cells.remove(2);
            summary.add(&cells);
        }
        assert_eq!(summary.axes[0].places.len(), BINS);
        for place in &summary.axes[0].places {
            assert!(place.counts.total().abs_diff(10_000 / BINS as u64) <= 1);
        }
        assert_eq!(summary.lines.len(), 400);
    }
}
