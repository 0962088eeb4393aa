//! What stands in a scenario file: the parts that are neither machine, set-up nor vehicle.
//!
//! These types are the file, field for field; every quantity keeps the text it was written as. Nothing here is checked beyond its kind:
//! [`super::Scenario`] checks.

use super::criteria_file::CriteriaFile;
use super::foam::FoamPart;
use super::machine_file::MachineFile;
use super::setting::Group;
use super::setup_file::UnitFile;
use super::vehicle_file::VehicleEntry;
use super::written::{Shared, defaults, ron_text};
use crate::arm::Side;
use crate::units::*;
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserializer, MapAccess, Visitor};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A whole scenario file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScenarioFile {
    /// Version of the file format: 1.
    pub schema: u32,
    /// What the scenario is, in one line.
    #[serde(default)]
    pub title: String,
    /// Anything a reader should know: where the numbers come from.
    #[serde(default)]
    pub note: String,
    /// Words for the set-up sheet.
    #[serde(default)]
    pub sheet: SheetFile,
    /// The line.
    pub line: LineFile,
    /// The train, foremost vehicle first.
    pub train: Vec<TrainEntry>,
    /// Which vehicle of the train is measured, from 1; the last one when not said and there are two or more.
    #[serde(default)]
    pub measured: Option<u32>,
    /// The vehicles that train and fleet name.
    pub vehicles: Shared<Vec<VehicleEntry>>,
    /// Fleet mix, for studies and for the mean length that turns throughput into conveyor speed.
    #[serde(default)]
    pub fleet: Vec<FleetShare>,
    /// The machine: everything a technician does not set in the field.
    pub machine: Shared<MachineFile>,
    /// Set-up of the left unit; absent when there is none.
    #[serde(default)]
    pub left: Option<UnitFile>,
    /// Set-up of the right unit; absent when there is none.
    #[serde(default)]
    pub right: Option<UnitFile>,
    /// The foam station, which may set the friction of the brushes; absent when there is none.
    #[serde(default)]
    pub foam: Option<Shared<FoamPart>>,
    /// Limits that the result is judged by.
    #[serde(default)]
    pub criteria: CriteriaFile,
    /// How coverage is counted.
    #[serde(default)]
    pub coverage: CoverageFile,
    /// How finely the pass is computed.
    #[serde(default)]
    pub numerics: NumericsFile,
    /// How things spread, for studies of chance.
    #[serde(default)]
    pub spread: Option<super::spread::SpreadFile>,
    /// How far fitted settings may be off; absent when the scenario was not calibrated.
    #[serde(default)]
    pub calibration: Option<super::calibration::CalibrationFile>,
    /// What a recommendation may do here.
    #[serde(default)]
    pub recommend: RecommendFile,
}

/// What a recommendation may do, besides what it always may.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct RecommendFile {
    /// What it may move besides air, bearings, pin and foam; each once. Tried in the order of the trade, not of the list.
    pub may: Vec<MayWord>,
}

/// What a recommendation may move where it is allowed, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
pub enum MayWord {
    /// The counterweights.
    Weight,
    /// The needles of the dampers.
    Damper,
    /// The gap between vehicles.
    Gap,
}

impl MayWord {
    /// Every word, in the order in which they are tried.
    pub const ALL: [MayWord; 3] = [MayWord::Weight, MayWord::Damper, MayWord::Gap];

    /// The word as the command line takes it.
    pub fn word(self) -> &'static str {
        match self {
            MayWord::Weight => "weight",
            MayWord::Damper => "damper",
            MayWord::Gap => "gap",
        }
    }

    /// The word that reads so.
    pub fn from_word(word: &str) -> Option<MayWord> {
        MayWord::ALL.into_iter().find(|may| may.word() == word)
    }

    /// What is moved, in plain words.
    pub fn meaning(self) -> &'static str {
        match self {
            MayWord::Weight => "The counterweights",
            MayWord::Damper => "The damper needles",
            MayWord::Gap => "The gap between vehicles",
        }
    }

    /// The kind of settings meant.
    pub fn group(self) -> Group {
        match self {
            MayWord::Weight => Group::Weight,
            MayWord::Damper => Group::Damper,
            MayWord::Gap => Group::Line,
        }
    }
}

impl ScenarioFile {
    /// Set-up of the unit on a side.
    pub fn unit(&self, side: Side) -> Option<&UnitFile> {
        match side {
            Side::Left => self.left.as_ref(),
            Side::Right => self.right.as_ref(),
        }
    }

    /// The same, to change it.
    pub fn unit_mut(&mut self, side: Side) -> Option<&mut UnitFile> {
        match side {
            Side::Left => self.left.as_mut(),
            Side::Right => self.right.as_mut(),
        }
    }
}

/// Words for the set-up sheet; none are needed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct SheetFile {
    /// The site.
    pub site: String,
    /// The machine.
    pub machine: String,
    /// Who sets it up.
    pub technician: String,
}

