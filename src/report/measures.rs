//! Measures and limits as people say them.

use super::TEXT_WIDTH;
use super::words::{NONE, Words, percent, wrap};
use crate::coverage::measure::{Measure, Reading};
use crate::units::UnitSystem;

/// A value with its unit: «12.5 in», «98.0 %», a dash when there is none.
pub(crate) fn said(words: Words, measure: Measure, si: Option<f64>) -> String {
    match words.measure(measure.name) {
        Some(column) => column.with_unit(si),
        None => percent(si),
    }
}

/// A value of a measure with its unit: «12.5 in», «98.0 %», a dash when there is none.
pub fn measure_value(measure: Measure, si: Option<f64>, units: UnitSystem) -> String {
    said(Words::new(units), measure, si)
}

/// What stands behind a number that is on an edge; [`EDGE_SAID`] says what it means.
pub const EDGE: &str = "†";

/// What the mark of a number on an edge means.
pub const EDGE_SAID: &str = "† on an edge: one bounce of the arm more or less moves it far, and with its last bounce counted in full it is less.";

/// A value with its unit, and [`EDGE`] where it stands on one.
pub(crate) fn said_marked(words: Words, measure: Measure, si: Option<f64>, on_edge: bool) -> String {
    let text = said(words, measure, si);
    if on_edge { text + EDGE } else { text }
}

/// The same of a reading.
pub(crate) fn said_reading(words: Words, measure: Measure, reading: &Reading) -> String {
    said_marked(words, measure, reading.value, reading.edge.is_some())
}

/// What the mark means, under a text that holds one; else nothing.
pub(crate) fn edge_note(text: &str) -> String {
    if text.contains(EDGE) { wrap(EDGE_SAID, TEXT_WIDTH, 2) } else { String::new() }
}

/// A change with its sign and unit: «+1.2 in», «−0.4 %»; «0» when it rounds to nothing, a dash when there is none.
pub(crate) fn change(words: Words, measure: Measure, si: Option<f64>) -> String {
    let Some(si) = si else { return NONE.to_owned() };
    let size = said(words, measure, Some(si.abs()));
    if !size.contains(|c: char| ('1'..='9').contains(&c)) {
        return "0".to_owned();
    }
    format!("{}{size}", if si < 0.0 { "−" } else { "+" })
}

/// The unit of a measure's column; «%» for shares.
pub(crate) fn unit(words: Words, measure: Measure) -> &'static str {
    words.measure(measure.name).map_or("%", |column| column.unit)
}

/// A value as a number of [`unit`].
pub(crate) fn number(words: Words, measure: Measure, si: f64) -> f64 {
    let unit = unit(words, measure);
    if unit == "%" {
        return 100.0 * si;
    }
    crate::units::value_in(measure.info(), si, &unit.replace('²', "2"))
}

/// A limit: «at most 12.0 in», «at least 98.0 %»; empty when there is none.
pub(crate) fn limit(words: Words, measure: Measure, reading: &Reading) -> String {
    match reading.limit {
        None => String::new(),
        Some(limit) if reading.at_least => format!("at least {}", said(words, measure, Some(limit))),
        Some(limit) => format!("at most {}", said(words, measure, Some(limit))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::MeasureName;
    use crate::units::UnitSystem;

    #[test]
    fn verif_changes_are_signed_and_nothing_is_nothing() {
        let us = Words::new(UnitSystem::Us);
        assert_eq!(change(us, MeasureName::TailGap.whole(), Some(0.0254)), "+1.0 in");
        assert_eq!(change(us, MeasureName::TailGap.whole(), Some(-0.0254)), "−1.0 in");
        assert_eq!(change(us, MeasureName::TailGap.whole(), Some(-1e-9)), "0");
        assert_eq!(change(us, MeasureName::NoseWashed.whole(), Some(-0.025)), "−2.5 %");
        assert_eq!(change(us, MeasureName::NoseWashed.whole(), None), NONE);
        assert_eq!(number(us, MeasureName::TailGap.whole(), 0.0508), 2.0);
        assert_eq!(number(us, MeasureName::NoseWashed.whole(), 0.5), 50.0);
    }
}
