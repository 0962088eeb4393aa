//! The mutants as `cargo mutants --list --json` names them.

use serde::Deserialize;
use std::collections::BTreeMap;

/// Line and column, both from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub struct Place {
    pub line: usize,
    pub column: usize,
}

#[derive(Debug, Clone, Deserialize)]
pub struct Span {
    pub start: Place,
}

#[derive(Debug, Clone, Deserialize)]
pub struct Function {
    pub function_name: String,
    pub return_type: String,
}

/// One mutant.
#[derive(Debug, Clone, Deserialize)]
pub struct Mutant {
    /// Number by which the built tests are told to use it, from 1.
    #[serde(skip)]
    pub id: u32,
    /// Name that outlives an edit elsewhere in the file: «file: change in function», with a count where that names several.
    #[serde(skip)]
    pub key: String,
    name: String,
    pub file: String,
    pub function: Option<Function>,
    pub span: Span,
    pub replacement: String,
    pub genre: String,
}

impl Mutant {
    /// Function it stands in, or nothing for a constant.
    pub fn function_name(&self) -> &str {
        self.function.as_ref().map_or("", |f| &f.function_name)
    }
}

/// Reads the list, numbers the mutants and gives each its name.
pub fn read(text: &str) -> Vec<Mutant> {
    let mut mutants: Vec<Mutant> = serde_json::from_str(text).expect("a list of cargo-mutants");
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for (index, mutant) in mutants.iter_mut().enumerate() {
        mutant.id = index as u32 + 1;
        // «file:line:column: change in function»
        let change = mutant.name.splitn(4, ':').nth(3).unwrap_or(&mutant.name).trim().to_owned();
        let plain = format!("{}: {change}", mutant.file);
        let count = seen.entry(plain.clone()).or_default();
        *count += 1;
        mutant.key = if *count == 1 { plain } else { format!("{plain} #{count}") };
    }
    mutants
}
