//! The start page, and what it opens.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use egui::{Align, CentralPanel, Key, Layout, RichText, ScrollArea, TextEdit};

use super::{Shell, ShellOptions, bold, note};
use crate::drawing::Role;
use crate::report::CAUTION_LINE;
use crate::window::app::dump::Spots;
use crate::window::app::kept::Kept;
use crate::window::backend::{Clock, Requests, Screen};
use crate::window::capture::Pixels;
use crate::window::desktop::Waker;
use crate::window::look::{role, use_size};
use crate::window::recent;
use crate::window::reload::Files;
use crate::window::start::{INVENTED, Opened, Start};

/// What the page is opened with.
pub struct StartOptions {
    /// Folders to look in for scenarios and lessons.
    pub folders: Vec<PathBuf>,
    /// Whether the window opens in full screen.
    pub full_screen: bool,
    /// What was kept, with what the command line says put in.
    pub kept: Kept,
    /// Where it is kept; `None` keeps nothing.
    pub kept_file: Option<PathBuf>,
    /// Where the state is written after each change, for tests.
    pub dump_file: Option<PathBuf>,
    /// The disk.
    pub files: Arc<dyn Files>,
}

/// The start page until something is opened, then that.
pub struct StartPage {
    start: Start,
    shell: Option<Shell>,
    options: StartOptions,
    waker: Waker,
    spots: Spots,
    dumped: String,
    told: bool,
}

impl StartPage {
    /// Looks for what can be opened.
    pub fn new(options: StartOptions, waker: Waker) -> StartPage {
        let recent = options
            .kept_file
            .as_ref()
            .and_then(|kept| options.files.read(&recent::file_beside(kept)).ok())
            .map_or_else(Vec::new, |list| recent::paths(&list));
        let start = Start::look(&*options.files, &recent, &options.folders);
        StartPage {
            start,
            shell: None,
            options,
            waker,
            spots: Spots::new(),
            dumped: String::new(),
            told: false,
        }
    }

    fn open(&mut self, asked: &Path) {
        let Some(opened) = self.start.open(&*self.options.files, asked) else { return };
        let Opened { path, scenario, lesson } = opened;
        let opened = lesson.is_some().then(|| asked.to_owned());
        let options = ShellOptions {
            path,
            scenario,
            set: Vec::new(),
            opened,
            lesson,
            readings: None,
            full_screen: self.options.full_screen,
            kept: self.options.kept,
            kept_file: self.options.kept_file.clone(),
            dump_file: self.options.dump_file.clone(),
            files: Arc::clone(&self.options.files),
        };
        match Shell::new(options, self.waker.clone()) {
            Ok(shell) => self.shell = Some(shell),
            Err(reason) => self.start.trouble = Some(reason),
        }
        self.waker.wake();
    }

    fn page(&mut self, ui: &mut egui::Ui, requests: &mut Requests) {
        if !std::mem::replace(&mut self.told, true) {
            requests.theme = Some(self.options.kept.theme());
        }
        use_size(ui.ctx(), 1.1);
        self.spots.clear();
        let mut wanted = None;
        CentralPanel::default().show(ui, |ui| {
            let width = ui.available_width().min(860.0);
            ui.with_layout(Layout::top_down(Align::Center), |ui| {
                ui.allocate_ui_with_layout(
                    egui::vec2(width, ui.available_height()),
                    Layout::top_down(Align::Min),
                    |ui| wanted = self.contents(ui),
                );
            });
        });
        wanted = wanted.or_else(|| self.keys(ui, requests));
        if let Some(path) = wanted {
            self.open(&path);
        }
    }

    fn keys(&mut self, ui: &egui::Ui, requests: &mut Requests) -> Option<PathBuf> {
        let typing = ui.ctx().text_edit_focused();
        let pressed = |key: Key| ui.input(|input| input.key_pressed(key));
        if pressed(Key::ArrowDown) {
            self.start.choose_next(1);
        }
        if pressed(Key::ArrowUp) {
            self.start.choose_next(-1);
        }
        if ui.input(|input| input.modifiers.command && input.key_pressed(Key::Q)) {
            requests.quit = true;
        }
        if pressed(Key::Escape) && !typing && self.start.trouble.take().is_none() {
            requests.quit = true;
        }
        pressed(Key::Enter).then(|| self.start.wanted()).flatten()
    }

