//! Rows and columns: what every study gives out for machines.
//!
//! Values are in SI unless the column's name says otherwise; the last part of a name is its unit (`tail_gap_m`, `throughput_veh_per_h`). A value
//! that does not exist is missing, never 0.

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ColumnKind {
    /// Whole numbers from 0.
    Count,
    /// Numbers.
    Number,
    /// Words.
    Text,
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Column {
    /// Its name, stable, unit last.
    pub name: String,
    /// What it holds.
    pub kind: ColumnKind,
}

impl Column {
    /// A column of numbers.
    pub fn number(name: impl Into<String>) -> Column {
        Column { name: name.into(), kind: ColumnKind::Number }
    }

    /// A column of whole numbers.
    pub fn count(name: impl Into<String>) -> Column {
        Column { name: name.into(), kind: ColumnKind::Count }
    }

    /// A column of words.
    pub fn text(name: impl Into<String>) -> Column {
        Column { name: name.into(), kind: ColumnKind::Text }
    }
}

/// One value.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// No such value.
    Missing,
    /// A whole number.
    Count(u64),
    /// A finite number.
    Number(f64),
    /// Words on one line.
    Text(String),
}

impl Cell {
    /// A number; missing when there is none or it is not finite.
    pub fn number(value: Option<f64>) -> Cell {
        value.filter(|v| v.is_finite()).map_or(Cell::Missing, Cell::Number)
    }

    /// Words; control characters become blanks so that a row stays one line. Missing when empty.
    pub fn text(text: &str) -> Cell {
        if text.is_empty() {
            return Cell::Missing;
        }
        Cell::Text(text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect())
    }

    /// The number, if it is one.
    pub fn as_number(&self) -> Option<f64> {
        match self {
            Cell::Number(value) => Some(*value),
            Cell::Count(value) => Some(*value as f64),
            _ => None,
        }
    }

    /// The words, if it holds some.
    pub fn as_text(&self) -> Option<&str> {
        match self {
            Cell::Text(text) => Some(text),
            _ => None,
        }
    }
}

/// One row, a cell for each column.
pub type Row = Vec<Cell>;

/// A whole table in memory.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
}

impl Table {
    /// The number of a column.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|c| c.name == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_a_cell_never_holds_nonsense() {
        assert_eq!(Cell::number(Some(f64::NAN)), Cell::Missing);
        assert_eq!(Cell::number(None), Cell::Missing);
        assert_eq!(Cell::number(Some(0.0)), Cell::Number(0.0));
        assert_eq!(Cell::text("a\nb"), Cell::Text("a b".into()));
    }
}
