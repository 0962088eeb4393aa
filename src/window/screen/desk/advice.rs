//! The smallest set of field steps that meets every criterion, as the command says it, to be set with one press.

use egui::{Button, RichText, ScrollArea};

use super::super::{Memory, bold};
use super::status;
use crate::drawing::Role;
use crate::report::{RECOMMEND_CAUTION, Said, recommend_said};
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::desk::{DeskCommand, StudyKind};
use crate::window::look::role;

pub(super) fn page(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.label("the smallest set of field steps that meets every criterion, for");
        let own = app.scenario().measured_vehicle().to_owned();
        let fleet = app.scenario().fleet_mix().len() > 1;
        if fleet {
            for (on, name) in [(true, "the fleet"), (false, own.as_str())] {
                let response = ui.selectable_label(app.desk.fleet == on, name);
                memory.spot(format!("desk:for:{}", if on { "fleet" } else { "own" }), response.rect);
                if response.clicked() {
                    out.push(Command::Desk(DeskCommand::Fleet(on)));
                }
            }
        } else {
            ui.label(RichText::new(own).family(bold()));
        }
    });
    status(ui, app, StudyKind::Advice, ["find it", "find it again"], ui.available_width(), memory, out);
    let Some((found, _)) = app.desk.advice.found.clone() else {
        ui.label("In trade order: restore the standard, then air, bearings, the stop pin of one side, foam. It may take minutes; stopped, it keeps the best so far.");
        return;
    };
    if !found.nothing_to_do {
        ui.add(egui::Label::new(RichText::new(RECOMMEND_CAUTION).color(role(Role::Warn, app.theme))).wrap());
        if found.best.is_some() {
            let response = ui.add_enabled(app.advised().is_some(), Button::new("set it here"));
            memory.spot("desk:apply", response.rect);
            let tip = "Every step of the recommendation at once; one undo takes it back.";
            if response.on_hover_text(tip).clicked() {
                out.push(Command::Desk(DeskCommand::Apply));
            }
        }
    }
    ScrollArea::vertical().auto_shrink(false).id_salt("advice").show(ui, |ui| {
        for said in recommend_said(&found, app.units) {
            match said {
                Said::Heading(text) => {
                    ui.add_space(6.0);
                    ui.label(RichText::new(text).heading());
                }
                Said::Text(text) => {
                    ui.add(egui::Label::new(text).wrap());
                }
                Said::Step(kind, moves) => {
                    ui.add(egui::Label::new(RichText::new(format!("{kind}: {moves}")).family(bold())).wrap());
                }
                Said::Effect(text) => {
                    ui.indent("effect", |ui| ui.add(egui::Label::new(text).wrap()));
                }
            }
        }
    });
}
