//! The book of causes a little at a time, for who cannot wait for all of it: common causes first, each in the middle of its range before any at its ends.

use super::book::{Book, BookError, MIDDLE, jobs};
use super::hypothesis::Level;
use super::place::Place;
use crate::scenario::Scenario;

/// A book that is being run.
#[derive(Debug, Clone)]
pub struct Steps {
    sound: Book,
    jobs: Vec<(usize, f64)>,
    /// Numbers of jobs in the order in which they are run.
    order: Vec<usize>,
    /// What came of each job, in the order of the jobs.
    run: Vec<Option<Vec<(Place, Level)>>>,
    done: usize,
}

impl Steps {
    /// Nothing run yet but the machine as it should be.
    ///
    /// # Errors
    /// [`BookError`] as of [`Book::new`].
    pub fn new(scenario: &Scenario) -> Result<Steps, BookError> {
        let sound = Book::sound(scenario)?;
        let jobs = jobs();
        let mut order: Vec<usize> = (0..jobs.len()).collect();
        // A cause that has no range is run with the middles of the others.
        let round = |(cause, severity): (usize, f64)| {
            let alone = jobs.iter().filter(|(own, _)| *own == cause).count() == 1;
            if alone { 0.0 } else { (severity - MIDDLE).abs() }
        };
        order.sort_by(|a, b| {
            let weight = |job: usize| sound.weight(jobs[job].0);
            round(jobs[*a]).total_cmp(&round(jobs[*b])).then(weight(*b).total_cmp(&weight(*a)))
        });
        let run = vec![None; jobs.len()];
        Ok(Steps { sound, jobs, order, run, done: 0 })
    }

    /// Runs one cause so bad, at every place where it can be: at most a dozen passes. Nothing when all were run.
    pub fn one_more(&mut self) {
        let Some(&job) = self.order.get(self.done) else { return };
        let (cause, severity) = self.jobs[job];
        self.run[job] = Some(self.sound.levels(cause, severity));
        self.done += 1;
    }

    /// How many runs are done, and of how many.
    pub fn runs(&self) -> (usize, usize) {
        (self.done, self.jobs.len())
    }

    /// How many causes were run at least once, and of how many.
    pub fn causes(&self) -> (usize, usize) {
        let mut all: Vec<usize> = self.jobs.iter().map(|(cause, _)| *cause).collect();
        let mut tried: Vec<usize> = self.order[..self.done].iter().map(|job| self.jobs[*job].0).collect();
        for list in [&mut all, &mut tried] {
            list.sort_unstable();
            list.dedup();
        }
        (tried.len(), all.len())
    }

    /// Whether all of it was run.
    pub fn is_whole(&self) -> bool {
        self.done == self.jobs.len()
    }

    /// The book as far as it was run; all of it is that of [`Book::new`].
    pub fn book(&self) -> Book {
        let run = self.jobs.iter().zip(&self.run);
        self.sound.clone().filled(run.filter_map(|((cause, _), levels)| Some((*cause, levels.clone()?))))
    }

    /// The machine as it should be.
    pub fn sound(&self) -> &Book {
        &self.sound
    }
}
