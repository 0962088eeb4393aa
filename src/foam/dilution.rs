//! Dilution: a water-driven venturi injector draws concentrate through a metering tip.
//!
//! ```text
//! water      p_supply - p_out = (k_strainer + k_injector) Q²                 while the throat does not boil
//!            p_supply - p_vap = (k_strainer + k_injector + s) Q²             when it does (p_vap = vapour, gauge)
//! throat     p_throat = max(p_out - s Q², p_vap)                             gauge; suction only if negative
//! strainer   k_strainer = K rho/(2 A²) / open²                               open = share of the mesh still open
//! draw       -p_throat - rho_c g lift = a q + k q²                           tip mouth (k), tip bore and hose (a)
//! ratio      R = Q / q                                                       parts of water to one of concentrate
//! ```
//!
//! The throat follows Bernoulli: `k_injector + s` is what it takes from inlet to throat, `s` is what the diffuser wins
//! back. Pressures are gauge; lift is positive when the injector stands above the concentrate; flows are never
//! negative (there is a check valve in the suction line). The drawn concentrate's own load on the jet is left out:
//! right to a few per cent down to about 10:1, and less than [`LEAST_RATIO`] is flagged.
//!
//! Sources: Bernoulli and orifice equation, any text (attribution from memory); tip law in [`crate::fluid::liquid`].
//! Ratios are parts of water to one of concentrate, as in NFPA 11's «3 percent = 97 parts water to 3 parts».

use super::error::{FoamError, within};
use crate::fluid::liquid::{
    WATER_20C, WATER_20C_VAPOUR_PA, bore_area_m2, laminar_coefficient_pa_s_m3, orifice_coefficient_pa_s2_m6,
    pipe_reynolds, series_flow_m3_s, tip_transition_reynolds,
};
use crate::fluid::{ATMOSPHERE_PA, STANDARD_GRAVITY_M_S2};

/// Ratio under which the drawn concentrate loads the jet too much for this model to be trusted.
pub const LEAST_RATIO: f64 = 10.0;

/// What is fixed in a dilution stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Dilution {
    /// The strainer before the injector.
    pub strainer: Strainer,
    /// The injector.
    pub injector: Injector,
    /// The tips the user owns, bores strictly rising; at least one.
    pub tips: Vec<MeteringTip>,
    /// Index in `tips` of the one fitted.
    pub fitted_tip: usize,
    /// Length of the drilled bore of a tip, m, 0 to 0.1; 0 for a thin plate.
    pub tip_length_m: f64,
    /// Discharge coefficient of a tip's mouth, 0.3 to 1 (0.61 for a sharp edge).
    pub tip_discharge_coefficient: f64,
    /// Bore of the suction hose, m, 0.001 to 0.05.
    pub suction_hose_bore_m: f64,
    /// Length of the suction hose, m, 0 to 50.
    pub suction_hose_length_m: f64,
    /// Pressure that opens the check valve of the suction line, Pa, 0 to 50 000.
    pub check_valve_pa: f64,
    /// The concentrate.
    pub concentrate: Concentrate,
    /// The conditions under which the measured ratios of `tips`, and a bucket flow of the strainer, were taken.
    pub measured_under: DilutionConditions,
}

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

/// A metering tip in the suction line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeteringTip {
    /// Bore, m, 0.000 1 to 0.01.
    pub bore_m: f64,
    /// Ratio (water : 1) the user measured with this tip, 1 to 10 000; it beats the computed one.
    pub measured_ratio: Option<f64>,
}

/// The concentrate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Concentrate {
    /// Density, kg/m³, 700 to 1600.
    pub density_kg_m3: f64,
    /// Viscosity at the temperature it is used, Pa s, 0.000 3 to 2 (water 0.001; 1 cP = 0.001 Pa s).
    pub viscosity_pa_s: f64,
}

