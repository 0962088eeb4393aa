//! What the parts of an answer take, each alone on one thread: one evaluation of the motion while strips press, measuring, a sweep, a search, reading a
//! file, a picture, a sheet. On the demo.

use brusharm::coverage::{Solved, measure};
use brusharm::drawing::picture::{PictureOptions, pass_picture};
use brusharm::drawing::{Theme, svg::svg};
use brusharm::pass::contact::SpanScratch;
use brusharm::pass::motion::state;
use brusharm::report::sheet::{Language, SheetRequest, SolvedScenario, html, sheet};
use brusharm::scenario::Scenario;
use brusharm::scenario::setting::Group;
use brusharm::study::recommend::{RecommendPlan, recommend};
use brusharm::study::stream::Workers;
use brusharm::study::sweep::{Sweep, SweepPlan};
use brusharm::study::tolerance::{Walk, tolerances};
use brusharm::units::UnitSystem;
use divan::{Bencher, black_box};

const DEMO: &str = include_str!("../../scenarios/ferry-return.ron");

fn main() {
    divan::main();
}

fn demo() -> Scenario {
    Scenario::read_alone(DEMO, "ferry-return.ron").expect("the demo is good")
}

fn solved() -> Solved {
    demo().solve().expect("the demo runs")
}

fn on_one_thread<T: Send>(body: impl Fn() -> T + Sync + Send) -> T {
    rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a pool").install(body)
}

/// One evaluation of a unit, half way along the side of the vehicle.
#[divan::bench]
fn evaluation(bencher: Bencher<'_, '_>) {
    let solved = solved();
    let (unit, run) = (solved.setup.dynamics(0), &solved.record.units[0]);
    let timing = &solved.outcome.units[0];
    let passes = timing.events.iter().map(|event| event.time_s);
    let t_s = passes.clone().fold(0.0, f64::max).midpoint(passes.fold(f64::INFINITY, f64::min));
    let (at, mut scratch, mut rates) = (run.state_at(t_s), SpanScratch::default(), [0.0; state::COUNT]);
    let mut y = [0.0; state::COUNT];
    y.copy_from_slice(&at.y);
    bencher.bench_local(|| unit.evaluate(black_box(t_s), &y, &at.modes, None, &mut scratch, &mut rates));
}

#[divan::bench]
fn measuring(bencher: Bencher<'_, '_>) {
    let (solved, criteria) = (solved(), demo().criteria());
    bencher.bench(|| on_one_thread(|| measure(&solved.setup, &solved.record, &solved.settings, &criteria)));
}

#[divan::bench(sample_count = 10)]
fn sweep_of_nine(bencher: Bencher<'_, '_>) {
    let plan = SweepPlan { over: vec!["throughput=60..140:10".to_owned()], ..SweepPlan::default() };
    let sweep = Sweep::new(&[("demo".to_owned(), demo())], &plan).expect("nine points");
    bencher.bench(|| sweep.run(0..9, Workers::new(1), |_, _| Ok::<(), ()>(())).expect("runs"));
}

/// A search that finds an answer: air and bearings, the demo with its lower bearings an eighth of an inch the wrong way.
#[divan::bench(sample_count = 5)]
fn recommending(bencher: Bencher<'_, '_>) {
    let light = demo().with(&[("both.bearings.lower_offset", "-1/8 in")]).expect("a setting");
    let plan = RecommendPlan {
        vehicles: vec!["sedan".to_owned()],
        groups: vec![Group::Air, Group::Bearing],
        most_steps: Some(4),
        chance_passes: 0,
        ..RecommendPlan::of(&light)
    };
    bencher.bench(|| on_one_thread(|| recommend(&light, &plan, |_| {}).expect("an answer")));
}

#[divan::bench]
fn reading_a_file(bencher: Bencher<'_, '_>) {
    bencher.bench(|| Scenario::read_alone(black_box(DEMO), "ferry-return.ron").expect("good"));
}

#[divan::bench(sample_count = 20)]
fn picture_as_svg(bencher: Bencher<'_, '_>) {
    let solved = solved();
    let options = PictureOptions::new(UnitSystem::Us);
    bencher.bench(|| svg(&pass_picture(&solved, &[], &options), Theme::Light));
}

/// A sheet from what was computed for it, then as text.
#[divan::bench(sample_count = 10)]
fn sheet_as_html(bencher: Bencher<'_, '_>) {
    let (left, pass) = (demo(), solved());
    let tolerances = on_one_thread(|| tolerances(&left, &pass.outcome, Walk::default()));
    bencher.bench(|| {
        let request = SheetRequest {
            language: Language::English,
            units: UnitSystem::Us,
            found: None,
            left: SolvedScenario { scenario: &left, pass: &pass, file: "ferry-return.ron" },
            tolerances: &tolerances,
            date: "",
            who: "",
            set: &[],
            additions: Vec::new(),
        };
        html(&sheet(&request)).expect("a sheet")
    });
}
