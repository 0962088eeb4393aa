use super::*;

fn places(text: &str) -> Vec<char> {
    let mut found: Vec<char> =
        text.match_indices('{').filter_map(|(i, _)| text[i + 1..].chars().next()).collect();
    found.sort_unstable();
    found
}

#[test]
fn verif_every_language_has_the_same_places() {
    let english = Language::English.words().all();
    assert!(english.len() > 100);
    for language in Language::ALL {
        let words = language.words();
        for ((name, ours), (_, theirs)) in words.all().iter().zip(&english) {
            assert!(!ours.is_empty(), "{} has no {name}", language.code());
            assert_eq!(places(ours), places(theirs), "{} {name}", language.code());
        }
        for (i, (caution, cites)) in words.cautions.iter().enumerate() {
            assert_eq!(*cites, Language::English.words().cautions[i].1, "{caution}");
            assert!(cites.iter().all(|c| (1..=words.citations.len()).contains(c)));
        }
        for (ours, theirs) in words.citations.iter().zip(&Language::English.words().citations) {
            assert_eq!(ours.1, theirs.1, "{}", ours.0);
        }
    }
}

#[test]
fn verif_translations_differ_from_english_but_for_true_cognates() {
    // Numbers are the same everywhere; the French words are spelt and mean the same in a workshop. «Standard» is the trade's own word there, and
    // «pause» is what the button of a player says.
    let numbers = [("study_low", "5 %"), ("study_high", "95 %")];
    let french = [
        ("site", "Site"),
        ("machine", "Machine"),
        ("date", "Date"),
        ("sources", "Sources"),
        ("group_standard", "Standard"),
        ("group_air", "Air"),
        ("pause", "Pause"),
    ];
    for (language, cognates) in [(Language::Spanish, &[][..]), (Language::French, &french[..])] {
        let ours = language.words().all();
        let same: Vec<(&str, &str)> = ours
            .into_iter()
            .zip(Language::English.words().all())
            .filter(|(here, there)| here.1 == there.1)
            .map(|(here, _)| here)
            .collect();
        let expected: Vec<(&str, &str)> = cognates.iter().chain(&numbers).copied().collect();
        assert_eq!(same, expected, "{}", language.code());
        // Nor does a term of the program stay English.
        let terms: Vec<&str> = language
            .words()
            .terms
            .iter()
            .filter(|(english, here)| english == here)
            .map(|(english, _)| *english)
            .collect();
        assert!(terms.is_empty(), "{}: {terms:?}", language.code());
    }
}

#[test]
fn verif_values_are_not_read_for_places() {
    assert_eq!(fill("{0} of {1}", &["{1}", "b"]), "{1} of b");
    assert_eq!(fill("a {x} {0}{", &["v"]), "a {x} v{");
    assert_eq!(fill("{2}", &["v"]), "");
}
