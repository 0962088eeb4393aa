//! The file of results: one line for each mutant, «fate, mutant, hash of its function, killer or reason», and the tables made from it.

use crate::mutant::{self, Mutant};
use crate::run::Fate;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// What is known of one mutant.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    pub fate: String,
    pub text: String,
    pub word: String,
}

impl Known {
    /// Whether it needs no trying.
    pub fn settled(&self) -> bool {
        ["killed", "timeout", "unviable", "unswitchable"].contains(&self.fate.as_str())
    }

    pub fn is_kill(&self) -> bool {
        ["killed", "timeout"].contains(&self.fate.as_str())
    }
}

/// By the mutant's name.
pub type Results = BTreeMap<String, Known>;

/// The line for a fate.
pub fn line(mutant: &Mutant, fate: &str, word: &str) -> String {
    format!("{fate}\t{}\t{}\t{word}\n", mutant.key, mutant.text)
}

/// The line for how a mutant ended.
pub fn fate_line(mutant: &Mutant, fate: &Fate) -> String {
    match fate {
        Fate::Killed(by) => line(mutant, "killed", by),
        Fate::Timeout(by) => line(mutant, "timeout", by),
        Fate::Survived => line(mutant, "survived", ""),
        Fate::Open(left, budget_s) => {
            line(mutant, "open", &format!("after {budget_s:.0} s; {left} tests left out"))
        }
        Fate::NotReached => line(mutant, "not reached", ""),
    }
}

/// Reads a file of results; of several lines for one mutant the last counts.
pub fn read(text: &str) -> Results {
    let mut results = Results::new();
    for line in text.lines() {
        if let [fate, key, hash, word] = line.split('\t').collect::<Vec<_>>()[..] {
            let known = Known { fate: fate.to_owned(), text: hash.to_owned(), word: word.to_owned() };
            results.insert(key.to_owned(), known);
        }
    }
    results
}

/// Writes the file anew: every mutant of the list in its order, «untried» where nothing is known of its function as it is.
///
/// Results of folders that are not in the list stay.
pub fn settle(path: &Path, mutants: &[Mutant]) -> Results {
    let known = read(&fs::read_to_string(path).unwrap_or_default());
    let listed: BTreeSet<&str> = mutants.iter().map(Mutant::folder).collect();
    let mut lines: Vec<(String, usize, String)> = Vec::new();
    for (key, was) in &known {
        if !listed.contains(key.split('/').nth(1).unwrap_or("")) {
            let file = key.split(':').next().unwrap_or("").to_owned();
            lines.push((file, 0, format!("{}\t{key}\t{}\t{}\n", was.fate, was.text, was.word)));
        }
    }
    let mut kept = Results::new();
    for (place, mutant) in mutants.iter().enumerate() {
        let text = match known.get(&mutant.key).filter(|was| was.text == mutant.text) {
            Some(was) => {
                kept.insert(mutant.key.clone(), was.clone());
                line(mutant, &was.fate, &was.word)
            }
            None => line(mutant, "untried", ""),
        };
        lines.push((mutant.file.clone(), place, text));
    }
    lines.sort();
    let text: String = lines.into_iter().map(|(.., text)| text).collect();
    fs::write(path, text).expect("the results are written");
    kept
}

/// Counts by folder and the survivors with their reasons, as Markdown.
pub fn tables(results: &Results, reasons: &str) -> String {
    let reasons: BTreeMap<&str, &str> = reasons.lines().filter_map(|line| line.split_once('\t')).collect();
    format!("{}\n{}", counts(results, &reasons), survivors(results, &reasons))
}

