//! The desk: studies of what is set, beside the sliders. A curve over throughput with the present point on it, the one-step table, what is recommended, a
//! map of two settings, the foam station. Each runs in the background, can be stopped, and says of which set-up it is.

pub mod ask;
mod carry;
mod said;
mod wanted;

use std::sync::Arc;

use self::ask::{Curve, FoamFound, Job, MOST_POINTS, StudyAnswer, StudyAsked, Swept, THROUGHPUT};
use crate::coverage::measure::Measure;
use crate::drawing::DisplayList;
use crate::report::foam::map::FoamMapPage;
use crate::scenario::Scenario;
use crate::scenario::setting::{Reading, Setting, SettingKind};
use crate::study::band::BandOver;
use crate::study::nudge::Nudge;
use crate::study::recommend::Recommendation;
use crate::units::job::per_hour;
use crate::units::{UnitSystem, format, unit_label, write_like};

/// A page of the desk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Page {
    /// One measure over throughput.
    #[default]
    Throughput,
    /// What one field step of each setting does.
    Steps,
    /// The smallest set of steps that meets every criterion.
    Advice,
    /// One measure over two settings.
    Map,
    /// The foam station.
    Foam,
}

impl Page {
    /// All, in the order of the tabs.
    pub const ALL: [Page; 5] = [Page::Throughput, Page::Steps, Page::Advice, Page::Map, Page::Foam];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Page::Throughput => "throughput",
            Page::Steps => "one step",
            Page::Advice => "recommend",
            Page::Map => "two settings",
            Page::Foam => "foam",
        }
    }

    /// The word of its files.
    pub const fn word(self) -> &'static str {
        match self {
            Page::Throughput => "throughput",
            Page::Steps => "one-step",
            Page::Advice => "recommend",
            Page::Map => "two-settings",
            Page::Foam => "foam",
        }
    }

    /// The study that it shows first.
    pub const fn kind(self) -> StudyKind {
        match self {
            Page::Throughput => StudyKind::Curve,
            Page::Steps => StudyKind::Steps,
            Page::Advice => StudyKind::Advice,
            Page::Map => StudyKind::Map,
            Page::Foam => StudyKind::Foam,
        }
    }
}

/// A study of the desk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StudyKind {
    /// One measure over throughput.
    Curve,
    /// How it spreads there.
    Band,
    /// The one-step table.
    Steps,
    /// What is recommended.
    Advice,
    /// One measure over two settings.
    Map,
    /// The foam station.
    Foam,
}

impl StudyKind {
    /// All of them.
    pub const ALL: [StudyKind; 6] = [
        StudyKind::Curve,
        StudyKind::Band,
        StudyKind::Steps,
        StudyKind::Advice,
        StudyKind::Map,
        StudyKind::Foam,
    ];

    /// Whether it is short enough to follow what is set by itself.
    pub const fn follows(self) -> bool {
        matches!(self, StudyKind::Curve | StudyKind::Steps | StudyKind::Foam)
    }

    /// What it counts as it gets on.
    pub const fn counts(self) -> &'static str {
        match self {
            StudyKind::Curve => "throughputs",
            StudyKind::Band => "passes",
            StudyKind::Steps => "steps",
            StudyKind::Advice => "step sets at most",
            StudyKind::Map => "pairs",
            StudyKind::Foam => "maps",
        }
    }

    /// Its word in the state.
    pub const fn word(self) -> &'static str {
        match self {
            StudyKind::Curve => "curve",
            StudyKind::Band => "band",
            StudyKind::Steps => "steps",
            StudyKind::Advice => "advice",
            StudyKind::Map => "map",
            StudyKind::Foam => "foam",
        }
    }
}

/// How far a study is run.
#[derive(Debug, Clone, Default)]
pub enum Run {
    /// Not running.
    #[default]
    Idle,
    /// It runs, for this key.
    Working(Arc<Job>, String),
    /// It was ended before it had anything to show, for this key.
    Stopped(String),
    /// It cannot be run, for this key, and why.
    Failed(String, String),
}

/// A study: what it came to last, and whether it runs.
#[derive(Debug)]
pub struct Study<T> {
    /// What it came to last, and for which key.
    pub found: Option<(Arc<T>, String)>,
    /// Whether it runs.
    pub run: Run,
}

impl<T> Default for Study<T> {
    fn default() -> Study<T> {
        Study { found: None, run: Run::Idle }
    }
}

