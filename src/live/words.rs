//! What a page says of its own, in English, Spanish and French. Verdicts, criteria, settings and cautions come from the words of the sheet.

use crate::report::sheet::Language;
use std::collections::BTreeMap;

/// Key, then English, Spanish, French. Places for values are written `{0}`.
const TABLE: &[(&str, [&str; 3])] = &[
    ("page", ["Live set-up", "Ajuste en vivo", "Réglage en direct"]),
    ("loading", ["The engine starts …", "El motor de cálculo arranca …", "Le moteur de calcul démarre …"]),
    (
        "no_engine",
        [
            "This browser cannot run the engine of this page: {0}. A browser of 2023 or later can.",
            "Este navegador no puede ejecutar el motor de esta página: {0}. Uno de 2023 o posterior sí.",
            "Ce navigateur ne peut pas exécuter le moteur de cette page : {0}. Un navigateur de 2023 ou plus récent le peut.",
        ],
    ),
    (
        "no_script",
        [
            "This page computes with a script, and scripts are off here.",
            "Esta página calcula con un programa y aquí están apagados.",
            "Cette page calcule avec un script, et les scripts sont désactivés ici.",
        ],
    ),
    (
        "read",
        [
            "Read: now let me turn settings",
            "Leído: ahora quiero girar ajustes",
            "Lu : je veux maintenant tourner les réglages",
        ],
    ),
    (
        "caution_line",
        [
            "Here you turn a model. At the machine: lock out and tag out, bleed the air and prove it, block the arm. The maker's manual, local codes and licensed practice come first.",
            "Aquí se gira un modelo. En la máquina: bloquee y etiquete, purgue el aire y compruébelo, calce el brazo. Primero el manual del fabricante, los códigos locales y el personal habilitado.",
            "Ici on tourne un modèle. À la machine : consignez, purgez l'air et prouvez-le, calez le bras. La notice du constructeur, les règles locales et le personnel habilité passent d'abord.",
        ],
    ),
    ("gap", ["Gap on the tail", "Tramo sin lavar en la cola", "Bande non lavée à l'arrière"]),
    ("was", ["as opened: {0}", "como se abrió: {0}", "à l'ouverture : {0}"]),
    ("was_a", ["{0}: {1}", "{0}: {1}", "{0} : {1}"]),
    ("turn", ["Turn", "Girar", "Tourner"]),
    ("more", ["More settings", "Más ajustes", "Autres réglages"]),
    ("step", ["one step {0}; {1}", "un paso {0}; {1}", "un pas {0} ; {1}"]),
    ("less", ["one step down", "un paso abajo", "un pas de moins"]),
    ("plus", ["one step up", "un paso arriba", "un pas de plus"]),
    ("type", ["type a value", "escribir un valor", "taper une valeur"]),
    ("set", ["Set", "Poner", "Régler"]),
    ("cancel", ["Cancel", "Cancelar", "Annuler"]),
    ("value", ["Value with its unit", "Valor con su unidad", "Valeur avec son unité"]),
    ("changed", ["What changed", "Qué cambió", "Ce qui a changé"]),
    (
        "nothing_changed",
        ["Nothing yet: as opened.", "Nada todavía: como se abrió.", "Rien encore : comme à l'ouverture."],
    ),
    ("undo", ["Undo", "Deshacer", "Annuler"]),
    ("plan", ["Plan view", "Vista desde arriba", "Vue de dessus"]),
    ("time", ["Instant of the pass", "Instante de la pasada", "Instant du passage"]),
    ("play", ["Play", "Reproducir", "Lire"]),
    ("pause", ["Pause", "Pausa", "Pause"]),
    ("events", ["Events", "Momentos", "Moments"]),
    ("why", ["Why", "Por qué", "Pourquoi"]),
    ("map", ["What is washed", "Qué se lava", "Ce qui est lavé"]),
    ("limits", ["Limits", "Límites", "Limites"]),
    ("criterion", ["Criterion", "Criterio", "Critère"]),
    ("limit", ["Limit", "Límite", "Limite"]),
    ("opened", ["As opened", "Como se abrió", "À l'ouverture"]),
    ("now", ["Now", "Ahora", "Maintenant"]),
    ("pin", ["Pin as A", "Fijar como A", "Épingler comme A"]),
    ("unpin", ["Let go of A", "Soltar A", "Relâcher A"]),
    (
        "a_dashed",
        [
            "Dashed: the set-up pinned as A.",
            "A trazos: el ajuste fijado como A.",
            "En tirets : le réglage épinglé comme A.",
        ],
    ),
    ("take", ["Take along", "Llevar", "Emporter"]),
    ("sheet", ["Set-up sheet", "Hoja de ajuste", "Fiche de réglage"]),
    (
        "sheet_walks",
        [
            "Looking how far each setting may move: {0} of {1}",
            "Buscando cuánto puede moverse cada ajuste: {0} de {1}",
            "Recherche de la marge de chaque réglage : {0} sur {1}",
        ],
    ),
    ("save_sheet", ["Save the sheet", "Guardar la hoja", "Enregistrer la fiche"]),
    ("share_sheet", ["Share the sheet", "Compartir la hoja", "Partager la fiche"]),
    ("save_file", ["Save the scenario file", "Guardar el archivo", "Enregistrer le fichier"]),
    ("units", ["Units", "Unidades", "Unités"]),
    ("us", ["in, lb, psi", "in, lb, psi", "in, lb, psi"]),
    ("si", ["m, N, kPa", "m, N, kPa", "m, N, kPa"]),
    ("language", ["Language", "Idioma", "Langue"]),
    ("sun", ["Outdoor contrast", "Contraste al sol", "Contraste plein jour"]),
    (
        "died",
        [
            "The engine stopped at an error of its own and was started again with the last set-up that worked: {0}",
            "El motor se detuvo por un error propio y arrancó de nuevo con el último ajuste que funcionó: {0}",
            "Le moteur s'est arrêté sur une erreur interne et a redémarré avec le dernier réglage qui marchait : {0}",
        ],
    ),
    ("refused", ["Not possible", "No es posible", "Impossible"]),
    ("close", ["Close", "Cerrar", "Fermer"]),
    ("lesson_step", ["Step {0} of {1}", "Paso {0} de {1}", "Étape {0} sur {1}"]),
    ("back", ["Back", "Atrás", "Retour"]),
    ("on", ["Next", "Siguiente", "Suivant"]),
    ("reveal", ["Show the answer", "Mostrar la respuesta", "Montrer la réponse"]),
    ("beside", ["Beside it", "Al lado", "À côté"]),
    ("washed", ["washed", "lavado", "lavé"]),
    ("not_yet", ["not yet", "todavía no", "pas encore"]),
    ("missed", ["missed", "sin lavar", "non lavé"]),
    (
        "computed",
        [
            "Computed on this device by brusharm {0}. Nothing is sent.",
            "Calculado en este aparato con brusharm {0}. No se envía nada.",
            "Calculé sur cet appareil par brusharm {0}. Rien n'est envoyé.",
        ],
    ),
];

