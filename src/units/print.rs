//! Printing SI values in US or SI units.
//!
//! A result is rounded to the decimals its dimension is read with; «−0» is never printed; a value that is not a
//! number is printed as a dash. All of it is for people: minus is U+2212. Forms for machines print plain numbers of SI.

use super::parse::{normal_unit, read};
use super::{DimensionInfo, Rung, Show, Unit};

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

/// The minus that people read.
const MINUS: char = '−';

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

/// A value that was written in a unit of the other system, in this one; `None` where it can stay as it was written.
pub fn converted(info: &'static DimensionInfo, written: &str, si: f64, system: UnitSystem) -> Option<String> {
    let only_si = |symbol: &str| {
        let uses = |show: &Show| show.unit == symbol || show.rungs.iter().any(|rung| rung.unit == symbol);
        uses(&info.si) && !uses(&info.us)
    };
    let own = match read(info, written) {
        Ok(reading) if only_si(reading.unit.symbol) => UnitSystem::Si,
        _ => UnitSystem::Us,
    };
    let [said, same] = [system, own].map(|system| format(info, si, system));
    if own == system || said == same {
        return None;
    }
    // The unit of the column, not the smallest one.
    Some(if si == 0.0 { format_in(info, 0.0, unit_label(info, system), 0) } else { said })
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

/// A SI value as a number of one unit of the dimension, to a millionth of a millionth: for the axes of charts. An unknown unit counts as SI.
pub fn value_in(info: &DimensionInfo, si: f64, unit: &str) -> f64 {
    let value = in_unit(si, info.unit(unit).unwrap_or(&info.units[0]));
    (value * 1e12).round() / 1e12
}

/// A text for people with U+2212 for every hyphen that stands for a minus: before a number, with nothing, a blank, a bracket or a sign before it,
/// or in an exponent. Hyphens in words, dates and mixed fractions (`1-1/2 in`) stay. What a person wrote with a hyphen is read either way.
pub fn minus_signs(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = [None, None];
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        let opens = match before {
            [_, None] => true,
            [Some('.'), Some('.')] => true,
            [Some(digit), Some('e' | 'E')] => digit.is_ascii_digit() || digit == '.',
            [_, Some(last)] => last.is_whitespace() || "([{=<>≤≥±:;,«+*/|".contains(last),
        };
        let number =
            rest.peek().is_some_and(|next| next.is_ascii_digit() || matches!(next, '.' | '½' | '¼' | '¾'));
        out.push(if c == '-' && opens && number { MINUS } else { c });
        before = [before[1], Some(c)];
    }
    out
}

/// «1 point», «3 points»: a count with its noun, the only place that chooses between them.
pub fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
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
        text = true_minus(text);
    }
    with_unit(&text, unit.symbol)
}

/// Inches as feet and inches; rounding never leaves 12.0 in.
fn feet_and_inches(inches: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(decimals as i32);
    let total = (inches.abs() * scale).round();
    let feet = (total / (12.0 * scale)).floor();
    let rest = (total - feet * 12.0 * scale) / scale;
    let sign = if inches < 0.0 && total > 0.0 { "−" } else { "" };
    format!("{sign}{feet:.0} ft {rest:.decimals$} in")
}

fn with_unit(number: &str, symbol: &str) -> String {
    match normal_unit(symbol).as_str() {
        "" => number.to_owned(),
        "°" => format!("{number}°"),
        _ => format!("{number} {symbol}"),
    }
}

/// A number with this many decimals, a true minus and no minus zero.
pub fn rounded(value: f64, decimals: usize) -> String {
    true_minus(format!("{value:.decimals$}"))
}

fn true_minus(text: String) -> String {
    match text.strip_prefix(['-', MINUS]) {
        Some(size) if !size.contains(|c: char| c.is_ascii_digit() && c != '0') => size.to_owned(),
        Some(size) => format!("{MINUS}{size}"),
        None => text,
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
            (SpinDim::INFO, -9.424_777_960_769_38, "−90 rpm", "−90 rpm"),
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
    fn verif_a_hyphen_before_a_number_becomes_a_minus_and_no_other_does() {
        for (written, read) in [
            ("-1/8 in", "−1/8 in"),
            ("from 0 in to -1/16 in (-4 ft)", "from 0 in to −1/16 in (−4 ft)"),
            ("a=-0.5..-.25", "a=−0.5..−.25"),
            ("5e-9 and 1.2E-3", "5e−9 and 1.2E−3"),
            ("1-1/2 in, 3'6-1/2\", 2026-11-28", "1-1/2 in, 3'6-1/2\", 2026-11-28"),
            ("set-up 3-4, one-unit, lane-2", "set-up 3-4, one-unit, lane-2"),
            ("- a list; --set x", "- a list; --set x"),
            ("", ""),
        ] {
            assert_eq!(minus_signs(written), read);
            assert_eq!(minus_signs(read), read);
        }
        assert_eq!([0, 1, 2].map(|n| counted(n, "point", "points")), ["0 points", "1 point", "2 points"]);
    }

    #[test]
    fn verif_numbers_and_labels_go_together() {
        assert_eq!(unit_label(LengthDim::INFO, UnitSystem::Us), "in");
        assert_eq!(number(LengthDim::INFO, 0.0254, UnitSystem::Us), "1.00");
        assert_eq!(number(LengthDim::INFO, 0.0254, UnitSystem::Si), "25.4");
        assert_eq!(number(LengthDim::INFO, -0.0, UnitSystem::Si), "0.0");
        assert_eq!(format_in(LengthDim::INFO, 0.3048, "ft", 1), "1.0 ft");
        assert_eq!(number(LengthDim::INFO, -0.0254, UnitSystem::Si), "−25.4");
        assert_eq!(format(LengthDim::INFO, -2.3, UnitSystem::Us), "−7 ft 6.6 in");
        assert_eq!(value_in(LengthDim::INFO, -0.0508, "in"), -2.0);
        assert_eq!("si".parse::<UnitSystem>().unwrap(), UnitSystem::Si);
        assert!("metric".parse::<UnitSystem>().is_err());
    }

    /// What is written in a unit of the other system is said in this one (an inch is 25.4 mm, a psi 6.894757 kPa; NIST SP 811, B.8), what is written in its own stays, as does what both
    /// systems say alike; nothing is nothing of the unit of the column.
    #[test]
    fn verif_what_is_written_in_the_other_system_is_converted() {
        let inch = LengthDim::INFO;
        assert_eq!(converted(inch, "1/8 in", 0.003_175, UnitSystem::Si).as_deref(), Some("3.2 mm"));
        assert_eq!(converted(inch, "1/8 in", 0.003_175, UnitSystem::Us), None);
        assert_eq!(converted(inch, "25.4 mm", 0.0254, UnitSystem::Si), None);
        let said = converted(inch, "25.4 mm", 0.0254, UnitSystem::Us).expect("another unit");
        assert!(said.starts_with('1') && said.ends_with("in"), "{said}");
        assert_eq!(converted(inch, "0 in", 0.0, UnitSystem::Si).as_deref(), Some("0 mm"));
        assert_eq!(
            converted(PressureDim::INFO, "7 psi", 48_263.3, UnitSystem::Si).as_deref(),
            Some("48.3 kPa")
        );
        assert_eq!(converted(SpinDim::INFO, "90 rpm", 9.424_778, UnitSystem::Si), None);
    }
}
