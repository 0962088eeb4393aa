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
//! This file finds which stretches of an outline strips touch: `sight` what the brush sees of one piece, `shadow` which of several pieces in
//! one direction stands first, `strips` what the strips do along what is seen. Concave arcs are passed over: outlines of vehicles hold none.

mod shadow;
mod sight;
mod strips;

pub use strips::{SurfacePoint, span_contact, surface_point};

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
    sight: sight::Sight,
}

impl Span {
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

/// Looks at every piece of a band's outlines from `c`, each as if it stood alone; says whether one may hide another.
fn look(outlines: &[Outline], c: Vec2, radius_m: f64, glances: &mut Vec<Glance>) -> bool {
    glances.clear();
    for (index, outline) in outlines.iter().enumerate() {
        for (piece, facet) in outline.chain.facets_near(c, radius_m) {
            if let Some((sight, at_ends)) = sight::glance(facet, c, radius_m) {
                glances.push(Glance { outline: index, piece, sight, at_ends });
            }
        }
    }
    several_runs(outlines, glances)
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

/// Finds the spans of a band's outlines that strips of radius R centred at `c` touch, first surface only.
pub fn find_spans<'r>(outlines: &[Outline], c: Vec2, radius_m: f64, room: &'r mut SpanRoom) -> &'r [Span] {
    let may_hide = look(outlines, c, radius_m, &mut room.glances);
    first_surface(outlines, c, may_hide, room)
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

/// Width of a cell of [`NearIndex`], m.
const CELL_M: f64 = 0.25;

/// For one band and one brush radius: the pieces that could be touched from anywhere in a slice of the vehicle's length, so that an
/// evaluation looks at those alone. A slice may name too many, never too few.
#[derive(Debug, Clone)]
pub struct NearIndex {
    radius_m: f64,
    from_x_m: f64,
    /// Where each cell's pieces begin in `pieces`; one more than there are cells.
    starts: Vec<usize>,
    pieces: Vec<NearPiece>,
    /// One convex outline: nothing in it can hide another part of it.
    plain: bool,
}

/// A piece that a brush in a cell may touch, while its own y is within these.
#[derive(Debug, Clone, Copy)]
struct NearPiece {
    outline: usize,
    piece: usize,
    y_m: [f64; 2],
}

impl NearIndex {
    /// Index of a band's outlines for a brush of radius R.
    pub fn new(outlines: &[Outline], radius_m: f64) -> Self {
        let bounds = outlines.iter().map(|outline| outline.chain.bounds());
        let (low, high) = bounds.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), b| {
            (low.min(b.min.x - radius_m), high.max(b.max.x + radius_m))
        });
        let count = if low < high { ((high - low) / CELL_M).ceil() as usize } else { 0 };
        let (mut starts, mut pieces) = (vec![0], Vec::new());
        for cell in 0..count {
            // A hair wider than the cell, for the rounding of its number.
            let middle_m = low + (cell as f64 + 0.5) * CELL_M;
            let reach_m = radius_m + 0.501 * CELL_M;
            for (index, outline) in outlines.iter().enumerate() {
                for (piece, bounds) in outline.chain.piece_bounds().iter().enumerate() {
                    if bounds.min.x - reach_m <= middle_m && middle_m <= bounds.max.x + reach_m {
                        let y_m = [bounds.min.y - radius_m, bounds.max.y + radius_m];
                        pieces.push(NearPiece { outline: index, piece, y_m });
                    }
                }
            }
            starts.push(pieces.len());
        }
        let plain = matches!(outlines, [only] if only.chain.is_convex());
        NearIndex { radius_m, from_x_m: low, starts, pieces, plain }
    }

    fn at(&self, c: Vec2) -> impl Iterator<Item = (usize, usize)> {
        let cell = (c.x - self.from_x_m) * (1.0 / CELL_M);
        let cells = self.starts.len() - 1;
        let range = if cell >= 0.0 && cell < cells as f64 {
            self.starts[cell as usize]..self.starts[cell as usize + 1]
        } else {
            0..0
        };
        let near = move |p: &&NearPiece| p.y_m[0] <= c.y && c.y <= p.y_m[1];
        self.pieces[range].iter().filter(near).map(|p| (p.outline, p.piece))
    }

    fn look(&self, outlines: &[Outline], c: Vec2, glances: &mut Vec<Glance>) -> bool {
        glances.clear();
        for (outline, piece) in self.at(c) {
            if let Some((sight, at_ends)) =
                sight::glance(&outlines[outline].chain.facets()[piece], c, self.radius_m)
            {
                glances.push(Glance { outline, piece, sight, at_ends });
            }
        }
        !self.plain && several_runs(outlines, glances)
    }

    /// The same as [`find_spans`] with the radius of the index.
    pub fn find_spans<'r>(&self, outlines: &[Outline], c: Vec2, room: &'r mut SpanRoom) -> &'r [Span] {
        let may_hide = self.look(outlines, c, &mut room.glances);
        first_surface(outlines, c, may_hide, room)
    }

    /// Contact of a brush at `c` with a band's outlines, all spans together: what [`find_spans`] and [`Span::contact`] add up to. `law` has the
    /// radius of the index.
    pub fn contact(
        &self,
        outlines: &[Outline],
        law: &ContactLaw,
        c: Vec2,
        velocity_m_s: Vec2,
        room: &mut SpanRoom,
    ) -> ContactSum {
        let mut sum = ContactSum::default();
        if self.plain {
            let facets = outlines[0].chain.facets();
            for (_, piece) in self.at(c) {
                if let Some((sight, _)) = sight::glance(&facets[piece], c, self.radius_m) {
                    sum.add(&strips::contact(law, &sight, velocity_m_s));
                }
            }
        } else if self.look(outlines, c, &mut room.glances) {
            for span in first_surface(outlines, c, true, room) {
                sum.add(&span.contact(law, velocity_m_s));
            }
        } else {
            for glance in &room.glances {
                sum.add(&strips::contact(law, &glance.sight, velocity_m_s));
            }
        }
        sum
    }
}

/// Wraps an angle into [−π, π).
fn wrap(angle: f64) -> f64 {
    let tau = std::f64::consts::TAU;
    angle - tau * ((angle + std::f64::consts::PI) / tau).floor()
}
