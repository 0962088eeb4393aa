//! Ties the state to the outside: the window's frames, the background solver, files and their changes, snapshots, what is kept.

mod frames;
mod studies;
mod write;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use super::Memory;
use crate::calibrate::ReadingsText;
use crate::drawing::list::{Fill, Item, Shape};
use crate::drawing::{DisplayList, Rect, Theme, svg};
use crate::error::{Diagnostics, Refusal};
use crate::scenario::Scenario;
use crate::scenario::lesson::Lesson;
use crate::scenario::source_map::SourceMap;
use crate::window::app::App;
use crate::window::app::command::{Column, Command, Dialog, Effect};
use crate::window::app::desk::StudyKind;
use crate::window::app::desk::ask::{StudyAnswer, StudyAsked};
use crate::window::app::dump::dump;
use crate::window::app::find::{FindAnswer, FindRequest, find};
use crate::window::app::fit::{FitRequest, Fitted, fit};
use crate::window::app::kept::Kept;
use crate::window::app::sheet::{SheetAsked, make_sheet};
use crate::window::app::solved::{Answer, Request, refine, solve};
use crate::window::app::timing::{Part, Timing};
use crate::window::backend::Requests;
use crate::window::desktop::Waker;
use crate::window::recent;
use crate::window::reload::{Files, Watcher};
use crate::window::solver::Solver;

/// How long a frame is held back for the pass that it asked for, at least and at most. In between it is as long as the driver takes for a
/// frame: one drawn without the pass would not bring it sooner.
const LEAST_WAIT_MS: f64 = 14.0;
const MOST_WAIT_MS: f64 = 40.0;
/// How much longer than usual a frame waits for a pass that is on its way.
const PATIENCE: Duration = Duration::from_millis(8);

/// What the window opens with.
pub struct ShellOptions {
    /// Scenario file.
    pub path: PathBuf,
    /// What is in it.
    pub scenario: Scenario,
    /// Settings changed from it.
    pub set: Vec<(String, String)>,
    /// The file that was asked for, where it is not the scenario: that of the lesson.
    pub opened: Option<PathBuf>,
    /// A lesson to begin with.
    pub lesson: Option<Lesson>,
    /// Readings to begin with.
    pub readings: Option<PathBuf>,
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

/// The screen.
pub struct Shell {
    app: App,
    memory: Memory,
    solver: Solver<Request, Result<Answer, String>>,
    fits: Solver<FitRequest, Result<Arc<Fitted>, String>>,
    finds: Solver<FindRequest, Result<FindAnswer, String>>,
    sheets: Solver<SheetAsked, Result<String, String>>,
    /// One for each study that was asked for so far.
    studies: BTreeMap<StudyKind, Solver<StudyAsked, Result<StudyAnswer, String>>>,
    /// What is to go where it can be pasted from.
    to_copy: Option<String>,
    files: Arc<dyn Files>,
    watchers: Vec<Watcher>,
    waker: Waker,
    kept: Kept,
    kept_file: Option<PathBuf>,
    dump_file: Option<PathBuf>,
    dumped: String,
    capture: bool,
    theme_told: bool,
    dialog: Dialog,
    /// The scenario beside which readings were last looked for.
    looked_beside: Option<PathBuf>,
    /// When the frame began.
    began: Instant,
    /// The frame loop looks for an answer by itself and need not be woken.
    watching: Arc<AtomicBool>,
    timing: Timing,
}

impl Shell {
    /// The screen with its first solve under way.
    ///
    /// # Errors
    /// Why the settings do not hold, or no thread can be started.
    pub fn new(options: ShellOptions, waker: Waker) -> Result<Shell, String> {
        let ready = waker.clone();
        let watching = Arc::new(AtomicBool::new(false));
        let watched = Arc::clone(&watching);
        let told = move || {
            if !watched.load(Ordering::SeqCst) {
                ready.wake();
            }
        };
        let solver = Solver::refining(solve, refine, told)
            .map_err(|error| format!("cannot start the background solver: {error}"))?;
        let ready = waker.clone();
        let fits = Solver::start(fit, move || ready.wake())
            .map_err(|error| format!("cannot start the background fits: {error}"))?;
        let ready = waker.clone();
        let finds = Solver::start(find, move || ready.wake())
            .map_err(|error| format!("cannot start the background search: {error}"))?;
        let ready = waker.clone();
        let sheets = Solver::start(make_sheet, move || ready.wake())
            .map_err(|error| format!("cannot start the making of sheets: {error}"))?;
        let (mut app, effects) = App::new(
            options.path,
            options.scenario,
            &options.set,
            options.kept.units(),
            options.kept.theme(),
        )
        .map_err(|refused| refused.to_string())?;
        app.views.full_screen = options.full_screen;
        let memory = Memory { sizes: options.kept, ..Memory::default() };
        let mut shell = Shell {
            app,
            memory,
            solver,
            fits,
            finds,
            sheets,
            studies: BTreeMap::new(),
            to_copy: None,
            files: options.files,
            watchers: Vec::new(),
            waker,
            kept: options.kept,
            kept_file: options.kept_file,
            dump_file: options.dump_file,
            dumped: String::new(),
            capture: false,
            theme_told: false,
            dialog: Dialog::None,
            looked_beside: None,
            began: Instant::now(),
            watching,
            timing: Timing::default(),
        };
        shell.watch();
        let opened = options.opened.unwrap_or_else(|| shell.app.path().to_owned());
        shell.remember(&opened);
        let mut requests = Requests::default();
        shell.carry_out(effects, &mut requests);
        if let Some(lesson) = options.lesson {
            let effects = shell.app.command(Command::Lesson(Arc::new(lesson)));
            shell.carry_out(effects, &mut requests);
        }
        if let Some(path) = options.readings {
            shell.open(&path, &mut requests);
        }
        Ok(shell)
    }

