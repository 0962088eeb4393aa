//! The values of a reading, whatever its kind.

use super::ranges;
use super::readings_file::{OfWord, POWER_FACTOR, ReadingFile, ReadingsFile, SideWord};
use crate::arm::Side;
use crate::coverage::MeasureName;
use crate::scenario::limits::{Limits, of_measure};
use crate::units::*;

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

pub fn side_word(reading: &ReadingFile) -> Option<SideWord> {
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
