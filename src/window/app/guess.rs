//! What a class guesses before it is told.

/// What a class says the measure will do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Guess {
    /// It gets less.
    Less,
    /// It stays, within what matters on the job.
    Same,
    /// It gets more.
    More,
}

impl Guess {
    /// All, in the order of the buttons.
    pub const ALL: [Guess; 3] = [Guess::Less, Guess::Same, Guess::More];

    /// What the button says.
    pub const fn word(self) -> &'static str {
        match self {
            Guess::Less => "less",
            Guess::Same => "about the same",
            Guess::More => "more",
        }
    }
}
