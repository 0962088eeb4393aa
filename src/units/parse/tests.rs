use crate::fixed_cases::cases;
use crate::units::*;
use proptest::prelude::*;

fn si<D: Dimension>(text: &str) -> f64 {
    Quantity::<D>::parse(text).unwrap_or_else(|error| panic!("{text}: {error}")).si()
}

fn error<D: Dimension>(text: &str) -> String {
    match Quantity::<D>::parse(text) {
        Ok(quantity) => panic!("{text} was read as {}", quantity.si()),
        Err(error) => error.to_string(),
    }
}

#[test]
fn verif_all_spellings_of_a_length_are_the_same_double() {
    let cases: &[(&str, f64)] = &[
        ("7/8 in", 0.022225),
        ("0.875in", 0.022225),
        ("7/8\"", 0.022225),
        ("⅞ in", 0.022225),
        ("1-1/4\"", 0.03175),
        ("1 1/4 in", 0.03175),
        ("1¼ in", 0.03175),
        ("1.25 in", 0.03175),
        ("+1.25 IN", 0.03175),
        ("−1/8 in", -0.003175),
        ("-1/8in", -0.003175),
        ("– 1/8 in.", -0.003175),
        (".5 in", 0.0127),
        ("3 ft. .5 in", 0.9271),
        ("0'.½in", 0.0127),
        ("5. in", 0.127),
        ("1e1 in", 0.254),
        ("2.5E-1 in", 0.00635),
        ("3'6\"", 1.0668),
        ("3′ 6″", 1.0668),
        ("3’6”", 1.0668),
        ("3' 6''", 1.0668),
        ("3 ft 6 in", 1.0668),
        ("3ft6in", 1.0668),
        ("3 ft. 6 in.", 1.0668),
        ("3 feet 6 inches", 1.0668),
        ("3' 6-1/2\"", 1.0795),
        ("3'-6 1/2\"", 1.0795),
        ("3'1/2\"", 0.9271),
        ("-3'6\"", -1.0668),
        ("3 ft .5 in", 0.9271),
        ("3.5 ft", 1.0668),
        ("1066.8 mm", 1.0668),
        ("106.68 cm", 1.0668),
        ("-0 in", 0.0),
        ("1/1000 in", 0.0000254),
        ("1 thou", 0.0000254),
    ];
    for (text, metres) in cases {
        let read = si::<LengthDim>(text);
        assert_eq!(read.to_bits(), metres.to_bits(), "{text}: {read}");
    }
}

#[test]
fn verif_other_dimensions_read_their_units() {
    let close = |a: f64, b: f64| assert!((a - b).abs() <= 1e-15 * b.abs(), "{a} is not {b}");
    close(si::<AngleDim>("180 deg"), std::f64::consts::PI);
    close(si::<AngleDim>("-90°"), -std::f64::consts::FRAC_PI_2);
    close(si::<SpinDim>("60 rpm"), std::f64::consts::TAU);
    close(si::<AngularStiffnessDim>("1 N m/deg"), 180.0 / std::f64::consts::PI);
    assert_eq!(si::<TemperatureDim>("32 °F"), 273.15);
    assert_eq!(si::<TemperatureDim>("-40 F"), si::<TemperatureDim>("-40 °C"));
    assert_eq!(si::<TemperatureDim>("20 ° C"), 293.15);
    assert_eq!(si::<ThroughputDim>("100 veh/h"), 100.0 / 3600.0);
    assert_eq!(si::<ThroughputDim>("100 vehicles per hour"), 100.0 / 3600.0);
    assert_eq!(si::<TorqueDim>("20 N·m"), 20.0);
    assert_eq!(si::<TorqueDim>("20 ft-lbf"), si::<TorqueDim>("20 lbf·ft"));
    assert_eq!(si::<InertiaDim>("325 kg·m²"), 325.0);
    assert_eq!(si::<ConductanceDim>("2 dm³/(s·bar)"), 2e-8);
    assert_eq!(si::<ConductanceDim>("2 L/s/bar"), 2e-8);
    assert_eq!(si::<RateDim>("3 1/s"), 3.0);
    assert_eq!(si::<RateDim>("3 per s"), 3.0);
    assert_eq!(si::<FractionDim>("35 %"), 0.35);
    assert_eq!(si::<FractionDim>("0.35"), 0.35);
    assert_eq!(si::<FractionDim>("1/3"), 1.0 / 3.0);
    assert_eq!(si::<MassDim>("1 lb 8 oz"), si::<MassDim>("1.5 lb"));
    assert_eq!(si::<TimeDim>("1 min 30 s"), 90.0);
    assert_eq!(si::<VolumeDim>("1 gal"), 0.003_785_411_784);
    assert_eq!(si::<ViscosityDim>("10 cP"), 0.01);
}

