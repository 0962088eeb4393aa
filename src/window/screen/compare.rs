//! Side by side: the pinned set-ups and the current one, and their differences in the terms of the job.

use egui::{Grid, RichText, ScrollArea};

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
    ui.separator();
    if table.heads.len() < 2 {
        ui.label(
            "Pin a set-up, then change something: the differences are listed here, and the pinned brushes stay in the plan view as ghosts.",
        );
        if table.heads.is_empty() {
            return;
        }
    }
    let column = ui.available_width();
    ScrollArea::both().auto_shrink(false).show(ui, |ui| {
        Grid::new("differences").striped(true).min_col_width(40.0).spacing(egui::vec2(10.0, 4.0)).show(
            ui,
            |ui| {
                ui.label("");
                for head in &table.heads {
                    ui.vertical(|ui| {
                        ui.label(RichText::new(&head.name).family(bold()).size(16.0))
                            .on_hover_text(&head.words);
                        if let Some(verdict) = head.verdict {
                            ui.label(verdict_text(verdict, theme));
                        }
                    });
                }
                ui.end_row();
                // What differs comes first, each in the fixed order of the measures.
                for differs in [true, false] {
                    for row in table.rows.iter().filter(|row| row.differs == differs) {
                        let name = RichText::new(row.measure.label());
                        let name = egui::Label::new(if differs { name.family(bold()) } else { name }).wrap();
                        let width = (0.3 * column).clamp(96.0, 190.0);
                        ui.allocate_ui(egui::vec2(width, 20.0), |ui| {
                            ui.set_width(width);
                            ui.add(name);
                        });
                        for (value, (change, by)) in row.values.iter().zip(&row.changes) {
                            ui.vertical(|ui| {
                                ui.spacing_mut().item_spacing.y = 0.0;
                                ui.add(egui::Label::new(value).extend());
                                if !by.is_empty() {
                                    let (word, colour) = match change {
                                        Change::Better => (" better", Role::Pass),
                                        Change::Worse => (" worse", Role::Fail),
                                        _ => ("", Role::Muted),
                                    };
                                    let text = RichText::new(format!("{by}{word}"))
                                        .small()
                                        .color(role(colour, theme));
                                    ui.add(egui::Label::new(text).extend());
                                }
                            });
                        }
                        ui.end_row();
                    }
                }
            },
        );
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
