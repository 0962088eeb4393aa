//! What stands in a scenario file about the machine: the hardware, everything a technician does not set in the field.
//!
//! Written for one unit, as if it stood on the left; the other side is its mirror image. Measures across the lane are positive away from
//! the lane («toward the wall»), measures along the lane positive downstream, both from the pivot.

use super::written::{Shared, defaults};
use crate::units::*;
use serde::Deserialize;
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserializer, EnumAccess, MapAccess, VariantAccess, Visitor};
use std::sync::Arc;

/// The machine, or where it is written.
#[derive(Debug, Clone, PartialEq)]
pub enum MachineFile {
    /// `Both(…)`: both units are alike.
    Both(Arc<HardwareFile>),
    /// `Each(left: (…), right: (…))`: the units differ.
    Each(EachFile),
    /// `File("name.ron")`: in a file beside this one.
    File(String),
}

/// The hardware of each unit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EachFile {
    /// Left unit.
    #[serde(default)]
    pub left: Option<Shared<HardwareFile>>,
    /// Right unit.
    #[serde(default)]
    pub right: Option<Shared<HardwareFile>>,
}

/// A file that holds a machine and nothing else.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MachineOnlyFile {
    /// Version of the file format.
    pub schema: u32,
    /// What it is.
    #[serde(default)]
    pub title: String,
    /// Where the numbers come from.
    #[serde(default)]
    pub note: String,
    /// The machine: `Both(…)` or `Each(…)`.
    pub machine: MachineFile,
}

const WORDS: &[&str] = &["Both", "Each", "File"];

#[derive(Deserialize)]
enum Word {
    Both,
    Each,
    File,
}

impl<'de> Deserialize<'de> for MachineFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        // `Both(…)` holds the fields in one pair of parentheses, which derived newtype variants do not.
        deserializer.deserialize_enum("", WORDS, MachineVisitor)
    }
}

struct MachineVisitor;

impl<'de> Visitor<'de> for MachineVisitor {
    type Value = MachineFile;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Both(…), Each(left: (…), right: (…)) or File(\"name.ron\")")
    }

    fn visit_enum<A: EnumAccess<'de>>(self, data: A) -> Result<MachineFile, A::Error> {
        let (word, rest) = data.variant::<Word>()?;
        Ok(match word {
            Word::Both => MachineFile::Both(Arc::new(rest.struct_variant(&[], Fields::new())?)),
            Word::Each => MachineFile::Each(rest.struct_variant(&[], Fields::new())?),
            Word::File => MachineFile::File(rest.newtype_variant()?),
        })
    }
}

/// Reads a struct from the fields of a variant.
pub(super) struct Fields<T>(std::marker::PhantomData<T>);

impl<T> Fields<T> {
    pub(super) fn new() -> Self {
        Fields(std::marker::PhantomData)
    }
}

impl<'de, T: Deserialize<'de>> Visitor<'de> for Fields<T> {
    type Value = T;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("fields in parentheses, like (name: value)")
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<T, A::Error> {
        T::deserialize(MapAccessDeserializer::new(map))
    }
}

defaults! {
    no_torque: Torque = "0 lbf ft";
    no_viscous: AngularDamping = "0 N m s/rad";
    one: Fraction = "1";
    no_cubic: CubicStiffness = "0 lbf/in3";
    very_stiff: Stiffness = "1000 N/mm";
    no_force: Force = "0 lbf";
    isothermal: Fraction = "1";
    no_time: Time = "0 s";
    zero: Length = "0 in";
}

/// One unit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HardwareFile {
    /// Where the arm is hung.
    pub pivot: PivotFile,
    /// The arm.
    pub arm: ArmFile,
    /// The brush.
    pub brush: BrushFile,
    /// The counterweight's cable, if there is one.
    #[serde(default)]
    pub counterweight: Option<CableFile>,
    /// Dampers and gas springs.
    #[serde(default)]
    pub dampers: Vec<DamperFile>,
    /// The air cylinder, if there is one.
    #[serde(default)]
    pub cylinder: Option<CylinderFile>,
    /// The bumper that ends the inboard swing; the stop pin sets where it sits.
    pub bumper: BumperFile,
    /// The row of holes of the stop pin.
    pub stop_pin: HolesFile,
    /// What ends the outboard swing.
    pub outboard_stop: OutboardFile,
}

/// Where the arm is hung.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PivotFile {
    /// From the lane centreline.
    pub from_center: Length,
    /// Height of the middle between the bearings above the floor.
    pub height: Length,
    /// Vertical spacing of the bearings.
    pub bearing_span: Length,
    /// Friction torque while it moves.
    #[serde(default = "no_torque")]
    pub friction: Torque,
    /// Torque to get it moving; the same as `friction` when not given.
    #[serde(default)]
    pub breakaway: Option<Torque>,
    /// Friction torque per speed.
    #[serde(default = "no_viscous")]
    pub viscous: AngularDamping,
}

/// The arm.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ArmFile {
    /// Pivot to spindle.
    pub length: Length,
    /// Everything that swings, brush with motor and wet media included.
    pub parts: Vec<PartFile>,
}

/// A part of what swings; places are measured from the pivot along the arm, negative behind the pivot.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum PartFile {
    /// A uniform rod along the arm.
    Rod {
        /// What it is.
        #[serde(default)]
        name: String,
        /// Its mass.
        mass: Mass,
        /// Where it begins.
        from: Length,
        /// Where it ends.
        to: Length,
    },
    /// Something small for its distance from the pivot.
    Point {
        /// What it is.
        #[serde(default)]
        name: String,
        /// Its mass.
        mass: Mass,
        /// Where it is.
        at: Length,
    },
    /// Something whose moment of inertia about its own centre of gravity is known.
    Given {
        /// What it is.
        #[serde(default)]
        name: String,
        /// Its mass.
        mass: Mass,
        /// Where its centre of gravity is.
        at: Length,
        /// Moment of inertia about its own centre of gravity.
        inertia: Inertia,
    },
}

