//! The two pillow-block bearings, how far each is set off plumb, and the torque of gravity that follows.
//!
//! Lean t = (upper offset − lower offset) / span: a horizontal vector that points where the top leans. Gravity turns a body
//! of mass M with its CG at radius r on the arm's line with
//!
//! τ_tilt = M g r (s · dĉ/dφ),  s = Δ / √(|Δ|² + span²),  Δ = upper offset − lower offset
//!
//! (the sine of the lean angle, exact). Potential energy: −M g r (s · ĉ). Offsets are in the unit frame: +x downstream,
//! +y toward the wall. Lower bearing toward the wall leans the top inboard: gravity pulls the brush inboard, it is heavier on
//! the vehicle and chases more. The "swinging gate" law: J. C. Lahr, "swinging gate" sensor page, as read for the tests.

use super::{STANDARD_GRAVITY_M_S2, UnitModel};
use crate::geometry::Vec2;

/// Offsets of one bearing from plumb, m.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BearingOffsets {
    /// Across the lane, positive toward the wall (away from the lane), m.
    pub toward_wall_m: f64,
    /// Along the lane, positive downstream, m.
    pub downstream_m: f64,
}

impl BearingOffsets {
    fn vector(self) -> Vec2 {
        Vec2::new(self.downstream_m, self.toward_wall_m)
    }
}

/// Both bearings of one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearings {
    /// Vertical spacing between the two bearings, m.
    pub span_m: f64,
    /// Upper bearing.
    pub upper: BearingOffsets,
    /// Lower bearing.
    pub lower: BearingOffsets,
}

impl Bearings {
    /// From the gaps measured by tape at the upper and the lower adjusting screw (between the wall-side frame and the bearing
    /// block, so a larger gap is nearer the lane); equal gaps = plumb. Only their difference matters: the upper bearing is
    /// taken as the reference and the lower one is offset toward the wall by (upper gap − lower gap).
    pub fn lower_offset_from_gaps_m(upper_gap_m: f64, lower_gap_m: f64) -> f64 {
        upper_gap_m - lower_gap_m
    }

    /// Lean t = Δ / span (tangent of the lean angle), unit frame, pointing where the top leans.
    pub fn lean(&self) -> Vec2 {
        (self.upper.vector() - self.lower.vector()) / self.span_m
    }

    /// Sine of the lean angle times its direction, unit frame.
    pub fn lean_sine(&self) -> Vec2 {
        let delta = self.upper.vector() - self.lower.vector();
        delta / (delta.norm_squared() + self.span_m * self.span_m).sqrt()
    }

    /// Torque of gravity, N m, positive outward.
    pub fn lean_torque_n_m(&self, mass_kg: f64, cg_radius_m: f64, phi_rad: f64) -> f64 {
        let (_, d_dir) = UnitModel::arm_direction(phi_rad);
        mass_kg * STANDARD_GRAVITY_M_S2 * cg_radius_m * self.lean_sine().dot(&d_dir)
    }

    /// Potential energy of gravity, J, zero where the arm is square to the lean.
    pub fn lean_energy_j(&self, mass_kg: f64, cg_radius_m: f64, phi_rad: f64) -> f64 {
        let (dir, _) = UnitModel::arm_direction(phi_rad);
        -mass_kg * STANDARD_GRAVITY_M_S2 * cg_radius_m * self.lean_sine().dot(&dir)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_lower_bearing_toward_the_wall_pulls_the_brush_inboard() {
        let bearings = Bearings {
            span_m: 0.3048,
            upper: BearingOffsets::default(),
            lower: BearingOffsets { toward_wall_m: 0.003175, downstream_m: 0.0 },
        };
        let torque = bearings.lean_torque_n_m(86.0, 1.79, 1.3);
        assert!(torque < -10.0, "{torque}");
        // Derivative of the potential.
        let h = 1e-6;
        let slope = (bearings.lean_energy_j(86.0, 1.79, 1.3 + h)
            - bearings.lean_energy_j(86.0, 1.79, 1.3 - h))
            / (2.0 * h);
        assert!((torque + slope).abs() < 1e-6 * torque.abs());
        assert!(Bearings::lower_offset_from_gaps_m(0.05, 0.05).abs() < 1e-15);
        assert!(Bearings::lower_offset_from_gaps_m(0.05, 0.047) > 0.0);
    }
}
