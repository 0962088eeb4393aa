//! A pass as data: the document behind `--format json`.
//!
//! Version `brusharm/pass/1`. Everything is SI: metres, seconds, pascals, newtons, watts, joules, radians; shares are 0…1. A value that does
//! not exist is `null`, never 0. Keys are only ever added within a version.

use super::document::document;
use super::{PassReport, SeriesDocument, SettingDocument, key};
use crate::coverage::{
    EventName, FeatureLoad, Gap, Overlap, Solved, UnitTiming, Verdict, VerdictLine, ZoneSummary, headline,
};
use crate::pass::{EnergyAudit, TrainVehicle, UnitRecord};
use crate::units::job::per_hour;
use serde::{Deserialize, Serialize};

/// Name and version of the document.
pub const PASS_SCHEMA: &str = "brusharm/pass/1";

/// A whole pass.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PassDocument {
    /// `brusharm/pass/1`.
    pub schema: String,
    /// Version of the program that computed it.
    pub brusharm: String,
    /// What was simulated.
    pub scenario: ScenarioDocument,
    /// The measured vehicle.
    pub vehicle: VehicleDocument,
    /// Vehicles per hour.
    pub throughput_per_h: f64,
    /// Speed of the conveyor, m/s.
    pub conveyor_speed_m_s: f64,
    /// The worst verdict and the criterion that decides it; null when nothing is judged.
    pub headline: Option<HeadlineDocument>,
    /// Nose, left side, tail, right side.
    pub zones: Vec<ZoneDocument>,
    /// Unwashed runs, longest first.
    pub gaps: Vec<GapDocument>,
    /// Overlap of both brushes.
    pub overlap: OverlapDocument,
    /// Each unit.
    pub units: Vec<UnitDocument>,
    /// Loads on mirrors, plates and so on.
    pub feature_loads: Vec<FeatureLoadDocument>,
    /// Energy of all units over the whole run.
    pub energy_audit: EnergyDocument,
    /// One entry for each criterion.
    pub verdicts: Vec<VerdictDocument>,
    /// Every setting in force: path, value, unit, range, field step.
    pub settings: Vec<SettingDocument>,
    /// Time series of each unit, when asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub series: Option<Vec<SeriesDocument>>,
}

/// What was simulated.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ScenarioDocument {
    /// Title of the scenario.
    pub title: String,
    /// The file as it was named; null when there was none.
    pub file: Option<String>,
    /// Settings changed for this run, in the order given.
    pub set: Vec<SetDocument>,
}

/// A setting changed for a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SetDocument {
    /// Path of the setting.
    pub path: String,
    /// The value as it was written.
    pub value: String,
}

impl From<&(String, String)> for SetDocument {
    fn from((path, value): &(String, String)) -> Self {
        SetDocument { path: path.clone(), value: value.clone() }
    }
}

document! {
    /// The measured vehicle.
    VehicleDocument from |vehicle: &TrainVehicle, vehicles_ahead: usize| {
        /// Its name.
        name: String = vehicle.shape.real.name.clone();
        /// Its class.
        class: String = vehicle.shape.real.class.clone();
        /// Length, m.
        length_m: f64 = vehicle.shape.real.length_m;
        /// Width without mirrors, m.
        width_m: f64 = vehicle.shape.real.width_m;
        /// Height, m.
        height_m: f64 = vehicle.shape.real.height_m;
        /// How far it sits off the lane centreline, positive to the left of travel, m.
        lateral_offset_m: f64 = vehicle.lateral_offset_m;
        /// How far it is turned, positive counterclockwise seen from above, rad.
        yaw_rad: f64 = vehicle.yaw_rad;
        /// Vehicles ahead of it in the train.
        vehicles_ahead: usize = vehicles_ahead;
    }
}

document! {
    /// The verdict in one line.
    HeadlineDocument from |verdict: Verdict, line: &VerdictLine| {
        /// `pass`, `marginal` or `fail`: the worst of all criteria.
        verdict: String = verdict.name().to_owned();
        /// The criterion that decides.
        criterion: String = line.criterion.criterion_key().to_owned();
        /// What it is about, when there are several.
        about: Option<String> = line.about.clone();
    }
}

