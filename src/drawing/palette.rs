//! Colours by role, in a light and a dark theme.
//!
//! Pictures name a role ([`Role::Missed`]) or a place on the pressure scale, never a colour: the theme turns it into
//! one when the picture is drawn. Colour never carries meaning alone: lines that must be told apart take a
//! [`SeriesStyle`](super::series_style::SeriesStyle) (colour, dash and marker together), grades take a hatch and a word.
//!
//! Checked by the tests below: text roles keep a contrast of at least 4.5 : 1 and graphic roles of at least 3 : 1 against
//! the page and the panels (the levels AA of W3C WCAG 2.2, 1.4.3 and 1.4.11); the scale grows steadily in lightness,
//! for full colour vision and for the three kinds of dichromacy, so it also survives a grey print.

use crate::elementary::Elementary;

/// A colour, sRGB, 8 bits a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rgb(
    /// Red.
    pub u8,
    /// Green.
    pub u8,
    /// Blue.
    pub u8,
);

impl Rgb {
    const fn hex(code: u32) -> Rgb {
        Rgb((code >> 16) as u8, (code >> 8) as u8, code as u8)
    }

    /// As `#rrggbb`.
    pub fn css(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }

    /// Relative luminance, 0 black to 1 white (W3C WCAG 2.2, «relative luminance»).
    pub fn luminance(self) -> f64 {
        let [r, g, b] = [self.0, self.1, self.2].map(linear);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// Contrast ratio of two colours, 1 to 21 (W3C WCAG 2.2, «contrast ratio»).
    pub fn contrast(self, other: Rgb) -> f64 {
        let (a, b) = (self.luminance() + 0.05, other.luminance() + 0.05);
        a.max(b) / a.min(b)
    }

    fn mixed(self, other: Rgb, t: f64) -> Rgb {
        let channel = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * t).round() as u8;
        Rgb(channel(self.0, other.0), channel(self.1, other.1), channel(self.2, other.2))
    }
}

/// Linear light of an sRGB channel (IEC 61966-2-1), 0 to 1.
fn linear(channel: u8) -> f64 {
    let value = f64::from(channel) / 255.0;
    if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).power(2.4) }
}

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// Dark on white; also what is printed.
    #[default]
    Light,
    /// Light on near-black.
    Dark,
}

/// What a colour stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Main text and lines.
    Ink,
    /// Secondary text, axes.
    Muted,
    /// Grid lines; decoration only.
    Grid,
    /// The page.
    Paper,
    /// A raised area on the page.
    Panel,
    /// Inside of a vehicle; decoration only, its edge carries the shape.
    Vehicle,
    /// Outline of a vehicle.
    VehicleEdge,
    /// Glass of a vehicle; decoration only.
    Glass,
    /// Shade, tyres; decoration only, always drawn faint.
    Shade,
    /// A wet floor; decoration only.
    Floor,
    /// Arms, pivots, frames.
    Machine,
    /// The unit on the left of travel.
    LeftUnit,
    /// The unit on the right of travel.
    RightUnit,
    /// The set-up pinned as A.
    SetupA,
    /// The set-up pinned as B.
    SetupB,
    /// The set-up pinned as C.
    SetupC,
    /// The set-up being changed.
    Current,
    /// Perimeter that has been washed.
    Washed,
    /// Perimeter that no brush has reached yet.
    NotYet,
    /// Perimeter that was never washed: a gap.
    Missed,
    /// Inside its limit.
    Pass,
    /// Close to its limit.
    Marginal,
    /// Past its limit.
    Fail,
    /// A caution.
    Warn,
    /// A pressing force.
    Force,
    /// A friction force.
    Friction,
    /// The cursor, the selection.
    Highlight,
    /// One of eight colours for categories with no role of their own; counted round.
    Series(u8),
}

