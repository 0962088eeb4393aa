//! What a study of the desk is asked for, and how it is answered in the background: bounded, with progress, ended early when asked.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use super::StudyKind;
use crate::coverage::measure::Measure;
use crate::drawing::DisplayList;
use crate::report::foam::map::{FoamMapPage, foam_map_on};
use crate::report::foam::{FoamQuestions, FoamReport, FoamSubject};
use crate::scenario::Scenario;
use crate::study::band::{BandOver, BandPlan, band_over};
use crate::study::nudge::{Nudge, nudge_until};
use crate::study::point::evaluate;
use crate::study::recommend::{RecommendPlan, Recommendation, recommend_until};
use crate::study::stream::{StreamError, Workers, with_threads};
use crate::study::summary::Summary;
use crate::study::sweep::highest::HighestThroughput;
use crate::study::sweep::{Sweep, SweepPlan, setting_axis};
use crate::study::table::{Column, Row, Table};
use crate::units::UnitSystem;

/// The setting that the curve is over.
pub use crate::study::sweep::highest::PATH as THROUGHPUT;

/// Most points of the curve.
pub const MOST_POINTS: u64 = 60;
/// Most cells of the map.
pub const MOST_CELLS: u64 = 400;

/// A study at work: how far it is, and whether it is to end.
#[derive(Debug, Default)]
pub struct Job {
    stop: AtomicBool,
    done: AtomicU64,
    most: AtomicU64,
}

impl Job {
    /// Ends it with what it has.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// Whether it is to end.
    pub fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// How much is done, and of how much at the most; 0 of 0 before it is known.
    pub fn progress(&self) -> (u64, u64) {
        (self.done.load(Ordering::Relaxed), self.most.load(Ordering::Relaxed))
    }

    fn tell(&self, done: u64, most: u64) {
        self.most.store(most, Ordering::Relaxed);
        self.done.store(done, Ordering::Relaxed);
    }
}

/// What a study is of.
#[derive(Debug, Clone)]
pub enum What {
    /// One measure over throughput: `FIRST..LAST:STEP`.
    Curve {
        /// The measure.
        measure: Measure,
        /// The throughputs.
        over: String,
    },
    /// How it spreads over the same throughputs.
    Band {
        /// The measure.
        measure: Measure,
        /// The throughputs.
        over: String,
    },
    /// What one field step of each setting does to a measure.
    Steps {
        /// The measure.
        measure: Measure,
    },
    /// The smallest set of field steps that meets every criterion.
    Advice {
        /// Over the fleet, else for the vehicle of the train alone.
        fleet: bool,
    },
    /// One measure over two settings, `PATH=VALUES` each.
    Map {
        /// The measure.
        measure: Measure,
        /// The settings with their values.
        over: [String; 2],
    },
    /// The foam station.
    Foam {
        /// Name of the file.
        file: String,
        /// Title of the scenario.
        title: String,
        /// Units of the texts.
        units: UnitSystem,
        /// Size of its map.
        page: FoamMapPage,
    },
}

impl What {
    /// Which of the studies it is.
    pub const fn kind(&self) -> StudyKind {
        match self {
            What::Curve { .. } => StudyKind::Curve,
            What::Band { .. } => StudyKind::Band,
            What::Steps { .. } => StudyKind::Steps,
            What::Advice { .. } => StudyKind::Advice,
            What::Map { .. } => StudyKind::Map,
            What::Foam { .. } => StudyKind::Foam,
        }
    }
}

/// A study that is asked for.
#[derive(Debug, Clone)]
pub struct StudyAsked {
    /// The set-up.
    pub scenario: Box<Scenario>,
    /// What the study is of.
    pub what: What,
    /// What it belongs to: an answer for another key is an answer to something older.
    pub key: String,
    /// How far it is.
    pub job: Arc<Job>,
}

