//! Parallel coordinates: one upright axis for each setting or result, one line for each set-up across all of them.

use super::axis::{Axis, Plot, Scale, upright_ticks};
use super::legend::{Sample, sample_legend};
use super::line::{Limit, Side};
use super::{Chart, MARGIN, Sheet};
use crate::drawing::grade::Grade;
use crate::drawing::list::{
    Anchor, Baseline, Dash, DisplayList, Fill, Hatch, HatchKind, Pos, Rect, Stroke, Text, Weight, pos,
};
use crate::drawing::palette::{Paint, Role};
use crate::drawing::series_style::SeriesStyle;
use crate::drawing::text_width::{ellipsize, wrap};

/// One upright axis.
#[derive(Debug, Clone, PartialEq)]
pub struct ParallelAxis {
    /// What it shows.
    pub axis: Axis,
    /// Limit on it, if any.
    pub limit: Option<Limit>,
}

/// One set-up.
#[derive(Debug, Clone, PartialEq)]
pub struct ParallelLine {
    /// Name, on hover; in the legend when it is picked out.
    pub name: String,
    /// One value for each axis, in the axis's unit; `None` breaks the line.
    pub values: Vec<Option<f64>>,
    /// How it stands over all; gives colour and dash when the line is not picked out.
    pub grade: Option<Grade>,
    /// Picked out from the many, in this style.
    pub picked: Option<SeriesStyle>,
}

/// A parallel-coordinates chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ParallelChart {
    /// Words and size.
    pub sheet: Sheet,
    /// Axes from the left; at least two.
    pub axes: Vec<ParallelAxis>,
    /// Lines; picked ones are drawn last.
    pub lines: Vec<ParallelLine>,
}

impl ParallelChart {
    /// Draws the chart. Its plots are the axes from the left, each as wide as its column.
    pub fn draw(&self) -> Chart {
        let size = self.sheet.text_size;
        let (mut list, mut top) = self.sheet.open();
        let room = self.sheet.width - 2.0 * MARGIN;
        top = self.draw_legend(&mut list, top, room);
        let columns = self.axes.len().max(1) as f64;
        let column = room / columns;
        let names: Vec<Vec<String>> = self
            .axes
            .iter()
            .map(|a| wrap(&a.axis.label(), size, Weight::Regular, column - 0.8 * size))
            .collect();
        let rows = names.iter().map(Vec::len).max().unwrap_or(0).min(3);
        let head = rows as f64 * 1.3 * size + 0.7 * size;
        let area = Rect::new(
            MARGIN,
            top + head,
            room,
            (self.sheet.height - MARGIN - top - head - 0.5 * size).max(20.0),
        );

        let mut plots = Vec::new();
        for (index, axis) in self.axes.iter().enumerate() {
            let x = area.x + column * (index as f64 + 0.5);
            let values = self.lines.iter().filter_map(|line| line.values.get(index).copied().flatten());
            let limit = axis.limit.iter().map(|limit| limit.value);
            let [low, high] = axis.axis.settled(values.chain(limit), 6);
            let y = Scale { low, high, from: area.bottom(), to: area.y };
            let band = Rect::new(x - column / 2.0, area.y, column, area.height);
            plots.push(Plot {
                area: band,
                x: Scale { low: -0.5, high: 0.5, from: band.x, to: band.right() },
                y,
            });
            for (row, name) in names[index].iter().take(3).enumerate() {
                let name = ellipsize(name, size, Weight::Regular, column - 0.4 * size);
                let at = pos(x, top + 1.3 * size * row as f64);
                list.push(Text::new(at, size, Role::Ink, name).anchored(Anchor::Middle, Baseline::Top));
            }
            if let Some(limit) = axis.limit.as_ref().filter(|limit| y.shows(limit.value)) {
                draw_limit(&mut list, limit, x, &y, size);
            }
        }
        for line in self.lines.iter().filter(|line| line.picked.is_none()) {
            self.draw_line(&mut list, &plots, line);
        }
        for (index, axis) in self.axes.iter().enumerate() {
            let plot = &plots[index];
            let x = plot.area.centre().x;
            list.line(pos(x, area.y), pos(x, area.bottom()), Stroke::new(1.5, Role::Muted));
            for tick in upright_ticks([plot.y.low, plot.y.high], axis.axis.steps, area.height, size) {
                let y = plot.y.at(tick.value);
                list.line(pos(x - 4.0, y), pos(x, y), Stroke::new(1.5, Role::Muted));
                let text = Text::new(pos(x - 7.0, y), size, Role::Muted, tick.label);
                list.push(text.anchored(Anchor::End, Baseline::Middle).with_halo(Role::Paper));
            }
        }
        for line in self.lines.iter().filter(|line| line.picked.is_some()) {
            self.draw_line(&mut list, &plots, line);
        }
        Chart { list, plots }
    }

