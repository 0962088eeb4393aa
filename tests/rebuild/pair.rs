//! Two brushes that meet.

use crate::plane::*;
use crate::unit::*;

/// Torques of two brushes on each other's arms.
pub fn on_each_other(units: &[Unit], y: &[State]) -> Vec<f64> {
    let [a, b] = units else { return vec![0.0; units.len()] };
    // Everything in the frame of the first; the second is turned over when it stands opposite.
    let flip = a.flip * b.flip;
    let over = |v: P| [v[0], flip * v[1]];
    let arms = [a.arm(y[0][0]), b.arm(y[1][0])];
    let centers = [add(a.pivot, arms[0]), over(add(b.pivot, arms[1]))];
    let between = sub(centers[1], centers[0]);
    let d = dot(between, between).sqrt();
    let height = a.z[1].min(b.z[1]) - a.z[0].max(b.z[0]);
    if d >= a.radius + b.radius || height <= 0.0 {
        return vec![0.0; 2];
    }
    let squares = a.radius * a.radius - b.radius * b.radius;
    let chord = [0.5 * (d + squares / d), 0.5 * (d - squares / d)];
    let turning = [a.spin + y[0][1], b.spin + y[1][1]];
    let flat = |u: &Unit, chord: f64, turning: f64| {
        let half = (chord.max(0.0) / u.radius).acos();
        let n = 200;
        let each = |i: i32| {
            let psi = half * ((f64::from(i) + 0.5) / f64::from(n) * 2.0 - 1.0);
            let press = u.radius - chord.max(0.0) / psi.cos();
            power(press.max(0.0), u.exponent) * psi.cos()
        };
        0.5 * u.stiffness_at(turning) * height * (0..n).map(each).sum::<f64>() * 2.0 * half / f64::from(n)
    };
    let push = 0.5 * (flat(a, chord[0], turning[0]) + flat(b, chord[1], turning[1]));
    let n = times(between, 1.0 / d);
    let t = left_of(n);
    let velocity = [times(left_of(arms[0]), y[0][1]), over(times(left_of(arms[1]), y[1][1]))];
    let spin = [turning[0], flip * turning[1]];
    let slip = dot(sub(velocity[0], velocity[1]), t) + spin[0] * chord[0] + spin[1] * chord[1];
    let rub = 0.5 * (a.friction + b.friction) * push * (slip / a.fade).clamp(-1.0, 1.0);
    let on_first = add(times(n, -push), times(t, -rub));
    let on_second = over(times(on_first, -1.0));
    vec![cross(arms[0], on_first) - chord[0] * rub, cross(arms[1], on_second) - flip * chord[1] * rub]
}

/// Checks the rest of two brushes that lean on each other: friction holds both there, and holds neither in its own balance.
pub fn check_lean(units: &[Unit]) {
    let long_before = |u: &Unit| u.vehicles[0].nose_at_zero - 100.0 / u.speed;
    let held = |at: fn(&Unit) -> f64| -> Vec<bool> {
        let on: Vec<[String; 2]> = units.iter().map(Unit::initial).collect();
        let state = |(u, on): (&Unit, &[String; 2])| {
            let [cap, rod] = u.pressures(on, [u.atmosphere; 2]);
            [at(u), 0.0, cap, rod]
        };
        let y: Vec<State> = units.iter().zip(&on).map(state).collect();
        let other = on_each_other(units, &y);
        let acts = |(i, u): (usize, &Unit)| u.acts(long_before(u), &y[i], &on[i], other[i]);
        units.iter().enumerate().map(acts).map(|acts| acts.sum.abs() <= acts.hold).collect()
    };
    if units.iter().any(|u| u.rest != u.alone) {
        assert_eq!(held(|u| u.rest), [true, true]);
        assert_eq!(held(|u| u.alone), [false, false]);
    }
}
