//! The shared clock: play, step, speed, and a line to drag with the events of both units as named marks.

use std::sync::Arc;

use egui::{Panel, Sense};

use super::{Canvas, Memory, text_size};
use crate::arm::Side;
use crate::drawing::list::{Anchor, Baseline, Fill, Stroke, Text};
use crate::drawing::strips::position_text;
use crate::drawing::text_width::text_width;
use crate::drawing::{DisplayList, Marker, Rect, Role, Weight, pos};
use crate::units::{Dimension, TimeDim, format};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::keys::{self, Action};
use crate::window::look::role;
use crate::window::playback::{ClockKind, Command as T, SPEEDS};

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    Panel::bottom("clock").resizable(false).show(ui, |ui| {
        ui.add_space(2.0);
        ui.horizontal_wrapped(|ui| controls(ui, app, memory, out));
        line(ui, app, memory, out);
    });
}

fn controls(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let p = &app.playback;
    let mut act = |ui: &mut egui::Ui, text: &str, action: Action, tip: &str| {
        let response = ui.button(text).on_hover_text(format!("{tip} ({})", keys::label(action)));
        memory.spot(format!("button:{text}"), response.rect);
        if response.clicked() {
            out.push(Command::Act(action));
        }
    };
    act(ui, if p.playing() { "stop" } else { "play" }, Action::PlayPause, "play or stop");
    act(ui, "‹ step", Action::StepBack, "a twentieth of a second back");
    act(ui, "step ›", Action::StepForward, "a twentieth of a second on");
    act(ui, "‹ event", Action::PreviousEvent, "to the event before");
    act(ui, "event ›", Action::NextEvent, "to the next event");
    let speeds = egui::ComboBox::from_id_salt("speed")
        .selected_text(speed_text(p.speed()))
        .width(64.0)
        .show_ui(ui, |ui| {
            for speed in SPEEDS {
                if ui.selectable_label(p.speed() == speed, speed_text(speed)).clicked() {
                    out.push(Command::Time(T::Speed(speed)));
                }
            }
        });
    super::named(&speeds.response, egui::Role::ComboBox, "speed");
    let mut looping = p.looping();
    if ui.checkbox(&mut looping, "loop").changed() {
        out.push(Command::Time(T::Loop(looping)));
    }
    ui.separator();
    ui.label("together by");
    for (kind, name, tip) in [
        (ClockKind::Time, "time", "pinned set-ups at the same time"),
        (ClockKind::Position, "vehicle", "pinned set-ups with the vehicle at the same place"),
    ] {
        let response = ui.selectable_label(p.kind() == kind, name).on_hover_text(tip);
        memory.spot(format!("clock:{name}"), response.rect);
        if response.clicked() {
            out.push(Command::Time(T::Clock(kind)));
        }
    }
    ui.separator();
    let speed = app.shown().map_or(0.0, |pass| pass.setup.conveyor_speed_m_s);
    let mark = p.mark_before().map_or(String::new(), |mark| format!("   after {}", mark.name));
    let time = format(TimeDim::INFO, p.time_s(), app.units);
    let text = format!("{time}   nose at {}{mark}", position_text(p.time_s() * speed, app.units));
    ui.add(egui::Label::new(egui::RichText::new(text).family(super::bold())).truncate());
}

fn speed_text(speed: f64) -> String {
    if speed >= 1.0 { format!("{speed:.0} ×") } else { format!("1/{:.0} ×", 1.0 / speed) }
}

/// Left edge of the marks, points: room for the names of the sides.
const LEFT: f64 = 46.0;
const RIGHT: f64 = 14.0;

