//! One measure over throughput, with the present point on it. A click or a drag on the curve sets the throughput.

use std::sync::Arc;

use egui::{ScrollArea, Sense};

use super::super::{Canvas, Memory, text_size};
use super::{field, measure, sentences, status};
use crate::drawing::chart::Chart;
use crate::drawing::{DisplayList, Rect, Role};
use crate::report::{CurveBeside, SweepPicture};
use crate::units::UnitSystem;
use crate::units::job::per_hour;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::desk::ask::THROUGHPUT;
use crate::window::app::desk::{DeskCommand, StudyKind};

/// Least height of the curve with its words, points.
const LEAST_CHART: f32 = 210.0;

/// The curve drawn last, and what it was drawn from.
#[derive(Debug, Default)]
pub(in crate::window::screen) struct Drawn {
    key: Option<Key>,
    plot: Option<crate::drawing::chart::Plot>,
    list: Arc<DisplayList>,
}

#[derive(Debug, PartialEq)]
struct Key {
    curve: usize,
    band: Option<usize>,
    now: Option<[f64; 2]>,
    size: [f64; 2],
    text: f64,
    units: UnitSystem,
}

pub(super) fn page(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        measure(ui, app, memory, out);
        ui.label("over throughput, veh/h");
        if let Some(text) = field(ui, memory, "throughputs", &app.desk.over, 110.0) {
            out.push(Command::Desk(DeskCommand::Over(text)));
        }
    });
    let spreads = app.scenario().spread().is_ok_and(|factors| !factors.is_empty());
    ui.horizontal(|ui| {
        let room = ui.available_width() - ui.spacing().item_spacing.x - 4.0;
        let own = if spreads { 0.5 * room } else { room };
        status(ui, app, StudyKind::Curve, ["run", "run again"], own, memory, out);
        if spreads {
            let words = ["add the band as things spread", "run the band again"];
            status(ui, app, StudyKind::Band, words, own, memory, out);
        }
    });
    let Some((curve, _)) = app.desk.curve.found.clone() else {
        ui.label("What the measure comes to at each throughput, where it fails, and where you stand. A click on the curve sets the throughput.");
        return;
    };
    // In a low window the sentences are scrolled, so that the curve stays one.
    let most = (ui.available_height() - LEAST_CHART).max(44.0);
    ScrollArea::vertical().id_salt("curve said").max_height(most).show(ui, |ui| {
        sentences(ui, &app.desk_said());
    });
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
    memory.spot("desk:curve", rect);
    super::super::named(&response, egui::Role::Canvas, "curve over throughput");
    let summary = &curve.swept.summary;
    // A band of another set-up does not belong to this curve, nor one of this set-up to an older curve.
    let is_of_now = |kind| !app.is_stale(kind);
    let found = app.desk.band.found.as_ref().filter(|_| is_of_now(StudyKind::Band));
    let band = found.map(|(band, _)| band).filter(|_| is_of_now(StudyKind::Curve));
    let now = app.now(summary.measure).map(|[per_s, si]| [per_hour(per_s), si]);
    let key = Key {
        curve: Arc::as_ptr(&curve) as usize,
        band: band.map(|band| Arc::as_ptr(band) as usize),
        now,
        size: [f64::from(rect.width()).floor(), f64::from(rect.height()).floor()],
        text: text_size(app),
        units: app.units,
    };
    if memory.desk.curve.key.as_ref() != Some(&key) {
        let title = app.title();
        let picture = SweepPicture {
            title: &title,
            summary,
            limit: curve.swept.limit,
            units: app.units,
            text_size: key.text,
        };
        // In the style of the set-up that is set: neither a unit nor a pinned set-up has it.
        let style = Role::Current.style();
        let beside = CurveBeside { style, band: band.map(|band| &**band), now };
        let chart = picture.curve(&beside, key.size[0], key.size[1]);
        let Chart { list, plots } = chart
            .unwrap_or_else(|| Chart { list: DisplayList::new(key.size[0], key.size[1]), plots: Vec::new() });
        memory.desk.curve = Drawn { plot: plots.into_iter().next(), list: Arc::new(list), key: Some(key) };
    }
    let list = Arc::clone(&memory.desk.curve.list);
    memory.draw(ui, rect.min, Canvas::Desk, &list, app.theme);
    memory.desk.picture = Some(list);
    let Some(plot) = memory.desk.curve.plot else { return };
    let Rect { x, y, width, height } = plot.area;
    let corner = rect.min + egui::vec2(x as f32, y as f32);
    let area = egui::Rect::from_min_size(corner, egui::vec2(width as f32, height as f32));
    memory.spot("desk:plot", area);
    let rate = |at: egui::Pos2| {
        let per_h = plot.x.value_within(f64::from(at.x - rect.min.x));
        format!("{per_h:.0} veh/h")
    };
    if response.drag_stopped() {
        out.push(Command::Settle);
    } else if let Some(at) = response.interact_pointer_pos() {
        if response.dragged() {
            memory.held = Some(THROUGHPUT.to_owned());
            out.push(Command::Drag(THROUGHPUT.to_owned(), rate(at)));
        } else if response.clicked() {
            out.push(Command::Set(THROUGHPUT.to_owned(), rate(at)));
        }
    } else if let Some(at) = response.hover_pos().filter(|at| area.contains(*at)) {
        response.on_hover_text_at_pointer(format!("click: set {}", rate(at)));
    }
}
