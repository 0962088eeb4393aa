//! Contact pressures in words, one unit for each system wherever they are shown: they are far too small for psi (a wet strip presses with some
//! hundredths of one), and a pound on a square foot can be pictured.

use super::UnitSystem;
pub use super::print::rounded;

/// One pound-force per square foot, Pa: 0.45359237 kg × 9.80665 m/s² / (0.3048 m)², exact by definition.
pub const PA_PER_LBF_FT2: f64 = 0.453_592_37 * 9.806_65 / (0.3048 * 0.3048);

/// The unit contact pressures are shown in: they are far too small for psi.
pub const fn pressure_unit(system: UnitSystem) -> &'static str {
    match system {
        UnitSystem::Us => "lbf/ft²",
        UnitSystem::Si => "Pa",
    }
}

/// A contact pressure as a number in [`pressure_unit`].
pub fn pressure_value(pa: f64, system: UnitSystem) -> f64 {
    match system {
        UnitSystem::Us => pa / PA_PER_LBF_FT2,
        UnitSystem::Si => pa,
    }
}

/// The decimals that contact pressures are shown with.
pub const fn pressure_decimals(system: UnitSystem) -> usize {
    match system {
        UnitSystem::Us => 1,
        UnitSystem::Si => 0,
    }
}

/// A contact pressure with its unit.
pub fn pressure_text(pa: f64, system: UnitSystem) -> String {
    format!("{} {}", rounded(pressure_value(pa, system), pressure_decimals(system)), pressure_unit(system))
}
