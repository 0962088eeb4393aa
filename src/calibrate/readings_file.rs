//! Readings of a machine as written: what was measured with what, in trade units.
//!
//! ```ron
//! (
//!     schema: 1,
//!     of: Both,                      // Left, Right, or Both: both units taken as alike
//!     instruments: [
//!         (name: "spring scale", kind: Scale, resolution: "0.25 lbf", shared: "2 %"),
//!     ],
//!     readings: [
//!         Pull(way: Out, brush_center: "30 in", air: Off, force: ["8.5 lbf"], by: "spring scale"),
//!         Swing(from: "60 in", to: "25 in", air: Off, time: ["1.9 s", "2.0 s"]),
//!         Strip(vehicle: "sedan", conveyor_speed: "34.6 ft/min", width: ["8 in", "7-1/2 in"]),
//!     ],
//! )
//! ```
//!
//! Every reading is checked: units, ranges, whether the machine has what was measured. A repeat is a reading of its own. Readings with one instrument share
//! its error: the gain of a scale, the zero of a gauge, the start of a video.

use crate::arm::Side;
use crate::units::*;
use serde::Deserialize;

/// A file of readings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingsFile {
    /// Version of the form; 1.
    pub schema: u32,
    /// What was measured, in one line.
    #[serde(default)]
    pub title: String,
    /// Who measured, when, what a reader should know.
    #[serde(default)]
    pub note: String,
    /// The unit the readings are of.
    pub of: OfWord,
    /// Instruments, where their errors are not the usual ones or are shared.
    #[serde(default)]
    pub instruments: Vec<InstrumentFile>,
    /// The readings.
    pub readings: Vec<ReadingFile>,
}

/// Which unit readings are of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum OfWord {
    /// The left unit.
    Left,
    /// The right unit.
    Right,
    /// Both, taken as alike; a reading that does not say its side is of the left.
    Both,
}

impl OfWord {
    /// The units that a scenario has.
    pub fn of(scenario: &crate::scenario::Scenario) -> OfWord {
        match scenario.unit_models() {
            [one] if one.side == Side::Left => OfWord::Left,
            [_] => OfWord::Right,
            _ => OfWord::Both,
        }
    }
}

/// A side as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum SideWord {
    /// Left of travel.
    Left,
    /// Right of travel.
    Right,
}

/// An instrument.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstrumentFile {
    /// What readings call it.
    pub name: String,
    /// What it is.
    pub kind: InstrumentWord,
    /// One standard deviation of one reading of it, with its unit.
    #[serde(default)]
    pub resolution: Option<String>,
    /// One standard deviation of what all its readings share: a scale's gain («2 %»), a gauge's zero («0.1 psi»), a video's start («20 ms»).
    #[serde(default)]
    pub shared: Option<String>,
}

/// Kinds of instruments.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum InstrumentWord {
    /// A spring scale.
    Scale,
    /// A stopwatch held in the hand.
    Stopwatch,
    /// A phone that films.
    Video,
    /// A tape or a rule.
    Tape,
    /// A pressure gauge.
    Gauge,
}

impl InstrumentWord {
    /// Dimension of its readings.
    pub fn info(self) -> &'static DimensionInfo {
        match self {
            InstrumentWord::Scale => ForceDim::INFO,
            InstrumentWord::Stopwatch | InstrumentWord::Video => TimeDim::INFO,
            InstrumentWord::Tape => LengthDim::INFO,
            InstrumentWord::Gauge => PressureDim::INFO,
        }
    }

    /// Dimension of what its readings share, if they share anything.
    pub fn shared_info(self) -> Option<&'static DimensionInfo> {
        match self {
            InstrumentWord::Scale => Some(FractionDim::INFO),
            InstrumentWord::Video => Some(TimeDim::INFO),
            InstrumentWord::Gauge => Some(PressureDim::INFO),
            InstrumentWord::Stopwatch | InstrumentWord::Tape => None,
        }
    }
}

/// Which way the arm is pulled at the spindle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum WayWord {
    /// Outboard, read while it moves.
    Out,
    /// Let back inboard slowly by a scale that pulls outboard; negative where it has to be pulled inboard instead.
    In,
    /// Outboard from rest, read when it starts to move.
    StartOut,
    /// Inboard from rest, read when it starts to move.
    StartIn,
}

/// Whether the air is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum AirWord {
    /// Regulators as set, chambers at rest.
    On,
    /// Bled: both chambers open.
    Off,
}

