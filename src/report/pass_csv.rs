//! A pass as a tidy table: one number a row, SI, for a spreadsheet.
//!
//! Columns: quantity, about, value, unit, limit, verdict. A value that does not exist is empty.

use super::csv_text::cell;
use super::{FeatureLoadDocument, PassDocument, PassReport, key};

struct Rows {
    writer: csv::Writer<Vec<u8>>,
}

impl Rows {
    fn add(
        &mut self,
        quantity: &str,
        about: &str,
        value: Option<f64>,
        unit: &str,
        limit: Option<f64>,
        verdict: &str,
    ) {
        let number = |x: Option<f64>| x.filter(|x| x.is_finite()).map_or_else(String::new, |x| x.to_string());
        // Writing to memory fails only when rows differ in length, and these are all six long.
        let written = self.writer.write_record([
            &*cell(quantity),
            &*cell(about),
            &number(value),
            unit,
            &number(limit),
            verdict,
        ]);
        debug_assert!(written.is_ok());
    }

    fn plain(&mut self, quantity: &str, about: &str, value: Option<f64>, unit: &str) {
        self.add(quantity, about, value, unit, None, "");
    }

    fn text(self) -> String {
        let bytes = self.writer.into_inner().unwrap_or_default();
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

impl PassReport<'_> {
    /// The pass as CSV.
    pub fn csv(&self) -> String {
        rows(&self.document())
    }
}

fn rows(pass: &PassDocument) -> String {
    let mut rows = Rows { writer: csv::Writer::from_writer(Vec::new()) };
    // The heading.
    let written = rows.writer.write_record(["quantity", "about", "value", "unit", "limit", "verdict"]);
    debug_assert!(written.is_ok());
    rows.plain("throughput", "line", Some(pass.throughput_per_h), "1/h");
    rows.plain("conveyor_speed", "line", Some(pass.conveyor_speed_m_s), "m/s");
    for zone in &pass.zones {
        let about = zone.zone.as_str();
        rows.plain("washed_fraction", about, zone.washed_fraction, "");
        rows.plain("mean_pressure", about, zone.mean_pressure_pa, "Pa");
        rows.plain("peak_pressure", about, zone.peak_pressure_pa, "Pa");
        rows.plain("rubbing_work", about, zone.rubbing_work_j_m2, "J/m2");
        rows.plain("wipes", about, zone.wipes, "");
        rows.plain("longest_gap", about, zone.longest_gap_m, "m");
    }
    rows.plain("overlap", "nose", pass.overlap.nose_m, "m");
    rows.plain("overlap", "tail", pass.overlap.tail_m, "m");
    rows.plain("overlap", "front_plate", pass.overlap.front_plate_m, "m");
    rows.plain("overlap", "rear_plate", pass.overlap.rear_plate_m, "m");
    for unit in &pass.units {
        let about = unit.side.as_str();
        for event in &unit.events {
            rows.plain(&format!("time_of_{}", event.name), about, event.time_s, "s");
        }
        rows.plain("chase_delay", about, unit.chase_delay_s, "s");
        rows.plain("recovery_margin", about, unit.recovery_margin_s, "s");
        rows.plain("recovery_edge", about, unit.recovery_edge_s, "s");
        rows.plain("stop_peak_compression", about, unit.stop_peak_compression_m, "m");
        rows.plain("spindle_peak_power", about, Some(unit.spindle_peak_power_w), "W");
        rows.plain("spindle_rubbing_power", about, Some(unit.spindle_rubbing_w), "W");
        rows.plain("spindle_flexing_power", about, Some(unit.spindle_flexing_w), "W");
        rows.plain("spindle_air_drag_power", about, Some(unit.spindle_air_drag_w), "W");
        rows.plain("hub_clearance", about, Some(unit.hub_clearance_m), "m");
    }
    for load in &pass.feature_loads {
        let about = load_about(load);
        rows.add(
            "feature_peak_force",
            &about,
            Some(load.peak_force_n),
            "N",
            load.limit_n,
            load.verdict.as_deref().unwrap_or(""),
        );
        rows.plain("feature_impulse", &about, Some(load.impulse_n_s), "N s");
        rows.plain("feature_blow_impulse", &about, load.blow_impulse_n_s, "N s");
        rows.plain("feature_blow_10ms", &about, load.blow_10ms_n, "N");
        rows.plain("feature_blows_per_second", &about, load.blows_per_s, "1/s");
    }
    rows.plain("energy_work_in", "all units", Some(pass.energy_audit.work_in_j), "J");
    rows.plain("energy_residual_fraction", "all units", pass.energy_audit.residual_fraction, "");
    for line in &pass.verdicts {
        let about = line.about.as_deref().unwrap_or("");
        let quantity = format!("criterion_{}", line.criterion);
        rows.add(&quantity, about, line.value, &line.unit, Some(line.limit), &line.verdict);
    }
    rows.text()
}

fn load_about(load: &FeatureLoadDocument) -> String {
    format!("{} by {} brush", key(&load.feature), load.side)
}
