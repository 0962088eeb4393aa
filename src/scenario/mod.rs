//! Scenario files: a machine, its set-up, vehicles and a line in trade units, read from RON and checked.
//!
//! [`Scenario::read`] takes a text and gives a checked scenario or [`crate::error::Diagnostics`] that point at what is wrong.
//! [`Scenario::setup`] gives what a pass needs. [`setting`] is the one table of what can be adjusted; [`Scenario::with`] changes
//! settings without reading the text again; [`Scenario::rewrite`] writes changes into the text and keeps its comments.
//!
//! A file may stand alone, or name a machine and vehicles in files beside it. The core opens no files: a loader is passed in.

mod build;
pub mod calibration;
mod calibration_file;
mod check;
mod checked;
mod criteria_file;
pub mod diagnostic;
pub mod fault_file;
mod file;
pub mod foam;
pub(crate) mod found;
mod hidden;
mod knob;
pub mod lesson;
pub mod limits;
mod load;
mod machine_file;
mod media_file;
mod part;
mod resolved;
mod rewrite;
pub mod setting;
mod setup_file;
pub mod source_map;
pub mod spread;
pub mod uneven;
pub mod uneven_file;
mod vehicle_file;
mod written;

pub use check::vehicles::{KnownVehicle, demo_names, vehicle_pair};
pub use check::{Change, SourceFile};
pub use checked::Scenario;
pub use file::*;
pub use load::Loader;
pub use machine_file::*;
pub use media_file::*;
pub use setting::Setting;
pub use setup_file::*;
pub use vehicle_file::*;
pub use written::{SCHEMA, Shared};
