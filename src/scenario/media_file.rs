//! What the strips of a brush are, as written.

use super::check::{At, Checker};
use super::knob::{Field, Knob};
use super::limits::Limits;
use super::part::{Difference, Kind, Parameter, Value, Visit, part, step};
use super::setting::Group;
use crate::units::*;
use serde::Deserialize;

type Range = (&'static str, &'static str);

pub(super) const SPIN: Range = ("0 rpm", "300 rpm");
pub(crate) const PRESS_DEPTH: Range = ("1/4 in", "4 ft");
pub(crate) const PRESS_FORCE: Range = ("0.1 lbf", "500 lbf");
pub(crate) const PRESS_HEIGHT: Range = ("1 in", "16 ft");

/// What the strips are, as written.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum MediaFile {
    /// No bending stiffness: cloth.
    Limp {
        /// Mass of all strips at full length, wet.
        mass: Mass,
    },
    /// Bending stiffness decides: foam, bristle.
    Stiff {
        /// Push-back test.
        push_back: PushBackFile,
        /// Spin at which it was made; not given = the brush stood still.
        #[serde(default)]
        measured_at: Option<Spin>,
        /// Mass of all strips at full length, wet; not given = not known, and counted in the parts of the arm.
        #[serde(default)]
        mass: Option<Mass>,
    },
    /// Both count.
    Between {
        /// Mass of all strips at full length, wet.
        mass: Mass,
        /// Push-back test.
        push_back: PushBackFile,
        /// Spin at which it was made; not given = the brush stood still.
        #[serde(default)]
        measured_at: Option<Spin>,
    },
}

impl MediaFile {
    /// Its word in the file.
    fn word(&self) -> &'static str {
        match self {
            MediaFile::Limp { .. } => "Limp",
            MediaFile::Stiff { .. } => "Stiff",
            MediaFile::Between { .. } => "Between",
        }
    }

    /// The push-back test.
    pub fn push_back(&self) -> Option<&PushBackFile> {
        match self {
            MediaFile::Limp { .. } => None,
            MediaFile::Stiff { push_back, .. } | MediaFile::Between { push_back, .. } => Some(push_back),
        }
    }

    /// The same, to be changed.
    fn push_back_mut(&mut self) -> Option<&mut PushBackFile> {
        match self {
            MediaFile::Limp { .. } => None,
            MediaFile::Stiff { push_back, .. } | MediaFile::Between { push_back, .. } => Some(push_back),
        }
    }

    /// The mass of the strips.
    pub fn mass(&self) -> Option<&Mass> {
        match self {
            MediaFile::Limp { mass } | MediaFile::Between { mass, .. } => Some(mass),
            MediaFile::Stiff { mass, .. } => mass.as_ref(),
        }
    }

    /// The same, to be changed.
    fn mass_mut(&mut self) -> Option<&mut Mass> {
        match self {
            MediaFile::Limp { mass } | MediaFile::Between { mass, .. } => Some(mass),
            MediaFile::Stiff { mass, .. } => mass.as_mut(),
        }
    }

    /// Spin at which the push-back test was made.
    pub fn measured_at(&self) -> Option<&Spin> {
        match self {
            MediaFile::Limp { .. } => None,
            MediaFile::Stiff { measured_at, .. } | MediaFile::Between { measured_at, .. } => {
                measured_at.as_ref()
            }
        }
    }
}

/// Mass of all strips at full length, wet.
static MASS: Parameter = Parameter {
    name: "mass",
    #[cfg(test)]
    default: None,
    limits: Limits::new(Some(MassDim::INFO), ("1 lb", "500 lb")),
    items: None,
    knob: Some(Knob {
        step: "1 lb",
        label: "mass of the strips, wet",
        group: Group::Brush,
        in_field: false,
        ..Knob::NONE
    }),
};

/// Spin at which the push-back test was made.
static MEASURED_AT: Parameter = Parameter {
    name: "measured_at",
    #[cfg(test)]
    default: None,
    limits: Limits::new(Some(SpinDim::INFO), SPIN),
    items: None,
    knob: None,
};

impl Value for MediaFile {
    fn check(&self, c: &mut Checker<'_>, at: At<'_>, _row: &'static Parameter) {
        if let Some(mass) = self.mass() {
            mass.check(c, at.of(MASS.name), &MASS);
        }
        if let Some(spin) = self.measured_at() {
            spin.check(c, at.of(MEASURED_AT.name), &MEASURED_AT);
        }
        if let Some(test) = self.push_back() {
            test.ranges(c, at.of("push_back"));
        }
    }

    fn find(&self, path: &str) -> Option<&dyn Field> {
        match step(path) {
            ("mass", rest) => self.mass()?.find(rest),
            ("push_back", rest) => self.push_back()?.find(rest),
            _ => None,
        }
    }

    fn find_mut(&mut self, path: &str) -> Option<&mut dyn Field> {
        match step(path) {
            ("mass", rest) => self.mass_mut()?.find_mut(rest),
            ("push_back", rest) => self.push_back_mut()?.find_mut(rest),
            _ => None,
        }
    }

    fn differ(&self, other: &Self, path: &str, found: &mut Vec<Difference>) {
        let at = |name: &str| format!("{path}.{name}");
        if self.word() != other.word() {
            let [left, right] = [self, other].map(|of| of.word().to_owned());
            found.push(Difference { path: path.to_owned(), left, right });
            return;
        }
        let copied =
            |of: &MediaFile| (of.mass().cloned(), of.measured_at().cloned(), of.push_back().cloned());
        let ((mass, spin, push), (other_mass, other_spin, other_push)) = (copied(self), copied(other));
        mass.differ(&other_mass, &at(MASS.name), found);
        spin.differ(&other_spin, &at(MEASURED_AT.name), found);
        push.differ(&other_push, &at("push_back"), found);
    }

    fn walk(path: &str, _row: &'static Parameter, visit: &mut Visit<'_>) {
        PushBackFile::walk_rows(&format!("{path}.push_back"), visit);
        visit(&format!("{path}.mass"), &MASS, Kind::Quantity);
        visit(&format!("{path}.measured_at"), &MEASURED_AT, Kind::Quantity);
    }
}

part! {
    /// Push-back test: the stopped brush is pressed into a flat board and the force is read.
    PushBackFile {
        /// How deep it is pressed.
        depth: Length, in PRESS_DEPTH;
        /// The force read.
        force: Force, in PRESS_FORCE, set {
            step: "1 lbf", label: "force of the push-back test", group: Group::Brush, in_field: false
        };
        /// Height of media on the board.
        height: Length, in PRESS_HEIGHT;
    }
}
