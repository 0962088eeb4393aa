//! A file of readings read and checked: units, ranges, instruments, what makes no sense by itself.

use super::ranges;
use super::reading_values::{instrument, side_word, values};
use super::readings_file::{InstrumentFile, OfWord, ReadingFile, ReadingsFile, SideWord, WayWord};
use crate::error::Diagnostics;
use crate::scenario::diagnostic::RonText;
use crate::scenario::limits::Limits;
use crate::units::*;

/// The most readings of a file, repeats counted.
const MOST: usize = 500;

/// A file of readings that reads well, with its text for errors.
#[derive(Debug, Clone)]
pub struct ReadingsText {
    /// As written.
    pub file: ReadingsFile,
    name: String,
    source: String,
}

impl ReadingsText {
    /// Reads a file of readings. `file_name` is the name shown in errors.
    ///
    /// # Errors
    /// [`Diagnostics`] with the place of everything that is wrong in it by itself; what does not fit a scenario comes later.
    pub fn read(text: &str, file_name: &str) -> Result<ReadingsText, Diagnostics> {
        let ron = RonText::new(file_name, text);
        let file: ReadingsFile = ron.read()?;
        let mut found = Diagnostics::default();
        if file.schema != 1 {
            found.push(ron.makes_no_sense("schema", "this version of the form is not known", "1", "write 1"));
        }
        for (i, instrument) in file.instruments.iter().enumerate() {
            check_instrument(&ron, &file.instruments[..i], i, instrument, &mut found);
        }
        let count: usize = file.readings.iter().map(|r| values(r).len()).sum();
        if file.readings.is_empty() || count > MOST {
            found.push(ron.makes_no_sense(
                "readings",
                "no number of readings to fit to",
                &format!("1 to {MOST}"),
                "write down at least one reading",
            ));
        }
        for (i, reading) in file.readings.iter().enumerate() {
            check_reading(&ron, &file, i, reading, &mut found);
        }
        found.into_result()?;
        Ok(ReadingsText { file, name: file_name.to_owned(), source: ron.source().to_owned() })
    }

    /// The name shown in errors.
    pub fn file_name(&self) -> &str {
        &self.name
    }

    /// The text with its index, for errors about a place of it.
    pub fn ron(&self) -> RonText<'_> {
        RonText::new(&self.name, &self.source)
    }
}

fn check_instrument(
    ron: &RonText<'_>,
    before: &[InstrumentFile],
    i: usize,
    instrument: &InstrumentFile,
    found: &mut Diagnostics,
) {
    let at = |field: &str| format!("instruments[{i}].{field}");
    if before.iter().any(|b| b.name == instrument.name) {
        let told = ron.makes_no_sense(&at("name"), "this name is taken", "each name once", "choose another");
        found.push(told);
    }
    let amounts = [
        ("resolution", &instrument.resolution, Some(instrument.kind.info())),
        ("shared", &instrument.shared, instrument.kind.shared_info()),
    ];
    for (field, text, info) in amounts {
        let Some(text) = text else { continue };
        match info.map(|info| read(info, text)) {
            None => found.push(ron.makes_no_sense(
                &at(field),
                "readings of this instrument share no error",
                "",
                "leave shared out",
            )),
            Some(Err(error)) => {
                let kind = crate::error::DiagnosticKind::BadValue;
                found.push(ron.at(kind, &at(field), error.refusal()));
            }
            Some(Ok(amount)) if amount.si <= 0.0 => {
                let told = ron.makes_no_sense(
                    &at(field),
                    "an error is more than nothing",
                    "above 0",
                    "give its size",
                );
                found.push(told);
            }
            Some(Ok(_)) => {}
        }
    }
}

