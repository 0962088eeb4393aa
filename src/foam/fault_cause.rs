//! What can go wrong with a foam station: each cause as a change of the model, how to check it, and what to mind first.

use super::foam_maker::GREATEST_PRESSURE_PA;
use super::station::Station;
use crate::elementary::Elementary;

/// Something that can be wrong, in the order to check: gauges and levels, knobs, what needs a tool, what needs a part out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// The water supply is low.
    SupplyLow,
    /// The container of concentrate is nearly empty: the lift is longer.
    ContainerLow,
    /// The liquid regulator or the pump is low.
    LiquidPressureLow,
    /// The liquid regulator is high.
    LiquidPressureHigh,
    /// The air regulator or the compressor is low.
    AirPressureLow,
    /// The air regulator is high.
    AirPressureHigh,
    /// The needle valve is too far shut.
    NeedleShut,
    /// The needle valve is too far open.
    NeedleOpen,
    /// The suction line draws air.
    SuctionLeak,
    /// The concentrate is thick: cold, or aged.
    ConcentrateThick,
    /// The strainer is blocked.
    StrainerBlocked,
    /// The metering tip is part-blocked.
    TipBlocked,
    /// The metering tip is worn, missing or of too wide a bore.
    TipWide,
    /// The injector delivers against pressure: a kinked or submerged outlet.
    InjectorBackPressure,
    /// The outlets or their hose are part-blocked.
    OutletsBlocked,
    /// The outlets are worn, or a hose is off.
    OutletsWide,
    /// The liquid line or its restrictor is part-blocked.
    LiquidLineBlocked,
    /// The injector's throat is scaled.
    ThroatScaled,
    /// The injector's throat is worn.
    ThroatWorn,
}

/// What to mind before the work, most urgent first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Caution {
    /// Lock out and tag out the pump and the conveyor.
    LockOut,
    /// Shut the water.
    ShutWater,
    /// Shut the air and bleed it to zero.
    BleedAir,
    /// Relieve the pressure in the line before it is opened.
    RelievePressure,
    /// Read the safety data sheet; gloves and eye protection.
    DataSheet,
    /// One knob at a time, in small steps, standing clear of the outlets.
    SmallSteps,
}

impl Caution {
    /// The caution in words.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::LockOut => {
                "lock out and tag out pump and conveyor; the maker's manual and local codes come first"
            }
            Self::ShutWater => "shut the water before anything on the water side is opened",
            Self::BleedAir => "shut the air, bleed it to zero and prove it at the gauge",
            Self::RelievePressure => "relieve the pressure in the line before it is opened",
            Self::DataSheet => "read the concentrate's safety data sheet; gloves and eye protection",
            Self::SmallSteps => "one knob at a time, in small steps, clear of the outlets",
        }
    }
}

impl Cause {
    /// Every cause in the order to check.
    pub const ALL: [Self; 19] = [
        Self::SupplyLow,
        Self::ContainerLow,
        Self::LiquidPressureLow,
        Self::LiquidPressureHigh,
        Self::AirPressureLow,
        Self::AirPressureHigh,
        Self::NeedleShut,
        Self::NeedleOpen,
        Self::SuctionLeak,
        Self::ConcentrateThick,
        Self::StrainerBlocked,
        Self::TipBlocked,
        Self::TipWide,
        Self::InjectorBackPressure,
        Self::OutletsBlocked,
        Self::OutletsWide,
        Self::LiquidLineBlocked,
        Self::ThroatScaled,
        Self::ThroatWorn,
    ];

