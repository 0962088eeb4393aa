//! The fields of the document of a foam station, SI.

use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Document<'a> {
    pub(super) schema: &'static str,
    pub(super) brusharm: &'static str,
    pub(super) file: &'a str,
    pub(super) name: &'a str,
    pub(super) notes: Vec<String>,
    pub(super) dilution: DilutionDocument,
    pub(super) balance: BalanceDocument,
    pub(super) film: FilmDocument,
    pub(super) consumption: ConsumptionDocument<'a>,
    pub(super) tank: TankDocument,
    pub(super) field_tests: Option<FieldDocument>,
    pub(super) fault: Option<FaultDocument>,
}

#[derive(Serialize)]
pub(super) struct DilutionDocument {
    pub(super) ratio: Option<f64>,
    pub(super) concentrate_share: f64,
    pub(super) target_ratio: Option<f64>,
    pub(super) water_flow_m3_s: f64,
    pub(super) concentrate_flow_m3_s: f64,
    pub(super) solution_flow_m3_s: f64,
    pub(super) supply_pressure_pa: f64,
    pub(super) strainer_drop_pa: f64,
    pub(super) injector_inlet_pa: f64,
    pub(super) throat_pa: f64,
    pub(super) throat_boils: bool,
    pub(super) draw: &'static str,
    pub(super) tip_law: &'static str,
    pub(super) tip_reynolds: f64,
    pub(super) tip_transition_reynolds: f64,
    pub(super) fitted_bore_m: f64,
    pub(super) bores: Vec<BoreDocument>,
    pub(super) bore_for_target_m: Option<f64>,
    pub(super) nearest_bore_m: Option<f64>,
    pub(super) effects: Vec<EffectDocument>,
}

#[derive(Serialize)]
pub(super) struct BoreDocument {
    pub(super) bore_m: f64,
    pub(super) ratio: Option<f64>,
    pub(super) measured: bool,
}

#[derive(Serialize)]
pub(super) struct EffectDocument {
    pub(super) change: &'static str,
    pub(super) by: Option<f64>,
    pub(super) ratio: Option<f64>,
    pub(super) ratio_factor: Option<f64>,
    pub(super) water_flow_m3_s: f64,
    pub(super) concentrate_flow_m3_s: f64,
}

#[derive(Serialize)]
pub(super) struct BalanceDocument {
    pub(super) liquid_pressure_pa: f64,
    pub(super) air_pressure_pa: f64,
    pub(super) needle_step: f64,
    pub(super) tee_pa: f64,
    pub(super) liquid_flow_m3_s: f64,
    pub(super) air_flow_kg_s: f64,
    pub(super) air_reference_m3_s: f64,
    pub(super) expansion_ratio: Option<f64>,
    pub(super) line_expansion_ratio: Option<f64>,
    pub(super) gas_fraction: Option<f64>,
    pub(super) foam_density_kg_m3: Option<f64>,
    pub(super) regime: &'static str,
    pub(super) air_cannot_enter: bool,
    pub(super) liquid_held_back: bool,
    pub(super) liquid_alone_tee_pa: f64,
    pub(super) air_alone_tee_pa: f64,
    pub(super) plug_tee_pa: f64,
    pub(super) liquid_path: PathDocument,
    pub(super) air_path: PathDocument,
    pub(super) margins: Vec<MarginDocument>,
    pub(super) knobs: Vec<KnobDocument>,
}

#[derive(Serialize)]
pub(super) struct PathDocument {
    pub(super) source_pa: f64,
    pub(super) losses: Vec<LossDocument>,
}

#[derive(Serialize)]
pub(super) struct LossDocument {
    pub(super) at: &'static str,
    pub(super) drop_pa: f64,
    pub(super) after_pa: f64,
}

#[derive(Serialize)]
pub(super) struct MarginDocument {
    pub(super) knob: &'static str,
    pub(super) unit: &'static str,
    pub(super) direction: &'static str,
    pub(super) next_regime: Option<&'static str>,
    pub(super) boundary: Option<f64>,
    pub(super) change: Option<f64>,
    pub(super) source: &'static str,
}

