//! What is seen: panels and canvases over the window's state.
//!
//! Each panel reads the [`App`] and pushes commands; they are carried out after the frame was built, so a frame shows one state. Above is the
//! verdict, on the left what can be set (or what the lesson says), in the middle the plan view with the reason and the unrolled map, on the
//! right one column to look closer, and below the shared clock with its events.

mod compare;
mod desk;
mod dialogs;
mod fault;
mod lesson;
mod map;
mod plan;
mod present;
mod readings;
mod settings;
mod shell;
mod start;
mod strips;
mod tape;
mod timeline;
mod top;
mod why;

pub use shell::{Shell, ShellOptions};
pub use start::{StartOptions, StartPage};

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::{Panel, RichText};

use super::app::App;
use super::app::command::{Column, Command, Dialog, Front};
use super::app::dump::Spots;
use super::app::kept::Kept;
use super::keys::{self, Focus};
use super::paint::Painted;
use crate::arm::Side;
use crate::coverage::Verdict;
use crate::drawing::grade::Grade;
use crate::drawing::{DisplayList, Pos, Theme, pos};

/// What panels remember between frames that is no state of the App.
#[derive(Debug, Default)]
pub struct Memory {
    /// Where named controls and canvases are.
    pub spots: Spots,
    /// The canvases as they were drawn, with their places: what a snapshot holds.
    pub lists: Vec<(Pos, Arc<DisplayList>)>,
    /// Sizes of panels as they are.
    pub sizes: Kept,
    /// Files that can be opened.
    pub files: Vec<std::path::PathBuf>,
    /// Lessons that can be opened.
    pub lessons: Vec<std::path::PathBuf>,
    /// Files of readings that can be opened.
    pub readings: Vec<std::path::PathBuf>,
    /// The setting whose slider is held.
    pub held: Option<String>,
    /// The field to look for settings gets the keyboard in this frame.
    pub search_asked: bool,
    /// How many frames were built.
    pub frames: u64,
    painted: BTreeMap<Canvas, Drawn>,
    plan: plan::Cache,
    strips: strips::Cache,
    map: map::Cache,
    desk: desk::Cache,
    dialogs: dialogs::Texts,
    typed: settings::Typed,
    tape: tape::Tape,
    shown_chosen: Option<String>,
}

fn note(spots: &mut Spots, name: impl Into<String>, rect: egui::Rect) {
    spots.insert(name.into(), [rect.min.x, rect.min.y, rect.width(), rect.height()]);
}

/// Notes where something in a dialog is, once the dialog has its size: while it is being sized it stands elsewhere and is not seen.
fn note_settled(spots: &mut Spots, ui: &egui::Ui, name: impl Into<String>, rect: egui::Rect) {
    if !ui.is_sizing_pass() {
        note(spots, name, rect);
    }
}

impl Memory {
    /// Remembers where something is.
    fn spot(&mut self, name: impl Into<String>, rect: egui::Rect) {
        note(&mut self.spots, name, rect);
    }

    /// Draws a list and keeps it for snapshots. A list that was drawn there before is not worked out again.
    fn draw(&mut self, ui: &egui::Ui, at: egui::Pos2, canvas: Canvas, list: &Arc<DisplayList>, theme: Theme) {
        let clip = egui::Rect::from_min_size(at, egui::vec2(list.width as f32, list.height as f32));
        let clip = clip.intersect(ui.clip_rect());
        let painter = ui.painter().with_clip_rect(clip);
        let pixels = ui.ctx().pixels_per_point();
        let like = |drawn: &&Drawn| {
            (Arc::ptr_eq(&drawn.list, list) || drawn.list == *list)
                && drawn.at == at
                && drawn.clip == clip
                && drawn.theme == theme
                && drawn.pixels == pixels
        };
        match self.painted.get(&canvas).filter(like) {
            Some(drawn) => drawn.painted.draw(&painter),
            None => {
                let before = self.painted.remove(&canvas).map(|drawn| drawn.painted).unwrap_or_default();
                let painted = before.again(&painter, at, &list.items, theme);
                painted.draw(&painter);
                let drawn = Drawn { list: Arc::clone(list), at, clip, theme, pixels, painted };
                self.painted.insert(canvas, drawn);
            }
        }
        self.lists.push((pos(f64::from(at.x), f64::from(at.y)), Arc::clone(list)));
    }
}

