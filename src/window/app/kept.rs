//! What is kept between runs: units, theme and the sizes of the panels, as a small RON file.

use serde::{Deserialize, Serialize};

use crate::drawing::Theme;
use crate::units::UnitSystem;

/// Kept state. A field that is missing or cannot be read is as at the first start.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Kept {
    /// SI instead of US units.
    pub si: bool,
    /// Dark instead of light.
    pub dark: bool,
    /// Width of the settings, points; 0 = as it comes.
    pub settings_width: f32,
    /// Width of the column on the right, points; 0 = as it comes.
    pub column_width: f32,
    /// Height of the map, points; 0 = as it comes.
    pub map_height: f32,
    /// Size of the window, points; 0 = as it comes.
    pub window: (u32, u32),
}

impl Default for Kept {
    fn default() -> Kept {
        Kept {
            si: false,
            dark: false,
            settings_width: 0.0,
            column_width: 0.0,
            map_height: 0.0,
            window: (0, 0),
        }
    }
}

impl Kept {
    /// From the text of the file; anything that cannot be read is as at the first start.
    pub fn read(text: &str) -> Kept {
        let kept: Kept = ron::from_str(text).unwrap_or_default();
        let size = |value: f32| if (80.0..=2000.0).contains(&value) { value } else { 0.0 };
        Kept {
            settings_width: size(kept.settings_width),
            column_width: size(kept.column_width),
            map_height: size(kept.map_height),
            window: if kept.window.0.min(kept.window.1) < 400 || kept.window.0.max(kept.window.1) > 8000 {
                (0, 0)
            } else {
                kept.window
            },
            ..kept
        }
    }

    /// The text of the file.
    pub fn text(&self) -> String {
        let pretty = ron::ser::PrettyConfig::default();
        ron::ser::to_string_pretty(self, pretty).map_or_else(|_| String::new(), |text| text + "\n")
    }

    /// Units.
    pub const fn units(&self) -> UnitSystem {
        if self.si { UnitSystem::Si } else { UnitSystem::Us }
    }

    /// Theme.
    pub const fn theme(&self) -> Theme {
        if self.dark { Theme::Dark } else { Theme::Light }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verif_kept_state_comes_back_and_nonsense_does_not_harm() {
        let kept = Kept {
            si: true,
            dark: true,
            settings_width: 310.0,
            column_width: 420.5,
            map_height: 180.0,
            window: (1600, 900),
        };
        assert_eq!(Kept::read(&kept.text()), kept);
        assert_eq!(Kept::read("not RON ("), Kept::default());
        assert_eq!(Kept::read("(si: true)"), Kept { si: true, ..Kept::default() });
        let wild = Kept { settings_width: f32::NAN, column_width: 1e9, window: (3, 100_000), ..kept };
        let tame = Kept::read(&wild.text());
        assert_eq!((tame.settings_width, tame.column_width, tame.window), (0.0, 0.0, (0, 0)));
    }
}
