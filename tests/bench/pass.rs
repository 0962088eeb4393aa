//! One pass of the invented machine at 100 vehicles/h, both units: solved alone, and solved and measured; a body of one height band, of
//! three, and a whole sedan.

#[path = "../common/mod.rs"]
mod common;

use brusharm::coverage::{CoverageSettings, measure};
use brusharm::pass::{PassSetup, run};
use brusharm::vehicle::fleet;
use common::machine::{criteria, plain_spec, setup};

fn main() {
    divan::main();
}

fn setup_of(vehicle: &str) -> PassSetup {
    match vehicle {
        "1 band" => setup(&plain_spec(1), 100.0),
        "3 bands" => setup(&plain_spec(3), 100.0),
        _ => setup(&fleet::sedan(), 100.0),
    }
}

const VEHICLES: [&str; 3] = ["1 band", "3 bands", "sedan"];

#[divan::bench(args = VEHICLES)]
fn solve(bencher: divan::Bencher<'_, '_>, vehicle: &str) {
    let setup = setup_of(vehicle);
    bencher.bench(|| run(divan::black_box(&setup)).expect("runs"));
}

#[divan::bench(args = VEHICLES)]
fn solve_and_measure(bencher: divan::Bencher<'_, '_>, vehicle: &str) {
    let setup = setup_of(vehicle);
    let (settings, criteria) = (CoverageSettings::default(), criteria());
    bencher.bench(|| {
        let record = run(divan::black_box(&setup)).expect("runs");
        measure(&setup, &record, &settings, &criteria)
    });
}
