//! The presentation view: for a class that looks from the back row. What was turned and what one measure did, two set-ups beside each other, and in a
//! lesson the guess before the answer and a card at the end.

mod banner;

pub use banner::{Banner, Chosen, Named};

use std::collections::BTreeMap;
use std::sync::Arc;

use self::banner::values_text;
use super::App;
use super::command::Effect;
use super::compare::{Change, change_of, matters_from};
use super::guess::Guess;
use super::solved::SolvedPass;
use crate::coverage::measure::Measure;
use crate::coverage::{EventName, tail_tells};
use crate::scenario::Scenario;
use crate::scenario::lesson::ShowWord;
use crate::window::keys::Action;
use crate::window::playback::{self, Stretch};

/// How fast the chase is played, times real time.
pub const CHASE_SPEED: f64 = 0.25;
/// How long the chase is played on after the last brush is back on the tail, s.
const AFTER_CHASE_S: f64 = 1.0;
/// How long a pass that is not told by its tail is played, s.
const ELSEWHERE_S: f64 = 6.0;

/// What a step of a lesson came to, for the card at the end.
#[derive(Debug, Clone)]
struct Step {
    heading: String,
    before: Option<(Scenario, Option<f64>)>,
    after: (Scenario, Option<f64>),
    measure: Measure,
}

/// The letters that were painted last, so that it can be seen whether a class can read them.
#[derive(Debug, Default, Clone, PartialEq)]
pub struct Letters {
    /// Size of the smallest text, points.
    pub smallest: f32,
    /// Texts that are not seen whole.
    pub cut: Vec<String>,
}

/// State of the presentation view.
#[derive(Debug, Default)]
pub struct Present {
    /// The letters painted last.
    pub letters: Letters,
    /// Whether it is shown.
    pub on: bool,
    /// Whether the two set-ups are beside each other.
    pub two_plans: bool,
    /// The measure that was chosen by hand.
    pub measure: Option<Measure>,
    /// Whether the card at the end of a lesson is shown.
    pub recap: bool,
    guesses: BTreeMap<usize, Guess>,
    steps: BTreeMap<usize, Step>,
}

impl Present {
    /// What was guessed in a step.
    pub fn guess(&self, step: usize) -> Option<Guess> {
        self.guesses.get(&step).copied()
    }

    /// A lesson begins or ends.
    pub(super) fn forget_lesson(&mut self) {
        self.recap = false;
        self.guesses.clear();
        self.steps.clear();
    }
}

impl App {
    /// Whether a class is still to guess what the measure does.
    pub fn answer_hidden(&self) -> bool {
        self.present.on
            && self.lesson().is_some_and(|run| run.state.waits_for_answer())
            && self.answer_measure().is_some()
            && self.beside().0.is_some()
    }

    /// What the measure did, as a guess.
    pub fn right_guess(&self) -> Option<Guess> {
        let measure = self.answer_measure()?;
        let (before, after) = self.beside();
        let read = |named: Named| measure.read(&named.pass.outcome).value;
        let (from, to) = (read(before?)?, read(after?)?);
        Some(if (to - from).abs() < matters_from(measure, from) {
            Guess::Same
        } else if to > from {
            Guess::More
        } else {
            Guess::Less
        })
    }

    /// Whether the map would tell the answer that a class is still to guess; not where the step is about the map.
    pub fn map_covered(&self) -> bool {
        let about_map = self.lesson().is_some_and(|run| {
            let step = run.lesson.file.steps.get(run.state.at());
            step.is_some_and(|step| step.show.contains(&ShowWord::Map))
        });
        self.answer_hidden() && !about_map
    }

    /// The instant at which another set-up is shown beside the clock, s.
    pub fn time_of_s(&self, named: &Named) -> f64 {
        match self.shown() {
            Some(now) if Arc::ptr_eq(now, &named.pass) => self.t_s(),
            _ => self.pin_time_s(&named.pass),
        }
    }

    /// What is guessed about, where there is something to guess: «gap on the tail, A → now».
    pub fn guessed_about(&self) -> Option<String> {
        self.right_guess()?;
        let banner = self.banner()?;
        Some(format!("{}, {}", self.answer_measure()?.label(), banner.names))
    }

    pub(super) fn take_guess(&mut self, guess: Guess) {
        let Some(step) = self.lesson().map(|run| run.state.at()) else { return };
        if self.answer_hidden() {
            self.present.guesses.insert(step, guess);
        }
    }

    /// Shows the presentation view, or leaves it.
    pub(super) fn present(&mut self, on: bool) -> Vec<Effect> {
        self.present.on = on;
        self.present.recap = false;
        if !on {
            if self.playback.stretch().is_some() {
                self.playback.command(playback::Command::Pause);
            }
            return Vec::new();
        }
        self.views.dialog = super::command::Dialog::None;
        if let Some(run) = self.lesson()
            && !run.waiting
        {
            self.note_step();
            self.play_step();
        }
        // Something to hold the set-up against.
        if self.wants_reference() && self.pins.is_empty() { vec![self.solve()] } else { Vec::new() }
    }

