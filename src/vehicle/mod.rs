//! Vehicle outlines in height bands.
