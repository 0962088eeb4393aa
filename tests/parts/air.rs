//! Chambers: supply and exhaust apart, both ends, the valve's delay, and chambers that follow their source.

use super::{at, forces, integral, modes, moving};
use crate::common::machine::{plain_spec, setup};
use crate::common::{FINE, bare_unit, crossing_s};
use brusharm::arm::{
    AirCylinder, Chamber, ChamberLine, ChamberName, Regulator, Strut, UnitModel, ValveConnection, ValveStep,
    VehicleEnd,
};
use brusharm::fluid::{ATMOSPHERE_PA, R_AIR_J_KG_K, RHO_ANR_KG_M3};
use brusharm::geometry::Vec2;
use brusharm::pass::motion::{Motion, state};
use brusharm::pass::{SwingStart, run, swing};
use brusharm::scenario::Scenario;
use std::f64::consts::FRAC_PI_2;

const SUPPLY: (f64, f64) = (3e-9, 0.2);
const EXHAUST: (f64, f64) = (1e-9, 0.45);
const SET_PA: f64 = 400e3;

/// Chambers of half a litre (cap) and a quarter (rod) on a locked arm; ℓ′ = 0.5 m at φ = 90°, ℓ = 0.7 m, half the stroke out.
fn unit(cap: ValveConnection, rod: ValveConnection) -> UnitModel {
    let line = |initial| ChamberLine {
        regulator: Regulator { set_gauge_pa: SET_PA - ATMOSPHERE_PA, relieving: true },
        supply_c_m3_s_pa: SUPPLY.0,
        supply_b: SUPPLY.1,
        exhaust_c_m3_s_pa: EXHAUST.0,
        exhaust_b: EXHAUST.1,
        initial,
    };
    let mut unit = bare_unit(80.0);
    (unit.pivot.coulomb_n_m, unit.pivot.breakaway_n_m) = (1e9, 1e9);
    unit.cylinder = Some(AirCylinder {
        strut: Strut { frame_anchor_m: Vec2::new(0.5, -0.7), arm_along_m: 0.5, arm_across_m: 0.0 },
        closed_length_m: 0.5,
        stroke_m: 0.4,
        cap: Chamber { area_m2: 2e-3, dead_volume_m3: 5e-4 - 2e-3 * 0.2, line: line(cap) },
        rod: Chamber { area_m2: 1e-3, dead_volume_m3: 2.5e-4 - 1e-3 * 0.2, line: line(rod) },
        seal_friction_n: 0.0,
        polytropic_index: 1.0,
        temperature_k: 293.15,
        schedule: Vec::new(),
    });
    unit
}

/// Time to fill isothermally from p₀ to p on a source p_s: choked to b p_s at the rate K p_s, then (1 − b)/K Δ asin X, X = (p/p_s − b)/(1 − b), K = C ρ₀ R T/V.
fn fill_s((c, b): (f64, f64), volume: f64, source: f64, from: f64, to: f64) -> f64 {
    let k = c * RHO_ANR_KG_M3 * R_AIR_J_KG_K * 293.15 / volume;
    let angle = |p: f64| ((p / source - b) / (1.0 - b)).asin();
    let start = from.max(b * source);
    (start - from) / (k * source) + (1.0 - b) / k * (angle(to) - angle(start))
}

/// Time to empty isothermally into p_a: choked, ln(p₀/p)/K, to p_a/b; then q = p_a/p grows as dq/dt = K q √(1 − X²), with X = sin θ
/// (1 − b)/K ∫ dθ/(b + (1 − b) sin θ).
fn empty_s((c, b): (f64, f64), volume: f64, outside: f64, from: f64, to: f64) -> f64 {
    let k = c * RHO_ANR_KG_M3 * R_AIR_J_KG_K * 293.15 / volume;
    let choked_to = (outside / b).min(from).max(to);
    let angle = |p: f64| ((outside / p - b) / (1.0 - b)).asin();
    let subsonic = integral(angle(choked_to), angle(to), |theta| 1.0 / (b + (1.0 - b) * theta.sin()));
    (from / choked_to).ln() / k + (1.0 - b) / k * subsonic
}