/// The canvases of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Canvas {
    Plan,
    Map,
    Strips,
    Timeline,
    Why(Side),
    Readings,
    CloseUp,
    /// The plan view and the map of the set-up that is held against, beside those of what is shown.
    OtherPlan,
    OtherMap,
    /// The picture of the page of the desk.
    Desk,
}

/// A canvas as it was drawn last.
#[derive(Debug)]
struct Drawn {
    list: Arc<DisplayList>,
    at: egui::Pos2,
    clip: egui::Rect,
    theme: Theme,
    pixels: f32,
    painted: Painted,
}

/// Size of labels in the canvases, points.
pub(crate) fn text_size(app: &App) -> f64 {
    if app.present.on {
        return f64::from(present::px(app, present::LEAST));
    }
    if app.views.large { (15.0 * f64::from(app.views.room)).round() } else { 12.0 }
}

/// How much larger than usual the letters of the panels are.
pub(crate) fn type_factor(app: &App) -> f32 {
    if app.present.on {
        // The small letters of tips and lists are the least there are.
        return present::px(app, present::LEAST) / 12.0;
    }
    if app.views.large { 1.25 * app.views.room } else { 1.0 }
}

/// Builds a frame. The commands are what the person asked for, in order.
pub fn frame(ui: &mut egui::Ui, app: &mut App, memory: &mut Memory) -> Vec<Command> {
    let mut out = Vec::new();
    memory.frames += 1;
    memory.spots.clear();
    memory.lists.clear();
    memory.held = None;
    memory.search_asked = std::mem::take(&mut app.views.search_wanted);
    let screen = ui.ctx().content_rect().size();
    app.views.room = (screen.x / 1280.0).min(screen.y / 800.0).clamp(1.0, 2.0);
    app.views.tall = screen.y;
    super::look::use_size(ui.ctx(), type_factor(app));
    shortcuts(ui, app, &mut out);
    if app.present.on {
        present::frame(ui, app, memory, &mut out);
        dialogs::show(ui, app, memory, &mut out);
        present::look_at_letters(ui, app);
        return out;
    }
    top::bar(ui, app, memory, &mut out);
    top::troubles(ui, app, &mut out);
    timeline::panel(ui, app, memory, &mut out);
    let wide = ui.available_width();
    let kept = |size: f32, usual: f32| if size > 0.0 { size } else { usual };
    let narrow = wide < BESIDE * type_factor(app) && !app.desk.open;
    let lesson = app.lesson().is_some();
    // Under a name for each size of the window: what a small one has squeezed has its size again in a large one.
    let (name, usual, range) = if lesson {
        ("lesson", (0.27 * wide).clamp(270.0, 520.0), 260.0..=0.45 * wide)
    } else {
        let usual = kept(memory.sizes.settings_width, (0.237 * wide).clamp(304.0, 340.0));
        ("settings", usual, 230.0..=0.4 * wide)
    };
    let shown = Panel::left(sized(ui, name)).default_size(usual).size_range(range).show(ui, |ui| {
        if narrow {
            tabs(ui, app, memory, &mut out);
        }
        if narrow && app.views.column_front {
            column(ui, app, memory, &mut out);
        } else if lesson {
            lesson::panel(ui, app, memory, &mut out);
        } else {
            settings::panel(ui, app, memory, &mut out);
        }
    });
    let held = ui.input(|input| input.pointer.any_down());
    if held && !lesson {
        memory.sizes.settings_width = shown.response.rect.width();
    }
    memory.spot(if narrow && app.views.column_front { "column" } else { name }, shown.response.rect);
    if app.desk.open {
        return beside_desk(ui, app, memory, out);
    }
    if narrow {
        return rest(ui, app, memory, out);
    }
    let shown = Panel::right(sized(ui, "column"))
        .default_size(kept(memory.sizes.column_width, (0.31 * wide).clamp(300.0, 620.0)))
        .size_range(260.0..=0.55 * wide)
        .show(ui, |ui| column(ui, app, memory, &mut out));
    if held {
        memory.sizes.column_width = shown.response.rect.width();
    }
    memory.spot("column", shown.response.rect);
    rest(ui, app, memory, out)
}

