//! A comparison as a person reads it: verdicts first, then the criteria with differences, then what else changed.

use super::measures::{EDGE, change, edge_note, limit, said, said_reading, unit};
use super::table::TextTable;
use super::words::{NONE, Words, capital, heading, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::coverage::Verdict;
use crate::coverage::measure::Reading;
use crate::study::compare::{ComparedMeasure, ComparedVehicle, Comparison};
use crate::units::UnitSystem;

/// The comparison as text.
pub fn compare_text(comparison: &Comparison, units: UnitSystem, ink: Ink) -> String {
    let words = Words::new(units);
    let mut out = String::new();
    let letter = |i: usize| char::from(b'A' + (i % 26) as u8).to_string();
    for (i, name) in comparison.names.iter().enumerate() {
        out.push_str(&wrap(&format!("{}: {name}", letter(i)), TEXT_WIDTH, 3));
    }
    for vehicle in &comparison.vehicles {
        out.push('\n');
        out.push_str(&heading(&capital(&vehicle.vehicle), ink));
        for (i, result) in vehicle.results.iter().enumerate() {
            let text = match (result.reason(), result.deciding()) {
                (Some(reason), _) => format!("{} could not be computed: {reason}.", letter(i)),
                (None, None) => format!("{} is not judged.", letter(i)),
                (None, Some((measure, reading))) => {
                    let verb = match reading.verdict {
                        Some(Verdict::Fail) => "fails",
                        Some(Verdict::Marginal) => "is marginal",
                        _ => "passes",
                    };
                    let value = said_reading(words, measure, reading);
                    let what = if verb == "passes" { "tightest is " } else { "" };
                    format!(
                        "{} {verb}: {what}{}, {value} ({}).",
                        letter(i),
                        measure.label(),
                        limit(words, measure, reading)
                    )
                }
            };
            out.push_str(&wrap(&text, TEXT_WIDTH, 3));
        }
        let table = table(vehicle, words, &letter);
        out.push_str(&table);
        out.push_str(&edge_note(&table));
        for i in 1..comparison.names.len() {
            out.push_str(&turned(vehicle, i, &letter));
        }
    }
    out
}

fn table(vehicle: &ComparedVehicle, words: Words, letter: &dyn Fn(usize) -> String) -> String {
    let count = vehicle.results.len();
    let mut head = vec!["Number".to_owned(), format!(">{}", letter(0))];
    head.extend(
        (1..count).flat_map(|i| [format!(">{}", letter(i)), format!(">{}−{}", letter(i), letter(0))]),
    );
    // Each set-up keeps its own numbers beside those of the first.
    let mut table = TextTable::new(&head).leading(2);
    let mut any_turned = false;
    for measure in vehicle.measures() {
        any_turned |= (1..count).any(|i| measure.turned(i).is_some());
        table.row(&row(&measure, count, words));
    }
    let mut text = table.text();
    if any_turned {
        text.push_str("* the verdict changes\n");
    }
    text
}

/// Text without its unit, which the first column says.
fn bare(text: &str, unit: &str) -> String {
    text.strip_suffix(unit).map_or(text, str::trim_end).to_owned()
}

fn row(m: &ComparedMeasure, count: usize, words: Words) -> Vec<String> {
    let unit = unit(words, m.measure);
    let said = |si: Option<f64>| bare(&said(words, m.measure, si), unit);
    let mark = |r: &Reading| if r.edge.is_some() { EDGE } else { "" };
    let value = |i: usize| m.readings[i].map_or_else(|| NONE.to_owned(), |r| said(r.value) + mark(&r));
    let limited = m.readings.iter().flatten().find_map(|r| Some((r.at_least, r.limit?)));
    let limit = limited.map_or_else(String::new, |(at_least, limit)| {
        let sign = if at_least { "≥" } else { "≤" };
        format!(" {sign} {}", said(Some(limit)))
    });
    let mut row = vec![format!("{}, {unit}{limit}", m.measure.label()), value(0)];
    for i in 1..count {
        let mark = if m.turned(i).is_some() { "*" } else { "" };
        let change = bare(&change(words, m.measure, m.difference(i)), unit);
        row.extend([value(i), format!("{change}{mark}")]);
    }
    row
}

fn turned(vehicle: &ComparedVehicle, i: usize, letter: &dyn Fn(usize) -> String) -> String {
    let turned: Vec<String> = vehicle
        .measures()
        .iter()
        .filter_map(|m| {
            let (before, after) = m.turned(i)?;
            Some(format!("{} goes from {} to {}", m.measure.label(), before.name(), after.name()))
        })
        .collect();
    if turned.is_empty() {
        return format!("From {} to {} no verdict changes.\n", letter(0), letter(i));
    }
    wrap(&format!("From {} to {}: {}.", letter(0), letter(i), turned.join("; ")), TEXT_WIDTH, 0)
}
