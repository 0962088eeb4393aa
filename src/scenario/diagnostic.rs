//! Reading a RON text into any type, with errors that point at the value.
//!
//! [`read_ron`] reads, [`RonText`] keeps a text and its index so that later checks («this arm cannot reach») can put
//! their caret under the value too.
//!
//! Optional fields may be written without `Some(..)`. Unknown and repeated fields are all reported in one go; after
//! any other error the reader stops, because what follows cannot be trusted.

mod wording;

#[cfg(test)]
mod tests;

use super::source_map::{SourceMap, SourceMapError, Step, join_path};
use crate::error::{Diagnostic, DiagnosticKind, Diagnostics, Refusal, nearest};
use ron::error::{Error as RonError, Position, SpannedError};
use ron::extensions::Extensions;
use serde::de::DeserializeOwned;
use serde_path_to_error::Segment;
use std::ops::Range;

/// The deepest nesting read.
const DEPTH_LIMIT: usize = super::source_map::MAX_DEPTH;
/// The most errors looked for in one file: each takes another reading. One place is left to say so.
const MAX_ERRORS: usize = crate::error::MOST_SHOWN - 1;

/// A RON text with its name and index.
#[derive(Debug, Clone)]
pub struct RonText<'s> {
    file: &'s str,
    source: &'s str,
    map: SourceMap<'s>,
    /// Where the text stops being RON, if it does.
    broken: Option<SourceMapError>,
}

impl<'s> RonText<'s> {
    /// Takes a text. `file` is the name shown in errors. A byte-order mark at the start is passed over.
    pub fn new(file: &'s str, source: &'s str) -> Self {
        let source = source.strip_prefix('\u{feff}').unwrap_or(source);
        let (map, broken) = SourceMap::with_end(source);
        RonText { file, source, map, broken }
    }