impl Role {
    /// The colour of the role in a theme.
    pub const fn rgb(self, theme: Theme) -> Rgb {
        let (light, dark) = match self {
            Role::Ink => (0x1b2128, 0xeef2f5),
            Role::Muted => (0x56616d, 0xa5b0bb),
            Role::Grid => (0xd5dbe1, 0x333c46),
            Role::Paper => (0xffffff, 0x14181d),
            Role::Panel => (0xf3f5f7, 0x1e242b),
            Role::Vehicle => (0xdfe4ea, 0x39434e),
            Role::VehicleEdge => (0x3a444f, 0xb9c4cf),
            Role::Glass => (0xa9b9c8, 0x1f2a34),
            Role::Shade => (0x10161c, 0x05080b),
            Role::Floor => (0xf4f7f9, 0x171d23),
            Role::Machine => (0x5d6773, 0x97a3af),
            Role::LeftUnit => series(0),
            Role::RightUnit => series(1),
            // Units and set-ups are drawn over one another: none shares a colour.
            Role::SetupA => series(3),
            Role::SetupB => series(2),
            Role::SetupC => series(5),
            Role::Current => (0x1b2128, 0xeef2f5),
            Role::Washed => (0x0b7a55, 0x4cc79a),
            Role::NotYet => (0x75808c, 0x8d99a5),
            Role::Missed | Role::Force => (0xb3261e, 0xff7d70),
            Role::Pass => (0x0b6b4b, 0x57cfa2),
            Role::Marginal => (0x8a5a00, 0xe8b04a),
            Role::Fail => (0xa8201a, 0xff8a80),
            Role::Warn => (0x9a4d00, 0xffab5e),
            Role::Friction => (0x2a62c4, 0x7fa8ff),
            Role::Highlight => (0x0b63ce, 0x5aa9ff),
            Role::Series(index) => series(index),
        };
        Rgb::hex(match theme {
            Theme::Light => light,
            Theme::Dark => dark,
        })
    }
}

/// Light and dark colour of a category.
const fn series(index: u8) -> (u32, u32) {
    match index % 8 {
        0 => (0x2f5bd0, 0x6f9bff),
        1 => (0xd9580d, 0xff9a3d),
        2 => (0x0a5c46, 0x63d6a6),
        3 => (0x8e2a7e, 0xe0a6e6),
        4 => (0x1f86d9, 0x5170e8),
        5 => (0x6b2a00, 0xb9722c),
        6 => (0xa8738f, 0xf4ecb0),
        _ => (0x20242c, 0x8d93a0),
    }
}

/// A colour in a picture, settled when the theme is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paint {
    /// Which colour.
    pub hue: Hue,
    /// 0 invisible to 1 solid.
    pub opacity: f64,
}

/// Which colour a [`Paint`] is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hue {
    /// The colour of a role.
    Role(Role),
    /// A place on the scale, 0 least to 1 most; values outside are drawn as the nearer end.
    Scale(f64),
    /// Black or white, whichever reads better on that place of the scale.
    OnScale(f64),
    /// A place on the scale of the contact pressure, which is none of the colours of what is washed.
    Pressure(f64),
    /// A place on the scale of differences: −1 most less, 0 none, 1 most more.
    Difference(f64),
}

impl From<Role> for Paint {
    fn from(role: Role) -> Paint {
        Paint { hue: Hue::Role(role), opacity: 1.0 }
    }
}

impl Role {
    /// This role's colour, partly see-through.
    pub const fn faint(self, opacity: f64) -> Paint {
        Paint { hue: Hue::Role(self), opacity }
    }
}

impl Paint {
    /// A place on the scale, 0 least to 1 most.
    pub const fn scale(share: f64) -> Paint {
        Paint { hue: Hue::Scale(share), opacity: 1.0 }
    }

    /// A place on the scale of the contact pressure, 0 none to 1 most.
    pub const fn pressure(share: f64) -> Paint {
        Paint { hue: Hue::Pressure(share), opacity: 1.0 }
    }

    /// A place on the scale of differences, −1 most less to 1 most more.
    pub const fn difference(share: f64) -> Paint {
        Paint { hue: Hue::Difference(share), opacity: 1.0 }
    }

    /// Black or white, whichever reads better on a place of the scale.
    pub const fn on_scale(share: f64) -> Paint {
        Paint { hue: Hue::OnScale(share), opacity: 1.0 }
    }

    /// The colour in a theme, opacity left out.
    pub fn rgb(self, theme: Theme) -> Rgb {
        match self.hue {
            Hue::Role(role) => role.rgb(theme),
            Hue::Scale(share) => scale_rgb(&SCALE_LIGHT, share, theme),
            Hue::Pressure(share) => scale_rgb(&PRESSURE_LIGHT, share, theme),
            Hue::Difference(share) => difference_rgb(share, theme),
            Hue::OnScale(share) => {
                let (black, white, under) =
                    (Rgb(0, 0, 0), Rgb(255, 255, 255), scale_rgb(&SCALE_LIGHT, share, theme));
                if black.contrast(under) >= white.contrast(under) { black } else { white }
            }
        }
    }
}

/// The scale at nine even places, least to most, on a light page. Even steps of lightness (OKLab L 0.955 to 0.255),
/// hue turning one way from sand through green and teal to deep violet.
const SCALE_LIGHT: [u32; 9] =
    [0xf7f1d3, 0xcadca9, 0x8ac996, 0x38b399, 0x12939b, 0x077394, 0x245184, 0x31335e, 0x281d33];

