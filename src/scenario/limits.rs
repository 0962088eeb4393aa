//! What a written value may be: a closed range in the units of the trade. The ranges themselves stand in the rows of the parts.

use crate::coverage::MeasureName;
use crate::coverage::table::Given;
use crate::units::*;
use std::sync::{LazyLock, OnceLock};

/// A closed range of a quantity, as written.
#[derive(Debug)]
pub struct Limits {
    /// The dimension.
    pub info: &'static DimensionInfo,
    /// Lowest value allowed, as written.
    pub low: &'static str,
    /// Highest value allowed, as written.
    pub high: &'static str,
    si: OnceLock<(f64, f64)>,
}

impl Limits {
    /// From both ends as written; a number without a dimension where there is none.
    pub(crate) const fn new(
        info: Option<&'static DimensionInfo>,
        ends: (&'static str, &'static str),
    ) -> Limits {
        let info = match info {
            Some(info) => info,
            None => FractionDim::INFO,
        };
        Limits { info, low: ends.0, high: ends.1, si: OnceLock::new() }
    }

    /// Both ends in SI (a pressure: gauge).
    pub fn si(&self) -> (f64, f64) {
        *self.si.get_or_init(|| {
            let end = |text, unread: f64| read(self.info, text).map_or(unread, |reading| reading.si);
            (end(self.low, f64::NEG_INFINITY), end(self.high, f64::INFINITY))
        })
    }

    /// Whether a SI value lies inside, to the last few digits.
    pub fn holds(&self, si: f64) -> bool {
        let (low, high) = self.si();
        let slack = 1e-12 * low.abs().max(high.abs());
        si >= low - slack && si <= high + slack
    }

    /// Whether there are values below zero, as they are written: of a temperature those below the zero of its scale.
    pub fn is_below_zero(&self) -> bool {
        self.low.starts_with(['-', '−'])
    }

    /// «1 ft to 16 ft».
    pub fn text(&self) -> String {
        format!("{} to {}", self.low, self.high)
    }
}

/// What the limit of a measure may be, as its row says; anything where no scenario limits it.
pub fn of_measure(name: MeasureName) -> &'static Limits {
    static TABLE: LazyLock<Vec<Limits>> = LazyLock::new(|| {
        let limits = |name: MeasureName| {
            let row = name.row();
            let (low, high) = match row.limited.map(|limited| limited.given) {
                Some(Given::Scenario(low, high)) => (low, high),
                _ => ("", ""),
            };
            Limits::new(Some(row.info), (low, high))
        };
        MeasureName::ALL.into_iter().map(limits).collect()
    });
    &TABLE[name as usize]
}
