//! The state of the window: plain values, driven by commands, with effects as answers. It knows no screen and no disk.
//!
//! - [`command`]: what can be asked, and what is asked of the outside; `act`: the shortcuts; `news`: what comes from outside;
//! - [`edits`]: what a person changed; [`solved`]: a set-up with all that was computed for it;
//! - [`compare`]: the difference table; [`lesson`]: a lesson being shown; [`fit`]: readings of the machine and their fit; [`find`]: what is wrong with a brush; [`dump`]: the state as JSON; [`kept`]: what is kept between runs;
//! - [`scales`]: what colours mean, whatever is set;
//! - [`desk`]: studies of what is set, beside the sliders; `command_line`: what is set as a command;
//! - [`present`]: the presentation view, [`guess`]: what a class guesses; `asked`: pin, save, a spot of the map; [`parts`]: what is turned at a part of the plan view.
//!
//! A change of a setting is checked at once and refused with its reason when it does not hold; what holds is solved outside and comes back
//! as [`Command::Solved`]. Until then the picture stays the last solved one, whole.

mod act;
mod asked;
pub mod command;
mod command_line;
pub mod compare;
pub mod desk;
pub mod dump;
pub mod edits;
mod fault;
pub mod find;
pub mod fit;
pub mod guess;
pub mod kept;
pub mod lesson;
mod news;
pub mod parts;
pub mod present;
mod readings;
pub mod scales;
mod settings;
pub mod sheet;
pub mod solved;
pub mod timing;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use self::command::{Column, Command, Dialog, Effect, Sides};
use self::desk::Desk;
use self::edits::Edits;
use self::find::Find;
use self::fit::Readings;
use self::lesson::LessonRun;
use self::present::Present;
use self::solved::{Request, SolvedPass};
use crate::arm::Side;
use crate::drawing::Rect;
use crate::drawing::Theme;
use crate::drawing::frame::Travel;
use crate::drawing::unrolled::MapQuantity;
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::units::UnitSystem;
use crate::visible::visible_line;
use crate::window::pins::Pins;
use crate::window::playback::{Playback, Track};
use crate::window::solver::Generation;
use crate::window::undo::History;
use crate::window::view2d::View2d;

/// Which force arrows the plan view shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Arrows {
    /// None.
    #[default]
    None,
    /// Push and rubbing on the brushes.
    Shown,
}

/// A change that was refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// The setting.
    pub path: String,
    /// Why.
    pub text: String,
}

/// What of a setting or picture a person chose to see.
#[derive(Debug, Clone, PartialEq)]
pub struct Views {
    /// Which units the settings move.
    pub sides: Sides,
    /// The column on the right.
    pub column: Column,
    /// The unit whose torques, chambers and events are shown.
    pub detail: Side,
    /// Whether the map is shown.
    pub map: bool,
    /// In a window too low for both, whether the map stands in front of the plan view.
    pub map_front: bool,
    /// In a window too narrow for both, whether the column on the right stands in front of the settings or the lesson.
    pub column_front: bool,
    /// Its quantity.
    pub quantity: MapQuantity,
    /// Whether the map shows by how much what is shown differs from A.
    pub from_a: bool,
    /// Whether the colours of map and pressure mean the same numbers whatever is set.
    pub scales_held: bool,
    /// Force arrows.
    pub arrows: Arrows,
    /// Large type, for a class.
    pub large: bool,
    /// How much more room the window has than 1280 × 800 points, 1 to 2: large type grows with it, so that a class reads a full screen from
    /// the back row.
    pub room: f32,
    /// Height of the window, points: letters of the presentation view grow with it.
    pub tall: f32,
    /// What is looked for among the settings.
    pub search: String,
    /// The keyboard is asked for by the field to look for settings.
    pub search_wanted: bool,
    /// Full screen.
    pub full_screen: bool,
    /// What is in front.
    pub dialog: Dialog,
}

