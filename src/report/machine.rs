//! Builds the document of the resolved machine from what a pass is computed from.

use super::machine_document::*;
use super::{ScenarioDocument, SetDocument, key, per_hour};
use crate::arm::*;
use crate::coverage::{CoverageSettings, Criteria, MeasureName};
use crate::geometry::Piece;
use crate::pass::contact::FRICTION_FADE_M_S;
use crate::pass::{PassSetup, rest_angle_rad, rest_angles_rad};
use crate::vehicle::{Outline, Vehicle};

/// Laws and signs, so that the document can be read without this program.
const CONVENTIONS: [&str; 14] = [
    "ground frame: x downstream, y to the left of travel, z up, lane centreline y = 0; t = 0 when the measured nose is at x = 0",
    "unit frame: as the ground frame for the left unit; y reversed for the right unit",
    "swing angle phi: 0 = arm straight across the lane, positive = downstream and outboard; brush centre = pivot + L (sin phi, -cos phi)",
    "motion: (I + m (k l')^2) phi'' = sum of torques - k l' m (g + k l'' phi'^2) with a taut counterweight cable; it goes slack at zero tension",
    "lean: torque = M g r s . (cos phi, sin phi), s = D / sqrt(|D|^2 + span^2), D = upper offset - lower offset; the brush centre moves by D / span (z - pivot height)",
    "strut: arm anchor = along (sin phi, -cos phi) + across (cos phi, sin phi) from the pivot; push F turns the arm with F dl/dphi",
    "air: dp/dt = (n/V) (R T m' - p dV/dt), R = 287.05287 J/(kg K); m' by ISO 6358: C p1 1.185 kg/m3 sqrt(293.15 K / T), times sqrt(1 - ((p2/p1 - b)/(1 - b))^2) below choking, linear above p2/p1 = 0.995",
    "stop: F = max(0, k1 x + k3 x^3 + c x' + k_rigid (x - full)+), x = compression; lets go at zero force",
    "pivot friction: Coulomb and viscous, with true stick up to the breakaway torque",
    "strips: dN = K d^p cos(beta) dpsi per metre of height along the surface normal, d = R - distance along the ray from the spindle to the first surface met, beta between ray and normal; limp media: K = spin_stiffness (spin + phi')^2",
    "lead: dN acts a lead toward the arriving tips of the place it points at, which gives it a moment lead dN about the spindle against the slip",
    "rubbing: friction coefficient times dN, against the motion of the strip tip over the surface; fades linearly below the fade speed; its rubbing share wears, the rest flexes strips",
    "stirred air: torque air_drag_n_m_s2 (spin + phi')^2 against the turning",
    "brushes on each other: lens of two discs, each with half stiffness",
];

impl PartDocument {
    fn new(name: &str, part: &ArmPart) -> Self {
        let (shape, from_m, to_m) = match *part {
            ArmPart::Rod { from_m, to_m, .. } => ("rod", Some(from_m), Some(to_m)),
            ArmPart::Point { .. } => ("point", None, None),
            ArmPart::Given { .. } => ("given", None, None),
        };
        PartDocument {
            name: name.to_owned(),
            shape: shape.to_owned(),
            mass_kg: part.mass_kg(),
            from_m,
            to_m,
            cg_radius_m: part.cg_radius_m(),
            inertia_about_pivot_kg_m2: part.inertia_kg_m2(),
        }
    }
}

impl StrutDocument {
    fn new(strut: &Strut, rest_rad: Option<f64>) -> Self {
        let at_rest = rest_rad.map(|phi| strut.at(phi));
        StrutDocument {
            frame_anchor: strut.frame_anchor_m.into(),
            arm_along_m: strut.arm_along_m,
            arm_across_m: strut.arm_across_m,
            rest_length_m: at_rest.map(|s| s.length_m),
            rest_slope_m_rad: at_rest.map(|s| s.d1_m),
        }
    }
}

impl ChamberDocument {
    fn new(chamber: &Chamber, rest_volume_m3: Option<f64>) -> Self {
        let line = &chamber.line;
        ChamberDocument {
            area_m2: chamber.area_m2,
            dead_volume_m3: chamber.dead_volume_m3,
            rest_volume_m3,
            regulator_gauge_pa: line.regulator.set_gauge_pa,
            relieving: line.regulator.relieving,
            supply_c_m3_s_pa: line.supply_c_m3_s_pa,
            supply_b: line.supply_b,
            exhaust_c_m3_s_pa: line.exhaust_c_m3_s_pa,
            exhaust_b: line.exhaust_b,
            initial: connection(line.initial).to_owned(),
        }
    }
}

