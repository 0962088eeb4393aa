//! One measure over two settings: a cell for every pair of values, its sign the verdict on all criteria. A click on a cell sets both.

use std::sync::Arc;

use egui::{ComboBox, Sense};

use super::super::{Canvas, Memory, text_size};
use super::{field, measure, sentences, status};
use crate::drawing::chart::Chart;
use crate::drawing::{DisplayList, Rect, pos};
use crate::report::{SweepChart, SweepPicture};
use crate::units::UnitSystem;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::desk::ask::Swept;
use crate::window::app::desk::{DeskCommand, StudyKind, map_settings};

/// The map drawn last, and what it was drawn from.
#[derive(Debug, Default)]
pub(in crate::window::screen) struct Drawn {
    key: Option<Key>,
    list: Arc<DisplayList>,
}

#[derive(Debug, PartialEq)]
struct Key {
    map: usize,
    now: [Option<usize>; 2],
    size: [f64; 2],
    text: f64,
    units: UnitSystem,
}

pub(super) fn page(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let settings = map_settings(app.scenario());
    for (which, (name, values, id)) in
        [("across", "values across", "desk axis across"), ("up", "values up", "desk axis up")]
            .into_iter()
            .enumerate()
    {
        ui.horizontal(|ui| {
            ui.add_sized([44.0, 20.0], egui::Label::new(name));
            let (path, text) = &app.desk.axes[which];
            let shown =
                ComboBox::from_id_salt(id).selected_text(path).width(240.0).truncate().show_ui(ui, |ui| {
                    for setting in &settings {
                        let response = ui.selectable_label(setting.path == *path, &setting.path);
                        if response.on_hover_text(&setting.label).clicked() && setting.path != *path {
                            out.push(Command::Desk(DeskCommand::Axis(which, setting.path.clone())));
                        }
                    }
                });
            super::super::named(&shown.response, egui::Role::ComboBox, id);
            memory.spot(format!("desk:axis:{which}"), shown.response.rect);
            let width = ui.available_width() - 20.0;
            if let Some(text) = field(ui, memory, values, text, width) {
                out.push(Command::Desk(DeskCommand::Values(which, text)));
            }
        });
    }
    ui.horizontal(|ui| {
        ui.add_sized([44.0, 20.0], egui::Label::new("of"));
        measure(ui, app, memory, out);
        let room = ui.available_width() - 4.0;
        status(ui, app, StudyKind::Map, ["run the map", "run the map again"], room, memory, out);
    });
    let Some((found, _)) = app.desk.map.found.clone() else {
        ui.label("A pass for every pair of values: write FIRST..LAST:STEP, or values with commas between. A click on a cell sets both settings.");
        return;
    };
    let mut said = app.desk_said();
    let now = cell_now(app, &found);
    if let [Some(_), Some(_)] = now {
        said.push("Framed: as it is set now.".to_owned());
    }
    sentences(ui, &said);
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click());
    memory.spot("desk:map", rect);
    super::super::named(&response, egui::Role::Canvas, "map of two settings");
    let key = Key {
        map: Arc::as_ptr(&found) as usize,
        now,
        size: [f64::from(rect.width()).floor(), f64::from(rect.height()).floor()],
        text: text_size(app),
        units: app.units,
    };
    if memory.desk.map.key.as_ref() != Some(&key) {
        let title = app.title();
        let picture = SweepPicture {
            title: &title,
            summary: &found.summary,
            limit: found.limit,
            units: app.units,
            text_size: key.text,
        };
        let chart = match key.now {
            [Some(column), Some(row)] => picture.heat_map_at((column, row), key.size[0], key.size[1]),
            _ => picture.draw(SweepChart::HeatMap, key.size[0], key.size[1]),
        };
        let list = chart.map_or_else(DisplayList::default, |Chart { list, .. }| list);
        memory.desk.map = Drawn { key: Some(key), list: Arc::new(list) };
    }
    let list = Arc::clone(&memory.desk.map.list);
    memory.draw(ui, rect.min, Canvas::Desk, &list, app.theme);
    memory.desk.picture = Some(Arc::clone(&list));
    note_cells(rect, &list, memory);
    let item = |at: egui::Pos2| list.at(pos(f64::from(at.x - rect.min.x), f64::from(at.y - rect.min.y)), 0.0);
    if response.clicked() {
        let key = response.interact_pointer_pos().and_then(item).and_then(|item| item.key.as_deref());
        if let Some((column, row)) = key.and_then(cell_of) {
            out.push(Command::Desk(DeskCommand::Load(column, row)));
        }
    } else if let Some(tip) = response.hover_pos().and_then(item).and_then(|item| item.tip.clone()) {
        response.on_hover_text_at_pointer(format!("{tip}\nclick: set both"));
    }
}

/// Column and row in the key of a cell.
fn cell_of(key: &str) -> Option<(usize, usize)> {
    let (column, row) = key.strip_prefix("cell ")?.split_once(' ')?;
    Some((column.parse().ok()?, row.parse().ok()?))
}

/// Which values of the axes stand as they are set now.
fn cell_now(app: &App, found: &Swept) -> [Option<usize>; 2] {
    let Some((axes, _)) = &found.summary.map else { return [None; 2] };
    axes.map(|axis| {
        let axis = &found.summary.axes[axis];
        let setting = app.scenario().setting(&axis.path).ok()?;
        let now = setting.value_si(app.scenario())?;
        axis.labels.iter().position(|label| {
            setting.number(label).is_ok_and(|si| (si - now).abs() <= 1e-9 * si.abs().max(now.abs()).max(1e-9))
        })
    })
}

/// Notes where the cells are.
fn note_cells(rect: egui::Rect, list: &DisplayList, memory: &mut Memory) {
    for item in &list.items {
        if let Some((column, row)) = item.key.as_deref().and_then(cell_of)
            && let crate::drawing::Shape::Polygon { points, .. } = &item.shape
            && let Some(Rect { x, y, width, height }) = Rect::around(points)
        {
            let at = rect.min + egui::vec2(x as f32, y as f32);
            let place = egui::Rect::from_min_size(at, egui::vec2(width as f32, height as f32));
            memory.spot(format!("desk:cell:{column} {row}"), place);
        }
    }
}
