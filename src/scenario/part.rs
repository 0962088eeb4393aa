//! The table of parts: for every part that a scenario file describes one block, for every parameter of it one row.
//!
//! A row of [`part!`] says what the parameter means, its dimension, what it is when the file leaves it out, its range, and, where it can be set,
//! its field step, its label and its place among the settings. The file type with its reading, the check of the range and everything that
//! [`super::setting`] knows come from that row.
//!
//! ```text
//! part! {
//!     /// Needle settings of a damper.
//!     NeedleFile {
//!         /// Force per speed while the arm swings outboard.
//!         out_stroke: Damping, in ("0 lbf s/in", "200 lbf s/in"), set {
//!             step: "0.1 lbf s/in", label: "needle of damper #, arm swinging outboard", group: Group::Damper
//!         };
//!         /// Force per speed squared while the arm swings outboard; 0 when not given.
//!         out_quadratic: QuadraticDamping = "0 N s2/m2", in ("0 N s2/m2", "100000 N s2/m2");
//!     }
//! }
//! ```
//!
//! - `= VALUE`: what it is when the file leaves it out; a quantity as written. Without it the field is required.
//! - `in (LOW, HIGH)`: the closed range, as written. Wide: it catches slips (feet for inches, a missing decimal point), not bad set-ups. Bad
//!   set-ups are what the simulation is for.
//! - `items (LOW, HIGH, ADVICE)`: how many items a list has.
//! - `by RULE`: a check in place of that of the range.
//! - `set { … }`: the fields of a [`Knob`], which make it a setting.

mod words;

pub(super) use words::words;

use super::check::{At, Checker};
use super::knob::{Field, Knob};
use super::limits::Limits;
use crate::units::{Dimension, DimensionInfo, Quantity};
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, Visitor};

/// What the table says of one parameter.
#[derive(Debug)]
pub(in crate::scenario) struct Parameter {
    /// The field.
    pub name: &'static str,
    /// What it is when the file leaves it out, for a quantity that may be left out. Reading takes it from the row itself.
    #[cfg(test)]
    pub default: Option<&'static str>,
    /// Its range; empty texts where there is none.
    pub limits: Limits,
    /// How many items a list has, and what to do about another number.
    pub items: Option<(usize, usize, &'static str)>,
    /// How it is set, where it can be set.
    pub knob: Option<Knob>,
}

/// What kind of values a parameter takes.
#[derive(Debug, Clone, Copy)]
pub(in crate::scenario) enum Kind {
    /// A quantity.
    Quantity,
    /// A whole number.
    Whole,
    /// One of some words.
    Words(&'static [&'static str]),
    /// Something that is not set as a whole.
    Other,
}

/// One thing that differs between two parts of a kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::scenario) struct Difference {
    pub path: String,
    /// As written; `NONE` where there is none.
    pub left: String,
    pub right: String,
}

/// Said of what is on the other side only.
pub(in crate::scenario) const NONE: &str = "none";
const THERE: &str = "there";

/// Is called with the path, the row and the kind of each parameter.
pub(in crate::scenario) type Visit<'v> = dyn FnMut(&str, &'static Parameter, Kind) + 'v;

/// What may stand at a field of a part: a quantity, a word, another part, a list, or nothing.
pub(in crate::scenario) trait Value {
    /// The dimension of the quantities in it.
    const INFO: Option<&'static DimensionInfo> = None;

    /// Whether it is in range. `row` is that of the field it stands at.
    fn check(&self, _c: &mut Checker<'_>, _at: At<'_>, _row: &'static Parameter) {}

    /// What stands at a path from here: `bearings.lower_along`, `[0].out_stroke`, or nothing for this itself.
    fn find(&self, _path: &str) -> Option<&dyn Field> {
        None
    }

    /// What stands at a path from here, to be changed.
    fn find_mut(&mut self, _path: &str) -> Option<&mut dyn Field> {
        None
    }

    /// What differs between this and another such part, each thing with its path.
    fn differ(&self, other: &Self, path: &str, found: &mut Vec<Difference>)
    where
        Self: Sized,
    {
        if let (Some(left), Some(right)) = (self.find(""), other.find("")) {
            let [left, right] = [left, right].map(|field| field.value().text);
            if left != right {
                found.push(Difference { path: path.to_owned(), left, right });
            }
        }
    }

    /// Visits every parameter from here on, whether a file gives it or not; `#` stands for the number of an item.
    fn walk(path: &str, row: &'static Parameter, visit: &mut Visit<'_>) {
        visit(path, row, Kind::Other);
    }
}

impl<D: Dimension> Value for Quantity<D> {
    const INFO: Option<&'static DimensionInfo> = Some(D::INFO);

