//! The shortcuts: what each action of the keys and buttons does.

use super::command::{Command, Dialog, Effect, Front};
use super::{App, Arrows};
use crate::drawing::unrolled::MapQuantity;
use crate::drawing::{Pos, Theme};
use crate::units::UnitSystem;
use crate::window::keys::Action;
use crate::window::pins::Slot;
use crate::window::playback::{self, ClockKind};

impl App {
    pub(super) fn act(&mut self, action: Action) -> Vec<Effect> {
        use playback::Command as T;
        if let Some(effects) = self.presenter(action) {
            return effects;
        }
        let step = |app: &App| 0.08 * app.camera_width();
        let time = match action {
            Action::PlayPause => Some(T::Toggle),
            Action::StepBack => Some(T::Step(-1)),
            Action::StepForward => Some(T::Step(1)),
            Action::PreviousEvent => Some(T::PreviousMark),
            Action::NextEvent => Some(T::NextMark),
            Action::ToStart => Some(T::Start),
            Action::ToEnd => Some(T::End),
            Action::Slower => Some(T::Slower),
            Action::Faster => Some(T::Faster),
            Action::Loop => Some(T::Loop(!self.playback.looping())),
            Action::ClockKind => Some(T::Clock(match self.playback.kind() {
                ClockKind::Time => ClockKind::Position,
                ClockKind::Position => ClockKind::Time,
            })),
            _ => None,
        };
        if let Some(command) = time {
            return self.command(Command::Time(command));
        }
        match action {
            Action::ZoomIn => self.camera.zoom(1.25, self.camera_middle()),
            Action::ZoomOut => self.camera.zoom(0.8, self.camera_middle()),
            Action::PanLeft => self.camera.pan(step(self), 0.0),
            Action::PanRight => self.camera.pan(-step(self), 0.0),
            Action::PanUp => self.camera.pan(0.0, step(self)),
            Action::PanDown => self.camera.pan(0.0, -step(self)),
            Action::Fit => self.camera.fit(),
            Action::Follow => self.follow(self.camera.mode() != crate::window::view2d::Mode::Follow),
            Action::Forces => {
                self.views.arrows = match self.views.arrows {
                    Arrows::None => Arrows::Shown,
                    Arrows::Shown => Arrows::None,
                }
            }
            Action::NextMapQuantity => {
                let at = MapQuantity::ALL.iter().position(|q| *q == self.views.quantity).unwrap_or(0);
                self.views.quantity = MapQuantity::ALL[(at + 1) % MapQuantity::ALL.len()];
                self.views.map = true;
            }
            Action::PinA => return self.pin(Slot::A),
            Action::PinB => return self.pin(Slot::B),
            Action::PinC => return self.pin(Slot::C),
            Action::UnpinAll => self.pins.clear(),
            Action::PreviousSetting => self.choose_next(-1),
            Action::NextSetting => self.choose_next(1),
            Action::FieldStepDown | Action::FieldStepUp => {
                let Some(path) = self.chosen.clone() else {
                    self.choose_next(1);
                    return Vec::new();
                };
                return self.step(&path, if action == Action::FieldStepUp { 1 } else { -1 });
            }
            Action::ResetSetting => {
                if let Some(path) = self.chosen.clone() {
                    return self.command(Command::Reset(path));
                }
            }
            Action::Undo | Action::Redo => {
                let moved = if action == Action::Undo { self.edits.undo() } else { self.edits.redo() };
                if moved {
                    // What is taken back is seen where it was done.
                    self.playback.go_to_position(self.edits.place_m());
                    return self.restore();
                }
            }
            // The field stands beside the settings only.
            Action::Search => self.views.search_wanted = self.lesson.is_none() && !self.present.on,
            Action::Open => self.views.dialog = Dialog::Open,
            Action::SaveAs => self.views.dialog = Dialog::SaveAs,
            Action::MakeSheet => return self.ask_for_sheet(),
            Action::Desk => return self.show_desk(!self.desk.open || self.present.on),
            Action::CopyCommand => return self.copy_pass(),
            Action::SavePng => return vec![Effect::Png],
            Action::SaveSvg => return vec![Effect::Svg],
            Action::LessonNext | Action::LessonBack | Action::LessonReveal => {
                return self.lesson_move(action);
            }
            Action::Present => return self.present(!self.present.on),
            Action::TwoPlans => return self.show_two_plans(),
            Action::PlayTail => self.play_tail(),
            Action::Theme => {
                self.theme = if self.theme == Theme::Light { Theme::Dark } else { Theme::Light };
                return vec![Effect::Theme];
            }
            Action::Units => {
                self.units = if self.units == UnitSystem::Us { UnitSystem::Si } else { UnitSystem::Us };
                self.desk.turn_to(&self.scenario, self.units);
                self.spot = None;
                self.retell_lesson();
            }
            Action::LargeType => self.views.large = !self.views.large,
            Action::FullScreen => {
                self.views.full_screen = !self.views.full_screen;
                return vec![Effect::FullScreen(self.views.full_screen)];
            }
            Action::Help => {
                let open = self.views.dialog == Dialog::Help;
                self.views.dialog = if open { Dialog::None } else { Dialog::Help };
            }
            Action::Close => return self.close(),
            Action::Quit => return vec![Effect::Quit],
            Action::PlayPause
            | Action::StepBack
            | Action::StepForward
            | Action::PreviousEvent
            | Action::NextEvent
            | Action::ToStart
            | Action::ToEnd
            | Action::Slower
            | Action::Faster
            | Action::Loop
            | Action::ClockKind => {}
        }
        Vec::new()
    }

    /// What Escape closes, one thing at a time.
    fn close(&mut self) -> Vec<Effect> {
        if self.views.dialog != Dialog::None {
            self.views.dialog = Dialog::None;
        } else if self.told.take().is_some() || self.spot.take().is_some() {
        } else if self.present.on {
            return self.present(false);
        } else if self.desk.open {
            self.desk.open = false;
        } else if self.views.full_screen {
            self.views.full_screen = false;
            return vec![Effect::FullScreen(false)];
        } else if self.lesson.is_some() {
            return self.close_lesson();
        }
        Vec::new()
    }

    /// What stands in front where there is no room for two beside each other.
    pub(super) fn bring_front(&mut self, front: Front) -> Vec<Effect> {
        match front {
            Front::Plan => self.views.map_front = false,
            Front::Map => self.views.map_front = true,
            Front::Settings => self.views.column_front = false,
            Front::Column => self.views.column_front = true,
        }
        Vec::new()
    }

    /// Starts or stops following the vehicle.
    pub(super) fn follow(&mut self, on: bool) {
        let speed = self.shown().map_or(0.0, |pass| pass.setup.conveyor_speed_m_s);
        let vehicle_m = self.t_s() * speed;
        self.camera.set_follow(on, vehicle_m);
    }

    fn camera_width(&self) -> f64 {
        let frame = self.camera.frame();
        2.0 * frame.origin.x.abs().max(100.0)
    }

    fn camera_middle(&self) -> Pos {
        self.camera.page().centre()
    }
}
