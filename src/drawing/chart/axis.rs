//! Axes: from values to page positions, with ticks and labels that keep clear of one another.

use crate::drawing::list::{Anchor, Baseline, DisplayList, Pos, Rect, Stroke, Text, Weight, pos};
use crate::drawing::palette::Role;
use crate::drawing::text_width::{CAP_HEIGHT_EM, ellipsize, text_width};
use crate::drawing::ticks::{Steps, Tick, round_range, ticks};

/// Free height between a level axis and its labels, in text sizes: clear of the lowest label of the upright axis.
const LABEL_DROP_EM: f64 = 0.8;

/// What an axis shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What is measured: «swing angle».
    pub name: String,
    /// Its unit as shown, may be empty: «°», «in», «veh/h».
    pub unit: String,
    /// Lowest and highest value shown; when missing, round numbers that hold the data.
    pub range: Option<[f64; 2]>,
    /// Which steps are round.
    pub steps: Steps,
}

impl Axis {
    /// An axis with decimal steps that finds its own range.
    pub fn new(name: impl Into<String>, unit: impl Into<String>) -> Axis {
        Axis { name: name.into(), unit: unit.into(), range: None, steps: Steps::Decimal }
    }

    /// The same axis with other round steps.
    pub const fn stepped(mut self, steps: Steps) -> Axis {
        self.steps = steps;
        self
    }

    /// The same axis over a fixed range.
    pub const fn over(mut self, low: f64, high: f64) -> Axis {
        self.range = Some([low, high]);
        self
    }

    /// Name and unit as one label: «swing angle, °».
    pub fn label(&self) -> String {
        match (self.name.is_empty(), self.unit.is_empty()) {
            (_, true) => self.name.clone(),
            (true, false) => self.unit.clone(),
            (false, false) => format!("{}, {}", self.name, self.unit),
        }
    }

    /// The range to draw: the fixed one, or round numbers that hold all `values` (not-a-number left out).
    pub(super) fn settled(&self, values: impl Iterator<Item = f64>, most: usize) -> [f64; 2] {
        if let Some([low, high]) = self.range
            && low.is_finite()
            && high.is_finite()
            && high > low
        {
            return [low, high];
        }
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.filter(|v| v.is_finite()) {
            low = low.min(value);
            high = high.max(value);
        }
        round_range(low, high, most, self.steps)
    }
}

/// A linear map from a value to a page coordinate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Value at `from`.
    pub low: f64,
    /// Value at `to`.
    pub high: f64,
    /// Page coordinate of `low`.
    pub from: f64,
    /// Page coordinate of `high`.
    pub to: f64,
}

impl Scale {
    /// Page coordinate of a value.
    pub fn at(&self, value: f64) -> f64 {
        self.from + (value - self.low) / (self.high - self.low) * (self.to - self.from)
    }

    /// Value at a page coordinate.
    pub fn value(&self, at: f64) -> f64 {
        self.low + (at - self.from) / (self.to - self.from) * (self.high - self.low)
    }

    /// Value at a page coordinate, kept between the ends.
    pub fn value_within(&self, at: f64) -> f64 {
        self.value(at).clamp(self.low.min(self.high), self.low.max(self.high))
    }

    /// Whether a value lies between the ends.
    pub fn shows(&self, value: f64) -> bool {
        value >= self.low.min(self.high) && value <= self.low.max(self.high)
    }
}

/// A plot in a chart: its area on the page and its two scales.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plot {
    /// The area that values are drawn in.
    pub area: Rect,
    /// Along the page.
    pub x: Scale,
    /// Up the page.
    pub y: Scale,
}

impl Plot {
    pub(super) fn new(area: Rect, [x_low, x_high]: [f64; 2], [y_low, y_high]: [f64; 2]) -> Plot {
        Plot {
            area,
            x: Scale { low: x_low, high: x_high, from: area.x, to: area.right() },
            y: Scale { low: y_low, high: y_high, from: area.bottom(), to: area.y },
        }
    }

    /// Page position of a pair of values.
    pub fn at(&self, x: f64, y: f64) -> Pos {
        pos(self.x.at(x), self.y.at(y))
    }
}