document! {
    /// What was done to one zone.
    ZoneDocument from |z: &ZoneSummary| {
        /// `nose`, `left_side`, `tail` or `right_side`.
        zone: String = key(z.zone.name());
        /// Judged area, m².
        judged_m2: f64 = z.judged_m2;
        /// Washed share of it; null when nothing is judged.
        washed_fraction: Option<f64> = z.washed_fraction;
        /// Mean pressure while touched, Pa; null when never touched.
        mean_pressure_pa: Option<f64> = z.mean_pressure_pa;
        /// Highest pressure, Pa; null when never touched.
        peak_pressure_pa: Option<f64> = z.peak_pressure_pa;
        /// Mean rubbing work per area, J/m²; null when nothing is judged.
        rubbing_work_j_m2: Option<f64> = z.rubbing_work_j_m2;
        /// Mean strip passes; null when nothing is judged.
        wipes: Option<f64> = z.wipes;
        /// Longest part of a gap that lies in the zone, m; 0 when there is none, null when nothing is judged.
        longest_gap_m: Option<f64> = z.longest_gap_m;
    }
}

document! {
    /// An unwashed run of the perimeter in one height band.
    GapDocument from |g: &Gap| {
        /// Zone that holds most of it.
        zone: String = key(g.zone.name());
        /// Longest part of it in each zone, m: nose, left side, tail, right side.
        parts_m: [f64; 4] = g.parts_m;
        /// Height band of the vehicle, from 0, lowest first.
        band: usize = g.band;
        /// Bottom of the band as far as the media reaches, m above the floor.
        z_low_m: f64 = g.z_low_m;
        /// Top, m above the floor.
        z_high_m: f64 = g.z_high_m;
        /// Start along the perimeter from the nose centre, counterclockwise seen from above (the left side comes first), m. Negative when the
        /// gap runs across the nose centre.
        start_m: f64 = g.start_m;
        /// End along the perimeter, m.
        end_m: f64 = g.end_m;
        /// Length, m.
        length_m: f64 = g.length_m();
        /// Mean share of the needed washing that is missing; 1 = never touched.
        short_by: f64 = g.short_by;
        /// Washed ratio at its worst point; 0 = never touched, 1 = just enough.
        lowest_ratio: f64 = g.lowest_ratio;
    }
}

document! {
    /// Overlap of both brushes; negative = a strip at the centre that neither touches; null when there is no pair.
    OverlapDocument from |overlap: &Overlap| {
        /// At the nose, m: the least of the body's height bands within the judged depth of its foremost point.
        nose_m: Option<f64> = overlap.nose_m;
        /// At the tail, m: the least of the body's height bands within the judged depth of its rearmost point.
        tail_m: Option<f64> = overlap.tail_m;
        /// At the height of a plate on the nose, m; null without one.
        front_plate_m: Option<f64> = overlap.front_plate_m;
        /// At the height of a plate on the tail, m; null without one.
        rear_plate_m: Option<f64> = overlap.rear_plate_m;
    }
}

