//! What a sheet is made from.

use super::Addition;
use super::words::Language;
use crate::coverage::Solved;
use crate::scenario::Scenario;
use crate::study::tolerance::Tolerance;
use crate::units::UnitSystem;

/// A scenario with its solved pass.
#[derive(Debug, Clone, Copy)]
pub struct SolvedScenario<'a> {
    /// The scenario.
    pub scenario: &'a Scenario,
    /// Its pass.
    pub pass: &'a Solved,
    /// The file, as it is to be named.
    pub file: &'a str,
}

/// What a sheet is made from.
#[derive(Debug, Clone)]
pub struct SheetRequest<'a> {
    /// Language of the sheet's words.
    pub language: Language,
    /// Units that stand first.
    pub units: UnitSystem,
    /// The set-up found, if known.
    pub found: Option<SolvedScenario<'a>>,
    /// The set-up to leave.
    pub left: SolvedScenario<'a>,
    /// How far each setting of the set-up to leave may move.
    pub tolerances: &'a [Tolerance],
    /// The day, as it is to be shown; empty = a blank.
    pub date: &'a str,
    /// Who sets it up; empty = as the scenario says.
    pub who: &'a str,
    /// Settings changed for this sheet: path and value as written.
    pub set: &'a [(String, String)],
    /// Study results.
    pub additions: Vec<Addition>,
}
