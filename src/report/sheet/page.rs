//! The page: its frame, top block, cautions, pictures, check pass and foot. Tables, steps and replay have files of their own.

use super::themed::Colours;
use super::words::{Words, capital, fill};
use super::{
    Addition, Picture, ScreenPart, Sheet, SheetError, criteria, fit, numbers, replay_part, settings, spoken,
    steps,
};
use crate::coverage::{Solved, headline};
use crate::drawing::{Paint, Role, Theme};
use crate::vehicle::Zone;
use crate::visible::{is_hidden, visible};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

const STYLE: &str = include_str!("sheet.css");

pub(super) fn page(sheet: &Sheet<'_>, screen: Option<&ScreenPart>) -> Result<String, SheetError> {
    let words = sheet.language.words();
    let mut colours = Colours::default();
    let pictures = pictures(sheet, words, &mut colours);
    let fit = fit::fit(sheet, words);
    let studies = studies(sheet, words, &fit, &mut colours);
    let replay = replay_part::replay_part(sheet, words)?;
    let body = html! {
        main {
            (top(sheet, words))
            (cautions(words))
            (pictures)
            (replay.section)
            @if let Some(part) = screen { (PreEscaped(&part.section)) }
            (criteria::table(sheet, words))
            (settings::table(sheet, words, &fit))
            (steps::section(sheet, words))
            (check(sheet, words))
            (studies)
            (foot(sheet, words))
        }
        (replay.scripts)
        @if let Some(part) = screen { (PreEscaped(&part.scripts)) }
    };
    let style = style(&colours) + screen.map_or("", |part| part.style);
    let more = screen.map_or("", |part| &part.script_sources);
    let document = html! {
        (DOCTYPE)
        html lang=(sheet.language.code()) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy(replay_part::SCRIPT, more, &style));
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (page_title(sheet, words)) }
                style { (PreEscaped(&style)) }
            }
            body { (body) }
        }
    };
    // Hidden characters have no place in a page; what is left of them came from somebody's text.
    Ok(visible(&document.into_string()).into_owned())
}

/// What the page may do (W3C, Content Security Policy Level 3): run its script and that of a live part, use its one style sheet, all known by their hashes, and
/// nothing else. It loads nothing, sends nothing, and markup that got in by mistake would not run.
fn policy(script: &str, more: &str, style: &str) -> String {
    let hash = |text: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)));
    format!(
        "default-src 'none'; script-src {}; style-src {}; base-uri 'none'; form-action 'none'",
        [&hash(script), more].join(" ").trim_end(),
        hash(style)
    )
}

/// Title of the page, short enough for a tab.
fn page_title(sheet: &Sheet<'_>, words: &Words) -> String {
    let title: String = sheet.head.title.chars().take(40).collect();
    // Signs of markup and of direction have no place in a tab.
    let title: String = title
        .chars()
        .filter(|c| !matches!(c, '<' | '>' | '&' | '"' | '\'') && !is_hidden(*c) && !is_direction(*c))
        .collect();
    if title.trim().is_empty() {
        words.title.to_owned()
    } else {
        format!("{}: {}", words.title, title.trim())
    }
}

/// Marks of direction (Unicode Standard Annex 9), besides the controls that are hidden everywhere.
fn is_direction(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{061c}')
}

/// The style sheet with the colours of both themes.
fn style(colours: &Colours) -> String {
    let named = |theme: Theme| {
        let role = |name: &str, role: Role| format!("--{name}:{};", role.rgb(theme).css());
        let mut out: String = [
            role("ink", Role::Ink),
            role("muted", Role::Muted),
            role("grid", Role::Grid),
            role("paper", Role::Paper),
            role("panel", Role::Panel),
            role("vehicle", Role::Vehicle),
            role("vehicle-edge", Role::VehicleEdge),
            role("machine", Role::Machine),
            role("left", Role::LeftUnit),
            role("right", Role::RightUnit),
            role("washed", Role::Washed),
            role("not-yet", Role::NotYet),
            role("missed", Role::Missed),
            role("highlight", Role::Highlight),
            role("ghost", super::pictures::GHOST),
            role("pass", Role::Pass),
            role("marginal", Role::Marginal),
            role("fail", Role::Fail),
        ]
        .concat();
        for step in 0..9 {
            let share = f64::from(step) / 8.0;
            out.push_str(&format!("--scale{step}:{};", Paint::scale(share).rgb(theme).css()));
        }
        // Letters in the right unit's colour need more contrast than a line does.
        out.push_str(if theme == Theme::Light {
            "--desk:#e9ecef;--right-text:#a8430a;"
        } else {
            "--desk:#0b0e11;--right-text:#ff9a3d;"
        });
        out + &colours.declarations(theme)
    };
    format!(
        ":root{{{}}}\n@media screen and (prefers-color-scheme: dark){{:root{{{}}}}}\n{STYLE}",
        named(Theme::Light),
        named(Theme::Dark)
    )
}

