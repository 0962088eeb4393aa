//! What a calibration left in a scenario: which settings were fitted, how far each may be off, and how they hang together.
//!
//! ```ron
//! calibration: (
//!     note: "14 readings of ferry-readings.ron",
//!     parameters: [
//!         (setting: "both.found.friction", by: Factor, sd: 0.21),
//!         (setting: "both.bearings.lower_offset", by: Amount, sd: 0.0011),
//!     ],
//!     // Correlations below the diagonal, a row for each parameter after the first.
//!     correlation: [[-0.31]],
//!     // Only where whole passes were read: machines that go with them, how far each parameter of each is off.
//!     draws: [[0.11, -0.0004], [-0.25, 0.0007]],
//! ),
//! ```
//!
//! A setting may be off by a factor, exp(δ), or by an amount, δ in SI, with δ normal with this standard deviation around what the file says. Settings
//! changed later keep how far they may be off. Where machines are listed under `draws`, those are what the settings may be, and no others.

pub use super::calibration_file::*;
use super::checked::Scenario;
use crate::error::{Diagnostics, Refusal};

/// How far the settings of a scenario may be off, checked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Uncertainty {
    /// Where it comes from, as written.
    pub note: String,
    /// Settings, how they are off, and the standard deviation.
    pub parameters: Vec<(String, OffBy, f64)>,
    /// Lower triangle of the Cholesky factor of the covariance, rows one after another.
    pub factor: Vec<Vec<f64>>,
    /// Machines that go with all that is known, as deviations of every parameter; empty where the covariance says it all.
    pub draws: Vec<Vec<f64>>,
}

impl Uncertainty {
    /// From standard deviations and correlations below the diagonal. `None` when they are no covariance.
    pub fn new(
        note: &str,
        parameters: Vec<(String, OffBy, f64)>,
        correlation: &[Vec<f64>],
    ) -> Option<Uncertainty> {
        let n = parameters.len();
        let r = |i: usize, k: usize| if i == k { 1.0 } else { correlation[i - 1][k] };
        let mut factor: Vec<Vec<f64>> = Vec::with_capacity(n);
        for i in 0..n {
            let mut row = vec![0.0; i + 1];
            for k in 0..=i {
                let upto: f64 = (0..k).map(|l| row[l] * if k == i { row[l] } else { factor[k][l] }).sum();
                let rest = r(i, k) - upto;
                if k < i {
                    // A parameter that hangs wholly on others before it leaves nothing to divide by.
                    row[k] = if factor[k][k] > 0.0 { rest / factor[k][k] } else { 0.0 };
                } else if rest < -1e-6 || !rest.is_finite() {
                    return None;
                } else {
                    row[i] = rest.max(0.0).sqrt();
                }
            }
            factor.push(row);
        }
        for (row, (_, _, sd)) in factor.iter_mut().zip(&parameters) {
            row.iter_mut().for_each(|v| *v *= sd);
        }
        Some(Uncertainty { note: note.to_owned(), parameters, factor, draws: Vec::new() })
    }

    /// Deviations from as many independent standard normal numbers.
    pub fn deviations(&self, normal: &[f64]) -> Vec<f64> {
        self.factor.iter().map(|row| row.iter().zip(normal).map(|(f, z)| f * z).sum()).collect()
    }
}

impl Scenario {
    /// How far the settings may be off by the calibration of the scenario, checked; `None` when it was not calibrated.
    ///
    /// # Errors
    /// [`Diagnostics`] with the place of what makes no sense.
    pub fn uncertainty(&self) -> Result<Option<Uncertainty>, Diagnostics> {
        let Some(file) = &self.file().calibration else { return Ok(None) };
        let mut found = Diagnostics::default();
        let refusal = |problem: &str, given: &str, allowed: &str| Refusal {
            problem: problem.to_owned(),
            given: given.chars().take(80).collect(),
            allowed: allowed.to_owned(),
            advice: "calibrate again, or leave the part calibration out".to_owned(),
        };
        for (i, fitted) in file.parameters.iter().enumerate() {
            let at = |field: &str| format!("calibration.parameters[{i}].{field}");
            match self.setting(&fitted.setting) {
                Ok(setting) if setting.info().is_none() => found.push(self.diagnostic(
                    &at("setting"),
                    refusal("this setting has no amounts to be off by", &fitted.setting, "a quantity"),
                )),
                Ok(_) if file.parameters[..i].iter().any(|f| f.setting == fitted.setting) => {
                    found.push(self.diagnostic(
                        &at("setting"),
                        refusal("this setting stands here twice", &fitted.setting, "each once"),
                    ))
                }
                Ok(_) => {}
                Err(d) => {
                    found.push(self.diagnostic(&at("setting"), refusal(&d.problem, &d.given, &d.allowed)));
                }
            }
            if !(0.0..1e6).contains(&fitted.sd) {
                let told = refusal("no standard deviation", &fitted.sd.to_string(), "0 or more");
                found.push(self.diagnostic(&at("sd"), told));
            }
        }
        let rows = file.correlation.iter();
        let shaped = rows.len() + 1 == file.parameters.len().max(1)
            && rows.clone().enumerate().all(|(i, row)| row.len() == i + 1)
            && rows.flatten().all(|r| (-1.0..=1.0).contains(r));
        if !shaped {
            let told = refusal(
                "these are no correlations of the parameters",
                "",
                "a row for each parameter after the first, as many numbers from -1 to 1 as there are before it",
            );
            found.push(self.diagnostic("calibration.correlation", told));
        }
        for (i, draw) in file.draws.iter().enumerate() {
            if draw.len() != file.parameters.len() || !draw.iter().all(|by| by.abs() < 1e6) {
                let told = refusal("this is no machine", "", "as many numbers as there are parameters");
                found.push(self.diagnostic(&format!("calibration.draws[{i}]"), told));
            }
        }
        found.into_result()?;
        let parameters = file.parameters.iter().map(|f| (f.setting.clone(), f.by, f.sd)).collect();
        let known = Uncertainty::new(&file.note, parameters, &file.correlation);
        known.map(|known| Some(Uncertainty { draws: file.draws.clone(), ..known })).ok_or_else(|| {
            let told =
                refusal("no quantities can hang together so", "", "correlations that go with each other");
            self.diagnostic("calibration.correlation", told).into()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_the_factor_gives_the_covariance_back() {
        let parameters =
            ["a", "b", "c"].iter().zip([2.0, 0.5, 3.0]).map(|(n, s)| ((*n).to_owned(), OffBy::Amount, s));
        let correlation = [vec![0.6], vec![-0.3, 0.2]];
        let u = Uncertainty::new("", parameters.collect(), &correlation).expect("a covariance");
        let c =
            |i: usize, k: usize| -> f64 { u.factor[i].iter().zip(&u.factor[k]).map(|(a, b)| a * b).sum() };
        for (i, k, expected) in
            [(0, 0, 4.0), (1, 1, 0.25), (2, 2, 9.0), (1, 0, 0.6), (2, 0, -1.8), (2, 1, 0.3)]
        {
            assert!((c(i, k) - expected).abs() < 1e-12, "{i} {k}: {}", c(i, k));
        }
        assert!((u.deviations(&[1.0, 0.0, 0.0])[0] - 2.0).abs() < 1e-12);
        // Two that are opposite to a third cannot be opposite to each other.
        let three = u.parameters.clone();
        assert_eq!(Uncertainty::new("", three, &[vec![-0.9], vec![-0.9, -0.9]]), None);
    }
}
