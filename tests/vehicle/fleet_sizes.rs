//! The demo fleet against published sizes.

use super::build;
use brusharm::vehicle::{Band, FeatureKind, fleet};

const IN: f64 = 0.0254;

fn data() -> serde_json::Value {
    serde_json::from_str(include_str!("../validation/data/vehicle_dims.json")).expect("vehicle_dims.json")
}

/// Source: data sets Cars2020 and Cars2025 of the R package Lock5Data 4.0.1 (statistics in vehicle_dims.json).
#[test]
fn val_fleet_sizes_lie_inside_the_published_class_ranges() {
    let data = data();
    let cases = [
        (fleet::city_hatch(), "hatchback"),
        (fleet::sedan(), "sedan"),
        (fleet::crossover(), "suv"),
        (fleet::large_suv(), "suv"),
        (fleet::pickup(), "pickup"),
        (fleet::minivan(), "minivan"),
    ];
    for (spec, class) in cases {
        let class = &data["classes"][class];
        for (name, value_m) in [("length", spec.length_m), ("width", spec.width_m), ("height", spec.height_m)]
        {
            let bound = |which: &str| class[name][which].as_f64().expect("a number") * IN;
            assert!(bound("min") > 1.0);
            assert!(value_m >= bound("min") && value_m <= bound("max"), "{} {name} {value_m}", spec.name);
        }
        // The note names the very data set and class it is checked against.
        for word in ["data_set", "type"] {
            assert!(spec.note.contains(class[word].as_str().expect("text")), "{}", spec.note);
        }
        assert!(spec.note.contains(&format!("n = {}", class["n"])), "{}", spec.note);
    }
    assert!(fleet::high_roof_van().note.contains("stated assumption"));
    // What is built has the stated size.
    for spec in fleet::library() {
        assert!(spec.note.contains("Invented"));
        let vehicle = build(&spec);
        let bodies = vehicle.bands.iter().filter_map(Band::body).map(|o| o.chain.bounds());
        let bounds = bodies.reduce(|a, b| a.union(&b)).expect("a body");
        let plates = 0.011;
        held!((bounds.max.x - bounds.min.x - spec.length_m).abs(), 2.0 * plates + 0.21, "{}", spec.name);
        assert!(bounds.max.y >= 0.5 * spec.width_m - 1e-9);
    }
}

/// Source: AASHTO passenger-car design vehicle P, metric table (see vehicle_dims.json). Overhangs and wheelbase close to the length,
/// and the fleet's cars (all but the van) fit inside its plan.
#[test]
fn val_design_vehicle_closes_and_holds_the_cars() {
    let p = &data()["design_vehicle_p_m"];
    let m = |name: &str| p[name].as_f64().expect("a number");
    held!((m("front_overhang") + m("wheelbase") + m("rear_overhang") - m("length")).abs(), 1e-12);
    for spec in fleet::library() {
        let fits = spec.length_m <= m("length") && spec.width_m <= m("width");
        assert_eq!(fits, spec.class != "van", "{}", spec.name);
    }
}

#[test]
fn verif_library_shows_every_kind_of_feature() {
    let all = fleet::library();
    assert_eq!(all.len(), 7);
    for kind in FeatureKind::ALL {
        assert!(all.iter().any(|spec| build(spec).features.iter().any(|f| f.kind == kind)), "{kind}");
    }
    for spec in &all {
        assert!((2..=4).contains(&spec.body.len()));
        assert!(build(spec).features.iter().any(|f| f.kind == FeatureKind::Mirror));
    }
}
