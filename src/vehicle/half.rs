//! The left half of an outline, from the middle of the nose to the middle of the tail, and its reflection.

use super::{PieceTag, Zone};
use crate::elementary::Elementary;
use crate::geometry::{Arc, Chain, GeometryError, JOIN_TOLERANCE_M, Line, Piece, Vec2, fillet};
use std::f64::consts::{FRAC_PI_2, PI};

/// A piece and what it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Part {
    pub piece: Piece,
    pub tag: PieceTag,
}

/// Measures of a symmetric outline, m.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plan {
    /// x of the foremost point.
    pub front_x_m: f64,
    /// x of the rearmost point.
    pub rear_x_m: f64,
    pub half_width_m: f64,
    pub nose_sweep_m: f64,
    pub nose_radius_m: f64,
    pub tail_sweep_m: f64,
    pub tail_radius_m: f64,
    pub barrel_m: f64,
}

/// The corner whose radius does not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Corner {
    Nose,
    Tail,
}

impl Plan {
    /// Half width at the corners before rounding, m.
    pub fn corner_y_m(&self) -> f64 {
        self.half_width_m - self.barrel_m
    }

    /// The left half. A sagitta s over a half chord h makes a circle of radius (h² + s²) / 2s.
    pub fn left_half(&self) -> Result<Vec<Part>, Corner> {
        let y = self.corner_y_m();
        let (front, rear) = (self.front_x_m, self.rear_x_m);
        let (nose_corner, tail_corner) =
            (Vec2::new(front - self.nose_sweep_m, y), Vec2::new(rear + self.tail_sweep_m, y));
        let nose = if self.nose_sweep_m == 0.0 {
            Piece::Line(Line { a: Vec2::new(front, 0.0), b: nose_corner })
        } else {
            let (radius_m, half) = bow(y, self.nose_sweep_m);
            let center = Vec2::new(front - radius_m, 0.0);
            Piece::Arc(Arc { center, radius_m, start_rad: 0.0, sweep_rad: half })
        };
        let tail = if self.tail_sweep_m == 0.0 {
            Piece::Line(Line { a: tail_corner, b: Vec2::new(rear, 0.0) })
        } else {
            let (radius_m, half) = bow(y, self.tail_sweep_m);
            let center = Vec2::new(rear + radius_m, 0.0);
            Piece::Arc(Arc { center, radius_m, start_rad: PI - half, sweep_rad: half })
        };
        let side = if self.barrel_m == 0.0 {
            Piece::Line(Line { a: nose_corner, b: tail_corner })
        } else {
            let (radius_m, half) = bow(0.5 * (nose_corner.x - tail_corner.x), self.barrel_m);
            let center = Vec2::new(0.5 * (nose_corner.x + tail_corner.x), self.half_width_m - radius_m);
            Piece::Arc(Arc { center, radius_m, start_rad: FRAC_PI_2 - half, sweep_rad: 2.0 * half })
        };
        let (nose, nose_round, side) = round(nose, side, self.nose_radius_m).ok_or(Corner::Nose)?;
        let side = side.ok_or(Corner::Nose)?;
        let (side, tail_round, tail) = round(side, tail, self.tail_radius_m).ok_or(Corner::Tail)?;

        let mut parts = Vec::with_capacity(8);
        let mut add = |piece: Option<Piece>, zone: Zone| {
            parts.extend(piece.map(|piece| Part { piece, tag: PieceTag { zone, feature: None } }));
        };
        add(nose, Zone::Nose);
        add(nose_round.map(|arc| part_of(&arc, 0.0, 0.5)), Zone::Nose);
        add(nose_round.map(|arc| part_of(&arc, 0.5, 1.0)), Zone::LeftSide);
        add(side, Zone::LeftSide);
        add(tail_round.map(|arc| part_of(&arc, 0.0, 0.5)), Zone::LeftSide);
        add(tail_round.map(|arc| part_of(&arc, 0.5, 1.0)), Zone::Tail);
        add(tail, Zone::Tail);
        Ok(parts)
    }

