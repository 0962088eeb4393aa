//! Answers questions of the live tool natively: one a line on standard input, one answer a line on standard output. The checks of the page hold
//! what the engine in it says against this.

use brusharm::live::Live;
use std::io::{BufRead, Write, stdin, stdout};

fn main() -> std::io::Result<()> {
    let mut live = Live::default();
    let mut out = stdout().lock();
    for question in stdin().lock().lines() {
        writeln!(out, "{}", live.ask(&question?))?;
        out.flush()?;
    }
    Ok(())
}
