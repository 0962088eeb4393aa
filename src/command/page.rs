//! `brusharm page`: a scenario with the live engine in one HTML file.

use super::Run;
use super::common::{Common, OutputArguments};
use super::exit;
use super::input::read_text;
use super::kind::FileKind;
use super::lesson::{LoadedLesson, load_lesson};
use super::options::LangOption;
use super::problem::{Problem, refusal};
use crate::live::{PageRequest, STAMP, page_html, stamp_of};
use crate::study::lesson::evaluate;
use clap::Args;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// Name of a built engine.
const ENGINE: &str = "brusharm-engine.wasm";
/// The largest engine read, bytes; one is a tenth of this.
const LARGEST_ENGINE: u64 = 32 << 20;

/// Arguments of `page`.
#[derive(Debug, Args)]
#[command(
    about = "Write a page for a phone: a scenario or a lesson and the live engine in one file",
    long_about = "Write one HTML file that opens on a phone without any network: FILE, a scenario or a lesson, and the engine that computes it. Settings \
                  are turned with a thumb in the steps of the field; verdict, gap, plan and map follow at once. The engine is a file of its \
                  own, built once by «bash assets/web/build.sh» in the sources of this program."
)]
pub(crate) struct PageArguments {
    #[command(flatten)]
    common: Common,

    /// The engine, as «bash assets/web/build.sh» built it; looked for beside the program and one folder up when not given
    #[arg(long, value_name = "ENGINE")]
    engine: Option<PathBuf>,

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
        loaded.inputs.extend(self.engine.clone());
        let destination = self.output.result(&loaded)?;
        let engine = packed(&self.engine()?)?;
        let name = self.common.file.display().to_string();
        let request = PageRequest {
            scenario: &loaded.scenario,
            engine_gz: &engine,
            language: self.lang.language(),
            units: self.common.unit_system(),
            set: &loaded.set,
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

    /// The engine, which must be of the sources that this program is of.
    fn engine(&self) -> Result<Vec<u8>, Problem> {
        let path = match &self.engine {
            Some(path) => path.clone(),
            None => beside_the_program().ok_or_else(|| {
                missing("a page needs the engine, and there is none beside this program", "")
            })?,
        };
        let name = path.display().to_string();
        let mut bytes = Vec::new();
        let read = std::fs::metadata(&path).and_then(|found| {
            if !found.is_file() {
                return Err(std::io::Error::other("it is no file"));
            }
            std::fs::File::open(&path)?.take(LARGEST_ENGINE).read_to_end(&mut bytes)
        });
        if let Err(error) = read {
            return Err(missing(&format!("the engine cannot be read: {error}"), &name));
        }
        match stamp_of(&bytes) {
            Some(stamp) if stamp == STAMP => Ok(bytes),
            Some(stamp) => Err(Problem::option(
                "--engine",
                refusal(
                    "this engine is of other sources than this program",
                    &format!("{name}, of {stamp}"),
                    &format!("an engine of {STAMP}"),
                    HOW,
                ),
            )),
            None => {
                Err(Problem::option("--engine", refusal("this is no engine of a page", &name, ENGINE, HOW)))
            }
        }
    }
}

const HOW: &str = "build it once with «bash assets/web/build.sh» in the sources of this program, or name a built one with --engine";

fn missing(problem: &str, given: &str) -> Problem {
    Problem::option("--engine", refusal(problem, given, ENGINE, HOW))
}

/// An engine in the folder of the program or the one above it.
fn beside_the_program() -> Option<PathBuf> {
    let program = std::env::current_exe().ok()?;
    program.ancestors().skip(1).take(2).map(|folder: &Path| folder.join(ENGINE)).find(|path| path.is_file())
}

fn packed(engine: &[u8]) -> Result<Vec<u8>, Problem> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::best());
    packer
        .write_all(engine)
        .and_then(|()| packer.finish())
        .map_err(|error| Problem::writing("the engine", &error))
}
