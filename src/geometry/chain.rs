//! A closed counterclockwise chain of pieces with everything about it precomputed.

use super::check::check_chain;
use super::piece::{END_SLACK_M, cross, ray_circle};
use super::{Bounds, GeometryError, Nearest, Piece, Vec2};
use crate::elementary::Elementary;
use std::f64::consts::{PI, TAU};

/// Closed, simple, counterclockwise. Built by [`Chain::new`], which checks it.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    pieces: Vec<Piece>,
    facets: Vec<Facet>,
    starts_m: Vec<f64>,
    lengths_m: Vec<f64>,
    /// Sum of the two normals at the start of each piece: tells the side of a point whose nearest point is that corner.
    corner_normals: Vec<Vec2>,
    steps: Vec<Step>,
    length_m: f64,
    area_m2: f64,
    bounds: Bounds,
    piece_bounds: Vec<Bounds>,
    convex: bool,
}

/// A piece, ready for loops that look at many: no angle has to be computed to tell whether a point faces it or what it sees of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Facet {
    /// Straight.
    Line {
        /// Start, m.
        a: Vec2,
        /// Unit tangent.
        t: Vec2,
        /// Length, m.
        length_m: f64,
    },
    /// Circular.
    Arc {
        /// Centre of the circle, m.
        center: Vec2,
        /// Radius, m.
        radius_m: f64,
        /// Angle swept, rad, as in [`super::Arc`].
        sweep_rad: f64,
        /// Unit vector from the centre to the middle of the arc.
        middle: Vec2,
        /// Cosine of half the angle swept.
        cos_half: f64,
        /// Unit vectors from the centre to start and end.
        ends: [Vec2; 2],
    },
}

/// A run of the chain along which y only rises or only falls.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Step {
    from: Vec2,
    to: Vec2,
    round: Option<Round>,
}

/// The arc of a step: its circle, and +1 for the right half, −1 for the left.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Round {
    center: Vec2,
    radius_m: f64,
    side: f64,
}

/// The point of a chain that lies nearest to a given point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainNearest {
    /// Arclength on the chain, m.
    pub s_m: f64,
    /// Index of its piece.
    pub piece: usize,
    /// Arclength on that piece, m.
    pub piece_s_m: f64,
    /// The point, m.
    pub point: Vec2,
    /// Signed distance from the given point, m: negative when that point is inside.
    pub distance_m: f64,
}

/// The first point of a chain that a ray meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RayHit {
    /// Distance from the ray's origin, m.
    pub distance_m: f64,
    /// Arclength on the chain, m.
    pub s_m: f64,
    /// Index of the piece met.
    pub piece: usize,
}

/// Slack of the «faces the arc» test, relative: a few roundings.
const FACING_SLACK: f64 = 1.0e-15;

/// Corners that turn right by less than this are taken as smooth when convexity is judged, rad.
const SMOOTH_RAD: f64 = 1.0e-9;

impl Facet {
    /// Makes a piece ready.
    pub fn of(piece: &Piece) -> Facet {
        match piece {
            Piece::Line(l) => {
                let length_m = (l.b - l.a).norm();
                Facet::Line { a: l.a, t: (l.b - l.a) / length_m, length_m }
            }
            Piece::Arc(a) => Facet::Arc {
                center: a.center,
                radius_m: a.radius_m,
                sweep_rad: a.sweep_rad,
                middle: super::piece::unit(a.start_rad + 0.5 * a.sweep_rad),
                cos_half: (0.5 * a.sweep_rad.abs()).min(PI).cosine(),
                ends: [super::piece::unit(a.start_rad), super::piece::unit(a.end_rad())],
            },
        }
    }

    /// Squared distance from a point.
    fn distance_squared_m2(&self, p: Vec2) -> f64 {
        match *self {
            Facet::Line { a, t, length_m } => {
                let q = p - a;
                let s = q.dot(&t).clamp(0.0, length_m);
                (q - t * s).norm_squared()
            }
            Facet::Arc { center, radius_m, middle, cos_half, ends, .. } => {
                let q = p - center;
                let dist = q.norm();
                if q.dot(&middle) >= dist * cos_half {
                    (dist - radius_m) * (dist - radius_m)
                } else {
                    let end = |u: Vec2| (q - u * radius_m).norm_squared();
                    end(ends[0]).min(end(ends[1]))
                }
            }
        }
    }

    /// Distance to the first point a ray meets.
    fn ray_m(&self, origin: Vec2, direction: Vec2) -> Option<f64> {
        match *self {
            Facet::Line { a, t, length_m } => {
                let sine = cross(direction, t);
                let rel = a - origin;
                if sine == 0.0 {
                    return None;
                }
                let s = cross(rel, direction) / sine;
                let d = cross(rel, t) / sine;
                (d >= 0.0 && s >= -END_SLACK_M && s <= length_m + END_SLACK_M).then_some(d)
            }
            Facet::Arc { center, radius_m, middle, cos_half, .. } => {
                let both = ray_circle(center, radius_m, origin, direction)?;
                both.into_iter().find(|&d| {
                    d >= 0.0
                        && (origin + direction * d - center).dot(&middle)
                            >= radius_m * (cos_half - FACING_SLACK)
                })
            }
        }
    }
}

