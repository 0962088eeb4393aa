//! The shared clock: play, step, speed, and a line to drag with the events of both units as named marks.

use std::sync::Arc;

use egui::{Panel, Sense};

use super::{Canvas, Memory, text_size};
use crate::arm::Side;
use crate::drawing::list::{Anchor, Baseline, Fill, Stroke, Text};
use crate::drawing::strips::position_text;
use crate::drawing::text_width::text_width;
use crate::drawing::{DisplayList, Marker, Rect, Role, Weight, pos};
use crate::report::CAUTION_LINE;
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
        caution(ui, app, memory);
    });
}

/// What to mind before a hand does what was set here, while something of the machine differs from the file, and what fault is shown. Under all the rest, so that nothing
/// moves that is being turned, and no other control changes its number.
fn caution(ui: &mut egui::Ui, app: &App, memory: &mut Memory) {
    let mut line = |ui: &mut egui::Ui, text: egui::RichText| {
        let response = ui.add(egui::Label::new(text).wrap());
        memory.spot("caution", response.rect);
    };
    if let Some(fault) = app.cause_shown() {
        let text = format!("Shown with a fault: {fault}. No setting shows it.");
        line(ui, egui::RichText::new(text).family(super::bold()).color(role(Role::Fail, app.theme)));
    }
    if app.touches_machine() {
        line(ui, egui::RichText::new(CAUTION_LINE).color(role(Role::Warn, app.theme)));
    }
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
        let what = if mark.is_name { "event name" } else { "event" };
        memory.spot(format!("{what}:{}", mark.name), egui::Rect::from_min_size(egui::pos2(left, top), place));
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
    /// The name beside or before the mark, not the mark itself.
    is_name: bool,
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
        let marker = if *side == Side::Left { Marker::Disc } else { Marker::Square };
        let known: Vec<(f64, &str)> = marks
            .iter()
            .map(|mark| (across.x(clock_of(app, mark.time_s)), &mark.name[prefix.len()..]))
            .collect();
        let mut place = |index_of_mark: usize, is_name: bool, from: f64, to: f64| {
            let (time_s, name) = (marks[index_of_mark].time_s, marks[index_of_mark].name.clone());
            placed.push(Placed { time_s, name, is_name, row: index, from, to });
        };
        for name in names(&known, size, [LEFT, across.width]) {
            place(name.mark, true, name.from, name.to);
            let (wide, tall) = (name.to - name.from + 4.0, 1.4 * size);
            list.rect(Rect::new(name.from - 2.0, y - 0.5 * tall, wide, tall), Fill::solid(Role::Panel), None);
            let text = Text::new(pos(name.from, y), size, Role::Ink, name.words);
            list.push(text.anchored(Anchor::Start, Baseline::Middle));
        }
        for (mark, (x, _)) in known.iter().enumerate() {
            list.mark(pos(*x, y), marker, 0.7 * size, unit);
            place(mark, false, x - 0.4 * size, x + 0.4 * size);
        }
    }
    (list, placed)
}

/// A name on the clock line.
#[derive(Debug, PartialEq)]
struct Name {
    mark: usize,
    from: f64,
    to: f64,
    words: String,
}

/// Where the names of marks (place and word, from the left) stand: to the right of a mark where the next one leaves room. Marks that crowd have
/// their names before the first of them, in their order, as far as there is room; the rest have theirs on hover.
fn names(marks: &[(f64, &str)], size: f64, [left, right]: [f64; 2]) -> Vec<Name> {
    let wide = |words: &str| text_width(words, size, Weight::Regular);
    let beside = 0.7 * size;
    let fits = |i: usize| {
        let next = marks.get(i + 1).map_or(right, |next| next.0);
        marks[i].0 + beside + wide(marks[i].1) + 0.6 * size <= next
    };
    let mut found: Vec<Name> = Vec::new();
    let (mut i, mut free_from) = (0, left);
    while i < marks.len() {
        let (x, words) = marks[i];
        if fits(i) {
            let from = x + beside;
            found.push(Name { mark: i, from, to: from + wide(words), words: words.to_owned() });
            free_from = from + wide(words) + beside;
            i += 1;
            continue;
        }
        let crowd = i..(i..marks.len()).find(|&k| fits(k)).unwrap_or(marks.len());
        let between = wide(", ");
        let ends = x - beside;
        let room = ends - free_from;
        let mut count = crowd.len();
        let needed = |count: usize| {
            let names: f64 = marks[i..i + count].iter().map(|mark| wide(mark.1)).sum();
            names
                + between * count.saturating_sub(1) as f64
                + if count < crowd.len() { wide(", …") } else { 0.0 }
        };
        while count > 0 && needed(count) > room {
            count -= 1;
        }
        let mut from = ends - needed(count);
        for (k, mark) in marks.iter().enumerate().skip(i).take(count) {
            let last = k + 1 == i + count;
            let after = match (last, count < crowd.len()) {
                (false, _) => ",",
                (true, true) => ", …",
                (true, false) => "",
            };
            let words = format!("{}{after}", mark.1);
            found.push(Name { mark: k, from, to: from + wide(&words), words });
            from += wide(mark.1) + between;
        }
        free_from = marks[crowd.end - 1].0 + beside;
        i = crowd.end;
    }
    found
}

/// The reading of the shared clock at a time of the lead pass.
fn clock_of(app: &App, time_s: f64) -> f64 {
    let speed = app.shown().map_or(1.0, |pass| pass.setup.conveyor_speed_m_s);
    match app.playback.kind() {
        ClockKind::Time => time_s,
        ClockKind::Position => time_s * speed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_names_stand_beside_their_marks_or_before_the_crowd() {
        let marks = [(100.0, "first touch"), (600.0, "corner"), (610.0, "passes"), (640.0, "nose")];
        let found = names(&marks, 12.0, [0.0, 800.0]);
        let words: Vec<&str> = found.iter().map(|name| name.words.as_str()).collect();
        assert_eq!(words, ["first touch", "corner,", "passes", "nose"]);
        assert!(found[0].from > 100.0 && found[1].from > found[0].to && found[2].from > found[1].to);
        assert!(found[2].to < 600.0 && found[3].from > 640.0 && found[3].to < 800.0);
    }

    #[test]
    fn verif_names_without_room_are_left_out_and_none_lie_over_another() {
        let crowd: Vec<(f64, &str)> =
            (0..9).map(|i| (200.0 + 7.0 * f64::from(i), "back on the tail")).collect();
        let found = names(&crowd, 12.0, [0.0, 300.0]);
        assert!(!found.is_empty() && found.len() < 9, "{found:?}");
        assert!(found.last().is_some_and(|name| name.words.ends_with('…')), "{found:?}");
        for pair in found.windows(2) {
            assert!(pair[0].to <= pair[1].from, "{pair:?}");
        }
        let near_the_edge = [(3.0, "first touch"), (8.0, "corner")];
        assert!(names(&near_the_edge, 12.0, [0.0, 20.0]).is_empty());
    }
}
