//! Vehicles in plan: outlines in height bands, made from a few measures anyone can take.
//!
//! **Vehicle frame**: x forward (downstream, the way the conveyor carries the vehicle), the nose tip at x = 0, so that the body lies
//! in −length ≤ x ≤ 0; y to the left of travel, the vehicle's centreline at y = 0; z up from the floor.
//!
//! A vehicle is a stack of bodies ([`BodySpec`]: lower body, belt, greenhouse …), each a plan outline over a range of height, and of
//! features ([`FeatureSpec`]) with their own heights. [`VehicleSpec::build`] cuts the stack at every edge into [`Band`]s, in each of
//! which the plan outlines do not change with height.
//!
//! Every body outline runs counterclockwise from the middle of the nose: nose left half → left nose corner → left side → left tail
//! corner → tail → right side → right nose corner → nose right half. Nose and tail are cut in two at y = 0; the corner roundings are
//! cut in two at their middle, where the zone changes. The right half is the exact mirror image of the left half (station s ↔
//! perimeter − s) unless a feature makes the vehicle asymmetric.
//!
//! Not modelled: slope or rounding of a body within its height range (a step in z at each body edge), wheels and wheel arches,
//! flexing or folding parts.

mod attach;
mod build;
mod check;
mod error;
pub mod fleet;
mod half;
mod spec;

pub use error::VehicleError;
pub use spec::{BodySpec, FeaturePlace, FeatureSpec, VehicleSpec};

use crate::geometry::{Bounds, Chain, Vec2};
use std::fmt;

/// Part of the perimeter, as the trade divides it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Zone {
    /// Front, between the middles of the two nose corners.
    Nose,
    /// Left of travel (+y), between the middles of its corners.
    LeftSide,
    /// Rear, between the middles of the two tail corners.
    Tail,
    /// Right of travel (−y).
    RightSide,
}

impl Zone {
    /// All zones in the order of the perimeter.
    pub const ALL: [Zone; 4] = [Zone::Nose, Zone::LeftSide, Zone::Tail, Zone::RightSide];

    /// The zone seen in a mirror along the vehicle: the sides change places.
    pub fn mirrored(self) -> Zone {
        match self {
            Zone::Nose => Zone::Nose,
            Zone::LeftSide => Zone::RightSide,
            Zone::Tail => Zone::Tail,
            Zone::RightSide => Zone::LeftSide,
        }
    }

    /// Its place in [`Zone::ALL`].
    pub(crate) fn index(self) -> usize {
        self as usize
    }

    /// Trade word.
    pub fn name(self) -> &'static str {
        match self {
            Zone::Nose => "nose",
            Zone::LeftSide => "left side",
            Zone::Tail => "tail",
            Zone::RightSide => "right side",
        }
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// What a feature is; a file writes it as it is named here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
pub enum FeatureKind {
    /// Outside rear-view mirror.
    Mirror,
    /// Antenna.
    Antenna,
    /// Licence plate.
    Plate,
    /// Trailer hitch.
    Hitch,
    /// Spare wheel carried outside.
    SpareWheel,
    /// Roof or tail rack.
    Rack,
    /// Side step or running board.
    Step,
}

impl FeatureKind {
    /// All kinds.
    pub const ALL: [FeatureKind; 7] = [
        FeatureKind::Mirror,
        FeatureKind::Antenna,
        FeatureKind::Plate,
        FeatureKind::Hitch,
        FeatureKind::SpareWheel,
        FeatureKind::Rack,
        FeatureKind::Step,
    ];

    /// Trade word.
    pub fn name(self) -> &'static str {
        match self {
            FeatureKind::Mirror => "mirror",
            FeatureKind::Antenna => "antenna",
            FeatureKind::Plate => "plate",
            FeatureKind::Hitch => "hitch",
            FeatureKind::SpareWheel => "spare wheel",
            FeatureKind::Rack => "rack",
            FeatureKind::Step => "step",
        }
    }
}

impl fmt::Display for FeatureKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// Which side of the vehicle a feature is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FeatureSide {
    /// Left of travel (+y).
    Left,
    /// Right of travel (−y).
    Right,
    /// One on each side.
    Both,
    /// On or near the centreline.
    Centre,
}

