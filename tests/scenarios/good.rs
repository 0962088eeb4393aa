//! Shipped scenarios.

use super::{BESIDE, FOAM_ALONE, READINGS, SHIPPED, folder, read, shipped, shipped_text};
use brusharm::arm::Side;
use brusharm::coverage::{Verdict, measure};
use brusharm::pass::run;
use brusharm::scenario::Scenario;
use brusharm::vehicle::FeatureKind;

#[test]
fn verif_every_file_in_the_folder_is_listed_here() {
    let mut found: Vec<String> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap())
        // Lessons have a folder and tests of their own.
        .filter(|entry| entry.path().is_file())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    let mut listed: Vec<String> = SHIPPED
        .iter()
        .chain(&BESIDE)
        .chain(&READINGS)
        .chain(&FOAM_ALONE)
        .map(|name| (*name).to_owned())
        .collect();
    found.sort();
    listed.sort();
    assert_eq!(found, listed);
}

#[test]
fn verif_every_shipped_scenario_runs_and_says_that_it_is_invented() {
    for name in SHIPPED {
        let scenario = shipped(name);
        assert!(shipped_text(name).contains("nvented"), "{name}");
        let setup = scenario.setup();
        let record = run(&setup).unwrap_or_else(|error| panic!("{name}: {error}"));
        let outcome = measure(&setup, &record, &scenario.coverage_settings(), &scenario.criteria());
        assert_eq!(outcome.zones.len(), 4, "{name}");
        assert!(outcome.verdicts.len() > 8, "{name}: {} verdicts", outcome.verdicts.len());
        let sides = outcome.zones[1].washed_fraction.unwrap();
        assert!(sides > 0.9, "{name}: left side washed {sides}");
        let residual = record.audit().residual_fraction().unwrap();
        assert!(residual.abs() < 1e-6 && record.audit().turnover_j > 100.0, "{name}: {residual}");
        assert!(!outcome.units.iter().any(|unit| unit.hub_struck), "{name}");
    }
    for name in BESIDE {
        assert!(shipped_text(name).contains("nvented"), "{name}");
    }
}

#[test]
fn verif_the_demo_passes_all_its_criteria() {
    let scenario = shipped("ferry-return.ron");
    let setup = scenario.setup();
    let outcome = measure(&setup, &run(&setup).unwrap(), &scenario.coverage_settings(), &scenario.criteria());
    for line in &outcome.verdicts {
        assert_eq!(line.verdict, Verdict::Pass, "{} {:?} against {}", line.label(), line.value, line.limit);
    }
}

/// An inch worn off strips of 19-1/2 in: the brush is an inch smaller and 1/19.5 of the media lighter, their inertia that of the shorter rods; the spindle is where it was.
/// A push-back test was made of the new brush: what it says of each strip stays.
#[test]
fn verif_worn_strips_are_shorter_and_lighter() {
    let (inch, lb) = (0.0254, 0.45359237);
    let demo = shipped("ferry-return.ron");
    let [new, worn] = [vec![], vec![("left.brush.worn", "1 in")]]
        .map(|changes| demo.with(&changes).unwrap().setup().units.remove(0));
    assert!((worn.brush.radius_m - 25.5 * inch).abs() < 1e-12 && new.brush.radius_m > worn.brush.radius_m);
    let mass_kg = 44.0 * lb * 22.5 / 23.5;
    assert!((worn.brush.media.mass_kg().unwrap() - mass_kg).abs() < 1e-9);
    assert!((new.body.mass_kg - worn.body.mass_kg - 44.0 * lb / 23.5).abs() < 1e-9);
    let about_spindle = |mass: f64, tip: f64| mass * (tip.powi(3) - 27.0) * inch * inch / (3.0 * (tip - 3.0));
    let lost = about_spindle(44.0 * lb, 26.5) - about_spindle(mass_kg, 25.5)
        + 44.0 * lb / 23.5 * (86.0 * inch) * (86.0 * inch);
    assert!((new.body.inertia_kg_m2 - worn.body.inertia_kg_m2 - lost).abs() < 1e-9, "{lost}");
    let stiff = shipped("one-unit.ron");
    let [new, worn] = [vec![], vec![("left.brush.worn", "2 in")]]
        .map(|changes| stiff.with(&changes).unwrap().setup().units.remove(0).brush);
    assert!(new.radius_m - worn.radius_m > 0.05);
    assert!((worn.rest_stiffness() / new.rest_stiffness() - 1.0).abs() < 1e-12);
}

