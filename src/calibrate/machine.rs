//! Readings of a machine as a least-squares problem: each reading over its standard deviation, each parameter and each shared error of an instrument
//! over what was assumed about it.
//!
//! A reading that only says «more than this» has the residual √(−2 ln Φ(z)), z = (predicted − read)/σ, whose square is −2 ln of its chance: it pulls as
//! hard as a measured one while the prediction lies below, and not at all far above.

use super::SMOOTH_STEP;
use super::fit::{Bounds, Problem, differences, ln_normal_below};
use super::forward::{Seat, is_smooth, of_pass, passed, predicted, push_back_n};
use super::parameter::{Parameter, machine_at};
use super::reading_values::{Value, instrument, side, values};
use super::readings_file::{InstrumentWord, ReadingFile, ReadingsFile};
use crate::arm::Side;
use crate::elementary::Elementary;
use crate::scenario::Scenario;
use crate::study::point::PointResult;
use crate::units::read;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;
use std::sync::Mutex;

/// For jagged readings a parameter is moved by half of what was assumed about it to either side: closer, the slope is that of one tooth.
const JAGGED_STEP: f64 = 0.5;

/// Most steps of a search among jagged readings. It begins where the smooth ones end.
const MOST_JAGGED_STEPS: usize = 12;

/// Slopes taken over half of what was assumed hold for this much of it around: nearer, they are not taken again.
const JAGGED_AGAIN: f64 = 0.25;

/// An error that readings share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shared {
    /// They are all too high by this share, for each standard deviation.
    Gain(f64),
    /// They are all too high by this amount, SI, for each standard deviation.
    Zero(f64),
}

/// One value that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Number of its reading in the file, from 0.
    pub reading: usize,
    /// The unit it is of.
    pub side: Side,
    /// What was read.
    pub value: Value,
    /// One standard deviation, SI.
    pub sigma: f64,
    /// The same as a share, where it grows with what is read; the fit then is of logarithms, else low values would weigh more than high ones.
    pub share: Option<f64>,
    /// What it shares with others: numbers of the shared errors, and how they act.
    pub shared: Vec<(usize, Shared)>,
}

/// Readings of a machine.
#[derive(Debug)]
pub struct Machine<'a> {
    scenario: &'a Scenario,
    readings: &'a [ReadingFile],
    /// What is fitted.
    pub parameters: Vec<Parameter>,
    /// Names of the shared errors.
    pub shared: Vec<String>,
    /// Every value that was read.
    pub rows: Vec<Row>,
    /// The scenario with the vehicle of each reading of a pass as it was seen, once for each way; and which of them a reading is of.
    seats: Vec<(Seat, Option<Scenario>)>,
    seat_of: Vec<Option<usize>>,
    /// Readings that are looked at.
    looked_at: Vec<bool>,
    /// Rows that count.
    counted: Vec<bool>,
    last: Mutex<Option<(Vec<f64>, Vec<f64>)>>,
    /// Slopes of jagged readings, and where they were taken.
    jagged: Mutex<Option<Slopes>>,
}

/// Where they were taken, and the slope of every row by each parameter.
type Slopes = (Vec<f64>, Vec<DVector<f64>>);

/// One standard deviation of one reading, SI, where no instrument says otherwise (common practice, no source, but for hand timing: American Journal of
/// Physics 87:110, 2019; and gauges of class 1.6 on 15 psi: EN 837-1 from memory).
fn usual_sigma(reading: &ReadingFile, value: &Value) -> f64 {
    match reading {
        ReadingFile::Pull { walk: Some(_), .. } => 1.0,
        ReadingFile::Pull { .. } | ReadingFile::PushBack { .. } => 0.6,
        ReadingFile::Swing { .. } => 0.10,
        ReadingFile::Film { .. } => 0.02,
        ReadingFile::Board { .. } | ReadingFile::WetDrag { .. } => {
            value.si.abs() * usual_share(reading).unwrap_or(0.0)
        }
        ReadingFile::Gaps { .. } => 0.000_65,
        ReadingFile::Level { .. } => 0.05_f64.to_radians(),
        ReadingFile::Weight { .. } => 0.1,
        ReadingFile::Gauge { .. } => 965.0,
        ReadingFile::Diameter { .. } => 0.012,
        ReadingFile::Rest { .. } => 0.005,
        ReadingFile::Strip { .. } => 0.015,
        ReadingFile::Chase { .. } => 0.04,
    }
}

