//! `brusharm sweep`: one pass for every point of a design.

use super::Run;
use super::common::{Common, Loaded, OutputArguments};
use super::interrupt;
use super::options::{IntervalOption, OfOption, SEED, StrictOption, SvgOption};
use super::output::{Target, complain, ink, print};
use super::problem::{Problem, refusal};
use super::row_file::{FileFormat, RowFile};
use super::study_common::asked;
use crate::calibrate::PointIntervals;
use crate::coverage::measure::Measure;
use crate::drawing::palette::Theme;
use crate::drawing::svg::svg;
use crate::report::row_log::{LogHeader, SCHEMA};
use crate::report::rows::{RowFormat, csv_header, row_text};
use crate::report::{
    MOST_ROWS_SHOWN, SweepChart, SweepPicture, SweepReport, highest_document, telling_measure,
};
use crate::study::design::Part;
use crate::study::effect::why;
use crate::study::point::evaluate;
use crate::study::stream::{StreamError, Workers};
use crate::study::summary::Summary;
use crate::study::sweep::{FILE_AXIS, Sweep, SweepPlan};
use crate::study::table::Row;
use clap::{Args, ValueEnum};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{ErrorKind, IsTerminal, Write};
use std::path::Path;

/// Forms of the result on standard output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SweepFormat {
    /// For people: counts, envelopes, where it turns
    Text,
    /// For a spreadsheet: every point, SI
    Csv,
    /// For programs: every point as one JSON object a line, SI
    Json,
}

/// Charts by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ChartKind {
    /// Lowest to highest over the first axis of numbers
    Envelope,
    /// The worst over the first two axes
    Map,
    /// A line for each point over all axes
    Parallel,
}

/// Run a pass at every point of a grid or a sample of settings, vehicles and files
///
/// An axis is --over PATH=FIRST..LAST:STEP or PATH=VALUE,VALUE. PATH is any path of «brusharm settings FILE», or vehicle (names, all, fleet), or
/// file. Numbers without a unit take the unit of the others in the same axis, else that of the setting's field step. The last axis turns fastest.
///
/// With -o the rows go to a file (.csv, .jsonl, .parquet) and standard output tells them in brief. While it runs they are in FILE.part, which a
/// repeat of the same command goes on with, however the run ended. A point that cannot be computed is a row with its reason.
#[derive(Debug, Args)]
pub(crate) struct SweepArguments {
    #[command(flatten)]
    common: Common,

    /// An axis; may be given several times
    #[arg(long, value_name = "PATH=VALUES", required = true)]
    over: Vec<String>,

    /// Take this many evenly spread points instead of the full grid
    #[arg(long, value_name = "POINTS")]
    sample: Option<u64>,

    /// Seed of the sample; 0 is the published Sobol sequence
    #[arg(long, value_name = "NUMBER", default_value_t = 0, requires = "sample")]
    seed: u64,

    /// Compute only this share, such as 3/16; the shares together are the whole, row for row
    #[arg(long, value_name = "K/N")]
    part: Option<String>,

    /// Threads; 0 = one for each core
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    threads: usize,

    /// Keep only these result columns, separated by commas
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    columns: Vec<String>,

    #[command(flatten)]
    of: OfOption,

    /// Say the highest throughput at which every point still passes, found to 0.1 veh/h between those of --over; with --format json that alone
    #[arg(long, conflicts_with_all = ["part", "sample"])]
    highest: bool,

    #[command(flatten)]
    strict: StrictOption,

    #[command(flatten)]
    interval: IntervalOption,

    /// Form of the result on standard output; text when not said
    #[arg(long, value_enum)]
    format: Option<SweepFormat>,

    #[command(flatten)]
    output: OutputArguments,

    /// Throw away what an earlier run left in FILE.part
    #[arg(long, requires = "output")]
    restart: bool,

    #[command(flatten)]
    drawing: SvgOption,

    /// Kind of chart; what suits the number of axes when not said
    #[arg(long, value_enum, requires = "svg")]
    chart_kind: Option<ChartKind>,
}

