//! `brusharm view`: the live window.

use super::Run;
use super::common::{Common, Units, beside_path, say_steps};
use super::disk::Disk;
use super::exit;
use super::lesson::{LoadedLesson, load_lesson};
use super::problem::{Problem, refusal};
use crate::error::Diagnostic;
use crate::units::UnitSystem;
use crate::window::app::kept::Kept;
use crate::window::reload::Files;
use crate::window::screen::{Shell, ShellOptions, StartOptions, StartPage};
use crate::window::{Screen, Waker, WindowError, WindowOptions, open};
use clap::Args;
use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::Arc;

/// Show a scenario in a window: drag a setting and watch what it does
///
/// Every setting can be dragged, stepped as in the field, or typed; the pass is solved again as you go. Scrub the clock, pin set-ups to
/// compare them, ask why, step through a lesson, show it to a class in letters that the back row reads («P»). The desk («E») runs studies of what is set:
/// where the tail fails as the line goes faster, what one field step does, what is recommended, two settings against each other. «?» shows every key. Files are never written over.
#[derive(Debug, Args)]
pub(crate) struct ViewArguments {
    /// Scenario file; with --lesson it takes the place of the lesson's own. With neither, a page to choose from opens
    #[arg(value_name = "FILE")]
    file: Option<PathBuf>,

    /// Begin with this lesson
    #[arg(long, value_name = "LESSON")]
    lesson: Option<PathBuf>,

    /// Show these readings of the machine against the model
    #[arg(long, value_name = "READINGS")]
    readings: Option<PathBuf>,

    /// Change a setting, such as line.throughput="120 veh/h"; may be given several times
    #[arg(long, value_name = "PATH=VALUE")]
    set: Vec<String>,

    /// Units of every number; as last time when not given
    #[arg(long, value_enum, value_name = "SYSTEM")]
    units: Option<Units>,

    /// Dark instead of light; as last time when neither is given
    #[arg(long, conflicts_with = "light")]
    dark: bool,

    /// Light instead of dark
    #[arg(long)]
    light: bool,

    /// Size of the window in points, such as 1280x800
    #[arg(long, value_name = "WIDTHxHEIGHT", value_parser = size)]
    size: Option<(u32, u32)>,

    /// Points to pixels, such as 2 for a screen of twice the usual fineness; the desktop's own when not given
    #[arg(long, value_name = "FACTOR", value_parser = factor)]
    scale: Option<f32>,

    /// Start in full screen
    #[arg(long)]
    full_screen: bool,

    /// Write the state to this file after each change (for tests)
    #[arg(long, value_name = "FILE", hide = true)]
    dump_state: Option<PathBuf>,

    /// Keep nothing between runs and use nothing kept (for tests)
    #[arg(long, hide = true)]
    forget: bool,
}

fn size(text: &str) -> Result<(u32, u32), String> {
    let parts = text.split_once(['x', '×']).and_then(|(w, h)| Some((w.parse().ok()?, h.parse().ok()?)));
    parts
        .filter(|(w, h)| (640..=8000).contains(w) && (480..=8000).contains(h))
        .ok_or_else(|| "write width and height in points, at least 640x480, such as 1280x800".to_owned())
}

fn factor(text: &str) -> Result<f32, String> {
    text.parse()
        .ok()
        .filter(|f| (0.5..=8.0).contains(f))
        .ok_or_else(|| "write a number from 0.5 to 8".to_owned())
}

impl Run for ViewArguments {
    fn run(&self) -> Result<u8, Problem> {
        let (file, lesson) = match (&self.file, &self.lesson) {
            (None, None) => return self.start_page(),
            (Some(file), None) => (file.clone(), None),
            (own, Some(path)) => {
                let LoadedLesson { lesson, scenario_path } = load_lesson(path)?;
                (own.clone().unwrap_or(scenario_path), Some(lesson))
            }
        };
        let common = Common { file: file.clone(), set: self.set.clone(), units: self.units };
        // Settings are handed on as changes, so that the window can tell them from the file.
        let loaded = Common { set: Vec::new(), ..common.clone() }.load()?;
        let set = say_steps(&loaded.scenario.typed(&common.changes()?)?);
        loaded.scenario.with(&set)?;
        if let Some(lesson) = &lesson {
            crate::study::lesson::check(lesson, &loaded.scenario)?;
        }
        let disk = disk();
        let (kept, kept_file) = self.kept(&*disk);
        let shell = ShellOptions {
            path: file,
            set,
            opened: self.lesson.clone(),
            lesson,
            readings: self.readings.clone(),
            full_screen: self.full_screen,
            kept,
            kept_file,
            dump_file: self.dump_state.clone(),
            files: disk,
            scenario: loaded.scenario.clone(),
        };
        self.show(format!("brusharm: {}", loaded.title()), kept, move |waker| Shell::new(shell, waker))
    }
}

