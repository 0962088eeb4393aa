//! One piece of an outline: a straight line or a circular arc.
//!
//! Tangent: along the direction of travel. Normal: the tangent turned right, which is outward on a counterclockwise chain.

use super::{Bounds, Vec2};
use crate::elementary::Elementary;
use std::f64::consts::{FRAC_PI_2, TAU};

/// A straight piece from `a` to `b`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Start, m.
    pub a: Vec2,
    /// End, m.
    pub b: Vec2,
}

/// A circular piece. Point at local arclength s: center + radius (cos θ, sin θ), θ = start ± s / radius, + for a positive sweep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Centre of the circle, m.
    pub center: Vec2,
    /// Radius, m, positive.
    pub radius_m: f64,
    /// Direction from the centre to the start, rad, from +x counterclockwise.
    pub start_rad: f64,
    /// Angle swept, rad: > 0 counterclockwise (convex in a counterclockwise chain), < 0 clockwise (concave).
    pub sweep_rad: f64,
}

/// A line or an arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece {
    /// Straight.
    Line(Line),
    /// Circular.
    Arc(Arc),
}

/// The point of a piece that lies nearest to a given point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Local arclength of the point, m.
    pub s_m: f64,
    /// The point, m.
    pub point: Vec2,
    /// Distance from the given point, m, never negative.
    pub distance_m: f64,
}

/// A ray meets a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceHit {
    /// Distance from the ray's origin, m, never negative.
    pub distance_m: f64,
    /// Local arclength of the point met, m.
    pub s_m: f64,
}

/// How far past its ends a piece still takes a hit, m: keeps a ray from slipping between two pieces by rounding.
pub(super) const END_SLACK_M: f64 = 1.0e-12;

/// Unit vector at an angle.
pub(super) fn unit(angle_rad: f64) -> Vec2 {
    let (sin, cos) = angle_rad.sine_cosine();
    Vec2::new(cos, sin)
}

/// z component of the cross product.
pub(super) fn cross(a: Vec2, b: Vec2) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Mirror image in the x axis.
fn flip(p: Vec2) -> Vec2 {
    Vec2::new(p.x, -p.y)
}

impl Arc {
    /// Direction from the centre to the end, rad.
    pub fn end_rad(&self) -> f64 {
        self.start_rad + self.sweep_rad
    }

    /// Direction from the centre at local arclength `s_m`, rad.
    fn angle_at(&self, s_m: f64) -> f64 {
        self.start_rad + s_m / self.radius_m * self.sweep_rad.signum()
    }

    /// Angle from the start in the direction of travel, wrapped so that the middle of the arc is in the middle of the range; the arc
    /// itself is 0..|sweep|.
    fn turn_to(&self, q: Vec2) -> f64 {
        let half = 0.5 * self.sweep_rad.abs();
        let raw = (q.y.arctangent2(q.x) - self.start_rad) * self.sweep_rad.signum() - half;
        half + raw - TAU * (raw / TAU).round()
    }
}

impl Piece {
    /// Length, m.
    pub fn length_m(&self) -> f64 {
        match self {
            Piece::Line(l) => (l.b - l.a).norm(),
            Piece::Arc(a) => a.radius_m * a.sweep_rad.abs(),
        }
    }

    /// First point, m.
    pub fn start(&self) -> Vec2 {
        match self {
            Piece::Line(l) => l.a,
            Piece::Arc(a) => a.center + unit(a.start_rad) * a.radius_m,
        }
    }

    /// Last point, m.
    pub fn end(&self) -> Vec2 {
        match self {
            Piece::Line(l) => l.b,
            Piece::Arc(a) => a.center + unit(a.end_rad()) * a.radius_m,
        }
    }

    /// Point at local arclength `s_m`, m; outside 0..length the line or circle goes on.
    pub fn point_at(&self, s_m: f64) -> Vec2 {
        match self {
            Piece::Line(l) => l.a + (l.b - l.a) * (s_m / (l.b - l.a).norm()),
            Piece::Arc(a) => a.center + unit(a.angle_at(s_m)) * a.radius_m,
        }
    }

