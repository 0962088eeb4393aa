//! Fitting a model to readings: weighted nonlinear least squares within bounds, and what the fit is worth.
//!
//! Own code, because no library of this language gives both bounds and a covariance: those that minimise within bounds stop at the minimum, those
//! that give errors know no bounds. `nalgebra` does the linear algebra. What it gives is held against certified regressions and against SciPy
//! (`tests/calibrate/`).

mod chance;
mod judge;
mod trust;

pub use chance::{chi2_above, ln_normal_below, normal_beyond};
pub use judge::{ALARM, Judged, OPEN, OpenDirection, UNCHECKABLE, covariance, judge};
pub use trust::{Bounds, FitError, Minimum, Problem, differences, minimise};

/// Minima whose χ² differ by less than this count as one.
const SAME_CHI2: f64 = 0.01;

/// What a search from several places found.
#[derive(Debug, Clone, PartialEq)]
pub struct Search {
    /// The lowest minimum.
    pub best: Minimum,
    /// How many of the searches ended there.
    pub agreeing: usize,
    /// How many searches came to an end.
    pub ended: usize,
    /// χ² of the next minimum above it, if another was found.
    pub next_chi2: Option<f64>,
}

/// Searches from each start and keeps the lowest minimum.
///
/// # Errors
/// [`FitError`] of the first start when none comes to an end.
pub fn search(problem: &dyn Problem, starts: &[Vec<f64>], bounds: &Bounds) -> Result<Search, FitError> {
    let mut first = FitError::NoStart;
    let mut found: Vec<Minimum> = Vec::new();
    for (i, start) in starts.iter().enumerate() {
        match minimise(problem, start, bounds) {
            Ok(minimum) => found.push(minimum),
            Err(error) if i == 0 => first = error,
            Err(_) => {}
        }
    }
    let ended = found.len();
    let place = (0..ended).min_by(|&a, &b| found[a].chi2().total_cmp(&found[b].chi2())).ok_or(first)?;
    let best = found.swap_remove(place);
    let low = best.chi2();
    let agreeing = 1 + found.iter().filter(|m| m.chi2() - low < SAME_CHI2).count();
    let next_chi2 =
        found.iter().map(Minimum::chi2).filter(|chi2| chi2 - low >= SAME_CHI2).min_by(f64::total_cmp);
    Ok(Search { best, agreeing, ended, next_chi2 })
}
