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
//! This file finds which stretches of an outline strips touch: `near` names the pieces worth looking at, `stack` those that several bands have in common, `visible_part` what the brush sees of one piece, `shadow` which of several pieces in
//! one direction stands first, `strips` what the strips do along what is seen. Concave arcs are passed over: outlines of vehicles hold none.

mod near;
mod shadow;
mod stack;
mod strips;
mod surface_point;
mod visible_part;

pub use near::NearIndex;
pub use stack::{BandStack, StackBand};
pub use strips::span_contact;
pub use surface_point::{SurfacePoint, surface_point};

use crate::arm::{Brush, RUBBING_SHARE};
use crate::geometry::Vec2;
use crate::vehicle::Outline;
use visible_part::VisiblePiece;

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
    pub indentation_m: f64,
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
            indentation_m: 0.0,
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
        self.indentation_m = self.indentation_m.max(other.indentation_m);
    }

    /// The same over a height, m: what was per metre of it (N/m, N m per m, W/m) is then no longer (N, N m, W).
    pub fn over(&self, height_m: f64) -> ContactSum {
        ContactSum {
            push_n_per_m: self.push_n_per_m * height_m,
            friction_n_per_m: self.friction_n_per_m * height_m,
            push_moment_n: self.push_moment_n * height_m,
            friction_moment_n: self.friction_moment_n * height_m,
            normal_sum_n_per_m: self.normal_sum_n_per_m * height_m,
            rubbing_w_per_m: self.rubbing_w_per_m * height_m,
            absorbed_w_per_m: self.absorbed_w_per_m * height_m,
            indentation_m: self.indentation_m,
        }
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
    visible: visible_part::VisiblePart,
    /// Whether it is all that is visible of its piece.
    whole: bool,
}

impl Span {
    /// Deepest press on the span by the brush it was found for, m; `radius_m` is R.
    pub fn indentation_m(&self, radius_m: f64) -> f64 {
        radius_m - self.visible.nearest_m()
    }

    /// Contact of the span with the brush it was found for (and from where), whose centre moves at `velocity_m_s` relative to the vehicle.
    pub fn contact(&self, law: &ContactLaw, velocity_m_s: Vec2) -> ContactSum {
        strips::contact(law, &self.visible, velocity_m_s)
    }
}

/// Reusable scratch for the spans of one contact.
#[derive(Debug, Clone, Default)]
pub struct SpanScratch {
    seen: Vec<VisiblePiece>,
    spans: Vec<Span>,
    shadow: shadow::ShadowScratch,
}

