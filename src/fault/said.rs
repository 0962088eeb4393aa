//! What somebody tells, as written: `tail-missed:left`, `gauge:left=5 psi`, `level=left`.

use super::answered::answer_of;
use super::book::Book;
use super::cause::Cause;
use super::check::{CHECKS, CheckName};
use super::place::Place;
use super::reading::{READINGS, ReadingTold, reading_named};
use super::sign::{SIGNS, Sign, sign_named};
use super::told::{Answered, Told};
use super::weights::{MOST, no_cause, no_weight};
use crate::arm::Side;
use crate::error::{Refusal, nearest};

/// What is told, as written.
#[derive(Debug, Clone, Copy)]
pub struct Said<'a> {
    /// Signs seen.
    pub seen: &'a [String],
    /// Signs that are as they should be.
    pub fine: &'a [String],
    /// Readings.
    pub readings: &'a [String],
    /// How common causes are.
    pub weights: &'a [String],
}

/// Something told that cannot be read: of which kind it is, as an option is called, and why.
pub type Unsaid = (&'static str, Refusal);

impl Said<'_> {
    /// What is told of a machine with these sides; what checks found comes later ([`check_said`]).
    ///
    /// # Errors
    /// [`Unsaid`] of the first that cannot be read.
    pub fn told(&self, sides: &[Side]) -> Result<Told, Unsaid> {
        let mut told = Told::default();
        for (option, list, into) in
            [("--seen", self.seen, &mut told.seen), ("--fine", self.fine, &mut told.fine)]
        {
            for text in list {
                for sign in signs_said(text, sides).map_err(|told| (option, told))? {
                    if !into.contains(&sign) {
                        into.push(sign);
                    }
                }
            }
        }
        if let Some(sign) = told.seen.iter().find(|sign| told.fine.contains(sign)) {
            let told = refusal("this is said to be seen and to be fine", &sign.key(), "", "say one of both");
            return Err(("--fine", told));
        }
        for text in self.readings {
            told.readings.push(reading_said(text, sides).map_err(|told| ("--reading", told))?);
        }
        for text in self.weights {
            told.weights.push(weight_said(text).map_err(|told| ("--weight", told))?);
        }
        Ok(told)
    }
}

fn refusal(problem: &str, given: &str, allowed: &str, advice: &str) -> Refusal {
    Refusal {
        problem: problem.to_owned(),
        given: given.to_owned(),
        allowed: allowed.to_owned(),
        advice: advice.to_owned(),
    }
}

fn unknown<'a>(what: &str, given: &str, known: impl Iterator<Item = &'a str> + Clone) -> Refusal {
    let advice = match nearest(given, known.clone()) {
        Some(likely) => format!("write {likely} if that is what you mean; «brusharm fault --list» shows all"),
        None => "«brusharm fault --list» shows all".to_owned(),
    };
    refusal(
        &format!("there is no {what} of this name"),
        given,
        &known.collect::<Vec<_>>().join(", "),
        &advice,
    )
}

/// A side as written behind a colon, on this machine.
fn side_said(text: &str, sides: &[Side]) -> Result<Side, Refusal> {
    let names: Vec<&str> = sides.iter().map(|side| side.name()).collect();
    let found = sides.iter().find(|side| side.name() == text);
    found.copied().ok_or_else(|| {
        refusal("the machine has no such side", text, &names.join(", "), "name a side that has a unit")
    })
}

fn signs_said(text: &str, sides: &[Side]) -> Result<Vec<Sign>, Refusal> {
    let (key, side) =
        text.split_once(':').map_or((text, None), |(key, side)| (key.trim(), Some(side.trim())));
    let key = key.trim();
    let Some(row) = sign_named(key) else {
        return Err(unknown("sign", key, SIGNS.iter().map(|row| row.key)));
    };
    match side {
        None => Ok(vec![Sign { row, side: None }]),
        Some(_) if !SIGNS[row].sided => {
            Err(refusal("this sign is of no side", text, key, "leave the side out"))
        }
        Some("both") => Ok(sides.iter().map(|&side| Sign { row, side: Some(side) }).collect()),
        Some(side) => Ok(vec![Sign { row, side: Some(side_said(side, sides)?) }]),
    }
}

