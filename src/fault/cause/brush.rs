//! Causes of the brush: media, spin, foam.

use super::{Cause, Change, amount, at, behind, unit};
use crate::arm::{Media, UnitModel};
use crate::fault::check::CheckName;
use crate::fault::sign::Circumstance::{AfterCrash, AfterRain, AfterRepair, Cold, Gradual, Sudden};
use crate::units::{Dimension, FractionDim, LengthDim, MassDim, SpinDim};

pub(super) const ROWS: &[Cause] = &[
    unit(
        "media-worn",
        "the media are worn short",
        2.0,
        &[Gradual],
        Change::Unit(|u, s| Some(vec![("brush.worn", u.brush.worn_m + 0.42 * s * strips_m(u))])),
        amount("diameter of the spinning brush", LengthDim::INFO, |p, i| {
            Some(2.0 * at(p, i)?.brush.radius_m)
        }),
        &[behind("media worn", CheckName::Diameter, "smaller across than on the sheet", "renew the media")],
    )
    .both(0.4),
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
        &[behind(
            "strips torn off",
            CheckName::MediaLook,
            "strips or whole panels are missing",
            "renew the panels",
        )],
    ),
    unit(
        "media-heavy",
        "the media are loaded with water, dirt or ice",
        1.3,
        &[Cold, AfterRain],
        Change::Model(|u, s| {
            let more = 1.6 * s;
            let brush = &mut u.brush;
            match &mut brush.media {
                Media::Limp { mass_kg } | Media::Between { mass_kg, .. } => {
                    let added_kg = more * *mass_kg;
                    let inertia_kg_m2 =
                        more * brush_inertia_kg_m2(*mass_kg, brush.radius_m, brush.hub_radius_m);
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
        &[behind(
            "media waterlogged, caked or iced",
            CheckName::MediaLook,
            "heavy, stiff or iced to the touch",
            "thaw, rinse or dry them; renew what stays heavy",
        )],
    )
    .both(0.4),
    unit(
        "spin-reversed",
        "the brush turns the wrong way",
        1.3,
        &[AfterRepair],
        Change::Reverse,
        None,
        &[behind(
            "two phases exchanged",
            CheckName::SpinLook,
            "it turns against the mark",
            "have an electrician exchange two phases",
        )],
    )
    .whole()
    .both(0.5),
    unit(
        "spin-slow",
        "the brush turns too slowly",
        1.4,
        &[Gradual],
        Change::Unit(|u, s| Some(vec![("brush.spin", u.brush.spin_rad_s * (1.0 - 0.75 * s))])),
        amount("spin", SpinDim::INFO, |p, i| Some(at(p, i)?.brush.spin_rad_s)),
        &[behind(
            "belt slips, hydraulic flow low, or drive set low",
            CheckName::SpinCount,
            "fewer turns than on the sheet",
            "tighten or renew the belt; set flow or drive",
        )],
    ),
    unit(
        "spin-fast",
        "the brush turns too fast",
        1.0,
        &[AfterRepair],
        Change::Unit(|u, s| Some(vec![("brush.spin", u.brush.spin_rad_s * (1.0 + 0.8 * s))])),
        amount("spin", SpinDim::INFO, |p, i| Some(at(p, i)?.brush.spin_rad_s)),
        &[behind(
            "drive set high, or the wrong sheave or motor",
            CheckName::SpinCount,
            "more turns than on the sheet",
            "set the drive; fit the right sheave or motor",
        )],
    ),
    unit(
        "foam-none",
        "too little foam or water: the media grab",
        1.8,
        &[Sudden, Cold],
        Change::Unit(|u, s| Some(vec![("brush.friction", u.brush.friction * (1.0 + 1.2 * s))])),
        amount("friction of the media", FractionDim::INFO, |p, i| Some(at(p, i)?.brush.friction)),
        &[behind(
            "foam thin or none, a nozzle blocked, half-wet vehicles",
            CheckName::FoamLook,
            "little or no foam on the vehicle",
            "see «brusharm foam»; clear the nozzles",
        )],
    )
    .both(0.5),
    unit(
        "foam-slick",
        "the media slip: too much foam or wax",
        1.0,
        &[AfterRepair],
        Change::Unit(|u, s| Some(vec![("brush.friction", u.brush.friction * (1.0 - 0.8 * s))])),
        amount("friction of the media", FractionDim::INFO, |p, i| Some(at(p, i)?.brush.friction)),
        &[behind(
            "dosing too rich, or wax where there should be foam",
            CheckName::FoamLook,
            "thick or waxy on the vehicle",
            "set the dosing; rinse the media",
        )],
    )
    .both(0.5),
];

fn strips_m(unit: &UnitModel) -> f64 {
    unit.brush.radius_m - unit.brush.hub_radius_m
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
