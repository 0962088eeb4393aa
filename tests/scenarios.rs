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
fn tmp_all() {
    for name in [
        "ferry-return.ron",
        "air-drop.ron",
        "fleet-day.ron",
        "one-unit.ron",
        "opposite-pair.ron",
        "harbour-return.ron",
    ] {
        let s = load(name);
        let setup = s.setup();
        let t = std::time::Instant::now();
        let record = match pass::run(&setup) {
            Ok(r) => r,
            Err(e) => {
                println!("{name}: {e}");
                continue;
            }
        };
        println!(
            "== {name} {:?} evals {} v {:.3} thr {:.1}/h brushes {:.1} J air {:.1} J",
            t.elapsed(),
            record.units[0].evaluations,
            s.conveyor_speed_m_s(),
            3600.0 * s.throughput_per_s(),
            record.audit().brushes_j,
            record.audit().air_j
        );
        let o = coverage::measure(&setup, &record, &s.coverage_settings(), &s.criteria());
        for v in &o.verdicts {
            println!("{:40} {:?} {} {} {:?}", v.label(), v.value, v.limit, v.criterion.unit(), v.verdict);
        }
        println!("{:?}", o.overlap);
    }
}
