//! Checks of values that read well and may still make no sense: where each stands, and what is wrong with it.
//!
//! All errors of a stage are collected; the next stage, which relies on the first, runs only when there were none.

pub(super) mod foam;
pub(super) mod geometry;
pub(super) mod line;
pub(super) mod machine;
pub(super) mod setup;
pub(super) mod vehicles;

use super::diagnostic::RonText;
use super::limits::Limits;
use crate::error::{Diagnostic, DiagnosticKind, Diagnostics, Refusal};
use crate::units::{Dimension, Quantity};
use std::fmt::Write;

/// One file that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceFile {
    /// Name as the person wrote it.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// A setting that was changed after the file was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Path of the setting as it was named.
    pub setting: String,
    /// The new value as it was given.
    pub text: String,
    /// What became of it in the scenario file: paths of fields with their new RON text.
    pub edits: Vec<(String, String)>,
}

/// What errors about changed settings name in place of a file.
pub(super) const CHANGED: &str = "changed settings";

impl Change {
    /// An error about the new value.
    pub(super) fn diagnostic(
        setting: &str,
        text: &str,
        kind: DiagnosticKind,
        refusal: Refusal,
    ) -> Diagnostic {
        let source = format!("{setting} = {text}");
        let start = setting.len() + 3;
        Diagnostic::new(kind, CHANGED, &source, Some(start..source.len()), setting, refusal)
    }

    /// Whether a field of the scenario file got its value from this change.
    fn covers(&self, path: &str) -> bool {
        self.edits.iter().any(|(edited, _)| {
            path.strip_prefix(edited.as_str())
                .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
        })
    }
}

/// A place in a file, made step by step and written out only for an error.
#[derive(Debug, Clone, Copy)]
pub(super) struct At<'p> {
    up: Option<&'p At<'p>>,
    step: At1<'p>,
    file: usize,
}

#[derive(Debug, Clone, Copy)]
enum At1<'p> {
    Root,
    Name(&'p str),
    Item(usize),
}

impl<'p> At<'p> {
    /// The whole of a file.
    pub fn root(file: usize) -> At<'static> {
        At { up: None, step: At1::Root, file }
    }

    /// A field.
    pub fn of(&'p self, name: &'p str) -> At<'p> {
        At { up: Some(self), step: At1::Name(name), file: self.file }
    }

    /// An item of a list, from 0.
    pub fn item(&'p self, index: usize) -> At<'p> {
        At { up: Some(self), step: At1::Item(index), file: self.file }
    }

    /// The dotted path.
    pub fn path(&self) -> String {
        let mut path = self.up.map(At::path).unwrap_or_default();
        match self.step {
            At1::Root => {}
            At1::Name(name) => {
                if !path.is_empty() {
                    path.push('.');
                }
                path.push_str(name);
            }
            At1::Item(index) => {
                let _ = write!(path, "[{index}]");
            }
        }
        path
    }

    /// The last step in words, for messages.
    fn word(&self) -> String {
        match (self.step, self.up) {
            (At1::Name(name), _) => name.to_owned(),
            (At1::Item(index), Some(up)) => format!("{}[{index}]", up.word()),
            _ => "the file".to_owned(),
        }
    }
}

/// Collects what is wrong.
#[derive(Debug)]
pub(super) struct Checker<'a> {
    files: &'a [SourceFile],
    changes: &'a [Change],
    found: Vec<Diagnostic>,
}

/// The most errors reported at once.
const MAX_ERRORS: usize = 20;

impl<'a> Checker<'a> {
    pub fn new(files: &'a [SourceFile], changes: &'a [Change]) -> Self {
        Checker { files, changes, found: Vec::new() }
    }

    /// Whether nothing was found so far.
    pub fn clean(&self) -> bool {
        self.found.is_empty()
    }

    /// Ends a stage.
    pub fn stage(&mut self) -> Result<(), Diagnostics> {
        Diagnostics(std::mem::take(&mut self.found)).into_result()
    }

    /// Something makes no sense at a place.
    pub fn sense(
        &mut self,
        at: At<'_>,
        problem: impl Into<String>,
        given: impl Into<String>,
        allowed: impl Into<String>,
        advice: impl Into<String>,
    ) {
        let refusal = Refusal {
            problem: problem.into(),
            given: given.into(),
            allowed: allowed.into(),
            advice: advice.into(),
        };
        self.sense_path(at.file, &at.path(), refusal);
    }

    /// The same at a dotted path of a file.
    pub fn sense_path(&mut self, file: usize, path: &str, refusal: Refusal) {
        if self.found.len() >= MAX_ERRORS {
            return;
        }
        let change = self.changes.iter().rev().find(|change| file == 0 && change.covers(path));
        let diagnostic = match (change, self.files.get(file)) {
            (Some(change), _) => {
                Change::diagnostic(&change.setting, &change.text, DiagnosticKind::Sense, refusal)
            }
            (None, Some(file)) => {
                RonText::new(&file.name, &file.text).at(DiagnosticKind::Sense, path, refusal)
            }
            (None, None) => Diagnostic::of_file(path, refusal),
        };
        // Hardware that both units share is looked at for each of them.
        let same = |d: &Diagnostic| d.field == diagnostic.field && d.problem == diagnostic.problem;
        if !self.found.iter().any(same) {
            self.found.push(diagnostic);
        }
    }

    /// A quantity must lie in its range.
    pub fn range<D: Dimension>(&mut self, at: At<'_>, value: &Quantity<D>, limits: &Limits) {
        self.range_of(at, value.si(), value.written(), limits);
    }

    /// The same of a value whose dimension is known as data: SI, and as it is written.
    pub fn range_of(&mut self, at: At<'_>, si: f64, written: &str, limits: &Limits) {
        if limits.holds(si) {
            return;
        }
        let (low, _) = limits.si();
        let advice = match () {
            () if si < 0.0 && low >= 0.0 => "it cannot be negative: check the sign",
            () if si == 0.0 => "it cannot be zero: measure it, or check the unit",
            () if si < low => "it is too low: check the sign, the decimal point and the unit",
            () => "it is too high: check the decimal point and the unit",
        };
        self.sense(at, format!("{} is out of range", at.path()), written, limits.text(), advice);
    }

    /// A list must have so many items.
    pub fn count(&mut self, at: At<'_>, count: usize, low: usize, high: usize, advice: &str) {
        if count < low || count > high {
            let items = if count == 1 { "1 item".to_owned() } else { format!("{count} items") };
            let problem = if count < low { "has too few items" } else { "has too many items" };
            self.sense(
                at,
                format!("{} {problem}", at.word()),
                items,
                if low == high { low.to_string() } else { format!("{low} to {high}") },
                advice,
            );
        }
    }
}

/// A length for messages, in inches and metres.
pub(super) fn inches(length_m: f64) -> String {
    format!("{:.2} in ({:.3} m)", length_m / 0.0254, length_m)
}

/// An angle for messages, in degrees.
pub(super) fn degrees(angle_rad: f64) -> String {
    format!("{:.1} deg", angle_rad.to_degrees())
}
