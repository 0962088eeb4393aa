//! What can be set, in the order of the trade: value as written, field steps, a slider, back to the file.

use egui::{Button, ComboBox, Key, RichText, ScrollArea, Slider, TextEdit};

use super::{Memory, bold};
use crate::drawing::Role;
use crate::scenario::setting::{Reading, Setting, SettingKind, Standard};
use crate::units::UnitSystem;
use crate::window::app::App;
use crate::window::app::command::Command;
use crate::window::app::edits::{range_said, reading_said, reading_text, text_said};
use crate::window::keys::{self, Action};
use crate::window::look::role;

/// The value being typed.
#[derive(Debug, Default)]
pub(super) struct Typed {
    path: Option<String>,
    text: String,
    fresh: bool,
}

pub(super) fn panel(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        let sides = app.sides();
        if sides.len() > 1 {
            for side in sides {
                let response = ui.selectable_label(app.views.sides == side, side.prefix());
                memory.spot(format!("sides:{}", side.prefix()), response.rect);
                if response.clicked() {
                    out.push(Command::Sides(side));
                }
            }
        } else {
            ui.label(format!("{} unit", app.views.sides.prefix()));
        }
    });
    ui.horizontal(|ui| {
        for (text, action, what) in
            [("undo", Action::Undo, app.undo_label()), ("redo", Action::Redo, app.redo_label())]
        {
            let response = ui.add_enabled(what.is_some(), Button::new(text));
            memory.spot(format!("button:{text}"), response.rect);
            let tip = format!("{text} {} ({})", what.unwrap_or(""), keys::label(action));
            if response.on_hover_text(tip).clicked() {
                out.push(Command::Act(action));
            }
        }
        let count = app.edits().len();
        if count > 0 && ui.button("all as in file").clicked() {
            out.push(Command::ResetAll);
        }
    });
    search(ui, app, memory, out);
    ui.separator();
    // At the foot, so that nothing moves that is being turned.
    changed(ui, app, memory, out);
    // Under a name of its own: what is held goes on being the same when something before it comes or goes.
    let name = egui::UiBuilder::new().scope_id(egui::Id::unique("list of settings"));
    ui.scope_builder(name, |ui| list(ui, app, memory, out));
}

fn list(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let settings = app.settings_found();
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        // Bars at the side do not lie over the buttons.
        ui.set_max_width(ui.available_width() - 8.0);
        if settings.is_empty() {
            ui.label("No setting has these words in its name. Clear the field to see all.");
            return;
        }
        let mut first = settings.iter().filter(|s| s.first && s.in_field).peekable();
        if first.peek().is_some() {
            heading(ui, "turned first");
        }
        for setting in first {
            row(ui, app, setting, memory, out);
        }
        let mut group = None;
        for setting in settings.iter().filter(|s| s.in_field && !s.first) {
            if group != Some(setting.group) {
                group = Some(setting.group);
                heading(ui, setting.group.name());
            }
            row(ui, app, setting, memory, out);
        }
        if settings.iter().any(|s| !s.in_field) {
            heading(ui, "not set in the field");
        }
        for setting in settings.iter().filter(|s| !s.in_field) {
            row(ui, app, setting, memory, out);
        }
        ui.add_space(8.0);
    });
}

/// The field to look for settings.
fn search(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let mut text = app.views.search.clone();
        let clear = !text.is_empty();
        let width = ui.available_width() - if clear { 62.0 } else { 6.0 };
        let hint = format!("look for a setting ({})", keys::label(Action::Search));
        let response = ui.add(TextEdit::singleline(&mut text).hint_text(hint).desired_width(width));
        super::named(&response, egui::Role::TextInput, "look for a setting");
        memory.spot("search", response.rect);
        if memory.search_asked {
            response.request_focus();
        }
        if response.changed() {
            out.push(Command::Search(text));
        }
        if clear {
            let response = ui.button("clear");
            memory.spot("search clear", response.rect);
            if response.clicked() {
                out.push(Command::Search(String::new()));
            }
        }
    });
}

