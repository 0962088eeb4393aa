//! A row of a study as its command wrote it for programs: its values and its words.

use super::criteria;
use super::words::Words;
use crate::coverage::Verdict;
use crate::coverage::measure::{About, Measure};
use serde_json::{Map, Value};

/// One row of a study, by column.
pub(super) type Record = Map<String, Value>;

pub(super) fn text(row: &Record, key: &str) -> String {
    row.get(key).map(said).unwrap_or_default()
}

/// A value as text; what does not exist is empty.
pub(super) fn said(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        other => other.to_string(),
    }
}

pub(super) fn number(row: &Record, key: &str) -> Option<f64> {
    row.get(key)?.as_f64()
}

pub(super) fn verdict(text: &str) -> Option<Verdict> {
    [Verdict::Pass, Verdict::Marginal, Verdict::Fail].into_iter().find(|v| v.name() == text)
}

/// The words of a measure: those of its criterion and side where the sheet has them.
pub(super) fn label(measure: Measure, words: &Words) -> String {
    if !measure.is_judged() {
        return measure.label();
    }
    let what = words.term(measure.row().label);
    match measure.about {
        About::Pass => what.to_owned(),
        About::Side(side) => format!("{what}, {}", criteria::side(side, words)),
        About::Feature(kind, side) => {
            format!("{what} {}, {}", words.term(kind.name()), criteria::side(side, words))
        }
    }
}

/// A key of a measure in words; the key itself when there is no such measure.
pub(super) fn key_label(key: &str, words: &Words) -> String {
    Measure::from_key(key).map_or_else(|| key.replace('_', " "), |m| label(m, words))
}
