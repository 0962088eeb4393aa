//! The instant of a pass that tells most.

use super::{CoverageSettings, EventName, Gap, Outcome, touch_answer};
use crate::pass::{PassSetup, Record};
use crate::vehicle::Zone;

/// The instant that tells most, s: when the longest gap of the tail begins because its brush leaves (or, without one, the longest gap
/// anywhere); with nothing missed, when the last brush is back on the tail.
pub fn key_instant(
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
            let answer = touch_answer(setup, record, outcome, settings, (index, middle));
            if let Some(answer) = answer {
                return answer.instant_s();
            }
        }
    }
    let back = outcome.units.iter().filter_map(|u| u.time_of(EventName::BackOnTail));
    back.reduce(f64::max).unwrap_or(0.5 * (record.start_s + record.end_s))
}

/// Whether [`key_instant`] is told by the tail: its longest gap is there, or nothing is missed and a brush came back on it.
pub fn tail_tells(outcome: &Outcome) -> bool {
    if outcome.gaps.is_empty() {
        return outcome.units.iter().any(|u| u.time_of(EventName::BackOnTail).is_some());
    }
    outcome.gaps.iter().any(|gap| gap.in_zone_m(Zone::Tail) > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::invented::invented;
    use crate::coverage::{BandCoverage, Cell, Station};
    use crate::geometry::Vec2;
    use crate::scenario::Scenario;

    /// Ten stations of 1 m, the third band of the vehicle; each last touched at ten times its number, by hand: of a gap from 3.2 to 5.6 m the spots one
    /// station beside it are the third and the seventh, left at 20 and 60 s.
    #[test]
    fn verif_the_last_touch_beside_the_worst_gap() {
        let text = include_str!("../../scenarios/opposite-pair.ron");
        let setup = Scenario::read_alone(text, "opposite-pair.ron").expect("good").setup();
        let record = Record { units: Vec::new(), conveyor_speed_m_s: 0.2, start_s: -4.0, end_s: 20.0 };
        let settings = CoverageSettings::default();
        let mut outcome = invented();
        let told = |outcome: &Outcome| key_instant(&setup, &record, outcome, &settings);
        // Nothing missed: when the last brush is back on the tail; without that, half time.
        assert_eq!(told(&outcome), 8.0);
        for (unit, time_s) in outcome.units.iter_mut().zip([11.0, 13.0]) {
            let event = |name: EventName, time_s: f64| crate::coverage::PassEvent {
                name,
                time_s,
                vehicle_position_m: 0.0,
            };
            unit.events = vec![event(EventName::BackOnTail, time_s), event(EventName::LostTail, 17.0)];
        }
        assert_eq!(told(&outcome), 13.0);
        assert!(tail_tells(&outcome));
        let station = |i: usize| Station {
            s_m: i as f64 + 0.5,
            point_m: Vec2::zeros(),
            length_m: 1.0,
            zone: Zone::Tail,
            feature: None,
            judged: true,
            cells: [Cell { last_s: Some(10.0 * i as f64), ..Cell::default() }, Cell::default()],
        };
        outcome.coverage.bands.push(BandCoverage {
            band: 2,
            z_low_m: 0.4,
            z_high_m: 0.9,
            perimeter_m: 10.0,
            station_m: 1.0,
            stations: (0..10).map(station).collect(),
            washed_runs_m: Vec::new(),
        });
        let gap = |start_m: f64, end_m: f64, on_tail_m: f64| Gap {
            zone: Zone::Tail,
            parts_m: [0.0, 0.0, on_tail_m, end_m - start_m - on_tail_m],
            band: 2,
            z_low_m: 0.4,
            z_high_m: 0.9,
            start_m,
            end_m,
            short_by: 1.0,
            lowest_ratio: 0.0,
        };
        outcome.gaps = vec![gap(3.2, 5.6, 2.4)];
        assert_eq!(told(&outcome), 60.0);
        // The later of both counts, though the gap goes on over the nose: from −1.5 to 0.5 m beside it lie 7.5 and 1.5 m.
        outcome.gaps = vec![gap(-1.5, 0.5, 2.0)];
        assert_eq!(told(&outcome), 70.0);
        // The longest on the tail is the worst, of two alike the first; one that only begins there counts by what of it does.
        outcome.gaps = vec![gap(0.2, 5.6, 0.0), gap(3.2, 5.6, 0.4), gap(2.2, 3.6, 1.1), gap(5.2, 7.6, 0.9)];
        assert_eq!(told(&outcome), 40.0);
        outcome.gaps = vec![gap(2.2, 3.6, 1.1), gap(5.2, 7.6, 1.1)];
        assert_eq!(told(&outcome), 40.0);
        // Without one on the tail, the longest anywhere, which stands first.
        outcome.gaps = vec![gap(0.2, 5.6, 0.0), gap(3.2, 3.6, 0.0)];
        assert_eq!(told(&outcome), 90.0);
        assert!(!tail_tells(&outcome));
        outcome.gaps.push(gap(3.2, 3.6, 0.1));
        assert!(tail_tells(&outcome));
    }

    /// Of a vehicle that is never touched, all one gap, it is the instant at which a brush came nearest to the middle of it.
    #[test]
    fn verif_where_nothing_is_touched_the_nearest_counts() {
        let text = include_str!("../../scenarios/one-unit.ron");
        let setup = Scenario::read_alone(text, "one-unit.ron").expect("good").setup();
        let mut record = crate::pass::run(&setup).expect("runs");
        // An arm that stands out of reach all the time.
        let run = &mut record.units[0];
        let out_rad = 2.4;
        for step in run.steps.iter_mut().chain(&mut run.left_alone) {
            step.coefficients[crate::pass::motion::state::PHI] = [out_rad, 0.0, 0.0, 0.0, 0.0];
        }
        let settings = CoverageSettings::default();
        let outcome = crate::coverage::measure(&setup, &record, &settings, &Default::default());
        let most_m = outcome.gaps.iter().map(|gap| gap.in_zone_m(Zone::Tail)).fold(0.0, f64::max);
        let gap = outcome.gaps.iter().find(|gap| gap.in_zone_m(Zone::Tail) == most_m).expect("there");
        let index = outcome.coverage.bands.iter().position(|b| b.band == gap.band).expect("there");
        let band = &outcome.coverage.bands[index];
        assert!(band.stations.iter().all(|station| station.last_s().is_none()) && gap.length_m() > 1.0);
        let middle = band.station_at(0.5 * (gap.start_m + gap.end_m));
        let answer = touch_answer(&setup, &record, &outcome, &settings, (index, middle)).expect("an answer");
        let ends = [gap.start_m, gap.end_m].map(|s_m| {
            touch_answer(&setup, &record, &outcome, &settings, (index, band.station_at(s_m)))
                .expect("an answer")
                .instant_s()
        });
        let told = key_instant(&setup, &record, &outcome, &settings);
        assert_eq!(told, answer.instant_s());
        assert!(ends.iter().any(|end| (end - told).abs() > 0.1), "{told} {ends:?}");
    }
}
