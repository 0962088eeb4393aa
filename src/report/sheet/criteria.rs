//! The table of limits: what each set-up does, side by side.

use super::words::{Words, capital, fill};
use super::{Sheet, numbers};
use crate::arm::Side;
use crate::coverage::{MeasureName, Verdict, VerdictLine};
use crate::drawing::grade::Grade;
use crate::units::UnitSystem;
use maud::{Markup, html};

/// The grade that colours and signs go by.
fn grade(verdict: Verdict) -> Grade {
    match verdict {
        Verdict::Pass => Grade::Pass,
        Verdict::Marginal => Grade::Marginal,
        Verdict::Fail => Grade::Fail,
    }
}

/// Class of the style sheet.
pub(super) fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "is-pass",
        Verdict::Marginal => "is-marginal",
        Verdict::Fail => "is-fail",
    }
}

/// Class of a cell that is grounded in the grade's colour.
pub(super) fn ground(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "on-pass",
        Verdict::Marginal => "on-marginal",
        Verdict::Fail => "on-fail",
    }
}

/// The sign beside the word.
pub(super) fn sign(verdict: Verdict) -> &'static str {
    grade(verdict).sign()
}

/// The word.
pub(super) fn word(verdict: Verdict, words: &Words) -> &'static str {
    match verdict {
        Verdict::Pass => words.pass,
        Verdict::Marginal => words.marginal,
        Verdict::Fail => words.fail,
    }
}

/// A side in the language of the sheet.
pub(super) fn side(side: Side, words: &Words) -> &'static str {
    match side {
        Side::Left => words.left,
        Side::Right => words.right,
    }
}

/// What a line is about without its side: «mirror» of «left mirror», «rear plate» of «rear plate (left brush)».
fn subject(line: &VerdictLine) -> Option<&str> {
    let about = line.about.as_deref()?;
    let Some(side) = line.side else { return Some(about) };
    let name = side.name();
    if about == name {
        return None;
    }
    let about = about.strip_suffix(&format!(" ({name} brush)")).unwrap_or(about);
    Some(about.strip_prefix(&format!("{name} ")).unwrap_or(about))
}

/// The criterion without its side, in the language of the sheet.
fn bare_label(line: &VerdictLine, words: &Words) -> String {
    let criterion = words.term(line.criterion.row().label);
    match subject(line) {
        Some(subject) => format!("{criterion} {}", words.term(subject)),
        None => criterion.to_owned(),
    }
}

/// The criterion with its side.
pub(super) fn label(line: &VerdictLine, words: &Words) -> String {
    let bare = bare_label(line, words);
    match line.side {
        Some(of) => format!("{bare}, {}", side(of, words)),
        None => bare,
    }
}

/// The limit with its sense: «at most 12.0 in».
pub(super) fn limit(line: &VerdictLine, units: UnitSystem, words: &Words) -> String {
    let template = if line.criterion.at_least() { words.at_least } else { words.at_most };
    fill(template, &[&numbers::criterion(line.criterion, line.limit, units)])
}

/// Lines of one row.
struct Row<'a> {
    label: String,
    limit_line: &'a VerdictLine,
    whole: Option<&'a VerdictLine>,
    sides: [Option<&'a VerdictLine>; 2],
}

fn rows<'a>(lines: &'a [VerdictLine], words: &Words) -> Vec<Row<'a>> {
    let mut rows: Vec<Row<'a>> = Vec::new();
    for line in lines {
        let label = bare_label(line, words);
        let place = rows.iter().position(|r| r.label == label && r.limit_line.limit == line.limit);
        let row = match place {
            Some(i) => &mut rows[i],
            None => {
                rows.push(Row { label, limit_line: line, whole: None, sides: [None, None] });
                let last = rows.len() - 1;
                &mut rows[last]
            }
        };
        match line.side {
            Some(side) => row.sides[side.index()] = Some(line),
            None => row.whole = Some(line),
        }
    }
    rows
}

fn matching<'a>(line: &VerdictLine, lines: &'a [VerdictLine]) -> Option<&'a VerdictLine> {
    lines.iter().find(|l| l.criterion == line.criterion && l.about == line.about && l.side == line.side)
}

