//! Machines that go with readings of whole passes.
//!
//! The gap on a tail bends, jumps and ends at nothing over what a machine may be: machines that all leave the strip that was read lie along a curve, and
//! normal draws with the covariance of a fit leave it. So each draw is put back to a strip as it may have been read. With z the parameters such that what
//! all other readings leave open is normal with the identity, a draw is the minimum over z of
//!
//! |z − z*|² + Σ (h(z) − y*)²/σ²
//!
//! with z* drawn from there and y* from what was read, with its error. Were h straight, such minima would be draws from what is left open, exactly; it is
//! followed by steps of Gauss and Newton whose slope each pass mends along the step taken (Broyden), begun with the slope of the fit. The numbers drawn are moved and
//! stretched to the mean 0 and the variance 1 (moment matching), so that what is straight is predicted in the mean with no error of the draw.
//!
//! Where h ends at nothing, a draw put back from a gap to none stops at the edge of none, though a strip that was not there says that any machine without one is
//! as likely as before. There many draws of what is open read as was read; so draws z are first weighed by exp(−½ Σ (h(z) − y)²/σ²), and
//! where so many count (their effective number, (Σ w)²/Σ w²) that they can be drawn from by weight, they are; put back is where few do. Sources: D. S.
//! Oliver, N. He, A. C. Reynolds, «Conditioning permeability fields to pressure data», Proc. ECMOR V (1996), randomized maximum likelihood; C. G. Broyden,
//! Math. Comp. 19:577-593 (1965); D. B. Rubin, J. Am. Stat. Assoc. 82:543-546 (1987), sampling with importance resampling; A. Kong, J. S. Liu, W. H. Wong,
//! J. Am. Stat. Assoc. 89:278-288 (1994), effective number; P. Boyle, M. Broadie, P. Glasserman, J. Econ. Dyn. Control 21:1267-1321 (1997), moment matching;
//! all from memory. What it is worth is tried on known machines (`tests/calibrate/advice.rs`).

use super::machine::Machine;
use crate::elementary::Elementary;
use nalgebra::{DMatrix, DVector};
use rand::{SeedableRng, rngs::ChaCha8Rng};
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Machines that are kept: as many as an interval takes.
pub const KEPT: u64 = super::interval::FEWEST as u64;
/// Most passes of each.
const MOST_PASSES: usize = 6;
/// A draw that comes no nearer to what was read than so many of its standard deviations is none.
const NO_NEARER: f64 = 4.0;
/// Draws are tried again for those that came to nothing, so many times: where much of what is open leaves no gap at all, few come to one.
const ROUNDS: u64 = 12;
/// A step that moves no reading by more of its standard deviation than this is not worth a pass.
const ENOUGH: f64 = 0.25;

/// Draws that are weighed at a time, and how many times at most.
const WEIGHED: u64 = KEPT;
const TIMES_WEIGHED: u64 = 6;

/// What all other readings leave open: its middle and the covariance of the parameters there, in standard deviations from what was assumed.
#[derive(Debug)]
pub struct Open {
    /// Middle.
    pub at: Vec<f64>,
    /// Covariance; 0 for parameters that a bound holds.
    pub covariance: DMatrix<f64>,
}

/// What was read of whole passes.
#[derive(Debug)]
pub struct PassReadings {
    /// What was read, its repeats as their mean, SI.
    pub read_si: DVector<f64>,
    /// Standard deviation of that, SI.
    pub sigma_si: DVector<f64>,
    /// What the fitted machine would leave, SI.
    pub fitted_si: DVector<f64>,
    /// Slope of each by every parameter, SI for a standard deviation assumed.
    pub slope: DMatrix<f64>,
}

