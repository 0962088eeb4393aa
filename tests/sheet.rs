//! The set-up sheet: what is on it, that hostile text stays text, and that the same input gives the same page.

use brusharm::arm::*;
use brusharm::coverage::*;
use brusharm::geometry::Vec2;
use brusharm::pass::*;
use brusharm::report::sheet::*;
use brusharm::units::UnitSystem;
use brusharm::vehicle;
use std::sync::Arc;

const INCH: f64 = 0.0254;
const PSI: f64 = 6894.757293168361;

fn line(pressure_psi: f64) -> ChamberLine {
    ChamberLine {
        regulator: Regulator { set_gauge_pa: pressure_psi * PSI, relieving: true },
        supply_c_m3_s_pa: 5e-9,
        supply_b: 0.3,
        exhaust_c_m3_s_pa: 1e-8,
        exhaust_b: 0.3,
        initial: if pressure_psi > 0.0 { ValveConnection::Supply } else { ValveConnection::Exhaust },
    }
}

fn unit(side: Side, lower_m: f64, psi: f64) -> UnitModel {
    let body = ArmBody::from_parts(
        2.3,
        &[
            ArmPart::Rod { mass_kg: 38.0, from_m: 0.0, to_m: 2.3 },
            ArmPart::Point { mass_kg: 48.0, radius_m: 2.3 },
        ],
    );
    let stop = |seat_rad: f64| BumperStop {
        seat_rad,
        radius_m: 0.4,
        linear_n_m: 15000.0,
        cubic_n_m3: 1e7,
        damping_n_s_m: 5000.0,
        full_compression_m: 0.04,
        rigid_n_m: 1e6,
    };
    let (cap, rod) = AirCylinder::areas_m2(2.0 * INCH, 0.625 * INCH);
    let chamber = |area_m2, psi| Chamber { area_m2, dead_volume_m3: 2e-4, line: line(psi) };
    UnitModel {
        side,
        pivot_m: Vec2::new(if side == Side::Left { 0.0 } else { 1.8 }, 1.4),
        pivot_height_m: 1.6,
        body,
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
            out_stroke: StrokeDamping { linear_n_s_m: 400.0, quadratic_n_s2_m2: 0.0 },
            in_stroke: StrokeDamping { linear_n_s_m: 25.0, quadratic_n_s2_m2: 0.0 },
            gas: None,
        }],
        cylinder: Some(AirCylinder {
            strut: Strut { frame_anchor_m: Vec2::new(0.40, 0.54), arm_along_m: 0.3, arm_across_m: 0.0 },
            closed_length_m: 0.45,
            stroke_m: 0.4,
            cap: chamber(cap, psi),
            rod: chamber(rod, 0.0),
            seal_friction_n: 5.0,
            polytropic_index: 1.0,
            temperature_k: 293.15,
            schedule: vec![],
        }),
        inboard_stop: stop((1.0f64 / 2.3).acos()),
        outboard_stop: stop(1.75),
        brush: Brush {
            radius_m: 0.6,
            hub_radius_m: 0.15,
            z_low_m: 0.25,
            z_high_m: 1.45,
            strips: 24,
            spin_rad_s: 9.42,
            spin_sense: SpinSense::OutboardAtNose,
            push_back: PushBack { depth_m: 0.15, force_n: 42.0, height_m: 1.2 },
            exponent: 1.0,
            stiffening_spin_rad_s: None,
            friction: 0.35,
        },
        atmosphere_pa: 101325.0,
    }
}

struct Solved {
    setup: PassSetup,
    record: Record,
    outcome: Outcome,
    coverage: CoverageSettings,
}