fn line(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let size = text_size(app);
    let sides: Vec<Side> = app.scenario().unit_models().iter().map(|unit| unit.side).collect();
    let row = 1.6 * size;
    let height = row * sides.len() as f64 + 8.0;
    let width = f64::from(ui.available_width());
    let (rect, response) =
        ui.allocate_exact_size(egui::vec2(width as f32, height as f32), Sense::click_and_drag());
    super::named(&response, egui::Role::Canvas, "clock line");
    let across = Across { width, range: app.playback.clock_range() };
    let (list, marks) = draw(app, &sides, &across, size, row, height);
    memory.draw(ui, rect.min, Canvas::Timeline, &Arc::new(list), app.theme);
    memory.spot("timeline", rect);
    for mark in &marks {
        let top = rect.min.y + 4.0 + (mark.row as f64 * row) as f32;
        let left = rect.min.x + mark.from as f32;
        let place = egui::vec2((mark.to - mark.from) as f32, row as f32);
        memory.spot(format!("event:{}", mark.name), egui::Rect::from_min_size(egui::pos2(left, top), place));
    }
    let x = rect.min.x + across.x(app.playback.clock()) as f32;
    let ink = egui::Stroke::new(2.0, role(Role::Highlight, app.theme));
    ui.painter().vline(x, rect.y_range(), ink);
    ui.painter().circle_filled(egui::pos2(x, rect.min.y + 4.0), 4.0, ink.color);
    let pointer = response.interact_pointer_pos().or(response.hover_pos());
    let Some(at) = pointer else { return };
    let at_x = f64::from(at.x - rect.min.x);
    let at_row = ((f64::from(at.y - rect.min.y) - 4.0) / row).floor() as usize;
    let near = marks
        .iter()
        .filter(|mark| mark.row == at_row)
        .min_by(|a, b| mark_distance(a, at_x).total_cmp(&mark_distance(b, at_x)))
        .filter(|mark| mark_distance(mark, at_x) <= 5.0);
    if response.clicked() {
        out.push(Command::Time(match near {
            Some(mark) => T::GoToTime(mark.time_s),
            None => T::Scrub(across.value(at_x)),
        }));
    } else if response.dragged() {
        out.push(Command::Time(T::Scrub(across.value(at_x))));
    } else if let Some(mark) = near {
        let text = format!("{} at {}", mark.name, format(TimeDim::INFO, mark.time_s, app.units));
        response.on_hover_ui_at_pointer(|ui| {
            ui.label(text);
        });
    }
}

struct Across {
    width: f64,
    range: [f64; 2],
}

impl Across {
    fn x(&self, value: f64) -> f64 {
        let share = (value - self.range[0]) / (self.range[1] - self.range[0]).max(1e-9);
        LEFT + share.clamp(0.0, 1.0) * (self.width - LEFT - RIGHT)
    }

    fn value(&self, x: f64) -> f64 {
        let share = ((x - LEFT) / (self.width - LEFT - RIGHT).max(1.0)).clamp(0.0, 1.0);
        self.range[0] + share * (self.range[1] - self.range[0])
    }
}

struct Placed {
    time_s: f64,
    name: String,
    row: usize,
    from: f64,
    to: f64,
}

/// How far a position is from a mark or its name; 0 on it.
fn mark_distance(mark: &Placed, x: f64) -> f64 {
    (mark.from - x).max(x - mark.to).max(0.0)
}

fn draw(
    app: &App,
    sides: &[Side],
    across: &Across,
    size: f64,
    row: f64,
    height: f64,
) -> (DisplayList, Vec<Placed>) {
    let mut list = DisplayList::new(across.width, height);
    list.title = "Clock".to_owned();
    let mut placed = Vec::new();
    for (index, side) in sides.iter().enumerate() {
        let y = 4.0 + (index as f64 + 0.5) * row;
        let unit = if *side == Side::Left { Role::LeftUnit } else { Role::RightUnit };
        let name = Text::new(pos(6.0, y), size, unit, side.name()).bold();
        list.push(name.anchored(Anchor::Start, Baseline::Middle));
        list.line(
            pos(LEFT, y),
            pos(across.width - RIGHT, y),
            Stroke::new(1.0, Role::Grid).dashed(unit.style().dash),
        );
        let prefix = format!("{}: ", side.name());
        let marks: Vec<_> =
            app.playback.marks().iter().filter(|mark| mark.name.starts_with(&prefix)).collect();
        let at = |time_s: f64| across.x(clock_of(app, time_s));
        for (place, mark) in marks.iter().enumerate() {
            let x = at(mark.time_s);
            let words = &mark.name[prefix.len()..];
            let next = marks.get(place + 1).map_or(across.width, |next| at(next.time_s));
            let from = x + 0.7 * size;
            let to = from + text_width(words, size, Weight::Regular);
            let fits = to + 0.6 * size <= next;
            let marker = if *side == Side::Left { Marker::Disc } else { Marker::Square };
            list.mark(pos(x, y), marker, 0.7 * size, unit);
            if fits {
                let box_ = Rect::new(from - 2.0, y - 0.7 * size, to - from + 4.0, 1.4 * size);
                list.rect(box_, Fill::solid(Role::Panel), None);
                let text = Text::new(pos(from, y), size, Role::Ink, words);
                list.push(text.anchored(Anchor::Start, Baseline::Middle));
            }
            placed.push(Placed {
                time_s: mark.time_s,
                name: mark.name.clone(),
                row: index,
                from: x - 0.4 * size,
                to: if fits { to } else { x + 0.4 * size },
            });
        }
    }
    (list, placed)
}

/// The reading of the shared clock at a time of the lead pass.
fn clock_of(app: &App, time_s: f64) -> f64 {
    let speed = app.shown().map_or(1.0, |pass| pass.setup.conveyor_speed_m_s);
    match app.playback.kind() {
        ClockKind::Time => time_s,
        ClockKind::Position => time_s * speed,
    }
}
