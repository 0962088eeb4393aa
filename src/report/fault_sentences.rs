//! What is said of one cause in the language asked for: what it does not explain, how bad it would be, what one would also see, what the brush does after its
//! repair; and how long a check takes. `sheet/words/fault.tsv` has the sentences in the other languages.

use super::fault_report::{MOST_SIGNS, after_repair, minutes, percent};
use super::measures::measure_value;
use super::sheet::{Language, fault_said, filled, measure_said, placed_said};
use crate::arm::Side;
use crate::fault::check::{Caution, CheckRow};
use crate::fault::{Belief, Book, Sign};
use crate::units::{UnitSystem, format};

/// Sentences with places to fill: all of them have their words in the other languages.
#[cfg(test)]
pub(super) const SENTENCES: [&str; 10] = [
    NOT_EXPLAINED,
    WOULD_BE,
    WOULD_BE_ALONE,
    WOULD_BE_RANGE,
    ALSO_SEEN,
    AFTER_REPAIR,
    NOW_WAS,
    ONE_OF_THESE,
    FINDS,
    LOCKED_OUT,
];
const NOT_EXPLAINED: &str = "Does not explain: {0}.";
const WOULD_BE: &str = "It would be: {0} about {1}, as it should be {2}.";
const WOULD_BE_ALONE: &str = "It would be: {0} about {1}.";
const WOULD_BE_RANGE: &str = "It would be about {0} of its range.";
const ALSO_SEEN: &str = "One would also see: {0}.";
const AFTER_REPAIR: &str = "What the brush does after: {0}.";
const NOW_WAS: &str = "{0} {1} (now {2})";
const ONE_OF_THESE: &str = "One of these, {0}: what is seen does not tell them apart, checks do";
const FINDS: &str = "finds something in {0}";
const LOCKED_OUT: &str = "{0} min once locked out";

fn say(sentence: &str, language: Language, values: &[&str]) -> String {
    filled(&fault_said(sentence, language), values)
}

/// Signs with their sides, one after another.
pub fn signs_said(signs: &[Sign], language: Language) -> String {
    let of = |sign: &Sign| {
        placed_said(sign.side.map_or("", Side::name), &fault_said(sign.row().words, language), language)
    };
    signs.iter().map(of).collect::<Vec<_>>().join("; ")
}

/// What a cause does not explain, where there is such.
pub fn not_explained(belief: &Belief, language: Language) -> Option<String> {
    let against = &belief.against;
    (!against.is_empty()).then(|| say(NOT_EXPLAINED, language, &[&signs_said(against, language)]))
}

/// How bad a cause would have to be, in its own terms.
pub fn how_bad(book: &Book, belief: &Belief, units: UnitSystem, language: Language) -> Option<String> {
    let hypothesis = &book.hypotheses[belief.hypothesis];
    let (cause, row) = (hypothesis.cause?, hypothesis.row()?);
    if row.whole && row.amount.is_none() {
        return None;
    }
    Some(match (row.amount, belief.amount) {
        (Some(amount), Some(si)) => {
            let value = |si| format(amount.info, si, units);
            let label = fault_said(amount.label, language);
            match book.healthy_amount(cause, hypothesis.place) {
                Some(should) => say(WOULD_BE, language, &[&label, &value(si), &value(should)]),
                None => say(WOULD_BE_ALONE, language, &[&label, &value(si)]),
            }
        }
        _ => say(WOULD_BE_RANGE, language, &[&percent(belief.severity)]),
    })
}

/// What one would see besides, where there is such.
pub fn also_seen(belief: &Belief, language: Language) -> Option<String> {
    let most = &belief.also[..belief.also.len().min(MOST_SIGNS)];
    (!most.is_empty()).then(|| say(ALSO_SEEN, language, &[&signs_said(most, language)]))
}

/// What the brush does after the repair, where it changes.
pub fn after_said(book: &Book, belief: &Belief, units: UnitSystem, language: Language) -> Option<String> {
    let changes: Vec<String> = after_repair(book, belief)
        .iter()
        .map(|change| {
            let value = |si| measure_value(change.measure, si, units);
            let label = measure_said(change.measure, language);
            say(NOW_WAS, language, &[&label, &value(change.after), &value(change.now)])
        })
        .collect();
    (!changes.is_empty()).then(|| say(AFTER_REPAIR, language, &[&changes.join("; ")]))
}

/// What stands over causes that look alike.
pub fn one_of_these(share: f64, language: Language) -> String {
    say(ONE_OF_THESE, language, &[&percent(share)])
}

/// How long a check takes: «1.5 min once locked out».
pub fn how_long(check: &CheckRow, language: Language) -> String {
    let min = minutes(check.minutes);
    if check.caution == Caution::Still { say(LOCKED_OUT, language, &[&min]) } else { format!("{min} min") }
}

/// How often a check finds something.
pub fn finds_said(chance: f64, language: Language) -> String {
    say(FINDS, language, &[&percent(chance)])
}