    fn check(&self, c: &mut Checker<'_>, at: At<'_>, row: &'static Parameter) {
        c.range(at, self, &row.limits);
    }

    fn find(&self, path: &str) -> Option<&dyn Field> {
        path.is_empty().then_some(self)
    }

    fn find_mut(&mut self, path: &str) -> Option<&mut dyn Field> {
        path.is_empty().then_some(self)
    }

    fn differ(&self, other: &Self, path: &str, found: &mut Vec<Difference>) {
        // One foot is twelve inches.
        if self.si() != other.si() {
            let [left, right] = [self, other].map(|quantity| quantity.written().to_owned());
            found.push(Difference { path: path.to_owned(), left, right });
        }
    }

    fn walk(path: &str, row: &'static Parameter, visit: &mut Visit<'_>) {
        visit(path, row, Kind::Quantity);
    }
}

impl Value for u32 {
    fn find(&self, path: &str) -> Option<&dyn Field> {
        path.is_empty().then_some(self)
    }

    fn find_mut(&mut self, path: &str) -> Option<&mut dyn Field> {
        path.is_empty().then_some(self)
    }

    fn walk(path: &str, row: &'static Parameter, visit: &mut Visit<'_>) {
        visit(path, row, Kind::Whole);
    }
}

impl<T: Value> Value for Option<T> {
    const INFO: Option<&'static DimensionInfo> = T::INFO;

    fn check(&self, c: &mut Checker<'_>, at: At<'_>, row: &'static Parameter) {
        if let Some(value) = self {
            value.check(c, at, row);
        }
    }

    fn find(&self, path: &str) -> Option<&dyn Field> {
        self.as_ref()?.find(path)
    }

    fn find_mut(&mut self, path: &str) -> Option<&mut dyn Field> {
        self.as_mut()?.find_mut(path)
    }

    fn differ(&self, other: &Self, path: &str, found: &mut Vec<Difference>) {
        match (self, other) {
            (Some(own), Some(other)) => own.differ(other, path, found),
            (None, None) => {}
            (own, other) => {
                let said = |value: &Option<T>| value.as_ref().map_or_else(|| NONE.to_owned(), text_of);
                found.push(Difference { path: path.to_owned(), left: said(own), right: said(other) });
            }
        }
    }

    fn walk(path: &str, row: &'static Parameter, visit: &mut Visit<'_>) {
        T::walk(path, row, visit);
    }
}

impl<T: Value> Value for Vec<T> {
    const INFO: Option<&'static DimensionInfo> = T::INFO;

    fn check(&self, c: &mut Checker<'_>, at: At<'_>, row: &'static Parameter) {
        if let Some((low, high, advice)) = row.items {
            c.count(at, self.len(), low, high, advice);
        }
        for (index, item) in self.iter().enumerate() {
            item.check(c, at.item(index), row);
        }
    }

    fn find(&self, path: &str) -> Option<&dyn Field> {
        let (index, rest) = item(path)?;
        self.get(index)?.find(rest)
    }

    fn find_mut(&mut self, path: &str) -> Option<&mut dyn Field> {
        let (index, rest) = item(path)?;
        self.get_mut(index)?.find_mut(rest)
    }

    fn differ(&self, other: &Self, path: &str, found: &mut Vec<Difference>) {
        for index in 0..self.len().max(other.len()) {
            let path = format!("{path}[{index}]");
            match (self.get(index), other.get(index)) {
                (Some(own), Some(other)) => own.differ(other, &path, found),
                (own, other) => {
                    let said = |value: Option<&T>| value.map_or_else(|| NONE.to_owned(), text_of);
                    found.push(Difference { path, left: said(own), right: said(other) });
                }
            }
        }
    }

