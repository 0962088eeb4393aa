//! A set-up with everything that was computed for it, as one value: a picture drawn from it never mixes two set-ups.

use std::ops::Deref;
use std::sync::{Arc, OnceLock};
use std::time::Instant;

use super::edits::Edits;
use crate::arm::StopPin;
use crate::coverage::{MeasureName, Solved, Verdict, headline, measure};
use crate::drawing::plan_view::{Ghost, PlanScene, pressure_scale_pa};
use crate::drawing::strips::{PinnedSeries, StripScene};
use crate::pass::{self, PassSetup, Record, Series, UnitInstant};
use crate::scenario::Scenario;
use crate::scenario::lesson::PinSlot;
use crate::window::pins::Slot;
use crate::window::playback::{Mark, Track};

/// Samples of the strips at rest, seconds.
const SERIES_STEP_S: f64 = 0.05;
/// Samples of the strips while a setting is dragged: one for every few points of a strip's width.
const DRAG_SAMPLES: f64 = 200.0;

/// What the background solver is asked for.
#[derive(Debug, Clone)]
pub struct Request {
    /// The set-up.
    pub scenario: Scenario,
    /// What it differs by from the file.
    pub edits: Edits,
    /// A lesson step that comes with it.
    pub step: Option<StepRequest>,
    /// The file as it is, to hold the set-up against, where it has not been solved yet.
    pub reference: Option<Scenario>,
    /// Whether what is shown now needs samples over the whole pass.
    pub series: bool,
}

/// A step of a lesson, to be solved with its pins.
#[derive(Debug, Clone)]
pub struct StepRequest {
    /// Index of the step.
    pub index: usize,
    /// Its pins.
    pub pins: Vec<(PinSlot, Scenario)>,
}

/// The solver's answer.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The set-up.
    pub pass: Arc<SolvedPass>,
    /// The pins of the lesson step, when there was one.
    pub pins: Vec<(PinSlot, Arc<SolvedPass>)>,
    /// The file as it is, when it was asked for.
    pub reference: Option<Arc<SolvedPass>>,
}

/// Solves a request.
///
/// # Errors
/// Why the pass cannot be computed.
pub fn solve(request: &Request) -> Result<Answer, String> {
    // From inside the pool its parts are handed from thread to thread without waking anybody, which a short solve would wait for.
    rayon::scope(|_| solve_here(request))
}

fn solve_here(request: &Request) -> Result<Answer, String> {
    let pass = Arc::new(SolvedPass::solve(&request.scenario, &request.edits, request.series)?);
    let mut pins = Vec::new();
    for (slot, scenario) in request.step.iter().flat_map(|step| &step.pins) {
        pins.push((*slot, Arc::new(SolvedPass::solve(scenario, &Edits::default(), request.series)?)));
    }
    // Without it there is only nothing to hold the set-up against.
    let reference = request
        .reference
        .as_ref()
        .and_then(|file| SolvedPass::solve(file, &Edits::default(), request.series).ok())
        .map(Arc::new);
    Ok(Answer { pass, pins, reference })
}

/// Fills in what a picture at rest shows beyond one during a drag. Whether there was anything to fill in.
pub fn refine(answer: &Result<Answer, String>) -> bool {
    let Ok(answer) = answer else { return false };
    // All of them, whether or not the first had everything already.
    let pins = answer.pins.iter().map(|(_, pass)| pass).chain(&answer.reference);
    let filled = pins.chain([&answer.pass]).filter(|pass| pass.refine()).count();
    filled > 0
}

/// How long the parts of a solve took, seconds. Measuring and sampling go on at the same time where there are two cores.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SolveTimes {
    /// The motion.
    pub run_s: f64,
    /// Coverage, gaps, verdicts.
    pub measure_s: f64,
    /// Samples for the strips during a drag.
    pub series_s: f64,
    /// From the beginning to the end.
    pub whole_s: f64,
}

impl SolveTimes {
    /// All parts one after the other, as on one core.
    pub fn one_core_s(&self) -> f64 {
        self.run_s + self.measure_s + self.series_s
    }
}

fn coarse_series(setup: &PassSetup, record: &Record) -> Series {
    pass::series(setup, record, (record.end_s - record.start_s) / DRAG_SAMPLES)
}

/// The largest torque of any cause, or their sum, N m.
pub fn most_torque_n_m(sample: &crate::pass::UnitInstant) -> f64 {
    let causes = sample.budget.causes().into_iter().map(|(_, torque)| torque.abs());
    causes.fold(sample.budget.total_n_m().abs(), f64::max)
}

/// A solved set-up.
#[derive(Debug)]
pub struct SolvedPass {
    /// The scenario with its changes.
    pub scenario: Scenario,
    /// What it differs by from the file.
    pub edits: Edits,
    /// Its pass.
    pub solved: Solved,
    coarse: OnceLock<Series>,
    fine: OnceLock<Series>,
    /// Stop pins in the order of the units.
    pub stop_pins: Vec<Option<StopPin>>,
    /// Full scale of the contact pressure, Pa.
    pub pressure_scale_pa: f64,
    /// How long it took.
    pub times: SolveTimes,
}

impl Deref for SolvedPass {
    type Target = Solved;

    fn deref(&self) -> &Solved {
        &self.solved
    }
}

