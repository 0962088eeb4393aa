//! Small tables in plain text: no rules to draw, columns two blanks apart, numbers to the right.

use comfy_table::{Cell, CellAlignment, ContentArrangement, Table, presets};

/// A table under construction.
#[derive(Debug)]
pub(crate) struct TextTable {
    table: Table,
    right: Vec<bool>,
}

impl TextTable {
    /// A table with its headings; a heading that starts with `>` stands over a column of numbers.
    pub fn new<S: AsRef<str>>(headings: &[S]) -> TextTable {
        let mut table = Table::new();
        table.load_style(presets::NOTHING);
        table.set_content_arrangement(ContentArrangement::Disabled);
        let right: Vec<bool> = headings.iter().map(|h| h.as_ref().starts_with('>')).collect();
        let mut this = TextTable { table, right };
        let cells: Vec<Cell> = headings
            .iter()
            .enumerate()
            .map(|(i, h)| this.cell(i, h.as_ref().trim_start_matches('>')))
            .collect();
        this.table.set_header(cells);
        this
    }

    fn cell(&self, column: usize, text: &str) -> Cell {
        let side =
            if self.right.get(column) == Some(&true) { CellAlignment::Right } else { CellAlignment::Left };
        Cell::new(text).set_alignment(side)
    }

    /// One more row.
    pub fn row<S: AsRef<str>>(&mut self, cells: &[S]) {
        let cells: Vec<Cell> =
            cells.iter().enumerate().map(|(i, text)| self.cell(i, text.as_ref())).collect();
        self.table.add_row(cells);
    }

    /// The text: lines without blanks at their ends.
    pub fn text(mut self) -> String {
        for column in self.table.column_iter_mut() {
            column.set_padding((0, 2));
        }
        let mut out = String::new();
        for line in self.table.lines() {
            out.push_str(line.trim_end());
            out.push('\n');
        }
        out
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
}
