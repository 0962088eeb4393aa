//! The whole station: dilution fills a tank, a pump feeds the foam maker from it, the foam meets vehicles.
//!
//! ```text
//! demand      D = Q_maker · t_on / headway              headway = 3600 s / (vehicles per hour)
//! tank        sustained when the dilution makes at least D; else it lasts V/(D - S)
//! colour      after a change of ratio the tank's share follows with the time constant V/D
//! per vehicle V_solution = Q t_on, concentrate c V, water (1 - c) V
//! ```
//!
//! The tank is taken as well mixed and, for the foam itself, as already at the present ratio.

use std::fmt;

use super::dilution::{Dilution, DilutionConditions, DilutionResult, Draw};
use super::error::{FoamError, within};
use super::film::{FilmModel, FilmResult, FrictionInput};
use super::foam_maker::{FoamBalance, FoamMaker, FoamSettings};

/// Everything fixed about a foam station, with the settings and conditions it stands at.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Strainer, injector, tips, concentrate.
    pub dilution: Dilution,
    /// The dilution's conditions now.
    pub conditions: DilutionConditions,
    /// Tank and container.
    pub tank: Tank,
    /// The foam maker.
    pub maker: FoamMaker,
    /// The foam maker's knobs now.
    pub settings: FoamSettings,
    /// Film and friction.
    pub film: FilmModel,
    /// Where the friction comes from.
    pub friction: FrictionInput,
    /// How the line is run.
    pub duty: Duty,
    /// What concentrate and water cost.
    pub prices: Prices,
}

/// Tank of solution and container of concentrate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tank {
    /// Working volume of the solution tank, m³, 1e-4 to 100.
    pub volume_m3: f64,
    /// Concentrate in a full container, m³, 1e-4 to 100.
    pub container_m3: f64,
}

/// Conveyor speeds that a station is computed for, m/s.
pub const CONVEYOR_M_S: (f64, f64) = (0.01, 2.0);

/// How the line is run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// Vehicles per hour, 1 to 400.
    pub vehicles_per_h: f64,
    /// Hours run in a day, 0.1 to 24.
    pub hours_per_day: f64,
    /// Travel of the conveyor during which the foam is on for one vehicle, m, 0.1 to 50.
    pub foam_travel_m: f64,
    /// Conveyor speed, m/s, 0.01 to 2.
    pub conveyor_m_s: f64,
}

/// What concentrate and water cost, in any one currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prices {
    /// Price of concentrate per m³, 0 to 1e6.
    pub concentrate_per_m3: f64,
    /// Price of water per m³, 0 to 1e3.
    pub water_per_m3: f64,
}

/// Tank and container in use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TankBalance {
    /// Solution used on average, m³/s.
    pub demand_m3_s: f64,
    /// Solution the dilution stage can make, m³/s.
    pub supply_m3_s: f64,
    /// The dilution stage keeps up.
    pub sustained: bool,
    /// A full tank is empty after this, s; none when sustained.
    pub empties_after_s: Option<f64>,
    /// Time constant with which the tank follows a change of ratio, s; none when nothing is used.
    pub fade_s: Option<f64>,
    /// Running time a full container of concentrate lasts, s; none when none is used.
    pub container_lasts_s: Option<f64>,
    /// Days of the stated hours a full container lasts; none when none is used.
    pub container_lasts_days: Option<f64>,
}

/// Use and cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Consumption {
    /// Concentrate per vehicle, m³.
    pub concentrate_per_vehicle_m3: f64,
    /// Water per vehicle, m³.
    pub water_per_vehicle_m3: f64,
    /// Cost per vehicle, in the currency of the prices.
    pub cost_per_vehicle: f64,
    /// Vehicles per day.
    pub vehicles_per_day: f64,
    /// Concentrate per day, m³.
    pub concentrate_per_day_m3: f64,
    /// Water per day, m³.
    pub water_per_day_m3: f64,
    /// Cost per day.
    pub cost_per_day: f64,
}

/// Something the numbers show that a person should be told in words.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum StationNote {
    /// No water flows through the injector.
    NoWater,
    /// The throat is not under atmosphere: suction is lost (throat pressure, Pa gauge).
    SuctionLost(f64),
    /// The suction does not reach the lift (throat pressure, Pa gauge).
    LiftTooHigh(f64),
    /// A leak lets in nothing but air.
    AirOnlyDrawn,
    /// The water boils in the throat: more supply pressure brings no more suction.
    ThroatBoils,
    /// The mix is richer than the dilution model can be trusted with (ratio).
    TooRichForModel(f64),
    /// The mix is too weak to hold its air (concentrate share).
    TooWeakToFoam(f64),
    /// The air cannot enter: its pressure (Pa gauge) does not beat the tee's.
    AirCannotEnter {
        /// Air pressure set, Pa gauge.
        air_pa: f64,
        /// Tee pressure, Pa gauge.
        tee_pa: f64,
    },
    /// The air holds the liquid back.
    LiquidHeldBack {
        /// Liquid pressure set, Pa gauge.
        liquid_pa: f64,
        /// Tee pressure, Pa gauge.
        tee_pa: f64,
    },
    /// The tank runs dry (after so many seconds from full).
    TankRunsDry(f64),
    /// The next vehicle comes before the foam would go off: it runs without a break.
    FoamNeverOff,
}

