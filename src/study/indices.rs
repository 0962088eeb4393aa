//! Which input matters: variance-based sensitivity indices on Saltelli blocks, with their sampling error.
//!
//! A block is one base row of the design: the result at two independent draws `a` and `b` of all inputs, and at `ab_i`, which is `a` with
//! input `i` taken from `b`. With `V` the variance over all `a` and `b`, values less their mean:
//!
//! ```text
//! first order  S_i = mean(b (ab_i − a)) / V          total  T_i = mean((a − ab_i)²) / (2 V)
//! ```
//!
//! `S_i` is the share of the variance that would go if input `i` were known; `T_i` the share that would stay if all but `i` were known. Estimates
//! may fall slightly outside 0 to 1: they are shown as they are.
//!
//! Source: A. Saltelli, P. Annoni, I. Azzini, F. Campolongo, M. Ratto, S. Tarantola, Comput. Phys. Commun. 181(2):259-270 (2010), table 2 (b) and
//! (f); the total is M. J. W. Jansen's, Comput. Phys. Commun. 117(1-2):35-43 (1999). Intervals: percentile bootstrap over whole blocks, B. Efron
//! and R. J. Tibshirani, An Introduction to the Bootstrap (1993), ch. 13. Page numbers from memory; the estimators are checked against SALib and
//! against the closed form of the Ishigami function.

use rand::{RngExt, SeedableRng, rngs::ChaCha8Rng};

/// A number with its interval.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Low end of its interval.
    pub low: f64,
    /// High end of its interval.
    pub high: f64,
}

impl Estimate {
    /// Half the width of the interval.
    pub fn half_width(&self) -> f64 {
        0.5 * (self.high - self.low)
    }
}

/// First-order and total index of one input.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct InputIndex {
    /// First order: what the input does alone.
    pub first: Estimate,
    /// Total: with all its interactions.
    pub total: Estimate,
}

/// Indices of one result.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Indices {
    /// Mean of the result over all complete `a` and `b`.
    pub mean: f64,
    /// Variance of the result.
    pub variance: f64,
    /// Complete blocks used.
    pub blocks_used: usize,
    /// Blocks left out whole, because a pass in them failed or has no such number.
    pub blocks_dropped: usize,
    /// One for each input, in the order of the design.
    pub inputs: Vec<InputIndex>,
}

/// How the intervals are made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resampling {
    /// Confidence, between 0 and 1.
    pub confidence: f64,
    /// Number of bootstrap samples.
    pub resamples: usize,
    /// Seed of the bootstrap (ChaCha8, one stream for each resample).
    pub seed: u64,
}

/// Why there are no indices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoIndices {
    /// Fewer than two complete blocks.
    TooFewBlocks,
    /// The result is the same everywhere.
    NoVariance,
}

/// Sums of one block, values less a fixed centre.
struct Sums {
    both: f64,
    square: f64,
    /// For each input: b (ab − a), ab − a, (a − ab)².
    inputs: Vec<[f64; 3]>,
}

/// Estimates from blocks laid out as `a, b, ab_1 … ab_k`; a block with any missing or non-finite value is dropped whole.
///
/// # Errors
/// [`NoIndices`] when there is nothing to estimate from.
pub fn estimate<'a>(
    blocks: impl IntoIterator<Item = &'a [Option<f64>]>,
    resampling: &Resampling,
) -> Result<Indices, NoIndices> {
    let mut complete: Vec<Vec<f64>> = Vec::new();
    let mut blocks_dropped = 0;
    for block in blocks {
        match block.iter().map(|v| v.filter(|v| v.is_finite())).collect::<Option<Vec<f64>>>() {
            Some(values) if values.len() >= 2 => complete.push(values),
            _ => blocks_dropped += 1,
        }
    }
    if complete.len() < 2 {
        return Err(NoIndices::TooFewBlocks);
    }
    let centre = complete.iter().map(|v| v[0] + v[1]).sum::<f64>() / (2 * complete.len()) as f64;
    let sums: Vec<Sums> = complete.iter().map(|values| block_sums(values, centre)).collect();
    let k = sums[0].inputs.len();
    let every: Vec<usize> = (0..sums.len()).collect();
    let Some((variance, point)) = from_sums(&sums, &every, k) else {
        return Err(NoIndices::NoVariance);
    };
    // What rounding alone could make of a constant.
    if variance <= (1e-12 * centre.abs()).powi(2) {
        return Err(NoIndices::NoVariance);
    }
    let mut tries: Vec<Vec<f64>> = vec![Vec::with_capacity(resampling.resamples); 2 * k];
    let mut chosen = vec![0; sums.len()];
    for resample in 0..resampling.resamples {
        let mut draw = ChaCha8Rng::seed_from_u64(resampling.seed);
        draw.set_stream(resample as u64);
        chosen.iter_mut().for_each(|c| *c = draw.random_range(0..sums.len()));
        if let Some((_, values)) = from_sums(&sums, &chosen, k) {
            tries.iter_mut().zip(values).for_each(|(list, value)| list.push(value));
        }
    }
    let mut interval = |at: usize| {
        let list = &mut tries[at];
        list.sort_by(f64::total_cmp);
        let tail = 0.5 * (1.0 - resampling.confidence);
        Estimate { value: point[at], low: quantile(list, tail), high: quantile(list, 1.0 - tail) }
    };
    let inputs = (0..k).map(|i| InputIndex { first: interval(2 * i), total: interval(2 * i + 1) }).collect();
    Ok(Indices { mean: centre, variance, blocks_used: sums.len(), blocks_dropped, inputs })
}