/// A field of the top block: what is known, or a blank to write in.
fn field(label: &str, value: &str, id: &str) -> Markup {
    html! {
        div.field {
            @if value.is_empty() {
                label.label for=(id) { (label) }
                input type="text" id=(id) autocomplete="off";
            } @else {
                span.label { (label) }
                span.entry { bdi { (value) } }
            }
        }
    }
}

fn top(sheet: &Sheet<'_>, words: &Words) -> Markup {
    let head = &sheet.head;
    let vehicle = &sheet.left.setup.train[sheet.left.setup.measured].shape.real;
    let speed = numbers::speed(sheet.left.setup.conveyor_speed_m_s, sheet.units);
    let line = match &head.throughput {
        Some(throughput) => format!("{throughput}, {speed}"),
        None => speed,
    };
    html! {
        header {
            div.top {
                div {
                    h1 { (words.title) }
                    p.name { bdi { (head.title) } }
                    p.small {
                        (words.vehicle) ": " bdi { (vehicle.name) } " · " (words.line) ": " bdi { (line) }
                    }
                }
                div.fields {
                    (field(words.site, &head.site, "site"))
                    (field(words.machine, &head.machine, "machine"))
                    (field(words.date, &head.date, "date"))
                    (field(words.who, &head.who, "who"))
                }
            }
            div.verdict {
                (stamp(sheet.left, words))
                div {
                    p { (said(sheet.left, sheet, words)) }
                    @if let Some(found) = &sheet.found {
                        p.before { (words.as_found) ": " (said(found, sheet, words)) }
                    }
                }
            }
        }
    }
}

fn stamp(pass: &Solved, words: &Words) -> Markup {
    let Some((verdict, _)) = headline(&pass.outcome.verdicts) else { return html! {} };
    html! {
        p.stamp.(criteria::class(verdict)) {
            span aria-hidden="true" { (criteria::sign(verdict)) }
            (criteria::word(verdict, words))
        }
    }
}

/// The verdict of a pass in a sentence.
fn said(pass: &Solved, sheet: &Sheet<'_>, words: &Words) -> String {
    let Some((verdict, line)) = headline(&pass.outcome.verdicts) else {
        return words.headline_none.to_owned();
    };
    spoken::sentence(verdict, line, sheet.units, words)
}

fn cautions(words: &Words) -> Markup {
    html! {
        section.cautions aria-labelledby="cautions" {
            div.stripe {}
            div.inner {
                h2 id="cautions" { (words.cautions_title) }
                ol {
                    @for (caution, cites) in &words.cautions {
                        li { (caution) " " span.cite { (bracketed(cites)) } }
                    }
                }
                p.sources {
                    (words.sources) ": "
                    @for (i, (citation, seen)) in words.citations.iter().enumerate() {
                        "[" (i + 1) "] " (citation) (if *seen { "" } else { "†" })
                        (if i + 1 < words.citations.len() { "; " } else { ". " })
                    }
                    (words.citation_marks)
                }
                div.local {
                    h3 { (words.local_title) }
                    (field(words.local_procedure, "", "local-procedure"))
                    (field(words.lock_points, "", "lock-points"))
                    (field(words.locked_by, "", "locked-by"))
                    (field(words.zero_proved_by, "", "zero-proved-by"))
                }
                p.limits { strong { (words.predicts) } " " (words.limits) }
            }
        }
    }
}

fn bracketed(cites: &[usize]) -> String {
    let list: Vec<String> = cites.iter().map(usize::to_string).collect();
    format!("[{}]", list.join(", "))
}

fn figure(picture: &Picture, colours: &mut Colours) -> Markup {
    html! {
        figure {
            div.desk { (PreEscaped(colours.picture(&picture.desk))) }
            div.phone { (PreEscaped(colours.picture(&picture.phone))) }
            div.print { (PreEscaped(colours.picture(&picture.print))) }
            figcaption { (picture.caption) }
        }
    }
}

fn pictures(sheet: &Sheet<'_>, words: &Words, colours: &mut Colours) -> Markup {
    if sheet.pictures.is_empty() {
        return html! {};
    }
    html! {
        section aria-labelledby="pictures" {
            h2 id="pictures" { (words.pictures_title) }
            div.pictures {
                @for picture in &sheet.pictures { (figure(picture, colours)) }
            }
        }
    }
}

