//! A lesson being shown: which step, what it says with its numbers, and what it brought to the front.

use std::sync::Arc;

use super::command::{Column, Effect};
use super::edits::{self, Edits};
use super::solved::{Request, SolvedPass, StepRequest};
use super::{App, Arrows};
use crate::arm::Side;
use crate::drawing::plan_view::View;
use crate::scenario::lesson::{Lesson, PinSlot, ShowWord};
use crate::study::lesson::{self as study, Shown, StepTexts};
use crate::window::keys::Action;
use crate::window::lesson_state::{LessonState, Moved, StepKind};
use crate::window::pins::Slot;
use crate::window::playback::{self, ClockKind};

/// A lesson and where it is.
#[derive(Debug)]
pub struct LessonRun {
    /// The lesson.
    pub lesson: Arc<Lesson>,
    /// Where it is.
    pub state: LessonState,
    /// What the step that is shown says; the step before until the new one is solved.
    pub texts: StepTexts,
    /// Whether a step is being solved.
    pub waiting: bool,
    /// What was set before the lesson began.
    before: Edits,
    /// The pinned passes of the step, for texts in other units.
    solved: Option<SolvedStep>,
}

impl LessonRun {
    /// The instant that the step is shown at, s.
    pub fn instant_s(&self) -> Option<f64> {
        self.solved.as_ref().map(|step| step.t_s)
    }
}

#[derive(Debug)]
struct SolvedStep {
    index: usize,
    t_s: f64,
    own: Arc<SolvedPass>,
    pins: Vec<(PinSlot, Arc<SolvedPass>)>,
}

/// The window's place for a lesson's pin.
pub const fn slot(pin: PinSlot) -> Slot {
    match pin {
        PinSlot::A => Slot::A,
        PinSlot::B => Slot::B,
        PinSlot::C => Slot::C,
    }
}

impl App {
    pub(super) fn open_lesson(&mut self, lesson: Arc<Lesson>) -> Vec<Effect> {
        if let Err(refused) = study::check(&lesson, &self.base) {
            self.told = Some(refused.to_string());
            return Vec::new();
        }
        let kinds = lesson
            .file
            .steps
            .iter()
            .map(|step| if step.question.is_empty() { StepKind::Show } else { StepKind::Ask });
        let Some(state) = LessonState::new(kinds.collect()) else { return Vec::new() };
        let before = self.lesson.take().map_or_else(|| self.edits().clone(), |run| run.before);
        self.lesson = Some(LessonRun {
            lesson,
            state,
            texts: StepTexts::default(),
            waiting: false,
            before,
            solved: None,
        });
        self.views.large = true;
        self.desk.open = false;
        self.present.forget_lesson();
        self.set_up_step()
    }

    pub(super) fn close_lesson(&mut self) -> Vec<Effect> {
        let Some(run) = self.lesson.take() else { return Vec::new() };
        self.pins.clear();
        self.present.forget_lesson();
        self.views.large = false;
        self.take(run.before, "lesson closed".into(), "", false)
    }

    pub(super) fn lesson_move(&mut self, action: Action) -> Vec<Effect> {
        let Some(run) = &mut self.lesson else { return Vec::new() };
        if run.waiting {
            return Vec::new();
        }
        // The card stands behind the last step.
        if self.present.recap && action != Action::LessonReveal {
            self.present.recap = action == Action::LessonNext;
            return Vec::new();
        }
        let moved = match action {
            Action::LessonNext => run.state.advance(),
            Action::LessonBack => run.state.back(),
            _ => run.state.reveal(),
        };
        match moved {
            Moved::Step => return self.set_up_step(),
            Moved::Answer => self.play_step(),
            Moved::Nothing => self.present.recap = self.present.on && action == Action::LessonNext,
        }
        Vec::new()
    }

    pub(super) fn lesson_step(&mut self, step: usize) -> Vec<Effect> {
        let Some(run) = &mut self.lesson else { return Vec::new() };
        if run.waiting {
            return Vec::new();
        }
        self.present.recap = false;
        if run.state.go_to(step) == Moved::Step { self.set_up_step() } else { Vec::new() }
    }

    /// After the scenario was read again.
    pub(super) fn lesson_again(&mut self) -> Vec<Effect> {
        let checked = self.lesson.as_ref().map(|run| study::check(&run.lesson, &self.base));
        match checked {
            Some(Err(refused)) => {
                self.told = Some(refused.to_string());
                self.lesson = None;
                vec![self.solve()]
            }
            _ => self.set_up_step(),
        }
    }