impl Run for SweepArguments {
    fn run(&self) -> Result<u8, Problem> {
        let loaded = self.common.load()?;
        self.interval.check()?;
        let measure = self.measure(&loaded)?;
        let part: Part = match &self.part {
            Some(text) => text.parse().map_err(|refusal| Problem::option("--part", refusal))?,
            None => Part::WHOLE,
        };
        let plan = SweepPlan {
            over: self.over.clone(),
            sample: self.sample.map(|count| (count, self.seed)),
            columns: self.columns.clone(),
        };
        let sweep = Sweep::new(&self.bases(&loaded)?, &plan).map_err(|refusal| {
            let option = if refusal.problem.contains("column") { "--columns" } else { "--over" };
            Problem::option(option, refusal)
        })?;
        let sweep = match self.interval.draws() {
            Some(draws) => {
                let told: Vec<Measure> =
                    sweep.measures().filter(|m| m.is_judged() || *m == measure).collect();
                sweep.beside(Box::new(PointIntervals::new(draws, SEED, told)))
            }
            None => sweep,
        };
        if self.highest {
            if self.format == Some(SweepFormat::Csv) {
                let advice = "take one of these, or leave --highest out";
                let refusal = refusal("the rows have no place for the answer", "csv", "text or json", advice);
                return Err(Problem::option("--highest", refusal));
            }
            sweep.throughput_axis().map_err(|refusal| Problem::option("--highest", refusal))?;
        }
        let chart = self.drawing.target(&self.output, &loaded.inputs)?;
        let file =
            self.output.output.as_deref().map(|path| self.open(path, &loaded, &sweep, part)).transpose()?;

        let share = part.rows(sweep.design().rows());
        let count = share.end - share.start;
        let mut told = Told {
            summary: Summary::new(sweep.design().axes(), sweep.columns(), count, measure),
            rows: Vec::new(),
            keep: count <= MOST_ROWS_SHOWN as u64,
        };
        for axis in &mut told.summary.axes {
            axis.why = why(&loaded.scenario, &axis.path);
        }
        interrupt::listen()?;
        let asked = asked(&self.common, &loaded);
        let is_interrupted = self.compute(&sweep, &asked.to_string(), share, file, &mut told)?;
        // Of a sweep that was stopped there is no answer.
        let highest = (self.highest && !is_interrupted).then(|| sweep.highest_throughput(&told.summary));
        let highest = highest.transpose().map_err(|refusal| Problem::option("--highest", refusal))?;

        let format = self.format.unwrap_or(SweepFormat::Text);
        let drawn_alone = self.output.output.is_none() && chart.as_ref().is_some_and(Target::is_stdout);
        if format == SweepFormat::Text && !drawn_alone {
            let design = sweep.design().summary();
            let design = if part == Part::WHOLE { design } else { format!("{design}, share {part}") };
            let report = SweepReport {
                title: loaded.title(),
                design: &design,
                summary: &told.summary,
                columns: sweep.columns(),
                rows: &told.rows,
                drawn: self.interval.draws(),
                highest: highest.as_ref(),
            };
            let ink = ink();
            print(&report.text(self.common.unit_system(), ink), ink)?;
        }
        if let (Some(highest), SweepFormat::Json) = (&highest, format) {
            let document = highest_document(loaded.title(), &asked, highest);
            print(&format!("{document:#}\n"), ink())?;
        }
        if let Some(chart) = chart {
            self.draw(&chart, &loaded, &told.summary)?;
        }
        let counts = told.summary.counts;
        let failed = counts.fail + counts.not_computed > 0;
        Ok(interrupt::code(is_interrupted).unwrap_or(self.strict.code(failed)))
    }
}

/// What is told at the end.
struct Told {
    summary: Summary,
    rows: Vec<Row>,
    keep: bool,
}

impl Told {
    fn add(&mut self, row: &Row) {
        self.summary.add(row);
        if self.keep {
            self.rows.push(row.clone());
        }
    }
}

impl SweepArguments {
    fn measure(&self, loaded: &Loaded) -> Result<Measure, Problem> {
        Ok(self.of.measure()?.unwrap_or_else(|| telling_measure(&evaluate(&loaded.scenario))))
    }

