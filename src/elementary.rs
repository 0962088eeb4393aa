//! Elementary functions (NIST, Digital Library of Mathematical Functions, chapter 4), alike on every machine.
//!
//! The standard library's come from the platform and differ in the last digit from one to another, so that a path, an event or a choice among equals would. These
//! are of one library in plain arithmetic, everywhere the same to the last bit: on a desk, in a browser, on a phone. Arguments and angles in radians.

/// Elementary functions of a number.
pub trait Elementary: Sized {
    /// Sine.
    fn sine(self) -> Self;
    /// Cosine.
    fn cosine(self) -> Self;
    /// Sine and cosine.
    fn sine_cosine(self) -> (Self, Self);
    /// Tangent.
    fn tangent(self) -> Self;
    /// Angle with this sine, −π/2 to π/2.
    fn arcsine(self) -> Self;
    /// Angle with this cosine, 0 to π.
    fn arccosine(self) -> Self;
    /// Angle with this tangent, −π/2 to π/2.
    fn arctangent(self) -> Self;
    /// Angle of the point (x, `self`), −π to π.
    fn arctangent2(self, x: Self) -> Self;
    /// √(x² + y²) without overflow.
    fn hypotenuse(self, y: Self) -> Self;
    /// To a real power.
    fn power(self, exponent: Self) -> Self;
    /// e to this power.
    fn exponential(self) -> Self;
    /// Natural logarithm.
    fn log_natural(self) -> Self;
    /// Natural logarithm of 1 + x.
    fn log_natural_of_1_plus(self) -> Self;
    /// Logarithm to base 10.
    fn log_10(self) -> Self;
    /// Logarithm to base 2.
    fn log_2(self) -> Self;
}

impl Elementary for f64 {
    fn sine(self) -> f64 {
        libm::sin(self)
    }

    fn cosine(self) -> f64 {
        libm::cos(self)
    }

    fn sine_cosine(self) -> (f64, f64) {
        libm::sincos(self)
    }

    fn tangent(self) -> f64 {
        libm::tan(self)
    }

    fn arcsine(self) -> f64 {
        libm::asin(self)
    }

    fn arccosine(self) -> f64 {
        libm::acos(self)
    }

    fn arctangent(self) -> f64 {
        libm::atan(self)
    }

    fn arctangent2(self, x: f64) -> f64 {
        libm::atan2(self, x)
    }

    fn hypotenuse(self, y: f64) -> f64 {
        libm::hypot(self, y)
    }

    fn power(self, exponent: f64) -> f64 {
        libm::pow(self, exponent)
    }

    fn exponential(self) -> f64 {
        libm::exp(self)
    }

    fn log_natural(self) -> f64 {
        libm::log(self)
    }

    fn log_natural_of_1_plus(self) -> f64 {
        libm::log1p(self)
    }

    fn log_10(self) -> f64 {
        libm::log10(self)
    }

    fn log_2(self) -> f64 {
        libm::log2(self)
    }
}

#[cfg(test)]
mod tests {
    use super::Elementary;
    use approx::assert_relative_eq;

    /// Values from memory of tables (Abramowitz and Stegun, Handbook of Mathematical Functions, tables 4.2, 4.6, 4.14): to all their digits.
    #[test]
    #[expect(clippy::approx_constant, reason = "digits as the tables have them")]
    fn val_tabled_values() {
        assert_relative_eq!(0.5_f64.sine(), 0.479_425_538_604_203, epsilon = 5e-16);
        assert_relative_eq!(0.5_f64.cosine(), 0.877_582_561_890_373, epsilon = 5e-16);
        assert_relative_eq!(1.0_f64.tangent(), 1.557_407_724_654_902, epsilon = 5e-16);
        assert_relative_eq!(1.0_f64.exponential(), 2.718_281_828_459_045, epsilon = 5e-16);
        assert_relative_eq!(2.0_f64.log_natural(), 0.693_147_180_559_945_3, epsilon = 5e-17);
        assert_relative_eq!(2.0_f64.log_10(), 0.301_029_995_663_981_2, epsilon = 5e-17);
        assert_relative_eq!(1.0_f64.arctangent(), std::f64::consts::FRAC_PI_4, epsilon = 5e-17);
    }

    /// Beside the platform's own over eight thousand arguments: within two units of the last place.
    #[test]
    fn verif_as_near_as_the_platform() {
        let near = |a: f64, b: f64| assert_relative_eq!(a, b, max_relative = 4.5e-16, epsilon = 1e-17);
        for i in -4000..4000 {
            let x = f64::from(i) * 0.003_7;
            let unit = f64::from(i) / 4000.0;
            near(x.sine(), x.sin());
            near(x.cosine(), x.cos());
            assert_eq!(x.sine_cosine(), (x.sine(), x.cosine()));
            near(unit.tangent(), unit.tan());
            near(unit.arcsine(), unit.asin());
            near(unit.arccosine(), unit.acos());
            near(x.arctangent(), x.atan());
            near(x.arctangent2(unit - 0.3), x.atan2(unit - 0.3));
            near(x.hypotenuse(unit), x.hypot(unit));
            near(x.exponential(), x.exp());
            let above = x.abs() + 1e-3;
            near(above.power(unit), above.powf(unit));
            near(above.log_natural(), above.ln());
            near(above.log_natural_of_1_plus(), above.ln_1p());
            near(above.log_10(), above.log10());
            near(above.log_2(), above.log2());
        }
    }
}
