//! A foam station in a file of its own: how it is read, and how its settings are changed.

use super::FoamPart;
use super::places::Host;
use crate::error::{DiagnosticKind, Diagnostics, Refusal};
use crate::foam::Station;
use crate::scenario::check::Change;
use crate::scenario::diagnostic::RonText;
use crate::scenario::written::SCHEMA;
use crate::scenario::{rewrite, setting};
use crate::units::{Speed, Throughput};
use serde::{Deserialize, Serialize};

/// A foam station in a file of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoamFile {
    /// Version of the file format: 1.
    pub schema: u32,
    /// What the station is, in one line.
    #[serde(default)]
    pub title: String,
    /// Anything a reader should know: where the numbers come from.
    #[serde(default)]
    pub note: String,
    /// How the line is run.
    pub line: FoamLine,
    /// The station.
    pub foam: FoamPart,
}

/// What a foam station must know of the line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoamLine {
    /// Vehicles per hour, 1 to 400.
    pub throughput: Throughput,
    /// Conveyor speed, 0.01 to 2 m/s.
    pub conveyor_speed: Speed,
}

impl FoamFile {
    /// Reads and checks a foam file.
    ///
    /// # Errors
    /// Every unknown field and the first value that cannot be read; or, when all reads well, what makes no sense: the first
    /// fault of each part.
    pub fn read(file: &str, source: &str) -> Result<(FoamFile, Station), Diagnostics> {
        let text = RonText::new(file, source);
        let this: FoamFile = text.read()?;
        let mut found = Diagnostics::default();
        if this.schema != SCHEMA {
            let refusal = Refusal {
                problem: "this version of the file format is not known".to_owned(),
                given: this.schema.to_string(),
                allowed: SCHEMA.to_string(),
                advice: "write schema: 1, or read the file with a newer program".to_owned(),
            };
            found.push(text.at(DiagnosticKind::Sense, "schema", refusal));
        }
        let (throughput, speed) = (this.line.throughput.si(), this.line.conveyor_speed.si());
        match this.foam.check(Host::FoamFile, throughput, speed) {
            Ok(station) => found.into_result().map(|()| (this, station)),
            Err(faults) => {
                for fault in faults {
                    found.push(text.at(DiagnosticKind::Sense, &fault.path, fault.refusal));
                }
                Err(found)
            }
        }
    }

    /// The same with settings changed first: paths of `foam` and `line` as in the table of settings, with their new values.
    ///
    /// # Errors
    /// As [`Self::read`]; a path that is no setting of a foam file.
    pub fn read_with<P: AsRef<str>, V: AsRef<str>>(
        file: &str,
        source: &str,
        changes: &[(P, V)],
    ) -> Result<(FoamFile, Station), Diagnostics> {
        // What is wrong in the file itself is told first.
        let (unchanged, station) = Self::read(file, source)?;
        if changes.is_empty() {
            return Ok((unchanged, station));
        }
        let mut text = source.to_owned();
        let mut found = Diagnostics::default();
        for (path, value) in changes {
            let (path, value) = (path.as_ref().trim(), value.as_ref().trim());
            match setting::foam_file_edit(path, value).and_then(|(path, ron)| {
                rewrite::set_nested(&text, &path, &ron).map_err(|error| Refusal {
                    problem: error.to_string(),
                    advice: "write the change into the file by hand".to_owned(),
                    ..Refusal::default()
                })
            }) {
                Ok(changed) => text = changed,
                Err(refusal) => {
                    found.push(Change::diagnostic(path, value, DiagnosticKind::BadValue, refusal))
                }
            }
        }
        found.into_result()?;
        Self::read(&format!("{file} with changed settings"), &text)
    }
}
