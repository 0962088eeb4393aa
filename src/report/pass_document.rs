//! A pass as data: the document behind `--format json`.
//!
//! Version `brusharm/pass/1`. Everything is SI: metres, seconds, pascals, newtons, watts, joules, radians; shares are 0…1. A value that does
//! not exist is `null`, never 0. Keys are only ever added within a version.

use super::{PassReport, SeriesDocument, SettingDocument, key, per_hour};
use crate::coverage::{EventName, headline};
use crate::pass::EnergyAudit;
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

/// The measured vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct VehicleDocument {
    /// Its name.
    pub name: String,
    /// Its class.
    pub class: String,
    /// Length, m.
    pub length_m: f64,
    /// Width without mirrors, m.
    pub width_m: f64,
    /// Height, m.
    pub height_m: f64,
    /// How far it sits off the lane centreline, positive to the left of travel, m.
    pub lateral_offset_m: f64,
    /// How far it is turned, positive counterclockwise seen from above, rad.
    pub yaw_rad: f64,
    /// Vehicles ahead of it in the train.
    pub vehicles_ahead: usize,
}

/// The verdict in one line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeadlineDocument {
    /// `pass`, `marginal` or `fail`: the worst of all criteria.
    pub verdict: String,
    /// The criterion that decides.
    pub criterion: String,
    /// What it is about, when there are several.
    pub about: Option<String>,
}

/// What was done to one zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ZoneDocument {
    /// `nose`, `left_side`, `tail` or `right_side`.
    pub zone: String,
    /// Judged area, m².
    pub judged_m2: f64,
    /// Washed share of it; null when nothing is judged.
    pub washed_fraction: Option<f64>,
    /// Mean pressure while touched, Pa; null when never touched.
    pub mean_pressure_pa: Option<f64>,
    /// Highest pressure, Pa; null when never touched.
    pub peak_pressure_pa: Option<f64>,
    /// Mean rubbing work per area, J/m²; null when nothing is judged.
    pub rubbing_work_j_m2: Option<f64>,
    /// Mean strip passes; null when nothing is judged.
    pub wipes: Option<f64>,
    /// Longest part of a gap that lies in the zone, m; 0 when there is none, null when nothing is judged.
    pub longest_gap_m: Option<f64>,
}

/// An unwashed run of the perimeter in one height band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GapDocument {
    /// Zone that holds most of it.
    pub zone: String,
    /// Longest part of it in each zone, m: nose, left side, tail, right side.
    pub parts_m: [f64; 4],
    /// Height band of the vehicle, from 0, lowest first.
    pub band: usize,
    /// Bottom of the band as far as the media reaches, m above the floor.
    pub z_low_m: f64,
    /// Top, m above the floor.
    pub z_high_m: f64,
    /// Start along the perimeter from the nose centre, counterclockwise seen from above (the left side comes first), m. Negative when the
    /// gap runs across the nose centre.
    pub start_m: f64,
    /// End along the perimeter, m.
    pub end_m: f64,
    /// Length, m.
    pub length_m: f64,
    /// Mean share of the needed washing that is missing; 1 = never touched.
    pub short_by: f64,
    /// Washed ratio at its worst point; 0 = never touched, 1 = just enough.
    pub lowest_ratio: f64,
}

/// Overlap of both brushes; negative = a strip at the centre that neither touches; null when there is no pair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OverlapDocument {
    /// At the nose, m: the least of the body's height bands within the judged depth of its foremost point.
    pub nose_m: Option<f64>,
    /// At the tail, m: the least of the body's height bands within the judged depth of its rearmost point.
    pub tail_m: Option<f64>,
    /// At the height of a plate on the nose, m; null without one.
    pub front_plate_m: Option<f64>,
    /// At the height of a plate on the tail, m; null without one.
    pub rear_plate_m: Option<f64>,
}

/// Timing and loads of one unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnitDocument {
    /// `left` or `right`.
    pub side: String,
    /// Every event, in time order; those that did not happen last, with nulls.
    pub events: Vec<EventDocument>,
    /// From the tail passing the brush to the brush pressing on the tail, s; null when it never does.
    pub chase_delay_s: Option<f64>,
    /// From settled to the next nose, s; negative = too late; null when the arm does not settle.
    pub recovery_margin_s: Option<f64>,
    /// The margin is on an edge: how much less it is when the last bounce counts in full, s; null when it is on none.
    pub recovery_edge_s: Option<f64>,
    /// Highest compression of the bumper stop after the tail, m; null when it is not met.
    pub stop_peak_compression_m: Option<f64>,
    /// Highest power of the spindle motor, W: the three below together.
    pub spindle_peak_power_w: f64,
    /// Of that, rubbing on the vehicle, W.
    pub spindle_rubbing_w: f64,
    /// Of that, flexing of strips, W.
    pub spindle_flexing_w: f64,
    /// Of that, air that the strips stir, W: engineering estimate.
    pub spindle_air_drag_w: f64,
    /// Swing angle at rest with no vehicle near, rad.
    pub rest_angle_rad: f64,
    /// Swing angle at which the arm came to stand after the measured vehicle, rad; null when it did not.
    pub stands_angle_rad: Option<f64>,
    /// Deepest press on the vehicle, m.
    pub deepest_press_m: f64,
    /// Free strip length left at the deepest press, m; negative = the hub was struck.
    pub hub_clearance_m: f64,
    /// Whether the hub was struck.
    pub hub_struck: bool,
    /// Whether the arm met its outboard stop.
    pub outboard_stop_met: bool,
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

