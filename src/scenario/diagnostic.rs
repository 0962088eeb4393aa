//! Reading RON texts with errors that point at the value.
