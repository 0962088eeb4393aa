//! Which of several surfaces in one direction stands first.
//!
//! Every span fills an angle as the brush sees it. The ends of all of them cut the turn into sectors; in each the nearest span is seen, and sectors that follow
//! each other in one span are one stretch of it. Only the order of directions counts, so they are counted by a number that grows with the angle and needs no
//! arctangent: 0 toward the middle of the first span, 1 square to it, from −2 to 2 all round. Half a turn is 2 wherever it begins.

use super::visible_part;
use super::{Span, wrap};
use crate::elementary::Elementary;
use crate::geometry::{Piece, Vec2};
use crate::vehicle::Outline;

/// Directions closer than this are the same.
const TOUCH: f64 = 1e-12;

/// Reusable scratch.
#[derive(Debug, Clone, Default)]
pub(super) struct ShadowScratch {
    fans: Vec<Fan>,
    cuts: Vec<Toward>,
    seen: Vec<Span>,
}

/// A direction from the brush.
#[derive(Debug, Clone, Copy)]
struct Toward {
    /// Of any length; made one where a ray is sent.
    to: Vec2,
    /// Its number: −2 to 2.
    turn: f64,
}

impl Toward {
    fn new(ahead: Vec2, to: Vec2) -> Toward {
        let (along, across) = (ahead.dot(&to), ahead.perp(&to));
        let part = across / (along.abs() + across.abs());
        Toward { to, turn: if along >= 0.0 { part } else { 2.0_f64.copysign(across) - part } }
    }

    fn unit(&self) -> Vec2 {
        self.to.normalize()
    }
}

/// A span and the directions it fills.
#[derive(Debug, Clone, Copy)]
struct Fan {
    span: Span,
    low: Toward,
    high: Toward,
}

/// Sectors that follow each other in one fan.
#[derive(Debug, Clone, Copy)]
struct Run {
    fan: usize,
    low: Toward,
    high: Toward,
}

fn piece_of<'a>(outlines: &'a [Outline], span: &Span) -> &'a Piece {
    &outlines[span.outline].chain.pieces()[span.piece]
}

impl ShadowScratch {
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
        self.cuts.extend(self.fans.iter().flat_map(|fan| [fan.low, fan.high]));
        self.cuts.sort_unstable_by(|a, b| a.turn.total_cmp(&b.turn));
        let mut run: Option<Run> = None;
        for sector in 1..self.cuts.len() {
            let (low, high) = (self.cuts[sector - 1], self.cuts[sector]);
            if high.turn - low.turn < TOUCH {
                continue;
            }
            let fan = self.nearest(outlines, c, low, high);
            match (&mut run, fan) {
                (Some(run), Some(fan)) if run.fan == fan => run.high = high,
                _ => {
                    self.end_run(outlines, c, run);
                    run = fan.map(|fan| Run { fan, low, high });
                }
            }
        }
        self.end_run(outlines, c, run);
        std::mem::swap(spans, &mut self.seen);
    }

    /// The fan whose surface stands first between two directions; none where nothing stands.
    fn nearest(&self, outlines: &[Outline], c: Vec2, low: Toward, high: Toward) -> Option<usize> {
        let turn = 0.5 * (low.turn + high.turn);
        let mut over = (0..self.fans.len())
            .filter(|i| self.fans[*i].low.turn <= turn && turn <= self.fans[*i].high.turn);
        let (first, second) = (over.next()?, over.next());
        if second.is_none() {
            return Some(first);
        }
        // A sector in which something stands is less than half a turn wide.
        let u = (low.unit() + high.unit()).normalize();
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
    fn end_run(&mut self, outlines: &[Outline], c: Vec2, run: Option<Run>) {
        let Some(Run { fan, low, high }) = run else { return };
        let Fan { span, low: whole_low, high: whole_high } = self.fans[fan];
        // ψ falls along the piece.
        let (to_start, to_end) = (high.turn > whole_high.turn - TOUCH, low.turn < whole_low.turn + TOUCH);
        if span.whole && to_start && to_end {
            self.seen.push(span);
            return;
        }
        let at = |toward: Toward, fallback: f64| {
            arclength_along(piece_of(outlines, &span), c, toward.unit())
                .map_or(fallback, |s_m| s_m.clamp(span.from_m, span.to_m))
        };
        let from_m = if to_start { span.from_m } else { at(high, span.from_m) };
        let to_m = if to_end { span.to_m } else { at(low, span.to_m) };
        if from_m < to_m {
            let facet = &outlines[span.outline].chain.facets()[span.piece];
            let visible = visible_part::within(&span.visible, facet, from_m, to_m);
            self.seen.push(Span { from_m, to_m, visible, whole: false, ..span });
        }
    }

    /// Fills in the directions of the spans; says whether any two overlap. A span that straddles the direction opposite to `ahead` is cut
    /// in two there, so that all directions lie within one turn.
    fn place_angles(&mut self, outlines: &[Outline], c: Vec2, ahead: Vec2, spans: &[Span]) -> bool {
        self.fans.clear();
        for span in spans {
            let [high, low] = span.visible.toward_ends().map(|to| Toward::new(ahead, to));
            if low.turn - high.turn > 2.0 {
                // ψ falls along the piece: from `high` down to −2, then from 2 down to `low`.
                let cut_m = arclength_along(piece_of(outlines, span), c, -ahead)
                    .map_or(span.to_m, |s_m| s_m.clamp(span.from_m, span.to_m));
                let behind = |turn: f64| Toward { to: -ahead, turn };
                let before = Span { to_m: cut_m, whole: false, ..*span };
                self.fans.push(Fan { span: before, low: behind(-2.0), high });
                let after = Span { from_m: cut_m, whole: false, ..*span };
                self.fans.push(Fan { span: after, low, high: behind(2.0) });
            } else {
                // A stretch seen edge-on has no width but for rounding.
                let high = if high.turn < low.turn { low } else { high };
                self.fans.push(Fan { span: *span, low, high });
            }
        }
        let overlap = |a: &Fan, b: &Fan| a.low.turn < b.high.turn - TOUCH && b.low.turn < a.high.turn - TOUCH;
        (0..self.fans.len()).any(|i| (0..i).any(|j| overlap(&self.fans[i], &self.fans[j])))
    }
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
            (mid + wrap(out.y.arctangent2(out.x) - arc.start_rad - mid)) * arc.radius_m
        }
    })
}
