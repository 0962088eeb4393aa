//! Runs the tests of laws against each mutant, those that come by it, quickest and likeliest first.

use crate::mutant::Mutant;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Write;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

/// Memory a test may take, KiB: a mutant that fills the machine is stopped there.
const MEMORY_KIB: u32 = 4_000_000;

/// A test may take this much of a processor with no mutant on, s, unless told.
const LONGEST_S: f64 = 20.0;

fn longest_s() -> f64 {
    std::env::var("LONGEST_S").ok().map_or(LONGEST_S, |text| text.parse().expect("seconds"))
}

/// One test function.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Test {
    pub program: PathBuf,
    pub name: String,
    /// Processor time it takes with no mutant on, s.
    pub seconds: f64,
    /// Mutants it comes by.
    pub reached: BTreeSet<u32>,
}

/// What was measured of the tests, and of which mutants: name and hash by number, from 1.
#[derive(Debug, Default, Serialize, Deserialize)]
pub struct Measured {
    pub mutants: Vec<(String, String)>,
    pub tests: Vec<Test>,
}

impl Measured {
    /// Takes over the time of a test, and what it came by: of a function that has changed since, all or nothing.
    fn taken_over(&self, label: &str, mutants: &[Mutant]) -> Option<Test> {
        let was = self.tests.iter().find(|test| test.label() == label)?;
        let reached = was.reached.iter().map(|id| &self.mutants[*id as usize - 1]);
        let reached: BTreeSet<(&str, &str)> = reached.map(|(key, text)| (&**key, &**text)).collect();
        let function = |key: &str| {
            key.rsplit_once(" in ").map(|(change, place)| {
                let file = change.split(':').next().unwrap_or("");
                format!("{file} {}", place.split(" #").next().unwrap_or(place))
            })
        };
        let known: BTreeSet<(&str, &str)> =
            self.mutants.iter().map(|(key, text)| (&**key, &**text)).collect();
        let functions: BTreeSet<String> = reached.iter().filter_map(|(key, _)| function(key)).collect();
        let comes_by = |mutant: &&Mutant| {
            let own = (&*mutant.key, &*mutant.text);
            match known.contains(&own) {
                true => reached.contains(&own),
                false => functions.contains(&format!("{} {}", mutant.file, mutant.function_name())),
            }
        };
        let reached = mutants.iter().filter(comes_by).map(|mutant| mutant.id).collect();
        Some(Test { reached, ..was.clone() })
    }
}

/// Program, without the hash that cargo gives it, and name.
fn label(program: &Path, name: &str) -> String {
    let program = program.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let program = program.rsplit_once('-').map_or(program.clone(), |(name, _)| name.to_owned());
    format!("{program}::{name}")
}

impl Test {
    /// Program and name.
    pub fn label(&self) -> String {
        label(&self.program, &self.name)
    }

    /// Processor time it may take with a mutant on, whole seconds.
    fn limit_s(&self) -> u32 {
        (2.0 + 4.0 * self.seconds).ceil() as u32
    }
}

/// How a mutant ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Fate {
    Killed(String),
    Timeout(String),
    /// Tests come by it, none fails.
    Survived,
    /// Survived what the budget allowed, or the programs named: so many of their tests were left out, after so long.
    Open(usize, f64),
    /// No test comes by it.
    NotReached,
}

enum Ended {
    Passed,
    Failed,
    Late,
}

/// SIGXCPU and SIGKILL: what the limit of processor time, or the backstop, ends a test with.
const STOPPED: [i32; 2] = [24, 9];

