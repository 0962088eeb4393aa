//! Questions put to the dilution model: which tip for a wanted ratio, what one change does, and what a draw-down test and a
//! bucket test say about the machine.
//!
//! The field tests reduce to measured flows: draw-down q = volume drawn / time; bucket Q + q (or Q alone) = volume / time;
//! ratio R = Q/q. Water is compared with the model's water. Draw is compared with what the model draws **at the measured
//! water**, so that a weak jet is not blamed on the suction line as well.

use super::dilution::{Dilution, DilutionConditions, DilutionResult};
use super::error::{FoamError, within};
use super::water_side::throat_pa;
use crate::elementary::Elementary;

/// One tip of the user's list with the ratio it gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TipOption {
    /// Index in the list.
    pub tip: usize,
    /// Bore, m.
    pub bore_m: f64,
    /// Ratio (water : 1); none when nothing is drawn.
    pub ratio: Option<f64>,
    /// The ratio rests on a measurement of this very tip.
    pub measured: bool,
}

/// The answer to «which tip for this ratio».
#[derive(Debug, Clone, PartialEq)]
pub struct TipChoice {
    /// Every tip of the list under the conditions asked about.
    pub options: Vec<TipOption>,
    /// Index in `options` of the nearest ratio (by their quotient); none when no tip draws anything.
    pub best: Option<usize>,
    /// The bore, m, that would give the ratio exactly; none when none between half the narrowest and twice the widest does.
    pub exact_bore_m: Option<f64>,
}

/// The tip of the list that comes nearest to `target_ratio` (1 to 10 000 parts of water to one), and the bore that would
/// meet it exactly.
///
/// # Errors
/// A field out of range or in conflict, by its path.
pub fn choose_tip(
    dilution: &Dilution,
    conditions: &DilutionConditions,
    target_ratio: f64,
) -> Result<TipChoice, FoamError> {
    within("target_ratio", target_ratio, "", 1.0, 1e4, "parts of water to one of concentrate")?;
    dilution.check()?;
    let mut options = Vec::with_capacity(dilution.tips.len());
    for (tip, listed) in dilution.tips.iter().enumerate() {
        let result = dilution.solve_with_bore(conditions, listed.bore_m)?;
        options.push(TipOption {
            tip,
            bore_m: listed.bore_m,
            ratio: result.ratio,
            measured: listed.measured_ratio.is_some(),
        });
    }
    let mut best: Option<(usize, f64)> = None;
    for option in &options {
        let Some(ratio) = option.ratio else { continue };
        let off = (ratio / target_ratio).log_natural().abs();
        if best.is_none_or(|(_, least)| off < least) {
            best = Some((option.tip, off));
        }
    }
    let narrow = (0.5 * options[0].bore_m).max(1e-4);
    let wide = (2.0 * options[options.len() - 1].bore_m).min(0.01);
    let exact_bore_m = exact_bore(dilution, conditions, target_ratio, narrow, wide)?;
    Ok(TipChoice { options, best: best.map(|(tip, _)| tip), exact_bore_m })
}

/// Bisection for the bore: the ratio falls as the bore grows.
fn exact_bore(
    dilution: &Dilution,
    conditions: &DilutionConditions,
    target: f64,
    mut narrow: f64,
    mut wide: f64,
) -> Result<Option<f64>, FoamError> {
    let leaner = |bore: f64| -> Result<Option<bool>, FoamError> {
        Ok(dilution.solve_with_bore(conditions, bore)?.ratio.map(|ratio| ratio > target))
    };
    if leaner(narrow)? != Some(true) || leaner(wide)? != Some(false) {
        return Ok(None);
    }
    loop {
        let middle = 0.5 * (narrow + wide);
        if middle <= narrow || middle >= wide {
            return Ok(Some(wide));
        }
        if leaner(middle)? == Some(true) {
            narrow = middle;
        } else {
            wide = middle;
        }
    }
}

