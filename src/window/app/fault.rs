//! Looking for a fault: causes are run in the background, signs ticked, a cause shown happening beside the healthy machine.

use std::sync::Arc;

use super::App;
use super::command::{Column, Effect};
use super::find::{Causes, Find, FindAnswer, FindRequest, Tick};
use crate::fault::{Sign, hiding};
use crate::window::pins::Slot;
use crate::window::solver::Solved;

impl App {
    /// The search for a fault.
    pub const fn find(&self) -> &Find {
        &self.find
    }

    /// The cause that is shown happening, in words.
    pub fn cause_shown(&self) -> Option<String> {
        let Causes::Ready(book, _) = &self.find.causes else { return None };
        Some(crate::report::name_of(book.hypotheses.get(self.find.shown?)?))
    }

    /// Whether the set-up was changed since the causes were run.
    pub fn causes_are_stale(&self) -> bool {
        matches!(&self.find.causes, Causes::Ready(_, edits) if edits != self.edits())
    }

    /// Runs every cause on the machine as it is set.
    pub(super) fn run_causes(&mut self) -> Vec<Effect> {
        self.views.column = Column::Fault;
        let mut effects = self.healthy_again();
        self.find.causes = Causes::Working;
        self.find.ranked = None;
        let (scenario, edits) = (Box::new(self.scenario.clone()), self.edits().clone());
        effects.push(Effect::Find(Box::new(FindRequest::Book { scenario, edits })));
        effects
    }

    pub(super) fn tick(&mut self, sign: Sign, tick: Tick) -> Vec<Effect> {
        self.find.put(sign, tick);
        self.rank_causes()
    }

    pub(super) fn tick_nothing(&mut self) -> Vec<Effect> {
        self.find.told = Default::default();
        self.rank_causes()
    }

    fn rank_causes(&self) -> Vec<Effect> {
        let Causes::Ready(book, _) = &self.find.causes else { return Vec::new() };
        let told = self.find.told.clone();
        vec![Effect::Find(Box::new(FindRequest::Rank { book: Arc::clone(book), told }))]
    }

    pub(super) fn found(&mut self, solved: Solved<FindRequest, Result<FindAnswer, String>>) -> Vec<Effect> {
        let Solved { request, result, .. } = solved;
        match (request, result.and_then(|inner| inner)) {
            (FindRequest::Book { edits, .. }, Ok(FindAnswer::Book(book))) => {
                // Another file may have been opened meanwhile.
                if !matches!(self.find.causes, Causes::Working) {
                    return Vec::new();
                }
                self.find.causes = Causes::Ready(book, edits);
                self.rank_causes()
            }
            (FindRequest::Rank { book, told }, Ok(FindAnswer::Ranked(ranked))) => {
                let own = matches!(&self.find.causes, Causes::Ready(now, _) if Arc::ptr_eq(now, &book));
                if own && told == self.find.told {
                    self.find.ranked = Some(ranked);
                }
                Vec::new()
            }
            (_, Err(reason)) => {
                self.find.causes = Causes::Failed(reason);
                Vec::new()
            }
            _ => Vec::new(),
        }
    }

    /// Shows a cause happening, as bad as it is believed to be, beside the healthy machine, which is pinned as A.
    pub(super) fn show_cause(&mut self, hypothesis: usize) -> Vec<Effect> {
        let Causes::Ready(book, _) = &self.find.causes else { return Vec::new() };
        let book = Arc::clone(book);
        let Some(of) = book.hypotheses.get(hypothesis) else { return Vec::new() };
        let Some(cause) = of.cause else { return Vec::new() };
        let believed =
            self.find.ranked.as_ref().and_then(|ranked| {
                ranked.answer.beliefs.iter().find(|belief| belief.hypothesis == hypothesis)
            });
        let severity = believed.map_or(0.5, |belief| belief.severity);
        let Some(faulty) = hiding(book.scenario(), &[(cause, of.place, severity)]) else {
            self.told = Some("This cause cannot be shown on this machine.".to_owned());
            return Vec::new();
        };
        if self.find.shown.is_none() && self.pins.get(Slot::A).is_none() {
            self.pin(Slot::A);
        }
        self.scenario = faulty;
        self.find.shown = Some(hypothesis);
        vec![self.solve()]
    }

    /// Back from a cause that is shown to the machine as it is set.
    pub(super) fn healthy_again(&mut self) -> Vec<Effect> {
        if self.find.shown.take().is_none() {
            return Vec::new();
        }
        if let Ok(scenario) = self.base.with(&super::edits::changes(self.edits())) {
            self.scenario = scenario;
        }
        vec![self.solve()]
    }
}

