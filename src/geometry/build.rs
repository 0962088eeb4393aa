//! Outlines from corners: rounded polygons, and a fillet between any two pieces.

use super::check::in_range;
use super::piece::{cross, unit};
use super::{Arc, Chain, GeometryError, JOIN_TOLERANCE_M, Line, Piece, Vec2};
use crate::elementary::Elementary;
use std::f64::consts::TAU;

/// Two pieces and the arc that rounds the corner between them; each is tangent to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fillet {
    /// What is left of the first piece; none if the arc uses it up.
    pub first: Option<Piece>,
    /// The rounding.
    pub arc: Arc,
    /// What is left of the second piece; none if the arc uses it up.
    pub second: Option<Piece>,
}

/// Rounds the corner between the end of `first` and the start of `second` with an arc of `radius_m`, tangent to both. A left turn
/// gives a convex arc, a right turn a concave one.
///
/// The arc's centre lies at distance r from both pieces, on the inside of the turn: on the line moved by r, or on the circle with
/// its radius changed by r.
pub fn fillet(first: &Piece, second: &Piece, radius_m: f64) -> Result<Fillet, GeometryError> {
    let corner = second.start();
    let length = first.length_m();
    if !corner.x.is_finite() || !corner.y.is_finite() || !length.is_finite() || !second.length_m().is_finite()
    {
        return Err(GeometryError::NotFinite { piece: 0 });
    }
    if radius_m.is_nan() || radius_m <= 0.0 {
        return Err(GeometryError::BadRadius { piece: 0, radius_m });
    }
    let (before, after) = (first.tangent_at(length), second.tangent_at(0.0));
    let turn = cross(before, after).arctangent2(before.dot(&after));
    let joined = (first.end() - corner).norm() <= JOIN_TOLERANCE_M;
    if !joined || turn.is_nan() || turn.abs() < 1.0e-9 || turn.abs() > std::f64::consts::PI - 1.0e-9 {
        return Err(GeometryError::NoCorner);
    }
    let side = turn.signum();
    let too_large = GeometryError::RadiusTooLarge { corner: 0, radius_m };
    let (Some(moved_first), Some(moved_second)) =
        (Offset::of(first, side * radius_m), Offset::of(second, side * radius_m))
    else {
        return Err(too_large);
    };
    let mut best: Option<(f64, Fillet)> = None;
    for center in moved_first.meet(&moved_second) {
        let (foot_1, foot_2) = (foot(first, center), foot(second, center));
        let (Some(s_1), Some(s_2)) = (local_s(first, foot_1), local_s(second, foot_2)) else { continue };
        let start_rad = (foot_1.y - center.y).arctangent2(foot_1.x - center.x);
        let end_rad = (foot_2.y - center.y).arctangent2(foot_2.x - center.x);
        let sweep_rad = side * ((end_rad - start_rad) * side).rem_euclid(TAU);
        let arc = Arc { center, radius_m, start_rad, sweep_rad };
        if sweep_rad.abs() * radius_m <= JOIN_TOLERANCE_M {
            continue;
        }
        let reach = (center - corner).norm();
        if best.as_ref().is_none_or(|(b, _)| reach < *b) {
            let fillet = Fillet { first: head(first, s_1, foot_1), arc, second: tail(second, s_2, foot_2) };
            best = Some((reach, fillet));
        }
    }
    best.map(|(_, fillet)| fillet).ok_or(too_large)
}

/// The curve at a given distance to the left of a piece.
enum Offset {
    Line { a: Vec2, t: Vec2 },
    Circle { center: Vec2, radius_m: f64 },
}

impl Offset {
    fn of(piece: &Piece, left_m: f64) -> Option<Offset> {
        match piece {
            Piece::Line(l) => {
                let t = (l.b - l.a).normalize();
                Some(Offset::Line { a: l.a + Vec2::new(-t.y, t.x) * left_m, t })
            }
            Piece::Arc(a) => {
                let radius_m = a.radius_m - left_m * a.sweep_rad.signum();
                (radius_m > 0.0).then_some(Offset::Circle { center: a.center, radius_m })
            }
        }
    }

    fn meet(&self, other: &Offset) -> Vec<Vec2> {
        match (self, other) {
            (Offset::Line { a, t }, Offset::Line { a: b, t: u }) => {
                let sine = cross(*t, *u);
                if sine == 0.0 { Vec::new() } else { vec![a + t * (cross(b - a, *u) / sine)] }
            }
            (Offset::Line { a, t }, Offset::Circle { center, radius_m })
            | (Offset::Circle { center, radius_m }, Offset::Line { a, t }) => {
                super::piece::ray_circle(*center, *radius_m, *a, *t)
                    .map_or_else(Vec::new, |at| at.map(|d| a + t * d).to_vec())
            }
            (Offset::Circle { center: a, radius_m: r }, Offset::Circle { center: b, radius_m: q }) => {
                let apart = b - a;
                let d = apart.norm();
                if d == 0.0 {
                    return Vec::new();
                }
                let axis = apart / d;
                let along = 0.5 * (d + (r - q) * (r + q) / d);
                let under = (r - along) * (r + along);
                if under < 0.0 {
                    return Vec::new();
                }
                let across = Vec2::new(-axis.y, axis.x) * under.sqrt();
                vec![a + axis * along + across, a + axis * along - across]
            }
        }
    }
}

