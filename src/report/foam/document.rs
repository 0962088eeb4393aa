//! The answers as data: `brusharm/foam/1`.
//!
//! Everything is SI: pascals gauge, m³/s, m, s; shares are 0…1, ratios parts of water to one. A value that does not exist is
//! `null`, never 0. Keys are only ever added within a version.

mod fields;

use self::fields::*;
use super::say::reading_name;
use super::{FoamReport, FrictionUse, NEEDLE_STEP, PRESSURE_STEP_PA};
use crate::foam::dilution::{Draw, TipLaw};
use crate::foam::dilution_study::{DilutionChange, FlowFinding};
use crate::foam::fault::{Finding, ReadingFit};
use crate::foam::pressure_path::Loss;
use crate::foam::regime_map::Knob;
use crate::report::csv_text;
use crate::visible::visible_json;

/// Name and version of the document.
pub const FOAM_SCHEMA: &str = "brusharm/foam/1";

impl FoamReport {
    /// The answers as JSON, with a line end.
    #[must_use]
    pub fn json(&self) -> String {
        // Plain data of our own with string keys: writing it cannot fail; a number that is not finite becomes null.
        let text = serde_json::to_string_pretty(&self.document()).unwrap_or_default();
        visible_json(&text).into_owned() + "\n"
    }

