//! Reports on a pass of a machine built by hand: exact text, documents, missing values.

use brusharm::arm::*;
use brusharm::coverage::{Criteria, CoverageSettings, Outcome, measure};
use brusharm::geometry::Vec2;
use brusharm::pass::{Numerics, PassSetup, Record, TrainVehicle, VehiclePair, conveyor_speed_m_s, run};
use brusharm::report::{Ink, PassDocument, PassReport, SeriesError};
use brusharm::units::UnitSystem;
use brusharm::vehicle::fleet;
use std::sync::Arc;

/// An invented unit: the starting numbers of the demo machine, held inboard by a leaning bearing and an air cylinder.
fn unit(side: Side) -> UnitModel {
    let stop = |seat_rad: f64, linear_n_m: f64| BumperStop {
        seat_rad,
        radius_m: 0.6,
        linear_n_m,
        cubic_n_m3: 2.0e6,
        damping_n_s_m: 600.0,
        full_compression_m: 0.05,
        rigid_n_m: 1.0e6,
    };
    UnitModel {
        side,
        pivot_m: Vec2::new(0.0, 1.4),
        pivot_height_m: 2.2,
        body: ArmBody::from_parts(
            2.3,
            &[
                ArmPart::Rod { mass_kg: 38.0, from_m: 0.0, to_m: 2.3 },
                ArmPart::Point { mass_kg: 48.0, radius_m: 2.3 },
            ],
        ),
        pivot: PivotFriction { coulomb_n_m: 2.5, breakaway_n_m: 3.0, viscous_n_m_s: 10.0 },
        bearings: Bearings {
            span_m: 0.3048,
            upper: BearingOffsets::default(),
            lower: BearingOffsets { toward_wall_m: 0.012, downstream_m: 0.0 },
        },
        counterweight: None,
        dampers: Vec::new(),
        cylinder: None,
        inboard_stop: stop(1.12, 10_000.0),
        outboard_stop: stop(1.85, 20_000.0),
        brush: Brush {
            radius_m: 0.6,
            hub_radius_m: 0.15,
            z_low_m: 0.25,
            z_high_m: 1.5,
            strips: 24,
            spin_rad_s: 9.42,
            spin_sense: SpinSense::OutboardAtNose,
            push_back: PushBack { depth_m: 0.15, force_n: 42.0, height_m: 1.2 },
            exponent: 1.0,
            stiffening_spin_rad_s: None,
            friction: 0.35,
        },
        atmosphere_pa: 101_325.0,
    }
}

struct Pass {
    setup: PassSetup,
    record: Record,
    outcome: Outcome,
    coverage: CoverageSettings,
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
    Pass { setup, record, outcome, coverage, rate }
}

fn criteria() -> Criteria {
    Criteria {
        nose_washed_min: Some(0.95),
        side_washed_min: Some(0.98),
        tail_washed_min: Some(0.9),
        nose_overlap_min_m: Some(0.0),
        tail_gap_max_m: Some(0.3048),
        side_pressure_max_pa: Some(2000.0),
        chase_delay_max_s: Some(3.0),
        recovery_margin_min_s: Some(1.0),
        stop_compression_max_m: Some(0.05),
        spindle_power_max_w: Some(900.0),
        marginal_share: 0.1,
        ..Criteria::default()
    }
}

impl Pass {
    fn report(&self) -> PassReport<'_> {
        PassReport {
            title: "Invented machine",
            file: None,
            set: &[],
            setup: &self.setup,
            record: &self.record,
            outcome: &self.outcome,
            coverage: &self.coverage,
            throughput_per_h: self.rate,
        }
    }
}

#[test]
fn show() {
    let p = pass(&Side::BOTH, &criteria(), 100.0);
    let text = p.report().text(UnitSystem::Us, Ink::Plain);
    eprintln!("{text}");
    let text = p.report().text(UnitSystem::Si, Ink::Colour);
    eprintln!("{text}");
    eprintln!("{}", p.report().csv());
    eprintln!("{}", serde_json::to_string_pretty(&p.report().document()).unwrap());
}
