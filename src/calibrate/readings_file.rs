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

use super::ranges;
use crate::arm::Side;
use crate::coverage::MeasureName;
use crate::error::Diagnostics;
use crate::scenario::diagnostic::RonText;
use crate::scenario::limits::{Limits, of_measure};
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

/// The most readings of a file, repeats counted.
const MOST: usize = 500;

/// A file of readings that reads well, with its text for errors.
#[derive(Debug, Clone)]
pub struct ReadingsText {
    /// As written.
    pub file: ReadingsFile,
    name: String,
    source: String,
}

impl ReadingsText {
    /// Reads a file of readings. `file_name` is the name shown in errors.
    ///
    /// # Errors
    /// [`Diagnostics`] with the place of everything that is wrong in it by itself; what does not fit a scenario comes later.
    pub fn read(text: &str, file_name: &str) -> Result<ReadingsText, Diagnostics> {
        let ron = RonText::new(file_name, text);
        let file: ReadingsFile = ron.read()?;
        let mut found = Diagnostics::default();
        if file.schema != 1 {
            found.push(ron.makes_no_sense("schema", "this version of the form is not known", "1", "write 1"));
        }
        for (i, instrument) in file.instruments.iter().enumerate() {
            check_instrument(&ron, &file.instruments[..i], i, instrument, &mut found);
        }
        let count: usize = file.readings.iter().map(|r| values(r).len()).sum();
        if file.readings.is_empty() || count > MOST {
            found.push(ron.makes_no_sense(
                "readings",
                "no number of readings to fit to",
                &format!("1 to {MOST}"),
                "write down at least one reading",
            ));
        }
        for (i, reading) in file.readings.iter().enumerate() {
            check_reading(&ron, &file, i, reading, &mut found);
        }
        found.into_result()?;
        Ok(ReadingsText { file, name: file_name.to_owned(), source: ron.source().to_owned() })
    }

    /// The name shown in errors.
    pub fn file_name(&self) -> &str {
        &self.name
    }

    /// The text with its index, for errors about a place of it.
    pub fn ron(&self) -> RonText<'_> {
        RonText::new(&self.name, &self.source)
    }
}

fn check_instrument(
    ron: &RonText<'_>,
    before: &[InstrumentFile],
    i: usize,
    instrument: &InstrumentFile,
    found: &mut Diagnostics,
) {
    let at = |field: &str| format!("instruments[{i}].{field}");
    if before.iter().any(|b| b.name == instrument.name) {
        let told = ron.makes_no_sense(&at("name"), "this name is taken", "each name once", "choose another");
        found.push(told);
    }
    let amounts = [
        ("resolution", &instrument.resolution, Some(instrument.kind.info())),
        ("shared", &instrument.shared, instrument.kind.shared_info()),
    ];
    for (field, text, info) in amounts {
        let Some(text) = text else { continue };
        match info.map(|info| read(info, text)) {
            None => found.push(ron.makes_no_sense(
                &at(field),
                "readings of this instrument share no error",
                "",
                "leave shared out",
            )),
            Some(Err(error)) => {
                let kind = crate::error::DiagnosticKind::BadValue;
                found.push(ron.at(kind, &at(field), error.refusal()));
            }
            Some(Ok(amount)) if amount.si <= 0.0 => {
                let told = ron.makes_no_sense(
                    &at(field),
                    "an error is more than nothing",
                    "above 0",
                    "give its size",
                );
                found.push(told);
            }
            Some(Ok(_)) => {}
        }
    }
}

