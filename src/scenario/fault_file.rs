//! The `fault` part as it is written.

use serde::{Deserialize, Serialize};

/// What this site knows of its faults, as written.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct FaultFile {
    /// How common causes are here, in place of the table.
    pub weights: Vec<FaultWeightFile>,
}

/// How common a cause is here, as written.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct FaultWeightFile {
    /// Its name in the list of causes.
    pub cause: String,
    /// How common, relative to the others; 0 leaves it out.
    pub weight: f64,
}
