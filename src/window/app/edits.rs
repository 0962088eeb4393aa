//! What a person changed: settings by path, each side by itself, with the value as written.
//!
//! A value that is the same as in the file is no edit. A change of a pair is two edits, so that no order matters.

use std::collections::BTreeMap;

use crate::report::sheet::{Language, value_said};
use crate::report::short_label;
use crate::scenario::Scenario;
use crate::scenario::setting::{Reading, Setting, SettingKind, SettingValue};
use crate::units::{UnitSystem, converted, minus_signs, read};

/// Path (never `both.`) and value as written.
pub type Edits = BTreeMap<String, String>;

/// The edits with more changes put in.
pub fn put(base: &Scenario, edits: &Edits, changes: &[(String, String)]) -> Edits {
    let mut new = edits.clone();
    for (path, text) in changes {
        for single in single_paths(path) {
            let Ok(setting) = base.setting(&single) else {
                new.insert(single, text.clone());
                continue;
            };
            if is_as_in_file(base, &setting, text) {
                new.remove(&setting.path);
            } else {
                new.insert(setting.path, text.clone());
            }
        }
    }
    new
}

/// The edits without those of one setting (both sides for a pair).
pub fn without(edits: &Edits, path: &str) -> Edits {
    let mut new = edits.clone();
    for single in single_paths(path) {
        new.remove(&single);
    }
    new
}

/// Whether a setting differs from the file.
pub fn differs(edits: &Edits, path: &str) -> bool {
    single_paths(path).iter().any(|single| edits.contains_key(single))
}

/// As changes for [`Scenario::with`].
pub fn changes(edits: &Edits) -> Vec<(String, String)> {
    edits.iter().map(|(path, text)| (path.clone(), text.clone())).collect()
}

/// In words: «lower bearing 1/8 in, left regulator of the cap end 8 psi»; «as in the file» without edits.
pub fn words(scenario: &Scenario, edits: &Edits) -> String {
    let mut parts: Vec<String> = Vec::new();
    for (path, text) in edits {
        let pair = |from: &str, to: &str| {
            path.strip_prefix(from).map(|rest| edits.get(&format!("{to}{rest}")) == Some(text))
        };
        if pair("right.", "left.") == Some(true) {
            continue;
        }
        let label =
            scenario.setting(path).map_or_else(|_| path.clone(), |s| short_label(&s.label).to_owned());
        let side = match path.split_once('.') {
            Some((side @ ("left" | "right"), _)) if pair("left.", "right.") != Some(true) => {
                format!("{side} ")
            }
            _ => String::new(),
        };
        parts.push(format!("{side}{label} {text}"));
    }
    if parts.is_empty() { "as in the file".to_owned() } else { parts.join(", ") }
}

/// A value as it stands: as written, or both sides.
pub fn reading_text(reading: &Reading) -> String {
    match reading {
        Reading::Value(value) => value.text.clone(),
        Reading::Differs { left, right } => format!("{} | {}", left.text, right.text),
    }
}

/// A value as it stands, in these units: as written where it is written in them.
pub fn reading_said(setting: &Setting, reading: &Reading, units: UnitSystem) -> String {
    let said = |value: &SettingValue| value_said(setting, value, units, Language::English).written;
    match reading {
        Reading::Value(value) => said(value),
        Reading::Differs { left, right } => format!("{} | {}", said(left), said(right)),
    }
}

/// A text of the table of settings, such as the end of a range, in these units.
pub fn text_said(setting: &Setting, text: &str, units: UnitSystem) -> String {
    let other = setting.info().and_then(|info| converted(info, text, read(info, text).ok()?.si, units));
    other.unwrap_or_else(|| minus_signs(text))
}

/// What is allowed, in these units.
pub fn range_said(setting: &Setting, units: UnitSystem) -> String {
    match &setting.kind {
        SettingKind::Number { limits, .. } => {
            let [low, high] = [limits.low, limits.high].map(|end| text_said(setting, end, units));
            format!("{low} to {high}")
        }
        _ => setting.range_text(),
    }
}

fn single_paths(path: &str) -> Vec<String> {
    match path.strip_prefix("both.") {
        Some(rest) => vec![format!("left.{rest}"), format!("right.{rest}")],
        None => vec![path.to_owned()],
    }
}

fn is_as_in_file(base: &Scenario, setting: &Setting, text: &str) -> bool {
    let (Ok(new), Some(Reading::Value(old))) = (setting.number(text), setting.read(base)) else {
        return false;
    };
    (new - old.si).abs() <= 1e-12 * new.abs().max(old.si.abs())
}
