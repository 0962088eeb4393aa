//! What stands in a scenario file about one unit's set-up: everything a technician sets in the field.
//!
//! Field names are the paths of [`super::setting`]: `left.bearings.lower_offset` is the field `lower_offset` of `bearings` of `left`.

use super::check::{At, Checker};
use super::knob::{Access, Also};
use super::machine_file::{BRUSH_RADIUS, EXPONENT, FRICTION_TORQUE, STIFFENING_SPIN};
use super::media_file::{MediaFile, PushBackFile, SPIN};
use super::part::{Parameter, Value, part, words};
use crate::arm::{Bearings, ChamberName, SpinSense, ValveConnection, VehicleEnd};
use crate::units::*;

type Range = (&'static str, &'static str);

pub(crate) const OFF_PLUMB: Range = ("-2 in", "2 in");
const PLUMB: Option<[&str; 2]> = Some(["0 in", "0 in"]);
pub(crate) const SCREW_GAP: Range = ("0 in", "24 in");
pub(crate) const REGULATOR: Range = ("0 psi", "60 psi");
pub(crate) const WEIGHT: Range = ("0.1 lb", "500 lb");
const STROKE_DAMPING: Range = ("0 lbf s/in", "200 lbf s/in");
const STROKE_QUADRATIC: Range = ("0 N s2/m2", "100000 N s2/m2");

part! {
    /// Set-up of one unit.
    UnitFile {
        /// Where its pivot stands along the lane, positive downstream.
        position: Length, in ("-100 ft", "100 ft"), set {
            step: "6 in", label: "pivot along the lane, + downstream", group: Group::Line, in_field: false
        };
        /// How the bearings are set; plumb when not given.
        bearings: BearingsFile = (BearingsFile::default());
        /// Where the stop pin is.
        stop_pin: PinFile;
        /// Air, if the machine has a cylinder.
        air: Option<AirFile> = None;
        /// The weight, if the machine has a counterweight.
        counterweight: Option<WeightFile> = None;
        /// Needle settings, one for each damper of the machine.
        dampers: Vec<NeedleFile> = (Vec::new());
        /// The brush.
        brush: BrushSetFile;
        /// What was found of this unit by measuring; goes before what the machine says.
        found: FoundFile = (FoundFile::default());
    }
}

part! {
    default
    /// What was found of a unit by measuring it, each in place of what the machine says. The machine may serve many scenarios and both units; this is
    /// of one unit.
    FoundFile {
        /// Friction torque of the pivot.
        friction: Option<Torque> = None, in FRICTION_TORQUE, set {
            step: "0.1 lbf ft", label: "friction of the pivot as found", group: Group::Bearing, rank: 7,
            in_field: false
        };
        /// Breakaway of the pivot over its friction.
        breakaway_ratio: Option<Fraction> = None, in ("1", "4"), set {
            step: "0.05", label: "breakaway of the pivot over its friction, as found", group: Group::Bearing,
            rank: 8, in_field: false
        };
        /// All masses of the arm over what their parts say.
        arm_mass: Option<Fraction> = None, in ("20 %", "500 %"), set {
            step: "1 %", label: "masses of the arm over what is described", group: Group::Weight, in_field: false
        };
        /// Push of the media over what their law or their push-back test says.
        push: Option<Fraction> = None, in ("5 %", "2000 %"), set {
            step: "5 %", label: "push of the media over what their law says", group: Group::Brush, in_field: false
        };
        /// Outer radius of the spinning media as they are now.
        radius: Option<Length> = None, in BRUSH_RADIUS, set {
            step: "1/4 in", label: "radius of the spinning media as found", group: Group::Brush, in_field: false
        };
        /// Exponent of the push-back law.
        exponent: Option<Fraction> = None, in EXPONENT, set {
            step: "0.05", label: "exponent of the push-back law as found", group: Group::Brush, in_field: false
        };
        /// Spin at which the strips are twice as stiff.
        stiffening_spin: Option<Spin> = None, in STIFFENING_SPIN, set {
            step: "5 rpm", label: "spin that makes the strips twice as stiff, as found", group: Group::Brush,
            in_field: false
        };
        /// How much farther from the lane centreline the brush is at the stop than its hole says, positive toward the wall.
        seat_shift: Option<Length> = None, in ("-6 in", "6 in"), set {
            step: "1/8 in", label: "brush at the stop off what its hole says, + toward the wall",
            group: Group::Pin, in_field: false
        };
    }
}