    /// The name shown in errors.
    pub fn file(&self) -> &'s str {
        self.file
    }

    /// The text, without a byte-order mark.
    pub fn source(&self) -> &'s str {
        self.source
    }

    /// The index of the text.
    pub fn map(&self) -> &SourceMap<'s> {
        &self.map
    }

    /// A diagnostic with its caret under the value at a path. When the path is not in the text (a default was used),
    /// the caret goes under the name of the deepest part that is.
    pub fn at(&self, kind: DiagnosticKind, path: &str, refusal: Refusal) -> Diagnostic {
        let range = match self.map.find(path) {
            Ok(place) => place.inner,
            Err(_) => {
                let (_, place) = self.map.find_deepest(path);
                place.name.unwrap_or_else(|| opening(self.source, &place.inner))
            }
        };
        Diagnostic::new(kind, self.file, self.source, Some(range), path, refusal)
    }

    /// The same with the text written there as `given`, for values that read well and make no sense.
    pub fn makes_no_sense(&self, path: &str, problem: &str, allowed: &str, advice: &str) -> Diagnostic {
        let given = self.map.value_text(path).map(one_line).unwrap_or_default();
        let refusal = Refusal {
            problem: problem.to_owned(),
            given,
            allowed: allowed.to_owned(),
            advice: advice.to_owned(),
        };
        self.at(DiagnosticKind::Sense, path, refusal)
    }

    /// Reads the text.
    ///
    /// # Errors
    /// [`Diagnostics`] with every unknown or repeated field, and the first of any other error.
    pub fn read<T: DeserializeOwned>(&self) -> Result<T, Diagnostics> {
        let mut found = Diagnostics::default();
        let mut expected_names = Vec::new();
        // Unknown and repeated fields are blanked out, which moves nothing, and the text is read again.
        let mut text = self.source.to_owned();
        while found.0.len() < MAX_ERRORS {
            let failure = match read_once::<T>(&text) {
                Ok(value) if found.0.is_empty() => return Ok(value),
                Ok(_) => break,
                Err(failure) => failure,
            };
            let (diagnostic, blank, meant) = self.explain(&text, &failure);
            // A misspelled field is unknown and then missing: that is one error, not two.
            let told = matches!(&failure.error.code, RonError::MissingStructField { field, .. }
                if expected_names.contains(&join_path(&child(&failure.steps, field))));
            if !told {
                found.push(diagnostic);
            }
            expected_names.extend(meant);
            match blank {
                Some(range) => text = blanked(&text, range),
                None => return Err(found),
            }
        }
        if found.0.len() >= MAX_ERRORS && read_once::<T>(&text).is_err() {
            found.push(Diagnostic::of_file(self.file, wording::stopped(MAX_ERRORS)));
        }
        Err(found)
    }

    /// Turns a failure into a diagnostic; with the range to blank out if reading may go on, and the path of the field
    /// that was probably meant.
    fn explain(&self, text: &str, failure: &Failure) -> (Diagnostic, Option<Range<usize>>, Option<String>) {
        // Broken-off entries were blanked in `text`, so the index is made from it each time.
        let map = SourceMap::partial(text);
        let here = join_path(&failure.steps);
        let cursor = cursor_range(text, &failure.error);
        let new = |kind, range: Range<usize>, field: &str, refusal: Refusal| {
            Diagnostic::new(kind, self.file, self.source, Some(range), field, refusal)
        };
        match &failure.error.code {
            RonError::NoSuchStructField { expected, found, .. } => {
                let place = map.find_all(&here, found).ok().and_then(|all| all.into_iter().next());
                let field = join_path(&child(&failure.steps, found));
                let likely = nearest(found, expected.iter().copied());
                let mut refusal = wording::unknown_field(found, expected, likely);
                if self.broken.is_some() {
                    refusal.advice = format!(
                        "a closing bracket is probably missing before `{found}`; if not, {}",
                        refusal.advice
                    );
                }
                let meant = likely.map(|name| join_path(&child(&failure.steps, name)));
                let range = place.as_ref().and_then(|place| place.name.clone()).unwrap_or(cursor);
                // With brackets missing, blanking would only produce errors that follow from the first.
                let blank = place.filter(|_| self.broken.is_none()).map(|place| entry_range(&place));
                (new(DiagnosticKind::UnknownField, range, &field, refusal), blank, meant)
            }
            RonError::DuplicateStructField { field, .. } => {
                let all = map.find_all(&here, field).unwrap_or_default();
                let first = all.first().and_then(|place| place.name.clone());
                let second = all.into_iter().nth(1);
                let path = join_path(&child(&failure.steps, field));
                let line = first.map(|range| 1 + self.source[..range.start].matches('\n').count());
                let range = second.as_ref().and_then(|place| place.name.clone()).unwrap_or(cursor);
                let blank = second.as_ref().map(entry_range);
                (
                    new(DiagnosticKind::DuplicateField, range, &path, wording::duplicate(field, line)),
                    blank,
                    None,
                )
            }
            RonError::MissingStructField { field, .. } => {
                let (_, place) = map.find_deepest(&here);
                let range = place.name.unwrap_or_else(|| opening(self.source, &place.inner));
                let present = map.names(&here).unwrap_or_default().join(", ");
                let path = join_path(&child(&failure.steps, field));
                let mut refusal = wording::missing(field, &here, present);
                if self.broken.is_some() {
                    refusal.advice =
                        format!("a bracket probably closes too early; if not, {}", refusal.advice);
                }
                (new(DiagnosticKind::MissingField, range, &path, refusal), None, None)
            }
            code => (self.explain_value(&map, failure, code, &here, cursor), None, None),
        }
    }

    /// Errors about a value, or about the text itself.
    fn explain_value(
        &self,
        map: &SourceMap<'_>,
        failure: &Failure,
        code: &RonError,
        here: &str,
        cursor: Range<usize>,
    ) -> Diagnostic {
        let (found, place) = map.find_deepest(here);
        // Only a value at the very path is the one refused.
        let value = if found == here { place.inner.clone() } else { cursor.clone() };
        let given = one_line(self.source.get(value.clone()).unwrap_or(""));
        let new =
            |kind, range, refusal| Diagnostic::new(kind, self.file, self.source, Some(range), here, refusal);
        match code {
            RonError::Message(text) => {
                let mut refusal = Refusal::from_text(text).unwrap_or_else(|| Refusal {
                    problem: text.clone(),
                    given,
                    ..Refusal::default()
                });
                if self.broken.is_some() {
                    refusal.advice =
                        format!("a quote or bracket near here may be missing; if not, {}", refusal.advice);
                }
                new(DiagnosticKind::BadValue, value, refusal)
            }
            RonError::NoSuchEnumVariant { expected, found, .. } => {
                new(DiagnosticKind::UnknownWord, value, wording::unknown_word(found, expected))
            }
            RonError::InvalidValueForType { expected, .. } => {
                new(DiagnosticKind::WrongType, value, wording::wrong_type(expected, given))
            }
            RonError::ExpectedDifferentLength { expected, found } => {
                new(DiagnosticKind::WrongType, value, wording::wrong_length(expected, *found, given))
            }
            RonError::InvalidEscape(_) => {
                new(DiagnosticKind::BadValue, value.clone(), wording::syntax(code, self.source, value.start))
            }
            RonError::NoSuchExtension(_) | RonError::ExpectedAttribute | RonError::ExpectedAttributeEnd => {
                let start = self.source.find("#!").unwrap_or(0);
                let range =
                    start..self.source[start..].find('\n').map_or(self.source.len(), |end| start + end);
                new(DiagnosticKind::Syntax, range, wording::syntax(code, self.source, start))
            }
            RonError::ExceededRecursionLimit => {
                new(DiagnosticKind::TooDeep, cursor, wording::too_deep(DEPTH_LIMIT))
            }
            code => match &self.broken {
                // The brackets and quotes of the text are whole, so it is the kind of value that is wrong: the one at
                // the path, or when the reader had gone into that, the one it stopped in.
                None if !matches!(code, RonError::TrailingCharacters) => {
                    let (path, place) =
                        if failure.inside { map.path_at(cursor.start) } else { (here.to_owned(), place) };
                    let range = place.inner;
                    let text = self.source.get(range.clone()).unwrap_or("");
                    let one_too_many =
                        matches!(code, RonError::ExpectedStructLikeEnd | RonError::ExpectedArrayEnd)
                            && cursor.start == range.start;
                    let refusal = if one_too_many {
                        wording::too_many(one_line(text))
                    } else {
                        wording::wrong_kind(wording::expected(code, text), one_line(text))
                    };
                    Diagnostic::new(
                        DiagnosticKind::WrongType,
                        self.file,
                        self.source,
                        Some(range),
                        &path,
                        refusal,
                    )
                }
                Some(SourceMapError::TooDeep { offset }) => {
                    let range = *offset..offset + 1;
                    new(DiagnosticKind::TooDeep, range, wording::too_deep(DEPTH_LIMIT))
                }
                broken => {
                    let at = match broken {
                        // On to the thing that was not understood, past blanks; an open comment is itself that thing.
                        Some(SourceMapError::Syntax { offset }) => {
                            let open_comment = self.source[*offset..].starts_with("/*");
                            let solid = if open_comment {
                                *offset
                            } else {
                                super::source_map::after_blanks(self.source, *offset)
                            };
                            solid..solid + 1
                        }
                        _ => cursor,
                    };
                    let refusal = wording::syntax(code, self.source, at.start);
                    new(DiagnosticKind::Syntax, at, refusal)
                }
            },
        }
    }
}

