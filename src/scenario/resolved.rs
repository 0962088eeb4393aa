//! What a unit model no longer knows apart, for those who want to build the same machine again: the parts of the swinging body by name, the
//! row of holes of the stop pin.

use super::{Scenario, build};
use crate::arm::{ArmPart, Side, StopPin};

impl Scenario {
    /// Parts of the swinging body of a unit with their names, in the order of the file, then the media where their mass is known; empty when there is no
    /// such unit.
    pub fn arm_parts(&self, side: Side) -> Vec<(String, ArmPart)> {
        let (Some(hardware), Some(unit)) = (self.hardware(side), self.file().unit(side)) else {
            return Vec::new();
        };
        let part = |file| build::part_found(file, &unit.found);
        let of_file = hardware.arm.parts.iter().map(|file| (file.name().to_owned(), part(file)));
        let model = self.unit_models().iter().find(|unit| unit.side == side);
        let media = model.and_then(|unit| build::media_part(&unit.brush, unit.body.length_m));
        of_file.chain(media.map(|part| ("media".to_owned(), part))).collect()
    }

    /// The stop pin of a unit: seat angle of every hole, and the hole in use. `None` when there is no such unit.
    pub fn stop_pin(&self, side: Side) -> Option<StopPin> {
        let unit = self.file().unit(side)?;
        Some(build::stop_pin(self.hardware(side)?, unit.stop_pin.hole, &unit.found))
    }
}
