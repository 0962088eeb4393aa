//! Ctrl-C: a study ends early and tells what it has.

use super::problem::Problem;
use std::sync::atomic::{AtomicBool, Ordering};

static ASKED: AtomicBool = AtomicBool::new(false);

/// From here on the first interrupt only sets [`is_asked`]; a second one ends the program at once.
pub(crate) fn listen() -> Result<(), Problem> {
    ctrlc::set_handler(|| {
        if ASKED.swap(true, Ordering::SeqCst) {
            std::process::exit(i32::from(super::exit::INTERRUPTED));
        }
    })
    .map_err(|error| Problem::writing("the interrupt handler", &std::io::Error::other(error)))
}

/// Whether somebody asked to stop.
pub(crate) fn is_asked() -> bool {
    ASKED.load(Ordering::SeqCst)
}

/// The exit code of a study that was interrupted; none of one that was not.
pub(crate) fn code(was_interrupted: bool) -> Option<u8> {
    was_interrupted.then_some(super::exit::INTERRUPTED)
}