fn counts(results: &Results, reasons: &BTreeMap<&str, &str>) -> String {
    let without_effect = |key: &str| reasons.get(key).is_some_and(|reason| reason.starts_with("proved"));
    let mut rows: BTreeMap<&str, BTreeMap<&str, usize>> = BTreeMap::new();
    let mut all: BTreeMap<&str, usize> = BTreeMap::new();
    for (key, known) in results {
        let folder = key.split('/').nth(1).unwrap_or("");
        *rows.entry(folder).or_default().entry(&known.fate).or_default() += 1;
        *all.entry(&known.fate).or_default() += 1;
    }
    let mut text = String::from(
        "| folder | viable and tried | killed | of these by time | survived all tests | survived a part of them | untried | killed, at least, of \
         the sample | without those proved to do nothing | unviable | not switchable |\n\
         |---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|\n",
    );
    for (name, row) in rows.iter().map(|(name, row)| (*name, row)).chain([("all", &all)]) {
        let of = |fate: &str| row.get(fate).copied().unwrap_or(0);
        let killed = of("killed") + of("timeout");
        let survived = of("survived") + of("not reached");
        let tried = killed + survived + of("open");
        let [share, without] = match name {
            "all" => ["—".to_owned(), "—".to_owned()],
            _ => [sampled(results, name, &|_| false), sampled(results, name, &without_effect)],
        };
        text.push_str(&format!(
            "| {name} | {tried} | {killed} | {} | {survived} | {} | {} | {share} | {without} | {} | {} |\n",
            of("timeout"),
            of("open"),
            of("untried"),
            of("unviable"),
            of("unswitchable"),
        ));
    }
    text
}

/// Share killed of a folder's viable mutants: of all where all were tried, else of those at the front of the order by chance, up to the first that
/// was not tried. What survived a part of the tests counts as not killed, so the share is at least this.
fn sampled(results: &Results, folder: &str, left_out: &dyn Fn(&str) -> bool) -> String {
    let own = results.iter().filter(|(key, known)| {
        key.split('/').nth(1) == Some(folder)
            && !["unviable", "unswitchable"].contains(&known.fate.as_str())
            && (known.is_kill() || !left_out(key))
    });
    let mut own: Vec<(&String, &Known)> = own.collect();
    own.sort_by_key(|(key, _)| (mutant::chance(key), *key));
    let all = own.len();
    let n = own.iter().position(|(_, known)| known.fate == "untried").unwrap_or(all);
    let killed = own[..n].iter().filter(|(_, known)| known.is_kill()).count();
    format!("{killed} of {n}: {}", share(killed, n, n < all))
}

/// Share in per cent; of a sample with Wilson's interval at 95 % (E. B. Wilson, «Probable inference, the law of succession, and statistical
/// inference», Journal of the American Statistical Association 22, 1927; title and year from memory).
fn share(killed: usize, tried: usize, sample: bool) -> String {
    if tried == 0 {
        return "—".to_owned();
    }
    let (n, p, z) = (tried as f64, killed as f64 / tried as f64, 1.959_964);
    if !sample {
        return format!("{:.1} %", 100.0 * p);
    }
    let middle = (p + z * z / (2.0 * n)) / (1.0 + z * z / n);
    let half = z / (1.0 + z * z / n) * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    format!("{:.1} % ({:.1} … {:.1})", 100.0 * p, 100.0 * (middle - half), 100.0 * (middle + half))
}

fn survivors(results: &Results, reasons: &BTreeMap<&str, &str>) -> String {
    let mut text = String::from("| mutant | fate | reason |\n|---|---|---|\n");
    for (key, known) in results {
        if ["survived", "not reached", "open", "unswitchable"].contains(&known.fate.as_str()) {
            let reason = reasons.get(key.as_str()).copied().unwrap_or("");
            text.push_str(&format!("| {} | {} | {reason} |\n", key.replace('|', "\\|"), known.fate));
        }
    }
    text
}

/// Puts the tables between the marks of the page.
pub fn into_page(page: &Path, tables: &str) {
    const MARKS: [&str; 2] = ["<!-- results -->\n", "<!-- end of results -->\n"];
    let text = fs::read_to_string(page).expect("the page reads");
    let (before, rest) = text.split_once(MARKS[0]).expect("the page has the first mark");
    let (_, after) = rest.split_once(MARKS[1]).expect("the page has the last mark");
    fs::write(page, format!("{before}{}{tables}{}{after}", MARKS[0], MARKS[1])).expect("the page is written");
}
