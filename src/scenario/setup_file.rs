//! What stands in a scenario file about one unit's set-up: everything a technician sets in the field.
//!
//! Field names are the paths of [`super::setting`]: `left.bearings.lower_offset` is the field `lower_offset` of `bearings` of `left`.

use super::written::defaults;
use crate::arm::{Bearings, ChamberName, SpinSense, ValveConnection, VehicleEnd};
use crate::units::*;
use serde::Deserialize;

defaults! {
    plumb: Length = "0 in";
    no_pressure: Pressure = "0 psi";
    no_delay: Time = "0 s";
    no_quadratic: QuadraticDamping = "0 N s2/m2";
    unworn: Length = "0 in";
}

/// Set-up of one unit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnitFile {
    /// Where its pivot stands along the lane, positive downstream.
    pub position: Length,
    /// How the bearings are set; plumb when not given.
    #[serde(default)]
    pub bearings: BearingsFile,
    /// Where the stop pin is.
    pub stop_pin: PinFile,
    /// Air, if the machine has a cylinder.
    #[serde(default)]
    pub air: Option<AirFile>,
    /// The weight, if the machine has a counterweight.
    #[serde(default)]
    pub counterweight: Option<WeightFile>,
    /// Needle settings, one for each damper of the machine.
    #[serde(default)]
    pub dampers: Vec<NeedleFile>,
    /// The brush.
    pub brush: BrushSetFile,
    /// What was found of this unit by measuring; goes before what the machine says.
    #[serde(default)]
    pub found: FoundFile,
}

/// What was found of a unit by measuring it, each in place of what the machine says. The machine may serve many scenarios and both units; this is of
/// one unit.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FoundFile {
    /// Friction torque of the pivot.
    pub friction: Option<Torque>,
    /// Breakaway of the pivot over its friction.
    pub breakaway_ratio: Option<Fraction>,
    /// All masses of the arm over what their parts say.
    pub arm_mass: Option<Fraction>,
    /// Push of the media over what their law or their push-back test says.
    pub push: Option<Fraction>,
    /// Outer radius of the spinning media as they are now.
    pub radius: Option<Length>,
    /// Exponent of the push-back law.
    pub exponent: Option<Fraction>,
    /// Spin at which the strips are twice as stiff.
    pub stiffening_spin: Option<Spin>,
    /// How much farther from the lane centreline the brush is at the stop than its hole says, positive toward the wall.
    pub seat_shift: Option<Length>,
}

/// How the bearings are set: offsets from plumb, or gaps measured by tape.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BearingsFile {
    /// Upper bearing off plumb, positive toward the wall.
    #[serde(default)]
    pub upper_offset: Option<Length>,
    /// Lower bearing off plumb, positive toward the wall.
    #[serde(default)]
    pub lower_offset: Option<Length>,
    /// Upper bearing off plumb along the lane, positive downstream.
    #[serde(default = "plumb")]
    pub upper_along: Length,
    /// Lower bearing off plumb along the lane, positive downstream.
    #[serde(default = "plumb")]
    pub lower_along: Length,
    /// Gap at the upper adjusting screw, frame to bearing block on the wall side. Equal gaps = plumb.
    #[serde(default)]
    pub upper_gap: Option<Length>,
    /// Gap at the lower adjusting screw.
    #[serde(default)]
    pub lower_gap: Option<Length>,
}

impl Default for BearingsFile {
    fn default() -> Self {
        BearingsFile {
            upper_offset: None,
            lower_offset: None,
            upper_along: plumb(),
            lower_along: plumb(),
            upper_gap: None,
            lower_gap: None,
        }
    }
}

impl BearingsFile {
    /// Whether the gaps were measured by tape.
    pub fn by_tape(&self) -> bool {
        self.upper_gap.is_some() || self.lower_gap.is_some()
    }

    /// The gaps at the upper and the lower adjusting screw, where both were measured by tape: they go before the offsets.
    pub fn tape_gaps(&self) -> Option<(&Length, &Length)> {
        self.upper_gap.as_ref().zip(self.lower_gap.as_ref())
    }

    /// How far the lower bearing is off plumb, positive toward the wall, m: by the tape-measured gaps where there are both, else as written.
    pub fn lower_offset_m(&self) -> f64 {
        match self.tape_gaps() {
            Some((upper, lower)) => Bearings::lower_offset_from_gaps_m(upper.si(), lower.si()),
            None => self.lower_offset.as_ref().map_or(0.0, Length::si),
        }
    }

