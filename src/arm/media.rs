//! Media: what a strip does when it is pressed, by what it is made of.
//!
//! A strip pressed by δ, β off the surface normal, pushes the brush off along the normal with dN = K δ^p cos β dψ per metre of height, which acts a
//! **lead** ℓ before the place it points at, toward where tips arrive. On a flat board at distance d = R − δ₀ from the spindle
//!
//! F = K H ∫ (R − d/cos ψ)^p cos ψ dψ over |ψ| ≤ a, cos a = d/R;  p = 1: F = 2 K H (R sin a − d a);  p = 0: F = 2 K H sin a
//!
//! and the spindle gives F (μ d + ℓ). Nobody has printed how wash media push. The laws are fitted to strips computed as chains of links on a turning hub
//! against a wall (tests/validation/data/strip_chain.json; R 0.597 m, hub 0.127 m, 16 strips, 1.22 m high), in plan view:
//!
//! - **Limp** (cloth): pushes by its spin alone, as momentum stopped where tips arrive. p = 1, K H = 0.81 e^(−0.35(μ − 0.3)) N λ Ω² R/2π, λ = mass per length of a strip,
//!   Ω = how fast the strips turn over the ground. Within 20 % at 0.15 to 0.30 m, 45 to 150 rpm, 15 to 40 kg, μ 0.1 to 0.6; below 0.12 m far off (0.10 m: 20 % high; 0.05 m:
//!   half; 0.03 m: a quarter). The chains themselves are sure to a factor of 1.5 to 2 (damping in the cloth, air), and cloth at or below 60 rpm droops, which plan view
//!   leaves out. Ω² has no sign: reversed spin pushes alike and leads the other way. At Ω = 0 cloth hangs and pushes nothing.
//! - **Stiff** (foam, bristle): hardly follows spin, and not smoothly: strips swing between blows. p = 0, K from a push-back test, the same at every spin: from 0.03 to 0.25 m
//!   within 25 % at the spin of the test (at 0.30 m the chains push nearly twice as hard), at another spin 0.7 to twice of it. A test of a **still** brush can be out four times, for its strips buckle or lock: turn
//!   the hub slowly by hand, or measure at speed.
//! - **Between**: bending and spinning shares do not add. p = 1/2, K from the greater of the push-back test and what limp media of that mass would push at the test's
//!   depth at the set spin. Within a factor of two; measure at speed.
//!
//! Lead: ℓ = 0.47 R limp, 0.32 R stiff, 0.40 R between, whatever the depth from 0.05 m on (chains: 0.26 to 0.31 m, stiff 0.13 to 0.25 m; shallower less). Friction is μ dN (at
//! 45 to 60 rpm down to half of that in the chains), of whose power **0.7** rubs: strips slide at other speeds than a free tip, both ways. The rest, and what the lead
//! takes, flexes strips.

use crate::elementary::Elementary;

/// Push-back test: pressed `depth_m` into a flat board over `height_m` of media, it pushes back with `force_n`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PushBack {
    /// Depth, m.
    pub depth_m: f64,
    /// Force, N.
    pub force_n: f64,
    /// Height of media pressed on the board, m.
    pub height_m: f64,
}

impl PushBack {
    /// K₀, N/(m^(p+1) rad), for outer radius R and exponent p.
    pub fn stiffness(&self, radius_m: f64, exponent: f64) -> f64 {
        self.force_n / (self.height_m * flat_board_integral(radius_m, radius_m - self.depth_m, exponent))
    }
}

/// What the strips are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Media {
    /// No bending stiffness: cloth.
    Limp {
        /// Mass of all strips, wet, kg.
        mass_kg: f64,
    },
    /// Bending stiffness decides: foam, bristle.
    Stiff {
        /// Push-back test.
        test: PushBack,
        /// Spin at which it was made, rad/s; 0 = still.
        measured_at_rad_s: f64,
        /// Mass of all strips, wet, kg; `None` = not known, and counted in the parts of the arm.
        mass_kg: Option<f64>,
    },
    /// Both count.
    Between {
        /// Push-back test.
        test: PushBack,
        /// Spin at which it was made, rad/s; 0 = still.
        measured_at_rad_s: f64,
        /// Mass of all strips, wet, kg.
        mass_kg: f64,
    },
}

/// Share of the friction power of the strips that rubs.
pub const RUBBING_SHARE: f64 = 0.7;

/// Drag coefficient of strips in the wake of others, as flat plates: engineering estimate. Twice or half of the power it gives is as likely.
pub const AIR_DRAG_COEFFICIENT: f64 = 0.4;

/// Length over which a blow is told as a force, s.
pub const BLOW_WINDOW_S: f64 = 0.010;