impl fmt::Display for StationNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoWater => write!(f, "no water flows through the injector"),
            Self::SuctionLost(pa) => {
                write!(f, "suction lost: the throat stands at {:.1} kPa gauge", pa / 1e3)
            }
            Self::LiftTooHigh(pa) => {
                write!(f, "the suction of {:.1} kPa does not reach the lift and check valve", -pa / 1e3)
            }
            Self::AirOnlyDrawn => write!(f, "the suction line draws nothing but air: look for the leak"),
            Self::ThroatBoils => {
                write!(f, "the water boils in the throat: more supply pressure brings no more suction")
            }
            Self::TooRichForModel(ratio) => {
                write!(f, "{ratio:.1}:1 is richer than this model can be trusted with")
            }
            Self::TooWeakToFoam(share) => {
                write!(f, "a mix of {:.2} % is too weak to hold its air", share * 100.0)
            }
            Self::AirCannotEnter { air_pa, tee_pa } => write!(
                f,
                "air cannot enter: {:.1} kPa set, the tee stands at {:.1} kPa",
                air_pa / 1e3,
                tee_pa / 1e3
            ),
            Self::LiquidHeldBack { liquid_pa, tee_pa } => write!(
                f,
                "liquid held back: {:.1} kPa set, the air keeps the tee at {:.1} kPa",
                liquid_pa / 1e3,
                tee_pa / 1e3
            ),
            Self::TankRunsDry(after_s) => {
                write!(
                    f,
                    "the dilution does not keep up: a full tank is empty after {:.0} min",
                    after_s / 60.0
                )
            }
            Self::FoamNeverOff => write!(f, "the foam never goes off between vehicles"),
        }
    }
}

/// A station at work.
#[derive(Debug, Clone, PartialEq)]
pub struct StationResult {
    /// Dilution.
    pub dilution: DilutionResult,
    /// Foam maker.
    pub balance: FoamBalance,
    /// Film and friction.
    pub film: FilmResult,
    /// Tank and container.
    pub tank: TankBalance,
    /// Use and cost.
    pub consumption: Consumption,
    /// What to tell in words.
    pub notes: Vec<StationNote>,
}

impl Duty {
    /// Time between two vehicles, s.
    #[must_use]
    pub fn headway_s(&self) -> f64 {
        3600.0 / self.vehicles_per_h
    }

    /// Time the foam is on for one vehicle, s: never more than the headway.
    #[must_use]
    pub fn on_s(&self) -> f64 {
        (self.foam_travel_m / self.conveyor_m_s).min(self.headway_s())
    }

    fn check(&self) -> Result<(), FoamError> {
        within("vehicles_per_h", self.vehicles_per_h, "1/h", 1.0, 400.0, "count a busy hour")?;
        within("hours_per_day", self.hours_per_day, "h", 0.1, 24.0, "hours the line runs")?;
        within(
            "foam_travel_m",
            self.foam_travel_m,
            "m",
            0.1,
            50.0,
            "vehicle length and what the timer adds",
        )?;
        let (low, high) = CONVEYOR_M_S;
        within("conveyor_m_s", self.conveyor_m_s, "m/s", low, high, "vehicles per hour times length and gap")
    }
}

impl Station {
    /// Refuses what is outside the documented ranges or does not go together.
    ///
    /// # Errors
    /// The first field at fault, by its path.
    pub fn check(&self) -> Result<(), FoamError> {
        self.dilution.check().map_err(|e| e.under("dilution"))?;
        self.conditions.check().map_err(|e| e.under("conditions"))?;
        within("tank.volume_m3", self.tank.volume_m3, "m3", 1e-4, 100.0, "between the float's two levels")?;
        within(
            "tank.container_m3",
            self.tank.container_m3,
            "m3",
            1e-4,
            100.0,
            "what the container holds when full",
        )?;
        self.maker.check().map_err(|e| e.under("maker"))?;
        self.settings.check(self.maker.air.needle.full_open_steps).map_err(|e| e.under("settings"))?;
        self.film.check().map_err(|e| e.under("film"))?;
        self.friction.measured()?;
        self.duty.check().map_err(|e| e.under("duty"))?;
        within(
            "prices.concentrate_per_m3",
            self.prices.concentrate_per_m3,
            "1/m3",
            0.0,
            1e6,
            "price over volume",
        )?;
        within("prices.water_per_m3", self.prices.water_per_m3, "1/m3", 0.0, 1e3, "with the sewer's share")
    }

