//! The plan view: drawn from the solved pass at the clock's instant, with the pinned set-ups as ghosts; pan, zoom, measure.

use std::sync::Arc;

use egui::Sense;

use super::{Canvas, Memory, text_size};
use crate::arm::{Side, StopPin};
use crate::drawing::plan_view::{Ghost, PlanOptions, PlanShow, plan_view};
use crate::drawing::words::short_length;
use crate::drawing::{DisplayList, Frame, Item, Pos, Rect, Shape, pos};
use crate::units::UnitSystem;
use crate::window::app::command::{Command, Front};
use crate::window::app::parts::Part;
use crate::window::app::solved::SolvedPass;
use crate::window::app::{App, Arrows};
use crate::window::keys::{self, Action};
use crate::window::view2d::Mode;

/// The list drawn last, and what it was drawn from.
#[derive(Debug, Default)]
pub(super) struct Cache {
    key: Option<Key>,
    list: Arc<DisplayList>,
}

#[derive(Debug, PartialEq)]
struct Key {
    pass: usize,
    pins: Vec<usize>,
    t_s: f64,
    width: f64,
    height: f64,
    frame: Frame,
    units: UnitSystem,
    text: f64,
    show: PlanShow,
    pressure_scale_pa: Option<f64>,
}

pub(super) fn canvas(ui: &mut egui::Ui, app: &mut App, memory: &mut Memory, out: &mut Vec<Command>) {
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
    memory.spot("plan", rect);
    let (width, height) = (f64::from(rect.width()), f64::from(rect.height()));
    let mut options = PlanOptions::new(width, height, app.units);
    options.text_size = text_size(app);
    options.show = show(app);
    options.room_for_ghosts = app.pins.iter().count();
    app.set_page(options.ground_area().inset(12.0));
    let Some(pass) = app.shown().cloned() else {
        super::named(&response, egui::Role::Canvas, "plan view: nothing solved yet");
        return;
    };
    options.frame = Some(*app.camera.frame());
    options.stop_pins = pass.stop_pins.iter().map(copy_of).collect();
    options.pressure_scale_pa = app.pressure_scale_pa();
    let key = Key {
        pass: Arc::as_ptr(&pass) as usize,
        pins: app.pins.iter().map(|(_, pin)| Arc::as_ptr(&pin.record) as usize).collect(),
        t_s: app.t_s(),
        width,
        height,
        frame: *app.camera.frame(),
        units: app.units,
        text: options.text_size,
        show: options.show,
        pressure_scale_pa: options.pressure_scale_pa,
    };
    if memory.plan.key.as_ref() != Some(&key) {
        let ghosts: Vec<Ghost<'_>> = app
            .pins
            .iter()
            .filter(|(_, pin)| !Arc::ptr_eq(&pin.record, &pass))
            .map(|(slot, pin)| pin.record.ghost(slot))
            .collect();
        memory.plan.list = Arc::new(plan_view(&pass.scene(app.t_s()), &ghosts, &options));
        memory.plan.key = Some(key);
    }
    super::named(&response, egui::Role::Canvas, &format!("plan view. {}", memory.plan.list.description));
    let list = Arc::clone(&memory.plan.list);
    note_parts(rect, &list, memory);
    memory.draw(ui, rect.min, Canvas::Plan, &list, app.theme);
    pointer(ui, rect, &response, app, memory, out);
}

fn show(app: &App) -> PlanShow {
    PlanShow {
        forces: app.views.arrows == Arrows::Shown,
        clock: false,
        // Nothing that is asked of a class is told before its time.
        missed_in_the_end: !app.lesson().is_some_and(|run| run.state.waits_for_answer()),
        few_labels: app.present.on,
        ..PlanShow::default()
    }
}

fn bare_options(app: &App, width: f64, height: f64) -> PlanOptions {
    let mut options = PlanOptions::new(width, height, app.units);
    options.text_size = text_size(app);
    // What lines mean stands under the single plan view; here each needs all the height there is.
    options.show = PlanShow { legend: false, ..show(app) };
    options.room_for_ghosts = 0;
    options
}

/// The ground of a plan view without pointer on a page.
pub(super) fn bare_area(app: &App, page: Rect) -> Rect {
    bare_options(app, page.width, page.height).ground_area()
}

/// A plan view that is only looked at.
pub(super) struct Bare<'a> {
    /// The set-up.
    pub pass: &'a SolvedPass,
    /// The instant, s.
    pub t_s: f64,
    /// From the ground to the page, shared with the one beside it.
    pub frame: Frame,
}

/// Draws it.
pub(super) fn bare(
    ui: &egui::Ui,
    rect: egui::Rect,
    app: &App,
    memory: &mut Memory,
    shown: &Bare<'_>,
    canvas: Canvas,
) {
    let mut options = bare_options(app, f64::from(rect.width()), f64::from(rect.height()));
    options.frame = Some(shown.frame);
    options.stop_pins = shown.pass.stop_pins.clone();
    options.pressure_scale_pa = app.pressure_scale_pa();
    let list = Arc::new(plan_view(&shown.pass.scene(shown.t_s), &[], &options));
    memory.draw(ui, rect.min, canvas, &list, app.theme);
}

/// The part of the machine or the vehicle under a page position.
fn part_at(list: &DisplayList, at: Pos) -> Option<(Part, Option<Side>)> {
    list.at(at, 4.0).and_then(|item| item.key.as_deref()).and_then(Part::of_key)
}