fn pair<'a>(text: &'a str, form: &str, example: &str) -> Result<(&'a str, &'a str), Refusal> {
    text.split_once('=').map(|(name, value)| (name.trim(), value.trim())).ok_or_else(|| {
        refusal("a name and a value are needed", text, form, &format!("write for example {example}"))
    })
}

/// A reading, such as `gauge:left=5 psi`, of a machine with these sides.
///
/// # Errors
/// [`Refusal`] of what is no reading of it.
pub fn reading_said(text: &str, sides: &[Side]) -> Result<ReadingTold, Refusal> {
    let (name, value) = pair(text, "NAME=VALUE", "gauge:left=\"5 psi\"")?;
    let (key, side) = name.split_once(':').map_or((name, None), |(key, side)| (key, Some(side)));
    let Some(kind) = reading_named(key) else {
        return Err(unknown("reading", key, READINGS.iter().map(|row| row.key)));
    };
    let row = &READINGS[kind];
    let side = match (row.sided, side) {
        (true, Some(side)) => Some(side_said(side, sides)?),
        (true, None) => {
            return Err(refusal(
                "this reading is of a side",
                name,
                &format!("{key}:left, {key}:right"),
                "say of which",
            ));
        }
        (false, None) => None,
        (false, Some(_)) => {
            return Err(refusal("this reading is of no side", name, key, "leave the side out"));
        }
    };
    let si = crate::units::read(row.info, value).map_err(|error| error.refusal())?.si;
    Ok(ReadingTold { kind, side, si })
}

fn weight_said(text: &str) -> Result<(usize, f64), Refusal> {
    let (key, value) = pair(text, "CAUSE=NUMBER", "tight=8")?;
    let Some(cause) = Cause::named(key) else {
        return Err(no_cause(key));
    };
    match value.parse::<f64>() {
        Ok(weight) if (0.0..=MOST).contains(&weight) => Ok((cause, weight)),
        _ => Err(no_weight(value)),
    }
}

/// What a check found, such as `gauge=ok` or `level=left`.
///
/// # Errors
/// [`Refusal`] of what no check finds on this machine.
pub fn check_said(book: &Book, text: &str) -> Result<Answered, Refusal> {
    let (key, value) = pair(text, "NAME=ok, left, right, both or found", "gauge=ok")?;
    let Some(check) = CheckName::named(key) else {
        return Err(unknown("check", key, CHECKS.iter().map(|row| row.key)));
    };
    // Where a check can find more than one thing, the words of the finding tell which: level=left,top toward the wall.
    let (place, words) =
        value.split_once(',').map_or((value, ""), |(place, words)| (place.trim(), words.trim()));
    let place = match place {
        "ok" => return Ok(Answered { check, found: None }),
        "left" => Place::On(Side::Left),
        "right" => Place::On(Side::Right),
        "both" => Place::Both,
        "found" => Place::Line,
        other => {
            let told = "say what it showed";
            return Err(refusal("this is no answer of a check", other, "ok, left, right, both, found", told));
        }
    };
    let can: Vec<(&'static str, Place)> = findings(book, check)
        .into_iter()
        .filter(|(finding, at)| *at == place && finding.contains(words))
        .collect();
    match can.as_slice() {
        [found] => Ok(Answered { check, found: Some(*found) }),
        [] => {
            let all: Vec<String> = findings(book, check)
                .iter()
                .map(|(finding, at)| format!("{},{finding}", at.name()))
                .collect();
            Err(refusal(
                "this check finds no such thing on this machine",
                value,
                &all.join("; "),
                "use one of these, or ok",
            ))
        }
        several => {
            let all: Vec<String> =
                several.iter().map(|(finding, at)| format!("{},{finding}", at.name())).collect();
            Err(refusal(
                "this check can find more than one thing there",
                value,
                &all.join("; "),
                "add the finding after a comma",
            ))
        }
    }
}

/// Every finding of a check on the causes of a book, and where.
pub fn findings(book: &Book, check: CheckName) -> Vec<(&'static str, Place)> {
    let mut list = Vec::new();
    for hypothesis in &book.hypotheses {
        for behind in 0..hypothesis.row().map_or(0, |row| row.behind.len()) {
            let found = answer_of(hypothesis, behind, check).found;
            list.extend(found.filter(|found| !list.contains(found)));
        }
    }
    list
}
