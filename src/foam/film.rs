//! Film and friction: what reaches a vehicle becomes a liquid film, the film a friction coefficient.
//!
//! ```text
//! liquid on the job   V = Q t_on
//! kept                r = r_stream + (r_foam - r_stream) · stand · hold       × the landing share when it spits
//!                     stand = 0 below the touch limit, 1 above the firm limit, straight between (expansion ratio)
//!                     hold  = min(1, c / c_foam)                              a weak mix holds no air
//! film                h = r V / (vehicle area + media area)
//! lubrication         s = h/(h + h_half) · (w + (1 - w) c/(c + c_half))       0 dry … 1 fully lubricated
//! friction            mu = mu_dry - (mu_dry - mu_wet) s
//! ```
//!
//! **Engineering estimate, all of it: calibrate it.** The shapes are the simplest that are bounded and monotone: friction
//! never leaves mu_wet … mu_dry, and never rises with more film or more concentrate. No published friction of wash media
//! on clear coat was found. A pull test or a spindle current replaces it; see [`FrictionInput`].

use super::error::{FoamError, within};
use super::foam_maker::FoamBalance;
use super::regime::{Regime, RegimeLimits};

/// Parameters of film and friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmModel {
    /// Area of the vehicle that is foamed, m², 0.5 to 100.
    pub vehicle_area_m2: f64,
    /// Area of the media that takes up the same foam, m², 0 to 1000.
    pub media_area_m2: f64,
    /// Share of the liquid that stays when it comes as a thin stream, 0 to 1.
    pub stream_kept: f64,
    /// Share that stays when it comes as foam that stands, `stream_kept` to 1.
    pub foam_kept: f64,
    /// Share that lands where it should when the outlets spit, 0 to 1.
    pub spit_landing: f64,
    /// Concentrate share of the solution from which it holds its air, 1e-5 to 0.2.
    pub foaming_share: f64,
    /// Film that gives half the lubrication a thick film gives, m, 1e-7 to 0.01.
    pub half_film_m: f64,
    /// Share of the lubrication that plain water gives, 0 to 1.
    pub plain_water: f64,
    /// Concentrate share that gives half of the rest, 1e-5 to 0.2.
    pub half_concentrate_share: f64,
    /// Friction coefficient dry, `wet_friction` to 1.5.
    pub dry_friction: f64,
    /// Friction coefficient fully lubricated, 0.01 to 1.
    pub wet_friction: f64,
}

/// Where the friction comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FrictionInput {
    /// The film model.
    Estimate,
    /// A coefficient known otherwise, 0.01 to 1.5.
    Coefficient(f64),
    /// A strip of media dragged over wet paint: mu = pull/press.
    PullTest {
        /// Steady pull along the surface, N, 0.01 to 10 000.
        pull_n: f64,
        /// Press across the surface, N, 0.01 to 10 000.
        press_n: f64,
    },
    /// Spindle current against a run of the same wrap with known friction: torque above idle is taken as proportional
    /// to friction and to current.
    SpindleCurrent {
        /// Friction of the reference run, 0.01 to 1.5.
        reference_friction: f64,
        /// Current of the reference run, A, above idle.
        reference_a: f64,
        /// Current now, A, idle or more.
        now_a: f64,
        /// Current with the brush spinning free, A, 0 or more.
        idle_a: f64,
    },
}

/// Film and friction of one vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmResult {
    /// Time the foam is on for one vehicle, s.
    pub on_s: f64,
    /// Solution used on one vehicle, m³.
    pub liquid_m3: f64,
    /// Foam made for one vehicle at atmosphere, m³.
    pub foam_m3: f64,
    /// Share of the liquid kept, 0 to 1.
    pub kept: f64,
    /// Liquid film on vehicle and media, m.
    pub film_m: f64,
    /// The solution is strong enough to hold its air.
    pub holds_air: bool,
    /// Lubrication, 0 dry to 1 full.
    pub lubrication: f64,
    /// Friction by the film model: an engineering estimate.
    pub estimated_friction: f64,
    /// Friction to use: the measured one if there is one.
    pub friction: f64,
    /// `friction` is the estimate and not a measurement.
    pub is_estimate: bool,
}

impl FilmModel {
    /// Refuses what is outside the documented ranges.
    ///
    /// # Errors
    /// The first field at fault.
    pub fn check(&self) -> Result<(), FoamError> {
        within(
            "vehicle_area_m2",
            self.vehicle_area_m2,
            "m2",
            0.5,
            100.0,
            "sides and ends over the foamed height",
        )?;
        within(
            "media_area_m2",
            self.media_area_m2,
            "m2",
            0.0,
            1000.0,
            "strips of both brushes that get wet",
        )?;
        within("stream_kept", self.stream_kept, "", 0.0, 1.0, "a thin stream mostly runs off: 0.1 to 0.3")?;
        within("foam_kept", self.foam_kept, "", self.stream_kept, 1.0, "no less than a stream keeps")?;
        within("spit_landing", self.spit_landing, "", 0.0, 1.0, "share that lands where it should")?;
        within("foaming_share", self.foaming_share, "", 1e-5, 0.2, "0.005 is 200:1")?;
        within("half_film_m", self.half_film_m, "m", 1e-7, 0.01, "some tens of micrometres")?;
        within(
            "plain_water",
            self.plain_water,
            "",
            0.0,
            1.0,
            "share of full lubrication that plain water gives",
        )?;
        within("half_concentrate_share", self.half_concentrate_share, "", 1e-5, 0.2, "0.005 is 200:1")?;
        within("wet_friction", self.wet_friction, "", 0.01, 1.0, "0.1 to 0.3 is usual (guess)")?;
        within("dry_friction", self.dry_friction, "", self.wet_friction, 1.5, "0.3 to 0.7 is usual (guess)")
    }

