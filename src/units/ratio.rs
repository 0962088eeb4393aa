//! Exact ratios for unit factors, worked out at compile time.
//!
//! A factor such as psi in pascals is a ratio of whole numbers by definition. Keeping it whole means a written
//! value is rounded once, at the very end, and «7/8 in» becomes the double nearest to 0.022225 m.

/// A ratio of whole numbers in lowest terms; the denominator is positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ratio {
    /// Numerator; carries the sign.
    pub num: i128,
    /// Denominator, greater than zero.
    pub den: i128,
}

impl Ratio {
    /// The ratio 0.
    pub const ZERO: Ratio = Ratio { num: 0, den: 1 };
    /// The ratio 1.
    pub const ONE: Ratio = Ratio { num: 1, den: 1 };

    /// `num / den`, reduced. `den` must be positive: a constant that breaks this does not compile.
    pub const fn new(num: i128, den: i128) -> Ratio {
        assert!(den > 0, "a ratio's denominator is positive");
        let common = greatest_common_divisor(num.abs(), den);
        Ratio { num: num / common, den: den / common }
    }

    /// The product of two ratios.
    pub const fn times(self, other: Ratio) -> Ratio {
        // Cross-reduce first so that the products stay small.
        let a = Ratio::new(self.num, other.den);
        let b = Ratio::new(other.num, self.den);
        Ratio::new(a.num * b.num, a.den * b.den)
    }

    /// The quotient of two ratios; the divisor must be positive.
    pub const fn over(self, other: Ratio) -> Ratio {
        assert!(other.num > 0, "unit factors are positive");
        self.times(Ratio { num: other.den, den: other.num })
    }

    /// The sum of two ratios.
    pub const fn plus(self, other: Ratio) -> Ratio {
        Ratio::new(self.num * other.den + other.num * self.den, self.den * other.den)
    }

    /// The same ratio with its sign turned.
    pub const fn negated(self) -> Ratio {
        Ratio { num: -self.num, den: self.den }
    }

    /// The ratio as a double: good to an ulp, for display only.
    pub fn to_f64(self) -> f64 {
        self.num as f64 / self.den as f64
    }
}

const fn greatest_common_divisor(a: i128, b: i128) -> i128 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    if a == 0 { 1 } else { a }
}

#[cfg(test)]
mod tests {
    use super::Ratio;

    #[test]
    fn verif_ratio_arithmetic_keeps_lowest_terms() {
        let half = Ratio::new(3, 6);
        assert_eq!(half, Ratio { num: 1, den: 2 });
        assert_eq!(half.times(Ratio::new(-2, 3)), Ratio { num: -1, den: 3 });
        assert_eq!(half.over(Ratio::new(1, 4)), Ratio { num: 2, den: 1 });
        assert_eq!(half.plus(Ratio::new(1, 3)), Ratio { num: 5, den: 6 });
        assert_eq!(half.negated().to_f64(), -0.5);
        assert_eq!(Ratio::new(0, 7), Ratio::ZERO);
    }
}