/// Load of one brush on one feature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FeatureLoadDocument {
    /// Name of the feature.
    pub feature: String,
    /// Kind of feature.
    pub kind: String,
    /// The brush that loads it: `left` or `right`.
    pub side: String,
    /// Highest steady force, N: the mean over the blows of single strips.
    pub peak_force_n: f64,
    /// When, s.
    pub peak_s: f64,
    /// Force at that instant, forward in the vehicle frame, N.
    pub peak_forward_n: f64,
    /// Force at that instant, to the vehicle's left, N.
    pub peak_left_n: f64,
    /// Impulse, N s.
    pub impulse_n_s: f64,
    /// Impulse of one strip's blow at the deepest press, N s: engineering estimate; null for what lies flat on the body or media of unknown mass.
    pub blow_impulse_n_s: Option<f64>,
    /// Mean force of that blow over 10 ms, N.
    pub blow_10ms_n: Option<f64>,
    /// Blows a second, 1/s.
    pub blows_per_s: Option<f64>,
    /// Limit of the steady force, N; null when none is stated.
    pub limit_n: Option<f64>,
    /// `pass`, `marginal` or `fail`; null without a limit.
    pub verdict: Option<String>,
}

/// Energy of all units over the whole run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EnergyDocument {
    /// Work in, J: conveyor, spindle motors, air.
    pub work_in_j: f64,
    /// Dissipated, J.
    pub dissipated_j: f64,
    /// Change of stored energy, J.
    pub stored_j: f64,
    /// (work in − dissipated − stored) over the work done; null when no work was done.
    pub residual_fraction: Option<f64>,
    /// Work of the conveyor on the brushes, J.
    pub conveyor_j: f64,
    /// Work of the spindle motors, J.
    pub spindle_j: f64,
    /// Work of the air, J.
    pub air_j: f64,
    /// Taken by contact with vehicles, J.
    pub contact_j: f64,
    /// Taken by pivot and seal friction, J.
    pub friction_j: f64,
    /// Taken by dampers, J.
    pub damper_j: f64,
    /// Taken by the stops, J.
    pub stop_j: f64,
    /// Taken by the brushes rubbing on each other, J.
    pub brushes_j: f64,
    /// Taken by the air that the turning strips stir, J.
    pub air_drag_j: f64,
    /// Taken when a slack cable comes tight, J.
    pub cable_j: f64,
}

/// One criterion, judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct VerdictDocument {
    /// Key of the criterion.
    pub criterion: String,
    /// What it is about, when there are several: `left`, `left mirror`.
    pub about: Option<String>,
    /// The unit concerned, if one.
    pub side: Option<String>,
    /// The number; null when it does not exist, which counts as a fail.
    pub value: Option<f64>,
    /// The limit.
    pub limit: f64,
    /// Whether the value must be `at least` or `at most` the limit.
    pub sense: String,
    /// SI unit of value and limit; empty for a share.
    pub unit: String,
    /// `pass`, `marginal` or `fail`; one on an edge that would miss the limit on its other side is marginal at best.
    pub verdict: String,
    /// How much worse the value would be on the other side of an edge it stands on, in `unit`; null when it is on none.
    pub edge: Option<f64>,
}

impl From<&EnergyAudit> for EnergyDocument {
    fn from(audit: &EnergyAudit) -> Self {
        EnergyDocument {
            work_in_j: audit.work_in_j(),
            dissipated_j: audit.dissipated_j(),
            stored_j: audit.stored_j,
            residual_fraction: audit.residual_fraction(),
            conveyor_j: audit.conveyor_j,
            spindle_j: audit.spindle_j,
            air_j: audit.air_j,
            contact_j: audit.contact_j,
            friction_j: audit.friction_j,
            damper_j: audit.damper_j,
            stop_j: audit.stop_j,
            brushes_j: audit.brushes_j,
            air_drag_j: audit.air_drag_j,
            cable_j: audit.cable_j,
        }
    }
}

