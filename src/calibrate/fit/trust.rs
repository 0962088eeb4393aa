//! Least squares within bounds: a trust region in scaled parameters, each step solved by singular values.
//!
//! Minimises ½ |r(x)|² with low ≤ x ≤ high. The step δ minimises |r + J δ| with |D δ| ≤ Δ; D holds the largest column norms of J met so far, so
//! parameters of 1e−7 and of 1e3 are moved alike. A step that would leave the bounds puts those parameters onto them and is solved again for the
//! rest. At the end full steps are taken as long as they bring the gradient down: where the sum of squares no longer tells points apart, the
//! gradient still does, and half the digits of a fit come from it.
//!
//! Sources: J. J. Moré, The Levenberg–Marquardt algorithm: implementation and theory, Lecture Notes in Mathematics 630:105-116 (1978);
//! M. A. Branch, T. F. Coleman, Y. Li, SIAM J. Sci. Comput. 21(1):1-23 (1999) for the secular equation by singular values. Both from memory; what
//! comes out is held against certified data and SciPy.

use nalgebra::{DMatrix, DVector};

/// What is fitted: residuals as functions of parameters, each residual over its standard deviation.
pub trait Problem {
    /// Residuals; `None` where the model has no answer.
    fn residuals(&self, at: &[f64]) -> Option<DVector<f64>>;

    /// Derivative of each residual (rows) by each parameter (columns); `None` where it cannot be had.
    fn jacobian(&self, at: &[f64]) -> Option<DMatrix<f64>>;

    /// The search ends after so many steps, wherever it is; `None` = it has failed if it comes to no end.
    fn most_steps(&self) -> Option<usize> {
        None
    }

    /// A step that promises to bring ½ |r|² down by no more than this is not worth taking; 0 = to the last digit.
    fn enough(&self) -> f64 {
        0.0
    }
}

/// The closed range of each parameter; infinite where there is none.
#[derive(Debug, Clone, PartialEq)]
pub struct Bounds {
    /// Lowest values.
    pub low: Vec<f64>,
    /// Highest values.
    pub high: Vec<f64>,
}

impl Bounds {
    /// No bounds on `count` parameters.
    pub fn none(count: usize) -> Bounds {
        Bounds { low: vec![f64::NEG_INFINITY; count], high: vec![f64::INFINITY; count] }
    }

    fn clamp(&self, k: usize, x: f64) -> f64 {
        x.max(self.low[k]).min(self.high[k])
    }

    /// The point moved into the bounds.
    pub fn inside(&self, at: &[f64]) -> Vec<f64> {
        at.iter().enumerate().map(|(k, x)| self.clamp(k, *x)).collect()
    }
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// The model has no answer where the search starts.
    #[error("the model has no answer where the search starts")]
    NoStart,
    /// The derivatives are not numbers.
    #[error("the model changes in a way that has no derivative")]
    NoDerivative,
    /// Too many steps.
    #[error("the search did not come to an end")]
    NoEnd,
}

/// Where a search ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Minimum {
    /// Parameters.
    pub at: Vec<f64>,
    /// Residuals there.
    pub residuals: DVector<f64>,
    /// Jacobian there.
    pub jacobian: DMatrix<f64>,
    /// Whether each parameter is held by a bound.
    pub at_bound: Vec<bool>,
    /// Steps that were tried.
    pub steps: usize,
}

impl Minimum {
    /// Sum of squares of the residuals.
    pub fn chi2(&self) -> f64 {
        self.residuals.norm_squared()
    }
}

/// Most steps tried.
const MOST_STEPS: usize = 3000;
/// Most full steps taken at the end.
const MOST_LAST_STEPS: usize = 30;
/// A step smaller than this share of the parameters is none.
const SMALL: f64 = 1e-14;

fn finite<'m>(mut values: impl Iterator<Item = &'m f64>) -> bool {
    values.all(|v| v.is_finite())
}

fn residuals(problem: &dyn Problem, at: &[f64]) -> Option<DVector<f64>> {
    problem.residuals(at).filter(|r| finite(r.iter()))
}

fn jacobian(problem: &dyn Problem, at: &[f64]) -> Result<DMatrix<f64>, FitError> {
    problem.jacobian(at).filter(|j| finite(j.iter())).ok_or(FitError::NoDerivative)
}