/// Filling goes by C and b of the supply, emptying by those of the exhaust, at both ends, each with its own volume.
#[test]
fn verif_supply_and_exhaust_have_their_own_path() {
    use ValveConnection::{Closed, Exhaust, Supply};
    let start = |cap: f64, rod: f64| SwingStart {
        phi_rad: FRAC_PI_2,
        omega_rad_s: 0.0,
        pressures_pa: Some((cap, rod)),
    };
    for (k, volume) in [(state::P_CAP, 5e-4), (state::P_ROD, 2.5e-4)] {
        let connect = |to| if k == state::P_CAP { unit(to, Closed) } else { unit(Closed, to) };
        // From atmosphere (above b p_s, so subsonic all along) and from a near vacuum (choked first).
        for from in [ATMOSPHERE_PA, 40e3] {
            let record = swing(&connect(Supply), &start(from, from), 6.0, &FINE).expect("runs");
            let t = crossing_s(&record, 0.0, |t| record.state_at(t).y[k] - 0.9 * SET_PA).expect("it fills");
            let expected = fill_s(SUPPLY, volume, SET_PA, from, 0.9 * SET_PA);
            assert!((t / expected - 1.0).abs() < 1e-7, "component {k}: {t} s, not {expected}");
            let wrong = fill_s(EXHAUST, volume, SET_PA, from, 0.9 * SET_PA);
            assert!((wrong / expected - 1.0).abs() > 0.3);
        }
        for from in [SET_PA, 150e3] {
            let record = swing(&connect(Exhaust), &start(from, from), 12.0, &FINE).expect("runs");
            let to = 1.05 * ATMOSPHERE_PA;
            let t = crossing_s(&record, 0.0, |t| record.state_at(t).y[k] - to).expect("it empties");
            let expected = empty_s(EXHAUST, volume, ATMOSPHERE_PA, from, to);
            assert!((t / expected - 1.0).abs() < 1e-7, "component {k}: {t} s, not {expected}");
        }
        // A relieving regulator takes air back through the supply path.
        let record = swing(&connect(Supply), &start(600e3, 600e3), 6.0, &FINE).expect("runs");
        let to = 1.05 * SET_PA;
        let t = crossing_s(&record, 0.0, |t| record.state_at(t).y[k] - to).expect("it relieves");
        let expected = empty_s(SUPPLY, volume, SET_PA, 600e3, to);
        assert!((t / expected - 1.0).abs() < 1e-7, "component {k}: {t} s, not {expected}");
    }
}

/// ṗ = (n/V)(R T ṁ − p V̇), valves shut, at 0.4 rad/s (0.2 m/s of rod): cap −1.2 × 200e3 × 2e-3 × 0.2/5e-4, rod +1.2 × 300e3 × 1e-3 × 0.2/2.5e-4.
/// Push 98 675 × 2e-3 − 198 675 × 1e-3 N over 0.5 m.
#[test]
fn verif_shut_chambers_by_hand() {
    let mut unit = unit(ValveConnection::Closed, ValveConnection::Closed);
    unit.cylinder.as_mut().expect("fitted").polytropic_index = 1.2;
    let mut y = at(FRAC_PI_2, 0.4);
    (y[state::P_CAP], y[state::P_ROD]) = (200e3, 300e3);
    let (f, dy) = forces(&unit, &moving(0.4), &y);
    assert!((dy[state::P_CAP] / -192_000.0 - 1.0).abs() < 1e-12, "{}", dy[state::P_CAP]);
    assert!((dy[state::P_ROD] / 288_000.0 - 1.0).abs() < 1e-12, "{}", dy[state::P_ROD]);
    let push = (200e3 - ATMOSPHERE_PA) * 2e-3 - (300e3 - ATMOSPHERE_PA) * 1e-3;
    assert!((f.budget.air_n_m - 0.5 * push).abs() < 1e-9 && push.abs() > 1.0, "{}", f.budget.air_n_m);
    assert!((dy[state::W_AIR] - 0.5 * push * 0.4).abs() < 1e-9);
}

