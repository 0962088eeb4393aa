//! The settings in order, each with the row of its part.

use super::access::{measured, not_there, special, train_edit};
use super::{Group, SettingValue, Spot};
use crate::arm::Side;
use crate::error::Refusal;
use crate::scenario::file::{LineFile, ScenarioFile, TrainFields};
use crate::scenario::foam::FoamPart;
use crate::scenario::knob::{Access, Field, Knob, RowKind};
use crate::scenario::part::{Kind, Parameter, Value};
use crate::scenario::setup_file::UnitFile;
use crate::units::read;
use std::sync::{Arc, LazyLock};

/// What a row belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::scenario) enum Scope {
    /// `line.`
    Line,
    /// `vehicle.`
    Vehicle,
    /// `left.`, `right.` and `both.`
    Unit,
    /// `foam.`
    Foam,
}

impl Scope {
    const ALL: [Scope; 4] = [Scope::Line, Scope::Vehicle, Scope::Unit, Scope::Foam];

    /// The words a path of it may begin with.
    const fn words(self) -> &'static [&'static str] {
        match self {
            Scope::Line => &["line"],
            Scope::Vehicle => &["vehicle"],
            Scope::Unit => &["left", "right", "both"],
            Scope::Foam => &["foam"],
        }
    }

    /// The one whose paths may begin with this word.
    pub fn from_word(word: &str) -> Option<Scope> {
        Scope::ALL.into_iter().find(|scope| scope.words().contains(&word))
    }

    /// The word a path begins with that means one place: that of the side for a unit.
    pub fn word(self, side: Side) -> &'static str {
        match self {
            Scope::Unit => side.name(),
            Scope::Line | Scope::Vehicle | Scope::Foam => self.words()[0],
        }
    }
}

/// One row. `#` in the path stands for the number of an item.
#[derive(Debug)]
pub(in crate::scenario) struct Row {
    pub scope: Scope,
    pub path: String,
    pub knob: &'static Knob,
    pub kind: RowKind,
    /// One field step in SI; `None` where there is none.
    pub step_si: Option<f64>,
}

impl Row {
    fn new(scope: Scope, path: &str, row: &'static Parameter, kind: Kind) -> Option<Row> {
        let knob = row.knob.as_ref()?;
        let kind = match (knob.values, kind) {
            (Some(kind), _) => kind,
            (None, Kind::Quantity) => RowKind::Number { limits: &row.limits, step: knob.step },
            (None, Kind::Words(words)) => RowKind::Words(words),
            (None, Kind::Whole) => RowKind::Hole,
            (None, Kind::Other) => return None,
        };
        let step_si = match kind {
            RowKind::Number { limits, step } => read(limits.info, step).ok().map(|reading| reading.si),
            RowKind::Hole | RowKind::Words(_) | RowKind::VehicleName | RowKind::Bore => None,
        };
        Some(Row { scope, path: path.to_owned(), knob, kind, step_si })
    }

    /// Whether there is one for each item of a list.
    pub fn of_list(&self) -> bool {
        self.path.contains('#')
    }

    /// The path with an item's number.
    pub fn path_of(&self, index: usize) -> String {
        self.path.replace('#', &index.to_string())
    }

    /// The label with an item's number, from 1.
    pub fn label_of(&self, index: usize) -> String {
        self.knob.label.replace('#', &(index + 1).to_string())
    }

    /// The item a path means, if it is a path of this row.
    pub fn index_of(&self, path: &str) -> Option<usize> {
        let Some((head, tail)) = self.path.split_once('#') else {
            return (path == self.path).then_some(0);
        };
        let number = path.strip_prefix(head)?.strip_suffix(tail)?;
        number.bytes().all(|b| b.is_ascii_digit()).then(|| number.parse().ok()).flatten()
    }

    /// Where the value stands in the scenario file.
    pub fn file_path(&self, spot: Spot) -> String {
        format!("{}.{}", self.scope.word(spot.side), self.path_of(spot.index))
    }