part! {
    default
    /// How the bearings are set: offsets from plumb, or gaps measured by tape.
    BearingsFile {
        /// Upper bearing off plumb, positive toward the wall.
        upper_offset: Option<Length> = None, in OFF_PLUMB, set {
            step: "1/16 in", label: "upper bearing off plumb, + toward the wall", group: Group::Bearing,
            rank: 2, standard: PLUMB, also: Some(Also::Lean), access: Access::UpperOffset
        };
        /// Lower bearing off plumb, positive toward the wall.
        lower_offset: Option<Length> = None, in OFF_PLUMB, set {
            step: "1/16 in", label: "lower bearing off plumb, + toward the wall", group: Group::Bearing,
            rank: 1, first: true, standard: PLUMB, also: Some(Also::Lean), access: Access::LowerOffset
        };
        /// Upper bearing off plumb along the lane, positive downstream.
        upper_along: Length = "0 in", in OFF_PLUMB, set {
            step: "1/16 in", label: "upper bearing off plumb, + downstream", group: Group::Bearing, rank: 4,
            standard: PLUMB, also: Some(Also::Lean)
        };
        /// Lower bearing off plumb along the lane, positive downstream.
        lower_along: Length = "0 in", in OFF_PLUMB, set {
            step: "1/16 in", label: "lower bearing off plumb, + downstream", group: Group::Bearing, rank: 3,
            standard: PLUMB, also: Some(Also::Lean)
        };
        /// Gap at the upper adjusting screw, frame to bearing block on the wall side. Equal gaps = plumb.
        upper_gap: Option<Length> = None, in SCREW_GAP, set {
            step: "1/16 in", label: "gap at the upper adjusting screw", group: Group::Bearing, rank: 6,
            in_field: false, also: Some(Also::Lean)
        };
        /// Gap at the lower adjusting screw.
        lower_gap: Option<Length> = None, in SCREW_GAP, set {
            step: "1/16 in", label: "gap at the lower adjusting screw", group: Group::Bearing, rank: 5,
            in_field: false, also: Some(Also::Lean)
        };
    }
}

impl BearingsFile {
    /// Whether the gaps were measured by tape.
    pub fn by_tape(&self) -> bool {
        self.upper_gap.is_some() || self.lower_gap.is_some()
    }

    /// The gaps at the upper and the lower adjusting screw, where both were measured by tape: they go before the offsets.
    pub fn tape_gaps(&self) -> Option<(&Length, &Length)> {
        self.upper_gap.as_ref().zip(self.lower_gap.as_ref())
    }

    /// How far the lower bearing is off plumb, positive toward the wall, m: by the tape-measured gaps where there are both, else as written.
    pub fn lower_offset_m(&self) -> f64 {
        match self.tape_gaps() {
            Some((upper, lower)) => Bearings::lower_offset_from_gaps_m(upper.si(), lower.si()),
            None => self.lower_offset.as_ref().map_or(0.0, Length::si),
        }
    }

    /// Sets how far the lower bearing is off plumb: moves the lower gap where gaps were measured by tape.
    pub(super) fn set_lower_offset(&mut self, offset: Length) -> Result<(), UnitError> {
        match self.tape_gaps() {
            // The rule is its own inverse.
            Some((upper, lower)) => {
                let gap_m = Bearings::lower_offset_from_gaps_m(upper.si(), offset.si());
                self.lower_gap = Some(lower.set_like(gap_m)?);
            }
            None => self.lower_offset = Some(offset),
        }
        Ok(())
    }
}

part! {
    /// Where the stop pin is.
    PinFile {
        /// The hole, from 1 = outermost.
        hole: u32, set {
            label: "hole of the stop pin, 1 = outermost", group: Group::Pin, first: true
        };
    }
}

/// A regulator shows gauge pressure; one below the air outside was not read off it.
fn regulator(pressure: &Pressure, c: &mut Checker<'_>, at: At<'_>, row: &'static Parameter) {
    if pressure.is_absolute() && pressure.gauge_pa() < 0.0 {
        c.sense(
            at,
            "this is an absolute pressure, and below that of the air outside",
            pressure.written(),
            row.limits.text(),
            "write what the gauge shows, in psi or psig",
        );
    } else {
        pressure.check(c, at, row);
    }
}

