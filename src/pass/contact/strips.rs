//! What the strips of a brush do along what it sees of one piece.
//!
//! On a line piece with p = 1 or 0 the integrals are closed forms (u measured along the tangent from the foot of the normal, d the
//! distance, φ = atan(u/d)): ∫(R − d/cos φ) cos φ = R sin φ − d φ, ∫(R − d/cos φ) sin φ = −R cos φ + d ln cos φ. The push is the first, its
//! moment about the spindle −d times the second, for u cos φ = d sin φ; the tip speed over the surface is constant along a line (v·t − ω d).
//!
//! Arc pieces, and all pieces at other exponents, are summed at Gauss–Legendre points of tan(β/4), β the **angle of incidence** between
//! a strip and the inward normal where it meets the surface. For an arc of radius r about o, D = |o − c|, the strip lies at ψ from the line
//! of centres with sin ψ = (r/D) sin β, its free length is ρ = D cos ψ − r cos β, and dψ = (r/D) cos β/cos ψ dβ (law of sines). On a line
//! ψ = β and ρ = d/cos β. In β (and its tangents) the push is smooth from the deepest strip to one that grazes the surface, on a post as on a flat; in
//! arclength it is not, and six points of it are wrong by a hundredth at a press of half the radius. Tangents need no sine or cosine.
//!
//! For p ≠ 1 the push starts as δ^p at the ends of a contact; a cubic stretch of the points, flat at both ends, makes that smooth too.

mod gauss;
mod steady;

use crate::elementary::Elementary;
use gauss::{GAUSS_4, GAUSS_6, GAUSS_8, GAUSS_16, HALF_SOFT, SOFT_16};
use steady::Steady;

use super::visible_part::{VisibleArc, VisibleLine, VisiblePart, visible_part, within};
use super::{ContactLaw, ContactSum, FRICTION_FADE_M_S, Span};
use crate::geometry::{Facet, Piece, Vec2};

/// Contact of one span: push, friction, rubbing, with strips of `law` centred at `c` whose centre moves at `velocity_m_s` relative to the
/// vehicle. Where the span was found for the same brush at the same place, [`Span::contact`] gives the same and is faster.
pub fn span_contact(law: &ContactLaw, piece: &Piece, span: &Span, c: Vec2, velocity_m_s: Vec2) -> ContactSum {
    let facet = Facet::of(piece);
    visible_part(&facet, c, law.radius_m).map_or_else(ContactSum::default, |(visible, _)| {
        contact(law, &within(&visible, &facet, span.from_m, span.to_m), velocity_m_s)
    })
}

/// Contact along what is seen of a piece.
pub(super) fn contact(law: &ContactLaw, visible: &VisiblePart, velocity_m_s: Vec2) -> ContactSum {
    match visible {
        VisiblePart::Line(line) => line_contact(law, line, velocity_m_s),
        VisiblePart::Arc(arc) => arc_contact(law, arc, velocity_m_s),
    }
}

/// Friction factor σ(v): −1…1, linear below [`FRICTION_FADE_M_S`].
fn rub_sense(v_m_s: f64) -> f64 {
    (v_m_s * (1.0 / FRICTION_FADE_M_S)).clamp(-1.0, 1.0)
}

