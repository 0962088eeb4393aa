//! Where two pieces cross or touch.

use super::piece::{cross, ray_circle};
use super::{Arc, JOIN_TOLERANCE_M, Line, Piece, Vec2};

/// Points common to two pieces, at most two. Pieces that run along each other (same line or same circle) give the ends of one that
/// lie on the other.
pub fn crossings(first: &Piece, second: &Piece) -> Vec<Vec2> {
    let mut found = match (first, second) {
        (Piece::Line(a), Piece::Line(b)) => line_line(a, b),
        (Piece::Line(l), Piece::Arc(a)) | (Piece::Arc(a), Piece::Line(l)) => line_arc(l, a),
        (Piece::Arc(a), Piece::Arc(b)) => arc_arc(a, b),
    };
    for (piece, other) in [(first, second), (second, first)] {
        for end in [piece.start(), piece.end()] {
            if touches(other, end) {
                found.push(end);
            }
        }
    }
    found.retain(|p| touches(first, *p) && touches(second, *p));
    let mut kept: Vec<Vec2> = Vec::with_capacity(2);
    for p in found {
        if kept.iter().all(|k| (k - p).norm() > JOIN_TOLERANCE_M) {
            kept.push(p);
        }
    }
    kept
}

/// Whether a point lies on a piece.
pub(super) fn touches(piece: &Piece, p: Vec2) -> bool {
    piece.nearest(p).distance_m <= JOIN_TOLERANCE_M
}

/// The second point in which the lines or circles of two pieces meet that are known to meet at `shared`; none if they are tangent
/// there or the same line or circle.
pub(super) fn other_crossing(first: &Piece, second: &Piece, shared: Vec2) -> Option<Vec2> {
    let other = match (first, second) {
        (Piece::Line(_), Piece::Line(_)) => return None,
        (Piece::Line(l), Piece::Arc(a)) | (Piece::Arc(a), Piece::Line(l)) => {
            let t = (l.b - l.a).normalize();
            shared + t * (2.0 * (a.center - shared).dot(&t))
        }
        (Piece::Arc(a), Piece::Arc(b)) => {
            let apart = b.center - a.center;
            if apart.norm() <= JOIN_TOLERANCE_M {
                return None;
            }
            let axis = apart.normalize();
            let n = Vec2::new(-axis.y, axis.x);
            shared - n * (2.0 * (shared - a.center).dot(&n))
        }
    };
    ((other - shared).norm() > JOIN_TOLERANCE_M).then_some(other)
}

fn line_line(a: &Line, b: &Line) -> Vec<Vec2> {
    let (u, v) = (a.b - a.a, b.b - b.a);
    let sine = cross(u, v);
    if sine == 0.0 {
        return Vec::new();
    }
    vec![a.a + u * (cross(b.a - a.a, v) / sine)]
}

fn line_arc(l: &Line, a: &Arc) -> Vec<Vec2> {
    let t = (l.b - l.a).normalize();
    ray_circle(a.center, a.radius_m, l.a, t).map_or_else(Vec::new, |at| at.map(|d| l.a + t * d).to_vec())
}

fn arc_arc(a: &Arc, b: &Arc) -> Vec<Vec2> {
    let apart = b.center - a.center;
    let d = apart.norm();
    if d == 0.0 {
        return Vec::new();
    }
    let axis = apart / d;
    let along = 0.5 * (d + (a.radius_m - b.radius_m) * (a.radius_m + b.radius_m) / d);
    let under = (a.radius_m - along) * (a.radius_m + along);
    if under < 0.0 {
        return Vec::new();
    }
    let foot = a.center + axis * along;
    let side = Vec2::new(-axis.y, axis.x) * under.sqrt();
    vec![foot + side, foot - side]
}
