//! What differs between left and right, and what of it the scenario explains:
//!
//! ```text
//! uneven: [
//!     (setting: "air.cap", why: "the left bearing drags until it is renewed"),
//! ]
//! ```
//!
//! Where the pivots stand along the lane is the layout of the machine, not a difference of its set-up.

use super::Scenario;
use super::setting::Reading;
use crate::error::{Diagnostics, Refusal};
use serde::{Deserialize, Serialize};

/// One difference between the two sides.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Uneven {
    /// Path of the setting below its unit.
    pub setting: String,
    /// What it is, in trade words.
    pub label: String,
    /// On the left, as written.
    pub left: String,
    /// On the right, as written.
    pub right: String,
    /// Why, where the scenario says so.
    pub why: Option<String>,
}

impl Scenario {
    /// Every setting that differs between left and right, in the order of the table, with what the scenario says of why.
    pub fn uneven(&self) -> Vec<Uneven> {
        let mut list = Vec::new();
        for setting in self.settings() {
            let Some(path) = setting.path.strip_prefix("both.").filter(|path| *path != "position") else {
                continue;
            };
            if let Some(Reading::Differs { left, right }) = setting.read(self) {
                let why = self.file().uneven.iter().find(|own| own.setting == path);
                list.push(Uneven {
                    setting: path.to_owned(),
                    label: setting.label.clone(),
                    left: left.text,
                    right: right.text,
                    why: why.map(|own| own.why.trim().to_owned()),
                });
            }
        }
        list
    }

    /// What is explained must be a setting of both sides, with a reason.
    pub(super) fn check_uneven(&self) -> Result<(), Diagnostics> {
        let mut found = Diagnostics::default();
        for (i, own) in self.file().uneven.iter().enumerate() {
            if let Err(diagnostic) = self.setting(&format!("both.{}", own.setting)) {
                let told = Refusal {
                    problem: "no setting of both sides has this path".to_owned(),
                    given: own.setting.clone(),
                    allowed: diagnostic.allowed.clone(),
                    advice: "write the path as «brusharm settings» lists it, without its side".to_owned(),
                };
                found.push(self.diagnostic(&format!("uneven[{i}].setting"), told));
            }
            if own.why.trim().is_empty() {
                let told = Refusal {
                    problem: "why the sides differ is not said".to_owned(),
                    given: own.why.clone(),
                    allowed: "a sentence".to_owned(),
                    advice: "say why, or leave the entry out".to_owned(),
                };
                found.push(self.diagnostic(&format!("uneven[{i}].why"), told));
            }
        }
        found.into_result()
    }
}
