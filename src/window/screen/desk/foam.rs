//! The foam station: what it does, and the map of its regimes over liquid and air pressure.

use std::sync::Arc;

use egui::{RichText, ScrollArea, Sense};

use super::super::{Canvas, Memory, bold};
use super::status;
use crate::report::foam::map::FoamMapPage;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::desk::{DeskCommand, StudyKind};

pub(super) fn page(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    if app.scenario().foam_station().is_none() {
        ui.label("This scenario has no foam station. With a part `foam: (…),` in the file its station stands here, with its settings beside it.");
        return;
    }
    status(ui, app, StudyKind::Foam, ["run", "run again"], ui.available_width(), memory, out);
    let wanted = map_page(ui.available_width() - 12.0, ui.available_height() - 40.0);
    if app.desk.foam_page != wanted {
        out.push(Command::Desk(DeskCommand::FoamPage(wanted)));
    }
    let Some((found, _)) = app.desk.foam.found.clone() else { return };
    ScrollArea::vertical().auto_shrink(false).id_salt("foam").show(ui, |ui| {
        let headline = RichText::new(found.report.headline_said()).family(bold());
        ui.add(egui::Label::new(headline).wrap());
        let size = egui::vec2(found.map.width as f32, found.map.height as f32);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        super::super::named(&response, egui::Role::Canvas, &found.map.description);
        memory.spot("desk:foam map", rect.intersect(ui.clip_rect()));
        let list = Arc::clone(&found.map);
        memory.draw(ui, rect.min, Canvas::Desk, &list, app.theme);
        memory.desk.picture = Some(list);
        ui.add_space(6.0);
        ScrollArea::horizontal().id_salt("foam text").show(ui, |ui| {
            ui.add(egui::Label::new(RichText::new(found.text.trim_end()).monospace()).extend());
        });
    });
}

/// The whole page where there is room for it, else one as large as there is room for, without the key beside the map.
fn map_page(width: f32, height: f32) -> FoamMapPage {
    let whole = FoamMapPage::WHOLE;
    let (width, height) = (f64::from(width), f64::from(height));
    if width >= whole.width && height >= whole.height {
        return whole;
    }
    // In steps, so that a panel that is dragged wider does not ask for a map at every point.
    let [width, height] = [width, height].map(|size| (size / 20.0).floor() * 20.0);
    FoamMapPage { width: width.min(whole.width), height: height.clamp(360.0, whole.height), key: false }
}
