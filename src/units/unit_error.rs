//! What can be wrong with a written quantity, as plain data with text that says what to change.

use crate::error::Refusal;

/// A written quantity that was refused. Every case carries what was given; the methods say what is allowed and
/// what to do, and `Display` puts all of it on one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UnitError {
    /// Nothing but blanks.
    Empty {
        /// What kind of quantity was wanted.
        wanted: Wanted,
    },
    /// Longer than any quantity needs to be.
    TooLong {
        /// What kind of quantity was wanted.
        wanted: Wanted,
        /// The first part of what was given.
        given: String,
        /// The longest text accepted, in characters.
        limit: usize,
    },
    /// A number without a unit where the unit is needed.
    BareNumber {
        /// What kind of quantity was wanted.
        wanted: Wanted,
        /// What was given.
        given: String,
    },
    /// A unit, or other text, with no number in front.
    NoNumber {
        /// What kind of quantity was wanted.
        wanted: Wanted,
        /// What was given.
        given: String,
    },
    /// A number that cannot be read.
    BadNumber {
        /// What kind of quantity was wanted.
        wanted: Wanted,
        /// What was given.
        given: String,
        /// What is wrong with the number.
        fault: NumberFault,
    },
    /// A unit nobody here knows.
    UnknownUnit {
        /// What kind of quantity was wanted.
        wanted: Wanted,
        /// What was given.
        given: String,
        /// The part taken for the unit.
        unit: String,
        /// The unit that differs only by capitals, when there is one.
        nearest: Option<&'static str>,
    },
    /// A unit that measures something else.
    WrongUnit {
        /// What kind of quantity was wanted.
        wanted: Wanted,
        /// What was given.
        given: String,
        /// The part taken for the unit.
        unit: String,
        /// What that unit measures.
        measures: &'static str,
    },
    /// A unit that is often written here but means something else, such as `lb` where a force is wanted.
    Ambiguous {
        /// What kind of quantity was wanted.
        wanted: Wanted,
        /// What was given.
        given: String,
        /// The part taken for the unit.
        unit: String,
        /// What to write instead.
        hint: &'static str,
    },
}

/// What kind of quantity was wanted, with the text shown for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    /// The quantity with its article: «a length».
    pub quantity: &'static str,
    /// The units allowed, as a list for people.
    pub allowed: &'static str,
    /// One good example, as it would be written.
    pub example: &'static str,
}

/// What is wrong with a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberFault {
    /// A comma inside the number.
    Comma,
    /// A fraction over zero.
    ZeroDenominator,
    /// Decimals or exponents inside a fraction.
    MixedForms,
    /// The fraction after a whole number is one or more, as in 1-5/4.
    ImproperMixed,
    /// The second part of a pair such as feet and inches is as much as one of the first, or the first is not whole.
    BadPair,
    /// The second number of a pair has no unit.
    PairWithoutUnit,
    /// Two numbers where one is wanted, as in «5-10 psi».
    TwoNumbers,
    /// More digits than a quantity needs.
    TooManyDigits,
    /// Too large to be held, or so small that it would round to nothing.
    OutOfRange,
    /// Not a number at all.
    Malformed,
}

impl NumberFault {
    fn problem(self) -> &'static str {
        match self {
            NumberFault::Comma => "a comma is not used in numbers",
            NumberFault::ZeroDenominator => "the fraction divides by zero",
            NumberFault::MixedForms => "a fraction is made of whole numbers",
            NumberFault::ImproperMixed => "the fraction after a whole number must be less than 1",
            NumberFault::BadPair => "the pair of numbers does not add up",
            NumberFault::PairWithoutUnit => "the second number has no unit",
            NumberFault::TwoNumbers => "there is more than one number",
            NumberFault::TooManyDigits => "the number has too many digits",
            NumberFault::OutOfRange => "the number is out of all range",
            NumberFault::Malformed => "the number cannot be read",
        }
    }

    fn advice(self) -> &'static str {
        match self {
            NumberFault::Comma => "use a point for decimals and nothing between thousands",
            NumberFault::ZeroDenominator => "write a fraction over 1 or more",
            NumberFault::MixedForms => "write either a fraction such as 7/8 or a decimal such as 0.875",
            NumberFault::ImproperMixed => "carry it over: 1-5/4 is 2-1/4",
            NumberFault::BadPair => "write whole feet and less than 12 inches, as in 3 ft 6-1/2 in",
            NumberFault::PairWithoutUnit => "write the unit after the second number too, as in 3 ft 6 in",
            NumberFault::TwoNumbers => "write one value; a range is given as two fields",
            NumberFault::TooManyDigits => "use at most 40 digits",
            NumberFault::OutOfRange => "check the number and its unit",
            NumberFault::Malformed => "write a decimal such as 1.25 or a fraction such as 1-1/4",
        }
    }
}

impl UnitError {
    /// What kind of quantity was wanted.
    pub fn wanted(&self) -> Wanted {
        match self {
            UnitError::Empty { wanted }
            | UnitError::TooLong { wanted, .. }
            | UnitError::BareNumber { wanted, .. }
            | UnitError::NoNumber { wanted, .. }
            | UnitError::BadNumber { wanted, .. }
            | UnitError::UnknownUnit { wanted, .. }
            | UnitError::WrongUnit { wanted, .. }
            | UnitError::Ambiguous { wanted, .. } => *wanted,
        }
    }

    /// The same error in the parts every refusal of this crate has.
    pub fn refusal(&self) -> Refusal {
        let wanted = self.wanted();
        let quantity = wanted.quantity;
        let like = format!("write it like \"{}\"", wanted.example);
        let (problem, given, advice) = match self {
            UnitError::Empty { .. } => {
                (format!("{quantity} is wanted but the text is empty"), String::new(), like)
            }
            UnitError::TooLong { given, limit, .. } => (
                format!("the text is longer than the {limit} characters {quantity} may take"),
                given.clone(),
                like,
            ),
            UnitError::BareNumber { given, .. } => (
                format!("{quantity} needs its unit"),
                given.clone(),
                format!("add the unit in quotes, like \"{}\"", wanted.example),
            ),
            UnitError::NoNumber { given, .. } => {
                let problem = match quantity {
                    "a number" => "this is not a number".to_owned(),
                    quantity => format!("{quantity} starts with a number"),
                };
                (problem, given.clone(), like)
            }
            UnitError::BadNumber { given, fault, .. } => {
                (format!("{} in {quantity}", fault.problem()), given.clone(), fault.advice().to_owned())
            }
            UnitError::UnknownUnit { given, unit, nearest, .. } => (
                format!("`{unit}` is not a unit of {}", bare(quantity)),
                given.clone(),
                match nearest {
                    Some(nearest) => {
                        format!("capitals matter in SI units: write {nearest} if that is what you mean")
                    }
                    None => like,
                },
            ),
            UnitError::WrongUnit { given, unit, measures, .. } => {
                (format!("`{unit}` measures {measures}, but {quantity} is wanted"), given.clone(), like)
            }
            UnitError::Ambiguous { given, unit, hint, .. } => {
                (format!("`{unit}` is not used for {quantity}"), given.clone(), (*hint).to_owned())
            }
        };
        Refusal { problem, given, allowed: wanted.allowed.to_owned(), advice }
    }
}

/// «a length» without its article.
fn bare(quantity: &'static str) -> &'static str {
    quantity.split_once(' ').map_or(quantity, |(_, name)| name)
}

impl std::fmt::Display for UnitError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.refusal().fmt(f)
    }
}

impl std::error::Error for UnitError {}