impl Media {
    /// Stiff media of which a push-back test of the still brush is all that is known.
    pub fn stiff(test: PushBack) -> Media {
        Media::Stiff { test, measured_at_rad_s: 0.0, mass_kg: None }
    }

    /// One word.
    pub fn name(&self) -> &'static str {
        match self {
            Media::Limp { .. } => "limp",
            Media::Stiff { .. } => "stiff",
            Media::Between { .. } => "between",
        }
    }

    /// Exponent p of the law.
    pub fn exponent(&self) -> f64 {
        match self {
            Media::Limp { .. } => 1.0,
            Media::Stiff { .. } => 0.0,
            Media::Between { .. } => 0.5,
        }
    }

    /// ℓ/R.
    pub fn lead_share(&self) -> f64 {
        match self {
            Media::Limp { .. } => 0.47,
            Media::Stiff { .. } => 0.32,
            Media::Between { .. } => 0.40,
        }
    }

    /// Mass of all strips, kg.
    pub fn mass_kg(&self) -> Option<f64> {
        match *self {
            Media::Limp { mass_kg } | Media::Between { mass_kg, .. } => Some(mass_kg),
            Media::Stiff { mass_kg, .. } => mass_kg,
        }
    }

    /// The push-back test, where there is one.
    pub fn test(&self) -> Option<PushBack> {
        match *self {
            Media::Limp { .. } => None,
            Media::Stiff { test, .. } | Media::Between { test, .. } => Some(test),
        }
    }

    /// Spin at which the push-back test was made, rad/s; `None` without a test.
    pub fn measured_at_rad_s(&self) -> Option<f64> {
        match *self {
            Media::Limp { .. } => None,
            Media::Stiff { measured_at_rad_s, .. } | Media::Between { measured_at_rad_s, .. } => {
                Some(measured_at_rad_s)
            }
        }
    }

    /// Between which factors of the push computed the real one may lie at a spin (rad/s): see the head of this file.
    pub fn push_band(&self, spin_rad_s: f64) -> [f64; 2] {
        let Some(at) = self.measured_at_rad_s() else { return [0.5, 2.0] };
        let same = (at.abs() - spin_rad_s.abs()).abs() <= 0.1 * spin_rad_s.abs();
        match self {
            _ if same && at != 0.0 => [0.75, 1.3],
            _ if at == 0.0 => [0.25, 4.0],
            Media::Stiff { .. } => [0.7, 2.0],
            _ => [0.5, 2.0],
        }
    }
}

/// K/Ω² of limp media, N s²/(m² rad) per metre of height: strips of `mass_kg` in all, from the hub to R, over `height_m`.
pub fn limp_spin_stiffness(
    mass_kg: f64,
    radius_m: f64,
    hub_radius_m: f64,
    height_m: f64,
    friction: f64,
) -> f64 {
    let per_length = mass_kg / (radius_m - hub_radius_m);
    0.81 * (-0.35 * (friction - 0.3)).exponential() * per_length * radius_m
        / (std::f64::consts::TAU * height_m)
}

/// One strip's blow on a thing that stands in its way, and how often. Engineering estimate: only the impulse is a figure to use; the height of the force depends on the
/// give of what is struck. Against chains on a post: within 20 %.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blow {
    /// Impulse of one blow, N s, mainly along the motion of the strip.
    pub impulse_n_s: f64,
    /// Blows a second, 1/s.
    pub per_s: f64,
}

impl Blow {
    /// Mean force over 10 ms, N.
    pub fn force_10ms_n(&self) -> f64 {
        self.impulse_n_s / BLOW_WINDOW_S
    }
}

/// A strip as it meets a post.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripOnPost {
    /// R, m.
    pub radius_m: f64,
    /// R₀, m.
    pub hub_radius_m: f64,
    /// Mass of one strip per length, over the height of the post, kg/m.
    pub mass_kg_per_m: f64,
    /// Turning, rad/s.
    pub spin_rad_s: f64,
    /// Spindle to the nearest point of the post, m.
    pub distance_m: f64,
    /// Radius of the post, m.
    pub post_radius_m: f64,
}

impl StripOnPost {
    /// Impulse on a limp strip's post, N s: the momentum of what lies beyond the post, λ ω (R² − ρ²)/2, is stopped. A tail that reaches half way round the post holds it, and the rest
    /// of the strip, λ ω (ρ² − R₀²)/2, is stopped too; one that reaches less than a quarter slips off.
    pub fn limp_n_s(&self) -> f64 {
        let quarter_m = std::f64::consts::FRAC_PI_2 * self.post_radius_m;
        let held = ((self.radius_m - self.distance_m - quarter_m) / quarter_m).clamp(0.0, 1.0);
        let (outer, hub, at) = (self.radius_m.powi(2), self.hub_radius_m.powi(2), self.distance_m.powi(2));
        0.5 * self.mass_kg_per_m
            * self.spin_rad_s.abs()
            * ((outer - at).max(0.0) + held * (at - hub).max(0.0))
    }

