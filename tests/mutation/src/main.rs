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

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [tree, list, results, threads, tests @ ..] = args.as_slice() else {
        eprintln!("mutation TREE LIST RESULTS THREADS TEST…");
        std::process::exit(2);
    };
    let (tree, results) = (Path::new(tree), PathBuf::from(results));
    let threads: usize = threads.parse().expect("a number of threads");
    let mutants = mutant::read(&fs::read_to_string(list).expect("the list reads"));
    let start = Instant::now();
    eprintln!("{} mutants", mutants.len());

    // What a former run found stands, where only tests were added: `AGAIN=1` tries the survivors.
    let former = if std::env::var_os("AGAIN").is_some() { fs::read_to_string(&results).ok() } else { None };
    let former = former.unwrap_or_default();
    let mut refused = BTreeMap::new();
    let mut settled = BTreeMap::new();
    for line in former.lines() {
        let fields: Vec<&str> = line.split('\t').collect();
        match fields[..] {
            ["unviable", key, why] => drop(refused.insert(key.to_owned(), why.to_owned())),
            ["killed" | "timeout", key, _] => drop(settled.insert(key.to_owned(), line)),
            _ => {}
        }
    }
    let prepared = build::prepare(tree, &mutants, &refused);
    let _ = fs::remove_file(&results);
    for line in mutants.iter().filter_map(|m| settled.get(&m.key)) {
        run::append(&results, line);
    }
    for mutant in &mutants {
        if let Some(why) = prepared.refused.get(&mutant.id) {
            run::append(&results, &format!("unviable\t{}\t{why}", mutant.key));
        } else if prepared.unswitchable.contains(&mutant.id) {
            run::append(&results, &format!("unswitchable\t{}\t", mutant.key));
        }
    }
    eprintln!("{:.0} s: builds", start.elapsed().as_secs_f64());
    let programs = build::tests(tree, tests);
    eprintln!("{:.0} s: {} test programs", start.elapsed().as_secs_f64(), programs.len());

    let law = |name: &str| {
        let last = name.rsplit("::").next().unwrap_or(name);
        last.starts_with("val_") || last.starts_with("verif_")
    };
    let tests = run::measure(tree, &programs, threads, law);
    let lines: Vec<String> =
        tests.iter().map(|t| format!("{:.3}\t{}\t{}\n", t.seconds, t.reached.len(), t.label())).collect();
    fs::write(results.with_file_name("tests.tsv"), lines.concat()).expect("the list of tests is written");
    let total: f64 = tests.iter().map(|t| t.seconds).sum();
    eprintln!(
        "{:.0} s: {} tests come by mutants, {total:.0} s in all",
        start.elapsed().as_secs_f64(),
        tests.len()
    );
    let left = |m: &&Mutant| {
        !prepared.refused.contains_key(&m.id)
            && !prepared.unswitchable.contains(&m.id)
            && !settled.contains_key(&m.key)
    };
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
