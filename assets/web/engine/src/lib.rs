//! The engine of a page: the library behind four plain functions that a script calls.
//!
//! A question is UTF-8 text (JSON): `room` makes place for it and says where, `ask` answers it, `answer_at` and `answer_length` say where the
//! answer stands. What is asked and answered is in [`brusharm::live`]. A module that panics is dead; what it said last is then its answer, and
//! can still be read.

use brusharm::live::{Live, STAMP};
use std::cell::{Cell, RefCell};

thread_local! {
    static LIVE: RefCell<Live> = RefCell::new(Live::default());
    static QUESTION: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
    static ANSWER: RefCell<String> = const { RefCell::new(String::new()) };
    static INSTALLED: Cell<bool> = const { Cell::new(false) };
}

/// The version and the sources of this engine, in a section of their own.
#[used]
#[unsafe(link_section = "brusharm.stamp")]
static MARK: [u8; STAMP.len()] = {
    let mut mark = [0; STAMP.len()];
    mark.copy_from_slice(STAMP.as_bytes());
    mark
};

/// Keeps what a panic says as the answer.
fn install() {
    if !INSTALLED.replace(true) {
        std::panic::set_hook(Box::new(|panic| {
            ANSWER.with(|answer| {
                if let Ok(mut answer) = answer.try_borrow_mut() {
                    *answer = panic.to_string();
                }
            });
        }));
    }
}

/// Makes room for a question of this many bytes and says where.
#[unsafe(no_mangle)]
pub extern "C" fn room(length: usize) -> *mut u8 {
    QUESTION.with_borrow_mut(|question| {
        question.clear();
        question.resize(length, 0);
        question.as_mut_ptr()
    })
}

/// Answers the first `length` bytes of the question.
#[unsafe(no_mangle)]
pub extern "C" fn ask(length: usize) {
    install();
    let question = QUESTION.with_borrow(|question| String::from_utf8_lossy(&question[..length]).into_owned());
    let said = LIVE.with_borrow_mut(|live| live.ask(&question));
    ANSWER.with_borrow_mut(|answer| *answer = said);
}

/// Where the answer stands.
#[unsafe(no_mangle)]
pub extern "C" fn answer_at() -> *const u8 {
    ANSWER.with_borrow(|answer| answer.as_ptr())
}

/// How many bytes it has.
#[unsafe(no_mangle)]
pub extern "C" fn answer_length() -> usize {
    ANSWER.with_borrow(String::len)
}
