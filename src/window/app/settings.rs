//! Changing settings: checked at once, refused with a reason, remembered for undo.

use super::command::{Effect, Sides};
use super::edits::{self, Edits};
use super::parts::Part;
use super::{App, Refused};
use crate::arm::Side;
use crate::error::Diagnostics;
use crate::report::{Turned, turned_among};
use crate::scenario::setting::{Setting, SettingKind};

impl App {
    /// The settings shown, in the order of the trade: what is set in the field, then the rest.
    pub fn settings(&self) -> Vec<Setting> {
        let prefix = format!("{}.", self.views.sides.prefix());
        let mut settings = self.scenario.settings();
        settings.retain(|setting| {
            setting.path.starts_with(&prefix)
                || setting.path.starts_with("line.")
                || setting.path.starts_with("vehicle.")
                || setting.path.starts_with("foam.")
        });
        settings
            .sort_by_key(|setting| (!(setting.first && setting.in_field), !setting.in_field, setting.group));
        settings
    }

    /// The settings that have every word looked for in their label, their path or what they belong to; all of them when nothing is looked for.
    pub fn settings_found(&self) -> Vec<Setting> {
        let words: Vec<String> = self.views.search.split_whitespace().map(str::to_lowercase).collect();
        let mut settings = self.settings();
        settings.retain(|setting| {
            let text = format!("{} {} {}", setting.label, setting.path, setting.group.name()).to_lowercase();
            words.iter().all(|word| text.contains(word))
        });
        settings
    }

    /// What differs from the file, in the order of the trade, to be undone one by one.
    pub fn changed(&self) -> Vec<Turned> {
        turned_among(self.edits().keys(), &self.base, &self.scenario, self.units)
    }

    /// Chooses what is turned at a part of the plan view: its setting, of the unit that it belongs to unless both are moved together.
    pub(super) fn choose_part(&mut self, part: Part, side: Option<Side>) {
        let Some(path) = part.setting() else { return };
        let path = match side {
            None => path.to_owned(),
            Some(side) => {
                let own = if side == Side::Left { Sides::Left } else { Sides::Right };
                if self.views.sides != Sides::Both {
                    self.views.sides = own;
                }
                format!("{}.{path}", self.views.sides.prefix())
            }
        };
        if self.settings().iter().any(|setting| setting.path == path) {
            self.views.search.clear();
            self.chosen = Some(path);
        }
    }

    /// Whether a setting differs from the file.
    pub fn differs(&self, path: &str) -> bool {
        edits::differs(self.edits(), path)
    }

    /// The value of a setting in the file, as written.
    pub fn in_file(&self, path: &str) -> Option<String> {
        let setting = self.base.setting(path).ok()?;
        setting.read(&self.base).map(|reading| edits::reading_text(&reading))
    }

    /// The value of a setting in the file, in the units of the window.
    pub fn in_file_said(&self, path: &str) -> Option<String> {
        let setting = self.base.setting(path).ok()?;
        setting.read(&self.base).map(|reading| edits::reading_said(&setting, &reading, self.units))
    }

    pub(super) fn choose(&mut self, path: &str) {
        if self.chosen.as_deref() != Some(path) {
            self.chosen = Some(path.to_owned());
        }
    }

    /// Chooses the setting above or below in the list.
    pub(super) fn choose_next(&mut self, by: i32) {
        let settings = self.settings_found();
        let last = settings.len().saturating_sub(1);
        let now = self.chosen.as_ref().and_then(|path| settings.iter().position(|s| s.path == *path));
        let next = match now {
            Some(at) => at.saturating_add_signed(by as isize).min(last),
            None => 0,
        };
        self.chosen = settings.get(next).map(|setting| setting.path.clone());
    }

    pub(super) fn change(&mut self, changes: &[(String, String)], drag: bool) -> Vec<Effect> {
        let path = changes.first().map_or("", |(path, _)| path).to_owned();
        // A setting that does not exist, or a value that cannot be read, is told with its reason.
        if let Err(refused) = self.scenario.with(changes) {
            self.refuse(&path, &refused);
            return Vec::new();
        }
        let edits = edits::put(&self.base, self.edits(), changes);
        self.take(edits, path.clone(), &path, drag)
    }

    pub(super) fn step(&mut self, path: &str, steps: i32) -> Vec<Effect> {
        self.choose(path);
        let Ok(setting) = self.scenario.setting(path) else { return Vec::new() };
        if let SettingKind::Choice(words) = &setting.kind {
            let now = setting.value_si(&self.scenario).map_or(0, |index| index as usize);
            let next = now.saturating_add_signed(steps as isize).min(words.len().saturating_sub(1));
            return words
                .get(next)
                .map_or_else(Vec::new, |word| self.change(&[(path.to_owned(), word.clone())], false));
        }
        match setting.step(&self.scenario, steps) {
            Some(changes) => self.change(&changes, false),
            None => {
                self.refused = Some(Refused {
                    path: path.to_owned(),
                    text: format!("no further: {}", edits::range_said(&setting, self.units)),
                });
                Vec::new()
            }
        }
    }

    /// Takes over new edits when they hold.
    pub(super) fn take(&mut self, edits: Edits, label: String, path: &str, drag: bool) -> Vec<Effect> {
        // A lesson's step is being set up: what is asked meanwhile would mix with it.
        if self.lesson.as_ref().is_some_and(|run| run.waiting) {
            return Vec::new();
        }
        match self.base.with(&edits::changes(&edits)) {
            Ok(scenario) => {
                self.refused = None;
                if edits == *self.edits() {
                    return Vec::new();
                }
                self.scenario = scenario;
                self.find.shown = None;
                self.edits.stand_at(self.playback.position_m());
                if drag {
                    self.edits.drag(edits, label);
                } else {
                    self.edits.change(edits, label);
                }
                vec![self.solve()]
            }
            Err(refused) => {
                self.refuse(path, &refused);
                Vec::new()
            }
        }
    }

    /// After undo or redo: the scenario of the edits that are there now.
    pub(super) fn restore(&mut self) -> Vec<Effect> {
        self.refused = None;
        match self.base.with(&edits::changes(self.edits())) {
            Ok(scenario) => {
                self.scenario = scenario;
                self.find.shown = None;
                vec![self.solve()]
            }
            Err(refused) => {
                self.refuse("", &refused);
                Vec::new()
            }
        }
    }

    fn refuse(&mut self, path: &str, refused: &Diagnostics) {
        let text = crate::study::point::reason(refused);
        self.refused = Some(Refused { path: path.to_owned(), text });
    }

    /// The sides that can be chosen.
    pub fn sides(&self) -> Vec<Sides> {
        let units = self.scenario.unit_models();
        if units.len() > 1 { Sides::ALL.to_vec() } else { vec![self.views.sides] }
    }
}
