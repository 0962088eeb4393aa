//! Colour on a terminal. It never carries meaning alone: every coloured word says the same without it.

use crate::coverage::Verdict;
use anstyle::{AnsiColor, Style};

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
            Ink::Colour => format!("{style}{text}{style:#}"),
        }
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
}
