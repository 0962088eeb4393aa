//! The page of laws is enough: the motion is built again from `check --format json` alone, by the page, with nothing of the engine.
//!
//! Steps of fixed length by the classical Runge–Kutta method in place of Dormand–Prince, rays in place of closed forms, chambers as they are in
//! place of following ones, arms of one machine always run together where they can meet. Each unit is compared with the engine's own run, all along.
//!
//! The rebuilt motion is kept, a row each tenth of a second, in `tests/laws/data`, so that a test of a moment can hold the engine against it (`tests/laws/rebuilt.rs`). What is kept
//! must be what is rebuilt; `REBUILT_UPDATE=1 cargo test --test rebuild` writes it anew.

mod outline;
mod pair;
mod parts;
mod plane;
mod unit;

use brusharm::pass::run;
use brusharm::scenario::Scenario;
use pair::{check_lean, on_each_other};
use parts::list;
use serde_json::Value;
use std::process::Command;
use unit::{Acts, State, Unit};

const STEP_S: f64 = 0.01;
/// Step near a stop, where the force jumps as it is met.
const FINE_STEP_S: f64 = 0.0005;
/// How near, m.
const NEAR_STOP_M: f64 = 0.003;

/// Runs units together; (time, φ of each) after every step.
fn rebuild(units: &[Unit], measured: usize, end: f64) -> Vec<(f64, Vec<f64>)> {
    check_lean(units);
    let mut t = units.iter().map(|u| u.starts_at(measured)).fold(f64::INFINITY, f64::min);
    let (mut y, mut on): (Vec<State>, Vec<[String; 2]>) = units.iter().map(|u| u.start(measured, t)).unzip();
    let mut stuck = vec![true; units.len()];
    let mut path = vec![(t, y.iter().map(|s| s[0]).collect())];
    let all = |t: f64, y: &[State], on: &[[String; 2]]| -> Vec<Acts> {
        let other = on_each_other(units, y);
        units.iter().enumerate().map(|(i, u)| u.acts(t, &y[i], &on[i], other[i])).collect()
    };
    // A Coulomb torque that holds its sign through the step, whatever a stage passes through.
    let slopes = |acts: &[Acts], y: &[State], sign: &[f64]| -> Vec<State> {
        let each = |i: usize| {
            let (a, omega) = (&acts[i], y[i][1]);
            let alpha = (a.sum - units[i].viscous * omega - a.coulomb * sign[i]) / a.inertia;
            let [cap, rod] = a.pressure;
            if sign[i] == 0.0 { [0.0, 0.0, cap, rod] } else { [omega, alpha, cap, rod] }
        };
        (0..units.len()).map(each).collect()
    };
    let moved = |y: &[State], k: &[State], h: f64| -> Vec<State> {
        y.iter().zip(k).map(|(y, k)| std::array::from_fn(|i| y[i] + h * k[i])).collect()
    };
    let runge_kutta = |first: &[Acts], t: f64, y: &[State], on: &[[String; 2]], sign: &[f64], h: f64| {
        let slope_at = |t: f64, y: Vec<State>| slopes(&all(t, &y, on), &y, sign);
        let k1 = slopes(first, y, sign);
        let k2 = slope_at(t + 0.5 * h, moved(y, &k1, 0.5 * h));
        let k3 = slope_at(t + 0.5 * h, moved(y, &k2, 0.5 * h));
        let k4 = slope_at(t + h, moved(y, &k3, h));
        let mean =
            |i: usize| std::array::from_fn(|j| (k1[i][j] + 2.0 * (k2[i][j] + k3[i][j]) + k4[i][j]) / 6.0);
        moved(y, &(0..y.len()).map(mean).collect::<Vec<State>>(), h)
    };
    while t < end {
        for (i, unit) in units.iter().enumerate() {
            for (at, chamber, to) in &unit.switches {
                if (*at - t).abs() < 1e-9 {
                    on[i][*chamber].clone_from(to);
                }
            }
        }
        let acts = all(t, &y, &on);
        let mut sign = vec![0.0; units.len()];
        for i in 0..units.len() {
            assert!(acts[i].tension > 0.0, "the cable goes slack, which this rebuild does not follow");
            if stuck[i] && acts[i].sum.abs() > acts[i].hold {
                stuck[i] = false;
                sign[i] = acts[i].sum.signum();
            } else if !stuck[i] {
                sign[i] = if y[i][1] == 0.0 { acts[i].sum.signum() } else { y[i][1].signum() };
            }
        }
        let near_stop = units
            .iter()
            .zip(&y)
            .any(|(u, y)| u.stops.iter().any(|s| s.compression(y[0]).abs() < NEAR_STOP_M) && y[1] != 0.0);
        let mut h = if near_stop { FINE_STEP_S } else { STEP_S };
        for (at, ..) in units.iter().flat_map(|u| &u.switches) {
            if *at > t + 1e-9 {
                h = h.min(at - t);
            }
        }
        let mut next = runge_kutta(&acts, t, &y, &on, &sign, h);
        // A swing that turns: step to where it does.
        let turns = |next: &[State], i: usize| next[i][1] * sign[i] < 0.0 && y[i][1] != 0.0;
        let share = |i: usize| y[i][1] / (y[i][1] - next[i][1]);
        let first =
            (0..units.len()).filter(|&i| turns(&next, i)).min_by(|&a, &b| share(a).total_cmp(&share(b)));
        if let Some(i) = first {
            h *= share(i);
            next = runge_kutta(&acts, t, &y, &on, &sign, h);
            next[i][1] = 0.0;
            let acts = all(t + h, &next, &on);
            stuck[i] = acts[i].sum.abs() <= acts[i].hold;
        }
        t += h;
        y = next;
        path.push((t, y.iter().map(|s| s[0]).collect()));
    }
    path
}

