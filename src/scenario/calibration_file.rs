//! What stands in a scenario file about its calibration.

use crate::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// The part of a scenario.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CalibrationFile {
    /// Where it comes from.
    pub note: String,
    /// What was fitted.
    pub parameters: Vec<FittedFile>,
    /// Correlations below the diagonal.
    pub correlation: Vec<Vec<f64>>,
    /// Machines that go with readings of whole passes: how far each parameter of each is off. Empty where there are none.
    pub draws: Vec<Vec<f64>>,
}

/// One fitted setting.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FittedFile {
    /// Its path.
    pub setting: String,
    /// Whether it is off by a factor or an amount.
    pub by: OffBy,
    /// Standard deviation: of the logarithm of the factor, or of the amount in SI. 0 = held where it is.
    pub sd: f64,
}

/// How a setting is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
pub enum OffBy {
    /// By a factor.
    Factor,
    /// By an amount.
    Amount,
}

impl OffBy {
    /// A value moved by a deviation.
    pub fn moved(self, value_si: f64, deviation: f64) -> f64 {
        match self {
            OffBy::Factor => value_si * deviation.exponential(),
            OffBy::Amount => value_si + deviation,
        }
    }
}
