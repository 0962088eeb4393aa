//! Trade quantities and SI.
