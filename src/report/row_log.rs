//! The file a sweep grows in: readable and resumable at any instant, even after the process was killed or the power went.
//!
//! ```text
//! # {"schema":"brusharm rows 1", …}     what is being computed, in full, on one line
//! row,throughput_veh_per_h,…            column names
//! 0,60,…                                one row after another, in order, appended whole
//! ```
//!
//! It is CSV with one comment line. Rows are only ever appended, in order, so a file cut short at any byte is some whole rows and perhaps the
//! beginning of one, which is dropped. Whoever goes on with it first compares the first line: another scenario, other axes, another share or another
//! version of the program are refused, and the difference is said.

use super::rows::{csv_header, read_row};
use crate::error::Refusal;
use crate::study::table::{Column, Row};
use serde::{Deserialize, Serialize};
use std::io::{self, BufRead};
use std::ops::Range;
use thiserror::Error;

/// The schema of the log.
pub const SCHEMA: &str = "brusharm rows 1";

/// What is being computed: the first line of the log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LogHeader {
    /// [`SCHEMA`].
    pub schema: String,
    /// Version of the program.
    pub version: String,
    /// Name of the scenario, for people.
    pub scenario: String,
    /// Fingerprint of everything in the scenario and its overrides.
    pub fingerprint: String,
    /// How the points are chosen.
    pub design: String,
    /// The axes, one summary each.
    pub axes: Vec<String>,
    /// The share, like `3/16`.
    pub part: String,
    /// First row of the share.
    pub first_row: u64,
    /// Row after the last of the share.
    pub end_row: u64,
    /// Column names.
    pub columns: Vec<String>,
}

impl LogHeader {
    /// The rows of the share.
    pub fn rows(&self) -> Range<u64> {
        self.first_row..self.end_row
    }

    /// The first two lines of the log.
    pub fn text(&self, columns: &[Column]) -> String {
        // Plain texts, lists and numbers always serialise.
        let json = serde_json::to_string(self).unwrap_or_default();
        format!("# {json}\n{}", csv_header(columns))
    }

    /// What differs from another header, in words; none when nothing does.
    pub fn difference(&self, found: &LogHeader) -> Option<String> {
        let pairs = [
            ("the schema", &self.schema, &found.schema),
            ("the version of the program", &self.version, &found.version),
            ("the design", &self.design, &found.design),
            ("the share", &self.part, &found.part),
        ];
        let mut said = Vec::new();
        for (what, now, then) in pairs {
            if now != then {
                said.push(format!("{what} is «{now}» now and was «{then}»"));
            }
        }
        if self.axes != found.axes {
            said.push(format!(
                "the axes are «{}» now and were «{}»",
                self.axes.join("; "),
                found.axes.join("; ")
            ));
        }
        if self.fingerprint != found.fingerprint {
            said.push(format!(
                "the scenario or its overrides changed (now {}, then {})",
                self.scenario, found.scenario
            ));
        }
        if self.columns != found.columns {
            said.push("the columns differ".to_owned());
        }
        if said.is_empty() && self != found {
            said.push("the scenario has another name".to_owned());
        }
        if said.is_empty() { None } else { Some(said.join("; ")) }
    }
}

/// What a log holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LogState {
    /// The next row to compute.
    pub next_row: u64,
    /// Bytes to keep; what follows is the beginning of a row and is dropped.
    pub keep_bytes: u64,
}