fn run_one(tree: &Path, program: &Path, name: &str, switch: (&str, &str), limit_s: u32) -> Ended {
    let script = format!(
        "ulimit -v {MEMORY_KIB}; ulimit -c 0; ulimit -t {limit_s}; exec \"$0\" --exact \"$1\" --test-threads=1 -q"
    );
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
    // A backstop for a test that waits for ever and takes no time.
    let backstop = Duration::from_secs(60 + 20 * u64::from(limit_s));
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait().expect("a test ends") {
            let stopped = status.signal().is_some_and(|signal| STOPPED.contains(&signal));
            return match status.success() {
                true => Ended::Passed,
                false if stopped => Ended::Late,
                false => Ended::Failed,
            };
        }
        if start.elapsed() > backstop {
            child.kill().expect("a test is stopped");
            child.wait().expect("a stopped test ends");
            return Ended::Late;
        }
        let pause = start.elapsed().as_millis() / 10;
        thread::sleep(Duration::from_millis(pause.clamp(1, 50) as u64));
    }
}

/// Processor time of the children that ended so far, s. With one thread, the difference round a test is that test's.
fn children_s() -> f64 {
    // «comm» may hold spaces; the fields behind it begin with the state. Children's user and system time are the 16th and 17th of all.
    let stat = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = stat.rsplit_once(')').map_or("", |(_, rest)| rest).split_whitespace();
    let ticks: f64 = fields.skip(13).take(2).filter_map(|field| field.parse::<f64>().ok()).sum();
    ticks / 100.0
}

/// The tests of laws in the programs that end within [`LONGEST_S`], each run twice with no mutant on: its time and what it comes by. What those
/// come by that `before` holds is taken over from there.
pub fn measure(
    tree: &Path,
    programs: &[PathBuf],
    mutants: &[Mutant],
    before: &Measured,
    keep: impl Fn(&str) -> bool,
) -> Vec<Test> {
    let mut tests = Vec::new();
    for program in programs {
        let list = Command::new(program).args(["--list", "--format", "terse"]).current_dir(tree).output();
        let list = String::from_utf8(list.expect("a list of tests").stdout).expect("text");
        for name in list.lines().filter_map(|line| line.strip_suffix(": test")).filter(|name| keep(name)) {
            let known = before.taken_over(&label(program, name), mutants);
            match measure_one(tree, program, name, known) {
                Ok(test) if test.reached.is_empty() => {}
                Ok(test) => tests.push(test),
                Err(why) => eprintln!("left out, {why}: {}: {name}", program.display()),
            }
        }
    }
    tests.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    tests
}

fn measure_one(tree: &Path, program: &Path, name: &str, known: Option<Test>) -> Result<Test, &'static str> {
    let before_s = children_s();
    let ended = run_one(tree, program, name, ("MUTATION_ON", "0"), longest_s() as u32);
    let seconds = children_s() - before_s;
    match ended {
        Ended::Passed => {}
        Ended::Failed => return Err("fails with no mutant on"),
        Ended::Late => return Err("takes too long"),
    }
    if let Some(test) = known {
        return Ok(Test { program: program.to_owned(), seconds, ..test });
    }
    let file = tree.parent().expect("a parent").join("reached.log");
    let _ = fs::remove_file(&file);
    let switch = ("MUTATION_LOG", file.to_str().expect("text"));
    if !matches!(run_one(tree, program, name, switch, 10 * longest_s() as u32), Ended::Passed) {
        return Err("fails when logged");
    }
    let text = fs::read_to_string(&file).unwrap_or_default();
    let reached = text.lines().filter_map(|line| line.parse().ok()).collect();
    Ok(Test { program: program.to_owned(), name: name.to_owned(), seconds, reached })
}

/// How often each test, by its label, has killed in a place: a function, a file, a folder.
#[derive(Debug, Default)]
pub struct Kills(BTreeMap<String, BTreeMap<String, f64>>);

impl Kills {
    fn places(mutant: &Mutant) -> [(String, f64); 3] {
        [
            (format!("{} {}", mutant.file, mutant.function_name()), 4.0),
            (mutant.file.clone(), 1.0),
            (mutant.folder().to_owned(), 0.3),
        ]
    }

    /// Notes a kill.
    pub fn note(&mut self, mutant: &Mutant, test: &str) {
        for (place, _) in Self::places(mutant) {
            *self.0.entry(place).or_default().entry(test.to_owned()).or_default() += 1.0;
        }
    }

