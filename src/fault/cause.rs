//! The causes: what each changes of the model and how far, how common it is, with what circumstances it comes, what may stand behind it and how that is told.
//!
//! Ranges are chosen so that half of one is what somebody calls for; nothing of a row says what is seen, that is computed. Weights, circumstances and repairs are
//! common practice without a source.

use super::check::CheckName;
use super::sign::Circumstance;
use crate::arm::{Media, Side, SpinSense, UnitModel, ValveConnection};
use crate::pass::{PassSetup, hand_torque_n_m, rest_angle_rad};
use crate::scenario::Scenario;
use crate::units::{
    AngleDim, DampingDim, Dimension, DimensionInfo, FractionDim, LengthDim, MassDim, PressureDim,
    SpeedDim, SpinDim, StiffnessDim, TimeDim, TorqueDim,
};
use Circumstance::{AfterCrash, AfterRain, AfterRepair, BusyDays, Cold, Gradual, NewVehicles, Sudden};

/// Settings to change: path and value, SI.
pub type Settings = Vec<(&'static str, f64)>;

/// What a cause changes. How bad it is runs from 0 (nothing) to 1 (the end of its range). `None` where the machine has no such part.
#[derive(Debug, Clone, Copy)]
pub enum Change {
    /// Settings of a unit, by their paths below it.
    Unit(fn(&UnitModel, f64) -> Option<Settings>),
    /// The spin sense of a unit, the other way round.
    Reverse,
    /// What no setting of a unit says.
    Model(fn(&mut UnitModel, f64) -> Option<()>),
    /// Settings of the line or the vehicle; +1 for left, −1 for right where the cause has a side.
    Line(fn(&Scenario, f64, f64) -> Option<Settings>),
    /// What no setting of the line says.
    Pass(fn(&mut PassSetup, f64) -> Option<()>),
    /// The widest vehicle that the lane takes in place of the measured one.
    Widest,
}

/// How bad a cause is, in its own terms, read from the changed machine.
#[derive(Debug, Clone, Copy)]
pub struct Amount {
    /// What it is.
    pub label: &'static str,
    /// Its dimension.
    pub info: &'static DimensionInfo,
    /// Reads it, SI; the number is that of the unit in the set-up.
    pub read: fn(&PassSetup, usize) -> Option<f64>,
}

/// One thing that may stand behind a cause.
#[derive(Debug, Clone, Copy)]
pub struct Behind {
    /// What it is.
    pub what: &'static str,
    /// The check that shows it.
    pub check: CheckName,
    /// What that check finds.
    pub finding: &'static str,
    /// What to do about it.
    pub repair: &'static str,
}

/// A cause.
#[derive(Debug, Clone, Copy)]
pub struct Cause {
    /// Stable key.
    pub key: &'static str,
    /// Plain words.
    pub name: &'static str,
    /// Whether it is of one unit or side, or of the line.
    pub sided: bool,
    /// How common it is among calls, relative to the others.
    pub weight: f64,
    /// Of those, the share that is on both sides at once.
    pub both: f64,
    /// Whether it is there or not: no range.
    pub whole: bool,
    /// What it comes with.
    pub comes: &'static [Circumstance],
    /// What it changes.
    pub change: Change,
    /// How bad it is in its own terms.
    pub amount: Option<Amount>,
    /// What may stand behind it; the model cannot tell these apart, the checks can.
    pub behind: &'static [Behind],
}

impl Cause {
    /// The cause with this key.
    pub fn named(key: &str) -> Option<usize> {
        CAUSES.iter().position(|cause| cause.key == key)
    }
}

/// Torque that the arm is pulled inboard with half way out, air on, friction left out, N m; `None` where it has no rest or is pulled outboard.
pub fn inward_n_m(unit: &UnitModel) -> Option<f64> {
    let mut still = unit.clone();
    still.brush.spin_rad_s = 0.0;
    let phi = 0.5 * (rest_angle_rad(&still).ok()? + still.outboard_stop.seat_rad);
    let hand = |outward| hand_torque_n_m(&still, phi, 0.0, outward, false, true);
    Some(0.5 * (hand(true) + hand(false))).filter(|torque| *torque > 0.0)
}

/// Lowest and highest torque of friction half way out, N m.
fn friction_n_m(unit: &UnitModel) -> Option<f64> {
    let mut still = unit.clone();
    still.brush.spin_rad_s = 0.0;
    let phi = 0.5 * (rest_angle_rad(&still).ok()? + still.outboard_stop.seat_rad);
    let hand = |outward| hand_torque_n_m(&still, phi, 0.0, outward, false, true);
    Some(0.5 * (hand(true) - hand(false)))
}

fn cap_pa(unit: &UnitModel) -> Option<f64> {
    let set = unit.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa;
    (set > 3000.0).then_some(set)
}

fn strips_m(unit: &UnitModel) -> f64 {
    unit.brush.radius_m - unit.brush.hub_radius_m
}

/// Moves the inboard stop so that the brush at the stop is farther from the centreline by this much, m.
fn move_seat(unit: &mut UnitModel, outward_m: f64) -> Option<()> {
    let stop = &mut unit.inboard_stop;
    let cos = stop.seat_rad.cos() - outward_m / unit.body.length_m;
    let seat = cos.clamp(-1.0, 1.0).acos();
    // Beyond straight across the angle is counted on.
    stop.seat_rad = if cos > 1.0 { stop.seat_rad + outward_m / unit.body.length_m } else { seat };
    Some(())
}

fn off_center_m(unit: &UnitModel) -> f64 {
    unit.pivot_m.y - unit.body.length_m * unit.inboard_stop.seat_rad.cos()
}

fn at(setup: &PassSetup, unit: usize) -> Option<&UnitModel> {
    setup.units.get(unit)
}

const fn amount(
    label: &'static str,
    info: &'static DimensionInfo,
    read: fn(&PassSetup, usize) -> Option<f64>,
) -> Option<Amount> {
    Some(Amount { label, info, read })
}

const fn behind(
    what: &'static str,
    check: CheckName,
    finding: &'static str,
    repair: &'static str,
) -> Behind {
    Behind { what, check, finding, repair }
}

/// A cause of one unit with a range, one in five on both sides.
const fn unit(
    key: &'static str,
    name: &'static str,
    weight: f64,
    comes: &'static [Circumstance],
    change: Change,
    amount: Option<Amount>,
    behind: &'static [Behind],
) -> Cause {
    Cause { key, name, sided: true, weight, both: 0.2, whole: false, comes, change, amount, behind }
}

impl Cause {
    const fn whole(mut self) -> Cause {
        self.whole = true;
        self
    }

    const fn both(mut self, share: f64) -> Cause {
        self.both = share;
        self
    }

    const fn of_line(mut self) -> Cause {
        self.sided = false;
        self
    }
}

/// Every cause.
pub static CAUSES: &[Cause] = &[
    unit(
        "air-weak",
        "too little air on the piston, or none",
        3.0,
        &[Sudden, Gradual],
        Change::Unit(|u, s| Some(vec![("air.cap", cap_pa(u)? * (0.6 - 0.6 * s))])),
        amount("air at the piston", PressureDim::INFO, |p, i| {
            Some(at(p, i)?.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa)
        }),
        &[
            behind("regulator set low, or its gauge reads high", CheckName::Gauge, "a second gauge reads low", "set the regulator by the second gauge"),
            behind("valve stuck or shut, or supply shut", CheckName::GaugeWatch, "no pressure behind the valve at any time", "free or renew the valve; open the supply"),
            behind("a leak in hose or fitting, or past the piston seal", CheckName::SoapWater, "bubbles, or the gauge falls with the valve shut", "renew the hose, the fitting or the seal"),
        ],
    ),
    unit(
        "air-strong",
        "too much air on the piston",
        2.5,
        &[Sudden],
        Change::Unit(|u, s| Some(vec![("air.cap", cap_pa(u)? * (1.0 + 1.6 * s))])),
        amount("air at the piston", PressureDim::INFO, |p, i| {
            Some(at(p, i)?.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa)
        }),
        &[behind("regulator set high or creeping, or its gauge reads low", CheckName::Gauge, "a second gauge reads high", "set the regulator by the second gauge; renew it if it creeps")],
    ),
    unit(
        "air-trapped",
        "trapped air: a regulator that does not let air back out",
        1.5,
        &[Sudden],
        Change::Model(|u, _| {
            let cylinder = u.cylinder.as_mut()?;
            let fed = |line: &crate::arm::ChamberLine| line.initial == ValveConnection::Supply && line.regulator.relieving;
            let any = fed(&cylinder.cap.line) || fed(&cylinder.rod.line);
            cylinder.cap.line.regulator.relieving = false;
            cylinder.rod.line.regulator.relieving = false;
            any.then_some(())
        }),
        None,
        &[behind("a regulator that does not relieve", CheckName::GaugeRelease, "the gauge climbs as the arm is pushed and stays up", "renew the regulator with a relieving one")],
    )
    .whole(),
    unit(
        "air-crossed",
        "air on the wrong end of the cylinder",
        1.2,
        &[AfterRepair],
        Change::Model(|u, s| {
            let cap = cap_pa(u)?;
            let cylinder = u.cylinder.as_mut()?;
            cylinder.cap.line.initial = ValveConnection::Exhaust;
            cylinder.rod.line.initial = ValveConnection::Supply;
            cylinder.rod.line.regulator.set_gauge_pa += s * cap;
            cylinder.schedule.clear();
            Some(())
        }),
        None,
        &[behind("valve stuck, wired or hosed the wrong way", CheckName::GaugeWatch, "pressure at the rod end when it should be at the cap end", "put hoses or wires as in the maker's drawing; renew the valve")],
    )
    .whole(),
    unit(
        "hose-pinched",
        "air moves too slowly: hose pinched or a silencer blocked",
        1.5,
        &[Sudden, AfterRepair],
        Change::Model(|u, s| {
            cap_pa(u)?;
            let cylinder = u.cylinder.as_mut()?;
            let left = 10_f64.powf(-1.2 - 1.8 * s);
            for line in [&mut cylinder.cap.line, &mut cylinder.rod.line] {
                line.supply_c_m3_s_pa *= left;
                line.exhaust_c_m3_s_pa *= left;
            }
            Some(())
        }),
        amount("flow left through the hose", FractionDim::INFO, |_, _| None),
        &[behind("hose pinched, fitting or silencer blocked", CheckName::GaugeWatch, "the gauge swings far up and down as the arm moves", "clear or renew hose and silencer")],
    ),
    unit(
        "valve-late",
        "valve slow to switch",
        1.2,
        &[Gradual, Cold],
        Change::Model(|u, s| {
            let cylinder = u.cylinder.as_mut().filter(|c| !c.schedule.is_empty())?;
            for step in &mut cylinder.schedule {
                step.delay_s += 2.0 * s;
            }
            Some(())
        }),
        amount("delay of the valve", TimeDim::INFO, |p, i| {
            at(p, i)?.cylinder.as_ref()?.schedule.first().map(|step| step.delay_s)
        }),
        &[behind("valve sticky, coil weak or its sensor moved", CheckName::GaugeWatch, "the gauge follows the car late", "clean or renew the valve; set the sensor")],
    ),
    unit(
        "tight",
        "the arm runs tight",
        3.0,
        &[Gradual, Cold],
        Change::Model(|u, s| {
            let more = 0.75 * s * inward_n_m(u)?;
            let ratio = if u.pivot.coulomb_n_m > 0.0 { u.pivot.breakaway_n_m / u.pivot.coulomb_n_m } else { 1.2 };
            u.pivot.coulomb_n_m += more;
            u.pivot.breakaway_n_m += ratio.clamp(1.0, 1.5) * more;
            Some(())
        }),
        amount("friction of the arm", TorqueDim::INFO, |p, i| friction_n_m(at(p, i)?)),
        &[
            behind("pivot dry or its bearing failing", CheckName::Pull, "the scale reads far more out than in", "grease or renew the bearing as the maker says"),
            behind("cylinder seal tight, rod bent, or a cable that rubs", CheckName::SwingFree, "it swings free once the cylinder is off", "renew the seal or the rod; free the cable"),
        ],
    ),
    unit(
        "weight-light",
        "the counterweight pulls too little",
        2.0,
        &[AfterRepair, Sudden],
        Change::Unit(|u, s| Some(vec![("counterweight.mass", u.counterweight.as_ref()?.mass_kg * (0.45 - 0.44 * s))])),
        amount("weight that pulls", MassDim::INFO, |p, i| Some(at(p, i)?.counterweight.as_ref()?.mass_kg)),
        &[
            behind("weight missing or too light", CheckName::Weigh, "it weighs too little", "hang the weight that belongs there"),
            behind("cable slack, off its sheave or frayed, or the weight rests on something", CheckName::Cable, "the cable is not tight or not in its sheave", "put the cable right, renew it if frayed; clear what the weight rests on"),
        ],
    ),
    unit(
        "weight-heavy",
        "the counterweight pulls too much",
        1.2,
        &[AfterRepair],
        Change::Unit(|u, s| Some(vec![("counterweight.mass", u.counterweight.as_ref()?.mass_kg * (1.0 + 3.5 * s))])),
        amount("weight that pulls", MassDim::INFO, |p, i| Some(at(p, i)?.counterweight.as_ref()?.mass_kg)),
        &[behind("weight added or exchanged", CheckName::Weigh, "it weighs too much", "hang the weight that belongs there")],
    ),
    unit(
        "damper-dead",
        "the damper does not hold",
        3.0,
        &[Gradual, Sudden],
        Change::Model(|u, s| {
            let left = (1.0 - s).powi(4);
            u.dampers.iter().any(|d| d.out_stroke.linear_n_s_m + d.out_stroke.quadratic_n_s2_m2 > 0.0).then_some(())?;
            for stroke in u.dampers.iter_mut().flat_map(|d| [&mut d.out_stroke, &mut d.in_stroke]) {
                stroke.linear_n_s_m *= left;
                stroke.quadratic_n_s2_m2 *= left;
            }
            Some(())
        }),
        amount("damping out", DampingDim::INFO, |p, i| Some(at(p, i)?.dampers.first()?.out_stroke.linear_n_s_m)),
        &[behind("damper empty, or its needle open", CheckName::Damper, "it gives way without holding", "set the needle; renew the damper if it stays soft")],
    ),
    unit(
        "damper-stiff",
        "the damper holds too much",
        2.0,
        &[Cold, AfterRepair],
        Change::Model(|u, s| {
            u.dampers.iter().any(|d| d.out_stroke.linear_n_s_m + d.in_stroke.linear_n_s_m > 0.0).then_some(())?;
            let times = 10_f64.powf(1.4 * s);
            for stroke in u.dampers.iter_mut().flat_map(|d| [&mut d.out_stroke, &mut d.in_stroke]) {
                stroke.linear_n_s_m *= times;
                stroke.quadratic_n_s2_m2 *= times;
            }
            Some(())
        }),
        amount("damping out", DampingDim::INFO, |p, i| Some(at(p, i)?.dampers.first()?.out_stroke.linear_n_s_m)),
        &[behind("needle shut, oil cold or damper jammed", CheckName::Damper, "it holds hard both ways", "set the needle; renew the damper if it stays hard")],
    ),
    unit(
        "damper-swapped",
        "the damper holds the wrong way",
        1.2,
        &[AfterRepair],
        Change::Model(|u, _| {
            u.dampers
                .iter()
                .any(|d| (d.out_stroke.linear_n_s_m - d.in_stroke.linear_n_s_m).abs() > 0.3 * d.out_stroke.linear_n_s_m.max(d.in_stroke.linear_n_s_m))
                .then_some(())?;
            for d in &mut u.dampers {
                std::mem::swap(&mut d.out_stroke, &mut d.in_stroke);
            }
            Some(())
        }),
        None,
        &[behind("needles exchanged or damper turned round", CheckName::Damper, "it holds the way it should not", "exchange the needles or turn the damper")],
    )
    .whole(),
    unit(
        "bearing-inward",
        "the lower bearing has moved toward the wall: the arm falls inboard",
        2.5,
        &[Gradual, AfterCrash],
        Change::Unit(|u, s| Some(vec![("bearings.lower_offset", u.bearings.lower.toward_wall_m + 0.0127 * s)])),
        amount("lower bearing off the upper, + toward the wall", LengthDim::INFO, |p, i| {
            let b = &at(p, i)?.bearings;
            Some(b.lower.toward_wall_m - b.upper.toward_wall_m)
        }),
        &[behind("screws let go or shims exchanged", CheckName::Level, "off plumb, top toward the lane", "set both screws as on the sheet and lock them")],
    ),
    unit(
        "bearing-outward",
        "the lower bearing has moved toward the lane: the arm falls outboard",
        2.5,
        &[Gradual, AfterCrash],
        Change::Unit(|u, s| Some(vec![("bearings.lower_offset", u.bearings.lower.toward_wall_m - 0.0127 * s)])),
        amount("lower bearing off the upper, + toward the wall", LengthDim::INFO, |p, i| {
            let b = &at(p, i)?.bearings;
            Some(b.lower.toward_wall_m - b.upper.toward_wall_m)
        }),
        &[behind("screws let go or shims exchanged", CheckName::Level, "off plumb, top toward the wall", "set both screws as on the sheet and lock them")],
    ),
    unit(
        "bearing-downstream",
        "the arm leans downstream",
        1.0,
        &[AfterRepair, AfterCrash],
        Change::Unit(|u, s| Some(vec![("bearings.lower_along", u.bearings.lower.downstream_m - 0.032 * s)])),
        amount("lower bearing off the upper along the lane, + downstream", LengthDim::INFO, |p, i| {
            let b = &at(p, i)?.bearings;
            Some(b.lower.downstream_m - b.upper.downstream_m)
        }),
        &[behind("post or bearing moved along the lane", CheckName::Level, "off plumb, top downstream", "set the bearings plumb along the lane")],
    ),
    unit(
        "bearing-upstream",
        "the arm leans upstream",
        1.0,
        &[AfterRepair, AfterCrash],
        Change::Unit(|u, s| Some(vec![("bearings.lower_along", u.bearings.lower.downstream_m + 0.032 * s)])),
        amount("lower bearing off the upper along the lane, + downstream", LengthDim::INFO, |p, i| {
            let b = &at(p, i)?.bearings;
            Some(b.lower.downstream_m - b.upper.downstream_m)
        }),
        &[behind("post or bearing moved along the lane", CheckName::Level, "off plumb, top upstream", "set the bearings plumb along the lane")],
    ),
    unit(
        "pin-out",
        "the arm stops too far out",
        2.0,
        &[AfterRepair, AfterCrash],
        Change::Model(|u, s| move_seat(u, 0.36 * s)),
        amount("brush at the stop from the centreline", LengthDim::INFO, |p, i| Some(off_center_m(at(p, i)?))),
        &[
            behind("pin in a hole too far out, bumper shimmed, or dirt behind it", CheckName::Pin, "pin or bumper sits farther out than on the sheet", "put the pin in its hole; clear or shim the bumper as on the sheet"),
            behind("arm or bracket bent", CheckName::ArmTape, "left and right measure differently", "straighten or renew the arm as the maker says"),
        ],
    ),
    unit(
        "pin-in",
        "the arm stops too far in",
        2.0,
        &[Sudden],
        Change::Model(|u, s| move_seat(u, -0.36 * s)),
        amount("brush at the stop from the centreline", LengthDim::INFO, |p, i| Some(off_center_m(at(p, i)?))),
        &[behind("pin missing, sheared or in a hole too far in", CheckName::Pin, "pin missing, or in a hole farther in than on the sheet", "put a sound pin in its hole")],
    ),
    unit(
        "bumper-gone",
        "the bumper gives way too far",
        2.0,
        &[Sudden, Gradual],
        Change::Model(|u, s| {
            let stop = &mut u.inboard_stop;
            let left = 10_f64.powf(-2.0 * s);
            stop.linear_n_m *= left;
            stop.cubic_n_m3 *= left;
            stop.damping_n_s_m *= left;
            Some(())
        }),
        amount("stiffness of the bumper", StiffnessDim::INFO, |p, i| Some(at(p, i)?.inboard_stop.linear_n_m)),
        &[behind("bumper torn, perished or lost", CheckName::Bumper, "it is torn, soft or not there", "renew the bumper")],
    ),
    unit(
        "bumper-hard",
        "the bumper throws the arm back",
        1.2,
        &[Gradual, Cold],
        Change::Model(|u, s| {
            let stop = &mut u.inboard_stop;
            stop.linear_n_m *= 1.0 + 3.0 * s;
            stop.damping_n_s_m *= (1.0 - s).powi(2) * 0.6;
            Some(())
        }),
        amount("stiffness of the bumper", StiffnessDim::INFO, |p, i| Some(at(p, i)?.inboard_stop.linear_n_m)),
        &[behind("bumper aged hard, or of the wrong rubber", CheckName::Bumper, "it is hard and springs back", "renew the bumper with the right one")],
    ),
    unit(
        "media-worn",
        "the media are worn short",
        3.0,
        &[Gradual],
        Change::Unit(|u, s| Some(vec![("brush.worn", u.brush.worn_m + 0.42 * s * strips_m(u))])),
        amount("diameter of the spinning brush", LengthDim::INFO, |p, i| Some(2.0 * at(p, i)?.brush.radius_m)),
        &[behind("media worn", CheckName::Diameter, "smaller across than on the sheet", "renew the media")],
    )
    .both(0.6),
    unit(
        "media-missing",
        "strips are missing",
        1.2,
        &[Sudden, AfterCrash],
        Change::Model(|u, s| {
            let left = 1.0 - 0.8 * s;
            match &mut u.brush.media {
                Media::Limp { mass_kg } | Media::Between { mass_kg, .. } => *mass_kg *= left,
                Media::Stiff { mass_kg, .. } => *mass_kg = mass_kg.map(|mass| mass * left),
            }
            if !matches!(u.brush.media, Media::Limp { .. }) {
                u.brush.push_factor *= left;
            }
            let strips = f64::from(u.brush.strips);
            u.brush.strips = (strips * left).round().max(1.0) as u32;
            u.brush.air_drag_n_m_s2 *= left;
            Some(())
        }),
        amount("strips that pass", FractionDim::INFO, |p, i| Some(f64::from(at(p, i)?.brush.strips))),
        &[behind("strips torn off", CheckName::MediaLook, "strips or whole panels are missing", "renew the panels")],
    ),
    unit(
        "media-heavy",
        "the media are loaded with water, dirt or ice",
        1.5,
        &[Cold, AfterRain],
        Change::Model(|u, s| {
            let more = 1.6 * s;
            let brush = &mut u.brush;
            match &mut brush.media {
                Media::Limp { mass_kg } | Media::Between { mass_kg, .. } => {
                    let added_kg = more * *mass_kg;
                    let inertia_kg_m2 = more * brush_inertia_kg_m2(*mass_kg, brush.radius_m, brush.hub_radius_m);
                    *mass_kg += added_kg;
                    add_at_spindle(u, added_kg, inertia_kg_m2);
                }
                Media::Stiff { .. } => {
                    let added_kg = 0.4 * more * u.body.mass_kg;
                    add_at_spindle(u, added_kg, 0.0);
                }
            }
            u.brush.friction *= 1.0 + 0.5 * s;
            Some(())
        }),
        amount("mass of the arm with its brush", MassDim::INFO, |p, i| Some(at(p, i)?.body.mass_kg)),
        &[behind("media waterlogged, caked or iced", CheckName::MediaLook, "heavy, stiff or iced to the touch", "thaw, rinse or dry them; renew what stays heavy")],
    )
    .both(0.6),
    unit(
        "spin-reversed",
        "the brush turns the wrong way",
        1.5,
        &[AfterRepair],
        Change::Reverse,
        None,
        &[behind("two phases exchanged", CheckName::SpinLook, "it turns against the mark", "have an electrician exchange two phases")],
    )
    .whole()
    .both(0.5),
    unit(
        "spin-slow",
        "the brush turns too slowly",
        2.0,
        &[Gradual],
        Change::Unit(|u, s| Some(vec![("brush.spin", u.brush.spin_rad_s * (1.0 - 0.75 * s))])),
        amount("spin", SpinDim::INFO, |p, i| Some(at(p, i)?.brush.spin_rad_s)),
        &[behind("belt slips, hydraulic flow low, or drive set low", CheckName::SpinCount, "fewer turns than on the sheet", "tighten or renew the belt; set flow or drive")],
    ),
    unit(
        "spin-fast",
        "the brush turns too fast",
        1.0,
        &[AfterRepair],
        Change::Unit(|u, s| Some(vec![("brush.spin", u.brush.spin_rad_s * (1.0 + 0.8 * s))])),
        amount("spin", SpinDim::INFO, |p, i| Some(at(p, i)?.brush.spin_rad_s)),
        &[behind("drive set high, or the wrong sheave or motor", CheckName::SpinCount, "more turns than on the sheet", "set the drive; fit the right sheave or motor")],
    ),
    unit(
        "outboard-blocked",
        "something keeps the arm from swinging out",
        1.0,
        &[AfterRepair, AfterCrash, NewVehicles],
        Change::Model(|u, s| {
            u.outboard_stop.seat_rad -= 0.15 + 0.75 * s;
            (u.outboard_stop.seat_rad > u.inboard_stop.seat_rad + 0.2).then_some(())
        }),
        amount("angle of the outer stop", AngleDim::INFO, |p, i| Some(at(p, i)?.outboard_stop.seat_rad)),
        &[behind("outer stop moved in, or a hose, cable or cylinder at the end of its way", CheckName::SwingFree, "the arm stops before its outer stop should meet", "clear or set what it meets")],
    ),
    unit(
        "off-track",
        "vehicles sit off the track toward this side",
        1.5,
        &[AfterRepair, AfterCrash],
        Change::Line(|_, s, sign| Some(vec![("vehicle.lateral_offset", sign * 0.32 * s)])),
        amount("vehicle off the centreline", LengthDim::INFO, |p, _| Some(p.train[p.measured].lateral_offset_m.abs())),
        &[behind("guide bent, or the correlator sends them in off the middle", CheckName::Track, "wheels run off the middle", "straighten the guide")],
    )
    .both(0.0),
    unit(
        "skewed",
        "vehicles ride turned, nose toward this side",
        1.0,
        &[AfterRepair, AfterCrash],
        Change::Line(|_, s, sign| Some(vec![("vehicle.yaw", sign * 0.09 * s)])),
        amount("vehicle turned on the track", AngleDim::INFO, |p, _| Some(p.train[p.measured].yaw_rad.abs())),
        &[behind("guide or roller off line", CheckName::Track, "vehicles ride at an angle", "straighten the guide")],
    )
    .both(0.0),
    unit(
        "foam-none",
        "too little foam or water: the media grab",
        2.5,
        &[Sudden, Cold],
        Change::Unit(|u, s| Some(vec![("brush.friction", u.brush.friction * (1.0 + 1.2 * s))])),
        amount("friction of the media", FractionDim::INFO, |p, i| Some(at(p, i)?.brush.friction)),
        &[behind("foam thin or none, a nozzle blocked, half-wet vehicles", CheckName::FoamLook, "little or no foam on the vehicle", "see «brusharm foam»; clear the nozzles")],
    )
    .both(0.7),
    unit(
        "foam-slick",
        "the media slip: too much foam or wax",
        1.0,
        &[AfterRepair],
        Change::Unit(|u, s| Some(vec![("brush.friction", u.brush.friction * (1.0 - 0.8 * s))])),
        amount("friction of the media", FractionDim::INFO, |p, i| Some(at(p, i)?.brush.friction)),
        &[behind("dosing too rich, or wax where there should be foam", CheckName::FoamLook, "thick or waxy on the vehicle", "set the dosing; rinse the media")],
    )
    .both(0.7),
    unit(
        "line-fast",
        "the line runs faster than it is set up for",
        2.5,
        &[BusyDays],
        Change::Line(|scenario, s, _| line_speed(scenario, 1.0 + 0.6 * s)),
        amount("conveyor speed", SpeedDim::INFO, |p, _| Some(p.conveyor_speed_m_s)),
        &[behind("speed set up for a busy day", CheckName::Stopwatch, "faster over a taped length than on the sheet", "set the speed back, or the brushes up for it")],
    )
    .of_line(),
    unit(
        "line-slow",
        "the line runs slower than it is set up for",
        1.0,
        &[AfterRepair],
        Change::Line(|scenario, s, _| line_speed(scenario, 1.0 - 0.6 * s)),
        amount("conveyor speed", SpeedDim::INFO, |p, _| Some(p.conveyor_speed_m_s)),
        &[behind("speed set down, or the drive slips", CheckName::Stopwatch, "slower over a taped length than on the sheet", "set the speed")],
    )
    .of_line(),
    unit(
        "cars-close",
        "vehicles come closer together than planned",
        2.0,
        &[BusyDays],
        Change::Pass(|p, s| {
            p.gap_m *= 1.0 - 0.95 * s;
            Some(())
        }),
        amount("bumper to bumper", LengthDim::INFO, |p, _| Some(p.gap_m)),
        &[behind("loaders send them close", CheckName::Stopwatch, "less room between vehicles than on the sheet", "keep the room between vehicles")],
    )
    .of_line(),
    unit(
        "fleet-wider",
        "wider vehicles than it is set up for",
        2.0,
        &[NewVehicles],
        Change::Widest,
        amount("width of the vehicle", LengthDim::INFO, |p, _| Some(p.train[p.measured].shape.real.width_m)),
        &[behind("a fleet other than planned", CheckName::Fleet, "the vehicles complained of are wider than planned", "set up for the widest that comes, or slow the line for it")],
    )
    .whole()
    .of_line(),
    unit(
        "brushes-crowd",
        "the brushes stand too close together",
        1.0,
        &[AfterRepair],
        Change::Pass(|p, s| {
            let [a, b] = p.units.as_mut_slice() else { return None };
            let apart = b.pivot_m.x - a.pivot_m.x;
            (apart.abs() > 0.3).then_some(())?;
            b.pivot_m.x -= s * apart;
            Some(())
        }),
        amount("pivots apart along the lane", LengthDim::INFO, |p, _| match p.units.as_slice() {
            [a, b] => Some((b.pivot_m.x - a.pivot_m.x).abs()),
            _ => None,
        }),
        &[behind("a unit moved along the lane", CheckName::Stagger, "closer along the lane than on the sheet", "move the unit back")],
    )
    .of_line(),
];

fn line_speed(scenario: &Scenario, times: f64) -> Option<Settings> {
    let throughput = scenario.throughput_per_s() * times;
    Some(if scenario.setting("line.throughput").is_ok() {
        vec![("line.throughput", throughput)]
    } else {
        vec![("line.conveyor_speed", scenario.conveyor_speed_m_s() * times)]
    })
}

fn brush_inertia_kg_m2(mass_kg: f64, radius_m: f64, hub_m: f64) -> f64 {
    mass_kg * (radius_m.powi(3) - hub_m.powi(3)) / (3.0 * (radius_m - hub_m))
}

/// Puts a mass on the spindle that turns with the arm.
fn add_at_spindle(unit: &mut UnitModel, mass_kg: f64, inertia_kg_m2: f64) {
    let body = &mut unit.body;
    let total = body.mass_kg + mass_kg;
    body.cg_radius_m = (body.mass_kg * body.cg_radius_m + mass_kg * body.length_m) / total;
    body.mass_kg = total;
    body.inertia_kg_m2 += mass_kg * body.length_m * body.length_m + inertia_kg_m2;
}

/// The other spin sense, as written in a file.
pub(super) fn reversed(unit: &UnitModel) -> &'static str {
    match unit.brush.spin_sense {
        SpinSense::OutboardAtNose => "InboardAtNose",
        SpinSense::InboardAtNose => "OutboardAtNose",
    }
}

/// Where a cause of the vehicle points: +1 for left.
pub(super) fn toward(side: Option<Side>) -> f64 {
    side.map_or(0.0, Side::y_sign)
}
