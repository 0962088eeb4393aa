//! The foam station as a file writes it: trade units in, [`Station`] out.
//!
//! The same `foam: (…)` part stands in a scenario and in a [`FoamFile`] of its own. What a person turns or finds different
//! from day to day (gauges, needle valve, fitted bore, blockages) stands at its top; what is built in stands in parts below.
//! Throughput and conveyor speed are the line's: a scenario has them, a foam file says them under `line`.
//!
//! Ranges are those of the model ([`crate::foam`]); [`places`] puts what the model refuses under the value in the file.

mod file;
mod part;
pub mod places;
pub mod ratio;

use crate::error::Refusal;
use crate::foam::dilution::{Concentrate, Dilution, DilutionConditions, MeteringTip};
use crate::foam::foam_maker::{AirFeed, FoamMaker, FoamSettings, LiquidFeed, NeedleValve, Outlets};
use crate::foam::regime::RegimeLimits;
use crate::foam::station::{Duty, Prices, Tank};
use crate::foam::{FoamError, Station};
use crate::units::Length;
pub use file::{FoamFile, FoamLine};
pub use part::*;
use places::Host;
pub use ratio::MixRatio;

/// Two ways of writing one bore may differ by this share: 0.7 mm is 0.0276 in.
const SAME_BORE: f64 = 0.005;

/// Something about a foam part that makes no sense.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Place in the file: a dotted path from its top.
    pub path: String,
    /// What is wrong.
    pub refusal: Refusal,
}

impl Fault {
    /// A fault at a field of the foam part.
    fn new(
        field: &str,
        problem: &str,
        given: impl Into<String>,
        allowed: impl Into<String>,
        advice: &str,
    ) -> Fault {
        let refusal = Refusal {
            problem: problem.to_owned(),
            given: given.into(),
            allowed: allowed.into(),
            advice: advice.to_owned(),
        };
        Fault { path: format!("foam.{field}"), refusal }
    }
}

impl FoamPart {
    /// The station at a throughput (vehicles per second) and a conveyor speed (m/s), checked.
    ///
    /// # Errors
    /// What makes no sense: the first fault of each part.
    pub fn check(
        &self,
        host: Host,
        throughput_per_s: f64,
        conveyor_speed_m_s: f64,
    ) -> Result<Station, Vec<Fault>> {
        let station = self.station(throughput_per_s, conveyor_speed_m_s)?;
        let found: Vec<Fault> = faults(&station).iter().map(|error| places::fault(host, error)).collect();
        if !found.is_empty() {
            return Err(found);
        }
        // What only shows when the station is solved: one fault at most.
        match station.evaluate() {
            Ok(_) => Ok(station),
            Err(error) => Err(vec![places::fault(host, &error)]),
        }
    }