    /// The cause in words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::SupplyLow => "water supply low",
            Self::ContainerLow => "concentrate container low",
            Self::LiquidPressureLow => "liquid pressure low (regulator or pump)",
            Self::LiquidPressureHigh => "liquid pressure high",
            Self::AirPressureLow => "air pressure low (regulator or compressor)",
            Self::AirPressureHigh => "air pressure high",
            Self::NeedleShut => "needle valve too far shut",
            Self::NeedleOpen => "needle valve too far open",
            Self::SuctionLeak => "air leak in the suction line",
            Self::ConcentrateThick => "concentrate thick (cold or aged)",
            Self::StrainerBlocked => "water strainer blocked",
            Self::TipBlocked => "metering tip part-blocked",
            Self::TipWide => "metering tip worn, missing or too wide",
            Self::InjectorBackPressure => "injector outlet kinked or submerged",
            Self::OutletsBlocked => "outlets or hose part-blocked",
            Self::OutletsWide => "outlets worn or a hose off",
            Self::LiquidLineBlocked => "liquid line or restrictor part-blocked",
            Self::ThroatScaled => "injector throat scaled",
            Self::ThroatWorn => "injector throat worn",
        }
    }

    /// How to check and mend it.
    #[must_use]
    pub fn check(self) -> &'static str {
        match self {
            Self::SupplyLow => {
                "read the water gauge while water runs; look for another user or a half-shut valve"
            }
            Self::ContainerLow => "look at the level; the foot of the hose must be covered",
            Self::LiquidPressureLow => {
                "read the liquid gauge while foam runs; tank level, pump inlet, then regulator"
            }
            Self::LiquidPressureHigh => "read the liquid gauge while foam runs; turn the regulator down",
            Self::AirPressureLow => "read the air gauge while foam runs; compressor first, then regulator",
            Self::AirPressureHigh => "read the air gauge while foam runs; turn the regulator down",
            Self::NeedleShut => "count the steps from shut; open a step at a time and watch the foam",
            Self::NeedleOpen => "count the steps from shut; close a step at a time and watch the foam",
            Self::SuctionLeak => {
                "look for bubbles in the suction hose; reseat clamps, replace a cracked hose"
            }
            Self::ConcentrateThick => "compare its temperature and age with the data sheet",
            Self::StrainerBlocked => {
                "compare the gauges before and after it, or time a bucket; clean the mesh"
            }
            Self::TipBlocked => "take the tip out, rinse it, look through it; never widen it with a drill",
            Self::TipWide => "gauge the bore and compare with the list",
            Self::InjectorBackPressure => "follow the outlet hose: no kink, its end above the water",
            Self::OutletsBlocked => "look at each outlet for a weak one; rinse outlets and mixing media",
            Self::OutletsWide => "look for a hose off or an outlet missing; gauge the bores",
            Self::LiquidLineBlocked => "time a bucket with the air shut; rinse the restrictor",
            Self::ThroatScaled => "time a bucket with the suction shut; descale as the maker's manual says",
            Self::ThroatWorn => "time a bucket with the suction shut; replace the injector",
        }
    }

    /// What to mind before the work.
    #[must_use]
    pub fn cautions(self) -> &'static [Caution] {
        match self {
            Self::SupplyLow => &[Caution::SmallSteps],
            Self::ContainerLow | Self::ConcentrateThick => &[Caution::DataSheet],
            Self::LiquidPressureLow | Self::LiquidPressureHigh => &[Caution::SmallSteps],
            Self::AirPressureLow | Self::AirPressureHigh | Self::NeedleShut | Self::NeedleOpen => {
                &[Caution::SmallSteps]
            }
            Self::SuctionLeak | Self::TipBlocked | Self::TipWide => {
                &[Caution::ShutWater, Caution::RelievePressure, Caution::DataSheet]
            }
            Self::StrainerBlocked | Self::InjectorBackPressure => {
                &[Caution::ShutWater, Caution::RelievePressure]
            }
            Self::ThroatScaled | Self::ThroatWorn => {
                &[Caution::ShutWater, Caution::RelievePressure, Caution::DataSheet]
            }
            Self::OutletsBlocked | Self::OutletsWide | Self::LiquidLineBlocked => &[
                Caution::LockOut,
                Caution::ShutWater,
                Caution::BleedAir,
                Caution::RelievePressure,
                Caution::DataSheet,
            ],
        }
    }

    /// What [`Cause::value`] means and its unit.
    #[must_use]
    pub fn value_meaning(self) -> &'static str {
        match self {
            Self::SupplyLow => "supply pressure, Pa gauge",
            Self::ContainerLow => "lift, m",
            Self::LiquidPressureLow | Self::LiquidPressureHigh => "liquid pressure, Pa gauge",
            Self::AirPressureLow | Self::AirPressureHigh => "air pressure, Pa gauge",
            Self::NeedleShut | Self::NeedleOpen => "opening, steps",
            Self::SuctionLeak => "share of the draw that is air",
            Self::ConcentrateThick => "viscosity over that described",
            Self::StrainerBlocked | Self::TipBlocked | Self::OutletsBlocked => "share blocked",
            Self::TipWide | Self::OutletsWide => "bore over that described",
            Self::InjectorBackPressure => "outlet pressure, Pa gauge",
            Self::LiquidLineBlocked => "share of the restrictor and line area blocked",
            Self::ThroatScaled | Self::ThroatWorn => "throat bore over that described",
        }
    }

    /// Whether two causes work on the same part and exclude each other.
    #[must_use]
    pub fn same_part(self, other: Self) -> bool {
        self.part() == other.part()
    }

    fn part(self) -> u8 {
        match self {
            Self::SupplyLow => 0,
            Self::ContainerLow => 1,
            Self::LiquidPressureLow | Self::LiquidPressureHigh => 2,
            Self::AirPressureLow | Self::AirPressureHigh => 3,
            Self::NeedleShut | Self::NeedleOpen => 4,
            Self::SuctionLeak => 5,
            Self::ConcentrateThick => 6,
            Self::StrainerBlocked => 7,
            Self::TipBlocked | Self::TipWide => 8,
            Self::InjectorBackPressure => 9,
            Self::OutletsBlocked | Self::OutletsWide => 10,
            Self::LiquidLineBlocked => 11,
            Self::ThroatScaled | Self::ThroatWorn => 12,
        }
    }

    /// The severity `level` (0 none to 1 worst) in the cause's own terms; see [`Cause::value_meaning`].
    ///
    /// Ranges: pressures fall to nothing or rise to double (at least by 200 kPa); lift to 4 m more; needle to shut or fully
    /// open; leak to all air; viscosity to twentyfold; blockage to 99.9 %, finer towards the end; bores to 2.5 times, throat
    /// from half to 1.6 times; back pressure to the supply's.
    #[must_use]
    pub fn value(self, station: &Station, level: f64) -> f64 {
        let settings = &station.settings;
        let lower = |now: f64| now * (1.0 - level);
        let raise = |now: f64| (now + now.max(2e5) * level).min(GREATEST_PRESSURE_PA);
        let block = |now: f64| 1.0 - (1.0 - now) * 10f64.power(-3.0 * level);
        let liquid = settings.liquid_pressure_pa.min(station.maker.liquid.pump_pressure_pa);
        let air = settings.air_pressure_pa.min(station.maker.air.supply_pressure_pa);
        match self {
            Self::SupplyLow => lower(station.conditions.supply_pressure_pa),
            Self::ContainerLow => station.conditions.lift_m + 4.0 * level,
            Self::LiquidPressureLow => lower(liquid),
            Self::LiquidPressureHigh => raise(liquid),
            Self::AirPressureLow => lower(air),
            Self::AirPressureHigh => raise(air),
            Self::NeedleShut => lower(settings.needle_step),
            Self::NeedleOpen => {
                settings.needle_step
                    + (station.maker.air.needle.full_open_steps - settings.needle_step) * level
            }
            Self::SuctionLeak => {
                station.conditions.suction_leak + (1.0 - station.conditions.suction_leak) * level
            }
            Self::ConcentrateThick => 20f64.power(level),
            Self::StrainerBlocked => block(station.conditions.strainer_blocked).min(0.999),
            Self::TipBlocked => block(station.conditions.tip_blocked).min(0.999),
            Self::OutletsBlocked => block(station.maker.outlets.blocked).min(0.999),
            Self::LiquidLineBlocked => block(station.maker.liquid.blocked).min(0.999),
            Self::TipWide | Self::OutletsWide => 1.0 + 1.5 * level,
            Self::InjectorBackPressure => {
                let now = station.conditions.outlet_pressure_pa;
                now + (station.conditions.supply_pressure_pa.min(1e6) - now).max(0.0) * level
            }
            Self::ThroatScaled => 1.0 - 0.5 * level,
            Self::ThroatWorn => 1.0 + 0.6 * level,
        }
    }

    /// Puts the cause into `station` at a severity of 0 (none) to 1 (worst).
    pub fn apply(self, station: &mut Station, level: f64) {
        let value = self.value(station, level);
        match self {
            Self::SupplyLow => station.conditions.supply_pressure_pa = value,
            Self::ContainerLow => station.conditions.lift_m = value,
            Self::LiquidPressureLow => station.settings.liquid_pressure_pa = value,
            Self::LiquidPressureHigh => {
                station.settings.liquid_pressure_pa = value;
                // A regulator can only be high if the pump can follow.
                station.maker.liquid.pump_pressure_pa = station.maker.liquid.pump_pressure_pa.max(value);
            }
            Self::AirPressureLow => station.settings.air_pressure_pa = value,
            Self::AirPressureHigh => {
                station.settings.air_pressure_pa = value;
                station.maker.air.supply_pressure_pa = station.maker.air.supply_pressure_pa.max(value);
            }
            Self::NeedleShut | Self::NeedleOpen => station.settings.needle_step = value,
            Self::SuctionLeak => station.conditions.suction_leak = value,
            Self::ConcentrateThick => station.conditions.viscosity_factor *= value,
            Self::StrainerBlocked => station.conditions.strainer_blocked = value,
            Self::TipBlocked => station.conditions.tip_blocked = value,
            Self::OutletsBlocked => station.maker.outlets.blocked = value,
            Self::LiquidLineBlocked => station.maker.liquid.blocked = value,
            Self::TipWide => station.conditions.tip_bore_factor *= value,
            Self::OutletsWide => station.maker.outlets.bore_m *= value,
            Self::InjectorBackPressure => station.conditions.outlet_pressure_pa = value,
            Self::ThroatScaled | Self::ThroatWorn => station.conditions.throat_bore_factor *= value,
        }
    }
}
