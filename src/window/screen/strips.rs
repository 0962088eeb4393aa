//! Stacked strips over the shared clock. The lines are drawn once for each solve; only the cursor moves with the clock.

use std::sync::Arc;

use egui::Sense;

use super::{Canvas, Memory, text_size};
use crate::arm::Side;
use crate::drawing::chart::Chart;
use crate::drawing::strips::{PinnedSeries, StripOptions, StripQuantity, pass_strips, time_at};
use crate::drawing::{DisplayList, Role, pos};
use crate::pass::Clock;
use crate::units::UnitSystem;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::look::role;
use crate::window::playback::{ClockKind, Command as T};

/// The chart drawn last, and what it was drawn from.
#[derive(Debug, Default)]
pub(super) struct Cache {
    key: Option<Key>,
    chart: Option<Chart>,
    list: Arc<DisplayList>,
    options: Option<StripOptions>,
}

#[derive(Debug, PartialEq)]
struct Key {
    pass: usize,
    pins: Vec<usize>,
    fine: bool,
    width: f64,
    height: f64,
    units: UnitSystem,
    text: f64,
    clock: Clock,
    detail: Side,
}

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    super::why::sides(ui, app, memory, out, "torque, air and events of the");
    super::at_least(ui, super::STRIPS_LEAST, |ui, size| canvas(ui, size, app, memory, out));
}

fn canvas(ui: &mut egui::Ui, size: egui::Vec2, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    memory.spot("strips", rect);
    let Some(pass) = app.shown().cloned() else {
        super::named(&response, egui::Role::Canvas, "strips: nothing solved yet");
        return;
    };
    super::named(&response, egui::Role::Canvas, "strips over the clock");
    let clock = match app.playback.kind() {
        ClockKind::Time => Clock::Time,
        ClockKind::Position => Clock::VehiclePosition,
    };
    let key = Key {
        pass: Arc::as_ptr(&pass) as usize,
        pins: app.pins.iter().map(|(_, pin)| Arc::as_ptr(&pin.record) as usize).collect(),
        fine: pass.is_fine() && app.pins.iter().all(|(_, pin)| pin.record.is_fine()),
        width: f64::from(rect.width()).round(),
        height: f64::from(rect.height()).round(),
        units: app.units,
        text: text_size(app),
        clock,
        detail: app.views.detail,
    };
    if memory.strips.key.as_ref() != Some(&key) {
        let mut options = StripOptions::new(key.width, key.height, app.units);
        options.text_size = key.text;
        options.clock = clock;
        options.detail = key.detail;
        options.quantities = vec![
            StripQuantity::Swing,
            StripQuantity::Torque,
            StripQuantity::Contact,
            StripQuantity::Pressure,
        ];
        if key.height > 900.0 {
            options.quantities.extend([StripQuantity::Spindle, StripQuantity::Stop]);
        }
        options.event_names = key.height > 560.0;
        let pinned: Vec<PinnedSeries<'_>> = app
            .pins
            .iter()
            .filter(|(_, pin)| !Arc::ptr_eq(&pin.record, &pass))
            .map(|(slot, pin)| pin.record.pinned_series(slot))
            .collect();
        let mut chart = pass_strips(&pass.strip_scene(), &pinned, &options);
        chart.list.title = "Over time".to_owned();
        memory.strips.list = Arc::new(std::mem::take(&mut chart.list));
        memory.strips.chart = Some(chart);
        memory.strips.options = Some(options);
        memory.strips.key = Some(key);
    }
    let (Some(chart), Some(options)) = (memory.strips.chart.take(), memory.strips.options.clone()) else {
        return;
    };
    let list = Arc::clone(&memory.strips.list);
    memory.draw(ui, rect.min, Canvas::Strips, &list, app.theme);
    for (index, plot) in chart.plots.iter().enumerate() {
        let area = egui::Rect::from_min_size(
            rect.min + egui::vec2(plot.area.x as f32, plot.area.y as f32),
            egui::vec2(plot.area.width as f32, plot.area.height as f32),
        );
        memory.spot(format!("strip:{index}"), area);
    }
    cursor(ui, rect, app, &chart, &options, memory);
    if let Some(at) = response.interact_pointer_pos()
        && (response.dragged() || response.clicked())
    {
        let at = pos(f64::from(at.x - rect.min.x), f64::from(at.y - rect.min.y));
        let event = response.clicked().then(|| event_at(&list, at, app)).flatten();
        match event {
            Some(time_s) => out.push(Command::Time(T::GoToTime(time_s))),
            None => {
                // Between the strips and past their ends a drag goes on.
                let time = nearest_plot(&chart, at)
                    .and_then(|inside| time_at(&chart, &pass.strip_scene(), &options, inside));
                if let Some(time_s) = time {
                    out.push(Command::Time(T::GoToTime(time_s)));
                }
            }
        }
    } else if let Some(at) = response.hover_pos() {
        let at = pos(f64::from(at.x - rect.min.x), f64::from(at.y - rect.min.y));
        if let Some(tip) = list.at(at, 3.0).and_then(|item| item.tip.clone()) {
            response.on_hover_ui_at_pointer(|ui| {
                ui.label(tip);
            });
        }
    }
    memory.strips.chart = Some(chart);
}

fn nearest_plot(chart: &Chart, at: crate::drawing::Pos) -> Option<crate::drawing::Pos> {
    let area = &chart
        .plots
        .iter()
        .min_by(|a, b| {
            let off = |p: &crate::drawing::Rect| (p.y - at.y).max(at.y - p.bottom()).max(0.0);
            off(&a.area).total_cmp(&off(&b.area))
        })?
        .area;
    Some(pos(at.x.clamp(area.x, area.right()), at.y.clamp(area.y, area.bottom())))
}

/// The time of the event whose name or line is at a position.
fn event_at(list: &DisplayList, at: crate::drawing::Pos, app: &App) -> Option<f64> {
    let key = list.at(at, 3.0)?.key.as_ref()?;
    let (side, name) = key.strip_prefix("event:")?.split_once(':')?;
    let pass = app.shown()?;
    let unit = pass.outcome.units.iter().find(|unit| unit.side.name() == side)?;
    unit.events.iter().find(|event| event.name.name() == name).map(|event| event.time_s)
}

fn cursor(
    ui: &egui::Ui,
    rect: egui::Rect,
    app: &App,
    chart: &Chart,
    options: &StripOptions,
    memory: &mut Memory,
) {
    let (Some(first), Some(last)) = (chart.plots.first(), chart.plots.last()) else { return };
    let Some(pass) = app.shown() else { return };
    let reading = match options.clock {
        Clock::Time => app.t_s(),
        Clock::VehiclePosition => {
            let size = if app.units == UnitSystem::Us { 0.3048 } else { 1.0 };
            app.t_s() * pass.setup.conveyor_speed_m_s / size
        }
    };
    let x = rect.min.x + first.x.at(reading) as f32;
    let (top, bottom) = (rect.min.y + first.area.y as f32, rect.min.y + last.area.bottom() as f32);
    let ink = role(Role::Highlight, app.theme);
    ui.painter().vline(x, top..=bottom, egui::Stroke::new(2.0, ink));
    let tip = [egui::vec2(-6.0, -8.0), egui::vec2(6.0, -8.0), egui::vec2(0.0, 0.0)];
    let tip = tip.map(|d| egui::pos2(x, top) + d).to_vec();
    ui.painter().add(egui::Shape::convex_polygon(tip, ink, egui::Stroke::NONE));
    memory.spot("cursor", egui::Rect::from_min_max(egui::pos2(x, top), egui::pos2(x, bottom)));
}