    /// Lubrication, 0 to 1, of a film (m) of solution with a concentrate share (0 to 1).
    #[must_use]
    pub fn lubrication(&self, film_m: f64, concentrate_share: f64) -> f64 {
        let cover = film_m / (film_m + self.half_film_m);
        let strength = concentrate_share / (concentrate_share + self.half_concentrate_share);
        cover * (self.plain_water + (1.0 - self.plain_water) * strength)
    }

    /// Friction coefficient of a film (m) of solution with a concentrate share (0 to 1).
    #[must_use]
    pub fn friction(&self, film_m: f64, concentrate_share: f64) -> f64 {
        let span = self.dry_friction - self.wet_friction;
        (self.dry_friction - span * self.lubrication(film_m, concentrate_share))
            .clamp(self.wet_friction, self.dry_friction)
    }

    /// Share of the liquid that stays on vehicle and media, 0 to 1.
    #[must_use]
    pub fn kept(&self, balance: &FoamBalance, limits: &RegimeLimits, concentrate_share: f64) -> f64 {
        let Some(expansion) = balance.expansion_ratio else { return 0.0 };
        // A limit of zero width is a step.
        let stand = if expansion >= limits.firm {
            1.0
        } else {
            ((expansion - limits.touch) / (limits.firm - limits.touch)).max(0.0)
        };
        let hold = (concentrate_share / self.foaming_share).min(1.0);
        let kept = self.stream_kept + (self.foam_kept - self.stream_kept) * stand * hold;
        match balance.regime {
            Regime::AirLocked | Regime::Off => 0.0,
            Regime::Pulsing => kept * self.spit_landing,
            _ => kept,
        }
    }

    /// Film and friction of one vehicle foamed for `on_s` seconds (0 to 3600) with solution of a concentrate share.
    ///
    /// # Errors
    /// A field out of range, by its path.
    pub fn apply(
        &self,
        balance: &FoamBalance,
        limits: &RegimeLimits,
        concentrate_share: f64,
        on_s: f64,
        input: &FrictionInput,
    ) -> Result<FilmResult, FoamError> {
        self.check()?;
        within("on_s", on_s, "s", 0.0, 3600.0, "time the foam is on for one vehicle")?;
        within("concentrate_share", concentrate_share, "", 0.0, 1.0, "concentrate over solution, by volume")?;
        let liquid_m3 = balance.liquid_flow_m3_s * on_s;
        let kept = self.kept(balance, limits, concentrate_share);
        let film_m = kept * liquid_m3 / (self.vehicle_area_m2 + self.media_area_m2);
        let estimated_friction = self.friction(film_m, concentrate_share);
        let measured = input.measured()?;
        Ok(FilmResult {
            on_s,
            liquid_m3,
            foam_m3: (balance.liquid_flow_m3_s + balance.air_free_m3_s) * on_s,
            kept,
            film_m,
            holds_air: concentrate_share >= self.foaming_share,
            lubrication: self.lubrication(film_m, concentrate_share),
            estimated_friction,
            friction: measured.unwrap_or(estimated_friction),
            is_estimate: measured.is_none(),
        })
    }
}

impl FrictionInput {
    /// The measured friction coefficient; none for the estimate.
    ///
    /// # Errors
    /// A reading out of range, or readings that give no friction between 0.01 and 1.5.
    pub fn measured(&self) -> Result<Option<f64>, FoamError> {
        let friction = match *self {
            Self::Estimate => return Ok(None),
            Self::Coefficient(friction) => friction,
            Self::PullTest { pull_n, press_n } => {
                within("friction.pull_n", pull_n, "N", 0.01, 1e4, "pull with a spring scale, steadily")?;
                within("friction.press_n", press_n, "N", 0.01, 1e4, "weigh what presses the strip down")?;
                pull_n / press_n
            }
            Self::SpindleCurrent { reference_friction, reference_a, now_a, idle_a } => {
                within("friction.reference_friction", reference_friction, "", 0.01, 1.5, "from a pull test")?;
                within("friction.idle_a", idle_a, "A", 0.0, 1e3, "read it with the brush spinning free")?;
                within("friction.now_a", now_a, "A", idle_a, 1e3, "at least the idle current")?;
                within("friction.reference_a", reference_a, "A", idle_a, 1e3, "more than the idle current")?;
                if reference_a <= idle_a {
                    return Err(FoamError::conflict(
                        "friction.reference_a",
                        format!("{reference_a} A"),
                        format!("more than the idle current of {idle_a} A"),
                        "read the reference run with the brush on a vehicle",
                    ));
                }
                reference_friction * (now_a - idle_a) / (reference_a - idle_a)
            }
        };
        within(
            "friction",
            friction,
            "",
            0.01,
            1.5,
            "check the readings: wash media slide at 0.1 to 0.7 or so",
        )?;
        Ok(Some(friction))
    }
}
