//! Colour on a terminal. It never carries meaning alone: every coloured word says the same without it.

use crate::coverage::Verdict;
use crate::visible::visible;
use anstyle::{AnsiColor, Style};
use std::hash::{BuildHasher, RandomState};
use std::sync::LazyLock;

/// Stands before and after our own codes, so that [`Ink::ready`] tells them from codes in somebody's text: an application program command
/// (ECMA-48), which a terminal passes over, with a number that no file can know.
static MARK: LazyLock<String> =
    LazyLock::new(|| format!("\u{1b}_{:016x}\u{1b}\\", RandomState::new().hash_one("ink")));

/// Whether a text may hold the escape codes of a terminal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ink {
    /// Bare text, for files, pipes and snapshots.
    #[default]
    Plain,
    /// Escape codes for bold and colour.
    Colour,
}

impl Ink {
    fn paint(self, style: Style, text: &str) -> String {
        match self {
            Ink::Plain => text.to_owned(),
            Ink::Colour => format!("{0}{style}{0}{text}{0}{style:#}{0}", *MARK),
        }
    }

    /// A text as it may go to a terminal or a file: our own codes stay, everything else that would steer a terminal is written out
    /// ([`visible`]).
    pub fn ready(self, text: &str) -> String {
        if self == Ink::Plain {
            return visible(text).into_owned();
        }
        // Text and codes take turns.
        let mut is_code = true;
        let parts = text.split(MARK.as_str()).map(|part| {
            is_code = !is_code;
            if is_code { part.into() } else { visible(part) }
        });
        parts.collect()
    }

    /// A heading.
    pub fn strong(self, text: &str) -> String {
        self.paint(Style::new().bold(), text)
    }

    /// A text that states a verdict in words.
    pub fn verdict(self, verdict: Verdict, text: &str) -> String {
        let style = match verdict {
            Verdict::Pass => Style::new().fg_color(Some(AnsiColor::Cyan.into())),
            Verdict::Marginal => Style::new().fg_color(Some(AnsiColor::Yellow.into())),
            Verdict::Fail => Style::new().bold().fg_color(Some(AnsiColor::Magenta.into())),
        };
        self.paint(style, text)
    }

    /// Lines of a table whose last word is a verdict, with that word coloured.
    pub(crate) fn verdict_lines(self, text: &str) -> String {
        if self == Ink::Plain {
            return text.to_owned();
        }
        let mut out = String::with_capacity(text.len() + 64);
        for line in text.lines() {
            let word = line.rsplit(' ').next().unwrap_or("");
            let verdict =
                [Verdict::Pass, Verdict::Marginal, Verdict::Fail].into_iter().find(|v| v.name() == word);
            match verdict {
                Some(v) => {
                    out.push_str(&line[..line.len() - word.len()]);
                    out.push_str(&self.verdict(v, word));
                }
                None => out.push_str(line),
            }
            out.push('\n');
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_colour_adds_no_word_and_plain_ink_nothing() {
        let table = "gap on the tail  17.2 in  fail\noverlap  2.0 in  pass\nlast  words\n";
        assert_eq!(Ink::Plain.verdict_lines(table), table);
        let painted = Ink::Colour.verdict_lines(table);
        assert_ne!(painted, table);
        assert_eq!(anstream::adapter::strip_str(&painted).to_string(), table);
        assert_eq!(Ink::Plain.strong("x"), "x");
        assert_eq!(anstream::adapter::strip_str(&Ink::Colour.strong("x")).to_string(), "x");
    }

    #[test]
    fn verif_only_our_own_codes_reach_a_terminal() {
        let hostile = "\u{1b}[31mred \u{1b}]0;title\u{7} \u{1b}_0000000000000000\u{1b}\\\u{1b}[1m";
        let shown = "\\u{1b}[31mred \\u{1b}]0;title\\u{7} \\u{1b}_0000000000000000\\u{1b}\\\\u{1b}[1m";
        assert_eq!(Ink::Plain.ready(hostile), shown);
        for ready in [
            Ink::Colour.ready(&Ink::Colour.strong(hostile)),
            Ink::Colour.ready(&(Ink::Colour.strong("x") + hostile)),
            Ink::Colour.ready(&(hostile.to_owned() + &Ink::Colour.verdict(Verdict::Fail, "x"))),
        ] {
            assert!(ready.contains(shown), "{ready:?}");
            assert!(ready.matches('\u{1b}').count() <= 3 && !ready.contains("\u{1b}_"), "{ready:?}");
        }
        let style = Style::new().bold();
        assert_eq!(Ink::Colour.ready(&Ink::Colour.strong("x")), format!("{style}x{style:#}"));
        assert_eq!(Ink::Plain.ready("x\n"), "x\n");
    }
}
