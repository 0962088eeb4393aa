//! Errors as plain data with text that says what to change.

/// Why one written value was refused, in the four parts every error of this crate has.
///
/// `Display` writes `problem; given: …; allowed: …; do: …` on one line, leaving out empty parts. A value type whose
/// `Deserialize` reports a `Refusal` (through `serde::de::Error::custom`) has it taken apart again by
/// [`Refusal::from_text`] when the file reader builds a diagnostic, so the parts survive the trip through serde.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Refusal {
    /// What is wrong, in a few words of our own: «a length needs its unit».
    pub problem: String,
    /// What was given. May be empty.
    pub given: String,
    /// What is allowed. May be empty.
    pub allowed: String,
    /// What to do about it. May be empty.
    pub advice: String,
}

const GIVEN: &str = "; given: ";
const ALLOWED: &str = "; allowed: ";
const ADVICE: &str = "; do: ";

impl Refusal {
    /// Takes the text of a refusal apart again. `None` when the text is not one.
    ///
    /// `given` is the only part that holds a user's text; the others are ours and do not hold the separators. The
    /// problem is cut from the left and the rest from the right, so nothing a user writes can confuse it.
    pub fn from_text(text: &str) -> Option<Refusal> {
        let (rest, advice) = text.rsplit_once(ADVICE).unwrap_or((text, ""));
        let (rest, allowed) = rest.rsplit_once(ALLOWED).unwrap_or((rest, ""));
        let (problem, given) = rest.split_once(GIVEN).unwrap_or((rest, ""));
        if problem.len() == text.len() {
            return None;
        }
        Some(Refusal {
            problem: problem.to_owned(),
            given: given.to_owned(),
            allowed: allowed.to_owned(),
            advice: advice.to_owned(),
        })
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.problem)?;
        for (label, part) in [(GIVEN, &self.given), (ALLOWED, &self.allowed), (ADVICE, &self.advice)] {
            if !part.is_empty() {
                write!(f, "{label}{part}")?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for Refusal {}
