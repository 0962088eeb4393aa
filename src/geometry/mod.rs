//! Plane geometry without wash words: exact line and arc pieces, closed chains of them, arclength, rays, nearest point.
//!
//! Conventions. Lengths in metres, angles in radians. A closed chain runs **counterclockwise**: its inside lies to the left of the
//! tangent, and the **outward normal is the tangent turned right** (n = (t.y, −t.x)). An arc with a positive sweep runs
//! counterclockwise and is convex in such a chain; a negative sweep is concave. A signed distance is **negative inside**.
//!
//! Arclength `s_m` on a piece runs from 0 at its start to its length; on a chain from 0 at the start of the first piece, wrapping at
//! the total length. Nothing here is approximated: lines and arcs stay lines and arcs (only [`Chain::to_polyline`] takes a tolerance).

mod build;
mod chain;
mod check;
mod cross;
mod hull;
mod piece;

pub use build::{Fillet, fillet, rounded_polygon};
pub use chain::{Chain, ChainNearest, Facet, RayHit};
pub use cross::crossings;
pub use hull::on_hull;
pub use piece::{Arc, Line, Nearest, Piece, PieceHit};

/// A point or a direction in the plane, metres (or unitless for a direction).
pub type Vec2 = nalgebra::Vector2<f64>;

/// Two ends closer than this are the same point, m. Lengths below it count as zero.
pub const JOIN_TOLERANCE_M: f64 = 1.0e-9;

/// Largest coordinate or radius a chain may have, m. Far above any use; it keeps every product of the formulas finite and exact enough.
pub const SIZE_LIMIT_M: f64 = 1.0e6;

/// Axis-parallel box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Smallest x and y, m.
    pub min: Vec2,
    /// Largest x and y, m.
    pub max: Vec2,
}

impl Bounds {
    /// The box of one point.
    pub fn of_point(p: Vec2) -> Bounds {
        Bounds { min: p, max: p }
    }

    /// The smallest box that holds both.
    pub fn union(&self, other: &Bounds) -> Bounds {
        Bounds { min: self.min.inf(&other.min), max: self.max.sup(&other.max) }
    }

    /// The smallest box that holds this one and a point.
    pub fn with_point(&self, p: Vec2) -> Bounds {
        Bounds { min: self.min.inf(&p), max: self.max.sup(&p) }
    }

    /// Whether the boxes share a point when both are grown by `margin_m` / 2.
    pub fn meets(&self, other: &Bounds, margin_m: f64) -> bool {
        self.min.x <= other.max.x + margin_m
            && other.min.x <= self.max.x + margin_m
            && self.min.y <= other.max.y + margin_m
            && other.min.y <= self.max.y + margin_m
    }
}

/// Why pieces do not make a chain, or a corner cannot be rounded. Plain data: piece and corner numbers count from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GeometryError {
    /// A chain of no pieces, or a polygon of fewer than three corners.
    #[error("an outline needs at least {needed} pieces or corners, {given} given")]
    TooFew {
        /// How many were given.
        given: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A coordinate, radius or angle that is not a number, is infinite, or is beyond [`SIZE_LIMIT_M`].
    #[error("piece {piece}: every coordinate must be a finite number of at most {SIZE_LIMIT_M} m")]
    NotFinite {
        /// Piece or corner number.
        piece: usize,
    },
    /// A radius of zero or less, or below zero for a polygon corner.
    #[error("piece {piece}: radius {radius_m} m is not allowed, give a positive radius")]
    BadRadius {
        /// Piece or corner number.
        piece: usize,
        /// What was given, m.
        radius_m: f64,
    },
    /// An arc that goes round more than once.
    #[error("piece {piece}: an arc may sweep one full turn at most, {sweep_rad} rad given")]
    BadSweep {
        /// Piece number.
        piece: usize,
        /// What was given, rad.
        sweep_rad: f64,
    },
    /// A piece shorter than [`JOIN_TOLERANCE_M`].
    #[error("piece {piece} has no length")]
    ZeroLength {
        /// Piece number.
        piece: usize,
    },
    /// The end of a piece is not the start of the next one.
    #[error("piece {piece} ends {gap_m} m away from the start of the next one")]
    Open {
        /// Number of the piece that ends in the air.
        piece: usize,
        /// Distance, m.
        gap_m: f64,
    },
    /// The chain doubles back on itself at the end of a piece.
    #[error("the outline doubles back on itself at the end of piece {piece}")]
    DoublesBack {
        /// Number of the piece that ends there.
        piece: usize,
    },
    /// The chain runs clockwise or encloses nothing.
    #[error("the outline must run counterclockwise around a positive area, {area_m2} m² found")]
    NotCounterclockwise {
        /// Signed area, m².
        area_m2: f64,
    },
    /// Two pieces touch or cross away from their common end.
    #[error("pieces {first} and {second} of the outline touch or cross")]
    SelfIntersection {
        /// Lower piece number.
        first: usize,
        /// Higher piece number.
        second: usize,
    },
    /// The tangent does not turn through exactly one full turn.
    #[error("the outline turns through {turning_rad} rad instead of one full turn")]
    NotSimple {
        /// Total turning, rad.
        turning_rad: f64,
    },
    /// The pieces meet without a corner, or do not meet.
    #[error("there is no corner to round between these two pieces")]
    NoCorner,
    /// The rounding does not fit the pieces beside it.
    #[error("corner {corner}: a radius of {radius_m} m does not fit the pieces beside it")]
    RadiusTooLarge {
        /// Corner number (0 for a single fillet).
        corner: usize,
        /// What was given, m.
        radius_m: f64,
    },
}
