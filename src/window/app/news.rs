//! What comes from outside: a solved pass, a file that was read again, another file.

use std::path::PathBuf;
use std::sync::Arc;

use super::command::{Effect, Sides};
use super::edits::{self, Edits};
use super::find::Find;
use super::fit::Readings;
use super::solved::{Answer, Request, SolvedPass};
use super::{App, only_side};
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::visible::visible_line;
use crate::window::playback::{self, Playback, Track};
use crate::window::solver::{Generation, Solved};
use crate::window::undo::History;

impl App {
    pub(super) fn solved(&mut self, solved: Solved<Request, Result<Answer, String>>) -> Vec<Effect> {
        let Solved { generation, request, result } = solved;
        let step = request.step;
        match result.and_then(|inner| inner) {
            Ok(answer) => {
                self.solve_trouble = None;
                let first = self.shown.is_none();
                if let Some(file) = &answer.reference {
                    self.keep_file(file);
                }
                self.show(generation, answer.pass);
                if let Some(step) = step {
                    self.show_step(step.index, answer.pins);
                } else if first {
                    self.go_to_key_instant();
                }
            }
            Err(reason) => {
                // An answer to something older is of no interest when it failed.
                if self.newest.is_none_or(|newest| generation >= newest) {
                    self.solve_trouble = Some(reason);
                }
                if let (Some(_), Some(run)) = (step, &mut self.lesson) {
                    run.waiting = false;
                }
            }
        }
        Vec::new()
    }

    /// Why a file was not opened, after what stays.
    pub fn still_open(&self, why: &str) -> String {
        let name = self.path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let changes = match self.edits().len() {
            0 => String::new(),
            count => format!(" with {}", crate::units::counted(count as u64, "change", "changes")),
        };
        format!("Not opened; {}{changes} stays.\n{why}", visible_line(&name))
    }

    fn show(&mut self, generation: Generation, pass: Arc<SolvedPass>) {
        if let Some(track) = pass.track() {
            self.playback.set_lead(track, pass.marks());
        }
        self.spot = None;
        self.scale_by(&pass);
        if pass.edits.is_empty() {
            self.keep_file(&pass);
        }
        self.shown = Some((generation, pass));
    }

    /// Keeps a pass of the file as it is; one with a fault in it, or of the file as it was, is none.
    fn keep_file(&mut self, pass: &Arc<SolvedPass>) {
        if self.as_in_file.is_none() && pass.scenario.setup() == self.base.setup() {
            self.as_in_file = Some(Arc::clone(pass));
        }
    }

    fn go_to_key_instant(&mut self) {
        if let Some(pass) = self.shown().cloned() {
            let t_s = pass.deciding_instant_s();
            self.playback.command(playback::Command::GoToTime(t_s));
        }
    }

    pub(super) fn reloaded(
        &mut self,
        path: PathBuf,
        read: Result<Scenario, Diagnostics>,
        other: bool,
    ) -> Vec<Effect> {
        let base = match read {
            Ok(base) => base,
            Err(refused) => {
                if other {
                    self.told = Some(self.still_open(&refused.to_string()));
                } else {
                    self.file_trouble = Some(refused.to_string());
                }
                return Vec::new();
            }
        };
        self.file_trouble = None;
        self.refused = None;
        let mut kept = Edits::default();
        if other {
            self.path = path;
            self.pins.clear();
            self.lesson = None;
            self.present.forget_lesson();
            self.present.measure = None;
            self.shown = None;
            self.scaled_by = None;
            self.chosen = None;
            self.readings = Readings::None;
            self.find = Find::default();
            self.playback = Playback::new(Track::default(), Vec::new());
            self.camera.fit();
        } else {
            // Changes made here stay where they still hold.
            let mut lost = Vec::new();
            for (setting, text) in self.edits().clone() {
                let with = edits::put(&base, &kept, &[(setting.clone(), text)]);
                if base.with(&edits::changes(&with)).is_ok() {
                    kept = with;
                } else {
                    lost.push(setting);
                }
            }
            if !lost.is_empty() {
                self.told = Some(format!(
                    "The file has changed; what was set here no longer holds for {}.",
                    lost.join(", ")
                ));
            }
        }
        self.scenario = match base.with(&edits::changes(&kept)) {
            Ok(scenario) => scenario,
            Err(_) => base.clone(),
        };
        self.find.shown = None;
        self.as_in_file = None;
        self.desk.forget(&base, self.units, other);
        self.base = base;
        self.edits = History::new(kept);
        let both = self.scenario.unit_models().len() > 1;
        if !both {
            self.views.sides = only_side(&self.scenario);
        } else if other {
            self.views.sides = Sides::Both;
        }
        if let Some(unit) = self.scenario.unit_models().first()
            && !self.scenario.unit_models().iter().any(|u| u.side == self.views.detail)
        {
            self.views.detail = unit.side;
        }
        if self.lesson.is_some() {
            return self.lesson_again();
        }
        vec![self.solve()]
    }
}