fn connection(to: ValveConnection) -> &'static str {
    match to {
        ValveConnection::Supply => "supply",
        ValveConnection::Exhaust => "exhaust",
        ValveConnection::Closed => "closed",
    }
}

impl From<&BumperStop> for StopDocument {
    fn from(s: &BumperStop) -> Self {
        StopDocument {
            seat_rad: s.seat_rad,
            radius_m: s.radius_m,
            linear_n_m: s.linear_n_m,
            cubic_n_m3: s.cubic_n_m3,
            damping_n_s_m: s.damping_n_s_m,
            full_compression_m: s.full_compression_m,
            rigid_n_m: s.rigid_n_m,
        }
    }
}

/// Outlines as points keep within this of the true outline, m.
pub const POINT_TOLERANCE_M: f64 = 0.0005;

/// One unit's parts and stop pin, which the equation of motion no longer knows apart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct UnitParts {
    /// Parts of the swinging body with their names.
    pub parts: Vec<(String, ArmPart)>,
    /// The stop pin, if known.
    pub stop_pin: Option<StopPin>,
}

/// The resolved machine with all that a report says about it.
#[derive(Debug, Clone, Copy)]
pub struct MachineReport<'a> {
    /// Title of the scenario.
    pub title: &'a str,
    /// The file as it was named, if there was one.
    pub file: Option<&'a str>,
    /// Settings changed for this run: path and value as written.
    pub set: &'a [(String, String)],
    /// What a pass is computed from.
    pub setup: &'a PassSetup,
    /// Parts of each unit, in the order of the set-up.
    pub parts: &'a [UnitParts],
    /// How coverage is counted.
    pub coverage: &'a CoverageSettings,
    /// Limits.
    pub criteria: &'a Criteria,
    /// Vehicles per second.
    pub throughput_per_s: f64,
}

impl MachineReport<'_> {
    /// The machine as data; with the outlines as points when asked for.
    pub fn document(&self, points: bool) -> MachineDocument {
        let setup = self.setup;
        let mut vehicles: Vec<&Vehicle> = Vec::new();
        let mut train = Vec::new();
        for place in 0..=setup.train.len().max(setup.measured + 2) - 1 {
            let follows = place > setup.measured;
            let Some(seat) = (if follows { Some(setup.next_vehicle()) } else { setup.train.get(place) })
            else {
                break;
            };
            let vehicle = &seat.shape.real;
            let index = vehicles.iter().position(|v| *v == vehicle).unwrap_or_else(|| {
                vehicles.push(vehicle);
                vehicles.len() - 1
            });
            train.push(PoseDocument {
                place,
                vehicle: index,
                name: vehicle.name.clone(),
                measured: place == setup.measured,
                nose_at_zero_s: setup.nose_at_zero_s(place),
                lateral_offset_m: seat.lateral_offset_m,
                yaw_rad: seat.yaw_rad,
            });
            if follows {
                break;
            }
        }
        let none = UnitParts::default();
        MachineDocument {
            schema: MACHINE_SCHEMA.to_owned(),
            brusharm: env!("CARGO_PKG_VERSION").to_owned(),
            scenario: ScenarioDocument {
                title: self.title.to_owned(),
                file: self.file.map(str::to_owned),
                set: self.set.iter().map(SetDocument::from).collect(),
            },
            conventions: CONVENTIONS.iter().map(|&c| c.to_owned()).collect(),
            line: LineDocument {
                throughput_per_h: per_hour(self.throughput_per_s),
                conveyor_speed_m_s: setup.conveyor_speed_m_s,
                gap_m: setup.gap_m,
            },
            units: setup
                .units
                .iter()
                .zip(rest_angles_rad(setup))
                .enumerate()
                .map(|(i, (unit, stands))| {
                    unit_document(unit, stands.ok(), self.parts.get(i).unwrap_or(&none))
                })
                .collect(),
            train,
            vehicles: vehicles.into_iter().map(|v| outline_document(v, points)).collect(),
            coverage: CoverageDocument {
                washed_wipes: self.coverage.washed_wipes,
                washed_work_j_m2: self.coverage.washed_work_j_m2,
                judged_depth_m: self.coverage.judged_depth_m,
                station_m: self.coverage.station_m,
                look_m: self.coverage.look_m,
            },
            criteria: criterion_documents(self.criteria),
            numerics: NumericsDocument {
                tolerance: setup.numerics.tolerance,
                longest_step_s: setup.numerics.longest_step_s,
            },
        }
    }
}

