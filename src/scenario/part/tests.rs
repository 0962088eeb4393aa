use super::*;
use crate::scenario::foam::FoamPart;
use crate::scenario::{CoverageFile, FleetShare, HardwareFile, LineFile, NumericsFile, UnitFile};
use crate::units::read;

/// Every range is in order and holds its ends, every default lies in its range, every field step and every standard reads, and no quantity
/// outside the foam station, whose model has ranges of its own, is without a range.
#[test]
fn verif_every_row_of_every_part_reads() {
    let (mut ranges, mut defaults, mut steps) = (0, 0, 0);
    let mut look = |path: &str, row: &'static Parameter, kind: Kind| {
        let limits = &row.limits;
        if !limits.low.is_empty() {
            ranges += 1;
            let ends = [limits.low, limits.high].map(|text| read(limits.info, text));
            assert!(ends.iter().all(Result::is_ok), "{path}: {}", limits.text());
            let (low, high) = limits.si();
            assert!(low < high && low.is_finite() && high.is_finite(), "{path}: {}", limits.text());
            assert!(limits.holds(low) && limits.holds(high) && limits.holds(0.5 * (low + high)));
            assert!(!limits.holds(high + 0.01 * (high - low)) && !limits.holds(low - 0.01 * (high - low)));
            assert!(!limits.holds(f64::NAN));
        } else {
            assert!(!matches!(kind, Kind::Quantity) || path.starts_with("foam."), "{path} has no range");
        }
        if let Some(default) = row.default {
            defaults += 1;
            let said = read(limits.info, default).unwrap_or_else(|error| panic!("{path}: {error}"));
            assert!(limits.low.is_empty() || limits.holds(said.si), "{path}: {default}");
        }
        if let Some(knob) = &row.knob {
            assert!(!knob.label.is_empty(), "{path}");
            if matches!(kind, Kind::Quantity) && !knob.step.is_empty() {
                steps += 1;
                assert!(read(limits.info, knob.step).is_ok_and(|step| step.si > 0.0), "{path}");
                for text in knob.standard.iter().flatten() {
                    assert!(read(limits.info, text).is_ok_and(|at| limits.holds(at.si)), "{path}: {text}");
                }
            }
        }
    };
    LineFile::walk_rows("line", &mut look);
    HardwareFile::walk_rows("machine", &mut look);
    UnitFile::walk_rows("unit", &mut look);
    FleetShare::walk_rows("fleet", &mut look);
    CoverageFile::walk_rows("coverage", &mut look);
    NumericsFile::walk_rows("numerics", &mut look);
    FoamPart::walk_rows("foam", &mut look);
    assert!(
        ranges > 100 && defaults > 25 && steps > 25,
        "{ranges} ranges, {defaults} defaults, {steps} steps"
    );
}
