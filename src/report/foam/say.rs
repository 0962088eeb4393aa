//! Numbers of a foam station as people say them.

use crate::foam::fault::Reading;
use crate::foam::fault_cause::Cause;
use crate::foam::regime_map::Knob;
use crate::foam::station::StationNote;
use crate::units::{
    Dimension, DimensionInfo, FlowDim, LengthDim, PressureDim, UnitSystem, VolumeDim, format, format_in,
};

/// What stands for a number that does not exist.
pub(super) const NONE: &str = "–";

/// Speaks SI numbers in one unit system.
#[derive(Debug, Clone, Copy)]
pub(super) struct Say {
    pub units: UnitSystem,
}

impl Say {
    fn pick(self, info: &'static DimensionInfo, si: f64, us: (&str, usize), metric: (&str, usize)) -> String {
        let (unit, decimals) = match self.units {
            UnitSystem::Us => us,
            UnitSystem::Si => metric,
        };
        format_in(info, si, unit, decimals)
    }

    /// A gauge pressure or a drop.
    pub fn pressure(self, pa: f64) -> String {
        self.pick(PressureDim::INFO, pa, ("psi", 1), ("kPa", 1))
    }

    /// A change of pressure, signed.
    pub fn change(self, pa: f64) -> String {
        let size = self.pressure(pa.abs());
        if size.starts_with("0.0 ") { size } else { format!("{}{size}", sign(pa)) }
    }

    /// A vacuum, from a gauge pressure under 0.
    pub fn vacuum(self, gauge_pa: f64) -> String {
        self.pick(PressureDim::INFO, -gauge_pa, ("inHg", 1), ("kPa", 1))
    }

    /// Water or solution flow.
    pub fn flow(self, m3_s: f64) -> String {
        self.pick(FlowDim::INFO, m3_s, ("gpm", 2), ("L/min", 2))
    }

    /// Concentrate flow.
    pub fn draw(self, m3_s: f64) -> String {
        self.pick(FlowDim::INFO, m3_s, ("fl oz/min", 2), ("mL/min", 1))
    }

    /// Air flow at the reference state.
    pub fn air(self, m3_s: f64) -> String {
        match self.units {
            UnitSystem::Us => format_in(FlowDim::INFO, m3_s, "scfm", 2),
            UnitSystem::Si => format!("{} (ANR)", format_in(FlowDim::INFO, m3_s, "L/min", 1)),
        }
    }

    /// A film.
    pub fn film(self, m: f64) -> String {
        self.pick(LengthDim::INFO, m, ("thou", 2), ("mm", 3))
    }

    /// A lift.
    pub fn lift(self, m: f64) -> String {
        self.pick(LengthDim::INFO, m, ("in", 1), ("mm", 0))
    }

    /// A volume.
    pub fn volume(self, m3: f64) -> String {
        format(VolumeDim::INFO, m3, self.units)
    }

    /// A knob's value.
    pub fn knob(self, knob: Knob, value: f64) -> String {
        match knob {
            Knob::LiquidPressure | Knob::AirPressure => self.pressure(value),
            Knob::Needle => steps(value),
        }
    }

    /// A knob's change, signed.
    pub fn knob_change(self, knob: Knob, value: f64) -> String {
        format!("{}{}", sign(value), self.knob(knob, value.abs()))
    }

    /// A reading.
    pub fn reading(self, reading: Reading, si: f64) -> String {
        match reading {
            Reading::Suction => self.vacuum(-si),
            Reading::WaterFlow | Reading::LiquidFlow => self.flow(si),
            Reading::ConcentrateFlow => self.draw(si),
            Reading::Ratio => ratio(si),
            Reading::Expansion => format!("{si:.1}"),
            Reading::Supply
            | Reading::InjectorInlet
            | Reading::LiquidGauge
            | Reading::AirGauge
            | Reading::Tee => self.pressure(si),
        }
    }

