//! Find the fault: from what is seen and read to the causes that would show it, in the order to check.
//!
//! The station as described is taken as the good state. One element at a time is made worse in small steps, the whole
//! station is solved at each, and a cause stays on the list when some severity of it shows every symptom and meets every
//! reading within the tolerance. Only if no single cause does are pairs tried. The order is that of the work: gauges and
//! levels first, then knobs, then what needs a tool, last what needs a part taken out.
//!
//! A cause on the list is consistent, not proven; a cause ruled out is ruled out as far as the description is right.

mod readings;

use super::error::{FoamError, within};
use super::fault_cause::{Cause, Caution};
use super::regime::Regime;
use super::station::{Station, StationResult};

/// What is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symptom {
    /// The foam runs off: a stream or runny foam, or a mix too weak to hold its air.
    Watery,
    /// The outlets spit: the air pushes the liquid back, or the tank runs dry.
    Spits,
    /// Too little liquid in the foam.
    Dry,
    /// The colour fades: the share of concentrate is down by a fifth or more.
    ColourFading,
    /// Next to no concentrate is drawn: under a twentieth of what it should be.
    NoDraw,
}

impl Symptom {
    /// Every symptom.
    pub const ALL: [Self; 5] = [Self::Watery, Self::Spits, Self::Dry, Self::ColourFading, Self::NoDraw];

    /// Name in trade words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Watery => "watery",
            Self::Spits => "spits",
            Self::Dry => "dry",
            Self::ColourFading => "colour fading",
            Self::NoDraw => "no draw",
        }
    }

    /// Whether a station at work shows the symptom, beside the station in its good state.
    #[must_use]
    pub fn shows(self, now: &StationResult, good: &StationResult) -> bool {
        let regime = now.balance.regime;
        match self {
            Self::Watery => matches!(regime, Regime::LiquidOnly | Regime::Wet) || !now.film.holds_air,
            Self::Spits => matches!(regime, Regime::Pulsing | Regime::AirLocked) || !now.tank.sustained,
            Self::Dry => matches!(regime, Regime::Dry | Regime::Pulsing | Regime::AirLocked),
            Self::ColourFading => now.dilution.concentrate_share < 0.8 * good.dilution.concentrate_share,
            Self::NoDraw => {
                now.dilution.concentrate_flow_m3_s <= 0.0
                    || now.dilution.concentrate_flow_m3_s < 0.05 * good.dilution.concentrate_flow_m3_s
            }
        }
    }
}

/// What was read, all optional. Pressures Pa gauge.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Readings {
    /// Water supply while flowing, Pa.
    pub supply_pa: Option<f64>,
    /// Between strainer and injector, Pa.
    pub injector_inlet_pa: Option<f64>,
    /// Vacuum at the injector while it draws, Pa below atmosphere.
    pub suction_pa: Option<f64>,
    /// Water flow (bucket), m³/s.
    pub water_flow_m3_s: Option<f64>,
    /// Concentrate flow (draw-down), m³/s.
    pub concentrate_flow_m3_s: Option<f64>,
    /// Ratio, parts of water to one (titration, or draw-down and bucket).
    pub ratio: Option<f64>,
    /// Liquid gauge at the foam maker, Pa.
    pub liquid_pa: Option<f64>,
    /// Air gauge at the foam maker, Pa.
    pub air_pa: Option<f64>,
    /// Gauge at the tee, Pa.
    pub tee_pa: Option<f64>,
    /// Solution flow at the outlets, m³/s.
    pub liquid_flow_m3_s: Option<f64>,
    /// Expansion ratio (a measured volume of foam weighed), 1 or more.
    pub expansion_ratio: Option<f64>,
}

/// Which reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reading {
    /// [`Readings::supply_pa`].
    Supply,
    /// [`Readings::injector_inlet_pa`].
    InjectorInlet,
    /// [`Readings::suction_pa`].
    Suction,
    /// [`Readings::water_flow_m3_s`].
    WaterFlow,
    /// [`Readings::concentrate_flow_m3_s`].
    ConcentrateFlow,
    /// [`Readings::ratio`].
    Ratio,
    /// [`Readings::liquid_pa`].
    LiquidGauge,
    /// [`Readings::air_pa`].
    AirGauge,
    /// [`Readings::tee_pa`].
    Tee,
    /// [`Readings::liquid_flow_m3_s`].
    LiquidFlow,
    /// [`Readings::expansion_ratio`].
    Expansion,
}

/// How far model and reading may differ: the share plus, for pressures, the absolute part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingTolerance {
    /// Share of the reading, 0.005 to 0.5.
    pub share: f64,
    /// Absolute part for pressures, Pa, 100 to 100 000.
    pub pressure_pa: f64,
}

impl Default for ReadingTolerance {
    /// A tenth, and 7 kPa (one psi) on gauges: engineering estimate.
    fn default() -> Self {
        Self { share: 0.10, pressure_pa: 7e3 }
    }
}

