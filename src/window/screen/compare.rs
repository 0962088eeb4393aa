//! Side by side: the pinned set-ups and the current one, and their differences in the terms of the job.

use egui::{RichText, ScrollArea};

use super::{Memory, bold, verdict_text};
use crate::drawing::Role;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::compare::{Change, table};
use crate::window::keys::{self, Action};
use crate::window::look::role;
use crate::window::pins::Slot;

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let theme = app.theme;
    let table = table(app);
    for (slot, action) in Slot::ALL.into_iter().zip([Action::PinA, Action::PinB, Action::PinC]) {
        ui.horizontal(|ui| {
            sample(ui, slot.role(), theme);
            ui.label(RichText::new(slot.letter()).family(bold()).color(role(slot.role(), theme)));
            let (word, name) = match app.pins.get(slot) {
                Some(pin) => ("let go", pin.name.as_str()),
                None => ("pin", "free: pin what is shown"),
            };
            let response = ui.button(word).on_hover_text(keys::label(action));
            memory.spot(format!("slot:{}", slot.letter()), response.rect);
            if response.clicked() {
                out.push(if app.pins.get(slot).is_some() {
                    Command::Unpin(slot)
                } else {
                    Command::Pin(slot)
                });
            }
            ui.add(egui::Label::new(name).wrap());
        });
    }
    if table.heads.len() > 1 {
        let tip = format!(
            "both plan views on one clock, in the presentation view ({})",
            keys::label(Action::TwoPlans)
        );
        let response = ui.button("beside each other").on_hover_text(tip);
        memory.spot("compare:two plans", response.rect);
        if response.clicked() {
            out.push(Command::Act(Action::TwoPlans));
        }
    }
    ui.separator();
    if table.heads.len() < 2 {
        ui.label(
            "Pin a set-up, then change something: the differences are listed here, and the pinned brushes stay in the plan view as ghosts.",
        );
        if table.heads.is_empty() {
            return;
        }
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let each = (ui.available_width() - 6.0) / table.heads.len() as f32 - ui.spacing().item_spacing.x;
        columns(ui, each, &table.heads, |ui, head| {
            ui.label(RichText::new(&head.name).family(bold()).size(16.0)).on_hover_text(&head.words);
            if let Some(verdict) = head.verdict {
                ui.label(verdict_text(verdict, theme));
            }
        });
        ui.separator();
        for row in &table.rows {
            let name = RichText::new(row.measure.label());
            let name = if row.differs { name.family(bold()) } else { name };
            ui.add(egui::Label::new(name).wrap()).on_hover_text(row.measure.row().says);
            let cells: Vec<_> = row.values.iter().zip(&row.changes).collect();
            columns(ui, each, &cells, |ui, (value, (change, by))| {
                ui.spacing_mut().item_spacing.y = 0.0;
                ui.add(egui::Label::new(*value).truncate());
                if !by.is_empty() {
                    let (word, colour) = match change {
                        Change::Better => (" better", Role::Pass),
                        Change::Worse => (" worse", Role::Fail),
                        _ => ("", Role::Muted),
                    };
                    let text = RichText::new(format!("{by}{word}")).small().color(role(colour, theme));
                    ui.add(egui::Label::new(text).truncate());
                }
            });
            ui.add_space(2.0);
        }
    });
}

/// One cell of equal width for each item.
fn columns<T>(ui: &mut egui::Ui, width: f32, items: &[T], cell: impl Fn(&mut egui::Ui, &T)) {
    ui.horizontal_top(|ui| {
        for item in items {
            let layout = egui::Layout::top_down(egui::Align::Min);
            ui.allocate_ui_with_layout(egui::vec2(width, 0.0), layout, |ui| {
                ui.set_width(width);
                cell(ui, item);
            });
        }
    });
}

/// A sample of a pinned set-up's line.
fn sample(ui: &mut egui::Ui, which: Role, theme: crate::drawing::Theme) {
    use crate::drawing::{DisplayList, Stroke, pos};
    let (rect, _) = ui.allocate_exact_size(egui::vec2(34.0, 14.0), egui::Sense::hover());
    let mut list = DisplayList::new(34.0, 14.0);
    let style = which.style();
    list.line(pos(1.0, 7.0), pos(33.0, 7.0), Stroke::new(2.0, which).dashed(style.dash));
    crate::window::paint::draw_list(ui.painter(), rect.min, &list, theme);
}