    fn field<'f>(&self, file: &'f ScenarioFile, spot: Spot) -> Option<&'f dyn Field> {
        let path = self.path_of(spot.index);
        match self.scope {
            Scope::Line => file.line.find(&path),
            Scope::Vehicle => file.train.get(measured(file))?.find(&path),
            Scope::Unit => file.unit(spot.side)?.find(&path),
            Scope::Foam => file.foam.as_ref()?.find(&path),
        }
    }

    fn field_mut<'f>(&self, file: &'f mut ScenarioFile, spot: Spot) -> Option<&'f mut dyn Field> {
        let (path, measured) = (self.path_of(spot.index), measured(file));
        match self.scope {
            Scope::Line => file.line.find_mut(&path),
            Scope::Vehicle => file.train.get_mut(measured)?.find_mut(&path),
            Scope::Unit => file.unit_mut(spot.side)?.find_mut(&path),
            Scope::Foam => Arc::make_mut(&mut file.foam.as_mut()?.0).find_mut(&path),
        }
    }

    /// What stands in the file; `None` where there is nothing to set.
    pub fn get(&self, file: &ScenarioFile, spot: Spot) -> Option<SettingValue> {
        match special(self.knob.access) {
            Some(special) => (special.get)(file, spot),
            None => self.field(file, spot).map(Field::value),
        }
    }

    /// Changes what stands in the file.
    pub fn set(&self, file: &mut ScenarioFile, spot: Spot, text: &str) -> Result<(), Refusal> {
        match special(self.knob.access) {
            Some(special) => (special.set)(file, spot, text),
            None => self.field_mut(file, spot).ok_or_else(not_there)?.set(text),
        }
    }

    /// Changes what stands in the file to a number as it is, SI.
    pub fn set_si(&self, file: &mut ScenarioFile, spot: Spot, si: f64) -> Result<(), Refusal> {
        match special(self.knob.access) {
            Some(special) => (special.set_si)(file, spot, si),
            None => self.field_mut(file, spot).ok_or_else(not_there)?.set_si(si),
        }
    }

    /// What to change in the text: places in the file with their new RON.
    pub fn edit(&self, file: &ScenarioFile, spot: Spot) -> Vec<(String, String)> {
        let path = self.file_path(spot);
        match (special(self.knob.access), self.field(file, spot)) {
            (Some(special), _) => (special.edit)(file, spot, &path),
            (None, Some(field)) if self.scope == Scope::Vehicle => train_edit(file, &self.path, field.ron()),
            (None, field) => field.map(|field| (path, field.ron())).into_iter().collect(),
        }
    }
}

/// Which vehicle is measured: a name, whose choices are those of the scenario.
static VEHICLE: Knob = Knob {
    label: "measured vehicle",
    group: Group::Vehicle,
    in_field: false,
    access: Access::VehicleName,
    ..Knob::NONE
};

/// Every setting there may be: line, vehicle, unit in the order of the trade, foam station.
pub(in crate::scenario) static TABLE: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let of = |scope: Scope, walk: &dyn Fn(&str, &mut crate::scenario::part::Visit<'_>)| {
        let mut rows = Vec::new();
        walk("", &mut |path, row, kind| rows.extend(Row::new(scope, path, row, kind)));
        rows.sort_by_key(|row| (row.knob.group, row.knob.rank));
        rows
    };
    let name = Row {
        scope: Scope::Vehicle,
        path: "name".to_owned(),
        knob: &VEHICLE,
        kind: RowKind::VehicleName,
        step_si: None,
    };
    let mut table = of(Scope::Line, &LineFile::walk_rows);
    table.push(name);
    table.extend(of(Scope::Vehicle, &TrainFields::walk_rows));
    table.extend(of(Scope::Unit, &UnitFile::walk_rows));
    table.extend(of(Scope::Foam, &FoamPart::walk_rows));
    table
});
