//! Whether advice keeps its word: what a test is said to leave of a prediction's variance, against what it leaves of machines that are known.
//!
//! Machines are drawn from what is assumed, read by one test with the errors of its instruments, fitted, and predicted: the mean square of what the prediction is then off by, against
//! the variance that the advice said would be left. What is predicted is the mean of the machines drawn, which is off least in the square; by their median, which the interval shows in the middle,
//! it is told as well. `CALIBRATE_ADVICE` asks for more machines, `CALIBRATE_ADVICE_OF` for one of the two tests; a few are tried without.

use super::demo_machine::demo;
use super::known_machines::{known, machines, seed};
use brusharm::calibrate::{FieldTest, OfWord, advise, field_tests, intervals, written};
use brusharm::coverage::MeasureName;
use brusharm::scenario::Scenario;
use brusharm::study::point::evaluate;
use rayon::prelude::*;

/// A prediction that is off by more is told of, m.
const FAR_M: f64 = 0.05;

/// What the gap is off by after a test, for each machine that counts: by the mean of the machines drawn, and by their median, m.
fn off_m(test: &FieldTest, count: u64) -> Vec<[f64; 2]> {
    let gap = MeasureName::TailGap.whole();
    (seed(20_000)..seed(20_000) + count)
        .into_par_iter()
        .filter_map(|seed| {
            let (known, found) = known(&demo(), &demo(), &test.readings, seed)?;
            let truth = evaluate(&known.machine).value(gap)?;
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
            Some([truth - mean, truth - middle])
        })
        .collect()
}

/// Mean square, and its standard error.
fn mean_square(off: impl Iterator<Item = f64>) -> (f64, f64) {
    let squares: Vec<f64> = off.map(|off| off * off).collect();
    let count = squares.len() as f64;
    let mean = squares.iter().sum::<f64>() / count;
    let spread = squares.iter().map(|square| (square - mean).powi(2)).sum::<f64>() / (count - 1.0);
    (mean, (spread / count).sqrt())
}

/// The gap on the tail of the demo at 140 vehicles an hour: the two tests that are said to take most for each minute leave what they are said to leave, and the first leaves less.
#[test]
fn verif_advice_keeps_its_word() {
    let count = machines("CALIBRATE_ADVICE", 6);
    let (base, uncertainty, _) = brusharm::calibrate::known(&demo()).expect("the demo");
    let gap = MeasureName::TailGap.whole();
    let draws = if count < 100 { 80 } else { 1200 };
    let advice = advise(&base, &uncertainty, OfWord::Both, gap, draws).expect("advice");
    let (_, sd) = advice.spread_si.expect("a gap");
    let tests = field_tests(&base, OfWord::Both);
    let only = std::env::var("CALIBRATE_ADVICE_OF").ok();
    let told: Vec<(f64, f64, f64)> = advice
        .worths
        .iter()
        .take(2)
        .filter(|worth| only.as_ref().is_none_or(|only| worth.test.key == only))
        .map(|worth| {
            let test = tests.iter().find(|test| test.key == worth.test.key).expect("there");
            let predicted = (sd * worth.left).powi(2);
            let off = off_m(test, count);
            let of = off.len();
            let (realised, error) = mean_square(off.iter().map(|off| off[0]));
            let (by_median, _) = mean_square(off.iter().map(|off| off[1]));
            assert!(of as f64 > 0.6 * count as f64, "{}: {of} of {count}", test.key);
            eprintln!(
                "{}: {:.2} mm said to be left, {:.2} mm left of {:.0} mm, variance × {:.3} ± {:.3}, by the median × {:.3}, {of} machines",
                test.key,
                1e3 * predicted.sqrt(),
                1e3 * realised.sqrt(),
                1e3 * sd,
                realised / predicted,
                error / predicted,
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