impl Chain {
    /// Checks the pieces and builds the chain. They must be finite, longer than nothing, join end to start within
    /// [`super::JOIN_TOLERANCE_M`], run counterclockwise and neither touch nor cross themselves.
    pub fn new(pieces: Vec<Piece>) -> Result<Chain, GeometryError> {
        let turns = check_chain(&pieces)?;
        let n = pieces.len();
        let lengths_m: Vec<f64> = pieces.iter().map(Piece::length_m).collect();
        let mut starts_m = Vec::with_capacity(n);
        let mut length_m = 0.0;
        for length in &lengths_m {
            starts_m.push(length_m);
            length_m += length;
        }
        let bounds = pieces[1..].iter().fold(pieces[0].bounds(), |sum, piece| sum.union(&piece.bounds()));
        let concave = |piece: &Piece| matches!(piece, Piece::Arc(a) if a.sweep_rad < 0.0);
        let convex = !pieces.iter().any(concave) && turns.iter().all(|turn| *turn >= -SMOOTH_RAD);
        let corner_normals = (0..n)
            .map(|i| {
                let before = (i + n - 1) % n;
                pieces[before].normal_at(lengths_m[before]) + pieces[i].normal_at(0.0)
            })
            .collect();
        Ok(Chain {
            facets: pieces.iter().map(Facet::of).collect(),
            piece_bounds: pieces.iter().map(Piece::bounds).collect(),
            steps: steps(&pieces),
            area_m2: pieces.iter().map(Piece::area_share_m2).sum(),
            pieces,
            starts_m,
            lengths_m,
            corner_normals,
            length_m,
            bounds,
            convex,
        })
    }

    /// The pieces, in order.
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// Upright rectangle around each piece, parallel to [`Self::pieces`].
    pub fn piece_bounds(&self) -> &[Bounds] {
        &self.piece_bounds
    }

    /// The pieces again, ready for loops that look at many, parallel to [`Self::pieces`].
    pub fn facets(&self) -> &[Facet] {
        &self.facets
    }

    /// Arclength at which piece `index` starts, m.
    ///
    /// # Panics
    /// If there is no such piece.
    pub fn piece_start_m(&self, index: usize) -> f64 {
        self.starts_m[index]
    }

    /// Perimeter, m.
    pub fn length_m(&self) -> f64 {
        self.length_m
    }

    /// Enclosed area, m², exact for lines and arcs.
    pub fn area_m2(&self) -> f64 {
        self.area_m2
    }

    /// Smallest axis-parallel box around the chain.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// Whether the enclosed region is convex (corners count as smooth within 1e-9 rad).
    pub fn is_convex(&self) -> bool {
        self.convex
    }

    /// Piece index and local arclength of a chain arclength, which wraps at the perimeter. A shared end belongs to the piece that
    /// starts there.
    pub fn locate(&self, s_m: f64) -> (usize, f64) {
        let wrapped = s_m.rem_euclid(self.length_m);
        let wrapped = if wrapped >= self.length_m { 0.0 } else { wrapped };
        let index = self.starts_m.partition_point(|start| *start <= wrapped).saturating_sub(1);
        (index, (wrapped - self.starts_m[index]).min(self.lengths_m[index]))
    }

    /// Point at arclength `s_m`, m.
    pub fn point_at(&self, s_m: f64) -> Vec2 {
        let (index, local) = self.locate(s_m);
        self.pieces[index].point_at(local)
    }

    /// Unit tangent at arclength `s_m`; at a corner that of the piece that starts there.
    pub fn tangent_at(&self, s_m: f64) -> Vec2 {
        let (index, local) = self.locate(s_m);
        self.pieces[index].tangent_at(local)
    }

    /// Outward unit normal at arclength `s_m`; at a corner that of the piece that starts there.
    pub fn normal_at(&self, s_m: f64) -> Vec2 {
        let (index, local) = self.locate(s_m);
        self.pieces[index].normal_at(local)
    }

    /// Nearest point of the chain; of equally near pieces the first.
    pub fn nearest(&self, p: Vec2) -> ChainNearest {
        let mut best = (0, f64::INFINITY);
        for (index, facet) in self.facets.iter().enumerate() {
            let d = facet.distance_squared_m2(p);
            if d < best.1 {
                best = (index, d);
            }
        }
        let piece = best.0;
        let Nearest { s_m: piece_s_m, point, distance_m } = self.pieces[piece].nearest(p);
        let away = p - point;
        // On a corner the sum of the two normals tells the side (Bærentzen & Aanæs, «Signed distance computation using the angle
        // weighted pseudonormal», IEEE TVCG 11(3), 2005; from memory).
        let outward = if piece_s_m <= 0.0 {
            self.corner_normals[piece]
        } else if piece_s_m >= self.lengths_m[piece] {
            self.corner_normals[(piece + 1) % self.pieces.len()]
        } else {
            self.pieces[piece].normal_at(piece_s_m)
        };
        let inside = away.dot(&outward) < 0.0;
        let distance_m = if inside { -distance_m } else { distance_m };
        ChainNearest { s_m: self.starts_m[piece] + piece_s_m, piece, piece_s_m, point, distance_m }
    }

