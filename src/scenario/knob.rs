//! How a parameter of a part is set: what its row says of that, and what every field that can be set can do.

use super::limits::Limits;
use super::setting::value::whole;
use super::setting::{Group, SettingValue};
use super::written::ron_text;
use crate::error::Refusal;
use crate::units::{Dimension, Quantity};

/// One field of a file type.
pub(in crate::scenario) trait Field {
    fn value(&self) -> SettingValue;
    fn set(&mut self, text: &str) -> Result<(), Refusal>;
    /// Sets a number as it is, SI: no text is read.
    fn set_si(&mut self, si: f64) -> Result<(), Refusal> {
        self.set(&si.to_string())
    }
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

    fn set_si(&mut self, si: f64) -> Result<(), Refusal> {
        *self = Quantity::try_from_si(si).map_err(|error| error.refusal())?;
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
        *self = whole(text, "")?;
        Ok(())
    }

    fn ron(&self) -> String {
        self.to_string()
    }
}

/// How a setting is read and written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::scenario) enum Access {
    /// Plainly as the field stands.
    Field,
    /// As the offset of the lower bearing, whether offsets or tape-measured gaps are given.
    LowerOffset,
    /// As the offset of the upper bearing, where offsets are given.
    UpperOffset,
    /// As the name of the measured vehicle.
    VehicleName,
}

/// How a parameter is set.
#[derive(Debug)]
pub(in crate::scenario) struct Knob {
    /// One field step, as written; empty where there is none.
    pub step: &'static str,
    /// What it is, in trade words; `#` stands for the number of an item.
    pub label: &'static str,
    /// Its place in the trade order.
    pub group: Group,
    /// Its place within the group, where that is not the order of the file.
    pub rank: u8,
    /// Whether a technician can move it in the field.
    pub in_field: bool,
    /// Whether it is one of the five that a technician turns first (common practice, no source).
    pub first: bool,
    /// Standard value, or range.
    pub standard: Option<[&'static str; 2]>,
    /// What limits it besides its range.
    pub also: Option<Also>,
    /// What values it takes, where its type does not say that.
    pub values: Option<RowKind>,
    /// How it is read and written.
    pub access: Access,
}

impl Knob {
    /// To be filled in.
    pub const NONE: Knob = Knob {
        step: "",
        label: "",
        group: Group::Line,
        rank: 0,
        in_field: true,
        first: false,
        standard: None,
        also: None,
        values: None,
        access: Access::Field,
    };
}

/// What values a row takes.
#[derive(Debug, Clone, Copy)]
pub(in crate::scenario) enum RowKind {
    Number {
        limits: &'static Limits,
        step: &'static str,
    },
    Hole,
    Words(&'static [&'static str]),
    VehicleName,
    /// One of the metering tips of the foam station, from the narrowest to the widest: one field step is the next of the list.
    Bore,
}

/// What limits a setting besides its range: what machine, lane or foam station leave of it depends on other settings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::scenario) enum Also {
    /// The lean of the pivot, to which both bearings add.
    Lean,
    /// The lane and the arms that the vehicle has to get past.
    Lane,
    /// The conveyor speed that the foam station is computed for.
    FoamDuty,
    /// The steps that the needle valve of the foam maker has.
    NeedleTravel,
    /// How far new strips stand out from the hub.
    Strips,
}
