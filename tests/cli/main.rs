//! The commands as people and programs meet them: real output, exit codes, files.

mod fault;
mod hostile;
mod inputs;
mod outputs;
mod results;
mod studies;

use assert_cmd::Command;
use std::path::Path;
use tempfile::TempDir;

/// A scenario of the tests' own, so that its numbers change only on purpose.
const LANE: &str = include_str!("lane.ron");

/// A folder with that scenario in it, named `lane.ron`.
fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    std::fs::write(folder.path().join("lane.ron"), LANE).unwrap();
    folder
}

/// The program, run in a folder, without what a terminal would change.
fn brusharm(folder: &Path) -> Command {
    let mut command = Command::cargo_bin("brusharm").unwrap();
    command.current_dir(folder).env("COLUMNS", "80").env_remove("CLICOLOR_FORCE").env_remove("NO_COLOR");
    command
}

/// What a run left.
struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn run(folder: &Path, arguments: &[&str]) -> Ran {
    let output = brusharm(folder).args(arguments).output().unwrap();
    Ran {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A run that must do its work without a complaint.
fn done(folder: &Path, arguments: &[&str]) -> String {
    let ran = run(folder, arguments);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{arguments:?}\n{}", ran.out);
    ran.out
}

/// A run that must end with bad input or usage, with nothing on standard output.
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let ran = run(folder, arguments);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{arguments:?}\n{}", ran.err);
    assert!(ran.err.starts_with("error: "), "{}", ran.err);
    ran.err
}
