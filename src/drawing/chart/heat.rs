//! A heat map over two axes: a coloured cell for every pair of settings, the value in it, how it stands against the
//! limit (sign and hatch), and a heavy line where one grade meets another.

use super::axis::Plot;
use super::legend::{Sample, sample_legend, scale_legend};
use super::line::label_width;
use super::{Chart, MARGIN, Sheet};
use crate::drawing::grade::Grade;
use crate::drawing::list::{Anchor, Baseline, Cap, Dash, DisplayList, Fill, Rect, Stroke, Text, Weight, pos};
use crate::drawing::palette::{Paint, Role};
use crate::drawing::text_width::{CAP_HEIGHT_EM, ellipsize, text_width};
use crate::drawing::ticks::{plain, round_range};

/// One axis of a heat map: a row of settings.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatAxis {
    /// Name and unit: «throughput, veh/h».
    pub label: String,
    /// One label for each column (left to right) or row (from the foot up).
    pub values: Vec<String>,
}

/// One cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatCell {
    /// The value, in the unit of the map.
    pub value: f64,
    /// How it stands against the limit, if there is one.
    pub grade: Option<Grade>,
    /// Whether the value stands on an edge, so that a little more or less of anything moves it far.
    pub on_edge: bool,
}

/// What stands behind a value on an edge.
const EDGE: &str = "†";

/// Words in the key of a heat map, in the language of its reader.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeatWords {
    /// Pass, marginal, fail.
    pub grades: [String; 3],
    /// What the heavy line is.
    pub boundary: String,
    /// A cell without a value.
    pub nothing: String,
    /// A value on an edge.
    pub edge: String,
}

impl Default for HeatWords {
    /// English.
    fn default() -> HeatWords {
        HeatWords {
            grades: Grade::ALL.map(|grade| grade.word().to_owned()),
            boundary: "where the grade changes".to_owned(),
            nothing: "no result".to_owned(),
            edge: "on an edge".to_owned(),
        }
    }
}

impl HeatWords {
    fn grade(&self, grade: Grade) -> &str {
        Grade::ALL.iter().position(|g| *g == grade).map_or("", |i| &self.grades[i])
    }
}

/// A heat map.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatMap {
    /// Words and size.
    pub sheet: Sheet,
    /// Words of the key.
    pub words: HeatWords,
    /// Level axis.
    pub x: HeatAxis,
    /// Upright axis.
    pub y: HeatAxis,
    /// `cells[row][column]`, rows from the foot up; `None` where nothing was computed.
    pub cells: Vec<Vec<Option<HeatCell>>>,
    /// What the value is, with its unit: «tail gap, in».
    pub value_label: String,
    /// Decimals of the value in a cell.
    pub decimals: usize,
    /// Ends of the colour scale; round numbers that hold the values when missing.
    pub range: Option<[f64; 2]>,
}

impl HeatMap {
    /// Draws the map. The chart's plot has the cells' columns as x (0 to count) and rows as y (0 to count).
    pub fn draw(&self) -> Chart {
        let size = self.sheet.text_size;
        let (mut list, mut top) = self.sheet.open();
        let room = self.sheet.width - 2.0 * MARGIN;
        let [low, high] = self.range.unwrap_or_else(|| {
            let values = || self.cells.iter().flatten().flatten().map(|c| c.value).filter(|v| v.is_finite());
            let (low, high) =
                (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max));
            round_range(low, high, 7, crate::drawing::ticks::Steps::Decimal)
        });
        let legend = self.legend_entries();
        if !legend.is_empty() {
            top = sample_legend(&mut list, pos(MARGIN, top), room, size, &legend) + 0.3 * size;
        }
        let name = ellipsize(&self.y.label, size, Weight::Regular, room * 0.62);
        list.push(Text::new(pos(MARGIN, top), size, Role::Ink, name).anchored(Anchor::Start, Baseline::Top));
        top += 1.6 * size;

