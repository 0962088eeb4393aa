//! The criteria as written: a limit for every measure that the table of measures lets a scenario limit, those of features, the marginal share.

use crate::coverage::MeasureName;
use crate::coverage::table::Given;
use crate::units::{Force, Fraction, Written, WrittenIn};
use crate::vehicle::FeatureKind;
use serde::Deserialize;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, Visitor};
use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;

const FEATURE_FORCE: &str = "feature_force";
const MARGINAL: &str = "marginal";

/// Limits; what is not given is not judged.
#[derive(Debug, Clone, PartialEq)]
pub struct CriteriaFile {
    /// The limits that are given, by what they limit.
    pub limits: BTreeMap<MeasureName, Written>,
    /// Highest force on each kind of feature; goes before the limits of the vehicles.
    pub feature_force: Vec<FeatureLimit>,
    /// Within this share of a limit a number is marginal; 10 % when not given.
    pub marginal: Fraction,
}

impl Default for CriteriaFile {
    fn default() -> Self {
        CriteriaFile { limits: BTreeMap::new(), feature_force: Vec::new(), marginal: Fraction::from_si(0.1) }
    }
}

/// Every field, in the order of the table.
static FIELDS: LazyLock<Vec<&'static str>> = LazyLock::new(|| {
    let given = |name: &MeasureName| {
        name.row().limited.is_some_and(|limited| matches!(limited.given, Given::Scenario(..)))
    };
    let keys = MeasureName::ALL.into_iter().filter(given).map(MeasureName::criterion_key);
    keys.chain([FEATURE_FORCE, MARGINAL]).collect()
});

/// A value, or nothing where it says `None`.
struct Maybe<S>(S);

impl<'de, S: DeserializeSeed<'de>> DeserializeSeed<'de> for Maybe<S> {
    type Value = Option<S::Value>;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Self::Value, D::Error> {
        deserializer.deserialize_option(self)
    }
}

impl<'de, S: DeserializeSeed<'de>> Visitor<'de> for Maybe<S> {
    type Value = Option<S::Value>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a limit or nothing")
    }

    fn visit_none<E: Error>(self) -> Result<Self::Value, E> {
        Ok(None)
    }

    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<Self::Value, D::Error> {
        self.0.deserialize(deserializer).map(Some)
    }
}

struct Fields;

impl<'de> Visitor<'de> for Fields {
    type Value = CriteriaFile;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("struct CriteriaFile")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<CriteriaFile, A::Error> {
        let mut file = CriteriaFile::default();
        let mut seen = Vec::new();
        while let Some(Field(key)) = map.next_key()? {
            if seen.contains(&key) {
                return Err(A::Error::duplicate_field(key));
            }
            seen.push(key);
            match MeasureName::from_criterion_key(key) {
                _ if key == FEATURE_FORCE => file.feature_force = map.next_value()?,
                Some(name) => {
                    if let Some(limit) = map.next_value_seed(Maybe(WrittenIn(name.row().info)))? {
                        file.limits.insert(name, limit);
                    }
                }
                None => file.marginal = map.next_value()?,
            }
        }
        Ok(file)
    }
}

/// A field that there is.
struct Field(&'static str);

impl<'de> Deserialize<'de> for Field {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_identifier(FieldVisitor)
    }
}

struct FieldVisitor;

impl Visitor<'_> for FieldVisitor {
    type Value = Field;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("field identifier")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Field, E> {
        let fields = FIELDS.as_slice();
        let known = fields.iter().find(|field| **field == text);
        known.map(|field| Field(field)).ok_or_else(|| E::unknown_field(text, fields))
    }
}

impl<'de> Deserialize<'de> for CriteriaFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_struct("CriteriaFile", FIELDS.as_slice(), Fields)
    }
}

/// Highest force on one kind of feature.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeatureLimit {
    /// The kind.
    pub feature: FeatureKind,
    /// The force.
    pub limit: Force,
}