/// A sweep that was run.
#[derive(Debug)]
pub struct Swept {
    /// In brief.
    pub summary: Summary,
    /// The columns of its rows.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// The limit of the measure, SI, where the scenario has one.
    pub limit: Option<f64>,
    /// Points of the design.
    pub of: u64,
}

impl Swept {
    /// Whether it was ended early.
    pub fn is_stopped(&self) -> bool {
        (self.rows.len() as u64) < self.of
    }

    /// As a table.
    pub fn table(&self) -> Table {
        Table { columns: self.columns.clone(), rows: self.rows.clone() }
    }
}

/// A measure over throughput.
#[derive(Debug)]
pub struct Curve {
    /// The sweep.
    pub swept: Swept,
    /// Up to where all is well; none when the sweep was ended early.
    pub highest: Option<HighestThroughput>,
    /// The same for the measure alone; none where no limit judges it, or the sweep was ended early.
    pub of_measure: Option<HighestThroughput>,
    /// The lowest and the highest throughput looked at, 1/s.
    pub ends_per_s: [f64; 2],
}

/// The foam station answered.
#[derive(Debug)]
pub struct FoamFound {
    /// Everything asked of it.
    pub report: FoamReport,
    /// As text.
    pub text: String,
    /// The map of its regimes.
    pub map: Arc<DisplayList>,
}

/// What a study came to.
#[derive(Debug, Clone)]
pub enum StudyAnswer {
    /// A measure over throughput.
    Curve(Arc<Curve>),
    /// How it spreads there.
    Band(Arc<BandOver>),
    /// The one-step table; none when it was ended early.
    Steps(Option<Arc<Nudge>>),
    /// What is recommended.
    Advice(Arc<Recommendation>),
    /// A measure over two settings.
    Map(Arc<Swept>),
    /// The foam station.
    Foam(Arc<FoamFound>),
}

/// One core is left to the window and to the pass that is turned.
fn workers() -> Workers {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    Workers::new((cores - 1).max(1))
}

/// Answers what is asked; for the background. `wake` is called as it gets on.
///
/// # Errors
/// Why it cannot be answered, in words.
pub fn study(asked: &StudyAsked, wake: &(dyn Fn() + Sync)) -> Result<StudyAnswer, String> {
    let job = &*asked.job;
    if job.is_stopped() {
        return Err("stopped".to_owned());
    }
    let tell = |done, most| {
        job.tell(done, most);
        wake();
    };
    let scenario = &*asked.scenario;
    match &asked.what {
        What::Curve { measure, over } => curve(scenario, *measure, over, job, &tell),
        What::Band { measure, over } => {
            let axis = setting_axis(scenario, THROUGHPUT, over).map_err(|refused| refused.to_string())?;
            let plan = BandPlan::default();
            let stop = || job.is_stopped();
            band_over(scenario, &axis, *measure, &plan, workers(), &stop, tell)
                .map(|band| StudyAnswer::Band(Arc::new(band)))
                .map_err(|error| error.to_string())
        }
        What::Steps { measure } => {
            let cases = [(scenario.measured_vehicle().to_owned(), scenario.clone())];
            let stop = || job.is_stopped();
            let work = || nudge_until(&cases, Some(*measure), &stop, &tell);
            let table = with_threads(workers(), work).map_err(|error| error.to_string())?;
            Ok(StudyAnswer::Steps(table.map(Arc::new)))
        }
        What::Advice { fleet } => advice(scenario, *fleet, job, &tell),
        What::Map { measure, over } => {
            let swept = swept(scenario, over, *measure, MOST_CELLS, job, &tell)?.1;
            Ok(StudyAnswer::Map(Arc::new(swept)))
        }
        What::Foam { file, title, units, page } => {
            let (subject, target_ratio) = FoamSubject::of_scenario(file, title, scenario)
                .ok_or("this scenario has no foam station: add the part `foam: (…),` to it")?;
            let questions = FoamQuestions { target_ratio, ..FoamQuestions::default() };
            let report = FoamReport::compute(subject, questions).map_err(|error| error.to_string())?;
            let map = foam_map_on(&report, *units, *page).map_err(|error| error.to_string())?;
            let text = report.text(*units);
            Ok(StudyAnswer::Foam(Arc::new(FoamFound { report, text, map: Arc::new(map) })))
        }
    }
}

