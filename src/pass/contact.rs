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
//! On a line piece with p = 1 the integrals are closed forms (u measured along the tangent from the foot of the normal, d the
//! distance, φ = atan(u/d)): ∫(R − d/cos φ) cos φ = R sin φ − d φ, ∫(R − d/cos φ) sin φ = −R cos φ + d ln cos φ,
//! ∫(R − d/cos φ) = R φ − d asinh(u/d); the tip speed over the surface is constant along a line (v·t − ω d). Arc pieces and other
//! exponents use Gauss–Legendre points.

use crate::geometry::{Arc, Chain, Line, Piece, Vec2};
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

/// Whether the spans are more than one unbroken run of one outline. Along a run of pieces that face the brush ψ only falls, so nothing in it
/// can hide another part of it; only a second run can.
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

/// Fills in the angular limits of the spans, relative to the middle of the first; says whether any two overlap.
fn place_angles(outlines: &[Outline], c: Vec2, spans: &mut [Span]) -> bool {
    let angle = |span: &Span, s_m: f64| {
        let p = piece_point(&outlines[span.outline].chain.pieces()[span.piece], s_m) - c;
        p.y.atan2(p.x)
    };
    let reference = angle(&spans[0], 0.5 * (spans[0].from_m + spans[0].to_m));
    for span in spans.iter_mut() {
        let (high, low) =
            (wrap(angle(span, span.from_m) - reference), wrap(angle(span, span.to_m) - reference));
        span.psi_low = low;
        // A span narrower than half a turn that straddles the cut opposite the reference.
        span.psi_high = if high < low { high + std::f64::consts::TAU } else { high };
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

/// Contact of one span: push, friction, rubbing, with strips of `law` whose centre moves at `velocity_m_s` relative to the vehicle.
pub fn span_contact(law: &ContactLaw, piece: &Piece, span: &Span, c: Vec2, velocity_m_s: Vec2) -> ContactSum {
    match piece {
        Piece::Line(line) if law.exponent == 1.0 => {
            line_contact(law, line.a, line_frame(line).1, span, c, velocity_m_s)
        }
        Piece::Arc(arc) if law.exponent == 1.0 => {
            arc_contact(law, arc, arc_middle(arc), span, c, velocity_m_s)
        }
        _ => gauss_contact(law, piece, span, c, velocity_m_s),
    }
}

/// The same for a span of a chain, which knows its lines' tangents.
pub fn chain_contact(
    law: &ContactLaw,
    chain: &Chain,
    span: &Span,
    c: Vec2,
    velocity_m_s: Vec2,
) -> ContactSum {
    let piece = &chain.pieces()[span.piece];
    match (piece, chain.line_frame(span.piece)) {
        (Piece::Line(line), Some((t, _))) if law.exponent == 1.0 => {
            line_contact(law, line.a, t, span, c, velocity_m_s)
        }
        (Piece::Arc(arc), _) if law.exponent == 1.0 => {
            let middle = chain.arc_middle(span.piece).unwrap_or_else(|| arc_middle(arc));
            arc_contact(law, arc, middle, span, c, velocity_m_s)
        }
        _ => gauss_contact(law, piece, span, c, velocity_m_s),
    }
}

/// Friction factor σ(v): −1…1, linear below [`FRICTION_FADE_M_S`].
fn rub_sense(v_m_s: f64) -> f64 {
    (v_m_s / FRICTION_FADE_M_S).clamp(-1.0, 1.0)
}

fn line_contact(law: &ContactLaw, a: Vec2, t: Vec2, span: &Span, c: Vec2, velocity_m_s: Vec2) -> ContactSum {
    let n = Vec2::new(t.y, -t.x);
    let rel = c - a;
    let d = rel.dot(&n);
    let foot = rel.dot(&t);
    let (lo, hi) = (span.from_m - foot, span.to_m - foot);
    let (mut along_n, mut along_t, mut radial) = line_integrals(law.radius_m, d, lo, hi);
    along_n *= law.stiffness;
    along_t *= law.stiffness;
    radial *= law.stiffness;
    if d < law.hub_radius_m {
        let w = (law.hub_radius_m * law.hub_radius_m - d * d).sqrt();
        let (lo, hi) = (lo.max(-w), hi.min(w));
        if lo < hi {
            let (a, b, r) = line_integrals(law.hub_radius_m, d, lo, hi);
            along_n += law.hub_stiffness * a;
            along_t += law.hub_stiffness * b;
            radial += law.hub_stiffness * r;
        }
    }
    let tip = velocity_m_s.dot(&t) - law.spin_rad_s * d;
    let rub = law.friction * radial * rub_sense(tip);
    let nearest = if lo <= 0.0 && hi >= 0.0 { d } else { (d * d + lo.abs().min(hi.abs()).powi(2)).sqrt() };
    let push_n_m = n * along_n - t * along_t;
    ContactSum {
        push_n_m,
        friction_n_m: -t * rub,
        moment_n: d * rub,
        radial_sum_n_m: radial,
        rubbing_w_m: rub * tip,
        absorbed_w_m: rub * tip - push_n_m.dot(&velocity_m_s),
        deepest_m: law.radius_m - nearest,
    }
}

/// (∫(R − d/cos φ) cos φ, ∫(R − d/cos φ) sin φ, ∫(R − d/cos φ)) dφ between u = lo and u = hi.
fn line_integrals(radius_m: f64, d: f64, lo: f64, hi: f64) -> (f64, f64, f64) {
    let (h_lo, h_hi) = ((d * d + lo * lo).sqrt(), (d * d + hi * hi).sqrt());
    let (cos_lo, cos_hi) = (d / h_lo, d / h_hi);
    let (sin_lo, sin_hi) = (lo / h_lo, hi / h_hi);
    let dphi = (hi / d).atan() - (lo / d).atan();
    let along_n = radius_m * (sin_hi - sin_lo) - d * dphi;
    let along_t = radius_m * (cos_lo - cos_hi) + d * (h_lo / h_hi).ln();
    // asinh(hi/d) − asinh(lo/d), written so that no large terms cancel.
    let stretch = ((hi + h_hi) / (lo + h_lo)).ln();
    let stretch = if lo < 0.0 && hi < 0.0 { ((h_lo - lo) / (h_hi - hi)).ln() } else { stretch };
    (along_n, along_t, radius_m * dphi - d * stretch)
}

/// sin and cos of an angle that is mostly small: a series to full precision below 0.1 rad, the library above.
fn small_sin_cos(a: f64) -> (f64, f64) {
    if a.abs() > 0.1 {
        return a.sin_cos();
    }
    let q = a * a;
    // The next terms are below 1e-17 relative.
    let sin = a * (1.0 - q / 6.0 * (1.0 - q / 20.0 * (1.0 - q / 42.0 * (1.0 - q / 72.0))));
    let cos = 1.0 - q / 2.0 * (1.0 - q / 12.0 * (1.0 - q / 30.0 * (1.0 - q / 56.0 * (1.0 - q / 90.0))));
    (sin, cos)
}

/// An arc with p = 1: the Gauss points share one sine and cosine of the middle of the span.
fn arc_contact(
    law: &ContactLaw,
    arc: &Arc,
    middle: Vec2,
    span: &Span,
    c: Vec2,
    velocity_m_s: Vec2,
) -> ContactSum {
    let r = arc.radius_m;
    let q = c - arc.center;
    let (mid, half) = (0.5 * (span.from_m + span.to_m), 0.5 * (span.to_m - span.from_m));
    let (sin_off, cos_off) = small_sin_cos(mid / r - 0.5 * arc.sweep_rad);
    let (sin_mid, cos_mid) =
        (middle.y * cos_off + middle.x * sin_off, middle.x * cos_off - middle.y * sin_off);
    let reach = r * r + q.norm_squared();
    // Plain arrays over the six points, so that the compiler can work on several at a time.
    let (mut nx, mut ny) = ([0.0; 6], [0.0; 6]);
    for k in 0..3 {
        let (sin, cos) = small_sin_cos(half * GAUSS[3 + k].0 / r);
        let (cc, ss) = (cos_mid * cos, sin_mid * sin);
        let (sc, cs) = (sin_mid * cos, cos_mid * sin);
        (nx[k], nx[k + 3]) = (cc + ss, cc - ss);
        (ny[k], ny[k + 3]) = (sc - cs, sc + cs);
    }
    let (k, radius, hub_k, hub) = (law.stiffness, law.radius_m, law.hub_stiffness, law.hub_radius_m);
    let (mut along, mut rho, mut radial, mut rub, mut tip) =
        ([0.0; 6], [0.0; 6], [0.0; 6], [0.0; 6], [0.0; 6]);
    for i in 0..6 {
        along[i] = q.x * nx[i] + q.y * ny[i];
        let rho_squared = reach - 2.0 * r * along[i];
        rho[i] = rho_squared.sqrt();
        let per_psi = k * (radius - rho[i]).max(0.0) + hub_k * (hub - rho[i]).max(0.0);
        radial[i] = per_psi * (along[i] - r) / rho_squared * half * WEIGHTS[i];
        tip[i] = nx[i] * velocity_m_s.y - ny[i] * velocity_m_s.x - law.spin_rad_s * (along[i] - r);
        rub[i] = law.friction * radial[i] * (tip[i] / FRICTION_FADE_M_S).clamp(-1.0, 1.0);
    }
    let mut sum = ContactSum::default();
    let (mut arm_x, mut arm_y) = (0.0, 0.0);
    let mut least = f64::INFINITY;
    for i in 0..6 {
        let inward = radial[i] / rho[i];
        arm_x += inward * (nx[i] * r - q.x);
        arm_y += inward * (ny[i] * r - q.y);
        sum.friction_n_m.x += ny[i] * rub[i];
        sum.friction_n_m.y -= nx[i] * rub[i];
        sum.moment_n += (along[i] - r) * rub[i];
        sum.radial_sum_n_m += radial[i];
        sum.rubbing_w_m += rub[i] * tip[i];
        least = rho[i].min(least);
    }
    sum.push_n_m = Vec2::new(-arm_x, -arm_y);
    sum.absorbed_w_m = sum.rubbing_w_m - sum.push_n_m.dot(&velocity_m_s);
    sum.deepest_m = (law.radius_m - least).max(0.0);
    sum
}

/// Weights in the order of the arrays above.
const WEIGHTS: [f64; 6] = [GAUSS[3].1, GAUSS[4].1, GAUSS[5].1, GAUSS[3].1, GAUSS[4].1, GAUSS[5].1];

fn gauss_contact(law: &ContactLaw, piece: &Piece, span: &Span, c: Vec2, velocity_m_s: Vec2) -> ContactSum {
    let mut sum = ContactSum::default();
    let (mid, half) = (0.5 * (span.from_m + span.to_m), 0.5 * (span.to_m - span.from_m));
    for (x, weight) in GAUSS {
        let point = surface_point(law, piece, mid + half * x, c, velocity_m_s);
        let radial = point.radial_n_m2 * half * weight;
        let rub = law.friction * radial * rub_sense(point.tip_m_s);
        let friction = -point.tangent * rub;
        sum.push_n_m -= point.ray * radial;
        sum.friction_n_m += friction;
        sum.moment_n += point.arm_m.perp(&friction);
        sum.radial_sum_n_m += radial;
        sum.rubbing_w_m += rub * point.tip_m_s;
        // A strip tip moves with the centre plus ω × r, which is square to the ray.
        sum.absorbed_w_m += rub * point.tip_m_s + radial * point.ray.dot(&velocity_m_s);
        sum.deepest_m = sum.deepest_m.max(point.press_m);
    }
    sum
}

/// The contact at one point of a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfacePoint {
    /// Press δ, m.
    pub press_m: f64,
    /// dF/ds: radial force per metre of perimeter and metre of height = contact pressure, Pa.
    pub radial_n_m2: f64,
    /// Speed of the strip tip over the surface along the chain's tangent, m/s.
    pub tip_m_s: f64,
    ray: Vec2,
    arm_m: Vec2,
    tangent: Vec2,
}

/// Contact at local arclength `s_m` of a piece that the brush at `c` sees.
pub fn surface_point(law: &ContactLaw, piece: &Piece, s_m: f64, c: Vec2, velocity_m_s: Vec2) -> SurfacePoint {
    let (p, n) = match piece {
        Piece::Line(line) => {
            let (n, t, _) = line_frame(line);
            (line.a + t * s_m, n)
        }
        Piece::Arc(arc) => {
            let (sin, cos) = (arc.start_rad + s_m / arc.radius_m).sin_cos();
            let n = Vec2::new(cos, sin);
            (arc.center + n * arc.radius_m, n)
        }
    };
    let arm_m = p - c;
    let rho = arm_m.norm();
    let ray = arm_m / rho;
    let facing = -ray.dot(&n);
    let press_m = law.radius_m - rho;
    let mut per_psi = if press_m <= 0.0 {
        0.0
    } else if law.exponent == 1.0 {
        law.stiffness * press_m
    } else {
        law.stiffness * press_m.powf(law.exponent)
    };
    per_psi += law.hub_stiffness * (law.hub_radius_m - rho).max(0.0);
    let tangent = Vec2::new(-n.y, n.x);
    SurfacePoint {
        press_m,
        radial_n_m2: per_psi * facing / rho,
        tip_m_s: velocity_m_s.dot(&tangent) + law.spin_rad_s * arm_m.dot(&n),
        ray,
        arm_m,
        tangent,
    }
}

/// Gauss–Legendre nodes and weights on [−1, 1], 6 points (Abramowitz & Stegun, table 25.4, value from memory; the weights' sum and
/// the integral of x^10 are checked in the tests).
const GAUSS: [(f64, f64); 6] = [
    (-0.932_469_514_203_152, 0.171_324_492_379_170_3),
    (-0.661_209_386_466_264_5, 0.360_761_573_048_138_6),
    (-0.238_619_186_083_196_9, 0.467_913_934_572_691_04),
    (0.238_619_186_083_196_9, 0.467_913_934_572_691_04),
    (0.661_209_386_466_264_5, 0.360_761_573_048_138_6),
    (0.932_469_514_203_152, 0.171_324_492_379_170_3),
];
