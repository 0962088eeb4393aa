//! An invented machine and its passes, for the pictures.

use brusharm::arm::*;
use brusharm::coverage::MeasureName;
use brusharm::coverage::{CoverageSettings, Criteria, Solved, measure};
use brusharm::geometry::Vec2;
use brusharm::pass::*;
use brusharm::vehicle::{FeatureKind, VehicleSpec, fleet};
use std::sync::Arc;

const PSI: f64 = 6894.757293168361;

/// One unit; `lower_m` is how far the lower bearing is set toward the wall.
pub fn unit(side: Side, lower_m: f64, pivot_x_m: f64) -> UnitModel {
    let parts = [
        ArmPart::Rod { mass_kg: 38.0, from_m: 0.0, to_m: 2.3 },
        ArmPart::Point { mass_kg: 48.0, radius_m: 2.3 },
    ];
    let (cap, rod) = AirCylinder::areas_m2(0.0508, 0.0159);
    let line = |gauge_pa: f64| ChamberLine {
        regulator: Regulator { set_gauge_pa: gauge_pa, relieving: true },
        supply_c_m3_s_pa: 5e-9,
        supply_b: 0.3,
        exhaust_c_m3_s_pa: 1e-8,
        exhaust_b: 0.3,
        initial: if gauge_pa > 0.0 { ValveConnection::Supply } else { ValveConnection::Exhaust },
    };
    let stop = |seat_rad: f64, linear_n_per_m: f64, damping_n_s_per_m: f64| BumperStop {
        seat_rad,
        radius_m: 0.4,
        linear_n_per_m,
        cubic_n_per_m3: 1e7,
        damping_n_s_per_m,
        full_compression_m: 0.04,
        rigid_n_per_m: 1e6,
    };
    UnitModel {
        side,
        pivot_m: Vec2::new(pivot_x_m, 1.4),
        pivot_height_m: 1.6,
        body: ArmBody::from_parts(2.3, &parts),
        pivot: PivotFriction { coulomb_n_m: 2.5, breakaway_n_m: 3.0, viscous_n_m_s: 0.0 },
        bearings: Bearings {
            span_m: 0.3048,
            upper: BearingOffsets::default(),
            lower: BearingOffsets { toward_wall_m: lower_m, downstream_m: 0.0 },
        },
        counterweight: Some(Counterweight {
            mass_kg: 10.5,
            travel_ratio: 1.0,
            strut: Strut { frame_anchor_m: Vec2::new(-0.35, 0.65), arm_along_m: -0.45, arm_across_m: 0.0 },
        }),
        dampers: vec![Damper {
            strut: Strut { frame_anchor_m: Vec2::new(-0.4, 0.1), arm_along_m: 0.35, arm_across_m: 0.0 },
            out_stroke: StrokeDamping { linear_n_s_per_m: 400.0, quadratic_n_s2_per_m2: 0.0 },
            in_stroke: StrokeDamping { linear_n_s_per_m: 25.0, quadratic_n_s2_per_m2: 0.0 },
            gas: None,
        }],
        cylinder: Some(AirCylinder {
            strut: Strut { frame_anchor_m: Vec2::new(0.40, 0.54), arm_along_m: 0.3, arm_across_m: 0.0 },
            closed_length_m: 0.45,
            stroke_m: 0.4,
            cap: Chamber { area_m2: cap, dead_volume_m3: 2e-4, line: line(7.0 * PSI) },
            rod: Chamber { area_m2: rod, dead_volume_m3: 2e-4, line: line(0.0) },
            seal_friction_n: 5.0,
            polytropic_index: 1.0,
            temperature_k: 293.15,
            schedule: vec![],
        }),
        inboard_stop: stop((1.0_f64 / 2.3).acos(), 15000.0, 5000.0),
        outboard_stop: stop(1.75, 25000.0, 1250.0),
        brush: Brush {
            radius_m: 0.6,
            worn_m: 0.0,
            hub_radius_m: 0.15,
            z_low_m: 0.25,
            z_high_m: 1.45,
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

/// A vehicle of the invented fleet at a throughput, both bearings set by `lower_m`.
pub fn solve_vehicle(spec: &VehicleSpec, per_h: f64, lower_m: f64) -> Solved {
    let real = spec.build().expect("the fleet builds");
    let mirrored = spec.mirrored().build().expect("the fleet builds");
    let length = real.length_m;
    let pair = Arc::new(VehiclePair { real, mirrored });
    let member = TrainVehicle { shape: pair, lateral_offset_m: 0.0, yaw_rad: 0.0 };
    let setup = PassSetup {
        units: vec![unit(Side::Left, lower_m, 0.0), unit(Side::Right, lower_m, 1.8)],
        train: vec![member; 2],
        measured: 1,
        gap_m: 1.5,
        conveyor_speed_m_s: conveyor_speed_m_s(per_h, length, 1.5),
        numerics: Numerics::default(),
    };
    let record = run(&setup).expect("the pass runs");
    let settings = CoverageSettings::default();
    let criteria = Criteria {
        feature_limits_n: vec![(FeatureKind::Mirror, 60.0)],
        marginal_share: 0.1,
        ..Criteria::default()
    }
    .with(MeasureName::NoseWashed, 0.95)
    .with(MeasureName::SideWashed, 0.98)
    .with(MeasureName::TailWashed, 0.90)
    .with(MeasureName::NoseOverlap, 0.05)
    .with(MeasureName::TailGap, 0.15)
    .with(MeasureName::SidePressureMean, 40.0)
    .with(MeasureName::SidePressurePeak, 900.0)
    .with(MeasureName::ChaseDelay, 1.5)
    .with(MeasureName::RecoveryMargin, 1.0)
    .with(MeasureName::StopCompression, 0.035)
    .with(MeasureName::SpindlePower, 800.0);
    let outcome = measure(&setup, &record, &settings, &criteria);
    Solved { setup, record, outcome, settings }
}

/// The sedan.
pub fn solve(per_h: f64, lower_m: f64) -> Solved {
    solve_vehicle(&fleet::sedan(), per_h, lower_m)
}

/// The stop pin of every unit: three holes, the middle one in use.
pub fn pins() -> Vec<Option<StopPin>> {
    let seat = (1.0_f64 / 2.3).acos();
    vec![Some(StopPin { seat_rad: vec![seat + 0.05, seat, seat - 0.05], hole: 2 }); 2]
}
