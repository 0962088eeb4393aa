//! What differs between left and right, under the settings of the sheet, with why where the scenario says so.

use super::Language;
use super::words::capital;
use crate::scenario::Scenario;
use crate::scenario::uneven::Uneven;
use crate::units::minus_signs;

/// Words of this part in one language: what it means, as found.
const fn words(language: Language) -> [&'static str; 2] {
    match language {
        Language::English => [
            "Left and right differ; what no reason stands beside, the scenario does not explain:",
            "as found",
        ],
        Language::Spanish => [
            "Izquierda y derecha difieren; lo que no tiene motivo al lado, el escenario no lo explica:",
            "como se encontró",
        ],
        Language::French => {
            ["Gauche et droite diffèrent ; ce qui est sans raison, le scénario ne l'explique pas :", "trouvé"]
        }
    }
}

/// The differences of the set-up found and of the one to leave, in a sentence; `None` when there are none.
pub(super) fn uneven_note(left: &Scenario, found: Option<&Scenario>, language: Language) -> Option<String> {
    let [lead, as_found] = words(language);
    let own = language.words();
    let stays = left.uneven();
    // What was found and stays is said once.
    let corrected =
        found.map(Scenario::uneven).unwrap_or_default().into_iter().filter(|line| !stays.contains(line));
    let said = |line: &Uneven, found: String| {
        let label = capital(&own.counted_term(&line.label));
        let [l, r] = [&line.left, &line.right].map(|text| minus_signs(text));
        let why = line.why.as_ref().map_or_else(String::new, |why| format!(": {why}"));
        format!("{label}{found} {l} / {r}{why}")
    };
    let parts: Vec<String> = corrected
        .map(|line| said(&line, format!(" ({as_found})")))
        .chain(stays.iter().map(|line| said(line, String::new())))
        .collect();
    (!parts.is_empty()).then(|| format!("{lead} {}.", parts.join("; ")))
}
