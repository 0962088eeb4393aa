//! Plane geometry without wash words.
