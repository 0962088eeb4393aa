//! Rows as lines of text: CSV (RFC 4180) and JSON lines.
//!
//! A missing value is an empty field in CSV and `null` in JSON. A text in CSV is written so that no spreadsheet takes it for a formula
//! (`csv_text`), and read back as it was. Numbers are the shortest decimals that read back as the same double.

use super::csv_text;
use crate::error::Refusal;
use crate::study::table::{Cell, Column, ColumnKind, Row, Table};
use crate::visible::visible_json;
use std::fmt::Write;

/// How rows are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowFormat {
    /// Comma-separated values with a line of column names.
    Csv,
    /// One JSON object a line.
    JsonLines,
}

/// A number as both formats write it.
pub fn number_text(value: f64) -> String {
    // Minus zero is zero.
    let value = value + 0.0;
    let plain = value == 0.0 || (1e-5..1e16).contains(&value.abs());
    if plain { format!("{value}") } else { format!("{value:e}") }
}

/// One line of CSV with its line end.
pub fn csv_line<'a>(fields: impl IntoIterator<Item = std::borrow::Cow<'a, str>>) -> String {
    let mut line = String::new();
    for (i, field) in fields.into_iter().enumerate() {
        if i > 0 {
            line.push(',');
        }
        // RFC 4180, 2.6 and 2.7; a lone empty field in quotes, so that no row is an empty line.
        if field.contains(['"', ',', '\n', '\r']) || field.starts_with([' ', '#']) || field.ends_with(' ') {
            line.push('"');
            line.push_str(&field.replace('"', "\"\""));
            line.push('"');
        } else {
            line.push_str(&field);
        }
    }
    if line.is_empty() {
        line.push_str("\"\"");
    }
    line.push('\n');
    line
}

/// The line of column names.
pub fn csv_header(columns: &[Column]) -> String {
    csv_line(columns.iter().map(|c| csv_text::cell(&c.name)))
}

/// A row as a line of CSV.
pub fn csv_row(row: &[Cell]) -> String {
    csv_line(row.iter().map(|cell| match cell {
        Cell::Missing => "".into(),
        Cell::Count(count) => count.to_string().into(),
        Cell::Number(value) => number_text(*value).into(),
        Cell::Text(text) => csv_text::cell(text),
    }))
}

/// A row as a line of JSON.
pub fn json_row(columns: &[Column], row: &[Cell]) -> String {
    json_row_asked(columns, row, "")
}

/// The same, ended with what was asked, as JSON, unless that is empty.
fn json_row_asked(columns: &[Column], row: &[Cell], asked: &str) -> String {
    let mut line = String::from("{");
    for (i, (column, cell)) in columns.iter().zip(row).enumerate() {
        let comma = if i > 0 { "," } else { "" };
        let value = match cell {
            Cell::Missing => "null".to_owned(),
            Cell::Count(count) => count.to_string(),
            Cell::Number(value) => number_text(*value),
            Cell::Text(text) => json_text(text),
        };
        // Writing to a String cannot fail.
        let _ = write!(line, "{comma}{}:{value}", json_text(&column.name));
    }
    if !asked.is_empty() {
        let comma = if line.len() > 1 { "," } else { "" };
        let _ = write!(line, "{comma}\"asked\":{}", visible_json(asked));
    }
    line.push_str("}\n");
    line
}

fn json_text(text: &str) -> String {
    visible_json(&serde_json::Value::from(text).to_string()).into_owned()
}

/// A whole table.
pub fn table_text(table: &Table, format: RowFormat) -> String {
    let head = match format {
        RowFormat::Csv => csv_header(&table.columns),
        RowFormat::JsonLines => String::new(),
    };
    table.rows.iter().fold(head, |text, row| text + &row_text(&table.columns, row, format, ""))
}

/// One row in a format. `asked` is what was asked, as JSON: it ends every line of JSON, so that each says by itself how to get it again, also
/// when files are joined or cut; empty for none. A line of its own in front would have other names than those after it.
pub fn row_text(columns: &[Column], row: &[Cell], format: RowFormat, asked: &str) -> String {
    match format {
        RowFormat::Csv => csv_row(row),
        RowFormat::JsonLines => json_row_asked(columns, row, asked),
    }
}

/// Reads a row back from the fields of a line of CSV; none when it does not fit the columns.
pub fn read_row<'a>(columns: &[Column], fields: impl IntoIterator<Item = &'a str>) -> Option<Row> {
    let mut fields = fields.into_iter();
    let row = columns.iter().map(|column| read_cell(column, fields.next()?)).collect::<Option<Row>>()?;
    if fields.next().is_some() { None } else { Some(row) }
}

