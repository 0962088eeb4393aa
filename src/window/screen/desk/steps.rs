//! The one-step table: what one field step of each setting does to the measure. A click on a step takes it.

use egui::{Button, RichText, ScrollArea};

use super::super::{Memory, bold};
use super::{measure, status};
use crate::coverage::measure::Measure;
use crate::drawing::Role;
use crate::report::{NudgeRow, measure_value, nudge_rows, nudge_step_said, short_label};
use crate::study::nudge::Nudge;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::desk::StudyKind;
use crate::window::app::edits::text_said;
use crate::window::look::role;

/// The order of the rows, kept while steps are taken: the row under the pointer stays the row of its setting.
#[derive(Debug, Default)]
pub(in crate::window::screen) struct Order {
    of: Option<(Measure, std::path::PathBuf)>,
    paths: Vec<String>,
}

pub(super) fn page(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.label("what one step does to");
        measure(ui, app, memory, out);
        let response = ui.button("most help first");
        memory.spot("desk:order", response.rect);
        if response.on_hover_text("order the rows anew").clicked() {
            memory.desk.steps.of = None;
        }
    });
    status(ui, app, StudyKind::Steps, ["run", "run again"], ui.available_width(), memory, out);
    let Some((nudge, _)) = app.desk.steps.found.clone() else {
        ui.label("Every setting that a technician can move, one and two field steps each way, the others left alone.");
        return;
    };
    let now = measure_value(nudge.measure, nudge.now.value(nudge.measure), app.units);
    ui.label(RichText::new(format!(
        "{} as it stands: {now}. Press a number to take that step.",
        nudge.measure.label()
    )));
    let (rows, at_all) = nudge_rows(&nudge, app.units);
    let of = (nudge.measure, app.path().to_owned());
    let order = &mut memory.desk.steps;
    if order.of.as_ref() != Some(&of) {
        *order = Order { of: Some(of), paths: Vec::new() };
    }
    for row in rows.iter().filter(|row| !row.does_nothing) {
        if !order.paths.contains(&row.path) {
            order.paths.push(row.path.clone());
        }
    }
    let shown: Vec<&NudgeRow> =
        order.paths.iter().filter_map(|path| rows.iter().find(|row| row.path == *path)).collect();
    let without: Vec<&str> = rows
        .iter()
        .filter(|row| !shown.iter().any(|own| own.path == row.path))
        .map(|row| row.path.as_str())
        .collect();
    ScrollArea::vertical().auto_shrink(false).id_salt("one step").show(ui, |ui| {
        ui.spacing_mut().item_spacing = egui::vec2(GAP, 3.0);
        let factor = super::super::type_factor(app);
        // Bars at the side do not lie over the last column.
        let rest = ui.available_width() - 10.0 - WIDTHS.iter().map(|w| w * factor + GAP).sum::<f32>();
        let name = rest.max(80.0);
        line(ui, factor, name, |ui, at| {
            let heads = ["setting", "step", "one down", "one up", "over ±2", "verdicts"];
            let tips = [
                "a setting that a technician can move",
                "one field step",
                "what one step down does; press it to take it",
                "what one step up does; press it to take it",
                "how the measure goes over two steps either way",
                "how many verdicts turn with one step",
            ];
            let head = egui::Label::new(RichText::new(heads[at]).family(bold())).truncate();
            ui.add(head).on_hover_text(tips[at]);
        });
        for row in &shown {
            let label = named(&nudge, row);
            line(ui, factor, name, |ui, at| match at {
                0 => {
                    let text = ui.add(egui::Label::new(&label).truncate());
                    text.on_hover_text(format!("{label}\n{}", row.path));
                }
                1 => {
                    let setting = app.scenario().setting(&row.path);
                    let step = setting.map(|setting| text_said(&setting, &row.step, app.units));
                    cut(ui, step.as_deref().unwrap_or(&row.step));
                }
                2 => cell(ui, app, &nudge, row, -1, memory, out),
                3 => cell(ui, app, &nudge, row, 1, memory, out),
                4 => cut(ui, row.trend),
                _ => cut(ui, &row.turns),
            });
        }
        if !without.is_empty() {
            ui.label(format!("No effect on it: {}.", without.join(", ")));
        }
        if !at_all.is_empty() {
            ui.label(format!("No effect here on any number: {}.", at_all.join(", ")));
        }
        let mark = crate::report::EDGE_SIGN;
        if shown.iter().any(|row| row.down.contains(mark) || row.up.contains(mark)) {
            ui.label(crate::report::EDGE_SAID);
        }
    });
}

/// Widths of the columns after the first, points, and the room between two.
const WIDTHS: [f32; 5] = [70.0, 72.0, 72.0, 80.0, 88.0];
const GAP: f32 = 6.0;

/// One line of the table, each cell in the room of its column.
fn line(ui: &mut egui::Ui, factor: f32, name: f32, mut cell: impl FnMut(&mut egui::Ui, usize)) {
    ui.horizontal(|ui| {
        let widths = std::iter::once(name).chain(WIDTHS.iter().map(|width| width * factor));
        for (at, width) in widths.enumerate() {
            let layout = egui::Layout::left_to_right(egui::Align::Center);
            ui.allocate_ui_with_layout(egui::vec2(width, 24.0 * factor), layout, |ui| {
                ui.set_min_width(width);
                ui.set_max_width(width);
                cell(ui, at);
            });
        }
    });
}

/// A text that stays in its column; what is cut of it is told on hover.
fn cut(ui: &mut egui::Ui, text: &str) {
    if !text.is_empty() {
        ui.add(egui::Label::new(text).truncate()).on_hover_text(text);
    }
}

/// What a row is about: «both: lower bearing off plumb».
fn named(nudge: &Nudge, row: &NudgeRow) -> String {
    let label = nudge.lines.iter().find(|line| line.path == row.path).map_or("", |line| &line.label);
    let side = row.path.split_once('.').map(|(side, _)| side);
    match side.filter(|side| ["left", "right", "both"].contains(side)) {
        Some(side) => format!("{side}: {}", short_label(label)),
        None => short_label(label).to_owned(),
    }
}

/// One step: what it does; pressed, it is taken. What helps is strong, and its sign says which way it goes.
fn cell(
    ui: &mut egui::Ui,
    app: &App,
    nudge: &Nudge,
    row: &NudgeRow,
    steps: i32,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let text = if steps < 0 { &row.down } else { &row.up };
    let line = nudge.lines.iter().find(|line| line.path == row.path);
    let exists = line.is_some_and(|line| line.at(steps).is_some());
    let gain = line.and_then(|line| line.gain(nudge.measure, steps)).unwrap_or(0.0);
    let seen = text != "0" && exists;
    let label = match (seen, gain) {
        (true, gain) if gain > 0.0 => RichText::new(text).family(bold()).color(role(Role::Pass, app.theme)),
        (true, gain) if gain < 0.0 => RichText::new(text).color(role(Role::Fail, app.theme)),
        _ => RichText::new(text),
    };
    let response =
        ui.add_enabled(exists, Button::new(label).min_size(egui::vec2(ui.available_width(), 22.0)));
    let word = if steps < 0 { "down" } else { "up" };
    super::super::named(&response, egui::Role::Button, &format!("one {word}: {}", row.path));
    if ui.clip_rect().contains_rect(response.rect) {
        memory.spot(format!("desk:{word}:{}", row.path), response.rect);
    }
    let tip = nudge_step_said(nudge, &row.path, steps, app.units).unwrap_or_default();
    if response.on_hover_text(tip).clicked() {
        out.push(Command::Step(row.path.clone(), steps));
    }
}
