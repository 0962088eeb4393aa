//! A comparison as a person reads it: verdicts first, then the criteria with differences, then what else changed.

use super::measures::{change, limit, said};
use super::table::TextTable;
use super::words::{NONE, Words, capital, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::coverage::Verdict;
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
        out.push_str(&format!("\n{}\n", ink.strong(&capital(&vehicle.vehicle))));
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
                    let value = said(words, measure, reading.value);
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
        out.push_str(&table(vehicle, words, &letter));
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
        (1..count).flat_map(|i| {
            [format!(">{}", letter(i)), format!(">{}−{}", letter(i), letter(0)), String::new()]
        }),
    );
    head.push("Limit".to_owned());
    let mut table = TextTable::new(&head);
    for measure in vehicle.measures() {
        table.row(&row(&measure, count, words));
    }
    table.text()
}

fn row(m: &ComparedMeasure, count: usize, words: Words) -> Vec<String> {
    let value = |i: usize| m.readings[i].map_or_else(|| NONE.to_owned(), |r| said(words, m.measure, r.value));
    let mut row = vec![m.measure.label(), value(0)];
    for i in 1..count {
        let sign = match m.turned(i) {
            Some((before, after)) if after > before => "worse",
            Some(_) => "better",
            None => "",
        };
        row.extend([value(i), change(words, m.measure, m.difference(i)), sign.to_owned()]);
    }
    let limited = m.readings.iter().flatten().find(|r| r.limit.is_some());
    row.push(limited.map_or_else(String::new, |r| limit(words, m.measure, r)));
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