/// Machines that go with `read` and with what else is known, `open`, as parameters in standard deviations from what was assumed; `fitted` is where the slope
/// was taken. Machines that cannot be, or that do not come to what was read, are left out.
pub fn conditioned(machine: &Machine<'_>, open: &Open, read: &PassReadings, fitted: &[f64]) -> Vec<Vec<f64>> {
    let count = machine.parameters.len();
    let eigen = open.covariance.view((0, 0), (count, count)).into_owned().symmetric_eigen();
    let root = DVector::from_iterator(count, eigen.eigenvalues.iter().map(|v| v.max(0.0).sqrt()));
    let spread = &eigen.eigenvectors * DMatrix::from_diagonal(&root);
    let middle = DVector::from_column_slice(&open.at[..count]);
    let inverse = DVector::from_iterator(count, root.iter().map(|s| if *s > 1e-9 { 1.0 / s } else { 0.0 }));
    let away = DVector::from_column_slice(&fitted[..count]) - &middle;
    let fitted = DMatrix::from_diagonal(&inverse) * eigen.eigenvectors.transpose() * away;
    let slope = &read.slope * &spread;
    let place = |z: &DVector<f64>| -> Vec<f64> {
        let at = &middle + &spread * z;
        machine.parameters.iter().zip(at.iter()).map(|(p, x)| x.clamp(p.low, p.high)).collect()
    };
    let tell = |z: &DVector<f64>| machine.told_of_passes(&place(z)).map(DVector::from_vec);
    let likely = |told: &DVector<f64>| (told - &read.read_si).component_div(&read.sigma_si).norm_squared();
    if let Some(drawn) = by_weight(&|z| tell(z).map(|told| likely(&told)), count) {
        return drawn.iter().map(place).collect();
    }
    let readings = read.read_si.len();
    let one = |numbers: &DVector<f64>| -> Option<Vec<f64>> {
        let own = numbers.rows(0, count).into_owned();
        let shown = &read.read_si + numbers.rows(count, readings).component_mul(&read.sigma_si);
        let start = (fitted.clone(), read.fitted_si.clone());
        put_back(&tell, &own, &shown, &read.sigma_si, slope.clone(), start).map(|z| place(&z))
    };
    let mut kept: Vec<Vec<f64>> = Vec::new();
    for round in 0..ROUNDS {
        let lacking = KEPT as usize - kept.len();
        if lacking == 0 {
            break;
        }
        let numbers = round_of_draws(round, count + readings);
        kept.extend(numbers[..lacking].par_iter().filter_map(one).collect::<Vec<_>>());
    }
    kept
}

/// Random numbers of a draw.
fn stream(draw: u64) -> ChaCha8Rng {
    let mut rng = ChaCha8Rng::seed_from_u64(11);
    rng.set_stream(draw);
    rng
}

fn normal(rng: &mut ChaCha8Rng, n: usize) -> DVector<f64> {
    DVector::from_fn(n, |_, _| StandardNormal.sample(rng))
}

/// `KEPT` draws of `n` independent normal numbers each, of which every number has the mean 0 and the variance 1 over the draws: the same streams are drawn for every machine, and what they are off by
/// would be the same for all (without this, gaps were predicted 2.3 mm too narrow of a tape's 8.7 mm).
fn round_of_draws(round: u64, n: usize) -> Vec<DVector<f64>> {
    let mut draws: Vec<DVector<f64>> =
        (round * KEPT..(round + 1) * KEPT).map(|draw| normal(&mut stream(draw), n)).collect();
    let count = draws.len() as f64;
    let mean = draws.iter().sum::<DVector<f64>>() / count;
    draws.iter_mut().for_each(|draw| *draw -= &mean);
    let squares = draws.iter().map(|draw| draw.component_mul(draw)).sum::<DVector<f64>>();
    let sd = squares.map(|sum| (sum / (count - 1.0)).sqrt());
    draws.iter_mut().for_each(|draw| draw.component_div_assign(&sd));
    draws
}

