//! The brush: a disc of N strips, outer radius R, hub radius R₀, spinning.
//!
//! Spin stiffens the strips: K(ω) = K₀ (1 + (ω/ω_s)²). Spin sense is an input that matters: one sense drives the brush outboard at the
//! nose and inboard at the tail, the other the reverse. In the unit frame the first is counterclockwise seen from above (ω > 0): at the
//! nose the strips touch on their upstream side, move inboard there, and friction pushes the brush outboard.

use super::PushBack;

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
    /// Outer radius of the spinning media, m.
    pub radius_m: f64,
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
    /// Push-back test of the stopped brush.
    pub push_back: PushBack,
    /// Exponent p of the push-back law.
    pub exponent: f64,
    /// ω_s of the spin stiffening, rad/s; `None` = none.
    pub stiffening_spin_rad_s: Option<f64>,
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

    /// K₀ from the push-back test, N/(m^(p+1) rad) per metre of height.
    pub fn rest_stiffness(&self) -> f64 {
        self.push_back.stiffness(self.radius_m, self.exponent)
    }

    /// K(ω) at the set spin.
    pub fn stiffness(&self) -> f64 {
        let ratio = self.stiffening_spin_rad_s.map_or(0.0, |s| self.spin_rad_s / s);
        self.rest_stiffness() * (1.0 + ratio * ratio)
    }

    /// Strip passes per second at a fixed point the brush touches, 1/s.
    pub fn wipe_rate_per_s(&self) -> f64 {
        f64::from(self.strips) * self.spin_rad_s / std::f64::consts::TAU
    }
}
