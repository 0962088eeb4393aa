//! Builds the tree with all mutants in it, leaving out those the compiler refuses.

use crate::mutant::Mutant;
use crate::rewrite::{self, Region, Rewritten};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What became of the mutants before any test.
#[derive(Debug, Default)]
pub struct Prepared {
    /// Refused by the compiler, with its words.
    pub refused: BTreeMap<u32, String>,
    /// In a constant, a `const fn` or a let chain: nothing there can be switched.
    pub unswitchable: BTreeSet<u32>,
}

/// Writes the mutants into the copied tree and drops what does not compile until it builds.
///
/// `known` are those refused before, by name.
pub fn prepare(tree: &Path, mutants: &[Mutant], known: &BTreeMap<String, String>) -> Prepared {
    let mut done = Prepared::default();
    done.refused.extend(mutants.iter().filter_map(|m| Some((m.id, known.get(&m.key)?.clone()))));
    let mut by_file: BTreeMap<&str, Vec<&Mutant>> = BTreeMap::new();
    for mutant in mutants {
        by_file.entry(&mutant.file).or_default().push(mutant);
    }
    let originals: BTreeMap<&str, String> = by_file
        .keys()
        .map(|file| (*file, fs::read_to_string(tree.join(file)).expect("a source file")))
        .collect();
    fs::write(tree.join("src/mutation.rs"), rewrite::SWITCH).expect("the switch is written");
    let lib = fs::read_to_string(tree.join("src/lib.rs")).expect("lib.rs");
    fs::write(tree.join("src/lib.rs"), format!("{lib}\npub mod mutation;\n")).expect("lib.rs is written");
    for round in 1.. {
        let mut written: BTreeMap<&str, Rewritten> = BTreeMap::new();
        for (file, mutants) in &by_file {
            let kept: Vec<&Mutant> =
                mutants.iter().copied().filter(|m| !done.refused.contains_key(&m.id)).collect();
            let new = rewrite::rewrite(&originals[file], &kept);
            done.unswitchable.extend(&new.unswitchable);
            done.refused.extend(new.hopeless.iter().map(|(id, why)| (*id, (*why).to_owned())));
            fs::write(tree.join(file), &new.text).expect("a source file is written");
            written.insert(file, new);
        }
        let errors = compile(tree);
        if errors.is_empty() {
            return done;
        }
        let before = done.refused.len();
        for error in &errors {
            for id in culprits(error, &written) {
                done.refused.entry(id).or_insert_with(|| error.message.clone());
            }
        }
        eprintln!("round {round}: {} errors, {} mutants refused in all", errors.len(), done.refused.len());
        if done.refused.len() == before {
            let texts: Vec<&str> = errors.iter().map(|e| e.rendered.as_str()).collect();
            panic!("errors that no mutant explains:\n{}", texts.join("\n"));
        }
    }
    unreachable!("the rounds end")
}

struct CompileError {
    message: String,
    rendered: String,
    /// File, bytes, whether it is the main place.
    places: Vec<(String, usize, usize, bool)>,
}

fn compile(tree: &Path) -> Vec<CompileError> {
    let output = cargo(tree)
        .args(["build", "--no-default-features", "--lib", "--message-format=json"])
        .output()
        .expect("cargo runs");
    let text = String::from_utf8_lossy(&output.stdout);
    let mut errors = Vec::new();
    for line in text.lines() {
        let Ok(value) = serde_json::from_str::<Value>(line) else { continue };
        let message = &value["message"];
        if message["level"] != "error" {
            continue;
        }
        let mut places = Vec::new();
        let notes = message["children"].as_array().into_iter().flatten();
        for part in std::iter::once(message).chain(notes) {
            for span in part["spans"].as_array().into_iter().flatten() {
                let at = |name: &str| span[name].as_u64().unwrap_or(0) as usize;
                let file = span["file_name"].as_str().unwrap_or("").to_owned();
                let main = span["is_primary"] == true && part["level"] == "error";
                places.push((file, at("byte_start"), at("byte_end"), main));
            }
        }
        if !places.is_empty() {
            let word = |name: &str| message[name].as_str().unwrap_or("").to_owned();
            errors.push(CompileError { message: word("message"), rendered: word("rendered"), places });
        }
    }
    assert!(output.status.success() || !errors.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    errors
}

/// Mutants that an error speaks of: those it stands in, else those it mentions, else those of the narrowest expression around it.
fn culprits(error: &CompileError, written: &BTreeMap<&str, Rewritten>) -> Vec<u32> {
    let inside = |main_only: bool| -> Vec<u32> {
        let places = error.places.iter().filter(|(.., main)| *main || !main_only);
        places
            .filter_map(|(file, start, end, _)| {
                narrowest(&written.get(file.as_str())?.branches, *start, *end)
            })
            .flat_map(|region| region.ids.clone())
            .collect()
    };
    for main_only in [true, false] {
        let found = inside(main_only);
        if !found.is_empty() {
            return found;
        }
    }
    let places = error.places.iter();
    places
        .filter_map(|(file, start, end, _)| narrowest(&written.get(file.as_str())?.wholes, *start, *end))
        .flat_map(|region| region.ids.clone())
        .collect()
}

fn narrowest(regions: &[Region], start: usize, end: usize) -> Option<&Region> {
    let around = regions.iter().filter(|r| r.bytes.start <= start && end <= r.bytes.end);
    around.min_by_key(|r| r.bytes.len())
}

/// Cargo for the copied tree: optimised, with checks, no debugging tables, lints silenced, results as JSON.
fn cargo(tree: &Path) -> Command {
    let mut command = Command::new("cargo");
    command.current_dir(tree);
    for (name, value) in [
        ("CARGO_PROFILE_DEV_OPT_LEVEL", "2"),
        ("CARGO_PROFILE_TEST_OPT_LEVEL", "2"),
        ("CARGO_PROFILE_DEV_DEBUG", "0"),
        ("CARGO_PROFILE_TEST_DEBUG", "0"),
        ("RUSTFLAGS", "--cap-lints allow"),
    ] {
        command.env(name, value);
    }
    // Under `target/mutation`, one for all folders: what they depend on is built once.
    command.env("CARGO_TARGET_DIR", tree.join("../../build"));
    command
}

/// Builds the tests named and gives their programs.
pub fn tests(tree: &Path, names: &[String]) -> Vec<PathBuf> {
    let mut command = cargo(tree);
    command.args(["test", "--no-default-features", "--no-run", "--message-format=json"]);
    for name in names {
        match name.as_str() {
            "lib" => command.arg("--lib"),
            name => command.args(["--test", name]),
        };
    }
    let output = command.output().expect("cargo runs");
    let text = String::from_utf8_lossy(&output.stdout);
    let values = text.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok());
    let programs: Vec<PathBuf> = values
        .filter(|v| v["profile"]["test"] == true)
        .filter_map(|v| v["executable"].as_str().map(PathBuf::from))
        .collect();
    assert!(output.status.success(), "{}{}", text, String::from_utf8_lossy(&output.stderr));
    programs
}
