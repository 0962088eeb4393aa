//! Many passes: compare set-ups, turn one setting at a time, sweep, let things spread, recommend.
//!
//! Every study looks at the same fixed list of numbers ([`ALL`](crate::coverage::measure::ALL)) of each pass ([`point::PointResult`]). None prints or opens a file.

pub mod axis;
pub mod band;
pub mod compare;
pub mod design;
pub mod effect;
mod hidden_fault;
pub mod indices;
pub mod interval;
pub mod lesson;
pub mod nudge;
pub mod point;
pub mod recommend;
pub mod search;
pub mod sobol;
pub mod spread;
pub mod stream;
pub mod summary;
pub mod sweep;
pub mod table;
pub mod tolerance;
pub mod worst;
