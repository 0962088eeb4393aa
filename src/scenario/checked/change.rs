//! Changing a checked scenario: settings, the train, the measured outline; and the text with the changes written in.

use super::Scenario;
use crate::arm::Side;
use crate::error::{DiagnosticKind, Diagnostics, Refusal};
use crate::pass::PassSetup;
use crate::scenario::check::{Change, Checker};
use crate::scenario::file::TrainEntry;
use crate::scenario::hidden::Hidden;
use crate::scenario::rewrite;
use crate::scenario::setting::{self, Setting};
use std::sync::Arc;

/// What stands between the unit and the name of what was found of it by measuring.
const FOUND: &str = ".found.";

/// Changing a scenario.
impl Scenario {
    /// The scenario with settings changed; see [`setting`] for the paths. No text is read again, so this is cheap.
    ///
    /// # Errors
    /// [`Diagnostics`] that name the setting, what was given and what is allowed.
    pub fn with<P: AsRef<str>, V: AsRef<str>>(&self, changes: &[(P, V)]) -> Result<Scenario, Diagnostics> {
        let mut found = Diagnostics::default();
        let stated = self.stating(changes.iter().map(|(path, _)| path.as_ref()))?;
        let base = stated.as_ref().unwrap_or(self);
        let mut new = base.clone();
        for (path, text) in changes {
            match setting::find(base, path.as_ref(), text.as_ref()) {
                Ok(setting) => new.apply(&setting, path.as_ref(), text.as_ref(), &mut found),
                Err(diagnostic) => found.push(*diagnostic),
            }
        }
        found.into_result()?;
        new.built = new.check()?;
        Ok(new)
    }

    /// The same with numbers in SI (a choice: its index, from 0). Each is written in the style of the value it replaces.
    ///
    /// # Errors
    /// As [`Self::with`].
    pub fn with_si<P: AsRef<str>>(&self, changes: &[(P, f64)]) -> Result<Scenario, Diagnostics> {
        let mut texts = Vec::with_capacity(changes.len());
        for (path, si) in changes {
            let path = path.as_ref();
            let given = si.to_string();
            let setting = setting::find(self, path, &given).map_err(|diagnostic| *diagnostic)?;
            let text = setting
                .text_of(self, *si)
                .map_err(|refusal| Change::diagnostic(path, &given, DiagnosticKind::BadValue, refusal))?;
            texts.push((path.to_owned(), text));
        }
        self.with(&texts)
    }

    /// The same with numbers of quantities, each as it is and written in its SI unit: a tenth of the work, for machines tried by the thousand.
    ///
    /// # Errors
    /// As [`Self::with`].
    pub fn with_exactly<P: AsRef<str>>(&self, changes: &[(P, f64)]) -> Result<Scenario, Diagnostics> {
        let mut new = self.clone();
        for (path, si) in changes {
            let path = path.as_ref();
            let refused =
                |refusal| Change::diagnostic(path, &si.to_string(), DiagnosticKind::BadValue, refusal);
            let setting = setting::find(self, path, "").map_err(|diagnostic| *diagnostic)?;
            let edits = setting.write_si(&mut new.file, *si).map_err(refused)?;
            let text = setting.read(&new).map(|reading| reading.to_string()).unwrap_or_default();
            new.changes.push(Change { setting: path.to_owned(), text, edits });
        }
        new.built = new.check()?;
        Ok(new)
    }

    fn apply(&mut self, setting: &Setting, path: &str, text: &str, found: &mut Diagnostics) {
        match setting.write(&mut self.file, text) {
            Ok(edits) => {
                self.changes.push(Change { setting: path.to_owned(), text: text.to_owned(), edits });
            }
            Err(refusal) => {
                found.push(Change::diagnostic(path, text, DiagnosticKind::BadValue, refusal));
            }
        }
    }

    /// The scenario measured on another of its vehicles: the vehicle ahead stays, what follows is left out.
    ///
    /// # Errors
    /// [`Diagnostics`] when no vehicle has that name or it does not fit past the machine.
    pub fn for_vehicle(&self, name: &str) -> Result<Scenario, Diagnostics> {
        let measured = self.measured_index();
        let mut train: Vec<TrainEntry> = Vec::with_capacity(2);
        train.extend(measured.checked_sub(1).and_then(|ahead| self.file.train.get(ahead)).cloned());
        let mut entry = self.file.train.get(measured).cloned().unwrap_or_else(|| TrainEntry::straight(name));
        entry.vehicle = name.into();
        train.push(entry);
        self.with_train("vehicle.name", name, train)
    }

