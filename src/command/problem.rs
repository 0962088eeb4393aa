//! What ends a command early: diagnostics for standard error and an exit code.

use super::exit;
use crate::error::{Diagnostic, Diagnostics, Refusal};
use crate::pass::PassError;

/// A command that could not do its work.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Problem {
    /// What to tell.
    pub diagnostics: Diagnostics,
    /// Exit code.
    pub code: u8,
}

/// A refusal from its four parts.
pub(crate) fn refusal(problem: &str, given: &str, allowed: &str, advice: &str) -> Refusal {
    Refusal {
        problem: problem.to_owned(),
        given: given.to_owned(),
        allowed: allowed.to_owned(),
        advice: advice.to_owned(),
    }
}

impl Problem {
    /// A file that cannot be read or written as asked: bad input.
    pub fn file(file: &str, refusal: Refusal) -> Problem {
        Problem { diagnostics: Diagnostic::of_file(file, refusal).into(), code: exit::BAD_INPUT }
    }

    /// The system failed while writing.
    pub fn writing(file: &str, error: &std::io::Error) -> Problem {
        let refusal =
            refusal(&format!("cannot write: {error}"), "", "", "check the disk and the rights to the folder");
        Problem { diagnostics: Diagnostic::of_file(file, refusal).into(), code: exit::FAILED }
    }

    /// An option that makes no sense.
    pub fn option(option: &str, refusal: Refusal) -> Problem {
        let mut diagnostic = Diagnostic::of_file("command line", refusal);
        diagnostic.field = option.to_owned();
        Problem { diagnostics: diagnostic.into(), code: exit::BAD_INPUT }
    }

    /// A scenario whose pass cannot be computed.
    pub fn pass(file: &str, error: &PassError) -> Problem {
        let refusal =
            refusal(&error.to_string(), "", "", "change the set-up; «check» prints the machine as resolved");
        Problem { diagnostics: Diagnostic::of_file(file, refusal).into(), code: exit::BAD_INPUT }
    }
}

impl From<Diagnostics> for Problem {
    fn from(diagnostics: Diagnostics) -> Self {
        Problem { diagnostics, code: exit::BAD_INPUT }
    }
}
