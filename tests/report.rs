//! Reports on a pass of a machine built by hand: exact text, documents, missing values.

use brusharm::arm::*;
use brusharm::coverage::MeasureName;
use brusharm::coverage::{CoverageSettings, Criteria, Solved, measure};
use brusharm::geometry::Vec2;
use brusharm::pass::{Numerics, PassSetup, TrainVehicle, VehiclePair, conveyor_speed_m_s, run};
use brusharm::report::{
    Ink, MachineDocument, MachineReport, PassDocument, PassReport, SERIES_LIMIT, SeriesError, TEXT_WIDTH,
    UnitParts,
};
use brusharm::units::UnitSystem;
use brusharm::vehicle::fleet;
use std::sync::Arc;

/// An invented unit: the starting numbers of the demo machine, held inboard by a leaning bearing and an air cylinder.
fn unit(side: Side) -> UnitModel {
    let stop = |seat_rad: f64, linear_n_per_m: f64| BumperStop {
        seat_rad,
        radius_m: 0.6,
        linear_n_per_m,
        cubic_n_per_m3: 2.0e6,
        damping_n_s_per_m: 600.0,
        full_compression_m: 0.05,
        rigid_n_per_m: 1.0e6,
    };
    UnitModel {
        side,
        pivot_m: Vec2::new(0.0, 1.4),
        pivot_height_m: 2.2,
        body: ArmBody::from_parts(2.3, &parts().into_iter().map(|(_, part)| part).collect::<Vec<_>>()),
        pivot: PivotFriction { coulomb_n_m: 2.5, breakaway_n_m: 3.0, viscous_n_m_s: 10.0 },
        bearings: Bearings {
            span_m: 0.3048,
            upper: BearingOffsets::default(),
            lower: BearingOffsets { toward_wall_m: 0.012, downstream_m: 0.0 },
        },
        counterweight: Some(Counterweight {
            mass_kg: 5.0,
            travel_ratio: 0.5,
            strut: Strut { frame_anchor_m: Vec2::new(-0.6, 0.1), arm_along_m: 0.5, arm_across_m: -0.05 },
        }),
        dampers: vec![Damper {
            strut: Strut { frame_anchor_m: Vec2::new(0.5, 0.3), arm_along_m: 0.4, arm_across_m: 0.05 },
            out_stroke: StrokeDamping { linear_n_s_per_m: 300.0, quadratic_n_s2_per_m2: 50.0 },
            in_stroke: StrokeDamping { linear_n_s_per_m: 60.0, quadratic_n_s2_per_m2: 0.0 },
            gas: Some(GasCharge { preload_n: 20.0, rate_n_per_m: 100.0, reference_m: 0.5 }),
        }],
        cylinder: Some(cylinder()),
        inboard_stop: stop(1.12, 10_000.0),
        outboard_stop: stop(1.85, 20_000.0),
        brush: Brush {
            radius_m: 0.6,
            worn_m: 0.0,
            hub_radius_m: 0.15,
            z_low_m: 0.25,
            z_high_m: 1.5,
            strips: 24,
            spin_rad_s: 9.42,
            spin_sense: SpinSense::OutboardAtNose,
            media: Media::stiff(PushBack { depth_m: 0.15, force_n: 42.0, height_m: 1.2 }),
            exponent: 1.0,
            push_factor: 1.0,
            stiffening_spin_rad_s: None,
            friction: 0.35,
            air_drag_n_m_s2: 0.14,
        },
        atmosphere_pa: 101_325.0,
    }
}

fn parts() -> Vec<(String, ArmPart)> {
    vec![
        ("tube".to_owned(), ArmPart::Rod { mass_kg: 38.0, from_m: 0.0, to_m: 2.3 }),
        ("brush".to_owned(), ArmPart::Point { mass_kg: 48.0, radius_m: 2.3 }),
    ]
}