/// The scale of the contact pressure, in the same steps of lightness, from cream through amber to brown.
const PRESSURE_LIGHT: [u32; 9] =
    [0xfef1bd, 0xf2cf79, 0xe5ad3c, 0xcf8d1a, 0xb57005, 0x985504, 0x714222, 0x4e3022, 0x371a0f];

/// Most less and most more, on a light and on a dark page.
const LESS: (u32, u32) = (0x9a4a00, 0xf2a65a);
const MORE: (u32, u32) = (0x3a3fa3, 0x9aa4ff);

/// From the page to the colour of either side, growing in contrast alike.
fn difference_rgb(share: f64, theme: Theme) -> Rgb {
    let share = if share.is_nan() { 0.0 } else { share.clamp(-1.0, 1.0) };
    let (light, dark) = if share < 0.0 { LESS } else { MORE };
    let most = Rgb::hex(if theme == Theme::Light { light } else { dark });
    let least = 0.12;
    let t = if share == 0.0 { 0.0 } else { least + (1.0 - least) * share.abs() };
    Role::Paper.rgb(theme).mixed(most, t)
}

/// Colour at a place on a scale. On a light page more is darker, on a dark page more is brighter.
fn scale_rgb(scale: &[u32; 9], share: f64, theme: Theme) -> Rgb {
    let last = scale.len() - 1;
    let share = if share.is_nan() { 0.0 } else { share.clamp(0.0, 1.0) };
    let place = last as f64 * if theme == Theme::Light { share } else { 1.0 - share };
    let index = (place.floor() as usize).min(last - 1);
    Rgb::hex(scale[index]).mixed(Rgb::hex(scale[index + 1]), place - index as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    const THEMES: [Theme; 2] = [Theme::Light, Theme::Dark];

    /// Both scales that grow from nothing.
    const RAMPS: [fn(f64) -> Paint; 2] = [Paint::scale, Paint::pressure];

    /// Full-severity dichromacy on linear sRGB, rows r g b: Machado, Oliveira and Fernandes, «A physiologically-based
    /// model for simulation of color vision deficiency», IEEE TVCG 15(6), 2009, table 1 (from memory; each row must sum to 1).
    const DICHROMACY: [(&str, [[f64; 3]; 3]); 4] = [
        ("full", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
        (
            "protan",
            [
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ],
        ),
        (
            "deutan",
            [
                [0.367322, 0.860646, -0.227968],
                [0.280085, 0.672501, 0.047413],
                [-0.011820, 0.042940, 0.968881],
            ],
        ),
        (
            "tritan",
            [
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ],
        ),
    ];

    /// OKLab (B. Ottosson, «A perceptual color space for image processing», 2020; matrices from memory, checked on white).
    fn oklab(rgb: Rgb, seen_as: &[[f64; 3]; 3]) -> [f64; 3] {
        let light = [rgb.0, rgb.1, rgb.2].map(linear);
        let [r, g, b] = seen_as.map(|row| row.iter().zip(light).map(|(m, v)| m * v).sum::<f64>());
        let l = (0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b).max(0.0).cbrt();
        let m = (0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b).max(0.0).cbrt();
        let s = (0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b).max(0.0).cbrt();
        [
            0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
            1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
            0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s,
        ]
    }

    #[test]
    fn val_contrast_ratio_of_wcag() {
        // W3C WCAG 2.2, «contrast ratio»: black on white is 21 : 1. #767676 on white is the well-known 4.54 : 1 (from memory).
        held!((Rgb(0, 0, 0).contrast(Rgb(255, 255, 255)) - 21.0).abs(), 1e-9);
        held!((Rgb::hex(0x767676).contrast(Rgb(255, 255, 255)) - 4.54).abs(), 0.005);
    }

    #[test]
    fn val_roles_keep_wcag_contrast() {
        let text =
            [Role::Ink, Role::Muted, Role::Pass, Role::Marginal, Role::Fail, Role::Warn, Role::Highlight];
        let graphic = [
            Role::VehicleEdge,
            Role::Machine,
            Role::LeftUnit,
            Role::RightUnit,
            Role::SetupA,
            Role::SetupB,
            Role::SetupC,
            Role::Current,
            Role::Washed,
            Role::NotYet,
            Role::Missed,
            Role::Force,
            Role::Friction,
        ];
        for theme in THEMES {
            for ground in [Role::Paper, Role::Panel, Role::Floor].map(|role| role.rgb(theme)) {
                for role in text {
                    assert!(role.rgb(theme).contrast(ground) >= 4.5, "{theme:?} {role:?}");
                }
                for role in graphic.into_iter().chain((0..8).map(Role::Series)) {
                    assert!(role.rgb(theme).contrast(ground) >= 3.0, "{theme:?} {role:?}");
                }
            }
        }
    }

    #[test]
    fn verif_scale_grows_in_lightness_for_every_colour_vision() {
        for (name, matrix) in &DICHROMACY {
            for row in matrix {
                assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-5, "{name}");
            }
            for (theme, ramp) in THEMES.into_iter().flat_map(|theme| RAMPS.map(|ramp| (theme, ramp))) {
                let lightness: Vec<f64> =
                    (0..=64).map(|i| oklab(ramp(f64::from(i) / 64.0).rgb(theme), matrix)[0]).collect();
                let sign = if theme == Theme::Light { -1.0 } else { 1.0 };
                let steps: Vec<f64> = lightness.windows(2).map(|w| sign * (w[1] - w[0])).collect();
                let mean = steps.iter().sum::<f64>() / steps.len() as f64;
                assert!(mean > 0.01, "{name} {theme:?}: the scale spans lightness");
                // Steady: no step is against the direction and none is more than twice the mean.
                assert!(
                    steps.iter().all(|s| *s > 0.2 * mean && *s < 2.0 * mean),
                    "{name} {theme:?} {steps:?}"
                );
            }
        }
    }

    /// Less and more stand off the page alike, nothing is the page itself, and neither ends like the other for any colour vision.
    #[test]
    fn verif_the_scale_of_differences_goes_both_ways_alike() {
        for theme in THEMES {
            let paper = Role::Paper.rgb(theme);
            assert_eq!(Paint::difference(0.0).rgb(theme), paper);
            for (name, matrix) in &DICHROMACY {
                let off = |share: f64| {
                    let at = oklab(Paint::difference(share).rgb(theme), matrix)[0];
                    (at - oklab(paper, matrix)[0]).abs()
                };
                for i in 1..=16 {
                    let share = f64::from(i) / 16.0;
                    let (less, more) = (off(-share), off(share));
                    assert!(
                        less > off(-share + 0.0625) && more > off(share - 0.0625),
                        "{name} {theme:?} {share}"
                    );
                    assert!((less / more).max(more / less) < 1.6, "{name} {theme:?} {share}: {less} {more}");
                }
                let [a, b] = [-1.0, 1.0].map(|share| oklab(Paint::difference(share).rgb(theme), matrix));
                let apart = a.iter().zip(b).map(|(p, q)| (p - q).powi(2)).sum::<f64>().sqrt();
                assert!(apart > 0.1, "{name} {theme:?}: {apart}");
            }
        }
    }

    /// What is pressed on does not look like what is washed: far apart in colour wherever they are alike in lightness.
    #[test]
    fn verif_pressure_is_no_colour_of_washed() {
        for theme in THEMES {
            for i in 0..=32 {
                let pressed = oklab(Paint::pressure(f64::from(i) / 32.0).rgb(theme), &DICHROMACY[0].1);
                let washed = oklab(Role::Washed.rgb(theme), &DICHROMACY[0].1);
                let apart = pressed.iter().zip(washed).map(|(p, q)| (p - q).powi(2)).sum::<f64>().sqrt();
                assert!(apart > 0.12, "{theme:?} {i}: {apart}");
            }
        }
    }

    #[test]
    fn verif_categories_differ_for_every_colour_vision() {
        for theme in THEMES {
            for (name, matrix) in &DICHROMACY {
                for i in 0..8_u8 {
                    for j in 0..i {
                        let (a, b) = (Role::Series(i).rgb(theme), Role::Series(j).rgb(theme));
                        let (a, b) = (oklab(a, matrix), oklab(b, matrix));
                        let apart = a.iter().zip(b).map(|(p, q)| (p - q).powi(2)).sum::<f64>().sqrt();
                        assert!(apart > 0.075, "{name} {theme:?} {i} {j}: {apart}");
                    }
                }
            }
        }
    }

    #[test]
    fn val_scale_keeps_text_readable() {
        for theme in THEMES {
            for i in 0..=32 {
                let share = f64::from(i) / 32.0;
                let ratio = Paint::on_scale(share).rgb(theme).contrast(Paint::scale(share).rgb(theme));
                assert!(ratio >= 4.5, "{theme:?} {share}: {ratio}");
            }
        }
    }
}
