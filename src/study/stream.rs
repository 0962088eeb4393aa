//! Many points on many threads, results in order, in flat memory.
//!
//! Threads take the next index; results pass through a window of bounded length and leave it in order. A thread that runs ahead of the window
//! waits. What comes out does not depend on the number of threads or on who was first.
//!
//! Every worker is the only thread of a pool of its own. What a point does in parallel then runs in the worker itself, one thing after another: a
//! worker of a shared pool that waits for its other half may take up a second worker's loop on top of its own point, and that loop, once the window is
//! full, would wait for the very point under it. All cores are busy with points until the last few.

use rayon::{ThreadPool, ThreadPoolBuildError};
use std::collections::VecDeque;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::{Condvar, Mutex, PoisonError};
use thiserror::Error;

/// How many threads, and how far they may run ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Workers {
    threads: usize,
    window: usize,
}

impl Workers {
    /// This many threads; 0 = one for each core.
    pub fn new(threads: usize) -> Workers {
        let cores = || std::thread::available_parallelism().map_or(1, usize::from);
        let threads = if threads == 0 { cores() } else { threads.min(1024) };
        Workers { threads, window: (64 * threads).max(256) }
    }

    /// Number of threads.
    pub fn threads(&self) -> usize {
        self.threads
    }

    /// Most results held at any time.
    pub fn window(&self) -> usize {
        self.window
    }
}

/// Why a stream ended early.
#[derive(Debug, Error)]
pub enum StreamError<E> {
    /// The threads could not be started.
    #[error("the worker threads could not be started: {0}; ask for fewer with --threads")]
    Threads(String),
    /// Whoever takes the results refused one.
    #[error(transparent)]
    Sink(E),
}

/// Whether this machine has threads at all: a page has none.
const HAS_THREADS: bool = !cfg!(target_family = "wasm");

/// Runs something that works in parallel on its own with this many threads; where a machine has none, on the calling one.
///
/// # Errors
/// When the threads could not be started.
pub fn with_threads<R: Send>(
    workers: Workers,
    work: impl FnOnce() -> R + Send,
) -> Result<R, StreamError<std::convert::Infallible>> {
    if !HAS_THREADS {
        return Ok(work());
    }
    let pool = rayon::ThreadPoolBuilder::new().num_threads(workers.threads).build();
    pool.map(|pool| pool.install(work)).map_err(|error| StreamError::Threads(error.to_string()))
}

struct State<R> {
    next: u64,
    /// Index of the first slot.
    written: u64,
    slots: VecDeque<Option<Outcome<R>>>,
    stopped: bool,
}

type Outcome<R> = Result<R, Box<dyn std::any::Any + Send>>;

/// Runs `work` for every index of `range` and gives `sink` the results in order of index, on the calling thread.
///
/// # Errors
/// The error of `sink`, after which no further point is started; or that the threads could not be started.
///
/// # Panics
/// When `work` does: the panic goes on in the caller, after the results before it were given to `sink`.
pub fn in_order<R: Send, E>(
    range: Range<u64>,
    workers: Workers,
    work: impl Fn(u64) -> R + Sync,
    mut sink: impl FnMut(u64, R) -> Result<(), E>,
) -> Result<(), StreamError<E>> {
    if range.is_empty() {
        return Ok(());
    }
    let count = workers.threads.min(usize::try_from(range.end - range.start).unwrap_or(usize::MAX));
    if count == 1 || !HAS_THREADS {
        return one_by_one(range, work, sink);
    }
    let pools = (0..count)
        .map(|_| pool_of_one())
        .collect::<Result<Vec<_>, _>>()
        .map_err(|error| StreamError::Threads(error.to_string()))?;
    let state = Mutex::new(State::<R> {
        next: range.start,
        written: range.start,
        slots: VecDeque::with_capacity(workers.window),
        stopped: false,
    });
    let room = Condvar::new();
    let ready = Condvar::new();
    let lock = || state.lock().unwrap_or_else(PoisonError::into_inner);
    let end = range.end;

    let worker = || {
        loop {
            let mut held = lock();
            while !held.stopped && held.next < end && held.next - held.written >= workers.window as u64 {
                held = room.wait(held).unwrap_or_else(PoisonError::into_inner);
            }
            if held.stopped || held.next >= end {
                return;
            }
            let index = held.next;
            held.next += 1;
            held.slots.push_back(None);
            drop(held);
            let result = catch_unwind(AssertUnwindSafe(|| work(index)));
            let mut held = lock();
            if held.stopped {
                return;
            }
            let at = (index - held.written) as usize;
            held.slots[at] = Some(result);
            if at == 0 {
                ready.notify_one();
            }
        }
    };
    on_each(&pools, &worker, || {
        let stop = || {
            lock().stopped = true;
            room.notify_all();
        };
        for index in range {
            let mut held = lock();
            let result = loop {
                if let Some(result) = held.slots.front_mut().and_then(Option::take) {
                    break result;
                }
                held = ready.wait(held).unwrap_or_else(PoisonError::into_inner);
            };
            held.slots.pop_front();
            held.written += 1;
            drop(held);
            room.notify_one();
            match result {
                Ok(result) => {
                    // A sink that panics must not leave the threads waiting for room.
                    match catch_unwind(AssertUnwindSafe(|| sink(index, result))) {
                        Ok(Ok(())) => {}
                        Ok(Err(error)) => {
                            stop();
                            return Err(StreamError::Sink(error));
                        }
                        Err(panic) => {
                            stop();
                            resume_unwind(panic);
                        }
                    }
                }
                Err(panic) => {
                    stop();
                    resume_unwind(panic);
                }
            }
        }
        Ok(())
    })
}

