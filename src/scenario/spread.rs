//! How things spread: the `spread` part of a scenario.
//!
//! ```ron
//! spread: (
//!     fleet: true,                                     // the vehicle is drawn by its share of the fleet, which must be there
//!     factors: [
//!         (setting: "vehicle.lateral_offset", by: Normal(sd: "1 in", within: "3 in")),
//!         (setting: "left.air.cap", by: Uniform(within: "0.5 psi")),
//!         (setting: "both.brush.friction", to: Triangular(low: "0.25", mode: "0.35", high: "0.5")),
//!         (size: Length, by: Normal(sd: "2 %", within: "5 %")),
//!     ],
//! ),
//! ```
//!
//! `by` is a deviation from what is set, `to` a value in place of it. `Normal` is cut off at its ends and drawn again outside, so ends are never
//! exceeded and nothing piles up on them. `both.` draws once and sets both units alike; `left.` and `right.` draw apart. A size is the share by which
//! the measured vehicle is longer, wider or higher than its outline. What is not listed does not spread.

mod draw;
mod file;

pub use draw::Draw;
pub use file::{DeviationFile, FactorFile, ListedFile, SizeWord, SpreadFile, ValueFile, Written};

use super::checked::Scenario;
use super::setting::{Setting, SettingKind};
use crate::error::{Diagnostics, Refusal};
use crate::units::{self, Dimension, DimensionInfo, FractionDim};

/// What a factor moves.
#[derive(Debug, Clone, PartialEq)]
pub enum Moves {
    /// The vehicle: the drawn number is its place in the list.
    Vehicle(Vec<String>),
    /// A size of the vehicle: the drawn number is the share by which it is larger.
    Size(SizeWord),
    /// Settings, each from what it stands at by the drawn number.
    By(Vec<(String, f64)>),
    /// A setting, to the drawn number (a choice: to its place in the list).
    To(String),
}

/// One thing that spreads, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor {
    /// What it is called in tables: the path, «vehicle», «vehicle length».
    pub name: String,
    /// What it moves.
    pub moves: Moves,
    /// How its number is drawn.
    pub draw: Draw,
}

impl Scenario {
    /// What spreads in this scenario, checked: the fleet first, then the factors in order; empty without a `spread` part.
    ///
    /// # Errors
    /// [`Diagnostics`] with the place of what makes no sense.
    pub fn spread(&self) -> Result<Vec<Factor>, Diagnostics> {
        let Some(file) = &self.file().spread else { return Ok(Vec::new()) };
        let mut found = Diagnostics::default();
        let mut factors = Vec::new();
        if file.fleet {
            let mix = self.fleet_mix();
            if self.file().fleet.is_empty() {
                let advice = "give the fleet of the scenario with its shares, or write fleet: false";
                let told =
                    refusal("there is no fleet to draw a vehicle from", "", "a fleet with shares", advice);
                found.push(self.diagnostic("spread.fleet", told));
            }
            let mut upto = 0.0;
            let places = mix.iter().zip(0_u32..).map(|((_, share), place)| {
                upto += share;
                (f64::from(place), upto)
            });
            factors.push(Factor {
                name: "vehicle".into(),
                draw: Draw::Listed(places.collect()),
                moves: Moves::Vehicle(mix.iter().map(|(name, _)| (*name).to_owned()).collect()),
            });
        }
        for (index, entry) in file.factors.iter().enumerate() {
            match factor(self, entry) {
                Ok(factor) if factors.iter().any(|f| f.name == factor.name) => {
                    let refusal =
                        refusal("this spreads twice", &factor.name, "each once", "leave one of them out");
                    found.push(self.diagnostic(&format!("spread.factors[{index}]"), refusal));
                }
                Ok(factor) => factors.push(factor),
                Err((field, refusal)) => {
                    let dot = if field.is_empty() { "" } else { "." };
                    found.push(self.diagnostic(&format!("spread.factors[{index}]{dot}{field}"), refusal));
                }
            }
        }
        found.into_result().map(|()| factors)
    }

    /// The scenario with its measured vehicle scaled: 1.02 is two per cent more. Vehicles of the same name ahead stay as they are.
    ///
    /// # Errors
    /// [`Diagnostics`] when the outline cannot be built or does not fit past the machine.
    pub fn with_measured_size(&self, length: f64, width: f64, height: f64) -> Result<Scenario, Diagnostics> {
        let name = self.measured_vehicle();
        let Some(known) = self.vehicles().iter().find(|v| &*v.name == name) else {
            return Ok(self.clone());
        };
        let spec = known.spec.scaled(
            known.spec.length_m * length,
            known.spec.width_m * width,
            known.spec.height_m * height,
        );
        let shape = super::vehicle_pair(&spec).map_err(|error| {
            let given = format!("length × {length}, width × {width}, height × {height}");
            let advice = "spread the sizes less";
            self.diagnostic(
                "spread",
                refusal(&format!("{name}: {error}"), &given, "an outline that can be built", advice),
            )
        })?;
        self.with_measured_shape(shape)
    }
}

