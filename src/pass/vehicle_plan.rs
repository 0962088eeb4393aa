//! One vehicle of the train as one unit meets it: its bands that the media reaches, where the brush stands beside each, and what could be touched from where.

use super::contact::{BandStack, NearIndex, StackBand};
use super::conveyor::Pose;
use crate::arm::UnitModel;
use crate::elementary::Elementary;
use crate::geometry::Vec2;
use crate::vehicle::{Band, Vehicle};
use std::sync::OnceLock;

/// One height band of one vehicle as one brush meets it.
#[derive(Debug, Clone)]
pub struct BandPlan<'a> {
    /// Index of the band in the vehicle.
    pub index: usize,
    /// The band.
    pub band: &'a Band,
    /// Height of the band that the media covers, m.
    pub height_m: f64,
    /// How far the lean shifts the brush at the middle of that height, m, unit frame.
    pub shift_m: Vec2,
    radius_m: f64,
    pub(super) near: OnceLock<NearIndex>,
}

impl BandPlan<'_> {
    /// Which pieces to look at from where. Made when first asked for: who reads one instant looks at few bands.
    pub fn near(&self) -> &NearIndex {
        self.near.get_or_init(|| NearIndex::new(&self.band.outlines, self.radius_m))
    }

    pub(super) fn in_stack(&self) -> StackBand<'_> {
        StackBand { outlines: &self.band.outlines, near: self.near(), height_m: self.height_m }
    }
}

/// One vehicle of the train as one unit meets it.
#[derive(Debug, Clone)]
pub struct VehiclePlan<'a> {
    /// Place in the train.
    pub train_index: usize,
    /// The outline, in this unit's handedness.
    pub vehicle: &'a Vehicle,
    /// Where it is.
    pub pose: Pose,
    /// Its bands that the media reaches.
    pub bands: Vec<BandPlan<'a>>,
    /// Distance from its middle to its farthest point in plan, m.
    pub reach_m: f64,
    /// Bands that follow each other at which the brush stands alike, as the first of them and their stack.
    stacks: OnceLock<Vec<(usize, BandStack)>>,
}

impl<'a> VehiclePlan<'a> {
    /// Plans a vehicle for a unit.
    pub fn new(train_index: usize, vehicle: &'a Vehicle, pose: Pose, unit: &UnitModel) -> Self {
        let mut reach_m: f64 = 0.0;
        let mut bands = Vec::new();
        for (index, band) in vehicle.bands.iter().enumerate() {
            let low = band.z_low_m.max(unit.brush.z_low_m);
            let high = band.z_high_m.min(unit.brush.z_high_m);
            for outline in &band.outlines {
                let b = outline.chain.bounds();
                let half = 0.5 * pose.length_m;
                for x in [b.min.x + half, b.max.x + half] {
                    for y in [b.min.y, b.max.y] {
                        reach_m = reach_m.max(x.hypotenuse(y));
                    }
                }
            }
            if high - low > 1e-9 {
                let shift_m = unit.lean_shift_m(0.5 * (low + high));
                let radius_m = unit.brush.radius_m;
                bands.push(BandPlan {
                    index,
                    band,
                    height_m: high - low,
                    shift_m,
                    radius_m,
                    near: OnceLock::new(),
                });
            }
        }
        VehiclePlan { train_index, vehicle, pose, bands, reach_m, stacks: OnceLock::new() }
    }

    /// Its bands, stacked where the brush stands alike. Made when first asked for.
    pub(super) fn stacks(&self) -> &[(usize, BandStack)] {
        self.stacks.get_or_init(|| {
            let mut first = 0;
            let alike = self.bands.chunk_by(|a, b| a.shift_m == b.shift_m);
            alike
                .map(|bands| {
                    let own: Vec<StackBand<'_>> = bands.iter().map(BandPlan::in_stack).collect();
                    let stack = (first, BandStack::new(&own, bands[0].radius_m));
                    first += bands.len();
                    stack
                })
                .collect()
        })
    }

    /// Distance from a brush centre (unit frame) to the nearest surface at time t, m, by all outlines one by one: what tests hold shorter ways against.
    #[cfg(test)]
    pub(super) fn away_m(&self, c: Vec2, t_s: f64) -> f64 {
        let of = |band: &BandPlan<'_>| {
            let local = self.pose.vehicle_from_unit(c + band.shift_m, t_s);
            let outlines = band.band.outlines.iter();
            outlines.map(|o| o.chain.nearest(local).distance_m).fold(f64::INFINITY, f64::min)
        };
        self.bands.iter().map(of).fold(f64::INFINITY, f64::min)
    }

    /// Whether a brush of radius R centred at c (unit frame) could touch it at time t.
    pub fn may_touch(&self, c: Vec2, radius_m: f64, t_s: f64) -> bool {
        let middle_x = self.pose.nose_x_m(t_s) - 0.5 * self.pose.length_m;
        // 0.1 m for the lean shift, which the set-up checks keep far smaller.
        (c.x - middle_x).abs() < self.reach_m + radius_m + 0.1
    }

    /// Whether a spindle at c (unit frame) would stand within the vehicle at time t, where no contact is reckoned.
    pub fn holds(&self, c: Vec2, t_s: f64) -> bool {
        let within = |band: &BandPlan<'_>| {
            let local = self.pose.vehicle_from_unit(c + band.shift_m, t_s);
            band.band.outlines.iter().any(|outline| outline.chain.contains(local))
        };
        self.bands.iter().any(within)
    }
}
