//! The fit against certified regressions.
//!
//! Reference: NIST Statistical Reference Datasets, nonlinear regression (NIST/ITL StRD), 14 sets of all levels of difficulty, files as published;
//! `tests/validation/data/nist/`. Parameters and standard deviations are certified to 11 digits; the standard deviations take s² = RSS/(n − p).

use crate::dual::Dual;
use brusharm::calibrate::fit::{Bounds, Problem, covariance, differences, minimise};
use nalgebra::{DMatrix, DVector};
use std::path::Path;

/// The model of a set.
type Model = fn(&[Dual], f64) -> Dual;

fn one() -> Dual {
    Dual::from(1.0)
}

/// Numerator over denominator, polynomials of rising powers.
fn ratio(b: &[Dual], above: usize, x: f64) -> Dual {
    let (mut top, mut bottom, mut power) = (Dual::from(0.0), one(), 1.0);
    for b in &b[..above] {
        top = top + *b * power;
        power *= x;
    }
    power = x;
    for b in &b[above..] {
        bottom = bottom + *b * power;
        power *= x;
    }
    top / bottom
}

const SETS: [(&str, Model); 14] = [
    ("Misra1a", |b, x| b[0] * (one() - (-b[1] * x).exp())),
    ("Chwirut2", |b, x| (-b[0] * x).exp() / (b[1] + b[2] * x)),
    ("Lanczos3", |b, x| b[0] * (-b[1] * x).exp() + b[2] * (-b[3] * x).exp() + b[4] * (-b[5] * x).exp()),
    ("MGH17", |b, x| b[0] + b[1] * (-b[3] * x).exp() + b[2] * (-b[4] * x).exp()),
    ("Hahn1", |b, x| ratio(b, 4, x)),
    ("Kirby2", |b, x| ratio(b, 3, x)),
    ("Roszman1", |b, x| b[0] - b[1] * x - (b[2] / (-b[3] + x)).atan() / std::f64::consts::PI),
    ("Thurber", |b, x| ratio(b, 4, x)),
    ("Eckerle4", |b, x| {
        let z = (-b[2] + x) / b[1];
        b[0] / b[1] * (z * z * -0.5).exp()
    }),
    ("MGH09", |b, x| b[0] * (b[1] * x + x * x) / (b[2] * x + b[3] + x * x)),
    ("MGH10", |b, x| b[0] * (b[1] / (b[2] + x)).exp()),
    ("Bennett5", |b, x| b[0] * (-(b[1] + x).ln() / b[2]).exp()),
    ("BoxBOD", |b, x| b[0] * (one() - (-b[1] * x).exp())),
    ("Rat43", |b, x| b[0] / ((((b[1] - b[2] * x).exp() + 1.0).ln() / b[3]).exp())),
];

/// A set as published.
struct Set {
    starts: [Vec<f64>; 2],
    certified: Vec<f64>,
    deviations: Vec<f64>,
    residual_squares: f64,
    rows: Vec<[f64; 2]>,
}

fn read(name: &str) -> Set {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/validation/data/nist/{name}.dat"));
    let text = std::fs::read_to_string(path).expect("the set");
    let lines: Vec<&str> = text.lines().collect();
    let line = |word: &str| lines.iter().find(|l| l.contains(word)).copied().expect(word);
    let span = |word: &str| -> (usize, usize) {
        let tail = line(word).split("(lines").nth(1).expect("lines").trim_end_matches(')');
        let (a, b) = tail.split_once("to").expect("to");
        (a.trim().parse().expect("a line"), b.trim().trim_end_matches(')').parse().expect("a line"))
    };
    let numbers = |text: &str| -> Vec<f64> { text.split_whitespace().map(|t| t.parse().expect(t)).collect() };
    let (first, last) = span("Starting Values   (");
    let table: Vec<Vec<f64>> =
        lines[first - 1..last].iter().map(|l| numbers(l.split_once('=').expect("=").1)).collect();
    let column = |k: usize| table.iter().map(|row| row[k]).collect::<Vec<f64>>();
    let (first, last) = span("Data              (");
    let rows: Vec<[f64; 2]> =
        lines[first - 1..last].iter().map(|l| numbers(l)).map(|row| [row[0], row[1]]).collect();
    let squares = line("Residual Sum of Squares").split_once(':').expect(":").1.trim();
    Set {
        starts: [column(0), column(1)],
        certified: column(2),
        deviations: column(3),
        residual_squares: squares.parse().expect("a number"),
        rows,
    }
}

