//! From the written form to the models in SI. Everything here was checked before.

use super::criteria_file::CriteriaFile;
use super::file::*;
use super::machine_file::*;
use super::media_file::*;
use super::setup_file::*;
use crate::arm::*;
use crate::coverage::{CoverageSettings, Criteria};
use crate::elementary::Elementary;
use crate::geometry::Vec2;
use crate::pass::Numerics;

/// Bearings of a unit with a span in m.
pub(super) fn bearings(file: &BearingsFile, span_m: f64) -> Bearings {
    Bearings {
        span_m,
        upper: BearingOffsets {
            toward_wall_m: file.upper_offset.as_ref().map_or(0.0, crate::units::Length::si),
            downstream_m: file.upper_along.si(),
        },
        lower: BearingOffsets { toward_wall_m: file.lower_offset_m(), downstream_m: file.lower_along.si() },
    }
}

fn strut(frame: &FrameAnchorFile, arm: &ArmAnchorFile) -> Strut {
    Strut {
        frame_anchor_m: Vec2::new(frame.downstream.si(), frame.toward_wall.si()),
        arm_along_m: arm.along.si(),
        arm_across_m: arm.across.si(),
    }
}

fn bumper(file: &BumperFile, seat_rad: f64) -> BumperStop {
    BumperStop {
        seat_rad,
        radius_m: file.radius.si(),
        linear_n_per_m: file.linear.si(),
        cubic_n_per_m3: file.cubic.si(),
        damping_n_s_per_m: file.damping.si(),
        full_compression_m: file.full_compression.si(),
        rigid_n_per_m: file.rigid.si(),
    }
}

pub(super) fn part(file: &PartFile) -> ArmPart {
    match file {
        PartFile::Rod { mass, from, to, .. } => {
            ArmPart::Rod { mass_kg: mass.si(), from_m: from.si(), to_m: to.si() }
        }
        PartFile::Point { mass, at, .. } => ArmPart::Point { mass_kg: mass.si(), radius_m: at.si() },
        PartFile::Given { mass, at, inertia, .. } => {
            ArmPart::Given { mass_kg: mass.si(), radius_m: at.si(), inertia_kg_m2: inertia.si() }
        }
    }
}

/// A part of the arm of a unit whose masses were found to be other than described.
pub(super) fn part_found(file: &PartFile, found: &FoundFile) -> ArmPart {
    let Some(over) = found.arm_mass.as_ref().map(crate::units::Fraction::si) else { return part(file) };
    match part(file) {
        ArmPart::Rod { mass_kg, from_m, to_m } => ArmPart::Rod { mass_kg: over * mass_kg, from_m, to_m },
        ArmPart::Point { mass_kg, radius_m } => ArmPart::Point { mass_kg: over * mass_kg, radius_m },
        ArmPart::Given { mass_kg, radius_m, inertia_kg_m2 } => {
            ArmPart::Given { mass_kg: over * mass_kg, radius_m, inertia_kg_m2: over * inertia_kg_m2 }
        }
    }
}

/// The holes of the stop pin and the one in use.
pub(super) fn stop_pin(hardware: &HardwareFile, hole: u32, found: &FoundFile) -> StopPin {
    let (pivot_m, length_m) = (hardware.pivot.from_center.si(), hardware.arm.length.si());
    let holes = &hardware.stop_pin;
    // d = y_p − L cos φ
    let angle = |d_m: f64| ((pivot_m - d_m) / length_m).clamp(-1.0, 1.0).arccosine();
    let by_distance = holes.brush_center.iter().map(|d| angle(d.si()));
    let mut seat_rad: Vec<f64> = by_distance.chain(holes.angle.iter().map(crate::units::Angle::si)).collect();
    if let Some(shift) = found.seat_shift.as_ref().filter(|shift| shift.si() != 0.0) {
        for seat in &mut seat_rad {
            *seat = angle(pivot_m - length_m * seat.cosine() + shift.si());
        }
    }
    StopPin { seat_rad, hole: hole as usize }
}

/// Friction of the pivot. A breakaway that was not found keeps its ratio to the friction.
fn pivot_friction(pivot: &PivotFile, found: &FoundFile) -> PivotFriction {
    let described = pivot.friction.si();
    let described_breakaway = pivot.breakaway.as_ref().unwrap_or(&pivot.friction).si();
    let coulomb_n_m = found.friction.as_ref().map_or(described, crate::units::Torque::si);
    let breakaway_n_m = match &found.breakaway_ratio {
        Some(ratio) => ratio.si() * coulomb_n_m,
        None if found.friction.is_some() && described > 0.0 => {
            coulomb_n_m * (described_breakaway / described)
        }
        None => described_breakaway.max(coulomb_n_m),
    };
    PivotFriction { coulomb_n_m, breakaway_n_m, viscous_n_m_s: pivot.viscous.si() }
}

