//! A tape measure on the plan view: the length between two points of the ground.

use super::text_size;
use crate::drawing::words::short_length;
use crate::drawing::{Frame, Role};
use crate::window::app::App;
use crate::window::look::role;

/// The tape.
#[derive(Debug, Default)]
pub(super) struct Tape {
    ends_m: Option<[[f64; 2]; 2]>,
    pulling: bool,
}

impl Tape {
    /// Puts its end down.
    pub(super) fn start(&mut self, at_m: [f64; 2]) {
        self.ends_m = Some([at_m, at_m]);
        self.pulling = true;
    }

    /// Whether it is being pulled.
    pub(super) const fn pulling(&self) -> bool {
        self.pulling
    }

    /// Pulls it to a point.
    pub(super) fn pull(&mut self, to_m: [f64; 2]) {
        if let Some(ends) = &mut self.ends_m {
            ends[1] = to_m;
        }
    }

    /// Leaves it lying.
    pub(super) const fn hold(&mut self) {
        self.pulling = false;
    }

    /// Takes it away.
    pub(super) const fn clear(&mut self) {
        self.ends_m = None;
        self.pulling = false;
    }

    /// Draws it over the plan view in `rect`.
    pub(super) fn draw(&self, ui: &egui::Ui, rect: egui::Rect, frame: &Frame, app: &App) {
        let Some([a, b]) = self.ends_m else { return };
        let at = |point: [f64; 2]| {
            let page = frame.page_from_ground(point);
            rect.min + egui::vec2(page.x as f32, page.y as f32)
        };
        let ink = role(Role::Highlight, app.theme);
        let painter = ui.painter().with_clip_rect(rect);
        let (from, to) = (at(a), at(b));
        painter.line_segment([from, to], egui::Stroke::new(2.0, ink));
        for end in [from, to] {
            painter.circle_stroke(end, 4.0, egui::Stroke::new(2.0, ink));
        }
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let text = format!(
            "{}   ({} along, {} across)",
            short_length(dx.hypot(dy), app.units),
            short_length(dx.abs(), app.units),
            short_length(dy.abs(), app.units)
        );
        let font = egui::FontId::new(text_size(app) as f32 + 1.0, super::bold());
        let galley = painter.layout_no_wrap(text, font, role(Role::Ink, app.theme));
        let corner = from + 0.5 * (to - from) + egui::vec2(8.0, -8.0 - galley.size().y);
        let plate = egui::Rect::from_min_size(corner, galley.size()).expand(4.0);
        painter.rect_filled(plate, 3.0, role(Role::Panel, app.theme));
        painter.galley(corner, galley, ink);
    }
}
