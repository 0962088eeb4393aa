//! The resolved machine as data: everything someone else needs to build the same model. The document behind `check --format json`.
//!
//! Version `brusharm/machine/1`. SI and radians. Each unit is described in its own **unit frame**, as if it stood on the left: x
//! downstream, y away from the lane centreline; the right unit is the mirror image (ground y = −unit y). Outlines are in the vehicle frame:
//! x forward with the nose tip at 0, y to the left.

use crate::geometry::Vec2;
use serde::{Deserialize, Serialize};

/// Name and version of the document.
pub const MACHINE_SCHEMA: &str = "brusharm/machine/1";

/// Everything that a pass is computed from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MachineDocument {
    /// `brusharm/machine/1`.
    pub schema: String,
    /// Version of the program.
    pub brusharm: String,
    /// What the scenario is and what was changed for this run.
    pub scenario: super::ScenarioDocument,
    /// Frames, signs and laws in words.
    pub conventions: Vec<String>,
    /// The line.
    pub line: LineDocument,
    /// Left before right.
    pub units: Vec<UnitMachineDocument>,
    /// The train with the vehicle that follows it, foremost first.
    pub train: Vec<PoseDocument>,
    /// The vehicles of the train, each once.
    pub vehicles: Vec<OutlineDocument>,
    /// How coverage is counted.
    pub coverage: CoverageDocument,
    /// Limits; what is not judged is not listed.
    pub criteria: Vec<CriterionDocument>,
    /// How finely the pass is computed.
    pub numerics: NumericsDocument,
}

/// The line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LineDocument {
    /// Vehicles per hour.
    pub throughput_per_h: f64,
    /// Conveyor speed, m/s.
    pub conveyor_speed_m_s: f64,
    /// Bumper-to-bumper gap, m.
    pub gap_m: f64,
}

/// A point or vector in plan, m.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PointDocument {
    /// x, m.
    pub x_m: f64,
    /// y, m.
    pub y_m: f64,
}

impl From<Vec2> for PointDocument {
    fn from(v: Vec2) -> Self {
        PointDocument { x_m: v.x, y_m: v.y }
    }
}

/// One unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnitMachineDocument {
    /// `left` or `right`.
    pub side: String,
    /// Pivot, unit frame.
    pub pivot: PointDocument,
    /// Height of the middle between the bearings above the floor, m.
    pub pivot_height_m: f64,
    /// The swinging body.
    pub body: BodyDocument,
    /// Friction of the pivot.
    pub pivot_friction: FrictionDocument,
    /// The bearings.
    pub bearings: BearingsDocument,
    /// Counterweight; null when there is none.
    pub counterweight: Option<CounterweightDocument>,
    /// Dampers and gas springs.
    pub dampers: Vec<DamperDocument>,
    /// Air cylinder; null when there is none.
    pub cylinder: Option<CylinderDocument>,
    /// Inboard bumper stop.
    pub inboard_stop: StopDocument,
    /// The stop pin; null when not known.
    pub stop_pin: Option<StopPinDocument>,
    /// Outboard stop.
    pub outboard_stop: StopDocument,
    /// The brush.
    pub brush: BrushDocument,
    /// Pressure of the surrounding air, Pa absolute.
    pub atmosphere_pa: f64,
    /// The arm at rest with no vehicle near; null when it finds no rest.
    pub rest: Option<RestDocument>,
}

/// The arm at rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RestDocument {
    /// Swing angle where the arm stands, rad: where two brushes lean on each other, against the other.
    pub swing_rad: f64,
    /// For a brush that leans on the other: swing angle where it would stand alone, rad.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub alone_rad: Option<f64>,
    /// Brush centre at pivot height, unit frame.
    pub brush_center: PointDocument,
    /// Torque of the lean, N m, positive outward.
    pub tilt_torque_n_m: f64,
    /// Inertia the arm moves with, counterweight included, kg m².
    pub moving_inertia_kg_m2: f64,
}

/// The swinging body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BodyDocument {
    /// Pivot to spindle, m.
    pub length_m: f64,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Radius of the centre of gravity, m.
    pub cg_radius_m: f64,
    /// Inertia about the pivot, kg m².
    pub inertia_kg_m2: f64,
    /// Its parts; empty when they are not known.
    pub parts: Vec<PartDocument>,
}

