//! Writing a changed value into a scenario's text, where it may not stand yet.

use super::source_map::{SourceMap, SourceMapError, Step, join_path, set_value, split_path};

/// Replaces the value at a path, or adds it with whatever structs around it are missing.
///
/// # Errors
/// [`SourceMapError`] when the text is not RON, or a list on the way has no such item.
pub(super) fn set_nested(text: &str, path: &str, ron: &str) -> Result<String, SourceMapError> {
    let body = text.strip_prefix('\u{feff}').unwrap_or(text);
    let steps = split_path(path)?;
    let map = SourceMap::new(body)?;
    // The first missing field; what it holds is built around the value.
    let there =
        (0..steps.len()).rev().find(|count| map.find(&join_path(&steps[..*count])).is_ok()).unwrap_or(0);
    let mut value = ron.to_owned();
    for step in steps.iter().skip(there + 1).rev() {
        match step {
            Step::Name(name) => value = format!("({name}: {value})"),
            // A list cannot be begun in its middle.
            Step::Item(_) => return set_value(body, path, ron),
        }
    }
    let done = set_value(body, &join_path(&steps[..=there.min(steps.len().saturating_sub(1))]), &value)?;
    let mark = &text[..text.len() - body.len()];
    Ok(format!("{mark}{done}"))
}
