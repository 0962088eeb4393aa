//! The types of the foam part, field for field, and what each comes to in the model.

use super::MixRatio;
use crate::foam::dilution::{Injector, Strainer};
use crate::foam::film::{FilmModel, FrictionInput};
use crate::scenario::knob::{Also, RowKind};
use crate::scenario::part::{opaque, part};
use crate::units::{
    Area, Conductance, Density, Flow, Force, Fraction, Length, Pressure, Temperature, Time, Viscosity, Volume,
};
use serde::{Deserialize, Serialize};

type Range = (&'static str, &'static str);

const BLOCKAGE: Range = ("0 %", "99.9 %");
const REGULATOR: Range = ("0 psi", "159 psi");
/// Nothing of what is found, not set, is standard.
const CLEAR: Option<[&str; 2]> = Some(["0 %", "0 %"]);

// The model looks at them itself.
opaque!(
    MixRatio,
    StrainerPart,
    InjectorPart,
    SuctionPart,
    ConcentratePart,
    TankPart,
    PumpPart,
    AirPart,
    RegimesPart,
    FilmPart,
    FrictionPart,
    DutyPart,
    PricesPart
);

part! {
    /// The `foam: (…)` part. Ranges stand at the fields of the model named with each.
    #[derive(serde::Serialize)]
    FoamPart {
        /// Water supply while it flows, gauge, 0 to 2 MPa.
        supply_pressure: Pressure, in ("0 psi", "290 psi"), set {
            step: "1 psi", label: "water supply of the foam station, flowing", group: Group::Foam, rank: 5,
            in_field: false
        };
        /// Share of the strainer's mesh that is blocked, 0 to 0.999.
        strainer_blockage: Fraction = "0 %", in BLOCKAGE, set {
            step: "10 %", label: "share of the water strainer blocked", group: Group::Foam, rank: 7,
            in_field: false, standard: CLEAR
        };
        /// Bore of the metering tip fitted: one of `suction.bores`.
        metering_bore: Length, set {
            label: "metering tip of the concentrate", group: Group::Foam, rank: 1,
            values: Some(RowKind::Bore)
        };
        /// Share of the tip's area that is blocked, 0 to 0.999.
        tip_blockage: Fraction = "0 %", in BLOCKAGE, set {
            step: "10 %", label: "share of the metering tip blocked", group: Group::Foam, rank: 8,
            in_field: false, standard: CLEAR
        };
        /// Bore of the tip now over that listed, 0.3 to 10.
        tip_wear: Fraction = "1";
        /// Throat bore now over that described, 0.3 to 3.
        throat_wear: Fraction = "1";
        /// Injector above the surface of the concentrate, −5 to 10 m.
        lift: Length, in ("-5 m", "10 m"), set {
            step: "6 in", label: "injector above the concentrate", group: Group::Foam, rank: 6,
            in_field: false
        };
        /// Share of what is drawn that is air, 0 to 1.
        suction_leak: Fraction = "0 %", in BLOCKAGE, set {
            step: "10 %", label: "share of the draw that is air", group: Group::Foam, rank: 9,
            in_field: false, standard: CLEAR
        };
        /// Viscosity of the concentrate now over that described, 0.1 to 100.
        thickening: Fraction = "1", in ("0.1", "100"), set {
            step: "0.5", label: "concentrate now over as described, viscosity", group: Group::Foam, rank: 12,
            in_field: false, standard: Some(["1", "1"])
        };
        /// Gauge pressure the injector delivers against, −20 kPa to 1 MPa; 0 into an open tank.
        injector_outlet_pressure: Pressure = "0 psi";
        /// Liquid regulator, gauge, 0 to 1.1 MPa.
        liquid_regulator: Pressure, in REGULATOR, set {
            step: "1 psi", label: "liquid regulator of the foam maker", group: Group::Foam, rank: 2,
            standard: Some(["30 psi", "40 psi"])
        };
        /// Air regulator, gauge, 0 to 1.1 MPa.
        air_regulator: Pressure, in REGULATOR, set {
            step: "1 psi", label: "air regulator of the foam maker", group: Group::Foam, rank: 3
        };
        /// Needle valve, field steps open from shut.
        needle_valve: Fraction, in ("0", "200"), set {
            step: "1", label: "needle valve of the foam maker, steps open", group: Group::Foam, rank: 4,
            also: Some(Also::NeedleTravel)
        };
        /// The ratio wanted, parts of water to one.
        target_ratio: Option<MixRatio> = None;
        /// Whether the foam sets the friction of the brushes. Left out: it sets that of every brush that states none. `true`: and no brush
        /// may state one. `false`: every brush must.
        sets_friction: Option<bool> = None;
        /// The strainer before the injector.
        strainer: StrainerPart;
        /// The injector.
        injector: InjectorPart;
        /// Tips, suction hose, check valve.
        suction: SuctionPart;
        /// The concentrate.
        concentrate: ConcentratePart;
        /// The tank of solution.
        tank: TankPart;
        /// Pump and liquid regulator.
        pump: PumpPart;
        /// Restrictor and line up to the tee.
        liquid_line: LiquidLinePart;
        /// Air supply and needle valve.
        air: AirPart;
        /// Hose and outlets after the tee.
        outlets: OutletsPart;
        /// Boundaries between regimes; left out = the usual ones.
        regimes: Option<RegimesPart> = None;
        /// Film and friction.
        film: FilmPart;
        /// Where the friction comes from.
        friction: FrictionPart = (FrictionPart::default());
        /// How long the foam is on, and the hours of a day.
        duty: DutyPart;
        /// What concentrate and water cost.
        prices: PricesPart;
    }
}