    /// Unit tangent at local arclength `s_m`, in the direction of travel.
    pub fn tangent_at(&self, s_m: f64) -> Vec2 {
        match self {
            Piece::Line(l) => (l.b - l.a).normalize(),
            Piece::Arc(a) => {
                let u = unit(a.angle_at(s_m));
                Vec2::new(-u.y, u.x) * a.sweep_rad.signum()
            }
        }
    }

    /// Unit normal at local arclength `s_m`: the tangent turned right, outward on a counterclockwise chain.
    pub fn normal_at(&self, s_m: f64) -> Vec2 {
        let t = self.tangent_at(s_m);
        Vec2::new(t.y, -t.x)
    }

    /// Curvature, 1/m: positive for a counterclockwise (convex) arc, 0 for a line.
    pub fn curvature_per_m(&self) -> f64 {
        match self {
            Piece::Line(_) => 0.0,
            Piece::Arc(a) => a.sweep_rad.signum() / a.radius_m,
        }
    }

    /// Nearest point to `p`. From the centre of an arc every point is equally near: its start is given.
    pub fn nearest(&self, p: Vec2) -> Nearest {
        match self {
            Piece::Line(l) => {
                let along = l.b - l.a;
                let length = along.norm();
                let t = along / length;
                let s_m = (p - l.a).dot(&t).clamp(0.0, length);
                let point = if s_m == length { l.b } else { l.a + t * s_m };
                Nearest { s_m, point, distance_m: (p - point).norm() }
            }
            Piece::Arc(a) => {
                let q = p - a.center;
                if q == Vec2::zeros() {
                    return Nearest { s_m: 0.0, point: self.start(), distance_m: a.radius_m };
                }
                let turn = a.turn_to(q);
                if turn >= 0.0 && turn <= a.sweep_rad.abs() {
                    let dist = q.norm();
                    let point = a.center + q * (a.radius_m / dist);
                    return Nearest { s_m: turn * a.radius_m, point, distance_m: (dist - a.radius_m).abs() };
                }
                let (start, end) = (self.start(), self.end());
                let (to_start, to_end) = ((p - start).norm(), (p - end).norm());
                if to_start <= to_end {
                    Nearest { s_m: 0.0, point: start, distance_m: to_start }
                } else {
                    Nearest { s_m: self.length_m(), point: end, distance_m: to_end }
                }
            }
        }
    }

    /// Where a ray meets the piece, nearest first. `direction` must be a unit vector. A ray that runs along a line meets it where it
    /// first reaches it.
    pub fn ray(&self, origin: Vec2, direction: Vec2) -> [Option<PieceHit>; 2] {
        match self {
            Piece::Line(l) => [ray_line(l, origin, direction), None],
            Piece::Arc(a) => {
                let Some(both) = ray_circle(a.center, a.radius_m, origin, direction) else {
                    return [None, None];
                };
                let length = self.length_m();
                let hit = |distance_m: f64| {
                    if distance_m < 0.0 {
                        return None;
                    }
                    let s_m = a.turn_to(origin + direction * distance_m - a.center) * a.radius_m;
                    let on = s_m >= -END_SLACK_M && s_m <= length + END_SLACK_M;
                    on.then_some(PieceHit { distance_m, s_m: s_m.clamp(0.0, length) })
                };
                match (hit(both[0]), hit(both[1])) {
                    (None, second) => [second, None],
                    pair => [pair.0, pair.1],
                }
            }
        }
    }

    /// The smallest axis-parallel box around the piece.
    pub fn bounds(&self) -> Bounds {
        let bounds = Bounds::of_point(self.start()).with_point(self.end());
        let Piece::Arc(a) = self else { return bounds };
        let (low, high) = (a.start_rad.min(a.end_rad()), a.start_rad.max(a.end_rad()));
        let first = (low / FRAC_PI_2).ceil() as i64;
        let mut bounds = bounds;
        // At most five quarter directions fit into one full turn.
        for k in (first..first.saturating_add(5)).take_while(|&k| k as f64 * FRAC_PI_2 <= high) {
            let direction = [Vec2::x(), Vec2::y(), -Vec2::x(), -Vec2::y()][k.rem_euclid(4) as usize];
            bounds = bounds.with_point(a.center + direction * a.radius_m);
        }
        bounds
    }