    /// Watches every file of the scenario.
    fn watch(&mut self) {
        self.watchers.clear();
        let folder = self.app.path().parent().map(Path::to_owned).unwrap_or_default();
        let mut paths = vec![self.app.path().to_owned()];
        paths.extend(self.app.base().files().iter().skip(1).map(|file| folder.join(&file.name)));
        for path in paths {
            let known = self.files.stamp(&path).ok();
            let ready = self.waker.clone();
            let files = Arc::clone(&self.files);
            // Without a thread the file is simply not watched.
            if let Ok(watcher) = Watcher::start(path, known, files, move || ready.wake()) {
                self.watchers.push(watcher);
            }
        }
    }

    fn read_scenario(&self, path: &Path) -> Result<Box<Scenario>, Diagnostics> {
        let text = self.files.read(path).map_err(|error| unreadable(path, &error))?;
        self.scenario_of(path, &text)
    }

    fn scenario_of(&self, path: &Path, text: &str) -> Result<Box<Scenario>, Diagnostics> {
        let loader = |name: &str| self.files.beside(path, name);
        Scenario::read(text, &path.display().to_string(), &loader).map(Box::new)
    }

    fn look_for_news(&mut self, requests: &mut Requests) {
        if let Some(solved) = self.solver.poll() {
            let times = match &solved.result {
                Ok(Ok(answer)) => Some(answer.pass.times),
                _ => None,
            };
            self.timing.solved(solved.generation, times);
            let effects = self.app.command(Command::Solved(Box::new(solved)));
            self.carry_out(effects, requests);
        }
        if let Some(fitted) = self.fits.poll() {
            let effects = self.app.command(Command::Fitted(Box::new(fitted)));
            self.carry_out(effects, requests);
        }
        if let Some(found) = self.finds.poll() {
            let effects = self.app.command(Command::Found(Box::new(found)));
            self.carry_out(effects, requests);
        }
        if let Some(made) = self.sheets.poll() {
            self.write_sheet(made.result);
        }
        self.look_at_studies(requests);
        let changed = self.watchers.iter().any(|watcher| watcher.poll().is_some());
        if changed {
            let path = self.app.path().to_owned();
            let read = self.read_scenario(&path);
            let good = read.is_ok();
            let effects = self.app.command(Command::Reloaded { path, read, other: false });
            self.carry_out(effects, requests);
            if good {
                self.watch();
            }
        }
    }

