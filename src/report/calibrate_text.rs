//! A calibration in words: whether the model explains the readings, what was learned, what stays open, which reading does not fit.

use super::measures::said;
use super::table::TextTable;
use super::words::{Words, capital, heading, percent, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::arm::UnitModel;
use crate::calibrate::fit::{ALARM, OPEN};
use crate::calibrate::{
    Advice, Calibration, Intervals, LeftOpen, MeasureInterval, ReadingFile, Row, friction_sum_n_m, spread_si,
};
use crate::units::{
    Dimension, DimensionInfo, TorqueDim, UnitSystem, converted, counted, format, minus_signs,
};

/// What holds for every reading on the machine (common practice, no source).
pub const READING_CAUTION: &str = "Before any reading: the maker's manual and lockout first, conveyor and spin off, nobody under or behind the arm. Let the arm swing only with everybody clear of its whole path. Read a turning brush only from outside its guard, against a guarded board, with nobody in reach.";

/// What a kind of reading is called.
pub fn reading_name(reading: &ReadingFile) -> &'static str {
    match reading {
        ReadingFile::Pull { .. } => "pull",
        ReadingFile::Swing { .. } => "timed swing",
        ReadingFile::Film { .. } => "filmed swing",
        ReadingFile::PushBack { .. } => "push-back",
        ReadingFile::Board { .. } => "power against a board",
        ReadingFile::Gaps { .. } => "gaps at the screws",
        ReadingFile::Level { .. } => "level",
        ReadingFile::Weight { .. } => "weighed counterweight",
        ReadingFile::Gauge { .. } => "gauge",
        ReadingFile::WetDrag { .. } => "wet drag",
        ReadingFile::Diameter { .. } => "diameter",
        ReadingFile::Rest { .. } => "rest",
        ReadingFile::Strip { .. } => "unwashed strip",
        ReadingFile::Chase { .. } => "chase",
    }
}

fn row_name(row: &Row, readings: &[ReadingFile], units: UnitSystem) -> String {
    let kind = readings.get(row.reading).map_or("", reading_name);
    let read = &row.value;
    let mut value = minus_signs(&read.written);
    if let Some(other) = converted(read.limits.info, &read.written, read.si, units) {
        value = format!("{value} ({other})");
    }
    format!("reading {} ({kind}), {value}", row.reading + 1)
}

/// The answer first, in sentences: whether the model explains the readings, and what does not fit.
pub fn calibrate_answer(
    calibration: &Calibration,
    readings: &[ReadingFile],
    units: UnitSystem,
) -> Vec<String> {
    let judged = &calibration.judged;
    let values = counted(judged.degrees as u64, "value read", "values read");
    let chance = percent(Some(judged.misfit_chance));
    let mut out = vec![if judged.misfit_chance < ALARM {
        format!(
            "The model does not explain these readings: if it were right, only {chance} of all sets of readings would be as far off (χ² {:.1}, {values}). The errors below are too small. Look for a reading that is off, or for a part that is described wrongly.",
            judged.chi2
        )
    } else {
        format!(
            "The model explains these readings: {chance} of all sets of readings would be farther off (χ² {:.1}, {values}).",
            judged.chi2
        )
    }];
    for out_of_line in &calibration.out_of_line {
        let row = &calibration.rows[out_of_line.row];
        let more = if out_of_line.studentised > 0.0 { "too high" } else { "too low" };
        let expected = said_in(row.value.limits.info, out_of_line.expected_si, units);
        let like = out_of_line.reads_like.as_ref().map_or_else(
            || match out_of_line.unclear {
                true => "Another fits as badly, and the rest does not tell which of them is off: measure both again.",
                false => "Measure it again.",
            }
            .to_owned(),
            |like| format!("It reads like {like}: check the unit."),
        );
        let text = format!(
            "Does not fit and was left out: {} is {:.1} standard deviations {more}; by all the others it would be {expected}. {like}",
            row_name(row, readings, units),
            out_of_line.studentised.abs()
        );
        out.push(text);
    }
    for (k, z) in &calibration.against_assumed {
        let way = if *z > 0.0 { "above" } else { "below" };
        let text = format!(
            "Farther from what was assumed than it should be: {}, {:.1} standard deviations {way}. Look whether the machine is described wrongly there: worn strips, another part, a wrong place. What follows holds only if it is not.",
            calibration.parameters[*k].label,
            z.abs()
        );
        out.push(text);
    }
    out
}

