//! Signed bars from a common zero, each with its name and its value: a torque budget, or what each setting does.

use super::axis::{Axis, Plot, Scale, level_ticks};
use super::legend::{Sample, sample_legend};
use super::line::label_width;
use super::{Chart, MARGIN, Sheet};
use crate::drawing::list::{
    Anchor, Baseline, DisplayList, Fill, Hatch, HatchKind, Rect, Stroke, Text, Weight, pos,
};
use crate::drawing::palette::Role;
use crate::drawing::series_style::SeriesStyle;
use crate::drawing::text_width::ellipsize;
use crate::drawing::ticks::plain;

/// One of the set-ups compared: one bar in every row.
#[derive(Debug, Clone, PartialEq)]
pub struct BarGroup {
    /// Name in the legend; the legend is left out when there is one group only.
    pub name: String,
    /// Colour; the marker stands at the bar's end when there are several groups.
    pub style: SeriesStyle,
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct BarRow {
    /// Name, left of the bars.
    pub name: String,
    /// One value for each group; `None` where there is none.
    pub values: Vec<Option<f64>>,
    /// A sum or result: set off by a line and in bold.
    pub total: bool,
}

impl BarRow {
    /// A row with one value.
    pub fn one(name: impl Into<String>, value: f64) -> BarRow {
        BarRow { name: name.into(), values: vec![Some(value)], total: false }
    }

    /// The same row as a total.
    pub const fn as_total(mut self) -> BarRow {
        self.total = true;
        self
    }
}

/// A bar picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// Words and size.
    pub sheet: Sheet,
    /// The value's axis.
    pub axis: Axis,
    /// What negative and positive values mean: `["inward", "outward"]`; empty words are left out.
    pub directions: [String; 2],
    /// Set-ups compared; at least one.
    pub groups: Vec<BarGroup>,
    /// Rows from the top.
    pub rows: Vec<BarRow>,
    /// Decimals of the values.
    pub decimals: usize,
}

impl Bars {
    /// Draws the bars. The chart's plot has rows as y (0 at the foot to the count of rows).
    pub fn draw(&self) -> Chart {
        let size = self.sheet.text_size;
        let (mut list, mut top) = self.sheet.open();
        let room = self.sheet.width - 2.0 * MARGIN;
        if self.groups.len() > 1 {
            let entries: Vec<_> = self
                .groups
                .iter()
                .enumerate()
                .map(|(i, g)| (g.name.clone(), Sample::Box(bar_fill(g.style, i, 1.0), g.style.role.into())))
                .collect();
            top = sample_legend(&mut list, pos(MARGIN, top), room, size, &entries) + 0.3 * size;
        }
        let values = || self.rows.iter().flat_map(|row| row.values.iter().flatten().copied());
        let [low, high] = self.ends();

        let longest = self.rows.iter().map(|row| label_width(&row.name, size) * 1.06).fold(0.0, f64::max);
        let left = MARGIN + longest.min(room * 0.4) + 0.8 * size;
        // Room for a value past either end of the bars.
        let figure =
            values().map(|v| label_width(&signed(v, self.decimals), size)).fold(0.0, f64::max) + size;
        let negative = if values().any(|v| v < 0.0) { figure } else { 0.0 };
        let area = Rect::new(left, top, (self.sheet.width - MARGIN - left).max(40.0), 0.0);
        let inner = (area.width - negative - figure).max(20.0);
        let x = Scale { low, high, from: area.x + negative, to: area.x + negative + inner };

        top = self.draw_directions(&mut list, &x, area, top);
        let unit = ellipsize(&self.axis.label(), size, Weight::Regular, room);
        let foot = (if unit.is_empty() { 1.6 } else { 2.9 }) * size;
        let bottom = self.sheet.height - MARGIN - foot;
        let area = Rect { y: top, height: (bottom - top).max(20.0), ..area };
        let plot = Plot {
            area,
            x,
            y: Scale { low: 0.0, high: self.rows.len().max(1) as f64, from: area.bottom(), to: area.y },
        };
        for tick in level_ticks([low, high], self.axis.steps, inner, size) {
            let at = x.at(tick.value);
            list.line(pos(at, area.y), pos(at, area.bottom()), Stroke::new(1.0, Role::Grid));
            let text = Text::new(pos(at, area.bottom() + 0.5 * size), size, Role::Muted, tick.label);
            list.push(text.anchored(Anchor::Middle, Baseline::Top));
        }
        let text =
            Text::new(pos(x.at((low + high) / 2.0), area.bottom() + 1.8 * size), size, Role::Ink, unit);
        list.push(text.anchored(Anchor::Middle, Baseline::Top));
        for (index, row) in self.rows.iter().enumerate() {
            self.draw_row(&mut list, &plot, index, row, left);
        }
        let zero = x.at(0.0);
        list.line(pos(zero, area.y), pos(zero, area.bottom()), Stroke::new(1.5, Role::Ink));
        Chart { list, plots: vec![plot] }
    }

