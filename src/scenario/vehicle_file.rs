//! What stands in a scenario file about vehicles.

use super::machine_file::Fields;
use super::written::{Shared, quantity};
use crate::units::*;
use crate::vehicle::{BodySpec, FeatureKind, FeaturePlace, FeatureSide, FeatureSpec, VehicleSpec};
use serde::Deserialize;
use serde::de::{Deserializer, EnumAccess, VariantAccess, Visitor};

/// A vehicle of the scenario, or where vehicles are written.
#[derive(Debug, Clone, PartialEq)]
pub enum VehicleEntry {
    /// `Demo("sedan")`: one of the built-in vehicles, all invented.
    Demo(String),
    /// `Own(name: …)`: described here.
    Own(Box<VehicleFile>),
    /// `File("fleet.ron")`: all vehicles of a file beside this one.
    File(String),
}

const WORDS: &[&str] = &["Demo", "Own", "File"];

#[derive(Deserialize)]
enum Word {
    Demo,
    Own,
    File,
}

impl<'de> Deserialize<'de> for VehicleEntry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_enum("", WORDS, EntryVisitor)
    }
}

struct EntryVisitor;

impl<'de> Visitor<'de> for EntryVisitor {
    type Value = VehicleEntry;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Demo(\"sedan\"), Own(name: …) or File(\"fleet.ron\")")
    }

    fn visit_enum<A: EnumAccess<'de>>(self, data: A) -> Result<VehicleEntry, A::Error> {
        let (word, rest) = data.variant::<Word>()?;
        Ok(match word {
            Word::Demo => VehicleEntry::Demo(rest.newtype_variant()?),
            Word::Own => VehicleEntry::Own(Box::new(rest.struct_variant(&[], Fields::new())?)),
            Word::File => VehicleEntry::File(rest.newtype_variant()?),
        })
    }
}

/// A file that holds vehicles and nothing else.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VehiclesOnlyFile {
    /// Version of the file format.
    pub schema: u32,
    /// What it is.
    #[serde(default)]
    pub title: String,
    /// Where the numbers come from.
    #[serde(default)]
    pub note: String,
    /// The vehicles: `Demo(…)` or `Own(…)`.
    pub vehicles: Shared<Vec<VehicleEntry>>,
}

fn nothing() -> Length {
    quantity("0 in")
}

/// A vehicle, as someone measures it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VehicleFile {
    /// The name train and fleet use.
    pub name: String,
    /// Class: sedan, pickup …
    #[serde(default)]
    pub class: String,
    /// Where the numbers come from.
    #[serde(default)]
    pub note: String,
    /// Length of the body.
    pub length: Length,
    /// Greatest width of the body, without mirrors.
    pub width: Length,
    /// Top of the body above the floor.
    pub height: Length,
    /// The body in height ranges, lowest first.
    pub body: Vec<BodyFile>,
    /// Mirrors, plates and so on.
    #[serde(default)]
    pub features: Vec<FeatureFile>,
}

/// The body between two heights, in plan.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BodyFile {
    /// Bottom above the floor.
    pub bottom: Length,
    /// Top above the floor.
    pub top: Length,
    /// Foremost point behind the nose tip of the vehicle.
    #[serde(default = "nothing")]
    pub nose_setback: Length,
    /// Rearmost point ahead of the tail end of the vehicle.
    #[serde(default = "nothing")]
    pub tail_setback: Length,
    /// Greatest width.
    pub width: Length,
    /// How far the corners of the nose lie behind its middle.
    #[serde(default = "nothing")]
    pub nose_sweep: Length,
    /// Radius of the nose corners.
    #[serde(default = "nothing")]
    pub nose_corner_radius: Length,
    /// How far the corners of the tail lie ahead of its middle.
    #[serde(default = "nothing")]
    pub tail_sweep: Length,
    /// Radius of the tail corners.
    #[serde(default = "nothing")]
    pub tail_corner_radius: Length,
    /// How far the middle of a side stands out from its ends.
    #[serde(default = "nothing")]
    pub side_barrel: Length,
}

/// Something on the vehicle that is not the body.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeatureFile {
    /// Name without its side.
    pub name: String,
    /// What it is.
    pub kind: FeatureKind,
    /// Where it is.
    pub side: SideWord,
    /// Bottom above the floor.
    pub bottom: Length,
    /// Top above the floor.
    pub top: Length,
    /// Force it may take, if known.
    #[serde(default)]
    pub limit_force: Option<Force>,
    /// Place and size in plan.
    pub place: PlaceFile,
}

