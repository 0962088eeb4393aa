//! Features attached to a half outline: bumps that stand out and flush stretches that are only marked.
//!
//! A bump's faces run straight back to the body (across the vehicle on a side, along it on nose and tail) and meet it in a sharp
//! inner corner; its outer corners are rounded.

use super::half::{Part, first_hit, split, stretch};
use super::{PieceTag, Zone};
use crate::elementary::Elementary;
use crate::geometry::{Arc, JOIN_TOLERANCE_M, Line, Piece, Vec2};

/// The face of the half outline a feature sits on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Face {
    Side,
    Nose,
    Tail,
}

/// A feature in the frame of a left half outline. `low_m` and `high_m` bound it along the face: x on the side, y on nose and tail,
/// where it may begin below 0 and then crosses the centreline.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bump {
    pub face: Face,
    pub low_m: f64,
    pub high_m: f64,
    /// y (side) or x (nose, tail) of the outer face.
    pub tip_m: f64,
    pub flush: bool,
    pub radius_m: f64,
    pub feature: usize,
}

/// Why a bump does not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Problem {
    /// There is no body beside one of its ends.
    Misses,
    /// It lies on this other feature.
    Overlaps(usize),
}

/// Further out than any vehicle.
const FAR_M: f64 = 20.0;

impl Face {
    /// Where a ray toward the face at position `at_m` along it first meets the parts.
    fn hit(self, parts: &[Part], at_m: f64) -> Option<(usize, f64)> {
        let (origin, direction) = match self {
            Face::Side => (Vec2::new(at_m, FAR_M), Vec2::new(0.0, -1.0)),
            Face::Nose => (Vec2::new(FAR_M, at_m), Vec2::new(-1.0, 0.0)),
            Face::Tail => (Vec2::new(-FAR_M, at_m), Vec2::new(1.0, 0.0)),
        };
        first_hit(parts, origin, direction)
    }

    /// y (side) or x (nose, tail) of the surface at position `at_m`.
    pub fn surface_m(self, parts: &[Part], at_m: f64) -> Option<f64> {
        let (index, s_m) = self.hit(parts, at_m)?;
        let p = parts[index].piece.point_at(s_m);
        Some(if self == Face::Side { p.y } else { p.x })
    }

    fn point(self, at_m: f64, out_m: f64) -> Vec2 {
        if self == Face::Side { Vec2::new(at_m, out_m) } else { Vec2::new(out_m, at_m) }
    }

    fn zone(self) -> Zone {
        match self {
            Face::Side => Zone::LeftSide,
            Face::Nose => Zone::Nose,
            Face::Tail => Zone::Tail,
        }
    }
}

impl Bump {
    /// Puts the bump into the half outline.
    pub fn attach(&self, parts: &mut Vec<Part>) -> Result<(), Problem> {
        // Walking from nose to tail the side is passed from high x to low x, the nose from low y to high y, the tail back.
        let (first_at, last_at) = match self.face {
            Face::Side | Face::Tail => (self.high_m, self.low_m),
            Face::Nose => (self.low_m, self.high_m),
        };
        let crosses = self.face != Face::Side && self.low_m <= 0.0;
        let begins_inside = crosses && self.face == Face::Nose;
        let ends_inside = crosses && self.face == Face::Tail;
        let count = parts.len();
        let first =
            if begins_inside { (0, 0.0) } else { self.face.hit(parts, first_at).ok_or(Problem::Misses)? };
        let last = if ends_inside {
            (count - 1, parts[count - 1].piece.length_m())
        } else {
            self.face.hit(parts, last_at).ok_or(Problem::Misses)?
        };
        if last <= first {
            return Err(Problem::Misses);
        }
        let behind = run(parts, first, last);
        if let Some(other) = behind.iter().find_map(|part| part.tag.feature) {
            return Err(Problem::Overlaps(other));
        }
        let (before, _) = split(&parts[first.0], first.1);
        let (_, after) = split(&parts[last.0], last.1);
        let tag = PieceTag { zone: self.face.zone(), feature: Some(self.feature) };
        let middle: Vec<Part> = if self.flush {
            let marked =
                |part: Part| Part { tag: PieceTag { feature: Some(self.feature), ..part.tag }, ..part };
            behind.into_iter().map(marked).collect()
        } else {
            let mut corners = Vec::with_capacity(4);
            if begins_inside {
                corners.push(self.face.point(0.0, self.tip_m));
            } else {
                corners.push(parts[first.0].piece.point_at(first.1));
                corners.push(self.face.point(first_at, self.tip_m));
            }
            if ends_inside {
                corners.push(self.face.point(0.0, self.tip_m));
            } else {
                corners.push(self.face.point(last_at, self.tip_m));
                corners.push(parts[last.0].piece.point_at(last.1));
            }
            rounded_path(&corners, self.radius_m).into_iter().map(|piece| Part { piece, tag }).collect()
        };
        parts.splice(first.0..=last.0, before.into_iter().chain(middle).chain(after));
        Ok(())
    }
}

/// The stretch of the body between two places; a part that only ends or begins at one of them is none of it.
fn run(parts: &[Part], first: (usize, f64), last: (usize, f64)) -> Vec<Part> {
    let behind = parts.iter().enumerate().take(last.0 + 1).skip(first.0);
    behind
        .filter_map(|(index, part)| {
            let from = if index == first.0 { first.1 } else { 0.0 };
            let to = if index == last.0 { last.1 } else { part.piece.length_m() };
            stretch(part, from, to)
        })
        .collect()
}

/// An open path through points with every inner corner (all turn left) rounded. What the roundings take off fits: the check of a feature
/// leaves its faces longer than its radius, and its outer face, which may shrink to nothing, twice as long.
fn rounded_path(points: &[Vec2], radius_m: f64) -> Vec<Piece> {
    let mut pieces = Vec::with_capacity(2 * points.len());
    let mut from = points[0];
    let last = points.len() - 1;
    let mut used_m = 0.0;
    for i in 1..=last {
        let (along, corner) = (points[i] - points[i - 1], points[i]);
        let length = along.norm();
        let t = along / length;
        if i == last {
            pieces.push(Piece::Line(Line { a: from, b: corner }));
            break;
        }
        let u = (points[i + 1] - corner).normalize();
        let turn = t.perp(&u).arctangent2(t.dot(&u));
        let cut_m = radius_m * (0.5 * turn).tangent();
        let left_m = length - used_m - cut_m;
        if cut_m == 0.0 {
            pieces.push(Piece::Line(Line { a: from, b: corner }));
            from = corner;
        } else {
            let left = Vec2::new(-t.y, t.x);
            let center = corner - t * cut_m + left * radius_m;
            let arc = Arc { center, radius_m, start_rad: (-left.y).arctangent2(-left.x), sweep_rad: turn };
            let arc = Piece::Arc(arc);
            if left_m > JOIN_TOLERANCE_M {
                pieces.push(Piece::Line(Line { a: from, b: arc.start() }));
            }
            from = arc.end();
            pieces.push(arc);
        }
        used_m = cut_m;
    }
    pieces
}
