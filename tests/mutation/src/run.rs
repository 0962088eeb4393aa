//! Runs the tests of laws against each mutant, those that come by it, quickest and likeliest first.

use crate::mutant::Mutant;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

/// Memory a test may take, KiB: a mutant that fills the machine is stopped there.
const MEMORY_KIB: u32 = 4_000_000;

/// A test may take this long with no mutant on.
const LONGEST: Duration = Duration::from_secs(20);

/// One test function.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Test {
    pub program: PathBuf,
    pub name: String,
    /// Time it takes with no mutant on, s.
    pub seconds: f64,
    /// Mutants it comes by.
    pub reached: BTreeSet<u32>,
}

impl Test {
    /// Program and name.
    pub fn label(&self) -> String {
        let program = self.program.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        let program = program.rsplit_once('-').map_or(program.clone(), |(name, _)| name.to_owned());
        format!("{program}::{}", self.name)
    }
}

/// How a mutant ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Fate {
    Killed(String),
    Timeout(String),
    /// Tests come by it, none fails.
    Survived,
    /// No test comes by it.
    NotReached,
}

enum Ended {
    Passed,
    Failed,
    Late,
}

fn run_one(tree: &Path, program: &Path, name: &str, switch: (&str, &str), limit: Duration) -> Ended {
    let script = format!("ulimit -v {MEMORY_KIB}; exec \"$0\" --exact \"$1\" --test-threads=1 -q");
    let mut child = Command::new("sh")
        .args(["-c", &script])
        .arg(program)
        .arg(name)
        .current_dir(tree)
        .env(switch.0, switch.1)
        .env("INSTA_FORCE_PASS", "1")
        .env("INSTA_UPDATE", "no")
        .env("PROPTEST_MAX_SHRINK_ITERS", "0")
        .env("RAYON_NUM_THREADS", "1")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("a test starts");
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait().expect("a test ends") {
            return if status.success() { Ended::Passed } else { Ended::Failed };
        }
        if start.elapsed() > limit {
            child.kill().expect("a test is stopped");
            child.wait().expect("a stopped test ends");
            return Ended::Late;
        }
        let pause = start.elapsed().as_millis() / 10;
        thread::sleep(Duration::from_millis(pause.clamp(1, 50) as u64));
    }
}

/// The tests of laws in the programs that end within [`LONGEST`], each run twice with no mutant on: its time and what it comes by.
pub fn measure(tree: &Path, programs: &[PathBuf], threads: usize, keep: impl Fn(&str) -> bool) -> Vec<Test> {
    let mut named = Vec::new();
    for program in programs {
        let list = Command::new(program).args(["--list", "--format", "terse"]).current_dir(tree).output();
        let list = String::from_utf8(list.expect("a list of tests").stdout).expect("text");
        let names = list.lines().filter_map(|line| line.strip_suffix(": test")).filter(|name| keep(name));
        named.extend(names.map(|name| (program.clone(), name.to_owned())));
    }
    let (next, tests) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some((program, name)) = named.get(next.fetch_add(1, Ordering::Relaxed)) {
                    match measure_one(tree, program, name) {
                        Ok(test) if test.reached.is_empty() => {}
                        Ok(test) => tests.lock().expect("no panic").push(test),
                        Err(why) => eprintln!("left out, {why}: {}: {name}", program.display()),
                    }
                }
            });
        }
    });
    let mut tests = tests.into_inner().expect("no panic");
    tests.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    tests
}

fn measure_one(tree: &Path, program: &Path, name: &str) -> Result<Test, &'static str> {
    let start = Instant::now();
    let ended = run_one(tree, program, name, ("MUTATION_ON", "0"), LONGEST);
    let seconds = start.elapsed().as_secs_f64();
    match ended {
        Ended::Passed => {}
        Ended::Failed => return Err("fails with no mutant on"),
        Ended::Late => return Err("takes too long"),
    }
    let file = tempfile(tree, name);
    let _ = fs::remove_file(&file);
    let switch = ("MUTATION_LOG", file.to_str().expect("text"));
    if !matches!(run_one(tree, program, name, switch, 10 * LONGEST), Ended::Passed) {
        return Err("fails when logged");
    }
    let text = fs::read_to_string(&file).unwrap_or_default();
    let reached = text.lines().filter_map(|line| line.parse().ok()).collect();
    Ok(Test { program: program.to_owned(), name: name.to_owned(), seconds, reached })
}

fn tempfile(tree: &Path, name: &str) -> PathBuf {
    tree.parent().expect("a parent").join(format!("{}.log", name.replace("::", "-")))
}

/// Tries every mutant given; `report` hears of each as it ends.
pub fn try_all(
    tree: &Path,
    tests: &[Test],
    mutants: &[&Mutant],
    threads: usize,
    budget_s: f64,
    report: impl Fn(&Mutant, &Fate) + Sync,
) {
    let next = AtomicUsize::new(0);
    // How often each test has killed in a function: asked first there.
    let kills: Mutex<BTreeMap<String, BTreeMap<usize, usize>>> = Mutex::new(BTreeMap::new());
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(mutant) = mutants.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let place = format!("{} {}", mutant.file, mutant.function_name());
                    let known = kills.lock().expect("no panic").get(&place).cloned().unwrap_or_default();
                    let (fate, killer) = try_mutant(tree, budget_s, tests, mutant, &known);
                    if let Some(killer) = killer {
                        let mut kills = kills.lock().expect("no panic");
                        *kills.entry(place).or_default().entry(killer).or_default() += 1;
                    }
                    report(mutant, &fate);
                }
            });
        }
    });
}

fn try_mutant(
    tree: &Path,
    budget_s: f64,
    tests: &[Test],
    mutant: &Mutant,
    known: &BTreeMap<usize, usize>,
) -> (Fate, Option<usize>) {
    let mut order: Vec<usize> = (0..tests.len()).filter(|i| tests[*i].reached.contains(&mutant.id)).collect();
    if order.is_empty() {
        return (Fate::NotReached, None);
    }
    // A test that has killed here n times is worth n + 1 of the same length.
    order.sort_by(|a, b| {
        let cost =
            |i: &usize| (tests[*i].seconds + 0.02) / (1.0 + 4.0 * known.get(i).copied().unwrap_or(0) as f64);
        cost(a).total_cmp(&cost(b))
    });
    let mut spent_s = 0.0;
    for index in order {
        let test = &tests[index];
        spent_s += test.seconds;
        if spent_s > budget_s {
            return (Fate::Survived, None);
        }
        let limit = Duration::from_secs_f64(5.0 + 10.0 * test.seconds);
        match run_one(tree, &test.program, &test.name, ("MUTATION_ON", &mutant.id.to_string()), limit) {
            Ended::Passed => {}
            Ended::Failed => return (Fate::Killed(test.label()), Some(index)),
            Ended::Late => return (Fate::Timeout(test.label()), Some(index)),
        }
    }
    (Fate::Survived, None)
}

/// Appends one line to a file that outlives a broken run.
pub fn append(path: &Path, line: &str) {
    let file = fs::OpenOptions::new().create(true).append(true).open(path);
    file.and_then(|mut file| writeln!(file, "{line}")).expect("the results are written");
}