/// The answer as text.
pub fn calibrate_text(
    calibration: &Calibration,
    readings: &[ReadingFile],
    units: UnitSystem,
    ink: Ink,
) -> String {
    let mut out = String::new();
    for sentence in calibrate_answer(calibration, readings, units) {
        out.push_str(&wrap(&sentence, TEXT_WIDTH, 0));
    }
    out.push('\n');
    out.push_str(&heading("What was learned", ink));
    out.push_str(&learned(calibration, units));
    out.push_str(&open(calibration, units));
    out.push_str(&unchecked(calibration, readings, units));
    out.push('\n');
    out.push_str(&wrap(READING_CAUTION, TEXT_WIDTH, 0));
    out
}

fn said_in(info: &'static DimensionInfo, si: f64, units: UnitSystem) -> String {
    format(info, si, units)
}

/// What was learned of each setting, as words: the setting, what was assumed and its ±, what it is now and its ±, what is left of the ±.
pub fn learned_rows(calibration: &Calibration, units: UnitSystem) -> Vec<[String; 6]> {
    let row = |(k, p): (usize, &crate::calibrate::Parameter)| {
        let info = calibration.scenario.setting(&p.path).ok()?.info()?;
        let (value, sd) = calibration.value(k);
        Some([
            capital(&p.label),
            said_in(info, p.assumed_si, units),
            said_in(info, spread_si(p, p.assumed_si, 1.0), units),
            said_in(info, value, units),
            sd.map_or_else(|| "at its end".to_owned(), |sd| said_in(info, sd, units)),
            calibration.left(k).map_or_else(|| "–".to_owned(), |left| format!("{:.0} %", 100.0 * left)),
        ])
    };
    calibration.parameters.iter().enumerate().filter_map(row).collect()
}

fn learned(calibration: &Calibration, units: UnitSystem) -> String {
    let mut table = TextTable::new(&["Setting", ">Assumed", ">±", ">Now", ">±", ">± left"]);
    for row in learned_rows(calibration, units) {
        table.row(&row);
    }
    let mut out = table.text();
    out.push_str(&wrap(
        "± is one standard deviation; «± left» is what is left of what was assumed.",
        TEXT_WIDTH,
        0,
    ));
    out
}

fn open(calibration: &Calibration, units: UnitSystem) -> String {
    let label = |k: usize| calibration.parameters[k].label.as_str();
    let mut out = String::new();
    let mut say = |text: String| out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    let alone: Vec<&str> = calibration
        .open
        .iter()
        .filter_map(|open| match open {
            LeftOpen::One(k) => Some(label(*k)),
            _ => None,
        })
        .collect();
    if calibration.open.contains(&LeftOpen::CommonScale) {
        say("Not told apart: all masses and forces together could be larger or smaller alike. What is known of their size is what was assumed. Weigh something, or pull with a spring scale.".to_owned());
    }
    if !alone.is_empty() {
        say(format!("These readings say nothing about: {}.", alone.join("; ")));
    }
    for open in &calibration.open {
        let LeftOpen::Together(parts) = open else { continue };
        let parts: Vec<String> = parts
            .iter()
            .map(|(k, with)| format!("{} {}", label(*k), if *with { "up" } else { "down" }))
            .collect();
        say(format!("Not told apart: {}, together.", parts.join(", ")));
    }
    for (i, k, r) in calibration.trade_offs() {
        let what =
            if r > 0.0 { "only their difference is known well" } else { "only their sum is known well" };
        say(format!("{} and {}: {what} (correlation {r:.2}).", capital(label(i)), label(k)));
    }
    let held: Vec<&str> = (0..calibration.parameters.len())
        .filter(|&k| calibration.at_bound[k])
        .map(|k| calibration.parameters[k].label.as_str())
        .collect();
    if !held.is_empty() {
        say(format!("At the end of the range allowed, so that no error can be given: {}.", held.join("; ")));
    }
    let of = calibration.parameters.iter().find(|p| p.path.ends_with(".found.friction"));
    let prefix = of.and_then(|p| p.path.split('.').next());
    let has_seals = |u: &&UnitModel| u.cylinder.as_ref().is_some_and(|c| c.seal_friction_n > 0.0);
    let fitted = |u: &&UnitModel| prefix.is_some_and(|word| word == "both" || word == u.side.name());
    let unit = calibration.scenario.unit_models().iter().filter(fitted).find(has_seals);
    if let Some(sum_n_m) = unit.and_then(friction_sum_n_m) {
        let sum = said_in(TorqueDim::INFO, sum_n_m, units);
        say(format!(
            "Friction of the pivot and of the cylinder's seals cannot be told apart. Their sum is found, {sum} half way out; the seals are kept as described, the pivot takes the rest."
        ));
    }
    if !calibration.sides_differ.is_empty() {
        say(format!(
            "Not fitted, because the two sides differ in it: {}.",
            calibration.sides_differ.join("; ")
        ));
    }
    if calibration.again {
        say("The scenario was calibrated before: what came of that is the middle of what is assumed here, as wide as for a machine nobody measured. Give all readings together.".to_owned());
    }
    if out.is_empty() { out } else { format!("\n{out}") }
}

