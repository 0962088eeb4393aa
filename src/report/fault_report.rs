//! What text, document and sheet say alike of what is wrong with a brush.

use crate::coverage::measure::{ALL, Measure};
use crate::fault::{Answer, Belief, Book, CheckWorth, Hypothesis, Pair, Row, Told};
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

/// What else one would see, at most.
pub const MOST_SIGNS: usize = 6;
/// Checks that are told.
pub const MOST_CHECKS: usize = 4;
/// Pairs that are told.
pub const MOST_PAIRS: usize = 3;
/// Causes that are told in full.
pub const MOST_CAUSES: usize = 5;
/// Less believed than this a cause is not told, when three are.
const LEAST_SHARE: f64 = 0.04;
/// What stands in place of a cause where there is none.
pub(super) const AS_SET: &str = "nothing is broken, the set-up itself does it";

/// What a cause is called.
pub fn words_of(hypothesis: &Hypothesis) -> &'static str {
    hypothesis.row().map_or(AS_SET, |row| row.name)
}

/// A cause with its place.
pub fn name_of(hypothesis: &Hypothesis) -> String {
    hypothesis.place.said(words_of(hypothesis))
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

/// What an answer may come to: {0} are the names of causes, {1} the share of belief.
pub(super) const HEADLINES: [&str; 7] = [
    "Nothing is seen and nothing was read: there is no fault to name. Say what is seen with --seen; --list shows what can be said.",
    "Nothing that is told speaks for a fault.",
    "Nothing need be broken: the set-up itself does this. «brusharm recommend» finds the smallest change that helps.",
    "This machine has nothing that the table of causes knows.",
    "Most likely: {0} ({1} of belief).",
    "Nothing in the table explains all of this, nor do two causes at once. Nearest: {0}. Look whether all of it was seen right, and for something that is not in the table.",
    "No single cause explains all of this; two at once would. Look first whether all of it was seen right.",
];

/// What an answer comes to.
#[derive(Debug, Clone)]
pub struct Headline<'a> {
    /// One of [`HEADLINES`].
    pub form: &'static str,
    /// Causes that it names.
    pub names: Vec<&'a Hypothesis>,
    /// Share of belief of them.
    pub share: f64,
}

impl Headline<'_> {
    /// In a sentence or two.
    pub fn text(&self) -> String {
        let mut names: Vec<String> = self.names.iter().map(|of| name_of(of)).collect();
        let last = names.pop().unwrap_or_default();
        let name = if names.is_empty() { last } else { format!("{}; or {last}", names.join("; ")) };
        self.form.replace("{0}", &name).replace("{1}", &percent(self.share))
    }
}

/// What the answer comes to.
pub fn headline<'a>(report: &FaultReport<'a>) -> Headline<'a> {
    let (answer, book) = (report.answer, report.book);
    let [nothing, no_fault, as_set, empty, likely, unexplained, two] = HEADLINES;
    let named = |form| {
        let row = answer.rows.first();
        let of = |belief: &'a Belief| &book.hypotheses[belief.hypothesis];
        let names = row.into_iter().flat_map(|row| told_beliefs(answer, row)).take(3).map(of).collect();
        Headline { form, names, share: row.map_or(0.0, |row| row.share) }
    };
    let plain = |form| Headline { form, names: Vec::new(), share: 0.0 };
    if report.told.is_nothing() {
        plain(nothing)
    } else if answer.as_set {
        plain(if report.told.seen.is_empty() { no_fault } else { as_set })
    } else if answer.rows.is_empty() {
        plain(empty)
    } else if answer.explained {
        named(likely)
    } else if report.pairs.is_empty() {
        named(unexplained)
    } else {
        plain(two)
    }
}

/// A share in whole percent.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// Minutes without a zero behind the point.
pub fn minutes(min: f64) -> String {
    if min.fract() == 0.0 { format!("{min:.0}") } else { rounded(min, 1) }
}
