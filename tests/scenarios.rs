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