fn check_reading(
    ron: &RonText<'_>,
    file: &ReadingsFile,
    i: usize,
    reading: &ReadingFile,
    found: &mut Diagnostics,
) {
    let at = |field: &str| format!("readings[{i}].{field}");
    let list = |field: &str, k: usize| format!("readings[{i}].{field}[{k}]");
    let mut range = |path: String, si: f64, limits: &Limits| {
        if !limits.holds(si) {
            let told = ron.makes_no_sense(
                &path,
                "this is out of range",
                &limits.text(),
                "check the decimal point and the unit",
            );
            found.push(told);
        }
    };
    for value in values(reading) {
        range(value.path(i), value.si, value.limits);
    }
    let mut no_volts = false;
    match reading {
        ReadingFile::Pull { brush_center, walk, .. } => {
            range(at("brush_center"), brush_center.si(), &ranges::PLACE);
            if let Some(walk) = walk {
                range(at("walk"), walk.si(), &ranges::WALK);
            }
        }
        ReadingFile::Swing { from, to, .. } => {
            range(at("from"), from.si(), &ranges::PLACE);
            range(at("to"), to.si(), &ranges::PLACE);
        }
        ReadingFile::Film { from, frames_per_second, marks, .. } => {
            range(at("from"), from.si(), &ranges::PLACE);
            for (k, (place, _)) in marks.iter().enumerate() {
                range(list("marks", k), place.si(), &ranges::PLACE);
            }
            range(at("frames_per_second"), *frames_per_second, &ranges::FRAME_RATE);
        }
        ReadingFile::PushBack { depth, height, .. } => {
            range(at("depth"), depth.si(), &ranges::DEPTH);
            range(at("height"), height.si(), &ranges::HEIGHT);
        }
        ReadingFile::Board { depth, height, current, volts, power_factor, efficiency, .. } => {
            range(at("depth"), depth.si(), &ranges::DEPTH);
            range(at("height"), height.si(), &ranges::HEIGHT);
            for (field, share) in [("power_factor", power_factor), ("efficiency", efficiency)] {
                if let Some(share) = share {
                    range(at(field), share.si(), &ranges::MOTOR_SHARE);
                }
            }
            if let Some(volts) = volts {
                range(at("volts"), volts.si(), &ranges::MOTOR_VOLTS);
            }
            if !current.is_empty() && volts.is_none() {
                no_volts = true;
            }
        }
        ReadingFile::Gaps { upper, lower, .. } => {
            range(at("upper"), upper.si(), &ranges::GAP);
            range(at("lower"), lower.si(), &ranges::GAP);
        }
        ReadingFile::WetDrag { load, .. } => range(at("load"), load.si(), &ranges::DRAG),
        ReadingFile::Strip { conveyor_speed, lateral_offset, yaw, .. }
        | ReadingFile::Chase { conveyor_speed, lateral_offset, yaw, .. } => {
            range(at("conveyor_speed"), conveyor_speed.si(), &ranges::LINE_SPEED);
            if let Some(offset) = lateral_offset {
                range(at("lateral_offset"), offset.si(), &ranges::OFFSET);
            }
            if let Some(yaw) = yaw {
                range(at("yaw"), yaw.si(), &ranges::TURN);
            }
        }
        ReadingFile::Level { .. }
        | ReadingFile::Weight { .. }
        | ReadingFile::Gauge { .. }
        | ReadingFile::Diameter { .. }
        | ReadingFile::Rest { .. } => {}
    }
    if no_volts {
        let problem = "a current alone is no power";
        found.push(ron.makes_no_sense(
            &at("current"),
            problem,
            "",
            "add volts: \"460 V\", measured between phases",
        ));
    }
    if values(reading).is_empty() {
        let place = format!("readings[{i}]");
        found.push(ron.makes_no_sense(
            &place,
            "nothing was read here",
            "at least one value",
            "add what was read",
        ));
    }
    if let Some(name) = instrument(reading)
        && !file.instruments.iter().any(|known| known.name == name)
    {
        let known: Vec<&str> = file.instruments.iter().map(|known| known.name.as_str()).collect();
        let advice = "add it to instruments, or leave by out";
        found.push(ron.makes_no_sense(&at("by"), "no instrument has this name", &known.join(", "), advice));
    }
    if let ReadingFile::Pull { way: WayWord::StartOut | WayWord::StartIn, walk: Some(_), .. } = reading {
        let advice = "leave walk out, or write way: Out or way: In";
        found.push(ron.makes_no_sense(
            &at("walk"),
            "an arm that starts to move is not walked with",
            "",
            advice,
        ));
    }
    if let (OfWord::Left, Some(SideWord::Right)) | (OfWord::Right, Some(SideWord::Left)) =
        (file.of, side_word(reading))
    {
        let advice = "write of: Both where both units are alike, or leave this reading out";
        found.push(ron.makes_no_sense(&at("side"), "the file is of the other unit", "", advice));
    }
}

/// One value that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// Field of the reading it stands in.
    pub field: &'static str,
    /// Its place in that list; `None` where there is no list.
    pub place: Option<usize>,
    /// In SI.
    pub si: f64,
    /// As written.
    pub written: String,
    /// Dimension and range.
    pub limits: &'static Limits,
    /// Whether it only says that the true one is higher.
    pub at_least: bool,
}

impl Value {
    /// Its path in the file, in reading number `i`.
    pub fn path(&self, i: usize) -> String {
        match self.place {
            Some(k) => format!("readings[{i}].{}[{k}]", self.field),
            None => format!("readings[{i}].{}", self.field),
        }
    }
}

fn list<D: Dimension>(
    field: &'static str,
    quantities: &[Quantity<D>],
    limits: &'static Limits,
) -> Vec<Value> {
    let value = |(k, q): (usize, &Quantity<D>)| Value {
        field,
        place: Some(k),
        si: q.si(),
        written: q.written().to_owned(),
        limits,
        at_least: false,
    };
    quantities.iter().enumerate().map(value).collect()
}

