//! The live window.
