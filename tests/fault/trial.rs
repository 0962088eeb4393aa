//! Every cause at half of its range, told through its own signs: who is named first, among the first three, and after the advised checks.
//!
//! `FAULT_CASES` asks for so many tellings of each cause, `FAULT_MACHINES` for so many machines, `FAULT_SEED` for another first seed; what the whole trial gave
//! stands in `tests/fault/README.md`.

use super::machines::{MACHINES, book};
use brusharm::fault::{
    Answer, Book, Place, Row, Sign, Test, Told, answer_of, next_checks, rank, share_behind, with_answer,
};
use rand::seq::SliceRandom;
use rand::{Rng, RngExt, SeedableRng, rngs::ChaCha8Rng};
use rayon::prelude::*;
use std::collections::BTreeMap;

fn asked(variable: &str, usual: u64) -> u64 {
    std::env::var(variable).map_or(usual, |n| n.parse().expect("a number"))
}

/// A known fault: which, where, and what it shows at half of its range: signs that are told together, both sides of one as one.
struct Known {
    hypothesis: usize,
    own: Vec<Vec<Sign>>,
}

/// From here on a sign is one of its own.
const OWN: f64 = 0.5;

fn known(book: &Book) -> Vec<Known> {
    let list: Vec<usize> = (1..book.hypotheses.len()).collect();
    list.into_par_iter()
        .filter_map(|hypothesis| {
            let of = &book.hypotheses[hypothesis];
            let (cause, row) = (of.cause?, of.row()?);
            let half = if row.whole { 1.0 } else { 0.5 };
            let level = book.level(&[(cause, of.place, half)])?;
            let mut own: Vec<Vec<Sign>> = Vec::new();
            for (at, sign) in book.signs.iter().enumerate() {
                // What the machine shows as it should be is no sign of a fault.
                if level.grades[at] < OWN || book.healthy.grades[at] >= OWN {
                    continue;
                }
                match own.iter_mut().find(|told| told[0].row == sign.row) {
                    Some(told) => told.push(*sign),
                    None => own.push(vec![*sign]),
                }
            }
            Some(Known { hypothesis, own })
        })
        .collect()
}

/// Two to four of its signs. What is told first is something that is seen, and of which brush where it is of one.
fn told(known: &Known, rng: &mut impl Rng) -> Told {
    let mut own = known.own.clone();
    own.shuffle(rng);
    lead(&mut own);
    own.truncate(rng.random_range(2..=4));
    Told { seen: own.concat(), ..Told::default() }
}

fn lead(own: &mut [Vec<Sign>]) {
    let seen = |told: &Vec<Sign>| !matches!(told[0].row().test, Test::Comes(_));
    let first = own
        .iter()
        .position(|told| told[0].side.is_some() && seen(told))
        .or_else(|| own.iter().position(seen));
    if let Some(first) = first {
        own.swap(0, first);
    }
}

/// One of four signs the other way round: told with all of the own signs that four take, one of them flipped.
fn one_flipped(known: &Known, rng: &mut impl Rng) -> Told {
    let mut own = known.own.clone();
    own.shuffle(rng);
    lead(&mut own);
    own.truncate(4);
    let fine = own.swap_remove(rng.random_range(0..own.len()));
    Told { seen: own.concat(), fine, ..Told::default() }
}

/// Each sign the other way round by a chance of one in four.
fn flipped(told: &Told, rng: &mut impl Rng) -> Told {
    let mut new = Told::default();
    let mut last: Option<(usize, bool)> = None;
    for sign in &told.seen {
        // Both sides of a sign are told as one.
        let wrong = last
            .filter(|(row, _)| *row == sign.row)
            .map_or_else(|| rng.random_bool(0.25), |(_, wrong)| wrong);
        last = Some((sign.row, wrong));
        if wrong { new.fine.push(*sign) } else { new.seen.push(*sign) }
    }
    new
}

