//! A line chart: several lines over one axis, with bands, limits and events.

use super::axis::{Axis, Plot, draw_level, draw_upright, level_height, upright_most, upright_ticks, widest};
use super::legend::{Sample, sample_legend};
use super::{Chart, MARGIN, Sheet};
use crate::drawing::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Item, Pos, Rect, Shape, Stroke, Text,
    Weight, pos,
};
use crate::drawing::palette::Role;
use crate::drawing::series_style::SeriesStyle;
use crate::drawing::text_width::{ellipsize, text_width};

/// How a series is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Draw {
    /// A line, with a few markers along it so that it can be told without colour.
    #[default]
    Line,
    /// A line with a marker at every point.
    LineAndPoints,
    /// Markers only.
    Points,
    /// A staircase: each value holds until the next.
    Steps,
}

/// One line.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Name in the legend.
    pub name: String,
    /// Pairs of values in the axes' units; a not-a-number breaks the line.
    pub points: Vec<[f64; 2]>,
    /// Colour, dash and marker.
    pub style: SeriesStyle,
    /// How it is drawn.
    pub draw: Draw,
}

impl Series {
    /// A line.
    pub fn new(name: impl Into<String>, style: SeriesStyle, points: Vec<[f64; 2]>) -> Series {
        Series { name: name.into(), points, style, draw: Draw::Line }
    }

    /// The same series drawn otherwise.
    pub const fn drawn(mut self, draw: Draw) -> Series {
        self.draw = draw;
        self
    }
}

/// A shaded stretch between two lines: an envelope.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Name in the legend.
    pub name: String,
    /// x, lower y, upper y.
    pub points: Vec<[f64; 3]>,
    /// Colour.
    pub role: Role,
}

/// Which side of a limit is bad.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Values over the limit are bad.
    Above,
    /// Values under the limit are bad.
    Below,
}

/// A limit across the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Value on the upright axis.
    pub value: f64,
    /// What the limit is; written on the line.
    pub name: String,
    /// Which side is bad; that side is hatched.
    pub bad: Side,
}

/// A line chart.
#[derive(Debug, Clone, PartialEq)]
pub struct LineChart {
    /// Words and size.
    pub sheet: Sheet,
    /// Level axis.
    pub x: Axis,
    /// Upright axis.
    pub y: Axis,
    /// Lines.
    pub series: Vec<Series>,
    /// Envelopes, drawn under the lines.
    pub bands: Vec<Band>,
    /// Limits.
    pub limits: Vec<Limit>,
}

impl LineChart {
    /// An empty chart.
    pub const fn new(sheet: Sheet, x: Axis, y: Axis) -> LineChart {
        LineChart { sheet, x, y, series: Vec::new(), bands: Vec::new(), limits: Vec::new() }
    }

    /// Draws the chart.
    pub fn draw(&self) -> Chart {
        let size = self.sheet.text_size;
        let (mut list, mut top) = self.sheet.open();
        let room = self.sheet.width - 2.0 * MARGIN;
        let mut entries: Vec<(String, Sample)> = Vec::new();
        if self.series.len() + self.bands.len() > 1 || !self.bands.is_empty() {
            entries.extend(self.series.iter().map(|s| (s.name.clone(), Sample::Line(s.style, true))));
            entries.extend(
                self.bands.iter().map(|b| (b.name.clone(), Sample::Box(band_fill(b), b.role.into()))),
            );
        }
        if !entries.is_empty() {
            top = sample_legend(&mut list, pos(MARGIN, top), room, size, &entries) + 0.3 * size;
        }
        let name = ellipsize(&self.y.label(), size, Weight::Regular, room);
        if !name.is_empty() {
            let text = Text::new(pos(MARGIN, top), size, Role::Ink, name);
            list.push(text.anchored(Anchor::Start, Baseline::Top));
            top += 1.5 * size;
        }
        let bottom = self.sheet.height - MARGIN - level_height(&self.x, size);
        let height = (bottom - top).max(20.0);
        let y_range = self.y.settled(self.y_values(), upright_most(height, size));
        let found = upright_ticks(y_range, self.y.steps, height, size);
        let left = MARGIN + widest(&found, size) + 0.6 * size;
        let area = Rect::new(left, top, (self.sheet.width - MARGIN - left).max(20.0), height);
        let most = (area.width / (5.0 * size)).max(2.0) as usize;
        let plot = Plot::new(area, self.x.settled(self.x_values(), most), y_range);
        draw_level(&mut list, &plot, &self.x, size, true);
        draw_upright(&mut list, &plot, &found, size);
        draw_content(&mut list, &plot, &self.bands, &self.limits, &self.series, size);
        Chart { list, plots: vec![plot] }
    }

