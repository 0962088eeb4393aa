//! Numbers that carry their derivatives by up to seven parameters, so that Jacobians are exact.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A value and its gradient.
#[derive(Debug, Clone, Copy)]
pub struct Dual {
    pub value: f64,
    pub by: [f64; 7],
}

impl Dual {
    /// Parameter number `k`.
    pub fn parameter(value: f64, k: usize) -> Dual {
        let mut by = [0.0; 7];
        by[k] = 1.0;
        Dual { value, by }
    }

    pub fn map(self, value: f64, slope: f64) -> Dual {
        Dual { value, by: self.by.map(|d| d * slope) }
    }

    pub fn exp(self) -> Dual {
        let e = self.value.exp();
        self.map(e, e)
    }

    pub fn ln(self) -> Dual {
        self.map(self.value.ln(), 1.0 / self.value)
    }

    pub fn atan(self) -> Dual {
        self.map(self.value.atan(), 1.0 / (1.0 + self.value * self.value))
    }
}

impl From<f64> for Dual {
    fn from(value: f64) -> Dual {
        Dual { value, by: [0.0; 7] }
    }
}

fn both(a: Dual, b: Dual, value: f64, da: f64, db: f64) -> Dual {
    let mut by = [0.0; 7];
    for (k, d) in by.iter_mut().enumerate() {
        *d = a.by[k] * da + b.by[k] * db;
    }
    Dual { value, by }
}

macro_rules! operator {
    ($name:ident, $method:ident, |$a:ident, $b:ident| $value:expr, $da:expr, $db:expr) => {
        impl<T: Into<Dual>> $name<T> for Dual {
            type Output = Dual;

            fn $method(self, other: T) -> Dual {
                let other = other.into();
                let ($a, $b) = (self.value, other.value);
                both(self, other, $value, $da, $db)
            }
        }
    };
}
operator!(Add, add, |a, b| a + b, 1.0, 1.0);
operator!(Sub, sub, |a, b| a - b, 1.0, -1.0);
operator!(Mul, mul, |a, b| a * b, b, a);
operator!(Div, div, |a, b| a / b, 1.0 / b, -a / (b * b));

impl Neg for Dual {
    type Output = Dual;

    fn neg(self) -> Dual {
        self.map(-self.value, -1.0)
    }
}