#[test]
fn verif_the_demo_comes_to_what_its_text_says() {
    let scenario = shipped("ferry-return.ron");
    let setup = scenario.setup();
    assert_eq!(setup.units.len(), 2);
    assert_eq!((setup.measured, setup.train.len()), (1, 2));
    let (inch, lb, psi) = (0.0254, 0.45359237, 6894.757293168361);
    // v = throughput × (length + gap)
    let length = setup.train[1].shape.real.length_m;
    let speed = 140.0 / 3600.0 * (length + 6.0 * 12.0 * inch);
    assert!((setup.conveyor_speed_m_s - speed).abs() < 1e-15 && speed > 0.1);
    let unit = &setup.units[0];
    assert_eq!(unit.side, Side::Left);
    assert!((unit.pivot_m.y - 55.0 * inch).abs() < 1e-12);
    // Rod about its end a third; core, motor and media far out, with what they have about the spindle: media as rods from hub to tip.
    let (reach, tip, hub) = (86.0 * inch, 26.5_f64 * inch, 3.0_f64 * inch);
    let media = 44.0 * lb * (tip.powi(3) - hub.powi(3)) / (3.0 * (tip - hub));
    let inertia = 49.5 * lb * reach * reach / 3.0 + (51.0 + 44.0) * lb * reach * reach + 0.5 + media;
    assert!((unit.body.inertia_kg_m2 - inertia).abs() < 1e-9 * inertia);
    // The middle hole puts the brush centre 17 in from the centreline where the arm just touches the bumper.
    let center = unit.brush_center_m(unit.inboard_stop.seat_rad);
    assert!((center.y - 17.0 * inch).abs() < 1e-12);
    let cylinder = unit.cylinder.as_ref().unwrap();
    assert!((cylinder.cap.line.regulator.set_gauge_pa - 7.0 * psi).abs() < 1e-9);
    assert!((cylinder.temperature_k - 293.15).abs() < 1e-9);
    // 14.696 psia, not quite the standard atmosphere.
    assert!((unit.atmosphere_pa - 14.696 * psi).abs() < 1e-9);
    let criteria = scenario.criteria();
    assert!((criteria.feature_limit_n(FeatureKind::Plate).unwrap() - 50.0 * 4.4482216152605).abs() < 1e-9);
    assert!((setup.units[1].pivot_m.x - 42.0 * inch).abs() < 1e-12);
}

#[test]
fn verif_tape_gaps_and_offsets_are_the_same_thing() {
    let scenario = shipped("harbour-return.ron");
    let left = &scenario.unit_models()[0];
    // Upper gap 50 mm, lower gap 49 mm: the lower bearing is 1 mm nearer the wall.
    assert!((left.bearings.lower.toward_wall_m - 0.001).abs() < 1e-15);
    let by_offset = scenario.with(&[("left.bearings.lower_offset", "2 mm")]).unwrap();
    assert!((by_offset.unit_models()[0].bearings.lower.toward_wall_m - 0.002).abs() < 1e-15);
    assert!(by_offset.text().unwrap().contains("lower_gap: \"48 mm\""));
}

