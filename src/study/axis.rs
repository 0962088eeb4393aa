//! One axis of a sweep: a setting and the values it takes.
//!
//! ```text
//! PATH=FIRST..LAST:STEP     evenly spaced, both ends included; the step must go evenly into the range
//! PATH=FIRST..LAST          any value between, for samples only
//! PATH=VALUE,VALUE,…        a list
//! ```
//!
//! Values are written as in the field: `-1/8in..1/8in:1/16in`. Value `i` is `first + i · step`, and there are `round((last − first) / step) + 1` of
//! them; nothing is added up, so the hundredth value is as exact as the first. Each value is then written in the unit and style of the step, and that
//! text is what the scenario is given.
//!
//! Numbers without a unit take the unit of the others in the same range or list when those agree on one (`60..140:5 veh/h`), else the unit of the
//! setting's field step (`60..140:5`), as everywhere a setting is given.

use super::table::Column;
use crate::error::Refusal;
use crate::units::column_name;
use crate::units::{self, DimensionInfo, UnitError};

/// The most values on one axis.
pub const MAX_VALUES: u64 = 10_000_000;

/// One value of an axis.
#[derive(Debug, Clone, PartialEq)]
pub struct AxisValue {
    /// As written: what the scenario is given and people are shown.
    pub text: String,
    /// As a number in the axis' unit; none for words.
    pub number: Option<f64>,
}

/// An axis.
#[derive(Debug, Clone)]
pub struct Axis {
    path: String,
    column: Column,
    unit: &'static str,
    info: Option<&'static DimensionInfo>,
    values: Values,
}

#[derive(Debug, Clone)]
enum Values {
    List(Vec<AxisValue>),
    Even { first_si: f64, step_si: f64, count: u64, like: String },
    Between { first: f64, last: f64 },
}

/// Splits `PATH=VALUES`.
///
/// # Errors
/// When there is no `=` or one side is empty.
pub fn split(text: &str) -> Result<(&str, &str), Refusal> {
    match text.split_once('=') {
        Some((path, values)) if !path.trim().is_empty() && !values.trim().is_empty() => {
            Ok((path.trim(), values.trim()))
        }
        _ => Err(Refusal {
            problem: "an axis is a setting and its values".into(),
            given: text.into(),
            allowed: "PATH=FIRST..LAST:STEP or PATH=VALUE,VALUE".into(),
            advice: "write it like throughput=60..140:5".into(),
        }),
    }
}

impl Axis {
    /// An axis of words: names of vehicles or files, or the choices of a setting.
    ///
    /// # Errors
    /// When there are none.
    pub fn words(path: &str, words: impl IntoIterator<Item = String>) -> Result<Axis, Refusal> {
        let values: Vec<AxisValue> = words.into_iter().map(|text| AxisValue { text, number: None }).collect();
        if values.is_empty() {
            return Err(refused(
                path,
                "an axis needs values",
                "",
                "at least one value",
                "list the values after =",
            ));
        }
        Ok(Axis {
            path: path.into(),
            column: Column::text(path),
            unit: "",
            info: None,
            values: Values::List(values),
        })
    }

