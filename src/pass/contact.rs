//! Brush against vehicle outline: the push of the strips, their friction and their rubbing, per unit height.
//!
//! A strip at angle ψ whose ray meets the surface at ρ < R is pressed by δ = R − ρ and pushes back radially with
//! dF = K δ^p dψ; it also rubs with μ dF against the motion of its tip over the surface. Only the first surface a ray meets
//! counts. Past the hub radius R₀ a much stiffer law (p = 1) is added: the hub is struck.
//!
//! Signs: `center_m` and `velocity_m_s` are the brush centre in the vehicle frame and its velocity *relative to the vehicle*; spin is
//! positive counterclockwise. Forces are those on the **brush**. For a counterclockwise chain seen from outside, ψ falls as
//! arclength grows.
//!
//! This file finds which stretches of an outline strips touch; `strips` sums what they do there. Concave arcs are passed over: outlines of
//! vehicles hold none.

mod strips;

pub use strips::{SurfacePoint, chain_contact, span_contact, surface_point};

use crate::geometry::{Arc, Line, Piece, Vec2};
use crate::vehicle::Outline;

/// What a brush brings to a contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactLaw {
    /// R, m.
    pub radius_m: f64,
    /// R₀, m.
    pub hub_radius_m: f64,
    /// K(ω), N/(m^(p+1) rad).
    pub stiffness: f64,
    /// p.
    pub exponent: f64,
    /// μ.
    pub friction: f64,
    /// ω in the unit frame, rad/s.
    pub spin_rad_s: f64,
    /// Extra stiffness past the hub radius, N/(m² rad).
    pub hub_stiffness: f64,
}

/// Tip speed below which friction fades linearly to zero, m/s: keeps a stopped brush from chattering on a surface at rest under it.
pub const FRICTION_FADE_M_S: f64 = 1.0e-3;

/// Contact of one outline or one piece of it, per metre of height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactSum {
    /// Radial push on the brush, N/m; its line passes through the brush centre.
    pub push_n_m: Vec2,
    /// Friction on the brush, N/m.
    pub friction_n_m: Vec2,
    /// Moment of the friction about the brush centre, N m per m; against the spin when positive spin is rubbing.
    pub moment_n: f64,
    /// Sum of the radial magnitudes ∫dF, N/m.
    pub radial_sum_n_m: f64,
    /// Friction power ∫ μ dF |v_tip|, W/m.
    pub rubbing_w_m: f64,
    /// Power the contact takes, −Σ force on a strip · velocity of that strip over the surface, W/m: rubbing, and the flexing of strips
    /// as the brush comes nearer (given back, negative, as it leaves).
    pub absorbed_w_m: f64,
    /// Deepest press δ, m.
    pub deepest_m: f64,
}

impl Default for ContactSum {
    fn default() -> Self {
        ContactSum {
            push_n_m: Vec2::zeros(),
            friction_n_m: Vec2::zeros(),
            moment_n: 0.0,
            radial_sum_n_m: 0.0,
            rubbing_w_m: 0.0,
            absorbed_w_m: 0.0,
            deepest_m: 0.0,
        }
    }
}

impl ContactSum {
    /// Adds another contact.
    pub fn add(&mut self, other: &ContactSum) {
        self.push_n_m += other.push_n_m;
        self.friction_n_m += other.friction_n_m;
        self.moment_n += other.moment_n;
        self.radial_sum_n_m += other.radial_sum_n_m;
        self.rubbing_w_m += other.rubbing_w_m;
        self.absorbed_w_m += other.absorbed_w_m;
        self.deepest_m = self.deepest_m.max(other.deepest_m);
    }

    /// Total force on the brush, N/m.
    pub fn force_n_m(&self) -> Vec2 {
        self.push_n_m + self.friction_n_m
    }
}

/// The part of one piece that strips touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Index of the outline in its band.
    pub outline: usize,
    /// Index of the piece in the outline's chain.
    pub piece: usize,
    /// Start, as local arclength on the piece, m.
    pub from_m: f64,
    /// End, as local arclength on the piece, m.
    pub to_m: f64,
    psi_low: f64,
    psi_high: f64,
}

/// Reusable room for the spans of one contact.
#[derive(Debug, Clone, Default)]
pub struct SpanRoom {
    found: Vec<Span>,
    cuts: Vec<f64>,
    seen: Vec<Span>,
}

/// Outward unit normal and unit tangent of a line.
fn line_frame(line: &Line) -> (Vec2, Vec2, f64) {
    let along = line.b - line.a;
    let length = along.norm();
    let t = along / length;
    (Vec2::new(t.y, -t.x), t, length)
}

/// Unit vector from an arc's centre to its middle.
fn arc_middle(arc: &Arc) -> Vec2 {
    let (sin, cos) = (arc.start_rad + 0.5 * arc.sweep_rad).sin_cos();
    Vec2::new(cos, sin)
}

