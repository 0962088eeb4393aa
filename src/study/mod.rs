//! Many passes: compare set-ups, turn one setting at a time, sweep, let things spread, recommend.

pub mod axis;
pub mod design;
pub mod indices;
pub mod interval;
pub mod measure;
pub mod point;
pub mod search;
pub mod sobol;
pub mod stream;
pub mod table;
