//! How far a foam maker is from the neighbouring regimes, what each knob does, and the map of regimes over both pressures.
//!
//! Every boundary of [`super::regime`] is crossed once, towards more air, as the liquid pressure falls or as the air pressure or the needle's
//! opening rises, so each margin is found by bisection.

use super::error::{FoamError, within};
use super::foam_maker::{FoamMaker, FoamSettings, GREATEST_PRESSURE_PA};
use super::regime::Regime;

/// A knob of the foam maker.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Knob {
    /// Liquid regulator, Pa.
    LiquidPressure,
    /// Air regulator, Pa.
    AirPressure,
    /// Needle valve, field steps.
    Needle,
}

impl Knob {
    /// All three.
    pub const ALL: [Self; 3] = [Self::LiquidPressure, Self::AirPressure, Self::Needle];

    /// The knob's value in `settings` (Pa or steps).
    #[must_use]
    pub fn value(self, settings: &FoamSettings) -> f64 {
        match self {
            Self::LiquidPressure => settings.liquid_pressure_pa,
            Self::AirPressure => settings.air_pressure_pa,
            Self::Needle => settings.needle_step,
        }
    }

    /// `settings` with the knob at `value` (Pa or steps).
    #[must_use]
    pub fn with(self, settings: &FoamSettings, value: f64) -> FoamSettings {
        let mut changed = *settings;
        match self {
            Self::LiquidPressure => changed.liquid_pressure_pa = value,
            Self::AirPressure => changed.air_pressure_pa = value,
            Self::Needle => changed.needle_step = value,
        }
        changed
    }
}

/// How far a neighbouring regime is, on one knob in one direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegimeMargin {
    /// The knob turned.
    pub knob: Knob,
    /// What the neighbour is; none when the knob's whole travel changes nothing.
    pub neighbour: Option<Regime>,
    /// Where on the knob the boundary lies (Pa or steps).
    pub boundary: f64,
    /// Boundary less present value (Pa or steps): positive = turn up.
    pub change: f64,
    /// Whether turning this way gives the air more say.
    pub towards_air: bool,
    /// Where the boundary comes from.
    pub source: &'static str,
}

/// Margins to the neighbouring regimes: for each knob, towards more and towards less air.
///
/// # Errors
/// A field out of range or in conflict, by its path.
pub fn regime_margins(maker: &FoamMaker, settings: &FoamSettings) -> Result<Vec<RegimeMargin>, FoamError> {
    let now = maker.balance(settings)?.regime;
    let mut margins = Vec::with_capacity(6);
    for knob in Knob::ALL {
        let top = match knob {
            Knob::LiquidPressure | Knob::AirPressure => GREATEST_PRESSURE_PA,
            Knob::Needle => maker.air.needle.full_open_steps,
        };
        for (end, towards_air) in [(0.0, knob == Knob::LiquidPressure), (top, knob != Knob::LiquidPressure)] {
            margins.push(margin(maker, settings, knob, end, towards_air, now));
        }
    }
    Ok(margins)
}

fn margin(
    maker: &FoamMaker,
    settings: &FoamSettings,
    knob: Knob,
    end: f64,
    towards_air: bool,
    now: Regime,
) -> RegimeMargin {
    let at = |value: f64| maker.balance_checked(&knob.with(settings, value)).regime;
    let start = knob.value(settings);
    if at(end) == now {
        return RegimeMargin {
            knob,
            neighbour: None,
            boundary: end,
            change: end - start,
            towards_air,
            source: "end of the knob's travel",
        };
    }
    let (mut same, mut other) = (start, end);
    loop {
        let middle = 0.5 * (same + other);
        if middle == same || middle == other {
            break;
        }
        if at(middle) == now {
            same = middle;
        } else {
            other = middle;
        }
    }
    let neighbour = at(other);
    RegimeMargin {
        knob,
        neighbour: Some(neighbour),
        boundary: other,
        change: other - start,
        towards_air,
        source: neighbour.max(now).boundary_source(),
    }
}

/// What one field step on one knob does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnobEffect {
    /// The knob turned.
    pub knob: Knob,
    /// By how much (Pa or steps), signed.
    pub step: f64,
    /// Change of solution flow, m³/s.
    pub liquid_flow_change_m3_s: f64,
    /// Change of air flow, kg/s.
    pub air_flow_change_kg_s: f64,
    /// Change of tee pressure, Pa.
    pub tee_change_pa: f64,
    /// Expansion ratio after the step; none when no liquid flows.
    pub expansion_ratio: Option<f64>,
    /// Change of expansion ratio; none when there is none before or after.
    pub expansion_change: Option<f64>,
    /// Regime after the step.
    pub regime: Regime,
}

