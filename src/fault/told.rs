//! What somebody tells: what is seen, fine, read and checked.

use super::check::CheckName;
use super::place::Place;
use super::reading::ReadingTold;
use super::sign::Sign;

/// What somebody tells.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Told {
    /// What is seen.
    pub seen: Vec<Sign>,
    /// What is said to be as it should.
    pub fine: Vec<Sign>,
    /// What was read.
    pub readings: Vec<ReadingTold>,
    /// How common causes are, in place of the table: cause and weight.
    pub weights: Vec<(usize, f64)>,
    /// What checks have found.
    pub answers: Vec<Answered>,
}

impl Told {
    /// Whether nothing at all is told.
    pub fn is_nothing(&self) -> bool {
        self.seen.is_empty() && self.fine.is_empty() && self.readings.is_empty() && self.answers.is_empty()
    }
}

/// What a check found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answered {
    /// The check.
    pub check: CheckName,
    /// What it found and where; none: nothing amiss.
    pub found: Option<(&'static str, Place)>,
}

/// What is told with one more answer.
pub fn with_answer(told: &Told, answer: Answered) -> Told {
    let mut told = told.clone();
    told.answers.push(answer);
    told
}
