//! Whether the printed sheet goes on two pages, and what is left out in print when it would not.
//!
//! Heights are in points inside the margins of the smaller of A4 and US letter in each direction. Line breaks are worked out with the widths
//! of the shipped font, widened by what the widest common font takes; row and line heights are those of the style sheet for print.

use super::words::Words;
use super::{Picture, SettingRow, Sheet, criteria};
use crate::drawing::Weight;
use crate::drawing::text_width::text_width;

/// Height of a page: US letter less 8 mm above and below.
const PAGE_PT: f64 = 746.0;
/// Kept free on the second page.
const RESERVE_PT: f64 = 40.0;
/// Width: A4 less 10 mm on both sides.
const WIDTH_PT: f64 = 538.0;
/// Size of the letters.
const SIZE_PT: f64 = 8.3;
/// How much wider than the shipped font the font of a machine may be; what a wider one still takes is held in reserve by the other figures.
const WIDEST: f64 = 1.05;
/// Height of a line of running text.
const LINE_PT: f64 = 10.2;
/// Height of a line in a table.
const CELL_LINE_PT: f64 = 9.9;
/// Padding and rule of a table row.
const ROW_PT: f64 = 2.6;
/// Width of what one side may move by.
const TOLERANCE_PT: f64 = 58.0;
/// Heading with the space over it.
const HEADING_PT: f64 = 21.0;

/// Settings left out in print; all that are left out have not changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum LeftOut {
    /// None.
    Nothing,
    /// Those that nobody sets in the field.
    NotInField,
    /// All.
    Unchanged,
}

impl LeftOut {
    /// Whether a row is printed.
    pub fn prints(self, row: &SettingRow) -> bool {
        match self {
            LeftOut::Nothing => true,
            LeftOut::NotInField => row.in_field || row.changed(),
            LeftOut::Unchanged => row.changed(),
        }
    }
}

/// What print does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fit {
    /// Settings left out.
    pub left_out: LeftOut,
    /// Study results stay on the screen.
    pub drop_studies: bool,
}

/// Lines that a text takes in a column of some width.
fn lines(text: &str, width_pt: f64) -> f64 {
    (text_width(text, SIZE_PT, Weight::Regular) * WIDEST / width_pt).ceil().max(1.0)
}

fn picture_pt(picture: &Picture) -> f64 {
    // All pictures of a row are as high as this one: their widths are shared out so.
    let width = picture.print.width * (WIDTH_PT - 9.0) / 710.0;
    picture.print.height * width / picture.print.width + lines(&picture.caption, width) * LINE_PT + 2.0
}

fn first_page(sheet: &Sheet<'_>, words: &Words) -> f64 {
    let head = &sheet.head;
    let title = (text_width(&head.title, 14.0, Weight::Bold) * WIDEST / (0.52 * WIDTH_PT)).ceil().max(1.0);
    let field = |label: &str, text: &str| LINE_PT + lines(label, 118.0).max(lines(text, 118.0)) * LINE_PT;
    let fields = field(words.site, &head.site).max(field(words.machine, &head.machine))
        + field(words.date, &head.date).max(field(words.who, &head.who));
    let top = (26.0 + title * 16.5).max(fields + 4.0) + 6.0;
    let verdict = 36.0;
    let text: f64 = words.cautions.iter().map(|(t, cites)| lines(&format!("{t} {cites:?}"), 236.0)).sum();
    let sources: usize = words.citations.iter().map(|(c, _)| c.chars().count() + 7).sum();
    let sources = (sources + words.citation_marks.chars().count() + 9) as f64 * 4.05 * WIDEST / 500.0;
    let labels = [words.local_procedure, words.lock_points, words.locked_by, words.zero_proved_by];
    let local = 17.0 + labels.iter().map(|l| lines(l, 106.0)).fold(1.0, f64::max) * LINE_PT;
    let limits = lines(&format!("{} {}", words.predicts, words.limits), 500.0) * LINE_PT;
    let cautions =
        32.0 + (text / 2.0 + 0.5).ceil() * (LINE_PT + 0.6) + sources.ceil() * 10.0 + local + limits;
    let pictures = if sheet.pictures.is_empty() {
        0.0
    } else {
        HEADING_PT + sheet.pictures.iter().map(picture_pt).fold(0.0, f64::max)
    };
    let criteria: f64 =
        criteria::row_lines(sheet, words, lines).iter().map(|n| ROW_PT + n * CELL_LINE_PT).sum();
    top + verdict + cautions + pictures + HEADING_PT + 2.0 * (ROW_PT + CELL_LINE_PT) + criteria
}

