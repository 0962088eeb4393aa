//! Studies as JSON documents: what was asked, then rows with the names of their columns. SI; what does not exist is null.

use super::rows::json_row;
use crate::coverage::Verdict;
use crate::study::recommend::{Answer, Effect, Recommendation, Step};
use crate::study::spread::SpreadResult;
use crate::study::sweep::highest::{Highest, HighestThroughput, KEY, RESOLUTION_PER_H};
use crate::study::table::Table;
use crate::study::worst::Worst;
use crate::visible::visible_json;
use serde_json::{Map, Value, json};

/// A document with a schema name, what was asked, and a table as a list of objects.
pub fn table_document(schema: &str, title: &str, asked: Value, table: &Table) -> String {
    let mut text = head(schema, title, asked);
    text.push_str(",\n  \"rows\": [");
    for (i, row) in table.rows.iter().enumerate() {
        text.push_str(if i == 0 { "\n    " } else { ",\n    " });
        text.push_str(json_row(&table.columns, row).trim_end());
    }
    text.push_str("\n  ]\n}\n");
    text
}

fn head(schema: &str, title: &str, asked: Value) -> String {
    let (schema, version, title) = (json!(schema), json!(env!("CARGO_PKG_VERSION")), json!(title));
    visible_json(&format!(
        "{{\n  \"schema\": {schema},\n  \"brusharm\": {version},\n  \"title\": {title},\n  \"asked\": {asked}"
    ))
    .into_owned()
}

/// The answer of a sweep over throughput, as a document: SI.
pub fn highest_document(title: &str, asked: &Value, highest: &HighestThroughput) -> Value {
    let told = |highest: &Highest| {
        json!({
            "throughput_per_s": highest.throughput_per_s,
            // Where nothing of the sweep misses, the highest may lie above: that is no edge.
            "on_edge": highest.throughput_per_s.is_some() && highest.beyond.is_some(),
            "beyond": highest.beyond.as_ref().map(|beyond| json!({
                "throughput_per_s": beyond.throughput_per_s,
                "verdict": beyond.point.verdict().map(Verdict::name),
                "deciding": beyond.point.deciding().map(|(measure, _)| measure.key()),
                "reason": beyond.point.reason(),
            })),
            "again_per_s": highest.again_per_s,
        })
    };
    json!({
        "schema": "brusharm/highest-throughput/1",
        "brusharm": env!("CARGO_PKG_VERSION"),
        "title": title,
        "asked": asked,
        "measure": KEY,
        "resolution_per_s": RESOLUTION_PER_H / 3600.0,
        "passes": told(&highest.passes),
        "meets": told(&highest.meets),
    })
}

/// What chance does, as a document.
pub fn spread_document(title: &str, asked: &Value, result: &SpreadResult) -> Value {
    let measures: Vec<Value> = result
        .measures
        .iter()
        .map(|m| {
            let indices = match &m.indices {
                Ok(indices) => json!({
                    "mean": indices.mean,
                    "variance": indices.variance,
                    "blocks_used": indices.blocks_used,
                    "blocks_dropped": indices.blocks_dropped,
                    "settled": result.ranking_settled(m.measure),
                    "factors": result.factors.iter().zip(&indices.inputs)
                        .map(|(name, input)| json!({ "factor": name, "first": input.first, "total": input.total }))
                        .collect::<Vec<_>>(),
                }),
                Err(_) => Value::Null,
            };
            json!({
                "measure": m.measure.key(),
                "unit": m.measure.info().si_unit,
                "met": m.met,
                "values": m.values,
                "on_edge": m.on_edge,
                "mean": m.mean,
                "sd": m.sd,
                "quantiles": m.quantiles.map(|[p05, p50, p95]| json!({ "p05": p05, "p50": p50, "p95": p95 })),
                "indices": indices,
                "no_indices": m.indices.as_ref().err(),
            })
        })
        .collect();
    json!({
        "schema": "brusharm/spread/1",
        "brusharm": env!("CARGO_PKG_VERSION"),
        "title": title,
        "asked": asked,
        "blocks": result.plan.blocks,
        "confidence": result.plan.confidence,
        "seed": result.plan.seed,
        "vehicles": result.vehicles.iter().map(|(name, share)| json!({ "vehicle": name, "share": share })).collect::<Vec<_>>(),
        "passes": result.passes,
        "failed": result.failed,
        "reasons": result.reasons.iter().map(|(r, n)| json!({ "reason": r, "count": n })).collect::<Vec<_>>(),
        "factors": result.factors,
        "all_met": result.all_met,
        "shares_settled": result.shares_settled(),
        "measures": measures,
    })
}

