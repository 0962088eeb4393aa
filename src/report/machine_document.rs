//! The resolved machine as data: everything someone else needs to build the same model. The document behind `check --format json`.
//!
//! Version `brusharm/machine/1`. SI and radians. Each unit is described in its own **unit frame**, as if it stood on the left: x
//! downstream, y away from the lane centreline; the right unit is the mirror image (ground y = −unit y). Outlines are in the vehicle frame:
//! x forward with the nose tip at 0, y to the left.

use super::document::document;
use crate::arm::*;
use crate::coverage::CoverageSettings;
use crate::geometry::Vec2;
use crate::pass::contact::FRICTION_FADE_M_S;
use crate::pass::{Numerics, rest_angle_rad};
use crate::units::*;
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
    /// Every setting that differs between left and right, with why where the scenario says so.
    pub uneven: Vec<crate::scenario::uneven::Uneven>,
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

/// One unit's parts and stop pin, which the equation of motion no longer knows apart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct UnitParts {
    /// Parts of the swinging body with their names.
    pub parts: Vec<(String, ArmPart)>,
    /// The stop pin, if known.
    pub stop_pin: Option<StopPin>,
}

document! {
    /// One unit.
    UnitMachineDocument from |unit: &UnitModel, rest_rad: Option<f64>, known: &UnitParts| {
        /// `left` or `right`.
        side: String = unit.side.name().to_owned();
        /// Pivot, unit frame.
        pivot: PointDocument = unit.pivot_m.into(),
            "Pivot, downstream" LengthDim |p| p.x_m, "Pivot, from lane centreline" LengthDim |p| p.y_m;
        /// Height of the middle between the bearings above the floor, m.
        pivot_height_m: f64 = unit.pivot_height_m, "Pivot height" LengthDim;
        /// The swinging body.
        body: BodyDocument = BodyDocument::new(&unit.body, &known.parts);
        /// Friction of the pivot.
        pivot_friction: FrictionDocument = FrictionDocument::new(&unit.pivot);
        /// The bearings.
        bearings: BearingsDocument = BearingsDocument::new(&unit.bearings);
        /// Counterweight; null when there is none.
        counterweight: Option<CounterweightDocument> = unit.counterweight.as_ref().map(|w| CounterweightDocument::new(w, rest_rad));
        /// Dampers and gas springs.
        dampers: Vec<DamperDocument> = unit.dampers.iter().map(|d| DamperDocument::new(d, rest_rad)).collect();
        /// Air cylinder; null when there is none.
        cylinder: Option<CylinderDocument> = unit.cylinder.as_ref().map(|c| CylinderDocument::new(c, rest_rad));
        /// Inboard bumper stop.
        inboard_stop: StopDocument = StopDocument::new(&unit.inboard_stop);
        /// The stop pin; null when not known.
        stop_pin: Option<StopPinDocument> = known.stop_pin.as_ref().map(StopPinDocument::new);
        /// Outboard stop.
        outboard_stop: StopDocument = StopDocument::new(&unit.outboard_stop);
        /// The brush.
        brush: BrushDocument = BrushDocument::new(&unit.brush);
        /// Pressure of the surrounding air, Pa absolute.
        atmosphere_pa: f64 = unit.atmosphere_pa;
        /// The arm at rest with no vehicle near; null when it finds no rest.
        rest: Option<RestDocument> = rest_rad.map(|phi| RestDocument::new(unit, phi));
    }
}

