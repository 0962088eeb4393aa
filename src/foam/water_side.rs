//! The water side of the dilution: strainer and injector. The law is on the front of [`super::dilution`].

use super::conditions::DilutionConditions;
use super::error::{FoamError, within};
use crate::fluid::ATMOSPHERE_PA;
use crate::fluid::liquid::{WATER_20C, WATER_20C_VAPOUR_PA, bore_area_m2};

/// The strainer before the injector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Strainer {
    /// A loss coefficient on a bore: dp = K rho v²/2, clean.
    Loss {
        /// Bore the coefficient is referred to, m, 0.003 to 0.1.
        bore_m: f64,
        /// Loss coefficient K of the clean strainer with its fittings, 0 to 1000.
        loss_coefficient: f64,
    },
    /// What a bucket and a stopwatch gave with the strainer as found.
    BucketFlow {
        /// Water through the injector, m³/s, 1e-6 to 0.01.
        flow_m3_s: f64,
        /// Supply gauge pressure at that time, Pa, 10 000 to 2 000 000.
        supply_pressure_pa: f64,
    },
}

/// The injector, from its bores or from one reading of its vacuum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Injector {
    /// From its bores.
    Bores {
        /// Inlet bore, m, 0.002 to 0.1.
        inlet_bore_m: f64,
        /// Throat bore, m, 0.000 5 to 0.05, under the inlet bore.
        throat_bore_m: f64,
        /// Speed coefficient of the nozzle, 0.8 to 1 (0.96 to 0.99 for a smooth one; from memory).
        nozzle_coefficient: f64,
        /// Share of the throat's dynamic pressure won back by the diffuser, 0 to 0.9.
        recovery: f64,
    },
    /// From one reading with the outlet at atmosphere.
    Reading {
        /// Water flow, m³/s, 1e-6 to 0.01.
        water_flow_m3_s: f64,
        /// Gauge pressure at the injector's inlet, Pa, 10 000 to 2 000 000.
        inlet_pressure_pa: f64,
        /// Vacuum at the suction port with no draw, Pa below atmosphere, 0 to 97 000. A reading near full vacuum
        /// means a boiling throat and cannot tell how much more the injector could do.
        suction_pa: f64,
    },
}

/// The loss coefficients of a stage, Pa s²/m⁶.
#[derive(Debug, Clone, Copy)]
pub(super) struct WaterPath {
    pub(super) strainer: f64,
    pub(super) injector: f64,
    pub(super) suction: f64,
}

/// Gauge pressure under which water at 20 °C boils, Pa.
pub(super) const BOILING_PA: f64 = WATER_20C_VAPOUR_PA - ATMOSPHERE_PA;

/// Throat pressure of a venturi by Bernoulli without loss, Pa gauge: `p1 - rho/2 (v2² - v1²)`.
///
/// `inlet_pa` gauge pressure at the inlet, Pa; `flow_m3_s` water flow; `inlet_bore_m`, `throat_bore_m` bores, m. A
/// positive result means no suction.
#[must_use]
pub fn venturi_throat_pa(inlet_pa: f64, flow_m3_s: f64, inlet_bore_m: f64, throat_bore_m: f64) -> f64 {
    let v1 = flow_m3_s / bore_area_m2(inlet_bore_m);
    let v2 = flow_m3_s / bore_area_m2(throat_bore_m);
    inlet_pa - 0.5 * WATER_20C.density_kg_m3 * (v2 * v2 - v1 * v1)
}

impl Injector {
    /// (inlet to outlet, suction) coefficients of the squared water flow, Pa s²/m⁶.
    fn coefficients(&self, throat_factor: f64) -> Result<(f64, f64), FoamError> {
        match *self {
            Self::Bores { inlet_bore_m, throat_bore_m, nozzle_coefficient, recovery } => {
                within(
                    "inlet_bore_m",
                    inlet_bore_m,
                    "m",
                    0.002,
                    0.1,
                    "measure the bore where the water enters",
                )?;
                within("throat_bore_m", throat_bore_m, "m", 0.0005, 0.05, "measure the narrowest bore")?;
                within(
                    "nozzle_coefficient",
                    nozzle_coefficient,
                    "",
                    0.8,
                    1.0,
                    "0.96 to 0.99 suits a smooth nozzle",
                )?;
                within(
                    "recovery",
                    recovery,
                    "",
                    0.0,
                    0.9,
                    "0.2 to 0.6 is usual; read the vacuum to be sure",
                )?;
                let throat_now_m = throat_bore_m * throat_factor;
                if throat_now_m >= inlet_bore_m {
                    return Err(FoamError::conflict(
                        "throat_bore_m",
                        format!("{throat_now_m} m"),
                        format!("under the inlet bore of {inlet_bore_m} m"),
                        "a throat that does not narrow gives no suction: check which bore is which",
                    ));
                }
                let half_density = 0.5 * WATER_20C.density_kg_m3;
                let dynamic = half_density / bore_area_m2(throat_now_m).powi(2);
                let inlet_dynamic = half_density / bore_area_m2(inlet_bore_m).powi(2);
                let to_throat = dynamic / (nozzle_coefficient * nozzle_coefficient) - inlet_dynamic;
                let suction = recovery * dynamic;
                if to_throat - suction <= 0.05 * dynamic {
                    return Err(FoamError::conflict(
                        "recovery",
                        format!("{recovery}"),
                        "a diffuser that leaves at least 5 % of the throat's dynamic pressure as loss",
                        "lower the recovery, or narrow the throat",
                    ));
                }
                Ok((to_throat - suction, suction))
            }
            Self::Reading { water_flow_m3_s, inlet_pressure_pa, suction_pa } => {
                within(
                    "water_flow_m3_s",
                    water_flow_m3_s,
                    "m3/s",
                    1e-6,
                    0.01,
                    "time a bucket at the injector's outlet",
                )?;
                within(
                    "inlet_pressure_pa",
                    inlet_pressure_pa,
                    "Pa",
                    1e4,
                    2e6,
                    "read the gauge between strainer and injector",
                )?;
                within(
                    "suction_pa",
                    suction_pa,
                    "Pa",
                    0.0,
                    9.7e4,
                    "read the vacuum at the suction port with no draw",
                )?;
                // Both coefficients go with the inverse fourth power of the throat.
                let squared = (water_flow_m3_s * throat_factor * throat_factor).powi(2);
                Ok((inlet_pressure_pa / squared, suction_pa / squared))
            }
        }
    }
}

