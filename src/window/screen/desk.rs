//! The desk: a page for each study, with what it is about, how far it is, and what to do with what it came to.

mod advice;
mod curve;
mod foam;
mod map;
mod steps;

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::{Button, ComboBox, ProgressBar, RichText, TextEdit};

use super::{Memory, bold};
use crate::coverage::table::Better;
use crate::drawing::{DisplayList, Role};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::desk::{DeskCommand, Page, Run, StudyKind};
use crate::window::keys::{self, Action};
use crate::window::look::role;

/// What the desk remembers between frames.
#[derive(Debug, Default)]
pub(super) struct Cache {
    /// Fields being typed in.
    texts: BTreeMap<&'static str, String>,
    curve: curve::Drawn,
    map: map::Drawn,
    steps: steps::Order,
    /// The picture of the page, where it has one.
    picture: Option<Arc<DisplayList>>,
}

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.add_space(4.0);
    let wide = ui.available_width() > 740.0 * super::type_factor(app);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for page in Page::ALL {
            let response = ui.selectable_label(app.desk.page == page, page.name());
            memory.spot(format!("desk:{}", page.word()), response.rect);
            if response.clicked() {
                out.push(Command::Desk(DeskCommand::Page(page)));
            }
        }
        if wide {
            ui.separator();
            keep(ui, app, memory, out);
        }
    });
    if !wide {
        ui.horizontal_wrapped(|ui| keep(ui, app, memory, out));
    }
    ui.separator();
    // What is held goes on as it is: a study that follows waits until the slider is let go.
    let kind = app.desk.page.kind();
    if memory.held.is_none() && app.lags(kind) {
        out.push(Command::Desk(DeskCommand::Run(kind)));
    }
    let had = memory.desk.picture.take().is_some();
    match app.desk.page {
        Page::Throughput => curve::page(ui, app, memory, out),
        Page::Steps => steps::page(ui, app, memory, out),
        Page::Advice => advice::page(ui, app, memory, out),
        Page::Map => map::page(ui, app, memory, out),
        Page::Foam => foam::page(ui, app, memory, out),
    }
    // What can be done with the page stands above it and was painted before.
    if memory.desk.picture.is_some() != had {
        ui.ctx().request_repaint();
    }
}

/// What can be done with a page as it is: its command, its picture, its table.
fn keep(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let picture = memory.desk.picture.clone();
    ui.spacing_mut().item_spacing.x = 4.0;
    ui.spacing_mut().button_padding.x = 5.0;
    let mut button = |ui: &mut egui::Ui, name: &str, on: bool, tip: &str| {
        let response = ui.add_enabled(on, Button::new(name));
        memory.spot(format!("desk:{name}"), response.rect);
        response.on_hover_text(tip).clicked()
    };
    let tip = format!(
        "this page as a command for a terminal; {}: the pass that is set",
        keys::label(Action::CopyCommand)
    );
    if button(ui, "copy command", true, &tip) {
        out.push(Command::Desk(DeskCommand::Copy));
    }
    if button(ui, "save picture", picture.is_some(), "as SVG beside the scenario, under a free name")
        && let Some(list) = picture
    {
        out.push(Command::Desk(DeskCommand::SavePicture(list)));
    }
    let found = app.desk.found_key(app.desk.page.kind()).is_some();
    if button(ui, "save table", found, "as CSV beside the scenario, under a free name, SI") {
        out.push(Command::Desk(DeskCommand::SaveTable));
    }
}

/// The measure that the page is about.
fn measure(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let now = app.desk_measure();
    let better = match now.better() {
        Better::More => "more is better",
        Better::Less => "less is better",
        Better::Neither => "neither way is better by itself",
    };
    let shown =
        ComboBox::from_id_salt("desk measure").selected_text(now.label()).width(220.0).show_ui(ui, |ui| {
            for measure in app.desk_measures() {
                let response = ui.selectable_label(measure == now, measure.label());
                if response.on_hover_text(measure.row().says).clicked() && measure != now {
                    out.push(Command::Desk(DeskCommand::Measure(measure)));
                }
            }
        });
    super::named(&shown.response, egui::Role::ComboBox, "measure of the desk");
    memory.spot("desk:measure", shown.response.rect);
    shown.response.on_hover_text(format!("{}\n{better}", now.row().says));
}