/// A part of the swinging body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartDocument {
    /// What it is.
    pub name: String,
    /// `rod`, `point` or `given`.
    pub shape: String,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Inner end, m; null unless a rod.
    pub from_m: Option<f64>,
    /// Outer end, m; null unless a rod.
    pub to_m: Option<f64>,
    /// Radius of its centre of gravity, m.
    pub cg_radius_m: f64,
    /// Inertia about the pivot, kg m².
    pub inertia_about_pivot_kg_m2: f64,
}

/// Friction of the pivot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FrictionDocument {
    /// While moving, N m.
    pub coulomb_n_m: f64,
    /// To get moving, N m.
    pub breakaway_n_m: f64,
    /// Viscous, N m s/rad.
    pub viscous_n_m_s: f64,
}

/// The bearings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BearingsDocument {
    /// Vertical spacing, m.
    pub span_m: f64,
    /// Upper bearing off plumb, toward the wall, m.
    pub upper_toward_wall_m: f64,
    /// Upper bearing off plumb, downstream, m.
    pub upper_downstream_m: f64,
    /// Lower bearing off plumb, toward the wall, m.
    pub lower_toward_wall_m: f64,
    /// Lower bearing off plumb, downstream, m.
    pub lower_downstream_m: f64,
    /// Lean (upper − lower) / span, unit frame, points where the top leans; the fields are metres per metre.
    pub lean: PointDocument,
}

/// A strut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StrutDocument {
    /// Frame anchor from the pivot, unit frame.
    pub frame_anchor: PointDocument,
    /// Arm anchor along the arm, m.
    pub arm_along_m: f64,
    /// Arm anchor square to the arm, m.
    pub arm_across_m: f64,
    /// Length ℓ at rest, m; null when the arm finds no rest.
    pub rest_length_m: Option<f64>,
    /// dℓ/dφ at rest, m/rad; null when the arm finds no rest.
    pub rest_slope_m_rad: Option<f64>,
}

/// A counterweight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CounterweightDocument {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Rise of the weight per metre of cable, k.
    pub travel_ratio: f64,
    /// The cable's line.
    pub strut: StrutDocument,
    /// Torque on the arm at rest, N m, positive outward; null when the arm finds no rest.
    pub rest_torque_n_m: Option<f64>,
}

/// A damper or gas spring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DamperDocument {
    /// Its line.
    pub strut: StrutDocument,
    /// c₁ while the arm swings outboard, N s/m.
    pub out_linear_n_s_m: f64,
    /// c₂ while the arm swings outboard, N s²/m².
    pub out_quadratic_n_s2_m2: f64,
    /// c₁ while the arm swings inboard, N s/m.
    pub in_linear_n_s_m: f64,
    /// c₂ while the arm swings inboard, N s²/m².
    pub in_quadratic_n_s2_m2: f64,
    /// Gas charge; null when there is none.
    pub gas: Option<GasDocument>,
}

/// Gas charge of a damper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GasDocument {
    /// Push at the reference length, N.
    pub preload_n: f64,
    /// Gain per metre of shortening, N/m.
    pub rate_n_m: f64,
    /// Reference length, m.
    pub reference_m: f64,
}

/// An air cylinder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CylinderDocument {
    /// Its line.
    pub strut: StrutDocument,
    /// Length with the rod fully in, m.
    pub closed_length_m: f64,
    /// Stroke, m.
    pub stroke_m: f64,
    /// Cap end.
    pub cap: ChamberDocument,
    /// Rod end.
    pub rod: ChamberDocument,
    /// Seal friction, N.
    pub seal_friction_n: f64,
    /// Polytropic index.
    pub polytropic_index: f64,
    /// Air temperature, K.
    pub temperature_k: f64,
    /// Valve steps, repeated for every vehicle.
    pub schedule: Vec<ValveDocument>,
}

