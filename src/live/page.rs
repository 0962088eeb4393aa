//! The page: one HTML file with a scenario and the engine in it, for a phone without a signal.

use super::words::{word, words};
use crate::drawing::{Role, Theme};
use crate::report::sheet::{Language, cautions_said, json_for_html};
use crate::scenario::Scenario;
use crate::units::UnitSystem;
use crate::visible::{is_hidden, visible};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use thiserror::Error;

const STYLE: &str = include_str!("page/page.css");
pub(super) const SCRIPT: &str = include_str!("page/page.js");

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
    let mut files = request.scenario.files().iter();
    let Some(main) = files.next() else {
        return Err(PageError::Record(serde::ser::Error::custom("it has no text")));
    };
    let record = Record {
        name: file_name(&main.name),
        text: &main.text,
        beside: files.map(|file| (file.name.as_str(), file.text.as_str())).collect(),
        set: request.set,
        lesson: request.lesson.map(|(_, text)| text),
        lesson_name: request.lesson.map(|(name, _)| file_name(name)),
        units: request.units.word(),
        lang: request.language.code(),
        version: env!("CARGO_PKG_VERSION"),
        no_engine: word("no_engine", request.language),
    };
    let record = json_for_html(&record)?;
    let (language, style) = (request.language, style());
    let title = request.scenario.file().title.trim();
    let document = html! {
        (DOCTYPE)
        html lang=(language.code()) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy(&style));
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (tab_title(title, language)) }
                style { (PreEscaped(&style)) }
            }
            body {
                (body(title, language))
                script type="application/json" id="record" { (PreEscaped(&record)) }
                script type="text/plain" id="engine" { (PreEscaped(STANDARD.encode(request.engine_gz))) }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    };
    // Hidden characters have no place in a page; what is left of them came from somebody's text.
    Ok(visible(&document.into_string()).into_owned())
}

/// The last part of a path: folders of one machine mean nothing on another.
fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

/// What the page may do (W3C, Content Security Policy Level 3): run its one script and the engine that it carries, use its one style sheet. It
/// loads nothing and sends nothing.
fn policy(style: &str) -> String {
    let hash = |text: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)));
    format!(
        "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {}; base-uri 'none'; form-action 'none'",
        hash(SCRIPT),
        hash(style)
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
    format!(":root{{{light}}}\n:root[data-dark]{{{dark}}}\n{STYLE}")
}

/// A word of the page that changes with its language.
fn said(key: &str, language: Language) -> Markup {
    html! { span data-say=(key) { (word(key, language)) } }
}

