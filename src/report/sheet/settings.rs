//! The table of every setting: as found, as left, how far it may move, and a column to write in.

use super::fit::{Fit, LeftOut};
use super::row::{Group, Reach, SettingRow, SideCell, Value};
use super::words::{Words, capital, fill};
use super::{Sheet, criteria};
use crate::arm::Side;
use maud::{Markup, html};

/// Letters for the criteria that end a tolerance.
#[derive(Default)]
struct Notes(Vec<String>);

impl Notes {
    fn letter(&mut self, criterion: &str) -> char {
        let index = self.0.iter().position(|c| c == criterion).unwrap_or_else(|| {
            self.0.push(criterion.to_owned());
            self.0.len() - 1
        });
        char::from(b'a' + (index % 26) as u8)
    }
}

fn value(value: Option<&Value>, now: bool) -> Markup {
    html! {
        @if let Some(value) = value {
            span.value.now[now].long[value.written.chars().count() > 16] { bdi { (value.written) } }
            @if !value.other.is_empty() { " " span.other { (value.other) } }
        }
    }
}

fn two(row: &SettingRow, shown: impl Fn(&SideCell) -> Option<Value>, now: bool) -> Markup {
    html! {
        @match row.common(&shown) {
            Some(both) => { td colspan="2" { (value(both.as_ref(), now)) } },
            None => {
                @for side in &row.sides {
                    td { (value(side.as_ref().and_then(&shown).as_ref(), now && side.as_ref().is_some_and(|s| s.changed))) }
                }
            },
        }
    }
}

fn reach(reach: &Reach, sign: &str, notes: &mut Notes) -> Markup {
    html! {
        span.value {
            (sign) (reach.amount)
            @if let Some(turns) = &reach.turns { i.note { (notes.letter(turns)) } }
        }
    }
}

fn tolerance(cell: &SideCell, words: &Words, notes: &mut Notes) -> Markup {
    html! {
        @match (&cell.down, &cell.up) {
            (None, None) => {},
            (down, up) => {
                @if [down, up].iter().all(|r| r.as_ref().is_some_and(|r| r.turns.is_none() && !r.is_nothing())) {
                    (words.free)
                } @else {
                    @if let Some(down) = down { (reach(down, "−", notes)) " " }
                    @if let Some(up) = up { (reach(up, "+", notes)) }
                    // The unit of the value itself need not be said again.
                    @if !cell.unit.is_empty() && !cell.left.written.ends_with(&cell.unit) { " " (cell.unit) }
                }
            },
        }
    }
}

fn tolerances(row: &SettingRow, words: &Words, notes: &mut Notes) -> Markup {
    let common = row.common(|c| (c.down.clone(), c.up.clone(), c.unit.clone()));
    html! {
        @match (common, row.whole.as_ref().or(row.sides[0].as_ref())) {
            (Some(_), Some(cell)) => { td colspan="2" { (tolerance(cell, words, notes)) } },
            _ => {
                @for side in &row.sides { td { @if let Some(cell) = side { (tolerance(cell, words, notes)) } } }
            },
        }
    }
}

pub(super) fn table(sheet: &Sheet<'_>, words: &Words, fit: &Fit) -> Markup {
    let known = sheet.found.is_some();
    let mut notes = Notes::default();
    let mut groups: Vec<Group> = sheet.settings.iter().map(|r| r.group).collect();
    groups.sort_unstable();
    groups.dedup();
    let left_out = sheet.settings.iter().filter(|r| !fit.left_out.prints(r)).count();
    let bodies: Vec<Markup> =
        groups.iter().map(|group| body(sheet, *group, words, fit, &mut notes)).collect();
    html! {
        section.whole aria-labelledby="settings" {
            h2 id="settings" { (if known { words.settings_title } else { words.settings_title_left }) }
            (criteria::more_columns(words))
            div.scroll tabindex="0" role="group" aria-labelledby="settings" {
                table.settings.lean[!known] {
                    colgroup {
                        col.group;
                        col.label;
                        @for _ in 0..(2 + 2 * usize::from(known)) { col.value; }
                        @for class in ["move", "move", "write", "write"] { col.(class); }
                    }
                    thead {
                        tr {
                            th scope="col" rowspan="2" colspan="2" { (words.setting) }
                            @if known { th scope="colgroup" colspan="2" { (words.as_found) } }
                            th scope="colgroup" colspan="2" { (words.as_left) }
                            th scope="colgroup" colspan="2" { (words.may_move) }
                            th scope="colgroup" colspan="2" { (words.measured) }
                        }
                        tr {
                            @for _ in 0..(3 + usize::from(known)) {
                                th scope="col" { (capital(criteria::side(Side::Left, words))) }
                                th scope="col" { (capital(criteria::side(Side::Right, words))) }
                            }
                        }
                    }
                    @for body in &bodies { (body) }
                }
            }
            p.tables-note {
                (words.tolerance_note)
                @for (i, note) in notes.0.iter().enumerate() {
                    " " i.note { (char::from(b'a' + (i % 26) as u8)) } " " (note) (if i + 1 < notes.0.len() { ";" } else { "." })
                }
            }
            @if let Some(uneven) = &sheet.uneven { p.tables-note { (uneven) } }
            @if fit.left_out != LeftOut::Nothing && left_out > 0 {
                p.tables-note.only-print { (fill(words.not_printed, &[&left_out.to_string()])) }
            }
        }
    }
}

fn body(sheet: &Sheet<'_>, group: Group, words: &Words, fit: &Fit, notes: &mut Notes) -> Markup {
    let mut rows: Vec<&SettingRow> = sheet.settings.iter().filter(|r| r.group == group).collect();
    // What is printed stands first: the name of the group goes with its first row.
    rows.sort_by_key(|r| !fit.left_out.prints(r));
    let none_printed = !rows.iter().any(|r| fit.left_out.prints(r));
    html! {
        tbody.no-print[none_printed] {
            @for (i, row) in rows.iter().enumerate() {
                tr.changed[row.changed()].no-print[!fit.left_out.prints(row)] {
                    @if i == 0 { th.group scope="rowgroup" rowspan=(rows.len()) { (group.name(words)) } }
                    th scope="row" { (capital(&row.label)) }
                    @if sheet.found.is_some() { (two(row, |c| c.found.clone(), false)) }
                    (two(row, |c| Some(c.left.clone()), row.changed()))
                    (tolerances(row, words, notes))
                    @if row.whole.is_some() {
                        td.write colspan="2" {}
                    } @else {
                        @for side in &row.sides { td.write { @if side.is_none() { "–" } } }
                    }
                }
            }
        }
    }
}
