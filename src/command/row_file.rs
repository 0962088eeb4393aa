//! The output file of a sweep: grows as `OUT.part`, becomes `OUT` when it is whole.
//!
//! While rows come in they are appended to `OUT.part` ([`crate::report::row_log`]), which is readable and resumable at any instant. When the last row is in,
//! the log is turned into the format asked for in a temporary file beside the target, and that is renamed: `OUT` is never half a file.

use super::problem::{Problem, refusal};
use crate::report::row_log::{LogError, LogHeader, examine, replay};
use crate::report::rows::{RowFormat, csv_row, row_text};
use crate::study::table::{Column, Row};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, BufReader, BufWriter, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// How the finished file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FileFormat {
    /// Lines of text.
    Text(RowFormat),
    /// Columns in pages, compressed.
    Parquet,
}

impl FileFormat {
    /// The format that a file name's ending says.
    pub fn of(path: &Path) -> Result<FileFormat, Problem> {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or("").to_ascii_lowercase();
        match ending.as_str() {
            "csv" => Ok(FileFormat::Text(RowFormat::Csv)),
            "jsonl" | "ndjson" => Ok(FileFormat::Text(RowFormat::JsonLines)),
            "parquet" if cfg!(feature = "parquet") => Ok(FileFormat::Parquet),
            "parquet" => Err(Problem::file(
                &path.display().to_string(),
                refusal(
                    "this build writes no Parquet files",
                    ".parquet",
                    ".csv, .jsonl",
                    "write CSV, or build with --features parquet",
                ),
            )),
            _ => Err(Problem::file(
                &path.display().to_string(),
                refusal(
                    "the ending of the name does not say what to write",
                    &ending,
                    ".csv, .jsonl, .parquet",
                    "end the name with one of these",
                ),
            )),
        }
    }
}

/// How often rows are pushed out to the file, and to the disk.
const PUSH: Duration = Duration::from_millis(250);
const SYNC: Duration = Duration::from_secs(5);

/// An output file being written.
#[derive(Debug)]
pub(crate) struct RowFile {
    target: PathBuf,
    part: PathBuf,
    overwrite: bool,
    format: FileFormat,
    columns: Vec<Column>,
    /// What was asked, as JSON.
    asked: String,
    log: BufWriter<File>,
    pushed: Instant,
    synced: Instant,
    /// The next row to compute.
    pub next_row: u64,
}