/// Names of the standard stop hole: the middle one.
pub(super) fn middle_hole(hardware: &HardwareFile) -> u32 {
    u32::try_from(stop_pin(hardware, 1, &FoundFile::default()).middle_hole()).unwrap_or(1)
}

/// Air as a site has it.
#[derive(Debug, Clone, Copy)]
pub(super) struct SiteAir {
    pub atmosphere_pa: f64,
    pub temperature_k: f64,
}

impl SiteAir {
    pub fn of(line: &LineFile) -> SiteAir {
        SiteAir {
            atmosphere_pa: line.atmosphere.absolute_pa(crate::units::STANDARD_ATMOSPHERE_PA),
            temperature_k: line.air_temperature.si(),
        }
    }
}

fn chamber(
    file: &ChamberFile,
    area_m2: f64,
    pressure: &crate::units::Pressure,
    initial: ConnectionWord,
    site: SiteAir,
) -> Chamber {
    Chamber {
        area_m2,
        dead_volume_m3: file.dead_volume.si(),
        line: ChamberLine {
            regulator: Regulator {
                set_gauge_pa: pressure.gauge_pa_at(site.atmosphere_pa),
                relieving: file.relieving,
            },
            supply_c_m3_s_pa: file.supply.c.si(),
            supply_b: file.supply.b.si(),
            exhaust_c_m3_s_pa: file.exhaust.c.si(),
            exhaust_b: file.exhaust.b.si(),
            initial: initial.model(),
        },
    }
}

fn cylinder(file: &CylinderFile, air: &AirFile, site: SiteAir) -> AirCylinder {
    let (cap_area_m2, rod_area_m2) = AirCylinder::areas_m2(file.bore.si(), file.rod_diameter.si());
    let pull_in_s = file.valve_pull_in.si();
    AirCylinder {
        strut: strut(&file.frame_anchor, &file.arm_anchor),
        closed_length_m: file.closed_length.si(),
        stroke_m: file.stroke.si(),
        cap: chamber(&file.cap, cap_area_m2, &air.cap, air.cap_start, site),
        rod: chamber(&file.rod, rod_area_m2, &air.rod, air.rod_start, site),
        seal_friction_n: file.seal_friction.si(),
        polytropic_index: file.polytropic_index.si(),
        temperature_k: site.temperature_k,
        schedule: air
            .schedule
            .iter()
            .map(|step| ValveStep {
                end: step.when.model(),
                at_m: step.at.si(),
                delay_s: step.delay.si() + pull_in_s,
                chamber: step.chamber.model(),
                to: step.to.model(),
            })
            .collect(),
    }
}

fn damper(file: &DamperFile, needle: &NeedleFile) -> Damper {
    Damper {
        strut: strut(&file.frame_anchor, &file.arm_anchor),
        out_stroke: StrokeDamping {
            linear_n_s_per_m: needle.out_stroke.si(),
            quadratic_n_s2_per_m2: needle.out_quadratic.si(),
        },
        in_stroke: StrokeDamping {
            linear_n_s_per_m: needle.in_stroke.si(),
            quadratic_n_s2_per_m2: needle.in_quadratic.si(),
        },
        gas: file.gas.as_ref().map(|gas| GasCharge {
            preload_n: gas.preload.si(),
            rate_n_per_m: gas.rate.si(),
            reference_m: gas.at_length.si(),
        }),
    }
}

/// One unit. `None` when the stop pin has no such hole. `foam_friction` is what a brush gets that states no friction.
pub(super) fn unit_model(
    side: Side,
    hardware: &HardwareFile,
    unit: &UnitFile,
    site: SiteAir,
    foam_friction: f64,
) -> Option<UnitModel> {
    let found = &unit.found;
    let mut parts: Vec<ArmPart> = hardware.arm.parts.iter().map(|file| part_found(file, found)).collect();
    let seat_rad = stop_pin(hardware, unit.stop_pin.hole, found).seat()?;
    let brush = brush(&hardware.brush, unit, site, foam_friction);
    // The media swing with the arm and, their motor holding its speed, turn with it.
    parts.extend(media_part(&brush, hardware.arm.length.si()));
    Some(UnitModel {
        side,
        pivot_m: Vec2::new(unit.position.si(), hardware.pivot.from_center.si()),
        pivot_height_m: hardware.pivot.height.si(),
        body: ArmBody::from_parts(hardware.arm.length.si(), &parts),
        pivot: pivot_friction(&hardware.pivot, found),
        bearings: bearings(&unit.bearings, hardware.pivot.bearing_span.si()),
        counterweight: hardware.counterweight.as_ref().zip(unit.counterweight.as_ref()).map(
            |(cable, weight)| Counterweight {
                mass_kg: weight.mass.si(),
                travel_ratio: cable.travel_ratio.si(),
                strut: strut(&cable.frame_anchor, &cable.arm_anchor),
            },
        ),
        dampers: hardware
            .dampers
            .iter()
            .zip(&unit.dampers)
            .map(|(file, needle)| damper(file, needle))
            .collect(),
        cylinder: hardware
            .cylinder
            .as_ref()
            .zip(unit.air.as_ref())
            .map(|(file, air)| cylinder(file, air, site)),
        inboard_stop: bumper(&hardware.bumper, seat_rad),
        outboard_stop: bumper(&hardware.outboard_stop.bumper, hardware.outboard_stop.angle.si()),
        brush,
        atmosphere_pa: site.atmosphere_pa,
    })
}

