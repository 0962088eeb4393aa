//! The table.

use super::access::{Access, LATERAL_OFFSET, LOWER_OFFSET, UPPER_OFFSET, VEHICLE_NAME, YAW, field};
use super::{Group, Spot};
use crate::arm::Side;
use crate::scenario::file::ScenarioFile;
use crate::scenario::limits::{self, Limits};
use crate::units::read;
use std::sync::{Arc, LazyLock};

/// What a row belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::scenario) enum Scope {
    /// `line.`
    Line,
    /// `vehicle.`
    Vehicle,
    /// `left.`, `right.` and `both.`
    Unit,
    /// `foam.`
    Foam,
}

impl Scope {
    const ALL: [Scope; 4] = [Scope::Line, Scope::Vehicle, Scope::Unit, Scope::Foam];

    /// The words a path of it may begin with.
    const fn words(self) -> &'static [&'static str] {
        match self {
            Scope::Line => &["line"],
            Scope::Vehicle => &["vehicle"],
            Scope::Unit => &["left", "right", "both"],
            Scope::Foam => &["foam"],
        }
    }

    /// The one whose paths may begin with this word.
    pub fn from_word(word: &str) -> Option<Scope> {
        Scope::ALL.into_iter().find(|scope| scope.words().contains(&word))
    }

    /// The word a path begins with that means one place: that of the side for a unit.
    pub fn word(self, side: Side) -> &'static str {
        match self {
            Scope::Unit => side.name(),
            Scope::Line | Scope::Vehicle | Scope::Foam => self.words()[0],
        }
    }
}

/// What values a row takes.
#[derive(Debug, Clone, Copy)]
pub(in crate::scenario) enum RowKind {
    Number {
        limits: &'static Limits,
        step: &'static str,
    },
    Hole,
    Words(&'static [&'static str]),
    VehicleName,
    /// One of the metering tips of the foam station, from the narrowest to the widest: one field step is the next of the list.
    Bore,
}

/// One row. `#` in path and label stands for the number of an item.
#[derive(Debug)]
pub(in crate::scenario) struct Row {
    pub scope: Scope,
    pub path: &'static str,
    pub label: &'static str,
    pub kind: RowKind,
    pub group: Group,
    pub in_field: bool,
    /// Standard value, or range.
    pub standard: Option<[&'static str; 2]>,
    pub access: Access,
    pub list: Option<List>,
    /// What limits it besides its range.
    pub also: Option<Also>,
}

/// What limits a row besides its range: what machine, lane or foam station leave of it depends on other settings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::scenario) enum Also {
    /// The lean of the pivot, to which both bearings add.
    Lean,
    /// The lane and the arms that the vehicle has to get past.
    Lane,
    /// The conveyor speed that the foam station is computed for.
    FoamDuty,
    /// The steps that the needle valve of the foam maker has.
    NeedleTravel,
    /// How far new strips stand out from the hub.
    Strips,
}

/// A list that a row has an entry of for each item.
#[derive(Debug, Clone, Copy)]
pub(in crate::scenario) enum List {
    Dampers,
    Schedule,
}

impl Row {
    /// How many items of this row a unit has.
    pub fn items(&self, file: &ScenarioFile, side: Side) -> usize {
        let unit = file.unit(side);
        match self.list {
            None => 1,
            Some(List::Dampers) => unit.map_or(0, |unit| unit.dampers.len()),
            Some(List::Schedule) => {
                unit.and_then(|unit| unit.air.as_ref()).map_or(0, |air| air.schedule.len())
            }
        }
    }

    /// The path with an item's number.
    pub fn path_of(&self, index: usize) -> String {
        self.path.replace('#', &index.to_string())
    }

    /// The label with an item's number, from 1.
    pub fn label_of(&self, index: usize) -> String {
        self.label.replace('#', &(index + 1).to_string())
    }

    /// The item a path means, if it is a path of this row.
    pub fn index_of(&self, path: &str) -> Option<usize> {
        let Some((head, tail)) = self.path.split_once('#') else {
            return (path == self.path).then_some(0);
        };
        let number = path.strip_prefix(head)?.strip_suffix(tail)?;
        number.bytes().all(|b| b.is_ascii_digit()).then(|| number.parse().ok()).flatten()
    }

    /// One field step in SI; `None` where there is none. Read from the table once.
    pub fn step_si(&'static self) -> Option<f64> {
        static STEPS: LazyLock<Vec<Option<f64>>> = LazyLock::new(|| TABLE.iter().map(read_step).collect());
        TABLE.iter().position(|row| std::ptr::eq(row, self)).and_then(|index| STEPS[index])
    }

