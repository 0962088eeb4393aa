//! What stands in a scenario file: the parts that are neither machine, set-up nor vehicle.
//!
//! These types are the file, field for field; every quantity keeps the text it was written as. Nothing here is checked beyond its kind:
//! [`super::Scenario`] checks.

use super::check::{At, Checker};
use super::criteria_file::CriteriaFile;
use super::foam::FoamPart;
use super::knob::{Also, Field};
use super::machine_file::MachineFile;
use super::part::{Parameter, Value, part, step};
use super::setting::Group;
use super::setup_file::UnitFile;
use super::vehicle_file::VehicleEntry;
use super::written::{Shared, quantity, ron_text};
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
    pub calibration: Option<super::calibration_file::CalibrationFile>,
    /// What a recommendation may do here.
    #[serde(default)]
    pub recommend: RecommendFile,
    /// Why left and right differ, where they do.
    #[serde(default)]
    pub uneven: Vec<super::uneven_file::UnevenFile>,
    /// How common faults are on this site.
    #[serde(default)]
    pub fault: super::fault_file::FaultFile,
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

/// The pressure of the air outside is an absolute one.
fn air_outside(pressure: &Pressure, c: &mut Checker<'_>, at: At<'_>, row: &'static Parameter) {
    if pressure.is_absolute() {
        return pressure.check(c, at, row);
    }
    c.sense(
        at,
        "the pressure of the air outside is an absolute pressure",
        pressure.written(),
        "a pressure with psia, or with abs",
        "write it like \"14.696 psia\"",
    );
}

type Range = (&'static str, &'static str);

pub(crate) const CONVEYOR_SPEED: Range = ("1 ft/min", "200 ft/min");
pub(crate) const LATERAL_OFFSET: Range = ("-4 ft", "4 ft");
pub(crate) const YAW: Range = ("-20 deg", "20 deg");

part! {
    /// The line: exactly one of throughput and conveyor speed is given.
    LineFile {
        /// Vehicles per hour.
        throughput: Option<Throughput> = None, in ("1 veh/h", "400 veh/h"), set {
            step: "1 veh/h", label: "throughput of the line", first: true, also: Some(Also::FoamDuty)
        };
        /// Conveyor speed.
        conveyor_speed: Option<Speed> = None, in CONVEYOR_SPEED, set {
            step: "1 ft/min", label: "conveyor speed", first: true
        };
        /// Bumper-to-bumper gap.
        gap: Length, in ("3 in", "100 ft"), set {
            step: "6 in", label: "gap between vehicles"
        };
        /// Clear width of the lane, between whatever stands beside it.
        lane_width: Length, in ("6 ft", "20 ft");
        /// Temperature of the air in cylinder and hoses; 68 °F when not given.
        air_temperature: Temperature = "68 °F", in ("-40 °F", "140 °F"), set {
            step: "5 K", label: "temperature of the air", in_field: false
        };
        /// Atmospheric pressure, absolute; 14.696 psia when not given.
        atmosphere: Pressure = "14.696 psia", in ("8 psia", "16 psia"), by air_outside;
    }
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
        TrainEntry {
            vehicle: vehicle.into(),
            lateral_offset: quantity("0 in"),
            yaw: quantity("0 deg"),
            bare: true,
        }
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

part! {
    /// One vehicle of the train, where more than its name is written.
    TrainFields {
        /// Name of a vehicle of the scenario.
        vehicle: String;
        /// Off the lane centreline, positive to the left of travel.
        lateral_offset: Length = "0 in", in LATERAL_OFFSET, set {
            step: "1 in", label: "measured vehicle off the centreline, + left of travel",
            group: Group::Vehicle, in_field: false, also: Some(Also::Lane)
        };
        /// Turned on the track, positive counterclockwise seen from above.
        yaw: Angle = "0 deg", in YAW, set {
            step: "0.5 deg", label: "measured vehicle turned on the track, + nose to the left",
            group: Group::Vehicle, in_field: false, also: Some(Also::Lane)
        };
    }
}

impl TrainEntry {
    pub(super) fn find(&self, path: &str) -> Option<&dyn Field> {
        match step(path) {
            ("lateral_offset", rest) => self.lateral_offset.find(rest),
            ("yaw", rest) => self.yaw.find(rest),
            _ => None,
        }
    }

    pub(super) fn find_mut(&mut self, path: &str) -> Option<&mut dyn Field> {
        match step(path) {
            ("lateral_offset", rest) => self.lateral_offset.find_mut(rest),
            ("yaw", rest) => self.yaw.find_mut(rest),
            _ => None,
        }
    }
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

part! {
    /// One vehicle's share of the fleet.
    FleetShare {
        /// Name of a vehicle of the scenario.
        vehicle: String;
        /// Its share; all shares together are 100 %.
        share: Fraction, in ("0 %", "100 %");
    }
}

part! {
    default
    /// How coverage is counted.
    CoverageFile {
        /// Strip passes that make a point washed, both brushes together.
        washed_wipes: Fraction = "9", in ("0.01", "1000000");
        /// Rubbing work that makes a point washed as well; not asked for when not given.
        washed_work: Option<WorkPerArea> = None, in ("0 J/m2", "1000000 J/m2");
        /// How far behind the widest outline a surface may lie and still be judged.
        judged_depth: Length = "10 in", in ("0.1 in", "10 ft");
        /// Greatest length of a station on the perimeter.
        station: Length = "20 mm", in ("1 mm", "1 ft");
        /// Farthest the brush moves along the vehicle while it is looked at twice.
        look: Length = "50 mm", in ("1 mm", "1 ft");
    }
}

part! {
    default
    /// How finely the pass is computed.
    NumericsFile {
        /// Error allowed per step.
        tolerance: Fraction = "1e-6", in ("1e-12", "0.01");
        /// Longest step.
        longest_step: Time = "0.25 s", in ("1 ms", "10 s");
    }
}
