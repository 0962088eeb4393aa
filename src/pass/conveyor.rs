//! The line: conveyor speed from throughput, and where each vehicle of the train is.
//!
//! v = throughput × (vehicle length + gap), with the mean length of the train. The nose of the measured vehicle crosses lane x = 0 at
//! t = 0; everything upstream happens at negative times. Vehicles ride rigidly with the conveyor, with a lateral offset (positive to
//! the left of travel) and a yaw (positive counterclockwise, about the middle of the vehicle).

use crate::elementary::Elementary;
use crate::geometry::Vec2;
use crate::vehicle::Vehicle;
use std::sync::Arc;

/// Conveyor speed, m/s, for a throughput (1/h), a mean vehicle length and a gap (m).
pub fn conveyor_speed_m_s(throughput_per_h: f64, mean_length_m: f64, gap_m: f64) -> f64 {
    throughput_per_h / 3600.0 * (mean_length_m + gap_m)
}

/// A vehicle outline and its exact mirror image, built once and shared by every pass that uses it.
#[derive(Debug, Clone, PartialEq)]
pub struct VehiclePair {
    /// As it rides: y to the left of travel.
    pub real: Vehicle,
    /// Mirrored (y → −y): what the right unit sees in its own frame.
    pub mirrored: Vehicle,
}

/// One vehicle of the train.
#[derive(Debug, Clone, PartialEq)]
pub struct TrainVehicle {
    /// Its outline.
    pub shape: Arc<VehiclePair>,
    /// How far it sits off the lane centreline, positive to the left of travel, m.
    pub lateral_offset_m: f64,
    /// How far it is turned on the track, positive counterclockwise seen from above, rad.
    pub yaw_rad: f64,
}

/// Where one vehicle is, in one unit's frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Time at which its nose crosses lane x = 0, s.
    pub nose_at_zero_s: f64,
    /// Conveyor speed, m/s.
    pub speed_m_s: f64,
    /// Vehicle length, m.
    pub length_m: f64,
    /// Lateral offset in the unit frame, m.
    pub offset_m: f64,
    cos_yaw: f64,
    sin_yaw: f64,
}

impl Pose {
    /// A pose; offset and yaw in the unit frame.
    pub fn new(nose_at_zero_s: f64, speed_m_s: f64, length_m: f64, offset_m: f64, yaw_rad: f64) -> Self {
        let (sin_yaw, cos_yaw) = yaw_rad.sine_cosine();
        Pose { nose_at_zero_s, speed_m_s, length_m, offset_m, cos_yaw, sin_yaw }
    }

    /// Lane x of the nose at time t, m.
    pub fn nose_x_m(&self, t_s: f64) -> f64 {
        self.speed_m_s * (t_s - self.nose_at_zero_s)
    }

    /// Time at which the nose is at lane x, s.
    pub fn nose_time_s(&self, x_m: f64) -> f64 {
        self.nose_at_zero_s + x_m / self.speed_m_s
    }

    /// Turns a direction of the unit frame into the vehicle frame.
    #[inline]
    pub fn vehicle_from_unit_dir(&self, v: Vec2) -> Vec2 {
        Vec2::new(self.cos_yaw * v.x + self.sin_yaw * v.y, self.cos_yaw * v.y - self.sin_yaw * v.x)
    }

    /// Turns a direction of the vehicle frame into the unit frame.
    #[inline]
    pub fn unit_from_vehicle_dir(&self, v: Vec2) -> Vec2 {
        Vec2::new(self.cos_yaw * v.x - self.sin_yaw * v.y, self.cos_yaw * v.y + self.sin_yaw * v.x)
    }

    /// A point of the unit frame in the vehicle frame (nose tip at x = 0, tail at −length) at time t.
    #[inline]
    pub fn vehicle_from_unit(&self, p: Vec2, t_s: f64) -> Vec2 {
        let half = 0.5 * self.length_m;
        let turned = self.vehicle_from_unit_dir(p - Vec2::new(self.nose_x_m(t_s) - half, self.offset_m));
        Vec2::new(turned.x - half, turned.y)
    }

    /// A point of the vehicle frame in the unit frame at time t.
    pub fn unit_from_vehicle(&self, p: Vec2, t_s: f64) -> Vec2 {
        let half = 0.5 * self.length_m;
        self.unit_from_vehicle_dir(Vec2::new(p.x + half, p.y))
            + Vec2::new(self.nose_x_m(t_s) - half, self.offset_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: arithmetic of the throughput definition (an independent table: 60/h with 16 + 10 ft → 26.0 ft/min; 100/h → 43.3333 ft/min
    /// = 0.220133 m/s; 140/h → 60.6667 ft/min = 0.308187 m/s; 140/h with 19 + 8 ft → 63.0 ft/min).
    #[test]
    fn verif_throughput_arithmetic() {
        let ft = 0.3048;
        for (n, len, gap, ft_min) in
            [(60.0, 16.0, 10.0, 26.0), (100.0, 16.0, 10.0, 43.0 + 1.0 / 3.0), (140.0, 19.0, 8.0, 63.0)]
        {
            let v = conveyor_speed_m_s(n, len * ft, gap * ft);
            assert!((v * 60.0 / ft - ft_min).abs() < 1e-10);
            assert!((v / ((len + gap) * ft) * 3600.0 - n).abs() < 1e-10);
        }
        assert!((conveyor_speed_m_s(140.0, 16.0 * ft, 10.0 * ft) - 0.308187).abs() < 1e-6);
    }

    #[test]
    fn verif_pose_round_trip() {
        let pose = Pose::new(1.5, 0.22, 4.8, 0.1, 0.02);
        let p = Vec2::new(3.0, 1.1);
        let back = pose.unit_from_vehicle(pose.vehicle_from_unit(p, 7.0), 7.0);
        assert!((back - p).norm() < 1e-14);
        let nose = pose.unit_from_vehicle(Vec2::zeros(), 7.0);
        assert!((nose.x - pose.nose_x_m(7.0)).abs() < 1e-3 && nose.x > 1.0);
    }
}