fn cylinder() -> AirCylinder {
    let (cap_m2, rod_m2) = AirCylinder::areas_m2(0.0381, 0.0159);
    let chamber = |area_m2: f64, gauge_pa: f64, initial: ValveConnection| Chamber {
        area_m2,
        dead_volume_m3: 5.0e-5,
        line: ChamberLine {
            regulator: Regulator { set_gauge_pa: gauge_pa, relieving: true },
            supply_c_m3_s_pa: 2.0e-9,
            supply_b: 0.3,
            exhaust_c_m3_s_pa: 3.0e-9,
            exhaust_b: 0.25,
            initial,
        },
    };
    AirCylinder {
        strut: Strut { frame_anchor_m: Vec2::new(-0.4, 0.2), arm_along_m: 0.35, arm_across_m: 0.0 },
        closed_length_m: 0.3,
        stroke_m: 0.5,
        cap: chamber(cap_m2, 0.0, ValveConnection::Exhaust),
        rod: chamber(rod_m2, 48_263.3, ValveConnection::Supply),
        seal_friction_n: 4.0,
        polytropic_index: 1.0,
        temperature_k: 293.15,
        schedule: vec![ValveStep {
            end: VehicleEnd::Tail,
            at_m: 2.0,
            delay_s: 0.2,
            chamber: ChamberName::Rod,
            to: ValveConnection::Supply,
        }],
    }
}

struct Pass {
    solved: Solved,
    rate: f64,
}

fn pass(sides: &[Side], criteria: &Criteria, rate: f64) -> Pass {
    let spec = fleet::sedan();
    let pair = VehiclePair { real: spec.build().unwrap(), mirrored: spec.mirrored().build().unwrap() };
    let length = pair.real.length_m;
    let vehicle = TrainVehicle { shape: Arc::new(pair), lateral_offset_m: 0.0, yaw_rad: 0.0 };
    let setup = PassSetup {
        units: sides.iter().map(|&s| unit(s)).collect(),
        train: vec![vehicle.clone(), vehicle],
        measured: 1,
        gap_m: 1.5,
        conveyor_speed_m_s: conveyor_speed_m_s(rate, length, 1.5),
        numerics: Numerics::default(),
    };
    let record = run(&setup).unwrap();
    let coverage = CoverageSettings::default();
    let outcome = measure(&setup, &record, &coverage, criteria);
    Pass { solved: Solved { setup, record, outcome, settings: coverage }, rate }
}

fn criteria() -> Criteria {
    Criteria { marginal_share: 0.1, ..Criteria::default() }
        .with(MeasureName::NoseWashed, 0.95)
        .with(MeasureName::SideWashed, 0.98)
        .with(MeasureName::TailWashed, 0.9)
        .with(MeasureName::NoseOverlap, 0.0)
        .with(MeasureName::TailGap, 0.3048)
        .with(MeasureName::SidePressurePeak, 2000.0)
        .with(MeasureName::ChaseDelay, 3.0)
        .with(MeasureName::RecoveryMargin, 1.0)
        .with(MeasureName::StopCompression, 0.05)
        .with(MeasureName::SpindlePower, 900.0)
}

impl Pass {
    fn report(&self) -> PassReport<'_> {
        PassReport {
            title: "Invented machine",
            file: None,
            set: &[],
            solved: &self.solved,
            throughput_per_s: self.rate / 3600.0,
            settings: &[],
        }
    }
}

fn both() -> Pass {
    pass(&Side::BOTH, &criteria(), 100.0)
}

