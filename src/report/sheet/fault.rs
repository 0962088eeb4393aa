//! What is wrong with a brush, as «fault» writes it for programs, on the sheet: causes with what confirms and mends each, and the next check, in the language of
//! the sheet.

use super::record::{Record, number, text};
use super::spoken::placed_said;
use super::words::{capital, fill, of_fault};
use super::{AddedCell, Addition, Language};
use crate::fault::check::CHECKS;
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

/// How a check is made, by its name.
fn how(name: &str, language: Language) -> String {
    let check = CHECKS.iter().find(|check| check.key == name);
    check.map_or_else(|| name.to_owned(), |check| of_fault(check.tool, language))
}

/// The answer as a part of the sheet; `None` when the document is none.
pub(super) fn fault_addition(document: &Record, language: Language) -> Option<Addition> {
    let own = words(language);
    document.get("headline")?;
    let in_words = |of: &Record, key: &str| of_fault(&text(of, key), language);
    let placed = |of: &Record, key: &str| {
        placed_said(&text(of, key), &of_fault(&text(of, "words"), language), language)
    };
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    let listed = records(document, "rows");
    let mut rows = Vec::new();
    let causes = listed
        .iter()
        .copied()
        .flat_map(|row| records(row, "causes"))
        .filter(|cause| number(cause, "belief").is_some_and(|share| share >= LEAST))
        .take(MOST);
    for cause in causes {
        let share = number(cause, "belief").map_or_else(String::new, percent);
        let mut lead = [capital(&placed(cause, "place")), share];
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
            let check = format!("{} ({})", in_words(one, "what"), how(&text(one, "check"), language));
            let [finding, repair] = ["finding", "repair"].map(|key| in_words(one, key));
            rows.push([name, share, check, finding, repair].map(plain).to_vec());
        }
    }
    let named: Vec<String> =
        records(document, "headline_names").into_iter().map(|of| placed(of, "place")).collect();
    let belief = number(document, "headline_belief").map_or_else(String::new, percent);
    let form = of_fault(&text(document, "headline_form"), language);
    let mut note = vec![fill(&form, &[&named.join("; "), &belief])];
    let seen: Vec<String> =
        records(document, "seen_words").into_iter().map(|sign| placed(sign, "side")).collect();
    if !seen.is_empty() {
        note.push(fill(own.seen, &[&seen.join("; ")]));
    }
    if let Some(next) = records(document, "checks").first() {
        let min = number(next, "minutes").map_or_else(String::new, minutes);
        let [how, tool, caution] = ["how", "tool", "caution"].map(|key| in_words(next, key));
        note.push(fill(own.next, &[&how, &tool, &min, &caution]));
    }
    Some(Addition {
        title: own.title.to_owned(),
        note: note.join(" "),
        columns: own.columns.iter().map(|c| (*c).to_owned()).collect(),
        rows,
        picture: None,
    })
}