/// A change to the dilution stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DilutionChange {
    /// The next narrower tip of the list.
    TipDown,
    /// The next wider tip of the list.
    TipUp,
    /// The strainer blocked by this share of its mesh.
    StrainerBlocked(f64),
    /// The tip blocked by this share of its area.
    TipBlocked(f64),
    /// Supply pressure changed by so much, Pa.
    Supply(f64),
    /// Lift changed by so much, m (the container runs down).
    Lift(f64),
    /// The concentrate's viscosity multiplied (cold).
    Viscosity(f64),
}

/// What a change does.
#[derive(Debug, Clone, PartialEq)]
pub struct DilutionEffect {
    /// The change.
    pub change: DilutionChange,
    /// The stage after it.
    pub after: DilutionResult,
    /// New ratio over old; above 1 is weaker. None when either is missing.
    pub ratio_factor: Option<f64>,
}

/// What each of `changes` does on its own. A tip change with no further tip in the list is left out; so is a pressure that
/// would fall below 0.
///
/// # Errors
/// A field out of range or in conflict, by its path.
pub fn dilution_effects(
    dilution: &Dilution,
    conditions: &DilutionConditions,
    changes: &[DilutionChange],
) -> Result<Vec<DilutionEffect>, FoamError> {
    let before = dilution.solve(conditions)?;
    let mut effects = Vec::with_capacity(changes.len());
    for &change in changes {
        let mut bore_m = dilution.fitted_bore_m();
        let mut changed = *conditions;
        match change {
            DilutionChange::TipDown => match dilution.fitted_tip.checked_sub(1) {
                Some(tip) => bore_m = dilution.tips[tip].bore_m,
                None => continue,
            },
            DilutionChange::TipUp => match dilution.tips.get(dilution.fitted_tip + 1) {
                Some(tip) => bore_m = tip.bore_m,
                None => continue,
            },
            DilutionChange::StrainerBlocked(share) => changed.strainer_blocked = share,
            DilutionChange::TipBlocked(share) => changed.tip_blocked = share,
            DilutionChange::Supply(by_pa) => changed.supply_pressure_pa += by_pa,
            DilutionChange::Lift(by_m) => changed.lift_m += by_m,
            DilutionChange::Viscosity(factor) => changed.viscosity_factor *= factor,
        }
        if changed.supply_pressure_pa < 0.0 {
            continue;
        }
        let after = dilution.solve_with_bore(&changed, bore_m)?;
        let ratio_factor = after.ratio.zip(before.ratio).map(|(a, b)| a / b);
        effects.push(DilutionEffect { change, after, ratio_factor });
    }
    Ok(effects)
}

/// A volume taken in a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedVolume {
    /// Volume, m³, 0 to 10.
    pub volume_m3: f64,
    /// Time, s, 1 to 86 400.
    pub time_s: f64,
}

impl TimedVolume {
    fn flow_m3_s(&self, field: &str) -> Result<f64, FoamError> {
        within(
            &format!("{field}.volume_m3"),
            self.volume_m3,
            "m3",
            0.0,
            10.0,
            "read the level before and after",
        )?;
        within(
            &format!("{field}.time_s"),
            self.time_s,
            "s",
            1.0,
            86_400.0,
            "half a minute or more reads best",
        )?;
        Ok(self.volume_m3 / self.time_s)
    }
}

/// What the bucket caught.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Caught {
    /// The injector's outlet with the suction working: water and concentrate.
    Solution,
    /// Water with the suction line shut.
    Water,
}

/// How a measured flow stands to the model's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlowFinding {
    /// Less than the model by more than the tolerance.
    Weak,
    /// Within the tolerance.
    Agrees,
    /// More than the model by more than the tolerance.
    Strong,
    /// Not measured.
    NotMeasured,
}

impl FlowFinding {
    fn of(measured: Option<f64>, expected: f64, tolerance: f64) -> Self {
        match measured {
            None => Self::NotMeasured,
            Some(flow) if flow < (1.0 - tolerance) * expected => Self::Weak,
            Some(flow) if flow > (1.0 + tolerance) * expected => Self::Strong,
            Some(_) => Self::Agrees,
        }
    }
}