/// `KEPT` draws of z, normal with the identity, by their weight exp(−½ `off`(z)), where `off` is the square of what its readings are off by, in standard deviations; `None` where too few of those
/// weighed would count. A draw of much weight comes several times.
fn by_weight(off: &(dyn Fn(&DVector<f64>) -> Option<f64> + Sync), count: usize) -> Option<Vec<DVector<f64>>> {
    let mut drawn: Vec<(DVector<f64>, f64)> = Vec::new();
    for time in 0..TIMES_WEIGHED {
        drawn.par_extend((time * WEIGHED..(time + 1) * WEIGHED).into_par_iter().map(|draw| {
            let z = normal(&mut stream(draw), count);
            let weight = off(&z).map_or(0.0, |off| (-0.5 * off).exponential());
            (z, weight)
        }));
        let (sum, squares) =
            drawn.iter().fold((0.0, 0.0), |(sum, squares), (_, w)| (sum + w, squares + w * w));
        // As many of all that will be weighed as are kept.
        let worth = sum * sum >= squares * drawn.len() as f64 / TIMES_WEIGHED as f64;
        if sum <= 0.0 || !worth {
            return None;
        }
    }
    // Every `step` of the weights laid end to end, from a half on (systematic resampling).
    let step = drawn.iter().map(|(_, w)| w).sum::<f64>() / KEPT as f64;
    let mut kept = Vec::new();
    let mut passed = 0.0;
    for (z, weight) in &drawn {
        passed += weight;
        while (kept.len() as f64 + 0.5) * step < passed && (kept.len() as u64) < KEPT {
            kept.push(z.clone());
        }
    }
    Some(kept)
}

