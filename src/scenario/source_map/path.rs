//! Dotted paths.

use super::SourceMapError;

/// One step of a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// A field of a struct, a key of a map, or a variant's name.
    Name(String),
    /// An item of a list or tuple, counted from 0.
    Item(usize),
}

impl std::fmt::Display for Step {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Step::Name(name) if is_plain(name) => f.write_str(name),
            Step::Name(name) => {
                f.write_str("[\"")?;
                for c in name.chars() {
                    if matches!(c, '"' | '\\') {
                        f.write_str("\\")?;
                    }
                    write!(f, "{c}")?;
                }
                f.write_str("\"]")
            }
            Step::Item(index) => write!(f, "[{index}]"),
        }
    }
}

fn is_plain(name: &str) -> bool {
    !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || c == '_' || c == '-')
}

/// Writes steps as one path.
pub fn join_path(steps: &[Step]) -> String {
    let mut path = String::new();
    for step in steps {
        let text = step.to_string();
        if !path.is_empty() && !text.starts_with('[') {
            path.push('.');
        }
        path.push_str(&text);
    }
    path
}

/// Splits a path into its steps.
///
/// # Errors
/// [`SourceMapError::BadPath`] when it has an empty step, an open bracket or anything else that is not a path.
pub fn split_path(path: &str) -> Result<Vec<Step>, SourceMapError> {
    split(path.trim()).ok_or_else(|| SourceMapError::BadPath { path: path.to_owned() })
}

fn split(path: &str) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    let mut rest = path;
    while !rest.is_empty() {
        if let Some(inside) = rest.strip_prefix("[\"") {
            let (name, after) = quoted(inside)?;
            steps.push(Step::Name(name));
            rest = after;
        } else if let Some(inside) = rest.strip_prefix('[') {
            let (index, after) = inside.split_once(']')?;
            if !index.bytes().all(|b| b.is_ascii_digit()) {
                return None;
            }
            steps.push(Step::Item(index.parse().ok()?));
            rest = after;
        } else {
            if !steps.is_empty() {
                rest = rest.strip_prefix('.')?;
            }
            let end = rest.find(['.', '[']).unwrap_or(rest.len());
            let (name, after) = rest.split_at(end);
            if !is_plain(name) {
                return None;
            }
            steps.push(Step::Name(name.to_owned()));
            rest = after;
        }
    }
    Some(steps)
}

/// The name up to the closing `"]`, and what follows.
fn quoted(text: &str) -> Option<(String, &str)> {
    let mut name = String::new();
    let mut chars = text.char_indices();
    while let Some((at, c)) = chars.next() {
        match c {
            '\\' => name.push(chars.next()?.1),
            '"' => return Some((name, text[at + 1..].strip_prefix(']')?)),
            c => name.push(c),
        }
    }
    None
}