/// How far a study is, with what can be done about it. Always one line of this width, so that nothing under it moves.
fn status(
    ui: &mut egui::Ui,
    app: &App,
    kind: StudyKind,
    words: [&str; 2],
    width: f32,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let [run, again] = words;
    let mut button = |ui: &mut egui::Ui, name: &str, word: &str| {
        let response = ui.button(name);
        memory.spot(format!("desk:{word}:{}", kind.word()), response.rect);
        response.clicked()
    };
    let row = ui.spacing().interact_size.y;
    ui.allocate_ui(egui::vec2(width, row), |ui| {
        ui.horizontal(|ui| {
            ui.set_min_size(egui::vec2(width, row));
            ui.set_max_width(width);
            let muted = |text: &str| RichText::new(text).color(role(Role::Muted, app.theme));
            match app.desk.run(kind) {
                Run::Working(job, _) => {
                    if button(ui, "stop", "stop") {
                        out.push(Command::Desk(DeskCommand::Stop(kind)));
                    }
                    let (done, most) = job.progress();
                    let share = if most == 0 { 0.0 } else { done as f32 / most as f32 };
                    let text = match (job.is_stopped(), most) {
                        (true, _) => "stopping …".to_owned(),
                        (false, 0) => "running …".to_owned(),
                        (false, most) => format!("{done} of {most} {}", kind.counts()),
                    };
                    let bar = ProgressBar::new(share).desired_width(0.4 * width).desired_height(16.0);
                    ui.add(bar.corner_radius(2.0));
                    ui.add(egui::Label::new(&text).truncate()).on_hover_text(&text);
                }
                Run::Failed(why, key) if *key == app.wanted_key(kind) => {
                    let text = RichText::new(format!("✗ {why}")).color(role(Role::Fail, app.theme));
                    ui.add(egui::Label::new(text).truncate()).on_hover_text(why);
                }
                _ => {
                    let (found, stale) = (app.desk.found_key(kind).is_some(), app.is_stale(kind));
                    let stopped = matches!(app.desk.run(kind), Run::Stopped(_));
                    if !found || stale || stopped || !kind.follows() {
                        let name = if found { again } else { run };
                        if button(ui, name, "run") {
                            out.push(Command::Desk(DeskCommand::Run(kind)));
                        }
                    }
                    if found && stale {
                        let (short, text) = ("of another set-up", "of another set-up than the one set now");
                        let said = RichText::new(short).color(role(Role::Warn, app.theme));
                        ui.add(egui::Label::new(said).truncate()).on_hover_text(text);
                    } else if found {
                        ui.label(muted("of what is set now"));
                    } else if stopped {
                        ui.label(muted("stopped"));
                    }
                }
            }
        });
    });
}

/// A field for a text that is taken over with Enter or when it is left.
fn field(
    ui: &mut egui::Ui,
    memory: &mut Memory,
    name: &'static str,
    value: &str,
    width: f32,
) -> Option<String> {
    let typed = memory.desk.texts.entry(name).or_insert_with(|| value.to_owned());
    let response = ui.add(TextEdit::singleline(typed).desired_width(width));
    let mut changed = None;
    if response.lost_focus() && typed.trim() != value {
        changed = Some(typed.trim().to_owned());
    } else if !response.has_focus() {
        value.clone_into(typed);
    }
    super::named(&response, egui::Role::TextInput, name);
    memory.spot(format!("desk:{name}"), response.rect);
    changed
}

/// Sentences, the first of them strong.
fn sentences(ui: &mut egui::Ui, said: &[String]) {
    for (index, text) in said.iter().enumerate() {
        let text = RichText::new(text);
        let text = if index == 0 { text.family(bold()) } else { text };
        ui.add(egui::Label::new(text).wrap());
    }
}