    /// Sets how far the lower bearing is off plumb: moves the lower gap where gaps were measured by tape.
    pub(super) fn set_lower_offset(&mut self, offset: Length) -> Result<(), UnitError> {
        match self.tape_gaps() {
            // The rule is its own inverse.
            Some((upper, lower)) => {
                let gap_m = Bearings::lower_offset_from_gaps_m(upper.si(), offset.si());
                self.lower_gap = Some(lower.set_like(gap_m)?);
            }
            None => self.lower_offset = Some(offset),
        }
        Ok(())
    }
}

/// Where the stop pin is.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PinFile {
    /// The hole, from 1 = outermost.
    pub hole: u32,
}

/// Air of one unit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirFile {
    /// Regulator of the cap end.
    #[serde(default = "no_pressure")]
    pub cap: Pressure,
    /// Regulator of the rod end.
    #[serde(default = "no_pressure")]
    pub rod: Pressure,
    /// What the cap end is connected to before the first step of the schedule; Supply when not given.
    #[serde(default = "supply")]
    pub cap_start: ConnectionWord,
    /// What the rod end is connected to before the first step of the schedule; Exhaust when not given.
    #[serde(default = "exhaust")]
    pub rod_start: ConnectionWord,
    /// Valve steps, repeated for every vehicle.
    #[serde(default)]
    pub schedule: Vec<ValveFile>,
}

fn supply() -> ConnectionWord {
    ConnectionWord::Supply
}

fn exhaust() -> ConnectionWord {
    ConnectionWord::Exhaust
}

/// One valve step: when an end of the vehicle is at a place, and a delay after that, a chamber is switched.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ValveFile {
    /// The end watched.
    pub when: EndWord,
    /// Its place along the lane from this unit's pivot, positive downstream.
    pub at: Length,
    /// Time after that.
    #[serde(default = "no_delay")]
    pub delay: Time,
    /// The chamber switched.
    pub chamber: ChamberWord,
    /// What to.
    pub to: ConnectionWord,
}

/// An end of the vehicle, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum EndWord {
    /// The nose.
    Nose,
    /// The tail.
    Tail,
}

impl EndWord {
    /// The end meant.
    pub fn end(self) -> VehicleEnd {
        match self {
            EndWord::Nose => VehicleEnd::Nose,
            EndWord::Tail => VehicleEnd::Tail,
        }
    }
}

/// A chamber, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum ChamberWord {
    /// The end with the full bore.
    Cap,
    /// The end with the rod.
    Rod,
}

impl ChamberWord {
    /// The chamber meant.
    pub fn chamber(self) -> ChamberName {
        match self {
            ChamberWord::Cap => ChamberName::Cap,
            ChamberWord::Rod => ChamberName::Rod,
        }
    }
}

/// What a chamber is connected to, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum ConnectionWord {
    /// Its regulator.
    Supply,
    /// The open air.
    Exhaust,
    /// Nothing.
    Closed,
}

impl ConnectionWord {
    /// All words.
    pub const ALL: [ConnectionWord; 3] =
        [ConnectionWord::Supply, ConnectionWord::Exhaust, ConnectionWord::Closed];

    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            ConnectionWord::Supply => "Supply",
            ConnectionWord::Exhaust => "Exhaust",
            ConnectionWord::Closed => "Closed",
        }
    }

    /// The connection meant.
    pub fn connection(self) -> ValveConnection {
        match self {
            ConnectionWord::Supply => ValveConnection::Supply,
            ConnectionWord::Exhaust => ValveConnection::Exhaust,
            ConnectionWord::Closed => ValveConnection::Closed,
        }
    }
}

/// The weight on the cable.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeightFile {
    /// Its mass.
    pub mass: Mass,
}

/// Needle settings of a damper.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NeedleFile {
    /// Force per speed while the arm swings outboard.
    pub out_stroke: Damping,
    /// Force per speed while the arm swings inboard.
    pub in_stroke: Damping,
    /// Force per speed squared while the arm swings outboard; 0 when not given.
    #[serde(default = "no_quadratic")]
    pub out_quadratic: QuadraticDamping,
    /// Force per speed squared while the arm swings inboard; 0 when not given.
    #[serde(default = "no_quadratic")]
    pub in_quadratic: QuadraticDamping,
}