/// The document of a scenario as the command prints it.
fn document(name: &str) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_brusharm"))
        .args(["check", &format!("scenarios/{name}.ron"), "--format", "json"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the command runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// A row each tenth of a second: time, s, and swing angle of each unit of a group, rad.
fn rows(path: &[(f64, Vec<f64>)]) -> Vec<Vec<f64>> {
    let mut next_s = f64::NEG_INFINITY;
    let mut rows = Vec::new();
    for (t, phi) in path {
        if *t >= next_s {
            rows.push([*t].into_iter().chain(phi.iter().copied()).collect());
            next_s = t + 0.1;
        }
    }
    rows
}

/// Holds what is kept of a group against what was rebuilt, or writes it.
fn keep(name: &str, path: &[(f64, Vec<f64>)]) {
    let file = format!("{}/tests/laws/data/rebuilt-{name}.csv", env!("CARGO_MANIFEST_DIR"));
    let rows = rows(path);
    if std::env::var_os("REBUILT_UPDATE").is_some() {
        let mut text = format!(
            "# Motion of scenarios/{name}.ron, rebuilt from `check --format json` by the page of laws, with nothing of the engine (tests/rebuild).\n\
             # Time, s; swing angle of each unit, rad. REBUILT_UPDATE=1 cargo test --test rebuild writes it.\n"
        );
        for row in &rows {
            let row: Vec<String> = row.iter().map(|value| format!("{value:.9}")).collect();
            text += &format!("{}\n", row.join(","));
        }
        std::fs::write(&file, text).expect("written");
    }
    let text = std::fs::read_to_string(&file).expect("REBUILT_UPDATE=1 writes it");
    let kept: Vec<Vec<f64>> = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split(',').map(|value| value.parse().expect("a number")).collect())
        .collect();
    assert_eq!(kept.len(), rows.len(), "{file}");
    for (kept, row) in kept.iter().zip(&rows) {
        assert_eq!(kept.len(), row.len(), "{file}");
        for (kept, value) in kept.iter().zip(row) {
            assert!((kept - value).abs() < 1e-6, "{file}: {kept}, rebuilt {value}");
        }
    }
}

/// Largest distance between the rebuilt motion and the engine's, deg, for groups of units run together.
fn compare(name: &str, groups: &[&[usize]]) -> f64 {
    let path = format!("{}/scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the scenario");
    let record = run(&Scenario::read_alone(&text, &path).expect("good").setup()).expect("runs");
    let document = document(name);
    let seats = list(&document, "train");
    let measured = seats.iter().position(|s| s["measured"] == true).expect("one is measured");
    let mut worst: f64 = 0.0;
    for group in groups {
        let units: Vec<Unit> = group.iter().map(|&i| Unit::read(&document, &document["units"][i])).collect();
        let end = group.iter().map(|&i| record.units[i].next_touch_s).fold(f64::NEG_INFINITY, f64::max);
        let path = rebuild(&units, measured, end);
        keep(name, &path);
        for (k, &i) in group.iter().enumerate() {
            let unit = &record.units[i];
            let (mut low, mut high, mut compared, mut off_deg) =
                (f64::INFINITY, f64::NEG_INFINITY, 0, 0.0_f64);
            for (t, phi) in path.iter().filter(|(t, _)| *t >= unit.start_s() && *t <= unit.end_s()) {
                off_deg = off_deg.max((phi[k] - unit.state_at(*t).phi_rad()).to_degrees().abs());
                (low, high) = (low.min(phi[k]), high.max(phi[k]));
                compared += 1;
            }
            assert!((high - low).to_degrees() > 15.0 && compared > 3000, "{compared}");
            worst = worst.max(off_deg);
        }
    }
    worst
}

/// Both arms behind another vehicle, the right one mirrored.
#[test]
fn verif_a_pair_is_rebuilt_from_the_document() {
    let worst = compare("ferry-return", &[&[0, 1]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}

/// Brushes that press on each other.
#[test]
fn verif_opposite_brushes_are_rebuilt_from_the_document() {
    let worst = compare("opposite-pair", &[&[0, 1]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}

/// One arm, first in line: every part, from rest to the next nose.
#[test]
fn verif_one_unit_is_rebuilt_from_the_document() {
    let worst = compare("one-unit", &[&[0]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}

/// Valves that follow the vehicle, and brushes that meet behind its tail.
#[test]
fn verif_a_scheduled_pair_is_rebuilt_from_the_document() {
    let worst = compare("air-drop", &[&[0, 1]]);
    assert!(worst > 0.0 && worst < 0.03, "{worst} deg");
}
