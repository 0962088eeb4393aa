//! What checks find under a cause: of the things behind it each is half as common as the one listed before, and a check finds the one it is for.
//!
//! The pull scale finds more: what pulls the arm in is the mean of its readings out and back, and friction is half their difference. Which of the two is off, and
//! which way, it tells of every cause, whatever stands behind it.

use super::check::{CheckName, PULLS};
use super::hypothesis::{Hypothesis, Level};
use super::place::Place;
use super::reading::{READINGS, reading_named};
use super::told::Answered;
use crate::arm::Side;

/// A check is misread this often.
pub(super) const MISREAD: f64 = 0.03;

/// A pull is off from so many of its standard deviations on.
const OFF_SD: f64 = 3.0;

/// What the pull scale finds at a level beside the healthy machine.
pub(super) fn pull(level: &Level, healthy: &Level, place: Place) -> Option<&'static str> {
    let side = match place {
        Place::On(side) => side,
        Place::Both => Side::Left,
        Place::Line => return None,
    };
    let [out, back] = ["pull-out", "pull-in"].map(reading_named);
    let of = |level: &Level| -> Option<[f64; 2]> {
        let [out, back] = [out?, back?].map(|kind| level.readings[kind][side.index()]);
        Some([0.5 * (out? + back?), 0.5 * (out? - back?)])
    };
    let ([mean, friction], [sound_mean, sound_friction]) = (of(level)?, of(healthy)?);
    let [least, share] = READINGS[out?].sigma;
    let off_n = OFF_SD * least.max(share * (sound_mean.abs() + sound_friction));
    if friction - sound_friction > off_n {
        Some(PULLS[0])
    } else if mean - sound_mean < -off_n {
        Some(PULLS[1])
    } else {
        (mean - sound_mean > off_n).then_some(PULLS[2])
    }
}

/// What a check finds when one of the things behind a cause is so; `None`: nothing.
pub fn answer_of(hypothesis: &Hypothesis, behind: usize, check: CheckName) -> Answered {
    if check == CheckName::Pull {
        return Answered { check, found: hypothesis.pull.map(|finding| (finding, hypothesis.place)) };
    }
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
