//! Files that a scenario names: a machine, vehicles.

use super::check::vehicles::{KnownVehicle, add};
use super::check::{At, Checker, SourceFile, line};
use super::diagnostic::RonText;
use super::file::ScenarioFile;
use super::machine_file::{HardwareFile, MachineFile, MachineOnlyFile};
use super::vehicle_file::{VehicleEntry, VehiclesOnlyFile};
use super::written::Shared;
use crate::error::{Diagnostic, Diagnostics, Refusal};
use serde::de::DeserializeOwned;
use std::sync::Arc;

/// Fetches the text of a file that a scenario names, by its name beside the scenario. The core opens no files itself.
pub type Loader<'l> = dyn Fn(&str) -> Result<String, String> + 'l;

/// The longest text read, bytes.
const LONGEST_FILE: usize = 1 << 20;

/// A file of this size is not a scenario.
pub(super) fn check_size(name: &str, text: &str) -> Result<(), Diagnostics> {
    if text.len() <= LONGEST_FILE {
        return Ok(());
    }
    let refusal = Refusal {
        problem: "the file is too large".to_owned(),
        given: format!("{} bytes", text.len()),
        allowed: format!("up to {LONGEST_FILE} bytes"),
        advice: "check that it is the right file".to_owned(),
    };
    Err(Diagnostic::of_file(name, refusal).into())
}

/// The machine, wherever it stands.
pub(super) struct Machine {
    /// Index of the file it stands in.
    pub file: usize,
    /// Whether one description serves both units.
    pub alike: bool,
    /// Hardware of the left and the right unit.
    pub hardware: [Option<Arc<HardwareFile>>; 2],
}

pub(super) fn machine(
    files: &mut Vec<SourceFile>,
    scenario: &ScenarioFile,
    loader: &Loader<'_>,
) -> Result<Machine, Diagnostics> {
    let root = At::root(0);
    let name = match &*scenario.machine {
        MachineFile::File(name) => name,
        here => return Ok(placed(0, here)),
    };
    let inner: MachineOnlyFile = read(files, root.of("machine"), name, loader)?;
    let file = files.len() - 1;
    let root = At::root(file);
    let mut c = Checker::new(files, &[]);
    line::schema(&mut c, root.of("schema"), inner.schema);
    if let MachineFile::File(_) = inner.machine {
        no_further_file(&mut c, root.of("machine"), "Both(…) or Each(left: (…), right: (…))");
    }
    c.stage()?;
    Ok(placed(file, &inner.machine))
}

fn placed(file: usize, machine: &MachineFile) -> Machine {
    let (alike, hardware) = match machine {
        MachineFile::Both(unit) => (true, [Some(unit.clone()), Some(unit.clone())]),
        MachineFile::Each(each) => {
            let of = |unit: &Option<Shared<HardwareFile>>| unit.as_ref().map(|unit| unit.0.clone());
            (false, [of(&each.left), of(&each.right)])
        }
        MachineFile::File(_) => (true, [None, None]),
    };
    Machine { file, alike, hardware }
}

/// The vehicles, wherever they stand.
pub(super) fn vehicles(
    files: &mut Vec<SourceFile>,
    scenario: &ScenarioFile,
    loader: &Loader<'_>,
) -> Result<Vec<KnownVehicle>, Diagnostics> {
    let root = At::root(0);
    let list = root.of("vehicles");
    let mut known = Vec::new();
    let mut found = Diagnostics::default();
    let mut collect = |done: Result<(), Diagnostics>| {
        if let Err(errors) = done {
            found.0.extend(errors.0);
        }
    };
    for (index, entry) in scenario.vehicles.iter().enumerate() {
        if let VehicleEntry::File(name) = entry {
            let inner: VehiclesOnlyFile = read(files, list.item(index), name, loader)?;
            let root = At::root(files.len() - 1);
            let list = root.of("vehicles");
            let mut c = Checker::new(files, &[]);
            line::schema(&mut c, root.of("schema"), inner.schema);
            for (index, entry) in inner.vehicles.iter().enumerate() {
                if let VehicleEntry::File(_) = entry {
                    no_further_file(&mut c, list.item(index), "Demo(\"…\") or Own(…)");
                }
                add(&mut c, list, index, entry, &mut known);
            }
            collect(c.stage());
        } else {
            let mut c = Checker::new(files, &[]);
            add(&mut c, list, index, entry, &mut known);
            collect(c.stage());
        }
    }
    found.into_result()?;
    Ok(known)
}

fn no_further_file(c: &mut Checker<'_>, at: At<'_>, allowed: &str) {
    c.sense(
        at,
        "a file that a scenario names cannot name a further file",
        "File(…)",
        allowed,
        "write it here, or name that file in the scenario itself",
    );
}

/// Reads a text, and says which words may stand where one of a few words with parentheses is wanted.
pub(super) fn parse<T: DeserializeOwned>(name: &str, text: &str) -> Result<T, Diagnostics> {
    RonText::new(name, text).read().map_err(|mut errors: Diagnostics| {
        for error in errors.0.iter_mut().filter(|error| error.allowed.ends_with("without quotes")) {
            let field = error.field.as_str();
            let in_list = field.split('[').next().unwrap_or_default();
            let words = match (field, in_list.rsplit('.').next()) {
                ("machine", _) => "Both(…), Each(left: (…), right: (…)) or File(\"name.ron\")",
                (_, Some("vehicles")) => "Demo(\"sedan\"), Own(name: …) or File(\"name.ron\")",
                (_, Some("parts")) => "Rod(…), Point(…) or Given(…)",
                (_, Some("place")) => "Side(…), Nose(…), Tail(…) or Standing(…)",
                _ => continue,
            };
            error.allowed = words.to_owned();
            error.advice = format!("write one of {words}");
        }
        errors
    })
}

/// Fetches and reads a file beside the scenario, and adds it to the list of files.
fn read<T: DeserializeOwned>(
    files: &mut Vec<SourceFile>,
    at: At<'_>,
    name: &str,
    loader: &Loader<'_>,
) -> Result<T, Diagnostics> {
    let mut c = Checker::new(files, &[]);
    if !is_beside(name) {
        c.sense(
            at,
            "a scenario names only files that lie beside it",
            name,
            "a file name such as \"fleet.ron\", without folders",
            "put the file into the folder of the scenario and write its name alone",
        );
    } else if files.iter().any(|file| file.name == name) {
        c.sense(
            at,
            "this file is named twice, or names itself",
            name,
            "each file once",
            "remove one of the two",
        );
    } else if files.len() > 20 {
        c.sense(at, "too many files are named", name, "up to 20", "put vehicles together in one file");
    }
    c.stage()?;
    let text = match loader(name) {
        Ok(text) => text,
        Err(why) => {
            let mut c = Checker::new(files, &[]);
            c.sense(
                at,
                format!("the file it names cannot be read: {why}"),
                name,
                "a file in the folder of the scenario",
                "check the name, or write the content into the scenario itself",
            );
            return Err(match c.stage() {
                Err(errors) => errors,
                Ok(()) => Diagnostics::default(),
            });
        }
    };
    check_size(name, &text)?;
    let value = parse(name, &text)?;
    files.push(SourceFile { name: name.to_owned(), text });
    Ok(value)
}

/// A plain file name: no folder, no drive, nothing hidden.
fn is_beside(name: &str) -> bool {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '.' | '-' | '_' | ' ' | '+' | '(' | ')');
    !name.is_empty()
        && name.len() <= 200
        && !name.starts_with('.')
        && name.trim() == name
        && name.chars().all(plain)
}
