//! What a fit is worth: errors, what each reading weighs, which does not fit, what the readings leave open.
//!
//! The rows of the Jacobian are the readings first, then what was assumed (priors). Covariance C = (JᵀJ)⁻¹ over the parameters that no bound holds.
//! Leverage of a reading h = jᵀ C j, with j its row: the share of it that the fit takes from itself. Its residual has the variance 1 − h, so the
//! studentised residual is r/√(1 − h), known sigmas; with n readings one is out of line when its chance is below 5 %/n (Bonferroni). A reading
//! with a leverage near 1 cannot be checked: the fit follows it wherever it is. χ² at the minimum has as many degrees of freedom as there are
//! readings, as each parameter has its prior.
//!
//! Source: N. R. Draper, H. Smith, Applied Regression Analysis, ch. 8 (from memory).

use super::chance::{chi2_above, normal_beyond};
use super::trust::Minimum;
use nalgebra::{DMatrix, DVector};

/// Above this leverage a reading cannot be checked.
pub const UNCHECKABLE: f64 = 0.8;
/// The chance at which a sound set of readings has one called out of line, and a right model is doubted.
pub const ALARM: f64 = 0.05;
/// χ² tells which of two readings is off when it differs by more than this: the wrong one is taken once in a hundred times at most (e^(−9/2)).
pub const ALIKE: f64 = 9.0;
/// A direction is left open by the readings when they take away less than this share of what was assumed about it.
pub const OPEN: f64 = 0.95;

/// (JᵀJ)⁻¹ over the free parameters, 0 for the others; by singular values of the Jacobian with columns of length 1. `None` where the columns
/// do not tell the parameters apart.
pub fn covariance(jacobian: &DMatrix<f64>, free: &[usize]) -> Option<DMatrix<f64>> {
    let count = jacobian.ncols();
    let mut whole = DMatrix::zeros(count, count);
    if free.is_empty() {
        return Some(whole);
    }
    let norms: Vec<f64> = free.iter().map(|&k| jacobian.column(k).norm()).collect();
    if norms.contains(&0.0) {
        return None;
    }
    let scaled = DMatrix::from_fn(jacobian.nrows(), free.len(), |row, i| jacobian[(row, free[i])] / norms[i]);
    let svd = scaled.svd(false, true);
    let vt = svd.v_t.as_ref()?;
    let s = &svd.singular_values;
    if s.len() < free.len() || s.min() <= 1e-14 * s.max() {
        return None;
    }
    for (a, &i) in free.iter().enumerate() {
        for (b, &k) in free.iter().enumerate() {
            let sum: f64 = (0..s.len()).map(|l| vt[(l, a)] * vt[(l, b)] / (s[l] * s[l])).sum();
            whole[(i, k)] = sum / (norms[a] * norms[b]);
        }
    }
    Some(whole)
}

/// A direction in the space of parameters that the readings leave open.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenDirection {
    /// Unit vector, in units of what was assumed about each parameter.
    pub direction: Vec<f64>,
    /// What is left of what was assumed about it: 1 = all.
    pub left: f64,
}

/// A fit judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Covariance of the parameters; 0 for those at a bound.
    pub covariance: DMatrix<f64>,
    /// Leverage of each reading.
    pub leverage: Vec<f64>,
    /// Studentised residual of each reading; `None` where the fit follows it.
    pub studentised: Vec<Option<f64>>,
    /// Chance that one of so many sound readings is as far out as each, by Bonferroni.
    pub out_chance: Vec<f64>,
    /// χ² at the minimum.
    pub chi2: f64,
    /// Its degrees of freedom.
    pub degrees: usize,
    /// Chance of a χ² as high if the model is right.
    pub misfit_chance: f64,
    /// What the readings leave open, the most open first.
    pub open: Vec<OpenDirection>,
}

impl Judged {
    /// Standard deviation of a parameter.
    pub fn sd(&self, k: usize) -> f64 {
        self.covariance[(k, k)].max(0.0).sqrt()
    }

    /// Correlation of two parameters; 0 where one of them is at a bound.
    pub fn correlation(&self, i: usize, k: usize) -> f64 {
        let product = self.sd(i) * self.sd(k);
        if product > 0.0 { self.covariance[(i, k)] / product } else { 0.0 }
    }

