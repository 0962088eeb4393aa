//! Halving what the measuring itself is cut into (stations and looks) moves no reported number by more than 0.5 %.
//!
//! Random legal machines past every vehicle of the fleet, from fixed seeds. A number is held to 0.5 % of itself; one that may pass through zero (a
//! length along the perimeter, a time) to 0.5 % of itself or of the natural scale beside it, whichever is more: see [`slack`].

use crate::common::machine::{criteria, pair, setup};
use crate::tolerance::numbers;
use brusharm::arm::{Media, SpinSense};
use brusharm::coverage::{CoverageSettings, measure};
use brusharm::pass::{PassSetup, run};
use brusharm::vehicle::{VehicleSpec, fleet};
use std::collections::BTreeMap;
use std::io::Write;

/// Numbers 0…1 from a seed: SplitMix64 (Steele, Lea & Flood, OOPSLA 2014; from memory).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
}

/// A legal machine and how it sits on the line, from a seed.
fn drawn(seed: u64, specs: &[VehicleSpec]) -> PassSetup {
    let mut draw = Draw(seed.wrapping_mul(1_000_003));
    let spec = &specs[seed as usize % specs.len()];
    let mut setup = setup(spec, draw.between(45.0, 150.0));
    setup.train[0].shape = pair(&specs[(draw.next() * specs.len() as f64) as usize % specs.len()]);
    for vehicle in &mut setup.train {
        vehicle.lateral_offset_m = draw.between(-0.12, 0.12);
        vehicle.yaw_rad = draw.between(-0.02, 0.02);
    }
    let exponent = if draw.next() < 0.3 { draw.between(0.8, 2.0) } else { 1.0 };
    // Cloth, foam as it comes, or an exponent of its own.
    let media = (4.0 * draw.next()) as usize;
    // Strips so short that the hub presses as well.
    let hub_radius_m = if draw.next() < 0.15 { Some(draw.between(0.42, 0.54)) } else { None };
    for unit in &mut setup.units {
        unit.bearings.lower.toward_wall_m = draw.between(-0.003, 0.003);
        unit.bearings.lower.downstream_m = draw.between(-0.002, 0.002);
        unit.inboard_stop.seat_rad += draw.between(-0.06, 0.06);
        unit.brush.friction = draw.between(0.1, 0.5);
        unit.brush.exponent = exponent;
        unit.brush.hub_radius_m = hub_radius_m.unwrap_or(unit.brush.hub_radius_m);
        unit.brush.spin_rad_s *= draw.between(0.5, 1.3);
        if draw.next() < 0.3 {
            unit.brush.spin_sense = SpinSense::InboardAtNose;
        }
        if let Media::Stiff { test, .. } = &mut unit.brush.media {
            test.force_n *= draw.between(0.6, 1.6);
        }
        match media {
            0 => {
                unit.brush.media = Media::Limp { mass_kg: draw.between(12.0, 45.0) };
                (unit.brush.exponent, unit.brush.stiffening_spin_rad_s) = (1.0, None);
            }
            1 => unit.brush.exponent = 0.0,
            _ => {}
        }
        if let Some(cylinder) = &mut unit.cylinder {
            for chamber in [&mut cylinder.cap, &mut cylinder.rod] {
                chamber.line.regulator.set_gauge_pa *= draw.between(0.5, 1.6);
            }
        }
        if let Some(weight) = &mut unit.counterweight {
            weight.mass_kg *= draw.between(0.85, 1.2);
        }
    }
    if draw.next() < 0.15 {
        setup.units.remove(usize::from(draw.next() < 0.5));
    }
    setup
}

/// What makes a point washed on the machine of a seed: of some the rubbing work is asked as well.
fn asked(seed: u64) -> CoverageSettings {
    let mut draw = Draw(seed.wrapping_mul(7_000_003));
    CoverageSettings {
        washed_wipes: draw.between(5.0, 14.0),
        washed_work_j_m2: (draw.next() < 0.3).then(|| draw.between(5.0, 60.0)),
        ..CoverageSettings::default()
    }
}