impl RowFile {
    /// Opens `OUT.part`, new or to be gone on with.
    pub fn open(
        target: &Path,
        format: FileFormat,
        header: &LogHeader,
        (columns, asked): (&[Column], &str),
        overwrite: bool,
        restart: bool,
    ) -> Result<RowFile, Problem> {
        let mut part = target.as_os_str().to_owned();
        part.push(".part");
        let part = PathBuf::from(part);
        let name = part.display().to_string();
        if std::fs::metadata(&part).is_ok_and(|found| !found.is_file()) {
            let advice = "remove it, or give another output file";
            return Err(Problem::file(
                &name,
                refusal("this is not a file that rows can grow in", "", "", advice),
            ));
        }
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&part)
            .map_err(|error| Problem::writing(&name, &error))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let advice = "wait for the other run to end, or give another output file";
                return Err(Problem::file(
                    &name,
                    refusal("another run is writing this file", "", "", advice),
                ));
            }
            // A file system without locks: two runs at once are then the user's to avoid.
            Err(TryLockError::Error(_)) => {}
        }
        if restart {
            file.set_len(0).map_err(|error| Problem::writing(&name, &error))?;
        }
        let state =
            examine(BufReader::new(&mut file), header, columns).map_err(|error| log_problem(&name, error))?;
        file.set_len(state.keep_bytes)
            .and_then(|()| file.seek(SeekFrom::Start(state.keep_bytes)))
            .map_err(|error| Problem::writing(&name, &error))?;
        let mut this = RowFile {
            target: target.to_owned(),
            part,
            overwrite,
            format,
            columns: columns.to_vec(),
            asked: asked.to_owned(),
            log: BufWriter::with_capacity(1 << 16, file),
            pushed: Instant::now(),
            synced: Instant::now(),
            next_row: state.next_row,
        };
        if state.keep_bytes == 0 {
            let head = header.text(columns);
            this.log
                .write_all(head.as_bytes())
                .and_then(|()| this.log.flush())
                .map_err(|e| this.failed(&e))?;
        }
        Ok(this)
    }

    fn failed(&self, error: &io::Error) -> Problem {
        Problem::writing(&self.part.display().to_string(), error)
    }

    /// Appends the next row.
    pub fn append(&mut self, row: &Row) -> Result<(), Problem> {
        self.log.write_all(csv_row(row).as_bytes()).map_err(|e| self.failed(&e))?;
        self.next_row += 1;
        if self.pushed.elapsed() >= PUSH {
            self.log.flush().map_err(|e| self.failed(&e))?;
            self.pushed = Instant::now();
        }
        if self.synced.elapsed() >= SYNC {
            self.log.get_ref().sync_data().map_err(|e| self.failed(&e))?;
            self.synced = Instant::now();
        }
        Ok(())
    }

    /// Gives every row written so far to `take`.
    pub fn replay(&mut self, mut take: impl FnMut(&Row)) -> Result<(), Problem> {
        let name = self.part.display().to_string();
        self.log.flush().map_err(|e| self.failed(&e))?;
        let file = self.log.get_mut();
        let read = file.rewind().map_err(LogError::Io).and_then(|()| {
            replay(BufReader::new(&mut *file), &self.columns, |row| {
                take(row);
                Ok(())
            })
        });
        let back = file.seek(SeekFrom::End(0)).map_err(LogError::Io);
        read.and(back).map(|_| ()).map_err(|error| log_problem(&name, error))
    }

    /// Leaves the log to be gone on with.
    pub fn keep(mut self) -> Result<(), Problem> {
        self.log.flush().and_then(|()| self.log.get_ref().sync_data()).map_err(|e| self.failed(&e))
    }

    /// Turns the whole log into the finished file and removes the log.
    pub fn finish(mut self) -> Result<(), Problem> {
        let target_name = self.target.display().to_string();
        let fail = |error: &io::Error| Problem::writing(&target_name, error);
        self.log.flush().map_err(|e| self.failed(&e))?;
        self.log.get_ref().sync_data().map_err(|e| self.failed(&e))?;
        let mut temporary = super::output::temporary_beside(&self.target).map_err(|e| fail(&e))?;
        let file = self.log.get_mut();
        file.rewind().map_err(|e| fail(&e))?;
        let log = BufReader::with_capacity(1 << 16, &mut *file);
        match self.format {
            FileFormat::Text(RowFormat::Csv) => {
                copy_from_line_two(log, &mut temporary).map_err(|e| fail(&e))?;
            }
            FileFormat::Text(format) => {
                let mut out = BufWriter::with_capacity(1 << 16, &mut temporary);
                replay(log, &self.columns, |row| {
                    out.write_all(row_text(&self.columns, row, format, &self.asked).as_bytes())
                })
                .and_then(|_| Ok(out.flush()?))
                .map_err(|error| log_problem(&target_name, error))?;
            }
            FileFormat::Parquet => write_parquet(log, &self.columns, temporary.as_file(), &target_name)?,
        }
        temporary.as_file().sync_all().map_err(|e| fail(&e))?;
        if self.overwrite {
            temporary.persist(&self.target).map_err(|e| fail(&e.error))?;
        } else {
            temporary.persist_noclobber(&self.target).map_err(|e| fail(&e.error))?;
        }
        std::fs::remove_file(&self.part).map_err(|e| self.failed(&e))
    }
}

/// CSV is the log without its first line.
fn copy_from_line_two(mut log: impl io::BufRead, out: &mut impl Write) -> io::Result<()> {
    log.skip_until(b'\n')?;
    let mut out = BufWriter::with_capacity(1 << 16, out);
    io::copy(&mut log, &mut out)?;
    out.flush()
}

#[cfg(feature = "parquet")]
fn write_parquet(log: impl io::BufRead, columns: &[Column], out: &File, name: &str) -> Result<(), Problem> {
    use crate::report::parquet_file::ParquetRows;
    let fail = |error: &io::Error| Problem::writing(name, error);
    let mut rows = ParquetRows::new(out, columns).map_err(|e| fail(&e))?;
    replay(log, columns, |row| rows.add(row)).map_err(|error| log_problem(name, error))?;
    rows.finish().map_err(|e| fail(&e))
}

#[cfg(not(feature = "parquet"))]
fn write_parquet(_: impl io::BufRead, _: &[Column], _: &File, name: &str) -> Result<(), Problem> {
    Err(Problem::writing(name, &io::Error::other("this build writes no Parquet files")))
}

fn log_problem(name: &str, error: LogError) -> Problem {
    match error {
        LogError::Io(error) => Problem::writing(name, &error),
        LogError::Refused(refusal) => Problem::file(name, refusal),
    }
}
