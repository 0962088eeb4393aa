//! Where the pressure goes in a foam maker at work: step by step from each regulator to the tee, from the tee to the air.
//!
//! ```text
//! liquid   set - droop Q - check valve - k_restrictor Q² - k_line Q² = tee
//! air      set - check valve - needle valve = tee
//! foam     tee - hose and outlets = 0 gauge
//! ```
//!
//! This is why air of half the liquid's pressure gets in at all: it meets the liquid after the restrictor. Pressures Pa gauge.

use super::foam_maker::{FoamBalance, FoamMaker, FoamSettings};
use crate::fluid::liquid::{bore_area_m2, orifice_coefficient_pa_s2_m6};

/// A place where pressure is lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Droop of the liquid regulator under flow.
    RegulatorDroop,
    /// Droop of the pump under flow, when it is the pump that limits the liquid.
    PumpDroop,
    /// Check valve of the liquid line.
    LiquidCheckValve,
    /// Restrictor before the tee.
    Restrictor,
    /// Liquid line and its fittings.
    LiquidLine,
    /// Check valve of the air line.
    AirCheckValve,
    /// Needle valve.
    NeedleValve,
    /// Hose and outlets.
    Outlets,
}

impl Step {
    /// Name in trade words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::RegulatorDroop => "liquid regulator under flow",
            Self::PumpDroop => "pump under flow",
            Self::LiquidCheckValve => "liquid check valve",
            Self::Restrictor => "restrictor",
            Self::LiquidLine => "liquid line and fittings",
            Self::AirCheckValve => "air check valve",
            Self::NeedleValve => "needle valve",
            Self::Outlets => "hose and outlets",
        }
    }
}

/// A loss of pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loss {
    /// Where.
    pub step: Step,
    /// How much, Pa, 0 or more.
    pub drop_pa: f64,
    /// What is left after it, Pa gauge.
    pub after_pa: f64,
}

/// The way of liquid, air and foam.
#[derive(Debug, Clone, PartialEq)]
pub struct PressurePath {
    /// Where the liquid starts, Pa gauge: the regulator's setting, or the pump's pressure when that is what limits it.
    pub liquid_source_pa: f64,
    /// It is the pump that limits the liquid, not the regulator.
    pub pump_limits: bool,
    /// From there to the tee; empty when no liquid flows.
    pub liquid: Vec<Loss>,
    /// Where the air starts, Pa gauge: the regulator's setting, or the supply when that is lower.
    pub air_source_pa: f64,
    /// From there to the tee; empty when no air flows.
    pub air: Vec<Loss>,
    /// From the tee to the atmosphere; empty when nothing flows.
    pub foam: Vec<Loss>,
}

/// The way of the pressure for a balance that `maker` has at `settings`.
#[must_use]
pub fn pressure_path(maker: &FoamMaker, settings: &FoamSettings, balance: &FoamBalance) -> PressurePath {
    let (feed, flow) = (&maker.liquid, balance.liquid_flow_m3_s);
    let regulator_left = settings.liquid_pressure_pa - feed.regulator_droop_pa_s_m3 * flow;
    let pump_left = feed.pump_pressure_pa - feed.pump_droop_pa_s_m3 * flow;
    let pump_limits = pump_left < regulator_left;
    let (liquid_source_pa, droop_step, droop) = if pump_limits {
        (feed.pump_pressure_pa, Step::PumpDroop, feed.pump_droop_pa_s_m3)
    } else {
        (settings.liquid_pressure_pa, Step::RegulatorDroop, feed.regulator_droop_pa_s_m3)
    };
    let squared = flow * flow;
    let total = feed.loss_pa_s2_m6(maker.liquid_density_kg_m3) * squared;
    let restrictor = orifice_coefficient_pa_s2_m6(
        feed.restrictor_discharge_coefficient,
        bore_area_m2(feed.restrictor_bore_m),
        maker.liquid_density_kg_m3,
    ) / (1.0 - feed.blocked).powi(2)
        * squared;
    let liquid = if flow > 0.0 {
        losses(
            liquid_source_pa,
            &[
                (droop_step, droop * flow),
                (Step::LiquidCheckValve, feed.check_valve_pa),
                (Step::Restrictor, restrictor),
                (Step::LiquidLine, (total - restrictor).max(0.0)),
            ],
        )
    } else {
        Vec::new()
    };
    let air_source_pa = settings.air_pressure_pa.min(maker.air.supply_pressure_pa);
    let air = if balance.air_flow_kg_s > 0.0 {
        let crack = maker.air.check_valve_pa;
        let needle = air_source_pa - crack - balance.tee_pa;
        losses(air_source_pa, &[(Step::AirCheckValve, crack), (Step::NeedleValve, needle)])
    } else {
        Vec::new()
    };
    let foam = if balance.tee_pa > 0.0 {
        losses(balance.tee_pa, &[(Step::Outlets, balance.tee_pa)])
    } else {
        Vec::new()
    };
    PressurePath { liquid_source_pa, pump_limits, liquid, air_source_pa, air, foam }
}

fn losses(from_pa: f64, steps: &[(Step, f64)]) -> Vec<Loss> {
    let mut left = from_pa;
    steps
        .iter()
        .map(|&(step, drop_pa)| {
            left -= drop_pa;
            Loss { step, drop_pa, after_pa: left }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::foam::demo;

    #[test]
    fn verif_every_way_ends_at_the_tee() {
        let station = demo();
        // At 60 psi of pump, drooping, the pump limits what a regulator at 58 psi would give.
        for (liquid_psi, air_psi, pump_limits) in
            [(40.0, 20.0, false), (30.0, 12.0, false), (58.0, 10.0, true), (80.0, 20.0, true)]
        {
            let settings = FoamSettings {
                liquid_pressure_pa: liquid_psi * 6894.757,
                air_pressure_pa: air_psi * 6894.757,
                needle_step: 11.0,
            };
            let balance = station.maker.balance(&settings).unwrap();
            let path = pressure_path(&station.maker, &settings, &balance);
            assert!(balance.liquid_flow_m3_s > 0.0 && balance.tee_pa > 0.0);
            let end = path.liquid.last().unwrap().after_pa;
            assert!((end - balance.tee_pa).abs() < 1e-6 * balance.tee_pa, "{end} {}", balance.tee_pa);
            assert!(path.liquid.iter().all(|loss| loss.drop_pa >= 0.0));
            assert_eq!(path.pump_limits, pump_limits);
            if balance.air_flow_kg_s > 0.0 {
                let end = path.air.last().unwrap().after_pa;
                assert!((end - balance.tee_pa).abs() < 1e-9 * path.air_source_pa);
                assert!(path.air.iter().all(|loss| loss.drop_pa > 0.0));
            } else {
                assert!(path.air.is_empty());
            }
        }
    }
}
