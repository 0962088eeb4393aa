//! A sweep as a person reads it: how many points pass, where it turns, what decides; a small sweep with every point.

use super::measures::{edge_note, said, said_marked};
use super::table::TextTable;
use super::words::{NONE, Words, capital, heading, percent, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::calibrate::{ALL_MET, interval_columns};
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::study::summary::{AxisSummary, Counts, Place, Summary};
use crate::study::sweep::highest::{Highest, HighestThroughput, LABEL, RESOLUTION_PER_H};
use crate::study::table::{Cell, Column, Row};
use crate::units::{Dimension, ThroughputDim, UnitSystem, counted, format, minus_signs};

/// Rows up to which a sweep is shown point by point.
pub const MOST_ROWS_SHOWN: usize = 60;

/// What a text about a sweep needs.
#[derive(Debug, Clone, Copy)]
pub struct SweepReport<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// How the points were chosen.
    pub design: &'a str,
    /// The sweep in brief.
    pub summary: &'a Summary,
    /// The columns of the rows.
    pub columns: &'a [Column],
    /// All rows when there are few, else none.
    pub rows: &'a [Row],
    /// The answer of a sweep over throughput, where it was asked for.
    pub highest: Option<&'a HighestThroughput>,
    /// Machines drawn at each point, where intervals were asked for.
    pub drawn: Option<u32>,
}

impl SweepReport<'_> {
    /// The text.
    pub fn text(&self, units: UnitSystem, ink: Ink) -> String {
        let words = Words::new(units);
        let summary = self.summary;
        let mut out = heading(self.title, ink);
        let (counts, points) =
            (counts_said(&summary.counts), counted(summary.counts.total(), "point", "points"));
        // What the design has said is not said again.
        let said = counts.strip_prefix(&format!("of {points}")).filter(|_| self.design.contains(&points));
        let counts = said.map_or(counts.as_str(), |rest| rest.trim_start_matches([',', ' ']));
        out.push_str(&wrap(&format!("{}: {counts}.", capital(self.design)), TEXT_WIDTH, 0));
        if !summary.deciding.is_empty() {
            let named: Vec<String> = summary
                .deciding
                .iter()
                .take(3)
                .map(|(key, count)| {
                    let label = Measure::from_key(key).map_or_else(|| key.clone(), Measure::label);
                    format!("{label} ({})", counted(*count, "point", "points"))
                })
                .collect();
            out.push_str(&wrap(&format!("What decides most often: {}.", named.join("; ")), TEXT_WIDTH, 0));
        }
        if let Some(highest) = self.highest {
            out.push_str(&highest_text(highest, units));
        }
        if let Some(draws) = self.drawn {
            out.push_str(&wrap(&drawn_said(draws, !self.rows.is_empty()), TEXT_WIDTH, 0));
        }
        for (reason, count) in &summary.reasons {
            out.push_str(&wrap(&format!("Could not be computed ({count}): {reason}."), TEXT_WIDTH, 2));
        }
        let varied: Vec<&AxisSummary> = summary.axes.iter().filter(|axis| axis.places.len() > 1).collect();
        for axis in &varied {
            out.push('\n');
            out.push_str(&heading(&format!("Over {}", axis.label()), ink));
            if axis.has_no_effect() {
                let why = axis.why.map_or_else(String::new, |why| format!(": {why}"));
                let text =
                    format!("{} has no effect here{why}. No number changes by a single bit.", axis.path);
                out.push_str(&wrap(&text, TEXT_WIDTH, 0));
            }
            out.push_str(&turns(axis).map_or_else(String::new, |text| wrap(&text, TEXT_WIDTH, 0)));
            if varied.len() > 1 || self.rows.is_empty() {
                out.push_str(&axis_table(words, summary.measure, axis));
            } else {
                out.push_str(&self.points(words));
            }
        }
        if !self.rows.is_empty() && varied.len() > 1 {
            out.push('\n');
            out.push_str(&heading("Every point", ink));
            out.push_str(&self.points(words));
        }
        out.push_str(&edge_note(&out));
        out
    }

    fn points(&self, words: Words) -> String {
        let axes = self.summary.axes.len();
        let mut head: Vec<String> = self
            .summary
            .axes
            .iter()
            .map(|axis| if axis.is_numeric() { format!(">{}", axis.label()) } else { axis.label() })
            .collect();
        head.extend([
            "Verdict".to_owned(),
            format!(">{}", self.summary.measure.label()),
            "Decided by".to_owned(),
        ]);
        if self.drawn.is_some() {
            head.push(">All met".to_owned());
        }
        let mut table = TextTable::new(&head);
        let at = |name: &str| self.columns.iter().position(|c| c.name == name);
        for row in self.rows {
            let cell = |name: &str| at(name).and_then(|i| row.get(i)).unwrap_or(&Cell::Missing);
            let mut cells: Vec<String> = row.iter().skip(1).take(axes).map(cell_said).collect();
            let computed = cell("reason").as_text().is_none();
            let verdict = if computed { cell_said(cell("verdict")) } else { "not computed".to_owned() };
            let value = cell(&self.summary.measure.column()).as_number();
            let on_edge = cell(&self.summary.measure.edge_column()).as_number().is_some();
            let decided = cell("deciding")
                .as_text()
                .map(|key| Measure::from_key(key).map_or(key.to_owned(), Measure::label));
            let [low, high, _] = interval_columns(self.summary.measure);
            let between = cell(&low).as_number().zip(cell(&high).as_number());
            let between = between.map_or_else(String::new, |(low, high)| {
                let end = |si| said(words, self.summary.measure, Some(si));
                format!(" ({} to {})", end(low), end(high))
            });
            cells.extend([
                verdict,
                said_marked(words, self.summary.measure, value, on_edge) + &between,
                decided.unwrap_or_else(|| NONE.to_owned()),
            ]);
            if self.drawn.is_some() {
                cells.push(percent(cell(ALL_MET).as_number()));
            }
            table.row(&cells);
        }
        table.text()
    }
}

