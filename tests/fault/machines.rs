//! The machines of the trial, each with its book, made once.

use brusharm::fault::Book;
use brusharm::scenario::Scenario;
use std::sync::OnceLock;

/// Names of the machines of the trial.
pub const MACHINES: [&str; 3] = ["ferry-return", "one-unit", "opposite-pair"];

fn scenario(name: &str) -> Scenario {
    let path = format!("{}/scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect(&path);
    Scenario::read_alone(&text, name).expect("a scenario")
}

/// The book of one of [`MACHINES`].
pub fn book(machine: usize) -> &'static Book {
    static BOOKS: [OnceLock<Book>; 3] = [const { OnceLock::new() }; 3];
    BOOKS[machine].get_or_init(|| Book::new(&scenario(MACHINES[machine]), &|_, _| {}).expect("a book"))
}
