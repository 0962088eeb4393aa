//! What checks find under a cause: of the things behind it each is half as common as the one listed before, and a check finds the one it is for.

use super::check::CheckName;
use super::hypothesis::Hypothesis;
use super::told::Answered;

/// A check is misread this often.
pub(super) const MISREAD: f64 = 0.03;

/// What a check finds when one of the things behind a cause is so; `None`: nothing.
pub fn answer_of(hypothesis: &Hypothesis, behind: usize, check: CheckName) -> Answered {
    let found = hypothesis
        .row()
        .and_then(|row| row.behind.get(behind))
        .filter(|behind| behind.check == check)
        .map(|behind| (behind.finding, hypothesis.place));
    Answered { check, found }
}

fn chance_of(hypothesis: &Hypothesis, behind: usize, answer: &Answered) -> f64 {
    if answer_of(hypothesis, behind, answer.check) == *answer { 1.0 - MISREAD } else { MISREAD }
}

pub(super) fn things(hypothesis: &Hypothesis) -> usize {
    hypothesis.row().map_or(1, |row| row.behind.len().max(1))
}

/// Chance of what checks found under a cause.
pub(super) fn chance_of_answers(hypothesis: &Hypothesis, answers: &[Answered]) -> f64 {
    (0..things(hypothesis)).map(|behind| chance_behind(hypothesis, behind, answers)).sum()
}

/// Chance that one thing is behind a cause and that checks found what they did.
pub(super) fn chance_behind(hypothesis: &Hypothesis, behind: usize, answers: &[Answered]) -> f64 {
    let found: f64 = answers.iter().map(|answer| chance_of(hypothesis, behind, answer)).product();
    share_behind(things(hypothesis), behind) * found
}

/// Share of the calls of a cause in which one of so many things is behind it: each half as common as the one listed before.
pub fn share_behind(count: usize, behind: usize) -> f64 {
    let weight = |index: usize| 0.5_f64.powi(index as i32);
    weight(behind) / (0..count).map(weight).sum::<f64>()
}
