//! A vehicle as someone measures it: plain numbers, SI.

use super::{FeatureKind, FeatureSide};

/// A vehicle description. Nothing is checked until [`VehicleSpec::build`].
#[derive(Debug, Clone, PartialEq)]
pub struct VehicleSpec {
    /// Name shown to people.
    pub name: String,
    /// Class: «sedan», «pickup» …
    pub class: String,
    /// Where the numbers come from.
    pub note: String,
    /// Length of the body, m (0.5 to 12): from the tip of the nose to the end of the tail, without features.
    pub length_m: f64,
    /// Greatest width of the body, m (0.3 to 3), without mirrors.
    pub width_m: f64,
    /// Top of the body above the floor, m (0.3 to 4.5).
    pub height_m: f64,
    /// Bodies from the lowest to the highest, each starting where the one below ends.
    pub body: Vec<BodySpec>,
    /// Mirrors, plates and so on.
    pub features: Vec<FeatureSpec>,
}

/// The body between two heights, in plan. Symmetric about the centreline.
///
/// The corners before rounding lie `sweep` behind the foremost point of the nose (ahead of the rearmost of the tail) and `barrel`
/// inside the greatest half width; nose, tail and sides are arcs through them, straight where sweep or barrel is 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodySpec {
    /// Bottom, m above the floor.
    pub z_low_m: f64,
    /// Top, m above the floor.
    pub z_high_m: f64,
    /// How far its foremost point lies behind the nose tip of the vehicle, m.
    pub nose_setback_m: f64,
    /// How far its rearmost point lies ahead of the tail end of the vehicle, m.
    pub tail_setback_m: f64,
    /// Greatest width, m.
    pub width_m: f64,
    /// How far the corners of the nose lie behind its middle, m: the bow of a bumper. 0 or at least 0.1 mm, at most a quarter of the width.
    pub nose_sweep_m: f64,
    /// Radius of the nose corners, m; 0 = sharp.
    pub nose_corner_radius_m: f64,
    /// How far the corners of the tail lie ahead of its middle, m.
    pub tail_sweep_m: f64,
    /// Radius of the tail corners, m; 0 = sharp.
    pub tail_corner_radius_m: f64,
    /// How far the middle of a side stands out from its ends, m.
    pub side_barrel_m: f64,
}

/// Something on the vehicle that is not the body.
#[derive(Debug, Clone, PartialEq)]
pub struct FeatureSpec {
    /// Name without side: «mirror»; the side word is put before it.
    pub name: String,
    /// What it is.
    pub kind: FeatureKind,
    /// On which side. On a side panel: left, right or both. Elsewhere also centre, and then `y_m` is signed.
    pub side: FeatureSide,
    /// Bottom, m above the floor.
    pub z_low_m: f64,
    /// Top, m above the floor.
    pub z_high_m: f64,
    /// Force it may take, N, if one is known.
    pub limit_force_n: Option<f64>,
    /// Where it is in plan.
    pub place: FeaturePlace,
}

/// Where a feature sits in plan and how big it is. Lengths in m.
///
/// `reach_m` is how far it stands out beyond the outermost point of the body surface behind it, over its whole length and height; 0 = flush, nothing but a marked stretch of the body. `y_m` is the distance of its middle from the centreline: for a
/// feature on the left, the right or both sides it is positive, for one at the centre it is signed, left positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FeaturePlace {
    /// On a side panel: a bump with a front face, rounded outer corners and a rear face.
    Side {
        /// Its front face behind the nose tip.
        behind_nose_m: f64,
        /// Its length along the vehicle.
        length_m: f64,
        /// How far it stands out.
        reach_m: f64,
        /// Radius of its outer corners.
        corner_radius_m: f64,
    },
    /// On the nose.
    Nose {
        /// Its middle from the centreline.
        y_m: f64,
        /// Its width across the vehicle.
        width_m: f64,
        /// How far it stands out.
        reach_m: f64,
        /// Radius of its outer corners.
        corner_radius_m: f64,
    },
    /// On the tail.
    Tail {
        /// Its middle from the centreline.
        y_m: f64,
        /// Its width across the vehicle.
        width_m: f64,
        /// How far it stands out.
        reach_m: f64,
        /// Radius of its outer corners.
        corner_radius_m: f64,
    },
    /// Standing free of the body at its heights: an antenna beside the greenhouse, a rack above the roof.
    Standing {
        /// Its front behind the nose tip.
        behind_nose_m: f64,
        /// Its middle from the centreline.
        y_m: f64,
        /// Its length along the vehicle.
        length_m: f64,
        /// Its width across the vehicle.
        width_m: f64,
        /// Radius of its corners; half of the smaller of length and width makes it round.
        corner_radius_m: f64,
    },
}