#[test]
fn verif_the_fleet_decides_the_mean_length() {
    let scenario = shipped("fleet-day.ron");
    let mix = scenario.fleet_mix();
    assert!((mix.iter().map(|(_, share)| share).sum::<f64>() - 1.0).abs() < 1e-12);
    let length = |name: &str| {
        let vehicle = scenario.vehicles().iter().find(|vehicle| &*vehicle.name == name).unwrap();
        vehicle.shape.real.length_m
    };
    let mean: f64 = mix.iter().map(|(name, share)| share * length(name)).sum();
    assert!((scenario.mean_vehicle_length_m() - mean).abs() < 1e-12 && mean > 4.0);
    // The line runs at one speed, whichever vehicle is looked at.
    let van = scenario.for_vehicle("high-roof van").unwrap();
    assert_eq!(van.conveyor_speed_m_s(), scenario.conveyor_speed_m_s());
    assert_eq!(van.measured_vehicle(), "high-roof van");
    assert_eq!(van.file().train.len(), 2);
    let again = Scenario::read_alone(&van.text().unwrap(), "again").unwrap();
    assert_eq!(again.setup(), van.setup());
    // How the measured vehicle sits stays.
    assert!(van.setup().train[1].yaw_rad > 0.0);
}

#[test]
fn verif_throughput_and_conveyor_speed_say_the_same() {
    let scenario = shipped("ferry-return.ron");
    let text = shipped_text("ferry-return.ron");
    let by_speed = text.replace(
        "throughput: \"140 veh/h\"",
        &format!("conveyor_speed: \"{} m/s\"", scenario.conveyor_speed_m_s()),
    );
    let by_speed = Scenario::read_alone(&by_speed, "speed").unwrap();
    assert!((by_speed.throughput_per_s() * 3600.0 - 140.0).abs() < 1e-9);
    assert_eq!(by_speed.conveyor_speed_m_s(), scenario.conveyor_speed_m_s());
}

#[test]
fn verif_a_mark_at_the_start_and_windows_line_ends_are_passed_over() {
    let text = format!("\u{feff}{}", shipped_text("one-unit.ron").replace('\n', "\r\n"));
    let scenario = Scenario::read_alone(&text, "windows.ron").unwrap();
    assert_eq!(scenario.setup(), shipped("one-unit.ron").setup());
    let new = scenario.rewrite(&[("left.air.cap", "6 psi")]).unwrap();
    assert!(
        new.starts_with('\u{feff}')
            && new.contains("cap: \"6 psi\"")
            && !new.replace("\r\n", "").contains('\n')
    );
}

/// Every limit of the criteria goes to what it is named for, in SI; what is not given is not judged.
#[test]
fn verif_every_criterion_limits_what_it_is_named_for() {
    use brusharm::coverage::MeasureName::*;
    let text = shipped_text("one-unit.ron");
    let from = text.find("criteria: (").expect("criteria");
    let to = from + text[from..].find("\n    ),").expect("their end");
    let with = |criteria: &str| format!("{}criteria: ({criteria}{}", &text[..from], &text[to..]);
    let given = [
        ("nose_washed: \"91 %\"", NoseWashed, 0.91),
        ("side_washed: \"92 %\"", SideWashed, 0.92),
        ("tail_washed: \"93 %\"", TailWashed, 0.93),
        ("nose_overlap: \"10 mm\"", NoseOverlap, 0.01),
        ("tail_gap: \"20 mm\"", TailGap, 0.02),
        ("side_pressure_low: \"30 Pa\"", SidePressureMean, 30.0),
        ("side_pressure_peak: \"40 Pa\"", SidePressurePeak, 40.0),
        ("chase_delay: \"5 s\"", ChaseDelay, 5.0),
        ("recovery_margin: \"-6 s\"", RecoveryMargin, -6.0),
        ("stop_compression: \"70 mm\"", StopCompression, 0.07),
        ("spindle_power: \"80 W\"", SpindlePower, 80.0),
    ];
    for (line, name, si) in given {
        let scenario = read(&with(&format!("{line},")), "criteria.ron");
        let criteria = scenario.unwrap_or_else(|errors| panic!("{errors}")).criteria();
        assert!((criteria.limit(name).expect(line) - si).abs() < 1e-12, "{line}");
        for other in brusharm::coverage::MeasureName::ALL {
            let wanted = if other == HubClearance { Some(0.0) } else { None };
            assert!(other == name || criteria.limit(other) == wanted, "{line}: {other:?}");
        }
    }
}
