//! Printing SI values in US or SI units.
//!
//! A result is rounded to the decimals its dimension is read with; «-0» is never printed; a value that is not a
//! number is printed as a dash.

use super::parse::normal_unit;
use super::{DimensionInfo, Rung, Unit};

/// The units a person wants to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnitSystem {
    /// US customary units as the trade writes them.
    #[default]
    Us,
    /// SI units.
    Si,
}

impl UnitSystem {
    /// The word used on the command line: `us` or `si`.
    pub fn word(self) -> &'static str {
        match self {
            UnitSystem::Us => "us",
            UnitSystem::Si => "si",
        }
    }
}

impl std::str::FromStr for UnitSystem {
    type Err = crate::error::Refusal;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text {
            "us" => Ok(UnitSystem::Us),
            "si" => Ok(UnitSystem::Si),
            _ => Err(crate::error::Refusal {
                problem: "unknown unit system".to_owned(),
                given: text.to_owned(),
                allowed: "us, si".to_owned(),
                advice: "write us or si".to_owned(),
            }),
        }
    }
}

/// What stands for a value that is not a number.
const NO_VALUE: &str = "–";

/// A SI value with its unit, for running text: `3.50 in`, `7 ft 6.6 in`, `48.3 kPa`.
pub fn format(info: &DimensionInfo, si: f64, system: UnitSystem) -> String {
    if !si.is_finite() {
        return NO_VALUE.to_owned();
    }
    let rungs = show(info, system).rungs;
    // The rung is chosen by the printed value, so that 0.99996 m is 1.000 m and not 1000.0 mm.
    let mut text = String::new();
    for rung in rungs {
        let Some(unit) = info.unit(rung.unit) else { continue };
        let half_last_place = 0.5 * 10_f64.powi(-(rung.decimals as i32)) * unit.factor_f64();
        if text.is_empty() || si.abs() + half_last_place >= rung.from {
            text = on_rung(unit, rung, si);
        }
    }
    text
}

/// A SI value as a number without its unit, for a table column in [`unit_label`]'s unit.
pub fn number(info: &DimensionInfo, si: f64, system: UnitSystem) -> String {
    let show = show(info, system);
    number_in(info, si, show.unit, show.decimals)
}

/// The unit of a table column.
pub fn unit_label(info: &DimensionInfo, system: UnitSystem) -> &'static str {
    show(info, system).unit
}

/// A SI value as a number of one unit of the dimension, with this many decimals. An unknown unit counts as SI.
pub fn number_in(info: &DimensionInfo, si: f64, unit: &str, decimals: usize) -> String {
    if !si.is_finite() {
        return NO_VALUE.to_owned();
    }
    let unit = info.unit(unit).unwrap_or(&info.units[0]);
    rounded(in_unit(si, unit), decimals)
}

/// A SI value with one unit of the dimension, with this many decimals. An unknown unit counts as SI.
pub fn format_in(info: &DimensionInfo, si: f64, unit: &str, decimals: usize) -> String {
    let unit = info.unit(unit).unwrap_or(&info.units[0]);
    with_unit(&number_in(info, si, unit.symbol, decimals), unit.symbol)
}

fn show(info: &DimensionInfo, system: UnitSystem) -> &super::Show {
    match system {
        UnitSystem::Us => &info.us,
        UnitSystem::Si => &info.si,
    }
}

/// A SI value in a unit, in doubles: for display, where the last bits do not show.
fn in_unit(si: f64, unit: &Unit) -> f64 {
    (si - unit.shift.to_f64()) / unit.factor_f64()
}

fn on_rung(unit: &Unit, rung: &Rung, si: f64) -> String {
    let value = in_unit(si, unit);
    if rung.feet_inches {
        return feet_and_inches(value, rung.decimals);
    }
    let mut text = rounded(value, rung.decimals);
    if rung.trim && text.contains('.') {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
        text = without_minus_zero(text);
    }
    with_unit(&text, unit.symbol)
}

/// Inches as feet and inches; rounding never leaves 12.0 in.
fn feet_and_inches(inches: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(decimals as i32);
    let total = (inches.abs() * scale).round();
    let feet = (total / (12.0 * scale)).floor();
    let rest = (total - feet * 12.0 * scale) / scale;
    let sign = if inches < 0.0 && total > 0.0 { "-" } else { "" };
    format!("{sign}{feet:.0} ft {rest:.decimals$} in")
}