/// What may change from day to day in a dilution stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DilutionConditions {
    /// Gauge pressure of the water supply while flowing, Pa, 0 to 2 000 000.
    pub supply_pressure_pa: f64,
    /// Gauge pressure the injector delivers against, Pa, −20 000 to 1 000 000; 0 into an open tank.
    pub outlet_pressure_pa: f64,
    /// Share of the strainer's mesh that is blocked (beyond what a bucket flow already holds), 0 to 0.999.
    pub strainer_blocked: f64,
    /// Throat bore now over that described, 0.3 to 3: under 1 scaled, over 1 worn.
    pub throat_bore_factor: f64,
    /// Share of the tip's area that is blocked, 0 to 0.999.
    pub tip_blocked: f64,
    /// Bore of the tip now over that listed, 0.3 to 10: over 1 worn, or the wrong tip.
    pub tip_bore_factor: f64,
    /// Injector above the surface of the concentrate, m, −5 to 10.
    pub lift_m: f64,
    /// Share of what is drawn that is air from a leak in the suction line, 0 to 1.
    pub suction_leak: f64,
    /// Viscosity of the concentrate now over that in [`Concentrate`], 0.1 to 100 (cold thickens).
    pub viscosity_factor: f64,
}

impl DilutionConditions {
    /// Everything clean and as described into an open tank, at a supply pressure (Pa gauge) and a lift (m).
    #[must_use]
    pub fn clean(supply_pressure_pa: f64, lift_m: f64) -> Self {
        Self {
            supply_pressure_pa,
            outlet_pressure_pa: 0.0,
            strainer_blocked: 0.0,
            throat_bore_factor: 1.0,
            tip_blocked: 0.0,
            tip_bore_factor: 1.0,
            lift_m,
            suction_leak: 0.0,
            viscosity_factor: 1.0,
        }
    }

    /// Refuses what is outside the documented ranges.
    ///
    /// # Errors
    /// The first field out of range.
    pub fn check(&self) -> Result<(), FoamError> {
        within(
            "supply_pressure_pa",
            self.supply_pressure_pa,
            "Pa",
            0.0,
            2e6,
            "give the gauge pressure of the water supply while it flows",
        )?;
        within("outlet_pressure_pa", self.outlet_pressure_pa, "Pa", -2e4, 1e6, "0 into an open tank")?;
        within("throat_bore_factor", self.throat_bore_factor, "", 0.3, 3.0, "1 is the throat as described")?;
        within("tip_bore_factor", self.tip_bore_factor, "", 0.3, 10.0, "1 is the tip as listed")?;
        for (field, value) in [("strainer_blocked", self.strainer_blocked), ("tip_blocked", self.tip_blocked)]
        {
            within(
                field,
                value,
                "",
                0.0,
                0.999,
                "give the blocked share of the area; shut off wholly is no flow at all",
            )?;
        }
        within(
            "lift_m",
            self.lift_m,
            "m",
            -5.0,
            10.0,
            "measure from the surface of the concentrate up to the injector",
        )?;
        within("suction_leak", self.suction_leak, "", 0.0, 1.0, "give the share of the draw that is air")?;
        within(
            "viscosity_factor",
            self.viscosity_factor,
            "",
            0.1,
            100.0,
            "1 is the viscosity of the concentrate as described",
        )
    }
}

/// How the suction line fares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Draw {
    /// Concentrate is drawn.
    Drawing,
    /// No suction: the throat is at or above atmosphere.
    SuctionLost,
    /// There is suction, but less than the lift (and the check valve) ask for.
    LiftTooHigh,
    /// Suction there is, but a leak lets in nothing but air.
    AirOnly,
    /// No water flows.
    NoWater,
}

/// Which drop rules in the tip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TipLaw {
    /// Viscous: half the transition Reynolds number or less. The flow follows the thickness of the concentrate.
    Viscous,
    /// Between the two.
    Mixed,
    /// Inertial: twice the transition Reynolds number or more. Thickness hardly matters.
    Inertial,
}

