//! Checks of line, train, fleet shares, criteria, coverage and numerics.

use super::{At, Checker};
use crate::arm::Side;
use crate::coverage::MeasureName;
use crate::scenario::file::{MayWord, ScenarioFile, TrainFields};
use crate::scenario::limits::{self, Limits};
use crate::scenario::part::Value;
use crate::scenario::written::SCHEMA;
use crate::units::{Dimension, ForceDim, FractionDim};

/// What the marginal share of the criteria may be.
static SHARE: Limits = Limits::new(Some(FractionDim::INFO), ("0 %", "100 %"));
/// What a limit of the force on a feature may be.
static FEATURE_FORCE: Limits = Limits::new(Some(ForceDim::INFO), ("0.1 lbf", "2000 lbf"));

/// The longest train.
const LONGEST_TRAIN: usize = 40;
/// The longest text shown to people.
const LONGEST_TEXT: usize = 4000;

/// Version of a file.
pub(in crate::scenario) fn schema(c: &mut Checker<'_>, at: At<'_>, schema: u32) {
    if schema != SCHEMA {
        c.sense(
            at,
            "this version of the file format is not known",
            schema.to_string(),
            SCHEMA.to_string(),
            "write schema: 1, or use the program that this file was written for",
        );
    }
}

/// Ranges of everything that is neither machine, set-up nor vehicle.
pub(in crate::scenario) fn ranges(c: &mut Checker<'_>, file: &ScenarioFile) {
    let root = At::root(0);
    schema(c, root.of("schema"), file.schema);
    let sheet = root.of("sheet");
    let texts = [
        (root.of("title"), &file.title),
        (root.of("note"), &file.note),
        (sheet.of("site"), &file.sheet.site),
        (sheet.of("machine"), &file.sheet.machine),
        (sheet.of("technician"), &file.sheet.technician),
    ];
    for (at, text) in texts {
        text_length(c, at, text);
    }
    line(c, root.of("line"), file);
    train(c, file);
    criteria(c, root.of("criteria"), file);
    may_move(c, root.of("recommend").of("may"), file);
    file.coverage.ranges(c, root.of("coverage"));
    file.numerics.ranges(c, root.of("numerics"));
}

fn text_length(c: &mut Checker<'_>, at: At<'_>, text: &str) {
    let count = text.chars().count();
    if count > LONGEST_TEXT {
        c.sense(
            at,
            "the text is too long",
            format!("{count} characters"),
            format!("up to {LONGEST_TEXT}"),
            "shorten it",
        );
    }
}

fn line(c: &mut Checker<'_>, at: At<'_>, file: &ScenarioFile) {
    let line = &file.line;
    match (&line.throughput, &line.conveyor_speed) {
        (Some(_), Some(speed)) => c.sense(
            at.of("conveyor_speed"),
            "throughput and conveyor speed are both given, and each decides the other",
            speed.written(),
            "one of throughput and conveyor_speed",
            "remove one of the two",
        ),
        (None, None) => c.sense(
            at,
            "the line has no speed",
            "neither throughput nor conveyor_speed",
            "one of throughput and conveyor_speed",
            "add `throughput: \"100 veh/h\",` to `line`",
        ),
        _ => {}
    }
    line.ranges(c, at);
}

fn train(c: &mut Checker<'_>, file: &ScenarioFile) {
    let root = At::root(0);
    let at = root.of("train");
    c.count(at, file.train.len(), 1, LONGEST_TRAIN, "name the vehicles that come through, foremost first");
    let [_, lateral_offset, yaw] = TrainFields::rows();
    for (index, entry) in file.train.iter().enumerate() {
        let at = at.item(index);
        entry.lateral_offset.check(c, at.of(lateral_offset.name), lateral_offset);
        entry.yaw.check(c, at.of(yaw.name), yaw);
    }
    let count = file.train.len();
    match file.measured {
        Some(measured) if measured == 0 || measured as usize > count.max(1) => c.sense(
            root.of("measured"),
            "there is no such vehicle in the train",
            measured.to_string(),
            if count > 1 { format!("1 to {count}") } else { "1".to_owned() },
            "count the vehicles of the train from 1, foremost first",
        ),
        None if count == 1 => c.sense(
            at,
            "a pass is measured on a vehicle that has one ahead of it, and this train has one vehicle",
            "1 item",
            "two or more vehicles, or `measured: 1` to measure the first in line",
            "name the vehicle twice, or add `measured: 1,`",
        ),
        _ => {}
    }
    for (index, share) in file.fleet.iter().enumerate() {
        share.ranges(c, root.of("fleet").item(index));
    }
    let sum: f64 = file.fleet.iter().map(|share| share.share.si()).sum();
    if !file.fleet.is_empty() && (sum - 1.0).abs() > 1e-6 {
        c.sense(
            root.of("fleet"),
            "the shares of the fleet do not add up",
            format!("{} % together", trimmed(100.0 * sum)),
            "100 % together",
            "change the shares so that they add up to 100 %",
        );
    }
}

/// Up to four decimals.
fn trimmed(number: f64) -> String {
    format!("{number:.4}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What a recommendation may move: each once, and only what the set-up has.
fn may_move(c: &mut Checker<'_>, list: At<'_>, file: &ScenarioFile) {
    let may = &file.recommend.may;
    for (index, word) in may.iter().enumerate() {
        let at = list.item(index);
        let given = format!("{word:?}");
        if may[..index].contains(word) {
            c.sense(
                at,
                "this may be moved already",
                given.as_str(),
                "each word once",
                "remove one of the two",
            );
        }
        let units = || Side::BOTH.into_iter().filter_map(|side| file.unit(side));
        let missing = match word {
            MayWord::Weight if units().all(|unit| unit.counterweight.is_none()) => "a counterweight",
            MayWord::Damper if units().all(|unit| unit.dampers.is_empty()) => "a damper",
            _ => continue,
        };
        c.sense(
            at,
            format!("no unit has {missing} to move"),
            given,
            "of Weight, Damper and Gap what the set-up has",
            "remove it here",
        );
    }
}

fn criteria(c: &mut Checker<'_>, at: At<'_>, file: &ScenarioFile) {
    let k = &file.criteria;
    for (&name, limit) in &k.limits {
        let (at, range) = (at.of(name.criterion_key()), limits::of_measure(name));
        if name.row().is_contact_pressure && limit.is_absolute() {
            c.sense(
                at,
                "a contact pressure is what the brush adds, not an absolute pressure",
                limit.written(),
                range.text(),
                "write it without abs or a",
            );
        } else {
            c.range_of(at, limit.si(), limit.written(), range);
        }
    }
    let [low, peak] =
        [MeasureName::SidePressureMean, MeasureName::SidePressurePeak].map(|m| k.limits.get(&m));
    if let (Some(low), Some(peak)) = (low, peak)
        && low.si() >= peak.si()
    {
        c.sense(
            at.of("side_pressure_low"),
            "the least pressure is not below the highest",
            low.written(),
            format!("below side_pressure_peak, {}", peak.written()),
            "change one of the two",
        );
    }
    c.range(at.of("marginal"), &k.marginal, &SHARE);
    let list = at.of("feature_force");
    for (index, limit) in k.feature_force.iter().enumerate() {
        let at = list.item(index);
        c.range(at.of("limit"), &limit.limit, &FEATURE_FORCE);
        if k.feature_force[..index].iter().any(|before| before.feature == limit.feature) {
            c.sense(
                at.of("feature"),
                "this kind of feature has a limit already",
                limit.feature.name(),
                "each kind once",
                "remove one of the two",
            );
        }
    }
}
