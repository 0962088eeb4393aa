//! Compressed air through a restriction: the ISO 6358 law.
//!
//! With sonic conductance `C`, critical pressure ratio `b`, upstream absolute pressure `p1`, downstream `p2` and
//! upstream temperature `T1`:
//!
//! ```text
//! choked     p2/p1 <= b         m = C p1 rho0 sqrt(T0/T1)
//! subsonic   b < p2/p1 <= lam   m = C p1 rho0 sqrt(T0/T1) sqrt(1 - ((p2/p1 - b)/(1 - b))^2)
//! laminar    lam < p2/p1 < 1    m = k1 p1 (1 - p2/p1) sqrt(T0/T1),
//!                               k1 = C rho0/(1 - lam) sqrt(1 - ((lam - b)/(1 - b))^2)
//! ```
//!
//! The laminar cap replaces the infinite slope at equal pressures by a straight line that meets the subsonic branch at
//! the ratio `lam`. Sign: the result is the flow from side 1 to side 2 and is never negative; use
//! [`iso6358_signed_mass_flow_kg_s`] where the flow may turn round.
//!
//! Source: formula as printed in the documentation of two general simulation tools for an «ISO 6358 orifice» block
//! (MathWorks Simscape, Maplesoft); the text of ISO 6358-1:2013 itself was not opened.

/// Density of air at the reference state of the standard (100 kPa, 293.15 K, 65 % humidity), kg/m³. A fixed constant
/// of the standard: never recompute it (humid air at that state really comes to 1.182).
pub const RHO_ANR_KG_M3: f64 = 1.185;

/// Temperature of the reference state, K.
pub const T_ANR_K: f64 = 293.15;

/// Gas constant of dry air, J/(kg K) (ISO 2533; value from memory).
pub const R_AIR_J_KG_K: f64 = 287.052_87;

/// Pressure ratio p2/p1 above which the laminar straight line takes over, when nothing else is asked for.
pub const STANDARD_LAMINAR_RATIO: f64 = 0.999;

/// Mass flow, kg/s, from side 1 to side 2 with the usual laminar cap of [`STANDARD_LAMINAR_RATIO`].
///
/// * `c_m3_s_pa`: sonic conductance, m³/(s Pa) at the reference state (1 dm³/(s bar) = 1e-8), not negative.
/// * `b`: critical pressure ratio, 0 ≤ b < 0.999.
/// * `p1_pa`, `p2_pa`: **absolute** pressures, Pa, upstream and downstream.
/// * `t1_k`: upstream temperature, K, above zero.
///
/// Zero when `p2_pa >= p1_pa`. A NaN given is a NaN returned.
#[inline]
#[must_use]
pub fn iso6358_mass_flow_kg_s(c_m3_s_pa: f64, b: f64, p1_pa: f64, p2_pa: f64, t1_k: f64) -> f64 {
    iso6358_mass_flow_capped_kg_s(c_m3_s_pa, b, p1_pa, p2_pa, t1_k, STANDARD_LAMINAR_RATIO)
}

/// As [`iso6358_mass_flow_kg_s`], with the laminar cap starting at `laminar_ratio` (b < ratio < 1; the sources use
/// 0.995 to 0.999).
#[inline]
#[must_use]
pub fn iso6358_mass_flow_capped_kg_s(
    c_m3_s_pa: f64,
    b: f64,
    p1_pa: f64,
    p2_pa: f64,
    t1_k: f64,
    laminar_ratio: f64,
) -> f64 {
    if p2_pa >= p1_pa {
        return 0.0;
    }
    let choked_kg_s = c_m3_s_pa * p1_pa * RHO_ANR_KG_M3 * (T_ANR_K / t1_k).sqrt();
    let ratio = p2_pa / p1_pa;
    if ratio <= b {
        return choked_kg_s;
    }
    if ratio <= laminar_ratio {
        return choked_kg_s * subsonic_factor(ratio, b);
    }
    // Written as a difference of pressures: 1 - ratio would lose digits where the two nearly agree.
    choked_kg_s * subsonic_factor(laminar_ratio, b) * ((p1_pa - p2_pa) / p1_pa) / (1.0 - laminar_ratio)
}

/// Mass flow, kg/s, positive from side A to side B and negative the other way. Each side has its own temperature,
/// because the law uses that of the side the air comes from. Odd in the pressures when both temperatures agree.
#[inline]
#[must_use]
pub fn iso6358_signed_mass_flow_kg_s(
    c_m3_s_pa: f64,
    b: f64,
    side_a_pa: f64,
    side_a_k: f64,
    side_b_pa: f64,
    side_b_k: f64,
) -> f64 {
    if side_a_pa >= side_b_pa {
        iso6358_mass_flow_kg_s(c_m3_s_pa, b, side_a_pa, side_b_pa, side_a_k)
    } else {
        -iso6358_mass_flow_kg_s(c_m3_s_pa, b, side_b_pa, side_a_pa, side_b_k)
    }
}

