//! The start page: scenarios and lessons that were found, by title, to be opened by a click or by keys.

use std::path::{Path, PathBuf};

use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::scenario::lesson::Lesson;
use crate::scenario::source_map::SourceMap;
use crate::window::reload::Files;

/// What stands on the page under its list.
pub const INVENTED: &str = "What is shipped is invented: the return lane of a rental fleet at a ferry harbour. Its machine and its vehicles do not exist.";

/// Where on the page a file stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shelf {
    /// Opened lately.
    Recent,
    /// Scenarios found.
    Scenarios,
    /// Lessons found.
    Lessons,
}

impl Shelf {
    /// Its heading.
    pub const fn name(self) -> &'static str {
        match self {
            Shelf::Recent => "opened lately",
            Shelf::Scenarios => "scenarios",
            Shelf::Lessons => "lessons",
        }
    }
}

/// A file that can be opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The file.
    pub path: PathBuf,
    /// Its title; its name where it has none.
    pub title: String,
    /// Where it stands.
    pub shelf: Shelf,
}

/// What was opened.
#[derive(Debug)]
pub struct Opened {
    /// The scenario's file.
    pub path: PathBuf,
    /// The scenario.
    pub scenario: Scenario,
    /// The lesson to begin with.
    pub lesson: Option<Lesson>,
}

/// The page.
#[derive(Debug, Default)]
pub struct Start {
    /// Scenarios, then lessons; in both the order of their names.
    pub entries: Vec<Entry>,
    /// The one that Enter opens.
    pub chosen: usize,
    /// The file name being typed.
    pub typed: String,
    /// Why something could not be opened.
    pub trouble: Option<String>,
}

impl Start {
    /// Files opened lately that are still there; then scenarios in folders, and lessons in their folders `lessons`. A file that is found twice counts
    /// once.
    pub fn look(files: &dyn Files, recent: &[PathBuf], folders: &[PathBuf]) -> Start {
        let mut start = Start::default();
        for path in recent {
            start.put(files, path, Shelf::Recent, &[false, true]);
        }
        for shelf in [Shelf::Scenarios, Shelf::Lessons] {
            for folder in folders {
                let lesson = shelf == Shelf::Lessons;
                let folder = if lesson { folder.join("lessons") } else { folder.clone() };
                for path in files.scenarios(&folder) {
                    start.put(files, &path, shelf, &[lesson]);
                }
            }
        }
        start
    }

    /// Adds a file when it is one of these kinds and not there yet.
    fn put(&mut self, files: &dyn Files, path: &Path, shelf: Shelf, kinds: &[bool]) {
        let known = |own: &Entry| own.shelf == shelf && own.path == path;
        let Ok(text) = files.read(path) else { return };
        let Some(title) = kinds.iter().find_map(|lesson| title(&text, *lesson)) else { return };
        if !self.entries.iter().any(known) {
            let title = if title.is_empty() { path.display().to_string() } else { title };
            self.entries.push(Entry { path: path.to_owned(), title, shelf });
        }
    }

    /// Chooses the entry above or below.
    pub fn choose_next(&mut self, by: isize) {
        let last = self.entries.len().saturating_sub(1);
        self.chosen = self.chosen.saturating_add_signed(by).min(last);
    }

    /// The file that Enter opens: the one typed, otherwise the one chosen.
    pub fn wanted(&self) -> Option<PathBuf> {
        let typed = self.typed.trim();
        if typed.is_empty() {
            return self.entries.get(self.chosen).map(|entry| entry.path.clone());
        }
        Some(PathBuf::from(typed))
    }

    /// Reads a scenario or a lesson; what is wrong with it is kept to be shown.
    pub fn open(&mut self, files: &dyn Files, path: &Path) -> Option<Opened> {
        match read(files, path) {
            Ok(opened) => Some(opened),
            Err(reason) => {
                self.trouble = Some(reason);
                None
            }
        }
    }
}

/// The title of a scenario with a train, or of a lesson; nothing for any other file. Only these two lines of it are read here: what else may be wrong
/// is said when it is opened.
fn title(text: &str, lesson: bool) -> Option<String> {
    let text = text.trim_start_matches('\u{feff}');
    let map = SourceMap::new(text).ok()?;
    map.find(if lesson { "steps" } else { "train" }).ok()?;
    let title = map.find("title").ok().and_then(|place| text.get(place.inner.clone())).unwrap_or_default();
    // A plain text in quotes, on one line.
    let title: String = ron::from_str(title).unwrap_or_default();
    Some(crate::visible::visible_line(title.trim()).into_owned())
}

