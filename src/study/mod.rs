//! Many passes.

pub mod tolerance;