/// Ticks along a level axis of `length` page units, as many as keep a clear space between their labels.
pub(super) fn level_ticks([low, high]: [f64; 2], steps: Steps, length: f64, size: f64) -> Vec<Tick> {
    let gap = 0.9 * size;
    let most = (length / (4.0 * size)).floor().max(2.0) as usize;
    let mut found = Vec::new();
    for most in (1..=most).rev() {
        found = ticks(low, high, most, steps);
        let spacing = match found.as_slice() {
            [a, b, ..] => (b.value - a.value) / (high - low) * length,
            _ => f64::INFINITY,
        };
        let widest = found.iter().map(|t| text_width(&t.label, size, Weight::Regular)).fold(0.0, f64::max);
        if widest + gap <= spacing {
            break;
        }
    }
    found
}

/// Ticks along an upright axis of `length` page units.
pub(super) fn upright_ticks([low, high]: [f64; 2], steps: Steps, length: f64, size: f64) -> Vec<Tick> {
    ticks(low, high, upright_most(length, size), steps)
}

/// How many labels an upright axis has room for.
pub(super) fn upright_most(length: f64, size: f64) -> usize {
    ((length / (2.1 * size)).floor() as usize + 1).clamp(2, 9)
}

/// The widest of the labels, page units.
pub(super) fn widest(ticks: &[Tick], size: f64) -> f64 {
    ticks.iter().map(|t| text_width(&t.label, size, Weight::Regular)).fold(0.0, f64::max)
}

/// Draws grid, ticks, tick labels and the name of a level axis under the plot. Returns the y below everything drawn.
pub(super) fn draw_level(list: &mut DisplayList, plot: &Plot, axis: &Axis, size: f64, labels: bool) -> f64 {
    let area = plot.area;
    let found = level_ticks([plot.x.low, plot.x.high], axis.steps, area.width, size);
    for tick in &found {
        let x = plot.x.at(tick.value);
        list.line(pos(x, area.y), pos(x, area.bottom()), Stroke::new(1.0, Role::Grid));
    }
    list.line(pos(area.x, area.bottom()), pos(area.right(), area.bottom()), Stroke::new(1.0, Role::Muted));
    if !labels {
        return area.bottom();
    }
    let top = area.bottom() + LABEL_DROP_EM * size;
    for tick in &found {
        let x = plot.x.at(tick.value);
        list.line(pos(x, area.bottom()), pos(x, area.bottom() + 4.0), Stroke::new(1.0, Role::Muted));
        // An end label may not leave the page.
        let half = text_width(&tick.label, size, Weight::Regular) / 2.0;
        let x = x.min(list.width - 2.0 - half).max(2.0 + half);
        let text = Text::new(pos(x, top), size, Role::Muted, tick.label.clone());
        list.push(text.anchored(Anchor::Middle, Baseline::Top));
    }
    let below = top + CAP_HEIGHT_EM * size + 0.7 * size;
    let name = ellipsize(&axis.label(), size, Weight::Regular, area.width);
    if name.is_empty() {
        return below;
    }
    let text = Text::new(pos(area.centre().x, below), size, Role::Ink, name);
    list.push(text.anchored(Anchor::Middle, Baseline::Top));
    below + 1.1 * size
}

/// Height that [`draw_level`] needs under the plot when labels are drawn.
pub(super) fn level_height(axis: &Axis, size: f64) -> f64 {
    let ticks = LABEL_DROP_EM * size + CAP_HEIGHT_EM * size + 0.7 * size;
    if axis.label().is_empty() { ticks } else { ticks + 1.1 * size }
}

/// Draws grid, ticks and tick labels of an upright axis left of the plot. Its name is the caller's business.
pub(super) fn draw_upright(list: &mut DisplayList, plot: &Plot, found: &[Tick], size: f64) {
    let area = plot.area;
    for tick in found {
        let y = plot.y.at(tick.value);
        let paint = if tick.value == 0.0 { Role::Muted.faint(0.7) } else { Role::Grid.into() };
        list.line(pos(area.x, y), pos(area.right(), y), Stroke::new(1.0, paint));
        let text = Text::new(pos(area.x - 0.5 * size, y), size, Role::Muted, tick.label.clone());
        list.push(text.anchored(Anchor::End, Baseline::Middle));
    }
    list.line(pos(area.x, area.y), pos(area.x, area.bottom()), Stroke::new(1.0, Role::Muted));
}