fn check_reading(
    ron: &RonText<'_>,
    file: &ReadingsFile,
    i: usize,
    reading: &ReadingFile,
    found: &mut Diagnostics,
) {
    let at = |field: &str| format!("readings[{i}].{field}");
    let list = |field: &str, k: usize| format!("readings[{i}].{field}[{k}]");
    let mut range = |path: String, si: f64, limits: &Limits| {
        if !limits.holds(si) {
            let told = ron.makes_no_sense(
                &path,
                "this is out of range",
                &limits.text(),
                "check the decimal point and the unit",
            );
            found.push(told);
        }
    };
    for value in values(reading) {
        range(value.path(i), value.si, value.limits);
    }
    let mut no_volts = false;
    match reading {
        ReadingFile::Pull { brush_center, walk, .. } => {
            range(at("brush_center"), brush_center.si(), &ranges::PLACE);
            if let Some(walk) = walk {
                range(at("walk"), walk.si(), &ranges::WALK);
            }
        }
        ReadingFile::Swing { from, to, .. } => {
            range(at("from"), from.si(), &ranges::PLACE);
            range(at("to"), to.si(), &ranges::PLACE);
        }
        ReadingFile::Film { from, frames_per_second, marks, .. } => {
            range(at("from"), from.si(), &ranges::PLACE);
            for (k, (place, _)) in marks.iter().enumerate() {
                range(list("marks", k), place.si(), &ranges::PLACE);
            }
            range(at("frames_per_second"), *frames_per_second, &ranges::FRAME_RATE);
        }
        ReadingFile::PushBack { depth, height, .. } => {
            range(at("depth"), depth.si(), &ranges::DEPTH);
            range(at("height"), height.si(), &ranges::HEIGHT);
        }
        ReadingFile::Board { depth, height, current, volts, power_factor, efficiency, .. } => {
            range(at("depth"), depth.si(), &ranges::DEPTH);
            range(at("height"), height.si(), &ranges::HEIGHT);
            for (field, share) in [("power_factor", power_factor), ("efficiency", efficiency)] {
                if let Some(share) = share {
                    range(at(field), share.si(), &ranges::MOTOR_SHARE);
                }
            }
            if let Some(volts) = volts {
                range(at("volts"), volts.si(), &ranges::MOTOR_VOLTS);
            }
            if !current.is_empty() && volts.is_none() {
                no_volts = true;
            }
        }
        ReadingFile::Gaps { upper, lower, .. } => {
            range(at("upper"), upper.si(), &ranges::GAP);
            range(at("lower"), lower.si(), &ranges::GAP);
        }
        ReadingFile::WetDrag { load, .. } => range(at("load"), load.si(), &ranges::DRAG),
        ReadingFile::Strip { conveyor_speed, lateral_offset, yaw, .. }
        | ReadingFile::Chase { conveyor_speed, lateral_offset, yaw, .. } => {
            range(at("conveyor_speed"), conveyor_speed.si(), &ranges::LINE_SPEED);
            if let Some(offset) = lateral_offset {
                range(at("lateral_offset"), offset.si(), &ranges::OFFSET);
            }
            if let Some(yaw) = yaw {
                range(at("yaw"), yaw.si(), &ranges::TURN);
            }
        }
        ReadingFile::Level { .. }
        | ReadingFile::Weight { .. }
        | ReadingFile::Gauge { .. }
        | ReadingFile::Diameter { .. }
        | ReadingFile::Rest { .. } => {}
    }
    if no_volts {
        let problem = "a current alone is no power";
        found.push(ron.makes_no_sense(
            &at("current"),
            problem,
            "",
            "add volts: \"460 V\", measured between phases",
        ));
    }
    if values(reading).is_empty() {
        let place = format!("readings[{i}]");
        found.push(ron.makes_no_sense(
            &place,
            "nothing was read here",
            "at least one value",
            "add what was read",
        ));
    }
    if let Some(name) = instrument(reading)
        && !file.instruments.iter().any(|known| known.name == name)
    {
        let known: Vec<&str> = file.instruments.iter().map(|known| known.name.as_str()).collect();
        let advice = "add it to instruments, or leave by out";
        found.push(ron.makes_no_sense(&at("by"), "no instrument has this name", &known.join(", "), advice));
    }
    if let ReadingFile::Pull { way: WayWord::StartOut | WayWord::StartIn, walk: Some(_), .. } = reading {
        let advice = "leave walk out, or write way: Out or way: In";
        found.push(ron.makes_no_sense(
            &at("walk"),
            "an arm that starts to move is not walked with",
            "",
            advice,
        ));
    }
    if let (OfWord::Left, Some(SideWord::Right)) | (OfWord::Right, Some(SideWord::Left)) =
        (file.of, side_word(reading))
    {
        let advice = "write of: Both where both units are alike, or leave this reading out";
        found.push(ron.makes_no_sense(&at("side"), "the file is of the other unit", "", advice));
    }
}