fn disk() -> Arc<dyn Files> {
    Arc::new(Disk { beside: beside_path })
}

/// Where scenarios may be when none is named: here, in `scenarios` here, beside the program and beside the folder it was built in.
fn usual_folders() -> Vec<PathBuf> {
    let here = PathBuf::from("scenarios");
    let mut folders = vec![PathBuf::from("."), here.clone()];
    let program = std::env::current_exe().ok().and_then(|program| program.canonicalize().ok());
    let own: Vec<PathBuf> = program
        .iter()
        .flat_map(|program| program.ancestors().skip(1).take(3))
        .map(|folder| folder.join("scenarios"))
        .collect();
    // The same folder under two names counts once.
    let known = here.canonicalize().ok();
    folders.extend(own.into_iter().filter(|folder| folder.is_dir() && Some(folder) != known.as_ref()));
    folders
}

impl ViewArguments {
    /// What was kept, with what the command line says put in, and where it is kept.
    fn kept(&self, disk: &dyn Files) -> (Kept, Option<PathBuf>) {
        let kept_file = if self.forget { None } else { super::disk::kept_file() };
        let mut kept = kept_file
            .as_ref()
            .and_then(|path| disk.read(path).ok())
            .map_or_else(Kept::default, |text| Kept::read(&text));
        if let Some(units) = self.units {
            kept.si = UnitSystem::from(units) == UnitSystem::Si;
        }
        if self.dark || self.light {
            kept.dark = self.dark;
        }
        (kept, kept_file)
    }

    fn start_page(&self) -> Result<u8, Problem> {
        let given =
            if self.set.is_empty() { self.readings.as_ref().map(|_| "--readings") } else { Some("--set") };
        if let Some(given) = given {
            let refusal = refusal(
                "there is no scenario that this is for",
                given,
                "view FILE, or view --lesson LESSON",
                "name the scenario",
            );
            return Err(Problem::file("view", refusal));
        }
        let disk = disk();
        let (kept, kept_file) = self.kept(&*disk);
        let options = StartOptions {
            folders: usual_folders(),
            full_screen: self.full_screen,
            kept,
            kept_file,
            dump_file: self.dump_state.clone(),
            files: disk,
        };
        self.show("brusharm".to_owned(), kept, move |waker| Ok(StartPage::new(options, waker)))
    }

    /// Opens the window with what `make` makes.
    fn show<S: Screen + 'static>(
        &self,
        title: String,
        kept: Kept,
        make: impl FnOnce(Waker) -> Result<S, String> + 'static,
    ) -> Result<u8, Problem> {
        let (width, height) = self.size.unwrap_or((1280, 800));
        let options = WindowOptions {
            title,
            width,
            height,
            scale: self.scale,
            theme: kept.theme(),
            full_screen: self.full_screen,
        };
        let failed: Rc<RefCell<Option<String>>> = Rc::default();
        let report = Rc::clone(&failed);
        let shown = open(options, move |waker| match make(waker) {
            Ok(screen) => Box::new(screen) as Box<dyn Screen>,
            Err(reason) => {
                *report.borrow_mut() = Some(reason);
                Box::new(Closed)
            }
        });
        if let Some(reason) = failed.take() {
            return Err(failure(&reason, "", exit::FAILED));
        }
        match shown {
            Ok(()) => Ok(exit::DONE),
            Err(error @ WindowError::NoDisplay { .. }) => {
                let advice = "run the command in a desktop session; everything else works without a screen";
                Err(failure(&error.to_string(), advice, exit::BAD_INPUT))
            }
            Err(error) => Err(failure(&error.to_string(), "", exit::FAILED)),
        }
    }
}

fn failure(problem: &str, advice: &str, code: u8) -> Problem {
    let mut lines = problem.lines();
    let first = lines.next().unwrap_or("");
    let rest = lines.collect::<Vec<_>>().join(" ");
    let advice = if rest.is_empty() { advice } else { &rest };
    Problem { diagnostics: Diagnostic::of_file("window", refusal(first, "", "", advice)).into(), code }
}

/// A screen that closes at once: there was nothing to show.
struct Closed;

impl Screen for Closed {
    fn frame(
        &mut self,
        _: &mut crate::window::Ui,
        _: crate::window::Clock,
        requests: &mut crate::window::Requests,
    ) {
        requests.quit = true;
    }

    fn dropped(&mut self, _: PathBuf) {}

    fn captured(&mut self, _: crate::window::capture::Pixels) {}
}
