//! Charts.
