//! What is wrong with a brush: causes run one at a time, and what they come to so far.

use super::setup::{Bench, Changes, Refused, title};
use super::shown::Manner;
use super::words::word;
use crate::arm::Side;
use crate::error::{Diagnostic, Diagnostics, Refusal};
use crate::fault::check::Caution;
use crate::fault::{
    Belief, Book, BookError, CheckWorth, Hypothesis, Pair, Place, READINGS, SIGNS, Said, SignGroup, Steps,
    check_said, findings, next_checks, pairs, rank, reading_said,
};
use crate::report::capital;
use crate::report::sheet::{fault_said, filled, placed_said};
use crate::report::{
    FaultReport, MOST_CHECKS, MOST_PAIRS, after_said, also_seen, fault_document, finds_said, headline,
    how_bad, how_long, not_explained, one_of_these, percent, told_beliefs, told_rows, words_of,
};
use crate::scenario::Scenario;
use crate::units::{format, minus_signs};
use serde::Serialize;
use serde_json::{Value, json};

/// Causes of one set-up, as far as they were run.
#[derive(Debug, Default)]
pub(super) struct Faults {
    run: Option<(Changes, Steps)>,
    /// The book after so many runs.
    book: Option<(usize, Book)>,
}

/// What is told, as a page writes it: as on the command line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ticked<'a> {
    pub seen: &'a [String],
    pub fine: &'a [String],
    pub readings: &'a [String],
    pub checked: &'a [String],
}

/// How far the causes were run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Progress {
    done: usize,
    of: usize,
    causes: usize,
    causes_of: usize,
    whole: bool,
}

impl Faults {
    fn steps(&mut self, bench: &Bench, changes: &Changes) -> Result<&mut Steps, Refused> {
        let run = match self.run.take().filter(|(of, _)| of == changes) {
            Some(run) => run,
            None => {
                self.book = None;
                (changes.clone(), begun(&bench.scenario(changes)?)?)
            }
        };
        Ok(&mut self.run.insert(run).1)
    }

    /// Runs one more cause so bad.
    pub fn one_more(&mut self, bench: &Bench, changes: &Changes) -> Result<Progress, Refused> {
        let steps = self.steps(bench, changes)?;
        steps.one_more();
        Ok(progress(steps))
    }

    /// The book as far as it was run.
    fn book(&mut self, bench: &Bench, changes: &Changes) -> Result<(Progress, &Book), Refused> {
        let progress = progress(self.steps(bench, changes)?);
        let book = match self.book.take().filter(|(done, _)| *done == progress.done) {
            Some(book) => book,
            None => (progress.done, self.steps(bench, changes)?.book()),
        };
        Ok((progress, &self.book.insert(book).1))
    }

    /// What the causes run so far come to.
    pub fn answer(
        &mut self,
        bench: &Bench,
        changes: &Changes,
        ticked: Ticked<'_>,
        manner: Manner,
    ) -> Result<FaultSaid, Refused> {
        self.reported(bench, changes, ticked, |report, progress| said(report, progress, manner))
    }

    /// The same as the command writes it for programs.
    pub fn document(
        &mut self,
        bench: &Bench,
        changes: &Changes,
        ticked: Ticked<'_>,
    ) -> Result<Value, Refused> {
        let set: Vec<Value> =
            changes.iter().map(|(path, value)| json!({ "path": path, "value": value })).collect();
        let asked = json!({ "file": bench.base.file_name(), "set": set });
        self.reported(bench, changes, ticked, |report, _| fault_document(report, asked))
    }