/// Whether what is seen is more than one unbroken run of one outline. Along a run of pieces that face the brush ψ only falls, so nothing in
/// it can hide another part of it; only a second run can.
fn several_runs(outlines: &[Outline], seen: &[VisiblePiece]) -> bool {
    let Some(first) = seen.first() else { return false };
    if seen.len() < 2
        || (outlines[first.outline].chain.is_convex() && seen.iter().all(|g| g.outline == first.outline))
    {
        return false;
    }
    let breaks = (0..seen.len())
        .filter(|&i| {
            let (here, next) = (&seen[i], &seen[(i + 1) % seen.len()]);
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
pub fn find_spans<'r>(
    outlines: &[Outline],
    c: Vec2,
    radius_m: f64,
    scratch: &'r mut SpanScratch,
) -> &'r [Span] {
    NearIndex::new(outlines, radius_m).find_spans(outlines, c, scratch)
}

/// The spans of the pieces just looked at.
fn first_surface<'r>(
    outlines: &[Outline],
    c: Vec2,
    may_hide: bool,
    scratch: &'r mut SpanScratch,
) -> &'r [Span] {
    let SpanScratch { seen, spans, shadow, .. } = scratch;
    spans.clear();
    spans.extend(seen.iter().map(|piece_seen| {
        let (from_m, to_m) =
            piece_seen.stretch_m(&outlines[piece_seen.outline].chain.facets()[piece_seen.piece]);
        let VisiblePiece { outline, piece, visible, .. } = *piece_seen;
        Span { outline, piece, from_m, to_m, visible, whole: true }
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

/// Numbers that look like chance and are the same every time (Numerical Recipes' quick generator, by Knuth; from memory), from a to b.
#[cfg(test)]
pub(crate) fn chances() -> impl FnMut(f64, f64) -> f64 {
    let mut x: u32 = 1;
    move |a, b| {
        x = x.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        a + (b - a) * f64::from(x) / f64::from(u32::MAX)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::elementary::Elementary;
    use crate::geometry::{Chain, Line, Piece};
    use crate::vehicle::{PieceTag, Zone};

    /// A block 4 m by 1 m with a bay in its upper face, 1 m wide and 0.5 m deep: its fifth piece is the floor of the bay.
    pub(crate) const BAY: [(f64, f64); 8] =
        [(-2.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.5, 1.0), (0.5, 0.5), (-0.5, 0.5), (-0.5, 1.0), (-2.0, 1.0)];
    /// A box over it.
    pub(crate) const BOX: [(f64, f64); 4] = [(-0.4, 1.5), (-0.2, 1.5), (-0.2, 1.7), (-0.4, 1.7)];

    /// The outline through corners, counterclockwise, wherever they are put.
    pub(crate) fn outline(corners: &[(f64, f64)], place: impl Fn(Vec2) -> Vec2) -> Outline {
        let point = |i: usize| {
            let (x, y) = corners[i % corners.len()];
            place(Vec2::new(x, y))
        };
        let pieces = (0..corners.len()).map(|i| Piece::Line(Line { a: point(i), b: point(i + 1) })).collect();
        let tag = PieceTag { zone: Zone::Nose, feature: None };
        Outline {
            tags: vec![tag; corners.len()],
            chain: Chain::new(pieces).expect("it closes"),
            island: false,
        }
    }

    pub(crate) fn bay_and_box() -> [Outline; 2] {
        [outline(&BAY, |v| v), outline(&BOX, |v| v)]
    }

    /// What is seen is several runs when, going round, it breaks off more than once: by hand on the eight pieces of a bay and the four of a box.
    #[test]
    fn verif_runs_by_hand() {
        let outlines = bay_and_box();
        let visible = visible_part::visible_part(&outlines[0].chain.facets()[0], Vec2::new(0.0, -0.3), 0.6)
            .expect("seen")
            .0;
        let several = |seen: &[(usize, usize, [bool; 2])]| {
            let piece_seen = |&(outline, piece, at_ends): &(usize, usize, [bool; 2])| VisiblePiece {
                outline,
                piece,
                visible,
                at_ends,
            };
            several_runs(&outlines, &seen.iter().map(piece_seen).collect::<Vec<_>>())
        };
        let (whole, none, start, end) = ([true; 2], [false; 2], [true, false], [false, true]);
        for (seen, want) in [
            (&[][..], false),
            (&[(0, 3, none)], false),
            (&[(0, 3, whole)], false),
            // One after the other, over the corner; also over the start of the outline.
            (&[(0, 3, end), (0, 4, start)], false),
            (&[(0, 3, whole), (0, 4, whole), (0, 5, whole)], false),
            (&[(0, 0, start), (0, 7, end)], false),
            (&[(0, 0, whole), (0, 1, start), (0, 7, end)], false),
            // Not as far as the corner, not from the corner on, and a piece left out.
            (&[(0, 3, none), (0, 4, start)], true),
            (&[(0, 3, end), (0, 4, none)], true),
            (&[(0, 3, end), (0, 5, start)], true),
            (&[(0, 0, none), (0, 7, end)], true),
            (&[(0, 0, start), (0, 7, none)], true),
            (&[(0, 1, end), (0, 2, whole), (0, 4, start)], true),
            // All of it, all round, has no break at all.
            (
                &[
                    (0, 0, whole),
                    (0, 1, whole),
                    (0, 2, whole),
                    (0, 3, whole),
                    (0, 4, whole),
                    (0, 5, whole),
                    (0, 6, whole),
                    (0, 7, whole),
                ],
                false,
            ),
            // Of a convex outline nothing hides another part; of two outlines, it may.
            (&[(1, 0, none), (1, 2, none)], false),
            (&[(0, 7, end), (1, 0, start)], true),
            (&[(1, 0, none), (0, 1, none)], true),
        ] {
            assert_eq!(several(seen), want, "{seen:?}");
        }
    }

    /// First surface only, ray by ray: from everywhere round a bay with a box over it, the spans fill the directions in which something is within reach, each
    /// with what stands first, and their contact is the sum over the rays.
    #[test]
    fn verif_a_bay_and_a_box_ray_by_ray() {
        let outlines = bay_and_box();
        let mut by = chances();
        let (mut compared, mut hidden) = (0, 0);
        while compared < 220 {
            let (c, radius_m) = (Vec2::new(by(-2.6, 2.6), by(-0.7, 2.4)), by(0.5, 1.1));
            // In the bay every fourth time, where spans stand all round.
            let c = if compared % 4 == 0 { Vec2::new(by(-0.4, 0.4), by(0.6, 1.2)) } else { c };
            if outlines.iter().any(|o| o.chain.nearest(c).distance_m < 0.03) {
                continue;
            }
            compared += 1;
            let law = ContactLaw {
                radius_m,
                hub_radius_m: 0.0,
                stiffness: 50.0,
                spin_stiffness: 0.0,
                exponent: 1.0,
                friction: 0.0,
                lead_m: 0.0,
                rubbing_share: 1.0,
                spin_rad_s: 0.0,
                hub_stiffness: 0.0,
            };
            let count = 3600;
            let turn = std::f64::consts::TAU / f64::from(count);
            let (mut push, mut normal, mut moment, mut within) = (Vec2::zeros(), 0.0, 0.0, 0.0);
            let mut shortest = f64::INFINITY;
            for k in 0..count {
                let psi = (f64::from(k) + 0.5) * turn;
                let u = Vec2::new(psi.cosine(), psi.sine());
                let mut first: Option<(f64, Vec2)> = None;
                for piece in outlines.iter().flat_map(|o| o.chain.pieces()) {
                    for hit in piece.ray(c, u).into_iter().flatten() {
                        if first.is_none_or(|(rho, _)| hit.distance_m < rho) {
                            first = Some((hit.distance_m, piece.normal_at(hit.s_m)));
                        }
                    }
                }
                let Some((rho, n)) = first.filter(|(rho, _)| *rho < radius_m) else { continue };
                let strip = 50.0 * (radius_m - rho) * -u.dot(&n) * turn;
                push += n * strip;
                normal += strip;
                moment += u.perp(&n) * rho * strip;
                within += turn;
                shortest = shortest.min(rho);
            }
            let index = NearIndex::new(&outlines, radius_m);
            let mut scratch = SpanScratch::default();
            let got = index.contact(&outlines, &law, c, Vec2::zeros(), &mut scratch);
            let near = |got: f64, want: f64| (got - want).abs() < 0.01 * normal + 1e-3;
            assert!(near(got.normal_sum_n_per_m, normal), "{c:?} {radius_m}: {got:?} {normal}");
            assert!(near(got.push_n_per_m.x, push.x) && near(got.push_n_per_m.y, push.y), "{c:?} {push:?}");
            assert!(near(got.push_moment_n, moment), "{c:?}: {} {moment}", got.push_moment_n);
            assert!(normal == 0.0 || (got.indentation_m - (radius_m - shortest)).abs() < 5e-3, "{c:?}");
            let spans = index.find_spans(&outlines, c, &mut scratch);
            let angle = |span: &Span, s_m: f64| {
                let to = outlines[span.outline].chain.pieces()[span.piece].point_at(s_m) - c;
                to.y.arctangent2(to.x)
            };
            let filled: f64 = spans.iter().map(|s| wrap(angle(s, s.from_m) - angle(s, s.to_m)).abs()).sum();
            assert!((filled - within).abs() < 0.02, "{c:?} {radius_m}: {filled} {within}: {spans:?}");
            hidden +=
                usize::from(spans.iter().any(|s| s.outline == 1) && spans.iter().any(|s| s.outline == 0));
        }
        assert!(hidden > 30, "{hidden}");
    }
}
