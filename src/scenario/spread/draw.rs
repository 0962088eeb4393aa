//! How one number is drawn.

use rand::Rng;
use rand_distr::Distribution;

/// How one number is drawn, in SI.
#[derive(Debug, Clone, PartialEq)]
pub enum Draw {
    /// Normal with its ends.
    Normal {
        /// Mean before it is cut off.
        mean: f64,
        /// Standard deviation before it is cut off.
        sd: f64,
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// Even.
    Uniform {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// Triangular.
    Triangular {
        /// Lowest.
        low: f64,
        /// Most likely.
        mode: f64,
        /// Highest.
        high: f64,
    },
    /// One of a list: values with the shares up to and including each.
    Listed(Vec<(f64, f64)>),
}

impl Draw {
    /// Draws a number.
    pub fn draw(&self, rng: &mut impl Rng) -> f64 {
        match self {
            Draw::Normal { mean, sd, low, high } => {
                let Ok(normal) = rand_distr::Normal::new(*mean, *sd) else { return *mean };
                // Checked before: at least one draw in fifty or so lies between the ends.
                loop {
                    let value = normal.sample(rng);
                    if value >= *low && value <= *high {
                        return value;
                    }
                }
            }
            Draw::Uniform { low, high } => low + (high - low) * rng.random_unit(),
            Draw::Triangular { low, mode, high } => {
                rand_distr::Triangular::new(*low, *high, *mode).map_or(*mode, |t| t.sample(rng))
            }
            Draw::Listed(list) => {
                let u = rng.random_unit();
                list.iter().find(|(_, upto)| u < *upto).or(list.last()).map_or(0.0, |(value, _)| *value)
            }
        }
    }

    /// Lowest and highest number it can give.
    pub fn ends(&self) -> (f64, f64) {
        match self {
            Draw::Normal { low, high, .. }
            | Draw::Uniform { low, high }
            | Draw::Triangular { low, high, .. } => (*low, *high),
            Draw::Listed(list) => list
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (v, _)| (low.min(*v), high.max(*v))),
        }
    }
}

/// An even draw from 0 (included) to 1 (not).
trait Unit: Rng {
    fn random_unit(&mut self) -> f64 {
        // 53 bits, the standard conversion.
        (self.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

impl<R: Rng> Unit for R {}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;
    use rand::rngs::ChaCha8Rng;

    fn moments(draw: &Draw) -> (f64, f64, f64, f64) {
        let mut rng = ChaCha8Rng::seed_from_u64(4);
        let values: Vec<f64> = (0..200_000).map(|_| draw.draw(&mut rng)).collect();
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n;
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (mean, variance.sqrt(), low, high)
    }

    #[test]
    fn verif_draws_have_their_moments_and_keep_their_ends() {
        // Closed forms: even (b−a)/√12; triangular √((a²+b²+c²−ab−ac−bc)/18); normal cut at ±2 sd: sd √(1 − 2·2φ(2)/(2Φ(2)−1)) = 0.87963 sd.
        let cases = [
            (Draw::Uniform { low: -1.0, high: 3.0 }, 1.0, 4.0 / 12.0_f64.sqrt()),
            (Draw::Triangular { low: 0.0, mode: 1.0, high: 5.0 }, 2.0, (21.0_f64 / 18.0).sqrt()),
            (Draw::Normal { mean: 2.0, sd: 0.5, low: 1.0, high: 3.0 }, 2.0, 0.5 * 0.879_626),
            (Draw::Listed(vec![(1.0, 0.25), (5.0, 1.0)]), 4.0, 3.0_f64.sqrt()),
        ];
        for (draw, mean, sd) in cases {
            let found = moments(&draw);
            assert!((found.0 - mean).abs() < 0.01 * sd.max(1.0), "{draw:?}: {found:?}");
            assert!((found.1 / sd - 1.0).abs() < 0.01, "{draw:?}: {found:?}");
            let (low, high) = draw.ends();
            assert!(found.2 >= low && found.3 <= high);
            assert!(found.2 - low < 0.05 * (high - low) && high - found.3 < 0.05 * (high - low));
        }
    }
}