impl PartFile {
    /// What it is; empty when the file does not say.
    pub fn name(&self) -> &str {
        match self {
            PartFile::Rod { name, .. } | PartFile::Point { name, .. } | PartFile::Given { name, .. } => name,
        }
    }
}

/// The brush.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BrushFile {
    /// Outer radius while it spins.
    pub radius: Length,
    /// Radius of the hub.
    pub hub_radius: Length,
    /// Bottom of the media above the floor.
    pub media_bottom: Length,
    /// Top of the media above the floor.
    pub media_top: Length,
    /// Strips around the brush that pass a point in one turn.
    pub strips: u32,
    /// Exponent of the push-back law, where it was measured; that of the media when not given.
    #[serde(default)]
    pub exponent: Option<Fraction>,
    /// Spin at which the strips are twice as stiff as at rest, where it was measured; no stiffening when not given.
    #[serde(default)]
    pub stiffening_spin: Option<Spin>,
    /// Drag coefficient of the strips in the air that they stir; 0.4 when not given.
    #[serde(default)]
    pub air_drag: Option<Fraction>,
}

/// A point fixed to the frame, from the pivot.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FrameAnchorFile {
    /// Along the lane, positive downstream.
    pub downstream: Length,
    /// Across the lane, positive away from the lane.
    pub toward_wall: Length,
}

/// A point fixed to the arm, from the pivot.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ArmAnchorFile {
    /// Along the arm toward the brush; negative behind the pivot.
    pub along: Length,
    /// Square to the arm, positive on the side the arm moves to when it swings outboard.
    #[serde(default = "zero")]
    pub across: Length,
}

/// Cable of the counterweight.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CableFile {
    /// The sheave the cable leaves the frame at.
    pub frame_anchor: FrameAnchorFile,
    /// Where it is tied to the arm.
    pub arm_anchor: ArmAnchorFile,
    /// Rise of the weight for each inch of cable; 1 when not given, 0.5 when the weight hangs in a loose sheave.
    #[serde(default = "one")]
    pub travel_ratio: Fraction,
}

/// A damper or gas spring.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DamperFile {
    /// What it is.
    #[serde(default)]
    pub name: String,
    /// Its end on the frame.
    pub frame_anchor: FrameAnchorFile,
    /// Its end on the arm.
    pub arm_anchor: ArmAnchorFile,
    /// Gas charge, if any.
    #[serde(default)]
    pub gas: Option<GasFile>,
}

/// Gas charge of a damper.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GasFile {
    /// Push at the stated length.
    pub preload: Force,
    /// Gain of push for each inch it is shorter.
    pub rate: Stiffness,
    /// The length at which the preload holds.
    pub at_length: Length,
}

/// An air cylinder.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CylinderFile {
    /// Its end on the frame.
    pub frame_anchor: FrameAnchorFile,
    /// Its end on the arm.
    pub arm_anchor: ArmAnchorFile,
    /// Bore.
    pub bore: Length,
    /// Rod diameter.
    pub rod_diameter: Length,
    /// Stroke.
    pub stroke: Length,
    /// Length between the anchors with the rod fully in.
    pub closed_length: Length,
    /// The end with the full bore.
    pub cap: ChamberFile,
    /// The end with the rod.
    pub rod: ChamberFile,
    /// Friction of the seals.
    #[serde(default = "no_force")]
    pub seal_friction: Force,
    /// 1 = the air stays at room temperature (the default), 1.4 = it exchanges no heat.
    #[serde(default = "isothermal")]
    pub polytropic_index: Fraction,
    /// Time a valve takes to pull in.
    #[serde(default = "no_time")]
    pub valve_pull_in: Time,
}

/// A chamber of the cylinder with its air line.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChamberFile {
    /// Volume left when the piston is at this end, hose included.
    pub dead_volume: Volume,
    /// From the regulator to the chamber.
    pub supply: FlowPathFile,
    /// From the chamber to the open air.
    pub exhaust: FlowPathFile,
    /// Whether the regulator lets air out when the chamber is above its pressure; true when not given.
    #[serde(default = "yes")]
    pub relieving: bool,
}

fn yes() -> bool {
    true
}

/// A flow path by ISO 6358.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlowPathFile {
    /// Sonic conductance.
    pub c: Conductance,
    /// Critical pressure ratio.
    pub b: Fraction,
}

/// An elastomer bumper.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BumperFile {
    /// Where the arm meets it, from the pivot.
    pub radius: Length,
    /// Force per compression.
    pub linear: Stiffness,
    /// Force per compression cubed; 0 when not given.
    #[serde(default = "no_cubic")]
    pub cubic: CubicStiffness,
    /// Force per speed.
    pub damping: Damping,
    /// Compression at which it is full.
    pub full_compression: Length,
    /// Stiffness beyond that; 1000 N/mm when not given.
    #[serde(default = "very_stiff")]
    pub rigid: Stiffness,
}

/// The holes of the stop pin, hole 1 (outermost) first. Exactly one of the two lists is given.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HolesFile {
    /// For each hole, how far the brush centre is from the lane centreline when the arm just touches the bumper.
    #[serde(default)]
    pub brush_center: Vec<Length>,
    /// For each hole, the swing angle at which the arm just touches the bumper.
    #[serde(default)]
    pub angle: Vec<Angle>,
}

/// The outboard stop.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutboardFile {
    /// Swing angle at which the arm just touches it; 0 = arm straight across the lane, 90 deg = arm along the lane.
    pub angle: Angle,
    /// The bumper there.
    pub bumper: BumperFile,
}
