//! Verdicts, values and pictures in the words of the sheet, for a page that is not a sheet.

use super::row::Value;
use super::words::{Language, Words, fill};
use super::{criteria, from_scenario, numbers, pictures};
use crate::coverage::measure::{About, Measure};
use crate::coverage::{Verdict, VerdictLine, headline};
use crate::drawing::DisplayList;
use crate::scenario::setting::{Setting, SettingValue};
use crate::units::UnitSystem;
use serde::Serialize;

/// The verdict of a pass and a sentence that says it.
pub fn headline_said(
    lines: &[VerdictLine],
    units: UnitSystem,
    language: Language,
) -> (Option<Verdict>, String) {
    let words = language.words();
    let Some((verdict, line)) = headline(lines) else { return (None, words.headline_none.to_owned()) };
    (Some(verdict), sentence(verdict, line, units, words))
}

/// A verdict with the line that decides it, in a sentence.
pub(super) fn sentence(verdict: Verdict, line: &VerdictLine, units: UnitSystem, words: &Words) -> String {
    let template = match verdict {
        Verdict::Pass => words.headline_pass,
        Verdict::Marginal => words.headline_marginal,
        Verdict::Fail => words.headline_fail,
    };
    let value = numbers::value(line, units).unwrap_or_else(|| words.no_value.to_owned());
    fill(template, &[&criteria::label(line, words), &value, &criteria::limit(line, units, words)])
}

/// A criterion, its value and its limit.
pub fn line_said(line: &VerdictLine, units: UnitSystem, language: Language) -> [String; 3] {
    let words = language.words();
    let value = numbers::value(line, units).unwrap_or_else(|| words.no_value.to_owned());
    [super::words::capital(&criteria::label(line, words)), value, criteria::limit(line, units, words)]
}

/// Sign and word of a verdict.
pub fn verdict_said(verdict: Verdict, language: Language) -> (&'static str, &'static str) {
    (criteria::sign(verdict), criteria::word(verdict, language.words()))
}

/// A short length, such as a gap.
pub fn length_said(m: f64, units: UnitSystem) -> String {
    numbers::length(m, units)
}

/// An instant or a duration.
pub fn time_said(s: f64) -> String {
    numbers::time(s)
}

/// A value of a setting as it is to be read, and in the other unit system.
pub fn value_said(setting: &Setting, value: &SettingValue, units: UnitSystem, language: Language) -> Value {
    from_scenario::shown(setting, value, units, language.words())
}

/// Puts the words of a picture into a language and drops what only a screen with a pointer shows.
pub fn say_picture(list: &mut DisplayList, title: &str, language: Language) {
    title.clone_into(&mut list.title);
    list.description.clear();
    list.items.iter_mut().for_each(|item| pictures::say(item, language.words()));
}

/// The cautions of the sheet with what the program is not.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CautionsSaid {
    /// Heading.
    pub title: &'static str,
    /// What to do before a hand goes near the machine, in order.
    pub list: Vec<&'static str>,
    /// What the program does not do, and the limits of the model.
    pub limits: String,
}

/// The cautions in a language.
pub fn cautions_said(language: Language) -> CautionsSaid {
    let words = language.words();
    CautionsSaid {
        title: words.cautions_title,
        list: words.cautions.iter().map(|(caution, _)| *caution).collect(),
        limits: format!("{} {}", words.predicts, words.limits),
    }
}

/// A text of the tables of faults in a language.
pub fn fault_said(english: &str, language: Language) -> String {
    super::words::of_fault(english, language)
}

/// What is at a place, with the side: «left: the arm runs tight». The place is `left`, `right`, `both` or anything else for none.
pub fn placed_said(place: &str, what: &str, language: Language) -> String {
    let all = language.words();
    match place {
        "left" => format!("{}: {what}", all.left),
        "right" => format!("{}: {what}", all.right),
        "both" => format!("{}: {what}", all.unit_both),
        _ => what.to_owned(),
    }
}

/// A measure in words, with its side.
pub fn measure_said(measure: Measure, language: Language) -> String {
    if language == Language::English {
        return measure.label();
    }
    let words = language.words();
    let mut said = words.term(measure.row().label).to_owned();
    if let About::Feature(kind, _) = measure.about {
        said = format!("{said} {}", words.term(kind.name()));
    }
    match measure.side() {
        Some(side) => format!("{said}, {}", criteria::side(side, words)),
        None => said,
    }
}

/// A text with its places `{0}`, `{1}` filled.
pub fn filled(template: &str, values: &[&str]) -> String {
    fill(template, values)
}