/// A number with its grade, in a cell of `span` columns.
fn cell(line: Option<&VerdictLine>, span: usize, sheet: &Sheet<'_>, words: &Words) -> Markup {
    let Some(line) = line else { return html! { td colspan=[(span > 1).then_some(span)] {} } };
    let value = numbers::value(line, sheet.units).unwrap_or_else(|| words.no_value.to_owned());
    html! {
        td colspan=[(span > 1).then_some(span)] {
            span.value { (value) } " "
            span.grade.(class(line.verdict)) { span aria-hidden="true" { (sign(line.verdict)) " " } (word(line.verdict, words)) }
        }
    }
}

/// Lines of each row in print, given how many lines a text takes in a width, pt.
pub(super) fn row_lines(sheet: &Sheet<'_>, words: &Words, lines: impl Fn(&str, f64) -> f64) -> Vec<f64> {
    let width = if sheet.found.is_some() { 80.0 } else { 130.0 };
    let of = |line: &VerdictLine| {
        let value = numbers::value(line, sheet.units).unwrap_or_default();
        lines(&format!("{value} {} {}", sign(line.verdict), word(line.verdict, words)), width)
    };
    rows(&sheet.left.outcome.verdicts, words)
        .iter()
        .map(|row| {
            let found = sheet
                .found
                .iter()
                .flat_map(|f| row.sides.iter().flatten().filter_map(|l| matching(l, &f.outcome.verdicts)));
            let cells = row.sides.iter().flatten().copied().chain(found).map(of).fold(1.0, f64::max);
            let limit = lines(&limit(row.limit_line, sheet.units, words), 88.0);
            cells.max(limit).max(lines(&row.label, 98.0))
        })
        .collect()
}

pub(super) fn table(sheet: &Sheet<'_>, words: &Words) -> Markup {
    let rows = rows(&sheet.left.outcome.verdicts, words);
    if rows.is_empty() {
        return html! {};
    }
    let found = sheet.found.as_ref().map(|f| &f.outcome.verdicts);
    html! {
        section aria-labelledby="criteria" {
            h2 id="criteria" { (words.criteria_title) }
            (more_columns(words))
            div.scroll tabindex="0" role="group" aria-labelledby="criteria" {
                table {
                    thead {
                        tr {
                            th scope="col" rowspan="2" { (words.criterion) }
                            th scope="col" rowspan="2" { (words.limit) }
                            @if found.is_some() { th scope="colgroup" colspan="2" { (words.as_found) } }
                            th scope="colgroup" colspan="2" { (words.as_left) }
                        }
                        tr {
                            @for _ in 0..(1 + usize::from(found.is_some())) {
                                th scope="col" { (capital(words.left)) }
                                th scope="col" { (capital(words.right)) }
                            }
                        }
                    }
                    tbody {
                        @for row in &rows {
                            tr {
                                th scope="row" { (capital(&row.label)) }
                                td {
                                    span.value { (limit(row.limit_line, sheet.units, words)) }
                                    (other_limit(row.limit_line, sheet))
                                }
                                @if let Some(found) = found { (cells(row, Some(found), sheet, words)) }
                                (cells(row, None, sheet, words))
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The line over a table that is wider than a phone, which says so there.
pub(super) fn more_columns(words: &Words) -> Markup {
    html! { p.more-columns { (words.more_columns) } }
}

/// Both cells of a set-up: of the set-up left, or of the one in `found`.
fn cells(row: &Row<'_>, found: Option<&Vec<VerdictLine>>, sheet: &Sheet<'_>, words: &Words) -> Markup {
    let of = |line: Option<&VerdictLine>| -> Option<VerdictLine> {
        let line = line?;
        match found {
            Some(found) => matching(line, found).cloned(),
            None => Some(line.clone()),
        }
    };
    html! {
        @if row.whole.is_some() {
            (cell(of(row.whole).as_ref(), 2, sheet, words))
        } @else {
            @for line in row.sides { (cell(of(line).as_ref(), 1, sheet, words)) }
        }
    }
}

/// The limit in the other unit system, when that says something new.
fn other_limit(line: &VerdictLine, sheet: &Sheet<'_>) -> Markup {
    let said = |units| numbers::criterion(line.criterion, line.limit, units);
    let other = said(numbers::other(sheet.units));
    if other == said(sheet.units) || line.criterion == MeasureName::HubClearance {
        return html! {};
    }
    html! { " " span.other { (other) } }
}