/// Foot of the perpendicular from a point on the whole line or circle of a piece.
fn foot(piece: &Piece, p: Vec2) -> Vec2 {
    match piece {
        Piece::Line(l) => {
            let t = (l.b - l.a).normalize();
            l.a + t * (p - l.a).dot(&t)
        }
        Piece::Arc(a) => a.center + (p - a.center).normalize() * a.radius_m,
    }
}

/// Local arclength of a point of the whole line or circle, if it lies on the piece.
fn local_s(piece: &Piece, p: Vec2) -> Option<f64> {
    let near = piece.nearest(p);
    (near.distance_m <= JOIN_TOLERANCE_M).then_some(near.s_m)
}

fn head(piece: &Piece, to_m: f64, end: Vec2) -> Option<Piece> {
    if to_m <= JOIN_TOLERANCE_M {
        return None;
    }
    Some(match piece {
        Piece::Line(l) => Piece::Line(Line { a: l.a, b: end }),
        Piece::Arc(_) => piece.part(0.0, to_m),
    })
}

fn tail(piece: &Piece, from_m: f64, start: Vec2) -> Option<Piece> {
    let length = piece.length_m();
    if length - from_m <= JOIN_TOLERANCE_M {
        return None;
    }
    Some(match piece {
        Piece::Line(l) => Piece::Line(Line { a: start, b: l.b }),
        Piece::Arc(_) => piece.part(from_m, length),
    })
}

/// A polygon with rounded corners: (corner, radius), counterclockwise; radius 0 keeps a sharp corner. The chain starts where the
/// rounding of the first corner starts.
pub fn rounded_polygon(corners: &[(Vec2, f64)]) -> Result<Chain, GeometryError> {
    let n = corners.len();
    if n < 3 {
        return Err(GeometryError::TooFew { given: n, needed: 3 });
    }
    for (index, (p, radius_m)) in corners.iter().enumerate() {
        if !in_range(*p) || !radius_m.is_finite() {
            return Err(GeometryError::NotFinite { piece: index });
        }
        if *radius_m < 0.0 {
            return Err(GeometryError::BadRadius { piece: index, radius_m: *radius_m });
        }
    }
    let mut roundings = Vec::with_capacity(n);
    for index in 0..n {
        let (before, (corner, radius_m), after) =
            (corners[(index + n - 1) % n].0, corners[index], corners[(index + 1) % n].0);
        if (after - corner).norm() <= JOIN_TOLERANCE_M {
            return Err(GeometryError::ZeroLength { piece: index });
        }
        let (t, u) = ((corner - before).normalize(), (after - corner).normalize());
        let turn = cross(t, u).arctangent2(t.dot(&u));
        if turn.abs() > std::f64::consts::PI - 1.0e-9 {
            return Err(GeometryError::DoublesBack { piece: index });
        }
        let cut_m = radius_m * (0.5 * turn).tangent().abs();
        let rounding = if cut_m <= JOIN_TOLERANCE_M {
            None
        } else {
            let left = Vec2::new(-t.y, t.x) * turn.signum();
            let center = corner - t * cut_m + left * radius_m;
            let start_rad = (-left.y).arctangent2(-left.x);
            Some(Arc { center, radius_m, start_rad, sweep_rad: turn })
        };
        roundings.push((cut_m, rounding));
    }
    let mut pieces = Vec::with_capacity(2 * n);
    for index in 0..n {
        let next = (index + 1) % n;
        let ((corner, _), (after, _)) = (corners[index], corners[next]);
        let ((cut, rounding), (cut_next, rounding_next)) = (roundings[index], roundings[next]);
        let side_m = (after - corner).norm();
        if cut + cut_next > side_m + JOIN_TOLERANCE_M {
            let worse = if cut >= cut_next { index } else { next };
            return Err(GeometryError::RadiusTooLarge { corner: worse, radius_m: corners[worse].1 });
        }
        pieces.extend(rounding.map(Piece::Arc));
        if side_m - cut - cut_next > JOIN_TOLERANCE_M {
            let a = rounding.map_or(corner, |r| r.center + unit(r.end_rad()) * r.radius_m);
            let b = rounding_next.map_or(after, |r| r.center + unit(r.start_rad) * r.radius_m);
            pieces.push(Piece::Line(Line { a, b }));
        }
    }
    Chain::new(pieces)
}