fn censored<D: Dimension>(
    field: &'static str,
    quantity: Option<&Quantity<D>>,
    limits: &'static Limits,
) -> impl Iterator<Item = Value> {
    let (si, written) = quantity.map_or((0.0, String::new()), |q| (q.si(), q.written().to_owned()));
    let value = Value { field, place: None, si, written, limits, at_least: true };
    quantity.is_some().then_some(value).into_iter()
}

/// Everything that was read in a reading, repeats one after another.
pub fn values(reading: &ReadingFile) -> Vec<Value> {
    match reading {
        ReadingFile::Pull { force, would_not_move, .. } => list("force", force, &ranges::PULL)
            .into_iter()
            .chain(censored("would_not_move", would_not_move.as_ref(), &ranges::PULL))
            .collect(),
        ReadingFile::Swing { time, did_not_arrive, .. } => list("time", time, &ranges::SWING_TIME)
            .into_iter()
            .chain(censored("did_not_arrive", did_not_arrive.as_ref(), &ranges::SWING_TIME))
            .collect(),
        ReadingFile::Film { frames_per_second, marks, .. } => marks
            .iter()
            .enumerate()
            .map(|(k, (_, frame))| Value {
                field: "marks",
                place: Some(k),
                si: frame / frames_per_second,
                written: format!("frame {frame}"),
                limits: &ranges::SWING_TIME,
                at_least: false,
            })
            .collect(),
        ReadingFile::PushBack { force, .. } => list("force", force, &ranges::PUSH),
        ReadingFile::Board { power, current, volts, power_factor, .. } => {
            let read = list("power", power, &ranges::MOTOR_POWER);
            // Three phases: P = √3 U I cos φ.
            let factor = power_factor.as_ref().map_or(POWER_FACTOR, |f| f.si());
            let per_ampere = 3.0_f64.sqrt() * volts.as_ref().map_or(0.0, |v| v.si()) * factor;
            let by_current = current.iter().enumerate().map(|(k, q)| Value {
                field: "current",
                place: Some(k),
                si: per_ampere * q.si(),
                written: q.written().to_owned(),
                limits: &ranges::MOTOR_POWER,
                at_least: false,
            });
            read.into_iter().chain(by_current).collect()
        }
        ReadingFile::Gaps { upper, lower, .. } => vec![Value {
            field: "lower",
            place: None,
            si: upper.si() - lower.si(),
            written: format!("{} less {}", upper.written(), lower.written()),
            limits: &ranges::GAPS,
            at_least: false,
        }],
        ReadingFile::Level { top_leans_downstream, .. } => {
            list("top_leans_downstream", top_leans_downstream, &ranges::LEVEL)
        }
        ReadingFile::Weight { mass, .. } => list("mass", mass, &ranges::MASS),
        ReadingFile::Gauge { cap, .. } => list("cap", cap, &ranges::PRESSURE),
        ReadingFile::WetDrag { pull, .. } => list("pull", pull, &ranges::DRAG),
        ReadingFile::Diameter { diameter, .. } => list("diameter", diameter, &ranges::DIAMETER),
        ReadingFile::Rest { brush_center, .. } => list("brush_center", brush_center, &ranges::PLACE),
        ReadingFile::Strip { width, .. } => list("width", width, of_measure(MeasureName::TailGap)),
        ReadingFile::Chase { delay, .. } => list("delay", delay, of_measure(MeasureName::ChaseDelay)),
    }
}

/// The instrument a reading names.
pub fn instrument(reading: &ReadingFile) -> Option<&str> {
    match reading {
        ReadingFile::Pull { by, .. }
        | ReadingFile::Swing { by, .. }
        | ReadingFile::Film { by, .. }
        | ReadingFile::PushBack { by, .. }
        | ReadingFile::Gauge { by, .. } => by.as_deref(),
        _ => None,
    }
}

fn side_word(reading: &ReadingFile) -> Option<SideWord> {
    match reading {
        ReadingFile::Pull { side, .. }
        | ReadingFile::Swing { side, .. }
        | ReadingFile::Film { side, .. }
        | ReadingFile::PushBack { side, .. }
        | ReadingFile::Board { side, .. }
        | ReadingFile::Gaps { side, .. }
        | ReadingFile::Level { side, .. }
        | ReadingFile::Weight { side, .. }
        | ReadingFile::Gauge { side, .. }
        | ReadingFile::WetDrag { side, .. }
        | ReadingFile::Diameter { side, .. }
        | ReadingFile::Rest { side, .. }
        | ReadingFile::Chase { side, .. } => *side,
        ReadingFile::Strip { .. } => None,
    }
}

/// The unit a reading is of.
pub fn side(file: &ReadingsFile, reading: &ReadingFile) -> Side {
    match (side_word(reading), file.of) {
        (Some(SideWord::Left), _) | (None, OfWord::Left | OfWord::Both) => Side::Left,
        (Some(SideWord::Right), _) | (None, OfWord::Right) => Side::Right,
    }
}
