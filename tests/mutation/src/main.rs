//! `mutation TREE LIST RESULTS THREADS TEST…`: builds the copied TREE with the mutants of LIST (JSON of cargo-mutants) as branches and runs
//! the tests of laws against each. Called by `run.sh`, which also says why.

mod build;
mod mutant;
mod rewrite;
mod run;

use mutant::Mutant;
use run::Fate;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Instant;

/// What a file of results tells.
#[derive(Debug, Clone, Default)]
struct Former {
    /// Names and the compiler's words.
    refused: BTreeMap<String, String>,
    /// Names with «killed» or «timeout» and the test.
    killed: BTreeMap<String, (String, String)>,
    /// Names that need no trying.
    settled: BTreeSet<String>,
    /// All names.
    all: BTreeSet<String>,
}

impl Former {
    fn read(text: &str) -> Self {
        let mut former = Former::default();
        for line in text.lines() {
            let [fate, key, word] = line.split('\t').collect::<Vec<_>>()[..] else { continue };
            former.all.insert(key.to_owned());
            match fate {
                "unviable" => drop(former.refused.insert(key.to_owned(), word.to_owned())),
                "killed" | "timeout" => {
                    drop(former.killed.insert(key.to_owned(), (fate.to_owned(), word.to_owned())))
                }
                "unswitchable" => {}
                _ => continue,
            }
            former.settled.insert(key.to_owned());
        }
        former
    }
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [tree, list, results, threads, names @ ..] = args.as_slice() else {
        eprintln!("mutation TREE LIST RESULTS THREADS TEST…");
        std::process::exit(2);
    };
    let (tree, results) = (Path::new(tree), PathBuf::from(results));
    let threads: usize = threads.parse().expect("a number of threads");
    let mutants = mutant::read(&fs::read_to_string(list).expect("the list reads"));
    let start = Instant::now();
    eprintln!("{} mutants", mutants.len());

    let former = fs::read_to_string(&results).unwrap_or_default();
    let former = Former::read(&former);
    let measured = results.with_file_name("tests.json");
    let tests = if std::env::var_os("RESUME").is_some() {
        serde_json::from_str(&fs::read_to_string(measured).expect("measured tests")).expect("measured tests")
    } else {
        let again = std::env::var_os("AGAIN").is_some();
        let former = if again { former.clone() } else { Former::default() };
        let prepared = build::prepare(tree, &mutants, &former.refused);
        let _ = fs::remove_file(&results);
        for mutant in &mutants {
            if let Some(why) = prepared.refused.get(&mutant.id) {
                run::append(&results, &format!("unviable\t{}\t{why}", mutant.key));
            } else if prepared.unswitchable.contains(&mutant.id) {
                run::append(&results, &format!("unswitchable\t{}\t", mutant.key));
            } else if let Some(by) = former.killed.get(&mutant.key) {
                run::append(&results, &format!("{}\t{}\t{}", by.0, mutant.key, by.1));
            }
        }
        eprintln!("{:.0} s: builds", start.elapsed().as_secs_f64());
        let programs = build::tests(tree, names);
        eprintln!("{:.0} s: {} test programs", start.elapsed().as_secs_f64(), programs.len());
        let law = |name: &str| {
            let last = name.rsplit("::").next().unwrap_or(name);
            last.starts_with("val_") || last.starts_with("verif_")
        };
        let tests = run::measure(tree, &programs, threads, law);
        fs::write(measured, serde_json::to_string(&tests).expect("JSON")).expect("the tests are written");
        tests
    };
    let total: f64 = tests.iter().map(|t| t.seconds).sum();
    eprintln!(
        "{:.0} s: {} tests come by mutants, {total:.0} s in all",
        start.elapsed().as_secs_f64(),
        tests.len()
    );
    // Those whose fate the file does not tell yet, and its survivors.
    let text = fs::read_to_string(&results).unwrap_or_default();
    let settled = Former::read(&text);
    let rest = std::env::var_os("RESUME").is_some_and(|how| how == "rest");
    if !rest {
        let survives = |line: &str| line.starts_with("survived") || line.starts_with("not reached");
        let kept = text.lines().filter(|line| !survives(line)).map(|line| format!("{line}\n"));
        fs::write(&results, kept.collect::<String>()).expect("the results are written");
    }
    let told = if rest { settled.all } else { settled.settled };
    let left = |m: &&Mutant| !told.contains(&m.key);
    let tried: Vec<&Mutant> = mutants.iter().filter(left).collect();
    let budget_s =
        std::env::var("BUDGET_S").ok().map_or(f64::INFINITY, |text| text.parse().expect("seconds"));
    let lock = Mutex::new(0);
    run::try_all(tree, &tests, &tried, threads, budget_s, |mutant, fate| {
        let line = match fate {
            Fate::Killed(by) => format!("killed\t{}\t{by}", mutant.key),
            Fate::Timeout(by) => format!("timeout\t{}\t{by}", mutant.key),
            Fate::Survived => format!("survived\t{}\t", mutant.key),
            Fate::NotReached => format!("not reached\t{}\t", mutant.key),
        };
        let mut done = lock.lock().expect("no panic");
        run::append(&results, &line);
        *done += 1;
        if *done % 100 == 0 {
            eprintln!("{:.0} s: {done} of {}", start.elapsed().as_secs_f64(), tried.len());
        }
    });
    eprintln!("{:.0} s: done", start.elapsed().as_secs_f64());
    let results = fs::read_to_string(&results).expect("the results read");
    let reasons = fs::read_to_string(tree.join("tests/mutation/reasons.tsv")).unwrap_or_default();
    print!("{}\n{}", table(&results), survivors(&results, &reasons));
}

