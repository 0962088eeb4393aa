//! Solving in the background while a person drags: only the newest request counts.
//!
//! One thread solves one request at a time. A request that has not been begun is replaced by a newer one; one that has
//! been begun is finished and shown, so that the picture keeps moving during a long drag. Every answer comes with the
//! request it belongs to and its number, and answers come in the order of their numbers: a picture drawn from one
//! answer never mixes two set-ups. When nothing new was asked for a while, the last answer is refined: what only a
//! picture at rest shows is filled in.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// Number of a request; later ones are larger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Generation(u64);

/// An answer, with what it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved<Q, R> {
    /// Number of the request.
    pub generation: Generation,
    /// The request.
    pub request: Q,
    /// The answer, or the fault that the solve died of.
    pub result: Result<R, String>,
}

struct Shared<Q, R> {
    waiting: Option<(Generation, Q)>,
    busy: Option<Generation>,
    done: Option<Solved<Q, R>>,
    closing: bool,
}

struct Room<Q, R> {
    shared: Mutex<Shared<Q, R>>,
    /// Something was asked, or the solver closes.
    asked: Condvar,
    /// Something was answered.
    answered: Condvar,
}

/// How long nothing new must have been asked before the last answer is refined.
const REST: Duration = Duration::from_millis(150);

/// The background solver.
pub struct Solver<Q, R> {
    room: Arc<Room<Q, R>>,
    newest: u64,
}

impl<Q, R> std::fmt::Debug for Solver<Q, R> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Solver").field("newest", &self.newest).finish_non_exhaustive()
    }
}

impl<Q: Clone + Send + 'static, R: Clone + Send + 'static> Solver<Q, R> {
    /// Starts the thread. `solve` answers a request; `ready` is called on that thread after each answer.
    ///
    /// # Errors
    /// The system's message when no thread can be started.
    pub fn start(
        solve: impl Fn(&Q) -> R + Send + 'static,
        ready: impl Fn() + Send + 'static,
    ) -> Result<Solver<Q, R>, std::io::Error> {
        Solver::refining(solve, |_| false, ready)
    }

    /// The same; `refine` fills in the last answer when it has rested, and says whether there was anything to fill in: then `ready` is
    /// called again.
    ///
    /// # Errors
    /// The system's message when no thread can be started.
    pub fn refining(
        solve: impl Fn(&Q) -> R + Send + 'static,
        refine: impl Fn(&R) -> bool + Send + 'static,
        ready: impl Fn() + Send + 'static,
    ) -> Result<Solver<Q, R>, std::io::Error> {
        let shared = Shared { waiting: None, busy: None, done: None, closing: false };
        let room =
            Arc::new(Room { shared: Mutex::new(shared), asked: Condvar::new(), answered: Condvar::new() });
        let inside = Arc::clone(&room);
        std::thread::Builder::new()
            .name("solver".into())
            .spawn(move || work(&inside, &solve, &refine, &ready))?;
        Ok(Solver { room, newest: 0 })
    }

    /// Asks for a solve. A request that was still waiting is dropped.
    pub fn submit(&mut self, request: Q) -> Generation {
        self.newest += 1;
        let generation = Generation(self.newest);
        lock(&self.room.shared).waiting = Some((generation, request));
        self.room.asked.notify_one();
        generation
    }