/// What differs from the file, each with its way back.
fn changed(ui: &mut egui::Ui, app: &App, memory: &mut Memory, out: &mut Vec<Command>) {
    let lines = app.changed();
    if lines.is_empty() {
        return;
    }
    egui::Panel::bottom("what changed").resizable(false).show(ui, |ui| {
        ui.label(RichText::new("what differs from the file").family(bold()));
        let most = 0.25 * app.views.tall;
        ScrollArea::vertical().max_height(most).auto_shrink([false, true]).id_salt("changed").show(
            ui,
            |ui| {
                for line in &lines {
                    ui.horizontal_top(|ui| {
                        let response = ui.small_button("undo");
                        super::named(&response, egui::Role::Button, &format!("undo: {}", line.path));
                        memory.spot(format!("undo:{}", line.path), response.rect);
                        let tip = format!("back to {}, as in the file", line.from);
                        if response.on_hover_text(tip).clicked() {
                            out.push(Command::Reset(line.path.clone()));
                        }
                        ui.add(egui::Label::new(line.text()).wrap());
                    });
                }
            },
        );
    });
}

fn heading(ui: &mut egui::Ui, name: &str) {
    ui.add_space(8.0);
    ui.label(RichText::new(name).heading());
}

fn row(ui: &mut egui::Ui, app: &App, setting: &Setting, memory: &mut Memory, out: &mut Vec<Command>) {
    let Some(reading) = setting.read(app.scenario()) else { return };
    let differs = app.differs(&setting.path);
    let chosen = app.chosen() == Some(setting.path.as_str());
    let edge = if chosen { role(Role::Highlight, app.theme) } else { egui::Color32::TRANSPARENT };
    let frame = egui::Frame::NONE.inner_margin(4.0).corner_radius(4.0).stroke(egui::Stroke::new(1.5, edge));
    let shown = frame.show(ui, |ui| {
        ui.spacing_mut().item_spacing = egui::vec2(6.0, 3.0);
        label(ui, app, setting, differs, memory, out);
        match &setting.kind {
            SettingKind::Choice(words) => choice(ui, setting, words, &reading, memory, out),
            _ => number(ui, app, setting, &reading, memory, out),
        }
        if let Some(refused) = app.refused().filter(|refused| concerns(&refused.path, &setting.path)) {
            let text = format!("✗ {}", refused.text);
            ui.label(RichText::new(text).color(role(Role::Fail, app.theme)));
        }
    });
    memory.spot(format!("row:{}", setting.path), shown.response.rect);
    if chosen && memory.shown_chosen.as_deref() != Some(&setting.path) {
        memory.shown_chosen = Some(setting.path.clone());
        shown.response.scroll_to_me(None);
    }
}

fn concerns(refused: &str, path: &str) -> bool {
    let rest = |path: &str| path.split_once('.').map(|(_, rest)| rest.to_owned());
    refused == path || (refused.starts_with("both.") && rest(refused) == rest(path))
}

/// The name with its sign, and at the right the way back to the file. That keeps its room whether or not the setting differs, so that nothing moves from
/// under the pointer when it does for the first time.
fn label(
    ui: &mut egui::Ui,
    app: &App,
    setting: &Setting,
    differs: bool,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let said = |text: &str| text_said(setting, text, app.units);
    let standard = match &setting.standard {
        Some(Standard::Value(value)) => format!("\nstandard: {} (common practice)", said(value)),
        Some(Standard::Within(low, high)) => {
            format!("\nstandard: {} to {} (common practice)", said(low), said(high))
        }
        None => String::new(),
    };
    let step = match setting.step_text().as_str() {
        "" => String::new(),
        step => format!("\none field step: {}", said(step)),
    };
    let care = crate::report::caution_of(setting.group).map_or_else(String::new, |care| format!("\n{care}"));
    let tip = format!(
        "{}\n{}\nallowed: {}{step}{standard}{care}",
        setting.label,
        setting.path,
        range_said(setting, app.units)
    );
    let (name, sign) = setting.label.split_once(", ").unwrap_or((&setting.label, ""));
    let file = format!("file: {}", app.in_file_said(&setting.path).unwrap_or_default());
    let full = ui.available_width();
    let width = wide(ui, &file, egui::TextStyle::Button);
    // Its letters, the button around them and the mark before it; a long one is cut and told on hover.
    let back = (width + 2.0 * BACK_PADDING + MARK + 6.0).min(0.5 * full);
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        ui.allocate_ui(egui::vec2(full - back, 0.0), |ui| {
            ui.set_width(full - back);
            ui.spacing_mut().item_spacing = egui::vec2(6.0, 0.0);
            let both = |ui: &mut egui::Ui| {
                ui.add(egui::Label::new(name).wrap()).on_hover_text(&tip);
                if !sign.is_empty() {
                    let sign = RichText::new(sign).small().color(role(Role::Muted, app.theme));
                    ui.add(egui::Label::new(sign).wrap()).on_hover_text(&tip);
                }
            };
            // Beside each other where there is room for both, else the sign on a line of its own.
            let fits = wide(ui, name, egui::TextStyle::Body) + 6.0 + wide(ui, sign, egui::TextStyle::Small);
            if fits < full - back {
                ui.horizontal(both);
            } else {
                ui.vertical(|ui| both(ui));
            }
        });
        let (rect, _) = ui.allocate_exact_size(egui::vec2(MARK, 18.0), egui::Sense::hover());
        ui.spacing_mut().button_padding = egui::vec2(BACK_PADDING, 0.0);
        let button = Button::new(&file).small().truncate();
        let response = ui.add_visible(differs, button);
        if !differs {
            return;
        }
        // A mark, not only a colour: a filled diamond before what differs from the file.
        let c = rect.center();
        let corners = [(0.0, -5.0), (5.0, 0.0), (0.0, 5.0), (-5.0, 0.0)];
        let corners = corners.map(|(x, y)| c + egui::vec2(x, y)).to_vec();
        let ink = role(Role::Highlight, app.theme);
        ui.painter().add(egui::Shape::convex_polygon(corners, ink, egui::Stroke::NONE));
        memory.spot(format!("file:{}", setting.path), response.rect);
        let tip = format!("{file}: back to it ({})", keys::label(Action::ResetSetting));
        if response.on_hover_text(tip).clicked() {
            out.push(Command::Reset(setting.path.clone()));
        }
    });
}