/// Reads a RON text into a value. `file` is the name shown in errors.
///
/// # Errors
/// [`Diagnostics`] with every unknown or repeated field, and the first of any other error.
pub fn read_ron<T: DeserializeOwned>(file: &str, source: &str) -> Result<T, Diagnostics> {
    RonText::new(file, source).read()
}

/// How one reading failed.
struct Failure {
    error: SpannedError,
    steps: Vec<Step>,
    /// Whether the reader had gone into the value at the path when it failed.
    inside: bool,
}

fn read_once<T: DeserializeOwned>(text: &str) -> Result<T, Box<Failure>> {
    let options = ron::Options::default()
        .with_default_extension(Extensions::IMPLICIT_SOME)
        .with_recursion_limit(DEPTH_LIMIT);
    let outside = |error| Box::new(Failure { error, steps: Vec::new(), inside: true });
    let mut reader = ron::Deserializer::from_str_with_options(text, &options).map_err(outside)?;
    let value = match serde_path_to_error::deserialize(&mut reader) {
        Ok(value) => value,
        Err(error) => {
            let mut steps: Vec<Step> = error.path().iter().filter_map(step_of).collect();
            let error = reader.span_error(error.into_inner());
            // The path of an unknown field ends in that field; ours end in the struct it stands in.
            if let (RonError::NoSuchStructField { found, .. }, Some(Step::Name(last))) =
                (&error.code, steps.last())
                && found == last
            {
                steps.pop();
            }
            let inside = is_inside(text, &error, &steps);
            return Err(Box::new(Failure { error, steps, inside }));
        }
    };
    match reader.end() {
        Ok(()) => Ok(value),
        Err(code) => Err(outside(reader.span_error(code))),
    }
}

