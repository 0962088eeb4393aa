//! What is wrong with a brush, in words: the next check, the causes with what stands behind them, what one would see, what to do and what comes of it.

use super::fault_report::{FaultReport, MOST_CHECKS, headline, name_of, percent, told_beliefs, told_rows};
use super::fault_sentences::{
    after_said, also_seen, finds_said, how_bad, how_long, not_explained, one_of_these, signs_said,
};
use super::sheet::Language;
use super::words::{capital, heading, inset, wrap};
use super::{Ink, TEXT_WIDTH};
use crate::fault::cause::CAUSES;
use crate::fault::check::{CHECKS, Caution};
use crate::fault::{Belief, Book, CheckWorth, READINGS, Row, SIGNS, Told, ViewName};
use crate::units::{UnitSystem, counted, format, rounded};

/// The language of the text.
const IN: Language = Language::English;

/// The answer as text.
pub fn fault_text(report: &FaultReport<'_>, units: UnitSystem, ink: Ink) -> String {
    let mut out = wrap(&headline(report).text(), TEXT_WIDTH, 0);
    if report.told.is_nothing() {
        return out;
    }
    if let Some(next) = report.checks.first() {
        out.push_str(&wrap(&next_check(next), TEXT_WIDTH, 0));
    }
    out.push('\n');
    out.push_str(&wrap(report.title, TEXT_WIDTH, 0));
    out.push_str(&wrap(&looked_at(report.book), TEXT_WIDTH, 0));
    out.push_str(&wrap(&told_text(report.told, units), TEXT_WIDTH, 0));
    out.push_str(&causes(report, units, ink));
    out.push_str(&pairs_text(report, ink));
    out.push_str(&checks_text(report, ink));
    out.push('\n');
    let note = "Belief weighs what the model shows against how common each cause is (common practice, no source; --weight changes it). A cause named is consistent, not proven. The maker's manual, local codes and licensed practice come first.";
    out.push_str(&wrap(note, TEXT_WIDTH, 0));
    out
}

fn looked_at(book: &Book) -> String {
    let speed = |per: f64| percent(per);
    let views: Vec<String> = book
        .views()
        .iter()
        .map(|view| match view.name {
            ViewName::Planned => format!("{} as planned", view.vehicle),
            ViewName::Slow | ViewName::Busy => format!("at {} of the speed", speed(view.speed)),
            ViewName::Wide if view.speed < 1.0 => {
                format!("{} at {} of the speed", view.vehicle, speed(view.speed))
            }
            ViewName::Wide => format!("{} as planned", view.vehicle),
        })
        .collect();
    format!("Every cause run past: {}.", views.join("; "))
}

/// The check to make next, in a sentence, with its caution.
pub fn next_check(check: &CheckWorth) -> String {
    let row = check.check.row();
    format!("Next check ({}, {}): {}. {}", row.tool, how_long(row, IN), row.how, row.caution.text())
}

/// What was told, in a sentence each.
pub fn told_text(told: &Told, units: UnitSystem) -> String {
    let mut text = Vec::new();
    if !told.seen.is_empty() {
        text.push(format!("Seen: {}.", signs_said(&told.seen, IN)));
    }
    if !told.fine.is_empty() {
        text.push(format!("Not so: {}.", signs_said(&told.fine, IN)));
    }
    if !told.readings.is_empty() {
        let one = |r: &crate::fault::ReadingTold| {
            let row = &READINGS[r.kind];
            let side = r.side.map_or_else(String::new, |side| format!(" {}", side.name()));
            format!("{}{side} {}", row.key, format(row.info, r.si, units))
        };
        text.push(format!("Read: {}.", told.readings.iter().map(one).collect::<Vec<_>>().join("; ")));
    }
    if !told.answers.is_empty() {
        let one = |a: &crate::fault::Answered| match a.found {
            Some((finding, place)) => format!("{} ({}): {finding}", a.check.row().key, place.name()),
            None => format!("{}: nothing amiss", a.check.row().key),
        };
        text.push(format!("Checked: {}.", told.answers.iter().map(one).collect::<Vec<_>>().join("; ")));
    }
    text.join(" ")
}

fn causes(report: &FaultReport<'_>, units: UnitSystem, ink: Ink) -> String {
    let (answer, rows): (_, Vec<&Row>) = (report.answer, told_rows(report).collect());
    let title = "Causes, most likely first";
    let mut out = format!("\n{}", heading(title, ink));
    let mut told = 0;
    for (number, row) in rows.iter().enumerate() {
        let members: Vec<&Belief> = told_beliefs(answer, row).collect();
        told += row.beliefs.len();
        if let [alone] = members.as_slice() {
            let name = capital(&name_of(&report.book.hypotheses[alone.hypothesis]));
            let lead = format!("{}. {name}, {}", number + 1, percent(row.share));
            out.push_str(&wrap(&lead, TEXT_WIDTH, 3));
            out.push_str(&cause(report, alone, units, 3));
            continue;
        }
        let lead = format!("{}. {}", number + 1, one_of_these(row.share, IN));
        out.push_str(&wrap(&lead, TEXT_WIDTH, 3));
        for (letter, belief) in ('a'..='z').zip(members) {
            let name = capital(&name_of(&report.book.hypotheses[belief.hypothesis]));
            out.push_str("   ");
            out.push_str(&wrap(&format!("{letter}. {name}, {}", percent(belief.share)), TEXT_WIDTH - 3, 6));
            out.push_str(&cause(report, belief, units, 6));
        }
    }
    let left: f64 = 1.0 - rows.iter().map(|row| row.share).sum::<f64>();
    let more = report.book.hypotheses.len().saturating_sub(told);
    if left > 0.005 && more > 0 {
        let text =
            format!("All other {}: {} together.", counted(more as u64, "cause", "causes"), percent(left));
        out.push_str(&wrap(&text, TEXT_WIDTH, 0));
    }
    out
}

