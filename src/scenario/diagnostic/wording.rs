//! The words of reading errors.

use crate::error::{Refusal, nearest};
use ron::error::Error as RonError;

pub(super) fn unknown_field(found: &str, expected: &[&str], likely: Option<&str>) -> Refusal {
    Refusal {
        problem: format!("there is no field `{found}` here"),
        given: found.to_owned(),
        allowed: if expected.is_empty() { "no fields".to_owned() } else { expected.join(", ") },
        advice: match likely {
            Some(likely) => format!("write `{likely}` if that is what you mean"),
            None => "remove it, or use one of the allowed names".to_owned(),
        },
    }
}

pub(super) fn stopped(after: usize) -> Refusal {
    Refusal {
        problem: format!("reading stopped after {after} mistakes: there are more"),
        given: String::new(),
        allowed: String::new(),
        advice: "mend these first".to_owned(),
    }
}

pub(super) fn duplicate(field: &str, first_line: Option<usize>) -> Refusal {
    let first = first_line.map(|line| format!("; the first is on line {line}")).unwrap_or_default();
    Refusal {
        problem: format!("the field `{field}` is given twice"),
        given: field.to_owned(),
        allowed: "each field once".to_owned(),
        advice: format!("remove one of them{first}"),
    }
}

pub(super) fn missing(field: &str, parent: &str, present: String) -> Refusal {
    let whole = if parent.is_empty() { "the file".to_owned() } else { format!("`{parent}`") };
    Refusal {
        problem: format!("the field `{field}` is missing"),
        given: if present.is_empty() { "no fields".to_owned() } else { present },
        allowed: String::new(),
        advice: format!("add `{field}: …,` to {whole}"),
    }
}

pub(super) fn unknown_word(found: &str, expected: &[&str]) -> Refusal {
    Refusal {
        problem: format!("`{found}` is not one of the choices here"),
        given: found.to_owned(),
        allowed: expected.join(", "),
        advice: match nearest(found, expected.iter().copied()) {
            Some(likely) => format!("write {likely} if that is what you mean"),
            None => "use one of the allowed words".to_owned(),
        },
    }
}

pub(super) fn wrong_type(expected: &str, given: String) -> Refusal {
    wrong_kind(in_words(expected), given)
}

pub(super) fn wrong_kind(allowed: String, given: String) -> Refusal {
    let advice = if allowed.is_empty() {
        "compare it with the same field of an example scenario".to_owned()
    } else {
        format!("write {allowed}")
    };
    Refusal { problem: "the value is of the wrong kind".to_owned(), given, allowed, advice }
}

pub(super) fn wrong_length(expected: &str, found: usize, given: String) -> Refusal {
    let items = if found == 1 { "there is 1 item".to_owned() } else { format!("there are {found} items") };
    Refusal {
        problem: format!("{items}, which is the wrong number"),
        given,
        allowed: in_words(expected),
        advice: "give the number of items asked for".to_owned(),
    }
}

pub(super) fn too_many(given: String) -> Refusal {
    Refusal {
        problem: "there are more items than belong here".to_owned(),
        given,
        allowed: String::new(),
        advice: "remove this item, or compare with the same field of an example scenario".to_owned(),
    }
}

pub(super) fn too_deep(limit: usize) -> Refusal {
    Refusal {
        problem: "the brackets nest too deep".to_owned(),
        given: String::new(),
        allowed: format!("at most {limit} levels"),
        advice: "look for a bracket that opens again and again".to_owned(),
    }
}

/// What serde's words for an expected value mean to a person.
fn in_words(expected: &str) -> String {
    let words = match expected {
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number, 0 or more",
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number",
        "f32" | "f64" => "a number",
        "a boolean" => "true or false",
        "a string" | "string" => "text in quotes",
        "a sequence" => "a list in square brackets",
        "a map" => "a map in braces",
        "unit" => "()",
        other => match other.split_once(' ') {
            Some(("struct", _)) => "fields in parentheses, like (name: value)",
            Some(("enum", _)) => "one of the words of that field",
            Some(("a", rest)) if rest.starts_with("tuple of size ") => {
                return format!("{} values in parentheses", &rest["tuple of size ".len()..]);
            }
            Some(("an", rest)) if rest.starts_with("array of length ") => {
                return format!("{} values in parentheses", &rest["array of length ".len()..]);
            }
            Some(("tuple", _)) => "values in parentheses, like (1, 2)",
            _ => other,
        },
    };
    words.to_owned()
}

