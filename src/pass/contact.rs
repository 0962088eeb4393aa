//! Brush against vehicle outline: the push of the strips, their friction and their rubbing, per unit height.
//!
//! A strip at angle ψ whose ray meets the surface at ρ < R, β off the inward normal there, is pressed by δ = R − ρ and pushes the brush off along the
//! surface normal with dN = K δ^p cos β dψ; it also rubs with μ dN along the tangent, against the motion of its tip over the surface. Only the first
//! surface a ray meets counts. Past the hub radius R₀ a much stiffer law (p = 1) is added: the hub is struck.
//!
//! The push acts where tips **arrive**, a lead ℓ along the surface before the place the straight strip points at: dN has a moment ℓ dN about the spindle
//! more, against the spin, with the same factor σ as the friction, so both turn round with the motion of the tips. The hub has no lead.
//!
//! Of the friction power a share rubs, for strips stick and slide both ways; the rest, and what the lead takes, flexes strips. Laws and sources of ℓ, share
//! and K: [`crate::arm::Media`].
//!
//! Signs: `center_m` and `velocity_m_s` are the brush centre in the vehicle frame and its velocity *relative to the vehicle*; spin is
//! positive counterclockwise. Forces are those on the **brush**. For a counterclockwise chain seen from outside, ψ falls as
//! arclength grows.
//!
//! This file finds which stretches of an outline strips touch: `near` names the pieces worth looking at, `sight` what the brush sees of one piece, `shadow` which of several pieces in
//! one direction stands first, `strips` what the strips do along what is seen. Concave arcs are passed over: outlines of vehicles hold none.

mod near;
mod shadow;
mod sight;
mod strips;

pub use near::NearIndex;
pub use strips::{SurfacePoint, span_contact, surface_point};

use crate::arm::{Brush, RUBBING_SHARE};
use crate::geometry::Vec2;
use crate::vehicle::Outline;
use sight::Glance;

/// What a brush brings to a contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactLaw {
    /// R, m.
    pub radius_m: f64,
    /// R₀, m.
    pub hub_radius_m: f64,
    /// K, N/(m^(p+1) rad), as the strips turn now.
    pub stiffness: f64,
    /// K/Ω² of media that push by their spin alone; 0 where K does not follow the turning.
    pub spin_stiffness: f64,
    /// p.
    pub exponent: f64,
    /// μ.
    pub friction: f64,
    /// ℓ, m.
    pub lead_m: f64,
    /// Share of the friction power that rubs, 0 to 1.
    pub rubbing_share: f64,
    /// ω in the unit frame, rad/s.
    pub spin_rad_s: f64,
    /// Extra stiffness past the hub radius, N/(m² rad).
    pub hub_stiffness: f64,
}

impl ContactLaw {
    /// The law of a brush at its set spin.
    pub fn of(brush: &Brush) -> ContactLaw {
        ContactLaw {
            radius_m: brush.radius_m,
            hub_radius_m: brush.hub_radius_m,
            stiffness: brush.stiffness(),
            spin_stiffness: brush.spin_stiffness(),
            exponent: brush.exponent,
            friction: brush.friction,
            lead_m: brush.lead_m(),
            rubbing_share: RUBBING_SHARE,
            spin_rad_s: brush.signed_spin_rad_s(),
            hub_stiffness: Brush::HUB_STIFFNESS,
        }
    }

    /// The law while the strips turn `omega_rad_s` faster than set: the motor rides on the arm, so over the ground they turn at the set spin + φ̇.
    pub fn turned(&self, omega_rad_s: f64) -> ContactLaw {
        let spin_rad_s = self.spin_rad_s + omega_rad_s;
        ContactLaw { spin_rad_s, stiffness: self.stiffness_at(spin_rad_s), ..*self }
    }

    /// K while the strips turn at `turning_rad_s` over the ground.
    pub fn stiffness_at(&self, turning_rad_s: f64) -> f64 {
        match self.spin_stiffness {
            0.0 => self.stiffness,
            by_spin => by_spin * (turning_rad_s * turning_rad_s),
        }
    }
}

/// Tip speed below which friction fades linearly to zero, m/s: keeps a stopped brush from chattering on a surface at rest under it.
pub const FRICTION_FADE_M_S: f64 = 1.0e-3;

/// Contact of one outline or one piece of it, per metre of height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactSum {
    /// Push on the brush along the surface normals, N/m.
    pub push_n_per_m: Vec2,
    /// Friction on the brush, N/m.
    pub friction_n_per_m: Vec2,
    /// Moment of the push about the spindle, N m per m: lines of action beside the spindle, and the lead.
    pub push_moment_n: f64,
    /// Moment of the friction about the spindle, N m per m; against the spin when positive spin is rubbing.
    pub friction_moment_n: f64,
    /// Sum of the magnitudes of the push, ∫dN, N/m.
    pub normal_sum_n_per_m: f64,
    /// Power that rubs, W/m: the share of ∫ μ dN |v_tip|.
    pub rubbing_w_per_m: f64,
    /// Power the contact takes, −force · velocity of the brush over the surface − moment · turning, W/m: rubbing, and the flexing of strips, which give some of it
    /// back (negative) as the brush leaves.
    pub absorbed_w_per_m: f64,
    /// Deepest press δ, m.
    pub deepest_m: f64,
}