    /// An axis of a quantity, read from `text`. Numbers without a unit are in that of `step`, a text of the quantity, where there is no other.
    ///
    /// # Errors
    /// What is wrong with the text, and how to write it.
    pub fn quantity(
        path: &str,
        text: &str,
        info: &'static DimensionInfo,
        step: Option<&str>,
    ) -> Result<Axis, Refusal> {
        let range = text.split_once("..");
        let parts: Vec<&str> = match range {
            Some((first, rest)) => match rest.split_once(':') {
                Some((last, step)) => vec![first, last, step],
                None => vec![first, rest],
            },
            None => text.split(',').collect(),
        };
        let parts = with_units(path, &parts, info, step)?;
        let read = |part: &str| units::read(info, part).map_err(|error| unreadable(path, text, &error));
        let readings = parts.iter().map(|part| read(part)).collect::<Result<Vec<_>, _>>()?;
        if let Some(absolute) = readings.iter().position(|r| r.absolute_pa.is_some())
            && range.is_some()
        {
            return Err(refused(
                path,
                "a range of pressures is in gauge",
                &parts[absolute],
                "gauge pressures such as 5 psi",
                "write gauge pressures",
            ));
        }
        let (values, unit) = match (range, readings.as_slice()) {
            (None, all) => {
                let unit = all[0].unit.symbol;
                let list = parts.iter().zip(all).map(|(text, r)| AxisValue {
                    text: text.trim().to_owned(),
                    number: in_unit(info, r.si, unit),
                });
                (Values::List(list.collect()), unit)
            }
            (Some(_), [first, last]) => {
                let unit = first.unit.symbol;
                let ends = (in_unit(info, first.si, unit), in_unit(info, last.si, unit));
                let (Some(first), Some(last)) = ends else {
                    return Err(refused(
                        path,
                        "the range cannot be read",
                        text,
                        "FIRST..LAST",
                        "write it like 60..140",
                    ));
                };
                (Values::Between { first, last }, unit)
            }
            (Some(_), all) => {
                let (first_si, last_si, step_si) = (all[0].si, all[1].si, all[2].si);
                let count = count(path, text, first_si, last_si, step_si)?;
                (Values::Even { first_si, step_si, count, like: parts[2].clone() }, all[2].unit.symbol)
            }
        };
        Ok(Axis {
            path: path.into(),
            column: Column::number(column_name(path, unit)),
            unit,
            info: Some(info),
            values,
        })
    }

    /// The path of the setting.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The column it has in a table.
    pub fn column(&self) -> &Column {
        &self.column
    }

    /// The unit of its numbers; empty for words and plain numbers.
    pub fn unit(&self) -> &'static str {
        self.unit
    }

    /// Whether its values are words.
    pub fn is_words(&self) -> bool {
        self.info.is_none()
    }

    /// How many values; none when it takes any value of a range.
    pub fn count(&self) -> Option<u64> {
        match &self.values {
            Values::List(list) => Some(list.len() as u64),
            Values::Even { count, .. } => Some(*count),
            Values::Between { .. } => None,
        }
    }

    /// Value `index`; none past the end or when it takes any value of a range.
    pub fn value(&self, index: u64) -> Option<AxisValue> {
        match &self.values {
            Values::List(list) => list.get(usize::try_from(index).ok()?).cloned(),
            Values::Even { first_si, step_si, count, like } if index < *count => {
                let si = first_si + index as f64 * step_si;
                let text = units::write_like(self.info?, like, si).ok()?;
                // The number of the text, so that both say the same.
                let si = units::read(self.info?, &text).ok()?.si;
                Some(AxisValue { text, number: in_unit(self.info?, si, self.unit) })
            }
            _ => None,
        }
    }

    /// The value a share `u` (0 included, 1 not) of the way along: each listed value gets an equal part of 0 to 1.
    pub fn at(&self, u: f64) -> Option<AxisValue> {
        match &self.values {
            Values::Between { first, last } => {
                let number = first + u * (last - first);
                let text = format!("{number} {}", self.unit);
                Some(AxisValue { text: text.trim_end().to_owned(), number: Some(number) })
            }
            _ => {
                let count = self.count()?;
                self.value(((u * count as f64) as u64).min(count - 1))
            }
        }
    }

    /// The axis in one line, for headers and fingerprints: the path and every value, or the ends, step and count.
    pub fn summary(&self) -> String {
        match &self.values {
            Values::List(list) => {
                let texts: Vec<&str> = list.iter().map(|v| v.text.as_str()).collect();
                format!("{}={}", self.path, texts.join(","))
            }
            Values::Even { first_si, step_si, count, .. } => {
                let end = |i| self.value(i).map_or_else(String::new, |v| v.text);
                format!(
                    "{}={}..{} in {count} values (SI {first_si:?} step {step_si:?})",
                    self.path,
                    end(0),
                    end(count - 1)
                )
            }
            Values::Between { first, last } => format!("{}={first:?}..{last:?} {}", self.path, self.unit),
        }
    }
}

fn refused(path: &str, problem: &str, given: &str, allowed: &str, advice: &str) -> Refusal {
    Refusal {
        problem: format!("{path}: {problem}"),
        given: given.into(),
        allowed: allowed.into(),
        advice: advice.into(),
    }
}