    fn set_up_step(&mut self) -> Vec<Effect> {
        let Some(run) = &self.lesson else { return Vec::new() };
        let (lesson, index) = (Arc::clone(&run.lesson), run.state.at());
        let (own, pins) = match study::step_scenarios(&lesson, &self.base, index) {
            Ok(made) => made,
            Err(refused) => {
                self.told = Some(refused.to_string());
                return Vec::new();
            }
        };
        let set = lesson.file.steps.get(index).map(|step| step.set.clone()).unwrap_or_default();
        // The step was made with them just now: steps among them can be taken.
        let set: Vec<_> =
            self.base.stepped(&set).map_or(set, |taken| taken.iter().map(|c| c.pair()).collect());
        let edits = edits::put(&self.base, &Edits::default(), &set);
        self.edits.stand_at(self.playback.position_m());
        self.edits.change(edits.clone(), format!("lesson step {}", index + 1));
        self.scenario = own.clone();
        self.find.shown = None;
        self.refused = None;
        if let Some(run) = &mut self.lesson {
            run.waiting = true;
        }
        let step = Some(StepRequest { index, pins });
        let reference = self.wants_reference().then(|| self.base.clone());
        vec![Effect::Solve(Box::new(Request { scenario: own, edits, step, reference, series: true }))]
    }

    /// A step has been solved: everything of it is shown at once.
    pub(super) fn show_step(&mut self, index: usize, pins: Vec<(PinSlot, Arc<SolvedPass>)>) {
        let Some(pass) = self.shown().cloned() else { return };
        let Some(run) = &mut self.lesson else { return };
        run.waiting = false;
        let lesson = Arc::clone(&run.lesson);
        let Some(step) = lesson.file.steps.get(index) else { return };
        let t_s = study::instant_s(step, &pass.solved);
        if t_s.is_none() {
            let told = lesson.diagnostic(&format!("steps[{index}].at"), study::no_event());
            self.told = Some(told.to_string());
        }
        let t_s = t_s.unwrap_or(pass.record.start_s);
        if let Some(run) = &mut self.lesson {
            run.solved = Some(SolvedStep { index, t_s, own: Arc::clone(&pass), pins: pins.clone() });
        }
        self.retell_lesson();
        let names = self.lesson.as_ref().map(|run| run.texts.pins.clone()).unwrap_or_default();
        self.pins.clear();
        for (place, solved) in pins {
            let name =
                names.iter().find(|(s, _)| *s == place).map_or(String::new(), |(_, name)| name.clone());
            self.pins.pin(slot(place), name, solved);
        }
        self.playback.command(playback::Command::Clock(if step.pins.is_empty() {
            self.playback.kind()
        } else {
            ClockKind::Position
        }));
        self.playback.command(playback::Command::GoToTime(t_s));
        self.views.detail = step.unit.side();
        let shows = |word: ShowWord| step.show.contains(&word);
        self.views.arrows = if shows(ShowWord::Forces) { Arrows::Shown } else { Arrows::None };
        self.views.map = shows(ShowWord::Map);
        let columns = [
            (ShowWord::Compare, Column::Compare),
            (ShowWord::Why, Column::Why),
            (ShowWord::Strips, Column::Strips),
            (ShowWord::Limits, Column::Limits),
        ];
        if let Some((_, column)) = columns.into_iter().find(|(word, _)| shows(*word)) {
            self.views.column = column;
        }
        self.camera.fit();
        let near = [(ShowWord::LeftBrush, Side::Left), (ShowWord::RightBrush, Side::Right)];
        if let Some((_, side)) = near.into_iter().find(|(word, _)| shows(*word)) {
            let box_m =
                crate::drawing::plan_view::ground_box(View::Brush(side), &pass.setup, &pass.record, t_s);
            self.camera.show_box(box_m);
        }
        self.follow_if(shows(ShowWord::Follow));
        self.note_step();
        self.play_step();
    }

    fn follow_if(&mut self, on: bool) {
        if on {
            self.follow(true);
        }
    }

    /// Fills in the texts of the step that is shown, after it was solved or the units changed.
    pub(super) fn retell_lesson(&mut self) {
        let units = self.units;
        let Some(run) = &mut self.lesson else { return };
        let Some(step) = &run.solved else { return };
        let shown = |pass: &'_ Arc<SolvedPass>, t_s: f64| -> ShownParts {
            ShownParts { pass: Arc::clone(pass), t_s }
        };
        let own = shown(&step.own, step.t_s);
        let pins: Vec<(PinSlot, ShownParts)> = step
            .pins
            .iter()
            .map(|(slot, pass)| (*slot, shown(pass, study::same_place_s(&own.shown(), &pass.record))))
            .collect();
        let views: Vec<(PinSlot, Shown<'_>)> =
            pins.iter().map(|(slot, parts)| (*slot, parts.shown())).collect();
        run.texts = study::texts(&run.lesson, step.index, &own.shown(), &views, units);
    }
}

struct ShownParts {
    pass: Arc<SolvedPass>,
    t_s: f64,
}

impl ShownParts {
    fn shown(&self) -> Shown<'_> {
        Shown { scenario: &self.pass.scenario, solved: &self.pass.solved, t_s: self.t_s }
    }
}
