//! A vehicle where it stands.

use crate::geometry::Vec2;
use crate::pass::Pose;
use crate::vehicle::Vehicle;

pub(super) struct Placed<'a> {
    pub(super) vehicle: &'a Vehicle,
    pub(super) pose: Pose,
}

impl Placed<'_> {
    pub(super) fn ground(&self, p: Vec2, t_s: f64) -> [f64; 2] {
        let g = self.pose.unit_from_vehicle(p, t_s);
        [g.x, g.y]
    }
}
