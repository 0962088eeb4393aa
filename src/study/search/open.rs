//! Step sets that are looked at, and the order in which.

use super::Candidate;
use std::cmp::{Ordering, Reverse};

/// A step set that is being looked at.
#[derive(Debug, Clone)]
pub(super) struct Open {
    pub steps: Vec<i32>,
    pub stage: usize,
    /// Least margin so far: an upper bound, and exact once every case has been seen.
    pub bound: f64,
    /// The case that gave the bound.
    pub worst: usize,
    pub seen: Vec<bool>,
}

impl Open {
    pub fn is_done(&self) -> bool {
        self.seen.iter().all(|seen| *seen)
    }

    pub fn candidate(&self) -> Candidate {
        Candidate { steps: self.steps.clone(), stage: self.stage, margin: self.bound }
    }

    pub fn take(&mut self, case: usize, margin: f64) {
        self.seen[case] = true;
        // Of equals the first case, whichever was looked at first.
        if margin < self.bound || (margin == self.bound && case < self.worst) {
            self.bound = margin;
            self.worst = case;
        }
    }
}

/// A place in the queue: the highest bound first, then the first listed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place(pub f64, pub Reverse<usize>);

impl Ord for Place {
    fn cmp(&self, other: &Place) -> Ordering {
        self.0.total_cmp(&other.0).then(self.1.cmp(&other.1))
    }
}

impl PartialOrd for Place {
    fn partial_cmp(&self, other: &Place) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Place {
    fn eq(&self, other: &Place) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Place {}
