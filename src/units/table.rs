//! The unit table: every dimension, its units with exact factors, and how each is printed.
//!
//! Factors are the exact definitions (inch 0.0254 m, pound 0.45359237 kg, standard gravity 9.80665 m/s², US gallon
//! 231 in³) and products of them, as in NIST SP 811 (2008), appendix B.8 [attribution from memory]. Angles carry a
//! power of π beside their ratio. SI symbols are case-sensitive; US trade symbols are read in any case.

use super::ratio::Ratio;
use super::{Dimension, DimensionInfo, Rung, Show, Unit};

const fn r(num: i128, den: i128) -> Ratio {
    Ratio::new(num, den)
}

const ONE: Ratio = Ratio::ONE;
const KILO: Ratio = r(1000, 1);
const MILLI: Ratio = r(1, 1000);
const MICRO: Ratio = r(1, 1_000_000);
const INCH: Ratio = r(254, 10_000);
const FOOT: Ratio = r(3048, 10_000);
const YARD: Ratio = FOOT.times(r(3, 1));
const MILE: Ratio = FOOT.times(r(5280, 1));
const IN2: Ratio = INCH.times(INCH);
const FT2: Ratio = FOOT.times(FOOT);
const IN3: Ratio = IN2.times(INCH);
const FT3: Ratio = FT2.times(FOOT);
const POUND: Ratio = r(45_359_237, 100_000_000);
const OUNCE: Ratio = POUND.over(r(16, 1));
const GRAVITY: Ratio = r(980_665, 100_000);
const LBF: Ratio = POUND.times(GRAVITY);
const OZF: Ratio = OUNCE.times(GRAVITY);
const LBF_FT: Ratio = LBF.times(FOOT);
const LBF_IN: Ratio = LBF.times(INCH);
const SLUG: Ratio = LBF.over(FOOT);
const PSI: Ratio = LBF.over(IN2);
const BAR: Ratio = r(100_000, 1);
const ATMOSPHERE: Ratio = r(101_325, 1);
/// Conventional inch of mercury: 13.5951 g/cm³ × standard gravity × 1 in.
const IN_HG: Ratio = r(135_951, 10).times(GRAVITY).times(INCH);
/// Conventional inch of water: 1 g/cm³ × standard gravity × 1 in.
const IN_H2O: Ratio = r(1000, 1).times(GRAVITY).times(INCH);
const GALLON: Ratio = IN3.times(r(231, 1));
const FL_OZ: Ratio = GALLON.over(r(128, 1));
const MINUTE: Ratio = r(60, 1);
const HOUR: Ratio = r(3600, 1);
const DEGREE: Ratio = r(1, 180);
const TURN: Ratio = r(2, 1);
const KPH: Ratio = KILO.over(HOUR);

