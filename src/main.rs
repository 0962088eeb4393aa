//! The command line: parse, run one command, print the error, set the exit code.

fn main() {}
