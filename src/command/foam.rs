//! `brusharm foam`: the foam station of a scenario, or of a file of its own.

use super::common::{Common, OutputArguments, say_steps};
use super::input::read_text;
use super::kind::FileKind;
use super::options::{SvgOption, deliver_beside};
use super::pass::PassFormat;
use super::problem::{Problem, refusal};
use super::{Run, exit};
use crate::drawing::{Theme, svg};
use crate::error::{Refusal, nearest};
use crate::foam::FoamError;
use crate::foam::dilution_study::{Caught, TimedVolume};
use crate::foam::fault::{Readings, Symptom};
use crate::report::foam::map::foam_map;
use crate::report::foam::{FoamQuestions, FoamReport, FoamSubject};
use crate::scenario::foam::places::in_trade_units;
use crate::scenario::foam::{FoamFile, MixRatio};
use crate::scenario::setting::typed_for_foam_file;
use crate::units::{Dimension, FlowDim, PressureDim, Quantity, Time, Volume, VolumeDim};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// What is seen at the outlets or the container.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Seen {
    /// It runs off: a stream or runny foam
    Watery,
    /// The outlets spit
    Spits,
    /// Too little liquid in the foam
    Dry,
    /// The colour fades
    ColourFading,
    /// Next to no concentrate is drawn
    NoDraw,
}

impl Seen {
    fn symptom(self) -> Symptom {
        match self {
            Seen::Watery => Symptom::Watery,
            Seen::Spits => Symptom::Spits,
            Seen::Dry => Symptom::Dry,
            Seen::ColourFading => Symptom::ColourFading,
            Seen::NoDraw => Symptom::NoDraw,
        }
    }
}

/// What the bucket of a bucket test caught.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum CaughtWord {
    /// The injector's outlet with the suction working
    Solution,
    /// Water, with the suction line shut
    Water,
}

/// Say what a foam station does: dilution, foam, friction, use and cost
///
/// FILE is a scenario with a foam part, or a foam file of its own. With --seen and --reading it looks for what is wrong, with --draw-down
/// and --bucket it reduces field tests to a measured ratio. The drawing is the map of regimes over liquid and air pressure. Numbers of the JSON and CSV forms are SI; what does not exist is null or empty,
/// never 0.
#[derive(Debug, Args)]
pub(crate) struct FoamArguments {
    #[command(flatten)]
    common: Common,

    /// Form of the result
    #[arg(long, value_enum, default_value_t = PassFormat::Text)]
    format: PassFormat,

    #[command(flatten)]
    drawing: SvgOption,

    /// Ratio wanted, parts of water to one: 60:1. Goes before the one in the file
    #[arg(long, value_name = "RATIO")]
    target: Option<String>,

    /// What is seen; may be given several times
    #[arg(long, value_enum, value_name = "SYMPTOM")]
    seen: Vec<Seen>,

    /// What was read, such as tee="18 psi"; may be given several times. Names: supply, injector-inlet, suction (a vacuum), water-flow,
    /// concentrate-flow, ratio, liquid-gauge, air-gauge, tee, liquid-flow, expansion
    #[arg(long, value_name = "NAME=VALUE")]
    reading: Vec<String>,

    /// Draw-down test: what the injector drew from the container, such as "8 fl oz in 60 s"
    #[arg(long, value_name = "VOLUME in TIME")]
    draw_down: Option<String>,

    /// Bucket test: what the injector's outlet gave, such as "2 gal in 45 s"
    #[arg(long, value_name = "VOLUME in TIME")]
    bucket: Option<String>,

    /// What the bucket caught
    #[arg(long, value_enum, default_value_t = CaughtWord::Solution)]
    bucket_caught: CaughtWord,

    #[command(flatten)]
    output: OutputArguments,
}

/// What was read from the file.
struct Read {
    subject: FoamSubject,
    target_ratio: Option<f64>,
    inputs: Vec<PathBuf>,
}

