//! Results of studies, as their commands write them for programs, turned into tables for the sheet.
//!
//! Nudge, spread, compare and fault documents are one JSON object with a schema name; a sweep is rows as JSON lines or CSV. Everything in them is
//! taken as text or number; nothing of it becomes markup.

use super::numbers;
use super::record::{Record, key_label, label, number, said, text, verdict};
use super::words::{Language, Words, capital, fill};
use super::{AddedCell, Addition};
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::error::Refusal;
use crate::report::rows::read_table;
use crate::study::point::PointResult;
use crate::study::table::Cell;
use crate::units::{UnitSystem, format, minus_signs};
use serde_json::Value;

/// Rows of a nudge table on the sheet.
const MOST_NUDGES: usize = 10;
/// Values of an axis that a table holds.
const MOST_VALUES: usize = 24;
/// Values of the axis that goes across.
const MOST_ACROSS: usize = 12;

/// Reads the result of a study.
///
/// # Errors
/// [`Refusal`] when the text is no result of a study that the sheet can show.
pub fn addition(text: &str, language: Language, units: UnitSystem) -> Result<Addition, Refusal> {
    let words = language.words();
    if let Ok(Value::Object(document)) = serde_json::from_str::<Value>(text) {
        let schema = document.get("schema").and_then(Value::as_str).unwrap_or("");
        let shown = match schema.split('/').nth(1) {
            Some("nudge") => nudge(&document, words, units),
            Some("spread") => spread(&document, words, units),
            Some("compare") => compare(&document, words),
            Some("fault") => super::fault::fault_addition(&document, language),
            Some("sweep") => rows_of(&document).and_then(|rows| sweep(&rows, words, units)),
            // A sweep of one point in JSON lines is one object too.
            None if document.contains_key("row") => sweep(std::slice::from_ref(&document), words, units),
            _ => None,
        };
        return shown
            .ok_or_else(|| unknown(if schema.is_empty() { "JSON without a schema" } else { schema }));
    }
    let rows = if text.trim_start().starts_with('{') { json_lines(text)? } else { csv_rows(text)? };
    sweep(&rows, words, units).ok_or_else(|| unknown("rows without a verdict"))
}

fn unknown(given: &str) -> Refusal {
    Refusal {
        problem: "the sheet cannot show this".to_owned(),
        given: given.chars().take(80).collect(),
        allowed: "what nudge, spread, compare and fault write with --format json, and the rows of sweep"
            .to_owned(),
        advice: "run the study again with --format json".to_owned(),
    }
}

fn json_lines(text: &str) -> Result<Vec<Record>, Refusal> {
    let mut rows = Vec::new();
    for (i, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        match serde_json::from_str::<Value>(line) {
            Ok(Value::Object(row)) => rows.push(row),
            _ => return Err(unknown(&format!("line {}: {line}", i + 1))),
        }
    }
    Ok(rows)
}

fn csv_rows(text: &str) -> Result<Vec<Record>, Refusal> {
    let table = read_table(text)?;
    let cell = |cell: &Cell| match cell {
        Cell::Missing => Value::Null,
        Cell::Count(count) => (*count).into(),
        Cell::Number(number) => (*number).into(),
        Cell::Text(text) => text.as_str().into(),
    };
    let names = || table.columns.iter().map(|c| c.name.clone());
    Ok(table.rows.iter().map(|row| names().zip(row.iter().map(cell)).collect()).collect())
}

fn rows_of(document: &Record) -> Option<Vec<Record>> {
    document.get("rows")?.as_array()?.iter().map(|row| row.as_object().cloned()).collect()
}

pub(super) fn plain(text: impl Into<String>) -> AddedCell {
    AddedCell { text: minus_signs(&text.into()), verdict: None }
}

/// A number of a measure, SI, as it is read; empty when there is none.
pub(super) fn of_measure(measure: Measure, si: Option<f64>, units: UnitSystem) -> String {
    let Some(si) = si else { return String::new() };
    if measure.is_judged() {
        numbers::criterion(measure.name, si, units)
    } else {
        numbers::kept_together(&format(measure.info(), si, units))
    }
}

