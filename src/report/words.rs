//! Numbers as people say them: the unit system chosen once, the decimals a person can use.

use super::{Ink, TEXT_WIDTH};
use crate::coverage::{MeasureName, VerdictLine};
use crate::units::job::percent_to;
pub(crate) use crate::units::job::{Column, JobWords as Words, NONE};
use crate::units::minus_signs;

impl Words {
    /// The column that a measure is shown in; none for shares, which are shown in percent.
    pub(crate) fn measure(self, name: MeasureName) -> Option<Column> {
        self.of_unit(name.si_unit())
    }

    /// Value and limit of a verdict line.
    pub(crate) fn verdict_numbers(self, line: &VerdictLine) -> (String, String) {
        self.value_and_limit(line.criterion.si_unit(), line.value, line.limit)
    }
}

/// A share in percent, one decimal; a dash when there is none.
pub(crate) fn percent(share: Option<f64>) -> String {
    share.map_or_else(|| NONE.to_owned(), |share| percent_to(share, 1))
}

/// A text with a capital at its start.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// Breaks a paragraph into lines of at most `width` characters; lines after the first start with `indent` blanks. A number stays with the
/// unit after it; a word longer than a line is broken anywhere. Minus signs are true ones.
pub(crate) fn wrap(text: &str, width: usize, indent: usize) -> String {
    let mut chunks: Vec<String> = Vec::new();
    for word in minus_signs(text).split_whitespace() {
        match chunks.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) && !starts_number(word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => chunks.push(word.to_owned()),
        }
    }
    let mut out = String::new();
    let mut column = 0;
    let room = width.saturating_sub(indent).max(1);
    let pieces = chunks.iter().flat_map(|chunk| broken_at(chunk, room));
    for chunk in pieces {
        let length = chunk.chars().count();
        if column > 0 && column + 1 + length > width {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if column > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(chunk);
        column += length;
    }
    out.push('\n');
    out
}

/// A text in pieces of at most so many characters.
fn broken_at(text: &str, most: usize) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let end = rest.char_indices().nth(most).map_or(rest.len(), |(at, _)| at);
        let (piece, after) = rest.split_at(end);
        rest = after;
        (!piece.is_empty()).then_some(piece)
    })
}

/// Whether a word is a number of its own, which no number before it takes for its unit.
fn starts_number(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit())
}

/// A heading in strong ink, broken into lines that fit.
pub(crate) fn heading(text: &str, ink: Ink) -> String {
    wrap(text, TEXT_WIDTH, 0).lines().map(|line| ink.strong(line) + "\n").collect()
}

/// A paragraph that stands in by this many blanks as a whole.
pub(crate) fn inset(text: &str, indent: usize) -> String {
    let lines = wrap(text, TEXT_WIDTH - indent, 0);
    lines.lines().map(|line| " ".repeat(indent) + line + "\n").collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::Verdict;
    use crate::units::UnitSystem;

    fn line(criterion: MeasureName, value: Option<f64>, limit: f64) -> VerdictLine {
        VerdictLine {
            criterion,
            about: None,
            side: None,
            value,
            limit,
            size: limit,
            verdict: Verdict::Fail,
            edge: None,
        }
    }

    #[test]
    fn verif_value_and_limit_can_be_told_apart() {
        let us = Words::new(UnitSystem::Us);
        let inch = 0.0254;
        let pair = us.verdict_numbers(&line(MeasureName::TailGap, Some(17.2 * inch), 12.0 * inch));
        assert_eq!(pair, ("17.2 in".to_owned(), "12.0 in".to_owned()));
        let pair = us.verdict_numbers(&line(MeasureName::TailGap, Some(12.003 * inch), 12.0 * inch));
        assert_eq!(pair, ("12.003 in".to_owned(), "12.000 in".to_owned()));
        let pair = us.verdict_numbers(&line(MeasureName::SideWashed, Some(0.9999), 1.0));
        assert_eq!(pair, ("99.99 %".to_owned(), "100.00 %".to_owned()));
        let pair = us.verdict_numbers(&line(MeasureName::ChaseDelay, None, 3.0));
        assert_eq!(pair, (NONE.to_owned(), "3.00 s".to_owned()));
    }

    #[test]
    fn verif_areas_in_both_systems() {
        let (us, si) = (Words::new(UnitSystem::Us), Words::new(UnitSystem::Si));
        // 1 psi is 144 lbf/ft².
        assert_eq!(us.contact_pressure().with_unit(Some(6894.757)), "144.0 lbf/ft²");
        assert_eq!(si.contact_pressure().with_unit(Some(119.6)), "120 Pa");
        assert_eq!(us.rubbing().with_unit(Some(14.593_903 * 20.0)), "20 ft lbf/ft²");
        assert_eq!(si.rubbing().number(Some(266.2)), "266");
        assert_eq!(us.rubbing().number(None), NONE);
    }

    #[test]
    fn verif_lengths_in_running_text() {
        let (us, si) = (Words::new(UnitSystem::Us), Words::new(UnitSystem::Si));
        assert_eq!(us.length_text(0.0508), "2.0 in");
        assert_eq!(us.length_text(0.9144), "3 ft 0 in");
        assert_eq!(us.length_text(23.6 * 0.3048), "23 ft 7 in");
        assert_eq!(us.length_text(11.99 * 12.0 * 0.0254), "12 ft 0 in");
        assert_eq!(si.length_text(0.0508), "51 mm");
        assert_eq!(si.length_text(1.25), "1.25 m");
        assert_eq!(si.length_text(0.9997), "1.00 m");
        assert_eq!(us.heights(12.0 * 0.0254, 20.0 * 0.0254), "12 to 20 in");
    }

    #[test]
    fn verif_wrap_keeps_every_word() {
        let text = "one two three four five six seven eight";
        let wrapped = wrap(text, 14, 2);
        assert!(wrapped.lines().all(|l| l.chars().count() <= 14) && wrapped.lines().count() > 2);
        assert_eq!(wrapped.split_whitespace().collect::<Vec<_>>().join(" "), text);
        assert_eq!(wrap("a gap of 12 in here", 11, 0), "a gap of\n12 in here\n");
        assert_eq!(wrap("a -1 b", 11, 0), "a −1 b\n");
        let long = wrap("see abcdefghijklmnopqrstuvwxyz then 1 2 3 4 5 6 7 8 9", 12, 2);
        assert!(long.lines().all(|l| l.chars().count() <= 12), "{long}");
        let joined: String = long.split_whitespace().collect();
        assert_eq!(joined, "seeabcdefghijklmnopqrstuvwxyzthen123456789");
    }
}
