//! Whether advice keeps its word: what a test is said to leave of a prediction's variance, against what it leaves of machines that are known.
//!
//! Machines are drawn from what is assumed, read by one test with the errors of its instruments, fitted, and predicted: the mean square of what the prediction is then off by, against
//! the variance that the advice said would be left. What is predicted is the mean of the machines drawn, which is off least in the square; by their median, which the interval shows in the middle,
//! it is told as well. `CALIBRATE_ADVICE` asks for more machines, `CALIBRATE_ADVICE_OF` for one of the two tests; a few are tried without. Three hundred take hours of processor time for each test: how many are
//! done is told, and with `CALIBRATE_ADVICE_KEPT` each is added to a file of its test in that folder, from which a later run goes on. Those
//! last tried are in `tests/calibrate/tried`: what changes the motion, the readings or the fit makes them void.

use super::demo_machine::demo;
use super::known_machines::{known, machines, seed};
use brusharm::calibrate::{
    FieldTest, OfWord, ReadingFile, Simulated, advise, field_tests, intervals, simulated, written,
};
use brusharm::coverage::MeasureName;
use brusharm::scenario::Scenario;
use brusharm::study::point::evaluate;
use rand::{SeedableRng, rngs::ChaCha8Rng};
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fs::{OpenOptions, read_to_string};
use std::io::Write as _;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

/// A prediction that is off by more is told of, m.
const FAR_M: f64 = 0.05;
/// Other machines that tell how lucky those tried were.
const OTHERS: u64 = 4000;

/// A machine that is known: the gap that it leaves, and the mean of what a test read of it, SI.
#[derive(Debug, Clone, Copy)]
struct Read {
    gap_m: f64,
    read: f64,
}

fn gap_and_reading(known: &Simulated) -> Option<Read> {
    let gap_m = evaluate(&known.machine).value(MeasureName::TailGap.whole())?;
    let values: Vec<f64> = match &known.readings.file.readings[..] {
        [ReadingFile::Strip { width, .. }] => width.iter().map(|width| width.si()).collect(),
        [ReadingFile::Chase { delay, .. }] => delay.iter().map(|delay| delay.si()).collect(),
        other => panic!("{other:?}"),
    };
    Some(Read { gap_m, read: values.iter().sum::<f64>() / values.len() as f64 })
}

/// A machine that counts: what it is, and what its gap is off by, by the mean of the machines drawn, and by their median, m.
type Tried = (Read, [f64; 2]);

/// What the gap of a machine is off by after a test. `None` where it does not count.
fn off_m(test: &FieldTest, seed: u64) -> Option<Tried> {
    let gap = MeasureName::TailGap.whole();
    let (known, found) = known(&demo(), &demo(), &test.readings, seed)?;
    let own = gap_and_reading(&known)?;
    let truth = own.gap_m;
    let found = found?;
    let few = found.too_few_draws;
    let new = written(&found, &known.readings.file.readings, "").ok()?;
    let new = Scenario::read_alone(&new, "new.ron").unwrap_or_else(|errors| panic!("{errors}"));
    let all = intervals(&new, 60, 1 + seed).ok()?;
    let line = all.measures.iter().find(|m| m.measure == gap)?;
    let (mean, [low, middle, high]) = (line.mean?, line.quantiles?);
    if (truth - mean).abs() > FAR_M {
        let [truth, mean, low, middle, high] = [truth, mean, low, middle, high].map(|m| 1e3 * m);
        eprintln!(
            "{}, machine {seed}: {truth:.0} mm, predicted {mean:.0}, {middle:.0} ({low:.0} to {high:.0}), too few draws {few:?}",
            test.key
        );
    }
    Some((own, [truth - mean, truth - middle]))
}

/// Machines of a file, by their seeds.
fn kept_machines(text: &str) -> Option<BTreeMap<u64, Option<Tried>>> {
    text.lines().filter(|line| !line.starts_with('#')).map(kept_line).collect()
}

/// Each machine that counts, tried or taken from the file of an earlier run.
fn all_tried(test: &FieldTest, count: u64) -> Vec<Tried> {
    let file = std::env::var_os("CALIBRATE_ADVICE_KEPT")
        .map(|folder| PathBuf::from(folder).join(format!("{}.txt", test.key)));
    let text = file.as_ref().and_then(|file| read_to_string(file).ok()).unwrap_or_default();
    let kept = kept_machines(&text).unwrap_or_else(|| panic!("{file:?}: {text}"));
    let to = file.map(|file| {
        Mutex::new(OpenOptions::new().create(true).append(true).open(file).expect("the folder is there"))
    });
    let done = AtomicU64::new(0);
    (seed(20_000)..seed(20_000) + count)
        .into_par_iter()
        .filter_map(|seed| {
            let before = done.fetch_add(1, Ordering::Relaxed);
            if before.is_multiple_of(25) {
                eprintln!("{}: {before} of {count} machines begun", test.key);
            }
            if let Some(tried) = kept.get(&seed) {
                return *tried;
            }
            let tried = off_m(test, seed);
            if let Some(to) = &to {
                writeln!(to.lock().expect("none panicked"), "{}", line_kept(seed, tried)).expect("written");
            }
            tried
        })
        .collect()
}

