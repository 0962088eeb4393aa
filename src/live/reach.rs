//! How far each setting may drift, a little at a time, and the sheet that says it.

use super::setup::{Bench, Changes, Refused};
use super::shown::Manner;
use crate::report::sheet::{SheetRequest, SolvedScenario, html, sheet};
use crate::study::tolerance::{Tolerance, Walk, tolerance_of, walked};

/// Tolerances found so far of one set-up.
#[derive(Debug, Default)]
pub(super) struct Reaches {
    of: Changes,
    found: Vec<Option<Tolerance>>,
}

impl Reaches {
    /// Walks one more setting of a set-up; how many are done, and of how many.
    pub fn one_more(&mut self, bench: &mut Bench, changes: &Changes) -> Result<(usize, usize), Refused> {
        if self.of != *changes {
            *self = Reaches { of: changes.clone(), found: Vec::new() };
        }
        let setup = bench.setup(changes)?;
        let settings = walked(&setup.scenario);
        if let Some(setting) = settings.get(self.found.len()) {
            let base = &setup.solved.outcome;
            self.found.push(tolerance_of(&setup.scenario, setting, base, Walk::default()));
        }
        Ok((self.found.len(), settings.len()))
    }

    /// The set-up sheet from the file opened to a set-up, with as many tolerances as were walked of it.
    pub fn sheet(&self, bench: &mut Bench, changes: &Changes, manner: Manner) -> Result<String, Refused> {
        let (left, found) = (bench.setup(changes)?, bench.setup(&Changes::new())?);
        let tolerances: Vec<Tolerance> = match self.of == *changes {
            true => self.found.iter().flatten().cloned().collect(),
            false => Vec::new(),
        };
        let name = bench.base.file_name();
        let of = |setup| SolvedScenario { scenario: setup, pass: &left.solved, file: name };
        let found = SolvedScenario { pass: &found.solved, ..of(&found.scenario) };
        let request = SheetRequest {
            language: manner.language,
            units: manner.units,
            found: (!changes.is_empty()).then_some(found),
            left: of(&left.scenario),
            tolerances: &tolerances,
            date: "",
            who: "",
            set: changes,
            additions: Vec::new(),
        };
        html(&sheet(&request)).map_err(|error| Refused(error.to_string()))
    }
}