impl Run for FoamArguments {
    fn run(&self) -> Result<u8, Problem> {
        let mut questions = self.questions()?;
        let read = self.read()?;
        questions.target_ratio = questions.target_ratio.or(read.target_ratio);
        let destination = self.output.result_beside(&read.inputs)?;
        let map_to = self.drawing.target(&self.output, &read.inputs)?;
        let units = self.common.unit_system();
        let name = read.subject.file.clone();
        // The station was checked when it was read: what is refused now is a question.
        let refused = |error: FoamError| {
            let (option, told) = asked(&error);
            Problem::option(option.unwrap_or(&name), told)
        };
        let report = FoamReport::compute(read.subject, questions).map_err(refused)?;
        let text = match self.format {
            PassFormat::Text => report.text(units),
            PassFormat::Json => report.json(),
            PassFormat::Csv => {
                report.csv().map_err(|e| Problem::writing("the table", &std::io::Error::other(e)))?
            }
        };
        if let Some(target) = &map_to {
            let map = svg::svg(&foam_map(&report, units).map_err(refused)?, Theme::Light);
            target.write(map.as_bytes())?;
        }
        deliver_beside(map_to.as_ref(), &self.output, &destination, &text)?;
        Ok(exit::DONE)
    }
}

impl FoamArguments {
    /// Reads the file: a foam file when it has a foam part and none of a scenario's, a scenario otherwise.
    fn read(&self) -> Result<Read, Problem> {
        let file = &self.common.file;
        let name = file.display().to_string();
        let text = read_text(file, &name)?;
        if FileKind::of(&text) == Some(FileKind::Foam) {
            let set = say_steps(&typed_for_foam_file(&text, &self.common.changes()?)?);
            let (read, station) = FoamFile::read_with(&name, &text, &set)?;
            return Ok(Read {
                target_ratio: read.foam.target_ratio.as_ref().map(MixRatio::parts),
                subject: FoamSubject::of_file(&name, &read, station),
                inputs: vec![file.clone()],
            });
        }
        let loaded = self.common.load()?;
        let found = FoamSubject::of_scenario(&name, loaded.title(), &loaded.scenario);
        let Some((subject, target_ratio)) = found else {
            let advice = "add the part `foam: (…),` to it, or name a foam file such as foam-station.ron";
            return Err(Problem::file(&name, refusal("this scenario has no foam station", "", "", advice)));
        };
        Ok(Read { target_ratio, subject, inputs: loaded.inputs.clone() })
    }

    fn questions(&self) -> Result<FoamQuestions, Problem> {
        let target = self.target.as_deref().map(MixRatio::parse).transpose();
        let mut symptoms = Vec::new();
        for seen in &self.seen {
            if !symptoms.contains(&seen.symptom()) {
                symptoms.push(seen.symptom());
            }
        }
        let caught = match self.bucket_caught {
            CaughtWord::Solution => Caught::Solution,
            CaughtWord::Water => Caught::Water,
        };
        Ok(FoamQuestions {
            target_ratio: target
                .map_err(|told| Problem::option("--target", told))?
                .map(|ratio| ratio.parts()),
            symptoms,
            readings: readings(&self.reading)?,
            draw_down: self.draw_down.as_deref().map(|text| timed("--draw-down", text)).transpose()?,
            bucket: self
                .bucket
                .as_deref()
                .map(|text| timed("--bucket", text).map(|test| (test, caught)))
                .transpose()?,
        })
    }
}

/// Names of readings as taken on the command line.
const READINGS: [&str; 11] = [
    "supply",
    "injector-inlet",
    "suction",
    "water-flow",
    "concentrate-flow",
    "ratio",
    "liquid-gauge",
    "air-gauge",
    "tee",
    "liquid-flow",
    "expansion",
];

