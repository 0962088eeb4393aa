//! A mixing ratio as the trade writes it: `60:1`, parts of water to one of concentrate.

use crate::error::Refusal;
use serde::de::{Deserialize, Deserializer, Visitor};
use serde::ser::{Serialize, Serializer};

/// Parts of water to one of concentrate, with the text it was written as. Over 0 and finite.
#[derive(Debug, Clone, PartialEq)]
pub struct MixRatio {
    parts: f64,
    written: String,
}

impl MixRatio {
    /// Reads `60:1`, `60 : 1`, `120:2` or `60`.
    ///
    /// # Errors
    /// What is not a ratio over 0.
    pub fn parse(text: &str) -> Result<Self, Refusal> {
        let number = |part: &str| part.trim().parse::<f64>().ok().filter(|n| n.is_finite() && *n > 0.0);
        let parts = match text.split_once(':') {
            Some((water, concentrate)) => number(water).zip(number(concentrate)).map(|(w, c)| w / c),
            None => number(text),
        };
        match parts.filter(|p| p.is_finite() && *p > 0.0) {
            Some(parts) => Ok(Self { parts, written: text.trim().to_owned() }),
            None => Err(Refusal {
                problem: "not a mixing ratio".to_owned(),
                given: text.to_owned(),
                allowed: "water to concentrate, over 0".to_owned(),
                advice: "write 60:1 for sixty parts of water to one of concentrate".to_owned(),
            }),
        }
    }

    /// Parts of water to one of concentrate.
    #[must_use]
    pub fn parts(&self) -> f64 {
        self.parts
    }

    /// What the person wrote.
    #[must_use]
    pub fn written(&self) -> &str {
        &self.written
    }
}

impl std::str::FromStr for MixRatio {
    type Err = Refusal;

    fn from_str(text: &str) -> Result<Self, Refusal> {
        Self::parse(text)
    }
}

impl Serialize for MixRatio {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.written)
    }
}

impl<'de> Deserialize<'de> for MixRatio {
    fn deserialize<R: Deserializer<'de>>(deserializer: R) -> Result<Self, R::Error> {
        deserializer.deserialize_any(RatioVisitor)
    }
}

struct RatioVisitor;

impl RatioVisitor {
    fn read<E: serde::de::Error>(text: &str) -> Result<MixRatio, E> {
        MixRatio::parse(text).map_err(E::custom)
    }
}

impl Visitor<'_> for RatioVisitor {
    type Value = MixRatio;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "a mixing ratio in quotes, such as \"60:1\"")
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<MixRatio, E> {
        Self::read(text)
    }

    fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<MixRatio, E> {
        Self::read(&number.to_string())
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<MixRatio, E> {
        Self::read(&number.to_string())
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<MixRatio, E> {
        Self::read(&number.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_ratios_read_as_the_trade_writes_them() {
        for (text, parts) in [("60:1", 60.0), ("60", 60.0), (" 120 : 2 ", 60.0), ("97:3", 97.0 / 3.0)] {
            assert_eq!(MixRatio::parse(text).unwrap().parts(), parts, "{text}");
        }
        for text in ["", ":", "60:", "60:0", "-60:1", "1:2:3", "NaN", "inf:1", "sixty", "1e308:1e-308"] {
            let said = MixRatio::parse(text).unwrap_err().to_string();
            assert!(said.contains("60:1"), "{said}");
        }
    }
}
