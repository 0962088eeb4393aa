//! The page: one HTML file with a scenario and the engine in it, for a phone without a signal.

mod body;
mod packed;

use super::words::word;
use body::body;
pub(super) use body::typing;
use packed::lettered;

use crate::drawing::{Role, Theme};
use crate::report::sheet::{Language, json_for_html};
use crate::scenario::{Scenario, SourceFile};
use crate::units::UnitSystem;
use crate::visible::{is_hidden, visible};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use thiserror::Error;

/// Files of the page's script: one script in one room, so that the policy needs one hash.
macro_rules! script {
    ($($file:literal),*) => {
        concat!("\"use strict\";\n(() => {\n", $(include_str!($file),)* "})();\n")
    };
}

/// Style of what is turned, of the page and of a live sheet alike.
const TURN_STYLE: &str = include_str!("page/turn.css");
const STYLE: &str = concat!(include_str!("page/page.css"), include_str!("page/more.css"));
const SCRIPT: &str =
    script!("page/parts.js", "page/engine.js", "page/turn.js", "page/fault.js", "page/page.js");
pub(super) const FORM_SCRIPT: &str = script!(
    "page/parts.js",
    "page/engine.js",
    "page/turn.js",
    "page/fault.js",
    "page/watch.js",
    "page/form.js",
    "page/page.js"
);
pub(super) const SHEET_STYLE: &str = concat!(include_str!("page/turn.css"), include_str!("page/live.css"));
pub(super) const SHEET_SCRIPT: &str =
    script!("page/parts.js", "page/engine.js", "page/turn.js", "page/sheet.js");

/// What a page is made from.
#[derive(Debug, Clone, Copy)]
pub struct PageRequest<'a> {
    /// The scenario as it was read.
    pub scenario: &'a Scenario,
    /// The engine, gzipped.
    pub engine_gz: &'a [u8],
    /// Language it opens in.
    pub language: Language,
    /// Units it opens in.
    pub units: UnitSystem,
    /// Settings to be changed as it opens: path and value as written.
    pub set: &'a [(String, String)],
    /// A lesson on the scenario: its file's name and text.
    pub lesson: Option<(&'a str, &'a str)>,
    /// Keys of the field tests of a form that takes readings, in the order of their worth; `None`: no form.
    pub form: Option<&'a [&'static str]>,
}

/// Why a page could not be written.
#[derive(Debug, Error)]
pub enum PageError {
    /// The scenario could not be turned into JSON.
    #[error("the scenario cannot be written into the page: {0}")]
    Record(#[from] serde_json::Error),
}

/// What the script opens.
#[derive(Serialize)]
struct Record<'a> {
    name: &'a str,
    text: &'a str,
    beside: BTreeMap<&'a str, &'a str>,
    set: &'a [(String, String)],
    lesson: Option<&'a str>,
    lesson_name: Option<&'a str>,
    form: Option<&'a [&'static str]>,
    units: &'static str,
    lang: &'static str,
    version: &'static str,
    /// What is said where the engine cannot run: then no engine can say it.
    no_engine: &'static str,
}

/// The page as one HTML file.
///
/// # Errors
/// [`PageError::Record`] when the scenario holds something JSON cannot.
pub fn page_html(request: &PageRequest<'_>) -> Result<String, PageError> {
    let (main, beside) = beside_of(request.scenario)?;
    let record = Record {
        name: file_name(&main.name),
        text: &main.text,
        beside,
        set: request.set,
        lesson: request.lesson.map(|(_, text)| text),
        lesson_name: request.lesson.map(|(name, _)| file_name(name)),
        form: request.form,
        units: request.units.word(),
        lang: request.language.code(),
        version: env!("CARGO_PKG_VERSION"),
        no_engine: word("no_engine", request.language),
    };
    let record = json_for_html(&record)?;
    let (language, style) = (request.language, style());
    let script = if request.form.is_some() { FORM_SCRIPT } else { SCRIPT };
    let title = request.scenario.file().title.trim();
    let document = html! {
        (DOCTYPE)
        html lang=(language.code()) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy(script, &style, request.form.is_some()));
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (tab_title(title, language)) }
                style { (PreEscaped(&style)) }
            }
            body {
                (body(title, language, request.form.is_some()))
                script type="application/json" id="live-record" { (PreEscaped(&record)) }
                (engine(request.engine_gz))
                script { (PreEscaped(script)) }
            }
        }
    };
    // Hidden characters have no place in a page; what is left of them came from somebody's text.
    Ok(visible(&document.into_string()).into_owned())
}

/// The file of a scenario, and the files that it names.
pub(super) fn beside_of(scenario: &Scenario) -> Result<(&SourceFile, BTreeMap<&str, &str>), PageError> {
    let mut files = scenario.files().iter();
    let Some(main) = files.next() else {
        return Err(PageError::Record(serde::ser::Error::custom("it has no text")));
    };
    Ok((main, files.map(|file| (file.name.as_str(), file.text.as_str())).collect()))
}

/// The last part of a path: folders of one machine mean nothing on another.
pub(super) fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

/// The engine as text.
pub(super) fn engine(engine_gz: &[u8]) -> Markup {
    html! {
        script type="text/plain" id="engine" data-bytes=(engine_gz.len()) { (PreEscaped(lettered(engine_gz))) }
    }
}

pub(super) fn hash(text: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)))
}

/// What the page may do (W3C, Content Security Policy Level 3): run its one script, the engine that it carries and a worker that it makes of itself, use its
/// one style sheet, show a film that somebody chose. It loads nothing and sends nothing.
fn policy(script: &str, style: &str, shows_films: bool) -> String {
    format!(
        "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {}; worker-src blob:; {}base-uri 'none'; form-action 'none'",
        hash(script),
        hash(style),
        if shows_films { "media-src blob:; " } else { "" }
    )
}

fn tab_title(title: &str, language: Language) -> String {
    let plain = |c: &char| !matches!(c, '<' | '>' | '&' | '"' | '\'') && !is_hidden(*c);
    let title: String = title.chars().take(40).filter(plain).collect();
    match title.trim() {
        "" => word("page", language).to_owned(),
        title => format!("{title}: {}", word("page", language).to_lowercase()),
    }
}

/// The style sheet with the colours of the pictures.
fn style() -> String {
    let named = |theme: Theme| {
        let roles = [
            ("ink", Role::Ink),
            ("muted", Role::Muted),
            ("grid", Role::Grid),
            ("paper", Role::Paper),
            ("panel", Role::Panel),
            ("highlight", Role::Highlight),
            ("washed", Role::Washed),
            ("not-yet", Role::NotYet),
            ("missed", Role::Missed),
            ("pass", Role::Pass),
            ("marginal", Role::Marginal),
            ("fail", Role::Fail),
        ];
        let of = |(name, role): (&str, Role)| format!("--{name}:{};", role.rgb(theme).css());
        roles.map(of).concat()
    };
    let (light, dark) = (named(Theme::Light), named(Theme::Dark));
    format!(":root{{{light}}}\n:root[data-dark]{{{dark}}}\n{STYLE}{TURN_STYLE}")
}
