//! Input that cannot be used: told plainly, exit code 2, nothing on standard output.

use super::{LANE, done, folder, refused, run};

#[test]
fn regress_files_that_cannot_be_read() {
    let folder = folder();
    let at = folder.path();
    std::fs::create_dir(at.join("scenes")).unwrap();
    std::fs::write(
        at.join("picture.ron"),
        [b"(\n    title: \"".as_slice(), &[0xff, 0xd8], b"\",\n)"].concat(),
    )
    .unwrap();
    std::fs::write(at.join("huge.ron"), vec![b' '; 3 << 20]).unwrap();
    std::fs::write(at.join("empty.ron"), "").unwrap();
    std::fs::write(at.join("torn.ron"), &LANE[..LANE.len() / 2]).unwrap();
    let mut told = String::new();
    for name in ["line.ron", "nowhere/lane.ron", "scenes", "picture.ron", "huge.ron", "empty.ron", "torn.ron"]
    {
        told.push_str(&format!("== {name}\n{}\n", refused(at, &["pass", name])));
    }
    insta::assert_snapshot!("unreadable_files", told);
}

#[test]
fn regress_settings_that_cannot_be_changed() {
    let folder = folder();
    let mut told = String::new();
    for set in [
        "left.stop_pin.hole",
        "=3",
        "left.stop_pin.hole=",
        "left.stop_pin.hole=9",
        "left.stop_pins.hole=2",
        "line.throughput=fast",
        "line.throughput=9000 veh/h",
        "left.brush.spin_sense=Sideways",
        "left.air.cap=7 lb",
    ] {
        told.push_str(&format!(
            "== --set {set}\n{}\n",
            refused(folder.path(), &["pass", "lane.ron", "--set", set])
        ));
    }
    insta::assert_snapshot!("refused_settings", told);
}

#[test]
fn verif_a_number_alone_is_in_the_unit_of_the_step_however_it_is_typed() {
    let folder = folder();
    let at = folder.path();
    let alone = done(
        at,
        &["pass", "lane.ron", "--set", "throughput=120", "--set", "both.bearings.lower_offset=1/16"],
    );
    let whole =
        ["pass", "lane.ron", "--set", "throughput=120 veh/h", "--set", "both.bearings.lower_offset=1/16 in"];
    assert_eq!(alone, done(at, &whole));
    for said in ["throughput = 120 veh/h", "both.bearings.lower_offset = 1/16 in"] {
        assert!(alone.contains(&format!("Set for this run: {said}")), "{alone}");
    }
    // The same in a sweep, in a comparison and for a foam file.
    let rows = |over: &str| done(at, &["sweep", "lane.ron", "--over", over, "--format", "csv"]);
    assert_eq!(rows("left.air.cap=6,7"), rows("left.air.cap=6 psi,7 psi"));
    let compared = |set: &str| done(at, &["compare", "lane.ron", "--set", set]);
    assert_eq!(
        compared("left.air.cap=6; throughput=90"),
        compared("left.air.cap=6 psi; throughput=90 veh/h")
    );
    let foam = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/foam-station.ron");
    let mixed = |set: &str| done(at, &["foam", foam, "--set", set]);
    assert_eq!(mixed("foam.air_regulator=20"), mixed("foam.air_regulator=20 psi"));
    // Out of range, the unit it was taken in is said; in a file a number without a unit stays refused.
    let told = refused(at, &["pass", "lane.ron", "--set", "throughput=9000"]);
    assert!(told.contains("given:   9000 veh/h"), "{told}");
    std::fs::write(at.join("bare.ron"), LANE.replacen("throughput: \"100 veh/h\"", "throughput: \"100\"", 1))
        .unwrap();
    assert!(refused(at, &["pass", "bare.ron"]).contains("needs its unit"));
}

