//! The line above: the verdict, what is pinned, units, theme, files. Under it, what is wrong.

use egui::{Align, Layout, Panel, RichText};

use super::{Memory, bold, type_factor, verdict_text};
use crate::coverage::headline;
use crate::drawing::picture::headline_text;
use crate::drawing::text_width::text_width;
use crate::drawing::{Role, Theme, Weight};
use crate::units::UnitSystem;
use crate::window::app::App;
use crate::window::app::command::{Command, Dialog};
use crate::window::keys::{self, Action};
use crate::window::look::role;
use crate::window::pins::Slot;

pub(super) fn bar(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    Panel::top("verdict").resizable(false).show(ui, |ui| {
        ui.add_space(2.0);
        if ui.available_width() < NARROW * type_factor(app) {
            // The verdict gets a line of its own before anything of it is cut.
            ui.horizontal(|ui| verdict(ui, app));
            ui.horizontal_wrapped(|ui| buttons(ui, app, memory, out, false));
            ui.add_space(2.0);
            return;
        }
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                buttons(ui, app, memory, out, true);
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| verdict(ui, app));
            });
        });
        ui.add_space(2.0);
    });
}

fn verdict(ui: &mut egui::Ui, app: &App) {
    let factor = type_factor(app);
    let Some(pass) = app.shown() else {
        ui.label(RichText::new("solving …").size(18.0));
        return;
    };
    let text = match headline_text(&pass.outcome, app.units) {
        Some((verdict, text)) => {
            ui.label(verdict_text(verdict, app.theme).size(19.0 * factor));
            text
        }
        None => "no criterion set".to_owned(),
    };
    // A little smaller before its limit is cut off, and on two lines before it is too small.
    let wide = text_width(&text, 18.0, Weight::Bold) as f32 * factor;
    let share = (ui.available_width() - 4.0) / wide.max(1.0);
    let size = 18.0 * factor * share.clamp(0.72, 1.0);
    let label = egui::Label::new(RichText::new(&text).size(size).family(bold()));
    let label = if share < 0.72 { label.wrap() } else { label.truncate() };
    let says = headline(&pass.outcome.verdicts).map_or("", |(_, line)| line.criterion.row().says);
    ui.add(label).on_hover_text(format!("{text}\n{says}"));
}

/// Narrower than this, points, the buttons stand under the verdict.
const NARROW: f32 = 960.0;

/// The buttons, from the right edge backwards where they stand beside the verdict.
fn buttons(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>, backwards: bool) {
    if !backwards {
        pins(ui, app, memory, out, backwards);
    }
    let mut act = |ui: &mut egui::Ui, text: &str, action: Action, tip: &str| {
        let on = action == Action::Desk && app.desk.open;
        let button = egui::Button::new(text).selected(on);
        let response = ui.add(button).on_hover_text(format!("{tip} ({})", keys::label(action)));
        memory.spot(format!("button:{text}"), response.rect);
        if response.clicked() {
            out.push(Command::Act(action));
        }
    };
    let theme = if app.theme == Theme::Light { "dark" } else { "light" };
    let units = if app.units == UnitSystem::Us { "SI" } else { "US" };
    let mut all = [
        ("open", Action::Open, "open a scenario or a lesson"),
        ("desk", Action::Desk, "studies of what is set: throughput, one step, recommend, two settings, foam"),
        ("sheet", Action::MakeSheet, "write the set-up sheet: found as in the file, left as set"),
        ("save as", Action::SaveAs, "save what is set as a new file"),
        ("present", Action::Present, "presentation view, for a class"),
        (units, Action::Units, "show numbers in US customary or SI units"),
        (theme, Action::Theme, "light or dark"),
        ("? keys", Action::Help, "every shortcut"),
    ];
    if backwards {
        all.reverse();
    }
    for (text, action, tip) in all {
        act(ui, text, action, tip);
    }
    if backwards {
        ui.separator();
        pins(ui, app, memory, out, backwards);
        ui.separator();
    }
}

fn pins(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>, backwards: bool) {
    let mut slots = Slot::ALL;
    if backwards {
        slots.reverse();
    } else {
        ui.label("pin");
    }
    for slot in slots {
        let pinned = app.pins.get(slot);
        let mark = format!("{}{}", slot.letter(), if pinned.is_some() { " •" } else { "" });
        let text = RichText::new(mark).family(bold()).color(role(slot.role(), app.theme));
        let tip = match pinned {
            Some(pin) => {
                format!("{}: {}. Press to pin what is shown, or to let go.", slot.letter(), pin.name)
            }
            None => format!("pin what is shown as {}", slot.letter()),
        };
        let response = ui.selectable_label(pinned.is_some(), text).on_hover_text(tip);
        super::named(&response, egui::Role::Button, &format!("pin {}", slot.letter()));
        memory.spot(format!("pin:{}", slot.letter()), response.rect);
        if response.clicked() {
            out.push(Command::Pin(slot));
        }
    }
    if backwards {
        ui.label("pin");
    }
}

/// What is wrong, and what there is to tell, under the line.
pub(super) fn troubles(ui: &mut egui::Ui, app: &App, out: &mut Vec<Command>) {
    let troubles: Vec<(&str, &str, bool)> = [
        (
            "The file on disk cannot be read. What was read from it last stays, with what is set here; a good file is read by itself.",
            app.file_trouble(),
            false,
        ),
        ("This set-up cannot be solved; the last one that could is shown.", app.solve_trouble(), false),
        ("", app.told(), true),
    ]
    .into_iter()
    .filter_map(|(head, text, told)| Some((head, text?, told)))
    .collect();
    if troubles.is_empty() {
        return;
    }
    Panel::top("troubles").resizable(false).show(ui, |ui| {
        for (head, text, told) in troubles {
            ui.horizontal_top(|ui| {
                if told && ui.button("close").clicked() {
                    out.push(Command::Dismiss);
                }
                ui.vertical(|ui| {
                    if !head.is_empty() {
                        ui.label(RichText::new(head).family(bold()).color(role(Role::Fail, app.theme)));
                    }
                    let lines = text.lines().count();
                    let body = RichText::new(text);
                    let body = if lines > 1 { body.monospace() } else { body };
                    egui::ScrollArea::vertical()
                        .max_height(190.0)
                        .min_scrolled_height(190.0)
                        .id_salt(head)
                        .show(ui, |ui| {
                            ui.label(body);
                        });
                });
            });
        }
    });
}

/// A button that opens or closes what is in front.
pub(super) fn closes(out: &mut Vec<Command>) {
    out.push(Command::Dialog(Dialog::None));
}