impl FeatureSide {
    /// The side seen in a mirror along the vehicle.
    pub fn mirrored(self) -> FeatureSide {
        match self {
            FeatureSide::Left => FeatureSide::Right,
            FeatureSide::Right => FeatureSide::Left,
            other => other,
        }
    }

    /// Trade word.
    pub fn name(self) -> &'static str {
        match self {
            FeatureSide::Left => "left",
            FeatureSide::Right => "right",
            FeatureSide::Both => "both sides",
            FeatureSide::Centre => "centre",
        }
    }
}

impl fmt::Display for FeatureSide {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// A vehicle ready for a pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    /// Name.
    pub name: String,
    /// Class: «sedan», «pickup» …
    pub class: String,
    /// Length of the body, m, without features.
    pub length_m: f64,
    /// Width of the body, m, without mirrors.
    pub width_m: f64,
    /// Height of the top of the body above the floor, m.
    pub height_m: f64,
    /// Height bands, contiguous, lowest first.
    pub bands: Vec<Band>,
    /// One entry per physical thing («left mirror», «right mirror»), in the order of the spec; of a pair the left one stands first.
    pub features: Vec<Feature>,
}

/// One physical feature.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    /// Name with its side: «left mirror».
    pub name: String,
    /// What it is.
    pub kind: FeatureKind,
    /// Left, right or centre; never both.
    pub side: FeatureSide,
    /// Force it may take, N, if one is stated.
    pub limit_force_n: Option<f64>,
    /// Bottom, m above the floor.
    pub z_low_m: f64,
    /// Top, m above the floor.
    pub z_high_m: f64,
    /// Its outermost point in plan, m, vehicle frame: the middle of its outer face, or the middle of a thing that stands free.
    pub reach_m: Vec2,
    /// Index of its entry in the spec's list of features.
    pub spec: usize,
    /// Index of the same physical thing in the mirrored vehicle's list.
    pub mirror_index: usize,
}

/// A slice of a vehicle between two heights.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Bottom, m above the floor.
    pub z_low_m: f64,
    /// Top, m above the floor.
    pub z_high_m: f64,
    /// The body first, if there is body at this height; then islands.
    pub outlines: Vec<Outline>,
}

/// One closed outline of a band.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// The outline in the vehicle frame.
    pub chain: Chain,
    /// What each piece of the chain belongs to, parallel to `chain.pieces()`.
    pub tags: Vec<PieceTag>,
    /// Stands apart from the body at this height: an antenna, a rack above the roof.
    pub island: bool,
}

/// What a piece belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PieceTag {
    /// Zone; on an island the way the piece faces.
    pub zone: Zone,
    /// Index into [`Vehicle::features`], if it is part of a feature.
    pub feature: Option<usize>,
}

impl Band {
    /// Height, m.
    pub fn height_m(&self) -> f64 {
        self.z_high_m - self.z_low_m
    }

    /// The body's outline, if there is body at this height.
    pub fn body(&self) -> Option<&Outline> {
        self.outlines.first().filter(|outline| !outline.island)
    }
}

impl Outline {
    /// Tag at arclength `s_m` (wraps).
    pub fn tag_at(&self, s_m: f64) -> PieceTag {
        self.tags[self.chain.locate(s_m).0]
    }

    /// Length of perimeter in a zone, m.
    pub fn zone_length_m(&self, zone: Zone) -> f64 {
        let pieces = self.chain.pieces().iter().zip(&self.tags);
        pieces.filter(|(_, tag)| tag.zone == zone).map(|(piece, _)| piece.length_m()).sum()
    }
}

impl Vehicle {
    /// Index of the band at height `z_m`; an edge belongs to the band above it.
    pub fn band_at(&self, z_m: f64) -> Option<usize> {
        self.bands.iter().position(|band| z_m >= band.z_low_m && z_m < band.z_high_m)
    }

    /// Plan box around everything, features included.
    pub fn bounds(&self) -> Bounds {
        let body = Bounds { min: Vec2::new(-self.length_m, 0.0), max: Vec2::zeros() };
        let outlines = self.bands.iter().flat_map(|band| &band.outlines);
        outlines.fold(body, |sum, outline| sum.union(&outline.chain.bounds()))
    }
}