/// What a number may move by: 0.5 % of it. What may pass through zero, or is told from any origin, is held to 0.5 % of its natural scale instead: a
/// length along the perimeter and what is missing over a gap to a millimetre; an instant to 5 ms, what a vehicle takes for a millimetre; a share to
/// 0.5 % of the whole; an impulse to 0.5 % of it or a ten-thousandth of a newton second. The instant of a peak force is held to 0.5 % of itself:
/// of two peaks of nearly one height the one or the other may be told.
fn slack(name: &str, value: f64) -> f64 {
    let is = |ends: &[&str]| ends.iter().any(|end| name.ends_with(end));
    if is(&[" share", "washed"]) {
        0.005
    } else if is(&[" position", " start", " end"]) {
        0.001
    } else if is(&[" time"]) && !is(&["peak time"]) {
        0.005
    } else {
        let has = |words: &[&str]| words.iter().any(|word| name.contains(word));
        let natural = match () {
            () if has(&["gap", "overlap", "clearance"]) => 0.2,
            () if has(&["delay", "margin"]) => 1.0,
            () if is(&["impulse"]) => 0.02,
            () => 0.0,
        };
        0.005 * value.abs().max(natural)
    }
}

/// Machines of the test, or what `CONVERGE_MACHINES` says.
fn machine_count() -> usize {
    let said = std::env::var("CONVERGE_MACHINES").ok();
    said.map_or(MACHINES, |said| said.parse().expect("a number of machines"))
}

const MACHINES: usize = 200;

/// By hand over more machines: `CONVERGE_MACHINES=2000 cargo test --release --test laws halving_stations -- --nocapture`, which also tells how
/// far each kind of number moved.
#[test]
fn verif_halving_stations_and_looks_moves_no_number_by_half_a_percent() {
    let specs = fleet::library();
    let count = machine_count();
    let (mut machines, mut compared, mut moved) = (0, 0, Vec::new());
    let (mut alone, mut struck, mut by_work) = (0, 0, 0);
    let mut worst: BTreeMap<String, (f64, u64)> = BTreeMap::new();
    for seed in 0..4 * count as u64 {
        if machines == count {
            break;
        }
        let setup = drawn(seed, &specs);
        // A few draws jam: there is nothing to measure.
        let Ok(record) = run(&setup) else { continue };
        machines += 1;
        let coarse = asked(seed);
        let fine =
            CoverageSettings { station_m: 0.5 * coarse.station_m, look_m: 0.5 * coarse.look_m, ..coarse };
        let [a, b] = [coarse, fine].map(|settings| measure(&setup, &record, &settings, &criteria()));
        alone += usize::from(setup.units.len() == 1);
        struck += usize::from(a.units.iter().any(|unit| unit.hub_struck));
        by_work += usize::from(coarse.washed_work_j_m2.is_some());
        let place = |what: String| format!("seed {seed} {}: {what}", specs[seed as usize % specs.len()].name);
        let (a, b) = (numbers(&a), numbers(&b));
        if a.len() != b.len() {
            moved.push(place(format!("{} numbers then {}", a.len(), b.len())));
        }
        let b: BTreeMap<String, Option<f64>> = b.into_iter().collect();
        for (name, x) in a {
            let Some(x) = x else { continue };
            let y = b.get(&name).copied().flatten();
            let off = y.map_or(f64::INFINITY, |y| (x - y).abs() / slack(&name, x).max(1e-12));
            compared += usize::from(x != 0.0);
            let kind = name
                .trim_start_matches(|c: char| !c.is_whitespace())
                .trim_start_matches([' ', '0', '1', '2', '3', '4', '5', '6', '7', '8', '9']);
            let most = worst.entry(kind.to_owned()).or_default();
            if off > most.0 {
                *most = (off, seed);
            }
            if off > 1.0 {
                moved.push(place(format!("{name}: {x} then {y:?}")));
            }
        }
    }
    let told = std::env::var_os("CONVERGE_MACHINES").is_some();
    let mut out: Box<dyn Write> = if told { Box::new(std::io::stdout()) } else { Box::new(std::io::sink()) };
    for (kind, (off, seed)) in &worst {
        writeln!(out, "{off:7.3} of what it may move by, at seed {seed}: {kind}").expect("written");
    }
    let kinds = format!("{alone} of one unit, {struck} with the hub struck, {by_work} with work asked");
    writeln!(out, "{machines} machines: {kinds}; {compared} numbers").expect("written");
    assert!(machines == count && compared > 50 * count, "{machines} machines, {compared} numbers");
    assert!(alone.min(struck).min(by_work) * 20 > count, "{alone} alone, {struck} struck, {by_work} by work");
    assert!(moved.is_empty(), "{} of {compared} moved:\n{}", moved.len(), moved.join("\n"));
}