fn line_contact(law: &ContactLaw, line: &VisibleLine, velocity_m_s: Vec2) -> ContactSum {
    let VisibleLine { t, d, lo, hi, .. } = *line;
    let n = Vec2::new(t.y, -t.x);
    let (along_n, along_t) = if law.exponent == 1.0 {
        line_integrals(law.radius_m, d, lo, hi)
    } else if law.exponent == 0.0 {
        let [h_lo, h_hi] = [lo, hi].map(|u| (d * d + u * u).sqrt());
        (hi / h_hi - lo / h_lo, d / h_lo - d / h_hi)
    } else {
        flat_integrals(law.radius_m, law.exponent, d, lo, hi)
    };
    let (strips_n, strips_t) = (law.stiffness * along_n, law.stiffness * along_t);
    let (mut along_n, mut along_t) = (strips_n, strips_t);
    if d < law.hub_radius_m {
        let w = ((law.hub_radius_m - d) * (law.hub_radius_m + d)).sqrt();
        let (lo, hi) = (lo.max(-w), hi.min(w));
        if lo < hi {
            let (a, b) = line_integrals(law.hub_radius_m, d, lo, hi);
            along_n += law.hub_stiffness * a;
            along_t += law.hub_stiffness * b;
        }
    }
    let tip = velocity_m_s.dot(&t) - law.spin_rad_s * d;
    let sense = rub_sense(tip);
    let rub = law.friction * along_n * sense;
    let hub_rubs = (1.0 - law.rubbing_share) * (along_n - strips_n);
    ContactSum {
        push_n_per_m: n * along_n,
        friction_n_per_m: -t * rub,
        push_moment_n: sense * (law.lead_m * strips_n) - d * along_t,
        friction_moment_n: d * rub,
        normal_sum_n_per_m: along_n,
        rubbing_w_per_m: law.friction * (law.rubbing_share * along_n + hub_rubs) * sense * tip,
        absorbed_w_per_m: 0.0,
        indentation_m: law.radius_m - line.nearest_m(),
    }
    .taking(law, velocity_m_s)
}

impl ContactSum {
    /// With the power that it takes.
    fn taking(self, law: &ContactLaw, velocity_m_s: Vec2) -> ContactSum {
        let absorbed = -self.force_n_per_m().dot(&velocity_m_s) - self.moment_n() * law.spin_rad_s;
        ContactSum { absorbed_w_per_m: absorbed, ..self }
    }
}

/// (∫(R − d/cos φ) cos φ, ∫(R − d/cos φ) sin φ) dφ between u = lo and u = hi.
fn line_integrals(radius_m: f64, d: f64, lo: f64, hi: f64) -> (f64, f64) {
    let (h_lo, h_hi) = ((d * d + lo * lo).sqrt(), (d * d + hi * hi).sqrt());
    let (cos_lo, cos_hi) = (d / h_lo, d / h_hi);
    let (sin_lo, sin_hi) = (lo / h_lo, hi / h_hi);
    // atan(hi/d) − atan(lo/d)
    let dphi = ((hi - lo) * d).arctangent2(d * d + hi * lo);
    let along_n = radius_m * (sin_hi - sin_lo) - d * dphi;
    let along_t = radius_m * (cos_lo - cos_hi) + d * (h_lo / h_hi).log_natural();
    (along_n, along_t)
}

/// tan(β/4) from tan(β/2).
fn quarter(tau: f64) -> f64 {
    tau / (1.0 + (1.0 + tau * tau).sqrt())
}

/// The same two for (R − d/cos φ)^p, by quadrature.
fn flat_integrals(radius_m: f64, exponent: f64, d: f64, lo: f64, hi: f64) -> (f64, f64) {
    let [from, to] = [lo, hi].map(|u| quarter(u / ((d * d + u * u).sqrt() + d)));
    let (mid, half) = (0.5 * (from + to), 0.5 * (to - from));
    let (mut along_n, mut along_t) = (0.0, 0.0);
    for (x, w) in SOFT_16 {
        let t = mid + half * x;
        let q = 1.0 / (1.0 + t * t);
        let (sin_half, cos_half) = (2.0 * t * q, (1.0 - t * t) * q);
        let (sin, cos) = (2.0 * sin_half * cos_half, (cos_half - sin_half) * (cos_half + sin_half));
        let push = (radius_m - d / cos).max(0.0).power(exponent) * 4.0 * q * half * w;
        along_n += push * cos;
        along_t += push * sin;
    }
    (along_n, along_t)
}

