//! The balance of a foam maker: liquid and air meet in a tee and leave together through hose and outlets.
//!
//! ```text
//! liquid   p_src - droop Q - p_tee = k Q²            restrictor and line; least of pump and regulator
//! air      m = ISO 6358(C, b, p_a + atm, p_tee + atm) through the needle valve
//! outlets  ∫ dp / V(p) = G / (2 A²),  p from atm to p_tee + atm,  V(p) = Q + m R T/p,  G = rho Q + m
//! ```
//!
//! The outlet law is friction and form loss of a homogeneous mixture at one temperature: along the path -dp = G V(p) dK/(2 A0²),
//! integrated exactly over the falling pressure (`A` = area of the whole outlet path over the root of its loss coefficient). With no
//! air it is the orifice equation; with no liquid it is the usual isothermal gas law, p1² - p2². Speed-up of the mixture
//! in the hose, its weight in a riser and sonic choking of foam are left out.
//!
//! **One unknown, one root.** As the tee pressure rises both feeds fall, so V and G fall, so the left side rises and the
//! right side falls: the balance is strictly monotone. At tee pressure 0 the left side is 0; at the higher of the two feeds
//! nothing flows and the left side is infinite. The root is therefore always there, single, and bisection cannot miss it.
//!
//! Pressures are gauge; flows positive towards the outlets; each feed has a check valve, so no flow turns round. Sources:
//! ISO 6358 in [`crate::fluid::air`]; homogeneous two-phase friction, any two-phase flow text (attribution from memory).

use super::error::FoamError;
use super::foam_maker::{FoamBalance, FoamMaker, FoamSettings, expansion_ratio};
use crate::elementary::Elementary;
use crate::fluid::liquid::series_flow_m3_s;
use crate::fluid::{ATMOSPHERE_PA, R_AIR_J_KG_K, RHO_ANR_KG_M3, iso6358_mass_flow_kg_s};

/// `ln(1+z)/z` and `(z - ln(1+z))/z²`, good to the last digits for any z ≥ 0.
fn log_shapes(z: f64) -> (f64, f64) {
    if z < 1e-3 {
        let first = 1.0 - z * (1.0 / 2.0 - z * (1.0 / 3.0 - z * (0.25 - z * (0.2 - z / 6.0))));
        let second = 0.5 - z * (1.0 / 3.0 - z * (0.25 - z * (0.2 - z * (1.0 / 6.0 - z / 7.0))));
        (first, second)
    } else {
        let log = z.log_natural_of_1_plus();
        (log / z, (z - log) / (z * z))
    }
}

/// `∫ dp / (Q + m R T/p)` from atmosphere to `tee_pa` gauge, Pa s/m³. Infinite when nothing flows.
fn outlet_integral_pa_s_m3(tee_pa: f64, liquid_m3_s: f64, air_pa_m3_s: f64) -> f64 {
    let weight = air_pa_m3_s + liquid_m3_s * ATMOSPHERE_PA;
    if weight <= 0.0 {
        return f64::INFINITY;
    }
    let (first, second) = log_shapes(liquid_m3_s * tee_pa / weight);
    tee_pa / weight * (ATMOSPHERE_PA * first + tee_pa * second)
}

/// The pressure in 0 to `high` where a falling surplus changes sign, to the last bit.
fn bisect(mut high: f64, surplus: impl Fn(f64) -> bool) -> f64 {
    let mut low = 0.0_f64;
    loop {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            return high;
        }
        if surplus(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
}

/// A maker and its settings, with everything constant worked out once.
struct Feeds<'a> {
    maker: &'a FoamMaker,
    liquid_loss: f64,
    regulator_pa: f64,
    pump_pa: f64,
    air_abs_pa: f64,
    conductance: f64,
    gas_m2_s2: f64,
    area_m2: f64,
}

impl<'a> Feeds<'a> {
    fn new(maker: &'a FoamMaker, settings: &FoamSettings) -> Self {
        let crack = maker.liquid.check_valve_pa;
        let air_pa = settings.air_pressure_pa.min(maker.air.supply_pressure_pa) - maker.air.check_valve_pa;
        Self {
            maker,
            liquid_loss: maker.liquid.loss_pa_s2_m6(maker.liquid_density_kg_m3),
            regulator_pa: (settings.liquid_pressure_pa - crack).max(0.0),
            pump_pa: (maker.liquid.pump_pressure_pa - crack).max(0.0),
            air_abs_pa: air_pa.max(0.0) + ATMOSPHERE_PA,
            conductance: maker.air.needle.conductance_m3_s_pa(settings.needle_step),
            gas_m2_s2: R_AIR_J_KG_K * maker.air.temperature_k,
            area_m2: maker.outlets.effective_area_m2(),
        }
    }

    fn liquid_source_pa(&self) -> f64 {
        self.regulator_pa.min(self.pump_pa)
    }