/// The window's state.
#[derive(Debug)]
pub struct App {
    path: PathBuf,
    base: Scenario,
    edits: History<Edits>,
    scenario: Scenario,
    shown: Option<(Generation, Arc<SolvedPass>)>,
    newest: Option<Generation>,
    /// Pinned set-ups.
    pub pins: Pins<SolvedPass>,
    /// The shared clock.
    pub playback: Playback,
    /// The camera of the plan view.
    pub camera: View2d,
    /// What is shown.
    pub views: Views,
    /// The presentation view.
    pub present: Present,
    /// The desk.
    pub desk: Desk,
    /// The file as it is, solved, where it was.
    as_in_file: Option<Arc<SolvedPass>>,
    /// The pass whose scales the colours keep.
    scaled_by: Option<Arc<SolvedPass>>,
    /// Units of every number.
    pub units: UnitSystem,
    /// Light or dark.
    pub theme: Theme,
    chosen: Option<String>,
    lesson: Option<LessonRun>,
    refused: Option<Refused>,
    file_trouble: Option<String>,
    solve_trouble: Option<String>,
    told: Option<String>,
    spot: Option<String>,
    readings: Readings,
    find: Find,
}

impl App {
    /// The state for a scenario read from `path`, with settings changed from the file. Its first effect asks for the solve.
    ///
    /// # Errors
    /// [`Diagnostics`] when a change does not hold.
    pub fn new(
        path: PathBuf,
        base: Scenario,
        set: &[(String, String)],
        units: UnitSystem,
        theme: Theme,
    ) -> Result<(App, Vec<Effect>), Diagnostics> {
        // A setting that does not exist is refused here, with its reason.
        base.with(set)?;
        let edits = edits::put(&base, &Edits::default(), set);
        let scenario = base.with(&edits::changes(&edits))?;
        let sides = if scenario.unit_models().len() > 1 { Sides::Both } else { only_side(&scenario) };
        let detail = scenario.unit_models().first().map_or(Side::Left, |unit| unit.side);
        let page = Rect::new(0.0, 0.0, 800.0, 400.0);
        let desk = Desk::of(&base, units);
        let app = App {
            path,
            base,
            edits: History::new(edits),
            scenario,
            shown: None,
            newest: None,
            pins: Pins::default(),
            playback: Playback::new(Track::default(), Vec::new()),
            camera: View2d::new([[-4.0, -2.0], [4.0, 2.0]], page, Travel::Right),
            views: Views {
                sides,
                column: Column::default(),
                detail,
                map: true,
                map_front: false,
                column_front: false,
                quantity: MapQuantity::default(),
                from_a: false,
                scales_held: true,
                arrows: Arrows::default(),
                large: false,
                room: 1.0,
                tall: 800.0,
                search: String::new(),
                search_wanted: false,
                full_screen: false,
                dialog: Dialog::None,
            },
            present: Present::default(),
            desk,
            as_in_file: None,
            scaled_by: None,
            units,
            theme,
            chosen: None,
            lesson: None,
            refused: None,
            file_trouble: None,
            solve_trouble: None,
            told: None,
            spot: None,
            readings: Readings::None,
            find: Find::default(),
        };
        let effects = vec![app.solve()];
        Ok((app, effects))
    }

    /// The scenario's file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The scenario as it is in the file.
    pub const fn base(&self) -> &Scenario {
        &self.base
    }

    /// The scenario as changed.
    pub const fn scenario(&self) -> &Scenario {
        &self.scenario
    }

    /// What differs from the file.
    pub const fn edits(&self) -> &Edits {
        self.edits.now()
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.edits.undo_label()
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        self.edits.redo_label()
    }

    /// The solved set-up that is shown.
    pub fn shown(&self) -> Option<&Arc<SolvedPass>> {
        self.shown.as_ref().map(|(_, pass)| pass)
    }

