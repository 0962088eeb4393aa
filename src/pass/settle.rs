//! When an arm that is left alone has settled.
//!
//! «Settled» asks when the arm is within half a degree of where it comes to stand and stays there. Asked of one angle alone the answer jumps by
//! half a swing as soon as one more bounce crosses that angle. It is therefore asked of every angle from a quarter to half a degree, and the
//! mean is taken: with t(L) the last instant at which the arm is farther off than L,
//!
//! t_settled = 2/B ∫ t(L) dL over L = B/2 … B,  B = 0.5°.
//!
//! It is never earlier than t(B), what the eye says, nor later than t(B/2), and it moves smoothly with the height of every bounce. How far off
//! is counted from where the arm really comes to stand: friction may hold it off balance, or the other brush.
//!
//! Within a step the swing does not turn, so t(L) is monotone there, and the part of the integral in a step is exact:
//! ∫ t dL = t_a L_a − t_b L_b + ∫ |φ − φ_stand| dt from t_a, where it comes under L_a, to t_b, where it comes under L_b.

use super::motion::state::PHI;
use super::record::DenseStep;

/// The arm counts as settled within this angle of where it comes to stand, rad.
const SETTLED_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// A bounce that keeps the arm out this much longer makes an edge, s.
const EDGE_S: f64 = 0.1;

/// When an arm has settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Settled {
    /// When, s.
    pub at_s: f64,
    /// When it has settled if its last bounce counts in full, s; only where a bounce turns between a quarter and half a degree.
    pub at_latest_s: Option<f64>,
}

/// Part of a run: a step, up to an instant within it.
#[derive(Clone, Copy)]
pub(super) struct Stretch<'s> {
    pub step: &'s DenseStep,
    pub until_s: f64,
}

impl Stretch<'_> {
    fn off_rad(&self, t_s: f64, stands_phi_rad: f64) -> f64 {
        (self.step.value_at(PHI, t_s) - stands_phi_rad).abs()
    }

    /// When the arm, farther off than `level_rad` at the start, no longer is, s.
    fn under_s(&self, level_rad: f64, stands_phi_rad: f64) -> f64 {
        let (mut a, mut b) = (self.step.start_s, self.until_s);
        for _ in 0..60 {
            let mid = 0.5 * (a + b);
            if self.off_rad(mid, stands_phi_rad) > level_rad { a = mid } else { b = mid }
        }
        b
    }

    /// ∫ |φ − φ_stand| dt between two instants between which the arm does not pass where it stands, rad s. Gauss, exact for the dense output.
    fn integral_rad_s(&self, from_s: f64, to_s: f64, stands_phi_rad: f64) -> f64 {
        let (middle, half) = (0.5 * (from_s + to_s), 0.5 * (to_s - from_s));
        let at = |x: f64| self.off_rad(middle + half * x, stands_phi_rad);
        let x = 0.6_f64.sqrt();
        half * (5.0 * (at(-x) + at(x)) + 8.0 * at(0.0)) / 9.0
    }
}