/// Where the holes of the left stop pin and the left bearings are, for tests.
fn note_parts(rect: egui::Rect, list: &DisplayList, memory: &mut Memory) {
    for part in ["stop-pin", "pivot"] {
        let key = format!("{part}:left");
        let mut at = None;
        list.items.iter().for_each(|item| {
            item.walk(&mut |inner| {
                if inner.key.as_deref() == Some(&key) && at.is_none() {
                    at = place_of(inner);
                }
            });
        });
        if let Some(at) = at {
            let middle = rect.min + egui::vec2(at.x as f32, at.y as f32);
            memory.spot(format!("part:{part}"), egui::Rect::from_center_size(middle, egui::vec2(2.0, 2.0)));
        }
    }
}

/// Some place on an item.
fn place_of(item: &Item) -> Option<Pos> {
    let mut at = None;
    item.walk(&mut |inner| {
        let own = match &inner.shape {
            Shape::Circle { centre, .. } => Some(*centre),
            Shape::Polygon { points, .. } | Shape::Polyline { points, .. } => {
                Rect::around(points).map(|around| around.centre())
            }
            _ => None,
        };
        at = at.or(own);
    });
    at
}

fn copy_of(pin: &Option<StopPin>) -> Option<StopPin> {
    pin.clone()
}

fn pointer(
    ui: &egui::Ui,
    rect: egui::Rect,
    response: &egui::Response,
    app: &App,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let frame = *app.camera.frame();
    let local = |at: egui::Pos2| pos(f64::from(at.x - rect.min.x), f64::from(at.y - rect.min.y));
    let shift = ui.input(|input| input.modifiers.shift);
    if response.drag_started()
        && shift
        && let Some(at) = response.interact_pointer_pos()
    {
        memory.tape.start(frame.ground_from_page(local(at)));
    }
    if response.dragged() {
        match (memory.tape.pulling(), response.interact_pointer_pos()) {
            (true, Some(at)) => memory.tape.pull(frame.ground_from_page(local(at))),
            _ => {
                let by = response.drag_delta();
                if by != egui::Vec2::ZERO {
                    out.push(Command::Pan(f64::from(by.x), f64::from(by.y)));
                }
            }
        }
    }
    if response.drag_stopped() {
        memory.tape.hold();
    }
    if response.double_clicked() {
        out.push(Command::Fit);
    } else if response.clicked() {
        memory.tape.clear();
        // No settings stand beside a lesson or a presentation.
        let here = app.lesson().is_none() && !app.present.on;
        if let Some(at) = response.interact_pointer_pos().filter(|_| here)
            && let Some((part, side)) = part_at(&memory.plan.list, local(at))
        {
            out.push(Command::ChoosePart(part, side));
        }
    }
    memory.tape.draw(ui, rect, &frame, app);
    let Some(at) = response.hover_pos() else { return };
    let wheel = ui.input(|input| input.smooth_scroll_delta.y);
    if wheel != 0.0 {
        out.push(Command::Zoom((f64::from(wheel) / 200.0).exp(), local(at)));
    }
    if response.dragged() {
        return;
    }
    let [x_m, y_m] = frame.ground_from_page(local(at));
    let side = if y_m >= 0.0 { "left" } else { "right" };
    let place = format!(
        "{} {} lane zero, {} {side} of the centreline",
        short_length(x_m.abs(), app.units),
        if x_m >= 0.0 { "past" } else { "before" },
        short_length(y_m.abs(), app.units)
    );
    let tip = memory.plan.list.at(local(at), 4.0).and_then(|item| item.tip.clone());
    response.clone().on_hover_ui_at_pointer(|ui| {
        if let Some(tip) = tip {
            ui.label(egui::RichText::new(tip).family(super::bold()));
        }
        ui.label(place);
        let tip = "click a part: its setting; shift and drag: tape measure";
        ui.label(egui::RichText::new(tip).small());
    });
}

/// The line of buttons above the plan view.
/// With too little height for both, plan view and map are two sides of which one is seen.
pub(super) fn tools(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>, low: bool) {
    egui::Panel::top("tools").resizable(false).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            let (mut front, mut tab) = (None, None);
            let mut act = |ui: &mut egui::Ui, on: bool, text: &str, action: Action, tip: &str| {
                let response = ui.selectable_label(on, text);
                memory.spot(format!("button:{text}"), response.rect);
                if response.on_hover_text(format!("{tip} ({})", keys::label(action))).clicked() {
                    out.push(Command::Act(action));
                }
            };
            let title = egui::RichText::new("from above").family(super::bold());
            if low {
                let response = ui.selectable_label(!app.views.map_front, title);
                front = response.clicked().then_some(Front::Plan);
                tab = Some(response.rect);
            } else {
                ui.label(title);
            }
            act(ui, app.camera.mode() == Mode::Fit, "fit", Action::Fit, "show everything");
            act(
                ui,
                app.camera.mode() == Mode::Follow,
                "follow",
                Action::Follow,
                "follow the vehicle, or not",
            );
            let arrows = app.views.arrows == Arrows::Shown;
            act(ui, arrows, "forces", Action::Forces, "force and friction arrows on the brushes");
            let response =
                ui.selectable_label(if low { app.views.map_front } else { app.views.map }, "washed map");
            memory.spot("button:map", response.rect);
            if response.on_hover_text("the unrolled map of what was washed").clicked() {
                if low {
                    front = Some(Front::Map);
                } else {
                    out.push(Command::Map(!app.views.map));
                }
            }
            out.extend(front.map(Command::Front));
            if let Some(tab) = tab {
                memory.spot("tab:plan", tab);
            }
            if app.solving() {
                ui.label("solving …");
            }
        });
    });
}
