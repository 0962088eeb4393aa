//! What differs between left and right, and what of it the scenario explains:
//!
//! ```text
//! uneven: [
//!     (setting: "air.cap", why: "the left bearing drags until it is renewed"),
//! ]
//! ```
//!
//! Settings are compared first, then what else stands in the set-up of each unit, then the hardware of a machine whose units are described each (paths with `machine.`).
//! Where the pivots stand along the lane is the layout of the machine, not a difference of its set-up.

use super::Scenario;
use super::part::{Difference, Value};
use super::setting::Reading;
use crate::arm::Side;
use crate::error::{Diagnostics, Refusal};
use serde::{Deserialize, Serialize};

/// What paths of hardware begin with.
const MACHINE: &str = "machine";

/// «machine.dampers[0].frame.across» as «machine, dampers 1, frame, across».
fn label(path: &str) -> String {
    let words = path.split('.').map(|word| match word.split_once('[') {
        Some((list, index)) => {
            let number = index.trim_end_matches(']').parse::<usize>().map_or(1, |index| index + 1);
            format!("{} {number}", list.replace('_', " "))
        }
        None => word.replace('_', " "),
    });
    words.collect::<Vec<String>>().join(", ")
}

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
        for Difference { path, left, right } in self.unlike_parts() {
            let why = self.file().uneven.iter().find(|own| own.setting == path);
            let why = why.map(|own| own.why.trim().to_owned());
            list.push(Uneven { label: label(&path), setting: path, left, right, why });
        }
        list
    }

    /// What differs between the units besides settings of both.
    fn unlike_parts(&self) -> Vec<Difference> {
        let mut found = Vec::new();
        let file = self.file();
        if let (Some(left), Some(right)) = (&file.left, &file.right) {
            left.differ(right, "", &mut found);
            // Gaps and offsets of bearings are two forms of one setting.
            found.retain(|own| {
                own.path != "position"
                    && !own.path.starts_with("bearings.")
                    && self.setting(&format!("both.{}", own.path)).is_err()
            });
        }
        if let [Some(left), Some(right)] = Side::BOTH.map(|side| self.hardware(side)) {
            left.differ(right, MACHINE, &mut found);
        }
        found
    }

    /// What is explained must be a setting of both sides, with a reason.
    pub(super) fn check_uneven(&self) -> Result<(), Diagnostics> {
        let mut found = Diagnostics::default();
        for (i, own) in self.file().uneven.iter().enumerate() {
            let setting = self.setting(&format!("both.{}", own.setting));
            let parts = || self.unlike_parts().iter().any(|part| part.path == own.setting);
            if let Err(diagnostic) = setting
                && !parts()
            {
                let told = Refusal {
                    problem: "no setting of both sides has this path, and no other part differs there"
                        .to_owned(),
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
