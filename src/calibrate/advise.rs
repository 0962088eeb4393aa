//! Which test to make next: the one that takes most of the variance of a prediction for each minute.
//!
//! Machines are drawn from what is known of this one; of each the prediction g is computed, and what every test would read, y. With the covariances of
//! the draws, S, and that of the instruments, R, the best linear answer to y is
//!
//! t = bᵀ y,  b = (S_yy + R)⁻¹ s_yg,  read with an error of the variance ν = bᵀ R b.
//!
//! A gap ends at nothing, so that a strip that was not there tells all: g is not straight in t. What a test leaves of the variance of g is how far g lies off
//! a smooth curve over t + error (locally straight, weights by the normal density of a width), each machine off the curve of all others (less what
//! the few near it add by chance), in the mean over the machines and a few errors drawn for each; of some widths the one that leaves least, the widest of which is the straight line. What a test of m values seems
//! to explain in n draws by chance alone is taken off: the share left is divided by 1 − m/(n − 1) (the adjusted R² of regression).
//! Sources: A. Gelman, J. Hill, Regression and multilevel models, ch. 3; W. S. Cleveland, J. Am. Stat. Assoc. 74:829-836 (1979) for local lines (from memory).

use super::field_test::{FieldTest, count, field_tests};
use super::forward::{Seat, of_pass, passed, predicted};
use super::interval::Draws;
use super::machine::{Machine, Row, Shared};
use super::reading_values::{side, values};
use super::readings_file::{OfWord, ReadingFile};
use crate::coverage::measure::Measure;
use crate::elementary::Elementary;
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::scenario::calibration::Uncertainty;
use crate::study::point::{PointResult, evaluate};
use nalgebra::{DMatrix, DVector};
use rand::{SeedableRng, rngs::ChaCha8Rng};
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// What a test is worth.
#[derive(Debug, Clone)]
pub struct Worth {
    /// The test.
    pub test: FieldTest,
    /// Standard deviation of the prediction after it over that before it.
    pub left: f64,
    /// Share of the variance that it takes, for each minute.
    pub per_minute: f64,
}

/// Advice.
#[derive(Debug, Clone)]
pub struct Advice {
    /// The prediction.
    pub measure: Measure,
    /// Its mean and standard deviation over the machines drawn, SI; none where too few have it.
    pub spread_si: Option<(f64, f64)>,
    /// Machines drawn that have it.
    pub draws: usize,
    /// Tests, the one worth most for each minute first.
    pub worths: Vec<Worth>,
}

/// Draws of which advice is made.
pub const ADVICE_DRAWS: u32 = 160;

