//! What checks find under a cause: each thing behind it is as likely as the others, and a check finds the one it is for.

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

pub(super) fn chance_of(hypothesis: &Hypothesis, behind: usize, answer: &Answered) -> f64 {
    if answer_of(hypothesis, behind, answer.check) == *answer { 1.0 - MISREAD } else { MISREAD }
}

pub(super) fn things(hypothesis: &Hypothesis) -> usize {
    hypothesis.row().map_or(1, |row| row.behind.len().max(1))
}

/// Chance of what checks found under a cause.
pub(super) fn chance_of_answers(hypothesis: &Hypothesis, answers: &[Answered]) -> f64 {
    let count = things(hypothesis);
    let of =
        |behind: usize| answers.iter().map(|answer| chance_of(hypothesis, behind, answer)).product::<f64>();
    (0..count).map(of).sum::<f64>() / count as f64
}
