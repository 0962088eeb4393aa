//! A value in SI that keeps the text it was written as.

use super::parse::{self, read, write_like};
use super::unit_error::{NumberFault, UnitError};
use super::{Dimension, DimensionInfo, PressureDim, STANDARD_ATMOSPHERE_PA};
use serde::de::{Deserialize, DeserializeSeed, Deserializer, Visitor};
use serde::ser::{Serialize, Serializer};
use std::marker::PhantomData;
use std::sync::Arc;

/// A value of dimension `D`, in SI, always finite, with the text it was written as.
///
/// Two quantities are equal when their values are, however they were written.
#[derive(Clone)]
pub struct Quantity<D> {
    si: f64,
    /// The absolute pressure in pascals, for pressures written as absolute.
    absolute_pa: Option<f64>,
    written: Arc<str>,
    dimension: PhantomData<D>,
}

impl<D: Dimension> Quantity<D> {
    /// Reads a written quantity and keeps its text.
    ///
    /// # Errors
    /// [`UnitError`] says what was given, what is allowed and what to do.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let reading = read(D::INFO, text)?;
        Ok(Quantity {
            si: reading.si,
            absolute_pa: reading.absolute_pa,
            written: text.trim().into(),
            dimension: PhantomData,
        })
    }

    /// A quantity from its SI value, written in the SI unit.
    ///
    /// # Panics
    /// When `si` is not finite: use [`Quantity::try_from_si`] for values that may not be.
    pub fn from_si(si: f64) -> Self {
        match Self::try_from_si(si) {
            Ok(quantity) => quantity,
            Err(error) => panic!("{error}"),
        }
    }

    /// A quantity from its SI value, written in the SI unit.
    ///
    /// # Errors
    /// [`UnitError::BadNumber`] when `si` is not finite.
    pub fn try_from_si(si: f64) -> Result<Self, UnitError> {
        if !si.is_finite() {
            let fault = NumberFault::OutOfRange;
            return Err(UnitError::BadNumber { wanted: D::INFO.wanted(), given: si.to_string(), fault });
        }
        // A number too small to be read back is nothing.
        let si = if si.abs() < f64::MIN_POSITIVE { 0.0 } else { si };
        let written = format!("{} {}", shortest(si), D::INFO.si_unit);
        Ok(Quantity { si, absolute_pa: None, written: written.trim_end().into(), dimension: PhantomData })
    }

    /// The value in SI. For a pressure: gauge against the standard atmosphere.
    pub fn si(&self) -> f64 {
        self.si
    }

    /// What the person wrote.
    pub fn written(&self) -> &str {
        &self.written
    }

    /// The value as a number of another unit of the same dimension.
    ///
    /// # Errors
    /// [`UnitError::UnknownUnit`] when the dimension has no such unit.
    pub fn in_unit(&self, unit: &str) -> Result<f64, UnitError> {
        match D::INFO.unit(unit) {
            Some(unit) => Ok(parse::from_si(self.si, unit)),
            None => {
                let (given, unit) = (unit.to_owned(), unit.to_owned());
                Err(UnitError::UnknownUnit { wanted: D::INFO.wanted(), given, unit, nearest: None })
            }
        }
    }

    /// A quantity from a number of one of the dimension's units, rounded once: `Pressure::of(7.0, "psi")`.
    ///
    /// # Errors
    /// [`UnitError`] when the dimension has no such unit or the number is not finite.
    pub fn of(number: f64, unit: &str) -> Result<Self, UnitError> {
        if !number.is_finite() {
            return Self::try_from_si(number);
        }
        Self::parse(&format!("{} {unit}", shortest(number)))
    }

    /// A new value written in the same unit and style as this one: 1/8 in set to 3/16 of an inch is `3/16 in`.
    /// Fractions stay fractions while they are exact to 1/64, else they become decimals.
    ///
    /// # Errors
    /// [`UnitError::BadNumber`] when `si` is not finite.
    pub fn set_like(&self, si: f64) -> Result<Self, UnitError> {
        Self::parse(&write_like(D::INFO, &self.written, si)?)
    }
}

impl Quantity<PressureDim> {
    /// Gauge pressure in pascals. A pressure written as absolute is taken against the standard atmosphere; use
    /// [`Quantity::gauge_pa_at`] where the site's atmosphere is known.
    pub fn gauge_pa(&self) -> f64 {
        self.si
    }