/// The line of a machine in the file: its seed, and its numbers if it counts.
fn line_kept(seed: u64, tried: Option<Tried>) -> String {
    let numbers = tried.map_or_else(Vec::new, |(own, off)| vec![own.gap_m, own.read, off[0], off[1]]);
    let numbers: Vec<String> = numbers.iter().map(|number| format!(" {number:?}")).collect();
    format!("{seed}{}", numbers.concat())
}

/// The machine of a line.
fn kept_line(line: &str) -> Option<(u64, Option<Tried>)> {
    let mut words = line.split(' ');
    let seed = words.next()?.parse().ok()?;
    let numbers: Vec<f64> = words.map(|word| word.parse().ok()).collect::<Option<_>>()?;
    match numbers[..] {
        [] => Some((seed, None)),
        [gap_m, read, mean, median] => Some((seed, Some((Read { gap_m, read }, [mean, median])))),
        _ => None,
    }
}

/// What is kept comes back to the bit, and half a line does not.
#[test]
fn verif_a_machine_kept_is_the_one_tried() {
    let tried = (Read { gap_m: 0.1 + 0.2, read: -1.0 / 3.0 }, [1e-17, 5.0]);
    let line = line_kept(7, Some(tried));
    let (seed, back) = kept_line(&line).expect("a line");
    let (own, off) = back.expect("it counts");
    assert!(seed == 7 && own.gap_m == 0.1 + 0.2 && own.read == -1.0 / 3.0 && off == tried.1, "{line}");
    assert!(matches!(kept_line(&line_kept(8, None)), Some((8, None))));
    assert!(kept_line("9 0.3 0.2").is_none() && kept_line("").is_none());
    for text in [include_str!("tried/strip.txt"), include_str!("tried/chase.txt")] {
        let all = kept_machines(text).expect("machines");
        assert!(all.len() == 300 && all.keys().copied().eq(20_000..20_300));
        assert!(all.values().flatten().any(|(own, off)| own.gap_m > 0.3 && off[0] != 0.0));
    }
}

/// Mean, and its standard error.
fn mean(of: &[f64]) -> (f64, f64) {
    let count = of.len() as f64;
    let mean = of.iter().sum::<f64>() / count;
    let spread = of.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0);
    (mean, (spread / count).sqrt())
}

/// Square of what the gap of a machine is off by from the gaps of others that read nearly alike, on a straight line through them, weights by the normal density of a width; without the
/// one that stands at `own`.
fn off_alike(others: &[Read], width: f64, of: Read, own: Option<usize>) -> f64 {
    let near = |other: &Read| (-0.5 * ((other.read - of.read) / width).powi(2)).exp();
    let mut sums = [1e-300, 0.0, 0.0, 0.0, 0.0];
    for other in others.iter().enumerate().filter(|(i, _)| Some(*i) != own).map(|(_, other)| other) {
        let (w, away) = (near(other), other.read - of.read);
        let parts = [1.0, away, other.gap_m, away * away, away * other.gap_m];
        sums.iter_mut().zip(parts).for_each(|(sum, part)| *sum += w * part);
    }
    let [w, away, gap_m, square, product] = sums;
    let (away, gap_m, square, product) = (away / w, gap_m / w, square / w, product / w);
    let slope = (product - away * gap_m) / (square - away * away).max(1e-12);
    (of.gap_m - (gap_m - slope * away)).powi(2)
}

/// Mean square, and its standard error, of what is left of machines tried, less what they had by luck: how far they lie off the gap of others that read alike tells how hard they
/// are, and what that comes to among very many is known (a control variate: A. Owen, Monte Carlo theory, methods and examples, ch. 8; from memory).
fn without_luck(tried: &[Tried], others: &[Read]) -> (f64, f64) {
    let (_, error) = mean(&others.iter().map(|other| other.read).collect::<Vec<f64>>());
    let width = 0.05 * error * (others.len() as f64).sqrt();
    let hard: Vec<f64> =
        others.par_iter().enumerate().map(|(i, other)| off_alike(others, width, *other, Some(i))).collect();
    let (usual, usual_error) = mean(&hard);
    let own: Vec<f64> = tried.iter().map(|(of, _)| off_alike(others, width, *of, None)).collect();
    let (own_mean, _) = mean(&own);
    let squares: Vec<f64> = tried.iter().map(|(_, off)| off[0] * off[0]).collect();
    // By how much the one follows the other: the slope of a line through both.
    let (square_mean, _) = mean(&squares);
    let both: f64 = own.iter().zip(&squares).map(|(a, b)| (a - own_mean) * (b - square_mean)).sum();
    let slope = both / own.iter().map(|a| (a - own_mean).powi(2)).sum::<f64>();
    let rest: Vec<f64> = own.iter().zip(&squares).map(|(a, b)| b - slope * a).collect();
    let (rest_mean, rest_error) = mean(&rest);
    eprintln!(
        "machines that read alike: {:.2} mm apart, {:.2} those tried; slope {slope:.3}",
        1e3 * usual.sqrt(),
        1e3 * own_mean.sqrt()
    );
    (rest_mean + slope * usual, rest_error.hypot(slope * usual_error))
}

