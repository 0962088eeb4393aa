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
use crate::fault::{Book, BookError, Said, check_said, next_checks, pairs, rank};
use crate::report::{
    FaultReport, MOST_PAIRS, fault_document, fault_list_document, fault_list_text, fault_text,
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
        let said =
            Said { seen: &self.seen, fine: &self.fine, readings: &self.reading, weights: &self.weight };
        let mut told = said.told(&sides).map_err(|(option, told)| Problem::option(option, told))?;
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
            told.answers.push(check_said(&book, text).map_err(|told| Problem::option("--checked", told))?);
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