    /// Its share of the enclosed area, ½∫(x dy − y dx), m²; the shares of a closed chain sum to its signed area.
    pub fn area_share_m2(&self) -> f64 {
        match self {
            Piece::Line(l) => 0.5 * cross(l.a, l.b),
            Piece::Arc(a) => {
                let (u0, u1) = (unit(a.start_rad), unit(a.end_rad()));
                0.5 * a.radius_m * (cross(a.center, u1 - u0) + a.radius_m * a.sweep_rad)
            }
        }
    }

    /// The part between two local arclengths, from < to.
    pub fn part(&self, from_m: f64, to_m: f64) -> Piece {
        match self {
            Piece::Line(l) => {
                let a = if from_m == 0.0 { l.a } else { self.point_at(from_m) };
                let b = if to_m == self.length_m() { l.b } else { self.point_at(to_m) };
                Piece::Line(Line { a, b })
            }
            Piece::Arc(a) => {
                let sweep_rad = ((to_m - from_m) / a.radius_m).copysign(a.sweep_rad);
                Piece::Arc(Arc { start_rad: a.angle_at(from_m), sweep_rad, ..*a })
            }
        }
    }

    /// The same piece, moved by `by`.
    pub fn moved(&self, by: Vec2) -> Piece {
        match self {
            Piece::Line(l) => Piece::Line(Line { a: l.a + by, b: l.b + by }),
            Piece::Arc(a) => Piece::Arc(Arc { center: a.center + by, ..*a }),
        }
    }

    /// The mirror image in the x axis (y → −y), run backwards, so that a counterclockwise chain stays counterclockwise.
    pub fn mirrored(&self) -> Piece {
        match self {
            Piece::Line(l) => Piece::Line(Line { a: flip(l.b), b: flip(l.a) }),
            Piece::Arc(a) => Piece::Arc(Arc { center: flip(a.center), start_rad: -a.end_rad(), ..*a }),
        }
    }
}

/// Distances, nearest first, at which a ray's whole line meets a circle (negative = behind the origin).
pub(super) fn ray_circle(center: Vec2, radius_m: f64, origin: Vec2, direction: Vec2) -> Option<[f64; 2]> {
    let q = origin - center;
    let b = q.dot(&direction);
    // Distance of the line from the centre, free of the cancellation in b² − (q² − r²).
    let miss = cross(q, direction);
    let under = (radius_m - miss) * (radius_m + miss);
    if under < 0.0 {
        return None;
    }
    let root = under.sqrt();
    // The root of smaller size from the product of the roots, so that a hit close by keeps its digits.
    let product = (q.norm() - radius_m) * (q.norm() + radius_m);
    let far = if b > 0.0 { -b - root } else { -b + root };
    let near = if far == 0.0 { 0.0 } else { product / far };
    Some(if near <= far { [near, far] } else { [far, near] })
}

fn ray_line(line: &Line, origin: Vec2, direction: Vec2) -> Option<PieceHit> {
    let along = line.b - line.a;
    let length = along.norm();
    let t = along / length;
    let rel = line.a - origin;
    let sine = cross(direction, t);
    if sine == 0.0 {
        if cross(rel, direction) != 0.0 {
            return None;
        }
        // The ray runs along the line: it starts on it, or meets one of its ends first.
        let (to_a, to_b) = (rel.dot(&direction), (line.b - origin).dot(&direction));
        return match (to_a >= 0.0, to_b >= 0.0) {
            (false, false) => None,
            (true, true) if to_a <= to_b => Some(PieceHit { distance_m: to_a, s_m: 0.0 }),
            (true, true) => Some(PieceHit { distance_m: to_b, s_m: length }),
            _ => Some(PieceHit { distance_m: 0.0, s_m: (-rel.dot(&t)).clamp(0.0, length) }),
        };
    }
    let distance_m = cross(rel, t) / sine;
    let s_m = cross(rel, direction) / sine;
    let on = distance_m >= 0.0 && s_m >= -END_SLACK_M && s_m <= length + END_SLACK_M;
    on.then_some(PieceHit { distance_m, s_m: s_m.clamp(0.0, length) })
}
