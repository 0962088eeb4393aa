//! What stands in a scenario file about the machine: the hardware, everything a technician does not set in the field.
//!
//! Written for one unit, as if it stood on the left; the other side is its mirror image. Measures across the lane are positive away from
//! the lane («toward the wall»), measures along the lane positive downstream, both from the pivot.

use super::check::{At, Checker};
use super::limits::Limits;
use super::part::{Difference, Parameter, Value, part};
use super::written::Shared;
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

type Range = (&'static str, &'static str);

pub(super) const FRICTION_TORQUE: Range = ("0 lbf ft", "200 lbf ft");
const MEDIA_HEIGHT: Range = ("0 in", "16 ft");
const ANCHOR: Range = ("-16 ft", "16 ft");
const STRUT_LENGTH: Range = ("1 in", "16 ft");
pub(super) const BRUSH_RADIUS: Range = ("4 in", "5 ft");
pub(super) const EXPONENT: Range = ("0", "3");
pub(super) const STIFFENING_SPIN: Range = ("1 rpm", "10000 rpm");
pub(crate) const STOP_DISTANCE: Range = ("-15 ft", "15 ft");
const STOP_ANGLE: Range = ("-30 deg", "170 deg");

part! {
    /// One unit.
    HardwareFile {
        /// Where the arm is hung.
        pivot: PivotFile;
        /// The arm.
        arm: ArmFile;
        /// The brush.
        brush: BrushFile;
        /// The counterweight's cable, if there is one.
        counterweight: Option<CableFile> = None;
        /// Dampers and gas springs.
        dampers: Vec<DamperFile> = (Vec::new()), items (0, 10, "list only what is fitted");
        /// The air cylinder, if there is one.
        cylinder: Option<CylinderFile> = None;
        /// The bumper that ends the inboard swing; the stop pin sets where it sits.
        bumper: BumperFile;
        /// The row of holes of the stop pin.
        stop_pin: HolesFile;
        /// What ends the outboard swing.
        outboard_stop: OutboardFile;
    }
}

part! {
    /// Where the arm is hung.
    PivotFile {
        /// From the lane centreline.
        from_center: Length, in ("2 ft", "15 ft");
        /// Height of the middle between the bearings above the floor.
        height: Length, in ("0 in", "12 ft");
        /// Vertical spacing of the bearings.
        bearing_span: Length, in ("2 in", "8 ft");
        /// Friction torque while it moves.
        friction: Torque = "0 lbf ft", in FRICTION_TORQUE;
        /// Torque to get it moving; the same as `friction` when not given.
        breakaway: Option<Torque> = None, in FRICTION_TORQUE;
        /// Friction torque per speed.
        viscous: AngularDamping = "0 N m s/rad", in ("0 N m s/rad", "2000 N m s/rad");
    }
}

part! {
    /// The arm.
    ArmFile {
        /// Pivot to spindle.
        length: Length, in ("1 ft", "16 ft");
        /// Everything that swings, brush with motor and wet media included.
        parts: Vec<PartFile>, items (1, 50, "list what swings: arm tube, brush, motor, wet media");
    }
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

    fn mass(&self) -> &Mass {
        match self {
            PartFile::Rod { mass, .. } | PartFile::Point { mass, .. } | PartFile::Given { mass, .. } => mass,
        }
    }

    /// Where it is: names of the fields and what stands there.
    fn places(&self) -> Vec<(&'static str, &Length)> {
        match self {
            PartFile::Rod { from, to, .. } => vec![("from", from), ("to", to)],
            PartFile::Point { at, .. } | PartFile::Given { at, .. } => vec![("at", at)],
        }
    }
}

const fn of_part(info: &'static DimensionInfo, range: Range) -> Parameter {
    Parameter {
        name: "",
        #[cfg(test)]
        default: None,
        limits: Limits::new(Some(info), range),
        items: None,
        knob: None,
    }
}

static PART_MASS: Parameter = of_part(MassDim::INFO, ("0.01 lb", "1000 lb"));
static PART_PLACE: Parameter = of_part(LengthDim::INFO, ("-10 ft", "16 ft"));
static PART_INERTIA: Parameter = of_part(InertiaDim::INFO, ("0 kg m2", "5000 kg m2"));