/// −y without a negative zero.
fn negated(y_m: f64) -> f64 {
    if y_m == 0.0 { 0.0 } else { -y_m }
}

impl VehicleSpec {
    /// The mirror image (y → −y): left and right change places, offsets change sign. A symmetric vehicle comes back unchanged.
    pub fn mirrored(&self) -> VehicleSpec {
        VehicleSpec { features: self.features.iter().map(FeatureSpec::mirrored).collect(), ..self.clone() }
    }

    /// The same vehicle in another size. Body measures and positions scale with length (x), width (y) and height (z), corner radii
    /// with the smaller of length and width. Features keep their own size in plan (a plate is a plate), except steps and racks,
    /// which grow along with the body; the heights of all features scale.
    pub fn scaled(&self, length_m: f64, width_m: f64, height_m: f64) -> VehicleSpec {
        let scale =
            Scale { x: length_m / self.length_m, y: width_m / self.width_m, z: height_m / self.height_m };
        VehicleSpec {
            length_m,
            width_m,
            height_m,
            body: self.body.iter().map(|body| body.scaled(&scale)).collect(),
            features: self.features.iter().map(|feature| feature.scaled(&scale)).collect(),
            ..self.clone()
        }
    }
}

struct Scale {
    x: f64,
    y: f64,
    z: f64,
}

impl Scale {
    fn round(&self) -> f64 {
        self.x.min(self.y)
    }
}

impl BodySpec {
    fn scaled(&self, k: &Scale) -> BodySpec {
        BodySpec {
            z_low_m: self.z_low_m * k.z,
            z_high_m: self.z_high_m * k.z,
            nose_setback_m: self.nose_setback_m * k.x,
            tail_setback_m: self.tail_setback_m * k.x,
            width_m: self.width_m * k.y,
            nose_sweep_m: self.nose_sweep_m * k.round(),
            nose_corner_radius_m: self.nose_corner_radius_m * k.round(),
            tail_sweep_m: self.tail_sweep_m * k.round(),
            tail_corner_radius_m: self.tail_corner_radius_m * k.round(),
            side_barrel_m: self.side_barrel_m * k.round(),
        }
    }
}

impl FeatureSpec {
    fn mirrored(&self) -> FeatureSpec {
        let mut place = self.place;
        if self.side == FeatureSide::Centre {
            match &mut place {
                FeaturePlace::Side { .. } => {}
                FeaturePlace::Nose { y_m, .. }
                | FeaturePlace::Tail { y_m, .. }
                | FeaturePlace::Standing { y_m, .. } => *y_m = negated(*y_m),
            }
        }
        FeatureSpec { side: self.side.mirrored(), place, ..self.clone() }
    }

    fn scaled(&self, k: &Scale) -> FeatureSpec {
        let grows = matches!(self.kind, FeatureKind::Step | FeatureKind::Rack);
        let own = |factor: f64| if grows { factor } else { 1.0 };
        let mut place = self.place;
        match &mut place {
            FeaturePlace::Side { behind_nose_m, length_m, .. } => {
                *behind_nose_m *= k.x;
                *length_m *= own(k.x);
            }
            FeaturePlace::Nose { y_m, width_m, .. } | FeaturePlace::Tail { y_m, width_m, .. } => {
                *y_m *= k.y;
                *width_m *= own(k.y);
            }
            FeaturePlace::Standing { behind_nose_m, y_m, length_m, width_m, corner_radius_m } => {
                *behind_nose_m *= k.x;
                *y_m *= k.y;
                *length_m *= own(k.x);
                *width_m *= own(k.y);
                *corner_radius_m *= own(k.round());
            }
        }
        FeatureSpec { z_low_m: self.z_low_m * k.z, z_high_m: self.z_high_m * k.z, place, ..self.clone() }
    }
}