document! {
    /// The arm at rest.
    RestDocument from |unit: &UnitModel, phi: f64| {
        /// Swing angle where the arm stands, rad: where two brushes lean on each other, against the other.
        swing_rad: f64 = phi, "Swing at rest" AngleDim;
        /// For a brush that leans on the other: swing angle where it would stand alone, rad.
        #[serde(skip_serializing_if = "Option::is_none", default)]
        alone_rad: Option<f64> = rest_angle_rad(unit).ok().filter(|&alone| alone != phi),
            "Swing at rest, alone" AngleDim;
        /// Brush centre at pivot height, unit frame.
        brush_center: PointDocument = unit.brush_center_m(phi).into(),
            "Brush centre at rest, downstream" LengthDim |p| p.x_m, "Brush centre at rest, off centreline" LengthDim |p| p.y_m;
        /// Torque of the lean, N m, positive outward.
        tilt_torque_n_m: f64 = unit.lean_torque_n_m(phi), "Torque of the lean at rest" TorqueDim;
        /// Inertia the arm moves with, counterweight included, kg m².
        moving_inertia_kg_m2: f64 = moving_inertia_kg_m2(unit, phi);
    }
}

document! {
    /// The swinging body.
    BodyDocument from |body: &ArmBody, parts: &[(String, ArmPart)]| {
        /// Pivot to spindle, m.
        length_m: f64 = body.length_m, "Pivot to spindle, L" LengthDim;
        /// Mass, kg.
        mass_kg: f64 = body.mass_kg, "Mass" MassDim;
        /// Radius of the centre of gravity, m.
        cg_radius_m: f64 = body.cg_radius_m, "CG radius" LengthDim;
        /// Inertia about the pivot, kg m².
        inertia_kg_m2: f64 = body.inertia_kg_m2, "Inertia about the pivot" InertiaDim;
        /// Its parts; empty when they are not known.
        parts: Vec<PartDocument> = parts.iter().map(|(name, part)| PartDocument::new(name, part)).collect();
    }
}

document! {
    /// A part of the swinging body.
    PartDocument from |name: &str, part: &ArmPart| {
        /// What it is.
        name: String = name.to_owned();
        /// `rod`, `point` or `given`.
        shape: String = shape(part).0.to_owned(), "shape";
        /// Mass, kg.
        mass_kg: f64 = part.mass_kg(), "mass" MassDim;
        /// Inner end, m; null unless a rod.
        from_m: Option<f64> = shape(part).1, "from" LengthDim;
        /// Outer end, m; null unless a rod.
        to_m: Option<f64> = shape(part).2, "to" LengthDim;
        /// Radius of its centre of gravity, m.
        cg_radius_m: f64 = part.cg_radius_m(), "CG radius" LengthDim;
        /// Inertia about the pivot, kg m².
        inertia_about_pivot_kg_m2: f64 = part.inertia_kg_m2(), "inertia about pivot" InertiaDim;
    }
}

document! {
    /// Friction of the pivot.
    FrictionDocument from |p: &PivotFriction| {
        /// While moving, N m.
        coulomb_n_m: f64 = p.coulomb_n_m, "Pivot friction, moving" TorqueDim;
        /// To get moving, N m.
        breakaway_n_m: f64 = p.breakaway_n_m, "Pivot friction, breakaway" TorqueDim;
        /// Viscous, N m s/rad.
        viscous_n_m_s: f64 = p.viscous_n_m_s, "Pivot friction, viscous" AngularDampingDim;
    }
}

document! {
    /// The bearings.
    BearingsDocument from |b: &Bearings| {
        /// Vertical spacing, m.
        span_m: f64 = b.span_m, "Bearing span" LengthDim;
        /// Upper bearing off plumb, toward the wall, m.
        upper_toward_wall_m: f64 = b.upper.toward_wall_m, "Upper bearing, to wall" LengthDim;
        /// Lower bearing off plumb, toward the wall, m.
        lower_toward_wall_m: f64 = b.lower.toward_wall_m, "Lower bearing, to wall" LengthDim;
        /// Upper bearing off plumb, downstream, m.
        upper_downstream_m: f64 = b.upper.downstream_m, "Upper bearing, downstream" LengthDim;
        /// Lower bearing off plumb, downstream, m.
        lower_downstream_m: f64 = b.lower.downstream_m, "Lower bearing, downstream" LengthDim;
        /// Lean (upper − lower) / span, unit frame, points where the top leans; the fields are metres per metre.
        lean: PointDocument = b.lean().into(),
            "Lean of the top, to wall (ratio)" |p| p.y_m, "Lean of the top, downstream (ratio)" |p| p.x_m;
    }
}