/// What `pressure_step_pa` up and down on either regulator, and `needle_step` steps of the needle valve, do here and now.
/// A step that would leave the knob's travel is left out.
///
/// # Errors
/// A field out of range or in conflict, by its path.
pub fn knob_effects(
    maker: &FoamMaker,
    settings: &FoamSettings,
    pressure_step_pa: f64,
    needle_step: f64,
) -> Result<Vec<KnobEffect>, FoamError> {
    let before = maker.balance(settings)?;
    within("pressure_step_pa", pressure_step_pa, "Pa", 1.0, 5e5, "one psi is 6895 Pa")?;
    within("needle_step", needle_step, "steps", 1e-3, 200.0, "one step is 1")?;
    let mut effects = Vec::with_capacity(6);
    for knob in Knob::ALL {
        let size = if knob == Knob::Needle { needle_step } else { pressure_step_pa };
        for step in [size, -size] {
            let changed = knob.with(settings, knob.value(settings) + step);
            if changed.check(maker.air.needle.full_open_steps).is_err() {
                continue;
            }
            let after = maker.balance_checked(&changed);
            effects.push(KnobEffect {
                knob,
                step,
                liquid_flow_change_m3_s: after.liquid_flow_m3_s - before.liquid_flow_m3_s,
                air_flow_change_kg_s: after.air_flow_kg_s - before.air_flow_kg_s,
                tee_change_pa: after.tee_pa - before.tee_pa,
                expansion_ratio: after.expansion_ratio,
                expansion_change: after.expansion_ratio.zip(before.expansion_ratio).map(|(a, b)| a - b),
                regime: after.regime,
            });
        }
    }
    Ok(effects)
}

/// One point of a map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapCell {
    /// Regime.
    pub regime: Regime,
    /// Expansion ratio at atmosphere; none when no liquid flows.
    pub expansion_ratio: Option<f64>,
    /// Tee pressure, Pa gauge.
    pub tee_pa: f64,
    /// Solution flow, m³/s.
    pub liquid_flow_m3_s: f64,
}

/// Regimes over liquid and air pressure with the needle where it is.
#[derive(Debug, Clone, PartialEq)]
pub struct RegimeMap {
    /// Liquid pressures, Pa gauge, rising.
    pub liquid_pa: Vec<f64>,
    /// Air pressures, Pa gauge, rising.
    pub air_pa: Vec<f64>,
    /// `cells[j * liquid_pa.len() + i]` belongs to `liquid_pa[i]` and `air_pa[j]`.
    pub cells: Vec<MapCell>,
    /// The settings the map was asked for.
    pub present: FoamSettings,
}

impl RegimeMap {
    /// The cell of liquid pressure `i` and air pressure `j`, if there is one.
    #[must_use]
    pub fn cell(&self, i: usize, j: usize) -> Option<&MapCell> {
        if i >= self.liquid_pa.len() {
            return None;
        }
        self.cells.get(j * self.liquid_pa.len() + i)
    }
}

/// A range of pressures: from, to (Pa gauge) and how many values, both ends in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressureRange {
    /// First value, Pa gauge, 0 or more.
    pub from_pa: f64,
    /// Last value, Pa gauge, above the first, up to 1 100 000.
    pub to_pa: f64,
    /// Number of values, 2 to 2000.
    pub count: usize,
}

impl PressureRange {
    fn values(&self, field: &str) -> Result<Vec<f64>, FoamError> {
        within(
            &format!("{field}.from_pa"),
            self.from_pa,
            "Pa",
            0.0,
            GREATEST_PRESSURE_PA,
            "start at 0 or above",
        )?;
        within(
            &format!("{field}.to_pa"),
            self.to_pa,
            "Pa",
            self.from_pa,
            GREATEST_PRESSURE_PA,
            "end above the start",
        )?;
        if !(2..=2000).contains(&self.count) {
            return Err(FoamError::conflict(
                format!("{field}.count"),
                format!("{}", self.count),
                "2 to 2000",
                "60 or so makes a readable map",
            ));
        }
        let span = self.to_pa - self.from_pa;
        let last = (self.count - 1) as f64;
        Ok((0..self.count).map(|i| self.from_pa + span * (i as f64 / last)).collect())
    }
}

/// The map of regimes and expansion ratios over liquid × air pressure.
///
/// # Errors
/// A field out of range or in conflict, by its path.
pub fn regime_map(
    maker: &FoamMaker,
    settings: &FoamSettings,
    liquid: PressureRange,
    air: PressureRange,
) -> Result<RegimeMap, FoamError> {
    maker.check()?;
    settings.check(maker.air.needle.full_open_steps).map_err(|e| e.under("settings"))?;
    let liquid_pa = liquid.values("liquid")?;
    let air_pa = air.values("air")?;
    let mut cells = Vec::with_capacity(liquid_pa.len() * air_pa.len());
    for &air_pressure_pa in &air_pa {
        for &liquid_pressure_pa in &liquid_pa {
            let point =
                FoamSettings { liquid_pressure_pa, air_pressure_pa, needle_step: settings.needle_step };
            let balance = maker.balance_checked(&point);
            cells.push(MapCell {
                regime: balance.regime,
                expansion_ratio: balance.expansion_ratio,
                tee_pa: balance.tee_pa,
                liquid_flow_m3_s: balance.liquid_flow_m3_s,
            });
        }
    }
    Ok(RegimeMap { liquid_pa, air_pa, cells, present: *settings })
}
