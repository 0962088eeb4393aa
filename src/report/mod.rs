//! Results as text: what a person reads, tables for a spreadsheet, documents for a program.
//!
//! Everything here returns strings or plain data and opens no file. Text for people is at most 80 columns wide and speaks the unit system
//! asked for; documents ([`PassDocument`], [`MachineDocument`]) are SI and carry a schema name with a version. A value that does not exist
//! is a dash in text, empty in CSV and `null` in JSON, never 0.

mod calibrate_document;
mod calibrate_text;
mod cautions;
mod compare_picture;
mod compare_text;
mod csv_text;
mod document;
mod fault_document;
mod fault_report;
mod fault_sentences;
mod fault_text;
pub mod foam;
mod form;
mod ink;
mod lesson_text;
mod machine;
mod machine_document;
mod machine_text;
mod measures;
mod nudge_text;
#[cfg(feature = "parquet")]
pub mod parquet_file;
mod pass_csv;
mod pass_document;
mod pass_gaps;
mod pass_text;
mod recommend_text;
pub mod row_log;
pub mod rows;
mod series;
mod settings;
pub mod sheet;
mod spread_text;
mod study_document;
mod sweep_chart;
mod sweep_text;
mod table;
mod turned;
mod words;

pub use calibrate_document::{CALIBRATE_SCHEMA, advice_document, calibrate_document, intervals_document};
pub use calibrate_text::{
    READING_CAUTION, advice_text, calibrate_answer, calibrate_text, intervals_beside_text, intervals_text,
    learned_rows, reading_name,
};
pub use cautions::{CAUTION_LINE, CAUTIONS, LIMITS, caution_of, cautions_text};
pub use compare_picture::{PicturedSetup, compare_picture};
pub use compare_text::compare_text;
pub use fault_document::{FAULT_SCHEMA, fault_document, fault_list_document};
pub use fault_report::{
    Change, FaultReport, MOST_CAUSES, MOST_CHECKS, MOST_PAIRS, headline, name_of, percent, told_beliefs,
    told_rows, words_of,
};
pub use fault_sentences::{
    after_said, also_seen, finds_said, how_bad, how_long, not_explained, one_of_these,
};
pub use fault_text::{fault_list_text, fault_text, next_check, told_text};
pub use form::{
    FieldSaid, FormCard, FormEntry, InstrumentForm, form_cards, form_html, form_instruments, form_said,
};
pub use ink::Ink;
pub use lesson_text::lesson_text;
pub use machine::{MachineReport, POINT_TOLERANCE_M};
pub use machine_document::*;
pub use measures::{EDGE as EDGE_SIGN, EDGE_SAID, measure_value};
pub use nudge_text::{NudgeRow, nudge_rows, nudge_step_said, nudge_text};
pub use pass_document::*;
pub use recommend_text::{RECOMMEND_CAUTION, Said, missed, recommend_said, recommend_text};
pub use series::{SERIES_LIMIT, SeriesDocument, SeriesError, TorqueSeries};
pub use settings::{SETTINGS_SCHEMA, SettingDocument, SettingsDocument, setting_documents};
pub use spread_text::spread_text;
pub use study_document::{highest_document, recommend_document, spread_document, table_document};
pub use sweep_chart::{CurveBeside, SweepChart, SweepPicture, telling_measure};
pub use sweep_text::{MOST_ROWS_SHOWN, SweepReport, counts_said, fails_from, highest_said};
pub use turned::{Turned, arrow, short_label, turned, turned_among};
pub use words::capital;

use crate::coverage::Solved;

/// Widest line of a text report, in characters.
pub const TEXT_WIDTH: usize = 80;

/// A pass with all that a report says about it.
#[derive(Debug, Clone, Copy)]
pub struct PassReport<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// The file as it was named, if there was one.
    pub file: Option<&'a str>,
    /// Settings changed for this run: path and value as written.
    pub set: &'a [(String, String)],
    /// The solved pass.
    pub solved: &'a Solved,
    /// Vehicles per second.
    pub throughput_per_s: f64,
    /// Every setting in force, for the document; may be empty.
    pub settings: &'a [SettingDocument],
}

/// A plain name as a key: blanks become underscores.
fn key(name: &str) -> String {
    name.replace(' ', "_")
}