/// Narrower than this, points, the column on the right stands in front of what is on the left, or behind it.
const BESIDE: f32 = 860.0;
/// Lower than this, points, the map stands in front of the plan view, or behind it.
const ABOVE: f32 = 440.0;

/// The name of a panel in a window of this size.
fn sized(ui: &egui::Ui, name: &str) -> egui::Id {
    let size = ui.ctx().content_rect().size();
    egui::Id::unique((name, size.x as i32, size.y as i32))
}

/// Strips lower than this, points, are scrolled rather than squeezed.
const STRIPS_LEAST: f32 = 330.0;
/// The same for the bars of torques, in sizes of their letters.
const BARS_LEAST: f32 = 28.0;

/// A canvas as large as there is room, but no lower than this, points: then it is scrolled.
fn at_least(ui: &mut egui::Ui, least: f32, show: impl FnOnce(&mut egui::Ui, egui::Vec2)) {
    let room = ui.available_size();
    if room.y >= least {
        return show(ui, room);
    }
    let area = egui::ScrollArea::vertical().auto_shrink(false);
    area.show(ui, |ui| show(ui, egui::vec2(room.x - 12.0, least)));
}

/// What stands in front on the left of a narrow window.
fn tabs(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        let own = if app.lesson().is_some() { "lesson" } else { "settings" };
        for (text, on, front) in [
            (own, !app.views.column_front, Front::Settings),
            ("closer", app.views.column_front, Front::Column),
        ] {
            let response = ui.selectable_label(on, RichText::new(text).family(bold()));
            memory.spot(format!("tab:{text}"), response.rect);
            if response.clicked() {
                out.push(Command::Front(front));
            }
        }
    });
    ui.separator();
}

/// The least width of the desk, and of the plan view beside it, points.
const DESK: f32 = 612.0;
const BESIDE_DESK: f32 = 360.0;

/// The desk in place of the column, beside the plan view and the map where there is room for both.
fn beside_desk(ui: &mut egui::Ui, app: &mut App, memory: &mut Memory, mut out: Vec<Command>) -> Vec<Command> {
    let room = ui.available_width();
    let least = DESK * type_factor(app);
    if room < least + BESIDE_DESK {
        let shown = egui::CentralPanel::default().show(ui, |ui| desk::panel(ui, app, memory, &mut out));
        memory.spot("desk", shown.response.rect);
        dialogs::show(ui, app, memory, &mut out);
        return out;
    }
    let shown = Panel::right(sized(ui, "desk"))
        .default_size((0.6 * room).max(least))
        .size_range(least..=room - BESIDE_DESK)
        .show(ui, |ui| desk::panel(ui, app, memory, &mut out));
    memory.spot("desk", shown.response.rect);
    rest(ui, app, memory, out)
}

