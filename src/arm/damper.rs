//! Dampers and gas springs on a strut.
//!
//! Push force F = gas preload + rate (reference length − ℓ) − (c₁ + c₂ |ℓ̇|) ℓ̇, with separate coefficients for the out-stroke
//! (the arm swings outboard, φ̇ > 0) and the in-stroke (φ̇ < 0). τ = F ℓ'.

use super::{Strut, StrutState};

/// Linear and quadratic damping of one stroke.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StrokeDamping {
    /// c₁, N s/m.
    pub linear_n_s_per_m: f64,
    /// c₂, N s²/m².
    pub quadratic_n_s2_per_m2: f64,
}

/// Gas charge: a preload that pushes the anchors apart and a linear rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasCharge {
    /// Push at the reference length, N.
    pub preload_n: f64,
    /// Gain of push per metre of shortening, N/m.
    pub rate_n_per_m: f64,
    /// Reference length, m.
    pub reference_m: f64,
}

/// A damper or gas spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Damper {
    /// Where it is fixed.
    pub strut: Strut,
    /// Damping while the arm swings outboard.
    pub out_stroke: StrokeDamping,
    /// Damping while the arm swings inboard.
    pub in_stroke: StrokeDamping,
    /// Gas charge, if any.
    pub gas: Option<GasCharge>,
}

impl Damper {
    /// Push of the gas charge, N.
    pub fn gas_push_n(&self, state: &StrutState) -> f64 {
        self.gas.map_or(0.0, |g| g.preload_n + g.rate_n_per_m * (g.reference_m - state.length_m))
    }

    /// Push of the damping, N, at swing rate `omega_rad_s`; always against the motion.
    pub fn damping_push_n(&self, state: &StrutState, omega_rad_s: f64) -> f64 {
        let rate_m_s = state.d1_m * omega_rad_s;
        let stroke = if omega_rad_s > 0.0 { &self.out_stroke } else { &self.in_stroke };
        -(stroke.linear_n_s_per_m + stroke.quadratic_n_s2_per_m2 * rate_m_s.abs()) * rate_m_s
    }

    /// Potential energy of the gas charge, J (zero at the reference length).
    pub fn energy_j(&self, state: &StrutState) -> f64 {
        self.gas.map_or(0.0, |g| {
            let x = g.reference_m - state.length_m;
            g.preload_n * x + 0.5 * g.rate_n_per_m * x * x
        })
    }
}
