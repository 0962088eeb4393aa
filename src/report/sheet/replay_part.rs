//! The replay's place on the page: its controls, its record and its script.

use super::replay::{Replay, json_for_html, replay};
use super::words::{Words, fill};
use super::{Sheet, SheetError, criteria, numbers};
use crate::arm::Side;
use crate::coverage::Solved;
use crate::units::UnitSystem;
use maud::{Markup, PreEscaped, html};
use serde::Serialize;

pub(super) const SCRIPT: &str = include_str!("replay.js");

/// What the page takes in.
pub(super) struct ReplayPart {
    /// The section with picture and controls; hidden until the script runs.
    pub section: Markup,
    /// Record and script.
    pub scripts: Markup,
}

/// Words the script needs.
#[derive(Serialize)]
struct ScriptWords {
    play: &'static str,
    pause: &'static str,
    left: &'static str,
    right: &'static str,
    travel: &'static str,
    swing: &'static str,
}

/// The whole record of the page.
#[derive(Serialize)]
struct PageRecord {
    us: bool,
    still_ms: f64,
    words: ScriptWords,
    main: Replay,
    other: Option<Replay>,
}

fn record(pass: &Solved, words: &Words) -> Replay {
    replay(pass, |event| words.term(event.name()).to_owned())
}

pub(super) fn replay_part(sheet: &Sheet<'_>, words: &'static Words) -> Result<ReplayPart, SheetError> {
    let main = record(&sheet.left, words);
    let section = section(sheet, &main, words);
    let page = PageRecord {
        us: sheet.units == UnitSystem::Us,
        still_ms: (sheet.still_s * 1e3).round(),
        words: ScriptWords {
            play: words.play,
            pause: words.pause,
            left: words.left,
            right: words.right,
            travel: words.travel,
            swing: words.swing,
        },
        main,
        other: sheet.found.as_ref().map(|found| record(found, words)),
    };
    let json = json_for_html(&page)?;
    let scripts = html! {
        script type="application/json" id="record" { (PreEscaped(json)) }
        script { (PreEscaped(SCRIPT)) }
    };
    Ok(ReplayPart { section, scripts })
}

fn section(sheet: &Sheet<'_>, main: &Replay, words: &Words) -> Markup {
    let sides: Vec<Side> = sheet.left.setup.units.iter().map(|u| u.side).collect();
    html! {
        p.no-script.small { (words.replay_no_script) }
        section id="replay" aria-labelledby="replay-title" {
            h2 id="replay-title" { (words.replay_title) }
            div.screen {
                canvas id="stage" role="img" aria-label=(words.replay_label) {}
                canvas id="trace" aria-hidden="true" {}
            }
            div.bar {
                button type="button" id="prev" aria-label=(words.previous_event) { "◀◀" }
                button type="button" id="play" aria-label=(words.play) { "▶" }
                button type="button" id="next" aria-label=(words.next_event) { "▶▶" }
                input type="range" id="scrub" min="0" max="1" step="1" value="0" aria-label=(words.time);
                label {
                    (words.speed) " "
                    select id="speed" {
                        @for (value, name) in [("0.25", "¼×"), ("1", "1×"), ("2", "2×"), ("4", "4×"), ("8", "8×")] {
                            option value=(value) selected[value == "4"] { (name) }
                        }
                    }
                }
                @if sheet.found.is_some() {
                    label { input type="checkbox" id="ghost" checked; " " (words.ghost) }
                }
            }
            dl.read {
                div { dt { (words.time) } dd id="read-time" { "–" } }
                div { dt { (words.nose_at) } dd id="read-nose" { "–" } }
                @for side in &sides {
                    div.(side.name()) {
                        dt { (words.swing) ", " (criteria::side(*side, words)) }
                        dd id={ "read-swing-" (side.name()) } { "–" }
                    }
                    div.(side.name()) {
                        dt { (words.force) ", " (criteria::side(*side, words)) }
                        dd id={ "read-force-" (side.name()) } { "–" }
                    }
                }
            }
            h3.small { (words.events) }
            ul.events {
                @for event in &main.events {
                    li {
                        button type="button" data-ms=(event.ms) {
                            span.unit { (short(sides.get(event.unit).copied(), words)) } " "
                            (event.name) " " (numbers::time(event.ms as f64 / 1e3))
                        }
                    }
                }
            }
            ul.legend {
                li { (line("var(--washed)", 2.6, "none")) (words.washed) }
                li { (line("var(--not-yet)", 1.6, "2 4")) (words.not_yet) }
                li { (line("var(--missed)", 4.2, "7 3")) (words.missed) }
                li { span.ramp {} (fill(words.pressure_scale, &[&numbers::contact_pressure(main.peak_pa, sheet.units)])) }
            }
            p.keys { (words.keys) }
        }
    }
}

fn short(side: Option<Side>, words: &Words) -> &'static str {
    match side {
        Some(Side::Left) => words.left_short,
        Some(Side::Right) => words.right_short,
        None => "",
    }
}

/// A sample of a line for the legend.
fn line(colour: &str, width: f64, dash: &str) -> Markup {
    html! {
        svg viewBox="0 0 34 10" aria-hidden="true" {
            path d="M1 5H33" stroke=(colour) stroke-width=(width) stroke-dasharray=(dash) fill="none" {}
        }
    }
}