/// A side of the vehicle, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum SideWord {
    /// Left of travel.
    Left,
    /// Right of travel.
    Right,
    /// One on each side.
    Both,
    /// Near the centreline.
    Centre,
}

impl SideWord {
    fn side(self) -> FeatureSide {
        match self {
            SideWord::Left => FeatureSide::Left,
            SideWord::Right => FeatureSide::Right,
            SideWord::Both => FeatureSide::Both,
            SideWord::Centre => FeatureSide::Centre,
        }
    }
}

/// Place and size of a feature in plan.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum PlaceFile {
    /// On a side panel.
    Side {
        /// Its front face behind the nose tip.
        behind_nose: Length,
        /// Its length along the vehicle.
        length: Length,
        /// How far it stands out.
        reach: Length,
        /// Radius of its outer corners.
        #[serde(default = "nothing")]
        corner_radius: Length,
    },
    /// On the nose.
    Nose {
        /// Its middle from the centreline.
        #[serde(default = "nothing")]
        y: Length,
        /// Its width.
        width: Length,
        /// How far it stands out.
        reach: Length,
        /// Radius of its outer corners.
        #[serde(default = "nothing")]
        corner_radius: Length,
    },
    /// On the tail.
    Tail {
        /// Its middle from the centreline.
        #[serde(default = "nothing")]
        y: Length,
        /// Its width.
        width: Length,
        /// How far it stands out.
        reach: Length,
        /// Radius of its outer corners.
        #[serde(default = "nothing")]
        corner_radius: Length,
    },
    /// Standing free of the body.
    Standing {
        /// Its front behind the nose tip.
        behind_nose: Length,
        /// Its middle from the centreline.
        #[serde(default = "nothing")]
        y: Length,
        /// Its length along the vehicle.
        length: Length,
        /// Its width.
        width: Length,
        /// Radius of its corners.
        #[serde(default = "nothing")]
        corner_radius: Length,
    },
}

impl VehicleFile {
    /// The description in SI.
    pub fn spec(&self) -> VehicleSpec {
        VehicleSpec {
            name: self.name.clone(),
            class: self.class.clone(),
            note: self.note.clone(),
            length_m: self.length.si(),
            width_m: self.width.si(),
            height_m: self.height.si(),
            body: self.body.iter().map(BodyFile::spec).collect(),
            features: self.features.iter().map(FeatureFile::spec).collect(),
        }
    }
}

impl BodyFile {
    fn spec(&self) -> BodySpec {
        BodySpec {
            z_low_m: self.bottom.si(),
            z_high_m: self.top.si(),
            nose_setback_m: self.nose_setback.si(),
            tail_setback_m: self.tail_setback.si(),
            width_m: self.width.si(),
            nose_sweep_m: self.nose_sweep.si(),
            nose_corner_radius_m: self.nose_corner_radius.si(),
            tail_sweep_m: self.tail_sweep.si(),
            tail_corner_radius_m: self.tail_corner_radius.si(),
            side_barrel_m: self.side_barrel.si(),
        }
    }
}

impl FeatureFile {
    fn spec(&self) -> FeatureSpec {
        let place = match &self.place {
            PlaceFile::Side { behind_nose, length, reach, corner_radius } => FeaturePlace::Side {
                behind_nose_m: behind_nose.si(),
                length_m: length.si(),
                reach_m: reach.si(),
                corner_radius_m: corner_radius.si(),
            },
            PlaceFile::Nose { y, width, reach, corner_radius } => FeaturePlace::Nose {
                y_m: y.si(),
                width_m: width.si(),
                reach_m: reach.si(),
                corner_radius_m: corner_radius.si(),
            },
            PlaceFile::Tail { y, width, reach, corner_radius } => FeaturePlace::Tail {
                y_m: y.si(),
                width_m: width.si(),
                reach_m: reach.si(),
                corner_radius_m: corner_radius.si(),
            },
            PlaceFile::Standing { behind_nose, y, length, width, corner_radius } => FeaturePlace::Standing {
                behind_nose_m: behind_nose.si(),
                y_m: y.si(),
                length_m: length.si(),
                width_m: width.si(),
                corner_radius_m: corner_radius.si(),
            },
        };
        FeatureSpec {
            name: self.name.clone(),
            kind: self.kind,
            side: self.side.side(),
            z_low_m: self.bottom.si(),
            z_high_m: self.top.si(),
            limit_force_n: self.limit_force.as_ref().map(Force::si),
            place,
        }
    }
}