defaults! {
    twenty_celsius: Temperature = "68 °F";
    sea_level: Pressure = "14.696 psia";
    zero_inches: Length = "0 in";
    zero_degrees: Angle = "0 deg";
    nine: Fraction = "9";
    ten_inches: Length = "10 in";
    twenty_millimetres: Length = "20 mm";
    fifty_millimetres: Length = "50 mm";
    one_in_a_million: Fraction = "1e-6";
    quarter_second: Time = "0.25 s";
}

/// The line: exactly one of throughput and conveyor speed is given.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineFile {
    /// Vehicles per hour.
    #[serde(default)]
    pub throughput: Option<Throughput>,
    /// Conveyor speed.
    #[serde(default)]
    pub conveyor_speed: Option<Speed>,
    /// Bumper-to-bumper gap.
    pub gap: Length,
    /// Clear width of the lane, between whatever stands beside it.
    pub lane_width: Length,
    /// Temperature of the air in cylinder and hoses; 68 °F when not given.
    #[serde(default = "twenty_celsius")]
    pub air_temperature: Temperature,
    /// Atmospheric pressure, absolute; 14.696 psia when not given.
    #[serde(default = "sea_level")]
    pub atmosphere: Pressure,
}

/// One vehicle of the train: its name, or its name and how it sits on the track.
#[derive(Debug, Clone, PartialEq)]
pub struct TrainEntry {
    /// Name of a vehicle of the scenario.
    pub vehicle: Arc<str>,
    /// Off the lane centreline, positive to the left of travel.
    pub lateral_offset: Length,
    /// Turned on the track, positive counterclockwise seen from above.
    pub yaw: Angle,
    /// Whether only the name was written.
    pub bare: bool,
}

impl TrainEntry {
    /// A vehicle that sits straight and in the middle.
    pub fn straight(vehicle: &str) -> TrainEntry {
        TrainEntry { vehicle: vehicle.into(), lateral_offset: zero_inches(), yaw: zero_degrees(), bare: true }
    }

    /// As it is written in a file.
    pub fn ron(&self) -> String {
        let vehicle = ron_text(&self.vehicle);
        if self.bare && self.lateral_offset.si() == 0.0 && self.yaw.si() == 0.0 {
            return vehicle;
        }
        let (offset, yaw) = (ron_text(self.lateral_offset.written()), ron_text(self.yaw.written()));
        format!("(vehicle: {vehicle}, lateral_offset: {offset}, yaw: {yaw})")
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TrainFields {
    vehicle: String,
    #[serde(default = "zero_inches")]
    lateral_offset: Length,
    #[serde(default = "zero_degrees")]
    yaw: Angle,
}

impl<'de> Deserialize<'de> for TrainEntry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(TrainVisitor)
    }
}

struct TrainVisitor;

impl<'de> Visitor<'de> for TrainVisitor {
    type Value = TrainEntry;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("the name of a vehicle in quotes, or (vehicle: \"name\", lateral_offset: \"2 in\", yaw: \"1 deg\")")
    }

    fn visit_str<E: serde::de::Error>(self, name: &str) -> Result<TrainEntry, E> {
        Ok(TrainEntry::straight(name))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<TrainEntry, A::Error> {
        let fields = TrainFields::deserialize(MapAccessDeserializer::new(map))?;
        Ok(TrainEntry {
            vehicle: fields.vehicle.into(),
            lateral_offset: fields.lateral_offset,
            yaw: fields.yaw,
            bare: false,
        })
    }
}

/// One vehicle's share of the fleet.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FleetShare {
    /// Name of a vehicle of the scenario.
    pub vehicle: String,
    /// Its share; all shares together are 100 %.
    pub share: Fraction,
}

/// How coverage is counted.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CoverageFile {
    /// Strip passes that make a point washed, both brushes together.
    pub washed_wipes: Fraction,
    /// Rubbing work that makes a point washed as well; not asked for when not given.
    pub washed_work: Option<WorkPerArea>,
    /// How far behind the widest outline a surface may lie and still be judged.
    pub judged_depth: Length,
    /// Greatest length of a station on the perimeter.
    pub station: Length,
    /// Farthest the brush moves along the vehicle while it is looked at twice.
    pub look: Length,
}

impl Default for CoverageFile {
    fn default() -> Self {
        CoverageFile {
            washed_wipes: nine(),
            washed_work: None,
            judged_depth: ten_inches(),
            station: twenty_millimetres(),
            look: fifty_millimetres(),
        }
    }
}

/// How finely the pass is computed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct NumericsFile {
    /// Error allowed per step.
    pub tolerance: Fraction,
    /// Longest step.
    pub longest_step: Time,
}

impl Default for NumericsFile {
    fn default() -> Self {
        NumericsFile { tolerance: one_in_a_million(), longest_step: quarter_second() }
    }
}
