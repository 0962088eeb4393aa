use super::*;
use crate::fixed_cases::cases;
use proptest::prelude::*;

fn refusal(problem: &str) -> Refusal {
    Refusal { problem: problem.to_owned(), ..Refusal::default() }
}

fn at(source: &str, range: Range<usize>) -> Diagnostic {
    Diagnostic::new(DiagnosticKind::Sense, "a.ron", source, Some(range), "", refusal("no"))
}

#[test]
fn verif_refusals_survive_the_trip_as_text() {
    let all = Refusal {
        problem: "no".into(),
        given: "x; allowed: y; do: z; given: w".into(),
        allowed: "1, 2".into(),
        advice: "write 1".into(),
    };
    assert_eq!(Refusal::from_text(&all.to_string()), Some(all));
    let some = Refusal { given: "x".into(), ..refusal("no") };
    assert_eq!(Refusal::from_text(&some.to_string()), Some(some));
    assert_eq!(Refusal::from_text("just words"), None);
}

#[test]
fn verif_places_count_lines_and_characters() {
    let source = "ab\r\nµé = 'x'\n\nend";
    let x = source.find('x').unwrap();
    let location = Location::of(source, x..x + 1);
    assert_eq!((location.line, location.column), (2, 7));
    assert_eq!(location.source_line, "µé = 'x'");
    assert_eq!(&location.source_line[location.span], "x");
    let over = Location::of(source, x..source.len());
    assert_eq!(&over.source_line[over.span], "x'");
    let end = Location::of(source, 1000..2000);
    assert_eq!((end.line, end.column, end.span), (4, 4, 3..3));
    let empty = Location::of("", 0..0);
    assert_eq!((empty.line, empty.column), (1, 1));
}

#[test]
fn verif_carets_stand_under_the_value() {
    let caret_column = |source: &str, range: Range<usize>| {
        let text = at(source, range).to_string();
        let lines: Vec<&str> = text.lines().collect();
        let marks = lines.iter().position(|line| line.contains('^')).expect("a caret line");
        let caret: usize = lines[marks].chars().position(|c| c == '^').unwrap();
        let count = lines[marks].matches('^').count();
        lines[marks - 1].chars().skip(caret).take(count).collect::<String>()
    };
    assert_eq!(caret_column("(a: 12, b: 3)", 4..6), "12");
    assert_eq!(caret_column("\t\t(a: 12)", 6..8), "12");
    // Behind and under what would steer a terminal, which is written out.
    let steered = "(t: \"\u{1b}[2J\u{202e}\", \u{9b}b: 12)";
    let b = steered.find("12").unwrap();
    assert_eq!(caret_column(steered, b..b + 2), "12");
    assert_eq!(caret_column(steered, 5..6), "\\u{1b}");
    let source = "(µ: \"é\", b: 34)";
    let b = source.find("34").unwrap();
    assert_eq!(caret_column(source, b..b + 2), "34");
    let long = format!("({}b: 34, {})", "a: 1, ".repeat(5000), "c: 5, ".repeat(5000));
    let b = long.find("34").unwrap();
    assert_eq!(caret_column(&long, b..b + 2), "34");
    let text = at(&long, b..b + 2).to_string();
    assert!(text.lines().all(|line| line.chars().count() < 130), "{text}");
}

#[test]
fn verif_text_is_plain_whatever_the_file_holds() {
    let mut diagnostic = at("(a: \u{1b}[31m)", 4..5);
    diagnostic.given = "\u{1b}[31mred\u{7}".to_owned();
    diagnostic.field = "a\nb".to_owned();
    let text = diagnostic.to_string();
    assert!(!text.contains('\u{1b}') && !text.contains('\u{7}'), "{text}");
    assert!(text.contains("field:   a\\nb"));
    assert_eq!(diagnostic.summary(), "a.ron:1:5: no");
    diagnostic.given = "x".repeat(1_000_000);
    assert!(diagnostic.to_string().len() < 2000);
    let file = Diagnostic::of_file("gone.ron", refusal("the file cannot be opened"));
    assert_eq!(file.to_string(), "error: the file cannot be opened\n --> gone.ron");
    assert_eq!((file.line(), file.column()), (0, 0));
    let two = Diagnostics(vec![file.clone(), file]);
    assert_eq!(two.to_string().matches("error:").count(), 2);
    assert!(two.into_result().is_err());
    assert!(Diagnostics::default().into_result().is_ok());
}

#[test]
fn verif_nearest_names_are_near() {
    let names = ["lower_offset", "upper_offset", "spacing"];
    assert_eq!(nearest("lower_ofset", names), Some("lower_offset"));
    assert_eq!(nearest("loweroffset", names), Some("lower_offset"));
    assert_eq!(nearest("Spacign", names), Some("spacing"));
    assert_eq!(nearest("colour", names), None);
    assert_eq!(nearest("x", ["a"]), None);
    assert_eq!(edit_distance(&['a', 'b'], "ba"), 1);
    assert_eq!(edit_distance(&[], "abc"), 3);
}

proptest! {
    #![proptest_config(cases(2000))]

    #[test]
    fn verif_any_place_in_any_text_prints(source in "(\\PC|[\n\r\t\u{1b}\u{200b}\u{9b}\u{202e}\u{2066}\u{85}]){0,60}", a in 0..200_usize, b in 0..200_usize) {
        let diagnostic = at(&source, a..b);
        let location = diagnostic.location.clone().unwrap();
        prop_assert!(location.source_line.get(location.span).is_some());
        let text = diagnostic.to_string();
        prop_assert!(text.starts_with("error: no"));
        let hidden = text.contains(|c| c != '\n' && crate::visible::is_hidden(c));
        prop_assert!(!hidden, "{text:?}");
    }

    #[test]
    fn verif_any_given_text_survives(given in "\\PC{1,40}") {
        let whole = Refusal { problem: "p".into(), given, allowed: "a".into(), advice: "d".into() };
        prop_assert_eq!(Refusal::from_text(&whole.to_string()), Some(whole));
    }
}

#[test]
fn verif_ten_thousand_errors_are_counted_not_told() {
    let many = |count: usize| {
        let mut all = Diagnostics::default();
        (0..count).for_each(|i| all.push(Diagnostic::of_file("a.ron", refusal(&format!("mistake {i}.")))));
        all.to_string()
    };
    assert!(many(MOST_SHOWN).ends_with(&format!("mistake {}.\n --> a.ron", MOST_SHOWN - 1)));
    let told = many(10_000);
    assert_eq!(told.matches("error: ").count(), MOST_SHOWN);
    assert!(told.contains("mistake 0.") && told.ends_with("\n\nand 9980 more: mend these first"), "{told}");
    assert!(many(MOST_SHOWN + 1).ends_with("and 1 more: mend these first"));
}
