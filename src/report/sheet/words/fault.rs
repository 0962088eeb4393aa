//! What «fault» says in its tables, in Spanish and French, as spoken at a wash: causes, how bad they are, what is behind them, checks, tools, cautions,
//! signs with their groups, readings.
//!
//! Keyed by the English text of `src/fault`, which a test holds complete: a text that is added there needs its row here.

use crate::report::sheet::Language;

/// English, Spanish, French, with tabs between.
const ROWS: &str = include_str!("fault.tsv");

fn rows() -> impl Iterator<Item = [&'static str; 3]> {
    ROWS.lines().filter_map(|line| {
        let mut words = line.split('\t');
        Some([words.next()?, words.next()?, words.next()?])
    })
}

/// A text of the tables of faults in a language; as it stands where nothing is known of it.
pub(in crate::report::sheet) fn of_fault(english: &str, language: Language) -> String {
    let row = rows().find(|row| row[0] == english);
    let place = match language {
        Language::English => 0,
        Language::Spanish => 1,
        Language::French => 2,
    };
    row.map_or(english, |row| row[place]).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::cause::CAUSES;
    use crate::fault::check::{CHECKS, PULLS};
    use crate::fault::{READINGS, SIGNS, SignGroup};

    #[test]
    fn verif_every_text_of_the_tables_has_its_row_and_no_other() {
        let mut all: Vec<&str> = vec![crate::report::fault_report::AS_SET];
        all.extend(crate::report::fault_report::HEADLINES);
        all.extend(SIGNS.iter().map(|row| row.words));
        all.extend(SignGroup::ALL.map(SignGroup::words));
        all.extend(READINGS.iter().map(|row| row.how));
        all.extend(PULLS);
        all.extend(crate::report::fault_sentences::SENTENCES);
        all.extend(CHECKS.iter().flat_map(|row| [row.how, row.tool, row.caution.text()]));
        for cause in CAUSES.iter() {
            all.push(cause.name);
            all.extend(cause.amount.map(|amount| amount.label));
            all.extend(cause.behind.iter().flat_map(|b| [b.what, b.finding, b.repair]));
        }
        all.sort_unstable();
        all.dedup();
        let mut known: Vec<&str> = rows().map(|row| row[0]).collect();
        known.sort_unstable();
        assert_eq!(all, known);
        assert!(known.len() > 200);
        assert_eq!(rows().count(), ROWS.lines().count());
        for [english, spanish, french] in rows() {
            assert!(!spanish.trim().is_empty() && !french.trim().is_empty(), "{english}");
            // A row that says the same three times is not translated.
            assert!(spanish != english || french != english, "{english}");
        }
    }
}
