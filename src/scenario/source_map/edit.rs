//! Rewriting one value, or adding one field, and leaving the rest of the text as it is.

use super::path::{Step, join_path, split_path};
use super::{Content, Entry, SourceMap, SourceMapError, scan};
use std::ops::Range;

/// Replaces the value at a path by a new RON value and keeps everything else: comments, blanks, order.
///
/// Inside `Some(..)` only the content is replaced, unless the new text is itself `Some(..)` or `None`.
///
/// # Errors
/// [`SourceMapError`] when the text is not RON, nothing stands at the path, or the new text is not one value.
pub fn replace_value(source: &str, path: &str, new_value: &str) -> Result<String, SourceMapError> {
    let new_value = checked_value(new_value)?;
    let place = SourceMap::new(source)?.find(path)?;
    let new_is_option = new_value == "None" || is_some(new_value);
    let range = if new_is_option { place.value } else { place.inner };
    Ok(format!("{}{new_value}{}", &source[..range.start], &source[range.end..]))
}

/// Adds a field to the struct or map at a path, after the fields it has, in the layout it has: on a line of its own
/// with the same indent when the closing bracket stands on a later line than the last field, else on the same line.
///
/// # Errors
/// [`SourceMapError`] when the text is not RON, the parent is no struct or map, it has the field already, or the name
/// or value cannot be one.
pub fn insert_field(source: &str, parent: &str, name: &str, value: &str) -> Result<String, SourceMapError> {
    let value = checked_value(value)?;
    let map = SourceMap::new(source)?;
    let steps = split_path(parent)?;
    let (_, node) = map.resolve(parent, &steps)?;
    let node = node.unwrapped();
    let no_fields: &[Entry] = &[];
    let (inside, entries, is_map) = match &node.content {
        Content::Struct(inside, entries) => (inside, entries.as_slice(), false),
        Content::Map(inside, entries) => (inside, entries.as_slice(), true),
        Content::Tuple(inside, items) if items.is_empty() => (inside, no_fields, false),
        _ => return Err(SourceMapError::NoFields { path: parent.to_owned() }),
    };
    if entries.iter().any(|entry| entry.name == name) {
        let mut steps = steps;
        steps.push(Step::Name(name.to_owned()));
        return Err(SourceMapError::AlreadyThere { path: join_path(&steps) });
    }
    let field = if is_map {
        let key = ron::to_string(name).map_err(|_| SourceMapError::BadName { name: name.to_owned() })?;
        format!("{key}: {value}")
    } else if scan::is_name(name) {
        format!("{name}: {value}")
    } else {
        return Err(SourceMapError::BadName { name: name.to_owned() });
    };
    Ok(match entries.last() {
        Some(last) => after_last(source, inside, entries, last, &field),
        None => into_empty(source, inside, &field),
    })
}

/// Replaces the value at a path, or adds it as a new last field when only the field itself is missing.
///
/// # Errors
/// As [`replace_value`] and [`insert_field`].
pub fn set_value(source: &str, path: &str, new_value: &str) -> Result<String, SourceMapError> {
    let missing = match replace_value(source, path, new_value) {
        Err(missing @ SourceMapError::NotFound { .. }) => missing,
        done => return done,
    };
    let mut steps = split_path(path)?;
    match steps.pop() {
        Some(Step::Name(name)) => match insert_field(source, &join_path(&steps), &name, new_value) {
            Err(SourceMapError::NotFound { .. }) => Err(missing),
            done => done,
        },
        _ => Err(missing),
    }
}

fn checked_value(text: &str) -> Result<&str, SourceMapError> {
    let text = text.trim();
    if scan::is_one_value(text) { Ok(text) } else { Err(SourceMapError::BadValue { text: text.to_owned() }) }
}

fn is_some(text: &str) -> bool {
    text.strip_prefix("Some").is_some_and(|after| after[scan::after_blanks(after, 0)..].starts_with('('))
}

fn after_last(source: &str, inside: &Range<usize>, entries: &[Entry], last: &Entry, field: &str) -> String {
    let value_end = last.value.range.end;
    let comma = scan::after_blanks(source, value_end);
    let has_comma = comma < inside.end && source[comma..].starts_with(',');
    if !source[value_end..inside.end].contains('\n') {
        // One line: right after the value; a comma that follows then closes the new field.
        return format!("{}, {field}{}", &source[..value_end], &source[value_end..]);
    }
    let indent = entries.iter().rev().find_map(|entry| indent_of(source, entry.at.start)).unwrap_or("");
    let line_end = line_end_of(source);
    if has_comma {
        let at = scan::rest_of_line(source, comma + 1).min(inside.end);
        return format!("{}{line_end}{indent}{field},{}", &source[..at], &source[at..]);
    }
    let at = scan::rest_of_line(source, value_end).min(inside.end);
    let (head, between, tail) = (&source[..value_end], &source[value_end..at], &source[at..]);
    format!("{head},{between}{line_end}{indent}{field},{tail}")
}

fn into_empty(source: &str, inside: &Range<usize>, field: &str) -> String {
    let (head, body, tail) = (&source[..inside.start], &source[inside.clone()], &source[inside.end..]);
    if body.trim().is_empty() && !body.contains('\n') {
        return format!("{head}{field}{tail}");
    }
    // Something stands there, a comment or an empty line: the field goes on the line before the closing bracket.
    let line_end = line_end_of(source);
    let close_indent = indent_of(source, inside.end).unwrap_or("");
    let own = body.trim_end_matches([' ', '\t']);
    let break_before = if own.ends_with('\n') { "" } else { line_end };
    format!("{head}{own}{break_before}{close_indent}    {field},{line_end}{close_indent}{tail}")
}

/// The blanks before `at` on its line, when there is nothing else before it.
fn indent_of(source: &str, at: usize) -> Option<&str> {
    let line = source[..at].rfind('\n').map_or(0, |end| end + 1);
    let before = &source[line..at];
    before.chars().all(|c| c == ' ' || c == '\t').then_some(before)
}

fn line_end_of(source: &str) -> &'static str {
    match source.find('\n') {
        Some(at) if source[..at].ends_with('\r') => "\r\n",
        _ => "\n",
    }
}