    /// The scenario, or those of the file axis with the same settings changed.
    fn bases(&self, loaded: &Loaded) -> Result<Vec<(String, crate::scenario::Scenario)>, Problem> {
        let named = self
            .over
            .iter()
            .filter_map(|text| text.split_once('='))
            .find(|(path, _)| path.trim() == FILE_AXIS);
        let Some((_, files)) = named else { return Ok(vec![(loaded.name.clone(), loaded.scenario.clone())]) };
        let read = |name: &str| {
            let other = self.common.of_file(Path::new(name)).load()?;
            Ok((name.to_owned(), other.scenario))
        };
        files.split(',').map(|name| read(name.trim())).collect()
    }

    fn open(&self, path: &Path, loaded: &Loaded, sweep: &Sweep, part: Part) -> Result<RowFile, Problem> {
        let target = self.output.target(path, loaded)?;
        if target.file_path().is_none() {
            let advice = "name a file, or leave -o out and take --format csv";
            return Err(Problem::file(
                &path.display().to_string(),
                refusal("a sweep that can be resumed needs a file", "", "a file", advice),
            ));
        }
        let format = FileFormat::of(path)?;
        let rows = part.rows(sweep.design().rows());
        let header = LogHeader {
            schema: SCHEMA.to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
            scenario: loaded.name.clone(),
            fingerprint: sweep.fingerprint().to_owned(),
            design: sweep.design().summary(),
            axes: sweep.design().axes().iter().map(|axis| axis.summary()).collect(),
            part: part.to_string(),
            first_row: rows.start,
            end_row: rows.end,
            columns: sweep.columns().iter().map(|c| c.name.clone()).collect(),
        };
        let asked = asked(&self.common, loaded).to_string();
        let columns = (sweep.columns(), asked.as_str());
        RowFile::open(path, format, &header, columns, self.output.overwrite, self.restart)
    }

    /// Computes the rows that are missing; whether it was interrupted before the last.
    fn compute(
        &self,
        sweep: &Sweep,
        asked: &str,
        share: std::ops::Range<u64>,
        mut file: Option<RowFile>,
        told: &mut Told,
    ) -> Result<bool, Problem> {
        let workers = Workers::new(self.threads);
        let mut rows = share.clone();
        if let Some(file) = &mut file {
            rows.start = file.next_row;
            if rows.start > share.start {
                let (done, all) = (rows.start - share.start, share.end - share.start);
                complain(&format!("going on after {done} of {all} rows"));
                file.replay(|row| told.add(row))?;
            }
        }
        let mut stdout = self.stdout_rows(sweep, asked)?;
        let bar = progress(share.end - share.start, rows.start - share.start);
        let last = rows.end;
        let mut next = rows.start;
        let result = sweep.run(rows, workers, |row, _| {
            next += 1;
            told.add(&row);
            if let Some(file) = &mut file {
                file.append(&row)?;
            }
            bar.inc(1);
            if let Some(out) = &mut stdout {
                out.row(sweep, &row)?;
            }
            if next < last && interrupt::is_asked() { Err(Stop::Asked) } else { Ok(()) }
        });
        bar.finish_and_clear();
        match result {
            Ok(()) | Err(StreamError::Sink(Stop::Asked)) => {}
            Err(StreamError::Sink(Stop::Reader)) => return Ok(false),
            Err(StreamError::Sink(Stop::Problem(problem))) => return Err(problem),
            Err(error @ StreamError::Threads(_)) => {
                let allowed = "as many as the system can start";
                let given = workers.threads().to_string();
                return Err(Problem::option(
                    "--threads",
                    refusal(&error_text(&error), &given, allowed, "ask for fewer"),
                ));
            }
        }
        if let Some(out) = &mut stdout {
            match out.flush() {
                Ok(()) | Err(Stop::Reader | Stop::Asked) => {}
                Err(Stop::Problem(problem)) => return Err(problem),
            }
        }
        if next < last {
            let (done, all) = (next - share.start, share.end - share.start);
            let kept = if file.is_some() { "; the same command goes on from there" } else { "" };
            complain(&format!("interrupted after {done} of {all} rows{kept}"));
            file.map_or(Ok(()), RowFile::keep)?;
            return Ok(true);
        }
        file.map_or(Ok(()), RowFile::finish)?;
        Ok(false)
    }