    /// The file that was clicked.
    fn contents(&mut self, ui: &mut egui::Ui) -> Option<PathBuf> {
        let theme = self.options.kept.theme();
        let mut wanted = None;
        ui.add_space(18.0);
        ui.label(RichText::new("What shall be shown?").family(bold()).size(26.0));
        ui.label("Arrow keys and Enter, or a click. A file can also be dropped on the window.");
        ui.add_space(6.0);
        if let Some(trouble) = &self.start.trouble {
            ui.label(
                RichText::new("This could not be opened.").family(bold()).color(role(Role::Fail, theme)),
            );
            ScrollArea::vertical().max_height(160.0).id_salt("trouble").show(ui, |ui| {
                ui.label(RichText::new(trouble).monospace());
            });
        }
        let foot = 128.0;
        let most = (ui.available_height() - foot).max(80.0);
        ScrollArea::vertical().max_height(most).auto_shrink([false, true]).show(ui, |ui| {
            let mut heading = None;
            ui.spacing_mut().item_spacing.y = 1.0;
            for (index, entry) in self.start.entries.iter().enumerate() {
                let name = entry.shelf.name();
                if heading != Some(name) {
                    heading = Some(name);
                    ui.add_space(8.0);
                    ui.label(RichText::new(name).heading());
                }
                let on = index == self.start.chosen;
                let mark = if on { "› " } else { "   " };
                let file = entry.path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
                let text = format!("{mark}{}   ({file})", entry.title);
                let response = ui.add(egui::Button::selectable(on, RichText::new(text).size(17.0)).truncate());
                note(&mut self.spots, format!("start:{file}"), response.rect);
                if on && ui.input(|input| input.key_pressed(Key::ArrowDown) || input.key_pressed(Key::ArrowUp)) {
                    response.scroll_to_me(None);
                }
                if response.on_hover_text(entry.path.display().to_string()).clicked() {
                    wanted = Some(entry.path.clone());
                }
            }
            if self.start.entries.is_empty() {
                ui.label("No scenario was found here or beside the program. Type the name of a file, or drop one on the window.");
            }
        });
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            ui.label("another file");
            let edit = TextEdit::singleline(&mut self.start.typed).desired_width(ui.available_width() - 80.0);
            let response = ui.add(edit);
            super::named(&response, egui::Role::TextInput, "another file");
            note(&mut self.spots, "start:typed", response.rect);
            if ui.button("open").clicked() {
                wanted = self.start.wanted();
            }
        });
        ui.add_space(4.0);
        let invented = ui.add(egui::Label::new(INVENTED).wrap());
        note(&mut self.spots, "start:invented", invented.rect);
        ui.add(egui::Label::new(RichText::new(CAUTION_LINE).color(role(Role::Warn, theme))).wrap());
        wanted
    }

    /// Writes the state for tests.
    fn write_state(&mut self) {
        let Some(path) = &self.options.dump_file else { return };
        let mut map: BTreeMap<String, serde_json::Value> = BTreeMap::new();
        map.insert("start".to_owned(), true.into());
        map.insert("start_entries".to_owned(), self.start.entries.len().into());
        let chosen = self.start.entries.get(self.start.chosen).map(|entry| entry.title.clone());
        map.insert("start_chosen".to_owned(), chosen.into());
        map.insert("start_trouble".to_owned(), self.start.trouble.clone().into());
        for (name, [x, y, w, h]) in &self.spots {
            map.insert(format!("at:{name}"), format!("{x:.0} {y:.0} {w:.0} {h:.0}").into());
        }
        let text = serde_json::to_string_pretty(&map).map_or_else(|_| String::new(), |text| text + "\n");
        if text != self.dumped {
            // Not worth a word when it fails: nobody but a test reads it.
            let _ = self.options.files.replace(path, text.as_bytes());
            self.dumped = text;
        }
    }
}

impl Screen for StartPage {
    fn frame(&mut self, ui: &mut egui::Ui, clock: Clock, requests: &mut Requests) {
        match &mut self.shell {
            Some(shell) => shell.frame(ui, clock, requests),
            None => self.page(ui, requests),
        }
    }

    fn dropped(&mut self, path: PathBuf) {
        match &mut self.shell {
            Some(shell) => shell.dropped(path),
            None => self.open(&path),
        }
    }

    fn captured(&mut self, pixels: Pixels) {
        if let Some(shell) = &mut self.shell {
            shell.captured(pixels);
        }
    }

    fn triangles(&mut self, took: Duration) {
        match &mut self.shell {
            Some(shell) => shell.triangles(took),
            None => self.write_state(),
        }
    }

    fn on_screen(&mut self, took: Option<Duration>) {
        if let Some(shell) = &mut self.shell {
            shell.on_screen(took);
        }
    }

    fn pause(&mut self, until: Instant) {
        match &mut self.shell {
            Some(shell) => shell.pause(until),
            None => std::thread::sleep(until.saturating_duration_since(Instant::now())),
        }
    }
}