fn unit_document(unit: &UnitModel, rest_rad: Option<f64>, known: &UnitParts) -> UnitMachineDocument {
    let brush = &unit.brush;
    let strut = |s: &Strut| StrutDocument::new(s, rest_rad);
    UnitMachineDocument {
        side: unit.side.name().to_owned(),
        pivot: unit.pivot_m.into(),
        pivot_height_m: unit.pivot_height_m,
        body: BodyDocument {
            length_m: unit.body.length_m,
            mass_kg: unit.body.mass_kg,
            cg_radius_m: unit.body.cg_radius_m,
            inertia_kg_m2: unit.body.inertia_kg_m2,
            parts: known.parts.iter().map(|(name, part)| PartDocument::new(name, part)).collect(),
        },
        pivot_friction: FrictionDocument {
            coulomb_n_m: unit.pivot.coulomb_n_m,
            breakaway_n_m: unit.pivot.breakaway_n_m,
            viscous_n_m_s: unit.pivot.viscous_n_m_s,
        },
        bearings: BearingsDocument {
            span_m: unit.bearings.span_m,
            upper_toward_wall_m: unit.bearings.upper.toward_wall_m,
            upper_downstream_m: unit.bearings.upper.downstream_m,
            lower_toward_wall_m: unit.bearings.lower.toward_wall_m,
            lower_downstream_m: unit.bearings.lower.downstream_m,
            lean: unit.bearings.lean().into(),
        },
        counterweight: unit.counterweight.as_ref().map(|w| CounterweightDocument {
            mass_kg: w.mass_kg,
            travel_ratio: w.travel_ratio,
            strut: strut(&w.strut),
            rest_torque_n_m: rest_rad.map(|phi| -w.travel_ratio * w.strut.at(phi).d1_m * w.weight_n()),
        }),
        dampers: unit
            .dampers
            .iter()
            .map(|d| DamperDocument {
                strut: strut(&d.strut),
                out_linear_n_s_m: d.out_stroke.linear_n_s_m,
                out_quadratic_n_s2_m2: d.out_stroke.quadratic_n_s2_m2,
                in_linear_n_s_m: d.in_stroke.linear_n_s_m,
                in_quadratic_n_s2_m2: d.in_stroke.quadratic_n_s2_m2,
                gas: d.gas.map(|g| GasDocument {
                    preload_n: g.preload_n,
                    rate_n_m: g.rate_n_m,
                    reference_m: g.reference_m,
                }),
            })
            .collect(),
        cylinder: unit.cylinder.as_ref().map(|c| cylinder_document(c, rest_rad)),
        inboard_stop: (&unit.inboard_stop).into(),
        stop_pin: known
            .stop_pin
            .as_ref()
            .map(|pin| StopPinDocument { hole: pin.hole, seats_rad: pin.seat_rad.clone() }),
        outboard_stop: (&unit.outboard_stop).into(),
        brush: BrushDocument {
            radius_m: brush.radius_m,
            hub_radius_m: brush.hub_radius_m,
            z_low_m: brush.z_low_m,
            z_high_m: brush.z_high_m,
            strips: brush.strips,
            spin_rad_s: brush.signed_spin_rad_s(),
            spin_sense: match brush.spin_sense {
                SpinSense::OutboardAtNose => "outboard at nose",
                SpinSense::InboardAtNose => "inboard at nose",
            }
            .to_owned(),
            friction: brush.friction,
            worn_m: brush.worn_m,
            media: brush.media.name().to_owned(),
            media_mass_kg: brush.media.mass_kg(),
            exponent: brush.exponent,
            push_back_depth_m: brush.media.test().map(|test| test.depth_m),
            push_back_force_n: brush.media.test().map(|test| test.force_n),
            push_back_height_m: brush.media.test().map(|test| test.height_m),
            push_back_spin_rad_s: brush.media.measured_at_rad_s(),
            spin_stiffness: brush.spin_stiffness(),
            rest_stiffness: brush.rest_stiffness(),
            stiffening_spin_rad_s: brush.stiffening_spin_rad_s,
            stiffness: brush.stiffness(),
            push_band: brush.media.push_band(brush.spin_rad_s),
            lead_m: brush.lead_m(),
            rubbing_share: RUBBING_SHARE,
            air_drag_n_m_s2: brush.air_drag_n_m_s2,
            hub_stiffness: Brush::HUB_STIFFNESS,
            friction_fade_m_s: FRICTION_FADE_M_S,
            wipes_per_s: brush.wipe_rate_per_s(),
        },
        atmosphere_pa: unit.atmosphere_pa,
        rest: rest_rad.map(|phi| RestDocument {
            swing_rad: phi,
            alone_rad: rest_angle_rad(unit).ok().filter(|&alone| alone != phi),
            brush_center: unit.brush_center_m(phi).into(),
            tilt_torque_n_m: unit.tilt_torque_n_m(phi),
            moving_inertia_kg_m2: unit.body.inertia_kg_m2
                + unit
                    .counterweight
                    .as_ref()
                    .map_or(0.0, |w| w.mass_kg * (w.travel_ratio * w.strut.at(phi).d1_m).powi(2)),
        }),
    }
}

