//! Scenario files: every shipped one reads and runs, bad ones say what is wrong, settings round-trip.

use brusharm::coverage;
use brusharm::pass;
use brusharm::scenario::Scenario;
use std::path::Path;

fn load(name: &str) -> Scenario {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let text = std::fs::read_to_string(folder.join(name)).unwrap();
    let loader = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    Scenario::read(&text, name, &loader).unwrap_or_else(|errors| panic!("{errors}"))
}

#[test]
fn tmp_demo() {
    let s = load("ferry-return.ron");
    for setting in s.settings() {
        println!(
            "{:38} {:18} {:30} {:12} {}",
            setting.path,
            setting.read(&s).unwrap().to_string(),
            setting.range_text(),
            setting.step_text(),
            setting.label
        );
    }
    let t = std::time::Instant::now();
    let setup = s.setup();
    let record = pass::run(&setup).unwrap_or_else(|e| panic!("{e}"));
    println!("run {:?}", t.elapsed());
    let o = coverage::measure(&setup, &record, &s.coverage_settings(), &s.criteria());
    println!("all {:?}; v = {}", t.elapsed(), setup.conveyor_speed_m_s);
    for z in &o.zones {
        println!("{z:?}");
    }
    println!("{:?}", o.overlap);
    for g in &o.gaps {
        println!("{g:?}");
    }
    for u in &o.units {
        println!("{u:#?}");
    }
    for v in &o.verdicts {
        println!("{:40} {:?} {} {} {:?}", v.label(), v.value, v.limit, v.criterion.unit(), v.verdict);
    }
    println!("{:?} {:?}", o.audit, o.audit.residual_fraction());
}
#[test]
fn tmp_table() {
    let s = load("ferry-return.ron");
    let show = |label: &str, changes: &[(&str, &str)]| {
        let s = s.with(changes).unwrap_or_else(|e| panic!("{e}"));
        let setup = s.setup();
        let t = std::time::Instant::now();
        let record = match pass::run(&setup) { Ok(r) => r, Err(e) => { println!("{label}: {e}"); return; } };
        let ms = t.elapsed().as_secs_f64() * 1e3;
        let o = coverage::measure(&setup, &record, &s.coverage_settings(), &s.criteria());
        let z = |i: usize| o.zones[i].washed_fraction.unwrap_or(0.0);
        let p = |i: usize| o.zones[i].mean_pressure_pa.unwrap_or(0.0);
        let worst = o.verdicts.iter().filter(|v| v.verdict == coverage::Verdict::Fail).map(|v| v.label()).collect::<Vec<_>>().join(", ");
        let mirror = o.feature_loads.iter().map(|f| f.peak_force_n).fold(0.0, f64::max);
        println!("{label:34} nose {:.3} ov {:+.2} side {:.3} {:5.1}Pa W{:4.0} tail {:.3} ov {:+.2} gap {:.2} feat {:4.1}N chase {:.2} rec {:5.1} stop {:.3} hub {:.2} rest {:.1}deg eval {} {:.0}ms FAIL {}",
            z(0), o.overlap.nose_m.unwrap_or(f64::NAN), z(1), p(1), o.zones[1].rubbing_work_j_m2.unwrap_or(0.0), z(2), o.overlap.tail_m.unwrap_or(f64::NAN),
            o.zones[2].longest_gap_m.unwrap_or(0.0), mirror, o.units[0].chase_delay_s.unwrap_or(f64::NAN), o.units[0].recovery_margin_s.unwrap_or(f64::NAN), o.units[0].stop_peak_compression_m.unwrap_or(f64::NAN), o.units[0].hub_clearance_m, record.units[0].rest_phi_rad.to_degrees(), record.units[0].evaluations, ms, worst);
    };
    for q in ["60 veh/h", "80 veh/h", "100 veh/h", "120 veh/h", "140 veh/h"] {
        for b in ["-1/8 in", "0 in", "1/8 in"] {
            show(&format!("{q} {b}"), &[("throughput", q), ("both.bearings.lower_offset", b)]);
        }
        show(&format!("{q} reversed"), &[("throughput", q), ("both.brush.spin_sense", "InboardAtNose")]);
        show(&format!("{q} left pin 3"), &[("throughput", q), ("left.stop_pin.hole", "3")]);
        show(&format!("{q} both pins 3"), &[("throughput", q), ("both.stop_pin.hole", "3")]);
        show(&format!("{q} mu .2"), &[("throughput", q), ("both.brush.friction", "0.2")]);
        show(&format!("{q} air 5"), &[("throughput", q), ("both.air.cap", "5 psi")]);
        show(&format!("{q} air 10"), &[("throughput", q), ("both.air.cap", "10 psi")]);
    }
    for v in s.vehicles().iter().map(|v| v.name.to_string()).collect::<Vec<_>>() {
        show(&v, &[("vehicle.name", &v)]);
    }
}