/// A following chamber stands where what flows in is what the piston makes room for: p = κ′ p_s/(κ′ + V̇), κ′ = R T C ρ₀ w(0.995)/0.005, closing in at
/// n κ′/V; the rod end sees −A ℓ̇.
#[test]
fn verif_following_chamber_by_hand() {
    use ValveConnection::{Closed, Exhaust, Supply};
    let slope = |(c, b): (f64, f64)| {
        let w = (1.0 - ((0.995 - b) / (1.0 - b)).powi(2)).sqrt();
        R_AIR_J_KG_K * 293.15 * c * RHO_ANR_KG_M3 * w / 0.005
    };
    for (on, path, source) in [(Supply, SUPPLY, SET_PA), (Exhaust, EXHAUST, ATMOSPHERE_PA)] {
        let unit = unit(on, on);
        for omega in [0.001, -0.001] {
            let mut modes = moving(omega);
            (modes.cap_on, modes.rod_on, modes.cap_quasi_steady, modes.rod_quasi_steady) =
                (on, on, true, true);
            let (f, dy) = forces(&unit, &modes, &at(FRAC_PI_2, omega));
            let k = slope(path);
            let cap = k * source / (k + 2e-3 * 0.5 * omega);
            let rod = k * source / (k - 1e-3 * 0.5 * omega);
            let (found_cap, found_rod) = (f.cap.expect("follows"), f.rod.expect("follows"));
            assert!((found_cap.pressure_pa / cap - 1.0).abs() < 1e-13 && (cap - source).abs() > 10.0);
            assert!((found_rod.pressure_pa / rod - 1.0).abs() < 1e-13 && (rod - source).abs() > 5.0);
            assert!((found_cap.rate_per_s / (k / 5e-4) - 1.0).abs() < 1e-12);
            assert!((found_rod.rate_per_s / (k / 2.5e-4) - 1.0).abs() < 1e-12);
            assert!((found_cap.strain - (cap - source).abs() / source).abs() < 1e-15);
            let push = (cap - ATMOSPHERE_PA) * 2e-3 - (rod - ATMOSPHERE_PA) * 1e-3;
            assert!((f.budget.air_n_m - 0.5 * push).abs() < 1e-9);
            assert!(dy[state::P_CAP] == 0.0 && dy[state::P_ROD] == 0.0);
        }
    }
    // Neither a shut chamber nor one that takes air one way only follows.
    let mut one_way = unit(Supply, Supply);
    one_way.cylinder.as_mut().expect("fitted").cap.line.regulator.relieving = false;
    let mut on = modes(Motion::Stick);
    (on.cap_on, on.rod_on) = (Supply, Closed);
    let (f, _) = forces(&one_way, &on, &at(FRAC_PI_2, 0.0));
    assert!(f.cap.is_none() && f.rod.is_none());
}

/// A valve step takes effect at trigger + delay to the instant, by nose and by tail, and not before: 0.25 s later it all comes 0.25 s later.
#[test]
fn verif_valve_delay_moves_the_switch_by_itself() {
    let mut one = setup(&plain_spec(1), 100.0);
    one.units.truncate(1);
    one.train.truncate(1);
    one.measured = 0;
    let step =
        |end, at_m: f64, delay_s: f64, to| ValveStep { end, at_m, delay_s, chamber: ChamberName::Cap, to };
    let switched = |delay_s: f64| {
        let mut setup = one.clone();
        setup.units[0].cylinder.as_mut().expect("fitted").schedule = vec![
            step(VehicleEnd::Nose, 1.0, delay_s, ValveConnection::Supply),
            step(VehicleEnd::Tail, 1.0, delay_s, ValveConnection::Exhaust),
        ];
        let record = run(&setup).expect("runs");
        let pairs = record.units[0].steps.windows(2);
        let times: Vec<f64> =
            pairs.filter(|p| p[0].modes.cap_on != p[1].modes.cap_on).map(|p| p[1].start_s).collect();
        times
    };
    let (v, length_m) = (one.conveyor_speed_m_s, 4.8);
    for delay_s in [0.0, 0.03, 0.28] {
        let times = switched(delay_s);
        assert!((times[0] - (1.0 / v + delay_s)).abs() < 1e-9, "{times:?}");
        assert!((times[1] - ((1.0 + length_m) / v + delay_s)).abs() < 1e-9, "{times:?}");
    }
}

/// The file's pull-in time is added to the delay of every step.
#[test]
fn verif_pull_in_is_added_to_every_delay() {
    let path = format!("{}/scenarios/air-drop.ron", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the scenario");
    assert!(text.contains("valve_pull_in: \"30 ms\""));
    let read = |text: &str| Scenario::read_alone(text, "air-drop.ron").expect("good").setup();
    let slow = read(&text.replace("valve_pull_in: \"30 ms\"", "valve_pull_in: \"130 ms\""));
    for (unit, later) in read(&text).units.iter().zip(&slow.units) {
        let delays = |u: &UnitModel| -> Vec<f64> {
            u.cylinder.as_ref().expect("fitted").schedule.iter().map(|s| s.delay_s).collect()
        };
        for (got, want) in delays(unit).iter().zip([0.03, 0.03, 0.03, 0.23]) {
            assert!((got - want).abs() < 1e-12, "{got}");
        }
        for (got, want) in delays(later).iter().zip([0.13, 0.13, 0.13, 0.33]) {
            assert!((got - want).abs() < 1e-12, "{got}");
        }
    }
}