    /// Number of the solve that is shown.
    pub fn generation(&self) -> Option<Generation> {
        self.shown.as_ref().map(|(generation, _)| *generation)
    }

    /// Whether something newer than what is shown is being solved.
    pub fn solving(&self) -> bool {
        self.newest > self.generation() && self.solve_trouble.is_none()
    }

    /// The lesson being shown.
    pub const fn lesson(&self) -> Option<&LessonRun> {
        self.lesson.as_ref()
    }

    /// Whether what is set differs from the file in something that a hand turns on the machine.
    pub fn touches_machine(&self) -> bool {
        let by_hand = |path: &String| {
            self.base.setting(path).is_ok_and(|setting| crate::report::caution_of(setting.group).is_some())
        };
        self.edits().keys().any(by_hand)
    }

    /// The last change that was refused.
    pub const fn refused(&self) -> Option<&Refused> {
        self.refused.as_ref()
    }

    /// The setting that the keys move.
    pub fn chosen(&self) -> Option<&str> {
        self.chosen.as_deref()
    }

    /// What is wrong with the file on disk, if it is.
    pub fn file_trouble(&self) -> Option<&str> {
        self.file_trouble.as_deref()
    }

    /// Why the set-up cannot be solved, if it cannot.
    pub fn solve_trouble(&self) -> Option<&str> {
        self.solve_trouble.as_deref()
    }

    /// Something to tell.
    pub fn told(&self) -> Option<&str> {
        self.told.as_deref()
    }

    /// What the last spot of the map that was clicked had to say.
    pub fn spot(&self) -> Option<&str> {
        self.spot.as_deref()
    }

    /// Title of the scenario, or its file name.
    pub fn title(&self) -> String {
        let title = self.base.file().title.trim();
        let title = if title.is_empty() { self.path.display().to_string() } else { title.to_owned() };
        // It goes to the window manager, which turns text as it likes.
        visible_line(&title).into_owned()
    }

    /// The instant of the shown pass, s.
    pub const fn t_s(&self) -> f64 {
        self.playback.time_s()
    }

    /// Time of a pinned pass at the shared clock, s. By time it is aligned in time, by position on the vehicle.
    pub fn pin_time_s(&self, pass: &SolvedPass) -> f64 {
        pass.track().map_or(0.0, |track| self.playback.time_of_s(&track))
    }

    /// The number that the solver gave to the newest request.
    pub fn submitted(&mut self, generation: Generation) {
        self.newest = Some(generation);
        self.solve_trouble = None;
    }

    /// The page and what is to be seen in it, before each frame.
    pub fn set_page(&mut self, page: Rect) {
        if let Some((_, pass)) = &self.shown {
            let box_m = crate::drawing::plan_view::ground_box(
                crate::drawing::plan_view::View::Whole,
                &pass.setup,
                &pass.record,
                self.t_s(),
            );
            self.camera.set_page(page, box_m);
            self.camera.vehicle_at(self.t_s() * pass.setup.conveyor_speed_m_s);
        }
    }

