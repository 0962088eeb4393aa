//! Errors as plain data with text that says what to change.
//!
//! A [`Refusal`] is about a value, wherever it came from. A [`Diagnostic`] is a refusal with its place in a file: line,
//! column, the line itself and what to underline. Whoever reads a file returns [`Diagnostics`].
//!
//! ```
//! use brusharm::error::{Diagnostic, DiagnosticKind, Refusal};
//!
//! let refusal = Refusal {
//!     problem: "the pin has no such hole".into(),
//!     given: "4".into(),
//!     allowed: "1 to 3".into(),
//!     advice: "count the holes from the outboard end".into(),
//! };
//! let source = "(\n    hole: 4,\n)";
//! let place = source.find('4').map(|at| at..at + 1);
//! let diagnostic = Diagnostic::new(DiagnosticKind::Sense, "demo.ron", source, place, "hole", refusal);
//! assert_eq!(
//!     diagnostic.to_string(),
//!     "\
//! error: the pin has no such hole
//!  --> demo.ron:2:11
//!   |
//! 2 |     hole: 4,
//!   |           ^
//! field:   hole
//! given:   4
//! allowed: 1 to 3
//! do:      count the holes from the outboard end"
//! );
//! ```

use crate::visible::{visible_line, visible_source};
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use serde::Serialize;
use std::ops::Range;

/// Why one written value was refused, in the four parts every error of this crate has.
///
/// `Display` writes `problem; given: …; allowed: …; do: …` on one line, leaving out empty parts. A value type whose
/// `Deserialize` reports a `Refusal` (through `serde::de::Error::custom`) has it taken apart again by
/// [`Refusal::from_text`] when the file reader builds a diagnostic, so the parts survive the trip through serde.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Refusal {
    /// What is wrong, in a few words of our own: «a length needs its unit».
    pub problem: String,
    /// What was given. May be empty.
    pub given: String,
    /// What is allowed. May be empty.
    pub allowed: String,
    /// What to do about it. May be empty.
    pub advice: String,
}

const GIVEN: &str = "; given: ";
const ALLOWED: &str = "; allowed: ";
const ADVICE: &str = "; do: ";

impl Refusal {
    /// Takes the text of a refusal apart again. `None` when the text is not one.
    ///
    /// `given` is the only part that holds a user's text; the others are ours and do not hold the separators. The
    /// problem is cut from the left and the rest from the right, so nothing a user writes can confuse it.
    pub fn from_text(text: &str) -> Option<Refusal> {
        let (rest, advice) = text.rsplit_once(ADVICE).unwrap_or((text, ""));
        let (rest, allowed) = rest.rsplit_once(ALLOWED).unwrap_or((rest, ""));
        let (problem, given) = rest.split_once(GIVEN).unwrap_or((rest, ""));
        if problem.len() == text.len() {
            return None;
        }
        Some(Refusal {
            problem: problem.to_owned(),
            given: given.to_owned(),
            allowed: allowed.to_owned(),
            advice: advice.to_owned(),
        })
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.problem)?;
        for (label, part) in [(GIVEN, &self.given), (ALLOWED, &self.allowed), (ADVICE, &self.advice)] {
            if !part.is_empty() {
                write!(f, "{label}{part}")?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for Refusal {}

/// What kind of error a diagnostic reports.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DiagnosticKind {
    /// The file could not be read at all.
    File,
    /// The text is not RON.
    Syntax,
    /// The text nests too deep.
    TooDeep,
    /// A field nobody knows.
    UnknownField,
    /// A word that is not one of the choices.
    UnknownWord,
    /// A field that is needed and not there.
    MissingField,
    /// A field given twice.
    DuplicateField,
    /// A value of the wrong kind: text for a number, a list for a struct.
    WrongType,
    /// A value of the right kind that cannot be read: a length without its unit.
    BadValue,
    /// A value that reads well and makes no sense here.
    Sense,
}

/// A place in a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Location {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The line, without its line end.
    pub source_line: String,
    /// What to underline, in bytes of `source_line`. Empty only at the end of the line.
    pub span: Range<usize>,
}

impl Location {
    /// The place of a byte range of a text. A range over several lines is cut at the end of its first line; one that
    /// does not fit the text is moved to the nearest place that does.
    pub fn of(source: &str, range: Range<usize>) -> Location {
        let start = floor_char(source, range.start);
        let end = ceil_char(source, range.end.max(start));
        let line_start = source[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = source[start..].find('\n').map_or(source.len(), |at| start + at);
        let whole = &source[line_start..line_end];
        let source_line = whole.strip_suffix('\r').unwrap_or(whole);
        let in_line = |at: usize| at.saturating_sub(line_start).min(source_line.len());
        let mut span = in_line(start)..in_line(end);
        if span.is_empty() {
            span.end += source_line[span.start..].chars().next().map_or(0, char::len_utf8);
        }
        Location {
            line: 1 + source[..line_start].matches('\n').count(),
            column: 1 + source_line[..span.start].chars().count(),
            source_line: source_line.to_owned(),
            span,
        }
    }
}

impl Location {
    /// The line as it is shown, hidden characters written out, and what to underline in it.
    fn shown(&self) -> (String, Range<usize>) {
        let [before, marked, after] =
            [0..self.span.start, self.span.clone(), self.span.end..self.source_line.len()]
                .map(|range| visible_source(self.source_line.get(range).unwrap_or("")));
        let span = before.len()..before.len() + marked.len();
        (format!("{before}{marked}{after}"), span)
    }
}

fn floor_char(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

fn ceil_char(text: &str, at: usize) -> usize {
    (at..text.len()).find(|at| text.is_char_boundary(*at)).unwrap_or(text.len())
}

/// An error in a file: what is wrong, where, what was given, what is allowed, what to do.
///
/// `Display` writes it for a person, without colour.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// What kind of error it is.
    pub kind: DiagnosticKind,
    /// The file as the person named it.
    pub file: String,
    /// Where in the file; none when the error has no place, such as a file that is not there.
    pub location: Option<Location>,
    /// The dotted path of the field; empty for the whole file.
    pub field: String,
    /// What is wrong, in a few words.
    pub problem: String,
    /// What was given; may be empty.
    pub given: String,
    /// What is allowed; may be empty.
    pub allowed: String,
    /// What to do; may be empty.
    pub advice: String,
}

impl Diagnostic {
    /// A diagnostic about a byte range of a text.
    pub fn new(
        kind: DiagnosticKind,
        file: &str,
        source: &str,
        range: Option<Range<usize>>,
        field: &str,
        refusal: Refusal,
    ) -> Diagnostic {
        let location = range.map(|range| Location::of(source, range));
        let Refusal { problem, given, allowed, advice } = refusal;
        let (file, field) = (file.to_owned(), field.to_owned());
        Diagnostic { kind, file, location, field, problem, given, allowed, advice }
    }