fn unchecked(calibration: &Calibration, readings: &[ReadingFile], units: UnitSystem) -> String {
    let judged = &calibration.judged;
    let mut names: Vec<String> = Vec::new();
    for (place, &row) in calibration.counted.iter().enumerate() {
        if judged.is_uncheckable(place) {
            names.push(row_name(&calibration.rows[row], readings, units));
        }
    }
    let mut out = String::new();
    if !names.is_empty() {
        let text = format!(
            "Cannot be checked, because nothing else tells what it tells; repeat it: {}.",
            names.join("; ")
        );
        out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    }
    if let Some(found) = calibration.too_few_draws {
        let text = format!(
            "Hardly any machine leaves what was read of whole passes ({found} found): intervals are drawn from the ± alone and may be off. Read those again, with the line speed measured."
        );
        out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    }
    let (agreeing, ended) = calibration.agreeing;
    if let Some(chi2) = calibration.other_minimum {
        let text = format!(
            "Of {ended} searches {agreeing} ended here; another machine goes with the readings less well (χ² {chi2:.1})."
        );
        out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    }
    out
}

/// Intervals of a pass as text, under its own.
pub fn intervals_text(intervals: &Intervals, units: UnitSystem, ink: Ink) -> String {
    let words = Words::new(units);
    let mut out = String::from("\n");
    out.push_str(&heading("Intervals, 95 %", ink));
    let from = if intervals.calibrated {
        let note = if intervals.note.is_empty() { String::new() } else { format!(" ({})", intervals.note) };
        format!("From {} machines drawn from the calibration{note}.", intervals.draws)
    } else {
        format!(
            "From {} machines drawn from what is assumed of one that nobody measured; «brusharm calibrate» narrows it.",
            intervals.draws
        )
    };
    out.push_str(&wrap(
        &format!("{from} How vehicles sit is not in it: see «brusharm spread»."),
        TEXT_WIDTH,
        0,
    ));
    if intervals.failed > 0 {
        let reason = intervals.reason.clone().unwrap_or_default();
        let failed = counted(intervals.failed as u64, "of them", "of them");
        out.push_str(&wrap(
            &format!("No pass of {failed}: {reason}. They count as missing every limit."),
            TEXT_WIDTH,
            0,
        ));
    }
    if let Some(share) = &intervals.all_met {
        let (chance, low, high) =
            (percent(Some(share.share)), percent(Some(share.low)), percent(Some(share.high)));
        let text = format!("All criteria are met with a chance of {chance} ({low} to {high}).");
        out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    }
    let mut table = TextTable::new(&["Number", ">Here", ">From", ">To", ">Chance to meet"]);
    for line in &intervals.measures {
        let Some([low, _, high]) = line.quantiles else { continue };
        let met = line.met.as_ref().map(|share| share.share);
        table.row(&[
            capital(&line.measure.label()),
            said(words, line.measure, line.value),
            said(words, line.measure, Some(low)),
            said(words, line.measure, Some(high)),
            met.map_or_else(|| "–".to_owned(), |met| percent(Some(met))),
        ]);
    }
    out.push_str(&table.text());
    let partly = |line: &&MeasureInterval| {
        line.quantiles.is_some() && line.values < intervals.draws as usize - intervals.failed
    };
    let some: Vec<String> =
        intervals.measures.iter().filter(partly).map(|line| line.measure.label()).collect();
    if !some.is_empty() {
        let text =
            format!("Does not exist on some of these machines, and is of the others: {}.", some.join("; "));
        out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    }
    out
}