    pub(super) fn x_values(&self) -> impl Iterator<Item = f64> {
        let lines = self.series.iter().flat_map(|s| s.points.iter().map(|p| p[0]));
        lines.chain(self.bands.iter().flat_map(|b| b.points.iter().map(|p| p[0])))
    }

    pub(super) fn y_values(&self) -> impl Iterator<Item = f64> {
        let lines = self.series.iter().flat_map(|s| s.points.iter().map(|p| p[1]));
        let bands = self.bands.iter().flat_map(|b| b.points.iter().flat_map(|p| [p[1], p[2]]));
        lines.chain(bands).chain(self.limits.iter().map(|l| l.value))
    }
}

fn band_fill(band: &Band) -> Fill {
    let hatch = Hatch::new(HatchKind::Upright, 5.0, band.role.faint(0.45));
    Fill::solid(band.role.faint(0.16)).with_hatch(hatch)
}

/// Draws bands, limits and lines into a plot, cut to it.
pub(super) fn draw_content(
    list: &mut DisplayList,
    plot: &Plot,
    bands: &[Band],
    limits: &[Limit],
    series: &[Series],
    size: f64,
) {
    let mut inner = DisplayList::new(list.width, list.height);
    for band in bands {
        draw_band(&mut inner, plot, band);
    }
    for limit in limits.iter().filter(|limit| plot.y.shows(limit.value)) {
        let y = plot.y.at(limit.value);
        let (from, to) = if limit.bad == Side::Above { (plot.area.y, y) } else { (y, plot.area.bottom()) };
        let hatch = Hatch::new(HatchKind::Rising, 9.0, Role::Fail.faint(0.22));
        inner.rect(Rect::new(plot.area.x, from, plot.area.width, to - from), Fill::hatch(hatch), None);
        let line = Stroke::new(1.5, Role::Fail).dashed(Dash::Long);
        inner.line(pos(plot.area.x, y), pos(plot.area.right(), y), line);
    }
    for (index, line) in series.iter().enumerate() {
        draw_series(&mut inner, plot, line, index, series.len(), size);
    }
    let reach = plot.area.inset(-1.5);
    list.clipped(reach, inner.items);
    // Names of limits last, so that no line runs over them.
    let mut taken: Vec<Rect> = Vec::new();
    for limit in limits.iter().filter(|limit| plot.y.shows(limit.value)) {
        let y = plot.y.at(limit.value);
        let name = ellipsize(&limit.name, size, Weight::Regular, plot.area.width - size);
        let right = plot.area.right() - 0.4 * size;
        // On the good side of the line where there is room, else on the other.
        let good_is_up = limit.bad == Side::Below;
        let room_up = y - plot.area.y > 1.5 * size;
        let up = if good_is_up { room_up } else { plot.area.bottom() - y < 1.5 * size && room_up };
        let (at, baseline) = if up {
            (pos(right, y - 0.35 * size), Baseline::Alphabetic)
        } else {
            (pos(right, y + 0.35 * size), Baseline::Top)
        };
        let text =
            Text::new(at, size, Role::Fail, name).anchored(Anchor::End, baseline).with_halo(Role::Paper);
        let bounds = text.bounds();
        if !taken.iter().any(|other| other.overlaps(&bounds)) {
            taken.push(bounds);
            list.push(text);
        }
    }
}

