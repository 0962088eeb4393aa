//! The foam station.
