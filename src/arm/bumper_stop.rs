//! Bumper stop: a progressive elastomer at radius r_s that only pushes.
//!
//! F = max(0, k₁ x + k₃ x³ + c ẋ + k_r ⟨x − x_full⟩) for compression x > 0; rigid (k_r) past its full compression. At zero force
//! it lets go: a stop never pulls (release at zero force, as against release at zero compression: S. P. Bartz, arXiv 2204.10917
//! names both conventions). τ = ±F r_s, away from the stop.

/// A bumper stop; the inboard one resists φ < seat, the outboard one φ > seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BumperStop {
    /// Swing angle at which the arm just touches the elastomer, rad.
    pub seat_rad: f64,
    /// Radius of the stop from the pivot, m.
    pub radius_m: f64,
    /// k₁, N/m.
    pub linear_n_per_m: f64,
    /// k₃, N/m³.
    pub cubic_n_per_m3: f64,
    /// c, N s/m.
    pub damping_n_s_per_m: f64,
    /// Compression at which the elastomer is full, m.
    pub full_compression_m: f64,
    /// Stiffness past full compression, N/m.
    pub rigid_n_per_m: f64,
}

impl BumperStop {
    /// Elastic force at compression `x_m` > 0, N.
    pub fn elastic_n(&self, x_m: f64) -> f64 {
        let past = (x_m - self.full_compression_m).max(0.0);
        self.linear_n_per_m * x_m + self.cubic_n_per_m3 * x_m * x_m * x_m + self.rigid_n_per_m * past
    }

    /// Force before clipping, N: negative means the stop has let go.
    pub fn raw_force_n(&self, x_m: f64, rate_m_s: f64) -> f64 {
        self.elastic_n(x_m) + self.damping_n_s_per_m * rate_m_s
    }

    /// Elastic energy, J.
    pub fn energy_j(&self, x_m: f64) -> f64 {
        if x_m <= 0.0 {
            return 0.0;
        }
        let past = (x_m - self.full_compression_m).max(0.0);
        0.5 * self.linear_n_per_m * x_m * x_m
            + 0.25 * self.cubic_n_per_m3 * x_m.powi(4)
            + 0.5 * self.rigid_n_per_m * past * past
    }
}
