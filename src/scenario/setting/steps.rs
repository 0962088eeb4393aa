//! A setting by field steps: so many up or down, or all between two values.

use super::super::checked::Scenario;
use super::{Setting, SettingValue, Target};
use crate::error::Refusal;

impl Setting {
    /// The changes that move the setting by `n` field steps from where it stands, for [`Scenario::with`]; a pair that differs moves by
    /// the same step on each side. `None` when that leaves the range, and for a choice.
    pub fn step(&self, scenario: &Scenario, n: i32) -> Option<Vec<(String, String)>> {
        let step = self.step_si()?;
        let get = |spot| self.row.get(scenario.file(), spot).map(|value| self.indexed(value));
        let to = |value: &SettingValue| {
            self.text_like(&value.text, rounded(value.si + f64::from(n) * step, step)).ok()
        };
        match self.target {
            Target::One(spot) => Some(vec![(self.path.clone(), to(&get(spot)?)?)]),
            Target::Pair([left, right]) => {
                let (left, right) = (get(left)?, get(right)?);
                if left == right {
                    return Some(vec![(self.path.clone(), to(&left)?)]);
                }
                let rest = self.path.strip_prefix("both.")?;
                Some(vec![(format!("left.{rest}"), to(&left)?), (format!("right.{rest}"), to(&right)?)])
            }
        }
    }

    /// Values from `low` to `high` in steps, as texts for [`Scenario::with`]; without a step, in field steps. A number without a unit is
    /// taken in the unit of the field step: `60`, `140`, `5` for a throughput. For a choice: `low` to `high` in the order of the list.
    ///
    /// # Errors
    /// [`Refusal`] when a value cannot be read, is out of range, the order is wrong, or there would be more than a million values.
    pub fn grid(&self, low: &str, high: &str, step: Option<&str>) -> Result<Vec<String>, Refusal> {
        let (first, last) = (self.number(low)?, self.number(high)?);
        let by = match step {
            Some(step) => self.number_in_step_unit(step)?,
            None => self.step_si().unwrap_or(1.0),
        };
        let count = ((last - first) / by).round();
        if !(by > 0.0 && (0.0..1e6).contains(&count)) {
            return Err(Refusal {
                problem: "this makes no row of values".to_owned(),
                given: format!(
                    "{low} to {high} in steps of {}",
                    step.map_or_else(|| self.step_text(), str::to_owned)
                ),
                allowed: "a low value, a higher one and a step above 0, up to a million values".to_owned(),
                advice: "write the low value first".to_owned(),
            });
        }
        let count = count as u32;
        (0..=count)
            .filter(|i| first + f64::from(*i) * by <= last + 1e-9 * by)
            .map(|i| self.text_like(low, rounded(first + f64::from(i) * by, by)))
            .collect()
    }
}

/// Takes off what adding steps leaves in the last digits, so that 3 × 1/16 in is the same as written.
pub(super) fn rounded(value: f64, step: f64) -> f64 {
    let steps = value / step;
    if (steps - steps.round()).abs() < 1e-9 { steps.round() * step } else { value }
}
