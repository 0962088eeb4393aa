//! How far each setting may drift, a little at a time, and the sheet that says it.

use super::setup::{Bench, Changes, Refused, Setup};
use super::shown::Manner;
use crate::report::sheet::{SheetRequest, SolvedScenario, html, sheet};
use crate::scenario::Setting;
use crate::study::tolerance::{Reach, Tolerance, Walk, reach, walked};

/// How far the settings of one set-up may move, as far as they were walked.
#[derive(Debug, Default)]
pub(super) struct Reaches {
    of: Changes,
    /// Down and up of each setting in turn.
    found: Vec<Option<Reach>>,
}

impl Reaches {
    /// Walks one more setting of a set-up one way; how many ways are done, and of how many.
    pub fn one_more(&mut self, bench: &mut Bench, changes: &Changes) -> Result<(usize, usize), Refused> {
        if self.of != *changes {
            *self = Reaches { of: changes.clone(), found: Vec::new() };
        }
        let setup = bench.setup(changes)?;
        let settings = walked(&setup.scenario);
        let way = if self.found.len().is_multiple_of(2) { -1.0 } else { 1.0 };
        if let Some(setting) = settings.get(self.found.len() / 2) {
            let base = &setup.solved.outcome;
            self.found.push(reach(&setup.scenario, setting, base, way, Walk::default()));
        }
        Ok((self.found.len(), 2 * settings.len()))
    }

    /// Tolerances of the settings that were walked both ways.
    fn tolerances(&self, setup: &Setup) -> Vec<Tolerance> {
        let both = self.found.chunks_exact(2).zip(walked(&setup.scenario));
        let of = |(ways, setting): (&[Option<Reach>], Setting)| match ways {
            [Some(down), Some(up)] => {
                Some(Tolerance { path: setting.path, down: down.clone(), up: up.clone() })
            }
            _ => None,
        };
        both.filter_map(of).collect()
    }

    /// The set-up sheet from the file opened to a set-up, with as many tolerances as were walked of it.
    pub fn sheet(&self, bench: &mut Bench, changes: &Changes, manner: Manner) -> Result<String, Refused> {
        let (left, found) = (bench.setup(changes)?, bench.setup(&Changes::new())?);
        let tolerances = if self.of == *changes { self.tolerances(&left) } else { Vec::new() };
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
