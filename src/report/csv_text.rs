//! Texts as cells of CSV that a spreadsheet opens as texts.
//!
//! A cell that begins with `=`, `+`, `-`, `@`, a tab or a carriage return may be run as a formula (OWASP, «CSV Injection», from memory; with
//! the wide forms of the four signs). Such a text gets an apostrophe in front, and so does one that begins with an apostrophe, so that taking
//! one away gives the text back. Control characters and bidirectional controls, line ends among them, are written out as `\u{1b}`; a `\u{`
//! that stood there already becomes `\u{5c}u{`. Only texts are treated so, never numbers: −0.26 stays a number.

use crate::visible::is_hidden;
use std::borrow::Cow;
use std::fmt::Write;

fn begins_a_formula(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠'])
}

/// The text as a cell, before quoting.
pub(crate) fn cell(text: &str) -> Cow<'_, str> {
    let quoted = begins_a_formula(text) || text.starts_with('\'');
    if !quoted && !text.contains(is_hidden) && !text.contains("\\u{") {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    if quoted {
        out.push('\'');
    }
    for c in text.replace("\\u{", "\\u{5c}u{").chars() {
        if is_hidden(c) {
            // Writing to a String cannot fail.
            let _ = write!(out, "\\u{{{:x}}}", c as u32);
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// The text that a cell holds.
pub(crate) fn text_of(cell: &str) -> Cow<'_, str> {
    let bare = cell.strip_prefix('\'').filter(|rest| {
        begins_a_formula(rest)
            || rest.starts_with('\'')
            || rest.starts_with("\\u{9}")
            || rest.starts_with("\\u{d}")
    });
    let cell = bare.unwrap_or(cell);
    if !cell.contains("\\u{") {
        return Cow::Borrowed(cell);
    }
    let mut out = String::with_capacity(cell.len());
    let mut rest = cell;
    while let Some((before, after)) = rest.split_once("\\u{") {
        out.push_str(before);
        let code = after.split_once('}').and_then(|(code, after)| {
            let c = char::from_u32(u32::from_str_radix(code, 16).ok()?)?;
            Some((c, after))
        });
        match code {
            Some((c, after)) => {
                out.push(c);
                rest = after;
            }
            // Not of our making.
            None => {
                out.push_str("\\u{");
                rest = after;
            }
        }
    }
    out.push_str(rest);
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixed_cases::cases;
    use proptest::prelude::*;

    #[test]
    fn verif_no_text_begins_a_formula() {
        for (text, shown) in [
            ("=cmd|' /C calc'!A0", "'=cmd|' /C calc'!A0"),
            ("+1", "'+1"),
            ("-1+1", "'-1+1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", "'\\u{9}=1"),
            ("\r=1", "'\\u{d}=1"),
            ("＝1", "'＝1"),
            ("'=1", "''=1"),
            ("sedan", "sedan"),
            ("a\u{1b}[1m\nb", "a\\u{1b}[1m\\u{a}b"),
            ("\\u{1b}", "\\u{5c}u{1b}"),
        ] {
            assert_eq!(cell(text), shown);
            assert_eq!(text_of(shown), text);
        }
        // What others wrote stays as it is.
        for foreign in ["'tis", "'", "\\u{zz}", "\\u{", "\\u{110000}x"] {
            assert_eq!(text_of(foreign), foreign);
        }
    }

    proptest! {
        #![proptest_config(cases(4000))]

        #[test]
        fn verif_every_text_comes_back(text in "['=+@\t\r-]{0,2}(\\PC|\\pC|[\u{9b}\u{202e}\\\\u{}1b\"',]){0,20}") {
            let cell = cell(&text);
            prop_assert!(!begins_a_formula(&cell) && !cell.contains(is_hidden), "{cell:?}");
            prop_assert_eq!(text_of(&cell), text.as_str());
        }
    }
}
