//! A round post carried past a locked arm: contact on arcs of a radius smaller than the brush's.
//!
//! A point at angle α on a circle of radius r (centre o, α from the direction of travel), the brush passing at D from o: d = D − r sin α is how
//! far it passes from the point. The point is touched while the brush is within √(R² − d²) along the lane and above its tangent, up to d tan α
//! ahead of it: for α < 90° over √(R² − d²) + min(√(R² − d²), d tan α).

use crate::rig::*;
use brusharm::arm::Side;
use brusharm::vehicle::VehicleSpec;
use std::f64::consts::{FRAC_PI_4, PI};

/// As a share; see the side.
const REACHED: f64 = 2e-5;

const R_POST_M: f64 = 0.25;
const D_M: f64 = 0.65;

fn round() -> VehicleSpec {
    let tier = Tier { z_m: [0.3, 1.2], half_width_m: R_POST_M, setback_m: 0.0 };
    VehicleSpec { length_m: 2.0 * R_POST_M, ..body(&[tier], R_POST_M) }
}

#[test]
fn verif_every_station_of_a_post() {
    for exponent in [1.0, 1.5] {
        for side in Side::BOTH {
            let mut unit = locked(side, 0.5, D_M);
            unit.brush.exponent = exponent;
            let k = unit.brush.stiffness();
            let setup = pass(vec![unit], &round());
            let outcome = solve(&setup, &finest());
            let band = &outcome.coverage.bands[0];
            close(band.perimeter_m, 2.0 * PI * R_POST_M, 1e-9, "perimeter");
            let brush = |unit: &_, _| Post { stiffness: k, ..Post::of(unit) };
            assert!(compare_stations(&setup, &outcome, REACHED, brush) > 60);
            for (near_alpha, mirrored) in [(0.4, false), (FRAC_PI_4, false), (1.2, false), (1.2, true)] {
                let at = if mirrored { PI - near_alpha } else { near_alpha };
                let s = if side == Side::Left { R_POST_M * at } else { band.perimeter_m - R_POST_M * at };
                let there = station(&outcome, 0, s);
                // Behind the widest point the same, seen from the other end.
                let turn = there.s_m.min(band.perimeter_m - there.s_m) / R_POST_M;
                let alpha = turn.min(PI - turn);
                let d = D_M - R_POST_M * alpha.sin();
                let chord = (RADIUS_M * RADIUS_M - d * d).sqrt();
                let time = (chord + chord.min(d * alpha.tan())) / SPEED_M_S;
                assert!(time > 1.0);
                near(there.contact_s(), time, 0.01, "contact time");
            }
        }
    }
}

/// Beside the post the spindle turns against K H ∫ (R − ρ) cos β (μ ρ cos β + ℓ) dψ: ρ the free length, β the angle of incidence, by the middle rule
/// over the strips; sin β = (D/r) sin ψ.
#[test]
fn verif_spindle_power_on_a_post() {
    let outcome = solve(&pass(vec![locked(Side::Left, 0.5, D_M)], &round()), &finest());
    let far = (D_M * D_M + RADIUS_M * RADIUS_M - R_POST_M * R_POST_M) / (2.0 * D_M * RADIUS_M);
    // The last strip is the one that grazes the post, or the one that just reaches it.
    let graze = (R_POST_M / D_M).asin();
    let last = if (D_M * D_M - R_POST_M * R_POST_M).sqrt() < RADIUS_M { graze } else { far.acos() };
    let at = |psi: f64| {
        let miss = D_M * psi.sin();
        let inside = (R_POST_M * R_POST_M - miss * miss).max(0.0).sqrt();
        let rho = D_M * psi.cos() - inside;
        let cos = inside / R_POST_M;
        (RADIUS_M - rho).max(0.0) * cos * (FRICTION * rho * cos + LEAD_M)
    };
    let n = 20_000;
    let h = last / f64::from(n);
    let inner: f64 = (0..n).map(|i| at((f64::from(i) + 0.5) * h)).sum();
    let moment = 2.0 * stiffness() * BOX_HEIGHT_M * inner * h;
    near(timing(&outcome, Side::Left).spindle_peak_power_w, moment * SPIN_RAD_S, 1e-3, "spindle power");
    close(
        timing(&outcome, Side::Left).peak_indentation_m,
        RADIUS_M - (D_M - R_POST_M),
        1e-4,
        "deepest press",
    );
}