fn block_sums(values: &[f64], centre: f64) -> Sums {
    let (a, b) = (values[0] - centre, values[1] - centre);
    let inputs = values[2..].iter().map(|ab| {
        let step = (ab - centre) - a;
        [b * step, step, step * step]
    });
    Sums { both: a + b, square: a * a + b * b, inputs: inputs.collect() }
}

/// Variance and `[first, total]` for each input over the chosen blocks; `None` without variance.
fn from_sums(sums: &[Sums], chosen: &[usize], k: usize) -> Option<(f64, Vec<f64>)> {
    let n = chosen.len() as f64;
    let (mut both, mut square) = (0.0, 0.0);
    let mut totals = vec![[0.0; 3]; k];
    for &index in chosen {
        let block = &sums[index];
        both += block.both;
        square += block.square;
        for (total, input) in totals.iter_mut().zip(&block.inputs) {
            total.iter_mut().zip(input).for_each(|(t, v)| *t += v);
        }
    }
    let mean = both / (2.0 * n);
    let variance = square / (2.0 * n) - mean * mean;
    if variance.is_nan() || variance <= 0.0 {
        return None;
    }
    let values = totals
        .iter()
        .flat_map(|[product, step, squared]| {
            [(product - mean * step) / n / variance, 0.5 * squared / n / variance]
        })
        .collect();
    Some((variance, values))
}

