//! Shared by the proofs of the engine: a bare unit (everything off that a test does not switch on), an invented whole machine, and ways to
//! read a record.
#![allow(dead_code)]

pub mod machine;

use brusharm::arm::{
    ArmBody, ArmPart, BearingOffsets, Bearings, Brush, BumperStop, Media, PivotFriction, PushBack, Side,
    SpinSense, UnitModel,
};
use brusharm::geometry::Vec2;
use brusharm::pass::{Numerics, SwingStart, UnitRecord, swing};

/// Integration far finer than a pass needs, so that a difference from a reference is the model's.
pub const FINE: Numerics = Numerics { tolerance: 1e-11, longest_step_s: 0.25 };

/// A stop so far away that no swing of a test meets it.
pub fn far_stop(seat_rad: f64) -> BumperStop {
    BumperStop {
        seat_rad,
        radius_m: 1.0,
        linear_n_per_m: 1e4,
        cubic_n_per_m3: 0.0,
        damping_n_s_per_m: 0.0,
        full_compression_m: 0.05,
        rigid_n_per_m: 1e6,
    }
}

/// An arm on a frictionless plumb pivot, with nothing fitted and its stops out of reach. Inertia about the pivot in kg m².
pub fn bare_unit(inertia_kg_m2: f64) -> UnitModel {
    UnitModel {
        side: Side::Left,
        pivot_m: Vec2::new(0.0, 1.4),
        pivot_height_m: 1.0,
        body: ArmBody { length_m: 2.0, mass_kg: 60.0, cg_radius_m: 1.5, inertia_kg_m2 },
        pivot: PivotFriction::default(),
        bearings: Bearings {
            span_m: 0.6096,
            upper: BearingOffsets::default(),
            lower: BearingOffsets::default(),
        },
        counterweight: None,
        dampers: Vec::new(),
        cylinder: None,
        inboard_stop: far_stop(-60.0),
        outboard_stop: far_stop(60.0),
        brush: Brush {
            radius_m: 0.6,
            worn_m: 0.0,
            hub_radius_m: 0.15,
            z_low_m: 0.2,
            z_high_m: 1.4,
            strips: 24,
            spin_rad_s: 9.4,
            spin_sense: SpinSense::OutboardAtNose,
            media: Media::stiff(PushBack { depth_m: 0.15, force_n: 42.0, height_m: 1.2 }),
            exponent: 1.0,
            push_factor: 1.0,
            stiffening_spin_rad_s: None,
            friction: 0.35,
            air_drag_n_m_s2: 0.0,
        },
        atmosphere_pa: brusharm::fluid::ATMOSPHERE_PA,
    }
}

/// A bare arm of the given parts, its axis leaning by `tilt_rad` toward the azimuth `azimuth_rad` (from downstream, counterclockwise).
pub fn leaning_unit(parts: &[ArmPart], tilt_rad: f64, azimuth_rad: f64) -> UnitModel {
    let mut unit = bare_unit(1.0);
    unit.body = ArmBody::from_parts(2.0, parts);
    let offset = unit.bearings.span_m * tilt_rad.tan();
    unit.bearings.upper = BearingOffsets {
        downstream_m: offset * azimuth_rad.cos(),
        toward_wall_m: offset * azimuth_rad.sin(),
    };
    unit
}

/// Swing angle at which the arm points toward an azimuth from downstream, counterclockwise.
pub fn phi_of_azimuth(azimuth_rad: f64) -> f64 {
    azimuth_rad + std::f64::consts::FRAC_PI_2
}

/// Two stops pressed at all times, one from each side: together an exactly linear torsion spring (N m/rad) about `middle_rad`.
pub fn spring_between_stops(unit: &mut UnitModel, stiffness_n_m_rad: f64, middle_rad: f64) {
    let half_gap_rad = 3.0;
    let stop = |seat_rad: f64| BumperStop {
        seat_rad,
        radius_m: 1.25,
        linear_n_per_m: 0.5 * stiffness_n_m_rad / (1.25 * 1.25),
        cubic_n_per_m3: 0.0,
        damping_n_s_per_m: 0.0,
        full_compression_m: 100.0,
        rigid_n_per_m: 0.0,
    };
    unit.inboard_stop = stop(middle_rad + half_gap_rad);
    unit.outboard_stop = stop(middle_rad - half_gap_rad);
}

/// A swing let go at `phi_rad` with rate `omega_rad_s`.
pub fn let_go(unit: &UnitModel, phi_rad: f64, omega_rad_s: f64, duration_s: f64) -> UnitRecord {
    let start = SwingStart { phi_rad, omega_rad_s, pressures_pa: None };
    swing(unit, &start, duration_s, &FINE).expect("the swing runs")
}

/// First time at or after `from_s` at which `value` turns from one sign to the other, to the last bit the dense output gives.
pub fn crossing_s(record: &UnitRecord, from_s: f64, value: impl Fn(f64) -> f64) -> Option<f64> {
    let mut times: Vec<f64> = vec![from_s];
    for step in &record.steps {
        for k in 1..=4 {
            let t = step.start_s + step.length_s * f64::from(k) / 4.0;
            if t > from_s {
                times.push(t);
            }
        }
    }
    let pair = times.windows(2).find(|w| value(w[0]) * value(w[1]) < 0.0 || value(w[1]) == 0.0)?;
    let (mut a, mut b) = (pair[0], pair[1]);
    let sign = value(a).signum();
    for _ in 0..80 {
        let mid = 0.5 * (a + b);
        if value(mid) * sign > 0.0 { a = mid } else { b = mid }
    }
    Some(0.5 * (a + b))
}

/// Data of an outside check, from `tests/validation/data/`.
pub fn data(name: &str) -> serde_json::Value {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/validation/data").join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A number of a data file.
pub fn number(value: &serde_json::Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no number «{key}» in {value}"))
}

/// A list of numbers of a data file.
pub fn numbers(value: &serde_json::Value, key: &str) -> Vec<f64> {
    let list = value[key].as_array().unwrap_or_else(|| panic!("no list «{key}»"));
    list.iter().map(|v| v.as_f64().expect("a number")).collect()
}
