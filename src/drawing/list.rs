//! The display list: what a picture is made of.
//!
//! Page units are CSS pixels; x grows to the right, y grows **down**. Page angles are in radians from +x towards +y,
//! that is clockwise as seen. Items are drawn in order: later ones cover earlier ones.

use super::palette::Paint;
use super::text_width::{CAP_HEIGHT_EM, DESCENT_EM, text_width};

/// The smallest text size a picture may use, in page units.
pub const MIN_TEXT_SIZE: f64 = 11.0;

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
        (self.x - other.x).hypot(self.y - other.y)
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

/// Weight of the letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Weight {
    /// Regular.
    #[default]
    Regular,
    /// SemiBold.
    Bold,
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
        let (sin, cos) = self.rotation_rad.sin_cos();
        let (dx, dy) = (-self.start_offset(), self.baseline_drop());
        self.at.shifted(dx * cos - dy * sin, dx * sin + dy * cos)
    }

    /// The upright box that holds the letters from capital height to the lowest letter, after turning.
    pub fn bounds(&self) -> Rect {
        let (sin, cos) = self.rotation_rad.sin_cos();
        let (left, base) = (-self.start_offset(), self.baseline_drop());
        let (top, bottom) = (base - CAP_HEIGHT_EM * self.size, base + DESCENT_EM * self.size);
        let right = left + self.width();
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
            .map(|(dx, dy)| self.at.shifted(dx * cos - dy * sin, dx * sin + dy * cos));
        Rect::around(&corners).unwrap_or_default()
    }
}

/// Shape of a marker at a point of a line, so that lines can be told apart without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marker {
    /// Disc.
    Disc,
    /// Square.
    Square,
    /// Triangle, point up.
    Up,
    /// Triangle, point down.
    Down,
    /// Diamond.
    Diamond,
    /// Diagonal cross.
    Cross,
    /// Upright cross.
    Plus,
    /// Ring.
    Ring,
}

/// What an item looks like.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A chain of straight lines; two points make a plain line.
    Polyline {
        /// Corners in order; fewer than two draw nothing.
        points: Vec<Pos>,
        /// Whether the last point is joined to the first.
        closed: bool,
        /// Line.
        stroke: Stroke,
    },
    /// Part of a circle.
    Arc {
        /// Centre.
        centre: Pos,
        /// Radius, page units.
        radius: f64,
        /// Page angle of the start, radians.
        start_rad: f64,
        /// Angle swept, radians; positive = clockwise as seen.
        sweep_rad: f64,
        /// Line.
        stroke: Stroke,
    },
    /// A disc or ring.
    Circle {
        /// Centre.
        centre: Pos,
        /// Radius, page units.
        radius: f64,
        /// Inside.
        fill: Fill,
        /// Rim.
        stroke: Option<Stroke>,
    },
    /// A closed area; it may be concave but must not cross itself.
    Polygon {
        /// Corners in order, either way round.
        points: Vec<Pos>,
        /// Inside.
        fill: Fill,
        /// Rim.
        stroke: Option<Stroke>,
    },
    /// One line of text.
    Text(Text),
    /// A straight arrow with its point at `to`.
    Arrow {
        /// Tail.
        from: Pos,
        /// Point.
        to: Pos,
        /// Length of the head, page units; shortened when the arrow itself is shorter.
        head: f64,
        /// Shaft; its paint fills the head.
        stroke: Stroke,
    },
    /// A marker.
    Mark {
        /// Middle.
        at: Pos,
        /// Shape.
        marker: Marker,
        /// Width over all, page units.
        size: f64,
        /// Colour.
        paint: Paint,
    },
    /// Several items as one, optionally cut to a rectangle.
    Group {
        /// Nothing outside this rectangle is drawn.
        clip: Option<Rect>,
        /// Members, drawn in order.
        items: Vec<Item>,
    },
}

/// One thing in a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it looks like.
    pub shape: Shape,
    /// What it stands for, so that a click can be answered; not shown.
    pub key: Option<String>,
    /// Text shown on hover.
    pub tip: Option<String>,
}

impl From<Shape> for Item {
    fn from(shape: Shape) -> Item {
        Item { shape, key: None, tip: None }
    }
}

impl From<Text> for Item {
    fn from(text: Text) -> Item {
        Shape::Text(text).into()
    }
}

impl Item {
    /// The same item with a key.
    pub fn keyed(mut self, key: impl Into<String>) -> Item {
        self.key = Some(key.into());
        self
    }

