//! `brusharm sheet`: the set-up sheet that goes to the machine.

use super::common::{Common, Computed, Loaded, OutputArguments};
use super::engine::EngineOption;
use super::input::read_text;
use super::interrupt;
use super::kind::{FileKind, expect};
use super::options::{IntervalOption, LangOption, StrictOption};
use super::output::complain;
use super::page::form_advice;
use super::problem::{Problem, refusal};
use super::{Run, exit};
use crate::coverage::Verdict;
use crate::live::{LiveSetup, LiveSheetRequest, live_sheet};
use crate::report::form_html;
use crate::report::sheet::{
    Addition, SheetRequest, SolvedScenario, addition, html, html_with, intervals_addition, sheet,
};
use crate::study::recommend::{RecommendPlan, recommend_until};
use crate::study::tolerance::{Walk, tolerances};
use clap::Args;
use std::path::PathBuf;

/// Arguments of `sheet`.
#[derive(Debug, Args)]
#[command(
    about = "Write the set-up sheet that goes to the machine",
    long_about = "Write the set-up sheet: one HTML file that prints on one or two pages and opens on a phone with a replay, with \
                        no network. It holds cautions, verdict, pictures, every setting as found and as left with how far it may move, \
                        the steps in trade order and the check pass. FILE is the set-up to leave."
)]
pub(crate) struct SheetArguments {
    #[command(flatten)]
    common: Common,

    /// Scenario file of the set-up the machine was found with: gives the as-found column and the steps
    #[arg(long, value_name = "FILE_BEFORE")]
    from: Option<PathBuf>,

    /// Day to print, as YYYY-MM-DD; a blank to write in when not given
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<String>,

    /// Who sets the machine up; as the scenario says when not given
    #[arg(long, value_name = "NAME")]
    who: Option<String>,

    #[command(flatten)]
    lang: LangOption,

    /// Result of nudge, spread, compare or fault (--format json) or rows of sweep, shown with the sheet; may be given several times
    #[arg(long, value_name = "FILE")]
    add: Vec<PathBuf>,

    /// Take FILE as the set-up found, and let «recommend» find the one to leave, over the fleet
    #[arg(long, conflicts_with = "from")]
    recommend: bool,

    #[command(flatten)]
    interval: IntervalOption,

    /// Write the field form in place of the sheet: one page of tests that tell most of this machine, in the order of their worth, with room to write
    #[arg(long, conflicts_with_all = ["from", "recommend", "add", "date", "who"])]
    blank: bool,

    /// Put the live engine into the sheet: the set-ups as found and as left can be turned on its screen; on paper it is the same sheet
    #[arg(long, conflicts_with = "blank")]
    live: bool,

    #[command(flatten)]
    engine: EngineOption,

    #[command(flatten)]
    strict: StrictOption,

    #[command(flatten)]
    output: OutputArguments,
}

impl Run for SheetArguments {
    fn run(&self) -> Result<u8, Problem> {
        let date = self.date.as_deref().map(checked_date).transpose()?.unwrap_or_default();
        let mut left = self.common.load()?;
        if self.blank {
            return self.form(&left);
        }
        let found = if self.recommend {
            interrupt::listen()?;
            Some(self.recommended(&mut left)?)
        } else {
            self.load_found()?
        };
        if let Some(found) = &found {
            // The set-up found is an input too: it is never written over.
            left.inputs.extend(found.inputs.iter().cloned());
        }
        left.inputs.extend(self.add.iter().cloned());
        left.inputs.extend(self.engine.path());
        let destination = self.output.result(&left)?;
        let engine = if self.live { Some(self.engine.packed()?) } else { None };
        self.interval.check()?;
        let mut additions = self.additions()?;
        if let Some(found) = self.interval.of(&left.scenario)? {
            additions.insert(0, intervals_addition(&found, self.lang.language(), self.common.unit_system()));
        }
        let left_pass = left.compute()?;
        let found_pass = found.as_ref().map(Loaded::compute).transpose()?;
        let tolerances = tolerances(&left.scenario, &left_pass.solved.outcome, Walk::default());
        let found = found.as_ref().zip(found_pass.as_ref());
        let request = SheetRequest {
            language: self.lang.language(),
            units: self.common.unit_system(),
            found: found.map(|(loaded, computed)| solved(loaded, computed)),
            left: solved(&left, &left_pass),
            tolerances: &tolerances,
            date,
            who: self.who.as_deref().map_or("", str::trim),
            set: &left.set,
            additions,
        };
        let whole = sheet(&request);
        let text = match &engine {
            None => html(&whole),
            Some(engine_gz) => {
                let part = live_sheet(&LiveSheetRequest {
                    left: turned(&left),
                    found: found.map(|(loaded, _)| turned(loaded)),
                    engine_gz,
                    language: request.language,
                    units: request.units,
                });
                html_with(
                    &whole,
                    &part.map_err(|error| Problem::writing("the sheet", &std::io::Error::other(error)))?,
                )
            }
        };
        let text = text.map_err(|error| Problem::writing("the sheet", &std::io::Error::other(error)))?;
        if interrupt::is_asked() {
            // A sheet says what to do at the machine: half a search makes none.
            complain(
                "interrupted: no sheet is written; «recommend» tells the best so far when it is stopped",
            );
            return Ok(exit::INTERRUPTED);
        }
        destination.deliver(&text)?;
        let failed = left_pass.solved.outcome.verdicts.iter().any(|line| line.verdict == Verdict::Fail);
        Ok(self.strict.code(failed))
    }
}

