//! What a lesson says, or why the brushes do what they do: wrapped, never cut, never in smaller letters.

use std::sync::Arc;

use egui::{Button, Color32, FontId, Galley, RichText, ScrollArea};

use super::{BODY, HEADING, LEAST, px};
use crate::coverage::explain;
use crate::drawing::Role;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::guess::Guess;
use crate::window::app::lesson::slot;
use crate::window::look::role;
use crate::window::screen::{Memory, bold};

/// A paragraph.
#[derive(Debug, Clone)]
pub(super) struct Block {
    text: String,
    size: f32,
    bold: bool,
    role: Role,
    what: What,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum What {
    Text,
    /// The answer, in a frame; room is kept for it before it is told.
    Answer,
    /// The buttons to guess with, under their question.
    Guesses,
}

fn block(text: impl Into<String>, size: f32, bold: bool, role: Role) -> Block {
    Block { text: text.into(), size, bold, role, what: What::Text }
}

/// What is said now.
pub(super) fn blocks(app: &App) -> Vec<Block> {
    let Some(run) = app.lesson() else { return why(app) };
    let texts = &run.texts;
    let mut blocks =
        vec![block(&texts.heading, HEADING, true, Role::Ink), block(&texts.caption, BODY, false, Role::Ink)];
    for (pin, name) in &texts.pins {
        let slot = slot(*pin);
        blocks.push(block(format!("{}: {name}", slot.letter()), LEAST, true, slot.role()));
    }
    if !texts.question.is_empty() {
        blocks.push(block(&texts.question, BODY, true, Role::Ink));
        let asked = app.answer_hidden().then(|| app.guessed_about()).flatten();
        if let Some(about) = asked {
            let text = format!("Guess first: {about}");
            blocks.push(Block { what: What::Guesses, ..block(text, LEAST, false, Role::Muted) });
        } else if let (true, Some(guess)) = (run.state.answer_shown(), app.present.guess(run.state.at())) {
            let right = app.right_guess() == Some(guess);
            let text = format!("Guessed: {}. {}", guess.word(), if right { "Right." } else { "Not so." });
            blocks.push(block(text, LEAST, true, if right { Role::Pass } else { Role::Fail }));
        }
        if !texts.answer.is_empty() {
            let text = &texts.answer;
            blocks.push(Block { what: What::Answer, ..block(text, BODY, false, Role::Ink) });
        }
    }
    blocks
}

/// As much text as why a brush does what it does comes to at most: three full lines for each brush.
pub(super) fn longest(app: &App) -> Vec<Block> {
    let line = "The nose drives the right brush outboard at 20.8 ft/min: bumper stop (152.1 lbf ft outward) works against air (129.2 lbf ft inward).";
    app.scenario().unit_models().iter().map(|_| block(line, BODY, false, Role::Ink)).collect()
}

/// Why each brush does what it does at the instant.
fn why(app: &App) -> Vec<Block> {
    let said = app.shown().map(|pass| explain(&pass.setup, &pass.record, app.t_s())).unwrap_or_default();
    said.iter()
        .map(|said| {
            let side = said.side;
            let text = if said.instant.ended {
                format!("The {} unit is on to the next vehicle.", side.name())
            } else {
                crate::sentences::why(said, app.units)
            };
            let role = match side {
                crate::arm::Side::Left => Role::LeftUnit,
                crate::arm::Side::Right => Role::RightUnit,
            };
            block(text, BODY, false, role)
        })
        .collect()
}

/// A text as it will be laid out.
pub(super) fn galley(
    ui: &egui::Ui,
    app: &App,
    text: &str,
    size: f32,
    strong: bool,
    width: f32,
) -> Arc<Galley> {
    let family = if strong { bold() } else { egui::FontFamily::Proportional };
    ui.painter().layout(text.to_owned(), FontId::new(px(app, size), family), Color32::PLACEHOLDER, width)
}

/// Free height between two paragraphs.
const BETWEEN: f32 = 10.0;
/// Room inside the frame of an answer, each side.
const INSIDE: f32 = 10.0;
/// Height of a button to guess with.
const BUTTON: f32 = 52.0;

/// How high they come out in a width.
pub(super) fn height(ui: &egui::Ui, app: &App, blocks: &[Block], width: f32) -> f32 {
    let each = |block: &Block| {
        let inner = if block.what == What::Answer { width - px(app, 2.0 * INSIDE + 4.0) } else { width };
        let text = galley(ui, app, &block.text, block.size, block.bold, inner).size().y;
        let around = match block.what {
            What::Text => 0.0,
            What::Answer => px(app, 2.0 * INSIDE + 4.0),
            What::Guesses => guess_rows(ui, app, width) * px(app, BUTTON + BETWEEN),
        };
        text + around + px(app, BETWEEN)
    };
    blocks.iter().map(each).sum::<f32>() + px(app, BETWEEN)
}

/// Shows them; where they are longer than any column can be, they are scrolled.
pub(super) fn show(
    ui: &mut egui::Ui,
    app: &App,
    blocks: &[Block],
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let told = app.lesson().is_some_and(|run| run.state.answer_shown());
    let step = app.lesson().map_or(0, |run| run.state.at());
    ScrollArea::vertical().auto_shrink(false).id_salt(("present texts", step)).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = px(app, BETWEEN);
        ui.add_space(px(app, 0.5 * BETWEEN));
        for block in blocks {
            let family = if block.bold { bold() } else { egui::FontFamily::Proportional };
            let text = RichText::new(&block.text)
                .size(px(app, block.size))
                .family(family)
                .color(role(block.role, app.theme));
            match block.what {
                What::Text => {
                    ui.add(egui::Label::new(text).wrap());
                }
                What::Answer if told => {
                    egui::Frame::NONE
                        .inner_margin(px(app, INSIDE) as i8)
                        .stroke(egui::Stroke::new(px(app, 2.0), role(Role::Highlight, app.theme)))
                        .show(ui, |ui| ui.add(egui::Label::new(text).wrap()));
                }
                What::Answer => {}
                What::Guesses => {
                    ui.add(egui::Label::new(text).wrap());
                    guesses(ui, app, step, memory, out);
                }
            }
        }
    });
}

/// Least width of a button to guess with.
const GUESS: f32 = 140.0;

/// In how many rows the buttons stand.
fn guess_rows(ui: &egui::Ui, app: &App, width: f32) -> f32 {
    let (mut rows, mut x) = (1.0, 0.0);
    for guess in Guess::ALL {
        let text = galley(ui, app, &format!("● {}", guess.word()), LEAST, false, f32::INFINITY).size().x;
        let own =
            px(app, GUESS).max(text + 2.0 * ui.spacing().button_padding.x) + ui.spacing().item_spacing.x;
        if x > 0.0 && x + own > width {
            rows += 1.0;
            x = 0.0;
        }
        x += own;
    }
    rows
}

fn guesses(ui: &mut egui::Ui, app: &App, step: usize, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        for guess in Guess::ALL {
            let on = app.present.guess(step) == Some(guess);
            let word = if on { format!("● {}", guess.word()) } else { guess.word().to_owned() };
            let button = Button::new(RichText::new(word).size(px(app, LEAST)))
                .selected(on)
                .min_size(egui::vec2(px(app, GUESS), px(app, BUTTON)));
            let response = ui.add(button);
            memory.spot(format!("guess:{}", guess.word()), response.rect);
            if response.clicked() {
                response.surrender_focus();
                out.push(Command::TakeGuess(guess));
            }
        }
    });
}
