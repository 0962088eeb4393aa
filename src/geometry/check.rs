//! What makes a list of pieces a simple, closed, counterclockwise chain.

use super::cross::{crossings, other_crossing, touches};
use super::piece::cross;
use super::{GeometryError, JOIN_TOLERANCE_M, Piece, SIZE_LIMIT_M, Vec2};
use crate::elementary::Elementary;
use std::f64::consts::TAU;

/// Turn of the tangent (exterior angle, left positive) at the end of each piece, rad. Errors name the piece.
pub(super) fn check_chain(pieces: &[Piece]) -> Result<Vec<f64>, GeometryError> {
    if pieces.is_empty() {
        return Err(GeometryError::TooFew { given: 0, needed: 1 });
    }
    for (index, piece) in pieces.iter().enumerate() {
        check_piece(index, piece)?;
    }
    let mut turns = Vec::with_capacity(pieces.len());
    for (index, piece) in pieces.iter().enumerate() {
        let next = &pieces[(index + 1) % pieces.len()];
        let gap_m = (next.start() - piece.end()).norm();
        if gap_m > JOIN_TOLERANCE_M {
            return Err(GeometryError::Open { piece: index, gap_m });
        }
        let (before, after) = (piece.tangent_at(piece.length_m()), next.tangent_at(0.0));
        let turn = cross(before, after).arctangent2(before.dot(&after));
        if turn.abs() > std::f64::consts::PI - 1.0e-9 {
            return Err(GeometryError::DoublesBack { piece: index });
        }
        turns.push(turn);
    }
    check_crossings(pieces)?;
    let area_m2: f64 = pieces.iter().map(Piece::area_share_m2).sum();
    if area_m2 <= 0.0 {
        return Err(GeometryError::NotCounterclockwise { area_m2 });
    }
    let sweeps: f64 = pieces.iter().map(sweep_rad).sum();
    let turning_rad = sweeps + turns.iter().sum::<f64>();
    if (turning_rad - TAU).abs() > 1.0e-6 {
        return Err(GeometryError::NotSimple { turning_rad });
    }
    Ok(turns)
}

fn sweep_rad(piece: &Piece) -> f64 {
    match piece {
        Piece::Line(_) => 0.0,
        Piece::Arc(a) => a.sweep_rad,
    }
}

/// Whether both coordinates are numbers within the limit.
pub(super) fn in_range(p: Vec2) -> bool {
    // False for NaN too.
    p.x.abs() <= SIZE_LIMIT_M && p.y.abs() <= SIZE_LIMIT_M
}

fn check_piece(index: usize, piece: &Piece) -> Result<(), GeometryError> {
    match piece {
        Piece::Line(l) => {
            if !in_range(l.a) || !in_range(l.b) {
                return Err(GeometryError::NotFinite { piece: index });
            }
        }
        Piece::Arc(a) => {
            if !in_range(a.center)
                || a.radius_m.is_nan()
                || a.radius_m > SIZE_LIMIT_M
                || !a.start_rad.is_finite()
                || a.start_rad.abs() > 1.0e3
                || !a.sweep_rad.is_finite()
            {
                return Err(GeometryError::NotFinite { piece: index });
            }
            if a.radius_m <= 0.0 {
                return Err(GeometryError::BadRadius { piece: index, radius_m: a.radius_m });
            }
            if a.sweep_rad.abs() > TAU * (1.0 + 1.0e-12) {
                return Err(GeometryError::BadSweep { piece: index, sweep_rad: a.sweep_rad });
            }
        }
    }
    if piece.length_m() <= JOIN_TOLERANCE_M {
        return Err(GeometryError::ZeroLength { piece: index });
    }
    Ok(())
}

fn check_crossings(pieces: &[Piece]) -> Result<(), GeometryError> {
    let n = pieces.len();
    let boxes: Vec<_> = pieces.iter().map(Piece::bounds).collect();
    for second in 1..n {
        for first in 0..second {
            if !boxes[first].meets(&boxes[second], JOIN_TOLERANCE_M) {
                continue;
            }
            let (a, b) = (&pieces[first], &pieces[second]);
            let (ab, ba) = (second == first + 1, first == 0 && second == n - 1);
            let bad =
                if ab || ba { neighbours_meet_again(a, b, ab, ba) } else { !crossings(a, b).is_empty() };
            if bad {
                return Err(GeometryError::SelfIntersection { first, second });
            }
        }
    }
    Ok(())
}

/// Whether two pieces that share an end (`ab`: a's end is b's start, `ba`: b's end is a's start) meet anywhere else.
fn neighbours_meet_again(a: &Piece, b: &Piece, ab: bool, ba: bool) -> bool {
    let mut shared = Vec::with_capacity(2);
    let mut free = Vec::with_capacity(2);
    if ab {
        shared.push(b.start());
    } else {
        free.push((a.end(), b));
        free.push((b.start(), a));
    }
    if ba {
        shared.push(a.start());
    } else {
        free.push((a.start(), b));
        free.push((b.end(), a));
    }
    let is_shared = |p: Vec2| shared.iter().any(|v| (v - p).norm() <= 2.0 * JOIN_TOLERANCE_M);
    let again = shared
        .iter()
        .any(|v| other_crossing(a, b, *v).is_some_and(|p| !is_shared(p) && touches(a, p) && touches(b, p)));
    again || free.iter().any(|(end, piece)| touches(piece, *end))
}
