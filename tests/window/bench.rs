//! An app with its solver and memory, to be put into the harness.

use brusharm::drawing::Theme;
use brusharm::scenario::Scenario;
use brusharm::scenario::lesson::Lesson;
use brusharm::units::UnitSystem;
use brusharm::window::app::App;
use brusharm::window::app::command::{Command, Effect};
use brusharm::window::app::desk::DeskCommand;
use brusharm::window::app::desk::ask::study;
use brusharm::window::app::solved::{Answer, Request, solve};
use brusharm::window::look;
use brusharm::window::screen::{Memory, frame};
use brusharm::window::solver::Solver;
use egui_kittest::Harness;

pub const LANE: &str = include_str!("../../scenarios/ferry-return.ron");
pub const LESSON: &str = include_str!("../../scenarios/lessons/1-eighth-inch.ron");

/// What a frame works on.
pub struct Bench {
    pub app: App,
    pub memory: Memory,
    /// Effects other than solves.
    pub asked: Vec<Effect>,
    solver: Solver<Request, Result<Answer, String>>,
}

impl Bench {
    pub fn new() -> Bench {
        Bench::of(LANE)
    }

    /// With another scenario.
    pub fn of(text: &str) -> Bench {
        let lane = Scenario::read_alone(text, "ferry-return.ron").expect("good");
        let (app, effects) =
            App::new("scenarios/ferry-return.ron".into(), lane, &[], UnitSystem::Us, Theme::Light)
                .expect("good");
        let solver = Solver::start(solve, || {}).expect("a thread");
        let mut bench = Bench { app, memory: Memory::default(), asked: Vec::new(), solver };
        bench.carry_out(effects);
        bench.wait();
        bench
    }

    pub fn with_lesson() -> Bench {
        let mut bench = Bench::new();
        let lesson = Lesson::read(LESSON, "lesson.ron").expect("good");
        bench.run(Command::Lesson(std::sync::Arc::new(lesson)));
        bench
    }

    /// Carries out a command and waits for its solve.
    pub fn run(&mut self, command: Command) {
        let effects = self.app.command(command);
        self.carry_out(effects);
        self.wait();
    }

    fn carry_out(&mut self, effects: Vec<Effect>) {
        for effect in effects {
            match effect {
                Effect::Solve(request) => {
                    let generation = self.solver.submit(*request);
                    self.app.submitted(generation);
                }
                Effect::Study(asked) => {
                    let answer = study(&asked, &|| {});
                    let effects = self.app.command(Command::Desk(DeskCommand::Studied(asked, answer)));
                    self.carry_out(effects);
                }
                other => self.asked.push(other),
            }
        }
    }

    fn wait(&mut self) {
        while self.solver.busy() {
            match self.solver.poll() {
                Some(solved) => {
                    let effects = self.app.command(Command::Solved(Box::new(solved)));
                    self.carry_out(effects);
                }
                None => std::thread::yield_now(),
            }
        }
    }

    fn frame(&mut self, ui: &mut egui::Ui) {
        for command in frame(ui, &mut self.app, &mut self.memory) {
            self.run(command);
            ui.ctx().request_repaint();
        }
    }
}

/// The whole window in the harness.
pub fn harness<'a>(bench: Bench, width: f32, height: f32) -> Harness<'a, Bench> {
    let theme = if bench.app.theme == Theme::Light { egui::Theme::Light } else { egui::Theme::Dark };
    let mut harness = Harness::builder()
        .with_size(egui::vec2(width, height))
        .with_theme(theme)
        .with_max_steps(40)
        .with_context_setup(look::install)
        .build_ui_state(|ui, bench: &mut Bench| bench.frame(ui), bench);
    harness.run_steps(4);
    harness
}