/// The survivors as a Markdown table, with the reason written down for each, where there is one.
fn survivors(results: &str, reasons: &str) -> String {
    let reasons: BTreeMap<&str, &str> = reasons.lines().filter_map(|line| line.split_once('\t')).collect();
    let mut rows = BTreeSet::new();
    for line in results.lines() {
        let mut fields = line.split('\t');
        let (Some(fate), Some(key)) = (fields.next(), fields.next()) else { continue };
        if ["survived", "not reached", "unswitchable"].contains(&fate) {
            let reason = reasons.get(key).copied().unwrap_or("");
            rows.insert(format!("| {} | {fate} | {reason} |\n", key.replace('|', "\\|")));
        }
    }
    let rows: String = rows.into_iter().collect();
    format!("| mutant | fate | reason |\n|---|---|---|\n{rows}")
}

/// Counts by folder as a Markdown table.
fn table(results: &str) -> String {
    let mut counts: BTreeMap<String, BTreeMap<&str, usize>> = BTreeMap::new();
    for line in results.lines() {
        let mut fields = line.split('\t');
        let (Some(fate), Some(key)) = (fields.next(), fields.next()) else { continue };
        let folder = key.split('/').nth(1).unwrap_or("");
        for row in [folder, "all"] {
            *counts.entry(row.to_owned()).or_default().entry(fate).or_default() += 1;
        }
    }
    let mut text = String::from(
        "| folder | killed | of these by time | survived | of these not reached | unviable | not switchable | share |\n",
    );
    text.push_str("|---|--:|--:|--:|--:|--:|--:|--:|\n");
    let rows: BTreeSet<&String> = counts.keys().filter(|name| *name != "all").collect();
    for row in rows.into_iter().chain(counts.keys().filter(|name| *name == "all")) {
        let of = |fate: &str| counts[row].get(fate).copied().unwrap_or(0);
        let (killed, survived) = (of("killed") + of("timeout"), of("survived") + of("not reached"));
        let share = 100.0 * killed as f64 / (killed + survived).max(1) as f64;
        text.push_str(&format!(
            "| {row} | {killed} | {} | {survived} | {} | {} | {} | {share:.1} % |\n",
            of("timeout"),
            of("not reached"),
            of("unviable"),
            of("unswitchable"),
        ));
    }
    text
}
