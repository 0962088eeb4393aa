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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;

    /// A solved set-up tells the instant that its own parts tell, another one for another line.
    #[test]
    fn verif_the_key_instant_of_a_pass_is_that_of_its_parts() {
        let text = include_str!("../../scenarios/one-unit.ron");
        let told = [100, 140].map(|speed| {
            let text = text.replace("throughput: \"100 veh/h\"", &format!("throughput: \"{speed} veh/h\""));
            let setup = Scenario::read_alone(&text, "one-unit.ron").expect("good").setup();
            let settings = CoverageSettings::default();
            let solved = Solved::new(setup, settings, &Criteria::default()).expect("runs");
            let own = key_instant(&solved.setup, &solved.record, &solved.outcome, &settings);
            assert_eq!(solved.key_instant_s(), own);
            own
        });
        assert!(told[0] > 2.0 && (told[0] - told[1]).abs() > 1.0, "{told:?}");
    }
}
