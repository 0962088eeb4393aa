//! What a pass washed.
