//! The presentation view: a banner that says what was turned and what one measure did, big pictures, and in a lesson its texts. Every size follows
//! the window's height: on a screen 1080 points high capitals of the banner are 40 points, and no letter is smaller than 28.

mod bar;
mod letters;
mod pictures;
mod texts;

use std::sync::Arc;

use egui::{CentralPanel, Frame, Panel, RichText, ScrollArea, UiBuilder, vec2};

use super::{Canvas, Memory, bold, paper, verdict_text};
use crate::coverage::headline;
use crate::coverage::measure::ALL;
use crate::drawing::Role;
use crate::drawing::close_up::close_up;
use crate::report::CAUTION_LINE;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::present::Banner;
use crate::window::look::role;

/// Letters of the banner on a screen 1080 points high: their capitals are 40 points high.
const BANNER: f32 = 55.0;
/// Headings.
const HEADING: f32 = 40.0;
/// Running text.
const BODY: f32 = 31.0;
/// The least letters there are.
pub(super) const LEAST: f32 = 28.0;
/// Height of the map's cells: a fifth of the window.
const MAP: f32 = 216.0;

/// A length on a screen 1080 points high, on this one.
pub(super) fn px(app: &App, at_1080: f32) -> f32 {
    (at_1080 * app.views.tall / 1080.0).max(at_1080 / LEAST * 9.0)
}

/// Builds the frame.
pub(super) fn frame(ui: &mut egui::Ui, app: &mut App, memory: &mut Memory, out: &mut Vec<Command>) {
    if let Some(banner) = app.banner() {
        let shown = Panel::top("present banner")
            .resizable(false)
            .show(ui, |ui| banner_panel(ui, app, &banner, memory, out));
        memory.spot("present:banner", shown.response.rect);
    }
    super::top::troubles(ui, app, out);
    let shown = Panel::bottom("present bar").resizable(false).show(ui, |ui| bar::row(ui, app, memory, out));
    memory.spot("present:bar", shown.response.rect);
    if app.touches_machine() || app.cause_shown().is_some() {
        let shown = Panel::bottom("present caution").resizable(false).show(ui, |ui| caution(ui, app));
        memory.spot("caution", shown.response.rect);
    }
    CentralPanel::default().frame(Frame::NONE.fill(paper(app.theme))).show(ui, |ui| {
        if app.shown().is_none() {
            ui.centered_and_justified(|ui| ui.label(RichText::new("solving …").size(px(app, HEADING))));
        } else if app.present.recap {
            recap(ui, app, memory);
        } else {
            middle(ui, app, memory, out);
        }
    });
}

/// Looks at what was painted.
pub(super) fn look_at_letters(ui: &egui::Ui, app: &mut App) {
    app.present.letters = letters::painted(ui.ctx());
}

fn caution(ui: &mut egui::Ui, app: &App) {
    if let Some(fault) = app.cause_shown() {
        let text = format!("Shown with a fault: {fault}. No setting shows it.");
        ui.label(RichText::new(text).family(bold()).size(px(app, LEAST)).color(role(Role::Fail, app.theme)));
    }
    if app.touches_machine() {
        let text = RichText::new(CAUTION_LINE).size(px(app, LEAST)).color(role(Role::Warn, app.theme));
        ui.add(egui::Label::new(text).wrap());
    }
}

/// A line as large as fits into the width, not smaller than a heading; one that is still too long goes on in the next.
fn fitted(ui: &mut egui::Ui, app: &App, text: &str, ink: egui::Color32) {
    let wide = |size: f32| {
        let font = egui::FontId::new(size, bold());
        ui.painter().layout_no_wrap(text.to_owned(), font, ink).size().x
    };
    let (most, least) = (px(app, BANNER), px(app, HEADING));
    let room = ui.available_width();
    let size = (most * (room / wide(most).max(1.0)).min(1.0) * 0.995).clamp(least, most);
    ui.add(egui::Label::new(RichText::new(text).family(bold()).size(size).color(ink)).wrap());
}