fn pool_of_one() -> Result<ThreadPool, ThreadPoolBuildError> {
    rayon::ThreadPoolBuilder::new().num_threads(1).build()
}

/// Runs `worker` once on each pool and `body` here, until all are done.
fn on_each<R>(pools: &[ThreadPool], worker: &(impl Fn() + Sync), body: impl FnOnce() -> R) -> R {
    match pools.split_first() {
        None => body(),
        Some((pool, rest)) => pool.in_place_scope(|scope| {
            scope.spawn(|_| worker());
            on_each(rest, worker, body)
        }),
    }
}

/// The same with one worker: no window. Where no thread can be started, the calling one does the work.
fn one_by_one<R: Send, E>(
    range: Range<u64>,
    work: impl Fn(u64) -> R + Sync,
    mut sink: impl FnMut(u64, R) -> Result<(), E>,
) -> Result<(), StreamError<E>> {
    let pool = pool_of_one().ok();
    for index in range {
        let result = match &pool {
            Some(pool) => pool.install(|| work(index)),
            None => work(index),
        };
        sink(index, result).map_err(StreamError::Sink)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicU64, Ordering};

    fn work(index: u64) -> u64 {
        // Uneven on purpose, so that threads overtake each other.
        let turns = index.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 52;
        (0..turns).fold(index, |sum, i| sum.wrapping_mul(31).wrapping_add(i))
    }

    #[test]
    fn verif_results_come_in_order_for_any_thread_count() {
        let expected: Vec<(u64, u64)> = (5..3000).map(|i| (i, work(i))).collect();
        for threads in [1, 2, 3, 8] {
            let mut found = Vec::new();
            let sink = |index, value| {
                found.push((index, value));
                Ok::<(), ()>(())
            };
            in_order(5..3000, Workers::new(threads), work, sink).unwrap();
            assert!(found == expected, "{threads} threads");
        }
    }

    #[test]
    fn verif_points_that_work_in_parallel_never_wait_for_each_other() {
        // Many short streams, each longer than its window, of points that work in parallel and are held up by chance. One that hangs is told by
        // the watchdog, not by a test that never ends.
        let (told, heard) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            let chance =
                |turn: u64, index: u64| (turn * 64 + index).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 56;
            let held_up = |turn, index| {
                // The second half is held up longer: whoever needs it looks for other work meanwhile.
                if chance(turn, index) < 64 {
                    std::thread::sleep(std::time::Duration::from_micros(if index < 32 { 50 } else { 150 }));
                }
                index
            };
            for turn in 0..1000 {
                let workers = Workers { threads: 2 + (turn % 7) as usize, window: 8 };
                let mut sum = 0;
                let work = |index| rayon::join(|| held_up(turn, index), || held_up(turn, index + 32));
                let sink = |index, (first, second)| {
                    assert_eq!((first, second), (index, index + 32));
                    sum += first;
                    Ok::<(), ()>(())
                };
                in_order(0..32, workers, work, sink).unwrap();
                assert_eq!(sum, 31 * 16);
                told.send(turn).unwrap();
            }
        });
        for turn in 0..1000 {
            let heard = heard.recv_timeout(std::time::Duration::from_secs(60));
            assert_eq!(heard, Ok(turn), "stream {turn} came to a stand");
        }
    }

    #[test]
    fn verif_no_more_than_the_window_is_ever_held() {
        let workers = Workers::new(4);
        let (started, taken, most) = (AtomicU64::new(0), AtomicU64::new(0), AtomicU64::new(0));
        in_order(
            0..20_000,
            workers,
            |index| {
                let ahead = started.fetch_add(1, Ordering::SeqCst) + 1 - taken.load(Ordering::SeqCst);
                most.fetch_max(ahead, Ordering::SeqCst);
                index
            },
            |index, _| {
                if index < 2000 {
                    std::thread::yield_now();
                }
                taken.fetch_add(1, Ordering::SeqCst);
                Ok::<(), ()>(())
            },
        )
        .unwrap();
        let most = most.load(Ordering::SeqCst);
        // One more may be on its way from the window to the sink.
        assert!(most > 1 && most <= workers.window() as u64 + 1, "{most} of {}", workers.window());
    }

    #[test]
    fn verif_an_error_of_the_sink_stops_the_work() {
        let started = AtomicU64::new(0);
        let result = in_order(
            0..1_000_000,
            Workers::new(2),
            |index| {
                started.fetch_add(1, Ordering::SeqCst);
                index
            },
            |index, _| if index == 100 { Err("the disk is full") } else { Ok(()) },
        );
        assert!(matches!(result, Err(StreamError::Sink("the disk is full"))));
        assert!(started.load(Ordering::SeqCst) <= 101 + Workers::new(2).window() as u64);
    }

    #[test]
    fn verif_a_panic_goes_on_in_the_caller() {
        let caught = std::panic::catch_unwind(|| {
            let sink = |_, _| Ok::<(), ()>(());
            in_order(
                0..100,
                Workers::new(2),
                |i| if i == 40 { std::panic::resume_unwind(Box::new("boom")) } else { i },
                sink,
            )
        });
        assert_eq!(caught.unwrap_err().downcast_ref::<&str>(), Some(&"boom"));
    }
}