#[test]
fn regress_series_that_make_no_sense() {
    let folder = folder();
    let mut told = String::new();
    for more in [
        &["--series", "0.1 s"][..],
        &["--format", "json", "--series", "0 s"],
        &["--format", "json", "--series", "-1 s"],
        &["--format", "json", "--series", "1 us"],
        &["--format", "json", "--series", "0.1 ms"],
    ] {
        let mut arguments = vec!["pass", "lane.ron"];
        arguments.extend(more);
        told.push_str(&format!("== {}\n{}\n", more.join(" "), refused(folder.path(), &arguments)));
    }
    insta::assert_snapshot!("refused_series", told);
}

#[test]
fn regress_instants_that_are_not_there() {
    let folder = folder();
    let mut told = String::new();
    for at in ["tail corners", "midday", "9000 s", "-9000 s", "41.5", "41 lb", "left"] {
        let arguments = ["pass", "lane.ron", "--svg", "picture.svg", "--at", at];
        told.push_str(&format!("== --at {at}\n{}\n", refused(folder.path(), &arguments)));
    }
    insta::assert_snapshot!("refused_instants", told);
    assert!(!folder.path().join("picture.svg").exists());
    // Without a picture there is no instant to choose.
    assert_eq!(run(folder.path(), &["pass", "lane.ron", "--at", "settled"]).code, 2);
}

/// For editors and scripts, `check` gives the errors as data as well.
#[test]
fn verif_check_gives_errors_as_data() {
    let folder = folder();
    let bad = LANE.replacen("hole: 2", "hole: 7", 1);
    assert_ne!(bad, LANE);
    std::fs::write(folder.path().join("bad.ron"), bad).unwrap();
    let ran = run(folder.path(), &["check", "bad.ron", "--format", "json"]);
    assert_eq!(ran.code, 2);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(json["schema"], "brusharm/errors/1");
    let error = &json["errors"][0];
    assert_eq!((error["file"].as_str(), error["given"].as_str()), (Some("bad.ron"), Some("7")));
    let line = LANE.lines().position(|l| l.contains("hole: 2")).unwrap() + 1;
    assert_eq!(error["location"]["line"].as_u64(), Some(line as u64));
    assert!(ran.err.contains(&format!("bad.ron:{line}:")), "{}", ran.err);
    // As text, nothing goes to standard output.
    refused(folder.path(), &["check", "bad.ron"]);
}

/// A scenario may name a machine in a file beside it; the result is the same as with everything in one file. It may not reach elsewhere.
#[test]
fn verif_files_beside_the_scenario_and_nowhere_else() {
    let folder = folder();
    let at = folder.path();
    let start = LANE.find("    machine: Both(").unwrap();
    let end = LANE.find("    // What a technician sets.").unwrap();
    let machine = LANE[start..end].trim_end().trim_end_matches(',');
    std::fs::write(at.join("pair.ron"), format!("(schema: 1, title: \"The pair\",\n{machine},\n)\n"))
        .unwrap();
    let naming = |name: &str| format!("{}    machine: File(\"{name}\"),\n{}", &LANE[..start], &LANE[end..]);
    std::fs::write(at.join("split.ron"), naming("pair.ron")).unwrap();
    let numbers = |file: &str| {
        let text = done(at, &["pass", file, "--format", "json"]);
        let json: serde_json::Value = serde_json::from_str(&text).unwrap();
        (json["zones"].clone(), json["units"].clone(), json["verdicts"].clone())
    };
    assert_eq!(numbers("split.ron"), numbers("lane.ron"));

    // From a folder below, the file above is out of reach, as is an absolute path.
    std::fs::create_dir(at.join("below")).unwrap();
    let absolute = at.join("pair.ron").display().to_string();
    for name in ["../pair.ron", &absolute, "missing.ron"] {
        std::fs::write(at.join("below/lane.ron"), naming(name)).unwrap();
        let told = refused(at, &["pass", "below/lane.ron"]);
        let why = if name == "missing.ron" { "no such file" } else { "beside it" };
        assert!(told.contains(why) && told.contains("below/lane.ron:"), "{name}: {told}");
    }
}
