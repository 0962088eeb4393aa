//! What the dilution stage works under at one time.

use super::error::{FoamError, within};

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
    /// Viscosity of the concentrate now over that in [`Concentrate`](super::dilution::Concentrate), 0.1 to 100 (cold thickens).
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