    /// Ends of the axis: the fixed range with zero in it, or just the values and zero.
    fn ends(&self) -> [f64; 2] {
        let values = self.rows.iter().flat_map(|row| row.values.iter().flatten().copied());
        let all = values.filter(|v| v.is_finite()).chain(self.axis.range.into_iter().flatten());
        let (low, high) = all.fold((0.0_f64, 0.0_f64), |(low, high), v| (low.min(v), high.max(v)));
        if high > low { [low, high] } else { [0.0, 1.0] }
    }

    fn draw_directions(&self, list: &mut DisplayList, x: &Scale, area: Rect, top: f64) -> f64 {
        let size = self.sheet.text_size;
        if self.directions.iter().all(String::is_empty) {
            return top;
        }
        let (zero, y) = (x.at(0.0), top + 0.5 * size);
        let gap = 0.5 * size;
        let rooms = [zero - area.x, area.right() - zero];
        for (side, word) in self.directions.iter().enumerate() {
            if word.is_empty() || rooms[side] < 3.0 * size {
                continue;
            }
            let (sign, shown) =
                if side == 0 { (-1.0, format!("← {word}")) } else { (1.0, format!("{word} →")) };
            let shown = ellipsize(&shown, size, Weight::Regular, rooms[side] - gap);
            let anchor = if side == 0 { Anchor::End } else { Anchor::Start };
            let text = Text::new(pos(zero + sign * gap, y), size, Role::Ink, shown);
            list.push(text.anchored(anchor, Baseline::Middle));
        }
        top + 1.5 * size
    }

    fn draw_row(&self, list: &mut DisplayList, plot: &Plot, index: usize, row: &BarRow, left: f64) {
        let size = self.sheet.text_size;
        let count = self.rows.len() as f64;
        let (top, bottom) = (plot.y.at(count - index as f64), plot.y.at(count - index as f64 - 1.0));
        let middle = (top + bottom) / 2.0;
        let weight = if row.total { Weight::Bold } else { Weight::Regular };
        if row.total {
            list.line(pos(MARGIN, top), pos(plot.area.right(), top), Stroke::new(1.0, Role::Muted));
        }
        let name = ellipsize(&row.name, size, weight, left - MARGIN - 0.8 * size);
        let mut text = Text::new(pos(left - 0.8 * size, middle), size, Role::Ink, name);
        text.weight = weight;
        list.push(text.anchored(Anchor::End, Baseline::Middle));
        let lanes = self.groups.len().max(1) as f64;
        let lane = (bottom - top) * 0.76 / lanes;
        let zero = plot.x.at(0.0);
        for (group, value) in row.values.iter().enumerate().take(self.groups.len()) {
            let y = top + (bottom - top) * 0.12 + lane * group as f64;
            let Some(value) = value.filter(|v| v.is_finite()) else { continue };
            let style = self.groups[group].style;
            let end = plot.x.at(value.clamp(plot.x.low, plot.x.high));
            let height = (lane * 0.88).min(2.2 * size);
            let bar = Rect::new(zero.min(end), y + (lane - height) / 2.0, (end - zero).abs(), height);
            let figure = signed(value, self.decimals);
            let item = list.rect(bar, bar_fill(style, group, value), Some(Stroke::new(1.0, style.role)));
            item.key = Some(format!("bar {index} {group}"));
            item.tip = Some(format!("{}: {figure} {}", row.name, self.axis.unit).trim_end().to_owned());
            if lane >= 1.05 * size {
                let (x, anchor) = if value < 0.0 {
                    (end - 0.4 * size, Anchor::End)
                } else {
                    (end + 0.4 * size, Anchor::Start)
                };
                let mut text = Text::new(pos(x, y + lane / 2.0), size, Role::Ink, figure);
                text.weight = weight;
                list.push(text.anchored(anchor, Baseline::Middle).with_halo(Role::Paper));
            }
        }
    }
}

/// A value with its sign always written; zero has none.
fn signed(value: f64, decimals: usize) -> String {
    let text = plain(value, decimals);
    let zero = text.bytes().all(|b| b == b'0' || b == b'.');
    if value > 0.0 && !zero { format!("+{text}") } else { text }
}

/// Positive bars are full, negative bars hatched; several groups also differ in their hatch.
fn bar_fill(style: SeriesStyle, group: usize, value: f64) -> Fill {
    let kinds = [HatchKind::Rising, HatchKind::Level, HatchKind::Falling, HatchKind::Dots];
    if value < 0.0 {
        let kind = kinds[group % kinds.len()];
        return Fill::solid(style.role.faint(0.18))
            .with_hatch(Hatch { width: 1.6, ..Hatch::new(kind, 6.0, style.role) });
    }
    if group == 0 {
        return Fill::solid(style.role.faint(0.85));
    }
    let kind = kinds[group % kinds.len()];
    Fill::solid(style.role.faint(0.7)).with_hatch(Hatch { width: 1.2, ..Hatch::new(kind, 6.0, Role::Paper) })
}