/// How wide a text is on one line, points.
fn wide(ui: &egui::Ui, text: &str, style: egui::TextStyle) -> f32 {
    let font = style.resolve(ui.style());
    ui.fonts_mut(|fonts| fonts.layout_no_wrap(text.to_owned(), font, egui::Color32::WHITE).size().x)
}

/// Room for the mark of what differs from the file, and beside the letters of the way back, points.
const MARK: f32 = 14.0;
const BACK_PADDING: f32 = 4.0;

fn number(
    ui: &mut egui::Ui,
    app: &App,
    setting: &Setting,
    reading: &Reading,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        // What is in the row must not come out wider than the row, or the panel would grow from frame to frame.
        ui.spacing_mut().button_padding.x = 3.0;
        let step = |ui: &mut egui::Ui, sign: &str, by: i32, memory: &mut Memory, out: &mut Vec<Command>| {
            let button = Button::new(RichText::new(sign).size(16.0)).min_size(egui::vec2(26.0, 24.0));
            let response = ui.add(button);
            let word = if by > 0 { "more" } else { "less" };
            super::named(&response, egui::Role::Button, &format!("{word}: {}", setting.path));
            memory.spot(format!("{word}:{}", setting.path), response.rect);
            if response
                .on_hover_text(format!("{sign}{}", text_said(setting, &setting.step_text(), app.units)))
                .clicked()
            {
                out.push(Command::Step(setting.path.clone(), by));
            }
        };
        step(ui, "−", -1, memory, out);
        let value_width = 84.0_f32.max(0.28 * ui.available_width());
        let room = ui.available_width() - 26.0 - value_width - 2.0 * ui.spacing().item_spacing.x;
        slide(ui, app, setting, reading, room.max(40.0), memory, out);
        step(ui, "+", 1, memory, out);
        value(ui, (setting, app.units), reading, value_width, memory, out);
    });
}

/// The range of the slider: within a third of the value or sixteen field steps of where the file stands, inside what is allowed.
fn slider_range(setting: &Setting, step: f64, in_file: f64, now: f64) -> (f64, f64) {
    let (low, high) = setting.range_si();
    if matches!(setting.kind, SettingKind::Whole { .. }) {
        return (low, high);
    }
    let reach = (16.0 * step).max(0.5 * in_file.abs());
    (low.max((in_file - reach).min(now)), high.min((in_file + reach).max(now)))
}