/// Searches from a point, moved into the bounds first.
///
/// # Errors
/// [`FitError`].
pub fn minimise(problem: &dyn Problem, start: &[f64], bounds: &Bounds) -> Result<Minimum, FitError> {
    let count = start.len();
    let mut at = bounds.inside(start);
    let mut r = residuals(problem, &at).ok_or(FitError::NoStart)?;
    let mut j = jacobian(problem, &at)?;
    let mut scale = vec![0.0; count];
    widen(&mut scale, &j);
    let size =
        |at: &[f64], scale: &[f64]| at.iter().zip(scale).map(|(x, d)| (x * d).powi(2)).sum::<f64>().sqrt();
    let mut radius = size(&at, &scale);
    if radius == 0.0 {
        radius = r.norm().max(1.0);
    }
    let mut steps = 0;
    loop {
        if problem.most_steps().is_some_and(|most| steps >= most) {
            break;
        }
        if steps >= MOST_STEPS {
            return Err(FitError::NoEnd);
        }
        steps += 1;
        let step = bounded_step(&at, &r, &j, &scale, radius, bounds);
        let length = size(step.as_slice(), &scale);
        let predicted = 0.5 * (r.norm_squared() - (&r + &j * &step).norm_squared());
        if length <= SMALL * size(&at, &scale).max(f64::MIN_POSITIVE) || predicted <= problem.enough() {
            break;
        }
        let new: Vec<f64> =
            at.iter().zip(step.iter()).enumerate().map(|(k, (x, d))| bounds.clamp(k, x + d)).collect();
        let Some(new_r) = residuals(problem, &new) else {
            radius = 0.25 * length;
            continue;
        };
        let actual = 0.5 * (r.norm_squared() - new_r.norm_squared());
        let ratio = actual / predicted;
        if ratio < 0.25 {
            radius = 0.25 * length;
        } else if ratio > 0.75 && length > 0.9 * radius {
            radius *= 2.0;
        }
        if actual > 0.0 {
            (at, r) = (new, new_r);
            j = jacobian(problem, &at)?;
            widen(&mut scale, &j);
        }
        // Below this the sum of squares is rounding; the gradient takes over.
        if predicted.max(actual) < 1e-15 * r.norm_squared() {
            break;
        }
    }
    if problem.enough() == 0.0 {
        last_steps(problem, &mut at, &mut r, &mut j, bounds)?;
    }
    let at_bound = (0..count).map(|k| held(&at, &r, &j, bounds, k)).collect();
    Ok(Minimum { at, residuals: r, jacobian: j, at_bound, steps })
}

fn widen(scale: &mut [f64], j: &DMatrix<f64>) {
    for (k, d) in scale.iter_mut().enumerate() {
        *d = d.max(j.column(k).norm());
        if *d == 0.0 {
            *d = 1.0;
        }
    }
}

/// Whether a parameter stands on a bound that the gradient pushes it against.
fn held(at: &[f64], r: &DVector<f64>, j: &DMatrix<f64>, bounds: &Bounds, k: usize) -> bool {
    let gradient = j.column(k).dot(r);
    at[k] <= bounds.low[k] && gradient >= 0.0 || at[k] >= bounds.high[k] && gradient <= 0.0
}

/// The step of the trust region that keeps the bounds.
fn bounded_step(
    at: &[f64],
    r: &DVector<f64>,
    j: &DMatrix<f64>,
    scale: &[f64],
    radius: f64,
    bounds: &Bounds,
) -> DVector<f64> {
    let count = at.len();
    let mut step = DVector::zeros(count);
    let mut free: Vec<usize> = (0..count).filter(|&k| !held(at, r, j, bounds, k)).collect();
    while !free.is_empty() {
        let shifted = r + j * &step;
        let part = free_step(&shifted, j, scale, radius, &free);
        let out: Vec<usize> = (0..free.len())
            .filter(|&i| {
                let k = free[i];
                let x = at[k] + part[i];
                x < bounds.low[k] || x > bounds.high[k]
            })
            .collect();
        if out.is_empty() {
            for (i, &k) in free.iter().enumerate() {
                step[k] = part[i];
            }
            break;
        }
        for &i in &out {
            let k = free[i];
            step[k] = bounds.clamp(k, at[k] + part[i]) - at[k];
        }
        free = free.iter().enumerate().filter(|(i, _)| !out.contains(i)).map(|(_, k)| *k).collect();
    }
    step
}

