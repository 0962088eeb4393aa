//! The machines of the trial, each with its book, made once.

use brusharm::arm::Side;
use brusharm::fault::{Book, Sign, sign_named};
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

/// Signs as a caller names them: `tail-missed:left`, `bounces:both`, `gradual`.
pub fn said(list: &[&str]) -> Vec<Sign> {
    let mut signs = Vec::new();
    for text in list {
        let (key, side) = text.split_once(':').map_or((*text, None), |(key, side)| (key, Some(side)));
        let row = sign_named(key).unwrap_or_else(|| panic!("{key}"));
        match side {
            None => signs.push(Sign { row, side: None }),
            Some("both") => signs.extend(Side::BOTH.map(|side| Sign { row, side: Some(side) })),
            Some(name) => {
                let side = if name == "left" { Side::Left } else { Side::Right };
                signs.push(Sign { row, side: Some(side) });
            }
        }
    }
    signs
}