fn banner_panel(ui: &mut egui::Ui, app: &App, banner: &Banner, memory: &mut Memory, out: &mut Vec<Command>) {
    let what = app.close_up();
    let full = ui.available_width();
    let corner = if what.is_some() { (0.26 * full).min(px(app, 500.0)) } else { 0.0 };
    let tall = px(app, 190.0);
    ui.horizontal_top(|ui| {
        ui.vertical(|ui| {
            ui.set_width(full - corner - ui.spacing().item_spacing.x);
            ui.set_min_height(tall);
            ui.spacing_mut().item_spacing.y = px(app, 4.0);
            ui.add_space(px(app, 4.0));
            fitted(ui, app, &banner.turned, role(Role::Ink, app.theme));
            let ink = if banner.values.contains('→') { Role::Highlight } else { Role::Ink };
            fitted(ui, app, &banner.did(), role(ink, app.theme));
            ui.horizontal_wrapped(|ui| about(ui, app, banner, memory, out));
        });
        if let Some(what) = what {
            let (rect, response) = ui.allocate_exact_size(vec2(corner, tall), egui::Sense::hover());
            let list = close_up(&what, f64::from(corner), f64::from(tall), f64::from(px(app, LEAST)));
            super::named(&response, egui::Role::Canvas, &list.description);
            memory.spot("present:close-up", rect);
            memory.draw(ui, rect.min, Canvas::CloseUp, &Arc::new(list), app.theme);
        }
    });
}

/// What the banner compares, and which measure.
fn about(ui: &mut egui::Ui, app: &App, banner: &Banner, memory: &mut Memory, out: &mut Vec<Command>) {
    let small = |text: &str| RichText::new(text).size(px(app, LEAST));
    ui.label(small(&banner.names));
    let (_, after) = app.beside();
    let verdict = after.and_then(|after| headline(&after.pass.outcome.verdicts).map(|(verdict, _)| verdict));
    if let Some(verdict) = verdict.filter(|_| !app.answer_hidden()) {
        ui.label(verdict_text(verdict, app.theme).size(px(app, LEAST)));
    }
    ui.label(small("measure:"));
    let list = egui::ComboBox::from_id_salt("present measure")
        .selected_text(small(&banner.measure.label()))
        .height(0.6 * app.views.tall)
        .show_ui(ui, |ui| {
            let telling = app.present.measure.is_none();
            if ui.selectable_label(telling, "the one that tells most").clicked() {
                out.push(Command::PresentMeasure(None));
            }
            let there = app.shown().map(|pass| &pass.outcome);
            for measure in ALL.into_iter().filter(|m| there.is_some_and(|o| m.read(o).value.is_some())) {
                let on = app.present.measure == Some(measure);
                if ui.selectable_label(on, measure.label()).on_hover_text(measure.row().says).clicked() {
                    out.push(Command::PresentMeasure(Some(measure)));
                }
            }
        });
    super::named(&list.response, egui::Role::ComboBox, "measure of the banner");
    let list = list.response.on_hover_text(banner.measure.row().says);
    memory.spot("present:measure", list.rect);
    ui.label(small(&format!("({})", banner.chosen.words())).color(role(Role::Muted, app.theme)));
}

fn recap(ui: &mut egui::Ui, app: &App, memory: &mut Memory) {
    let margin = px(app, 24.0) as i8;
    let shown = Frame::NONE.inner_margin(margin).show(ui, |ui| {
        let title = app.lesson().map_or(String::new(), |run| run.lesson.file.title.clone());
        ui.label(
            RichText::new(format!("What this lesson showed: {title}")).family(bold()).size(px(app, HEADING)),
        );
        ui.add_space(px(app, 12.0));
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            for line in app.recap() {
                ui.add(egui::Label::new(RichText::new(line).size(px(app, BODY + 3.0))).wrap());
                ui.add_space(px(app, 8.0));
            }
        });
    });
    memory.spot("present:recap", shown.response.rect);
}

/// A part of the page with its own contents.
fn part(ui: &mut egui::Ui, rect: egui::Rect, add: impl FnOnce(&mut egui::Ui)) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.set_clip_rect(rect.intersect(ui.clip_rect()));
        add(ui);
    });
}

/// Pictures and texts. A text never gets smaller letters: pictures give way to it.
fn middle(ui: &mut egui::Ui, app: &mut App, memory: &mut Memory, out: &mut Vec<Command>) {
    let page = ui.available_rect_before_wrap();
    let gap = px(app, 10.0);
    if app.present.two_plans
        && let (Some(before), Some(after)) = app.beside()
    {
        return pictures::two(ui, page, gap, app, memory, [&before, &after], out);
    }
    let blocks = texts::blocks(app);
    if app.lesson().is_some() {
        lesson(ui, page, gap, app, memory, &blocks, out);
    } else {
        alone(ui, page, gap, app, memory, &blocks, out);
    }
}