/// Whether nothing was learned of a parameter.
pub fn is_open(left: Option<f64>) -> bool {
    left.is_some_and(|left| left >= OPEN)
}

/// What to measure next, as a table.
pub fn advice_text(advice: &Advice, units: UnitSystem, ink: Ink) -> String {
    let words = Words::new(units);
    let mut out = heading("What to measure next", ink);
    let Some((mean, sd)) = advice.spread_si else {
        out.push_str(&wrap(
            &format!(
                "Too few of the machines drawn have a {} to say what would narrow it.",
                advice.measure.label()
            ),
            TEXT_WIDTH,
            0,
        ));
        return out;
    };
    let info = advice.measure.info();
    let text = format!(
        "{} is {} ± {} over {} drawn machines. What each test alone would leave of that ±, the one that takes most of the variance for each minute first:",
        capital(&advice.measure.label()),
        said(words, advice.measure, Some(mean)),
        format(info, sd, units),
        advice.draws
    );
    out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    let mut table = TextTable::new(&["Test", ">Minutes", ">± then", ">Left", ">A minute takes"]);
    for worth in &advice.worths {
        table.row(&[
            capital(worth.test.key),
            format!("{:.0}", worth.test.minutes),
            format(info, sd * worth.left, units),
            percent(Some(worth.left)),
            percent(Some(worth.per_minute)),
        ]);
    }
    out.push_str(&table.text());
    out
}

/// Intervals of set-ups side by side: what is judged, «7.8 in (6.1 to 9.9), 85 %».
pub fn intervals_beside_text(all: &[Intervals], units: UnitSystem, ink: Ink) -> String {
    let words = Words::new(units);
    let letter = |i: usize| char::from(b'A' + (i % 26) as u8).to_string();
    let mut out = String::from("\n");
    out.push_str(&heading("Intervals, 95 %, and chances", ink));
    let Some(first) = all.first() else { return out };
    let from =
        if first.calibrated { "the calibration" } else { "what is assumed of one that nobody measured" };
    let text = format!(
        "From {} machines drawn from {from}, the same ones for each set-up: value here (from, to), chance to meet the limit.",
        first.draws
    );
    out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    for line in first.measures.iter().filter(|line| line.met.is_some()) {
        out.push_str(&wrap(&format!("{}:", capital(&line.measure.label())), TEXT_WIDTH, 0));
        for (i, intervals) in all.iter().enumerate() {
            let Some(line) = intervals.measures.iter().find(|other| other.measure == line.measure) else {
                continue;
            };
            out.push_str(&wrap(&format!("  {}: {}", letter(i), interval_said(words, line)), TEXT_WIDTH, 5));
        }
    }
    for (i, intervals) in all.iter().enumerate() {
        if let Some(share) = &intervals.all_met {
            let (chance, low, high) =
                (percent(Some(share.share)), percent(Some(share.low)), percent(Some(share.high)));
            out.push_str(&format!("{} meets all with a chance of {chance} ({low} to {high}).\n", letter(i)));
        }
    }
    out
}

/// «7.8 in (6.1 in to 9.9 in), 85 %».
fn interval_said(words: Words, line: &MeasureInterval) -> String {
    let value = said(words, line.measure, line.value);
    let between = line.quantiles.map_or_else(String::new, |[low, _, high]| {
        format!(" ({} to {})", said(words, line.measure, Some(low)), said(words, line.measure, Some(high)))
    });
    let met = line.met.as_ref().map_or_else(String::new, |share| format!(", {}", percent(Some(share.share))));
    format!("{value}{between}{met}")
}
