//! The `spread` part as it is written.

use serde::de::{Deserializer, Visitor};
use serde::{Deserialize, Serialize};

/// The `spread` part as it stands in the file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpreadFile {
    /// Whether the vehicle is drawn by its share of the fleet.
    #[serde(default)]
    pub fleet: bool,
    /// What spreads.
    #[serde(default)]
    pub factors: Vec<FactorFile>,
}

/// One thing that spreads, as written.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FactorFile {
    /// Path of a setting.
    #[serde(default)]
    pub setting: Option<String>,
    /// Or a size of the measured vehicle.
    #[serde(default)]
    pub size: Option<SizeWord>,
    /// Deviation from what is set.
    #[serde(default)]
    pub by: Option<DeviationFile>,
    /// Or a value in place of it.
    #[serde(default)]
    pub to: Option<ValueFile>,
}

/// Which size of a vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
pub enum SizeWord {
    /// Length.
    Length,
    /// Width.
    Width,
    /// Height.
    Height,
}

/// A deviation, symmetrical about nothing.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum DeviationFile {
    /// Normal, cut off at plus and minus `within`.
    Normal {
        /// Standard deviation before it is cut off.
        sd: Written,
        /// Largest deviation.
        within: Written,
    },
    /// Evenly between plus and minus `within`.
    Uniform {
        /// Largest deviation.
        within: Written,
    },
    /// Most likely none, falling evenly to nothing at plus and minus `within`.
    Triangular {
        /// Largest deviation.
        within: Written,
    },
}

/// A value.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum ValueFile {
    /// Normal, cut off at `low` and `high`.
    Normal {
        /// Mean before it is cut off.
        mean: Written,
        /// Standard deviation before it is cut off.
        sd: Written,
        /// Lowest.
        low: Written,
        /// Highest.
        high: Written,
    },
    /// Evenly from `low` to `high`.
    Uniform {
        /// Lowest.
        low: Written,
        /// Highest.
        high: Written,
    },
    /// From `low` over the most likely `mode` to `high`.
    Triangular {
        /// Lowest.
        low: Written,
        /// Most likely.
        mode: Written,
        /// Highest.
        high: Written,
    },
    /// One of these values by share.
    Listed(
        /// Values with their shares, which add up to 1.
        Vec<ListedFile>,
    ),
}

/// One value of a list.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ListedFile {
    /// The value.
    pub value: Written,
    /// How often, as a share of all.
    pub share: Written,
}

/// A quantity whose dimension depends on the setting: text in quotes, or a plain number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written(pub String);

impl<'de> Deserialize<'de> for Written {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(WrittenVisitor)
    }
}

struct WrittenVisitor;

impl Visitor<'_> for WrittenVisitor {
    type Value = Written;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a quantity in quotes, such as \"1/2 in\", or a plain number")
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Written, E> {
        Ok(Written(text.to_owned()))
    }

    fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Written, E> {
        Ok(Written(number.to_string()))
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Written, E> {
        Ok(Written(number.to_string()))
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Written, E> {
        Ok(Written(number.to_string()))
    }
}