fn place(language: Language) -> usize {
    Language::ALL.iter().position(|l| *l == language).unwrap_or_default()
}

/// A word of the page; empty when there is none with this key.
pub fn word(key: &str, language: Language) -> &'static str {
    TABLE.iter().find(|(own, _)| *own == key).map_or("", |(_, said)| said[place(language)])
}

/// All words of the page in a language.
pub fn words(language: Language) -> BTreeMap<&'static str, &'static str> {
    TABLE.iter().map(|(key, said)| (*key, said[place(language)])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_every_word_has_all_languages_with_the_same_places() {
        assert!(TABLE.len() > 40);
        for (key, said) in TABLE {
            for text in said {
                assert!(!text.trim().is_empty(), "{key}");
                for place in ["{0}", "{1}", "{2}"] {
                    assert_eq!(text.contains(place), said[0].contains(place), "{key}: {text}");
                }
            }
        }
        for language in Language::ALL {
            assert_eq!(words(language).len(), TABLE.len(), "a key stands twice");
        }
        assert_eq!(word("undo", Language::Spanish), "Deshacer");
    }

    #[test]
    fn verif_the_script_of_the_page_uses_words_that_are_there_and_all_of_them() {
        let script = include_str!("page.js");
        let page = include_str!("page.rs");
        let used = |key: &str| {
            script.contains(&format!("\"{key}\""))
                || page.contains(&format!("(\"{key}\""))
                || page.contains(&format!("\"{key}\""))
                || include_str!("shown.rs").contains(&format!("\"{key}\""))
        };
        for (key, _) in TABLE {
            assert!(used(key), "nobody says {key}");
        }
        // say("…") of the script.
        let mut found = 0;
        for (at, _) in script.match_indices("say(\"") {
            let key = script[at + 5..].split('"').next().unwrap_or_default();
            assert!(!word(key, Language::English).is_empty(), "the script says «{key}»");
            found += 1;
        }
        assert!(found > 15, "only {found} words found in the script");
    }
}
