//! The swinging body: arm tube, brush assembly and whatever else is bolted to them, as one rigid body about the pivot.
//!
//! I = Σ (I_own + m r²); CG radius = Σ m r / Σ m, on the arm's line. Rod: I_own = m (b − a)²/12 (any mechanics text).
//! A motor that holds its speed rides on the arm: over the ground the brush turns at the set spin + φ̇, so its own inertia about the spindle counts about
//! the pivot like that of any part bolted to the arm. (The torque that this asks of the motor, J φ̈, is inside; its power, a few watts but for the bumper's
//! jolt, is left out of the spindle power.)

/// One part of the swinging body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ArmPart {
    /// A uniform rod along the arm, from radius `from_m` to `to_m` (a negative radius is behind the pivot).
    Rod {
        /// Mass, kg.
        mass_kg: f64,
        /// Inner end, m from the pivot along the arm.
        from_m: f64,
        /// Outer end, m from the pivot along the arm.
        to_m: f64,
    },
    /// A point mass at a radius.
    Point {
        /// Mass, kg.
        mass_kg: f64,
        /// Radius, m.
        radius_m: f64,
    },
    /// A part whose inertia about its own centre of gravity is known.
    Given {
        /// Mass, kg.
        mass_kg: f64,
        /// Radius of its centre of gravity, m.
        radius_m: f64,
        /// Inertia about its own centre of gravity, kg m².
        inertia_kg_m2: f64,
    },
}

impl ArmPart {
    /// Mass, kg.
    pub fn mass_kg(&self) -> f64 {
        match *self {
            ArmPart::Rod { mass_kg, .. }
            | ArmPart::Point { mass_kg, .. }
            | ArmPart::Given { mass_kg, .. } => mass_kg,
        }
    }

    /// Radius of the centre of gravity, m.
    pub fn cg_radius_m(&self) -> f64 {
        match *self {
            ArmPart::Rod { from_m, to_m, .. } => 0.5 * (from_m + to_m),
            ArmPart::Point { radius_m, .. } | ArmPart::Given { radius_m, .. } => radius_m,
        }
    }

    /// Inertia about the pivot, kg m².
    pub fn inertia_kg_m2(&self) -> f64 {
        let r = self.cg_radius_m();
        match *self {
            ArmPart::Rod { mass_kg, from_m, to_m } => {
                let len = to_m - from_m;
                mass_kg * (len * len / 12.0 + r * r)
            }
            ArmPart::Point { mass_kg, .. } => mass_kg * r * r,
            ArmPart::Given { mass_kg, inertia_kg_m2, .. } => inertia_kg_m2 + mass_kg * r * r,
        }
    }
}

/// The swinging body as the equation of motion sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct ArmBody {
    /// Pivot to brush centre, m.
    pub length_m: f64,
    /// Total mass, kg.
    pub mass_kg: f64,
    /// Radius of the centre of gravity, m.
    pub cg_radius_m: f64,
    /// Inertia about the pivot, kg m².
    pub inertia_kg_m2: f64,
}

impl ArmBody {
    /// Adds the parts up. `length_m` is the pivot-to-spindle length.
    pub fn from_parts(length_m: f64, parts: &[ArmPart]) -> Self {
        let mass_kg: f64 = parts.iter().map(ArmPart::mass_kg).sum();
        let moment: f64 = parts.iter().map(|p| p.mass_kg() * p.cg_radius_m()).sum();
        ArmBody {
            length_m,
            mass_kg,
            cg_radius_m: if mass_kg > 0.0 { moment / mass_kg } else { 0.0 },
            inertia_kg_m2: parts.iter().map(ArmPart::inertia_kg_m2).sum(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_rod_about_its_end_is_a_third_and_parts_add() {
        let body = ArmBody::from_parts(
            2.3,
            &[
                ArmPart::Rod { mass_kg: 38.0, from_m: 0.0, to_m: 2.3 },
                ArmPart::Point { mass_kg: 48.0, radius_m: 2.3 },
                ArmPart::Given { mass_kg: 0.0, radius_m: 1.0, inertia_kg_m2: 2.0 },
            ],
        );
        let want = 38.0 * 2.3 * 2.3 / 3.0 + 48.0 * 2.3 * 2.3 + 2.0;
        assert!((body.inertia_kg_m2 - want).abs() < 1e-10 && want > 300.0);
        assert!((body.cg_radius_m - (38.0 * 1.15 + 48.0 * 2.3) / 86.0).abs() < 1e-12);
    }
}