/// Were what a prediction is off by just what a machine lies off those that read alike, its mean square without luck is what that comes to among all, however lucky those tried are; with
/// luck it would be a third of that.
#[test]
fn verif_luck_is_taken_off() {
    let mut rng = ChaCha8Rng::seed_from_u64(3);
    let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
    let all: Vec<Read> = (0..1500)
        .map(|_| {
            let read = normal();
            Read { gap_m: read + 0.2 * normal(), read }
        })
        .collect();
    let (_, error) = mean(&all.iter().map(|other| other.read).collect::<Vec<f64>>());
    let width = 0.05 * error * (all.len() as f64).sqrt();
    let lucky = all.iter().filter(|own| (own.gap_m - own.read).abs() < 0.2).take(150);
    let tried: Vec<Tried> = lucky.map(|own| (*own, [off_alike(&all, width, *own, None).sqrt(); 2])).collect();
    let (with_luck, _) = mean(&tried.iter().map(|(_, off)| off[0] * off[0]).collect::<Vec<f64>>());
    let (usual, without) = (0.04, without_luck(&tried, &all).0);
    assert!(tried.len() == 150 && with_luck < 0.5 * usual, "{with_luck}");
    assert!((without / usual - 1.0).abs() < 0.12, "{without}");
}

/// The gap on the tail of the demo at 140 vehicles an hour: the two tests that are said to take most for each minute leave what they are said to leave, and the first leaves less.
#[test]
fn verif_advice_keeps_its_word() {
    let count = machines("CALIBRATE_ADVICE", 6);
    let (base, uncertainty, _) = brusharm::calibrate::known(&demo()).expect("the demo");
    let gap = MeasureName::TailGap.whole();
    let tests = field_tests(&base, OfWord::Both);
    let only = std::env::var("CALIBRATE_ADVICE_OF").ok();
    let ahead = only
        .as_ref()
        .map(|only| all_tried(tests.iter().find(|test| test.key == only).expect("the key of a test"), count));
    // What is left is told by few machines that are far off: of a thousand draws it is known to 8 % of the variance.
    let draws = if count < 100 { 80 } else { 8000 };
    let advice = advise(&base, &uncertainty, OfWord::Both, gap, draws).expect("advice");
    let (_, sd) = advice.spread_si.expect("a gap");
    let told: Vec<(f64, f64, f64)> = advice
        .worths
        .iter()
        .take(2)
        .filter(|worth| only.as_ref().is_none_or(|only| worth.test.key == only))
        .map(|worth| {
            let test = tests.iter().find(|test| test.key == worth.test.key).expect("there");
            let predicted = (sd * worth.left).powi(2);
            let off = ahead.clone().unwrap_or_else(|| all_tried(test, count));
            let of = off.len();
            let square = |k: usize| off.iter().map(|(_, off)| off[k] * off[k]).collect::<Vec<f64>>();
            let ((raw, raw_error), (by_median, _)) = (mean(&square(0)), mean(&square(1)));
            let (realised, error) = if count < 300 {
                (raw, raw_error)
            } else {
                let seeds = seed(60_000)..seed(60_000) + OTHERS;
                let others: Vec<Read> = seeds
                    .into_par_iter()
                    .filter_map(|seed| {
                        let mut rng = ChaCha8Rng::seed_from_u64(seed);
                        let mut normal = || StandardNormal.sample(&mut rng);
                        gap_and_reading(&simulated(&demo(), &test.readings, &mut normal)?)
                    })
                    .collect();
                without_luck(&off, &others)
            };
            assert!(of as f64 > 0.6 * count as f64, "{}: {of} of {count}", test.key);
            eprintln!(
                "{}: {:.2} mm said to be left, {:.2} mm left of {:.0} mm, variance × {:.3} ± {:.3}; as tried × {:.3} ± {:.3}, by the median × {:.3}, {of} machines",
                test.key,
                1e3 * predicted.sqrt(),
                1e3 * realised.sqrt(),
                1e3 * sd,
                realised / predicted,
                error / predicted,
                raw / predicted,
                raw_error / predicted,
                by_median / predicted
            );
            let [told, kept] =
                [worth.left.powi(2), realised / (sd * sd)].map(|left| (1.0 - left) / test.minutes);
            (told, kept, realised / predicted)
        })
        .collect();
    // A handful of machines tells the size, three hundred the order and how exactly the word is kept.
    assert!(count < 300 || told.iter().all(|of| (0.88..=1.13).contains(&of.2)), "{told:?}");
    let [first, second] = told[..] else {
        assert!(only.is_some() && told.len() == 1, "{told:?}");
        return;
    };
    assert!(first.0 >= second.0 && first.0 > 0.0);
    if count >= 300 {
        assert!(first.1 > second.1, "{told:?}");
    } else {
        assert!(first.1 > 0.0, "{told:?}");
    }
}