impl WaterPath {
    /// The path through a strainer and an injector under `conditions`; a bucket flow of the strainer was taken under `measured_under`.
    pub(super) fn of(
        strainer: &Strainer,
        injector: &Injector,
        conditions: &DilutionConditions,
        measured_under: &DilutionConditions,
    ) -> Result<WaterPath, FoamError> {
        let at = |factor: f64| injector.coefficients(factor).map_err(|e| e.under("injector"));
        let (through_injector, suction) = at(conditions.throat_bore_factor)?;
        let open = 1.0 - conditions.strainer_blocked;
        let clean = match *strainer {
            Strainer::Loss { bore_m, loss_coefficient } => {
                within(
                    "strainer.bore_m",
                    bore_m,
                    "m",
                    0.003,
                    0.1,
                    "the bore the loss coefficient is referred to",
                )?;
                within(
                    "strainer.loss_coefficient",
                    loss_coefficient,
                    "",
                    0.0,
                    1000.0,
                    "2 to 20 suits a clean mesh",
                )?;
                loss_coefficient * 0.5 * WATER_20C.density_kg_m3 / bore_area_m2(bore_m).powi(2)
            }
            Strainer::BucketFlow { flow_m3_s, supply_pressure_pa } => {
                within(
                    "strainer.flow_m3_s",
                    flow_m3_s,
                    "m3/s",
                    1e-6,
                    0.01,
                    "time a bucket at the injector's outlet",
                )?;
                within(
                    "strainer.supply_pressure_pa",
                    supply_pressure_pa,
                    "Pa",
                    1e4,
                    2e6,
                    "read it while the water runs",
                )?;
                let (injector, suction) = at(measured_under.throat_bore_factor)?;
                let outlet_pa = measured_under.outlet_pressure_pa;
                let bare = WaterPath { strainer: 0.0, injector, suction };
                let no_strainer = water_flow(&bare, supply_pressure_pa, outlet_pa);
                if flow_m3_s > no_strainer {
                    return Err(FoamError::conflict(
                        "strainer.flow_m3_s",
                        format!("{flow_m3_s:.4e} m3/s at {supply_pressure_pa} Pa"),
                        format!(
                            "at most {no_strainer:.4e} m3/s, what the injector passes with no strainer at all"
                        ),
                        "time the bucket again, or check the throat bore: a worn throat passes more",
                    ));
                }
                // Take whichever of the two water laws holds at that flow: the lesser of the two resistances left over.
                let squared = flow_m3_s * flow_m3_s;
                let plain = (supply_pressure_pa - outlet_pa) / squared - injector;
                let boiling = (supply_pressure_pa - BOILING_PA) / squared - injector - suction;
                plain.min(boiling).max(0.0)
            }
        };
        Ok(WaterPath { strainer: clean / (open * open), injector: through_injector, suction })
    }
}

/// Water flow from supply to outlet, m³/s.
pub(super) fn water_flow(path: &WaterPath, supply_pa: f64, outlet_pa: f64) -> f64 {
    if supply_pa <= outlet_pa {
        return 0.0;
    }
    let plain = (supply_pa - outlet_pa) / (path.strainer + path.injector);
    let boiling = (supply_pa - BOILING_PA) / (path.strainer + path.injector + path.suction);
    plain.min(boiling).sqrt()
}

/// Throat pressure at a water flow, Pa gauge.
pub(super) fn throat_pa(path: &WaterPath, water_m3_s: f64, outlet_pa: f64) -> f64 {
    (outlet_pa - path.suction * water_m3_s * water_m3_s).max(BOILING_PA)
}
