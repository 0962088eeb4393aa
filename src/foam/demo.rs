//! An invented demo station: the foam station of the return lane of a rental fleet at a ferry harbour. No real make, no
//! real site. Its bores and conductances were picked once, so that a solid wet foam stands at 40 psi liquid and 20 psi air;
//! everything else it does follows from the laws.

use super::dilution::{Concentrate, Dilution, DilutionConditions, Injector, MeteringTip, Strainer};
use super::film::{FilmModel, FrictionInput};
use super::foam_maker::{AirFeed, FoamMaker, FoamSettings, LiquidFeed, NeedleValve, Outlets};
use super::regime::RegimeLimits;
use super::station::{Duty, Prices, Station, Tank};

/// One psi, Pa.
const PSI_PA: f64 = 6_894.757_293_168_361;

/// The invented demo station.
#[must_use]
pub fn demo() -> Station {
    let conditions = DilutionConditions::clean(45.0 * PSI_PA, 0.6);
    let tips = [0.40e-3, 0.50e-3, 0.60e-3, 0.70e-3, 0.80e-3, 0.90e-3, 1.00e-3, 1.20e-3];
    Station {
        dilution: Dilution {
            strainer: Strainer::Loss { bore_m: 12.7e-3, loss_coefficient: 12.0 },
            injector: Injector::Bores {
                inlet_bore_m: 12.7e-3,
                throat_bore_m: 2.8e-3,
                nozzle_coefficient: 0.97,
                recovery: 0.20,
            },
            tips: tips.map(|bore_m| MeteringTip { bore_m, measured_ratio: None }).to_vec(),
            fitted_tip: 3,
            tip_length_m: 4e-3,
            tip_discharge_coefficient: 0.61,
            suction_hose_bore_m: 6e-3,
            suction_hose_length_m: 2.0,
            check_valve_pa: 1e3,
            concentrate: Concentrate { density_kg_m3: 1045.0, viscosity_pa_s: 0.008 },
            measured_under: conditions,
        },
        conditions,
        tank: Tank { volume_m3: 0.040, container_m3: 0.200 },
        maker: FoamMaker {
            liquid: LiquidFeed {
                pump_pressure_pa: 60.0 * PSI_PA,
                pump_droop_pa_s_m3: 3e8,
                regulator_droop_pa_s_m3: 5e7,
                restrictor_bore_m: 3.9e-3,
                restrictor_discharge_coefficient: 0.61,
                line_bore_m: 9.5e-3,
                line_length_m: 3.0,
                line_friction_factor: 0.03,
                line_loss_coefficient: 4.0,
                blocked: 0.0,
                check_valve_pa: 2e3,
            },
            air: AirFeed {
                supply_pressure_pa: 90.0 * PSI_PA,
                needle: NeedleValve {
                    full_open_conductance_m3_s_pa: 2.0e-8,
                    critical_ratio: 0.30,
                    full_open_steps: 24.0,
                    measured: Vec::new(),
                },
                temperature_k: 293.15,
                check_valve_pa: 2e3,
            },
            outlets: Outlets {
                count: 8,
                bore_m: 2.4e-3,
                discharge_coefficient: 0.65,
                blocked: 0.0,
                hose_bore_m: 12.7e-3,
                hose_length_m: 4.0,
                hose_friction_factor: 0.03,
            },
            liquid_density_kg_m3: 999.0,
            limits: RegimeLimits::default(),
        },
        settings: FoamSettings {
            liquid_pressure_pa: 40.0 * PSI_PA,
            air_pressure_pa: 20.0 * PSI_PA,
            needle_step: 11.0,
        },
        film: FilmModel {
            vehicle_area_m2: 16.0,
            media_area_m2: 12.0,
            stream_kept: 0.2,
            foam_kept: 0.7,
            spit_landing: 0.5,
            foaming_share: 0.006,
            half_film_m: 30e-6,
            plain_water: 0.3,
            half_concentrate_share: 0.004,
            dry_friction: 0.55,
            wet_friction: 0.20,
        },
        friction: FrictionInput::Estimate,
        duty: Duty { vehicles_per_h: 100.0, hours_per_day: 9.0, foam_travel_m: 5.0, conveyor_m_s: 0.175 },
        prices: Prices { concentrate_per_m3: 4200.0, water_per_m3: 4.5 },
    }
}
