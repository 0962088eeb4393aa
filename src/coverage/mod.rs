//! What a pass washed: reads a record and says, in the terms of the job, what the brushes did to the measured vehicle.
//!
//! The perimeter of every height band is cut into stations. From touch to leave each station collects contact time, wipes (strip passes),
//! pressure and rubbing work, for the left and the right brush apart. From those come washed share, gaps, overlaps, timing, feature loads
//! and verdicts. Instants, edges and peaks are found on the motion, not sampled.

mod accumulate;
mod between;
mod dwell;
mod end;
mod explain;
mod features;
mod find;
mod gaps;
mod hidden;
mod integral;
#[cfg(test)]
mod invented;
mod key_instant;
mod layout;
pub mod measure;
mod path;
mod reach;
mod samples;
#[cfg(test)]
mod scanned;
mod solved;
mod stations;
pub mod table;
mod timing;
mod touch;
mod verdict;
mod walker;

#[cfg(test)]
pub(crate) use explain::instant_with;
pub use explain::{Explanation, Middle, Phase, Race, STILL_M_S, explain};
pub use features::FeatureLoad;
pub use gaps::{Gap, ZoneSummary};
pub use key_instant::{key_instant, tail_tells};
pub use reach::Overlap;
pub use samples::SpindlePower;
pub use solved::Solved;
pub use stations::{BandCoverage, Cell, Coverage, Station};
pub use table::MeasureName;
pub use timing::{EventName, PassEvent, UnitTiming};
pub use touch::{TouchAnswer, touch_answer};
pub use verdict::{Criteria, Verdict, VerdictLine, headline};

use crate::pass::{EnergyAudit, PassSetup, Record};

/// How coverage is counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverageSettings {
    /// Wipes (strip passes) that make a point washed, both brushes together.
    pub washed_wipes: f64,
    /// Rubbing work that makes a point washed as well, J/m²; `None` = not asked for.
    pub washed_work_j_m2: Option<f64>,
    /// How far behind the widest outline a surface may lie and still be judged, m. Farther back it is another machine's job.
    pub judged_depth_m: f64,
    /// Greatest length of a station, m.
    pub station_m: f64,
    /// Farthest the brush may move along the vehicle while it is looked at twice, m.
    pub look_m: f64,
}

impl Default for CoverageSettings {
    fn default() -> Self {
        CoverageSettings {
            washed_wipes: 9.0,
            washed_work_j_m2: None,
            judged_depth_m: 0.25,
            station_m: 0.02,
            look_m: 0.05,
        }
    }
}

/// Everything a pass comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The unrolled map.
    pub coverage: Coverage,
    /// Summary of each zone: nose, left side, tail, right side.
    pub zones: Vec<ZoneSummary>,
    /// Unwashed runs, longest first.
    pub gaps: Vec<Gap>,
    /// Overlap of both brushes at nose and tail.
    pub overlap: Overlap,
    /// Timing of each unit.
    pub units: Vec<UnitTiming>,
    /// Loads on features.
    pub feature_loads: Vec<FeatureLoad>,
    /// Energy audit of the whole run.
    pub audit: EnergyAudit,
    /// One line for each criterion.
    pub verdicts: Vec<VerdictLine>,
}

/// Measures a record.
pub fn measure(
    setup: &PassSetup,
    record: &Record,
    settings: &CoverageSettings,
    criteria: &Criteria,
) -> Outcome {
    let layouts = accumulate::Layouts::new(setup, settings);
    let accumulate::Survey { coverage, sums, sampled, between } =
        accumulate::survey(setup, record, settings, &layouts);
    let vehicle = &setup.train[setup.measured].shape.real;
    let gap_list = gaps::find_gaps(&coverage, &between, vehicle);
    let zones = gaps::zone_summaries(&coverage, &sums, &gap_list);
    let overlap = reach::overlap(setup, &sampled, settings);
    let units: Vec<UnitTiming> = record
        .units
        .iter()
        .enumerate()
        .map(|(i, _)| timing::unit_timing(setup, record, i, &sampled[i]))
        .collect();
    let feature_loads = features::feature_loads(setup, &sampled, criteria);
    let mut outcome = Outcome {
        coverage,
        zones,
        gaps: gap_list,
        overlap,
        units,
        feature_loads,
        audit: record.audit(),
        verdicts: Vec::new(),
    };
    outcome.verdicts = verdict::judge(&outcome, criteria);
    outcome
}
