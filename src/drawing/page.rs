//! Positions and rectangles on the page: page units (CSS pixels), x to the right, y **down**.

use crate::elementary::Elementary;

/// A position on the page, page units, y down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pos {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// Shorthand for a [`Pos`].
pub const fn pos(x: f64, y: f64) -> Pos {
    Pos { x, y }
}

impl Pos {
    /// This position moved by (`dx`, `dy`).
    pub const fn shifted(self, dx: f64, dy: f64) -> Pos {
        pos(self.x + dx, self.y + dy)
    }

    /// Distance to another position.
    pub fn distance(self, other: Pos) -> f64 {
        (self.x - other.x).hypotenuse(self.y - other.y)
    }

    /// The position a share `t` of the way to `other`.
    pub fn towards(self, other: Pos, t: f64) -> Pos {
        pos(self.x + (other.x - self.x) * t, self.y + (other.y - self.y) * t)
    }
}

/// An upright rectangle on the page.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width, not negative.
    pub width: f64,
    /// Height, not negative.
    pub height: f64,
}

impl Rect {
    /// A rectangle from its top left corner and size.
    pub const fn new(x: f64, y: f64, width: f64, height: f64) -> Rect {
        Rect { x, y, width, height }
    }

    /// Right edge.
    pub const fn right(&self) -> f64 {
        self.x + self.width
    }

    /// Bottom edge.
    pub const fn bottom(&self) -> f64 {
        self.y + self.height
    }

    /// Middle of the rectangle.
    pub const fn centre(&self) -> Pos {
        pos(self.x + self.width / 2.0, self.y + self.height / 2.0)
    }

    /// Whether a position lies in it, edges included.
    pub fn contains(&self, at: Pos) -> bool {
        at.x >= self.x && at.x <= self.right() && at.y >= self.y && at.y <= self.bottom()
    }

    /// Whether two rectangles share more than an edge.
    pub fn overlaps(&self, other: &Rect) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.bottom() && other.y < self.bottom()
    }

    /// The rectangle with `margin` taken off every side (added when negative), never inside out.
    pub fn inset(&self, margin: f64) -> Rect {
        let width = (self.width - 2.0 * margin).max(0.0);
        let height = (self.height - 2.0 * margin).max(0.0);
        Rect::new(self.x + margin, self.y + margin, width, height)
    }

    /// Its four corners, clockwise as seen from the top left.
    pub fn corners(&self) -> [Pos; 4] {
        [
            pos(self.x, self.y),
            pos(self.right(), self.y),
            pos(self.right(), self.bottom()),
            pos(self.x, self.bottom()),
        ]
    }

    /// The smallest rectangle that holds both.
    pub fn union(&self, other: &Rect) -> Rect {
        let (x, y) = (self.x.min(other.x), self.y.min(other.y));
        Rect::new(x, y, self.right().max(other.right()) - x, self.bottom().max(other.bottom()) - y)
    }

    /// The smallest rectangle that holds all the points, or `None` for no points.
    pub fn around(points: &[Pos]) -> Option<Rect> {
        let first = points.first()?;
        let start = Rect::new(first.x, first.y, 0.0, 0.0);
        Some(points.iter().fold(start, |rect, p| rect.union(&Rect::new(p.x, p.y, 0.0, 0.0))))
    }
}