    /// Waits until there is an answer to take, or until `when`. Whether there is one.
    pub fn wait(&self, when: Instant) -> bool {
        let mut shared = lock(&self.room.shared);
        loop {
            let left = when.saturating_duration_since(Instant::now());
            if shared.done.is_some() || left.is_zero() {
                return shared.done.is_some();
            }
            let woken = self.room.answered.wait_timeout(shared, left);
            shared = woken.unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    /// The newest answer since the last call, if any.
    pub fn poll(&self) -> Option<Solved<Q, R>> {
        lock(&self.room.shared).done.take()
    }

    /// Whether a request waits or is being solved, or an answer waits to be taken.
    pub fn busy(&self) -> bool {
        let shared = lock(&self.room.shared);
        shared.waiting.is_some() || shared.busy.is_some() || shared.done.is_some()
    }

    /// The number of the newest request.
    pub const fn newest(&self) -> Generation {
        Generation(self.newest)
    }
}

impl<Q, R> Drop for Solver<Q, R> {
    fn drop(&mut self) {
        // The thread ends after the solve it may be in; nobody waits for it.
        lock(&self.room.shared).closing = true;
        self.room.asked.notify_one();
    }
}

/// A panic of the other side leaves plain data behind that is still whole.
fn lock<Q, R>(mutex: &Mutex<Shared<Q, R>>) -> MutexGuard<'_, Shared<Q, R>> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn work<Q: Clone, R: Clone>(
    room: &Room<Q, R>,
    solve: &dyn Fn(&Q) -> R,
    refine: &dyn Fn(&R) -> bool,
    ready: &dyn Fn(),
) {
    let mut coarse: Option<R> = None;
    loop {
        let mut shared = lock(&room.shared);
        let rested = Instant::now() + REST;
        let (generation, request) = loop {
            if shared.closing {
                return;
            }
            if let Some(next) = shared.waiting.take() {
                break next;
            }
            let left = rested.saturating_duration_since(Instant::now());
            match &coarse {
                None => shared = room.asked.wait(shared).unwrap_or_else(PoisonError::into_inner),
                Some(_) if !left.is_zero() => {
                    let woken = room.asked.wait_timeout(shared, left);
                    shared = woken.unwrap_or_else(PoisonError::into_inner).0;
                }
                Some(answer) => {
                    drop(shared);
                    // A fault here leaves the answer as it was.
                    let more = catch_unwind(AssertUnwindSafe(|| refine(answer)));
                    coarse = None;
                    if more.unwrap_or(false) {
                        ready();
                    }
                    shared = lock(&room.shared);
                }
            }
        };
        shared.busy = Some(generation);
        drop(shared);
        let result = catch_unwind(AssertUnwindSafe(|| solve(&request))).map_err(|fault| {
            let text = fault.downcast_ref::<String>().cloned();
            text.or_else(|| fault.downcast_ref::<&str>().map(|t| (*t).to_owned()))
                .unwrap_or_else(|| "the solve stopped without a reason".to_owned())
        });
        coarse = result.as_ref().ok().cloned();
        let mut shared = lock(&room.shared);
        shared.busy = None;
        shared.done = Some(Solved { generation, request, result });
        drop(shared);
        room.answered.notify_all();
        ready();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::{Receiver, Sender, channel};

    /// A solver that finishes each request only when told to, and says when it begins one.
    fn gated() -> (Solver<i32, i32>, Receiver<i32>, Sender<()>, Receiver<()>) {
        let (began, begins) = channel();
        let (go, gate) = channel::<()>();
        let (rang, bell) = channel();
        let solve = move |request: &i32| {
            began.send(*request).expect("the test listens");
            gate.recv().expect("the test opens the gate");
            request * 10
        };
        let solver =
            Solver::start(solve, move || rang.send(()).expect("the test listens")).expect("a thread");
        (solver, begins, go, bell)
    }

    #[test]
    fn verif_only_the_newest_waiting_request_is_solved() {
        let (mut solver, begins, go, bell) = gated();
        solver.submit(1);
        assert_eq!(begins.recv(), Ok(1));
        for request in 2..=9 {
            solver.submit(request);
        }
        assert!(solver.busy() && solver.poll().is_none());
        go.send(()).expect("solver runs");
        bell.recv().expect("an answer");
        let first = solver.poll().expect("the first is shown although newer ones wait");
        assert_eq!((first.request, first.result), (1, Ok(10)));
        assert_eq!(begins.recv(), Ok(9), "2 to 8 were dropped");
        go.send(()).expect("solver runs");
        bell.recv().expect("an answer");
        let last = solver.poll().expect("the newest");
        assert_eq!((last.request, last.result, last.generation), (9, Ok(90), solver.newest()));
        assert!(last.generation > first.generation);
        assert!(!solver.busy() && solver.poll().is_none());
    }

    #[test]
    fn verif_an_answer_not_taken_is_replaced_by_a_newer_one() {
        let (mut solver, begins, go, bell) = gated();
        for request in [1, 2] {
            solver.submit(request);
            assert_eq!(begins.recv(), Ok(request));
            go.send(()).expect("solver runs");
            bell.recv().expect("an answer");
        }
        let only = solver.poll().expect("the newer");
        assert_eq!((only.request, only.result), (2, Ok(20)));
        assert!(solver.poll().is_none());
    }

    #[test]
    fn verif_an_answer_is_waited_for_no_longer_than_asked() {
        let (mut solver, begins, go, bell) = gated();
        assert!(!solver.wait(Instant::now()), "nothing was asked");
        solver.submit(3);
        assert_eq!(begins.recv(), Ok(3));
        assert!(!solver.wait(Instant::now() + Duration::from_millis(5)), "it is held up");
        go.send(()).expect("solver runs");
        assert!(solver.wait(Instant::now() + Duration::from_secs(60)), "it comes");
        assert_eq!(solver.poll().map(|solved| solved.result), Some(Ok(30)));
        bell.recv().expect("and is told");
    }

    #[test]
    fn verif_the_last_answer_is_refined_once_when_it_has_rested() {
        let (refined, told) = channel();
        let (rang, bell) = channel();
        let refine = move |answer: &i32| refined.send(*answer).is_ok();
        let solver = Solver::refining(
            |request: &i32| request * 10,
            refine,
            move || {
                rang.send(()).expect("the test listens");
            },
        );
        let mut solver = solver.expect("a thread");
        for request in 1..=5 {
            solver.submit(request);
            while solver.poll().is_none_or(|solved| solved.request != request) {
                assert!(solver.wait(Instant::now() + Duration::from_secs(60)));
            }
            bell.recv().expect("an answer");
        }
        // However long the pauses between were: none is refined twice, none after a later one, and the last is.
        let mut refined = vec![told.recv().expect("the solver runs")];
        while refined.last() != Some(&50) {
            refined.push(told.recv().expect("the solver runs"));
        }
        assert!(refined.windows(2).all(|pair| pair[0] < pair[1]), "{refined:?}");
        bell.recv().expect("it is told");
        assert!(!solver.busy() && solver.poll().is_none());
    }

    #[test]
    fn verif_a_fault_is_an_answer_and_the_solver_goes_on() {
        let (rang, bell) = channel();
        let solve = |request: &i32| 100 / request;
        let mut solver =
            Solver::start(solve, move || rang.send(()).expect("the test listens")).expect("a thread");
        solver.submit(0);
        bell.recv().expect("an answer");
        let fault = solver.poll().expect("the fault").result;
        assert!(fault.is_err_and(|text| text.contains("divide by zero")));
        solver.submit(4);
        bell.recv().expect("an answer");
        assert_eq!(solver.poll().map(|solved| solved.result), Some(Ok(25)));
    }

    #[test]
    fn verif_the_thread_ends_with_the_solver() {
        let (alive, watch) = channel::<()>();
        let solve = move |_: &i32| {
            let _ = &alive;
        };
        drop(Solver::start(solve, || {}).expect("a thread"));
        // The sender lives in the thread's closure: when the thread ends, the channel closes.
        assert_eq!(watch.recv(), Err(std::sync::mpsc::RecvError));
    }
}