    /// The same item with a hover text.
    pub fn tipped(mut self, tip: impl Into<String>) -> Item {
        self.tip = Some(tip.into());
        self
    }

    /// Moves the item on the page.
    pub fn shift(&mut self, dx: f64, dy: f64) {
        let moved = |p: &mut Pos| *p = p.shifted(dx, dy);
        match &mut self.shape {
            Shape::Polyline { points, .. } | Shape::Polygon { points, .. } => {
                points.iter_mut().for_each(moved)
            }
            Shape::Arc { centre, .. } | Shape::Circle { centre, .. } => moved(centre),
            Shape::Text(text) => moved(&mut text.at),
            Shape::Arrow { from, to, .. } => [from, to].into_iter().for_each(moved),
            Shape::Mark { at, .. } => moved(at),
            Shape::Group { clip, items } => {
                if let Some(rect) = clip {
                    (rect.x, rect.y) = (rect.x + dx, rect.y + dy);
                }
                items.iter_mut().for_each(|item| item.shift(dx, dy));
            }
        }
    }

    /// Whether `at` is on the item, or within `slack` page units of its lines.
    pub fn touches(&self, at: Pos, slack: f64) -> bool {
        match &self.shape {
            Shape::Polyline { points, closed, stroke } => {
                chain_distance(points, *closed, at) <= slack + stroke.width / 2.0
            }
            Shape::Arc { centre, radius, start_rad, sweep_rad, stroke } => {
                let points = arc_points(*centre, *radius, *start_rad, *sweep_rad);
                chain_distance(&points, false, at) <= slack + stroke.width / 2.0
            }
            Shape::Circle { centre, radius, fill, .. } => {
                let distance = centre.distance(at);
                if *fill == Fill::default() {
                    (distance - radius).abs() <= slack
                } else {
                    distance <= radius + slack
                }
            }
            Shape::Polygon { points, fill, .. } => {
                (*fill != Fill::default() && inside(points, at)) || chain_distance(points, true, at) <= slack
            }
            Shape::Text(text) => text.bounds().inset(-slack).contains(at),
            Shape::Arrow { from, to, stroke, .. } => {
                chain_distance(&[*from, *to], false, at) <= slack + stroke.width / 2.0
            }
            Shape::Mark { at: middle, size, .. } => middle.distance(at) <= slack + size / 2.0,
            Shape::Group { clip, items } => {
                clip.is_none_or(|rect| rect.contains(at)) && items.iter().any(|item| item.touches(at, slack))
            }
        }
    }

    /// Calls `visit` for this item and everything in it, outer items first.
    pub fn walk<'a>(&'a self, visit: &mut dyn FnMut(&'a Item)) {
        visit(self);
        if let Shape::Group { items, .. } = &self.shape {
            items.iter().for_each(|item| item.walk(visit));
        }
    }

    fn find(&self, at: Pos, slack: f64) -> Option<&Item> {
        if let Shape::Group { clip, items } = &self.shape {
            if clip.is_some_and(|rect| !rect.contains(at)) {
                return None;
            }
            if let Some(found) = items.iter().rev().find_map(|item| item.find(at, slack)) {
                return Some(found);
            }
        }
        ((self.key.is_some() || self.tip.is_some()) && self.touches(at, slack)).then_some(self)
    }
}

/// A picture.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DisplayList {
    /// Width of the page, page units.
    pub width: f64,
    /// Height of the page, page units.
    pub height: f64,
    /// What the picture is, in a few words, for those who cannot see it.
    pub title: String,
    /// What it shows, in a sentence or two, for those who cannot see it.
    pub description: String,
    /// The items, drawn in order.
    pub items: Vec<Item>,
}

impl DisplayList {
    /// An empty page.
    pub fn new(width: f64, height: f64) -> DisplayList {
        DisplayList { width, height, ..DisplayList::default() }
    }

    /// The page as a rectangle.
    pub const fn page(&self) -> Rect {
        Rect::new(0.0, 0.0, self.width, self.height)
    }

    /// Adds an item and returns it, so that a key or a hover text can be set.
    pub fn push(&mut self, item: impl Into<Item>) -> &mut Item {
        self.items.push(item.into());
        let last = self.items.len() - 1;
        &mut self.items[last]
    }

