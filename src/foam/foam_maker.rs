//! The foam maker: pump, restrictor, air and needle valve, hose and outlets. What it comes to is in [`super::balance`].
//!
//! Pressures are gauge; flows positive towards the outlets; each feed has a check valve, so no flow turns round.

use super::error::{FoamError, within};
use super::regime::{Regime, RegimeLimits};
use crate::fluid::ATMOSPHERE_PA;
use crate::fluid::liquid::{bore_area_m2, orifice_coefficient_pa_s2_m6};

/// Highest gauge pressure of liquid or air the model is meant for, Pa (150 psi and a little).
pub const GREATEST_PRESSURE_PA: f64 = 1.1e6;

/// What is fixed in a foam maker.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamMaker {
    /// Pump, restrictor and line up to the tee.
    pub liquid: LiquidFeed,
    /// Air supply and needle valve.
    pub air: AirFeed,
    /// Hose and outlets after the tee.
    pub outlets: Outlets,
    /// Density of the solution, kg/m³, 900 to 1200.
    pub liquid_density_kg_m3: f64,
    /// Boundaries between regimes.
    pub limits: RegimeLimits,
}

/// Pump, liquid regulator, restrictor and line up to the tee.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiquidFeed {
    /// Gauge pressure the pump makes at no flow, Pa, 0 to 1 100 000.
    pub pump_pressure_pa: f64,
    /// Pressure lost at the pump per flow, Pa s/m³, 0 to 1e10.
    pub pump_droop_pa_s_m3: f64,
    /// Pressure lost at the regulator per flow, Pa s/m³, 0 to 1e10.
    pub regulator_droop_pa_s_m3: f64,
    /// Bore of the restrictor before the tee, m, 0.000 3 to 0.03.
    pub restrictor_bore_m: f64,
    /// Its discharge coefficient, 0.3 to 1.
    pub restrictor_discharge_coefficient: f64,
    /// Bore of the line, m, 0.003 to 0.1.
    pub line_bore_m: f64,
    /// Length of the line, m, 0 to 200.
    pub line_length_m: f64,
    /// Darcy friction factor of the line, 0 to 0.2 (0.03 for a small hose; engineering estimate).
    pub line_friction_factor: f64,
    /// Loss coefficients of its fittings summed, 0 to 1000.
    pub line_loss_coefficient: f64,
    /// Share of the area of restrictor and line that is blocked, 0 to 0.999.
    pub blocked: f64,
    /// Opening pressure of its check valve, Pa, 0 to 100 000.
    pub check_valve_pa: f64,
}

/// Air supply, needle valve and check valve.
#[derive(Debug, Clone, PartialEq)]
pub struct AirFeed {
    /// Gauge pressure before the air regulator, Pa, 0 to 1 600 000.
    pub supply_pressure_pa: f64,
    /// The needle valve.
    pub needle: NeedleValve,
    /// Temperature of the air, K, 250 to 350.
    pub temperature_k: f64,
    /// Opening pressure of its check valve, Pa, 0 to 100 000.
    pub check_valve_pa: f64,
}

/// A needle valve: conductance against opening.
#[derive(Debug, Clone, PartialEq)]
pub struct NeedleValve {
    /// Sonic conductance fully open, m³/(s Pa), 1e-11 to 1e-6 (1 dm³/(s bar) = 1e-8).
    pub full_open_conductance_m3_s_pa: f64,
    /// Critical pressure ratio, 0 to 0.6.
    pub critical_ratio: f64,
    /// Field steps (quarter turns, say) from shut to fully open, 1 to 200.
    pub full_open_steps: f64,
    /// Measured (step, conductance) pairs, both rising; between them the conductance is interpolated, from (0, 0) up and
    /// held beyond the last. Empty: conductance proportional to opening (engineering estimate).
    pub measured: Vec<(f64, f64)>,
}