/// The row of the answer that holds a cause.
fn row_of(answer: &Answer, hypothesis: usize) -> usize {
    let holds = |row: &Row| row.beliefs.iter().any(|at| answer.beliefs[*at].hypothesis == hypothesis);
    answer.rows.iter().position(holds).expect("every cause is in a row")
}

/// What is first after the advised checks, answered truly: at most six, or until one cause has nine tenths of belief.
fn after_checks(book: &Book, told: &Told, hypothesis: usize, behind: usize) -> (bool, usize) {
    let mut told = told.clone();
    for made in 0..=6 {
        let answer = rank(book, &told);
        let first = &answer.beliefs[0];
        let next = next_checks(book, &told, &answer);
        if first.share > 0.9 || made == 6 || next.is_empty() {
            return (first.hypothesis == hypothesis, made);
        }
        let answered = answer_of(&book.hypotheses[hypothesis], behind, next[0].check);
        told = with_answer(&told, answered);
    }
    unreachable!("the loop returns")
}

#[derive(Debug, Default, Clone, Copy)]
struct Score {
    cases: u64,
    first: u64,
    three: u64,
    checked: u64,
    checks: u64,
    flipped: u64,
    one_flipped: u64,
    alone: u64,
    alone_three: u64,
}

impl Score {
    fn add(&mut self, other: &Score) {
        self.cases += other.cases;
        self.first += other.first;
        self.three += other.three;
        self.checked += other.checked;
        self.checks += other.checks;
        self.flipped += other.flipped;
        self.one_flipped += other.one_flipped;
        self.alone += other.alone;
        self.alone_three += other.alone_three;
    }

    fn said(&self) -> String {
        let share = |n: u64| 100.0 * n as f64 / self.cases.max(1) as f64;
        format!(
            "{} cases: first {:.1} %, in three {:.1}, after checks {:.1} ({:.1} checks), flipped {:.1}, one of four {:.1}; each alone first {:.1}, in three {:.1}",
            self.cases,
            share(self.first),
            share(self.three),
            share(self.checked),
            self.checks as f64 / self.cases.max(1) as f64,
            share(self.flipped),
            share(self.one_flipped),
            share(self.alone),
            share(self.alone_three)
        )
    }
}

fn name(book: &Book, hypothesis: usize) -> String {
    let of = &book.hypotheses[hypothesis];
    let key = of.row().map_or("as-set", |row| row.key);
    if of.place == Place::Line { key.to_owned() } else { format!("{key}:{}", of.place.name()) }
}

/// A cause over all its places and machines: how it came out, and whom it was taken for.
type Table = BTreeMap<&'static str, (Score, BTreeMap<&'static str, u64>)>;

/// Tells a known fault so many times.
fn tell(book: &Book, of: &Known, seed: u64, cases: u64) -> (Score, BTreeMap<&'static str, u64>) {
    let hypothesis = &book.hypotheses[of.hypothesis];
    let row = hypothesis.row().expect("a cause");
    let (mut own, mut taken) = (Score::default(), BTreeMap::new());
    for case in 0..cases {
        let mut rng = ChaCha8Rng::seed_from_u64((seed + case) * 1000 + of.hypothesis as u64);
        let told = told(of, &mut rng);
        let answer = rank(book, &told);
        let first = &book.hypotheses[answer.beliefs[0].hypothesis];
        let at = row_of(&answer, of.hypothesis);
        let mut alone: Vec<_> = answer.beliefs.iter().collect();
        alone.sort_by(|a, b| b.share.total_cmp(&a.share));
        let alone = alone.iter().position(|b| b.hypothesis == of.hypothesis).expect("listed");
        let (mut behind, mut left) = (0, rng.random_range(0.0..1.0));
        while behind + 1 < row.behind.len() && left > share_behind(row.behind.len(), behind) {
            left -= share_behind(row.behind.len(), behind);
            behind += 1;
        }
        let (checked, checks) = after_checks(book, &told, of.hypothesis, behind);
        let flipped = row_of(&rank(book, &flipped(&told, &mut rng)), of.hypothesis);
        let one_flipped = row_of(&rank(book, &one_flipped(of, &mut rng)), of.hypothesis);
        own.cases += 1;
        own.first += u64::from(at == 0);
        own.three += u64::from(at < 3);
        own.alone += u64::from(alone == 0);
        own.alone_three += u64::from(alone < 3);
        own.checked += u64::from(checked);
        own.checks += checks as u64;
        own.flipped += u64::from(flipped < 3);
        own.one_flipped += u64::from(one_flipped < 3);
        if at > 0 {
            *taken.entry(first.row().map_or("as-set", |row| row.key)).or_default() += 1;
        }
    }
    (own, taken)
}

