//! Readings of a machine that is known: drawn from what is assumed, read with the errors of the instruments. What a calibration is tried on.

use super::machine::Machine;
use super::parameter::{machine_at, parameters};
use super::readings_file::ReadingFile;
use super::readings_text::ReadingsText;
use super::result::sides_of;
use crate::elementary::Elementary;
use crate::scenario::Scenario;
use crate::units::{Dimension, Quantity};

/// A machine that is known, and what was read of it.
#[derive(Debug, Clone)]
pub struct Simulated {
    /// The machine.
    pub machine: Scenario,
    /// Its parameters, in standard deviations from what is assumed, in the order in which a calibration has them.
    pub truth: Vec<f64>,
    /// The readings.
    pub readings: ReadingsText,
}

/// Draws a machine from what is assumed of a scenario and reads it as a file of readings does; the values in that file are written over. `normal` gives
/// independent standard normal numbers. `None` where the engine has no answer for that machine.
pub fn simulated(
    scenario: &Scenario,
    text: &ReadingsText,
    normal: &mut dyn FnMut() -> f64,
) -> Option<Simulated> {
    let (prefix, sides) = sides_of(scenario, text.file.of);
    let base = scenario.with_found(&sides).ok()?;
    let list = parameters(&base, prefix).ok()?.fitted;
    let truth: Vec<f64> = list
        .iter()
        .map(|p| {
            loop {
                let x = normal();
                if x > p.low && x < p.high {
                    break x;
                }
            }
        })
        .collect();
    let at_truth = machine_at(&base, &list, &truth)?;
    let problem = Machine::new(&base, &text.file, list.clone());
    let shared: Vec<f64> = problem.shared.iter().map(|_| normal()).collect();
    let told = problem.readings_at(&truth.iter().chain(&shared).copied().collect::<Vec<f64>>())?;
    let mut readings = text.clone();
    let mut values: Vec<Vec<f64>> = vec![Vec::new(); readings.file.readings.len()];
    for (row, told) in problem.rows.iter().zip(told) {
        // Shared errors are in what is told already.
        let noise = normal();
        if !row.value.at_least {
            let shown = match row.share {
                Some(share) => told * (share * noise).exponential(),
                None => told + row.sigma * noise,
            };
            // No tape shows less than nothing: what cannot be written is not read.
            let (least, most) = row.value.limits.si();
            values[row.reading].push(shown.clamp(least, most));
        }
    }
    for (reading, values) in readings.file.readings.iter_mut().zip(&values) {
        set_values(reading, values)?;
    }
    Some(Simulated { machine: at_truth, truth, readings })
}

fn set<D: Dimension>(list: &mut [Quantity<D>], values_si: &[f64]) -> Option<()> {
    for (quantity, si) in list.iter_mut().zip(values_si) {
        *quantity = Quantity::try_from_si(*si).ok()?;
    }
    Some(())
}

/// Writes other values into a reading, SI, those that only say «more than this» left as they are.
pub fn set_values(reading: &mut ReadingFile, values_si: &[f64]) -> Option<()> {
    match reading {
        ReadingFile::Pull { force, .. } | ReadingFile::PushBack { force, .. } => set(force, values_si),
        ReadingFile::Board { power, current, volts, power_factor, .. } => {
            let factor = power_factor.as_ref().map_or(super::readings_file::POWER_FACTOR, |f| f.si());
            let per_ampere = 3.0_f64.sqrt() * volts.as_ref().map_or(0.0, |v| v.si()) * factor;
            let (watts, amperes) = values_si.split_at(power.len().min(values_si.len()));
            set(power, watts)?;
            set(current, &amperes.iter().map(|w| w / per_ampere).collect::<Vec<f64>>())
        }
        ReadingFile::Swing { time, .. } => set(time, values_si),
        ReadingFile::Film { frames_per_second, marks, .. } => {
            for ((_, frame), si) in marks.iter_mut().zip(values_si) {
                *frame = si * *frames_per_second;
            }
            Some(())
        }
        ReadingFile::Gaps { upper, lower, .. } => {
            *lower = Quantity::try_from_si(upper.si() - values_si.first()?).ok()?;
            Some(())
        }
        ReadingFile::Level { top_leans_downstream, .. } => set(top_leans_downstream, values_si),
        ReadingFile::Weight { mass, .. } => set(mass, values_si),
        ReadingFile::Gauge { cap, .. } => set(cap, values_si),
        ReadingFile::WetDrag { pull, .. } => set(pull, values_si),
        ReadingFile::Diameter { diameter, .. } => set(diameter, values_si),
        ReadingFile::Rest { brush_center, .. } => set(brush_center, values_si),
        ReadingFile::Strip { width, .. } => set(width, values_si),
        ReadingFile::Chase { delay, .. } => set(delay, values_si),
    }
}
