//! The one table of adjustable settings: what can be changed, within what range, in what step a technician can change it, and how it is
//! read and written.
//!
//! A path is the field's place in the scenario file: `left.bearings.lower_offset`, `line.throughput`. `both.` in place of `left.` or
//! `right.` means the pair; `vehicle.` means the measured vehicle of the train; `throughput`, `conveyor_speed` and `gap` alone mean
//! those of `line`. Items of lists are counted from 0: `left.dampers[0].out_stroke`.

mod access;
mod find;
mod group;
mod steps;
mod table;
mod typed;
pub(super) mod value;

pub use find::unit_and_rest;

pub(super) use find::{find, foam_file_edit};
pub use group::Group;
pub use typed::{TypedChange, split_typed, typed_for_foam_file};
pub use value::{Reading, SettingValue};

use super::checked::Scenario;
use super::file::ScenarioFile;
use super::knob::{Also, RowKind};
use super::limits::Limits;
use crate::arm::Side;
use crate::error::Refusal;
use crate::units::{DimensionInfo, Length, write_like};
use table::{Row, Scope, TABLE};

/// What values a setting takes.
#[derive(Debug, Clone, PartialEq)]
pub enum SettingKind {
    /// A quantity.
    Number {
        /// Its range.
        limits: &'static Limits,
        /// One field step, as written: `1/16 in`.
        step: &'static str,
    },
    /// A whole number; one field step is 1.
    Whole {
        /// Lowest.
        low: u32,
        /// Highest.
        high: u32,
    },
    /// One of a list of words; there are no steps.
    Choice(Vec<String>),
}

impl PartialEq for Limits {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self, other)
    }
}

/// The standard set-up of a setting (common practice, no source).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standard {
    /// One value: plumb, the middle hole.
    Value(String),
    /// Anything in a range: a regulator at 5 to 10 psi.
    Within(&'static str, &'static str),
}

/// Where a row of the table applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Spot {
    side: Side,
    index: usize,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Target {
    One(Spot),
    Pair([Spot; 2]),
}

/// One adjustable setting of one scenario.
#[derive(Debug, Clone)]
pub struct Setting {
    /// Its path.
    pub path: String,
    /// What it is, in trade words: `lower bearing, + toward the wall`.
    pub label: String,
    /// The unit or units it belongs to; empty for line and vehicle.
    pub sides: Vec<Side>,
    /// What values it takes.
    pub kind: SettingKind,
    /// Its place in the trade order.
    pub group: Group,
    /// Whether a technician can move it in the field.
    pub in_field: bool,
    /// Whether it is one of the five that a technician turns first (common practice, no source).
    pub first: bool,
    /// What is standard, if anything is.
    pub standard: Option<Standard>,
    row: &'static Row,
    target: Target,
}

/// Every setting of a scenario: line, vehicle, left, right, both.
pub fn all(scenario: &Scenario) -> Vec<Setting> {
    let mut settings = Vec::new();
    let file = scenario.file();
    let mut add = |scope: Scope, target: &dyn Fn(usize) -> Target, prefix: &str| {
        for row in TABLE.iter().filter(|row| row.scope == scope) {
            let items = if row.of_list() { usize::MAX } else { 1 };
            let there = |index| Setting::new(scenario, row, target(index), prefix);
            settings.extend((0..items).map_while(there));
        }
    };
    let left = |index| Spot { side: Side::Left, index };
    let right = |index| Spot { side: Side::Right, index };
    add(Scope::Line, &|index| Target::One(left(index)), "line");
    add(Scope::Vehicle, &|index| Target::One(left(index)), "vehicle");
    if file.foam.is_some() {
        add(Scope::Foam, &|index| Target::One(left(index)), "foam");
    }
    if file.left.is_some() {
        add(Scope::Unit, &|index| Target::One(left(index)), "left");
    }
    if file.right.is_some() {
        add(Scope::Unit, &|index| Target::One(right(index)), "right");
    }
    if file.left.is_some() && file.right.is_some() {
        add(Scope::Unit, &|index| Target::Pair([left(index), right(index)]), "both");
    }
    settings
}

