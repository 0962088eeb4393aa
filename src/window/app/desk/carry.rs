//! Carries out what is asked of the desk.

use std::sync::Arc;

use super::ask::{StudyAnswer, StudyAsked, THROUGHPUT};
use super::{DeskCommand, Page, Run, Study, StudyKind, usual_values};
use crate::drawing::svg::svg;
use crate::report::rows::{RowFormat, table_text};
use crate::study::table::Table;
use crate::units::UnitSystem;
use crate::window::app::command::Effect;
use crate::window::app::command_line::{command_line, quoted};
use crate::window::app::{App, edits};

impl App {
    /// Opens the desk, or closes it. A lesson has none: it may hide what is wrong.
    pub(in crate::window::app) fn show_desk(&mut self, on: bool) -> Vec<Effect> {
        if on && self.lesson.is_some() {
            self.told = Some("A lesson has no desk; leave the lesson first.".to_owned());
            return Vec::new();
        }
        self.desk.open = on;
        if on && self.present.on { self.present(false) } else { Vec::new() }
    }

    /// Carries out a command of the desk.
    pub(in crate::window::app) fn at_desk(&mut self, command: DeskCommand) -> Vec<Effect> {
        match command {
            DeskCommand::Page(page) => {
                self.desk.page = page;
                return self.show_desk(true);
            }
            DeskCommand::Measure(measure) => self.desk.measure = Some(measure),
            DeskCommand::Over(text) => self.desk.over = text,
            DeskCommand::Axis(which, path) => {
                if let Ok(setting) = self.scenario.setting(&path)
                    && let Some(axis) = self.desk.axes.get_mut(which)
                {
                    *axis = (setting.path.clone(), usual_values(&self.scenario, &setting, self.units));
                }
            }
            DeskCommand::Values(which, text) => {
                if let Some(axis) = self.desk.axes.get_mut(which) {
                    axis.1 = text;
                }
            }
            DeskCommand::Fleet(on) => self.desk.fleet = on,
            DeskCommand::FoamPage(page) => self.desk.foam_page = page,
            DeskCommand::Run(kind) => return self.ask_for(kind),
            DeskCommand::Stop(kind) => {
                if let Run::Working(job, _) = self.desk.run(kind) {
                    job.stop();
                }
            }
            DeskCommand::Studied(asked, answer) => self.studied(&asked, answer),
            DeskCommand::Apply => return self.apply_advice(),
            DeskCommand::Load(column, row) => return self.load_cell(column, row),
            DeskCommand::Copy => return self.copy_study(),
            DeskCommand::SavePicture(list) => {
                let added = self.desk.page.word().to_owned();
                let text = svg(&list, self.theme);
                return vec![Effect::Export { added, ending: "svg", text }];
            }
            DeskCommand::SaveTable => return self.save_table(),
        }
        Vec::new()
    }

    fn studied(&mut self, asked: &StudyAsked, answer: Result<StudyAnswer, String>) {
        fn take<T>(study: &mut Study<T>, found: Arc<T>, key: &str) {
            study.found = Some((found, key.to_owned()));
            study.run = Run::Idle;
        }
        let (kind, key) = (asked.what.kind(), asked.key.as_str());
        // An answer to something older is of no interest.
        if !matches!(self.desk.run(kind), Run::Working(job, _) if Arc::ptr_eq(job, &asked.job)) {
            return;
        }
        let desk = &mut self.desk;
        match answer {
            Ok(StudyAnswer::Curve(found)) => take(&mut desk.curve, found, key),
            Ok(StudyAnswer::Band(found)) => take(&mut desk.band, found, key),
            Ok(StudyAnswer::Steps(Some(found))) => take(&mut desk.steps, found, key),
            Ok(StudyAnswer::Advice(found)) => take(&mut desk.advice, found, key),
            Ok(StudyAnswer::Map(found)) => take(&mut desk.map, found, key),
            Ok(StudyAnswer::Foam(found)) => take(&mut desk.foam, found, key),
            Ok(StudyAnswer::Steps(None)) => *desk.run_mut(kind) = Run::Stopped(key.to_owned()),
            Err(_) if asked.job.is_stopped() => *desk.run_mut(kind) = Run::Stopped(key.to_owned()),
            Err(why) => *desk.run_mut(kind) = Run::Failed(why, key.to_owned()),
        }
    }

    /// The changes of the recommendation, where there is one of what is set now.
    pub fn advised(&self) -> Option<&[(String, String)]> {
        let (found, key) = self.desk.advice.found.as_ref()?;
        let best = found.best.as_ref()?;
        (!best.changes.is_empty() && *key == self.wanted_key(StudyKind::Advice)).then_some(&best.changes)
    }

