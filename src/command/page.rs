//! `brusharm page`: a scenario with the live engine in one HTML file.

use super::Run;
use super::common::{Common, Loaded, OutputArguments};
use super::engine::EngineOption;
use super::exit;
use super::input::read_text;
use super::kind::FileKind;
use super::lesson::{LoadedLesson, load_lesson};
use super::options::LangOption;
use super::problem::{Problem, refusal};
use crate::calibrate::{ADVICE_DRAWS, Advice, OfWord, advise, known};
use crate::coverage::MeasureName;
use crate::live::{PageRequest, page_html};
use crate::study::lesson::evaluate;
use clap::Args;
use std::path::PathBuf;

/// Arguments of `page`.
#[derive(Debug, Args)]
#[command(
    about = "Write a page for a phone: a scenario or a lesson and the live engine in one file",
    long_about = "Write one HTML file that opens on a phone without any network: FILE, a scenario or a lesson, and the engine that computes it. Settings \
                  are turned with a thumb in the steps of the field; verdict, gap, plan and map follow at once. What is wrong with a brush is \
                  found there too: tick what is seen, and every cause is run on the phone. The engine is a file of its own, built once by «bash assets/web/build.sh» in the sources of this program."
)]
pub(crate) struct PageArguments {
    #[command(flatten)]
    common: Common,

    #[command(flatten)]
    engine: EngineOption,

    /// Take readings of the machine: the field form as cards, in the order of their worth, with a stopwatch and a film to step through; gives the file that «calibrate» reads
    #[arg(long)]
    form: bool,

    #[command(flatten)]
    lang: LangOption,

    #[command(flatten)]
    output: OutputArguments,
}

impl Run for PageArguments {
    fn run(&self) -> Result<u8, Problem> {
        let lesson = self.lesson()?;
        let mut loaded = match &lesson {
            Some((_, scenario)) => self.common.of_file(scenario).load()?,
            None => self.common.load()?,
        };
        loaded.inputs.push(self.common.file.clone());
        loaded.inputs.extend(self.engine.path());
        let destination = self.output.result(&loaded)?;
        let engine = self.engine.packed()?;
        let order = if self.form { Some(form_order(&loaded)?) } else { None };
        let name = self.common.file.display().to_string();
        let request = PageRequest {
            scenario: &loaded.scenario,
            engine_gz: &engine,
            language: self.lang.language(),
            units: self.common.unit_system(),
            set: &loaded.set,
            form: order.as_deref(),
            lesson: lesson.as_ref().map(|(text, _)| (name.as_str(), text.as_str())),
        };
        let page = page_html(&request)
            .map_err(|error| Problem::writing("the page", &std::io::Error::other(error)))?;
        destination.deliver(&page)?;
        Ok(exit::DONE)
    }
}

impl PageArguments {
    /// The text of a lesson and its scenario's file, where the file is one. It is computed once, so that no page goes out with a lesson that fails.
    fn lesson(&self) -> Result<Option<(String, PathBuf)>, Problem> {
        let name = self.common.file.display().to_string();
        let text = read_text(&self.common.file, &name)?;
        if FileKind::of(&text) != Some(FileKind::Lesson) {
            return Ok(None);
        }
        if self.form {
            let advice = "name the scenario of the machine that is measured";
            return Err(Problem::option("--form", refusal("a lesson takes no readings", &name, "", advice)));
        }
        if let Some(set) = self.common.set.first() {
            let advice = "leave --set out, or name the scenario in place of the lesson";
            return Err(Problem::option(
                "--set",
                refusal("each step of a lesson says its own settings", set, "a lesson alone", advice),
            ));
        }
        let LoadedLesson { lesson, scenario_path } = load_lesson(&self.common.file)?;
        let scenario = self.common.of_file(&scenario_path).load()?.scenario;
        evaluate(&lesson, &scenario, self.common.unit_system())?;
        Ok(Some((text, scenario_path)))
    }
}

/// The tests that tell most of the gap on the tail, for the field form on paper and on a page.
pub(crate) fn form_advice(loaded: &Loaded) -> Result<Advice, Problem> {
    let (base, uncertainty, _) = known(&loaded.scenario)?;
    let of = OfWord::of(&loaded.scenario);
    Ok(advise(&base, &uncertainty, of, MeasureName::TailGap.whole(), ADVICE_DRAWS)?)
}

/// Keys of the tests in the order of their worth.
fn form_order(loaded: &Loaded) -> Result<Vec<&'static str>, Problem> {
    Ok(form_advice(loaded)?.worths.iter().map(|worth| worth.test.key).collect())
}