/// The quarter-ellipse of the subsonic branch: 1 at the critical ratio, 0 at equal pressures.
#[inline]
fn subsonic_factor(ratio: f64, b: f64) -> f64 {
    let x = (ratio - b) / (1.0 - b);
    // (1 - x)(1 + x) keeps its digits near x = 1, where 1 - x² would not.
    ((1.0 - x) * (1.0 + x)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const ATM: f64 = 101_325.0;
    const PSI: f64 = 6_894.757_293_168_361;

    /// ISO 6358 flows worked outside the project with the formula printed for MathWorks Simscape «Constant Area Pneumatic
    /// Orifice (ISO 6358)»; the first row is also the definition: 600 kPa × 1e-8 m³/(s Pa) = 6 dm³/s of reference air.
    #[test]
    fn val_iso6358_worked_flows() {
        let rows = [
            (1e-8, 0.3, 600e3, 100e3, 293.15, 7.1100e-3),
            (1e-8, 0.3, 600e3, 500e3, 293.15, 4.605_069_300_814_713e-3),
            (1e-8, 0.3, 600e3, 500e3, 313.15, 4.455_586_828_648_287e-3),
            (5e-9, 0.25, ATM + 10.0 * PSI, ATM, 293.15, 8.957_378_394_027_577e-4),
            (5e-9, 0.25, ATM + 20.0 * PSI, ATM, 293.15, 1.378_903_623_570_469e-3),
            (5e-9, 0.25, ATM + 20.0 * PSI, ATM + 10.0 * PSI, 293.15, 1.116_857_309_940_627e-3),
        ];
        for (c, b, p1, p2, t1, expected) in rows {
            let got = iso6358_mass_flow_kg_s(c, b, p1, p2, t1);
            held!((got / expected - 1.0).abs(), 1e-12);
            assert!(got > 1e-4);
        }
        let anr_m3_s = iso6358_mass_flow_kg_s(1e-8, 0.3, 600e3, 100e3, 293.15) / RHO_ANR_KG_M3;
        held!((anr_m3_s / 6.0e-3 - 1.0).abs(), 1e-12);
    }

    /// The slope of the laminar cap as printed by MathWorks Simscape: k1 = C rho0/(1-lam) sqrt(1-((lam-b)/(1-b))²).
    #[test]
    fn val_laminar_cap_slope() {
        for lam in [0.995_f64, 0.999] {
            let (c, b, p1) = (2e-9, 0.3, 300e3);
            let x = (lam - b) / (1.0 - b);
            let k1 = c * 1.185 / (1.0 - lam) * (1.0 - x * x).sqrt();
            let ratio = 1.0 - 0.2 * (1.0 - lam);
            let got = iso6358_mass_flow_capped_kg_s(c, b, p1, ratio * p1, T_ANR_K, lam);
            held!((got / (k1 * p1 * (1.0 - ratio)) - 1.0).abs(), 1e-9);
            assert!(got > 1e-7);
        }
    }

    #[test]
    fn verif_branches_meet() {
        let flow = |ratio: f64| iso6358_mass_flow_kg_s(1e-8, 0.3, 500e3, ratio * 500e3, 293.15);
        for seam in [0.3, STANDARD_LAMINAR_RATIO] {
            let below = flow(seam - 1e-12);
            let above = flow(seam + 1e-12);
            assert_relative_eq!(below, above, max_relative = 1e-7);
            assert!(below > 1e-5);
        }
        assert_eq!(flow(1.0).to_bits(), 0.0_f64.to_bits());
        assert_eq!(flow(1.2).to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn verif_never_rises_with_back_pressure() {
        let mut last = f64::INFINITY;
        for i in 0..=2000 {
            let p2 = 400e3 * f64::from(i) / 2000.0;
            let m = iso6358_mass_flow_kg_s(3e-9, 0.25, 400e3, p2, 293.15);
            assert!(m <= last, "flow rose at p2 = {p2}");
            last = m;
        }
        assert_eq!(last.to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn verif_signed_flow_is_odd() {
        for (a, b) in [(200e3, 150e3), (200e3, 199.99e3), (500e3, 100e3)] {
            let forth = iso6358_signed_mass_flow_kg_s(4e-9, 0.3, a, 293.15, b, 293.15);
            let back = iso6358_signed_mass_flow_kg_s(4e-9, 0.3, b, 293.15, a, 293.15);
            assert!(forth > 0.0);
            assert_eq!(forth.to_bits(), (-back).to_bits());
        }
    }
}
