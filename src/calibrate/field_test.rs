//! Tests that a person can make at a machine: what is read, where, and how long it takes.
//!
//! Places are taken from the machine itself, between where its arm rests and its outboard stop. Minutes are common practice, no source.

use super::forward::angle_rad;
use super::reading_values::values;
use super::readings_file::{OfWord, ReadingFile};
use super::readings_text::ReadingsText;
use super::result::would_read;
use super::simulate::set_values;
use crate::arm::{Media, Side, UnitModel};
use crate::elementary::Elementary;
use crate::pass::rest_angle_rad;
use crate::scenario::Scenario;

/// A test, with readings such as the machine would give.
#[derive(Debug, Clone)]
pub struct FieldTest {
    /// What it is called in files and tables of words.
    pub key: &'static str,
    /// How long it takes.
    pub minutes: f64,
    /// What is read.
    pub readings: ReadingsText,
}

/// Every test that can be made at a machine.
pub fn field_tests(scenario: &Scenario, of: OfWord) -> Vec<FieldTest> {
    let side = if of == OfWord::Right { Side::Right } else { Side::Left };
    let Some(unit) = scenario.unit_models().iter().find(|u| u.side == side) else { return Vec::new() };
    bodies(scenario, unit)
        .into_iter()
        .filter_map(|(key, minutes, body)| {
            let word = match of {
                OfWord::Left => "Left",
                OfWord::Right => "Right",
                OfWord::Both => "Both",
            };
            let text = format!("(schema: 1, of: {word}, readings: [{body}])");
            let mut readings = ReadingsText::read(&text, key).ok()?;
            for (i, told) in would_read(scenario, &readings).into_iter().enumerate() {
                // What cannot be read on this machine is no test of it.
                set_values(&mut readings.file.readings[i], &told?)?;
            }
            Some(FieldTest { key, minutes, readings })
        })
        .collect()
}

/// Where the spindle is, in whole inches from the lane centreline, at shares of the way from where the arm rests to its outboard stop.
fn places(unit: &UnitModel) -> Option<impl Fn(f64) -> String> {
    let rest = rest_angle_rad(unit).ok()?;
    let (y, length, end) = (unit.pivot_m.y, unit.body.length_m, unit.outboard_stop.seat_rad);
    angle_rad(unit, y - length * rest.cosine())?;
    Some(move |share: f64| {
        let phi = rest + share * (end - rest);
        format!("\"{:.0} in\"", (y - length * phi.cosine()) / 0.0254)
    })
}

fn bodies(scenario: &Scenario, unit: &UnitModel) -> Vec<(&'static str, f64, String)> {
    let mut list = Vec::new();
    let mut add = |key, minutes, body: String| list.push((key, minutes, body));
    if let Some(at) = places(unit) {
        let (near, middle, far) = (at(0.25), at(0.5), at(0.75));
        let pull = |way: &str, place: &str, air: &str, more: &str| {
            format!(
                "Pull(way: {way}, brush_center: {place}, air: {air}, {more}force: [\"1 lbf\", \"1 lbf\"]),"
            )
        };
        let mut pulls = pull("Out", &near, "Off", "") + &pull("In", &near, "Off", "");
        pulls += &(pull("Out", &far, "Off", "") + &pull("In", &far, "Off", ""));
        if unit.cylinder.is_some() {
            pulls += &(pull("Out", &near, "On", "") + &pull("In", &near, "On", ""));
        }
        add("pulls", 3.0, pulls);
        add("breakaway", 1.0, pull("StartOut", &middle, "Off", ""));
        add("walking pull", 1.0, pull("Out", &middle, "Off", "walk: \"2 ft/s\", "));
        add(
            "timed swing",
            1.0,
            format!("Swing(from: {far}, to: {near}, air: Off, time: [\"1 s\", \"1 s\"])"),
        );
        let marks: Vec<String> = [0.6, 0.45, 0.3, 0.15].iter().map(|s| format!("({}, 30)", at(*s))).collect();
        add(
            "filmed swing",
            2.0,
            format!("Film(from: {far}, air: Off, frames_per_second: 30, marks: [{}])", marks.join(", ")),
        );
    }
    let brush = &unit.brush;
    let deepest_m = 0.8 * (brush.radius_m - brush.hub_radius_m);
    let depth = |m: f64| format!("\"{:.0} in\"", m.min(deepest_m) / 0.0254);
    let height = format!("\"{:.0} in\"", brush.height_m() / 0.0254);
    let spinning = matches!(brush.media, Media::Limp { .. });
    let push = |m: f64| {
        format!(
            "PushBack(depth: {}, height: {height}, spinning: {spinning}, force: [\"1 lbf\", \"1 lbf\"]),",
            depth(m)
        )
    };
    add("push-back", 3.0, push(0.15) + &push(0.25));
    let board = depth(0.2);
    add("board power", 2.0, format!("Board(depth: {board}, height: {height}, power: [\"1 hp\", \"1 hp\"])"));
    add("gaps", 1.0, "Gaps(upper: \"1 in\", lower: \"1 in\")".to_owned());
    add("level", 1.0, "Level(top_leans_downstream: [\"0 deg\"])".to_owned());
    if unit.counterweight.is_some() {
        add("weigh", 2.0, "Weight(mass: [\"10 lb\"])".to_owned());
    }
    if unit.cylinder.is_some() {
        add("gauge", 1.0, "Gauge(cap: [\"5 psi\"])".to_owned());
    }
    add("wet drag", 3.0, "WetDrag(load: \"10 lbf\", pull: [\"3 lbf\", \"3 lbf\"])".to_owned());
    add("diameter", 1.0, "Diameter(diameter: [\"40 in\"])".to_owned());
    add("rest", 1.0, "Rest(brush_center: [\"10 in\"])".to_owned());
    let file = scenario.file();
    let measured = file.measured.map_or(file.train.len(), |n| n as usize);
    if let Some(entry) = measured.checked_sub(1).and_then(|i| file.train.get(i)) {
        let name = ron::to_string(&entry.vehicle.to_string()).unwrap_or_default();
        let speed = scenario.conveyor_speed_m_s() / 0.3048 * 60.0;
        let seen = format!("vehicle: {name}, conveyor_speed: \"{speed:.1} ft/min\"");
        add("strip", 3.0, format!("Strip({seen}, width: [\"1 in\", \"1 in\", \"1 in\"])"));
        add("chase", 2.0, format!("Chase({seen}, delay: [\"1 s\", \"1 s\"])"));
    }
    list
}

/// How many values a reading has.
pub(super) fn count(reading: &ReadingFile) -> usize {
    values(reading).len()
}
