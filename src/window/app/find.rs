//! What is wrong with a brush: what every cause does on this machine, what is ticked, and what comes of it. Worked out in the background.

use std::sync::Arc;

use super::edits::Edits;
use crate::fault::{Answer, Book, CheckWorth, Pair, Sign, Told, next_checks, pairs, rank};
use crate::report::MOST_PAIRS;
use crate::scenario::Scenario;

/// What is asked of the background.
#[derive(Debug, Clone)]
pub enum FindRequest {
    /// Run every cause on this machine.
    Book {
        /// The machine as it should be.
        scenario: Box<Scenario>,
        /// What of it was changed in the window.
        edits: Edits,
    },
    /// Rank the causes.
    Rank {
        /// What every cause does.
        book: Arc<Book>,
        /// What is told.
        told: Told,
    },
}

/// What comes back.
#[derive(Debug, Clone)]
pub enum FindAnswer {
    /// Every cause was run.
    Book(Arc<Book>),
    /// The causes, ranked.
    Ranked(Arc<Ranked>),
}

/// Causes ranked by what is told.
#[derive(Debug, Clone)]
pub struct Ranked {
    /// What was told.
    pub told: Told,
    /// What comes of it.
    pub answer: Answer,
    /// Pairs, where no single cause explains all.
    pub pairs: Vec<Pair>,
    /// Checks, the best first.
    pub checks: Vec<CheckWorth>,
}

/// How far the causes are run.
#[derive(Debug, Clone, Default)]
pub enum Causes {
    /// Not asked for.
    #[default]
    None,
    /// They are being run.
    Working,
    /// Run, for a set-up with these changes.
    Ready(Arc<Book>, Edits),
    /// They could not be run.
    Failed(String),
}

/// How a sign is ticked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tick {
    /// Nothing is said of it.
    #[default]
    Open,
    /// It is seen.
    Seen,
    /// It is as it should be.
    Fine,
}

impl Tick {
    /// What comes next when it is pressed.
    pub const fn next(self) -> Tick {
        match self {
            Tick::Open => Tick::Seen,
            Tick::Seen => Tick::Fine,
            Tick::Fine => Tick::Open,
        }
    }

    /// Sign and word.
    pub const fn text(self) -> &'static str {
        match self {
            Tick::Open => "?",
            Tick::Seen => "seen",
            Tick::Fine => "fine",
        }
    }
}

/// The search for a fault in the window.
#[derive(Debug, Clone, Default)]
pub struct Find {
    /// The causes.
    pub causes: Causes,
    /// What is ticked.
    pub told: Told,
    /// What came of it last.
    pub ranked: Option<Arc<Ranked>>,
    /// The cause that is shown happening: which of [`Book::hypotheses`].
    pub shown: Option<usize>,
}

impl Find {
    /// How a sign is ticked.
    pub fn tick(&self, sign: Sign) -> Tick {
        if self.told.seen.contains(&sign) {
            Tick::Seen
        } else if self.told.fine.contains(&sign) {
            Tick::Fine
        } else {
            Tick::Open
        }
    }

    /// Ticks a sign.
    pub fn put(&mut self, sign: Sign, tick: Tick) {
        self.told.seen.retain(|own| *own != sign);
        self.told.fine.retain(|own| *own != sign);
        match tick {
            Tick::Open => {}
            Tick::Seen => self.told.seen.push(sign),
            Tick::Fine => self.told.fine.push(sign),
        }
    }
}

/// Answers a request; for the background.
///
/// # Errors
/// Why the causes cannot be run, as text.
pub fn find(request: &FindRequest) -> Result<FindAnswer, String> {
    match request {
        FindRequest::Book { scenario, .. } => {
            let book = Book::new(scenario, &|_, _| {}).map_err(|error| error.to_string())?;
            Ok(FindAnswer::Book(Arc::new(book)))
        }
        FindRequest::Rank { book, told } => {
            let answer = rank(book, told);
            let none = answer.explained || told.is_nothing();
            let pairs = if none { Vec::new() } else { pairs(book, told, MOST_PAIRS) };
            let checks = if told.is_nothing() { Vec::new() } else { next_checks(book, told, &answer) };
            Ok(FindAnswer::Ranked(Arc::new(Ranked { told: told.clone(), answer, pairs, checks })))
        }
    }
}