const fn si(symbol: &'static str, names: &'static [&'static str], factor: Ratio) -> Unit {
    Unit { symbol, names, factor, pi_power: 0, shift: Ratio::ZERO, absolute: false, any_case: false }
}

const fn us(symbol: &'static str, names: &'static [&'static str], factor: Ratio) -> Unit {
    Unit { symbol, names, factor, pi_power: 0, shift: Ratio::ZERO, absolute: false, any_case: true }
}

impl Unit {
    const fn pi(mut self, power: i8) -> Unit {
        self.pi_power = power;
        self
    }
    const fn shifted(mut self, shift: Ratio) -> Unit {
        self.shift = shift;
        self
    }
    const fn absolute(mut self) -> Unit {
        self.absolute = true;
        self.shift = ATMOSPHERE.negated();
        self
    }
    const fn exact_case(mut self) -> Unit {
        self.any_case = false;
        self
    }
}

/// A rung that is used from `from` (SI, absolute value) upwards.
const fn rung(from: f64, unit: &'static str, decimals: usize) -> Rung {
    Rung { from, unit, decimals, trim: false, feet_inches: false }
}

/// One rung for every size, the common case.
const fn always(unit: &'static str, decimals: usize) -> [Rung; 1] {
    [rung(0.0, unit, decimals)]
}

const fn trimmed(unit: &'static str, decimals: usize) -> [Rung; 1] {
    [Rung { from: 0.0, unit, decimals, trim: true, feet_inches: false }]
}

const FEET_INCHES: [Rung; 3] = [
    rung(0.0, "in", 3),
    rung(0.0254, "in", 2),
    Rung { from: 0.9144, unit: "in", decimals: 1, trim: false, feet_inches: true },
];

macro_rules! dimensions {
    ($($(#[$doc:meta])* $marker:ident = $static_name:ident {
        quantity: $quantity:literal, si_unit: $si_unit:literal, allowed: $allowed:literal, example: $example:literal,
        units: [$($unit:expr),* $(,)?], pairs: [$($pair:expr),* $(,)?], hints: [$($hint:expr),* $(,)?],
        us: ($us_unit:literal, $us_decimals:literal, $us_rungs:expr), si: ($st_unit:literal, $st_decimals:literal, $si_rungs:expr)
        $(, bare: $bare:literal)?
    })*) => {
        $(
            $(#[$doc])*
            #[derive(Debug, Clone, Copy, PartialEq, Eq)]
            pub struct $marker;

            static $static_name: DimensionInfo = DimensionInfo {
                quantity: $quantity,
                si_unit: $si_unit,
                allowed: $allowed,
                example: $example,
                units: &[$($unit),*],
                pairs: &[$($pair),*],
                hints: &[$($hint),*],
                us: Show { unit: $us_unit, decimals: $us_decimals, rungs: &$us_rungs },
                si: Show { unit: $st_unit, decimals: $st_decimals, rungs: &$si_rungs },
                bare_number: false $(|| $bare)?,
            };

            impl Dimension for $marker {
                const INFO: &'static DimensionInfo = &$static_name;
            }
        )*

        /// Every dimension, in the order of this file.
        pub static ALL: &[&DimensionInfo] = &[$(&$static_name),*];
    };
}

const LB_FORCE: (&[&str], &str) = (
    &["lb", "lbs", "lb.", "pound", "pounds", "kg", "g", "oz"],
    "lb and kg are masses here: write lbf for pounds of force, or N",
);
const LB_TORQUE: (&[&str], &str) = (
    &[
        "lb ft", "ft lb", "lbft", "ftlb", "ft lbs", "lbs ft", "lb in", "in lb", "inlb", "in lbs", "lbs in",
        "kg m",
    ],
    "lb is a mass here: write lbf ft, lbf in or N m",
);

dimensions! {
    /// A distance in metres.
    LengthDim = LENGTH {
        quantity: "a length", si_unit: "m", allowed: "in, ft, ft and in, yd, thou, mm, cm, m, km", example: "7/8 in",
        units: [
            si("m", &["metre", "metres", "meter", "meters"], ONE),
            si("mm", &[], MILLI),
            si("cm", &[], r(1, 100)),
            si("km", &[], KILO),
            si("um", &[], MICRO),
            us("in", &["\"", "inch", "inches"], INCH),
            us("ft", &["'", "foot", "feet"], FOOT),
            us("yd", &["yard", "yards"], YARD),
            us("thou", &[], INCH.over(KILO)),
        ],
        pairs: [("ft", "in")], hints: [],
        us: ("in", 2, FEET_INCHES), si: ("mm", 1, [rung(0.0, "mm", 1), rung(1.0, "m", 3)])
    }

    /// A plane angle in radians.
    AngleDim = ANGLE {
        quantity: "an angle", si_unit: "rad", allowed: "deg (°), rad, mrad, rev", example: "1.5 deg",
        units: [
            si("rad", &["radian", "radians"], ONE),
            si("mrad", &[], MILLI),
            us("°", &["deg", "degree", "degrees"], DEGREE).pi(1),
            us("rev", &["turn", "turns"], TURN).pi(1),
        ],
        pairs: [], hints: [],
        us: ("°", 2, always("°", 2)), si: ("°", 2, always("°", 2))
    }

    /// A mass in kilograms.
    MassDim = MASS {
        quantity: "a mass", si_unit: "kg", allowed: "lb, oz, slug, g, kg, t", example: "150 lb",
        units: [
            si("kg", &[], ONE),
            si("g", &[], MILLI),
            si("t", &["tonne", "tonnes"], KILO),
            us("lb", &["lbs", "pound", "pounds"], POUND),
            us("oz", &["ounce", "ounces"], OUNCE),
            us("slug", &["slugs"], SLUG),
        ],
        pairs: [("lb", "oz")],
        hints: [(&["lbf", "N", "kgf"], "a weight is given as a mass here: write lb or kg")],
        us: ("lb", 1, always("lb", 1)), si: ("kg", 2, always("kg", 2))
    }

    /// A force in newtons.
    ForceDim = FORCE {
        quantity: "a force", si_unit: "N", allowed: "lbf, ozf, N, kN, kgf", example: "10 lbf",
        units: [
            si("N", &[], ONE),
            si("kN", &[], KILO),
            us("lbf", &[], LBF),
            us("ozf", &[], OZF),
            si("kgf", &[], GRAVITY),
        ],
        pairs: [], hints: [LB_FORCE],
        us: ("lbf", 1, always("lbf", 1)), si: ("N", 1, always("N", 1))
    }

    /// A torque in newton metres.
    TorqueDim = TORQUE {
        quantity: "a torque", si_unit: "N m", allowed: "lbf ft, lbf in, N m", example: "20 lbf ft",
        units: [
            si("N m", &["Nm"], ONE),
            si("kN m", &["kNm"], KILO),
            us("lbf ft", &["ft lbf", "lbfft", "ftlbf"], LBF_FT),
            us("lbf in", &["in lbf", "lbfin", "inlbf"], LBF_IN),
        ],
        pairs: [], hints: [LB_TORQUE],
        us: ("lbf ft", 1, always("lbf ft", 1)), si: ("N m", 1, always("N m", 1))
    }

    /// A pressure in pascals; gauge unless written as absolute.
    PressureDim = PRESSURE {
        quantity: "a pressure", si_unit: "Pa",
        allowed: "psi (gauge), psig, psia, lbf/ft2, Pa, kPa, MPa, mbar, bar, inHg, inH2O; \"abs\" after the unit for absolute",
        example: "7 psi",
        units: [
            si("Pa", &["Pa gauge"], ONE),
            si("kPa", &["kPa gauge", "kPag", "kPa(g)"], KILO),
            si("MPa", &["MPa gauge"], r(1_000_000, 1)),
            si("mbar", &["mbar gauge"], r(100, 1)),
            si("bar", &["barg", "bar gauge", "bar(g)"], BAR),
            us("psi", &["psig", "psi gauge", "lbf/in2"], PSI),
            us("lbf/ft2", &["psf"], LBF.over(FT2)),
            us("inHg", &["inHg gauge", "in Hg"], IN_HG),
            us("inH2O", &["inH2O gauge", "in H2O"], IN_H2O),
            si("Pa abs", &[], ONE).absolute(),
            si("kPa abs", &["kPaa", "kPa(a)", "kPa absolute"], KILO).absolute(),
            si("MPa abs", &["MPa absolute"], r(1_000_000, 1)).absolute(),
            si("mbar abs", &["mbar absolute"], r(100, 1)).absolute(),
            si("bar abs", &["bara", "bar(a)", "bar absolute"], BAR).absolute(),
            us("psia", &["psi abs", "psi absolute"], PSI).absolute(),
            us("inHg abs", &["inHg absolute"], IN_HG).absolute(),
        ],
        pairs: [], hints: [(&["lb", "lbs", "lbf"], "write psi")],
        us: ("psi", 2, always("psi", 2)), si: ("kPa", 1, [rung(0.0, "Pa", 0), rung(1000.0, "kPa", 1)])
    }

    /// A speed in metres per second.
    SpeedDim = SPEED {
        quantity: "a speed", si_unit: "m/s", allowed: "ft/min, ft/s, in/s, mph, m/s, mm/s, m/min, km/h",
        example: "45 ft/min",
        units: [
            si("m/s", &[], ONE),
            si("mm/s", &[], MILLI),
            si("m/min", &[], ONE.over(MINUTE)),
            si("km/h", &["kph"], KPH),
            us("ft/min", &["fpm"], FOOT.over(MINUTE)),
            us("ft/s", &["fps"], FOOT),
            us("in/s", &["ips"], INCH),
            us("mph", &["mile/h", "mi/h"], MILE.over(HOUR)),
        ],
        pairs: [], hints: [],
        us: ("ft/min", 1, always("ft/min", 1)), si: ("m/s", 3, always("m/s", 3))
    }

    /// An acceleration in metres per second squared.
    AccelerationDim = ACCELERATION {
        quantity: "an acceleration", si_unit: "m/s2", allowed: "ft/s2, m/s2", example: "9.80665 m/s2",
        units: [si("m/s2", &[], ONE), us("ft/s2", &[], FOOT)],
        pairs: [], hints: [],
        us: ("ft/s2", 2, always("ft/s2", 2)), si: ("m/s2", 2, always("m/s2", 2))
    }

    /// A count per time in 1/s.
    RateDim = RATE {
        quantity: "a rate", si_unit: "/s", allowed: "/s, /min, /h, Hz", example: "3 /s",
        units: [
            si("/s", &["1/s", "/second"], ONE),
            si("/min", &["1/min", "/minute"], ONE.over(MINUTE)),
            si("/h", &["1/h", "/hour", "/hr"], ONE.over(HOUR)),
            si("Hz", &[], ONE),
        ],
        pairs: [], hints: [],
        us: ("/s", 2, always("/s", 2)), si: ("/s", 2, always("/s", 2))
    }

    /// A volume flow in cubic metres per second. `scfm` is the same volume of air at the standard's reference
    /// conditions; keeping the two apart is up to the field that asks for it.
    FlowDim = FLOW {
        quantity: "a flow", si_unit: "m3/s", allowed: "gpm, gph, cfm, scfm, fl oz/min, mL/min, L/min, L/s, m3/h, m3/s",
        example: "2 gpm",
        units: [
            si("m3/s", &[], ONE),
            si("m3/h", &[], ONE.over(HOUR)),
            si("L/s", &["l/s", "dm3/s"], MILLI),
            si("L/min", &["l/min", "dm3/min"], MILLI.over(MINUTE)),
            si("L/h", &["l/h"], MILLI.over(HOUR)),
            si("mL/min", &["ml/min", "cm3/min"], MICRO.over(MINUTE)),
            si("mL/s", &["ml/s", "cm3/s"], MICRO),
            us("gpm", &["gal/min", "US gpm"], GALLON.over(MINUTE)),
            us("gph", &["gal/h"], GALLON.over(HOUR)),
            us("fl oz/min", &["floz/min"], FL_OZ.over(MINUTE)),
            us("cfm", &["ft3/min"], FT3.over(MINUTE)),
            us("scfm", &[], FT3.over(MINUTE)),
        ],
        pairs: [], hints: [(&["oz/min"], "oz is a mass here: write fl oz/min for fluid ounces")],
        us: ("gpm", 3, always("gpm", 3)), si: ("L/min", 3, always("L/min", 3))
    }

    /// A volume in cubic metres.
    VolumeDim = VOLUME {
        quantity: "a volume", si_unit: "m3", allowed: "gal, qt, pt, fl oz, in3, ft3, mL, L, cm3, m3", example: "2 gal",
        units: [
            si("m3", &[], ONE),
            si("L", &["l", "dm3", "litre", "litres", "liter", "liters"], MILLI),
            si("mL", &["ml", "cm3", "cc"], MICRO),
            us("gal", &["gallon", "gallons", "US gal"], GALLON),
            us("qt", &["quart", "quarts"], GALLON.over(r(4, 1))),
            us("pt", &["pint", "pints"], GALLON.over(r(8, 1))),
            us("fl oz", &["floz"], FL_OZ),
            us("in3", &["cu in"], IN3),
            us("ft3", &["cu ft"], FT3),
        ],
        pairs: [], hints: [(&["oz"], "oz is a mass here: write fl oz for fluid ounces")],
        us: ("gal", 3, [rung(0.0, "fl oz", 2), rung(0.003_785_411_784, "gal", 2)]),
        si: ("L", 3, [rung(0.0, "mL", 1), rung(0.001, "L", 3)])
    }

    /// A temperature in kelvins (a point on the scale, not a difference).
    TemperatureDim = TEMPERATURE {
        quantity: "a temperature", si_unit: "K", allowed: "°F, °C, K", example: "68 °F",
        units: [
            si("K", &["kelvin"], ONE),
            si("°C", &["C", "degC", "deg C", "celsius"], ONE).shifted(r(27_315, 100)),
            si("°F", &["F", "degF", "deg F", "fahrenheit"], r(5, 9)).shifted(r(45_967, 100).times(r(5, 9))),
        ],
        pairs: [], hints: [(&["°", "deg", "degrees"], "say which degrees: °F or °C")],
        us: ("°F", 1, always("°F", 1)), si: ("°C", 1, always("°C", 1))
    }

    /// A power in watts.
    PowerDim = POWER {
        quantity: "a power", si_unit: "W", allowed: "hp, ft lbf/s, W, kW", example: "1.5 hp",
        units: [
            si("W", &["watt", "watts"], ONE),
            si("kW", &[], KILO),
            us("hp", &["horsepower"], LBF_FT.times(r(550, 1))),
            us("ft lbf/s", &["lbf ft/s"], LBF_FT),
        ],
        pairs: [], hints: [],
        us: ("hp", 3, always("hp", 3)), si: ("W", 1, [rung(0.0, "W", 1), rung(1000.0, "kW", 3)])
    }

    /// A voltage in volts.
    VoltageDim = VOLTAGE {
        quantity: "a voltage", si_unit: "V", allowed: "V, kV", example: "460 V",
        units: [si("V", &["volt", "volts"], ONE), si("kV", &[], KILO)],
        pairs: [], hints: [],
        us: ("V", 1, always("V", 1)), si: ("V", 1, always("V", 1))
    }

    /// An electric current in amperes.
    CurrentDim = CURRENT {
        quantity: "a current", si_unit: "A", allowed: "A, mA", example: "2.1 A",
        units: [si("A", &["amp", "amps", "ampere", "amperes"], ONE), si("mA", &[], MILLI)],
        pairs: [], hints: [],
        us: ("A", 2, always("A", 2)), si: ("A", 2, always("A", 2))
    }

    /// A signed speed of turning in radians per second.
    SpinDim = SPIN {
        quantity: "a spin", si_unit: "rad/s", allowed: "rpm, rev/s, rad/s, deg/s", example: "90 rpm",
        units: [
            si("rad/s", &[], ONE),
            us("rpm", &["rev/min", "r/min", "1/min"], TURN.over(MINUTE)).pi(1),
            us("rev/s", &["r/s", "rps"], TURN).pi(1),
            us("°/s", &["deg/s"], DEGREE).pi(1),
        ],
        pairs: [], hints: [(&["Hz"], "write rev/s or rpm")],
        us: ("rpm", 1, trimmed("rpm", 1)), si: ("rpm", 1, trimmed("rpm", 1))
    }

    /// Vehicles per time in 1/s.
    ThroughputDim = THROUGHPUT {
        quantity: "a throughput", si_unit: "/s", allowed: "veh/h, veh/min", example: "100 veh/h",
        units: [
            si("/s", &["veh/s", "vehicles/s"], ONE),
            us("veh/h", &["veh/hr", "veh/hour", "vehicles/h", "vehicles/hr", "vehicles/hour", "vehicle/h"], ONE.over(HOUR)),
            us("veh/min", &["vehicles/min", "vehicles/minute"], ONE.over(MINUTE)),
        ],
        pairs: [], hints: [(&["/h", "1/h", "vph", "cars/h"], "write veh/h")],
        us: ("veh/h", 1, trimmed("veh/h", 1)), si: ("veh/h", 1, trimmed("veh/h", 1))
    }

    /// A moment of inertia in kilogram square metres.
    InertiaDim = INERTIA {
        quantity: "a moment of inertia", si_unit: "kg m2", allowed: "lb ft2, lb in2, slug ft2, kg m2", example: "7700 lb ft2",
        units: [
            si("kg m2", &["kgm2"], ONE),
            us("lb ft2", &["lbft2"], POUND.times(FT2)),
            us("lb in2", &["lbin2"], POUND.times(IN2)),
            us("slug ft2", &["lbf ft s2"], SLUG.times(FT2)),
        ],
        pairs: [], hints: [(&["lbf ft2", "lbf in2"], "lbf is a force here: write lb ft2 or lb in2")],
        us: ("lb ft2", 1, always("lb ft2", 1)), si: ("kg m2", 2, always("kg m2", 2))
    }

    /// A time in seconds.
    TimeDim = TIME {
        quantity: "a time", si_unit: "s", allowed: "ms, s, min, h", example: "0.4 s",
        units: [
            si("s", &["sec", "second", "seconds"], ONE),
            si("ms", &[], MILLI),
            si("min", &["minute", "minutes"], MINUTE),
            si("h", &["hr", "hour", "hours"], HOUR),
        ],
        pairs: [("min", "s"), ("h", "min")], hints: [],
        us: ("s", 2, always("s", 2)), si: ("s", 2, always("s", 2))
    }

    /// A stiffness in newtons per metre.
    StiffnessDim = STIFFNESS {
        quantity: "a stiffness", si_unit: "N/m", allowed: "lbf/in, lbf/ft, N/m, N/mm, kN/m", example: "60 lbf/in",
        units: [
            si("N/m", &[], ONE),
            si("N/mm", &[], KILO),
            si("kN/m", &[], KILO),
            us("lbf/in", &[], LBF.over(INCH)),
            us("lbf/ft", &[], LBF.over(FOOT)),
        ],
        pairs: [], hints: [(&["lb/in", "lbs/in", "lb/ft"], "lb is a mass here: write lbf/in or lbf/ft")],
        us: ("lbf/in", 2, always("lbf/in", 2)), si: ("N/m", 1, always("N/m", 1))
    }

    /// A cubic stiffness in newtons per cubic metre: force = k₃ × (deflection)³.
    CubicStiffnessDim = CUBIC_STIFFNESS {
        quantity: "a cubic stiffness", si_unit: "N/m3", allowed: "lbf/in3, N/m3, N/mm3", example: "40 lbf/in3",
        units: [
            si("N/m3", &[], ONE),
            si("N/mm3", &[], r(1_000_000_000, 1)),
            us("lbf/in3", &[], LBF.over(IN3)),
        ],
        pairs: [], hints: [(&["lb/in3"], "lb is a mass here: write lbf/in3")],
        us: ("lbf/in3", 2, always("lbf/in3", 2)), si: ("N/m3", 0, always("N/m3", 0))
    }

    /// A damping in newton seconds per metre.
    DampingDim = DAMPING {
        quantity: "a damping", si_unit: "N s/m", allowed: "lbf s/in, lbf s/ft, N s/m", example: "2 lbf s/in",
        units: [
            si("N s/m", &["Ns/m", "N/(m/s)"], ONE),
            us("lbf s/in", &["lbf/(in/s)"], LBF.over(INCH)),
            us("lbf s/ft", &["lbf/(ft/s)"], LBF.over(FOOT)),
        ],
        pairs: [], hints: [(&["lb s/in", "lb s/ft"], "lb is a mass here: write lbf s/in or lbf s/ft")],
        us: ("lbf s/in", 2, always("lbf s/in", 2)), si: ("N s/m", 1, always("N s/m", 1))
    }

    /// A quadratic damping in newton square seconds per square metre: force = c × (speed)².
    QuadraticDampingDim = QUADRATIC_DAMPING {
        quantity: "a quadratic damping", si_unit: "N s2/m2", allowed: "lbf s2/in2, lbf s2/ft2, N s2/m2",
        example: "400 N s2/m2",
        units: [
            si("N s2/m2", &["Ns2/m2", "N/(m/s)2"], ONE),
            us("lbf s2/in2", &[], LBF.over(IN2)),
            us("lbf s2/ft2", &[], LBF.over(FT2)),
        ],
        pairs: [], hints: [],
        us: ("lbf s2/ft2", 2, always("lbf s2/ft2", 2)), si: ("N s2/m2", 1, always("N s2/m2", 1))
    }

    /// An angular stiffness in newton metres per radian.
    AngularStiffnessDim = ANGULAR_STIFFNESS {
        quantity: "an angular stiffness", si_unit: "N m/rad",
        allowed: "lbf ft/rad, lbf ft/deg, lbf in/deg, N m/rad, N m/deg", example: "4000 N m/rad",
        units: [
            si("N m/rad", &["Nm/rad"], ONE),
            si("N m/deg", &["Nm/deg", "N m/°"], r(180, 1)).pi(-1),
            us("lbf ft/rad", &["ft lbf/rad"], LBF_FT),
            us("lbf ft/deg", &["ft lbf/deg", "lbf ft/°"], LBF_FT.times(r(180, 1))).pi(-1),
            us("lbf in/deg", &["in lbf/deg", "lbf in/°"], LBF_IN.times(r(180, 1))).pi(-1),
        ],
        pairs: [], hints: [],
        us: ("lbf ft/deg", 2, always("lbf ft/deg", 2)), si: ("N m/rad", 1, always("N m/rad", 1))
    }

    /// An angular damping in newton metre seconds per radian.
    AngularDampingDim = ANGULAR_DAMPING {
        quantity: "an angular damping", si_unit: "N m s/rad", allowed: "lbf ft s/rad, N m s/rad", example: "3 N m s/rad",
        units: [
            si("N m s/rad", &["Nms/rad", "N m s", "Nms"], ONE),
            us("lbf ft s/rad", &["ft lbf s/rad", "lbf ft s", "ft lbf s"], LBF_FT),
        ],
        pairs: [], hints: [],
        us: ("lbf ft s/rad", 2, always("lbf ft s/rad", 2)), si: ("N m s/rad", 2, always("N m s/rad", 2))
    }

    /// A sonic conductance (ISO 6358) in cubic metres per second and pascal.
    ConductanceDim = CONDUCTANCE {
        quantity: "a sonic conductance", si_unit: "m3/(s Pa)", allowed: "dm3/(s bar), L/(s bar), L/(min bar), m3/(s Pa)",
        example: "2 dm3/(s bar)",
        units: [
            si("m3/(s Pa)", &["m3/s/Pa"], ONE),
            si("dm3/(s bar)", &["dm3/s/bar", "L/(s bar)", "l/(s bar)", "L/s/bar"], MILLI.over(BAR)),
            si("L/(min bar)", &["dm3/(min bar)", "l/(min bar)", "L/min/bar"], MILLI.over(BAR).over(MINUTE)),
        ],
        pairs: [],
        hints: [(&["Cv", "cv", "Kv", "kv"], "a valve's C and b are wanted; 1 Cv is very roughly 3.4 dm3/(s bar)")],
        us: ("dm3/(s bar)", 3, always("dm3/(s bar)", 3)), si: ("dm3/(s bar)", 3, always("dm3/(s bar)", 3))
    }

    /// A dynamic viscosity in pascal seconds.
    ViscosityDim = VISCOSITY {
        quantity: "a viscosity", si_unit: "Pa s", allowed: "cP, mPa s, Pa s", example: "10 cP",
        units: [
            si("Pa s", &[], ONE),
            si("mPa s", &[], MILLI),
            us("cP", &["centipoise"], MILLI),
            si("P", &["poise"], r(1, 10)),
        ],
        pairs: [], hints: [(&["cSt", "mm2/s"], "the dynamic viscosity is wanted: cP or mPa s")],
        us: ("cP", 2, always("cP", 2)), si: ("mPa s", 2, always("mPa s", 2))
    }

    /// A density in kilograms per cubic metre.
    DensityDim = DENSITY {
        quantity: "a density", si_unit: "kg/m3", allowed: "lb/ft3, lb/gal, kg/m3, kg/L, g/cm3, g/mL", example: "62.3 lb/ft3",
        units: [
            si("kg/m3", &[], ONE),
            si("kg/L", &["kg/l", "kg/dm3", "g/cm3", "g/mL", "g/ml"], KILO),
            us("lb/ft3", &[], POUND.over(FT3)),
            us("lb/gal", &[], POUND.over(GALLON)),
        ],
        pairs: [], hints: [],
        us: ("lb/ft3", 2, always("lb/ft3", 2)), si: ("kg/m3", 1, always("kg/m3", 1))
    }

    /// An area in square metres.
    AreaDim = AREA {
        quantity: "an area", si_unit: "m2", allowed: "in2, ft2, mm2, cm2, m2", example: "3.14 in2",
        units: [
            si("m2", &[], ONE),
            si("cm2", &[], r(1, 10_000)),
            si("mm2", &[], MICRO),
            us("in2", &["sq in"], IN2),
            us("ft2", &["sq ft"], FT2),
        ],
        pairs: [], hints: [],
        us: ("in2", 2, [rung(0.0, "in2", 2), rung(0.092_903_04, "ft2", 2)]),
        si: ("cm2", 2, [rung(0.0, "cm2", 2), rung(0.1, "m2", 3)])
    }

    /// An energy or work in joules.
    EnergyDim = ENERGY {
        quantity: "an energy", si_unit: "J", allowed: "ft lbf, in lbf, J, kJ", example: "20 ft lbf",
        units: [
            si("J", &["N m", "Nm"], ONE),
            si("kJ", &[], KILO),
            us("ft lbf", &["lbf ft", "ftlbf"], LBF_FT),
            us("in lbf", &["lbf in", "inlbf"], LBF_IN),
        ],
        pairs: [], hints: [(&["ft lb", "lb ft", "in lb", "lb in"], "lb is a mass here: write ft lbf or in lbf")],
        us: ("ft lbf", 1, always("ft lbf", 1)), si: ("J", 1, always("J", 1))
    }

    /// Work per area in joules per square metre.
    WorkPerAreaDim = WORK_PER_AREA {
        quantity: "a work per area", si_unit: "J/m2", allowed: "ft lbf/ft2, J/m2, kJ/m2", example: "300 J/m2",
        units: [
            si("J/m2", &[], ONE),
            si("kJ/m2", &[], KILO),
            us("ft lbf/ft2", &["lbf ft/ft2"], LBF_FT.over(FT2)),
        ],
        pairs: [], hints: [],
        us: ("ft lbf/ft2", 1, always("ft lbf/ft2", 1)), si: ("J/m2", 0, always("J/m2", 0))
    }

    /// An impulse in newton seconds.
    ImpulseDim = IMPULSE {
        quantity: "an impulse", si_unit: "N s", allowed: "lbf s, N s", example: "4 lbf s",
        units: [si("N s", &["Ns"], ONE), us("lbf s", &[], LBF)],
        pairs: [], hints: [(&["lb s"], "lb is a mass here: write lbf s")],
        us: ("lbf s", 2, always("lbf s", 2)), si: ("N s", 1, always("N s", 1))
    }

    /// A plain number or a percentage.
    FractionDim = FRACTION {
        quantity: "a number", si_unit: "", allowed: "a plain number, or a percentage with %", example: "35 %",
        units: [si("", &[], ONE), si("%", &["percent"], r(1, 100)).exact_case()],
        pairs: [], hints: [],
        us: ("", 3, trimmed("", 3)), si: ("", 3, trimmed("", 3)), bare: true
    }
}