    /// The numbers as CSV: section, item, quantity, value, unit, one number a line. A value that does not exist is empty.
    ///
    /// # Errors
    /// None that can happen in memory; the writer's are passed on.
    pub fn csv(&self) -> Result<String, csv::Error> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(["section", "item", "quantity", "value", "unit"])?;
        let value = serde_json::to_value(self.document()).unwrap_or_default();
        for section in ["dilution", "balance", "film", "consumption", "tank", "field_tests"] {
            rows(&mut writer, section, "", &value[section])?;
        }
        let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
        Ok(String::from_utf8(bytes).unwrap_or_default())
    }

    fn document(&self) -> Document<'_> {
        Document {
            schema: FOAM_SCHEMA,
            brusharm: env!("CARGO_PKG_VERSION"),
            file: &self.subject.file,
            name: &self.subject.name,
            notes: self.result.notes.iter().map(ToString::to_string).collect(),
            dilution: self.dilution_document(),
            balance: self.balance_document(),
            film: self.film_document(),
            consumption: self.consumption_document(),
            tank: self.tank_document(),
            field_tests: self.field_document(),
            fault: self.fault_document(),
        }
    }

    fn dilution_document(&self) -> DilutionDocument {
        let (d, station) = (&self.result.dilution, &self.subject.station);
        let target = self.questions.target_ratio;
        DilutionDocument {
            ratio: d.ratio,
            concentrate_share: d.concentrate_share,
            target_ratio: target,
            water_flow_m3_s: d.water_flow_m3_s,
            concentrate_flow_m3_s: d.concentrate_flow_m3_s,
            solution_flow_m3_s: d.solution_flow_m3_s,
            supply_pressure_pa: station.conditions.supply_pressure_pa,
            strainer_drop_pa: d.strainer_drop_pa,
            injector_inlet_pa: d.injector_inlet_pa,
            throat_pa: d.throat_pa,
            throat_boils: d.throat_boils,
            draw: match d.draw {
                Draw::Drawing => "drawing",
                Draw::SuctionLost => "suction lost",
                Draw::LiftTooHigh => "lift too high",
                Draw::AirOnly => "air only",
                Draw::NoWater => "no water",
            },
            tip_law: match d.tip_law {
                TipLaw::Viscous => "viscous",
                TipLaw::Mixed => "mixed",
                TipLaw::Inertial => "inertial",
            },
            tip_reynolds: d.tip_reynolds,
            tip_transition_reynolds: d.tip_transition_reynolds,
            fitted_bore_m: station.dilution.fitted_bore_m(),
            bores: self
                .tips
                .options
                .iter()
                .map(|o| BoreDocument { bore_m: o.bore_m, ratio: o.ratio, measured: o.measured })
                .collect(),
            bore_for_target_m: target.and(self.tips.exact_bore_m),
            nearest_bore_m: target.and(self.tips.best).map(|best| self.tips.options[best].bore_m),
            effects: self
                .effects
                .iter()
                .map(|effect| {
                    let (change, by) = match effect.change {
                        DilutionChange::TipDown => ("tip_down", None),
                        DilutionChange::TipUp => ("tip_up", None),
                        DilutionChange::StrainerBlocked(share) => ("strainer_blockage", Some(share)),
                        DilutionChange::TipBlocked(share) => ("tip_blockage", Some(share)),
                        DilutionChange::Supply(by) => ("supply_pressure_pa", Some(by)),
                        DilutionChange::Lift(by) => ("lift_m", Some(by)),
                        DilutionChange::Viscosity(factor) => ("viscosity_factor", Some(factor)),
                    };
                    EffectDocument {
                        change,
                        by,
                        ratio: effect.after.ratio,
                        ratio_factor: effect.ratio_factor,
                        water_flow_m3_s: effect.after.water_flow_m3_s,
                        concentrate_flow_m3_s: effect.after.concentrate_flow_m3_s,
                    }
                })
                .collect(),
        }
    }

    fn balance_document(&self) -> BalanceDocument {
        let (b, set) = (&self.result.balance, &self.subject.station.settings);
        let path = |source_pa: f64, losses: &[Loss]| PathDocument {
            source_pa,
            losses: losses
                .iter()
                .map(|l| LossDocument { at: l.step.name(), drop_pa: l.drop_pa, after_pa: l.after_pa })
                .collect(),
        };
        BalanceDocument {
            liquid_pressure_pa: set.liquid_pressure_pa,
            air_pressure_pa: set.air_pressure_pa,
            needle_step: set.needle_step,
            tee_pa: b.tee_pa,
            liquid_flow_m3_s: b.liquid_flow_m3_s,
            air_flow_kg_s: b.air_flow_kg_s,
            air_reference_m3_s: b.air_reference_m3_s,
            expansion_ratio: b.expansion_ratio,
            line_expansion_ratio: b.line_expansion_ratio,
            gas_fraction: b.gas_fraction,
            foam_density_kg_m3: b.foam_density_kg_m3,
            regime: b.regime.name(),
            air_cannot_enter: b.air_cannot_enter,
            liquid_held_back: b.liquid_held_back,
            liquid_alone_tee_pa: b.liquid_alone_tee_pa,
            air_alone_tee_pa: b.air_alone_tee_pa,
            plug_tee_pa: b.plug_tee_pa,
            liquid_path: path(self.path.liquid_source_pa, &self.path.liquid),
            air_path: path(self.path.air_source_pa, &self.path.air),
            margins: self
                .margins
                .iter()
                .map(|m| MarginDocument {
                    knob: knob_key(m.knob),
                    unit: knob_unit(m.knob),
                    direction: if m.change < 0.0 { "down" } else { "up" },
                    next_regime: m.neighbour.map(|n| n.name()),
                    boundary: m.neighbour.map(|_| m.boundary),
                    change: m.neighbour.map(|_| m.change),
                    source: m.source,
                })
                .collect(),
            knobs: self
                .knobs
                .iter()
                .map(|k| KnobDocument {
                    knob: knob_key(k.knob),
                    unit: knob_unit(k.knob),
                    step: match k.knob {
                        Knob::Needle => NEEDLE_STEP.copysign(k.step),
                        _ => PRESSURE_STEP_PA.copysign(k.step),
                    },
                    liquid_flow_change_m3_s: k.liquid_flow_change_m3_s,
                    air_flow_change_kg_s: k.air_flow_change_kg_s,
                    tee_change_pa: k.tee_change_pa,
                    expansion_ratio: k.expansion_ratio,
                    expansion_change: k.expansion_change,
                    regime: k.regime.name(),
                })
                .collect(),
        }
    }

    fn film_document(&self) -> FilmDocument {
        let f = &self.result.film;
        FilmDocument {
            on_s: f.on_s,
            liquid_m3: f.liquid_m3,
            foam_m3: f.foam_m3,
            kept: f.kept,
            film_m: f.film_m,
            holds_air: f.holds_air,
            lubrication: f.lubrication,
            estimated_friction: f.estimated_friction,
            friction: f.friction,
            is_estimate: f.is_estimate,
            sets_brushes: self.subject.friction_use.map(|u| u == FrictionUse::SetsBrushes),
        }
    }

    fn consumption_document(&self) -> ConsumptionDocument<'_> {
        let c = &self.result.consumption;
        ConsumptionDocument {
            currency: &self.subject.currency,
            concentrate_per_vehicle_m3: c.concentrate_per_vehicle_m3,
            water_per_vehicle_m3: c.water_per_vehicle_m3,
            cost_per_vehicle: c.cost_per_vehicle,
            vehicles_per_day: c.vehicles_per_day,
            concentrate_per_day_m3: c.concentrate_per_day_m3,
            water_per_day_m3: c.water_per_day_m3,
            cost_per_day: c.cost_per_day,
        }
    }

    fn tank_document(&self) -> TankDocument {
        let t = &self.result.tank;
        TankDocument {
            demand_m3_s: t.demand_m3_s,
            supply_m3_s: t.supply_m3_s,
            sustained: t.sustained,
            empties_after_s: t.empties_after_s,
            fade_s: t.fade_s,
            container_lasts_s: t.container_lasts_s,
            container_lasts_days: t.container_lasts_days,
        }
    }

    fn field_document(&self) -> Option<FieldDocument> {
        let field = self.field.as_ref()?;
        let word = |finding| match finding {
            FlowFinding::Weak => "weak",
            FlowFinding::Agrees => "agrees",
            FlowFinding::Strong => "strong",
            FlowFinding::NotMeasured => "not measured",
        };
        Some(FieldDocument {
            water_flow_m3_s: field.water_flow_m3_s,
            concentrate_flow_m3_s: field.concentrate_flow_m3_s,
            measured_ratio: field.measured_ratio,
            model_ratio: field.model_ratio,
            against_target: self.questions.target_ratio.and(field.against_target),
            water_quotient: field.water_quotient,
            draw_quotient: field.draw_quotient,
            water: word(field.water),
            draw: word(field.draw),
        })
    }

    fn fault_document(&self) -> Option<FaultDocument> {
        let diagnosis = self.diagnosis.as_ref()?;
        let findings = |list: &[Finding]| list.iter().map(finding_document).collect();
        Some(FaultDocument {
            seen: self.questions.symptoms.iter().map(|s| s.name()).collect(),
            readings: self
                .questions
                .readings
                .list()
                .into_iter()
                .map(|(reading, read)| ReadingDocument {
                    reading: reading_name(reading),
                    read,
                    model: reading.of(&self.subject.station, &self.result),
                    misfit: None,
                })
                .collect(),
            as_set: diagnosis.as_set,
            findings: findings(&diagnosis.findings),
            pairs: findings(&diagnosis.pairs),
            ruled_out: diagnosis
                .ruled_out
                .iter()
                .map(|ruled| RuledOutDocument {
                    cause: ruled.cause.name(),
                    never_shows: ruled.never_shows.iter().map(|s| s.name()).collect(),
                    against: ruled.against.as_ref().map(fit_document),
                })
                .collect(),
        })
    }
}

