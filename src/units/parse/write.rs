//! A value in the style of a text that somebody wrote.

use super::super::DimensionInfo;
use super::super::unit_error::{NumberFault, UnitError};
use super::{FINEST_FRACTION, Reading, SAME, Shape, from_si, read};

/// Writes a SI value in the style of an existing text of the same dimension: the same unit and spacing, fractions of
/// an inch while they are exact to 1/64, else decimals. The value of the new text equals `si` to 1e-12.
///
/// # Errors
/// [`UnitError`] when `like` itself cannot be read, or `si` is not a finite number.
pub fn write_like(info: &'static DimensionInfo, like: &str, si: f64) -> Result<String, UnitError> {
    let reading = read(info, like)?;
    if !si.is_finite() {
        let given = si.to_string();
        return Err(UnitError::BadNumber { wanted: info.wanted(), given, fault: NumberFault::OutOfRange });
    }
    let unit = reading.unit;
    let value = from_si(si, unit);
    let scale = value.abs().max(from_si(reading.si, unit).abs());
    let same = scale * SAME;
    let sign = if value < -same { "-" } else { "" };
    let size = value.abs();
    let styled = match &reading.shape {
        Shape::Decimal { places, unit_text } => {
            format!("{sign}{}{unit_text}", decimal_text(size, *places, same))
        }
        Shape::Fraction { joiner, unit_text } => {
            let number = fraction_text(size, *joiner, same).unwrap_or_else(|| decimal_text(size, 0, same));
            format!("{sign}{number}{unit_text}")
        }
        Shape::Pair { big, big_text, small_text, places, joiner } => {
            let ratio = big.factor.over(unit.factor).to_f64();
            let mut whole = (size / ratio).floor();
            let mut small = (size - whole * ratio).max(0.0);
            if ratio - small <= same.max(1e-9) {
                (whole, small) = (whole + 1.0, 0.0);
            }
            let fraction = if *places == 0 { fraction_text(small, *joiner, same) } else { None };
            let number = fraction.unwrap_or_else(|| decimal_text(small, *places, same));
            // A point that ended the first unit must not begin the second number: «0'.½ in».
            let apart = if big_text.ends_with('.') { " " } else { "" };
            format!("{sign}{whole:.0}{big_text}{apart}{number}{small_text}")
        }
    };
    // A style that cannot say this value gives way: what is written must read back.
    let near = |back: &Reading| (from_si(back.si, unit) - value).abs() <= 1e3 * same + f64::MIN_POSITIVE;
    if read(info, &styled).is_ok_and(|back| near(&back)) {
        return Ok(styled);
    }
    let plain = format!("{sign}{} {}", decimal_text(size, 0, same), unit.symbol);
    Ok(plain.trim_end().to_owned())
}

/// The shortest decimal that equals `size` (not negative) to `same`, with at least `places` decimals.
fn decimal_text(size: f64, places: usize, same: f64) -> String {
    // Far outside what is read as plain digits, the exponent form keeps the text short.
    if size != 0.0 && !(1e-12..1e16).contains(&size) {
        return format!("{size:e}");
    }
    for places in places..=30 {
        let text = format!("{size:.places$}");
        if text.parse::<f64>().is_ok_and(|read| (read - size).abs() <= same) {
            return text;
        }
    }
    format!("{size:e}")
}

/// `size` (not negative) as whole and 64ths, when it is that to `same`.
fn fraction_text(size: f64, joiner: char, same: f64) -> Option<String> {
    let parts = (size * FINEST_FRACTION).round();
    if parts > 1e9 || (parts / FINEST_FRACTION - size).abs() > same.max(1e-12) {
        return None;
    }
    let parts = parts as u64;
    let (whole, mut num, mut den) = (parts / 64, parts % 64, 64_u64);
    while num != 0 && num.is_multiple_of(2) {
        (num, den) = (num / 2, den / 2);
    }
    Some(match (whole, num) {
        (_, 0) => whole.to_string(),
        (0, _) => format!("{num}/{den}"),
        _ => format!("{whole}{joiner}{num}/{den}"),
    })
}