    fn stdout_rows(&self, sweep: &Sweep, asked: &str) -> Result<Option<StdoutRows>, Problem> {
        let format = match self.format {
            Some(SweepFormat::Csv) => RowFormat::Csv,
            Some(SweepFormat::Json) if !self.highest => RowFormat::JsonLines,
            _ => return Ok(None),
        };
        let mut out =
            StdoutRows { format, asked: asked.to_owned(), out: std::io::BufWriter::new(std::io::stdout()) };
        if format == RowFormat::Csv {
            match out.text(&csv_header(sweep.columns())) {
                Ok(()) | Err(Stop::Reader | Stop::Asked) => {}
                Err(Stop::Problem(problem)) => return Err(problem),
            }
        }
        Ok(Some(out))
    }

    fn draw(&self, target: &Target, loaded: &Loaded, summary: &Summary) -> Result<(), Problem> {
        let kind = match self.chart_kind {
            Some(ChartKind::Envelope) => SweepChart::Envelope,
            Some(ChartKind::Map) => SweepChart::HeatMap,
            Some(ChartKind::Parallel) => SweepChart::Parallel,
            None => SweepChart::suited(summary),
        };
        let picture = SweepPicture {
            title: loaded.title(),
            summary,
            limit: evaluate(&loaded.scenario).reading(summary.measure).and_then(|r| r.limit),
            units: self.common.unit_system(),
            text_size: 12.0,
        };
        let Some(chart) = picture.draw(kind, 960.0, 600.0) else {
            let advice = "add an axis of numbers for an envelope, two axes for a map";
            return Err(Problem::option(
                "--chart-kind",
                refusal("the sweep has no axes for this chart", "", "", advice),
            ));
        };
        target.write(svg(&chart.list, Theme::Light).as_bytes())
    }
}

fn error_text<E: std::fmt::Debug>(error: &StreamError<E>) -> String {
    match error {
        StreamError::Threads(reason) => format!("the worker threads could not be started: {reason}"),
        StreamError::Sink(_) => "the results could not be taken".to_owned(),
    }
}

/// Why taking rows stopped.
#[derive(Debug)]
enum Stop {
    /// Nobody reads any more.
    Reader,
    /// Somebody asked to stop.
    Asked,
    Problem(Problem),
}

impl From<Problem> for Stop {
    fn from(problem: Problem) -> Stop {
        Stop::Problem(problem)
    }
}

/// Rows to standard output as they come.
struct StdoutRows {
    format: RowFormat,
    /// What was asked, as JSON.
    asked: String,
    out: std::io::BufWriter<std::io::Stdout>,
}

impl StdoutRows {
    fn row(&mut self, sweep: &Sweep, row: &Row) -> Result<(), Stop> {
        self.text(&row_text(sweep.columns(), row, self.format, &self.asked))
    }

    fn text(&mut self, text: &str) -> Result<(), Stop> {
        self.out.write_all(text.as_bytes()).map_err(stop)
    }

    fn flush(&mut self) -> Result<(), Stop> {
        self.out.flush().map_err(stop)
    }
}

fn stop(error: std::io::Error) -> Stop {
    match error.kind() {
        ErrorKind::BrokenPipe => Stop::Reader,
        _ => Stop::Problem(Problem::writing("standard output", &error)),
    }
}

/// A bar with the time left on standard error, where that is a terminal.
pub(crate) fn progress(rows: u64, done: u64) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(rows), ProgressDrawTarget::stderr_with_hz(5));
    let template = "{wide_bar} {pos}/{len} ({per_sec}), {eta} left";
    // Without a style there is still the plain bar.
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style);
    }
    bar.set_position(done);
    bar.reset_eta();
    bar
}