    /// Where the value stands in the scenario file.
    pub fn file_path(&self, spot: Spot) -> String {
        format!("{}.{}", self.scope.word(spot.side), self.path_of(spot.index))
    }
}

fn read_step(row: &Row) -> Option<f64> {
    match row.kind {
        RowKind::Number { limits, step } => read(limits.info, step).ok().map(|reading| reading.si),
        RowKind::Hole | RowKind::Words(_) | RowKind::VehicleName | RowKind::Bore => None,
    }
}

const NONE: Row = Row {
    scope: Scope::Unit,
    path: "",
    label: "",
    kind: RowKind::Hole,
    group: Group::Line,
    in_field: true,
    standard: None,
    access: VEHICLE_NAME,
    list: None,
    also: None,
};

const fn number(limits: &'static Limits, step: &'static str) -> RowKind {
    RowKind::Number { limits, step }
}

const PLUMB: Option<[&str; 2]> = Some(["0 in", "0 in"]);
const CONNECTIONS: RowKind = RowKind::Words(&["Supply", "Exhaust", "Closed"]);

/// A quantity of the set-up of a unit that is always there.
macro_rules! of_unit {
    ($($field:ident).+) => {
        field!(|f, s| f.unit(s.side)?.$($field).+, f.unit_mut(s.side)?.$($field).+)
    };
}

/// Of its air, if there is air.
macro_rules! of_air {
    ($field:ident) => {
        field!(|f, s| f.unit(s.side)?.air.as_ref()?.$field, f.unit_mut(s.side)?.air.as_mut()?.$field)
    };
}

/// Of a step of its valve schedule.
macro_rules! of_step {
    ($field:ident) => {
        field!(
            |f, s| f.unit(s.side)?.air.as_ref()?.schedule.get(s.index)?.$field,
            f.unit_mut(s.side)?.air.as_mut()?.schedule.get_mut(s.index)?.$field
        )
    };
}

/// Of a damper's needles.
macro_rules! of_damper {
    ($field:ident) => {
        field!(
            |f, s| f.unit(s.side)?.dampers.get(s.index)?.$field,
            f.unit_mut(s.side)?.dampers.get_mut(s.index)?.$field
        )
    };
}

/// Something found of a unit by measuring, where it is given.
macro_rules! found {
    ($path:literal, $label:literal, $limits:ident, $step:literal, $group:ident, $field:ident) => {
        Row {
            path: $path,
            label: $label,
            kind: number(&limits::$limits, $step),
            group: Group::$group,
            in_field: false,
            access: field!(
                |f, s| *f.unit(s.side)?.found.$field.as_ref()?,
                *f.unit_mut(s.side)?.found.$field.as_mut()?
            ),
            ..NONE
        }
    };
}

/// A gap at a bearing, where gaps are given.
macro_rules! of_gap {
    ($field:ident) => {
        field!(
            |f, s| *f.unit(s.side)?.bearings.$field.as_ref()?,
            *f.unit_mut(s.side)?.bearings.$field.as_mut()?
        )
    };
}

/// Of the foam station, where there is one.
macro_rules! of_foam {
    ($($field:ident).+) => {
        field!(|f, _s| f.foam.as_ref()?.$($field).+, Arc::make_mut(&mut f.foam.as_mut()?.0).$($field).+)
    };
}

/// Something of the foam station that is found, not set: standard is none of it.
macro_rules! foam_found {
    ($path:literal, $label:literal, $($field:ident).+) => {
        Row {
            scope: Scope::Foam,
            path: $path,
            label: $label,
            kind: number(&limits::FOAM_BLOCKAGE, "10 %"),
            group: Group::Foam,
            in_field: false,
            standard: Some(["0 %", "0 %"]),
            access: of_foam!($($field).+),
            ..NONE
        }
    };
}

/// Of the line, where it is given.
macro_rules! of_line_if {
    ($field:ident) => {
        field!(|f, _s| *f.line.$field.as_ref()?, *f.line.$field.as_mut()?)
    };
}