    /// What a test is worth against a mutant: its shares of the kills in the function, the file and the folder, weighed.
    fn worth(&self, mutant: &Mutant) -> BTreeMap<&str, f64> {
        let mut worth = BTreeMap::new();
        for (place, weight) in Self::places(mutant) {
            let Some(counts) = self.0.get(&place) else { continue };
            let all: f64 = counts.values().sum();
            for (test, count) in counts {
                *worth.entry(test.as_str()).or_default() += weight * count / all;
            }
        }
        worth
    }
}

/// What to try with, and how long.
pub struct Trial<'a> {
    pub tree: &'a Path,
    pub tests: &'a [Test],
    pub threads: usize,
    /// Processor time for each mutant, s.
    pub budget_s: f64,
    /// Whether there are other tests than those given.
    pub some: bool,
    /// Tests that each mutant, by name, is known to pass.
    pub passed: BTreeMap<String, BTreeSet<String>>,
    /// Where passes are noted.
    pub passes: PathBuf,
}

/// Tries every mutant given; `report` hears of each as it ends.
pub fn try_all(trial: &Trial<'_>, mutants: &[&Mutant], kills: Kills, report: impl Fn(&Mutant, &Fate) + Sync) {
    let next = AtomicUsize::new(0);
    let kills = Mutex::new(kills);
    let labels: Vec<String> = trial.tests.iter().map(Test::label).collect();
    thread::scope(|scope| {
        for _ in 0..trial.threads {
            scope.spawn(|| {
                while let Some(mutant) = mutants.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let fate = try_mutant(trial, &labels, mutant, &kills);
                    if let Fate::Killed(by) | Fate::Timeout(by) = &fate {
                        kills.lock().expect("no panic").note(mutant, by);
                    }
                    report(mutant, &fate);
                }
            });
        }
    });
}

fn try_mutant(trial: &Trial<'_>, labels: &[String], mutant: &Mutant, kills: &Mutex<Kills>) -> Fate {
    let tests = trial.tests;
    let mut order: Vec<usize> = (0..tests.len()).filter(|i| tests[*i].reached.contains(&mutant.id)).collect();
    if order.is_empty() {
        return if trial.some { Fate::Open(0, trial.budget_s) } else { Fate::NotReached };
    }
    if let Some(passed) = trial.passed.get(&mutant.key) {
        order.retain(|i| !passed.contains(&labels[*i]));
    }
    {
        let kills = kills.lock().expect("no panic");
        let worth = kills.worth(mutant);
        let own = |i: &usize| if labels[*i].contains(mutant.folder()) { 0.15 } else { 0.0 };
        let cost = |i: &usize| {
            let known = worth.get(labels[*i].as_str()).copied().unwrap_or(0.0);
            (tests[*i].seconds + 0.02) / (0.05 + own(i) + known)
        };
        order.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
    }
    let (mut spent_s, mut left, mut passed) = (0.0, 0, String::new());
    let mut fate = None;
    for index in order {
        let test = &tests[index];
        if spent_s + test.seconds > trial.budget_s {
            left += 1;
            continue;
        }
        spent_s += test.seconds;
        let switch = ("MUTATION_ON", &*mutant.id.to_string());
        match run_one(trial.tree, &test.program, &test.name, switch, test.limit_s()) {
            Ended::Passed => passed.push_str(&format!("{}\t{}\n", mutant.key, labels[index])),
            Ended::Failed => fate = Some(Fate::Killed(test.label())),
            Ended::Late => fate = Some(Fate::Timeout(test.label())),
        }
        if let Some(fate) = fate {
            return fate;
        }
    }
    append(&trial.passes, &passed);
    if left > 0 || trial.some { Fate::Open(left, trial.budget_s) } else { Fate::Survived }
}

/// Appends to a file that outlives a broken run.
pub fn append(path: &Path, text: &str) {
    let file = fs::OpenOptions::new().create(true).append(true).open(path);
    file.and_then(|mut file| file.write_all(text.as_bytes())).expect("the results are written");
}
