//! What a page says of its own, in English, Spanish and French. Verdicts, criteria, settings and cautions come from the words of the sheet.

use crate::report::sheet::Language;
use std::collections::BTreeMap;

/// Key, then English, Spanish, French, with tabs between. Places for values are written `{0}`.
const TABLE: &str = include_str!("words.tsv");

fn rows() -> impl Iterator<Item = (&'static str, [&'static str; 3])> {
    TABLE.lines().filter_map(|line| {
        let mut parts = line.split('\t');
        Some((parts.next()?, [parts.next()?, parts.next()?, parts.next()?]))
    })
}

fn place(language: Language) -> usize {
    Language::ALL.iter().position(|l| *l == language).unwrap_or_default()
}

/// A word of the page; empty when there is none with this key.
pub fn word(key: &str, language: Language) -> &'static str {
    rows().find(|(own, _)| *own == key).map_or("", |(_, said)| said[place(language)])
}

/// All words of the page in a language.
pub fn words(language: Language) -> BTreeMap<&'static str, &'static str> {
    rows().map(|(key, said)| (key, said[place(language)])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_every_word_has_all_languages_with_the_same_places() {
        let count = rows().count();
        assert!(count > 40 && count == TABLE.lines().count());
        for (key, said) in rows() {
            for text in said {
                assert!(!text.trim().is_empty(), "{key}");
                for place in ["{0}", "{1}", "{2}", "{3}"] {
                    assert_eq!(text.contains(place), said[0].contains(place), "{key}: {text}");
                }
            }
        }
        for language in Language::ALL {
            assert_eq!(words(language).len(), count, "a key stands twice");
        }
        assert_eq!(word("undo", Language::Spanish), "Deshacer");
    }

    #[test]
    fn verif_the_script_of_the_page_uses_words_that_are_there_and_all_of_them() {
        let script = crate::live::page::FORM_SCRIPT;
        let sources = [
            script,
            crate::live::page::SHEET_SCRIPT,
            include_str!("page.rs"),
            include_str!("page/body.rs"),
            include_str!("shown.rs"),
            include_str!("fault.rs"),
            include_str!("form.rs"),
            include_str!("sheet.rs"),
        ];
        let used = |key: &str| sources.iter().any(|source| source.contains(&format!("\"{key}\"")));
        for (key, _) in rows() {
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
