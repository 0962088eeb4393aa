//! What is told against what each cause would show: how far each is to be believed, how bad it would have to be, and whether it explains all of it.

use super::answered::chance_of_answers;
use super::book::Book;
use super::hypothesis::{Hypothesis, Level};
use super::place::Place;
use super::reading::ReadingTold;
use super::sign::{Sign, ramp};
use super::told::Told;
use rayon::prelude::*;

/// How far a cause is believed.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// Which of [`Book::hypotheses`].
    pub hypothesis: usize,
    /// Share of belief, 0 to 1; all together are 1.
    pub share: f64,
    /// The level that fits best, of [`Hypothesis::levels`].
    pub level: usize,
    /// How bad it is to be expected, 0 to 1: the mean over its levels by how well each fits.
    pub severity: f64,
    /// The same in its own terms, SI.
    pub amount: Option<f64>,
    /// Whether it explains all of what is seen, fine and read.
    pub explains: bool,
    /// What it does not explain: signs seen that it does not show, signs fine that it shows.
    pub against: Vec<Sign>,
    /// What one would then see as well, plainest first.
    pub also: Vec<Sign>,
}

/// Causes that nothing that is seen tells apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Share of belief of all of them.
    pub share: f64,
    /// Whether one of them explains all of what is told.
    pub explains: bool,
    /// Which of [`Answer::beliefs`], most believed first.
    pub beliefs: Vec<usize>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Every cause at every place, in the order of the rows.
    pub beliefs: Vec<Belief>,
    /// Rows of causes that look alike: those that explain all first, then by belief.
    pub rows: Vec<Row>,
    /// What stands first explains all of it.
    pub explained: bool,
    /// What stands first is that the set-up itself does it.
    pub as_set: bool,
}

/// Two causes at once.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Which of [`Book::hypotheses`], and at which of their levels.
    pub of: [(usize, usize); 2],
    /// Share of belief among the pairs.
    pub share: f64,
}

/// So many of the signs told are seen where there is nothing.
const MISTAKEN: f64 = 0.05;
/// A plain sign is overlooked, or taken for usual, and then said to be fine, this often.
const OVERLOOKED: f64 = 0.5;
/// Who names one side of what both show has looked at both this often.
const BOTH_LOOKED_AT: f64 = 0.85;
/// One at either end of its range is called about this often, beside one in the middle.
const RARE: f64 = 0.25;
/// From here on a sign is explained.
const SHOWS: f64 = 0.2;
/// From here on a sign that is said to be fine should have been seen.
const PLAIN: f64 = 0.8;
/// From here on a sign is told of what else one would see.
const ALSO: f64 = 0.6;
/// A reading this unlikely is not explained.
const READ: f64 = 0.02;
/// A cause that explains all of it goes before what does not, unless it is so much less to be believed.
const FAR_LESS: f64 = 0.3;

/// How often a sign of this grade is told, beside one that is plain.
fn told_of(grade: f64) -> f64 {
    ramp(grade, SHOWS, PLAIN)
}

/// Chance of what is seen and said to be fine where these grades hold. Who tells draws rows of the table from what is to be seen, each as plain as it is, and says
/// of each on which sides it is.
pub(super) fn chance_of_signs(book: &Book, level: &Level, told: &Told) -> f64 {
    let mut rows: Vec<usize> = told.seen.iter().map(|sign| sign.row).collect();
    rows.sort_unstable();
    rows.dedup();
    let highest = |row: usize| told_of(book.grade(level, Sign { row, side: None }));
    let all: f64 = book.sign_rows().map(highest).sum::<f64>().max(1.0);
    let count = book.sign_rows().count() as f64;
    let seen = |row: usize| {
        let sides: Vec<_> = told.seen.iter().filter(|sign| sign.row == row).map(|sign| sign.side).collect();
        let grade = if sides.contains(&None) {
            highest(row)
        } else {
            book.places_of(Sign { row, side: None })
                .map(|at| {
                    let own = told_of(level.grades[at]);
                    if sides.contains(&book.signs[at].side) { own } else { 1.0 - BOTH_LOOKED_AT * own }
                })
                .product()
        };
        MISTAKEN / count + (1.0 - MISTAKEN) * grade / all
    };
    let fine = |sign: &Sign| 1.0 - (1.0 - OVERLOOKED) * book.grade(level, *sign);
    rows.into_iter().map(seen).product::<f64>() * told.fine.iter().map(fine).product::<f64>()
}