#[test]
fn verif_gauge_is_the_default_and_absolute_is_said() {
    let gauge = Pressure::parse("7 psi").unwrap();
    assert_eq!(gauge, Pressure::parse("7 psig").unwrap());
    assert!(!gauge.is_absolute());
    assert_eq!(gauge.absolute_pa(100_000.0), gauge.gauge_pa() + 100_000.0);
    for text in ["150 kPa abs", "150 kPa(a)", "1.5 bara", "1.5 bar abs"] {
        let absolute = Pressure::parse(text).unwrap();
        assert!(absolute.is_absolute(), "{text}");
        assert_eq!(absolute.absolute_pa(90_000.0), 150_000.0);
        assert_eq!(absolute.gauge_pa(), 48_675.0);
        assert_eq!(absolute.gauge_pa_at(100_000.0), 50_000.0);
    }
    assert_eq!(Pressure::parse("101.325 kPa abs").unwrap(), Pressure::standard_atmosphere());
    assert_eq!(Pressure::parse(Pressure::standard_atmosphere().written()).unwrap().gauge_pa(), 0.0);
}

#[test]
fn verif_each_refusal_says_what_to_do() {
    let cases: Vec<(String, &str)> = vec![
        (
            error::<LengthDim>("5"),
            "a length needs its unit; given: 5; allowed: in, ft, ft and in, yd, thou, mm, cm, m, km; do: add the unit in quotes, like \"7/8 in\"",
        ),
        (error::<LengthDim>(""), "a length is wanted but the text is empty; allowed:"),
        (error::<LengthDim>("in"), "a length starts with a number; given: in;"),
        (error::<LengthDim>("nan in"), "a length starts with a number"),
        (error::<LengthDim>("inf m"), "a length starts with a number"),
        (error::<LengthDim>("5 psi"), "`psi` measures a pressure, but a length is wanted; given: 5 psi;"),
        (error::<LengthDim>("5 furlongs"), "`furlongs` is not a unit of length; given: 5 furlongs;"),
        (error::<LengthDim>("1,5 mm"), "a comma is not used in numbers in a length; given: 1,5 mm;"),
        (error::<LengthDim>("1.5,5 mm"), "a comma is not used in numbers in a length"),
        (error::<LengthDim>("1/0 in"), "the fraction divides by zero in a length"),
        (error::<LengthDim>("1.5/2 in"), "a fraction is made of whole numbers"),
        (error::<LengthDim>("1/2.5 in"), "a fraction is made of whole numbers"),
        (error::<LengthDim>("1-5/4 in"), "the fraction after a whole number must be less than 1"),
        (error::<LengthDim>("3 ft 12 in"), "the pair of numbers does not add up"),
        (error::<LengthDim>("3.5 ft 6 in"), "the pair of numbers does not add up"),
        (error::<LengthDim>("3' 6"), "the second number has no unit"),
        (error::<LengthDim>("3 ft 6 mm"), "`mm`"),
        (error::<LengthDim>("5-10 in"), "there is more than one number"),
        (error::<LengthDim>("5 MM"), "`MM` is not a unit of length; given: 5 MM;"),
        (error::<LengthDim>("1e400 m"), "the number is out of all range"),
        (error::<LengthDim>("1e308 km"), "the number is out of all range"),
        (error::<LengthDim>("1e-320 m"), "the number is out of all range"),
        (error::<LengthDim>(&format!("{} m", "9".repeat(60))), "the number has too many digits"),
        (
            error::<LengthDim>(&"9".repeat(100_000)),
            "the text is longer than the 100 characters a length may take",
        ),
        (
            error::<ForceDim>("10 lb"),
            "`lb` is not used for a force; given: 10 lb; allowed: lbf, ozf, N, kN, kgf; do: lb and kg are masses here",
        ),
        (error::<TorqueDim>("10 ft-lb"), "`ft lb` is not used for a torque"),
        (error::<MassDim>("10 lbf"), "`lbf` is not used for a mass"),
        (error::<PressureDim>("7 mpa"), "`mpa` is not a unit of pressure"),
        (error::<TemperatureDim>("68°"), "`°` is not used for a temperature"),
        (error::<FractionDim>("0.3 m"), "`m` measures a length, but a number is wanted"),
        (error::<SpinDim>("- 90 - rpm"), "`- rpm` is not a unit of spin"),
    ];
    for (message, start) in cases {
        assert!(message.starts_with(start), "{message}");
    }
    assert!(error::<PressureDim>("7 mpa").contains("write MPa if that is what you mean"));
}