impl Solved {
    fn new(lower_m: f64, psi: f64, per_h: f64) -> Solved {
        let spec = vehicle::fleet::sedan();
        let pair =
            Arc::new(VehiclePair { real: spec.build().unwrap(), mirrored: spec.mirrored().build().unwrap() });
        let train = vec![TrainVehicle { shape: pair.clone(), lateral_offset_m: 0.0, yaw_rad: 0.0 }; 2];
        let setup = PassSetup {
            units: vec![unit(Side::Left, lower_m, psi), unit(Side::Right, 0.0, psi)],
            train,
            measured: 1,
            gap_m: 1.5,
            conveyor_speed_m_s: conveyor_speed_m_s(per_h, pair.real.length_m, 1.5),
            numerics: Numerics::default(),
        };
        let record = run(&setup).unwrap();
        let coverage = CoverageSettings::default();
        let criteria = Criteria {
            nose_washed_min: Some(0.9),
            side_washed_min: Some(0.95),
            tail_washed_min: Some(0.7),
            nose_overlap_min_m: Some(0.05),
            tail_gap_max_m: Some(0.3),
            side_pressure_min_pa: Some(60.0),
            side_pressure_max_pa: Some(1500.0),
            chase_delay_max_s: Some(2.0),
            recovery_margin_min_s: Some(1.0),
            stop_compression_max_m: Some(0.03),
            spindle_power_max_w: Some(400.0),
            marginal_share: 0.1,
            ..Criteria::default()
        };
        let outcome = measure(&setup, &record, &coverage, &criteria);
        Solved { setup, record, outcome, coverage }
    }

    fn pass(&self) -> SheetPass<'_> {
        SheetPass {
            setup: &self.setup,
            record: &self.record,
            outcome: &self.outcome,
            coverage: &self.coverage,
        }
    }
}

fn value(written: &str, other: &str) -> Value {
    Value { written: written.to_owned(), other: other.to_owned() }
}

fn row(label: &str, group: Group, found: [&str; 2], left: [&str; 2]) -> SettingRow {
    let cell = |i: usize| {
        Some(SideCell {
            found: Some(value(found[i], "3.2 mm")),
            left: value(left[i], "3.2 mm"),
            changed: found[i] != left[i],
            down: Some(Reach { amount: "0.06".into(), turns: Some("gap on the tail".into()) }),
            up: Some(Reach { amount: "≥0.50".into(), turns: None }),
            unit: "in".into(),
        })
    };
    SettingRow { label: label.into(), group, sides: [cell(0), cell(1)], in_field: true, whole: None }
}

fn sheet<'a>(language: Language, found: Option<&'a Solved>, left: &'a Solved, head: Head) -> Sheet<'a> {
    let mut settings = vec![
        row("regulator, cap end", Group::Air, ["7 psi", "7 psi"], ["9 psi", "9 psi"]),
        row("lower bearing, toward the wall", Group::Bearing, ["1/8 in", "0 in"], ["0 in", "0 in"]),
    ];
    for i in 0..16 {
        settings.push(row(&format!("setting number {i}"), Group::Other, ["1 lb", "1 lb"], ["1 lb", "1 lb"]));
    }
    let step = |group, what: &str| {
        Step {
        group,
        what: what.into(),
        how: "Arm blocked, air at zero. Slacken the block bolts, then work both adjusting screws, one off, one on, a quarter turn at a time. 1/8 in is a big move.".into(),
        done: "the tape at both adjusting screws reads −1/8 in from the gap found, the keeper touches the block all along, and the other bearing still stands plumb.".into(),
        lock: "both adjusting screws and their lock nuts, keeper, block bolts. Swing the arm by hand: no bind.".into(),
    }
    };
    Sheet {
        language,
        units: UnitSystem::Us,
        head,
        found: found.map(Solved::pass),
        left: left.pass(),
        still_s: left.outcome.units[0].time_of(EventName::TailPasses).unwrap(),
        pictures: vec![],
        settings,
        steps: vec![
            step(Group::Standard, "Move the lower bearing, left unit, 1/8 in toward the lane."),
            step(Group::Air, "Set the cap regulator, both units, from 7 psi to 9 psi."),
        ],
        pulls: left.setup.units.iter().map(|u| Pull::at(u, Pull::stated_angle_rad(u))).collect(),
        additions: vec![],
    }
}

#[test]
fn verif_sheet_is_one_whole_page() {
    let (found, left) = (Solved::new(0.003175, 7.0, 100.0), Solved::new(0.0, 9.0, 100.0));
    let head = Head {
        title: "Return lane".into(),
        site: "Ferry harbour".into(),
        file: "after.ron".into(),
        ..Head::default()
    };
    for language in Language::ALL {
        let text = html(&sheet(language, Some(&found), &left, head.clone())).unwrap();
        if let Ok(dir) = std::env::var("SHEET_OUT") {
            std::fs::write(format!("{dir}/sheet-{}.html", language.code()), &text).unwrap();
        }
        assert!(text.len() < 1_000_000, "{}", text.len());
        assert!(text.starts_with("<!DOCTYPE html>") && text.ends_with("</html>"));
    }
}