/// Field tests against model and target.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldCheck {
    /// Measured water flow, m³/s; none without a bucket test.
    pub water_flow_m3_s: Option<f64>,
    /// Measured concentrate flow, m³/s; none without a draw-down test.
    pub concentrate_flow_m3_s: Option<f64>,
    /// Measured ratio; none with a test missing or nothing drawn.
    pub measured_ratio: Option<f64>,
    /// The model's ratio.
    pub model_ratio: Option<f64>,
    /// Measured ratio over target; above 1 is too weak.
    pub against_target: Option<f64>,
    /// Measured water over the model's; none when the model has none.
    pub water_quotient: Option<f64>,
    /// Measured draw over what the model draws at the measured water (at its own water without a
    /// bucket test); none when the model draws nothing.
    pub draw_quotient: Option<f64>,
    /// Finding on the water side: strainer, supply, throat.
    pub water: FlowFinding,
    /// Finding on the suction side: tip, hose, leak, lift, thickness.
    pub draw: FlowFinding,
}

/// Reduces a draw-down test and a bucket test to flows and ratio and says which side disagrees with the model.
///
/// `target_ratio` 1 to 10 000; `tolerance` share by which a flow may differ before it counts, 0.01 to 0.5 (0.10 is an
/// engineering estimate of what a bucket and a stopwatch are good for).
///
/// # Errors
/// A field out of range or in conflict, by its path; a bucket that caught less than was drawn.
pub fn check_field_tests(
    dilution: &Dilution,
    conditions: &DilutionConditions,
    target_ratio: f64,
    draw_down: Option<TimedVolume>,
    bucket: Option<(TimedVolume, Caught)>,
    tolerance: f64,
) -> Result<FieldCheck, FoamError> {
    within("target_ratio", target_ratio, "", 1.0, 1e4, "parts of water to one of concentrate")?;
    within("tolerance", tolerance, "", 0.01, 0.5, "0.1 suits a bucket and a stopwatch")?;
    let model = dilution.solve(conditions)?;
    let concentrate = draw_down.map(|test| test.flow_m3_s("draw_down")).transpose()?;
    let water = match bucket {
        None => None,
        Some((test, Caught::Water)) => Some(test.flow_m3_s("bucket")?),
        Some((test, Caught::Solution)) => {
            let caught = test.flow_m3_s("bucket")?;
            // Without a draw-down the concentrate in the bucket is taken from the model.
            let drawn = concentrate.unwrap_or(caught * model.concentrate_share);
            if drawn > 0.0 && drawn >= caught {
                return Err(FoamError::conflict(
                    "bucket",
                    format!("{caught:.4e} m3/s caught, {drawn:.4e} m3/s drawn"),
                    "more caught than drawn",
                    "catch the injector's whole outlet, and time both tests again",
                ));
            }
            Some(caught - drawn)
        }
    };
    let expected_draw = match water {
        None => model.concentrate_flow_m3_s,
        Some(measured) => {
            let path = dilution.water_path(conditions)?;
            let bore_m = dilution.fitted_bore_m();
            let correction = dilution.measured_correction(bore_m)?;
            dilution
                .draw_at(
                    throat_pa(&path, measured, conditions.outlet_pressure_pa),
                    conditions,
                    bore_m,
                    correction,
                )
                .1
        }
    };
    let quotient =
        |measured: Option<f64>, expected: f64| measured.filter(|_| expected > 0.0).map(|m| m / expected);
    let water_quotient = quotient(water, model.water_flow_m3_s);
    let draw_quotient = quotient(concentrate, expected_draw);
    let measured_ratio = water.zip(concentrate).filter(|&(_, c)| c > 0.0).map(|(w, c)| w / c);
    Ok(FieldCheck {
        water_flow_m3_s: water,
        concentrate_flow_m3_s: concentrate,
        measured_ratio,
        model_ratio: model.ratio,
        against_target: measured_ratio.map(|ratio| ratio / target_ratio),
        water_quotient,
        draw_quotient,
        water: FlowFinding::of(water, model.water_flow_m3_s, tolerance),
        draw: FlowFinding::of(concentrate, expected_draw, tolerance),
    })
}
