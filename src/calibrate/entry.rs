//! A reading as a form takes it: what is known before, what is to be written down, and the text of it for a file of readings.

use super::readings_file::{AirWord, InstrumentWord, OfWord, ReadingFile, WayWord};
use crate::units::*;
use std::collections::BTreeMap;

/// What is written down of a reading.
#[derive(Debug, Clone)]
pub struct EntryField {
    /// Its name in the file.
    pub name: &'static str,
    /// Its dimension; `None` for a number without one.
    pub info: Option<&'static DimensionInfo>,
    /// How often it is written down.
    pub times: Times,
    /// Whether the reading is none without it.
    pub needed: bool,
    /// What stands there before, as written; nothing where it has to be read.
    pub given: String,
}

/// How often something is written down.
#[derive(Debug, Clone, PartialEq)]
pub enum Times {
    /// Once.
    Once,
    /// So often or more: repeats.
    Repeats(usize),
    /// Once for each of these places: frames of a film.
    At(Vec<String>),
}

/// A reading to be written down.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Its kind in the file.
    pub kind: &'static str,
    /// What is known of it, as it stands in the file.
    pub fixed: Vec<(&'static str, String)>,
    /// What is written down.
    pub fields: Vec<EntryField>,
    /// With what it is read, where the file may name it.
    pub instrument: Option<InstrumentWord>,
}

impl WayWord {
    /// As it stands in the file.
    pub fn name(self) -> &'static str {
        match self {
            WayWord::Out => "Out",
            WayWord::In => "In",
            WayWord::StartOut => "StartOut",
            WayWord::StartIn => "StartIn",
        }
    }
}

impl AirWord {
    /// As it stands in the file.
    pub fn name(self) -> &'static str {
        match self {
            AirWord::On => "On",
            AirWord::Off => "Off",
        }
    }
}

impl OfWord {
    /// As it stands in the file.
    pub fn name(self) -> &'static str {
        match self {
            OfWord::Left => "Left",
            OfWord::Right => "Right",
            OfWord::Both => "Both",
        }
    }

    /// The one with this name.
    pub fn named(name: &str) -> Option<OfWord> {
        [OfWord::Left, OfWord::Right, OfWord::Both].into_iter().find(|of| of.name() == name)
    }
}

impl InstrumentWord {
    /// As it stands in the file.
    pub fn name(self) -> &'static str {
        match self {
            InstrumentWord::Scale => "Scale",
            InstrumentWord::Stopwatch => "Stopwatch",
            InstrumentWord::Video => "Video",
            InstrumentWord::Tape => "Tape",
            InstrumentWord::Gauge => "Gauge",
        }
    }

    /// What a form calls one of them in the file.
    pub fn called(self) -> &'static str {
        match self {
            InstrumentWord::Scale => "spring scale",
            InstrumentWord::Stopwatch => "stopwatch",
            InstrumentWord::Video => "phone",
            InstrumentWord::Tape => "tape",
            InstrumentWord::Gauge => "gauge",
        }
    }
}

fn once(name: &'static str, info: &'static DimensionInfo, given: &str) -> EntryField {
    EntryField { name, info: Some(info), times: Times::Once, needed: true, given: given.to_owned() }
}

fn maybe(name: &'static str, info: &'static DimensionInfo) -> EntryField {
    EntryField { needed: false, ..once(name, info, "") }
}

fn repeats(name: &'static str, info: &'static DimensionInfo, count: usize) -> EntryField {
    EntryField { times: Times::Repeats(count.max(1)), needed: false, ..once(name, info, "") }
}