fn draw_band(list: &mut DisplayList, plot: &Plot, band: &Band) {
    for run in band.points.split(|p| p.iter().any(|v| !v.is_finite())).filter(|run| run.len() > 1) {
        let mut outline: Vec<Pos> = run.iter().map(|p| plot.at(p[0], p[2])).collect();
        outline.extend(run.iter().rev().map(|p| plot.at(p[0], p[1])));
        list.polygon(outline, band_fill(band), None).tip = Some(band.name.clone());
        for edge in [1, 2] {
            let points = run.iter().map(|p| plot.at(p[0], p[edge])).collect();
            list.polyline(points, Stroke::new(1.0, band.role.faint(0.6)));
        }
    }
}

fn draw_series(list: &mut DisplayList, plot: &Plot, series: &Series, index: usize, of: usize, size: f64) {
    let marker = 0.62 * size;
    let mut items: Vec<Item> = Vec::new();
    let mut mark = |at: Pos| {
        let Stroke { paint, .. } = series.style.stroke(1.0);
        items.push(Shape::Mark { at, marker: series.style.marker, size: marker, paint }.into());
    };
    let runs =
        || series.points.split(|p| !(p[0].is_finite() && p[1].is_finite())).filter(|run| !run.is_empty());
    let page = |run: &[[f64; 2]]| run.iter().map(|p| plot.at(p[0], p[1])).collect::<Vec<Pos>>();
    match series.draw {
        Draw::Points | Draw::LineAndPoints => {
            runs().for_each(|run| page(run).into_iter().for_each(&mut mark));
        }
        Draw::Line | Draw::Steps => {
            // Markers a fixed way apart, each series set off from the others so that they do not hide one another.
            let spacing = plot.area.width / 5.0;
            let offset = spacing * (index as f64 + 0.5) / of.max(1) as f64;
            for run in runs() {
                let points = page(run);
                if let [only] = points.as_slice() {
                    mark(*only);
                }
                let mut next = plot.area.x + offset;
                for pair in points.windows(2).filter(|pair| pair[1].x > pair[0].x) {
                    while next < pair[0].x {
                        next += spacing;
                    }
                    while next <= pair[1].x {
                        let share = (next - pair[0].x) / (pair[1].x - pair[0].x);
                        let held = if series.draw == Draw::Steps {
                            pos(next, pair[0].y)
                        } else {
                            pair[0].towards(pair[1], share)
                        };
                        mark(held);
                        next += spacing;
                    }
                }
            }
        }
    }
    if series.draw != Draw::Points {
        for run in runs().filter(|run| run.len() > 1) {
            let mut points = thinned(&page(run));
            if series.draw == Draw::Steps {
                let corners = points.windows(2).flat_map(|pair| [pair[0], pos(pair[1].x, pair[0].y)]);
                points = corners.chain(points.last().copied()).collect();
            }
            list.polyline(points, series.style.stroke(2.0)).tip = Some(series.name.clone());
        }
    }
    list.items.extend(items);
}

/// The points that matter on the page: in each half-unit column the first, the lowest, the highest and the last, and of those only the ones
/// that a straight line would miss by more than [`FLAT`]. What is drawn looks the same, and a long record does not bloat the picture.
/// Short or backward runs are kept whole.
pub(super) fn thinned(points: &[Pos]) -> Vec<Pos> {
    if points.len() < 64 || points.windows(2).any(|pair| pair[1].x < pair[0].x) {
        return points.to_vec();
    }
    let column = |p: &Pos| (p.x * 2.0).floor() as i64;
    let mut kept = Vec::new();
    for group in points.chunk_by(|a, b| column(a) == column(b)) {
        let low = (0..group.len()).min_by(|a, b| group[*a].y.total_cmp(&group[*b].y)).unwrap_or(0);
        let high = (0..group.len()).max_by(|a, b| group[*a].y.total_cmp(&group[*b].y)).unwrap_or(0);
        let mut chosen = [0, low, high, group.len() - 1];
        chosen.sort_unstable();
        let mut last = usize::MAX;
        for index in chosen {
            if index != last {
                kept.push(group[index]);
                last = index;
            }
        }
    }
    straightened(&kept)
}

