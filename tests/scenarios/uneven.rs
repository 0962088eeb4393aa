//! What differs between left and right in the hardware, part by part.

use super::shipped_text;
use brusharm::scenario::Scenario;

/// The demo with its machine described for each unit, the right one with some texts replaced.
fn each(right: &[(&str, &str)], lead: &str) -> Result<Scenario, brusharm::error::Diagnostics> {
    let text = shipped_text("ferry-return.ron");
    let start = text.find("machine: Both(").expect("the machine");
    let body = start + "machine: Both(".len();
    let end = body + text[body..].find("\n    ),").expect("its end");
    let own = &text[body..end];
    let mut other = own.to_owned();
    for (from, to) in right {
        assert!(other.contains(from), "{from}");
        other = other.replacen(from, to, 1);
    }
    let machine = format!("machine: Each(left: ({own}), right: ({other}))");
    let whole = format!("{}{machine}{}", &text[..start], &text[end + "\n    )".len()..]);
    Scenario::read_alone(&whole.replacen("schema: 1,", &format!("schema: 1, {lead}"), 1), "each.ron")
}

#[test]
fn verif_hardware_that_differs_is_named_part_by_part() {
    let alike = each(&[], "").unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(alike.uneven(), []);
    // A foot is twelve inches: the same.
    let changes = [
        ("bearing_span: \"12 in\"", "bearing_span: \"1 ft\""),
        ("breakaway: \"2.4 lbf ft\",", ""),
        ("mass: \"49-1/2 lb\"", "mass: \"55 lb\""),
        (
            "Given(name: \"core, spindle and motor\", mass: \"51 lb\", at: \"86 in\", inertia: \"0.5 kg m2\")",
            "Point(name: \"core\", mass: \"51 lb\", at: \"85 in\")",
        ),
        ("bore: \"2-1/4 in\"", "bore: \"2 in\""),
        ("strips: 16", "strips: 18"),
        ("dead_volume: \"15 in3\",", "dead_volume: \"15 in3\", relieving: false,"),
        ("\"23 in\", \"17 in\", \"11 in\"", "\"23 in\", \"17 in\", \"11 in\", \"9 in\""),
    ];
    let uneven = each(&changes, "").unwrap_or_else(|errors| panic!("{errors}")).uneven();
    let found: Vec<(&str, &str, &str)> =
        uneven.iter().map(|own| (own.setting.as_str(), own.left.as_str(), own.right.as_str())).collect();
    assert_eq!(
        found,
        [
            ("machine.pivot.breakaway", "2.4 lbf ft", "none"),
            ("machine.arm.parts[0].mass", "49-1/2 lb", "55 lb"),
            ("machine.arm.parts[1].at", "86 in", "85 in"),
            ("machine.arm.parts[1].inertia", "0.5 kg m2", "none"),
            ("machine.brush.strips", "16", "18"),
            ("machine.cylinder.bore", "2-1/4 in", "2 in"),
            ("machine.cylinder.cap.relieving", "true", "false"),
            ("machine.stop_pin.brush_center[3]", "none", "9 in"),
        ]
    );
    assert_eq!(uneven[1].label, "machine, arm, parts 1, mass");
    let told = "uneven: [(setting: \"machine.cylinder.bore\", why: \"the right one is new\")],";
    let explained = each(&changes, told).unwrap_or_else(|errors| panic!("{errors}")).uneven();
    assert_eq!(explained[5].why.as_deref(), Some("the right one is new"));
    assert!(each(&changes, &told.replace("bore", "stroke")).is_err(), "the strokes are alike");
}
