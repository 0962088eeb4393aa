//! Readings of the machine against the model: what they say, where each lies, what was learned.

use std::path::PathBuf;
use std::sync::Arc;

use egui::{Grid, RichText, ScrollArea};

use super::{Canvas, Memory, bold, text_size};
use crate::drawing::Role;
use crate::drawing::readings::readings_picture;
use crate::report::{READING_CAUTION, calibrate_answer, learned_rows};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::fit::{Fitted, Readings};
use crate::window::look::role;

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let file = |path: &std::path::Path| {
        let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        crate::visible::visible_line(&name).into_owned()
    };
    if let Some(path) = app.readings().path() {
        ui.add(egui::Label::new(RichText::new(file(path)).family(bold())).wrap());
    }
    match app.readings() {
        Readings::None => none(ui, app, memory, out),
        Readings::Fitting(_) => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("The model is being fitted to these readings; some seconds.");
            });
        }
        Readings::Failed(_, reason) => {
            ScrollArea::both().auto_shrink(false).show(ui, |ui| {
                ui.add(egui::Label::new(RichText::new(reason).monospace()).extend());
                ui.separator();
                others(ui, memory, out);
            });
        }
        Readings::Fitted(fitted) => {
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                shown(ui, app, memory, fitted, out);
            });
        }
    }
}

fn none(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.label(
        "A quarter hour of measuring makes the model this machine: pulls, swings, gaps, the gauge, the strip on a tail. «brusharm sheet --blank» prints the form. Open a file of readings, or drop it on the window.",
    );
    ui.add_space(6.0);
    others(ui, memory, out);
    ui.add_space(6.0);
    ui.label(RichText::new(READING_CAUTION).color(role(Role::Warn, app.theme)));
}

/// The files of readings beside the scenario.
fn others(ui: &mut egui::Ui, memory: &mut Memory, out: &mut Vec<Command>) {
    let list: Vec<PathBuf> = memory.readings.clone();
    for path in list {
        let name = path.file_stem().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        let response = ui.button(crate::visible::visible_line(&name).as_ref());
        memory.spot(format!("readings:{name}"), response.rect);
        if response.clicked() {
            out.push(Command::OpenFile(path));
        }
    }
}

fn shown(ui: &mut egui::Ui, app: &App, memory: &mut Memory, fitted: &Arc<Fitted>, out: &mut Vec<Command>) {
    let readings = &fitted.request.text.file.readings;
    ui.horizontal_wrapped(|ui| {
        let save = ui
            .button("save with these values")
            .on_hover_text("Writes a new file beside the scenario, with each value, where it comes from and how sure it is, and opens it.");
        memory.spot("readings:save", save.rect);
        if save.clicked() {
            out.push(Command::SaveFitted);
        }
        if app.fit_is_stale() {
            let again = ui.button("fit again").on_hover_text("Settings were changed since.");
            memory.spot("readings:again", again.rect);
            if again.clicked() {
                out.push(Command::FitAgain);
            }
        }
    });
    for (i, sentence) in calibrate_answer(&fitted.calibration, readings, app.units).iter().enumerate() {
        let text = RichText::new(sentence);
        let text = if i == 0 { text.family(bold()) } else { text.color(role(Role::Fail, app.theme)) };
        ui.add(egui::Label::new(text).wrap());
    }
    ui.add_space(4.0);
    let width = f64::from(ui.available_width());
    let list = Arc::new(readings_picture(&fitted.lines, width, text_size(app)));
    let size = egui::vec2(width as f32, list.height as f32);
    let (rect, response) = ui.allocate_exact_size(size, egui::Sense::hover());
    super::named(&response, egui::Role::Image, "readings against the model");
    memory.spot("readings:picture", rect);
    memory.draw(ui, rect.min, Canvas::Readings, &list, app.theme);
    if let Some(at) = response.hover_pos() {
        let at = at - rect.min;
        let under = list.at(crate::drawing::pos(f64::from(at.x), f64::from(at.y)), 4.0);
        if let Some(tip) = under.and_then(|item| item.tip.clone()) {
            response.on_hover_text(tip);
        }
    }
    ui.add_space(4.0);
    ui.label(RichText::new("What was learned").family(bold()));
    Grid::new("learned").num_columns(4).striped(true).spacing(egui::vec2(8.0, 3.0)).show(ui, |ui| {
        for head in ["setting", "assumed", "now", "± left"] {
            ui.label(RichText::new(head).color(role(Role::Muted, app.theme)));
        }
        ui.end_row();
        for [setting, assumed, around, now, sure, left] in learned_rows(&fitted.calibration, app.units) {
            ui.scope(|ui| {
                ui.set_max_width(0.36 * width as f32);
                ui.add(egui::Label::new(setting).wrap());
            });
            ui.label(format!("{assumed}\n± {around}"));
            ui.label(RichText::new(format!("{now}\n± {sure}")).family(bold()));
            ui.label(left);
            ui.end_row();
        }
    });
    ui.label("± is one standard deviation; «± left» is what is left of what was assumed.");
}