    fn draw_legend(&self, list: &mut DisplayList, top: f64, room: f64) -> f64 {
        let mut entries: Vec<(String, Sample)> = self
            .lines
            .iter()
            .filter_map(|line| Some((line.name.clone(), Sample::Line(line.picked?, true))))
            .collect();
        for grade in Grade::ALL {
            if self.lines.iter().any(|line| line.picked.is_none() && line.grade == Some(grade)) {
                let style = SeriesStyle { dash: grade_dash(grade), ..grade.role().style() };
                entries.push((grade.word().to_owned(), Sample::Line(style, false)));
            }
        }
        if self.axes.iter().any(|axis| axis.limit.is_some()) {
            let hatch = Hatch::new(HatchKind::Rising, 5.0, Role::Fail.faint(0.7));
            entries.push(("past a limit".to_owned(), Sample::Box(Fill::hatch(hatch), Role::Fail.into())));
        }
        let size = self.sheet.text_size;
        if entries.is_empty() {
            top
        } else {
            sample_legend(list, pos(MARGIN, top), room, size, &entries) + 0.3 * size
        }
    }

    fn draw_line(&self, list: &mut DisplayList, plots: &[Plot], line: &ParallelLine) {
        let points: Vec<Option<Pos>> = plots
            .iter()
            .enumerate()
            .map(|(i, plot)| {
                let value = line.values.get(i).copied().flatten().filter(|v| v.is_finite())?;
                Some(pos(plot.area.centre().x, plot.y.at(value.clamp(plot.y.low, plot.y.high))))
            })
            .collect();
        let stroke = match (line.picked, line.grade) {
            (Some(style), _) => style.stroke(2.5),
            (None, Some(grade)) => Stroke::new(1.2, grade.role().faint(0.45)).dashed(grade_dash(grade)),
            (None, None) => Stroke::new(1.2, Role::Muted.faint(0.45)),
        };
        for run in points.split(Option::is_none) {
            let run: Vec<Pos> = run.iter().flatten().copied().collect();
            if run.len() > 1 {
                let item = list.polyline(run.clone(), stroke);
                item.tip = Some(line.name.clone());
                item.key = Some(line.name.clone());
            }
            let lone = run.len() == 1;
            if let Some(style) =
                line.picked.or(lone.then(|| SeriesStyle { role: Role::Muted, ..Role::Muted.style() }))
            {
                for at in run {
                    list.mark(at, style.marker, 0.75 * self.sheet.text_size, Paint::from(style.role));
                }
            }
        }
    }
}

const fn grade_dash(grade: Grade) -> Dash {
    match grade {
        Grade::Pass => Dash::Solid,
        Grade::Marginal => Dash::Dashed,
        Grade::Fail => Dash::Dotted,
    }
}

fn draw_limit(list: &mut DisplayList, limit: &Limit, x: f64, y: &Scale, size: f64) {
    let at = y.at(limit.value);
    let (from, to) = if limit.bad == Side::Above { (y.to, at) } else { (at, y.from) };
    let hatch = Hatch::new(HatchKind::Rising, 5.0, Role::Fail.faint(0.7));
    let item = list.rect(Rect::new(x, from, 0.8 * size, to - from), Fill::hatch(hatch), None);
    item.tip = Some(limit.name.clone());
    list.line(pos(x - 0.3 * size, at), pos(x + 0.9 * size, at), Stroke::new(2.0, Role::Fail));
}
