//! What stands on a page before its script runs.

use crate::live::words::{word, words};
use crate::report::sheet::{Language, cautions_said};
use maud::{Markup, html};

/// A word of the page that changes with its language.
pub(super) fn said(key: &str, language: Language) -> Markup {
    html! { span data-say=(key) { (word(key, language)) } }
}

/// The body of a page; with a form, that comes first.
pub(super) fn body(title: &str, language: Language, has_form: bool) -> Markup {
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
            @if has_form { (form(language)) }
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
            (fault(language))
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
        (typing(language))
        @if has_form { (watch(language)) (film(language)) }
    }
}

/// The place where a value is typed.
pub(in crate::live) fn typing(language: Language) -> Markup {
    html! {
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

/// What is wrong with a brush; its inside is made when it is opened.
fn fault(language: Language) -> Markup {
    html! {
        section id="fault" aria-labelledby="fault-title" hidden {
            h2 id="fault-title" { (said("fault", language)) }
            div.buttons { button type="button" id="fault-open" { (said("fault_open", language)) } }
            div id="fault-inner" hidden {
                p.small { (said("fault_lead", language)) }
                div id="fault-ticks" {}
                div.buttons {
                    button.big type="button" id="fault-run" { (said("fault_run", language)) }
                    button type="button" id="fault-stop" hidden { (said("fault_stop", language)) }
                    button type="button" id="fault-clear" { (said("fault_clear", language)) }
                }
                progress id="fault-bar" max="1" value="0" aria-label=(word("fault", language)) hidden {}
                p.small id="fault-status" {}
                div id="fault-answer" aria-live="polite" {}
            }
        }
    }
}

/// The field form; its cards are made when the page stands.
fn form(language: Language) -> Markup {
    html! {
        section id="form" aria-labelledby="form-heading" aria-busy="true" {
            h2 id="form-heading" { (said("form", language)) }
            div id="form-cautions" { p { (said("form_wait", language)) } }
            label for="form-of" { (said("form_of", language)) }
            select id="form-of" {}
            label for="form-title" { (said("form_title", language)) }
            input type="text" id="form-title" autocomplete="off";
            label for="form-note" { (said("form_note", language)) }
            input type="text" id="form-note" autocomplete="off";
            div id="form-cards" {}
            div id="form-instruments" {}
            p id="form-count" role="status" {}
            p.small id="form-kept" {}
            div.buttons {
                button.big type="button" id="form-save" disabled { (said("form_save", language)) }
                button type="button" id="form-share" hidden { (said("form_share", language)) }
                button type="button" id="form-forget" { (said("form_forget", language)) }
            }
            p.small { (said("form_then", language)) }
        }
    }
}

fn watch(language: Language) -> Markup {
    html! {
        dialog id="watch" aria-labelledby="watch-title" {
            h2 id="watch-title" { (said("watch", language)) }
            p.clock id="watch-time" role="timer" { "0.00 s" }
            div.thumbs {
                button.big type="button" id="watch-go" { (said("watch_start", language)) }
                button type="button" id="watch-lap" { (said("watch_lap", language)) }
            }
            ul.laps id="watch-laps" {}
            div.buttons { button type="button" id="watch-close" { (said("close", language)) } }
        }
    }
}

fn film(language: Language) -> Markup {
    html! {
        dialog id="film" aria-labelledby="film-title" {
            h2 id="film-title" { (said("film", language)) }
            label for="film-file" { (said("film_file", language)) }
            input type="file" id="film-file" accept="video/*";
            label for="film-rate" { (said("film_rate", language)) }
            input type="text" id="film-rate" inputmode="decimal" autocomplete="off";
            video id="film-video" muted playsinline preload="auto" hidden {}
            p.refused id="film-told" {}
            p.clock id="film-at" role="status" {}
            div.thumbs id="film-steps" hidden {
                @for by in [-10, -1, 1, 10] {
                    button type="button" data-by=(by) { (if by < 0 { "−" } else { "+" }) (i32::abs(by)) }
                }
            }
            div.thumbs {
                button type="button" id="film-start" hidden { (said("film_start", language)) }
                button type="button" id="film-mark" hidden { (said("film_mark", language)) }
            }
            ul.laps id="film-marks" {}
            div.buttons {
                button.big type="button" id="film-use" disabled { (said("use", language)) }
                button type="button" id="film-close" { (said("close", language)) }
            }
        }
    }
}
