//! A calibration: from readings to settings with their uncertainty, and what is to be said about both.

use super::calibration::{Calibration, LeftOpen, OutOfLine};
use super::centre::centre;
use super::conditioned::{KEPT, Open, PassReadings, conditioned};
use super::fit::{Bounds, Judged, Minimum, OPEN, judge, minimise, search};
use super::machine::{Machine, Row};
use super::parameter::{Parameter, Parameters, parameters};
use super::reading_values::{side, values};
use super::readings_file::{OfWord, ReadingFile};
use super::readings_text::ReadingsText;
use crate::arm::Side;
use crate::elementary::Elementary;
use crate::error::{Diagnostic, DiagnosticKind, Diagnostics, Refusal};
use crate::scenario::Scenario;
use crate::units::{number_in, read, value_in};
use nalgebra::{DMatrix, DVector};
use rand::{RngExt, SeedableRng, rngs::ChaCha8Rng};

/// Readings that are out of line are left out one after another, up to so many.
const MOST_LEFT_OUT: usize = 5;
/// Searches from elsewhere.
const OTHER_STARTS: u64 = 2;

impl Row {
    /// How far the value read lies above what it would be, SI, in its standard deviations; where its error is a share of it, in logarithms. What did not arrive
    /// is off only where it would have.
    pub fn off(&self, would_be_si: f64) -> f64 {
        let off = match self.share {
            Some(share) => (self.value.si / would_be_si).log_natural() / share,
            None => (self.value.si - would_be_si) / self.sigma,
        };
        if self.value.at_least { off.max(0.0) } else { off }
    }
}

/// What each value of a file of readings would be on a machine as it stands, before the errors of instruments, SI: readings in the order of the file,
/// repeats one after another. `None` for a reading where the engine has no answer.
pub fn would_read(scenario: &Scenario, text: &ReadingsText) -> Vec<Option<Vec<f64>>> {
    let readings = text.file.readings.iter();
    readings
        .map(|reading| {
            let read_si: Vec<f64> = values(reading).iter().map(|v| v.si).collect();
            super::forward::predicted(scenario, side(&text.file, reading), reading, &read_si)
        })
        .collect()
}

/// Units of a file of readings.
pub fn sides_of(scenario: &Scenario, of: OfWord) -> (&'static str, Vec<Side>) {
    let there = |side: &Side| scenario.file().unit(*side).is_some();
    match of {
        OfWord::Left => ("left", vec![Side::Left]),
        OfWord::Right => ("right", vec![Side::Right]),
        OfWord::Both => ("both", Side::BOTH.into_iter().filter(there).collect()),
    }
}

