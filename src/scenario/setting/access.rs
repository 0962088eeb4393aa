//! How settings are read from and written into the file types, and those that are not plainly a field.

use super::{SettingValue, Spot};
use crate::error::Refusal;
use crate::scenario::file::ScenarioFile;
use crate::scenario::knob::{Access, Field};
use crate::scenario::setup_file::BearingsFile;
use crate::scenario::written::ron_text;
use crate::units::Length;

type Edits = Vec<(String, String)>;

/// Reads, writes, and says what to change in the text.
#[derive(Clone, Copy)]
pub(super) struct Special {
    pub(super) get: fn(&ScenarioFile, Spot) -> Option<SettingValue>,
    pub(super) set: fn(&mut ScenarioFile, Spot, &str) -> Result<(), Refusal>,
    pub(super) set_si: fn(&mut ScenarioFile, Spot, f64) -> Result<(), Refusal>,
    /// The last is where the value stands in the file.
    pub(super) edit: fn(&ScenarioFile, Spot, &str) -> Edits,
}

/// How what is not plainly a field is read and written.
pub(super) fn special(access: Access) -> Option<Special> {
    match access {
        Access::Field => None,
        Access::LowerOffset => Some(LOWER_OFFSET),
        Access::UpperOffset => Some(UPPER_OFFSET),
        Access::VehicleName => Some(VEHICLE_NAME),
    }
}

/// Nothing is there to be set. [`super::find`] looks before, so nobody sees this.
pub(super) fn not_there() -> Refusal {
    Refusal {
        problem: "the scenario has nothing to set there".to_owned(),
        advice: "add the part to the file".to_owned(),
        ..Refusal::default()
    }
}

/// Offset of the lower bearing. With tape-measured gaps it is their difference, and setting it moves the lower gap.
const LOWER_OFFSET: Special = Special {
    get: |file, spot| {
        let bearings = &file.unit(spot.side)?.bearings;
        match bearings.tape_gaps() {
            Some((_, lower)) => lower.set_like(bearings.lower_offset_m()).ok().map(|offset| offset.value()),
            None => Some(offset_value(&bearings.lower_offset)),
        }
    },
    set: |file, spot, text| {
        let offset = Length::parse(text).map_err(|error| error.refusal())?;
        bearings(file, spot)?.set_lower_offset(offset).map_err(|error| error.refusal())
    },
    set_si: |file, spot, si| {
        let offset = Length::try_from_si(si).map_err(|error| error.refusal())?;
        bearings(file, spot)?.set_lower_offset(offset).map_err(|error| error.refusal())
    },
    edit: |file, spot, path| {
        let Some(unit) = file.unit(spot.side) else { return Vec::new() };
        let side = spot.side.name();
        match &unit.bearings.lower_gap {
            Some(gap) => vec![(format!("{side}.bearings.lower_gap"), gap.ron())],
            None => unit.bearings.lower_offset.iter().map(|offset| (path.to_owned(), offset.ron())).collect(),
        }
    },
};

/// Offset of the upper bearing, where offsets are given.
const UPPER_OFFSET: Special = Special {
    get: |file, spot| {
        let bearings = &file.unit(spot.side)?.bearings;
        (!bearings.by_tape()).then(|| offset_value(&bearings.upper_offset))
    },
    set: |file, spot, text| {
        bearings(file, spot)?.upper_offset = Some(Length::parse(text).map_err(|error| error.refusal())?);
        Ok(())
    },
    set_si: |file, spot, si| {
        bearings(file, spot)?.upper_offset = Some(Length::try_from_si(si).map_err(|error| error.refusal())?);
        Ok(())
    },
    edit: |file, spot, path| {
        let offset = file.unit(spot.side).and_then(|unit| unit.bearings.upper_offset.as_ref());
        offset.map(|offset| (path.to_owned(), offset.ron())).into_iter().collect()
    },
};

fn bearings(file: &mut ScenarioFile, spot: Spot) -> Result<&mut BearingsFile, Refusal> {
    file.unit_mut(spot.side).map(|unit| &mut unit.bearings).ok_or_else(not_there)
}

fn offset_value(offset: &Option<Length>) -> SettingValue {
    match offset {
        Some(offset) => offset.value(),
        None => SettingValue { text: "0 in".to_owned(), si: 0.0 },
    }
}

pub(super) fn measured(file: &ScenarioFile) -> usize {
    let last = file.train.len().saturating_sub(1);
    file.measured.map_or(last, |from_one| from_one.saturating_sub(1) as usize).min(last)
}

/// Where a field of the measured vehicle stands in the text: in its entry, or the entry itself when only its name was written.
pub(super) fn train_edit(file: &ScenarioFile, name: &str, ron: String) -> Edits {
    let index = measured(file);
    match file.train.get(index) {
        Some(entry) if entry.bare => vec![(format!("train[{index}]"), entry.ron())],
        Some(_) => vec![(format!("train[{index}].{name}"), ron)],
        None => Vec::new(),
    }
}

/// Which vehicle is measured.
const VEHICLE_NAME: Special = Special {
    get: |file, _| {
        let entry = file.train.get(measured(file))?;
        Some(SettingValue { text: entry.vehicle.to_string(), si: 0.0 })
    },
    set: |file, _, text| {
        let index = measured(file);
        file.train.get_mut(index).ok_or_else(not_there)?.vehicle = text.into();
        Ok(())
    },
    set_si: |_, _, _| Err(not_there()),
    edit: |file, _, _| {
        let name = file.train.get(measured(file)).map(|entry| ron_text(&entry.vehicle));
        train_edit(file, "vehicle", name.unwrap_or_default())
    },
};
