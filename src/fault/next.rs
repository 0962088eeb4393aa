//! The next check: which takes most of the doubt for each minute, and what an answer makes of the rest.
//!
//! A cause stands for the things that may be behind it, each alike; a check finds the one it is for and nothing else. Doubt is the entropy of the beliefs.

use super::book::{Book, Hypothesis};
use super::check::{CHECKS, CheckName};
use super::place::Place;
use super::rank::{Answer, Told};

/// What a check found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answered {
    /// The check.
    pub check: CheckName,
    /// What it found and where; none: nothing amiss.
    pub found: Option<(&'static str, Place)>,
}

/// What a check is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckWorth {
    /// The check.
    pub check: CheckName,
    /// Doubt that it is to be expected to take, bits.
    pub bits: f64,
    /// The same for each minute.
    pub bits_per_min: f64,
    /// Chance that it finds something.
    pub finds: f64,
}

/// A check is misread this often.
const MISREAD: f64 = 0.03;

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

fn things(hypothesis: &Hypothesis) -> usize {
    hypothesis.row().map_or(1, |row| row.behind.len().max(1))
}

/// Chance of what checks found under a cause.
pub(super) fn chance_of_answers(hypothesis: &Hypothesis, answers: &[Answered]) -> f64 {
    let count = things(hypothesis);
    let of =
        |behind: usize| answers.iter().map(|answer| chance_of(hypothesis, behind, answer)).product::<f64>();
    (0..count).map(of).sum::<f64>() / count as f64
}

/// What is told with one more answer.
pub fn with_answer(told: &Told, answer: Answered) -> Told {
    let mut told = told.clone();
    told.answers.push(answer);
    told
}

fn bits(chances: &[f64]) -> f64 {
    let all: f64 = chances.iter().sum();
    let of = |p: f64| if p > 0.0 && all > 0.0 { -(p / all) * (p / all).log2() } else { 0.0 };
    chances.iter().map(|p| of(*p)).sum()
}

/// Every check that would tell something, most doubt for each minute first.
pub fn next_checks(book: &Book, told: &Told, answer: &Answer) -> Vec<CheckWorth> {
    // Each thing behind each cause, with its chance after the checks made.
    let mut states: Vec<(usize, usize, f64)> = Vec::new();
    for belief in &answer.beliefs {
        let hypothesis = &book.hypotheses[belief.hypothesis];
        let of = |behind: usize| {
            told.answers.iter().map(|own| chance_of(hypothesis, behind, own)).product::<f64>()
        };
        let all: f64 = (0..things(hypothesis)).map(of).sum();
        for behind in 0..things(hypothesis) {
            if all > 0.0 {
                states.push((belief.hypothesis, behind, belief.share * of(behind) / all));
            }
        }
    }
    let before = bits(&states.iter().map(|s| s.2).collect::<Vec<_>>());
    let mut list: Vec<CheckWorth> = CHECKS
        .iter()
        .filter(|row| !told.answers.iter().any(|own| own.check == row.name))
        .map(|row| {
            let mut outcomes: Vec<Answered> = vec![Answered { check: row.name, found: None }];
            for (hypothesis, behind, _) in &states {
                let own = answer_of(&book.hypotheses[*hypothesis], *behind, row.name);
                if !outcomes.contains(&own) {
                    outcomes.push(own);
                }
            }
            let (mut after, mut finds) = (0.0, 0.0);
            for outcome in &outcomes {
                let left: Vec<f64> = states
                    .iter()
                    .map(|(h, b, p)| {
                        let right = answer_of(&book.hypotheses[*h], *b, row.name) == *outcome;
                        p * if right {
                            1.0 - MISREAD
                        } else {
                            MISREAD / (outcomes.len() as f64 - 1.0).max(1.0)
                        }
                    })
                    .collect();
                let chance: f64 = left.iter().sum();
                after += chance * bits(&left);
                if outcome.found.is_some() {
                    finds += chance;
                }
            }
            let gain = (before - after).max(0.0);
            CheckWorth { check: row.name, bits: gain, bits_per_min: gain / row.minutes, finds }
        })
        .collect();
    list.retain(|worth| worth.bits > 1e-6);
    list.sort_by(|a, b| b.bits_per_min.total_cmp(&a.bits_per_min));
    list
}
