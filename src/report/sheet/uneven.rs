//! What differs between left and right, under the settings of the sheet, with why where the scenario says so.

use super::Language;
use super::words::capital;
use crate::scenario::Scenario;
use crate::units::minus_signs;

/// Words of this part in one language: what it means, as found.
const fn words(language: Language) -> [&'static str; 2] {
    match language {
        Language::English => [
            "Left and right differ; what no reason stands beside, the scenario does not explain, so look whether it is meant:",
            "as found",
        ],
        Language::Spanish => [
            "Izquierda y derecha difieren; lo que no tiene motivo al lado, el escenario no lo explica: mire si es a propósito:",
            "como se encontró",
        ],
        Language::French => [
            "Gauche et droite diffèrent ; ce qui est sans raison, le scénario ne l'explique pas : voyez si c'est voulu :",
            "trouvé",
        ],
    }
}

/// The differences of the set-up found and of the one to leave, in a sentence; `None` when there are none.
pub(super) fn uneven_note(left: &Scenario, found: Option<&Scenario>, language: Language) -> Option<String> {
    let [lead, as_found] = words(language);
    let own = language.words();
    let mut parts = Vec::new();
    for (scenario, of_found) in found.map(|f| (f, true)).into_iter().chain([(left, false)]) {
        for line in scenario.uneven() {
            let label = capital(&own.counted_term(&line.label));
            let found = if of_found { format!(" ({as_found})") } else { String::new() };
            let why = line.why.map_or_else(String::new, |why| format!(": {why}"));
            let [l, r] = [&line.left, &line.right].map(|text| minus_signs(text));
            parts.push(format!("{label}{found} {l} / {r}{why}"));
        }
    }
    (!parts.is_empty()).then(|| format!("{lead} {}.", parts.join("; ")))
}