fn unreadable(path: &str, values: &str, error: &UnitError) -> Refusal {
    let text = error.to_string();
    let refusal =
        Refusal::from_text(&text).unwrap_or_else(|| Refusal { problem: text, ..Refusal::default() });
    let given = if refusal.given.is_empty() { values.to_owned() } else { refusal.given };
    Refusal { problem: format!("{path}: {}", refusal.problem), given, ..refusal }
}

/// The parts with units, by the rule on top.
fn with_units(
    path: &str,
    parts: &[&str],
    info: &'static DimensionInfo,
    step: Option<&str>,
) -> Result<Vec<String>, Refusal> {
    let is_bare = |part: &str| matches!(units::read(info, part), Err(UnitError::BareNumber { .. }));
    let mut bare = parts.iter().filter(|part| is_bare(part)).peekable();
    let Some(first_bare) = bare.peek() else {
        return Ok(parts.iter().map(|part| part.trim().to_owned()).collect());
    };
    let one_unit = |texts: &[&str]| -> Option<&'static str> {
        let mut symbols = texts.iter().filter_map(|text| units::read(info, text).ok()).map(|r| r.unit.symbol);
        let first = symbols.next()?;
        symbols.all(|symbol| symbol == first).then_some(first)
    };
    let Some(unit) = one_unit(parts).or_else(|| one_unit(&[step?])) else {
        let example = format!("write the unit, as in {}", info.example);
        return Err(refused(path, "the number needs its unit", first_bare.trim(), info.allowed, &example));
    };
    Ok(parts
        .iter()
        .map(|part| if is_bare(part) { format!("{} {unit}", part.trim()) } else { part.trim().to_owned() })
        .collect())
}

fn count(path: &str, text: &str, first: f64, last: f64, step: f64) -> Result<u64, Refusal> {
    let steps = (last - first) / step;
    if step == 0.0 || !steps.is_finite() {
        return Err(refused(
            path,
            "the step is nothing",
            text,
            "a step other than 0",
            "give a step, or a list of values",
        ));
    }
    if steps < -1e-9 {
        return Err(refused(
            path,
            "the step leads away from the last value",
            text,
            "a step toward the last value",
            "swap the ends or the sign of the step",
        ));
    }
    let count = steps.round() + 1.0;
    if count > MAX_VALUES as f64 {
        let allowed = format!("at most {MAX_VALUES} values on an axis");
        return Err(refused(
            path,
            &format!("{count:.0} values are too many"),
            text,
            &allowed,
            "take a larger step",
        ));
    }
    if (steps - steps.round()).abs() > 1e-6 {
        let problem = format!("the step does not go evenly into the range ({steps:.3} steps)");
        return Err(refused(
            path,
            &problem,
            text,
            "a whole number of steps",
            "move an end or change the step",
        ));
    }
    Ok(count as u64)
}