fn read_cell(column: &Column, field: &str) -> Option<Cell> {
    if field.is_empty() {
        return Some(Cell::Missing);
    }
    match column.kind {
        ColumnKind::Text => Some(Cell::Text(csv_text::text_of(field).into_owned())),
        ColumnKind::Count => field.parse().ok().map(Cell::Count),
        ColumnKind::Number => field.parse::<f64>().ok().filter(|v| v.is_finite()).map(Cell::Number),
    }
}

/// Reads a table of a sweep back from CSV text (comment lines start with `#`).
///
/// A column is one of counts when it is called `row`, else one of numbers when every field is empty or a number, else one of words.
///
/// # Errors
/// What is wrong, with the line.
pub fn read_table(text: &str) -> Result<Table, Refusal> {
    let bad = |error: csv::Error| Refusal {
        problem: "this is not a table in CSV".into(),
        given: error.to_string(),
        allowed: "CSV with a line of column names, as sweep writes it".into(),
        advice: "give the file that sweep wrote".into(),
    };
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let names: Vec<String> =
        reader.headers().map_err(bad)?.iter().map(|name| csv_text::text_of(name).into_owned()).collect();
    let records = reader.records().collect::<Result<Vec<_>, _>>().map_err(bad)?;
    let columns: Vec<Column> = names
        .into_iter()
        .enumerate()
        .map(|(i, name)| {
            let number = |field: &str| field.is_empty() || field.parse::<f64>().is_ok_and(f64::is_finite);
            if name == "row" {
                Column::count(name)
            } else if records.iter().all(|r| r.get(i).is_none_or(number)) {
                Column::number(name)
            } else {
                Column::text(name)
            }
        })
        .collect();
    let rows = records
        .iter()
        .map(|record| {
            read_row(&columns, record.iter()).ok_or_else(|| Refusal {
                problem: "a row does not fit the columns".into(),
                given: format!("line {}", record.position().map_or(0, csv::Position::line)),
                allowed: format!("{} fields", columns.len()),
                advice: "give the file that sweep wrote".into(),
            })
        })
        .collect::<Result<_, _>>()?;
    Ok(Table { columns, rows })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Table {
        Table {
            columns: vec![Column::count("row"), Column::text("vehicle"), Column::number("tail_gap_m")],
            rows: vec![
                vec![Cell::Count(0), Cell::Text("van, \"high\" roof".into()), Cell::Number(0.1 + 0.2)],
                vec![Cell::Count(1), Cell::Text("#7 ".into()), Cell::Missing],
                vec![Cell::Count(2), Cell::Missing, Cell::Number(-0.0)],
                vec![Cell::Count(3), Cell::Text("–".into()), Cell::Number(1.5e-9)],
                vec![Cell::Count(4), Cell::Text("=cmd|' /C calc'!A0".into()), Cell::Number(-0.26)],
                vec![Cell::Count(5), Cell::Text("-1\u{1b}\n2".into()), Cell::Missing],
            ],
        }
    }

    #[test]
    fn verif_rows_come_back_as_they_went() {
        let table = sample();
        let text = table_text(&table, RowFormat::Csv);
        assert_eq!(
            text,
            "row,vehicle,tail_gap_m\n0,\"van, \"\"high\"\" roof\",0.30000000000000004\n1,\"#7 \",\n2,,0\n3,–,1.5e-9\n\
             4,'=cmd|' /C calc'!A0,-0.26\n5,'-1\\u{1b}\\u{a}2,\n"
        );
        assert_eq!(read_table(&text).unwrap(), table);
    }

    #[test]
    fn verif_json_lines_hold_the_same_and_null_for_nothing() {
        let table = sample();
        let text = table_text(&table, RowFormat::JsonLines);
        let lines: Vec<serde_json::Value> = text.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
        assert_eq!(lines.len(), 6);
        assert_eq!(lines[4]["vehicle"], "=cmd|' /C calc'!A0");
        assert_eq!(lines[5]["vehicle"], "-1\u{1b}\n2");
        assert_eq!(lines[0]["vehicle"], "van, \"high\" roof");
        assert_eq!(lines[0]["tail_gap_m"].as_f64(), Some(0.1 + 0.2));
        assert!(lines[1]["tail_gap_m"].is_null());
        assert!(text.starts_with("{\"row\":0,\"vehicle\":"));
    }

    #[test]
    fn verif_rows_that_do_not_fit_are_refused() {
        assert!(read_table("row,a\n0,1\n1\n").is_err());
        let columns = sample().columns;
        assert_eq!(read_row(&columns, ["0", "x"]), None);
        assert_eq!(read_row(&columns, ["0", "x", "1", "2"]), None);
        assert_eq!(read_row(&columns, ["-1", "x", "1"]), None);
        assert_eq!(read_row(&columns, ["0", "x", "one"]), None);
    }
}