impl Target {
    fn first(self) -> Spot {
        match self {
            Target::One(spot) => spot,
            Target::Pair([left, _]) => left,
        }
    }

    fn spots(self) -> Vec<Spot> {
        match self {
            Target::One(spot) => vec![spot],
            Target::Pair(spots) => spots.to_vec(),
        }
    }
}

impl Setting {
    fn new(scenario: &Scenario, row: &'static Row, target: Target, prefix: &str) -> Option<Setting> {
        let file = scenario.file();
        let spots = target.spots();
        for spot in &spots {
            row.get(file, *spot)?;
        }
        let first = target.first();
        let kind = match row.kind {
            RowKind::Number { limits, step } => SettingKind::Number { limits, step },
            RowKind::Hole => {
                let holes = |spot: &Spot| {
                    scenario
                        .hardware(spot.side)
                        .map_or(1, |h| h.stop_pin.brush_center.len().max(h.stop_pin.angle.len()))
                };
                let fewest = spots.iter().map(holes).min().unwrap_or(1);
                SettingKind::Whole { low: 1, high: u32::try_from(fewest).unwrap_or(1) }
            }
            RowKind::Words(words) => {
                SettingKind::Choice(words.iter().map(|word| (*word).to_owned()).collect())
            }
            RowKind::VehicleName => SettingKind::Choice(
                scenario.vehicles().iter().map(|vehicle| vehicle.name.to_string()).collect(),
            ),
            RowKind::Bore => SettingKind::Choice(
                file.foam.as_ref()?.suction.bores.iter().map(|bore| bore.written().to_owned()).collect(),
            ),
        };
        let standard = match (row.knob.standard, row.kind) {
            (_, RowKind::Hole) => scenario
                .hardware(first.side)
                .map(|hardware| Standard::Value(super::build::middle_hole(hardware).to_string())),
            (Some([low, high]), _) if low == high => Some(Standard::Value(low.to_owned())),
            (Some([low, high]), _) => Some(Standard::Within(low, high)),
            (None, _) => None,
        };
        Some(Setting {
            path: format!("{prefix}.{}", row.path_of(first.index)),
            label: row.label_of(first.index),
            sides: if row.scope == Scope::Unit {
                spots.iter().map(|spot| spot.side).collect()
            } else {
                Vec::new()
            },
            kind,
            group: row.knob.group,
            in_field: row.knob.in_field && (row.scope != Scope::Foam || sets_friction(scenario)),
            first: row.knob.first,
            standard,
            row,
            target,
        })
    }

    /// What it stands at. `None` when the scenario no longer has it.
    pub fn read(&self, scenario: &Scenario) -> Option<Reading> {
        let file = scenario.file();
        let get = |spot| self.row.get(file, spot);
        match self.target {
            Target::One(spot) => Some(Reading::Value(self.indexed(get(spot)?))),
            Target::Pair([left, right]) => {
                let (left, right) = (self.indexed(get(left)?), self.indexed(get(right)?));
                if left.si == right.si {
                    Some(Reading::Value(left))
                } else {
                    Some(Reading::Differs { left, right })
                }
            }
        }
    }

    /// A choice counts by its place in the list.
    fn indexed(&self, mut value: SettingValue) -> SettingValue {
        if let SettingKind::Choice(words) = &self.kind {
            value.si = self.place(words, &value.text).unwrap_or(0) as f64;
        }
        value
    }

    /// Place of a text in the list of choices; the same bore may be written in another unit.
    fn place(&self, words: &[String], text: &str) -> Result<usize, Refusal> {
        match (&self.row.kind, value::choice(text, words)) {
            (RowKind::Bore, Err(refusal)) => {
                let given = Length::parse(text.trim()).map_err(|error| error.refusal())?;
                let listed: Vec<Length> = words.iter().filter_map(|word| Length::parse(word).ok()).collect();
                super::foam::nearest_bore(&listed, given.si()).ok_or_else(|| Refusal {
                    problem: "no tip of the list has this bore".to_owned(),
                    advice: "name one of foam.suction.bores, or add this bore to them".to_owned(),
                    ..refusal
                })
            }
            (_, done) => done,
        }
    }

