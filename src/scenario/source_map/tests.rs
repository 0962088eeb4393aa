use super::*;
use crate::fixed_cases::cases;
use proptest::prelude::*;

const SAMPLE: &str = r##"#![enable(implicit_some)]
#![enable(unwrap_newtypes)]
// a machine
Scenario(
    name: "demo \" with (brackets", // trailing
    line: (throughput: "100 veh/h", gap: Some("1.5 m")),
    left: Inline((
        bearings: Offsets(lower_offset: "1/8 in" /* a /* nested */ note */, upper_offset: "0 in"),
        holes: [ "10 in", "11 in", /* skip */ "12 in" ],
        r#type: r#"raw " string"#,
        quote: '\'', letter: 'x', plain_quote: ''',
        bytes: b"ab\"c",
        spin: Outboard,
        numbers: (-1.5e-3, +0x1F, 1_000, inf, -NaN),
        empty: (),
    )),
    sizes: {"a.b": 1, "7/8 in": (deep: [[1, 2], [3]]), 'c': 3},
    nothing: None,
    fleet: (vehicles: [(length: "4 m"), Van (length: "5 m"), (length: Some(Some("6 m")))]),
    μ: 0.35,
)
"##;

fn text<'s>(source: &'s str, path: &str) -> &'s str {
    SourceMap::new(source).unwrap().value_text(path).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn verif_paths_find_their_values() {
    let cases = [
        ("name", "\"demo \\\" with (brackets\""),
        ("line.throughput", "\"100 veh/h\""),
        ("line.gap", "\"1.5 m\""),
        ("left.bearings.lower_offset", "\"1/8 in\""),
        ("left.Inline.bearings.Offsets.upper_offset", "\"0 in\""),
        ("left.holes[2]", "\"12 in\""),
        ("left.type", "r#\"raw \" string\"#"),
        ("left.quote", "'\\''"),
        ("left.plain_quote", "'''"),
        ("left.bytes", "b\"ab\\\"c\""),
        ("left.spin", "Outboard"),
        ("left.numbers[0]", "-1.5e-3"),
        ("left.numbers[1]", "+0x1F"),
        ("left.numbers[4]", "-NaN"),
        ("left.empty", "()"),
        ("sizes[\"a.b\"]", "1"),
        ("sizes[\"7/8 in\"].deep[0][1]", "2"),
        ("sizes[\"7/8 in\"].deep[1][0]", "3"),
        ("sizes[\"'c'\"]", "3"),
        ("nothing", "None"),
        ("fleet.vehicles[0].length", "\"4 m\""),
        ("fleet.vehicles[1].length", "\"5 m\""),
        ("fleet.vehicles[1].Van.length", "\"5 m\""),
        ("fleet.vehicles[2].length", "\"6 m\""),
        ("μ", "0.35"),
    ];
    for (path, value) in cases {
        assert_eq!(text(SAMPLE, path), value, "{path}");
    }
    let map = SourceMap::new(SAMPLE).unwrap();
    let place = map.find("left.bearings.lower_offset").unwrap();
    assert_eq!(&SAMPLE[place.name.unwrap()], "lower_offset");
    let place = map.find("line.gap").unwrap();
    assert_eq!(&SAMPLE[place.value], "Some(\"1.5 m\")");
    assert_eq!(&SAMPLE[place.inner], "\"1.5 m\"");
    assert!(map.find("").unwrap().value.start > 50);
    assert_eq!(map.names("line").unwrap(), ["throughput", "gap"]);
    assert_eq!(text("Some([1, 2])", "[1]"), "2");
    assert_eq!(text("Wide(7)", "[0]"), "7");
    assert_eq!(text("Wide((7, 8))", "[1]"), "8");
}

#[test]
fn verif_paths_that_lead_nowhere_say_where_they_stop() {
    let map = SourceMap::new(SAMPLE).unwrap();
    let message = |path: &str| map.find(path).unwrap_err().to_string();
    assert_eq!(
        message("line.speed"),
        "`line.speed` is not in the file: line has no `speed`; it has throughput, gap"
    );
    assert_eq!(
        message("left.holes[3]"),
        "`left.holes[3]` is not in the file: left.holes has no `[3]`; it has items [0] to [2]"
    );
    assert_eq!(
        message("line.gap.x"),
        "`line.gap.x` is not in the file: line.gap has no `x`; it has a single value"
    );
    assert!(
        message("nowhere")
            .starts_with("`nowhere` is not in the file: the file has no `nowhere`; it has name,")
    );
    for path in
        [".", "a..b", "a.", ".a", "a[", "a[x]", "a[-1]", "a b", "a[\"x]", "a]b", "[99999999999999999999999]"]
    {
        assert!(matches!(map.find(path), Err(SourceMapError::BadPath { .. })), "{path}");
    }
    for path in [
        "left.bearings.lower_offset",
        "left.holes[2]",
        "fleet.vehicles[2].length",
        "line.gap",
        "μ",
        "sizes[\"a.b\"]",
    ] {
        let place = map.find(path).unwrap();
        assert_eq!(map.path_at(place.inner.end - 1), (path.to_owned(), place));
    }
    assert_eq!(map.path_at(0).0, "");
    let (found, place) = map.find_deepest("left.bearings.middle.screw");
    assert_eq!(found, "left.bearings");
    assert!(SAMPLE[place.value].starts_with("Offsets("));
}

#[test]
fn verif_steps_survive_a_round_trip() {
    for path in ["", "a", "a.b[2][0].c", "a[\"x.y\"].b", "a[\"q\\\"u\\\\o\"][1]"] {
        assert_eq!(join_path(&split_path(path).unwrap()), path);
    }
}

#[test]
fn verif_replacing_a_value_changes_nothing_else() {
    let new = replace_value(SAMPLE, "left.bearings.lower_offset", "\"-1/16 in\"").unwrap();
    assert_eq!(new, SAMPLE.replacen("\"1/8 in\"", "\"-1/16 in\"", 1));
    let new = replace_value(SAMPLE, "line.gap", "\"2 m\"").unwrap();
    assert!(new.contains("gap: Some(\"2 m\")),"));
    let new = replace_value(SAMPLE, "line.gap", "None").unwrap();
    assert!(new.contains("gap: None),"));
    let new = replace_value(SAMPLE, "line.gap", "Some(\"3 m\")").unwrap();
    assert!(new.contains("gap: Some(\"3 m\")),"));
    let new = replace_value(SAMPLE, "left.spin", "Inboard").unwrap();
    assert!(new.contains("spin: Inboard,"));
    for bad in ["", "\"open", "1, b: 2", "1)", "1 // note", "(", "a: 1", "1 2", "[1, }"] {
        let refused = replace_value(SAMPLE, "left.spin", bad);
        assert!(matches!(refused, Err(SourceMapError::BadValue { .. })), "{bad}: {refused:?}");
    }
    assert!(matches!(replace_value("(a: 1", "a", "2"), Err(SourceMapError::Syntax { offset: 5 })));
}

#[test]
fn verif_adding_a_field_keeps_the_layout() {
    let cases = [
        ("()", "", "(x: 1)"),
        ("(  )", "", "(x: 1)"),
        ("(a: 2)", "", "(a: 2, x: 1)"),
        ("(a: 2,)", "", "(a: 2, x: 1,)"),
        ("(a: 2 /* c */)", "", "(a: 2, x: 1 /* c */)"),
        ("(\n    a: 2,\n)", "", "(\n    a: 2,\n    x: 1,\n)"),
        ("(\n    a: 2\n)", "", "(\n    a: 2,\n    x: 1,\n)"),
        ("(\n\ta: 2 // note, with comma\n)", "", "(\n\ta: 2, // note, with comma\n\tx: 1,\n)"),
        ("(\n  a: 2, // note\n  // last words\n)", "", "(\n  a: 2, // note\n  x: 1,\n  // last words\n)"),
        ("(\n  a: 2, /* long\n note */\n)", "", "(\n  a: 2,\n  x: 1, /* long\n note */\n)"),
        ("(\n  a: 2 /* long\n note */, // more\n)", "", "(\n  a: 2 /* long\n note */, // more\n  x: 1,\n)"),
        ("(\r\n  a: 2,\r\n)", "", "(\r\n  a: 2,\r\n  x: 1,\r\n)"),
        ("(\n    a: 2, b: 3,\n)", "", "(\n    a: 2, b: 3,\n    x: 1,\n)"),
        ("(\n    s: (\n    ),\n)", "s", "(\n    s: (\n        x: 1,\n    ),\n)"),
        ("(\n    s: ( // none yet\n    ),\n)", "s", "(\n    s: ( // none yet\n        x: 1,\n    ),\n)"),
        ("(s: Some(Inline((a: 2))))", "s", "(s: Some(Inline((a: 2, x: 1))))"),
        ("(s: {\"a\": 2})", "s", "(s: {\"a\": 2, \"x\": 1})"),
        ("(s: {})", "s", "(s: {\"x\": 1})"),
        ("Name(a: 2)", "", "Name(a: 2, x: 1)"),
        ("(a: 2, // c\n b: 3)", "", "(a: 2, // c\n b: 3, x: 1)"),
    ];
    for (source, parent, wanted) in cases {
        let new = insert_field(source, parent, "x", "1").unwrap_or_else(|error| panic!("{source}: {error}"));
        assert_eq!(new, wanted);
        let path = if parent.is_empty() { "x".to_owned() } else { format!("{parent}.x") };
        assert_eq!(text(&new, &path), "1");
        assert!(ron::from_str::<ron::Value>(&new).is_ok() || source.contains("Name"), "{new}");
    }
    assert_eq!(
        insert_field("(x: 1)", "", "x", "1"),
        Err(SourceMapError::AlreadyThere { path: "x".to_owned() })
    );
    assert!(matches!(insert_field("(a: 1)", "a", "x", "1"), Err(SourceMapError::NoFields { .. })));
    assert!(matches!(insert_field("(a: [1])", "a", "x", "1"), Err(SourceMapError::NoFields { .. })));
    assert!(matches!(insert_field("()", "", "x y", "1"), Err(SourceMapError::BadName { .. })));
    assert!(matches!(insert_field("()", "", "x", "1,"), Err(SourceMapError::BadValue { .. })));
    assert_eq!(set_value("(a: (b: 1))", "a.c", "2").unwrap(), "(a: (b: 1, c: 2))");
    assert_eq!(set_value("(a: (b: 1))", "a.b", "2").unwrap(), "(a: (b: 2))");
    assert!(matches!(set_value("(a: (b: 1))", "z.b", "2"), Err(SourceMapError::NotFound { .. })));
}

#[test]
fn verif_depth_is_limited_and_broken_texts_keep_what_came_before() {
    for open in ["(", "[", "Some(", "{1:", "(a:", "((", "[{1:("] {
        let deep = open.repeat(100_000);
        assert!(matches!(SourceMap::new(&deep), Err(SourceMapError::TooDeep { .. })), "{open}");
    }
    let nested = format!("{}1{}", "[".repeat(MAX_DEPTH - 1), "]".repeat(MAX_DEPTH - 1));
    assert!(SourceMap::new(&nested).is_ok());
    let broken = "(a: 1, b: (c: \"x\", d: !))";
    assert_eq!(SourceMap::new(broken).unwrap_err(), SourceMapError::Syntax { offset: 22 });
    let map = SourceMap::partial(broken);
    assert_eq!(map.value_text("b.c").unwrap(), "\"x\"");
    for bad in [
        "",
        "(",
        ")",
        "\"",
        "'",
        "r#\"x\"",
        "/*",
        "(a: 1 b: 2)",
        "(a: 1, 2)",
        "1 2",
        "#![enable(",
        "-",
        "(a:)",
        "\\",
    ] {
        assert!(SourceMap::new(bad).is_err(), "{bad}");
    }
    let all = SourceMap::new("(a: 1, b: 2, a: 3)").unwrap().find_all("", "a").unwrap();
    assert_eq!(all.len(), 2);
    assert_eq!(all[1].value, 16..17);
}

/// Whatever the index says, a file RON reads as a value must be indexed without complaint.
fn ron_value() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        Just("true".to_owned()),
        Just("()".to_owned()),
        Just("None".to_owned()),
        any::<i32>().prop_map(|n| n.to_string()),
        any::<f64>().prop_map(|n| format!("{n:?}")),
        any::<char>().prop_map(|c| ron::to_string(&c).unwrap()),
        ".{0,12}".prop_map(|s| ron::to_string(&s).unwrap()),
        "[a-z\"# ]{0,6}".prop_map(|s| format!("r##\"{}\"##", s.replace("\"#", "x"))),
    ];
    leaf.prop_recursive(5, 40, 5, |inner| {
        let gap = prop::sample::select(vec!["", " ", "\n", " /* ) */ ", " // ]\n", "/* /* \" */ */"]);
        prop_oneof![
            (prop::collection::vec(inner.clone(), 0..4), gap.clone())
                .prop_map(|(v, g)| format!("[{}{g}]", v.join(&format!("{g},")))),
            (prop::collection::vec(inner.clone(), 2..4), gap.clone())
                .prop_map(|(v, g)| format!("({g}{})", v.join(&format!(",{g}")))),
            (prop::collection::vec(("[a-z]{1,5}_", inner.clone()), 1..4), gap.clone()).prop_map(|(v, g)| {
                let fields: Vec<_> = v.iter().map(|(k, v)| format!("{k}{g}:{g}{v}")).collect();
                format!("({}{g},)", fields.join(","))
            }),
            (prop::collection::vec((".{0,5}", inner.clone()), 0..4), gap.clone()).prop_map(|(v, g)| {
                let fields: Vec<_> =
                    v.iter().map(|(k, v)| format!("{}{g}:{v}", ron::to_string(k).unwrap())).collect();
                format!("{{{}{g}}}", fields.join(","))
            }),
            (inner, gap).prop_map(|(v, g)| format!("Some({g}{v})")),
        ]
    })
}

