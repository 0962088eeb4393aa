//! Builds the vehicles of a scenario and puts what is wrong with them at its place in the file.

use super::{At, Checker};
use crate::pass::VehiclePair;
use crate::scenario::vehicle_file::{VehicleEntry, VehicleFile};
use crate::vehicle::{Vehicle, VehicleError, VehicleSpec, fleet};
use std::sync::{Arc, LazyLock};

/// The most vehicles of one scenario.
const MOST_VEHICLES: usize = 200;

/// A vehicle that train and fleet may name.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownVehicle {
    /// Its name.
    pub name: Arc<str>,
    /// Its measures, for studies that vary them.
    pub spec: Arc<VehicleSpec>,
    /// Its outlines.
    pub shape: Arc<VehiclePair>,
}

static DEMO: LazyLock<Vec<KnownVehicle>> =
    LazyLock::new(|| fleet::library().into_iter().filter_map(|spec| known(spec).ok()).collect());

/// Builds a vehicle and its mirror image.
///
/// # Errors
/// [`VehicleError`] as [`VehicleSpec::build`].
pub fn vehicle_pair(spec: &VehicleSpec) -> Result<VehiclePair, VehicleError> {
    let real: Vehicle = spec.build()?;
    let mirrored = spec.mirrored().build()?;
    Ok(VehiclePair { real, mirrored })
}

fn known(spec: VehicleSpec) -> Result<KnownVehicle, VehicleError> {
    let shape = Arc::new(vehicle_pair(&spec)?);
    Ok(KnownVehicle { name: spec.name.as_str().into(), spec: Arc::new(spec), shape })
}

/// Names of the built-in vehicles.
pub fn demo_names() -> Vec<String> {
    DEMO.iter().map(|vehicle| vehicle.name.to_string()).collect()
}

/// Adds the vehicles of one list. `File(…)` entries are passed over: their files are read by the caller.
pub(in crate::scenario) fn add(
    c: &mut Checker<'_>,
    list: At<'_>,
    index: usize,
    entry: &VehicleEntry,
    to: &mut Vec<KnownVehicle>,
) {
    let at = list.item(index);
    if to.len() >= MOST_VEHICLES {
        if to.len() == MOST_VEHICLES {
            c.sense(
                at,
                "there are too many vehicles",
                "one more",
                format!("up to {MOST_VEHICLES}"),
                "leave out vehicles that neither train nor fleet names",
            );
        }
        return;
    }
    let vehicle = match entry {
        VehicleEntry::File(_) => return,
        VehicleEntry::Demo(name) => {
            let Some(vehicle) = DEMO.iter().find(|vehicle| *vehicle.name == **name) else {
                let likely = crate::error::nearest(name, DEMO.iter().map(|vehicle| &*vehicle.name));
                c.sense(
                    at,
                    "there is no such built-in vehicle",
                    name.as_str(),
                    demo_names().join(", "),
                    likely.map_or(
                        "use one of these names, or describe your own with Own(…)".to_owned(),
                        |likely| format!("write {likely} if that is what you mean"),
                    ),
                );
                return;
            };
            vehicle.clone()
        }
        VehicleEntry::Own(file) => match known(file.spec()) {
            Ok(vehicle) => vehicle,
            Err(error) => {
                wrong(c, at, file, &error);
                return;
            }
        },
    };
    if to.iter().any(|other| other.name == vehicle.name) {
        let place = match entry {
            VehicleEntry::Own(_) => at.of("name"),
            _ => at,
        };
        c.sense(
            place,
            "two vehicles have the same name",
            &*vehicle.name,
            "each name once",
            "give one of them another name",
        );
        return;
    }
    to.push(vehicle);
}

/// Says what is wrong with a vehicle in the words of the file.
fn wrong(c: &mut Checker<'_>, at: At<'_>, file: &VehicleFile, error: &VehicleError) {
    // The checks of the vehicle name fields their own way: `features[0].reach` is `features[0].place.reach` here.
    let (head, last) = error.field.rsplit_once('.').unwrap_or(("", &error.field));
    let last = match last {
        "z_low" => "bottom",
        "z_high" => "top",
        other => other,
    };
    let in_place = head.starts_with("features")
        && matches!(last, "reach" | "width" | "length" | "y" | "behind_nose" | "corner_radius");
    let path = match (head.is_empty(), in_place) {
        (true, _) => last.to_owned(),
        (false, true) => format!("{head}.place.{last}"),
        (false, false) => format!("{head}.{last}"),
    };
    let problem = format!("the vehicle «{}» cannot be built: {last} does not fit", visible_name(&file.name));
    c.sense(at.of(&path), problem, error.given.clone(), error.allowed.clone(), error.advice.clone());
}

/// A name short enough for a message.
fn visible_name(name: &str) -> String {
    name.chars().take(40).collect()
}
