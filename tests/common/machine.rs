//! An invented machine with every part fitted, and vehicles to pass it. Not a real one.

use brusharm::arm::{
    AirCylinder, ArmBody, ArmPart, BearingOffsets, Bearings, Brush, BumperStop, Chamber, ChamberLine,
    ChamberName, Counterweight, Damper, GasCharge, Media, PivotFriction, PushBack, Regulator, Side,
    SpinSense, StrokeDamping, Strut, UnitModel, ValveConnection, ValveStep, VehicleEnd,
};
use brusharm::coverage::MeasureName;
use brusharm::coverage::{CoverageSettings, Criteria, Outcome, measure};
use brusharm::geometry::Vec2;
use brusharm::pass::{Numerics, PassSetup, Record, TrainVehicle, VehiclePair, conveyor_speed_m_s, run};
use brusharm::vehicle::{BodySpec, VehicleSpec};
use std::sync::Arc;

const PSI: f64 = 6_894.757_293_168_361;

fn line(set_psi: f64, initial: ValveConnection) -> ChamberLine {
    ChamberLine {
        regulator: Regulator { set_gauge_pa: set_psi * PSI, relieving: true },
        supply_c_m3_s_pa: 6e-9,
        supply_b: 0.28,
        exhaust_c_m3_s_pa: 5e-9,
        exhaust_b: 0.25,
        initial,
    }
}

/// The unit of one side. Pulled inboard by a counterweight, held back a little by air.
pub fn unit(side: Side) -> UnitModel {
    let (cap_m2, rod_m2) = AirCylinder::areas_m2(0.0508, 0.0159);
    let damper =
        |coefficient: f64| StrokeDamping { linear_n_s_per_m: coefficient, quadratic_n_s2_per_m2: 20.0 };
    let stop = |seat_rad: f64| BumperStop {
        seat_rad,
        radius_m: 0.5,
        linear_n_per_m: 14_000.0,
        cubic_n_per_m3: 4e6,
        damping_n_s_per_m: 2500.0,
        full_compression_m: 0.05,
        rigid_n_per_m: 5e5,
    };
    UnitModel {
        side,
        pivot_m: Vec2::new(if side == Side::Left { 0.0 } else { 3.2 }, 1.4),
        pivot_height_m: 1.9,
        body: ArmBody::from_parts(
            2.3,
            &[
                ArmPart::Rod { mass_kg: 38.0, from_m: 0.0, to_m: 2.3 },
                ArmPart::Point { mass_kg: 48.0, radius_m: 2.3 },
            ],
        ),
        pivot: PivotFriction { coulomb_n_m: 2.0, breakaway_n_m: 2.6, viscous_n_m_s: 1.5 },
        bearings: Bearings {
            span_m: 0.3048,
            upper: BearingOffsets::default(),
            lower: BearingOffsets { toward_wall_m: 0.0008, downstream_m: 0.0003 },
        },
        counterweight: Some(Counterweight {
            mass_kg: 22.0,
            travel_ratio: 1.0,
            strut: Strut { frame_anchor_m: Vec2::new(0.15, -0.75), arm_along_m: 0.4, arm_across_m: 0.0 },
        }),
        dampers: vec![Damper {
            strut: Strut { frame_anchor_m: Vec2::new(0.05, -0.7), arm_along_m: 0.45, arm_across_m: 0.05 },
            out_stroke: damper(300.0),
            in_stroke: damper(20.0),
            gas: Some(GasCharge { preload_n: 30.0, rate_n_per_m: 25.0, reference_m: 0.7 }),
        }],
        cylinder: Some(AirCylinder {
            strut: Strut { frame_anchor_m: Vec2::new(0.1, -0.65), arm_along_m: 0.35, arm_across_m: 0.0 },
            closed_length_m: 0.35,
            stroke_m: 0.5,
            cap: Chamber { area_m2: cap_m2, dead_volume_m3: 2e-4, line: line(6.0, ValveConnection::Exhaust) },
            rod: Chamber { area_m2: rod_m2, dead_volume_m3: 2e-4, line: line(6.0, ValveConnection::Supply) },
            seal_friction_n: 4.0,
            polytropic_index: 1.2,
            temperature_k: 293.15,
            schedule: vec![
                step(VehicleEnd::Nose, 0.9, ChamberName::Cap, ValveConnection::Supply),
                step(VehicleEnd::Nose, 2.6, ChamberName::Cap, ValveConnection::Exhaust),
                step(VehicleEnd::Tail, 2.2, ChamberName::Rod, ValveConnection::Exhaust),
                step(VehicleEnd::Tail, 3.6, ChamberName::Rod, ValveConnection::Supply),
            ],
        }),
        inboard_stop: stop(1.12),
        outboard_stop: stop(1.75),
        brush: Brush {
            radius_m: 0.6,
            worn_m: 0.0,
            hub_radius_m: 0.1,
            z_low_m: 0.25,
            z_high_m: 1.35,
            strips: 24,
            spin_rad_s: 90.0 / 60.0 * std::f64::consts::TAU,
            spin_sense: SpinSense::OutboardAtNose,
            media: Media::stiff(PushBack { depth_m: 0.15, force_n: 42.0, height_m: 1.1 }),
            exponent: 1.0,
            push_factor: 1.0,
            stiffening_spin_rad_s: Some(25.0),
            friction: 0.35,
            air_drag_n_m_s2: 0.14,
        },
        atmosphere_pa: brusharm::fluid::ATMOSPHERE_PA,
    }
}