document! {
    /// A strut.
    StrutDocument from |strut: &Strut, rest_rad: Option<f64>| {
        /// Frame anchor from the pivot, unit frame.
        frame_anchor: PointDocument = strut.frame_anchor_m.into(),
            "frame anchor, downstream" LengthDim |p| p.x_m, "frame anchor, to wall" LengthDim |p| p.y_m;
        /// Arm anchor along the arm, m.
        arm_along_m: f64 = strut.arm_along_m, "arm anchor, along" LengthDim;
        /// Arm anchor square to the arm, m.
        arm_across_m: f64 = strut.arm_across_m, "arm anchor, across" LengthDim;
        /// Length ℓ at rest, m; null when the arm finds no rest.
        rest_length_m: Option<f64> = rest_rad.map(|phi| strut.at(phi).length_m), "length at rest" LengthDim;
        /// dℓ/dφ at rest, m/rad; null when the arm finds no rest.
        rest_slope_m_rad: Option<f64> = rest_rad.map(|phi| strut.at(phi).d1_m), "dl/dphi at rest (per rad)" LengthDim;
    }
}

document! {
    /// A counterweight.
    CounterweightDocument from |w: &Counterweight, rest_rad: Option<f64>| {
        /// Mass, kg.
        mass_kg: f64 = w.mass_kg, "Mass" MassDim;
        /// Rise of the weight per metre of cable, k.
        travel_ratio: f64 = w.travel_ratio, "Rise per cable travel, k";
        /// The cable's line.
        strut: StrutDocument = StrutDocument::new(&w.strut, rest_rad);
        /// Torque on the arm at rest, N m, positive outward; null when the arm finds no rest.
        rest_torque_n_m: Option<f64> = rest_rad.map(|phi| -w.travel_ratio * w.strut.at(phi).d1_m * w.weight_n());
    }
}

document! {
    /// A damper or gas spring.
    DamperDocument from |d: &Damper, rest_rad: Option<f64>| {
        /// Its line.
        strut: StrutDocument = StrutDocument::new(&d.strut, rest_rad);
        /// c₁ while the arm swings outboard, N s/m.
        out_linear_n_s_per_m: f64 = d.out_stroke.linear_n_s_per_m, "Out-stroke, linear" DampingDim;
        /// c₁ while the arm swings inboard, N s/m.
        in_linear_n_s_per_m: f64 = d.in_stroke.linear_n_s_per_m, "In-stroke, linear" DampingDim;
        /// c₂ while the arm swings outboard, N s²/m².
        out_quadratic_n_s2_per_m2: f64 = d.out_stroke.quadratic_n_s2_per_m2, "Out-stroke, quadratic" QuadraticDampingDim;
        /// c₂ while the arm swings inboard, N s²/m².
        in_quadratic_n_s2_per_m2: f64 = d.in_stroke.quadratic_n_s2_per_m2, "In-stroke, quadratic" QuadraticDampingDim;
        /// Gas charge; null when there is none.
        gas: Option<GasDocument> = d.gas.as_ref().map(GasDocument::new);
    }
}

document! {
    /// Gas charge of a damper.
    GasDocument from |g: &GasCharge| {
        /// Push at the reference length, N.
        preload_n: f64 = g.preload_n, "Gas preload" ForceDim;
        /// Gain per metre of shortening, N/m.
        rate_n_per_m: f64 = g.rate_n_per_m, "Gas rate" StiffnessDim;
        /// Reference length, m.
        reference_m: f64 = g.reference_m, "Gas: length of the preload" LengthDim;
    }
}

