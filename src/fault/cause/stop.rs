//! Causes of the stops: pin, bumper, what blocks the way out.

use super::{Cause, Change, amount, at, behind, unit};
use crate::arm::UnitModel;
use crate::elementary::Elementary;
use crate::fault::check::CheckName;
use crate::fault::sign::Circumstance::{AfterCrash, AfterRepair, Cold, Gradual, NewVehicles, Sudden};
use crate::units::{AngleDim, Dimension, LengthDim, StiffnessDim};

pub(super) const ROWS: &[Cause] = &[
    unit(
        "pin-out",
        "the arm stops too far out",
        1.5,
        &[AfterRepair, AfterCrash],
        Change::Model(|u, s| move_seat(u, 0.36 * s)),
        amount("brush at the stop from the centreline", LengthDim::INFO, |p, i| {
            Some(off_center_m(at(p, i)?))
        }),
        &[
            behind(
                "pin in a hole too far out, bumper shimmed, or dirt behind it",
                CheckName::Pin,
                "pin or bumper sits farther out than on the sheet",
                "put the pin in its hole; clear or shim the bumper as on the sheet",
            ),
            behind(
                "arm or bracket bent",
                CheckName::ArmTape,
                "left and right measure differently",
                "straighten or renew the arm as the maker says",
            ),
        ],
    ),
    unit(
        "pin-in",
        "the arm stops too far in",
        1.5,
        &[Sudden],
        Change::Model(|u, s| move_seat(u, -0.36 * s)),
        amount("brush at the stop from the centreline", LengthDim::INFO, |p, i| {
            Some(off_center_m(at(p, i)?))
        }),
        &[behind(
            "pin missing, sheared or in a hole too far in",
            CheckName::Pin,
            "pin missing, or in a hole farther in than on the sheet",
            "put a sound pin in its hole",
        )],
    ),
    unit(
        "bumper-gone",
        "the bumper gives way too far",
        1.5,
        &[Sudden, Gradual],
        Change::Model(|u, s| {
            let stop = &mut u.inboard_stop;
            let left = 10_f64.power(-2.0 * s);
            stop.linear_n_per_m *= left;
            stop.cubic_n_per_m3 *= left;
            stop.damping_n_s_per_m *= left;
            Some(())
        }),
        amount("stiffness of the bumper", StiffnessDim::INFO, |p, i| {
            Some(at(p, i)?.inboard_stop.linear_n_per_m)
        }),
        &[behind(
            "bumper torn, perished or lost",
            CheckName::Bumper,
            "it is torn, soft or not there",
            "renew the bumper",
        )],
    ),
    unit(
        "bumper-hard",
        "the bumper throws the arm back",
        1.2,
        &[Gradual, Cold],
        Change::Model(|u, s| {
            let stop = &mut u.inboard_stop;
            stop.linear_n_per_m *= 1.0 + 3.0 * s;
            stop.damping_n_s_per_m *= (1.0 - s).powi(2) * 0.6;
            Some(())
        }),
        amount("stiffness of the bumper", StiffnessDim::INFO, |p, i| {
            Some(at(p, i)?.inboard_stop.linear_n_per_m)
        }),
        &[behind(
            "bumper aged hard, or of the wrong rubber",
            CheckName::Bumper,
            "it is hard and springs back",
            "renew the bumper with the right one",
        )],
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
        &[behind(
            "outer stop moved in, or a hose, cable or cylinder at the end of its way",
            CheckName::SwingFree,
            "the arm stops before its outer stop should meet",
            "clear or set what it meets",
        )],
    ),
];

/// Moves the inboard stop so that the brush at the stop is farther from the centreline by this much, m.
fn move_seat(unit: &mut UnitModel, outward_m: f64) -> Option<()> {
    let stop = &mut unit.inboard_stop;
    let cos = stop.seat_rad.cosine() - outward_m / unit.body.length_m;
    let seat = cos.clamp(-1.0, 1.0).arccosine();
    // Beyond straight across the angle is counted on.
    stop.seat_rad = if cos > 1.0 { stop.seat_rad + outward_m / unit.body.length_m } else { seat };
    Some(())
}

fn off_center_m(unit: &UnitModel) -> f64 {
    unit.pivot_m.y - unit.body.length_m * unit.inboard_stop.seat_rad.cosine()
}