struct Regression<'s> {
    set: &'s Set,
    model: Model,
    by_differences: bool,
}

impl Regression<'_> {
    fn values(&self, at: &[f64]) -> Vec<Dual> {
        let b: Vec<Dual> = at.iter().enumerate().map(|(k, v)| Dual::parameter(*v, k)).collect();
        self.set.rows.iter().map(|[y, x]| (self.model)(&b, *x) - *y).collect()
    }
}

impl Problem for Regression<'_> {
    fn residuals(&self, at: &[f64]) -> Option<DVector<f64>> {
        Some(DVector::from_iterator(self.set.rows.len(), self.values(at).iter().map(|d| d.value)))
    }

    fn jacobian(&self, at: &[f64]) -> Option<DMatrix<f64>> {
        if self.by_differences {
            // A parameter moved by the share of its size that calibration moves one by.
            let step: Vec<f64> = at.iter().map(|b| brusharm::calibrate::SMOOTH_STEP * b.abs()).collect();
            return differences(&mut |at| self.residuals(at), at, &step, &Bounds::none(at.len()));
        }
        let values = self.values(at);
        Some(DMatrix::from_fn(values.len(), at.len(), |i, k| values[i].by[k]))
    }
}

/// Relative error of the worst of some numbers.
fn worst(found: &[f64], certified: &[f64]) -> f64 {
    found.iter().zip(certified).map(|(f, c)| ((f - c) / c).abs()).fold(0.0, f64::max)
}

/// Parameters, their standard deviations and the sum of squares, each as the worst relative error.
fn solved(set: &Set, model: Model, start: usize, by_differences: bool) -> [f64; 3] {
    let problem = Regression { set, model, by_differences };
    let count = set.certified.len();
    let found = minimise(&problem, &set.starts[start], &Bounds::none(count)).expect("a minimum");
    let free: Vec<usize> = (0..count).collect();
    let spread = covariance(&found.jacobian, &free).expect("a covariance");
    let variance = found.chi2() / (set.rows.len() - count) as f64;
    let deviations: Vec<f64> = (0..count).map(|k| (variance * spread[(k, k)]).sqrt()).collect();
    [
        worst(&found.at, &set.certified),
        worst(&deviations, &set.deviations),
        (found.chi2() / set.residual_squares - 1.0).abs(),
    ]
}

#[test]
fn val_certified_regressions_to_six_digits() {
    for (name, model) in SETS {
        let set = read(name);
        assert!(set.rows.len() >= 6 && set.certified.len() >= 2, "{name}");
        for start in 0..2 {
            let [parameters, deviations, squares] = solved(&set, model, start, false);
            eprintln!("{name} start {}: {parameters:.1e} {deviations:.1e} {squares:.1e}", start + 1);
            held!(parameters, 1e-6, "{name}, start {}", start + 1);
            held!(deviations, 1e-6, "{name}, start {}", start + 1);
            // Of a sum of squares of 1e-8 (Lanczos3) the data themselves leave less.
            held!(squares, 1e-5, "{name}, start {}", start + 1);
        }
    }
}

/// The two sets whose parameters span nine decades, with derivatives by differences as calibration takes them.
#[test]
fn val_certified_regressions_by_differences() {
    for (name, model) in SETS.into_iter().filter(|(name, _)| ["Hahn1", "Kirby2"].contains(name)) {
        let set = read(name);
        for start in 0..2 {
            let [parameters, deviations, _] = solved(&set, model, start, true);
            eprintln!("{name} start {}: {parameters:.1e} {deviations:.1e}", start + 1);
            held!(parameters, 1e-5, "{name}, start {}", start + 1);
            held!(deviations, 1e-5, "{name}, start {}", start + 1);
        }
    }
}