    /// Carries out a command.
    pub fn command(&mut self, command: Command) -> Vec<Effect> {
        match command {
            Command::Act(action) => self.act(action),
            Command::Set(path, text) => {
                self.choose(&path);
                self.change(&[(path, text)], false)
            }
            Command::Drag(path, text) => {
                self.choose(&path);
                self.change(&[(path, text)], true)
            }
            Command::Settle => {
                self.edits.settle();
                Vec::new()
            }
            Command::Step(path, steps) => self.step(&path, steps),
            Command::Reset(path) => {
                self.choose(&path);
                let edits = edits::without(self.edits(), &path);
                self.take(edits, format!("{path} as in the file"), &path, false)
            }
            Command::ResetAll => self.take(Edits::default(), "all as in the file".into(), "", false),
            Command::Choose(path) => {
                self.choose(&path);
                Vec::new()
            }
            Command::ChoosePart(part, side) => {
                self.choose_part(part, side);
                Vec::new()
            }
            Command::Search(text) => {
                self.views.search = text;
                Vec::new()
            }
            Command::Desk(command) => self.at_desk(command),
            Command::Sides(sides) => {
                self.views.sides = sides;
                Vec::new()
            }
            Command::Time(command) => {
                self.playback.command(command);
                Vec::new()
            }
            Command::Advance(step_s) => {
                self.playback.advance(step_s);
                Vec::new()
            }
            Command::Pin(slot) => self.pin(slot),
            Command::Unpin(slot) => {
                self.pins.unpin(slot);
                Vec::new()
            }
            Command::Column(column) => self.see(|views| views.column = column),
            Command::Detail(side) => self.see(|views| views.detail = side),
            Command::Spot(spot) => self.clicked(spot),
            Command::Map(on) => self.see(|views| views.map = on),
            Command::Quantity(quantity) => self.see(|views| views.quantity = quantity),
            Command::Front(front) => self.bring_front(front),
            Command::FromA(on) => self.see(|views| views.from_a = on),
            Command::HoldScales(on) => self.hold_scales(on),
            Command::Dialog(dialog) => self.see(|views| views.dialog = dialog),
            Command::Save(path) => self.save(path),
            Command::OpenFile(path) => {
                self.views.dialog = Dialog::None;
                vec![Effect::Open(path)]
            }
            Command::Solved(solved) => self.solved(*solved),
            Command::Reloaded { path, read, other } => self.reloaded(path, read.map(|s| *s), other),
            Command::RunCauses => self.run_causes(),
            Command::Tick(sign, tick) => self.tick(sign, tick),
            Command::TickNothing => self.tick_nothing(),
            Command::Found(solved) => self.found(*solved),
            Command::ShowCause(hypothesis) => self.show_cause(hypothesis),
            Command::HealthyAgain => self.healthy_again(),
            Command::OpenReadings(path, read) => self.open_readings(path, read),
            Command::FitAgain => self.fit_again(),
            Command::Fitted(solved) => self.fitted(*solved),
            Command::SaveFitted => self.save_fitted(),
            Command::Lesson(lesson) => self.open_lesson(lesson),
            Command::Present(on) => self.present(on),
            Command::PresentMeasure(measure) => {
                self.present.measure = measure;
                Vec::new()
            }
            Command::TakeGuess(guess) => {
                self.take_guess(guess);
                Vec::new()
            }
            Command::CloseLesson => self.close_lesson(),
            Command::LessonStep(step) => self.lesson_step(step),
            Command::Tell(text) => {
                self.told = Some(text);
                Vec::new()
            }
            Command::Dismiss => {
                self.told = None;
                Vec::new()
            }
            Command::Pan(dx, dy) => {
                self.camera.pan(dx, dy);
                Vec::new()
            }
            Command::Zoom(factor, about) => {
                self.camera.zoom(factor, about);
                Vec::new()
            }
            Command::Fit => {
                self.camera.fit();
                Vec::new()
            }
        }
    }

    /// Changes what is seen and no more.
    fn see(&mut self, change: impl FnOnce(&mut Views)) -> Vec<Effect> {
        change(&mut self.views);
        Vec::new()
    }

    /// Asks for the solve of what is set.
    fn solve(&self) -> Effect {
        Effect::Solve(Box::new(Request {
            scenario: self.scenario.clone(),
            edits: self.edits().clone(),
            step: None,
            reference: self.wants_reference().then(|| self.base.clone()),
            series: matches!(self.views.column, Column::Strips | Column::Why),
        }))
    }
}

fn only_side(scenario: &Scenario) -> Sides {
    match scenario.unit_models().first().map(|unit| unit.side) {
        Some(Side::Right) => Sides::Right,
        _ => Sides::Left,
    }
}

#[cfg(test)]
pub(crate) mod tests;
