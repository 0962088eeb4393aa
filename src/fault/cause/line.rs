//! Causes of the line: speed, spacing, how vehicles sit, who comes.

use super::{Cause, Change, Settings, amount, behind, unit};
use crate::fault::check::CheckName;
use crate::fault::sign::Circumstance::{AfterCrash, AfterRepair, BusyDays, NewVehicles};
use crate::scenario::Scenario;
use crate::units::{AngleDim, Dimension, LengthDim, SpeedDim};

pub(super) const ROWS: &[Cause] = &[
    unit(
        "off-track",
        "vehicles sit off the track toward this side",
        1.3,
        &[AfterRepair, AfterCrash],
        Change::Line(|_, s, sign| Some(vec![("vehicle.lateral_offset", sign * 0.32 * s)])),
        amount("vehicle off the centreline", LengthDim::INFO, |p, _| {
            Some(p.train[p.measured].lateral_offset_m.abs())
        }),
        &[behind(
            "guide bent, or the correlator sends them in off the middle",
            CheckName::Track,
            "wheels run off the middle",
            "straighten the guide",
        )],
    )
    .both(0.0),
    unit(
        "skewed",
        "vehicles ride turned, nose toward this side",
        1.0,
        &[AfterRepair, AfterCrash],
        Change::Line(|_, s, sign| Some(vec![("vehicle.yaw", sign * 0.09 * s)])),
        amount("vehicle turned on the track", AngleDim::INFO, |p, _| Some(p.train[p.measured].yaw_rad.abs())),
        &[behind(
            "guide or roller off line",
            CheckName::Track,
            "vehicles ride at an angle",
            "straighten the guide",
        )],
    )
    .both(0.0),
    unit(
        "line-fast",
        "the line runs faster than it is set up for",
        1.8,
        &[BusyDays],
        Change::Line(|scenario, s, _| line_speed(scenario, 1.0 + 0.6 * s)),
        amount("conveyor speed", SpeedDim::INFO, |p, _| Some(p.conveyor_speed_m_s)),
        &[behind(
            "speed set up for a busy day",
            CheckName::Stopwatch,
            "faster over a taped length than on the sheet",
            "set the speed back, or the brushes up for it",
        )],
    )
    .of_line(),
    unit(
        "line-slow",
        "the line runs slower than it is set up for",
        1.0,
        &[AfterRepair],
        Change::Line(|scenario, s, _| line_speed(scenario, 1.0 - 0.6 * s)),
        amount("conveyor speed", SpeedDim::INFO, |p, _| Some(p.conveyor_speed_m_s)),
        &[behind(
            "speed set down, or the drive slips",
            CheckName::Stopwatch,
            "slower over a taped length than on the sheet",
            "set the speed",
        )],
    )
    .of_line(),
    unit(
        "cars-close",
        "vehicles come closer together than planned",
        1.6,
        &[BusyDays],
        Change::Pass(|p, s| {
            p.gap_m *= 1.0 - 0.95 * s;
            Some(())
        }),
        amount("bumper to bumper", LengthDim::INFO, |p, _| Some(p.gap_m)),
        &[behind(
            "loaders send them close",
            CheckName::Stopwatch,
            "less room between vehicles than on the sheet",
            "keep the room between vehicles",
        )],
    )
    .of_line(),
    unit(
        "fleet-wider",
        "wider vehicles than it is set up for",
        1.6,
        &[NewVehicles],
        Change::Widest,
        amount("width of the vehicle", LengthDim::INFO, |p, _| Some(p.train[p.measured].shape.real.width_m)),
        &[behind(
            "a fleet other than planned",
            CheckName::Fleet,
            "the vehicles complained of are wider than planned",
            "set up for the widest that comes, or slow the line for it",
        )],
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
        &[behind(
            "a unit moved along the lane",
            CheckName::Stagger,
            "closer along the lane than on the sheet",
            "move the unit back",
        )],
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