/// Trial of one machine.
fn trial(machine: usize, seed: u64, cases: u64, table: &mut Table) -> Score {
    let book = book(machine);
    let known = known(book);
    // Nobody calls for what shows nothing: one sign at least that is no circumstance, and two in all.
    let shows = |of: &&Known| {
        of.own.len() > 1 && of.own.iter().any(|told| !matches!(told[0].row().test, Test::Comes(_)))
    };
    let (seen, silent): (Vec<&Known>, Vec<&Known>) = known.iter().partition(shows);
    let told: Vec<_> = seen.par_iter().map(|of| (of.hypothesis, tell(book, of, seed, cases))).collect();
    let mut score = Score::default();
    for (hypothesis, (own, taken)) in told {
        score.add(&own);
        let key = book.hypotheses[hypothesis].row().expect("a cause").key;
        let line = table.entry(key).or_default();
        line.0.add(&own);
        taken.into_iter().for_each(|(named, count)| *line.1.entry(named).or_default() += count);
    }
    let names = |list: Vec<usize>| list.into_iter().map(|h| name(book, h)).collect::<Vec<_>>().join(", ");
    eprintln!("{}: {}", MACHINES[machine], score.said());
    eprintln!("  nothing to be seen of: {}", names(silent.iter().map(|of| of.hypothesis).collect()));
    let mut rows: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    book.rows.iter().enumerate().for_each(|(hypothesis, row)| rows.entry(*row).or_default().push(hypothesis));
    for row in rows.into_values().filter(|row| row.len() > 1) {
        eprintln!("  alike: {}", names(row));
    }
    score
}

/// The targets, a little lower for the few cases of a test: every cause at half of its range, two to four of its own signs.
#[test]
fn verif_known_faults_are_named() {
    let (seed, cases) = (asked("FAULT_SEED", 1), asked("FAULT_CASES", 1));
    let (mut all, mut table) = (Score::default(), Table::new());
    for machine in 0..asked("FAULT_MACHINES", 1) as usize {
        all.add(&trial(machine, seed, cases, &mut table));
    }
    eprintln!("all: {}", all.said());
    eprintln!("| cause | cases | first | in three | after checks | taken for |\n|---|---|---|---|---|---|");
    for (key, (own, taken)) in &table {
        let share = |n: u64| format!("{:.0}", 100.0 * n as f64 / own.cases as f64);
        let mut list: Vec<_> = taken.iter().collect();
        list.sort_by(|a, b| b.1.cmp(a.1));
        let list: Vec<String> =
            list.iter().take(4).map(|(named, count)| format!("{named} {count}")).collect();
        let [first, three, checked] = [own.first, own.three, own.checked].map(share);
        eprintln!("| {key} | {} | {first} | {three} | {checked} | {} |", own.cases, list.join(", "));
    }
    let share = |n: u64| n as f64 / all.cases as f64;
    assert!(all.cases >= 60, "{}", all.said());
    assert!(share(all.first) > 0.65 && share(all.three) > 0.9, "{}", all.said());
    assert!(share(all.checked) > 0.95 && share(all.one_flipped) > 0.8, "{}", all.said());
}