    fn carry_out(&mut self, effects: Vec<Effect>, requests: &mut Requests) {
        for effect in effects {
            match effect {
                Effect::Solve(request) => {
                    let generation = self.solver.submit(*request);
                    self.app.submitted(generation);
                    self.timing.asked(generation, self.began);
                }
                Effect::Fit(request) => {
                    self.fits.submit(*request);
                }
                Effect::Find(request) => {
                    self.finds.submit(*request);
                }
                Effect::MakeSheet(asked) => {
                    self.sheets.submit(*asked);
                }
                Effect::Study(asked) => self.start_study(*asked),
                Effect::Copy(text) => self.to_copy = Some(text),
                Effect::Export { added, ending, text } => self.export(&added, ending, &text),
                Effect::WriteFitted(text) => self.write_fitted(&text, requests),
                Effect::Write { path, text } => self.write(&path, text.as_bytes(), requests),
                Effect::Open(path) => self.open(&path, requests),
                Effect::Png => {
                    self.capture = true;
                    requests.capture = true;
                }
                Effect::Svg => {
                    let text = svg::svg(&self.snapshot(), self.app.theme);
                    self.save_picture("svg", text.as_bytes());
                }
                Effect::FullScreen(on) => requests.full_screen = Some(on),
                Effect::Theme => requests.theme = Some(self.app.theme),
                Effect::Quit => requests.quit = true,
            }
        }
    }

    /// Waits for the solve that was just asked for, so that this frame shows it already; not when solves take longer than it would to draw a
    /// frame without it. Whether it is there.
    fn comes_soon(&self) -> bool {
        let middle = |part| self.timing.median_ms(part);
        let most_ms = middle(Part::Driver).unwrap_or(0.0).clamp(LEAST_WAIT_MS, MOST_WAIT_MS);
        if middle(Part::Solve).is_none_or(|usual_ms| usual_ms > most_ms) {
            return false;
        }
        self.watching.store(true, Ordering::SeqCst);
        self.solver.wait(Instant::now() + Duration::from_secs_f64(1.2e-3 * most_ms))
    }

    fn tell(&mut self, text: String) {
        self.app.command(Command::Tell(text));
    }

    /// Every canvas as it stands on the screen, as one list.
    fn snapshot(&self) -> DisplayList {
        let lists = &self.memory.lists;
        let left = lists.iter().map(|(at, _)| at.x).fold(f64::INFINITY, f64::min);
        let top = lists.iter().map(|(at, _)| at.y).fold(f64::INFINITY, f64::min);
        let mut page = DisplayList::new(0.0, 0.0);
        page.title = self.app.title();
        if let Some(pass) = self.app.shown() {
            page.description = crate::drawing::picture::headline_text(&pass.outcome, self.app.units)
                .map_or(String::new(), |h| h.1);
        }
        for (at, list) in lists {
            let at = at.shifted(-left, -top);
            let clip = Rect::new(at.x, at.y, list.width, list.height);
            let mut items: Vec<Item> = list.items.clone();
            items.iter_mut().for_each(|item| item.shift(at.x, at.y));
            let ground = Shape::Polygon {
                points: clip.corners().to_vec(),
                fill: Fill::solid(crate::drawing::Role::Paper),
                stroke: None,
            };
            items.insert(0, ground.into());
            page.clipped(clip, items);
            page.width = page.width.max(clip.right());
            page.height = page.height.max(clip.bottom());
        }
        page
    }

    fn open(&mut self, path: &Path, requests: &mut Requests) {
        let text = match self.files.read(path) {
            Ok(text) => text,
            Err(error) => {
                let told = self.app.still_open(&unreadable(path, &error).to_string());
                return self.tell(told);
            }
        };
        if holds(&text, "steps") {
            return self.open_lesson(path, &text, requests);
        }
        if holds(&text, "readings") {
            let read = ReadingsText::read(&text, &path.display().to_string()).map(Arc::new);
            let effects = self.app.command(Command::OpenReadings(path.to_owned(), read));
            return self.carry_out(effects, requests);
        }
        let read = self.scenario_of(path, &text);
        if self.use_scenario(path, read, requests) {
            self.remember(path);
        }
    }

    /// Remembers a file for the start page.
    fn remember(&mut self, path: &Path) {
        let Some(kept_file) = &self.kept_file else { return };
        let (list, path) = (recent::file_beside(kept_file), std::path::absolute(path));
        let before = self.files.read(&list).unwrap_or_default();
        if let Ok(path) = path {
            // Not worth a word when it fails: the page only offers less.
            let _ = self.files.replace(&list, recent::with(&before, &path).as_bytes());
        }
    }