/// A reading beside what a cause would make it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingFit {
    /// Which reading.
    pub reading: Reading,
    /// What was read (SI).
    pub read: f64,
    /// What the model gives (SI); none when it gives nothing (no ratio without a draw).
    pub model: Option<f64>,
    /// Difference over what is allowed: at most 1 agrees.
    pub misfit: f64,
}

/// How bad a cause is taken to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Severity {
    /// The cause.
    pub cause: Cause,
    /// 0 none to 1 worst.
    pub level: f64,
    /// The same in the cause's own terms; see [`Cause::value_meaning`].
    pub value: f64,
}

/// A cause, or a pair, that shows what is seen and read.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// One cause, or two.
    pub causes: Vec<Severity>,
    /// The readings beside the model with the cause in it.
    pub readings: Vec<ReadingFit>,
    /// Root mean square of the misfits, 0 without readings.
    pub misfit: f64,
    /// Cautions before the work, most urgent first.
    pub cautions: Vec<Caution>,
    /// The station with the cause in it.
    pub result: StationResult,
}

/// A cause that cannot be it, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct RuledOut {
    /// The cause.
    pub cause: Cause,
    /// Symptoms that no severity of it shows.
    pub never_shows: Vec<Symptom>,
    /// The reading that stands most against it, at the severity that fits best.
    pub against: Option<ReadingFit>,
}

/// The outcome of a search.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// The description as it stands already shows what is seen and read: no fault is needed, the settings do it.
    pub as_set: bool,
    /// Single causes in the order to check.
    pub findings: Vec<Finding>,
    /// Pairs, best fit first, tried only when `as_set` is false and no single cause fits.
    pub pairs: Vec<Finding>,
    /// Causes ruled out.
    pub ruled_out: Vec<RuledOut>,
}

/// Levels tried of a single cause.
const LEVELS: u32 = 120;
/// Levels tried of each cause of a pair, before refining.
const PAIR_LEVELS: u32 = 10;
/// Pairs reported at most.
const MOST_PAIRS: usize = 5;

/// Looks for the causes of `symptoms` (at least one symptom or one reading).
///
/// # Errors
/// A field of the station, a reading or the tolerance out of range; nothing seen and nothing read.
pub fn find_fault(
    station: &Station,
    symptoms: &[Symptom],
    readings: &Readings,
    tolerance: ReadingTolerance,
) -> Result<Diagnosis, FoamError> {
    readings.check()?;
    within("tolerance.share", tolerance.share, "", 0.005, 0.5, "0.1 suits field gauges")?;
    within("tolerance.pressure_pa", tolerance.pressure_pa, "Pa", 100.0, 1e5, "one psi is 6895 Pa")?;
    if symptoms.is_empty() && readings.list().is_empty() {
        return Err(FoamError::conflict(
            "symptoms",
            "nothing seen and nothing read",
            "one symptom or one reading at least",
            "say what the foam looks like, or read a gauge",
        ));
    }
    let good = station.evaluate()?;
    let search = Search { station, symptoms, readings, tolerance, good: &good };
    let as_set = search.trial(station).is_some_and(|trial| trial.agrees());
    let mut findings = Vec::new();
    let mut ruled_out = Vec::new();
    for cause in Cause::ALL {
        match search.single(cause) {
            Ok(finding) => findings.push(finding),
            Err(ruled) => ruled_out.push(ruled),
        }
    }
    let pairs = if findings.is_empty() && !as_set { search.pairs() } else { Vec::new() };
    Ok(Diagnosis { as_set, findings, pairs, ruled_out })
}

/// One station tried.
struct Trial {
    result: StationResult,
    missing: Vec<Symptom>,
    fits: Vec<ReadingFit>,
    misfit: f64,
}

impl Trial {
    fn agrees(&self) -> bool {
        self.missing.is_empty() && self.fits.iter().all(|fit| fit.misfit <= 1.0)
    }

    /// Fewer missing symptoms first, then the better fit.
    fn better_than(&self, other: &Self) -> bool {
        (self.missing.len(), self.misfit) < (other.missing.len(), other.misfit)
    }
}

struct Search<'a> {
    station: &'a Station,
    symptoms: &'a [Symptom],
    readings: &'a Readings,
    tolerance: ReadingTolerance,
    good: &'a StationResult,
}

