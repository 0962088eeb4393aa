//! Results as text.
