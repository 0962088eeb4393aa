//! How the cost of an answer grows: with height bands, with vehicles in the train, with passes of a sweep, with threads. Prints the medians and how far each
//! lies off a straight line, and writes the curves into tests/bench/curves.svg: `cargo bench --bench curves`.

#[path = "../common/mod.rs"]
mod common;

use brusharm::coverage::{CoverageSettings, measure};
use brusharm::drawing::chart::{Axis, Draw, LineChart, Series, Sheet, small_multiples};
use brusharm::drawing::{SeriesStyle, Theme, svg::svg};
use brusharm::pass::{PassSetup, run};
use brusharm::scenario::Scenario;
use brusharm::study::stream::Workers;
use brusharm::study::sweep::{Sweep, SweepPlan};
use brusharm::vehicle::fleet;
use common::machine::{criteria, plain_spec, setup};
use std::io::Write;
use std::time::Instant;

/// Each point is the median of so many.
const REPEATS: usize = 7;

/// Medians of what several things take, ms; they take turns, so that a machine that grows slower does so for all.
fn medians_ms(bodies: &[Box<dyn Fn() + '_>]) -> Vec<f64> {
    let mut times: Vec<Vec<f64>> = vec![Vec::new(); bodies.len()];
    for _ in 0..REPEATS {
        for (body, times) in bodies.iter().zip(&mut times) {
            let start = Instant::now();
            body();
            times.push(1e3 * start.elapsed().as_secs_f64());
        }
    }
    times
        .iter_mut()
        .map(|times| {
            times.sort_by(f64::total_cmp);
            times[REPEATS / 2]
        })
        .collect()
}

fn pass(setup: &PassSetup) {
    let record = run(setup).expect("runs");
    std::hint::black_box(measure(setup, &record, &CoverageSettings::default(), &criteria()));
}

/// What one quantity costs: what it is, its unit, and points of it against ms.
struct Curve {
    name: &'static str,
    unit: &'static str,
    points: Vec<[f64; 2]>,
}

impl Curve {
    fn of<'a>(
        name: &'static str,
        unit: &'static str,
        counts: &[u32],
        body: impl Fn(u32) -> Box<dyn Fn() + 'a>,
    ) -> Curve {
        let bodies: Vec<Box<dyn Fn() + 'a>> = counts.iter().map(|count| body(*count)).collect();
        let points = counts.iter().zip(medians_ms(&bodies)).map(|(count, ms)| [f64::from(*count), ms]);
        Curve { name, unit, points: points.collect() }
    }

    /// The straight line of least squares: ms at nothing, ms for each, and how far the farthest point lies off it, as a share.
    fn straight(&self) -> (f64, f64, f64) {
        let count = self.points.len() as f64;
        let mean = |k: usize| self.points.iter().map(|p| p[k]).sum::<f64>() / count;
        let (x, y) = (mean(0), mean(1));
        let slope = self.points.iter().map(|p| (p[0] - x) * (p[1] - y)).sum::<f64>()
            / self.points.iter().map(|p| (p[0] - x).powi(2)).sum::<f64>();
        let start = y - slope * x;
        let off = |p: &[f64; 2]| (p[1] / (start + slope * p[0]) - 1.0).abs();
        (start, slope, self.points.iter().map(off).fold(0.0, f64::max))
    }
}

fn sweep(passes: u32) -> Sweep {
    let text = include_str!("../../scenarios/ferry-return.ron");
    let demo = Scenario::read_alone(text, "ferry-return.ron").expect("good");
    let plan = SweepPlan {
        over: vec![format!("throughput=60..{:.6}:{:.6}", 140.0, 80.0 / f64::from(passes - 1))],
        ..SweepPlan::default()
    };
    Sweep::new(&[("demo".to_owned(), demo)], &plan).expect("a row of points")
}

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout();
    // On one thread but where threads are what is asked about.
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a pool");
    let curves = one.install(|| {
        vec![
            Curve::of("height bands of a body", "bands", &[1, 2, 3, 4, 5, 6], |bands| {
                let setup = setup(&plain_spec(bands), 100.0);
                Box::new(move || pass(&setup))
            }),
            Curve::of("vehicles ahead in the train", "vehicles", &[1, 2, 3, 4, 6, 8], |ahead| {
                let mut setup = setup(&fleet::sedan(), 100.0);
                setup.train = vec![setup.train[0].clone(); ahead as usize + 1];
                setup.measured = ahead as usize;
                Box::new(move || pass(&setup))
            }),
            Curve::of("passes of a sweep", "passes", &[9, 17, 33, 65], |passes| {
                let sweep = sweep(passes);
                let rows = sweep.design().rows();
                Box::new(move || sweep.run(0..rows, Workers::new(1), |_, _| Ok::<(), ()>(())).expect("runs"))
            }),
        ]
    });
    for curve in &curves {
        let (start, each, off) = curve.straight();
        writeln!(
            out,
            "{}: {:.2} ms + {:.3} ms for each, within {:.1} %",
            curve.name,
            start,
            each,
            100.0 * off
        )?;
        let told: Vec<String> = curve.points.iter().map(|p| format!("{:.0}: {:.2} ms", p[0], p[1])).collect();
        writeln!(out, "  {}", told.join(", "))?;
    }
    let cores = std::thread::available_parallelism().map_or(1, usize::from) as u32;
    let threads: Vec<u32> = (1..=cores).collect();
    let by_threads = Curve::of("threads, a sweep of 65 passes", "threads", &threads, |threads| {
        let sweep = sweep(65);
        Box::new(move || {
            sweep.run(0..65, Workers::new(threads as usize), |_, _| Ok::<(), ()>(())).expect("runs");
        })
    });
    let alone = by_threads.points[0][1];
    for [threads, ms] in &by_threads.points {
        writeln!(out, "{threads:.0} threads: {ms:.1} ms, {:.2} times as fast", alone / ms)?;
    }

    let panels: Vec<Box<dyn Fn(f64, f64) -> brusharm::drawing::chart::Chart>> = curves
        .iter()
        .chain(std::iter::once(&by_threads))
        .map(|curve| -> Box<dyn Fn(f64, f64) -> brusharm::drawing::chart::Chart> {
            Box::new(move |width, height| {
                let most = curve.points.iter().map(|p| p[1]).fold(0.0, f64::max);
                let last = curve.points.iter().map(|p| p[0]).fold(0.0, f64::max);
                let mut chart = LineChart::new(
                    Sheet::new(curve.name, width, height),
                    Axis::new("", curve.unit).over(0.0, 1.03 * last),
                    Axis::new("time", "ms").over(0.0, 1.05 * most),
                );
                let measured = Series::new("median", SeriesStyle::nth(0), curve.points.clone());
                chart.series.push(measured.drawn(Draw::LineAndPoints));
                chart.draw()
            })
        })
        .collect();
    let panels: Vec<&dyn Fn(f64, f64) -> brusharm::drawing::chart::Chart> =
        panels.iter().map(|panel| &**panel).collect();
    let title = "What a pass costs: with bands, vehicles, passes and threads";
    let sheet = Sheet::new(title, 900.0, 560.0).described("Four curves of time in milliseconds.");
    let drawn = small_multiples(&sheet, 2, &panels);
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bench/curves.svg");
    std::fs::write(file, svg(&drawn.list, Theme::Light))?;
    writeln!(out, "written: tests/bench/curves.svg")?;
    Ok(())
}