/// A dilution stage at work. Pressures gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct DilutionResult {
    /// Water flow, m³/s.
    pub water_flow_m3_s: f64,
    /// Concentrate flow, m³/s.
    pub concentrate_flow_m3_s: f64,
    /// Both together, m³/s.
    pub solution_flow_m3_s: f64,
    /// Parts of water to one of concentrate; none when nothing is drawn.
    pub ratio: Option<f64>,
    /// Concentrate over solution by volume, 0 to 1.
    pub concentrate_share: f64,
    /// Drop over the strainer, Pa.
    pub strainer_drop_pa: f64,
    /// Pressure at the injector's inlet, Pa gauge.
    pub injector_inlet_pa: f64,
    /// Pressure in the throat, Pa gauge; negative is suction.
    pub throat_pa: f64,
    /// The water boils in the throat: suction can grow no more.
    pub throat_boils: bool,
    /// How the suction line fares.
    pub draw: Draw,
    /// Reynolds number in the tip.
    pub tip_reynolds: f64,
    /// Reynolds number at which the tip's viscous and inertial drops are equal.
    pub tip_transition_reynolds: f64,
    /// Which of the two rules.
    pub tip_law: TipLaw,
    /// What measured ratios multiply the computed draw by (1 when none was measured).
    pub measured_correction: f64,
}

impl DilutionResult {
    /// The ratio is richer than the model can be trusted with.
    #[must_use]
    pub fn beyond_model(&self) -> bool {
        self.ratio.is_some_and(|ratio| ratio < LEAST_RATIO)
    }
}

/// The loss coefficients of a stage, Pa s²/m⁶.
#[derive(Debug, Clone, Copy)]
pub(super) struct WaterPath {
    strainer: f64,
    injector: f64,
    suction: f64,
}

/// Gauge pressure under which water at 20 °C boils, Pa.
const BOILING_PA: f64 = WATER_20C_VAPOUR_PA - ATMOSPHERE_PA;

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

/// Concentrate share of a solution, 0 to 1, at a ratio of `ratio` parts of water to one: 1/(R + 1).
#[must_use]
pub fn share_of_ratio(ratio: f64) -> f64 {
    1.0 / (ratio + 1.0)
}