document! {
    /// An air cylinder.
    CylinderDocument from |c: &AirCylinder, rest_rad: Option<f64>| {
        /// Its line.
        strut: StrutDocument = StrutDocument::new(&c.strut, rest_rad);
        /// Length with the rod fully in, m.
        closed_length_m: f64 = c.closed_length_m, "Closed length" LengthDim;
        /// Stroke, m.
        stroke_m: f64 = c.stroke_m, "Stroke" LengthDim;
        /// Cap end.
        cap: ChamberDocument = ChamberDocument::new(&c.cap, rest_rad.map(|phi| c.volumes_m3(c.strut.at(phi).length_m).0));
        /// Rod end.
        rod: ChamberDocument = ChamberDocument::new(&c.rod, rest_rad.map(|phi| c.volumes_m3(c.strut.at(phi).length_m).1));
        /// Seal friction, N.
        seal_friction_n: f64 = c.seal_friction_n, "Seal friction" ForceDim;
        /// Polytropic index.
        polytropic_index: f64 = c.polytropic_index, "Polytropic index";
        /// Air temperature, K.
        temperature_k: f64 = c.temperature_k, "Air temperature" TemperatureDim;
        /// Valve steps, repeated for every vehicle.
        schedule: Vec<ValveDocument> = c.schedule.iter().map(ValveDocument::new).collect();
    }
}

document! {
    /// A chamber with its air line.
    ChamberDocument from |chamber: &Chamber, volume_m3: Option<f64>| {
        /// Piston area, m².
        area_m2: f64 = chamber.area_m2, "area" AreaDim;
        /// Dead volume with hose, m³.
        dead_volume_m3: f64 = chamber.dead_volume_m3, "dead volume" VolumeDim;
        /// Volume at rest, m³; null when the arm finds no rest.
        rest_volume_m3: Option<f64> = volume_m3, "volume at rest" VolumeDim;
        /// Regulator, Pa gauge.
        regulator_gauge_pa: f64 = chamber.line.regulator.set_gauge_pa, "regulator (gauge)" PressureDim;
        /// Whether the regulator relieves.
        relieving: bool = chamber.line.regulator.relieving, "relieving";
        /// Sonic conductance of the supply path, m³/(s Pa).
        supply_c_m3_s_pa: f64 = chamber.line.supply_c_m3_s_pa, "supply C" ConductanceDim;
        /// Critical pressure ratio of the supply path.
        supply_b: f64 = chamber.line.supply_b, "supply b";
        /// Sonic conductance of the exhaust path, m³/(s Pa).
        exhaust_c_m3_s_pa: f64 = chamber.line.exhaust_c_m3_s_pa, "exhaust C" ConductanceDim;
        /// Critical pressure ratio of the exhaust path.
        exhaust_b: f64 = chamber.line.exhaust_b, "exhaust b";
        /// Connected first to: `supply`, `exhaust` or `closed`.
        initial: String = connection(chamber.line.initial).to_owned(), "connected first to";
    }
}

document! {
    /// One valve step.
    ValveDocument from |step: &ValveStep| {
        /// `nose` or `tail`.
        when: String = match step.end { VehicleEnd::Nose => "nose", VehicleEnd::Tail => "tail" }.to_owned();
        /// Its place from the pivot, m, positive downstream.
        at_m: f64 = step.at_m;
        /// Delay with pull-in, s.
        delay_s: f64 = step.delay_s;
        /// `cap` or `rod`.
        chamber: String = match step.chamber { ChamberName::Cap => "cap", ChamberName::Rod => "rod" }.to_owned();
        /// `supply`, `exhaust` or `closed`.
        to: String = connection(step.to).to_owned();
    }
}

