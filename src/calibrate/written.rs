//! The scenario as a calibration leaves it: comments kept, each fitted value with where it comes from beside it, and how far all may be off together.

use super::calibration::{Calibration, spread_si};
use super::readings_file::ReadingFile;
use crate::error::{Diagnostic, Diagnostics, Refusal};
use crate::scenario::calibration::OffBy;
use crate::scenario::source_map::{SourceMap, set_value};
use crate::units::{UnitSystem, format};

/// Words with which a note about where a value comes from begins.
const BEGINS: [&str; 3] = ["/* fitted", "/* measured", "/* assumed"];

/// The text of the scenario with the fitted values. `note` says what it was fitted to.
///
/// # Errors
/// [`Diagnostics`] when a value has no place in the text.
pub fn written(
    calibration: &Calibration,
    readings: &[ReadingFile],
    note: &str,
) -> Result<String, Diagnostics> {
    let whole = calibration.scenario.text()?;
    let body = whole.strip_prefix('\u{feff}').unwrap_or(&whole);
    let no_place = |why: String| -> Diagnostics {
        let advice = "write the change into the file by hand".to_owned();
        let refusal = Refusal { problem: why, advice, ..Refusal::default() };
        Diagnostic::of_file(calibration.scenario.file_name(), refusal).into()
    };
    let part = part(calibration, note);
    let mut text = set_value(body, "calibration", &part).map_err(|e| no_place(e.to_string()))?;
    for (k, parameter) in calibration.parameters.iter().enumerate() {
        for path in places(&parameter.path) {
            text = beside(&text, &path, &provenance(calibration, k, readings));
        }
    }
    Ok(format!("{}{text}", &whole[..whole.len() - body.len()]))
}

/// Where a setting stands in the text.
fn places(path: &str) -> Vec<String> {
    match path.strip_prefix("both.") {
        Some(rest) => vec![format!("left.{rest}"), format!("right.{rest}")],
        None => vec![path.to_owned()],
    }
}

/// The text with a note right after the value at a path, in place of the note that an earlier calibration left.
fn beside(text: &str, path: &str, note: &str) -> String {
    let Ok(map) = SourceMap::new(text) else { return text.to_owned() };
    let by_tape = path.replace("bearings.lower_offset", "bearings.lower_gap");
    let Ok(place) = map.find(path).or_else(|_| map.find(&by_tape)) else { return text.to_owned() };
    let end = place.inner.end;
    let rest = &text[end..];
    let lead = rest.len() - rest.trim_start_matches(' ').len();
    let old = BEGINS.iter().any(|begins| rest[lead..].starts_with(begins));
    let after = match (old, rest.find("*/")) {
        (true, Some(close)) => end + close + 2,
        _ => end,
    };
    format!("{} {note}{}", &text[..end], &text[after..])
}

/// Where a value comes from, as a comment.
fn provenance(calibration: &Calibration, k: usize, readings: &[ReadingFile]) -> String {
    let p = &calibration.parameters[k];
    let (value, sd) = calibration.value(k);
    let amount = |at_si: f64, left: f64| -> String {
        let Ok(setting) = calibration.scenario.setting(&p.path) else { return String::new() };
        setting
            .info()
            .map_or(String::new(), |info| plain(&format(info, spread_si(p, at_si, left), UnitSystem::Us)))
    };
    let measured = readings.iter().any(|r| measures(r, &p.path));
    match (sd, calibration.left(k)) {
        (None, _) => "/* fitted: at the end of its range, how far off is not known */".to_owned(),
        (Some(_), Some(left)) if left >= super::fit::OPEN => {
            format!("/* assumed ± {}: the readings do not tell */", amount(value, left))
        }
        (Some(_), left) => {
            let word = if measured { "measured and fitted" } else { "fitted" };
            let word = if measured {
                format!("measured, {}", word.trim_start_matches("measured and "))
            } else {
                word.to_owned()
            };
            let left = left.unwrap_or(1.0);
            format!("/* {word} ± {}; assumed before: ± {} */", amount(value, left), amount(p.assumed_si, 1.0))
        }
    }
}

/// No minus signs or blanks that a file need not have.
fn plain(text: &str) -> String {
    text.replace('−', "-")
}

/// Whether a reading is of a setting itself.
fn measures(reading: &ReadingFile, path: &str) -> bool {
    let of = match reading {
        ReadingFile::Weight { .. } => ".counterweight.mass",
        ReadingFile::Gauge { .. } => ".air.cap",
        ReadingFile::Diameter { .. } => ".found.radius",
        ReadingFile::Gaps { .. } => ".bearings.lower_offset",
        ReadingFile::Level { .. } => ".bearings.lower_along",
        ReadingFile::WetDrag { .. } => ".brush.friction",
        _ => return false,
    };
    path.ends_with(of)
}

/// The part `calibration`.
fn part(calibration: &Calibration, note: &str) -> String {
    let quoted = ron::to_string(note).unwrap_or_else(|_| format!("{note:?}"));
    let mut out = format!("(\n        note: {quoted},\n        parameters: [\n");
    for (k, p) in calibration.parameters.iter().enumerate() {
        let by = match p.by {
            OffBy::Factor => "Factor",
            OffBy::Amount => "Amount",
        };
        let sd = p.sd * calibration.left(k).unwrap_or(0.0);
        out.push_str(&format!("            (setting: \"{}\", by: {by}, sd: {sd:e}),\n", p.path));
    }
    out.push_str("        ],\n        // Correlations below the diagonal, a row for each parameter after the first.\n        correlation: [\n");
    for i in 1..calibration.parameters.len() {
        let row: Vec<String> =
            (0..i).map(|k| format!("{:.9}", calibration.judged.correlation(i, k))).collect();
        out.push_str(&format!("            [{}],\n", row.join(", ")));
    }
    out.push_str("        ],\n");
    if !calibration.draws.is_empty() {
        out.push_str("        // Machines that go with what was read of whole passes: how far each parameter of each is off.\n        draws: [\n");
        for draw in &calibration.draws {
            let row: Vec<String> =
                calibration.deviations(draw).iter().map(|by| format!("{by:.3e}")).collect();
            out.push_str(&format!("            [{}],\n", row.join(", ")));
        }
        out.push_str("        ],\n");
    }
    out.push_str("    )");
    out
}
