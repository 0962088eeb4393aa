//! Questions and answers.

use super::compare::{Glance, Line, glance, lines};
use super::fault::{Faults, Ticked, list, reading};
use super::fields::{Changed, Row, changed, rows};
use super::form::{FormGiven, Forms};
use super::reach::Reaches;
use super::setup::{Bench, Changes, Refused, Setup, title};
use super::shown::{Event, Frame, Manner, events, frame, map};
use super::step::step;
use super::words::words;
use crate::drawing::Theme;
use crate::report::sheet::{CautionsSaid, Language, cautions_said};
use crate::report::{Ink, PassReport, setting_documents};
use crate::scenario::Scenario;
use crate::scenario::lesson::Lesson;
use crate::study::lesson::check;
use crate::units::UnitSystem;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Widths of pictures that are drawn, page units.
const WIDTHS: (f64, f64) = (240.0, 2400.0);

/// A question: what to do, the set-up as changes from the file, and how to answer. What is not given has the default of its kind.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct Question {
    #[serde(rename = "do")]
    what: String,
    /// `open`: the text of the scenario and its name; the files that it names, by name.
    text: String,
    name: String,
    beside: BTreeMap<String, String>,
    /// `open`: a lesson on this scenario, and its name.
    lesson: String,
    lesson_name: String,
    /// The step of the lesson that is looked at, from 0.
    step: Option<usize>,
    /// The set-up.
    set: Changes,
    /// The set-up pinned as A.
    pinned: Option<Changes>,
    /// What it is called; A when not given.
    pinned_as: String,
    /// `turn` and `put`.
    path: String,
    steps: i32,
    value: String,
    /// `fault`: what is seen, fine, read and checked, as written on the command line; `fault_reading`: one reading.
    seen: Vec<String>,
    fine: Vec<String>,
    readings: Vec<String>,
    checked: Vec<String>,
    /// `form`, `form_beside` and `form_file`: what a field form holds.
    form: FormGiven,
    /// `frame`: the instant, s; the key one when not given.
    t_s: Option<f64>,
    units: String,
    lang: String,
    dark: bool,
    width: f64,
}

/// Everything that is shown of a set-up.
#[derive(Debug, Serialize)]
struct Shown {
    set: Changes,
    title: String,
    vehicle: String,
    now: Glance,
    /// The set-up pinned, or the file as it was opened.
    beside: Glance,
    lines: Vec<Line>,
    changed: Vec<Changed>,
    rows: Vec<Row>,
    events: Vec<Event>,
    start_s: f64,
    end_s: f64,
}

/// The pictures of a set-up, which are asked for when the verdict stands.
#[derive(Debug, Serialize)]
struct Pictures {
    frame: Frame,
    map: String,
}

/// Everything a page says that depends on the language alone.
#[derive(Debug, Serialize)]
struct Said {
    words: BTreeMap<&'static str, &'static str>,
    cautions: CautionsSaid,
}

#[derive(Debug, Serialize)]
struct Answer<T: Serialize> {
    ok: T,
}

#[derive(Debug, Serialize)]
struct No {
    refused: String,
}

/// A scenario that is open, and the last passes computed of it.
#[derive(Debug, Default)]
pub struct Live {
    bench: Option<Bench>,
    reaches: Reaches,
    faults: Faults,
    forms: Forms,
}