/// What can be asked of the desk.
#[derive(Debug, Clone)]
pub enum DeskCommand {
    /// Open a page; the desk with it.
    Page(Page),
    /// The measure that the studies are about.
    Measure(Measure),
    /// The throughputs of the curve, `FIRST..LAST:STEP`.
    Over(String),
    /// A setting of the map, first or second, with its usual values.
    Axis(usize, String),
    /// Its values.
    Values(usize, String),
    /// Whether a recommendation must hold for the fleet.
    Fleet(bool),
    /// Size of the foam map.
    FoamPage(FoamMapPage),
    /// Run a study of what is set.
    Run(StudyKind),
    /// End it with what it has.
    Stop(StudyKind),
    /// It came back.
    Studied(Box<StudyAsked>, Result<StudyAnswer, String>),
    /// Set what is recommended.
    Apply,
    /// Set what a cell of the map stands for: column, row.
    Load(usize, usize),
    /// The command of the page, for a terminal.
    Copy,
    /// Write the picture of the page beside the scenario.
    SavePicture(Arc<DisplayList>),
    /// Write the table of the page beside the scenario.
    SaveTable,
}

/// The desk. Its state is asked and carried out by the files beside this one.
#[derive(Debug)]
pub struct Desk {
    /// Whether it is open.
    pub open: bool,
    /// The page.
    pub page: Page,
    /// The measure that was chosen.
    pub measure: Option<Measure>,
    /// The throughputs of the curve.
    pub over: String,
    /// The settings of the map with their values.
    pub axes: [(String, String); 2],
    /// Whether a recommendation must hold for the fleet.
    pub fleet: bool,
    /// Size of the foam map.
    pub foam_page: FoamMapPage,
    /// One measure over throughput.
    pub curve: Study<Curve>,
    /// How it spreads there.
    pub band: Study<BandOver>,
    /// The one-step table.
    pub steps: Study<Nudge>,
    /// What is recommended.
    pub advice: Study<Recommendation>,
    /// One measure over two settings.
    pub map: Study<Swept>,
    /// The foam station.
    pub foam: Study<FoamFound>,
    /// Counts the files that were read, so that no answer for one is taken for one of another.
    file: u64,
}

impl Desk {
    /// The desk of a scenario, closed, with nothing on it.
    pub(super) fn of(base: &Scenario, units: UnitSystem) -> Desk {
        Desk {
            open: false,
            page: Page::default(),
            measure: None,
            over: usual_throughputs(base, 10.0),
            axes: usual_axes(base, units),
            fleet: true,
            foam_page: FoamMapPage::WHOLE,
            curve: Study::default(),
            band: Study::default(),
            steps: Study::default(),
            advice: Study::default(),
            map: Study::default(),
            foam: Study::default(),
            file: 0,
        }
    }

    /// The run of a study.
    pub const fn run(&self, kind: StudyKind) -> &Run {
        match kind {
            StudyKind::Curve => &self.curve.run,
            StudyKind::Band => &self.band.run,
            StudyKind::Steps => &self.steps.run,
            StudyKind::Advice => &self.advice.run,
            StudyKind::Map => &self.map.run,
            StudyKind::Foam => &self.foam.run,
        }
    }

    fn run_mut(&mut self, kind: StudyKind) -> &mut Run {
        match kind {
            StudyKind::Curve => &mut self.curve.run,
            StudyKind::Band => &mut self.band.run,
            StudyKind::Steps => &mut self.steps.run,
            StudyKind::Advice => &mut self.advice.run,
            StudyKind::Map => &mut self.map.run,
            StudyKind::Foam => &mut self.foam.run,
        }
    }

    /// The key of what a study came to last.
    pub fn found_key(&self, kind: StudyKind) -> Option<&str> {
        fn key<T>(study: &Study<T>) -> Option<&str> {
            study.found.as_ref().map(|(_, key)| key.as_str())
        }
        match kind {
            StudyKind::Curve => key(&self.curve),
            StudyKind::Band => key(&self.band),
            StudyKind::Steps => key(&self.steps),
            StudyKind::Advice => key(&self.advice),
            StudyKind::Map => key(&self.map),
            StudyKind::Foam => key(&self.foam),
        }
    }

    /// Another file, or the file anew: what was found is of no more use. What runs is ended.
    pub(super) fn forget(&mut self, base: &Scenario, units: UnitSystem, other: bool) {
        for kind in StudyKind::ALL {
            if let Run::Working(job, _) = self.run(kind) {
                job.stop();
            }
        }
        let fresh = Desk { file: self.file + 1, ..Desk::of(base, units) };
        *self = if other {
            Desk { open: self.open, page: self.page, foam_page: self.foam_page, ..fresh }
        } else {
            let Desk { open, page, measure, fleet, foam_page, .. } = *self;
            let (over, axes) = (std::mem::take(&mut self.over), std::mem::take(&mut self.axes));
            Desk { open, page, measure, fleet, foam_page, over, axes, ..fresh }
        };
    }