/// A chamber with its air line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChamberDocument {
    /// Piston area, m².
    pub area_m2: f64,
    /// Dead volume with hose, m³.
    pub dead_volume_m3: f64,
    /// Volume at rest, m³; null when the arm finds no rest.
    pub rest_volume_m3: Option<f64>,
    /// Regulator, Pa gauge.
    pub regulator_gauge_pa: f64,
    /// Whether the regulator relieves.
    pub relieving: bool,
    /// Sonic conductance of the supply path, m³/(s Pa).
    pub supply_c_m3_s_pa: f64,
    /// Critical pressure ratio of the supply path.
    pub supply_b: f64,
    /// Sonic conductance of the exhaust path, m³/(s Pa).
    pub exhaust_c_m3_s_pa: f64,
    /// Critical pressure ratio of the exhaust path.
    pub exhaust_b: f64,
    /// Connected first to: `supply`, `exhaust` or `closed`.
    pub initial: String,
}

/// One valve step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ValveDocument {
    /// `nose` or `tail`.
    pub when: String,
    /// Its place from the pivot, m, positive downstream.
    pub at_m: f64,
    /// Delay with pull-in, s.
    pub delay_s: f64,
    /// `cap` or `rod`.
    pub chamber: String,
    /// `supply`, `exhaust` or `closed`.
    pub to: String,
}

/// A stop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StopDocument {
    /// Swing angle of first touch, rad.
    pub seat_rad: f64,
    /// Radius from the pivot, m.
    pub radius_m: f64,
    /// k₁, N/m.
    pub linear_n_m: f64,
    /// k₃, N/m³.
    pub cubic_n_m3: f64,
    /// c, N s/m.
    pub damping_n_s_m: f64,
    /// Compression at which it is full, m.
    pub full_compression_m: f64,
    /// Stiffness past that, N/m.
    pub rigid_n_m: f64,
}

/// The stop pin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StopPinDocument {
    /// Hole in use, from 1 = outermost.
    pub hole: usize,
    /// Seat angle of each hole, rad, outermost first.
    pub seats_rad: Vec<f64>,
}

/// The brush.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BrushDocument {
    /// Outer radius R, m.
    pub radius_m: f64,
    /// Hub radius R₀, m.
    pub hub_radius_m: f64,
    /// Bottom of the media, m above the floor.
    pub z_low_m: f64,
    /// Top of the media, m above the floor.
    pub z_high_m: f64,
    /// Strips around the brush.
    pub strips: u32,
    /// Spin about z in the unit frame, rad/s: positive = counterclockwise from above = outboard at the nose.
    pub spin_rad_s: f64,
    /// `outboard at nose` or `inboard at nose`.
    pub spin_sense: String,
    /// Friction coefficient.
    pub friction: f64,
    /// How much of the strips is worn off, m; `radius_m` is what is left.
    pub worn_m: f64,
    /// `limp`, `stiff` or `between`.
    pub media: String,
    /// Mass of all strips as they are, kg; null = not known, and counted in the parts of the arm.
    pub media_mass_kg: Option<f64>,
    /// Exponent p.
    pub exponent: f64,
    /// Push-back test: depth, m; null without a test.
    pub push_back_depth_m: Option<f64>,
    /// Push-back test: force, N.
    pub push_back_force_n: Option<f64>,
    /// Push-back test: height of media on the board, m.
    pub push_back_height_m: Option<f64>,
    /// Push-back test: spin at which it was made, rad/s; 0 = the brush stood still.
    pub push_back_spin_rad_s: Option<f64>,
    /// K/Ω² of media that push by their spin alone, N s²/(m² rad); 0 where K does not follow the turning Ω = spin + φ̇.
    pub spin_stiffness: f64,
    /// K₀ at the set spin, N/(m^(p+1) rad).
    pub rest_stiffness: f64,
    /// Spin at which the strips are twice as stiff, rad/s; null = no stiffening.
    pub stiffening_spin_rad_s: Option<f64>,
    /// K at the set spin, N/(m^(p+1) rad).
    pub stiffness: f64,
    /// Lowest and highest factor by which the real push may differ from the law: how sure the law is of these media at this spin.
    pub push_band: [f64; 2],
    /// Lead ℓ: how far before the place it points at a strip pushes, toward the arriving tips, m.
    pub lead_m: f64,
    /// Share of the friction power that rubs.
    pub rubbing_share: f64,
    /// Torque of the air on the turning strips over Ω², N m s².
    pub air_drag_n_m_s2: f64,
    /// Extra stiffness once the hub is struck (p = 1), N/(m² rad).
    pub hub_stiffness: f64,
    /// Tip speed below which rubbing fades, m/s.
    pub friction_fade_m_s: f64,
    /// Strip passes per second at a point it touches, 1/s.
    pub wipes_per_s: f64,
}

