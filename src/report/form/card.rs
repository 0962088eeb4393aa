//! The field form as data, for a page that takes the readings: a card for each test, its cautions, what is written down and in which units.

use super::words::*;
use super::{Language, UnitSystem, label, said_in};
use crate::calibrate::{Entry, EntryField, FieldTest, InstrumentWord, OfWord, Times, entry};
use crate::scenario::Scenario;
use crate::units::DimensionInfo;
use serde::Serialize;

/// A test of the form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormCard {
    /// What the test is called in tables.
    pub key: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// How long it takes, minutes.
    pub minutes: f64,
    /// How it is made.
    pub how: &'static str,
    /// What can hurt.
    pub risk: &'static str,
    /// Whether the brush turns or the line runs.
    pub moves: bool,
    /// Its readings.
    pub entries: Vec<FormEntry>,
}

/// A reading of a test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormEntry {
    /// What it is of; may be empty.
    pub label: String,
    /// What is written down.
    pub fields: Vec<FieldSaid>,
}

/// What is written down.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldSaid {
    /// Its name in the file.
    pub name: &'static str,
    /// What it is.
    pub label: &'static str,
    /// How many values there are at least.
    pub count: usize,
    /// Whether more values of it may be read.
    pub repeats: bool,
    /// Whether the reading is none without it.
    pub needed: bool,
    /// What stands there before.
    pub given: String,
    /// Where each value is of: the marks of a film.
    pub places: Vec<String>,
    /// Its units, that of the system asked for first; empty for a plain number.
    pub units: Vec<&'static str>,
    /// Whether it is a time, which a stopwatch can give.
    pub is_time: bool,
}

/// An instrument of the form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InstrumentForm {
    /// Its kind in the file.
    pub kind: &'static str,
    /// What it is called.
    pub label: &'static str,
    /// Example of an error of one reading.
    pub resolution: &'static str,
    /// Example of an error that its readings share; nothing where they share none.
    pub shared: &'static str,
}

/// Units of a dimension, that of the system first.
fn units_of(info: &'static DimensionInfo, units: UnitSystem) -> Vec<&'static str> {
    let first = match units {
        UnitSystem::Us => info.us.unit,
        UnitSystem::Si => info.si.unit,
    };
    let others = info.units.iter().filter(|unit| !unit.absolute).map(|unit| unit.symbol);
    std::iter::once(first)
        .chain(others.filter(|unit| *unit != first))
        .filter(|unit| !unit.is_empty())
        .collect()
}

fn field(field: &EntryField, language: Language, units: UnitSystem) -> FieldSaid {
    let known = FIELDS.iter().chain(&SAT).find(|(name, _)| *name == field.name);
    let (count, places) = match &field.times {
        Times::Once => (1, Vec::new()),
        Times::Repeats(count) => (*count, Vec::new()),
        Times::At(places) => (places.len(), places.clone()),
    };
    FieldSaid {
        name: field.name,
        label: known.map_or(field.name, |(_, said)| said_in(said, language)),
        count,
        repeats: matches!(field.times, Times::Repeats(_)),
        needed: field.needed,
        given: field.given.clone(),
        places,
        units: field.info.map_or_else(Vec::new, |info| units_of(info, units)),
        is_time: field.info.is_some_and(|info| info.si_unit == "s"),
    }
}

/// A card for each test, in their order.
pub fn form_cards(tests: &[FieldTest], language: Language, units: UnitSystem) -> Vec<FormCard> {
    let card = |test: &FieldTest| {
        let words = TESTS.iter().find(|words| words.key == test.key)?;
        let risk = RISKS.iter().find(|(risk, _)| *risk == words.risk);
        let entries = test.readings.file.readings.iter().map(|reading| {
            let Entry { fields, .. } = entry(reading);
            let (label, _) = label(reading, units, &|said| said_in(said, language), "");
            FormEntry { label, fields: fields.iter().map(|own| field(own, language, units)).collect() }
        });
        Some(FormCard {
            key: test.key,
            name: said_in(&words.name, language),
            minutes: test.minutes,
            how: said_in(&words.how, language),
            risk: risk.map_or("", |(_, said)| said_in(said, language)),
            moves: matches!(words.risk, Risk::Spin | Risk::Line),
            entries: entries.collect(),
        })
    };
    tests.iter().filter_map(card).collect()
}

/// The instruments that a file of readings may name.
pub fn form_instruments(language: Language) -> Vec<InstrumentForm> {
    let of = |(kind, said): &(InstrumentWord, Said)| InstrumentForm {
        kind: kind.name(),
        label: said_in(said, language),
        resolution: kind.info().example,
        shared: kind.shared_info().map_or("", |info| info.example),
    };
    INSTRUMENTS.iter().map(of).collect()
}

/// What is said over the form: what comes first, in which order the tests are, and the units that readings may be of.
pub fn form_said(
    scenario: &Scenario,
    language: Language,
) -> ([&'static str; 2], Vec<(&'static str, &'static str)>) {
    let whole = OfWord::of(scenario);
    let ofs = OF.iter().filter(|(of, _)| whole == OfWord::Both || *of == whole);
    let said = [said_in(&OTHERS, language), said_in(&ORDER, language)];
    (said, ofs.map(|(of, words)| (of.name(), said_in(words, language))).collect())
}