/// Hose and outlets after the tee.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlets {
    /// Number of outlets side by side, 1 to 500.
    pub count: u32,
    /// Bore of one outlet, m, 0.000 3 to 0.05.
    pub bore_m: f64,
    /// Discharge coefficient of an outlet, 0.3 to 1.
    pub discharge_coefficient: f64,
    /// Share of the outlet area that is blocked, 0 to 0.999.
    pub blocked: f64,
    /// Bore of the hose, m, 0.003 to 0.1.
    pub hose_bore_m: f64,
    /// Length of the hose, m, 0 to 200.
    pub hose_length_m: f64,
    /// Darcy friction factor of the hose, 0 to 0.5; foam in a hose may need more than water (engineering estimate).
    pub hose_friction_factor: f64,
}

/// The three knobs of a foam maker.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoamSettings {
    /// Liquid regulator, Pa gauge, 0 to 1 100 000.
    pub liquid_pressure_pa: f64,
    /// Air regulator, Pa gauge, 0 to 1 100 000.
    pub air_pressure_pa: f64,
    /// Needle valve opening in field steps, 0 to the valve's full number of steps.
    pub needle_step: f64,
}

/// A foam maker in balance. Pressures gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamBalance {
    /// Pressure in the mixing tee, Pa gauge.
    pub tee_pa: f64,
    /// Solution flow, m³/s.
    pub liquid_flow_m3_s: f64,
    /// Air flow, kg/s.
    pub air_flow_kg_s: f64,
    /// Air flow as volume at the reference state of ISO 8778 (1.185 kg/m³), m³/s.
    pub air_reference_m3_s: f64,
    /// Air flow as volume at one atmosphere and the air's own temperature, m³/s.
    pub air_free_m3_s: f64,
    /// Air flow as volume at tee pressure, m³/s.
    pub air_tee_m3_s: f64,
    /// Foam volume over solution volume at atmosphere; none when no liquid flows.
    pub expansion_ratio: Option<f64>,
    /// The same at tee pressure (Boyle).
    pub line_expansion_ratio: Option<f64>,
    /// Air share of the foam's volume at atmosphere, 0 to 1; none when nothing flows.
    pub gas_fraction: Option<f64>,
    /// Density of the foam at atmosphere, kg/m³; none when nothing flows.
    pub foam_density_kg_m3: Option<f64>,
    /// Tee pressure with the liquid alone, Pa gauge: the air must beat this to enter.
    pub liquid_alone_tee_pa: f64,
    /// Tee pressure with the air alone, Pa gauge: liquid at or under this stays out for good.
    pub air_alone_tee_pa: f64,
    /// Pressure the air can build behind a plug of plain liquid in the hose, Pa gauge: liquid at or under this is pushed
    /// back whenever a plug forms, and the outlets spit.
    pub plug_tee_pa: f64,
    /// Regime.
    pub regime: Regime,
    /// The air's pressure is set but none enters.
    pub air_cannot_enter: bool,
    /// The liquid's pressure is set but none enters.
    pub liquid_held_back: bool,
}

impl NeedleValve {
    /// Sonic conductance at an opening, m³/(s Pa).
    #[must_use]
    pub fn conductance_m3_s_pa(&self, step: f64) -> f64 {
        let mut lower = (0.0, 0.0);
        for &(at, conductance) in &self.measured {
            if step <= at {
                return lower.1 + (conductance - lower.1) * (step - lower.0) / (at - lower.0);
            }
            lower = (at, conductance);
        }
        if self.measured.is_empty() {
            self.full_open_conductance_m3_s_pa * step / self.full_open_steps
        } else {
            lower.1
        }
    }

