//! Bad scenario files: small edits of shipped ones, each with its exact message in a snapshot.
//!
//! Every message must say where (file, line, column, the line with a caret), which field, what was given, what is allowed where that
//! can be said, and what to do.

use super::{BESIDE, SHIPPED, shipped_text};
use brusharm::scenario::Scenario;

/// An edit: what stands there (its first place after `after`), and what is written in its stead.
type Edit<'e> = (&'e str, &'e str, &'e str);

/// Reads one of the shipped scenarios after edits to it, or to a file it names.
fn damaged(scenario: &str, damaged_file: &str, edits: &[Edit<'_>]) -> String {
    let text = |name: &str| {
        let mut text = shipped_text(name);
        if name == damaged_file {
            for (after, old, new) in edits {
                let from = text.find(after).unwrap_or_else(|| panic!("no «{after}» in {name}"));
                let at =
                    from + text[from..].find(old).unwrap_or_else(|| panic!("no «{old}» after «{after}»"));
                text.replace_range(at..at + old.len(), new);
            }
        }
        text
    };
    let loader = |name: &str| {
        let known = SHIPPED.contains(&name) || BESIDE.contains(&name);
        if known { Ok(text(name)) } else { Err("there is no such file".to_owned()) }
    };
    let errors = match Scenario::read(&text(scenario), scenario, &loader) {
        Ok(_) => panic!("{edits:?} makes no bad file"),
        Err(errors) => errors,
    };
    for error in &errors.0 {
        assert!(!error.problem.is_empty() && !error.advice.is_empty(), "{error}");
        assert!(error.location.is_some(), "{error}");
    }
    errors.to_string()
}

#[test]
fn verif_lists_and_files_have_a_size() {
    let good = shipped_text("one-unit.ron");
    let said = |text: &str| Scenario::read_alone(text, "long.ron").unwrap_err().to_string();
    let train = good.replace("[\"sedan\"]", &format!("[{}]", "\"sedan\", ".repeat(41)));
    assert!(said(&train).contains("given:   41 items\nallowed: 1 to 40"), "{}", said(&train));
    let parts =
        good.replace("parts: [", &format!("parts: [{}", "Point(mass: \"1 lb\", at: \"1 in\"), ".repeat(50)));
    assert!(said(&parts).contains("given:   52 items\nallowed: 1 to 50"), "{}", said(&parts));
    let title = good.replace("title: \"", &format!("title: \"{}", "long ".repeat(1000)));
    assert!(said(&title).contains("the text is too long"), "{}", said(&title));
    let brackets = good.replace("parts: [", &format!("parts: {}", "[".repeat(100_000)));
    assert!(said(&brackets).starts_with("error: "), "{}", said(&brackets));
    let large = format!("{good}{}", " ".repeat(2_000_000));
    assert!(said(&large).contains("the file is too large"), "{}", said(&large));
}

macro_rules! bad {
    ($($name:ident: $file:literal $(in $other:literal)?, $edits:expr;)*) => {
        $(
            #[test]
            fn $name() {
                #[allow(unused_variables)]
                let place = $file;
                $(let place = $other;)?
                insta::assert_snapshot!(concat!("bad_", stringify!($name)), damaged($file, place, &$edits));
            }
        )*

        /// How many there are.
        const COUNT: usize = [$(stringify!($name)),*].len();
    };
}

#[test]
fn verif_there_are_at_least_sixty() {
    const { assert!(COUNT >= 60) }
}

bad! {
    // Reading.
    a_bracket_is_missing: "one-unit.ron", [("stop_pin: (hole: 2),", "(hole: 2),", "(hole: 2,")];
    a_quote_is_missing: "one-unit.ron", [("gap:", "\"5 ft\"", "\"5 ft")];
    a_comma_is_missing: "one-unit.ron", [("gap:", "\"5 ft\",", "\"5 ft\"")];
    an_empty_line_of_fields: "one-unit.ron", [("line: (", "throughput: \"100 veh/h\",", ",")];
    the_file_ends_early: "one-unit.ron", [("criteria: (", ")\n", "")];
    a_field_is_misspelled: "one-unit.ron", [("left: (", "bearings:", "bearing:")];
    a_field_is_unknown: "one-unit.ron", [("left: (", "position: \"0 in\",", "position: \"0 in\", colour: \"red\",")];
    a_field_is_given_twice: "one-unit.ron", [("left: (", "cap: \"7 psi\",", "cap: \"7 psi\", cap: \"8 psi\",")];
    a_field_is_missing: "one-unit.ron", [("line: (", "gap: \"5 ft\",", "")];
    a_word_is_unknown: "one-unit.ron", [("brush: (\n            spin", "OutboardAtNose", "Outward")];
    a_word_is_in_quotes: "one-unit.ron", [("brush: (\n            spin", "OutboardAtNose", "\"OutboardAtNose\"")];
    a_number_has_no_unit: "one-unit.ron", [("left: (", "\"7 psi\"", "7")];
    a_unit_measures_something_else: "one-unit.ron", [("left: (", "\"7 psi\"", "\"7 in\"")];
    a_unit_is_unknown: "one-unit.ron", [("left: (", "\"7 psi\"", "\"7 pounds per inch\"")];
    a_mass_for_a_force: "one-unit.ron", [("push_back:", "\"9.5 lbf\"", "\"9.5 lb\"")];
    a_comma_in_a_number: "one-unit.ron", [("arm: (", "\"90-1/2 in\"", "\"90,5 in\"")];
    a_range_for_a_value: "one-unit.ron", [("left: (", "\"7 psi\"", "\"5-10 psi\"")];
    not_a_number: "one-unit.ron", [("left: (", "friction: 0.35", "friction: NaN")];
    an_infinite_number: "one-unit.ron", [("left: (", "friction: 0.35", "friction: inf")];
    a_text_that_says_nan: "one-unit.ron", [("line: (", "\"5 ft\"", "\"NaN ft\"")];
    a_number_beyond_all_size: "one-unit.ron", [("line: (", "\"5 ft\"", "\"5e999 ft\"")];
    a_hole_with_decimals: "one-unit.ron", [("left: (", "(hole: 2)", "(hole: 2.5)")];
    a_negative_hole: "one-unit.ron", [("left: (", "(hole: 2)", "(hole: -1)")];
    text_for_a_struct: "one-unit.ron", [("left: (", "(hole: 2)", "\"hole 2\"")];
    a_machine_without_its_word: "one-unit.ron", [("machine: Both", "Both(", "(")];
    a_vehicle_without_its_word: "one-unit.ron", [("vehicles: [", "Demo(\"sedan\")", "\"sedan\"")];
    an_unknown_part: "one-unit.ron", [("parts: [", "Rod(", "Tube(")];
    another_version: "one-unit.ron", [("(", "schema: 1", "schema: 2")];

    // Line and train.
    throughput_and_conveyor_speed: "one-unit.ron", [("line: (", "gap:", "conveyor_speed: \"40 ft/min\", gap:")];
    neither_throughput_nor_conveyor_speed: "one-unit.ron", [("line: (", "throughput: \"100 veh/h\",", "")];
    no_throughput_at_all: "one-unit.ron", [("line: (", "100 veh/h", "0 veh/h")];
    an_absurd_throughput: "one-unit.ron", [("line: (", "100 veh/h", "10000 veh/h")];
    a_throughput_going_backwards: "one-unit.ron", [("line: (", "100 veh/h", "-100 veh/h")];
    no_gap: "one-unit.ron", [("line: (", "\"5 ft\"", "\"0 ft\"")];
    a_gauge_atmosphere: "one-unit.ron", [("line: (", "14.696 psia", "14.696 psi")];
    an_empty_train: "one-unit.ron", [("measured: 1", "measured: 1,", ""), ("train: [", "\"sedan\"", "")];
    a_train_of_one: "one-unit.ron", [("measured: 1", "measured: 1,", "")];
    measured_beyond_the_train: "one-unit.ron", [("measured: 1", "1", "3")];
    measured_from_zero: "one-unit.ron", [("measured: 1", "1", "0")];
    an_unknown_vehicle: "one-unit.ron", [("train: [", "sedan", "saloon")];
    a_vehicle_that_is_not_listed: "one-unit.ron", [("vehicles: [", "Demo(\"sedan\"),", "")];
    an_unknown_demo_vehicle: "one-unit.ron", [("vehicles: [", "Demo(\"sedan\")", "Demo(\"sedna\")")];
    a_vehicle_listed_twice: "one-unit.ron", [("vehicles: [", "Demo(\"sedan\")", "Demo(\"sedan\"), Demo(\"sedan\")")];
    a_train_entry_of_the_wrong_kind: "one-unit.ron", [("train: [", "\"sedan\"", "3")];
    shares_that_do_not_add_up: "fleet-day.ron", [("fleet: [", "22 %", "32 %")];
    a_negative_share: "fleet-day.ron", [("fleet: [", "22 %", "-22 %")];
    two_shares_of_one_vehicle: "fleet-day.ron", [("fleet: [", "\"city hatch\"", "\"sedan\"")];
    an_unknown_vehicle_in_the_fleet: "fleet-day.ron", [("fleet: [", "\"city hatch\"", "\"city hatchback\"")];
    a_vehicle_turned_across: "fleet-day.ron", [("train: [", "0.5 deg", "45 deg")];
    a_vehicle_beside_the_lane: "fleet-day.ron", [("train: [", "\"1 in\"", "\"30 in\"")];

    // Machine.
    vehicles_wider_than_the_lane: "ferry-return.ron", [("line: (", "\"9 ft\"", "\"6 ft\"")];
    a_lane_past_the_pivots: "ferry-return.ron", [("line: (", "\"9 ft\"", "\"11 ft\"")];
    a_negative_mass: "ferry-return.ron", [("parts: [", "\"49-1/2 lb\"", "\"-49-1/2 lb\"")];
    a_weightless_brush: "ferry-return.ron", [("parts: [", "\"51 lb\"", "\"0 lb\"")];
    nothing_that_swings: "ferry-return.ron", [
        ("parts: [", "Rod(name: \"arm tube\", mass: \"49-1/2 lb\", from: \"0 in\", to: \"86 in\"),", ""),
        ("parts: [", "Given(name: \"core, spindle and motor\", mass: \"51 lb\", at: \"86 in\", inertia: \"0.5 kg m2\"),", ""),
    ];
    a_rod_that_ends_before_it_begins: "ferry-return.ron", [("parts: [", "from: \"0 in\"", "from: \"100 in\"")];
    bearings_without_spacing: "ferry-return.ron", [("pivot: (", "\"12 in\"", "\"0 in\"")];
    a_breakaway_below_friction: "ferry-return.ron", [("pivot: (", "\"2.4 lbf ft\"", "\"1 lbf ft\"")];
    negative_friction: "ferry-return.ron", [("pivot: (", "\"1.8 lbf ft\"", "\"-1.8 lbf ft\"")];
    an_absurd_arm: "ferry-return.ron", [("arm: (", "\"86 in\"", "\"86 ft\"")];
    an_arm_that_cannot_reach: "ferry-return.ron", [("arm: (", "length: \"86 in\"", "length: \"3 ft\"")];
    an_arm_that_misses_the_vehicle: "ferry-return.ron", [
        ("stop_pin: (\n", "[\"23 in\", \"17 in\", \"11 in\"]", "[\"66 in\", \"64 in\", \"62 in\"]"),
    ];
    a_hub_as_large_as_the_brush: "ferry-return.ron", [("brush: (", "\"3 in\"", "\"27 in\"")];
    media_upside_down: "ferry-return.ron", [("brush: (", "\"58 in\"", "\"8 in\"")];
    media_over_the_roof: "ferry-return.ron", [
        ("brush: (", "\"10 in\"", "\"100 in\""), ("brush: (", "\"58 in\"", "\"148 in\""),
    ];
    no_strips: "ferry-return.ron", [("brush: (", "strips: 16", "strips: 0")];
    an_exponent_out_of_range: "ferry-return.ron", [("brush: (", "strips: 16,", "strips: 16, exponent: 8,")];
    anchors_that_coincide: "ferry-return.ron", [
        ("dampers: [", "downstream: \"17 in\"", "downstream: \"11.6 in\""), ("dampers: [", "toward_wall: \"16 in\"", "toward_wall: \"-3.1 in\""),
    ];
    both_anchors_at_the_pivot: "ferry-return.ron", [
        ("dampers: [", "\"17 in\"", "\"0 in\""), ("dampers: [", "\"16 in\"", "\"0 in\""), ("dampers: [", "\"12 in\"", "\"0 in\""),
    ];
    a_stroke_that_runs_out: "ferry-return.ron", [("cylinder: (", "stroke: \"10 in\"", "stroke: \"8 in\"")];
    a_cylinder_that_bottoms: "ferry-return.ron", [("cylinder: (", "closed_length: \"16 in\"", "closed_length: \"18 in\"")];
    a_rod_thicker_than_the_bore: "ferry-return.ron", [("cylinder: (", "\"5/8 in\"", "\"2-1/2 in\"")];
    no_flow: "ferry-return.ron", [("cap: (\n", "\"0.5 dm3/(s bar)\"", "\"0 dm3/(s bar)\"")];
    a_critical_ratio_of_one: "ferry-return.ron", [("cap: (\n", "b: 0.3", "b: 1")];
    a_polytropic_index_out_of_range: "ferry-return.ron", [("cylinder: (", "seal_friction:", "polytropic_index: 2, seal_friction:")];
    no_dead_volume: "ferry-return.ron", [("cap: (\n", "\"15 in3\"", "\"0 in3\"")];
    negative_damping: "ferry-return.ron", [("bumper: (", "\"60 lbf s/in\"", "\"-60 lbf s/in\"")];
    a_bumper_beyond_the_arm: "ferry-return.ron", [("bumper: (", "radius: \"12 in\"", "radius: \"12 ft\"")];
    a_stop_outside_the_travel: "ferry-return.ron", [("outboard_stop: (", "\"100 deg\"", "\"60 deg\"")];
    holes_out_of_order: "ferry-return.ron", [("stop_pin: (\n", "\"17 in\"", "\"26 in\"")];
    a_hole_out_of_reach: "ferry-return.ron", [("stop_pin: (\n", "\"11 in\"", "\"-48 in\"")];
    holes_given_twice: "ferry-return.ron", [("stop_pin: (\n", "brush_center:", "angle: [\"60 deg\"], brush_center:")];
    no_holes: "ferry-return.ron", [("stop_pin: (\n", "[\"23 in\", \"17 in\", \"11 in\"]", "[]")];

    // Set-up.
    no_unit: "one-unit.ron", [
        ("left: (", "left: (", "/* left: ("), ("push_back:", "    ),\n\n", "    ), */\n\n"),
    ];
    a_hole_that_does_not_exist: "ferry-return.ron", [("left: (", "(hole: 2)", "(hole: 4)")];
    a_hole_zero: "ferry-return.ron", [("right: (", "(hole: 2)", "(hole: 0)")];
    too_much_lean: "ferry-return.ron", [("left: (", "lower_offset: \"0 in\"", "lower_offset: \"1.9 in\"")];
    an_offset_in_feet: "ferry-return.ron", [("left: (", "lower_offset: \"0 in\"", "lower_offset: \"1/2 ft\"")];
    offsets_and_gaps: "ferry-return.ron", [("left: (", "lower_offset: \"0 in\"", "upper_gap: \"2 in\", lower_gap: \"2 in\"")];
    one_gap_alone: "harbour-return.ron", [("left: (", "upper_gap: \"50 mm\",", "")];
    an_absurd_pressure: "ferry-return.ron", [("left: (", "\"7 psi\"", "\"700 psi\"")];
    a_vacuum: "ferry-return.ron", [("left: (", "\"7 psi\"", "\"7 psia\"")];
    air_without_a_setting: "ferry-return.ron", [
        ("left: (", "air: (\n            cap: \"7 psi\",\n            rod: \"0 psi\",\n        ),", ""),
    ];
    air_without_a_cylinder: "harbour-return.ron" in "harbour-machine.ron", [
        ("cylinder: (", "cylinder: (", "/* cylinder: ("), ("valve_pull_in:", "),", "), */"),
    ];
    a_weight_without_a_cable: "one-unit.ron", [
        ("counterweight: (", "counterweight: (            // pulls the brush inboard\n            frame_anchor: (downstream: \"-11 in\", toward_wall: \"27 in\"),\n            arm_anchor: (along: \"-17-1/4 in\"),\n        ),", ""),
    ];
    no_needle_setting: "one-unit.ron", [("left: (", "(out_stroke: \"3 lbf s/in\", in_stroke: \"0.2 lbf s/in\"),", "")];
    a_negative_needle: "one-unit.ron", [("left: (", "\"0.2 lbf s/in\"", "\"-0.2 lbf s/in\"")];
    a_spin_written_as_rate: "one-unit.ron", [("left: (", "\"90 rpm\"", "\"90 Hz\"")];
    a_friction_in_percent_of_hundreds: "one-unit.ron", [("left: (", "friction: 0.35", "friction: 35")];
    media_of_nothing: "ferry-return.ron", [("left: (", "media: Limp(mass: \"44 lb\"),", "")];
    media_twice: "ferry-return.ron", [("left: (", "media: Limp", "push_back: (depth: \"6 in\", force: \"9 lbf\", height: \"48 in\"), media: Limp")];
    a_featherweight_of_media: "ferry-return.ron", [("left: (", "\"44 lb\"", "\"44 oz\"")];
    strips_worn_to_the_hub: "ferry-return.ron", [("left: (", "media: Limp", "worn: \"23 in\", media: Limp")];
    an_exponent_for_cloth: "ferry-return.ron", [("brush: (", "strips: 16,", "strips: 16, exponent: 1.5,")];
    a_push_back_into_the_hub: "one-unit.ron", [("push_back:", "\"6 in\"", "\"20 in\"")];
    a_push_back_taller_than_the_brush: "one-unit.ron", [("push_back:", "\"48 in\"", "\"8 ft\"")];
    a_valve_step_without_a_place: "air-drop.ron", [("schedule: [", "at: \"4-1/2 ft\",", "")];
    a_valve_step_in_the_past: "air-drop.ron", [("schedule: [", "delay: \"0.2 s\"", "delay: \"-0.2 s\"")];
    a_valve_step_to_nowhere: "air-drop.ron", [("schedule: [", "to: Exhaust", "to: Vent")];

    // Criteria and numerics.
    a_share_above_all: "one-unit.ron", [("criteria: (", "\"99 %\"", "\"990 %\"")];
    a_negative_limit: "one-unit.ron", [("criteria: (", "\"30 lbf\"", "\"-30 lbf\"")];
    two_limits_for_one_kind: "one-unit.ron", [("criteria: (", "feature: Antenna", "feature: Mirror")];
    pressures_the_wrong_way_round: "one-unit.ron", [
        ("criteria: (", "side_washed:", "side_pressure_low: \"200 Pa\", side_pressure_peak: \"100 Pa\", side_washed:"),
    ];
    a_tolerance_out_of_range: "one-unit.ron", [("criteria: (", "criteria: (", "numerics: (tolerance: 1), criteria: (")];
    an_endless_step: "one-unit.ron", [("criteria: (", "criteria: (", "numerics: (longest_step: \"0 s\"), criteria: (")];
    no_wipes: "one-unit.ron", [("coverage: (", "washed_wipes: 9", "washed_wipes: 0")];

    // Vehicles of one's own, and files beside.
    a_file_that_is_not_there: "harbour-return.ron", [("machine: File", "harbour-machine.ron", "habour-machine.ron")];
    a_file_in_another_folder: "harbour-return.ron", [("machine: File", "harbour-machine.ron", "../harbour-machine.ron")];
    a_file_that_names_itself: "harbour-return.ron", [("machine: File", "harbour-machine.ron", "harbour-return.ron")];
    a_file_named_twice: "harbour-return.ron", [
        ("vehicles: [", "File(\"harbour-vehicles.ron\"),", "File(\"harbour-vehicles.ron\"), File(\"harbour-vehicles.ron\"),"),
    ];
    a_machine_file_that_names_a_file: "harbour-return.ron" in "harbour-machine.ron", [
        ("note:", "machine: Both(", "machine: File(\"other.ron\"), /* ("),
        ("outboard_stop: (", "    ),\n)", "    ), */\n)"),
    ];
    a_vehicle_file_that_names_a_file: "harbour-return.ron" in "harbour-vehicles.ron", [
        ("note:", "vehicles: [", "vehicles: [File(\"other.ron\"),"),
    ];
    a_wrong_value_in_a_file_beside: "harbour-return.ron" in "harbour-machine.ron", [("arm: (", "\"86 in\"", "\"86 ft\"")];
    a_syntax_error_in_a_file_beside: "harbour-return.ron" in "harbour-machine.ron", [("arm: (", "\"86 in\",", "\"86 in,")];
    a_body_that_does_not_meet_the_next: "harbour-return.ron" in "harbour-vehicles.ron", [("body: [", "top: \"40 in\"", "top: \"39 in\"")];
    a_corner_too_round: "harbour-return.ron" in "harbour-vehicles.ron", [
        ("body: [", "nose_corner_radius: \"9 in\"", "nose_corner_radius: \"60 in\""),
    ];
    a_mirror_beside_nothing: "harbour-return.ron" in "harbour-vehicles.ron", [
        ("features: [", "behind_nose: \"34 in\"", "behind_nose: \"170 in\""),
    ];
    a_mirror_without_reach: "harbour-return.ron" in "harbour-vehicles.ron", [("features: [", "reach: \"7 in\"", "reach: \"-7 in\"")];
    a_vehicle_named_like_a_demo_one: "harbour-return.ron" in "harbour-vehicles.ron", [
        ("vehicles: [", "\"luggage shuttle\"", "\"sedan\""),
    ];
    an_absurd_vehicle: "harbour-return.ron" in "harbour-vehicles.ron", [("length:", "\"14 ft 6 in\"", "\"140 ft\"")];
    several_at_once: "ferry-return.ron", [
        ("line: (", "\"6 ft\"", "\"-6 ft\""),
        ("arm: (", "\"86 in\"", "\"86 ft\""),
        ("left: (", "\"7 psi\"", "\"700 psi\""),
        ("right: (", "friction: 0.40", "friction: 4.0"),
    ];
}