    fn walk(path: &str, row: &'static Parameter, visit: &mut Visit<'_>) {
        T::walk(&format!("{path}[#]"), row, visit);
    }
}

/// A value as written, or that the part is there.
fn text_of<T: Value>(value: &T) -> String {
    value.find("").map_or_else(|| THERE.to_owned(), |field| field.value().text)
}

/// «[2].delay» as 2 and «.delay».
fn item(path: &str) -> Option<(usize, &str)> {
    let (index, rest) = path.strip_prefix('[')?.split_once(']')?;
    Some((index.parse().ok()?, rest))
}

/// «.schedule[2].delay» as «schedule» and «[2].delay».
pub(in crate::scenario) fn step(path: &str) -> (&str, &str) {
    let path = path.strip_prefix('.').unwrap_or(path);
    path.split_at(path.find(['.', '[']).unwrap_or(path.len()))
}

/// Neither checked nor set.
macro_rules! opaque {
    ($($kind:ty),* $(,)?) => {
        $(impl $crate::scenario::part::Value for $kind {})*
    };
}
pub(super) use opaque;
opaque!(String);

impl Value for bool {
    fn differ(&self, other: &Self, path: &str, found: &mut Vec<Difference>) {
        if self != other {
            let [left, right] = [self, other].map(bool::to_string);
            found.push(Difference { path: path.to_owned(), left, right });
        }
    }
}

/// The name of a field, as its place in the list of names.
#[derive(Debug, Clone, Copy)]
pub(in crate::scenario) struct FieldOf(pub &'static [&'static str]);

impl<'de> DeserializeSeed<'de> for FieldOf {
    type Value = usize;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<usize, D::Error> {
        deserializer.deserialize_identifier(self)
    }
}

impl Visitor<'_> for FieldOf {
    type Value = usize;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("field identifier")
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<usize, E> {
        self.0.iter().position(|field| *field == name).ok_or_else(|| E::unknown_field(name, self.0))
    }
}

/// Reads the value of a field that was not read before.
pub(in crate::scenario) fn read_once<'de, T: serde::Deserialize<'de>, A: MapAccess<'de>>(
    field: &mut Option<T>,
    name: &'static str,
    map: &mut A,
) -> Result<(), A::Error> {
    if field.is_some() {
        return Err(A::Error::duplicate_field(name));
    }
    *field = Some(map.next_value()?);
    Ok(())
}