/// The strainer: [`Strainer`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum StrainerPart {
    /// A loss coefficient on a bore.
    Loss {
        /// Bore the coefficient is referred to.
        bore: Length,
        /// Loss coefficient, clean.
        loss_coefficient: Fraction,
    },
    /// A bucket and a stopwatch, with the strainer as found.
    BucketFlow {
        /// Water through the injector.
        flow: Flow,
        /// Supply at that time, gauge.
        supply_pressure: Pressure,
    },
}

/// The injector: [`Injector`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum InjectorPart {
    /// From its bores.
    Bores {
        /// Inlet bore.
        inlet_bore: Length,
        /// Throat bore.
        throat_bore: Length,
        /// Speed coefficient of the nozzle.
        nozzle_coefficient: Fraction,
        /// Share won back by the diffuser.
        recovery: Fraction,
    },
    /// From one reading with the outlet at atmosphere.
    Reading {
        /// Water flow.
        water_flow: Flow,
        /// Injector inlet, gauge.
        inlet_pressure: Pressure,
        /// Vacuum at the suction port with no draw: below atmosphere, written positive.
        vacuum: Pressure,
    },
}

/// Tips, suction hose, check valve: fields of [`crate::foam::dilution::Dilution`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SuctionPart {
    /// Bores of the tips owned, from the narrowest to the widest.
    pub bores: Vec<Length>,
    /// Ratios measured with some of them; a measured ratio beats the computed one.
    #[serde(default)]
    pub measured: Vec<MeasuredRatio>,
    /// Conditions the ratios were measured under; needed with `measured`.
    #[serde(default)]
    pub measured_under: Option<MeasuredUnder>,
    /// Drilled length of a tip.
    pub tip_length: Length,
    /// Discharge coefficient of a tip's mouth.
    pub tip_discharge_coefficient: Fraction,
    /// Bore of the suction hose.
    pub hose_bore: Length,
    /// Length of the suction hose.
    pub hose_length: Length,
    /// Opening pressure of the check valve.
    pub check_valve: Pressure,
}

/// A ratio measured with one tip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredRatio {
    /// Bore of the tip: one of the list.
    pub bore: Length,
    /// Parts of water to one.
    pub ratio: MixRatio,
}

/// Conditions of measured ratios; everything else was clean and as described.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredUnder {
    /// Water supply while flowing, gauge.
    pub supply_pressure: Pressure,
    /// Injector above the surface of the concentrate.
    pub lift: Length,
}

/// The concentrate: [`crate::foam::dilution::Concentrate`] and its container.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConcentratePart {
    /// Density.
    pub density: Density,
    /// Viscosity at the temperature it is used.
    pub viscosity: Viscosity,
    /// What a full container holds.
    pub container: Volume,
}

/// The tank of solution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TankPart {
    /// Working volume.
    pub volume: Volume,
    /// Density of the solution.
    pub solution_density: Density,
}

/// A pressure lost at a flow; in proportion at other flows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drop {
    /// Pressure lost.
    pub pressure: Pressure,
    /// At this flow.
    pub flow: Flow,
}