    fn liquid_m3_s(&self, tee_pa: f64) -> f64 {
        let feed = &self.maker.liquid;
        let regulated = series_flow_m3_s(
            (self.regulator_pa - tee_pa).max(0.0),
            feed.regulator_droop_pa_s_m3,
            self.liquid_loss,
        );
        let pumped =
            series_flow_m3_s((self.pump_pa - tee_pa).max(0.0), feed.pump_droop_pa_s_m3, self.liquid_loss);
        regulated.min(pumped)
    }

    fn air_kg_s(&self, tee_pa: f64) -> f64 {
        let air = &self.maker.air;
        iso6358_mass_flow_kg_s(
            self.conductance,
            air.needle.critical_ratio,
            self.air_abs_pa,
            tee_pa + ATMOSPHERE_PA,
            air.temperature_k,
        )
    }

    /// Tee pressure in balance with the feeds that are let in.
    fn tee_pa(&self, with_liquid: bool, with_air: bool) -> f64 {
        let liquid_pa = if with_liquid { self.liquid_source_pa() } else { 0.0 };
        let air_pa = if with_air && self.conductance > 0.0 { self.air_abs_pa - ATMOSPHERE_PA } else { 0.0 };
        let density = self.maker.liquid_density_kg_m3;
        let twice_area_squared = 2.0 * self.area_m2 * self.area_m2;
        bisect(liquid_pa.max(air_pa), |tee| {
            let liquid = if with_liquid { self.liquid_m3_s(tee) } else { 0.0 };
            let air = if with_air { self.air_kg_s(tee) } else { 0.0 };
            let room = twice_area_squared * outlet_integral_pa_s_m3(tee, liquid, air * self.gas_m2_s2);
            density * liquid + air > room
        })
    }

    /// Tee pressure while the air pushes a plug of plain liquid out of the hose: the volume of air that enters equals the
    /// volume of liquid that leaves.
    fn plug_pa(&self) -> f64 {
        let density = self.maker.liquid_density_kg_m3;
        if self.conductance <= 0.0 {
            return 0.0;
        }
        bisect(self.air_abs_pa - ATMOSPHERE_PA, |tee| {
            let enters = self.air_kg_s(tee) * self.gas_m2_s2 / (tee + ATMOSPHERE_PA);
            enters > self.area_m2 * (2.0 * tee / density).sqrt()
        })
    }
}

impl FoamMaker {
    /// The balance at `settings`.
    ///
    /// # Errors
    /// A field out of range or in conflict, by its path; never inside the documented range.
    pub fn balance(&self, settings: &FoamSettings) -> Result<FoamBalance, FoamError> {
        self.check()?;
        settings.check(self.air.needle.full_open_steps).map_err(|e| e.under("settings"))?;
        Ok(self.balance_checked(settings))
    }

    /// The balance for a maker and settings already checked; cannot fail.
    pub(super) fn balance_checked(&self, settings: &FoamSettings) -> FoamBalance {
        let feeds = Feeds::new(self, settings);
        let tee_pa = feeds.tee_pa(true, true);
        let liquid = feeds.liquid_m3_s(tee_pa);
        let air = feeds.air_kg_s(tee_pa);
        let air_free = air * feeds.gas_m2_s2 / ATMOSPHERE_PA;
        let flows = liquid > 0.0;
        let total = liquid + air_free;
        let expansion = flows.then(|| expansion_ratio(liquid, air_free, ATMOSPHERE_PA));
        let air_alone_tee_pa = feeds.tee_pa(false, true);
        let plug_tee_pa = feeds.plug_pa();
        let source = feeds.liquid_source_pa();
        FoamBalance {
            tee_pa,
            liquid_flow_m3_s: liquid,
            air_flow_kg_s: air,
            air_reference_m3_s: air / RHO_ANR_KG_M3,
            air_free_m3_s: air_free,
            air_tee_m3_s: air * feeds.gas_m2_s2 / (tee_pa + ATMOSPHERE_PA),
            expansion_ratio: expansion,
            line_expansion_ratio: flows.then(|| expansion_ratio(liquid, air_free, tee_pa + ATMOSPHERE_PA)),
            gas_fraction: (total > 0.0).then(|| air_free / total),
            foam_density_kg_m3: (total > 0.0).then(|| (self.liquid_density_kg_m3 * liquid + air) / total),
            liquid_alone_tee_pa: feeds.tee_pa(true, false),
            air_alone_tee_pa,
            plug_tee_pa,
            regime: self.limits.classify(source, air > 0.0, air_alone_tee_pa, plug_tee_pa, expansion),
            air_cannot_enter: settings.air_pressure_pa > 0.0 && settings.needle_step > 0.0 && air <= 0.0,
            liquid_held_back: settings.liquid_pressure_pa > 0.0 && liquid <= 0.0,
        }
    }
}
