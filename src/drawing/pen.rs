//! How lines and areas are drawn: width, dash, ends, fill, hatch.

use super::palette::Paint;

/// How a line is broken up. Lengths follow the line's width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Dash {
    /// Unbroken.
    #[default]
    Solid,
    /// Dashes.
    Dashed,
    /// Dots.
    Dotted,
    /// Dash, dot.
    DashDot,
    /// Long dashes.
    Long,
    /// Dash, dot, dot.
    DashDotDot,
}

impl Dash {
    /// Lengths drawn and left out in turn, in page units, for a line of the given width; empty when unbroken.
    pub fn pattern(self, width: f64) -> Vec<f64> {
        let w = width.max(1.0);
        match self {
            Dash::Solid => vec![],
            Dash::Dashed => vec![5.0 * w, 3.0 * w],
            Dash::Dotted => vec![1.2 * w, 2.0 * w],
            Dash::DashDot => vec![6.0 * w, 2.2 * w, 1.2 * w, 2.2 * w],
            Dash::Long => vec![10.0 * w, 3.5 * w],
            Dash::DashDotDot => vec![7.0 * w, 2.0 * w, 1.2 * w, 2.0 * w, 1.2 * w, 2.0 * w],
        }
    }
}

/// How a line ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Cap {
    /// Cut off square at the end point.
    #[default]
    Butt,
    /// Rounded, half a width past the end point.
    Round,
}

/// How a line is drawn. Joints are always round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Width in page units.
    pub width: f64,
    /// Colour.
    pub paint: Paint,
    /// Breaks.
    pub dash: Dash,
    /// Ends.
    pub cap: Cap,
}

impl Stroke {
    /// An unbroken line with square ends.
    pub fn new(width: f64, paint: impl Into<Paint>) -> Stroke {
        Stroke { width, paint: paint.into(), dash: Dash::Solid, cap: Cap::Butt }
    }

    /// The same line with these breaks.
    pub const fn dashed(mut self, dash: Dash) -> Stroke {
        self.dash = dash;
        self
    }

    /// The same line with round ends.
    pub const fn round(mut self) -> Stroke {
        self.cap = Cap::Round;
        self
    }
}

/// Which lines a hatch is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HatchKind {
    /// Lines rising to the right.
    Rising,
    /// Lines falling to the right.
    Falling,
    /// Both.
    Cross,
    /// Level lines.
    Level,
    /// Upright lines.
    Upright,
    /// Dots on a staggered grid.
    Dots,
}

/// A hatch: lines or dots that keep a meaning readable without colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hatch {
    /// Which lines.
    pub kind: HatchKind,
    /// Distance between neighbouring lines, page units, over 0.
    pub spacing: f64,
    /// Width of a line (diameter of a dot), page units.
    pub width: f64,
    /// Colour of the lines.
    pub paint: Paint,
}

impl Hatch {
    /// A hatch of one-unit lines.
    pub fn new(kind: HatchKind, spacing: f64, paint: impl Into<Paint>) -> Hatch {
        let width = if kind == HatchKind::Dots { 2.0 } else { 1.0 };
        Hatch { kind, spacing, width, paint: paint.into() }
    }
}

/// How an area is filled: a colour, a hatch, or a hatch over a colour.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Fill {
    /// Even colour under everything, if any.
    pub paint: Option<Paint>,
    /// Hatch over it, if any.
    pub hatch: Option<Hatch>,
}

impl Fill {
    /// An even colour.
    pub fn solid(paint: impl Into<Paint>) -> Fill {
        Fill { paint: Some(paint.into()), hatch: None }
    }

    /// A hatch on nothing.
    pub const fn hatch(hatch: Hatch) -> Fill {
        Fill { paint: None, hatch: Some(hatch) }
    }

    /// The same fill with a hatch over it.
    pub const fn with_hatch(mut self, hatch: Hatch) -> Fill {
        self.hatch = Some(hatch);
        self
    }
}