fn read(files: &dyn Files, path: &Path) -> Result<Opened, String> {
    let text = files.read(path).map_err(|error| format!("Cannot read {}: {error}.", path.display()))?;
    let name = path.display().to_string();
    let told = |refused: Diagnostics| refused.to_string();
    let holds = |part: &str| {
        SourceMap::new(text.trim_start_matches('\u{feff}')).is_ok_and(|map| map.find(part).is_ok())
    };
    if !holds("steps") {
        let scenario =
            Scenario::read(&text, &name, &|beside: &str| files.beside(path, beside)).map_err(told)?;
        return Ok(Opened { path: path.to_owned(), scenario, lesson: None });
    }
    let lesson = Lesson::read(&text, &name).map_err(told)?;
    let Some(own) = lesson.scenario_beside(path) else {
        return Err(format!("{name}: a lesson names a scenario beside it or one folder up."));
    };
    let text = files.read(&own).map_err(|error| format!("Cannot read {}: {error}.", own.display()))?;
    let scenario =
        Scenario::read(&text, &own.display().to_string(), &|beside: &str| files.beside(&own, beside))
            .map_err(told)?;
    crate::study::lesson::check(&lesson, &scenario).map_err(told)?;
    Ok(Opened { path: own, scenario, lesson: Some(lesson) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::reload::Stamp;
    use std::collections::BTreeMap;
    use std::io::{Error, ErrorKind, Result as IoResult};

    /// Files in memory.
    struct Memory(BTreeMap<PathBuf, &'static str>);

    impl Files for Memory {
        fn stamp(&self, _: &Path) -> IoResult<Stamp> {
            Err(Error::from(ErrorKind::Unsupported))
        }

        fn read(&self, path: &Path) -> IoResult<String> {
            self.0.get(path).map(|text| (*text).to_owned()).ok_or_else(|| Error::from(ErrorKind::NotFound))
        }

        fn write_new(&self, _: &Path, _: &[u8]) -> IoResult<()> {
            Err(Error::from(ErrorKind::Unsupported))
        }

        fn replace(&self, _: &Path, _: &[u8]) -> IoResult<()> {
            Err(Error::from(ErrorKind::Unsupported))
        }

        fn beside(&self, file: &Path, name: &str) -> Result<String, String> {
            self.read(&file.with_file_name(name)).map_err(|error| error.to_string())
        }

        fn scenarios(&self, folder: &Path) -> Vec<PathBuf> {
            self.0.keys().filter(|path| path.parent() == Some(folder)).cloned().collect()
        }
    }

    fn memory() -> Memory {
        let files = [
            ("scenarios/ferry-return.ron", include_str!("../../scenarios/ferry-return.ron")),
            ("scenarios/ferry-readings.ron", include_str!("../../scenarios/ferry-readings.ron")),
            ("scenarios/harbour-vehicles.ron", include_str!("../../scenarios/harbour-vehicles.ron")),
            ("scenarios/broken.ron", "(schema: 1, title: \"Broken\", train: ["),
            ("scenarios/wrong.ron", "(schema: 1, title: \"Wrong\", train: [])"),
            (
                "scenarios/lessons/1-eighth-inch.ron",
                include_str!("../../scenarios/lessons/1-eighth-inch.ron"),
            ),
        ];
        Memory(files.into_iter().map(|(path, text)| (PathBuf::from(path), text)).collect())
    }

    #[test]
    fn verif_scenarios_and_lessons_are_found_by_title_and_parts_are_not() {
        let folder = PathBuf::from("scenarios");
        let recent = ["scenarios/lessons/1-eighth-inch.ron", "gone.ron"].map(PathBuf::from);
        let folders = [folder.clone(), folder, PathBuf::from("elsewhere")];
        let mut start = Start::look(&memory(), &recent, &folders);
        let seen: Vec<(&str, Shelf)> = start.entries.iter().map(|e| (e.title.as_str(), e.shelf)).collect();
        assert_eq!(
            seen,
            [
                ("An eighth of an inch at the bearing", Shelf::Recent),
                ("Ferry harbour, rental return lane: standard set-up", Shelf::Scenarios),
                ("Wrong", Shelf::Scenarios),
                ("An eighth of an inch at the bearing", Shelf::Lessons)
            ]
        );
        // By keys, held at both ends.
        start.choose_next(-1);
        assert_eq!(start.chosen, 0);
        start.choose_next(5);
        assert_eq!(start.wanted(), Some(PathBuf::from("scenarios/lessons/1-eighth-inch.ron")));
        start.typed = " other.ron ".to_owned();
        assert_eq!(start.wanted(), Some(PathBuf::from("other.ron")), "what is typed goes first");
        assert_eq!(Start::default().wanted(), None);
    }

    #[test]
    fn verif_a_lesson_opens_with_its_scenario_and_trouble_is_told() {
        let files = memory();
        let mut start = Start::default();
        let lesson = Path::new("scenarios/lessons/1-eighth-inch.ron");
        // The lesson looks for its scenario on the disk; the shelf has none there, so only the scenario itself is opened from it.
        let opened = start.open(&files, Path::new("scenarios/ferry-return.ron")).expect("good");
        assert!(opened.lesson.is_none() && opened.path.ends_with("ferry-return.ron"));
        if let Some(opened) = start.open(&files, lesson) {
            assert!(opened.lesson.is_some() && opened.path.ends_with("ferry-return.ron"));
        }
        assert!(start.open(&files, Path::new("scenarios/wrong.ron")).is_none());
        assert!(
            start.trouble.as_deref().is_some_and(|told| told.contains("wrong.ron")),
            "{:?}",
            start.trouble
        );
        assert!(start.open(&files, Path::new("nowhere.ron")).is_none());
        assert!(start.trouble.as_deref().is_some_and(|told| told.contains("nowhere.ron")));
    }
}