fn step(end: VehicleEnd, at_m: f64, chamber: ChamberName, to: ValveConnection) -> ValveStep {
    ValveStep { end, at_m, delay_s: 0.15, chamber, to }
}

/// A vehicle with its mirror image.
pub fn pair(spec: &VehicleSpec) -> Arc<VehiclePair> {
    let real = spec.build().expect("the vehicle builds");
    let mirrored = spec.mirrored().build().expect("the mirrored vehicle builds");
    Arc::new(VehiclePair { real, mirrored })
}

/// A body without features in `bands` equal bands of slightly differing outline.
pub fn plain_spec(bands: u32) -> VehicleSpec {
    let body = |i: u32| {
        let at = |k: u32| 0.25 + 1.1 * f64::from(k) / f64::from(bands);
        BodySpec {
            z_low_m: at(i),
            z_high_m: at(i + 1),
            nose_setback_m: 0.1 * f64::from(i),
            tail_setback_m: 0.06 * f64::from(i),
            width_m: 1.82 - 0.05 * f64::from(i),
            nose_sweep_m: 0.14,
            nose_corner_radius_m: 0.35,
            tail_sweep_m: 0.09,
            tail_corner_radius_m: 0.3,
            side_barrel_m: 0.03,
        }
    };
    VehicleSpec {
        name: format!("body of {bands}"),
        class: "sedan".to_owned(),
        note: "Invented.".to_owned(),
        length_m: 4.8,
        width_m: 1.82,
        height_m: 1.35,
        body: (0..bands).map(body).collect(),
        features: Vec::new(),
    }
}

/// A train of three like vehicles past both units, the middle one measured.
pub fn setup(spec: &VehicleSpec, throughput_per_h: f64) -> PassSetup {
    let shape = pair(spec);
    let gap_m = 1.5;
    PassSetup {
        units: vec![unit(Side::Left), unit(Side::Right)],
        conveyor_speed_m_s: conveyor_speed_m_s(throughput_per_h, shape.real.length_m, gap_m),
        train: (0..2)
            .map(|_| TrainVehicle { shape: shape.clone(), lateral_offset_m: 0.02, yaw_rad: 0.004 })
            .collect(),
        measured: 1,
        gap_m,
        numerics: Numerics::default(),
    }
}

/// Criteria that give every number a verdict.
pub fn criteria() -> Criteria {
    Criteria { feature_limits_n: Vec::new(), marginal_share: 0.1, ..Criteria::default() }
        .with(MeasureName::NoseWashed, 0.98)
        .with(MeasureName::SideWashed, 0.98)
        .with(MeasureName::TailWashed, 0.7)
        .with(MeasureName::NoseOverlap, 0.0)
        .with(MeasureName::TailGap, 0.6)
        .with(MeasureName::SidePressureMean, 5.0)
        .with(MeasureName::SidePressurePeak, 400.0)
        .with(MeasureName::ChaseDelay, 3.0)
        .with(MeasureName::RecoveryMargin, 1.0)
        .with(MeasureName::StopCompression, 0.045)
        .with(MeasureName::SpindlePower, 1500.0)
}

/// Runs and measures.
pub fn solve(setup: &PassSetup) -> (Record, Outcome) {
    let record = run(setup).expect("the pass runs");
    let outcome = measure(setup, &record, &CoverageSettings::default(), &criteria());
    (record, outcome)
}
