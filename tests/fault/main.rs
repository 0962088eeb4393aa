//! The fault finder on machines whose fault is known: which cause it names first, what checks make of it, what the stories of the trade come to.

#![expect(clippy::print_stderr, reason = "what was measured is told beside what is allowed")]

mod machines;
mod rules;
mod stories;
mod trial;
