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
        Dialog::Help => help(ui, app, memory, out),
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

fn help(ui: &egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    // As many columns as there is room for in letters of this size.
    let room = ui.ctx().content_rect().width() / super::type_factor(app);
    let columns = if room > 1100.0 { 3 } else { 1 + usize::from(room > 760.0) };
    let shown = front("Keys", ui).show(ui.ctx(), |ui| {
        // What stands around the list takes more lines where it is narrow.
        let around = if columns == 1 { 270.0 } else { 200.0 };
        let most = ui.ctx().content_rect().height() - around * super::type_factor(app).max(1.0);
        ScrollArea::vertical().max_height(most).min_scrolled_height(most).show(ui, |ui| {
            let groups = keys::help();
            let parts = spread(&groups, columns);
            ui.horizontal_top(|ui| {
                for (index, part) in parts.into_iter().enumerate() {
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
        ui.label("Plan view: drag to move, wheel to zoom, double-click to fit, click a part for its setting, shift and drag to measure.");
        ui.label("A lesson in the presentation view: ← and → go through its steps, Home and End to the first and the last.");
        if ui.button("close").clicked() {
            super::top::closes(out);
        }
    });
    if let Some(shown) = shown {
        memory.spot("help", shown.response.rect);
    }
}

/// Groups of lines in so many columns, in order, the longest as short as can be.
fn spread<'a, T>(groups: &'a [(&'static str, Vec<T>)], columns: usize) -> Vec<&'a [(&'static str, Vec<T>)]> {
    // A heading takes the room of two lines.
    let height =
        |part: &[(&'static str, Vec<T>)]| part.iter().map(|(_, lines)| lines.len() + 2).sum::<usize>();
    if columns < 2 || groups.len() < 2 {
        return vec![groups];
    }
    let tallest =
        |parts: &Vec<&[(&'static str, Vec<T>)]>| parts.iter().map(|part| height(part)).max().unwrap_or(0);
    (1..groups.len())
        .map(|first| {
            let mut parts = vec![&groups[..first]];
            parts.extend(spread(&groups[first..], columns - 1));
            parts
        })
        .min_by_key(tallest)
        .unwrap_or_else(|| vec![groups])
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
            super::note_settled(&mut memory.spots, ui, "dialog:save", response.rect);
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
    front("Open a scenario, a lesson or readings", ui).show(ui.ctx(), |ui| {
        ui.set_min_width(460.0);
        let edit = ui.add(TextEdit::singleline(&mut memory.dialogs.open).desired_width(f32::INFINITY));
        super::named(&edit, egui::Role::TextInput, "file to open");
        if fresh {
            edit.request_focus();
        }
        let entered = edit.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        ui.horizontal_top(|ui| {
            for (head, list) in
                [("Scenarios", &memory.files), ("Lessons", &memory.lessons), ("Readings", &memory.readings)]
            {
                if list.is_empty() {
                    continue;
                }
                ui.vertical(|ui| {
                    ui.set_width(224.0);
                    ui.label(RichText::new(head).heading());
                    ScrollArea::vertical().id_salt(head).max_height(360.0).show(ui, |ui| {
                        for path in list {
                            let name = path
                                .file_stem()
                                .map_or_else(String::new, |n| n.to_string_lossy().into_owned());
                            let response = ui.selectable_label(false, &name);
                            super::note_settled(&mut memory.spots, ui, format!("file:{name}"), response.rect);
                            if response.clicked() {
                                out.push(Command::OpenFile(path.clone()));
                            }
                        }
                    });
                });
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_columns_keep_the_order_and_are_as_short_as_can_be() {
        let groups: Vec<(&'static str, Vec<u8>)> =
            [("a", 11), ("b", 9), ("c", 7), ("d", 4), ("e", 3), ("f", 11)]
                .map(|(name, count)| (name, vec![0; count]))
                .to_vec();
        let names = |columns| {
            let parts = spread(&groups, columns);
            parts.iter().map(|part| part.iter().map(|g| g.0).collect::<String>()).collect::<Vec<_>>()
        };
        // 13, 20 and 24 lines with their headings: no other cut has a longest column under 24.
        assert_eq!(names(3), ["a", "bc", "def"]);
        assert_eq!(names(2), ["ab", "cdef"]);
        assert_eq!(spread(&groups[..1], 3).len(), 1);
        assert!(keys::help().len() >= 5, "there is something to spread");
    }
}