    /// The station at work.
    ///
    /// # Errors
    /// A field out of range or in conflict, by its path.
    pub fn evaluate(&self) -> Result<StationResult, FoamError> {
        self.check()?;
        let dilution = self.dilution.solve(&self.conditions).map_err(|e| e.under("dilution"))?;
        let balance = self.maker.balance(&self.settings).map_err(|e| e.under("maker"))?;
        let on_s = self.duty.on_s();
        let share = dilution.concentrate_share;
        let film = self
            .film
            .apply(&balance, &self.maker.limits, share, on_s, &self.friction)
            .map_err(|e| e.under("film"))?;
        let tank = self.tank_balance(&dilution, &balance);
        let consumption = self.consumption(&film, share);
        let notes = self.notes(&dilution, &balance, &film, &tank);
        Ok(StationResult { dilution, balance, film, tank, consumption, notes })
    }

    fn tank_balance(&self, dilution: &DilutionResult, balance: &FoamBalance) -> TankBalance {
        let demand = balance.liquid_flow_m3_s * self.duty.on_s() / self.duty.headway_s();
        let supply = dilution.solution_flow_m3_s;
        let concentrate = demand * dilution.concentrate_share;
        let lasts_s = (concentrate > 0.0).then(|| self.tank.container_m3 / concentrate);
        TankBalance {
            demand_m3_s: demand,
            supply_m3_s: supply,
            sustained: supply >= demand,
            empties_after_s: (supply < demand).then(|| self.tank.volume_m3 / (demand - supply)),
            fade_s: (demand > 0.0).then(|| self.tank.volume_m3 / demand),
            container_lasts_s: lasts_s,
            container_lasts_days: lasts_s.map(|s| s / (3600.0 * self.duty.hours_per_day)),
        }
    }

    fn consumption(&self, film: &FilmResult, share: f64) -> Consumption {
        let concentrate = film.liquid_m3 * share;
        let water = film.liquid_m3 - concentrate;
        let cost = concentrate * self.prices.concentrate_per_m3 + water * self.prices.water_per_m3;
        let vehicles = self.duty.vehicles_per_h * self.duty.hours_per_day;
        Consumption {
            concentrate_per_vehicle_m3: concentrate,
            water_per_vehicle_m3: water,
            cost_per_vehicle: cost,
            vehicles_per_day: vehicles,
            concentrate_per_day_m3: concentrate * vehicles,
            water_per_day_m3: water * vehicles,
            cost_per_day: cost * vehicles,
        }
    }

    fn notes(
        &self,
        dilution: &DilutionResult,
        balance: &FoamBalance,
        film: &FilmResult,
        tank: &TankBalance,
    ) -> Vec<StationNote> {
        let mut notes = Vec::new();
        match dilution.draw {
            Draw::Drawing => {}
            Draw::NoWater => notes.push(StationNote::NoWater),
            Draw::SuctionLost => notes.push(StationNote::SuctionLost(dilution.throat_pa)),
            Draw::LiftTooHigh => notes.push(StationNote::LiftTooHigh(dilution.throat_pa)),
            Draw::AirOnly => notes.push(StationNote::AirOnlyDrawn),
        }
        if dilution.throat_boils {
            notes.push(StationNote::ThroatBoils);
        }
        if let Some(ratio) = dilution.ratio.filter(|_| dilution.beyond_model()) {
            notes.push(StationNote::TooRichForModel(ratio));
        }
        if !film.holds_air {
            notes.push(StationNote::TooWeakToFoam(dilution.concentrate_share));
        }
        if balance.air_cannot_enter {
            notes.push(StationNote::AirCannotEnter {
                air_pa: self.settings.air_pressure_pa,
                tee_pa: balance.tee_pa,
            });
        }
        if balance.liquid_held_back {
            notes.push(StationNote::LiquidHeldBack {
                liquid_pa: self.settings.liquid_pressure_pa,
                tee_pa: balance.tee_pa,
            });
        }
        if let Some(after_s) = tank.empties_after_s {
            notes.push(StationNote::TankRunsDry(after_s));
        }
        if self.duty.foam_travel_m / self.duty.conveyor_m_s >= self.duty.headway_s() {
            notes.push(StationNote::FoamNeverOff);
        }
        notes
    }
}
