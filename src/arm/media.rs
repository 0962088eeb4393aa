//! Push-back of the media: what a strip does when it is pressed, and how the push-back test gives its stiffness.
//!
//! A strip pressed by δ pushes back radially: dF = K δ^p dψ per unit height. Nobody knows K₀; anyone can press the stopped brush a
//! known depth into a flat board and read the force. For a flat board at distance d = R − δ₀ from the spindle
//!
//! F = K H ∫ (R − d/cos ψ)^p cos ψ dψ over |ψ| ≤ a, cos a = d/R;  p = 1:  F = 2 K H (R sin a − d a)
//!
//! and K₀ is F over that integral.

/// Push-back test: pressed `depth_m` into a flat board over `height_m` of media, it pushes back with `force_n`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PushBack {
    /// Depth, m.
    pub depth_m: f64,
    /// Force, N.
    pub force_n: f64,
    /// Height of media pressed on the board, m.
    pub height_m: f64,
}

impl PushBack {
    /// K₀, N/(m^(p+1) rad), for outer radius R and exponent p.
    pub fn stiffness(&self, radius_m: f64, exponent: f64) -> f64 {
        self.force_n / (self.height_m * flat_board_integral(radius_m, radius_m - self.depth_m, exponent))
    }
}

/// ∫ (R − d/cos ψ)^p cos ψ dψ over |ψ| ≤ acos(d/R), m^p: the shape of the push of a flat board at distance d.
pub fn flat_board_integral(radius_m: f64, distance_m: f64, exponent: f64) -> f64 {
    if distance_m >= radius_m {
        return 0.0;
    }
    let a = (distance_m / radius_m).acos();
    if exponent == 1.0 {
        return 2.0 * (radius_m * a.sin() - distance_m * a);
    }
    // Composite Simpson on a half; the integrand is smooth inside and vanishes at the end.
    let n = 512;
    let f = |psi: f64| (radius_m - distance_m / psi.cos()).max(0.0).powf(exponent) * psi.cos();
    let h = a / f64::from(n);
    let mut sum = f(0.0) + f(a);
    for i in 1..n {
        sum += f(f64::from(i) * h) * if i % 2 == 1 { 4.0 } else { 2.0 };
    }
    2.0 * sum * h / 3.0
}

/// Force between two overlapping brushes, N: lens contact. Each brush meets the common chord with half stiffness (two equal layers in
/// series), so F is the mean of the two flat-board forces at the chord with K/2.
///
/// `stiffness` in N/(m^(p+1) rad) per brush, `height_m` the shared height, `distance_m` between the spindles.
pub fn lens_force_n(
    radius_m: [f64; 2],
    stiffness: [f64; 2],
    exponent: [f64; 2],
    height_m: f64,
    distance_m: f64,
) -> f64 {
    let reach = radius_m[0] + radius_m[1];
    if distance_m >= reach || distance_m <= 0.0 {
        return 0.0;
    }
    // Chord of two circles: distance from each centre.
    let d0 = 0.5 * (distance_m + (radius_m[0] * radius_m[0] - radius_m[1] * radius_m[1]) / distance_m);
    let d1 = 0.5 * (distance_m + (radius_m[1] * radius_m[1] - radius_m[0] * radius_m[0]) / distance_m);
    let one = |i: usize, d: f64| {
        0.5 * stiffness[i] * height_m * flat_board_integral(radius_m[i], d.max(0.0), exponent[i])
    };
    0.5 * (one(0, d0) + one(1, d1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_push_back_inverts_the_flat_closed_form() {
        let test = PushBack { depth_m: 0.1524, force_n: 44.48, height_m: 1.2 };
        let k = test.stiffness(0.6, 1.0);
        let d: f64 = 0.6 - 0.1524;
        let a = (d / 0.6).acos();
        assert!((2.0 * k * 1.2 * (0.6 * a.sin() - d * a) - 44.48).abs() < 1e-10);
        // The quadrature used for other exponents agrees with the closed form at p = 1.
        let near = flat_board_integral(0.6, d, 1.0 + 1e-9);
        assert!((near / flat_board_integral(0.6, d, 1.0) - 1.0).abs() < 1e-6 && near > 0.01);
    }

    #[test]
    fn verif_equal_lens_is_half_of_the_flat_board_at_half_distance() {
        let f = lens_force_n([0.6, 0.6], [500.0, 500.0], [1.0, 1.0], 1.0, 1.0);
        let flat = 250.0 * flat_board_integral(0.6, 0.5, 1.0);
        assert!((f - flat).abs() < 1e-12 && f > 1.0);
        assert_eq!(lens_force_n([0.6, 0.6], [500.0, 500.0], [1.0, 1.0], 1.0, 1.2), 0.0);
    }
}
