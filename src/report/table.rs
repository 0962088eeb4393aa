//! Small tables in plain text: no rules to draw, columns two blanks apart, numbers to the right.
//!
//! No line is wider than [`TEXT_WIDTH`] characters. A table that would be breaks its headings onto several lines, then its words, the widest column
//! first; one with too many columns is set in several parts, each with the first column again.

use super::TEXT_WIDTH;
use crate::units::minus_signs;
use comfy_table::{Cell, CellAlignment, ContentArrangement, Table, presets};

/// Blanks between columns.
const BETWEEN: usize = 2;

/// Words are not broken into columns narrower than this.
const NARROWEST: usize = 14;

/// A table under construction.
#[derive(Debug)]
pub(crate) struct TextTable {
    headings: Vec<String>,
    right: Vec<bool>,
    rows: Vec<Vec<String>>,
    /// Columns that stand in every part when the table is set in several.
    leading: usize,
}

impl TextTable {
    /// A table with its headings; a heading that starts with `>` stands over a column of numbers.
    pub fn new<S: AsRef<str>>(headings: &[S]) -> TextTable {
        let right = headings.iter().map(|h| h.as_ref().starts_with('>')).collect();
        let headings = headings.iter().map(|h| h.as_ref().trim_start_matches('>').to_owned()).collect();
        TextTable { headings, right, rows: Vec::new(), leading: 1 }
    }

    /// How many columns stand in every part, when the table has to be set in several; one unless told.
    pub fn leading(mut self, columns: usize) -> TextTable {
        self.leading = columns;
        self
    }

    /// One more row; minus signs are true ones.
    pub fn row<S: AsRef<str>>(&mut self, cells: &[S]) {
        self.rows.push(cells.iter().map(|text| minus_signs(text.as_ref())).collect());
    }

    fn body_width(&self, column: usize) -> usize {
        self.rows.iter().filter_map(|row| row.get(column)).map(|text| width(text)).max().unwrap_or(0)
    }

    fn heading_width(&self, column: usize) -> usize {
        self.headings.get(column).map_or(0, |text| width(text))
    }

    /// The text: lines without blanks at their ends.
    pub fn text(self) -> String {
        let columns: Vec<usize> = (0..self.headings.len()).collect();
        let full: Vec<usize> =
            columns.iter().map(|&c| self.body_width(c).max(self.heading_width(c))).collect();
        if across(&full) <= TEXT_WIDTH {
            return self.part(&columns, &full);
        }
        let mut out = String::new();
        for part in self.parts() {
            if !out.is_empty() {
                out.push('\n');
            }
            out.push_str(&self.part(&part, &self.narrowed(&part)));
        }
        out
    }

    /// The least width a column can have: numbers stay whole, words break.
    fn least(&self, column: usize) -> usize {
        let word = self.headings.get(column).into_iter().flat_map(|h| h.split([' ', '\n'])).map(width).max();
        let body = self.body_width(column);
        let body = if self.right.get(column) == Some(&true) { body } else { body.min(NARROWEST) };
        body.max(word.unwrap_or(0).min(NARROWEST))
    }

    /// Columns that fit side by side, the leading ones in every part.
    fn parts(&self) -> Vec<Vec<usize>> {
        let leading: Vec<usize> = (0..self.leading.min(self.headings.len())).collect();
        let mut parts: Vec<Vec<usize>> = vec![leading.clone()];
        for column in leading.len()..self.headings.len() {
            let wide = |part: &[usize]| {
                let widths: Vec<usize> = part.iter().chain([&column]).map(|&c| self.least(c)).collect();
                across(&widths) > TEXT_WIDTH
            };
            match parts.last_mut() {
                Some(part) if !wide(part) || part.len() == leading.len() => part.push(column),
                _ => parts.push(leading.iter().copied().chain([column]).collect()),
            }
        }
        parts
    }

    /// Widths that fit: headings broken first, then the widest column of words.
    fn narrowed(&self, part: &[usize]) -> Vec<usize> {
        let full = |c: usize| self.body_width(c).max(self.heading_width(c));
        let mut widths: Vec<usize> =
            part.iter().map(|&c| self.body_width(c).max(self.least(c)).min(full(c))).collect();
        while across(&widths) > TEXT_WIDTH {
            let over = across(&widths) - TEXT_WIDTH;
            let breakable = (0..part.len()).filter(|&i| widths[i] > self.least(part[i]));
            let Some(widest) = breakable.max_by_key(|&i| (widths[i], usize::MAX - i)) else { break };
            let least = self.least(part[widest]);
            // Down to the next widest of words, so that no column is broken more than needed.
            widths[widest] = least.max(widths[widest] - over.min(4));
        }
        // What is left over goes back to the headings that were broken.
        for (i, &column) in part.iter().enumerate() {
            let spare = TEXT_WIDTH.saturating_sub(across(&widths));
            let wanted = full(column).saturating_sub(widths[i]);
            if wanted <= spare {
                widths[i] += wanted;
            }
        }
        widths
    }