/// What is set or measured at the brush.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BrushSetFile {
    /// How fast it turns.
    pub spin: Spin,
    /// Which way it turns.
    pub spin_sense: SenseWord,
    /// Friction coefficient of wet media on paint; left out where the foam station sets it.
    #[serde(default)]
    pub friction: Option<Fraction>,
    /// What the strips are.
    #[serde(default)]
    pub media: Option<MediaFile>,
    /// In place of `media`: a push-back test of the stopped brush, which is all that is known of stiff media.
    #[serde(default)]
    pub push_back: Option<PushBackFile>,
    /// How much shorter the strips are than new: worn off, or drooping in slow spin. 0 when not given.
    #[serde(default = "unworn")]
    pub worn: Length,
}

/// What the strips are, as written.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum MediaFile {
    /// No bending stiffness: cloth.
    Limp {
        /// Mass of all strips at full length, wet.
        mass: Mass,
    },
    /// Bending stiffness decides: foam, bristle.
    Stiff {
        /// Push-back test.
        push_back: PushBackFile,
        /// Spin at which it was made; not given = the brush stood still.
        #[serde(default)]
        measured_at: Option<Spin>,
        /// Mass of all strips at full length, wet; not given = not known, and counted in the parts of the arm.
        #[serde(default)]
        mass: Option<Mass>,
    },
    /// Both count.
    Between {
        /// Mass of all strips at full length, wet.
        mass: Mass,
        /// Push-back test.
        push_back: PushBackFile,
        /// Spin at which it was made; not given = the brush stood still.
        #[serde(default)]
        measured_at: Option<Spin>,
    },
}

impl MediaFile {
    /// The push-back test.
    pub fn push_back(&self) -> Option<&PushBackFile> {
        match self {
            MediaFile::Limp { .. } => None,
            MediaFile::Stiff { push_back, .. } | MediaFile::Between { push_back, .. } => Some(push_back),
        }
    }

    /// The same, to be changed.
    pub fn push_back_mut(&mut self) -> Option<&mut PushBackFile> {
        match self {
            MediaFile::Limp { .. } => None,
            MediaFile::Stiff { push_back, .. } | MediaFile::Between { push_back, .. } => Some(push_back),
        }
    }

    /// The mass of the strips.
    pub fn mass(&self) -> Option<&Mass> {
        match self {
            MediaFile::Limp { mass } | MediaFile::Between { mass, .. } => Some(mass),
            MediaFile::Stiff { mass, .. } => mass.as_ref(),
        }
    }

    /// The same, to be changed.
    pub fn mass_mut(&mut self) -> Option<&mut Mass> {
        match self {
            MediaFile::Limp { mass } | MediaFile::Between { mass, .. } => Some(mass),
            MediaFile::Stiff { mass, .. } => mass.as_mut(),
        }
    }

    /// Spin at which the push-back test was made.
    pub fn measured_at(&self) -> Option<&Spin> {
        match self {
            MediaFile::Limp { .. } => None,
            MediaFile::Stiff { measured_at, .. } | MediaFile::Between { measured_at, .. } => {
                measured_at.as_ref()
            }
        }
    }
}

/// Which way a brush turns, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum SenseWord {
    /// Rubbing at the nose drives the brush outboard.
    OutboardAtNose,
    /// Rubbing at the nose drives the brush inboard.
    InboardAtNose,
}

impl SenseWord {
    /// All words.
    pub const ALL: [SenseWord; 2] = [SenseWord::OutboardAtNose, SenseWord::InboardAtNose];

    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            SenseWord::OutboardAtNose => "OutboardAtNose",
            SenseWord::InboardAtNose => "InboardAtNose",
        }
    }

    /// The sense meant.
    pub fn sense(self) -> SpinSense {
        match self {
            SenseWord::OutboardAtNose => SpinSense::OutboardAtNose,
            SenseWord::InboardAtNose => SpinSense::InboardAtNose,
        }
    }
}

/// Push-back test: the stopped brush is pressed into a flat board and the force is read.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PushBackFile {
    /// How deep it is pressed.
    pub depth: Length,
    /// The force read.
    pub force: Force,
    /// Height of media on the board.
    pub height: Length,
}
