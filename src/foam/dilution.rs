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
//! a mix richer than [`LEAST_RATIO`] is flagged (the limit is an engineering estimate).
//!
//! Sources: Bernoulli and orifice equation, any text (attribution from memory); tip law in [`crate::fluid::liquid`].
//! Ratios are parts of water to one of concentrate, as in NFPA 11's «3 percent = 97 parts water to 3 parts».

pub use super::conditions::DilutionConditions;
use super::error::{FoamError, within};
use super::water_side::{BOILING_PA, WaterPath, throat_pa, water_flow};
pub use super::water_side::{Injector, Strainer, venturi_throat_pa};
use crate::elementary::Elementary;
use crate::fluid::STANDARD_GRAVITY_M_S2;
use crate::fluid::liquid::{
    bore_area_m2, laminar_coefficient_pa_s_m3, orifice_coefficient_pa_s2_m6, pipe_reynolds, series_flow_m3_s,
    tip_transition_reynolds,
};

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

impl Dilution {
    /// The water path's coefficients under `conditions`.
    pub(super) fn water_path(&self, conditions: &DilutionConditions) -> Result<WaterPath, FoamError> {
        WaterPath::of(&self.strainer, &self.injector, conditions, &self.measured_under)
    }

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
                        if t >= 1.0 { here.1 } else { lower.1 * (here.1 / lower.1).power(t) }
                    }
                });
            }
            below = Some(here);
        }
        Ok(below.map_or(1.0, |last| last.1))
    }
}

/// Bore of a tip as worn and part-blocked, m.
fn open_bore_m(bore_m: f64, conditions: &DilutionConditions) -> f64 {
    bore_m * conditions.tip_bore_factor * (1.0 - conditions.tip_blocked).sqrt()
}
