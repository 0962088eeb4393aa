//! What was read at a station, and what a station at work would show.

use super::super::error::{FoamError, within};
use super::super::station::{Station, StationResult};
use super::{Reading, Readings};

impl Readings {
    /// The readings that were taken, in a fixed order.
    #[must_use]
    pub fn list(&self) -> Vec<(Reading, f64)> {
        [
            (Reading::Supply, self.supply_pa),
            (Reading::InjectorInlet, self.injector_inlet_pa),
            (Reading::Suction, self.suction_pa),
            (Reading::WaterFlow, self.water_flow_m3_s),
            (Reading::ConcentrateFlow, self.concentrate_flow_m3_s),
            (Reading::Ratio, self.ratio),
            (Reading::LiquidGauge, self.liquid_pa),
            (Reading::AirGauge, self.air_pa),
            (Reading::Tee, self.tee_pa),
            (Reading::LiquidFlow, self.liquid_flow_m3_s),
            (Reading::Expansion, self.expansion_ratio),
        ]
        .into_iter()
        .filter_map(|(reading, value)| value.map(|v| (reading, v)))
        .collect()
    }

    pub(super) fn check(&self) -> Result<(), FoamError> {
        for (reading, value) in self.list() {
            let (field, unit, low, high) = match reading {
                Reading::Supply => ("readings.supply_pa", "Pa", 0.0, 2e6),
                Reading::InjectorInlet => ("readings.injector_inlet_pa", "Pa", 0.0, 2e6),
                Reading::Suction => ("readings.suction_pa", "Pa", 0.0, 101_325.0),
                Reading::WaterFlow => ("readings.water_flow_m3_s", "m3/s", 0.0, 0.01),
                Reading::ConcentrateFlow => ("readings.concentrate_flow_m3_s", "m3/s", 0.0, 0.01),
                Reading::Ratio => ("readings.ratio", "", 1.0, 1e5),
                Reading::LiquidGauge => ("readings.liquid_pa", "Pa", 0.0, 2e6),
                Reading::AirGauge => ("readings.air_pa", "Pa", 0.0, 2e6),
                Reading::Tee => ("readings.tee_pa", "Pa", 0.0, 2e6),
                Reading::LiquidFlow => ("readings.liquid_flow_m3_s", "m3/s", 0.0, 0.1),
                Reading::Expansion => ("readings.expansion_ratio", "", 1.0, 1e4),
            };
            within(field, value, unit, low, high, "read it again, and leave out what was not read")?;
        }
        Ok(())
    }
}

impl Reading {
    /// Whether the reading is a pressure.
    #[must_use]
    pub fn is_pressure(self) -> bool {
        matches!(
            self,
            Self::Supply
                | Self::InjectorInlet
                | Self::Suction
                | Self::LiquidGauge
                | Self::AirGauge
                | Self::Tee
        )
    }

    /// What a station at work would give for the reading (SI).
    #[must_use]
    pub fn of(self, station: &Station, result: &StationResult) -> Option<f64> {
        let (dilution, balance) = (&result.dilution, &result.balance);
        match self {
            Self::Supply => Some(station.conditions.supply_pressure_pa),
            Self::InjectorInlet => Some(dilution.injector_inlet_pa),
            Self::Suction => Some((-dilution.throat_pa).max(0.0)),
            Self::WaterFlow => Some(dilution.water_flow_m3_s),
            Self::ConcentrateFlow => Some(dilution.concentrate_flow_m3_s),
            Self::Ratio => dilution.ratio,
            Self::LiquidGauge => Some(liquid_gauge_pa(station, result)),
            Self::AirGauge => {
                Some(station.settings.air_pressure_pa.min(station.maker.air.supply_pressure_pa))
            }
            Self::Tee => Some(balance.tee_pa),
            Self::LiquidFlow => Some(balance.liquid_flow_m3_s),
            Self::Expansion => balance.expansion_ratio,
        }
    }
}

/// What the liquid gauge shows: tee, check valve and line drop while it flows, the lesser of pump and regulator at rest.
fn liquid_gauge_pa(station: &Station, result: &StationResult) -> f64 {
    let (feed, flow) = (&station.maker.liquid, result.balance.liquid_flow_m3_s);
    if flow > 0.0 {
        let loss = feed.loss_pa_s2_m6(station.maker.liquid_density_kg_m3);
        result.balance.tee_pa + feed.check_valve_pa + loss * flow * flow
    } else {
        station.settings.liquid_pressure_pa.min(feed.pump_pressure_pa)
    }
}