/// The narrowest share of a width, within bounds, that takes the texts in a height.
fn share_for(
    ui: &egui::Ui,
    app: &App,
    blocks: &[texts::Block],
    page: egui::Rect,
    gap: f32,
    [least, most]: [f32; 2],
    free: impl Fn(f32) -> f32,
) -> f32 {
    let fits = |share: f32| texts::height(ui, app, blocks, share * page.width() - 2.0 * gap) <= free(share);
    let steps = ((most - least) / 0.01).round() as u32;
    let share = |step: u32| least + 0.01 * step as f32;
    // A wider column is no higher, but for a word here and there: halved, then a few steps on where that was so.
    let (mut low, mut high) = (0, steps);
    while low < high {
        let middle = (low + high) / 2;
        if fits(share(middle)) { high = middle } else { low = middle + 1 }
    }
    (low..=steps).map(share).find(|share| fits(*share)).unwrap_or(most)
}

/// A lesson: its texts at the left from top to bottom, beside them the plan view over the map.
fn lesson(
    ui: &mut egui::Ui,
    page: egui::Rect,
    gap: f32,
    app: &mut App,
    memory: &mut Memory,
    blocks: &[texts::Block],
    out: &mut Vec<Command>,
) {
    // Where there is room for it, the map stands under the texts and leaves all the height to the plan view.
    let under = |share: f32| page.height() - pictures::map_height(app, share * page.width());
    let beside = share_for(ui, app, blocks, page, gap, [0.42, 0.52], under);
    if texts::height(ui, app, blocks, beside * page.width() - 2.0 * gap) <= under(beside) {
        let split = page.left() + beside * page.width();
        let edge = page.bottom() - pictures::map_height(app, beside * page.width());
        let left = egui::Rect::from_min_max(page.min + vec2(gap, 0.0), egui::pos2(split - gap, edge));
        part(ui, left, |ui| texts::show(ui, app, blocks, memory, out));
        let map = egui::Rect::from_min_max(egui::pos2(page.left(), edge), egui::pos2(split, page.bottom()));
        pictures::one_map(ui, map, app, memory);
        let plan = egui::Rect::from_min_max(egui::pos2(split, page.top()), page.max);
        return part(ui, plan, |ui| super::plan::canvas(ui, app, memory, out));
    }
    let share = share_for(ui, app, blocks, page, gap, [0.30, 0.62], |_| page.height());
    let split = page.left() + share * page.width();
    let left = egui::Rect::from_min_max(page.min + vec2(gap, 0.0), egui::pos2(split - gap, page.bottom()));
    part(ui, left, |ui| texts::show(ui, app, blocks, memory, out));
    let pictures = egui::Rect::from_min_max(egui::pos2(split, page.top()), page.max);
    let edge = pictures.bottom() - pictures::map_height(app, pictures.width());
    let plan = egui::Rect::from_min_max(pictures.min, egui::pos2(pictures.right(), edge));
    part(ui, plan, |ui| super::plan::canvas(ui, app, memory, out));
    pictures::one_map(ui, egui::Rect::from_min_max(egui::pos2(split, edge), page.max), app, memory);
}

/// A set-up alone: the plan view as large as it can be, beside it why the brushes do what they do over the map.
fn alone(
    ui: &mut egui::Ui,
    page: egui::Rect,
    gap: f32,
    app: &mut App,
    memory: &mut Memory,
    blocks: &[texts::Block],
    out: &mut Vec<Command>,
) {
    let map = |app: &App, share: f32| pictures::map_height(app, share * page.width() - gap);
    // Room for what may be said, so that nothing jumps while the clock runs.
    let longest = texts::longest(app);
    let free = |share: f32| page.height() - map(app, share);
    let share = [&longest[..], blocks]
        .map(|blocks| share_for(ui, app, blocks, page, gap, [0.40, 0.64], free))
        .into_iter()
        .fold(0.0, f32::max);
    let split = page.right() - share * page.width();
    let plan = egui::Rect::from_min_max(page.min, egui::pos2(split, page.bottom()));
    let column = egui::Rect::from_min_max(egui::pos2(split + gap, page.top()), page.max);
    part(ui, plan, |ui| super::plan::canvas(ui, app, memory, out));
    let high = |blocks: &[texts::Block]| texts::height(ui, app, blocks, column.width() - gap);
    let text_high = high(&longest).max(high(blocks));
    let edge = column.bottom() - (column.height() - text_high).max(map(app, share));
    let above = egui::Rect::from_min_max(column.min, egui::pos2(column.right() - gap, edge));
    part(ui, above, |ui| texts::show(ui, app, blocks, memory, out));
    let below = egui::Rect::from_min_max(egui::pos2(column.left(), edge), column.max);
    pictures::one_map(ui, below, app, memory);
}
