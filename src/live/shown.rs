//! What is shown of a set-up: pictures and sentences.

use super::setup::Setup;
use super::words::word;
use crate::coverage::explain;
use crate::drawing::plan_view::{Ghost, PlanOptions, PlanScene, PlanShow, plan_view};
use crate::drawing::svg::svg;
use crate::drawing::unrolled::{UnrolledOptions, unrolled_map};
use crate::drawing::{Role, Theme};
use crate::report::capital;
use crate::report::sheet::{Language, say_picture, time_said};
use crate::sentences::{ENGLISH, FRENCH, SPANISH, WhyWords, why_in};
use crate::units::UnitSystem;
use serde::Serialize;

/// Under this many page units there is no room for labels and legends within the plan: the page says it beside.
const ROOM_FOR_LABELS: f64 = 620.0;
/// Letters of pictures, page units.
const TEXT: f64 = 12.0;

/// How answers are to be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Manner {
    pub units: UnitSystem,
    pub language: Language,
    pub theme: Theme,
    /// Width of the pictures, page units.
    pub width: f64,
}

/// The plan at an instant.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Frame {
    t_s: f64,
    at: String,
    plan: String,
    why: Vec<String>,
}

/// An instant worth going to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Event {
    name: String,
    side: String,
    t_s: f64,
    at: String,
}

/// The plan with what was pinned as a ghost.
pub(super) fn frame(
    setup: &Setup,
    pinned: Option<(&str, &Setup)>,
    t_s: Option<f64>,
    manner: Manner,
) -> Frame {
    let record = &setup.solved.record;
    let t_s = t_s.unwrap_or_else(|| setup.key_s()).clamp(record.start_s, record.end_s);
    let scene = PlanScene { solved: &setup.solved, t_s };
    let ghosts: Vec<Ghost<'_>> = pinned
        .iter()
        .map(|(name, pinned)| Ghost { name, role: Role::SetupA, solved: &pinned.solved })
        .collect();
    let wide = manner.width >= ROOM_FOR_LABELS;
    let height = if wide { 0.5 * manner.width } else { 0.74 * manner.width };
    let mut options = PlanOptions::new(manner.width, height.round(), manner.units);
    options.text_size = TEXT;
    options.room_for_ghosts = usize::from(wide && pinned.is_some());
    options.stop_pins =
        setup.solved.setup.units.iter().map(|unit| setup.scenario.stop_pin(unit.side)).collect();
    // Labels of the plan are English words that there is no room to translate.
    let labels = wide && manner.language == Language::English;
    options.show =
        PlanShow { labels, legend: labels, struts: wide, bands: wide, looks: wide, ..PlanShow::default() };
    let mut list = plan_view(&scene, &ghosts, &options);
    let at = time_said(t_s);
    say_picture(&mut list, &format!("{}, {at}", word("plan", manner.language)), manner.language);
    let why = explain(&setup.solved.setup, record, t_s)
        .iter()
        .filter(|said| !said.instant.ended)
        .map(|said| why_in(said, manner.units, words_of(manner.language)))
        .collect();
    Frame { t_s, at, plan: svg(&list, manner.theme), why }
}

fn words_of(language: Language) -> &'static WhyWords {
    match language {
        Language::English => &ENGLISH,
        Language::Spanish => &SPANISH,
        Language::French => &FRENCH,
    }
}

/// The outline laid flat.
pub(super) fn map(setup: &Setup, manner: Manner) -> String {
    let scene = PlanScene { solved: &setup.solved, t_s: setup.key_s() };
    let wide = manner.width >= ROOM_FOR_LABELS;
    let height = if wide { 0.36 * manner.width } else { 0.68 * manner.width };
    let mut options = UnrolledOptions::new(manner.width, height.round(), manner.units);
    options.text_size = TEXT;
    options.cursor = false;
    options.signs = wide;
    let mut list = unrolled_map(&scene, &options).list;
    say_picture(&mut list, word("map", manner.language), manner.language);
    svg(&list, manner.theme)
}

/// The events of both units in order of time.
pub(super) fn events(setup: &Setup, language: Language) -> Vec<Event> {
    let words = language.words();
    let mut all: Vec<Event> = setup
        .solved
        .outcome
        .units
        .iter()
        .flat_map(|unit| unit.events.iter().map(move |event| (unit.side, event)))
        .map(|(side, event)| Event {
            name: words.term(event.name.name()).to_owned(),
            side: capital(words.term(side.name())),
            t_s: event.time_s,
            at: time_said(event.time_s),
        })
        .collect();
    all.sort_by(|a, b| a.t_s.total_cmp(&b.t_s));
    all
}