document! {
    /// Timing and loads of one unit.
    UnitDocument from |unit: &UnitTiming, record: &UnitRecord| {
        /// `left` or `right`.
        side: String = unit.side.name().to_owned();
        /// Every event, in time order; those that did not happen last, with nulls.
        events: Vec<EventDocument> = events(unit);
        /// From the tail passing the brush to the brush pressing on the tail, s; null when it never does.
        chase_delay_s: Option<f64> = unit.chase_delay_s;
        /// From settled to the next nose, s; negative = too late; null when the arm does not settle.
        recovery_margin_s: Option<f64> = unit.recovery_margin_s;
        /// The margin is on an edge: how much less it is when the last bounce counts in full, s; null when it is on none.
        recovery_edge_s: Option<f64> = unit.recovery_edge_s;
        /// Highest compression of the bumper stop after the tail, m; null when it is not met.
        stop_peak_compression_m: Option<f64> = unit.stop_peak_compression_m;
        /// Highest power of the spindle motor, W: the three below together.
        spindle_peak_power_w: f64 = unit.spindle_peak_power_w;
        /// Of that, rubbing on the vehicle, W.
        spindle_rubbing_w: f64 = unit.spindle_peak.rubbing_w;
        /// Of that, flexing of strips, W.
        spindle_flexing_w: f64 = unit.spindle_peak.flexing_w;
        /// Of that, air that the strips stir, W: engineering estimate.
        spindle_air_drag_w: f64 = unit.spindle_peak.air_w;
        /// Swing angle at rest with no vehicle near, rad.
        rest_angle_rad: f64 = record.rest_phi_rad;
        /// Swing angle at which the arm came to stand after the measured vehicle, rad; null when it did not.
        stands_angle_rad: Option<f64> = record.stands_phi_rad;
        /// Deepest press on the vehicle, m.
        deepest_press_m: f64 = unit.peak_indentation_m;
        /// Free strip length left at the deepest press, m; negative = the hub was struck.
        hub_clearance_m: f64 = unit.hub_clearance_m;
        /// Whether the hub was struck.
        hub_struck: bool = unit.hub_struck;
        /// Whether the arm met its outboard stop.
        outboard_stop_met: bool = unit.outboard_stop_met;
    }
}

/// One instant of the wrap-around.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EventDocument {
    /// `first_touch`, `nose_corner`, `mirror`, `tail_corner`, `tail_passes_brush`, `back_on_the_tail`, `lost_the_tail`, `bumper`,
    /// `settled` or `next_nose`.
    pub name: String,
    /// When, s; 0 = the measured vehicle's nose is at lane x = 0. Null when it did not happen.
    pub time_s: Option<f64>,
    /// Lane x of the measured vehicle's nose at that time, m.
    pub vehicle_position_m: Option<f64>,
}

document! {
    /// Load of one brush on one feature.
    FeatureLoadDocument from |l: &FeatureLoad| {
        /// Name of the feature.
        feature: String = l.feature.clone();
        /// Kind of feature.
        kind: String = key(l.kind.name());
        /// The brush that loads it: `left` or `right`.
        side: String = l.side.name().to_owned();
        /// Highest steady force, N: the mean over the blows of single strips.
        peak_force_n: f64 = l.peak_force_n;
        /// When, s.
        peak_s: f64 = l.peak_s;
        /// Force at that instant, forward in the vehicle frame, N.
        peak_forward_n: f64 = l.peak_vector_n.x;
        /// Force at that instant, to the vehicle's left, N.
        peak_left_n: f64 = l.peak_vector_n.y;
        /// Impulse, N s.
        impulse_n_s: f64 = l.impulse_n_s;
        /// Impulse of one strip's blow at the deepest press, N s: engineering estimate; null for what lies flat on the body or media of unknown mass.
        blow_impulse_n_s: Option<f64> = l.blow.map(|blow| blow.impulse_n_s);
        /// Mean force of that blow over 10 ms, N.
        blow_10ms_n: Option<f64> = l.blow.map(|blow| blow.force_10ms_n());
        /// Blows a second, 1/s.
        blows_per_s: Option<f64> = l.blow.map(|blow| blow.per_s);
        /// Limit of the steady force, N; null when none is stated.
        limit_n: Option<f64> = l.limit_n;
        /// `pass`, `marginal` or `fail`; null without a limit.
        verdict: Option<String> = l.verdict.map(|v| v.name().to_owned());
    }
}

