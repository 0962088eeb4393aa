//! What kind of file a text is, so that a lesson given where a scenario is wanted is told to be a lesson, with the command that takes it.
//!
//! Only what a text plainly is counts: a scenario with mistakes stays a scenario, and its mistakes are told.

use super::problem::{Problem, refusal};
use crate::scenario::source_map::SourceMap;

/// Kinds of files that somebody may give by mistake, or on purpose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FileKind {
    /// A scenario.
    Scenario,
    /// A lesson.
    Lesson,
    /// A foam file of its own.
    Foam,
    /// A machine that scenarios name.
    Machine,
    /// Vehicles that scenarios name.
    Fleet,
    /// Rows of a sweep: CSV, JSON lines, or the log of one under way.
    Rows,
    /// Readings of a machine.
    Readings,
    /// A JSON document of a command.
    Document,
    /// A web page, such as a sheet.
    Page,
    /// A picture as SVG.
    Picture,
}

/// Fields that only a scenario has at its top; `line` stands in a foam file too.
const OF_SCENARIOS: [&str; 8] =
    ["train", "left", "right", "fleet", "measured", "criteria", "coverage", "numerics"];

impl FileKind {
    /// What a text plainly is; `None` where it is not plain.
    pub fn of(text: &str) -> Option<FileKind> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let start: String = text.trim_start().chars().take(200).collect::<String>().to_ascii_lowercase();
        let begins = |with: &str| start.starts_with(with);
        if begins("<!doctype html") || begins("<html") {
            return Some(FileKind::Page);
        }
        if begins("<svg") || begins("<?xml") && start.contains("<svg") {
            return Some(FileKind::Picture);
        }
        if begins("# {\"schema\":\"brusharm rows") || begins("row,") || begins("{\"row\":") {
            return Some(FileKind::Rows);
        }
        // The schema stands first or, where names are sorted, far down.
        if begins("{")
            && ["\"schema\": \"brusharm/", "\"schema\":\"brusharm/"].iter().any(|s| text.contains(s))
        {
            return Some(FileKind::Document);
        }
        let map = SourceMap::partial(text);
        let names = map.names("").unwrap_or_default();
        let has = |name: &str| names.contains(&name);
        if OF_SCENARIOS.into_iter().any(has) {
            return Some(FileKind::Scenario);
        }
        if has("steps") && has("scenario") {
            return Some(FileKind::Lesson);
        }
        if has("readings") && has("of") {
            return Some(FileKind::Readings);
        }
        match (has("foam"), has("machine"), has("vehicles")) {
            (true, false, false) => Some(FileKind::Foam),
            (false, true, false) => Some(FileKind::Machine),
            (false, false, true) => Some(FileKind::Fleet),
            _ => None,
        }
    }

    fn named(self) -> &'static str {
        match self {
            FileKind::Scenario => "a scenario",
            FileKind::Lesson => "a lesson",
            FileKind::Foam => "a foam file",
            FileKind::Machine => "a file with a machine",
            FileKind::Fleet => "a file with vehicles",
            FileKind::Rows => "the rows of a sweep",
            FileKind::Readings => "a file of readings",
            FileKind::Document => "a result in JSON",
            FileKind::Page => "a web page",
            FileKind::Picture => "a picture",
        }
    }

    /// What to do with a file of this kind.
    fn advice(self, name: &str) -> String {
        match self {
            FileKind::Scenario => {
                format!("«brusharm pass {name}» runs it, «brusharm check {name}» looks it over")
            }
            FileKind::Lesson => {
                format!(
                    "«brusharm lesson {name}» prints it, «brusharm view --lesson {name}» shows it; or name its scenario"
                )
            }
            FileKind::Foam => {
                format!("«brusharm foam {name}» says what the station does; or name a scenario")
            }
            FileKind::Machine => {
                format!("name a scenario that takes it in: machine: File(\"{name}\")")
            }
            FileKind::Fleet => format!("name a scenario that takes them in: vehicles: [File(\"{name}\")]"),
            FileKind::Rows | FileKind::Document => {
                format!("«brusharm sheet SCENARIO --add {name}» puts it on a sheet; or name a scenario")
            }
            FileKind::Readings => {
                format!("«brusharm calibrate SCENARIO {name}» fits a scenario to it; or name a scenario")
            }
            FileKind::Page | FileKind::Picture => "open it with a browser; or name a scenario".to_owned(),
        }
    }
}

/// Refuses a text that is plainly of none of the kinds wanted.
pub(crate) fn expect(wanted: &[FileKind], text: &str, name: &str) -> Result<(), Problem> {
    match FileKind::of(text) {
        Some(found) if !wanted.contains(&found) => {
            let allowed: Vec<&str> = wanted.iter().map(|kind| kind.named()).collect();
            let allowed = allowed.join(" or ");
            let problem = format!("this is {}, not {allowed}", found.named());
            Err(Problem::file(name, refusal(&problem, found.named(), &allowed, &found.advice(name))))
        }
        _ => Ok(()),
    }
}