fn slide(
    ui: &mut egui::Ui,
    app: &App,
    setting: &Setting,
    reading: &Reading,
    width: f32,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let now = match reading {
        Reading::Value(value) => value.si,
        Reading::Differs { left, right } => 0.5 * (left.si + right.si),
    };
    let in_file = app.base().setting(&setting.path).ok().and_then(|s| s.value_si(app.base())).unwrap_or(now);
    let step = setting.step_si().unwrap_or(1.0);
    let (low, high) = slider_range(setting, step, in_file, now);
    let mut si = now;
    ui.spacing_mut().slider_width = width;
    let response = ui.add(Slider::new(&mut si, low..=high).show_value(false));
    response.widget_info(|| egui::WidgetInfo::slider(true, now, setting.path.clone()));
    memory.spot(format!("slider:{}", setting.path), response.rect);
    if response.dragged() {
        memory.held = Some(setting.path.clone());
    }
    if response.changed() {
        // In field steps; a value between them is typed.
        let snapped = ((si / step).round() * step).clamp(low, high);
        if let Ok(text) = setting.text_of(app.scenario(), snapped)
            && (snapped - now).abs() > 1e-9 * step
        {
            out.push(Command::Drag(setting.path.clone(), text));
        }
    }
    if response.drag_stopped() {
        out.push(Command::Settle);
        // The keys are free again for the clock.
        response.surrender_focus();
    }
}

fn value(
    ui: &mut egui::Ui,
    (setting, units): (&Setting, UnitSystem),
    reading: &Reading,
    width: f32,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let typed = &mut memory.typed;
    if typed.path.as_deref() == Some(&setting.path) {
        let edit = TextEdit::singleline(&mut typed.text).desired_width(width);
        let response = ui.add(edit);
        super::named(&response, egui::Role::TextInput, &format!("value: {}", setting.path));
        if std::mem::take(&mut typed.fresh) {
            response.request_focus();
        } else if response.lost_focus() {
            let cancelled = ui.input(|input| input.key_pressed(Key::Escape));
            if !cancelled && typed.text.trim() != reading_text(reading) {
                out.push(Command::Set(setting.path.clone(), typed.text.trim().to_owned()));
            }
            typed.path = None;
        }
        return;
    }
    let text = reading_said(setting, reading, units);
    let button =
        Button::new(RichText::new(&text).family(bold())).min_size(egui::vec2(width, 24.0)).truncate();
    let response = ui.add(button);
    super::named(&response, egui::Role::Button, &format!("value: {} {text}", setting.path));
    let place = response.rect;
    if response.on_hover_text(format!("{text}: press to type a value with its unit")).clicked() {
        let text = match reading {
            Reading::Value(value) => value.text.clone(),
            Reading::Differs { .. } => String::new(),
        };
        *typed = Typed { path: Some(setting.path.clone()), text, fresh: true };
        out.push(Command::Choose(setting.path.clone()));
    }
    memory.spot(format!("value:{}", setting.path), place);
}

fn choice(
    ui: &mut egui::Ui,
    setting: &Setting,
    words: &[String],
    reading: &Reading,
    memory: &mut Memory,
    out: &mut Vec<Command>,
) {
    let now = reading_text(reading);
    let shown = ComboBox::from_id_salt(&setting.path)
        .selected_text(plain(&now))
        .width(ui.available_width() - 12.0)
        .truncate()
        .show_ui(ui, |ui| {
            for word in words {
                if ui.selectable_label(*word == now, plain(word)).clicked() && *word != now {
                    out.push(Command::Set(setting.path.clone(), word.clone()));
                }
            }
        });
    super::named(&shown.response, egui::Role::ComboBox, &format!("choice: {}", setting.path));
    memory.spot(format!("choice:{}", setting.path), shown.response.rect);
}

/// `OutboardAtNose` as «outboard at nose».
fn plain(word: &str) -> String {
    let mut text = String::new();
    for c in word.chars() {
        if c.is_uppercase()
            && !text.is_empty()
            && !text.ends_with(' ')
            && text.chars().all(|c| c.is_alphabetic() || c == ' ')
        {
            text.push(' ');
            text.extend(c.to_lowercase());
        } else if c.is_uppercase() && text.is_empty() {
            text.extend(c.to_lowercase());
        } else {
            text.push(c);
        }
    }
    if word.chars().skip(1).any(char::is_uppercase) && !word.contains(' ') { text } else { word.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_words_of_the_file_are_shown_as_words() {
        assert_eq!(plain("OutboardAtNose"), "outboard at nose");
        assert_eq!(plain("large SUV"), "large SUV");
        assert_eq!(plain("Supply"), "Supply");
    }
}
