//! Double-acting air cylinder on a strut: two chambers, each a pressure state, fed and emptied through ISO 6358 paths.
//!
//! Force that pushes the anchors apart: F = p_cap A_cap − p_rod A_rod (gauge), less seal friction. Chamber pressure (absolute):
//!
//! ṗ = (n/V) (R T ṁ − p V̇),   V_cap = V₀ + A_cap x,  V_rod = V₀ + A_rod (stroke − x),  x = ℓ − closed length
//!
//! with n the polytropic index (1 = isothermal) and ṁ by ISO 6358 (see [`crate::fluid`]).

use super::{Regulator, Strut, ValveConnection, ValveStep};
use crate::fluid::{R_AIR_J_KG_K, iso6358_mass_flow_capped_kg_s};

/// Pressure ratio above which a chamber's flow law is linear. The sources use 0.995 to 0.999; the low end keeps the pressure
/// equation mild where a chamber has nearly reached its regulator.
pub const CHAMBER_LAMINAR_RATIO: f64 = 0.995;

/// Flow from `a_pa` to `b_pa` (absolute), kg/s, negative when it runs the other way.
fn signed_flow_kg_s(c_m3_s_pa: f64, b: f64, a_pa: f64, b_pa: f64, temperature_k: f64) -> f64 {
    if a_pa >= b_pa {
        iso6358_mass_flow_capped_kg_s(c_m3_s_pa, b, a_pa, b_pa, temperature_k, CHAMBER_LAMINAR_RATIO)
    } else {
        -iso6358_mass_flow_capped_kg_s(c_m3_s_pa, b, b_pa, a_pa, temperature_k, CHAMBER_LAMINAR_RATIO)
    }
}

/// One chamber's fixed data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chamber {
    /// Piston area, m².
    pub area_m2: f64,
    /// Dead volume with hose, m³.
    pub dead_volume_m3: f64,
    /// Its air line.
    pub line: ChamberLine,
}

/// The air line of one chamber.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChamberLine {
    /// The regulator that feeds it.
    pub regulator: Regulator,
    /// Sonic conductance of the supply path, m³/(s Pa).
    pub supply_c_m3_s_pa: f64,
    /// Critical pressure ratio of the supply path.
    pub supply_b: f64,
    /// Sonic conductance of the exhaust path, m³/(s Pa).
    pub exhaust_c_m3_s_pa: f64,
    /// Critical pressure ratio of the exhaust path.
    pub exhaust_b: f64,
    /// What the valve connects before the first step of the schedule.
    pub initial: ValveConnection,
}

impl ChamberLine {
    /// Flow into the chamber, kg/s, at chamber pressure `p_pa` (absolute).
    pub fn flow_kg_s(
        &self,
        connection: ValveConnection,
        p_pa: f64,
        atmosphere_pa: f64,
        temperature_k: f64,
    ) -> f64 {
        match connection {
            ValveConnection::Closed => 0.0,
            ValveConnection::Exhaust => {
                -signed_flow_kg_s(self.exhaust_c_m3_s_pa, self.exhaust_b, p_pa, atmosphere_pa, temperature_k)
            }
            ValveConnection::Supply => {
                let set_pa = self.regulator.set_gauge_pa + atmosphere_pa;
                let flow =
                    signed_flow_kg_s(self.supply_c_m3_s_pa, self.supply_b, set_pa, p_pa, temperature_k);
                if self.regulator.relieving { flow } else { flow.max(0.0) }
            }
        }
    }

    /// The pressure the chamber comes to rest at, Pa absolute; `None` when it is shut in.
    pub fn rest_pressure_pa(&self, connection: ValveConnection, atmosphere_pa: f64) -> Option<f64> {
        match connection {
            ValveConnection::Supply => Some(self.regulator.set_gauge_pa + atmosphere_pa),
            ValveConnection::Exhaust => Some(atmosphere_pa),
            ValveConnection::Closed => None,
        }
    }
}

/// A quasi-steady chamber, one that follows its source: where it stands and how fast it gets there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuasiSteady {
    /// Pressure at which what flows in is what the piston makes room for, Pa absolute.
    pub pressure_pa: f64,
    /// How far that is from the source, as a share of the source.
    pub strain: f64,
    /// Rate at which the chamber closes in on it, 1/s.
    pub rate_per_s: f64,
}

impl Chamber {
    /// Where the chamber stands if it is taken as quasi-steady: within the linear part of the flow law, ṁ = k (p_s − p), the balance
    /// R T ṁ = p V̇ gives p = R T k p_s / (R T k + V̇). `None` when the path is closed or lets air only one way.
    pub fn quasi_steady(
        &self,
        connection: ValveConnection,
        volume_m3: f64,
        volume_rate_m3_s: f64,
        polytropic_index: f64,
        temperature_k: f64,
        atmosphere_pa: f64,
    ) -> Option<QuasiSteady> {
        let line = &self.line;
        let (c, b, source_pa) = match connection {
            ValveConnection::Closed => return None,
            ValveConnection::Exhaust => (line.exhaust_c_m3_s_pa, line.exhaust_b, atmosphere_pa),
            ValveConnection::Supply if line.regulator.relieving => {
                (line.supply_c_m3_s_pa, line.supply_b, line.regulator.set_gauge_pa + atmosphere_pa)
            }
            ValveConnection::Supply => return None,
        };
        let at_cap = iso6358_mass_flow_capped_kg_s(
            c,
            b,
            1.0,
            CHAMBER_LAMINAR_RATIO,
            temperature_k,
            CHAMBER_LAMINAR_RATIO,
        );
        let conductance = R_AIR_J_KG_K * temperature_k * at_cap / (1.0 - CHAMBER_LAMINAR_RATIO);
        let room = conductance + volume_rate_m3_s;
        (room > 0.0).then(|| {
            let pressure_pa = conductance * source_pa / room;
            QuasiSteady {
                pressure_pa,
                strain: (pressure_pa - source_pa).abs() / source_pa,
                rate_per_s: polytropic_index * conductance / volume_m3,
            }
        })
    }
}

