//! The unrolled map: what was washed, laid flat. A click goes to the moment a spot was touched, or says why it was not.

use std::sync::Arc;

use egui::{RichText, Sense};

use super::{Canvas, Memory, text_size};
use crate::drawing::unrolled::{
    Against, MapQuantity, UnrolledMap, UnrolledOptions, difference_map, height_beside_cells, unrolled_map,
};
use crate::drawing::{DisplayList, pos};
use crate::units::UnitSystem;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::solved::SolvedPass;
use crate::window::pins::Slot;

/// The map drawn last, and what it was drawn from.
#[derive(Debug, Default)]
pub(super) struct Cache {
    key: Option<Key>,
    map: Option<UnrolledMap>,
    list: Arc<DisplayList>,
}

#[derive(Debug, PartialEq)]
struct Key {
    pass: usize,
    width: f64,
    height: f64,
    units: UnitSystem,
    text: f64,
    quantity: MapQuantity,
    full_scale: Option<f64>,
    against: Option<usize>,
    t_s: f64,
}

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let room = ui.available_width() / super::type_factor(app);
    ui.horizontal_wrapped(|ui| {
        if room > 470.0 {
            ui.label(RichText::new("washed, laid flat").family(super::bold()));
        }
        let list = egui::ComboBox::from_id_salt("quantity").selected_text(app.views.quantity.name()).show_ui(
            ui,
            |ui| {
                for quantity in MapQuantity::ALL {
                    let on = app.views.quantity == quantity;
                    if ui.selectable_label(on, quantity.name()).on_hover_text(quantity.says()).clicked() {
                        out.push(Command::Quantity(quantity));
                    }
                }
            },
        );
        super::named(&list.response, egui::Role::ComboBox, "quantity of the map");
        list.response.on_hover_text(app.views.quantity.says());
        differs(ui, app, memory, out);
        let said = app.spot().unwrap_or("click a spot: when it was touched, or why it was not");
        // An answer is read whole; the hint only where there is room for it.
        if app.spot().is_some() {
            ui.add(egui::Label::new(said).wrap());
        } else if room > 760.0 {
            ui.add(egui::Label::new(said).truncate()).on_hover_text(said);
        }
    });
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click());
    memory.spot("map", rect);
    let Some(pass) = app.shown().cloned() else {
        super::named(&response, egui::Role::Canvas, "map: nothing solved yet");
        return;
    };
    super::named(&response, egui::Role::Canvas, "unrolled map");
    let against = if app.views.from_a { app.map_against() } else { None };
    let key = Key {
        pass: Arc::as_ptr(&pass) as usize,
        width: f64::from(rect.width()).round(),
        height: f64::from(rect.height()).round(),
        units: app.units,
        text: text_size(app),
        quantity: app.views.quantity,
        full_scale: app.map_scale(app.views.quantity),
        against: against.as_ref().map(|a| Arc::as_ptr(a) as usize),
        t_s: app.t_s(),
    };
    if memory.map.key.as_ref() != Some(&key) {
        let mut options = UnrolledOptions::new(key.width, key.height, app.units);
        options.text_size = key.text;
        options.quantity = key.quantity;
        options.full_scale = key.full_scale;
        // The cells come first: what explains them gives way.
        let scene = pass.scene(app.t_s());
        let cells = |options: &UnrolledOptions| key.height - height_beside_cells(&scene, options);
        options.signs = cells(&options) > 6.0 * key.text;
        options.axes = cells(&options) > 4.0 * key.text;
        let mut map = match &against {
            Some(a) => difference_map(
                &scene,
                &Against { name: Slot::A.letter(), role: Slot::A.role(), solved: &a.solved },
                &options,
            ),
            None => unrolled_map(&scene, &options),
        };
        memory.map.list = Arc::new(std::mem::take(&mut map.list));
        memory.map.map = Some(map);
        memory.map.key = Some(key);
    }
    let Some(map) = memory.map.map.take() else { return };
    let list = Arc::clone(&memory.map.list);
    memory.draw(ui, rect.min, Canvas::Map, &list, app.theme);
    let area = egui::Rect::from_min_size(
        rect.min + egui::vec2(map.area.x as f32, map.area.y as f32),
        egui::vec2(map.area.width as f32, map.area.height as f32),
    );
    memory.spot("map area", area);
    let longest = pass.outcome.gaps.first();
    if let Some(at) = longest.and_then(|gap| map.page_at(gap.band, 0.5 * (gap.start_m + gap.end_m))) {
        let middle = rect.min + egui::vec2(at.x as f32, at.y as f32);
        memory.spot("longest gap", egui::Rect::from_center_size(middle, egui::vec2(2.0, 2.0)));
    }
    let local = |at: egui::Pos2| pos(f64::from(at.x - rect.min.x), f64::from(at.y - rect.min.y));
    if response.clicked()
        && let Some(spot) = response.interact_pointer_pos().and_then(|at| map.spot_at(local(at)))
    {
        out.push(Command::Spot(spot));
    } else if let Some(at) = response.hover_pos()
        && let Some(tip) = list.at(local(at), 3.0).and_then(|item| item.tip.clone())
    {
        response.on_hover_ui_at_pointer(|ui| {
            ui.label(tip);
        });
    }
    memory.map.map = Some(map);
}

/// The difference from A, and whether colours keep their numbers.
fn differs(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let there = app.map_against().is_some();
    let button = egui::Button::selectable(app.views.from_a && there, "now − A");
    let response = ui.add_enabled(there, button);
    memory.spot("button:now − A", response.rect);
    if response.clicked() {
        out.push(Command::FromA(!app.views.from_a));
    }
    response
        .on_hover_text("by how much every spot differs from A; plain where it does not")
        .on_disabled_hover_text(
            "pin a set-up as A, then change something: the map shows by how much every spot differs",
        );
    let held = app.views.scales_held;
    let response = ui.selectable_label(held, "same scale");
    memory.spot("button:same scale", response.rect);
    if response.clicked() {
        out.push(Command::HoldScales(!held));
    }
    let tip = if held {
        "colours mean the same numbers whatever is set; press to let the scale follow what is shown"
    } else {
        "the scale follows what is shown; press to hold the present one for all set-ups"
    };
    response.on_hover_text(tip);
}

fn bare_options(app: &App, width: f64, height: f64) -> UnrolledOptions {
    let mut options = UnrolledOptions::new(width, height, app.units);
    options.text_size = text_size(app);
    options.quantity = app.views.quantity;
    options.full_scale = app.map_scale(app.views.quantity);
    options.signs = false;
    options.axes = false;
    options
}

/// What a map that is only looked at takes of the height beside its cells, points.
pub(super) fn bare_beside(app: &App, pass: &SolvedPass, width: f32) -> f32 {
    let options = bare_options(app, f64::from(width), 0.0);
    height_beside_cells(&pass.scene(app.t_s()), &options) as f32
}

/// A map that is only looked at; where its cells are.
pub(super) fn bare(
    ui: &egui::Ui,
    rect: egui::Rect,
    app: &App,
    memory: &mut Memory,
    pass: &SolvedPass,
    t_s: f64,
    canvas: Canvas,
) -> egui::Rect {
    let options = bare_options(app, f64::from(rect.width()), f64::from(rect.height()));
    let map = unrolled_map(&pass.scene(t_s), &options);
    memory.draw(ui, rect.min, canvas, &Arc::new(map.list), app.theme);
    egui::Rect::from_min_size(
        rect.min + egui::vec2(map.area.x as f32, map.area.y as f32),
        egui::vec2(map.area.width as f32, map.area.height as f32),
    )
}
