//! Which of several surfaces in one direction stands first.

use super::sight::{self};
use super::{Span, wrap};
use crate::geometry::{Piece, Vec2};
use crate::vehicle::Outline;
use std::f64::consts::PI;

/// Angles closer than this are the same, rad.
const TOUCH_RAD: f64 = 1e-12;

/// Reusable room.
#[derive(Debug, Clone, Default)]
pub(super) struct ShadowRoom {
    fans: Vec<Fan>,
    cuts: Vec<f64>,
    seen: Vec<Span>,
}

/// A span and the directions it fills, rad from the middle of the first span.
#[derive(Debug, Clone, Copy)]
struct Fan {
    span: Span,
    low_rad: f64,
    high_rad: f64,
}

fn piece_of<'a>(outlines: &'a [Outline], span: &Span) -> &'a Piece {
    &outlines[span.outline].chain.pieces()[span.piece]
}

impl ShadowRoom {
    /// Cuts the spans to what a ray from `c` meets first.
    pub fn keep_first_surface(&mut self, outlines: &[Outline], c: Vec2, spans: &mut Vec<Span>) {
        let first = &spans[0];
        let middle = piece_of(outlines, first).point_at(0.5 * (first.from_m + first.to_m)) - c;
        let reference = middle.y.atan2(middle.x);
        if !self.place_angles(outlines, c, reference, spans) {
            return;
        }
        self.cuts.clear();
        self.seen.clear();
        self.cuts.extend(self.fans.iter().flat_map(|fan| [fan.low_rad, fan.high_rad]));
        self.cuts.sort_by(f64::total_cmp);
        for pair in self.cuts.windows(2) {
            let (low, high) = (pair[0], pair[1]);
            if high - low < TOUCH_RAD {
                continue;
            }
            let mid = 0.5 * (low + high);
            let mut best: Option<(f64, &Span)> = None;
            for fan in self.fans.iter().filter(|fan| fan.low_rad <= mid && mid <= fan.high_rad) {
                if let Some((rho, _)) = piece_at_angle(piece_of(outlines, &fan.span), c, reference + mid)
                    && best.is_none_or(|(b, _)| rho < b)
                {
                    best = Some((rho, &fan.span));
                }
            }
            let Some((_, span)) = best else { continue };
            let at = |psi: f64, fallback: f64| {
                piece_at_angle(piece_of(outlines, span), c, reference + psi)
                    .map_or(fallback, |(_, s)| s.clamp(span.from_m, span.to_m))
            };
            let (from_m, to_m) = (at(high, span.from_m), at(low, span.to_m));
            if from_m < to_m {
                let facet = &outlines[span.outline].chain.facets()[span.piece];
                let sight = sight::part(&span.sight, facet, from_m, to_m);
                self.seen.push(Span { from_m, to_m, sight, ..*span });
            }
        }
        std::mem::swap(spans, &mut self.seen);
    }

    /// Fills in the directions of the spans; says whether any two overlap. A span that straddles the direction opposite the reference is cut
    /// in two there, so that all angles lie within one turn.
    fn place_angles(&mut self, outlines: &[Outline], c: Vec2, reference: f64, spans: &[Span]) -> bool {
        self.fans.clear();
        for span in spans {
            let piece = piece_of(outlines, span);
            let angle = |s_m: f64| {
                let p = piece.point_at(s_m) - c;
                wrap(p.y.atan2(p.x) - reference)
            };
            let (high, low) = (angle(span.from_m), angle(span.to_m));
            if low - high > PI {
                // ψ falls along the piece: from `high` down to −π, then from π down to `low`.
                let cut_m = piece_at_angle(piece, c, reference + PI)
                    .map_or(span.to_m, |(_, s)| s.clamp(span.from_m, span.to_m));
                let before = Span { to_m: cut_m, ..*span };
                self.fans.push(Fan { span: before, low_rad: -PI, high_rad: high });
                let after = Span { from_m: cut_m, ..*span };
                self.fans.push(Fan { span: after, low_rad: low, high_rad: PI });
            } else {
                // A stretch seen edge-on has no width but for rounding.
                self.fans.push(Fan { span: *span, low_rad: low, high_rad: high.max(low) });
            }
        }
        let overlap =
            |a: &Fan, b: &Fan| a.low_rad < b.high_rad - TOUCH_RAD && b.low_rad < a.high_rad - TOUCH_RAD;
        (0..self.fans.len()).any(|i| (0..i).any(|j| overlap(&self.fans[i], &self.fans[j])))
    }
}

/// Distance and local arclength where the ray from c at angle ψ first meets the (unbounded) line or circle of a piece.
fn piece_at_angle(piece: &Piece, c: Vec2, psi: f64) -> Option<(f64, f64)> {
    let (sin, cos) = psi.sin_cos();
    let u = Vec2::new(cos, sin);
    match piece {
        Piece::Line(line) => {
            let along = line.b - line.a;
            let t = along / along.norm();
            let n = Vec2::new(t.y, -t.x);
            let toward = -u.dot(&n);
            if toward <= 0.0 {
                return None;
            }
            let rho = (c - line.a).dot(&n) / toward;
            Some((rho, (c + u * rho - line.a).dot(&t)))
        }
        Piece::Arc(arc) => {
            let q = c - arc.center;
            let b = q.dot(&u);
            let root = (b * b - q.norm_squared() + arc.radius_m * arc.radius_m).max(0.0).sqrt();
            let rho = -b - root;
            let p = q + u * rho;
            let mid = 0.5 * arc.sweep_rad;
            let along = mid + wrap(p.y.atan2(p.x) - arc.start_rad - mid);
            Some((rho, along * arc.radius_m))
        }
    }
}
