//! What is wrong with a brush, as «fault» writes it for programs, on the sheet: causes with what confirms and mends each, and the next check. Causes are named as
//! the answer names them, in English.

use super::record::{Record, number, text};
use super::words::{capital, fill};
use super::{AddedCell, Addition, Language};
use crate::report::fault_report::minutes;
use crate::units::minus_signs;
use serde_json::Value;

/// Causes on the sheet.
const MOST: usize = 5;
/// Less believed than this a cause is not on it.
const LEAST: f64 = 0.03;

/// Words of this part in one language.
struct Words {
    title: &'static str,
    columns: [&'static str; 5],
    seen: &'static str,
    next: &'static str,
}

fn words(language: Language) -> Words {
    match language {
        Language::English => Words {
            title: "What is wrong with the brush",
            columns: ["Cause", "Belief", "Check", "If so", "Then"],
            seen: "Seen: {0}.",
            next: "Next check: {0} ({1}, {2} min). {3}",
        },
        Language::Spanish => Words {
            title: "Qué le pasa al cepillo",
            columns: ["Causa", "Creencia", "Comprobación", "Si es así", "Entonces"],
            seen: "Visto: {0}.",
            next: "Siguiente comprobación: {0} ({1}, {2} min). {3}",
        },
        Language::French => Words {
            title: "Ce qu'a la brosse",
            columns: ["Cause", "Croyance", "Contrôle", "Si oui", "Alors"],
            seen: "Vu : {0}.",
            next: "Contrôle suivant : {0} ({1}, {2} min). {3}",
        },
    }
}

fn plain(text: String) -> AddedCell {
    AddedCell { text: minus_signs(&text), verdict: None }
}

fn records<'a>(of: &'a Record, key: &str) -> Vec<&'a Record> {
    of.get(key).and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_object).collect()
}

/// The answer as a part of the sheet; `None` when the document is none.
pub(super) fn fault_addition(document: &Record, language: Language) -> Option<Addition> {
    let own = words(language);
    document.get("headline")?;
    let listed = records(document, "rows");
    let mut rows = Vec::new();
    let causes = listed
        .iter()
        .copied()
        .flat_map(|row| records(row, "causes"))
        .filter(|cause| number(cause, "belief").is_some_and(|share| share >= LEAST))
        .take(MOST);
    for cause in causes {
        let share = number(cause, "belief").map_or_else(String::new, |b| format!("{:.0} %", 100.0 * b));
        let mut lead = [capital(&text(cause, "name")), share];
        let behind = records(cause, "behind");
        if behind.is_empty() {
            rows.push(
                [lead[0].clone(), lead[1].clone(), String::new(), String::new(), String::new()]
                    .map(plain)
                    .to_vec(),
            );
        }
        for one in behind {
            let [name, share] = std::mem::take(&mut lead);
            let check = format!("{} ({})", text(one, "what"), text(one, "check"));
            rows.push([name, share, check, text(one, "finding"), text(one, "repair")].map(plain).to_vec());
        }
    }
    let seen: Vec<String> = document
        .get("seen")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(|s| s.as_str().map(str::to_owned))
        .collect();
    let mut note = vec![text(document, "headline")];
    if !seen.is_empty() {
        note.push(fill(own.seen, &[&seen.join(", ")]));
    }
    if let Some(next) = records(document, "checks").first() {
        let min = number(next, "minutes").map_or_else(String::new, minutes);
        note.push(fill(own.next, &[&text(next, "how"), &text(next, "tool"), &min, &text(next, "caution")]));
    }
    Some(Addition {
        title: own.title.to_owned(),
        note: note.join(" "),
        columns: own.columns.iter().map(|c| (*c).to_owned()).collect(),
        rows,
        picture: None,
    })
}