pub(in crate::scenario) static TABLE: &[Row] = &[
    Row {
        scope: Scope::Line,
        path: "throughput",
        label: "throughput of the line",
        kind: number(&limits::THROUGHPUT, "1 veh/h"),
        access: of_line_if!(throughput),
        also: Some(Also::FoamDuty),
        ..NONE
    },
    Row {
        scope: Scope::Line,
        path: "conveyor_speed",
        label: "conveyor speed",
        kind: number(&limits::CONVEYOR_SPEED, "1 ft/min"),
        access: of_line_if!(conveyor_speed),
        ..NONE
    },
    Row {
        scope: Scope::Line,
        path: "gap",
        label: "gap between vehicles",
        kind: number(&limits::GAP, "6 in"),
        access: field!(|f, _s| f.line.gap, f.line.gap),
        ..NONE
    },
    Row {
        scope: Scope::Line,
        path: "air_temperature",
        label: "temperature of the air",
        kind: number(&limits::AIR_TEMPERATURE, "5 K"),
        in_field: false,
        access: field!(|f, _s| f.line.air_temperature, f.line.air_temperature),
        ..NONE
    },
    Row {
        scope: Scope::Vehicle,
        path: "name",
        label: "measured vehicle",
        kind: RowKind::VehicleName,
        group: Group::Vehicle,
        in_field: false,
        access: VEHICLE_NAME,
        ..NONE
    },
    Row {
        scope: Scope::Vehicle,
        path: "lateral_offset",
        label: "measured vehicle off the centreline, + left of travel",
        kind: number(&limits::LATERAL_OFFSET, "1 in"),
        group: Group::Vehicle,
        in_field: false,
        access: LATERAL_OFFSET,
        also: Some(Also::Lane),
        ..NONE
    },
    Row {
        scope: Scope::Vehicle,
        path: "yaw",
        label: "measured vehicle turned on the track, + nose to the left",
        kind: number(&limits::YAW, "0.5 deg"),
        group: Group::Vehicle,
        in_field: false,
        access: YAW,
        also: Some(Also::Lane),
        ..NONE
    },
    Row {
        path: "air.cap",
        label: "regulator of the cap end",
        kind: number(&limits::REGULATOR, "1 psi"),
        group: Group::Air,
        standard: Some(["5 psi", "10 psi"]),
        access: of_air!(cap),
        ..NONE
    },
    Row {
        path: "air.rod",
        label: "regulator of the rod end",
        kind: number(&limits::REGULATOR, "1 psi"),
        group: Group::Air,
        access: of_air!(rod),
        ..NONE
    },
    Row {
        path: "air.cap_start",
        label: "cap end before the first valve step",
        kind: CONNECTIONS,
        group: Group::Air,
        in_field: false,
        access: of_air!(cap_start),
        ..NONE
    },
    Row {
        path: "air.rod_start",
        label: "rod end before the first valve step",
        kind: CONNECTIONS,
        group: Group::Air,
        in_field: false,
        access: of_air!(rod_start),
        ..NONE
    },
    Row {
        path: "air.schedule[#].at",
        label: "place of valve step #, + downstream of the pivot",
        kind: number(&limits::VALVE_AT, "6 in"),
        group: Group::Air,
        access: of_step!(at),
        list: Some(List::Schedule),
        ..NONE
    },
    Row {
        path: "air.schedule[#].delay",
        label: "delay of valve step #",
        kind: number(&limits::VALVE_DELAY, "0.1 s"),
        group: Group::Air,
        access: of_step!(delay),
        list: Some(List::Schedule),
        ..NONE
    },
    Row {
        path: "air.schedule[#].to",
        label: "what valve step # connects",
        kind: CONNECTIONS,
        group: Group::Air,
        in_field: false,
        access: of_step!(to),
        list: Some(List::Schedule),
        ..NONE
    },
    Row {
        path: "bearings.lower_offset",
        label: "lower bearing off plumb, + toward the wall",
        kind: number(&limits::BEARING_OFFSET, "1/16 in"),
        group: Group::Bearing,
        standard: PLUMB,
        access: LOWER_OFFSET,
        also: Some(Also::Lean),
        ..NONE
    },
    Row {
        path: "bearings.upper_offset",
        label: "upper bearing off plumb, + toward the wall",
        kind: number(&limits::BEARING_OFFSET, "1/16 in"),
        group: Group::Bearing,
        standard: PLUMB,
        access: UPPER_OFFSET,
        also: Some(Also::Lean),
        ..NONE
    },
    Row {
        path: "bearings.lower_along",
        label: "lower bearing off plumb, + downstream",
        kind: number(&limits::BEARING_OFFSET, "1/16 in"),
        group: Group::Bearing,
        standard: PLUMB,
        access: of_unit!(bearings.lower_along),
        also: Some(Also::Lean),
        ..NONE
    },
    Row {
        path: "bearings.upper_along",
        label: "upper bearing off plumb, + downstream",
        kind: number(&limits::BEARING_OFFSET, "1/16 in"),
        group: Group::Bearing,
        standard: PLUMB,
        access: of_unit!(bearings.upper_along),
        also: Some(Also::Lean),
        ..NONE
    },
    Row {
        path: "bearings.lower_gap",
        label: "gap at the lower adjusting screw",
        kind: number(&limits::BEARING_GAP, "1/16 in"),
        group: Group::Bearing,
        in_field: false,
        access: of_gap!(lower_gap),
        also: Some(Also::Lean),
        ..NONE
    },
    Row {
        path: "bearings.upper_gap",
        label: "gap at the upper adjusting screw",
        kind: number(&limits::BEARING_GAP, "1/16 in"),
        group: Group::Bearing,
        in_field: false,
        access: of_gap!(upper_gap),
        also: Some(Also::Lean),
        ..NONE
    },
    Row {
        path: "stop_pin.hole",
        label: "hole of the stop pin, 1 = outermost",
        kind: RowKind::Hole,
        group: Group::Pin,
        access: of_unit!(stop_pin.hole),
        ..NONE
    },
    Row {
        path: "brush.friction",
        label: "friction of wet media on paint",
        kind: number(&limits::FRICTION, "0.05"),
        group: Group::Foam,
        in_field: false,
        access: field!(
            |f, s| *f.unit(s.side)?.brush.friction.as_ref()?,
            *f.unit_mut(s.side)?.brush.friction.as_mut()?
        ),
        ..NONE
    },
    Row {
        path: "counterweight.mass",
        label: "counterweight",
        kind: number(&limits::COUNTERWEIGHT_MASS, "1 lb"),
        group: Group::Weight,
        access: field!(
            |f, s| f.unit(s.side)?.counterweight.as_ref()?.mass,
            f.unit_mut(s.side)?.counterweight.as_mut()?.mass
        ),
        ..NONE
    },
    Row {
        path: "dampers[#].out_stroke",
        label: "needle of damper #, arm swinging outboard",
        kind: number(&limits::STROKE_DAMPING, "0.1 lbf s/in"),
        group: Group::Damper,
        access: of_damper!(out_stroke),
        list: Some(List::Dampers),
        ..NONE
    },
    Row {
        path: "dampers[#].in_stroke",
        label: "needle of damper #, arm swinging inboard",
        kind: number(&limits::STROKE_DAMPING, "0.1 lbf s/in"),
        group: Group::Damper,
        access: of_damper!(in_stroke),
        list: Some(List::Dampers),
        ..NONE
    },
    Row {
        path: "brush.spin",
        label: "spin",
        kind: number(&limits::SPIN, "5 rpm"),
        group: Group::Brush,
        access: of_unit!(brush.spin),
        ..NONE
    },
    Row {
        path: "brush.spin_sense",
        label: "spin sense: which way rubbing drives the brush at the nose",
        kind: RowKind::Words(&["OutboardAtNose", "InboardAtNose"]),
        group: Group::Brush,
        access: of_unit!(brush.spin_sense),
        ..NONE
    },
    Row {
        path: "brush.push_back.force",
        label: "force of the push-back test",
        kind: number(&limits::PUSH_BACK_FORCE, "1 lbf"),
        group: Group::Brush,
        in_field: false,
        access: field!(
            |f, s| f.unit(s.side)?.brush.push_back.as_ref()?.force,
            f.unit_mut(s.side)?.brush.push_back.as_mut()?.force
        ),
        ..NONE
    },
    Row {
        path: "brush.media.push_back.force",
        label: "force of the push-back test",
        kind: number(&limits::PUSH_BACK_FORCE, "1 lbf"),
        group: Group::Brush,
        in_field: false,
        access: field!(
            |f, s| f.unit(s.side)?.brush.media.as_ref()?.push_back()?.force,
            f.unit_mut(s.side)?.brush.media.as_mut()?.push_back_mut()?.force
        ),
        ..NONE
    },
    Row {
        path: "brush.media.mass",
        label: "mass of the strips, wet",
        kind: number(&limits::MEDIA_MASS, "1 lb"),
        group: Group::Brush,
        in_field: false,
        access: field!(
            |f, s| *f.unit(s.side)?.brush.media.as_ref()?.mass()?,
            *f.unit_mut(s.side)?.brush.media.as_mut()?.mass_mut()?
        ),
        ..NONE
    },
    Row {
        path: "brush.worn",
        label: "strips shorter than new by",
        kind: number(&limits::WORN, "1/2 in"),
        group: Group::Brush,
        in_field: false,
        also: Some(Also::Strips),
        access: of_unit!(brush.worn),
        ..NONE
    },
    found!(
        "found.friction",
        "friction of the pivot as found",
        FRICTION_TORQUE,
        "0.1 lbf ft",
        Bearing,
        friction
    ),
    found!(
        "found.breakaway_ratio",
        "breakaway of the pivot over its friction, as found",
        BREAKAWAY_RATIO,
        "0.05",
        Bearing,
        breakaway_ratio
    ),
    found!("found.arm_mass", "masses of the arm over what is described", ARM_MASS, "1 %", Weight, arm_mass),
    found!("found.push", "push of the media over what their law says", PUSH, "5 %", Brush, push),
    found!("found.radius", "radius of the spinning media as found", BRUSH_RADIUS, "1/4 in", Brush, radius),
    found!("found.exponent", "exponent of the push-back law as found", EXPONENT, "0.05", Brush, exponent),
    found!(
        "found.stiffening_spin",
        "spin that makes the strips twice as stiff, as found",
        STIFFENING_SPIN,
        "5 rpm",
        Brush,
        stiffening_spin
    ),
    found!(
        "found.seat_shift",
        "brush at the stop off what its hole says, + toward the wall",
        SEAT_SHIFT,
        "1/8 in",
        Pin,
        seat_shift
    ),
    Row {
        path: "position",
        label: "pivot along the lane, + downstream",
        kind: number(&limits::POSITION, "6 in"),
        group: Group::Line,
        in_field: false,
        access: of_unit!(position),
        ..NONE
    },
    Row {
        scope: Scope::Foam,
        path: "metering_bore",
        label: "metering tip of the concentrate",
        kind: RowKind::Bore,
        group: Group::Foam,
        access: of_foam!(metering_bore),
        ..NONE
    },
    Row {
        scope: Scope::Foam,
        path: "liquid_regulator",
        label: "liquid regulator of the foam maker",
        kind: number(&limits::FOAM_REGULATOR, "1 psi"),
        group: Group::Foam,
        standard: Some(["30 psi", "40 psi"]),
        access: of_foam!(liquid_regulator),
        ..NONE
    },
    Row {
        scope: Scope::Foam,
        path: "air_regulator",
        label: "air regulator of the foam maker",
        kind: number(&limits::FOAM_REGULATOR, "1 psi"),
        group: Group::Foam,
        access: of_foam!(air_regulator),
        ..NONE
    },
    Row {
        scope: Scope::Foam,
        path: "needle_valve",
        label: "needle valve of the foam maker, steps open",
        kind: number(&limits::FOAM_NEEDLE, "1"),
        group: Group::Foam,
        access: of_foam!(needle_valve),
        also: Some(Also::NeedleTravel),
        ..NONE
    },
    Row {
        scope: Scope::Foam,
        path: "supply_pressure",
        label: "water supply of the foam station, flowing",
        kind: number(&limits::FOAM_SUPPLY, "1 psi"),
        group: Group::Foam,
        in_field: false,
        access: of_foam!(supply_pressure),
        ..NONE
    },
    Row {
        scope: Scope::Foam,
        path: "lift",
        label: "injector above the concentrate",
        kind: number(&limits::FOAM_LIFT, "6 in"),
        group: Group::Foam,
        in_field: false,
        access: of_foam!(lift),
        ..NONE
    },
    foam_found!("strainer_blockage", "share of the water strainer blocked", strainer_blockage),
    foam_found!("tip_blockage", "share of the metering tip blocked", tip_blockage),
    foam_found!("suction_leak", "share of the draw that is air", suction_leak),
    foam_found!("liquid_line.blockage", "share of the liquid line blocked", liquid_line.blockage),
    foam_found!("outlets.blockage", "share of the outlets blocked", outlets.blockage),
    Row {
        scope: Scope::Foam,
        path: "thickening",
        label: "concentrate now over as described, viscosity",
        kind: number(&limits::FOAM_THICKENING, "0.5"),
        group: Group::Foam,
        in_field: false,
        standard: Some(["1", "1"]),
        access: of_foam!(thickening),
        ..NONE
    },
];