    /// The station at a throughput (vehicles per second) and a conveyor speed (m/s), not yet checked against the model's ranges.
    ///
    /// # Errors
    /// Fields that do not go together.
    pub fn station(&self, throughput_per_s: f64, conveyor_speed_m_s: f64) -> Result<Station, Vec<Fault>> {
        let mut wrong = Vec::new();
        let (tips, fitted_tip) = self.tips(&mut wrong);
        let suction = &self.suction;
        let measured_under = match &suction.measured_under {
            Some(under) => DilutionConditions::clean(under.supply_pressure.gauge_pa(), under.lift.si()),
            // Nothing was measured, so nothing rests on these.
            None => {
                if !suction.measured.is_empty() {
                    wrong.push(Fault::new(
                        "suction.measured",
                        "measured ratios without the conditions they were measured under",
                        "no field measured_under",
                        "measured_under beside measured",
                        "add measured_under: (supply_pressure: …, lift: …)",
                    ));
                }
                DilutionConditions::clean(0.0, 0.0)
            }
        };
        if !wrong.is_empty() {
            return Err(wrong);
        }
        Ok(Station {
            dilution: Dilution {
                strainer: self.strainer.model(),
                injector: self.injector.model(),
                tips,
                fitted_tip,
                tip_length_m: suction.tip_length.si(),
                tip_discharge_coefficient: suction.tip_discharge_coefficient.si(),
                suction_hose_bore_m: suction.hose_bore.si(),
                suction_hose_length_m: suction.hose_length.si(),
                check_valve_pa: suction.check_valve.gauge_pa(),
                concentrate: Concentrate {
                    density_kg_m3: self.concentrate.density.si(),
                    viscosity_pa_s: self.concentrate.viscosity.si(),
                },
                measured_under,
            },
            conditions: self.conditions(),
            tank: Tank { volume_m3: self.tank.volume.si(), container_m3: self.concentrate.container.si() },
            maker: self.maker(),
            settings: FoamSettings {
                liquid_pressure_pa: self.liquid_regulator.gauge_pa(),
                air_pressure_pa: self.air_regulator.gauge_pa(),
                needle_step: self.needle_valve.si(),
            },
            film: self.film.model(),
            friction: self.friction.model(),
            duty: Duty {
                vehicles_per_h: per_hour(throughput_per_s),
                hours_per_day: self.duty.hours_per_day.si() / 3600.0,
                foam_travel_m: self.duty.foam_travel.si(),
                conveyor_m_s: conveyor_speed_m_s,
            },
            prices: Prices {
                concentrate_per_m3: self.prices.concentrate.per_m3(),
                water_per_m3: self.prices.water.per_m3(),
            },
        })
    }

    /// The tips and the index of the one fitted.
    fn tips(&self, wrong: &mut Vec<Fault>) -> (Vec<MeteringTip>, usize) {
        let bores = &self.suction.bores;
        let mut tips: Vec<MeteringTip> =
            bores.iter().map(|bore| MeteringTip { bore_m: bore.si(), measured_ratio: None }).collect();
        let listed = || bores.iter().map(Length::written).collect::<Vec<_>>().join(", ");
        for (i, pair) in bores.windows(2).enumerate() {
            if pair[1].si() <= pair[0].si() {
                wrong.push(Fault::new(
                    &format!("suction.bores[{}]", i + 1),
                    "the bores do not rise",
                    pair[1].written(),
                    format!("more than {}", pair[0]),
                    "list the tips from the narrowest to the widest, each once",
                ));
            }
        }
        for (i, measured) in self.suction.measured.iter().enumerate() {
            match nearest_bore(bores, measured.bore.si()) {
                Some(tip) if tips[tip].measured_ratio.is_none() => {
                    tips[tip].measured_ratio = Some(measured.ratio.parts());
                }
                known => {
                    let problem = if known.is_some() {
                        "a second ratio for the same tip"
                    } else {
                        "no such tip in the list of bores"
                    };
                    wrong.push(Fault::new(
                        &format!("suction.measured[{i}].bore"),
                        problem,
                        measured.bore.written(),
                        listed(),
                        "give each tip at most one ratio: the mean, if you measured it more often",
                    ));
                }
            }
        }
        let fitted = nearest_bore(bores, self.metering_bore.si());
        if fitted.is_none() && !bores.is_empty() {
            wrong.push(Fault::new(
                "metering_bore",
                "the fitted tip is not in the list of bores",
                self.metering_bore.written(),
                listed(),
                "name one of suction.bores, or add this bore to them",
            ));
        }
        (tips, fitted.unwrap_or(0))
    }

    fn conditions(&self) -> DilutionConditions {
        DilutionConditions {
            supply_pressure_pa: self.supply_pressure.gauge_pa(),
            outlet_pressure_pa: self.injector_outlet_pressure.gauge_pa(),
            strainer_blocked: self.strainer_blockage.si(),
            throat_bore_factor: self.throat_wear.si(),
            tip_blocked: self.tip_blockage.si(),
            tip_bore_factor: self.tip_wear.si(),
            lift_m: self.lift.si(),
            suction_leak: self.suction_leak.si(),
            viscosity_factor: self.thickening.si(),
        }
    }