impl Value for PartFile {
    fn check(&self, c: &mut Checker<'_>, place: At<'_>, _row: &'static Parameter) {
        self.mass().check(c, place.of("mass"), &PART_MASS);
        for (name, at) in self.places() {
            at.check(c, place.of(name), &PART_PLACE);
        }
        if let PartFile::Given { inertia, .. } = self {
            inertia.check(c, place.of("inertia"), &PART_INERTIA);
        }
    }

    fn differ(&self, other: &Self, path: &str, found: &mut Vec<Difference>) {
        let at = |name: &str| format!("{path}.{name}");
        self.mass().differ(other.mass(), &at("mass"), found);
        let [own, others] = [self.places(), other.places()];
        if own.len() != others.len() || own.iter().zip(&others).any(|((a, _), (b, _))| a != b) {
            let [left, right] =
                [own, others].map(|places| if places.len() > 1 { "rod" } else { "point" }.to_owned());
            found.push(Difference { path: path.to_owned(), left, right });
            return;
        }
        for ((name, own), (_, other)) in own.iter().zip(others) {
            own.differ(other, &at(name), found);
        }
        let inertia = |of: &PartFile| match of {
            PartFile::Given { inertia, .. } => Some(inertia.clone()),
            _ => None,
        };
        inertia(self).differ(&inertia(other), &at("inertia"), found);
    }
}

/// A brush has strips that can be counted.
fn strips_around(strips: &u32, c: &mut Checker<'_>, at: At<'_>, _row: &Parameter) {
    if !(1..=10_000).contains(strips) {
        c.sense(
            at,
            "strips is out of range",
            strips.to_string(),
            "1 to 10000",
            "count the strips around the brush at one height",
        );
    }
}

part! {
    /// The brush.
    BrushFile {
        /// Outer radius while it spins.
        radius: Length, in BRUSH_RADIUS;
        /// Radius of the hub.
        hub_radius: Length, in ("1/2 in", "3 ft");
        /// Bottom of the media above the floor.
        media_bottom: Length, in MEDIA_HEIGHT;
        /// Top of the media above the floor.
        media_top: Length, in MEDIA_HEIGHT;
        /// Strips around the brush that pass a point in one turn.
        strips: u32, by strips_around;
        /// Exponent of the push-back law, where it was measured; that of the media when not given.
        exponent: Option<Fraction> = None, in EXPONENT;
        /// Spin at which the strips are twice as stiff as at rest, where it was measured; no stiffening when not given.
        stiffening_spin: Option<Spin> = None, in STIFFENING_SPIN;
        /// Drag coefficient of the strips in the air that they stir; 0.4 when not given.
        air_drag: Option<Fraction> = None, in ("0", "2");
    }
}

part! {
    /// A point fixed to the frame, from the pivot.
    FrameAnchorFile {
        /// Along the lane, positive downstream.
        downstream: Length, in ANCHOR;
        /// Across the lane, positive away from the lane.
        toward_wall: Length, in ANCHOR;
    }
}

part! {
    /// A point fixed to the arm, from the pivot.
    ArmAnchorFile {
        /// Along the arm toward the brush; negative behind the pivot.
        along: Length, in ANCHOR;
        /// Square to the arm, positive on the side the arm moves to when it swings outboard.
        across: Length = "0 in", in ANCHOR;
    }
}

part! {
    /// Cable of the counterweight.
    CableFile {
        /// The sheave the cable leaves the frame at.
        frame_anchor: FrameAnchorFile;
        /// Where it is tied to the arm.
        arm_anchor: ArmAnchorFile;
        /// Rise of the weight for each inch of cable; 1 when not given, 0.5 when the weight hangs in a loose sheave.
        travel_ratio: Fraction = "1", in ("0.1", "4");
    }
}

