//! A calibration: what was fitted, how well it is known, what is out of line and what is left open.

use super::fit::Judged;
use super::machine::Row;
use super::parameter::Parameter;
use crate::scenario::Scenario;
use crate::scenario::calibration::{OffBy, Uncertainty};

/// A value that was read and does not fit the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct OutOfLine {
    /// Its row.
    pub row: usize,
    /// Whether another value read fits as badly, so that the rest does not tell which of them is off.
    pub unclear: bool,
    /// How many standard deviations it is off, allowing for what the fit takes from it.
    pub studentised: f64,
    /// What it would be by all the others, SI.
    pub expected_si: f64,
    /// What it would fit if the unit were another: «12 lbf».
    pub reads_like: Option<String>,
}

/// A combination that the readings leave as it was assumed.
#[derive(Debug, Clone, PartialEq)]
pub enum LeftOpen {
    /// No reading has a unit of force, mass or pressure: all of them could be larger alike.
    CommonScale,
    /// One parameter.
    One(usize),
    /// Some together: number of the parameter, and whether it goes up or down with the first.
    Together(Vec<(usize, bool)>),
}

/// A calibration.
#[derive(Debug, Clone)]
pub struct Calibration {
    /// The scenario with the fitted values.
    pub scenario: Scenario,
    /// What was fitted.
    pub parameters: Vec<Parameter>,
    /// What is not fitted, because the sides differ in it.
    pub sides_differ: Vec<&'static str>,
    /// Whether the scenario was calibrated before.
    pub again: bool,
    /// Where the sum of squares is least, in standard deviations from what was assumed; shared errors after the parameters.
    pub least: Vec<f64>,
    /// The middle of what is left open, likewise: what each parameter came to.
    pub at: Vec<f64>,
    /// Whether each is held by a bound.
    pub at_bound: Vec<bool>,
    /// Names of the shared errors.
    pub shared: Vec<String>,
    /// The fit judged; rows are those in `counted`.
    pub judged: Judged,
    /// Every value read.
    pub rows: Vec<Row>,
    /// What each would be on the fitted machine, with the errors of the instruments, SI.
    pub expected_si: Vec<f64>,
    /// What each would have been on the machine as it was assumed, SI; `None` where the engine had no answer for it.
    pub assumed_si: Option<Vec<f64>>,
    /// Rows that the fit is of.
    pub counted: Vec<usize>,
    /// Values that do not fit and were left out.
    pub out_of_line: Vec<OutOfLine>,
    /// Parameters that came out farther from what was assumed than they should, and by how many standard deviations: the description may be wrong there.
    pub against_assumed: Vec<(usize, f64)>,
    /// What the readings leave open.
    pub open: Vec<LeftOpen>,
    /// Searches that ended at this minimum, and searches that ended.
    pub agreeing: (usize, usize),
    /// χ² of another minimum, if one was found.
    pub other_minimum: Option<f64>,
    /// Machines that go with all readings, where some are of whole passes, as parameters in standard deviations from what was assumed. Empty where none is:
    /// the covariance then says it all.
    pub draws: Vec<Vec<f64>>,
    /// How many such machines were found, where they were too few to be kept.
    pub too_few_draws: Option<usize>,
}

impl Calibration {
    /// Standard deviation of a parameter in units of what was assumed about it; `None` at a bound.
    pub fn left(&self, k: usize) -> Option<f64> {
        (!self.at_bound[k]).then(|| self.judged.sd(k))
    }

    /// How far the fitted settings may be off, together.
    pub fn uncertainty(&self) -> Option<Uncertainty> {
        let of = |k: usize| self.parameters[k].sd * self.left(k).unwrap_or(0.0);
        let list = self.parameters.iter().enumerate().map(|(k, p)| (p.path.clone(), p.by, of(k))).collect();
        let below = |i: usize| (0..i).map(|k| self.judged.correlation(i, k)).collect();
        let correlation: Vec<Vec<f64>> = (1..self.parameters.len()).map(below).collect();
        let known = Uncertainty::new("", list, &correlation)?;
        Some(Uncertainty { draws: self.draws.iter().map(|draw| self.deviations(draw)).collect(), ..known })
    }

    /// How far a machine drawn is off the fitted values: logarithms of factors, amounts in SI.
    pub fn deviations(&self, draw: &[f64]) -> Vec<f64> {
        let parameters = self.parameters.iter().zip(draw).zip(&self.at);
        parameters.map(|((p, drawn), at)| p.sd * (drawn - at)).collect()
    }

    /// Value of a parameter and its standard deviation, SI; no deviation at a bound.
    pub fn value(&self, k: usize) -> (f64, Option<f64>) {
        let p = &self.parameters[k];
        let value = p.value_si(self.at[k]);
        let sd = self.left(k).map(|left| spread_si(p, value, left));
        (value, sd)
    }

    /// Pairs of parameters of which the readings see little more than a combination: correlation above 0.95.
    pub fn trade_offs(&self) -> Vec<(usize, usize, f64)> {
        let count = self.parameters.len();
        let mut pairs = Vec::new();
        for i in 0..count {
            for k in 0..i {
                let r = self.judged.correlation(i, k);
                if r.abs() > 0.95 {
                    pairs.push((k, i, r));
                }
            }
        }
        pairs
    }
}

/// A deviation of so many assumed standard deviations at a value, SI.
pub fn spread_si(p: &Parameter, value_si: f64, left: f64) -> f64 {
    match p.by {
        OffBy::Factor => value_si * p.sd * left,
        OffBy::Amount => p.sd * left,
    }
}
