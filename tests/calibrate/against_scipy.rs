//! The whole fit against SciPy `least_squares`: priors, a shared gain, bounds, a flat direction, one reading far out.
//!
//! Reference: `tests/validation/data/calibrate_scipy.py`, which says the problem, and its output beside it.

use brusharm::calibrate::fit::{Bounds, Problem, judge, minimise};
use nalgebra::{DMatrix, DVector};
use serde_json::Value;

const CENTRE: [f64; 5] = [120.0, 0.45, 12.0, 330.0, 40.0];
const SPREAD: [f64; 5] = [0.05, 0.03, 0.5, 0.2, 0.6];
const SIGMA: [f64; 10] = [2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 0.05, 0.05, 0.004, 0.004];

struct Arm {
    y: Vec<f64>,
}

impl Problem for Arm {
    fn residuals(&self, at: &[f64]) -> Option<DVector<f64>> {
        let [w, l, f, i, c]: [f64; 5] = std::array::from_fn(|k| CENTRE[k] * (SPREAD[k] * at[k]).exp());
        let gain = 1.0 + 0.02 * at[5];
        let static_pull = [0.4_f64, 0.8, 1.2].map(|a| w * l * a.sin());
        let period = std::f64::consts::TAU * (i / (w * l)).sqrt();
        let decay = c / (2.0 * i);
        let told = static_pull
            .iter()
            .map(|s| gain * (s + f))
            .chain(static_pull.iter().map(|s| gain * (s - f)))
            .chain([period, period, decay, decay]);
        let readings = told.zip(&self.y).zip(SIGMA).map(|((m, y), s)| (m - y) / s);
        Some(DVector::from_vec(readings.chain(at.iter().copied()).collect()))
    }

    fn jacobian(&self, at: &[f64]) -> Option<DMatrix<f64>> {
        // Small steps and extrapolation: the derivatives of this model are smooth.
        let by = |h: f64| {
            let step = vec![h; at.len()];
            let look = &mut |at: &[f64]| self.residuals(at);
            brusharm::calibrate::fit::differences(look, at, &step, &Bounds::none(at.len()))
        };
        Some((by(1e-3)? * 4.0 - by(2e-3)?) / 3.0)
    }
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|v| v.as_f64().expect("a number")).collect()
}

#[test]
fn val_the_whole_fit_equals_scipy() {
    let text = include_str!("../validation/data/calibrate_scipy.json");
    let document: Value = serde_json::from_str(text).expect("JSON");
    let cases = document["cases"].as_array().expect("cases");
    assert_eq!(cases.len(), 6);
    let mut bounds_met = 0;
    for case in cases {
        let arm = Arm { y: numbers(&case["y"]) };
        let bounds = Bounds { low: numbers(&case["low"]), high: numbers(&case["high"]) };
        let found = minimise(&arm, &[0.0; 6], &bounds).expect("a minimum");
        let judged = judge(&found, 10).expect("errors");
        let at_bound: Vec<bool> = case["at_bound"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|v| v.as_bool().expect("a bool"))
            .collect();
        assert_eq!(found.at_bound, at_bound);
        bounds_met += at_bound.iter().filter(|b| **b).count();
        for (f, c) in found.at.iter().zip(numbers(&case["at"])) {
            held!((f - c).abs(), 1e-6);
        }
        held!((judged.chi2 / case["chi2"].as_f64().expect("a number") - 1.0).abs(), 1e-6);
        for (k, row) in case["covariance"].as_array().expect("rows").iter().enumerate() {
            for (l, c) in numbers(row).into_iter().enumerate() {
                held!((judged.covariance[(k, l)] - c).abs(), 1e-6);
            }
        }
        for (i, (h, z)) in
            numbers(&case["leverage"]).into_iter().zip(numbers(&case["studentised"])).enumerate()
        {
            held!((judged.leverage[i] - h).abs(), 1e-6);
            held!((judged.studentised[i].expect("checked") - z).abs(), 1e-5);
        }
        // Flat directions as subspaces: each of ours lies in the span of theirs, and there are as many.
        let flat: Vec<DVector<f64>> =
            case["flat"].as_array().expect("a list").iter().map(|v| DVector::from_vec(numbers(v))).collect();
        assert_eq!(judged.open.len(), flat.len());
        for open in &judged.open {
            let ours = DVector::from_vec(open.direction.clone());
            let within: f64 = flat.iter().map(|f| f.dot(&ours).powi(2)).sum();
            held!((within - 1.0).abs(), 1e-6);
        }
        assert!(!judged.open.is_empty(), "weight and lever are told apart by nothing");
    }
    assert_eq!(bounds_met, 3, "bounds are met in the cases that set them");
    // The last case has one reading far out, and only that one is called.
    let arm = Arm { y: numbers(&cases[5]["y"]) };
    let judged = judge(&minimise(&arm, &[0.0; 6], &Bounds::none(6)).expect("a minimum"), 10).expect("errors");
    assert_eq!(judged.worst_out(), Some(1), "{:?}", judged.studentised);
}