impl Default for ContactSum {
    fn default() -> Self {
        ContactSum {
            push_n_per_m: Vec2::zeros(),
            friction_n_per_m: Vec2::zeros(),
            push_moment_n: 0.0,
            friction_moment_n: 0.0,
            normal_sum_n_per_m: 0.0,
            rubbing_w_per_m: 0.0,
            absorbed_w_per_m: 0.0,
            deepest_m: 0.0,
        }
    }
}

impl ContactSum {
    /// Adds another contact.
    pub fn add(&mut self, other: &ContactSum) {
        self.push_n_per_m += other.push_n_per_m;
        self.friction_n_per_m += other.friction_n_per_m;
        self.push_moment_n += other.push_moment_n;
        self.friction_moment_n += other.friction_moment_n;
        self.normal_sum_n_per_m += other.normal_sum_n_per_m;
        self.rubbing_w_per_m += other.rubbing_w_per_m;
        self.absorbed_w_per_m += other.absorbed_w_per_m;
        self.deepest_m = self.deepest_m.max(other.deepest_m);
    }

    /// Total force on the brush, N/m.
    pub fn force_n_per_m(&self) -> Vec2 {
        self.push_n_per_m + self.friction_n_per_m
    }

    /// Moment about the spindle, N m per m.
    pub fn moment_n(&self) -> f64 {
        self.push_moment_n + self.friction_moment_n
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
    sight: sight::Sight,
}

impl Span {
    /// Deepest press on the span by the brush it was found for, m; `radius_m` is R.
    pub fn deepest_m(&self, radius_m: f64) -> f64 {
        radius_m - self.sight.nearest_m()
    }

    /// Contact of the span with the brush it was found for (and from where), whose centre moves at `velocity_m_s` relative to the vehicle.
    pub fn contact(&self, law: &ContactLaw, velocity_m_s: Vec2) -> ContactSum {
        strips::contact(law, &self.sight, velocity_m_s)
    }
}

/// Reusable room for the spans of one contact.
#[derive(Debug, Clone, Default)]
pub struct SpanRoom {
    glances: Vec<Glance>,
    spans: Vec<Span>,
    shadow: shadow::ShadowRoom,
}

/// Whether what is seen is more than one unbroken run of one outline. Along a run of pieces that face the brush ψ only falls, so nothing in
/// it can hide another part of it; only a second run can.
fn several_runs(outlines: &[Outline], glances: &[Glance]) -> bool {
    let Some(first) = glances.first() else { return false };
    if glances.len() < 2
        || (outlines[first.outline].chain.is_convex() && glances.iter().all(|g| g.outline == first.outline))
    {
        return false;
    }
    let breaks = (0..glances.len())
        .filter(|&i| {
            let (here, next) = (&glances[i], &glances[(i + 1) % glances.len()]);
            let count = outlines[here.outline].chain.pieces().len();
            here.outline != next.outline
                || (here.piece + 1) % count != next.piece
                || !here.at_ends[1]
                || !next.at_ends[0]
        })
        .count();
    breaks > 1
}

/// Finds the spans of a band's outlines that strips of radius R centred at `c` touch, first surface only. Who looks more than once keeps the
/// [`NearIndex`].
pub fn find_spans<'r>(outlines: &[Outline], c: Vec2, radius_m: f64, room: &'r mut SpanRoom) -> &'r [Span] {
    NearIndex::new(outlines, radius_m).find_spans(outlines, c, room)
}

/// The spans of the pieces just looked at.
fn first_surface<'r>(outlines: &[Outline], c: Vec2, may_hide: bool, room: &'r mut SpanRoom) -> &'r [Span] {
    let SpanRoom { glances, spans, shadow } = room;
    spans.clear();
    spans.extend(glances.iter().map(|glance| {
        let (from_m, to_m) = glance.stretch_m(&outlines[glance.outline].chain.facets()[glance.piece]);
        Span { outline: glance.outline, piece: glance.piece, from_m, to_m, sight: glance.sight }
    }));
    if may_hide {
        shadow.keep_first_surface(outlines, c, spans);
    }
    spans
}

/// Wraps an angle into [−π, π).
fn wrap(angle: f64) -> f64 {
    let tau = std::f64::consts::TAU;
    angle - tau * ((angle + std::f64::consts::PI) / tau).floor()
}
