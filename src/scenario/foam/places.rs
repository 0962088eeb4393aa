//! Where a field of the foam model stands in a file, and what the model's refusal says there.

use super::Fault;
use crate::error::Refusal;
use crate::foam::FoamError;
use crate::units::{
    AreaDim, ConductanceDim, DensityDim, Dimension, DimensionInfo, FlowDim, ForceDim, FractionDim, LengthDim,
    PressureDim, SpeedDim, TemperatureDim, UnitSystem, ViscosityDim, VolumeDim, format,
};

/// What kind of file the foam part stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Host {
    /// A file of its own, which states the conveyor speed.
    FoamFile,
    /// A scenario, whose conveyor speed follows from its throughput.
    Scenario,
}

/// A field of the model: its path there, its path in the foam part, its dimension (none when the file writes it another way).
type Row = (&'static str, &'static str, Option<&'static DimensionInfo>);

const PRESSURE: Option<&DimensionInfo> = Some(PressureDim::INFO);
const LENGTH: Option<&DimensionInfo> = Some(LengthDim::INFO);
const NUMBER: Option<&DimensionInfo> = Some(FractionDim::INFO);
const FLOW: Option<&DimensionInfo> = Some(FlowDim::INFO);
const VOLUME: Option<&DimensionInfo> = Some(VolumeDim::INFO);

/// `[]` stands for any index. A whole part stands for what has no row of its own.
const ROWS: &[Row] = &[
    ("conditions.supply_pressure_pa", "supply_pressure", PRESSURE),
    ("conditions.outlet_pressure_pa", "injector_outlet_pressure", PRESSURE),
    ("conditions.strainer_blocked", "strainer_blockage", NUMBER),
    ("conditions.throat_bore_factor", "throat_wear", NUMBER),
    ("conditions.tip_blocked", "tip_blockage", NUMBER),
    ("conditions.tip_bore_factor", "tip_wear", NUMBER),
    ("conditions.lift_m", "lift", LENGTH),
    ("conditions.suction_leak", "suction_leak", NUMBER),
    ("conditions.viscosity_factor", "thickening", NUMBER),
    ("dilution.strainer.bore_m", "strainer.bore", LENGTH),
    ("dilution.strainer.loss_coefficient", "strainer.loss_coefficient", NUMBER),
    ("dilution.strainer.flow_m3_s", "strainer.flow", FLOW),
    ("dilution.strainer.supply_pressure_pa", "strainer.supply_pressure", PRESSURE),
    ("dilution.injector.inlet_bore_m", "injector.inlet_bore", LENGTH),
    ("dilution.injector.throat_bore_m", "injector.throat_bore", LENGTH),
    ("dilution.injector.nozzle_coefficient", "injector.nozzle_coefficient", NUMBER),
    ("dilution.injector.recovery", "injector.recovery", NUMBER),
    ("dilution.injector.water_flow_m3_s", "injector.water_flow", FLOW),
    ("dilution.injector.inlet_pressure_pa", "injector.inlet_pressure", PRESSURE),
    ("dilution.injector.suction_pa", "injector.vacuum", PRESSURE),
    ("dilution.tips", "suction.bores", None),
    ("dilution.tips[].bore_m", "suction.bores[]", LENGTH),
    ("dilution.tips[].measured_ratio", "suction.measured", NUMBER),
    ("dilution.fitted_tip", "metering_bore", None),
    ("dilution.tip_length_m", "suction.tip_length", LENGTH),
    ("dilution.tip_discharge_coefficient", "suction.tip_discharge_coefficient", NUMBER),
    ("dilution.suction_hose_bore_m", "suction.hose_bore", LENGTH),
    ("dilution.suction_hose_length_m", "suction.hose_length", LENGTH),
    ("dilution.check_valve_pa", "suction.check_valve", PRESSURE),
    ("dilution.measured_under.supply_pressure_pa", "suction.measured_under.supply_pressure", PRESSURE),
    ("dilution.measured_under.lift_m", "suction.measured_under.lift", LENGTH),
    ("dilution.concentrate.density_kg_m3", "concentrate.density", Some(DensityDim::INFO)),
    ("dilution.concentrate.viscosity_pa_s", "concentrate.viscosity", Some(ViscosityDim::INFO)),
    ("tank.volume_m3", "tank.volume", VOLUME),
    ("tank.container_m3", "concentrate.container", VOLUME),
    ("maker.liquid_density_kg_m3", "tank.solution_density", Some(DensityDim::INFO)),
    ("maker.liquid.pump_pressure_pa", "pump.pressure", PRESSURE),
    ("maker.liquid.pump_droop_pa_s_m3", "pump.drop", None),
    ("maker.liquid.regulator_droop_pa_s_m3", "pump.regulator_drop", None),
    ("maker.liquid.restrictor_bore_m", "liquid_line.restrictor_bore", LENGTH),
    ("maker.liquid.restrictor_discharge_coefficient", "liquid_line.restrictor_discharge_coefficient", NUMBER),
    ("maker.liquid.line_bore_m", "liquid_line.bore", LENGTH),
    ("maker.liquid.line_length_m", "liquid_line.length", LENGTH),
    ("maker.liquid.line_friction_factor", "liquid_line.friction_factor", NUMBER),
    ("maker.liquid.line_loss_coefficient", "liquid_line.loss_coefficient", NUMBER),
    ("maker.liquid.blocked", "liquid_line.blockage", NUMBER),
    ("maker.liquid.check_valve_pa", "liquid_line.check_valve", PRESSURE),
    ("maker.air.supply_pressure_pa", "air.supply_pressure", PRESSURE),
    ("maker.air.temperature_k", "air.temperature", Some(TemperatureDim::INFO)),
    ("maker.air.check_valve_pa", "air.check_valve", PRESSURE),
    (
        "maker.air.needle.full_open_conductance_m3_s_pa",
        "air.needle.full_open_conductance",
        Some(ConductanceDim::INFO),
    ),
    ("maker.air.needle.critical_ratio", "air.needle.critical_ratio", NUMBER),
    ("maker.air.needle.full_open_steps", "air.needle.full_open_steps", NUMBER),
    ("maker.air.needle.measured[].step", "air.needle.measured[].step", NUMBER),
    (
        "maker.air.needle.measured[].conductance",
        "air.needle.measured[].conductance",
        Some(ConductanceDim::INFO),
    ),
    ("maker.air.needle.measured[]", "air.needle.measured[]", None),
    ("maker.outlets.count", "outlets.count", NUMBER),
    ("maker.outlets.bore_m", "outlets.bore", LENGTH),
    ("maker.outlets.discharge_coefficient", "outlets.discharge_coefficient", NUMBER),
    ("maker.outlets.blocked", "outlets.blockage", NUMBER),
    ("maker.outlets.hose_bore_m", "outlets.hose_bore", LENGTH),
    ("maker.outlets.hose_length_m", "outlets.hose_length", LENGTH),
    ("maker.outlets.hose_friction_factor", "outlets.hose_friction_factor", NUMBER),
    ("maker.limits.touch", "regimes.touch", NUMBER),
    ("maker.limits.firm", "regimes.firm", NUMBER),
    ("maker.limits.dry", "regimes.dry", NUMBER),
    ("maker.limits.ripple_pa", "regimes.ripple", PRESSURE),
    ("settings.liquid_pressure_pa", "liquid_regulator", PRESSURE),
    ("settings.air_pressure_pa", "air_regulator", PRESSURE),
    ("settings.needle_step", "needle_valve", NUMBER),
    ("film.vehicle_area_m2", "film.vehicle_area", Some(AreaDim::INFO)),
    ("film.media_area_m2", "film.media_area", Some(AreaDim::INFO)),
    ("film.stream_kept", "film.stream_kept", NUMBER),
    ("film.foam_kept", "film.foam_kept", NUMBER),
    ("film.spit_landing", "film.spit_landing", NUMBER),
    ("film.foaming_share", "film.foaming_share", NUMBER),
    ("film.half_film_m", "film.half_film", LENGTH),
    ("film.plain_water", "film.plain_water", NUMBER),
    ("film.half_concentrate_share", "film.half_concentrate_share", NUMBER),
    ("film.dry_friction", "film.dry_friction", NUMBER),
    ("film.wet_friction", "film.wet_friction", NUMBER),
    ("friction", "friction", NUMBER),
    ("friction.pull_n", "friction.pull", Some(ForceDim::INFO)),
    ("friction.press_n", "friction.press", Some(ForceDim::INFO)),
    ("friction.reference_friction", "friction.reference_friction", NUMBER),
    ("friction.reference_a", "friction.reference_amperes", NUMBER),
    ("friction.now_a", "friction.now_amperes", NUMBER),
    ("friction.idle_a", "friction.idle_amperes", NUMBER),
    ("duty.hours_per_day", "duty.hours_per_day", None),
    ("duty.foam_travel_m", "duty.foam_travel", LENGTH),
    ("prices.concentrate_per_m3", "prices.concentrate", None),
    ("prices.water_per_m3", "prices.water", None),
];

/// The rows whose place is the line's and not the foam part's.
const LINE_ROWS: &[Row] = &[
    ("duty.vehicles_per_h", "line.throughput", None),
    ("duty.conveyor_m_s", "line.conveyor_speed", Some(SpeedDim::INFO)),
];

/// What the model refuses, with its place in the file.
#[must_use]
pub fn fault(host: Host, error: &FoamError) -> Fault {
    let (path, info) = file_path(error.field(), host);
    let refusal = refusal(error, &path, info);
    Fault { path, refusal }
}

/// Place in the file and dimension of a field of the model.
#[must_use]
pub fn file_path(field: &str, host: Host) -> (String, Option<&'static DimensionInfo>) {
    let (pattern, index) = without_index(field);
    if let Some((_, path, info)) = LINE_ROWS.iter().find(|row| row.0 == pattern) {
        let path = if host == Host::Scenario { "line.throughput" } else { path };
        return (path.to_owned(), *info);
    }
    match ROWS.iter().find(|row| row.0 == pattern) {
        Some((_, path, info)) => (format!("foam.{}", with_index(path, index)), *info),
        // A field the table lacks still has its part.
        None => ("foam".to_owned(), None),
    }
}

/// A field path with `[]` for its index, and the index.
fn without_index(field: &str) -> (String, Option<&str>) {
    match field.split_once('[').and_then(|(head, rest)| rest.split_once(']').map(|(i, tail)| (head, i, tail)))
    {
        Some((head, index, tail)) => (format!("{head}[]{tail}"), Some(index)),
        None => (field.to_owned(), None),
    }
}

fn with_index(path: &str, index: Option<&str>) -> String {
    match index {
        Some(index) => path.replacen("[]", &format!("[{index}]"), 1),
        None => path.to_owned(),
    }
}

/// The model's refusal in the words of a file.
fn refusal(error: &FoamError, path: &str, info: Option<&'static DimensionInfo>) -> Refusal {
    match error {
        FoamError::OutOfRange { given, unit, low, high, advice, .. } => Refusal {
            problem: format!("{} is out of range", path.rsplit('.').next().unwrap_or(path)),
            given: in_trade_units(*given, unit, info),
            allowed: format!("{} to {}", in_trade_units(*low, unit, info), in_trade_units(*high, unit, info)),
            advice: advice.clone(),
        },
        FoamError::Conflict { given, allowed, advice, .. } => Refusal {
            problem: "it does not go with the rest".to_owned(),
            given: given.clone(),
            allowed: allowed.clone(),
            advice: advice.clone(),
        },
    }
}

/// A number of the model in both unit systems, where it has a dimension; `unit` is the model's.
#[must_use]
pub fn in_trade_units(si: f64, unit: &str, info: Option<&DimensionInfo>) -> String {
    let said = |system| {
        let text = info.map(|info| format(info, si, system)).unwrap_or_default();
        // Too small to show in these decimals is not nothing.
        let shows = si == 0.0 || text.contains(|c: char| ('1'..='9').contains(&c));
        if shows { text } else { format!("{} {unit}", plain(si)) }
    };
    match info {
        Some(info) if !info.bare_number => {
            let (us, metric) = (said(UnitSystem::Us), said(UnitSystem::Si));
            if us == metric { us } else { format!("{us} ({metric})") }
        }
        Some(_) => plain(si),
        None => {
            let unit = match unit {
                "1/h" => "veh/h",
                "1/m3" => "per m3",
                unit => unit,
            };
            format!("{} {unit}", plain(si)).trim_end().to_owned()
        }
    }
}

/// A number short enough to read.
fn plain(number: f64) -> String {
    if number != 0.0 && number.is_finite() && !(1e-4..1e7).contains(&number.abs()) {
        return format!("{number:e}");
    }
    format!("{}", (number * 1e7).round() / 1e7)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_every_place_is_named_once_and_indices_are_kept() {
        for (i, row) in ROWS.iter().enumerate() {
            assert!(ROWS[..i].iter().all(|other| other.0 != row.0), "{} twice", row.0);
            assert_eq!(row.0.matches("[]").count(), usize::from(row.0.contains('[')));
        }
        assert_eq!(file_path("dilution.tips[3].bore_m", Host::FoamFile).0, "foam.suction.bores[3]");
        assert_eq!(
            file_path("maker.air.needle.measured[0].step", Host::Scenario).0,
            "foam.air.needle.measured[0].step"
        );
        assert_eq!(file_path("duty.conveyor_m_s", Host::Scenario).0, "line.throughput");
        assert_eq!(file_path("duty.conveyor_m_s", Host::FoamFile).0, "line.conveyor_speed");
    }
}
