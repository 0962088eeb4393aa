//! Many passes.
