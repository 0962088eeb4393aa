//! The field form: a page to take to the machine, with every test that tells something of it, the one worth most for each minute first, where to hold
//! what, and room to write.

mod card;
mod words;

use super::sheet::Language;
use crate::calibrate::{Advice, ReadingFile, Worth};
use crate::drawing::svg::escape;
use crate::units::{Dimension, ForceDim, LengthDim, Quantity, UnitSystem, format};
use words::*;

pub use card::{FieldSaid, FormCard, FormEntry, InstrumentForm, form_cards, form_instruments, form_said};

/// The form as one page of HTML that needs no network.
pub fn form_html(language: Language, units: UnitSystem, title: &str, advice: &Advice) -> String {
    let say = |said: &Said| said_in(said, language);
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n<title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>{}</h1>\n<p><b>{}</b></p>\n",
        language.code(),
        say(&TITLE),
        say(&TITLE),
        escape(title)
    );
    out.push_str(&format!("<p class=\"write\">{}</p>\n<ul>\n", say(&DATE_WHO)));
    out.push_str(&format!("<li>{}</li>\n", say(&OTHERS)));
    for (place, (_, said)) in RISKS.iter().enumerate() {
        out.push_str(&format!("<li><b>{}</b> {}</li>\n", letter(place), say(said)));
    }
    out.push_str(&format!("</ul>\n<p>{}</p>\n<table>\n", say(&ORDER)));
    for (number, worth) in advice.worths.iter().enumerate() {
        let Some(words) = TESTS.iter().find(|words| words.key == worth.test.key) else { continue };
        let risk = RISKS.iter().position(|(risk, _)| *risk == words.risk).unwrap_or(0);
        out.push_str(&format!(
            "<tr><th>{}</th><td><b>{}</b> {:.0} {} <b class=\"risk\">{}</b><br>{}</td><td>{}</td></tr>\n",
            number + 1,
            say(&words.name),
            worth.test.minutes,
            say(&MINUTES),
            letter(risk),
            say(&words.how),
            rows(worth, units, &say)
        ));
    }
    out.push_str("</table>\n</body>\n</html>\n");
    out
}

fn said_in(said: &Said, language: Language) -> &'static str {
    match language {
        Language::English => said[0],
        Language::Spanish => said[1],
        Language::French => said[2],
    }
}

fn letter(place: usize) -> char {
    ['A', 'B', 'C', 'D'][place.min(3)]
}

/// What is written down: a line for each reading, a blank for each repeat.
fn rows(worth: &Worth, units: UnitSystem, say: &dyn Fn(&Said) -> &'static str) -> String {
    let mut out = String::new();
    for reading in &worth.test.readings.file.readings {
        let (label, blanks) = label(reading, units, say, " ____");
        out.push_str(&format!("{}{}<br>", escape(&label), " ______".repeat(blanks)));
    }
    out
}

/// What a reading is of, with `blank` behind what is noted within it, and how many values are read.
fn label(
    reading: &ReadingFile,
    units: UnitSystem,
    say: &dyn Fn(&Said) -> &'static str,
    blank: &str,
) -> (String, usize) {
    // Places are made in whole inches, and are told so.
    let length = |q: &Quantity<LengthDim>| match units {
        UnitSystem::Us => q.written().to_owned(),
        UnitSystem::Si => format(LengthDim::INFO, q.si(), units),
    };
    // What is noted beside the values.
    let noted =
        |what: &Said| if blank.is_empty() { String::new() } else { format!(", {}{blank}", say(what)) };
    match reading {
        ReadingFile::Pull { way, brush_center, air, walk, force, .. } => {
            let way = WAYS.iter().find(|(w, _)| w == way).map_or("", |(_, said)| say(said));
            let air = AIR.iter().find(|(a, _)| a == air).map_or("", |(_, said)| say(said));
            let walk = walk.as_ref().map_or_else(String::new, |_| noted(&WALK));
            (format!("{way}, {}, {air}{walk}", length(brush_center)), force.len())
        }
        ReadingFile::Swing { from, to, time, .. } => {
            (format!("{} → {}", length(from), length(to)), time.len())
        }
        ReadingFile::Film { from, marks, .. } => {
            let marks: Vec<String> = marks.iter().map(|(m, _)| format!("{}{blank}", length(m))).collect();
            (format!("{} → {}", length(from), marks.join(", ")), 0)
        }
        ReadingFile::PushBack { depth, height, spinning, force, .. } => {
            let how = if *spinning { say(&TURNING) } else { say(&STILL) };
            let (d, h) = (length(depth), length(height));
            (format!("{how}, {} {d}, {} {h}", say(&DEPTH), say(&HEIGHT)), force.len())
        }
        ReadingFile::Board { depth, height, power, .. } => {
            let (d, h) = (length(depth), length(height));
            (format!("{} {d}, {} {h}", say(&DEPTH), say(&HEIGHT)), power.len())
        }
        ReadingFile::Gaps { .. } => (say(&UPPER_LOWER).to_owned(), 2),
        ReadingFile::WetDrag { load, pull, .. } => {
            (format!("{} {}", say(&LOAD), format(ForceDim::INFO, load.si(), units)), pull.len())
        }
        ReadingFile::Strip { vehicle, width, .. } => (format!("{vehicle}{}", noted(&SPEED)), width.len()),
        ReadingFile::Chase { vehicle, delay, .. } => (format!("{vehicle}{}", noted(&SPEED)), delay.len()),
        ReadingFile::Level { .. }
        | ReadingFile::Weight { .. }
        | ReadingFile::Gauge { .. }
        | ReadingFile::Diameter { .. }
        | ReadingFile::Rest { .. } => (String::new(), 2),
    }
}

/// Prints on one page of letter or A4 paper in each language, in fonts as wide as they come (tests/browser).
const STYLE: &str = "@page{margin:8mm}body{font:9pt/1.25 system-ui,sans-serif;color:#000;background:#fff;margin:0 auto;max-width:200mm}h1{font-size:13pt;margin:0}p,ul{margin:2px 0}ul{padding-left:5mm}table{border-collapse:collapse;width:100%;font-size:8.5pt}th,td{border-top:1px solid #777;padding:1px 4px;text-align:left;vertical-align:top}td:last-child{width:40%;line-height:1.4}tr{break-inside:avoid}.risk{border:1px solid #000;padding:0 3px}.write{border-bottom:1px solid #000;padding-bottom:8px}";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_every_test_has_its_words_in_every_language() {
        for words in &TESTS {
            for said in [&words.name, &words.how] {
                assert!(said.iter().all(|text| text.len() > 5), "{}", words.key);
                assert!(said[0] != said[1] && said[1] != said[2], "{}", words.key);
            }
        }
        for said in FIELDS.iter().chain(&SAT).map(|(_, said)| said).chain(OF.iter().map(|(_, said)| said)) {
            assert!(said.iter().all(|text| text.len() > 3) && said[0] != said[1], "{said:?}");
        }
        // A brush that turns and an arm that swings are never read as if locked out.
        for (key, risk) in [("push-back", Risk::Spin), ("board power", Risk::Spin), ("pulls", Risk::Arm)] {
            assert_eq!(TESTS.iter().find(|w| w.key == key).map(|w| w.risk), Some(risk));
        }
    }
}