#[test]
fn verif_new_values_keep_the_style_of_the_old_text() {
    let inch = 0.0254;
    let cases: &[(&str, f64, &str)] = &[
        ("1/8 in", 3.0 / 16.0 * inch, "3/16 in"),
        ("1/8 in", 1.0 * inch, "1 in"),
        ("1/8 in", -5.0 / 64.0 * inch, "-5/64 in"),
        ("1/8 in", 0.0, "0 in"),
        ("1/8 in", 0.003, "0.1181102362205 in"),
        ("1-1/4\"", 2.75 * inch, "2-3/4\""),
        ("1 1/4 in", 2.75 * inch, "2 3/4 in"),
        ("−1/8 in", -3.0 / 8.0 * inch, "-3/8 in"),
        ("0.50 in", 0.75 * inch, "0.75 in"),
        ("0.50 in", 1.0 * inch, "1.00 in"),
        ("0.50 in", 0.0625 * inch, "0.0625 in"),
        ("3'6\"", 43.5 * inch, "3'7-1/2\""),
        ("3'6\"", 35.999_999_999_999_9 * inch, "3'0\""),
        ("3 ft 6.0 in", 43.3 * inch, "3 ft 7.3 in"),
        ("3 ft 6 in", -30.0 * inch, "-2 ft 6 in"),
        ("100mm", 0.1254, "125.4mm"),
        ("0'.½in", 0.5 * inch, "0'. 1/2in"),
        ("1'6\"", 1e45 * inch, "1e45 in"),
    ];
    for (like, si, text) in cases {
        let new = Length::parse(like).unwrap().set_like(*si).unwrap();
        assert_eq!(new.written(), *text, "like {like}");
        assert!((new.si() - si).abs() <= 1e-11 * si.abs().max(0.01), "{text}");
    }
    let air = Pressure::parse("5 psi").unwrap();
    let step = Pressure::parse("1 psi").unwrap().si();
    let mut pressure = air.clone();
    for _ in 0..10 {
        pressure = pressure.set_like(pressure.si() + step).unwrap();
    }
    assert_eq!(pressure.written(), "15 psi");
    let line = Throughput::parse("100 veh/h").unwrap();
    assert_eq!(line.set_like(61.0 / 3600.0).unwrap().written(), "61 veh/h");
    assert_eq!(Temperature::parse("68 °F").unwrap().set_like(273.15).unwrap().written(), "32 °F");
    assert_eq!(Angle::parse("60°").unwrap().set_like(1.0).unwrap().written(), "57.2957795131°");
    assert!(air.set_like(f64::NAN).is_err());
}

#[test]
fn verif_quantities_travel_through_files_as_written() {
    #[derive(serde::Serialize, serde::Deserialize, Debug, PartialEq)]
    struct Shim {
        offset: Length,
        share: Fraction,
    }
    let shim: Shim = ron::from_str("(offset: \"1-1/4\\\"\", share: 0.35)").unwrap();
    assert_eq!(shim.offset.written(), "1-1/4\"");
    assert_eq!(shim.share.si(), 0.35);
    assert_eq!(ron::to_string(&shim).unwrap(), "(offset:\"1-1/4\\\"\",share:\"0.35\")");
    let bare = ron::from_str::<Shim>("(offset: 5, share: 1)").unwrap_err().to_string();
    assert!(bare.contains("a length needs its unit; given: 5;"), "{bare}");
    let wrong = ron::from_str::<Shim>("(offset: true, share: 1)").unwrap_err().to_string();
    assert!(wrong.contains("a length in quotes, such as \"7/8 in\""), "{wrong}");
    let json: Shim = serde_json::from_str("{\"offset\": \"25.4 mm\", \"share\": \"35 %\"}").unwrap();
    assert_eq!(json.offset.in_unit("in").unwrap(), 1.0);
}