impl Search<'_> {
    /// Solves a changed station; none when the change has left the documented range.
    fn trial(&self, station: &Station) -> Option<Trial> {
        let result = station.evaluate().ok()?;
        let missing = self.symptoms.iter().copied().filter(|s| !s.shows(&result, self.good)).collect();
        let fits: Vec<ReadingFit> = self
            .readings
            .list()
            .into_iter()
            .map(|(reading, read)| {
                let model = reading.of(station, &result);
                let absolute = if reading.is_pressure() { self.tolerance.pressure_pa } else { 0.0 };
                let misfit = match model {
                    Some(model) if model == read => 0.0,
                    Some(model) => (model - read).abs() / (self.tolerance.share * read.max(model) + absolute),
                    // The worst a relative difference can be: as if the model gave nothing against something.
                    None => self.tolerance.share.recip(),
                };
                ReadingFit { reading, read, model, misfit }
            })
            .collect();
        let sum: f64 = fits.iter().map(|fit| fit.misfit * fit.misfit).sum();
        let misfit = if fits.is_empty() { 0.0 } else { (sum / fits.len() as f64).sqrt() };
        Some(Trial { result, missing, fits, misfit })
    }

    fn at(&self, causes: &[(Cause, f64)]) -> Option<Trial> {
        let mut station = self.station.clone();
        for &(cause, level) in causes {
            cause.apply(&mut station, level);
        }
        self.trial(&station)
    }

    fn finding(&self, causes: &[(Cause, f64)], trial: Trial) -> Finding {
        let mut cautions: Vec<Caution> =
            causes.iter().flat_map(|(cause, _)| cause.cautions()).copied().collect();
        cautions.sort_unstable();
        cautions.dedup();
        Finding {
            causes: causes
                .iter()
                .map(|&(cause, level)| Severity { cause, level, value: cause.value(self.station, level) })
                .collect(),
            readings: trial.fits,
            misfit: trial.misfit,
            cautions,
            result: trial.result,
        }
    }

    /// The least severity with the best fit of one cause, or why it cannot be it.
    fn single(&self, cause: Cause) -> Result<Finding, RuledOut> {
        let mut best: Option<(f64, Trial)> = None;
        let mut ever: Vec<Symptom> = Vec::new();
        for i in 1..=LEVELS {
            let level = f64::from(i) / f64::from(LEVELS);
            let Some(trial) = self.at(&[(cause, level)]) else { continue };
            for symptom in self.symptoms {
                if !trial.missing.contains(symptom) && !ever.contains(symptom) {
                    ever.push(*symptom);
                }
            }
            if best.as_ref().is_none_or(|(_, least)| trial.better_than(least)) {
                best = Some((level, trial));
            }
        }
        match best {
            Some((level, trial)) if trial.agrees() => Ok(self.finding(&[(cause, level)], trial)),
            other => Err(RuledOut {
                cause,
                never_shows: self.symptoms.iter().copied().filter(|s| !ever.contains(s)).collect(),
                against: other.and_then(|(_, trial)| {
                    trial
                        .fits
                        .into_iter()
                        .filter(|f| f.misfit > 1.0)
                        .max_by(|a, b| a.misfit.total_cmp(&b.misfit))
                }),
            }),
        }
    }

    /// Pairs of causes that do not touch the same knob, best fit first.
    fn pairs(&self) -> Vec<Finding> {
        let mut found: Vec<Finding> = Vec::new();
        for (i, first) in Cause::ALL.into_iter().enumerate() {
            for second in Cause::ALL.into_iter().skip(i + 1) {
                if first.same_part(second) {
                    continue;
                }
                if let Some((levels, trial)) = self.best_pair(first, second)
                    && trial.agrees()
                {
                    found.push(self.finding(&[(first, levels.0), (second, levels.1)], trial));
                }
            }
        }
        // Stable: equal fits stay in the order of the work.
        found.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
        found.truncate(MOST_PAIRS);
        found
    }

    fn best_pair(&self, first: Cause, second: Cause) -> Option<((f64, f64), Trial)> {
        let mut best: Option<((f64, f64), Trial)> = None;
        let offer = |levels: (f64, f64), best: &mut Option<((f64, f64), Trial)>| {
            if let Some(trial) = self.at(&[(first, levels.0), (second, levels.1)])
                && best.as_ref().is_none_or(|(_, least)| trial.better_than(least))
            {
                *best = Some((levels, trial));
            }
        };
        for i in 1..=PAIR_LEVELS {
            for j in 1..=PAIR_LEVELS {
                let scale = f64::from(PAIR_LEVELS);
                offer((f64::from(i) / scale, f64::from(j) / scale), &mut best);
            }
        }
        // A grid this coarse steps over a reading's tolerance: close in on the best point only if it shows the symptoms.
        let mut step = 0.5 / f64::from(PAIR_LEVELS);
        for _ in 0..6 {
            let (centre, trial) = best.as_ref()?;
            if !trial.missing.is_empty() || trial.misfit <= 0.0 {
                break;
            }
            let centre = *centre;
            for (da, db) in [
                (1.0, 0.0),
                (-1.0, 0.0),
                (0.0, 1.0),
                (0.0, -1.0),
                (1.0, 1.0),
                (-1.0, -1.0),
                (1.0, -1.0),
                (-1.0, 1.0),
            ] {
                let near = (centre.0 + da * step, centre.1 + db * step);
                if near.0 > 0.0 && near.0 <= 1.0 && near.1 > 0.0 && near.1 <= 1.0 {
                    offer(near, &mut best);
                }
            }
            step *= 0.5;
        }
        best
    }
}