/// How far the line that is drawn may lie above or below a point that was left out, page units.
const FLAT: f64 = 0.12;

/// Leaves out points near the line between their neighbours. From each kept point the slopes are followed that pass every later point within
/// [`FLAT`]; the last point whose own slope is among them is kept next.
fn straightened(points: &[Pos]) -> Vec<Pos> {
    let mut kept = Vec::new();
    let Some(first) = points.first() else { return kept };
    kept.push(*first);
    let (mut from, mut low, mut high) = (*first, f64::NEG_INFINITY, f64::INFINITY);
    for pair in points.windows(2) {
        let [before, at] = [pair[0], pair[1]];
        let slopes = |from: Pos| {
            let run = at.x - from.x;
            let rise = at.y - from.y;
            // Straight up or down: no slope; both ends are kept.
            (run > 0.0).then(|| [rise / run, (rise - FLAT) / run, (rise + FLAT) / run])
        };
        match slopes(from) {
            Some([own, below, above]) if own >= low && own <= high => {
                (low, high) = (low.max(below), high.min(above));
            }
            _ => {
                if before != from {
                    kept.push(before);
                }
                from = before;
                (low, high) = match slopes(from) {
                    Some([_, below, above]) => (below, above),
                    None => (f64::INFINITY, f64::NEG_INFINITY),
                };
            }
        }
    }
    if let Some(last) = points.last()
        && points.len() > 1
    {
        kept.push(*last);
    }
    kept
}

/// Width of a text at label size.
pub(super) fn label_width(text: &str, size: f64) -> f64 {
    text_width(text, size, Weight::Regular)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elementary::Elementary;

    #[test]
    fn verif_thinning_keeps_the_extremes() {
        let points: Vec<Pos> =
            (0..20_000).map(|i| pos(f64::from(i) * 0.02, (f64::from(i) * 0.037).sine() * 50.0)).collect();
        let kept = thinned(&points);
        assert!(kept.len() < 4 * 801 && kept.len() > 800, "{}", kept.len());
        let peak = |list: &[Pos]| list.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        assert_eq!(peak(&kept), peak(&points));
        assert_eq!((kept.first(), kept.last()), (points.first(), points.last()));
        assert!(kept.windows(2).all(|pair| pair[1].x >= pair[0].x));
    }

    #[test]
    fn verif_straight_stretches_need_no_points_and_no_point_is_missed() {
        // Level, a jump straight up, a slope, an arc of a sine.
        let shape = |x: f64| match x {
            x if x < 100.0 => 20.0,
            x if x < 200.0 => 60.0 + 0.3 * (x - 100.0),
            x => 90.0 + 25.0 * ((x - 200.0) / 30.0).sine(),
        };
        let mut points: Vec<Pos> = (0..=400).map(|i| pos(f64::from(i), shape(f64::from(i)))).collect();
        points.insert(100, pos(100.0, 20.0));
        let kept = thinned(&points);
        assert!(kept.len() > 20 && kept.len() < 70, "{}", kept.len());
        assert!(kept.iter().all(|p| points.contains(p)));
        for point in &points {
            let near =
                kept.windows(2).filter(|pair| pair[0].x <= point.x && point.x <= pair[1].x).any(|pair| {
                    let run = pair[1].x - pair[0].x;
                    let between = if run > 0.0 {
                        let at = pair[0].y + (pair[1].y - pair[0].y) * (point.x - pair[0].x) / run;
                        [at, at]
                    } else {
                        [pair[0].y.min(pair[1].y), pair[0].y.max(pair[1].y)]
                    };
                    point.y >= between[0] - FLAT - 1e-9 && point.y <= between[1] + FLAT + 1e-9
                });
            assert!(near, "{point:?} is missed");
        }
    }
}