impl PassReport<'_> {
    /// The pass as data, without time series.
    pub fn document(&self) -> PassDocument {
        let outcome = self.outcome;
        let measured = &self.setup.train[self.setup.measured];
        let vehicle = &measured.shape.real;
        PassDocument {
            schema: PASS_SCHEMA.to_owned(),
            brusharm: env!("CARGO_PKG_VERSION").to_owned(),
            scenario: ScenarioDocument {
                title: self.title.to_owned(),
                file: self.file.map(str::to_owned),
                set: self.set.iter().map(SetDocument::from).collect(),
            },
            vehicle: VehicleDocument {
                name: vehicle.name.clone(),
                class: vehicle.class.clone(),
                length_m: vehicle.length_m,
                width_m: vehicle.width_m,
                height_m: vehicle.height_m,
                lateral_offset_m: measured.lateral_offset_m,
                yaw_rad: measured.yaw_rad,
                vehicles_ahead: self.setup.measured,
            },
            throughput_per_h: per_hour(self.throughput_per_s),
            conveyor_speed_m_s: self.setup.conveyor_speed_m_s,
            headline: headline(&outcome.verdicts).map(|(verdict, line)| HeadlineDocument {
                verdict: verdict.name().to_owned(),
                criterion: line.criterion.criterion_key().to_owned(),
                about: line.about.clone(),
            }),
            zones: outcome
                .zones
                .iter()
                .map(|z| ZoneDocument {
                    zone: key(z.zone.name()),
                    judged_m2: z.judged_m2,
                    washed_fraction: z.washed_fraction,
                    mean_pressure_pa: z.mean_pressure_pa,
                    peak_pressure_pa: z.peak_pressure_pa,
                    rubbing_work_j_m2: z.rubbing_work_j_m2,
                    wipes: z.wipes,
                    longest_gap_m: z.longest_gap_m,
                })
                .collect(),
            gaps: outcome
                .gaps
                .iter()
                .map(|g| GapDocument {
                    zone: key(g.zone.name()),
                    parts_m: g.parts_m,
                    band: g.band,
                    z_low_m: g.z_low_m,
                    z_high_m: g.z_high_m,
                    start_m: g.start_m,
                    end_m: g.end_m,
                    length_m: g.length_m(),
                    short_by: g.short_by,
                    lowest_ratio: g.lowest_ratio,
                })
                .collect(),
            overlap: OverlapDocument {
                nose_m: outcome.overlap.nose_m,
                tail_m: outcome.overlap.tail_m,
                front_plate_m: outcome.overlap.front_plate_m,
                rear_plate_m: outcome.overlap.rear_plate_m,
            },
            units: self.unit_documents(),
            feature_loads: outcome
                .feature_loads
                .iter()
                .map(|l| FeatureLoadDocument {
                    feature: l.feature.clone(),
                    kind: key(l.kind.name()),
                    side: l.side.name().to_owned(),
                    peak_force_n: l.peak_force_n,
                    peak_s: l.peak_s,
                    peak_forward_n: l.peak_vector_n.x,
                    peak_left_n: l.peak_vector_n.y,
                    impulse_n_s: l.impulse_n_s,
                    blow_impulse_n_s: l.blow.map(|blow| blow.impulse_n_s),
                    blow_10ms_n: l.blow.map(|blow| blow.force_10ms_n()),
                    blows_per_s: l.blow.map(|blow| blow.per_s),
                    limit_n: l.limit_n,
                    verdict: l.verdict.map(|v| v.name().to_owned()),
                })
                .collect(),
            energy_audit: EnergyDocument::from(&outcome.audit),
            verdicts: outcome
                .verdicts
                .iter()
                .map(|line| VerdictDocument {
                    criterion: line.criterion.criterion_key().to_owned(),
                    about: line.about.clone(),
                    side: line.side.map(|s| s.name().to_owned()),
                    value: line.value,
                    limit: line.limit,
                    sense: if line.criterion.at_least() { "at least" } else { "at most" }.to_owned(),
                    unit: line.criterion.si_unit().to_owned(),
                    verdict: line.verdict.name().to_owned(),
                    edge: line.edge,
                })
                .collect(),
            settings: self.settings.to_vec(),
            series: None,
        }
    }

    fn unit_documents(&self) -> Vec<UnitDocument> {
        let with_record = self.outcome.units.iter().zip(&self.record.units);
        with_record
            .map(|(unit, record)| {
                let happened = unit.events.iter().map(|e| EventDocument {
                    name: key(e.name.name()),
                    time_s: Some(e.time_s),
                    vehicle_position_m: Some(e.vehicle_position_m),
                });
                let missing =
                    EventName::ALL.iter().filter(|name| unit.time_of(**name).is_none()).map(|name| {
                        EventDocument { name: key(name.name()), time_s: None, vehicle_position_m: None }
                    });
                UnitDocument {
                    side: unit.side.name().to_owned(),
                    events: happened.chain(missing).collect(),
                    chase_delay_s: unit.chase_delay_s,
                    recovery_margin_s: unit.recovery_margin_s,
                    recovery_edge_s: unit.recovery_edge_s,
                    stop_peak_compression_m: unit.stop_peak_compression_m,
                    spindle_peak_power_w: unit.spindle_peak_power_w,
                    spindle_rubbing_w: unit.spindle_peak.rubbing_w,
                    spindle_flexing_w: unit.spindle_peak.flexing_w,
                    spindle_air_drag_w: unit.spindle_peak.air_w,
                    rest_angle_rad: record.rest_phi_rad,
                    stands_angle_rad: record.stands_phi_rad,
                    deepest_press_m: unit.deepest_press_m,
                    hub_clearance_m: unit.hub_clearance_m,
                    hub_struck: unit.hub_struck,
                    outboard_stop_met: unit.outboard_stop_met,
                }
            })
            .collect()
    }
}
