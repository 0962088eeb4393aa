//! The display list: what a picture is made of.
//!
//! Page units are CSS pixels; x grows to the right, y grows **down**. Page angles are in radians from +x towards +y,
//! that is clockwise as seen. Items are drawn in order: later ones cover earlier ones.

pub use super::page::{Pos, Rect, pos};
use super::palette::Paint;
pub use super::pen::{Cap, Dash, Fill, Hatch, HatchKind, Stroke};
pub use super::text::{Anchor, Baseline, MIN_TEXT_SIZE, Text, Weight};
use crate::elementary::Elementary;

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
    let step =
        if radius > sag { 2.0 * (1.0 - sag / radius).arccosine() } else { std::f64::consts::FRAC_PI_4 };
    let pieces = (sweep_rad.abs() / step).ceil().clamp(1.0, 720.0) as usize;
    (0..=pieces)
        .map(|i| {
            let angle = start_rad + sweep_rad * i as f64 / pieces as f64;
            centre.shifted(radius * angle.cosine(), radius * angle.sine())
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
