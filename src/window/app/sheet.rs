//! The set-up sheet of what is set: as found is the set-up of the file, as left the one that is shown. Made in the background, since every setting is
//! walked to where a first verdict turns.

use super::edits::Edits;
use crate::report::sheet::{Language, SheetRequest, SolvedScenario, html, sheet};
use crate::scenario::Scenario;
use crate::study::tolerance::{Walk, tolerances};
use crate::units::UnitSystem;

/// What a sheet is made from.
#[derive(Debug, Clone)]
pub struct SheetAsked {
    /// The set-up of the file.
    pub found: Scenario,
    /// The set-up that is shown.
    pub left: Scenario,
    /// What of it was changed.
    pub edits: Edits,
    /// Name of the file.
    pub file: String,
    /// Units that stand first.
    pub units: UnitSystem,
}

/// The sheet as a page.
///
/// # Errors
/// Why there is none, in a line.
pub fn make_sheet(asked: &SheetAsked) -> Result<String, String> {
    let solve = |scenario: &Scenario| scenario.solve().map_err(|error| error.to_string());
    let left = solve(&asked.left)?;
    let found = if asked.edits.is_empty() { None } else { Some(solve(&asked.found)?) };
    let tolerances = tolerances(&asked.left, &left.outcome, Walk::default());
    let set: Vec<(String, String)> = asked.edits.clone().into_iter().collect();
    let file = &asked.file;
    let request = SheetRequest {
        language: Language::English,
        units: asked.units,
        found: found.as_ref().map(|pass| SolvedScenario { scenario: &asked.found, pass, file }),
        left: SolvedScenario { scenario: &asked.left, pass: &left, file },
        tolerances: &tolerances,
        date: "",
        who: "",
        set: &set,
        additions: Vec::new(),
    };
    html(&sheet(&request)).map_err(|error| error.to_string())
}
