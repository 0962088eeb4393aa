//! The set-up sheet: one self-contained HTML file that goes to the machine. It prints on one or two pages and opens on a phone with a
//! replay; it needs no network, and nothing on it is kept or sent.
//!
//! [`Sheet`] holds everything that is on it; [`html`] turns it into text. The same sheet gives the same text, byte for byte: the date is
//! given by whoever asks for the sheet or left blank to write in.

mod additions;
mod change;
mod criteria;
mod fault;
mod fit;
mod from_scenario;
mod interval;
mod map;
mod numbers;
mod page;
mod pictures;
mod record;
mod replay;
mod replay_part;
mod request;
mod row;
mod settings;
mod spoken;
mod steps;
mod themed;
mod uneven;
mod words;

pub use additions::addition;
pub use from_scenario::sheet;
pub use interval::intervals_addition;
pub use replay::{Replay, json_for_html, replay};
pub use request::{SheetRequest, SolvedScenario};
pub use row::{Group, Reach, SettingRow, SideCell, Value};
pub use spoken::{
    CautionsSaid, cautions_said, fault_said, filled, headline_said, length_said, line_said, measure_said,
    placed_said, say_picture, time_said, value_said, verdict_said,
};
pub use steps::{Pull, Step};
pub use words::{Language, Words};

use crate::coverage::{Solved, Verdict};
use crate::drawing::DisplayList;
use crate::units::UnitSystem;
use thiserror::Error;

/// Words of the top block; an empty one is a blank to write in.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Head {
    /// What the scenario is.
    pub title: String,
    /// Where its numbers come from.
    pub note: String,
    /// The site.
    pub site: String,
    /// The machine.
    pub machine: String,
    /// The day, as it is to be shown.
    pub date: String,
    /// Who sets it up.
    pub who: String,
    /// Vehicles per hour, as written, if the scenario says so.
    pub throughput: Option<String>,
    /// The file of the set-up to leave.
    pub file: String,
    /// The file of the set-up found.
    pub file_from: Option<String>,
    /// Settings changed for this sheet: path and value as written.
    pub set: Vec<(String, String)>,
}

/// One picture in three sizes, so that its letters keep their size everywhere.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// For a phone, about 352 units wide.
    pub phone: DisplayList,
    /// For print; all pictures of a row together about 710 units wide.
    pub print: DisplayList,
    /// For a desk; all pictures of a row together about 1000 units wide.
    pub desk: DisplayList,
    /// What is seen, in the language of the sheet.
    pub caption: String,
}

/// A cell of a study's table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AddedCell {
    /// What it says.
    pub text: String,
    /// A verdict that marks it.
    pub verdict: Option<Verdict>,
}

/// Results of a study to be shown with the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Addition {
    /// Its heading.
    pub title: String,
    /// What it holds, as a sentence; may be empty.
    pub note: String,
    /// Column headings; empty when there is no table.
    pub columns: Vec<String>,
    /// Rows of the table; the first cell of each names it.
    pub rows: Vec<Vec<AddedCell>>,
    /// A chart.
    pub picture: Option<Picture>,
}

/// Everything on a sheet.
#[derive(Debug, Clone)]
pub struct Sheet<'a> {
    /// Language of the sheet's own words.
    pub language: Language,
    /// The unit system that stands first.
    pub units: UnitSystem,
    /// Top block.
    pub head: Head,
    /// The set-up the machine was found with, if known.
    pub found: Option<&'a Solved>,
    /// The set-up to leave it with.
    pub left: &'a Solved,
    /// Instant of the still pictures, s.
    pub still_s: f64,
    /// Plan view and unrolled map.
    pub pictures: Vec<Picture>,
    /// Every setting.
    pub settings: Vec<SettingRow>,
    /// What differs between left and right, in a sentence.
    pub uneven: Option<String>,
    /// From found to left, in trade order.
    pub steps: Vec<Step>,
    /// Predicted pulls at the brush.
    pub pulls: Vec<Pull>,
    /// Study results.
    pub additions: Vec<Addition>,
}

/// Why a sheet could not be written.
#[derive(Debug, Error)]
pub enum SheetError {
    /// The record could not be turned into JSON.
    #[error("the record of the pass cannot be written: {0}")]
    Record(#[from] serde_json::Error),
}

/// The sheet as one HTML file.
///
/// # Errors
/// [`SheetError::Record`] when the record holds something JSON cannot.
pub fn html(sheet: &Sheet<'_>) -> Result<String, SheetError> {
    page::page(sheet, None)
}

/// What a sheet has on a screen alone: paper shows nothing of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScreenPart {
    /// Its markup, which stands after the replay.
    pub section: String,
    /// Its data and its script.
    pub scripts: String,
    /// Its style, with a rule that hides it on paper.
    pub style: &'static str,
    /// Sources of scripts that it needs, as the policy of the page names them.
    pub script_sources: String,
}

/// The sheet with a part for a screen.
///
/// # Errors
/// [`SheetError::Record`] as of [`html`].
pub fn html_with(sheet: &Sheet<'_>, screen: &ScreenPart) -> Result<String, SheetError> {
    page::page(sheet, Some(screen))
}
