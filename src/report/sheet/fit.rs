//! Whether the printed sheet goes on two pages, and what is left out when it would not.
//!
//! Heights are in points, for the smaller of A4 and US letter in each direction, and were measured on printed sheets; they err on the
//! large side.

use super::words::Words;
use super::{Picture, Sheet, criteria};

/// Height of a page inside its margins, pt: US letter less 8 mm above and below.
const PAGE_PT: f64 = 746.0;
/// Width inside the margins, pt: A4 less 10 mm on both sides.
const WIDTH_PT: f64 = 538.0;
/// Mean width of a letter at the printed size, pt.
const LETTER_PT: f64 = 4.3;
/// Height of a line of text, pt.
const LINE_PT: f64 = 10.7;

/// What print does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fit {
    /// The second page starts with the settings.
    pub two_pages: bool,
    /// Only changed settings are printed.
    pub drop_unchanged: bool,
    /// Study results stay on the screen.
    pub drop_studies: bool,
}

fn lines(text: &str, width_pt: f64) -> f64 {
    (text.chars().count() as f64 * LETTER_PT / width_pt).ceil().max(1.0)
}

fn picture_pt(picture: &Picture) -> f64 {
    // All pictures of a row are as high as this one: their widths are shared out so.
    let width = picture.print.width * (WIDTH_PT - 9.0) / 710.0;
    picture.print.height * width / picture.print.width + lines(&picture.caption, width) * LINE_PT + 4.0
}

fn first_page(sheet: &Sheet<'_>, words: &Words) -> f64 {
    let head = 30.0 + lines(&sheet.head.title, 0.5 * WIDTH_PT * 8.4 / 14.0) * 17.0 + 44.0;
    let text: f64 = words.cautions.iter().map(|(t, _)| lines(t, 245.0)).sum::<f64>() / 2.0;
    let sources: f64 = words.citations.iter().map(|(c, _)| c.chars().count() as f64 + 34.0).sum::<f64>() * LETTER_PT / 500.0;
    let cautions = 24.0 + (text + 0.5).ceil() * LINE_PT + sources.ceil() * 10.0 + 30.0 + 2.0 * LINE_PT;
    let pictures = sheet.pictures.iter().map(picture_pt).fold(0.0, f64::max) + 22.0;
    let criteria = 44.0 + criteria::row_count(sheet, words) as f64 * 12.6;
    head + cautions + pictures + criteria
}

fn second_page(sheet: &Sheet<'_>, only_changed: bool) -> f64 {
    let rows = sheet.settings.iter().filter(|r| !only_changed || r.changed());
    let row = |r: &super::SettingRow| {
        let label = lines(&r.label, 0.225 * WIDTH_PT);
        2.6 + LINE_PT * label.max(if r.is_split() { 2.0 } else { 1.0 })
    };
    let note = 3.0 + f64::from(u8::from(only_changed));
    let settings = 44.0 + rows.map(row).sum::<f64>() + note * LINE_PT;
    let width = WIDTH_PT - 20.0;
    let steps: f64 = sheet
        .steps
        .iter()
        .map(|s| {
            let head = format!("{}{}", s.what, s.how).chars().count() as f64 + 28.0;
            let rest = format!("{}{}", s.done, s.lock).chars().count() as f64 + 24.0;
            6.0 + LINE_PT * ((head * LETTER_PT / width).ceil() + (rest * LETTER_PT / width).ceil())
        })
        .sum();
    let pulls = 5.0 + (2.0 * sheet.pulls.len() as f64 + 1.0) * LINE_PT;
    let check = 22.0 + 9.0 * LINE_PT + 30.0;
    let foot = 8.0 + (1.0 + lines(&sheet.head.note, WIDTH_PT)) * LINE_PT;
    settings + 22.0 + steps.max(2.0 * LINE_PT) + pulls + check + foot
}

fn studies(sheet: &Sheet<'_>) -> f64 {
    let of = |a: &super::Addition| 40.0 + 12.6 * (a.rows.len() + 1) as f64 + a.picture.as_ref().map_or(0.0, picture_pt);
    sheet.additions.iter().map(of).sum()
}

pub(super) fn fit(sheet: &Sheet<'_>, words: &Words) -> Fit {
    let first = first_page(sheet, words);
    let extra = studies(sheet);
    let holds = |second: f64| first <= PAGE_PT && second <= PAGE_PT || first + second <= 1.94 * PAGE_PT;
    let drop_unchanged = !holds(second_page(sheet, false));
    let second = second_page(sheet, drop_unchanged);
    let drop_studies = extra > 0.0 && !holds(second + extra);
    let second = if drop_studies { second } else { second + extra };
    Fit { two_pages: first <= PAGE_PT && second <= PAGE_PT, drop_unchanged, drop_studies }
}