    fn use_scenario(
        &mut self,
        path: &Path,
        read: Result<Box<Scenario>, Diagnostics>,
        requests: &mut Requests,
    ) -> bool {
        let good = read.is_ok();
        let effects = self.app.command(Command::Reloaded { path: path.to_owned(), read, other: true });
        self.carry_out(effects, requests);
        if good {
            self.watch();
        }
        good
    }

    fn open_lesson(&mut self, path: &Path, text: &str, requests: &mut Requests) {
        let lesson = match Lesson::read(text, &path.display().to_string()) {
            Ok(lesson) => lesson,
            Err(refused) => {
                let told = self.app.still_open(&refused.to_string());
                return self.tell(told);
            }
        };
        let Some(scenario) = lesson.scenario_beside(path) else {
            let refusal = Refusal {
                problem: "a lesson names a scenario beside it or one folder up".to_owned(),
                given: lesson.file.scenario.clone(),
                allowed: "name.ron or ../name.ron".to_owned(),
                advice: "move the scenario there".to_owned(),
            };
            return self.tell(lesson.diagnostic("scenario", refusal).to_string());
        };
        // A lesson on what is open stays on it.
        let read = self.read_scenario(&scenario);
        if self.use_scenario(&scenario, read, requests) {
            self.remember(path);
            let effects = self.app.command(Command::Lesson(Arc::new(lesson)));
            self.carry_out(effects, requests);
        }
    }

    /// Lists what can be opened when the dialog comes up, or readings are asked for.
    fn list_files(&mut self) {
        let opens = self.dialog != self.app.views.dialog && self.app.views.dialog == Dialog::Open;
        self.dialog = self.app.views.dialog.clone();
        let asked = self.app.views.column == Column::Readings
            && self.looked_beside.as_deref() != Some(self.app.path());
        if !opens && !asked {
            return;
        }
        self.looked_beside = Some(self.app.path().to_owned());
        let folder = match self.app.path().parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
            _ => PathBuf::from("."),
        };
        self.memory.lessons = self.files.scenarios(&folder.join("lessons"));
        // A file that only holds a part of a scenario stands beside it, but cannot be shown by itself.
        let of = |path: &Path, part| holds(&self.files.read(path).unwrap_or_default(), part);
        let all = self.files.scenarios(&folder);
        self.memory.readings = all.iter().filter(|path| of(path, "readings")).cloned().collect();
        self.memory.files = all.into_iter().filter(|path| of(path, "train")).collect();
    }

    /// Keeps what is to be kept.
    fn keep(&mut self, ui: &egui::Ui) {
        let still = ui.input(|input| !input.pointer.any_down());
        let kept = Kept {
            si: self.app.units == crate::units::UnitSystem::Si,
            dark: self.app.theme == Theme::Dark,
            ..self.memory.sizes
        };
        // The first frames only find their sizes.
        if still && self.memory.frames > 3 && kept != self.kept {
            self.kept = kept;
            if let Some(path) = &self.kept_file {
                // Not worth a word when it fails: the window starts as it comes.
                let _ = self.files.replace(path, kept.text().as_bytes());
            }
        }
    }

    /// Writes the state for tests.
    fn write_state(&mut self) {
        if let Some(path) = &self.dump_file {
            let text = dump(&self.app, &self.memory.spots, &self.timing);
            if text != self.dumped {
                let _ = self.files.replace(path, text.as_bytes());
                self.dumped = text;
            }
        }
    }
}

/// Whether a file has a part of that name.
fn holds(text: &str, part: &str) -> bool {
    SourceMap::new(text.trim_start_matches('\u{feff}')).is_ok_and(|map| map.find(part).is_ok())
}

fn unreadable(path: &Path, error: &std::io::Error) -> Diagnostics {
    let refusal = Refusal {
        problem: format!("cannot read this file: {error}"),
        advice: "check the name, and that it may be read".to_owned(),
        ..Refusal::default()
    };
    crate::error::Diagnostic::of_file(&path.display().to_string(), refusal).into()
}