impl SheetArguments {
    /// The field form.
    fn form(&self, loaded: &Loaded) -> Result<u8, Problem> {
        let destination = self.output.result(loaded)?;
        let advice = form_advice(loaded)?;
        let units = self.common.unit_system();
        destination.deliver(&form_html(self.lang.language(), units, loaded.title(), &advice))?;
        Ok(exit::DONE)
    }

    /// The results of studies.
    fn additions(&self) -> Result<Vec<Addition>, Problem> {
        let read = |path: &PathBuf| {
            let name = path.display().to_string();
            let text = read_text(path, &name)?;
            expect(&[FileKind::Document, FileKind::Rows], &text, &name)?;
            addition(&text, self.lang.language(), self.common.unit_system())
                .map_err(|refusal| Problem::file(&name, refusal))
        };
        self.add.iter().map(read).collect()
    }

    /// Turns the set-up loaded into the recommended one; gives back the one found.
    fn recommended(&self, left: &mut Loaded) -> Result<Loaded, Problem> {
        let plan = RecommendPlan::of(&left.scenario);
        let found = self.common.load()?;
        let result = recommend_until(&left.scenario, &plan, &interrupt::is_asked, |_| {})?;
        if result.nothing_to_do || result.is_interrupted {
            return Ok(found);
        }
        let Some(best) = &result.best else {
            let refusal = refusal(
                "no set of field steps in range meets every criterion",
                &left.name,
                "",
                "«recommend» says what is in the way; change it, or give the set-up to leave by hand with --from",
            );
            return Err(Problem::option("--recommend", refusal));
        };
        left.scenario = left.scenario.with(&best.changes)?;
        left.set.extend(best.changes.iter().cloned());
        Ok(found)
    }

    fn load_found(&self) -> Result<Option<Loaded>, Problem> {
        let Some(file) = &self.from else { return Ok(None) };
        let common = Common { file: file.clone(), set: Vec::new(), units: self.common.units };
        common.load().map(Some)
    }
}

fn turned(loaded: &Loaded) -> LiveSetup<'_> {
    LiveSetup { scenario: &loaded.scenario, set: &loaded.set }
}

fn solved<'a>(loaded: &'a Loaded, computed: &'a Computed) -> SolvedScenario<'a> {
    SolvedScenario { scenario: &loaded.scenario, pass: &computed.solved, file: &loaded.name }
}

/// A day of the Gregorian calendar written as ISO 8601 does: YYYY-MM-DD.
fn checked_date(text: &str) -> Result<&str, Problem> {
    let part = |range: std::ops::Range<usize>| {
        let digits = text.get(range)?;
        digits.bytes().all(|b| b.is_ascii_digit()).then(|| digits.parse::<u32>().ok()).flatten()
    };
    let shape =
        text.len() == 10 && text.as_bytes().get(4) == Some(&b'-') && text.as_bytes().get(7) == Some(&b'-');
    let day = || {
        let (year, month, day) = (part(0..4)?, part(5..7)?, part(8..10)?);
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let last = match month {
            4 | 6 | 9 | 11 => 30,
            2 => 28 + u32::from(leap),
            1..=12 => 31,
            _ => return None,
        };
        (1..=last).contains(&day).then_some(())
    };
    if shape && day().is_some() {
        return Ok(text);
    }
    let advice = "write the day as in 2026-03-09, or leave --date out for a blank";
    Err(Problem::option("--date", refusal("this is no day", text, "YYYY-MM-DD", advice)))
}

#[cfg(test)]
mod tests {
    use super::checked_date;

    #[test]
    fn verif_dates_are_days_of_the_calendar() {
        for good in ["2026-03-09", "2024-02-29", "2000-02-29", "1999-12-31"] {
            assert_eq!(checked_date(good).unwrap(), good);
        }
        for bad in [
            "2026-3-9",
            "2023-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "",
            "2026-03-0é",
            "20260309",
            "<b>-03-09",
        ] {
            assert!(checked_date(bad).is_err(), "{bad}");
        }
    }
}
