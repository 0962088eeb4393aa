//! Which of several surfaces in one direction stands first.
//!
//! Every span fills an angle as the brush sees it. The ends of all of them cut the turn into sectors; in each the nearest span is seen, and sectors that follow
//! each other in one span are one stretch of it. Angles are counted from the middle of the first span.

use super::sight;
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

/// Sectors that follow each other in one fan.
#[derive(Debug, Clone, Copy)]
struct Run {
    fan: usize,
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
        let ahead = middle.normalize();
        if !self.place_angles(outlines, c, ahead, spans) {
            return;
        }
        self.cuts.clear();
        self.seen.clear();
        self.cuts.extend(self.fans.iter().flat_map(|fan| [fan.low_rad, fan.high_rad]));
        self.cuts.sort_unstable_by(f64::total_cmp);
        let mut run: Option<Run> = None;
        for sector in 1..self.cuts.len() {
            let (low_rad, high_rad) = (self.cuts[sector - 1], self.cuts[sector]);
            if high_rad - low_rad < TOUCH_RAD {
                continue;
            }
            let fan = self.nearest(outlines, c, ahead, 0.5 * (low_rad + high_rad));
            match (&mut run, fan) {
                (Some(run), Some(fan)) if run.fan == fan => run.high_rad = high_rad,
                _ => {
                    self.end_run(outlines, c, ahead, run);
                    run = fan.map(|fan| Run { fan, low_rad, high_rad });
                }
            }
        }
        self.end_run(outlines, c, ahead, run);
        std::mem::swap(spans, &mut self.seen);
    }

    /// The fan whose surface stands first at an angle; none where nothing stands.
    fn nearest(&self, outlines: &[Outline], c: Vec2, ahead: Vec2, at_rad: f64) -> Option<usize> {
        let mut over = (0..self.fans.len())
            .filter(|i| self.fans[*i].low_rad <= at_rad && at_rad <= self.fans[*i].high_rad);
        let (first, second) = (over.next()?, over.next());
        if second.is_none() {
            return Some(first);
        }
        let u = turned(ahead, at_rad);
        let mut best: Option<(f64, usize)> = None;
        for fan in [first].into_iter().chain(second).chain(over) {
            if let Some(rho) = distance_along(piece_of(outlines, &self.fans[fan].span), c, u)
                && best.is_none_or(|(b, _)| rho < b)
            {
                best = Some((rho, fan));
            }
        }
        best.map(|(_, fan)| fan)
    }

    /// Keeps the stretch of a span that a run of sectors shows.
    fn end_run(&mut self, outlines: &[Outline], c: Vec2, ahead: Vec2, run: Option<Run>) {
        let Some(Run { fan, low_rad, high_rad }) = run else { return };
        let Fan { span, low_rad: whole_low, high_rad: whole_high } = self.fans[fan];
        // ψ falls along the piece.
        let (to_start, to_end) = (high_rad > whole_high - TOUCH_RAD, low_rad < whole_low + TOUCH_RAD);
        if span.whole_kind.is_some() && to_start && to_end {
            self.seen.push(span);
            return;
        }
        let at = |psi_rad: f64, fallback: f64| {
            arclength_along(piece_of(outlines, &span), c, turned(ahead, psi_rad))
                .map_or(fallback, |s_m| s_m.clamp(span.from_m, span.to_m))
        };
        let from_m = if to_start { span.from_m } else { at(high_rad, span.from_m) };
        let to_m = if to_end { span.to_m } else { at(low_rad, span.to_m) };
        if from_m < to_m {
            let facet = &outlines[span.outline].chain.facets()[span.piece];
            let sight = sight::part(&span.sight, facet, from_m, to_m);
            self.seen.push(Span { from_m, to_m, sight, whole_kind: None, ..span });
        }
    }

    /// Fills in the directions of the spans; says whether any two overlap. A span that straddles the direction opposite to `ahead` is cut
    /// in two there, so that all angles lie within one turn.
    fn place_angles(&mut self, outlines: &[Outline], c: Vec2, ahead: Vec2, spans: &[Span]) -> bool {
        self.fans.clear();
        for span in spans {
            let [high_rad, low_rad] =
                span.sight.toward_ends().map(|to| ahead.perp(&to).atan2(ahead.dot(&to)));
            if low_rad - high_rad > PI {
                // ψ falls along the piece: from `high` down to −π, then from π down to `low`.
                let cut_m = arclength_along(piece_of(outlines, span), c, -ahead)
                    .map_or(span.to_m, |s_m| s_m.clamp(span.from_m, span.to_m));
                let before = Span { to_m: cut_m, whole_kind: None, ..*span };
                self.fans.push(Fan { span: before, low_rad: -PI, high_rad });
                let after = Span { from_m: cut_m, whole_kind: None, ..*span };
                self.fans.push(Fan { span: after, low_rad, high_rad: PI });
            } else {
                // A stretch seen edge-on has no width but for rounding.
                self.fans.push(Fan { span: *span, low_rad, high_rad: high_rad.max(low_rad) });
            }
        }
        let overlap =
            |a: &Fan, b: &Fan| a.low_rad < b.high_rad - TOUCH_RAD && b.low_rad < a.high_rad - TOUCH_RAD;
        (0..self.fans.len()).any(|i| (0..i).any(|j| overlap(&self.fans[i], &self.fans[j])))
    }
}

/// A unit vector turned left by an angle.
fn turned(ahead: Vec2, by_rad: f64) -> Vec2 {
    let (sin, cos) = by_rad.sin_cos();
    Vec2::new(ahead.x * cos - ahead.y * sin, ahead.y * cos + ahead.x * sin)
}

/// How far from c the ray along `u` first meets the (unbounded) line or circle of a piece, m; none where it leaves a line behind.
fn distance_along(piece: &Piece, c: Vec2, u: Vec2) -> Option<f64> {
    match piece {
        Piece::Line(line) => {
            let along = line.b - line.a;
            // Both over the length of the line, which falls out.
            let toward = along.perp(&u);
            (toward > 0.0).then(|| (c - line.a).perp(&along) / toward)
        }
        Piece::Arc(arc) => {
            let q = c - arc.center;
            let b = q.dot(&u);
            let root = (b * b - q.norm_squared() + arc.radius_m * arc.radius_m).max(0.0).sqrt();
            Some(-b - root)
        }
    }
}

/// Local arclength where that ray meets it, m.
fn arclength_along(piece: &Piece, c: Vec2, u: Vec2) -> Option<f64> {
    let p = c + u * distance_along(piece, c, u)?;
    Some(match piece {
        Piece::Line(line) => (p - line.a).dot(&(line.b - line.a).normalize()),
        Piece::Arc(arc) => {
            let (out, mid) = (p - arc.center, 0.5 * arc.sweep_rad);
            (mid + wrap(out.y.atan2(out.x) - arc.start_rad - mid)) * arc.radius_m
        }
    })
}
