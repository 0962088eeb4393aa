//! `mutation TREE LIST FOLDER THREADS ORDER TEST…`: builds the copied TREE with the mutants of LIST (JSON of cargo-mutants) as branches, runs
//! the tests of laws against each, and writes `results.tsv` and the tables of `README.md` in FOLDER. `mutation tables FOLDER` only writes
//! those. Called by `run.sh`, which also says why.

mod build;
mod mutant;
mod results;
mod rewrite;
mod run;

use mutant::Mutant;
use results::line;
use run::{Kills, Measured, Trial, append};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::Mutex;
use std::time::Instant;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match args.as_slice() {
        [word, folder] if word == "tables" => tables(Path::new(folder)),
        [tree, list, folder, threads, order, names @ ..] => {
            let threads: usize = threads.parse().expect("a number of threads");
            let order: Vec<&str> = order.split(',').collect();
            work(Path::new(tree), list, Path::new(folder), threads, &order, names);
            tables(Path::new(folder));
        }
        _ => {
            eprintln!("mutation TREE LIST FOLDER THREADS ORDER TEST…\nmutation tables FOLDER");
            std::process::exit(2);
        }
    }
}

fn tables(folder: &Path) {
    let results = results::read(&fs::read_to_string(folder.join("results.tsv")).expect("the results read"));
    let reasons = fs::read_to_string(folder.join("reasons.tsv")).unwrap_or_default();
    results::into_page(&folder.join("README.md"), &results::tables(&results, &reasons));
}

fn work(tree: &Path, list: &str, folder: &Path, threads: usize, order: &[&str], names: &[String]) {
    let start = Instant::now();
    let results = folder.join("results.tsv");
    let near = |name: &str| tree.parent().expect("a parent").join(name);
    let (measured, passes) = (near("tests.json"), near("passed.tsv"));
    let list = fs::read_to_string(list).expect("the list reads");
    // The sources as they were before mutants were written into them.
    let originals = near("originals");
    let mutants =
        mutant::read(&list, |file| fs::read_to_string(originals.join(file)).expect("a source file reads"));
    let known = results::settle(&results, &mutants);
    eprintln!("{} mutants, {} known", mutants.len(), known.len());

    let before = || -> Measured {
        serde_json::from_str(&fs::read_to_string(&measured).expect("measured tests")).expect("measured tests")
    };
    let tests: Vec<run::Test> = if std::env::var_os("BUILT").is_some() {
        before().tests
    } else {
        let refused = known.iter().filter(|(_, known)| known.fate == "unviable");
        let refused: BTreeMap<String, String> =
            refused.map(|(key, known)| (key.clone(), known.word.clone())).collect();
        let prepared = build::prepare(tree, &mutants, &refused);
        let mut lines = String::new();
        for mutant in &mutants {
            if let Some(why) = prepared.refused.get(&mutant.id) {
                lines.push_str(&line(mutant, "unviable", why.lines().next().unwrap_or("")));
            } else if prepared.unswitchable.contains(&mutant.id) {
                lines.push_str(&line(mutant, "unswitchable", ""));
            }
        }
        append(&results, &lines);
        eprintln!("{:.0} s: builds", start.elapsed().as_secs_f64());
        let programs = build::tests(tree, names);
        eprintln!("{:.0} s: {} test programs", start.elapsed().as_secs_f64(), programs.len());
        let law = |name: &str| {
            let last = name.rsplit("::").next().unwrap_or(name);
            last.starts_with("val_") || last.starts_with("verif_")
        };
        let known = if std::env::var_os("MEASURED").is_some() { before() } else { Measured::default() };
        let tests = run::measure(tree, &programs, &mutants, &known, law);
        let names = mutants.iter().map(|mutant| (mutant.key.clone(), mutant.text.clone())).collect();
        let now = Measured { mutants: names, tests };
        fs::write(&measured, serde_json::to_string(&now).expect("JSON")).expect("the tests are written");
        now.tests
    };
    let total: f64 = tests.iter().map(|t| t.seconds).sum();
    eprintln!(
        "{:.0} s: {} tests come by mutants, {total:.0} s in all",
        start.elapsed().as_secs_f64(),
        tests.len()
    );

    let known = results::read(&fs::read_to_string(&results).expect("the results read"));
    let mut kills = Kills::default();
    for mutant in &mutants {
        if let Some(by) = known.get(&mutant.key).filter(|known| known.is_kill()) {
            kills.note(mutant, &by.word);
        }
    }
    let only = |name: &str| std::env::var_os(name).is_some();
    let (only_new, only_old) = (only("UNTRIED"), only("SURVIVORS"));
    let wanted = |mutant: &&Mutant| {
        order.contains(&mutant.folder())
            && known.get(&mutant.key).is_none_or(|known| match only_new {
                true => known.fate == "untried",
                false if only_old => !known.settled() && known.fate != "untried",
                false => !known.settled(),
            })
    };
    let mut tried: Vec<&Mutant> = mutants.iter().filter(wanted).collect();
    let place = |mutant: &Mutant| order.iter().position(|folder| *folder == mutant.folder());
    tried.sort_by_key(|mutant| (place(mutant), mutant::chance(&mutant.key), &mutant.key));
    let mut passed: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for line in fs::read_to_string(&passes).unwrap_or_default().lines() {
        if let Some((key, test)) = line.split_once('\t') {
            passed.entry(key.to_owned()).or_default().insert(test.to_owned());
        }
    }
    let budget_s =
        std::env::var("BUDGET_S").ok().map_or(f64::INFINITY, |text| text.parse().expect("seconds"));
    let some = only("TESTS");
    let trial = Trial { tree, tests: &tests, threads, budget_s, some, passed, passes };
    let done = Mutex::new(0);
    run::try_all(&trial, &tried, kills, |mutant, fate| {
        let mut done = done.lock().expect("no panic");
        append(&results, &results::fate_line(mutant, fate));
        *done += 1;
        if *done % 100 == 0 {
            eprintln!("{:.0} s: {done} of {}", start.elapsed().as_secs_f64(), tried.len());
        }
    });
    eprintln!("{:.0} s: done", start.elapsed().as_secs_f64());
    results::settle(&results, &mutants);
}