    /// Whether a reading is out of line.
    pub fn is_out(&self, reading: usize) -> bool {
        self.out_chance[reading] < ALARM
    }

    /// The reading farthest out of line, if any is.
    pub fn worst_out(&self) -> Option<usize> {
        let far = |i: &usize| self.studentised[*i].map_or(0.0, f64::abs);
        (0..self.leverage.len()).filter(|&i| self.is_out(i)).max_by(|a, b| far(a).total_cmp(&far(b)))
    }

    /// That reading and those that may as well be the one that is off: leaving one of them out in its place would leave χ² higher by less than
    /// `ALIKE`.
    pub fn as_far_out(&self, worst: usize) -> Vec<usize> {
        let square = |i: usize| self.studentised[i].map_or(0.0, |z| z * z);
        (0..self.leverage.len())
            .filter(|&i| i == worst || self.is_out(i) && square(worst) - square(i) < ALIKE)
            .collect()
    }

    /// How far a fitted parameter is from what was assumed of it, allowing for what the fit takes from there, when it is out of line: its chance, by
    /// Bonferroni over `count` parameters, is below `ALARM`. `x` is where it came to.
    pub fn against_assumed(&self, k: usize, x: f64, count: usize) -> Option<f64> {
        let rest = 1.0 - self.covariance[(k, k)];
        let z = if rest > 1e-9 { x / rest.sqrt() } else { 0.0 };
        (count as f64 * normal_beyond(z) < ALARM).then_some(z)
    }

    /// Whether a reading cannot be checked.
    pub fn is_uncheckable(&self, reading: usize) -> bool {
        self.leverage[reading] > UNCHECKABLE
    }
}

/// Judges a minimum whose first `readings` rows are readings and whose parameters are in units of what was assumed about them, so that the rest of the
/// rows are priors with unit derivative. `None` where the covariance does not exist.
pub fn judge(minimum: &Minimum, readings: usize) -> Option<Judged> {
    let count = minimum.at.len();
    let free: Vec<usize> = (0..count).filter(|&k| !minimum.at_bound[k]).collect();
    let covariance = covariance(&minimum.jacobian, &free)?;
    let data = minimum.jacobian.rows(0, readings).into_owned();
    let mut leverage = Vec::with_capacity(readings);
    let mut studentised = Vec::with_capacity(readings);
    let mut out_chance = Vec::with_capacity(readings);
    for i in 0..readings {
        let row = data.row(i).transpose();
        let h = row.dot(&(&covariance * &row)).clamp(0.0, 1.0);
        let z = (h < 1.0 - 1e-9).then(|| minimum.residuals[i] / (1.0 - h).sqrt());
        leverage.push(h);
        studentised.push(z);
        out_chance.push(z.map_or(1.0, |z| (readings as f64 * normal_beyond(z)).min(1.0)));
    }
    let chi2 = minimum.chi2();
    // A parameter at a bound spends its prior on staying there.
    let degrees = readings;
    Some(Judged {
        leverage,
        studentised,
        out_chance,
        chi2,
        degrees,
        misfit_chance: chi2_above(chi2, degrees),
        open: open_directions(&data, &free, count),
        covariance,
    })
}

/// Directions that the readings leave as they were assumed: eigenvectors of JᵀJ of the readings with eigenvalues λ so small that
/// 1/√(1 + λ) ≥ [`OPEN`].
fn open_directions(data: &DMatrix<f64>, free: &[usize], count: usize) -> Vec<OpenDirection> {
    let part = DMatrix::from_fn(data.nrows(), free.len(), |row, i| data[(row, free[i])]);
    let information = part.transpose() * part;
    if free.is_empty() {
        return Vec::new();
    }
    let eigen = information.symmetric_eigen();
    let mut open: Vec<OpenDirection> = (0..free.len())
        .map(|i| {
            let mut direction = vec![0.0; count];
            let column: DVector<f64> = eigen.eigenvectors.column(i).into_owned();
            // One sign of the two: the largest part counts up.
            let sign = column[column.iamax()].signum();
            for (place, &k) in free.iter().enumerate() {
                direction[k] = sign * column[place];
            }
            OpenDirection { direction, left: 1.0 / (1.0 + eigen.eigenvalues[i].max(0.0)).sqrt() }
        })
        .filter(|open| open.left >= OPEN)
        .collect();
    open.sort_by(|a, b| b.left.total_cmp(&a.left));
    open
}