    /// Other units: the axes of the map are the usual ones in these, unless others were asked for.
    pub(super) fn turn_to(&mut self, scenario: &Scenario, units: UnitSystem) {
        for (path, values) in &mut self.axes {
            let Ok(setting) = scenario.setting(path) else { continue };
            let is_usual = [UnitSystem::Us, UnitSystem::Si]
                .map(|of| usual_values(scenario, &setting, of))
                .contains(values);
            if is_usual {
                *values = usual_values(scenario, &setting, units);
            }
        }
    }
}

/// Throughputs from under half of the file's own to well above it, in steps that much apart, vehicles an hour.
fn usual_throughputs(base: &Scenario, step: f64) -> String {
    let Ok(setting) = base.setting(THROUGHPUT) else { return String::new() };
    let now = setting.value_si(base).map_or(100.0, per_hour);
    let (low, high) = setting.range_si();
    let least = (per_hour(low) / step).ceil().max(1.0);
    let most = (per_hour(high) / step).floor();
    let from = (0.45 * now / step).floor().max(least);
    let to = (1.3 * now / step).ceil().max(from + 2.0).min(most).min(from + (MOST_POINTS - 1) as f64);
    format!("{:.0}..{:.0}:{step:.0}", from * step, to * step)
}

/// Throughput, and the bearing where there is one, else the first that a technician turns.
fn usual_axes(base: &Scenario, units: UnitSystem) -> [(String, String); 2] {
    let settings = map_settings(base);
    let like = |path: &str| settings.iter().find(|setting| setting.path == path);
    let second = like("both.bearings.lower_offset")
        .or_else(|| like("left.bearings.lower_offset"))
        .or_else(|| like("right.bearings.lower_offset"))
        .or_else(|| settings.iter().find(|setting| setting.first));
    let first = (THROUGHPUT.to_owned(), usual_throughputs(base, 20.0));
    let second = second.map_or_else(Default::default, |s| (s.path.clone(), usual_values(base, s, units)));
    [first, second]
}

/// The settings that can stand on an axis of the map, in the order of the trade.
pub fn map_settings(scenario: &Scenario) -> Vec<Setting> {
    let mut settings = scenario.settings();
    settings.sort_by_key(|setting| {
        (
            setting.path != THROUGHPUT,
            !setting.first,
            !setting.in_field,
            setting.group,
            setting.sides.len() == 1,
        )
    });
    settings
}

/// The values that a setting takes on an axis of the map when nothing else is asked for: up to three field steps either way, all words of a choice. In SI a step that the trade
/// counts in its own units stands to the last digit.
pub fn usual_values(scenario: &Scenario, setting: &Setting, units: UnitSystem) -> String {
    if setting.path == THROUGHPUT {
        return usual_throughputs(scenario, 20.0);
    }
    if let SettingKind::Choice(words) = &setting.kind {
        return words.join(",");
    }
    // A pair that differs is moved about where the left unit stands.
    let now = setting.read(scenario).map(|reading| match reading {
        Reading::Value(value) => value.si,
        Reading::Differs { left, .. } => left.si,
    });
    let (Some(now), Some(step)) = (now, setting.step_si()) else { return String::new() };
    let (low, high) = setting.range_si();
    let within = |n: i32| {
        let at = now + f64::from(n) * step;
        at >= low - 1e-9 * step && at <= high + 1e-9 * step
    };
    let from = (-3..=0).find(|n| within(*n)).unwrap_or(0);
    let to = (0..=3).rev().find(|n| within(*n)).unwrap_or(0);
    // A step that is written in a unit of SI stands as it is.
    let metric = setting.info().filter(|info| {
        units == UnitSystem::Si && format(info, step, UnitSystem::Si) != format(info, step, UnitSystem::Us)
    });
    let like = metric.map(|info| (info, format!("0 {}", unit_label(info, units))));
    let write = |si: f64| match &like {
        Some((info, like)) => write_like(info, like.trim_end(), si).unwrap_or_default(),
        None => setting.text_of(scenario, si).unwrap_or_default(),
    };
    let text = |n: i32| write(now + f64::from(n) * step);
    if from == to {
        return text(0);
    }
    let step = if like.is_some() { write(step) } else { setting.step_text() };
    format!("{}..{}:{step}", text(from), text(to))
}
