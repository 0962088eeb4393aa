//! What two brushes that touch do to each other, and whether they can touch at all.

use super::contact::{ContactLaw, FRICTION_FADE_M_S};
use crate::arm::{Brush, UnitModel, lens_force_n};
use crate::geometry::Vec2;

/// Force and moment from the other brush, in this unit's frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherBrush {
    /// Force on this brush, N.
    pub force_n: Vec2,
    /// Moment about this brush's spindle, N m.
    pub moment_n_m: f64,
}

/// Contact of two brushes: (on the first, on the second), both in the frame given. Centres in m, velocities in m/s, spins in rad/s about z of
/// that frame. Lens push along the line of centres; Coulomb rubbing at the chord. No lead: strips of a pair that turn alike run along with each other there.
pub fn brush_to_brush(
    brushes: [&Brush; 2],
    centers: [Vec2; 2],
    velocities: [Vec2; 2],
    spins: [f64; 2],
) -> Option<[OtherBrush; 2]> {
    let between = centers[1] - centers[0];
    let distance = between.norm();
    let radii = [brushes[0].radius_m, brushes[1].radius_m];
    if distance >= radii[0] + radii[1] || distance <= 1e-9 {
        return None;
    }
    let height = brushes[0].z_high_m.min(brushes[1].z_high_m) - brushes[0].z_low_m.max(brushes[1].z_low_m);
    if height <= 0.0 {
        return None;
    }
    let push = lens_force_n(
        radii,
        [0, 1].map(|i| ContactLaw::of(brushes[i]).stiffness_at(spins[i])),
        [brushes[0].exponent, brushes[1].exponent],
        height,
        distance,
    );
    let n = between / distance;
    let t = Vec2::new(-n.y, n.x);
    let d0 = 0.5 * (distance + (radii[0] * radii[0] - radii[1] * radii[1]) / distance);
    let d1 = 0.5 * (distance + (radii[1] * radii[1] - radii[0] * radii[0]) / distance);
    // Tip speeds at the chord: ω × r with r = d0 n on the first and −d1 n on the second. Both brushes enter alike, to the bit.
    let slip = (velocities[0] - velocities[1]).dot(&t) + (spins[0] * d0 + spins[1] * d1);
    let mu = 0.5 * (brushes[0].friction + brushes[1].friction);
    let rub = mu * push * (slip / FRICTION_FADE_M_S).clamp(-1.0, 1.0);
    let on_first = n * -push - t * rub;
    Some([
        OtherBrush { force_n: on_first, moment_n_m: -d0 * rub },
        OtherBrush { force_n: -on_first, moment_n_m: -d1 * rub },
    ])
}

/// Room between the brushes of a pair whose centres stand at these points, each of its own unit's frame, m; negative where they overlap. The
/// second unit stands in the mirror image of the first one's frame.
pub(super) fn spacing_m(pair: [&UnitModel; 2], [a, b]: [Vec2; 2]) -> f64 {
    (a - Vec2::new(b.x, -b.y)).norm() - pair[0].brush.radius_m - pair[1].brush.radius_m
}

/// Whether the brushes of both units can come within reach of each other anywhere in their working ranges.
pub fn brushes_can_meet(units: &[UnitModel]) -> bool {
    let [a, b] = units else { return false };
    let range = |u: &UnitModel| {
        let give = |s: &crate::arm::BumperStop| (s.full_compression_m + 0.05) / s.radius_m;
        (u.inboard_stop.seat_rad - give(&u.inboard_stop), u.outboard_stop.seat_rad + give(&u.outboard_stop))
    };
    let ((a0, a1), (b0, b1)) = (range(a), range(b));
    let n = 64;
    let at = |lo: f64, hi: f64, i: i32| lo + (hi - lo) * f64::from(i) / f64::from(n);
    (0..=n).any(|i| {
        let ca = a.brush_center_m(at(a0, a1, i));
        (0..=n).any(|j| {
            let cb = b.brush_center_m(at(b0, b1, j));
            spacing_m([a, b], [ca, cb]) < 0.05
        })
    })
}