    /// How bad a cause would have to be.
    pub fn severity(self, cause: Cause, value: f64) -> String {
        match cause {
            Cause::SupplyLow => format!("supply at {}", self.pressure(value)),
            Cause::ContainerLow => format!("lift of {}", self.lift(value)),
            Cause::LiquidPressureLow | Cause::LiquidPressureHigh => {
                format!("liquid at {}", self.pressure(value))
            }
            Cause::AirPressureLow | Cause::AirPressureHigh => format!("air at {}", self.pressure(value)),
            Cause::NeedleShut | Cause::NeedleOpen => format!("{} open", steps(value)),
            Cause::SuctionLeak => format!("{} of the draw is air", percent(value)),
            Cause::ConcentrateThick => format!("{value:.1} times as thick"),
            Cause::StrainerBlocked | Cause::TipBlocked | Cause::OutletsBlocked | Cause::LiquidLineBlocked => {
                format!("{} blocked", percent(value))
            }
            Cause::TipWide | Cause::OutletsWide | Cause::ThroatScaled | Cause::ThroatWorn => {
                format!("bore {value:.2} times that described")
            }
            Cause::InjectorBackPressure => format!("back pressure of {}", self.pressure(value)),
        }
    }

    /// A note in words.
    pub fn note(self, note: &StationNote) -> String {
        match *note {
            StationNote::SuctionLost(pa) => format!(
                "Suction lost: the throat stands at {}, not under atmosphere, so nothing is drawn.",
                self.pressure(pa)
            ),
            StationNote::LiftTooHigh(pa) => format!(
                "Suction of {} does not reach the lift and the check valve, so nothing is drawn.",
                self.vacuum(pa)
            ),
            StationNote::AirCannotEnter { air_pa, tee_pa } => format!(
                "Air cannot enter: it is set to {}, the tee stands at {}.",
                self.pressure(air_pa),
                self.pressure(tee_pa)
            ),
            StationNote::LiquidHeldBack { liquid_pa, tee_pa } => format!(
                "Liquid held back: it is set to {}, the air keeps the tee at {}.",
                self.pressure(liquid_pa),
                self.pressure(tee_pa)
            ),
            ref other => {
                let said = other.to_string();
                let mut letters = said.chars();
                let capital =
                    letters.next().map(|c| c.to_uppercase().collect::<String>()).unwrap_or_default();
                format!("{capital}{}.", letters.as_str())
            }
        }
    }
}

/// Steps of the needle valve.
pub(super) fn steps(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    format!("{text} step{}", if text == "1" { "" } else { "s" })
}

/// A bore in inches and millimetres: drills come in both.
pub(super) fn both_bores(m: f64) -> String {
    format!("{} ({})", format_in(LengthDim::INFO, m, "in", 4), format_in(LengthDim::INFO, m, "mm", 2))
}

fn sign(value: f64) -> &'static str {
    if value < 0.0 { "−" } else { "+" }
}

/// A mixing ratio.
pub(super) fn ratio(parts: f64) -> String {
    if parts >= 99.95 { format!("{parts:.0}:1") } else { format!("{parts:.1}:1") }
}

/// A mixing ratio, or what stands for none.
pub(super) fn ratio_or_none(parts: Option<f64>) -> String {
    parts.map_or_else(|| "nothing drawn".to_owned(), ratio)
}

/// A share in percent.
pub(super) fn percent(share: f64) -> String {
    let value = 100.0 * share;
    if value < 10.0 { format!("{value:.2} %") } else { format!("{value:.1} %") }
}

/// A number of the model's that may not exist.
pub(super) fn maybe(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| NONE.to_owned(), |v| format!("{v:.decimals$}"))
}

/// A text of the user's without anything that could move a cursor.
pub(super) fn clean(text: &str) -> String {
    text.chars()
        .flat_map(|c| if c.is_control() { c.escape_default().collect::<Vec<_>>() } else { vec![c] })
        .collect()
}

/// Name of a reading as the command line takes it.
pub(super) fn reading_name(reading: Reading) -> &'static str {
    match reading {
        Reading::Supply => "supply",
        Reading::InjectorInlet => "injector-inlet",
        Reading::Suction => "suction",
        Reading::WaterFlow => "water-flow",
        Reading::ConcentrateFlow => "concentrate-flow",
        Reading::Ratio => "ratio",
        Reading::LiquidGauge => "liquid-gauge",
        Reading::AirGauge => "air-gauge",
        Reading::Tee => "tee",
        Reading::LiquidFlow => "liquid-flow",
        Reading::Expansion => "expansion",
    }
}