    fn part(&self, columns: &[usize], widths: &[usize]) -> String {
        let heads: Vec<Vec<String>> =
            columns.iter().zip(widths).map(|(&c, &w)| broken(&self.headings[c], w, 0)).collect();
        // Headings that had to be broken stand on their columns.
        let whole = columns.iter().zip(widths).all(|(&c, &w)| self.heading_width(c) <= w);
        let tallest = if whole { 0 } else { heads.iter().map(Vec::len).max().unwrap_or(1) };
        let mut table = Table::new();
        table.load_style(presets::NOTHING);
        table.set_content_arrangement(ContentArrangement::Disabled);
        let heads: Vec<Cell> = heads
            .into_iter()
            .zip(columns)
            .map(|(lines, &c)| {
                let above = "\n".repeat(tallest.saturating_sub(lines.len()));
                self.cell(c, &(above + &lines.join("\n")))
            })
            .collect();
        table.set_header(heads);
        for row in &self.rows {
            let cells: Vec<Cell> = columns
                .iter()
                .zip(widths)
                .map(|(&c, &w)| {
                    self.cell(c, &broken(row.get(c).map_or("", String::as_str), w, 2).join("\n  "))
                })
                .collect();
            table.add_row(cells);
        }
        for column in table.column_iter_mut() {
            column.set_padding((0, BETWEEN as u16));
        }
        let mut out = String::new();
        for line in table.lines() {
            out.push_str(line.trim_end());
            out.push('\n');
        }
        out
    }

    fn cell(&self, column: usize, text: &str) -> Cell {
        let side =
            if self.right.get(column) == Some(&true) { CellAlignment::Right } else { CellAlignment::Left };
        Cell::new(text).set_alignment(side)
    }
}

fn width(text: &str) -> usize {
    text.split('\n').map(|line| line.chars().count()).max().unwrap_or(0)
}

fn across(widths: &[usize]) -> usize {
    widths.iter().sum::<usize>() + BETWEEN * widths.len().saturating_sub(1)
}

/// A text in lines of at most this width: broken at blanks, else after a dot, comma, slash, semicolon or underscore, else anywhere. Lines after the
/// first are narrower by their indent.
fn broken(text: &str, most: usize, indent: usize) -> Vec<String> {
    if text.contains('\n') {
        return text.split('\n').flat_map(|line| broken(line, most, indent)).collect();
    }
    let mut lines: Vec<String> = Vec::new();
    let mut rest: Vec<char> = text.chars().collect();
    loop {
        let most = if lines.is_empty() { most } else { most.saturating_sub(indent) }.max(1);
        if rest.len() <= most {
            lines.push(rest.into_iter().collect());
            return lines;
        }
        let blank = rest[..=most].iter().rposition(|c| *c == ' ').filter(|at| *at > 0);
        let mark = rest[..most].iter().rposition(|c| matches!(c, '.' | ',' | '/' | ';' | '_'));
        let (end, next) = match (blank, mark) {
            (Some(at), _) => (at, at + 1),
            (None, Some(at)) => (at + 1, at + 1),
            (None, None) => (most, most),
        };
        lines.push(rest[..end].iter().collect::<String>().trim_end().to_owned());
        rest.drain(..next);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_columns_line_up() {
        let mut table = TextTable::new(&["Zone", ">Washed"]);
        table.row(&["nose", "100.0 %"]);
        table.row(&["left side", "9.5 %"]);
        assert_eq!(table.text(), "Zone        Washed\nnose       100.0 %\nleft side    9.5 %\n");
    }

    #[test]
    fn verif_a_wide_table_breaks_its_headings_and_then_its_words() {
        let mut table = TextTable::new(&["What", ">A very long heading of a narrow number", ">Value"]);
        table.row(&[
            "a criterion with a name that goes on and on over the greater part of a line",
            "1.0 in",
            "2",
        ]);
        table.row(&["short", "12.0 in", "3"]);
        let text = table.text();
        assert!(text.lines().all(|line| width(line) <= TEXT_WIDTH), "{text}");
        assert!(text.contains("short") && text.contains("12.0 in"), "{text}");
        let words: Vec<&str> = text.split_whitespace().collect();
        assert!(words.contains(&"greater") && words.contains(&"heading"), "{text}");
    }

    #[test]
    fn verif_too_many_columns_are_set_in_parts() {
        let heads: Vec<String> =
            ["Number".to_owned()].into_iter().chain((0..20).map(|i| format!(">c{i}"))).collect();
        let mut table = TextTable::new(&heads);
        let row: Vec<String> =
            ["gap".to_owned()].into_iter().chain((0..20).map(|i| format!("{i}.00 in"))).collect();
        table.row(&row);
        let text = table.text();
        assert!(text.lines().all(|line| width(line) <= TEXT_WIDTH), "{text}");
        for i in 0..20 {
            assert_eq!(text.matches(&format!(" {i}.00 in")).count(), 1, "{i} in\n{text}");
        }
        assert!(text.matches("gap").count() > 1);
    }

    #[test]
    fn verif_texts_break_at_blanks_then_at_marks_then_anywhere() {
        assert_eq!(broken("one two three", 8, 2), ["one two", "three"]);
        assert_eq!(broken("both.bearings.lower_offset", 16, 2), ["both.bearings.", "lower_offset"]);
        assert_eq!(broken("abcdefghij", 4, 2), ["abcd", "ef", "gh", "ij"]);
        assert_eq!(broken("", 4, 2), [""]);
    }
}
