//! Pictures that follow the page from light to dark.
//!
//! A display list is written once for the light theme and once for the dark one. Both texts differ in their colours only, which are all
//! of the same length, so every colour of the light text is replaced by a variable that holds the pair.

use crate::drawing::{DisplayList, Theme, svg};

/// The pairs of colours used so far, light and dark.
#[derive(Debug, Default)]
pub(super) struct Colours {
    pairs: Vec<(String, String)>,
}

impl Colours {
    fn name(&mut self, light: &str, dark: &str) -> String {
        let pair = (light.to_owned(), dark.to_owned());
        let index = self.pairs.iter().position(|p| *p == pair).unwrap_or_else(|| {
            self.pairs.push(pair);
            self.pairs.len() - 1
        });
        format!("--q{index}")
    }

    /// Declarations of the variables for one theme.
    pub fn declarations(&self, theme: Theme) -> String {
        let mut out = String::new();
        for (index, (light, dark)) in self.pairs.iter().enumerate() {
            let colour = if theme == Theme::Light { light } else { dark };
            out.push_str(&format!("--q{index}:{colour};"));
        }
        out
    }

    /// A picture as SVG text whose colours are variables.
    pub fn picture(&mut self, list: &DisplayList) -> String {
        let light = svg::svg(list, Theme::Light);
        let dark = svg::svg(list, Theme::Dark);
        self.merge(&light, &dark)
    }

    fn merge(&mut self, light: &str, dark: &str) -> String {
        let mut out = String::with_capacity(light.len());
        let mut done = 0;
        for (at, _) in light.match_indices("=\"#") {
            let start = at + 2;
            let named = light[..at].ends_with(" fill") || light[..at].ends_with(" stroke");
            let (Some(a), Some(b)) = (light.get(start..start + 7), dark.get(start..start + 7)) else {
                continue;
            };
            if !named || !light[start + 7..].starts_with('"') {
                continue;
            }
            out.push_str(&light[done..start]);
            out.push_str(&format!("var({})", self.name(a, b)));
            done = start + 7;
        }
        out.push_str(&light[done..]);
        // Said once for the whole picture; and nothing inside a web page needs the namespace.
        let round = " stroke-linejoin=\"round\"";
        out.replace(round, "").replacen(" xmlns=\"http://www.w3.org/2000/svg\"", round, 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Role, Stroke, Text, pos};

    #[test]
    fn verif_only_colours_become_variables() {
        let mut list = DisplayList::new(100.0, 50.0);
        list.push(Text::new(pos(1.0, 2.0), 12.0, Role::Ink, "fill=\"#123456\""));
        list.polyline(vec![pos(0.0, 0.0), pos(5.0, 5.0)], Stroke::new(1.0, Role::Ink));
        let mut colours = Colours::default();
        let text = colours.picture(&list);
        assert_eq!(text.matches("var(--q0)").count(), 1, "{text}");
        assert_eq!(text.matches("var(--q1)").count(), 2, "{text}");
        assert!(text.contains("#123456"));
        let (light, dark) = (colours.declarations(Theme::Light), colours.declarations(Theme::Dark));
        assert!(
            light.contains(&Role::Ink.rgb(Theme::Light).css())
                && dark.contains(&Role::Ink.rgb(Theme::Dark).css())
        );
    }
}