        let scale_labels =
            label_width(&plain(high, 3), size).max(label_width(&plain(low, 3), size)).max(3.0 * size);
        let right = self.sheet.width - MARGIN - (1.4 * size + 8.0 + scale_labels + 1.5 * size);
        let left =
            MARGIN + self.y.values.iter().map(|v| label_width(v, size)).fold(0.0, f64::max) + 0.6 * size;
        let bottom = self.sheet.height - MARGIN - (1.1 + 1.2 + CAP_HEIGHT_EM + 0.6) * size;
        let area = Rect::new(left, top, (right - left).max(20.0), (bottom - top).max(20.0));
        let (columns, rows) = (self.x.values.len(), self.y.values.len());
        let plot = Plot::new(area, [0.0, columns.max(1) as f64], [0.0, rows.max(1) as f64]);

        for row in 0..rows {
            for column in 0..columns {
                self.draw_cell(&mut list, &plot, row, column, [low, high]);
            }
        }
        self.draw_boundaries(&mut list, &plot);
        list.rect(area, Fill::default(), Some(Stroke::new(1.0, Role::Muted)));
        self.draw_labels(&mut list, &plot);

        // The scale's label is measured from the right edge, so that a long one runs to the left over the map's head.
        let bar = Rect::new(right + 1.5 * size, top + 0.8 * size, 1.4 * size, (area.height * 0.9).min(320.0));
        scale_legend(&mut list, bar, size, low, high, "");
        let label = ellipsize(&self.value_label, size, Weight::Regular, room * 0.36);
        let at = pos(self.sheet.width - MARGIN, bar.y - 0.9 * size);
        list.push(Text::new(at, size, Role::Ink, label).anchored(Anchor::End, Baseline::Alphabetic));
        Chart { list, plots: vec![plot] }
    }

    fn cell(&self, row: usize, column: usize) -> Option<HeatCell> {
        *self.cells.get(row)?.get(column)?
    }

    fn legend_entries(&self) -> Vec<(String, Sample)> {
        let seen = |grade: Grade| self.cells.iter().flatten().flatten().any(|c| c.grade == Some(grade));
        let mut entries: Vec<(String, Sample)> = Grade::ALL
            .into_iter()
            .filter(|grade| seen(*grade))
            .map(|grade| {
                let fill = Fill { paint: None, hatch: grade.hatch(Role::Ink.faint(0.7)) };
                (
                    format!("{} {}", grade.sign(), self.words.grade(grade)),
                    Sample::Box(fill, Role::Muted.into()),
                )
            })
            .collect();
        if entries.len() > 1 {
            let line = crate::drawing::series_style::SeriesStyle {
                role: Role::Ink,
                dash: Dash::Solid,
                marker: crate::drawing::list::Marker::Disc,
            };
            entries.push((self.words.boundary.clone(), Sample::Line(line, false)));
        }
        if self.cells.iter().flatten().any(Option::is_none) {
            entries
                .push((self.words.nothing.clone(), Sample::Box(Fill::solid(Role::Panel), Role::Grid.into())));
        }
        if self.cells.iter().flatten().flatten().any(|cell| cell.on_edge) {
            entries.push((
                format!("{EDGE} {}", self.words.edge),
                Sample::Box(Fill::default(), Role::Paper.into()),
            ));
        }
        entries
    }

    fn draw_cell(
        &self,
        list: &mut DisplayList,
        plot: &Plot,
        row: usize,
        column: usize,
        [low, high]: [f64; 2],
    ) {
        let size = self.sheet.text_size;
        let (x, y) = (plot.x.at(column as f64), plot.y.at(row as f64 + 1.0));
        let area = Rect::new(x, y, plot.x.at(column as f64 + 1.0) - x, plot.y.at(row as f64) - y);
        let place =
            format!("{}: {}; {}: {}", self.x.label, self.x.values[column], self.y.label, self.y.values[row]);
        let Some(cell) = self.cell(row, column).filter(|cell| cell.value.is_finite()) else {
            let item = list.rect(area, Fill::solid(Role::Panel), Some(Stroke::new(1.0, Role::Grid)));
            let grade = self.cell(row, column).and_then(|cell| cell.grade);
            let said = grade.map_or(self.words.nothing.as_str(), |grade| self.words.grade(grade));
            item.tip = Some(format!("{place}; {said}"));
            if let Some(grade) = grade {
                let sign = Text::new(area.centre(), size, Role::Ink, grade.sign());
                list.push(sign.anchored(Anchor::Middle, Baseline::Middle));
            }
            return;
        };
        let share = (cell.value - low) / (high - low);
        let on = Paint::on_scale(share);
        let hatch = cell.grade.and_then(|grade| grade.hatch(Paint { opacity: 0.4, ..on }));
        let fill = Fill { paint: Some(Paint::scale(share)), hatch };
        let mut value = plain(cell.value, self.decimals);
        let mut grade = cell.grade.map_or(String::new(), |grade| format!(", {}", self.words.grade(grade)));
        if cell.on_edge {
            value.push_str(EDGE);
            grade = format!(", {}{grade}", self.words.edge);
        }
        let item = list.rect(area, fill, None);
        item.tip = Some(format!("{place}; {}: {value}{grade}", self.value_label));
        item.key = Some(format!("cell {column} {row}"));
        let sign = cell.grade.map_or("", Grade::sign);
        let full = if sign.is_empty() { value.clone() } else { format!("{value} {sign}") };
        let fits = |text: &str| {
            text_width(text, size, Weight::Regular) + 0.6 * size <= area.width && 1.5 * size <= area.height
        };
        let Some(shown) = [full.as_str(), sign].into_iter().find(|text| !text.is_empty() && fits(text))
        else {
            return;
        };
        let text = Text::new(area.centre(), size, on, shown).anchored(Anchor::Middle, Baseline::Middle);
        if hatch.is_some() {
            // A clear patch, so that the hatch does not run through the figures.
            list.rect(text.bounds().inset(-0.22 * size), Fill::solid(Paint::scale(share)), None);
        }
        list.push(text);
    }

    fn draw_boundaries(&self, list: &mut DisplayList, plot: &Plot) {
        let (columns, rows) = (self.x.values.len(), self.y.values.len());
        let grade = |row: usize, column: usize| self.cell(row, column).and_then(|cell| cell.grade);
        let mut edge = |from: [f64; 2], to: [f64; 2]| {
            for (width, role) in [(5.0, Role::Paper), (2.5, Role::Ink)] {
                let mut stroke = Stroke::new(width, role);
                stroke.cap = Cap::Round;
                list.line(plot.at(from[0], from[1]), plot.at(to[0], to[1]), stroke);
            }
        };
        for row in 0..rows {
            for column in 0..columns {
                let here = grade(row, column);
                let (x, y) = (column as f64 + 1.0, row as f64 + 1.0);
                let differs = |there: Option<Grade>| here.is_some() && there.is_some() && here != there;
                if column + 1 < columns && differs(grade(row, column + 1)) {
                    edge([x, y - 1.0], [x, y]);
                }
                if row + 1 < rows && differs(grade(row + 1, column)) {
                    edge([x - 1.0, y], [x, y]);
                }
            }
        }
    }

    fn draw_labels(&self, list: &mut DisplayList, plot: &Plot) {
        let (size, area) = (self.sheet.text_size, plot.area);
        let (columns, rows) = (self.x.values.len(), self.y.values.len());
        let widest = self.x.values.iter().map(|v| label_width(v, size)).fold(0.0, f64::max);
        let every = stride(widest + 0.7 * size, area.width / columns.max(1) as f64);
        for (column, value) in self.x.values.iter().enumerate().step_by(every) {
            let at = pos(plot.x.at(column as f64 + 0.5), area.bottom() + 0.6 * size);
            list.push(
                Text::new(at, size, Role::Muted, value.clone()).anchored(Anchor::Middle, Baseline::Top),
            );
        }
        let every = stride(1.3 * size, area.height / rows.max(1) as f64);
        for (row, value) in self.y.values.iter().enumerate().step_by(every) {
            let at = pos(area.x - 0.5 * size, plot.y.at(row as f64 + 0.5));
            list.push(
                Text::new(at, size, Role::Muted, value.clone()).anchored(Anchor::End, Baseline::Middle),
            );
        }
        let name = ellipsize(&self.x.label, size, Weight::Regular, area.width);
        let at = pos(area.centre().x, area.bottom() + (0.6 + CAP_HEIGHT_EM + 0.6) * size);
        list.push(Text::new(at, size, Role::Ink, name).anchored(Anchor::Middle, Baseline::Top));
    }
}

/// Every how many-th label leaves each of them `needed` page units when cells are `spacing` wide.
fn stride(needed: f64, spacing: f64) -> usize {
    (needed / spacing.max(1e-9)).ceil().clamp(1.0, 1e6) as usize
}
