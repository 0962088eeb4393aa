//! A pass in numbers, beside another one.

use super::setup::Setup;
use crate::coverage::{MeasureName, Verdict, VerdictLine};
use crate::report::sheet::{Language, headline_said, length_said, line_said, verdict_said};
use crate::units::UnitSystem;
use serde::Serialize;

/// What a pass comes to, at a glance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Glance {
    /// `pass`, `marginal`, `fail`, or nothing where nothing is judged.
    verdict: &'static str,
    sign: &'static str,
    word: &'static str,
    said: String,
    /// The longest gap on the tail; a dash where the tail is not judged.
    gap: String,
}

pub(super) fn glance(setup: &Setup, units: UnitSystem, language: Language) -> Glance {
    let outcome = &setup.solved.outcome;
    let (verdict, said) = headline_said(&outcome.verdicts, units, language);
    let (sign, word) = verdict.map_or(("", ""), |verdict| verdict_said(verdict, language));
    let gap = MeasureName::TailGap
        .whole()
        .read(outcome)
        .value
        .map_or_else(|| "–".to_owned(), |gap| length_said(gap, units));
    Glance { verdict: verdict.map_or("", Verdict::name), sign, word, said, gap }
}

/// A criterion of the set-up shown and of the one beside it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Line {
    label: String,
    limit: String,
    now: Judged,
    /// Nothing where the set-up beside it is not judged by this.
    beside: Option<Judged>,
    differs: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Judged {
    value: String,
    verdict: &'static str,
    sign: &'static str,
    word: &'static str,
}

fn judged(line: &VerdictLine, units: UnitSystem, language: Language) -> Judged {
    let [_, value, _] = line_said(line, units, language);
    let (sign, word) = verdict_said(line.verdict, language);
    Judged { value, verdict: line.verdict.name(), sign, word }
}

/// Every criterion, what fails first.
pub(super) fn lines(now: &Setup, beside: &Setup, units: UnitSystem, language: Language) -> Vec<Line> {
    let mut all: Vec<&VerdictLine> = now.solved.outcome.verdicts.iter().collect();
    all.sort_by_key(|line| std::cmp::Reverse(line.verdict));
    let of = |line: &&VerdictLine| {
        let same =
            |l: &&VerdictLine| l.criterion == line.criterion && l.about == line.about && l.side == line.side;
        let [label, _, limit] = line_said(line, units, language);
        let other = beside.solved.outcome.verdicts.iter().find(same);
        let (now, other) = (judged(line, units, language), other.map(|l| judged(l, units, language)));
        Line { label, limit, differs: other.as_ref().is_some_and(|other| *other != now), now, beside: other }
    };
    all.iter().map(of).collect()
}
