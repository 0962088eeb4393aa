//! Checks of the foam part, and of what sets the friction of each brush.

use super::{At, Checker};
use crate::foam::{Station, StationResult};
use crate::scenario::foam::FoamPart;
use crate::scenario::foam::places::Host;
use crate::units::Fraction;

/// The foam station of a scenario at work.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::scenario) struct FoamAtWork {
    pub station: Station,
    pub result: StationResult,
}

/// The foam station at the line's throughput (vehicles per second) and conveyor speed (m/s).
pub(in crate::scenario) fn station(
    c: &mut Checker<'_>,
    part: &FoamPart,
    throughput_per_s: f64,
    conveyor_speed_m_s: f64,
) -> Option<FoamAtWork> {
    match part.check(Host::Scenario, throughput_per_s, conveyor_speed_m_s) {
        // The check has solved it once already.
        Ok(station) => station.evaluate().ok().map(|result| FoamAtWork { station, result }),
        Err(faults) => {
            for fault in faults {
                c.sense_path(0, &fault.path, fault.refusal);
            }
            None
        }
    }
}

/// Exactly one of brush and foam must set the friction of a brush. `brush` is its place.
pub(in crate::scenario) fn friction(
    c: &mut Checker<'_>,
    brush: At<'_>,
    stated: Option<&Fraction>,
    foam: Option<&FoamPart>,
) {
    let asked = foam.and_then(|part| part.sets_friction);
    match (stated, foam, asked) {
        (Some(stated), Some(_), Some(true)) => c.sense(
            brush.of("friction"),
            "the friction is stated, and the foam is to set it too",
            stated.written(),
            "a friction of the brush, or foam.sets_friction: true",
            "leave friction out here, or set foam.sets_friction to false",
        ),
        (None, Some(_), Some(false)) => c.sense(
            brush,
            "nothing sets the friction of this brush",
            "no field friction, and foam.sets_friction: false",
            "a friction of the brush, or foam.sets_friction: true",
            "add `friction: 0.35,` here, or let the foam set it",
        ),
        (None, None, _) => c.sense(
            brush,
            "the field `friction` is missing",
            "no field friction, and no foam station",
            "a friction of the brush, or a foam station that sets it",
            "add `friction: 0.35,` here, or the part `foam: (…),` to the scenario",
        ),
        _ => {}
    }
}