#[test]
fn verif_values_made_from_si_read_back_exactly() {
    for si in [0.0, 1.0, 0.1 + 0.2, 1e-8, 123_456_789.123, -2.5e-300, 1.797e308, f64::MIN_POSITIVE] {
        assert_eq!(
            Length::parse(Length::from_si(si).written()).unwrap().si().to_bits(),
            si.to_bits(),
            "{si}"
        );
    }
    assert!(Length::try_from_si(f64::NAN).is_err());
    assert!(Length::try_from_si(f64::INFINITY).is_err());
    assert_eq!(Pressure::of(7.0, "psi").unwrap().written(), "7 psi");
    assert!(Pressure::of(7.0, "furlong").is_err());
    assert_eq!(Fraction::from_si(0.35).written(), "0.35");
}

#[test]
fn verif_no_two_units_of_a_dimension_share_a_name() {
    let mut names = 0;
    for info in ALL {
        for (i, unit) in info.units.iter().enumerate() {
            for name in std::iter::once(&unit.symbol).chain(unit.names) {
                names += 1;
                let first = info
                    .units
                    .iter()
                    .position(|other| info.unit(name).is_some_and(|u| std::ptr::eq(u, other)));
                assert_eq!(first, Some(i), "{name} of {} is read as another unit", info.name());
            }
        }
        let example = read(info, info.example).unwrap_or_else(|error| panic!("{error}"));
        assert!(example.si.is_finite());
        assert_eq!(info.units[0].factor, Ratio::ONE);
        for (names, _) in info.hints {
            for name in *names {
                assert!(info.unit(name).is_none(), "{name} is both a unit of {} and a hint", info.name());
            }
        }
    }
    assert!(names > 200, "{names}");
}

/// Size of the unit of a reading, SI.
fn unit_si(reading: &Reading) -> f64 {
    reading.unit.factor_f64()
}

/// Offset of the unit of a reading, SI: what rounds a value near its zero.
fn shift_si(reading: &Reading) -> f64 {
    reading.unit.shift.to_f64().abs()
}

/// Quantities as people write them and a little worse: every form of number, every unit with its spellings, blanks and points anywhere.
fn any_quantity() -> impl Strategy<Value = String> {
    let names: Vec<&'static str> = ALL
        .iter()
        .flat_map(|info| {
            info.units.iter().flat_map(|unit| std::iter::once(unit.symbol).chain(unit.names.iter().copied()))
        })
        .collect();
    let number = prop_oneof![
        "[0-9]{1,4}",
        "[0-9]{0,3}\\.[0-9]{1,6}",
        "[0-9]{1,3}\\.",
        "[0-9]{1,2}(\\.[0-9]{1,3})?[eE][-+−]?[0-9]{1,2}",
        "[0-9]{1,2}/[0-9]{1,3}",
        "[0-9]{1,2}[- ‑][0-9]{1,2}/(2|4|8|16|32|64|3|7)",
        "[0-9]{0,2}[- ]?[½⅓⅔¼¾⅛⅜⅝⅞]",
    ];
    let mark = prop::sample::select(vec!["", "", "", "-", "+", "−", "–", "- "]);
    let blank = prop::sample::select(vec!["", " ", " ", "  ", ".", " .", ". ", "-", "\t"]);
    let unit = prop::sample::select(names);
    let pair = prop::sample::select(vec![
        ("ft", "in"),
        ("'", "\""),
        ("′", "″"),
        ("’", "”"),
        ("feet", "inches"),
        ("ft.", "in."),
        ("'", "in"),
        ("lb", "oz"),
        ("min", "s"),
        ("h", "min"),
    ]);
    let end = prop::sample::select(vec!["", "", ".", " "]);
    let one = (mark.clone(), number.clone(), blank.clone(), unit, end.clone())
        .prop_map(|(mark, number, blank, unit, end)| format!("{mark}{number}{blank}{unit}{end}"));
    let two = (mark, number.clone(), (blank.clone(), blank.clone(), blank), number, pair, end).prop_map(
        |(mark, first, (a, b, c), second, (big, small), end)| {
            format!("{mark}{first}{a}{big}{b}{second}{c}{small}{end}")
        },
    );
    prop_oneof![1 => one, 2 => two]
}

