//! What is wrong with this brush: from what is seen and read to the causes that would show it on this machine, and the check to make next.
//!
//! A **cause** is a change of the model with a range of how bad it may be ([`cause`]). Every one is run over its range past a few vehicles at a few speeds
//! ([`Book`]), and what comes of it is compared with the machine as it should be: a **sign** ([`Sign`]) is graded from nobody would notice (0) to plain (1).
//! What somebody tells is weighed against those grades ([`Told`], [`rank()`]): likelihood of each sign told under each cause, summed over how bad it may be, times
//! how common the cause is. The next **check** ([`check`]) is the one that takes most of the doubt for each minute.
//!
//! Causes, how common they are, how long checks take and how people tell what they see are common practice without a source; the physics is that of a pass.

mod alike;
mod answered;
mod book;
pub mod cause;
pub mod check;
mod group;
mod hypothesis;
mod next;
mod observe;
mod place;
mod rank;
mod reading;
mod said;
mod sign;
mod steps;
mod told;
mod weights;
mod wrong;

pub use answered::{answer_of, share_behind};
pub use book::{Book, BookError};
pub use group::SignGroup;
pub use hypothesis::{Hypothesis, Level};
pub use next::{CheckWorth, next_checks};
pub use observe::{Measured, Observable, View, ViewName};
pub use place::Place;
pub use rank::{Answer, Belief, Pair, Row, pairs, rank};
pub use reading::{READINGS, ReadingRow, ReadingTold, reading_named};
pub use said::{Said, Unsaid, check_said, findings, reading_said};
pub use sign::{Circumstance, SIGNS, Sign, SignRow, Test, sign_named, signs};
pub use steps::Steps;
pub use told::{Answered, Told, with_answer};
pub use weights::{MOST as MOST_WEIGHT, no_cause, no_weight};
pub use wrong::{Wrong, faulty_setup, hiding};
