//! Charts as display lists.
//!
//! Every chart takes its values in the unit it is to show (the caller converts) and gives back a [`Chart`]: the
//! picture, and the plots in it with their scales, so that a window can answer a click or a drag.
//! A missing value (`None` or not-a-number) stays empty: it breaks the line or leaves the cell open, it is never 0.
//! Labels are measured with the shipped font's widths and dropped or shortened rather than laid over one another.

mod axis;
mod bars;
mod heat;
mod legend;
mod line;
mod multiples;
mod parallel;
mod strips;

pub use axis::{Axis, Plot, Scale};
pub use bars::{BarGroup, BarRow, Bars};
pub use heat::{HeatAxis, HeatCell, HeatMap, HeatWords};
pub use legend::{scale_legend, series_legend};
pub use line::{Band, Draw, Limit, LineChart, Series, Side};
pub use multiples::{shared_range, small_multiples};
pub use parallel::{ParallelAxis, ParallelChart, ParallelLine};
pub use strips::{Event, Strip, Strips};

use super::list::{Anchor, Baseline, DisplayList, Text, pos};
use super::palette::Role;
use super::text_width::{ellipsize, wrap};

/// What every chart has: its words and its size.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Shown above the chart.
    pub title: String,
    /// For those who cannot see the chart: what it shows, in a sentence.
    pub description: String,
    /// Width, page units.
    pub width: f64,
    /// Height, page units.
    pub height: f64,
    /// Size of labels, page units; titles are a sixth larger. At least [`super::list::MIN_TEXT_SIZE`].
    pub text_size: f64,
}

impl Sheet {
    /// A sheet with 12-unit labels.
    pub fn new(title: impl Into<String>, width: f64, height: f64) -> Sheet {
        Sheet { title: title.into(), description: String::new(), width, height, text_size: 12.0 }
    }

    /// The same sheet with larger or smaller labels.
    pub const fn with_text_size(mut self, text_size: f64) -> Sheet {
        self.text_size = text_size;
        self
    }

    /// The same sheet with a description for those who cannot see the chart.
    pub fn described(mut self, description: impl Into<String>) -> Sheet {
        self.description = description.into();
        self
    }

    /// Starts the list with the title (up to two lines); returns it and the y below the title.
    fn open(&self) -> (DisplayList, f64) {
        let mut list = DisplayList::new(self.width, self.height);
        list.title = self.title.clone();
        list.description = self.description.clone();
        let size = self.text_size * 7.0 / 6.0;
        let room = self.width - 2.0 * MARGIN;
        let mut top = MARGIN;
        if !self.title.is_empty() {
            let lines = wrap(&self.title, size, super::list::Weight::Bold, room);
            let kept = lines.len().min(2);
            for (i, line) in lines.iter().take(kept).enumerate() {
                let shown = if i + 1 == kept && lines.len() > kept {
                    ellipsize(&format!("{line} …"), size, super::list::Weight::Bold, room)
                } else {
                    ellipsize(line, size, super::list::Weight::Bold, room)
                };
                let text = Text::new(pos(MARGIN, top), size, Role::Ink, shown).bold();
                list.push(text.anchored(Anchor::Start, Baseline::Top));
                top += size * 1.25;
            }
            top += 0.35 * size;
        }
        (list, top)
    }
}

/// Free edge round a chart, page units.
const MARGIN: f64 = 10.0;

/// A chart: the picture, and where its plots are.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// The picture.
    pub list: DisplayList,
    /// The plots in it, in reading order.
    pub plots: Vec<Plot>,
}