document! {
    /// A stop.
    StopDocument from |s: &BumperStop| {
        /// Swing angle of first touch, rad.
        seat_rad: f64 = s.seat_rad, "Seat (swing of first touch)" AngleDim;
        /// Radius from the pivot, m.
        radius_m: f64 = s.radius_m, "Radius from the pivot" LengthDim;
        /// k₁, N/m.
        linear_n_per_m: f64 = s.linear_n_per_m, "Linear stiffness k1" StiffnessDim;
        /// k₃, N/m³.
        cubic_n_per_m3: f64 = s.cubic_n_per_m3, "Cubic stiffness k3" CubicStiffnessDim;
        /// c, N s/m.
        damping_n_s_per_m: f64 = s.damping_n_s_per_m, "Damping c" DampingDim;
        /// Compression at which it is full, m.
        full_compression_m: f64 = s.full_compression_m, "Full compression" LengthDim;
        /// Stiffness past that, N/m.
        rigid_n_per_m: f64 = s.rigid_n_per_m, "Stiffness past that" StiffnessDim;
    }
}

document! {
    /// The stop pin.
    StopPinDocument from |pin: &StopPin| {
        /// Hole in use, from 1 = outermost.
        hole: usize = pin.hole;
        /// Seat angle of each hole, rad, outermost first.
        seats_rad: Vec<f64> = pin.seat_rad.clone();
    }
}