/// A recommendation as a document.
pub fn recommend_document(title: &str, asked: &Value, r: &Recommendation) -> Value {
    json!({
        "schema": "brusharm/recommend/1",
        "brusharm": env!("CARGO_PKG_VERSION"),
        "title": title,
        "asked": asked,
        "cases": r.cases,
        "interrupted": r.is_interrupted,
        "looked_at": r.looked_at,
        "most_sets": r.most_sets,
        "passes": r.passes,
        "most_steps": r.most_steps,
        "nothing_to_do": r.nothing_to_do,
        "as_found_verdict": r.as_found.verdict().map(Verdict::name),
        "as_found": worst_value(&r.as_found, &r.cases),
        "chance": r.chance.as_ref().map(|chance| json!({
            "all_met": chance.all_met, "confidence": chance.confidence, "seed": chance.seed, "cases": chance.cases,
        })),
        "chosen_by": r.best.as_ref().map(|_| if r.by_chance.is_some() { "chance" } else { "room" }),
        "compared": r.by_chance.map(|by| json!({
            "sets": by.sets, "compared": by.compared, "next_hits": by.next_hits,
        })),
        "best": r.best.as_ref().map(|a| answer_value(a, &r.cases)),
        "runner_up": r.runner_up.as_ref().map(|a| answer_value(a, &r.cases)),
        "in_the_way": r.in_the_way.as_ref().map(|way| json!({
            "criterion": way.criterion.map(|(m, _)| m.key()),
            "case": way.criterion.and_then(|(_, case)| r.cases.get(case)),
            "without_it_something_would_do": way.without_it,
            "nearest": answer_value(&way.nearest, &r.cases),
        })),
    })
}

fn answer_value(answer: &Answer, cases: &[String]) -> Value {
    json!({
        "total_steps": answer.total_steps,
        "changes": answer.changes.iter().map(|(path, to)| json!({ "path": path, "to": to })).collect::<Vec<_>>(),
        "steps": answer.steps.iter().map(|step| step_value(step, cases)).collect::<Vec<_>>(),
        "checked": worst_value(&answer.checked, cases),
        "between_checked": answer.between.as_ref().map(|worst| worst_value(worst, &[])),
        "holds": answer.holds(),
        "verdict": answer.verdict().map(Verdict::name),
    })
}

fn step_value(step: &Step, cases: &[String]) -> Value {
    let effects = |list: &[Effect]| -> Vec<Value> {
        list.iter()
            .map(|e| {
                let [edge_before, edge_after] = e.edges;
                json!({
                    "measure": e.measure.key(), "before": e.before, "after": e.after, "room_change": e.margin,
                    "edge_before": edge_before, "edge_after": edge_after,
                })
            })
            .collect()
    };
    json!({
        "group": step.group.map_or("standard", crate::scenario::setting::Group::name),
        "moves": step.moves,
        "buys": effects(&step.buys),
        "costs": effects(&step.costs),
        "worst": worst_value(&step.worst, cases),
    })
}

/// The worst of every judged measure.
fn worst_value(worst: &Worst, cases: &[String]) -> Value {
    let mut map = Map::new();
    for (measure, at) in worst.readings() {
        if at.reading.limit.is_none() {
            continue;
        }
        let margin = at.reading.margin().filter(|margin| margin.is_finite());
        let verdict = at.reading.verdict.map(Verdict::name);
        let entry = json!({
            "value": at.reading.value, "limit": at.reading.limit, "unit": measure.info().si_unit, "verdict": verdict,
            "room": margin, "edge": at.reading.edge, "case": cases.get(at.case),
        });
        map.insert(measure.key(), entry);
    }
    json!({
        "failed": worst.failed.as_ref().map(|(case, reason)| json!({ "case": cases.get(*case), "reason": reason })),
        "measures": map,
    })
}