fn studies(sheet: &Sheet<'_>, words: &Words, fit: &fit::Fit, colours: &mut Colours) -> Markup {
    if sheet.additions.is_empty() {
        return html! {};
    }
    html! {
        section.studies.no-print[fit.drop_studies] aria-labelledby="studies" {
            h2 id="studies" { (words.studies_title) }
            @for (i, addition) in sheet.additions.iter().enumerate() { (study(addition, i, words, colours)) }
        }
    }
}

fn study(addition: &Addition, index: usize, words: &Words, colours: &mut Colours) -> Markup {
    let id = format!("study-{index}");
    html! {
        div.study {
            h3 id=(id) { bdi { (addition.title) } }
            @if !addition.note.is_empty() { p.small { (addition.note) } }
            @if let Some(picture) = &addition.picture { (figure(picture, colours)) }
            @if !addition.columns.is_empty() {
                (criteria::more_columns(words))
                div.scroll tabindex="0" role="group" aria-labelledby=(id) {
                    table {
                        thead { tr { @for column in &addition.columns { th scope="col" { bdi { (column) } } } } }
                        tbody {
                            @for row in &addition.rows {
                                tr {
                                    @for (i, cell) in row.iter().enumerate() {
                                        @if i == 0 {
                                            th scope="row" { bdi { (cell.text) } }
                                        } @else if let Some(verdict) = cell.verdict {
                                            td.grade.(criteria::class(verdict)).(criteria::ground(verdict)) {
                                                span aria-label=(criteria::word(verdict, words)) role="img" { (criteria::sign(verdict)) }
                                                " " (cell.text)
                                            }
                                        } @else {
                                            td { bdi { (cell.text) } }
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What the model expects to be seen at the check pass.
fn expected(sheet: &Sheet<'_>, words: &Words) -> Vec<String> {
    let outcome = &sheet.left.outcome;
    let mut list = Vec::new();
    for unit in &outcome.units {
        let side = criteria::side(unit.side, words);
        list.push(match unit.chase_delay_s {
            Some(delay) => fill(words.expect_chase, &[side, &numbers::time(delay)]),
            None => fill(words.expect_no_chase, &[side]),
        });
        if let Some(margin) = unit.recovery_margin_s {
            list.push(fill(words.expect_margin, &[side, &numbers::time(margin)]));
        }
    }
    if let Some(overlap) = outcome.overlap.nose_m {
        list.push(fill(words.expect_overlap, &[&numbers::length(overlap, sheet.units)]));
    }
    let tail = outcome.zones.iter().find(|z| z.zone == Zone::Tail);
    if let Some(gap) = tail.and_then(|z| z.longest_gap_m) {
        list.push(fill(words.expect_gap, &[&numbers::length(gap, sheet.units)]));
    }
    list
}

fn check(sheet: &Sheet<'_>, words: &Words) -> Markup {
    html! {
        section aria-labelledby="check" {
            h2 id="check" { (words.check_title) }
            div.check {
                ul {
                    @for (i, item) in words.check_list.iter().enumerate() {
                        li {
                            input.tick type="checkbox" id={ "check-" (i) };
                            label for={ "check-" (i) } { (item) }
                        }
                    }
                }
                div.expect {
                    h3 { (words.expect_title) }
                    ul { @for line in expected(sheet, words) { li { (capital(&line)) } } }
                    (field(words.seen_blank, "", "seen"))
                }
            }
            div.sign {
                (field(words.sign_done, "", "sign-done"))
                (field(&format!("{}, {}", words.sign_name, words.sign_time), "", "sign-done-name"))
                (field(words.sign_checked, "", "sign-checked"))
                (field(&format!("{}, {}", words.sign_name, words.sign_time), "", "sign-checked-name"))
            }
        }
    }
}

fn foot(sheet: &Sheet<'_>, words: &Words) -> Markup {
    let head = &sheet.head;
    let set: Vec<String> = head.set.iter().map(|(path, value)| format!("{path} = {value}")).collect();
    html! {
        footer.foot {
            p {
                (fill(words.computed_by, &[env!("CARGO_PKG_VERSION")])) " "
                @match &head.file_from {
                    Some(from) => { (fill(words.from_files, &[from, &head.file])) },
                    None => { (fill(words.from_file, &[&head.file])) },
                }
                @if !set.is_empty() { " " (fill(words.with_set, &[&set.join("; ")])) }
                @if !head.note.is_empty() { " " (words.note) ": " bdi { (head.note) } }
            }
        }
    }
}