/// One reading with its repeats.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum ReadingFile {
    /// A spring scale at the spindle, square to the arm.
    Pull {
        /// Which way.
        way: WayWord,
        /// Where the brush centre is, from the lane centreline toward this unit's wall.
        brush_center: Length,
        /// The air.
        air: AirWord,
        /// Forces read.
        #[serde(default)]
        force: Vec<Force>,
        /// The highest force at which it would not move.
        #[serde(default)]
        would_not_move: Option<Force>,
        /// Walking speed, for a pull out or in at a steady walk; slow when not given.
        #[serde(default)]
        walk: Option<Speed>,
        /// The instrument.
        #[serde(default)]
        by: Option<String>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// The arm is let go at rest and timed to a place.
    Swing {
        /// Where it is let go: brush centre from the lane centreline.
        from: Length,
        /// Where the watch is stopped.
        to: Length,
        /// The air.
        air: AirWord,
        /// Times read.
        #[serde(default)]
        time: Vec<Time>,
        /// It had not arrived when this time was up.
        #[serde(default)]
        did_not_arrive: Option<Time>,
        /// The instrument.
        #[serde(default)]
        by: Option<String>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// The arm is let go at rest and filmed past marks.
    Film {
        /// Where it is let go: brush centre from the lane centreline.
        from: Length,
        /// The air.
        air: AirWord,
        /// Frames in a second.
        frames_per_second: f64,
        /// Brush centre from the lane centreline, and the frame, counted from the one in which it is let go.
        marks: Vec<(Length, f64)>,
        /// The instrument.
        #[serde(default)]
        by: Option<String>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// The brush is pressed into a flat board.
    PushBack {
        /// How deep.
        depth: Length,
        /// Height of media on the board.
        height: Length,
        /// Whether it turns at the set spin. Only with a guarded board and nobody in reach.
        spinning: bool,
        /// Forces read.
        force: Vec<Force>,
        /// The instrument.
        #[serde(default)]
        by: Option<String>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// Power of the spindle motor while the turning brush leans on a flat board. Only with a guarded board and nobody in reach.
    Board {
        /// How deep the board is in the brush.
        depth: Length,
        /// Height of media on the board.
        height: Length,
        /// Electrical power read, both motors' if they share a meter halved.
        #[serde(default)]
        power: Vec<Power>,
        /// Current of each phase read, in place of the power.
        #[serde(default)]
        current: Vec<Current>,
        /// Voltage between phases, for a current.
        #[serde(default)]
        volts: Option<Voltage>,
        /// Power factor of the motor at that load, for a current; 0.8 when not given.
        #[serde(default)]
        power_factor: Option<Fraction>,
        /// Share of the electrical power that comes to the spindle; 75 % when not given.
        #[serde(default)]
        efficiency: Option<Fraction>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// Gaps at the adjusting screws, frame to bearing block on the wall side.
    Gaps {
        /// At the upper bearing.
        upper: Length,
        /// At the lower bearing.
        lower: Length,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// A level held along the lane against the pivot.
    Level {
        /// How far the top leans downstream.
        top_leans_downstream: Vec<Angle>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// The counterweight weighed.
    Weight {
        /// Masses read.
        mass: Vec<Mass>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// The gauge at the regulator of the cap end.
    Gauge {
        /// Pressures read.
        cap: Vec<Pressure>,
        /// The instrument.
        #[serde(default)]
        by: Option<String>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// A piece of media under a weight, pulled along a wet panel.
    WetDrag {
        /// Weight on the media, as a force.
        load: Force,
        /// Pulls read while it slides.
        pull: Vec<Force>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// Diameter of the spinning brush against a marked board, from outside the guard.
    Diameter {
        /// Diameters read.
        diameter: Vec<Length>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// Where the arm rests on its stop.
    Rest {
        /// Brush centre from the lane centreline.
        brush_center: Vec<Length>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
    /// The longest unwashed strip on a tail, by tape, with the speed of the line measured.
    Strip {
        /// Name of a vehicle of the scenario.
        vehicle: String,
        /// Speed of the conveyor as measured.
        conveyor_speed: Speed,
        /// How far the vehicle sat off the centreline, positive to the left of travel.
        #[serde(default)]
        lateral_offset: Option<Length>,
        /// How far it was turned, positive nose to the left.
        #[serde(default)]
        yaw: Option<Angle>,
        /// Widths read.
        width: Vec<Length>,
    },
    /// The chase on a video: from the tail passing a brush until the brush is back on it.
    Chase {
        /// Name of a vehicle of the scenario.
        vehicle: String,
        /// Speed of the conveyor as measured.
        conveyor_speed: Speed,
        /// How far the vehicle sat off the centreline, positive to the left of travel.
        #[serde(default)]
        lateral_offset: Option<Length>,
        /// How far it was turned, positive nose to the left.
        #[serde(default)]
        yaw: Option<Angle>,
        /// Delays read.
        delay: Vec<Time>,
        /// The unit.
        #[serde(default)]
        side: Option<SideWord>,
    },
}

/// Power factor of a geared motor at a light load where nobody says more (common practice, no source).
pub(super) const POWER_FACTOR: f64 = 0.8;