fn arc_contact(law: &ContactLaw, arc: &VisibleArc, velocity_m_s: Vec2) -> ContactSum {
    let slide = Slide::new(law, arc, velocity_m_s);
    let mut sums = Sums::default();
    let brush = Bed {
        radius_m: law.radius_m,
        stiffness: law.stiffness,
        lead_m: law.lead_m,
        rubbing_share: law.rubbing_share,
    };
    slide.sum(brush, law.exponent, (arc.lo, arc.hi), &mut sums);
    let nearest_m = arc.nearest_m();
    if nearest_m < law.hub_radius_m && law.hub_stiffness > 0.0 {
        let (limit, _) = arc.limit(law.hub_radius_m);
        let (lo, hi) = (arc.lo.max(-limit), arc.hi.min(limit));
        if lo < hi {
            let hub = Bed {
                radius_m: law.hub_radius_m,
                stiffness: law.hub_stiffness,
                lead_m: 0.0,
                rubbing_share: 1.0,
            };
            slide.sum(hub, 1.0, (lo, hi), &mut sums);
        }
    }
    ContactSum {
        push_n_per_m: -arc.f * sums.push_f - arc.e * sums.push_e,
        friction_n_per_m: arc.f * sums.rub_f - arc.e * sums.rub_e,
        // The normal at θ passes the spindle at D sin θ.
        push_moment_n: sums.lead - arc.distance_m * sums.push_f,
        friction_moment_n: sums.rub_face,
        normal_sum_n_per_m: sums.normal,
        rubbing_w_per_m: sums.rub_w,
        absorbed_w_per_m: 0.0,
        indentation_m: law.radius_m - nearest_m,
    }
    .taking(law, velocity_m_s)
}

/// A push law: K δ^p from a radius on, where it acts and how much of its friction rubs.
#[derive(Clone, Copy)]
struct Bed {
    radius_m: f64,
    stiffness: f64,
    lead_m: f64,
    rubbing_share: f64,
}

/// Sums over strips: push, push cos θ, push sin θ, and of the rubbing force (with sin θ, cos θ, the face ρ cos β, the tip speed); moment of the lead.
#[derive(Default)]
struct Sums {
    normal: f64,
    push_e: f64,
    push_f: f64,
    rub_e: f64,
    rub_f: f64,
    rub_face: f64,
    rub_w: f64,
    lead: f64,
}

/// How the tips slide over one arc: v_tip = A sin θ − B cos θ − ω ρ cos β, A = v·e, B = v·f.
struct Slide<'a> {
    arc: &'a VisibleArc,
    a_m_s: f64,
    b_m_s: f64,
    spin_rad_s: f64,
    friction: f64,
    /// Friction factor σ where it is the same for every tip: the spin outruns the brush's own travel everywhere.
    steady: Option<f64>,
    /// τ where tips turn round on the surface, ascending; those that do not exist are infinite.
    turns: [f64; 2],
}

impl<'a> Slide<'a> {
    fn new(law: &ContactLaw, arc: &'a VisibleArc, velocity_m_s: Vec2) -> Self {
        let (a, b, w) = (velocity_m_s.dot(&arc.e), velocity_m_s.dot(&arc.f), law.spin_rad_s);
        let mut slide = Slide {
            arc,
            a_m_s: a,
            b_m_s: b,
            spin_rad_s: w,
            friction: law.friction,
            steady: None,
            turns: [f64::INFINITY; 2],
        };
        // The face is least at the ends: where it moves faster than the brush, no tip turns.
        let slowest = w.abs() * arc.face_m;
        let travel = a * a + b * b;
        let margin = slowest - FRICTION_FADE_M_S;
        if law.friction == 0.0 && law.lead_m == 0.0 {
            slide.steady = Some(0.0);
        } else if margin > 0.0 && margin * margin >= travel {
            slide.steady = Some(-w.signum());
        } else if slowest * slowest <= travel {
            // A sin θ − (B + ω D) cos θ + ω r = 0 in t = tan(θ/2).
            let (b, wr) = (b + w * arc.distance_m, w * arc.r);
            let inside = a * a + b * b - wr * wr;
            if inside > 0.0 {
                let root = -(a + inside.sqrt().copysign(a));
                slide.turns = [root / (b + wr), (wr - b) / root].map(|t| {
                    let q = 1.0 / (1.0 + t * t);
                    let (tau, face) = arc.end(2.0 * t * q, (1.0 - t * t) * q);
                    if face > 0.0 { tau } else { f64::INFINITY }
                });
                if slide.turns[0] > slide.turns[1] {
                    slide.turns.swap(0, 1);
                }
            }
        }
        slide
    }

