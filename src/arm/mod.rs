//! The machine: one file per part.