/// What each test would do for a prediction of a scenario whose settings may be off so far.
///
/// # Errors
/// [`Diagnostics`] of the scenario.
pub fn advise(
    base: &Scenario,
    uncertainty: &Uncertainty,
    of: OfWord,
    measure: Measure,
    draws: u32,
) -> Result<Advice, Diagnostics> {
    let tests = field_tests(base, of);
    let drawn = Draws::new(base, uncertainty, 2)?;
    // One row of the table: the prediction, then what each test would read.
    let table: Vec<(f64, Vec<Option<Vec<f64>>>)> = (0..drawn.at_most(draws))
        .into_par_iter()
        .filter_map(|draw| {
            let machine = drawn.machine(draw)?;
            let measured = evaluate(&machine).value(measure)?;
            let mut passes = Vec::new();
            let mut told = |test: &FieldTest| told(&machine, test, &mut passes);
            Some((measured, tests.iter().map(&mut told).collect()))
        })
        .collect();
    let values: Vec<f64> = table.iter().map(|(g, _)| *g).collect();
    let mut worths: Vec<Worth> = Vec::new();
    for (place, test) in tests.into_iter().enumerate() {
        let rows: Vec<(f64, &Vec<f64>)> =
            table.iter().filter_map(|(g, told)| Some((*g, told[place].as_ref()?))).collect();
        if rows.len() < super::interval::FEWEST as usize {
            continue;
        }
        let g = DVector::from_iterator(rows.len(), rows.iter().map(|(g, _)| *g));
        let y = DMatrix::from_fn(rows.len(), rows[0].1.len(), |i, k| rows[i].1[k]);
        let Some(left) = left_after(&g, &y, &noise(base, &test)) else { continue };
        let per_minute = (1.0 - left * left) / test.minutes;
        worths.push(Worth { test, left, per_minute });
    }
    worths.sort_by(|a, b| b.per_minute.total_cmp(&a.per_minute));
    let spread_si = (values.len() >= super::interval::FEWEST as usize).then(|| {
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        (mean, (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt())
    });
    Ok(Advice { measure, spread_si, draws: values.len(), worths })
}

/// Passes of a machine with the vehicle as it was seen, once for each way.
type Passes = Vec<(Seat, Option<PointResult>)>;

/// What a test would read on a machine, repeats once. A pass is read as the test is written, not at the speed of a prediction: a gap jumps on a tenth of a percent of it.
fn told(machine: &Scenario, test: &FieldTest, passes: &mut Passes) -> Option<Vec<f64>> {
    let file = &test.readings.file;
    let mut all = Vec::new();
    for reading in &file.readings {
        let side = side(file, reading);
        if let Some(seat) = Seat::of(reading) {
            let known = passes.iter().position(|(other, _)| *other == seat);
            let place = known.unwrap_or_else(|| {
                let pass = seat.put(machine).map(|seated| passed(&seated));
                passes.push((seat, pass));
                passes.len() - 1
            });
            all.push(of_pass(reading, side, passes[place].1.as_ref()?)?);
        } else {
            let read: Vec<f64> = values(reading).iter().map(|v| v.si).collect();
            all.extend(predicted(machine, side, reading, &read)?.iter().take(distinct(reading)));
        }
    }
    Some(all)
}

/// Values of a reading that are not repeats of one.
fn distinct(reading: &ReadingFile) -> usize {
    match reading {
        ReadingFile::Film { .. } => count(reading),
        _ => 1,
    }
}

/// Covariance of what the instruments add to the values of a test, repeats taken together.
fn noise(base: &Scenario, test: &FieldTest) -> DMatrix<f64> {
    let problem = Machine::new(base, &test.readings.file, Vec::new());
    let mut kept: Vec<(&Row, f64)> = Vec::new();
    for (i, reading) in test.readings.file.readings.iter().enumerate() {
        let mine: Vec<&Row> = problem.rows.iter().filter(|row| row.reading == i).collect();
        let different = distinct(reading);
        let repeats = if different == 1 { mine.len().max(1) as f64 } else { 1.0 };
        kept.extend(mine.into_iter().take(different).map(|row| (row, repeats)));
    }
    let by = |row: &Row, number: usize| -> f64 {
        let mine = row.shared.iter().filter(|(n, _)| *n == number);
        mine.map(|(_, how)| match how {
            Shared::Gain(sd) => sd * row.value.si,
            Shared::Zero(sd) => *sd,
        })
        .sum()
    };
    DMatrix::from_fn(kept.len(), kept.len(), |i, k| {
        let (a, b) = (kept[i].0, kept[k].0);
        let own = if i == k { a.sigma * a.sigma / kept[i].1 } else { 0.0 };
        own + (0..problem.shared.len()).map(|number| by(a, number) * by(b, number)).sum::<f64>()
    })
}

/// What is left of the standard deviation of `g` once `y`, rows of draws, was read with errors of covariance `noise`. `None` where nothing varies.
pub(super) fn left_after(g: &DVector<f64>, y: &DMatrix<f64>, noise: &DMatrix<f64>) -> Option<f64> {
    let (n, m) = (y.nrows() as f64, y.ncols());
    if n - 1.0 <= m as f64 || noise.nrows() != m {
        return None;
    }
    let off = g.add_scalar(-g.mean());
    let mut away = y.clone();
    for mut column in away.column_iter_mut() {
        let mean = column.mean();
        column.add_scalar_mut(-mean);
    }
    let var = off.norm_squared() / (n - 1.0);
    let cross = away.transpose() * &off / (n - 1.0);
    let whole = away.transpose() * &away / (n - 1.0) + noise;
    if var <= 0.0 {
        return None;
    }
    let slope = whole.cholesky()?.solve(&cross);
    let told = &away * &slope;
    let error = (slope.transpose() * noise * &slope)[0].max(0.0).sqrt();
    let off_curve = off_its_curve(&told, error, &off)? / var;
    Some((off_curve / (1.0 - m as f64 / (n - 1.0))).clamp(0.0, 1.0).sqrt())
}

/// Readings of each machine, each with an error of its own: of a few machines several, of many one tells as much.
fn read_each(machines: usize) -> usize {
    (4000 / machines.max(1)).clamp(1, 5)
}
/// Widths of the curve, in standard deviations of what is told.
const WIDTHS: [f64; 6] = [0.03, 0.06, 0.12, 0.25, 0.5, 1e3];

/// Mean square by which `g` lies off a smooth curve over `told` read with an error. `None` where there are too few to lay one.
fn off_its_curve(told: &DVector<f64>, error: f64, g: &DVector<f64>) -> Option<f64> {
    let n = told.len();
    let size = (told.norm_squared() / n as f64 + error * error).sqrt();
    if n < 4 {
        return None;
    }
    if size <= 0.0 {
        return Some(g.norm_squared() / n as f64);
    }
    let mut rng = ChaCha8Rng::seed_from_u64(4);
    let mut read = |i: usize| {
        let by: f64 = StandardNormal.sample(&mut rng);
        (i, (told[i] + error * by) / size)
    };
    let each = read_each(n);
    let points: Vec<(usize, f64)> = (0..n * each).map(|k| read(k / each)).collect();
    WIDTHS
        .par_iter()
        .map(|width| off_a_curve(&points, g, *width))
        .collect::<Vec<f64>>()
        .into_iter()
        .min_by(f64::total_cmp)
}

/// Mean square by which `g` lies off a curve of this width over the places of `points`, as many of each machine, one after another.
fn off_a_curve(points: &[(usize, f64)], g: &DVector<f64>, width: f64) -> f64 {
    let n = g.len();
    let mut each: Vec<(f64, f64)> = Vec::with_capacity(n);
    let mut squares = 0.0;
    for &(i, at) in points {
        // Sums of weight, and of weight by place, of every machine; of all others together with the values.
        each.clear();
        let [mut w, mut wx, mut wxx, mut wy, mut wxy] = [0.0; 5];
        for (j, own) in points.chunks(points.len() / n).enumerate() {
            let (mut near, mut near_x) = (0.0, 0.0);
            for (_, place) in own.iter().filter(|_| i != j) {
                let x = place - at;
                let weight = (-0.5 * (x / width).powi(2)).exponential();
                near += weight;
                near_x += weight * x;
                wxx += weight * x * x;
            }
            each.push((near, near_x));
            w += near;
            wx += near_x;
            wy += near * g[j];
            wxy += near_x * g[j];
        }
        // A line through those near, or their mean; nobody near: nothing is told. What the few that lay the curve add by chance, 1 + Σ l², is taken off.
        let spread = w * wxx - wx * wx;
        let (curve, by_chance) = if w < 1e-9 {
            (0.0, 0.0)
        } else if spread > 1e-9 * w * w {
            let share = |(near, near_x): &(f64, f64)| ((near * wxx - near_x * wx) / spread).powi(2);
            ((wxx * wy - wx * wxy) / spread, each.iter().map(share).sum())
        } else {
            (wy / w, each.iter().map(|(near, _)| (near / w).powi(2)).sum::<f64>())
        };
        squares += (g[i] - curve).powi(2) / (1.0 + by_chance);
    }
    squares / points.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// g = 2 a + b; y reads a with an error of ½ and, with the next value, a + b with an error of 1: the variance left of g is vᵀ (I + AᵀR⁻¹A)⁻¹ v.
    #[test]
    fn verif_what_is_left_is_that_of_linear_regression() {
        let mut rng = ChaCha8Rng::seed_from_u64(5);
        let n = 4000;
        let draw = DMatrix::from_fn(n, 2, |_, _| -> f64 { StandardNormal.sample(&mut rng) });
        let g = &draw * DVector::from_vec(vec![2.0, 1.0]);
        let a = DMatrix::from_row_slice(2, 2, &[1.0, 0.0, 1.0, 1.0]);
        let y = &draw * a.transpose();
        let noise = DMatrix::from_diagonal(&DVector::from_vec(vec![0.25, 1.0]));
        let information =
            DMatrix::identity(2, 2) + a.transpose() * noise.clone().try_inverse().expect("regular") * &a;
        let v = DVector::from_vec(vec![2.0, 1.0]);
        let exact = (v.dot(&(information.try_inverse().expect("regular") * &v)) / 5.0).sqrt();
        let got = left_after(&g, &y, &noise).expect("it varies");
        assert!(exact > 0.2 && exact < 0.6);
        held!((got / exact - 1.0).abs(), 0.03, "{got} {exact}");
        // What has nothing to do with g leaves it as it was, however many values it has.
        let other = DMatrix::from_fn(60, 20, |_, _| -> f64 { StandardNormal.sample(&mut rng) });
        let few = DVector::from_fn(60, |_, _| -> f64 { StandardNormal.sample(&mut rng) });
        let none = left_after(&few, &other, &DMatrix::identity(20, 20)).expect("it varies");
        assert!(none > 0.85, "{none}");
    }
    /// g = max(a, 0), read itself with an error of 0.1, a standard normal: by quadrature over a and over what is read, the variance left is that of g given the
    /// reading. A straight line would leave half as much again.
    #[test]
    fn verif_what_ends_at_nothing_is_told_by_a_curve() {
        let sigma = 0.1;
        let grid: Vec<f64> = (0..1200).map(|i| -6.0 + 0.01 * f64::from(i)).collect();
        let density = |z: f64| (-0.5 * z * z).exponential();
        let all: f64 = grid.iter().map(|a| density(*a)).sum();
        let (mut left, mut norm) = (0.0, 0.0);
        for read in (0..180).map(|k| -0.6 + 0.03 * f64::from(k)) {
            let [mut w, mut wg, mut wgg] = [0.0; 3];
            for a in &grid {
                let g = a.max(0.0);
                let p = density(*a) * density((read - g) / sigma);
                w += p;
                wg += p * g;
                wgg += p * g * g;
            }
            left += wgg - wg * wg / w;
            norm += w;
        }
        let mean =
            |of: &dyn Fn(f64) -> f64| grid.iter().map(|a| density(*a) * of(a.max(0.0))).sum::<f64>() / all;
        let var = mean(&|g| g * g) - mean(&|g| g).powi(2);
        let exact = (left / norm / var).sqrt();
        let mut rng = ChaCha8Rng::seed_from_u64(9);
        let noise = DMatrix::from_element(1, 1, sigma * sigma);
        let mut left = || {
            let g = DVector::from_fn(400, |_, _| {
                let a: f64 = StandardNormal.sample(&mut rng);
                a.max(0.0)
            });
            let y = DMatrix::from_column_slice(400, 1, g.as_slice());
            left_after(&g, &y, &noise).expect("it varies")
        };
        let got = (0..3).map(|_| left()).sum::<f64>() / 3.0;
        held!((got / exact - 1.0).abs(), 0.07, "{got} {exact}");
        let straight = (1.0 - var / (var + sigma * sigma)).sqrt();
        assert!(exact < 0.85 * straight, "{exact} {straight}");
    }

    /// A strip is read at the speed on its form: the gap of the line at half its speed where the form says so, by the engine with the throughput halved, and one pass for strip and chase.
    #[test]
    fn verif_a_pass_is_read_at_the_speed_of_its_form() {
        let text = include_str!("../../scenarios/ferry-return.ron");
        let base = Scenario::read_alone(text, "ferry-return.ron").expect("the demo");
        let gap = crate::coverage::MeasureName::TailGap.whole();
        let mut read = Vec::new();
        for share in [1.0, 0.5] {
            let mut passes = Passes::new();
            let mut tests = field_tests(&base, OfWord::Both);
            tests.retain(|test| ["strip", "chase"].contains(&test.key));
            let speed_m_s = share * base.conveyor_speed_m_s();
            for test in &mut tests {
                if let ReadingFile::Strip { conveyor_speed, .. } | ReadingFile::Chase { conveyor_speed, .. } =
                    &mut test.readings.file.readings[0]
                {
                    *conveyor_speed = crate::units::Quantity::try_from_si(speed_m_s).expect("a speed");
                }
            }
            let got: Vec<f64> =
                tests.iter().flat_map(|test| told(&base, test, &mut passes).expect("it tells")).collect();
            assert!(got.len() == 2 && passes.len() == 1);
            let line = base.with_si(&[("line.throughput", share * base.throughput_per_s())]).expect("a line");
            let want = evaluate(&line).value(gap).expect("a gap");
            held!((got[0] - want).abs(), 1e-4, "{got:?}");
            read.push(got[0]);
        }
        assert!(read[0] > 0.05 && read[0] - read[1] > 0.03, "{read:?}");
    }

    /// What is straight in nothing, laid narrowly: what the few near each add by chance is taken off, and what is left is its variance. Without that a fifth more would be.
    #[test]
    fn verif_what_few_add_by_chance_is_taken_off() {
        let mut rng = ChaCha8Rng::seed_from_u64(12);
        let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
        let off: f64 = (0..12)
            .map(|_| {
                let g = DVector::from_fn(150, |_, _| normal());
                let points: Vec<(usize, f64)> = (0..150)
                    .flat_map(|i| {
                        let at = normal();
                        (0..read_each(150)).map(move |_| (i, at))
                    })
                    .collect();
                off_a_curve(&points, &g, 0.06) / (g.norm_squared() / 150.0)
            })
            .sum::<f64>()
            / 12.0;
        held!((off - 1.0).abs(), 0.05, "{off}");
    }
}
