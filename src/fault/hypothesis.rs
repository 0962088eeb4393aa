//! A cause at a place, and what it shows when so bad.

use super::cause::{CAUSES, Cause};
use super::place::Place;
use crate::coverage::measure::Measure;

/// A cause at a place, over how bad it may be.
#[derive(Debug, Clone)]
pub struct Hypothesis {
    /// Which of [`CAUSES`]; none: nothing is broken, the set-up does it.
    pub cause: Option<usize>,
    /// Where.
    pub place: Place,
    /// Share of the cause's weight that is of this place; of «nothing is broken», its weight.
    pub share: f64,
    /// What it does when so bad, mildest first; those that the machine cannot be in are missing.
    pub levels: Vec<Level>,
    /// What the pull scale finds of it, whatever stands behind it; none: a pull as it should be.
    pub pull: Option<&'static str>,
}

impl Hypothesis {
    /// What the table says of its cause.
    pub fn row(&self) -> Option<&'static Cause> {
        self.cause.map(|index| &CAUSES[index])
    }
}

/// What a cause does when it is so bad.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// From 0, nothing, to 1, the end of its range.
    pub severity: f64,
    /// How bad in its own terms, SI.
    pub amount: Option<f64>,
    /// Grade of each sign, in the order of [`Book::signs`](super::Book::signs).
    pub grades: Vec<f64>,
    /// What each of [`READINGS`](super::READINGS) would be, left and right (line: left), SI.
    pub readings: Vec<[Option<f64>; 2]>,
    /// Every measure of the planned pass, in the order of [`measure::ALL`](crate::coverage::measure::ALL); empty where it could not be computed.
    pub measures: Vec<Option<f64>>,
}

impl Level {
    /// Half way between two: grades, readings and how bad it is as means, no measures.
    pub(super) fn between(a: &Level, b: &Level) -> Level {
        let mean = |x: Option<f64>, y: Option<f64>| Some(0.5 * (x? + y?));
        Level {
            severity: 0.5 * (a.severity + b.severity),
            amount: mean(a.amount, b.amount),
            grades: a.grades.iter().zip(&b.grades).map(|(x, y)| 0.5 * (x + y)).collect(),
            readings: a
                .readings
                .iter()
                .zip(&b.readings)
                .map(|(x, y)| [mean(x[0], y[0]), mean(x[1], y[1])])
                .collect(),
            measures: Vec::new(),
        }
    }

    /// One measure of the planned pass, SI.
    pub fn measure(&self, measure: Measure) -> Option<f64> {
        self.measures.get(measure.index()).copied().flatten()
    }
}
