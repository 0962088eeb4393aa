//! brusharm: what a wraparound brush set-up will do, before anyone touches the machine.

pub mod arm;
pub mod command;
pub mod coverage;
pub mod drawing;
pub mod error;
pub mod fluid;
pub mod foam;
pub mod geometry;
pub mod pass;
pub mod report;
pub mod scenario;
pub mod study;
pub mod units;
pub mod vehicle;
#[cfg(feature = "window")]
pub mod window;
