//! Legends: named samples of lines, and the colour scale with its numbers.

use crate::drawing::list::{Anchor, Baseline, DisplayList, Fill, Pos, Rect, Stroke, Text, Weight, pos};
use crate::drawing::palette::{Paint, Role};
use crate::drawing::series_style::SeriesStyle;
use crate::drawing::text_width::{CAP_HEIGHT_EM, ellipsize, text_width};
use crate::drawing::ticks::{Steps, ticks};

/// How wide the sample before a name is, in text sizes.
const SAMPLE_EM: f64 = 2.6;

/// One entry of a legend: what is drawn before the name.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Sample {
    /// A line with a marker on it.
    Line(SeriesStyle, bool),
    /// A filled box.
    Box(Fill, Paint),
}

/// A legend of lines in rows from `at`, no wider than `width`; returns the y below it.
pub fn series_legend(
    list: &mut DisplayList,
    at: Pos,
    width: f64,
    size: f64,
    entries: &[(String, SeriesStyle)],
) -> f64 {
    let samples: Vec<(String, Sample)> =
        entries.iter().map(|(name, style)| (name.clone(), Sample::Line(*style, true))).collect();
    sample_legend(list, at, width, size, &samples)
}

/// A legend of any samples in rows from `at`, no wider than `width`; returns the y below it.
pub(super) fn sample_legend(
    list: &mut DisplayList,
    at: Pos,
    width: f64,
    size: f64,
    entries: &[(String, Sample)],
) -> f64 {
    let (row, sample, gap) = (1.55 * size, SAMPLE_EM * size, 1.3 * size);
    let (mut x, mut y) = (at.x, at.y);
    for (name, look) in entries {
        let name = ellipsize(name, size, Weight::Regular, width - sample - 0.5 * size);
        let needed = sample + 0.5 * size + text_width(&name, size, Weight::Regular);
        if x > at.x && x + needed > at.x + width {
            (x, y) = (at.x, y + row);
        }
        let middle = y + CAP_HEIGHT_EM * size / 2.0;
        match look {
            Sample::Line(style, marker) => {
                list.line(pos(x, middle), pos(x + sample, middle), style.stroke(2.0));
                if *marker {
                    list.mark(pos(x + sample / 2.0, middle), style.marker, 0.62 * size, style.role);
                }
            }
            Sample::Box(fill, rim) => {
                let area = Rect::new(x + 0.6 * size, middle - 0.55 * size, sample - 0.6 * size, 1.1 * size);
                list.rect(area, *fill, Some(Stroke::new(1.0, *rim)));
            }
        }
        let text = Text::new(pos(x + sample + 0.5 * size, y), size, Role::Ink, name);
        list.push(text.anchored(Anchor::Start, Baseline::Top));
        x += needed + gap;
    }
    if entries.is_empty() { at.y } else { y + row }
}

/// The colour scale as a bar with round numbers beside it, from `low` at the foot to `high` at the top.
///
/// `area` is the bar itself; numbers stand right of it, the label above it. Values are in the unit of the label.
pub fn scale_legend(list: &mut DisplayList, area: Rect, size: f64, low: f64, high: f64, label: &str) {
    let pieces = 48;
    let step = area.height / f64::from(pieces);
    for i in 0..pieces {
        let top = area.bottom() - step * f64::from(i + 1);
        // A hair of overlap hides the seams that anti-aliasing would leave.
        let piece = Rect::new(area.x, top, area.width, step + if i == 0 { 0.0 } else { 0.3 });
        list.rect(piece, Fill::solid(Paint::scale((f64::from(i) + 0.5) / f64::from(pieces))), None);
    }
    list.rect(area, Fill::default(), Some(Stroke::new(1.0, Role::Muted)));
    let most = ((area.height / (2.2 * size)).floor() as usize).clamp(2, 7);
    for tick in ticks(low, high, most, Steps::Decimal) {
        let y = area.bottom() - (tick.value - low) / (high - low) * area.height;
        list.line(pos(area.right(), y), pos(area.right() + 4.0, y), Stroke::new(1.0, Role::Muted));
        let text = Text::new(pos(area.right() + 7.0, y), size, Role::Muted, tick.label);
        list.push(text.anchored(Anchor::Start, Baseline::Middle));
    }
    let text = Text::new(pos(area.x, area.y - 0.6 * size), size, Role::Ink, label);
    list.push(text.anchored(Anchor::Start, Baseline::Alphabetic));
}
