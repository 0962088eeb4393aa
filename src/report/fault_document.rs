//! The answer to what is wrong with a brush as JSON, SI.

use super::fault_report::{FaultReport, after_repair, headline, name_of, words_of};
use crate::fault::cause::CAUSES;
use crate::fault::check::CHECKS;
use crate::fault::{Belief, READINGS, SIGNS, Sign};
use serde_json::{Value, json};

/// Schema of an answer.
pub const FAULT_SCHEMA: &str = "brusharm/fault/1";

fn keys(signs: &[Sign]) -> Vec<String> {
    signs.iter().map(|s| s.key()).collect()
}

/// The answer as data. `asked` says of what.
pub fn fault_document(report: &FaultReport<'_>, asked: Value) -> Value {
    let (book, answer, told) = (report.book, report.answer, report.told);
    let headline = headline(report);
    let cause = |belief: &Belief| {
        let hypothesis = &book.hypotheses[belief.hypothesis];
        let amount = hypothesis.row().and_then(|row| row.amount);
        let after = after_repair(book, belief);
        json!({
            "cause": hypothesis.row().map(|row| row.key),
            "place": hypothesis.place.name(),
            "name": name_of(hypothesis),
            "words": words_of(hypothesis),
            "belief": belief.share,
            "explains_all": belief.explains,
            "does_not_explain": keys(&belief.against),
            "severity": belief.severity,
            "amount": belief.amount,
            "amount_should_be": hypothesis.cause.and_then(|cause| book.healthy_amount(cause, hypothesis.place)),
            "amount_of": amount.map(|a| a.label),
            "amount_unit": amount.map(|a| a.info.si_unit),
            "one_would_also_see": keys(&belief.also),
            "behind": hypothesis.row().map_or(&[][..], |row| row.behind).iter().map(|behind| json!({
                "what": behind.what,
                "check": behind.check.row().key,
                "finding": behind.finding,
                "repair": behind.repair,
            })).collect::<Vec<_>>(),
            "after_repair": after.iter().map(|change| json!({
                "measure": change.measure.column(), "now": change.now, "after": change.after,
            })).collect::<Vec<_>>(),
        })
    };
    let rows: Vec<Value> = answer
        .rows
        .iter()
        .filter(|_| !told.is_nothing())
        .map(|row| {
            let causes: Vec<Value> = row.beliefs.iter().map(|at| cause(&answer.beliefs[*at])).collect();
            json!({ "belief": row.share, "explains_all": row.explains, "causes": causes })
        })
        .collect();
    json!({
        "schema": FAULT_SCHEMA,
        "brusharm": env!("CARGO_PKG_VERSION"),
        "title": report.title,
        "asked": asked,
        "seen": keys(&told.seen),
        "seen_words": told.seen.iter().map(|sign| json!({
            "side": sign.side.map(crate::arm::Side::name), "words": sign.row().words,
        })).collect::<Vec<_>>(),
        "fine": keys(&told.fine),
        "readings": told.readings.iter().map(|r| json!({
            "name": READINGS[r.kind].key, "side": r.side.map(crate::arm::Side::name), "value": r.si,
            "unit": READINGS[r.kind].info.si_unit,
        })).collect::<Vec<_>>(),
        "checked": told.answers.iter().map(|a| json!({
            "check": a.check.row().key,
            "finding": a.found.map(|(finding, _)| finding),
            "place": a.found.map(|(_, place)| place.name()),
        })).collect::<Vec<_>>(),
        "headline": headline.text(),
        "headline_form": headline.form,
        "headline_names": headline.names.iter().map(|of| json!({
            "place": of.place.name(), "words": words_of(of),
        })).collect::<Vec<_>>(),
        "headline_belief": headline.share,
        "explained": answer.explained && !told.is_nothing(),
        "as_set": answer.as_set,
        "rows": rows,
        "pairs": report.pairs.iter().map(|pair| json!({
            "causes": pair.of.map(|(h, _)| name_of(&book.hypotheses[h])),
            "belief": pair.share,
        })).collect::<Vec<_>>(),
        "checks": report.checks.iter().map(|worth| json!({
            "check": worth.check.row().key,
            "how": worth.check.row().how,
            "tool": worth.check.row().tool,
            "minutes": worth.check.row().minutes,
            "minutes_with_lock_out": worth.check.row().all_minutes(),
            "caution": worth.check.row().caution.text(),
            "bits": worth.bits,
            "bits_per_min": worth.bits_per_min,
            "finds": worth.finds,
        })).collect::<Vec<_>>(),
    })
}

/// The tables as data: signs, readings, checks, causes.
pub fn fault_list_document() -> Value {
    json!({
        "schema": FAULT_SCHEMA,
        "brusharm": env!("CARGO_PKG_VERSION"),
        "signs": SIGNS.iter().map(|row| json!({ "name": row.key, "words": row.words, "of_a_side": row.sided })).collect::<Vec<_>>(),
        "readings": READINGS.iter().map(|row| json!({ "name": row.key, "how": row.how, "of_a_side": row.sided, "unit": row.info.si_unit })).collect::<Vec<_>>(),
        "checks": CHECKS.iter().map(|row| json!({
            "name": row.key, "how": row.how, "tool": row.tool, "minutes": row.minutes, "caution": row.caution.text(),
        })).collect::<Vec<_>>(),
        "causes": CAUSES.iter().map(|cause| json!({
            "name": cause.key, "words": cause.name, "of_a_side": cause.sided, "weight": cause.weight, "share_on_both": cause.both,
            "behind": cause.behind.iter().map(|b| b.what).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}