/// What RON wanted, for a value of the wrong kind.
pub(super) fn expected(code: &RonError, given: &str) -> String {
    match code {
        // A whole number was read and the rest of the value left over.
        RonError::ExpectedComma | RonError::ExpectedStructLikeEnd | RonError::ExpectedArrayEnd
            if given.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-')) =>
        {
            "a whole number".to_owned()
        }
        // A word that stands alone was given something in parentheses.
        RonError::ExpectedComma | RonError::ExpectedStructLikeEnd if name_of(given).is_some() => {
            format!("{} without parentheses, or another word", name_of(given).unwrap_or_default())
        }
        RonError::ExpectedIdentifier if name_of(given).is_some() && given.contains("((") => {
            format!("{}(name: value), with one pair of parentheses", name_of(given).unwrap_or_default())
        }
        RonError::ExpectedArray | RonError::ExpectedArrayEnd => "a list in square brackets".to_owned(),
        RonError::ExpectedBoolean => "true or false".to_owned(),
        RonError::ExpectedChar => "one character in single quotes".to_owned(),
        RonError::ExpectedFloat => "a number".to_owned(),
        RonError::ExpectedInteger
        | RonError::UnderscoreAtBeginning
        | RonError::InvalidIntegerDigit { .. } => "a whole number".to_owned(),
        RonError::IntegerOutOfBounds => "a whole number that fits this field".to_owned(),
        RonError::FloatUnderscore => "a number without underscores".to_owned(),
        RonError::ExpectedOption | RonError::ExpectedOptionEnd => "a value, or None".to_owned(),
        RonError::ExpectedMap | RonError::ExpectedMapColon | RonError::ExpectedMapEnd => {
            "a map in braces".to_owned()
        }
        RonError::ExpectedStructLike
        | RonError::ExpectedNamedStructLike(_)
        | RonError::ExpectedStructLikeEnd => "fields in parentheses, like (name: value)".to_owned(),
        RonError::ExpectedDifferentStructName { found, .. }
            if name_of(given).is_some_and(|name| name != found) =>
        {
            format!("{}((name: value)), with two pairs of parentheses", name_of(given).unwrap_or_default())
        }
        RonError::ExpectedDifferentStructName { expected, .. } => {
            format!("{expected}(…), or parentheses without a name")
        }
        RonError::ExpectedUnit => "()".to_owned(),
        RonError::ExpectedString | RonError::ExpectedStringEnd => "text in quotes".to_owned(),
        RonError::ExpectedIdentifier => match given.strip_prefix('"').and_then(|text| text.strip_suffix('"'))
        {
            Some(word) if !word.is_empty() && word.chars().all(|c| c.is_alphanumeric() || c == '_') => {
                format!("{word} without quotes")
            }
            _ => "a word without quotes".to_owned(),
        },
        _ => String::new(),
    }
}

/// The name in front of parentheses, if the value is of that form.
fn name_of(given: &str) -> Option<&str> {
    let (name, _) = given.split_once('(')?;
    let name = name.trim();
    (!name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || c == '_')).then_some(name)
}

/// An error of the text itself at a byte offset.
pub(super) fn syntax(code: &RonError, source: &str, at: usize) -> Refusal {
    let rest = source.get(at..).unwrap_or("");
    let next = rest.chars().next();
    let given = match next {
        Some(c) if c.is_alphanumeric() => {
            rest.split(|c: char| !(c.is_alphanumeric() || c == '_')).next().unwrap_or("").to_owned()
        }
        Some(c) => c.to_string(),
        None => "the end of the file".to_owned(),
    };
    let (problem, advice) = match code {
        RonError::UnclosedBlockComment => ("a comment is not closed", "close it with */"),
        RonError::ExpectedStringEnd => ("a text in quotes is not closed", "close it with \""),
        RonError::InvalidEscape(_) => {
            ("the backslash in a text is not understood", "write \\\\ for a backslash, \\\" for a quote")
        }
        RonError::NoSuchExtension(_) | RonError::ExpectedAttribute | RonError::ExpectedAttributeEnd => {
            ("the line with #! is not understood", "remove it")
        }
        RonError::TrailingCharacters => (
            "the file goes on after its end",
            "remove what follows, or look for a closing bracket too many before it",
        ),
        _ if next.is_none() && !source.trim().is_empty() => {
            ("the file ends too early", "close every bracket and quote that was opened")
        }
        _ if source.trim().is_empty() => ("the file is empty", "start from one of the example scenarios"),
        _ if matches!(next, Some(')' | ']' | '}')) => (
            "this bracket closes nothing, or a value before it is missing",
            "check that every bracket has its partner",
        ),
        _ if rest.starts_with('"') => {
            ("a text in quotes is not closed, or a comma before it is missing", "check quotes and commas")
        }
        _ => (
            "the file cannot be read from here on",
            "look for a missing comma, colon, quote or bracket before this place",
        ),
    };
    Refusal { problem: problem.to_owned(), given, allowed: String::new(), advice: advice.to_owned() }
}