/// Where the intervals come from, and where they stand.
fn drawn_said(draws: u32, shown: bool) -> String {
    let place = if shown {
        "in brackets 95 % of them, last the share that meets every criterion"
    } else {
        "with so many points the intervals stand in the rows alone: -o, or --format csv"
    };
    format!(
        "At each point {draws} machines were drawn, the same ones at all: {place}. Verdicts are of the machine as it stands."
    )
}

fn cell_said(cell: &Cell) -> String {
    match cell {
        Cell::Missing => NONE.to_owned(),
        Cell::Count(count) => count.to_string(),
        Cell::Number(value) => minus_signs(&super::rows::number_text(*value)),
        Cell::Text(text) => minus_signs(text),
    }
}

/// «12 of 20 points pass, 3 are marginal, 5 fail».
pub fn counts_said(counts: &Counts) -> String {
    let total = counts.total();
    let mut parts = Vec::new();
    for (count, one, many) in [
        (counts.pass, "passes", "pass"),
        (counts.marginal, "is marginal", "are marginal"),
        (counts.fail, "fails", "fail"),
        (counts.unjudged, "is not judged", "are not judged"),
        (counts.not_computed, "could not be computed", "could not be computed"),
    ] {
        if count > 0 {
            parts.push(format!("{count} {}", if count == 1 { one } else { many }));
        }
    }
    match parts.as_slice() {
        [] => "no points".to_owned(),
        [only] if total > 1 => format!("of {total} points {}", only.replace(&format!("{total} "), "all ")),
        _ => format!("of {}, {}", counted(total, "point", "points"), parts.join(", ")),
    }
}

/// Where points begin or cease to pass along an axis of numbers.
fn turns(axis: &AxisSummary) -> Option<String> {
    if !axis.is_numeric() {
        return None;
    }
    let good = |place: &Place| {
        let c = &place.counts;
        (c.total() > 0).then_some(c.fail == 0 && c.not_computed == 0 && c.pass + c.marginal > 0)
    };
    let states: Vec<bool> = axis.places.iter().map(good).collect::<Option<_>>()?;
    if states.iter().all(|s| *s) {
        return Some("Every point meets the criteria at every value.".to_owned());
    }
    if states.iter().all(|s| !*s) {
        return Some("At every value at least one point misses a criterion.".to_owned());
    }
    let mut runs: Vec<String> = Vec::new();
    let mut start = None;
    for (i, state) in states.iter().chain([&false]).enumerate() {
        match (state, start) {
            (true, None) => start = Some(i),
            (false, Some(from)) => {
                let (first, last) = (&axis.labels[from], &axis.labels[i - 1]);
                runs.push(if from == i - 1 {
                    format!("at {first}")
                } else {
                    format!("from {first} to {last}")
                });
                start = None;
            }
            _ => {}
        }
    }
    Some(format!("Every point meets the criteria {}; elsewhere at least one does not.", runs.join(", ")))
}

/// The answer of a sweep over throughput: «Highest throughput that still passes: 84.2 veh/h, an edge found to 0.1 veh/h: …».
fn highest_text(highest: &HighestThroughput, units: UnitSystem) -> String {
    highest_said(highest, units).iter().map(|text| wrap(text, TEXT_WIDTH, 0)).collect()
}

/// The answer of a sweep over throughput in sentences: up to where every point passes and, where that is elsewhere, up to where it still meets every
/// criterion.
pub fn highest_said(highest: &HighestThroughput, units: UnitSystem) -> Vec<String> {
    let mut said = vec![edge_said(&capital(LABEL), &highest.passes, "passes", units)];
    if highest.meets != highest.passes {
        let what = "Highest throughput that still meets every criterion";
        said.push(edge_said(what, &highest.meets, "meets them", units));
    }
    said
}

