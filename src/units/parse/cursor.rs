//! A number in a text: whole, decimal with an exponent, fraction, mixed.

use super::super::unit_error::NumberFault;
use super::{Form, MAX_DIGITS, MAX_EXPONENT, Number, follows_digit};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Zero};

/// A single-character fraction.
pub(super) fn vulgar(c: char) -> Option<(u8, u8)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

/// A place in a text.
pub(super) struct Cursor<'a> {
    pub text: &'a str,
    pub at: usize,
}

impl<'a> Cursor<'a> {
    pub fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    pub fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    pub fn bump(&mut self) {
        self.at += self.peek().map_or(0, char::len_utf8);
    }

    pub fn skip_blanks(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
    }

    pub fn digits(&mut self) -> &'a str {
        let rest = self.rest();
        let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    /// The number at this place; `None` when there is none.
    pub fn number(&mut self) -> Result<Option<Number>, NumberFault> {
        if let Some((num, den)) = self.peek().and_then(vulgar) {
            self.bump();
            let value = BigRational::new(BigInt::from(num), BigInt::from(den));
            return Ok(Some(Number { value, form: Form::Fraction { joiner: '-' } }));
        }
        let whole = self.digits();
        let mut after = self.rest().chars();
        match (after.next(), after.next()) {
            (Some('.'), next) if !whole.is_empty() || next.is_some_and(|c| c.is_ascii_digit()) => {
                self.bump();
                let decimals = self.digits();
                if self.fraction_bar() {
                    return Err(NumberFault::MixedForms);
                }
                self.decimal(whole, decimals).map(Some)
            }
            _ if whole.is_empty() => Ok(None),
            (Some(','), Some(next)) if next.is_ascii_digit() => Err(NumberFault::Comma),
            (Some('e' | 'E'), _) => self.decimal(whole, "").map(Some),
            _ if self.fraction_bar() => {
                let value = self.over(whole)?;
                Ok(Some(Number { value, form: Form::Fraction { joiner: '-' } }))
            }
            _ => self.mixed(whole).map(Some),
        }
    }

    /// Whether a fraction bar with a digit after it stands here (the `/` of `ft/min` is none).
    fn fraction_bar(&self) -> bool {
        let mut chars = self.rest().chars();
        matches!(chars.next(), Some('/' | '⁄')) && chars.next().is_some_and(|c| c.is_ascii_digit())
    }

    /// The rest of a fraction after its numerator.
    fn over(&mut self, numerator: &str) -> Result<BigRational, NumberFault> {
        self.bump();
        let denominator = self.digits();
        let next_is_point = self.rest().starts_with('.') && follows_digit(self.rest());
        if next_is_point || self.fraction_bar() {
            return Err(NumberFault::MixedForms);
        }
        let denominator = whole_number(denominator)?;
        if denominator.is_zero() {
            return Err(NumberFault::ZeroDenominator);
        }
        Ok(BigRational::new(whole_number(numerator)?, denominator))
    }

    /// A whole number that may go on as a mixed one: «1-1/4», «1 1/4», «1¼».
    fn mixed(&mut self, whole: &str) -> Result<Number, NumberFault> {
        let value = BigRational::from_integer(whole_number(whole)?);
        let back = self.at;
        let joiner = match self.peek() {
            Some('-' | '‑') => {
                self.bump();
                '-'
            }
            _ => {
                self.skip_blanks();
                ' '
            }
        };
        if let Some((num, den)) = self.peek().and_then(vulgar) {
            self.bump();
            let part = BigRational::new(BigInt::from(num), BigInt::from(den));
            return Ok(Number { value: value + part, form: Form::Fraction { joiner } });
        }
        let numerator = self.digits();
        if numerator.is_empty() || !self.fraction_bar() || self.at == back + numerator.len() {
            self.at = back;
            return Ok(Number { value, form: Form::Whole });
        }
        let part = self.over(numerator)?;
        if part >= BigRational::one() {
            return Err(NumberFault::ImproperMixed);
        }
        Ok(Number { value: value + part, form: Form::Fraction { joiner } })
    }

    /// The number made of digits before and after the point and an exponent that may follow here.
    fn decimal(&mut self, whole: &str, decimals: &str) -> Result<Number, NumberFault> {
        if whole.len() + decimals.len() > MAX_DIGITS {
            return Err(NumberFault::TooManyDigits);
        }
        let mut exponent = 0;
        let back = self.at;
        if matches!(self.peek(), Some('e' | 'E')) {
            self.bump();
            let negative = match self.peek() {
                Some('-' | '−') => {
                    self.bump();
                    true
                }
                Some('+') => {
                    self.bump();
                    false
                }
                _ => false,
            };
            let digits = self.digits();
            if digits.is_empty() {
                self.at = back;
            } else {
                exponent = digits
                    .parse::<i32>()
                    .ok()
                    .filter(|e| *e <= MAX_EXPONENT)
                    .ok_or(NumberFault::OutOfRange)?;
                if negative {
                    exponent = -exponent;
                }
            }
        }
        let written_exponent = self.at > back;
        let digits = whole_number(&format!("0{whole}{decimals}"))?;
        let power = exponent - decimals.len() as i32;
        let scale = BigInt::from(10).pow(power.unsigned_abs());
        let value = if power < 0 {
            BigRational::new(digits, scale)
        } else {
            BigRational::from_integer(digits * scale)
        };
        let form = match decimals.len() {
            0 if !written_exponent => Form::Whole,
            places => Form::Decimal { places: if written_exponent { 0 } else { places } },
        };
        Ok(Number { value, form })
    }
}

fn whole_number(digits: &str) -> Result<BigInt, NumberFault> {
    if digits.len() > MAX_DIGITS + 1 {
        return Err(NumberFault::TooManyDigits);
    }
    digits.parse().map_err(|_| NumberFault::Malformed)
}