/// Pump and liquid regulator: fields of [`crate::foam::foam_maker::LiquidFeed`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PumpPart {
    /// Gauge pressure at no flow.
    pub pressure: Pressure,
    /// What the pump loses with flow; left out = nothing.
    #[serde(default)]
    pub drop: Option<Drop>,
    /// What the regulator loses with flow; left out = nothing.
    #[serde(default)]
    pub regulator_drop: Option<Drop>,
}

part! {
    /// Restrictor and line up to the tee: fields of [`crate::foam::foam_maker::LiquidFeed`].
    #[derive(serde::Serialize)]
    LiquidLinePart {
        /// Bore of the restrictor before the tee.
        restrictor_bore: Length;
        /// Its discharge coefficient.
        restrictor_discharge_coefficient: Fraction;
        /// Bore of the line.
        bore: Length;
        /// Length of the line.
        length: Length;
        /// Darcy friction factor of the line.
        friction_factor: Fraction;
        /// Loss coefficients of its fittings summed.
        loss_coefficient: Fraction;
        /// Share of the area of restrictor and line that is blocked.
        blockage: Fraction = "0 %", in BLOCKAGE, set {
            step: "10 %", label: "share of the liquid line blocked", group: Group::Foam, rank: 10,
            in_field: false, standard: CLEAR
        };
        /// Opening pressure of its check valve.
        check_valve: Pressure;
    }
}

/// Air supply and needle valve: [`crate::foam::foam_maker::AirFeed`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirPart {
    /// Before the air regulator, gauge.
    pub supply_pressure: Pressure,
    /// Temperature of the air.
    pub temperature: Temperature,
    /// Opening pressure of its check valve.
    pub check_valve: Pressure,
    /// The needle valve.
    pub needle: NeedlePart,
}

/// The needle valve: [`crate::foam::foam_maker::NeedleValve`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NeedlePart {
    /// Sonic conductance fully open.
    pub full_open_conductance: Conductance,
    /// Critical pressure ratio.
    pub critical_ratio: Fraction,
    /// Field steps from shut to fully open.
    pub full_open_steps: Fraction,
    /// Measured openings, from shut to open.
    #[serde(default)]
    pub measured: Vec<NeedleReading>,
}

/// A measured opening of the needle valve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NeedleReading {
    /// Steps from shut.
    pub step: Fraction,
    /// Sonic conductance there.
    pub conductance: Conductance,
}

part! {
    /// Hose and outlets: [`crate::foam::foam_maker::Outlets`].
    #[derive(serde::Serialize)]
    OutletsPart {
        /// Outlets side by side.
        count: u32;
        /// Bore of one.
        bore: Length;
        /// Discharge coefficient of one.
        discharge_coefficient: Fraction;
        /// Share of the outlet area that is blocked.
        blockage: Fraction = "0 %", in BLOCKAGE, set {
            step: "10 %", label: "share of the outlets blocked", group: Group::Foam, rank: 11,
            in_field: false, standard: CLEAR
        };
        /// Bore of the hose.
        hose_bore: Length;
        /// Length of the hose.
        hose_length: Length;
        /// Darcy friction factor of the hose.
        hose_friction_factor: Fraction;
    }
}

/// Boundaries between regimes: [`crate::foam::regime::RegimeLimits`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RegimesPart {
    /// Expansion ratio at which bubbles touch.
    pub touch: Fraction,
    /// Expansion ratio at which foam stands.
    pub firm: Fraction,
    /// Expansion ratio at which foam is too dry.
    pub dry: Fraction,
    /// What pump and regulator ripple by.
    pub ripple: Pressure,
}

/// Film and friction: [`FilmModel`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FilmPart {
    /// Area of the vehicle that is foamed.
    pub vehicle_area: Area,
    /// Area of the media that takes up the same foam.
    pub media_area: Area,
    /// Share that stays of a thin stream.
    pub stream_kept: Fraction,
    /// Share that stays of foam that stands.
    pub foam_kept: Fraction,
    /// Share that lands where it should when the outlets spit.
    pub spit_landing: Fraction,
    /// Concentrate share from which the solution holds its air.
    pub foaming_share: Fraction,
    /// Film that gives half the lubrication.
    pub half_film: Length,
    /// Share of the lubrication that plain water gives.
    pub plain_water: Fraction,
    /// Concentrate share that gives half of the rest.
    pub half_concentrate_share: Fraction,
    /// Friction coefficient dry.
    pub dry_friction: Fraction,
    /// Friction coefficient fully lubricated.
    pub wet_friction: Fraction,
}

