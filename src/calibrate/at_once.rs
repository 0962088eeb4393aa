//! A reading held against the model as it is assumed, as soon as it is taken.
//!
//! What is read less what the model says, r in standard deviations of the reading, has the variance 1 + j jᵀ: that of the reading, and that of what is assumed
//! of the machine and of the instrument's shared error, each with unit variance, with j the derivatives of r by them. So z = r/√(1 + j jᵀ) is a standard
//! normal number where model, assumptions and reading are right.

use super::fit::Problem;
use super::machine::Machine;
use super::parameter::parameters;
use super::readings_text::ReadingsText;
use super::result::{fits, reads_like, sides_of};
use crate::error::Diagnostics;
use crate::scenario::Scenario;
use crate::units::DimensionInfo;

/// From here on a value that was read is far from the model as assumed: three of a thousand sound ones are.
pub const FAR: f64 = 3.0;

/// A value that was read beside the model as it is assumed.
#[derive(Debug, Clone)]
pub struct AtOnce {
    /// Number of its reading in the file, from 0.
    pub reading: usize,
    /// Field of the reading it stands in.
    pub field: &'static str,
    /// Its place in that list; `None` where there is no list.
    pub place: Option<usize>,
    /// Its dimension.
    pub info: &'static DimensionInfo,
    /// As written.
    pub written: String,
    /// What was read, SI.
    pub si: f64,
    /// What the model as assumed says, SI.
    pub expected_si: f64,
    /// One standard deviation of the difference: of the reading, of the instrument and of what is assumed, SI.
    pub sd_si: f64,
    /// How far the value lies above what is expected, in those.
    pub off: f64,
    /// What would fit if the unit were another, where the value is far: «12 lbf».
    pub reads_like: Option<String>,
}

/// Every value of a file of readings beside the model as it is assumed.
///
/// # Errors
/// [`Diagnostics`] with the place of what does not fit the scenario, as a calibration has them.
pub fn at_once(scenario: &Scenario, text: &ReadingsText) -> Result<Vec<AtOnce>, Diagnostics> {
    let (prefix, sides) = sides_of(scenario, text.file.of);
    let base = scenario.with_found(&sides)?;
    fits(&base, text, prefix, &sides)?;
    let machine = Machine::new(&base, &text.file, parameters(&base, prefix)?.fitted);
    let assumed = vec![0.0; machine.unknowns()];
    // The engine has an answer: that was looked at above.
    let expected = machine.readings_at(&assumed).unwrap_or_default();
    let slopes = machine.jacobian(&assumed);
    let mut list = Vec::new();
    for (row, (of, expected_si)) in machine.rows.iter().zip(expected).enumerate() {
        let assumed = slopes.as_ref().map_or(0.0, |slopes| slopes.row(row).norm_squared());
        let wider = (1.0 + assumed).sqrt();
        let off = of.off(expected_si) / wider;
        list.push(AtOnce {
            reading: of.reading,
            field: of.value.field,
            place: of.value.place,
            info: of.value.limits.info,
            written: of.value.written.clone(),
            si: of.value.si,
            expected_si,
            sd_si: wider * of.share.map_or(of.sigma, |share| share * expected_si.abs()),
            reads_like: if off.abs() > FAR { reads_like(of, expected_si) } else { None },
            off,
        });
    }
    Ok(list)
}