fn settings_pt(sheet: &Sheet<'_>, words: &Words, left_out: LeftOut) -> f64 {
    let row = |r: &SettingRow| {
        let label = lines(&r.label, 0.235 * WIDTH_PT);
        let apart = r.tolerances_apart().map(|text| lines(&text, TOLERANCE_PT)).fold(1.0, f64::max);
        ROW_PT + CELL_LINE_PT * label.max(apart).max(if r.is_split() { 2.0 } else { 1.0 })
    };
    let rows: f64 = sheet.settings.iter().filter(|r| left_out.prints(r)).map(row).sum();
    // The criteria that the letters stand for follow the note.
    let letters = "a recovery margin, left; b recovery margin, right; c gap on the tail";
    let note = lines(&format!("{} {letters}", words.tolerance_note), WIDTH_PT)
        + f64::from(u8::from(left_out != LeftOut::Nothing))
        + sheet.uneven.as_deref().map_or(0.0, |uneven| lines(uneven, WIDTH_PT));
    HEADING_PT + 2.0 * (ROW_PT + CELL_LINE_PT) + rows + 3.0 + note * 10.0
}

fn second_page(sheet: &Sheet<'_>, words: &Words, left_out: LeftOut) -> f64 {
    let width = WIDTH_PT - 19.0;
    let step = |s: &super::Step| {
        let head = format!("{}{}{}", s.what, s.how, words.group_standard.to_uppercase());
        let rest = format!("{}{}{}{}", words.done_when, s.done, words.lock_again, s.lock);
        6.2 + LINE_PT * (lines(&head, width) + lines(&rest, width))
    };
    let steps: f64 = sheet.steps.iter().map(step).sum();
    let nothing = if sheet.found.is_none() { lines(words.no_from, WIDTH_PT) } else { 1.0 };
    let pulls = 3.0 + (2.0 * super::steps::pull_lines(sheet, words).len() as f64 + 1.0) * LINE_PT;
    let list: f64 = words.check_list.iter().map(|t| lines(t, 275.0)).sum();
    let expected = 2.0 * sheet.left.setup.units.len() as f64 * lines(words.expect_chase, 215.0) + 3.0;
    let check = HEADING_PT + list.max(expected + 1.5) * (LINE_PT + 0.9) + 30.0;
    let foot = 6.0 + (1.0 + lines(&sheet.head.note, WIDTH_PT)) * LINE_PT;
    settings_pt(sheet, words, left_out) + HEADING_PT + steps.max(nothing * LINE_PT) + pulls + check + foot
}

fn studies(sheet: &Sheet<'_>) -> f64 {
    let row = ROW_PT + CELL_LINE_PT;
    let of = |a: &super::Addition| {
        40.0 + row * (a.rows.len() + 1) as f64 + a.picture.as_ref().map_or(0.0, picture_pt)
    };
    sheet.additions.iter().map(of).sum()
}

pub(super) fn fit(sheet: &Sheet<'_>, words: &Words) -> Fit {
    // What does not fit on the first page goes over to the second.
    let over = (first_page(sheet, words) - PAGE_PT).max(0.0);
    let holds = |left_out: LeftOut, extra: f64| {
        over + second_page(sheet, words, left_out) + extra <= PAGE_PT - RESERVE_PT
    };
    let left_out = [LeftOut::Nothing, LeftOut::NotInField]
        .into_iter()
        .find(|left_out| holds(*left_out, 0.0))
        .unwrap_or(LeftOut::Unchanged);
    let extra = studies(sheet);
    Fit { left_out, drop_studies: extra > 0.0 && !holds(left_out, extra) }
}
