//! One train of vehicles past the units.