fn longest_line(text: &str) -> usize {
    text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

#[test]
fn regress_text_of_a_pass_in_both_unit_systems() {
    let pass = both();
    for (name, units) in [("pass_us", UnitSystem::Us), ("pass_si", UnitSystem::Si)] {
        let text = pass.report().text(units, Ink::Plain);
        assert!(longest_line(&text) <= TEXT_WIDTH, "{name}: {}", longest_line(&text));
        assert!(text.len() > 1000 && !text.contains('\u{1b}'));
        insta::assert_snapshot!(name, text);
    }
}

#[test]
fn verif_colour_says_nothing_that_the_words_do_not() {
    let pass = both();
    let plain = pass.report().text(UnitSystem::Us, Ink::Plain);
    let coloured = pass.report().text(UnitSystem::Us, Ink::Colour);
    assert!(coloured.contains('\u{1b}'));
    assert_eq!(anstream::adapter::strip_str(&coloured).to_string(), plain);
}

#[test]
fn verif_headline_names_the_worst_number_and_its_limit() {
    let mut pass = pass(&Side::BOTH, &criteria(), 140.0);
    let gap_in = pass.solved.outcome.zones[2].longest_gap_m.unwrap() / 0.0254;
    assert!(gap_in > 1.0);
    // Only the tail gap is judged, with a limit it misses.
    pass.solved.outcome.verdicts.retain(|line| line.criterion == MeasureName::TailGap);
    assert_eq!(pass.solved.outcome.verdicts.len(), 1);
    let line = &mut pass.solved.outcome.verdicts[0];
    line.limit = 0.0254;
    line.verdict = brusharm::coverage::Verdict::Fail;
    assert_eq!(
        pass.report().headline(UnitSystem::Us),
        format!("Fails: gap on the tail is {gap_in:.1} in, limit 1.0 in.")
    );
    pass.solved.outcome.verdicts.clear();
    assert_eq!(pass.report().headline(UnitSystem::Si), "Not judged: the scenario states no criteria.");
}

/// Keys that the document promises.
#[test]
fn verif_document_has_every_promised_key() {
    let pass = both();
    let json: serde_json::Value = serde_json::to_value(pass.report().document()).unwrap();
    assert_eq!(json["schema"], "brusharm/pass/1");
    let has = |value: &serde_json::Value, keys: &[&str]| {
        let object = value.as_object().unwrap();
        for key in keys {
            assert!(object.contains_key(*key), "{key} is missing from {object:?}");
        }
    };
    has(
        &json,
        &[
            "schema",
            "throughput_per_h",
            "conveyor_speed_m_s",
            "zones",
            "gaps",
            "overlap",
            "units",
            "feature_loads",
            "energy_audit",
            "verdicts",
        ],
    );
    has(&json["overlap"], &["nose_m", "tail_m"]);
    has(&json["energy_audit"], &["work_in_j", "dissipated_j", "stored_j", "residual_fraction"]);
    let lists: [(&str, usize, &[&str]); 5] = [
        (
            "zones",
            4,
            &["zone", "washed_fraction", "mean_pressure_pa", "peak_pressure_pa", "rubbing_work_j_m2"],
        ),
        ("gaps", 1, &["zone", "band", "start_m", "end_m", "length_m"]),
        (
            "units",
            2,
            &[
                "side",
                "events",
                "chase_delay_s",
                "recovery_margin_s",
                "stop_peak_compression_m",
                "spindle_peak_power_w",
            ],
        ),
        ("feature_loads", 2, &["feature", "side", "peak_force_n", "impulse_n_s", "limit_n", "verdict"]),
        ("verdicts", 10, &["criterion", "value", "limit", "unit", "verdict"]),
    ];
    for (list, least, keys) in lists {
        let entries = json[list].as_array().unwrap();
        assert!(entries.len() >= least, "{list}: {}", entries.len());
        entries.iter().for_each(|entry| has(entry, keys));
    }
    let events = json["units"][0]["events"].as_array().unwrap();
    assert_eq!(events.len(), 10);
    events.iter().for_each(|event| has(event, &["name", "time_s", "vehicle_position_m"]));
    assert!(json["energy_audit"]["work_in_j"].as_f64().unwrap() > 100.0);
    // No series unless asked for.
    assert!(json.get("series").is_none());
}

/// One unit alone: there is no overlap, the far side is never touched, and the word for that is null, never 0.
#[test]
fn verif_what_does_not_exist_is_null_or_empty_never_zero() {
    let pass = pass(&[Side::Left], &criteria(), 100.0);
    let json: serde_json::Value = serde_json::to_value(pass.report().document()).unwrap();
    assert!(json["overlap"]["nose_m"].is_null() && json["overlap"]["tail_m"].is_null());
    let right = &json["zones"][3];
    assert_eq!(right["zone"], "right_side");
    assert!(right["mean_pressure_pa"].is_null() && right["peak_pressure_pa"].is_null());
    // Untouched is a washed share of 0: that number exists.
    assert!(right["washed_fraction"].as_f64().unwrap() < 0.1);
    let overlap =
        json["verdicts"].as_array().unwrap().iter().find(|v| v["criterion"] == "nose_overlap").unwrap();
    assert!(overlap["value"].is_null() && overlap["verdict"] == "fail");

    let text = pass.report().csv();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(reader.headers().unwrap(), vec!["quantity", "about", "value", "unit", "limit", "verdict"]);
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let value = |quantity: &str, about: &str| {
        let row = rows.iter().find(|r| &r[0] == quantity && &r[1] == about);
        row.unwrap_or_else(|| panic!("{quantity} {about}"))[2].to_owned()
    };
    assert_eq!(value("overlap", "nose"), "");
    assert_eq!(value("mean_pressure", "right_side"), "");
    assert_eq!(
        value("washed_fraction", "left_side").parse::<f64>().ok(),
        json["zones"][1]["washed_fraction"].as_f64()
    );
    assert_eq!(value("conveyor_speed", "line").parse::<f64>().ok(), json["conveyor_speed_m_s"].as_f64());

    let said = pass.report().text(UnitSystem::Us, Ink::Plain);
    assert!(said.contains("there is no pair of brushes on the nose"), "{said}");
    assert!(said.lines().any(|l| l.starts_with("Right side") && l.contains('–')), "{said}");
}

#[test]
fn verif_documents_read_back_to_the_same_bits() {
    let pass = both();
    let document = pass.report().document();
    let text = serde_json::to_string(&document).unwrap();
    assert_eq!(serde_json::from_str::<PassDocument>(&text).unwrap(), document);
    let machine = machine(&pass, |m| m.document(true));
    let text = serde_json::to_string(&machine).unwrap();
    assert_eq!(serde_json::from_str::<MachineDocument>(&text).unwrap(), machine);
}

/// Work is the integral of power: the trapezium sum of the spindle's power over the series meets the audit.
#[test]
fn verif_series_add_up_to_the_energy_audit() {
    let pass = both();
    let series = pass.report().series(0.01).unwrap();
    assert_eq!(series.len(), 2);
    let mut work_j = 0.0;
    for unit in &series {
        let n = unit.time_s.len();
        assert!(n > 1000 && unit.spindle_power_w.len() == n && unit.torque_n_m.len() == 12);
        assert!(unit.torque_n_m.iter().all(|t| t.values.len() == n));
        assert_eq!(unit.cap_pressure_pa.as_ref().map(Vec::len), Some(n));
        assert_eq!(unit.counterweight_tension_n.as_ref().map(Vec::len), Some(n));
        assert_eq!(*unit.time_s.last().unwrap(), pass.solved.record.end_s);
        for (t, p) in unit.time_s.windows(2).zip(unit.spindle_power_w.windows(2)) {
            work_j += 0.5 * (p[0] + p[1]) * (t[1] - t[0]);
        }
        assert!(
            unit.contact_force_n.iter().any(|f| *f > 10.0) && unit.inboard_stop_n.iter().any(|f| *f > 10.0)
        );
    }
    let audit = pass.solved.outcome.audit.spindle_j;
    assert!(audit > 100.0 && (work_j - audit).abs() < 2e-3 * audit, "{work_j} J, audit {audit} J");
}

#[test]
fn verif_series_refuse_senseless_steps() {
    let pass = both();
    for step in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(pass.report().series(step), Err(SeriesError::BadStep { .. })), "{step}");
    }
    let Err(SeriesError::TooMany { count, .. }) = pass.report().series(1e-9) else {
        panic!("a step of 1 ns")
    };
    assert!(count > SERIES_LIMIT as f64);
}

