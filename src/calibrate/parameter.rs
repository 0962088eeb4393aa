//! What can be fitted of a machine, and what is assumed about it before anything is measured.
//!
//! Parameters are settings: path, unit and range come from their table. Each is off by a factor (what is positive) or by an amount, with the standard
//! deviation that the scenario states under `spread`, or else the one here. A factor e^x of 25 % is wide enough to hold what a template and a real
//! machine differ by, and narrow enough to mean something; where a source says more, it is named. Friction of the pivot and of the seals act as one:
//! the pivot's is fitted, and stands for both.

use crate::elementary::Elementary;
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::scenario::calibration::OffBy;
use crate::scenario::spread::{Draw, Moves};

/// One thing to be fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// Path of the setting.
    pub path: String,
    /// What it is.
    pub label: String,
    /// How it is off.
    pub by: OffBy,
    /// What the scenario has, SI.
    pub assumed_si: f64,
    /// Standard deviation assumed: of the logarithm of the factor, or of the amount in SI.
    pub sd: f64,
    /// Whether the scenario states that deviation.
    pub stated: bool,
    /// Whether it grows with every mass and force of the machine.
    pub is_force: bool,
    /// Whether it acts by what the strips do alone.
    pub is_of_strips: bool,
    /// Lowest value allowed, in standard deviations from what is assumed.
    pub low: f64,
    /// Highest value allowed, likewise.
    pub high: f64,
}

/// Farther than so many standard deviations no search goes.
const FARTHEST: f64 = 8.0;

struct Row {
    path: &'static str,
    label: &'static str,
    by: OffBy,
    sd: f64,
    is_force: bool,
}

const fn row(path: &'static str, label: &'static str, by: OffBy, sd: f64, is_force: bool) -> Row {
    Row { path, label, by, sd, is_force }
}

/// Standard deviations are common practice without a source, but for friction (rolling bearings 0.0008 to 0.0035 and twice that at the start, plain
/// bearings 0.01 to 0.2 by catalogue tables: a factor of several) and push-back (brush bristles soften by 4 to 7 % in two months of use: Materials
/// 13:2802, 2020).
const ROWS: [Row; 15] = [
    row("counterweight.mass", "counterweight", OffBy::Factor, 0.05, true),
    row("found.arm_mass", "masses of the arm", OffBy::Factor, 0.10, true),
    row("found.friction", "friction of pivot and seals", OffBy::Factor, 0.5, true),
    row("found.breakaway_ratio", "breakaway over friction", OffBy::Factor, 0.15, false),
    row("dampers[0].out_stroke", "damper, swinging out", OffBy::Factor, 0.4, true),
    row("dampers[0].in_stroke", "damper, swinging in", OffBy::Factor, 0.4, true),
    row("brush.media.mass", "mass of the media", OffBy::Factor, 0.1, true),
    row("found.push", "push of the media", OffBy::Factor, 0.25, true),
    row("brush.friction", "friction of media on paint", OffBy::Factor, 0.25, false),
    row("found.radius", "brush radius", OffBy::Factor, 0.02, false),
    row("found.exponent", "exponent of the push-back", OffBy::Amount, 0.1, false),
    row("found.stiffening_spin", "stiffening spin", OffBy::Factor, 0.3, false),
    row("bearings.lower_offset", "lean across the lane", OffBy::Amount, 0.001, false),
    row("bearings.lower_along", "lean along the lane", OffBy::Amount, 0.001, false),
    row("air.cap", "regulator of the cap end", OffBy::Amount, 2000.0, true),
];
/// Parameters that act by what the strips do alone.
const OF_STRIPS: [&str; 5] =
    ["found.push", "brush.friction", "found.radius", "found.exponent", "found.stiffening_spin"];
/// Where the arm rests on its stop.
const SEAT: Row = row("found.seat_shift", "seat of the stop", OffBy::Amount, 0.012, false);

/// What can be fitted, and what cannot.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Parameters {
    /// Fitted.
    pub fitted: Vec<Parameter>,
    /// Left as they are, because the sides differ: what they are.
    pub sides_differ: Vec<&'static str>,
}