proptest! {
    #![proptest_config(cases(4000))]

    /// The standard library's decimal reader rounds correctly; a metre value must give the same bits.
    #[test]
    fn verif_decimals_round_to_the_nearest_double(whole in "[0-9]{1,18}", decimals in "[0-9]{1,18}", exponent in -290..290_i32) {
        let number = format!("{whole}.{decimals}e{exponent}");
        let ours = si::<LengthDim>(&format!("{number} m"));
        prop_assert_eq!(ours.to_bits(), number.parse::<f64>().unwrap().to_bits());
    }

    /// k/64 in is k × 0.000396875 m exactly: a decimal the standard library rounds for us.
    #[test]
    fn verif_fractions_of_an_inch_round_to_the_nearest_double(whole in 0_u64..5000, part in 1_u64..64) {
        let total = whole * 64 + part;
        let exact = format!("{}e-9", total * 396_875);
        let ours = si::<LengthDim>(&format!("{whole}-{part}/64 in"));
        prop_assert_eq!(ours.to_bits(), exact.parse::<f64>().unwrap().to_bits());
    }

    #[test]
    fn verif_no_text_panics_or_takes_long(text in "\\PC{0,60}") {
        for info in ALL {
            let _ = read(info, &text);
        }
    }

    #[test]
    fn verif_no_near_miss_panics(text in "[-+−–]?[0-9½/.,eE'\" ′″-]{0,14}(in|ft|'|\"|m|mm|psi|/s|°|lb|%|e|/| |[a-z]){0,4}[-0-9/ ½.]{0,5}(in|\"|ft)?") {
        for info in ALL {
            if let Ok(reading) = read(info, &text) {
                prop_assert!(reading.si.is_finite());
                let again = write_like(info, &text, reading.si).unwrap();
                let back = read(info, &again).unwrap();
                prop_assert!((back.si - reading.si).abs() <= 1e-9 * reading.si.abs().max(f64::MIN_POSITIVE), "{} {}", text, again);
            }
        }
    }

    /// Anything the grammar makes is read alike after it was written back, as it stands and with another value.
    #[test]
    fn verif_whatever_is_read_is_written_back_readable(text in any_quantity(), other in -1e4..1e4_f64) {
        for info in ALL {
            let Ok(reading) = read(info, &text) else { continue };
            let there = write_like(info, &text, reading.si).unwrap();
            let back = read(info, &there).map_err(|error| TestCaseError::fail(format!("{text}: {there}: {error}")))?;
            let scale = reading.si.abs().max(1e-300);
            prop_assert!((back.si - reading.si).abs() <= 1e-11 * scale + 1e-11 * shift_si(&reading), "{text}: {there}");
            // Another value, within what people write.
            let si = other * unit_si(&reading);
            let there = write_like(info, &text, si).unwrap();
            let back = read(info, &there).map_err(|error| TestCaseError::fail(format!("{text}: {there}: {error}")))?;
            let scale = si.abs().max(reading.si.abs());
            prop_assert!((back.si - si).abs() <= 1e-11 * scale + 1e-11 * shift_si(&reading), "{text}: {there}: {si}");
        }
    }

    #[test]
    fn verif_stepping_any_style_reads_back(style in prop::sample::select(vec!["1/8 in", "2.0 in", "3'6\"", "3 ft 6 in", "25 mm", "1e-3 m", "1-1/4\""]), si in -50.0..50.0_f64) {
        let new = Length::parse(style).unwrap().set_like(si).unwrap();
        prop_assert!((new.si() - si).abs() <= 1e-9 * si.abs().max(1e-3), "{} {}", new, si);
    }

    #[test]
    fn verif_printing_never_shows_minus_zero(si in -1e-3..1e-3_f64) {
        for info in ALL {
            for system in [UnitSystem::Us, UnitSystem::Si] {
                for text in [format(info, si, system), number(info, si, system)] {
                    let zero = text.starts_with('-') && !text.contains(|c: char| ('1'..='9').contains(&c));
                    prop_assert!(!zero, "{}", text);
                }
            }
        }
    }
}
