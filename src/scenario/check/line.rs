//! Checks of line, train, fleet shares, criteria, coverage and numerics.

use super::{At, Checker};
use crate::arm::Side;
use crate::coverage::MeasureName;
use crate::scenario::file::{MayWord, ScenarioFile};
use crate::scenario::limits;
use crate::scenario::written::SCHEMA;

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
    let (at, coverage) = (root.of("coverage"), &file.coverage);
    c.range(at.of("washed_wipes"), &coverage.washed_wipes, &limits::WIPES);
    c.range_if(at.of("washed_work"), coverage.washed_work.as_ref(), &limits::WORK);
    c.range(at.of("judged_depth"), &coverage.judged_depth, &limits::JUDGED_DEPTH);
    c.range(at.of("station"), &coverage.station, &limits::STATION);
    c.range(at.of("look"), &coverage.look, &limits::LOOK);
    let at = root.of("numerics");
    c.range(at.of("tolerance"), &file.numerics.tolerance, &limits::TOLERANCE);
    c.range(at.of("longest_step"), &file.numerics.longest_step, &limits::LONGEST_STEP);
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
    c.range_if(at.of("throughput"), line.throughput.as_ref(), &limits::THROUGHPUT);
    c.range_if(at.of("conveyor_speed"), line.conveyor_speed.as_ref(), &limits::CONVEYOR_SPEED);
    c.range(at.of("gap"), &line.gap, &limits::GAP);
    c.range(at.of("lane_width"), &line.lane_width, &limits::LANE_WIDTH);
    c.range(at.of("air_temperature"), &line.air_temperature, &limits::AIR_TEMPERATURE);
    if !line.atmosphere.is_absolute() {
        c.sense(
            at.of("atmosphere"),
            "the pressure of the air outside is an absolute pressure",
            line.atmosphere.written(),
            "a pressure with psia, or with abs",
            "write it like \"14.696 psia\"",
        );
    } else {
        c.range(at.of("atmosphere"), &line.atmosphere, &limits::ATMOSPHERE);
    }
}

fn train(c: &mut Checker<'_>, file: &ScenarioFile) {
    let root = At::root(0);
    let at = root.of("train");
    c.count(at, file.train.len(), 1, LONGEST_TRAIN, "name the vehicles that come through, foremost first");
    for (index, entry) in file.train.iter().enumerate() {
        let at = at.item(index);
        c.range(at.of("lateral_offset"), &entry.lateral_offset, &limits::LATERAL_OFFSET);
        c.range(at.of("yaw"), &entry.yaw, &limits::YAW);
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
        c.range(root.of("fleet").item(index).of("share"), &share.share, &limits::SHARE);
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
    c.range(at.of("marginal"), &k.marginal, &limits::SHARE);
    let list = at.of("feature_force");
    for (index, limit) in k.feature_force.iter().enumerate() {
        let at = list.item(index);
        c.range(at.of("limit"), &limit.limit, &limits::FEATURE_FORCE);
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