/// Fits the settings of a scenario to readings.
///
/// # Errors
/// [`Diagnostics`] with the place of what does not fit the scenario, or when the engine has no answer for the machine as it stands.
pub fn calibrate(scenario: &Scenario, text: &ReadingsText) -> Result<Calibration, Diagnostics> {
    let file = &text.file;
    let (prefix, sides) = sides_of(scenario, file.of);
    let base = scenario.with_found(&sides)?;
    fits(&base, text, prefix, &sides)?;
    let Parameters { fitted, sides_differ } = parameters(&base, prefix)?;
    let mut machine = Machine::new(&base, file, fitted);
    let bounds = machine.bounds();
    let unknowns = machine.unknowns();
    let no_fit = |why: &dyn std::fmt::Display| -> Diagnostics {
        let refusal = Refusal {
            problem: format!("no machine was found that goes with these readings: {why}"),
            advice:
                "look for a reading that is far off, or for a part of the machine that is described wrongly"
                    .to_owned(),
            ..Refusal::default()
        };
        Diagnostic::of_file(text.file_name(), refusal).into()
    };
    let mut rng = ChaCha8Rng::seed_from_u64(1);
    let mut starts = vec![vec![0.0; unknowns]];
    for _ in 0..OTHER_STARTS {
        starts.push((0..unknowns).map(|_| rng.random_range(-1.0..1.0)).collect());
    }
    machine.look_at(true);
    let found = search(&machine, &starts, &bounds).map_err(|e| no_fit(&e))?;
    let (agreeing, other_minimum) = ((found.agreeing, found.ended), found.next_chi2);
    let smooth = found.best.at;
    machine.look_at(false);
    let mut minimum = minimise(&machine, &smooth, &bounds).map_err(|e| no_fit(&e))?;
    let mut judged = judged(&machine, &minimum).ok_or_else(|| no_fit(&"its errors cannot be told"))?;
    let mut out_of_line = Vec::new();
    while let Some(place) = judged.worst_out().filter(|_| out_of_line.len() < MOST_LEFT_OUT) {
        let active = machine.active();
        let alike = judged.as_far_out(place);
        for &place in &alike {
            let studentised = -judged.studentised[place].unwrap_or(0.0);
            let (row, unclear) = (active[place], alike.len() > 1);
            machine.leave_out(row);
            out_of_line.push(OutOfLine { row, unclear, studentised, expected_si: 0.0, reads_like: None });
        }
        minimum = minimise(&machine, &minimum.at, &bounds).map_err(|e| no_fit(&e))?;
        judged = self::judged(&machine, &minimum).ok_or_else(|| no_fit(&"its errors cannot be told"))?;
    }
    let of_passes = pass_readings(&machine, &minimum);
    let assumed_si = machine.readings_at(&vec![0.0; machine.unknowns()]);
    let expected_si = machine.readings_at(&minimum.at).ok_or_else(|| no_fit(&"it has no answer"))?;
    for out in &mut out_of_line {
        out.expected_si = expected_si[out.row];
        out.reads_like = reads_like(&machine.rows[out.row], out.expected_si);
    }
    let open = left_open(&machine, &judged, &minimum, &file.readings);
    let count = machine.parameters.len();
    let against_assumed = (0..count)
        .filter(|&k| !minimum.at_bound[k])
        .filter_map(|k| Some((k, judged.against_assumed(k, minimum.at[k], count)?)))
        .collect();
    let at = match centre(&machine, &minimum, &judged) {
        Some((at, covariance)) => {
            judged.covariance = covariance;
            at
        }
        None => minimum.at.clone(),
    };
    let rounded = rounded(&base, &machine.parameters, &at);
    let fitted = base.with(&rounded)?;
    let counted = machine.active();
    let mut draws = Vec::new();
    let mut too_few_draws = None;
    if let Some(read) = of_passes {
        machine.look_at(true);
        let open = known_without_passes(&machine, &smooth, &bounds);
        machine.look_at(false);
        draws = open.map_or(Vec::new(), |open| conditioned(&machine, &open, &read, &minimum.at));
        // A handful tells no interval: then the covariance stands for them, and that is said.
        if (draws.len() as u64) < KEPT {
            too_few_draws = Some(draws.len());
            draws.clear();
        }
    }
    Ok(Calibration {
        scenario: fitted,
        sides_differ,
        again: scenario.file().calibration.is_some(),
        at_bound: minimum.at_bound.clone(),
        least: minimum.at,
        at,
        shared: machine.shared.clone(),
        counted,
        draws,
        too_few_draws,
        rows: machine.rows.clone(),
        parameters: machine.parameters,
        judged,
        expected_si,
        assumed_si,
        out_of_line,
        against_assumed,
        open,
        agreeing,
        other_minimum,
    })
}

/// What was read of whole passes, with the slopes of the fit; `None` where nothing was.
fn pass_readings(machine: &Machine<'_>, minimum: &Minimum) -> Option<PassReadings> {
    let (groups, active) = (machine.of_passes(), machine.active());
    let first = |rows: &Vec<usize>| active.iter().position(|r| *r == rows[0]);
    let places: Vec<usize> = groups.iter().filter_map(first).collect();
    if places.is_empty() {
        return None;
    }
    let rows = |g: usize| groups[g].iter().map(|&r| &machine.rows[r]);
    let number = |g: usize| groups[g].len() as f64;
    let vector = |of: &dyn Fn(usize) -> f64| DVector::from_fn(groups.len(), |g, _| of(g));
    Some(PassReadings {
        read_si: vector(&|g| rows(g).map(|row| row.value.si).sum::<f64>() / number(g)),
        sigma_si: vector(&|g| rows(g).map(|row| row.sigma.powi(2)).sum::<f64>().sqrt() / number(g)),
        fitted_si: DVector::from_vec(machine.told_of_passes(&minimum.at)?),
        slope: DMatrix::from_fn(groups.len(), machine.parameters.len(), |g, k| {
            minimum.jacobian[(places[g], k)] * machine.rows[groups[g][0]].sigma
        }),
    })
}