fn curve(
    scenario: &Scenario,
    measure: Measure,
    over: &str,
    job: &Job,
    tell: &(dyn Fn(u64, u64) + Sync),
) -> Result<StudyAnswer, String> {
    let over = [format!("{THROUGHPUT}={over}")];
    let (sweep, swept) = swept(scenario, &over, measure, MOST_POINTS, job, tell)?;
    let (axis, setting) = (&sweep.design().axes()[0], scenario.setting(THROUGHPUT));
    let si = |text: &str| setting.as_ref().ok()?.number(text).ok();
    let per_s = |index: u64| axis.value(index).and_then(|value| si(&value.text)).unwrap_or(0.0);
    let last = per_s(swept.of.saturating_sub(1));
    let mut found = Curve {
        highest: None,
        of_measure: None,
        ends_per_s: [per_s(0).min(last), per_s(0).max(last)],
        swept,
    };
    if !found.swept.is_stopped() {
        let summary = &found.swept.summary;
        let refused = |refused: crate::error::Refusal| refused.to_string();
        found.of_measure = sweep.highest_throughput_of_measure(summary).map_err(refused)?;
        if !job.is_stopped() {
            found.highest = Some(sweep.highest_throughput(summary).map_err(refused)?);
        }
    }
    Ok(StudyAnswer::Curve(Arc::new(found)))
}

/// Runs a sweep, as far as it is let.
fn swept(
    scenario: &Scenario,
    over: &[String],
    measure: Measure,
    most: u64,
    job: &Job,
    tell: &(dyn Fn(u64, u64) + Sync),
) -> Result<(Sweep, Swept), String> {
    let plan = SweepPlan { over: over.to_vec(), ..SweepPlan::default() };
    let sweep =
        Sweep::new(&[(String::new(), scenario.clone())], &plan).map_err(|refused| refused.to_string())?;
    let of = sweep.design().rows();
    if of > most {
        return Err(format!(
            "{of} passes are too many here, allowed are up to {most}: take larger steps, or copy the command and run it in a terminal"
        ));
    }
    tell(0, of);
    let limit = evaluate(scenario).reading(measure).and_then(|reading| reading.limit);
    let mut swept = Swept {
        summary: Summary::new(sweep.design().axes(), sweep.columns(), of, measure),
        columns: sweep.columns().to_vec(),
        rows: Vec::new(),
        limit,
        of,
    };
    let done = sweep.run(0..of, workers(), |row, _| {
        swept.summary.add(&row);
        swept.rows.push(row);
        tell(swept.rows.len() as u64, of);
        if job.is_stopped() { Err(()) } else { Ok(()) }
    });
    match done {
        Ok(()) | Err(StreamError::Sink(())) => Ok((sweep, swept)),
        Err(StreamError::Threads(reason)) => Err(format!("the threads could not be started: {reason}")),
    }
}

fn advice(
    scenario: &Scenario,
    fleet: bool,
    job: &Job,
    tell: &(dyn Fn(u64, u64) + Sync),
) -> Result<StudyAnswer, String> {
    let mut plan = RecommendPlan::of(scenario);
    if !fleet {
        plan.vehicles = vec![scenario.measured_vehicle().to_owned()];
    }
    let stop = || job.is_stopped();
    let found =
        with_threads(workers(), || recommend_until(scenario, &plan, &stop, |at| tell(at.judged, at.most)));
    let found = found.map_err(|error| error.to_string())?;
    found
        .map(|found| StudyAnswer::Advice(Arc::new(found)))
        .map_err(|refused| crate::study::point::reason(&refused))
}