/// Where the friction comes from: [`FrictionInput`].
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum FrictionPart {
    /// The film model.
    #[default]
    Estimate,
    /// A coefficient known otherwise.
    Coefficient(Fraction),
    /// A strip of media dragged over wet paint.
    PullTest {
        /// Steady pull along the surface.
        pull: Force,
        /// Press across it.
        press: Force,
    },
    /// Spindle current against a run with known friction.
    SpindleCurrent {
        /// Friction of the reference run.
        reference_friction: Fraction,
        /// Current of the reference run, amperes.
        reference_amperes: Fraction,
        /// Current now, amperes.
        now_amperes: Fraction,
        /// Current with the brush spinning free, amperes.
        idle_amperes: Fraction,
    },
}

/// How long the foam is on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DutyPart {
    /// Hours run in a day.
    pub hours_per_day: Time,
    /// Travel of the conveyor during which the foam is on for one vehicle.
    pub foam_travel: Length,
}

/// What concentrate and water cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PricesPart {
    /// Name of the currency, for show.
    #[serde(default)]
    pub currency: String,
    /// Concentrate.
    pub concentrate: Price,
    /// Water, with the sewer's share.
    pub water: Price,
}

/// A price for a volume.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Price {
    /// Amount of money.
    pub amount: Fraction,
    /// For this volume.
    pub per: Volume,
}

impl StrainerPart {
    pub(super) fn model(&self) -> Strainer {
        match self {
            Self::Loss { bore, loss_coefficient } => {
                Strainer::Loss { bore_m: bore.si(), loss_coefficient: loss_coefficient.si() }
            }
            Self::BucketFlow { flow, supply_pressure } => {
                Strainer::BucketFlow { flow_m3_s: flow.si(), supply_pressure_pa: supply_pressure.gauge_pa() }
            }
        }
    }
}

impl InjectorPart {
    pub(super) fn model(&self) -> Injector {
        match self {
            Self::Bores { inlet_bore, throat_bore, nozzle_coefficient, recovery } => Injector::Bores {
                inlet_bore_m: inlet_bore.si(),
                throat_bore_m: throat_bore.si(),
                nozzle_coefficient: nozzle_coefficient.si(),
                recovery: recovery.si(),
            },
            Self::Reading { water_flow, inlet_pressure, vacuum } => Injector::Reading {
                water_flow_m3_s: water_flow.si(),
                inlet_pressure_pa: inlet_pressure.gauge_pa(),
                suction_pa: vacuum.gauge_pa(),
            },
        }
    }
}

impl Drop {
    /// Pressure over flow, Pa s/m³.
    pub(super) fn per_flow(&self) -> f64 {
        self.pressure.gauge_pa() / self.flow.si()
    }
}

impl Price {
    /// Money per m³.
    pub(super) fn per_m3(&self) -> f64 {
        self.amount.si() / self.per.si()
    }
}

impl FilmPart {
    pub(super) fn model(&self) -> FilmModel {
        FilmModel {
            vehicle_area_m2: self.vehicle_area.si(),
            media_area_m2: self.media_area.si(),
            stream_kept: self.stream_kept.si(),
            foam_kept: self.foam_kept.si(),
            spit_landing: self.spit_landing.si(),
            foaming_share: self.foaming_share.si(),
            half_film_m: self.half_film.si(),
            plain_water: self.plain_water.si(),
            half_concentrate_share: self.half_concentrate_share.si(),
            dry_friction: self.dry_friction.si(),
            wet_friction: self.wet_friction.si(),
        }
    }
}

impl FrictionPart {
    pub(super) fn model(&self) -> FrictionInput {
        match self {
            Self::Estimate => FrictionInput::Estimate,
            Self::Coefficient(friction) => FrictionInput::Coefficient(friction.si()),
            Self::PullTest { pull, press } => {
                FrictionInput::PullTest { pull_n: pull.si(), press_n: press.si() }
            }
            Self::SpindleCurrent { reference_friction, reference_amperes, now_amperes, idle_amperes } => {
                FrictionInput::SpindleCurrent {
                    reference_friction: reference_friction.si(),
                    reference_a: reference_amperes.si(),
                    now_a: now_amperes.si(),
                    idle_a: idle_amperes.si(),
                }
            }
        }
    }
}
