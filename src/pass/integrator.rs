//! Dormand–Prince 5(4) with dense output, for small systems.
//!
//! Coefficients: Hairer, Nørsett & Wanner, Solving Ordinary Differential Equations I, 2nd ed., table II.5.2 and the code DOPRI5 (from
//! memory; the order of the method and of the dense output is measured in the tests).

const C: [f64; 7] = [0.0, 0.2, 0.3, 0.8, 8.0 / 9.0, 1.0, 1.0];
const A: [[f64; 6]; 7] = [
    [0.0; 6],
    [0.2, 0.0, 0.0, 0.0, 0.0, 0.0],
    [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
    [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
    [19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0, 0.0, 0.0],
    [9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0, 0.0],
    [35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
];
const E: [f64; 7] =
    [71.0 / 57600.0, 0.0, -71.0 / 16695.0, 71.0 / 1920.0, -17253.0 / 339_200.0, 22.0 / 525.0, -1.0 / 40.0];
const D: [f64; 7] = [
    -12_715_105_075.0 / 11_282_082_432.0,
    0.0,
    87_487_479_700.0 / 32_700_410_799.0,
    -10_690_763_975.0 / 1_880_347_072.0,
    701_980_252_875.0 / 199_316_789_632.0,
    -1_453_857_185.0 / 822_651_844.0,
    69_997_945.0 / 29_380_423.0,
];

/// One step's room: the state before and after it, and the seven slopes.
#[derive(Debug, Clone)]
pub struct DormandPrince {
    slopes: Vec<Vec<f64>>,
    stage: Vec<f64>,
    /// State at the start of the step.
    pub before: Vec<f64>,
    /// State at the end of the step last tried.
    pub after: Vec<f64>,
}

impl DormandPrince {
    /// Room for `n` components.
    pub fn new(n: usize) -> Self {
        DormandPrince {
            slopes: vec![vec![0.0; n]; 7],
            stage: vec![0.0; n],
            before: vec![0.0; n],
            after: vec![0.0; n],
        }
    }

    /// Sets the first slope, f(t, before).
    pub fn start(&mut self, t: f64, mut f: impl FnMut(f64, &[f64], &mut [f64])) {
        f(t, &self.before, &mut self.slopes[0]);
    }

    /// Takes a step of length `h` from `before` into `after`; the first slope must be set.
    pub fn step(&mut self, t: f64, h: f64, mut f: impl FnMut(f64, &[f64], &mut [f64])) {
        for s in 1..7 {
            // Whole rows at a time: the loops over components have no branches and no order among them.
            self.stage.fill(0.0);
            for (slope, a) in self.slopes.iter().zip(&A[s][..s]) {
                add_scaled(&mut self.stage, *a, slope);
            }
            for (stage, before) in self.stage.iter_mut().zip(&self.before) {
                *stage = before + h * *stage;
            }
            if s == 6 {
                self.after.copy_from_slice(&self.stage);
            }
            f(t + C[s] * h, &self.stage, &mut self.slopes[s]);
        }
    }

    /// Scaled error of the step last tried: 1 = just acceptable. `scale` is the allowed error of each component. Infinite when any component
    /// is no number.
    pub fn error(&mut self, h: f64, scale: &[f64]) -> f64 {
        self.stage.fill(0.0);
        for (slope, e) in self.slopes.iter().zip(&E) {
            add_scaled(&mut self.stage, *e, slope);
        }
        let mut worst: f64 = 0.0;
        for (e, s) in self.stage.iter().zip(scale) {
            if !e.is_finite() {
                return f64::INFINITY;
            }
            worst = worst.max((h * e / s).abs());
        }
        worst
    }

    /// Dense-output coefficients of component `i` for the step last tried.
    pub fn dense(&self, h: f64, i: usize) -> [f64; 5] {
        let diff = self.after[i] - self.before[i];
        let bend = h * self.slopes[0][i] - diff;
        let mut last = 0.0;
        for (k, d) in D.iter().enumerate() {
            last += d * self.slopes[k][i];
        }
        [self.before[i], diff, bend, diff - h * self.slopes[6][i] - bend, h * last]
    }

    /// Ends the step last tried at the share `x` of its length: the state there is read off the dense output, the slope is computed anew.
    pub fn cut(&mut self, t: f64, h: f64, x: f64, mut f: impl FnMut(f64, &[f64], &mut [f64])) {
        for i in 0..self.after.len() {
            self.stage[i] = dense_value(&self.dense(h, i), x);
        }
        self.after.copy_from_slice(&self.stage);
        f(t + x * h, &self.after, &mut self.slopes[6]);
    }

    /// Makes the end of the step the start of the next one, reusing the last slope.
    pub fn advance(&mut self) {
        std::mem::swap(&mut self.before, &mut self.after);
        self.slopes.swap(0, 6);
    }
}

/// sum += a · row.
fn add_scaled(sum: &mut [f64], a: f64, row: &[f64]) {
    if a != 0.0 {
        for (s, r) in sum.iter_mut().zip(row) {
            *s += a * r;
        }
    }
}

/// Value of dense-output coefficients at `x` = 0…1 of the step.
#[inline]
pub fn dense_value(c: &[f64; 5], x: f64) -> f64 {
    let y = 1.0 - x;
    c[0] + x * (c[1] + y * (c[2] + x * (c[3] + y * c[4])))
}

/// Dense-output coefficients of the part of a step up to `x`, itself from 0 to 1.
pub fn dense_part(c: &[f64; 5], x: f64) -> [f64; 5] {
    let y = 1.0 - x;
    let end_slope = c[1] + (y - x) * (c[2] + x * c[3] + x * y * c[4]) + x * y * (c[3] + (y - x) * c[4]);
    let diff = dense_value(c, x) - c[0];
    let bend = x * (c[1] + c[2]) - diff;
    [c[0], diff, bend, diff - x * end_slope - bend, c[4] * x.powi(4)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elementary::Elementary;

    /// Circle y' = (−y₂, y₁) over one radian with n steps; returns the errors at the end and in the middle of the last step.
    fn circle(n: u32) -> (f64, f64) {
        let mut dp = DormandPrince::new(2);
        let f = |_t: f64, y: &[f64], dy: &mut [f64]| {
            dy[0] = -y[1];
            dy[1] = y[0];
        };
        dp.before.copy_from_slice(&[1.0, 0.0]);
        dp.start(0.0, f);
        let h = 1.0 / f64::from(n);
        let mut mid = 0.0;
        for k in 0..n {
            dp.step(f64::from(k) * h, h, f);
            let at = (f64::from(k) + 0.5) * h;
            mid = (dense_value(&dp.dense(h, 0), 0.5) - at.cosine()).abs();
            dp.advance();
        }
        ((dp.before[0] - 1f64.cosine()).hypotenuse(dp.before[1] - 1f64.sine()), mid)
    }

    #[test]
    fn verif_part_of_a_step_is_the_same_curve() {
        let c = [1.3, -0.7, 2.1, 0.9, -1.7];
        let part = dense_part(&c, 0.3);
        for k in 0..=8 {
            let z = f64::from(k) / 8.0;
            let (whole, cut) = (dense_value(&c, 0.3 * z), dense_value(&part, z));
            assert!((whole - cut).abs() < 1e-15 && whole.abs() > 0.5, "at {z}: {whole} and {cut}");
        }
    }

    /// y' = cos t, and a step cut at 0.3: the end is read off the dense output, and the slope there is that of the instant of the cut. The slope is
    /// seen in the next step: b of its dense output is h · slope less the rise.
    #[test]
    fn verif_a_step_cut_short_goes_on_from_there() {
        let f = |t: f64, _y: &[f64], dy: &mut [f64]| dy[0] = t.cosine();
        let (t, h, x) = (0.7, 0.2, 0.3);
        let mut dp = DormandPrince::new(1);
        dp.before[0] = 5.0;
        dp.start(t, f);
        dp.step(t, h, f);
        dp.cut(t, h, x, f);
        dp.advance();
        let cut_s: f64 = t + x * h;
        assert!((dp.before[0] - (5.0 + cut_s.sine() - t.sine())).abs() < 1e-7);
        dp.step(cut_s, h, f);
        let [_, diff, bend, ..] = dp.dense(h, 0);
        assert!(((diff + bend) / h - cut_s.cosine()).abs() < 1e-14, "{}", (diff + bend) / h);
    }

    #[test]
    fn verif_fifth_order_steps_and_fourth_order_dense_output() {
        let ((e1, m1), (e2, m2)) = (circle(8), circle(16));
        let (order, dense_order) = ((e1 / e2).log_2(), (m1 / m2).log_2());
        assert!(e2 > 1e-14 && (order - 5.0).abs() < 0.3, "order {order}");
        assert!(m2 > 1e-14 && dense_order > 3.7, "dense order {dense_order}");
    }
}