fn machine<T>(pass: &Pass, with: impl FnOnce(MachineReport<'_>) -> T) -> T {
    let known =
        UnitParts { parts: parts(), stop_pin: Some(StopPin { seat_rad: vec![1.22, 1.12, 1.02], hole: 2 }) };
    with(MachineReport {
        title: "Invented machine",
        file: None,
        set: &[("left.stop_pin.hole".to_owned(), "2".to_owned())],
        setup: &pass.solved.setup,
        parts: &[known.clone(), known],
        coverage: &pass.solved.settings,
        criteria: &criteria(),
        throughput_per_s: pass.rate / 3600.0,
        uneven: &[],
    })
}

#[test]
fn regress_text_of_the_machine() {
    let pass = both();
    let document = machine(&pass, |m| m.document(false));
    for (name, units) in [("machine_si", UnitSystem::Si), ("machine_us", UnitSystem::Us)] {
        let text = document.text(units, Ink::Plain);
        assert!(longest_line(&text) <= TEXT_WIDTH, "{name}: {}", longest_line(&text));
        insta::assert_snapshot!(name, text);
    }
}

/// The document is enough to build the model: totals from parts, strut lengths from anchors, K₀ from the push-back test, outlines that close.
#[test]
fn verif_machine_document_is_complete() {
    let pass = both();
    let document = machine(&pass, |m| m.document(true));
    let unit = &document.units[0];
    let from_parts: f64 = unit.body.parts.iter().map(|p| p.inertia_about_pivot_kg_m2).sum();
    assert!(from_parts > 300.0 && (from_parts / unit.body.inertia_kg_m2 - 1.0).abs() < 1e-12);

    let rest = unit.rest.as_ref().unwrap();
    let (sin, cos) = rest.swing_rad.sin_cos();
    let strut = &unit.counterweight.as_ref().unwrap().strut;
    let anchor = Vec2::new(sin, -cos) * strut.arm_along_m + Vec2::new(cos, sin) * strut.arm_across_m;
    let length = (anchor - Vec2::new(strut.frame_anchor.x_m, strut.frame_anchor.y_m)).norm();
    assert!((length - strut.rest_length_m.unwrap()).abs() < 1e-12 && length > 0.1);

    // The flat closed form of the push-back test: F = 2 K H (R sin a − d a), d = R − depth, cos a = d / R.
    let brush = &unit.brush;
    let d = brush.radius_m - brush.push_back_depth_m.expect("a test");
    let a = (d / brush.radius_m).acos();
    let height = brush.push_back_height_m.expect("a test");
    let force = 2.0 * brush.rest_stiffness * height * (brush.radius_m * a.sin() - d * a);
    assert!((force - brush.push_back_force_n.expect("a test")).abs() < 1e-9 && force > 1.0);

    let cylinder = unit.cylinder.as_ref().unwrap();
    let x = cylinder.strut.rest_length_m.unwrap() - cylinder.closed_length_m;
    let cap = cylinder.cap.dead_volume_m3 + cylinder.cap.area_m2 * x;
    assert!((cap - cylinder.cap.rest_volume_m3.unwrap()).abs() < 1e-15 && cap > 1e-5);

    // The train with the vehicle that follows; the measured one passes x = 0 at t = 0.
    assert_eq!(document.train.len(), 3);
    assert_eq!(document.vehicles.len(), 1);
    let measured: Vec<_> = document.train.iter().filter(|p| p.measured).collect();
    assert!(measured.len() == 1 && measured[0].nose_at_zero_s == 0.0);
    assert!(document.train[0].nose_at_zero_s < -10.0 && document.train[2].nose_at_zero_s > 10.0);

    let mut checked = 0;
    for (band, real) in document.vehicles[0].bands.iter().zip(&pass.solved.setup.train[1].shape.real.bands) {
        for (outline, chain) in band.outlines.iter().zip(&real.outlines) {
            for (piece, next) in outline.pieces.iter().zip(outline.pieces.iter().cycle().skip(1)) {
                let gap = Vec2::new(piece.to.x_m - next.from.x_m, piece.to.y_m - next.from.y_m).norm();
                assert!(gap < 1e-9, "{gap}");
            }
            let points = outline.points.as_ref().unwrap();
            assert!(points.len() >= outline.pieces.len());
            // Points lie on the outline, and the middles between them near it.
            for (p, q) in points.iter().zip(points.iter().cycle().skip(1)) {
                let (p, q) = (Vec2::new(p.x_m, p.y_m), Vec2::new(q.x_m, q.y_m));
                assert!(chain.chain.nearest(p).distance_m.abs() < 1e-9);
                assert!(
                    chain.chain.nearest(0.5 * (p + q)).distance_m.abs()
                        < 1.001 * brusharm::report::POINT_TOLERANCE_M
                );
                checked += 1;
            }
        }
    }
    assert!(checked > 100, "{checked}");
}