fn cylinder_document(c: &AirCylinder, rest_rad: Option<f64>) -> CylinderDocument {
    let volumes = rest_rad.map(|phi| c.volumes_m3(c.strut.at(phi).length_m));
    CylinderDocument {
        strut: StrutDocument::new(&c.strut, rest_rad),
        closed_length_m: c.closed_length_m,
        stroke_m: c.stroke_m,
        cap: ChamberDocument::new(&c.cap, volumes.map(|v| v.0)),
        rod: ChamberDocument::new(&c.rod, volumes.map(|v| v.1)),
        seal_friction_n: c.seal_friction_n,
        polytropic_index: c.polytropic_index,
        temperature_k: c.temperature_k,
        schedule: c
            .schedule
            .iter()
            .map(|step| ValveDocument {
                when: match step.end {
                    VehicleEnd::Nose => "nose",
                    VehicleEnd::Tail => "tail",
                }
                .to_owned(),
                at_m: step.at_m,
                delay_s: step.delay_s,
                chamber: match step.chamber {
                    ChamberName::Cap => "cap",
                    ChamberName::Rod => "rod",
                }
                .to_owned(),
                to: connection(step.to).to_owned(),
            })
            .collect(),
    }
}

fn outline_document(vehicle: &Vehicle, points: bool) -> OutlineDocument {
    OutlineDocument {
        name: vehicle.name.clone(),
        class: vehicle.class.clone(),
        length_m: vehicle.length_m,
        width_m: vehicle.width_m,
        height_m: vehicle.height_m,
        bands: vehicle
            .bands
            .iter()
            .map(|band| BandDocument {
                z_low_m: band.z_low_m,
                z_high_m: band.z_high_m,
                outlines: band.outlines.iter().map(|o| chain_document(o, points)).collect(),
            })
            .collect(),
        features: vehicle
            .features
            .iter()
            .map(|f| FeatureDocument {
                name: f.name.clone(),
                kind: key(f.kind.name()),
                side: f.side.name().to_owned(),
                limit_n: f.limit_force_n,
                z_low_m: f.z_low_m,
                z_high_m: f.z_high_m,
            })
            .collect(),
    }
}

fn chain_document(outline: &Outline, points: bool) -> ChainDocument {
    let piece = |(piece, tag): (&Piece, &crate::vehicle::PieceTag)| {
        let arc = match piece {
            Piece::Line(_) => None,
            Piece::Arc(arc) => Some(arc),
        };
        PieceDocument {
            kind: if arc.is_some() { "arc" } else { "line" }.to_owned(),
            from: piece.start().into(),
            to: piece.end().into(),
            center: arc.map(|a| a.center.into()),
            radius_m: arc.map(|a| a.radius_m),
            sweep_rad: arc.map(|a| a.sweep_rad),
            zone: key(tag.zone.name()),
            feature: tag.feature,
        }
    };
    let polyline =
        || outline.chain.to_polyline(POINT_TOLERANCE_M).into_iter().map(PointDocument::from).collect();
    ChainDocument {
        island: outline.island,
        perimeter_m: outline.chain.length_m(),
        pieces: outline.chain.pieces().iter().zip(&outline.tags).map(piece).collect(),
        points: points.then(polyline),
    }
}

fn criterion_documents(criteria: &Criteria) -> Vec<CriterionDocument> {
    let document = |name: MeasureName, about: Option<String>, limit: f64| CriterionDocument {
        criterion: name.criterion_key().to_owned(),
        about,
        limit,
        sense: if name.at_least() { "at least" } else { "at most" }.to_owned(),
        unit: name.si_unit().to_owned(),
        marginal_share: criteria.marginal_share,
    };
    let limits = MeasureName::ALL.into_iter().filter_map(|name| Some((name, criteria.limit(name)?)));
    let mut list: Vec<CriterionDocument> = limits.map(|(name, limit)| document(name, None, limit)).collect();
    for &(kind, limit) in &criteria.feature_limits_n {
        list.push(document(MeasureName::FeatureForce, Some(kind.name().to_owned()), limit));
    }
    list
}