/// What all readings but those of whole passes, which the problem does not look at, leave open.
fn known_without_passes(machine: &Machine<'_>, start: &[f64], bounds: &Bounds) -> Option<Open> {
    let minimum = minimise(machine, start, bounds).ok()?;
    let judged = judged(machine, &minimum)?;
    let (at, covariance) =
        centre(machine, &minimum, &judged).unwrap_or_else(|| (minimum.at.clone(), judged.covariance.clone()));
    Some(Open { at, covariance })
}

fn judged(machine: &Machine<'_>, minimum: &Minimum) -> Option<Judged> {
    judge(minimum, machine.active().len())
}

/// Fitted values as they are written: five digits, in the unit that stands there.
fn rounded(base: &Scenario, parameters: &[Parameter], at: &[f64]) -> Vec<(String, String)> {
    let text = |p: &Parameter, si: f64| -> Option<String> {
        let setting = base.setting(&p.path).ok()?;
        let info = setting.info()?;
        let now = setting.read(base)?.to_string();
        let unit = read(info, &now).ok()?.unit;
        let value = value_in(info, si, unit.symbol);
        let size = value.abs().max(1e-12).log_10().floor();
        let decimals = (4.0 - size).clamp(0.0, 9.0) as usize;
        Some(format!("{value:.decimals$} {}", unit.symbol).trim_end().to_owned())
    };
    parameters.iter().zip(at).filter_map(|(p, x)| Some((p.path.clone(), text(p, p.value_si(*x))?))).collect()
}

/// The unit in which a reading would fit, if another one does.
pub(super) fn reads_like(row: &Row, expected_si: f64) -> Option<String> {
    let info = row.value.limits.info;
    let given = read(info, &row.value.written).ok()?;
    let number = value_in(info, given.si, given.unit.symbol);
    let near = info.units.iter().filter(|unit| unit.symbol != given.unit.symbol).filter_map(|unit| {
        let si = read(info, &format!("{number} {}", unit.symbol)).ok()?.si;
        let off = (si - expected_si).abs();
        // Within its error, and much nearer than what was written.
        (off < (3.0 * row.sigma).max(0.05 * expected_si.abs())
            && off < 0.3 * (row.value.si - expected_si).abs())
        .then_some((off, unit))
    });
    let (_, unit) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(format!(
        "{} {}",
        number_in(info, read(info, &format!("{number} {}", unit.symbol)).ok()?.si, unit.symbol, 1),
        unit.symbol
    ))
}

/// Whether any reading has a unit of force, mass or pressure, so that not everything can be larger alike.
fn knows_scale(reading: &ReadingFile) -> bool {
    matches!(
        reading,
        ReadingFile::Pull { .. }
            | ReadingFile::PushBack { .. }
            | ReadingFile::Weight { .. }
            | ReadingFile::Gauge { .. }
    )
}

/// A part of a direction smaller than this is not named.
const NAMED: f64 = 0.35;

fn left_open(
    machine: &Machine<'_>,
    judged: &Judged,
    minimum: &Minimum,
    readings: &[ReadingFile],
) -> Vec<LeftOpen> {
    let mut open = Vec::new();
    if !readings.iter().any(knows_scale) {
        open.push(LeftOpen::CommonScale);
    }
    let count = machine.parameters.len();
    // What nothing was learned of by itself is said once, not again in every combination.
    let alone: Vec<usize> = (0..count).filter(|&k| !minimum.at_bound[k] && judged.sd(k) >= OPEN).collect();
    open.extend(alone.iter().map(|&k| LeftOpen::One(k)));
    for direction in &judged.open {
        let mut parts: Vec<usize> = (0..count).filter(|&k| direction.direction[k].abs() > NAMED).collect();
        parts.sort_by(|&a, &b| direction.direction[b].abs().total_cmp(&direction.direction[a].abs()));
        if parts.len() < 2 || parts.iter().any(|k| alone.contains(k)) {
            continue;
        }
        let sign = direction.direction[parts[0]].signum();
        open.push(LeftOpen::Together(
            parts.into_iter().map(|k| (k, direction.direction[k].signum() == sign)).collect(),
        ));
    }
    open
}

