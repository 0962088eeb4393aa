//! A foam station answered: everything a person asks of it, computed once and then told as text, data or a map.
//!
//! [`FoamReport::compute`] asks the model; [`text`](FoamReport::text), [`json`](FoamReport::json) and
//! [`csv`](FoamReport::csv) tell it, [`map`] draws regimes over liquid and air pressure.

mod document;
pub mod map;
mod say;
mod text;
mod text_fault;

pub use document::FOAM_SCHEMA;

use crate::arm::Side;
use crate::foam::dilution_study::{
    Caught, DilutionChange, DilutionEffect, FieldCheck, TimedVolume, TipChoice, check_field_tests,
    choose_tip, dilution_effects,
};
use crate::foam::fault::{Diagnosis, ReadingTolerance, Readings, Symptom, find_fault};
use crate::foam::pressure_path::{PressurePath, pressure_path};
use crate::foam::regime_map::{KnobEffect, RegimeMargin, knob_effects, regime_margins};
use crate::foam::{FoamError, Station, StationResult};
use crate::scenario::Scenario;
use crate::scenario::foam::{FoamFile, FoamPart, MixRatio};

/// One psi, Pa: the field step of a regulator.
pub const PRESSURE_STEP_PA: f64 = 6_894.757_293_168_361;
/// One step of the needle valve.
pub const NEEDLE_STEP: f64 = 1.0;
/// What a bucket and a stopwatch are good for, as a share: engineering estimate.
const FIELD_TOLERANCE: f64 = 0.10;

/// What is asked beyond the station itself.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FoamQuestions {
    /// Ratio wanted, parts of water to one.
    pub target_ratio: Option<f64>,
    /// What is seen.
    pub symptoms: Vec<Symptom>,
    /// What was read.
    pub readings: Readings,
    /// Draw-down test.
    pub draw_down: Option<TimedVolume>,
    /// Bucket test.
    pub bucket: Option<(TimedVolume, Caught)>,
}

/// A station with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamSubject {
    /// The file, as the person named it.
    pub file: String,
    /// What the station is called.
    pub name: String,
    /// The bores of the tips as they are written.
    pub bores_written: Vec<String>,
    /// Name of the currency; empty when not said.
    pub currency: String,
    /// The station.
    pub station: Station,
    /// What the friction does for the brushes: none for a station without brushes.
    pub friction_use: Option<FrictionUse>,
}

impl FoamSubject {
    /// The station of a foam file.
    #[must_use]
    pub fn of_file(file: &str, read: &FoamFile, station: Station) -> Self {
        Self::of_part(file, &read.title, &read.foam, station, None)
    }

    /// The station of a scenario with its title, and the ratio that the scenario asks for; none where it has no foam part.
    #[must_use]
    pub fn of_scenario(file: &str, title: &str, scenario: &Scenario) -> Option<(Self, Option<f64>)> {
        let (part, station) = (scenario.file().foam.as_ref()?, scenario.foam_station()?);
        let takes = Side::BOTH.into_iter().any(|side| scenario.foam_sets_friction(side));
        let used = if takes { FrictionUse::SetsBrushes } else { FrictionUse::StatedOutright };
        let target = part.target_ratio.as_ref().map(MixRatio::parts);
        Some((Self::of_part(file, title, part, station.clone(), Some(used)), target))
    }

    /// The station of a foam part, `friction_use` saying what its friction does.
    #[must_use]
    pub fn of_part(
        file: &str,
        name: &str,
        part: &FoamPart,
        station: Station,
        friction_use: Option<FrictionUse>,
    ) -> Self {
        Self {
            file: file.to_owned(),
            name: name.to_owned(),
            bores_written: part.suction.bores.iter().map(|bore| bore.written().to_owned()).collect(),
            currency: part.prices.currency.clone(),
            station,
            friction_use,
        }
    }
}

/// Whether a scenario runs on the foam's friction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FrictionUse {
    /// Every brush takes it.
    SetsBrushes,
    /// The scenario states its own friction.
    StatedOutright,
}

/// The answers.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamReport {
    /// What was asked about.
    pub subject: FoamSubject,
    /// What was asked.
    pub questions: FoamQuestions,
    /// The station at work.
    pub result: StationResult,
    /// Every tip of the list, and the one for the target. Without a target only the options mean anything.
    pub tips: TipChoice,
    /// What one change does to the dilution.
    pub effects: Vec<DilutionEffect>,
    /// Where the pressure drops.
    pub path: PressurePath,
    /// How far the neighbouring regimes are.
    pub margins: Vec<RegimeMargin>,
    /// What one psi or one step does.
    pub knobs: Vec<KnobEffect>,
    /// Field tests against the model.
    pub field: Option<FieldCheck>,
    /// Causes of what is seen and read.
    pub diagnosis: Option<Diagnosis>,
}

impl FoamReport {
    /// Computes every answer.
    ///
    /// # Errors
    /// A field of the station or of the questions out of range or in conflict, by its path.
    pub fn compute(subject: FoamSubject, questions: FoamQuestions) -> Result<Self, FoamError> {
        let station = &subject.station;
        let result = station.evaluate()?;
        // Any target gives the same list of options.
        let tips = choose_tip(&station.dilution, &station.conditions, questions.target_ratio.unwrap_or(1.0))?;
        let effects = dilution_effects(&station.dilution, &station.conditions, &changes(station))?;
        let path = pressure_path(&station.maker, &station.settings, &result.balance);
        let margins = regime_margins(&station.maker, &station.settings)?;
        let knobs = knob_effects(&station.maker, &station.settings, PRESSURE_STEP_PA, NEEDLE_STEP)?;
        let field = if questions.draw_down.is_some() || questions.bucket.is_some() {
            Some(check_field_tests(
                &station.dilution,
                &station.conditions,
                questions.target_ratio.unwrap_or(1.0),
                questions.draw_down,
                questions.bucket,
                FIELD_TOLERANCE,
            )?)
        } else {
            None
        };
        let asked = !questions.symptoms.is_empty() || !questions.readings.list().is_empty();
        let diagnosis = if asked {
            let tolerance = ReadingTolerance::default();
            Some(find_fault(station, &questions.symptoms, &questions.readings, tolerance)?)
        } else {
            None
        };
        Ok(Self { subject, questions, result, tips, effects, path, margins, knobs, field, diagnosis })
    }
}

/// The changes everyone asks about: one tip down and up, the strainer half blocked and nine tenths, 5 psi of supply down and up, a
/// foot of lift more, concentrate twice as thick.
fn changes(station: &Station) -> Vec<DilutionChange> {
    let mut changes = vec![DilutionChange::TipDown, DilutionChange::TipUp];
    for share in [0.5, 0.8, 0.9] {
        if share > station.conditions.strainer_blocked {
            changes.push(DilutionChange::StrainerBlocked(share));
        }
    }
    let step_pa = 5.0 * PRESSURE_STEP_PA;
    if station.conditions.supply_pressure_pa + step_pa <= 2e6 {
        changes.push(DilutionChange::Supply(step_pa));
    }
    changes.push(DilutionChange::Supply(-step_pa));
    if station.conditions.lift_m + 0.3048 <= 10.0 {
        changes.push(DilutionChange::Lift(0.3048));
    }
    if 2.0 * station.conditions.viscosity_factor <= 100.0 {
        changes.push(DilutionChange::Viscosity(2.0));
    }
    changes
}
