//! The next check: which takes most of the doubt for each minute, and what an answer makes of the rest.
//!
//! A cause stands for the things that may be behind it; a check finds the one it is for and nothing else. Doubt is the entropy of the beliefs.

use super::answered::{MISREAD, answer_of, chance_behind, things};
use super::book::Book;
use super::check::{CHECKS, CheckName};
use super::rank::Answer;
use super::told::{Answered, Told};
use crate::elementary::Elementary;

/// What a check is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckWorth {
    /// The check.
    pub check: CheckName,
    /// Doubt that it is to be expected to take, bits.
    pub bits: f64,
    /// The same for each minute, locking out included.
    pub bits_per_min: f64,
    /// Chance that it finds something.
    pub finds: f64,
}

fn bits(chances: &[f64]) -> f64 {
    let all: f64 = chances.iter().sum();
    let of = |p: f64| if p > 0.0 && all > 0.0 { -(p / all) * (p / all).log_2() } else { 0.0 };
    chances.iter().map(|p| of(*p)).sum()
}

/// Every check that would tell something, most doubt for each minute first.
pub fn next_checks(book: &Book, told: &Told, answer: &Answer) -> Vec<CheckWorth> {
    // Each thing behind each cause, with its chance after the checks made.
    let mut states: Vec<(usize, usize, f64)> = Vec::new();
    for belief in &answer.beliefs {
        let hypothesis = &book.hypotheses[belief.hypothesis];
        let of = |behind: usize| chance_behind(hypothesis, behind, &told.answers);
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
            CheckWorth { check: row.name, bits: gain, bits_per_min: gain / row.all_minutes(), finds }
        })
        .collect();
    list.retain(|worth| worth.bits > 1e-6);
    list.sort_by(|a, b| b.bits_per_min.total_cmp(&a.bits_per_min));
    list
}