/// «tail_gap pass to fail; …» in the words of the sheet.
fn turns(text: &str, words: &Words) -> String {
    let one = |turn: &str| {
        let mut parts = turn.split(' ');
        let (key, before, _, after) = (parts.next()?, parts.next()?, parts.next()?, parts.next()?);
        let (before, after) = (verdict(before)?, verdict(after)?);
        let word = |v| super::criteria::word(v, words);
        Some(format!("{}: {} → {}", key_label(key, words), word(before), word(after)))
    };
    text.split("; ").map(|turn| one(turn).unwrap_or_else(|| turn.to_owned())).collect::<Vec<_>>().join("; ")
}

fn nudge(document: &Record, words: &Words, units: UnitSystem) -> Option<Addition> {
    let rows = rows_of(document)?;
    let measure = Measure::from_key(document.get("asked")?.get("measure")?.as_str()?)?;
    let change_key = |row: &Record| {
        let start = format!("{}_change", measure.key());
        row.keys().find(|key| key.starts_with(&start)).cloned()
    };
    let mut names: Vec<String> = Vec::new();
    for row in &rows {
        let name = text(row, "setting");
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let shown: Vec<Vec<AddedCell>> = names
        .iter()
        .take(MOST_NUDGES)
        .map(|name| {
            let at = |steps: f64| {
                rows.iter().find(|r| text(r, "setting") == *name && number(r, "steps") == Some(steps))
            };
            let moved = |steps: f64| {
                let row = at(steps)?;
                let change = of_measure(measure, change_key(row).and_then(|key| number(row, &key)), units);
                let sign = if change.is_empty() || change.starts_with('−') { "" } else { "+" };
                Some(format!("{} ({sign}{change})", text(row, "value")))
            };
            let turned: Vec<String> = [-1.0, 1.0]
                .iter()
                .filter_map(|steps| {
                    let turned = text(at(*steps)?, "turned");
                    let way = if *steps < 0.0 { "−" } else { "+" };
                    (!turned.is_empty()).then(|| format!("{way} {}", turns(&turned, words)))
                })
                .collect();
            let step = at(-1.0).or_else(|| at(1.0)).map(|r| text(r, "step")).unwrap_or_default();
            vec![
                plain(name.clone()),
                plain(step),
                plain(moved(-1.0).unwrap_or_default()),
                plain(moved(1.0).unwrap_or_default()),
                plain(turned.join("; ")),
            ]
        })
        .collect();
    let columns = [words.setting, words.study_step, words.study_down, words.study_up, words.study_turned];
    Some(Addition {
        title: fill(words.study_nudge, &[&label(measure, words)]),
        note: text(document, "title"),
        columns: columns.map(str::to_owned).to_vec(),
        rows: shown,
        picture: None,
    })
}

fn spread(document: &Record, words: &Words, units: UnitSystem) -> Option<Addition> {
    let mut rows = Vec::new();
    for entry in document.get("measures")?.as_array()? {
        let entry = entry.as_object()?;
        let Some(measure) = entry.get("measure").and_then(Value::as_str).and_then(Measure::from_key) else {
            continue;
        };
        let (met, quantiles) = (entry.get("met"), entry.get("quantiles"));
        let quantile = |name: &str| of_measure(measure, quantiles.and_then(|q| q.get(name)?.as_f64()), units);
        let share = |name: &str| met.and_then(|m| m.get(name)?.as_f64());
        // Only what is judged: the sheet is about limits.
        let Some(hit) = share("share") else { continue };
        let percent = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{:.0}", 100.0 * v));
        let between =
            format!("{:.0} % ({}–{} %)", 100.0 * hit, percent(share("low")), percent(share("high")));
        rows.push(vec![
            plain(capital(&label(measure, words))),
            plain(between),
            plain(quantile("p05")),
            plain(quantile("p50")),
            plain(quantile("p95")),
        ]);
    }
    let columns =
        [words.study_measure, words.study_met, words.study_low, words.study_middle, words.study_high];
    let passes = document.get("passes").map(said).unwrap_or_default();
    Some(Addition {
        title: words.study_spread.to_owned(),
        note: format!("{} {}", text(document, "title"), fill(words.study_passes, &[&passes]))
            .trim()
            .to_owned(),
        columns: columns.map(str::to_owned).to_vec(),
        rows,
        picture: None,
    })
}

fn verdict_cell(row: &Record, words: &Words) -> AddedCell {
    let verdict = verdict(&text(row, "verdict"));
    AddedCell { text: verdict.map_or("–", |v| super::criteria::word(v, words)).to_owned(), verdict }
}

fn room(row: &Record) -> String {
    // Of a struck hub a share says nothing.
    let room = number(row, "deciding_room").filter(|room| room.abs() < 1e3);
    room.map_or_else(String::new, |room| {
        let sign = if room < 0.0 { "−" } else { "+" };
        format!("{sign}{:.0}\u{a0}%", 100.0 * room.abs())
    })
}

fn compare(document: &Record, words: &Words) -> Option<Addition> {
    let rows = rows_of(document)?;
    let shown = rows.iter().take(MOST_VALUES).map(|row| {
        vec![
            plain(text(row, "setup")),
            plain(text(row, "vehicle")),
            verdict_cell(row, words),
            plain(capital(&key_label(&text(row, "deciding"), words))),
            plain(room(row)),
        ]
    });
    let columns = [words.study_setup, words.vehicle, words.verdict, words.study_deciding, words.study_room];
    Some(Addition {
        title: words.study_compare.to_owned(),
        note: text(document, "title"),
        columns: columns.map(str::to_owned).to_vec(),
        rows: shown.collect(),
        picture: None,
    })
}

/// Distinct values of a column in the order of the rows.
fn distinct(rows: &[Record], key: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for row in rows {
        let value = text(row, key);
        if !found.contains(&value) {
            found.push(value);
        }
    }
    found
}

/// A sweep: one axis as a list, two as a map with its picture, more as counts over the axis with the fewest values.
fn sweep(rows: &[Record], words: &Words, units: UnitSystem) -> Option<Addition> {
    let first = rows.first()?;
    first.get("verdict")?;
    let known: Vec<String> = PointResult::columns().into_iter().map(|c| c.name).collect();
    let mut axes: Vec<(String, Vec<String>)> = first
        .keys()
        .filter(|key| !["row", "asked"].contains(&key.as_str()) && !known.contains(key))
        .map(|key| (key.clone(), distinct(rows, key)))
        .filter(|(_, values)| values.len() > 1)
        .collect();
    axes.sort_by_key(|(_, values)| values.len());
    let name = super::map::axis_name;
    let mut picture = None;
    let (columns, shown) = match axes.as_slice() {
        [] => (
            vec![words.verdict.to_owned()],
            rows.iter().take(1).map(|r| vec![verdict_cell(r, words)]).collect(),
        ),
        [(axis, _)] => {
            let columns = vec![
                name(axis),
                words.verdict.to_owned(),
                words.study_deciding.to_owned(),
                words.study_room.to_owned(),
            ];
            let line = |row: &Record| {
                vec![
                    plain(text(row, axis)),
                    verdict_cell(row, words),
                    plain(capital(&key_label(&text(row, "deciding"), words))),
                    plain(room(row)),
                ]
            };
            (columns, rows.iter().take(MOST_VALUES).map(line).collect())
        }
        [(across, left), (down, right)] if left.len() <= MOST_ACROSS && right.len() <= MOST_VALUES => {
            picture = super::map::heat_map(rows, (across, left), (down, right), words, units);
            let mut columns = vec![format!("{} \\ {}", name(down), name(across))];
            columns.extend(left.iter().cloned());
            let line = |value: &String| {
                let mut cells = vec![plain(value.clone())];
                for x in left {
                    let row = rows.iter().find(|r| text(r, across) == *x && text(r, down) == *value);
                    cells.push(row.map_or_else(
                        || plain("–"),
                        |row| AddedCell { text: room(row), ..verdict_cell(row, words) },
                    ));
                }
                cells
            };
            (columns, right.iter().map(line).collect::<Vec<_>>())
        }
        [(axis, values), ..] => {
            let columns =
                vec![name(axis), words.pass.to_owned(), words.marginal.to_owned(), words.fail.to_owned()];
            let line = |value: &String| {
                let count = |wanted: Verdict| {
                    let hits = rows
                        .iter()
                        .filter(|r| text(r, axis) == *value && verdict(&text(r, "verdict")) == Some(wanted));
                    AddedCell { text: hits.count().to_string(), verdict: None }
                };
                vec![
                    plain(value.clone()),
                    count(Verdict::Pass),
                    count(Verdict::Marginal),
                    count(Verdict::Fail),
                ]
            };
            (columns, values.iter().take(MOST_VALUES).map(line).collect())
        }
    };
    Some(Addition {
        title: words.study_sweep.to_owned(),
        note: fill(words.study_points, &[&rows.len().to_string()]),
        columns,
        rows: shown,
        picture,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Addition {
        addition(text, Language::English, UnitSystem::Us).unwrap()
    }

    #[test]
    fn verif_a_sweep_over_two_axes_is_a_map() {
        let mut lines = String::new();
        for (i, (speed, psi)) in [(60, 5), (60, 7), (100, 5), (100, 7), (140, 5), (140, 7)].iter().enumerate()
        {
            let verdict = if *speed == 140 { "fail" } else { "pass" };
            lines.push_str(&format!(
                "{{\"row\":{i},\"throughput_veh_per_h\":{speed},\"air_psi\":{psi},\"verdict\":\"{verdict}\",\"deciding\":\"tail_gap\",\"deciding_room\":-0.25}}\n"
            ));
        }
        let map = shown(&lines);
        assert_eq!(map.columns, ["throughput, veh/h \\ air, psi", "5", "7"]);
        assert_eq!(map.rows.len(), 3);
        assert_eq!(map.rows[2][1].verdict, Some(Verdict::Fail));
        assert_eq!(map.rows[0][1].verdict, Some(Verdict::Pass));
        assert_eq!(map.rows[2][1].text, "−25\u{a0}%");
        // The same rows as CSV make the same map.
        let mut csv = String::from("row,throughput_veh_per_h,air_psi,verdict,deciding,deciding_room\n");
        for (i, (speed, psi)) in [(60, 5), (60, 7), (100, 5), (100, 7), (140, 5), (140, 7)].iter().enumerate()
        {
            let verdict = if *speed == 140 { "fail" } else { "pass" };
            csv.push_str(&format!("{i},{speed},{psi},{verdict},tail_gap,-0.25\n"));
        }
        let from_csv = shown(&csv);
        assert_eq!(
            from_csv.rows.iter().map(|r| r[1].verdict).collect::<Vec<_>>(),
            map.rows.iter().map(|r| r[1].verdict).collect::<Vec<_>>()
        );
    }

    #[test]
    fn verif_a_nudge_table_says_what_a_step_does() {
        let text = r#"{"schema":"brusharm/nudge/1","title":"T","asked":{"measure":"tail_gap"},"rows":[
            {"setting":"left.air.cap","step":"1 psi","steps":-1,"value":"6 psi","turned":"tail_gap pass to fail","tail_gap_change_m":0.0254},
            {"setting":"left.air.cap","step":"1 psi","steps":1,"value":"8 psi","turned":null,"tail_gap_change_m":-0.0508}]}"#;
        let table = shown(text);
        let cells: Vec<&str> = table.rows[0].iter().map(|c| c.text.as_str()).collect();
        assert_eq!(
            cells,
            [
                "left.air.cap",
                "1 psi",
                "6 psi (+1.0\u{a0}in)",
                "8 psi (−2.0\u{a0}in)",
                "− gap on the tail: pass → fail"
            ]
        );
    }

    #[test]
    fn verif_what_is_no_study_is_refused() {
        for text in [
            "",
            "hello",
            "{}",
            "[1]",
            "{\"schema\":\"brusharm/pass/1\"}",
            "{\"schema\":\"brusharm/nudge/1\"}",
            "a,b\n1,2\n",
        ] {
            assert!(addition(text, Language::English, UnitSystem::Us).is_err(), "{text}");
        }
    }
}
