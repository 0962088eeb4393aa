//! Charts of a sweep: envelope over one axis, heat map over two, small multiples and parallel coordinates for more.

use super::measures::{number, said, unit};
use super::words::Words;
use crate::coverage::measure::Measure;
use crate::coverage::table::Better;
use crate::coverage::{MeasureName, Verdict};
use crate::drawing::chart::{
    Axis, Band, Chart, Draw, HeatAxis, HeatCell, HeatMap, HeatWords, Limit, LineChart, ParallelAxis,
    ParallelChart, ParallelLine, Plot, Series, Sheet, Side,
};
use crate::drawing::grade::Grade;
use crate::drawing::list::{Anchor, Baseline, Dash, DisplayList, Fill, Shape, Stroke, Text, pos};
use crate::drawing::palette::Role;
use crate::drawing::series_style::SeriesStyle;
use crate::study::band::{BAND_SHARES, BandOver};
use crate::study::summary::{AxisSummary, Place, Summary};
use crate::study::table::Cell;
use crate::units::{UnitSystem, counted, minus_signs, rounded};

/// Kinds of charts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SweepChart {
    /// Lowest to highest value of the measure over the first axis of numbers.
    Envelope,
    /// The worst value over two axes, with the boundary between pass, marginal and fail.
    HeatMap,
    /// One line for each point over all axes and the measure.
    Parallel,
}

impl SweepChart {
    /// The chart that suits a sweep: an envelope over one axis, a map over two, parallel coordinates for more.
    pub fn suited(summary: &Summary) -> SweepChart {
        match summary.axes.iter().filter(|axis| axis.places.len() > 1).count() {
            0 | 1 => SweepChart::Envelope,
            2 => SweepChart::HeatMap,
            _ => SweepChart::Parallel,
        }
    }
}

/// What a chart of a sweep is about.
#[derive(Debug, Clone, Copy)]
pub struct SweepPicture<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// The sweep in brief.
    pub summary: &'a Summary,
    /// Limit of the measure, SI, if the scenario has one for every point.
    pub limit: Option<f64>,
    /// Unit system.
    pub units: UnitSystem,
    /// Size of the labels, page units.
    pub text_size: f64,
}

/// What is drawn beside a curve over one axis.
#[derive(Debug, Clone, Copy)]
pub struct CurveBeside<'a> {
    /// How the curve itself is drawn where it is the only one.
    pub style: SeriesStyle,
    /// Between which values most passes lie when things spread.
    pub band: Option<&'a BandOver>,
    /// Where the set-up stands now: the value of the axis in its unit, and that of the measure, SI.
    pub now: Option<[f64; 2]>,
}

impl Default for CurveBeside<'_> {
    fn default() -> Self {
        CurveBeside { style: SeriesStyle::nth(0), band: None, now: None }
    }
}

pub(crate) fn grade(verdict: Verdict) -> Grade {
    match verdict {
        Verdict::Pass => Grade::Pass,
        Verdict::Marginal => Grade::Marginal,
        Verdict::Fail => Grade::Fail,
    }
}