    fn apply_advice(&mut self) -> Vec<Effect> {
        let Some(changes) = self.advised().map(<[_]>::to_vec) else { return Vec::new() };
        let edits = edits::put(&self.base, self.edits(), &changes);
        let first = changes.first().map_or(String::new(), |(path, _)| path.clone());
        self.take(edits, "what is recommended".to_owned(), &first, false)
    }

    fn load_cell(&mut self, column: usize, row: usize) -> Vec<Effect> {
        let Some((found, _)) = &self.desk.map.found else { return Vec::new() };
        let Some(([first, second], _)) = &found.summary.map else { return Vec::new() };
        let value = |axis: usize, at: usize| {
            let axis = &found.summary.axes[axis];
            Some((axis.path.clone(), axis.labels.get(at)?.clone()))
        };
        let (Some(x), Some(y)) = (value(*first, column), value(*second, row)) else { return Vec::new() };
        self.change(&[x, y], false)
    }

    /// The command of the page that is shown.
    pub fn study_command(&self) -> String {
        let kind = self.desk.page.kind();
        let (edits, desk) = (self.edits_for(kind), &self.desk);
        let of = format!("--of {}", self.desk_measure().key());
        let over = |path: &str, values: &str| format!("--over {}", quoted(&format!("{path}={values}")));
        let (name, mut more) = match desk.page {
            Page::Throughput => ("sweep", vec![over(THROUGHPUT, &desk.over), of, "--highest".to_owned()]),
            Page::Steps => ("nudge", vec![of]),
            Page::Advice if desk.fleet => ("recommend", Vec::new()),
            Page::Advice => {
                ("recommend", vec![format!("--vehicles {}", quoted(self.scenario.measured_vehicle()))])
            }
            Page::Map => {
                let mut words: Vec<String> =
                    desk.axes.iter().map(|(path, values)| over(path, values)).collect();
                words.push(of);
                ("sweep", words)
            }
            Page::Foam => ("foam", Vec::new()),
        };
        more.extend(self.units_word());
        command_line(name, self.path(), &self.base, &edits, &more)
    }

    /// The command that computes the pass that is set.
    pub fn pass_command(&self) -> String {
        let more: Vec<String> = self.units_word().into_iter().collect();
        command_line("pass", self.path(), &self.base, self.edits(), &more)
    }

    fn units_word(&self) -> Option<String> {
        (self.units == UnitSystem::Si).then(|| "--units si".to_owned())
    }

    /// Puts a command where it can be pasted from, and says it.
    pub(in crate::window::app) fn copy_pass(&mut self) -> Vec<Effect> {
        // What a lesson or a fault hides is in no command.
        let what = if self.lesson.is_some() { "A lesson" } else { "A fault that is shown" };
        if self.lesson.is_some() || self.find.shown.is_some() {
            self.told = Some(format!("{what} has no command: no setting shows what is hidden."));
            return Vec::new();
        }
        let text = self.pass_command();
        self.copied(text)
    }

    fn copy_study(&mut self) -> Vec<Effect> {
        let text = self.study_command();
        self.copied(text)
    }

    fn copied(&mut self, text: String) -> Vec<Effect> {
        self.told = Some(format!("Copied: {text}"));
        vec![Effect::Copy(text)]
    }

    fn save_table(&mut self) -> Vec<Effect> {
        let desk = &self.desk;
        let of = |table: Table, added: &str| Effect::Export {
            added: added.to_owned(),
            ending: "csv",
            text: table_text(&table, RowFormat::Csv),
        };
        let word = desk.page.word();
        let mut effects = Vec::new();
        match desk.page {
            Page::Throughput => {
                effects.extend(desk.curve.found.iter().map(|(found, _)| of(found.swept.table(), word)));
                let band = desk.band.found.iter();
                effects.extend(band.map(|(found, _)| of(found.table(), "throughput-band")));
            }
            Page::Steps => effects.extend(desk.steps.found.iter().map(|(found, _)| of(found.table(), word))),
            Page::Advice => {
                effects.extend(desk.advice.found.iter().map(|(found, _)| of(found.table(), word)));
            }
            Page::Map => effects.extend(desk.map.found.iter().map(|(found, _)| of(found.table(), word))),
            Page::Foam => {
                effects.extend(desk.foam.found.iter().filter_map(|(found, _)| {
                    let text = found.report.csv().ok()?;
                    Some(Effect::Export { added: word.to_owned(), ending: "csv", text })
                }));
            }
        }
        if effects.is_empty() {
            self.told = Some("There is nothing to save yet: run it first.".to_owned());
        }
        effects
    }
}
