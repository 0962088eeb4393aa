//! The brush: a disc of N strips, outer radius R, hub radius R₀, spinning.
//!
//! How its strips push is a matter of the [`Media`]. Spin sense is an input that matters: one sense drives the brush outboard at the
//! nose and inboard at the tail, the other the reverse. In the unit frame the first is counterclockwise seen from above (ω > 0): at the
//! nose the strips touch on their upstream side, move inboard there, and friction pushes the brush outboard.
//!
//! **Air drag**: strips as flat plates, torque ½ ρ c H N Ω² (R⁴ − R₀⁴)/4 against the turning (plate drag, any fluid text); the air of the room carries it off, so the arm
//! feels it. Engineering estimate: c = 0.4 in the wake of others gives 120 W at 90 rpm on the demo; 50 to 250 W is honest.

use super::media::{StripOnPost, limp_spin_stiffness};
use super::{Blow, Media, PushBack};

/// Which way the brush turns, named by what it does at the nose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpinSense {
    /// Friction at the nose drives the brush outboard, and inboard at the tail: helps it round the vehicle.
    OutboardAtNose,
    /// The reverse.
    InboardAtNose,
}

impl SpinSense {
    /// +1 or −1: the sign of ω in the unit frame.
    pub fn sign(self) -> f64 {
        match self {
            SpinSense::OutboardAtNose => 1.0,
            SpinSense::InboardAtNose => -1.0,
        }
    }
}

/// A brush.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brush {
    /// Outer radius of the spinning media as they are now, m.
    pub radius_m: f64,
    /// How much of them is worn off, m: a push-back test is one of the new brush.
    pub worn_m: f64,
    /// Hub radius, m: pressed past this, the hub is struck.
    pub hub_radius_m: f64,
    /// Lowest height of the media above the floor, m.
    pub z_low_m: f64,
    /// Highest height of the media, m.
    pub z_high_m: f64,
    /// Strips around the brush that pass a point in one turn.
    pub strips: u32,
    /// Spin, rad/s, ≥ 0.
    pub spin_rad_s: f64,
    /// Spin sense.
    pub spin_sense: SpinSense,
    /// What the strips are.
    pub media: Media,
    /// Exponent p of the push-back law; [`Media::exponent`] unless the file says otherwise.
    pub exponent: f64,
    /// Push of these media over what their law says, as a test of them found; 1 = as the law says.
    pub push_factor: f64,
    /// ω_s, rad/s: K(ω) = K₀ (1 + (ω/ω_s)²) for stiff media whose owner has measured that; `None` = none.
    pub stiffening_spin_rad_s: Option<f64>,
    /// Torque of the air on the turning strips over Ω², N m s².
    pub air_drag_n_m_s2: f64,
    /// Friction coefficient between media and vehicle.
    pub friction: f64,
}

impl Brush {
    /// Extra stiffness once the hub is struck, N/(m² rad): stiff enough that a body stops the hub within
    /// millimetres. A small thing that gives it little to press on, such as a mirror, stops it within centimetres.
    pub const HUB_STIFFNESS: f64 = 2.0e5;

    /// Spin about z in the unit frame, rad/s.
    pub fn signed_spin_rad_s(&self) -> f64 {
        self.spin_sense.sign() * self.spin_rad_s
    }

    /// Height of the media, m.
    pub fn height_m(&self) -> f64 {
        self.z_high_m - self.z_low_m
    }

    /// K/Ω² per metre of height of media that push by their spin alone, N s²/(m² rad); 0 for others.
    pub fn spin_stiffness(&self) -> f64 {
        match self.media {
            Media::Limp { mass_kg } => self.limp(mass_kg),
            _ => 0.0,
        }
    }

    fn limp(&self, mass_kg: f64) -> f64 {
        self.push_factor
            * limp_spin_stiffness(mass_kg, self.radius_m, self.hub_radius_m, self.height_m(), self.friction)
    }

    fn tested(&self, test: PushBack) -> f64 {
        self.push_factor * test.stiffness(self.radius_m + self.worn_m, self.exponent)
    }

    /// K₀, N/(m^(p+1) rad) per metre of height: K at the set spin without the stiffening of [`Self::stiffening_spin_rad_s`].
    pub fn rest_stiffness(&self) -> f64 {
        let by_spin = |mass_kg: f64| self.limp(mass_kg) * self.spin_rad_s * self.spin_rad_s;
        match self.media {
            Media::Limp { mass_kg } => by_spin(mass_kg),
            Media::Stiff { test, .. } => self.tested(test),
            Media::Between { test, mass_kg, .. } => {
                // What limp media of that mass push on the board of the test.
                let board = |exponent: f64| {
                    super::media::flat_board_integral(self.radius_m, self.radius_m - test.depth_m, exponent)
                };
                let limp = by_spin(mass_kg) * board(1.0) / board(self.exponent);
                limp.max(self.tested(test))
            }
        }
    }

    /// K(ω) at the set spin.
    pub fn stiffness(&self) -> f64 {
        let ratio = self.stiffening_spin_rad_s.map_or(0.0, |s| self.spin_rad_s / s);
        self.rest_stiffness() * (1.0 + ratio * ratio)
    }

    /// ℓ, m: how far the push acts before the place the straight strip points at.
    pub fn lead_m(&self) -> f64 {
        self.media.lead_share() * self.radius_m
    }

    /// `air_drag_n_m_s2` for strips of this size in air of a density (kg/m³) with a drag coefficient.
    pub fn air_drag_torque_n_m_s2(&self, density_kg_m3: f64, coefficient: f64) -> f64 {
        let fourth = self.radius_m.powi(4) - self.hub_radius_m.powi(4);
        0.125 * density_kg_m3 * coefficient * self.height_m() * f64::from(self.strips) * fourth
    }

    /// Moment of inertia of the media about the spindle, kg m²: strips as rods from the hub to R, M (R³ − R₀³)/3(R − R₀); 0 where their mass is not known.
    pub fn media_inertia_kg_m2(&self) -> f64 {
        let cubes = self.radius_m.powi(3) - self.hub_radius_m.powi(3);
        self.media.mass_kg().unwrap_or(0.0) * cubes / (3.0 * (self.radius_m - self.hub_radius_m))
    }

    /// One strip's blow on a post (m) that stands as near to the spindle as `distance_m` over `height_m` of the media; `None` where the mass of the media is not known.
    pub fn blow(&self, distance_m: f64, post_radius_m: f64, height_m: f64) -> Option<Blow> {
        let mass_kg = self.media.mass_kg()?;
        let share = height_m / (self.height_m() * f64::from(self.strips));
        let strip = StripOnPost {
            radius_m: self.radius_m,
            hub_radius_m: self.hub_radius_m,
            mass_kg_per_m: mass_kg / (self.radius_m - self.hub_radius_m) * share,
            spin_rad_s: self.spin_rad_s,
            distance_m,
            post_radius_m,
        };
        let impulse_n_s = match self.media {
            Media::Limp { .. } => strip.limp_n_s(),
            Media::Stiff { .. } => strip.stiff_n_s(),
            Media::Between { .. } => strip.limp_n_s().max(strip.stiff_n_s()),
        };
        Some(Blow { impulse_n_s, per_s: self.wipe_rate_per_s() })
    }

    /// Strip passes per second at a fixed point the brush touches, 1/s.
    pub fn wipe_rate_per_s(&self) -> f64 {
        f64::from(self.strips) * self.spin_rad_s / std::f64::consts::TAU
    }
}
