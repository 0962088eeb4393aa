//! The washed map, and two set-ups beside each other: same scale, one clock.

use egui::{RichText, Sense};

use super::{BODY, HEADING, LEAST, MAP, part, px, texts};
use crate::drawing::frame::{Frame, Travel};
use crate::drawing::plan_view::{View, ground_box};
use crate::drawing::{Rect, Role};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::present::Named;
use crate::window::app::solved::SolvedPass;
use crate::window::look::role;
use crate::window::playback::ClockKind;
use crate::window::screen::{Canvas, Memory, bold, map, named, plan, verdict_text};

/// Height of a map whose cells are a fifth of the window high; while it would tell an answer the plan view has its room, but for a line that says so.
pub(super) fn map_height(app: &App, width: f32) -> f32 {
    let Some(pass) = app.shown() else { return 0.0 };
    if app.map_covered() {
        return px(app, 2.5 * BODY);
    }
    px(app, MAP) + map::bare_beside(app, pass, width) + 1.0
}

/// The map of what is shown; covered while it would tell an answer.
pub(super) fn one_map(ui: &mut egui::Ui, rect: egui::Rect, app: &App, memory: &mut Memory) {
    let (_, after) = app.beside();
    if let Some(after) = after {
        map_of(ui, rect, app, memory, &after, Canvas::Map);
    }
}

fn map_of(
    ui: &mut egui::Ui,
    rect: egui::Rect,
    app: &App,
    memory: &mut Memory,
    shown: &Named,
    canvas: Canvas,
) {
    if app.map_covered() {
        memory.spot("present:covered", rect);
        part(ui, rect, |ui| {
            ui.centered_and_justified(|ui| {
                let text = "The washed map comes with the answer.";
                ui.label(RichText::new(text).size(px(app, BODY)).color(role(Role::Muted, app.theme)));
            });
        });
        return;
    }
    let response = ui.interact(rect, ui.scope_id().with(("present map", &shown.name)), Sense::hover());
    named(&response, egui::Role::Canvas, &format!("washed map, {}", shown.name));
    let cells = map::bare(ui, rect, app, memory, &shown.pass, app.time_of_s(shown), canvas);
    memory.spot(if canvas == Canvas::Map { "present:map" } else { "present:map of the other" }, cells);
}

/// Two set-ups: plan views of one scale at one place of the clock, under each what the measure is, then their maps; in a lesson its texts beside one.
pub(super) fn two(
    ui: &mut egui::Ui,
    page: egui::Rect,
    gap: f32,
    app: &App,
    memory: &mut Memory,
    shown: [&Named; 2],
    out: &mut Vec<Command>,
) {
    let half = 0.5 * (page.width() - gap);
    let column = |right: usize, top: f32, bottom: f32| {
        let left = page.left() + right as f32 * (half + gap);
        egui::Rect::from_min_max(egui::pos2(left, top), egui::pos2(left + half, bottom))
    };
    let under = px(app, HEADING) * 1.4;
    let blocks = texts::blocks(app);
    let lesson = app.lesson().is_some();
    // In a lesson the texts take as much as they need of the lower part, beside one map.
    let share = if lesson { 0.62 } else { 0.5 };
    let map_wide = if lesson { (1.0 - share) * page.width() - gap } else { half };
    let mut low = map_height(app, map_wide);
    if lesson {
        low = low.max(texts::height(ui, app, &blocks, share * page.width() - 2.0 * gap) + gap);
    }
    let edge = page.bottom() - low.min(0.8 * page.height());
    let foot = edge - under;
    let rects = [0, 1].map(|right| column(right, page.top(), foot));
    plans(ui, rects, app, memory, shown);
    for (right, own) in shown.into_iter().enumerate() {
        part(ui, column(right, foot, edge), |ui| says(ui, app, memory, own, right));
    }
    if !lesson {
        for (right, (own, canvas)) in shown.into_iter().zip([Canvas::OtherMap, Canvas::Map]).enumerate() {
            map_of(ui, column(right, edge, page.bottom()), app, memory, own, canvas);
        }
        return;
    }
    let split = page.left() + share * page.width();
    let left =
        egui::Rect::from_min_max(egui::pos2(page.left() + gap, edge), egui::pos2(split, page.bottom()));
    part(ui, left, |ui| texts::show(ui, app, &blocks, memory, out));
    let map = egui::Rect::from_min_max(egui::pos2(split + gap, edge), page.max);
    map_of(ui, map, app, memory, shown[1], Canvas::Map);
}