/// Whether the readings are of what the scenario has.
pub(super) fn fits(
    base: &Scenario,
    text: &ReadingsText,
    prefix: &str,
    sides: &[Side],
) -> Result<(), Diagnostics> {
    let ron = text.ron();
    let mut found = Diagnostics::default();
    if base.unit_models().iter().all(|u| !sides.contains(&u.side)) || prefix == "both" && sides.len() < 2 {
        let allowed: Vec<&str> = base.unit_models().iter().map(|u| u.side.name()).collect();
        found.push(ron.makes_no_sense(
            "of",
            "the scenario has no such unit",
            &allowed.join(", "),
            "write of: Left or of: Right for a machine with one unit",
        ));
    }
    found.into_result()?;
    let mut found = Diagnostics::default();
    let known: Vec<&str> = base.vehicles().iter().map(|v| &*v.name).collect();
    for (i, reading) in text.file.readings.iter().enumerate() {
        let side = side(&text.file, reading);
        let Some(unit) = base.unit_models().iter().find(|u| u.side == side) else { continue };
        let at = |field: &str| format!("readings[{i}].{field}");
        let mut place = |path: String, m: f64| {
            if super::forward::angle_rad(unit, m).is_none() {
                let (near, far) = (unit.pivot_m.y - unit.body.length_m, unit.pivot_m.y + unit.body.length_m);
                let allowed = format!("{:.1} in to {:.1} in", near / 0.0254, far / 0.0254);
                let advice =
                    "give the distance of the spindle from the lane centreline, + toward this unit's wall";
                found.push(ron.makes_no_sense(&path, "the arm does not reach this place", &allowed, advice));
            }
        };
        match reading {
            ReadingFile::Pull { brush_center, .. } => place(at("brush_center"), brush_center.si()),
            ReadingFile::Swing { from, to, .. } => {
                place(at("from"), from.si());
                place(at("to"), to.si());
            }
            ReadingFile::Film { from, marks, .. } => {
                place(at("from"), from.si());
                for (k, (m, _)) in marks.iter().enumerate() {
                    place(format!("readings[{i}].marks[{k}]"), m.si());
                }
            }
            _ => {}
        }
        let lacking = match reading {
            ReadingFile::Weight { .. } if unit.counterweight.is_none() => Some("counterweight"),
            ReadingFile::Gauge { .. } if unit.cylinder.is_none() => Some("air cylinder"),
            _ => None,
        };
        if let Some(part) = lacking {
            let problem = format!("the machine has no {part}");
            let place = format!("readings[{i}]");
            found.push(ron.makes_no_sense(&place, &problem, "", "leave this reading out"));
        }
        if let ReadingFile::WetDrag { .. } = reading
            && base.foam_sets_friction(side)
        {
            let advice = "state brush.friction in the scenario in place of the foam station's";
            let place = format!("readings[{i}]");
            let problem = "the foam station sets the friction here, so that it is not fitted";
            found.push(ron.makes_no_sense(&place, problem, "", advice));
        }
        if let ReadingFile::Strip { vehicle, .. } | ReadingFile::Chase { vehicle, .. } = reading
            && !known.contains(&vehicle.as_str())
        {
            let problem = "the scenario has no vehicle of this name";
            let advice = "use one of these names";
            found.push(ron.makes_no_sense(&at("vehicle"), problem, &known.join(", "), advice));
        }
        if let ReadingFile::Strip { vehicle, .. } | ReadingFile::Chase { vehicle, .. } = reading
            && known.contains(&vehicle.as_str())
            && super::forward::Seat::of(reading).and_then(|seat| seat.put(base)).is_none()
        {
            let problem = "this vehicle as it sat does not get past the machine, or not at this speed";
            let place = format!("readings[{i}]");
            found.push(ron.makes_no_sense(&place, problem, "", "check how it sat and the speed"));
        }
        if let ReadingFile::PushBack { spinning: false, .. } = reading
            && matches!(unit.brush.media, crate::arm::Media::Limp { .. })
        {
            let problem = "cloth that does not turn hangs, and pushes nothing back";
            let advice = "press the turning brush into a guarded board with nobody in reach, or read the spindle's power there";
            found.push(ron.makes_no_sense(&at("spinning"), problem, "true", advice));
        }
        let values: Vec<f64> = values(reading).iter().map(|v| v.si).collect();
        if found.0.is_empty() && super::forward::predicted(base, side, reading, &values).is_none() {
            let refusal = Refusal {
                problem: "the machine as described gives no such reading".to_owned(),
                advice: "check the reading, or the set-up in the scenario".to_owned(),
                ..Refusal::default()
            };
            found.push(ron.at(DiagnosticKind::Sense, &format!("readings[{i}]"), refusal));
        }
    }
    found.into_result()
}
