//! A pass with everything that was computed of it, as one value: nothing that is shown or told of it can mix two set-ups.

use super::{CoverageSettings, Criteria, Outcome, key_instant, measure};
use crate::pass::{PassError, PassSetup, Record, run};

/// A solved set-up.
#[derive(Debug, Clone)]
pub struct Solved {
    /// What was simulated.
    pub setup: PassSetup,
    /// The motion.
    pub record: Record,
    /// What it came to.
    pub outcome: Outcome,
    /// How coverage was counted.
    pub settings: CoverageSettings,
}

impl Solved {
    /// Runs the pass and measures it.
    ///
    /// # Errors
    /// [`PassError`] when the pass cannot be computed.
    pub fn new(
        setup: PassSetup,
        settings: CoverageSettings,
        criteria: &Criteria,
    ) -> Result<Solved, PassError> {
        let record = run(&setup)?;
        let outcome = measure(&setup, &record, &settings, criteria);
        Ok(Solved { setup, record, outcome, settings })
    }

    /// The instant that tells most of the pass, s.
    pub fn key_instant_s(&self) -> f64 {
        key_instant(&self.setup, &self.record, &self.outcome, &self.settings)
    }
}
