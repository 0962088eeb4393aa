//! Sobol points: a low-discrepancy sequence in up to 64 dimensions, any point at any time.
//!
//! Law: `x_n = XOR of v_j over the bits j set in gray(n)`, `gray(n) = n XOR (n >> 1)`, in units of 2^-32. The direction
//! numbers `v_j` come from a primitive polynomial and starting values for each dimension.
//!
//! Source: I. M. Sobol', USSR Comput. Math. Math. Phys. 7(4):86-112 (1967); order by Gray code: I. A. Antonov and V. M. Saleev,
//! USSR Comput. Math. Math. Phys. 19(1):252-256 (1979); polynomials and starting values: S. Joe and F. Y. Kuo, «Constructing Sobol
//! sequences with better two-dimensional projections», SIAM J. Sci. Comput. 30(5):2635-2654 (2008), their table `new-joe-kuo-6`, first 64
//! dimensions. Checked against SciPy 1.17.1 (`scipy.stats.qmc.Sobol`, no scrambling), which uses the same table.

/// The most dimensions there are direction numbers for.
pub const MAX_DIMENSIONS: usize = DIRECTIONS.len();

const BITS: usize = 32;

/// A Sobol sequence of some number of dimensions.
#[derive(Debug, Clone)]
pub struct Sobol {
    directions: Vec<[u32; BITS]>,
    shift: Vec<u32>,
}

impl Sobol {
    /// The sequence as published: point 0 is the origin. `None` above [`MAX_DIMENSIONS`].
    pub fn new(dimensions: usize) -> Option<Sobol> {
        let table = DIRECTIONS.get(..dimensions)?;
        let directions =
            table.iter().map(|(polynomial, start)| direction_numbers(*polynomial, start)).collect();
        Some(Sobol { directions, shift: vec![0; dimensions] })
    }

    /// The same points with each dimension's bits flipped by a number drawn from `seed` (ChaCha8): another sample as evenly spread. Seed 0
    /// leaves the published sequence.
    pub fn shifted(mut self, seed: u64) -> Sobol {
        use rand::{Rng, SeedableRng};
        if seed != 0 {
            let mut draw = rand::rngs::ChaCha8Rng::seed_from_u64(seed);
            self.shift.iter_mut().for_each(|bits| *bits = draw.next_u32());
        }
        self
    }

    /// Number of dimensions.
    pub fn dimensions(&self) -> usize {
        self.directions.len()
    }

    /// Coordinate `dimension` of point `index`, in 0 (included) to 1 (not included). Points repeat after 2^32.
    ///
    /// # Panics
    /// When `dimension` is not below [`Sobol::dimensions`].
    pub fn coordinate(&self, index: u64, dimension: usize) -> f64 {
        let mut gray = (index ^ (index >> 1)) as u32;
        let mut bits = self.shift[dimension];
        while gray != 0 {
            bits ^= self.directions[dimension][gray.trailing_zeros() as usize];
            gray &= gray - 1;
        }
        f64::from(bits) / 4_294_967_296.0
    }
}

/// `v_j` of one dimension from its polynomial (bits, leading term included) and its starting values.
fn direction_numbers(polynomial: u32, start: &[u32]) -> [u32; BITS] {
    let degree = polynomial.ilog2() as usize;
    let mut v = [0_u32; BITS];
    for j in 0..BITS {
        v[j] = if degree == 0 {
            1 << (BITS - 1 - j)
        } else if j < degree {
            start[j] << (BITS - 1 - j)
        } else {
            // Joe and Kuo's recurrence: the inner coefficients of the polynomial pick earlier numbers.
            (1..degree)
                .filter(|k| polynomial >> (degree - k) & 1 == 1)
                .fold(v[j - degree] ^ (v[j - degree] >> degree), |number, k| number ^ v[j - k])
        };
    }
    v
}

