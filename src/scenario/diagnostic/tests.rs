use super::*;
use crate::fixed_cases::cases;
use crate::units::{Force, Fraction, Length, Pressure, Throughput};
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Scenario {
    name: String,
    line: Line,
    left: Unit,
    #[serde(default)]
    fleet: Vec<Vehicle>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    throughput: Throughput,
    gap: Option<Length>,
    #[serde(default)]
    first: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Unit {
    bearings: Bearings,
    hole: u8,
    spin: Spin,
    air: Option<Pressure>,
    friction: Fraction,
    push_back: Force,
}

#[derive(Debug, Deserialize)]
enum Bearings {
    Plumb,
    Offsets(Offsets),
    Gaps { upper: Length, lower: Length },
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Offsets {
    lower_offset: Length,
    upper_offset: Length,
}

#[derive(Debug, Deserialize, PartialEq)]
enum Spin {
    Outboard,
    Inboard,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Vehicle {
    length: Length,
    #[serde(default)]
    size: (f64, f64),
}

const GOOD: &str = "// demo
(
    name: \"demo\",
    line: (throughput: \"100 veh/h\", gap: \"1.5 m\"),
    left: (
        bearings: Offsets((
            lower_offset: \"1/8 in\", // toward the wall
            upper_offset: \"0 in\",
        )),
        hole: 2,
        spin: Outboard,
        air: Some(\"7 psi\"),
        friction: 0.35,
        push_back: \"10 lbf\",
    ),
    fleet: [(length: \"4.8 m\"), (length: \"5 m\", size: (1.0, 2.0))],
)
";

/// Reads the good text with one thing changed and returns the errors.
fn broken(from: &str, to: &str) -> Diagnostics {
    assert_eq!(GOOD.matches(from).count(), 1, "{from}");
    let source = GOOD.replace(from, to);
    match read_ron::<Scenario>("demo.ron", &source) {
        Ok(_) => panic!("{to} was read"),
        Err(found) => {
            for diagnostic in &found.0 {
                let location = diagnostic.location.as_ref().expect("a place");
                assert!(location.source_line.get(location.span.clone()).is_some());
                assert!(!diagnostic.problem.is_empty() && !diagnostic.advice.is_empty(), "{diagnostic}");
            }
            found
        }
    }
}

/// The one error after a change: kind, field, underlined text.
fn one(from: &str, to: &str) -> (DiagnosticKind, String, String) {
    let found = broken(from, to);
    assert_eq!(found.0.len(), 1, "{found}");
    let diagnostic = &found.0[0];
    let location = diagnostic.location.as_ref().unwrap();
    (diagnostic.kind, diagnostic.field.clone(), location.source_line[location.span.clone()].to_owned())
}

#[test]
fn verif_a_good_text_is_read() {
    let read: Scenario = read_ron("demo.ron", GOOD).unwrap();
    assert_eq!(read.name, "demo");
    assert_eq!(read.line.gap.unwrap().si(), 1.5);
    assert!(!read.line.first);
    assert_eq!(read.left.air.unwrap().written(), "7 psi");
    assert_eq!(read.left.spin, Spin::Outboard);
    assert_eq!((read.left.hole, read.left.friction.si()), (2, 0.35));
    assert_eq!(read.line.throughput.written(), "100 veh/h");
    assert!(read.left.push_back.si() > 44.0);
    let Bearings::Offsets(offsets) = read.left.bearings else { panic!("offsets were given") };
    assert_eq!(offsets.lower_offset.si(), 0.003175);
    assert_eq!(offsets.upper_offset.si(), 0.0);
    assert_eq!(read.fleet[1].size.1, 2.0);
    assert_eq!(read.fleet[0].length.si(), 4.8);
    let gaps = GOOD.replace("Offsets((\n            lower_offset: \"1/8 in\", // toward the wall\n            upper_offset: \"0 in\",\n        ))", "Gaps(upper: \"1 in\", lower: \"2 in\")");
    let read: Scenario = read_ron("demo.ron", &format!("\u{feff}{gaps}")).unwrap();
    assert!(matches!(read.left.bearings, Bearings::Gaps { upper, lower } if upper.si() < lower.si()));
    assert!(
        read_ron::<Scenario>("demo.ron", &gaps.replace("Gaps(upper: \"1 in\", lower: \"2 in\")", "Plumb"))
            .is_ok()
    );
}

#[test]
fn verif_each_error_points_at_its_value() {
    use DiagnosticKind::*;
    let cases: &[(&str, &str, DiagnosticKind, &str, &str)] = &[
        ("\"1/8 in\"", "5", BadValue, "left.bearings.lower_offset", "5"),
        ("\"1/8 in\"", "\"5\"", BadValue, "left.bearings.lower_offset", "\"5\""),
        ("\"1/8 in\"", "\"5 furlongs\"", BadValue, "left.bearings.lower_offset", "\"5 furlongs\""),
        ("\"1/8 in\"", "inf", BadValue, "left.bearings.lower_offset", "inf"),
        ("\"1/8 in\"", "true", WrongType, "left.bearings.lower_offset", "true"),
        ("\"1/8 in\"", "[1, 2]", WrongType, "left.bearings.lower_offset", "[1, 2]"),
        ("\"7 psi\"", "\"7 lbf\"", BadValue, "left.air", "\"7 lbf\""),
        ("Some(\"7 psi\")", "\"7\"", BadValue, "left.air", "\"7\""),
        ("\"10 lbf\"", "\"10 lb\"", BadValue, "left.push_back", "\"10 lb\""),
        ("0.35", "\"0.35 m\"", BadValue, "left.friction", "\"0.35 m\""),
        ("hole: 2", "hole: \"2\"", WrongType, "left.hole", "\"2\""),
        ("hole: 2", "hole: 2.5", WrongType, "left.hole", "2.5"),
        ("hole: 2", "hole: 700", WrongType, "left.hole", "700"),
        ("hole: 2", "hole: -1", WrongType, "left.hole", "-1"),
        ("spin: Outboard", "spin: Outbord", UnknownWord, "left.spin", "Outbord"),
        ("spin: Outboard", "spin: \"Outboard\"", WrongType, "left.spin", "\"Outboard\""),
        ("Offsets((", "Ofsets((", UnknownWord, "left.bearings", "Ofsets(("),
        ("gap: \"1.5 m\"", "first: maybe", WrongType, "line.first", "maybe"),
        ("gap: \"1.5 m\"", "gap: (1)", WrongType, "line.gap", "(1)"),
        ("name: \"demo\"", "name: demo", WrongType, "name", "demo"),
        ("name: \"demo\"", "name: 5", WrongType, "name", "5"),
        ("lower_offset", "lower_ofset", UnknownField, "left.bearings.lower_ofset", "lower_ofset"),
        ("gap: \"1.5 m\"", "colour: (1, [2])", UnknownField, "line.colour", "colour"),
        ("gap: \"1.5 m\"", "throughput: \"90 veh/h\"", DuplicateField, "line.throughput", "throughput"),
        ("throughput: \"100 veh/h\", ", "", MissingField, "line.throughput", "line"),
        ("hole: 2,", "", MissingField, "left.hole", "left"),
        ("    name: \"demo\",\n", "", MissingField, "name", "("),
        ("length: \"4.8 m\"", "", MissingField, "fleet[0].length", "("),
        ("length: \"5 m\"", "length: 5", BadValue, "fleet[1].length", "5"),
        ("(1.0, 2.0)", "(1.0, true)", WrongType, "fleet[1].size[1]", "true"),
        ("(throughput: \"100 veh/h\", gap: \"1.5 m\")", "7", WrongType, "line", "7"),
        ("(throughput: \"100 veh/h\", gap: \"1.5 m\")", "[7]", WrongType, "line", "[7]"),
        (
            "[(length: \"4.8 m\"), (length: \"5 m\", size: (1.0, 2.0))]",
            "(length: \"4.8 m\")",
            WrongType,
            "fleet",
            "(length: \"4.8 m\")",
        ),
        ("\"demo\",", "\"demo\"", Syntax, "", "l"),
        ("// demo\n", "demo demo\n", Syntax, "", "d"),
        ("// demo\n", "#![enable(magic)]\n", Syntax, "", "#![enable(magic)]"),
        ("hole: 2", "hole 2", Syntax, "left", "2"),
        ("hole: 2", "hole: ", Syntax, "left.hole", ","),
        ("hole: 2", "hole: 2 /* open", Syntax, "left", "/"),
        ("name: \"demo\"", "name: \"de\\qmo\"", BadValue, "name", "\"de\\qmo\""),
        ("spin: Outboard", "spin: Outboard(1)", WrongType, "left.spin", "Outboard(1)"),
        ("Some(\"7 psi\")", "Some()", WrongType, "left.air", "Some()"),
        ("(1.0, 2.0)", "(1.0, 2.0, 3.0)", WrongType, "fleet[1].size[2]", "3.0"),
        ("(1.0, 2.0)", "(1.0)", WrongType, "fleet[1].size", "(1.0)"),
    ];
    let mut wrong = Vec::new();
    for (from, to, kind, field, underlined) in cases {
        let told = one(from, to);
        if told != (*kind, (*field).to_owned(), (*underlined).to_owned()) {
            wrong.push(format!("{from} -> {to}: {told:?}\n{}", broken(from, to)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn verif_the_whole_message_reads_well() {
    assert_eq!(
        broken("\"1/8 in\"", "5").to_string(),
        "\
error: a length needs its unit
 --> demo.ron:7:27
  |
7 |             lower_offset: 5, // toward the wall
  |                           ^
field:   left.bearings.lower_offset
given:   5
allowed: in, ft, ft and in, yd, thou, mm, cm, m, km
do:      add the unit in quotes, like \"7/8 in\""
    );
    assert_eq!(
        broken("lower_offset", "lower_ofset").to_string(),
        "\
error: there is no field `lower_ofset` here
 --> demo.ron:7:13
  |
7 |             lower_ofset: \"1/8 in\", // toward the wall
  |             ^^^^^^^^^^^
field:   left.bearings.lower_ofset
given:   lower_ofset
allowed: lower_offset, upper_offset
do:      write `lower_offset` if that is what you mean"
    );
    assert_eq!(
        broken("hole: 2,", "").to_string(),
        "\
error: the field `hole` is missing
 --> demo.ron:5:5
  |
5 |     left: (
  |     ^^^^
field:   left.hole
given:   bearings, spin, air, friction, push_back
do:      add `hole: …,` to `left`"
    );
}

#[test]
fn verif_advice_fits_common_slips() {
    let offsets = "Offsets((\n            lower_offset: \"1/8 in\", // toward the wall\n            upper_offset: \"0 in\",\n        ))";
    let cases = [
        (
            offsets,
            "Offsets(lower_offset: \"1 in\", upper_offset: \"0 in\")",
            "write Offsets((name: value)), with two pairs of parentheses",
        ),
        (
            offsets,
            "Gaps((lower: \"1 in\", upper: \"0 in\"))",
            "write Gaps(name: value), with one pair of parentheses",
        ),
        ("spin: Outboard", "spin: Outboard(1)", "write Outboard without parentheses, or another word"),
        ("(1.0, 2.0)", "(1.0)", "give the number of items asked for"),
        (
            "(1.0, 2.0)",
            "(1.0, 2.0, 3.0)",
            "remove this item, or compare with the same field of an example scenario",
        ),
        ("Some(\"7 psi\")", "Some()", "compare it with the same field of an example scenario"),
        (
            "\"100 veh/h\"",
            "\"100 veh/h",
            "a quote or bracket near here may be missing; if not, write it like \"100 veh/h\"",
        ),
        ("hole: 2", "hole: 2)", "a bracket probably closes too early; if not, add `spin: …,` to `left`"),
        ("hole: 2", "hole: 2 /* open", "close it with */"),
        ("// demo\n", "// demo\nMachine", "write Scenario(…), or parentheses without a name"),
        ("hole: 2", "hole: 2.5", "write a whole number"),
        ("name: \"demo\"", "name: \"de\\qmo\"", "write \\\\ for a backslash, \\\" for a quote"),
    ];
    for (from, to, advice) in cases {
        let found = broken(from, to);
        assert_eq!((found.0.len(), found.0[0].advice.as_str()), (1, advice), "{found}");
    }
}

#[test]
fn verif_several_unknown_and_repeated_fields_are_told_at_once() {
    let source = GOOD
        .replace("name:", "nmae: 1, name:")
        .replace("gap: \"1.5 m\"", "gap: \"1.5 m\", gap: \"2 m\", colour: (a: [1, 2], b: \"x, y\")")
        .replace("hole: 2,", "hole: 2, holes: 3");
    let source = source.replace("holes: 3", "r#holes: 3,");
    let found = read_ron::<Scenario>("demo.ron", &source).unwrap_err();
    let fields: Vec<_> = found.0.iter().map(|d| (d.kind, d.field.as_str())).collect();
    assert_eq!(
        fields,
        [
            (DiagnosticKind::UnknownField, "nmae"),
            (DiagnosticKind::DuplicateField, "line.gap"),
            (DiagnosticKind::UnknownField, "line.colour"),
            (DiagnosticKind::UnknownField, "left.holes"),
        ]
    );
    let many = GOOD.replace("hole: 2,", &(0..100).map(|i| format!("x{i}: {i}, ")).collect::<String>());
    let found = read_ron::<Scenario>("demo.ron", &many).unwrap_err();
    assert_eq!(found.0.len(), MAX_ERRORS + 1);
    let last = found.0.last().map(|diagnostic| diagnostic.problem.clone()).unwrap_or_default();
    assert_eq!(last, "reading stopped after 19 mistakes: there are more");
}

#[test]
fn verif_a_forgotten_bracket_is_suspected() {
    let found = broken("gap: \"1.5 m\")", "gap: \"1.5 m\"");
    assert_eq!(found.0.len(), 1);
    assert_eq!(found.0[0].kind, DiagnosticKind::UnknownField);
    assert_eq!((found.0[0].field.as_str(), found.0[0].line()), ("line.left", 5));
    assert!(found.0[0].advice.starts_with("a closing bracket is probably missing before `left`"), "{found}");
    for (from, to) in [
        ("\"100 veh/h\"", "\"100 veh/h"),
        ("name: \"demo\"", "name: demo\""),
        ("fleet: [", "fleet: "),
        ("hole: 2", "hole: "),
        ("hole: 2", "hole 2"),
        ("hole: 2", "hole: 2 /* open"),
        ("hole: 2", "hole: 2)"),
        ("// demo\n", "#![enable(magic)]\n"),
        ("name: \"demo\"", "name: \"de\\qmo\""),
    ] {
        let found = broken(from, to);
        assert_eq!(found.0.len(), 1, "{found}");
        assert!(found.0[0].line() >= 1, "{found}");
    }
    for source in ["", "   \n", "// only a comment\n", "(", "(name:", "\"", "/*"] {
        let found = read_ron::<Scenario>("demo.ron", source).unwrap_err();
        assert_eq!(found.0[0].kind, DiagnosticKind::Syntax, "{source}: {found}");
    }
}

#[test]
fn verif_deep_nesting_is_refused_without_overflow() {
    #[derive(Debug, Deserialize)]
    struct Nest {
        #[serde(rename = "a")]
        _a: Option<Box<Nest>>,
    }
    for count in [1, 40, 100, 127, 128, 129, 200, 100_000] {
        let deep = format!("{}None{}", "(a: ".repeat(count), ")".repeat(count));
        let read = read_ron::<Nest>("deep.ron", &deep);
        if count >= 128 {
            assert_eq!(read.unwrap_err().0[0].kind, DiagnosticKind::TooDeep, "{count}");
        } else if count <= 40 {
            assert!(read.is_ok());
        }
    }
    for open in ["(", "[", "{", "Some(", "(a: [", "(a: Some("] {
        assert!(read_ron::<Nest>("deep.ron", &open.repeat(100_000)).is_err());
        assert!(read_ron::<Scenario>("deep.ron", &open.repeat(100_000)).is_err());
    }
}

#[test]
fn verif_later_checks_point_at_their_value() {
    let text = RonText::new("demo.ron", GOOD);
    let found = text.makes_no_sense("left.air", "too much air for this arm", "0 to 30 psi", "lower it");
    let location = found.location.as_ref().unwrap();
    assert_eq!(&location.source_line[location.span.clone()], "\"7 psi\"");
    assert_eq!(found.given, "\"7 psi\"");
    let found = text.makes_no_sense("left.stop.seat", "no seat", "", "add one");
    let location = found.location.as_ref().unwrap();
    assert_eq!((&location.source_line[location.span.clone()], found.given.as_str()), ("left", ""));
    let found = text.makes_no_sense("", "nothing fits", "", "start again");
    assert_eq!((found.line(), found.column()), (2, 1));
}

proptest! {
    #![proptest_config(cases(3000))]

    #[test]
    fn verif_mutated_texts_never_panic(cut in 0..GOOD.len(), length in 0..30_usize, insert in "[-()\\[\\]{}:,\"'/*#!ra.é0-9 \n\\\\]{0,6}") {
        let end = (cut + length).min(GOOD.len());
        let source = format!("{}{insert}{}", &GOOD[..cut], &GOOD[end..]);
        if let Err(found) = read_ron::<Scenario>("demo.ron", &source) {
            prop_assert!(!found.0.is_empty());
            for diagnostic in &found.0 {
                prop_assert!(diagnostic.location.is_some());
                prop_assert!(diagnostic.to_string().starts_with("error: "));
            }
        }
    }

    #[test]
    fn verif_any_text_is_refused_without_panic(source in "\\PC{0,60}") {
        prop_assert!(read_ron::<Scenario>("demo.ron", &source).is_err());
    }
}