part! {
    /// A damper or gas spring.
    DamperFile {
        /// What it is.
        name: String = (String::new());
        /// Its end on the frame.
        frame_anchor: FrameAnchorFile;
        /// Its end on the arm.
        arm_anchor: ArmAnchorFile;
        /// Gas charge, if any.
        gas: Option<GasFile> = None;
    }
}

part! {
    /// Gas charge of a damper.
    GasFile {
        /// Push at the stated length.
        preload: Force, in ("0 lbf", "2000 lbf");
        /// Gain of push for each inch it is shorter.
        rate: Stiffness, in ("0 lbf/in", "2000 lbf/in");
        /// The length at which the preload holds.
        at_length: Length, in STRUT_LENGTH;
    }
}

part! {
    /// An air cylinder.
    CylinderFile {
        /// Its end on the frame.
        frame_anchor: FrameAnchorFile;
        /// Its end on the arm.
        arm_anchor: ArmAnchorFile;
        /// Bore.
        bore: Length, in ("1/4 in", "12 in");
        /// Rod diameter.
        rod_diameter: Length, in ("1/16 in", "8 in");
        /// Stroke.
        stroke: Length, in ("1/2 in", "8 ft");
        /// Length between the anchors with the rod fully in.
        closed_length: Length, in STRUT_LENGTH;
        /// The end with the full bore.
        cap: ChamberFile;
        /// The end with the rod.
        rod: ChamberFile;
        /// Friction of the seals.
        seal_friction: Force = "0 lbf", in ("0 lbf", "200 lbf");
        /// 1 = the air stays at room temperature (the default), 1.4 = it exchanges no heat.
        polytropic_index: Fraction = "1", in ("1", "1.4");
        /// Time a valve takes to pull in.
        valve_pull_in: Time = "0 s", in ("0 s", "5 s");
    }
}

part! {
    /// A chamber of the cylinder with its air line.
    ChamberFile {
        /// Volume left when the piston is at this end, hose included.
        dead_volume: Volume, in ("0.01 in3", "1000 in3");
        /// From the regulator to the chamber.
        supply: FlowPathFile;
        /// From the chamber to the open air.
        exhaust: FlowPathFile;
        /// Whether the regulator lets air out when the chamber is above its pressure; true when not given.
        relieving: bool = (true);
    }
}

part! {
    /// A flow path by ISO 6358.
    FlowPathFile {
        /// Sonic conductance.
        c: Conductance, in ("0.001 dm3/(s bar)", "100 dm3/(s bar)");
        /// Critical pressure ratio.
        b: Fraction, in ("0", "0.99");
    }
}

part! {
    /// An elastomer bumper.
    BumperFile {
        /// Where the arm meets it, from the pivot.
        radius: Length, in ("1 in", "16 ft");
        /// Force per compression.
        linear: Stiffness, in ("1 lbf/in", "100000 lbf/in");
        /// Force per compression cubed; 0 when not given.
        cubic: CubicStiffness = "0 lbf/in3", in ("0 lbf/in3", "1000000 lbf/in3");
        /// Force per speed.
        damping: Damping, in ("0 lbf s/in", "10000 lbf s/in");
        /// Compression at which it is full.
        full_compression: Length, in ("1/16 in", "12 in");
        /// Stiffness beyond that; 1000 N/mm when not given.
        rigid: Stiffness = "1000 N/mm", in ("100 lbf/in", "1000000 lbf/in");
    }
}

part! {
    /// The holes of the stop pin, hole 1 (outermost) first. Exactly one of the two lists is given.
    HolesFile {
        /// For each hole, how far the brush centre is from the lane centreline when the arm just touches the bumper.
        brush_center: Vec<Length> = (Vec::new()), in STOP_DISTANCE;
        /// For each hole, the swing angle at which the arm just touches the bumper.
        angle: Vec<Angle> = (Vec::new()), in STOP_ANGLE;
    }
}

part! {
    /// The outboard stop.
    OutboardFile {
        /// Swing angle at which the arm just touches it; 0 = arm straight across the lane, 90 deg = arm along the lane.
        angle: Angle, in STOP_ANGLE;
        /// The bumper there.
        bumper: BumperFile;
    }
}