/// The minimum of |r + J δ| over some parameters with |D δ| ≤ Δ.
fn free_step(r: &DVector<f64>, j: &DMatrix<f64>, scale: &[f64], radius: f64, free: &[usize]) -> DVector<f64> {
    let scaled = DMatrix::from_fn(j.nrows(), free.len(), |row, i| j[(row, free[i])] / scale[free[i]]);
    let svd = scaled.svd(true, true);
    let (Some(u), Some(vt)) = (&svd.u, &svd.v_t) else { return DVector::zeros(free.len()) };
    let s = &svd.singular_values;
    let uf = u.transpose() * r;
    let floor = f64::EPSILON * j.nrows().max(free.len()) as f64 * s.max();
    let solved = |alpha: f64| {
        let coefficients = DVector::from_fn(s.len(), |i, _| {
            if alpha == 0.0 && s[i] <= floor { 0.0 } else { -s[i] * uf[i] / (s[i] * s[i] + alpha) }
        });
        vt.transpose() * coefficients
    };
    let mut p = solved(0.0);
    if p.norm() > radius {
        // |p(α)| falls with α; bisected on its logarithm until it is Δ to a thousandth.
        let slope = DVector::from_fn(s.len(), |i, _| s[i] * uf[i]).norm();
        let (mut low, mut high) = (0.0, slope / radius);
        let mut alpha = 1e-3 * high;
        for _ in 0..200 {
            p = solved(alpha);
            let norm = p.norm();
            if (norm / radius - 1.0).abs() < 1e-3 {
                break;
            }
            if norm > radius {
                low = alpha
            } else {
                high = alpha
            }
            let middle = (low.max(1e-16 * high) * high).sqrt();
            if middle == alpha {
                break;
            }
            alpha = middle;
        }
    }
    DVector::from_fn(free.len(), |i, _| p[i] / scale[free[i]])
}

/// Full steps as long as they bring the gradient down.
fn last_steps(
    problem: &dyn Problem,
    at: &mut Vec<f64>,
    r: &mut DVector<f64>,
    j: &mut DMatrix<f64>,
    bounds: &Bounds,
) -> Result<(), FitError> {
    let gradient = |at: &[f64], r: &DVector<f64>, j: &DMatrix<f64>| -> f64 {
        (0..at.len())
            .filter(|&k| !held(at, r, j, bounds, k))
            .map(|k| (j.column(k).dot(r) / j.column(k).norm().max(f64::MIN_POSITIVE)).powi(2))
            .sum()
    };
    let mut now = gradient(at, r, j);
    for _ in 0..MOST_LAST_STEPS {
        let mut scale = vec![0.0; at.len()];
        widen(&mut scale, j);
        let step = bounded_step(at, r, j, &scale, f64::INFINITY, bounds);
        let new: Vec<f64> =
            at.iter().zip(step.iter()).enumerate().map(|(k, (x, d))| bounds.clamp(k, x + d)).collect();
        let Some(new_r) = residuals(problem, &new) else { break };
        if new_r.norm_squared() > r.norm_squared() * (1.0 + 1e-9) {
            break;
        }
        let new_j = jacobian(problem, &new)?;
        let then = gradient(&new, &new_r, &new_j);
        if then >= now {
            break;
        }
        (*at, *r, *j, now) = (new, new_r, new_j, then);
    }
    Ok(())
}

/// Derivatives by central differences. `step` is how far each parameter is moved to either side; next to a bound the difference is taken to the
/// free side alone, of second order too.
pub fn differences(
    residuals: &mut dyn FnMut(&[f64]) -> Option<DVector<f64>>,
    at: &[f64],
    step: &[f64],
    bounds: &Bounds,
) -> Option<DMatrix<f64>> {
    let mut columns = Vec::with_capacity(at.len());
    let mut moved = at.to_vec();
    let mut centre = None;
    for k in 0..at.len() {
        let h = step[k];
        let (below, above) = (at[k] - h >= bounds.low[k], at[k] + h <= bounds.high[k]);
        let mut look = |x: f64| {
            moved[k] = x;
            let found = residuals(&moved);
            moved[k] = at[k];
            found
        };
        // The steps as they are, not as they were meant: what x + h rounds to is what was moved.
        let column = if below && above {
            let (a, b) = (at[k] - h, at[k] + h);
            (look(b)? - look(a)?) / (b - a)
        } else {
            let (one, two) = if above { (at[k] + h, at[k] + 2.0 * h) } else { (at[k] - h, at[k] - 2.0 * h) };
            let h = one - at[k];
            let (one, two) = (look(one)?, look(two)?);
            if centre.is_none() {
                centre = Some(residuals(at)?);
            }
            let here = centre.as_ref()?;
            (one * 4.0 - two - here * 3.0) / (2.0 * h)
        };
        columns.push(column);
    }
    Some(DMatrix::from_columns(&columns))
}