    /// Adds the strips between two τ. Where tips turn round on the surface, which some do among those that just graze it, the sum is cut, so
    /// that the friction stays smooth in the place and speed of the brush.
    fn sum(&self, bed: Bed, exponent: f64, (lo, hi): (f64, f64), sums: &mut Sums) {
        if let Some(sense) = self.steady {
            // A stretch that its own reach ends on both sides is the same on both: the odd sums vanish and one half will do.
            let mirrored = lo == -hi;
            let to = quarter(hi);
            let from = if mirrored { -to } else { quarter(lo) };
            let steady = Steady { slide: self, bed, sense, stretch: Stretch::new(from, to) };
            if exponent == 1.0 {
                steady.sum(mirrored, |press| press, sums);
            } else if exponent == 0.0 {
                steady.sum(mirrored, |_| 1.0, sums);
            } else {
                let power = |press: f64| press.power(exponent);
                if mirrored {
                    steady.sum_half(&HALF_SOFT, power, sums)
                } else {
                    steady.sum_whole(&SOFT_16, power, sums)
                }
            }
            return;
        }
        let mut from = lo;
        for turn in self.turns {
            if turn > from && turn < hi {
                self.sum_turning(bed, exponent, from, turn, sums);
                from = turn;
            }
        }
        self.sum_turning(bed, exponent, from, hi, sums);
    }

    fn sum_turning(&self, bed: Bed, exponent: f64, lo: f64, hi: f64, sums: &mut Sums) {
        let [from, to] = [lo, hi].map(quarter);
        let stretch = Stretch::new(from, to);
        if exponent == 1.0 {
            self.sum_by_need(bed, |press| press, stretch, sums);
        } else if exponent == 0.0 {
            self.sum_by_need(bed, |_| 1.0, stretch, sums);
        } else {
            self.sum_at(&SOFT_16, bed, |press| press.power(exponent), stretch, sums);
        }
    }

    fn sum_by_need(&self, bed: Bed, force: impl Fn(f64) -> f64, stretch: Stretch, sums: &mut Sums) {
        match stretch.points(self.arc) {
            Points::Four => self.sum_at(&GAUSS_4, bed, force, stretch, sums),
            Points::Six => self.sum_at(&GAUSS_6, bed, force, stretch, sums),
            Points::Eight => self.sum_at(&GAUSS_8, bed, force, stretch, sums),
            Points::Sixteen => self.sum_at(&GAUSS_16, bed, force, stretch, sums),
        }
    }

    fn sum_at<const N: usize>(
        &self,
        points: &[(f64, f64); N],
        bed: Bed,
        force: impl Fn(f64) -> f64,
        stretch: Stretch,
        sums: &mut Sums,
    ) {
        let mut lanes = [[0.0_f64; 2]; 8];
        for pair in points.chunks_exact(2) {
            for lane in 0..2 {
                let (x, w) = pair[lane];
                let strip = StripAt::new(self.arc, stretch.mid + stretch.half * x);
                let pushed = w * strip.push(bed, &force);
                let (sin_theta, cos_theta) = strip.theta();
                let face = strip.free * strip.cos;
                let tip = self.a_m_s * sin_theta - self.b_m_s * cos_theta - self.spin_rad_s * face;
                let rub = pushed * rub_sense(tip);
                lanes[0][lane] += pushed;
                lanes[1][lane] += pushed * cos_theta;
                lanes[2][lane] += pushed * sin_theta;
                lanes[3][lane] += rub * sin_theta;
                lanes[4][lane] += rub * cos_theta;
                lanes[5][lane] += rub * face;
                lanes[6][lane] += rub * tip;
                lanes[7][lane] += rub;
            }
        }
        let scale = bed.scale(self.arc, stretch.half);
        let [normal, push_e, push_f, rub_e, rub_f, rub_face, rub_w, lead] =
            lanes.map(|[a, b]| scale * (a + b));
        sums.normal += normal;
        sums.push_e += push_e;
        sums.push_f += push_f;
        sums.rub_e += self.friction * rub_e;
        sums.rub_f += self.friction * rub_f;
        sums.rub_face += self.friction * rub_face;
        sums.rub_w += bed.rubbing_share * self.friction * rub_w;
        sums.lead += bed.lead_m * lead;
    }
}

