//! How lines that must be told apart are drawn: colour, dash and marker together, so that colour never carries meaning alone.

use super::list::{Dash, Marker, Stroke};
use super::palette::Role;

/// How one of several lines is told apart: by colour, dash and marker together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SeriesStyle {
    /// Colour.
    pub role: Role,
    /// Breaks of the line.
    pub dash: Dash,
    /// Marker at its points.
    pub marker: Marker,
}

impl SeriesStyle {
    /// The style of the `index`-th of several lines; no two of the first eight share a colour, a dash-marker pair or a marker.
    pub const fn nth(index: usize) -> SeriesStyle {
        let (dash, marker) = match index % 8 {
            0 => (Dash::Solid, Marker::Disc),
            1 => (Dash::Dashed, Marker::Square),
            2 => (Dash::Dotted, Marker::Up),
            3 => (Dash::DashDot, Marker::Diamond),
            4 => (Dash::Long, Marker::Down),
            5 => (Dash::DashDotDot, Marker::Ring),
            6 => (Dash::Solid, Marker::Cross),
            _ => (Dash::Dashed, Marker::Plus),
        };
        SeriesStyle { role: Role::Series((index % 8) as u8), dash, marker }
    }

    /// A line in this style.
    pub fn stroke(self, width: f64) -> Stroke {
        Stroke::new(width, self.role).dashed(self.dash)
    }
}

impl Role {
    /// Colour, dash and marker for a line that stands for this role.
    pub const fn style(self) -> SeriesStyle {
        let (dash, marker) = match self {
            Role::LeftUnit => (Dash::Solid, Marker::Disc),
            Role::RightUnit => (Dash::Dashed, Marker::Square),
            Role::Current => (Dash::Solid, Marker::Disc),
            Role::SetupA => (Dash::Dashed, Marker::Up),
            Role::SetupB => (Dash::DashDot, Marker::Square),
            Role::SetupC => (Dash::Dotted, Marker::Diamond),
            Role::Series(index) => return SeriesStyle::nth(index as usize),
            _ => (Dash::Solid, Marker::Disc),
        };
        SeriesStyle { role: self, dash, marker }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_no_two_styles_share_dash_and_marker() {
        for i in 0..8 {
            for j in 0..i {
                let (a, b) = (SeriesStyle::nth(i), SeriesStyle::nth(j));
                assert!(a.marker != b.marker && (a.dash, a.marker) != (b.dash, b.marker));
            }
        }
        let set_ups = [Role::SetupA, Role::SetupB, Role::SetupC, Role::Current].map(|role| role.style().dash);
        assert!((0..4).all(|i| (0..i).all(|j| set_ups[i] != set_ups[j])), "set-ups differ without colour");
    }
}