impl SweepPicture<'_> {
    /// The chart; none when the sweep has no axis that can be drawn so.
    pub fn draw(&self, kind: SweepChart, width: f64, height: f64) -> Option<Chart> {
        match kind {
            SweepChart::Envelope => self.curve(&CurveBeside::default(), width, height),
            SweepChart::HeatMap => self.heat_map(width, height),
            SweepChart::Parallel => self.parallel(width, height),
        }
    }

    fn words(&self) -> Words {
        Words::new(self.units)
    }

    fn number(&self, si: f64) -> f64 {
        number(self.words(), self.summary.measure, si)
    }

    fn limit_line(&self) -> Option<Limit> {
        let measure = self.summary.measure;
        let limit = self.limit?;
        Some(Limit {
            value: self.number(limit),
            name: format!("limit {}", said(self.words(), measure, Some(limit))),
            bad: if measure.better() == Better::More { Side::Below } else { Side::Above },
        })
    }

    fn sheet(&self, what: &str, width: f64, height: f64) -> Sheet {
        let title = format!("{}: {what}", self.summary.measure.label());
        let counts = super::sweep_text::counts_said(&self.summary.counts);
        let sheet = Sheet::new(title, width, height).with_text_size(self.text_size);
        sheet.described(format!("{}. {what}; {counts}.", self.title))
    }

    fn measure_axis(&self) -> Axis {
        let measure = self.summary.measure;
        Axis::new(measure.label(), unit(self.words(), measure))
    }

    /// The curve, or the envelope, over the first axis of numbers, with what stands beside it; none when there is no such axis.
    pub fn curve(&self, beside: &CurveBeside<'_>, width: f64, height: f64) -> Option<Chart> {
        let axis = self.summary.axes.iter().find(|axis| axis.places.len() > 1 && axis.is_numeric())?;
        let points: Vec<(f64, &Place)> =
            axis.numbers.iter().zip(&axis.places).filter_map(|(x, place)| Some(((*x)?, place))).collect();
        let others = self.summary.axes.iter().filter(|a| a.places.len() > 1).count() > 1;
        let what = format!("over {}", axis.label());
        let mut chart =
            LineChart::new(self.sheet(&what, width, height), numeric_axis(axis), self.measure_axis());
        let line = |name: &str, nth: usize, value: &dyn Fn(&Place) -> Option<f64>| {
            let points = points
                .iter()
                .map(|(x, place)| [*x, value(place).map_or(f64::NAN, |v| self.number(v))])
                .collect();
            Series::new(name, SeriesStyle::nth(nth), points).drawn(Draw::LineAndPoints)
        };
        if let Some(band) = beside.band {
            let points = band.points.iter().filter_map(|point| {
                let [low, _, high] = point.quantiles?;
                Some([point.at.number?, self.number(low), self.number(high)])
            });
            let [low, _, high] = BAND_SHARES.map(|share| 100.0 * share);
            chart.bands.push(Band {
                name: format!("{:.0} % of passes as things spread", high - low),
                points: points.collect(),
                role: Role::Muted,
            });
        }
        if others {
            let band = points
                .iter()
                .filter_map(|(x, place)| Some([*x, self.number(place.low?), self.number(place.high?)]))
                .collect();
            chart.bands.push(Band { name: "lowest to highest".into(), points: band, role: Role::Series(0) });
            chart.series.push(line("highest", 0, &|place| place.high));
            chart.series.push(line("lowest", 1, &|place| place.low));
        } else {
            let mut own = line(&self.summary.measure.label(), 0, &|place| place.high);
            own.style = beside.style;
            chart.series.push(own);
        }
        // A value on an edge is marked in the picture as it is in the text.
        let on_edges: Vec<[f64; 2]> = points
            .iter()
            .flat_map(|(x, place)| {
                let ends = [place.low, place.high].into_iter().zip(place.on_edge);
                ends.filter_map(|(value, on_edge)| Some([*x, self.number(value.filter(|_| on_edge)?)]))
            })
            .collect();
        if !on_edges.is_empty() {
            let series = Series::new("on an edge", SeriesStyle::nth(5), on_edges);
            chart.series.push(series.drawn(Draw::Points));
        }
        chart.limits.extend(self.limit_line());
        let mut drawn = chart.draw();
        if let (Some([at, si]), Some(plot)) = (beside.now, drawn.plots.first())
            && plot.x.shows(at)
        {
            draw_now(&mut drawn.list, plot, [at, self.number(si)], self.text_size);
        }
        Some(drawn)
    }

    /// The map with a frame, and the word where there is room for it, round the cell that stands as things are set now, by its column and row.
    pub fn heat_map_at(&self, (column, row): (usize, usize), width: f64, height: f64) -> Option<Chart> {
        let mut chart = self.heat_map(width, height)?;
        let plot = chart.plots.first()?;
        let (x, y) = (column as f64, row as f64);
        let corners = [[x, y], [x + 1.0, y], [x + 1.0, y + 1.0], [x, y + 1.0]];
        let corners = corners.map(|[x, y]| plot.at(x, y)).to_vec();
        for (width, role) in [(6.0, Role::Paper), (3.0, Role::Highlight)] {
            let stroke = Stroke::new(width, role);
            chart.list.push(Shape::Polyline { points: corners.clone(), closed: true, stroke });
        }
        let at = plot.at(x, y + 1.0).shifted(4.0, 3.0);
        let tall = (plot.at(x, y).y - at.y).abs();
        // In a low cell the word would lie over the number.
        if tall < 3.4 * self.text_size {
            return Some(chart);
        }
        let name = Text::new(at, self.text_size, Role::Highlight, "now").bold();
        chart.list.push(name.anchored(Anchor::Start, Baseline::Top).with_halo(Role::Paper));
        Some(chart)
    }

    fn heat_map(&self, width: f64, height: f64) -> Option<Chart> {
        let ([first, second], map) = self.summary.map.as_ref()?;
        let measure = self.summary.measure;
        let (x, y) = (&self.summary.axes[*first], &self.summary.axes[*second]);
        let others = self.summary.axes.iter().filter(|a| a.places.len() > 1).count() > 2;
        let worst = if others { "worst over the other axes" } else { "each point" };
        let what = format!("over {} and {}, {worst}; signs: all criteria", x.label(), y.label());
        // The number is of one measure, the sign of every criterion, as in the text: what misses another one is no plain pass.
        let cell = |place: &Place| {
            let value = place.worst_value(measure).map_or(f64::NAN, |si| self.number(si));
            let grade = place.counts.worst().map(grade);
            let on_edge = place.worst_is_on_edge(measure);
            (value.is_finite() || grade.is_some()).then_some(HeatCell { value, grade, on_edge })
        };
        let values =
            map.iter().flatten().filter_map(|place| place.worst_value(measure)).map(|v| self.number(v).abs());
        let largest = values.fold(0.0, f64::max);
        let heat = HeatMap {
            sheet: self.sheet(&what, width, height),
            words: HeatWords {
                grades: ["meets every criterion", "marginal in some", "misses a criterion"]
                    .map(str::to_owned),
                boundary: "where that changes".to_owned(),
                ..HeatWords::default()
            },
            x: HeatAxis { label: x.label(), values: short_labels(x) },
            y: HeatAxis { label: y.label(), values: short_labels(y) },
            cells: map.iter().map(|row| row.iter().map(cell).collect()).collect(),
            value_label: self.measure_axis().label(),
            decimals: heat_decimals(largest),
            range: None,
        };
        Some(heat.draw())
    }

    fn parallel(&self, width: f64, height: f64) -> Option<Chart> {
        let shown: Vec<usize> =
            (0..self.summary.axes.len()).filter(|i| self.summary.axes[*i].places.len() > 1).collect();
        if shown.is_empty() || self.summary.lines.is_empty() {
            return None;
        }
        let mut axes: Vec<ParallelAxis> = shown
            .iter()
            .map(|i| {
                let axis = &self.summary.axes[*i];
                let shown = if axis.is_numeric() {
                    numeric_axis(axis)
                } else {
                    // Words are places along the axis, named in its label.
                    let last = axis.places.len() as f64;
                    Axis::new(
                        format!(
                            "{} (1 {} … {} {})",
                            axis.label(),
                            axis.labels[0],
                            last,
                            axis.labels[axis.labels.len() - 1]
                        ),
                        "",
                    )
                    .over(1.0, last)
                };
                ParallelAxis { axis: shown, limit: None }
            })
            .collect();
        axes.push(ParallelAxis { axis: self.measure_axis(), limit: self.limit_line() });
        let lines = self.summary.lines.iter().map(|line| {
            let mut values: Vec<Option<f64>> = shown
                .iter()
                .map(|i| match line.axes.get(*i)? {
                    Cell::Text(text) => {
                        self.summary.axes[*i].labels.iter().position(|l| l == text).map(|at| at as f64 + 1.0)
                    }
                    cell => cell.as_number(),
                })
                .collect();
            values.push(line.value.map(|v| self.number(v)));
            ParallelLine { name: String::new(), values, grade: line.verdict.map(grade), picked: None }
        });
        let points = counted(self.summary.lines.len() as u64, "point", "points");
        let what = format!("{points} over all axes");
        let chart = ParallelChart { sheet: self.sheet(&what, width, height), axes, lines: lines.collect() };
        Some(chart.draw())
    }
}