    /// Gauge pressure in pascals at a site with this atmospheric pressure.
    pub fn gauge_pa_at(&self, atmosphere_pa: f64) -> f64 {
        self.absolute_pa.map_or(self.si, |absolute| absolute - atmosphere_pa)
    }

    /// Absolute pressure in pascals at a site with this atmospheric pressure.
    pub fn absolute_pa(&self, atmosphere_pa: f64) -> f64 {
        self.absolute_pa.unwrap_or(self.si + atmosphere_pa)
    }

    /// Whether it was written as an absolute pressure.
    pub fn is_absolute(&self) -> bool {
        self.absolute_pa.is_some()
    }

    /// The standard atmosphere, as an absolute pressure.
    pub fn standard_atmosphere() -> Self {
        Quantity {
            si: 0.0,
            absolute_pa: Some(STANDARD_ATMOSPHERE_PA),
            written: "101.325 kPa abs".into(),
            dimension: PhantomData,
        }
    }
}

impl<D> PartialEq for Quantity<D> {
    fn eq(&self, other: &Self) -> bool {
        self.si == other.si && self.absolute_pa == other.absolute_pa
    }
}

impl<D> std::fmt::Debug for Quantity<D> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Quantity({:?}, si = {:?})", &*self.written, self.si)
    }
}

impl<D> std::fmt::Display for Quantity<D> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(&self.written)
    }
}

impl<D: Dimension> std::str::FromStr for Quantity<D> {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        Self::parse(text)
    }
}

impl<D> Serialize for Quantity<D> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.written)
    }
}

impl<'de, D: Dimension> Deserialize<'de> for Quantity<D> {
    fn deserialize<R: Deserializer<'de>>(deserializer: R) -> Result<Self, R::Error> {
        let Written { si, absolute_pa, text } = WrittenIn(D::INFO).deserialize(deserializer)?;
        Ok(Quantity { si, absolute_pa, written: text, dimension: PhantomData })
    }
}

/// The shortest decimal that reads back as the same double, with an exponent where plain digits would be long.
fn shortest(number: f64) -> String {
    let plain = number == 0.0 || (1e-5..1e16).contains(&number.abs());
    if plain { format!("{number}") } else { format!("{number:e}") }
}

/// A value in SI with the text it was written as, of a dimension known as data: what a row of a table asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    si: f64,
    absolute_pa: Option<f64>,
    text: Arc<str>,
}

impl Written {
    /// The value in SI. For a pressure: gauge against the standard atmosphere.
    pub fn si(&self) -> f64 {
        self.si
    }

    /// What the person wrote.
    pub fn written(&self) -> &str {
        &self.text
    }

    /// Whether it is a pressure written as absolute.
    pub fn is_absolute(&self) -> bool {
        self.absolute_pa.is_some()
    }
}

/// Reads a written value of a dimension.
#[derive(Debug, Clone, Copy)]
pub struct WrittenIn(pub &'static DimensionInfo);

impl WrittenIn {
    fn parse<E: serde::de::Error>(self, text: &str) -> Result<Written, E> {
        let reading = read(self.0, text).map_err(E::custom)?;
        Ok(Written { si: reading.si, absolute_pa: reading.absolute_pa, text: text.trim().into() })
    }
}

impl<'de> DeserializeSeed<'de> for WrittenIn {
    type Value = Written;

    fn deserialize<R: Deserializer<'de>>(self, deserializer: R) -> Result<Written, R::Error> {
        deserializer.deserialize_any(self)
    }
}

/// A number without quotes is right for plain numbers, a missing unit for all else.
impl Visitor<'_> for WrittenIn {
    type Value = Written;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.0.bare_number {
            return write!(f, "{} such as 0.35 or \"{}\"", self.0.quantity, self.0.example);
        }
        write!(f, "{} in quotes, such as \"{}\"", self.0.quantity, self.0.example)
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Written, E> {
        self.parse(text)
    }

    fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Written, E> {
        self.parse(&number.to_string())
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Written, E> {
        self.parse(&number.to_string())
    }

    fn visit_i128<E: serde::de::Error>(self, number: i128) -> Result<Written, E> {
        self.parse(&number.to_string())
    }

    fn visit_u128<E: serde::de::Error>(self, number: u128) -> Result<Written, E> {
        self.parse(&number.to_string())
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Written, E> {
        self.parse(&shortest(number))
    }
}
