//! Parts of the plan view that a person can click, and the setting that is turned there.

use crate::arm::Side;

/// A part of the plan view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Pivot with its bearings.
    Pivot,
    /// The row of holes.
    StopPin,
    /// Air cylinder.
    Cylinder,
    /// Weight on its cable.
    Counterweight,
    /// Damper.
    Damper,
    /// Brush.
    Brush,
    /// The measured vehicle.
    Vehicle,
}

/// One row for each: its key in the picture, and the setting without its unit.
const PARTS: [(Part, &str, &str); 7] = [
    (Part::Pivot, "pivot", "bearings.lower_offset"),
    (Part::StopPin, "stop-pin", "stop_pin.hole"),
    (Part::Cylinder, "cylinder", "air.cap"),
    (Part::Counterweight, "counterweight", "counterweight.mass"),
    (Part::Damper, "damper", "dampers[0].out_stroke"),
    (Part::Brush, "brush", "brush.spin"),
    (Part::Vehicle, "vehicle", "vehicle.name"),
];

impl Part {
    /// The part and its unit that an item of the picture stands for: «stop-pin:left».
    pub fn of_key(key: &str) -> Option<(Part, Option<Side>)> {
        let (name, side) = key.split_once(':').map_or((key, None), |(name, side)| (name, Some(side)));
        let (part, ..) = PARTS.into_iter().find(|(_, own, _)| *own == name)?;
        let side = match side {
            None => None,
            Some(side) => Some(Side::BOTH.into_iter().find(|own| own.name() == side)?),
        };
        Some((part, side))
    }

    /// The setting that is turned there, without its unit.
    pub fn setting(self) -> Option<&'static str> {
        PARTS.into_iter().find(|(part, ..)| *part == self).map(|(_, _, setting)| setting)
    }
}
