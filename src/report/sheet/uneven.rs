//! What differs between left and right, on the sheet, with why where the scenario says so.

use super::additions::plain;
use super::words::capital;
use super::{Addition, Language};
use crate::scenario::Scenario;

/// Words of this part in one language: heading, what it means, column of the reason, no reason is said, as found.
fn words(language: Language) -> [&'static str; 5] {
    match language {
        Language::English => [
            "Left and right differ",
            "What no reason stands beside, the scenario does not explain: look whether it is meant.",
            "Why",
            "not said",
            "as found",
        ],
        Language::Spanish => [
            "Izquierda y derecha difieren",
            "Lo que no tiene motivo al lado, el escenario no lo explica: mire si es a propósito.",
            "Por qué",
            "no se dice",
            "como se encontró",
        ],
        Language::French => [
            "Gauche et droite diffèrent",
            "Ce qui est sans raison, le scénario ne l'explique pas : voyez si c'est voulu.",
            "Pourquoi",
            "non dit",
            "trouvé",
        ],
    }
}

/// The differences of the set-up to leave and of the one found as a part of the sheet; `None` when there are none.
pub(super) fn uneven_addition(
    left: &Scenario,
    found: Option<&Scenario>,
    language: Language,
) -> Option<Addition> {
    let [title, note, why, unsaid, as_found] = words(language);
    let own = language.words();
    let mut rows = Vec::new();
    for (scenario, of_found) in found.map(|f| (f, true)).into_iter().chain([(left, false)]) {
        for line in scenario.uneven() {
            let label = capital(&own.counted_term(&line.label));
            let label = if of_found { format!("{label} ({as_found})") } else { label };
            let reason = line.why.unwrap_or_else(|| unsaid.to_owned());
            rows.push([label, line.left, line.right, reason].map(plain).to_vec());
        }
    }
    (!rows.is_empty()).then(|| Addition {
        title: title.to_owned(),
        note: note.to_owned(),
        columns: [own.setting, own.left, own.right, why].map(str::to_owned).to_vec(),
        rows,
        picture: None,
    })
}
