//! A sweep over two axes as a heat map for the sheet: the number that decides most often, in every cell with its sign and hatch, and a heavy line
//! where one verdict meets another. The table beside it says the same without colour or picture.

use super::Picture;
use super::criteria;
use super::record::{Record, key_label, number, text, verdict};
use super::words::{Words, fill};
use crate::coverage::Verdict;
use crate::coverage::measure::Measure;
use crate::drawing::chart::{HeatAxis, HeatCell, HeatMap, HeatWords, Sheet};
use crate::report::measures;
use crate::report::sweep_chart::{grade, heat_decimals};
use crate::report::words::Words as Units;
use crate::units::UnitSystem;
use crate::units::column_parts;

/// Size of the letters, page units.
const TEXT: f64 = 11.3;
/// Widths: phone, print, desk.
const WIDTHS: [f64; 3] = [352.0, 500.0, 640.0];
/// Height of a row of cells and of all around them.
const ROW: f64 = 26.0;
const AROUND: f64 = 128.0;

/// An axis: its column, and its values in the order of the rows.
pub(super) type AxisOfRows<'a> = (&'a str, &'a [String]);

/// The map; none when the rows hold no number that a map could show.
pub(super) fn heat_map(
    rows: &[Record],
    across: AxisOfRows<'_>,
    down: AxisOfRows<'_>,
    words: &Words,
    units: UnitSystem,
) -> Option<Picture> {
    let measure = deciding_most(rows)?;
    let shown = Units::new(units);
    let value = |row: &Record| number(row, &measure.column()).map(|si| measures::number(shown, measure, si));
    let cell = |x: &String, y: &String| {
        let row = rows.iter().find(|r| text(r, across.0) == *x && text(r, down.0) == *y)?;
        let on_edge = number(row, &measure.edge_column()).is_some();
        Some(HeatCell { value: value(row)?, grade: verdict(&text(row, "verdict")).map(grade), on_edge })
    };
    let cells: Vec<Vec<Option<HeatCell>>> =
        down.1.iter().map(|y| across.1.iter().map(|x| cell(x, y)).collect()).collect();
    let largest = cells.iter().flatten().flatten().map(|c| c.value.abs()).fold(0.0, f64::max);
    let name = key_label(&measure.key(), words);
    let caption = fill(words.study_map, &[&name, &axis_name(across.0), &axis_name(down.0)]);
    let [phone, print, desk] = WIDTHS.map(|width| {
        let map = HeatMap {
            sheet: Sheet::new("", width, AROUND + ROW * down.1.len() as f64).with_text_size(TEXT),
            words: HeatWords {
                grades: [Verdict::Pass, Verdict::Marginal, Verdict::Fail]
                    .map(|verdict| criteria::word(verdict, words).to_owned()),
                boundary: words.study_boundary.to_owned(),
                nothing: words.study_nothing.to_owned(),
                edge: words.study_edge.to_owned(),
            },
            x: HeatAxis { label: axis_name(across.0), values: across.1.to_vec() },
            y: HeatAxis { label: axis_name(down.0), values: down.1.to_vec() },
            cells: cells.clone(),
            value_label: format!("{name}, {}", measures::unit(shown, measure)),
            decimals: heat_decimals(largest),
            range: None,
        };
        let mut list = map.draw().list;
        list.title.clone_from(&caption);
        list.items.iter_mut().for_each(|item| {
            item.tip = None;
            item.key = None;
        });
        list
    });
    Some(Picture { phone, print, desk, caption })
}

/// The measure whose numbers the rows hold that decides most often where a limit is missed; where none is, where one is near; else anywhere. Of
/// equals the first met.
fn deciding_most(rows: &[Record]) -> Option<Measure> {
    let held = |measure: &Measure| rows.iter().any(|row| number(row, &measure.column()).is_some());
    let most = |among: &dyn Fn(&Record) -> bool| {
        let mut counts: Vec<(Measure, usize)> = Vec::new();
        let deciding =
            rows.iter().filter(|row| among(row)).map(|row| Measure::from_key(&text(row, "deciding")));
        for measure in deciding.flatten().filter(|measure| held(measure)) {
            match counts.iter_mut().find(|(known, _)| *known == measure) {
                Some((_, count)) => *count += 1,
                None => counts.push((measure, 1)),
            }
        }
        let most = counts.iter().map(|(_, count)| *count).max()?;
        counts.into_iter().find(|(_, count)| *count == most).map(|(measure, _)| measure)
    };
    let is = |wanted: Verdict| move |row: &Record| verdict(&text(row, "verdict")) == Some(wanted);
    most(&is(Verdict::Fail)).or_else(|| most(&is(Verdict::Marginal))).or_else(|| most(&|_| true))
}

/// «both.bearings.lower_offset_in» as «both bearings lower offset, in».
pub(super) fn axis_name(column: &str) -> String {
    let (name, unit) = column_parts(column);
    let name = name.strip_prefix("line.").unwrap_or(name).replace(['_', '.'], " ");
    unit.map_or_else(|| name.clone(), |unit| format!("{name}, {unit}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sheet::words::Language;

    fn rows() -> Vec<Record> {
        let mut rows = Vec::new();
        for (speed, psi, gap, verdict) in
            [(60, 5, 0.1, "pass"), (60, 7, 0.05, "pass"), (140, 5, 0.5, "fail"), (140, 7, 0.4, "fail")]
        {
            let row = serde_json::json!({
                "line.throughput_veh_per_h": speed, "both.air.cap_psi": psi, "verdict": verdict,
                "deciding": if speed == 60 { "recovery_margin_left" } else { "tail_gap" }, "tail_gap_m": gap,
                "recovery_margin_left_s": 2.0,
            });
            rows.push(row.as_object().unwrap().clone());
        }
        rows
    }

    #[test]
    fn verif_the_map_has_every_value_a_sign_and_the_boundary() {
        let (speeds, air) = (["60".to_owned(), "140".to_owned()], ["5".to_owned(), "7".to_owned()]);
        for language in Language::ALL {
            let words = language.words();
            let (fail, boundary) = (format!("✗ {}", words.fail), words.study_boundary);
            let map = heat_map(
                &rows(),
                ("both.air.cap_psi", &air),
                ("line.throughput_veh_per_h", &speeds),
                words,
                UnitSystem::Us,
            )
            .unwrap();
            for list in [&map.phone, &map.print, &map.desk] {
                let svg = crate::drawing::svg::svg(list, crate::drawing::Theme::Light);
                // 0.1 m, 0.05 m, 0.5 m and 0.4 m in inches, with their signs.
                for said in [
                    "3.9 ✓",
                    "2.0 ✓",
                    "19.7 ✗",
                    "15.7 ✗",
                    &fail,
                    boundary,
                    "both air cap, psi",
                    "throughput, veh/h",
                ] {
                    assert!(svg.contains(said), "{said} in {svg}");
                }
            }
            assert!(map.caption.contains("throughput, veh/h"), "{}", map.caption);
        }
    }

    #[test]
    fn verif_no_numbers_make_no_map() {
        let mut rows = rows();
        for row in &mut rows {
            row.retain(|column, _| !column.ends_with("_m") && !column.ends_with("_s"));
        }
        let (speeds, air) = (["60".to_owned(), "140".to_owned()], ["5".to_owned(), "7".to_owned()]);
        let words = Language::English.words();
        let across = ("both.air.cap_psi", &air[..]);
        let down = ("line.throughput_veh_per_h", &speeds[..]);
        assert!(heat_map(&rows, across, down, words, UnitSystem::Us).is_none());
    }
}
