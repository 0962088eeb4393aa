//! What strips do at one point of a surface.

use super::ContactLaw;
use crate::elementary::Elementary;
use crate::geometry::{Piece, Vec2};

/// The contact at one point of a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfacePoint {
    /// Press δ, m.
    pub press_m: f64,
    /// dN/ds: push per metre of perimeter and metre of height = contact pressure, Pa.
    pub pressure_pa: f64,
    /// Speed of the strip tip over the surface along the chain's tangent, m/s.
    pub tip_m_s: f64,
}

/// Contact at local arclength `s_m` of a piece that the brush at `c` sees.
pub fn surface_point(law: &ContactLaw, piece: &Piece, s_m: f64, c: Vec2, velocity_m_s: Vec2) -> SurfacePoint {
    let (p, n) = match piece {
        Piece::Line(line) => {
            let t = (line.b - line.a).normalize();
            (line.a + t * s_m, Vec2::new(t.y, -t.x))
        }
        Piece::Arc(arc) => {
            let (sin, cos) = (arc.start_rad + s_m / arc.radius_m).sine_cosine();
            let n = Vec2::new(cos, sin);
            (arc.center + n * arc.radius_m, n)
        }
    };
    let arm_m = p - c;
    let rho = arm_m.norm();
    let facing = -arm_m.dot(&n) / rho;
    let press_m = law.radius_m - rho;
    let mut per_psi = if press_m <= 0.0 {
        0.0
    } else if law.exponent == 1.0 {
        law.stiffness * press_m
    } else {
        law.stiffness * press_m.power(law.exponent)
    };
    per_psi += law.hub_stiffness * (law.hub_radius_m - rho).max(0.0);
    let tangent = Vec2::new(-n.y, n.x);
    SurfacePoint {
        press_m,
        pressure_pa: per_psi * (facing * facing) / rho,
        tip_m_s: velocity_m_s.dot(&tangent) + law.spin_rad_s * arm_m.dot(&n),
    }
}
