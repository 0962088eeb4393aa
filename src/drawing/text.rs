//! One line of text in a picture: where it stands, how it is anchored, what room it takes.

use super::page::{Pos, Rect};
use super::palette::Paint;
pub use super::text_width::Weight;
use super::text_width::{CAP_HEIGHT_EM, DESCENT_EM, text_width};
use crate::elementary::Elementary;

/// The smallest text size a picture may use, in page units.
pub const MIN_TEXT_SIZE: f64 = 11.0;

/// Where a text stands along its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// It starts at the position.
    #[default]
    Start,
    /// Its middle is at the position.
    Middle,
    /// It ends at the position.
    End,
}

/// Where a text stands across its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Baseline {
    /// The letters stand on the position.
    #[default]
    Alphabetic,
    /// Half the height of a capital is at the position.
    Middle,
    /// The tops of the capitals are at the position.
    Top,
    /// The lowest letters end at the position.
    Bottom,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where it is anchored.
    pub at: Pos,
    /// The letters; one line.
    pub text: String,
    /// Size in page units: the em.
    pub size: f64,
    /// Anchor along the line.
    pub anchor: Anchor,
    /// Anchor across the line.
    pub baseline: Baseline,
    /// Weight.
    pub weight: Weight,
    /// Turn about the anchor, page angle, radians (positive = clockwise as seen).
    pub rotation_rad: f64,
    /// Colour.
    pub paint: Paint,
    /// Outline in this colour under the letters, so that they stay readable over lines.
    pub halo: Option<Paint>,
}

impl Text {
    /// A plain text that starts at `at` and stands on it.
    pub fn new(at: Pos, size: f64, paint: impl Into<Paint>, text: impl Into<String>) -> Text {
        Text {
            at,
            text: text.into(),
            size,
            anchor: Anchor::Start,
            baseline: Baseline::Alphabetic,
            weight: Weight::Regular,
            rotation_rad: 0.0,
            paint: paint.into(),
            halo: None,
        }
    }

    /// The same text anchored otherwise.
    pub const fn anchored(mut self, anchor: Anchor, baseline: Baseline) -> Text {
        self.anchor = anchor;
        self.baseline = baseline;
        self
    }

    /// The same text in SemiBold.
    pub const fn bold(mut self) -> Text {
        self.weight = Weight::Bold;
        self
    }

    /// The same text turned about its anchor (positive = clockwise as seen).
    pub const fn rotated(mut self, rotation_rad: f64) -> Text {
        self.rotation_rad = rotation_rad;
        self
    }

    /// The same text with an outline under the letters.
    pub fn with_halo(mut self, paint: impl Into<Paint>) -> Text {
        self.halo = Some(paint.into());
        self
    }

    /// Width along its line, page units.
    pub fn width(&self) -> f64 {
        text_width(&self.text, self.size, self.weight)
    }

    /// How far below the anchor the baseline lies before turning, page units.
    pub fn baseline_drop(&self) -> f64 {
        match self.baseline {
            Baseline::Alphabetic => 0.0,
            Baseline::Middle => 0.5 * CAP_HEIGHT_EM * self.size,
            Baseline::Top => CAP_HEIGHT_EM * self.size,
            Baseline::Bottom => -DESCENT_EM * self.size,
        }
    }

    /// How far left of the anchor the text starts before turning, page units.
    pub fn start_offset(&self) -> f64 {
        match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5 * self.width(),
            Anchor::End => self.width(),
        }
    }

    /// Where the first letter's baseline starts on the page, after turning.
    pub fn origin(&self) -> Pos {
        let (sin, cos) = self.rotation_rad.sine_cosine();
        let (dx, dy) = (-self.start_offset(), self.baseline_drop());
        self.at.shifted(dx * cos - dy * sin, dx * sin + dy * cos)
    }

    /// The upright box that holds the letters from capital height to the lowest letter, after turning.
    pub fn bounds(&self) -> Rect {
        let (sin, cos) = self.rotation_rad.sine_cosine();
        let (left, base) = (-self.start_offset(), self.baseline_drop());
        let (top, bottom) = (base - CAP_HEIGHT_EM * self.size, base + DESCENT_EM * self.size);
        let right = left + self.width();
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
            .map(|(dx, dy)| self.at.shifted(dx * cos - dy * sin, dx * sin + dy * cos));
        Rect::around(&corners).unwrap_or_default()
    }
}