/// What is to be written down of a reading of a field test ([`super::field_tests`]).
pub fn entry(reading: &ReadingFile) -> Entry {
    let of = |kind, fields, instrument| Entry { kind, fixed: Vec::new(), fields, instrument };
    let with = |mut entry: Entry, fixed: &[(&'static str, String)]| {
        entry.fixed = fixed.to_vec();
        entry
    };
    let seen = |kind, vehicle: &str, value: EntryField| {
        let speed = once("conveyor_speed", SpeedDim::INFO, "");
        let sat = [maybe("lateral_offset", LengthDim::INFO), maybe("yaw", AngleDim::INFO)];
        let fields = [speed, value].into_iter().chain(sat).collect();
        with(of(kind, fields, None), &[("vehicle", quoted(vehicle))])
    };
    match reading {
        ReadingFile::Pull { way, brush_center, air, walk, force, .. } => {
            let mut fields = vec![
                once("brush_center", LengthDim::INFO, brush_center.written()),
                repeats("force", ForceDim::INFO, force.len()),
            ];
            if walk.is_some() {
                fields.insert(1, once("walk", SpeedDim::INFO, ""));
            }
            if matches!(way, WayWord::StartOut | WayWord::StartIn) {
                fields.push(maybe("would_not_move", ForceDim::INFO));
            }
            let fixed = [("way", way.name().to_owned()), ("air", air.name().to_owned())];
            with(of("Pull", fields, Some(InstrumentWord::Scale)), &fixed)
        }
        ReadingFile::Swing { from, to, air, time, .. } => {
            let fields = vec![
                once("from", LengthDim::INFO, from.written()),
                once("to", LengthDim::INFO, to.written()),
                repeats("time", TimeDim::INFO, time.len()),
                maybe("did_not_arrive", TimeDim::INFO),
            ];
            with(of("Swing", fields, Some(InstrumentWord::Stopwatch)), &[("air", air.name().to_owned())])
        }
        ReadingFile::Film { from, air, frames_per_second, marks, .. } => {
            let places = marks.iter().map(|(place, _)| place.written().to_owned()).collect();
            let number =
                |name, times, given: String| EntryField { name, info: None, times, needed: true, given };
            let fields = vec![
                once("from", LengthDim::INFO, from.written()),
                number("frames_per_second", Times::Once, frames_per_second.to_string()),
                number("marks", Times::At(places), String::new()),
            ];
            with(of("Film", fields, Some(InstrumentWord::Video)), &[("air", air.name().to_owned())])
        }
        ReadingFile::PushBack { depth, height, spinning, force, .. } => {
            let fields = vec![
                once("depth", LengthDim::INFO, depth.written()),
                once("height", LengthDim::INFO, height.written()),
                repeats("force", ForceDim::INFO, force.len()),
            ];
            let fixed = [("spinning", spinning.to_string())];
            with(of("PushBack", fields, Some(InstrumentWord::Scale)), &fixed)
        }
        ReadingFile::Board { depth, height, power, .. } => {
            let fields = vec![
                once("depth", LengthDim::INFO, depth.written()),
                once("height", LengthDim::INFO, height.written()),
                repeats("power", PowerDim::INFO, power.len()),
                repeats("current", CurrentDim::INFO, 1),
                maybe("volts", VoltageDim::INFO),
                maybe("power_factor", FractionDim::INFO),
                maybe("efficiency", FractionDim::INFO),
            ];
            of("Board", fields, None)
        }
        ReadingFile::Gaps { .. } => {
            of("Gaps", vec![once("upper", LengthDim::INFO, ""), once("lower", LengthDim::INFO, "")], None)
        }
        ReadingFile::Level { top_leans_downstream, .. } => {
            let count = top_leans_downstream.len();
            of("Level", vec![repeats("top_leans_downstream", AngleDim::INFO, count)], None)
        }
        ReadingFile::Weight { mass, .. } => {
            of("Weight", vec![repeats("mass", MassDim::INFO, mass.len())], None)
        }
        ReadingFile::Gauge { cap, .. } => {
            let fields = vec![repeats("cap", PressureDim::INFO, cap.len())];
            of("Gauge", fields, Some(InstrumentWord::Gauge))
        }
        ReadingFile::WetDrag { load, pull, .. } => {
            let fields = vec![
                once("load", ForceDim::INFO, load.written()),
                repeats("pull", ForceDim::INFO, pull.len()),
            ];
            of("WetDrag", fields, None)
        }
        ReadingFile::Diameter { diameter, .. } => {
            of("Diameter", vec![repeats("diameter", LengthDim::INFO, diameter.len())], None)
        }
        ReadingFile::Rest { brush_center, .. } => {
            of("Rest", vec![repeats("brush_center", LengthDim::INFO, brush_center.len())], None)
        }
        ReadingFile::Strip { vehicle, width, .. } => {
            seen("Strip", vehicle, repeats("width", LengthDim::INFO, width.len()))
        }
        ReadingFile::Chase { vehicle, delay, .. } => {
            seen("Chase", vehicle, repeats("delay", TimeDim::INFO, delay.len()))
        }
    }
}

/// A text as it stands in a file.
fn quoted(text: &str) -> String {
    ron::to_string(text).unwrap_or_else(|_| "\"\"".to_owned())
}

impl Entry {
    /// The reading as it stands in a file: what was written down by field, blanks left out. `None` where nothing at all was written down but what was known
    /// before. What is wrong with it the reader of the file says.
    pub fn text(&self, given: &BTreeMap<String, Vec<String>>, by: Option<&str>) -> Option<String> {
        let mut parts: Vec<String> =
            self.fixed.iter().map(|(name, value)| format!("{name}: {value}")).collect();
        let mut is_any = false;
        for field in &self.fields {
            let list = given.get(field.name).map_or(&[][..], |list| list.as_slice());
            let written = |text: &String| match field.info {
                // A number stands bare; what is none is refused where it stands.
                None if text.parse::<f64>().is_ok() => text.clone(),
                _ => quoted(text),
            };
            let filled: Vec<&String> = list.iter().filter(|text| !text.trim().is_empty()).collect();
            let known = !field.given.is_empty();
            is_any |= !known && !filled.is_empty();
            match &field.times {
                Times::Once => {
                    if let Some(text) = filled.first() {
                        parts.push(format!("{}: {}", field.name, written(text)));
                    }
                }
                Times::Repeats(_) => {
                    if !filled.is_empty() {
                        let all: Vec<String> = filled.into_iter().map(written).collect();
                        parts.push(format!("{}: [{}]", field.name, all.join(", ")));
                    }
                }
                Times::At(places) => {
                    let marks = places.iter().zip(list).filter(|(_, text)| !text.trim().is_empty());
                    let all: Vec<String> = marks
                        .map(|(place, text)| format!("({}, {})", quoted(place), written(text)))
                        .collect();
                    parts.push(format!("{}: [{}]", field.name, all.join(", ")));
                }
            }
        }
        parts.extend(by.map(|name| format!("by: {}", quoted(name))));
        is_any.then(|| format!("{}({})", self.kind, parts.join(", ")))
    }
}

/// What a form says of an instrument; blank: as is usual.
#[derive(Debug, Clone, PartialEq)]
pub struct InstrumentSaid {
    /// What it is.
    pub kind: InstrumentWord,
    /// One standard deviation of one reading, as written.
    pub resolution: String,
    /// One standard deviation of what its readings share, as written.
    pub shared: String,
}

impl InstrumentSaid {
    /// As it stands in a file; `None` where it is as is usual.
    fn text(&self) -> Option<String> {
        let mut out = format!("(name: {}, kind: {}", quoted(self.kind.called()), self.kind.name());
        let amounts = [("resolution", &self.resolution), ("shared", &self.shared)];
        let stated = amounts.iter().filter(|(_, text)| !text.trim().is_empty());
        let more: String = stated.map(|(name, text)| format!(", {name}: {}", quoted(text))).collect();
        out.push_str(&more);
        out.push(')');
        (!more.is_empty()).then_some(out)
    }
}

/// A file of readings as a form writes it. Readings are those of [`Entry::text`] with what they are read with.
pub fn entries_text(
    of: OfWord,
    [title, note]: [&str; 2],
    instruments: &[InstrumentSaid],
    readings: &[(Entry, BTreeMap<String, Vec<String>>)],
) -> String {
    let mut out = "(\n    schema: 1,\n".to_owned();
    for (name, text) in [("title", title), ("note", note)] {
        if !text.trim().is_empty() {
            out.push_str(&format!("    {name}: {},\n", quoted(text.trim())));
        }
    }
    out.push_str(&format!("    of: {},\n", of.name()));
    let stated: Vec<(InstrumentWord, String)> =
        instruments.iter().filter_map(|said| Some((said.kind, said.text()?))).collect();
    if !stated.is_empty() {
        out.push_str("    instruments: [\n");
        stated.iter().for_each(|(_, text)| out.push_str(&format!("        {text},\n")));
        out.push_str("    ],\n");
    }
    out.push_str("    readings: [\n");
    for (entry, given) in readings {
        let by = entry.instrument.filter(|kind| stated.iter().any(|(own, _)| own == kind));
        if let Some(text) = entry.text(given, by.map(InstrumentWord::called)) {
            out.push_str(&format!("        {text},\n"));
        }
    }
    out.push_str("    ],\n)\n");
    out
}