fn body(title: &str, language: Language) -> Markup {
    let cautions = cautions_said(language);
    let all = words(language);
    html! {
        header.top {
            p.kind { (said("page", language)) }
            h1 id="title" { bdi { (title) } }
            p.muted { bdi id="vehicle" {} }
            div.tools {
                button type="button" id="units" { "US" }
                select id="lang" aria-label=(all["language"]) {
                    @for (code, name) in [("en", "English"), ("es", "Español"), ("fr", "Français")] {
                        option value=(code) lang=(code) selected[code == language.code()] { (name) }
                    }
                }
                button type="button" id="sun" aria-pressed="false" { "☀" }
            }
        }
        main {
            section.cautions id="cautions" aria-labelledby="cautions-title" {
                div.stripe {}
                div.inner {
                    h2 id="cautions-title" { (cautions.title) }
                    div id="cautions-all" {
                        ol id="cautions-list" { @for caution in &cautions.list { li { (caution) } } }
                        p.small id="cautions-limits" { (cautions.limits) }
                        button.big type="button" id="read" disabled { (said("read", language)) }
                    }
                    p id="cautions-line" hidden { (said("caution_line", language)) }
                }
            }
            section id="lesson" aria-labelledby="heading" hidden {
                p.small id="place" {}
                h2 id="heading" { "–" }
                p id="caption" {}
                p.question id="question" {}
                p.answer id="answer" hidden {}
                div.buttons {
                    button type="button" id="reveal" hidden { (said("reveal", language)) }
                    button type="button" id="back" { (said("back", language)) }
                    button.big type="button" id="on" { (said("on", language)) }
                }
                div id="pins" hidden { h3 { (said("beside", language)) } div.buttons id="pin-list" {} }
            }
            p id="loading" role="status" { (said("loading", language)) }
            noscript { p.alert { (all["no_script"]) } }
            div.alert id="alert" role="alert" hidden {
                pre id="alert-text" {}
                button type="button" id="alert-close" { (said("close", language)) }
            }
            section.verdict id="verdict" aria-live="polite" hidden {
                p.stamp id="stamp" { span id="sign" aria-hidden="true" {} " " span id="word" {} }
                p.gap { span.muted { (said("gap", language)) } strong id="gap" {} span.muted id="gap-was" {} }
                p id="said" {}
            }
            section id="turn" aria-labelledby="turn-title" hidden {
                h2 id="turn-title" { (said("turn", language)) }
                div id="first" {}
                details id="more" { summary { (said("more", language)) } div id="rest" {} }
            }
            section id="changes" aria-labelledby="changes-title" hidden {
                h2 id="changes-title" { (said("changed", language)) }
                p.muted id="nothing" { (said("nothing_changed", language)) }
                ul id="changed" {}
                div.buttons {
                    button type="button" id="pin" { (said("pin", language)) }
                    button type="button" id="unpin" hidden { (said("unpin", language)) }
                }
            }
            section id="take" aria-labelledby="take-title" hidden {
                h2 id="take-title" { (said("take", language)) }
                div.buttons {
                    button.big type="button" id="sheet" { (said("sheet", language)) }
                    button type="button" id="file" { (said("save_file", language)) }
                }
                p id="walk" role="status" hidden {}
                div.buttons id="ready" hidden {
                    a.button.big id="save-sheet" { (said("save_sheet", language)) }
                    button type="button" id="share-sheet" hidden { (said("share_sheet", language)) }
                }
            }
            div.two {
                section id="plan-part" aria-labelledby="plan-title" hidden {
                    h2 id="plan-title" { (said("plan", language)) }
                    div.picture id="plan" {}
                    p.key id="key" aria-hidden="true" {
                        span.line.washed {} (said("washed", language))
                        span.line.not-yet {} (said("not_yet", language))
                        span.line.missed {} (said("missed", language))
                    }
                    p.small id="dashed" hidden { (said("a_dashed", language)) }
                    div.bar {
                        button type="button" id="play" aria-label=(all["play"]) { "▶" }
                        input type="range" id="scrub" min="0" max="1000" step="1" value="0" aria-label=(all["time"]);
                        output id="clock" for="scrub" {}
                    }
                    ul.events id="events" aria-label=(all["events"]) {}
                    h3 { (said("why", language)) }
                    div id="why" {}
                }
                section id="map-part" aria-labelledby="map-title" hidden {
                    h2 id="map-title" { (said("map", language)) }
                    div.picture id="map" {}
                }
            }
            section id="limits-part" aria-labelledby="limits-title" hidden {
                h2 id="limits-title" { (said("limits", language)) }
                table {
                    thead {
                        tr {
                            th scope="col" { (said("criterion", language)) small { (said("limit", language)) } }
                            th scope="col" id="beside-name" { (said("opened", language)) }
                            th scope="col" { (said("now", language)) }
                        }
                    }
                    tbody id="lines" {}
                }
            }
        }
        footer { p.small id="computed" {} }
        dialog id="typing" aria-labelledby="typing-title" {
            form method="dialog" {
                h2 id="typing-title" { "–" }
                label for="typed" { (said("value", language)) }
                input type="text" id="typed" autocomplete="off" autocapitalize="off" spellcheck="false";
                p.small id="typing-range" {}
                div.buttons {
                    button.big type="submit" id="typing-set" value="set" { (said("set", language)) }
                    button type="submit" value="" { (said("cancel", language)) }
                }
            }
        }
    }
}
