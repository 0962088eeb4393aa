//! Contact pressures in words: they are far too small for psi.

use super::UnitSystem;

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

/// A contact pressure with its unit.
pub fn pressure_text(pa: f64, system: UnitSystem) -> String {
    let decimals = if system == UnitSystem::Us { 1 } else { 0 };
    format!("{:.decimals$} {}", pressure_value(pa, system), pressure_unit(system))
}

/// A number with this many decimals and no minus zero.
pub fn rounded(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(size) if !size.contains(|c: char| c.is_ascii_digit() && c != '0') => size.to_owned(),
        _ => text,
    }
}
