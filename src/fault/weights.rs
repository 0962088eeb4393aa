//! How common causes are: by the table, or as the scenario says of its site.
//!
//! ```text
//! fault: (weights: [(cause: "tight", weight: 8)]),
//! ```

use super::cause::{CAUSES, Cause};
use crate::error::{Diagnostics, Refusal, nearest};
use crate::scenario::Scenario;

/// Highest weight.
pub const MOST: f64 = 1000.0;

/// The weight of every cause, in the order of the table.
///
/// # Errors
/// [`Diagnostics`] with the place of a cause that does not exist or of what is no weight.
pub(super) fn weights(scenario: &Scenario) -> Result<Vec<f64>, Diagnostics> {
    let mut all: Vec<f64> = CAUSES.iter().map(|cause| cause.weight).collect();
    let mut found = Diagnostics::default();
    for (i, own) in scenario.file().fault.weights.iter().enumerate() {
        let at = |field: &str| format!("fault.weights[{i}].{field}");
        match Cause::named(&own.cause) {
            Some(cause) if (0.0..=MOST).contains(&own.weight) => all[cause] = own.weight,
            Some(_) => found.push(scenario.diagnostic(&at("weight"), no_weight(&own.weight.to_string()))),
            None => found.push(scenario.diagnostic(&at("cause"), no_cause(&own.cause))),
        }
    }
    found.into_result().map(|()| all)
}

/// What is said of a weight that is none.
pub fn no_weight(given: &str) -> Refusal {
    Refusal {
        problem: "this is no weight".to_owned(),
        given: given.to_owned(),
        allowed: format!("0 to {MOST}"),
        advice: "most causes stand between 1 and 5".to_owned(),
    }
}

/// What is said of a name that no cause has.
pub fn no_cause(given: &str) -> Refusal {
    let known: Vec<&str> = CAUSES.iter().map(|cause| cause.key).collect();
    let all = "«brusharm fault --list» shows all";
    Refusal {
        problem: "there is no such cause of a fault".to_owned(),
        given: given.to_owned(),
        allowed: known.join(", "),
        advice: match nearest(given, known.iter().copied()) {
            Some(likely) => format!("write {likely} if that is what you mean; {all}"),
            None => all.to_owned(),
        },
    }
}