/// Rates of both chambers at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChamberRates {
    /// dp/dt of the cap end, Pa/s.
    pub cap_pa_s: f64,
    /// dp/dt of the rod end, Pa/s.
    pub rod_pa_s: f64,
}

/// An air cylinder.
#[derive(Debug, Clone, PartialEq)]
pub struct AirCylinder {
    /// Where it is fixed.
    pub strut: Strut,
    /// Anchor-to-anchor length with the rod fully in, m.
    pub closed_length_m: f64,
    /// Stroke, m.
    pub stroke_m: f64,
    /// Full-bore end.
    pub cap: Chamber,
    /// Rod end.
    pub rod: Chamber,
    /// Seal friction, N.
    pub seal_friction_n: f64,
    /// Polytropic index n, 1 (isothermal) to 1.4 (adiabatic).
    pub polytropic_index: f64,
    /// Air temperature, K.
    pub temperature_k: f64,
    /// Valve schedule.
    pub schedule: Vec<ValveStep>,
}

impl AirCylinder {
    /// Rod-end and cap-end areas from bore and rod diameter, m²: (π/4 bore², π/4 (bore² − rod²)).
    pub fn areas_m2(bore_m: f64, rod_m: f64) -> (f64, f64) {
        let quarter_pi = std::f64::consts::FRAC_PI_4;
        (quarter_pi * bore_m * bore_m, quarter_pi * (bore_m * bore_m - rod_m * rod_m))
    }

    /// Chamber volumes (cap, rod) at strut length ℓ, m³.
    pub fn volumes_m3(&self, length_m: f64) -> (f64, f64) {
        let x = length_m - self.closed_length_m;
        (
            self.cap.dead_volume_m3 + self.cap.area_m2 * x,
            self.rod.dead_volume_m3 + self.rod.area_m2 * (self.stroke_m - x),
        )
    }

    /// Push of the air, N, from absolute chamber pressures.
    pub fn push_n(&self, cap_pa: f64, rod_pa: f64, atmosphere_pa: f64) -> f64 {
        (cap_pa - atmosphere_pa) * self.cap.area_m2 - (rod_pa - atmosphere_pa) * self.rod.area_m2
    }

    /// Pressure rates of both chambers. `rate_m_s` is ℓ̇.
    #[allow(clippy::too_many_arguments)]
    pub fn rates(
        &self,
        cap_on: ValveConnection,
        rod_on: ValveConnection,
        cap_pa: f64,
        rod_pa: f64,
        length_m: f64,
        rate_m_s: f64,
        atmosphere_pa: f64,
    ) -> ChamberRates {
        let (v_cap, v_rod) = self.volumes_m3(length_m);
        let rt = R_AIR_J_KG_K * self.temperature_k;
        let m_cap = self.cap.line.flow_kg_s(cap_on, cap_pa, atmosphere_pa, self.temperature_k);
        let m_rod = self.rod.line.flow_kg_s(rod_on, rod_pa, atmosphere_pa, self.temperature_k);
        let n = self.polytropic_index;
        ChamberRates {
            cap_pa_s: n / v_cap * (rt * m_cap - cap_pa * self.cap.area_m2 * rate_m_s),
            rod_pa_s: n / v_rod * (rt * m_rod + rod_pa * self.rod.area_m2 * rate_m_s),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: a pneumatics distributor's general air-cylinder force table, as read: 1-1/2 in bore 1.767 in², 2 in 3.14 in²,
    /// 2-1/2 in 4.91 in²; 25/50/100 psi push 44/88/177, 79/157/314, 123/245/491 lbf; 5/8 in rod 0.307 in².
    #[test]
    fn val_cylinder_force_table() {
        let inch = 0.0254;
        let psi = 6894.757293168361;
        let lbf = 4.4482216152605;
        for (bore, rows) in [
            (1.5, [(25.0, 44.0), (50.0, 88.0), (100.0, 177.0)]),
            (2.0, [(25.0, 79.0), (50.0, 157.0), (100.0, 314.0)]),
            (2.5, [(25.0, 123.0), (50.0, 245.0), (100.0, 491.0)]),
        ] {
            let (cap, rod) = AirCylinder::areas_m2(bore * inch, 0.625 * inch);
            held!(((cap - rod) / (inch * inch) - 0.307).abs(), 0.0005);
            for (p, want) in rows {
                let push = p * psi * cap / lbf;
                held!((push - want).abs(), 0.5, "{bore} in at {p} psi: {push} lbf, table {want}");
            }
        }
    }
}