/// The parameters of a scenario that states what is found ([`Scenario::with_found`]), by the prefix of its units: `left`, `right` or `both`. Settings that
/// are not there, that stand at nothing where a factor is asked for, or that differ between the sides are not fitted.
///
/// # Errors
/// [`Diagnostics`] of the scenario's `spread` part.
pub fn parameters(scenario: &Scenario, prefix: &str) -> Result<Parameters, Diagnostics> {
    let factors = scenario.spread()?;
    let (mut list, mut sides_differ) = (Vec::new(), Vec::new());
    for row in ROWS.iter().chain([&SEAT]) {
        let path = format!("{prefix}.{}", row.path);
        let Ok(setting) = scenario.setting(&path) else { continue };
        let Some(assumed_si) = setting.value_si(scenario) else {
            sides_differ.push(row.label);
            continue;
        };
        if assumed_si <= 0.0 && (row.by == OffBy::Factor || row.path == "air.cap") {
            continue;
        }
        let stated = factors.iter().find_map(|factor| {
            let of = |name: &str| {
                name == path
                    || name.split_once('.').is_some_and(|(_, rest)| rest == row.path)
                        && (name.starts_with("both.") || prefix == "both")
            };
            let named = match &factor.moves {
                Moves::By(moved) => moved.iter().any(|(p, _)| of(p)),
                Moves::To(p) => of(p),
                Moves::Vehicle(_) | Moves::Size(_) => false,
            };
            named.then(|| deviation(&factor.draw)).flatten()
        });
        let sd = match (stated, row.by) {
            (Some(sd), OffBy::Factor) => sd / assumed_si,
            (Some(sd), OffBy::Amount) => sd,
            (None, _) if row.path == "found.push" => push_sd(scenario, prefix),
            (None, _) => row.sd,
        };
        let (low, high) = setting.range_si();
        let place = |si: f64| match row.by {
            OffBy::Factor => (si.max(f64::MIN_POSITIVE) / assumed_si).log_natural() / sd,
            OffBy::Amount => (si - assumed_si) / sd,
        };
        list.push(Parameter {
            label: row.label.to_owned(),
            by: row.by,
            assumed_si,
            sd,
            stated: stated.is_some(),
            is_force: row.is_force,
            is_of_strips: OF_STRIPS.contains(&row.path),
            low: place(low).max(-FARTHEST),
            high: place(high).min(FARTHEST),
            path,
        });
    }
    Ok(Parameters { fitted: list, sides_differ })
}

/// Standard deviation of the logarithm of the push: the band of the law of the media as four of them.
fn push_sd(scenario: &Scenario, prefix: &str) -> f64 {
    let unit = scenario.unit_models().iter().find(|u| prefix == "both" || prefix == u.side.name());
    unit.map_or(0.25, |unit| {
        let [low, high] = unit.brush.media.push_band(unit.brush.spin_rad_s);
        0.25 * (high / low).log_natural()
    })
}

/// Standard deviation of what is drawn.
fn deviation(draw: &Draw) -> Option<f64> {
    let sd = match draw {
        Draw::Normal { sd, .. } => *sd,
        Draw::Uniform { low, high } => (high - low) / 12.0_f64.sqrt(),
        Draw::Triangular { low, mode, high } => {
            let (a, b, c) = (*low, *high, *mode);
            ((a * a + b * b + c * c - a * b - a * c - b * c) / 18.0).sqrt()
        }
        Draw::Listed(_) => return None,
    };
    (sd > 0.0).then_some(sd)
}

impl Parameter {
    /// Its value at so many standard deviations from what is assumed, SI.
    pub fn value_si(&self, x: f64) -> f64 {
        self.by.moved(self.assumed_si, self.sd * x)
    }
}

/// The scenario with its parameters so many standard deviations from what is assumed. `None` where such a machine cannot be.
pub fn machine_at(scenario: &Scenario, parameters: &[Parameter], x: &[f64]) -> Option<Scenario> {
    let changes: Vec<(&str, f64)> = parameters
        .iter()
        .zip(x)
        .map(|(p, x)| (p.path.as_str(), p.value_si(x.clamp(p.low, p.high))))
        .collect();
    scenario.with_exactly(&changes).ok()
}

/// The scenario with settings off by some deviations from values in SI, kept within their ranges. `None` where such a machine cannot be.
pub fn machine_at_si(scenario: &Scenario, changes: &[(&str, OffBy, f64, f64)]) -> Option<Scenario> {
    let moved: Option<Vec<(&str, f64)>> = changes
        .iter()
        .map(|(path, by, value, deviation)| {
            let (low, high) = scenario.setting(path).ok()?.range_si();
            Some((*path, by.moved(*value, *deviation).clamp(low, high)))
        })
        .collect();
    scenario.with_exactly(&moved?).ok()
}