    fn reported<T>(
        &mut self,
        bench: &Bench,
        changes: &Changes,
        ticked: Ticked<'_>,
        of: impl FnOnce(&FaultReport<'_>, Progress) -> T,
    ) -> Result<T, Refused> {
        let (progress, book) = self.book(bench, changes)?;
        let scenario = book.scenario();
        let Ticked { seen, fine, readings, checked } = ticked;
        let said = Said { seen, fine, readings, weights: &[] };
        let mut told = said
            .told(book.sides())
            .map_err(|(option, refusal)| told_of(scenario, option.trim_start_matches('-'), refusal))?;
        for text in checked {
            told.answers
                .push(check_said(book, text).map_err(|refusal| told_of(scenario, "checked", refusal))?);
        }
        let answer = rank(book, &told);
        let nothing = told.is_nothing();
        let pairs = if answer.explained || nothing || !progress.whole {
            Vec::new()
        } else {
            pairs(book, &told, MOST_PAIRS)
        };
        let checks = if nothing { Vec::new() } else { next_checks(book, &told, &answer) };
        let title = title(scenario);
        let report =
            FaultReport { title, book, told: &told, answer: &answer, pairs: &pairs, checks: &checks };
        Ok(of(&report, progress))
    }
}

/// The causes of a scenario, none run yet.
fn begun(scenario: &Scenario) -> Result<Steps, Refused> {
    Ok(Steps::new(scenario).map_err(|error| match error {
        BookError::Weights(weights) => weights.to_string(),
        BookError::Healthy(_) => {
            let advice = "turn the last setting back".to_owned();
            told_of(scenario, "", Refusal { problem: error.to_string(), advice, ..Refusal::default() })
        }
    })?)
}

fn progress(steps: &Steps) -> Progress {
    let ((done, of), (causes, causes_of)) = (steps.runs(), steps.causes());
    Progress { done, of, causes, causes_of, whole: steps.is_whole() }
}

/// A refusal as everywhere, of something told.
fn told_of(scenario: &Scenario, field: &str, refusal: Refusal) -> String {
    let mut diagnostic = Diagnostic::of_file(scenario.file_name(), refusal);
    field.clone_into(&mut diagnostic.field);
    Diagnostics::from(diagnostic).to_string()
}

/// All that can be told of a machine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct FaultList {
    groups: Vec<Group>,
    readings: Vec<Readable>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Group {
    title: String,
    signs: Vec<Tickable>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Tickable {
    words: String,
    /// What is ticked: key with its side, and the side as it is said; nothing where it is of no side.
    at: Vec<(String, String)>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Readable {
    words: String,
    /// As it is written.
    example: &'static str,
    at: Vec<(String, String)>,
}

/// All that can be seen and read of a machine.
pub(super) fn list(bench: &Bench, manner: Manner) -> FaultList {
    let language = manner.language;
    let sides: Vec<Side> = bench.base.unit_models().iter().map(|unit| unit.side).collect();
    let at = |key: &str, sided: bool| -> Vec<(String, String)> {
        if !sided {
            return vec![(key.to_owned(), String::new())];
        }
        let of =
            |side: &Side| (format!("{key}:{}", side.name()), capital(language.words().term(side.name())));
        sides.iter().map(of).collect()
    };
    let groups = SignGroup::ALL.map(|group| Group {
        title: fault_said(group.words(), language),
        signs: SIGNS
            .iter()
            .filter(|row| SignGroup::of(row) == group)
            .map(|row| Tickable {
                words: capital(&fault_said(row.words, language)),
                at: at(row.key, row.sided),
            })
            .collect(),
    });
    let readings = READINGS.iter().map(|row| Readable {
        words: capital(&fault_said(row.how, language)),
        example: row.info.example,
        at: at(row.key, row.sided),
    });
    FaultList { groups: groups.into(), readings: readings.collect() }
}

/// A reading as it is to be read, or why it is none.
pub(super) fn reading(bench: &Bench, text: &str, manner: Manner) -> Result<String, Refused> {
    let sides: Vec<Side> = bench.base.unit_models().iter().map(|unit| unit.side).collect();
    let told = reading_said(text, &sides).map_err(|refusal| told_of(&bench.base, "reading", refusal))?;
    Ok(format(READINGS[told.kind].info, told.si, manner.units))
}

/// What the causes come to, in words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct FaultSaid {
    progress: Progress,
    /// Whether anything is told.
    nothing: bool,
    explained: bool,
    headline: String,
    rows: Vec<RowSaid>,
    rest: String,
    pairs: Vec<String>,
    checks: Vec<CheckSaid>,
    cautions: Vec<String>,
    /// Checks that were made: as written, and as they are said.
    checked: Vec<(String, String)>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct RowSaid {
    /// What is said of several that look alike; nothing for one alone.
    lead: String,
    explains: bool,
    causes: Vec<CauseSaid>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct CauseSaid {
    name: String,
    share: String,
    /// What it does not explain, how bad it would be, what one would also see, what the brush does after: each a sentence.
    said: Vec<String>,
    behind: Vec<BehindSaid>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct BehindSaid {
    what: String,
    check: String,
    finding: String,
    repair: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct CheckSaid {
    how: String,
    /// With what, how long, and how often it finds something.
    takes: String,
    caution: String,
    /// What it may show: as written, and as it is said.
    shows: Vec<(String, String)>,
}

fn said(report: &FaultReport<'_>, progress: Progress, manner: Manner) -> FaultSaid {
    let (language, book) = (manner.language, report.book);
    let told = report.told;
    let nothing = told.is_nothing();
    let rows: Vec<_> = if nothing { Vec::new() } else { told_rows(report).collect() };
    let left = 1.0 - rows.iter().map(|row| row.share).sum::<f64>();
    let checks: Vec<&CheckWorth> = report.checks.iter().take(MOST_CHECKS).collect();
    let mut cautions: Vec<Caution> = checks.iter().map(|worth| worth.check.row().caution).collect();
    cautions.sort_unstable();
    cautions.dedup();
    FaultSaid {
        progress,
        nothing,
        explained: report.answer.explained && !nothing,
        headline: if nothing {
            word("fault_nothing", language).to_owned()
        } else {
            headline_said(report, manner)
        },
        rows: rows
            .iter()
            .map(|row| {
                let members: Vec<&Belief> = told_beliefs(report.answer, row).collect();
                let lead = match members.as_slice() {
                    [_] => String::new(),
                    _ => one_of_these(row.share, language),
                };
                let causes = members.iter().map(|belief| cause(report, belief, manner)).collect();
                RowSaid { lead, explains: row.explains, causes }
            })
            .collect(),
        rest: if !nothing && left > 0.005 {
            filled(word("all_others", language), &[&percent(left)])
        } else {
            String::new()
        },
        pairs: report.pairs.iter().map(|pair| pair_said(book, pair, manner)).collect(),
        checks: checks.iter().map(|worth| check(book, worth, manner)).collect(),
        cautions: cautions.into_iter().map(|caution| fault_said(caution.text(), language)).collect(),
        checked: told
            .answers
            .iter()
            .map(|made| {
                let found = match made.found {
                    Some((finding, place)) => {
                        placed_said(place.name(), &fault_said(finding, language), language)
                    }
                    None => word("check_ok", language).to_owned(),
                };
                let row = made.check.row();
                (row.key.to_owned(), format!("{}: {found}", capital(&fault_said(row.how, language))))
            })
            .collect(),
    }
}

fn name_of(of: &Hypothesis, manner: Manner) -> String {
    let words = fault_said(words_of(of), manner.language);
    placed_said(of.place.name(), &words, manner.language)
}

fn headline_said(report: &FaultReport<'_>, manner: Manner) -> String {
    let said = headline(report);
    let names: Vec<String> = said.names.iter().map(|of| name_of(of, manner)).collect();
    filled(&fault_said(said.form, manner.language), &[&names.join("; "), &percent(said.share)])
}

fn pair_said(book: &Book, pair: &Pair, manner: Manner) -> String {
    let [a, b] = pair.of.map(|(hypothesis, _)| name_of(&book.hypotheses[hypothesis], manner));
    filled(word("and_pair", manner.language), &[&capital(&a), &b])
}

fn check(book: &Book, worth: &CheckWorth, manner: Manner) -> CheckSaid {
    let (row, language) = (worth.check.row(), manner.language);
    let mut shows = vec![(format!("{}=ok", row.key), word("check_ok", language).to_owned())];
    shows.extend(findings(book, worth.check).into_iter().map(|(finding, place)| {
        let at = if place == Place::Line { "found" } else { place.name() };
        (
            format!("{}={at},{finding}", row.key),
            placed_said(place.name(), &fault_said(finding, language), language),
        )
    }));
    CheckSaid {
        how: capital(&fault_said(row.how, language)),
        takes: [fault_said(row.tool, language), how_long(row, language), finds_said(worth.finds, language)]
            .join(", "),
        caution: fault_said(row.caution.text(), language),
        shows,
    }
}

fn cause(report: &FaultReport<'_>, belief: &Belief, manner: Manner) -> CauseSaid {
    let (book, language) = (report.book, manner.language);
    let hypothesis = &book.hypotheses[belief.hypothesis];
    let units = manner.units;
    let said = [
        not_explained(belief, language),
        how_bad(book, belief, units, language),
        also_seen(belief, language),
        after_said(book, belief, units, language),
    ];
    let behind = hypothesis.row().map_or(&[][..], |row| row.behind).iter().map(|behind| {
        let check = behind.check.row();
        let own = |text| capital(&fault_said(text, language));
        BehindSaid {
            what: own(behind.what),
            check: format!(
                "{} ({}, {})",
                own(check.how),
                fault_said(check.tool, language),
                how_long(check, language)
            ),
            finding: own(behind.finding),
            repair: own(behind.repair),
        }
    });
    CauseSaid {
        name: capital(&name_of(hypothesis, manner)),
        share: percent(belief.share),
        said: said.iter().flatten().map(|text| minus_signs(text)).collect(),
        behind: behind.collect(),
    }
}
