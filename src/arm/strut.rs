//! A strut: a line from a frame anchor to an arm anchor, of length ℓ(φ), with its exact first and second derivative.
//!
//! With the arm anchor at B(φ) = along·ĉ + across·dĉ/dφ (from the pivot) and the frame anchor at A (from the pivot),
//! D = B − A: ℓ = |D|, ℓ' = D·B'/ℓ, ℓ'' = (B'·B' + D·B'' − ℓ'²)/ℓ with B'' = −B. A strut that pushes its anchors apart with
//! force F turns the arm with τ = F ℓ' (principle of virtual work).

use super::UnitModel;
use crate::geometry::Vec2;

/// Where a strut is fixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strut {
    /// Frame anchor from the pivot, unit frame, m.
    pub frame_anchor_m: Vec2,
    /// Arm anchor: distance from the pivot along the arm, m (negative = behind the pivot).
    pub arm_along_m: f64,
    /// Arm anchor: distance square to the arm, m, positive on the side the arm moves to when φ grows.
    pub arm_across_m: f64,
}

/// Length of a strut and its derivatives at one swing angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrutState {
    /// ℓ, m.
    pub length_m: f64,
    /// dℓ/dφ, m/rad.
    pub d1_m: f64,
    /// d²ℓ/dφ², m/rad².
    pub d2_m: f64,
}

impl Strut {
    /// Length and derivatives at φ.
    pub fn at(&self, phi_rad: f64) -> StrutState {
        let (dir, d_dir) = UnitModel::arm_direction(phi_rad);
        let b = dir * self.arm_along_m + d_dir * self.arm_across_m;
        let db = d_dir * self.arm_along_m - dir * self.arm_across_m;
        let d = b - self.frame_anchor_m;
        let length_m = d.norm();
        let d1_m = d.dot(&db) / length_m;
        let d2_m = (db.norm_squared() - d.dot(&b) - d1_m * d1_m) / length_m;
        StrutState { length_m, d1_m, d2_m }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_derivatives_match_central_differences() {
        let strut = Strut { frame_anchor_m: Vec2::new(-0.3, 0.25), arm_along_m: 0.45, arm_across_m: -0.07 };
        for i in 0..40 {
            let phi = -0.5 + 0.07 * f64::from(i);
            let h = 1e-4;
            let (m, o, p) = (strut.at(phi - h), strut.at(phi), strut.at(phi + h));
            assert!((o.d1_m - (p.length_m - m.length_m) / (2.0 * h)).abs() < 1e-7);
            assert!((o.d2_m - (p.d1_m - m.d1_m) / (2.0 * h)).abs() < 1e-6);
            assert!(o.length_m > 0.01);
        }
    }
}
