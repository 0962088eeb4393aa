//! The middle of what the readings leave open, which is not where the sum of squares is least.
//!
//! A friction that is a factor off is seen the less, the smaller it is: below the best fit what is left open reaches farther than above it. With S half the
//! sum of squares, priors counted, and C its inverse second derivative, the mean lies at δ from the minimum,
//!
//! δ = −½ C t,  tₗ = Σᵢₖ S‴ₗᵢₖ Cᵢₖ,  S‴ₗᵢₖ ≈ Σₘ (r″ₘₗᵢ r′ₘₖ + r″ₘₗₖ r′ₘᵢ + r″ₘᵢₖ r′ₘₗ)
//!
//! over the smooth readings m. Source: L. Tierney, J. B. Kadane, J. Am. Stat. Assoc. 81:82-86 (1986), for means by Laplace's method to this order (from
//! memory); what it is worth is tried on known machines (`tests/calibrate/known_machines.rs`).

use super::fit::{Judged, Minimum, Problem, covariance};
use super::machine::Machine;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

/// A reading that moves by less than this share of its standard deviation with one of two unknowns tells nothing of both together.
const SEEN: f64 = 0.05;

/// The mean of what is left open, and the covariance there. `None` where the engine has no answer beside the minimum.
pub fn centre(machine: &Machine<'_>, minimum: &Minimum, judged: &Judged) -> Option<(Vec<f64>, DMatrix<f64>)> {
    let (count, c, j) = (minimum.at.len(), &judged.covariance, &minimum.jacobian);
    let bounds = machine.bounds();
    let free: Vec<usize> = (0..count).filter(|&k| !minimum.at_bound[k]).collect();
    // Row m of it: C r′ₘ.
    let pulled = j * c;
    let mut third = DVector::<f64>::zeros(count);
    let mut spread = DVector::<f64>::zeros(j.nrows());
    for (l, i, by) in bends(machine, minimum, judged, &free)? {
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

/// Second derivatives of every residual by two unknowns, over a standard error to either side; pairs that no reading sees together are left out.
fn bends(
    machine: &Machine<'_>,
    minimum: &Minimum,
    judged: &Judged,
    free: &[usize],
) -> Option<Vec<(usize, usize, DVector<f64>)>> {
    let bounds = machine.bounds();
    let first_shared = machine.parameters.len();
    let step = |k: usize| {
        let x = minimum.at[k];
        judged.sd(k).min(x - bounds.low[k]).min(bounds.high[k] - x)
    };
    let free: Vec<usize> = free.iter().copied().filter(|&k| step(k) > 1e-3).collect();
    let smooth = machine.smooth_rows();
    let moved = |by: &[(usize, f64)]| {
        let mut at = minimum.at.clone();
        by.iter().for_each(|(k, by)| at[*k] += by);
        at
    };
    let here = machine.told_smooth(&minimum.at)?;
    // Errors that readings share move what is shown, not what the engine tells.
    let told = |by: &[(usize, f64)]| {
        if by.iter().all(|(k, _)| *k >= first_shared) {
            Some(here.clone())
        } else {
            machine.told_smooth(&moved(by))
        }
    };
    // Where a reading jumps there is no curve.
    let residuals = |by: &[(usize, f64)]| {
        let r = machine.residuals_of(&told(by)?, &moved(by));
        Some(DVector::from_fn(r.len(), |m, _| if smooth[m] { r[m] } else { 0.0 }))
    };
    let middle = residuals(&[])?;
    let beside: Option<Vec<[DVector<f64>; 2]>> =
        free.par_iter().map(|&k| Some([residuals(&[(k, -step(k))])?, residuals(&[(k, step(k))])?])).collect();
    let beside = beside?;
    let seen = |m: usize, k: usize| (minimum.jacobian[(m, k)] * step(k)).abs() > SEEN;
    let together = |l: usize, i: usize| {
        // Rows of priors see one unknown each.
        (0..middle.len()).any(|m| smooth[m] && seen(m, free[l]) && seen(m, free[i]))
    };
    let pairs: Vec<(usize, usize)> =
        (0..free.len()).flat_map(|l| (0..l).map(move |i| (l, i))).filter(|&(l, i)| together(l, i)).collect();
    let mixed: Option<Vec<_>> = pairs
        .par_iter()
        .map(|&(l, i)| {
            let (a, b) = (step(free[l]), step(free[i]));
            let corner = |sign: f64| residuals(&[(free[l], sign * a), (free[i], sign * b)]);
            let sides = &beside[l][0] + &beside[l][1] + &beside[i][0] + &beside[i][1];
            let twist = corner(1.0)? + corner(-1.0)? - sides + &middle * 2.0;
            Some((free[l], free[i], twist / (2.0 * a * b)))
        })
        .collect();
    let alone = free.iter().zip(&beside).map(|(&k, [below, above])| {
        let h = step(k);
        (k, k, (above + below - &middle * 2.0) / (h * h))
    });
    Some(alone.chain(mixed?).collect())
}
