//! The middle of what the readings leave open, which is not where the sum of squares is least.
//!
//! A friction that is a factor off is seen the less, the smaller it is: below the best fit what is left open reaches farther than above it. With S half the
//! sum of squares, priors counted, and C its inverse second derivative, the mean lies at δ from the minimum,
//!
//! δ = −½ C t,  tₗ = Σᵢₖ S‴ₗᵢₖ Cᵢₖ,  S‴ₗᵢₖ ≈ Σₘ (r″ₘₗᵢ r′ₘₖ + r″ₘₗₖ r′ₘᵢ + r″ₘᵢₖ r′ₘₗ)
//!
//! of which the second derivatives of each reading by one unknown alone are kept, which is the curve of the logarithms, and those by a parameter and an error
//! that readings share, which may go up as the other goes down. Source: L. Tierney, J. B. Kadane, J. Am.
//! Stat. Assoc. 81:82-86 (1986), for means by Laplace's method to this order (from memory); what it is worth is tried on known machines
//! (`tests/calibrate/known_machines.rs`).

use super::fit::{Judged, Minimum, Problem, covariance};
use super::machine::Machine;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

/// Second derivatives of every residual by two unknowns.
type Bent = (usize, usize, DVector<f64>);

/// The mean of what is left open, and the covariance there. `None` where the engine has no answer beside the minimum.
pub fn centre(machine: &Machine<'_>, minimum: &Minimum, judged: &Judged) -> Option<(Vec<f64>, DMatrix<f64>)> {
    let (count, c, j) = (minimum.at.len(), &judged.covariance, &minimum.jacobian);
    let bounds = machine.bounds();
    let free: Vec<usize> = (0..count).filter(|&k| !minimum.at_bound[k]).collect();
    let bent: Option<Vec<Vec<Bent>>> =
        free.par_iter().map(|&k| bent_by(machine, minimum, judged, k, &free)).collect();
    // Row m of it: C r′ₘ.
    let pulled = j * c;
    let mut third = DVector::<f64>::zeros(count);
    let mut spread = DVector::<f64>::zeros(j.nrows());
    for (l, i, by) in bent?.into_iter().flatten() {
        third[l] += 2.0 * by.dot(&pulled.column(i));
        if i == l {
            spread += by * c[(l, l)];
        } else {
            third[i] += 2.0 * by.dot(&pulled.column(l));
            spread += by * (2.0 * c[(l, i)]);
        }
    }
    third += j.transpose() * spread;
    let off = -0.5 * c * third;
    // Farther than a standard error this order says nothing.
    let at: Vec<f64> = (0..count)
        .map(|k| {
            let most = judged.sd(k);
            (minimum.at[k] + off[k].clamp(-most, most)).clamp(bounds.low[k], bounds.high[k])
        })
        .collect();
    let there = covariance(&machine.jacobian(&at)?, &free)?;
    Some((at, there))
}

/// Second derivatives by one unknown and, where it is a parameter, by it and each shared error, over a standard error to either side.
fn bent_by(
    machine: &Machine<'_>,
    minimum: &Minimum,
    judged: &Judged,
    k: usize,
    free: &[usize],
) -> Option<Vec<Bent>> {
    let bounds = machine.bounds();
    let first_shared = machine.parameters.len();
    let step = |k: usize| {
        let x = minimum.at[k];
        judged.sd(k).min(x - bounds.low[k]).min(bounds.high[k] - x)
    };
    let h = step(k);
    if h < 1e-3 {
        return Some(Vec::new());
    }
    let moved = |by: &[(usize, f64)]| {
        let mut at = minimum.at.clone();
        by.iter().for_each(|(k, by)| at[*k] += by);
        at
    };
    // Where a reading jumps there is no curve.
    let smooth = machine.smooth_rows();
    let kept = |by: DVector<f64>| DVector::from_fn(by.len(), |m, _| if smooth[m] { by[m] } else { 0.0 });
    let look = |by: f64| machine.told_smooth(&moved(&[(k, by)]));
    let (below, here, above) = (look(-h)?, look(0.0)?, look(h)?);
    let of = |told: &[f64], by: &[(usize, f64)]| machine.residuals_of(told, &moved(by));
    let alone = of(&above, &[(k, h)]) + of(&below, &[(k, -h)]) - of(&here, &[]) * 2.0;
    let mut bent = vec![(k, k, kept(alone / (h * h)))];
    for &s in free.iter().filter(|&&s| k < first_shared && s >= first_shared) {
        let g = step(s);
        if g < 1e-3 {
            continue;
        }
        let corner = |told: &[f64], a: f64, b: f64| of(told, &[(k, a), (s, b)]);
        let twist =
            corner(&above, h, g) - corner(&above, h, -g) - corner(&below, -h, g) + corner(&below, -h, -g);
        bent.push((k, s, kept(twist / (4.0 * h * g))));
    }
    Some(bent)
}
