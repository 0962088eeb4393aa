//! What every written form is made of: the version of the format, defaults, parts that scenarios share, quoted texts.

use crate::units::{Dimension, Quantity};
use serde::de::{Deserialize, Deserializer};
use std::sync::Arc;

/// The version of the file format this program reads.
pub const SCHEMA: u32 = 1;

/// A constant quantity as a file's default. The text is checked by a test of the rows.
pub(super) fn quantity<D: Dimension>(text: &str) -> Quantity<D> {
    Quantity::parse(text).unwrap_or_else(|_| Quantity::from_si(0.0))
}

/// A part of a scenario that many scenarios share: cloning it copies nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared<T>(pub Arc<T>);

impl<T: Default> Default for Shared<T> {
    fn default() -> Self {
        Shared(Arc::new(T::default()))
    }
}

impl<T> std::ops::Deref for Shared<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Shared<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        T::deserialize(deserializer).map(|value| Shared(Arc::new(value)))
    }
}

/// A text as a quoted RON string.
pub(super) fn ron_text(text: &str) -> String {
    ron::to_string(text).unwrap_or_else(|_| format!("{text:?}"))
}