/// When an arm settles that runs through these stretches, in order of time, and then stands; `None` when it does not.
pub(super) fn settle(run: &[Stretch<'_>], stands_phi_rad: f64) -> Option<Settled> {
    let (low, high) = (0.5 * SETTLED_RAD, SETTLED_RAD);
    let last = run.last()?;
    let end_s = last.until_s;
    if last.off_rad(end_s, stands_phi_rad) > low {
        return None;
    }
    // Backward: for the levels from `low` to `reached` it is known when the arm was last farther off. Times count from the end.
    let (mut reached, mut sum) = (low, 0.0);
    let (mut latest_s, mut earliest_s) = (None, f64::NAN);
    let mut longest_wait_s: f64 = 0.0;
    for stretch in run.iter().rev() {
        let start_s = stretch.step.start_s;
        let off = stretch.off_rad(start_s, stands_phi_rad);
        if off <= reached {
            continue;
        }
        let top = off.min(high);
        let under_s = |level: f64| stretch.under_s(level, stands_phi_rad);
        let (a_s, b_s) = (if off > high { under_s(high) } else { start_s }, under_s(reached));
        sum +=
            (a_s - end_s) * top - (b_s - end_s) * reached + stretch.integral_rad_s(a_s, b_s, stands_phi_rad);
        if latest_s.is_none() {
            latest_s = Some(b_s);
        } else {
            longest_wait_s = longest_wait_s.max(earliest_s - b_s);
        }
        earliest_s = a_s;
        reached = top;
        if reached >= high {
            break;
        }
    }
    // Never farther off than that: there since the start.
    let start_s = run[0].step.start_s;
    sum += (high - reached) * (start_s - end_s);
    let at_s = end_s + sum / (high - low);
    let at_latest_s = latest_s.filter(|_| longest_wait_s > EDGE_S);
    Some(Settled { at_s, at_latest_s })
}

#[cfg(test)]
mod tests {
    use super::super::motion::{Modes, Motion};
    use super::*;

    /// A straight piece of the swing, in degrees.
    fn line(start_s: f64, length_s: f64, from_deg: f64, to_deg: f64) -> DenseStep {
        let mut coefficients = [[0.0; 5]; 6];
        coefficients[PHI] = [from_deg.to_radians(), (to_deg - from_deg).to_radians(), 0.0, 0.0, 0.0];
        let modes = Modes::clear(Motion::In);
        DenseStep { start_s, length_s, coefficients, modes }
    }

    fn zigzag(corners: &[(f64, f64)]) -> Option<Settled> {
        let steps: Vec<DenseStep> =
            corners.windows(2).map(|w| line(w[0].0, w[1].0 - w[0].0, w[0].1, w[1].1)).collect();
        let run: Vec<Stretch<'_>> =
            steps.iter().map(|step| Stretch { step, until_s: step.start_s + step.length_s }).collect();
        settle(&run, 0.0)
    }

    /// Straight down from 2° to 0° in 2 s: under ½° at 1.5 s, under ¼° at 1.75 s, in the mean at 1.625 s.
    #[test]
    fn verif_a_straight_arrival_settles_in_the_middle() {
        let settled = zigzag(&[(0.0, 2.0), (2.0, 0.0), (3.0, 0.0)]).expect("settles");
        assert!((settled.at_s - 1.625).abs() < 1e-12 && settled.at_latest_s.is_none(), "{settled:?}");
    }

    /// From 2° at 0 s through rest at 2 s to a bounce of −A at 3 s and back at 4 s. By hand for ¼° ≤ A ≤ ½°: levels over A are left at 2 − L,
    /// levels under A at 4 − L/A.
    #[test]
    fn verif_a_bounce_counts_by_its_height() {
        let mut before: Option<f64> = None;
        for k in 0..=200 {
            let a = 0.2003 + 0.002 * f64::from(k);
            let settled =
                zigzag(&[(0.0, 2.0), (2.0, 0.0), (3.0, -a), (4.0, 0.0), (9.0, 0.0)]).expect("settles");
            let (low, high, cut) = (0.25, 0.5, a.clamp(0.25, 0.5));
            let over = 2.0 * (high - cut) - 0.5 * (high * high - cut * cut);
            let under = 4.0 * (cut - low) - 0.5 * (cut * cut - low * low) / a;
            let by_hand = (over + under) / (high - low);
            assert!((settled.at_s - by_hand).abs() < 1e-9, "{a}: {} by hand {by_hand}", settled.at_s);
            assert_eq!(settled.at_latest_s.is_some(), a > low && a < high, "{a}: {settled:?}");
            if let Some(at_latest_s) = settled.at_latest_s {
                assert!((at_latest_s - (4.0 - low / a)).abs() < 1e-9, "{a}: {settled:?}");
            }
            // No jump: 0.002° of 0.25° of the 2 s between the two ways out, at most.
            if let Some(before) = before {
                let step = settled.at_s - before;
                assert!((-1e-9..0.002 / 0.25 * 2.5).contains(&step), "{a}: {step}");
            }
            before = Some(settled.at_s);
        }
    }

    #[test]
    fn verif_an_arm_that_stays_off_has_not_settled_and_one_that_never_left_has() {
        assert_eq!(zigzag(&[(0.0, 2.0), (2.0, 0.3)]), None);
        let still = zigzag(&[(1.0, 0.1), (2.0, -0.1), (3.0, 0.0)]).expect("settles");
        assert!((still.at_s - 1.0).abs() < 1e-12, "{still:?}");
    }
}