/// Quantile of a sorted list, linear between ranks; NaN for an empty one.
pub(crate) fn quantile(sorted: &[f64], p: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else { return f64::NAN };
    let at = p.clamp(0.0, 1.0) * last as f64;
    let low = at.floor() as usize;
    let high = (low + 1).min(last);
    sorted[low] + (at - low as f64) * (sorted[high] - sorted[low])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elementary::Elementary;
    use std::f64::consts::PI;

    const RESAMPLING: Resampling = Resampling { confidence: 0.95, resamples: 400, seed: 1 };

    fn blocks_of(flat: &[Option<f64>], width: usize) -> impl Iterator<Item = &[Option<f64>]> {
        flat.chunks(width)
    }

    /// T. Ishigami and T. Homma, «An importance quantification technique in uncertainty analysis for computer models», Proc. ISUMA '90 (1990),
    /// pp. 398-403, with a = 7, b = 0.1 on [−π, π]³.
    fn ishigami(x: [f64; 3]) -> f64 {
        x[0].sine() + 7.0 * x[1].sine().powi(2) + 0.1 * x[2].powi(4) * x[0].sine()
    }

    fn ishigami_blocks(count: u64) -> Vec<Option<f64>> {
        let mut flat = Vec::new();
        for case in 0..count {
            let mut draw = ChaCha8Rng::seed_from_u64(11);
            draw.set_stream(case);
            let mut row = || -> [f64; 3] { std::array::from_fn(|_| PI * (2.0 * draw.random::<f64>() - 1.0)) };
            let (a, b) = (row(), row());
            flat.extend([Some(ishigami(a)), Some(ishigami(b))]);
            for i in 0..3 {
                let mut mixed = a;
                mixed[i] = b[i];
                flat.push(Some(ishigami(mixed)));
            }
        }
        flat
    }

    #[test]
    fn val_indices_of_the_ishigami_function() {
        // Closed form: V₁ = (1 + b π⁴/5)²/2, V₂ = a²/8, V₁₃ = b² π⁸ (1/18 − 1/50).
        let v1 = 0.5 * (1.0 + 0.1 * PI.powi(4) / 5.0).powi(2);
        let (v2, v13) = (49.0 / 8.0, 0.01 * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0));
        let v = v1 + v2 + v13;
        let expected = [(v1 / v, (v1 + v13) / v), (v2 / v, v2 / v), (0.0, v13 / v)];
        let flat = ishigami_blocks(4000);
        let found = estimate(blocks_of(&flat, 5), &RESAMPLING).unwrap();
        held!((found.variance / v - 1.0).abs(), 0.05, "{}", found.variance);
        for (input, (first, total)) in found.inputs.iter().zip(expected) {
            held!((input.first.value - first).abs(), 0.04, "{input:?} against {first}");
            held!((input.total.value - total).abs(), 0.04, "{input:?} against {total}");
            assert!(input.first.low <= first && first <= input.first.high, "{input:?} against {first}");
            assert!(input.total.low <= total && total <= input.total.high, "{input:?} against {total}");
            assert!(input.first.half_width() > 0.003 && input.first.half_width() < 0.08);
        }
    }

    #[test]
    fn val_estimators_equal_salib() {
        let text = include_str!("../../tests/validation/data/salib_ishigami.csv");
        let listed = |key: &str| -> Vec<f64> {
            let line = text.lines().find_map(|l| l.strip_prefix(key)).unwrap();
            line.split(',').map(|v| v.trim().parse().unwrap()).collect()
        };
        let (first, total) = (listed("# first_order:"), listed("# total_order:"));
        let flat: Vec<Option<f64>> = text
            .lines()
            .filter(|l| !l.starts_with('#'))
            .skip(1)
            .flat_map(|l| l.split(',').map(|v| Some(v.parse().unwrap())).collect::<Vec<_>>())
            .collect();
        assert_eq!(flat.len(), 64 * 5);
        let found = estimate(blocks_of(&flat, 5), &RESAMPLING).unwrap();
        for i in 0..3 {
            held!((found.inputs[i].first.value - first[i]).abs(), 1e-12);
            held!((found.inputs[i].total.value - total[i]).abs(), 1e-12);
            assert!(total[i].abs() > 0.1);
        }
    }

    #[test]
    fn verif_intervals_hold_the_truth_as_often_as_they_say() {
        // T₂ of Ishigami in 200 independent studies of 200 blocks at 90 %: binomial sd 2.1 %, plus the known shortfall of small bootstraps.
        let truth = 49.0 / 8.0 / 13.844_587_940_719_254;
        let flat = ishigami_blocks(200 * 200);
        let held = flat.chunks(200 * 5).filter(|study| {
            let resampling = Resampling { confidence: 0.9, resamples: 200, seed: 3 };
            let total = estimate(blocks_of(study, 5), &resampling).unwrap().inputs[1].total;
            total.low <= truth && truth <= total.high
        });
        let share = held.count() as f64 / 200.0;
        assert!((share - 0.9).abs() < 0.07, "{share}");
    }

    #[test]
    fn verif_failed_points_drop_their_block_and_nothing_else() {
        let mut flat = ishigami_blocks(300);
        let clean: Vec<Option<f64>> =
            flat.chunks(5).enumerate().filter(|(i, _)| i % 7 != 3).flat_map(|(_, b)| b.to_vec()).collect();
        let mut dropped = 0;
        for (i, block) in flat.chunks_mut(5).enumerate() {
            if i % 7 == 3 {
                block[i % 5] = if i % 2 == 0 { None } else { Some(f64::NAN) };
                dropped += 1;
            }
        }
        let with_holes = estimate(blocks_of(&flat, 5), &RESAMPLING).unwrap();
        let without = estimate(blocks_of(&clean, 5), &RESAMPLING).unwrap();
        assert_eq!(with_holes.blocks_dropped, dropped);
        assert!(dropped > 30);
        assert_eq!(with_holes.inputs, without.inputs);
    }

    #[test]
    fn verif_nothing_to_estimate_is_said() {
        let flat = vec![Some(2.5); 50];
        assert_eq!(estimate(blocks_of(&flat, 5), &RESAMPLING), Err(NoIndices::NoVariance));
        let holes = vec![None; 50];
        assert_eq!(estimate(blocks_of(&holes, 5), &RESAMPLING), Err(NoIndices::TooFewBlocks));
    }
}
