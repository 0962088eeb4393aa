//! Studies of the desk in the background: a thread for each kind, started when it is first asked for. As a study gets on it wakes the window a few times a
//! second; in between no frame is drawn for it.

use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use super::Shell;
use crate::window::app::command::Command;
use crate::window::app::desk::DeskCommand;
use crate::window::app::desk::ask::{StudyAsked, study};
use crate::window::backend::Requests;
use crate::window::solver::Solver;

/// Least time between two looks at how far a study is.
const BETWEEN_LOOKS: Duration = Duration::from_millis(200);

impl Shell {
    pub(super) fn start_study(&mut self, asked: StudyAsked) {
        let kind = asked.what.kind();
        if !self.studies.contains_key(&kind) {
            let (waker, ready) = (self.waker.clone(), self.waker.clone());
            let last = Mutex::new(Instant::now());
            let work = move |asked: &StudyAsked| {
                study(asked, &|| {
                    let mut last = last.lock().unwrap_or_else(PoisonError::into_inner);
                    if last.elapsed() >= BETWEEN_LOOKS {
                        *last = Instant::now();
                        waker.wake();
                    }
                })
            };
            match Solver::start(work, move || ready.wake()) {
                Ok(solver) => {
                    self.studies.insert(kind, solver);
                }
                Err(error) => {
                    let why = format!("cannot start a thread for it: {error}");
                    self.app.command(Command::Desk(DeskCommand::Studied(Box::new(asked), Err(why))));
                    return;
                }
            }
        }
        if let Some(solver) = self.studies.get_mut(&kind) {
            solver.submit(asked);
        }
    }

    /// Hands on what came back.
    pub(super) fn look_at_studies(&mut self, requests: &mut Requests) {
        let back: Vec<_> = self.studies.values().filter_map(Solver::poll).collect();
        for solved in back {
            let answer = solved.result.and_then(|answer| answer);
            let command = Command::Desk(DeskCommand::Studied(Box::new(solved.request), answer));
            let effects = self.app.command(command);
            self.carry_out(effects, requests);
        }
    }
}
