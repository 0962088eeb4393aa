//! What the two brushes of a moving pair do to each other, each in the frame of its own unit.

use super::motion::{UnitDynamics, state};
use super::pair::{OtherBrush, brush_to_brush};
use crate::geometry::Vec2;
use state::OMEGA;

/// What the two brushes of a pair do to each other, each in its own unit frame; `None` when they are clear. The second unit's frame is the
/// mirror image of the first's when they stand on opposite sides.
pub fn other_brushes(units: [&UnitDynamics<'_>; 2], y: [&[f64]; 2]) -> Option<[OtherBrush; 2]> {
    let [a, b] = units;
    let (ca, va) = a.brush_motion(y[0]);
    let (cb, vb) = b.brush_motion(y[1]);
    // The second unit is the mirrored one: into the frame of the first and back.
    let flip = |v: Vec2| Vec2::new(v.x, -v.y);
    let spin_a = a.law.spin_rad_s + y[0][OMEGA];
    let spin_b = -(b.law.spin_rad_s + y[1][OMEGA]);
    let [on_a, on_b] =
        brush_to_brush([&a.model.brush, &b.model.brush], [ca, flip(cb)], [va, flip(vb)], [spin_a, spin_b])?;
    Some([on_a, OtherBrush { force_n: flip(on_b.force_n), moment_n_m: -on_b.moment_n_m }])
}
