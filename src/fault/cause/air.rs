//! Causes of the air: regulators, hoses, valves.

use super::{Cause, Change, amount, at, behind, unit};
use crate::arm::{UnitModel, ValveConnection};
use crate::elementary::Elementary;
use crate::fault::check::CheckName;
use crate::fault::sign::Circumstance::{AfterRepair, Cold, Gradual, Sudden};
use crate::units::{Dimension, FractionDim, PressureDim, TimeDim};

pub(super) const ROWS: &[Cause] = &[
    unit(
        "air-weak",
        "too little air on the piston, or none",
        2.0,
        &[Sudden, Gradual],
        Change::Unit(|u, s| Some(vec![("air.cap", cap_pa(u)? * (0.6 - 0.6 * s))])),
        amount("air at the piston", PressureDim::INFO, |p, i| {
            Some(at(p, i)?.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa)
        }),
        &[
            behind(
                "regulator set low, or its gauge reads high",
                CheckName::Gauge,
                "a second gauge reads low",
                "set the regulator by the second gauge",
            ),
            behind(
                "valve stuck or shut, or supply shut",
                CheckName::GaugeWatch,
                "no pressure behind the valve at any time",
                "free or renew the valve; open the supply",
            ),
            behind(
                "a leak in hose or fitting, or past the piston seal",
                CheckName::SoapWater,
                "bubbles, or the gauge falls with the valve shut",
                "renew the hose, the fitting or the seal",
            ),
        ],
    ),
    unit(
        "air-strong",
        "too much air on the piston",
        1.6,
        &[Sudden],
        Change::Unit(|u, s| Some(vec![("air.cap", cap_pa(u)? * (1.0 + 1.6 * s))])),
        amount("air at the piston", PressureDim::INFO, |p, i| {
            Some(at(p, i)?.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa)
        }),
        &[behind(
            "regulator set high or creeping, or its gauge reads low",
            CheckName::Gauge,
            "a second gauge reads high",
            "set the regulator by the second gauge; renew it if it creeps",
        )],
    ),
    unit(
        "air-trapped",
        "trapped air: a regulator that does not let air back out",
        1.3,
        &[Sudden],
        Change::Model(|u, _| {
            let cylinder = u.cylinder.as_mut()?;
            let fed = |line: &crate::arm::ChamberLine| {
                line.initial == ValveConnection::Supply && line.regulator.relieving
            };
            let any = fed(&cylinder.cap.line) || fed(&cylinder.rod.line);
            cylinder.cap.line.regulator.relieving = false;
            cylinder.rod.line.regulator.relieving = false;
            any.then_some(())
        }),
        None,
        &[behind(
            "a regulator that does not relieve",
            CheckName::GaugeRelease,
            "the gauge climbs as the arm is pushed and stays up",
            "renew the regulator with a relieving one",
        )],
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
        &[behind(
            "valve stuck, wired or hosed the wrong way",
            CheckName::GaugeWatch,
            "pressure at the rod end when it should be at the cap end",
            "put hoses or wires as in the maker's drawing; renew the valve",
        )],
    )
    .whole(),
    unit(
        "hose-pinched",
        "air moves too slowly: hose pinched or a silencer blocked",
        1.3,
        &[Sudden, AfterRepair],
        Change::Model(|u, s| {
            cap_pa(u)?;
            let cylinder = u.cylinder.as_mut()?;
            let left = 10_f64.power(-1.2 - 1.8 * s);
            for line in [&mut cylinder.cap.line, &mut cylinder.rod.line] {
                line.supply_c_m3_s_pa *= left;
                line.exhaust_c_m3_s_pa *= left;
            }
            Some(())
        }),
        amount("flow left through the hose", FractionDim::INFO, |_, _| None),
        &[behind(
            "hose pinched, fitting or silencer blocked",
            CheckName::GaugeWatch,
            "the gauge swings far up and down as the arm moves",
            "clear or renew hose and silencer",
        )],
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
        &[behind(
            "valve sticky, coil weak or its sensor moved",
            CheckName::GaugeWatch,
            "the gauge follows the car late",
            "clean or renew the valve; set the sensor",
        )],
    ),
];

fn cap_pa(unit: &UnitModel) -> Option<f64> {
    let set = unit.cylinder.as_ref()?.cap.line.regulator.set_gauge_pa;
    (set > 3000.0).then_some(set)
}