    /// Impulse on a stiff strip's post, N s: a bar turning about the hub is stopped, λ ω (R³ − R₀³)/3ρ, and the hub drives it on while it is held: 4/3 of that, fitted to the
    /// chains.
    pub fn stiff_n_s(&self) -> f64 {
        let cubes = self.radius_m.powi(3) - self.hub_radius_m.powi(3);
        let bar = self.mass_kg_per_m * self.spin_rad_s.abs() * cubes
            / (3.0 * self.distance_m.max(self.hub_radius_m));
        4.0 / 3.0 * bar
    }
}

/// ∫ (R − d/cos ψ)^p cos ψ dψ over |ψ| ≤ acos(d/R), m^p: the shape of the push of a flat board at distance d.
pub fn flat_board_integral(radius_m: f64, distance_m: f64, exponent: f64) -> f64 {
    if distance_m >= radius_m {
        return 0.0;
    }
    let a = (distance_m / radius_m).arccosine();
    if exponent == 1.0 {
        return 2.0 * (radius_m * a.sine() - distance_m * a);
    }
    if exponent == 0.0 {
        return 2.0 * a.sine();
    }
    // Composite Simpson on a half, in ψ = a sin u: smooth at the end for every p.
    let n = 512;
    let f = |u: f64| {
        let psi = a * u.sine();
        (radius_m - distance_m / psi.cosine()).max(0.0).power(exponent) * psi.cosine() * a * u.cosine()
    };
    let h = std::f64::consts::FRAC_PI_2 / f64::from(n);
    let mut sum = f(0.0) + f(std::f64::consts::FRAC_PI_2);
    for i in 1..n {
        sum += f(f64::from(i) * h) * if i % 2 == 1 { 4.0 } else { 2.0 };
    }
    2.0 * sum * h / 3.0
}

/// Force between two overlapping brushes, N: lens contact. Each brush meets the common chord with half stiffness (two equal layers in
/// series), so F is the mean of the two flat-board forces at the chord with K/2.
///
/// `stiffness` in N/(m^(p+1) rad) per brush, `height_m` the shared height, `distance_m` between the spindles.
pub fn lens_force_n(
    radius_m: [f64; 2],
    stiffness: [f64; 2],
    exponent: [f64; 2],
    height_m: f64,
    distance_m: f64,
) -> f64 {
    let reach = radius_m[0] + radius_m[1];
    if distance_m >= reach || distance_m <= 0.0 {
        return 0.0;
    }
    // Chord of two circles: distance from each centre.
    let d0 = 0.5 * (distance_m + (radius_m[0] * radius_m[0] - radius_m[1] * radius_m[1]) / distance_m);
    let d1 = 0.5 * (distance_m + (radius_m[1] * radius_m[1] - radius_m[0] * radius_m[0]) / distance_m);
    let one = |i: usize, d: f64| {
        0.5 * stiffness[i] * height_m * flat_board_integral(radius_m[i], d.max(0.0), exponent[i])
    };
    0.5 * (one(0, d0) + one(1, d1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_push_back_inverts_the_flat_closed_form() {
        let test = PushBack { depth_m: 0.1524, force_n: 44.48, height_m: 1.2 };
        let k = test.stiffness(0.6, 1.0);
        let d: f64 = 0.6 - 0.1524;
        let a = (d / 0.6).arccosine();
        assert!((2.0 * k * 1.2 * (0.6 * a.sine() - d * a) - 44.48).abs() < 1e-10);
        // The quadrature used for other exponents agrees with the closed form at p = 1.
        let near = flat_board_integral(0.6, d, 1.0 + 1e-9);
        assert!((near / flat_board_integral(0.6, d, 1.0) - 1.0).abs() < 1e-6 && near > 0.01);
    }

    #[test]
    fn verif_equal_lens_is_half_of_the_flat_board_at_half_distance() {
        let f = lens_force_n([0.6, 0.6], [500.0, 500.0], [1.0, 1.0], 1.0, 1.0);
        let flat = 250.0 * flat_board_integral(0.6, 0.5, 1.0);
        assert!((f - flat).abs() < 1e-12 && f > 1.0);
        assert_eq!(lens_force_n([0.6, 0.6], [500.0, 500.0], [1.0, 1.0], 1.0, 1.2), 0.0);
    }
}
