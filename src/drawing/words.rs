//! Numbers in words that several pictures share.

use crate::elementary::Elementary;
use crate::units::{Dimension, DimensionInfo, LengthDim, UnitSystem, format, unit_label};

pub use crate::units::contact::rounded;
pub use crate::units::contact::{PA_PER_LBF_FT2, pressure_text, pressure_unit, pressure_value};
pub use crate::units::job::{job_length, short_length};

/// A small offset as it is set on the job: in US units a whole number of thirty-seconds of an inch is written as a fraction.
pub fn offset_text(length_m: f64, system: UnitSystem) -> String {
    let parts = length_m / 0.0254 * 32.0;
    let whole = parts.round();
    if system != UnitSystem::Us || (parts - whole).abs() > 0.005 || !(1.0..32.0).contains(&whole.abs()) {
        return format(LengthDim::INFO, length_m, system);
    }
    let (mut over, mut under) = (whole.abs() as u32, 32_u32);
    while over.is_multiple_of(2) {
        (over, under) = (over / 2, under / 2);
    }
    format!("{}{over}/{under} in", if whole < 0.0 { "−" } else { "" })
}

/// A SI value in the unit of [`crate::units::unit_label`], for axes.
pub fn in_label_unit(info: &DimensionInfo, si: f64, system: UnitSystem) -> f64 {
    to_label_unit(info, system)(si)
}

/// The same for many values.
pub fn to_label_unit(info: &DimensionInfo, system: UnitSystem) -> impl Fn(f64) -> f64 + Copy + use<> {
    let unit = info.unit(unit_label(info, system)).unwrap_or(&info.units[0]);
    let (shift, size) =
        (unit.shift.to_f64(), unit.factor.to_f64() * std::f64::consts::PI.powi(i32::from(unit.pi_power)));
    move |si| (si - shift) / size
}

/// The least of 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 × 10ⁿ that is not under `value`; 1 for values that are not positive.
pub fn round_up(value: f64) -> f64 {
    if !(value.is_finite() && value > 0.0) {
        return 1.0;
    }
    let decade = 10_f64.power(value.log_10().floor());
    [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0]
        .into_iter()
        .map(|m| m * decade)
        .find(|m| *m >= value * (1.0 - 1e-12))
        .unwrap_or(10.0 * decade)
}

/// What 97 of 100 of some values stay under: the few above it (edges of mirrors, mostly) must not wash out the rest. 0 without values.
pub fn most_of(mut values: Vec<f64>) -> f64 {
    let Some(last) = values.len().checked_sub(1) else { return 0.0 };
    *values.select_nth_unstable_by(last * 97 / 100, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_most_of_leaves_three_of_a_hundred_out() {
        let values: Vec<f64> = (0..=100).rev().map(f64::from).collect();
        assert_eq!(most_of(values), 97.0);
        assert_eq!((most_of(vec![]), most_of(vec![5.0])), (0.0, 5.0));
    }

    #[test]
    fn verif_round_up_is_never_under_and_close() {
        for value in [0.0031, 0.9, 1.0, 1.2, 6.1, 48.0, 99.0, 101.0, 5e5] {
            let up = round_up(value);
            assert!(up >= value && up < 1.67 * value, "{value} {up}");
        }
        assert_eq!(round_up(f64::NAN), 1.0);
    }

    #[test]
    fn verif_offsets_are_fractions_of_an_inch_where_they_are_such() {
        let inches = |value: f64| offset_text(value * 0.0254, UnitSystem::Us);
        assert_eq!([0.125, 0.0625, -0.75, 0.03125].map(inches), ["1/8 in", "1/16 in", "−3/4 in", "1/32 in"]);
        assert_eq!(inches(0.13), format(LengthDim::INFO, 0.13 * 0.0254, UnitSystem::Us));
        assert_eq!(inches(1.5), format(LengthDim::INFO, 1.5 * 0.0254, UnitSystem::Us));
        assert_eq!(offset_text(0.003175, UnitSystem::Si), format(LengthDim::INFO, 0.003175, UnitSystem::Si));
    }

    #[test]
    fn verif_axis_units_follow_the_unit_table() {
        use crate::units::{AngleDim, PressureDim, TorqueDim};
        let half_turn = in_label_unit(AngleDim::INFO, std::f64::consts::PI, UnitSystem::Us);
        assert!((half_turn - 180.0).abs() < 1e-9);
        let psi = in_label_unit(PressureDim::INFO, 6894.757293168361, UnitSystem::Us);
        assert!((psi - 1.0).abs() < 1e-9);
        assert_eq!(in_label_unit(TorqueDim::INFO, 12.5, UnitSystem::Si), 12.5);
    }

    #[test]
    fn verif_pressures_and_lengths_in_both_systems() {
        assert_eq!(pressure_text(47.88025898, UnitSystem::Us), "1.0 lbf/ft²");
        assert_eq!(pressure_text(120.4, UnitSystem::Si), "120 Pa");
        assert_eq!(short_length(0.1778, UnitSystem::Us), "7.0 in");
        assert_eq!(short_length(0.178, UnitSystem::Si), "178 mm");
        assert_eq!(short_length(-1e-6, UnitSystem::Us), "0.0 in");
        assert_eq!(short_length(2.3, UnitSystem::Si), "2.30 m");
    }
}