    /// Adds a straight line.
    pub fn line(&mut self, from: Pos, to: Pos, stroke: Stroke) -> &mut Item {
        self.push(Shape::Polyline { points: vec![from, to], closed: false, stroke })
    }

    /// Adds a chain of straight lines.
    pub fn polyline(&mut self, points: Vec<Pos>, stroke: Stroke) -> &mut Item {
        self.push(Shape::Polyline { points, closed: false, stroke })
    }

    /// Adds a filled area, with a rim if asked.
    pub fn polygon(&mut self, points: Vec<Pos>, fill: Fill, stroke: Option<Stroke>) -> &mut Item {
        self.push(Shape::Polygon { points, fill, stroke })
    }

    /// Adds a filled rectangle, with a rim if asked.
    pub fn rect(&mut self, rect: Rect, fill: Fill, stroke: Option<Stroke>) -> &mut Item {
        self.polygon(rect.corners().to_vec(), fill, stroke)
    }

    /// Adds a disc or ring.
    pub fn circle(&mut self, centre: Pos, radius: f64, fill: Fill, stroke: Option<Stroke>) -> &mut Item {
        self.push(Shape::Circle { centre, radius, fill, stroke })
    }

    /// Adds an arrow with a head in proportion to its width.
    pub fn arrow(&mut self, from: Pos, to: Pos, stroke: Stroke) -> &mut Item {
        let head = 5.0 + 3.0 * stroke.width;
        self.push(Shape::Arrow { from, to, head, stroke })
    }

    /// Adds a marker.
    pub fn mark(&mut self, at: Pos, marker: Marker, size: f64, paint: impl Into<Paint>) -> &mut Item {
        self.push(Shape::Mark { at, marker, size, paint: paint.into() })
    }

    /// Adds a group cut to a rectangle.
    pub fn clipped(&mut self, clip: Rect, items: Vec<Item>) -> &mut Item {
        self.push(Shape::Group { clip: Some(clip), items })
    }

    /// Adds every item of another list, moved so that its page's top left corner lies at `at`.
    pub fn place(&mut self, other: &DisplayList, at: Pos) {
        self.items.extend(other.items.iter().cloned().map(|mut item| {
            item.shift(at.x, at.y);
            item
        }));
    }

    /// The topmost item with a key or a hover text at `at`, or within `slack` page units of its lines.
    pub fn at(&self, at: Pos, slack: f64) -> Option<&Item> {
        self.items.iter().rev().find_map(|item| item.find(at, slack))
    }

    /// Every text in the picture, those in groups too.
    pub fn texts(&self) -> Vec<&Text> {
        let mut texts = Vec::new();
        for item in &self.items {
            item.walk(&mut |inner| {
                if let Shape::Text(text) = &inner.shape {
                    texts.push(text);
                }
            });
        }
        texts
    }
}

/// Points along an arc, close enough that the chord stays within a tenth of a page unit of the circle.
pub fn arc_points(centre: Pos, radius: f64, start_rad: f64, sweep_rad: f64) -> Vec<Pos> {
    let sag = 0.1_f64;
    let step = if radius > sag { 2.0 * (1.0 - sag / radius).acos() } else { std::f64::consts::FRAC_PI_4 };
    let pieces = (sweep_rad.abs() / step).ceil().clamp(1.0, 720.0) as usize;
    (0..=pieces)
        .map(|i| {
            let angle = start_rad + sweep_rad * i as f64 / pieces as f64;
            centre.shifted(radius * angle.cos(), radius * angle.sin())
        })
        .collect()
}

fn chain_distance(points: &[Pos], closed: bool, at: Pos) -> f64 {
    let closing = if closed && points.len() > 2 { Some([points[points.len() - 1], points[0]]) } else { None };
    points
        .windows(2)
        .map(|pair| [pair[0], pair[1]])
        .chain(closing)
        .map(|[a, b]| segment_distance(a, b, at))
        .fold(f64::INFINITY, f64::min)
}

fn segment_distance(a: Pos, b: Pos, at: Pos) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length_squared = dx * dx + dy * dy;
    let share = if length_squared > 0.0 {
        (((at.x - a.x) * dx + (at.y - a.y) * dy) / length_squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    a.towards(b, share).distance(at)
}

fn inside(points: &[Pos], at: Pos) -> bool {
    let mut odd = false;
    for (i, a) in points.iter().enumerate() {
        let b = points[(i + 1) % points.len()];
        if (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            odd = !odd;
        }
    }
    odd
}