fn finding_document(finding: &Finding) -> FindingDocument {
    FindingDocument {
        causes: finding
            .causes
            .iter()
            .map(|severity| CauseDocument {
                cause: severity.cause.name(),
                value: severity.value,
                value_meaning: severity.cause.value_meaning(),
                check: severity.cause.check(),
            })
            .collect(),
        misfit: finding.misfit,
        readings: finding.readings.iter().map(fit_document).collect(),
        cautions: finding.cautions.iter().map(|c| c.text()).collect(),
    }
}

fn fit_document(fit: &ReadingFit) -> ReadingDocument {
    ReadingDocument {
        reading: reading_name(fit.reading),
        read: fit.read,
        model: fit.model,
        misfit: Some(fit.misfit),
    }
}

fn knob_key(knob: Knob) -> &'static str {
    match knob {
        Knob::LiquidPressure => "foam.liquid_regulator",
        Knob::AirPressure => "foam.air_regulator",
        Knob::Needle => "foam.needle_valve",
    }
}

fn knob_unit(knob: Knob) -> &'static str {
    match knob {
        Knob::Needle => "steps",
        _ => "Pa",
    }
}

/// Every number and word of a section, lists by their place from 1.
fn rows(
    writer: &mut csv::Writer<Vec<u8>>,
    section: &str,
    item: &str,
    value: &serde_json::Value,
) -> Result<(), csv::Error> {
    let serde_json::Value::Object(fields) = value else { return Ok(()) };
    for (key, value) in fields {
        match value {
            serde_json::Value::Object(_) => rows(writer, section, &joined(item, key), value)?,
            serde_json::Value::Array(list) => {
                for (i, entry) in list.iter().enumerate() {
                    rows(writer, section, &joined(item, &format!("{key}[{}]", i + 1)), entry)?;
                }
            }
            serde_json::Value::String(text) => {
                writer.write_record([section, item, key, &csv_text::cell(text), ""])?
            }
            serde_json::Value::Null => writer.write_record([section, item, key, "", unit(key)])?,
            other => writer.write_record([section, item, key, &other.to_string(), unit(key)])?,
        }
    }
    Ok(())
}

fn joined(item: &str, key: &str) -> String {
    if item.is_empty() { key.to_owned() } else { format!("{item}.{key}") }
}

/// The unit that a key's name ends in.
fn unit(key: &str) -> &'static str {
    [
        ("_kg_m3", "kg/m3"),
        ("_m3_s", "m3/s"),
        ("_kg_s", "kg/s"),
        ("_m3", "m3"),
        ("_pa", "Pa"),
        ("_m", "m"),
        ("_s", "s"),
    ]
    .iter()
    .find(|(end, _)| key.ends_with(end))
    .map_or("", |(_, unit)| unit)
}
