//! The live tool without a window: questions and answers as JSON, for a page that has a script and nothing else.
//!
//! [`Live::ask`] is all of it: open a scenario, show what a set-up does, turn a setting by field steps, draw the plan at an instant, write the
//! set-up sheet. A question says the whole set-up each time, as the changes from the file that was opened; what a `Live` keeps is the file and the
//! last few passes, so the same question has the same answer from a fresh one. Refusals are answers too, word for word those of the command line.

mod ask;
mod compare;
mod fault;
mod fields;
mod form;
mod page;
mod reach;
mod setup;
mod sheet;
mod shown;
mod stamp;
mod step;
mod words;

pub use ask::Live;
pub use page::{PageError, PageRequest, page_html};
pub use sheet::{LiveSetup, LiveSheetRequest, live_sheet};
pub use stamp::{STAMP, stamp_of};
pub use words::{word, words};