/// Marks where the set-up stands now: a line down to the axis, a ring on the value, the word beside it. Nothing else in these charts is a ring.
fn draw_now(list: &mut DisplayList, plot: &Plot, [x, y]: [f64; 2], size: f64) {
    let foot = plot.at(x, plot.y.value(plot.area.bottom()));
    let top = pos(foot.x, plot.area.y);
    list.line(top, foot, Stroke::new(1.5, Role::Highlight).dashed(Dash::Dotted));
    let right = foot.x + 6.0 * size < plot.area.right();
    let (at, anchor) = if right {
        (top.shifted(0.5 * size, 0.4 * size), Anchor::Start)
    } else {
        (top.shifted(-0.5 * size, 0.4 * size), Anchor::End)
    };
    let name = Text::new(at, size, Role::Highlight, "now").bold().anchored(anchor, Baseline::Top);
    list.push(name.with_halo(Role::Paper));
    if plot.y.shows(y) {
        let ring = Some(Stroke::new(3.0, Role::Highlight));
        list.circle(plot.at(x, y), 0.55 * size, Fill::solid(Role::Paper), ring);
    }
}

/// Decimals of the values in a heat map, by the largest of them.
pub(crate) fn heat_decimals(largest: f64) -> usize {
    match largest {
        large if large >= 20.0 => 0,
        middling if middling >= 1.0 => 1,
        _ => 3,
    }
}

fn numeric_axis(axis: &AxisSummary) -> Axis {
    let label = axis.label();
    let name = label.strip_suffix(&format!(", {}", axis.unit)).unwrap_or(&label).to_owned();
    Axis::new(name, axis.unit)
}

