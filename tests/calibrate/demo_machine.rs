//! The demo machine and readings of it.

use brusharm::calibrate::{Calibration, ReadingsText, calibrate, set_values, would_read};
use brusharm::scenario::Scenario;

pub fn demo() -> Scenario {
    let text = include_str!("../../scenarios/ferry-return.ron");
    Scenario::read_alone(text, "ferry-return.ron").expect("the demo")
}

pub fn readings(body: &str) -> ReadingsText {
    let text = format!("(schema: 1, of: Both, readings: [{body}])");
    ReadingsText::read(&text, "readings.ron").unwrap_or_else(|errors| panic!("{errors}"))
}

/// Readings that follow the machine smoothly: no whole pass.
pub const SMOOTH: &str = r#"
    Pull(way: Out, brush_center: "30 in", air: Off, force: ["3 lbf", "3 lbf"]),
    Pull(way: In, brush_center: "30 in", air: Off, force: ["1 lbf", "1 lbf"]),
    Pull(way: Out, brush_center: "55 in", air: On, force: ["7 lbf", "7 lbf"]),
    Pull(way: In, brush_center: "55 in", air: On, force: ["2 lbf"]),
    Pull(way: StartOut, brush_center: "45 in", air: Off, force: ["5 lbf", "5 lbf"]),
    Pull(way: Out, brush_center: "40 in", air: Off, walk: "2 ft/s", force: ["6 lbf", "6 lbf"]),
    Film(from: "65 in", air: On, frames_per_second: 30, marks: [("55 in", 60), ("40 in", 120), ("25 in", 180)]),
    PushBack(depth: "6 in", height: "48 in", spinning: true, force: ["8 lbf", "8 lbf"]),
    PushBack(depth: "10 in", height: "48 in", spinning: true, force: ["18 lbf"]),
    Board(depth: "8 in", height: "48 in", power: ["0.5 hp", "0.5 hp"]),
    Gauge(cap: ["7 psi"]),
    Level(top_leans_downstream: ["0 deg"]),
    Diameter(diameter: ["47 in"]),
    WetDrag(load: "10 lbf", pull: ["3.5 lbf", "3.5 lbf"]),
    Rest(brush_center: ["16 in"]),
"#;
/// Once the counterweight is weighed, no common scale of all forces is left open.
pub const WEIGHED: &str = r#"Weight(mass: ["12 lb"]),"#;

/// Readings of the arm at rest and at a steady walk, of its parts, and of the brush at a board: nothing is integrated.
pub const STATIC: &str = r#"
    Pull(way: Out, brush_center: "30 in", air: Off, force: ["3 lbf", "3 lbf"]),
    Pull(way: In, brush_center: "30 in", air: Off, force: ["1 lbf", "1 lbf"]),
    Pull(way: Out, brush_center: "55 in", air: On, force: ["7 lbf", "7 lbf"]),
    Pull(way: In, brush_center: "55 in", air: On, force: ["2 lbf", "2 lbf"]),
    Pull(way: StartOut, brush_center: "45 in", air: Off, force: ["5 lbf", "5 lbf"]),
    Pull(way: Out, brush_center: "40 in", air: Off, walk: "2 ft/s", force: ["6 lbf", "6 lbf"]),
    Pull(way: In, brush_center: "40 in", air: On, walk: "4 ft/s", force: ["1 lbf", "1 lbf"]),
    PushBack(depth: "6 in", height: "48 in", spinning: true, force: ["8 lbf", "8 lbf"]),
    PushBack(depth: "10 in", height: "48 in", spinning: true, force: ["18 lbf"]),
    Board(depth: "8 in", height: "48 in", power: ["0.5 hp", "0.5 hp"]),
    Gauge(cap: ["7 psi", "7 psi"]),
    Level(top_leans_downstream: ["0 deg", "0 deg"]),
    Gaps(upper: "2 in", lower: "2 in"),
    Diameter(diameter: ["53 in", "53 in"]),
    WetDrag(load: "10 lbf", pull: ["3.5 lbf", "3.5 lbf"]),
    Rest(brush_center: ["16 in", "16 in"]),
    Weight(mass: ["12 lb", "12 lb"]),
"#;

/// The readings as the demo machine itself gives them, without any error.
pub fn exact(body: &str) -> ReadingsText {
    let mut text = readings(body);
    let scenario = demo();
    for (i, values) in would_read(&scenario, &text).into_iter().enumerate() {
        let values = values.unwrap_or_else(|| panic!("reading {i} has no answer"));
        set_values(&mut text.file.readings[i], &values).expect("numbers");
    }
    text
}

pub fn fitted(scenario: &Scenario, text: &ReadingsText) -> Calibration {
    calibrate(scenario, text).unwrap_or_else(|errors| panic!("{errors}"))
}