#[derive(Serialize)]
pub(super) struct KnobDocument {
    pub(super) knob: &'static str,
    pub(super) unit: &'static str,
    pub(super) step: f64,
    pub(super) liquid_flow_change_m3_s: f64,
    pub(super) air_flow_change_kg_s: f64,
    pub(super) tee_change_pa: f64,
    pub(super) expansion_ratio: Option<f64>,
    pub(super) expansion_change: Option<f64>,
    pub(super) regime: &'static str,
}

#[derive(Serialize)]
pub(super) struct FilmDocument {
    pub(super) on_s: f64,
    pub(super) liquid_m3: f64,
    pub(super) foam_m3: f64,
    pub(super) kept: f64,
    pub(super) film_m: f64,
    pub(super) holds_air: bool,
    pub(super) lubrication: f64,
    pub(super) estimated_friction: f64,
    pub(super) friction: f64,
    pub(super) is_estimate: bool,
    /// Whether the brushes of the scenario take it; null for a station without brushes.
    pub(super) sets_brushes: Option<bool>,
}

#[derive(Serialize)]
pub(super) struct ConsumptionDocument<'a> {
    pub(super) currency: &'a str,
    pub(super) concentrate_per_vehicle_m3: f64,
    pub(super) water_per_vehicle_m3: f64,
    pub(super) cost_per_vehicle: f64,
    pub(super) vehicles_per_day: f64,
    pub(super) concentrate_per_day_m3: f64,
    pub(super) water_per_day_m3: f64,
    pub(super) cost_per_day: f64,
}

#[derive(Serialize)]
pub(super) struct TankDocument {
    pub(super) demand_m3_s: f64,
    pub(super) supply_m3_s: f64,
    pub(super) sustained: bool,
    pub(super) empties_after_s: Option<f64>,
    pub(super) fade_s: Option<f64>,
    pub(super) container_lasts_s: Option<f64>,
    pub(super) container_lasts_days: Option<f64>,
}

#[derive(Serialize)]
pub(super) struct FieldDocument {
    pub(super) water_flow_m3_s: Option<f64>,
    pub(super) concentrate_flow_m3_s: Option<f64>,
    pub(super) measured_ratio: Option<f64>,
    pub(super) model_ratio: Option<f64>,
    pub(super) against_target: Option<f64>,
    pub(super) water_quotient: Option<f64>,
    pub(super) draw_quotient: Option<f64>,
    pub(super) water: &'static str,
    pub(super) draw: &'static str,
}

#[derive(Serialize)]
pub(super) struct FaultDocument {
    pub(super) seen: Vec<&'static str>,
    pub(super) readings: Vec<ReadingDocument>,
    pub(super) as_set: bool,
    pub(super) findings: Vec<FindingDocument>,
    pub(super) pairs: Vec<FindingDocument>,
    pub(super) ruled_out: Vec<RuledOutDocument>,
}

#[derive(Serialize)]
pub(super) struct ReadingDocument {
    pub(super) reading: &'static str,
    pub(super) read: f64,
    pub(super) model: Option<f64>,
    pub(super) misfit: Option<f64>,
}

#[derive(Serialize)]
pub(super) struct FindingDocument {
    pub(super) causes: Vec<CauseDocument>,
    pub(super) misfit: f64,
    pub(super) readings: Vec<ReadingDocument>,
    pub(super) cautions: Vec<&'static str>,
}

#[derive(Serialize)]
pub(super) struct CauseDocument {
    pub(super) cause: &'static str,
    pub(super) value: f64,
    pub(super) value_meaning: &'static str,
    pub(super) check: &'static str,
}

#[derive(Serialize)]
pub(super) struct RuledOutDocument {
    pub(super) cause: &'static str,
    pub(super) never_shows: Vec<&'static str>,
    pub(super) against: Option<ReadingDocument>,
}