    /// First point a ray meets. `direction` must be a unit vector. A ray that merely runs along a straight piece meets the end of
    /// the neighbouring one.
    pub fn ray(&self, origin: Vec2, direction: Vec2) -> Option<RayHit> {
        let mut best: Option<(usize, f64)> = None;
        for (index, facet) in self.facets.iter().enumerate() {
            if let Some(d) = facet.ray_m(origin, direction)
                && best.is_none_or(|(_, b)| d < b)
            {
                best = Some((index, d));
            }
        }
        let (piece, distance_m) = best?;
        let local = self.pieces[piece].nearest(origin + direction * distance_m).s_m;
        Some(RayHit { distance_m, s_m: self.starts_m[piece] + local, piece })
    }

    /// Whether a point lies inside. Exact up to rounding; a point on the chain may fall either way.
    pub fn contains(&self, p: Vec2) -> bool {
        let b = &self.bounds;
        if !(p.x >= b.min.x && p.x <= b.max.x && p.y >= b.min.y && p.y <= b.max.y) {
            return false;
        }
        let mut inside = false;
        for step in &self.steps {
            if (step.from.y <= p.y) != (step.to.y <= p.y) && step.x_at(p.y) > p.x {
                inside = !inside;
            }
        }
        inside
    }

    /// Points along the chain, in order, the last one not repeating the first, such that the chain is nowhere further than
    /// `tolerance_m` (at least 1e-9) from the straight lines between them. Corners are kept exactly.
    pub fn to_polyline(&self, tolerance_m: f64) -> Vec<Vec2> {
        let tolerance_m = tolerance_m.max(1.0e-9);
        let mut points = Vec::new();
        for (piece, length) in self.pieces.iter().zip(&self.lengths_m) {
            let count = match piece {
                Piece::Line(_) => 1,
                Piece::Arc(a) => {
                    // Sagitta r (1 − cos(step/2)) = 2 r sin²(step/4).
                    let step = 4.0 * (0.5 * tolerance_m / a.radius_m).sqrt().min(0.5).arcsine();
                    (a.sweep_rad.abs() / step).ceil().max(1.0) as usize
                }
            };
            points.extend((0..count).map(|i| piece.point_at(length * i as f64 / count as f64)));
        }
        points
    }
}

impl Step {
    /// x at height y, which lies between the ends.
    fn x_at(&self, y: f64) -> f64 {
        match self.round {
            None => self.from.x + (self.to.x - self.from.x) * ((y - self.from.y) / (self.to.y - self.from.y)),
            Some(Round { center, radius_m, side }) => {
                let dy = y - center.y;
                center.x + side * ((radius_m - dy) * (radius_m + dy)).max(0.0).sqrt()
            }
        }
    }
}

/// Cuts the chain where y turns round. Consecutive steps share their ends to the bit, so that no level slips between two.
fn steps(pieces: &[Piece]) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    let mut push = |from: Vec2, round: Option<Round>| steps.push(Step { from, to: from, round });
    for piece in pieces {
        match piece {
            Piece::Line(l) => push(l.a, None),
            Piece::Arc(a) => {
                let (low, high) = (a.start_rad.min(a.end_rad()), a.start_rad.max(a.end_rad()));
                // The tops and bottoms of the circle (odd quarter turns) strictly inside the arc.
                let first = ((low / PI - 0.5).floor() + 1.0) as i64;
                let mut marks: Vec<f64> = (first..first.saturating_add(3))
                    .map(|k| (k as f64 + 0.5) * PI)
                    .filter(|m| *m > low && *m < high)
                    .collect();
                if a.sweep_rad < 0.0 {
                    marks.reverse();
                }
                let mut from_rad = a.start_rad;
                let mut from = piece.start();
                for mark in marks.into_iter().chain([a.end_rad()]) {
                    let side = (0.5 * (from_rad + mark)).cosine().signum();
                    push(from, Some(Round { center: a.center, radius_m: a.radius_m, side }));
                    let top = if (mark / TAU).rem_euclid(1.0) < 0.5 { a.radius_m } else { -a.radius_m };
                    from = a.center + Vec2::new(0.0, top);
                    from_rad = mark;
                }
            }
        }
    }
    let n = steps.len();
    for i in 0..n {
        steps[i].to = steps[(i + 1) % n].from;
    }
    steps
}
