//! What the strips of a brush do along one span of an outline.
//!
//! On a line piece with p = 1 the integrals are closed forms (u measured along the tangent from the foot of the normal, d the
//! distance, φ = atan(u/d)): ∫(R − d/cos φ) cos φ = R sin φ − d φ, ∫(R − d/cos φ) sin φ = −R cos φ + d ln cos φ,
//! ∫(R − d/cos φ) = R φ − d asinh(u/d); the tip speed over the surface is constant along a line (v·t − ω d).
//!
//! Arc pieces, and all pieces at other exponents, are summed at Gauss–Legendre points of the **angle of incidence** β between a strip and
//! the inward normal where it meets the surface. For an arc of radius r about o, D = |o − c|, the strip lies at ψ from the line of centres
//! with sin ψ = (r/D) sin β, its free length is ρ = D cos ψ − r cos β, and dψ = (r/D) cos β/cos ψ dβ (law of sines). On a line ψ = β and
//! ρ = d/cos β. In β the push is smooth from the deepest strip to one that grazes the surface, on a post as on a flat; in arclength it is
//! not, and six points of it are wrong by a hundredth at a press of half the radius.
//!
//! For p ≠ 1 the push starts as δ^p at the ends of a contact; a cubic stretch of the points, flat at both ends, makes that smooth too.

use super::{
    ContactLaw, ContactSum, FRICTION_FADE_M_S, Span, arc_middle, arc_span, line_frame, small_atan2, wrap,
};
use crate::geometry::{Arc, Chain, Piece, Vec2};

/// Contact of one span: push, friction, rubbing, with strips of `law` whose centre moves at `velocity_m_s` relative to the vehicle.
pub fn span_contact(law: &ContactLaw, piece: &Piece, span: &Span, c: Vec2, velocity_m_s: Vec2) -> ContactSum {
    match piece {
        Piece::Line(line) => line_or_flat(law, line.a, line_frame(line).1, span, c, velocity_m_s),
        Piece::Arc(arc) => arc_contact(law, arc, arc_middle(arc), span, c, velocity_m_s),
    }
}

/// The same for a span of a chain, which knows the tangents of its lines and the middles of its arcs.
pub fn chain_contact(
    law: &ContactLaw,
    chain: &Chain,
    span: &Span,
    c: Vec2,
    velocity_m_s: Vec2,
) -> ContactSum {
    match &chain.pieces()[span.piece] {
        Piece::Line(line) => {
            let t = chain.line_frame(span.piece).map_or_else(|| line_frame(line).1, |(t, _)| t);
            line_or_flat(law, line.a, t, span, c, velocity_m_s)
        }
        Piece::Arc(arc) => {
            let middle = chain.arc_middle(span.piece).unwrap_or_else(|| arc_middle(arc));
            arc_contact(law, arc, middle, span, c, velocity_m_s)
        }
    }
}