/// The middle: plan view and map; and what comes in front.
fn rest(ui: &mut egui::Ui, app: &mut App, memory: &mut Memory, mut out: Vec<Command>) -> Vec<Command> {
    let kept = |size: f32, usual: f32| if size > 0.0 { size } else { usual };
    let tall = ui.available_height();
    let low = tall < ABOVE * type_factor(app).min(1.3);
    if app.views.map && !low {
        let shown = Panel::bottom(sized(ui, "map"))
            .default_size(kept(memory.sizes.map_height, (0.3 * tall).clamp(196.0, 330.0)))
            .size_range(140.0..=0.6 * tall)
            .resizable(true)
            .show(ui, |ui| map::panel(ui, app, memory, &mut out));
        if ui.input(|input| input.pointer.any_down()) {
            memory.sizes.map_height = shown.response.rect.height();
        }
    }
    egui::CentralPanel::default().frame(egui::Frame::NONE.fill(paper(app.theme))).show(ui, |ui| {
        plan::tools(ui, app, memory, &mut out, low);
        if low && app.views.map_front {
            let margin = egui::Frame::NONE.inner_margin(egui::Margin::symmetric(8, 4));
            margin.show(ui, |ui| map::panel(ui, app, memory, &mut out));
        } else {
            plan::canvas(ui, app, memory, &mut out);
        }
    });
    dialogs::show(ui, app, memory, &mut out);
    out
}

fn column(ui: &mut egui::Ui, app: &mut App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        // Six of them beside each other in a window of the usual size.
        ui.spacing_mut().item_spacing.x = 2.0;
        ui.spacing_mut().button_padding.x = 5.0;
        for column in Column::ALL {
            let response = ui.selectable_label(app.views.column == column, column.name());
            memory.spot(format!("column:{}", column.name()), response.rect);
            if response.clicked() {
                out.push(Command::Column(column));
            }
        }
    });
    ui.separator();
    // The bars come with the same sentences.
    let told_here = matches!(app.views.column, Column::Why | Column::Fault);
    if !told_here && ui.available_height() > 520.0 {
        Panel::bottom("reason").resizable(false).show(ui, |ui| why::line(ui, app));
    }
    match app.views.column {
        Column::Strips => strips::panel(ui, app, memory, out),
        Column::Why => why::panel(ui, app, memory, out),
        Column::Compare => compare::panel(ui, app, memory, out),
        Column::Limits => why::limits(ui, app),
        Column::Readings => readings::panel(ui, app, memory, out),
        Column::Fault => fault::panel(ui, app, memory, out),
    }
}

/// Takes the keys that are shortcuts.
fn shortcuts(ui: &egui::Ui, app: &App, out: &mut Vec<Command>) {
    let ctx = ui.ctx();
    let text = ctx.text_edit_focused();
    let focused = ctx.memory(|memory| memory.focused());
    let focus = match (text, focused) {
        (true, _) => Focus::Text,
        (false, Some(_)) => Focus::Widget,
        (false, None) => Focus::None,
    };
    let actions = ctx.input_mut(|input| keys::take_actions(input, focus));
    for action in actions {
        if action == keys::Action::Close && focused.is_some() && app.views.dialog == Dialog::None {
            // Escape first lets go of what has the keyboard.
            ctx.memory_mut(|memory| {
                if let Some(id) = memory.focused() {
                    memory.surrender_focus(id);
                }
            });
            continue;
        }
        out.push(Command::Act(action));
    }
}

fn paper(theme: Theme) -> egui::Color32 {
    super::look::role(crate::drawing::Role::Paper, theme)
}

/// The grade of a verdict.
pub(crate) const fn grade(verdict: Verdict) -> Grade {
    match verdict {
        Verdict::Pass => Grade::Pass,
        Verdict::Marginal => Grade::Marginal,
        Verdict::Fail => Grade::Fail,
    }
}

/// Sign and word of a verdict in its colour.
pub(crate) fn verdict_text(verdict: Verdict, theme: Theme) -> RichText {
    let grade = grade(verdict);
    let text = format!("{} {}", grade.sign(), grade.word());
    RichText::new(text).color(super::look::role(grade.role(), theme)).family(bold())
}

pub(crate) fn bold() -> egui::FontFamily {
    egui::FontFamily::Name(super::look::BOLD.into())
}

/// Names a response for those who cannot see it, and for tests.
pub(crate) fn named(response: &egui::Response, role: egui::Role, name: &str) {
    response.widget_info(|| egui::WidgetInfo::labeled(role, true, name));
}
