//! What can be wrong with a vehicle description.

/// One thing that is wrong: which field, what was given, what is allowed, what to do. Lengths are told in metres and inches.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {given} given, allowed: {allowed}; {advice}")]
pub struct VehicleError {
    /// Path of the field in the spec, without unit: `length`, `body[1].nose_corner_radius`, `features[0].reach`.
    pub field: String,
    /// What was given.
    pub given: String,
    /// What is allowed.
    pub allowed: String,
    /// What to do about it.
    pub advice: String,
}

impl VehicleError {
    pub(super) fn new(
        field: impl Into<String>,
        given: impl Into<String>,
        allowed: impl Into<String>,
        advice: impl Into<String>,
    ) -> VehicleError {
        VehicleError {
            field: field.into(),
            given: given.into(),
            allowed: allowed.into(),
            advice: advice.into(),
        }
    }
}

/// A length in both units, to a tenth of a millimetre: «0.4121 m (16.22 in)».
pub(super) fn length_text(length_m: f64) -> String {
    if !length_m.is_finite() {
        return format!("{length_m}");
    }
    // Below what four decimals show, and above what anyone measures, the plain number says more.
    if (length_m != 0.0 && length_m.abs() < 1.0e-4) || length_m.abs() >= 1.0e6 {
        return format!("{length_m:e} m");
    }
    let trim = |text: String| text.trim_end_matches('0').trim_end_matches('.').to_owned();
    format!("{} m ({} in)", trim(format!("{length_m:.4}")), trim(format!("{:.2}", length_m / 0.0254)))
}

/// A closed range of lengths.
pub(super) fn range_text(low_m: f64, high_m: f64) -> String {
    format!("{} to {}", length_text(low_m), length_text(high_m))
}