    fn maker(&self) -> FoamMaker {
        let (pump, line, air, outlets) = (&self.pump, &self.liquid_line, &self.air, &self.outlets);
        FoamMaker {
            liquid: LiquidFeed {
                pump_pressure_pa: pump.pressure.gauge_pa(),
                pump_droop_pa_s_m3: pump.drop.as_ref().map_or(0.0, Drop::per_flow),
                regulator_droop_pa_s_m3: pump.regulator_drop.as_ref().map_or(0.0, Drop::per_flow),
                restrictor_bore_m: line.restrictor_bore.si(),
                restrictor_discharge_coefficient: line.restrictor_discharge_coefficient.si(),
                line_bore_m: line.bore.si(),
                line_length_m: line.length.si(),
                line_friction_factor: line.friction_factor.si(),
                line_loss_coefficient: line.loss_coefficient.si(),
                blocked: line.blockage.si(),
                check_valve_pa: line.check_valve.gauge_pa(),
            },
            air: AirFeed {
                supply_pressure_pa: air.supply_pressure.gauge_pa(),
                needle: NeedleValve {
                    full_open_conductance_m3_s_pa: air.needle.full_open_conductance.si(),
                    critical_ratio: air.needle.critical_ratio.si(),
                    full_open_steps: air.needle.full_open_steps.si(),
                    measured: air.needle.measured.iter().map(|m| (m.step.si(), m.conductance.si())).collect(),
                },
                temperature_k: air.temperature.si(),
                check_valve_pa: air.check_valve.gauge_pa(),
            },
            outlets: Outlets {
                count: outlets.count,
                bore_m: outlets.bore.si(),
                discharge_coefficient: outlets.discharge_coefficient.si(),
                blocked: outlets.blockage.si(),
                hose_bore_m: outlets.hose_bore.si(),
                hose_length_m: outlets.hose_length.si(),
                hose_friction_factor: outlets.hose_friction_factor.si(),
            },
            liquid_density_kg_m3: self.tank.solution_density.si(),
            limits: self.regimes.as_ref().map_or_else(RegimeLimits::default, |r| RegimeLimits {
                touch: r.touch.si(),
                firm: r.firm.si(),
                dry: r.dry.si(),
                ripple_pa: r.ripple.gauge_pa(),
            }),
        }
    }
}

/// The bore of the list that is the same as `bore_m`, written in another unit perhaps.
pub(super) fn nearest_bore(bores: &[Length], bore_m: f64) -> Option<usize> {
    (0..bores.len())
        .filter(|&i| (bores[i].si() - bore_m).abs() <= SAME_BORE * bores[i].si().abs())
        .min_by(|&i, &j| (bores[i].si() - bore_m).abs().total_cmp(&(bores[j].si() - bore_m).abs()))
}

/// Vehicles per hour from vehicles per second, whole where it was written whole.
fn per_hour(per_s: f64) -> f64 {
    let per_h = per_s * 3600.0;
    let whole = per_h.round();
    if (per_h - whole).abs() <= 1e-12 * whole.abs() { whole } else { per_h }
}

/// The first fault of each part of a station.
fn faults(station: &Station) -> Vec<FoamError> {
    let mut found = Vec::new();
    // One part at a time: all the others are taken from a sound station.
    let sound = crate::foam::demo();
    let parts: [fn(&mut Station, &Station); 8] = [
        |s, given| s.dilution = given.dilution.clone(),
        |s, given| s.conditions = given.conditions,
        |s, given| s.tank = given.tank,
        |s, given| s.maker = given.maker.clone(),
        |s, given| {
            s.settings = given.settings;
            s.maker.air.needle.full_open_steps = given.maker.air.needle.full_open_steps.clamp(1.0, 200.0);
        },
        |s, given| {
            s.film = given.film;
            s.friction = given.friction;
        },
        |s, given| s.duty = given.duty,
        |s, given| s.prices = given.prices,
    ];
    for put in parts {
        let mut trial = sound.clone();
        put(&mut trial, station);
        if let Err(error) = trial.check()
            && !found.contains(&error)
        {
            found.push(error);
        }
    }
    found
}
