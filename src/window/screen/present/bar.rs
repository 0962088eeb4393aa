//! The row at the foot: the clock, and in a lesson its steps.

use egui::{Align, Button, Layout, RichText, Sense, vec2};

use super::{LEAST, px};
use crate::drawing::Role;
use crate::units::{Dimension, TimeDim, format};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::keys::{self, Action};
use crate::window::look::role;
use crate::window::playback::Command as T;
use crate::window::screen::Memory;

pub(super) fn row(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.add_space(px(app, 4.0));
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            button(ui, app, memory, out, ("leave", Action::Present, true), "back to the settings");
            let two = if app.present.two_plans { "one plan" } else { "two plans" };
            let there = app.beside().0.is_some();
            button(
                ui,
                app,
                memory,
                out,
                (two, Action::TwoPlans, there),
                "two set-ups beside each other, or one",
            );
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| left(ui, app, memory, out));
        });
    });
    ui.add_space(px(app, 4.0));
}

fn left(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    if let Some(run) = app.lesson() {
        let (first, last) = (run.state.at() == 0, app.present.recap);
        let word = if run.state.waits_for_answer() { "answer" } else { "next" };
        let back = ("back", Action::LessonBack, !first && !run.waiting);
        let next = (word, Action::LessonNext, !last && !run.waiting);
        button(ui, app, memory, out, back, "back one step");
        button(ui, app, memory, out, next, "the answer, then the next step");
        ui.label(RichText::new(run.state.progress()).size(px(app, LEAST)));
    }
    let word = if app.playback.playing() { "stop" } else { "play" };
    button(ui, app, memory, out, (word, Action::PlayPause, true), "play or stop");
    button(ui, app, memory, out, ("the tail", Action::PlayTail, true), "the chase at a quarter speed");
    let speed = app.playback.speed();
    let slow = if speed < 1.0 { format!(" at 1/{:.0}", 1.0 / speed) } else { String::new() };
    let time = format!("{}{slow}", format(TimeDim::INFO, app.t_s(), app.units));
    // As wide as it may become, so that nothing moves while the clock runs.
    let widest = super::texts::galley(ui, app, "−00.00 s at 1/16", LEAST, true, 1e4).size().x;
    ui.allocate_ui_with_layout(
        vec2(widest, ui.available_height()),
        Layout::left_to_right(Align::Center),
        |ui| {
            ui.set_width(widest);
            ui.label(RichText::new(time).size(px(app, LEAST)).family(super::bold()));
        },
    );
    scrub(ui, app, memory, out);
}

fn button(
    ui: &mut egui::Ui,
    app: &App,
    memory: &mut Memory,
    out: &mut Vec<Command>,
    (text, action, on): (&str, Action, bool),
    tip: &str,
) {
    let button = Button::new(RichText::new(text).size(px(app, LEAST)));
    let response = ui.add_enabled(on, button).on_hover_text(format!("{tip} ({})", keys::label(action)));
    memory.spot(format!("present:{text}"), response.rect);
    if response.clicked() {
        // The keys stay with the clock and the steps.
        response.surrender_focus();
        out.push(Command::Act(action));
    }
}

/// A line to drag, with a stroke for every event.
fn scrub(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let size = vec2(ui.available_width().max(20.0), px(app, 40.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    memory.spot("present:clock", rect);
    super::super::named(&response, egui::Role::Slider, "clock line");
    let [start, end] = app.playback.clock_range();
    let x = |value: f64| {
        let share = ((value - start) / (end - start).max(1e-9)).clamp(0.0, 1.0);
        rect.left() + share as f32 * rect.width()
    };
    let painter = ui.painter_at(rect);
    let y = rect.center().y;
    let rail = egui::Stroke::new(px(app, 6.0), role(Role::Grid, app.theme));
    painter.line_segment([egui::pos2(rect.left(), y), egui::pos2(rect.right(), y)], rail);
    let speed = app.shown().map_or(1.0, |pass| pass.setup.conveyor_speed_m_s);
    let by_time = app.playback.kind() == crate::window::playback::ClockKind::Time;
    for mark in app.playback.marks() {
        let at = x(if by_time { mark.time_s } else { mark.time_s * speed });
        let stroke = egui::Stroke::new(px(app, 3.0), role(Role::Muted, app.theme));
        painter.line_segment([egui::pos2(at, y - px(app, 10.0)), egui::pos2(at, y + px(app, 10.0))], stroke);
    }
    let now = egui::pos2(x(app.playback.clock()), y);
    painter.circle_filled(now, px(app, 12.0), role(Role::Highlight, app.theme));
    if (response.dragged() || response.clicked())
        && let Some(at) = response.interact_pointer_pos()
    {
        let share = f64::from(((at.x - rect.left()) / rect.width().max(1.0)).clamp(0.0, 1.0));
        out.push(Command::Time(T::Scrub(start + share * (end - start))));
    }
}