macro_rules! part {
    // A part that a file may leave out as a whole, since all its fields may be left out.
    (default $(#[$doc:meta])* $name:ident { $(
        $(#[$field_doc:meta])* $field:ident: $kind:ty = $default:tt $(, $word:tt $value:tt)*;
    )* }) => {
        $crate::scenario::part::part! { $(#[$doc])* $name { $(
            $(#[$field_doc])* $field: $kind = $default $(, $word $value)*;
        )* } }

        impl Default for $name {
            fn default() -> Self {
                $name { $($field: $crate::scenario::part::part!(@default $default),)* }
            }
        }
    };
    // What stands where the file says nothing.
    (@default $written:literal) => { $crate::scenario::written::quantity($written) };
    (@default None) => { None };
    (@default ($value:expr)) => { $value };
    (@absent $field:ident) => {
        return Err(serde::de::Error::missing_field(stringify!($field)))
    };
    (@absent $field:ident $default:tt) => { $crate::scenario::part::part!(@default $default) };
    (@written) => { None };
    (@written $written:literal) => { Some($written) };
    (@written $value:tt) => { None };
    // How it is checked.
    (@check $value:expr, $c:ident, $at:expr, $row:expr) => {
        $crate::scenario::part::Value::check($value, $c, $at, $row)
    };
    (@check $value:expr, $c:ident, $at:expr, $row:expr, $rule:ident) => { $rule($value, $c, $at, $row) };
    (@or $none:expr) => { $none };
    (@or $none:expr, $some:expr) => { $some };
    ($(#[$doc:meta])* $name:ident { $(
        $(#[$field_doc:meta])*
        $field:ident: $kind:ty $(= $default:tt)? $(, in $range:tt)? $(, items $items:tt)? $(, by $rule:ident)?
        $(, set { $($what:ident: $set:expr),* $(,)? })?;
    )* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: $kind,)*
        }

        impl $name {
            const FIELDS: &'static [&'static str] = &[$(stringify!($field)),*];

            /// The rows of the table, in the order of the fields.
            pub(in crate::scenario) fn rows() -> &'static [$crate::scenario::part::Parameter; Self::FIELDS.len()] {
                use $crate::scenario::limits::Limits;
                use $crate::scenario::part::{Parameter, Value};
                #[allow(unused_imports, reason = "not every part has settings")]
                use $crate::scenario::{knob::Knob, setting::Group};

                static ROWS: [Parameter; $name::FIELDS.len()] = [$(Parameter {
                    name: stringify!($field),
                    #[cfg(test)]
                    default: $crate::scenario::part::part!(@written $($default)?),
                    limits: Limits::new(
                        <$kind as Value>::INFO,
                        $crate::scenario::part::part!(@or ("", "") $(, $range)?),
                    ),
                    items: $crate::scenario::part::part!(@or None $(, Some($items))?),
                    knob: $crate::scenario::part::part!(@or None $(, Some(Knob { $($what: $set,)* ..Knob::NONE }))?),
                }),*];
                &ROWS
            }

            /// Whether every field is in range.
            pub(in crate::scenario) fn ranges(
                &self,
                c: &mut $crate::scenario::check::Checker<'_>,
                at: $crate::scenario::check::At<'_>,
            ) {
                let [$($field),*] = Self::rows();
                $($crate::scenario::part::part!(
                    @check &self.$field, c, at.of(stringify!($field)), $field $(, $rule)?
                );)*
            }

            /// Visits every parameter of this part and of the parts in it.
            pub(in crate::scenario) fn walk_rows(path: &str, visit: &mut $crate::scenario::part::Visit<'_>) {
                let [$($field),*] = Self::rows();
                let dot = if path.is_empty() { "" } else { "." };
                $(<$kind as $crate::scenario::part::Value>::walk(
                    &format!("{path}{dot}{}", stringify!($field)), $field, visit
                );)*
            }
        }

        impl $crate::scenario::part::Value for $name {
            fn check(
                &self,
                c: &mut $crate::scenario::check::Checker<'_>,
                at: $crate::scenario::check::At<'_>,
                _row: &'static $crate::scenario::part::Parameter,
            ) {
                self.ranges(c, at);
            }

            fn find(&self, path: &str) -> Option<&dyn $crate::scenario::knob::Field> {
                let (name, rest) = $crate::scenario::part::step(path);
                match name {
                    $(stringify!($field) => $crate::scenario::part::Value::find(&self.$field, rest),)*
                    _ => None,
                }
            }

            fn find_mut(&mut self, path: &str) -> Option<&mut dyn $crate::scenario::knob::Field> {
                let (name, rest) = $crate::scenario::part::step(path);
                match name {
                    $(stringify!($field) => $crate::scenario::part::Value::find_mut(&mut self.$field, rest),)*
                    _ => None,
                }
            }

            fn differ(&self, other: &Self, path: &str, found: &mut Vec<$crate::scenario::part::Difference>) {
                let dot = if path.is_empty() { "" } else { "." };
                $($crate::scenario::part::Value::differ(
                    &self.$field, &other.$field, &format!("{path}{dot}{}", stringify!($field)), found
                );)*
            }

            fn walk(
                path: &str,
                _row: &'static $crate::scenario::part::Parameter,
                visit: &mut $crate::scenario::part::Visit<'_>,
            ) {
                Self::walk_rows(path, visit);
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                struct Reader;

                impl<'de> serde::de::Visitor<'de> for Reader {
                    type Value = $name;

                    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                        f.write_str(concat!("struct ", stringify!($name)))
                    }

                    fn visit_map<A: serde::de::MapAccess<'de>>(self, mut map: A) -> Result<$name, A::Error> {
                        $(let mut $field: Option<$kind> = None;)*
                        while let Some(index) = map.next_key_seed($crate::scenario::part::FieldOf($name::FIELDS))? {
                            match $name::FIELDS[index] {
                                $(name @ stringify!($field) => {
                                    $crate::scenario::part::read_once(&mut $field, name, &mut map)?;
                                })*
                                _ => {}
                            }
                        }
                        Ok($name { $($field: match $field {
                            Some(value) => value,
                            None => $crate::scenario::part::part!(@absent $field $($default)?),
                        },)* })
                    }
                }

                deserializer.deserialize_struct(stringify!($name), Self::FIELDS, Reader)
            }
        }
    };
}
pub(super) use part;

#[cfg(test)]
mod tests;
