//! Scenario files: every shipped one reads, checks and runs; bad ones say what is wrong; settings go there and back; no text of any
//! kind panics or hangs.

mod bad;
mod good;
mod mutations;
mod settings;
mod uneven;

use brusharm::error::Diagnostics;
use brusharm::scenario::Scenario;
use std::path::{Path, PathBuf};

/// Scenarios that are shipped.
const SHIPPED: [&str; 8] = [
    "as-found.ron",
    "ferry-return.ron",
    "ferry-foam.ron",
    "air-drop.ron",
    "fleet-day.ron",
    "one-unit.ron",
    "opposite-pair.ron",
    "harbour-return.ron",
];

/// Foam files, which are no scenarios.
const FOAM_ALONE: [&str; 1] = ["foam-station.ron"];

/// Files that shipped scenarios name.
const READINGS: [&str; 1] = ["ferry-readings.ron"];
const BESIDE: [&str; 2] = ["harbour-machine.ron", "harbour-vehicles.ron"];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

fn shipped_text(name: &str) -> String {
    std::fs::read_to_string(folder().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn read(text: &str, name: &str) -> Result<Scenario, Diagnostics> {
    let loader = |name: &str| {
        let known = SHIPPED.contains(&name) || BESIDE.contains(&name);
        if known { Ok(shipped_text(name)) } else { Err("there is no such file".to_owned()) }
    };
    Scenario::read(text, name, &loader)
}

fn shipped(name: &str) -> Scenario {
    read(&shipped_text(name), name).unwrap_or_else(|errors| panic!("{errors}"))
}
