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

/// Styles of what acts on an arm and of the cylinder's chambers, one for each for good: whatever else is drawn, a line keeps its look, and no other
/// line of a pass, of a unit or of a pinned set-up, has it.
const NAMED: [(&str, u8, Dash, Marker); 14] = [
    ("bearing lean", 6, Dash::Solid, Marker::Up),
    ("counterweight", 7, Dash::Solid, Marker::Down),
    ("air", 4, Dash::Solid, Marker::Diamond),
    ("gas spring", 4, Dash::Dotted, Marker::Ring),
    ("damper", 6, Dash::Dashed, Marker::Cross),
    ("bumper stop", 7, Dash::Dashed, Marker::Plus),
    ("outboard stop", 7, Dash::Dotted, Marker::Plus),
    ("pivot friction", 6, Dash::Dotted, Marker::Up),
    ("strip push", 7, Dash::Long, Marker::Square),
    ("strip rub", 6, Dash::DashDot, Marker::Down),
    ("other brush", 7, Dash::DashDot, Marker::Up),
    ("brush air drag", 4, Dash::DashDot, Marker::Cross),
    ("cap end", 4, Dash::Long, Marker::Ring),
    ("rod end", 6, Dash::Long, Marker::Diamond),
];

impl SeriesStyle {
    /// The style of what acts on an arm (its name in the torque budget) or of a chamber of the cylinder; that of the last of several for
    /// other names.
    pub fn of_name(name: &str) -> SeriesStyle {
        NAMED.iter().find(|named| named.0 == name).map_or(SeriesStyle::nth(7), |(_, colour, dash, marker)| {
            SeriesStyle { role: Role::Series(*colour), dash: *dash, marker: *marker }
        })
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
        // Each line of the strips of a pass: in colour by itself among the lines of its kind, and without colour by dash and marker.
        let units = [Role::LeftUnit, Role::RightUnit].map(Role::style);
        let pinned = [Role::SetupA, Role::SetupB, Role::SetupC].map(Role::style);
        let pinned =
            pinned.iter().flat_map(|pin| units.map(|unit| SeriesStyle { marker: unit.marker, ..*pin }));
        let causes = crate::pass::motion::TorqueBudget::default().causes().map(|(name, _)| name);
        let named = causes.into_iter().chain(["cap end", "rod end"]).map(|name| {
            assert!(NAMED.iter().any(|own| own.0 == name), "{name}");
            SeriesStyle::of_name(name)
        });
        let all: Vec<SeriesStyle> = units.into_iter().chain(pinned).chain(named).collect();
        let rgb = |style: &SeriesStyle| style.role.rgb(super::super::palette::Theme::Light);
        for (i, a) in all.iter().enumerate() {
            for b in &all[..i] {
                assert!(rgb(a) != rgb(b) || a.dash != b.dash || a.marker != b.marker, "{a:?} {b:?}");
                let both_pinned = a.role == b.role;
                assert!(both_pinned || (a.dash, a.marker) != (b.dash, b.marker) || i < 8, "{a:?} {b:?}");
                assert!(i < 8 || (rgb(a), a.dash) != (rgb(b), b.dash), "{a:?} {b:?}");
            }
        }
        let set_ups = [Role::SetupA, Role::SetupB, Role::SetupC, Role::Current].map(|role| role.style().dash);
        assert!((0..4).all(|i| (0..i).all(|j| set_ups[i] != set_ups[j])), "set-ups differ without colour");
    }
}