impl SolvedPass {
    /// Computes the pass of a scenario; with samples for the strips when they are needed at once, otherwise they are read when they are.
    ///
    /// # Errors
    /// Why it cannot be computed.
    pub fn solve(scenario: &Scenario, edits: &Edits, series: bool) -> Result<SolvedPass, String> {
        let began = Instant::now();
        let setup = scenario.setup();
        let record = pass::run(&setup).map_err(|error| error.to_string())?;
        let run_s = began.elapsed().as_secs_f64();
        let settings = scenario.coverage_settings();
        let criteria = scenario.criteria();
        let timed_measure = || {
            let began = Instant::now();
            (measure(&setup, &record, &settings, &criteria), began.elapsed().as_secs_f64())
        };
        let timed_series = || {
            let began = Instant::now();
            (series.then(|| coarse_series(&setup, &record)), began.elapsed().as_secs_f64())
        };
        // Both only read the record: they can go on at the same time.
        let ((outcome, measure_s), (samples, series_s)) = rayon::join(timed_measure, timed_series);
        let coarse = samples.map_or_else(OnceLock::new, OnceLock::from);
        Ok(SolvedPass {
            stop_pins: setup.units.iter().map(|unit| scenario.stop_pin(unit.side)).collect(),
            pressure_scale_pa: pressure_scale_pa(&outcome),
            scenario: scenario.clone(),
            edits: edits.clone(),
            solved: Solved { setup, record, outcome, settings },
            coarse,
            fine: OnceLock::new(),
            times: SolveTimes { run_s, measure_s, series_s, whole_s: began.elapsed().as_secs_f64() },
        })
    }

    /// Samples over the whole pass: fine ones once they are there.
    pub fn series(&self) -> &Series {
        self.fine.get().unwrap_or_else(|| self.coarse())
    }

    /// Whether the samples are those of a picture at rest.
    pub fn is_fine(&self) -> bool {
        self.fine.get().is_some()
    }

    /// Reads fine samples. Whether there were none yet.
    pub fn refine(&self) -> bool {
        let new = !self.is_fine();
        self.fine.get_or_init(|| pass::series(&self.setup, &self.record, SERIES_STEP_S));
        new
    }

    fn coarse(&self) -> &Series {
        self.coarse.get_or_init(|| coarse_series(&self.setup, &self.record))
    }

    /// Full scale of the torque bars, N m: what 98 of 100 samples stay under; what is over it (a bumper) needs more at its instant.
    pub fn torque_scale_n_m(&self) -> f64 {
        // The same samples during a drag and after it, so that the scale does not jump when it ends.
        let samples =
            self.coarse().units.iter().flat_map(|unit| &unit.samples).filter(|sample| !sample.ended);
        let mut torques: Vec<f64> = samples.map(most_torque_n_m).collect();
        torques.sort_by(f64::total_cmp);
        crate::drawing::words::round_up(torques.get(torques.len() * 98 / 100).copied().unwrap_or(1.0))
    }

    /// Where the vehicle is at which time.
    pub fn track(&self) -> Option<Track> {
        let speed = self.setup.conveyor_speed_m_s;
        Track::new([self.record.start_s, self.record.end_s].map(|t| [t, t * speed]))
    }

    /// The events of both units as marks: «left: tail corner».
    pub fn marks(&self) -> Vec<Mark> {
        let units = self.outcome.units.iter();
        units
            .flat_map(|unit| {
                unit.events.iter().map(|event| Mark {
                    time_s: event.time_s,
                    name: format!("{}: {}", unit.side.name(), event.name.name()),
                })
            })
            .filter(|mark| mark.time_s >= self.record.start_s && mark.time_s <= self.record.end_s)
            .collect()
    }

    /// The instant that decides, s: of a clearance, a bumper or a motor that does not pass, when it is worst; otherwise the one that tells most of the
    /// pass.
    pub fn deciding_instant_s(&self) -> f64 {
        let worst = headline(&self.outcome.verdicts).filter(|(verdict, _)| *verdict != Verdict::Pass);
        let of_side = worst.and_then(|(_, line)| {
            let read: fn(&UnitInstant) -> f64 = match line.criterion {
                MeasureName::HubClearance => |s| s.press_m,
                MeasureName::StopCompression => |s| s.inboard_stop_n,
                MeasureName::SpindlePower => |s| s.spindle_power_w,
                _ => return None,
            };
            Some((line.side?, read))
        });
        let Some((side, read)) = of_side else { return self.key_instant_s() };
        // Read for this alone, so that a picture does not depend on what was looked at before.
        let series = pass::series(&self.setup, &self.record, SERIES_STEP_S);
        let samples = series.units.iter().find(|unit| unit.side == side).map(|unit| unit.samples.as_slice());
        let own = samples.unwrap_or_default().iter().filter(|sample| !sample.ended);
        own.max_by(|a, b| read(a).total_cmp(&read(b)))
            .map_or_else(|| self.key_instant_s(), |sample| sample.t_s)
    }

    /// For the plan view and the map.
    pub const fn scene(&self, t_s: f64) -> PlanScene<'_> {
        PlanScene { solved: &self.solved, t_s }
    }

    /// As a ghost.
    pub const fn ghost(&self, slot: Slot) -> Ghost<'_> {
        Ghost { name: slot.letter(), role: slot.role(), solved: &self.solved }
    }

    /// For the strips.
    pub fn strip_scene(&self) -> StripScene<'_> {
        StripScene {
            series: self.series(),
            outcome: &self.outcome,
            conveyor_speed_m_s: self.setup.conveyor_speed_m_s,
        }
    }

    /// For the strips, pinned.
    pub fn pinned_series(&self, slot: Slot) -> PinnedSeries<'_> {
        PinnedSeries {
            name: slot.letter(),
            role: slot.role(),
            series: self.series(),
            conveyor_speed_m_s: self.setup.conveyor_speed_m_s,
        }
    }
}