/// Polynomial and starting values of each dimension.
#[rustfmt::skip]
const DIRECTIONS: [(u32, &[u32]); 64] = [
    (1, &[1]),
    (3, &[1]),
    (7, &[1, 3]),
    (11, &[1, 3, 1]),
    (13, &[1, 1, 1]),
    (19, &[1, 1, 3, 3]),
    (25, &[1, 3, 5, 13]),
    (37, &[1, 1, 5, 5, 17]),
    (41, &[1, 1, 5, 5, 5]),
    (47, &[1, 1, 7, 11, 19]),
    (55, &[1, 1, 5, 1, 1]),
    (59, &[1, 1, 1, 3, 11]),
    (61, &[1, 3, 5, 5, 31]),
    (67, &[1, 3, 3, 9, 7, 49]),
    (91, &[1, 1, 1, 15, 21, 21]),
    (97, &[1, 3, 1, 13, 27, 49]),
    (103, &[1, 1, 1, 15, 7, 5]),
    (109, &[1, 3, 1, 15, 13, 25]),
    (115, &[1, 1, 5, 5, 19, 61]),
    (131, &[1, 3, 7, 11, 23, 15, 103]),
    (137, &[1, 3, 7, 13, 13, 15, 69]),
    (143, &[1, 1, 3, 13, 7, 35, 63]),
    (145, &[1, 3, 5, 9, 1, 25, 53]),
    (157, &[1, 3, 1, 13, 9, 35, 107]),
    (167, &[1, 3, 1, 5, 27, 61, 31]),
    (171, &[1, 1, 5, 11, 19, 41, 61]),
    (185, &[1, 3, 5, 3, 3, 13, 69]),
    (191, &[1, 1, 7, 13, 1, 19, 1]),
    (193, &[1, 3, 7, 5, 13, 19, 59]),
    (203, &[1, 1, 3, 9, 25, 29, 41]),
    (211, &[1, 3, 5, 13, 23, 1, 55]),
    (213, &[1, 3, 7, 3, 13, 59, 17]),
    (229, &[1, 3, 1, 3, 5, 53, 69]),
    (239, &[1, 1, 5, 5, 23, 33, 13]),
    (241, &[1, 1, 7, 7, 1, 61, 123]),
    (247, &[1, 1, 7, 9, 13, 61, 49]),
    (253, &[1, 3, 3, 5, 3, 55, 33]),
    (285, &[1, 3, 1, 15, 31, 13, 49, 245]),
    (299, &[1, 3, 5, 15, 31, 59, 63, 97]),
    (301, &[1, 3, 1, 11, 11, 11, 77, 249]),
    (333, &[1, 3, 1, 11, 27, 43, 71, 9]),
    (351, &[1, 1, 7, 15, 21, 11, 81, 45]),
    (355, &[1, 3, 7, 3, 25, 31, 65, 79]),
    (357, &[1, 3, 1, 1, 19, 11, 3, 205]),
    (361, &[1, 1, 5, 9, 19, 21, 29, 157]),
    (369, &[1, 3, 7, 11, 1, 33, 89, 185]),
    (391, &[1, 3, 3, 3, 15, 9, 79, 71]),
    (397, &[1, 3, 7, 11, 15, 39, 119, 27]),
    (425, &[1, 1, 3, 1, 11, 31, 97, 225]),
    (451, &[1, 1, 1, 3, 23, 43, 57, 177]),
    (463, &[1, 3, 7, 7, 17, 17, 37, 71]),
    (487, &[1, 3, 1, 5, 27, 63, 123, 213]),
    (501, &[1, 1, 3, 5, 11, 43, 53, 133]),
    (529, &[1, 3, 5, 5, 29, 17, 47, 173, 479]),
    (539, &[1, 3, 3, 11, 3, 1, 109, 9, 69]),
    (545, &[1, 1, 1, 5, 17, 39, 23, 5, 343]),
    (557, &[1, 3, 1, 5, 25, 15, 31, 103, 499]),
    (563, &[1, 1, 1, 11, 11, 17, 63, 105, 183]),
    (601, &[1, 1, 5, 11, 9, 29, 97, 231, 363]),
    (607, &[1, 1, 5, 15, 19, 45, 41, 7, 383]),
    (617, &[1, 3, 7, 7, 31, 19, 83, 137, 221]),
    (623, &[1, 1, 1, 3, 23, 15, 111, 223, 83]),
    (631, &[1, 1, 5, 13, 31, 15, 55, 25, 161]),
    (637, &[1, 1, 3, 13, 25, 47, 39, 87, 257]),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_points_equal_scipy() {
        // SciPy 1.17.1: scipy.stats.qmc.Sobol(d=8, scramble=False, bits=32).random(64), rows 0, 1, 2, 5, 17, 63.
        let sobol = Sobol::new(8).unwrap();
        let rows: [(u64, [f64; 8]); 6] = [
            (0, [0.0; 8]),
            (1, [0.5; 8]),
            (2, [0.75, 0.25, 0.25, 0.25, 0.75, 0.75, 0.25, 0.75]),
            (5, [0.875, 0.875, 0.125, 0.375, 0.875, 0.625, 0.875, 0.375]),
            (17, [0.59375, 0.96875, 0.96875, 0.15625, 0.78125, 0.46875, 0.03125, 0.34375]),
            (63, [0.015625, 0.796875, 0.359375, 0.453125, 0.859375, 0.140625, 0.578125, 0.140625]),
        ];
        for (index, row) in rows {
            for (dimension, value) in row.iter().enumerate() {
                assert_eq!(
                    sobol.coordinate(index, dimension),
                    *value,
                    "point {index}, dimension {dimension}"
                );
            }
        }
        // The same with d=64: point 1000, dimensions 0, 1, 10, 31, 47, 63, and the sum of all coordinates of the first 1024 points.
        let sobol = Sobol::new(64).unwrap();
        let point: Vec<f64> = [0, 1, 10, 31, 47, 63].iter().map(|d| sobol.coordinate(1000, *d)).collect();
        assert_eq!(
            point,
            [0.2197265625, 0.0966796875, 0.0849609375, 0.1455078125, 0.9189453125, 0.4462890625]
        );
        let sum: f64 =
            (0..1024).flat_map(|i| (0..64).map(move |d| (i, d))).map(|(i, d)| sobol.coordinate(i, d)).sum();
        assert_eq!(sum, 32736.0);
    }

    #[test]
    fn verif_every_dimension_fills_every_interval_once() {
        // A (t, m, s)-net property: the first 2^m points have exactly one in each of 2^m equal intervals of every axis.
        for seed in [0, 9] {
            let sobol = Sobol::new(MAX_DIMENSIONS).unwrap().shifted(seed);
            for dimension in 0..MAX_DIMENSIONS {
                let mut seen = [false; 256];
                (0..256).for_each(|i| seen[(sobol.coordinate(i, dimension) * 256.0) as usize] = true);
                assert!(seen.iter().all(|s| *s), "dimension {dimension}");
            }
        }
        assert!(Sobol::new(MAX_DIMENSIONS + 1).is_none());
    }
}