fn readings(given: &[String]) -> Result<Readings, Problem> {
    let mut readings = Readings::default();
    for text in given {
        let refuse = |told: Refusal| Problem::option("--reading", told);
        let Some((name, value)) = text.split_once('=') else {
            let advice = "write for example --reading tee=\"18 psi\"";
            return Err(refuse(refusal("a reading needs a name and a value", text, "NAME=VALUE", advice)));
        };
        let (name, value) = (name.trim(), value.trim());
        let slot = match name {
            "supply" => &mut readings.supply_pa,
            "injector-inlet" => &mut readings.injector_inlet_pa,
            "suction" => &mut readings.suction_pa,
            "water-flow" => &mut readings.water_flow_m3_s,
            "concentrate-flow" => &mut readings.concentrate_flow_m3_s,
            "ratio" => &mut readings.ratio,
            "liquid-gauge" => &mut readings.liquid_pa,
            "air-gauge" => &mut readings.air_pa,
            "tee" => &mut readings.tee_pa,
            "liquid-flow" => &mut readings.liquid_flow_m3_s,
            "expansion" => &mut readings.expansion_ratio,
            _ => {
                let advice = match nearest(name, READINGS) {
                    Some(likely) => format!("write {likely} if that is what you mean"),
                    None => "use one of these names".to_owned(),
                };
                return Err(refuse(refusal("there is no such reading", name, &READINGS.join(", "), &advice)));
            }
        };
        let read = match name {
            "ratio" => MixRatio::parse(value).map(|ratio| ratio.parts()),
            "expansion" => number::<crate::units::FractionDim>(value.strip_suffix(":1").unwrap_or(value)),
            "water-flow" | "concentrate-flow" | "liquid-flow" => number::<FlowDim>(value),
            _ => number::<PressureDim>(value),
        };
        if slot.replace(read.map_err(refuse)?).is_some() {
            return Err(refuse(refusal(
                "this reading is given twice",
                name,
                "each reading once",
                "leave one out",
            )));
        }
    }
    Ok(readings)
}

fn number<D: Dimension>(text: &str) -> Result<f64, Refusal> {
    Quantity::<D>::parse(text).map(|quantity| quantity.si()).map_err(|error| error.refusal())
}

/// `VOLUME in TIME`.
fn timed(option: &str, text: &str) -> Result<TimedVolume, Problem> {
    let refuse = |told| Problem::option(option, told);
    let Some((volume, time)) = text.rsplit_once(" in ") else {
        let advice = "write for example \"8 fl oz in 60 s\"";
        return Err(refuse(refusal("a test needs a volume and a time", text, "VOLUME in TIME", advice)));
    };
    Ok(TimedVolume {
        volume_m3: Volume::parse(volume).map_err(|error| refuse(error.refusal()))?.si(),
        time_s: Time::parse(time).map_err(|error| refuse(error.refusal()))?.si(),
    })
}

/// The option that a question the model refuses came from, and what it says.
fn asked(error: &FoamError) -> (Option<&'static str>, Refusal) {
    let field = error.field();
    let option = [
        ("target_ratio", "--target"),
        ("readings.", "--reading"),
        ("draw_down", "--draw-down"),
        ("bucket", "--bucket"),
    ]
    .iter()
    .find(|(start, _)| field.starts_with(start))
    .map(|(_, option)| *option);
    let told = match error {
        FoamError::OutOfRange { given, unit, low, high, advice, .. } => {
            let info = match *unit {
                "Pa" => Some(PressureDim::INFO),
                "m3/s" => Some(FlowDim::INFO),
                "m3" => Some(VolumeDim::INFO),
                _ => None,
            };
            let said = |si: f64| in_trade_units(si, unit, info);
            let range = format!("{} to {}", said(*low), said(*high));
            refusal("the value is out of range", &said(*given), &range, advice)
        }
        FoamError::Conflict { given, allowed, advice, .. } => {
            refusal("this does not go with the rest", given, allowed, advice)
        }
    };
    (option, told)
}