/// Labels without the unit that the axis already says; long decimals, as of a step of the trade in SI, as short as they still tell each step.
fn short_labels(axis: &AxisSummary) -> Vec<String> {
    let strip = |label: &String| match label.strip_suffix(axis.unit) {
        Some(short) if !axis.unit.is_empty() && !short.is_empty() => short.trim_end().to_owned(),
        _ => label.clone(),
    };
    let labels: Vec<String> = axis.labels.iter().map(|label| minus_signs(&strip(label))).collect();
    let numbers: Vec<f64> = axis.numbers.iter().copied().flatten().collect();
    let apart = numbers.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(f64::INFINITY, f64::min);
    let is_long = |label: &String| label.contains('.') && label.chars().count() > LONG_LABEL;
    if numbers.len() != labels.len() || !labels.iter().any(is_long) {
        return labels;
    }
    let round = |number: f64, places: usize| {
        let scale = 10f64.powi(places as i32);
        (number * scale).round() / scale
    };
    let tells = |places: &usize| numbers.iter().all(|n| (round(*n, *places) - n).abs() < 0.05 * apart);
    let Some(places) = (0..6).find(tells) else { return labels };
    numbers.iter().map(|n| rounded(*n, places)).collect()
}

/// A label of more letters is shortened.
const LONG_LABEL: usize = 6;

/// Which measure a chart of a scenario is best about: the one that decides, else the gap on the tail.
pub fn telling_measure(result: &crate::study::point::PointResult) -> Measure {
    result.deciding().map_or(MeasureName::TailGap.whole(), |(measure, _)| measure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::axis::Axis as Swept;
    use crate::study::table::Column;
    use crate::units::{Dimension, FractionDim};

    /// A sweep over three throughputs, of which the one in the middle stands on an edge, or none.
    fn summary(on_edge: Option<f64>) -> Summary {
        let measure = Measure::from_key("recovery_margin_left_s").expect("a measure");
        let axes = vec![Swept::quantity("line.throughput", "1,2,3", FractionDim::INFO, None).unwrap()];
        let columns = [
            Column::count("row"),
            axes[0].column().clone(),
            Column::text("verdict"),
            Column::text("deciding"),
            Column::number("recovery_margin_left_s"),
            Column::number(measure.edge_column()),
            Column::text("recovery_margin_left_verdict"),
            Column::text("reason"),
        ];
        let mut summary = Summary::new(&axes, &columns, 3, measure);
        for (n, margin) in [(1, 1.5), (2, 1.2), (3, 1.1)] {
            let edge = if n == 2 { on_edge } else { None };
            let text = |words: &str| Cell::Text(words.into());
            summary.add(&[
                Cell::Count(n - 1),
                Cell::Number(n as f64),
                text("pass"),
                text("recovery_margin_left"),
                Cell::number(Some(margin)),
                Cell::number(edge),
                text("pass"),
                text(""),
            ]);
        }
        summary
    }

    #[test]
    fn verif_an_envelope_marks_what_stands_on_an_edge() {
        let drawn = |on_edge| {
            let summary = summary(on_edge);
            let picture = SweepPicture {
                title: "one",
                summary: &summary,
                limit: None,
                units: UnitSystem::Si,
                text_size: 12.0,
            };
            picture.draw(SweepChart::Envelope, 800.0, 500.0).expect("a chart").list
        };
        let words =
            |list: &crate::drawing::list::DisplayList| format!("{list:?}").matches("on an edge").count();
        assert_eq!(words(&drawn(None)), 0);
        assert!(words(&drawn(Some(0.7))) > 0);
    }

    /// A sixteenth of an inch is 1.5875 mm: its steps are told to a tenth, which tells them apart to a twentieth of a step; what is short stays as it was written, with a minus for a hyphen.
    #[test]
    fn verif_labels_are_as_short_as_they_tell() {
        let labels = |text: &str| {
            let axis =
                Swept::quantity("both.bearings.lower_offset", text, crate::units::LengthDim::INFO, None);
            let summary = Summary::new(&[axis.expect("an axis")], &[], 7, MeasureName::TailGap.whole());
            short_labels(&summary.axes[0])
        };
        let short = ["−4.8", "−3.2", "−1.6", "0.0", "1.6", "3.2", "4.8"];
        assert_eq!(labels("-4.7625 mm..4.7625 mm:1.5875 mm"), short);
        assert_eq!(labels("-1/8 in..1/8 in:1/8 in"), ["−1/8", "0", "1/8"]);
        assert_eq!(labels("1.25 mm, 2.5 mm"), ["1.25", "2.5"]);
        assert_eq!(labels("1.00001 mm, 1.00002 mm"), ["1.00001", "1.00002"]);
    }
}