/// Local arclength interval of a line (start, unit tangent, length) within radius R of c and facing it.
fn line_span(a: Vec2, t: Vec2, length: f64, c: Vec2, radius_m: f64) -> Option<(f64, f64)> {
    let rel = c - a;
    let d = rel.x * t.y - rel.y * t.x;
    if d <= 0.0 || d >= radius_m {
        return None;
    }
    let foot = rel.dot(&t);
    let w = (radius_m * radius_m - d * d).sqrt();
    let from = (foot - w).max(0.0);
    let to = (foot + w).min(length);
    (from < to).then_some((from, to))
}

/// Local arclength interval of a convex arc within radius R of c and facing it. `middle` is the unit vector to the middle of the arc.
fn arc_span(arc: &Arc, middle: Vec2, c: Vec2, radius_m: f64) -> Option<(f64, f64)> {
    let q = c - arc.center;
    let r = arc.radius_m;
    let dist_squared = q.norm_squared();
    if dist_squared <= r * r || dist_squared >= (r + radius_m) * (r + radius_m) || arc.sweep_rad <= 0.0 {
        return None;
    }
    let dist = dist_squared.sqrt();
    let within = (r * r + dist_squared - radius_m * radius_m) / (2.0 * r * dist);
    let facing = r / dist;
    let cos_half = within.max(facing);
    if cos_half >= 1.0 {
        return None;
    }
    let half = small_acos(cos_half);
    let mid = 0.5 * arc.sweep_rad;
    let toward = small_atan2(middle.x * q.y - middle.y * q.x, q.dot(&middle), dist);
    let from = (mid + toward - half).max(0.0);
    let to = (mid + toward + half).min(arc.sweep_rad);
    (from < to).then_some((from * r, to * r))
}

/// asin of a small sine by series; full precision below 0.05.
fn asin_series(s: f64) -> f64 {
    let q = s * s;
    s * (1.0
        + q * (1.0 / 6.0
            + q * (3.0 / 40.0 + q * (15.0 / 336.0 + q * (105.0 / 3456.0 + q * 945.0 / 42240.0)))))
}

/// acos, by series where it is small: long flat arcs are the common case.
fn small_acos(cos: f64) -> f64 {
    let sin_squared = (1.0 - cos) * (1.0 + cos);
    if cos > 0.0 && sin_squared < 0.0025 { asin_series(sin_squared.sqrt()) } else { cos.acos() }
}

/// atan2 of a vector of known length, by series where it is small.
fn small_atan2(y: f64, x: f64, length: f64) -> f64 {
    if x > 0.0 && y.abs() < 0.05 * length { asin_series(y / length) } else { y.atan2(x) }
}

/// Wraps an angle into (−π, π].
fn wrap(angle: f64) -> f64 {
    let tau = std::f64::consts::TAU;
    angle - tau * ((angle + std::f64::consts::PI) / tau).floor()
}

/// Point of a piece at a local arclength, without the checks of the general call.
fn piece_point(piece: &Piece, s_m: f64) -> Vec2 {
    match piece {
        Piece::Line(line) => {
            let (_, t, _) = line_frame(line);
            line.a + t * s_m
        }
        Piece::Arc(arc) => {
            let (sin, cos) = (arc.start_rad + s_m / arc.radius_m).sin_cos();
            arc.center + Vec2::new(cos, sin) * arc.radius_m
        }
    }
}

/// Finds the spans of a band's outlines that strips of radius R centred at `c` touch, first surface only.
pub fn find_spans<'r>(outlines: &[Outline], c: Vec2, radius_m: f64, room: &'r mut SpanRoom) -> &'r [Span] {
    room.found.clear();
    for (index, outline) in outlines.iter().enumerate() {
        let chain = &outline.chain;
        let bounds = chain.bounds();
        if c.x < bounds.min.x - radius_m
            || c.x > bounds.max.x + radius_m
            || c.y < bounds.min.y - radius_m
            || c.y > bounds.max.y + radius_m
        {
            continue;
        }
        for (piece_index, piece) in chain.pieces_near(c, radius_m) {
            let span = match piece {
                Piece::Line(line) => {
                    let (t, length) = chain.line_frame(piece_index).unwrap_or_else(|| {
                        let (_, t, length) = line_frame(line);
                        (t, length)
                    });
                    line_span(line.a, t, length, c, radius_m)
                }
                Piece::Arc(arc) => {
                    let middle = chain.arc_middle(piece_index).unwrap_or_else(|| arc_middle(arc));
                    arc_span(arc, middle, c, radius_m)
                }
            };
            if let Some((from_m, to_m)) = span {
                room.found.push(Span {
                    outline: index,
                    piece: piece_index,
                    from_m,
                    to_m,
                    psi_low: 0.0,
                    psi_high: 0.0,
                });
            }
        }
    }
    if several_runs(outlines, &room.found) && place_angles(outlines, c, &mut room.found) {
        first_surface(outlines, c, room);
        return &room.seen;
    }
    &room.found
}