fn chance_of_readings(level: &Level, told: &Told) -> f64 {
    told.readings.iter().map(|r| r.likelihood(expected(level, r))).product()
}

fn expected(level: &Level, reading: &ReadingTold) -> Option<f64> {
    level.readings[reading.kind][reading.side.map_or(0, crate::arm::Side::index)]
}

/// How common a cause at its place is before anything is told.
fn prior(book: &Book, hypothesis: &Hypothesis, told: &Told) -> f64 {
    let Some(cause) = hypothesis.cause else { return hypothesis.share };
    let own = told.weights.iter().rev().find(|(of, _)| *of == cause).map(|(_, weight)| *weight);
    hypothesis.share * own.unwrap_or_else(|| book.weight(cause))
}

/// Ranks every cause by what is told.
pub fn rank(book: &Book, told: &Told) -> Answer {
    let mut beliefs: Vec<Belief> =
        book.hypotheses.iter().enumerate().map(|(index, of)| believe(book, index, of, told)).collect();
    let all: f64 = beliefs.iter().map(|b| b.share).sum();
    if all > 0.0 {
        beliefs.iter_mut().for_each(|b| b.share /= all);
    }
    let mut rows: Vec<(usize, Row)> = Vec::new();
    for (at, belief) in beliefs.iter().enumerate() {
        let of = book.rows[belief.hypothesis];
        let place = rows.iter().position(|(own, _)| *own == of).unwrap_or_else(|| {
            rows.push((of, Row { share: 0.0, explains: false, beliefs: Vec::new() }));
            rows.len() - 1
        });
        let row = &mut rows[place].1;
        row.share += belief.share;
        row.explains |= belief.explains;
        row.beliefs.push(at);
    }
    let most = rows.iter().map(|(_, row)| row.share).fold(0.0, f64::max);
    let first = |row: &Row| row.explains && row.share >= FAR_LESS * most;
    rows.sort_by(|(_, a), (_, b)| first(b).cmp(&first(a)).then(b.share.total_cmp(&a.share)));
    let mut rows: Vec<Row> = rows.into_iter().map(|(_, row)| row).collect();
    let mut ordered: Vec<Belief> = Vec::with_capacity(beliefs.len());
    for row in &mut rows {
        row.beliefs.sort_by(|a, b| beliefs[*b].share.total_cmp(&beliefs[*a].share));
        for at in &mut row.beliefs {
            ordered.push(beliefs[*at].clone());
            *at = ordered.len() - 1;
        }
    }
    let beliefs = ordered;
    let explained = rows.first().is_some_and(|row| row.explains);
    let as_set = explained && beliefs.first().is_some_and(|b| book.hypotheses[b.hypothesis].cause.is_none());
    Answer { beliefs, rows, explained, as_set }
}

fn believe(book: &Book, index: usize, of: &Hypothesis, told: &Told) -> Belief {
    let levels = finer(&of.levels);
    let common: Vec<f64> = levels.iter().map(|level| common_severity(level, levels.len())).collect();
    let chances: Vec<f64> = levels
        .iter()
        .zip(&common)
        .map(|(level, common)| common * chance_of_signs(book, level, told) * chance_of_readings(level, told))
        .collect();
    let sum: f64 = chances.iter().sum();
    let best = (0..chances.len()).max_by(|a, b| chances[*a].total_cmp(&chances[*b])).unwrap_or(0);
    let mean = |value: &dyn Fn(&Level) -> Option<f64>| {
        let mut total = 0.0;
        for (own, chance) in levels.iter().zip(&chances) {
            total += chance / sum * value(own)?;
        }
        (sum > 0.0).then_some(total)
    };
    let (against, also) = told_and_not(book, &levels[best], told);
    let read = |r: &ReadingTold| r.likelihood(expected(&levels[best], r)) >= READ;
    let explains = against.is_empty() && told.readings.iter().all(read);
    Belief {
        hypothesis: index,
        share: prior(book, of, told) * sum / common.iter().sum::<f64>()
            * chance_of_answers(of, &told.answers),
        level: best.div_ceil(2),
        severity: mean(&|own| Some(own.severity)).unwrap_or(1.0),
        amount: mean(&|own| own.amount),
        explains,
        against,
        also,
    }
}

