//! The instant of a pass that tells most.

use super::{CoverageSettings, EventName, Gap, Outcome, touch_answer};
use crate::pass::{PassSetup, Record};
use crate::units::UnitSystem;
use crate::vehicle::Zone;

/// The instant that tells most, s: when the longest gap of the tail begins because its brush leaves (or, without one, the longest gap
/// anywhere); with nothing missed, when the last brush is back on the tail.
pub fn telling_instant(
    setup: &PassSetup,
    record: &Record,
    outcome: &Outcome,
    settings: &CoverageSettings,
) -> f64 {
    let on_tail = |g: &&Gap| g.in_zone_m(Zone::Tail) > 0.0;
    let longer = |a: &'_ Gap, b: &'_ Gap| b.in_zone_m(Zone::Tail) > a.in_zone_m(Zone::Tail);
    let worst = outcome.gaps.iter().filter(on_tail).reduce(|a, b| if longer(a, b) { b } else { a });
    let worst = worst.or(outcome.gaps.first());
    if let Some(gap) = worst {
        let band = outcome.coverage.bands.iter().position(|b| b.band == gap.band);
        if let Some(index) = band {
            let band = &outcome.coverage.bands[index];
            let station = |s_m: f64| band.station_at(s_m);
            // The spots just beside the gap: the later of their last touches is the moment it can no longer be closed.
            let beside = [gap.start_m - band.station_m, gap.end_m + band.station_m];
            let left = beside.into_iter().filter_map(|s| band.stations[station(s)].last_s()).reduce(f64::max);
            if let Some(t) = left {
                return t;
            }
            let middle = station(0.5 * (gap.start_m + gap.end_m));
            let answer = touch_answer(setup, record, outcome, settings, (index, middle), UnitSystem::Si);
            if let Some(answer) = answer {
                return answer.instant_s();
            }
        }
    }
    let back = outcome.units.iter().filter_map(|u| u.time_of(EventName::BackOnTail));
    back.reduce(f64::max).unwrap_or(0.5 * (record.start_s + record.end_s))
}