/// Parts of water to one of concentrate at a concentrate share of 0 < share < 1: (1 − c)/c.
#[must_use]
pub fn ratio_of_share(share: f64) -> f64 {
    (1.0 - share) / share
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

impl Dilution {
    /// Refuses what is outside the documented ranges or does not go together.
    ///
    /// # Errors
    /// The first field at fault, by its path.
    pub fn check(&self) -> Result<(), FoamError> {
        within(
            "tip_length_m",
            self.tip_length_m,
            "m",
            0.0,
            0.1,
            "measure the drilled length; 0 for a thin plate",
        )?;
        within(
            "tip_discharge_coefficient",
            self.tip_discharge_coefficient,
            "",
            0.3,
            1.0,
            "0.61 suits a sharp edge",
        )?;
        within(
            "suction_hose_bore_m",
            self.suction_hose_bore_m,
            "m",
            0.001,
            0.05,
            "measure the inside of the hose",
        )?;
        within("suction_hose_length_m", self.suction_hose_length_m, "m", 0.0, 50.0, "measure the hose")?;
        within(
            "check_valve_pa",
            self.check_valve_pa,
            "Pa",
            0.0,
            5e4,
            "give the opening pressure of the check valve",
        )?;
        let concentrate = &self.concentrate;
        within(
            "concentrate.density_kg_m3",
            concentrate.density_kg_m3,
            "kg/m3",
            700.0,
            1600.0,
            "see the data sheet",
        )?;
        within(
            "concentrate.viscosity_pa_s",
            concentrate.viscosity_pa_s,
            "Pa s",
            3e-4,
            2.0,
            "1 cP is 0.001 Pa s",
        )?;
        if self.tips.is_empty() {
            return Err(FoamError::conflict(
                "tips",
                "an empty list",
                "one tip or more",
                "list the bores you own",
            ));
        }
        for (i, tip) in self.tips.iter().enumerate() {
            within(&format!("tips[{i}].bore_m"), tip.bore_m, "m", 1e-4, 0.01, "gauge the bore with a drill")?;
            if let Some(ratio) = tip.measured_ratio {
                within(
                    &format!("tips[{i}].measured_ratio"),
                    ratio,
                    "",
                    1.0,
                    1e4,
                    "parts of water to one of concentrate",
                )?;
            }
            if i > 0 && tip.bore_m <= self.tips[i - 1].bore_m {
                return Err(FoamError::conflict(
                    format!("tips[{i}].bore_m"),
                    format!("{} m", tip.bore_m),
                    format!("more than the bore before it, {} m", self.tips[i - 1].bore_m),
                    "list the tips from the narrowest to the widest, each once",
                ));
            }
        }
        if self.fitted_tip >= self.tips.len() {
            return Err(FoamError::conflict(
                "fitted_tip",
                format!("{}", self.fitted_tip),
                format!("0 to {}", self.tips.len() - 1),
                "name one of the listed tips",
            ));
        }
        self.measured_under.check().map_err(|e| e.under("measured_under"))
    }

    /// The bore fitted, m. (`check` has made sure of the index.)
    #[must_use]
    pub fn fitted_bore_m(&self) -> f64 {
        self.tips.get(self.fitted_tip).map_or(f64::NAN, |tip| tip.bore_m)
    }

    /// The stage at work with the fitted tip.
    ///
    /// # Errors
    /// A field out of range or in conflict, by its path.
    pub fn solve(&self, conditions: &DilutionConditions) -> Result<DilutionResult, FoamError> {
        self.check()?;
        self.solve_with_bore(conditions, self.fitted_bore_m())
    }

    /// The stage at work with a tip of any bore (m, 0.000 1 to 0.01), corrected by the measured ratios if there are any.
    ///
    /// # Errors
    /// A field out of range or in conflict, by its path.
    pub fn solve_with_bore(
        &self,
        conditions: &DilutionConditions,
        bore_m: f64,
    ) -> Result<DilutionResult, FoamError> {
        self.check()?;
        conditions.check().map_err(|e| e.under("conditions"))?;
        within("bore_m", bore_m, "m", 1e-4, 0.01, "gauge the bore with a drill")?;
        let path = self.water_path(conditions)?;
        let correction = self.measured_correction(bore_m)?;
        Ok(self.solve_path(&path, conditions, bore_m, correction))
    }

    /// The water path's coefficients under `conditions`.
    pub(super) fn water_path(&self, conditions: &DilutionConditions) -> Result<WaterPath, FoamError> {
        let at = |factor: f64| self.injector.coefficients(factor).map_err(|e| e.under("injector"));
        let (injector, suction) = at(conditions.throat_bore_factor)?;
        let open = 1.0 - conditions.strainer_blocked;
        let clean = match self.strainer {
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
                let (injector, suction) = at(self.measured_under.throat_bore_factor)?;
                let outlet_pa = self.measured_under.outlet_pressure_pa;
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
        Ok(WaterPath { strainer: clean / (open * open), injector, suction })
    }

    /// Solves with known coefficients and correction; nothing here can fail.
    pub(super) fn solve_path(
        &self,
        path: &WaterPath,
        conditions: &DilutionConditions,
        bore_m: f64,
        correction: f64,
    ) -> DilutionResult {
        let water = water_flow(path, conditions.supply_pressure_pa, conditions.outlet_pressure_pa);
        let throat_pa = throat_pa(path, water, conditions.outlet_pressure_pa);
        let (draw, concentrate) = self.draw_at(throat_pa, conditions, bore_m, correction);
        let draw = if water > 0.0 { draw } else { Draw::NoWater };
        let concentrate = if water > 0.0 { concentrate } else { 0.0 };
        let strainer_drop_pa = path.strainer * water * water;
        let tip_bore_m = open_bore_m(bore_m, conditions);
        let viscosity = self.concentrate.viscosity_pa_s * conditions.viscosity_factor;
        let reynolds = pipe_reynolds(concentrate, tip_bore_m, self.concentrate.density_kg_m3, viscosity);
        let transition =
            tip_transition_reynolds(self.tip_discharge_coefficient, tip_bore_m, self.tip_length_m);
        DilutionResult {
            water_flow_m3_s: water,
            concentrate_flow_m3_s: concentrate,
            solution_flow_m3_s: water + concentrate,
            ratio: (concentrate > 0.0).then(|| water / concentrate),
            concentrate_share: if concentrate > 0.0 { concentrate / (water + concentrate) } else { 0.0 },
            strainer_drop_pa,
            injector_inlet_pa: conditions.supply_pressure_pa - strainer_drop_pa,
            throat_pa,
            throat_boils: water > 0.0 && throat_pa <= BOILING_PA,
            draw,
            tip_reynolds: reynolds,
            tip_transition_reynolds: transition,
            tip_law: if reynolds <= 0.5 * transition {
                TipLaw::Viscous
            } else if reynolds >= 2.0 * transition {
                TipLaw::Inertial
            } else {
                TipLaw::Mixed
            },
            measured_correction: correction,
        }
    }

    /// What is drawn at a throat pressure.
    pub(super) fn draw_at(
        &self,
        throat_pa: f64,
        conditions: &DilutionConditions,
        bore_m: f64,
        correction: f64,
    ) -> (Draw, f64) {
        let head_pa = self.concentrate.density_kg_m3 * STANDARD_GRAVITY_M_S2 * conditions.lift_m;
        let drive_pa = -throat_pa - head_pa - self.check_valve_pa;
        if drive_pa <= 0.0 {
            return (if throat_pa >= 0.0 { Draw::SuctionLost } else { Draw::LiftTooHigh }, 0.0);
        }
        let tip_bore_m = open_bore_m(bore_m, conditions);
        let viscosity = self.concentrate.viscosity_pa_s * conditions.viscosity_factor;
        let linear = laminar_coefficient_pa_s_m3(tip_bore_m, self.tip_length_m, viscosity)
            + laminar_coefficient_pa_s_m3(self.suction_hose_bore_m, self.suction_hose_length_m, viscosity);
        let quadratic = orifice_coefficient_pa_s2_m6(
            self.tip_discharge_coefficient,
            bore_area_m2(tip_bore_m),
            self.concentrate.density_kg_m3,
        );
        let flow =
            series_flow_m3_s(drive_pa, linear, quadratic) * correction * (1.0 - conditions.suction_leak);
        if flow > 0.0 { (Draw::Drawing, flow) } else { (Draw::AirOnly, 0.0) }
    }

    /// What the measured ratios say the computed draw must be multiplied by at this bore: exact at a measured tip,
    /// interpolated (logarithm of the factor against bore) between two, held constant beyond the last.
    pub(super) fn measured_correction(&self, bore_m: f64) -> Result<f64, FoamError> {
        let mut below: Option<(f64, f64)> = None;
        for (i, tip) in self.tips.iter().enumerate() {
            let Some(measured) = tip.measured_ratio else { continue };
            let path = self.water_path(&self.measured_under)?;
            let Some(computed) = self.solve_path(&path, &self.measured_under, tip.bore_m, 1.0).ratio else {
                return Err(FoamError::conflict(
                    format!("tips[{i}].measured_ratio"),
                    format!("{measured}:1"),
                    "no ratio: under the conditions it was measured in, the described injector draws nothing",
                    "check the injector's bores, the lift and the supply pressure",
                ));
            };
            let here = (tip.bore_m, computed / measured);
            if bore_m <= here.0 {
                return Ok(match below {
                    None => here.1,
                    Some(lower) => {
                        let t = (bore_m - lower.0) / (here.0 - lower.0);
                        if t >= 1.0 { here.1 } else { lower.1 * (here.1 / lower.1).powf(t) }
                    }
                });
            }
            below = Some(here);
        }
        Ok(below.map_or(1.0, |last| last.1))
    }
}

/// Water flow from supply to outlet, m³/s.
fn water_flow(path: &WaterPath, supply_pa: f64, outlet_pa: f64) -> f64 {
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

/// Bore of a tip as worn and part-blocked, m.
fn open_bore_m(bore_m: f64, conditions: &DilutionConditions) -> f64 {
    bore_m * conditions.tip_bore_factor * (1.0 - conditions.tip_blocked).sqrt()
}
