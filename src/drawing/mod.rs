//! One display list.