/// Where one vehicle of the train is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PoseDocument {
    /// Place in the train, from 0; the last is the vehicle that follows.
    pub place: usize,
    /// Index into the vehicles of this document.
    pub vehicle: usize,
    /// Name of the vehicle.
    pub name: String,
    /// Whether the result is about this one.
    pub measured: bool,
    /// Time at which its nose is at lane x = 0, s.
    pub nose_at_zero_s: f64,
    /// Off the lane centreline, positive to the left of travel, m.
    pub lateral_offset_m: f64,
    /// Turned about its middle, positive counterclockwise seen from above, rad.
    pub yaw_rad: f64,
}

/// A vehicle with its outlines.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OutlineDocument {
    /// Name.
    pub name: String,
    /// Class.
    pub class: String,
    /// Length, m.
    pub length_m: f64,
    /// Width without mirrors, m.
    pub width_m: f64,
    /// Height, m.
    pub height_m: f64,
    /// Height bands, lowest first.
    pub bands: Vec<BandDocument>,
    /// Features.
    pub features: Vec<FeatureDocument>,
}

/// A height band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BandDocument {
    /// Bottom, m above the floor.
    pub z_low_m: f64,
    /// Top, m above the floor.
    pub z_high_m: f64,
    /// Closed outlines, the body first.
    pub outlines: Vec<ChainDocument>,
}

/// A closed outline, counterclockwise from the middle of the nose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChainDocument {
    /// Whether it stands apart from the body at this height.
    pub island: bool,
    /// Length round it, m.
    pub perimeter_m: f64,
    /// Its pieces in order.
    pub pieces: Vec<PieceDocument>,
    /// The outline as points, when asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub points: Option<Vec<PointDocument>>,
}

/// One piece of an outline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceDocument {
    /// `line` or `arc`.
    pub kind: String,
    /// Start.
    pub from: PointDocument,
    /// End.
    pub to: PointDocument,
    /// Centre; null for a line.
    pub center: Option<PointDocument>,
    /// Radius, m; null for a line.
    pub radius_m: Option<f64>,
    /// Angle swept, rad, positive counterclockwise; null for a line.
    pub sweep_rad: Option<f64>,
    /// `nose`, `left_side`, `tail` or `right_side`.
    pub zone: String,
    /// Index into the vehicle's features; null for bodywork.
    pub feature: Option<usize>,
}

/// A feature of a vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FeatureDocument {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: String,
    /// `left`, `right` or `centre`.
    pub side: String,
    /// Force it may take, N; null when none is stated.
    pub limit_n: Option<f64>,
    /// Bottom, m above the floor.
    pub z_low_m: f64,
    /// Top, m above the floor.
    pub z_high_m: f64,
}

/// How coverage is counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CoverageDocument {
    /// Wipes that make a point washed.
    pub washed_wipes: f64,
    /// Rubbing work that makes a point washed as well, J/m²; null = not asked for.
    pub washed_work_j_m2: Option<f64>,
    /// How far behind the widest outline a surface is still judged, m.
    pub judged_depth_m: f64,
    /// Wanted length of a station, m.
    pub station_m: f64,
    /// Farthest the brush moves between two looks, m.
    pub look_m: f64,
}

/// A limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CriterionDocument {
    /// Key of the criterion.
    pub criterion: String,
    /// Kind of feature, for forces on features.
    pub about: Option<String>,
    /// The limit.
    pub limit: f64,
    /// `at least` or `at most`.
    pub sense: String,
    /// SI unit; empty for a share.
    pub unit: String,
    /// Within this share of the limit a number is marginal.
    pub marginal_share: f64,
}

/// How finely the pass is computed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NumericsDocument {
    /// Error allowed per step.
    pub tolerance: f64,
    /// Longest step, s.
    pub longest_step_s: f64,
}