/// Why a log cannot be gone on with.
#[derive(Debug, Error)]
pub enum LogError {
    /// It cannot be read.
    #[error("{0}")]
    Io(#[from] io::Error),
    /// It belongs to something else, or is damaged.
    #[error("{0}")]
    Refused(Refusal),
}

fn refused(problem: &str, given: String) -> LogError {
    LogError::Refused(Refusal {
        problem: problem.into(),
        given,
        allowed: "the unfinished rows of this same sweep".into(),
        advice: "repeat the command that began it, give another output file, or start afresh with --restart"
            .into(),
    })
}

/// Reads a log as far as it goes and says where to go on. A file cut short inside its first two lines counts as empty.
///
/// # Errors
/// When it belongs to another sweep, or a whole line in it is not the row that should stand there.
pub fn examine(mut log: impl BufRead, header: &LogHeader, columns: &[Column]) -> Result<LogState, LogError> {
    let mut line = Vec::new();
    let mut kept = 0_u64;
    let empty = LogState { next_row: header.first_row, keep_bytes: 0 };

    if !next_line(&mut log, &mut line)? {
        return if is_beginning_of(&line, header, columns) { Ok(empty) } else { Err(not_a_log(&line)) };
    }
    let Some(found) =
        line.strip_prefix(b"# ").and_then(|json| serde_json::from_slice::<LogHeader>(json).ok())
    else {
        return Err(not_a_log(&line));
    };
    if let Some(difference) = header.difference(&found) {
        return Err(refused("the file holds the rows of another sweep", difference));
    }
    kept += line.len() as u64;
    if !next_line(&mut log, &mut line)? {
        return Ok(empty);
    }
    if line != csv_header(columns).as_bytes() {
        return Err(refused("the column names in the file are damaged", "line 2".into()));
    }
    kept += line.len() as u64;
    let mut next_row = header.first_row;
    while next_line(&mut log, &mut line)? {
        let number = line.split(|b| *b == b',').next().and_then(|n| std::str::from_utf8(n).ok());
        let is_next = number.map(str::trim_end).and_then(|n| n.parse::<u64>().ok()) == Some(next_row);
        if !is_next || next_row >= header.end_row || parse_row(&line, columns).is_none() {
            let place = format!("line {}", next_row - header.first_row + 3);
            return Err(refused("a row in the file is damaged", place));
        }
        kept += line.len() as u64;
        next_row += 1;
    }
    Ok(LogState { next_row, keep_bytes: kept })
}

fn not_a_log(line: &[u8]) -> LogError {
    let start: String = String::from_utf8_lossy(line).chars().take(40).collect();
    refused("the file is not the unfinished rows of a sweep", format!("it starts «{}»", start.trim_end()))
}

fn is_beginning_of(line: &[u8], header: &LogHeader, columns: &[Column]) -> bool {
    header.text(columns).as_bytes().starts_with(line)
}

/// Reads one line with its line end; false at the end of the file or for a last line without an end.
fn next_line(log: &mut impl BufRead, line: &mut Vec<u8>) -> io::Result<bool> {
    line.clear();
    log.read_until(b'\n', line)?;
    Ok(line.last() == Some(&b'\n'))
}

fn parse_row(line: &[u8], columns: &[Column]) -> Option<Row> {
    let text = std::str::from_utf8(line).ok()?;
    if !text.contains('"') {
        return read_row(columns, text.trim_end_matches('\n').split(','));
    }
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(line);
    let record = reader.records().next()?.ok()?;
    read_row(columns, record.iter())
}

/// Gives every row of a finished log to `take`, in order.
///
/// # Errors
/// When the log cannot be read, a row is damaged, or `take` fails.
pub fn replay(
    mut log: impl BufRead,
    columns: &[Column],
    mut take: impl FnMut(&Row) -> io::Result<()>,
) -> Result<u64, LogError> {
    let mut line = Vec::new();
    for _ in 0..2 {
        if !next_line(&mut log, &mut line)? {
            return Err(not_a_log(&line));
        }
    }
    let mut count = 0;
    while next_line(&mut log, &mut line)? {
        let Some(row) = parse_row(&line, columns) else {
            return Err(refused("a row in the file is damaged", format!("line {}", count + 3)));
        };
        take(&row)?;
        count += 1;
    }
    Ok(count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::rows::csv_row;
    use crate::study::table::Cell;

    fn columns() -> Vec<Column> {
        vec![Column::count("row"), Column::text("vehicle"), Column::number("x_m"), Column::text("reason")]
    }

    fn header() -> LogHeader {
        LogHeader {
            schema: SCHEMA.into(),
            version: "0.1.0".into(),
            scenario: "demo.ron".into(),
            fingerprint: "abc".into(),
            design: "grid of 10 points".into(),
            axes: vec!["a=1,2".into()],
            part: "1/1".into(),
            first_row: 0,
            end_row: 10,
            columns: columns().iter().map(|c| c.name.clone()).collect(),
        }
    }

    fn row(n: u64) -> Row {
        let reason = if n.is_multiple_of(3) { Cell::text("jams, at «t = 1 \"s\"»") } else { Cell::Missing };
        vec![Cell::Count(n), Cell::text("sedan"), Cell::Number(n as f64 / 3.0), reason]
    }

    fn whole() -> String {
        (0..10).fold(header().text(&columns()), |text, n| text + &csv_row(&row(n)))
    }

    #[test]
    fn verif_a_log_cut_at_any_byte_goes_on_to_the_same_log() {
        let whole = whole();
        let whole = whole.as_bytes();
        let mut resumed_at = Vec::new();
        for cut in 0..=whole.len() {
            let state = examine(&whole[..cut], &header(), &columns()).unwrap();
            let mut log = whole[..state.keep_bytes as usize].to_vec();
            if state.keep_bytes == 0 {
                log.extend(header().text(&columns()).as_bytes());
            }
            for n in state.next_row..10 {
                log.extend(csv_row(&row(n)).as_bytes());
            }
            assert!(log == whole, "cut at byte {cut}");
            resumed_at.push(state.next_row);
        }
        resumed_at.dedup();
        assert_eq!(resumed_at, (0..=10).collect::<Vec<_>>());
    }

    #[test]
    fn verif_another_sweep_is_refused_and_the_difference_said() {
        let text = whole();
        type Change = fn(&mut LogHeader);
        let changes: [(&str, Change); 5] = [
            ("axes", |h| h.axes = vec!["a=1,3".into()]),
            ("scenario or its overrides", |h| h.fingerprint = "abd".into()),
            ("share", |h| h.part = "1/2".into()),
            ("version", |h| h.version = "0.2.0".into()),
            ("design", |h| h.design = "sample".into()),
        ];
        for (word, change) in changes {
            let mut other = header();
            change(&mut other);
            let error = examine(text.as_bytes(), &other, &columns()).unwrap_err().to_string();
            assert!(error.contains(word), "{error}");
        }
        assert!(examine(&b"x,y\n1,2\n"[..], &header(), &columns()).is_err());
        assert!(examine(&b"something else"[..], &header(), &columns()).is_err());
    }

    #[test]
    fn verif_damage_inside_is_refused_not_repaired() {
        let text = whole();
        for (from, to) in [("\n4,", "\n5,"), ("\n4,sedan,", "\n4,sedan,,"), ("\n7,sedan,2", "\n7,sedan,two2")]
        {
            assert!(text.contains(from));
            let error = examine(text.replacen(from, to, 1).as_bytes(), &header(), &columns()).unwrap_err();
            assert!(error.to_string().contains("damaged"), "{error}");
        }
        let more = text + &csv_row(&row(10));
        assert!(examine(more.as_bytes(), &header(), &columns()).is_err());
    }

    #[test]
    fn verif_replay_gives_every_row() {
        let mut rows = Vec::new();
        let count = replay(whole().as_bytes(), &columns(), |r| {
            rows.push(r.clone());
            Ok(())
        });
        assert_eq!(count.unwrap(), 10);
        assert_eq!(rows, (0..10).map(row).collect::<Vec<_>>());
    }
}
