//! What is said when a number given to the foam model cannot be used. Plain data: no file, no printing.

/// Why the foam model refuses a number. Values are in SI; whoever shows the text may put them into trade units.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FoamError {
    /// A number outside the documented range (or not a number).
    #[error("{field}: given {given} {unit}, allowed {low} to {high} {unit}; {advice}")]
    OutOfRange {
        /// Path of the field, as `dilution.injector.throat_bore_m`.
        field: String,
        /// The number given, SI.
        given: f64,
        /// SI unit, empty for a pure number.
        unit: &'static str,
        /// Least value allowed, SI.
        low: f64,
        /// Greatest value allowed, SI.
        high: f64,
        /// What to do about it.
        advice: String,
    },
    /// Numbers that are each in range but do not go together.
    #[error("{field}: given {given}, allowed {allowed}; {advice}")]
    Conflict {
        /// Path of the field.
        field: String,
        /// What was given, in words and SI.
        given: String,
        /// What is allowed, in words and SI.
        allowed: String,
        /// What to do about it.
        advice: String,
    },
}

impl FoamError {
    /// Path of the field the error is about.
    #[must_use]
    pub fn field(&self) -> &str {
        match self {
            Self::OutOfRange { field, .. } | Self::Conflict { field, .. } => field,
        }
    }

    /// The same error with `prefix.` before its field path.
    #[must_use]
    pub(crate) fn under(mut self, prefix: &str) -> Self {
        match &mut self {
            Self::OutOfRange { field, .. } | Self::Conflict { field, .. } => {
                *field = format!("{prefix}.{field}")
            }
        }
        self
    }

    /// A conflict, from its four texts.
    pub(crate) fn conflict(
        field: impl Into<String>,
        given: impl Into<String>,
        allowed: impl Into<String>,
        advice: impl Into<String>,
    ) -> Self {
        Self::Conflict {
            field: field.into(),
            given: given.into(),
            allowed: allowed.into(),
            advice: advice.into(),
        }
    }
}

/// Refuses `given` unless `low <= given <= high`; a NaN is refused.
pub(crate) fn within(
    field: &str,
    given: f64,
    unit: &'static str,
    low: f64,
    high: f64,
    advice: &str,
) -> Result<(), FoamError> {
    if given >= low && given <= high {
        return Ok(());
    }
    Err(FoamError::OutOfRange { field: field.to_owned(), given, unit, low, high, advice: advice.to_owned() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_refuses_nan_and_says_what_to_do() {
        let error = within("air_pressure_pa", f64::NAN, "Pa", 0.0, 1e6, "read the gauge")
            .unwrap_err()
            .under("settings");
        assert_eq!(error.field(), "settings.air_pressure_pa");
        let text = error.to_string();
        for part in ["settings.air_pressure_pa", "NaN", "0 to 1000000 Pa", "read the gauge"] {
            assert!(text.contains(part), "{text}");
        }
        assert!(within("x", 1.0, "", 1.0, 2.0, "").is_ok());
        assert!(within("x", 2.0 + 1e-12, "", 1.0, 2.0, "").is_err());
    }
}
