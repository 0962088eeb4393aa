//! The field form of calibration on a page: cards of tests, each reading checked as it comes, and the file of readings.

use super::setup::{Bench, Changes, Refused};
use super::shown::Manner;
use super::words::word;
use crate::calibrate::{
    AtOnce, Entry, FAR, FieldTest, InstrumentSaid, InstrumentWord, OfWord, ReadingsText, at_once,
    entries_text, entry, field_tests,
};
use crate::report::sheet::filled;
use crate::report::{FormCard, InstrumentForm, form_cards, form_instruments, form_said};
use crate::scenario::Scenario;
use crate::units::{format, minus_signs, rounded};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is written down of a reading: of which test, which of its readings, and the values by field.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub(super) struct Written {
    test: String,
    at: usize,
    given: BTreeMap<String, Vec<String>>,
}

/// What a form holds.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub(super) struct FormGiven {
    /// The unit that readings are of; all there are when not given.
    of: String,
    /// Keys of tests in the order in which they are to stand.
    order: Vec<String>,
    title: String,
    note: String,
    readings: Vec<Written>,
    instruments: Vec<InstrumentGiven>,
}

/// What is said of an instrument.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct InstrumentGiven {
    kind: String,
    resolution: String,
    shared: String,
}

/// The tests of one set-up.
#[derive(Debug, Default)]
pub(super) struct Forms {
    of: Option<(Changes, OfWord)>,
    tests: Vec<FieldTest>,
}

/// Everything of the form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct FormSaid {
    of: &'static str,
    ofs: Vec<(&'static str, &'static str)>,
    said: [&'static str; 2],
    cards: Vec<FormCard>,
    instruments: Vec<InstrumentForm>,
}

/// A value that was read beside the model.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct BesideModel {
    field: &'static str,
    place: usize,
    /// What the model expects and how far the value is off, in a sentence.
    said: String,
    far: bool,
}

/// Name of the file of readings in what is refused.
pub(super) const FILE: &str = "readings.ron";

/// A reading of a form with what was written down of it.
type WrittenEntry = (Entry, BTreeMap<String, Vec<String>>);

impl Forms {
    fn tests(&mut self, scenario: &Scenario, changes: &Changes, of: OfWord) -> &[FieldTest] {
        let asked = (changes.clone(), of);
        if self.of.as_ref() != Some(&asked) {
            self.tests = field_tests(scenario, of);
            self.of = Some(asked);
        }
        &self.tests
    }

    /// The cards of the form, in the order asked for.
    pub fn said(
        &mut self,
        bench: &Bench,
        changes: &Changes,
        given: &FormGiven,
        manner: Manner,
    ) -> Result<FormSaid, Refused> {
        let scenario = bench.scenario(changes)?;
        let of = given.unit(&scenario)?;
        let (said, ofs) = form_said(&scenario, manner.language);
        let mut cards = form_cards(self.tests(&scenario, changes, of), manner.language, manner.units);
        let place = |card: &FormCard| given.order.iter().position(|key| key == card.key);
        // Stable: what is not in the order comes last, as it stands in the table.
        cards.sort_by_key(|card| place(card).unwrap_or(usize::MAX));
        Ok(FormSaid { of: of.name(), ofs, said, cards, instruments: form_instruments(manner.language) })
    }

    /// The file of readings.
    pub fn file(&mut self, bench: &Bench, changes: &Changes, given: &FormGiven) -> Result<String, Refused> {
        let scenario = bench.scenario(changes)?;
        let text = self.text(&scenario, changes, given)?;
        let read = ReadingsText::read(&text, FILE).map_err(|refused| refused.to_string())?;
        at_once(&scenario, &read).map_err(|refused| refused.to_string())?;
        Ok(text)
    }

    /// Each value that was read beside the model as it is assumed; nothing where nothing was read.
    pub fn beside(
        &mut self,
        bench: &Bench,
        changes: &Changes,
        given: &FormGiven,
        manner: Manner,
    ) -> Result<Vec<BesideModel>, Refused> {
        let scenario = bench.scenario(changes)?;
        let of = given.unit(&scenario)?;
        let is_any = self
            .entries(&scenario, changes, of, given)?
            .iter()
            .any(|(entry, given)| entry.text(given, None).is_some());
        if !is_any {
            return Ok(Vec::new());
        }
        let text = self.text(&scenario, changes, given)?;
        let read = ReadingsText::read(&text, FILE).map_err(|refused| refused.to_string())?;
        let list = at_once(&scenario, &read).map_err(|refused| refused.to_string())?;
        Ok(list.iter().map(|value| beside(value, manner)).collect())
    }

    fn entries(
        &mut self,
        scenario: &Scenario,
        changes: &Changes,
        of: OfWord,
        given: &FormGiven,
    ) -> Result<Vec<WrittenEntry>, Refused> {
        let tests = self.tests(scenario, changes, of);
        let of = |written: &Written| {
            let test = tests.iter().find(|test| test.key == written.test);
            let reading = test.and_then(|test| test.readings.file.readings.get(written.at));
            let reading = reading
                .ok_or_else(|| Refused(format!("there is no test «{}» of this machine", written.test)))?;
            Ok((entry(reading), written.given.clone()))
        };
        given.readings.iter().map(of).collect()
    }

    fn text(&mut self, scenario: &Scenario, changes: &Changes, given: &FormGiven) -> Result<String, Refused> {
        let of = given.unit(scenario)?;
        let entries = self.entries(scenario, changes, of, given)?;
        let instruments = given.instruments.iter().filter_map(|said| {
            let kinds = [
                InstrumentWord::Scale,
                InstrumentWord::Stopwatch,
                InstrumentWord::Video,
                InstrumentWord::Gauge,
            ];
            let kind = kinds.into_iter().find(|kind| kind.name() == said.kind)?;
            let (resolution, shared) = (said.resolution.clone(), said.shared.clone());
            Some(InstrumentSaid { kind, resolution, shared })
        });
        let instruments: Vec<InstrumentSaid> = instruments.collect();
        Ok(entries_text(of, [&given.title, &given.note], &instruments, &entries))
    }
}

impl FormGiven {
    fn unit(&self, scenario: &Scenario) -> Result<OfWord, Refused> {
        if self.of.is_empty() {
            return Ok(OfWord::of(scenario));
        }
        OfWord::named(&self.of).ok_or_else(|| Refused(format!("there is no unit «{}»", self.of)))
    }
}

fn beside(value: &AtOnce, manner: Manner) -> BesideModel {
    let far = value.off.abs() > FAR;
    let in_units = |si| format(value.info, si, manner.units);
    let key = if far { "beside_far" } else { "beside_near" };
    let mut said = filled(
        word(key, manner.language),
        &[&in_units(value.expected_si), &in_units(value.sd_si), &rounded(value.off.abs(), 1)],
    );
    if let Some(like) = &value.reads_like {
        said.push(' ');
        said.push_str(&filled(word("beside_like", manner.language), &[like]));
    }
    BesideModel { field: value.field, place: value.place.unwrap_or(0), said: minus_signs(&said), far }
}
