//! Unit factors against published ones. The reference numbers stand in `validation/data/units.json` with their source.

#[path = "common/residual.rs"]
#[macro_use]
mod residual;

use brusharm::units::{
    Acceleration, Angle, Dimension, Flow, Force, Inertia, Length, Mass, Pressure, Quantity,
    STANDARD_ATMOSPHERE_PA, Speed, Spin, Stiffness, Temperature, Throughput, Torque, Viscosity, Volume,
};

fn reference(group: &str, name: &str) -> f64 {
    let text = include_str!("validation/data/units.json");
    let data: serde_json::Value = serde_json::from_str(text).expect("the data file is JSON");
    data[group][name].as_f64().unwrap_or_else(|| panic!("{group}.{name} is a number"))
}

fn si<D: Dimension>(quantity: Result<Quantity<D>, brusharm::units::UnitError>) -> f64 {
    quantity.unwrap_or_else(|error| panic!("{error}")).si()
}

/// NIST SP 811 appendix B.8, exact definitions [attribution from memory]: the same double, bit for bit.
#[test]
fn val_exact_factors_match_nist_sp_811() {
    let cases = [
        ("in_m", si(Length::parse("1 in"))),
        ("ft_m", si(Length::parse("1 ft"))),
        ("lb_kg", si(Mass::parse("1 lb"))),
        ("lbf_n", si(Force::parse("1 lbf"))),
        ("gal_m3", si(Volume::parse("1 gal"))),
        ("fl_oz_m3", si(Volume::parse("1 fl oz"))),
        ("ft_min_m_s", si(Speed::parse("1 ft/min"))),
        ("mph_m_s", si(Speed::parse("1 mph"))),
        ("g_n_m_s2", si(Acceleration::parse("9.80665 m/s2"))),
        ("atm_pa", STANDARD_ATMOSPHERE_PA),
    ];
    for (name, ours) in cases {
        assert_eq!(ours.to_bits(), reference("exact", name).to_bits(), "{name}: {ours}");
    }
}

/// NIST SP 811 appendix B.8, derived factors [attribution from memory], and pint 0.25.3 for the psi. The published
/// numbers are rounded to 10 to 16 digits; each tolerance is one unit of the last digit given.
#[test]
fn val_derived_factors_match_nist_sp_811_and_pint() {
    let cases = [
        ("psi_pa", si(Pressure::parse("1 psi")), 1e-15),
        ("psi_pint_pa", si(Pressure::parse("1 psi")), 1e-15),
        ("lbf_ft_n_m", si(Torque::parse("1 lbf ft")), 1e-15),
        ("lbf_in_n_m", si(Torque::parse("1 lbf in")), 1e-14),
        ("gpm_m3_s", si(Flow::parse("1 gpm")), 1e-9),
        ("cfm_m3_s", si(Flow::parse("1 cfm")), 1e-9),
        ("lb_in2_kg_m2", si(Inertia::parse("1 lb in2")), 1e-12),
        ("slug_ft2_kg_m2", si(Inertia::parse("1 slug ft2")), 1e-15),
    ];
    for (name, ours, tolerance) in cases {
        let theirs = reference("derived", name);
        assert!(theirs > 0.0);
        held!((ours / theirs - 1.0).abs(), tolerance, "{name}: {ours} against {theirs}");
    }
}

/// Definitions anyone can check by hand: 550 ft lbf/s to the horsepower would be in the table too, but these are the
/// ones an error in an offset or in a power of pi would break.
#[test]
fn verif_offsets_and_angles_by_hand() {
    assert_eq!(si(Temperature::parse("212 °F")), 373.15);
    assert_eq!(si(Temperature::parse("-459.67 °F")), 0.0);
    // A square foot is 144 square inches.
    assert_eq!(si(Pressure::parse("144 lbf/ft2")), si(Pressure::parse("1 psi")));
    assert_eq!(si(Pressure::parse("144 psf")), si(Pressure::parse("144 lbf/ft²")));
    assert_eq!(si(Temperature::parse("0 °C")), 273.15);
    assert_eq!(si(Angle::parse("0.5 rev")), std::f64::consts::PI);
    assert_eq!(si(Spin::parse("-30 rpm")), -std::f64::consts::PI);
    assert_eq!(si(Throughput::parse("3600 veh/h")), 1.0);
    assert_eq!(si(Stiffness::parse("2 N/mm")), 2000.0);
    assert_eq!(si(Viscosity::parse("1 mPa s")), si(Viscosity::parse("1 cP")));
    let absolute = Pressure::parse("14.7 psia").expect("an absolute pressure");
    assert!((absolute.gauge_pa() - (14.7 * 6894.757293168361 - 101_325.0)).abs() < 1e-9);
}

/// Round trips through another unit, to 1e-12.
#[test]
fn verif_round_trips_keep_twelve_digits() {
    fn trip<D: Dimension>(number: f64, unit: &str, si_unit_value: f64) {
        let text = format!("{number} {unit}");
        let read: Quantity<D> = Quantity::parse(&text).unwrap_or_else(|error| panic!("{error}"));
        assert!((read.si() / si_unit_value - 1.0).abs() < 1e-12, "{text}: {}", read.si());
        let back = read.in_unit(unit).unwrap_or_else(|error| panic!("{error}"));
        assert!((back / number - 1.0).abs() < 1e-12, "{text}: {back}");
        let again: Quantity<D> = Quantity::parse(Quantity::<D>::from_si(read.si()).written())
            .unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(again.si().to_bits(), read.si().to_bits());
        assert_eq!(read.written(), text);
    }
    use brusharm::units::{LengthDim, MassDim, PressureDim, SpeedDim, VolumeDim};
    trip::<PressureDim>(20.0, "psi", 137_895.145_863_367_22);
    trip::<LengthDim>(1.5, "in", 0.0381);
    trip::<SpeedDim>(45.0, "ft/min", 0.2286);
    trip::<VolumeDim>(2.0, "gal", 0.007_570_823_568);
    trip::<MassDim>(150.0, "lb", 68.038_855_5);
}

/// The metric and US spellings of one thing agree: a whole-table cross check that needs no outside number.
#[test]
fn verif_pounds_of_force_are_pounds_times_gravity() {
    let mass = si(Mass::parse("1 lb"));
    let force = si(Force::parse("1 lbf"));
    assert!((force - mass * 9.80665).abs() < 1e-15);
    assert!(Force::parse("1 lb").is_err());
    assert!(Mass::parse("1 lbf").is_err());
}