fn with_unit(number: &str, symbol: &str) -> String {
    match normal_unit(symbol).as_str() {
        "" => number.to_owned(),
        "°" => format!("{number}°"),
        _ => format!("{number} {symbol}"),
    }
}

fn rounded(value: f64, decimals: usize) -> String {
    without_minus_zero(format!("{value:.decimals$}"))
}

fn without_minus_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(size) if !size.contains(|c: char| c.is_ascii_digit() && c != '0') => size.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::*;

    #[test]
    fn verif_each_dimension_prints_as_the_trade_writes_it() {
        use UnitSystem::{Si, Us};
        let cases: &[(&DimensionInfo, f64, &str, &str)] = &[
            (LengthDim::INFO, 0.003175, "0.125 in", "3.2 mm"),
            (LengthDim::INFO, 2.3, "7 ft 6.6 in", "2.300 m"),
            (LengthDim::INFO, 3.657_59, "12 ft 0.0 in", "3.658 m"),
            (LengthDim::INFO, 0.99996, "3 ft 3.4 in", "1.000 m"),
            (LengthDim::INFO, -1e-9, "0.000 in", "0.0 mm"),
            (AngleDim::INFO, std::f64::consts::FRAC_PI_3, "60.00°", "60.00°"),
            (PressureDim::INFO, 48_263.301_052, "7.00 psi", "48.3 kPa"),
            (PressureDim::INFO, 120.0, "0.02 psi", "120 Pa"),
            (ForceDim::INFO, 44.482_216, "10.0 lbf", "44.5 N"),
            (MassDim::INFO, 68.038_855_5, "150.0 lb", "68.04 kg"),
            (TemperatureDim::INFO, 293.15, "68.0 °F", "20.0 °C"),
            (SpeedDim::INFO, 0.2286, "45.0 ft/min", "0.229 m/s"),
            (TorqueDim::INFO, 7.7017, "5.7 lbf ft", "7.7 N m"),
            (ThroughputDim::INFO, 100.0 / 3600.0, "100 veh/h", "100 veh/h"),
            (ThroughputDim::INFO, 62.5 / 3600.0, "62.5 veh/h", "62.5 veh/h"),
            (SpinDim::INFO, -9.424_777_960_769_38, "-90 rpm", "-90 rpm"),
            (SpinDim::INFO, -1e-6, "0 rpm", "0 rpm"),
            (VolumeDim::INFO, 0.001, "33.81 fl oz", "1.000 L"),
            (FractionDim::INFO, 0.35, "0.35", "0.35"),
            (FractionDim::INFO, f64::NAN, "–", "–"),
        ];
        for (info, si, us_text, si_text) in cases {
            assert_eq!(format(info, *si, Us), *us_text);
            assert_eq!(format(info, *si, Si), *si_text);
        }
    }

    #[test]
    fn verif_every_unit_named_for_printing_exists() {
        for info in ALL {
            for show in [&info.us, &info.si] {
                assert!(info.unit(show.unit).is_some(), "{} has no {}", info.name(), show.unit);
                assert!(!show.rungs.is_empty());
                assert_eq!(show.rungs[0].from, 0.0);
                for rung in show.rungs {
                    assert!(info.unit(rung.unit).is_some(), "{} has no {}", info.name(), rung.unit);
                }
            }
            for (big, small) in info.pairs {
                assert!(info.unit(big).is_some() && info.unit(small).is_some());
            }
        }
    }

    #[test]
    fn verif_numbers_and_labels_go_together() {
        assert_eq!(unit_label(LengthDim::INFO, UnitSystem::Us), "in");
        assert_eq!(number(LengthDim::INFO, 0.0254, UnitSystem::Us), "1.00");
        assert_eq!(number(LengthDim::INFO, 0.0254, UnitSystem::Si), "25.4");
        assert_eq!(number(LengthDim::INFO, -0.0, UnitSystem::Si), "0.0");
        assert_eq!(format_in(LengthDim::INFO, 0.3048, "ft", 1), "1.0 ft");
        assert_eq!("si".parse::<UnitSystem>().unwrap(), UnitSystem::Si);
        assert!("metric".parse::<UnitSystem>().is_err());
    }
}