/// A SI value as the nicest number of a unit.
pub(super) fn in_unit(info: &'static DimensionInfo, si: f64, unit: &str) -> Option<f64> {
    let text = units::write_like(info, format!("0 {unit}").trim_end(), si).ok()?;
    let number = text.strip_suffix(unit).unwrap_or(&text);
    number.trim().parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{AngleDim, Dimension, FractionDim, LengthDim, PressureDim, ThroughputDim};

    fn texts(axis: &Axis) -> Vec<String> {
        (0..axis.count().unwrap()).map(|i| axis.value(i).unwrap().text).collect()
    }

    fn numbers(axis: &Axis) -> Vec<f64> {
        (0..axis.count().unwrap()).map(|i| axis.value(i).unwrap().number.unwrap()).collect()
    }

    #[test]
    fn verif_field_style_ranges() {
        let axis = Axis::quantity("o", "-1/8in..1/8in:1/16in", LengthDim::INFO, None).unwrap();
        assert_eq!(texts(&axis), ["-1/8in", "-1/16in", "0in", "1/16in", "1/8in"]);
        assert_eq!(numbers(&axis), [-0.125, -0.0625, 0.0, 0.0625, 0.125]);
        assert_eq!(axis.column().name, "o_in");
        let axis = Axis::quantity("o", "0 in..3/16 in:1/16 in", LengthDim::INFO, None).unwrap();
        assert_eq!(texts(&axis), ["0 in", "1/16 in", "1/8 in", "3/16 in"]);
        let axis = Axis::quantity("a", "−0.3°..0.3°:0.1°", AngleDim::INFO, None).unwrap();
        assert_eq!(numbers(&axis), [-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3]);
        let axis = Axis::quantity("p", "10psi..5psi:-2.5psi", PressureDim::INFO, None).unwrap();
        assert_eq!(numbers(&axis), [10.0, 7.5, 5.0]);
    }

    #[test]
    fn verif_bare_numbers_take_the_one_unit_there_is() {
        let axis = Axis::quantity("throughput", "60..140:5", ThroughputDim::INFO, Some("1 veh/h")).unwrap();
        assert_eq!(axis.count(), Some(17));
        assert_eq!(axis.value(16).unwrap(), AxisValue { text: "140 veh/h".into(), number: Some(140.0) });
        assert_eq!(axis.column().name, "throughput_veh_per_h");
        let axis = Axis::quantity("o", "-1/8..1/8:1/16 in", LengthDim::INFO, Some("3 mm")).unwrap();
        assert_eq!(axis.value(0).unwrap().text, "-1/8 in");
        let axis = Axis::quantity("f", "0.2,0.35", FractionDim::INFO, Some("0.05")).unwrap();
        assert_eq!(numbers(&axis), [0.2, 0.35]);
        let refusal = Axis::quantity("o", "1..2:1", LengthDim::INFO, None).unwrap_err();
        assert!(refusal.problem.contains("needs its unit"), "{refusal}");
        // Two units in one range do not agree on one: the field step decides.
        let axis = Axis::quantity("o", "0..25.4 mm:1 in", LengthDim::INFO, Some("1/16 in")).unwrap();
        assert_eq!(texts(&axis), ["0 in", "1 in"]);
    }

    #[test]
    fn verif_every_value_is_the_double_nearest_to_what_it_says() {
        let axis = Axis::quantity("g", "0.1 in..500 in:0.1 in", LengthDim::INFO, None).unwrap();
        assert_eq!(axis.count(), Some(5000));
        for i in [0, 2, 6, 1234, 4999] {
            let value = axis.value(i).unwrap();
            let exact = units::Length::parse(&format!("{}.{} in", (i + 1) / 10, (i + 1) % 10)).unwrap();
            assert_eq!(units::Length::parse(&value.text).unwrap().si(), exact.si());
            assert_eq!(value.number, Some((i + 1) as f64 / 10.0));
        }
    }

    #[test]
    fn verif_bad_ranges_say_why() {
        for (text, part) in [
            ("0in..1in:0.3in", "does not go evenly"),
            ("0in..1in:0in", "step is nothing"),
            ("0in..1in:-1in", "leads away"),
            ("0in..1in:1e-12in", "too many"),
            ("0in..1psi:1in", "o: "),
            ("0in,,1in", "o: "),
        ] {
            let refusal = Axis::quantity("o", text, LengthDim::INFO, None).unwrap_err();
            assert!(refusal.problem.contains(part), "{text}: {refusal}");
            assert!(!refusal.given.is_empty());
        }
        assert!(split("throughput").is_err() && split("=5").is_err());
    }

    #[test]
    fn verif_samples_reach_every_value_evenly() {
        let axis = Axis::quantity("p", "1,2,3", FractionDim::INFO, None).unwrap();
        let hits =
            |n: f64| (0..300).filter(|i| axis.at(f64::from(*i) / 300.0).unwrap().number == Some(n)).count();
        assert_eq!((hits(1.0), hits(2.0), hits(3.0)), (100, 100, 100));
        let axis = Axis::quantity("o", "-1in..1in", LengthDim::INFO, None).unwrap();
        assert_eq!(axis.at(0.25).unwrap(), AxisValue { text: "-0.5 in".into(), number: Some(-0.5) });
        assert_eq!((axis.count(), axis.value(0)), (None, None));
    }
}