/// What is to be said of one cause.
fn cause(report: &FaultReport<'_>, belief: &Belief, units: UnitSystem, indent: usize) -> String {
    let hypothesis = &report.book.hypotheses[belief.hypothesis];
    let mut out = String::new();
    let mut say = |text: &str| out.push_str(&inset(text, indent));
    let book = report.book;
    let before = [not_explained(belief, IN), how_bad(book, belief, units, IN), also_seen(belief, IN)];
    before.iter().flatten().for_each(|text| say(text));
    for behind in hypothesis.row().map_or(&[][..], |row| row.behind) {
        let check = behind.check.row();
        say(&format!(
            "{}? Check ({}, {}): {}. If so: {}. Then: {}.",
            capital(behind.what),
            check.tool,
            how_long(check, IN),
            check.how,
            behind.finding,
            behind.repair
        ));
    }
    if let Some(text) = after_said(book, belief, units, IN) {
        say(&text);
    }
    out
}

fn pairs_text(report: &FaultReport<'_>, ink: Ink) -> String {
    if report.pairs.is_empty() {
        return String::new();
    }
    let mut out = format!("\n{}", heading("Two causes at once that explain all of it", ink));
    for (number, pair) in report.pairs.iter().enumerate() {
        let [a, b] = pair.of.map(|(h, _)| name_of(&report.book.hypotheses[h]));
        out.push_str(&wrap(&format!("{}. {}; and {b}", number + 1, capital(&a)), TEXT_WIDTH, 3));
    }
    out
}

fn checks_text(report: &FaultReport<'_>, ink: Ink) -> String {
    if report.checks.is_empty() {
        return String::new();
    }
    let mut out = format!("\n{}", heading("Checks, the one that settles most for each minute first", ink));
    let list: Vec<&CheckWorth> = report.checks.iter().take(MOST_CHECKS).collect();
    for worth in &list {
        let row = worth.check.row();
        let text = format!(
            "- {} ({}): {}, {}; {}",
            capital(row.how),
            row.key,
            row.tool,
            how_long(row, IN),
            finds_said(worth.finds, IN)
        );
        out.push_str(&wrap(&text, TEXT_WIDTH, 2));
    }
    let mut cautions: Vec<Caution> = list.iter().map(|worth| worth.check.row().caution).collect();
    cautions.sort_unstable();
    cautions.dedup();
    for caution in cautions {
        out.push_str(&wrap(&format!("Mind: {}", caution.text()), TEXT_WIDTH, 2));
    }
    let key = list[0].check.row().key;
    out.push_str(&wrap(
        &format!("Say what it shows with --checked {key}=ok, or {key}=left, =right, =both or =found."),
        TEXT_WIDTH,
        2,
    ));
    out
}

/// What can be said and asked: causes, signs, readings, checks.
pub fn fault_list_text(ink: Ink) -> String {
    let mut out = heading("What can be seen (--seen NAME, --fine NAME)", ink);
    let side = |sided: bool| if sided { " (:left, :right, :both)" } else { "" };
    for row in &SIGNS {
        out.push_str(&wrap(&format!("{}{}: {}", row.key, side(row.sided), row.words), TEXT_WIDTH, 6));
    }
    out.push_str(&format!("\n{}", heading("What can be read (--reading NAME=VALUE)", ink)));
    for row in &READINGS {
        let side = if row.sided { " (:left, :right)" } else { "" };
        let text = format!("{}{side}: {}, such as {}", row.key, row.how, row.info.example);
        out.push_str(&wrap(&text, TEXT_WIDTH, 6));
    }
    out.push_str(&format!(
        "\n{}",
        heading("What can be checked (--checked NAME=ok|left|right|both|found)", ink)
    ));
    for row in &CHECKS {
        let text = format!("{}: {}; {}, {}", row.key, row.how, row.tool, how_long(row, IN));
        out.push_str(&wrap(&text, TEXT_WIDTH, 6));
    }
    out.push_str(&format!("\n{}", heading("Causes and how common they are (--weight NAME=NUMBER)", ink)));
    for cause in CAUSES.iter() {
        let what: Vec<&str> = cause.behind.iter().map(|b| b.what).collect();
        let text =
            format!("{}: {}; {}: {}", cause.key, cause.name, rounded(cause.weight, 1), what.join("; "));
        out.push_str(&wrap(&text, TEXT_WIDTH, 6));
    }
    out.push_str(&wrap("Weights, minutes and circumstances: common practice, no source.", TEXT_WIDTH, 0));
    out
}
