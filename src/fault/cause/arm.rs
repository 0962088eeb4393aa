//! Causes of the arm: pivot, weight, dampers, bearings.

use super::{Amount, Cause, Change, amount, at, behind, inward_n_m, unit};
use crate::arm::UnitModel;
use crate::fault::check::{CheckName, PULLS};
use crate::fault::sign::Circumstance::{AfterCrash, AfterRepair, Cold, Gradual, Sudden};
use crate::pass::{hand_torque_n_m, rest_angle_rad};
use crate::units::{DampingDim, Dimension, LengthDim, MassDim, TorqueDim};

const DAMPING_OUT: Option<Amount> = amount("damping out", DampingDim::INFO, |p, i| {
    Some(at(p, i)?.dampers.first()?.out_stroke.linear_n_s_per_m)
});

/// Every stroke of every damper holds so many times as much.
fn damping_by(unit: &mut UnitModel, times: f64) -> Option<()> {
    for stroke in unit.dampers.iter_mut().flat_map(|d| [&mut d.out_stroke, &mut d.in_stroke]) {
        stroke.linear_n_s_per_m *= times;
        stroke.quadratic_n_s2_per_m2 *= times;
    }
    Some(())
}

pub(super) const ROWS: &[Cause] = &[
    unit(
        "tight",
        "the arm runs tight",
        2.0,
        &[Gradual, Cold],
        Change::Model(|u, s| {
            let more = 0.75 * s * inward_n_m(u)?;
            let ratio =
                if u.pivot.coulomb_n_m > 0.0 { u.pivot.breakaway_n_m / u.pivot.coulomb_n_m } else { 1.2 };
            u.pivot.coulomb_n_m += more;
            u.pivot.breakaway_n_m += ratio.clamp(1.0, 1.5) * more;
            Some(())
        }),
        amount("friction of the arm", TorqueDim::INFO, |p, i| friction_n_m(at(p, i)?)),
        &[
            behind(
                "pivot dry or its bearing failing",
                CheckName::Pull,
                PULLS[0],
                "grease or renew the bearing as the maker says",
            ),
            behind(
                "cylinder seal tight, rod bent, or a cable that rubs",
                CheckName::SwingFree,
                "it swings free once the cylinder is off",
                "renew the seal or the rod; free the cable",
            ),
        ],
    ),
    unit(
        "weight-light",
        "the counterweight pulls too little",
        1.6,
        &[AfterRepair, Sudden],
        Change::Unit(|u, s| {
            Some(vec![("counterweight.mass", u.counterweight.as_ref()?.mass_kg * (0.45 - 0.44 * s))])
        }),
        amount("weight that pulls", MassDim::INFO, |p, i| Some(at(p, i)?.counterweight.as_ref()?.mass_kg)),
        &[
            behind(
                "weight missing or too light",
                CheckName::Weigh,
                "it weighs too little",
                "hang the weight that belongs there",
            ),
            behind(
                "cable slack, off its sheave or frayed, or the weight rests on something",
                CheckName::Cable,
                "the cable is not tight or not in its sheave",
                "put the cable right, renew it if frayed; clear what the weight rests on",
            ),
        ],
    ),
    unit(
        "weight-heavy",
        "the counterweight pulls too much",
        1.2,
        &[AfterRepair],
        Change::Unit(|u, s| {
            Some(vec![("counterweight.mass", u.counterweight.as_ref()?.mass_kg * (1.0 + 3.5 * s))])
        }),
        amount("weight that pulls", MassDim::INFO, |p, i| Some(at(p, i)?.counterweight.as_ref()?.mass_kg)),
        &[behind(
            "weight added or exchanged",
            CheckName::Weigh,
            "it weighs too much",
            "hang the weight that belongs there",
        )],
    ),
    unit(
        "damper-dead",
        "the damper does not hold",
        2.0,
        &[Gradual, Sudden],
        Change::Model(|u, s| {
            let left = (1.0 - s).powi(4);
            u.dampers
                .iter()
                .any(|d| d.out_stroke.linear_n_s_per_m + d.out_stroke.quadratic_n_s2_per_m2 > 0.0)
                .then_some(())?;
            damping_by(u, left)
        }),
        DAMPING_OUT,
        &[behind(
            "damper empty, or its needle open",
            CheckName::Damper,
            "it gives way without holding",
            "set the needle; renew the damper if it stays soft",
        )],
    ),
    unit(
        "damper-stiff",
        "the damper holds too much",
        1.4,
        &[Cold, AfterRepair],
        Change::Model(|u, s| {
            u.dampers
                .iter()
                .any(|d| d.out_stroke.linear_n_s_per_m + d.in_stroke.linear_n_s_per_m > 0.0)
                .then_some(())?;
            let times = 10_f64.powf(1.4 * s);
            damping_by(u, times)
        }),
        DAMPING_OUT,
        &[behind(
            "needle shut, oil cold or damper jammed",
            CheckName::Damper,
            "it holds hard both ways",
            "set the needle; renew the damper if it stays hard",
        )],
    ),
    unit(
        "damper-swapped",
        "the damper holds the wrong way",
        1.2,
        &[AfterRepair],
        Change::Model(|u, _| {
            u.dampers
                .iter()
                .any(|d| {
                    (d.out_stroke.linear_n_s_per_m - d.in_stroke.linear_n_s_per_m).abs()
                        > 0.3 * d.out_stroke.linear_n_s_per_m.max(d.in_stroke.linear_n_s_per_m)
                })
                .then_some(())?;
            for d in &mut u.dampers {
                std::mem::swap(&mut d.out_stroke, &mut d.in_stroke);
            }
            Some(())
        }),
        None,
        &[behind(
            "needles exchanged or damper turned round",
            CheckName::Damper,
            "it holds the way it should not",
            "exchange the needles or turn the damper",
        )],
    )
    .whole(),
    unit(
        "bearing-inward",
        "the lower bearing has moved toward the wall: the arm falls inboard",
        1.8,
        &[Gradual, AfterCrash],
        Change::Unit(|u, s| {
            Some(vec![("bearings.lower_offset", u.bearings.lower.toward_wall_m + 0.0127 * s)])
        }),
        amount("lower bearing off the upper, + toward the wall", LengthDim::INFO, |p, i| {
            let b = &at(p, i)?.bearings;
            Some(b.lower.toward_wall_m - b.upper.toward_wall_m)
        }),
        &[behind(
            "screws let go or shims exchanged",
            CheckName::Level,
            "off plumb, top toward the lane",
            "set both screws as on the sheet and lock them",
        )],
    ),
    unit(
        "bearing-outward",
        "the lower bearing has moved toward the lane: the arm falls outboard",
        1.8,
        &[Gradual, AfterCrash],
        Change::Unit(|u, s| {
            Some(vec![("bearings.lower_offset", u.bearings.lower.toward_wall_m - 0.0127 * s)])
        }),
        amount("lower bearing off the upper, + toward the wall", LengthDim::INFO, |p, i| {
            let b = &at(p, i)?.bearings;
            Some(b.lower.toward_wall_m - b.upper.toward_wall_m)
        }),
        &[behind(
            "screws let go or shims exchanged",
            CheckName::Level,
            "off plumb, top toward the wall",
            "set both screws as on the sheet and lock them",
        )],
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
        &[behind(
            "post or bearing moved along the lane",
            CheckName::Level,
            "off plumb, top downstream",
            "set the bearings plumb along the lane",
        )],
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
        &[behind(
            "post or bearing moved along the lane",
            CheckName::Level,
            "off plumb, top upstream",
            "set the bearings plumb along the lane",
        )],
    ),
];

/// Lowest and highest torque of friction half way out, N m.
fn friction_n_m(unit: &UnitModel) -> Option<f64> {
    let mut still = unit.clone();
    still.brush.spin_rad_s = 0.0;
    let phi = 0.5 * (rest_angle_rad(&still).ok()? + still.outboard_stop.seat_rad);
    let hand = |outward| hand_torque_n_m(&still, phi, 0.0, outward, false, true);
    Some(0.5 * (hand(true) - hand(false)))
}
