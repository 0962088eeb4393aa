//! Why: one plain sentence for each brush, its torques as bars, and every criterion with its number and limit.

use std::sync::Arc;

use egui::{RichText, ScrollArea, Sense};

use super::{Canvas, Memory, bold, text_size, verdict_text};
use crate::arm::Side;
use crate::coverage::{Explanation, Verdict, explain};
use crate::drawing::Role;
use crate::drawing::picture::criterion_numbers;
use crate::drawing::why::{WhyOptions, why_picture};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::solved::{SolvedPass, most_torque_n_m};
use crate::window::look::role;

/// Buttons for the unit looked at closely, when there are two.
pub(super) fn sides(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>, words: &str) {
    let units = app.scenario().unit_models();
    if units.len() < 2 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(words);
        for unit in units {
            let name = format!("{} unit", unit.side.name());
            let response = ui.selectable_label(app.views.detail == unit.side, &name);
            memory.spot(format!("detail:{}", unit.side.name()), response.rect);
            if response.clicked() {
                out.push(Command::Detail(unit.side));
            }
        }
    });
}

/// The sentences under the plan view.
pub(super) fn line(ui: &mut egui::Ui, app: &App) {
    ui.add_space(3.0);
    let said = match app.shown() {
        Some(pass) => explain(&pass.setup, &pass.record, app.t_s()),
        None => Vec::new(),
    };
    // Room for two lines of each, so that the plan view does not jump while the clock runs.
    let row = ui.text_style_height(&egui::TextStyle::Body);
    for unit in app.scenario().unit_models() {
        let height = 2.0 * row + 2.0;
        ui.allocate_ui(egui::vec2(ui.available_width(), height), |ui| {
            ui.set_min_height(height);
            let Some(said) = said.iter().find(|s| s.side == unit.side) else { return };
            let text = if said.instant.ended {
                format!("The {} unit is on to the next vehicle.", unit.side.name())
            } else {
                crate::sentences::why(said, app.units)
            };
            ui.label(RichText::new(text).color(role(side_role(unit.side), app.theme)));
        });
    }
    ui.add_space(1.0);
}

const fn side_role(side: Side) -> Role {
    match side {
        Side::Left => Role::LeftUnit,
        Side::Right => Role::RightUnit,
    }
}

/// The bars.
pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let Some(pass) = app.shown().cloned() else {
        ui.label("solving …");
        return;
    };
    let said = explain(&pass.setup, &pass.record, app.t_s());
    // Each needs room for its sentence and a line for each cause.
    let both = f64::from(ui.available_height()) > 47.0 * text_size(app) && said.len() > 1;
    if !both {
        sides(ui, app, memory, out, "torques on the");
    }
    let least = super::BARS_LEAST * text_size(app) as f32;
    super::at_least(ui, least, |ui, size| bars(ui, size, app, memory, &pass, &said, both));
}

fn bars(
    ui: &mut egui::Ui,
    size: egui::Vec2,
    app: &App,
    memory: &mut Memory,
    pass: &SolvedPass,
    said: &[Explanation],
    both: bool,
) {
    let shown: Vec<_> = said.iter().filter(|s| both || s.side == app.views.detail).collect();
    let height = size.y / shown.len().max(1) as f32 - if both { 4.0 } else { 0.0 };
    for said in shown {
        let (rect, response) = ui.allocate_exact_size(egui::vec2(size.x, height), Sense::hover());
        let mut options = WhyOptions::new(f64::from(size.x), f64::from(height), app.units);
        options.text_size = text_size(app);
        let need = crate::drawing::words::round_up(most_torque_n_m(&said.instant));
        options.full_scale_n_m = Some(pass.torque_scale_n_m().max(need));
        let list = Arc::new(why_picture(said, &options));
        super::named(&response, egui::Role::Canvas, &format!("{}. {}", list.title, list.description));
        memory.draw(ui, rect.min, Canvas::Why(said.side), &list, app.theme);
        memory.spot(format!("why:{}", said.side.name()), rect);
    }
}

/// Every criterion.
pub(super) fn limits(ui: &mut egui::Ui, app: &App) {
    let Some(pass) = app.shown() else {
        ui.label("solving …");
        return;
    };
    if pass.outcome.verdicts.is_empty() {
        ui.label("The scenario sets no criteria.");
        return;
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        // What fails comes first, then what is close; within each the order of the scenario.
        let mut lines: Vec<_> = pass.outcome.verdicts.iter().collect();
        lines.sort_by_key(|line| match line.verdict {
            Verdict::Fail => 0,
            Verdict::Marginal => 1,
            Verdict::Pass => 2,
        });
        for line in lines {
            ui.spacing_mut().item_spacing.y = 0.0;
            ui.horizontal_wrapped(|ui| {
                ui.label(verdict_text(line.verdict, app.theme));
                ui.label(line.label()).on_hover_text(line.criterion.row().says);
            });
            ui.horizontal_wrapped(|ui| {
                let (value, limit) = criterion_numbers(line, app.units);
                ui.label(RichText::new(value).family(bold()));
                let way = if line.criterion.at_least() { "at least" } else { "at most" };
                let limit = format!("{way} {limit} asked");
                ui.label(RichText::new(limit).color(role(Role::Muted, app.theme)));
            });
            ui.add_space(7.0);
        }
    });
}