fn line_or_flat(law: &ContactLaw, a: Vec2, t: Vec2, span: &Span, c: Vec2, velocity_m_s: Vec2) -> ContactSum {
    if law.exponent == 1.0 {
        line_contact(law, a, t, span, c, velocity_m_s)
    } else {
        flat_contact(law, a, t, span, c, velocity_m_s)
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

/// A line at p ≠ 1: strips by quadrature, the hub (p = 1) by the closed form.
fn flat_contact(law: &ContactLaw, a: Vec2, t: Vec2, span: &Span, c: Vec2, velocity_m_s: Vec2) -> ContactSum {
    let n = Vec2::new(t.y, -t.x);
    let rel = c - a;
    let (d, foot) = (rel.dot(&n), rel.dot(&t));
    let ends = [span.from_m, span.to_m].map(|s| (s - foot).atan2(d));
    let mut sum = ContactSum::default();
    let bed = Bed { radius_m: law.radius_m, stiffness: law.stiffness, exponent: law.exponent };
    bed.sum_strips(law, ends, velocity_m_s, &mut sum, |sin, cos| Strip {
        free_m: d / cos,
        ray: t * sin - n * cos,
        tangent: t,
        cos_incidence: cos,
        dpsi: 1.0,
    });
    // No strips, only the hub.
    let hub = ContactLaw { stiffness: 0.0, ..*law };
    let struck = line_contact(&hub, a, t, span, c, velocity_m_s);
    sum.deepest_m = struck.deepest_m;
    sum.add(&struck);
    sum
}

fn arc_contact(
    law: &ContactLaw,
    arc: &Arc,
    middle: Vec2,
    span: &Span,
    c: Vec2,
    velocity_m_s: Vec2,
) -> ContactSum {
    let view = ArcView::new(arc, middle, c);
    let mut sum = ContactSum::default();
    let bed = Bed { radius_m: law.radius_m, stiffness: law.stiffness, exponent: law.exponent };
    view.sum_strips(&bed, law, (span.from_m, span.to_m), velocity_m_s, &mut sum);
    let nearest_m = view.nearest_m(span.from_m, span.to_m);
    sum.deepest_m = law.radius_m - nearest_m;
    if nearest_m < law.hub_radius_m
        && law.hub_stiffness > 0.0
        && let Some((from_m, to_m)) = arc_span(arc, middle, c, law.hub_radius_m)
    {
        let ends_m = (from_m.max(span.from_m), to_m.min(span.to_m));
        if ends_m.0 < ends_m.1 {
            let hub = Bed { radius_m: law.hub_radius_m, stiffness: law.hub_stiffness, exponent: 1.0 };
            view.sum_strips(&hub, law, ends_m, velocity_m_s, &mut sum);
        }
    }
    sum
}

/// An arc as the brush sees it. Angles θ are taken at the arc's centre from the line of centres, along the arc.
struct ArcView {
    r: f64,
    /// D, m.
    distance_m: f64,
    /// From the brush to the arc's centre, and that turned left.
    e: Vec2,
    f: Vec2,
    /// Direction of the brush from the arc's centre, as an angle along the arc.
    toward_rad: f64,
}

impl ArcView {
    fn new(arc: &Arc, middle: Vec2, c: Vec2) -> Self {
        let away = c - arc.center;
        let distance_m = away.norm();
        let e = -away / distance_m;
        let mid = 0.5 * arc.sweep_rad;
        let toward_rad =
            mid + small_atan2(middle.x * away.y - middle.y * away.x, away.dot(&middle), distance_m);
        ArcView { r: arc.radius_m, distance_m, e, f: Vec2::new(-e.y, e.x), toward_rad }
    }

    /// Distance to the nearest point of a stretch, m.
    fn nearest_m(&self, from_m: f64, to_m: f64) -> f64 {
        let gap = self.distance_m - self.r;
        let past = (from_m / self.r - self.toward_rad).max(self.toward_rad - to_m / self.r).max(0.0);
        if past == 0.0 {
            return gap;
        }
        // Cosine rule, without cancellation.
        let half_chord = (0.5 * past).sin();
        (gap * gap + 4.0 * self.distance_m * self.r * half_chord * half_chord).sqrt()
    }

    /// Adds the strips between two arclengths. Where the tips turn round on the surface (v·t = ω ρ cos β), which some do among those that
    /// just graze it, the sum is cut in two, so that the friction stays smooth in the place and speed of the brush.
    fn sum_strips(
        &self,
        bed: &Bed,
        law: &ContactLaw,
        (from_m, to_m): (f64, f64),
        velocity_m_s: Vec2,
        sum: &mut ContactSum,
    ) {
        let (r, distance) = (self.r, self.distance_m);
        let (from, to) = (from_m / r - self.toward_rad, to_m / r - self.toward_rad);
        let (from_sin, from_cos) = small_sin_cos(from);
        let (to_sin, to_cos) = small_sin_cos(to);
        // β = θ + ψ.
        let incidence = |theta: f64, sin: f64, cos: f64| theta + (r * sin).atan2(distance - r * cos);
        let (first, last) = (incidence(from, from_sin, from_cos), incidence(to, to_sin, to_cos));
        let ratio = r / distance;
        let strip = |sin: f64, cos: f64| {
            let sin_psi = ratio * sin;
            let cos_psi = (1.0 - sin_psi * sin_psi).sqrt();
            let (sin_theta, cos_theta) = (sin * cos_psi - cos * sin_psi, cos * cos_psi + sin * sin_psi);
            Strip {
                free_m: distance * cos_psi - r * cos,
                ray: self.e * cos_psi - self.f * sin_psi,
                tangent: self.e * sin_theta - self.f * cos_theta,
                cos_incidence: cos,
                dpsi: ratio * cos / cos_psi,
            }
        };
        // ρ cos β = D cos θ − r is least at the ends.
        let slowest = law.spin_rad_s.abs() * (distance * from_cos.min(to_cos) - r);
        if law.friction == 0.0 || slowest > velocity_m_s.norm() {
            bed.sum_strips(law, [first, last], velocity_m_s, sum, strip);
            return;
        }
        // Tip speed over θ: A sin θ − B cos θ + ω r, with A = v·e, B = v·f + ω D.
        let (a, b) = (velocity_m_s.dot(&self.e), velocity_m_s.dot(&self.f) + law.spin_rad_s * distance);
        let (phase, level) = (a.atan2(-b), -law.spin_rad_s * r / a.hypot(b));
        let mut begin = first;
        if level.abs() < 1.0 {
            let turn = level.acos();
            let mut cuts = [wrap(phase - turn), wrap(phase + turn)];
            if cuts[0] > cuts[1] {
                cuts.swap(0, 1);
            }
            for theta in cuts {
                if theta > from && theta < to {
                    let (sin, cos) = theta.sin_cos();
                    let cut = incidence(theta, sin, cos);
                    bed.sum_strips(law, [begin, cut], velocity_m_s, sum, strip);
                    begin = cut;
                }
            }
        }
        bed.sum_strips(law, [begin, last], velocity_m_s, sum, strip);
    }
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

/// One strip that meets a surface.
struct Strip {
    /// ρ, m.
    free_m: f64,
    /// Its direction from the brush centre.
    ray: Vec2,
    /// Tangent of the surface in the direction of the chain.
    tangent: Vec2,
    cos_incidence: f64,
    /// dψ/dβ.
    dpsi: f64,
}

/// A push law: K δ^p from a radius on.
struct Bed {
    radius_m: f64,
    stiffness: f64,
    exponent: f64,
}

impl Bed {
    /// Adds the strips between two angles of incidence.
    fn sum_strips(
        &self,
        law: &ContactLaw,
        ends_rad: [f64; 2],
        velocity_m_s: Vec2,
        sum: &mut ContactSum,
        strip: impl Fn(f64, f64) -> Strip,
    ) {
        let (mid, half) = (0.5 * (ends_rad[0] + ends_rad[1]), 0.5 * (ends_rad[1] - ends_rad[0]));
        let (sin_mid, cos_mid) = mid.sin_cos();
        // One sine and cosine serve the two points that lie alike on both sides of the middle.
        let mut add = |offset_sin: f64, offset_cos: f64, weight: f64| {
            let sin = sin_mid * offset_cos + cos_mid * offset_sin;
            let cos = cos_mid * offset_cos - sin_mid * offset_sin;
            let s = strip(sin, cos);
            let press = (self.radius_m - s.free_m).max(0.0);
            let force = if self.exponent == 1.0 { press } else { press.powf(self.exponent) };
            let radial = self.stiffness * force * s.dpsi * half * weight;
            // The tip moves with the centre plus ω × r; the strip's part along the tangent is −ω ρ cos β.
            let tip = velocity_m_s.dot(&s.tangent) - law.spin_rad_s * s.free_m * s.cos_incidence;
            let rub = law.friction * radial * rub_sense(tip);
            sum.push_n_m -= s.ray * radial;
            sum.friction_n_m -= s.tangent * rub;
            // ray × tangent = cos β.
            sum.moment_n += s.free_m * s.cos_incidence * rub;
            sum.radial_sum_n_m += radial;
            sum.rubbing_w_m += rub * tip;
            // A strip tip moves with the centre plus ω × r, which is square to the ray.
            sum.absorbed_w_m += rub * tip + radial * s.ray.dot(&velocity_m_s);
        };
        if self.exponent == 1.0 {
            for (x, weight) in GAUSS_6 {
                let (sin, cos) = small_sin_cos(half * x);
                add(-sin, cos, weight);
                add(sin, cos, weight);
            }
        } else {
            for (x, weight) in GAUSS_10 {
                let (to, slope) = (x * (1.5 - 0.5 * x * x), 1.5 * (1.0 - x * x));
                let (sin, cos) = small_sin_cos(half * to);
                add(-sin, cos, weight * slope);
                add(sin, cos, weight * slope);
            }
        }
    }
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

/// Positive Gauss–Legendre nodes on [−1, 1] and their weights, 6 points (Abramowitz & Stegun, table 25.4, value from memory; see the test).
const GAUSS_6: [(f64, f64); 3] = [
    (0.238_619_186_083_196_9, 0.467_913_934_572_691_04),
    (0.661_209_386_466_264_5, 0.360_761_573_048_138_6),
    (0.932_469_514_203_152, 0.171_324_492_379_170_3),
];

/// The same for 10 points.
const GAUSS_10: [(f64, f64); 5] = [
    (0.148_874_338_981_631_2, 0.295_524_224_714_752_9),
    (0.433_395_394_129_247_2, 0.269_266_719_309_996_4),
    (0.679_409_568_299_024_4, 0.219_086_362_515_982_04),
    (0.865_063_366_688_984_5, 0.149_451_349_150_580_6),
    (0.973_906_528_517_171_7, 0.066_671_344_308_688_14),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// n points integrate x^(2n − 2) exactly, and the next even power not.
    #[test]
    fn verif_gauss_points() {
        let sum = |rule: &[(f64, f64)], power: i32| {
            rule.iter().map(|(x, w)| 2.0 * w * x.powi(power)).sum::<f64>() * f64::from(power + 1) / 2.0
        };
        for (rule, n) in [(&GAUSS_6[..], 6), (&GAUSS_10[..], 10)] {
            for power in (0..2 * n).step_by(2) {
                assert!((sum(rule, power) - 1.0).abs() < 1e-14, "x^{power} with {n} points");
            }
            assert!((sum(rule, 2 * n) - 1.0).abs() > 1e-6);
        }
    }
}