fn refusal(problem: &str, given: &str, allowed: &str, advice: &str) -> Refusal {
    Refusal { problem: problem.into(), given: given.into(), allowed: allowed.into(), advice: advice.into() }
}

type Fault = (&'static str, Refusal);

fn factor(scenario: &Scenario, entry: &FactorFile) -> Result<Factor, Fault> {
    let one_of = |problem: &str, advice: &str| ("", refusal(problem, "", "", advice));
    match (&entry.setting, entry.size) {
        (Some(path), None) => setting_factor(scenario, path, entry),
        (None, Some(size)) => {
            let Some(by) = &entry.by else {
                return Err(one_of(
                    "a size spreads by a share",
                    "write by: Normal(sd: \"2 %\", within: \"5 %\")",
                ));
            };
            if entry.to.is_some() {
                return Err(one_of("a size spreads by a share, not to a value", "leave to out"));
            }
            let draw = deviation(by, FractionDim::INFO)?;
            if draw.ends().1 > 0.3 {
                let given = format!("{:.0} %", 100.0 * draw.ends().1);
                let advice = "describe another vehicle instead";
                return Err((
                    "by",
                    refusal("a vehicle of a class does not spread so far", &given, "up to 30 %", advice),
                ));
            }
            let word = match size {
                SizeWord::Length => "length",
                SizeWord::Width => "width",
                SizeWord::Height => "height",
            };
            Ok(Factor { name: format!("vehicle {word}"), moves: Moves::Size(size), draw })
        }
        (Some(_), Some(_)) => Err(one_of("a factor is a setting or a size", "leave one of them out")),
        (None, None) => {
            Err(one_of("a factor needs what spreads", "write setting: \"…\" with a path, or size: Length"))
        }
    }
}

fn setting_factor(scenario: &Scenario, path: &str, entry: &FactorFile) -> Result<Factor, Fault> {
    let setting = scenario
        .setting(path)
        .map_err(|d| ("setting", refusal(&d.problem, &d.given, &d.allowed, &d.advice)))?;
    let info = setting.info();
    match (&entry.by, &entry.to) {
        (Some(by), None) => {
            let Some(info) = info else {
                let advice = "write to: Listed([(value: …, share: …), …])";
                return Err((
                    "by",
                    refusal("this setting has no amounts to deviate by", path, "to: Listed(…)", advice),
                ));
            };
            let draw = deviation(by, info)?;
            let (low, high) = draw.ends();
            let mut moved = Vec::new();
            for (place, now) in standing(scenario, &setting) {
                for end in [now + low, now + high] {
                    within_range(&setting, "by", end)?;
                }
                moved.push((place, now));
            }
            Ok(Factor { name: setting.path.clone(), moves: Moves::By(moved), draw })
        }
        (None, Some(to)) => {
            let draw = value(scenario, to, &setting)?;
            let (low, high) = draw.ends();
            within_range(&setting, "to", low)?;
            within_range(&setting, "to", high)?;
            Ok(Factor { name: setting.path.clone(), moves: Moves::To(setting.path.clone()), draw })
        }
        _ => Err((
            "",
            refusal(
                "a factor spreads by a deviation or to a value",
                path,
                "one of by, to",
                "give one of them",
            ),
        )),
    }
}

/// The places a setting stands for, with what each stands at in SI.
pub(crate) fn standing(scenario: &Scenario, setting: &Setting) -> Vec<(String, f64)> {
    if let Some(now) = setting.value_si(scenario) {
        return vec![(setting.path.clone(), now)];
    }
    let rest = setting.path.strip_prefix("both.").unwrap_or(&setting.path);
    ["left", "right"]
        .into_iter()
        .filter_map(|side| {
            let path = format!("{side}.{rest}");
            let now = scenario.setting(&path).ok()?.value_si(scenario)?;
            Some((path, now))
        })
        .collect()
}

fn within_range(setting: &Setting, field: &'static str, si: f64) -> Result<(), Fault> {
    let (low, high) = setting.range_si();
    let slack = 1e-12 * low.abs().max(high.abs());
    if si >= low - slack && si <= high + slack {
        return Ok(());
    }
    let given =
        setting.info().map_or_else(|| si.to_string(), |info| units::format(info, si, units::UnitSystem::Us));
    Err((
        field,
        refusal(
            "it spreads out of the range of the setting",
            &given,
            &setting.range_text(),
            "spread it less",
        ),
    ))
}

fn number(field: &'static str, text: &Written, info: &'static DimensionInfo) -> Result<f64, Fault> {
    match units::read(info, &text.0) {
        Ok(reading) => Ok(reading.si),
        Err(error) => Err((field, error.refusal())),
    }
}

fn deviation(by: &DeviationFile, info: &'static DimensionInfo) -> Result<Draw, Fault> {
    let positive = |text: &Written| {
        let value = number("by", text, info)?;
        if value > 0.0 {
            Ok(value)
        } else {
            Err(("by", refusal("a deviation is more than nothing", &text.0, "above 0", "give its size")))
        }
    };
    Ok(match by {
        DeviationFile::Normal { sd, within } => {
            let (sd, end) = (positive(sd)?, positive(within)?);
            wide_enough("by", sd, 2.0 * end, &within.0)?;
            Draw::Normal { mean: 0.0, sd, low: -end, high: end }
        }
        DeviationFile::Uniform { within } => {
            let end = positive(within)?;
            Draw::Uniform { low: -end, high: end }
        }
        DeviationFile::Triangular { within } => {
            let end = positive(within)?;
            Draw::Triangular { low: -end, mode: 0.0, high: end }
        }
    })
}

/// A normal cut off to a small part of itself is as good as even, and slow to draw.
fn wide_enough(field: &'static str, sd: f64, width: f64, given: &str) -> Result<(), Fault> {
    if width >= 0.05 * sd {
        return Ok(());
    }
    let advice = "use Uniform between these ends";
    Err((
        field,
        refusal(
            "the ends are far inside the standard deviation",
            given,
            "at least a twentieth of sd apart",
            advice,
        ),
    ))
}

fn value(scenario: &Scenario, to: &ValueFile, setting: &Setting) -> Result<Draw, Fault> {
    let read = |text: &Written| setting.number(&text.0).map_err(|r| ("to", r));
    let ordered = |low: f64, high: f64, text: &Written| {
        if low < high {
            Ok(())
        } else {
            Err(("to", refusal("the ends are not in order", &text.0, "low below high", "swap them")))
        }
    };
    let inside = |low: f64, at: f64, high: f64, text: &Written| {
        if low <= at && at <= high {
            Ok(())
        } else {
            Err((
                "to",
                refusal(
                    "the middle lies outside the ends",
                    &text.0,
                    "between low and high",
                    "move it or the ends",
                ),
            ))
        }
    };
    if !matches!(to, ValueFile::Listed(_)) && !matches!(setting.kind, SettingKind::Number { .. }) {
        let advice = "write to: Listed([(value: …, share: …), …])";
        return Err((
            "to",
            refusal("this setting takes single values only", &setting.path, "Listed(…)", advice),
        ));
    }
    Ok(match to {
        ValueFile::Normal { mean, sd, low, high } => {
            let (low_si, mean_si, high_si) = (read(low)?, read(mean)?, read(high)?);
            ordered(low_si, high_si, low)?;
            inside(low_si, mean_si, high_si, mean)?;
            let Some(info) = setting.info() else { return Err(("to", Refusal::default())) };
            let sd_si = number("to", sd, info)?;
            if sd_si <= 0.0 {
                return Err((
                    "to",
                    refusal("a standard deviation is more than nothing", &sd.0, "above 0", "give its size"),
                ));
            }
            wide_enough("to", sd_si, high_si - low_si, &high.0)?;
            Draw::Normal { mean: mean_si, sd: sd_si, low: low_si, high: high_si }
        }
        ValueFile::Uniform { low, high } => {
            let (low_si, high_si) = (read(low)?, read(high)?);
            ordered(low_si, high_si, low)?;
            Draw::Uniform { low: low_si, high: high_si }
        }
        ValueFile::Triangular { low, mode, high } => {
            let (low_si, mode_si, high_si) = (read(low)?, read(mode)?, read(high)?);
            ordered(low_si, high_si, low)?;
            inside(low_si, mode_si, high_si, mode)?;
            Draw::Triangular { low: low_si, mode: mode_si, high: high_si }
        }
        ValueFile::Listed(list) => {
            let _ = scenario;
            let mut upto = 0.0;
            let mut values = Vec::with_capacity(list.len());
            for entry in list {
                let share = number("to", &entry.share, FractionDim::INFO)?;
                if !(share > 0.0 && share <= 1.0) {
                    return Err((
                        "to",
                        refusal(
                            "a share is between nothing and all",
                            &entry.share.0,
                            "above 0 % to 100 %",
                            "give its share",
                        ),
                    ));
                }
                upto += share;
                values.push((read(&entry.value)?, upto));
            }
            if (upto - 1.0).abs() > 1e-9 {
                let given = format!("{:.4} %", 100.0 * upto);
                return Err((
                    "to",
                    refusal("the shares do not add up to all", &given, "100 %", "correct the shares"),
                ));
            }
            Draw::Listed(values)
        }
    })
}