/// From where on one measure fails its limit, as a sweep over throughput between `from` and `to` (1/s) found it for that measure alone: «Gap on the
/// tail fails from 118.3 veh/h on, an edge found to 0.1 veh/h».
pub fn fails_from(
    measure: Measure,
    highest: &HighestThroughput,
    [from_per_s, to_per_s]: [f64; 2],
    units: UnitSystem,
) -> String {
    let rate = |per_s: f64| format(ThroughputDim::INFO, per_s, units);
    let name = capital(&measure.label());
    let Highest { throughput_per_s, beyond, again_per_s } = &highest.meets;
    let Some(beyond) = beyond else {
        return format!(
            "{name} keeps its limit at every throughput looked at, from {} to {}.",
            rate(from_per_s),
            rate(to_per_s)
        );
    };
    let fails = match beyond.point.reason() {
        Some(why) => format!("cannot be computed ({why})"),
        None => "fails".to_owned(),
    };
    let at = rate(beyond.throughput_per_s);
    let edge = if throughput_per_s.is_some() {
        format!(", an edge found to {RESOLUTION_PER_H} veh/h")
    } else {
        ", the lowest looked at".to_owned()
    };
    let mut text = if again_per_s.is_empty() {
        format!("{name} {fails} from {at} on{edge}.")
    } else {
        let again: Vec<String> = again_per_s.iter().map(|per_s| rate(*per_s)).collect();
        format!("{name} {fails} at {at}{edge}; past that it keeps its limit again at {}.", again.join(", "))
    };
    let passes = &highest.passes;
    if let (Some(marginal), Some(kept)) = (&passes.beyond, throughput_per_s)
        && marginal.throughput_per_s < *kept
    {
        text += &format!(" It is marginal from {}.", rate(marginal.throughput_per_s));
    }
    text
}

fn edge_said(what: &str, highest: &Highest, does: &str, units: UnitSystem) -> String {
    let rate = |per_s: f64| format(ThroughputDim::INFO, per_s, units);
    let beyond = highest.beyond.as_ref().map(|beyond| {
        let why = match beyond.point.deciding() {
            Some((measure, reading)) => {
                let verdict = if reading.verdict == Some(Verdict::Fail) { "fails" } else { "is marginal" };
                format!("{} {verdict}", measure.label())
            }
            None => beyond
                .point
                .reason()
                .map_or("nothing is judged".to_owned(), |why| format!("not computed ({why})")),
        };
        format!("at {} {why}", rate(beyond.throughput_per_s))
    });
    let mut text = match (highest.throughput_per_s, beyond) {
        (None, None) => format!("{what}: none."),
        (None, Some(beyond)) => format!("{what}: none of the sweep, {beyond}."),
        (Some(at), Some(beyond)) => {
            format!("{what}: {}, an edge found to {RESOLUTION_PER_H} veh/h: {beyond}.", rate(at))
        }
        (Some(at), None) => {
            format!("{what}: {} or more: no throughput of the sweep misses.", rate(at))
        }
    };
    if !highest.again_per_s.is_empty() {
        let again: Vec<String> = highest.again_per_s.iter().map(|per_s| rate(*per_s)).collect();
        text += &format!(" Past that, it {does} again at {}: not counted.", again.join(", "));
    }
    text
}

fn axis_table(words: Words, measure: Measure, axis: &AxisSummary) -> String {
    // A column of nothing but zeros says nothing.
    type Count = (&'static str, fn(&Counts) -> u64);
    let counts: [Count; 5] = [
        (">Pass", |c| c.pass),
        (">Marginal", |c| c.marginal),
        (">Fail", |c| c.fail),
        (">Not judged", |c| c.unjudged),
        (">Not computed", |c| c.not_computed),
    ];
    let shown: Vec<Count> =
        counts.into_iter().filter(|(_, of)| axis.places.iter().any(|place| of(&place.counts) > 0)).collect();
    let mut head = vec![if axis.is_numeric() { ">Value" } else { "Value" }];
    head.extend(shown.iter().map(|(name, _)| *name));
    head.extend([">Lowest", ">Highest"]);
    let mut table = TextTable::new(&head);
    for (label, place) in axis.labels.iter().zip(&axis.places).filter(|(_, place)| place.counts.total() > 0) {
        let mut cells = vec![label.clone()];
        cells.extend(shown.iter().map(|(_, of)| of(&place.counts).to_string()));
        let ends = [place.low, place.high].into_iter().zip(place.on_edge);
        cells.extend(ends.map(|(value, on_edge)| said_marked(words, measure, value, on_edge)));
        table.row(&cells);
    }
    let what = format!("Points at each value, with the lowest and the highest {}:", measure.label());
    wrap(&what, TEXT_WIDTH, 0) + &table.text()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_counts_read_aloud() {
        let counts = Counts { pass: 3, marginal: 1, fail: 2, ..Counts::default() };
        assert_eq!(counts_said(&counts), "of 6 points, 3 pass, 1 is marginal, 2 fail");
        assert_eq!(counts_said(&Counts { pass: 5, ..Counts::default() }), "of 5 points all pass");
        assert_eq!(counts_said(&Counts { fail: 1, ..Counts::default() }), "of 1 point, 1 fails");
        assert_eq!(counts_said(&Counts::default()), "no points");
    }
}