    /// A diagnostic about a whole file that could not be read.
    pub fn of_file(file: &str, refusal: Refusal) -> Diagnostic {
        Diagnostic::new(DiagnosticKind::File, file, "", None, "", refusal)
    }

    /// Line, from 1; 0 when there is no place.
    pub fn line(&self) -> usize {
        self.location.as_ref().map_or(0, |location| location.line)
    }

    /// Column in characters, from 1; 0 when there is no place.
    pub fn column(&self) -> usize {
        self.location.as_ref().map_or(0, |location| location.column)
    }

    /// One line: `file:line:column: problem`.
    pub fn summary(&self) -> String {
        let place = match &self.location {
            Some(location) => format!("{}:{}:{}", self.file, location.line, location.column),
            None => self.file.clone(),
        };
        format!("{}: {}", part(&place), part(&self.problem))
    }
}

/// The widest line printed; longer source lines are cut around the place.
const LINE_WIDTH: usize = 100;

impl std::fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let problem = part(&self.problem);
        let file = part(&self.file);
        match &self.location {
            None => write!(f, "error: {problem}\n --> {file}")?,
            Some(location) => {
                let (line, span) = location.shown();
                let marked = AnnotationKind::Primary.span(span);
                let snippet =
                    Snippet::source(line.as_str()).line_start(location.line).path(file).annotation(marked);
                let report = [Level::ERROR.primary_title(problem).element(snippet)];
                let renderer = Renderer::plain().term_width(LINE_WIDTH);
                f.write_str(renderer.render(&report).trim_end())?;
            }
        }
        for (label, text) in [
            ("field:  ", &self.field),
            ("given:  ", &self.given),
            ("allowed:", &self.allowed),
            ("do:     ", &self.advice),
        ] {
            if !text.is_empty() {
                write!(f, "\n{label} {}", part(text))?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for Diagnostic {}

/// The longest part of a message printed, in characters.
const PART_LIMIT: usize = 1000;

/// One part of a message on one line, hidden characters written out; what is far too long to read is cut.
fn part(text: &str) -> String {
    match text.char_indices().nth(PART_LIMIT) {
        Some((end, _)) => format!("{}…", visible_line(&text[..end])),
        None => visible_line(text).into_owned(),
    }
}

/// The most errors told in one go; what is past them is counted.
pub const MOST_SHOWN: usize = 20;

/// One or more errors in a file, in the order they were found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Default)]
#[serde(transparent)]
pub struct Diagnostics(pub Vec<Diagnostic>);

impl Diagnostics {
    /// `Ok` when there are none: `found.into_result()?`.
    ///
    /// # Errors
    /// The diagnostics themselves, when there are any.
    pub fn into_result(self) -> Result<(), Diagnostics> {
        if self.0.is_empty() { Ok(()) } else { Err(self) }
    }

    /// Adds one more.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.0.push(diagnostic);
    }
}

impl From<Diagnostic> for Diagnostics {
    fn from(diagnostic: Diagnostic) -> Self {
        Diagnostics(vec![diagnostic])
    }
}

impl std::fmt::Display for Diagnostics {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, diagnostic) in self.0.iter().take(MOST_SHOWN).enumerate() {
            if i > 0 {
                f.write_str("\n\n")?;
            }
            write!(f, "{diagnostic}")?;
        }
        match self.0.len().saturating_sub(MOST_SHOWN) {
            0 => Ok(()),
            1 => f.write_str("\n\nand 1 more: mend these first"),
            more => write!(f, "\n\nand {more} more: mend these first"),
        }
    }
}

impl std::error::Error for Diagnostics {}

/// The candidate a person most likely meant, if one is near: at most a third of its letters wrong.
pub fn nearest<'c>(given: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let given: Vec<char> = given.chars().take(80).flat_map(char::to_lowercase).collect();
    candidates
        .into_iter()
        .map(|candidate| (edit_distance(&given, candidate), candidate))
        .filter(|(distance, candidate)| {
            let letters = candidate.chars().count();
            *distance < letters && *distance * 3 <= letters.max(3)
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Insertions, deletions, substitutions and swaps of neighbours between two words, ignoring case.
fn edit_distance(given: &[char], candidate: &str) -> usize {
    let candidate: Vec<char> = candidate.chars().flat_map(char::to_lowercase).collect();
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=candidate.len()).collect();
    for (i, g) in given.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, c) in candidate.iter().enumerate() {
            let mut best = (above[j] + usize::from(g != c)).min(above[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && given[i - 1] == *c && candidate[j - 1] == *g {
                best = best.min(before[j - 1] + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut above, row);
    }
    above[candidate.len()]
}

#[cfg(test)]
mod tests;