    fn check(&self) -> Result<(), FoamError> {
        let advice = "see the valve's sheet; 1 dm3/(s bar) is 1e-8 m3/(s Pa)";
        within(
            "full_open_conductance_m3_s_pa",
            self.full_open_conductance_m3_s_pa,
            "m3/(s Pa)",
            1e-11,
            1e-6,
            advice,
        )?;
        within("critical_ratio", self.critical_ratio, "", 0.0, 0.6, "0.2 to 0.4 suits most needle valves")?;
        within(
            "full_open_steps",
            self.full_open_steps,
            "steps",
            1.0,
            200.0,
            "count the steps from shut to open",
        )?;
        let mut lower = (0.0, 0.0);
        for (i, &(step, conductance)) in self.measured.iter().enumerate() {
            within(&format!("measured[{i}].step"), step, "steps", 0.0, 200.0, "count from shut")?;
            within(&format!("measured[{i}].conductance"), conductance, "m3/(s Pa)", 0.0, 1e-6, advice)?;
            if step <= lower.0 || conductance < lower.1 {
                return Err(FoamError::conflict(
                    format!("measured[{i}]"),
                    format!("({step}, {conductance})"),
                    format!("a step above {} with a conductance of at least {}", lower.0, lower.1),
                    "list the pairs from shut to open; a valve passes no less as it opens",
                ));
            }
            lower = (step, conductance);
        }
        Ok(())
    }
}

impl LiquidFeed {
    /// The `k` of `dp = k Q²` for restrictor, line and fittings together, Pa s²/m⁶.
    #[must_use]
    pub fn loss_pa_s2_m6(&self, density_kg_m3: f64) -> f64 {
        let restrictor = orifice_coefficient_pa_s2_m6(
            self.restrictor_discharge_coefficient,
            bore_area_m2(self.restrictor_bore_m),
            density_kg_m3,
        );
        let heads =
            self.line_friction_factor * self.line_length_m / self.line_bore_m + self.line_loss_coefficient;
        let line = heads * orifice_coefficient_pa_s2_m6(1.0, bore_area_m2(self.line_bore_m), density_kg_m3);
        (restrictor + line) / (1.0 - self.blocked).powi(2)
    }

    fn check(&self) -> Result<(), FoamError> {
        within(
            "pump_pressure_pa",
            self.pump_pressure_pa,
            "Pa",
            0.0,
            GREATEST_PRESSURE_PA,
            "read it at no flow",
        )?;
        for (field, value) in [
            ("pump_droop_pa_s_m3", self.pump_droop_pa_s_m3),
            ("regulator_droop_pa_s_m3", self.regulator_droop_pa_s_m3),
        ] {
            within(
                field,
                value,
                "Pa s/m3",
                0.0,
                1e10,
                "pressure lost over flow: read the gauge with and without flow",
            )?;
        }
        within("blocked", self.blocked, "", 0.0, 0.999, "give the blocked share of the area")?;
        within("restrictor_bore_m", self.restrictor_bore_m, "m", 3e-4, 0.03, "gauge the bore with a drill")?;
        let cd = self.restrictor_discharge_coefficient;
        within("restrictor_discharge_coefficient", cd, "", 0.3, 1.0, "0.61 suits a sharp edge")?;
        within("line_bore_m", self.line_bore_m, "m", 0.003, 0.1, "measure the inside of the line")?;
        within("line_length_m", self.line_length_m, "m", 0.0, 200.0, "measure the line")?;
        within("line_friction_factor", self.line_friction_factor, "", 0.0, 0.2, "0.03 suits a small hose")?;
        within(
            "line_loss_coefficient",
            self.line_loss_coefficient,
            "",
            0.0,
            1000.0,
            "about 1 for each elbow",
        )?;
        within(
            "check_valve_pa",
            self.check_valve_pa,
            "Pa",
            0.0,
            1e5,
            "the opening pressure of the check valve",
        )
    }
}

impl Outlets {
    /// Area of the whole path over the root of its loss coefficient, m²: the `A` of the outlet law.
    #[must_use]
    pub fn effective_area_m2(&self) -> f64 {
        let outlets = f64::from(self.count)
            * self.discharge_coefficient
            * bore_area_m2(self.bore_m)
            * (1.0 - self.blocked);
        let hose = bore_area_m2(self.hose_bore_m);
        let heads = self.hose_friction_factor * self.hose_length_m / self.hose_bore_m;
        (1.0 / (outlets * outlets) + heads / (hose * hose)).sqrt().recip()
    }

