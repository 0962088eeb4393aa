//! What a lesson says: large type, one step at a time, the answer on demand.

use egui::{Button, RichText, ScrollArea};

use super::{Memory, bold};
use crate::drawing::Role;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::keys::{self, Action};
use crate::window::look::role;

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let Some(run) = app.lesson() else { return };
    let room = app.views.room;
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        ui.add(egui::Label::new(RichText::new(&run.lesson.file.title).family(bold())).truncate());
    });
    ui.horizontal(|ui| {
        ui.label(format!("step {}", run.state.progress()));
        if ui.button("leave").on_hover_text("close the lesson (Esc)").clicked() {
            out.push(Command::CloseLesson);
        }
        let present = ui.button("present").on_hover_text(keys::label(Action::Present));
        memory.spot("lesson:present", present.rect);
        if present.clicked() {
            out.push(Command::Act(Action::Present));
        }
        let full = ui.selectable_label(app.views.full_screen, "full screen");
        memory.spot("lesson:full screen", full.rect);
        if full.on_hover_text(keys::label(Action::FullScreen)).clicked() {
            out.push(Command::Act(Action::FullScreen));
        }
    });
    ui.separator();
    let buttons = 44.0 * room + 8.0;
    ScrollArea::vertical()
        .auto_shrink(false)
        .max_height(ui.available_height() - buttons)
        .id_salt(run.state.at())
        .show(ui, |ui| {
            let texts = &run.texts;
            ui.label(RichText::new(&texts.heading).family(bold()).size(26.0 * room));
            ui.add_space(8.0);
            ui.label(RichText::new(&texts.caption).size(20.0 * room));
            for (slot, name) in &texts.pins {
                let slot = crate::window::app::lesson::slot(*slot);
                ui.add_space(6.0);
                let text = format!("{}: {name}", slot.letter());
                ui.label(
                    RichText::new(text).size(18.0 * room).family(bold()).color(role(slot.role(), app.theme)),
                );
            }
            if !texts.question.is_empty() {
                ui.add_space(12.0);
                ui.label(RichText::new(&texts.question).size(20.0 * room).family(bold()));
            }
            if run.state.answer_shown() {
                ui.add_space(8.0);
                egui::Frame::group(ui.style())
                    .stroke(egui::Stroke::new(2.0, role(Role::Highlight, app.theme)))
                    .show(ui, |ui| {
                        ui.label(RichText::new(&texts.answer).size(20.0 * room));
                    });
            }
        });
    ui.horizontal(|ui| {
        let first = run.state.at() == 0;
        let last = run.state.at() + 1 == run.state.count() && !run.state.waits_for_answer();
        let word = if run.state.waits_for_answer() { "answer" } else { "next" };
        for (text, action, on) in [("back", Action::LessonBack, !first), (word, Action::LessonNext, !last)] {
            let button = Button::new(RichText::new(text).size(20.0 * room))
                .min_size(egui::vec2(96.0 * room, 36.0 * room));
            let response = ui.add_enabled(on && !run.waiting, button).on_hover_text(keys::label(action));
            memory.spot(
                format!("lesson:{}", if action == Action::LessonBack { "back" } else { "next" }),
                response.rect,
            );
            if response.clicked() {
                out.push(Command::Act(action));
            }
        }
    });
}
