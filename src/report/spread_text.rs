//! Chance as a person reads it: how likely each criterion is met, what matters, whether it has settled.

use super::measures::said;
use super::table::TextTable;
use super::words::{Words, heading, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::coverage::measure::Measure;
use crate::study::indices::{Estimate, NoIndices};
use crate::study::interval::Share;
use crate::study::spread::SpreadResult;
use crate::units::{UnitSystem, counted, rounded};

/// The result as text; the ranking is for `measure`, else for the criterion met least often.
pub fn spread_text(
    result: &SpreadResult,
    title: &str,
    measure: Option<Measure>,
    units: UnitSystem,
    ink: Ink,
) -> String {
    let words = Words::new(units);
    let mut out = heading(title, ink);
    let confidence = format!("{:.0} %", 100.0 * result.plan.confidence);
    let all = result.all_met.map_or_else(
        || "Nothing is judged: the scenario states no criteria.".to_owned(),
        |share| {
            format!(
                "Every criterion is met in {} of passes ({confidence} sure: {} %).",
                percent(share.share),
                interval(&share)
            )
        },
    );
    out.push_str(&wrap(&all, TEXT_WIDTH, 0));
    let vehicles = match result.vehicles.as_slice() {
        [(only, _)] => format!("All of them with one vehicle, {only}: the vehicle does not spread."),
        many => {
            let shares: Vec<String> =
                many.iter().map(|(name, share)| format!("{name} {:.0} %", 100.0 * share)).collect();
            format!("The vehicle of each is drawn by its share of the fleet: {}.", shares.join(", "))
        }
    };
    out.push_str(&wrap(&vehicles, TEXT_WIDTH, 0));
    let mut counting = format!(
        "{} in {} of {}, seed {}.",
        counted(result.passes, "pass", "passes"),
        counted(result.plan.blocks, "block", "blocks"),
        counted(result.factors.len() as u64, "factor", "factors"),
        result.plan.seed
    );
    if result.failed > 0 {
        let reasons: Vec<String> = result.reasons.iter().map(|(r, n)| format!("{r} ({n})")).collect();
        counting.push_str(&format!(
            " {} that could not be computed {} neither way: {}.",
            counted(result.failed, "pass", "passes"),
            if result.failed == 1 { "counts" } else { "count" },
            reasons.join("; ")
        ));
    }
    out.push_str(&wrap(&counting, TEXT_WIDTH, 0));
    out.push('\n');
    let mut table = TextTable::new(&[
        "Criterion",
        ">Met",
        &format!("{confidence} sure"),
        ">5 % under",
        ">Half",
        ">95 % under",
    ]);
    for m in result.measures.iter().filter(|m| m.met.is_some()) {
        let Some(share) = &m.met else { continue };
        let quantile = |i: usize| said(words, m.measure, m.quantiles.map(|q| q[i]));
        table.row(&[
            m.measure.label(),
            percent(share.share),
            interval(share),
            quantile(0),
            quantile(1),
            quantile(2),
        ]);
    }
    out.push_str(&table.text());
    for m in result.measures.iter().filter(|m| m.met.is_some() && m.on_edge > 0) {
        let text = format!(
            "On an edge, where one bounce of the arm more or less moves it far: {} in {} of {}.",
            m.measure.label(),
            m.on_edge,
            counted(m.values as u64, "pass", "passes")
        );
        out.push_str(&wrap(&text, TEXT_WIDTH, 2));
    }

    if let Some(measure) = measure.or_else(|| result.telling())
        && let Some(of) = result.of(measure)
    {
        out.push('\n');
        out.push_str(&heading(&format!("What matters for {}", measure.label()), ink));
        match &of.indices {
            Err(NoIndices::NoVariance) => out.push_str("It does not vary.\n"),
            Err(NoIndices::TooFewBlocks) => out.push_str("Too few complete blocks to say.\n"),
            Ok(indices) => {
                let mut order: Vec<usize> = (0..indices.inputs.len()).collect();
                order.sort_by(|a, b| {
                    indices.inputs[*b].total.value.total_cmp(&indices.inputs[*a].total.value)
                });
                let mut table =
                    TextTable::new(&["Factor", ">Alone", "Interval", ">With the others", "Interval"]);
                for i in order {
                    let input = &indices.inputs[i];
                    let (first, total) = (&input.first, &input.total);
                    table.row(&[
                        result.factors[i].clone(),
                        rounded(first.value, 2),
                        ends(first),
                        rounded(total.value, 2),
                        ends(total),
                    ]);
                }
                out.push_str(&table.text());
                let note = format!(
                    "Shares of the variance: «alone» is what would go if the factor were known, «with the others» what would stay if all others were. \
                     Estimates a little below 0 or above 1 are sampling error. {} used, {} left out whole.",
                    counted(indices.blocks_used as u64, "block", "blocks"),
                    indices.blocks_dropped
                );
                out.push_str(&wrap(&note, TEXT_WIDTH, 0));
            }
        }
        out.push('\n');
        out.push_str(&wrap(&settled(result, measure), TEXT_WIDTH, 0));
    }
    out
}

fn settled(result: &SpreadResult, measure: Measure) -> String {
    let shares = if result.shares_settled() {
        format!("The shares have settled (every interval within ±{:.0} %).", 100.0 * result.plan.share_within)
    } else {
        format!(
            "The shares have not settled to ±{:.0} %: take more blocks.",
            100.0 * result.plan.share_within
        )
    };
    let ranking = match result.widest_index(measure) {
        None => String::new(),
        Some(width) if width <= result.plan.index_within => {
            format!(" The ranking has settled (widest ±{width:.2}).")
        }
        Some(width) => format!(
            " The ranking has not settled (widest ±{width:.2}, wanted ±{:.2}): take more blocks.",
            result.plan.index_within
        ),
    };
    shares + &ranking
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn interval(share: &Share) -> String {
    format!("{:.1} to {:.1}", 100.0 * share.low, 100.0 * share.high)
}

fn ends(estimate: &Estimate) -> String {
    format!("{} to {}", rounded(estimate.low, 2), rounded(estimate.high, 2))
}
