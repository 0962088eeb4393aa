//! What a technician looks for: a setting by its words, what differs and its way back, a part of the picture.

use super::*;
use crate::window::app::parts::Part;

#[test]
fn verif_settings_are_found_by_their_words() {
    let mut bench = Bench::new(&[]);
    let all = bench.app.settings().len();
    assert_eq!(bench.app.settings_found().len(), all);
    bench.run(Command::Search("Hole PIN".into()));
    let found: Vec<String> = bench.app.settings_found().into_iter().map(|s| s.path).collect();
    assert_eq!(found, ["both.stop_pin.hole"]);
    // Keys go through what is found.
    bench.run(act(Action::NextSetting));
    assert_eq!(bench.app.chosen(), Some("both.stop_pin.hole"));
    bench.run(act(Action::NextSetting));
    assert_eq!(bench.app.chosen(), Some("both.stop_pin.hole"));
    bench.run(Command::Search("counterweight".into()));
    assert!(bench.app.settings_found().iter().any(|s| s.path == "both.counterweight.mass"));
    bench.run(Command::Search("no such thing".into()));
    assert!(bench.app.settings_found().is_empty());
    bench.run(act(Action::NextSetting));
    bench.run(Command::Search(String::new()));
    assert_eq!(bench.app.settings_found().len(), all);
}

fn act(action: Action) -> Command {
    Command::Act(action)
}

#[test]
fn verif_what_differs_is_undone_by_its_line() {
    let mut bench = Bench::new(&[("both.air.cap", "9 psi"), ("left.stop_pin.hole", "3")]);
    let texts =
        |bench: &Bench| bench.app.changed().iter().map(crate::report::Turned::text).collect::<Vec<_>>();
    assert_eq!(texts(&bench), ["regulator of the cap end 7 → 9 psi", "left: hole of the stop pin 2 → 3"]);
    let line = bench.app.changed()[0].path.clone();
    bench.run(Command::Reset(line));
    assert_eq!(texts(&bench), ["left: hole of the stop pin 2 → 3"]);
    assert_eq!(bench.app.edits().len(), 1);
    bench.run(act(Action::Undo));
    assert_eq!(bench.app.edits().len(), 3, "and that is one undo");
}

#[test]
fn verif_a_part_of_the_picture_chooses_what_is_turned_there() {
    let mut bench = Bench::new(&[]);
    bench.run(Command::Search("spin".into()));
    bench.run(Command::ChoosePart(Part::StopPin, Some(Side::Right)));
    assert_eq!(bench.app.chosen(), Some("both.stop_pin.hole"), "both move together");
    assert!(bench.app.views.search.is_empty(), "it must be seen in the list");
    bench.run(Command::Sides(Sides::Left));
    bench.run(Command::ChoosePart(Part::Pivot, Some(Side::Right)));
    assert_eq!(bench.app.chosen(), Some("right.bearings.lower_offset"));
    assert_eq!(bench.app.views.sides, Sides::Right);
    bench.run(Command::ChoosePart(Part::Vehicle, None));
    assert_eq!(bench.app.chosen(), Some("vehicle.name"));
    // Every part of the table that this machine has is in the picture and has a setting here.
    let pass = Arc::clone(bench.app.shown().expect("solved"));
    let options = crate::drawing::plan_view::PlanOptions {
        stop_pins: pass.stop_pins.clone(),
        ..crate::drawing::plan_view::PlanOptions::new(900.0, 600.0, UnitSystem::Us)
    };
    let list = crate::drawing::plan_view::plan_view(&pass.scene(bench.app.t_s()), &[], &options);
    let mut seen = Vec::new();
    list.items.iter().for_each(|item| {
        item.walk(&mut |inner| seen.extend(inner.key.as_deref().and_then(Part::of_key)));
    });
    for part in [
        Part::Pivot,
        Part::StopPin,
        Part::Cylinder,
        Part::Counterweight,
        Part::Damper,
        Part::Brush,
        Part::Vehicle,
    ] {
        let (_, side) = *seen.iter().find(|(own, _)| *own == part).unwrap_or_else(|| panic!("{part:?}"));
        bench.run(Command::Choose("line.gap".into()));
        bench.run(Command::ChoosePart(part, side));
        assert_ne!(bench.app.chosen(), Some("line.gap"), "{part:?} has a setting");
    }
    assert_eq!(Part::of_key("stop-pin:middle"), None);
    assert_eq!(Part::of_key("ghost:A:left"), None);
}

/// The sheet is of the file's set-up and of the one shown: both stand in it, with the step between them. A lesson, which may hide a fault, has none.
#[test]
fn verif_the_sheet_of_what_is_set() {
    use crate::window::app::command::Effect;
    use crate::window::app::sheet::make_sheet;
    let mut bench = Bench::new(&[("left.stop_pin.hole", "3")]);
    let effects = bench.run(act(Action::MakeSheet));
    let [Effect::MakeSheet(asked)] = effects.as_slice() else { panic!("{effects:?}") };
    assert!(bench.app.told().is_some_and(|told| told.contains("Making the sheet")));
    let hole = |scenario: &Scenario| scenario.stop_pin(crate::arm::Side::Left).map(|pin| pin.hole);
    assert_ne!(hole(&asked.found), hole(&asked.left));
    let page = make_sheet(asked).expect("a sheet");
    for word in
        ["Before a hand goes near the machine", "Settings, as found and as left", "from hole 2 to hole 3"]
    {
        assert!(page.contains(word), "{word}");
    }
    bench.run(Command::Lesson(Arc::new(Lesson::read(LESSON, "lesson.ron").expect("good"))));
    assert!(bench.run(act(Action::MakeSheet)).is_empty());
    assert!(bench.app.told().is_some_and(|told| told.contains("no sheet")));
}

/// A value is said in the units of the window, and as it is written where that is in them; what is typed stays as it is written.
#[test]
fn verif_values_are_said_in_the_units_of_the_window() {
    let mut bench = Bench::new(&[]);
    let said = |bench: &Bench, path: &str| bench.app.in_file_said(path).expect("a value");
    assert_eq!(bench.app.units, UnitSystem::Us);
    assert_eq!(said(&bench, "left.air.cap"), "7 psi");
    bench.run(Command::Act(Action::Units));
    // 7 × 6.894757 kPa and 12 × 0.45359237 kg, by hand; nothing is nothing in the unit of its column; a hole has none.
    for (path, text) in [
        ("left.air.cap", "48.3 kPa"),
        ("both.counterweight.mass", "5.44 kg"),
        ("left.bearings.lower_offset", "0 mm"),
        ("left.stop_pin.hole", "2"),
        ("line.throughput", "140 veh/h"),
    ] {
        assert_eq!(said(&bench, path), text, "{path}");
    }
    assert_eq!(bench.app.in_file("left.air.cap").as_deref(), Some("7 psi"));
}
