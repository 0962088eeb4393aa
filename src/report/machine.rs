//! Builds the document of the resolved machine from what a pass is computed from.

use super::machine_document::*;
use super::{ScenarioDocument, SetDocument, key};
use crate::coverage::{CoverageSettings, Criteria, MeasureName};
use crate::geometry::Piece;
use crate::pass::{PassSetup, rest_angles_rad};
use crate::scenario::uneven::Uneven;
use crate::units::job::per_hour;
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

/// Outlines as points keep within this of the true outline, m.
pub const POINT_TOLERANCE_M: f64 = 0.0005;

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
    /// What differs between left and right.
    pub uneven: &'a [Uneven],
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
            uneven: self.uneven.to_vec(),
            units: setup
                .units
                .iter()
                .zip(rest_angles_rad(setup))
                .enumerate()
                .map(|(i, (unit, stands))| {
                    UnitMachineDocument::new(unit, stands.ok(), self.parts.get(i).unwrap_or(&none))
                })
                .collect(),
            train,
            vehicles: vehicles.into_iter().map(|v| outline_document(v, points)).collect(),
            coverage: CoverageDocument::new(self.coverage),
            criteria: criterion_documents(self.criteria),
            numerics: NumericsDocument::new(&setup.numerics),
        }
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