part! {
    /// Air of one unit.
    AirFile {
        /// Regulator of the cap end.
        cap: Pressure = "0 psi", in REGULATOR, by regulator, set {
            step: "1 psi", label: "regulator of the cap end", group: Group::Air, first: true,
            standard: Some(["5 psi", "10 psi"])
        };
        /// Regulator of the rod end.
        rod: Pressure = "0 psi", in REGULATOR, by regulator, set {
            step: "1 psi", label: "regulator of the rod end", group: Group::Air
        };
        /// What the cap end is connected to before the first step of the schedule; Supply when not given.
        cap_start: ConnectionWord = (ConnectionWord::Supply), set {
            label: "cap end before the first valve step", group: Group::Air, in_field: false
        };
        /// What the rod end is connected to before the first step of the schedule; Exhaust when not given.
        rod_start: ConnectionWord = (ConnectionWord::Exhaust), set {
            label: "rod end before the first valve step", group: Group::Air, in_field: false
        };
        /// Valve steps, repeated for every vehicle.
        schedule: Vec<ValveFile> = (Vec::new()), items (0, 40, "leave out steps that switch nothing");
    }
}

part! {
    /// One valve step: when an end of the vehicle is at a place, and a delay after that, a chamber is switched.
    ValveFile {
        /// The end watched.
        when: EndWord;
        /// Its place along the lane from this unit's pivot, positive downstream.
        at: Length, in ("-100 ft", "100 ft"), set {
            step: "6 in", label: "place of valve step #, + downstream of the pivot", group: Group::Air
        };
        /// Time after that.
        delay: Time = "0 s", in ("0 s", "60 s"), set {
            step: "0.1 s", label: "delay of valve step #", group: Group::Air
        };
        /// The chamber switched.
        chamber: ChamberWord;
        /// What to.
        to: ConnectionWord, set {
            label: "what valve step # connects", group: Group::Air, in_field: false
        };
    }
}

words! {
    /// An end of the vehicle, as written.
    EndWord => VehicleEnd {
        /// The nose.
        Nose,
        /// The tail.
        Tail,
    }

    /// A chamber, as written.
    ChamberWord => ChamberName {
        /// The end with the full bore.
        Cap,
        /// The end with the rod.
        Rod,
    }

    /// What a chamber is connected to, as written.
    ConnectionWord => ValveConnection {
        /// Its regulator.
        Supply,
        /// The open air.
        Exhaust,
        /// Nothing.
        Closed,
    }

    /// Which way a brush turns, as written.
    SenseWord => SpinSense {
        /// Rubbing at the nose drives the brush outboard.
        OutboardAtNose,
        /// Rubbing at the nose drives the brush inboard.
        InboardAtNose,
    }
}

part! {
    /// The weight on the cable.
    WeightFile {
        /// Its mass.
        mass: Mass, in WEIGHT, set {
            step: "1 lb", label: "counterweight", group: Group::Weight, first: true
        };
    }
}

part! {
    /// Needle settings of a damper.
    NeedleFile {
        /// Force per speed while the arm swings outboard.
        out_stroke: Damping, in STROKE_DAMPING, set {
            step: "0.1 lbf s/in", label: "needle of damper #, arm swinging outboard", group: Group::Damper
        };
        /// Force per speed while the arm swings inboard.
        in_stroke: Damping, in STROKE_DAMPING, set {
            step: "0.1 lbf s/in", label: "needle of damper #, arm swinging inboard", group: Group::Damper
        };
        /// Force per speed squared while the arm swings outboard; 0 when not given.
        out_quadratic: QuadraticDamping = "0 N s2/m2", in STROKE_QUADRATIC;
        /// Force per speed squared while the arm swings inboard; 0 when not given.
        in_quadratic: QuadraticDamping = "0 N s2/m2", in STROKE_QUADRATIC;
    }
}

part! {
    /// What is set or measured at the brush.
    BrushSetFile {
        /// How fast it turns.
        spin: Spin, in SPIN, set {
            step: "5 rpm", label: "spin", group: Group::Brush
        };
        /// Which way it turns.
        spin_sense: SenseWord, set {
            label: "spin sense: which way rubbing drives the brush at the nose", group: Group::Brush
        };
        /// Friction coefficient of wet media on paint; left out where the foam station sets it.
        friction: Option<Fraction> = None, in ("0", "2"), set {
            step: "0.05", label: "friction of wet media on paint", group: Group::Foam, in_field: false
        };
        /// What the strips are.
        media: Option<MediaFile> = None;
        /// In place of `media`: a push-back test of the stopped brush, which is all that is known of stiff media.
        push_back: Option<PushBackFile> = None;
        /// How much shorter the strips are than new: worn off, or drooping in slow spin. 0 when not given.
        worn: Length = "0 in", in ("0 in", "2 ft"), set {
            step: "1/2 in", label: "strips shorter than new by", group: Group::Brush, in_field: false,
            also: Some(Also::Strips)
        };
    }
}