    fn check(&self) -> Result<(), FoamError> {
        within("count", f64::from(self.count), "", 1.0, 500.0, "count the outlets this maker feeds")?;
        within("bore_m", self.bore_m, "m", 3e-4, 0.05, "gauge the bore with a drill")?;
        within(
            "discharge_coefficient",
            self.discharge_coefficient,
            "",
            0.3,
            1.0,
            "0.6 to 0.9 suits a drilled outlet",
        )?;
        within("blocked", self.blocked, "", 0.0, 0.999, "give the blocked share of the area")?;
        within("hose_bore_m", self.hose_bore_m, "m", 0.003, 0.1, "measure the inside of the hose")?;
        within("hose_length_m", self.hose_length_m, "m", 0.0, 200.0, "measure the hose from tee to outlets")?;
        within(
            "hose_friction_factor",
            self.hose_friction_factor,
            "",
            0.0,
            0.5,
            "0.03 suits water in a small hose",
        )
    }
}

/// Foam volume over solution volume at an absolute pressure (Boyle, isothermal): 1 + V_atm p_atm/(p Q).
///
/// `liquid_m3_s` solution flow, above zero; `air_free_m3_s` air flow as volume at one atmosphere; `pressure_pa` absolute.
#[must_use]
pub fn expansion_ratio(liquid_m3_s: f64, air_free_m3_s: f64, pressure_pa: f64) -> f64 {
    1.0 + air_free_m3_s * ATMOSPHERE_PA / (pressure_pa * liquid_m3_s)
}

/// Free air (at one atmosphere) per solution for an expansion ratio at atmosphere, m³/m³: E − 1.
#[must_use]
pub fn air_per_liquid(expansion_ratio: f64) -> f64 {
    expansion_ratio - 1.0
}

impl FoamSettings {
    /// Refuses what is outside the documented ranges; `full_open_steps` belongs to the needle valve.
    ///
    /// # Errors
    /// The first field out of range.
    pub fn check(&self, full_open_steps: f64) -> Result<(), FoamError> {
        let read = "read the regulator's gauge while foam flows";
        within("liquid_pressure_pa", self.liquid_pressure_pa, "Pa", 0.0, GREATEST_PRESSURE_PA, read)?;
        within("air_pressure_pa", self.air_pressure_pa, "Pa", 0.0, GREATEST_PRESSURE_PA, read)?;
        within("needle_step", self.needle_step, "steps", 0.0, full_open_steps, "count the steps from shut")
    }
}

impl FoamMaker {
    /// Refuses what is outside the documented ranges or does not go together.
    ///
    /// # Errors
    /// The first field at fault, by its path.
    pub fn check(&self) -> Result<(), FoamError> {
        self.liquid.check().map_err(|e| e.under("liquid"))?;
        let compressor = "read the gauge before the air regulator";
        within("air.supply_pressure_pa", self.air.supply_pressure_pa, "Pa", 0.0, 1.6e6, compressor)?;
        within(
            "air.temperature_k",
            self.air.temperature_k,
            "K",
            250.0,
            350.0,
            "293 K is 20 degrees Celsius",
        )?;
        within(
            "air.check_valve_pa",
            self.air.check_valve_pa,
            "Pa",
            0.0,
            1e5,
            "the opening pressure of the check valve",
        )?;
        self.air.needle.check().map_err(|e| e.under("air.needle"))?;
        self.outlets.check().map_err(|e| e.under("outlets"))?;
        within("liquid_density_kg_m3", self.liquid_density_kg_m3, "kg/m3", 900.0, 1200.0, "water is 998")?;
        self.limits.check().map_err(|e| e.under("limits"))
    }
}