    /// Whether the choices are steps on a ladder: one field step goes to the next.
    fn is_ladder(&self) -> bool {
        matches!(self.row.kind, RowKind::Bore)
    }

    /// What it stands at in SI (a choice: its index); `None` when the pair differs.
    pub fn value_si(&self, scenario: &Scenario) -> Option<f64> {
        match self.read(scenario)? {
            Reading::Value(value) => Some(value.si),
            Reading::Differs { .. } => None,
        }
    }

    /// The dimension of a quantity.
    pub fn info(&self) -> Option<&'static DimensionInfo> {
        match &self.kind {
            SettingKind::Number { limits, .. } => Some(limits.info),
            _ => None,
        }
    }

    /// One field step in SI; `None` for a choice.
    pub fn step_si(&self) -> Option<f64> {
        match &self.kind {
            SettingKind::Number { .. } => self.row.step_si,
            SettingKind::Whole { .. } => Some(1.0),
            SettingKind::Choice(_) => self.is_ladder().then_some(1.0),
        }
    }

    /// One field step as written.
    pub fn step_text(&self) -> String {
        match &self.kind {
            SettingKind::Number { step, .. } => (*step).to_owned(),
            SettingKind::Whole { .. } => "1".to_owned(),
            SettingKind::Choice(_) if self.is_ladder() => "the next of the list".to_owned(),
            SettingKind::Choice(_) => String::new(),
        }
    }

    /// Lowest and highest value in SI (a choice: first and last index).
    pub fn range_si(&self) -> (f64, f64) {
        match &self.kind {
            SettingKind::Number { limits, .. } => limits.si(),
            SettingKind::Whole { low, high } => (f64::from(*low), f64::from(*high)),
            SettingKind::Choice(words) => (0.0, words.len().saturating_sub(1) as f64),
        }
    }

    /// What is allowed, as written: «0 psi to 60 psi», «1 to 3», or the words.
    pub fn range_text(&self) -> String {
        match &self.kind {
            SettingKind::Number { limits, .. } => limits.text(),
            SettingKind::Whole { low, high } => format!("{low} to {high}"),
            SettingKind::Choice(words) => words.join(", "),
        }
    }

    /// What limits it besides its range, which depends on other settings: «the pivot leans up to 2.70 in over its bearing_span of 18 in».
    pub fn also_limited(&self, scenario: &Scenario) -> Option<String> {
        let file = scenario.file();
        match self.row.knob.also? {
            Also::Lean => {
                let spans = self.target.spots().into_iter().filter_map(|spot| scenario.hardware(spot.side));
                let span = spans.map(|h| &h.pivot.bearing_span).min_by(|a, b| a.si().total_cmp(&b.si()))?;
                let most = super::check::setup::most_lean_m(span.si());
                let over = super::check::inches(most);
                Some(format!("both bearings together: the pivot leans up to {over} over its bearing_span"))
            }
            Also::Lane => {
                let lane = file.line.lane_width.written();
                Some(format!(
                    "the vehicle as it sits must fit line.lane_width, {lane}, and get past the arms"
                ))
            }
            Also::FoamDuty => file.foam.as_ref().map(|_| {
                let (low, high) = crate::foam::station::CONVEYOR_M_S;
                format!("the foam station is computed for {low} to {high} m/s of conveyor")
            }),
            Also::Strips => {
                let brushes = self.target.spots().into_iter().filter_map(|spot| scenario.hardware(spot.side));
                let free =
                    brushes.map(|h| super::check::setup::free_strip_m(&h.brush)).min_by(f64::total_cmp)?;
                let most = super::check::inches(super::check::setup::MOST_WORN * free);
                Some(format!("strips worn by less than {most}, nine tenths of what stands out from the hub"))
            }
            Also::NeedleTravel => {
                let full = file.foam.as_ref()?.air.needle.full_open_steps.written();
                Some(format!("this needle valve is full open at {full}"))
            }
        }
    }

    /// A SI value (a choice: an index) as it would be written, in the style of what stands there.
    ///
    /// # Errors
    /// [`Refusal`] when it is out of range, not a whole number where one is wanted, or not a number.
    pub fn text_of(&self, scenario: &Scenario, si: f64) -> Result<String, Refusal> {
        let spot = self.target.first();
        let now = self.row.get(scenario.file(), spot).map(|value| value.text).unwrap_or_default();
        self.text_like(&now, si)
    }

    fn text_like(&self, now: &str, si: f64) -> Result<String, Refusal> {
        let out = |given: String| Refusal {
            problem: "the value is out of range".to_owned(),
            given,
            allowed: self.range_text(),
            advice: "choose a value in the range".to_owned(),
        };
        match &self.kind {
            SettingKind::Number { limits, step } => {
                if !limits.holds(si) {
                    let given = write_like(limits.info, step, si).unwrap_or_else(|_| si.to_string());
                    return Err(out(given));
                }
                let model = value::model(limits.info, now, step);
                write_like(limits.info, model, si).map_err(|error| error.refusal())
            }
            SettingKind::Whole { low, high } => {
                if si.fract() != 0.0 || si < f64::from(*low) || si > f64::from(*high) {
                    return Err(out(si.to_string()));
                }
                Ok(format!("{si}"))
            }
            SettingKind::Choice(words) => {
                let index = (si.fract() == 0.0 && si >= 0.0).then_some(si as usize);
                index.and_then(|index| words.get(index)).cloned().ok_or_else(|| out(si.to_string()))
            }
        }
    }

    /// Reads one value, checks its range and gives it in SI (a choice: its index).
    ///
    /// # Errors
    /// [`Refusal`] when it cannot be read or is out of range.
    pub fn number(&self, text: &str) -> Result<f64, Refusal> {
        let si = self.number_in_step_unit(text)?;
        self.text_like(text, si)?;
        Ok(si)
    }

    /// The text with the unit of the field step where a number stands alone («140» for a throughput is «140 veh/h»), else as it is. What is typed on
    /// a command line may leave the unit out, what stands in a file may not.
    pub fn spelled(&self, text: &str) -> String {
        match &self.kind {
            SettingKind::Number { limits, step } => value::spelled(limits.info, text, step),
            _ => text.to_owned(),
        }
    }

    fn number_in_step_unit(&self, text: &str) -> Result<f64, Refusal> {
        match &self.kind {
            SettingKind::Number { limits, step } => {
                value::read_bare(limits.info, text, step).map_err(|e| e.refusal())
            }
            SettingKind::Whole { .. } => value::whole(text, &self.range_text()).map(f64::from),
            SettingKind::Choice(words) => self.place(words, text).map(|index| index as f64),
        }
    }

    /// Writes a value into the file types and says what to change in the text.
    pub(super) fn write(
        &self,
        file: &mut ScenarioFile,
        text: &str,
    ) -> Result<Vec<(String, String)>, Refusal> {
        let text = text.trim();
        let mut text = text;
        match &self.kind {
            SettingKind::Choice(words) => text = &words[self.place(words, text)?],
            SettingKind::Whole { .. } => {
                value::whole(text, &self.range_text())?;
            }
            SettingKind::Number { .. } => {}
        }
        let mut edits = Vec::with_capacity(2);
        for spot in self.target.spots() {
            self.row.set(file, spot, text)?;
            edits.extend(self.row.edit(file, spot));
        }
        Ok(edits)
    }

    /// The same with a number in SI, as it is.
    pub(super) fn write_si(
        &self,
        file: &mut ScenarioFile,
        si: f64,
    ) -> Result<Vec<(String, String)>, Refusal> {
        if let SettingKind::Number { limits, .. } = &self.kind
            && !limits.holds(si)
        {
            return Err(Refusal {
                problem: "the value is out of range".to_owned(),
                given: si.to_string(),
                allowed: self.range_text(),
                advice: "choose a value in the range".to_owned(),
            });
        }
        let mut edits = Vec::with_capacity(2);
        for spot in self.target.spots() {
            self.row.set_si(file, spot, si)?;
            edits.extend(self.row.edit(file, spot));
        }
        Ok(edits)
    }
}

/// Whether the foam station sets the friction of any brush, so that its knobs do something to the pass.
fn sets_friction(scenario: &Scenario) -> bool {
    Side::BOTH.into_iter().any(|side| scenario.foam_sets_friction(side))
}
