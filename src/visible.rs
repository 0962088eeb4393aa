//! Characters that steer a terminal, or turn the direction of text, made visible.
//!
//! A title, a name or a path may hold anything. Raw on a terminal, a control character can move the cursor, change colours, set the window's
//! title or more (ECMA-48, «Control functions for coded character sets»); a bidirectional control can show letters in another order than
//! they stand in (Unicode Standard Annex 9; the attack is CVE-2021-42574). Both are shown as `\u{1b}`, the way a string in a scenario may
//! write them. Both sources from memory.

use std::borrow::Cow;
use std::fmt::Write;

/// Whether a character acts instead of being seen: the C0 and C1 controls, DELETE, the line and paragraph separators, and the embeddings,
/// overrides and isolates of Unicode Standard Annex 9.
pub fn is_hidden(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A text of lines with every hidden character but the line break written out: `\u{1b}`.
pub fn visible(text: &str) -> Cow<'_, str> {
    written_out(text, |c| c != '\n' && is_hidden(c), as_in_a_string)
}

/// A text that has to stay on one line: line breaks are written out too.
pub fn visible_line(text: &str) -> Cow<'_, str> {
    written_out(text, is_hidden, as_in_a_string)
}

/// A JSON text (RFC 8259) with the hidden characters of its strings as `\u001b`: it reads back as the same document.
pub fn visible_json(json: &str) -> Cow<'_, str> {
    // Between values only blanks, tabs and line ends may stand; inside strings the writer has escaped those already.
    let hidden = |c: char| is_hidden(c) && !matches!(c, '\n' | '\r' | '\t');
    written_out(json, hidden, |out, c| write!(out, "\\u{:04x}", c as u32))
}

/// A line of a source text with every hidden character but the tab written out; whoever sets it decides how wide a tab is.
pub fn visible_source(line: &str) -> Cow<'_, str> {
    written_out(line, |c| c != '\t' && is_hidden(c), as_in_a_string)
}

/// As a string in a scenario may write it.
fn as_in_a_string(out: &mut String, c: char) -> std::fmt::Result {
    match c {
        '\n' => out.write_str("\\n"),
        '\r' => out.write_str("\\r"),
        '\t' => out.write_str("\\t"),
        c => write!(out, "\\u{{{:x}}}", c as u32),
    }
}

fn written_out(
    text: &str,
    hidden: impl Fn(char) -> bool,
    write: impl Fn(&mut String, char) -> std::fmt::Result,
) -> Cow<'_, str> {
    if !text.contains(&hidden) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 32);
    for c in text.chars() {
        if hidden(c) {
            // Writing to a String cannot fail.
            let _ = write(&mut out, c);
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixed_cases::cases;
    use proptest::prelude::*;

    #[test]
    fn verif_what_steers_a_terminal_is_written_out() {
        assert_eq!(visible("\u{1b}[31mred\u{7}\tx\r\n"), "\\u{1b}[31mred\\u{7}\\tx\\r\n");
        assert_eq!(visible("\u{9b}2J\u{7f}"), "\\u{9b}2J\\u{7f}");
        assert_eq!(visible("a\u{202e}b\u{2066}c\u{2029}"), "a\\u{202e}b\\u{2066}c\\u{2029}");
        assert_eq!(visible_line("a\nb"), "a\\nb");
        // Letters of any script, accents and marks stay.
        for plain in ["Fährhafen «Süd» 7/8″ −3 ½ °C", "שלום", "مرحبا", "渡船", "e\u{301}", ""]
        {
            assert!(matches!(visible(plain), Cow::Borrowed(same) if same == plain));
        }
    }

    proptest! {
        #![proptest_config(cases(4000))]

        #[test]
        fn verif_no_hidden_character_is_left_and_no_other_is_touched(text in "(\\PC|\\pC|[\u{202a}-\u{202e}\u{2066}-\u{2069}\u{2028}\u{2029}\n]){0,40}") {
            let shown = visible(&text);
            prop_assert!(!shown.contains(|c| is_hidden(c) && c != '\n'), "{shown:?}");
            prop_assert!(!visible_line(&text).contains(is_hidden));
            prop_assert_eq!(visible(&shown), shown.clone());
            let kept: String = text.chars().filter(|c| !is_hidden(*c) || *c == '\n').collect();
            let mut rest = shown.chars();
            prop_assert!(kept.chars().all(|c| rest.any(|s| s == c)));
        }

        #[test]
        fn verif_json_stays_the_same_document(text in "(\\PC|\\pC|[\u{80}-\u{9f}\u{202a}-\u{202e}\"\\\\]){0,40}") {
            let json = serde_json::to_string_pretty(&serde_json::json!({ text.as_str(): [text.as_str()] })).unwrap();
            let shown = visible_json(&json);
            prop_assert!(!shown.contains(|c| is_hidden(c) && c != '\n'), "{shown:?}");
            let back: serde_json::Value = serde_json::from_str(&shown).unwrap();
            prop_assert_eq!(back[&text][0].as_str(), Some(text.as_str()));
        }
    }
}