proptest! {
    #![proptest_config(cases(3000))]

    #[test]
    fn verif_what_ron_reads_is_indexed(source in ron_value()) {
        prop_assume!(ron::from_str::<ron::Value>(&source).is_ok());
        prop_assert!(SourceMap::new(&source).is_ok(), "{}", source);
    }

    #[test]
    fn verif_any_text_is_indexed_without_panic(source in "\\PC{0,80}") {
        let map = SourceMap::partial(&source);
        let _ = map.find("a.b[0]");
        let _ = replace_value(&source, "", "1");
        let _ = insert_field(&source, "", "x", "1");
    }

    #[test]
    fn verif_mutated_files_are_indexed_without_panic(cut in 0..SAMPLE.len(), length in 0..40_usize, insert in "[-()\\[\\]{}:,\"'/*#!ra. \n\\\\]{0,6}") {
        let mut from = cut;
        while !SAMPLE.is_char_boundary(from) {
            from -= 1;
        }
        let mut to = (cut + length).min(SAMPLE.len());
        while !SAMPLE.is_char_boundary(to) {
            to -= 1;
        }
        let to = to.max(from);
        let source = format!("{}{insert}{}", &SAMPLE[..from], &SAMPLE[to..]);
        let map = SourceMap::partial(&source);
        for path in ["left.bearings.lower_offset", "fleet.vehicles[2].length", "sizes[\"a.b\"]"] {
            if let Ok(place) = map.find(path) {
                prop_assert!(source.get(place.value).is_some());
                prop_assert!(source.get(place.inner).is_some());
            }
            if let Ok(new) = replace_value(&source, path, "\"9 in\"") {
                prop_assert_eq!(SourceMap::new(&new).unwrap().value_text(path).unwrap(), "\"9 in\"");
            }
        }
        for parent in ["", "left", "line", "sizes", "left.empty"] {
            if let Ok(new) = insert_field(&source, parent, "added_here", "7") {
                let path = if parent.is_empty() { "added_here".to_owned() } else { format!("{parent}.added_here") };
                prop_assert_eq!(SourceMap::new(&new).unwrap().value_text(&path).unwrap(), "7", "{}", new);
            }
        }
    }
}
