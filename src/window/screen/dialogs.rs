//! What comes in front: the keys, saving as a new file, opening a file.

use std::path::PathBuf;

use egui::{Align2, Grid, Key, RichText, ScrollArea, TextEdit, Window};

use super::{Memory, bold};
use crate::window::app::App;
use crate::window::app::command::{Command, Dialog};
use crate::window::keys;

/// Texts being typed.
#[derive(Debug, Default)]
pub(super) struct Texts {
    save: String,
    open: String,
    shown: Dialog,
}

pub(super) fn show(ui: &egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let fresh = memory.dialogs.shown != app.views.dialog;
    if fresh {
        memory.dialogs.shown = app.views.dialog.clone();
        match app.views.dialog {
            Dialog::SaveAs => memory.dialogs.save = new_name(app),
            Dialog::Open => memory.dialogs.open = app.path().display().to_string(),
            Dialog::None | Dialog::Help => {}
        }
    }
    match app.views.dialog {
        Dialog::None => {}
        Dialog::Help => help(ui, memory, out),
        Dialog::SaveAs => save(ui, app, memory, fresh, out),
        Dialog::Open => open(ui, memory, fresh, out),
    }
}

/// `ferry-return.ron` → `ferry-return-changed.ron`.
fn new_name(app: &App) -> String {
    let stem = app.path().file_stem().map_or_else(|| "scenario".into(), |stem| stem.to_string_lossy());
    app.path().with_file_name(format!("{stem}-changed.ron")).display().to_string()
}

fn front<'a>(title: &'a str, ui: &egui::Ui) -> Window<'a> {
    let screen = ui.ctx().content_rect();
    Window::new(title)
        .collapsible(false)
        .resizable(false)
        .anchor(Align2::CENTER_CENTER, egui::Vec2::ZERO)
        .max_width(screen.width() - 40.0)
        .max_height(screen.height() - 60.0)
}

fn help(ui: &egui::Ui, memory: &mut Memory, out: &mut Vec<Command>) {
    let wide = ui.ctx().content_rect().width() > 1100.0;
    let shown = front("Keys", ui).show(ui.ctx(), |ui| {
        ScrollArea::vertical().show(ui, |ui| {
            let groups = keys::help();
            let half = groups.len().div_ceil(if wide { 3 } else { 2 });
            ui.horizontal_top(|ui| {
                for (index, part) in groups.chunks(half).enumerate() {
                    ui.vertical(|ui| {
                        for (name, lines) in part {
                            ui.label(RichText::new(*name).heading());
                            Grid::new((index, *name)).num_columns(2).spacing(egui::vec2(14.0, 3.0)).show(
                                ui,
                                |ui| {
                                    for (keys, what) in lines {
                                        ui.add(egui::Label::new(RichText::new(keys).family(bold())).extend());
                                        ui.add(egui::Label::new(*what).extend());
                                        ui.end_row();
                                    }
                                },
                            );
                            ui.add_space(6.0);
                        }
                    });
                    ui.add_space(16.0);
                }
            });
        });
        ui.label("Plan view: drag to move, wheel to zoom, double-click to fit, shift and drag to measure.");
        if ui.button("close").clicked() {
            super::top::closes(out);
        }
    });
    if let Some(shown) = shown {
        memory.spot("help", shown.response.rect);
    }
}

fn save(ui: &egui::Ui, app: &App, memory: &mut Memory, fresh: bool, out: &mut Vec<Command>) {
    front("Save as a new file", ui).show(ui.ctx(), |ui| {
        ui.set_min_width(460.0);
        ui.label("Comments and layout of the file stay; changed values are written in. A file that exists is not written over.");
        let edit = ui.add(TextEdit::singleline(&mut memory.dialogs.save).desired_width(f32::INFINITY));
        super::named(&edit, egui::Role::TextInput, "name of the new file");
        if fresh {
            edit.request_focus();
        }
        let entered = edit.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        for (path, text) in app.edits() {
            ui.label(format!("{path} = {text}"));
        }
        ui.horizontal(|ui| {
            let response = ui.button("save");
            memory.spots.insert("dialog:save".into(), rect_of(response.rect));
            if response.clicked() || entered {
                out.push(Command::Save(PathBuf::from(memory.dialogs.save.trim())));
            }
            if ui.button("close").clicked() {
                super::top::closes(out);
            }
        });
    });
}

fn open(ui: &egui::Ui, memory: &mut Memory, fresh: bool, out: &mut Vec<Command>) {
    front("Open a scenario or a lesson", ui).show(ui.ctx(), |ui| {
        ui.set_min_width(460.0);
        let edit = ui.add(TextEdit::singleline(&mut memory.dialogs.open).desired_width(f32::INFINITY));
        super::named(&edit, egui::Role::TextInput, "file to open");
        if fresh {
            edit.request_focus();
        }
        let entered = edit.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        ScrollArea::vertical().max_height(360.0).show(ui, |ui| {
            for (head, list) in [("Scenarios", &memory.files), ("Lessons", &memory.lessons)] {
                if list.is_empty() {
                    continue;
                }
                ui.label(RichText::new(head).heading());
                for path in list {
                    let name =
                        path.file_stem().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
                    let response = ui.selectable_label(false, &name);
                    memory.spots.insert(format!("file:{name}"), rect_of(response.rect));
                    if response.clicked() {
                        out.push(Command::OpenFile(path.clone()));
                    }
                }
            }
        });
        ui.horizontal(|ui| {
            if ui.button("open this file").clicked() || entered {
                out.push(Command::OpenFile(PathBuf::from(memory.dialogs.open.trim())));
            }
            if ui.button("close").clicked() {
                super::top::closes(out);
            }
        });
        ui.label("A file can also be dropped on the window.");
    });
}

const fn rect_of(rect: egui::Rect) -> [f32; 4] {
    [rect.min.x, rect.min.y, rect.max.x - rect.min.x, rect.max.y - rect.min.y]
}
