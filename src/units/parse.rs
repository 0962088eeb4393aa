//! Reading a written quantity, and writing a new value in the same style.
//!
//! Grammar (blanks are optional wherever they help):
//!
//! ```text
//! quantity = [sign] number unit | [sign] whole big-unit ["-"] number small-unit
//! number   = digits ["." digits] [exponent] | whole "/" whole | whole ("-" | " ") whole "/" whole | vulgar fraction
//! sign     = "+" | "-" | "−" | "–"
//! ```
//!
//! The text, its digits and its exponent are bounded before any big number is built, so no text can make this slow.

mod cursor;
mod write;

pub use write::write_like;

use super::unit_error::{NumberFault, UnitError};
use super::{DimensionInfo, Ratio, Unit, table};
use cursor::{Cursor, vulgar};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};
use std::sync::LazyLock;

/// The longest text read as a quantity, in characters.
const MAX_CHARS: usize = 100;
/// The most digits in one number.
const MAX_DIGITS: usize = 40;
/// The largest power of ten in an exponent; wide enough for every double.
const MAX_EXPONENT: i32 = 330;
/// The finest fraction of an inch a tape or shim is written in.
const FINEST_FRACTION: f64 = 64.0;
/// Two values closer than this, relative to their size, are the same value written.
const SAME: f64 = 1e-12;

const PI_DIGITS: &str = "3141592653589793238462643383279502884197169399375105820974944";

/// π as an exact ratio, good to 60 decimals.
static PI: LazyLock<BigRational> = LazyLock::new(|| {
    let digits = PI_DIGITS.parse::<BigInt>().unwrap_or_else(|_| BigInt::from(3));
    BigRational::new(digits, BigInt::from(10).pow(PI_DIGITS.len() as u32 - 1))
});

/// A written quantity, read: the value and everything needed to write another like it.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The value in SI: the double nearest to what was written. For a pressure, gauge against the standard atmosphere.
    pub si: f64,
    /// The absolute pressure in pascals, when it was written as one.
    pub absolute_pa: Option<f64>,
    /// The unit it was written in (the smaller one of a pair).
    pub unit: &'static Unit,
    /// How it was written.
    shape: Shape,
}

