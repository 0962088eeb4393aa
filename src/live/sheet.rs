//! The live part of a set-up sheet: its set-ups, as found and as left, can be turned right there, with the engine of a page.

use super::page::{PageError, SHEET_SCRIPT, SHEET_STYLE, beside_of, engine, file_name, hash, typing};
use super::words::word;
use crate::report::sheet::{Language, ScreenPart, json_for_html};
use crate::scenario::Scenario;
use crate::units::UnitSystem;
use maud::{PreEscaped, html};
use serde::Serialize;
use std::collections::BTreeMap;

/// A set-up that is turned on a sheet.
#[derive(Debug, Clone, Copy)]
pub struct LiveSetup<'a> {
    /// The scenario as it was read.
    pub scenario: &'a Scenario,
    /// What of it is changed: path and value as written.
    pub set: &'a [(String, String)],
}

/// What the live part of a sheet is made from.
#[derive(Debug, Clone, Copy)]
pub struct LiveSheetRequest<'a> {
    /// The set-up to leave.
    pub left: LiveSetup<'a>,
    /// The set-up found, if known.
    pub found: Option<LiveSetup<'a>>,
    /// The engine, gzipped.
    pub engine_gz: &'a [u8],
    /// Language of the sheet.
    pub language: Language,
    /// Units that stand first.
    pub units: UnitSystem,
}

#[derive(Serialize)]
struct Opened<'a> {
    label: &'static str,
    name: &'a str,
    text: &'a str,
    beside: BTreeMap<&'a str, &'a str>,
    set: &'a [(String, String)],
}

#[derive(Serialize)]
struct Record<'a> {
    setups: Vec<Opened<'a>>,
    units: &'static str,
    lang: &'static str,
    loading: &'static str,
    /// What is said where the engine cannot run: then no engine can say it.
    no_engine: &'static str,
}

fn opened<'a>(setup: LiveSetup<'a>, label: &'static str) -> Result<Opened<'a>, PageError> {
    let (main, beside) = beside_of(setup.scenario)?;
    Ok(Opened { label, name: file_name(&main.name), text: &main.text, beside, set: setup.set })
}

/// The live part of a sheet.
///
/// # Errors
/// [`PageError::Record`] when a scenario holds something JSON cannot.
pub fn live_sheet(request: &LiveSheetRequest<'_>) -> Result<ScreenPart, PageError> {
    let language = request.language;
    let words = language.words();
    let mut setups = vec![opened(request.left, words.as_left)?];
    if let Some(found) = request.found {
        setups.push(opened(found, words.as_found)?);
    }
    let record = Record {
        setups,
        units: request.units.word(),
        lang: language.code(),
        loading: word("loading", language),
        no_engine: word("no_engine", language),
    };
    let record = json_for_html(&record)?;
    let say = |key| word(key, language);
    let section = html! {
        section id="live" aria-labelledby="live-title" hidden {
            h2 id="live-title" { (say("sheet_live")) }
            p.live-caution { (say("caution_line")) }
            div.buttons { button.big type="button" id="live-open" { (say("sheet_live_open")) } }
            p id="live-none" role="status" hidden {}
            div id="live-inner" hidden {
                div.buttons id="live-which" {}
                div.live-verdict aria-live="polite" {
                    p id="live-stamp" {}
                    p.live-gap { (say("gap")) strong id="live-gap" {} span id="live-was" {} }
                    p.live-said id="live-said" {}
                }
                div.alert id="alert" role="alert" hidden {
                    pre id="alert-text" {}
                    button type="button" id="alert-close" { (say("close")) }
                }
                ul id="live-changed" aria-label=(say("changed")) {}
                div id="first" {}
                details id="more" { summary { (say("more")) } div id="rest" {} }
            }
        }
        (typing(language))
    };
    let scripts = html! {
        script type="application/json" id="live-record" { (PreEscaped(&record)) }
        (engine(request.engine_gz))
        script { (PreEscaped(SHEET_SCRIPT)) }
    };
    Ok(ScreenPart {
        section: section.into_string(),
        scripts: scripts.into_string(),
        style: SHEET_STYLE,
        script_sources: format!("{} 'wasm-unsafe-eval'", hash(SHEET_SCRIPT)),
    })
}