/// The minimum over z of |z − own|² + Σ (h(z) − shown)²/σ², or the best that `MOST_PASSES` find; `slope` is that of h near `start`, a place with its h.
fn put_back(
    tell: &dyn Fn(&DVector<f64>) -> Option<DVector<f64>>,
    own: &DVector<f64>,
    shown: &DVector<f64>,
    sigma: &DVector<f64>,
    mut slope: DMatrix<f64>,
    start: (DVector<f64>, DVector<f64>),
) -> Option<DVector<f64>> {
    let noise = DMatrix::from_diagonal(&sigma.component_mul(sigma));
    let (mut at, mut told) = start;
    let mut best: Option<(f64, f64, DVector<f64>)> = None;
    for pass in 0..MOST_PASSES {
        let whole = &slope * slope.transpose() + &noise;
        let lack = shown - &told + &slope * (&at - own);
        let mut next = own + slope.transpose() * whole.cholesky()?.solve(&lack);
        let step = &next - &at;
        if pass > 0 && (&slope * &step).component_div(sigma).amax() < ENOUGH {
            break;
        }
        let mut here = tell(&next);
        // Where such a machine cannot be, half way.
        if here.is_none() {
            next = &at + &step * 0.5;
            here = tell(&next);
        }
        let here = here?;
        let (step, moved) = (&next - &at, &here - &told);
        let square = step.norm_squared();
        if square > 0.0 {
            slope += (moved - &slope * &step) * step.transpose() / square;
        }
        let off = (&here - shown).component_div(sigma);
        let cost = (&next - own).norm_squared() + off.norm_squared();
        if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
            best = Some((cost, off.amax(), next.clone()));
        }
        (at, told) = (next, here);
    }
    best.filter(|(_, off, _)| *off < NO_NEARER).map(|(.., z)| z)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Were h straight, h = 2 a + b + 1 read as 4 ± 0.5 with a and b standard normal: the draws' mean and covariance are those of the closed form.
    #[test]
    fn verif_draws_of_a_straight_law_are_those_of_its_closed_form() {
        let slope = DMatrix::from_row_slice(1, 2, &[2.0, 1.0]);
        let tell = |z: &DVector<f64>| Some(&slope * z + DVector::from_vec(vec![1.0]));
        let mut rng = ChaCha8Rng::seed_from_u64(3);
        let sigma = DVector::from_vec(vec![0.5]);
        let mut z = Vec::new();
        for _ in 0..4000 {
            let mut normal =
                |n: usize| DVector::from_fn(n, |_, _| -> f64 { StandardNormal.sample(&mut rng) });
            let (own, error) = (normal(2), normal(1));
            let shown = DVector::from_vec(vec![4.0]) + error * 0.5;
            let start = (DVector::zeros(2), DVector::from_vec(vec![1.0]));
            z.push(put_back(&tell, &own, &shown, &sigma, slope.clone(), start).expect("it has an answer"));
        }
        let n = z.len() as f64;
        let mean = z.iter().sum::<DVector<f64>>() / n;
        let covariance = z.iter().map(|z| (z - &mean) * (z - &mean).transpose()).sum::<DMatrix<f64>>() / n;
        // K = Jᵀ/(J Jᵀ + σ²) = (2, 1)/5.25; mean 3 K, covariance I − K J.
        let gain = slope.transpose() / 5.25;
        let exact = DMatrix::identity(2, 2) - &gain * &slope;
        held!((mean - &gain * 3.0).amax(), 0.05);
        held!((covariance - exact).amax(), 0.05);
    }

    /// Numbers of a round have the mean 0 and the variance 1, each; put back to a straight law as above, machines lie at the closed form in the mean, to the last digits, and are
    /// not mirror images of each other. Another round is another.
    #[test]
    fn verif_what_is_straight_has_no_error_of_the_draw() {
        let (numbers, other) = (round_of_draws(0, 3), round_of_draws(1, 3));
        assert!(numbers.len() as u64 == KEPT && numbers[0] != other[0]);
        let n = KEPT as f64;
        for k in 0..3 {
            let of = |power: i32| numbers.iter().map(|z| z[k].powi(power)).sum::<f64>();
            held!((of(1) / n).abs(), 1e-14);
            held!((of(2) / (n - 1.0) - 1.0).abs(), 1e-14);
            assert!(of(3).abs() > 0.1);
        }
        let slope = DMatrix::from_row_slice(1, 2, &[2.0, 1.0]);
        let tell = |z: &DVector<f64>| Some(&slope * z + DVector::from_vec(vec![1.0]));
        let sigma = DVector::from_vec(vec![0.5]);
        let put = numbers.iter().map(|numbers| {
            let shown = DVector::from_vec(vec![4.0 + 0.5 * numbers[2]]);
            let start = (DVector::zeros(2), DVector::from_vec(vec![1.0]));
            let own = numbers.rows(0, 2).into_owned();
            put_back(&tell, &own, &shown, &sigma, slope.clone(), start).expect("it has an answer")
        });
        let mean = put.sum::<DVector<f64>>() / n;
        held!((mean - slope.transpose() * (3.0 / 5.25)).amax(), 1e-13);
    }

    /// A gap of max(0, z) read as nothing, to 0.2: below nothing z stays a half of a normal, above it comes to a narrow one. Their shares and the mean have a closed form. Where a
    /// reading leaves few draws of a thousand, none are drawn so.
    #[test]
    fn verif_draws_by_weight_are_those_of_a_normal_cut_off() {
        let sigma = 0.2;
        let off = |z: &DVector<f64>| Some((z[0].max(0.0) / sigma).powi(2));
        let z = by_weight(&off, 1).expect("half of them count");
        assert_eq!(z.len() as u64, KEPT);
        // Above nothing: normal of the spread s = σ/√(1 + σ²), half of it, s/2 of weight to ½ below; means √(2/π) of −1 and of s.
        let s = sigma / (1.0 + sigma * sigma).sqrt();
        let above = s / (s + 1.0);
        let mean = (2.0 / std::f64::consts::PI).sqrt() * (above * s - (1.0 - above));
        let own = z.iter().map(|z| z[0]).sum::<f64>() / KEPT as f64;
        held!((own - mean).abs(), 0.15);
        let own = z.iter().filter(|z| z[0] > 0.0).count() as f64 / KEPT as f64;
        held!((own - above).abs(), 0.08);
        let far = |z: &DVector<f64>| Some(((z[0] - 3.5) / 0.05).powi(2));
        assert!(by_weight(&far, 1).is_none());
    }

    /// Where h ends at nothing, draws from there still come to what was read.
    #[test]
    fn verif_draws_come_back_from_where_the_gap_is_nothing() {
        let tell = |z: &DVector<f64>| Some(DVector::from_vec(vec![(0.1 * z[0]).max(0.0)]));
        let (own, shown) = (DVector::from_vec(vec![-3.0]), DVector::from_vec(vec![0.2]));
        let sigma = DVector::from_vec(vec![0.01]);
        let start = (DVector::from_vec(vec![1.0]), DVector::from_vec(vec![0.1]));
        let slope = DMatrix::from_row_slice(1, 1, &[0.05]);
        let z = put_back(&tell, &own, &shown, &sigma, slope, start).expect("it has an answer");
        // 100 (0.1 z − 0.2)/0.01² × 0.1 … = 3 + z: z = 2 − 5/101.
        held!((z[0] - (2.0 - 5.0 / 101.0)).abs(), 0.01);
    }
}