    /// The largest radius of one corner that fits, the other corner as it is, m (to within 1e-9).
    pub fn largest_radius_m(&self, corner: Corner) -> f64 {
        let (mut low, mut high) = (0.0, self.half_width_m.max(self.front_x_m - self.rear_x_m));
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let mut plan = *self;
            match corner {
                Corner::Nose => plan.nose_radius_m = middle,
                Corner::Tail => plan.tail_radius_m = middle,
            }
            // Blame on the other corner means that this one leaves it too little room.
            if plan.left_half().is_ok() {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }
}

/// Radius and half angle of the arc with a given half chord and sagitta.
fn bow(half_chord_m: f64, sagitta_m: f64) -> (f64, f64) {
    let radius_m = (half_chord_m * half_chord_m + sagitta_m * sagitta_m) / (2.0 * sagitta_m);
    (radius_m, half_chord_m.arctangent2(radius_m - sagitta_m))
}

fn part_of(piece: &Piece, from: f64, to: f64) -> Piece {
    let length = piece.length_m();
    piece.part(from * length, to * length)
}

type Rounded = (Option<Piece>, Option<Piece>, Option<Piece>);

fn round(first: Piece, second: Piece, radius_m: f64) -> Option<Rounded> {
    if radius_m == 0.0 {
        return Some((Some(first), None, Some(second)));
    }
    let done = fillet(&first, &second, radius_m).ok()?;
    Some((done.first, Some(Piece::Arc(done.arc)), done.second))
}

/// The same parts seen in a mirror along the vehicle, in the order of a counterclockwise walk.
pub(super) fn mirrored(parts: &[Part]) -> Vec<Part> {
    let flip = |part: &Part| Part {
        piece: part.piece.mirrored(),
        tag: PieceTag { zone: part.tag.zone.mirrored(), feature: part.tag.feature },
    };
    parts.iter().rev().map(flip).collect()
}

/// The same parts, moved.
pub(super) fn moved(parts: &[Part], by: Vec2) -> Vec<Part> {
    parts.iter().map(|part| Part { piece: part.piece.moved(by), ..*part }).collect()
}

/// Closes parts into a chain.
pub(super) fn close(parts: &[Part]) -> Result<(Chain, Vec<PieceTag>), GeometryError> {
    let chain = Chain::new(parts.iter().map(|part| part.piece).collect())?;
    Ok((chain, parts.iter().map(|part| part.tag).collect()))
}

/// Where a ray first meets a run of parts: index and local arclength.
pub(super) fn first_hit(parts: &[Part], origin: Vec2, direction: Vec2) -> Option<(usize, f64)> {
    let mut best: Option<(f64, usize, f64)> = None;
    for (index, part) in parts.iter().enumerate() {
        if let Some(hit) = part.piece.ray(origin, direction)[0]
            && best.is_none_or(|(d, _, _)| hit.distance_m < d)
        {
            best = Some((hit.distance_m, index, hit.s_m));
        }
    }
    best.map(|(_, index, s_m)| (index, s_m))
}

/// A part from one place along it to another, if longer than nothing: than the joining tolerance.
pub(super) fn stretch(part: &Part, from_m: f64, to_m: f64) -> Option<Part> {
    (to_m - from_m > JOIN_TOLERANCE_M).then(|| Part { piece: part.piece.part(from_m, to_m), ..*part })
}

/// The part before `s_m` and the part after it, if longer than nothing.
pub(super) fn split(part: &Part, s_m: f64) -> (Option<Part>, Option<Part>) {
    (stretch(part, 0.0, s_m), stretch(part, s_m, part.piece.length_m()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is no longer than the joining tolerance is nothing: a line along x, cut by hand.
    #[test]
    fn verif_a_stretch_longer_than_nothing() {
        let piece = Piece::Line(Line { a: Vec2::new(0.0, 0.0), b: Vec2::new(2.0, 0.0) });
        let part = Part { piece, tag: PieceTag { zone: Zone::Nose, feature: None } };
        let ends = |part: Option<Part>| part.map(|p| (p.piece.start().x, p.piece.end().x));
        assert_eq!(ends(stretch(&part, 0.5, 1.25)), Some((0.5, 1.25)));
        assert_eq!(ends(stretch(&part, 0.0, JOIN_TOLERANCE_M)), None);
        assert_eq!(ends(stretch(&part, 0.0, 1.5 * JOIN_TOLERANCE_M)), Some((0.0, 1.5 * JOIN_TOLERANCE_M)));
        assert_eq!(ends(stretch(&part, 1.25, 0.5)), None);
        let (before, after) = split(&part, 0.75);
        assert_eq!((ends(before), ends(after)), (Some((0.0, 0.75)), Some((0.75, 2.0))));
        let (before, after) = split(&part, 2.0);
        assert_eq!((ends(before), ends(after)), (Some((0.0, 2.0)), None));
    }
}
