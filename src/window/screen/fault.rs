//! What is wrong with this brush: what is seen is ticked, the causes follow, the next check is named, a cause is shown happening.

use std::sync::Arc;

use egui::{Grid, Panel, ProgressBar, RichText, ScrollArea};

use super::{Memory, bold};
use crate::drawing::Role;
use crate::fault::{Book, SIGNS, Sign};
use crate::report::sheet::Language;
use crate::report::{FaultReport, headline, how_bad, name_of, next_check, told_beliefs, told_rows};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::find::{Causes, Ranked, Tick};
use crate::window::look::role;

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        let (word, is_there) = match &app.find().causes {
            Causes::None | Causes::Failed(_) => ("run every cause", true),
            Causes::Ready(..) => ("run them again", app.causes_are_stale()),
            Causes::Working => ("", false),
        };
        if is_there {
            let run = ui
                .button(word)
                .on_hover_text("Every cause, over how bad it may be, past a few vehicles at a few speeds.");
            memory.spot("fault:run", run.rect);
            if run.clicked() {
                out.push(Command::RunCauses);
            }
        }
        if !app.find().told.is_nothing() && ui.button("nothing ticked").clicked() {
            out.push(Command::TickNothing);
        }
        if app.find().shown.is_some() {
            let back = ui.button("healthy machine");
            memory.spot("fault:healthy", back.rect);
            if back.clicked() {
                out.push(Command::HealthyAgain);
            }
        }
    });
    match &app.find().causes {
        Causes::None => {
            ui.label("Tick what is seen of a brush that does not do as it should; every cause that this machine's physics allows is ranked by how well it explains all of it. Running them takes some seconds.");
        }
        Causes::Working => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Every cause is run on this machine; some seconds.");
            });
        }
        Causes::Failed(reason) => {
            ui.label(RichText::new(reason).color(role(Role::Fail, app.theme)));
        }
        Causes::Ready(book, _) => {
            let book = Arc::clone(book);
            // What is ticked has room of its own, so that it stays under the hand when the answer grows.
            let tall = 0.45 * ui.available_height();
            Panel::bottom("signs").resizable(false).exact_size(tall).show(ui, |ui| {
                ScrollArea::vertical().id_salt("signs").auto_shrink(false).show(ui, |ui| {
                    ticks(ui, app, &book, memory, out);
                });
            });
            ScrollArea::vertical().id_salt("causes").auto_shrink(false).show(ui, |ui| {
                if let Some(ranked) = &app.find().ranked {
                    answer(ui, app, &book, ranked, memory, out);
                }
            });
        }
    }
}

fn answer(
    ui: &mut egui::Ui,
    app: &App,
    book: &Book,
    ranked: &Ranked,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    if ranked.told.is_nothing() {
        ui.label("Nothing is ticked: there is no fault to name. Press a sign once if it is seen, twice if it is as it should be.");
        return;
    }
    let title = app.title();
    let report = FaultReport {
        title: &title,
        book,
        told: &ranked.told,
        answer: &ranked.answer,
        pairs: &ranked.pairs,
        checks: &ranked.checks,
    };
    ui.add(egui::Label::new(RichText::new(headline(&report).text()).family(bold())).wrap());
    if let Some(check) = ranked.checks.first() {
        ui.add(egui::Label::new(next_check(check)).wrap());
    }
    for row in told_rows(&report) {
        ui.add_space(4.0);
        let bar = ProgressBar::new(row.share as f32).text(format!("{:.0} %", 100.0 * row.share));
        ui.add(bar.desired_height(16.0).corner_radius(2.0));
        for belief in told_beliefs(&ranked.answer, row) {
            let hypothesis = &book.hypotheses[belief.hypothesis];
            let name = name_of(hypothesis);
            ui.horizontal_wrapped(|ui| {
                let shown = app.find().shown == Some(belief.hypothesis);
                if hypothesis.cause.is_some() {
                    let button =
                        egui::Button::new(if shown { "shown" } else { "show" }).selected(shown).small();
                    let response = ui
                        .add(button)
                        .on_hover_text("See it happen beside the healthy machine, pinned as A.");
                    super::named(&response, egui::Role::Button, &format!("show {name}"));
                    if ui.clip_rect().contains_rect(response.rect) {
                        memory.spot(format!("fault:show:{name}"), response.rect);
                    }
                    if response.clicked() && !shown {
                        out.push(Command::ShowCause(belief.hypothesis));
                    }
                }
                let text = RichText::new(&name);
                ui.add(egui::Label::new(if shown { text.family(bold()) } else { text }).wrap());
            });
            if let Some(text) = how_bad(book, belief, app.units, Language::English) {
                let text = RichText::new(text).small().color(role(Role::Muted, app.theme));
                ui.add(egui::Label::new(text).wrap());
            }
        }
    }
    let note = "A cause named is consistent, not proven. The maker's manual, local codes and licensed practice come first.";
    ui.add_space(4.0);
    ui.add(egui::Label::new(RichText::new(note).color(role(Role::Warn, app.theme))).wrap());
}

/// Every sign that this machine can show, to be ticked, side by side where it is of a side.
fn ticks(ui: &mut egui::Ui, app: &App, book: &Book, memory: &mut Memory, out: &mut Vec<Command>) {
    let wide = 0.5 * ui.available_width();
    Grid::new("signs").num_columns(3).striped(true).spacing(egui::vec2(6.0, 3.0)).show(ui, |ui| {
        for row in book.sign_rows() {
            ui.scope(|ui| {
                ui.set_max_width(wide);
                ui.add(egui::Label::new(SIGNS[row].words).wrap());
            });
            let places: Vec<Sign> =
                book.places_of(Sign { row, side: None }).map(|at| book.signs[at]).collect();
            for sign in places {
                let tick = app.find().tick(sign);
                let side = sign.side.map_or(String::new(), |side| format!("{} ", side.name()));
                let text = RichText::new(format!("{side}{}", tick.text()));
                let text = match tick {
                    Tick::Open => text.color(role(Role::Muted, app.theme)),
                    Tick::Seen => text.family(bold()).color(role(Role::Fail, app.theme)),
                    Tick::Fine => text.family(bold()).color(role(Role::Pass, app.theme)),
                };
                let response = ui.selectable_label(tick != Tick::Open, text);
                super::named(&response, egui::Role::CheckBox, &sign.said());
                memory.spot(format!("sign:{}", sign.key()), response.rect);
                if response.clicked() {
                    out.push(Command::Tick(sign, tick.next()));
                }
            }
            ui.end_row();
        }
    });
}
