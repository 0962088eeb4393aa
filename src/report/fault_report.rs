//! What text, document and sheet say alike of what is wrong with a brush.

use crate::coverage::measure::{ALL, Measure};
use crate::fault::check::{Caution, CheckName, CheckRow};
use crate::fault::{Answer, Belief, Book, CheckWorth, Hypothesis, Pair, Place, Row, Told};
use crate::units::rounded;

/// An answer with all that stands beside it.
#[derive(Debug)]
pub struct FaultReport<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// What every cause does.
    pub book: &'a Book,
    /// What was told.
    pub told: &'a Told,
    /// What comes of it.
    pub answer: &'a Answer,
    /// Pairs, where no single cause explains all.
    pub pairs: &'a [Pair],
    /// Checks, the best first.
    pub checks: &'a [CheckWorth],
}

/// Causes that are told in full.
pub const MOST_CAUSES: usize = 5;
/// Less believed than this a cause is not told, when three are.
const LEAST_SHARE: f64 = 0.04;
/// Plain name of a cause at its place.
pub fn name_of(hypothesis: &Hypothesis) -> String {
    match hypothesis.row() {
        None => "nothing is broken, the set-up itself does it".to_owned(),
        Some(row) => hypothesis.place.said(row.name),
    }
}

/// A measure with the fault and after its repair.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Which.
    pub measure: Measure,
    /// With the fault, SI.
    pub now: Option<f64>,
    /// As it should be, SI.
    pub after: Option<f64>,
}

/// Measures that a repair moves most, at most three: by their change over the greater of both.
pub fn after_repair(book: &Book, belief: &Belief) -> Vec<Change> {
    let hypothesis = &book.hypotheses[belief.hypothesis];
    if hypothesis.cause.is_none() {
        return Vec::new();
    }
    let level = &hypothesis.levels[belief.level];
    let mut list: Vec<(f64, Change)> = ALL
        .into_iter()
        .filter_map(|measure| {
            let (now, after) = (level.measure(measure), book.healthy.measure(measure));
            let moved = match (now, after) {
                (Some(now), Some(after)) => {
                    let size = now.abs().max(after.abs());
                    if size > 1e-9 { (now - after).abs() / size } else { 0.0 }
                }
                (None, Some(_)) => 1.0,
                _ => 0.0,
            };
            (moved > 0.1).then_some((moved, Change { measure, now, after }))
        })
        .collect();
    list.sort_by(|a, b| b.0.total_cmp(&a.0));
    list.truncate(3);
    list.into_iter().map(|(_, change)| change).collect()
}

/// The rows of causes that a text tells, in their order: three, and more of them as long as they are no small part.
pub fn told_rows<'a>(report: &FaultReport<'a>) -> impl Iterator<Item = &'a Row> {
    let told = |(at, row): &(usize, &Row)| *at < 3 && row.share > 1e-3 || row.share >= LEAST_SHARE;
    report.answer.rows.iter().take(MOST_CAUSES).enumerate().filter(told).map(|(_, row)| row)
}

/// The causes of a row that are told: those that are no small part of it.
pub fn told_beliefs<'a>(answer: &'a Answer, row: &'a Row) -> impl Iterator<Item = &'a Belief> {
    let told = move |belief: &&Belief| belief.share >= 0.1 * row.share;
    row.beliefs.iter().filter_map(|at| answer.beliefs.get(*at)).filter(told)
}

/// What the answer comes to, in a sentence or two.
pub fn headline(report: &FaultReport<'_>) -> String {
    let (answer, book) = (report.answer, report.book);
    if report.told.is_nothing() {
        return "Nothing is seen and nothing was read: there is no fault to name. Say what is seen with --seen; --list shows what can be said.".to_owned();
    }
    if answer.as_set {
        let nothing = report.told.seen.is_empty();
        return match nothing {
            true => "Nothing that is told speaks for a fault.",
            false => "Nothing need be broken: the set-up itself does this. «brusharm recommend» finds the smallest change that helps.",
        }
        .to_owned();
    }
    let Some(row) = answer.rows.first() else {
        return "This machine has nothing that the table of causes knows.".to_owned();
    };
    let mut names: Vec<String> =
        told_beliefs(answer, row).take(3).map(|b| name_of(&book.hypotheses[b.hypothesis])).collect();
    let last = names.pop().unwrap_or_default();
    let name = if names.is_empty() { last } else { format!("{}; or {last}", names.join("; ")) };
    if answer.explained {
        format!("Most likely: {name} ({} of belief).", percent(row.share))
    } else if report.pairs.is_empty() {
        format!(
            "Nothing in the table explains all of this, nor do two causes at once. Nearest: {name}. Look whether all of it was seen right, and for something that is not in the table."
        )
    } else {
        "No single cause explains all of this; two at once would. Look first whether all of it was seen right.".to_owned()
    }
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// How long a check takes: «1.5 min once locked out».
pub(super) fn how_long(check: &CheckRow) -> String {
    let locked = if check.caution == Caution::Still { " once locked out" } else { "" };
    format!("{} min{locked}", minutes(check.minutes))
}

/// The check to make next, in a sentence, with its caution.
pub fn next_check(check: &CheckWorth) -> String {
    let row = check.check.row();
    format!("Next check ({}, {}): {}. {}", row.tool, how_long(row), row.how, row.caution.text())
}

/// Minutes without a zero behind the point.
pub(super) fn minutes(min: f64) -> String {
    if min.fract() == 0.0 { format!("{min:.0}") } else { rounded(min, 1) }
}

/// Every finding of a check on the causes of a book, as said.
pub fn findings(book: &Book, check: CheckName) -> Vec<(&'static str, Place)> {
    let mut list = Vec::new();
    for hypothesis in &book.hypotheses {
        for behind in hypothesis.row().map_or(&[][..], |row| row.behind) {
            let found = (behind.finding, hypothesis.place);
            if behind.check == check && !list.contains(&found) {
                list.push(found);
            }
        }
    }
    list
}