/// The media as a part of the arm; `None` where their mass is not known, and lies in the parts of the file.
pub(super) fn media_part(brush: &Brush, length_m: f64) -> Option<ArmPart> {
    let inertia_kg_m2 = brush.media_inertia_kg_m2();
    brush.media.mass_kg().map(|mass_kg| ArmPart::Given { mass_kg, radius_m: length_m, inertia_kg_m2 })
}

fn push_back(file: &PushBackFile) -> PushBack {
    PushBack { depth_m: file.depth.si(), force_n: file.force.si(), height_m: file.height.si() }
}

fn brush(file: &BrushFile, unit: &UnitFile, site: SiteAir, foam_friction: f64) -> Brush {
    let (set, found) = (&unit.brush, &unit.found);
    let (new_m, hub_radius_m) = (file.radius.si(), file.hub_radius.si());
    let worn_m = set.worn.si();
    // What is worn off takes its mass along.
    let left = (new_m - worn_m - hub_radius_m) / (new_m - hub_radius_m);
    let spin = |at: &Option<crate::units::Spin>| at.as_ref().map_or(0.0, crate::units::Spin::si);
    let media = match (&set.media, &set.push_back) {
        (Some(MediaFile::Limp { mass }), _) => Media::Limp { mass_kg: left * mass.si() },
        (Some(MediaFile::Stiff { push_back: test, measured_at, mass }), _) => Media::Stiff {
            test: push_back(test),
            measured_at_rad_s: spin(measured_at),
            mass_kg: mass.as_ref().map(|mass| left * mass.si()),
        },
        (Some(MediaFile::Between { mass, push_back: test, measured_at }), _) => Media::Between {
            test: push_back(test),
            measured_at_rad_s: spin(measured_at),
            mass_kg: left * mass.si(),
        },
        (None, Some(test)) => Media::stiff(push_back(test)),
        // Refused by the checks.
        (None, None) => Media::Limp { mass_kg: 0.0 },
    };
    let mut brush = Brush {
        radius_m: found.radius.as_ref().map_or(new_m - worn_m, crate::units::Length::si),
        worn_m,
        hub_radius_m,
        z_low_m: file.media_bottom.si(),
        z_high_m: file.media_top.si(),
        strips: file.strips,
        spin_rad_s: set.spin.si(),
        spin_sense: set.spin_sense.model(),
        exponent: (found.exponent.as_ref().or(file.exponent.as_ref()))
            .map_or(media.exponent(), crate::units::Fraction::si),
        push_factor: found.push.as_ref().map_or(1.0, crate::units::Fraction::si),
        media,
        stiffening_spin_rad_s: (found.stiffening_spin.as_ref().or(file.stiffening_spin.as_ref()))
            .map(crate::units::Spin::si),
        friction: set.friction.as_ref().map_or(foam_friction, crate::units::Fraction::si),
        air_drag_n_m_s2: 0.0,
    };
    let density_kg_m3 = site.atmosphere_pa / (crate::fluid::R_AIR_J_KG_K * site.temperature_k);
    let coefficient = file.air_drag.as_ref().map_or(AIR_DRAG_COEFFICIENT, crate::units::Fraction::si);
    brush.air_drag_n_m_s2 = brush.air_drag_torque_n_m_s2(density_kg_m3, coefficient);
    brush
}

/// Limits of the scenario.
pub(super) fn criteria(file: &CriteriaFile) -> Criteria {
    let mut criteria = Criteria {
        feature_limits_n: file.feature_force.iter().map(|l| (l.feature, l.limit.si())).collect(),
        marginal_share: file.marginal.si(),
        ..Criteria::default()
    };
    for (&name, limit) in &file.limits {
        criteria.set(name, limit.si());
    }
    criteria
}

/// How coverage is counted.
pub(super) fn coverage_settings(file: &CoverageFile) -> CoverageSettings {
    CoverageSettings {
        washed_wipes: file.washed_wipes.si(),
        washed_work_j_m2: file.washed_work.as_ref().map(crate::units::WorkPerArea::si),
        judged_depth_m: file.judged_depth.si(),
        station_m: file.station.si(),
        look_m: file.look.si(),
    }
}

/// How finely a pass is computed.
pub(super) fn numerics(file: &NumericsFile) -> Numerics {
    Numerics { tolerance: file.tolerance.si(), longest_step_s: file.longest_step.si() }
}
