//! Values of settings as texts and numbers.

use crate::error::{Refusal, nearest};
use crate::units::{DimensionInfo, UnitError, read};

/// One value.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingValue {
    /// As written.
    pub text: String,
    /// In SI; a whole number as it is, a choice by its place in the list.
    pub si: f64,
}

/// What a setting stands at.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// One value, on both sides if it is a pair.
    Value(SettingValue),
    /// A pair whose sides differ.
    Differs {
        /// On the left.
        left: SettingValue,
        /// On the right.
        right: SettingValue,
    },
}

impl std::fmt::Display for Reading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Reading::Value(value) => f.pad(&value.text),
            Reading::Differs { left, right } => f.pad(&format!("left {}, right {}", left.text, right.text)),
        }
    }
}

/// The text whose style a new value takes: what stands there, or the field step where that is finer in the same unit («0 in» stepped by
/// 1/16 in is «1/16 in», not «0.0625 in»).
pub(super) fn model<'t>(info: &'static DimensionInfo, now: &'t str, step: &'t str) -> &'t str {
    let (Ok(here), Ok(by)) = (read(info, now), read(info, step)) else { return step };
    let plain = !now.contains(['.', '/', 'e', 'E', '\'']) && step.contains('/');
    if plain && here.unit.symbol == by.unit.symbol { step } else { now }
}

/// The text with the unit of the step where a number stands alone, else as it is.
pub(super) fn spelled(info: &'static DimensionInfo, text: &str, step: &str) -> String {
    match (read(info, text), read(info, step)) {
        (Err(UnitError::BareNumber { .. }), Ok(by)) => format!("{} {}", text.trim(), by.unit.symbol),
        _ => text.to_owned(),
    }
}

/// Reads a quantity; a number alone is taken in the unit of the step.
pub(super) fn read_bare(info: &'static DimensionInfo, text: &str, step: &str) -> Result<f64, UnitError> {
    read(info, &spelled(info, text, step)).map(|reading| reading.si)
}

/// Reads a whole number.
pub(in crate::scenario) fn whole(text: &str, allowed: &str) -> Result<u32, Refusal> {
    let text = text.trim();
    let number = if text.starts_with('+') { None } else { text.parse().ok() };
    number.ok_or_else(|| Refusal {
        problem: "a whole number is wanted".to_owned(),
        given: shown(text),
        allowed: allowed.to_owned(),
        advice: "write it without a sign, a unit or decimals".to_owned(),
    })
}

/// Finds a word in a list.
pub(in crate::scenario) fn choice(text: &str, words: &[String]) -> Result<usize, Refusal> {
    let text = text.trim();
    words.iter().position(|word| word == text).ok_or_else(|| Refusal {
        problem: "this is not one of the choices".to_owned(),
        given: shown(text),
        allowed: words.join(", "),
        advice: match likely(text, words) {
            Some(likely) => format!("write {likely} if that is what you mean"),
            None => "use one of these words".to_owned(),
        },
    })
}

/// The word meant: nearly written, or begun.
fn likely<'w>(text: &str, words: &'w [String]) -> Option<&'w str> {
    let begun = || words.iter().map(String::as_str).find(|word| text.len() > 2 && word.starts_with(text));
    nearest(text, words.iter().map(String::as_str)).or_else(begun)
}

fn shown(text: &str) -> String {
    text.chars().take(80).collect()
}