/// Variant names are no part of our paths.
fn step_of(segment: &Segment) -> Option<Step> {
    match segment {
        Segment::Seq { index } => Some(Step::Item(*index)),
        Segment::Map { key } => Some(Step::Name(key.clone())),
        Segment::Enum { .. } | Segment::Unknown => None,
    }
}

/// Whether the cursor stands inside the brackets of the value at the path.
fn is_inside(text: &str, error: &SpannedError, steps: &[Step]) -> bool {
    let map = SourceMap::partial(text);
    let Ok(place) = map.find(&join_path(steps)) else { return true };
    let at = byte_of(text, &error.span.end);
    let bracket = text[place.inner.clone()].find(['(', '[', '{']).map(|open| place.inner.start + open);
    bracket.is_some_and(|open| at > open && at < place.inner.end)
}

fn child(steps: &[Step], name: &str) -> Vec<Step> {
    let mut steps = steps.to_vec();
    steps.push(Step::Name(name.to_owned()));
    steps
}

/// Name and value of a field.
fn entry_range(place: &super::source_map::Place) -> Range<usize> {
    place.name.as_ref().map_or(place.value.start, |name| name.start)..place.value.end
}

/// The text with one field replaced by blanks, byte for byte, and the comma after it too. The comma before a last
/// field stays: a trailing comma is allowed.
fn blanked(text: &str, range: Range<usize>) -> String {
    let mut bytes = text.as_bytes().to_vec();
    let mut end = range.end;
    let comma = super::source_map::after_blanks(text, end);
    let start = range.start;
    if text[comma..].starts_with(',') {
        end = comma + 1;
    }
    // `r#` in front of a raw name goes with it.
    let start = if text[..start].ends_with("r#") { start - 2 } else { start };
    for byte in &mut bytes[start..end] {
        if !matches!(*byte, b'\n' | b'\r') {
            *byte = b' ';
        }
    }
    String::from_utf8(bytes).unwrap_or_else(|_| text.to_owned())
}

/// The first line of a value up to its opening bracket, to point at a struct as a whole.
fn opening(source: &str, range: &Range<usize>) -> Range<usize> {
    let text = source.get(range.clone()).unwrap_or("");
    let end = text.find(['(', '[', '{', '\n']).map_or(text.len(), |at| at + 1);
    range.start..range.start + end
}

/// RON's cursor as a byte range of one character, moved off blanks to the thing that follows them.
fn cursor_range(text: &str, error: &SpannedError) -> Range<usize> {
    let start = byte_of(text, &error.span.start);
    let end = byte_of(text, &error.span.end).max(start);
    let solid = text[start..end].trim();
    if !solid.is_empty() {
        let from = start + text[start..end].find(solid).unwrap_or(0);
        return from..from + solid.len();
    }
    end..end + text[end..].chars().next().map_or(0, char::len_utf8)
}

/// The byte offset of a position counted in lines and characters.
fn byte_of(text: &str, position: &Position) -> usize {
    let mut line_start = 0;
    for _ in 1..position.line {
        match text[line_start..].find('\n') {
            Some(end) => line_start += end + 1,
            None => return text.len(),
        }
    }
    let line = text[line_start..].split('\n').next().unwrap_or("");
    let column = position.col.saturating_sub(1);
    line_start + line.char_indices().nth(column).map_or(line.len(), |(at, _)| at)
}

/// A value as written, on one line and not too long to show.
fn one_line(text: &str) -> String {
    let mut out = String::new();
    for word in text.split_whitespace() {
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
        if out.len() > 60 {
            let end = (0..=57).rev().find(|at| out.is_char_boundary(*at)).unwrap_or(0);
            out.truncate(end);
            out.push('…');
            break;
        }
    }
    out
}