document! {
    /// Energy of all units over the whole run.
    EnergyDocument from |audit: &EnergyAudit| {
        /// Work in, J: conveyor, spindle motors, air.
        work_in_j: f64 = audit.work_in_j();
        /// Dissipated, J.
        dissipated_j: f64 = audit.dissipated_j();
        /// Change of stored energy, J.
        stored_j: f64 = audit.stored_j;
        /// (work in − dissipated − stored) over the work done; null when no work was done.
        residual_fraction: Option<f64> = audit.residual_fraction();
        /// Work of the conveyor on the brushes, J.
        conveyor_j: f64 = audit.conveyor_j;
        /// Work of the spindle motors, J.
        spindle_j: f64 = audit.spindle_j;
        /// Work of the air, J.
        air_j: f64 = audit.air_j;
        /// Taken by contact with vehicles, J.
        contact_j: f64 = audit.contact_j;
        /// Taken by pivot and seal friction, J.
        friction_j: f64 = audit.friction_j;
        /// Taken by dampers, J.
        damper_j: f64 = audit.damper_j;
        /// Taken by the stops, J.
        stop_j: f64 = audit.stop_j;
        /// Taken by the brushes rubbing on each other, J.
        brushes_j: f64 = audit.brushes_j;
        /// Taken by the air that the turning strips stir, J.
        air_drag_j: f64 = audit.air_drag_j;
        /// Taken when a slack cable comes tight, J.
        cable_j: f64 = audit.cable_j;
    }
}

document! {
    /// One criterion, judged.
    VerdictDocument from |line: &VerdictLine| {
        /// Key of the criterion.
        criterion: String = line.criterion.criterion_key().to_owned();
        /// What it is about, when there are several: `left`, `left mirror`.
        about: Option<String> = line.about.clone();
        /// The unit concerned, if one.
        side: Option<String> = line.side.map(|s| s.name().to_owned());
        /// The number; null when it does not exist, which counts as a fail.
        value: Option<f64> = line.value;
        /// The limit.
        limit: f64 = line.limit;
        /// Whether the value must be `at least` or `at most` the limit.
        sense: String = if line.criterion.at_least() { "at least" } else { "at most" }.to_owned();
        /// SI unit of value and limit; empty for a share.
        unit: String = line.criterion.si_unit().to_owned();
        /// `pass`, `marginal` or `fail`; one on an edge that would miss the limit on its other side is marginal at best.
        verdict: String = line.verdict.name().to_owned();
        /// How much worse the value would be on the other side of an edge it stands on, in `unit`; null when it is on none.
        edge: Option<f64> = line.edge;
    }
}

/// Every event, in time order; those that did not happen last.
fn events(unit: &UnitTiming) -> Vec<EventDocument> {
    let happened = unit.events.iter().map(|e| EventDocument {
        name: key(e.name.name()),
        time_s: Some(e.time_s),
        vehicle_position_m: Some(e.vehicle_position_m),
    });
    let missing = EventName::ALL
        .iter()
        .filter(|name| unit.time_of(**name).is_none())
        .map(|name| EventDocument { name: key(name.name()), time_s: None, vehicle_position_m: None });
    happened.chain(missing).collect()
}

impl PassReport<'_> {
    /// The pass as data, without time series.
    pub fn document(&self) -> PassDocument {
        let Solved { setup, record, outcome, .. } = self.solved;
        PassDocument {
            schema: PASS_SCHEMA.to_owned(),
            brusharm: env!("CARGO_PKG_VERSION").to_owned(),
            scenario: ScenarioDocument {
                title: self.title.to_owned(),
                file: self.file.map(str::to_owned),
                set: self.set.iter().map(SetDocument::from).collect(),
            },
            vehicle: VehicleDocument::new(&setup.train[setup.measured], setup.measured),
            throughput_per_h: per_hour(self.throughput_per_s),
            conveyor_speed_m_s: setup.conveyor_speed_m_s,
            headline: headline(&outcome.verdicts).map(|(verdict, line)| HeadlineDocument::new(verdict, line)),
            zones: outcome.zones.iter().map(ZoneDocument::new).collect(),
            gaps: outcome.gaps.iter().map(GapDocument::new).collect(),
            overlap: OverlapDocument::new(&outcome.overlap),
            units: outcome.units.iter().zip(&record.units).map(|(u, r)| UnitDocument::new(u, r)).collect(),
            feature_loads: outcome.feature_loads.iter().map(FeatureLoadDocument::new).collect(),
            energy_audit: EnergyDocument::new(&outcome.audit),
            verdicts: outcome.verdicts.iter().map(VerdictDocument::new).collect(),
            settings: self.settings.to_vec(),
            series: None,
        }
    }
}
