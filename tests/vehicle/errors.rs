//! What is refused, and how it is told.

use super::at_end;
use brusharm::vehicle::{FeaturePlace, FeatureSide, VehicleError, VehicleSpec, fleet};

fn refused(change: impl FnOnce(&mut VehicleSpec)) -> VehicleError {
    let mut spec = fleet::pickup();
    change(&mut spec);
    match spec.build() {
        Ok(_) => panic!("should be refused"),
        Err(error) => error,
    }
}

type Change = Box<dyn Fn(&mut VehicleSpec)>;

#[test]
fn verif_errors_name_the_field_and_what_is_allowed() {
    let cases: Vec<(&str, Change)> = vec![
        ("name", Box::new(|s| s.name.clear())),
        ("length", Box::new(|s| s.length_m = f64::NAN)),
        ("length", Box::new(|s| s.length_m = 0.0)),
        ("length", Box::new(|s| s.length_m = 12.5)),
        ("width", Box::new(|s| s.width_m = 3.2)),
        ("width", Box::new(|s| s.width_m = -1.0)),
        ("height", Box::new(|s| s.height_m = f64::INFINITY)),
        ("body", Box::new(|s| s.body.clear())),
        ("body", Box::new(|s| s.body = vec![s.body[0]; 13])),
        ("features", Box::new(|s| s.features = vec![s.features[0].clone(); 41])),
        ("body[0].z_low", Box::new(|s| s.body[0].z_low_m = -0.1)),
        ("body[0].z_high", Box::new(|s| s.body[0].z_high_m = s.body[0].z_low_m)),
        ("body[1].z_low", Box::new(|s| s.body[1].z_low_m += 0.01)),
        ("body[1].z_low", Box::new(|s| s.body.swap(1, 2))),
        ("body[3].z_high", Box::new(|s| s.body[3].z_high_m -= 0.01)),
        ("body[0].nose_setback", Box::new(|s| s.body[0].nose_setback_m = 0.02)),
        ("body[0].tail_setback", Box::new(|s| s.body[0].tail_setback_m = 0.02)),
        ("body[2].nose_setback", Box::new(|s| s.body[2].nose_setback_m = -0.1)),
        ("body[2].tail_setback", Box::new(|s| s.body[2].tail_setback_m = 4.2)),
        ("body[1].width", Box::new(|s| s.body[1].width_m = 2.02)),
        ("body[0].width", Box::new(|s| s.body[0].width_m = 2.04)),
        ("body[0].nose_sweep", Box::new(|s| s.body[0].nose_sweep_m = 0.6)),
        ("body[0].nose_sweep", Box::new(|s| s.body[0].nose_sweep_m = 1e-5)),
        ("body[0].tail_sweep", Box::new(|s| s.body[0].tail_sweep_m = -0.1)),
        ("body[1].side_barrel", Box::new(|s| s.body[1].side_barrel_m = 0.4)),
        ("body[1].nose_corner_radius", Box::new(|s| s.body[1].nose_corner_radius_m = 1.2)),
        ("body[1].tail_corner_radius", Box::new(|s| s.body[1].tail_corner_radius_m = f64::NAN)),
        ("body[2].tail_corner_radius", Box::new(|s| s.body[2].tail_corner_radius_m = 1.0)),
        ("features[0].name", Box::new(|s| s.features[0].name = "\n".to_owned())),
        ("features[0].z_low", Box::new(|s| s.features[0].z_low_m = 0.1)),
        ("features[0].z_high", Box::new(|s| s.features[0].z_high_m = 2.0)),
        ("features[0].z_high", Box::new(|s| s.features[0].z_high_m = s.features[0].z_low_m)),
        ("features[0].limit_force", Box::new(|s| s.features[0].limit_force_n = Some(0.0))),
        ("features[0].side", Box::new(|s| s.features[0].side = FeatureSide::Centre)),
        ("features[0].behind_nose", side_place(|p| p.0 = 1.5)),
        ("features[0].behind_nose", side_place(|p| p.0 = 9.0)),
        ("features[0].length", side_place(|p| p.1 = 5.0)),
        ("features[0].length", side_place(|p| p.1 = 0.0001)),
        ("features[0].reach", side_place(|p| p.2 = 2.0)),
        ("features[0].reach", side_place(|p| p.2 = -0.1)),
        ("features[0].corner_radius", side_place(|p| p.3 = 0.08)),
        ("features[1].width", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), 0.0, 2.5, 0.01))),
        ("features[1].width", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), 0.9, 0.3, 0.01))),
        ("features[1].y", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), 0.15, 0.3, 0.01))),
        ("features[1].y", Box::new(|s| s.features[1] = at_end(true, (0.5, 0.6), f64::NAN, 0.3, 0.01))),
        // The hitch comes after the plate it now meets.
        ("features[4]", Box::new(|s| s.features[2] = at_end(false, (0.4, 0.6), 0.0, 0.3, 0.01))),
        // A mast that starts below the hood, or stands in the cab.
        ("features[3]", Box::new(|s| s.features[3].z_low_m = 1.0)),
        ("features[3].z_low", Box::new(|s| s.features[3].z_low_m = 1.95)),
    ];
    assert!(cases.len() > 40);
    for (index, (field, change)) in cases.iter().enumerate() {
        let error = refused(change);
        assert_eq!(&error.field, field, "case {index}: {error}");
        assert!(!error.given.is_empty() && !error.allowed.is_empty() && !error.advice.is_empty());
        assert!(error.to_string().contains(field));
    }
    let text = refused(|s| s.length_m = 12.5).to_string();
    assert_eq!(
        text,
        "length: 12.5 m (492.13 in) given, allowed: 0.5 m (19.69 in) to 12 m (472.44 in); \
         measure the body without mirrors, racks and hitch"
    );
}

fn side_place(change: impl Fn(&mut (f64, f64, f64, f64)) + 'static) -> Change {
    Box::new(move |spec| {
        if let FeaturePlace::Side { behind_nose_m, length_m, reach_m, corner_radius_m } =
            spec.features[0].place
        {
            let mut p = (behind_nose_m, length_m, reach_m, corner_radius_m);
            change(&mut p);
            spec.features[0].place =
                FeaturePlace::Side { behind_nose_m: p.0, length_m: p.1, reach_m: p.2, corner_radius_m: p.3 };
        }
    })
}

#[test]
fn verif_the_largest_corner_radius_told_is_the_one_that_fits() {
    for index in 0..4 {
        for nose in [true, false] {
            let set = |spec: &mut VehicleSpec, value: f64| {
                let body = &mut spec.body[index];
                if nose { body.nose_corner_radius_m = value } else { body.tail_corner_radius_m = value }
            };
            let mut spec = fleet::sedan();
            spec.features.clear();
            set(&mut spec, 1.6);
            let error = spec.build().expect_err("too round");
            let told = error
                .allowed
                .strip_prefix("at most ")
                .or(error.allowed.rsplit(" to ").next())
                .expect("a limit");
            let limit: f64 = told.split(' ').next().expect("a number").parse().expect("a number");
            assert!(limit > 0.3 && limit < 1.6, "{error}");
            set(&mut spec, limit);
            spec.build().unwrap_or_else(|e| panic!("{index} {nose}: {e}"));
            set(&mut spec, limit + 2e-4);
            assert!(spec.build().is_err());
        }
    }
}
