//! One frame after another: what is asked of the window, and what it is told.

use super::{PATIENCE, Shell};
use std::path::PathBuf;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use super::super::frame;
use crate::window::app::command::Command;
use crate::window::backend::{Clock, Requests, Screen};
use crate::window::capture::Pixels;

impl Screen for Shell {
    fn frame(&mut self, ui: &mut egui::Ui, clock: Clock, requests: &mut Requests) {
        if !self.theme_told {
            self.theme_told = true;
            requests.theme = Some(self.app.theme);
        }
        let again = clock.again;
        if !again {
            self.began = Instant::now();
        }
        self.look_for_news(requests);
        self.list_files();
        if self.app.playback.playing() && clock.step_s > 0.0 {
            self.app.command(Command::Advance(clock.step_s));
        }
        let began = Instant::now();
        let commands = frame(ui, &mut self.app, &mut self.memory);
        self.timing.built(began.elapsed());
        match self.memory.held.clone() {
            Some(path) if !again => self.timing.held(&path, clock.moves, self.began),
            Some(_) => {}
            None => self.timing.let_go(),
        }
        let any = !commands.is_empty();
        let newest = self.solver.newest();
        for command in commands {
            let dragged = match &command {
                Command::Drag(_, text) => Some(text.clone()),
                _ => None,
            };
            let effects = self.app.command(command);
            let before = self.solver.newest();
            self.carry_out(effects, requests);
            if let Some(text) = dragged {
                let number = self.solver.newest();
                self.timing.dragged(&text, (number > before).then_some(number));
            }
        }
        if self.solver.newest() > newest && !again && self.comes_soon() {
            requests.again = true;
        } else if any {
            ui.ctx().request_repaint();
        }
        if let Some(text) = self.to_copy.take() {
            ui.ctx().copy_text(text);
        }
        requests.animate |= self.app.playback.playing();
        // While something is being solved, frames go on by themselves: nobody needs to wake them.
        let busy = self.solver.busy();
        self.watching.store(busy, Ordering::SeqCst);
        requests.animate |= busy || self.solver.busy() || self.fits.busy() || self.finds.busy();
        self.keep(ui);
    }

    fn triangles(&mut self, took: Duration) {
        self.timing.triangles(took, Instant::now());
        // The picture waits for nothing any more: what tests look at is no part of the way to it.
        self.write_state();
    }

    fn on_screen(&mut self, took: Option<Duration>) {
        self.timing.on_screen(took, Instant::now());
    }

    fn pause(&mut self, until: Instant) {
        if self.solver.busy() {
            self.solver.wait(until + PATIENCE);
        } else {
            std::thread::sleep(until.saturating_duration_since(Instant::now()));
        }
    }

    fn dropped(&mut self, path: PathBuf) {
        let mut requests = Requests::default();
        self.open(&path, &mut requests);
        self.waker.wake();
    }

    fn captured(&mut self, pixels: Pixels) {
        if std::mem::take(&mut self.capture) {
            match pixels.png() {
                Ok(bytes) => self.save_picture("png", &bytes),
                Err(reason) => self.tell(format!("Cannot make the picture: {reason}.")),
            }
            self.waker.wake();
        }
    }
}