impl Live {
    /// Answers a question in JSON with JSON: `{"ok": …}`, or `{"refused": "…"}` with what is wrong and what to do.
    pub fn ask(&mut self, question: &str) -> String {
        let said = serde_json::from_str(question).map_err(Refused::from);
        said.and_then(|question| self.answer(&question)).unwrap_or_else(|Refused(refused)| {
            serde_json::to_string(&No { refused })
                .unwrap_or_else(|_| r#"{"refused":"the answer cannot be written"}"#.to_owned())
        })
    }

    fn answer(&mut self, question: &Question) -> Result<String, Refused> {
        let manner = question.manner()?;
        match question.what.as_str() {
            "say" => {
                let said = Said { words: words(manner.language), cautions: cautions_said(manner.language) };
                return ok(said);
            }
            "open" => {
                return ok(self.open(question)?);
            }
            _ => {}
        }
        let Some(bench) = &mut self.bench else {
            return Err(Refused("no scenario is open".to_owned()));
        };
        bench.look(question.step);
        let set = &question.set;
        match question.what.as_str() {
            "show" => ok(shown(bench, set, question, manner)?),
            "turn" => {
                let set = bench.turned(set, &question.path, question.steps)?;
                ok(shown(bench, &set, question, manner)?)
            }
            "put" => {
                let set = bench.put(set, &question.path, &question.value)?;
                ok(shown(bench, &set, question, manner)?)
            }
            what @ ("frame" | "pictures") => {
                let setup = bench.setup(set)?;
                let pinned = question.pinned.as_ref().map(|pinned| bench.beside(pinned)).transpose()?;
                let name = if question.pinned_as.is_empty() { "A" } else { &question.pinned_as };
                let pinned = pinned.as_deref().map(|pinned| (name, pinned));
                let frame = frame(&setup, pinned, question.t_s, manner);
                if what == "frame" { ok(frame) } else { ok(Pictures { frame, map: map(&setup, manner) }) }
            }
            "step" => ok(step(bench, question.step.unwrap_or_default(), manner.units)?),
            "reach" => {
                let (done, of) = self.reaches.one_more(bench, set)?;
                ok(BTreeMap::from([("done", done), ("of", of)]))
            }
            "sheet" => ok(self.reaches.sheet(bench, set, manner)?),
            "fault_list" => ok(list(bench, manner)),
            "fault_reading" => ok(reading(bench, &question.value, manner)?),
            "fault_step" => ok(self.faults.one_more(bench, set)?),
            "fault" => ok(self.faults.answer(bench, set, question.ticked(), manner)?),
            "fault_document" => ok(self.faults.document(bench, set, question.ticked())?),
            "form" => ok(self.forms.said(bench, set, &question.form, manner)?),
            "form_beside" => ok(self.forms.beside(bench, set, &question.form, manner)?),
            "form_file" => ok(self.forms.file(bench, set, &question.form)?),
            "file" => ok(bench.scenario(set)?.text().map_err(|refused| refused.to_string())?),
            "text" => {
                let setup = bench.setup(set)?;
                ok(Ink::Plain.ready(&report(&setup).text(manner.units, Ink::Plain)))
            }
            "document" => {
                let setup = bench.setup(set)?;
                let settings = setting_documents(&setup.scenario);
                ok(PassReport { settings: &settings, ..report(&setup) }.document())
            }
            other => Err(Refused(format!("there is no question «{other}»"))),
        }
    }

    /// Opens a scenario; the set-up asked for with each setting of one unit or of the line.
    fn open(&mut self, question: &Question) -> Result<Changes, Refused> {
        let loader = |name: &str| {
            question.beside.get(name).cloned().ok_or_else(|| "it is not in this page".to_owned())
        };
        let scenario =
            Scenario::read(&question.text, &question.name, &loader).map_err(|refused| refused.to_string())?;
        let lesson = if question.lesson.is_empty() {
            None
        } else {
            let lesson = Lesson::read(&question.lesson, &question.lesson_name)
                .map_err(|refused| refused.to_string())?;
            check(&lesson, &scenario).map_err(|refused| refused.to_string())?;
            Some(lesson)
        };
        let bench = Bench::new(scenario, lesson);
        let set = bench.merged(&Changes::new(), question.set.clone())?;
        self.bench = Some(bench);
        self.reaches = Reaches::default();
        self.faults = Faults::default();
        self.forms = Forms::default();
        Ok(set)
    }
}

impl Question {
    fn ticked(&self) -> Ticked<'_> {
        Ticked { seen: &self.seen, fine: &self.fine, readings: &self.readings, checked: &self.checked }
    }

    fn manner(&self) -> Result<Manner, Refused> {
        let width = if self.width > 0.0 { self.width } else { 360.0 };
        let chosen = |text: &str, default: &'static str| match text {
            "" => default.to_owned(),
            text => text.to_owned(),
        };
        let language = chosen(&self.lang, "en").parse::<Language>();
        Ok(Manner {
            units: chosen(&self.units, "us").parse::<UnitSystem>().map_err(|no| Refused(no.to_string()))?,
            language: language.map_err(|no| Refused(no.to_string()))?,
            theme: if self.dark { Theme::Dark } else { Theme::Light },
            width: width.clamp(WIDTHS.0, WIDTHS.1),
        })
    }
}

fn ok<T: Serialize>(ok: T) -> Result<String, Refused> {
    Ok(serde_json::to_string(&Answer { ok })?)
}

fn report(setup: &Setup) -> PassReport<'_> {
    PassReport {
        title: title(&setup.scenario),
        file: Some(setup.scenario.file_name()),
        set: &setup.changes,
        solved: &setup.solved,
        throughput_per_s: setup.scenario.throughput_per_s(),
        settings: &[],
    }
}

fn shown(bench: &mut Bench, set: &Changes, question: &Question, manner: Manner) -> Result<Shown, Refused> {
    let now = bench.setup(set)?;
    let pinned = question.pinned.as_ref().map(|pinned| bench.beside(pinned)).transpose()?;
    let beside = match &pinned {
        Some(pinned) => pinned.clone(),
        None => bench.beside(&Changes::new())?,
    };
    let (units, language) = (manner.units, manner.language);
    let setup = &now.solved.setup;
    Ok(Shown {
        set: set.clone(),
        title: title(&now.scenario).to_owned(),
        vehicle: setup.train[setup.measured].shape.real.name.to_string(),
        now: glance(&now, units, language),
        beside: glance(&beside, units, language),
        lines: lines(&now, &beside, units, language),
        changed: changed(&now, &bench.base, units, language),
        rows: rows(&now, units, language),
        events: events(&now, language),
        start_s: now.solved.record.start_s,
        end_s: now.solved.record.end_s,
    })
}
