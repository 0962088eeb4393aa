//! What is asked of what is shown: pin it, save it, make its sheet, say when a spot of the map was touched.

use std::path::PathBuf;
use std::sync::Arc;

use super::command::{Dialog, Effect};
use super::sheet::SheetAsked;
use super::{App, edits};
use crate::coverage::touch_answer;
use crate::drawing::unrolled::Spot;
use crate::window::pins::Slot;
use crate::window::playback;

impl App {
    pub(super) fn pin(&mut self, slot: Slot) -> Vec<Effect> {
        let Some(pass) = self.shown().cloned() else { return Vec::new() };
        if self
            .pins
            .get(slot)
            .is_some_and(|pin| pin.record.edits == pass.edits && Arc::ptr_eq(&pin.record, &pass))
        {
            self.pins.unpin(slot);
            return Vec::new();
        }
        let name = edits::words(&pass.scenario, &pass.edits);
        self.pins.pin(slot, name, pass);
        Vec::new()
    }

    pub(super) fn clicked(&mut self, spot: Spot) -> Vec<Effect> {
        let Some(pass) = self.shown().cloned() else { return Vec::new() };
        let answer =
            touch_answer(&pass.setup, &pass.record, &pass.outcome, &pass.settings, (spot.band, spot.station));
        if let Some(answer) = answer {
            self.playback.command(playback::Command::GoToTime(answer.instant_s()));
            self.spot = Some(crate::sentences::touched(&answer, self.units));
        }
        Vec::new()
    }

    pub(super) fn save(&mut self, path: PathBuf) -> Vec<Effect> {
        match self.scenario.text() {
            Ok(text) => {
                self.views.dialog = Dialog::None;
                vec![Effect::Write { path, text }]
            }
            Err(refused) => {
                self.told = Some(refused.to_string());
                Vec::new()
            }
        }
    }

    /// Asks for the sheet of what is shown. A lesson has none: it may hide what is wrong.
    pub(super) fn ask_for_sheet(&mut self) -> Vec<Effect> {
        if self.lesson.is_some() {
            self.told = Some("A lesson has no sheet; leave the lesson first.".to_owned());
            return Vec::new();
        }
        self.told = Some("Making the sheet: every setting is moved until a verdict turns …".to_owned());
        let file = self.path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        vec![Effect::MakeSheet(Box::new(SheetAsked {
            found: self.base.clone(),
            left: self.scenario.clone(),
            edits: self.edits.now().clone(),
            file,
            units: self.units,
        }))]
    }
}
