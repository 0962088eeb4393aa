//! How each setting is read from and written into the file types.

use super::{SettingValue, Spot};
use crate::error::Refusal;
use crate::scenario::file::{ScenarioFile, TrainEntry};
use crate::scenario::setup_file::{BearingsFile, ConnectionWord, SenseWord};
use crate::scenario::written::ron_text;
use crate::units::{Dimension, Length, Quantity};

type Edits = Vec<(String, String)>;

/// Reads, writes, and says what to change in the text.
#[derive(Clone, Copy)]
pub(in crate::scenario) struct Access {
    pub(super) get: fn(&ScenarioFile, Spot) -> Option<SettingValue>,
    pub(super) set: fn(&mut ScenarioFile, Spot, &str) -> Result<(), Refusal>,
    /// The last is where the value stands in the file.
    pub(super) edit: fn(&ScenarioFile, Spot, &str) -> Edits,
}

impl std::fmt::Debug for Access {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Access")
    }
}

/// One field of a file type.
pub(super) trait Field {
    fn value(&self) -> SettingValue;
    fn set(&mut self, text: &str) -> Result<(), Refusal>;
    fn ron(&self) -> String;
}

impl<D: Dimension> Field for Quantity<D> {
    fn value(&self) -> SettingValue {
        SettingValue { text: self.written().to_owned(), si: self.si() }
    }

    fn set(&mut self, text: &str) -> Result<(), Refusal> {
        *self = Quantity::parse(text).map_err(|error| error.refusal())?;
        Ok(())
    }

    fn ron(&self) -> String {
        // A plain number stands without quotes.
        if D::INFO.bare_number && self.written().parse::<f64>().is_ok() {
            return self.written().to_owned();
        }
        ron_text(self.written())
    }
}

impl Field for u32 {
    fn value(&self) -> SettingValue {
        SettingValue { text: self.to_string(), si: f64::from(*self) }
    }

    fn set(&mut self, text: &str) -> Result<(), Refusal> {
        *self = super::value::whole(text, "")?;
        Ok(())
    }

    fn ron(&self) -> String {
        self.to_string()
    }
}

macro_rules! word_field {
    ($kind:ty) => {
        impl Field for $kind {
            fn value(&self) -> SettingValue {
                SettingValue { text: self.word().to_owned(), si: 0.0 }
            }

            fn set(&mut self, text: &str) -> Result<(), Refusal> {
                let words: Vec<String> = <$kind>::ALL.iter().map(|word| word.word().to_owned()).collect();
                *self = <$kind>::ALL[super::value::choice(text, &words)?];
                Ok(())
            }

            fn ron(&self) -> String {
                self.word().to_owned()
            }
        }
    };
}
word_field!(SenseWord);
word_field!(ConnectionWord);

/// Nothing is there to be set. [`super::find`] looks before, so nobody sees this.
pub(super) fn not_there() -> Refusal {
    Refusal {
        problem: "the scenario has nothing to set there".to_owned(),
        advice: "add the part to the file".to_owned(),
        ..Refusal::default()
    }
}

/// Access to a field: how to borrow it, given the file and the spot.
macro_rules! field {
    (|$file:ident, $spot:ident| $get:expr, $get_mut:expr) => {{
        use $crate::scenario::setting::access::{Access, Field, not_there};

        fn get($file: &ScenarioFile, $spot: Spot) -> Option<&dyn Field> {
            let _ = $spot;
            Some(&$get)
        }

        fn get_mut($file: &mut ScenarioFile, $spot: Spot) -> Option<&mut dyn Field> {
            let _ = $spot;
            Some(&mut $get_mut)
        }

        Access {
            get: |file, spot| get(file, spot).map(Field::value),
            set: |file, spot, text| get_mut(file, spot).ok_or_else(not_there)?.set(text),
            edit: |file, spot, path| {
                get(file, spot).map(|field| (path.to_owned(), field.ron())).into_iter().collect()
            },
        }
    }};
}
pub(super) use field;

/// Offset of the lower bearing. With tape-measured gaps it is their difference, and setting it moves the lower gap.
pub(super) const LOWER_OFFSET: Access = Access {
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
pub(super) const UPPER_OFFSET: Access = Access {
    get: |file, spot| {
        let bearings = &file.unit(spot.side)?.bearings;
        (!bearings.by_tape()).then(|| offset_value(&bearings.upper_offset))
    },
    set: |file, spot, text| {
        bearings(file, spot)?.upper_offset = Some(Length::parse(text).map_err(|error| error.refusal())?);
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

fn measured(file: &ScenarioFile) -> usize {
    let last = file.train.len().saturating_sub(1);
    file.measured.map_or(last, |from_one| from_one.saturating_sub(1) as usize).min(last)
}

fn entry(file: &mut ScenarioFile) -> Result<&mut TrainEntry, Refusal> {
    let index = measured(file);
    file.train.get_mut(index).ok_or_else(not_there)
}

/// Where a field of the measured vehicle stands in the text: in its entry, or the entry itself when only its name was written.
fn train_edit(file: &ScenarioFile, name: &str, ron: impl Fn(&TrainEntry) -> String) -> Edits {
    let index = measured(file);
    let Some(entry) = file.train.get(index) else { return Vec::new() };
    if entry.bare {
        return vec![(format!("train[{index}]"), entry.ron())];
    }
    vec![(format!("train[{index}].{name}"), ron(entry))]
}

/// How far the measured vehicle sits off the centreline.
pub(super) const LATERAL_OFFSET: Access = Access {
    get: |file, _| file.train.get(measured(file)).map(|entry| entry.lateral_offset.value()),
    set: |file, _, text| entry(file)?.lateral_offset.set(text),
    edit: |file, _, _| train_edit(file, "lateral_offset", |entry| entry.lateral_offset.ron()),
};

/// How far the measured vehicle is turned.
pub(super) const YAW: Access = Access {
    get: |file, _| file.train.get(measured(file)).map(|entry| entry.yaw.value()),
    set: |file, _, text| entry(file)?.yaw.set(text),
    edit: |file, _, _| train_edit(file, "yaw", |entry| entry.yaw.ron()),
};

/// Which vehicle is measured.
pub(super) const VEHICLE_NAME: Access = Access {
    get: |file, _| {
        let entry = file.train.get(measured(file))?;
        Some(SettingValue { text: entry.vehicle.to_string(), si: 0.0 })
    },
    set: |file, _, text| {
        entry(file)?.vehicle = text.into();
        Ok(())
    },
    edit: |file, _, _| train_edit(file, "vehicle", |entry| ron_text(&entry.vehicle)),
};
