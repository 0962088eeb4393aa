//! When a spot of the unrolled map was touched, or why it was not.
//!
//! For a spot that no strip reached, every unit's motion is searched for the instant at which its brush rim came nearest:
//! gap = |p − c| − R, p the spot and c the brush centre at the height of its band.

use super::{CoverageSettings, EventName, Outcome, UnitTiming};
use crate::arm::Side;
use crate::pass::{PassSetup, Record};

/// What a spot of the map has to say. [`crate::sentences::touched`] says it in words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TouchAnswer {
    /// A brush touched it.
    Touched {
        /// The brush that pressed hardest.
        by: Side,
        /// First touch by either brush, s.
        first_s: f64,
        /// When the pressure was highest, s.
        peak_s: f64,
        /// Strip passes, both brushes together.
        wipes: f64,
        /// Contact, both brushes together, s.
        contact_s: f64,
        /// What it got over what is asked; 1 or more is washed.
        washed_ratio: f64,
    },
    /// None did.
    Never {
        /// The brush that came nearest.
        by: Side,
        /// When it was nearest, s.
        nearest_s: f64,
        /// How far its rim was away, m; not positive when other bodywork stood before the spot.
        short_m: f64,
        /// What happened next to that instant, within a second.
        beside: Option<EventName>,
    },
}

impl TouchAnswer {
    /// The instant to go to, s.
    pub fn instant_s(&self) -> f64 {
        match self {
            TouchAnswer::Touched { peak_s, .. } => *peak_s,
            TouchAnswer::Never { nearest_s, .. } => *nearest_s,
        }
    }
}

/// Answers for station `station` of the `band`-th entry of the outcome's map; `None` when there is no such spot or no unit.
pub fn touch_answer(
    setup: &PassSetup,
    record: &Record,
    outcome: &Outcome,
    settings: &CoverageSettings,
    (band, station): (usize, usize),
) -> Option<TouchAnswer> {
    let unrolled = outcome.coverage.bands.get(band)?;
    let spot = unrolled.stations.get(station)?;
    let touched = Side::BOTH
        .into_iter()
        .filter(|side| spot.cells[side.index()].first_s.is_some())
        .max_by(|a, b| spot.cells[a.index()].peak_pa.total_cmp(&spot.cells[b.index()].peak_pa));
    if let Some(by) = touched {
        let cell = &spot.cells[by.index()];
        let first_s = spot.cells.iter().filter_map(|c| c.first_s).reduce(f64::min)?;
        let peak_s = cell.peak_s.unwrap_or(first_s);
        return Some(TouchAnswer::Touched {
            by,
            first_s,
            peak_s,
            wipes: spot.wipes(),
            contact_s: spot.contact_s(),
            washed_ratio: spot.washed_ratio(settings),
        });
    }
    let z_m = 0.5 * (unrolled.z_low_m + unrolled.z_high_m);
    let nearest = (0..setup.units.len())
        .map(|unit| (unit, nearest(setup, record, unit, spot.point_m, z_m)))
        .min_by(|a, b| a.1.1.total_cmp(&b.1.1));
    let (unit, (nearest_s, short_m)) = nearest?;
    let by = setup.units[unit].side;
    let beside = outcome.units.iter().find(|u| u.side == by).and_then(|u| beside(u, nearest_s));
    Some(TouchAnswer::Never { by, nearest_s, short_m, beside })
}

/// The event that an instant is closest to, within a second; what the next vehicle does is none.
fn beside(unit: &UnitTiming, t_s: f64) -> Option<EventName> {
    let near = unit
        .events
        .iter()
        .filter(|e| e.name != EventName::NextNose && (e.time_s - t_s).abs() < 1.0)
        .min_by(|a, b| (a.time_s - t_s).abs().total_cmp(&(b.time_s - t_s).abs()));
    near.map(|e| e.name)
}

/// The instant at which the rim of a unit's brush is nearest to a spot of the measured vehicle, s, and the gap then, m.
fn nearest(
    setup: &PassSetup,
    record: &Record,
    unit: usize,
    point_m: crate::geometry::Vec2,
    z_m: f64,
) -> (f64, f64) {
    let model = &setup.units[unit];
    let run = &record.units[unit];
    let plan = setup.plan(setup.measured, model);
    let mut point = point_m;
    point.y *= model.side.y_sign();
    let shift = model.lean_shift_m(z_m);
    let gap = |t: f64| {
        let c = model.brush_center_m(run.state_at(t).phi_rad()) + shift;
        (plan.pose.unit_from_vehicle(point, t) - c).norm() - model.brush.radius_m
    };
    let step = 0.02;
    let (start, end) = (run.start_s(), run.end_s());
    let count = ((end - start) / step).ceil().max(1.0) as usize;
    let time = |i: usize| start + (end - start) * i as f64 / count as f64;
    let best = (0..=count).min_by(|a, b| gap(time(*a)).total_cmp(&gap(time(*b)))).unwrap_or(0);
    // Golden section between the neighbours.
    let (mut a, mut b) = (time(best.saturating_sub(1)), time((best + 1).min(count)));
    let share = 0.381_966_011_250_105;
    for _ in 0..40 {
        let (low, high) = (a + share * (b - a), b - share * (b - a));
        if gap(low) < gap(high) { b = high } else { a = low }
    }
    let t = 0.5 * (a + b);
    (t, gap(t))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::PassEvent;

    /// An instant is told by the event it is closest to, within a second; what another vehicle does is none of it.
    #[test]
    fn verif_an_instant_is_told_by_the_event_next_to_it() {
        // Three seconds from one to the next, from 10 s on.
        let events = EventName::ALL.iter().enumerate().map(|(i, &name)| PassEvent {
            name,
            time_s: 10.0 + 3.0 * i as f64,
            vehicle_position_m: 0.0,
        });
        let mut unit = crate::coverage::invented::invented().units.remove(0);
        unit.events = events.collect();
        for (t_s, event) in [
            (10.0, Some(EventName::FirstTouch)),
            (9.1, Some(EventName::FirstTouch)),
            (10.9, Some(EventName::FirstTouch)),
            (9.0, None),
            (11.0, None),
            (11.5, None),
            (13.2, Some(EventName::NoseCorner)),
            (16.2, Some(EventName::Mirror)),
            (19.2, Some(EventName::TailCorner)),
            (22.2, Some(EventName::TailPasses)),
            (25.2, Some(EventName::BackOnTail)),
            (28.2, Some(EventName::LostTail)),
            (31.2, Some(EventName::Bumper)),
            (34.2, Some(EventName::Settled)),
            (37.0, None),
        ] {
            assert_eq!(beside(&unit, t_s), event, "{t_s}");
        }
        // Between two within a second the nearer one, whichever comes first.
        unit.events[1].time_s = 11.0;
        assert_eq!(beside(&unit, 10.4), Some(EventName::FirstTouch));
        assert_eq!(beside(&unit, 10.6), Some(EventName::NoseCorner));
        unit.events[9].time_s = 10.61;
        assert_eq!(beside(&unit, 10.6), Some(EventName::NoseCorner));
        unit.events.clear();
        assert_eq!(beside(&unit, 10.0), None);
    }
}
