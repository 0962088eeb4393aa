//! Causes that nothing that is seen of this machine tells apart.
//!
//! At the same place, each in the middle of its range, two causes are alike when some severity of the other shows nearly the same: the sum of the differences of
//! all grades over the sum of the greater of both stays under [`ALIKE`], either way, and no sign that is plain of the one is missing of the other. Between severities that were run grades are taken as straight. Circumstances are
//! not counted: they make a cause more or less likely and prove nothing. Who is alike to each of a row joins it.

use super::hypothesis::{Hypothesis, Level};
use super::sign::{Sign, Test};

/// Nearer than this two causes are alike.
const ALIKE: f64 = 0.30;
/// A sign that differs by this much tells them apart alone.
const TELLS: f64 = 0.7;
/// Steps between two severities that were run.
const STEPS: u32 = 8;

/// For each hypothesis the number of its row: that of its first member.
pub(super) fn rows(signs: &[Sign], list: &[Hypothesis]) -> Vec<usize> {
    let seen: Vec<bool> = signs.iter().map(|sign| !matches!(sign.row().test, Test::Comes(_))).collect();
    let mut near = vec![vec![f64::INFINITY; list.len()]; list.len()];
    for a in 0..list.len() {
        for b in a + 1..list.len() {
            if list[a].place == list[b].place && list[a].cause.is_some() && list[b].cause.is_some() {
                let apart = from(&list[a], &list[b], &seen).max(from(&list[b], &list[a], &seen));
                near[a][b] = apart;
                near[b][a] = apart;
            }
        }
    }
    let mut rows: Vec<Vec<usize>> = (0..list.len()).map(|h| vec![h]).collect();
    // The two rows that are nearest join, as long as each of the one is alike to each of the other.
    loop {
        let mut best: Option<(f64, usize, usize)> = None;
        for a in 0..rows.len() {
            for b in a + 1..rows.len() {
                let apart =
                    rows[a].iter().flat_map(|h| rows[b].iter().map(|k| near[*h][*k])).fold(0.0, f64::max);
                if apart < ALIKE && best.is_none_or(|(least, ..)| apart < least) {
                    best = Some((apart, a, b));
                }
            }
        }
        let Some((_, a, b)) = best else { break };
        let joined = rows.remove(b);
        rows[a].extend(joined);
    }
    let mut of = vec![0; list.len()];
    for row in rows {
        let first = row.iter().copied().min().unwrap_or(0);
        row.into_iter().for_each(|h| of[h] = first);
    }
    of
}

/// How far the middle of a cause is from all that another can show.
fn from(of: &Hypothesis, other: &Hypothesis, seen: &[bool]) -> f64 {
    let Some(middle) = of.levels.get(of.levels.len() / 2) else { return f64::INFINITY };
    let mut least = f64::INFINITY;
    for (i, level) in other.levels.iter().enumerate() {
        let next = other.levels.get(i + 1);
        for step in 0..if next.is_some() { STEPS } else { 1 } {
            let x = f64::from(step) / f64::from(STEPS);
            least = least.min(apart(middle, level, next.unwrap_or(level), x, seen));
        }
    }
    least
}

fn apart(a: &Level, low: &Level, high: &Level, x: f64, seen: &[bool]) -> f64 {
    let (mut between, mut all) = (0.0, 0.0);
    for (i, _) in seen.iter().enumerate().filter(|(_, seen)| **seen) {
        let b = low.grades[i] + x * (high.grades[i] - low.grades[i]);
        let difference = (a.grades[i] - b).abs();
        if difference > TELLS {
            return f64::INFINITY;
        }
        between += difference;
        all += a.grades[i].max(b);
    }
    // What shows nothing is like nothing.
    if all > 0.5 { between / all } else { f64::INFINITY }
}
