//! The `uneven` part as it is written.

use serde::{Deserialize, Serialize};

/// One difference that the scenario explains, as written.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct UnevenFile {
    /// Path of the setting below its unit: `air.cap`.
    pub setting: String,
    /// Why the two sides differ.
    pub why: String,
}
