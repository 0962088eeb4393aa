//! Friction of the pivot: Coulomb and viscous, with a true stick phase.
//!
//! Moving: τ = −τ_c sign(φ̇) − c φ̇. At rest the arm stays at rest as long as the other torques stay within the breakaway
//! torque; there is no creep. The bearing couple of the overhung arm and a bearing friction coefficient give τ_c:
//! radial load on each bearing F = M g r / span, thrust M g on one (statics, derived).

use super::STANDARD_GRAVITY_M_S2;

/// Pivot friction.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PivotFriction {
    /// Coulomb torque while moving, N m.
    pub coulomb_n_m: f64,
    /// Torque needed to start moving, N m; at least the Coulomb torque.
    pub breakaway_n_m: f64,
    /// Viscous coefficient, N m s/rad.
    pub viscous_n_m_s: f64,
}

/// Radial load on each of two bearings from the overhung arm, N: M g r / span.
pub fn bearing_radial_load_n(mass_kg: f64, cg_radius_m: f64, span_m: f64) -> f64 {
    mass_kg * STANDARD_GRAVITY_M_S2 * cg_radius_m / span_m
}

impl PivotFriction {
    /// Coulomb torque from a bearing friction coefficient: 2 μ F (bore/2), radial loads only.
    pub fn coulomb_from_bearings_n_m(
        mu: f64,
        bore_m: f64,
        mass_kg: f64,
        cg_radius_m: f64,
        span_m: f64,
    ) -> f64 {
        mu * bearing_radial_load_n(mass_kg, cg_radius_m, span_m) * bore_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reference: derived statics, 60 kg at 1.5 m on a 36 in span gives 965.22 N on each bearing; μ 0.1 on 50 mm bores 4.826 N m.
    #[test]
    fn verif_bearing_couple_of_the_overhung_arm() {
        assert!((bearing_radial_load_n(60.0, 1.5, 0.9144) - 965.2214566929134).abs() < 1e-9);
        let friction = PivotFriction::coulomb_from_bearings_n_m(0.1, 0.05, 60.0, 1.5, 0.9144);
        assert!((friction - 4.826107283464568).abs() < 1e-12);
    }
}