/// How common it is, beside the middle of the range, that a fault is so bad when somebody calls: the mild is not called about yet, the worst was called about before.
fn common_severity(level: &Level, of: usize) -> f64 {
    if of == 1 { 1.0 } else { (1.0 - (2.0 * level.severity - 1.0).abs()).max(RARE) }
}

/// The levels that were run with one between each two of them, half of each.
fn finer(levels: &[Level]) -> Vec<Level> {
    let mut list = Vec::with_capacity(2 * levels.len());
    for (i, level) in levels.iter().enumerate() {
        if let Some(before) = i.checked_sub(1).map(|before| &levels[before]) {
            list.push(Level::between(before, level));
        }
        list.push(level.clone());
    }
    list
}

/// Signs told that a level does not explain, and what one would see besides, plainest first.
fn told_and_not(book: &Book, level: &Level, told: &Told) -> (Vec<Sign>, Vec<Sign>) {
    let mut against: Vec<Sign> =
        told.seen.iter().copied().filter(|sign| book.grade(level, *sign) < SHOWS).collect();
    against.extend(told.fine.iter().copied().filter(|sign| book.grade(level, *sign) > PLAIN));
    let is_told = |sign: &Sign| {
        told.seen
            .iter()
            .chain(&told.fine)
            .any(|own| own.row == sign.row && (own.side.is_none() || own.side == sign.side))
    };
    let mut also: Vec<(f64, Sign)> = book
        .signs
        .iter()
        .copied()
        .zip(level.grades.iter().copied())
        .filter(|(sign, grade)| {
            *grade >= ALSO && !is_told(sign) && !matches!(sign.row().test, super::Test::Comes(_))
        })
        .map(|(sign, grade)| (grade, sign))
        .collect();
    also.sort_by(|a, b| b.0.total_cmp(&a.0));
    (against, also.into_iter().map(|(_, sign)| sign).collect())
}

/// Pairs of causes that explain together what no single one does: found by their grades and then run together. At most so many, most believed first.
pub fn pairs(book: &Book, told: &Told, most: usize) -> Vec<Pair> {
    let answer = rank(book, told);
    // Each of a pair explains a good part of it.
    let useful: Vec<&Belief> = answer
        .beliefs
        .iter()
        .filter(|b| book.hypotheses[b.hypothesis].cause.is_some())
        .filter(|b| b.against.len() < told.seen.len() + told.fine.len())
        .take(40)
        .collect();
    let mut found: Vec<(f64, [(usize, usize); 2])> = Vec::new();
    for (i, a) in useful.iter().enumerate() {
        for b in &useful[i + 1..] {
            let (h, k) = (&book.hypotheses[a.hypothesis], &book.hypotheses[b.hypothesis]);
            if h.cause == k.cause {
                continue;
            }
            let both = together(&h.levels[a.level], &k.levels[b.level]);
            if told_and_not(book, &both, told).0.is_empty() {
                let chance = prior(book, h, told) * prior(book, k, told) * chance_of_signs(book, &both, told);
                found.push((chance, [(a.hypothesis, a.level), (b.hypothesis, b.level)]));
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(3 * most);
    // What two causes show apart they need not show together.
    let mut held: Vec<(f64, [(usize, usize); 2])> = found
        .into_par_iter()
        .filter_map(|(_, of)| {
            let wrong: Option<Vec<(usize, Place, f64)>> = of
                .iter()
                .map(|&(h, l)| {
                    let hypothesis = &book.hypotheses[h];
                    Some((hypothesis.cause?, hypothesis.place, hypothesis.levels[l].severity))
                })
                .collect();
            let level = book.level(&wrong?)?;
            let explains = told_and_not(book, &level, told).0.is_empty();
            let [h, k] = of.map(|(h, _)| prior(book, &book.hypotheses[h], told));
            let chance = h * k * chance_of_signs(book, &level, told) * chance_of_readings(&level, told);
            explains.then_some((chance, of))
        })
        .collect();
    held.sort_by(|a, b| b.0.total_cmp(&a.0));
    held.truncate(most);
    let all: f64 = held.iter().map(|(chance, _)| chance).sum();
    held.into_iter().map(|(chance, of)| Pair { of, share: chance / all }).collect()
}

/// Grades of two causes as if each showed what it shows alone.
fn together(a: &Level, b: &Level) -> Level {
    let grades = a.grades.iter().zip(&b.grades).map(|(x, y)| 1.0 - (1.0 - x) * (1.0 - y)).collect();
    Level { grades, ..a.clone() }
}