/// How a number and its unit were written.
#[derive(Debug, Clone)]
enum Shape {
    /// A decimal with this many digits after the point, then the unit with its leading blanks.
    Decimal { places: usize, unit_text: String },
    /// A fraction or mixed number; the joiner of a mixed number, then the unit with its leading blanks.
    Fraction { joiner: char, unit_text: String },
    /// A pair such as feet and inches.
    Pair { big: &'static Unit, big_text: String, small_text: String, places: usize, joiner: char },
}

/// A number as it stands in the text.
struct Number {
    value: BigRational,
    form: Form,
}

#[derive(Clone, Copy, PartialEq)]
enum Form {
    Whole,
    Decimal { places: usize },
    Fraction { joiner: char },
}

/// Reads a written quantity of one dimension.
///
/// # Errors
/// [`UnitError`] says what was given, what is allowed and what to do.
pub fn read(info: &'static DimensionInfo, text: &str) -> Result<Reading, UnitError> {
    let text = text.trim();
    let wanted = info.wanted();
    let given = || text.to_owned();
    if text.is_empty() {
        return Err(UnitError::Empty { wanted });
    }
    if text.chars().nth(MAX_CHARS).is_some() {
        let given = text.chars().take(30).chain(['…']).collect();
        return Err(UnitError::TooLong { wanted, given, limit: MAX_CHARS });
    }
    let bad = |fault| UnitError::BadNumber { wanted, given: given(), fault };
    let mut cursor = Cursor { text, at: 0 };
    let negative = match cursor.peek() {
        Some('-' | '−' | '–') => {
            cursor.bump();
            true
        }
        Some('+') => {
            cursor.bump();
            false
        }
        _ => false,
    };
    cursor.skip_blanks();
    let number = match cursor.number() {
        Ok(Some(number)) => number,
        Ok(None) => return Err(UnitError::NoNumber { wanted, given: given() }),
        Err(fault) => return Err(bad(fault)),
    };
    let rest = cursor.rest();
    if let Some((big, small)) = pair_of(info, &number, rest) {
        return read_pair(info, text, negative, number, rest, big, small);
    }
    let symbol = normal_unit(rest);
    let unit = if symbol.is_empty() {
        if !info.bare_number {
            return Err(UnitError::BareNumber { wanted, given: given() });
        }
        &info.units[0]
    } else {
        match info.units.iter().find(|unit| unit.is_called(&symbol)) {
            Some(unit) => unit,
            None if starts_like_a_number(&symbol) => {
                let comma = symbol.starts_with(',');
                return Err(bad(if comma { NumberFault::Comma } else { NumberFault::TwoNumbers }));
            }
            None => return Err(unknown_unit(info, text, symbol)),
        }
    };
    let value = if negative { -number.value } else { number.value };
    let unit_text = rest.to_owned();
    let shape = match number.form {
        Form::Whole => Shape::Decimal { places: 0, unit_text },
        Form::Decimal { places } => Shape::Decimal { places, unit_text },
        Form::Fraction { joiner } => Shape::Fraction { joiner, unit_text },
    };
    finish(&(value * unit_factor(unit)), unit, shape).ok_or_else(|| bad(NumberFault::OutOfRange))
}

/// The units of a pair, when the text after the first number starts like one: «3 ft 6 in», «3'6"».
fn pair_of(
    info: &'static DimensionInfo,
    number: &Number,
    rest: &str,
) -> Option<(&'static Unit, &'static str)> {
    if matches!(number.form, Form::Fraction { .. }) {
        return None;
    }
    let head = normal_unit(first_unit_run(rest).0);
    info.pairs.iter().find_map(|&(big, small)| {
        let unit = info.unit(big)?;
        let follows = first_unit_run(rest).1;
        (unit.is_called(&head) && starts_like_a_number(follows)).then_some((unit, small))
    })
}

/// Splits at the first character that can start a number; a joining hyphen before it belongs to neither part.
fn first_unit_run(rest: &str) -> (&str, &str) {
    let starts = |(at, c): &(usize, char)| {
        let digit_next = || rest[at + 1..].starts_with(|c: char| c.is_ascii_digit());
        c.is_ascii_digit() || *c == '.' && digit_next() || vulgar(*c).is_some()
    };
    let cut = rest.char_indices().find(starts).map_or(rest.len(), |(at, _)| at);
    let (head, tail) = rest.split_at(cut);
    (head.trim_end().trim_end_matches(['-', '‑']), tail)
}

/// Whether a point in the text is directly followed by a digit, so that «.5» starts a number but «ft.» does not.
fn follows_digit(rest: &str) -> bool {
    rest.split_once('.').is_some_and(|(_, after)| after.starts_with(|c: char| c.is_ascii_digit()))
}

fn read_pair(
    info: &'static DimensionInfo,
    text: &str,
    negative: bool,
    first: Number,
    rest: &str,
    big: &'static Unit,
    small: &str,
) -> Result<Reading, UnitError> {
    let wanted = info.wanted();
    let bad = |fault| UnitError::BadNumber { wanted, given: text.to_owned(), fault };
    let Some(small_unit) = info.unit(small) else {
        return Err(bad(NumberFault::Malformed));
    };
    let tail = first_unit_run(rest).1;
    let mut cursor = Cursor { text: tail, at: 0 };
    let second = match cursor.number() {
        Ok(Some(number)) => number,
        Ok(None) => return Err(bad(NumberFault::Malformed)),
        Err(fault) => return Err(bad(fault)),
    };
    let symbol = normal_unit(cursor.rest());
    if symbol.is_empty() {
        return Err(bad(NumberFault::PairWithoutUnit));
    }
    if starts_like_a_number(&symbol) {
        return Err(bad(NumberFault::TwoNumbers));
    }
    if !small_unit.is_called(&symbol) {
        return Err(unknown_unit(info, text, symbol));
    }
    let big_si = &first.value * unit_factor(big);
    let small_si = &second.value * unit_factor(small_unit);
    if first.form != Form::Whole || small_si >= unit_factor(big) {
        return Err(bad(NumberFault::BadPair));
    }
    let (places, joiner) = match second.form {
        Form::Whole => (0, '-'),
        Form::Decimal { places } => (places.max(1), '-'),
        Form::Fraction { joiner } => (0, joiner),
    };
    let big_text = rest[..rest.len() - tail.len()].to_owned();
    let shape = Shape::Pair { big, big_text, small_text: cursor.rest().to_owned(), places, joiner };
    let total = big_si + small_si;
    finish(&if negative { -total } else { total }, small_unit, shape)
        .ok_or_else(|| bad(NumberFault::OutOfRange))
}

/// Rounds once. `before_shift` is number × factor. `None` when the value cannot be held.
fn finish(before_shift: &BigRational, unit: &'static Unit, shape: Shape) -> Option<Reading> {
    let si = nearest_double(&(before_shift + big(unit.shift)))?;
    let absolute_pa = if unit.absolute { Some(nearest_double(before_shift)?) } else { None };
    Some(Reading { si, absolute_pa, unit, shape })
}

/// The nearest double, or `None` when that is infinite or would lose precision below the normal range.
fn nearest_double(value: &BigRational) -> Option<f64> {
    if value.is_zero() {
        return Some(0.0);
    }
    value.to_f64().filter(|x| x.is_finite() && x.abs() >= f64::MIN_POSITIVE)
}

fn big(ratio: Ratio) -> BigRational {
    BigRational::new(BigInt::from(ratio.num), BigInt::from(ratio.den))
}

fn unit_factor(unit: &Unit) -> BigRational {
    match unit.pi_power {
        0 => big(unit.factor),
        1 => big(unit.factor) * &*PI,
        power => big(unit.factor) * PI.pow(i32::from(power)),
    }
}

/// The number of `unit` in a SI value, rounded once.
pub(super) fn from_si(si: f64, unit: &Unit) -> f64 {
    BigRational::from_float(si)
        .and_then(|exact| nearest_double(&((exact - big(unit.shift)) / unit_factor(unit))))
        .unwrap_or((si - unit.shift.to_f64()) / unit.factor_f64())
}

fn unknown_unit(info: &'static DimensionInfo, text: &str, unit: String) -> UnitError {
    let wanted = info.wanted();
    let given = text.to_owned();
    if let Some((_, hint)) =
        info.hints.iter().find(|(names, _)| names.iter().any(|n| n.eq_ignore_ascii_case(&unit)))
    {
        return UnitError::Ambiguous { wanted, given, unit, hint };
    }
    let nearest = info
        .units
        .iter()
        .find(|u| std::iter::once(&u.symbol).chain(u.names).any(|name| name.eq_ignore_ascii_case(&unit)));
    if let Some(nearest) = nearest {
        return UnitError::UnknownUnit { wanted, given, unit, nearest: Some(nearest.symbol) };
    }
    match table::ALL.iter().find(|other| other.units.iter().any(|u| u.is_called(&unit))) {
        Some(other) => UnitError::WrongUnit { wanted, given, unit, measures: other.quantity },
        None => UnitError::UnknownUnit { wanted, given, unit, nearest: None },
    }
}

/// A unit text in the one spelling the table uses: plain letters, `2` for squared, `/` for per, single blanks.
pub(super) fn normal_unit(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut chars = text.trim().chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '·' | '⋅' | '*' | '×' => plain.push(' '),
            '²' => plain.push('2'),
            '³' => plain.push('3'),
            '^' | '.' => {}
            'µ' | 'μ' => plain.push('u'),
            '″' | '”' | '“' => plain.push('"'),
            '′' | '’' | '‘' | '\'' => {
                // Two single primes make a double one.
                if matches!(chars.peek(), Some('′' | '’' | '‘' | '\'')) {
                    chars.next();
                    plain.push('"');
                } else {
                    plain.push('\'');
                }
            }
            'º' => plain.push('°'),
            '℃' => plain.push_str("°C"),
            '℉' => plain.push_str("°F"),
            '-' | '‑' if plain.ends_with(char::is_alphabetic) => plain.push(' '),
            c if c.is_whitespace() => plain.push(' '),
            c => plain.push(c),
        }
    }
    let mut out = String::with_capacity(plain.len());
    for word in plain.split(' ').filter(|word| !word.is_empty()) {
        let word = if word == "per" { "/" } else { word };
        let tight = out.is_empty() || out.ends_with(['/', '(', '°']) || word.starts_with(['/', ')']);
        if !tight {
            out.push(' ');
        }
        out.push_str(word);
    }
    out
}

fn starts_like_a_number(text: &str) -> bool {
    let rest = text.trim_start_matches(['+', '-', '−', '–', ',', '.', '/', ' ']);
    rest.starts_with(|c: char| c.is_ascii_digit() || vulgar(c).is_some())
        && !text.strip_prefix("1/").is_some_and(|after| after.starts_with(char::is_alphabetic))
        && !text.starts_with(|c: char| c.is_alphabetic())
}

#[cfg(test)]
mod tests;