/// The same as a share of what is read, where it is one.
fn usual_share(reading: &ReadingFile) -> Option<f64> {
    match reading {
        ReadingFile::Board { .. } => Some(0.05),
        ReadingFile::WetDrag { .. } => Some(0.1),
        _ => None,
    }
}

/// How far the depth of a push-back test is off, m.
const DEPTH_SIGMA_M: f64 = 0.003;
/// Gain of a spring scale nobody says more about.
const SCALE_GAIN: f64 = 0.02;
/// How far the law of the media is off at one depth: strips computed as chains lie within 20 to 25 % of it (`arm/media.rs`).
const LAW_GAIN: f64 = 0.10;
/// How far the efficiency of a motor and its gears is off.
const MOTOR_GAIN: f64 = 0.10;
/// Start of a film that is off for all its marks, s.
const FILM_START_S: f64 = 0.02;

impl<'a> Machine<'a> {
    /// The problem of a file of readings and a scenario that states what is found.
    pub fn new(scenario: &'a Scenario, file: &'a ReadingsFile, parameters: Vec<Parameter>) -> Machine<'a> {
        let mut shared: Vec<String> = Vec::new();
        let mut number = |name: String| {
            shared.iter().position(|known| *known == name).unwrap_or_else(|| {
                shared.push(name);
                shared.len() - 1
            })
        };
        let mut rows = Vec::new();
        for (i, reading) in file.readings.iter().enumerate() {
            let side = side(file, reading);
            let by = instrument(reading).and_then(|name| file.instruments.iter().find(|k| k.name == name));
            let amount = |text: &Option<String>, info| {
                text.as_ref().and_then(|text| read(info, text).ok()).map(|reading| reading.si)
            };
            let resolution = by.and_then(|by| amount(&by.resolution, by.kind.info()));
            let stated = by.and_then(|by| Some((by.kind, amount(&by.shared, by.kind.shared_info()?)?)));
            let name = by.map_or("spring scale".to_owned(), |by| by.name.clone());
            let mut share: Vec<(usize, Shared)> = Vec::new();
            match (reading, stated) {
                (ReadingFile::Pull { .. } | ReadingFile::PushBack { .. }, stated) => {
                    let sd = match stated {
                        Some((InstrumentWord::Scale, sd)) => sd,
                        _ => SCALE_GAIN,
                    };
                    share.push((number(format!("gain of «{name}»")), Shared::Gain(sd)));
                }
                (ReadingFile::Film { .. }, stated) => {
                    let sd = stated.map_or(FILM_START_S, |(_, sd)| sd);
                    share.push((number(format!("start of film, reading {}", i + 1)), Shared::Zero(sd)));
                }
                (ReadingFile::Gauge { .. }, Some((InstrumentWord::Gauge, sd))) => {
                    share.push((number(format!("zero of «{name}»")), Shared::Zero(sd)));
                }
                (ReadingFile::Board { .. }, _) => {
                    share.push((
                        number("efficiency of the spindle motor".to_owned()),
                        Shared::Gain(MOTOR_GAIN),
                    ));
                }
                _ => {}
            }
            if let ReadingFile::PushBack { depth, .. } | ReadingFile::Board { depth, .. } = reading {
                let what = format!("law of the media at {}", depth.written());
                share.push((number(what), Shared::Gain(LAW_GAIN)));
            }
            for value in values(reading) {
                let mut sigma = resolution.unwrap_or_else(|| usual_sigma(reading, &value));
                if let ReadingFile::PushBack { depth, height, spinning, .. } = reading
                    && let Some(unit) = scenario.unit_models().iter().find(|u| u.side == side)
                {
                    let force = |m: f64| push_back_n(unit, m, height.si(), *spinning);
                    let more = force(depth.si() + DEPTH_SIGMA_M) - force(depth.si());
                    sigma = sigma.hypotenuse(more);
                }
                let of_value = usual_share(reading);
                rows.push(Row { reading: i, side, value, sigma, share: of_value, shared: share.clone() });
            }
        }
        let mut seats: Vec<(Seat, Option<Scenario>)> = Vec::new();
        let seat_of = file.readings.iter().map(|reading| {
            let seat = Seat::of(reading)?;
            Some(seats.iter().position(|(known, _)| *known == seat).unwrap_or_else(|| {
                let put = seat.put(scenario);
                seats.push((seat, put));
                seats.len() - 1
            }))
        });
        let seat_of = seat_of.collect();
        Machine {
            seats,
            seat_of,
            scenario,
            readings: &file.readings,
            parameters,
            shared,
            looked_at: vec![true; file.readings.len()],
            counted: vec![true; rows.len()],
            rows,
            last: Mutex::new(None),
            jagged: Mutex::new(None),
        }
    }

    /// How many unknowns there are: parameters, then shared errors.
    pub fn unknowns(&self) -> usize {
        self.parameters.len() + self.shared.len()
    }

    /// How far each unknown may go.
    pub fn bounds(&self) -> Bounds {
        let shared = self.shared.len();
        let mut bounds = Bounds::none(0);
        bounds.low.extend(self.parameters.iter().map(|p| p.low));
        bounds.high.extend(self.parameters.iter().map(|p| p.high));
        bounds.low.extend(std::iter::repeat_n(-8.0, shared));
        bounds.high.extend(std::iter::repeat_n(8.0, shared));
        bounds
    }

    /// Looks at readings that follow the parameters smoothly only, or at all of them.
    pub fn look_at(&mut self, smooth_only: bool) {
        self.looked_at = self.readings.iter().map(|r| !smooth_only || is_smooth(r)).collect();
        self.forget();
    }

    /// Leaves a value out of the fit.
    pub fn leave_out(&mut self, row: usize) {
        self.counted[row] = false;
        self.forget();
    }

    fn forget(&self) {
        if let Ok(mut last) = self.last.lock() {
            *last = None;
        }
    }

    fn has_jagged(&self) -> bool {
        self.readings.iter().zip(&self.looked_at).any(|(r, looked_at)| *looked_at && !is_smooth(r))
    }

    /// The rows of the problem: those that count, of readings that are looked at.
    pub fn active(&self) -> Vec<usize> {
        (0..self.rows.len()).filter(|&r| self.counted[r] && self.looked_at[self.rows[r].reading]).collect()
    }

    /// What the readings would be, for every row; 0 for readings that are not looked at.
    fn told(&self, parameters: &[f64], which: &dyn Fn(&ReadingFile) -> bool) -> Option<Vec<f64>> {
        let mut machine = None;
        let mut passes: Vec<Option<PointResult>> = vec![None; self.seats.len()];
        let mut told = vec![0.0; self.rows.len()];
        for (i, reading) in self.readings.iter().enumerate() {
            if !self.looked_at[i] || !which(reading) {
                continue;
            }
            let mine: Vec<usize> = (0..self.rows.len()).filter(|&r| self.rows[r].reading == i).collect();
            let side = self.rows[*mine.first()?].side;
            if let Some(seat) = self.seat_of[i] {
                if passes[seat].is_none() {
                    let seated = self.seats[seat].1.as_ref()?;
                    passes[seat] = Some(passed(&machine_at(seated, &self.parameters, parameters)?));
                }
                let value = of_pass(reading, side, passes[seat].as_ref()?)?;
                for r in mine {
                    told[r] = value;
                }
                continue;
            }
            if machine.is_none() {
                machine = Some(machine_at(self.scenario, &self.parameters, parameters)?);
            }
            let read_si: Vec<f64> = mine.iter().map(|&r| self.rows[r].value.si).collect();
            let values = predicted(machine.as_ref()?, side, reading, &read_si)?;
            for (r, value) in mine.into_iter().zip(values) {
                told[r] = value;
            }
        }
        Some(told)
    }

    /// Of each row of the residuals, whether it follows the parameters smoothly; priors do.
    pub fn smooth_rows(&self) -> Vec<bool> {
        let readings = self.active().into_iter().map(|r| is_smooth(&self.readings[self.rows[r].reading]));
        readings.chain(std::iter::repeat_n(true, self.unknowns())).collect()
    }

    /// What the readings that follow the parameters smoothly would be, before the errors of instruments, for every row: no pass is run.
    pub fn told_smooth(&self, at: &[f64]) -> Option<Vec<f64>> {
        self.told(&at[..self.parameters.len()], &is_smooth)
    }

    /// Rows that count of each reading of a whole pass: one value on one machine, however often it was read.
    pub fn of_passes(&self) -> Vec<Vec<usize>> {
        let of = |i: usize| self.active().into_iter().filter(|&r| self.rows[r].reading == i).collect();
        let readings = (0..self.readings.len()).filter(|&i| !is_smooth(&self.readings[i]));
        readings.map(of).filter(|rows: &Vec<usize>| !rows.is_empty()).collect()
    }

    /// What each of those would be, SI.
    pub fn told_of_passes(&self, at: &[f64]) -> Option<Vec<f64>> {
        let told = self.told(&at[..self.parameters.len()], &|reading| !is_smooth(reading))?;
        Some(self.of_passes().iter().map(|rows| told[rows[0]]).collect())
    }

    /// The residuals where the readings would be so, with the shared errors of the instruments.
    pub fn residuals_of(&self, told: &[f64], at: &[f64]) -> DVector<f64> {
        let readings = self.active().into_iter().map(|r| self.residual(r, self.shown(r, told[r], at)).0);
        DVector::from_vec(readings.chain(at.iter().copied()).collect())
    }

    fn told_here(&self, at: &[f64]) -> Option<Vec<f64>> {
        let parameters = &at[..self.parameters.len()];
        if let Ok(last) = self.last.lock()
            && let Some((where_, told)) = &*last
            && where_ == parameters
        {
            return Some(told.clone());
        }
        let told = self.told(parameters, &|_| true)?;
        if let Ok(mut last) = self.last.lock() {
            *last = Some((parameters.to_vec(), told.clone()));
        }
        Some(told)
    }

    /// What the readings would be with the shared errors of the instruments, for every row.
    pub fn readings_at(&self, at: &[f64]) -> Option<Vec<f64>> {
        let told = self.told_here(at)?;
        Some((0..told.len()).map(|r| self.shown(r, told[r], at)).collect())
    }

    /// Product of the gains of the instruments that a row shares.
    fn gain(&self, row: usize, at: &[f64]) -> f64 {
        let gains = self.rows[row].shared.iter().map(|(number, how)| match how {
            Shared::Gain(sd) => 1.0 + sd * at[self.parameters.len() + number],
            Shared::Zero(_) => 1.0,
        });
        gains.product()
    }

    fn shown(&self, row: usize, told: f64, at: &[f64]) -> f64 {
        let x = |number: usize| at[self.parameters.len() + number];
        let mut shown = told * self.gain(row, at);
        for (number, how) in &self.rows[row].shared {
            if let Shared::Zero(sd) = how {
                shown += sd * x(*number);
            }
        }
        shown
    }

    /// Residual of a row and its derivative by what is shown.
    fn residual(&self, row: usize, shown: f64) -> (f64, f64) {
        let r = &self.rows[row];
        if let Some(share) = r.share {
            return ((shown / r.value.si).log_natural() / share, 1.0 / (shown * share));
        }
        let z = (shown - r.value.si) / r.sigma;
        if !r.value.at_least {
            return (z, 1.0 / r.sigma);
        }
        let ln_below = ln_normal_below(z);
        let residual = (-2.0 * ln_below).max(0.0).sqrt();
        if residual < 1e-12 {
            return (residual, 0.0);
        }
        let density = -0.5 * z * z - 0.5 * std::f64::consts::TAU.log_natural();
        (residual, -(density - ln_below).exponential() / residual / r.sigma)
    }
}