#[cfg(test)]
mod tests {
    use super::super::command::Command;
    use super::super::find::find;
    use super::super::tests::Bench;
    use super::*;
    use crate::arm::Side;
    use crate::fault::cause::Cause;
    use crate::fault::{Book, Hypothesis, Place, sign_named};
    use crate::window::solver::Solver;
    use std::time::{Duration, Instant};

    type Finds = Solver<FindRequest, Result<FindAnswer, String>>;

    /// Answers what is asked of the background, and what that asks. Of the causes one is run alone: the left arm runs tight.
    fn settle(bench: &mut Bench, finds: &mut Finds, effects: Vec<Effect>) {
        for effect in effects {
            let Effect::Find(request) = effect else { continue };
            let answer = if let FindRequest::Book { scenario, .. } = &*request {
                let mut book = Book::sound(scenario).expect("a sound machine");
                let (cause, place) = (Cause::named("tight").expect("a cause"), Place::On(Side::Left));
                let level = book.level(&[(cause, place, 1.0)]).expect("it can be");
                let healthy = book.healthy.clone();
                let of = |cause, place, level| Hypothesis {
                    cause,
                    place,
                    share: 1.0,
                    levels: vec![level],
                    pull: None,
                };
                book.hypotheses = vec![of(None, Place::Line, healthy), of(Some(cause), place, level)];
                book.rows = vec![0, 1];
                let generation = bench.app.generation().expect("solved");
                Solved { generation, request: *request, result: Ok(Ok(FindAnswer::Book(Arc::new(book)))) }
            } else {
                finds.submit(*request);
                assert!(finds.wait(Instant::now() + Duration::from_secs(600)), "an answer in ten minutes");
                finds.poll().expect("an answer")
            };
            let more = bench.start(Command::Found(Box::new(answer)));
            settle(bench, finds, more);
        }
        bench.wait();
    }

    /// Ticked, ranked, shown beside the healthy machine, and back.
    #[test]
    fn verif_a_cause_is_found_shown_and_left() {
        let mut bench = Bench::new(&[]);
        let mut finds = Solver::start(find, || {}).expect("a thread");
        let effects = bench.start(Command::RunCauses);
        assert!(
            matches!(bench.app.find().causes, Causes::Working) && bench.app.views.column == Column::Fault
        );
        settle(&mut bench, &mut finds, effects);
        assert!(bench.app.find().ranked.as_ref().is_some_and(|ranked| ranked.told.is_nothing()));
        let sign = |key: &str, side| Sign { row: sign_named(key).expect("a sign"), side: Some(side) };
        let missed = sign("tail-missed", Side::Left);
        for (of, tick) in [(missed, Tick::Seen), (sign("tail-missed", Side::Right), Tick::Fine)] {
            let effects = bench.start(Command::Tick(of, tick));
            settle(&mut bench, &mut finds, effects);
        }
        assert_eq!(bench.app.find().tick(missed), Tick::Seen);
        let ranked = bench.app.find().ranked.clone().expect("ranked");
        assert!(!ranked.answer.as_set && !ranked.checks.is_empty(), "{:?}", ranked.answer);
        let healthy = Arc::clone(bench.app.shown().expect("solved"));
        let first = ranked.answer.beliefs[ranked.answer.rows[0].beliefs[0]].hypothesis;
        bench.run(Command::ShowCause(first));
        let faulty = Arc::clone(bench.app.shown().expect("solved"));
        assert!(faulty.outcome != healthy.outcome, "it does something");
        assert_eq!(faulty.edits, healthy.edits, "no setting shows it");
        let pin = bench.app.pins.get(Slot::A).expect("the healthy machine is pinned");
        assert!(Arc::ptr_eq(&pin.record, &healthy));
        assert!(bench.app.cause_shown().is_some_and(|name| name.contains("left")));
        bench.run(Command::HealthyAgain);
        assert_eq!(bench.app.shown().expect("solved").outcome, healthy.outcome);
        // A setting that is turned is turned on the healthy machine.
        bench.run(Command::ShowCause(first));
        bench.run(Command::Set("left.air.cap".to_owned(), "8 psi".to_owned()));
        assert!(bench.app.cause_shown().is_none() && bench.app.causes_are_stale());
        let effects = bench.start(Command::TickNothing);
        settle(&mut bench, &mut finds, effects);
        assert!(bench.app.find().told.is_nothing());
    }
}
