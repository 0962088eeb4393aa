//! Making the model this machine: what readings of the arm and the wash say about the settings, with honest uncertainty.
//!
//! [`calibrate`] fits the settings of a scenario to a file of readings, [`written`] gives the scenario with what came of it, [`intervals`] predicts with
//! what is left open. Forward models are the engine's own (`forward`).

mod advise;
mod at_once;
mod beside;
mod calibration;
mod centre;
mod conditioned;
mod entry;
mod field_test;
pub mod fit;
mod forward;
mod interval;
mod machine;
mod parameter;
mod ranges;
mod reading_values;
mod readings_file;
mod readings_text;
mod result;
mod simulate;
mod written;

pub use advise::{ADVICE_DRAWS, Advice, Worth, advise};
pub use at_once::{AtOnce, FAR, at_once};
pub use beside::{ALL_MET, PointIntervals, interval_columns};
pub use calibration::{Calibration, LeftOpen, OutOfLine, spread_si};
pub use entry::{Entry, EntryField, InstrumentSaid, Times, entries_text, entry};
pub use field_test::{FieldTest, field_tests};
pub use forward::friction_sum_n_m;
pub use interval::{DRAWS, FEWEST, Intervals, MeasureInterval, intervals, known};
pub use machine::{Row, Shared};
pub use parameter::Parameter;
pub use readings_file::{AirWord, InstrumentWord, OfWord, ReadingFile, ReadingsFile, WayWord};
pub use readings_text::ReadingsText;
pub use result::{calibrate, would_read};
pub use simulate::{Simulated, set_values, simulated};
pub use written::written;

/// How far a parameter is moved to either side for a derivative of readings that follow it smoothly, in units of its size (NIST: of itself; a machine:
/// of what was assumed about it).
pub const SMOOTH_STEP: f64 = 1e-3;
