//! The command line: run one command, set the exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    brusharm::command::run(std::env::args_os())
}