    /// The scenario with another train, measured on its last vehicle.
    ///
    /// # Errors
    /// [`Diagnostics`] when a vehicle is not known or does not fit past the machine.
    pub fn with_train(
        &self,
        setting: &str,
        text: &str,
        train: Vec<TrainEntry>,
    ) -> Result<Scenario, Diagnostics> {
        let mut new = self.clone();
        let list: Vec<String> = train.iter().map(TrainEntry::ron).collect();
        let measured = u32::try_from(train.len()).unwrap_or(u32::MAX);
        let edits = vec![
            ("train".to_owned(), format!("[{}]", list.join(", "))),
            ("measured".to_owned(), measured.to_string()),
        ];
        new.file.train = train;
        new.file.measured = Some(measured);
        new.changes.push(Change { setting: setting.to_owned(), text: text.to_owned(), edits });
        new.built = new.check()?;
        Ok(new)
    }

    /// The scenario with another outline for its measured vehicle.
    pub(in crate::scenario) fn with_measured_shape(
        &self,
        shape: crate::pass::VehiclePair,
    ) -> Result<Scenario, Diagnostics> {
        let mut new = self.clone();
        let index = self.measured_index();
        if let Some(vehicle) = new.built.train.get_mut(index) {
            vehicle.shape = Arc::new(shape);
        }
        let mut checker = Checker::new(&new.files, &new.changes);
        new.check_room(&mut checker, &new.built.train, &new.built.units);
        checker.stage()?;
        Ok(new)
    }

    /// The scenario with everything that can be found of a unit by measuring stated for these units, as the machine says where nothing was found yet:
    /// so that it can be set.
    ///
    /// # Errors
    /// As [`Self::with`].
    pub fn with_found(&self, sides: &[Side]) -> Result<Scenario, Diagnostics> {
        let mut new = self.clone();
        for &side in sides {
            let (Some(hardware), Some(unit)) = (self.hardware(side), new.file.unit_mut(side)) else {
                continue;
            };
            let edits = crate::scenario::found::fill(side, hardware, unit);
            let text = "as the machine says".to_owned();
            new.changes.push(Change { setting: format!("{}.found", side.name()), text, edits });
        }
        new.built = new.check()?;
        Ok(new)
    }

    /// As [`Self::with_found`], of the units of which one of these paths sets what was found by measuring and the file does not state it; none where
    /// no path does.
    ///
    /// # Errors
    /// As [`Self::with`].
    pub(in crate::scenario) fn stating<'p>(
        &self,
        paths: impl Iterator<Item = &'p str>,
    ) -> Result<Option<Scenario>, Diagnostics> {
        let mut sides: Vec<Side> = Vec::new();
        for path in paths.filter(|path| path.contains(FOUND)) {
            if self.setting(path).is_err()
                && let (side, Some(_)) = (setting::unit_and_rest(path).0, path.split_once(FOUND))
            {
                sides.extend(Side::BOTH.into_iter().filter(|own| side.is_none_or(|side| side == *own)));
            }
        }
        if sides.is_empty() { Ok(None) } else { self.with_found(&sides).map(Some) }
    }

    /// The scenario with something wrong that no setting shows: `alter` makes what a pass is computed from of the sound scenario, with whatever is set later. Where it
    /// gives nothing, the pass is that of the sound scenario.
    pub fn with_hidden(
        &self,
        alter: impl Fn(&Scenario) -> Option<PassSetup> + Send + Sync + 'static,
    ) -> Scenario {
        let mut new = self.clone();
        new.hidden = Some(Hidden::new(alter));
        new
    }

    /// The scenario as its settings say.
    pub fn without_hidden(&self) -> Scenario {
        let mut new = self.clone();
        new.hidden = None;
        new
    }

    /// Whether it hides something.
    pub fn is_hiding(&self) -> bool {
        self.hidden.is_some()
    }

    /// Every setting that exists in this scenario, in the order of the table: line, vehicle, then each unit, then both.
    pub fn settings(&self) -> Vec<Setting> {
        setting::all(self)
    }

    /// The scenario's text with every change written in; comments and layout stay.
    ///
    /// # Errors
    /// [`Diagnostics`] when a change has no place in the text.
    pub fn text(&self) -> Result<String, Diagnostics> {
        let mut text = self.files.first().map(|file| file.text.clone()).unwrap_or_default();
        for change in &self.changes {
            for (path, ron) in &change.edits {
                text = rewrite::set_nested(&text, path, ron).map_err(|error| {
                    let refusal = Refusal {
                        problem: error.to_string(),
                        advice: "write the change into the file by hand".to_owned(),
                        ..Refusal::default()
                    };
                    Change::diagnostic(&change.setting, &change.text, DiagnosticKind::File, refusal)
                })?;
            }
        }
        Ok(text)
    }

    /// The scenario's text with settings changed; comments and layout stay.
    ///
    /// # Errors
    /// As [`Self::with`] and [`Self::text`].
    pub fn rewrite<P: AsRef<str>, V: AsRef<str>>(&self, changes: &[(P, V)]) -> Result<String, Diagnostics> {
        self.with(changes)?.text()
    }
}