/// Whether the spans are more than one unbroken run of one outline. Along a run of pieces that face the brush ψ only falls, so nothing in
/// it can hide another part of it; only a second run can.
fn several_runs(outlines: &[Outline], spans: &[Span]) -> bool {
    if spans.len() < 2 {
        return false;
    }
    let outline = spans[0].outline;
    if outlines[outline].chain.is_convex() && spans.iter().all(|s| s.outline == outline) {
        return false;
    }
    let breaks = (0..spans.len())
        .filter(|&i| {
            let (here, next) = (&spans[i], &spans[(i + 1) % spans.len()]);
            let chain = &outlines[here.outline].chain;
            let whole = chain.pieces()[here.piece].length_m();
            here.outline != next.outline
                || (here.piece + 1) % chain.pieces().len() != next.piece
                || here.to_m < whole * (1.0 - 1e-12)
                || next.from_m > 0.0
        })
        .count();
    breaks > 1
}

/// Fills in the angular limits of the spans, relative to the middle of the first; says whether any two overlap. A span that straddles the
/// direction opposite that middle is cut in two there, so that all angles lie within one turn.
fn place_angles(outlines: &[Outline], c: Vec2, spans: &mut Vec<Span>) -> bool {
    use std::f64::consts::PI;
    let piece_of = |span: &Span| &outlines[span.outline].chain.pieces()[span.piece];
    let angle = |span: &Span, s_m: f64| {
        let p = piece_point(piece_of(span), s_m) - c;
        p.y.atan2(p.x)
    };
    let reference = angle(&spans[0], 0.5 * (spans[0].from_m + spans[0].to_m));
    for i in 0..spans.len() {
        let span = spans[i];
        let high = wrap(angle(&span, span.from_m) - reference);
        let low = wrap(angle(&span, span.to_m) - reference);
        // A stretch seen edge-on has no width but for rounding.
        (spans[i].psi_low, spans[i].psi_high) = (low, high.max(low));
        if low - high > PI {
            // ψ falls along the piece: from `high` down to −π, then from π down to `low`.
            let cut_m = piece_at_angle(piece_of(&span), c, reference + PI)
                .map_or(span.to_m, |(_, s)| s.clamp(span.from_m, span.to_m));
            spans[i] = Span { to_m: cut_m, psi_low: -PI, psi_high: high, ..span };
            spans.push(Span { from_m: cut_m, psi_low: low, psi_high: PI, ..span });
        }
    }
    const TOUCH: f64 = 1e-12;
    (0..spans.len()).any(|i| {
        (0..i).any(|j| {
            spans[i].psi_low < spans[j].psi_high - TOUCH && spans[j].psi_low < spans[i].psi_high - TOUCH
        })
    })
}

/// Keeps, for every ray, only the nearest of overlapping spans.
fn first_surface(outlines: &[Outline], c: Vec2, room: &mut SpanRoom) {
    room.cuts.clear();
    room.seen.clear();
    for span in &room.found {
        room.cuts.push(span.psi_low);
        room.cuts.push(span.psi_high);
    }
    room.cuts.sort_by(f64::total_cmp);
    let first = &room.found[0];
    let middle =
        piece_point(&outlines[first.outline].chain.pieces()[first.piece], 0.5 * (first.from_m + first.to_m))
            - c;
    let reference = middle.y.atan2(middle.x);
    for pair in room.cuts.windows(2) {
        let (low, high) = (pair[0], pair[1]);
        if high - low < 1e-12 {
            continue;
        }
        let mid = 0.5 * (low + high);
        let mut best: Option<(f64, &Span)> = None;
        for span in &room.found {
            if span.psi_low <= mid && mid <= span.psi_high {
                let piece = &outlines[span.outline].chain.pieces()[span.piece];
                if let Some((rho, _)) = piece_at_angle(piece, c, reference + mid)
                    && best.is_none_or(|(b, _)| rho < b)
                {
                    best = Some((rho, span));
                }
            }
        }
        let Some((_, span)) = best else { continue };
        let piece = &outlines[span.outline].chain.pieces()[span.piece];
        let at = |psi: f64, fallback: f64| {
            piece_at_angle(piece, c, reference + psi)
                .map_or(fallback, |(_, s)| s.clamp(span.from_m, span.to_m))
        };
        let (from_m, to_m) = (at(high, span.from_m), at(low, span.to_m));
        if from_m < to_m {
            room.seen.push(Span { from_m, to_m, psi_low: low, psi_high: high, ..*span });
        }
    }
}

/// Distance and local arclength where the ray from c at angle ψ first meets the (unbounded) line or circle of a piece.
fn piece_at_angle(piece: &Piece, c: Vec2, psi: f64) -> Option<(f64, f64)> {
    let (sin, cos) = psi.sin_cos();
    let u = Vec2::new(cos, sin);
    match piece {
        Piece::Line(line) => {
            let (n, t, _) = line_frame(line);
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
