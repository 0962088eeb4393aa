//! Counterweight on a cable led over a sheave at the frame anchor.
//!
//! The weight rises by k for each metre the strut grows (k = 1 for a single line, 1/2 when the weight hangs in a loose
//! sheave). Taut: the weight moves with the arm; the line at the weight carries T = m (g + a), a = k (ℓ' φ̈ + ℓ'' φ̇²), and the
//! arm feels τ = −k T ℓ'. In the equation of motion this is an inertia m (kℓ')² and a forcing −k ℓ' m (g + k ℓ'' φ̇²).
//! The cable only pulls: when T would be negative it goes slack, the weight falls freely (ÿ = −g) and the arm feels nothing,
//! until the slack e = y − kℓ is used up; the weight is then caught without rebound (plastic impact along the line).

use super::{STANDARD_GRAVITY_M_S2, Strut};

/// A counterweight and its cable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counterweight {
    /// Mass of the weight, kg.
    pub mass_kg: f64,
    /// Rise of the weight per metre of strut growth, k.
    pub travel_ratio: f64,
    /// Cable line from the sheave (frame anchor) to the arm.
    pub strut: Strut,
}

impl Counterweight {
    /// Weight of the counterweight, N.
    pub fn weight_n(&self) -> f64 {
        self.mass_kg * STANDARD_GRAVITY_M_S2
    }

    /// Line tension at the weight, N, for a cable acceleration `k(ℓ'φ̈ + ℓ''φ̇²)` of `rise_m_s2`; negative = it would be slack.
    pub fn tension_n(&self, rise_m_s2: f64) -> f64 {
        self.mass_kg * (STANDARD_GRAVITY_M_S2 + rise_m_s2)
    }

    /// Potential energy when taut, J (zero at zero strut length).
    pub fn energy_j(&self, strut_length_m: f64) -> f64 {
        self.weight_n() * self.travel_ratio * strut_length_m
    }
}
