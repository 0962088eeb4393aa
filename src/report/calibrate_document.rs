//! A calibration and its intervals as JSON, SI.

use super::calibrate_text::{is_open, reading_name};
use crate::calibrate::{Advice, Calibration, Intervals, LeftOpen, ReadingFile};
use serde_json::{Value, json};

/// Schema of a calibration.
pub const CALIBRATE_SCHEMA: &str = "brusharm/calibrate/1";

/// The calibration as data. `asked` says of what.
pub fn calibrate_document(
    title: &str,
    asked: Value,
    calibration: &Calibration,
    readings: &[ReadingFile],
) -> Value {
    let judged = &calibration.judged;
    let path = |k: usize| calibration.parameters[k].path.as_str();
    let parameters: Vec<Value> = calibration
        .parameters
        .iter()
        .enumerate()
        .map(|(k, p)| {
            let (value, sd) = calibration.value(k);
            json!({
                "setting": p.path,
                "by": p.by,
                "assumed": p.assumed_si,
                "assumed_sd": p.sd,
                "stated": p.stated,
                "value": value,
                "sd": sd,
                "left": calibration.left(k),
                "at_bound": calibration.at_bound[k],
                "learned": !is_open(calibration.left(k)),
            })
        })
        .collect();
    let rows: Vec<Value> = calibration
        .rows
        .iter()
        .enumerate()
        .map(|(r, row)| {
            let place = calibration.counted.iter().position(|&counted| counted == r);
            json!({
                "reading": row.reading + 1,
                "kind": readings.get(row.reading).map(reading_name),
                "side": row.side.name(),
                "read": row.value.si,
                "at_least": row.value.at_least,
                "sd": row.sigma,
                "unit": row.value.limits.info.si_unit,
                "expected": calibration.expected_si[r],
                "counted": place.is_some(),
                "leverage": place.map(|place| judged.leverage[place]),
                "studentised": place.and_then(|place| judged.studentised[place]),
                "cannot_be_checked": place.map(|place| judged.is_uncheckable(place)),
            })
        })
        .collect();
    let out: Vec<Value> = calibration
        .out_of_line
        .iter()
        .map(|out| {
            json!({
                "row": out.row,
                "another_fits_as_badly": out.unclear,
                "reading": calibration.rows[out.row].reading + 1,
                "studentised": out.studentised,
                "expected": out.expected_si,
                "reads_like": out.reads_like,
            })
        })
        .collect();
    let open: Vec<Value> = calibration
        .open
        .iter()
        .map(|open| match open {
            LeftOpen::CommonScale => json!({ "what": "all masses and forces together" }),
            LeftOpen::One(k) => json!({ "what": "one setting", "settings": [path(*k)] }),
            LeftOpen::Together(parts) => json!({
                "what": "settings together",
                "settings": parts.iter().map(|(k, _)| path(*k)).collect::<Vec<_>>(),
                "same_way": parts.iter().map(|(_, with)| *with).collect::<Vec<_>>(),
            }),
        })
        .collect();
    let against: Vec<Value> = calibration
        .against_assumed
        .iter()
        .map(|(k, z)| json!({ "setting": path(*k), "standard_deviations": z }))
        .collect();
    let shared: Vec<Value> = calibration
        .shared
        .iter()
        .zip(&calibration.at[calibration.parameters.len()..])
        .map(|(name, x)| json!({ "name": name, "in_assumed_sd": x }))
        .collect();
    let count = calibration.parameters.len();
    let correlation: Vec<Vec<f64>> = (0..count)
        .map(|i| (0..count).map(|k| if i == k { 1.0 } else { judged.correlation(i, k) }).collect())
        .collect();
    json!({
        "schema": CALIBRATE_SCHEMA,
        "brusharm": env!("CARGO_PKG_VERSION"),
        "title": title,
        "asked": asked,
        "chi2": judged.chi2,
        "degrees_of_freedom": judged.degrees,
        "misfit_chance": judged.misfit_chance,
        "parameters": parameters,
        "correlation": correlation,
        "shared_errors": shared,
        "rows": rows,
        "out_of_line": out,
        "against_assumed": against,
        "left_open": open,
        "searches": calibration.agreeing.1,
        "searches_agreeing": calibration.agreeing.0,
        "other_minimum_chi2": calibration.other_minimum,
        "machines_kept": calibration.draws.len(),
        "machines_too_few": calibration.too_few_draws,
    })
}

/// Intervals as data.
pub fn intervals_document(intervals: &Intervals) -> Value {
    let measures: Vec<Value> = intervals
        .measures
        .iter()
        .map(|line| {
            json!({
                "measure": line.measure.key(),
                "unit": line.measure.info().si_unit,
                "value": line.value,
                "low": line.quantiles.map(|q| q[0]),
                "middle": line.quantiles.map(|q| q[1]),
                "high": line.quantiles.map(|q| q[2]),
                "mean": line.mean,
                "draws_with_value": line.values,
                "met": line.met,
            })
        })
        .collect();
    json!({
        "confidence": 0.95,
        "calibrated": intervals.calibrated,
        "note": intervals.note,
        "draws": intervals.draws,
        "failed": intervals.failed,
        "reason": intervals.reason,
        "all_met": intervals.all_met,
        "measures": measures,
    })
}

/// Advice as data.
pub fn advice_document(advice: &Advice) -> Value {
    let tests: Vec<Value> = advice
        .worths
        .iter()
        .map(|worth| {
            json!({
                "test": worth.test.key,
                "minutes": worth.test.minutes,
                "left": worth.left,
                "variance_taken_per_minute": worth.per_minute,
            })
        })
        .collect();
    json!({
        "measure": advice.measure.key(),
        "unit": advice.measure.info().si_unit,
        "mean": advice.spread_si.map(|s| s.0),
        "sd": advice.spread_si.map(|s| s.1),
        "draws": advice.draws,
        "tests": tests,
    })
}
