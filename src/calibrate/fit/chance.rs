//! Chances of the normal and the χ² distribution.
//!
//! Q(a, x) = Γ(a, x)/Γ(a) by its series below x = a + 1 and by its continued fraction above (W. H. Press et al., Numerical Recipes, sec. 6.2:
//! from memory). Held against SciPy.

use crate::elementary::Elementary;

/// ln Γ(x) for x > 0, by Stirling's series above 10 and the recurrence below.
fn ln_gamma(x: f64) -> f64 {
    let (mut x, mut shift) = (x, 0.0);
    while x < 10.0 {
        shift -= x.log_natural();
        x += 1.0;
    }
    let i = 1.0 / x;
    let i2 = i * i;
    let series = i
        * (1.0 / 12.0
            - i2 * (1.0 / 360.0
                - i2 * (1.0 / 1260.0 - i2 * (1.0 / 1680.0 - i2 * (1.0 / 1188.0 - i2 * 691.0 / 360_360.0)))));
    shift + (x - 0.5) * x.log_natural() - x + 0.5 * std::f64::consts::TAU.log_natural() + series
}

/// Q(a, x), the chance that a gamma variate of shape `a` exceeds `x`.
fn gamma_above(a: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    let front = (a * x.log_natural() - x - ln_gamma(a)).exponential();
    if x < a + 1.0 {
        let (mut term, mut sum, mut n) = (1.0 / a, 1.0 / a, a);
        for _ in 0..10_000 {
            n += 1.0;
            term *= x / n;
            sum += term;
            if term < 1e-17 * sum {
                break;
            }
        }
        return 1.0 - front * sum;
    }
    let mut b = x + 1.0 - a;
    let mut c = 1.0 / f64::MIN_POSITIVE;
    let mut d = 1.0 / b;
    let mut h = d;
    for i in 1..10_000 {
        let n = f64::from(i);
        let an = -n * (n - a);
        b += 2.0;
        let keep = |v: f64| if v.abs() < 1e-300 { 1e-300 } else { v };
        d = 1.0 / keep(an * d + b);
        c = keep(b + an / c);
        h *= d * c;
        if (d * c - 1.0).abs() < 1e-16 {
            break;
        }
    }
    front * h
}

/// The chance that χ² with `degrees` degrees of freedom exceeds `chi2`; 1 without any.
pub fn chi2_above(chi2: f64, degrees: usize) -> f64 {
    if degrees == 0 { 1.0 } else { gamma_above(0.5 * degrees as f64, 0.5 * chi2) }
}

/// The chance that a standard normal variate is farther from 0 than `z`.
pub fn normal_beyond(z: f64) -> f64 {
    gamma_above(0.5, 0.5 * z * z)
}

/// ln Φ(z), the logarithm of the chance that a standard normal variate stays below `z`.
pub fn ln_normal_below(z: f64) -> f64 {
    if z > -5.0 {
        let beyond = 0.5 * normal_beyond(z);
        return if z > 0.0 { (-beyond).log_natural_of_1_plus() } else { beyond.log_natural() };
    }
    // Far below, Φ itself runs out of numbers: its continued fraction, (z² + 1/…)-form, in logarithms.
    let x = -z;
    let mut fraction = x;
    for n in (1..200).rev() {
        fraction = x + f64::from(n) / fraction;
    }
    -0.5 * x * x - 0.5 * std::f64::consts::TAU.log_natural() - fraction.log_natural()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_chances_equal_scipy() {
        // SciPy: chi2.sf, 2 norm.sf, norm.logcdf.
        for (chi2, degrees, expected) in CHI2 {
            held!((chi2_above(*chi2, *degrees) / expected - 1.0).abs(), 1e-12, "{chi2} {degrees}");
        }
        for (z, beyond, ln_below) in NORMAL {
            // At 40 standard deviations there is no number small enough.
            let off =
                if *beyond == 0.0 { normal_beyond(*z) } else { (normal_beyond(*z) / beyond - 1.0).abs() };
            held!(off, 1e-12, "{z}");
            held!((ln_normal_below(*z) / ln_below - 1.0).abs(), 1e-12, "{z}");
        }
        assert_eq!(chi2_above(3.0, 0), 1.0);
    }

    include!("chance_cases.rs");
}
