//! `brusharm fault`: what is wrong with this brush.

use super::Run;
use super::calibrate::CalibrateFormat;
use super::common::{Common, OutputArguments};
use super::output::ink;
use super::pass::to_json;
use super::problem::{Problem, refusal};
use super::study_common::{asked, threads_problem};
use super::sweep::progress;
use crate::arm::Side;
use crate::error::{Refusal, nearest};
use crate::fault::cause::Cause;
use crate::fault::check::{CHECKS, CheckName};
use crate::fault::{
    Answered, Book, BookError, MOST_WEIGHT, Place, READINGS, ReadingTold, SIGNS, Sign, Told, next_checks,
    no_cause, no_weight, pairs, rank, reading_named, sign_named,
};
use crate::report::{
    FaultReport, fault_document, fault_list_document, fault_list_text, fault_text, findings,
};
use crate::study::stream::{Workers, with_threads};
use clap::Args;

/// Find what is wrong with a brush from what is seen and read
///
/// Every cause in the table is run over how bad it may be, on this machine, past a few vehicles at a few speeds, and compared with what is seen. The
/// answer ranks the causes: what explains all of it first, then by how well and how common; how bad it would have to be, what else one would then see,
/// the check that confirms it, what to do and what the brush does after; and the next check, which settles most for each minute. «brusharm fault --list»
/// shows what can be said. FILE is the machine as it should be.
#[derive(Debug, Args)]
pub(crate) struct FaultArguments {
    #[command(flatten)]
    common: Option<Common>,

    /// What is seen, such as tail-missed:left, bounces:both or gradual; may be given several times
    #[arg(long, value_name = "NAME")]
    seen: Vec<String>,

    /// What is as it should be, such as tail-missed:right; may be given several times
    #[arg(long, value_name = "NAME")]
    fine: Vec<String>,

    /// What was read, such as gauge:left="5 psi"; may be given several times
    #[arg(long, value_name = "NAME=VALUE")]
    reading: Vec<String>,

    /// What a check showed, such as gauge=ok or level=left; may be given several times
    #[arg(long, value_name = "NAME=ok|left|right|both|found")]
    checked: Vec<String>,

    /// How common a cause is on this site, in place of the table and of fault.weights in FILE; 0 leaves it out. May be given several times
    #[arg(long, value_name = "CAUSE=NUMBER")]
    weight: Vec<String>,

    /// Show what can be seen, read and checked, and every cause
    #[arg(long)]
    list: bool,

    /// Form of the answer
    #[arg(long, value_enum, default_value_t = CalibrateFormat::Text)]
    format: CalibrateFormat,

    /// Threads; 0 = one for each core
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    threads: usize,

    #[command(flatten)]
    output: OutputArguments,
}

/// Pairs that are told.
const MOST_PAIRS: usize = 3;

impl Run for FaultArguments {
    fn run(&self) -> Result<u8, Problem> {
        if self.list {
            let text = match self.format {
                CalibrateFormat::Text => fault_list_text(ink()),
                CalibrateFormat::Json => to_json(&fault_list_document())?,
            };
            self.output.result_beside(&[])?.deliver(&text)?;
            return Ok(super::exit::DONE);
        }
        let Some(common) = &self.common else {
            let advice = "name the scenario of the machine as it should be, or ask for --list";
            return Err(Problem::option("FILE", refusal("no scenario is named", "", "", advice)));
        };
        let loaded = common.load()?;
        let destination = self.output.result(&loaded)?;
        let sides: Vec<Side> = loaded.scenario.unit_models().iter().map(|u| u.side).collect();
        let mut told = self.told(&sides)?;
        let bar = progress(0, 0);
        let work = || {
            Book::new(&loaded.scenario, &|done, total| {
                bar.set_length(total);
                bar.set_position(done);
            })
        };
        let book = with_threads(Workers::new(self.threads), work)
            .map_err(|error| threads_problem(self.threads, &error.to_string()))?;
        bar.finish_and_clear();
        let book = book.map_err(|error| match error {
            BookError::Healthy(error) => Problem::pass(&loaded.name, &error),
            BookError::Weights(diagnostics) => diagnostics.into(),
        })?;
        for text in &self.checked {
            told.answers.push(checked(&book, text).map_err(|told| Problem::option("--checked", told))?);
        }
        let answer = rank(&book, &told);
        let pairs =
            if answer.explained || told.is_nothing() { Vec::new() } else { pairs(&book, &told, MOST_PAIRS) };
        let checks = if told.is_nothing() { Vec::new() } else { next_checks(&book, &told, &answer) };
        let report = FaultReport {
            title: loaded.title(),
            book: &book,
            told: &told,
            answer: &answer,
            pairs: &pairs,
            checks: &checks,
        };
        let text = match self.format {
            CalibrateFormat::Text => fault_text(&report, common.unit_system(), destination.ink()),
            CalibrateFormat::Json => to_json(&fault_document(&report, asked(common, &loaded)))?,
        };
        destination.deliver(&text)?;
        Ok(super::exit::DONE)
    }
}

impl FaultArguments {
    fn told(&self, sides: &[Side]) -> Result<Told, Problem> {
        let mut told = Told::default();
        for (option, list, into) in
            [("--seen", &self.seen, &mut told.seen), ("--fine", &self.fine, &mut told.fine)]
        {
            for text in list {
                for sign in signs_said(text, sides).map_err(|told| Problem::option(option, told))? {
                    if !into.contains(&sign) {
                        into.push(sign);
                    }
                }
            }
        }
        if let Some(sign) = told.seen.iter().find(|sign| told.fine.contains(sign)) {
            let told = refusal("this is said to be seen and to be fine", &sign.key(), "", "say one of both");
            return Err(Problem::option("--fine", told));
        }
        for text in &self.reading {
            told.readings.push(read(text, sides).map_err(|told| Problem::option("--reading", told))?);
        }
        for text in &self.weight {
            told.weights.push(weight(text).map_err(|told| Problem::option("--weight", told))?);
        }
        Ok(told)
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

fn read(text: &str, sides: &[Side]) -> Result<ReadingTold, Refusal> {
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

fn weight(text: &str) -> Result<(usize, f64), Refusal> {
    let (key, value) = pair(text, "CAUSE=NUMBER", "tight=8")?;
    let Some(cause) = Cause::named(key) else {
        return Err(no_cause(key));
    };
    match value.parse::<f64>() {
        Ok(weight) if (0.0..=MOST_WEIGHT).contains(&weight) => Ok((cause, weight)),
        _ => Err(no_weight(value)),
    }
}

fn checked(book: &Book, text: &str) -> Result<Answered, Refusal> {
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