fn plans(ui: &mut egui::Ui, rects: [egui::Rect; 2], app: &App, memory: &mut Memory, shown: [&Named; 2]) {
    let page = |rect: &egui::Rect| Rect::new(0.0, 0.0, f64::from(rect.width()), f64::from(rect.height()));
    let boxed = |pass: &SolvedPass| ground_box(View::Whole, &pass.setup, &pass.record, 0.0);
    let [a, b] = shown.map(|own| boxed(&own.pass));
    let (low, high) =
        ([a[0][0].min(b[0][0]), a[0][1].min(b[0][1])], [a[1][0].max(b[1][0]), a[1][1].max(b[1][1])]);
    let area = plan::bare_area(app, page(&rects[0]));
    let frame = Frame::fit(low, high, area.inset(12.0), Travel::Right);
    for ((rect, own), (canvas, name)) in rects
        .into_iter()
        .zip(shown)
        .zip([(Canvas::OtherPlan, "present:plan before"), (Canvas::Plan, "present:plan after")])
    {
        let response = ui.interact(rect, ui.scope_id().with(name), Sense::hover());
        named(&response, egui::Role::Canvas, &format!("plan view, {}", own.name));
        memory.spot(name, rect);
        let bare = plan::Bare { pass: &own.pass, t_s: app.time_of_s(own), frame };
        plan::bare(ui, rect, app, memory, &bare, canvas);
    }
}

/// Name, words and measure of a set-up, under its plan view.
fn says(ui: &mut egui::Ui, app: &App, memory: &mut Memory, own: &Named, right: usize) {
    let Some(banner) = app.banner() else { return };
    let reading = banner.measure.read(&own.pass.outcome);
    let hidden = right == 1 && app.answer_hidden();
    let value = match reading.value {
        _ if hidden => "?".to_owned(),
        Some(value) => {
            crate::units::minus_signs(&crate::study::lesson::measure_text(banner.measure, value, app.units))
        }
        None => "none".to_owned(),
    };
    ui.horizontal(|ui| {
        ui.add_space(px(app, 12.0));
        let verdict = reading.verdict.filter(|_| !hidden);
        let room = ui.available_width() - if verdict.is_some() { px(app, 190.0) } else { 0.0 };
        let wide = |text: &str, size: f32| texts::galley(ui, app, text, size, true, f32::INFINITY).size().x;
        // As large as fits; the banner says what is measured where there is no room for it here.
        let whole = format!("{}: {} {value}", own.name, banner.measure.label());
        let text = if wide(&whole, LEAST) <= room { whole } else { format!("{}: {value}", own.name) };
        let most = HEADING - 4.0;
        let size = (most * room / wide(&text, most).max(1.0)).clamp(LEAST, most);
        ui.label(RichText::new(text).family(bold()).size(px(app, size)));
        if let Some(verdict) = verdict {
            ui.label(verdict_text(verdict, app.theme).size(px(app, BODY)));
        }
        // What makes it different, where there is room for it.
        let wide = texts::galley(ui, app, &own.words, LEAST, false, f32::INFINITY).size().x;
        if !own.words.is_empty() && wide < ui.available_width() - px(app, 170.0) {
            ui.label(RichText::new(&own.words).size(px(app, LEAST)));
        }
        // Where the two clocks differ, what they have in common is said.
        if app.playback.kind() == ClockKind::Position {
            let t_s = crate::drawing::words::rounded(app.time_of_s(own), 2);
            let text = RichText::new(format!("at {t_s} s")).size(px(app, LEAST));
            ui.label(text.color(role(Role::Muted, app.theme)));
        }
    });
    memory.spot(format!("present:says {}", own.name), ui.min_rect());
}
