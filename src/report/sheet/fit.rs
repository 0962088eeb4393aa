//! Whether the printed sheet goes on two pages, and what is left out when it would not.
//!
//! Heights are in points, for the smaller of A4 and US letter in each direction, and were measured on printed sheets; they err on the
//! large side.

use super::words::Words;
use super::{Picture, Sheet, criteria};

/// Height of a page inside its margins, pt: US letter less 9 mm above and below.
const PAGE_PT: f64 = 741.0;
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
    let width = (WIDTH_PT - 12.0) / 2.0;
    picture.narrow.height * width / picture.narrow.width + lines(&picture.caption, width) * LINE_PT + 4.0
}

fn first_page(sheet: &Sheet<'_>, words: &Words) -> f64 {
    let head = 30.0 + lines(&sheet.head.title, 0.5 * WIDTH_PT * 8.4 / 14.0) * 17.0 + 44.0;
    let text: f64 = words.cautions.iter().map(|(t, _)| lines(t, 245.0)).sum::<f64>() / 2.0;
    let sources: f64 = words.citations.iter().map(|(c, _)| c.chars().count() as f64 + 34.0).sum::<f64>() * LETTER_PT / 500.0;
    let cautions = 24.0 + (text + 0.5).ceil() * LINE_PT + sources.ceil() * 10.0 + 30.0 + 2.0 * LINE_PT;
    let pictures = sheet.pictures.iter().map(picture_pt).fold(0.0, f64::max) + 22.0;
    let criteria = 44.0 + criteria::row_count(sheet, words) as f64 * 12.4;
    head + cautions + pictures + criteria
}

fn second_page(sheet: &Sheet<'_>, only_changed: bool) -> f64 {
    let rows = sheet.settings.iter().filter(|r| !only_changed || r.changed());
    let mut groups: Vec<_> = rows.clone().map(|r| r.group).collect();
    groups.dedup();
    let settings = 60.0 + groups.len() as f64 * 14.0 + rows.map(|r| if r.is_split() { 22.6 } else { 12.6 }).sum::<f64>();
    let width = WIDTH_PT - 20.0;
    let steps: f64 = sheet
        .steps
        .iter()
        .map(|s| {
            let how = if s.how.is_empty() { 0.0 } else { lines(&s.how, width) };
            6.0 + LINE_PT * (lines(&s.what, width - 90.0) + how + lines(&s.done, width - 60.0) + lines(&s.lock, width - 60.0))
        })
        .sum();
    let pulls = sheet.pulls.len() as f64 * 2.0 * LINE_PT + LINE_PT;
    settings + 22.0 + steps.max(2.0 * LINE_PT) + pulls + 20.0 + 10.0 * LINE_PT + 32.0 + 34.0 + lines(&sheet.head.note, WIDTH_PT) * LINE_PT
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
