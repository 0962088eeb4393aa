//! Texts with computed numbers in them.
//!
//! A placeholder stands in braces:
//! - `{tail_gap}`: a number of the pass, by the keys of the studies; `{line.throughput}`: a setting, by its path, as written;
//! - `{now.swing_left}`: something at the instant shown;
//! - `{A.tail_gap}`: the same of a pinned set-up;
//! - `{B.tail_gap - A.tail_gap}`: a difference;
//! - `{tail_gap > A.tail_gap ? longer : shorter}`: a word that depends on the numbers (equal counts as not greater and not less).
//!
//! `{{` is a brace.

use super::PinSlot;
use crate::error::Refusal;

/// A text with placeholders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Template {
    /// Its pieces in order.
    pub pieces: Vec<Piece>,
}

/// Part of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// As it stands.
    Text(String),
    /// To be computed.
    Placeholder {
        /// As written, with its braces.
        written: String,
        /// What it is.
        what: Placeholder,
    },
}

/// Something to be computed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Placeholder {
    /// A number or a written value.
    Value(Amount),
    /// One of two words.
    Word {
        /// Compared.
        left: Amount,
        /// Whether `yes` stands for «greater»; otherwise for «less».
        greater: bool,
        /// Compared with.
        right: Amount,
        /// When it is so.
        yes: String,
        /// When it is not.
        no: String,
    },
}

/// A term, or the difference of two.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amount {
    /// The term.
    pub term: Term,
    /// What is taken from it.
    pub minus: Option<Term>,
}

/// A key of one set-up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    /// The pinned set-up; none = the step's own.
    pub pin: Option<PinSlot>,
    /// Key of a number, or path of a setting.
    pub key: String,
}

/// A placeholder that is not well formed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateFault {
    /// The part of the text it is about, as written.
    pub part: String,
    /// What is wrong.
    pub problem: &'static str,
}

impl TemplateFault {
    /// As a refusal.
    pub fn refusal(&self) -> Refusal {
        Refusal {
            problem: self.problem.to_owned(),
            given: self.part.clone(),
            allowed: "{key}, {A.key}, {key - A.key}, {key > A.key ? word : other word}".to_owned(),
            advice: "write the placeholder like one of these; {{ is a brace".to_owned(),
        }
    }
}

impl Amount {
    /// Its terms.
    pub fn terms(&self) -> impl Iterator<Item = &Term> {
        std::iter::once(&self.term).chain(&self.minus)
    }
}

impl Placeholder {
    /// Every term in it.
    pub fn terms(&self) -> Vec<&Term> {
        match self {
            Placeholder::Value(amount) => amount.terms().collect(),
            Placeholder::Word { left, right, .. } => left.terms().chain(right.terms()).collect(),
        }
    }
}

impl Template {
    /// Takes a text apart.
    ///
    /// # Errors
    /// [`TemplateFault`] for the first placeholder that is not well formed.
    pub fn read(text: &str) -> Result<Template, TemplateFault> {
        let mut pieces = Vec::new();
        let mut plain = String::new();
        let mut rest = text;
        while let Some(open) = rest.find('{') {
            plain.push_str(&rest[..open]);
            rest = &rest[open..];
            if let Some(after) = rest.strip_prefix("{{") {
                plain.push('{');
                rest = after;
                continue;
            }
            let Some(close) = rest.find('}') else {
                return Err(TemplateFault { part: rest.to_owned(), problem: "this placeholder has no end" });
            };
            let (written, after) = rest.split_at(close + 1);
            if !plain.is_empty() {
                pieces.push(Piece::Text(std::mem::take(&mut plain)));
            }
            let what = placeholder(&written[1..close])
                .map_err(|problem| TemplateFault { part: written.to_owned(), problem })?;
            pieces.push(Piece::Placeholder { written: written.to_owned(), what });
            rest = after;
        }
        plain.push_str(rest);
        if !plain.is_empty() {
            pieces.push(Piece::Text(plain));
        }
        Ok(Template { pieces })
    }

    /// Its placeholders, each with how it is written.
    pub fn placeholders(&self) -> impl Iterator<Item = (&str, &Placeholder)> {
        self.pieces.iter().filter_map(|piece| match piece {
            Piece::Placeholder { written, what } => Some((written.as_str(), what)),
            Piece::Text(_) => None,
        })
    }
}

fn placeholder(text: &str) -> Result<Placeholder, &'static str> {
    let Some((question, words)) = text.split_once('?') else { return Ok(Placeholder::Value(amount(text)?)) };
    let (yes, no) = words.split_once(':').ok_or("a question needs two words with a colon between them")?;
    let at = question.find(['<', '>']).ok_or("a question needs < or > between two numbers")?;
    Ok(Placeholder::Word {
        left: amount(&question[..at])?,
        greater: question[at..].starts_with('>'),
        right: amount(&question[at + 1..])?,
        yes: yes.trim().to_owned(),
        no: no.trim().to_owned(),
    })
}

fn amount(text: &str) -> Result<Amount, &'static str> {
    match text.split_once('-') {
        None => Ok(Amount { term: term(text)?, minus: None }),
        Some((from, minus)) => Ok(Amount { term: term(from)?, minus: Some(term(minus)?) }),
    }
}

fn term(text: &str) -> Result<Term, &'static str> {
    let text = text.trim();
    let (pin, key) = match text.split_once('.') {
        Some((letter, rest)) if PinSlot::of(letter).is_some() => (PinSlot::of(letter), rest),
        _ => (None, text),
    };
    let good = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '.' | '[' | ']');
    if key.is_empty() || !key.chars().all(good) {
        return Err("this is no key");
    }
    Ok(Term { pin, key: key.to_owned() })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn term_of(pin: Option<PinSlot>, key: &str) -> Term {
        Term { pin, key: key.to_owned() }
    }

    #[test]
    fn verif_texts_come_apart_into_their_pieces() {
        let t = Template::read("Gap {tail_gap}, {{ {B.tail_gap-A.left.air.cap} {a > C.b ? more : less}.")
            .expect("well formed");
        let found: Vec<_> = t.placeholders().collect();
        assert_eq!(t.pieces.first(), Some(&Piece::Text("Gap ".into())));
        assert_eq!(t.pieces.get(2), Some(&Piece::Text(", { ".into())));
        let plain = |key: &str| Amount { term: term_of(None, key), minus: None };
        assert_eq!(found[0], ("{tail_gap}", &Placeholder::Value(plain("tail_gap"))));
        let Placeholder::Value(difference) = found[1].1 else { panic!("{:?}", found[1]) };
        assert_eq!(difference.term, term_of(Some(PinSlot::B), "tail_gap"));
        assert_eq!(difference.minus, Some(term_of(Some(PinSlot::A), "left.air.cap")));
        assert_eq!(
            *found[2].1,
            Placeholder::Word {
                left: plain("a"),
                greater: true,
                right: Amount { term: term_of(Some(PinSlot::C), "b"), minus: None },
                yes: "more".into(),
                no: "less".into()
            }
        );
    }

    #[test]
    fn verif_faults_say_which_part() {
        for (text, part) in [
            ("a {tail gap} b", "{tail gap}"),
            ("a {} b", "{}"),
            ("a {tail_gap", "{tail_gap"),
            ("a {x > y ? z} b", "{x > y ? z}"),
            ("a {x ? y : z}", "{x ? y : z}"),
            ("a {x - }", "{x - }"),
        ] {
            assert_eq!(Template::read(text).map_err(|fault| fault.part), Err(part.to_owned()), "{text}");
        }
    }
}
