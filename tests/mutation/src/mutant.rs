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
    pub end: Place,
}

#[derive(Debug, Clone, Deserialize)]
pub struct Function {
    pub function_name: String,
    pub return_type: String,
    pub span: Span,
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
    /// What the text of its function comes to, in hexadecimal, spaces and comments left out; a fate holds while this does.
    #[serde(skip)]
    pub text: String,
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

    /// Folder under `src`.
    pub fn folder(&self) -> &str {
        self.file.split('/').nth(1).unwrap_or("")
    }
}

/// FNV-1a, 32 bits: the same on every machine and in every build.
pub fn hash(bytes: impl IntoIterator<Item = u8>) -> u32 {
    bytes.into_iter().fold(0x811c_9dc5, |hash, byte| (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193))
}

/// Place of a mutant, by its name, in an order by chance that stays the same: what is tried first of a folder is a fair sample of it. Like numbers
/// come out unlike (finalizer of MurmurHash3, A. Appleby; from memory).
pub fn chance(key: &str) -> u32 {
    let mut x = hash(format!("sample 1 {key}").bytes());
    x ^= x >> 16;
    x = x.wrapping_mul(0x85eb_ca6b);
    x ^= x >> 13;
    x = x.wrapping_mul(0xc2b2_ae35);
    x ^ (x >> 16)
}

/// Hash of the lines of a function, spaces and line comments left out; of the whole file for what stands in none.
fn text_hash(source: &str, function: Option<&Function>) -> String {
    let (first, last) = function.map_or((1, usize::MAX), |f| (f.span.start.line, f.span.end.line));
    let lines = source.lines().skip(first - 1).take(last.saturating_sub(first - 1));
    let code = lines.flat_map(|line| line.split("//").next().unwrap_or("").bytes());
    format!("{:08x}", hash(code.filter(|byte| !byte.is_ascii_whitespace())))
}

/// Reads the list, numbers the mutants and gives each its name and the hash of its function; `source` reads a file of the tree.
pub fn read(text: &str, source: impl Fn(&str) -> String) -> Vec<Mutant> {
    let mut mutants: Vec<Mutant> = serde_json::from_str(text).expect("a list of cargo-mutants");
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut sources: BTreeMap<String, String> = BTreeMap::new();
    for (index, mutant) in mutants.iter_mut().enumerate() {
        mutant.id = index as u32 + 1;
        // «file:line:column: change in function»
        let change = mutant.name.splitn(4, ':').nth(3).unwrap_or(&mutant.name).trim().to_owned();
        let plain = format!("{}: {change}", mutant.file);
        let count = seen.entry(plain.clone()).or_default();
        *count += 1;
        let source = sources.entry(mutant.file.clone()).or_insert_with(|| source(&mutant.file));
        mutant.text = text_hash(source, mutant.function.as_ref());
        mutant.key = if *count == 1 { plain } else { format!("{plain} #{count}") };
    }
    mutants
}
