//! Fonts and colours of the panels: the shipped font, and egui's colours taken from the drawing palette.

use egui::{Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle};

use crate::drawing::{Rgb, Role, Theme};

/// egui's name for the bold face.
pub const BOLD: &str = "bold";

/// The shipped font as egui's only text font; egui's own fonts stay behind it for signs that it lacks.
pub fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let faces: [(&str, &'static [u8]); 2] = [
        ("Inter", include_bytes!("../../assets/Inter-Regular.otf")),
        ("Inter SemiBold", include_bytes!("../../assets/Inter-SemiBold.otf")),
    ];
    for (name, bytes) in faces {
        fonts.font_data.insert(name.to_owned(), FontData::from_static(bytes).into());
    }
    let fallback = fonts.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    let with =
        |first: &str| std::iter::once(first.to_owned()).chain(fallback.iter().cloned()).collect::<Vec<_>>();
    fonts.families.insert(FontFamily::Proportional, with("Inter"));
    fonts.families.insert(FontFamily::Name(BOLD.into()), with("Inter SemiBold"));
    fonts
}

/// A palette colour for egui.
pub const fn color(rgb: Rgb) -> Color32 {
    Color32::from_rgb(rgb.0, rgb.1, rgb.2)
}

/// A role's colour for egui.
pub const fn role(role: Role, theme: Theme) -> Color32 {
    color(role.rgb(theme))
}

/// The theme that a panel is drawn in.
pub fn theme_of(ui: &egui::Ui) -> Theme {
    if ui.visuals().dark_mode { Theme::Dark } else { Theme::Light }
}

/// Sets fonts, sizes and the colours of both themes.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    for theme in [Theme::Light, Theme::Dark] {
        let which = if theme == Theme::Light { egui::Theme::Light } else { egui::Theme::Dark };
        ctx.set_visuals_of(which, visuals(theme));
        ctx.style_mut_of(which, |style| {
            style.text_styles = [
                (TextStyle::Small, FontId::proportional(12.0)),
                (TextStyle::Body, FontId::proportional(14.0)),
                (TextStyle::Button, FontId::proportional(14.0)),
                (TextStyle::Monospace, FontId::monospace(13.0)),
                (TextStyle::Heading, FontId::new(17.0, FontFamily::Name(BOLD.into()))),
            ]
            .into();
            style.spacing.item_spacing = egui::vec2(8.0, 6.0);
            style.spacing.button_padding = egui::vec2(8.0, 4.0);
            style.spacing.interact_size.y = 24.0;
            style.interaction.tooltip_delay = 0.25;
        });
    }
}

/// Sizes of the panels' letters at factor 1, points.
const SIZES: [(TextStyle, f32); 5] = [
    (TextStyle::Small, 12.0),
    (TextStyle::Body, 14.0),
    (TextStyle::Button, 14.0),
    (TextStyle::Monospace, 13.0),
    (TextStyle::Heading, 17.0),
];

/// Makes the letters of the panels this much larger than usual from now on.
pub fn use_size(ctx: &egui::Context, factor: f32) {
    let now = ctx.global_style().text_styles.get(&TextStyle::Body).map_or(0.0, |font| font.size);
    if (now - 14.0 * factor).abs() < 0.01 {
        return;
    }
    ctx.all_styles_mut(|style| {
        for (which, size) in &SIZES {
            if let Some(font) = style.text_styles.get_mut(which) {
                font.size = size * factor;
            }
        }
        style.spacing.interact_size.y = 24.0 * factor;
    });
}

/// Uses a theme from now on.
pub fn use_theme(ctx: &egui::Context, theme: Theme) {
    ctx.set_theme(if theme == Theme::Light { egui::Theme::Light } else { egui::Theme::Dark });
}

fn visuals(theme: Theme) -> egui::Visuals {
    let mut visuals = if theme == Theme::Light { egui::Visuals::light() } else { egui::Visuals::dark() };
    let c = |r: Role| role(r, theme);
    visuals.panel_fill = c(Role::Panel);
    visuals.window_fill = c(Role::Panel);
    visuals.extreme_bg_color = c(Role::Paper);
    visuals.faint_bg_color = c(Role::Paper);
    visuals.window_stroke = Stroke::new(1.0, c(Role::Grid));
    visuals.hyperlink_color = c(Role::Highlight);
    visuals.warn_fg_color = c(Role::Warn);
    visuals.error_fg_color = c(Role::Fail);
    visuals.selection.bg_fill = c(Role::Highlight).gamma_multiply(0.35);
    visuals.selection.stroke = Stroke::new(1.5, c(Role::Ink));
    visuals.override_text_color = None;
    let corner = CornerRadius::same(4);
    let widgets = &mut visuals.widgets;
    for (state, fill, rim) in [
        (&mut widgets.noninteractive, Role::Panel, Role::Grid),
        (&mut widgets.inactive, Role::Paper, Role::Muted),
        (&mut widgets.hovered, Role::Paper, Role::Highlight),
        (&mut widgets.active, Role::Vehicle, Role::Highlight),
        (&mut widgets.open, Role::Paper, Role::Highlight),
    ] {
        state.bg_fill = c(fill);
        state.weak_bg_fill = c(fill);
        state.bg_stroke = Stroke::new(1.0, c(rim));
        state.fg_stroke = Stroke::new(1.5, c(Role::Ink));
        state.corner_radius = corner;
        state.expansion = 0.0;
    }
    visuals.widgets.noninteractive.fg_stroke = Stroke::new(1.0, c(Role::Ink));
    // Rails of sliders are drawn in this one; it must stand out from the panel.
    visuals.widgets.inactive.bg_fill = c(Role::Grid);
    visuals
}
