//! The pictures of a pass, drawn from real passes of an invented machine: structure, legibility and exact text.

mod demo;
mod plan;

use brusharm::drawing::svg::svg;
use brusharm::drawing::{DisplayList, Theme};

/// When the environment variable `PICTURE_DIR` names a folder, the picture is also left there to be looked at.
fn leave(name: &str, list: &DisplayList) {
    if let Some(folder) = std::env::var_os("PICTURE_DIR") {
        for (theme, word) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let path = std::path::Path::new(&folder).join(format!("{name}-{word}.svg"));
            std::fs::write(path, svg(list, theme)).expect("the picture folder can be written");
        }
    }
}