/// Whether a reading is of the arm with its brush stopped, so that no strip touches anything.
fn by_arm(reading: &ReadingFile) -> bool {
    matches!(reading, ReadingFile::Pull { .. } | ReadingFile::Swing { .. } | ReadingFile::Film { .. })
}

impl Problem for Machine<'_> {
    fn most_steps(&self) -> Option<usize> {
        // Between two teeth a search could go on for ever.
        self.has_jagged().then_some(MOST_JAGGED_STEPS)
    }

    fn enough(&self) -> f64 {
        // Far below what a reading can tell: residuals are in standard deviations. Between two teeth of a jagged reading lies more.
        if self.has_jagged() { 1e-2 } else { 1e-6 }
    }

    fn residuals(&self, at: &[f64]) -> Option<DVector<f64>> {
        Some(self.residuals_of(&self.told_here(at)?, at))
    }

    fn jacobian(&self, at: &[f64]) -> Option<DMatrix<f64>> {
        let told = self.told_here(at)?;
        let count = self.parameters.len();
        let bounds = self.bounds();
        let column = |k: usize, step: f64, smooth: bool| -> Option<DVector<f64>> {
            let media = self.parameters[k].is_of_strips;
            let mut look = |x: &[f64]| {
                let mut moved = at[..count].to_vec();
                moved[k] = x[0];
                let of = |reading: &ReadingFile| is_smooth(reading) == smooth && !(media && by_arm(reading));
                self.told(&moved, &of).map(DVector::from_vec)
            };
            let own = Bounds { low: vec![bounds.low[k]], high: vec![bounds.high[k]] };
            Some(differences(&mut look, &[at[k]], &[step], &own)?.column(0).into_owned())
        };
        let slopes: Option<Vec<DVector<f64>>> =
            (0..count).into_par_iter().map(|k| column(k, SMOOTH_STEP, true)).collect();
        let mut slopes = slopes?;
        if self.has_jagged() {
            let here = &at[..count];
            let near = |there: &[f64]| here.iter().zip(there).all(|(a, b)| (a - b).abs() < JAGGED_AGAIN);
            let known = self.jagged.lock().ok().and_then(|known| known.clone());
            let jagged = match known.filter(|(there, _)| near(there)) {
                Some((_, slopes)) => slopes,
                None => {
                    // Where a machine beside this one has no answer, its pass tells no slope.
                    let none = || DVector::zeros(self.rows.len());
                    let found: Vec<DVector<f64>> = (0..count)
                        .into_par_iter()
                        .map(|k| column(k, JAGGED_STEP, false).unwrap_or_else(none))
                        .collect();
                    if let Ok(mut known) = self.jagged.lock() {
                        *known = Some((here.to_vec(), found.clone()));
                    }
                    found
                }
            };
            for (slope, more) in slopes.iter_mut().zip(jagged) {
                *slope += more;
            }
        }
        let active = self.active();
        let mut j = DMatrix::zeros(active.len() + at.len(), at.len());
        for (i, &r) in active.iter().enumerate() {
            let slope = self.residual(r, self.shown(r, told[r], at)).1;
            let gain = self.gain(r, at);
            for (number, how) in &self.rows[r].shared {
                j[(i, count + number)] = slope
                    * match how {
                        Shared::Gain(sd) => told[r] * sd * gain / (1.0 + sd * at[count + number]),
                        Shared::Zero(sd) => *sd,
                    };
            }
            for (k, by) in slopes.iter().enumerate() {
                j[(i, k)] = slope * gain * by[r];
            }
        }
        for k in 0..at.len() {
            j[(active.len() + k, k)] = 1.0;
        }
        Some(j)
    }
}