    pub(super) fn show_two_plans(&mut self) -> Vec<Effect> {
        if !self.present.on {
            self.present.two_plans = true;
            return self.present(true);
        }
        self.present.two_plans = !self.present.two_plans;
        Vec::new()
    }

    /// Whether the file as it is has still to be solved.
    pub(super) fn wants_reference(&self) -> bool {
        self.present.on && self.as_in_file.is_none() && !self.edits().is_empty()
    }

    /// The keys of a presenter, in a lesson: arrows step through it, Home and End go to its ends. `None`: the key does what it always does.
    pub(super) fn presenter(&mut self, action: Action) -> Option<Vec<Effect>> {
        let count = self.lesson()?.state.count();
        if !self.present.on {
            return None;
        }
        Some(match action {
            Action::StepForward => self.lesson_move(Action::LessonNext),
            Action::StepBack => self.lesson_move(Action::LessonBack),
            Action::ToStart => self.lesson_step(0),
            Action::ToEnd => self.lesson_step(count - 1),
            _ => return None,
        })
    }

    /// Remembers what a step came to.
    pub(super) fn note_step(&mut self) {
        let (before, Some(after)) = self.beside() else { return };
        let measure = self.answer_measure().or_else(|| self.lesson_measure());
        let measure = measure.unwrap_or_else(|| self.banner_measure(before.as_ref(), &after).0);
        let part = |named: Named| (named.pass.scenario.clone(), measure.read(&named.pass.outcome).value);
        let Some(run) = self.lesson() else { return };
        let (at, heading) = (run.state.at(), run.texts.heading.clone());
        let step = Step { heading, before: before.map(part), after: part(after), measure };
        self.present.steps.insert(at, step);
    }

    /// Plays a step by itself from its key instant; where a class is to guess, with the answer. Afterwards the clock rests where the step is
    /// shown, which its texts speak of.
    pub(super) fn play_step(&mut self) {
        if !self.present.on || self.answer_hidden() {
            return;
        }
        let rest_s = self.lesson().and_then(super::lesson::LessonRun::instant_s);
        let Some(pass) = self.shown().cloned() else { return };
        let stretch = if tail_tells(&pass.outcome) { chase(&pass) } else { elsewhere(&pass) };
        let rest_s = rest_s.unwrap_or(stretch.rest_s);
        self.playback.command(playback::Command::Once(Stretch { rest_s, ..stretch }));
    }

    /// Plays the chase of the tail at a quarter speed.
    pub(super) fn play_tail(&mut self) {
        if let Some(pass) = self.shown().cloned() {
            self.playback.command(playback::Command::Once(chase(&pass)));
        }
    }

    /// The card at the end of a lesson: what each step showed, one line each.
    pub fn recap(&self) -> Vec<String> {
        let Some(run) = self.lesson() else { return Vec::new() };
        (0..run.state.count())
            .map(|index| match self.present.steps.get(&index) {
                Some(step) => format!("{}  {}", index + 1, self.recap_line(index, step)),
                None => format!("{}  not shown", index + 1),
            })
            .collect()
    }

    fn recap_line(&self, index: usize, step: &Step) -> String {
        let from = step.before.as_ref().map(|(_, value)| *value);
        let values = values_text(step.measure, from, Some(step.after.1), self.units);
        let guess = match (self.present.guess(index), from) {
            (Some(guess), Some(from)) => {
                let right = match change_of(step.measure, from, step.after.1) {
                    Change::Same | Change::None => Guess::Same,
                    _ if step.after.1 > from => Guess::More,
                    _ => Guess::Less,
                };
                format!("; guessed {}: {}", guess.word(), if guess == right { "right" } else { "not so" })
            }
            _ => String::new(),
        };
        format!("{}: {} {values}{guess}", step.heading, step.measure.label())
    }
}

/// From the tail passing the first brush until the last one is back on it, and a little more, at a quarter speed.
fn chase(pass: &SolvedPass) -> Stretch {
    let times = |name: EventName| pass.outcome.units.iter().filter_map(move |unit| unit.time_of(name));
    let key_s = pass.key_instant_s();
    let from_s = times(EventName::TailPasses).fold(key_s, f64::min);
    let to_s = times(EventName::BackOnTail).fold(key_s, f64::max) + AFTER_CHASE_S;
    Stretch { from_s, to_s, rest_s: to_s, speed: CHASE_SPEED }
}

/// From the key instant on, as fast as it is.
fn elsewhere(pass: &SolvedPass) -> Stretch {
    let from_s = pass.key_instant_s();
    let to_s = from_s + ELSEWHERE_S;
    Stretch { from_s, to_s, rest_s: to_s, speed: 1.0 }
}
