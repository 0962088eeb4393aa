//! Elementary functions (NIST, Digital Library of Mathematical Functions, chapter 4), alike on every machine.
//!
//! The standard library's come from the platform and differ in the last digit from one to another, so that a path, an event or a choice among equals would as well. These
//! are of one library in plain arithmetic, everywhere the same to the last bit: on a desk, in a browser, on a phone. Arguments and angles in radians.

macro_rules! elementary {
    ($($(#[$doc:meta])* $name:ident($($other:ident)?) -> $result:ty = $function:ident;)*) => {
        /// Elementary functions of a number.
        pub trait Elementary {
            $($(#[$doc])* fn $name(self $(, $other: f64)?) -> $result;)*
        }

        impl Elementary for f64 {
            $(fn $name(self $(, $other: f64)?) -> $result {
                libm::$function(self $(, $other)?)
            })*
        }
    };
}

elementary! {
    /// Sine.
    sine() -> f64 = sin;
    /// Cosine.
    cosine() -> f64 = cos;
    /// Sine and cosine.
    sine_cosine() -> (f64, f64) = sincos;
    /// Tangent.
    tangent() -> f64 = tan;
    /// Angle with this sine, −π/2 to π/2.
    arcsine() -> f64 = asin;
    /// Angle with this cosine, 0 to π.
    arccosine() -> f64 = acos;
    /// Angle with this tangent, −π/2 to π/2.
    arctangent() -> f64 = atan;
    /// Angle of the point (x, `self`), −π to π.
    arctangent2(x) -> f64 = atan2;
    /// √(x² + y²) without overflow.
    hypotenuse(y) -> f64 = hypot;
    /// To a real power.
    power(exponent) -> f64 = pow;
    /// e to this power.
    exponential() -> f64 = exp;
    /// Natural logarithm.
    log_natural() -> f64 = log;
    /// Natural logarithm of 1 + x.
    log_natural_of_1_plus() -> f64 = log1p;
    /// Logarithm to base 10.
    log_10() -> f64 = log10;
    /// Logarithm to base 2.
    log_2() -> f64 = log2;
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