/// A stretch in t: middle and half width.
#[derive(Clone, Copy)]
struct Stretch {
    mid: f64,
    half: f64,
}

/// How many points a stretch takes.
enum Points {
    Four,
    Six,
    Eight,
    Sixteen,
}

impl Stretch {
    fn new(from: f64, to: f64) -> Self {
        Stretch { mid: 0.5 * (from + to), half: 0.5 * (to - from) }
    }

    /// As many as bring the sums to a millionth of the push. They converge the faster, the farther the stretch keeps from t = tan(π/8), where
    /// strips run along a flat surface; a round one (r ≪ D) keeps that pole off by itself.
    fn points(self, arc: &VisibleArc) -> Points {
        let clear = QUARTER_TURN - self.mid.abs();
        if clear >= 12.0 * self.half {
            Points::Four
        } else if clear >= 2.6 * self.half {
            Points::Six
        } else if clear >= 1.7 * self.half || arc.r < 0.6 * arc.distance_m {
            Points::Eight
        } else {
            Points::Sixteen
        }
    }
}

impl Bed {
    /// What every strip's push is multiplied by: cos β dψ = (r/D) cos² β/cos ψ dβ, dβ = 4 dt/(1 + t²), over half the stretch in t.
    fn scale(&self, arc: &VisibleArc, half: f64) -> f64 {
        4.0 * self.stiffness * half * (arc.r / arc.distance_m)
    }
}

/// A strip at t = tan(β/4).
struct StripAt {
    q: f64,
    sin: f64,
    cos: f64,
    sin_psi: f64,
    cos_psi: f64,
    free: f64,
}

impl StripAt {
    #[inline(always)]
    fn new(arc: &VisibleArc, t: f64) -> Self {
        let q = 1.0 / (1.0 + t * t);
        let (sin_half, cos_half) = (2.0 * t * q, (1.0 - t * t) * q);
        let (sin, cos) = (2.0 * sin_half * cos_half, (cos_half - sin_half) * (cos_half + sin_half));
        let sin_psi = arc.r / arc.distance_m * sin;
        let cos_psi = (1.0 - sin_psi * sin_psi).sqrt();
        StripAt { q, sin, cos, sin_psi, cos_psi, free: arc.distance_m * cos_psi - arc.r * cos }
    }

    /// Push without the factors of [`Bed::scale`].
    #[inline(always)]
    fn push(&self, bed: Bed, force: impl Fn(f64) -> f64) -> f64 {
        force((bed.radius_m - self.free).max(0.0)) * (self.cos * self.cos) * self.q / self.cos_psi
    }

    /// sin θ and cos θ, θ = β − ψ.
    #[inline(always)]
    fn theta(&self) -> (f64, f64) {
        (self.sin * self.cos_psi - self.cos * self.sin_psi, self.cos * self.cos_psi + self.sin * self.sin_psi)
    }
}

/// tan(π/8): t of a strip that runs along the surface.
const QUARTER_TURN: f64 = std::f64::consts::SQRT_2 - 1.0;

#[cfg(test)]
mod tests;