document! {
    /// The brush.
    BrushDocument from |brush: &Brush| {
        /// Outer radius R, m.
        radius_m: f64 = brush.radius_m, "Outer radius R" LengthDim;
        /// Hub radius R₀, m.
        hub_radius_m: f64 = brush.hub_radius_m, "Hub radius R0" LengthDim;
        /// Bottom of the media, m above the floor.
        z_low_m: f64 = brush.z_low_m, "Media, bottom" LengthDim;
        /// Top of the media, m above the floor.
        z_high_m: f64 = brush.z_high_m, "Media, top" LengthDim;
        /// Strips around the brush.
        strips: u32 = brush.strips, "Strips";
        /// Spin about z in the unit frame, rad/s: positive = counterclockwise from above = outboard at the nose.
        spin_rad_s: f64 = brush.signed_spin_rad_s(), "Spin (+ = outboard at the nose)" SpinDim;
        /// `outboard at nose` or `inboard at nose`.
        spin_sense: String = sense(brush.spin_sense).to_owned(), "Spin sense";
        /// Friction coefficient.
        friction: f64 = brush.friction, "Friction coefficient";
        /// How much of the strips is worn off, m; `radius_m` is what is left.
        worn_m: f64 = brush.worn_m, "Strips worn off" LengthDim;
        /// `limp`, `stiff` or `between`.
        media: String = brush.media.name().to_owned(), "Media";
        /// Mass of all strips as they are, kg; null = not known, and counted in the parts of the arm.
        media_mass_kg: Option<f64> = brush.media.mass_kg(), "Media, mass" MassDim;
        /// Push-back test: depth, m; null without a test.
        push_back_depth_m: Option<f64> = brush.media.test().map(|test| test.depth_m),
            "Push-back test: depth" LengthDim;
        /// Push-back test: force, N.
        push_back_force_n: Option<f64> = brush.media.test().map(|test| test.force_n),
            "Push-back test: force" ForceDim;
        /// Push-back test: height of media on the board, m.
        push_back_height_m: Option<f64> = brush.media.test().map(|test| test.height_m),
            "Push-back test: height" LengthDim;
        /// Push-back test: spin at which it was made, rad/s; 0 = the brush stood still.
        push_back_spin_rad_s: Option<f64> = brush.media.measured_at_rad_s(), "Push-back test: spin" SpinDim;
        /// Exponent p.
        exponent: f64 = brush.exponent, "Exponent p";
        /// K/Ω² of media that push by their spin alone, N s²/(m² rad); 0 where K does not follow the turning Ω = spin + φ̇.
        spin_stiffness: f64 = brush.spin_stiffness();
        /// K₀ at the set spin, N/(m^(p+1) rad).
        rest_stiffness: f64 = brush.rest_stiffness(), "K0, N/(m^(p+1) rad)";
        /// K at the set spin, N/(m^(p+1) rad).
        stiffness: f64 = brush.stiffness(), "K at the set spin, N/(m^(p+1) rad)";
        /// Spin at which the strips are twice as stiff, rad/s; null = no stiffening.
        stiffening_spin_rad_s: Option<f64> = brush.stiffening_spin_rad_s, "Spin of twice the stiffness" SpinDim;
        /// Lowest and highest factor by which the real push may differ from the law: how sure the law is of these media at this spin.
        push_band: [f64; 2] = brush.media.push_band(brush.spin_rad_s),
            "Real push over the law's, least" |band| band[0], "Real push over the law's, most" |band| band[1];
        /// Lead ℓ: how far before the place it points at a strip pushes, toward the arriving tips, m.
        lead_m: f64 = brush.lead_m(), "Lead of the push" LengthDim;
        /// Share of the friction power that rubs.
        rubbing_share: f64 = RUBBING_SHARE, "Share of friction that rubs";
        /// Torque of the air on the turning strips over Ω², N m s².
        air_drag_n_m_s2: f64 = brush.air_drag_n_m_s2, "Air drag, N m s2";
        /// Extra stiffness once the hub is struck (p = 1), N/(m² rad).
        hub_stiffness: f64 = Brush::HUB_STIFFNESS, "Hub stiffness, N/(m2 rad)";
        /// Tip speed below which rubbing fades, m/s.
        friction_fade_m_s: f64 = FRICTION_FADE_M_S, "Fade speed of rubbing" SpeedDim;
        /// Strip passes per second at a point it touches, 1/s.
        wipes_per_s: f64 = brush.wipe_rate_per_s(), "Wipes per second at a point";
    }
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

document! {
    /// How coverage is counted.
    CoverageDocument from |c: &CoverageSettings| {
        /// Wipes that make a point washed.
        washed_wipes: f64 = c.washed_wipes;
        /// Rubbing work that makes a point washed as well, J/m²; null = not asked for.
        washed_work_j_m2: Option<f64> = c.washed_work_j_m2;
        /// How far behind the widest outline a surface is still judged, m.
        judged_depth_m: f64 = c.judged_depth_m;
        /// Wanted length of a station, m.
        station_m: f64 = c.station_m;
        /// Farthest the brush moves between two looks, m.
        look_m: f64 = c.look_m;
    }
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

document! {
    /// How finely the pass is computed.
    NumericsDocument from |n: &Numerics| {
        /// Error allowed per step.
        tolerance: f64 = n.tolerance;
        /// Longest step, s.
        longest_step_s: f64 = n.longest_step_s;
    }
}

/// What a part is, and where a rod begins and ends.
fn shape(part: &ArmPart) -> (&'static str, Option<f64>, Option<f64>) {
    match *part {
        ArmPart::Rod { from_m, to_m, .. } => ("rod", Some(from_m), Some(to_m)),
        ArmPart::Point { .. } => ("point", None, None),
        ArmPart::Given { .. } => ("given", None, None),
    }
}

fn connection(to: ValveConnection) -> &'static str {
    match to {
        ValveConnection::Supply => "supply",
        ValveConnection::Exhaust => "exhaust",
        ValveConnection::Closed => "closed",
    }
}

fn sense(of: SpinSense) -> &'static str {
    match of {
        SpinSense::OutboardAtNose => "outboard at nose",
        SpinSense::InboardAtNose => "inboard at nose",
    }
}

fn moving_inertia_kg_m2(unit: &UnitModel, phi: f64) -> f64 {
    let hung = |w: &Counterweight| w.mass_kg * (w.travel_ratio * w.strut.at(phi).d1_m).powi(2);
    unit.body.inertia_kg_m2 + unit.counterweight.as_ref().map_or(0.0, hung)
}
